//! The month sheet, the questions to quiet archers and the size before a sale, through the real
//! program in a world of its own.

use std::path::PathBuf;

use serde::Deserialize;

/// A folder of its own, a fixed day, nothing of the environment.
struct World {
    folder: tempfile::TempDir,
    today: &'static str,
}

impl World {
    fn new() -> Self {
        let world = Self { folder: tempfile::tempdir().unwrap(), today: "2026-03-20" };
        assert_eq!(world.run(&["init"]).status, 0);
        world
    }

    fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    fn run(&self, arguments: &[&str]) -> Ran {
        let done = assert_cmd::Command::cargo_bin("fistmele")
            .unwrap()
            .env_clear()
            .env("FISTMELE_TODAY", self.today)
            .env("FISTMELE_WHO", "tester")
            .env("COLUMNS", "100")
            .current_dir(self.folder.path())
            .args(["--book", "book.db"])
            .args(arguments)
            .output()
            .unwrap();
        Ran {
            status: done.status.code().unwrap_or(-1),
            out: String::from_utf8(done.stdout).unwrap(),
            err: String::from_utf8(done.stderr).unwrap(),
        }
    }

    fn import(&self, kind: &str, text: &str) {
        std::fs::write(self.path("in.csv"), text).unwrap();
        let ran = self.run(&[kind, "import", "in.csv"]);
        assert_eq!(ran.status, 0, "{}{}", ran.out, ran.err);
    }

    fn month(&self, arguments: &[&str]) -> Sheet {
        let ran = self.run(&[&["month", "--json"], arguments].concat());
        assert_eq!(ran.status, 0, "{}", ran.err);
        let envelope: Envelope =
            serde_json::from_str(&ran.out).unwrap_or_else(|e| panic!("{e}: {}", ran.out));
        assert_eq!(envelope.schema, "month/1");
        envelope.data
    }
}

struct Ran {
    status: i32,
    out: String,
    err: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(dead_code, reason = "the fields are there to be refused when they change")]
struct Envelope {
    schema: String,
    data: Sheet,
    warnings: Vec<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(dead_code, reason = "the fields are there to be refused when they change")]
struct Sheet {
    month: String,
    from: chrono::NaiveDate,
    to: chrono::NaiveDate,
    memory_from: chrono::NaiveDate,
    shop: Row,
    routes: Vec<Row>,
    replacements: u32,
    remakes_again: u32,
    sizing_unknown: SizingUnknown,
    by_spool: Vec<Spool>,
    by_maker: Vec<Maker>,
    by_yarn: Vec<Yarn>,
    causes: Vec<Cause>,
    open_reports: u32,
    open_cost_cents: i64,
    others: Vec<Other>,
    cost_of_all_cents: i64,
    reports_before_months: u32,
    months: Vec<MonthLine>,
    ripeness: Vec<(u32, f64)>,
    never_reported: Vec<Step>,
    outcomes: Vec<String>,
    ended: Vec<Ended>,
    since_changes: Vec<Since>,
    courses: Vec<CourseStep>,
    reports_since: Option<chrono::NaiveDate>,
    comparable_from: String,
    basis: Basis,
    reports_before_delivery: u32,
    sentences: Vec<String>,
    commands: Vec<String>,
    remarks: Vec<String>,
}

#[derive(Debug, Deserialize, PartialEq)]
#[serde(deny_unknown_fields)]
struct SizingUnknown {
    strings: u32,
    reports: u32,
    cost_cents: i64,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
#[allow(dead_code, reason = "the fields are there to be refused when they change")]
struct Row {
    route: Option<String>,
    bow_kind: Option<String>,
    strings: u32,
    effective_strings: f64,
    reports: u32,
    misfits: u32,
    rate: Option<f64>,
    rate_low: Option<f64>,
    rate_high: Option<f64>,
    misfit_rate: Option<f64>,
    misfit_low: Option<f64>,
    misfit_high: Option<f64>,
    shrunk_rate: Option<f64>,
    shrunk_low: Option<f64>,
    shrunk_high: Option<f64>,
    chance_worse: Option<f64>,
    label: String,
    still_to_come: Option<f64>,
    still_to_come_low: Option<u32>,
    still_to_come_high: Option<u32>,
    this_month_reports: u32,
    this_month_expected: Option<f64>,
    this_month_p: Option<f64>,
    creep: Option<f64>,
    creep_alarm: bool,
    offset_inch: Option<f64>,
    offset_advised_inch: Option<f64>,
    length_error_inch: Option<f64>,
    length_error_low: Option<f64>,
    length_error_high: Option<f64>,
    advised_change_inch: Option<f64>,
    advice_chance: Option<f64>,
    cost_cents: Option<i64>,
    cost_low_cents: Option<i64>,
    cost_high_cents: Option<i64>,
    cost_total_cents: i64,
    short: u32,
    long: u32,
    learned: bool,
    early: bool,
    expected_by_bow_kind: Option<f64>,
    bows_may_explain: bool,
    length_spread_inch: Option<f64>,
    complaints_mean_inch: Option<f64>,
    length_error_if_more_told_inch: Option<f64>,
    advice_saves_a_year: Option<f64>,
    misfit_share_now: Option<f64>,
    misfit_share_advised: Option<f64>,
    length_report_set_aside: bool,
    length_memory_from: Option<chrono::NaiveDate>,
    offset_changed_on: Option<chrono::NaiveDate>,
    length_jump_chance: Option<f64>,
    length_jump_first: Option<chrono::NaiveDate>,
    length_jump_last: Option<chrono::NaiveDate>,
    considered_change_inch: Option<f64>,
    considered_chance: Option<f64>,
    considered_saves_a_year: Option<f64>,
    advice_waits_for: Option<String>,
}

macro_rules! read_back {
    ($name:ident { $($field:ident: $type:ty),+ $(,)? }) => {
        #[derive(Debug, Deserialize)]
        #[serde(deny_unknown_fields)]
        #[allow(dead_code, reason = "the fields are there to be refused when they change")]
        struct $name { $($field: $type),+ }
    };
}

read_back!(Spool { spool: String, strings: u32, reports: u32, misfits: u32 });
read_back!(Maker { maker: String, strings: u32, reports: u32, workshop: u32 });
read_back!(Yarn {
    yarn: String,
    strings: u32,
    effective_strings: f64,
    reports: u32,
    misfits: u32,
    rate: Option<f64>,
    rate_low: Option<f64>,
    rate_high: Option<f64>
});
read_back!(Cause { cause: String, reports: u32, misfits: u32, cost_cents: i64 });
read_back!(Other { kind: String, complaints: u32, cost_cents: i64 });
read_back!(MonthLine {
    month: String,
    reports: u32,
    exposure: f64,
    expected: Option<f64>,
    expected_low: Option<u32>,
    expected_high: Option<u32>
});
read_back!(Step { day: u32, at_risk: u32, reports: u32, share: f64, standard_error: Option<f64> });
read_back!(Ended { day: u32, shares: Vec<f64> });
read_back!(Since {
    route: String,
    bow_kind: String,
    changed_on: chrono::NaiveDate,
    from_inch: f64,
    to_inch: f64,
    strings_before: u32,
    effective_before: f64,
    reports_before: u32,
    strings_since: u32,
    effective_since: f64,
    reports_since: u32
});
read_back!(CourseStep {
    route: String,
    bow_kind: String,
    month: String,
    strings: u32,
    length_error_inch: f64,
    length_error_low: f64,
    length_error_high: f64
});
read_back!(Basis {
    play_shorten_inch: f64,
    play_lengthen_inch: f64,
    told_share: f64,
    told_share_learned: bool,
    answers: u32,
    horizon_days: u32,
    memory_months: u32,
    advice_chance: f64,
    advice_chance_where_much: f64,
    advice_much: f64,
    advice_saves: f64,
    advice_reports: u32,
    advice_hold_days: u32
});

const SOLD: &str = "serial,sold_on,delivered_on,route,stated_measure,offset,ordered_length,bow_kind,brace_low,brace_high,yarn,spool,maker,archer,email\n";
const REPORT_SHOP: i32 = 40;

/// Forty recurves by the mark and forty longbows by an old string, all of last year; every other
/// recurve came 1/2 in short and was told of after ten days.
fn small_shop(world: &World) {
    let mut sold = SOLD.to_owned();
    for n in 0..REPORT_SHOP {
        let (month, day) = (1 + n / 4, 1 + 6 * (n % 4));
        sold.push_str(&format!(
            "M{n},2025-{month:02}-{day:02},2025-{month:02}-{:02},marked,62,4,58,recurve,7.5,8,hmpe,HMPE-1,Bo Tamsin,Archer {n},a{n}@example.org\n",
            day + 3
        ));
        sold.push_str(&format!(
            "O{n},2025-{month:02}-{day:02},,old-string,64,0,64,longbow,6,7,polyester,POLY-1,,Other {n},o{n}@example.org\n"
        ));
    }
    world.import("sold", &sold);
    for n in (0..REPORT_SHOP).step_by(2) {
        let (month, day) = (1 + n / 4, 13 + 6 * (n % 4) / 2);
        let received = format!("2025-{month:02}-{day:02}");
        let serial = format!("M{n}");
        let ran = world.run(&[
            "report",
            "add",
            &serial,
            "--symptom",
            "brace-high",
            "--brace",
            "8-3/4",
            "--received",
            &received,
        ]);
        assert_eq!(ran.status, 0, "{}", ran.err);
    }
}

#[test]
fn a_route_that_comes_out_short_is_found_and_the_change_is_one_command() {
    let world = World::new();
    small_shop(&world);
    let sheet = world.month(&[]);
    assert_eq!((sheet.shop.strings, sheet.shop.reports), (80, 20));
    assert_eq!((sheet.from.to_string(), sheet.to.to_string()), ("2026-03-01".into(), "2026-03-20".into()));
    let marked = sheet.routes.iter().find(|r| r.route.as_deref() == Some("marked") && r.bow_kind.is_none());
    assert_eq!(marked.unwrap().label, "clearly-worse");
    let unit = sheet.routes.iter().find(|r| r.bow_kind.as_deref() == Some("recurve")).unwrap();
    assert_eq!(unit.offset_inch, Some(4.0));
    assert!(unit.length_error_inch.unwrap() > 0.05, "{unit:?}");
    let change = unit.advised_change_inch.unwrap();
    assert_eq!(unit.offset_advised_inch, Some(4.0 - change));
    assert!(unit.advice_chance.unwrap() >= 0.70);
    assert!((1..=5).contains(&sheet.sentences.len()));
    // The command is taken as it stands, and the book remembers it.
    let command = &sheet.commands[0];
    assert!(command.starts_with("fistmele setting set offset.marked.recurve "), "{command}");
    let value = command.split('"').nth(1).unwrap();
    let ran = world.run(&["setting", "set", "offset.marked.recurve", value]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    let after = world.month(&[]);
    let unit = after.routes.iter().find(|r| r.bow_kind.as_deref() == Some("recurve")).unwrap();
    assert_eq!(unit.offset_inch, Some(4.0 - change));
    assert_eq!(unit.advised_change_inch, None, "a change is not followed by another before it is tried");
    assert_eq!(after.since_changes.len(), 1);
    assert!(after.sentences.iter().any(|s| s.contains("no string has been delivered under it yet")));
    // A month before the change still knows the old offset.
    let earlier = world.month(&["2026-02"]);
    let unit = earlier.routes.iter().find(|r| r.bow_kind.as_deref() == Some("recurve")).unwrap();
    assert_eq!(unit.offset_inch, Some(4.0));
}

#[test]
fn the_text_of_a_small_book_stays_as_it_is() {
    let world = World::new();
    small_shop(&world);
    let ran = world.run(&["month"]);
    assert_eq!(ran.status, 0);
    insta::assert_snapshot!("month_text", ran.out);
}

#[test]
fn the_files_hold_no_personal_values_and_are_for_the_owner() {
    let world = World::new();
    small_shop(&world);
    let ran = world.run(&["month", "--csv", "m.csv", "--html", "m.html"]);
    assert_eq!(ran.status, 0, "{}", ran.err);
    for name in ["m.csv", "m.html"] {
        let text = std::fs::read_to_string(world.path(name)).unwrap();
        for private in ["Archer", "example.org", "Tamsin", "Other 1"] {
            assert!(!text.contains(private), "{name} holds {private}");
        }
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = std::fs::metadata(world.path(name)).unwrap().permissions().mode();
            assert_eq!(mode & 0o077, 0, "{name}");
        }
    }
    let html = std::fs::read_to_string(world.path("m.html")).unwrap();
    assert!(!html.contains("<script") && !html.contains("href=") && !html.contains("src="));
    assert_eq!(html.matches("<svg").count(), html.matches("role=\"img\"").count());
    assert!(html.matches("<svg").count() >= 3 && html.contains("<desc>"));
    let csv = std::fs::read_to_string(world.path("m.csv")).unwrap();
    assert!(csv.starts_with("month,route,bow_kind,strings,"), "{csv}");
    assert_eq!(csv.lines().count(), 6);
}

#[test]
fn odd_books_give_a_sensible_sheet() {
    let empty = World::new();
    let sheet = empty.month(&[]);
    assert_eq!((sheet.shop.strings, sheet.routes.len()), (0, 0));
    assert!(sheet.sentences[0].contains("nothing to say"), "{:?}", sheet.sentences);
    assert_eq!(empty.run(&["month", "--html", "m.html"]).status, 0);

    let one = World::new();
    one.import("sold", &format!("{SOLD}A,2026-03-01,,marked,62,4,58,recurve,,,,,,,\n"));
    let sheet = one.month(&[]);
    assert_eq!((sheet.shop.strings, sheet.shop.rate), (1, None));
    assert!(sheet.sentences[0].contains("under 10"), "{:?}", sheet.sentences);
    assert!(sheet.shop.early);

    // A report before the delivery, and all strings reported.
    let reported = World::new();
    let mut sold = SOLD.to_owned();
    for n in 0..30 {
        sold.push_str(&format!("A{n},2025-06-01,2025-06-10,marked,62,4,58,recurve,7.5,8,,,,,\n"));
    }
    reported.import("sold", &sold);
    for n in 0..30 {
        let serial = format!("A{n}");
        let ran =
            reported.run(&["report", "add", &serial, "--symptom", "too-short", "--received", "2025-06-05"]);
        assert_eq!(ran.status, 0, "{}", ran.err);
    }
    let sheet = reported.month(&[]);
    assert_eq!((sheet.shop.reports, sheet.reports_before_delivery), (30, 30));
    assert_eq!(sheet.shop.rate_high, Some(1.0));
    assert!(sheet.routes[1].advised_change_inch.unwrap() > 0.0);
    assert!(reported.run(&["month", "--html", "m.html"]).err.contains("before their string was delivered"));

    // Ten years without a word.
    let old = World::new();
    let mut sold = SOLD.to_owned();
    for n in 0..240 {
        let (year, month) = (2016 + n / 24, 1 + (n / 2) % 12);
        sold.push_str(&format!("A{n},{year}-{month:02}-01,,repeat,,,58,longbow,,,,,,,\n"));
    }
    old.import("sold", &sold);
    // A book begun today has seen none of it; one that has been kept all along has.
    let sheet = old.month(&[]);
    assert_eq!((sheet.shop.rate, sheet.reports_since), (None, "2026-03-20".parse().ok()));
    assert!(sheet.remarks.iter().any(|r| r.contains("too young to compare")), "{:?}", sheet.remarks);
    assert_eq!(old.run(&["setting", "set", "month.reports-since", "2016-01-01"]).status, 0);
    let refused = old.run(&["setting", "set", "month.reports-since", "last year"]);
    assert!(refused.status == 1 && refused.err.contains("date"), "{}", refused.err);
    let sheet = old.month(&[]);
    assert!(sheet.shop.strings < 50 && sheet.shop.reports == 0);
    assert!(sheet.sentences[0].contains("no complaint about fit yet"), "{:?}", sheet.sentences);
}

#[test]
fn a_month_that_cannot_be_is_refused() {
    let world = World::new();
    for (text, why) in [
        ("2026-04", "lies ahead"),
        ("2026-13", "is no month"),
        ("March", "is no month"),
        ("", "is no month"),
        ("0001-01", "is no month"),
        ("2026-03-01", "is no month"),
    ] {
        let ran = world.run(&["month", text]);
        assert_eq!(ran.status, 1, "{text}");
        assert!(ran.err.contains(why), "{text}: {}", ran.err);
    }
    assert_eq!(world.month(&["03/2026"]).month, "2026-03");
    assert_eq!(world.month(&["1999-01"]).shop.strings, 0);
}

#[test]
fn five_quiet_archers_are_asked_and_their_answers_count() {
    let world = World::new();
    small_shop(&world);
    let listed = |arguments: &[&str]| -> serde_json::Value {
        let ran = world.run(&[&["quiet", "list", "--json"], arguments].concat());
        assert_eq!(ran.status, 0, "{}", ran.err);
        serde_json::from_str(&ran.out).unwrap()
    };
    let first = listed(&[]);
    let questions = first["data"]["questions"].as_array().unwrap().clone();
    assert_eq!(questions.len(), 5);
    assert_eq!(listed(&[]), first, "the draw of a month stands");
    let serial = questions[0]["string"].as_str().unwrap().to_owned();
    let letter = world.run(&["quiet", "letter", &serial]);
    assert!(letter.out.contains(&serial) && letter.out.contains("brace"), "{}", letter.out);
    assert!(letter.out.contains("\n\nSome time ago we made you"), "{}", letter.out);
    assert_eq!(world.run(&["quiet", "letter", &serial, "--preview"]).out, letter.out);
    let card = world.run(&["sold", "show", &serial, "--letters"]).out;
    assert!(card.contains(": quiet") && card.contains("Some time ago we made you"), "{card}");
    for (answer, says) in [(["--turned", "-4"], "too short"), (["--brace", "5"], "too long")] {
        let ran = world.run(&[&["quiet", "answer", &serial], answer.as_slice()].concat());
        assert!(ran.status == 0 && ran.out.contains(says), "{}{}", ran.out, ran.err);
    }
    assert_eq!(world.run(&["quiet", "answer", &serial, "--fits"]).status, 0);
    assert_eq!(world.run(&["quiet", "answer", &serial]).status, 2);
    let not_drawn = world.run(&["quiet", "answer", "M0", "--fits"]);
    assert!(not_drawn.status == 1 && not_drawn.err.contains("no question was drawn"), "{}", not_drawn.err);
    assert_eq!(world.month(&[]).basis.answers, 1);
    assert_eq!(listed(&["2026-02"])["data"]["questions"].as_array().unwrap().len(), 0);
}

#[test]
fn a_question_keeps_how_likely_it_was_drawn_and_a_card_needs_no_question() {
    let world = World::new();
    small_shop(&world);
    let data = |arguments: &[&str]| -> serde_json::Value {
        let ran = world.run(&[arguments, &["--json"]].concat());
        assert_eq!(ran.status, 0, "{}", ran.err);
        serde_json::from_str::<serde_json::Value>(&ran.out).unwrap()["data"].clone()
    };
    let questions = data(&["quiet", "list"])["questions"].clone();
    let drawn: Vec<&str> =
        questions.as_array().unwrap().iter().map(|q| q["drawn_by"].as_str().unwrap()).collect();
    assert_eq!(drawn, ["worth", "worth", "worth", "lot", "worth"]);
    for question in questions.as_array().unwrap() {
        let chance = question["chance"].as_f64().unwrap();
        assert!(chance > 0.01 && chance < 0.9, "{question}");
    }
    // M0 was reported, M1 not; neither was asked about unless drawn.
    let asked = |serial: &str| questions.as_array().unwrap().iter().any(|q| q["string"] == serial);
    let unasked = (0..REPORT_SHOP).map(|n| format!("O{n}")).find(|serial| !asked(serial)).unwrap();
    let answer = data(&["quiet", "answer", &unasked, "--card", "--fits"]);
    assert_eq!((answer["drawn_by"].as_str(), answer["chance"].as_f64()), (Some("card"), None));
    // A later card counts instead; it takes no place among those who are asked.
    assert_eq!(data(&["quiet", "answer", &unasked, "--card", "--brace", "6-1/2"])["answer"], "brace");
    assert_eq!(world.month(&[]).basis.answers, 1);
    assert_eq!(data(&["quiet", "list"])["questions"], questions);
    let again = world.run(&["quiet", "letter", "M0"]);
    assert!(again.status == 1 && again.err.contains("no question was drawn"), "{}", again.err);
}

#[test]
fn one_report_that_contradicts_all_others_withdraws_no_advice() {
    let world = World::new();
    small_shop(&world);
    let unit = || {
        let sheet = world.month(&[]);
        sheet.routes.into_iter().find(|row| row.bow_kind.as_deref() == Some("recurve")).unwrap()
    };
    let before = unit();
    assert!(before.advised_change_inch.is_some() && !before.length_report_set_aside);
    let mut sold = SOLD.to_owned();
    for n in 90..93 {
        sold.push_str(&format!(
            "LATE-{n},2026-03-01,2026-03-02,marked,62,4,58,recurve,7.5,8,hmpe,HMPE-1,Bo Tamsin,Archer {n},a{n}@example.org\n"
        ));
    }
    world.import("sold", &sold);
    let contradict = |serial: &str| {
        world.import(
            "report",
            &format!(
                "serial,reported_on,direction,outcome,settled_on,right_length\n{serial},2026-03-10,long,remade,2026-03-12,57\n"
            ),
        );
    };
    contradict("LATE-90");
    let one = unit();
    assert!(one.length_report_set_aside, "{one:?}");
    let remarks = world.month(&[]).remarks;
    assert!(remarks.iter().any(|remark| remark.contains("a single report speaks")), "{remarks:?}");
    assert!(one.advised_change_inch.is_some_and(|change| change >= 0.25), "{one:?}");
    // Two are no slip of the pen.
    contradict("LATE-91");
    let two = unit();
    assert!(!two.length_report_set_aside, "{two:?}");
    assert!(two.advised_change_inch.is_none_or(|change| change < one.advised_change_inch.unwrap()));
}

#[test]
fn before_a_sale_the_learned_correction_is_shown_apart() {
    let world = World::new();
    small_shop(&world);
    let size = |arguments: &[&str]| -> serde_json::Value {
        let ran = world.run(&[&["size", "--json"], arguments].concat());
        assert_eq!(ran.status, 0, "{}", ran.err);
        serde_json::from_str::<serde_json::Value>(&ran.out).unwrap()["data"].clone()
    };
    let marked = size(&["--route", "marked", "--kind", "recurve", "--stated", "62"]);
    assert_eq!(marked["ordered_length_inch"], 58.0);
    let correction = marked["correction_inch"].as_f64().unwrap();
    assert!(correction > 0.0);
    assert!((marked["length_inch"].as_f64().unwrap() - 58.0 - correction).abs() < 1e-9);
    assert!(marked["complaint_chance"].as_f64() < marked["complaint_chance_uncorrected"].as_f64());
    let horse = size(&["--route", "marked", "--kind", "horsebow", "--stated", "50"]);
    assert!(horse["length_inch"].is_null() && horse["question"] == "old-string");
    let tender = size(&["--route", "bow-maker", "--kind", "longbow", "--stated", "64", "--tips", "plain"]);
    assert_eq!(tender["yarn"], "polyester");
    let odd = size(&["--route", "marked", "--kind", "longbow", "--marked", "66", "--nock-to-nock", "60"]);
    assert!(odd["cautions"].to_string().contains("do not go together"));
    assert_eq!(world.run(&["size", "--route", "repeat", "--kind", "longbow"]).status, 1);
}

#[test]
fn the_demo_ends_with_a_sheet_that_finds_the_fault_put_into_it() {
    let folder = tempfile::tempdir().unwrap();
    let done = assert_cmd::Command::cargo_bin("fistmele")
        .unwrap()
        .env_clear()
        .env("FISTMELE_TODAY", "2026-03-20")
        .current_dir(folder.path())
        .args(["--book", "d.db", "demo", "--json"])
        .output()
        .unwrap();
    let value: serde_json::Value = serde_json::from_slice(&done.stdout).unwrap();
    let sentences = value["data"]["month"]["sentences"].to_string();
    assert!(sentences.contains("Recurve strings cut from the marked length: cut them"), "{sentences}");
    assert!(value["data"]["month"]["commands"][0].as_str().unwrap().contains("offset.marked.recurve"));
}
