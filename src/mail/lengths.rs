//! Brace heights and lengths in a text.

use super::claims::{Doubt, Subject};
use super::clauses::Sentence;
use super::doubt::is_small;
use super::gather::{Gatherer, asked_for};
use super::meaning::{Meaning, State};
use super::numbers::{Item, Number, Shape};
use super::phrases::has_word;
use super::topics::Topic;
use super::units::Measured;
use super::word_lists::MOVES;
use crate::quantity::Measure;

/// Whole numbers up to this can be a draw weight as well as the length of a bow.
const HEAVIEST_USUAL_BOW: f64 = 60.0;

impl Gatherer {
    pub(super) fn bow_length(
        &mut self,
        sentence: &Sentence<'_>,
        clause: usize,
        at: usize,
        number: &Number,
        meaning: Meaning,
    ) {
        if is_small(number, self.unit) || number.high.is_some() {
            return;
        }
        let can_be_weight = number.unit.is_none()
            && number.value.shape == Shape::Whole
            && number.value.size <= HEAVIEST_USUAL_BOW
            && !has_word(sentence.clause(clause), &["amo", "length", "long"]);
        let doubt = self.doubt(sentence, clause, at).or(can_be_weight.then_some(Doubt::LengthOrWeight));
        let state = match meaning.state {
            State::Wanted | State::Was | State::Now => State::Plain,
            state => state,
        };
        let state = asked_for(sentence, clause, at, state);
        // What follows is "bow", so the words before need not speak of it.
        let cue = meaning.cue.filter(|_| meaning.topic == Some(Topic::BowLength));
        self.push(sentence, at, Subject::BowLength, Meaning { state, cue, ..meaning }, number, doubt);
    }

    /// A number that no noun behind it decides.
    pub(super) fn open(
        &mut self,
        sentence: &Sentence<'_>,
        clause: usize,
        at: usize,
        number: &Number,
        meaning: Meaning,
    ) {
        let items = sentence.clause(clause);
        let place = at - sentence.clauses.get(clause).map_or(0, |range| range.start);
        if self.is_more_turns(sentence, at, number) {
            // How many there are in all is for the archer to say.
            return self.push(sentence, at, Subject::Turns, meaning, number, Some(Doubt::Rough));
        }
        if self.is_of_turns(sentence, clause, at, number) {
            return self.turns(sentence, clause, at, number);
        }
        if self.doubts.is_difference(items, place, number, self.unit) {
            return;
        }
        let mut doubt = self.doubt(sentence, clause, at);
        let mut meaning = meaning;
        // "6 7/8 → 7 1/4"
        if sentence.items.get(at + 1).is_some_and(|item| item.is_mark('→')) {
            meaning.state = State::Before;
        } else if at
            .checked_sub(1)
            .and_then(|at| sentence.items.get(at))
            .is_some_and(|item| item.is_mark('→'))
        {
            meaning.state = State::Now;
        }
        match meaning.topic {
            Some(Topic::Other) => {}
            Some(Topic::TipToTip) => {
                let doubt = doubt.or(Some(Doubt::TipToTip));
                self.push(sentence, at, Subject::BowLength, meaning, number, doubt);
            }
            Some(Topic::Turns) if number.unit.is_none() && (number.value.size * 2.0).fract() == 0.0 => {
                let mut number = number.clone();
                let says_in = has_word(items, &["added", "in"]);
                let says_out = has_word(items, &["out", "removed"]);
                let has_way = number.sign.is_some() || says_in != says_out;
                doubt = doubt.or((!has_way).then_some(Doubt::NoDirection));
                number.sign = number.sign.or(Some(if says_out { '-' } else { '+' }));
                if !matches!(meaning.state, State::Elsewhere | State::Open | State::Supposed | State::Wanted)
                {
                    let meaning = Meaning { state: State::Plain, ..meaning };
                    self.push(sentence, at, Subject::Turns, meaning, &number, doubt);
                }
            }
            Some(Topic::Shots) if number.unit.is_none() => self.shots(sentence, clause, at, number, meaning),
            Some(Topic::DrawWeight) if number.unit.is_none() => {
                self.draw_weight(sentence, clause, at, number, meaning);
            }
            Some(Topic::Turns) => self.unsaid(sentence, clause, at, number, meaning, doubt),
            Some(Topic::Shots | Topic::DrawWeight) => {}
            Some(_) if is_small(number, self.unit) => {}
            Some(Topic::BowLength) => self.bow_length(sentence, clause, at, number, meaning),
            Some(Topic::NockToNock) => self.push(sentence, at, Subject::NockToNock, meaning, number, doubt),
            Some(Topic::StringLength) => self.string_length(sentence, clause, at, number, meaning, doubt),
            Some(Topic::Brace) if number.high.is_some() && meaning.state != State::Elsewhere => {
                self.brace_range(sentence, clause, at, number, meaning, doubt);
            }
            Some(Topic::Brace) => {
                let is_elsewhere =
                    has_word(items, &["shelf", "plunger", "rest", "unstrung", "unbraced"]) || has_back(items);
                let doubt = doubt.or(is_elsewhere.then_some(Doubt::WrongPlace));
                self.push(sentence, at, Subject::Brace, meaning, number, doubt);
            }
            None => self.unsaid(sentence, clause, at, number, meaning, doubt),
        }
    }

    /// Two brace heights in a row are what is wanted, or a change from one to the other.
    pub(super) fn brace_range(
        &mut self,
        sentence: &Sentence<'_>,
        clause: usize,
        at: usize,
        number: &Number,
        meaning: Meaning,
        doubt: Option<Doubt>,
    ) {
        let items = sentence.clause(clause);
        let before = |back: usize| at.checked_sub(back).and_then(|at| sentence.items.get(at));
        let is_from = before(1).is_some_and(|item| item.is_any(&["from"]));
        let is_moved = has_word(items, MOVES);
        let reads = has_word(
            items,
            &["is", "was", "get", "got", "have", "has", "measure", "measured", "measures", "reads", "varies"],
        );
        let is_between = before(1).is_some_and(|item| item.is_any(&["between"]));
        match meaning.state {
            State::Wanted if is_from && is_moved => {
                self.push(sentence, at, Subject::Brace, meaning, number, doubt.or(Some(Doubt::Alternative)));
            }
            State::Wanted | State::Open => self.push(sentence, at, Subject::Brace, meaning, number, doubt),
            _ if is_moved => {
                let mut after = number.clone();
                if let Some(high) = after.high.take() {
                    after.value = high;
                }
                self.push(
                    sentence,
                    at,
                    Subject::Brace,
                    Meaning { state: State::Now, ..meaning },
                    &after,
                    doubt,
                );
            }
            _ if is_between && !reads => {
                self.push(
                    sentence,
                    at,
                    Subject::Brace,
                    Meaning { state: State::Wanted, ..meaning },
                    number,
                    doubt,
                );
            }
            _ => self.push(sentence, at, Subject::Brace, meaning, number, doubt.or(Some(Doubt::Range))),
        }
    }

    pub(super) fn string_length(
        &mut self,
        sentence: &Sentence<'_>,
        clause: usize,
        at: usize,
        number: &Number,
        meaning: Meaning,
        doubt: Option<Doubt>,
    ) {
        let items = sentence.clause(clause);
        // "The string is a 66" names the bow it is for as often as its own length.
        let is_measured = has_word(
            items,
            &[
                "measure*", "long", "length", "loop", "loops", "loaded", "tight", "taut", "nail", "nails",
                "outside", "came", "load", "tension",
            ],
        );
        let is_named = number.unit.is_none() && number.value.shape == Shape::Whole && !is_measured;
        let is_ordered = has_word(items, &["order*", "bought", "asked"]);
        let doubt = doubt.or((is_named || (is_ordered && !is_measured)).then_some(Doubt::StringOrBow));
        if !(is_ordered && is_measured) {
            self.push(sentence, at, Subject::StringLength, meaning, number, doubt);
        }
    }

    /// A number of which it is not said what it measures.
    pub(super) fn unsaid(
        &mut self,
        sentence: &Sentence<'_>,
        clause: usize,
        at: usize,
        number: &Number,
        meaning: Meaning,
        doubt: Option<Doubt>,
    ) {
        if is_small(number, self.unit)
            || matches!(meaning.state, State::Elsewhere | State::Before | State::Supposed)
        {
            return;
        }
        let items = sentence.clause(clause);
        let is_length = number.unit.is_some_and(Measured::is_length) || number.value.shape == Shape::Mixed;
        if meaning.state == State::Wanted && (is_length || number.high.is_some()) && self.can_be_brace(number)
        {
            self.push(sentence, at, Subject::Brace, meaning, number, doubt);
            self.reader.speak_of_brace();
            return;
        }
        let is_alone = items.iter().all(|item| {
            item.word().is_none_or(|word| {
                matches!(
                    word,
                    "it" | "is"
                        | "a"
                        | "its"
                        | "the"
                        | "measured"
                        | "measures"
                        | "length"
                        | "long"
                        | "size"
                        | "i"
                        | "about"
                        | "that"
                        | "got"
                        | "get"
                )
            })
        });
        let says_length =
            has_word(items, &["long", "length", "measures", "measured", "size", "ordered", "order"]);
        let is_whole = number.unit.is_none() && number.high.is_none() && self.can_be_length(number);
        if is_length || (is_whole && (is_alone || says_length)) {
            self.push(sentence, at, Subject::StringLength, meaning, number, Some(Doubt::Unsaid));
        }
    }

    /// Sizes choose the question to ask; they never say what a number is.
    pub(super) fn can_be_length(&self, number: &Number) -> bool {
        let inches = number.inches(self.unit);
        (36.0..=90.0).contains(&inches)
            || (number.unit.is_none() && (900.0..=2200.0).contains(&number.value.size))
            || (number.unit.is_none() && (90.0..=220.0).contains(&number.value.size))
    }

    pub(super) fn can_be_brace(&self, number: &Number) -> bool {
        number.range(self.unit, Measure::WantedBrace).is_ok()
    }
}

/// Whether a clause speaks of the back of the bow.
fn has_back(items: &[Item]) -> bool {
    items.windows(4).any(|words| {
        words.first().is_some_and(|item| item.is_any(&["back", "front"]))
            && words.get(1).is_some_and(|item| item.is_any(&["of"]))
            && words.iter().skip(2).any(|item| item.is_any(&["bow", "riser", "handle", "grip"]))
    })
}
