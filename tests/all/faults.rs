//! What happens when things go wrong around the program: it is killed, the disk is full, the
//! place is read-only, files are damaged or foreign, others write or hold the book.

use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::bare_world::{World, orders, text};

/// Rounds in which the program is killed, unless FISTMELE_ROUNDS says how many.
const KILLED: u64 = 210;
/// Damaged files that are tried.
const DAMAGED: u64 = 160;

#[test]
fn killed_at_any_moment_nothing_acknowledged_is_lost() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7", "--received", "2026-02-01"]);
    let killed = std::env::var("FISTMELE_ROUNDS").map_or(KILLED, |rounds| rounds.parse().unwrap());
    let mut draw = fastrand::Rng::with_seed(20_260_301);
    let (mut strings, mut readings, mut cut_off) = (1_i64, 1_i64, 0);
    for round in 0..killed {
        let file = world.write("orders.csv", orders(round as u32 * 40, 40));
        let orders = file.to_str().unwrap().to_owned();
        let kind = round % 3;
        let arguments: Vec<&str> = match kind {
            0 => vec!["sold", "import", &orders],
            1 => vec!["report", "add", "S-1", "--symptom", "noisy", "--brace", "7-1/8"],
            _ => vec!["advise", "R-1"],
        };
        let mut child =
            world.command().args(&arguments).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(Duration::from_micros(draw.u64(0..14_000)));
        let _ = child.kill();
        let output = child.wait_with_output().unwrap();
        let acknowledged = !output.stdout.is_empty();
        cut_off += u64::from(!acknowledged);
        let (strings_now, readings_now) = counts(&world.book);
        match kind {
            0 => {
                assert!([strings, strings + 40].contains(&strings_now), "all rows or none: {strings_now}");
                assert!(!acknowledged || strings_now == strings + 40, "round {round}: an import was lost");
            }
            1 => {
                assert!([readings, readings + 1].contains(&readings_now));
                assert!(!acknowledged || readings_now == readings + 1, "round {round}: a report was lost");
            }
            _ => {}
        }
        (strings, readings) = (strings_now, readings_now);
        // The book's own thorough check now and then, the database's in every round.
        if round % 30 == 0 {
            world.assert_sound();
        }
    }
    world.assert_sound();
    println!("{killed} rounds, {cut_off} of them cut off before the answer");
    assert!(cut_off > killed / 10, "the program was hardly ever cut off: {cut_off}");
}

/// Strings and readings, after the database's own check; opening it plays back any journal.
fn counts(book: &Path) -> (i64, i64) {
    let connection = rusqlite::Connection::open(book).unwrap();
    let said: String = connection.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap();
    assert_eq!(said, "ok");
    let one = |sql: &str| connection.query_row(sql, [], |row| row.get(0)).unwrap();
    (one("SELECT count(*) FROM string"), one("SELECT count(*) FROM reading"))
}

/// A mounted file system that goes with the value; `None` where this may not be mounted.
struct Mount(std::path::PathBuf);

impl Mount {
    fn new(arguments: &[&str], at: &Path) -> Option<Self> {
        let done = Command::new("mount").args(arguments).arg(at).stderr(Stdio::null()).status();
        if done.is_ok_and(|status| status.success()) { Some(Self(at.to_owned())) } else { None }
    }
}

impl Drop for Mount {
    fn drop(&mut self) {
        let _ = Command::new("umount").arg("-l").arg(&self.0).status();
    }
}

#[test]
fn a_full_disk_changes_nothing_and_is_named() {
    let world = World::empty();
    let disk = world.path("disk");
    std::fs::create_dir(&disk).unwrap();
    let Some(_mount) = Mount::new(&["-t", "tmpfs", "-o", "size=1400k", "tmpfs"], &disk) else {
        println!("skipped: a small file system cannot be mounted here");
        return;
    };
    let book = disk.join("book.db");
    let run = |arguments: &[&str]| World::command_on(&book).args(arguments).output().unwrap();
    assert!(run(&["init"]).status.success());
    let mut refused = 0;
    let mut strings = 0;
    for round in 0..40_u32 {
        let orders = world.write("orders.csv", orders(round * 200, 200));
        let output = run(&["sold", "import", orders.to_str().unwrap()]);
        let (now, _) = counts(&book);
        if output.status.success() {
            assert_eq!(now, strings + 200);
            strings = now;
        } else {
            let said = text(&output.stderr);
            assert_eq!(output.status.code(), Some(1), "{said}");
            assert!(said.contains("disk"), "{said}");
            assert_eq!(now, strings, "what was refused changed something");
            refused += 1;
            if refused == 3 {
                break;
            }
        }
    }
    assert!(strings > 0 && refused == 3);
    // Neither a copy nor a new book leaves a piece of itself behind.
    for arguments in [
        vec!["backup".to_owned(), disk.join("copy.db").display().to_string()],
        vec!["export".to_owned(), disk.join("export").display().to_string()],
    ] {
        let arguments: Vec<&str> = arguments.iter().map(String::as_str).collect();
        let output = run(&arguments);
        assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    }
    std::fs::write(disk.join("filler"), vec![7_u8; 1 << 21]).unwrap_err();
    let other = World::command_on(&disk.join("other.db")).arg("init").output().unwrap();
    assert_eq!(other.status.code(), Some(1), "{}", text(&other.stderr));
    let mut left: Vec<String> = std::fs::read_dir(&disk)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    left.sort();
    assert_eq!(left, ["book.db", "filler"]);
    assert!(run(&["verify"]).status.success());
}

#[test]
fn a_read_only_place_is_read_and_never_written() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7"]);
    let place = world.path("read only");
    std::fs::create_dir(&place).unwrap();
    std::fs::copy(&world.book, place.join("book.db")).unwrap();
    let Some(_mount) = Mount::new(&["--bind", place.to_str().unwrap()], &place)
        .filter(|mount| remounted_read_only(&mount.0))
    else {
        println!("skipped: a folder cannot be mounted read-only here");
        return;
    };
    let run =
        |arguments: &[&str]| World::command_on(&place.join("book.db")).args(arguments).output().unwrap();
    for arguments in
        [vec!["sold", "show", "S-1"], vec!["report", "show", "R-1"], vec!["verify"], vec!["history"]]
    {
        let output = run(&arguments);
        assert!(output.status.success(), "{arguments:?}: {}", text(&output.stderr));
    }
    for arguments in [
        vec!["advise", "R-1"],
        vec!["report", "add", "S-1", "--symptom", "noisy"],
        vec!["forget", "A-1", "--yes"],
    ] {
        let output = run(&arguments);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{arguments:?}: {said}");
        assert!(said.contains("read-only"), "{said}");
    }
    let output = World::command_on(&place.join("new.db")).arg("init").output().unwrap();
    assert_eq!(output.status.code(), Some(1));
}

fn remounted_read_only(at: &Path) -> bool {
    Command::new("mount")
        .args(["-o", "remount,ro,bind"])
        .arg(at)
        .stderr(Stdio::null())
        .status()
        .is_ok_and(|status| status.success())
}

/// A book with the journal of a writer that was killed.
fn unfinished(world: &World) {
    let connection = rusqlite::Connection::open(&world.book).unwrap();
    // A tiny cache makes the writer spill changed pages into the file before it commits.
    connection
        .execute_batch(
            "PRAGMA cache_size = 1; PRAGMA cache_spill = 1; BEGIN IMMEDIATE;
             UPDATE event SET who = who || 'x'; UPDATE string SET colours = 'spilt over several pages of the file';",
        )
        .unwrap();
    let copy = world.path("copy");
    std::fs::create_dir(&copy).unwrap();
    for name in ["book.db", "book.db-journal"] {
        std::fs::copy(world.path(name), copy.join(name)).unwrap();
    }
    drop(connection);
}

#[test]
fn an_unfinished_journal_is_played_back_or_named() {
    let world = World::demo(300);
    unfinished(&world);
    let copy = world.path("copy");
    let second = world.path("second");
    std::fs::create_dir(&second).unwrap();
    for name in ["book.db", "book.db-journal"] {
        std::fs::copy(copy.join(name), second.join(name)).unwrap();
    }
    // Where it may write, the program undoes the unfinished change.
    let output =
        World::command_on(&second.join("book.db")).args(["sold", "show", "S-7", "--json"]).output().unwrap();
    assert!(output.status.success(), "{}", text(&output.stderr));
    assert!(!text(&output.stdout).contains("spilt"));
    assert!(!second.join("book.db-journal").exists());
    let Some(_mount) =
        Mount::new(&["--bind", copy.to_str().unwrap()], &copy).filter(|mount| remounted_read_only(&mount.0))
    else {
        println!("skipped: a folder cannot be mounted read-only here");
        return;
    };
    for command in ["verify", "history"] {
        let output = World::command_on(&copy.join("book.db")).arg(command).output().unwrap();
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{said}");
        assert!(said.contains("cut off while it wrote") && said.contains("-journal"), "{said}");
    }
}

#[test]
fn damaged_files_are_named_and_never_a_fault_of_the_program() {
    let world = World::demo(120);
    let whole = std::fs::read(&world.book).unwrap();
    let mut draw = fastrand::Rng::with_seed(7);
    let damaged = world.path("damaged.db");
    let commands: [&[&str]; 9] = [
        &["verify"],
        &["sold", "show", "S-7"],
        &["sold", "find", "quarrie"],
        &["report", "list"],
        &["advise", "R-3"],
        &["report", "add", "S-9", "--symptom", "noisy"],
        &["history"],
        &["effects"],
        &["setting", "list"],
    ];
    let (mut refused, mut noticed) = (0, 0);
    for round in 0..DAMAGED {
        let mut bytes = whole.clone();
        if round % 4 == 0 {
            bytes.truncate(draw.usize(1..whole.len()));
        } else {
            for _ in 0..draw.usize(1..60) {
                let at = if round % 4 == 1 { draw.usize(..4096) } else { draw.usize(..bytes.len()) };
                bytes[at] ^= 1 << draw.u8(..8);
            }
        }
        std::fs::write(&damaged, &bytes).unwrap();
        let _ = std::fs::remove_file(world.path("damaged.db-journal"));
        for arguments in [commands[0], commands[1 + round as usize % 8]] {
            let output = World::command_on(&damaged).args(arguments).output().unwrap();
            let said = text(&output.stderr);
            let status = output.status.code();
            assert!(
                matches!(status, Some(0 | 1)) && !said.contains("panicked"),
                "round {round}, {arguments:?}: {status:?} {said}"
            );
            if status == Some(1) {
                refused += 1;
                assert!(said.contains("error: ") && said.contains("hint: "), "{said}");
                noticed += u64::from(arguments[0] == "verify");
            }
        }
    }
    println!("{DAMAGED} damaged files: verify noticed {noticed}, {refused} commands refused");
    assert!(noticed > DAMAGED * 3 / 4, "verify noticed only {noticed}");
}

#[test]
fn foreign_files_are_left_alone() {
    let world = World::empty();
    let other = rusqlite::Connection::open(world.path("other.db")).unwrap();
    other.execute_batch("CREATE TABLE t (x); INSERT INTO t VALUES (1);").unwrap();
    drop(other);
    world.write("text.db", "This is a letter, not a book.\n".repeat(400));
    world.write("zip.db", b"PK\x03\x04 and so on");
    world.write("empty.db", b"");
    std::fs::create_dir(world.path("folder.db")).unwrap();
    for name in ["other.db", "text.db", "zip.db", "empty.db", "folder.db"] {
        let path = world.path(name);
        let before = std::fs::read(&path).ok();
        for command in [vec!["verify"], vec!["sold", "show", "S-1"], vec!["init"]] {
            let output = World::command_on(&path).args(&command).output().unwrap();
            let said = text(&output.stderr);
            assert_eq!(output.status.code(), Some(1), "{name} {command:?}: {said}");
            assert!(said.contains(name) && said.contains("hint: "), "{said}");
        }
        assert_eq!(std::fs::read(&path).ok(), before, "{name} was changed");
    }
    assert!(!world.path("other.db-journal").exists());
}

#[test]
fn a_book_of_a_newer_program_is_not_touched() {
    let world = World::new();
    let connection = rusqlite::Connection::open(&world.book).unwrap();
    connection.pragma_update(None, "user_version", 900).unwrap();
    drop(connection);
    let before = std::fs::read(&world.book).unwrap();
    for command in [vec!["verify"], vec!["history"], vec!["report", "list"]] {
        assert!(world.refused(1, &command).contains("newer"));
    }
    assert_eq!(std::fs::read(&world.book).unwrap(), before);
}

#[test]
fn a_clock_set_back_loses_no_order() {
    let world = World::new();
    world.add_string("S-1");
    let on = |day: &str, arguments: &[&str]| {
        let output = world.command().env("FISTMELE_TODAY", day).args(arguments).output().unwrap();
        assert!(output.status.success(), "{arguments:?}: {}", text(&output.stderr));
        text(&output.stdout)
    };
    on("2026-03-01", &["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7"]);
    // The clock goes back by three weeks: what is entered later is still the later one.
    let output = world
        .command()
        .env("FISTMELE_TODAY", "2026-02-08")
        .args(["reading", "add", "R-1", "--turns-changed", "+4", "--brace", "7-1/4"])
        .output()
        .unwrap();
    let said = text(&output.stderr);
    assert!(
        output.status.success() || (output.status.code() == Some(1) && said.contains("--received")),
        "{said}"
    );
    on("2026-02-08", &["advise", "R-1"]);
    on("2026-02-08", &["letter", "R-1", "--no-danger"]);
    let history: serde_json::Value = serde_json::from_str(&on("2026-02-08", &["history", "--json"])).unwrap();
    assert_eq!(history["data"]["lines"][0]["what"], "letter");
    world.assert_sound();
}

#[test]
fn several_writers_at_once_lose_nothing() {
    const WRITERS: usize = 8;
    const EACH: usize = 20;
    let world = World::new();
    for writer in 0..WRITERS {
        world.add_string(&format!("S-{}", writer + 1));
    }
    let writers: Vec<_> = (0..WRITERS)
        .map(|writer| {
            let book = world.book.clone();
            std::thread::spawn(move || {
                for n in 0..EACH {
                    let output = World::command_on(&book)
                        .args([
                            "report",
                            "add",
                            &format!("S-{}", writer + 1),
                            "--symptom",
                            "noisy",
                            "--separate",
                        ])
                        .args(["--shots", &n.to_string()])
                        .output()
                        .unwrap();
                    assert!(output.status.success(), "writer {writer}: {}", text(&output.stderr));
                }
            })
        })
        .collect();
    for writer in writers {
        writer.join().unwrap();
    }
    assert_eq!(world.count("report"), (WRITERS * EACH) as i64);
    assert_eq!(world.count("reading"), (WRITERS * EACH) as i64);
    world.assert_sound();
}

#[test]
fn a_path_with_spaces_and_other_letters_will_do() {
    let world = World::empty();
    let folder = world.path("Bögen & Söhne's \"bench\" 弓 %20?");
    std::fs::create_dir(&folder).unwrap();
    let book = folder.join("the book #1 ü.db");
    let run = |arguments: &[&str]| {
        let output = World::command_on(&book).args(arguments).output().unwrap();
        assert!(output.status.success(), "{arguments:?}: {}", text(&output.stderr));
    };
    run(&["init"]);
    run(&[
        "sold", "add", "--serial", "Ü-1", "--archer", "Änne", "--route", "marked", "--stated", "62",
        "--kind", "recurve",
    ]);
    run(&["sold", "show", "Ü-1"]);
    let (copy, export) = (folder.join("cöpy ?.db"), folder.join("expört"));
    run(&["backup", copy.to_str().unwrap()]);
    run(&["export", export.to_str().unwrap()]);
    run(&["forget", "Änne", "--yes"]);
    run(&["verify"]);
    let again = folder.join("wieder.db");
    let output = World::command_on(&again).arg("restore").arg(&export).output().unwrap();
    assert!(output.status.success(), "{}", text(&output.stderr));
}

#[test]
fn a_book_held_by_another_program_is_named_in_time() {
    let world = World::new();
    world.add_string("S-1");
    let other = rusqlite::Connection::open(&world.book).unwrap();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    for arguments in
        [vec!["sold", "show", "S-1"], vec!["report", "add", "S-1", "--symptom", "noisy"], vec!["verify"]]
    {
        let start = Instant::now();
        let output = world.command().env("FISTMELE_PATIENCE", "200").args(&arguments).output().unwrap();
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(1), "{said}");
        assert!(said.contains("another program"), "{arguments:?}: {said}");
        assert!(start.elapsed() >= Duration::from_millis(180), "it did not wait");
        assert!(start.elapsed() < Duration::from_secs(8), "it waited too long");
    }
    // One that is let go in time is waited for.
    let waiting = {
        let book = world.book.clone();
        std::thread::spawn(move || {
            World::command_on(&book).args(["report", "add", "S-1", "--symptom", "noisy"]).output().unwrap()
        })
    };
    std::thread::sleep(Duration::from_millis(300));
    other.execute_batch("COMMIT").unwrap();
    let output = waiting.join().unwrap();
    assert!(output.status.success(), "{}", text(&output.stderr));
    let output = world.command().env("FISTMELE_PATIENCE", "soon").arg("history").output().unwrap();
    assert_eq!(output.status.code(), Some(1));
}

#[test]
fn somebody_elses_book_is_refused_in_words() {
    let world = World::new();
    let Ok(output) = Command::new("setpriv")
        .args(["--reuid", "65534", "--regid", "65534", "--clear-groups"])
        .arg(env!("CARGO_BIN_EXE_fistmele"))
        .env_clear()
        .arg("--book")
        .arg(&world.book)
        .arg("history")
        .output()
    else {
        println!("skipped: there is no setpriv here");
        return;
    };
    let said = text(&output.stderr);
    if said.contains("setpriv") {
        println!("skipped: nobody else can be asked here: {said}");
        return;
    }
    assert_eq!(std::fs::metadata(&world.book).unwrap().permissions().mode() & 0o777, 0o600);
    assert_eq!(output.status.code(), Some(1), "{said}");
    assert!(said.contains("hint: "), "{said}");
}
