//! Books whose tables another program has changed, by mistake or on purpose: every command ends
//! soon and says that the book is damaged, and nothing that is written in the file is run.

use std::process::Command;
use std::time::Instant;

use crate::bare_world::{World, text};

/// What was done to the tables of a book, and what verify says of it.
const CHANGES: [(&str, &str); 22] = [
    ("DROP TABLE open_question", "the table open_question is missing"),
    ("PRAGMA foreign_keys = OFF; DROP TABLE event", "the table event is missing"),
    ("DROP INDEX string_by_order", "the index string_by_order is missing"),
    ("ALTER TABLE string ADD COLUMN more TEXT", "the table string is not as"),
    ("ALTER TABLE string DROP COLUMN silencers", "the table string is not as"),
    ("ALTER TABLE archer RENAME COLUMN email TO mail", "the table archer is not as"),
    ("CREATE TABLE mine (x)", "the table mine is no part"),
    ("CREATE VIEW mine AS SELECT * FROM string", "the view mine is no part"),
    ("CREATE INDEX mine ON string (colours)", "the index mine is no part"),
    ("CREATE VIRTUAL TABLE mine USING fts5(x)", "the table mine is no part"),
    ("CREATE TRIGGER t AFTER INSERT ON report BEGIN DELETE FROM string; END", "the trigger t is no part"),
    (
        "CREATE TRIGGER t AFTER INSERT ON event BEGIN INSERT INTO setting (name, value, set_on) WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i, i, '2026-01-01' FROM n; END",
        "the trigger t is no part",
    ),
    (
        "DROP TABLE setting; CREATE VIEW setting AS WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n) SELECT i AS id, 'units' AS name, 'cm' AS value, '2026-01-01' AS set_on FROM n",
        "the view setting is no part",
    ),
    (
        "PRAGMA foreign_keys = OFF; ALTER TABLE string RENAME TO old; CREATE VIEW string AS SELECT a.* FROM old a, old b, old c, old d, old e",
        "the view string is no part",
    ),
    (
        "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = replace(sql, ') STRICT', ', more TEXT AS (hex(zeroblob(400000000)))) STRICT') WHERE name = 'spool'",
        "the table spool is not as",
    ),
    (
        "PRAGMA writable_schema = ON; UPDATE sqlite_schema SET sql = replace(sql, 'length(name) <= 500', 'length(hex(zeroblob(400000000))) > 0') WHERE name = 'archer'",
        "the table archer is not as",
    ),
    ("PRAGMA user_version = 1", "is no part of a book of version 1"),
    ("PRAGMA user_version = 0", "is no part of a book of version 0"),
    ("PRAGMA user_version = -3", "its version is -3"),
    (
        "INSERT INTO setting (name, value, set_on) VALUES ('units', 'furlong', '2026-01-01')",
        "cannot be \"furlong\"",
    ),
    (
        "INSERT INTO setting (name, value, set_on) VALUES ('rounding', 'NaN', '2026-01-01')",
        "cannot be \"NaN\"",
    ),
    (
        "INSERT INTO setting (name, value, set_on) VALUES ('no.such', '1', '2026-01-01')",
        "unknown setting \"no.such\"",
    ),
];

/// Commands that read, write, and copy.
const COMMANDS: [&[&str]; 7] = [
    &["sold", "show", "S-7"],
    &["report", "add", "S-9", "--symptom", "noisy"],
    &["setting", "set", "wait.days", "9"],
    &["month"],
    &["backup", "copy.db"],
    &["export", "export"],
    &["forget", "A-2", "--yes"],
];

#[test]
fn a_book_whose_tables_were_changed_is_damaged_to_every_command_and_ends_soon() {
    let whole = World::demo(60);
    for (change, says) in CHANGES {
        let world = World::empty();
        std::fs::copy(&whole.book, &world.book).unwrap();
        let other = rusqlite::Connection::open(&world.book).unwrap();
        other.execute_batch(change).unwrap();
        drop(other);
        let before = std::fs::read(&world.book).unwrap();
        let run = |arguments: &[&str]| {
            let started = Instant::now();
            let output = Command::new("timeout")
                .args(["--signal=KILL", "20", env!("CARGO_BIN_EXE_fistmele"), "--book"])
                .arg(&world.book)
                .args(arguments)
                .current_dir(world.folder())
                .env_clear()
                .envs([("FISTMELE_TODAY", "2026-03-01"), ("PATH", "/usr/bin:/bin")])
                .output()
                .unwrap();
            assert!(started.elapsed().as_secs() < 10, "{change}: {arguments:?} took {:?}", started.elapsed());
            output
        };
        let told = run(&["verify"]);
        assert_eq!(told.status.code(), Some(1), "{change}: {}", text(&told.stderr));
        let sentences = text(&told.stdout).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(sentences.contains(says), "{change}: {sentences}");
        if change.starts_with("INSERT") {
            continue;
        }
        for arguments in COMMANDS {
            let output = run(arguments);
            let said = text(&output.stderr);
            assert_eq!(output.status.code(), Some(1), "{change}: {arguments:?}: {said}");
            assert!(said.contains("is damaged: ") && said.contains("verify"), "{change}: {said}");
        }
        assert!(std::fs::read(&world.book).unwrap() == before, "{change}: the book was written to");
        assert!(!world.path("copy.db").exists() && !world.path("export").exists());
    }
}

#[test]
fn a_sound_book_of_every_version_has_the_shape_of_its_version() {
    for version in 1..=usize::try_from(fistmele::book::Book::version()).unwrap() {
        let world = World::empty();
        crate::older::book(&world.book, version);
        let told = world.ok(&["verify"]);
        assert!(told.contains("The book is sound"), "version {version}: {told}");
    }
}

#[test]
fn what_the_database_notes_for_itself_is_no_change_of_the_tables() {
    let world = World::demo(60);
    let other = rusqlite::Connection::open(&world.book).unwrap();
    other.execute_batch("ANALYZE; VACUUM; REINDEX").unwrap();
    drop(other);
    world.assert_sound();
}
