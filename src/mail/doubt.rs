//! Numbers that are rough, that are one of several, or that are only a difference.

use super::numbers::{Item, Number, What};
use super::phrases::{Pattern, all};
use crate::quantity::Unit;

/// Words up to two words before a number that make it rough.
const ROUGH_BEFORE: &[&str] = &[
    "about",
    "around",
    "roughly",
    "approx",
    "approximately",
    "ca",
    "circa",
    "nearly",
    "almost",
    "maybe",
    "perhaps",
    "probably",
    "guess",
    "guessing",
    "estimate",
    "estimated",
    "approximate",
    "barely",
    "scant",
    "bare",
    "shy",
    "generous",
    "strong",
    "fat",
    "roundabout",
    "some",
    "abt",
];

/// Words right before a number that make it a bound.
const BOUND_BEFORE: &[&str] = &[
    "over", "under", "above", "below", "than", "least", "most", "good", "past", "beyond", "say", "min",
    "minimum", "max", "maximum",
];

/// Words anywhere before a number in its clause that say it is a guess.
const GUESSED: &[&str] = &[
    "i|we think|guess|believe|reckon|assume|suppose",
    "i|we would say|guess",
    "it seems",
    "seems",
    "as far as",
    "remember|recall",
];

const ROUGH_BEHIND: &[&str] = &[
    "ish",
    "or so",
    "or thereabouts|something|whatever",
    "give or take",
    "more or less",
    "and ?a bit|change|little|hair|touch|something",
    "approx|approximately|roughly|maybe|perhaps|probably",
    "i think|guess|believe|reckon",
    "plus",
    "at ?the most|least|max",
    "or more|less|higher|lower|above|below|better",
    "a bit|little|touch",
    "rough|estimated|guessed",
    "by eye",
    "if i remember|recall",
    "as far as",
];

/// Words behind a number that make it a difference, whatever its size.
const COMPARED: &[&str] = &[
    "lower",
    "higher",
    "longer",
    "shorter",
    "less",
    "more",
    "below",
    "above",
    "under",
    "off",
    "bigger",
    "smaller",
    "difference",
    "drop",
    "loss",
    "gain",
];

/// Words that do so behind a small number.
const COMPARED_IF_SMALL: &[&str] =
    &["too", "low", "high", "short", "over", "out", "away", "apart", "long", "further"];

/// Words before a number that make it a difference.
const DIFFERENT: &[&str] = &[
    "by",
    "lost|gained|another|additional|extra|within|tolerance",
    "drop|difference|increase|decrease|gain|loss|change|rise of",
    "to ?the nearest",
    "per",
    "every|each",
    "plus|minus",
    "times",
    "further",
];

const DIFFERENT_IF_SMALL: &[&str] =
    &["up|down|dropped|rose|fell|sank|grew|stretched|raised|lowered|moved|lengthened|shortened|crept"];

/// Below so many inches a number is no brace height and no length of a string or bow.
const SMALL_INCHES: f64 = 3.0;

/// The patterns of this file, made ready once.
pub(super) struct Doubts {
    guessed: Vec<Pattern>,
    rough_behind: Vec<Pattern>,
    different: Vec<Pattern>,
    different_if_small: Vec<Pattern>,
}

impl Doubts {
    pub(super) fn new() -> Self {
        Self {
            guessed: all(GUESSED),
            rough_behind: all(ROUGH_BEHIND),
            different: all(DIFFERENT),
            different_if_small: all(DIFFERENT_IF_SMALL),
        }
    }

    /// Whether the number at `at` of `clause` was not measured exactly.
    pub(super) fn is_rough(&self, clause: &[Item], at: usize) -> bool {
        let before = clause.get(..at).unwrap_or_default();
        let last = |back: usize| before.len().checked_sub(back).and_then(|at| before.get(at));
        let is_near = (1..=2).any(|back| {
            last(back)
                .is_some_and(|item| item.is_any(ROUGH_BEFORE) || matches!(item.what, What::Mark('~' | '≈')))
        });
        let is_bound = last(1)
            .is_some_and(|item| item.is_any(BOUND_BEFORE) || matches!(item.what, What::Mark('<' | '>')))
            || (last(1).is_some_and(|item| item.is_any(&["to"]))
                && last(2).is_some_and(|item| item.is_any(&["close", "closer", "next"])))
            || (last(1).is_some_and(|item| item.is_any(&["like"]))
                && last(2).is_some_and(|item| item.is_any(&["something", "more"])))
            || (last(1).is_some_and(|item| item.is_any(&["of"]))
                && last(2).is_some_and(|item| item.is_any(&["shy", "short", "region"])));
        let from = before.iter().rposition(|item| item.number().is_some()).map_or(0, |at| at + 1);
        let is_guessed = super::phrases::has_any(before.get(from..).unwrap_or_default(), &self.guessed);
        let behind = clause.get(at + 1..).unwrap_or_default();
        let is_marked = behind.first().is_some_and(|next| {
            !next.spaced && matches!(next.what, What::Mark('+' | '?')) || next.is_mark('~')
        }) || (behind.first().is_some_and(|next| next.is_mark('('))
            && behind.get(1).is_some_and(|next| next.is_mark('?')));
        // "8 1/2 max", but "8 1/2, max allowed 8"
        let is_end = behind.first().is_some_and(|next| next.is_any(&["max", "maximum", "min", "minimum"]))
            && !behind.iter().take(4).any(|item| item.number().is_some());
        let is_weakened = self.rough_behind.iter().any(|pattern| pattern.end_at(behind, 0).is_some());
        is_near || is_bound || is_guessed || is_marked || is_end || is_weakened
    }

    /// Whether the number at `at` of `clause` says how far something is off.
    pub(super) fn is_difference(&self, clause: &[Item], at: usize, number: &Number, unit: Unit) -> bool {
        let is_small = number.inches(unit).abs() < SMALL_INCHES;
        let behind = clause.get(at + 1).filter(|next| {
            !next.is_any(&["more"]) || !clause.get(at + 2).is_some_and(|item| item.is_any(&["or"]))
        });
        let is_loaded = clause.get(at + 2).is_some_and(|item| {
            item.is_any(&["load", "tension", "a", "the"])
                || item.number().is_some_and(|number| number.unit.is_some())
        });
        let behind = behind.filter(|next| !(next.is_any(&["under"]) && is_loaded));
        let is_compared =
            behind.is_some_and(|next| next.is_any(COMPARED) || (is_small && next.is_any(COMPARED_IF_SMALL)));
        let ends_here = |pattern: &Pattern| {
            (at.saturating_sub(3)..at).any(|start| pattern.end_at(clause, start) == Some(at))
        };
        is_compared
            || self.different.iter().any(ends_here)
            || (is_small && self.different_if_small.iter().any(ends_here))
    }
}

/// Whether a number is too small to be the measure of a bow or a string.
pub(super) fn is_small(number: &Number, unit: Unit) -> bool {
    number.inches(unit).abs() < SMALL_INCHES
}

/// Whether the number at `at` is one of two that exclude each other: "7 or 8".
pub(super) fn is_alternative(items: &[Item], at: usize) -> bool {
    let is_number =
        |at: Option<usize>| at.and_then(|at| items.get(at)).is_some_and(|item| item.number().is_some());
    let is_or = |at: Option<usize>| {
        at.and_then(|at| items.get(at)).is_some_and(|item| item.is_any(&["or"]) || item.is_mark('/'))
    };
    let same_kind = |other: Option<usize>| {
        let unit = |at: usize| items.get(at).and_then(Item::number).and_then(|number| number.unit);
        other.is_some_and(|other| unit(at).is_none() || unit(other).is_none() || unit(at) == unit(other))
    };
    (is_or(Some(at + 1)) && is_number(Some(at + 2)) && same_kind(Some(at + 2)))
        || (is_or(at.checked_sub(1)) && is_number(at.checked_sub(2)) && same_kind(at.checked_sub(2)))
}
