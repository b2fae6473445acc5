//! What was noted by mistake is struck: kept, shown struck through, left out, and brought back.

use serde_json::Value;

use crate::bare_world::World;

fn data(world: &World, arguments: &[&str]) -> Value {
    let answer: Value = serde_json::from_str(&world.ok(&[arguments, &["--json"]].concat())).unwrap();
    answer["data"].clone()
}

/// A string whose brace height reads 6 7/8 and should be 7 1/2 to 8.
fn reported() -> World {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&[
        "report",
        "add",
        "S-1",
        "--symptom",
        "brace-low",
        "--brace",
        "6-7/8",
        "--want",
        "7-1/2..8",
        "--shots",
        "150",
        "--no-danger",
    ]);
    world
}

/// Everything that is worked out of a report, without what says when and in which row.
fn worked_out(world: &World, report: &str) -> (Value, Value) {
    let mut advice = data(world, &["advise", report]);
    let mut shown = data(world, &["report", "show", report]);
    for key in ["struck_readings", "letters", "struck_letters"] {
        shown[key].take();
    }
    advice["own_readings"].take();
    for reading in shown["readings"].as_array_mut().unwrap() {
        reading["reading"].take();
    }
    (advice, shown)
}

#[test]
fn a_mistyped_reading_is_struck_and_the_verdict_is_as_if_it_had_never_been() {
    let plain = reported();
    plain.ok(&["reading", "add", "R-1", "--turns-changed", "+17", "--brace", "7-7/16", "--no-danger"]);
    let world = reported();
    world.ok(&["reading", "add", "R-1", "--turns-changed", "+17", "--brace", "6-7/16", "--no-danger"]);
    assert_eq!(data(&world, &["advise", "R-1"])["verdict"], "ask");
    let advice = world.ok(&["advise", "R-1"]);
    assert!(advice.contains("(fistmele strike"), "{advice}");

    let struck = data(&world, &["strike", "R-1/2", "--why", "mistyped, it was 7 7/16"]);
    assert_eq!(struck["id"], "R-1/2");
    assert_eq!(struck["struck"]["who"], "RK");
    assert_eq!(struck["struck"]["on"], "2026-03-01");
    assert_eq!(struck["verdict"], "adjust", "the stored verdict rested on it");
    world.ok(&["reading", "add", "R-1", "--turns-changed", "+17", "--brace", "7-7/16", "--no-danger"]);
    assert_eq!(worked_out(&world, "R-1"), worked_out(&plain, "R-1"));

    let shown = data(&world, &["report", "show", "R-1"]);
    let ids: Vec<&str> =
        shown["readings"].as_array().unwrap().iter().map(|one| one["reading"].as_str().unwrap()).collect();
    assert_eq!(ids, ["R-1/1", "R-1/3"], "a reading keeps its place");
    assert_eq!(shown["struck_readings"][0]["struck"]["why"], "mistyped, it was 7 7/16");
    let text = world.ok(&["report", "show", "R-1"]);
    assert!(text.contains("[struck on 2026-03-01 by RK: mistyped, it was 7 7/16]"), "{text}");
    assert!(world.ok(&["history", "--report", "R-1"]).contains("R-1/2"));
    world.assert_sound();
}

#[test]
fn turns_that_a_struck_reading_told_are_asked_for_anew_before_anything_is_turned() {
    let world = reported();
    world.ok(&["reading", "add", "R-1", "--brace", "6-15/16"]);
    let told = data(&world, &["strike", "R-1/2", "--why", "mistyped"]);
    let only = told["notices"].as_array().unwrap();
    assert!(only.len() == 1 && only[0].as_str().unwrap().ends_with("reading add R-1"), "{told}");
    world.ok(&["reading", "add", "R-1", "--turns-changed", "+8", "--brace", "7-1/8"]);
    world.ok(&["reading", "add", "R-1", "--brace", "7-3/16"]);
    let said = world.ok(&["strike", "R-1/3", "--why", "mistyped, it was 7 1/4"]);
    let said = said.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(said.contains("the turns it told, +8") && said.contains("they are in the string"), "{said}");
    assert!(said.contains("counts as the newest reading") && said.contains("reading add R-1"), "{said}");
}

#[test]
fn what_came_in_with_a_reading_goes_with_it_and_comes_back() {
    let world = reported();
    let message = world.write("mail.txt", "It is loud now, and I heard the limb creak.");
    let before = worked_out(&world, "R-1");
    let add = |world: &World| {
        world.ok(&[
            "reading",
            "add",
            "R-1",
            "--symptom",
            "noisy",
            "--symptom",
            "brace-low",
            "--brace",
            "6",
            "--text",
            message.to_str().unwrap(),
        ])
    };
    add(&world);
    let with = worked_out(&world, "R-1");
    assert_ne!(before, with);
    let refused = world.refused(1, &["strike", "R-1/2", "--why", "of another archer"]);
    assert!(refused.contains("creak") && refused.contains("--call-off 1"), "{refused}");
    let refused = world.refused(1, &["strike", "R-1/2", "--why", "of another archer", "--call-off", "2"]);
    assert!(refused.contains("no sign of danger \"2\""), "{refused}");
    world.ok(&["strike", "R-1/2", "--why", "of another archer", "--call-off", "1"]);
    assert_eq!(worked_out(&world, "R-1"), before);
    // The same mail may be logged to where it belongs; here it is logged once more.
    world.ok(&["unstrike", "R-1/2"]);
    assert_eq!(worked_out(&world, "R-1"), with, "the sign is open again");
    assert!(world.refused(1, &["unstrike", "R-1/2"]).contains("is not struck"));
    world.ok(&["strike", "R-1/2", "--why", "once more", "--call-off", "1"]);
    add(&world);
    assert_eq!(data(&world, &["report", "show", "R-1"])["signs"].as_array().unwrap().len(), 1);
    world.assert_sound();
}

#[test]
fn a_symptom_and_a_sign_that_another_reading_repeats_stay() {
    let world = reported();
    for name in ["one.txt", "two.txt"] {
        let message = world.write(name, format!("I heard the limb creak.\n\nYours,\n{name}"));
        world.ok(&["reading", "add", "R-1", "--symptom", "noisy", "--text", message.to_str().unwrap()]);
    }
    world.ok(&["strike", "R-1/2", "--why", "twice", "--call-off", "1"]);
    let shown = data(&world, &["report", "show", "R-1"]);
    assert_eq!(shown["symptoms"], serde_json::json!(["brace-low", "noisy"]));
    assert_eq!(shown["signs"][0]["standing"], "open", "the other message still says so: {shown}");
    world.ok(&["strike", "R-1/3", "--why", "too", "--call-off", "1"]);
    let shown = data(&world, &["report", "show", "R-1"]);
    assert_eq!(shown["symptoms"], serde_json::json!(["brace-low"]));
    assert_eq!(shown["signs"], serde_json::json!([]));
}

#[test]
fn the_first_reading_is_struck_without_the_report() {
    let world = reported();
    world.ok(&["strike", "R-1/1", "--why", "measured over the shelf"]);
    let bare = World::new();
    bare.add_string("S-1");
    bare.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--no-danger"]);
    let (advice, _) = worked_out(&world, "R-1");
    assert_eq!(advice, worked_out(&bare, "R-1").0);
    let refused = bare.refused(1, &["strike", "R-1/1", "--why", "x"]);
    assert!(
        refused.contains("holds no measurement") && refused.contains("fistmele strike R-1 "),
        "{refused}"
    );
}

#[test]
fn a_letter_that_rests_on_a_struck_reading_is_taken_back_by_the_next() {
    let world = reported();
    world.ok(&["letter", "R-1"]);
    assert_eq!(data(&world, &["report", "show", "R-1"])["standing"], "with-archer");
    world.ok(&["reading", "add", "R-1", "--turns-changed", "+9", "--brace", "7-3/16", "--no-danger"]);
    world.ok(&["letter", "R-1"]);
    let told = world.ok(&["strike", "R-1/2", "--why", "of another archer"]);
    assert!(told.contains("the next letter takes it back"), "{told}");
    assert_eq!(data(&world, &["report", "show", "R-1"])["standing"], "to-answer");
    for preview in [&["letter", "R-1", "--preview"] as &[&str], &["letter", "R-1"]] {
        let letter = world.ok(preview).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(letter.contains("leave aside our letter of 2026-03-01"), "{letter}");
        assert!(letter.contains("please turn nothing more for now, do not shoot"), "{letter}");
    }
    assert_eq!(data(&world, &["report", "show", "R-1"])["standing"], "with-archer");
    // The turns that were made by it can still be told.
    world.ok(&["reading", "add", "R-1", "--turns-changed", "+17", "--brace", "7-7/16", "--no-danger"]);
    assert!(!world.ok(&["letter", "R-1"]).contains("leave aside"));
    world.assert_sound();
}

#[test]
fn a_report_is_struck_and_is_nowhere_but_shown() {
    let world = reported();
    world.ok(&["settle", "R-1", "--outcome", "unfinished"]);
    world.ok(&["strike", "R-1", "--why", "logged to the wrong string"]);
    assert_eq!(data(&world, &["report", "list"]), serde_json::json!([]));
    assert_eq!(data(&world, &["due"])["in_time"], 0);
    assert_eq!(data(&world, &["sold", "show", "S-1"])["reports"], serde_json::json!([]));
    assert_eq!(data(&world, &["sold", "show", "S-1"])["struck_reports"][0]["report"], "R-1");
    let card = world.ok(&["sold", "show", "S-1"]);
    assert!(card.contains("[struck on 2026-03-01 by RK: logged to the wrong string]"), "{card}");
    assert_eq!(data(&world, &["report", "show", "R-1"])["struck"]["why"], "logged to the wrong string");
    for command in [
        &["advise", "R-1"] as &[&str],
        &["letter", "R-1"],
        &["reading", "add", "R-1", "--brace", "7"],
        &["remake", "R-1"],
        &["settle", "R-1"],
        &["resume", "R-1"],
        &["strike", "R-1", "--why", "twice"],
        &["strike", "R-1/1", "--why", "twice"],
    ] {
        let refused = world.refused(1, command);
        assert!(refused.contains("struck") && refused.contains("fistmele unstrike R-1"), "{refused}");
    }
    assert_eq!(data(&world, &["month", "2026-01"]), {
        let quiet = World::new();
        quiet.add_string("S-1");
        data(&quiet, &["month", "2026-01"])
    });
    // The number is not given again.
    world.ok(&["report", "add", "S-1", "--symptom", "noisy"]);
    assert_eq!(data(&world, &["report", "list"])[0]["report"], "R-2");
    let refused = world.refused(1, &["unstrike", "R-1"]);
    assert!(refused.contains("R-2 was logged for the same string"), "{refused}");
    world.ok(&["strike", "R-2", "--why", "too"]);
    world.ok(&["unstrike", "R-1"]);
    assert_eq!(data(&world, &["report", "list"])[0]["standing"], "settled");
    world.assert_sound();
}

#[test]
fn danger_is_called_off_by_name_before_its_report_is_struck() {
    let world = World::new();
    world.add_string("S-1");
    let message = world.write("mail.txt", "A strand broke yesterday while I shot.");
    world.ok(&[
        "report",
        "add",
        "S-1",
        "--symptom",
        "dry-fire",
        "--photo",
        "damaged",
        "--text",
        message.to_str().unwrap(),
    ]);
    let refused = world.refused(1, &["strike", "R-1", "--why", "wrong string"]);
    for part in ["sign 1", "dry-fire", "photo", "--call-off 1 --call-off dry-fire --call-off photo"] {
        assert!(refused.contains(part), "{part}: {refused}");
    }
    world.refused(1, &["strike", "R-1", "--why", "wrong string", "--call-off", "1"]);
    world.ok(&[
        "strike",
        "R-1",
        "--why",
        "wrong string",
        "--call-off",
        "1",
        "--call-off",
        "dry-fire",
        "--call-off",
        "photo",
    ]);
    assert!(world.ok(&["history", "--report", "R-1"]).contains("call-off:dry-fire"));
    world.ok(&["unstrike", "R-1"]);
    assert_eq!(data(&world, &["advise", "R-1"])["verdict"], "stop", "the danger is back with it");
}

#[test]
fn what_others_rest_on_is_not_struck_under_them() {
    let world = reported();
    world.ok(&["settle", "R-1", "--sure"]);
    let refused = world.refused(1, &["strike", "R-1/1", "--why", "x"]);
    assert!(refused.contains("settled") && refused.contains("fistmele resume R-1"), "{refused}");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7", "--no-danger"]);
    world.ok(&["settle", "R-2", "--sure"]);
    let refused = world.refused(1, &["strike", "R-1", "--why", "x"]);
    assert!(refused.contains("fistmele resume R-2"), "{refused}");

    let made = reported();
    made.ok(&["remake", "R-1", "--length", "57"]);
    let told = made.ok(&["strike", "R-1", "--why", "x"]);
    assert!(told.contains("S-2") && told.contains("stays used"), "{told}");
    assert_eq!(data(&made, &["sold", "find", "S-2"]), serde_json::json!([]));
    made.ok(&["unstrike", "R-1"]);
    assert_eq!(data(&made, &["report", "show", "R-1"])["standing"], "on-bench");
    made.ok(&["remake", "sent", "R-1"]);
    let refused = made.refused(1, &["strike", "R-1", "--why", "x"]);
    assert!(
        refused.contains("S-2 was posted for R-1") && refused.contains("fistmele settle R-1"),
        "{refused}"
    );
    made.assert_sound();
}

#[test]
fn what_was_built_over_is_not_brought_back() {
    for (step, said) in [
        (&["reading", "add", "R-1", "--brace", "7"] as &[&str], "has a newer reading"),
        (&["letter", "R-1", "--no-danger"], "a letter went out on R-1"),
        (&["remake", "R-1", "--length", "57"], "put on the bench"),
        (&["settle", "R-1", "--sure"], "settled"),
    ] {
        let world = reported();
        world.ok(&["reading", "add", "R-1", "--turns-changed", "+4", "--brace", "7-1/16"]);
        world.ok(&["strike", "R-1/2", "--why", "x"]);
        world.ok(step);
        let refused = world.refused(1, &["unstrike", "R-1/2"]);
        assert!(refused.contains(said), "{said}: {refused}");
    }
}

#[test]
fn what_is_not_there_cannot_be_struck() {
    let world = reported();
    for (what, said) in [
        ("R-7", "no report \"R-7\""),
        ("R-1/7", "no reading \"R-1/7\""),
        ("R-1/0", "no reading"),
        ("R-1/two", "no reading"),
    ] {
        let refused = world.refused(1, &["strike", what, "--why", "x"]);
        assert!(refused.contains(said), "{refused}");
        world.refused(1, &["unstrike", what]);
    }
    assert!(world.refused(1, &["strike", "R-1", "--why", " "]).contains("why it is struck is missing"));
    let long = "x".repeat(501);
    assert!(world.refused(1, &["strike", "R-1", "--why", &long]).contains("reason"));
    assert_eq!(world.run(&["strike", "R-1"]).status.code(), Some(2));
}

/// A book with a second string of another archer, and what is worked out of all of it.
fn two_strings() -> World {
    let world = World::new();
    world.add_string("S-1");
    world.add_string("S-2");
    world
}

#[test]
fn a_string_entered_by_mistake_is_struck_and_is_nowhere_but_shown() {
    let world = two_strings();
    let alone = World::new();
    alone.add_string("S-1");
    let told = world.ok(&["strike", "S-2", "--why", "entered twice"]);
    assert!(told.contains("S-2 is struck on 2026-03-01 by RK: entered twice"), "{told}");
    assert!(told.contains("fistmele unstrike S-2 brings it back; fistmele sold show S-2"), "{told}");
    for command in [
        &["spool", "list"] as &[&str],
        &["due"],
        &["month", "2026-02"],
        &["sold", "find", "S-"],
        &["report", "list"],
        &["effects"],
    ] {
        assert_eq!(data(&world, command), data(&alone, command), "{command:?}");
    }
    let shown = data(&world, &["sold", "show", "S-2"]);
    assert_eq!((&shown["struck"]["why"], &shown["struck"]["who"]), (&"entered twice".into(), &"RK".into()));
    let card = world.ok(&["sold", "show", "S-2"]);
    assert!(
        card.contains("[struck on 2026-03-01 by RK: entered twice] nothing is worked out from it"),
        "{card}"
    );
    assert!(world.ok(&["history", "--string", "S-2"]).contains("strike"));
    for command in [
        &["report", "add", "S-2", "--symptom", "noisy"] as &[&str],
        &["card", "S-2"],
        &["bow", "edit", "S-2", "--brace-range", "7-1/2..8"],
        &["strike", "S-2", "--why", "twice"],
    ] {
        let refused = world.refused(1, command);
        assert!(refused.contains("S-2 is struck") && refused.contains("fistmele unstrike S-2"), "{refused}");
    }
    world.ok(&["unstrike", "s-2"]);
    let both = two_strings();
    for command in
        [&["due"] as &[&str], &["month", "2026-02"], &["sold", "find", "S-"], &["sold", "show", "S-2"]]
    {
        assert_eq!(data(&world, command), data(&both, command), "{command:?}");
    }
    assert!(world.refused(1, &["unstrike", "S-2"]).contains("is not struck"));
    world.assert_sound();
}

#[test]
fn a_string_is_not_struck_under_what_rests_on_it() {
    let world = reported();
    let refused = world.refused(1, &["strike", "S-1", "--why", "x"]);
    assert!(refused.contains("R-1 of S-1 is open") && refused.contains("fistmele settle R-1"), "{refused}");
    world.ok(&["settle", "R-1", "--outcome", "unfinished"]);
    let told = world.ok(&["strike", "S-1", "--why", "of another shop"]);
    assert!(told.contains("left out with it: R-1"), "{told}");
    assert_eq!(data(&world, &["report", "list"]), serde_json::json!([]));
    assert_eq!(data(&world, &["report", "show", "R-1"])["struck"]["why"], "of another shop");
    for command in [&["resume", "R-1"] as &[&str], &["strike", "R-1/1", "--why", "x"]] {
        let refused = world.refused(1, command);
        assert!(refused.contains("S-1 is struck") && refused.contains("fistmele unstrike S-1"), "{refused}");
    }
    world.ok(&["unstrike", "S-1"]);
    assert_eq!(data(&world, &["report", "list"])[0]["standing"], "settled");

    let danger = World::new();
    danger.add_string("S-1");
    danger.ok(&["report", "add", "S-1", "--symptom", "dry-fire"]);
    danger.ok(&["settle", "R-1", "--sure"]);
    let refused = danger.refused(1, &["strike", "S-1", "--why", "x"]);
    assert!(refused.contains("R-1 of S-1 holds signs of danger: dry-fire"), "{refused}");
    danger.ok(&["strike", "R-1", "--why", "x", "--call-off", "dry-fire"]);
    danger.ok(&["strike", "S-1", "--why", "x"]);
    let refused = danger.refused(1, &["unstrike", "R-1"]);
    assert!(refused.contains("fistmele unstrike S-1"), "{refused}");
    world.assert_sound();
}

#[test]
fn a_replacement_is_struck_on_the_bench_and_not_in_the_post() {
    let world = reported();
    let before = data(&world, &["report", "show", "R-1"]);
    world.ok(&["remake", "R-1", "--length", "57"]);
    let refused = world.refused(1, &["strike", "S-1", "--why", "x"]);
    assert!(refused.contains("R-1 of S-1 is open"), "{refused}");
    world.ok(&["strike", "S-2", "--why", "not needed after all"]);
    assert_eq!(data(&world, &["report", "show", "R-1"]), before, "as if it had never been made");
    world.ok(&["remake", "R-1", "--length", "57"]);
    let refused = world.refused(1, &["unstrike", "S-2"]);
    assert!(refused.contains("S-3 was put on the bench for R-1 since"), "{refused}");
    world.ok(&["remake", "sent", "R-1"]);
    let refused = world.refused(1, &["strike", "S-3", "--why", "x"]);
    assert!(refused.contains("S-3 was posted for R-1"), "{refused}");
    world.ok(&["settle", "R-1"]);
    let refused = world.refused(1, &["strike", "S-1", "--why", "x"]);
    assert!(refused.contains("S-3 was posted for R-1"), "{refused}");

    let linked = World::new();
    linked.add_string("S-1");
    linked.ok(&[
        "sold",
        "add",
        "--serial",
        "S-2",
        "--route",
        "marked",
        "--ordered",
        "58",
        "--yarn",
        "hmpe",
        "--replaces",
        "S-1",
    ]);
    let refused = linked.refused(1, &["strike", "S-1", "--why", "x"]);
    assert!(refused.contains("S-2 replaces S-1") && refused.contains("fistmele strike S-2"), "{refused}");
    linked.ok(&["strike", "S-2", "--why", "x"]);
    assert_eq!(data(&linked, &["sold", "show", "S-1"])["replaced_by"], serde_json::json!([]));
    linked.ok(&["strike", "S-1", "--why", "x"]);
    assert!(linked.refused(1, &["unstrike", "S-2"]).contains("fistmele unstrike S-1"));
    world.assert_sound();
    linked.assert_sound();
}

#[test]
fn a_struck_serial_is_not_given_again_and_an_import_leaves_it_struck() {
    let world = World::new();
    let rows = "serial,sold_on,route,ordered_length,yarn\nT-1,2026-01-10,marked,58,hmpe\nT-2,2026-01-11,marked,60,hmpe\n";
    let file = world.write("orders.csv", rows);
    let import = |file: &std::path::Path| data(&world, &["sold", "import", file.to_str().unwrap()]);
    import(&file);
    world.ok(&["strike", "T-2", "--why", "the shop cancelled it"]);
    let again = import(&file);
    assert_eq!((&again["added"], &again["unchanged"], &again["struck"]), (&0.into(), &1.into(), &1.into()));
    // So does a row that says otherwise of it.
    let other = world.write("other.csv", rows.replace(",60,", ",61,"));
    assert_eq!(import(&other)["struck"], 1);
    let told = world.ok(&["sold", "import", file.to_str().unwrap()]);
    assert!(told.contains("1 of them struck in the book"), "{told}");
    let refused = world.refused(
        1,
        &["sold", "add", "--serial", "T-2", "--route", "marked", "--ordered", "58", "--yarn", "hmpe"],
    );
    assert!(
        refused.contains("serial T-2 is taken: by a string that is struck") && refused.contains("T-2-2"),
        "{refused}"
    );
    assert_eq!(data(&world, &["sold", "find", "T-2"]), serde_json::json!([]));
    world.assert_sound();
}

#[test]
fn what_reads_like_a_report_is_one_unless_it_is_called_a_string() {
    let world = reported();
    world.add_string("R-1");
    world.add_string("1");
    world.add_string("R-9");
    let refused = world.refused(1, &["strike", "1", "--why", "x"]);
    assert!(refused.contains("string:1") && refused.contains("R-1 for the report"), "{refused}");
    assert_eq!(data(&world, &["strike", "string:R-1", "--why", "x"])["what"], "string");
    assert_eq!(data(&world, &["strike", "string:1", "--why", "x"])["id"], "1");
    assert_eq!(data(&world, &["strike", "R-9", "--why", "x"])["what"], "string");
    assert_eq!(data(&world, &["strike", "R-1", "--why", "x"])["what"], "report");
    for what in ["S-7", "string:S-7"] {
        assert!(world.refused(1, &["strike", what, "--why", "x"]).contains("no string \"S-7\""));
    }
    let refused = world.refused(1, &["strike", "S-1", "--why", "x", "--never-sent"]);
    assert!(refused.contains("S-1 is no letter"), "{refused}");
}

#[test]
fn what_is_told_to_bring_a_string_back_brings_the_string_back() {
    let world = reported();
    world.add_string("R-1");
    let struck = world.ok(&["strike", "string:R-1", "--why", "x"]);
    let told = [
        struck,
        world.refused(1, &["strike", "string:R-1", "--why", "x"]),
        world.refused(1, &["report", "add", "R-1", "--symptom", "noisy"]),
        world.refused(
            1,
            &[
                "sold", "add", "--serial", "R-1", "--archer", "Una", "--route", "marked", "--stated", "62",
                "--kind", "recurve",
            ],
        ),
    ];
    for said in &told {
        assert!(said.contains("fistmele unstrike string:R-1"), "{said}");
    }
    assert_eq!(data(&world, &["unstrike", "string:R-1"])["what"], "string");
}

#[test]
fn a_letter_that_never_went_out_is_struck_and_one_that_did_is_not() {
    let world = reported();
    world.ok(&["advise", "R-1"]);
    let before = worked_out(&world, "R-1");
    world.ok(&["letter", "R-1"]);
    let with = data(&world, &["report", "show", "R-1"]);
    assert_eq!((&with["letters"][0]["id"], &with["standing"]), (&"R-1/L1".into(), &"with-archer".into()));
    assert!(world.ok(&["report", "show", "R-1"]).contains("R-1/L1"));
    let refused = world.refused(1, &["strike", "R-1/L1", "--why", "the mail program crashed"]);
    for part in ["went out on 2026-03-01", "withdrawn by a new letter", "fistmele strike R-1/L1 --never-sent"]
    {
        assert!(refused.contains(part), "{part}: {refused}");
    }
    world.ok(&["strike", "R-1/L1", "--never-sent", "--why", "the mail program crashed"]);
    assert_eq!(worked_out(&world, "R-1"), before, "nothing was answered, and no answer was paid for");
    let shown = data(&world, &["report", "show", "R-1"]);
    assert_eq!(shown["letters"], serde_json::json!([]));
    assert_eq!(shown["struck_letters"][0]["struck"]["why"], "the mail program crashed");
    let text = world.ok(&["report", "show", "R-1"]);
    assert!(text.contains("[struck on 2026-03-01 by RK: the mail program crashed]"), "{text}");
    assert!(world.refused(1, &["strike", "R-1/L1", "--never-sent", "--why", "x"]).contains("is struck"));
    world.ok(&["unstrike", "R-1/L1"]);
    assert_eq!(data(&world, &["report", "show", "R-1"]), with);
    world.ok(&["strike", "R-1/L1", "--never-sent", "--why", "once more"]);
    // The very letter goes out after all: it is another one.
    world.ok(&["letter", "R-1"]);
    let shown = data(&world, &["report", "show", "R-1"]);
    assert_eq!((&shown["letters"][0]["id"], &shown["standing"]), (&"R-1/L2".into(), &"with-archer".into()));
    assert_eq!(shown["cost_cents"], with["cost_cents"], "one answer was paid for");
    let refused = world.refused(1, &["unstrike", "R-1/L1"]);
    assert!(refused.contains("a letter went out on R-1 since"), "{refused}");
    assert!(world.refused(1, &["strike", "R-1/L3", "--why", "x"]).contains("no letter \"R-1/L3\""));
    // Turns were made by it: it did go out, whatever is said.
    world.ok(&["reading", "add", "R-1", "--turns-changed", "+17", "--brace", "7-7/16", "--no-danger"]);
    let refused = world.refused(1, &["strike", "R-1/L2", "--never-sent", "--why", "x"]);
    assert!(
        refused.contains("told of turns since") && refused.contains("withdrawn by a new letter"),
        "{refused}"
    );
    // An older one whose place was taken can be told from it all the same.
    world.ok(&["settle", "R-1", "--sure"]);
    let refused = world.refused(1, &["strike", "R-1/L2", "--never-sent", "--why", "x"]);
    assert!(refused.contains("fistmele resume R-1"), "{refused}");
    world.assert_sound();
}

#[test]
fn one_letter_about_two_reports_is_named_with_both() {
    let world = reported();
    world.ok(&[
        "sold",
        "add",
        "--serial",
        "S-2",
        "--route",
        "marked",
        "--ordered",
        "58",
        "--yarn",
        "hmpe",
        "--same-bow",
        "S-1",
    ]);
    world.ok(&["report", "add", "S-2", "--symptom", "brace-low", "--brace", "7", "--no-danger"]);
    world.ok(&["letter", "R-1", "R-2"]);
    let told = data(&world, &["strike", "R-1/L1", "--never-sent", "--why", "x"]);
    assert!(told["notices"][0].as_str().unwrap().contains("R-2/L1"), "{told}");
    let told = data(&world, &["strike", "R-2/L1", "--never-sent", "--why", "x"]);
    assert_eq!(told["notices"], serde_json::json!([]));
    assert_eq!(data(&world, &["due"])["in_time"], 0);
}

#[test]
fn a_struck_reading_teaches_nothing() {
    let world = World::demo(300);
    let effects = data(&world, &["effects"]);
    let report = data(&world, &["report", "list"])
        .as_array()
        .unwrap()
        .iter()
        .map(|line| line["report"].as_str().unwrap().to_owned())
        .find(|report| {
            let shown = data(&world, &["report", "show", report]);
            shown["readings"].as_array().unwrap().len() == 2
        })
        .unwrap();
    world.ok(&["strike", &report, "--why", "x"]);
    let without = data(&world, &["effects"]);
    assert_eq!(
        without["readings"].as_u64().unwrap() + 1,
        effects["readings"].as_u64().unwrap(),
        "{report} taught something"
    );
    world.ok(&["unstrike", &report]);
    assert_eq!(data(&world, &["effects"]), effects);
}

#[test]
fn a_struck_thing_is_in_exports_and_goes_with_its_archer() {
    let world = reported();
    world.ok(&["strike", "R-1", "--why", "Odalind meant her other bow"]);
    world.ok(&["export", world.path("out").to_str().unwrap()]);
    let restored = world.path("restored.db");
    let output =
        World::command_on(&restored).args(["restore", world.path("out").to_str().unwrap()]).output().unwrap();
    assert!(output.status.success(), "{output:?}");
    let shown = World::command_on(&restored).args(["report", "show", "R-1", "--json"]).output().unwrap();
    assert!(String::from_utf8_lossy(&shown.stdout).contains("her other bow"));
    world.ok(&["forget", "A-1", "--yes"]);
    let shown = data(&world, &["report", "show", "R-1"]);
    assert_eq!(shown["struck"]["why"], Value::Null);
    assert_eq!(shown["struck"]["who"], "RK");
    assert!(!std::fs::read(&world.book).unwrap().windows(13).any(|part| part == b"her other bow"));
    world.assert_sound();
}

#[test]
fn turns_that_were_decided_on_a_struck_reading_do_not_hold() {
    let world = reported();
    let more = |brace: &str| {
        world.ok(&["reading", "add", "R-1", "--turns-changed", "+9", "--brace", brace, "--no-danger"])
    };
    more("7-3/16");
    world.ok(&["decide", "R-1", "--turns", "+12", "--why", "she likes it low"]);
    let holds = || data(&world, &["advise", "R-1"])["turns"] == 12;
    assert!(holds());
    world.ok(&["strike", "R-1/2", "--why", "of another archer"]);
    assert!(!holds(), "what it was decided on is struck");
    world.ok(&["unstrike", "R-1/2"]);
    assert!(holds(), "what it was decided on is back");
    world.ok(&["strike", "R-1/2", "--why", "of another archer"]);
    more("7-1/4");
    let advice = data(&world, &["advise", "R-1"]);
    assert!(advice["reasons"].to_string().contains("held for what had been read by then"), "{advice}");
    world.ok(&["decide", "R-1", "--turns", "+12", "--why", "she likes it low"]);
    assert!(holds());
    world.assert_sound();
}

#[test]
fn another_string_for_the_bow_is_worked_out_anew_without_what_taught_it() {
    let world = reported();
    world.ok(&[
        "sold",
        "add",
        "--serial",
        "S-2",
        "--same-bow",
        "S-1",
        "--email",
        "odalind@example.org",
        "--route",
        "marked",
        "--stated",
        "62",
        "--yarn",
        "hmpe",
        "--strands",
        "16",
        "--turns",
        "24",
        "--sold-on",
        "2026-02-05",
    ]);
    world.ok(&["reading", "add", "R-1", "--turns-changed", "+17", "--brace", "7-7/16", "--no-danger"]);
    world.ok(&[
        "report",
        "add",
        "S-2",
        "--symptom",
        "brace-low",
        "--brace",
        "7",
        "--want",
        "7-1/2..8",
        "--no-danger",
    ]);
    assert_eq!(data(&world, &["advise", "R-2"])["bow_taught_by"], "S-1");
    world.ok(&["strike", "R-1/2", "--why", "of another archer"]);
    let stored = world.count("verdict");
    assert_eq!(data(&world, &["advise", "R-2"])["bow_taught_by"], Value::Null);
    assert_eq!(world.count("verdict"), stored, "the verdict on it was worked out anew at once");
}

#[test]
fn a_strike_touches_no_verdict_of_before_and_swallows_no_change_from_elsewhere() {
    let world = World::new();
    for serial in ["S-1", "S-2"] {
        world.add_string(serial);
        world.ok(&["report", "add", serial, "--symptom", "brace-low", "--brace", "7", "--want", "7-1/2..8"]);
    }
    let told = |report: &str| world.ok(&["history", "--report", report]).matches("advice").count();
    world.ok(&["letter", "R-1", "--no-danger"]);
    world.ok(&["letter", "R-2", "--no-danger"]);
    // Of before the mistake: nothing to work out anew, and what the setting changes is still told.
    world.ok(&["reading", "add", "R-2", "--brace", "6", "--no-danger"]);
    world.ok(&["setting", "set", "reading.sd", "0.2"]);
    let (stored, steps) = (world.count("verdict"), told("R-1"));
    world.ok(&["strike", "R-2/2", "--why", "of another archer"]);
    assert_eq!(world.count("verdict"), stored);
    world.ok(&["advise", "R-1"]);
    assert_eq!(told("R-1"), steps + 1);
    world.ok(&["advise", "R-2"]);

    // Of the time in which it stood: worked out anew, on a string for another bow too, and the setting
    // is told by the next.
    world.ok(&["reading", "add", "R-2", "--turns-changed", "+17", "--brace", "7-3/8", "--no-danger"]);
    let taught = data(&world, &["advise", "R-1"]);
    assert_eq!(taught["own_readings"], 1);
    world.ok(&["setting", "set", "reading.sd", "0.1"]);
    let (stored, steps) = (world.count("verdict"), told("R-1"));
    world.ok(&["strike", "R-2/3", "--why", "of another archer"]);
    assert_eq!(world.count("verdict"), stored + 1, "R-1 has a verdict without it; R-2 had none with it");
    assert_eq!(told("R-1"), steps, "that is no step");
    assert_eq!(data(&world, &["advise", "R-1"])["own_readings"], 0);
    assert_eq!(told("R-1"), steps + 1, "the setting is");
    world.assert_sound();
}

#[test]
fn what_a_struck_message_told_of_the_bow_goes_with_it_and_comes_back() {
    let line = |world: &World, text: &str| world.ok(&text.split_whitespace().collect::<Vec<_>>());
    let told = "report add S-1 --symptom brace-low --brace 7 --no-danger --brace-range 7..7-1/2 --bow-kind longbow --bow-year 1999";
    let sold = "sold add --serial S-1 --archer Odalind --email o@example.org --bow-kind recurve --marked 62 --route marked --stated 62 --yarn hmpe --strands 16 --turns 24 --sold-on 2026-02-05";
    let world = World::new();
    line(&world, sold);
    let before = data(&world, &["bow", "show", "S-1"])["bow"].take();
    line(&world, told);
    let with = data(&world, &["bow", "show", "S-1"])["bow"].take();
    assert_eq!((&with["kind"], &with["brace_low_inch"]), (&"longbow".into(), &7.0.into()));
    let said = world.ok(&["strike", "R-1", "--why", "another archer's"]);
    assert!(said.contains("what it told of the bow goes with it"), "{said}");
    assert_eq!(data(&world, &["bow", "show", "S-1"])["bow"], before);
    world.ok(&["unstrike", "R-1"]);
    assert_eq!(data(&world, &["bow", "show", "S-1"])["bow"], with);
    // It goes with the first reading too: whoever mistyped it strikes that.
    world.ok(&["strike", "R-1/1", "--why", "mistyped"]);
    assert_eq!(data(&world, &["bow", "show", "S-1"])["bow"], before);
    world.ok(&["unstrike", "R-1/1"]);
    assert_eq!(data(&world, &["bow", "show", "S-1"])["bow"], with);

    // What is said again, or corrected since, stays.
    line(&world, "reading add R-1 --brace 7 --bow-year 1999 --tips reinforced --no-danger");
    line(&world, "bow edit S-1 --bow-kind selfbow");
    world.ok(&["strike", "R-1/2", "--why", "another archer's"]);
    let now = data(&world, &["bow", "show", "S-1"])["bow"].take();
    assert_eq!((&now["year"], &now["tips"]), (&1999.into(), &"unknown".into()));
    world.ok(&["unstrike", "R-1/2"]);
    world.ok(&["strike", "R-1", "--why", "another archer's"]);
    let now = data(&world, &["bow", "show", "S-1"])["bow"].take();
    assert_eq!((&now["kind"], &now["year"]), (&"selfbow".into(), &Value::Null), "{now}");
    assert_eq!(now["brace_low_inch"], Value::Null);
    world.assert_sound();
}

#[test]
fn what_was_struck_is_looked_through() {
    let cases = [
        (
            "INSERT INTO strike (event_id, what, string_id, report_number, why) SELECT event_id, what, string_id, report_number, why FROM strike",
            "struck twice: report of R-1",
        ),
        ("UPDATE strike SET what = 'spool'", "do not say what was struck: strike 1"),
        ("UPDATE strike SET what = 'reading'", "do not say what was struck: strike 1"),
        ("UPDATE strike SET what = 'reading', reading_id = 2", "a reading of another report: R-1"),
        ("UPDATE strike SET what = 'letter', letter_id = 1", "none of the report's: R-1"),
        ("UPDATE strike SET string_id = 2", "a report of another string: R-1"),
        ("UPDATE strike SET event_id = 1", "the history says nothing of: strike 1"),
        ("UPDATE strike SET undoes = id", "brought back that were not struck: strike 1"),
        ("UPDATE event SET reading_id = 1 WHERE report_number = 2", "a reading of another report: R-2"),
    ];
    for (change, said) in cases {
        let world = reported();
        world.add_string("S-2");
        world.ok(&["report", "add", "S-2", "--symptom", "noisy"]);
        world.ok(&["strike", "R-1", "--why", "logged to the wrong string"]);
        world.assert_sound();
        rusqlite::Connection::open(&world.book).unwrap().execute_batch(change).unwrap();
        let looked = world.run(&["verify"]);
        let told =
            format!("{}{}", String::from_utf8_lossy(&looked.stdout), String::from_utf8_lossy(&looked.stderr));
        let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(said), "{change}: {told}");
    }
}

/// Statements read the tables without what was struck. Those that read them whole stand here, by
/// their file, with why.
const READ_WHOLE: [(&str, &str); 19] = [
    ("archers.rs", "a bow is kept as long as any string is for it"),
    ("bow_told.rs", "with the struck ones left out in words"),
    ("cases.rs", "which line a cost belongs to"),
    ("copies.rs", "a copy holds everything"),
    ("forget.rs", "a person is erased from struck things too"),
    ("history.rs", "the history tells everything"),
    ("live.rs", "the views themselves"),
    ("mod.rs", "how far the history is, and what a line belongs to"),
    ("month.rs", "whether anything was written since a sheet was made, a strike among it"),
    ("old_reports.rs", "a row that was struck does not come back with an old file"),
    ("personal.rs", "a person is erased from struck things too"),
    ("questions_back.rs", "which reading is the newest"),
    ("reports.rs", "what is shown struck through"),
    ("signs.rs", "numbers that are given once"),
    ("tables.rs", "an export holds everything"),
    ("second.rs", "by an index, with the struck ones left out in words"),
    ("sent.rs", "what is shown struck through"),
    ("strikes.rs", "what was struck"),
    ("strings.rs", "what is shown struck through, and serials that are given once"),
];

#[test]
fn no_statement_reads_a_table_whole_unless_it_says_why() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/book");
    let live = std::fs::read_to_string(folder.join("live.rs")).unwrap();
    let tables: Vec<&str> = live
        .split("CREATE TEMP VIEW ")
        .skip(1)
        .map(|rest| rest.split_whitespace().next().unwrap())
        .filter(|name| !name.starts_with("struck"))
        .collect();
    assert!(tables.contains(&"reading") && tables.contains(&"string"), "{tables:?}");
    let may: Vec<&str> = READ_WHOLE.iter().map(|(file, _)| *file).collect();
    for entry in std::fs::read_dir(&folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let source = std::fs::read_to_string(&path).unwrap();
        for table in &tables {
            for lead in ["FROM", "JOIN"] {
                let whole = source.contains(&format!("{lead} main.{table} "));
                assert!(!whole || may.contains(&name.as_str()), "{name} reads all of {table}: why?");
            }
            // The look-through has a connection of its own, which sees every row.
            for lead in ["INSERT INTO", "UPDATE"] {
                let bare = source.contains(&format!("{lead} {table} "));
                assert!(!bare, "{name} writes to {table} without main.");
            }
        }
    }
}
