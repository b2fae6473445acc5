//! The month sheet of books that contradict themselves, and what it has in common with the size
//! before a sale.

use serde_json::Value;

use crate::world::World;

fn data(world: &World, line: &str) -> Value {
    let run = world.line(&format!("{line} --json")).done();
    serde_json::from_str::<Value>(&run.stdout).unwrap()["data"].clone()
}

/// Recurves by the mark, four a month from January 2025 on, each told of where `told` says so.
fn shop(world: &World, strings: u32, told: impl Fn(u32) -> bool) {
    let mut sold =
        "serial,sold_on,delivered_on,route,stated_measure,offset,ordered_length,bow_kind,yarn\n".to_owned();
    let mut reports = "serial,reported_on,direction,outcome,settled_on,right_length\n".to_owned();
    for n in 0..strings {
        let (year, month, day) = (2025 + n / 48, 1 + n / 4 % 12, 1 + 6 * (n % 4));
        sold.push_str(&format!(
            "K-{n},{year}-{month:02}-{day:02},{year}-{month:02}-{:02},marked,62,4,58,recurve,hmpe\n",
            day + 3
        ));
        if told(n) {
            reports.push_str(&format!(
                "K-{n},{year}-{month:02}-{:02},short,remade,{year}-{month:02}-{:02},58.5\n",
                day + 7,
                day + 9
            ));
        }
    }
    let _ = world.run(["sold", "import", world.write("sold.csv", sold).as_str()]).done();
    let _ = world.run(["report", "import", world.write("reports.csv", reports).as_str()]).done();
}

/// The row of recurves by the mark.
fn row(sheet: &Value) -> Value {
    let rows = sheet["routes"].as_array().unwrap();
    rows.iter().find(|row| row["bow_kind"] == "recurve" && row["route"] == "marked").unwrap().clone()
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

#[test]
fn before_a_sale_and_on_the_sheet_the_same_share_of_misfits_is_told() {
    let world = World::new();
    shop(&world, 72, |n| n % 6 == 0);
    let size = "size --route marked --kind recurve --stated 62";
    let meet = |learned: bool| {
        let (sheet, size) = (data(&world, "month"), data(&world, size));
        let told = number(&sheet["basis"]["told_share"]);
        assert_eq!(sheet["basis"]["told_share_learned"], learned, "{}", sheet["basis"]);
        let row = row(&sheet);
        let complaint = number(&row["misfit_share_now"]) * told;
        assert!((number(&size["complaint_chance_uncorrected"]) - complaint).abs() < 1e-9, "{size}");
        assert!((number(&size["length_error_inch"]) - number(&row["length_error_inch"])).abs() < 1e-9);
        told
    };
    let quiet: Vec<u32> = (0..72).filter(|n| n % 6 != 0).take(20).collect();
    for n in &quiet[..19] {
        let found = if n % 2 == 0 { "--turned +8" } else { "--fits" };
        let _ = world.line(&format!("quiet answer K-{n} --card {found}")).done();
    }
    assert!((meet(false) - 0.9).abs() < 1e-12, "nineteen answers leave it as it is set");
    let _ = world.line(&format!("quiet answer K-{} --card --fits", quiet[19])).done();
    let told = meet(true);
    assert!(
        (0.3..0.89).contains(&told),
        "half of the quiet ones did not fit, and nobody heard of it: {told}"
    );
}

#[test]
fn a_card_that_contradicts_a_complaint_leaves_the_complaint_standing() {
    let world = World::new();
    shop(&world, 48, |n| n % 4 == 0);
    let before = row(&data(&world, "month"));
    let _ = world.line("quiet answer K-0 --card --fits").done();
    let sheet = data(&world, "month");
    assert_eq!(sheet["basis"]["answers"], 1);
    let after = row(&sheet);
    for what in ["reports", "misfits", "short", "long", "length_error_inch", "advised_change_inch"] {
        assert_eq!(after[what], before[what], "{what}");
    }
    assert_eq!(before["short"], 12);
}

#[test]
fn a_clock_that_was_set_back_shows_the_month_as_it_was_then() {
    let mut world = World::new();
    shop(&world, 72, |n| n % 4 == 0);
    // Whoever answers on a day before the delivery, by the clock, is counted from that day on.
    world.day("2025-06-10");
    let _ = world.line("quiet answer K-71 --card --fits").done();
    let then = data(&world, "month");
    assert_eq!((&then["month"], &then["shop"]["strings"]), (&"2025-06".into(), &22.into()));
    assert!(number(&row(&then)["length_error_inch"]) > 0.0);
    let ahead = world.line("month 2026-11").refused();
    assert!(ahead.stderr.contains("lies ahead of today, 2025-06-10"), "{}", ahead.stderr);
    world.day("2026-11-15");
    let now = data(&world, "month");
    assert_eq!((&now["shop"]["strings"], &now["basis"]["answers"]), (&72.into(), &1.into()));
}

#[test]
fn an_offset_that_changes_every_month_still_gives_a_length_and_the_last_change() {
    let mut world = World::new();
    for (n, month) in (1..=10).enumerate() {
        world.day(&format!("2026-{month:02}-01"));
        let offset = 3.0 + 0.25 * (n % 5) as f64;
        let _ = world.line(&format!("setting set offset.marked.recurve {offset}")).done();
        for k in 0..3 {
            let _ = world
                .line(&format!(
                    "sold add --serial C{n}-{k} --archer A{n}-{k} --kind recurve --route marked --stated 62 --yarn hmpe --sold-on 2026-{month:02}-01 --delivered-on 2026-{month:02}-01"
                ))
                .done();
        }
    }
    world.day("2026-11-15");
    let refused = world.line("setting set month.told-share 0").refused();
    assert!(refused.stderr.contains("0.3"), "{}", refused.stderr);
    for told in ["0.3", "1"] {
        let _ = world.line(&format!("setting set month.told-share {told}")).done();
        let sheet = data(&world, "month");
        let row = row(&sheet);
        assert!(number(&row["length_error_inch"]).abs() < 1.0, "{row}");
        assert_eq!((&row["strings"], &row["offset_inch"]), (&30.into(), &4.0.into()));
        assert_eq!(sheet["since_changes"][0]["changed_on"], "2026-10-01", "{}", sheet["since_changes"]);
    }
}

#[test]
fn a_route_with_one_kind_of_bow_only_adds_up_to_that_kind() {
    let world = World::new();
    shop(&world, 72, |n| n % 6 == 0);
    let sheet = data(&world, "month");
    let rows = sheet["routes"].as_array().unwrap();
    let [whole, unit] = [Value::Null, Value::from("recurve")].map(|kind| {
        let of_kind: Vec<&Value> = rows.iter().filter(|row| row["bow_kind"] == kind).collect();
        assert_eq!(of_kind.len(), 1, "{kind}");
        of_kind[0]
    });
    for field in
        ["strings", "reports", "misfits", "short", "long", "effective_strings", "rate", "cost_total_cents"]
    {
        assert_eq!(whole[field], unit[field], "{field}");
        assert_eq!(sheet["shop"][field], unit[field], "{field} of the shop");
    }
    // There is no other route to be better or worse than, and no other bow to blame.
    assert_eq!(
        (&whole["label"], &whole["bows_may_explain"]),
        (&Value::from("cannot-tell"), &Value::from(false))
    );
    assert!(whole["chance_worse"].is_null(), "{whole}");
    assert!((number(&whole["expected_by_bow_kind"]) - number(&whole["reports"])).abs() < 1e-9, "{whole}");
    assert!(number(&unit["length_error_inch"]) > 0.0 && number(&unit["advised_change_inch"]) > 0.0, "{unit}");
    // Of a single kind nobody needs to be told that most reports are of it.
    let said = sheet["sentences"].to_string();
    assert!(!said.contains("of them recurve strings"), "{said}");
}

#[test]
fn one_string_in_two_years_teaches_nothing() {
    let world = World::new();
    shop(&world, 1, |_| true);
    let sheet = data(&world, "month");
    assert_eq!((&sheet["shop"]["strings"], &sheet["shop"]["reports"]), (&1.into(), &1.into()));
    let row = row(&sheet);
    assert!(row["advised_change_inch"].is_null() && row["length_error_inch"].is_null(), "{row}");
    assert!(sheet["sentences"][0].as_str().unwrap().contains("under 10"), "{}", sheet["sentences"]);
}

#[test]
fn how_a_report_ended_does_not_count_while_it_is_taken_up_again() {
    let world = World::new();
    shop(&world, 88, |n| n % 8 == 0);
    let _ = world.line("report add K-84 --symptom brace-low --brace 7 --want 7-1/2..8 --separate").done();
    let newest = data(&world, "report list")[0]["report"].as_str().unwrap().to_owned();
    let before = data(&world, "month");
    let _ = world
        .line(&format!("settle {newest} --cause sizing --outcome remade --right-length 58.5 --sure"))
        .done();
    assert_ne!(data(&world, "month"), before);
    let _ = world.line(&format!("resume {newest}")).done();
    assert_eq!(data(&world, "month"), before);
}
