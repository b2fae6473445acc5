//! Books of older programs are brought up to date once, by whoever is first, after one copy.

use std::path::Path;
use std::process::{Child, Output, Stdio};
use std::time::Duration;

use crate::bare_world::{World, text};
use crate::counter_pages::Counter;
use crate::older;

fn names(world: &World, part: &str) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(world.folder())
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|name| name.contains(part))
        .collect();
    names.sort();
    names
}

fn version(book: &Path) -> i64 {
    let connection = rusqlite::Connection::open(book).unwrap();
    connection.query_row("PRAGMA user_version", [], |row| row.get(0)).unwrap()
}

/// A copy can be made a book again, which is sound.
fn assert_whole(world: &World, copy: &str) {
    let again = world.path("again.db");
    let output = World::command_on(&again).arg("restore").arg(world.path(copy)).output().unwrap();
    assert!(output.status.success(), "{copy}: {}", text(&output.stderr));
    std::fs::remove_file(&again).unwrap();
}

#[test]
fn eight_commands_at_once_make_one_copy_and_one_update() {
    for round in 0..6_usize {
        let world = World::empty();
        let old = 1 + round % 4;
        older::book(&world.book, old);
        let started: Vec<Child> = (0..8)
            .map(|place| {
                let command = if place % 2 == 0 { ["report", "list"] } else { ["setting", "list"] };
                let mut command_line = world.command();
                command_line.args(command).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap()
            })
            .collect();
        let done: Vec<Output> = started.into_iter().map(|child| child.wait_with_output().unwrap()).collect();
        for output in &done {
            assert!(output.status.success(), "round {round}: {}", text(&output.stderr));
        }
        let told = done.iter().filter(|output| text(&output.stderr).contains("brought up to date")).count();
        assert_eq!(told, 1, "round {round}");
        assert_eq!(names(&world, ".copy"), [format!("book.db.2026-03-01-v{old}.copy")]);
        assert_eq!(names(&world, "").len(), 2, "{:?}", names(&world, ""));
        assert_eq!(version(&world.path(&names(&world, ".copy")[0])), old as i64);
        world.assert_sound();
        assert_eq!(world.count("event"), 3000);
        assert_whole(&world, &names(&world, ".copy")[0]);
    }
}

#[test]
fn an_update_that_is_killed_leaves_no_half_copy_under_a_copys_name() {
    let world = World::empty();
    let mut draw = fastrand::Rng::with_seed(5);
    let mut cut_off = 0;
    for round in 0..40_u64 {
        for name in names(&world, "") {
            // A piece of the round before stays: the next update takes it away.
            if !name.starts_with(".fistmele-") {
                std::fs::remove_file(world.path(&name)).unwrap();
            }
        }
        older::book(&world.book, 4);
        let mut child = world.command().arg("due").stdout(Stdio::piped()).spawn().unwrap();
        std::thread::sleep(Duration::from_micros(draw.u64(0..25_000)));
        let _ = child.kill();
        cut_off += u64::from(child.wait_with_output().unwrap().stdout.is_empty());
        for copy in names(&world, ".copy") {
            assert_whole(&world, &copy);
        }
        world.ok(&["due"]);
        assert_eq!(version(&world.book), fistmele::book::Book::version());
        assert!(names(&world, ".fistmele-").is_empty(), "round {round}: {:?}", names(&world, ""));
        world.assert_sound();
    }
    println!("40 updates, {cut_off} cut off");
    assert!(cut_off > 5, "hardly ever cut off: {cut_off}");
}

#[test]
fn a_piece_of_a_copy_that_was_cut_off_is_named_as_one_and_taken_away() {
    let world = World::empty();
    older::book(&world.book, 3);
    world.write(".fistmele-unfinished-book.db-Ab12Cd", "a piece");
    world.write(".fistmele-unfinished-other.db-Ab12Cd", "of another book");
    world.ok(&["due"]);
    assert_eq!(names(&world, ".fistmele-"), [".fistmele-unfinished-other.db-Ab12Cd"]);
}

#[test]
fn looking_at_a_page_never_updates_a_book() {
    let world = World::empty();
    older::book(&world.book, 3);
    let before = std::fs::read(&world.book).unwrap();
    let counter = Counter::on(&world.book);
    for address in ["/", "/reports", "/month", "/rules", "/bench"] {
        let answer = counter.get(address);
        assert_eq!(answer.status, 503, "{address}: {}", answer.text);
        assert!(answer.text.contains("of an older fistmele"), "{}", answer.text);
    }
    assert!(std::fs::read(&world.book).unwrap() == before);
    assert_eq!(names(&world, ""), ["book.db"]);
}

#[test]
fn a_running_counter_does_not_update_a_book_that_was_put_in_its_place() {
    let world = World::new();
    let running = crate::counter_server::Running::on(&world);
    let copy = world.path("copies/book.db.2026-03-01.copy");
    while !copy.exists() {
        std::thread::sleep(Duration::from_millis(10));
    }
    std::fs::remove_file(&world.book).unwrap();
    older::book(&world.book, 2);
    assert!(running.get("/").starts_with("HTTP/1.1 503"), "{}", running.get("/"));
    assert_eq!((version(&world.book), names(&world, ".copy").len()), (2, 0));
    world.ok(&["due"]);
    assert!(running.get("/").starts_with("HTTP/1.1 200"));
    assert_eq!(names(&world, ".copy").len(), 1);
}
