//! A person's word: before a bow is strung, a string turned or an arrow shot, somebody who read or
//! heard the archer says that there is no danger, of each sign and of the whole.

use fistmele::letters::LetterKind;
use fistmele::show::asks::asked_of_danger;

use crate::answers::{AdviceData, HistoryData, LetterData, MailData, ReportData};
use crate::bare_world::{World as Book, text};
use crate::counter_pages::{Counter, hidden, marks, ticked};
use crate::world::{World, check_letter};

/// Words that are a sign of danger and state nothing: of the string, of the bow, of a shot.
const AFRAID: [(&str, &str); 3] = [
    ("string", "It hums since Sunday. I am afraid a strand may be broken."),
    ("bow", "It hums since Sunday. I am afraid the upper limb may be cracked."),
    ("shot", "It hums since Sunday. I am afraid my son may have dry fired the bow."),
];
/// The same said later, in other words.
const AFRAID_LATER: [&str; 3] = [
    "Or I fear that some fibres near the loop are cut.",
    "Or I fear that the lower limb has a splinter.",
    "Or I fear that he let go of the string with no arrow on it.",
];
const LOW: &str = "--symptom brace-low --brace 7-1/4 --shots 300";

/// A workshop with a recurve string K-1.
fn workshop() -> World {
    let world = World::new();
    world.sold_recurve("K-1");
    world
}

/// Logs what an archer writes who is afraid of something, beside a brace height that is low.
#[track_caller]
fn afraid(world: &World, words: &str) -> ReportData {
    world.write("mail.txt", words);
    world.report("K-1", &format!("{LOW} --text mail.txt"))
}

/// The signs of a report, each as number, kind, standing.
fn signs(report: &ReportData) -> Vec<(u32, &str, &str)> {
    report.signs.iter().map(|sign| (sign.number, sign.of.as_str(), sign.standing.as_str())).collect()
}

/// The first sign is still what it was, and one of its kind is open besides.
#[track_caller]
fn assert_later(report: &ReportData, first: (u32, &str, &str)) {
    let signs = signs(report);
    assert_eq!(signs[0], first);
    assert!(signs[1..].iter().any(|(_, of, standing)| *of == first.1 && *standing == "open"), "{signs:?}");
}

fn show(world: &World) -> ReportData {
    world.json("report show R-1")
}

/// What must be refused, and leaves everything as it was.
#[track_caller]
fn refused(world: &World, line: &str, says: &[&str]) {
    let before = world.everything();
    let _ = world.line(line).refused().says(says);
    assert!(world.everything() == before, "{line} changed something");
}

/// The letter that asks, which must hold nothing that has a bow strung, a string turned, an arrow shot.
#[track_caller]
fn assert_looks_over(letter: &LetterData) {
    assert_eq!(letter.letter, "look-over", "{}", letter.text);
    let line = letter.text.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in ["do not shoot", "do not string the bow", "do not turn the string"] {
        assert!(line.contains(said), "{said:?} is missing in {line}");
    }
    for ask in asked_of_danger() {
        assert!(line.contains(&ask), "{ask} is not asked: {line}");
    }
    let lower = line.to_lowercase().replace("unstrung", "");
    for never in [
        "put in",
        "take out",
        "full turn",
        "end for end",
        "restring",
        " strung bow",
        "with the bow strung",
        "brace height",
        "put the new string on",
        "shoot some",
        "shoot it",
        "nothing is wrong",
        "all is well",
    ] {
        assert!(!lower.contains(never), "{never:?} stands in {line}");
    }
}

#[test]
fn without_a_persons_word_the_letter_asks_and_has_nothing_strung_or_turned() {
    for (said, verdict) in [
        (LOW, "adjust"),
        ("--symptom serving-place --marker down", "adjust"),
        ("--symptom brace-high --brace 8-1/2 --readings 3", "remake"),
        ("--symptom noisy --brace 7-3/4", "reassure"),
        ("--symptom loose-tags", "reassure"),
        ("--symptom brace-low", "ask"),
        ("--symptom serving-loose", "mend"),
    ] {
        let world = workshop();
        let report = world.report("K-1", said);
        assert!(report.signs.is_empty() && !report.danger_ruled_out, "{said}");
        // What it would say stands in the verdict all the same.
        let advice = world.advise("R-1");
        assert_eq!((advice.verdict.as_str(), advice.danger_ruled_out), (verdict, false), "{said}");
        let _ = world.line("advise R-1").done().says(&["letter R-1 --no-danger"]);
        assert_looks_over(&world.letter("R-1"));
        let letter = world.released_letter("R-1");
        assert_eq!((letter.letter.as_str(), letter.verdict.as_str()), (verdict, verdict), "{said}");
        assert!(world.advise("R-1").danger_ruled_out, "{said}");
    }
}

#[test]
fn what_stops_or_goes_to_a_bowyer_waits_for_nobodys_word() {
    for (said, kind) in [
        ("--symptom broken-strand", "stop"),
        ("--symptom dry-fire", "stop"),
        ("--symptom bow-damage", "stop"),
        ("--symptom noisy --tips plain", "stop"),
    ] {
        let world = workshop();
        world.report("K-1", said);
        assert_eq!(world.letter("R-1").letter, kind, "{said}");
    }
}

#[test]
fn no_danger_is_refused_as_long_as_a_sign_is_open_and_nothing_is_done() {
    for (of, words) in AFRAID {
        let world = workshop();
        world.write("mail.txt", words);
        let add = format!("report add K-1 {LOW} --text mail.txt");
        refused(&world, &format!("{add} --no-danger"), &["signs of danger are open", "nothing was logged"]);
        let report: ReportData = world.json(&add);
        assert_eq!(signs(&report), [(1, of, "open")], "{words}");
        assert!(!report.signs[0].sure && report.signs[0].stands_in == "message", "{words}");
        let _ = world.line("advise R-1").done().says(&["--call-off 1", "--confirm 1"]);
        for line in ["advise R-1", "letter R-1", "reading add R-1 --brace 7-3/8"] {
            refused(&world, &format!("{line} --no-danger"), &["signs of danger are open in R-1: 1"]);
        }
        assert_looks_over(&world.letter("R-1"));
        // Called off, it can be said, at once.
        let letter: LetterData = world.json("letter R-1 --call-off 1 --no-danger");
        assert_eq!(letter.letter, "adjust", "{words}");
        assert_eq!(signs(&show(&world)), [(1, of, "called-off")], "{words}");
    }
}

#[test]
fn a_command_that_says_several_things_says_all_of_them_or_none() {
    let world = workshop();
    afraid(&world, "I am afraid a strand may be broken. And I fear that the limb may be cracked.");
    let held = show(&world);
    let kinds: Vec<&str> = signs(&held).into_iter().map(|(_, of, _)| of).collect();
    assert!(kinds.contains(&"string") && kinds.contains(&"bow"), "{kinds:?}");
    refused(&world, "advise R-1 --call-off 1 --no-danger", &["signs of danger are open in R-1: 2"]);
    refused(&world, "advise R-1 --call-off 1 --call-off 9", &["R-1 has no sign 9", "its signs are: 1"]);
    let all: String = held.signs.iter().map(|sign| format!(" --call-off {}", sign.number)).collect();
    let advice: AdviceData = world.json(&format!("advise R-1{all} --no-danger"));
    assert_eq!((advice.verdict.as_str(), advice.danger_ruled_out), ("adjust", true));
}

#[test]
fn what_is_said_of_a_sign_must_make_sense() {
    let world = workshop();
    world.report("K-1", LOW);
    for option in ["--call-off", "--confirm"] {
        refused(&world, &format!("advise R-1 {option} 1"), &["R-1 has no sign 1", "no sign of danger"]);
        refused(&world, &format!("advise R-1 {option} one"), &["one"]);
        refused(&world, &format!("advise R-1 {option} 0"), &["0"]);
    }
    let world = workshop();
    afraid(&world, AFRAID[0].1);
    refused(&world, "advise R-1 --call-off 2", &["R-1 has no sign 2", "its signs are: 1"]);
    refused(&world, "advise R-1 --call-off 1 --confirm 1", &["called off and confirmed at once"]);
    let _ = world.line("advise R-1 --call-off 1").done();
    refused(&world, "letter R-1 --call-off 1", &["called-off already"]);
    // Whoever looks again may think otherwise, and the word that there is no danger with it.
    let _ = world.line("advise R-1 --no-danger").done();
    let advice: AdviceData = world.json("advise R-1 --confirm 1");
    assert_eq!((advice.verdict.as_str(), advice.danger_ruled_out), ("stop", false));
    refused(&world, "advise R-1 --confirm 1", &["confirmed already"]);
    refused(&world, "advise R-1 --no-danger", &["that is danger"]);
    let _ = world.line("advise R-1 --call-off 1").done();
    assert_looks_over(&world.letter("R-1"));
    let _ = world.line("settle R-1").done();
    refused(&world, "advise R-1 --confirm 1", &["R-1 is settled"]);
}

#[test]
fn danger_that_was_said_is_denied_by_nobody() {
    for symptom in ["broken-strand", "frayed", "dry-fire", "bow-damage"] {
        let world = workshop();
        refused(
            &world,
            &format!("report add K-1 --symptom {symptom} --no-danger"),
            &[symptom, "that is danger", "nothing was logged"],
        );
        world.report("K-1", &format!("--symptom {symptom}"));
        refused(&world, "letter R-1 --no-danger", &[symptom, "that is danger"]);
        refused(&world, "letter R-1 --of adjust", &["adjust"]);
    }
}

#[test]
fn a_sign_that_is_confirmed_leads_where_its_kind_leads() {
    for ((of, words), verdict) in AFRAID.into_iter().zip(["stop", "refer", "stop"]) {
        let world = workshop();
        afraid(&world, words);
        assert_eq!(world.advise("R-1").verdict, "ask", "{words}");
        let advice: AdviceData = world.json("advise R-1 --confirm 1");
        assert_eq!(advice.verdict, verdict, "{words}");
        assert_eq!(signs(&show(&world)), [(1, of, "confirmed")]);
        assert_eq!(world.letter("R-1").letter, verdict, "{words}");
        let _ = world.line("letter R-1 --no-danger").refused();
        let _ = world.line("letter R-1 --of adjust").refused();
    }
}

#[test]
fn new_words_ask_anew() {
    let world = workshop();
    world.report("K-1", &format!("{LOW} --no-danger"));
    assert_eq!(world.letter("R-1").letter, "adjust");
    let read = world.reading("R-1", "--turns-changed +6 --brace 7-3/8");
    assert!(!read.danger_ruled_out);
    assert_looks_over(&world.letter("R-1"));
    assert_eq!(world.released_letter("R-1").letter, "adjust");
    let read = world.reading("R-1", "--turns-changed +2 --brace 7-7/16 --no-danger");
    assert!(read.danger_ruled_out);
    assert_eq!(world.letter("R-1").letter, "adjust");
    // The same in a message that continues the report.
    world.write("mail.txt", AFRAID[2].1);
    let continued = world.report("K-1", "--symptom other --text mail.txt");
    assert_eq!((signs(&continued), continued.danger_ruled_out), (vec![(1, "shot", "open")], false));
    refused(&world, "letter R-1 --no-danger", &["signs of danger are open"]);
    // Another report of the string, with danger in it, speaks in this one too.
    let _ = world.line("letter R-1 --call-off 1 --no-danger").done();
    world.report("K-1", "--symptom broken-strand --separate");
    assert_eq!(world.advise("R-2").verdict, "stop");
}

#[test]
fn what_was_feared_and_called_off_counts_anew_once_it_is_stated() {
    for (feared, stated) in [
        ("I am afraid a strand broke.", "A strand broke."),
        ("I am afraid the upper limb cracked.", "The upper limb cracked."),
    ] {
        let world = workshop();
        afraid(&world, feared);
        let _ = world.line("advise R-1 --call-off 1 --no-danger").done();
        world.write("later.txt", stated);
        let later = world.reading("R-1", "--text later.txt");
        assert!(later.signs.iter().any(|sign| sign.standing == "open"), "{stated}: {:?}", later.signs);
        assert_eq!(world.advise("R-1").verdict, "stop", "{stated}");
        assert_eq!(world.letter("R-1").letter, "stop", "{stated}");
    }
}

#[test]
fn the_word_said_once_more_of_the_same_words_changes_nothing() {
    let world = workshop();
    world.report("K-1", LOW);
    let first = world.released_letter("R-1");
    let before = world.everything();
    let again = world.line("letter R-1 --no-danger").done();
    assert_eq!(again.stdout, first.text);
    assert!(world.everything() == before, "a second letter was noted and paid for");
    assert_eq!(world.standing("R-1"), "with-archer");
}

#[test]
fn no_letter_is_had_by_its_name_before_danger_is_ruled_out() {
    for kind in LetterKind::ALL.iter().copied().filter(|kind| kind.has_the_bow_strung()) {
        let world = workshop();
        world.report("K-1", LOW);
        let _ = world.line(&format!("letter R-1 --of {kind}")).refused().says(&[kind.as_str(), "R-1"]);
        assert_eq!(world.standing("R-1"), "to-answer", "no letter was noted");
        // With the word the letter of the verdict leaves, and none that says what is not so.
        let named = world.line(&format!("letter R-1 --of {kind} --no-danger"));
        if kind == LetterKind::Adjust {
            let _ = named.done();
        } else {
            let _ = named.refused().says(&[kind.as_str(), "does not fit R-1"]);
        }
    }
    // What stops for another reason than damage stops by every name.
    for said in [format!("{LOW} --tips plain"), "--symptom bow-damage".to_owned()] {
        let world = workshop();
        world.report("K-1", &said);
        for kind in ["reassure", "adjust", "ask", "remake", "mend", "posted"] {
            let _ = world.line(&format!("letter R-1 --of {kind} --no-danger")).refused();
        }
    }
    let world = workshop();
    world.report("K-1", LOW);
    assert_looks_over(&world.json("letter R-1 --of look-over"));
    let _ = world.line("letter R-1 --of receipt").done();
}

#[test]
fn no_damage_keeps_its_meaning_and_releases_no_letter() {
    let world = workshop();
    world.write("mail.txt", AFRAID[0].1);
    let report = world.report("K-1", &format!("{LOW} --text mail.txt --no-damage"));
    assert_eq!((signs(&report), report.danger_ruled_out), (vec![(1, "string", "called-off")], false));
    assert_eq!(world.advise("R-1").verdict, "adjust");
    assert_looks_over(&world.letter("R-1"));
    // It says nothing of the bow.
    world.write("mail.txt", AFRAID[1].1);
    let report = world.reading("R-1", "--text mail.txt --no-damage");
    assert_eq!(signs(&report), [(1, "string", "called-off"), (2, "bow", "open")]);
    assert_eq!(world.advise("R-1").verdict, "ask");
}

#[test]
fn a_plain_no_under_our_question_answers_it_and_other_words_count_anew() {
    for (((of, words), later), question) in AFRAID.into_iter().zip(AFRAID_LATER).zip(asked_of_danger()) {
        let world = workshop();
        afraid(&world, words);
        world.letter("R-1");
        world.write("answer.txt", format!("> {question}\n\nNo.\n"));
        let answered = world.reading("R-1", "--text answer.txt");
        assert_eq!(signs(&answered), [(1, of, "answered")], "{words}");
        // Said by the archer, but not yet by anybody of the workshop.
        let advice = world.advise("R-1");
        assert_eq!((advice.verdict.as_str(), advice.danger_ruled_out), ("adjust", false), "{words}");
        assert_looks_over(&world.letter("R-1"));
        world.write("later.txt", later);
        let later = world.reading("R-1", "--text later.txt");
        assert_later(&later, (1, of, "answered"));
        assert_eq!(world.advise("R-1").verdict, "ask", "{words}");
    }
}

#[test]
fn a_mail_is_logged_with_the_persons_word_or_not_at_all() {
    let world = workshop();
    let mail = |name: &str, body: &str| {
        world.write(name, format!("From: odalind@example.org\r\nSubject: my string\r\n\r\n{body}\r\n"));
    };
    mail("danger.eml", &format!("My brace height is 7 1/4. {}", AFRAID[1].1));
    let read: MailData = world.json("report mail danger.eml");
    assert_eq!(read.signs.len(), 1, "{:?}", read.signs);
    assert_eq!((read.signs[0].of.as_str(), read.signs[0].sure), ("bow", false));
    assert_eq!(read.bow_signs, [read.signs[0].words.clone()]);
    refused(&world, "report mail danger.eml --yes --no-danger", &["signs of danger are open"]);
    mail("calm.eml", "My brace height is 7 1/4 and should be 7 1/2 to 8.");
    let logged: MailData = world.json("report mail calm.eml --yes --no-danger");
    assert!(logged.signs.is_empty(), "{:?}", logged.signs);
    assert_eq!(world.letter(&logged.report.unwrap()).letter, "adjust");
}

#[test]
fn history_says_who_said_what() {
    let mut world = workshop();
    afraid(&world, AFRAID[0].1);
    world.set_variable("FISTMELE_WHO", "Runa");
    let _ = world.line("advise R-1 --call-off 1").done();
    world.day("2026-11-16");
    world.set_variable("FISTMELE_WHO", "Bo");
    let _ = world.line("letter R-1 --no-danger").done();
    let _ = world.line("advise R-1 --confirm 1").done();
    let told: HistoryData = world.json("history --report R-1");
    let line = |what: &str| {
        let line = told.lines.iter().find(|line| line.what == what).unwrap_or_else(|| panic!("no {what}"));
        (line.who.clone(), line.day.to_string(), line.fields.join(" "))
    };
    assert_eq!(line("called-off"), ("Runa".to_owned(), "2026-11-15".to_owned(), "sign 1".to_owned()));
    assert_eq!(line("no-danger"), ("Bo".to_owned(), "2026-11-16".to_owned(), String::new()));
    assert_eq!(line("confirmed"), ("Bo".to_owned(), "2026-11-16".to_owned(), "sign 1".to_owned()));
    let _ = world.line("history").done().says(&["called-off", "no-danger"]).never_says(&["afraid", "strand"]);
}

#[test]
fn of_a_forgotten_person_the_signs_stay_and_their_words_do_not() {
    for ((of, words), later) in AFRAID.into_iter().zip(AFRAID_LATER) {
        let world = workshop();
        // A name of their own right beside the words of danger.
        let named = |words: &str| words.replace("strand", "Zanzibar strand").replace("limb", "Zanzibar limb");
        let named =
            |words: &str| named(words).replace("my son", "my son Zanzibar").replace("he let", "Zanzibar let");
        afraid(&world, &named(words));
        let trace = show(&world).signs[0].words.clone();
        let _ = world.line("advise R-1").done();
        let _ = world.line("letter R-1 --confirm 1").done();
        let _ = world.line("advise R-1 --call-off 1").done();
        world.write("later.txt", named(later));
        world.reading("R-1", "--text later.txt");
        let _ = world.line("advise R-1").done();
        let _ = world.line("forget odalind@example.org --yes").done();
        let bytes = std::fs::read(world.book()).unwrap();
        for trace in ["Zanzibar", &trace] {
            assert!(!text(&bytes).contains(trace), "{trace:?} is in the book still");
        }
        let report = show(&world);
        assert_later(&report, (1, of, "called-off"));
        assert!(report.signs.iter().all(|sign| sign.words.is_empty()), "{:?}", report.signs);
        // It is asked about as before, and no letter quotes what is not there.
        assert_eq!(world.advise("R-1").verdict, "ask");
        let letter = world.letter("R-1");
        assert_looks_over(&letter);
        check_letter(&letter.text);
        assert!(!letter.text.contains("\"\""), "{}", letter.text);
        let _ = world.line("verify").done().says(&["sound"]);
    }
}

#[test]
fn an_export_and_its_restoring_keep_the_signs() {
    let world = workshop();
    afraid(&world, AFRAID.map(|(_, words)| words).join(" ").as_str());
    let _ = world.line("advise R-1 --call-off 1 --confirm 2").done();
    let before = show(&world);
    assert!(before.signs.len() > 2, "{:?}", before.signs);
    let _ = world.line("export out").done();
    let _ = world.line("--book again.db restore out").done();
    let after: ReportData = world.json("--book again.db report show R-1");
    assert_eq!(after, before);
    let _ = world.line("--book again.db verify").done().says(&["sound"]);
}

/// A report of S-1 on the counter, of an archer who is afraid of the string and of the bow.
fn at_the_counter() -> (Book, Counter) {
    let book = Book::new();
    book.add_string("S-1");
    let counter = Counter::on(&book.book);
    let (mark, seen) = marks(&counter.page("/string/S-1"), "/string/S-1/report");
    let words = "Reads low. I am afraid a strand may be broken. And I fear that the limb may be cracked.";
    let fields = [
        ("form-mark", mark.as_str()),
        ("seen", &seen),
        ("symptom", "brace-low"),
        ("brace", "6 7/8"),
        ("want", "7 1/2 to 8"),
        ("text", words),
    ];
    let page = counter.done("/string/S-1/report", &fields);
    assert!(page.contains("ASK"), "{page}");
    (book, counter)
}

/// What the page says of the letter that has the string turned.
const TURNS: &str = "Please put in";

#[test]
fn on_the_page_signs_are_called_off_one_by_one_and_then_one_tick_shows_the_letter() {
    let (book, counter) = at_the_counter();
    let mut page = counter.page("/report/R-1");
    let mut rounds = 0;
    while page.contains("action=\"/report/R-1/sign\"") {
        // As long as a sign is open there is nothing to tick, and no letter but the one that asks.
        assert!(!page.contains("no-danger") && !page.contains(TURNS), "{page}");
        assert!(page.contains("The letter (look-over)"), "{page}");
        let (mark, seen) = marks(&page, "/report/R-1/sign");
        let sign = hidden(&page, "action=\"/report/R-1/sign\"", "sign");
        let fields = [("form-mark", mark.as_str()), ("seen", &seen), ("sign", &sign), ("say", "call-off")];
        page = counter.done("/report/R-1/sign", &fields);
        assert!(page.contains(&format!("Noted of sign {sign}")), "{page}");
        rounds += 1;
    }
    assert!(rounds >= 2, "each sign has its own press");
    assert!(page.contains("ADJUST") && !page.contains(TURNS), "the letter is not in the page: {page}");
    let form =
        page.split_once("action=\"/report/R-1/no-danger\"").unwrap().1.split_once("</form>").unwrap().0;
    assert!(form.contains("type=\"checkbox\"") && !form.contains("checked"), "never set beforehand: {form}");
    // It is a press of its own: nothing else goes with it.
    assert_eq!(form.matches("<button").count(), 1, "{form}");
    assert_eq!(form.matches("<input type=\"checkbox\"").count(), 1, "{form}");
    let (mark, seen) = marks(&page, "/report/R-1/no-danger");
    let unticked = counter.post("/report/R-1/no-danger", &[("form-mark", &mark), ("seen", &seen)]);
    assert_eq!(unticked.status, 422, "{}", unticked.text);
    assert!(unticked.text.contains("the tick is not set") || unticked.text.contains("The tick is not set"));
    assert!(!unticked.text.contains(TURNS) && !counter.page("/report/R-1").contains(TURNS));
    let page = ticked(&counter, &unticked.text, "R-1");
    assert!(page.contains(TURNS) && page.contains("The letter (adjust)"), "{page}");
    assert!(!page.contains("action=\"/report/R-1/no-danger\""), "{page}");
    let history = book.ok(&["history", "--report", "R-1"]);
    assert!(history.contains("no-danger") && history.contains("called-off") && history.contains("RK"));

    // When the archer writes again it is asked for again.
    let (mark, seen) = marks(&page, "/report/R-1/reading");
    let fields = [
        ("form-mark", mark.as_str()),
        ("seen", &seen),
        ("turns-changed", "+4"),
        ("brace", "7"),
        ("text", "It reads 7 now."),
    ];
    let page = counter.done("/report/R-1/reading", &fields);
    assert!(page.contains("action=\"/report/R-1/no-danger\"") && !page.contains(TURNS), "{page}");
    book.assert_sound();
}

#[test]
fn on_the_page_a_sign_that_is_so_stops_or_leads_to_the_bowyer() {
    let (_book, counter) = at_the_counter();
    let page = counter.page("/report/R-1");
    let (mark, seen) = marks(&page, "/report/R-1/sign");
    let sign = hidden(&page, "action=\"/report/R-1/sign\"", "sign");
    let fields = [("form-mark", mark.as_str()), ("seen", &seen), ("sign", &sign), ("say", "confirm")];
    let page = counter.done("/report/R-1/sign", &fields);
    assert!(page.contains("STOP") || page.contains("REFER"), "{page}");
    assert!(!page.contains(TURNS) && !page.contains("action=\"/report/R-1/no-danger\""), "{page}");
    // A press for a sign that is not there, or that says nothing, changes nothing.
    for (sign, say) in [("99", "confirm"), ("0", "confirm"), ("1", "perhaps"), ("", "confirm")] {
        let (mark, seen) = marks(&page, "/report/R-1/reading");
        let fields = [("form-mark", mark.as_str()), ("seen", &seen), ("sign", sign), ("say", say)];
        let answer = counter.post("/report/R-1/sign", &fields);
        assert!((400..500).contains(&answer.status), "{sign} {say}: {}", answer.status);
    }
}

#[test]
fn on_the_page_no_tick_is_had_by_a_form_of_ones_own() {
    let (book, counter) = at_the_counter();
    let page = counter.page("/report/R-1");
    let (mark, seen) = marks(&page, "/report/R-1/sign");
    let fields = [("form-mark", mark.as_str()), ("seen", &seen), ("no-danger", "yes")];
    let answer = counter.post("/report/R-1/no-danger", &fields);
    assert_eq!(answer.status, 409, "{}", answer.text);
    assert!(
        answer.text.contains("signs of danger are open") || answer.text.contains("Signs of danger are open")
    );
    assert!(!book.ok(&["history"]).contains("no-danger"));
}
