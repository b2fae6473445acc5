//! Forgetting a person: every place that can hold one, the file's scrub, links, leftovers, a full
//! disk, mails that come again, and commands that are told to stop.

use fistmele::book::{Fate, PLACES, Place};

use crate::bare_world::{World, text};
use crate::trust::anywhere;

/// Every column of text is on the list of places that can hold a person: a new one fails this test
/// until somebody has thought about it.
#[test]
fn every_column_of_text_is_on_the_list_of_what_can_hold_a_person() {
    let world = World::new();
    let connection = rusqlite::Connection::open(&world.book).unwrap();
    let mut statement = connection
        .prepare(
            "SELECT t.name || '.' || c.name, t.sql FROM sqlite_schema t JOIN pragma_table_info(t.name) c
             WHERE t.type = 'table' AND c.type = 'TEXT' AND c.name NOT LIKE '%\\_on' ESCAPE '\\' AND c.name NOT IN ('day', 'month')",
        )
        .unwrap();
    let columns: Vec<(String, String)> = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))
        .unwrap()
        .collect::<Result<_, _>>()
        .unwrap();
    let unknown: Vec<&String> = columns
        .iter()
        .filter(|(column, sql)| {
            let name = column.split_once('.').unwrap().1;
            // A list of fixed words holds nothing personal.
            let fixed = [format!("({name} IN ("), format!("({name} = '")];
            !fixed.iter().any(|list| sql.contains(list))
                && !PLACES.iter().any(|place| **column == format!("{}.{}", place.table, place.column))
        })
        .map(|(column, _)| column)
        .collect();
    assert!(unknown.is_empty(), "may these hold something personal? {unknown:?}");
    // Nor is anything on the list that is not there.
    for place in PLACES {
        let name = format!("{}.{}", place.table, place.column);
        assert!(columns.iter().any(|(column, _)| *column == name), "{name}");
    }
}

/// A book in which the person A-1 stands in every place of the list with a word of its own.
fn full_of(world: &World) -> Vec<String> {
    world.add_string("S-1");
    let letter = world.write("letter.txt", "My brace is 6 7/8.");
    world.ok(&[
        "report",
        "add",
        "S-1",
        "--symptom",
        "brace-low",
        "--brace",
        "6-7/8",
        "--text",
        letter.to_str().unwrap(),
    ]);
    world.ok(&["letter", "R-1"]);
    world.ok(&["strike", "R-1", "--why", "x"]);
    std::fs::remove_file(letter).unwrap();
    let connection = rusqlite::Connection::open(&world.book).unwrap();
    connection.execute("INSERT INTO open_question (report_number, question) VALUES (1, 'x')", []).unwrap();
    let decided = "INSERT INTO decision (report_number, decided_on, who, why, taken_back, free) VALUES (1, '2026-02-01', 'RK', 'x', 0, 1)";
    connection.execute(decided, []).unwrap();
    let moved = "INSERT INTO former_address (archer_id, email, until_on) VALUES (1, 'x', '2026-02-01')";
    connection.execute(moved, []).unwrap();
    connection
        .execute("INSERT INTO sign (report_number, number, kind, sure, words, stands_in, standing) VALUES (1, 1, 'string', 0, 'x', 'message', 'called-off')", [])
        .unwrap();
    let mail = "INSERT INTO noted_mail (mark, noted_on, report_number, reading_id, thread) SELECT printf('%064x', 1), '2026-02-01', 1, min(id), 'x' FROM reading";
    connection.execute(mail, []).unwrap();
    let mut words = Vec::new();
    for (n, place) in PLACES.iter().enumerate() {
        let word = format!("Zanzibar{n}kiste");
        let Place { table, column, .. } = place;
        match place.fate {
            Fate::Emptied | Fate::Blank | Fate::Deleted => {
                let changed =
                    connection.execute(&format!("UPDATE {table} SET {column} = '{word}@example.org'"), []);
                assert!(changed.unwrap() > 0, "{table} has no row");
            }
            Fate::Without(keys) => {
                for key in keys {
                    let sql = format!(
                        "UPDATE {table} SET {column} = json_set(coalesce({column}, '{{}}'), '{key}', '{word}')"
                    );
                    assert!(connection.execute(&sql, []).unwrap() > 0, "{table} has no row");
                }
            }
            Fate::Stays(_) => continue,
        }
        words.push(word);
    }
    words
}

#[test]
fn forgetting_walks_every_place_of_the_list() {
    let world = World::new();
    let words = full_of(&world);
    assert!(words.len() >= 8);
    for word in &words {
        assert!(!anywhere(world.folder(), word).is_empty(), "{word} was not there");
    }
    world.ok(&["forget", "A-1", "--yes"]);
    for word in &words {
        assert!(anywhere(world.folder(), word).is_empty(), "{word}: {:?}", anywhere(world.folder(), word));
    }
    world.assert_sound();
}

#[test]
fn a_scrub_that_failed_is_finished_by_whoever_opens_the_book_next() {
    let world = World::new();
    let words = full_of(&world);
    let connection = rusqlite::Connection::open(&world.book).unwrap();
    // As a command that was cut off after the erasing leaves it: owed, with traces in the file.
    connection
        .execute_batch(
            "PRAGMA secure_delete = OFF; INSERT INTO owed_scrub (id, forgotten_on) VALUES (1, '2026-03-01');
             INSERT INTO forgotten (archer_id, forgotten_on, digest) VALUES (1, '2026-03-01', printf('%064d', 0));
             UPDATE archer SET name = NULL, email = NULL; DELETE FROM letter_text; DELETE FROM open_question; DELETE FROM sent_letter; DELETE FROM former_address; UPDATE decision SET why = ''; UPDATE noted_mail SET thread = NULL, subject = NULL;
             UPDATE string SET order_ref = NULL, imported = NULL; UPDATE report SET imported = NULL;
             UPDATE sign SET words = ''; UPDATE strike SET why = NULL",
        )
        .unwrap();
    drop(connection);
    let traces =
        |words: &[String]| words.iter().filter(|word| !anywhere(world.folder(), word).is_empty()).count();
    assert!(traces(&words) > 0, "nothing was left to be scrubbed");
    // Looking is enough: whoever opens the book finishes it.
    world.ok(&["due"]);
    assert_eq!(traces(&words), 0);
    assert_eq!(world.count("owed_scrub"), 0);
    let said = world.refused(1, &["forget", "A-1", "--yes"]);
    assert!(said.contains("rewritten since"), "{said}");
}

#[test]
fn where_no_room_is_left_the_truth_is_told_and_the_book_stays_whole() {
    let world = World::demo(150);
    world.add_string("S-9001");
    let json: serde_json::Value =
        serde_json::from_str(&world.ok(&["sold", "show", "S-9001", "--json"])).unwrap();
    let id = json["data"]["archer"]["id"].as_str().unwrap();
    let whole = std::fs::read(&world.book).unwrap();
    let kilobytes = whole.len() / 1024 + 4;
    let (mut refused, mut unwritten) = (0, 0);
    for share in (0..=22).map(|step| step * 5) {
        std::fs::write(&world.book, &whole).unwrap();
        // A limit on the size of files stands for the full disk: the program is not killed by it.
        let limited =
            format!("ulimit -f {}; exec \"$0\" --book \"$1\" forget {id} --yes", kilobytes * share / 100);
        let output = std::process::Command::new("bash")
            .args(["-c", &limited, env!("CARGO_BIN_EXE_fistmele"), world.book.to_str().unwrap()])
            .env("FISTMELE_TODAY", "2026-03-01")
            .output()
            .unwrap();
        let said = format!("{share} %: {}{}", text(&output.stdout), text(&output.stderr));
        let told_erased = output.status.success();
        assert!(told_erased || output.status.code() == Some(1), "{said}");
        refused += usize::from(!told_erased);
        unwritten += usize::from(said.contains("could not be rewritten"));
        // What was told is what is there, with room again; and nothing is owed any more.
        let shown = world.ok(&["sold", "show", "S-9001"]);
        assert_eq!(!shown.contains("Odalind"), told_erased, "{said}");
        world.assert_sound();
        assert_eq!(world.count("owed_scrub"), 0, "{said}");
        if told_erased {
            assert!(anywhere(world.folder(), "odalind@example.org").is_empty(), "{said}");
        }
        for beside in ["book.db-journal", "book.db-wal"] {
            let _ = std::fs::remove_file(world.path(beside));
        }
    }
    assert!(refused > 0 && unwritten > 0, "{refused} refused, {unwritten} not rewritten");
}

#[test]
fn forget_follows_links_names_leftovers_and_tells_of_the_same_name() {
    let world = World::new();
    let real = world.path("elsewhere");
    std::fs::create_dir(&real).unwrap();
    let words = full_of(&world);
    world.ok(&[
        "sold", "add", "--archer", "ODALIND ", "--kind", "recurve", "--route", "marked", "--stated", "62",
    ]);
    let connection = rusqlite::Connection::open(&world.book).unwrap();
    connection.execute("UPDATE archer SET name = 'Odalind' WHERE id = 1", []).unwrap();
    drop(connection);
    let moved = real.join("real.db");
    std::fs::rename(&world.book, &moved).unwrap();
    std::os::unix::fs::symlink(&moved, &world.book).unwrap();
    std::fs::write(real.join(".fistmele-copy-x"), "x").unwrap();
    std::fs::create_dir(world.path(".fistmele-export-y")).unwrap();
    let said = world.ok(&["verify"]);
    assert!(said.contains(".fistmele-copy-x") && said.contains(".fistmele-export-y"), "{said}");
    let said = world.ok(&["forget", "A-1", "--yes"]);
    for told in [".fistmele-copy-x", ".fistmele-export-y", "A-2", "mails in your own mail program"] {
        assert!(said.replace('\n', " ").contains(told), "{told}: {said}");
    }
    for word in words {
        assert!(anywhere(&real, &word).is_empty(), "{word}");
    }
    assert!(!real.join("real.db-journal").exists());
}

#[test]
fn a_mail_of_somebody_who_was_forgotten_is_noted_only_if_a_person_says_so() {
    let world = World::new();
    world.add_string("S-1");
    let mail = "From: Odalind <odalind@example.org>\nSubject: S-1\n\nMy brace height is 6 7/8 and should be 7 1/2 to 8.";
    let outside = tempfile::tempdir().unwrap();
    let file = outside.path().join("mail.eml");
    std::fs::write(&file, mail).unwrap();
    let file = file.to_str().unwrap();
    world.ok(&["forget", "A-1", "--yes"]);
    let said = world.refused(1, &["report", "mail", file, "--yes"]);
    assert!(said.contains("was forgotten on 2026-03-01") && said.contains("--although-forgotten"), "{said}");
    let counter = crate::counter_pages::Counter::on(&world.book);
    let page = counter.pasted(&[("pasted", mail)]).text;
    assert!(page.contains("was forgotten on 2026-03-01"), "{page}");
    let (mark, seen) = crate::counter_pages::marks(&page, "/mail/log");
    let mut fields = vec![
        ("form-mark", mark.as_str()),
        ("seen", &seen),
        ("string-seen", "S-1"),
        ("string", "S-1"),
        ("pasted", mail),
        ("symptom", "brace-low"),
        ("brace", "6 7/8"),
    ];
    let answer = counter.post("/mail/log", &fields);
    assert_eq!(answer.status, 409, "{}", answer.text);
    assert_eq!(world.count("report"), 0);
    fields.push(("although-forgotten", "yes"));
    assert_eq!(counter.post("/mail/log", &fields).status, 303);
    assert_eq!(world.count("report"), 1);
}

#[test]
fn a_command_that_is_told_to_stop_takes_away_what_it_has_not_finished() {
    let world = World::demo(400);
    let mut stopped = 0;
    for round in 0..24_u64 {
        let name = world.path(&format!("out-{round}"));
        let what = if round % 2 == 0 { "backup" } else { "export" };
        let mut child = world
            .command()
            .args([what, name.to_str().unwrap()])
            .stdout(std::process::Stdio::null())
            .stderr(std::process::Stdio::null())
            .spawn()
            .unwrap();
        std::thread::sleep(std::time::Duration::from_millis(20 + round * 8));
        let signal = ["-INT", "-TERM", "-HUP"][round as usize % 3];
        let _ = std::process::Command::new("kill")
            .args([signal, &child.id().to_string()])
            .stderr(std::process::Stdio::null())
            .status();
        let status = child.wait().unwrap();
        stopped += usize::from(matches!(status.code(), Some(129 | 130 | 143)));
        let left: Vec<String> = std::fs::read_dir(world.folder())
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .filter(|name| name.starts_with(".fistmele-"))
            .collect();
        assert!(left.is_empty(), "{what} {signal}: {left:?}");
    }
    assert!(stopped > 0, "no command was stopped in time");
    world.assert_sound();
}
