//! The program killed at every call by which it writes, before the call and after it.
//!
//! It takes some minutes and needs `strace`; how to run it stands in docs/reliability.md.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use crate::bare_world::{World, orders, text};
use crate::older;

/// Calls by which anything gets to the disk or a name changes.
const CALLS: [&str; 9] =
    ["pwrite64", "write", "fsync", "fdatasync", "ftruncate", "unlink", "rename", "renameat2", "linkat"];

/// A command that writes, and the book or copy it makes, if it makes one.
struct Writer {
    arguments: Vec<&'static str>,
    makes: Option<&'static str>,
}

fn writers() -> Vec<Writer> {
    let on_the_book = [
        vec!["sold", "import", "orders.csv"],
        vec!["sold", "import", "some bad.csv", "--skip-bad", "bad.csv"],
        vec!["sold", "add", "--serial", "N-1", "--route", "marked", "--stated", "62", "--kind", "recurve"],
        vec!["spool", "add", "N-2", "--yarn", "hmpe"],
        vec!["report", "add", "S-7", "--symptom", "noisy", "--brace", "7"],
        vec!["advise", "R-1"],
        vec!["letter", "R-1"],
        vec!["setting", "set", "wait.days", "9"],
        vec!["forget", "A-2", "--yes"],
        vec!["export", "exported"],
        vec!["month", "--html", "m.html", "--csv", "m.csv"],
    ];
    let made = |arguments, makes| Writer { arguments, makes: Some(makes) };
    on_the_book
        .into_iter()
        .map(|arguments| Writer { arguments, makes: None })
        .chain([
            made(vec!["backup", "new copy.db"], "new copy.db"),
            made(vec!["backup", "copy.db", "--replace"], "copy.db"),
            made(vec!["--book", "again.db", "restore", "copy.db"], "again.db"),
            made(vec!["--book", "again.db", "restore", "export"], "again.db"),
            made(vec!["--book", "new.db", "init"], "new.db"),
            made(vec!["--book", "old.db", "due"], "old.db"),
        ])
        .collect()
}

/// A folder with all that the commands need.
fn full_world() -> World {
    let world = World::demo(60);
    world.write("orders.csv", orders(1, 40));
    world.write("some bad.csv", orders(1, 40) + "W-99,never,marked,62,58,,,,,,,\n");
    for arguments in [["backup", "copy.db"], ["export", "export"]] {
        let done = world.command().args(arguments).current_dir(world.folder()).output().unwrap();
        assert!(done.status.success(), "{}", text(&done.stderr));
    }
    older::book(&world.path("old.db"), 4);
    world
}

fn copied(from: &Path, to: &Path) {
    std::fs::create_dir(to).unwrap();
    for entry in std::fs::read_dir(from).unwrap() {
        let entry = entry.unwrap();
        let place = to.join(entry.file_name());
        if entry.file_type().unwrap().is_dir() {
            copied(&entry.path(), &place)
        } else {
            std::fs::copy(entry.path(), place).unwrap();
        }
    }
}

/// Runs a command under which the `n`th call of a kind is the last; true if it came to that.
fn killed_at(folder: &Path, writer: &Writer, call: &str, n: usize, before: bool) -> bool {
    // A call that is answered with an error is not made.
    let fault = if before { "error=EIO:" } else { "" };
    let mut command = Command::new("strace");
    command
        .args(["-f", "-o", "/dev/null", "-e", &format!("trace={call}"), "-e"])
        .arg(format!("inject={call}:{fault}signal=KILL:when={n}"))
        .arg(env!("CARGO_BIN_EXE_fistmele"))
        .args(&writer.arguments)
        .current_dir(folder)
        .env_clear()
        .envs([("FISTMELE_TODAY", "2026-03-01"), ("FISTMELE_BOOK", "book.db"), ("FISTMELE_WHO", "RK")])
        .stdin(Stdio::null())
        .stdout(Stdio::null())
        .stderr(Stdio::null());
    !command.status().unwrap().success()
}

fn assert_sound(book: &Path, about: &str) {
    let output = World::command_on(book).arg("verify").output().unwrap();
    assert!(output.status.success(), "{about}: {}{}", text(&output.stdout), text(&output.stderr));
}

#[test]
#[ignore = "takes minutes and needs strace"]
fn killed_at_every_writing_call_every_book_is_sound() {
    if Command::new("strace").arg("-V").stdout(Stdio::null()).status().is_err() {
        println!("skipped: there is no strace here");
        return;
    }
    let world = full_world();
    let mut all = 0;
    for writer in writers() {
        let mut tried = 0;
        for call in CALLS {
            for before in [true, false] {
                for n in 1.. {
                    let place: PathBuf = world.folder().with_extension("killed");
                    let _ = std::fs::remove_dir_all(&place);
                    copied(world.folder(), &place);
                    let came = killed_at(&place, &writer, call, n, before);
                    let about = format!("{:?} at {call} {n}, before {before}", writer.arguments);
                    assert_sound(&place.join("book.db"), &about);
                    if let Some(made) = writer.makes.map(|name| place.join(name)).filter(|made| made.exists())
                    {
                        // A book that was not finished is called unfinished or empty, never damaged.
                        let output = World::command_on(&made).arg("due").output().unwrap();
                        let said = text(&output.stderr);
                        let new = writer.arguments.ends_with(&["init"]);
                        assert!(
                            output.status.success() || new && !said.contains("damaged"),
                            "{about}: {said}"
                        );
                    }
                    std::fs::remove_dir_all(&place).unwrap();
                    if !came {
                        break;
                    }
                    tried += 1;
                }
            }
        }
        println!("{:?}: killed at {tried} calls", writer.arguments);
        assert!(tried > 3, "{:?} was hardly killed: {tried}", writer.arguments);
        all += tried;
    }
    println!("{all} calls in all");
}
