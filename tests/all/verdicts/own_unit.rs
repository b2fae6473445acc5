//! An archer who measures in centimetres reads no inch, whatever the book is kept in.

use fistmele::letters::LetterKind;
use fistmele::trade::words::Verdict;

use super::letters::{FIRST_LETTERS, word_for, workshop};
use crate::answers::{LetterData, StringData};
use crate::world::World;

/// A workshop whose archers all measure in centimetres.
fn metric_workshop() -> World {
    let world = workshop();
    for serial in ["K-1", "L-1", "M-1", "P-1", "P-2"] {
        let _ = world.line(&format!("sold archer {serial} --measures-in cm")).done();
    }
    world
}

#[track_caller]
fn holds_no_inch(text: &str) {
    let letters: Vec<char> = text.chars().collect();
    let marked =
        letters.windows(2).any(|pair| pair[0].is_ascii_digit() && matches!(pair[1], '"' | '\u{2033}'));
    let worded = text.split(|c: char| !c.is_alphabetic()).any(|word| matches!(word, "inch" | "inches"));
    assert!(!marked && !worded && !text.contains("1/16"), "{text}");
}

#[test]
fn no_letter_card_sheet_or_form_of_a_metric_archer_holds_an_inch() {
    let mut kinds: Vec<String> = Vec::new();
    let mut has_cm = 0;
    let mut check = |found: LetterData| {
        holds_no_inch(&found.text);
        has_cm += usize::from(found.text.contains(" cm"));
        kinds.push(found.letter);
    };
    for (_, string, said, kind, _) in FIRST_LETTERS {
        let world = metric_workshop();
        world.report(string, &format!("{said}{}", word_for(kind)));
        check(world.letter("R-1"));
    }
    let mut world = metric_workshop();
    world.report("K-1", "--symptom brace-high --brace 8-1/2 --readings 3");
    check(world.json("letter R-1 --of receipt"));
    check(world.letter("R-1"));
    check(world.released_letter("R-1"));
    let _ = world.line("remake R-1").done();
    check(world.letter("R-1"));
    let _ = world.line("remake sent R-1").done();
    check(world.letter("R-1"));
    world.day("2026-11-22");
    check(world.letter("R-1"));
    let _ = world.line("settle R-1").done();
    check(world.letter("R-1"));
    world.report("P-1", "--symptom brace-low --brace 7-1/4 --readings 3 --no-danger");
    check(world.letter("R-2"));
    holds_no_inch(&world.line("sheet R-2").done().stdout);
    let sheet = world.arg("sheet.html");
    let _ = world.run(["sheet", "R-2", "--html", &sheet]).done();
    let page = std::fs::read_to_string(world.path("sheet.html")).unwrap();
    // Paper is cut and drawn in inches; what people read stands between the tags.
    let shown: String =
        page.split('>').filter_map(|part| part.split_once('<')).map(|(text, _)| text).collect();
    holds_no_inch(&shown);
    assert!(shown.contains("Brace height (cm):") && shown.contains("19.1 cm to 20.3 cm"), "{shown}");
    world.report("P-2", "--symptom brace-high --brace 6-7/8");
    check(world.letter("R-3"));
    world.reading("R-2", "--fits --no-danger");
    check(world.json("letter R-2"));
    let mail = world.write("mail.txt", "Since Tuesday the upper limb creaks at full draw.");
    let _ = world.run(["report", "add", "M-1", "--symptom", "other", "--text", &mail]).done();
    let _ = world.line("advise R-4 --confirm 1").done();
    check(world.letter("R-4"));
    for kind in LetterKind::ALL {
        assert!(kinds.iter().any(|found| found == kind.as_str()), "no letter {kind} was tried");
    }
    assert!(Verdict::ALL.len() < has_cm, "{has_cm} letters hold a length");
    let card = world.line("card K-1").done().stdout;
    holds_no_inch(&card);
    assert!(card.contains("19.1 cm to 20.3 cm") && card.contains("\nBrace height (cm):\n"), "{card}");
    // Whoever works at the bench reads the book's own unit all the same.
    assert!(world.line("sold show K-1").done().stdout.contains("7 1/2\""));
}

#[test]
fn the_unit_is_taken_from_the_first_mail_that_names_it_and_can_be_said() {
    let world = workshop();
    let unit = |serial: &str| world.json::<StringData>(&format!("sold show {serial}")).archer.unit;
    let mail = |text: &str| {
        let text = format!("From: K <k@example.org>\nSubject: String K-1\n\n{text}\n");
        world.write("mail.eml", &text);
        world.line("report mail mail.eml --string K-1 --yes")
    };
    assert_eq!(unit("K-1"), None);
    let _ = mail("The brace height is 17.5 cm now, it should be 7 1/2 to 8 inches says the limb.").done();
    assert_eq!(unit("K-1").as_deref(), Some("cm"));
    // A bare figure in the form is in the unit in which it asked, and comes to the same inches.
    let letter = world.json::<LetterData>("letter R-1 --no-danger");
    let filled = letter.text.replace("Brace height (cm):", "Brace height (cm): 19,05");
    assert_ne!(filled, letter.text);
    let answer = filled.lines().map(|line| format!("> {line}\n")).collect::<String>();
    let _ = mail(&answer).done();
    let report = world.json::<crate::answers::ReportData>("report show R-1");
    let brace = report.readings.last().unwrap().brace_inch.unwrap();
    assert!((brace - 7.5).abs() < 1e-9, "{brace}");
    // What is said stays, whatever the next mail is written in.
    let _ = world.line("sold archer K-1 --measures-in inch").done();
    let _ = mail("Now I read 19.4 cm.").done();
    assert_eq!(unit("K-1").as_deref(), Some("inch"));
    let _ = world.line("sold archer K-1 --measures-in book").done();
    assert_eq!(unit("K-1"), None);
    let _ = world.line("sold archer K-1 --measures-in ell").refused().says(&["ell", "cm"]);
}
