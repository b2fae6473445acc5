//! Copies, exports, what is made of them again, and what lies beside a book.

use std::path::{Path, PathBuf};
use std::process::{Output, Stdio};
use std::time::Duration;

use crate::bare_world::{World, text};

fn restored(from: &Path, to: &Path) -> Output {
    World::command_on(to).arg("restore").arg(from).output().unwrap()
}

/// A restore that must be refused and leave nothing in the way.
fn refused(from: &Path, to: &Path) -> String {
    let output = restored(from, to);
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(!to.exists() && said.contains("error: ") && said.contains("hint: "), "{said}");
    let pieces: Vec<_> = std::fs::read_dir(to.parent().unwrap())
        .unwrap()
        .map(|entry| entry.unwrap().file_name())
        .filter(|name| name.to_string_lossy().starts_with(".fistmele-"))
        .collect();
    assert!(pieces.is_empty(), "{pieces:?}");
    said
}

/// A book with a copy and an export of it.
fn world() -> (World, PathBuf, PathBuf) {
    let world = World::demo(120);
    let (copy, export) = (world.path("copy.db"), world.path("export"));
    world.ok(&["backup", copy.to_str().unwrap()]);
    world.ok(&["export", export.to_str().unwrap()]);
    (world, copy, export)
}

#[test]
fn a_copy_is_made_a_book_again() {
    let (world, copy, _) = world();
    let again = world.path("again.db");
    let output = restored(&copy, &again);
    assert!(output.status.success(), "{}", text(&output.stderr));
    let show =
        |book: &Path| World::command_on(book).args(["report", "list", "--json"]).output().unwrap().stdout;
    assert_eq!(show(&again), show(&world.book));
    assert!(World::command_on(&again).arg("verify").output().unwrap().status.success());
    // The copy is a book as well, and the one made of it can be copied in turn.
    assert!(World::command_on(&copy).arg("verify").output().unwrap().status.success());
    let second = world.path("second.db");
    assert!(World::command_on(&again).arg("backup").arg(&second).output().unwrap().status.success());
    assert!(restored(&second, &world.path("third.db")).status.success());
}

#[test]
fn a_copy_that_was_damaged_or_changed_is_refused_where_it_is_restored() {
    let (world, copy, _) = world();
    let whole = std::fs::read(&copy).unwrap();
    let (damaged, again) = (world.path("damaged.db"), world.path("again.db"));
    let mut draw = fastrand::Rng::with_seed(11);
    for round in 0..60 {
        let mut bytes = whole.clone();
        if round % 3 == 0 {
            bytes.truncate(draw.usize(1..whole.len()));
        } else {
            // One bit, anywhere.
            let at = draw.usize(..bytes.len());
            bytes[at] ^= 1 << draw.u8(..8);
        }
        std::fs::write(&damaged, bytes).unwrap();
        refused(&damaged, &again);
    }
    // By another program, without a trace that verify would see.
    std::fs::write(&damaged, &whole).unwrap();
    let other = rusqlite::Connection::open(&damaged).unwrap();
    other.execute_batch("UPDATE string SET ordered_inch = ordered_inch + 1 WHERE id = 7").unwrap();
    drop(other);
    assert!(World::command_on(&damaged).arg("verify").output().unwrap().status.success());
    assert!(refused(&damaged, &again).contains("digest does not fit"));
    // A book itself carries none.
    assert!(refused(&world.book, &again).contains("carries no digest"));
    refused(&world.write("letter.txt", "a letter"), &again);
    refused(&world.path("nothing here"), &again);
}

#[test]
fn an_export_that_was_damaged_or_changed_is_refused_where_it_is_restored() {
    let (world, _, export) = world();
    let again = world.path("again.db");
    assert!(restored(&export, &again).status.success());
    std::fs::remove_file(&again).unwrap();
    let changed = |name: &str, from: &str, to: &str| {
        let path = export.join(name);
        let before = std::fs::read_to_string(&path).unwrap();
        assert!(before.contains(from), "{name} does not hold {from}");
        std::fs::write(&path, before.replacen(from, to, 1)).unwrap();
        let said = refused(&export, &again);
        std::fs::write(&path, before).unwrap();
        said
    };
    // What no rule of the book would notice.
    assert!(
        changed("string.json", "\"colours\":null", "\"colours\":\"red\"")
            .contains("string.json is not as it")
    );
    assert!(changed("setting.json", "\n]", "\n]\n").contains("setting.json is not as it"));
    for (from, to) in [
        ("\"rows\": 1", "\"rows\": 2"),
        ("\"export/1\"", "\"export/1\" "),
        ("\"book_version\": ", "\"book_version\":  "),
    ] {
        assert!(changed("book.json", from, to).contains("book.json is not as it"));
    }
    let contents = std::fs::read_to_string(export.join("book.json")).unwrap();
    let digest = contents.split("\"digest\": \"").nth(1).unwrap()[..64].to_owned();
    assert!(changed("book.json", &digest, "").contains("book.json is not as it"));
    // Whoever changes it on purpose renews both digests, as docs/reliability.md says.
    let strings = std::fs::read_to_string(export.join("string.json")).unwrap();
    let changed = strings.replacen("\"colours\":null", "\"colours\":\"red\"", 1);
    let hex = |bytes: &str| fistmele::words::hex(&hmac_sha256::Hash::hash(bytes.as_bytes()));
    std::fs::write(export.join("string.json"), &changed).unwrap();
    let contents = contents.replacen(&hex(&strings), &hex(&changed), 1).replacen(&digest, &"0".repeat(64), 1);
    std::fs::write(export.join("book.json"), contents.replacen(&"0".repeat(64), &hex(&contents), 1)).unwrap();
    let output = restored(&export, &again);
    assert!(output.status.success(), "{}", text(&output.stderr));
}

#[test]
fn what_breaks_a_rule_of_the_book_gets_no_name() {
    // Its digests are in order: it was exported from a book that another program had changed.
    let world = World::demo(60);
    let other = rusqlite::Connection::open(&world.book).unwrap();
    other.execute_batch("UPDATE string SET sold_on = '2025-02-30' WHERE id = 8").unwrap();
    drop(other);
    let (copy, export) = (world.path("copy.db"), world.path("export"));
    world.ok(&["backup", copy.to_str().unwrap()]);
    world.ok(&["export", export.to_str().unwrap()]);
    for from in [&copy, &export] {
        assert!(refused(from, &world.path("again.db")).contains("no sound book comes of it"));
    }
}

#[test]
fn a_restore_that_is_killed_leaves_nothing_in_the_way() {
    let (world, copy, export) = world();
    let again = world.path("again.db");
    let mut draw = fastrand::Rng::with_seed(3);
    let mut cut_off = 0;
    for round in 0..60_u64 {
        let from = if round % 2 == 0 { &copy } else { &export };
        let mut command = World::command_on(&again);
        let mut child =
            command.arg("restore").arg(from).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(Duration::from_micros(draw.u64(0..120_000)));
        let _ = child.kill();
        let _ = child.wait();
        if again.exists() {
            assert!(
                World::command_on(&again).arg("verify").output().unwrap().status.success(),
                "round {round}"
            );
            std::fs::remove_file(&again).unwrap();
        } else {
            cut_off += 1;
        }
        let beside = again.with_file_name("again.db-journal");
        assert!(!beside.exists(), "round {round}");
    }
    println!("60 restores, {cut_off} cut off");
    assert!(cut_off > 10, "hardly ever cut off: {cut_off}");
    assert!(restored(&copy, &again).status.success());
}

#[test]
fn a_copy_takes_no_name_beside_which_a_log_was_left() {
    let world = World::demo(60);
    for end in ["-journal", "-wal", "-shm"] {
        let log = world.write(&format!("copy.db{end}"), "left behind");
        let copy = world.path("copy.db");
        for arguments in
            [vec!["backup", copy.to_str().unwrap()], vec!["backup", copy.to_str().unwrap(), "--replace"]]
        {
            let said = world.refused(1, &arguments);
            assert!(said.contains(&format!("copy.db{end}")), "{said}");
        }
        assert!(!copy.exists());
        std::fs::remove_file(log).unwrap();
    }
}

/// The journal of a writer of this book that was cut off, as a file of that name; as of every change
/// that is ended, the first page is in it.
fn journal_of(book: &Path, to: &Path) {
    let connection = rusqlite::Connection::open(book).unwrap();
    connection
        .execute_batch("PRAGMA cache_size = 1; PRAGMA cache_spill = 1; BEGIN IMMEDIATE; PRAGMA user_version = 1; UPDATE event SET who = who || 'x'; UPDATE string SET colours = 'spilt over several pages of the file';")
        .unwrap();
    let journal = book.with_file_name(format!("{}-journal", book.file_name().unwrap().to_str().unwrap()));
    std::fs::copy(journal, to).unwrap();
}

#[test]
fn a_log_of_another_file_is_not_played_back_into_a_book() {
    let world = World::demo(60);
    world.add_string("S-9000");
    // It was written to as often as this one, and is larger.
    let other = World::demo(150);
    // The journal of another book.
    journal_of(&other.book, &world.path("book.db-journal"));
    refuses(&world, "book.db-journal");
    // One of the same book from before its last changes.
    std::fs::copy(&world.book, world.path("before.db")).unwrap();
    journal_of(&world.path("before.db"), &world.path("kept"));
    for serial in ["S-9001", "S-9002"] {
        world.add_string(serial);
    }
    std::fs::rename(world.path("kept"), world.path("book.db-journal")).unwrap();
    refuses(&world, "book.db-journal");
    // A log, which no book has beside it.
    let logging = rusqlite::Connection::open(other.path("log.db")).unwrap();
    std::fs::copy(&world.book, other.path("log.db")).unwrap();
    logging.pragma_update_and_check(None, "journal_mode", "WAL", |_| Ok(())).unwrap();
    logging.execute_batch("UPDATE string SET colours = 'of another'").unwrap();
    std::fs::copy(other.path("log.db-wal"), world.path("book.db-wal")).unwrap();
    refuses(&world, "book.db-wal");
}

/// Asserts that no command touches the book while this file lies beside it, and all do without it.
fn refuses(world: &World, log: &str) {
    let (before, left) = (std::fs::read(&world.book).unwrap(), std::fs::read(world.path(log)).unwrap());
    for arguments in
        [vec!["verify"], vec!["report", "list"], vec!["report", "add", "S-7", "--symptom", "noisy"]]
    {
        let said = world.refused(1, &arguments);
        assert!(
            said.contains("cannot belong to") && said.contains(log) && said.contains("move that file"),
            "{said}"
        );
        assert!(std::fs::read(&world.book).unwrap() == before, "the book was changed");
        assert!(std::fs::read(world.path(log)).unwrap() == left, "what lay beside it was changed");
    }
    std::fs::remove_file(world.path(log)).unwrap();
    world.assert_sound();
}
