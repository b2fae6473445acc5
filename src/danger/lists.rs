//! The rows of words of `lists/*.txt`, and how they are matched.

use std::sync::LazyLock;

use super::words::Word;

/// Most words that a gap stands for.
const LONGEST_GAP: usize = 5;

/// Most characters of words that are told of a sign.
const LONGEST_WORDS: usize = 160;

enum Slot {
    OneOf(Vec<Spelled>),
    Perhaps(Vec<Spelled>),
    Number,
    PerhapsNumber,
    Gap,
}

enum Spelled {
    Whole(&'static str),
    Beginning(&'static str),
}

/// A row of words.
pub(super) struct Row {
    slots: Vec<Slot>,
    /// It states an event.
    pub(super) states: bool,
    /// It holds a denial itself, such as "without an arrow", which denies nothing of it.
    pub(super) denies: bool,
}

/// All lists.
pub(super) struct Lists {
    pub(super) of_string: Vec<Row>,
    pub(super) of_bow: Vec<Row>,
    pub(super) of_shot: Vec<Row>,
    pub(super) figures: Vec<Row>,
    pub(super) deny: Vec<Row>,
    pub(super) no_denial: Vec<Row>,
    pub(super) turn: Vec<Row>,
    pub(super) supposed: Vec<Row>,
    pub(super) other: Vec<Row>,
}

const EVENTS: &str = include_str!("lists/events.txt");
const HARMLESS: &str = include_str!("lists/harmless.txt");
const STANCE: &str = include_str!("lists/stance.txt");

/// The lists, made ready once.
pub(super) static LISTS: LazyLock<Lists> = LazyLock::new(|| Lists {
    of_string: rows(EVENTS, "string"),
    of_bow: rows(EVENTS, "bow"),
    of_shot: rows(EVENTS, "shot"),
    figures: rows(HARMLESS, "figures"),
    deny: rows(STANCE, "deny"),
    no_denial: rows(STANCE, "no denial"),
    turn: rows(STANCE, "turn"),
    supposed: rows(STANCE, "supposed"),
    other: rows(STANCE, "other"),
});

/// The rows of one section of a file.
fn rows(file: &'static str, section: &str) -> Vec<Row> {
    let head = format!("[{section}]");
    file.lines()
        .map(str::trim)
        .skip_while(|line| *line != head)
        .skip(1)
        .take_while(|line| !line.starts_with('['))
        .filter(|line| !line.is_empty() && !line.starts_with(['#', '=']))
        .map(Row::new)
        .collect()
}

impl Row {
    fn new(line: &'static str) -> Self {
        let (states, line) = line.strip_prefix('!').map_or((false, line), |rest| (true, rest));
        let one_of = |words: &'static str| {
            words
                .split('|')
                .map(|word| word.strip_suffix('*').map_or(Spelled::Whole(word), Spelled::Beginning))
                .collect()
        };
        let slots = line
            .split_whitespace()
            .map(|word| match word {
                "_" => Slot::Gap,
                "#" => Slot::Number,
                "?#" => Slot::PerhapsNumber,
                word => match word.strip_prefix('?') {
                    Some(words) => Slot::Perhaps(one_of(words)),
                    None => Slot::OneOf(one_of(word)),
                },
            })
            .collect();
        let denies = line
            .split_whitespace()
            .flat_map(|word| word.split(['|', '?']))
            .any(|word| matches!(word, "no" | "not" | "nothing" | "without" | "never"));
        Self { slots, states, denies }
    }

    /// Where the row ends if it begins with the word at `at`, and whether a word had to be guessed.
    pub(super) fn end_at(&self, words: &[Word], at: usize) -> Option<(usize, bool)> {
        ends(&self.slots, words, at, false)
    }
}

/// The longest end of any of `rows` that begins at `at`.
pub(super) fn end_of_any(rows: &[Row], words: &[Word], at: usize) -> Option<usize> {
    rows.iter().filter_map(|row| row.end_at(words, at)).map(|(end, _)| end).max()
}

fn ends(slots: &[Slot], words: &[Word], at: usize, guessed: bool) -> Option<(usize, bool)> {
    let Some((first, rest)) = slots.split_first() else { return Some((at, guessed)) };
    match first {
        Slot::OneOf(spelled) => {
            let how = spells_any(words.get(at)?, spelled)?;
            ends(rest, words, at + 1, guessed || how == Likeness::Guessed)
        }
        Slot::Perhaps(spelled) => words
            .get(at)
            .and_then(|word| spells_any(word, spelled))
            .and_then(|how| ends(rest, words, at + 1, guessed || how == Likeness::Guessed))
            .or_else(|| ends(rest, words, at, guessed)),
        Slot::Number => is_number(words.get(at)?).then(|| ends(rest, words, at + 1, guessed))?,
        Slot::PerhapsNumber => words
            .get(at)
            .filter(|word| is_number(word))
            .and_then(|_| ends(rest, words, at + 1, guessed))
            .or_else(|| ends(rest, words, at, guessed)),
        Slot::Gap => (0..=LONGEST_GAP).find_map(|gap| ends(rest, words, at + gap, guessed)),
    }
}

const COUNTS: [&str; 13] = [
    "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve",
    "dozen",
];

fn is_number(word: &Word) -> bool {
    word.text.starts_with(|c: char| c.is_ascii_digit()) || COUNTS.contains(&word.text.as_str())
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Likeness {
    Same,
    Guessed,
}

/// Words shorter than this are compared letter by letter: too many others lie near them.
const SHORTEST_GUESSED: usize = 6;
/// Words from this length on may have two letters wrong.
const SHORTEST_TWICE_WRONG: usize = 10;

fn spells_any(word: &Word, known: &[Spelled]) -> Option<Likeness> {
    let text = word.text.as_str();
    let bare = text.strip_suffix("'s").unwrap_or(text);
    let same = known.iter().any(|known| match known {
        Spelled::Whole(known) => *known == text || *known == bare,
        Spelled::Beginning(start) => text.starts_with(start),
    });
    if same {
        return Some(Likeness::Same);
    }
    let length = bare.chars().count();
    if length < SHORTEST_GUESSED - 1 || REAL_WORDS.contains(&bare) {
        return None;
    }
    let near = known.iter().any(|known| match known {
        Spelled::Whole(known) => {
            let wrong = if known.len() >= SHORTEST_TWICE_WRONG { 2 } else { 1 };
            known.len() >= SHORTEST_GUESSED
                && known.len().abs_diff(bare.len()) <= wrong
                && known.as_bytes().first() == bare.as_bytes().first()
                && strsim::osa_distance(known, bare) <= wrong
        }
        Spelled::Beginning(_) => false,
    });
    near.then_some(Likeness::Guessed)
}

/// Words that lie a letter away from a word of the lists and mean something else.
static REAL_WORDS: LazyLock<Vec<&'static str>> = LazyLock::new(|| {
    SPELLING.lines().map(str::trim).filter(|line| !line.is_empty() && !line.starts_with(['#', '='])).collect()
});
const SPELLING: &str = include_str!("lists/real_words.txt");

/// Words cut to what is told of a sign.
pub(super) fn shortened(words: &str) -> String {
    let one_line = words.split_whitespace().collect::<Vec<_>>().join(" ");
    match one_line.char_indices().nth(LONGEST_WORDS) {
        Some((end, _)) => format!("{}…", one_line.get(..end).unwrap_or_default()),
        None => one_line,
    }
}

#[cfg(test)]
mod tests {
    use super::super::words::sentences;
    use super::*;

    /// Every section that is read, by file.
    const SECTIONS: [(&str, &[&str]); 3] = [
        (EVENTS, &["string", "bow", "shot"]),
        (HARMLESS, &["figures"]),
        (STANCE, &["deny", "no denial", "turn", "supposed", "other"]),
    ];

    #[test]
    fn every_list_is_whole() {
        for (file, sections) in SECTIONS {
            let heads: Vec<&str> = file.lines().filter(|line| line.starts_with('[')).collect();
            let wanted: Vec<String> = sections.iter().map(|section| format!("[{section}]")).collect();
            assert_eq!(heads, wanted);
            for section in sections {
                let head = format!("[{section}]");
                let why = file.lines().skip_while(|line| *line != head).nth(1).unwrap();
                assert!(why.starts_with("= ") && why.len() > 30, "{section} does not say why: {why}");
                assert!(!rows(file, section).is_empty(), "{section} is empty");
            }
        }
        for file in [EVENTS, HARMLESS, STANCE, SPELLING] {
            for line in file.lines().filter(|line| !line.starts_with(['#', '=', '[']) && !line.is_empty()) {
                assert_eq!(line, line.trim(), "{line}");
                assert_eq!(line.to_lowercase(), line, "{line}");
                let words = line
                    .trim_start_matches('!')
                    .split(' ')
                    .flat_map(|slot| slot.trim_start_matches('?').split('|'));
                for word in words {
                    let plain = word.strip_suffix('*').unwrap_or(word);
                    let is_word = !plain.is_empty()
                        && (matches!(word, "_" | "#")
                            || plain.chars().all(|c| c.is_alphanumeric() || "'-".contains(c)));
                    assert!(is_word, "{word:?} in {line:?} is no word");
                }
            }
        }
    }

    fn stands(row: &'static str, text: &str) -> bool {
        let words = &sentences(text)[0].words;
        (0..words.len()).any(|at| Row::new(row).end_at(words, at).is_some())
    }

    #[test]
    fn rows_match_whole_words_forgivingly() {
        assert!(
            stands("strand ?has snapped", "the strand snapped")
                && stands("strand ?has snapped", "strand has snapped")
        );
        assert!(!stands("tick", "sticking out") && stands("delam*", "it is delaminating"));
        assert!(stands("splintered", "it is splinterd") && !stands("stands|strand", "it stood"));
        assert!(stands("# strands left", "three strands left") && stands("a _ b", "a x y z b"));
    }
}
