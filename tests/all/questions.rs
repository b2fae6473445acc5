//! What an archer is asked, and what answers a mail without a question.

use serde_json::Value;

use crate::bare_world::World;

fn sold(world: &World, serial: &str, email: &str, more: &[&str]) {
    let usual = ["--archer", "Maelis Ostwick", "--email", email, "--marked", "62", "--sold-on=2026-01-05"];
    world.sell(serial, &[&usual, more].concat());
}

fn data(text: &str) -> Value {
    serde_json::from_str::<Value>(text).unwrap()["data"].clone()
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn mail(world: &World, name: &str, subject: &str, said: &str) -> String {
    let text = format!(
        "From: Maelis Ostwick <maelis@example.org>\r\nSubject: {subject}\r\nDate: Fri, 27 Feb 2026 10:00:00 +0000\r\nMessage-ID: <{name}@example.org>\r\n\r\n{said}\r\n"
    );
    world.write(&format!("{name}.eml"), text).to_str().unwrap().to_owned()
}

#[test]
fn that_nobody_knows_the_makers_range_is_an_answer_and_leads_to_small_steps() {
    let world = World::new();
    sold(&world, "S-1", "maelis@example.org", &[]);
    let said = ["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7-1/4", "--no-danger"];
    world.ok(&said);
    let asked = data(&world.ok(&["advise", "R-1", "--json"]));
    assert_eq!(asked["ask"], serde_json::json!(["brace-range"]));
    world.ok(&["bow", "edit", "S-1", "--brace-range", "unknown"]);
    let told = data(&world.ok(&["advise", "R-1", "--json"]));
    assert_eq!((&told["verdict"], &told["want_source"]), (&"adjust".into(), &"table".into()));
    assert!(!told["ask"].to_string().contains("brace-range"), "{told}");
    let turns = told["turns"].as_i64().unwrap();
    assert!((7..=12).contains(&turns), "{turns}");
    assert!(told["first_step_turns"].as_i64().unwrap() <= 6);
    for row in [&told["then"], &told["first_step_then"]].iter().flat_map(|rows| rows.as_array().unwrap()) {
        assert!(row["turns"].as_i64().unwrap_or_default().abs() <= 6, "{row}");
    }
    let letter = one_line(&world.ok(&["letter", "R-1"]));
    assert!(letter.contains("nobody knows what your bow's maker gives"), "{letter}");
    // Far off no more than two steps are told, and the letter sums up to what it says.
    sold(&world, "S-2", "b@example.org", &["--other-bow", "--brace-range", "unknown"]);
    world.ok(&["report", "add", "S-2", "--symptom", "brace-low", "--brace", "6-7/8", "--no-danger"]);
    let far = data(&world.ok(&["advise", "R-2", "--json"]));
    assert_eq!((&far["turns"], &far["first_step_turns"]), (&12.into(), &6.into()));
    // What is told after all is no longer unknown.
    world.ok(&["bow", "edit", "S-2", "--brace-range", "7-1/2..8"]);
    assert_eq!(data(&world.ok(&["sold", "show", "S-2", "--json"]))["bow"]["range_unknown"], false);
}

#[test]
fn a_message_is_answered_with_two_questions_at_most_and_none_twice() {
    let world = World::new();
    sold(&world, "S-1", "maelis@example.org", &[]);
    let file = mail(
        &world,
        "doubt",
        "S-1",
        "It is too low: 6 7/8 or maybe 7. I have shot some 100-200 arrows or so.",
    );
    world.ok(&["report", "mail", &file, "--yes", "--no-danger"]);
    let ask = data(&world.ok(&["advise", "R-1", "--json"]))["ask"].clone();
    assert_eq!(ask, serde_json::json!(["brace", "brace-range"]));
    let letter = world.ok(&["letter", "R-1"]);
    let numbered = |n: usize| letter.lines().filter(|line| line.starts_with(&format!("{n}. "))).count();
    assert_eq!((numbered(1), numbered(2), numbered(3)), (1, 1, 0), "{letter}");
    assert!(!letter.contains("One more thing in your message"), "{letter}");
    // The words that were doubtful stand with the question about that thing.
    assert!(one_line(&letter).contains("1. What does the brace height measure now"), "{letter}");
}

#[test]
fn likely_values_are_logged_when_somebody_says_so() {
    let world = World::new();
    sold(&world, "S-1", "maelis@example.org", &["--brace-range", "7-1/2..8"]);
    let said = "I put in ten turns and then another ten and it still reads only 7 inches.";
    let file = mail(&world, "likely", "S-1", said);
    let read = data(&world.ok(&["report", "mail", &file, "--json"]));
    assert!(read["likely"].as_array().unwrap().iter().any(|one| one["value"] == 20.0), "{read}");
    world.ok(&["report", "mail", &file, "--yes", "--likely"]);
    let report = data(&world.ok(&["report", "show", "R-1", "--json"]));
    assert_eq!(report["readings"][0]["turns_changed"], 20.0);
    // After turns were made a letter that asks forbids more of them, and says what comes of it.
    let letter = one_line(&world.ok(&["letter", "R-1", "--no-danger"]));
    for words in ["turn the string no further", "no cost to you", "no need to send it back"] {
        assert!(letter.contains(words), "{words}: {letter}");
    }
    // The draft stands below the mail and under its subject, which is not marked twice.
    let again = mail(&world, "again", "Re: S-1", "Now it reads 7 1/8 inches.");
    world.ok(&["report", "mail", &again, "--yes"]);
    let draft = world.path("draft.eml");
    world.ok(&["letter", "R-1", "--draft", draft.to_str().unwrap()]);
    let draft = std::fs::read_to_string(draft).unwrap();
    assert!(draft.contains("\nSubject: Re: S-1\r\n") && draft.contains("again@example.org"), "{draft}");
}

#[test]
fn praise_gets_a_short_letter_back_where_one_is_wanted() {
    let world = World::new();
    sold(&world, "S-1", "maelis@example.org", &[]);
    let file = mail(&world, "praise", "thanks", "Thank you, what a lovely string!");
    let read = world.ok(&["report", "mail", &file]);
    assert!(read.contains("fistmele letter --thanks \"Maelis Ostwick\""), "{read}");
    let letter = world.ok(&["letter", "--thanks", "Maelis Ostwick"]);
    assert!(letter.starts_with("Dear Maelis Ostwick,\n"), "{letter}");
    assert!(one_line(&letter).contains("stop at once on any damage"), "{letter}");
    assert_eq!(world.count("sent_letter"), 0);
}

#[test]
fn turns_beyond_the_window_come_before_the_word_that_it_fits() {
    let world = World::new();
    sold(&world, "S-1", "maelis@example.org", &["--brace-range", "7-1/2..8"]);
    world.ok(&["report", "add", "S-1", "--symptom", "brace-high", "--brace", "8-1/8", "--readings", "3"]);
    let fits = ["--turns-changed", "-6", "--brace", "7-3/4", "--fits", "--no-danger"];
    world.ok(&[&["reading", "add", "R-1"], &fits[..]].concat());
    let letter = one_line(&world.ok(&["letter", "R-1"]));
    let first =
        letter.find("First of all: 18 turns are fewer than the 23").unwrap_or_else(|| panic!("{letter}"));
    assert!(!letter.contains("we are glad") && !letter.contains("Nothing is wrong"), "{letter}");
    assert!(letter.find("lies where it should be").is_none_or(|at| at > first), "{letter}");
}

#[test]
fn of_a_fear_the_letter_quotes_the_few_words() {
    let world = World::new();
    sold(&world, "S-1", "maelis@example.org", &[]);
    let said =
        "It hums on Sundays when my son shoots it, but a strand may be broken, and the weather was bad.";
    let file = mail(&world, "afraid", "S-1", said);
    world.ok(&["report", "mail", &file, "--yes"]);
    let letter = one_line(&world.ok(&["letter", "R-1"]));
    assert!(letter.contains("since you write: \"a strand may be broken\""), "{letter}");
}

#[test]
fn strings_are_listed_newest_first_and_by_what_they_are() {
    let world = World::new();
    for serial in ["S-1", "S-2", "S-3"] {
        sold(&world, serial, "maelis@example.org", &[]);
    }
    world.ok(&["report", "add", "S-2", "--symptom", "noisy"]);
    let serials = |more: &[&str]| -> Vec<String> {
        let found = data(&world.ok(&[&["sold", "list", "--json"], more].concat()));
        found.as_array().unwrap().iter().map(|one| one["serial"].as_str().unwrap().to_owned()).collect()
    };
    assert_eq!(serials(&[]), ["S-3", "S-2", "S-1"]);
    assert_eq!(serials(&["--limit", "1"]), ["S-3"]);
    assert_eq!(serials(&["--reported", "--kind", "recurve", "--yarn", "hmpe", "--route", "marked"]), ["S-2"]);
    assert!(serials(&["--kind", "longbow"]).is_empty());
    assert!(serials(&["--since", "2026-01-06"]).is_empty());
    assert_eq!(serials(&["--until", "2026-01-05"]).len(), 3);
    assert!(world.ok(&["sold", "list", "--kind", "longbow"]).contains("No such string."));
    assert!(world.refused(1, &["sold", "list", "--limit", "0"]).contains("limit"));
}

#[test]
fn strings_of_two_archers_are_told_before_one_mail_is_logged_for_both() {
    let world = World::new();
    sold(&world, "S-1", "old@example.org", &[]);
    sold(&world, "S-2", "other@example.org", &[]);
    let file = mail(&world, "two", "S-1 and S-2", "Both S-1 and S-2 hum. Can that be helped?");
    let read = data(&world.ok(&["report", "mail", &file, "--json"]));
    assert!(read["two_archers"].as_str().unwrap().contains("old@example.org"), "{read}");
    let said = world.refused(1, &["report", "mail", &file, "--each", "--yes"]);
    assert!(said.contains("two archers") && said.contains("--new-address"), "{said}");
    assert!(world.ok(&["report", "list"]).contains("No report yet."));
    world.ok(&["report", "mail", &file, "--each", "--yes", "--new-address", "--no-danger"]);
    let letter = world.ok(&["letter", "R-1", "R-2"]);
    assert!(letter.contains("S-1 and S-2"), "{letter}");
    assert_eq!(data(&world.ok(&["sold", "show", "S-2", "--json"]))["archer"]["email"], "maelis@example.org");
}

#[test]
fn mails_that_wait_show_the_words_of_danger() {
    let world = World::new();
    sold(&world, "S-1", "maelis@example.org", &[]);
    std::fs::create_dir(world.path("in")).unwrap();
    mail(&world, "in/danger", "S-1", "One strand has snapped.");
    let place = world.path("in");
    let shown = world.ok(&["mails", place.to_str().unwrap()]);
    assert!(shown.contains("strand has snapped"), "{shown}");
    let waiting = data(&world.ok(&["mails", place.to_str().unwrap(), "--json"]));
    assert!(waiting["waiting"][0]["signs"][0]["words"].as_str().unwrap().contains("snapped"), "{waiting}");
}

#[test]
fn that_nobody_knows_the_makers_range_is_likely_where_a_mail_says_so() {
    let world = World::new();
    sold(&world, "S-1", "maelis@example.org", &[]);
    for (name, said, wanted) in [
        ("a", "It reads 7 1/4. I do not know what the maker says.", true),
        ("b", "It reads 7 1/4. There is no sticker on the bow and nothing printed on the limb.", true),
        ("c", "It reads 7 1/4. The bowyer never told me a range.", true),
        ("d", "It reads 7 1/4. The bowyer gives 7 1/2 to 8, there is no sticker on it.", false),
        ("e", "It reads 7 1/4. There is no label on the parcel.", false),
    ] {
        let file = mail(&world, name, "S-1", said);
        let read = data(&world.ok(&["report", "mail", &file, "--json"]));
        let is_unknown = |line: &Value| line["what"] == "brace-range" && line["value"] == "unknown";
        assert!(!read["read"].as_array().unwrap().iter().any(is_unknown), "{said}: {read}");
        assert_eq!(read["likely"].as_array().unwrap().iter().any(is_unknown), wanted, "{said}: {read}");
    }
    // With the likely ones it is noted as an answer, and not asked for again.
    let file = mail(
        &world,
        "f",
        "S-1",
        "The brace height is 7 1/4 now, which is too low. I do not know what the maker says.",
    );
    world.ok(&["report", "mail", &file, "--yes", "--likely", "--no-danger"]);
    let asked = data(&world.ok(&["advise", "R-1", "--json"]));
    assert!(!asked["ask"].to_string().contains("brace-range"), "{asked}");
}

#[test]
fn the_letter_says_where_a_slap_may_come_from() {
    let world = World::new();
    for (serial, brace, wanted) in [("S-1", "7-1/4", true), ("S-2", "8-1/4", false)] {
        sold(&world, serial, "maelis@example.org", &["--brace-range", "7-1/2..8"]);
        world.ok(&[
            "report",
            "add",
            serial,
            "--symptom",
            "hand-slap",
            "--brace",
            brace,
            "--readings",
            "3",
            "--shots",
            "300",
            "--no-danger",
        ]);
        let letter = one_line(&world.ok(&["letter", if wanted { "R-1" } else { "R-2" }]));
        assert_eq!(letter.contains("the slap may well come from it"), wanted, "{letter}");
    }
}
