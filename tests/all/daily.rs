//! The copy a day that the counter makes: kept, told of, opened, scrubbed.

use std::path::Path;
use std::time::{Duration, Instant};

use crate::bare_world::{World, text};
use crate::counter_pages::hidden;
use crate::counter_server::Running;

const COPY: &str = "copies/book.db.2026-03-01.copy";

fn names(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

fn wait_for(what: &str, done: impl Fn() -> bool) {
    let started = Instant::now();
    while !done() {
        assert!(started.elapsed() < Duration::from_secs(30), "{what} never came");
        std::thread::sleep(Duration::from_millis(20));
    }
}

/// A counter that has made its copy and looked through it.
fn counter(world: &World) -> Running {
    let counter = Running::on(world);
    wait_for("the copy", || counter.get("/").contains("The last copy is of 2026-03-01"));
    counter
}

/// Presses the button of a day, or the one that leads back; gives the answer.
fn press(counter: &Running, day: Option<&str>) -> String {
    let page = counter.get("/copies");
    let mark = match day {
        Some(_) => hidden(&page, "<ul class=\"plain\">", "form-mark"),
        None => hidden(&page, "action=\"/copies/open\"", "form-mark"),
    };
    let day = day.map(|day| format!("&day={day}")).unwrap_or_default();
    counter.try_post("/copies/open", &format!("form-mark={mark}{day}")).unwrap()
}

#[test]
fn the_counter_makes_one_whole_copy_a_day_and_says_where_it_lies() {
    let world = World::demo(60);
    let running = counter(&world);
    assert_eq!(names(&world.path("copies")), ["book.db.2026-03-01.copy"]);
    let first = std::fs::read(world.path(COPY)).unwrap();
    let peg = running.get("/");
    assert!(peg.contains("on the same disk as the book") && !peg.contains("No copy could be made"), "{peg}");
    drop(running);
    // The same day once more: the copy stays as it is.
    world.add_string("S-9000");
    drop(counter(&world));
    assert!(std::fs::read(world.path(COPY)).unwrap() == first);
    let again = world.path("again.db");
    let output = World::command_on(&again).arg("restore").arg(world.path(COPY)).output().unwrap();
    assert!(output.status.success(), "{}", text(&output.stderr));
    use std::os::unix::fs::PermissionsExt;
    let mode = |path: &Path| std::fs::metadata(path).unwrap().permissions().mode() & 0o777;
    assert_eq!((mode(&world.path("copies")), mode(&world.path(COPY))), (0o700, 0o600));
}

#[test]
fn seven_days_and_twelve_months_are_kept_and_nothing_else_is_touched() {
    let world = World::demo(60);
    world.ok(&["backup", world.path("one.db").to_str().unwrap()]);
    std::fs::create_dir(world.path("copies")).unwrap();
    let put =
        |name: &str| assert!(std::fs::copy(world.path("one.db"), world.path("copies").join(name)).is_ok());
    for month in 1..=12 {
        for day in [3, 20] {
            put(&format!("book.db.2025-{month:02}-{day:02}.copy"));
        }
    }
    for day in 18..=28 {
        put(&format!("book.db.2026-02-{day}.copy"));
    }
    let others =
        ["book.db.2025-01-03-v4.copy", "other.db.2025-01-03.copy", "book.db.2025-1-3.copy", "notes.txt"];
    others.iter().for_each(|name| put(name));
    let running = counter(&world);
    wait_for("the end of old copies", || names(&world.path("copies")).len() <= others.len() + 18);
    drop(running);
    let left = names(&world.path("copies"));
    assert!(others.iter().all(|other| left.iter().any(|name| name == other)), "{left:?}");
    let days: Vec<&str> = left
        .iter()
        .filter(|name| !others.contains(&name.as_str()))
        .map(|name| &name["book.db.".len()..][..10])
        .collect();
    let months = (3..=12).map(|month| format!("2025-{month:02}-03"));
    let expected: Vec<String> = months
        .chain(["2026-02-18".to_owned()])
        .chain((23..=28).map(|day| format!("2026-02-{day}")))
        .chain(["2026-03-01".to_owned()])
        .collect();
    assert_eq!(days, expected);
}

#[test]
fn a_missing_folder_and_old_copies_are_told_on_the_peg() {
    let world = World::demo(60);
    let stick = world.path("stick");
    world.ok(&["setting", "set", "copies.folder", stick.to_str().unwrap()]);
    let running = Running::on(&world);
    wait_for("the notice", || running.get("/").contains("No copy could be made"));
    let peg = running.get("/");
    assert!(peg.contains("is not there") && peg.contains("There is no copy yet"), "{peg}");
    assert!(!stick.exists() && !world.path("copies").exists(), "a folder was made in its place");
    // It is there again, with a copy of three days before.
    std::fs::create_dir(&stick).unwrap();
    world.ok(&["backup", stick.join("book.db.2026-02-26.copy").to_str().unwrap()]);
    assert!(running.get("/").contains("The last copy is 3 days old"));
    drop(running);
    drop(counter(&world));
    assert_eq!(names(&stick).len(), 2);
}

#[test]
fn a_book_with_faults_gets_no_copy_and_loses_none() {
    let world = World::demo(60);
    drop(counter(&world));
    let old = world.path("copies/book.db.2026-02-01.copy");
    std::fs::rename(world.path(COPY), &old).unwrap();
    let other = rusqlite::Connection::open(&world.book).unwrap();
    other.execute_batch("UPDATE string SET sold_on = '2025-02-30' WHERE id = 8").unwrap();
    drop(other);
    let running = Running::on(&world);
    wait_for("the notice", || running.get("/").contains("would have faults"));
    assert_eq!(names(&world.path("copies")), ["book.db.2026-02-01.copy"]);
}

#[test]
fn one_press_opens_a_copy_to_look_into_and_one_leads_back() {
    let world = World::demo(60);
    let running = counter(&world);
    world.add_string("S-9000");
    let before = (std::fs::read(&world.book).unwrap(), std::fs::read(world.path(COPY)).unwrap());
    assert!(running.get("/string/S-9000").starts_with("HTTP/1.1 200"));
    let answer = press(&running, Some("2026-03-01"));
    assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
    // All pages are those of the copy, and say so.
    assert!(running.get("/string/S-9000").starts_with("HTTP/1.1 404"));
    let page = running.get("/string/S-7");
    assert!(page.contains("This is the copy of 2026-03-01"), "{page}");
    let (mark, seen) = crate::counter_pages::marks(&page, "/string/S-7/report");
    let body = format!("form-mark={mark}&seen={seen}&symptom=noisy&brace=7");
    let answer = running.try_post("/string/S-7/report", &body).unwrap();
    assert!(answer.starts_with("HTTP/1.1 409") && answer.contains("nothing is written to it"), "{answer}");
    let answer = press(&running, None);
    assert!(answer.starts_with("HTTP/1.1 303"), "{answer}");
    assert!(running.get("/string/S-9000").starts_with("HTTP/1.1 200"));
    assert!((std::fs::read(&world.book).unwrap(), std::fs::read(world.path(COPY)).unwrap()) == before);
}

#[test]
fn a_copy_is_looked_into_where_the_book_is_gone_and_not_where_it_was_changed() {
    let world = World::demo(60);
    let running = counter(&world);
    std::fs::write(&world.book, "not a book any more").unwrap();
    let peg = running.get("/").replace("&#x2f;", "/");
    assert!(peg.starts_with("HTTP/1.1 503") && peg.contains("href=\"/copies\""), "{peg}");
    assert!(running.get("/copies").contains("Open the copy of 2026-03-01"));
    assert!(press(&running, Some("2026-03-01")).starts_with("HTTP/1.1 303"));
    assert!(running.get("/string/S-7").starts_with("HTTP/1.1 200"));
    assert!(press(&running, None).starts_with("HTTP/1.1 303"));
    let mut bytes = std::fs::read(world.path(COPY)).unwrap();
    let at = bytes.len() / 2;
    bytes[at] ^= 4;
    std::fs::write(world.path(COPY), bytes).unwrap();
    let answer = press(&running, Some("2026-03-01"));
    assert!(answer.starts_with("HTTP/1.1 409") || answer.starts_with("HTTP/1.1 503"), "{answer}");
    assert!(!running.get("/copies").contains("This is the copy"));
    // Who starts a counter on it is told of the newest copy.
    drop(running);
    let said = world.refused(1, &["counter", "--port", "0"]);
    assert!(said.contains("fistmele restore") && said.contains("book.db.2026-03-01.copy"), "{said}");
}

#[test]
fn who_is_forgotten_is_gone_from_the_daily_copies_too() {
    let world = World::demo(60);
    world.ok(&[
        "sold",
        "add",
        "--serial",
        "S-9000",
        "--archer",
        "Zanzibar Kiste",
        "--email",
        "zanzibarkiste@example.org",
        "--route",
        "marked",
        "--stated",
        "62",
        "--kind",
        "recurve",
    ]);
    drop(counter(&world));
    // One more from before the person came.
    let stranger = World::demo(60);
    stranger.ok(&["backup", world.path("copies/book.db.2026-02-01.copy").to_str().unwrap()]);
    let holds = || {
        let bytes = std::fs::read(world.path(COPY)).unwrap();
        text(&bytes).to_lowercase().contains("zanzibar")
    };
    assert!(holds());
    let said = world.ok(&["forget", "zanzibarkiste@example.org", "--yes"]);
    assert!(!holds(), "{said}");
    for name in names(&world.path("copies")) {
        let again = world.path("again.db");
        let copy = world.path("copies").join(&name);
        let output = World::command_on(&again).arg("restore").arg(&copy).output().unwrap();
        assert!(output.status.success(), "{name}: {}", text(&output.stderr));
        std::fs::remove_file(&again).unwrap();
    }
    assert!(names(&world.path("copies")).len() == 2, "{:?}", names(&world.path("copies")));
    // One that was changed cannot be renewed: it is named, to be deleted.
    let copy = world.path(COPY);
    let mut bytes = std::fs::read(&copy).unwrap();
    let at = bytes.len() / 2;
    bytes[at] ^= 4;
    std::fs::write(&copy, &bytes).unwrap();
    let output = world.run(&["forget", "A-2", "--yes", "--json"]);
    let answer: serde_json::Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(answer["data"]["copies"], serde_json::json!([copy.display().to_string()]));
    assert!(answer["warnings"][0].as_str().unwrap().contains("still holds the person"), "{answer}");
}
