//! Turns, shots, readings, draw weights and years in a text.

use super::claims::{Doubt, Subject};
use super::clauses::Sentence;
use super::gather::{Gatherer, asked_for};
use super::meaning::{Meaning, State};
use super::numbers::{Item, Number, Shape, Value};
use super::phrases::has_word;
use super::topics::Topic;
use super::turning::Turned;
use super::units::Measured;

impl Gatherer {
    pub(super) fn turns(&mut self, sentence: &Sentence<'_>, clause: usize, at: usize, number: &Number) {
        let turned = self.turning.turned(sentence, clause, at, number.sign);
        if turned == Turned::Not {
            return;
        }
        let mut number = number.clone();
        let doubt = match self.doubt(sentence, clause, at) {
            Some(doubt) => Some(doubt),
            None if number.high.is_some() => Some(Doubt::Rough),
            None if turned == Turned::SomeWay => Some(Doubt::NoDirection),
            None => None,
        };
        number.sign = Some(if turned == Turned::Out { '-' } else { '+' });
        let meaning = Meaning { topic: Some(Topic::Turns), state: State::Plain, cue: None };
        self.push(sentence, at, Subject::Turns, meaning, &number, doubt);
        // The words that say the way belong to the number.
        if let Some(claim) = self.claims.last_mut()
            && let Some(noun) = sentence.items.get(at + 1)
            && noun.word().is_some()
        {
            claim.end = noun.end;
        }
    }

    /// "Another 3", "then 2 more", after turns were spoken of.
    pub(super) fn is_more_turns(&self, sentence: &Sentence<'_>, at: usize, number: &Number) -> bool {
        let before = at.checked_sub(1).and_then(|at| sentence.items.get(at));
        let behind = sentence.items.get(at + 1);
        number.unit.is_none()
            && number.high.is_none()
            && number.value.shape == Shape::Whole
            && self.claims.iter().any(|claim| claim.subject == Subject::Turns)
            && (before.is_some_and(|item| item.is_any(&["another"]))
                || behind.is_some_and(|item| item.is_any(&["more", "again"])))
    }

    /// "Put in 10", "took another 4 out": the noun is left out.
    pub(super) fn is_of_turns(
        &self,
        sentence: &Sentence<'_>,
        clause: usize,
        at: usize,
        number: &Number,
    ) -> bool {
        let before = at.checked_sub(1).and_then(|at| sentence.items.get(at));
        let behind = sentence.items.get(at + 1);
        let is_beside = before.is_some_and(|item| item.is_any(&["in", "out", "another", "added", "removed"]))
            || behind.is_some_and(|item| item.is_any(&["in", "out", "more"]));
        number.unit.is_none()
            && number.high.is_none()
            && number.value.shape == Shape::Whole
            && is_beside
            && has_word(
                sentence.clause(clause),
                &["put", "took", "added", "removed", "twisted", "untwisted", "taken"],
            )
            && self.turning.turned(sentence, clause, at, number.sign) != Turned::SomeWay
    }

    pub(super) fn shots(
        &mut self,
        sentence: &Sentence<'_>,
        clause: usize,
        at: usize,
        number: &Number,
        meaning: Meaning,
    ) {
        let before = at.checked_sub(1).and_then(|at| sentence.items.get(at));
        // "Is it normal after 200 shots?" says how many there were.
        let is_told = before.is_some_and(|item| item.is_any(&["after", "since"]));
        if matches!(meaning.state, State::Elsewhere | State::Supposed | State::Wanted)
            || (meaning.state == State::Open && !is_told)
        {
            return;
        }
        let items = sentence.clause(clause);
        let before = |back: usize| at.checked_sub(back).and_then(|at| sentence.items.get(at));
        let is_rate = has_word(
            items,
            &["per", "each", "every", "daily", "weekly", "day", "week", "session", "evening"],
        ) || before(1)
            .is_some_and(|item| item.is_any(&["another", "of", "first", "last", "times", "x"]));
        let doubt = self.doubt(sentence, clause, at).or(is_rate.then_some(Doubt::Rate));
        let doubt = doubt.or(number.high.is_some().then_some(Doubt::Rough));
        let meaning = Meaning { cue: None, state: State::Plain, ..meaning };
        self.push(sentence, at, Subject::Shots, meaning, number, doubt);
    }

    pub(super) fn draw_weight(
        &mut self,
        sentence: &Sentence<'_>,
        clause: usize,
        at: usize,
        number: &Number,
        meaning: Meaning,
    ) -> Option<usize> {
        let behind = |on: usize| sentence.items.get(at + on);
        let is_at = behind(1).is_some_and(|item| item.is_mark('@') || item.is_any(&["at"]));
        let draw = behind(2).and_then(Item::number).filter(|draw| {
            let is_far = behind(3)
                .is_some_and(|item| item.is_any(&["yards", "yard", "yds", "m", "metres", "meters", "paces"]));
            is_at
                && !is_far
                && draw.high.is_none()
                && draw.unit.is_none_or(|unit| unit.is_length() && unit != Measured::Metre)
        });
        let doubt = self.doubt(sentence, clause, at).or(number.high.is_some().then_some(Doubt::Rough));
        let doubt = doubt.filter(|_| meaning.state != State::Elsewhere);
        // A weight that is marked on the bow holds, whoever marked it.
        let state = match meaning.state {
            State::Wanted | State::Was | State::Now => State::Plain,
            state => state,
        };
        let state = asked_for(sentence, clause, at, state);
        self.push(sentence, at, Subject::DrawWeight, Meaning { state, cue: None, ..meaning }, number, doubt);
        if let (Some(claim), Some(draw), Some(item)) = (self.claims.last_mut(), draw, behind(2)) {
            claim.at_draw = Some(draw.clone());
            claim.end = item.end;
            return Some(at + 2);
        }
        None
    }

    pub(super) fn readings(
        &mut self,
        sentence: &Sentence<'_>,
        at: usize,
        clause: &[Item],
        meaning: Meaning,
        number: &Number,
    ) {
        let is_measuring = has_word(
            clause,
            &[
                "measured",
                "measure",
                "measuring",
                "checked",
                "check",
                "read",
                "readings",
                "reading",
                "measurements",
                "remeasured",
                "mean",
                "average",
                "took",
                "taken",
            ],
        );
        if is_measuring
            && number.value.shape == Shape::Whole
            && number.high.is_none()
            && meaning.state != State::Open
        {
            let meaning = Meaning { cue: None, state: State::Plain, ..meaning };
            self.push(sentence, at, Subject::Readings, meaning, number, None);
        }
    }

    /// "Measured twice".
    pub(super) fn read_twice(&mut self, sentence: &Sentence<'_>, clause: usize) {
        let range = sentence.clauses.get(clause).cloned().unwrap_or_default();
        for at in range {
            let count = match sentence.items.get(at).and_then(Item::word) {
                Some("twice") => 2.0,
                Some("thrice") => 3.0,
                _ => continue,
            };
            let value = Value { written: format!("{count}"), size: count, shape: Shape::Whole };
            let number = Number { value, high: None, unit: None, sign: None, is_spread: false };
            let meaning = self.reader.meaning(sentence, clause, at);
            self.readings(sentence, at, sentence.clause(clause), meaning, &number);
        }
    }

    pub(super) fn year(
        &mut self,
        sentence: &Sentence<'_>,
        clause: usize,
        at: usize,
        number: &Number,
        meaning: Meaning,
    ) {
        let items = sentence.clause(clause);
        let range = sentence.clauses.get(clause).cloned().unwrap_or_default();
        let before = sentence.items.get(range.start..at).unwrap_or_default();
        let is_bow = |items: &[Item]| {
            has_word(
                items,
                &[
                    "bow", "bows", "recurve", "longbow", "selfbow", "flatbow", "takedown", "limbs", "hunter",
                    "riser",
                ],
            )
        };
        let is_made = has_word(
            before,
            &[
                "made",
                "built",
                "manufactured",
                "produced",
                "dates",
                "dated",
                "dating",
                "vintage",
                "year",
                "crafted",
            ],
        );
        let is_bought = has_word(
            before,
            &[
                "bought",
                "got",
                "purchased",
                "ordered",
                "since",
                "owned",
                "had",
                "shooting",
                "string",
                "bowstring",
            ],
        );
        let is_followed = sentence.items.get(at + 1).is_some_and(|item| is_bow(std::slice::from_ref(item)))
            || sentence.items.get(at + 2).is_some_and(|item| is_bow(std::slice::from_ref(item)));
        let is_from =
            before.last().is_some_and(|item| item.is_any(&["from", "of", "in", "circa", "about", "around"]))
                || before.last().is_some_and(|item| item.is_mark('(') || item.is_mark(':'));
        let is_near_bow = is_bow(items) || is_bow(sentence.items.get(..at).unwrap_or_default());
        let is_year = is_followed
            || (is_made && !has_word(before, &["string", "bowstring", "ordered"]))
            || (is_from && is_near_bow && !is_bought);
        if is_year
            && (is_followed || is_made || !is_bought)
            && !matches!(meaning.state, State::Elsewhere | State::Open | State::Supposed)
        {
            let doubt = self.doubt(sentence, clause, at);
            let meaning = Meaning { cue: None, state: State::Plain, ..meaning };
            self.push(sentence, at, Subject::Year, meaning, number, doubt);
        }
    }
}
