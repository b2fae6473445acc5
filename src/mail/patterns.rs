//! Patterns of words.
//!
//! A pattern is a row of words: `too long|short`, `slap* _ arm|wrist`. A stroke parts words of
//! which one is enough, a star stands for any ending, `#` for a number, `#lb` for one with a unit
//! of force, `?` before a word makes it optional, and `_` stands for up to four words of any
//! kind.

use super::numbers::{Item, Number, What};

/// Most words that a gap stands for.
const LONGEST_GAP: usize = 4;

enum Element {
    Words(Vec<&'static str>),
    Optional(Vec<&'static str>),
    Number,
    Force,
    Gap,
}

/// A pattern, ready to be looked for.
pub(super) struct Pattern(Vec<Element>);

impl Pattern {
    pub(super) fn new(pattern: &'static str) -> Self {
        Self(
            pattern
                .split(' ')
                .map(|word| match word {
                    "_" => Element::Gap,
                    "#" => Element::Number,
                    "#lb" => Element::Force,
                    word => match word.strip_prefix('?') {
                        Some(word) => Element::Optional(word.split('|').collect()),
                        None => Element::Words(word.split('|').collect()),
                    },
                })
                .collect(),
        )
    }

    /// Where the pattern ends if it begins at `at`.
    pub(super) fn end_at(&self, items: &[Item], at: usize) -> Option<usize> {
        matches(&self.0, items, at)
    }

    /// The first place from `from` on where the pattern stands.
    pub(super) fn find(&self, items: &[Item], from: usize) -> Option<(usize, usize)> {
        (from..items.len()).find_map(|at| self.end_at(items, at).map(|end| (at, end)))
    }
}

fn matches(elements: &[Element], items: &[Item], at: usize) -> Option<usize> {
    let Some((first, rest)) = elements.split_first() else {
        return Some(at);
    };
    let is_one_of = |words: &[&str]| {
        items.get(at).and_then(Item::word).is_some_and(|word| words.iter().any(|known| is_word(word, known)))
    };
    match first {
        Element::Words(words) => is_one_of(words).then(|| matches(rest, items, at + 1))?,
        Element::Optional(words) => {
            let taken = if is_one_of(words) { matches(rest, items, at + 1) } else { None };
            taken.or_else(|| matches(rest, items, at))
        }
        Element::Number => {
            items.get(at).is_some_and(|item| item.number().is_some()).then(|| matches(rest, items, at + 1))?
        }
        Element::Force => {
            let is_force = |number: &Number| number.unit.is_some_and(|unit| !unit.is_length());
            items
                .get(at)
                .and_then(Item::number)
                .is_some_and(is_force)
                .then(|| matches(rest, items, at + 1))?
        }
        Element::Gap => {
            // A gap stays inside the sentence it is in.
            let reach = items
                .iter()
                .skip(at)
                .take(LONGEST_GAP)
                .take_while(|item| !matches!(item.what, What::Break | What::Mark('.' | '?' | '!' | ';')))
                .count();
            (0..=reach).find_map(|gap| matches(rest, items, at + gap))
        }
    }
}

fn is_word(word: &str, known: &str) -> bool {
    match known.strip_suffix('*') {
        Some(start) => word.starts_with(start),
        None => word == known,
    }
}

/// Whether one of the words stands in a row of items.
pub(super) fn has_word(items: &[Item], words: &[&str]) -> bool {
    items.iter().filter_map(Item::word).any(|word| words.iter().any(|known| is_word(word, known)))
}

/// Whether one of the patterns stands in a row of items.
pub(super) fn has_any(items: &[Item], patterns: &[Pattern]) -> bool {
    patterns.iter().any(|pattern| pattern.find(items, 0).is_some())
}

/// The rows of a list of words that stand under a name, `name: row`, in their order.
pub(super) fn rows(list: &'static str) -> impl Iterator<Item = (&'static str, &'static str)> {
    list.lines().filter(|line| !line.starts_with('#')).filter_map(|line| line.split_once(": "))
}

/// The patterns of a list under one name.
pub(super) fn named(list: &'static str, name: &str) -> Vec<Pattern> {
    rows(list).filter(|(held, _)| *held == name).map(|(_, row)| Pattern::new(row)).collect()
}

#[cfg(test)]
mod tests {
    use super::super::numbers::items;
    use super::super::tokens::tokenize;
    use super::*;

    fn stands(pattern: &'static str, text: &str) -> bool {
        Pattern::new(pattern).find(&items(&tokenize(text)), 0).is_some()
    }

    #[test]
    fn words_gaps_and_numbers_are_matched() {
        assert!(stands("slap* _ arm|wrist", "the string slaps hard on my arm"));
        assert!(!stands("slap* _ arm|wrist", "it slaps. My arm is fine"));
        assert!(!stands("slap* _ arm", "it slaps and then a lot more on the arm"));
        assert!(stands("put # turns in", "I put 10 turns in"));
        assert!(stands("too ?much long", "too long") && stands("too ?much long", "too much long"));
    }
}
