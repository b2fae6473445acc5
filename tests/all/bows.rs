//! Strings for one bow, and bows that look alike.

use crate::answers::{BowCardData, ImportData, StringData};
use crate::world::World;

/// A string of the archer of `sold_recurve`, for a recurve of 62 in of which nothing more is said.
const AGAIN: &str = "--archer Odalind --email odalind@example.org --kind recurve --marked 62 --route marked \
                     --stated 62 --yarn hmpe --strands 14 --turns 28 --sold-on 2026-10-01";

/// The bow of S-1 answers more as the table says.
fn taught(world: &World) {
    let _ = world.sold_recurve("S-1");
    let _ = world.report("S-1", "--symptom brace-low --brace 6-7/8 --readings 3 --shots 200");
    let _ = world.reading("R-1", "--turns-changed +8 --brace 7-3/8 --readings 3 --shots 200");
}

fn bow(world: &World, serial: &str) -> BowCardData {
    world.json(&format!("bow show {serial}"))
}

#[test]
fn a_string_for_the_same_bow_knows_the_bow_and_how_it_answers() {
    let world = World::new();
    taught(&world);
    let second = world.sold(
        "S-2",
        "--same-bow S-1 --route marked --stated 62 --yarn hmpe --strands 14 --turns 28 --sold-on 2026-10-01",
    );
    assert_eq!(second.archer.name.as_deref(), Some("Odalind"));
    assert_eq!((second.bow.tips.as_str(), second.bow.marked_length_inch), ("reinforced", Some(62.0)));
    assert_eq!(second.bow.brace_low_inch, Some(7.5));
    assert_eq!(second.same_bow, ["S-1"]);
    let apart = world.sold("S-3", &format!("{AGAIN} --other-bow --stave laminated"));
    assert_eq!((apart.bow.tips.as_str(), apart.same_bow.len()), ("unknown", 0));
    let _ = world.line("bow edit S-3 --tips reinforced --bow-year 2020").done();
    for (serial, report) in [("S-2", "R-2"), ("S-3", "R-3")] {
        let _ = world.report(
            serial,
            "--symptom brace-low --brace 7-1/4 --want 7-1/2..8 --readings 3 --shots 200 --no-danger",
        );
        let advice = world.advise(report);
        assert_eq!(advice.bow_taught_by.as_deref(), (serial == "S-2").then_some("S-1"));
    }
    // What is known of the bow itself narrows the forecast.
    let spread = |report: &str| world.advise(report).brace_after_sd_inch.unwrap();
    assert!(spread("R-2") < spread("R-3"), "{} against {}", spread("R-2"), spread("R-3"));
    let _ = world.line("advise R-2").done().says(&["answers as second readings with S-1 showed"]);

    let card = bow(&world, "S-2");
    let serials: Vec<&str> = card.strings.iter().map(|string| string.serial.as_str()).collect();
    assert_eq!(serials, ["S-1", "S-2"]);
    assert_eq!(card.taught_by.as_deref(), Some("S-1"));
    assert!(card.answers_ratio.unwrap() > 1.03 && card.answers_log_sd.unwrap() > 0.0);
    assert_eq!(card.alike, ["S-3"]);
    let _ = world.line("bow show S-1").done().says(&[
        "The bow of S-1, S-2",
        "second readings with S-1",
        "bow same",
    ]);
    assert_eq!(bow(&world, "S-3").answers_ratio, None);
}

#[test]
fn a_bow_that_looks_like_another_is_told_and_joined_or_kept_apart() {
    let world = World::new();
    taught(&world);
    let _ = world
        .line(&format!("sold add --serial S-2 {AGAIN}"))
        .done()
        .says(&["another recurve marked 62\" of this archer, that of S-1", "fistmele bow same S-2 S-1"]);
    assert_eq!(bow(&world, "S-2").alike, ["S-1"]);
    let joined: StringData = world.json("bow same S-2 S-1");
    assert_eq!((joined.same_bow.len(), joined.bows_alike.len()), (1, 0));
    assert_eq!(joined.bow.brace_high_inch, Some(8.0));
    let _ = world.line("bow same S-2 S-1").refused().says(&["same bow already"]);
    let apart: StringData = world.json("bow apart S-2");
    assert_eq!((apart.same_bow.len(), apart.bows_alike.as_slice()), (0, ["S-1".to_owned()].as_slice()));
    assert_eq!(apart.bow.brace_high_inch, Some(8.0));
    let _ = world.line("bow apart S-2").refused().says(&["no other string"]);
    // What is corrected of the one is not corrected of the other.
    let _ = world.line("bow edit S-2 --tips plain").done();
    assert_eq!(bow(&world, "S-1").bow.tips, "reinforced");
    let _ = world.line("bow same S-2 S-1").refused().says(&["the bow of S-1 is known with another tips"]);
    let _ = world.line("verify").done().says(&["sound"]);
    let _ = world.line("history --string S-2").done().says(&["same_bow", "bow_apart"]);
}

#[test]
fn a_bow_that_is_known_just_so_is_taken_and_what_is_said_more_is_added() {
    let world = World::new();
    let _ = world.sold("S-1", AGAIN);
    let _ = world
        .line(&format!("sold add --serial S-2 {AGAIN}"))
        .done()
        .says(&["for the bow of S-1", "fistmele bow apart S-2"]);
    let third = world.sold("S-3", &format!("{AGAIN} --same-bow S-1 --bow-year 1998 --tips plain"));
    assert_eq!(third.same_bow, ["S-1", "S-2"]);
    let first: StringData = world.json("sold show S-1");
    assert_eq!((first.bow.year, first.bow.tips.as_str()), (Some(1998), "plain"));
    // Two that are alike in everything: the next string is taken for neither.
    let _ = world.sold("S-4", &format!("{AGAIN} --bow-year 1998 --tips plain --other-bow"));
    let fifth = world.sold("S-5", &format!("{AGAIN} --bow-year 1998 --tips plain"));
    assert_eq!(
        (fifth.same_bow.len(), fifth.bows_alike.as_slice()),
        (0, ["S-3".to_owned(), "S-4".to_owned()].as_slice())
    );
}

#[test]
fn what_does_not_go_with_the_same_bow_is_refused_with_the_way_out() {
    let world = World::new();
    taught(&world);
    let add = |more: &str| world.line(&format!("sold add --route marked --stated 62 --same-bow S-1 {more}"));
    let _ = add("--marked 64").refused().says(&["the bow of S-1", "marked length", "bow edit S-1"]);
    let _ = add("--archer Hanno").refused().says(&["S-1 was not sold to that archer", "--same-bow"]);
    let _ = add("--other-bow").failed(2);
    let _ = world.line("sold add --route marked --stated 62 --same-bow S-9").refused().says(&["S-9"]);
    let _ = world.sold_longbow("S-8");
    let _ = world.line("bow same S-8 S-1").refused().says(&["two archers"]);
    let _ = world.line("bow show S-77").refused().says(&["S-77"]);
    assert_eq!(bow(&world, "S-1").strings.len(), 1);
    // A replacement stays with the bow of what it replaces.
    let _ = world.line("remake R-1 --serial S-2").done();
    let _ = world.line("bow apart S-2").refused().says(&["chain S-1 > S-2"]);
    let third = world.sold("S-3", "--replaces S-2 --route marked --ordered 58-1/2");
    assert_eq!((third.archer.name.as_deref(), third.same_bow.len()), (Some("Odalind"), 2));
    let _ = world.sold("S-4", &format!("{AGAIN} --other-bow"));
    let _ = add("--replaces S-4").refused().says(&["S-4 and S-1 are for two bows"]);
}

const ROWS: &str = "serial,sold_on,route,stated_measure,ordered_length,archer,email,bow_kind,bow_marked_length,brace_low,brace_high,bow_year,yarn,strands\n\
    T-1,2026-08-01,marked,62,58,Una,una@example.org,recurve,62,,,,hmpe,16\n\
    T-2,2026-08-02,marked,62,58,Una,una@example.org,recurve,62,7.5,8,,hmpe,16\n\
    T-3,2026-08-03,marked,62,58,Una,una@example.org,recurve,62,,,1990,hmpe,16\n\
    T-4,2026-08-04,marked,62,58,Una,una@example.org,recurve,62,,,2015,hmpe,16\n\
    T-5,2026-08-05,marked,62,58,Una,una@example.org,recurve,62,,,,hmpe,16\n\
    T-6,2026-08-06,marked,62,58,Orla,orla@example.org,recurve,62,,,,hmpe,16\n\
    T-7,2026-08-07,marked,66,63,Una,una@example.org,longbow,66,,,,polyester,14\n";

#[test]
fn an_import_joins_by_kind_and_marked_length_and_says_so() {
    let world = World::new();
    let file = world.write("orders.csv", ROWS);
    let trial: ImportData = world.json_of(["sold", "import", file.as_str(), "--dry-run"]).0;
    assert_eq!((trial.added, trial.same_bow, trial.bow_kept_apart), (7, 2, 2));
    let _ = world.line("sold show T-1").refused();
    let _ = world.run(["sold", "import", file.as_str()]).done().says(&[
        "2 of them for a bow that its archer has already",
        "--bows-apart",
        "2 of them beside a bow",
    ]);
    // T-4 speaks of another year, and after it T-5 could be for either.
    assert_eq!(bow(&world, "T-1").strings.len(), 3);
    assert_eq!((bow(&world, "T-1").bow.year, bow(&world, "T-1").bow.brace_low_inch), (Some(1990), Some(7.5)));
    assert_eq!(bow(&world, "T-5").alike, ["T-3", "T-4"]);
    // The same file once more changes nothing.
    let again: ImportData = world.json_of(["sold", "import", file.as_str()]).0;
    assert_eq!((again.added, again.unchanged, again.same_bow), (0, 7, 0));
    let _ = world.line("verify").done().says(&["sound"]);

    let world = World::new();
    let file = world.write("orders.csv", ROWS);
    let apart: ImportData = world.json_of(["sold", "import", file.as_str(), "--bows-apart"]).0;
    assert_eq!((apart.added, apart.same_bow, apart.bow_kept_apart), (7, 0, 0));
    assert_eq!(bow(&world, "T-1").strings.len(), 1);
}

/// The rows of a table of an export, without those of `event` being held to their order.
fn exported(world: &World, table: &str) -> Vec<String> {
    let text = std::fs::read_to_string(world.path("export").join(format!("{table}.csv"))).unwrap();
    let mut rows: Vec<String> = text.lines().map(str::to_owned).collect();
    if table == "event" {
        rows = rows.iter().filter_map(|row| Some(row.split_once(',')?.1.to_owned())).collect();
        rows.sort();
    }
    rows
}

#[test]
fn many_rows_of_one_file_give_the_book_that_they_give_a_few_at_a_time() {
    let header = "serial,sold_on,route,stated_measure,ordered_length,archer,email,bow_kind,bow_marked_length,\
                  bow_year,draw_weight_lb,yarn,strands,spool\n";
    let rows: Vec<String> = (0..200)
        .map(|n| {
            // Archers come back within a few rows and after many; some say more of their bow.
            let archer = if n % 3 == 0 { n } else { n % 23 };
            let (year, draw) = (if n % 5 == 0 { "1990" } else { "" }, if n % 7 == 0 { "95" } else { "" });
            let strands = if n % 14 == 0 { 2 } else { 16 };
            format!(
                "V-{n},2026-03-{:02},marked,62,58,A{archer},a{archer}@example.org,recurve,62,{year},{draw},hmpe,{strands},H-{}\n",
                n % 28 + 1,
                n / 30
            )
        })
        .collect();
    let import = |pieces: &[&[String]]| {
        let world = World::new();
        let (mut added, mut shared) = (0, 0);
        for piece in pieces {
            let file = world.write("orders.csv", header.to_owned() + &piece.concat());
            let done: ImportData = world.json_of(["sold", "import", file.as_str()]).0;
            (added, shared) = (added + done.added, shared + done.same_bow);
        }
        let _ = world.line("verify").done().says(&["sound"]);
        let _ = world.run(["export", world.arg("export").as_str()]).done();
        (world, added, shared)
    };
    let (whole, added, shared) = import(&[&rows]);
    let (pieces, added_by_few, shared_by_few) = import(&rows.chunks(9).collect::<Vec<_>>());
    assert_eq!((added, added_by_few), (200, 200));
    assert_eq!(shared, shared_by_few);
    assert!((50..150).contains(&shared), "{shared}");
    for table in ["archer", "bow", "string", "spool", "event", "below_floor"] {
        let rows = exported(&whole, table);
        assert_eq!(rows, exported(&pieces, table), "{table}");
        assert!(rows.len() > 5, "{table}: {}", rows.len());
    }
}
