//! Everything a text says in numbers, before it is weighed.

use super::claims::{Claim, Doubt, Subject};
use super::clauses::Sentence;
use super::doubt::{Doubts, is_alternative, is_small};
use super::meaning::{Meaning, Reader, State};
use super::nouns::{Role, role};
use super::numbers::{Item, Number, What};
use super::phrases::has_word;
use super::topics::Topic;
use super::turning::{Turned, Turning};
use crate::quantity::Unit;

/// Collects the claims of a text, sentence by sentence.
pub(super) struct Gatherer {
    pub(super) reader: Reader,
    pub(super) doubts: Doubts,
    pub(super) turning: Turning,
    pub(super) unit: Unit,
    pub(super) claims: Vec<Claim>,
}

impl Gatherer {
    pub(super) fn new(unit: Unit) -> Self {
        Self {
            reader: Reader::new(),
            doubts: Doubts::new(),
            turning: Turning::new(),
            unit,
            claims: Vec::new(),
        }
    }

    pub(super) fn reader(&self) -> &Reader {
        &self.reader
    }

    /// Reads a sentence.
    pub(super) fn read(&mut self, sentence: &Sentence<'_>) {
        self.reader.begin(sentence);
        let mut used = None;
        for (clause, range) in sentence.clauses.iter().enumerate() {
            self.read_twice(sentence, clause);
            for at in range.clone() {
                if used == Some(at) {
                    continue;
                }
                if let Some(number) = sentence.items.get(at).and_then(Item::number) {
                    used = self.read_number(sentence, clause, at, number);
                }
            }
            self.reader.end_clause(sentence, clause);
        }
    }

    /// Reads one number; gives the place of another that it used up.
    fn read_number(
        &mut self,
        sentence: &Sentence<'_>,
        clause: usize,
        at: usize,
        number: &Number,
    ) -> Option<usize> {
        let meaning = self.reader.meaning(sentence, clause, at);
        let items = sentence.clause(clause);
        match role(sentence.items, at, items) {
            Role::Other => {}
            Role::Turns => self.turns(sentence, clause, at, number),
            Role::HalfTurns => {
                if self.turning.turned(sentence, clause, at, number.sign) != Turned::Not {
                    self.push(sentence, at, Subject::Turns, meaning, number, Some(Doubt::HalfTurns));
                }
            }
            Role::Shots => self.shots(sentence, clause, at, number, meaning),
            Role::DrawWeight => return self.draw_weight(sentence, clause, at, number, meaning),
            // Nobody calls a bow by less than two feet and a half.
            Role::BowLength if number.inches(self.unit) < 30.0 => {
                self.open(sentence, clause, at, number, meaning)
            }
            Role::BowLength => self.bow_length(sentence, clause, at, number, meaning),
            Role::StringOrBow => {
                if meaning.topic != Some(Topic::Brace)
                    && !is_small(number, self.unit)
                    && self.can_be_length(number)
                {
                    self.push(sentence, at, Subject::StringLength, meaning, number, Some(Doubt::StringOrBow));
                }
            }
            Role::Readings => self.readings(sentence, at, items, meaning, number),
            Role::Year => self.year(sentence, clause, at, number, meaning),
            Role::Decade | Role::Age => {
                let is_of_bow =
                    has_word(items, &["bow", "recurve", "longbow", "selfbow", "limbs", "takedown"])
                        || (has_word(items, &["made", "built", "vintage"])
                            && !has_word(items, &["i", "me", "man"]));
                if is_of_bow && !has_word(items, &["since"]) {
                    self.push(sentence, at, Subject::Year, meaning, number, Some(Doubt::NotAYear));
                }
            }
            Role::Riser => self.push(sentence, at, Subject::Riser, meaning, number, None),
            Role::Open => self.open(sentence, clause, at, number, meaning),
        }
        None
    }

    pub(super) fn push(
        &mut self,
        sentence: &Sentence<'_>,
        at: usize,
        subject: Subject,
        meaning: Meaning,
        number: &Number,
        doubt: Option<Doubt>,
    ) {
        let Some(item) = sentence.items.get(at) else {
            return;
        };
        // Words before another number are not the words of this one.
        let start = meaning
            .cue
            .filter(|&cue| {
                !sentence.items.get(cue..at).unwrap_or_default().iter().any(|item| item.number().is_some())
            })
            .and_then(|cue| sentence.items.get(cue))
            .map_or(item.start, |cue| cue.start);
        self.claims.push(Claim {
            subject,
            state: meaning.state,
            number: number.clone(),
            at_draw: None,
            doubt,
            start,
            end: item.end,
        });
    }

    /// The doubt that lies in the words around a number.
    pub(super) fn doubt(&self, sentence: &Sentence<'_>, clause: usize, at: usize) -> Option<Doubt> {
        let range = sentence.clauses.get(clause).cloned().unwrap_or_default();
        // The clause behind may begin with the word that weakens this number: "7, more or less".
        let items = sentence.items.get(range.start..).unwrap_or_default();
        if is_alternative(sentence.items, at) {
            return Some(Doubt::Alternative);
        }
        self.doubts.is_rough(items, at - range.start).then_some(Doubt::Rough)
    }
}

/// Fists, thumbs and spans given as a measure.
pub(super) fn hand_measure(items: &[Item]) -> Option<(usize, usize)> {
    let is_fist = |item: &Item| item.is_any(&["fist", "fists", "handspan"]);
    let at = items.iter().position(is_fist)?;
    let with_thumb = items
        .iter()
        .enumerate()
        .skip(at)
        .take(8)
        .take_while(|(_, item)| !matches!(item.what, What::Break | What::Mark('.')))
        .filter(|(_, item)| item.is_any(&["thumb", "thumbs", "fist", "handspan"]))
        .last()?
        .0;
    Some((at, with_thumb + 1))
}

/// "Could you make a string for a 58 inch bow?" says what the bow is.
pub(super) fn asked_for(sentence: &Sentence<'_>, clause: usize, at: usize, state: State) -> State {
    let range = sentence.clauses.get(clause).cloned().unwrap_or_default();
    let before = sentence.items.get(range.start..at).unwrap_or_default();
    if state == State::Open && has_word(before, &["for", "my"]) { State::Plain } else { state }
}
