//! What is said of several strings at once, and by somebody of whom the book knows none.

use crate::answers::{LetterData, MailData, ReportData};
use crate::world::{World, check_letter};

fn order_of_three() -> World {
    let world = World::new();
    for serial in ["S-1", "S-2", "S-3"] {
        let _ = world.sold(
            serial,
            "--archer Odalind --email odalind@example.org --order O-17 --kind recurve --marked 62 \
             --brace-range 7-1/2..8 --tips reinforced --route marked --stated 62 --yarn hmpe --strands 16 \
             --turns 24 --sold-on 2026-09-01",
        );
    }
    world
}

#[test]
fn a_report_of_each_string_of_an_order_and_one_letter_that_names_them() {
    let world = order_of_three();
    let reports: Vec<ReportData> = world
        .json("report add o-17 S-2 --symptom brace-low --brace 7-1/4 --readings 3 --shots 200 --no-danger");
    let strings: Vec<&str> = reports.iter().map(|report| report.string.as_str()).collect();
    assert_eq!(strings, ["S-1", "S-2", "S-3"]);
    let preview: serde_json::Value =
        serde_json::from_str(&world.line("letter R-1 R-2 R-3 --preview --json").done().stdout).unwrap();
    let text = preview["data"]["text"].as_str().unwrap();
    assert!(text.contains("S-1, S-2 and S-3") && text.matches("Dear Odalind,").count() == 1, "{text}");
    assert_eq!(text.matches("For your safety:").count(), 1, "what is alike is said once: {text}");
    check_letter(text);
    // Another reading of one of them is said apart, and each string is named where it is spoken of.
    let _ = world.reading("R-2", "--brace 6-1/2 --readings 3 --shots 210 --no-danger");
    let letter = world.line("letter R-1 R-2 R-3").done().stdout;
    for words in ["your strings S-1, S-2 and S-3", "* S-1 and S-3 *", "* S-2 *", "6 1/2"] {
        assert!(letter.contains(words), "{words:?} is not in {letter}");
    }
    assert_eq!(letter.matches("With kind regards").count(), 1, "{letter}");
    check_letter(&letter);
    for report in ["R-1", "R-3"] {
        assert_eq!(world.standing(report), "with-archer");
    }
    // One letter, one answer.
    let cost = |report: &str| world.json::<ReportData>(&format!("report show {report}")).cost_cents;
    assert_eq!((cost("R-1"), cost("R-2"), cost("R-3")), (400, 0, 0));
    let _ = world.line("verify").done().says(&["sound"]);
}

#[test]
fn one_letter_takes_back_what_an_earlier_one_rested_on_by_mistake() {
    let world = order_of_three();
    let _ = world.line("report add S-1 S-2 --symptom brace-low --brace 6-7/8 --shots 200 --no-danger").done();
    let _ = world.line("letter R-1").done();
    let _ = world.reading("R-1", "--turns-changed +9 --brace 7-3/16 --no-danger");
    let _ = world.line("letter R-1").done();
    let _ = world.run(["strike", "R-1/2", "--why", "of another archer"]).done();
    let text = |letter: &str| {
        let said = world.line(letter).done().stdout;
        said.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    for letter in ["letter R-1 R-2 --preview", "letter R-1 R-2"] {
        let said = text(letter);
        assert_eq!(said.matches("Please leave aside our letter of").count(), 1, "{said}");
        assert!(said.contains("* S-1 * Please leave aside our letter of"), "{said}");
        assert!(said.contains("please turn nothing more for now, do not shoot"), "{said}");
    }
    // It is taken back: a further letter does not say so again.
    let _ = world.reading("R-1", "--turns-changed +17 --brace 7-7/16 --no-danger");
    let said = text("letter R-1 R-2 --preview");
    assert!(!said.contains("leave aside"), "{said}");
}

#[test]
fn what_does_not_go_together_is_refused() {
    let world = order_of_three();
    let _ = world.sold_longbow("S-8");
    // All or none: the last serial is unknown.
    let _ = world.line("report add S-1 S-2 S-99 --symptom noisy").refused().says(&["S-99"]);
    let _ = world.line("report list").done().says(&["No report yet"]);
    let _ = world.line("report add S-1 S-8 --symptom brace-low --brace 7-1/4").done();
    let _ = world.line("letter R-1 R-2").refused().says(&["two archers"]);
    let _ = world.line("letter R-1 R-1").refused().says(&["named twice"]);
    let _ = world.line("letter R-1 R-2 --of receipt").failed(2).says(&["one report"]);
    // Danger is not ruled out: the letter asks, and has no bow strung.
    let _ = world.line("report add S-2 --symptom brace-low --brace 7-1/4 --want 7-1/2..8").done();
    let _ = world.line("letter R-1 R-3").done().says(&["please do not shoot, do not string the bow"]);
}

const MAIL: &str = "From: Odalind <odalind@example.org>\nSubject: my order O-17\n\n\
    Hello, the strings of order O-17 are lovely but the brace height is 7 1/4 with each and should be 7 1/2 to 8.\n";

#[test]
fn a_mail_that_names_an_order_of_several_strings_is_about_all_only_if_somebody_says_so() {
    let world = order_of_three();
    let file = world.write("mail.txt", MAIL);
    let (read, _): (MailData, _) = world.json_of(["report", "mail", file.as_str()]);
    assert_eq!((read.string, read.candidates.len()), (None, 3));
    let _ =
        world.run(["report", "mail", file.as_str(), "--yes"]).refused().says(&["--each", "S-3, S-2, S-1"]);
    let (logged, _): (MailData, _) = world.json_of(["report", "mail", file.as_str(), "--yes", "--each"]);
    assert_eq!(logged.reports.len(), 3);
    assert_eq!(logged.report, None);
    // The same mail is not taken twice.
    let _ = world
        .run(["report", "mail", file.as_str(), "--yes", "--each"])
        .refused()
        .says(&["this very message"]);
    let one = world.write("one.txt", "From: Odalind <odalind@example.org>\n\nHello, nothing but noise.\n");
    let _ = world
        .run(["report", "mail", one.as_str(), "--yes", "--each"])
        .refused()
        .says(&["names no several strings"]);
    // An order that is said is as good as one in the mail.
    let _ = world
        .run(["report", "mail", one.as_str(), "--string", "O-17", "--yes", "--each"])
        .done()
        .says(&["R-3 R-2 R-1"]);
}

/// A recurve of 66 in and a longbow of 62 in, each with a string, of one archer.
fn two_bows() -> World {
    let world = World::new();
    for (serial, bow) in [("S-1", "--kind recurve --marked 66"), ("S-2", "--kind longbow --marked 62")] {
        let _ = world.sold(
            serial,
            &format!(
                "--archer Odalind --email odalind@example.org {bow} --tips reinforced --route marked \
                 --stated 62 --yarn hmpe --strands 16 --turns 24 --sold-on 2026-09-01"
            ),
        );
    }
    world
}

const TWO: &str = "From: Odalind <odalind@example.org>\nSubject: my two strings\n\n\
    Hello,\n\nthe brace height of the 66 in one is 7 1/4 now, the brace height of the 62 in one is 6 1/2 now. Both came out too long. \
    No turns in either so far.\n\nThe bowyer says 6 3/4 to 7 1/4.\n\nThanks\nOdalind\n";

/// What is sure, and what is likely, of a string.
fn told(mail: &MailData, serial: &str) -> [Vec<String>; 2] {
    let one = mail.each.iter().find(|one| one.string == serial).unwrap();
    [one.symptoms.iter().chain(&one.read).collect::<Vec<_>>(), one.likely.iter().collect()]
        .map(|lines| lines.iter().map(|line| format!("{} {}", line.what, line.value)).collect())
}

#[test]
fn each_string_of_a_mail_gets_what_is_said_of_it() {
    let world = two_bows();
    let file = world.write("two.txt", TWO);
    let (read, _): (MailData, _) = world.json_of(["report", "mail", file.as_str()]);
    let ([first, first_likely], [second, second_likely]) = (told(&read, "S-1"), told(&read, "S-2"));
    let said = |lines: &[String], what: &str| lines.iter().any(|line| line == what);
    // In one sentence two values, each of its string; neither has the other's, not even as likely.
    assert!(said(&first, "brace 7.25") || said(&first_likely, "brace 7.25"), "{first:?} {first_likely:?}");
    assert!(said(&second, "brace 6.5") || said(&second_likely, "brace 6.5"), "{second:?} {second_likely:?}");
    for (lines, other) in
        [(&first, "6.5"), (&first_likely, "6.5"), (&second, "7.25"), (&second_likely, "7.25")]
    {
        assert!(!lines.iter().any(|line| line.starts_with("brace ") && line.ends_with(other)), "{lines:?}");
    }
    for (sure, likely) in [(&first, &first_likely), (&second, &second_likely)] {
        // Of both the words say so; whose bowyer it is they do not.
        assert!(said(sure, "symptom \"too-long\""), "{sure:?}");
        assert!(said(sure, "turns-changed 0.0") || said(likely, "turns-changed 0.0"), "{sure:?} {likely:?}");
        assert!(likely.iter().any(|line| line.ends_with("[6.75,7.25]")), "{likely:?}");
        assert!(!sure.iter().any(|line| line.contains("[6.75")), "{sure:?}");
    }
    let _ = world.run(["report", "mail", file.as_str(), "--yes", "--likely", "--each"]).done();
    for report in ["R-1", "R-2"] {
        let report: ReportData = world.json(&format!("report show {report}"));
        let brace = if report.string == "S-1" { 7.25 } else { 6.5 };
        assert_eq!(report.readings[0].brace_inch, Some(brace), "{}", report.string);
        assert!(report.symptoms.contains(&"too-long".to_owned()), "{:?}", report.symptoms);
    }
}

#[test]
fn of_several_strings_one_that_is_said_gets_no_other_ones_values() {
    let world = two_bows();
    let file = world.write("two.txt", TWO);
    let (read, _): (MailData, _) = world.json_of(["report", "mail", file.as_str(), "--string", "S-2"]);
    let said = |value: f64| {
        read.read.iter().chain(&read.likely).any(|line| line.what == "brace" && line.value == value)
    };
    assert!(said(6.5) && !said(7.25), "{:?} {:?}", read.read, read.likely);
    assert!(read.each.is_empty());
}

#[test]
fn somebody_of_whom_the_book_knows_no_string_is_asked_for_label_or_order() {
    let world = World::new();
    let letter = world.line("letter --unknown-sender Una").done().stdout;
    for words in
        ["Dear Una,", "serial on the label", "number of the order", "came from a fair", "do not shoot"]
    {
        assert!(letter.contains(words), "{words:?} is not in {letter}");
    }
    check_letter(&letter);
    assert!(world.line("letter --unknown-sender").done().stdout.contains("Dear archer,"));
    let _ = world.line("letter R-1 --unknown-sender Una").failed(2);
    let _ = world.line("history").done().never_says(&["letter"]);
    // A workshop's own text takes its place.
    let folder = world.path("letters");
    std::fs::create_dir(&folder).unwrap();
    std::fs::write(folder.join("which-string.txt"), "{{ greeting }} Which one?\n").unwrap();
    assert_eq!(world.line("letter --unknown-sender Una").done().stdout.trim(), "Dear Una, Which one?");
    let _ = world.sold_recurve("S-1");
    let _: LetterData = {
        let _ = world.report("S-1", "--symptom noisy");
        world.json("letter R-1")
    };
}
