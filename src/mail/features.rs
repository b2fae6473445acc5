//! What stands around a number, in words that can be weighed: its size and unit, the words near it,
//! the thing spoken of last, the question above it, the other numbers of the letter. And what the
//! weights are learned from: the numbers of a marked mail, each with what stands around it.

use std::collections::BTreeSet;
use std::ops::Range;

use super::context::{Candidate, Context, Link, Read};
use super::letter::{Voice, part_letter};
use super::lists::{MEANINGS, kindred};
use super::numbers::{Item, Measured, Shape, What};

/// So many words away a word still stands next to a number.
const NEAR: usize = 4;

/// So many words away a word still speaks of a number.
const FAR: usize = 14;

/// The beginning of a word, by which its forms are one.
fn stem(word: &str) -> &str {
    word.char_indices().nth(5).and_then(|(at, _)| word.get(..at)).unwrap_or(word)
}

impl Context {
    /// What a mail is weighed from to say of which kind it is; `meanings` are what its numbers say.
    pub(super) fn kind_features(&self, meanings: &[&str]) -> Vec<String> {
        let mut features: BTreeSet<String> = BTreeSet::from(["*".to_owned()]);
        let mut count = 0_usize;
        for read in &self.reads {
            let side = if read.is_subject { "s:" } else { "" };
            let words: Vec<&str> = read.items.iter().filter_map(Item::word).map(stem).collect();
            if read.voice == Voice::Answer {
                features.insert("ANSWER".to_owned());
            }
            if !read.is_subject {
                count += words.len();
                features.extend(words.iter().take(4).map(|word| format!("^{word}")));
            }
            features.extend(words.iter().map(|word| format!("{side}{word}")));
        }
        for name in TONES {
            let count =
                self.reads.iter().flat_map(|read| &read.kin).filter(|names| names.contains(&name)).count();
            features.extend((1..=count.min(4)).map(|count| format!("TONE:{name}{count}")));
        }
        features.insert(format!("LONG:{}", count.checked_ilog2().unwrap_or(0)));
        features.extend(
            meanings.iter().filter(|meaning| **meaning != "other").map(|meaning| format!("SAYS:{meaning}")),
        );
        features.into_iter().collect()
    }

    /// What stands around a candidate; `before` is what those before it in its part were taken for.
    pub(super) fn features(&self, at: usize, before: &[&str]) -> Vec<String> {
        let Some(candidate) = self.candidates.get(at) else { return Vec::new() };
        let Some(read) = self.reads.get(candidate.read) else { return Vec::new() };
        let mut features = Features::default();
        features.of_itself(candidate);
        features.of_place(self, at);
        features.around(self, read, at);
        features.of_question(read, candidate);
        let earlier = |wanted: &dyn Fn(&&Candidate) -> bool| {
            self.candidates
                .iter()
                .take(at)
                .zip(before)
                .rev()
                .find(|(one, _)| wanted(one))
                .map(|(_, label)| *label)
        };
        let last = earlier(&|one| one.read == candidate.read && one.number.is_some());
        features.add(format!("PL:{}", last.unwrap_or("-")));
        if candidate.link == Link::To {
            features.add(format!("PT:{}", last.unwrap_or("-")));
        }
        if candidate.link == Link::List {
            features.add(format!("PI:{}", last.unwrap_or("-")));
        }
        if candidate.is_brace_size() {
            let last = earlier(&|one| one.is_brace_size());
            features.add(format!("PB:{}", last.unwrap_or("-")));
            for label in ["now", "now_n", "maker_low", "want_low", "want"] {
                let has = self
                    .candidates
                    .iter()
                    .take(at)
                    .zip(before)
                    .any(|(one, held)| one.number.is_some() && *held == label);
                if has {
                    features.add(format!("HAS:{label}"));
                }
            }
        }
        features.list
    }
}

/// Sizes as lengths: the inches below which each lies, and its name.
const SIZES: [(f64, &str); 14] = [
    (1.5, "0"),
    (3.5, "2"),
    (5.0, "4"),
    (6.0, "5"),
    (7.0, "6"),
    (8.0, "7"),
    (9.0, "8"),
    (11.5, "9"),
    (14.0, "12"),
    (24.0, "20"),
    (34.0, "28"),
    (48.0, "40"),
    (60.0, "55"),
    (75.0, "66"),
];

#[derive(Default)]
struct Features {
    list: Vec<String>,
}

/// How a word or mark near a number is named.
fn name(item: &Item) -> String {
    match &item.what {
        What::Word(word) => word.clone(),
        What::Number(number) => format!("#{}", size_name(number.unit, number.value.size)),
        What::Mark(mark) => mark.to_string(),
        What::Break => "¶".to_owned(),
        What::Noise => "~".to_owned(),
    }
}

fn size_name(unit: Option<Measured>, size: f64) -> &'static str {
    let (tiny, brace) = match unit {
        Some(Measured::Pound | Measured::Kilogram | Measured::Newton) => return "lb",
        Some(Measured::Metre) => return "m",
        Some(Measured::Cm) => (8.0, 30.0),
        Some(Measured::Mm) => (80.0, 300.0),
        Some(_) | None => (3.5, 12.0),
    };
    let [small, middle, large] =
        if unit.is_some() { ["tiny", "brace", "long"] } else { ["small", "mid", "big"] };
    if size < tiny {
        small
    } else if size < brace {
        middle
    } else {
        large
    }
}

impl Features {
    fn add(&mut self, feature: String) {
        self.list.push(feature);
    }

    fn of_itself(&mut self, candidate: &Candidate) {
        self.add("*".to_owned());
        let Some(number) = &candidate.number else {
            self.add("N".to_owned());
            return;
        };
        let is_metric = number.unit.is_none()
            && candidate.is_brace_size()
            && matches!(candidate.unit, Some(Measured::Cm | Measured::Mm));
        let own = match number.unit {
            None if is_metric => "metric",
            None => "bare",
            Some(Measured::Cm) => "cm",
            Some(Measured::Mm) => "mm",
            Some(Measured::Inch | Measured::Foot) => "inch",
            Some(Measured::Metre) => "m",
            Some(_) => "lb",
        };
        let shape = match number.value.shape {
            Shape::Whole if number.value.written.starts_with(|c: char| c.is_ascii_digit()) => "whole",
            Shape::Whole => "word",
            Shape::Decimal => "decimal",
            Shape::Mixed => "mixed",
            Shape::Proper => "part",
            Shape::Improper => "improper",
        };
        let size = candidate.inches.map_or("none", |inches| {
            SIZES.iter().find(|(below, _)| inches < *below).map_or("99", |(_, name)| name)
        });
        self.add(format!("U:{own}"));
        self.add(format!("W:{shape}"));
        self.add(format!("Z:{size}"));
        self.add(format!("ZU:{size}{own}"));
        self.add(format!("UW:{own}{shape}"));
        if candidate.is_brace_size() {
            self.add(format!("B:{shape}"));
        }
        if number.unit.is_none() && number.value.shape == Shape::Whole && !is_metric {
            let size = number.value.size;
            let bucket = match size {
                size if (1900.0..2100.0).contains(&size) => "year",
                size if size > 2100.0 => "huge",
                size if size >= 100.0 => "hundreds",
                size if (48.0..=72.0).contains(&size) => "bow",
                size if size >= 12.0 => "dozens",
                _ => "few",
            };
            self.add(format!("C:{bucket}"));
        }
        if let Some(sign) = number.sign {
            self.add(format!("SIGN:{sign}"));
        }
        if number.spread.is_some() {
            self.add("SPREAD".to_owned());
        }
        if candidate.is_rough {
            self.add("ROUGH".to_owned());
        }
        let (rank, count) = candidate.rank;
        let link = match candidate.link {
            Link::None => "none",
            Link::To => "to",
            Link::List => "list",
            Link::Or => "or",
        };
        self.add(format!("K:{link}"));
        if count > 1 {
            self.add(format!("G:{}of{}", rank.min(3), count.min(4)));
        }
    }

    /// Where it stands among the numbers of the letter.
    fn of_place(&mut self, context: &Context, at: usize) {
        let Some(candidate) = context.candidates.get(at) else { return };
        let Some(read) = context.reads.get(candidate.read) else { return };
        let voice = match read.voice {
            _ if read.is_subject => "subject",
            Voice::Said => "said",
            Voice::Answer => "answer",
            Voice::Forwarded => "forwarded",
        };
        self.add(format!("V:{voice}"));
        // What follows to by "to" belongs to its range.
        match context.link_to_next(at) {
            Link::To => self.add("NEXT:to".to_owned()),
            Link::List => self.add("NEXT:list".to_owned()),
            Link::None | Link::Or => {}
        }
        let Some(own) = candidate.inches.filter(|_| candidate.is_brace_size()) else { return };
        let braces: Vec<(usize, f64)> = context
            .candidates
            .iter()
            .enumerate()
            .filter(|(_, one)| one.is_brace_size())
            .filter_map(|(place, one)| Some((place, one.inches?)))
            .collect();
        let is_paired = |place: usize| {
            context.candidates.get(place).is_some_and(|one| one.link == Link::To)
                || context.link_to_next(place) == Link::To
        };
        let others = || braces.iter().filter(|(place, _)| *place != at);
        let is_other_paired = others().any(|(place, _)| is_paired(*place));
        self.add(format!("BN:{}", braces.len().min(6)));
        for (holds, feature) in [
            (braces.first().is_some_and(|(place, _)| *place == at), "BFIRST"),
            (braces.last().is_some_and(|(place, _)| *place == at), "BLAST"),
            (braces.iter().all(|(_, inches)| *inches >= own), "BLEAST"),
            (braces.iter().all(|(_, inches)| *inches <= own), "BMOST"),
            (others().any(|(_, inches)| (inches - own).abs() < 0.01), "BTWICE"),
            (!is_paired(at) && is_other_paired, "BALONE"),
            (is_paired(at) && !is_other_paired, "BPAIR"),
        ] {
            if holds {
                self.add(feature.to_owned());
            }
        }
    }

    fn around(&mut self, context: &Context, read: &Read, at: usize) {
        let Some(candidate) = context.candidates.get(at) else { return };
        let (sentence, group) = (&candidate.sentence, &candidate.group);
        let same = |one: &&Candidate| {
            one.read == candidate.read && one.number.is_some() && one.sentence == *sentence
        };
        let before =
            context.candidates.iter().take(at).rev().filter(same).find(|one| one.group.end <= group.start);
        let after =
            context.candidates.iter().skip(at + 1).filter(same).find(|one| one.group.start >= group.end);
        let left = before.map_or(sentence.start, |one| one.group.end)..group.start;
        let right = group.end..after.map_or(sentence.end, |one| one.group.start);
        // The words next to it, in their places.
        let items = |range: Range<usize>| read.items.get(range).unwrap_or_default().iter();
        let near: Vec<String> = items(sentence.start..group.start).rev().take(3).map(name).collect();
        let far: Vec<String> = items(group.end..sentence.end).take(3).map(name).collect();
        for (side, words) in [("L", &near), ("R", &far)] {
            for (place, word) in words.iter().enumerate() {
                self.add(format!("{side}{}:{word}", place + 1));
            }
        }
        for (is_end, feature) in [(near.is_empty(), "L1:^"), (far.is_empty(), "R1:$")] {
            if is_end {
                self.add(feature.to_owned());
            }
        }
        if let [one, two, ..] = near.as_slice() {
            self.add(format!("LL:{two}_{one}"));
        }
        if let [one, two, ..] = far.as_slice() {
            self.add(format!("RR:{one}_{two}"));
        }
        if let ([one, ..], [other, ..]) = (near.as_slice(), far.as_slice()) {
            self.add(format!("LR:{one}_{other}"));
        }
        self.joined(read, candidate, &left, &right);
        self.region("l", read, left.rev());
        self.region("r", read, right);
        if let Some(before) = before {
            // The words before the number before.
            self.kin("p", read, (sentence.start..before.group.start).rev().take(8));
        }
        if candidate.rank.1 > 1 {
            // The words between the numbers that are bound, and right behind this one.
            self.kin("g", read, candidate.at.end..group.end);
        }
        self.kin("s", read, sentence.clone());
        let earlier =
            read.sentences.iter().rev().find(|one| one.end <= sentence.start).cloned().unwrap_or(0..0);
        self.kin("v", read, earlier.clone());
        for word in items(earlier).rev().take(12).filter_map(Item::word) {
            self.add(format!("vv:{}", stem(word)));
        }
        let later = read.sentences.iter().find(|one| one.start >= sentence.end).cloned().unwrap_or(0..0);
        self.kin("n", read, later.take(10));
        if items(sentence.clone()).next_back().is_some_and(|last| last.is_mark('?')) {
            self.add("ASKS".to_owned());
        }
        // The thing spoken of last.
        let topic = (0..group.start)
            .rev()
            .filter_map(|at| read.kin.get(at))
            .find_map(|names| names.iter().find(|name| TOPICS.contains(*name)));
        let topic = topic.unwrap_or(&"-");
        self.add(format!("T:{topic}"));
        if candidate.is_brace_size() {
            self.add(format!("TB:{topic}"));
        }
    }

    /// What the words around a number say together: one alone may say little.
    fn joined(&mut self, read: &Read, candidate: &Candidate, left: &Range<usize>, right: &Range<usize>) {
        let near =
            left.end.saturating_sub(8).max(left.start)..right.end.min(right.start + 5).max(right.start);
        let marks = |range: &Range<usize>, lists: &[&[&str]]| -> String {
            lists
                .iter()
                .map(|names| {
                    let has = range.clone().any(|at| names.iter().any(|name| read.is(at, name)));
                    if has { '1' } else { '0' }
                })
                .collect()
        };
        if candidate.is_brace_size() {
            let (rank, count) = candidate.rank;
            let bound = if count == 1 { "one".to_owned() } else { format!("{rank}{:?}", candidate.link) };
            const STANCE: [&[&str]; 6] = [
                &["brace"],
                &["now"],
                &["maker"],
                &["want", "says"],
                &["other", "old"],
                &["past", "change", "wrong"],
            ];
            self.add(format!("J:{bound}{}", marks(&near, &STANCE)));
            self.add(format!("JS:{bound}{}", marks(&candidate.sentence, &STANCE)));
            let clean =
                marks(&candidate.sentence, &[&["other", "old", "past", "change", "wrong", "plan", "not"]]);
            self.add(format!(
                "JC:{bound}{clean}{}",
                marks(&near, &[&["brace"], &["now"], &["maker", "want", "says"]])
            ));
        }
        if candidate.number.as_ref().is_some_and(|number| number.unit.is_none()) {
            const DEEDS: [&[&str]; 6] =
                [&["turn"], &["in"], &["out"], &["undo", "plan"], &["shots"], &["you", "other", "not"]];
            self.add(format!("JT:{}", marks(&near, &DEEDS)));
            self.add(format!("JU:{}", marks(&candidate.sentence, &DEEDS)));
            let behind = right.start..right.end.min(right.start + 3).max(right.start);
            self.add(format!(
                "JN:{}{}",
                marks(&behind, &[&["turn"], &["shots"], &["weight"], &["strand"], &["bow"]]),
                marks(left, &[&["in"], &["out"]])
            ));
        }
    }

    /// The words of a row, the nearest first.
    fn region(&mut self, side: &str, read: &Read, places: impl Iterator<Item = usize>) {
        let mut seen: BTreeSet<String> = BTreeSet::new();
        for (place, at) in places.take(FAR).enumerate() {
            let near = if place < NEAR { "1" } else { "" };
            let (Some(item), Some(kin)) = (read.items.get(at), read.kin.get(at)) else { continue };
            match &item.what {
                What::Word(word) => {
                    for kin in kin {
                        seen.insert(format!("{side}k:{kin}"));
                        if place < NEAR {
                            seen.insert(format!("{side}k1:{kin}"));
                        }
                    }
                    seen.insert(format!("{side}{near}:{}", stem(word)));
                }
                What::Mark(mark @ (':' | '=' | '(' | '→' | ',')) => {
                    seen.insert(format!("{side}{near}:{mark}"));
                }
                _ => {}
            }
        }
        self.list.extend(seen);
    }

    /// The kinds of words of a row.
    fn kin(&mut self, side: &str, read: &Read, places: impl Iterator<Item = usize>) {
        let names: BTreeSet<&str> = places.filter_map(|at| read.kin.get(at)).flatten().copied().collect();
        for name in names {
            self.add(format!("{side}k:{name}"));
        }
    }

    fn of_question(&mut self, read: &Read, candidate: &Candidate) {
        if read.question.is_empty() {
            return;
        }
        let is_short = read.items.len() <= 8;
        let is_first = candidate.sentence.start == 0;
        let names: BTreeSet<&str> = read.question.iter().filter_map(Item::word).flat_map(kindred).collect();
        for name in names {
            self.add(format!("qk:{name}"));
            if is_first {
                self.add(format!("qf:{name}"));
            }
            if is_short {
                self.add(format!("qs:{name}"));
            }
        }
        let stems: BTreeSet<&str> = read.question.iter().filter_map(Item::word).map(stem).collect();
        for stem in stems {
            self.add(format!("q:{stem}"));
        }
    }
}

/// Kinds of words that tell one sort of mail from another.
const TONES: [&str; 10] = ["good", "bad", "solved", "buy", "mass", "machine", "asks", "brace", "turn", "not"];

/// Kinds of words that name what a number can be of.
const TOPICS: [&str; 10] =
    ["brace", "turn", "shots", "string", "bow", "weight", "draw", "strand", "order", "money"];

/// A number, or the words of a mail that say that there are none.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spot {
    /// The line of the text from 1, or 0 for the subject.
    pub line: usize,
    /// Its bytes there.
    pub place: Range<usize>,
    /// It is a number and no words.
    pub is_number: bool,
    /// It is nought.
    pub is_zero: bool,
}

/// What one mail teaches.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lesson {
    /// What stands around each number, and what it says.
    pub numbers: Vec<(Vec<String>, String)>,
    /// What says of which kind the mail is.
    pub kind: Vec<String>,
}

/// What a number can say.
#[must_use]
pub const fn meanings() -> &'static [&'static str] {
    &MEANINGS
}

/// The lesson of a mail, where `told` knows what is said at a spot. The lines of the text must be
/// tidy: no two blanks in a row, none at the ends.
#[must_use]
pub fn lessons(subject: &str, text: &str, told: impl Fn(&Spot) -> String) -> Lesson {
    let letter = part_letter(text);
    let context = Context::new(Some(subject), &letter.passages, false, &|_| Vec::new());
    let meanings: Vec<String> = (0..context.candidates.len())
        .map(|at| spot(&context, at).map_or_else(|| "other".to_owned(), |spot| told(&spot)))
        .collect();
    let held: Vec<&str> = meanings.iter().map(String::as_str).collect();
    let numbers = (0..meanings.len())
        .map(|at| context.features(at, held.get(..at).unwrap_or_default()))
        .zip(meanings.iter().cloned())
        .collect();
    Lesson { numbers, kind: context.kind_features(&held) }
}

fn spot(context: &Context, at: usize) -> Option<Spot> {
    let one = context.candidates.get(at)?;
    let read = context.reads.get(one.read)?;
    let start = read.items.get(one.at.start)?.start;
    let end = read.items.get(one.at.end.checked_sub(1)?)?.end;
    let before = read.text.get(..start)?;
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    let number = before.lines().filter(|line| !line.is_empty()).count();
    let number = if line_start == start { number } else { number.saturating_sub(1) };
    Some(Spot {
        line: *read.lines.get(number)?,
        place: start - line_start..end.saturating_sub(line_start),
        is_number: one.number.is_some(),
        is_zero: one.number.as_ref().is_some_and(|number| number.value.size == 0.0),
    })
}
