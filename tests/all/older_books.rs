//! Books of every version that landed: opened, brought up to date, looked through and worked with.
//! Each was made by the program of its version and written down by `tests/books/dump.py`.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use rusqlite::Connection;
use rusqlite::types::Value;

use crate::bare_world::{World, text};

/// SHA-256 of every landed migration. A landed one is never edited: books were made with it.
/// A new one gets its line when it lands.
const LANDED: [(&str, &str); 24] = [
    ("0001_book.sql", "b3fbd485b93925ac43a9e7351ebc284596c2bc686383ca961431045b21ac212d"),
    ("0002_case.sql", "0330b25a1502a6e817edd44133a7419466bc621324fbab7e04659540e8181de2"),
    ("0003_questions.sql", "45b4fdff4422307d52e983d0ec3baeb7c1af3aae471dca869b70f9515065b434"),
    ("0004_trust.sql", "6f2c53cd079952575505a7bdbe325ddc6cbb992d2129ac279ce1037add0adb46"),
    ("0005_mail.sql", "35c3af6b071af29931f2e20ac10bdfd0a2ec5ff78c4a7e303203f59479bedd3a"),
    ("0006_verdict.sql", "b952c5343059323c97db9926b49b7fbbd9758f8c9e5c9577eb992f88362ab56b"),
    ("0007_signs.sql", "9921ca421b6605235bf4e6ed71bf5f7c8a1a0582555e6877a5988bb37980e313"),
    ("0008_strength.sql", "c61b03b04a069f8507ef0e523c48986717cdd7ed46c07743a76ea0c7e20f26df"),
    ("0009_scrub.sql", "523f67b699f42b55530d0fe4c568bb818a6a18ad1d1c63a8796f55ec7b582382"),
    ("0010_sent.sql", "ebef89aa6c59cd6536e4a14fe2ef1fedd5f714c11eee94d0486e3bf2be74e74a"),
    ("0011_address.sql", "4cc3cbbf913b0dffd06304f4b3b305c35fd2d97705f324be2cbabbb88989fd55"),
    ("0012_decision.sql", "f97d20d0fdecd194906d23d48cf783b644a76725ef373c1b38054047a2b61a7a"),
    ("0013_strike.sql", "7167af09cf4b42ef0f88683b2ea86d992408096490f8d3120bdd804171b520e3"),
    ("0014_usual_turns.sql", "134f240027650b19eca0765994ec3cbb150d80f61618c9ea685767a54c7932c6"),
    ("0015_decision_reading.sql", "6b1d641eadde2776e7897fd4eb63ed3f883f1fd82a3e3bee2f22569c91892821"),
    ("0016_strip.sql", "2400713901665b808987aeeecd6f8e88f186d71f91d2152cd725617480684e8c"),
    ("0017_asked_by.sql", "11539d9dc4a86377f0811321a5c0a589c5a3ac7f575fe7bd37571c7305f9ce88"),
    ("0018_unknown.sql", "03cad96799139899884ee1a713e1dc9910bd0b85b6233d74951a784f48100b27"),
    ("0019_came_in.sql", "9019655f583bc9ea171f9b4f6e9de8c92c98956b6618aacc25afab883008c9e5"),
    ("0020_verdict_line.sql", "15b254aff70628a63744bdfad3d06bb6e8306eae382c96ffcd53bce1751777bd"),
    ("0021_archer_unit.sql", "7f1f558b7662a14a90d09db90fda6e2910a6a15441122e88b24951f0532689b7"),
    ("0022_bow_told.sql", "a41a3dc86da55df8a6980cba9b8c107c784f856144dd47035e7ed4fda2653c3c"),
    ("0023_questions.sql", "daf29c45d4940926c111672549cd3223ef137d5a9f15937454d9f877cdd9a7e1"),
    ("0024_word_lists.sql", "dddad5184b96d05cd4692a6b013e6231486bb0bc09820f2ce6ef3cf00293531d"),
];

fn folder(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn written_down(version: i64) -> String {
    let name = folder("tests/books").join(format!("{version:04}.sql"));
    std::fs::read_to_string(&name).unwrap_or_else(|_| {
        panic!("a book of version {version} is missing: fill one with the program of that version and write it down with tests/books/dump.py")
    })
}

/// A world whose book is of an older version.
fn world_of(version: i64) -> World {
    let world = World::empty();
    let connection = Connection::open(&world.book).unwrap();
    connection.execute_batch(&written_down(version)).unwrap();
    let marked: i64 = connection.pragma_query_value(None, "user_version", |row| row.get(0)).unwrap();
    assert_eq!(marked, version);
    world
}

type Rows = Vec<BTreeMap<String, String>>;

/// Every row of every table, by column.
fn content(book: &Path) -> BTreeMap<String, Rows> {
    let connection = Connection::open(book).unwrap();
    let mut names = connection
        .prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
        .unwrap();
    let names: Vec<String> =
        names.query_map([], |row| row.get(0)).unwrap().collect::<Result<_, _>>().unwrap();
    let rows_of = |name: &String| {
        let mut statement = connection.prepare(&format!("SELECT * FROM \"{name}\" ORDER BY 1, 2")).unwrap();
        let columns: Vec<String> = statement.column_names().into_iter().map(str::to_owned).collect();
        let rows: Rows = statement
            .query_map([], |row| {
                columns
                    .iter()
                    .map(|column| {
                        Ok((column.clone(), format!("{:?}", row.get::<_, Value>(column.as_str())?)))
                    })
                    .collect()
            })
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap();
        (name.clone(), rows)
    };
    names.iter().map(rows_of).collect()
}

/// Columns that a later migration rewrites or takes away on purpose; a test of its own says to what.
const REWRITTEN: [(&str, &str); 2] = [("verdict", "inputs"), ("report", "bow_signs")];

/// The last version that landed by itself. Those after it landed several at once: no program ever
/// made a book of a version between, so none of these needs a book of its own.
const LAST_OF_ITS_OWN: i64 = 5;

/// Later versions that landed; the last of them is the one before this.
const LANDED_LATER: [i64; 4] = [9, 16, 19, 23];

/// A mark that something is still to be done; it does not stay.
const MARKS: &str = "owed_scrub";

#[test]
fn a_book_of_every_version_is_brought_up_to_date_and_worked_with() {
    for version in (1..=LAST_OF_ITS_OWN).chain(LANDED_LATER) {
        let world = world_of(version);
        let before = content(&world.book);
        for (table, rows) in before.iter().filter(|(table, _)| *table != MARKS) {
            assert!(!rows.is_empty(), "version {version}: nothing in {table}");
        }
        assert!(world.ok(&["verify"]).contains("older version"), "{version}");

        let listed: serde_json::Value =
            serde_json::from_str(&world.ok(&["report", "list", "--json"])).unwrap();
        let reports: Vec<String> = listed["data"]
            .as_array()
            .unwrap()
            .iter()
            .map(|report| report["report"].as_str().unwrap().to_owned())
            .collect();
        let of_report = |row: &&BTreeMap<String, String>| row["what"] == "Text(\"report\")";
        let struck = before.get("strike").map_or(0, |rows| rows.iter().filter(of_report).count());
        assert_eq!(reports.len(), before["report"].len() - struck);
        world.assert_sound();

        // What was there is there as it was, in the book and in the copy before the update.
        let after = content(&world.book);
        for (table, rows) in &before {
            assert_eq!(rows.len(), after[table].len(), "version {version}: {table}");
            for (row, now) in rows.iter().zip(&after[table]) {
                for (column, value) in row {
                    if !REWRITTEN.contains(&(table.as_str(), column.as_str())) {
                        assert_eq!(now.get(column), Some(value), "version {version}: {column} of {table}");
                    }
                }
            }
        }
        let copy = world.path(&format!("book.db.2026-03-01-v{version}.copy"));
        assert_eq!(content(&copy), before, "version {version}");

        for report in &reports {
            for command in [["report", "show"].as_slice(), &["advise"], &["letter"]] {
                world.ok(&[command, &[report]].concat());
            }
        }
        for string in &before["string"] {
            let serial = string["serial"].strip_prefix("Text(\"").unwrap().trim_end_matches("\")").to_owned();
            world.ok(&["sold", "show", &serial]);
            let is_weak = |row: &BTreeMap<String, String>| row["string_id"] == string["id"];
            if !before.get("below_floor").is_some_and(|rows| rows.iter().any(is_weak)) {
                world.ok(&["card", &serial]);
            }
        }
        for command in
            [["due"].as_slice(), &["month", "2026-02"], &["effects"], &["history"], &["setting", "list"]]
        {
            world.ok(command);
        }
        world.ok(&["settle", "R-1", "--sure"]);
        let noisy = world.ok(&["report", "add", "S-4", "--symptom", "noisy", "--brace", "7-1/2", "--json"]);
        let noisy: serde_json::Value = serde_json::from_str(&noisy).unwrap();
        world.ok(&["remake", noisy["data"]["report"].as_str().unwrap()]);
        world.assert_sound();
        let export = world.path("export");
        world.ok(&["export", export.to_str().unwrap()]);
        let again = world.path("again.db");
        let restored = World::command_on(&again).arg("restore").arg(&export).output().unwrap();
        assert!(restored.status.success(), "{}", text(&restored.stderr));
        assert_eq!(content(&again), content(&world.book), "version {version}");
    }
}

#[test]
fn what_is_asked_of_old_verdicts_stands_in_columns_and_no_order_with_them() {
    for version in 1..=LAST_OF_ITS_OWN {
        let world = world_of(version);
        assert!(written_down(version).contains("\"order_ref\":\"O-1\""), "{version}");
        world.ok(&["report", "list"]);
        let connection = Connection::open(&world.book).unwrap();
        let mut statement = connection
            .prepare("SELECT verdict, turns, flip, remake_length_inch, likely_cause, inputs FROM verdict ORDER BY id")
            .unwrap();
        type Told = (String, Option<i64>, bool, Option<f64>, Option<String>);
        let told: Vec<(Told, String)> = statement
            .query_map([], |row| {
                Ok(((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?), row.get(5)?))
            })
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap();
        // R-1 twice, R-2 to R-5: see the dumps.
        let verdicts: Vec<&str> = told.iter().map(|(told, _)| told.0.as_str()).collect();
        assert_eq!(verdicts, ["adjust", "adjust", "adjust", "stop", "adjust", "adjust"], "{version}");
        let stop = &told[3].0;
        assert!(stop.1.is_none() && stop.3.is_some(), "{version}: {stop:?}");
        let flips: Vec<bool> = told.iter().map(|(told, _)| told.2).collect();
        assert_eq!(flips, [false, false, false, false, false, true], "{version}");
        assert!(told[..3].iter().all(|(told, _)| told.1.is_some_and(|turns| turns > 0)), "{version}");
        assert!(told.iter().all(|(told, _)| told.4.is_some()), "{version}");
        assert!(told.iter().all(|(_, inputs)| inputs.contains("\"order_ref\":null")), "{version}");
    }
}

#[test]
fn a_string_that_was_sold_too_weak_long_ago_is_found() {
    for version in 1..=6 {
        let world = world_of(version);
        let connection = Connection::open(&world.book).unwrap();
        let heavy =
            "UPDATE bow SET draw_weight_lb = 70 WHERE id = (SELECT bow_id FROM string WHERE serial = 'W-3')";
        assert_eq!(connection.execute(heavy, []).unwrap(), 1);
        drop(connection);
        let due: serde_json::Value = serde_json::from_str(&world.ok(&["due", "--json"])).unwrap();
        let weak = due["data"]["below_floor"].as_array().unwrap();
        assert_eq!(weak.len(), 1, "{version}: {weak:?}");
        assert_eq!(weak[0]["string"], "W-3");
        assert_eq!(
            (&weak[0]["since"], &weak[0]["warned_on"]),
            (&"2025-10-01".into(), &serde_json::Value::Null)
        );
    }
}

#[test]
fn words_of_danger_in_old_reports_stay_what_they_were_taken_for() {
    for version in 1..=LAST_OF_ITS_OWN {
        let world = world_of(version);
        let connection = Connection::open(&world.book).unwrap();
        let held = r#"UPDATE report SET bow_signs = '["creak","no arrow","came apart"]' WHERE number = 2"#;
        assert_eq!(connection.execute(held, []).unwrap(), 1);
        drop(connection);
        let shown: serde_json::Value =
            serde_json::from_str(&world.ok(&["report", "show", "R-2", "--json"])).unwrap();
        let signs: Vec<String> = shown["data"]["signs"]
            .as_array()
            .unwrap()
            .iter()
            .map(|sign| {
                let word = |key: &str| sign[key].as_str().unwrap();
                let [of, words, stands_in, standing] = ["of", "words", "stands_in", "standing"].map(word);
                format!("{} {of} {} {words} {stands_in} {standing}", sign["number"], sign["sure"])
            })
            .collect();
        // Words of the bow led to a bowyer; the others were asked about.
        let expected = [
            "1 bow false creak message confirmed",
            "2 shot false no arrow message open",
            "3 string false came apart message open",
        ];
        assert_eq!(signs, expected, "{version}");
        let other: serde_json::Value =
            serde_json::from_str(&world.ok(&["report", "show", "R-1", "--json"])).unwrap();
        assert_eq!(other["data"]["signs"], serde_json::json!([]), "{version}");
        let verdict: serde_json::Value =
            serde_json::from_str(&world.ok(&["advise", "R-2", "--json"])).unwrap();
        assert_eq!(verdict["data"]["verdict"], "refer", "{version}");
        world.assert_sound();
    }
}

#[test]
fn landed_migrations_are_as_they_were() {
    let mut names: Vec<String> = std::fs::read_dir(folder("migrations"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    assert_eq!(names, LANDED.map(|(name, _)| name), "every migration has a line in LANDED");
    for (name, digest) in LANDED {
        let text = std::fs::read(folder("migrations").join(name)).unwrap();
        let hex: String = hmac_sha256::Hash::hash(&text).iter().map(|byte| format!("{byte:02x}")).collect();
        assert_eq!(hex, digest, "{name} was edited; books were made with it, so write a new one instead");
    }
}

/// A book with a report of each kind of verdict whose JSON was then worded as `statement` does.
fn reworded(statement: &str) -> World {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7", "--want", "7-1/2..8"]);
    world.ok(&["advise", "R-1"]);
    let connection = Connection::open(&world.book).unwrap();
    assert_eq!(connection.execute(statement, []).unwrap(), 1, "{statement}");
    world
}

#[test]
fn a_verdict_of_another_version_is_no_damage() {
    let wordings = [
        "UPDATE verdict SET advice = replace(advice, '\"reason\":\"reads\"', '\"reason\":\"seen-through-a-glass\"')",
        "UPDATE verdict SET advice = replace(advice, '\"likely_cause\"', '\"cause_in_other_words\"')",
        "UPDATE verdict SET advice = '{\"answer\":{\"turns\":\"some\"}}'",
        "UPDATE verdict SET inputs = replace(inputs, '\"symptoms\"', '\"complaints\"')",
        "UPDATE verdict SET advice = json_set(advice, '$.turns', 'seven', '$.flip', 'over')",
    ];
    let verdicts = |world: &World| -> serde_json::Value {
        let answer: serde_json::Value = serde_json::from_str(&world.ok(&["verify", "--json"])).unwrap();
        assert_eq!(answer["data"]["sound"], true);
        answer["data"]["verdicts_of_other_versions"].clone()
    };
    assert_eq!(verdicts(&reworded("UPDATE verdict SET made_on = made_on")), 0);
    for wording in wordings {
        let world = reworded(wording);
        assert_eq!(verdicts(&world), 1, "{wording}");
        assert!(world.ok(&["verify"]).contains("another version"), "{wording}");
        let shown: serde_json::Value =
            serde_json::from_str(&world.ok(&["report", "show", "R-1", "--json"])).unwrap();
        assert_eq!(shown["data"]["verdict"], "adjust", "{wording}");
        world.ok(&["due"]);
        world.ok(&["month", "2026-03"]);
        world.ok(&["sold", "show", "S-1"]);
        assert!(world.ok(&["settle", "R-1", "--sure"]).contains("R-1"), "{wording}");
        world.ok(&["resume", "R-1"]);
        world.ok(&["letter", "R-1"]);
        world.assert_sound();
    }
}

#[test]
fn no_statement_looks_into_a_stored_verdict() {
    for entry in std::fs::read_dir(folder("src/book")).unwrap() {
        let path = entry.unwrap().path();
        // The look-through compares columns and JSON.
        if path.ends_with("check.rs") {
            continue;
        }
        let source = std::fs::read_to_string(&path).unwrap();
        for looks in ["json_extract(advice", "json_extract(v.advice", "json_extract(inputs"] {
            assert!(!source.contains(looks), "{}: {looks}", path.display());
        }
    }
}
