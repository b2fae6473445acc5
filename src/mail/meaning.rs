//! What a number in a clause is the measure of, and whether it holds.

use std::ops::Range;

use super::clauses::Sentence;
use super::cues::Cues;
use super::numbers::{Item, What};
use super::phrases::{Pattern, has_any, has_word};
use super::topics::{Reach, Topic};
use super::word_lists::{BESIDE, GOING_ON, LABEL_LINKS, LINKS, PLAIN, VERBS, WISH_LINKS, YES_OR_NO};

/// Whether what is said of a number holds today.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum State {
    /// It is said to be so now.
    Now,
    /// It is so, as far as one can tell.
    Plain,
    /// It was so, which is how people tell of a measurement too.
    Was,
    /// It was so once and is not now.
    Before,
    /// It should be so.
    Wanted,
    /// It is so with another bow or string.
    Elsewhere,
    /// It is asked or denied.
    Open,
    /// It is only supposed.
    Supposed,
}

/// A topic's cue found in a sentence.
struct Hit {
    start: usize,
    end: usize,
    topic: Topic,
    reach: Reach,
}

/// What earlier clauses leave behind for later ones.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Context {
    topic: Option<Topic>,
    /// The string or the bow, where one of them was spoken of and the other was not.
    subject: Option<Topic>,
    /// Sentences since.
    age: u32,
    state: Option<State>,
}

/// What a number means.
#[derive(Debug, Clone, Copy)]
pub(super) struct Meaning {
    pub(super) topic: Option<Topic>,
    pub(super) state: State,
    /// The item of its cue, where that stands in the same clause before it.
    pub(super) cue: Option<usize>,
}

/// Reads the clauses of a text one after another.
pub(super) struct Reader {
    pub(super) cues: Cues,
    context: Context,
    hits: Vec<Hit>,
}

impl Reader {
    pub(super) fn new() -> Self {
        Self { cues: Cues::new(), context: Context::default(), hits: Vec::new() }
    }

    /// Begins a sentence.
    pub(super) fn begin(&mut self, sentence: &Sentence<'_>) {
        self.context.age += 1;
        if self.context.age > 2 {
            self.context.topic = None;
            self.context.subject = None;
        }
        let goes_on = sentence
            .items
            .iter()
            .find_map(Item::word)
            .is_some_and(|word| matches!(word, "it" | "that" | "there" | "and" | "which"));
        if !(goes_on && self.context.state == Some(State::Elsewhere)) {
            self.context.state = None;
        }
        self.hits = self.find_hits(sentence.items);
    }

    fn find_hits(&self, items: &[Item]) -> Vec<Hit> {
        let mut hits = Vec::new();
        let mut at = 0;
        while at < items.len() {
            let longest = self
                .cues
                .topics
                .iter()
                .filter_map(|cue| cue.pattern.end_at(items, at).map(|end| (end, cue)))
                // Of two cues of one length the first of the list holds.
                .reduce(|best, next| if next.0 > best.0 { next } else { best });
            match longest {
                Some((end, cue)) if end > at => {
                    hits.push(Hit { start: at, end, topic: cue.topic, reach: cue.reach });
                    at = end;
                }
                _ => at += 1,
            }
        }
        hits
    }

    /// What the number at `at`, in a clause of the sentence, means.
    pub(super) fn meaning(&self, sentence: &Sentence<'_>, clause: usize, at: usize) -> Meaning {
        let range = sentence.clauses.get(clause).cloned().unwrap_or_default();
        let own = self.own_topic(sentence.items, &range, at);
        let (topic, cue) = match own {
            Some((topic, cue)) => (Some(topic), cue),
            None => (self.inherited_topic(sentence.items, &range, at), None),
        };
        Meaning { topic, state: self.state(sentence, clause, at), cue }
    }

    fn own_topic(&self, items: &[Item], range: &Range<usize>, at: usize) -> Option<(Topic, Option<usize>)> {
        let in_clause = || self.hits.iter().filter(|hit| hit.start >= range.start && hit.end <= range.end);
        // "7 1/2 at the arrow shelf" is a brace height still, to the wrong place.
        let is_place = |hit: &Hit| {
            let words = items.get(hit.start..hit.end).unwrap_or_default();
            hit.topic == Topic::Other && has_word(words, &["arrow", "shelf", "rest", "plunger"])
        };
        let right = in_clause().find(|hit| hit.start > at && !is_place(hit)).filter(|hit| {
            let between = items.get(at + 1..hit.start).unwrap_or_default();
            let behind = items.get(hit.end..range.end).unwrap_or_default();
            let has_number = |items: &[Item]| items.iter().any(|item| item.number().is_some());
            let is_near = match hit.reach {
                Reach::Far => between.len() <= 6,
                Reach::Near => between.is_empty() && matches!(hit.topic, Topic::Other | Topic::DrawWeight),
            };
            // A label in front of another number belongs to that.
            is_near && !has_number(between) && (!has_number(behind) || between.is_empty())
        });
        let left = in_clause().filter(|hit| hit.end <= at).collect::<Vec<_>>().into_iter().rev().find(
            |hit| match hit.reach {
                Reach::Far => true,
                Reach::Near => {
                    let is_count = matches!(hit.topic, Topic::Turns | Topic::Shots | Topic::DrawWeight);
                    is_linked(
                        items.get(hit.end..at).unwrap_or_default(),
                        if is_count { LABEL_LINKS } else { LINKS },
                    ) && !is_in_phrase(items, range.start, hit.start)
                }
            },
        );
        // "Tip to tip my bow is 64 inches": how it was measured decides.
        if let Some(way) = in_clause().find(|hit| matches!(hit.topic, Topic::NockToNock | Topic::TipToTip))
            && left.is_some_and(|left| left.topic == Topic::BowLength)
        {
            return Some((way.topic, left.map(|left| left.start)));
        }
        match (left, right) {
            (Some(left), Some(right))
                if left.reach == Reach::Near && right.reach == Reach::Far && right.start == at + 1 =>
            {
                Some((right.topic, None))
            }
            (Some(left), _) => Some((left.topic, Some(left.start))),
            (None, Some(right)) => Some((right.topic, None)),
            (None, None) => None,
        }
    }

    /// The topic of an earlier clause, if nothing in this one changes it.
    fn inherited_topic(&self, items: &[Item], range: &Range<usize>, at: usize) -> Option<Topic> {
        let before = items.get(range.start..at).unwrap_or_default();
        let is_plain = before.iter().all(|item| match &item.what {
            What::Word(word) => PLAIN.contains(&word.as_str()),
            What::Noise => false,
            _ => true,
        });
        if !is_plain {
            return None;
        }
        // From an earlier sentence only where this one goes on about the same.
        let is_alone = items.iter().all(|item| item.word().is_none());
        if self.context.age > 0 && !is_alone && !has_word(items, GOING_ON) {
            return None;
        }
        if let Some(topic) = self.context.topic {
            return Some(topic);
        }
        let behind = items.get(at + 1..range.end).unwrap_or_default();
        let says_length = has_word(before, &["measures", "measured"])
            || behind.first().is_some_and(|next| next.is_any(&["long"]));
        self.context.subject.filter(|_| says_length)
    }

    fn state(&self, sentence: &Sentence<'_>, clause: usize, at: usize) -> State {
        let range = sentence.clauses.get(clause).cloned().unwrap_or_default();
        let items = sentence.items;
        let (left, right) = windows(items, &range, at);
        let whole = items.get(range.clone()).unwrap_or_default();
        if self.is_elsewhere(left, right) {
            return State::Elsewhere;
        }
        if self.is_supposed(sentence, clause, left) {
            return State::Supposed;
        }
        if self.is_open(sentence, clause, at) {
            return State::Open;
        }
        if self.is_wanted(left, right) {
            return State::Wanted;
        }
        if has_any(left, &self.cues.now) || has_any(right.get(..2).unwrap_or(right), &self.cues.now) {
            return State::Now;
        }
        if has_any(left, &self.cues.before_now) || has_any(right, &self.cues.before_now) {
            return State::Before;
        }
        if let Some(state @ (State::Wanted | State::Elsewhere)) = self.context.state
            && (!has_word(whole, VERBS)
                || (state == State::Elsewhere && !has_any(whole, &self.cues.this_one)))
        {
            return state;
        }
        if has_word(left, &["was", "were", "had", "would"]) { State::Was } else { State::Plain }
    }

    fn is_elsewhere(&self, left: &[Item], right: &[Item]) -> bool {
        let last =
            |patterns: &[Pattern]| patterns.iter().filter_map(|pattern| last_place(pattern, left)).max();
        match (last(&self.cues.others), last(&self.cues.this_one)) {
            (Some(other), Some(this)) => other >= this,
            (Some(_), None) => true,
            (None, _) => has_any(right, &self.cues.others),
        }
    }

    fn is_open(&self, sentence: &Sentence<'_>, clause: usize, at: usize) -> bool {
        let items = sentence.clause(clause);
        let first = items.iter().find_map(Item::word).unwrap_or_default();
        let has_verb =
            has_word(items, &["is", "was", "are", "get", "got", "have", "has", "measured", "measures"]);
        let is_last = clause + 1 == sentence.clauses.len();
        let is_asked = sentence.is_question
            && (YES_OR_NO.contains(&first)
                || has_any(items, &self.cues.asked)
                || (is_last && !has_verb && !matches!(first, "what" | "why" | "how" | "which")));
        let with_number =
            sentence.items.get(sentence.clauses.get(clause).map_or(0, |range| range.start)..=at);
        is_asked || has_any(with_number.unwrap_or_default(), &self.cues.denied)
    }

    /// Whether a clause supposes something, or says what would follow from that.
    fn is_supposed(&self, sentence: &Sentence<'_>, clause: usize, left: &[Item]) -> bool {
        let items = sentence.clause(clause);
        let was_supposed =
            clause.checked_sub(1).map(|before| sentence.clause(before)).is_some_and(|before| {
                let starts =
                    before.iter().find_map(Item::word).is_some_and(|word| word == "if" || word == "unless");
                let acts = before.iter().any(|item| item.number().is_some())
                    || has_word(
                        before,
                        &["add*", "twist*", "turn*", "put", "take", "string", "need*", "want*"],
                    );
                starts && acts && !has_any(items, &self.cues.now)
            });
        was_supposed || has_any(left, &self.cues.hypothetical)
    }

    /// What follows is of the brace height, though nobody said so.
    pub(super) fn speak_of_brace(&mut self) {
        self.context.topic = Some(Topic::Brace);
        self.context.age = 0;
    }

    fn is_wanted(&self, left: &[Item], right: &[Item]) -> bool {
        // What a ruler says is measured and not wanted.
        let is_instrument = has_word(left, &["ruler", "tape", "square", "gauge", "scale", "measured"]);
        let is_known = has_any(left, &self.cues.known);
        if has_any(left, &self.cues.wanted) && !is_instrument && !is_known {
            return true;
        }
        let is_wish = self.cues.wishes.iter().any(|pattern| {
            last_match(pattern, left)
                .is_some_and(|(_, end)| is_linked(left.get(end..).unwrap_or_default(), WISH_LINKS))
        });
        if is_wish {
            return true;
        }
        let place =
            self.cues.wanted.iter().filter_map(|pattern| pattern.find(right, 0)).map(|(at, _)| at).min();
        place.is_some_and(|at| !has_word(right.get(..at).unwrap_or_default(), BESIDE))
    }

    /// Ends a clause: what it spoke of is kept for the next.
    pub(super) fn end_clause(&mut self, sentence: &Sentence<'_>, clause: usize) {
        let range = sentence.clauses.get(clause).cloned().unwrap_or_default();
        let items = sentence.clause(clause);
        let in_clause = |hit: &&Hit| hit.start >= range.start && hit.end <= range.end;
        let spoken_of = |topic: Topic| {
            self.hits.iter().filter(in_clause).any(|hit| hit.topic == topic && hit.reach == Reach::Near)
        };
        let far = self.hits.iter().filter(in_clause).rfind(|hit| hit.reach == Reach::Far);
        let subject = match (spoken_of(Topic::StringLength), spoken_of(Topic::BowLength)) {
            (true, false) => Some(Topic::StringLength),
            (false, true) => Some(Topic::BowLength),
            _ => None,
        };
        if let Some(far) = far {
            self.context.topic = Some(far.topic);
            self.context.age = 0;
        }
        if spoken_of(Topic::StringLength) || spoken_of(Topic::BowLength) {
            self.context.subject = subject;
            self.context.age = 0;
        }
        if has_any(items, &self.cues.this_one) {
            self.context.state = None;
        }
        if has_any(items, &self.cues.others) && !has_any(items, &self.cues.this_one) {
            self.context.state = Some(State::Elsewhere);
        } else if has_any(items, &self.cues.wanted)
            || items.last().is_some_and(|item| item.is_any(&["range", "window", "target", "goal"]))
        {
            self.context.state = Some(State::Wanted);
        } else if has_word(items, VERBS) && self.context.state == Some(State::Wanted) {
            self.context.state = None;
        }
    }

    /// Whether a clause tells of another bow or string.
    pub(super) fn is_clause_elsewhere(&self, items: &[Item]) -> bool {
        has_any(items, &self.cues.others) && !has_any(items, &self.cues.this_one)
    }

    /// Whether a clause supposes something.
    pub(super) fn is_clause_supposed(&self, items: &[Item]) -> bool {
        has_any(items, &self.cues.hypothetical)
    }
}

/// The words of the clause before and behind a number that can speak of it.
///
/// Words behind a number speak of the next number, if there is one; only those right behind
/// it may still be its own.
fn windows<'a>(items: &'a [Item], range: &Range<usize>, at: usize) -> (&'a [Item], &'a [Item]) {
    let before = items.get(range.start..at).unwrap_or_default();
    let start = before
        .iter()
        .rposition(|item| item.number().is_some())
        .map_or(range.start, |last| range.start + last + 1);
    let behind = items.get(at + 1..range.end).unwrap_or_default();
    let right = match behind.iter().position(|item| item.number().is_some()) {
        Some(next) => behind.get(..next.min(2)).unwrap_or_default(),
        None => behind,
    };
    // With nothing behind the next number, all words between speak of that one.
    (items.get(start..at).unwrap_or_default(), right)
}

fn last_place(pattern: &Pattern, items: &[Item]) -> Option<usize> {
    last_match(pattern, items).map(|(at, _)| at)
}

fn last_match(pattern: &Pattern, items: &[Item]) -> Option<(usize, usize)> {
    (0..items.len()).rev().find_map(|at| pattern.end_at(items, at).map(|end| (at, end)))
}

/// Whether only small words and marks stand between a cue and its number.
fn is_linked(between: &[Item], links: &[&str]) -> bool {
    between.iter().all(|item| match &item.what {
        What::Word(word) => links.contains(&word.as_str()),
        What::Mark(mark) => matches!(mark, ':' | '=' | '|' | '~' | '≈' | '"' | '*'),
        _ => false,
    })
}

/// Whether the noun at `at` only stands in a phrase: "with the string", "for my bow".
fn is_in_phrase(items: &[Item], start: usize, at: usize) -> bool {
    let first = at.saturating_sub(3).max(start);
    let before = items.get(first..at).unwrap_or_default();
    before.iter().any(|item| item.is_any(&["with", "using", "on", "by", "after"]))
}

#[cfg(test)]
mod tests {
    use super::super::clauses::sentences;
    use super::super::numbers::items;
    use super::super::tokens::tokenize;
    use super::*;

    fn meanings(text: &str) -> Vec<(Option<Topic>, State)> {
        let items = items(&tokenize(text));
        let mut reader = Reader::new();
        let mut found = Vec::new();
        for sentence in sentences(&items) {
            reader.begin(&sentence);
            for (index, clause) in sentence.clauses.iter().enumerate() {
                for at in clause.clone().filter(|&at| sentence.items[at].number().is_some()) {
                    let meaning = reader.meaning(&sentence, index, at);
                    found.push((meaning.topic, meaning.state));
                }
                reader.end_clause(&sentence, index);
            }
        }
        found
    }

    #[test]
    fn the_words_around_a_number_say_what_it_is() {
        let brace = |state| (Some(Topic::Brace), state);
        assert_eq!(meanings("the brace height is 7 1/2"), [brace(State::Plain)]);
        assert_eq!(meanings("brace was 7 1/2, now 6 7/8"), [brace(State::Was), brace(State::Now)]);
        assert_eq!(meanings("brace is 6 7/8 should be 7 1/2"), [brace(State::Plain), brace(State::Wanted)]);
        assert_eq!(
            meanings("brace 6 7/8, my other bow has 8"),
            [brace(State::Plain), (None, State::Elsewhere)]
        );
        assert_eq!(meanings("I get 6 7/8 brace height"), [brace(State::Plain)]);
        assert_eq!(meanings("The string measures 62 1/2")[0].0, Some(Topic::StringLength));
        assert_eq!(meanings("My bow is a 66")[0].0, Some(Topic::BowLength));
        assert_eq!(meanings("the serving is 7 inches long")[0].0, Some(Topic::Other));
        assert_eq!(meanings("63")[0].0, None);
    }
}
