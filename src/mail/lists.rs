//! What stands in `lists/*.txt`, made ready: lists of words, words that say much the same, patterns of
//! words, and the learned weights.
//!
//! A pattern is a row of words: `too long|short`, `slap* _ arm|wrist`. A stroke parts words of
//! which one is enough, a star stands for any ending, `#` for a number, `#lb` for one with a unit
//! of force, `?` before a word makes it optional, and `_` stands for up to four words of any
//! kind.

use std::collections::{BTreeMap, HashMap};
use std::str::FromStr;
use std::sync::LazyLock;

use super::numbers::{Item, Number, What};
use crate::trade::words::MailKind;

/// Most words that a gap stands for.
const LONGEST_GAP: usize = 4;

/// The rows of a file, `name: row`, in their order.
pub(super) fn rows(file: &'static str) -> impl Iterator<Item = (&'static str, &'static str)> {
    file.lines().filter(|line| !line.starts_with('#')).filter_map(|line| line.split_once(": "))
}

static LISTS: LazyLock<HashMap<&str, Vec<&str>>> = LazyLock::new(|| {
    rows(include_str!("lists/reading.txt"))
        .map(|(name, row)| match name.strip_suffix('!') {
            Some(name) => (name, row.split(", ").collect()),
            None => (name, row.split(' ').collect()),
        })
        .collect()
});

/// The words of a list.
pub(super) fn list(name: &str) -> &'static [&'static str] {
    LISTS.get(name).map(Vec::as_slice).unwrap_or_default()
}

/// Whether a list holds a word.
pub(super) fn holds(name: &str, word: &str) -> bool {
    list(name).contains(&word)
}

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
    let item = items.get(at);
    let is_one_of = |words: &[&str]| item.and_then(Item::word).is_some_and(|word| is_among(word, words));
    let is_number = |of: fn(&Number) -> bool| item.and_then(Item::number).is_some_and(of);
    let goes_on = |stands: bool| if stands { matches(rest, items, at + 1) } else { None };
    match first {
        Element::Words(words) => goes_on(is_one_of(words)),
        Element::Optional(words) => goes_on(is_one_of(words)).or_else(|| matches(rest, items, at)),
        Element::Number => goes_on(is_number(|_| true)),
        Element::Force => goes_on(is_number(|number| number.unit.is_some_and(|unit| !unit.is_length()))),
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

/// Whether a word is one of some, of which a star ends the beginning of one.
fn is_among(word: &str, words: &[&str]) -> bool {
    words.iter().any(|known| match known.strip_suffix('*') {
        Some(start) => word.starts_with(start),
        None => word == *known,
    })
}

/// Whether one of the words stands in a row of items.
pub(super) fn has_word(items: &[Item], words: &[&str]) -> bool {
    items.iter().filter_map(Item::word).any(|word| is_among(word, words))
}

/// Whether one of the patterns stands in a row of items.
pub(super) fn has_any(items: &[Item], patterns: &[Pattern]) -> bool {
    patterns.iter().any(|pattern| pattern.find(items, 0).is_some())
}

/// The patterns of a file under one name.
pub(super) fn named(file: &'static str, name: &str) -> Vec<Pattern> {
    rows(file).filter(|(held, _)| *held == name).map(|(_, row)| Pattern::new(row)).collect()
}

/// The patterns of a file that stand under "`of` value".
pub(super) fn valued<T: FromStr>(file: &'static str, of: &str) -> Vec<(Pattern, T)> {
    rows(file)
        .filter_map(|(name, row)| {
            let value = name.strip_prefix(of)?.strip_prefix(' ')?.parse().ok()?;
            Some((Pattern::new(row), value))
        })
        .collect()
}

/// Words that say much the same, under the names of their lists.
struct Kindred {
    names: Vec<&'static str>,
    /// Of each whole word its lists.
    whole: HashMap<&'static str, Vec<usize>>,
    /// Beginnings of words, each with its list.
    beginnings: Vec<(&'static str, usize)>,
}

static KINDRED: LazyLock<Kindred> = LazyLock::new(|| {
    let mut kindred = Kindred { names: Vec::new(), whole: HashMap::new(), beginnings: Vec::new() };
    for (at, (name, words)) in rows(include_str!("lists/words.txt")).enumerate() {
        kindred.names.push(name);
        for word in words.split(' ') {
            match word.strip_suffix('*') {
                Some(beginning) => kindred.beginnings.push((beginning, at)),
                None => kindred.whole.entry(word).or_default().push(at),
            }
        }
    }
    kindred
});

/// The names of the lists that hold a word.
pub(super) fn kindred(word: &str) -> Vec<&'static str> {
    let all = &*KINDRED;
    let begun =
        all.beginnings.iter().filter(|(beginning, _)| word.starts_with(beginning)).map(|(_, list)| *list);
    let mut lists: Vec<usize> = all.whole.get(word).into_iter().flatten().copied().chain(begun).collect();
    lists.sort_unstable();
    lists.dedup();
    lists.into_iter().filter_map(|list| all.names.get(list).copied()).collect()
}

/// What a number can say, as the marked mails call it.
pub(super) const MEANINGS: [&str; 25] = [
    "other",
    "now",
    "now_n",
    "earlier",
    "maker_low",
    "maker_high",
    "want",
    "want_low",
    "want_high",
    "old_string",
    "other_bow",
    "corrected",
    "off_by",
    "turns_in",
    "turns_out",
    "turns_undone",
    "turns_none",
    "shots",
    "string_length",
    "bow_length",
    "old_string_length",
    "draw_weight",
    "draw_length",
    "strands",
    "bow_year",
];

/// The weights are kept in hundredths.
const HUNDREDTHS: f64 = 100.0;

/// How much each feature speaks for each meaning.
pub(super) struct Weights {
    meanings: BTreeMap<String, Vec<(usize, f64)>>,
    kinds: BTreeMap<String, Vec<(usize, f64)>>,
}

static WEIGHTS: LazyLock<Weights> = LazyLock::new(|| Weights::parse(include_str!("lists/weights.txt")));

impl Weights {
    /// Those that the marked mails taught.
    pub(super) fn learned() -> &'static Self {
        &WEIGHTS
    }

    fn parse(file: &str) -> Self {
        let mut weights = Self { meanings: BTreeMap::new(), kinds: BTreeMap::new() };
        for line in file.lines().filter(|line| !line.starts_with('#')) {
            let mut columns = line.split('\t');
            let Some(name) = columns.next() else { continue };
            let values = columns.filter_map(|column| {
                let (place, weight) = column.split_once(' ')?;
                Some((place.parse().ok()?, weight.parse::<f64>().ok()? / HUNDREDTHS))
            });
            match name.strip_prefix("mail ") {
                Some(name) => weights.kinds.insert(name.to_owned(), values.collect()),
                None => weights.meanings.insert(name.to_owned(), values.collect()),
            };
        }
        weights
    }

    /// How probable each meaning is, in the order of [`MEANINGS`].
    pub(super) fn meaning(&self, features: &[String]) -> Vec<f64> {
        chances(&self.meanings, features, MEANINGS.len())
    }

    /// How probable each kind of mail is, in the order of [`MailKind::ALL`].
    pub(super) fn kind(&self, features: &[String]) -> Vec<f64> {
        chances(&self.kinds, features, MailKind::ALL.len())
    }
}

fn chances(weights: &BTreeMap<String, Vec<(usize, f64)>>, features: &[String], count: usize) -> Vec<f64> {
    let mut sums = vec![0.0; count];
    for (place, weight) in features.iter().filter_map(|feature| weights.get(feature)).flatten() {
        if let Some(sum) = sums.get_mut(*place) {
            *sum += weight;
        }
    }
    let most = sums.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let powers: Vec<f64> = sums.iter().map(|sum| (sum - most).exp()).collect();
    let all: f64 = powers.iter().sum();
    powers.into_iter().map(|power| power / all).collect()
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
