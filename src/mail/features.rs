//! What stands around a number, in words that can be weighed: its size and unit, the words near it,
//! the thing spoken of last, the question above it, the other numbers of the letter.

use std::collections::BTreeSet;
use std::ops::Range;

use super::context::{Candidate, Context, Link, Read, kindred};
use super::letter::Voice;
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
        let size = match candidate.inches {
            None => "none",
            Some(inches) if inches < 1.5 => "0",
            Some(inches) if inches < 3.5 => "2",
            Some(inches) if inches < 5.0 => "4",
            Some(inches) if inches < 6.0 => "5",
            Some(inches) if inches < 7.0 => "6",
            Some(inches) if inches < 8.0 => "7",
            Some(inches) if inches < 9.0 => "8",
            Some(inches) if inches < 11.5 => "9",
            Some(inches) if inches < 14.0 => "12",
            Some(inches) if inches < 24.0 => "20",
            Some(inches) if inches < 34.0 => "28",
            Some(inches) if inches < 48.0 => "40",
            Some(inches) if inches < 60.0 => "55",
            Some(inches) if inches < 75.0 => "66",
            Some(_) => "99",
        };
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
            let bucket = if (1900.0..2100.0).contains(&size) {
                "year"
            } else if size > 2100.0 {
                "huge"
            } else if size >= 100.0 {
                "hundreds"
            } else if (48.0..=72.0).contains(&size) {
                "bow"
            } else if size >= 12.0 {
                "dozens"
            } else {
                "few"
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
        let next_link = context
            .candidates
            .get(at + 1)
            .filter(|next| next.read == candidate.read)
            .map_or(Link::None, |next| next.link);
        if next_link == Link::To {
            self.add("NEXT:to".to_owned());
        }
        if next_link == Link::List {
            self.add("NEXT:list".to_owned());
        }
        let Some(own) = candidate.inches.filter(|_| candidate.is_brace_size()) else { return };
        let braces: Vec<(usize, f64, bool)> = context
            .candidates
            .iter()
            .enumerate()
            .filter(|(_, one)| one.is_brace_size())
            .filter_map(|(place, one)| {
                one.inches.map(|inches| {
                    let pair = one.link == Link::To
                        || context
                            .candidates
                            .get(place + 1)
                            .is_some_and(|next| next.link == Link::To && next.read == one.read);
                    (place, inches, pair)
                })
            })
            .collect();
        self.add(format!("BN:{}", braces.len().min(6)));
        if braces.first().is_some_and(|(place, ..)| *place == at) {
            self.add("BFIRST".to_owned());
        }
        if braces.last().is_some_and(|(place, ..)| *place == at) {
            self.add("BLAST".to_owned());
        }
        if braces.iter().all(|(_, inches, _)| *inches >= own) {
            self.add("BLEAST".to_owned());
        }
        if braces.iter().all(|(_, inches, _)| *inches <= own) {
            self.add("BMOST".to_owned());
        }
        if braces.iter().any(|(place, inches, _)| *place != at && (inches - own).abs() < 0.01) {
            self.add("BTWICE".to_owned());
        }
        let is_paired = braces.iter().any(|(place, _, pair)| *place == at && *pair);
        let others = braces.iter().any(|(place, _, pair)| *place != at && *pair);
        if !is_paired && others {
            self.add("BALONE".to_owned());
        }
        if is_paired && !others {
            self.add("BPAIR".to_owned());
        }
    }

    fn around(&mut self, context: &Context, read: &Read, at: usize) {
        let Some(candidate) = context.candidates.get(at) else { return };
        let same = |one: &&Candidate| {
            one.read == candidate.read && one.number.is_some() && one.sentence == candidate.sentence
        };
        let before_end = context
            .candidates
            .iter()
            .take(at)
            .rev()
            .filter(same)
            .map(|one| one.group.end)
            .find(|end| *end <= candidate.group.start);
        let after_start = context
            .candidates
            .iter()
            .skip(at + 1)
            .filter(same)
            .map(|one| one.group.start)
            .find(|start| *start >= candidate.group.end);
        let sentence = &candidate.sentence;
        let left = before_end.unwrap_or(sentence.start)..candidate.group.start;
        let right = candidate.group.end..after_start.unwrap_or(sentence.end);
        // The words next to it, in their places.
        let near: Vec<String> = read
            .items
            .get(sentence.start..candidate.group.start)
            .unwrap_or_default()
            .iter()
            .rev()
            .take(3)
            .map(name)
            .collect();
        let far: Vec<String> = read
            .items
            .get(candidate.group.end..sentence.end)
            .unwrap_or_default()
            .iter()
            .take(3)
            .map(name)
            .collect();
        for (place, word) in near.iter().enumerate() {
            self.add(format!("L{}:{word}", place + 1));
        }
        for (place, word) in far.iter().enumerate() {
            self.add(format!("R{}:{word}", place + 1));
        }
        if near.is_empty() {
            self.add("L1:^".to_owned());
        }
        if far.is_empty() {
            self.add("R1:$".to_owned());
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
        if let Some(end) = before_end {
            // The words before the number before.
            let start = context
                .candidates
                .iter()
                .take(at)
                .rev()
                .filter(same)
                .map(|one| one.group.clone())
                .find(|group| group.end <= candidate.group.start)
                .map_or(end, |group| group.start);
            self.kin("p", read, (sentence.start..start).rev().take(8));
        }
        if candidate.rank.1 > 1 {
            // The words between the numbers that are bound, and right behind this one.
            self.kin("g", read, candidate.at.end..candidate.group.end);
        }
        self.kin("s", read, sentence.clone());
        let earlier =
            read.sentences.iter().rev().find(|one| one.end <= sentence.start).cloned().unwrap_or(0..0);
        self.kin("v", read, earlier.clone());
        for word in read.items.get(earlier).unwrap_or_default().iter().rev().take(12).filter_map(Item::word) {
            self.add(format!("vv:{}", stem(word)));
        }
        let later = read.sentences.iter().find(|one| one.start >= sentence.end).cloned().unwrap_or(0..0);
        self.kin("n", read, later.take(10));
        if sentence
            .end
            .checked_sub(1)
            .and_then(|last| read.items.get(last))
            .is_some_and(|last| last.is_mark('?'))
        {
            self.add("ASKS".to_owned());
        }
        // The thing spoken of last.
        let topic = (0..candidate.group.start)
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
