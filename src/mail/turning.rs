//! Which way an archer turned the string, and whether at all.

use super::clauses::Sentence;
use super::numbers::Item;
use super::phrases::{Pattern, all, has_any, has_word};

/// What is said of a number of turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Turned {
    In,
    Out,
    /// Turned, but it is not said which way.
    SomeWay,
    /// Not done.
    Not,
}

/// Turned in; a number on the way is passed over by a gap.
const IN: &[&str] = &[
    "put|puts|putting _ in|into|more|extra|additional|on",
    "put|putting ?in #",
    "put|putting another",
    "made|did|done _ in|into",
    "tried _ more|extra|additional",
    "after # more|extra|additional turns|twists|rotations",
    "add|added|adding|adds",
    "twist|twisted|twisting _ up|in|tighter",
    "wind|wound|winding _ up|in|tighter",
    "turned|turning _ in|up|tighter",
    "gave _ more|extra|additional",
    "given _ more|extra|additional",
    "giving _ more|extra|additional",
    "did|made _ more|extra|additional",
    "shorten|shortened|shortening",
    "tightened|tighten|tightening",
    "turns|twists|rotations added|put",
    "twisted|twist|twisting in",
    "put|putting _ twists|turns _ into|in",
    "increased|increase",
    "raised|raise ?it by",
];

const OUT: &[&str] = &[
    "took|take|taken|taking|takes _ out|off|away",
    "take|took|taken|taking out",
    "remove|removed|removing",
    "untwist|untwisted|untwisting",
    "un twist|twisted",
    "let|letting _ out",
    "unwind|unwound|unwinding",
    "back|backed|backing _ off|out",
    "undo|undid|undone|undoing",
    "turns|twists|rotations removed|taken",
    "lengthen|lengthened|lengthening",
    "loosen|loosened|loosening",
    "reduced|reduce|decreased",
];

/// Not done, or not yet.
const NOT_DONE: &[&str] = &[
    "should|shall|would|will|must|need|needs|may|might",
    "can ?i|we ?only add|put|take|twist|turn|remove|give|untwist",
    "could ?i|we|it ?still ?probably add|put|take|twist|turn|remove|give|untwist",
    "want|wanted|going|plan|planning|tried|trying|try|ready|happy to",
    "recommend*|suggest*|advise*",
    "told|asked|tell me to",
    "said|says ?i ?should to|add",
    "not|never|without",
    "how many",
    "no more than",
    "per|each|every",
    "afraid|scared|worried",
    "wondering|wonder",
    "before|instead i|of add|adding",
];

/// Done in spite of such a word.
const DONE: &[&str] = &[
    "had to",
    "could|can only ?add|put|get|take",
    "able|managed to",
    "already|have|has ?now ?already added|put|taken|removed|twisted|turned|untwisted|let",
];

/// Done by somebody else.
const BY_THE_WORKSHOP: &[&str] = &[
    "you put|added|made|built|gave|twisted|wrote|sent",
    "came|comes|arrived|delivered|shipped|supplied with",
    "in total|all",
];

/// The patterns of this file, made ready once.
pub(super) struct Turning {
    ins: Vec<Pattern>,
    outs: Vec<Pattern>,
    not_done: Vec<Pattern>,
    done: Vec<Pattern>,
    by_the_workshop: Vec<Pattern>,
}

impl Turning {
    pub(super) fn new() -> Self {
        Self {
            ins: all(IN),
            outs: all(OUT),
            not_done: all(NOT_DONE),
            done: all(DONE),
            by_the_workshop: all(BY_THE_WORKSHOP),
        }
    }

    /// What is said of the turns whose number stands at `at`.
    pub(super) fn turned(
        &self,
        sentence: &Sentence<'_>,
        clause: usize,
        at: usize,
        sign: Option<char>,
    ) -> Turned {
        let range = sentence.clauses.get(clause).cloned().unwrap_or_default();
        let items = sentence.clause(clause);
        let place = at.saturating_sub(range.start);
        let before = items.get(..place).unwrap_or_default();
        let is_asked = sentence.is_question
            && items.iter().find_map(Item::word).is_some_and(|word| {
                matches!(
                    word,
                    "should"
                        | "would"
                        | "could"
                        | "can"
                        | "is"
                        | "are"
                        | "do"
                        | "does"
                        | "will"
                        | "shall"
                        | "what"
                        | "how"
                )
            });
        let first = items.iter().find_map(Item::word).unwrap_or_default();
        let is_supposed = first == "if" || first == "unless" || has_word(before, &["if"]);
        let is_not_done = has_any(before, &self.not_done) && !has_any(items, &self.done);
        if is_asked || is_supposed || is_not_done {
            return Turned::Not;
        }
        match sign {
            Some('+') => return Turned::In,
            Some('-') => return Turned::Out,
            _ => {}
        }
        if has_any(before, &self.by_the_workshop) && !has_any(before, &self.done) {
            return Turned::SomeWay;
        }
        let way = self.way(items, place).or_else(|| Self::way_behind(items, place));
        if way.is_some() || before.iter().any(|item| item.number().is_some()) {
            return way.unwrap_or(Turned::SomeWay);
        }
        // "I twisted it up, 10 turns": the verb stands in the clause before.
        clause
            .checked_sub(1)
            .map(|earlier| sentence.clause(earlier))
            .filter(|earlier| !earlier.iter().any(|item| item.number().is_some()))
            .filter(|earlier| {
                !has_any(earlier, &self.not_done) && !has_word(items, &["is", "has", "had", "are"])
            })
            .and_then(|earlier| self.way(earlier, 0))
            .unwrap_or(Turned::SomeWay)
    }

    /// The way said by the word behind the noun: "5 turns in".
    fn way_behind(items: &[Item], place: usize) -> Option<Turned> {
        let is_state = place
            .checked_sub(1)
            .and_then(|at| items.get(at))
            .is_some_and(|item| item.is_any(&["has", "have", "had", "with", "is", "are", "contains", "of"]));
        let noun = (place + 1..place + 4).find(|&at| {
            items.get(at).is_some_and(|item| {
                item.is_any(&["turn", "turns", "twist", "twists", "rotation", "rotations"])
            })
        })?;
        // "24 turns in it" is what the string has.
        let has_object = items.get(noun + 2).is_some_and(|item| {
            item.is_any(&["it", "the", "this", "my", "total", "all", "a", "there", "that", "your"])
        });
        let word = items.get(noun + 1).filter(|_| !is_state && !has_object)?;
        if word.is_any(&["in", "tighter", "extra"]) {
            Some(Turned::In)
        } else if word.is_any(&["out", "off", "less", "looser", "fewer"]) {
            Some(Turned::Out)
        } else {
            None
        }
    }

    /// The way of the verb nearest to a place.
    fn way(&self, items: &[Item], place: usize) -> Option<Turned> {
        let nearest = |patterns: &[Pattern]| {
            patterns
                .iter()
                .flat_map(|pattern| (0..items.len()).filter_map(|at| pattern.end_at(items, at).map(|_| at)))
                .map(|at| at.abs_diff(place))
                .min()
        };
        match (nearest(&self.ins), nearest(&self.outs)) {
            (Some(_), None) => Some(Turned::In),
            (None, Some(_)) => Some(Turned::Out),
            (Some(into), Some(out)) if into < out => Some(Turned::In),
            (Some(into), Some(out)) if out < into => Some(Turned::Out),
            (Some(_), Some(_)) => Some(Turned::SomeWay),
            (None, None) => None,
        }
    }
}
