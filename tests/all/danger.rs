//! The reader of danger on texts that somebody wrote who had not seen it, through every door.
//!
//! `tests/data/danger/table.json` holds the batches, each taken in only after it was tried once
//! unseen (docs/mail-reading.md has those figures); `corpus.jsonl` holds what its weights are
//! learned from.

use chrono::NaiveDate;
use fistmele::app::danger::SignView;
use fistmele::app::logging::{self, NewReading, NewReport};
use fistmele::app::reports;
use fistmele::app::{advise, mails, sold};
use fistmele::book::{Author, Book};
use fistmele::danger;
use fistmele::mail::read_mail;
use fistmele::quantity::{Length, Turns, Unit};
use fistmele::show::asks::asked_of_danger;
use fistmele::trade::records::{Archer, BowChanges, BowProfile, Measurements, SoldString};
use fistmele::trade::signs::SignOf;
use fistmele::trade::words::{Route, Symptom, Verdict};
use serde_json::Value;

use crate::learning::{Marked, lines};

fn data(name: &str) -> String {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/danger").join(name);
    std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

fn table() -> Vec<Value> {
    serde_json::from_str(&data("table.json")).unwrap()
}

const HEAD: &str = "# Why: people tell of danger in more words than any list holds, so these were learned from marked sentences.\n# A piece of a sentence between bars (\"*\": of every sentence), then what it adds, in hundredths, to the log odds\n# of danger, and of the string, the bow, a shot without an arrow. Written by FISTMELE_WRITE_WEIGHTS=1 cargo test --release weights_are\n";

#[test]
fn weights_are_those_that_the_corpus_teaches() {
    // Learning takes minutes without optimisation; the gate runs it with.
    if cfg!(debug_assertions) && std::env::var_os("FISTMELE_WRITE_WEIGHTS").is_none() {
        return;
    }
    let corpus: Vec<Marked> = data("corpus.jsonl")
        .lines()
        .map(|line| {
            let line: Value = serde_json::from_str(line).unwrap();
            Marked {
                pieces: danger::pieces(line["t"].as_str().unwrap()),
                danger: line["d"] == 1,
                of: line["of"].as_str().unwrap().to_owned(),
            }
        })
        .collect();
    assert!(corpus.len() > 10_000);
    let learned = format!("{HEAD}{}\n", lines(&corpus).join("\n"));
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/danger/lists/weights.txt");
    if std::env::var_os("FISTMELE_WRITE_WEIGHTS").is_some() {
        std::fs::write(&path, &learned).unwrap();
    }
    let held = std::fs::read_to_string(&path).unwrap();
    assert!(held == learned, "the weights are not those of the corpus: write them anew as their head says");
}

#[test]
fn each_text_of_the_table_is_read_as_it_is_known_to_be() {
    let (mut missed, mut sure, mut shown) = (Vec::new(), Vec::new(), Vec::new());
    let (mut dangers, mut harmless) = (0, 0);
    for case in table() {
        let id = case["id"].as_str().unwrap().to_owned();
        let read = danger::read(case["subject"].as_str(), case["text"].as_str().unwrap());
        if case["danger"] == true {
            dangers += 1;
            if read.signs.is_empty() {
                missed.push(id);
            }
        } else {
            harmless += 1;
            if read.signs.iter().any(|sign| sign.sure) {
                sure.push(id);
            } else if !read.signs.is_empty() {
                shown.push(id);
            }
        }
    }
    // Half of a table of at least 300 that was written by somebody who had not seen the reader.
    assert!(dangers >= 150 && harmless >= 150);
    insta::assert_snapshot!(
        "danger-table",
        format!(
            "{dangers} dangers, missed: {}\n{harmless} harmless, said as sure: {}\nharmless with a sign shown: {}\n",
            missed.join(" "),
            sure.join(" "),
            shown.join(" ")
        )
    );
}

fn day() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 1).unwrap()
}

struct Desk {
    book: Book,
    author: Author,
    sold: usize,
    _folder: tempfile::TempDir,
}

impl Desk {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let book = Book::create(&folder.path().join("book.db")).unwrap();
        Self { book, author: Author { who: "RK".to_owned(), day: day() }, sold: 0, _folder: folder }
    }

    /// A string of its own for each text.
    fn string(&mut self) -> String {
        self.sold += 1;
        let ordered = Length::try_from_inches(58.5).unwrap();
        let mut string = SoldString::new(format!("T-{}", self.sold), day(), Route::Marked, ordered);
        string.turns = Turns::new(28.0);
        string.yarn = fistmele::mechanics::twist::Yarn::Polyester;
        let email = Some(format!("a{}@example.org", self.sold));
        let new = sold::NewSold {
            serial: Some(string.serial.clone()),
            archer: Archer { name: None, email },
            bow: BowProfile { kind: fistmele::mechanics::bow::BowKind::Recurve, ..BowProfile::default() },
            which: fistmele::app::bow::WhichBow::Usual,
            string,
        };
        sold::add(&mut self.book, new, &self.author).unwrap().serial
    }

    fn report(&mut self, text: Option<&str>) -> String {
        let new = NewReport {
            serial: self.string(),
            symptoms: vec![Symptom::BraceLow],
            measured: Measurements::default(),
            bow: BowChanges::default(),
            received_on: day(),
            text: text.map(str::to_owned),
            whole: None,
            no_damage: false,
            no_danger: false,
            fits: false,
            new_address: None,
            mail: None,
            unit: None,
            separate: false,
            questions: Vec::new(),
            unspoken: None,
        };
        logging::add(&mut self.book, new, &self.author).unwrap().view.report
    }

    /// Signs and verdict of a report.
    fn told(&mut self, report: &str) -> (Vec<(SignOf, bool, String)>, Verdict) {
        let sign = |sign: SignView| (sign.of, sign.sure, sign.words);
        let view = reports::show(&mut self.book, report).unwrap();
        let verdict = advise::advise(&mut self.book, report, &self.author).unwrap().view.verdict;
        (view.signs.into_iter().map(sign).collect(), verdict)
    }
}

#[test]
fn every_door_reads_the_same_sentence_alike() {
    let mut desk = Desk::new();
    for case in table().iter().filter(|case| case["form"] == "sentence") {
        let text = case["text"].as_str().unwrap();
        let by_report = desk.report(Some(text));
        let first = desk.told(&by_report);

        let by_reading = desk.report(None);
        let reading = NewReading {
            report: by_reading.clone(),
            symptoms: Vec::new(),
            measured: Measurements::default(),
            bow: BowChanges::default(),
            received_on: day(),
            text: Some(text.to_owned()),
            whole: None,
            no_damage: false,
            no_danger: false,
            fits: false,
            questions: Vec::new(),
        };
        let author = desk.author.clone();
        logging::add_reading(&mut desk.book, reading, &author).unwrap();
        let second = desk.told(&by_reading);

        let serial = desk.string();
        let mail = format!("From: a@example.org\nContent-Type: text/plain; charset=utf-8\n\n{text}\n");
        let mail = read_mail(mail.as_bytes()).unwrap();
        let read = mails::read(
            &mut desk.book,
            &mail,
            Some(&serial),
            (Unit::Inch, day()),
            &mut mails::Readings::default(),
        )
        .unwrap();
        let by_mail =
            mails::log(&mut desk.book, &read, mails::SaidOfMail::default(), &author).unwrap().view.report;
        let third = desk.told(&by_mail);

        assert_eq!(first.0, second.0, "{text}");
        assert_eq!(first.0, third.0, "{text}");
        let stands = |verdict: Verdict| matches!(verdict, Verdict::Stop | Verdict::Refer);
        assert_eq!(stands(first.1), stands(second.1), "{text}");
        assert_eq!(stands(first.1), stands(third.1), "{text}");
        if !first.0.is_empty() {
            for verdict in [first.1, second.1, third.1] {
                assert!(stands(verdict) || verdict == Verdict::Ask, "{verdict}: {text}");
            }
        }
    }
}

#[test]
fn our_own_questions_are_known_when_they_come_back() {
    let kinds = [SignOf::String, SignOf::Bow, SignOf::Shot];
    for (question, of) in asked_of_danger().into_iter().zip(kinds) {
        let quoted: String = question
            .split_inclusive(' ')
            .collect::<Vec<_>>()
            .chunks(10)
            .map(|line| format!("> {}\n", line.concat()))
            .collect();
        let no = danger::read(None, &format!("{quoted}No, nothing.\n"));
        assert_eq!((no.signs, no.denied), (vec![], vec![of]), "{question}");
        let yes = danger::read(None, &format!("{quoted}yes\n"));
        assert!(yes.signs.iter().any(|sign| sign.of == of && sign.sure), "{question}: {yes:?}");
        assert!(yes.denied.is_empty());
        let unsure = danger::read(None, &format!("{quoted}hard to say\n"));
        assert!(unsure.signs.iter().any(|sign| sign.of == of && !sign.sure), "{question}: {unsure:?}");
    }
}

#[test]
fn events_that_are_stated_are_sure_and_anything_less_is_asked() {
    let sure = |text: &str| danger::read(None, text).signs.iter().any(|sign| sign.sure);
    let asked = |text: &str| !danger::read(None, text).signs.is_empty() && !sure(text);
    for stated in [
        "Two strands have snapped at the nock.",
        "The upper limb is split.",
        "I dry fired it twice.",
        "There is a crack in the upper limb.",
        "A strand broke this morning.",
        "My son shot it without an arrow.",
        "The string snapped.",
    ] {
        assert!(sure(stated), "{stated}: {:?}", danger::read(None, stated));
    }
    for doubtful in [
        "I could see a crack in the upper limb.",
        "There is no doubt a crack in the upper limb.",
        "The lower limb might be delaminating.",
        "Looking closely I could see a hairline in the lower limb.",
        "The serving is frayed and one strand looks thin.",
        "one of the strands let go",
        "Not only is the brace low, one strand has popped.",
        "Is it bad that a strand has snapped?",
        "If a strand is broken, what then?",
        "My old string: a strand broke.",
        "I am afraid a strand has snapped",
    ] {
        assert!(asked(doubtful) || sure(doubtful), "{doubtful}");
    }
    assert!(!sure("Is it bad that a strand has snapped?") && !sure("My old string: a strand broke."));
    for harmless in [
        "The tag ends are sticking out",
        "Thanks for sticking with me",
        "I cracked open the parcel",
        "No cracks, splits or lifting anywhere.",
        "The brace height is 6 7/8 and should be 7 1/2 to 8.",
    ] {
        assert_eq!(danger::read(None, harmless).signs, [], "{harmless}");
    }
}

#[test]
fn texts_of_any_shape_are_read() {
    for text in [
        String::new(),
        "> only\n> quotes\n> a strand has snapped".to_owned(),
        "---------- Forwarded message ---------\nFrom: Tom\n\nA strand has snapped.".to_owned(),
        "x".repeat(1_000_000),
        "a strand ".repeat(100_000),
        "Тетива порвалась 弦が切れた".to_owned(),
        "\u{0}\u{202e}>\n>\n\n> ?\n\n?".to_owned(),
    ] {
        let read = danger::read(Some(&text), &text);
        assert!(read.signs.iter().all(|sign| sign.words.chars().count() <= 400));
    }
    let of = |text: &str| danger::read(None, text).signs.first().map(|sign| sign.of);
    assert_eq!(of("> only\n> quotes\n> a strand has snapped"), Some(SignOf::String));
    assert!(of(&"x ".repeat(500_000)).is_some(), "what is too long to be read is asked about");
}
