//! Strings that are too weak for their bows, through the program.

use serde_json::Value;

use crate::bare_world::{World, text};
use crate::counter_pages::{Counter, hidden, marks};

fn json(world: &World, arguments: &[&str]) -> Value {
    let answer: Value = serde_json::from_str(&world.ok(&[arguments, &["--json"]].concat())).unwrap();
    answer["data"].clone()
}

/// Sells a string for a recurve.
fn sell(world: &World, serial: &str, string: &[&str], weight: Option<&str>) -> std::process::Output {
    let mut arguments = vec![
        "sold",
        "add",
        "--serial",
        serial,
        "--archer",
        "Perrin Vane",
        "--email",
        "perrin@example.org",
        "--bow-kind",
        "recurve",
        "--marked",
        "66",
        "--route",
        "marked",
        "--stated",
        "66",
        "--brace-range",
        "7-1/2..8",
        "--tips",
        "reinforced",
        "--turns",
        "30",
        "--sold-on",
        "2026-02-01",
    ];
    arguments.extend(string);
    if let Some(weight) = weight {
        arguments.extend(["--weight", weight]);
    }
    let sold = world.run(&arguments);
    assert!(sold.status.success(), "{}", text(&sold.stderr));
    sold
}

const LINEN: [&str; 4] = ["--yarn", "linen", "--strands", "6"];
const POLYESTER: [&str; 4] = ["--yarn", "polyester", "--strands", "4"];

fn in_one_line(said: &str) -> String {
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Nothing that is said may be taken for a recommendation of a strand count.
fn names_no_count(said: &str) {
    let words: Vec<String> = said
        .to_lowercase()
        .split_whitespace()
        .map(|word| word.trim_matches(['.', ',', ':', ';']).to_owned())
        .collect();
    for (at, word) in words.iter().enumerate() {
        if word == "strands" && at > 0 && words[at - 1].parse::<u32>().is_ok() {
            assert!(["4", "6", "12"].contains(&words[at - 1].as_str()), "a count of its own: {said}");
        }
    }
    for phrase in ["at least 4 strands", "use more strands", "more strands", "strands are needed"] {
        assert!(!said.to_lowercase().contains(phrase), "{said}");
    }
}

#[test]
fn linen_of_six_strands_stops_on_a_bow_of_seventy_pounds() {
    let world = World::new();
    sell(&world, "S-1", &LINEN, Some("70 lb"));
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "6-7/8", "--shots", "150"]);
    let said = world.ok(&["advise", "R-1"]);
    assert!(said.contains("STOP") && said.contains("hold 36 lb") && said.contains("280 lb"), "{said}");
    names_no_count(&said);
    let advice = json(&world, &["advise", "R-1"]);
    assert_eq!((&advice["verdict"], &advice["turns"]), (&"stop".into(), &Value::Null));
    assert_eq!(advice["strength"]["stands"], "below-floor");
    assert_eq!(
        (&advice["strength"]["holds_lb"], &advice["strength"]["floor_lb"]),
        (&36.0.into(), &280.0.into())
    );
    let letter = world.ok(&["letter", "R-1"]);
    assert!(letter.contains("Please do not shoot") && letter.contains("280 lb"), "{letter}");
    assert!(!letter.contains("full turn"), "{letter}");
    names_no_count(&letter);
    // As many strands again would be as weak again.
    let refused = world.refused(1, &["remake", "R-1"]);
    assert!(
        refused.contains("36 lb") && refused.contains("280 lb") && refused.contains("--strands"),
        "{refused}"
    );
    names_no_count(&refused);
    let made = json(&world, &["remake", "R-1", "--strands", "48"]);
    assert_eq!((&made["strands"], &made["strength"]["stands"]), (&48.into(), &"enough".into()));
    assert!(made["turns"].as_f64().unwrap() > 0.0);
    world.assert_sound();
}

#[test]
fn polyester_of_four_strands_is_recorded_and_marked_when_it_is_sold() {
    let world = World::new();
    let sold = sell(&world, "S-1", &POLYESTER, Some("65 lb"));
    let notice = text(&sold.stderr);
    assert!(
        notice.contains("below the floor") && notice.contains("200 lb") && notice.contains("260 lb"),
        "{notice}"
    );
    assert!(notice.contains("fistmele letter --string S-1"), "{notice}");
    names_no_count(&notice);
    let card = json(&world, &["sold", "show", "S-1"]);
    assert_eq!((&card["strands"], &card["strength"]["stands"]), (&4.into(), &"below-floor".into()));
    assert!(world.ok(&["sold", "show", "S-1"]).contains("Do not shoot this string"));
    // Nothing goes into the parcel with it.
    assert!(world.refused(1, &["card", "S-1"]).contains("200 lb"));

    // It hangs first, before a report that is older than it.
    sell(&world, "S-2", &["--yarn", "hmpe", "--strands", "16"], Some("40 lb"));
    world.ok(&["report", "add", "S-2", "--symptom", "noisy", "--received", "2026-02-02"]);
    let due = world.ok(&["due"]);
    let weak = due.find("below the floor").unwrap();
    assert!(weak < due.find("R-1").unwrap() && due.contains("200 lb of 260 lb"), "{due}");
    let line = json(&world, &["due"])["below_floor"][0].clone();
    assert_eq!((&line["string"], &line["warned_on"]), (&"S-1".into(), &Value::Null));
    assert_eq!(line["next"], "fistmele letter --string S-1");

    // Its letter needs no report, and says not to shoot it and never how many strands.
    let letter = world.ok(&["letter", "--string", "S-1"]);
    assert!(letter.starts_with("Dear Perrin Vane,\n\nPlease do not shoot your string S-1"), "{letter}");
    assert!(in_one_line(&letter).contains("make you a new one at no cost"), "{letter}");
    names_no_count(&letter);
    let line = json(&world, &["due"])["below_floor"][0].clone();
    assert_eq!(line["warned_on"], "2026-03-01");
    assert!(world.ok(&["history", "--string", "S-1"]).contains("warned"));
    assert_eq!(json(&world, &["report", "list"]).as_array().unwrap().len(), 1, "no report was made of it");

    // It hangs there until another string replaces it.
    sell(&world, "S-3", &["--yarn", "polyester", "--strands", "14", "--replaces", "S-1"], Some("65 lb"));
    assert_eq!(json(&world, &["due"])["below_floor"], Value::Array(Vec::new()));
    world.assert_sound();
}

#[test]
fn an_import_records_marks_and_lists_what_is_too_weak() {
    let world = World::new();
    let header = "serial,sold_on,route,stated_measure,ordered_length,archer,email,yarn,strands,turns,bow_kind,draw_weight_lb\n";
    let row = |serial: &str, yarn: &str, strands: &str, weight: &str| {
        format!(
            "{serial},2026-01-05,marked,66,62,Archer {serial},{serial}@example.org,{yarn},{strands},30,recurve,{weight}\n"
        )
    };
    let rows = [
        row("W-1", "polyester", "14", "45"),
        row("W-2", "polyester", "4", "65"),
        row("W-3", "linen", "6", "70"),
        row("W-4", "hmpe", "16", ""),
        row("W-5", "hmpe", "", "45"),
    ];
    let file = world.write("orders.csv", format!("{header}{}", rows.concat()));
    let file = file.to_str().unwrap();
    for arguments in [["sold", "import", file, "--dry-run"].as_slice(), &["sold", "import", file]] {
        let view = json(&world, arguments);
        let weak: Vec<&str> = view["below_floor"]
            .as_array()
            .unwrap()
            .iter()
            .map(|row| row["string"].as_str().unwrap())
            .collect();
        assert_eq!(weak, ["W-2", "W-3"]);
        assert_eq!((&view["added"], &view["strength_not_checked"]), (&5.into(), &2.into()));
    }
    let said = world.ok(&["sold", "import", file]);
    assert!(said.contains("must not be shot") && said.contains("fistmele letter --string W-3"), "{said}");
    assert!(said.contains("Strength not checked of 2"), "{said}");
    names_no_count(&said);
    let due = json(&world, &["due"])["below_floor"].clone();
    let due: Vec<&str> =
        due.as_array().unwrap().iter().map(|line| line["string"].as_str().unwrap()).collect();
    assert_eq!(due, ["W-2", "W-3"]);
    assert!(world.refused(1, &["letter", "--string", "W-1"]).contains("strong enough"));
    assert!(world.refused(1, &["letter", "--string", "W-4"]).contains("draw-weight"));
    assert_eq!(world.run(&["letter"]).status.code(), Some(2));
    assert_eq!(world.run(&["letter", "R-1", "--string", "W-2"]).status.code(), Some(2));
    world.assert_sound();
}

#[test]
fn a_draw_weight_that_is_told_later_counts() {
    let world = World::new();
    let sold = sell(&world, "S-1", &POLYESTER, None);
    assert!(!text(&sold.stderr).contains("floor"), "{}", text(&sold.stderr));
    for command in [["sold", "show", "S-1"].as_slice(), &["card", "S-1"]] {
        let said = in_one_line(&world.ok(command));
        assert!(said.contains("strength not checked: the bow's draw weight is not known"), "{said}");
    }
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7", "--shots", "150"]);
    let said = world.ok(&["advise", "R-1"]);
    assert!(said.contains("Strength not checked") && !said.contains("STOP"), "{said}");
    assert_eq!(json(&world, &["advise", "R-1"])["strength"]["missing"], serde_json::json!(["draw-weight"]));
    assert_eq!(json(&world, &["due"])["below_floor"], Value::Array(Vec::new()));
    // In a mail.
    let mail = "From: perrin@example.org\r\nSubject: S-1\r\n\r\nHello, it still reads 7. My bow has a draw weight of 65 pounds.\r\n";
    let mail = world.write("mail.eml", mail);
    world.ok(&["report", "mail", mail.to_str().unwrap(), "--yes"]);
    assert_eq!(json(&world, &["sold", "show", "S-1"])["bow"]["draw_weight_lb"], 65.0);
    assert_eq!(json(&world, &["due"])["below_floor"][0]["string"], "S-1");
    assert_eq!(json(&world, &["advise", "R-1"])["verdict"], "stop");
    // The report has it now, and is danger itself.
    assert_eq!(json(&world, &["due"])["below_floor"], Value::Array(Vec::new()));

    // By hand, and corrected by hand.
    sell(&world, "S-2", &POLYESTER, None);
    world.ok(&["bow", "edit", "S-2", "--weight", "56 lb"]);
    assert_eq!(json(&world, &["due"])["below_floor"][0]["string"], "S-2");
    world.ok(&["bow", "edit", "S-2", "--weight", "46 lb"]);
    assert_eq!(json(&world, &["due"])["below_floor"], Value::Array(Vec::new()));
}

#[test]
fn a_strand_is_set_stronger_than_its_source_only_with_a_reason_that_is_named() {
    let world = World::new();
    sell(&world, "S-1", &["--yarn", "linen", "--strands", "12"], Some("70 lb"));
    assert_eq!(json(&world, &["due"])["below_floor"][0]["string"], "S-1");
    let refused = world.refused(1, &["setting", "set", "strength.linen", "30"]);
    assert!(refused.contains("6 lb") && refused.contains("--why"), "{refused}");
    world.refused(1, &["setting", "set", "strength.linen", "30", "--why", "  "]);
    world.refused(1, &["setting", "set", "strength.linen", "30", "--why", "two\nlines"]);
    world.refused(1, &["setting", "set", "strength.linen", "0"]);
    world.refused(1, &["setting", "set", "strength.unknown", "30", "--why", "guessed"]);
    assert_eq!(json(&world, &["setting", "get", "strength.linen"])["value"], "6");
    let why = "ten strands broken on the bench";
    world.ok(&["setting", "set", "strength.linen", "30", "--why", why]);
    let setting = json(&world, &["setting", "get", "strength.linen"]);
    assert_eq!((&setting["value"], &setting["why"]), (&"30".into(), &why.into()));
    assert!(world.ok(&["setting", "get", "strength.linen"]).contains(why));
    // It holds 360 lb by it, and every place that rests on it says so.
    assert_eq!(json(&world, &["due"])["below_floor"], Value::Array(Vec::new()));
    world.ok(&["report", "add", "S-1", "--symptom", "noisy", "--brace", "7-3/4"]);
    for command in [["sold", "show", "S-1"].as_slice(), &["advise", "R-1"]] {
        let said = in_one_line(&world.ok(command));
        assert!(said.contains("above the 6 lb of its source") && said.contains(why), "{said}");
    }
    assert_eq!(json(&world, &["advise", "R-1"])["strength"]["why"], why);
    // It is the workshop's own matter: the archer is not told of it.
    assert!(!world.ok(&["letter", "R-1"]).contains(why));
    // A lower figure needs no reason and is looked through at once.
    world.ok(&["setting", "set", "strength.linen", "5"]);
    assert_eq!(json(&world, &["due"])["below_floor"][0]["string"], "S-1");
    world.ok(&["setting", "set", "strength.polyester", "40"]);
    world.assert_sound();
}

#[test]
fn no_length_is_given_before_the_sale_of_a_string_that_would_be_too_weak() {
    let world = World::new();
    let asked = ["size", "--route", "marked", "--kind", "recurve", "--stated", "66", "--tips", "reinforced"];
    let with = |more: &[&'static str]| [&asked, more].concat();
    let refused = world.refused(1, &with(&["--weight", "70", "--yarn", "linen", "--strands", "6"]));
    assert!(refused.contains("hold 36 lb") || refused.contains("each hold 36 lb"), "{refused}");
    assert!(refused.contains("280 lb"), "{refused}");
    names_no_count(&refused);
    let sized = json(&world, &with(&["--weight", "45", "--yarn", "polyester", "--strands", "14"]));
    assert_eq!(
        (&sized["strength"]["stands"], &sized["strength"]["holds_lb"]),
        (&"enough".into(), &700.0.into())
    );
    let said = in_one_line(&world.ok(&asked));
    assert!(said.contains("strength not checked"), "{said}");
}

#[test]
fn on_the_counter_it_hangs_first_with_the_letter_that_the_command_writes() {
    let world = World::new();
    sell(&world, "S-1", &POLYESTER, Some("65 lb"));
    sell(&world, "S-2", &["--yarn", "hmpe", "--strands", "16"], Some("40 lb"));
    world.ok(&["report", "add", "S-2", "--symptom", "broken-strand", "--received", "2026-02-02"]);
    let counter = Counter::on(&world.book);
    let peg = counter.page("/");
    let (weak, report) = (peg.find("below the floor of strength").unwrap(), peg.find("R-1").unwrap());
    assert!(weak < report && peg.contains("200 lb") && peg.contains("Send the letter"), "{peg}");

    let card = counter.page("/string/S-1");
    assert!(
        card.contains("Please do not shoot your string S-1") && card.contains("To perrin@example.org"),
        "{card}"
    );
    names_no_count(&card);
    let (mark, seen) = marks(&card, "/string/S-1/warned");
    let digest = hidden(&card, "/string/S-1/warned", "letter");
    assert_eq!(json(&world, &["due"])["below_floor"][0]["warned_on"], Value::Null, "looking notes nothing");
    let other =
        counter.post("/string/S-1/warned", &[("form-mark", &mark), ("seen", &seen), ("letter", "another")]);
    assert_eq!(other.status, 409, "{}", other.text);
    let (mark, seen) = marks(&counter.page("/string/S-1"), "/string/S-1/warned");
    let noted =
        counter.done("/string/S-1/warned", &[("form-mark", &mark), ("seen", &seen), ("letter", &digest)]);
    assert!(noted.contains("was sent") && noted.contains("2026-03-01"), "{noted}");
    assert_eq!(json(&world, &["due"])["below_floor"][0]["warned_on"], "2026-03-01");
    assert!(counter.page("/").contains("Told on 2026-03-01"));

    // A remake that would be as weak is refused with the sum, and says where the strands go.
    world.ok(&["report", "add", "S-1", "--symptom", "noisy", "--brace", "7-3/4"]);
    let report = counter.page("/report/R-2");
    assert!(report.contains("STOP"), "{report}");
    let (mark, seen) = marks(&report, "/report/R-2/remake");
    let refused = counter.post("/report/R-2/remake", &[("form-mark", &mark), ("seen", &seen)]);
    assert!(
        refused.status >= 400 && refused.text.contains("260 lb") && refused.text.contains("Strands, if not"),
        "{}",
        refused.text
    );
    let (mark, seen) = marks(&counter.page("/report/R-2"), "/report/R-2/remake");
    counter.done("/report/R-2/remake", &[("form-mark", &mark), ("seen", &seen), ("strands", "14")]);
    assert_eq!(json(&world, &["sold", "show", "S-3"])["strands"], 14);
    // No letter for a string that is strong enough.
    assert!(!counter.page("/string/S-3").contains("do not shoot it"));
    world.assert_sound();
}
