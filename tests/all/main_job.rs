//! The main job through the program: import what was sold, log a mail, advise, answer.

use crate::answers::{FoundData, ImportData, StringData};
use crate::world::{World, snapshot};

fn data(name: &str) -> String {
    format!("{}/tests/data/{name}", env!("CARGO_MANIFEST_DIR"))
}

fn import<'a>(file: &'a str, map: &'a str, more: &[&'a str]) -> Vec<&'a str> {
    [&["sold", "import", file, "--columns", map], more].concat()
}

/// A workshop with the shop's 300 strings.
fn with_the_shops_export() -> World {
    let world = World::new();
    let (file, map) = (data("shop-export.csv"), data("shop-columns.json"));
    let (done, warnings): (ImportData, _) = world.json_of(import(&file, &map, &[]));
    assert_eq!((done.rows, done.added, done.unchanged, done.bad), (300, 300, 0, 0));
    assert_eq!(done.ignored_columns, ["Versandart", "Gutscheincode"]);
    assert!(warnings.iter().any(|warning| warning.contains("Versandart, Gutscheincode")), "{warnings:?}");
    world
}

#[test]
fn a_mail_is_answered_from_the_shops_export() {
    let world = with_the_shops_export();
    let found: Vec<FoundData> = world.json("sold find corbinian bramblecott");
    assert_eq!(found.len(), 1, "{found:?}");
    assert_eq!((found[0].serial.as_str(), found[0].exact), ("T-0216", true));
    let mail = world.write(
        "mail.txt",
        "Hello, my brace height is 6 7/8 and should be 7 1/2 to 8. What shall I do?\nCorbinian\n",
    );
    let said = "report add t-0216 --symptom brace-low --brace 6-7/8 --want 7-1/2..8 --text";
    // Whoever has read the mail says that there is no danger in it.
    let logged = world.run(said.split(' ').chain([mail.as_str(), "--no-danger"])).done();
    let advised = world.line("advise R-1").done();
    let letter = world.line("letter R-1").done();
    snapshot!("main-job", [logged.text(), advised.text(), letter.text()].join("\n"));
    let advice = world.advise("R-1");
    assert_eq!((advice.verdict.as_str(), advice.likely_cause.as_str()), ("adjust", "sizing"));
    assert_eq!((advice.want_low_inch, advice.want_high_inch), (Some(7.5), Some(8.0)));
    assert_eq!(advice.standing, "with-archer", "asked again after the letter nothing moves");
    let turns = advice.turns.unwrap();
    assert!(letter.stdout.contains(&format!("Please put in {turns} full turns")), "{}", letter.stdout);
}

#[test]
fn the_export_is_read_as_messy_as_it_is() {
    let world = with_the_shops_export();
    let string: StringData = world.json("sold show T-0216");
    assert_eq!(string.archer.name.as_deref(), Some("Bramblecott, Corbinian"));
    assert_eq!((string.bow.brace_low_inch, string.bow.brace_high_inch), (Some(7.25), Some(8.0)));
    assert!((string.bow.marked_length_inch.unwrap() - 162.6 / 2.54).abs() < 1e-9);
    assert!((string.stated_inch.unwrap() - 151.8 / 2.54).abs() < 1e-9);
    assert_eq!((string.ordered_length_inch, string.built_length_inch), (59.75, Some(59.625)));
    assert_eq!((string.strands, string.plies, string.turns), (Some(16), Some(2), Some(19.0)));
    assert_eq!((string.price_cents, string.old_measured.as_deref()), (Some(2800), Some("inside")));
    assert_eq!((string.yarn.as_str(), string.route.as_str()), ("polyester", "old-string"));
    let first: StringData = world.json("sold show T-0001");
    assert_eq!(first.bow.draw_weight_lb, Some(30.0));
    assert_eq!(first.bow.draw_at_inch, Some(28.0));
    let quoted: Vec<FoundData> = world.json("sold find wys");
    assert!(quoted.iter().any(|line| line.archer.as_deref() == Some("Wystan \"Wys\" Oakapple")));
}

#[test]
fn the_same_file_twice_changes_nothing() {
    let world = with_the_shops_export();
    let before = world.everything();
    let (file, map) = (data("shop-export.csv"), data("shop-columns.json"));
    let (again, _): (ImportData, _) = world.json_of(import(&file, &map, &[]));
    assert_eq!((again.rows, again.added, again.unchanged), (300, 0, 300));
    assert!(world.everything() == before, "the book changed");
}

#[test]
fn a_trial_run_writes_nothing() {
    let world = World::new();
    let before = world.everything();
    let (file, map) = (data("shop-export.csv"), data("shop-columns.json"));
    let (trial, _): (ImportData, _) = world.json_of(import(&file, &map, &["--dry-run"]));
    assert_eq!((trial.added, trial.dry_run), (300, true));
    assert!(world.everything() == before, "the book changed");
    let _ = world.run(import(&file, &map, &["--dry-run"])).done().says(&["300 strings would be added"]);
}

#[test]
fn a_damaged_export_is_told_row_by_row_and_writes_nothing() {
    let world = World::new();
    let before = world.everything();
    let (file, map) = (data("shop-export-damaged.csv"), data("shop-columns.json"));
    let expected = std::fs::read_to_string(data("shop-export-damaged.txt")).unwrap();
    let run = world.run(import(&file, &map, &[])).refused().says(&["nothing was written", "--skip-bad"]);
    for line in expected.lines() {
        assert!(run.stderr.contains(line), "{line:?} is not told in {}", run.stderr);
    }
    let told =
        run.stderr.lines().filter(|line| line.contains("line ") && line.contains(" - expected ")).count();
    assert_eq!(told, expected.lines().count());
    let error = world.error(import(&file, &map, &[]));
    assert_eq!(error.kind, "bad-value");
    assert_eq!(error.hints.len(), expected.lines().count() + 1, "one hint for each bad value and a way out");
    assert!(world.everything() == before, "something was written");
}

#[test]
fn the_good_rows_are_written_and_the_bad_ones_saved_on_demand() {
    let world = World::new();
    let (file, map) = (data("shop-export-damaged.csv"), data("shop-columns.json"));
    let bad = world.arg("bad rows.csv");
    let run = world.run(import(&file, &map, &["--skip-bad", &bad])).done();
    let run = run.says(&["2 strings added", "bad rows were saved"]);
    assert!(run.stderr.contains("line 13, column brace_high"), "{}", run.stderr);
    let saved = std::fs::read_to_string(world.path("bad rows.csv")).unwrap();
    // The mark of the encoding stays, by which a spreadsheet knows it.
    let saved = saved.strip_prefix('\u{feff}').unwrap();
    assert!(saved.lines().count() > 25 && saved.starts_with("Bestellung;"), "{saved}");
    assert!(saved.contains("D-0020") && !saved.contains("D-0030"), "{saved}");
    for name in ["D-0001", "D-0030"] {
        let _ = world.run(["sold", "show", name]).done();
    }
    let _ = world.run(["sold", "show", "D-0020"]).refused();
    // Mended by hand they go in: here one of them.
    let mended: String = saved
        .lines()
        .filter(|line| line.contains("D-0020") || line.starts_with("Best"))
        .fold(String::new(), |text, line| text + &line.replace(";hmpe;0;", ";hmpe;16;") + "\n");
    let mended = world.write("mended.csv", mended);
    let (done, _): (ImportData, _) = world.json_of(import(&mended, &map, &[]));
    assert_eq!(done.added, 1);
    // A file that is there is never overwritten.
    let before = world.everything();
    let _ = world.run(import(&file, &map, &["--skip-bad", &bad])).refused().says(&["bad rows.csv"]);
    assert!(world.everything() == before);
}

#[test]
fn bad_rows_are_saved_as_they_stood_whatever_their_line_ends() {
    const HEADER: &str = "serial,sold_on,route,stated_measure,ordered_length,colour";
    let taken = "T-1,2026-01-02,marked,62,58,";
    for (place, end) in ["\n", "\r\n", "\r"].iter().enumerate() {
        let world = World::new();
        let first = world.write("first.csv", [HEADER, taken, ""].join(end));
        let _ = world.run(["sold", "import", &first]).done();
        // One row that contradicts the book, one that cannot be read, both with line breaks in a
        // cell, and a good one between.
        let contradicts = format!("T-1,2026-01-02,marked,62,59,\"red{end}and, \"\"blue\"\"\"");
        let unreadable = format!("T-3,never,marked,62,58,\"two{end}{end}lines\"");
        let rows = [HEADER, "", &contradicts, "T-2,2026-01-02,marked,62,58,", &unreadable, ""].join(end);
        let orders = world.write("orders.csv", format!("\u{feff}{rows}"));
        let bad = world.arg("bad.csv");
        let _ = world.run(["sold", "import", &orders, "--skip-bad", &bad]).done().says(&["1 strings added"]);
        let saved = std::fs::read_to_string(world.path("bad.csv")).unwrap();
        let expected = format!("\u{feff}{}", [HEADER, &contradicts, &unreadable, ""].join(end));
        assert_eq!(saved, expected, "line ends number {place}");
    }
}

#[test]
fn the_same_serial_with_other_content_names_both_values() {
    let world = with_the_shops_export();
    let before = world.everything();
    let text = std::fs::read_to_string(data("shop-export.csv")).unwrap();
    let changed = text.replacen(";19 turns;", ";21 turns;", 1);
    assert_ne!(text, changed);
    let (file, map) = (world.write("changed.csv", changed), data("shop-columns.json"));
    let before = [before, vec![("changed.csv".to_owned(), std::fs::read(&file).unwrap())]].concat();
    let run = world.run(import(&file, &map, &[])).refused();
    let _ = run.says(&["column turns", "\"19\" of T-0216", "\"21\""]);
    assert!(world.everything() == before);
}

#[test]
fn every_way_of_writing_a_measurement_is_understood() {
    let inch = |text: &str, units: &str| {
        let world = World::new();
        world.sold_recurve("K-1");
        let arguments = ["report", "add", "K-1", "--symptom", "brace-low", "--units", units, "--brace", text];
        let (report, _): (crate::answers::ReportData, _) = world.json_of(arguments);
        report.readings[0].brace_inch.unwrap()
    };
    for text in [
        "7 3/4",
        "7-3/4",
        "7¾",
        "7 ¾",
        "7.75",
        "7,75",
        "7 3/4\"",
        "7 3/4″",
        "7.75 in",
        "7.75in",
        "7.75 inches",
    ] {
        assert!((inch(text, "inch") - 7.75).abs() < 1e-12, "{text}");
        assert!((inch(&format!(" {text} "), "inch") - 7.75).abs() < 1e-12, "{text}");
    }
    for text in ["19.7 cm", "19,7cm", "197mm", "197 mm"] {
        for units in ["inch", "cm", "mm"] {
            assert!((inch(text, units) - 19.7 / 2.54).abs() < 1e-9, "{text}");
        }
    }
    // A bare number is in the unit asked for.
    assert!((inch("19.7", "cm") - 19.7 / 2.54).abs() < 1e-9);
    assert!((inch("197", "mm") - 19.7 / 2.54).abs() < 1e-9);
    let world = World::new();
    let string = world.json_of::<StringData>([
        "sold",
        "add",
        "--serial",
        "K-1",
        "--route",
        "bow-maker",
        "--ordered",
        "5' 2\"",
        "--marked",
        "5'6\"",
    ]);
    assert_eq!((string.0.ordered_length_inch, string.0.bow.marked_length_inch), (62.0, Some(66.0)));
    for (want, low, high) in [
        ("8 to 8 1/4", 8.0, 8.25),
        ("8..8-1/4", 8.0, 8.25),
        ("8 - 8 1/4", 8.0, 8.25),
        ("20.3 to 21 cm", 20.3 / 2.54, 21.0 / 2.54),
        ("8", 8.0, 8.0),
    ] {
        let world = World::new();
        world.sold_recurve("K-1");
        let arguments = ["report", "add", "K-1", "--symptom", "brace-low", "--want", want];
        let reading = world.json_of::<crate::answers::ReportData>(arguments).0.readings.remove(0);
        assert!((reading.want_low_inch.unwrap() - low).abs() < 1e-9, "{want}");
        assert!((reading.want_high_inch.unwrap() - high).abs() < 1e-9, "{want}");
    }
}

#[test]
fn a_bare_number_that_cannot_be_is_refused_with_the_likely_reading() {
    let world = World::new();
    world.sold_recurve("K-1");
    let before = world.everything();
    for (text, units, likely) in [
        ("197", "inch", "197 mm"),
        ("19.7", "inch", "19.7 cm"),
        ("7.75", "cm", "7 3/4 in"),
        ("7.75", "mm", "7 3/4 in"),
    ] {
        let arguments = ["report", "add", "K-1", "--symptom", "brace-low", "--units", units, "--brace", text];
        let error = world.error(arguments);
        assert_eq!(error.kind, "bad-value");
        for word in [text, "likely meant", likely] {
            assert!(error.message.contains(word), "{text} {units}: {}", error.message);
        }
        assert!(error.hints[0].contains(" or "), "two accepted spellings: {:?}", error.hints);
    }
    assert!(world.everything() == before);
}

#[test]
fn people_read_the_unit_they_ask_for_and_programs_read_inches() {
    let world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-low --brace 7-1/4");
    let _ = world.line("advise R-1").done().says(&["7 1/4\"", "7 1/2\" to 8\""]);
    let _ = world.line("advise R-1 --units cm").done().says(&["18.4 cm", "19.1 cm to 20.3 cm"]);
    let _ = world.line("advise R-1 --units mm").done().says(&["184 mm"]);
    let metric = world.json::<crate::answers::AdviceData>("advise R-1 --units cm");
    assert_eq!(metric.brace_now_inch, Some(7.25));
    // The book's own unit holds where none is asked for.
    let _ = world.line("setting set units cm").done();
    let _ = world.line("letter R-1 --no-danger").done().says(&["18.4 cm"]).never_says(&["7 1/4\""]);
    let logged = world.report("K-1", "--separate --symptom brace-low --brace 18.4");
    assert!((logged.readings[0].brace_inch.unwrap() - 18.4 / 2.54).abs() < 1e-9);
}

#[test]
fn a_search_forgives_misspelling() {
    let world = with_the_shops_export();
    let _ =
        world.run(["sold", "find", "hollderquast"]).done().says(&["Holderquast", "No exact match. Closest:"]);
    let _ = world.run(["sold", "find", "ws-10400"]).done().says(&["T-0001"]).never_says(&["Closest"]);
    let _ = world.run(["sold", "find", "HOLDERQUAST@EXAMPLE.ORG"]).done().says(&["T-0001"]);
    let nothing = world.run(["sold", "find", "xyzzyplugh"]).done();
    assert_eq!(nothing.stdout, "Nothing found, and nothing near it.\n");
    assert!(world.json::<Vec<FoundData>>("sold find xyzzyplugh").is_empty());
}
