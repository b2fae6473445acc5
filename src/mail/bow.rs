//! What a text says of the bow, and of how the string lies and was measured.

use super::clauses::Sentence;
use std::str::FromStr;

use super::numbers::Item;
use super::patterns::{Pattern, has_word, rows};
use super::symptoms::Stance;
use crate::trade::BowKind;
use crate::trade::words::{LengthAt, Marker, Stave, Tips};

/// A value and the words it was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Mention<T> {
    pub(super) value: T,
    pub(super) place: Place,
}

/// A part of the letter, and the bytes there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) read: usize,
    pub(super) start: usize,
    pub(super) end: usize,
}

/// Rows of words: what they tell of, what that is, the pattern.
const LIST: &str = include_str!("lists/bow.txt");

/// Looks through the clauses of a text for words of the bow.
pub(super) struct Bows {
    tips: Vec<(Pattern, Tips)>,
    staves: Vec<(Pattern, Stave)>,
    kinds: Vec<(Pattern, BowKind)>,
    markers: Vec<(Pattern, Marker)>,
    measured: Vec<(Pattern, LengthAt)>,
    stance: &'static Stance,
    pub(super) found: Mentions,
}

/// What was found.
#[derive(Debug, Default)]
pub(super) struct Mentions {
    pub(super) tips: Vec<Mention<Tips>>,
    pub(super) staves: Vec<Mention<Stave>>,
    pub(super) kinds: Vec<Mention<BowKind>>,
    pub(super) markers: Vec<Mention<Marker>>,
    pub(super) measured: Vec<Mention<LengthAt>>,
    /// "laminated" alone, which may be of wood only.
    pub(super) laminated: Option<Place>,
    /// A takedown or a riser without its length.
    pub(super) takedown: Option<Place>,
}

fn ready<T: FromStr>(of: &str) -> Vec<(Pattern, T)> {
    rows(LIST)
        .filter_map(|(name, pattern)| {
            let (held, value) = name.split_once(' ')?;
            (held == of).then(|| value.parse().ok()).flatten().map(|value| (Pattern::new(pattern), value))
        })
        .collect()
}

impl Bows {
    pub(super) fn new() -> Self {
        Self {
            tips: ready("tips"),
            staves: ready("stave"),
            kinds: ready("kind"),
            markers: ready("marker"),
            measured: ready("measured"),
            stance: Stance::known(),
            found: Mentions::default(),
        }
    }

    /// Reads a sentence.
    pub(super) fn read(&mut self, read: usize, sentence: &Sentence<'_>) {
        for clause in 0..sentence.clauses.len() {
            let items = sentence.clause(clause);
            let first = items.iter().find_map(Item::word).unwrap_or_default();
            let is_asked = sentence.is_question
                && matches!(
                    first,
                    "is" | "are"
                        | "should"
                        | "would"
                        | "could"
                        | "can"
                        | "do"
                        | "does"
                        | "did"
                        | "was"
                        | "have"
                        | "will"
                        | "which"
                        | "might"
                        | "may"
                );
            // "Could you make a string for my longbow?" says what the bow is.
            if (is_asked && !has_word(items, &["for", "my"]))
                || self.stance.is_elsewhere(items)
                || self.stance.is_supposed(items)
            {
                continue;
            }
            collect(&mut self.found.tips, &self.tips, read, items);
            collect(&mut self.found.staves, &self.staves, read, items);
            collect(&mut self.found.kinds, &self.kinds, read, items);
            collect(&mut self.found.markers, &self.markers, read, items);
            collect(&mut self.found.measured, &self.measured, read, items);
            let word = |words: &[&str]| {
                let item = items.iter().find(|item| item.is_any(words))?;
                Some(Place { read, start: item.start, end: item.end })
            };
            let says_glass =
                has_word(items, &["glass", "fiberglass", "fibreglass", "carbon", "wood", "wooden"]);
            if !says_glass {
                self.found.laminated = self.found.laminated.or(word(&["laminated", "laminate"]));
            }
            self.found.takedown = self.found.takedown.or(word(&["takedown", "ilf", "riser"]));
        }
    }
}

/// The values of the longest patterns, from left to right.
fn collect<T: Copy>(found: &mut Vec<Mention<T>>, patterns: &[(Pattern, T)], read: usize, items: &[Item]) {
    let mut at = 0;
    while at < items.len() {
        let longest = patterns
            .iter()
            .filter_map(|(pattern, value)| pattern.end_at(items, at).map(|end| (end, *value)))
            .reduce(|best, next| if next.0 > best.0 { next } else { best });
        let Some((end, value)) = longest.filter(|(end, _)| *end > at) else {
            at += 1;
            continue;
        };
        let before = items.get(at.saturating_sub(3)..at).unwrap_or_default();
        // A denial that no pattern knows is left alone.
        if !has_word(before, &["not", "no", "never", "without", "nor"])
            && let (Some(first), Some(last)) = (items.get(at), items.get(end - 1))
        {
            found.push(Mention { value, place: Place { read, start: first.start, end: last.end } });
        }
        at = end;
    }
}
