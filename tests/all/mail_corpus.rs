//! How well mails are read, and what that was learned from.
//!
//! `tests/data/mail/*.jsonl` holds mails in which every number is marked with what it says, each
//! batch taken in only after it was tried once unseen (docs/mail-reading.md has those figures).
//! `FISTMELE_MAILS=FILE cargo test a_batch_is_tried -- --nocapture` tries another.

use std::collections::BTreeMap;

use fistmele::mail::{Fact, Found, lessons, meanings, propose, read_mail};
use fistmele::quantity::Unit;
use fistmele::trade::words::MailKind;

use crate::learning::{Row, Terms, lines_of_classes};
use crate::marked::{Marked, mails};

const HEAD: &str = "# Why: what a number in a mail says is told by more words around it than any list holds, so these were learned from marked mails.\n# A feature (\"mail \" before it: one of the kind of mail), then places of meanings or kinds with what it adds to each, in hundredths,\n# to the log odds. Written by FISTMELE_WRITE_WEIGHTS=1 cargo test --release weights_of_mails\n";

/// Judgement, by trying on mails that were left out.
const MEANINGS: Terms = Terms { penalty: 1.0, rounds: 40, kept: 12_000 };
const KINDS: Terms = Terms { penalty: 3.0, rounds: 40, kept: 3_000 };

/// So often a mail that is no complaint and no answer counts: there are few of them.
const RARE: usize = 4;

fn path(name: &str) -> std::path::PathBuf {
    std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn corpus() -> Vec<Marked> {
    batches("tests/data/mail").into_iter().flat_map(|(_, batch)| batch).collect()
}

/// The batches of a folder by their names.
fn batches(folder: &str) -> Vec<(String, Vec<Marked>)> {
    let mut files: Vec<_> =
        std::fs::read_dir(path(folder)).unwrap().map(|entry| entry.unwrap().path()).collect();
    files.sort();
    files
        .iter()
        .map(|file| {
            let name = file.file_stem().unwrap().to_string_lossy().into_owned();
            (name, mails(&std::fs::read_to_string(file).unwrap()))
        })
        .collect()
}

#[test]
fn weights_of_mails_are_those_that_the_marked_ones_teach() {
    // Learning takes minutes without optimisation; the gate runs it with.
    let writes = std::env::var_os("FISTMELE_WRITE_WEIGHTS").is_some();
    if cfg!(debug_assertions) && !writes {
        return;
    }
    let place = |names: &[&str], name: &str| names.iter().position(|held| *held == name).unwrap();
    let (mut numbers, mut letters): (Vec<Row>, Vec<Row>) = (Vec::new(), Vec::new());
    for mail in corpus() {
        let lesson = lessons(&mail.subject, &mail.text, |spot| {
            mail.told(spot.line, &spot.place, spot.is_number, spot.is_zero).to_owned()
        });
        let rows = lesson.numbers.into_iter();
        numbers.extend(rows.map(|(features, meaning)| (features, place(meanings(), &meaning))));
        let kind: MailKind = mail.kind.parse().unwrap();
        let at = MailKind::ALL.iter().position(|held| *held == kind).unwrap();
        let times = if matches!(kind, MailKind::Complaint | MailKind::Answer) { 1 } else { RARE };
        letters.extend(std::iter::repeat_n((lesson.kind, at), times));
    }
    let mut lines = lines_of_classes(&numbers, meanings().len(), "", &MEANINGS);
    lines.extend(lines_of_classes(&letters, MailKind::ALL.len(), "mail ", &KINDS));
    let learned = format!("{HEAD}{}\n", lines.join("\n"));
    let path = path("src/mail/lists/weights.txt");
    if writes {
        std::fs::write(&path, &learned).unwrap();
    }
    let held = std::fs::read_to_string(&path).unwrap();
    assert!(held == learned, "the weights are not those of the mails: write them anew as their head says");
}

/// A list whose name is mistyped would hold nothing, and one that nobody names is of no use.
#[test]
fn every_list_of_words_is_there_and_is_used() {
    let held = std::fs::read_to_string(path("src/mail/lists/reading.txt")).unwrap();
    let rows = held.lines().filter(|line| !line.starts_with('#') && !line.is_empty());
    let lists: Vec<&str> = rows.map(|line| line.split_once(": ").unwrap().0.trim_end_matches('!')).collect();
    let files = std::fs::read_dir(path("src/mail")).unwrap().map(|entry| entry.unwrap().path());
    let sources: String = files
        .filter(|file| file.extension().is_some_and(|ending| ending == "rs"))
        .map(|file| std::fs::read_to_string(file).unwrap())
        .collect();
    for (at, name) in lists.iter().enumerate() {
        assert!(sources.contains(&format!("\"{name}\"")), "nobody names the list {name}");
        assert!(!lists[..at].contains(name), "the list {name} stands there twice");
    }
    for call in ["list(\"", "holds(\"", "place_in(row, start, \"", "place_in(row, at, \""] {
        for rest in sources.split(call).skip(1) {
            let name = rest.split('"').next().unwrap();
            assert!(lists.contains(&name), "there is no list {name}");
        }
    }
}

/// What was read of one mail.
#[derive(Default)]
struct Read {
    sure: BTreeMap<&'static str, Vec<f64>>,
    likely: BTreeMap<&'static str, Vec<Vec<f64>>>,
    questions: usize,
    is_case: bool,
}

fn value(found: &Found<Fact>) -> Option<(&'static str, Vec<f64>)> {
    Some(match found.value {
        Fact::Brace(length) => ("brace", vec![length.inches()]),
        Fact::Want(range) => ("want", vec![range.low().inches(), range.high().inches()]),
        Fact::MakerRange(range) => ("maker", vec![range.low().inches(), range.high().inches()]),
        Fact::Turns(turns) => ("turns", vec![turns.value()]),
        Fact::Shots(count) => ("shots", vec![f64::from(count)]),
        Fact::StringLength(length) => ("length", vec![length.inches()]),
        Fact::BowLength(length) | Fact::NockToNock(length) => ("marked", vec![length.inches()]),
        Fact::DrawWeight(weight) => ("weight", vec![weight.pounds()]),
        Fact::BowYear(year) => ("year", vec![f64::from(year)]),
        _ => return None,
    })
}

fn read(mail: &Marked) -> Read {
    let mut read = Read { is_case: true, ..Read::default() };
    let Ok(letter) = read_mail(mail.raw().as_bytes()) else { return read };
    let found = propose(&letter, Unit::Inch, &[]);
    read.sure.extend(found.read.iter().filter_map(value));
    for (field, value) in found.likely.iter().filter_map(value) {
        read.likely.entry(field).or_default().push(value);
    }
    read.questions = found.ambiguous.len();
    read.is_case = found.kind.is_case() || found.kind == MailKind::Fits;
    read
}

fn near(one: &[f64], other: &[f64], slack: f64) -> bool {
    one.len() == other.len() && one.iter().zip(other).all(|(a, b)| (a - b).abs() <= slack)
}

/// How one field of all mails was read.
#[derive(Default, Clone)]
struct Tally {
    said: usize,
    sure: usize,
    likely: usize,
    missed: usize,
    wrong: usize,
}

/// How a batch was read.
#[derive(Default)]
struct Score {
    mails: usize,
    fields: BTreeMap<&'static str, Tally>,
    /// Of complaints, answers and mails that say that it fits: how many, and how many needed no typing.
    judged: usize,
    usable: usize,
    presses: usize,
    wrong: usize,
    questions: usize,
    quiet_as_case: usize,
    case_as_quiet: usize,
    notes: Vec<String>,
}

/// A field, what of a mail it is, and by how much its values may differ.
const FIELDS: [(&str, &[&str], f64); 8] = [
    ("brace", &["brace"], 0.012),
    ("range", &["maker", "want"], 0.012),
    ("turns", &["turns"], 0.1),
    ("shots", &["shots"], 0.5),
    ("length", &["length"], 0.05),
    ("marked", &["marked"], 0.1),
    ("weight", &["weight"], 0.5),
    ("year", &["year"], 0.5),
];

impl Score {
    fn of(batch: &[Marked]) -> Self {
        let mut score = Self { mails: batch.len(), ..Self::default() };
        batch.iter().for_each(|mail| score.count(mail));
        score
    }

    fn count(&mut self, mail: &Marked) {
        let (said, read) = (mail.said(), read(mail));
        self.questions += read.questions;
        let is_quiet = ["praise", "order", "newsletter", "auto"].contains(&mail.kind.as_str());
        self.quiet_as_case += usize::from(is_quiet && read.is_case);
        self.case_as_quiet += usize::from(!is_quiet && !read.is_case);
        let mut is_usable = true;
        for (field, keys, slack) in FIELDS {
            let right: Vec<&Vec<f64>> = keys.iter().filter_map(|key| said.get(key)).flatten().collect();
            let fits = |value: &Vec<f64>| right.iter().any(|right| near(right, value, slack));
            let sure: Vec<&Vec<f64>> = keys.iter().filter_map(|key| read.sure.get(key)).collect();
            let mut likely = keys.iter().filter_map(|key| read.likely.get(key)).flatten();
            let tally = self.fields.entry(field).or_default();
            if sure.iter().any(|value| !fits(value)) {
                tally.wrong += 1;
                self.wrong += 1;
                is_usable = false;
                self.notes.push(format!("wrong {} {field} {sure:?}, right {right:?}", mail.id));
            }
            if right.is_empty() {
                continue;
            }
            tally.said += 1;
            if sure.iter().any(|value| fits(value)) {
                tally.sure += 1;
            } else if likely.any(fits) {
                tally.likely += 1;
                self.presses += usize::from(["brace", "range", "turns"].contains(&field));
            } else {
                tally.missed += 1;
                is_usable &= !["brace", "range", "turns", "shots"].contains(&field);
                self.notes.push(format!("missed {} {field} {right:?}", mail.id));
            }
        }
        if ["complaint", "answer", "fits"].contains(&mail.kind.as_str()) {
            self.judged += 1;
            self.usable += usize::from(is_usable);
        }
    }

    fn share(&self, field: &str) -> f64 {
        let tally = &self.fields[field];
        (tally.sure + tally.likely) as f64 / tally.said.max(1) as f64
    }
}

impl std::fmt::Display for Score {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        for note in &self.notes {
            writeln!(f, "{note}")?;
        }
        writeln!(f, "{} mails; said, sure, likely, missed, wrong as sure:", self.mails)?;
        for (field, ..) in FIELDS {
            let t = self.fields.get(field).cloned().unwrap_or_default();
            let share = 100.0 * self.share(field);
            writeln!(
                f,
                "{field:7} {:4} {:4} {:4} {:4} {:4}  {share:.0} %",
                t.said, t.sure, t.likely, t.missed, t.wrong
            )?;
        }
        writeln!(
            f,
            "usable with presses alone {} of {} with {} presses; wrong as sure {}; questions {}; quiet taken for a case {}, a case for quiet {}",
            self.usable,
            self.judged,
            self.presses,
            self.wrong,
            self.questions,
            self.quiet_as_case,
            self.case_as_quiet
        )
    }
}

#[test]
fn a_batch_is_tried() {
    let Some(paths) = std::env::var_os("FISTMELE_MAILS") else { return };
    for path in std::env::split_paths(&paths) {
        println!("== {}\n{}", path.display(), Score::of(&mails(&std::fs::read_to_string(&path).unwrap())));
    }
}

#[test]
fn what_was_learned_is_read() {
    let score = Score::of(&corpus());
    for (field, least) in [("brace", 0.95), ("range", 0.95), ("turns", 0.92), ("shots", 0.92)] {
        assert!(score.share(field) >= least, "{field}\n{score}");
    }
    assert!(score.wrong * 100 <= score.mails, "{score}");
    assert!(score.case_as_quiet * 100 <= score.mails, "{score}");
}

/// Batches that were tried and not learned from. Each value that is missed or wrong is pinned by the name of
/// its mail: what is newly missed fails, and what is newly read is taken off the list.
#[test]
fn what_was_never_learned_from_is_read_as_it_was() {
    let batches = batches("tests/data/fresh_mail");
    assert_eq!(batches.len(), 3);
    let told: Vec<String> =
        batches.iter().map(|(name, batch)| format!("== {name}\n{}", Score::of(batch))).collect();
    insta::assert_snapshot!("fresh-mails", told.join("\n"));
    for (name, batch) in &batches {
        let score = Score::of(batch);
        assert_eq!(score.wrong, 0, "{name}\n{score}");
        for (field, least) in [("brace", 0.9), ("range", 0.85), ("turns", 0.85)] {
            assert!(score.share(field) >= least, "{name} {field}\n{score}");
        }
        assert!(score.usable * 5 >= score.judged * 4, "{name}\n{score}");
    }
}
