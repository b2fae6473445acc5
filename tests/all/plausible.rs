//! What a thing may be is one rule, whichever door it comes in by: an option, a file to import, a
//! mail, a form of the page.

use serde_json::Value;

use crate::bare_world::World;
use crate::counter_pages::{Counter, marks};

/// A value, and how each door that asks for it is told of it; a door without words for it is left
/// out.
#[derive(Clone, Default)]
struct Case {
    what: String,
    fits: bool,
    /// Options of `sold add`, on top of the usual ones.
    add: Vec<(&'static str, String)>,
    /// Columns of a row of strings, on top of the usual ones.
    row: Vec<(&'static str, String)>,
    /// Options of `report add`, which are the fields of the page's form.
    said: Vec<(&'static str, String)>,
    /// Columns of a row of reports.
    old: Vec<(&'static str, String)>,
    /// The text of a mail, and what is read out of it, as sure or likely, where it fits.
    mail: Option<(String, &'static str)>,
}

type Named<'a> = &'a [(&'static str, &'a str)];

fn owned(named: Named<'_>) -> Vec<(&'static str, String)> {
    named.iter().map(|(name, value)| (*name, (*value).to_owned())).collect()
}

impl Case {
    fn new(what: &str, fits: bool) -> Self {
        Self { what: what.to_owned(), fits, ..Self::default() }
    }

    /// What `sold add` and `sold import` are told, by the names of each.
    fn sold(self, add: Named<'_>, row: Named<'_>) -> Self {
        Self { add: owned(add), row: owned(row), ..self }
    }

    fn said(self, said: Named<'_>) -> Self {
        Self { said: owned(said), ..self }
    }

    fn old(self, old: Named<'_>) -> Self {
        Self { old: owned(old), ..self }
    }

    fn mail(self, text: String, what: &'static str) -> Self {
        Self { mail: Some((text, what)), ..self }
    }
}

/// A text that is just as long.
fn long(characters: usize) -> String {
    "a".repeat(characters)
}

fn cases() -> Vec<Case> {
    let mut cases = Vec::new();
    for (value, fits) in
        [("name@example.org", true), ("a@b", true), ("a b@x y", false), ("a@b@c", false), ("name", false)]
    {
        cases.push(
            Case::new(&format!("address {value}"), fits).sold(&[("email", value)], &[("email", value)]),
        );
    }
    for (value, fits) in
        [("2", true), ("100", true), ("1", false), ("101", false), ("16.5", false), ("many", false)]
    {
        cases.push(
            Case::new(&format!("strands {value}"), fits).sold(&[("strands", value)], &[("strands", value)]),
        );
    }
    for (yarn, fits) in [("hmpe", true), ("unknown", true), ("polyester", false)] {
        let given = [("spool", "l-1"), ("yarn", yarn)];
        cases.push(Case::new(&format!("a lot of hmpe in a string of {yarn}"), fits).sold(&given, &given));
    }
    for (value, fits) in [("2", true), ("3", true), ("1", false), ("4", false)] {
        cases.push(Case::new(&format!("plies {value}"), fits).sold(&[("plies", value)], &[("plies", value)]));
    }
    for (value, fits) in
        [("0", true), ("200", true), ("200.5", false), ("210", false), ("-1", false), ("5000", false)]
    {
        cases.push(Case::new(&format!("turns {value}"), fits).sold(&[("turns", value)], &[("turns", value)]));
    }
    for (value, fits) in [("0", true), ("3.5", true), ("-3.5", false), ("21", false)] {
        let ordered = if value == "0" { "62" } else { "58.5" };
        let given = [("offset", value), ("ordered", ordered)];
        let row = [("offset", value), ("ordered_length", ordered)];
        cases.push(Case::new(&format!("offset {value}"), fits).sold(&given, &row));
    }
    // The bow's maker took 4 in off 62.
    for (ordered, fits) in [("58", true), ("58.25", true), ("57.75", true), ("58.5", false), ("61", false)] {
        let given = [("offset", "4"), ("ordered", ordered)];
        let row = [("offset", "4"), ("ordered_length", ordered)];
        cases.push(Case::new(&format!("ordered {ordered} of 62 less 4"), fits).sold(&given, &row));
    }
    for (built, fits) in
        [("58", true), ("61", true), ("55", true), ("61.25", false), ("54.5", false), ("66", false)]
    {
        let given = [("ordered", "58"), ("built", built)];
        let row = [("ordered_length", "58"), ("built_length", built)];
        cases.push(Case::new(&format!("built {built} for 58"), fits).sold(&given, &row));
    }
    for (sold, delivered, fits) in [
        ("2026-03-01", "2026-03-01", true),
        ("2026-02-01", "2026-02-03", true),
        ("2026-02-01", "2026-01-31", false),
        ("2026-02-01", "2026-03-02", false),
        ("2026-03-02", "2026-03-02", false),
    ] {
        cases.push(Case::new(&format!("sold {sold}, delivered {delivered}"), fits).sold(
            &[("sold-on", sold), ("delivered-on", delivered)],
            &[("sold_on", sold), ("delivered_on", delivered)],
        ));
    }
    for (value, fits) in [(long(500), true), (long(501), false), ("a\u{202e}b".to_owned(), false)] {
        let shown: String = value.chars().take(3).collect();
        let what = format!("{} characters {shown:?}", value.chars().count());
        cases.push(Case::new(&what, fits).sold(&[("maker", &value)], &[("maker", &value)]));
    }
    for (length, fits) in [(200, true), (201, false)] {
        let value = long(length);
        cases.push(
            Case::new(&format!("lot of {length}"), fits).sold(&[("spool", &value)], &[("spool", &value)]),
        );
    }
    for (length, fits) in [(80, true), (81, false)] {
        // A serial is taken once.
        let (here, there) = (long(length), long(length).replace('a', "b"));
        cases.push(
            Case::new(&format!("serial of {length}"), fits).sold(&[("serial", &here)], &[("serial", &there)]),
        );
    }
    // A string of 58 in: a thirtieth is 1.93 in, which no brace height is; a quarter is 14.5 in.
    for (low, high, fits) in
        [("7.5", "8", true), ("2in", "14in", true), ("1.9in", "8in", false), ("7in", "14.6in", false)]
    {
        let range = format!("{low}..{high}");
        cases.push(
            Case::new(&format!("range {range}"), fits)
                .sold(&[("brace-range", &range)], &[("brace_low", low), ("brace_high", high)])
                .said(&[("brace-range", &range)]),
        );
    }
    // A string of 40 in: a quarter is 10 in.
    for (high, fits) in [("10", true), ("10.1", false)] {
        let range = format!("7..{high}");
        let given = [("brace-range", range.as_str()), ("ordered", "40"), ("stated", "43.5")];
        let row =
            [("brace_low", "7"), ("brace_high", high), ("ordered_length", "40"), ("stated_measure", "43.5")];
        cases.push(Case::new(&format!("range {range} of 40"), fits).sold(&given, &row));
    }
    for (value, fits) in
        [("1800", true), ("2026", true), ("1799", false), ("2027", false), ("1500", false), ("old", false)]
    {
        let case = Case::new(&format!("bow of {value}"), fits)
            .sold(&[("bow-year", value)], &[("bow_year", value)])
            .said(&[("bow-year", value)]);
        // How far back the reader of mails believes a year is its own affair.
        cases.push(match value {
            "1800" => case,
            _ => case.mail(format!("The bow was made in {value}, a laminated recurve."), "bow-year"),
        });
    }
    for (value, fits) in
        [("0", true), ("120", true), ("1000000", true), ("1000001", false), ("10000000", false)]
    {
        let case =
            Case::new(&format!("shots {value}"), fits).said(&[("shots", value)]).old(&[("shots", value)]);
        cases.push(match value {
            "0" | "1000000" => case,
            _ => case.mail(format!("Brace: 7 1/8\nShots: {value}"), "shots"),
        });
    }
    // Of 24 turns.
    for (value, fits) in
        [("+6", true), ("-24", true), ("+176", true), ("-25", false), ("+177", false), ("+210", false)]
    {
        let case = Case::new(&format!("turned {value}"), fits)
            .said(&[("turns-changed", value)])
            .old(&[("turns_changed", value)]);
        cases.push(match value {
            "+6" | "+210" => case.mail(format!("Brace: 7 1/8\nTurns: {value}"), "turns-changed"),
            // Which string the mail is about decides these: they are refused when it is logged.
            _ => case,
        });
    }
    for (value, fits) in [("1", true), ("100", true), ("0", false), ("101", false)] {
        let case =
            Case::new(&format!("mean of {value}"), fits).said(&[("brace", "7.25"), ("readings", value)]);
        cases.push(match value {
            "101" => case.mail(format!("Brace height 7 5/16 (mean of {value} readings)."), "readings"),
            _ => case,
        });
    }
    for (value, fits) in [("2in", true), ("14in", true), ("1.9in", false), ("14.1in", false)] {
        cases.push(
            Case::new(&format!("brace {value}"), fits).said(&[("brace", value)]).old(&[("brace", value)]),
        );
    }
    for (day, fits) in
        [("2026-01-05", true), ("2026-03-01", true), ("2026-01-04", false), ("2026-03-02", false)]
    {
        cases.push(
            Case::new(&format!("came in {day}"), fits)
                .said(&[("received", day)])
                .old(&[("reported_on", day)]),
        );
    }
    cases
}

/// The usual columns or options with those of a case in their place.
fn with<'a>(usual: Named<'a>, own: &'a [(&'static str, String)]) -> Vec<(&'static str, &'a str)> {
    let others = usual.iter().filter(|(name, _)| !own.iter().any(|(other, _)| other == name)).copied();
    others.chain(own.iter().map(|(name, value)| (*name, value.as_str()))).collect()
}

fn csv(columns: &[(&'static str, &str)]) -> String {
    let names: Vec<&str> = columns.iter().map(|(name, _)| *name).collect();
    let values: Vec<String> = columns.iter().map(|(_, value)| format!("\"{value}\"")).collect();
    format!("{}\n{}\n", names.join(","), values.join(","))
}

/// Whether a run took what it was given; what it refuses it tells with its reason.
fn takes(world: &World, arguments: &[String]) -> bool {
    let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
    let output = world.run(&arguments);
    let said = crate::bare_world::text(&output.stderr);
    assert!(output.status.success() || said.contains("error: "), "{arguments:?}: {said}");
    output.status.success()
}

fn options(columns: &[(&'static str, &str)]) -> Vec<String> {
    columns.iter().map(|(name, value)| format!("--{name}={value}")).collect()
}

#[test]
fn every_door_takes_and_refuses_the_same() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["spool", "add", "L-1", "--yarn", "hmpe"]);
    let mut faults = Vec::new();
    for (n, case) in cases().into_iter().enumerate() {
        let mut check = |door: &str, taken: bool| {
            if taken != case.fits {
                faults.push(format!("{} by {door}: {}", case.what, if taken { "taken" } else { "refused" }));
            }
        };
        if !case.add.is_empty() {
            let serial = format!("A-{n}");
            let usual = [
                ("serial", serial.as_str()),
                ("archer", "Perrin Vane"),
                ("route", "marked"),
                ("stated", "62"),
                ("kind", "recurve"),
                ("ordered", "58"),
            ];
            let sold: Vec<String> = ["sold", "add"].map(str::to_owned).into();
            check("option of a sale", takes(&world, &[sold, options(&with(&usual, &case.add))].concat()));
        }
        if !case.row.is_empty() {
            let serial = format!("I-{n}");
            let usual = [
                ("serial", serial.as_str()),
                ("sold_on", "2026-02-01"),
                ("archer", "Perrin Vane"),
                ("route", "marked"),
                ("stated_measure", "62"),
                ("bow_kind", "recurve"),
                ("ordered_length", "58"),
            ];
            let file = world.write("rows.csv", csv(&with(&usual, &case.row)));
            let import = ["sold", "import", file.to_str().unwrap()].map(str::to_owned);
            check("import of sales", takes(&world, &import));
        }
        if !case.said.is_empty() {
            let usual = [("symptom", "other")];
            let mut report: Vec<String> = ["report", "add", "S-1", "--separate"].map(str::to_owned).into();
            report.extend(options(&with(&usual, &case.said)));
            check("option of a report", takes(&world, &report));
            let counter = Counter::on(&world.book);
            let (mark, seen) = marks(&counter.page("/string/S-1"), "/string/S-1/report");
            let usual = [("symptom", "other"), ("separate", "yes")];
            let mut form = vec![("form-mark", mark.as_str()), ("seen", seen.as_str())];
            form.extend(with(&usual, &case.said));
            let answer = counter.post("/string/S-1/report", &form);
            assert!(matches!(answer.status, 303 | 409 | 422), "{}: {}", case.what, answer.text);
            check("form", answer.status == 303);
        }
        if !case.old.is_empty() {
            let note = format!("row {n}");
            let usual = [
                ("serial", "S-1"),
                ("reported_on", "2026-02-01"),
                ("symptom", "other"),
                ("note", note.as_str()),
            ];
            let file = world.write("reports.csv", csv(&with(&usual, &case.old)));
            let import = ["report", "import", file.to_str().unwrap()].map(str::to_owned);
            check("import of reports", takes(&world, &import));
        }
        if let Some((text, what)) = &case.mail {
            let mail = format!("From: Odalind <odalind@example.org>\nSubject: string\n\n{text}\n");
            let file = world.write("mail.eml", mail);
            let answer: Value =
                serde_json::from_str(&world.ok(&["report", "mail", file.to_str().unwrap(), "--json"]))
                    .unwrap();
            let found = ["read", "likely"].map(|class| answer["data"][class].as_array().unwrap());
            check("mail", found.into_iter().flatten().any(|line| line["what"] == *what));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    world.assert_sound();
}

#[test]
fn a_lot_that_two_rows_of_a_file_give_two_yarns_is_told_with_its_line() {
    let world = World::new();
    let file = world.write(
        "rows.csv",
        "serial,sold_on,route,ordered_length,yarn,spool\nI-1,2026-02-01,marked,58,hmpe,N-1\nI-2,2026-02-01,marked,58,linen,n-1\n",
    );
    let said = world.refused(1, &["sold", "import", file.to_str().unwrap()]);
    assert!(said.contains("line 3, column spool: the lot n-1 is of hmpe"), "{said}");
    assert!(world.ok(&["spool", "list"]).contains("No lot of yarn yet."), "nothing of it was written");
}

/// What a string of 24 turns cannot have been turned by.
const CANNOT_BE_TURNED: [&str; 2] = ["-25", "+177"];

#[test]
fn turns_that_a_string_cannot_have_are_noted_from_no_mail_and_refused_from_a_person() {
    for turns in CANNOT_BE_TURNED {
        let world = World::new();
        world.add_string("S-1");
        let mail = |text: &str| {
            let mail = format!("From: Odalind <odalind@example.org>\nSubject: string\n\n{text}\n");
            world.write("mail.eml", mail).to_str().unwrap().to_owned()
        };
        let file = mail(&format!("Brace: 7 1/8\nTurns: {turns}"));
        world.ok(&["report", "mail", &file, "--yes", "--case"]);
        let shown: Value = serde_json::from_str(&world.ok(&["report", "show", "R-1", "--json"])).unwrap();
        let readings = shown["data"]["readings"].as_array().unwrap();
        assert!(readings.iter().all(|reading| reading["turns_changed"].is_null()), "{turns}: {shown}");
        // A person who says so, and our form, which is read with certainty, are refused.
        let option = format!("--turns-changed={turns}");
        let said = world.refused(1, &["reading", "add", "R-1", &option]);
        assert!(said.contains("turns"), "{said}");
        let form = format!(
            "String serial: S-1\nBrace height: 7 1/4\nFull turns put in (+) or out (-): {turns}\nShots with this string: 20"
        );
        let said = world.refused(1, &["report", "mail", &mail(&form), "--yes", "--case"]);
        assert!(said.contains("turns"), "{said}");
        let again: Value = serde_json::from_str(&world.ok(&["report", "show", "R-1", "--json"])).unwrap();
        assert_eq!(again["data"]["readings"], shown["data"]["readings"]);
        world.assert_sound();
    }
}

#[test]
fn an_offset_that_nobody_gave_is_noted_only_where_it_was_taken_off() {
    let world = World::new();
    let shown = |serial: &str| -> Value {
        let answer: Value = serde_json::from_str(&world.ok(&["sold", "show", serial, "--json"])).unwrap();
        answer["data"]["offset_inch"].clone()
    };
    // The setting for a recurve takes 4 in off the mark.
    for (ordered, offset) in [("58", serde_json::json!(4.0)), ("56", Value::Null)] {
        let (by_hand, by_file) = (format!("A-{ordered}"), format!("I-{ordered}"));
        world.ok(&[
            "sold",
            "add",
            "--serial",
            &by_hand,
            "--archer",
            "Perrin Vane",
            "--route",
            "marked",
            "--stated",
            "62",
            "--kind",
            "recurve",
            "--ordered",
            ordered,
        ]);
        let row = [
            ("serial", by_file.as_str()),
            ("sold_on", "2026-02-01"),
            ("archer", "Perrin Vane"),
            ("route", "marked"),
            ("stated_measure", "62"),
            ("bow_kind", "recurve"),
            ("ordered_length", ordered),
        ];
        world.ok(&["sold", "import", world.write("rows.csv", csv(&row)).to_str().unwrap()]);
        assert_eq!((shown(&by_hand), shown(&by_file)), (offset.clone(), offset));
    }
}
