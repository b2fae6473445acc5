//! Backup, verify, export and restore, history, forget, through the binary.

use std::collections::BTreeMap;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;

use crate::bare_world::{World, orders, text};

fn files_of(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| {
            let entry = entry.unwrap();
            (entry.file_name().to_string_lossy().into_owned(), std::fs::read(entry.path()).unwrap())
        })
        .collect()
}

fn mode(path: &Path) -> u32 {
    std::fs::metadata(path).unwrap().permissions().mode() & 0o777
}

/// A book with a report that has a text, and everything a spreadsheet would trip over.
fn full_world() -> World {
    let world = World::demo(150);
    world.add_string("=cmd|'/c calc'!A1");
    let letter = world.write("letter.txt", "=1+1\r\n\u{1b}[31mred \u{202e}turned \"quoted\", <b>bold</b>\n");
    world.ok(&[
        "report",
        "add",
        "=cmd|'/c calc'!A1",
        "--symptom",
        "brace-low",
        "--brace",
        "7",
        "--text",
        letter.to_str().unwrap(),
    ]);
    world.ok(&["setting", "set", "reading.sd", "0.1"]);
    world
}

#[test]
fn a_backup_is_whole_private_and_never_in_the_way() {
    let world = full_world();
    let copy = world.path("copy.db");
    let name = copy.to_str().unwrap();
    world.ok(&["backup", name]);
    assert_eq!(mode(&copy), 0o600);
    let read = |book: &Path| {
        World::command_on(book).args(["sold", "show", "S-7", "--json"]).output().unwrap().stdout
    };
    assert_eq!(read(&copy), read(&world.book));
    let before = std::fs::read(&copy).unwrap();
    assert!(world.refused(1, &["backup", name]).contains("--replace"));
    assert_eq!(std::fs::read(&copy).unwrap(), before);
    world.add_string("S-9000");
    world.ok(&["backup", name, "--replace"]);
    assert_ne!(std::fs::read(&copy).unwrap(), before);
    world.refused(1, &["backup", world.book.to_str().unwrap(), "--replace"]);
    world.refused(1, &["backup", world.folder().to_str().unwrap(), "--replace"]);
    world.refused(1, &["backup", world.path("no/such/folder.db").to_str().unwrap()]);
    // A journal of another file beside the name would be played back into the copy.
    world.write("other.db-journal", "x");
    assert!(
        world.refused(1, &["backup", world.path("other.db").to_str().unwrap()]).contains("other.db-journal")
    );
    let left: Vec<_> = files_of(world.folder()).into_keys().filter(|name| name.starts_with('.')).collect();
    assert!(left.is_empty(), "{left:?}");
    world.assert_sound();
}

#[test]
fn what_is_exported_makes_the_same_book_again() {
    let world = full_world();
    let first = world.path("first");
    world.ok(&["export", first.to_str().unwrap()]);
    assert_eq!(mode(&first), 0o700);
    assert!(files_of(&first).keys().all(|name| mode(&first.join(name)) == 0o600));
    let again = world.path("again.db");
    let run = |arguments: &[&str]| {
        let output = World::command_on(&again).args(arguments).output().unwrap();
        assert!(output.status.success(), "{}", text(&output.stderr));
    };
    run(&["restore", first.to_str().unwrap()]);
    run(&["verify"]);
    let second = world.path("second");
    run(&["export", second.to_str().unwrap()]);
    assert_eq!(files_of(&first), files_of(&second));
    assert_eq!(mode(&again), 0o600);
    // Neither overwrites anything.
    world.refused(1, &["export", first.to_str().unwrap()]);
    let output = World::command_on(&again).arg("restore").arg(&first).output().unwrap();
    assert_eq!(output.status.code(), Some(1));
    // A file that was damaged or left out makes no book.
    std::fs::remove_file(second.join("reading.json")).unwrap();
    let third = world.path("third.db");
    let output = World::command_on(&third).arg("restore").arg(&second).output().unwrap();
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    std::fs::write(second.join("reading.json"), "[{\"id\":1}]").unwrap();
    let output = World::command_on(&third).arg("restore").arg(&second).output().unwrap();
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    assert!(!third.exists());
}

#[test]
fn no_field_of_an_exported_csv_starts_a_formula_and_all_come_back() {
    let world = full_world();
    let folder = world.path("export");
    world.ok(&["export", folder.to_str().unwrap()]);
    for (name, content) in files_of(&folder).iter().filter(|(name, _)| name.ends_with(".csv")) {
        let json = std::fs::read(folder.join(name.replace(".csv", ".json"))).unwrap();
        let rows: Vec<serde_json::Map<String, serde_json::Value>> = serde_json::from_slice(&json).unwrap();
        let mut reader = csv::ReaderBuilder::new().from_reader(content.as_slice());
        let names: Vec<String> = reader.headers().unwrap().iter().map(str::to_owned).collect();
        let records: Vec<csv::StringRecord> = reader.records().collect::<Result<_, _>>().unwrap();
        assert_eq!(records.len(), rows.len(), "{name}");
        for (record, row) in records.iter().zip(&rows) {
            for (column, field) in names.iter().zip(record) {
                if let serde_json::Value::String(value) = &row[column] {
                    assert!(!field.starts_with(['=', '@', '\t', '\r']), "{name}: {field:?}");
                    assert_eq!(fistmele::intake::read_csv_field_safe(field), value, "{name}: {column}");
                }
            }
        }
    }
}

#[test]
fn verify_says_what_is_wrong_and_what_to_do() {
    let cases = [
        (
            "UPDATE string SET replaces_id = 4 WHERE id = 5; UPDATE string SET replaces_id = 5 WHERE id = 4",
            "replace themselves",
        ),
        ("DELETE FROM reading WHERE report_number = 3", "without a first reading: R-3"),
        ("DELETE FROM event WHERE report_number = 3", "event of their coming in: R-3"),
        (
            "INSERT INTO remake (report_number, string_id, made_on) VALUES (3, 50, '2026-02-01')",
            "does not replace",
        ),
        (
            "INSERT INTO event (day, who, what, report_number, fields) VALUES ('2026-01-01', 'x', 'settle', 14, '')",
            "without a settlement: R-14",
        ),
        (
            "INSERT INTO settlement (report_number, settled_on, outcome, cause, proposed_cause) VALUES (14, '2026-01-01', 'adjusted', 'sizing', 'sizing')",
            "never settled: R-14",
        ),
        (
            "UPDATE string SET sold_on = '2025-02-30' WHERE id = 8",
            "no real day in sold_on of string: 2025-02-30",
        ),
        ("UPDATE string SET imported = '[1]' WHERE id = 8", "imported of S-7"),
        ("UPDATE verdict SET advice = '[1]' WHERE id = 1", "advice of the verdict"),
        ("UPDATE verdict SET inputs = '7' WHERE id = 1", "inputs of the verdict"),
        ("UPDATE verdict SET flip = 1 - flip WHERE id = 1", "columns say something else"),
        ("UPDATE verdict SET turns = 99 WHERE id = 1", "columns say something else"),
        ("UPDATE verdict SET remake_length_inch = 12.0 WHERE id = 1", "columns say something else"),
        (
            "INSERT INTO settlement (report_number, settled_on, outcome, cause, proposed_cause) VALUES (3, '2026-01-01', 'adjusted', 'sizing', 'luck')",
            "unknown word \"luck\"",
        ),
        ("PRAGMA foreign_keys = OFF; DELETE FROM archer WHERE id = 9", "names a missing archer"),
    ];
    for (damage, said) in cases {
        let world = World::demo(60);
        world.assert_sound();
        let connection = rusqlite::Connection::open(&world.book).unwrap();
        connection.pragma_update(None, "foreign_keys", false).unwrap();
        connection.execute_batch(damage).unwrap();
        drop(connection);
        let output = world.run(&["verify"]);
        assert_eq!(output.status.code(), Some(1), "{damage}");
        let told = text(&output.stdout).replace('\n', " ").split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains(said), "{damage}: {told}");
        assert!(told.contains("To paste") && !told.contains("example.org"), "{told}");
        let json: serde_json::Value =
            serde_json::from_slice(&world.run(&["verify", "--json"]).stdout).unwrap();
        assert_eq!(json["schema"], "verify/1");
        assert_eq!(json["data"]["sound"], false);
    }
}

#[test]
fn history_names_fields_and_nothing_personal() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "noisy"]);
    world.ok(&["bow", "edit", "S-1", "--tips", "plain"]);
    let told = world.ok(&["history"]);
    assert!(told.contains("sold") && told.contains("R-1") && told.contains("tips"), "{told}");
    assert!(!told.contains("Odalind") && !told.contains("example.org"), "{told}");
    let of = |arguments: &[&str]| -> serde_json::Value {
        serde_json::from_str(&world.ok(&[arguments, &["--json"]].concat())).unwrap()
    };
    assert_eq!(of(&["history", "--report", "r1"])["data"]["lines"].as_array().unwrap().len(), 1);
    assert_eq!(of(&["history", "--string", "s-1", "--last", "2"])["data"]["of"], 3);
    world.refused(1, &["history", "--string", "S-2"]);
}

/// Whether the raw bytes of any file in a folder hold a text, in whatever case.
pub(crate) fn anywhere(folder: &Path, wanted: &str) -> Vec<String> {
    let wanted = wanted.to_lowercase();
    files_of(folder)
        .into_iter()
        .filter(|(_, bytes)| text(bytes).to_lowercase().contains(&wanted))
        .map(|(name, _)| name)
        .collect()
}

#[test]
fn a_forgotten_person_is_gone_from_the_file_and_stays_away() {
    let world = World::new();
    let import = tempfile::tempdir().unwrap();
    let file = import.path().join("orders.csv");
    std::fs::write(&file, orders(1, 60)).unwrap();
    let orders_file = file.to_str().unwrap().to_owned();
    world.ok(&["sold", "import", &orders_file]);
    let letter = import.path().join("letter.txt");
    // Long enough to spill into pages of their own.
    std::fs::write(&letter, "Zanzibarkiste! My address is 7 Quince Lane. ".repeat(900)).unwrap();
    world.ok(&[
        "report",
        "add",
        "W-7",
        "--symptom",
        "brace-low",
        "--brace",
        "7",
        "--text",
        letter.to_str().unwrap(),
    ]);
    world.ok(&["report", "add", "W-7", "--symptom", "noisy", "--brace", "7-1/8"]);
    world.ok(&["advise", "R-1"]);
    // What a mail leaves open quotes it, and is kept to be asked back.
    let mail = import.path().join("mail.eml");
    let said = "Bow is a 66. The brace height is 6 7/8 or maybe 7.";
    std::fs::write(&mail, format!("From: archer7@example.org\r\nSubject: string\r\n\r\n{said}\r\n")).unwrap();
    world.ok(&["report", "mail", mail.to_str().unwrap(), "--yes"]);
    assert!(world.count("open_question") > 0);
    let traces = ["archer7@example.org", "Zanzibarkiste", "Quince Lane", "\"O-7\"", "Archer 7\u{0}"];
    assert!(traces[..4].iter().all(|trace| !anywhere(world.folder(), trace).is_empty()));
    let before: serde_json::Value =
        serde_json::from_str(&world.ok(&["sold", "show", "W-7", "--json"])).unwrap();

    // Nobody is there to ask.
    assert!(world.refused(1, &["forget", "archer7@example.org"]).contains("--yes"));
    world.refused(1, &["forget", "archer77@example.org", "--yes"]);
    let answer = world.ok(&["forget", "ARCHER7@example.org", "--yes"]);
    assert!(answer.contains("is forgotten") && answer.to_lowercase().contains("backups"), "{answer}");
    for trace in traces {
        assert!(anywhere(world.folder(), trace).is_empty(), "{trace}: {:?}", anywhere(world.folder(), trace));
    }
    assert_eq!(files_of(world.folder()).len(), 1, "nothing lies beside the book");
    let after: serde_json::Value =
        serde_json::from_str(&world.ok(&["sold", "show", "W-7", "--json"])).unwrap();
    assert_eq!(after["data"]["archer"]["name"], serde_json::Value::Null);
    assert_eq!(after["data"]["ordered_length_inch"], before["data"]["ordered_length_inch"]);
    assert_eq!(
        after["data"]["reports"][0]["readings"].as_array().unwrap().len(),
        before["data"]["reports"][0]["readings"].as_array().unwrap().len()
    );
    assert_eq!((world.count("string"), world.count("open_question")), (60, 0));
    world.assert_sound();
    world.refused(1, &["forget", "A-7", "--yes"]);

    // The same file again, and one that has another old string of the same person.
    assert!(world.ok(&["sold", "import", &orders_file]).contains("0 strings added"));
    let more = orders(1, 60).replace("W-7,", "W-700,");
    std::fs::write(&file, more).unwrap();
    assert!(world.ok(&["sold", "import", &orders_file]).contains("1 strings added"));
    assert!(anywhere(world.folder(), "archer7@example.org").is_empty());
    assert!(anywhere(world.folder(), "\"O-7\"").is_empty());
    // A person who buys again is a new customer.
    let new = orders(7, 1).replace("W-7,2026-01-08", "W-701,2026-03-02");
    std::fs::write(&file, new).unwrap();
    let output =
        world.command().env("FISTMELE_TODAY", "2026-03-05").args(["sold", "import", &orders_file]).output();
    assert!(output.unwrap().status.success());
    assert!(!anywhere(world.folder(), "archer7@example.org").is_empty());
    world.assert_sound();
}

#[test]
fn forget_asks_where_several_match() {
    let world = World::new();
    for (serial, email) in [("S-1", "a@example.org"), ("S-2", "b@example.org")] {
        world.ok(&[
            "sold", "add", "--serial", serial, "--archer", "Tom Ash", "--email", email, "--route", "marked",
            "--stated", "62", "--kind", "recurve",
        ]);
    }
    let said = world.refused(1, &["forget", "tom ash", "--yes"]);
    assert!(said.contains("A-1") && said.contains("A-2"), "{said}");
    assert!(world.refused(1, &["forget", "Tom Asch"]).contains("did you mean"));
    world.ok(&["forget", "a-2", "--yes"]);
    assert!(world.ok(&["sold", "find", "ash"]).contains("a@example.org"));
    assert!(!world.ok(&["sold", "find", "ash"]).contains("b@example.org"));
}
