//! Sentences and their clauses, and every number of a letter, and the words that say that there are
//! none, with what they are bound to.

use std::ops::Range;

use super::letter::{Passage, Voice};
use super::lists::{holds, kindred, list};
use super::noise::mark_noise;
use super::numbers::{Item, Measured, Number, Shape, What, items};
use super::tokens::{DASH, DOTS, Kind, tokenize};

/// Most items of a sentence; one that goes on is cut, so that reading stays fast.
const LONGEST_SENTENCE: usize = 120;

/// Most bytes of a letter that are read for what it says; no archer writes more about a string.
const LONGEST_TEXT: usize = 50_000;

/// Most parts of a letter that are read.
const MOST_PARTS: usize = 200;

/// Most numbers of a letter that are looked at.
const MOST_NUMBERS: usize = 400;

/// A sentence and the places of its clauses.
pub(super) struct Sentence<'a> {
    pub(super) items: &'a [Item],
    pub(super) clauses: Vec<Range<usize>>,
    pub(super) is_question: bool,
}

impl<'a> Sentence<'a> {
    /// A sentence, or a part of one.
    pub(super) fn new(items: &'a [Item], is_question: bool) -> Option<Self> {
        items.first()?;
        let mut clauses = Vec::new();
        let mut start = 0;
        for at in 1..items.len() {
            if begins_clause(items, at, start) {
                clauses.push(start..at);
                start = at;
            }
        }
        clauses.push(start..items.len());
        Some(Self { items, clauses, is_question })
    }

    /// The items of a clause.
    pub(super) fn clause(&self, index: usize) -> &'a [Item] {
        self.clauses.get(index).and_then(|clause| self.items.get(clause.clone())).unwrap_or_default()
    }
}

/// Where the sentences of a text stand, one after the other without a gap.
fn sentence_ranges(items: &[Item]) -> Vec<Range<usize>> {
    let mut ranges = Vec::new();
    let mut start = 0;
    for at in 0..items.len() {
        if at - start >= LONGEST_SENTENCE || ends_sentence(items, at) {
            ranges.push(start..at + 1);
            start = at + 1;
        }
    }
    if start < items.len() {
        ranges.push(start..items.len());
    }
    ranges
}

fn ends_sentence(items: &[Item], at: usize) -> bool {
    let Some(item) = items.get(at) else {
        return true;
    };
    let next = items.get(at + 1);
    match item.what {
        What::Break => true,
        // "(?)" and "7?" in the middle of a line are doubts, not ends.
        What::Mark('?' | '!') => next.is_none_or(|next| next.spaced && !matches!(next.what, What::Mark(')'))),
        What::Mark('.') => {
            let is_abbreviation = at
                .checked_sub(1)
                .and_then(|before| items.get(before))
                .is_some_and(|before| before.is_any(list("abbreviations")) && !item.spaced);
            !is_abbreviation && next.is_none_or(|next| next.spaced || next.word().is_some())
        }
        What::Mark(DOTS) => next.is_none_or(|next| next.spaced),
        _ => false,
    }
}

fn begins_clause(items: &[Item], at: usize, start: usize) -> bool {
    let Some(item) = items.get(at).filter(|_| at > start) else {
        return false;
    };
    match &item.what {
        What::Word(word) if holds("conjunctions", word) => true,
        What::Word(word) if holds("between-numbers", word) => {
            let has_number = |items: &[Item]| items.iter().any(|item| item.number().is_some());
            let rest = items.get(at..).unwrap_or_default();
            let end = rest.iter().skip(1).position(ends_clause).map_or(rest.len(), |end| end + 1);
            has_number(items.get(start..at).unwrap_or_default())
                && has_number(rest.get(..end).unwrap_or_default())
        }
        What::Word(_) => false,
        What::Mark(',' | ';' | '(' | ')' | DASH | '!' | '?') => true,
        What::Mark('-') => item.spaced && items.get(at + 1).is_some_and(|next| next.spaced),
        _ => false,
    }
}

/// Whether a clause surely ends before an item.
fn ends_clause(item: &Item) -> bool {
    match &item.what {
        What::Word(word) => holds("conjunctions", word),
        What::Mark(mark) => matches!(mark, ',' | ';' | '(' | ')' | '!' | '?'),
        _ => false,
    }
}

/// A part of a letter with its words and numbers.
pub(super) struct Read {
    pub(super) voice: Voice,
    pub(super) is_subject: bool,
    pub(super) place: Option<usize>,
    pub(super) text: String,
    pub(super) items: Vec<Item>,
    /// Of each item the lists that hold it.
    pub(super) kin: Vec<Vec<&'static str>>,
    /// The words of the question above it.
    pub(super) question: Vec<Item>,
    pub(super) sentences: Vec<Range<usize>>,
    /// The lines of the letter that it is made of.
    pub(super) lines: Vec<usize>,
}

/// How the number before one is bound to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Link {
    None,
    /// "7 to 8", "7-8".
    To,
    /// "7, 8 and 8".
    List,
    /// "7 or 8".
    Or,
}

/// A number of a letter, or words that say that there are none.
pub(super) struct Candidate {
    pub(super) read: usize,
    /// Its items.
    pub(super) at: Range<usize>,
    pub(super) number: Option<Number>,
    /// The unit of a length, where it has one or can have but one.
    pub(super) unit: Option<Measured>,
    /// Its size as a length.
    pub(super) inches: Option<f64>,
    /// A word makes it rough.
    pub(super) is_rough: bool,
    pub(super) link: Link,
    pub(super) sentence: Range<usize>,
    /// The items of all numbers that are bound to each other.
    pub(super) group: Range<usize>,
    /// Which of them it is, and how many they are.
    pub(super) rank: (usize, usize),
}

/// A letter made ready.
pub(super) struct Context {
    pub(super) reads: Vec<Read>,
    pub(super) candidates: Vec<Candidate>,
}

impl Context {
    /// Finds the numbers of a letter; `names` are the places of serials and orders in a text.
    pub(super) fn new(
        subject: Option<&str>,
        passages: &[Passage],
        is_metric: bool,
        names: &dyn Fn(&str) -> Vec<Range<usize>>,
    ) -> Self {
        let subject = subject.map(|subject| Passage {
            voice: Voice::Said,
            question: String::new(),
            text: subject.to_owned(),
            place: None,
            lines: vec![0],
        });
        let mut reads: Vec<Read> = Vec::new();
        let mut left = LONGEST_TEXT;
        for (passage, is_subject) in
            subject.iter().map(|subject| (subject, true)).chain(passages.iter().map(|one| (one, false)))
        {
            let text = &passage.text[..passage.text.floor_char_boundary(left)];
            left -= text.len();
            if !text.is_empty() && reads.len() < MOST_PARTS {
                reads.push(Read::new(passage, text, is_subject, names));
            }
        }
        let mut candidates = Vec::new();
        for (at, read) in reads.iter().enumerate() {
            read.candidates(at, &mut candidates);
        }
        candidates.truncate(MOST_NUMBERS);
        settle_units(&mut candidates, is_metric);
        Self { reads, candidates }
    }

    /// How the candidate behind one is bound to it.
    pub(super) fn link_to_next(&self, at: usize) -> Link {
        let (one, next) = (self.candidates.get(at), self.candidates.get(at + 1));
        let next = next.filter(|next| one.is_some_and(|one| one.read == next.read));
        next.map_or(Link::None, |next| next.link)
    }
}

impl Read {
    fn new(
        passage: &Passage,
        text: &str,
        is_subject: bool,
        names: &dyn Fn(&str) -> Vec<Range<usize>>,
    ) -> Self {
        let mut tokens = tokenize(text);
        mark_noise(&mut tokens, text);
        let names = names(text);
        for token in &mut tokens {
            if names.iter().any(|name| token.start >= name.start && token.end <= name.end) {
                token.kind = Kind::Noise;
            }
        }
        let (question, items) = (items(&tokenize(&passage.question)), items(&tokens));
        let kin = items.iter().map(|item| item.word().map(kindred).unwrap_or_default()).collect();
        let sentences = sentence_ranges(&items);
        let lines = passage.lines.clone();
        Self {
            voice: passage.voice,
            is_subject,
            place: passage.place,
            text: text.to_owned(),
            items,
            kin,
            question,
            sentences,
            lines,
        }
    }

    /// Whether the word at `at` stands on a list.
    pub(super) fn is(&self, at: usize, list: &str) -> bool {
        self.kin.get(at).is_some_and(|names| names.contains(&list))
    }

    /// Whether a height was measured to another place than the grip, or is one that is not reached.
    pub(super) fn is_elsewhere_or_denied(&self, one: &Candidate) -> bool {
        let is_place = |at: usize| self.items.get(at).is_some_and(|item| item.is_any(list("elsewhere")));
        let before = one.at.start.saturating_sub(8).max(one.sentence.start)..one.at.start;
        let is_denied = before.clone().any(|at| self.is(at, "not"))
            && before.clone().any(|at| {
                self.items
                    .get(at)
                    .is_some_and(|item| item.is_any(&["get", "reach", "bring", "achieve", "come"]))
            });
        one.sentence.clone().any(is_place) || is_denied
    }

    /// Whether a number counts half turns or crossings.
    pub(super) fn counts_halves(&self, one: &Candidate) -> bool {
        let next = |ahead: usize| self.items.get(one.at.end + ahead);
        let is_half = next(0).is_some_and(|item| item.is_any(&["half", "halfturns", "halftwists"]));
        (is_half && (self.is(one.at.end + 1, "turn") || next(0).is_some_and(|item| !item.is_any(&["half"]))))
            || next(0).is_some_and(|item| item.is_any(&["crossing", "crossings"]))
    }

    /// Whether a number counts something else than turns: "two things", and "two times" where nothing
    /// is said to be turned before it and no question above asks for turns.
    pub(super) fn counts_others(&self, one: &Candidate) -> bool {
        let before = one.at.start.saturating_sub(8).max(one.sentence.start)..one.at.start;
        self.items.get(one.at.end).is_some_and(|next| {
            next.is_any(list("others-counted"))
                || (next.is_any(&["times"])
                    && !self.asks("turn")
                    && !before.clone().any(|at| self.is(at, "turn")))
        })
    }

    /// Whether a number is followed by the word for the string.
    pub(super) fn is_of_a_string(&self, one: &Candidate) -> bool {
        self.items.get(one.at.end).is_some_and(|next| next.is_any(&["string", "strings", "bowstring"]))
    }

    /// By how many a number is multiplied by the words around it, and whether they stand before it:
    /// "a couple of dozen", "a couple of hundred"; nothing where they leave it open, as in "a few
    /// hundred", or multiply another by it.
    pub(super) fn times(&self, one: &Candidate) -> Option<(f64, bool)> {
        let item = |at: Option<usize>| at.and_then(|at| self.items.get(at));
        let word =
            |item: &Item| self.text.get(item.start..item.end).map(str::to_lowercase).unwrap_or_default();
        let is_a_pair = |item: &Item| ["couple", "pair"].iter().any(|end| word(item).ends_with(end));
        let is_large = |item: &Item| {
            item.number().is_some()
                && ["hundred", "thousand"].iter().any(|large| word(item).starts_with(large))
        };
        let own = self.items.get(one.at.start)?;
        let (before, behind) = (item(one.at.start.checked_sub(1)), item(Some(one.at.end)));
        let is_of = |item: Option<&Item>| item.is_some_and(|item| item.is_any(&["of"]));
        if is_a_pair(own) && is_of(behind) {
            let counted = item(Some(one.at.end + 1));
            let is_dozen = counted.is_some_and(|item| item.is_any(&["dozen"]));
            return (!counted.is_some_and(is_large)).then_some((if is_dozen { 12.0 } else { 1.0 }, false));
        }
        if is_large(own) {
            let pair = item(one.at.start.checked_sub(2)).filter(|item| is_of(before) && is_a_pair(item));
            let is_open = before.is_some_and(|item| item.is_any(&["few", "several", "many"]));
            return (!is_open).then_some((
                pair.and_then(Item::number).map_or(1.0, |pair| pair.value.size),
                pair.is_some(),
            ));
        }
        Some((1.0, false))
    }

    /// Whether something that was done is said to be undone.
    pub(super) fn takes_back(&self) -> bool {
        (0..self.items.len()).any(|at| {
            let near = || (at.saturating_sub(6)..at).filter_map(|at| self.items.get(at));
            let is_back = self.items.get(at).is_some_and(|item| item.is_any(&["back"]));
            self.is(at, "undo")
                || (is_back
                    && near()
                        .any(|item| item.is_any(&["took", "take", "taken", "turned", "wound", "put", "let"])))
        })
    }

    /// Whether the question above names a word of a list.
    pub(super) fn asks(&self, list: &str) -> bool {
        self.question.iter().filter_map(Item::word).any(|word| kindred(word).contains(&list))
    }

    /// Where a place of its text stands in what is new.
    pub(super) fn place_of(&self, range: &Range<usize>) -> Option<(usize, usize)> {
        self.place.map(|place| (place + range.start, place + range.end))
    }

    fn sentence_of(&self, at: usize) -> Range<usize> {
        self.sentences.iter().find(|sentence| sentence.contains(&at)).cloned().unwrap_or(at..at + 1)
    }

    fn candidates(&self, read: usize, candidates: &mut Vec<Candidate>) {
        let first = candidates.len();
        for (at, item) in self.items.iter().enumerate() {
            let Some(number) = item.number() else { continue };
            if candidates.len() > MOST_NUMBERS {
                break;
            }
            let sentence = self.sentence_of(at);
            let before =
                candidates.get(first..).unwrap_or_default().last().filter(|one| one.sentence == sentence);
            let link = before.map_or(Link::None, |before| self.link(before, at, number));
            candidates.push(Candidate {
                number: Some(number.clone()),
                unit: number.unit,
                is_rough: self.is_rough(at),
                link,
                ..Candidate::new(read, at..at + 1, sentence)
            });
        }
        bind(candidates.get_mut(first..).unwrap_or_default());
        let numbers = candidates.len();
        self.denials(read, candidates);
        if candidates.len() > numbers {
            candidates.get_mut(first..).unwrap_or_default().sort_by_key(|one| one.at.start);
        }
    }

    /// How the number at `at` is bound to the candidate before it.
    fn link(&self, before: &Candidate, at: usize, number: &Number) -> Link {
        let between = self.items.get(before.at.end..at).unwrap_or_default();
        let Some(last) = &before.number else { return Link::None };
        let is_alike = last.unit.is_none() || number.unit.is_none() || last.unit == number.unit;
        let ratio = number.value.size / last.value.size;
        let is_near = (0.5..2.0).contains(&ratio);
        let before_it = before.at.start.checked_sub(1).and_then(|at| self.items.get(at));
        match between {
            [one] if one.is_any(&["to", "till", "until", "through", "thru", "bis", "upto"]) => Link::To,
            [one, two] if one.is_any(&["up", "down"]) && two.is_any(&["to"]) && is_alike => Link::To,
            [one] if one.is_any(&["and"]) && before_it.is_some_and(|item| item.is_any(&["between"])) => {
                Link::To
            }
            [one] if matches!(one.what, What::Mark('-' | DASH | DOTS | '~')) && is_near => Link::To,
            [one] if one.is_mark('/') && last.value.size >= 12.0 && is_near => Link::To,
            [one] if one.is_any(&["or"]) || one.is_mark('/') => Link::Or,
            [one, two]
                if one.is_any(&["or"])
                    && two.is_any(&["maybe", "even", "perhaps", "possibly", "about", "so"]) =>
            {
                Link::Or
            }
            [one]
                if (one.is_any(&["and", "then"])
                    || matches!(one.what, What::Mark(',' | ';' | '&' | '+')))
                    && is_near
                    && is_alike =>
            {
                Link::List
            }
            [one, two] if one.is_mark(',') && two.is_any(&["and", "then"]) && is_near && is_alike => {
                Link::List
            }
            [one, two]
                if one.is_any(&["and"]) && two.is_any(&["then", "once", "again"]) && is_near && is_alike =>
            {
                Link::List
            }
            [] if is_near && is_alike => Link::List,
            _ => Link::None,
        }
    }

    fn is_rough(&self, at: usize) -> bool {
        let before = self.items.get(at.saturating_sub(2)..at).unwrap_or_default();
        let behind = self.items.get(at + 1..at + 4).unwrap_or_default();
        (at.saturating_sub(2)..at).any(|at| self.is(at, "about"))
            || before.iter().any(|item| matches!(item.what, What::Mark('~' | '≈' | '<' | '>')))
            || behind.first().is_some_and(|item| {
                item.is_any(&["ish", "maybe", "roughly", "something"]) || item.is_mark('?') && !item.spaced
            })
            || (behind.first().is_some_and(|item| item.is_any(&["or"]))
                && behind.get(1).is_some_and(|item| item.is_any(&["so", "thereabouts"])))
    }

    /// Words that say that no turns were made.
    fn denials(&self, read: usize, candidates: &mut Vec<Candidate>) {
        let asks_turns = self.asks("turn");
        for sentence in &self.sentences {
            let denial = sentence.clone().find(|&at| self.is(at, "not"));
            let near = |of: &str| {
                let denial = denial?;
                (denial.saturating_sub(6)..(denial + 9).min(sentence.end))
                    .filter(|&at| at >= sentence.start && at != denial && self.is(at, of))
                    .min_by_key(|at| at.abs_diff(denial))
                    .map(|at| denial.min(at)..denial.max(at) + 1)
            };
            let left_alone = || sentence.clone().find(|&at| self.is(at, "alone")).map(|at| at..at + 1);
            let answer = || denial.filter(|_| asks_turns).map(|at| at..at + 1);
            let Some(at) = near("turn").or_else(left_alone).or_else(|| near("touch")).or_else(answer) else {
                continue;
            };
            candidates.push(Candidate::new(read, at, sentence.clone()));
        }
    }

    /// Whether a sentence of it asks something.
    pub(super) fn asks_in(&self, sentence: &Range<usize>) -> bool {
        sentence.end.checked_sub(1).and_then(|at| self.items.get(at)).is_some_and(|item| item.is_mark('?'))
    }
}

/// Numbers that are bound to each other know of each other.
fn bind(candidates: &mut [Candidate]) {
    let mut start = 0;
    while start < candidates.len() {
        let mut end = start + 1;
        while candidates.get(end).is_some_and(|one| one.link != Link::None) {
            end += 1;
        }
        let Some(bound) = candidates.get_mut(start..end) else { return };
        let group = bound.first().map_or(0, |one| one.at.start)..bound.last().map_or(0, |one| one.at.end);
        let count = bound.len();
        for (rank, one) in bound.iter_mut().enumerate() {
            one.group = group.clone();
            one.rank = (rank, count);
        }
        start = end;
    }
}

/// Numbers without a unit take that of their neighbours, or the only one in which they can be a length.
fn settle_units(candidates: &mut [Candidate], is_metric: bool) {
    let is_length = |unit: Option<Measured>| unit.is_some_and(Measured::is_length);
    for at in (0..candidates.len()).rev() {
        let (one, next) = match candidates.get(at..) {
            Some([one, next, ..]) => (one, next),
            _ => continue,
        };
        let (Some(number), Some(other)) = (&one.number, &next.number) else { continue };
        let ratio = number.value.size / other.value.size;
        let is_bound = next.link != Link::None || (next.read == one.read && next.sentence == one.sentence);
        if one.unit.is_none()
            && is_bound
            && is_length(next.unit)
            && (0.6..1.7).contains(&ratio)
            && number.value.size > 4.0
        {
            let unit = next.unit;
            if let Some(one) = candidates.get_mut(at) {
                one.unit = unit;
            }
        }
    }
    let metric = is_metric
        || candidates.iter().any(|one| {
            let is_decimal = |number: &Number| {
                number.value.shape == Shape::Decimal && (12.0..30.0).contains(&number.value.size)
            };
            matches!(one.unit, Some(Measured::Cm | Measured::Mm))
                || (one.unit.is_none() && one.number.as_ref().is_some_and(is_decimal))
        });
    for one in candidates.iter_mut() {
        let Some(number) = &one.number else { continue };
        let size = number.value.size;
        let unit = match one.unit {
            Some(unit) if unit.is_length() => unit,
            Some(_) => continue,
            None if size < 11.5 => Measured::Inch,
            None if size < 36.0 => {
                if metric || number.value.shape == Shape::Decimal {
                    Measured::Cm
                } else {
                    Measured::Inch
                }
            }
            None if size < 100.0 => Measured::Inch,
            None if (140.0..215.0).contains(&size) && number.value.shape == Shape::Decimal => Measured::Cm,
            None => Measured::Mm,
        };
        one.inches = Some(number.inches(unit));
        if one.unit.is_none() && (size < 11.5 || (size < 36.0 && unit == Measured::Cm) || size >= 36.0) {
            one.unit = Some(unit);
        }
    }
}

impl Candidate {
    /// One that is bound to nothing yet.
    const fn new(read: usize, at: Range<usize>, sentence: Range<usize>) -> Self {
        let group = at.start..at.end;
        let (number, unit, inches, is_rough, link, rank) = (None, None, None, false, Link::None, (0, 1));
        Self { read, at, number, unit, inches, is_rough, link, sentence, group, rank }
    }

    /// Whether it is one of two of which the writer did not know which.
    pub(super) fn is_either(&self, next: Option<&Self>) -> bool {
        self.link == Link::Or || next.is_some_and(|next| next.read == self.read && next.link == Link::Or)
    }

    /// Whether it can be the brace height of a bow.
    pub(super) fn is_brace_size(&self) -> bool {
        self.inches.is_some_and(|inches| (4.0..=11.5).contains(&inches))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clauses(text: &str) -> Vec<Vec<String>> {
        let items = items(&tokenize(text));
        sentence_ranges(&items)
            .into_iter()
            .filter_map(|range| Sentence::new(&items[range], false))
            .map(|sentence| {
                let place = |range: &Range<usize>| {
                    let items = &sentence.items[range.clone()];
                    text[items[0].start..items[items.len() - 1].end].to_owned()
                };
                sentence.clauses.iter().map(place).collect()
            })
            .collect()
    }

    #[test]
    fn sentences_end_at_points_and_not_in_numbers() {
        assert_eq!(clauses("brace is 7.5. maker says 8").len(), 2);
        assert_eq!(clauses("It is approx. 7.5 in. long").len(), 1);
        assert_eq!(clauses("It is 7 3/4 in. The maker").len(), 2);
        assert_eq!(clauses("is it 7? ok").len(), 2);
        assert_eq!(clauses("I think ... no").len(), 2);
    }

    #[test]
    fn clauses_begin_at_commas_and_conjunctions() {
        assert_eq!(clauses("it was 7 1/2, now 6 7/8")[0], ["it was 7 1/2", ", now 6 7/8"]);
        assert_eq!(clauses("I put in 10 turns and it went up")[0], ["I put in 10 turns", "and it went up"]);
    }
}
