//! Sentences, and the clauses they are made of.

use std::ops::Range;

use super::numbers::{Item, What};
use super::tokens::{DASH, DOTS};

/// Most items of a sentence; one that goes on is cut, so that reading stays fast.
const LONGEST_SENTENCE: usize = 120;

/// Words that begin a clause.
const CONJUNCTIONS: &[&str] = &[
    "but", "and", "so", "while", "whereas", "although", "though", "because", "since", "when", "until",
    "till", "if", "unless", "which", "whilst", "however", "where", "except",
];

/// Words that part two numbers, and else belong to the clause before them: "7 1/2 now",
/// "now 7 1/2", "8 with my other bow".
const BETWEEN_NUMBERS: &[&str] = &[
    "now", "with", "should", "before", "after", "then", "instead", "rather", "vs", "versus", "compared", "on",
];

/// Shortened words after which a point ends no sentence.
const ABBREVIATIONS: &[&str] = &[
    "approx", "ca", "no", "nr", "e", "g", "i", "vs", "mr", "mrs", "dr", "max", "min", "incl", "resp", "etc",
];

/// A sentence and the places of its clauses.
pub(super) struct Sentence<'a> {
    pub(super) items: &'a [Item],
    pub(super) clauses: Vec<Range<usize>>,
    pub(super) is_question: bool,
}

impl<'a> Sentence<'a> {
    /// The items of a clause.
    pub(super) fn clause(&self, index: usize) -> &'a [Item] {
        self.clauses.get(index).and_then(|clause| self.items.get(clause.clone())).unwrap_or_default()
    }
}

/// The sentences of a text.
pub(super) fn sentences(items: &[Item]) -> Vec<Sentence<'_>> {
    sentence_ranges(items).into_iter().filter_map(|range| sentence(items.get(range)?)).collect()
}

/// Where the sentences of a text stand, one after the other without a gap.
pub(super) fn sentence_ranges(items: &[Item]) -> Vec<Range<usize>> {
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
                .is_some_and(|before| before.is_any(ABBREVIATIONS) && !item.spaced);
            !is_abbreviation && next.is_none_or(|next| next.spaced || next.word().is_some())
        }
        What::Mark(DOTS) => next.is_none_or(|next| next.spaced),
        _ => false,
    }
}

fn sentence(items: &[Item]) -> Option<Sentence<'_>> {
    let last = items.last()?;
    let is_question = last.is_mark('?');
    let mut clauses = Vec::new();
    let mut start = 0;
    for at in 0..items.len() {
        if begins_clause(items, at, start) {
            clauses.push(start..at);
            start = at;
        }
    }
    clauses.push(start..items.len());
    clauses.retain(|clause| !clause.is_empty());
    Some(Sentence { items, clauses, is_question })
}

fn begins_clause(items: &[Item], at: usize, start: usize) -> bool {
    let Some(item) = items.get(at).filter(|_| at > start) else {
        return false;
    };
    match &item.what {
        What::Word(word) if CONJUNCTIONS.contains(&word.as_str()) => true,
        What::Word(word) if BETWEEN_NUMBERS.contains(&word.as_str()) => {
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
        What::Word(word) => CONJUNCTIONS.contains(&word.as_str()),
        What::Mark(mark) => matches!(mark, ',' | ';' | '(' | ')' | '!' | '?'),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::super::numbers::items;
    use super::super::tokens::tokenize;
    use super::*;

    fn clauses(text: &str) -> Vec<Vec<String>> {
        let items = items(&tokenize(text));
        sentences(&items)
            .iter()
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
