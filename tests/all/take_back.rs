//! A letter that went out on a report which is struck since is taken back by one of its own.

use serde_json::{Value, json};

use crate::bare_world::World;

fn data(world: &World, arguments: &[&str]) -> Value {
    let answer: Value = serde_json::from_str(&world.ok(&[arguments, &["--json"]].concat())).unwrap();
    answer["data"].clone()
}

fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// A report whose letter went out, and that belongs to another archer.
fn struck_after_its_letter() -> World {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7", "--want", "7-1/2..8"]);
    let letter = world.ok(&["letter", "R-1", "--no-danger"]);
    assert!(letter.contains("this table counts"), "a table is out: {letter}");
    let told = world.ok(&["strike", "R-1", "--why", "the mail was another archer's"]);
    let told = words(&told);
    assert!(
        told.contains("Send the one that takes it back") && told.contains("fistmele letter R-1"),
        "{told}"
    );
    world
}

#[test]
fn a_letter_on_a_struck_report_waits_to_be_taken_back_until_it_is() {
    let world = struck_after_its_letter();
    let waits = data(&world, &["due"]);
    assert_eq!(waits["to_take_back"][0]["report"], "R-1");
    assert_eq!(waits["to_take_back"][0]["string"], "S-1");
    assert_eq!(waits["to_take_back"][0]["letter_of"], "2026-03-01");
    assert_eq!(waits["to_take_back"][0]["next"], "fistmele letter R-1");
    assert!(world.ok(&["due"]).contains("Letters to take back"));
    // Whoever looks at the report or at the card of its string sees it too.
    for shown in [&["report", "show", "R-1"], &["sold", "show", "S-1"]] {
        let shown = words(&world.ok(shown));
        assert!(shown.contains("its letter of 2026-03-01 is still with the archer"), "{shown}");
    }

    let preview = world.ok(&["letter", "R-1", "--preview"]);
    let said = words(&preview);
    for told in [
        "On 2026-03-01 we wrote to you about your string S-1",
        "please put it aside, and do nothing more by it",
        "Nothing in it counts for your bow: not its turns, not its table of further turns, not its brace heights",
        "If you turned the string by it, please turn nothing more and do not shoot",
        "unstring it carefully, with a stringer",
        "how many full turns you put in or let out",
        "at no cost to you",
        "Never let the string go without an arrow on it.",
        "the bow's maker or a qualified bowyer decides",
    ] {
        assert!(said.contains(told), "{told}: {preview}");
    }
    assert_eq!(
        data(&world, &["due"])["to_take_back"].as_array().unwrap().len(),
        1,
        "a preview notes nothing"
    );

    assert_eq!(world.ok(&["letter", "R-1"]), preview);
    assert_eq!(data(&world, &["due"])["to_take_back"], json!([]));
    let shown = world.ok(&["report", "show", "R-1"]);
    assert!(shown.contains("2026-03-01: take-back") && !shown.contains("still with the archer"), "{shown}");
    let refused = world.refused(1, &["letter", "R-1"]);
    assert!(refused.contains("R-1 is struck"), "{refused}");
    assert!(world.ok(&["history", "--report", "R-1"]).contains("take-back"));
    world.assert_sound();
}

#[test]
fn the_letter_is_written_as_a_draft_and_takes_no_other_kind_and_no_word() {
    let world = struck_after_its_letter();
    for wrong in [&["letter", "R-1", "--of", "receipt"] as &[&str], &["letter", "R-1", "--no-danger"]] {
        let refused = world.refused(2, wrong);
        assert!(refused.contains("R-1 is struck") && refused.contains("fistmele letter R-1"), "{refused}");
    }
    assert_eq!(data(&world, &["due"])["to_take_back"].as_array().unwrap().len(), 1);
    let file = world.book.with_file_name("back.eml");
    world.ok(&["letter", "R-1", "--draft", file.to_str().unwrap()]);
    assert!(std::fs::read_to_string(file).unwrap().contains("please put it"));
}

#[test]
fn a_report_that_is_brought_back_is_to_answer_and_its_letter_is_taken_back_once() {
    let world = struck_after_its_letter();
    world.ok(&["letter", "R-1"]);
    let told = world.ok(&["unstrike", "R-1"]);
    assert!(words(&told).contains("whether there is danger has to be said anew"), "{told}");
    // The archer was told to put the letter aside: it has to be written anew.
    assert_eq!(data(&world, &["report", "show", "R-1"])["standing"], "to-answer");
    world.ok(&["strike", "R-1", "--why", "it was another archer's all the same"]);
    assert_eq!(data(&world, &["due"])["to_take_back"], json!([]));
    let told = world.ok(&["unstrike", "R-1"]);
    assert!(words(&told).contains("whether there is danger has to be said anew"), "{told}");

    // What was said of danger before is over: nobody knows what was done by either letter.
    assert_eq!(data(&world, &["report", "show", "R-1"])["danger_ruled_out"], false);
    let unsure = words(&world.ok(&["letter", "R-1", "--preview"]));
    assert!(unsure.contains("We asked you to put our letter of 2026-03-01 aside"), "{unsure}");
    assert!(unsure.contains("do not string the bow, and do not turn the string"), "{unsure}");
    assert!(!unsure.contains("brace height reads"), "nobody strings a bow to answer it: {unsure}");
    let letter = words(&world.ok(&["letter", "R-1", "--no-danger"]));
    for told in [
        "this letter takes the place of both",
        "If you have not turned the string by that of 2026-03-01, go by this letter alone",
        "If you have, please turn nothing more for now, do not shoot",
    ] {
        assert!(letter.contains(told), "{told}: {letter}");
    }
    // Said once; and once the archer has written, it is over.
    assert!(!words(&world.ok(&["letter", "R-1"])).contains("takes the place of both"));
    world.ok(&["strike", "R-1", "--why", "it was another archer's after all"]);
    assert_eq!(data(&world, &["due"])["to_take_back"].as_array().unwrap().len(), 1);
}

#[test]
fn nothing_is_taken_back_that_never_went_out() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7", "--want", "7-1/2..8"]);
    world.ok(&["letter", "R-1", "--no-danger"]);
    world.ok(&["strike", "R-1/L1", "--never-sent", "--why", "it lies in the drafts"]);
    let told = world.ok(&["strike", "R-1", "--why", "the mail was another archer's"]);
    assert!(!told.contains("takes it back"), "{told}");
    assert_eq!(data(&world, &["due"])["to_take_back"], json!([]));
    assert!(world.refused(1, &["letter", "R-1"]).contains("R-1 is struck"));
}

#[test]
fn a_string_with_the_measures_of_another_is_said_to_be_entered_twice() {
    let world = World::new();
    let add = |more: &[&str]| {
        let line =
            "sold add --route marked --stated 62 --yarn hmpe --strands 16 --turns 24 --sold-on 2026-02-05";
        let line: Vec<&str> = line.split(' ').chain(more.iter().copied()).collect();
        world.ok(&line)
    };
    let bow = [
        "--archer",
        "Odalind Quarrie",
        "--email",
        "o@example.org",
        "--bow-kind",
        "recurve",
        "--marked",
        "62",
    ];
    let told = add(&bow);
    assert!(!told.contains("entered twice"), "{told}");
    let told = add(&bow).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(told.contains("S-1 was sold on the same day"), "{told}");
    assert!(told.contains("fistmele strike S-2 --why \"entered twice\""), "{told}");
    assert_eq!(data(&world, &["sold", "show", "S-2"])["twins"], json!(["S-1"]));
    // One that is longer by a quarter of an inch is another string.
    let told = add(&[&bow as &[&str], &["--ordered", "58-1/2"]].concat());
    assert!(!told.contains("entered twice"), "{told}");
}

#[test]
fn a_report_that_is_brought_back_before_its_letter_was_taken_back_keeps_that_letter() {
    let world = struck_after_its_letter();
    let told = words(&world.ok(&["unstrike", "R-1"]));
    assert!(told.contains("its letter of 2026-03-01 counts again, and has not to be taken back"), "{told}");
    let shown = data(&world, &["report", "show", "R-1"]);
    assert_eq!((&shown["standing"], &shown["danger_ruled_out"]), (&json!("with-archer"), &json!(true)));
}

#[test]
fn a_word_on_danger_goes_with_the_message_that_was_noted_by_mistake() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7", "--want", "7-1/2..8"]);
    world.ok(&["reading", "add", "R-1", "--brace", "6-1/2"]);
    world.ok(&["letter", "R-1", "--no-danger"]);
    world.ok(&["strike", "R-1/2", "--why", "the mail was another archer's"]);
    let ruled_out = || data(&world, &["report", "show", "R-1"])["danger_ruled_out"].clone();
    assert_eq!(ruled_out(), false, "nobody has looked at the first message alone");
    world.ok(&["unstrike", "R-1/2"]);
    assert_eq!(ruled_out(), true);
}

#[test]
fn what_was_said_of_the_signs_of_a_struck_message_is_no_step_of_its_report() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7", "--want", "7-1/2..8"]);
    world.ok(&["letter", "R-1", "--no-danger"]);
    let text = world.write("mail.txt", "I wonder whether one strand let go. It reads 7 3/8.");
    world.ok(&[
        "reading",
        "add",
        "R-1",
        "--brace",
        "7-3/8",
        "--turns-changed",
        "+9",
        "--text",
        text.to_str().unwrap(),
    ]);
    world.ok(&["advise", "R-1", "--call-off", "1"]);
    world.ok(&["strike", "R-1/2", "--why", "the mail was another archer's"]);
    // Its letter is out: the same turns are not to be told a second time.
    assert_eq!(data(&world, &["report", "show", "R-1"])["standing"], "with-archer");
}

#[test]
fn an_archer_waits_on_while_a_report_is_settled_by_mistake_and_taken_up_again() {
    let world = World::new();
    world.add_string("S-1");
    let on = |day: &str, line: &[&str]| {
        let output = world.command().env("FISTMELE_TODAY", day).args(line).output().unwrap();
        assert!(output.status.success(), "{line:?}: {output:?}");
        crate::bare_world::text(&output.stdout)
    };
    on("2026-03-01", &["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7"]);
    on("2026-03-09", &["settle", "R-1", "--sure"]);
    on("2026-03-11", &["resume", "R-1"]);
    let waits = on("2026-03-12", &["due", "--json"]);
    let waits: Value = serde_json::from_str(&waits).unwrap();
    assert_eq!(waits["data"]["workshop"][0]["days"], 11, "{waits}");
}

#[test]
fn a_word_that_there_is_no_danger_is_taken_back_and_what_rests_on_it_with_it() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7", "--want", "7-1/2..8"]);
    let refused = world.refused(1, &["advise", "R-1", "--danger-open"]);
    assert!(refused.contains("nobody has said of R-1 that there is no danger"), "{refused}");
    let both = world.run(&["advise", "R-1", "--danger-open", "--no-danger"]);
    assert_eq!(both.status.code(), Some(2), "one of the two is said");

    // Said before any letter: the letter that asks is next, and takes nothing back.
    world.ok(&["advise", "R-1", "--no-danger"]);
    world.ok(&["advise", "R-1", "--danger-open"]);
    let asks = words(&world.ok(&["letter", "R-1", "--preview"]));
    assert!(asks.contains("do not string the bow") && !asks.contains("leave aside"), "{asks}");

    // Said after a letter that has the string turned: the next takes that back.
    world.ok(&["letter", "R-1", "--no-danger"]);
    assert_eq!(data(&world, &["report", "show", "R-1"])["standing"], "with-archer");
    world.ok(&["advise", "R-1", "--danger-open"]);
    let shown = data(&world, &["report", "show", "R-1"]);
    assert_eq!((&shown["standing"], &shown["danger_ruled_out"]), (&json!("to-answer"), &json!(false)));
    let letter = words(&world.ok(&["letter", "R-1"]));
    assert!(letter.contains("Please leave aside our letter of 2026-03-01"), "{letter}");
    assert!(letter.contains("do not string the bow, and do not turn the string"), "{letter}");
    assert!(!words(&world.ok(&["letter", "R-1"])).contains("leave aside"), "once is enough");
    let history = world.ok(&["history", "--report", "R-1"]);
    assert!(history.contains("danger-open") && history.contains("withdraw"), "{history}");
    world.assert_sound();
}

#[test]
fn turns_that_are_out_are_not_told_a_second_time_without_a_word() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7", "--want", "7-1/2..8"]);
    let first = words(&world.ok(&["letter", "R-1", "--no-danger"]));
    let warns = "If you have made any of them, do not make them again";
    assert!(!first.contains(warns) && !words(&world.ok(&["letter", "R-1"])).contains(warns));
    // Settled by mistake and taken up again: the letter is due once more, and the turns are with the archer.
    world.ok(&["settle", "R-1", "--sure"]);
    world.ok(&["resume", "R-1"]);
    let again = words(&world.ok(&["letter", "R-1", "--preview"]));
    assert!(again.contains("On 2026-03-01 we asked you to put in") && again.contains(warns), "{again}");
    // What was asked about danger meanwhile changes nothing of that.
    world.ok(&["advise", "R-1", "--danger-open"]);
    world.ok(&["letter", "R-1"]);
    world.ok(&["reading", "add", "R-1", "--shots", "30", "--no-danger"]);
    assert!(words(&world.ok(&["letter", "R-1", "--preview"])).contains(warns));
    // Once the archer has told what was made it is over.
    world.ok(&["reading", "add", "R-1", "--turns-changed", "+9", "--brace", "7-1/4", "--no-danger"]);
    assert!(!words(&world.ok(&["letter", "R-1", "--preview"])).contains(warns));
}

#[test]
fn what_is_noted_anew_in_place_of_what_was_struck_is_not_asked_for_turns() {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7", "--want", "7-1/2..8"]);
    world.ok(&["letter", "R-1", "--no-danger"]);
    world.ok(&["strike", "R-1/1", "--why", "mistyped, it was 7 1/4"]);
    world.ok(&["reading", "add", "R-1", "--brace", "7-1/4", "--want", "7-1/2..8"]);
    assert_eq!(data(&world, &["advise", "R-1"])["verdict"], "adjust");
    assert!(words(&world.ok(&["letter", "R-1", "--no-danger"])).contains("Please leave aside our letter"));
}

#[test]
fn a_letter_is_taken_back_where_it_went() {
    let world = struck_after_its_letter();
    let mail = "From: Odalind Quarrie <new@example.org>\r\nSubject: my string\r\n\r\nMy string S-1 sits at 7 1/8.\r\n";
    let mail = world.write("mail.eml", mail);
    world.ok(&["report", "mail", mail.to_str().unwrap(), "--yes", "--new-address", "--string", "S-1"]);
    let file = world.path("back.eml");
    world.ok(&["letter", "R-1", "--draft", file.to_str().unwrap()]);
    let draft = std::fs::read_to_string(file).unwrap();
    assert!(draft.contains("odalind@example.org") && !draft.contains("new@example.org"), "{draft}");
}
