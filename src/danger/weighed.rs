//! Sentences weighed by the words they are made of. Method V27.
//!
//! People tell of danger in more words than any list holds. So each piece of a sentence - runs of
//! three to six letters of a word, two words side by side or with one between - has a weight that
//! was learned from sentences of archers which somebody had marked as danger or none
//! (`tests/data/danger/corpus.jsonl`; `tests/support/learning.rs` learns them). The weights of the
//! pieces add up to the log odds that the sentence speaks of danger.

use std::collections::{BTreeSet, HashMap};
use std::sync::LazyLock;

use super::words::{Word, sentences};
use crate::trade::signs::SignOf;

/// Log odds from which on a sentence is a sign. Below nought, since a sign that is called off costs a
/// press and a danger that is missed may cost an eye; how much is asked too often and what is missed
/// all the same stands in docs/mail-reading.md.
pub(super) const ASKED_FROM: f64 = -0.5;

/// Letters of the shortest and the longest run.
const RUNS: std::ops::RangeInclusive<usize> = 3..=6;

/// Letters of a word by which it is told beside another.
const BESIDE: usize = 6;

/// Weights are kept as whole hundredths.
const HUNDREDTHS: f64 = 100.0;

/// What a piece says, in hundredths of log odds: of danger at all, and of which kind it is.
struct Weight {
    danger: i32,
    kinds: [i32; 3],
}

const KINDS: [SignOf; 3] = [SignOf::String, SignOf::Bow, SignOf::Shot];

struct Weights {
    pieces: HashMap<&'static str, Weight>,
    none: Weight,
}

const FILE: &str = include_str!("lists/weights.txt");

static WEIGHTS: LazyLock<Weights> = LazyLock::new(|| {
    let mut weights = Weights { pieces: HashMap::new(), none: Weight { danger: 0, kinds: [0; 3] } };
    for (piece, weight) in FILE.lines().filter_map(line) {
        if piece == WHOLE {
            weights.none = weight;
        } else {
            weights.pieces.insert(piece, weight);
        }
    }
    weights
});

/// The name of what every sentence has.
const WHOLE: &str = "*";

/// A line of the file: the piece between bars, then four whole numbers.
fn line(line: &'static str) -> Option<(&'static str, Weight)> {
    let (piece, numbers) = line.strip_prefix('|')?.split_once('|')?;
    let mut numbers = numbers.split_whitespace().map(str::parse);
    let mut next = || numbers.next()?.ok();
    Some((piece, Weight { danger: next()?, kinds: [next()?, next()?, next()?] }))
}

/// Calls `each` with every piece of a sentence.
fn for_each_piece(words: &[Word], mut each: impl FnMut(&str)) {
    let told: Vec<&str> = words
        .iter()
        .map(
            |word| if word.text.starts_with(|c: char| c.is_ascii_digit()) { "0" } else { word.text.as_str() },
        )
        .collect();
    for word in &told {
        let padded = format!(" {word} ");
        let starts: Vec<usize> = padded.char_indices().map(|(at, _)| at).chain([padded.len()]).collect();
        for length in RUNS {
            if starts.len() - 1 <= length {
                each(&padded);
                break;
            }
            for run in starts.windows(length + 1) {
                if let [start, .., end] = run {
                    each(padded.get(*start..*end).unwrap_or_default());
                }
            }
        }
    }
    let short = |word: &str| word.chars().take(BESIDE).collect::<String>();
    for (apart, mark) in [(1, "_"), (2, "__")] {
        for (first, second) in told.iter().zip(told.iter().skip(apart)) {
            each(&format!("{}{mark}{}", short(first), short(second)));
        }
    }
}

/// The pieces of a text, each once, as weights are learned for them.
#[must_use]
pub fn pieces(text: &str) -> BTreeSet<String> {
    let mut pieces = BTreeSet::new();
    for sentence in sentences(text) {
        for_each_piece(&sentence.words, |piece| {
            pieces.insert(piece.to_owned());
        });
    }
    pieces
}

/// Log odds that a sentence speaks of danger, and of which kind that would be.
pub(super) fn odds(words: &[Word]) -> (f64, SignOf) {
    let weights = &*WEIGHTS;
    let mut seen: BTreeSet<&'static str> = BTreeSet::new();
    let mut sum = weights.none.danger;
    let mut kinds = weights.none.kinds;
    for_each_piece(words, |piece| {
        if let Some((name, weight)) = weights.pieces.get_key_value(piece)
            && seen.insert(name)
        {
            sum += weight.danger;
            for (kind, more) in kinds.iter_mut().zip(weight.kinds) {
                *kind += more;
            }
        }
    });
    let most = KINDS.into_iter().zip(kinds).max_by_key(|(_, weight)| *weight);
    (f64::from(sum) / HUNDREDTHS, most.map_or(SignOf::String, |(kind, _)| kind))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_file_of_weights_is_whole() {
        let mut count = 0;
        for text in FILE.lines().filter(|line| !line.starts_with('#')) {
            let (piece, weight) = line(text).unwrap_or_else(|| panic!("{text:?} is no weight"));
            assert!(!piece.is_empty() && weight.danger.abs() < 1000, "{text}");
            count += 1;
        }
        assert_eq!(WEIGHTS.pieces.len() + 1, count, "a piece stands twice");
        assert!(count > 5000 && FILE.starts_with("# Why:"));
    }

    #[test]
    fn pieces_are_runs_of_letters_and_words_beside_each_other() {
        let pieces = pieces("A 7 1/2 strand");
        for piece in [" a ", " 0 ", " st", "stra", " stran", "rand ", "a_0", "0_strand", "0__strand"] {
            assert!(pieces.contains(piece), "{piece:?} of {pieces:?}");
        }
    }
}
