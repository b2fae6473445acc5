//! Signs of danger in the sentences of a text.

use std::cell::OnceCell;
use std::collections::HashSet;

use super::lists::{LISTS, Row, end_of_any, shortened};
use super::weighed;
use super::words::{Sentence, Word, sentences};
use crate::trade::signs::SignOf;

/// A sign that was found.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Found {
    pub(super) of: SignOf,
    pub(super) sure: bool,
    pub(super) words: String,
}

/// Log odds from which on a sentence is a sign that plainly denies what it names: more must be in it
/// than the words that are denied (judgement, no source).
const ASKED_AFTER_A_DENIAL: f64 = 1.5;

/// Log odds from which on a question asks about danger: what is asked of lengths and turns lies well
/// below, our questions about danger well above (docs/mail-reading.md).
const ASKED_IN_A_QUESTION: f64 = 2.0;

/// Words over which a denial reaches.
const DENIAL: usize = 8;

/// Where something stands: first word, and the one after the last.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Place {
    start: usize,
    end: usize,
}

impl Place {
    fn overlaps(self, other: Self) -> bool {
        self.start < other.end && other.start < self.end
    }
}

/// A row of words that names a danger, where it stands.
struct Event {
    of: SignOf,
    place: Place,
    /// It is stated as an event.
    states: bool,
    /// It holds a denial itself.
    denies: bool,
}

/// A sentence with the words that mean no harm taken out.
struct Read<'a> {
    words: &'a [Word],
    /// The same words; those of figures of speech are empty.
    plain: Vec<Word>,
    asks: bool,
    /// Looked for at the first event, and the same for every other.
    around: OnceCell<Around>,
}

/// What stands in a sentence besides its events and may deny them or take them back.
struct Around {
    denials: Vec<Place>,
    /// What looks like a denial and is none.
    no_denials: Vec<Place>,
    /// Where a sentence turns and a denial ends.
    turns: Vec<Place>,
    speaks_of_another: bool,
}

impl Around {
    fn of(words: &[Word]) -> Self {
        Self {
            denials: places(&LISTS.deny, words),
            no_denials: places(&LISTS.no_denial, words),
            turns: places(&LISTS.turn, words),
            speaks_of_another: !places(&LISTS.other, words).is_empty(),
        }
    }
}

/// Signs in a text; who keeps them joins those of the same words.
pub(super) fn signs(text: &str) -> Vec<Found> {
    let mut found: Vec<Found> = Vec::new();
    let mut heard: HashSet<String> = HashSet::new();
    for sentence in sentences(text) {
        // What is said again says nothing new, and a long text may say the same thousands of times.
        let said = sentence.words.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(" ");
        if !heard.insert(format!("{said}{}", if sentence.asks { "?" } else { "" })) {
            continue;
        }
        found.extend(Read::new(&sentence).signs(text));
    }
    found
}

/// Which kinds of danger a question of ours asks about.
pub(super) fn kinds_asked(question: &str) -> Vec<SignOf> {
    let mut kinds: Vec<SignOf> = Vec::new();
    for sentence in sentences(question) {
        let read = Read::new(&sentence);
        for event in read.events() {
            if !kinds.contains(&event.of) {
                kinds.push(event.of);
            }
        }
        if kinds.is_empty() {
            let (odds, kind) = weighed::odds(&sentence.words);
            kinds.extend((odds >= ASKED_IN_A_QUESTION).then_some(kind));
        }
        let says = |wanted: &str| read.words.iter().any(|word| word.text.starts_with(wanted));
        if kinds.is_empty() && (says("damage") || says("anything") && (says("wrong") || says("amiss"))) {
            kinds.extend([SignOf::String, SignOf::Bow]);
        }
    }
    kinds
}

impl<'a> Read<'a> {
    fn new(sentence: &'a Sentence) -> Self {
        let mut plain = sentence.words.clone();
        for at in 0..sentence.words.len() {
            if let Some(end) = end_of_any(&LISTS.figures, &sentence.words, at) {
                for word in plain.iter_mut().take(end).skip(at) {
                    word.text.clear();
                }
            }
        }
        Self { words: &sentence.words, plain, asks: sentence.asks, around: OnceCell::new() }
    }

    fn around(&self) -> &Around {
        self.around.get_or_init(|| Around::of(self.words))
    }

    /// Rows of words that name a danger, whatever the sentence makes of them.
    fn events(&self) -> Vec<Event> {
        let mut found = Vec::new();
        let plain = self.plain.as_slice();
        for (of, rows) in
            [(SignOf::String, &LISTS.of_string), (SignOf::Bow, &LISTS.of_bow), (SignOf::Shot, &LISTS.of_shot)]
        {
            for at in 0..plain.len() {
                for row in rows {
                    if let Some((end, guessed)) = row.end_at(plain, at).filter(|(end, _)| *end > at) {
                        found.push(Event {
                            of,
                            place: Place { start: at, end },
                            states: row.states && !guessed,
                            denies: row.denies,
                        });
                    }
                }
            }
        }
        found
    }

    fn signs(&self, text: &str) -> Vec<Found> {
        let mut found: Vec<(SignOf, Place, bool)> = Vec::new();
        let mut denied = false;
        for Event { of, place, states, denies } in self.events() {
            if self.is_denied(place, denies) {
                denied = true;
                continue;
            }
            let sure = states && !self.is_taken_back(place);
            // Of places that lie in one another the widest is told.
            match found.iter_mut().find(|(held, other, _)| *held == of && other.overlaps(place)) {
                Some((_, other, held_sure)) => {
                    *other = Place { start: other.start.min(place.start), end: other.end.max(place.end) };
                    *held_sure |= sure;
                }
                None => found.push((of, place, sure)),
            }
        }
        if found.is_empty() {
            let whole = Place { start: 0, end: self.words.len() };
            let (odds, of) = weighed::odds(self.words);
            let least = if denied { ASKED_AFTER_A_DENIAL } else { weighed::ASKED_FROM };
            found.extend((odds >= least).then_some((of, whole, false)));
        }
        found.into_iter().map(|(of, place, sure)| Found { of, sure, words: self.told(text, place) }).collect()
    }

    /// The words of a place, with two more on either side.
    fn told(&self, text: &str, place: Place) -> String {
        let first = self.words.get(place.start.saturating_sub(2)).map_or(0, |word| word.start);
        let last = self.words.get((place.end + 1).min(self.words.len().saturating_sub(1)));
        let end = last.map_or(text.len(), |word| word.end);
        shortened(text.get(first..end).unwrap_or_default())
    }

    /// Whether a plain denial reaches over the place; one that belongs to what is told there does not.
    fn is_denied(&self, place: Place, denies: bool) -> bool {
        let Around { denials, no_denials, turns, .. } = self.around();
        let is_open = |from: usize, to: usize| !turns.iter().any(|turn| turn.start >= from && turn.end <= to);
        // The denial stands before the last word of the place: "no strand is broken".
        let last = place.end.saturating_sub(1);
        denials.iter().copied().any(|denial| {
            denial.end <= last + 1
                && denial.start < last.max(place.start + 1)
                && last.saturating_sub(denial.end) <= DENIAL
                && !(denies && denial.overlaps(place))
                && !no_denials.iter().any(|one| one.overlaps(denial))
                && is_open(denial.end, last)
                && !self.begins_anew(denial.end, last)
        }) || self.is_none_behind(place)
    }

    /// "No fuss, and the limb has cracked": a new subject ends a denial.
    fn begins_anew(&self, from: usize, to: usize) -> bool {
        const SUBJECTS: [&str; 10] = ["the", "a", "an", "one", "my", "two", "there", "it", "i", "there's"];
        let words = self.words.get(from..to).unwrap_or_default();
        words.windows(2).any(|pair| {
            let [first, second] = pair else { return false };
            let joins = matches!(first.text.as_str(), "and" | "so" | "then" | "because" | "as");
            (first.after_pause && SUBJECTS.contains(&first.text.as_str()))
                || ((first.after_pause || joins)
                    && (SUBJECTS.contains(&second.text.as_str())
                        || matches!(second.text.as_str(), "has" | "is")))
        })
    }

    /// "Cracks: none."
    fn is_none_behind(&self, place: Place) -> bool {
        self.words.get(place.end..).unwrap_or_default().first().is_some_and(|word| {
            word.after_pause && matches!(word.text.as_str(), "none" | "no" | "nil" | "zero")
        }) && self.words.len() <= place.end + 2
    }

    /// Whether the sentence fears, asks, supposes, or speaks of another string or bow.
    fn is_taken_back(&self, place: Place) -> bool {
        let before = self.words.get(..place.end).unwrap_or_default();
        self.asks
            || self.around().denials.iter().any(|denial| !denial.overlaps(place))
            || self.around().speaks_of_another
            || !places(&LISTS.supposed, before).is_empty()
    }
}

/// Where rows stand among words, each place once.
fn places(rows: &[Row], words: &[Word]) -> Vec<Place> {
    (0..words.len())
        .filter_map(|start| {
            let end = end_of_any(rows, words, start)?;
            (end > start).then_some(Place { start, end })
        })
        .collect()
}
