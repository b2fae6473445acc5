//! What letters and answers say, sentence by sentence: nothing that contradicts itself, no danger
//! left open, no claim that nobody confirmed, no number lost.

use super::letters::word_for;
use crate::answers::{AdviceData, LetterData};
use crate::world::{World, check_letter};

fn workshop() -> World {
    let world = World::new();
    world.sold_recurve("K-1");
    world.sold_longbow("L-1");
    // A string with many turns, which leaves much to let out.
    world.sold(
        "M-1",
        "--kind recurve --marked 62 --tips reinforced --route marked --stated 62 --offset 3-1/2 --yarn hmpe \
         --strands 16 --turns 47",
    );
    // A bow whose maker's range nobody knows.
    world.sold(
        "N-1",
        "--kind recurve --marked 62 --tips reinforced --route marked --stated 62 --offset 3-1/2 --yarn hmpe \
         --strands 16 --turns 24",
    );
    world
}

/// The text on one line, so that the breaks of a letter part no sentence.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The letter of a kind about what is said of a string, on one line, with the person's word where it
/// needs it.
#[track_caller]
fn letter_about(string: &str, said: &str, kind: &str) -> (String, String) {
    let world = workshop();
    world.report(string, &format!("{said}{}", word_for(kind)));
    let letter = world.letter("R-1");
    (letter.letter, flat(&letter.text))
}

/// Checks that a letter is of a kind, says all of these and none of those.
#[track_caller]
fn says(string: &str, said: &str, kind: &str, all: &[&str], never: &[&str]) {
    let (found, text) = letter_about(string, said, kind);
    assert_eq!(found, kind, "{said}: {text}");
    for words in all {
        assert!(text.contains(words), "{said}: {words:?} is missing in {text}");
    }
    for words in never {
        assert!(!text.contains(words), "{said}: {words:?} stands in {text}");
    }
}

const PRESUMES_A_STRUNG_BOW: [&str; 7] = [
    "nstring the bow with a stringer",
    "take the string off with a stringer",
    "Unstring the bow before",
    "whole strung bow",
    "on the strung bow",
    "With the bow strung",
    "off its nock",
];

#[test]
fn nobody_is_told_to_force_a_string_on_or_to_unstring_a_bow_that_cannot_be_strung() {
    for (string, said, kind) in [
        ("K-1", "--symptom will-not-string", "ask"),
        ("K-1", "--symptom will-not-string --length 58-1/2 --at loaded", "ask"),
        ("K-1", "--symptom will-not-string --length 61-1/2 --at loaded", "ask"),
        ("K-1", "--symptom will-not-string --marker down", "adjust"),
        ("M-1", "--symptom will-not-string --length 57-1/2 --at loaded", "adjust"),
        ("K-1", "--symptom will-not-string --length 57-3/8 --at loaded", "remake"),
        ("K-1", "--symptom will-not-string --symptom broken-strand", "stop"),
        // Whatever is written beside it: a bow that is not strung has no brace height.
        ("K-1", "--symptom will-not-string --brace 7", "ask"),
    ] {
        says(
            string,
            said,
            kind,
            &["Never force a string on", "leave the bow unstrung"],
            &PRESUMES_A_STRUNG_BOW,
        );
    }
}

#[test]
fn every_later_letter_about_a_bow_that_cannot_be_strung_says_so_too() {
    let mut world = workshop();
    world.report("K-1", "--symptom will-not-string --length 57-3/8 --at loaded --no-danger");
    let mut texts = vec![world.json::<LetterData>("letter R-1 --of receipt").text, world.letter("R-1").text];
    let _ = world.line("remake R-1").done();
    texts.push(world.letter("R-1").text);
    let _ = world.line("remake sent R-1").done();
    texts.push(world.letter("R-1").text);
    for text in texts {
        check_letter(&text);
        let flat = flat(&text);
        assert!(flat.to_lowercase().contains("force"), "{flat}");
        for words in PRESUMES_A_STRUNG_BOW {
            assert!(!flat.contains(words), "{words:?} stands in {flat}");
        }
    }
    // The reminder asks for what can be measured off the bow.
    let mut second = workshop();
    second.report("K-1", "--symptom will-not-string --no-danger");
    second.letter("R-1");
    second.day("2026-11-22");
    let text = flat(&second.letter("R-1").text);
    assert!(text.contains("measure the string off the bow"), "{text}");
    assert!(!text.contains("off with a stringer"), "{text}");
    // For the person at the keyboard as well.
    world.day("2026-11-15");
    let told = flat(&second.line("advise R-1").done().stdout);
    assert!(told.contains("measure the string off the bow") && told.contains("Never force"), "{told}");
}

#[test]
fn a_bow_that_was_strung_after_all_is_judged_by_its_brace_height() {
    let world = workshop();
    world.report("K-1", "--symptom will-not-string");
    world.letter("R-1");
    world.reading("R-1", "--brace 7-1/4 --shots 300 --no-danger");
    let advice = world.advise("R-1");
    assert_eq!(advice.verdict, "adjust");
    let text = flat(&world.letter("R-1").text);
    assert!(text.contains("Unstring the bow with a stringer"), "{text}");
}

#[test]
fn what_may_be_shot_meanwhile_follows_from_the_reading_and_the_bow_makers_range() {
    let below = "Please do not shoot it meanwhile: 6 7/8\" lies below the 7 1/2\" to 8\" that your bow's maker gives.";
    let above = "Please do not shoot it meanwhile: 8 1/2\" lies above the 7 1/2\" to 8\" that your bow's maker gives.";
    let inside =
        "Meanwhile you may shoot it: 7 5/8\" lies within the 7 1/2\" to 8\" that your bow's maker gives.";
    let only = "Please shoot it meanwhile only if its brace height lies within the";
    for (string, said, kind, sentence) in [
        ("K-1", "--symptom brace-low --brace 6-7/8 --shots 300", "adjust", below),
        ("K-1", "--symptom brace-high --brace 8-1/2 --readings 3", "remake", above),
        ("K-1", "--symptom brace-high --brace 8-1/8", "ask", "8 1/8\" lies above the 7 1/2\" to 8\""),
        // Outside what the archer wants, inside what the bow's maker gives.
        ("K-1", "--symptom brace-high --brace 7-5/8 --want 9", "ask", inside),
        ("K-1", "--symptom brace-low", "ask", only),
        ("K-1", "--symptom kinked", "ask", only),
        ("N-1", "--symptom brace-low --brace 7-1/4", "ask", "within the range that your bow's maker gives"),
        ("K-1", "--symptom serving-loose", "mend", "Please do not shoot it meanwhile."),
    ] {
        says(string, said, kind, &[sentence], &[]);
    }
    // What must not be strung or shot at all is told no more than that.
    says("K-1", "--symptom broken-strand --brace 7-3/4", "stop", &[], &["meanwhile"]);
    says("K-1", "--symptom will-not-string", "ask", &[], &["meanwhile"]);
}

#[test]
fn tag_ends_are_trimmed_no_shorter_than_a_quarter_and_a_slipping_splice_is_no_matter_of_looks() {
    let sentence = "leave at least 1/4\" standing and never cut into the string. Where an end gets shorter by \
                    itself the splice may slip: stop shooting and write to us.";
    says("K-1", "--symptom loose-tags", "reassure", &[sentence], &["harmless: trim them, leave"]);
    says(
        "K-1",
        "--symptom brace-low --brace 7-1/4 --shots 300 --symptom loose-tags",
        "adjust",
        &[sentence],
        &[],
    );
    let world = workshop();
    let _ = world.line("card K-1").done().says(&["leave 1/4\"", "never cut into the string"]);
}

#[test]
fn the_edge_of_a_nock_is_looked_at_before_it_cuts_the_new_string() {
    let edge = "have the edges of that nock looked at by the bow's maker or a qualified bowyer before the new \
                string goes on: a sharp edge cuts a new string as well.";
    for said in ["broken-strand", "frayed"] {
        let world = workshop();
        world.report("K-1", &format!("--symptom {said}"));
        assert!(flat(&world.letter("R-1").text).contains(edge), "{said}");
        let _ = world.line("remake R-1").done();
        let _ = world.line("remake sent R-1").done();
        let posted = world.letter("R-1");
        assert_eq!(posted.letter, "posted");
        assert!(flat(&posted.text).contains(edge), "{said}: {}", posted.text);
    }
    says("K-1", "--symptom noisy --brace 7-3/4 --tips plain", "stop", &[], &[edge]);
}

#[test]
fn a_nock_or_a_loop_that_does_not_fit_is_asked_which_way_which_one_and_by_how_much() {
    let nock = ["too tight or too loose on the serving?", "Which nock is it", "by how much"];
    let of_loop = ["Is the loop too tight or too loose?", "the upper or the lower", "by how much"];
    says("K-1", "--symptom nock-fit", "mend", &nock, &of_loop[..1]);
    says("K-1", "--symptom loop-fit", "mend", &of_loop, &nock[..1]);
    says("K-1", "--symptom loop-fit --symptom brace-low --brace 7-1/4 --shots 300", "adjust", &of_loop, &[]);
    says("K-1", "--symptom serving-gap", "mend", &[], &["by how much"]);
}

#[test]
fn a_forecast_says_where_nine_in_ten_read_in_letter_and_answer() {
    let world = workshop();
    world.report("K-1", "--symptom brace-low --brace 7-1/4 --shots 300 --no-danger");
    let advice: AdviceData = world.advise("R-1");
    let (after, sd) = (advice.brace_after_inch.unwrap(), advice.brace_after_sd_inch.unwrap());
    // By hand: 7.74 less and more 1.645 x 0.13 is 7.52 to 7.96, outwards 7 1/2 to 8.
    assert!((after - 7.74).abs() < 0.01 && (sd - 0.132).abs() < 0.01, "{after} {sd}");
    let forecast = "about 7 3/4\"; nine in ten read between 7 1/2\" and 8\"";
    assert!(flat(&world.letter("R-1").text).contains(&format!("You should read {forecast}.")));
    let text = flat(&world.line("advise R-1").done().stdout);
    assert_eq!(text.matches(forecast).count(), 2, "{text}");
    assert!(!text.contains("7 3/4\" ±"), "{text}");
    let sum = world.line("twist --kind recurve --length 58-1/2 --brace 7-1/4 --want 7-1/2..8 --yarn hmpe --strands 16 --turns 24").done();
    assert!(flat(&sum.stdout).contains("nine in ten read between"), "{}", sum.stdout);
    let world = workshop();
    world.report("K-1", "--symptom brace-high --brace 8-1/2 --readings 3 --no-danger");
    let remake = flat(&world.letter("R-1").text);
    assert!(remake.contains("and should stand at about 7 11/16\"; nine in ten read between"), "{remake}");
}

#[test]
fn what_is_closed_claims_nothing_that_nobody_confirmed() {
    let end = |said: &str, reading: Option<&str>| {
        let world = workshop();
        world.report("K-1", &format!("{said} --no-danger"));
        world.letter("R-1");
        if let Some(reading) = reading {
            world.reading("R-1", &format!("{reading} --no-danger"));
            world.advise("R-1");
        }
        let told = flat(&world.line("settle R-1").done().stdout);
        (told, flat(&world.letter("R-1").text))
    };
    let (told, letter) = end("--symptom noisy --brace 7-3/4", None);
    assert!(told.contains("R-1 is closed: it looked right; the archer has not confirmed."), "{told}");
    assert!(!told.contains("not known yet") && told.contains("What it was is not known."), "{told}");
    assert!(letter.contains("we have not heard from you") && !letter.contains("are glad"), "{letter}");
    let (told, letter) = end("--symptom brace-low --brace 7-1/4 --shots 300", None);
    assert!(told.contains("it was to be put right on the bow; the archer has not confirmed."), "{told}");
    assert!(!letter.contains("are glad"), "{letter}");
    let low = "--symptom brace-low --brace 7-1/4 --shots 300";
    let (told, letter) = end(low, Some("--turns-changed +11 --brace 7-3/4"));
    assert!(told.contains("put right on the bow, and the archer reads 7 3/4\"."), "{told}");
    assert!(letter.contains("We are glad that the matter of your string K-1 is settled"), "{letter}");
    // Written back, but with nothing that says that all is well.
    let (told, letter) = end("--symptom noisy --brace 7-3/4", Some("--shots 200"));
    assert!(told.contains("the archer wrote back, without a brace height in the range"), "{told}");
    assert!(letter.contains("you sent us no brace height") && !letter.contains("are glad"), "{letter}");
}

#[test]
fn whoever_sends_a_letter_that_promises_a_label_is_reminded_of_it() {
    let reminders = |string: &str, said: &str, word: &str| {
        let world = workshop();
        world.report(string, &format!("{said} {word}"));
        let (letter, warnings) = world.json_of::<LetterData>(["letter", "R-1"]);
        // The reminder is for the person who sends it; the letter is not changed by it.
        assert!(!letter.text.contains("attach"), "{}", letter.text);
        let plain = world.line("letter R-1").done();
        assert_eq!(plain.stderr.is_empty(), warnings.is_empty(), "{}", plain.text());
        warnings.join(" ")
    };
    assert_eq!(
        reminders("K-1", "--symptom serving-gap", "--no-danger"),
        "this letter promises a return label: attach one to it"
    );
    for (said, word) in
        [("--symptom broken-strand", ""), ("--symptom brace-high --brace 8-1/2 --readings 3", "--no-danger")]
    {
        assert!(reminders("K-1", said, word).contains("put one into the parcel"), "{said}");
    }
    assert_eq!(reminders("K-1", "--symptom brace-low --brace 7-1/4 --shots 300", "--no-danger"), "");
}

#[test]
fn two_heights_stand_side_by_side_with_their_names() {
    let world = workshop();
    world.report("K-1", "--symptom brace-low --brace 6-7/8");
    world.letter("R-1");
    world.reading("R-1", "--turns-changed +9 --brace 7-7/16");
    let text = flat(&world.line("advise R-1").done().stdout);
    assert!(
        text.contains("brace height 7 7/16\" as read, 7 3/8\" by all readings together, wanted"),
        "{text}"
    );
    assert!(text.contains("The brace height reads 7 7/16\""), "{text}");
    // One reading is one height.
    let world = workshop();
    world.report("K-1", "--symptom brace-low --brace 6-7/8");
    assert!(flat(&world.line("advise R-1").done().stdout).contains("brace height 6 7/8\", wanted"));
}

#[test]
fn plain_words_are_used_where_crooked_ones_stood() {
    let world = workshop();
    let _ = world.line("sold find odalindo").done().says(&["No exact match. Closest:"]);
    world.report("K-1", "--symptom brace-high --brace 8-1/2 --readings 3");
    let text = flat(&world.line("advise R-1").done().stdout);
    assert!(text.contains("No safe number of turns will bring it there."), "{text}");
    assert!(text.contains("likely cause ordered in the wrong length for this bow"), "{text}");
    let made = flat(&world.line("remake R-1").done().stdout);
    assert!(made.contains("R-1, the replacement is being made"), "{made}");
    says(
        "K-1",
        "--symptom kinked",
        "ask",
        &["does no harm. If it stays, stop and send a photo."],
        &["one that stays may"],
    );
    says(
        "K-1",
        "--symptom noisy --brace 7-3/4",
        "reassure",
        &["and a photo would tell us more."],
        &["we see more"],
    );
    says(
        "K-1",
        "--symptom brace-low --brace 7-1/4 --shots 300",
        "adjust",
        &["until the loop faces the same way again"],
        &[],
    );
    let world = workshop();
    world.report("K-1", "--symptom loose-tags");
    let receipt = flat(&world.json::<LetterData>("letter R-1 --of receipt").text);
    assert!(receipt.contains("We will look at it and answer within a few days."), "{receipt}");
    let mail = world.write("mail.txt", "Since Tuesday the upper limb creaks at full draw.");
    let _ = world.run(["report", "add", "M-1", "--symptom", "other", "--text", &mail]).done();
    let _ = world.line("advise R-2 --confirm 1").done();
    assert!(flat(&world.letter("R-2").text).contains("looked at by someone who can examine the bow"));
}
