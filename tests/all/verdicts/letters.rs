//! A letter for every standing through the program, and an option for every word that is asked.

use std::collections::BTreeSet;

use fistmele::letters::LetterKind;
use fistmele::show::asks::asked_of_danger;
use fistmele::trade::words::{Ask, Verdict};

use crate::answers::{AdviceData, LetterData, ReportData};
use crate::world::{World, check_letter, snapshot};

/// A workshop with its three strings and a name under its letters.
pub(super) fn workshop() -> World {
    let world = World::new();
    let _ = world.run(["setting", "set", "workshop.name", "The Long Bench"]).done();
    let _ = world.run(["setting", "set", "workshop.signature", "Berrin Tamsin"]).done();
    world.sold_recurve("K-1");
    world.sold_longbow("L-1");
    // A string with many turns, which leaves much to let out.
    world.sold(
        "M-1",
        "--archer Isaura --kind recurve --marked 62 --tips reinforced --route marked --stated 62 \
         --offset 3-1/2 --yarn hmpe --strands 16 --turns 47",
    );
    // Strings with nothing, or hardly anything, to let out.
    world.sold(
        "P-1",
        "--archer Isaura --kind recurve --marked 62 --brace-range 7-1/2..8 --tips reinforced --route marked \
         --stated 62 --offset 3-1/2 --yarn hmpe --strands 16 --turns 23",
    );
    world.sold(
        "P-2",
        "--archer Hanno --kind longbow --marked 68 --brace-range 6..6-1/2 --route marked --stated 68 \
         --yarn polyester --strands 14 --turns 26 --built 65",
    );
    world
}

/// Checks a letter against its snapshot and returns its kind.
#[track_caller]
fn letter(world: &World, name: &str, report: &str, kind: &str, verdict: &str) -> String {
    let found = world.letter(report);
    assert_eq!((found.letter.as_str(), found.verdict.as_str()), (kind, verdict), "{name}");
    assert_eq!(found.report.as_deref(), Some(report));
    assert!(found.text.contains("Berrin Tamsin\nThe Long Bench"), "{}", found.text);
    snapshot!(format!("letter-{name}"), found.text);
    found.letter
}

/// Name of the letter, string, what is said, kind of letter, verdict.
pub(super) const FIRST_LETTERS: [(&str, &str, &str, &str, &str); 20] = [
    ("reassure", "K-1", "--symptom noisy --brace 7-3/4", "reassure", "reassure"),
    ("ask-edge", "K-1", "--symptom brace-low --brace 7-1/2 --symptom loose-tags", "ask", "ask"),
    (
        "reassure-settling",
        "L-1",
        "--symptom brace-high --brace 6-9/16 --want 6-1/4..6-1/2 --shots 1",
        "reassure",
        "reassure",
    ),
    ("ask-maker", "P-1", "--symptom brace-high --brace 8-1/16 --readings 3 --shots 5", "ask", "ask"),
    ("adjust-out-settling", "P-2", "--symptom brace-high --brace 6-11/16 --shots 5", "adjust", "adjust"),
    ("reassure-tags", "K-1", "--symptom loose-tags", "reassure", "reassure"),
    ("ask-brace", "K-1", "--symptom brace-low", "ask", "ask"),
    ("ask-again", "K-1", "--symptom brace-high --brace 8-1/8", "ask", "ask"),
    ("ask-photo", "K-1", "--symptom kinked", "ask", "ask"),
    ("adjust", "K-1", "--symptom brace-low --brace 7-1/4 --shots 300", "adjust", "adjust"),
    ("adjust-out", "L-1", "--symptom brace-high --brace 6-7/8 --symptom serving-gap", "adjust", "adjust"),
    ("adjust-first-step", "K-1", "--symptom brace-low --brace 6-7/8", "adjust", "adjust"),
    ("adjust-settling", "K-1", "--symptom brace-low --brace 7-3/8 --shots 40", "adjust", "adjust"),
    ("adjust-flip", "K-1", "--symptom serving-place --marker down", "adjust", "adjust"),
    ("adjust-flip-serving", "K-1", "--symptom serving-place --serving 1", "adjust", "adjust"),
    ("adjust-unstrung", "M-1", "--symptom will-not-string --length 57-1/2 --at loaded", "adjust", "adjust"),
    ("mend", "K-1", "--symptom serving-loose", "mend", "mend"),
    ("remake", "K-1", "--symptom brace-high --brace 8-1/2 --readings 3", "remake", "remake"),
    ("stop-strand", "K-1", "--symptom broken-strand --brace 7-3/4", "stop", "stop"),
    ("stop-yarn", "K-1", "--symptom noisy --brace 7-3/4 --tips plain", "stop", "stop"),
];

/// The person's word, where a letter has the bow strung.
pub(super) fn word_for(kind: &str) -> &'static str {
    let kind: LetterKind = kind.parse().unwrap_or_else(|fault| panic!("{fault}"));
    if kind.has_the_bow_strung() { " --no-danger" } else { "" }
}

#[test]
fn every_verdict_has_its_letter() {
    let mut verdicts = BTreeSet::new();
    for (name, string, said, kind, verdict) in FIRST_LETTERS {
        let world = workshop();
        world.report(string, &format!("{said}{}", word_for(kind)));
        letter(&world, name, "R-1", kind, verdict);
        verdicts.insert(verdict);
        // The verdict that the letter tells is the one that advise gives, and it does not move.
        assert_eq!(world.advise("R-1").verdict, verdict, "{name}");
    }
    let world = workshop();
    let mail = world.write("mail.txt", "Since Tuesday the upper limb creaks at full draw.");
    let _ = world.run(["report", "add", "K-1", "--symptom", "other", "--text", &mail]).done();
    // What the bow does is for a bowyer once somebody has read the words. How many of them are
    // quoted is for the reader of danger to say.
    let confirmed: AdviceData = world.json("advise R-1 --confirm 1");
    let words = &confirmed.signs[0].words;
    let found = world.letter("R-1");
    assert_eq!((found.letter.as_str(), found.verdict.as_str()), ("refer", "refer"));
    let line = found.text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains("creaks") && line.contains(&format!("({words})")), "{words}: {line}");
    snapshot!("letter-refer", line.replace(words, "WORDS").replace(". ", ".\n"));
    verdicts.insert("refer");
    let all: BTreeSet<&str> = Verdict::ALL.iter().map(|verdict| verdict.as_str()).collect();
    assert_eq!(verdicts, all);
}

#[test]
fn a_letter_follows_the_report_to_its_end() {
    let mut kinds = BTreeSet::new();
    let mut world = workshop();
    world.report("K-1", "--symptom brace-high --brace 8-1/2 --readings 3");
    let receipt: LetterData = world.json("letter R-1 --of receipt");
    snapshot!("letter-receipt", receipt.text);
    check_letter(&receipt.text);
    // A receipt is no answer: it is still the workshop's turn.
    assert_eq!(world.standing("R-1"), "to-answer");
    kinds.insert(receipt.letter);
    // Without a person's word the letter asks; with it, it promises.
    kinds.insert(letter(&world, "look-over", "R-1", "look-over", "remake"));
    kinds.insert(world.released_letter("R-1").letter);
    let _ = world.line("remake R-1").done();
    kinds.insert(letter(&world, "bench", "R-1", "bench", "remake"));
    let _ = world.line("remake sent R-1").done();
    kinds.insert(letter(&world, "posted", "R-1", "posted", "remake"));
    world.day("2026-11-21");
    kinds.insert(world.letter("R-1").letter);
    world.day("2026-11-22");
    kinds.insert(letter(&world, "reminder-posted", "R-1", "reminder", "remake"));
    let _ = world.line("settle R-1").done();
    kinds.insert(letter(&world, "settled", "R-1", "settled", "remake"));
    for kind in ["receipt", "look-over", "remake", "bench", "posted", "reminder", "settled"] {
        assert!(kinds.contains(kind), "{kind}");
    }
    let world = workshop();
    world.report("K-1", "--symptom brace-low --brace 7-1/4 --readings 3");
    let _ = world.released_letter("R-1");
    world.reading("R-1", "--fits");
    let fits: LetterData = world.json("letter R-1 --no-danger");
    snapshot!("letter-fits", fits.text);
    check_letter(&fits.text);
    kinds.insert(fits.letter);
    // All kinds there are: these and the letters of the seven verdicts.
    assert!(kinds.contains("fits"));
    assert_eq!(LetterKind::ALL.len(), kinds.len() + Verdict::ALL.len() - 1);
}

#[test]
fn that_it_fits_gets_a_short_letter_unless_a_figure_or_a_danger_speaks_against_it() {
    let world = workshop();
    world.report("K-1", "--symptom brace-low --brace 7-1/4 --readings 3");
    let _ = world.released_letter("R-1");
    let letter = |said: &str| {
        world.reading("R-1", &format!("{said} --no-danger"));
        world.letter("R-1").letter
    };
    assert_eq!(letter("--fits"), "fits");
    assert_eq!(letter("--fits --turns-changed +11 --brace 7-3/4"), "fits");
    // Too low as before, whatever is said; and what comes without the word is answered by its figure.
    assert_ne!(letter("--fits --brace 7-1/8"), "fits");
    assert_ne!(letter("--brace 7-3/4"), "fits");
    world.reading("R-1", "--fits --symptom broken-strand");
    assert_eq!(world.letter("R-1").letter, "stop");
    // It is asked before it is sent, as with every letter that has a string shot.
    world.report("P-1", "--symptom brace-low --brace 7-1/4 --readings 3");
    world.reading("R-2", "--fits");
    assert_eq!(world.letter("R-2").letter, "look-over");
    let _ = world.line("letter R-2 --of fits").refused().says(&["fits", "R-2"]);
    let _ = world.line("verify").done().says(&["sound"]);
}

#[test]
fn an_archer_who_does_not_answer_is_reminded_of_what_was_asked() {
    for (name, said, word) in [
        ("reminder-ask", "--symptom brace-low", "What would help us most"),
        ("reminder-adjust", "--symptom brace-low --brace 7-1/4", "11 full turns"),
        ("reminder-mend", "--symptom serving-loose", "A line is enough"),
    ] {
        let mut world = workshop();
        world.report("K-1", &format!("{said} --no-danger"));
        let first = world.letter("R-1");
        world.day("2026-11-21");
        assert_eq!(world.letter("R-1").letter, first.letter, "six days are not too long");
        world.day("2026-11-22");
        let verdict = first.verdict;
        letter(&world, name, "R-1", "reminder", &verdict);
        assert!(world.letter("R-1").text.contains(word), "{name}");
    }
}

#[test]
fn the_second_adjustment_knows_the_bow_better() {
    let world = workshop();
    world.report("K-1", "--symptom brace-low --brace 6-7/8 --no-danger");
    world.letter("R-1");
    world.reading("R-1", "--turns-changed +9 --brace 7-3/16 --no-danger");
    letter(&world, "adjust-second", "R-1", "adjust", "adjust");
    world.reading("R-1", "--turns-changed +8 --brace 7-5/8 --no-danger");
    letter(&world, "reassure-after-turning", "R-1", "reassure", "reassure");
}

#[test]
fn a_contradiction_is_put_to_the_archer_kindly() {
    let world = workshop();
    world.report("K-1", "--symptom brace-low --brace 7 --no-danger");
    world.letter("R-1");
    world.reading("R-1", "--turns-changed +12 --brace 6-1/2 --no-danger");
    letter(&world, "ask-contradiction", "R-1", "ask", "ask");
}

#[test]
fn letters_hold_no_name_where_none_is_known_and_show_stored_text_harmless() {
    let world = World::new();
    world.sold("N-1", "--ordered 58-1/2 --route bow-maker --kind recurve --marked 62");
    world.report("N-1", "--symptom loose-tags --no-danger");
    let text = world.letter("R-1").text;
    assert!(text.starts_with("Dear archer,") && text.contains("\nThe workshop"), "{text}");
}

#[test]
fn the_workshops_own_text_is_used_and_a_bad_one_is_refused() {
    let world = workshop();
    world.report("K-1", "--symptom loose-tags --no-danger");
    std::fs::create_dir(world.path("letters")).unwrap();
    world
        .write("letters/reassure.txt", "{{ greeting }}\n\nall is well with {{ serial }}.\n\n{{ closing }}\n");
    let letter: LetterData = world.json("letter R-1");
    assert_eq!(
        letter.text,
        "Dear Odalind,\n\nall is well with K-1.\n\nWith kind regards\nBerrin Tamsin\nThe Long Bench\n"
    );
    for (text, says) in
        [("{{ greeting }}\n{{ greting }}\n", "line 2"), ("{% if %}\n", "line 1"), ("{{ greeting\n", "line 1")]
    {
        world.write("letters/reassure.txt", text);
        let error = world.error_of("letter R-1");
        assert_eq!(error.kind, "bad-value");
        assert!(error.message.contains("reassure.txt") && error.message.contains(says), "{}", error.message);
    }
}

/// What is asked, the string, the report that asks it, the reading that answers it.
const ANSWERS: [(&str, &str, &str, &str); 17] = [
    ("brace", "K-1", "--symptom brace-low", "--brace 7-1/4"),
    ("brace-again", "K-1", "--symptom brace-high --brace 8-1/8", "--readings 3 --brace 8-1/8"),
    ("string-length", "K-1", "--symptom will-not-string", "--length 57-3/8 --at loaded"),
    ("turns-count", "K-1", "--symptom kinked", "--turns-counted 5 --over 10"),
    ("turns-made", "K-1", "--symptom brace-low --brace 7-1/4", "--turns-changed +4"),
    (
        "fades",
        "K-1",
        "--symptom brace-low --brace 6-7/8",
        "--free-string 48-1/2 --fade-span 18-1/2 --fade-gap 6-1/2 --fade-to-nock 24-1/2",
    ),
    ("which-way-up", "K-1", "--symptom serving-place", "--marker down"),
    ("shots", "K-1", "--symptom brace-low --brace 6-7/8 --readings 3", "--shots 30"),
    ("bow-kind", "U-1", "--symptom brace-low --brace 7-1/4", "--bow-kind recurve"),
    ("tips", "U-2", "--symptom brace-low --brace 7-1/4", "--tips plain"),
    ("stave", "U-2", "--symptom brace-low --brace 7-1/4", "--stave wood"),
    ("bow-year", "U-2", "--symptom brace-low --brace 7-1/4", "--bow-year 1970"),
    ("brace-range", "U-3", "--symptom brace-low --brace 7-1/4", "--brace-range 7-1/2..8"),
    ("photo", "K-1", "--symptom not-as-ordered", "--photo differs"),
    ("string-sound", "K-1", "--symptom noisy --brace 7-3/4 --text strand.txt", "--text answer.txt"),
    ("bow-sound", "K-1", "--symptom noisy --brace 7-3/4 --text limb.txt", "--text answer.txt"),
    ("shot-without-arrow", "K-1", "--symptom noisy --brace 7-3/4 --text shot.txt", "--text answer.txt"),
];

/// What archers write who are not sure, and how they answer our letter.
fn write_texts(world: &World) {
    world.write("strand.txt", "It hums since Sunday. I am afraid a strand may be broken.");
    world.write("limb.txt", "It hums since Sunday. I am afraid the upper limb may be cracked.");
    world.write("shot.txt", "It hums since Sunday. I am afraid my son may have dry fired the bow.");
    let answers: String = asked_of_danger().iter().map(|ask| format!("> {ask}\n\nNo.\n\n")).collect();
    world.write("answer.txt", answers);
}

#[test]
fn what_is_asked_can_be_answered_and_changes_the_result() {
    let listed: Vec<&str> = ANSWERS.iter().map(|(ask, ..)| *ask).collect();
    let all: Vec<&str> = Ask::ALL.iter().map(|ask| ask.as_str()).collect();
    assert_eq!(listed, all, "every word that can be asked has its answer here");
    for (ask, string, said, answer) in ANSWERS {
        let world = workshop();
        let usual = "--route marked --stated 62 --offset 3-1/2 --strands 16 --turns 24";
        world.sold("U-1", &format!("{usual} --yarn polyester --kind unknown"));
        world.sold("U-2", &format!("{usual} --yarn hmpe --kind recurve --marked 62 --brace-range 7-1/2..8"));
        world.sold("U-3", &format!("{usual} --yarn hmpe --kind recurve --marked 62 --tips reinforced"));
        write_texts(&world);
        world.report(string, said);
        if ask == "turns-made" {
            let unclear = world.write("unclear.eml", "Subject: K-1\n\nI turned it in by 3 or 4 turns.\n");
            let _ = world.run(["report", "mail", &unclear, "--string", "K-1", "--yes"]).done();
        }
        let before = world.advise("R-1");
        assert!(before.ask.iter().any(|word| word == ask), "{ask} is not asked: {:?}", before.ask);
        // The option that takes the answer is named beside the question.
        let option = answer.split_whitespace().next().unwrap();
        let text = world.line("advise R-1").done().stdout;
        let named = format!("fistmele reading add R-1 {option} ...");
        assert!(text.split_whitespace().collect::<Vec<_>>().join(" ").contains(&named), "{ask}: {text}");
        let report: ReportData = world.reading("R-1", answer);
        assert_eq!(report.readings.len(), if ask == "turns-made" { 3 } else { 2 }, "{ask}");
        let after = world.advise("R-1");
        assert!(result(&after) != result(&before), "{ask}: the answer changed nothing");
        let again = after.verdict == "ask" && after.ask.first().is_some_and(|first| first == ask);
        assert!(!again, "{ask} is asked again at once");
    }
}

/// What an answer has to change: verdict, turns, landing, causes, questions or their reasons.
fn result(advice: &AdviceData) -> impl PartialEq + use<> {
    let advice = advice.clone();
    (
        (advice.verdict, advice.turns, advice.flip, advice.likely_cause),
        (advice.brace_after_inch, advice.brace_after_sd_inch, advice.chance_in_range),
        (advice.turns_now, advice.remake_length_inch, advice.measure_again_after_shots),
        advice.ask,
    )
}

#[test]
fn a_closing_letter_forbids_shooting_outside_the_makers_range() {
    let closing = |brace: &str| {
        let world = World::new();
        world.sold_recurve("K-1");
        world.report("K-1", &format!("--symptom brace-low --brace {brace}"));
        let _ = world.released_letter("R-1");
        let _ = world.line("settle R-1 --outcome adjusted --sure").done();
        world.letter("R-1").text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let outside = closing("6-7/8");
    let told = "The last brace height that you sent, 6 7/8\", lies outside the 7 1/2\" to 8\" that your bow's maker gives. Please do not shoot it as long as it does";
    assert!(outside.contains(told), "{outside}");
    assert!(!closing("7-3/4").contains("lies outside"));
}
