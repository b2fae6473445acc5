//! Edges at which a value, a name or a day goes beyond what the book takes: each is refused by its
//! door, with the text, the reason and the way out, and none ends as a fault of the program.

use std::time::{Duration, Instant};

use crate::bare_world::{World, orders, text};
use crate::counter_pages::Counter;

const SOLD: [&str; 11] = [
    "sold", "add", "--archer", "Odalind", "--kind", "recurve", "--route", "marked", "--stated", "62",
    "--yarn",
];

fn sold<'a>(more: &[&'a str]) -> Vec<&'a str> {
    let mut all = SOLD.to_vec();
    all.push("hmpe");
    all.extend(more);
    all
}

#[test]
fn lengths_at_the_end_of_their_range_are_taken_and_beyond_it_refused() {
    let world = World::new();
    for option in ["--serving", "--offset", "--loop-top", "--loop-bottom"] {
        world.ok(&sold(&[option, "20 in"]));
        for beyond in ["20.1 in", "21 in", "-21 in"] {
            let said = world.refused(1, &sold(&[&format!("{option}={beyond}")]));
            assert!(
                said.contains(beyond) && (said.contains("impossible") || said.contains("negative")),
                "{option} {beyond}: {said}"
            );
        }
    }
    world.refused(1, &sold(&["--loop-top", "-1"]));
    world.ok(&["report", "add", "S-1", "--symptom", "noisy", "--serving=-20 in"]);
    world.refused(1, &["report", "add", "S-1", "--symptom", "noisy", "--serving=-21 in"]);
    world.assert_sound();
}

#[test]
fn a_spool_name_is_as_long_as_the_book_takes_at_every_door() {
    let world = World::new();
    let (longest, longer) = ("y".repeat(200), "y".repeat(201));
    world.ok(&sold(&["--spool", &longest]));
    let said = world.refused(1, &sold(&["--spool", &longer]));
    assert!(said.contains("--spool") && said.contains("200 characters"), "{said}");
    world.refused(1, &["spool", "add", &longer, "--yarn", "hmpe"]);
    let rows = orders(1, 3).replace("bow_kind\n", "bow_kind,spool\n").replace("recurve\n", "recurve,Y\n");
    let file = world.write(
        "orders.csv",
        rows.replacen("Y\n", &format!("{longest}\n"), 2).replace(",Y\n", &format!(",{longer}\n")),
    );
    let said = world.refused(1, &["sold", "import", file.to_str().unwrap()]);
    assert!(said.contains("line 4") && said.contains("spool") && said.contains("200"), "{said}");
}

#[test]
fn an_address_of_several_words_is_refused_at_every_door() {
    let world = World::new();
    for address in ["a b@example.org", "a@example.org b", "a@b@c", "a\u{a0}b@example.org"] {
        let said = world.refused(1, &sold(&["--email", address]));
        assert!(said.contains("is no e-mail address"), "{said}");
        let rows = orders(1, 1).replace("archer1@example.org", address);
        let file = world.write("orders.csv", rows);
        let said = world.refused(1, &["sold", "import", file.to_str().unwrap()]);
        assert!(said.contains("line 2") && said.contains("email"), "{said}");
    }
    assert_eq!(world.count("string"), 0);
}

#[test]
fn days_that_no_clock_shows_are_refused() {
    let world = World::new();
    for day in ["-262143-01-01", "0000-01-01", "1969-12-31", "2201-01-01", "+262142-12-31", "soon"] {
        for arguments in [vec!["month"], vec!["due"], vec!["demo"], sold(&[]), vec!["verify"]] {
            let output = world.command().env("FISTMELE_TODAY", day).args(&arguments).output().unwrap();
            let said = text(&output.stderr);
            // What knows no day does not ask for it.
            let fine = arguments[0] == "verify" && output.status.success();
            assert!(fine || output.status.code() == Some(1), "{day} {arguments:?}: {said}");
            assert!(fine || (said.contains(day) && said.contains("1970")), "{day} {arguments:?}: {said}");
        }
    }
    for day in ["1970-01-01", "2200-12-31"] {
        for arguments in
            [vec!["month"], vec!["due"], vec!["quiet", "list"], sold(&["--sold-on", "1970-01-01"])]
        {
            let output = world.command().env("FISTMELE_TODAY", day).args(&arguments).output().unwrap();
            assert!(output.status.success(), "{day} {arguments:?}: {}", text(&output.stderr));
        }
    }
}

#[test]
fn a_book_is_a_file() {
    let world = World::empty();
    for name in [":memory:", "file:x?mode=memory", "file::memory:?cache=shared", "file:book.db"] {
        for command in ["init", "due", "verify"] {
            let output = World::command_on(std::path::Path::new(name))
                .current_dir(world.folder())
                .arg(command)
                .output()
                .unwrap();
            let said = text(&output.stderr);
            assert_eq!(output.status.code(), Some(1), "{name} {command}: {said}");
            assert!(said.contains("no name of a file") && said.contains("hint: "), "{said}");
        }
    }
    assert_eq!(std::fs::read_dir(world.folder()).unwrap().count(), 0, "something was made");
    // A file that is really called so is named with its folder.
    let output = World::command_on(&world.path(":memory:")).arg("init").output().unwrap();
    assert!(output.status.success());
    let output = World::command_on(&world.path(":memory:")).arg("due").output().unwrap();
    assert!(output.status.success(), "{}", text(&output.stderr));
}

#[test]
fn json_and_errors_hold_nothing_that_a_terminal_obeys() {
    let world = World::new();
    world.add_string("S-1");
    let hostile = "x\u{9b}31m\u{202e}\u{200b}gnp";
    let connection = rusqlite::Connection::open(&world.book).unwrap();
    connection.execute("UPDATE archer SET name = ?1", [hostile]).unwrap();
    drop(connection);
    for arguments in [
        vec!["sold", "show", "S-1", "--json"],
        vec!["sold", "show", "S-1"],
        vec!["sold", "find", "S-1", "--json"],
        vec![hostile],
        vec![hostile, "--json"],
        vec!["sold", "add", "--kind", hostile],
        vec!["sold", "add", "--kind", hostile, "--json"],
        vec!["--book", hostile, "due"],
        vec!["--book", hostile, "due", "--json"],
    ] {
        let mut command = std::process::Command::new(env!("CARGO_BIN_EXE_fistmele"));
        command.env_clear().env("FISTMELE_TODAY", "2026-03-01").env("FISTMELE_BOOK", &world.book);
        let output = command.current_dir(world.folder()).args(&arguments).output().unwrap();
        for said in [text(&output.stdout), text(&output.stderr)] {
            let raw = said.chars().find(|c| matches!(c, '\u{80}'..='\u{9f}' | '\u{200b}'..='\u{202e}'));
            assert_eq!(raw, None, "{arguments:?}: {said:?}");
        }
    }
    // Whoever reads the JSON has the text as it is.
    let json: serde_json::Value =
        serde_json::from_str(&world.ok(&["sold", "show", "S-1", "--json"])).unwrap();
    assert_eq!(json["data"]["archer"]["name"], hostile);
}

#[cfg(unix)]
#[test]
fn a_pipe_in_the_place_of_a_letter_is_named_and_not_waited_for() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "6-7/8", "--want", "7-1/2..8"]);
    std::fs::create_dir(world.path("letters")).unwrap();
    let pipe = world.path("letters/look-over.txt");
    assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
    let start = Instant::now();
    let mut child = world
        .command()
        .args(["letter", "R-1"])
        .stdout(std::process::Stdio::piped())
        .stderr(std::process::Stdio::piped())
        .spawn()
        .unwrap();
    while child.try_wait().unwrap().is_none() {
        if start.elapsed() > Duration::from_secs(20) {
            child.kill().unwrap();
            panic!("the pipe is waited for");
        }
        std::thread::sleep(Duration::from_millis(20));
    }
    let output = child.wait_with_output().unwrap();
    let said = text(&output.stderr);
    assert!(output.status.code() == Some(1) && said.contains("is not a text file"), "{said}");
}

#[test]
fn a_cost_beyond_all_measure_is_damage_and_no_fault() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "6-7/8", "--want", "7-1/2..8"]);
    world.ok(&["letter", "R-1"]);
    world.ok(&["remake", "R-1"]);
    let connection = rusqlite::Connection::open(&world.book).unwrap();
    connection
        .execute_batch("UPDATE cost SET cents = 9223372036854775807; UPDATE string SET price_cents = 9223372036854775807")
        .unwrap();
    drop(connection);
    for arguments in [
        vec!["sold", "show", "S-1"],
        vec!["report", "show", "R-1"],
        vec!["remake", "sent", "R-1"],
        vec!["settle", "R-1"],
        vec!["month"],
        vec!["due"],
        vec!["advise", "R-1"],
    ] {
        let output = world.run(&arguments);
        let said = text(&output.stderr);
        assert!(matches!(output.status.code(), Some(0 | 1)), "{arguments:?}: {said}");
        assert!(output.status.success() || said.contains("book.db"), "{arguments:?}: {said}");
    }
    let output = world.run(&["verify"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(text(&output.stdout).contains("a cost of R-1"), "{}", text(&output.stdout));
}

#[test]
fn a_book_with_two_names_on_its_disk_is_told_of() {
    let world = World::new();
    assert!(!text(&world.run(&["due"]).stderr).contains("hard link"));
    let other = world.path("other.db");
    std::fs::hard_link(&world.book, &other).unwrap();
    for book in [&world.book, &other] {
        let output = World::command_on(book).arg("due").output().unwrap();
        let said = text(&output.stderr);
        assert!(output.status.success() && said.contains("hard link"), "{said}");
        assert!(said.contains(book.to_str().unwrap()), "{said}");
    }
}

#[test]
fn many_reports_of_one_string_do_not_grow_with_their_square() {
    const REPORTS: u64 = 80;
    let world = World::new();
    world.add_string("S-1");
    let size = || std::fs::metadata(&world.book).unwrap().len();
    let log = |from: u64, to: u64, more: &[&str]| {
        for n in from..to {
            let shots = n.to_string();
            let mut arguments = vec!["report", "add", "S-1", "--symptom", "noisy", "--brace", "7"];
            arguments.extend(["--shots", &shots]);
            arguments.extend(more);
            let said = world.ok(&arguments);
            let id = said.split_whitespace().find(|word| word.starts_with("R-")).unwrap();
            world.ok(&["advise", id.trim_end_matches([',', '.', ':'])]);
        }
    };
    for more in [&["--separate"][..], &[][..]] {
        // The newest are kept with a verdict: from there on each costs as much as the one before.
        log(0, REPORTS / 4, more);
        let start = size();
        log(REPORTS / 4, REPORTS / 2, more);
        let first = size() - start;
        log(REPORTS / 2, REPORTS, more);
        let second = size() - start - first;
        assert!(second < first * 3, "{more:?}: {first} bytes, then {second} for twice as many");
    }
    world.assert_sound();
}

#[test]
fn every_error_about_a_book_names_its_file() {
    let world = World::new();
    world.add_string("S-1");
    let named = |said: &str| assert!(said.contains("book.db"), "{said}");
    let other = rusqlite::Connection::open(&world.book).unwrap();
    other.execute_batch("BEGIN EXCLUSIVE").unwrap();
    for arguments in [vec!["due"], vec!["report", "add", "S-1", "--symptom", "noisy"], vec!["verify"]] {
        let output = world.command().env("FISTMELE_PATIENCE", "50").args(&arguments).output().unwrap();
        named(&text(&output.stderr));
    }
    other.execute_batch("COMMIT").unwrap();
    drop(other);
    let whole = std::fs::read(&world.book).unwrap();
    let mut broken = whole.clone();
    for byte in &mut broken[4096..] {
        *byte = 0xff;
    }
    for content in [&broken[..], &whole[..4096], b"", b"SQLite format 3\0", b"something else"] {
        std::fs::write(&world.book, content).unwrap();
        named(&world.refused(1, &["sold", "show", "S-1"]));
        // So does the counter, on a page without a book.
        let answer = Counter::on(&world.book).get("/string/S-1");
        assert_eq!(answer.status, 503, "{}", answer.text);
        named(&answer.text);
    }
}

#[test]
fn an_import_names_line_and_column_of_what_it_cannot_read() {
    let world = World::new();
    let good = orders(1, 2);
    let long = "x".repeat(70_000);
    for (content, said) in [
        (good.replace("O-2", "O\u{0}2").into_bytes(), "line 3, character"),
        ([good.as_bytes(), b"W-9,\xff"].concat(), "line 4, character 5"),
        (good.replace("O-2", "\"O-2").into_bytes(), "line 3, column 8"),
        (good.replace("O-2", &long).into_bytes(), "line 3, column 8"),
        (good.replace("email", "archer").into_bytes(), "line 1"),
    ] {
        let file = world.write("orders.csv", content);
        let error = world.refused(1, &["sold", "import", file.to_str().unwrap()]);
        assert!(error.contains(said), "{said}: {error}");
    }
}
