//! Strings of which nobody knows how they were sized: sold, imported, entered from a mail; what is said
//! of them, and that they teach nothing.

use serde_json::Value;

use crate::bare_world::World;
use crate::counter_pages::{Counter, hidden, marks};

fn json(world: &World, arguments: &[&str]) -> Value {
    let answer: Value = serde_json::from_str(&world.ok(&[arguments, &["--json"]].concat())).unwrap();
    answer["data"].clone()
}

/// A string from a fair, for a bow that is known.
fn found(world: &World, serial: &str, more: &[&str]) -> Value {
    let add = [
        "sold",
        "add",
        "--serial",
        serial,
        "--archer",
        "Tamsin Rook",
        "--email",
        "tamsin@example.org",
        "--route",
        "unknown",
        "--bow-kind",
        "recurve",
        "--tips",
        "reinforced",
        "--brace-range",
        "7-1/2..8",
        "--yarn",
        "hmpe",
        "--strands",
        "16",
        "--turns",
        "24",
        "--sold-on",
        "2025-12-20",
        "--delivered-on",
        "2025-12-22",
    ];
    json(world, &[&add, more].concat())
}

fn report(world: &World, serial: &str, brace: &str) -> String {
    let added =
        json(world, &["report", "add", serial, "--symptom", "brace-low", "--brace", brace, "--no-danger"]);
    added["report"].as_str().unwrap().to_owned()
}

#[test]
fn what_nobody_knows_of_a_string_is_told_as_not_known_wherever_it_stands() {
    let world = World::new();
    let sold = found(&world, "F-1", &["--marked", "62"]);
    for key in ["ordered_length_inch", "stated_inch", "offset_inch", "loaded_length_inch"] {
        assert!(sold[key].is_null(), "{key}: {sold}");
    }
    assert_eq!(sold["route"], "unknown");
    for command in [["sold", "show", "F-1"], ["bow", "show", "F-1"]] {
        assert!(world.ok(&command).contains("not on record"), "{command:?}");
    }
    assert!(world.ok(&["card", "F-1"]).contains("not on record"));
    assert!(json(&world, &["bow", "show", "F-1"])["strings"][0]["ordered_length_inch"].is_null());
    world.assert_sound();
    let export = world.path("export");
    world.ok(&["export", export.to_str().unwrap()]);
    let again = world.path("again.db");
    assert!(World::command_on(&again).arg("restore").arg(&export).output().unwrap().status.success());
    let shown = World::command_on(&again).args(["sold", "show", "F-1", "--json"]).output().unwrap();
    let shown: Value = serde_json::from_slice(&shown.stdout).unwrap();
    assert_eq!(shown["data"], sold);

    // A length that is known is kept, and a bow's mark is no measure that it was sized by.
    assert_eq!(found(&world, "F-2", &["--ordered", "58"])["ordered_length_inch"], 58.0);
    for more in [["--stated", "62"], ["--offset", "3"]] {
        let line = ["sold", "add", "--serial", "F-3", "--archer", "Ann Lee", "--route", "unknown"];
        assert!(world.refused(1, &[&line[..], &more].concat()).contains("nobody knows"), "{more:?}");
    }
    world.refused(2, &["sold", "add", "--serial", "F-3", "--archer", "Ann Lee", "--route", "marked"]);
    // What nobody knows is no way to size a string.
    let size = world.run(&["size", "--route", "unknown", "--kind", "recurve", "--stated", "62"]);
    assert!(!size.status.success() && String::from_utf8_lossy(&size.stderr).contains("possible values"));
    // Nobody knows the bow either: no card can say how far it may be turned.
    found(&world, "F-4", &[]);
    assert!(world.refused(1, &["card", "F-4"]).contains("--marked"));

    world.ok(&["strike", "F-4", "--why", "entered twice"]);
    world.ok(&["unstrike", "F-4"]);
    world.ok(&["forget", "tamsin@example.org", "--yes"]);
    world.assert_sound();
    assert_eq!(json(&world, &["sold", "show", "F-1"])["archer"]["name"], Value::Null);
}

#[test]
fn a_row_may_say_that_nobody_knows_how_a_string_was_sized() {
    let world = World::new();
    let head = "serial,sold_on,route,stated_measure,offset,ordered_length,archer,yarn,brace_low,brace_high\n";
    let import = |row: &str| {
        let file = world.write("rows.csv", format!("{head}{row}\n"));
        world.run(&["sold", "import", file.to_str().unwrap()])
    };
    for row in ["I-1,2026-01-02,unknown,,,,Ann Lee,hmpe,7,8", "I-2,2026-01-02,unknown,,,58,Ann Lee,hmpe,,"] {
        assert!(import(row).status.success(), "{row}");
        assert!(import(row).status.success(), "the same row once more");
    }
    assert!(json(&world, &["sold", "show", "I-1"])["ordered_length_inch"].is_null());
    assert_eq!(json(&world, &["sold", "show", "I-2"])["ordered_length_inch"], 58.0);
    for (row, column) in [
        ("I-3,2026-01-02,unknown,62,,,Ann Lee,hmpe,,", "stated_measure"),
        ("I-3,2026-01-02,unknown,,3,,Ann Lee,hmpe,,", "offset"),
        ("I-3,2026-01-02,marked,,,,Ann Lee,hmpe,,", "ordered_length"),
    ] {
        let refused = import(row);
        let said =
            String::from_utf8_lossy(&refused.stderr).into_owned() + &String::from_utf8_lossy(&refused.stdout);
        assert!(!refused.status.success() && said.contains(column), "{row}: {said}");
    }
}

#[test]
fn turns_are_worked_out_without_a_length_and_a_new_string_only_with_one() {
    let world = World::new();
    found(&world, "F-1", &["--marked", "62"]);
    let near = report(&world, "F-1", "7-1/4");
    let advice = json(&world, &["advise", &near]);
    assert_eq!((&advice["verdict"], &advice["likely_cause"]), (&"adjust".into(), &"unknown".into()));
    let said = world.ok(&["advise", &near]);
    assert!(said.contains("not on record") && said.contains("By the bow's length"), "{said}");

    // Too far for turns: what the string measures comes first.
    found(&world, "F-2", &["--marked", "62", "--other-bow"]);
    let far = report(&world, "F-2", "5-1/2");
    let advice = json(&world, &["advise", &far]);
    assert_eq!((&advice["verdict"], &advice["ask"][0]), (&"ask".into(), &"string-length".into()));
    world.ok(&["letter", &far]);
    world.ok(&[
        "reading",
        "add",
        &far,
        "--brace",
        "5-1/2",
        "--readings",
        "3",
        "--length",
        "60",
        "--at",
        "loaded",
        "--no-danger",
    ]);
    let advice = json(&world, &["advise", &far]);
    let length = advice["remake_length_inch"].as_f64().unwrap();
    assert_eq!(advice["verdict"], "remake", "{advice}");
    assert!(length < 59.5 && length > 56.0, "{length}");
    assert!(world.ok(&["advise", &far]).contains("as it was measured"));
    let made = json(&world, &["remake", &far]);
    assert_eq!(made["length_inch"].as_f64(), Some(length));
    let new = json(&world, &["sold", "show", made["string"].as_str().unwrap()]);
    assert_eq!((&new["route"], new["ordered_length_inch"].as_f64()), (&"worked-out".into(), Some(length)));
    world.ok(&["remake", "sent", &far]);
    let ended = json(&world, &["settle", &far]);
    assert_eq!((&ended["outcome"], &ended["cause"]), (&"remade".into(), &"unknown".into()));
    assert!(ended["length_error_inch"].is_null() && ended["right_length_inch"] == length, "{ended}");
    world.assert_sound();
}

#[test]
fn a_string_that_must_not_be_shot_is_one_whatever_its_length_and_a_new_one_is_sized_anew() {
    let world = World::new();
    for (serial, more, sized) in [("F-1", &["--marked", "62"][..], true), ("G-1", &["--other-bow"], false)] {
        found(&world, serial, more);
        let broken = json(&world, &["report", "add", serial, "--symptom", "broken-strand"]);
        let id = broken["report"].as_str().unwrap().to_owned();
        let advice = json(&world, &["advise", &id]);
        assert_eq!(advice["verdict"], "stop");
        let said = world.ok(&["advise", &id]);
        assert!(said.contains("sized anew"), "{said}");
        let letter = world.ok(&["letter", &id]);
        assert!(letter.contains("do not shoot it"), "{letter}");
        if sized {
            // As the workshop sizes any by a mark: 4 in less for a recurve.
            assert_eq!(advice["remake_length_inch"], 58.0);
            world.ok(&["remake", &id]);
        } else {
            assert!(advice["remake_length_inch"].is_null());
            assert!(letter.contains("marked length"), "{letter}");
            assert!(world.refused(1, &["remake", &id]).contains("--length"));
            world.ok(&["remake", &id, "--length", "57"]);
        }
    }
    world.assert_sound();
}

#[test]
fn such_strings_are_in_no_figure_of_the_month_which_says_how_many_they_are() {
    let world = World::new();
    found(&world, "F-0", &[]);
    let alone = world.ok(&["month", "2026-02"]);
    assert!(alone.contains("Left out of all figures: 1 string") && !alone.contains("By route"), "{alone}");
    world.ok(&["strike", "F-0", "--why", "a slip"]);
    world.add_string("S-1");
    world.ok(&["setting", "set", "month.reports-since", "2025-01-01"]);
    let figures = |world: &World| {
        let mut month = json(world, &["month", "2026-02"]);
        let left = month.as_object_mut().unwrap().remove("sizing_unknown").unwrap();
        let remarks = month.as_object_mut().unwrap().remove("remarks").unwrap().to_string();
        (month, left, remarks)
    };
    let (before, left, remarks) = figures(&world);
    assert_eq!(left, serde_json::json!({"strings": 0, "reports": 0, "cost_cents": 0}));
    assert!(!remarks.contains("Left out"));
    found(&world, "F-1", &["--marked", "62"]);
    let received = ["--symptom", "brace-low", "--brace", "7-1/4", "--received", "2026-02-03", "--no-danger"];
    world.ok(&[&["report", "add", "F-1"], &received[..]].concat());
    let (after, left, remarks) = figures(&world);
    assert_eq!(after, before);
    assert_eq!((&left["strings"], &left["reports"]), (&1.into(), &1.into()));
    assert!(remarks.contains("Left out of all figures: 1 string whose sizing nobody knows"), "{remarks}");
    assert!(world.ok(&["month", "2026-02"]).contains("Left out of all figures"));
    // Nor is its archer asked whether it fits.
    found(&world, "F-2", &["--marked", "66", "--other-bow"]);
    assert!(!world.ok(&["quiet", "list"]).contains("F-2"));
}

const MAIL: &str = "From: Tamsin Rook <tamsin@example.org>\nDate: Fri, 27 Feb 2026 10:00:00 +0000\nSubject: a string from the fair\n\nHello, I bought a string at your stall. My brace height is 7 1/4 and should be 7 1/2 to 8. The bow is a recurve marked 62.";

#[test]
fn a_string_that_is_not_in_the_book_is_entered_from_the_mail_about_it() {
    let world = World::new();
    let counter = Counter::on(&world.book);
    let read = counter.pasted(&[("pasted", MAIL)]).text;
    assert!(read.contains("formaction=\"/enter\""), "{read}");
    let (mark, seen) = marks(&read, "/mail/log");
    let page = counter.done(
        "/enter",
        &[("form-mark", &mark), ("seen", &seen), ("pasted", MAIL), ("string", "L-77"), ("marked", "62")],
    );
    for (field, value) in
        [("serial", "L-77"), ("archer", "Tamsin Rook"), ("email", "tamsin@example.org"), ("marked", "62")]
    {
        assert_eq!(hidden(&page, "/enter/add", field), value);
    }
    assert_eq!(world.count("string"), 0, "nothing is written down before it is confirmed");
    let mark = hidden(&page, "/enter/add", "form-mark");
    let fields = |strands| {
        [
            ("form-mark", mark.as_str()),
            ("seen", "0"),
            ("pasted", MAIL),
            ("serial", "L-77"),
            ("archer", "Tamsin Rook"),
            ("email", "tamsin@example.org"),
            ("bow-kind", "recurve"),
            ("tips", "reinforced"),
            ("marked", "62"),
            ("yarn", "hmpe"),
            ("strands", strands),
            ("turns", "24"),
        ]
    };
    let refused = counter.post("/enter/add", &fields("many"));
    assert_eq!(refused.status, 422);
    assert!(refused.text.contains("value=\"L-77\"") && refused.text.contains("many"), "{}", refused.text);
    let mail = counter.done("/enter/add", &fields("16"));
    assert!(mail.contains("value=\"L-77\"") && mail.contains("recurve"), "{mail}");
    // Sent once more it is one string all the same.
    counter.done("/enter/add", &fields("16"));
    let sold = json(&world, &["sold", "show", "L-77"]);
    assert_eq!((&sold["route"], &sold["sold_on"]), (&"unknown".into(), &"2026-02-27".into()));
    assert_eq!((&sold["archer"]["email"], &sold["strands"]), (&"tamsin@example.org".into(), &16.into()));

    let (mark, seen) = marks(&mail, "/mail/log");
    let report = counter.done(
        "/mail/log",
        &[
            ("form-mark", &mark),
            ("seen", &seen),
            ("string-seen", "L-77"),
            ("string", "L-77"),
            ("pasted", MAIL),
            ("symptom", "brace-low"),
            ("brace", "7 1/4"),
            ("want", "7 1/2 to 8"),
        ],
    );
    assert!(report.contains("R-1") && report.contains("not on record"), "{report}");
    assert_eq!((world.count("string"), world.count("report")), (1, 1));

    // Without a mail it leads to its card.
    let page = counter.page("/enter");
    let mark = hidden(&page, "/enter/add", "form-mark");
    let card = counter.done("/enter/add", &[("form-mark", &mark), ("seen", "0"), ("archer", "Ann Lee")]);
    assert!(card.contains("Ann Lee") && card.contains("not on record"), "{card}");
    world.assert_sound();
}

#[test]
fn who_is_told_that_a_mail_names_no_string_is_told_how_to_enter_it() {
    let world = World::new();
    let file = world.write("mail.eml", MAIL);
    let said = world.refused(1, &["report", "mail", file.to_str().unwrap(), "--yes"]);
    assert!(said.contains("sold add --route unknown"), "{said}");
}
