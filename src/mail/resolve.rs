//! Weighs what a text says, and turns what is in doubt into questions.

use super::claims::{Claim, Doubt, Subject};
use super::meaning::State;
use super::numbers::{Number, Shape};
use super::proposal::{About, Ambiguous, Found};
use crate::quantity::{
    DrawWeight, Length, LengthRange, Measure, QuantityError, Turns, Unit, parse_draw_weight, parse_turns,
};
use crate::trade::plausible::{READINGS, SHOTS, bow_year};

/// Lengths that differ by less are one length, in inches: half a millimetre.
const SAME_INCHES: f64 = 0.02;

/// The same where the two are written in different units, each rounded as people round.
const SAME_IN_OTHER_UNIT: f64 = 0.06;

/// Weighs the claims of one text.
pub(super) struct Resolver<'a> {
    pub(super) text: &'a str,
    pub(super) unit: Unit,
    pub(super) claims: &'a [Claim],
    pub(super) ambiguous: Vec<Ambiguous>,
}

impl<'a> Resolver<'a> {
    fn of(&self, subject: Subject) -> Vec<&'a Claim> {
        self.claims.iter().filter(|claim| claim.subject == subject).collect()
    }

    fn words(&self, start: usize, end: usize) -> String {
        self.text.get(start..end).unwrap_or_default().split_whitespace().collect::<Vec<_>>().join(" ")
    }

    fn found<T>(&self, claim: &Claim, value: T) -> Found<T> {
        let words = self.text.get(claim.start..claim.end).unwrap_or_default().to_owned();
        Found { value, words, start: claim.start, end: claim.end }
    }

    fn ask(&mut self, about: About, claim: &Claim, question: String) {
        let words = self.words(claim.start, claim.end);
        if !self.ambiguous.iter().any(|other| other.about == about && other.question == question) {
            self.ambiguous.push(Ambiguous { words, question, about });
        }
    }

    pub(super) fn brace(&mut self) -> Option<Found<Length>> {
        let claims: Vec<&'a Claim> =
            self.of(Subject::Brace).into_iter().filter(|claim| claim.state != State::Wanted).collect();
        let unit = self.unit;
        // A later number of which it is not said what it is may be the brace height of now.
        let last = claims.iter().map(|claim| claim.start).max();
        let unsaid = self.claims.iter().find(|claim| {
            claim.doubt == Some(Doubt::Unsaid)
                && (3.0..=14.0).contains(&claim.number.inches(unit))
                && last.is_some_and(|last| claim.start > last)
                && !matches!(claim.state, State::Elsewhere | State::Supposed | State::Before)
        });
        if unsaid.is_some() {
            return None;
        }
        self.settle(&claims, About::Brace, Measure::Brace, |number| number.length(unit, Measure::Brace))
    }

    pub(super) fn want(&mut self) -> Option<Found<LengthRange>> {
        let claims: Vec<&'a Claim> =
            self.of(Subject::Brace).into_iter().filter(|claim| claim.state == State::Wanted).collect();
        if let Some(doubted) = claims.iter().find(|claim| claim.doubt.is_some()) {
            let words = self.words(doubted.start, doubted.end);
            let question = match doubted.doubt {
                Some(Doubt::Rough) => format!(
                    "Which brace heights exactly are right, the least and the greatest, where the mail says \
                     “{words}”?"
                ),
                _ => "Between which two brace heights should it be?".to_owned(),
            };
            self.ask(About::Range, doubted, question);
            return None;
        }
        let mut ranges = Vec::new();
        for claim in claims {
            match claim.number.range(self.unit, Measure::WantedBrace) {
                Ok(range) => ranges.push((claim, range)),
                Err(error) => {
                    self.ask_refused(About::Range, claim, "wanted brace height", &error);
                    return None;
                }
            }
        }
        let &(first, range) = ranges.first()?;
        let same =
            |other: &LengthRange| is_same(range.low(), other.low()) && is_same(range.high(), other.high());
        if let Some((other, _)) = ranges.iter().find(|(_, other)| !same(other)) {
            let question = format!(
                "Which brace height is wanted, “{}” or “{}”?",
                self.number_words(first),
                self.number_words(other)
            );
            self.ask(About::Range, first, question);
            return None;
        }
        Some(self.found(first, range))
    }

    pub(super) fn string_length(&mut self, bow: Option<Length>) -> Option<Found<Length>> {
        let claims: Vec<&'a Claim> =
            self.of(Subject::StringLength).into_iter().filter(|claim| claim.state != State::Wanted).collect();
        let (open, plain): (Vec<&'a Claim>, Vec<&'a Claim>) = claims
            .into_iter()
            .partition(|claim| matches!(claim.doubt, Some(Doubt::StringOrBow | Doubt::Unsaid)));
        for claim in
            open.into_iter().filter(|claim| !matches!(claim.state, State::Elsewhere | State::Supposed))
        {
            // The length of a bow that is known needs no question.
            let is_bow = bow.is_some_and(|bow| {
                claim.number.length(self.unit, Measure::BowLength).is_ok_and(|length| is_same(length, bow))
            });
            if !is_bow {
                let (about, question) = self.length_question(claim);
                self.ask(about, claim, question);
            }
        }
        let unit = self.unit;
        self.settle(&plain, About::StringLength, Measure::StringLength, |number| {
            number.length(unit, Measure::StringLength)
        })
    }

    fn length_question(&self, claim: &Claim) -> (About, String) {
        let words = self.number_words(claim);
        let inches = claim.number.inches(self.unit);
        if claim.doubt == Some(Doubt::Unsaid) && (3.0..=14.0).contains(&inches) {
            return (About::Brace, format!("Is {words} the brace height, and does it measure so now?"));
        }
        if claim.doubt == Some(Doubt::Unsaid) && claim.number.unit.is_none() && inches > 90.0 {
            return (About::Unit, format!("What is {words} the measure of, and in which unit?"));
        }
        (About::StringLength, format!("Is {words} the length of the string or of the bow?"))
    }

    pub(super) fn bow_length(&mut self) -> Option<Found<Length>> {
        let claims = self.of(Subject::BowLength);
        let unit = self.unit;
        self.settle(&claims, About::BowLength, Measure::BowLength, |number| {
            number.length(unit, Measure::BowLength)
        })
    }

    pub(super) fn nock_to_nock(&mut self) -> Option<Found<Length>> {
        let claims = self.of(Subject::NockToNock);
        let unit = self.unit;
        self.settle(&claims, About::BowLength, Measure::BowLength, |number| {
            number.length(unit, Measure::BowLength)
        })
    }

    /// The value of a length that holds today, if the text leaves no doubt of it.
    fn settle(
        &mut self,
        claims: &[&Claim],
        about: About,
        what: Measure,
        read: impl Fn(&Number) -> Result<Length, QuantityError>,
    ) -> Option<Found<Length>> {
        let group = holding(claims);
        let Some(&first) = group.first() else {
            self.ask_present(claims, about, what);
            return None;
        };
        if let Some(&doubted) = group.iter().find(|claim| claim.doubt.is_some()) {
            let question = self.doubt_question(doubted, what);
            self.ask(about, doubted, question);
            return None;
        }
        let mut lengths = Vec::new();
        for &claim in &group {
            if claim.number.high.is_some() {
                let question = format!("What does the {} measure, as one value?", what.name());
                self.ask(about, claim, question);
                return None;
            }
            match read(&claim.number) {
                Ok(length) => lengths.push((claim, length)),
                Err(error) => {
                    self.ask_refused(about, claim, what.name(), &error);
                    return None;
                }
            }
        }
        let &(_, length) = lengths.first()?;
        let differs = |&&(claim, other): &&(&Claim, Length)| {
            let slack = if claim.number.unit == first.number.unit { SAME_INCHES } else { SAME_IN_OTHER_UNIT };
            (length.inches() - other.inches()).abs() > slack
        };
        if let Some(&(other, _)) = lengths.iter().find(differs) {
            let question = format!(
                "Which {} holds now, “{}” or “{}”?",
                what.name(),
                self.number_words(first),
                self.number_words(other)
            );
            self.ask(about, first, question);
            return None;
        }
        Some(self.found(first, length))
    }

    /// A value that once was, or that is asked about, calls for the present one.
    fn ask_present(&mut self, claims: &[&Claim], about: About, what: Measure) {
        let asked = claims.iter().find(|claim| matches!(claim.state, State::Before | State::Open));
        if let Some(&claim) = asked {
            let words = self.number_words(claim);
            let question = if claim.state == State::Before {
                format!("What is the {} now? The mail says {words} for earlier.", what.name())
            } else {
                format!("Is {words} the {} that was measured?", what.name())
            };
            self.ask(about, claim, question);
        }
    }

    fn doubt_question(&self, claim: &Claim, what: Measure) -> String {
        let words = self.number_words(claim);
        let name = what.name();
        match claim.doubt {
            Some(Doubt::WrongPlace) => format!(
                "Was the {name} of {words} measured on the strung bow, from the string to the deepest part \
                 of the grip?"
            ),
            Some(Doubt::LengthOrWeight) => format!("Is {words} the length of the bow or its draw weight?"),
            Some(Doubt::TipToTip) => format!(
                "Which length is marked on the bow, or what is it from nock to nock round the limbs? It \
                 measures {words} \
                 from tip to tip."
            ),
            Some(Doubt::Alternative) => format!("Which of the two is the {name}?"),
            Some(Doubt::Range) => {
                format!(
                    "Is “{words}” what the {name} should be, or what it measures? Please give the measured \
                     value."
                )
            }
            _ => format!("What does the {name} measure exactly, with a ruler?"),
        }
    }

    fn ask_refused(&mut self, about: About, claim: &Claim, name: &str, error: &QuantityError) {
        let words = self.number_words(claim);
        let is_bare =
            claim.number.unit.is_none() && matches!(claim.number.value.shape, Shape::Whole | Shape::Decimal);
        let question = match &error.likely {
            Some(likely) => format!("Is “{words}” as the {name} meant as {likely}?"),
            None => format!("What is the {name}, with its unit? The mail says “{words}”."),
        };
        self.ask(if is_bare { About::Unit } else { about }, claim, question);
    }

    /// The number of a claim without the words of its cue.
    fn number_words(&self, claim: &Claim) -> String {
        let words = self.words(claim.start, claim.end);
        match words.find(|c: char| c.is_ascii_digit() || "½¼¾⅛⅜⅝⅞.+-".contains(c)) {
            Some(at) if claim.number.value.written.starts_with(|c: char| c.is_ascii_digit()) => {
                words.get(at..).unwrap_or_default().to_owned()
            }
            _ => words,
        }
    }

    pub(super) fn turns(&mut self) -> Option<Found<Turns>> {
        let claims = self.of(Subject::Turns);
        let &first = claims.first()?;
        let words = self.words(first.start, first.end);
        if let Some(&doubted) = claims.iter().find(|claim| claim.doubt.is_some()) {
            let words = self.words(doubted.start, doubted.end);
            let question = match doubted.doubt {
                Some(Doubt::HalfTurns) => format!(
                    "How many full turns are “{words}”? One full turn is once round, and shows two \
                     crossings."
                ),
                Some(Doubt::NoDirection) => format!(
                    "Were the turns (“{words}”) put in or taken out since the string came, or are they what \
                     it has in all?"
                ),
                _ => "How many full turns exactly were put in or taken out since the string came?".to_owned(),
            };
            self.ask(About::Turns, doubted, question);
            return None;
        }
        if claims.len() > 1 {
            let question =
                "How many full turns in all were put in or taken out since the string came?".to_owned();
            self.ask(About::Turns, first, question);
            return None;
        }
        let sign = first.number.sign.unwrap_or('+');
        match parse_turns(&format!("{sign}{}", first.number.value.written)) {
            Ok(turns) => Some(self.found(first, turns)),
            Err(_) => {
                let question = format!("How many full turns are “{words}”?");
                self.ask(About::Turns, first, question);
                None
            }
        }
    }

    pub(super) fn shots(&mut self) -> Option<Found<u32>> {
        let claims = self.of(Subject::Shots);
        let &first = claims.first()?;
        let counts: Option<Vec<u32>> = claims
            .iter()
            .map(|claim| if claim.doubt.is_some() { None } else { count(&claim.number) })
            .collect();
        match counts.as_deref() {
            Some([one, rest @ ..]) if rest.iter().all(|other| other == one) => Some(self.found(first, *one)),
            _ => {
                let question =
                    "How many shots were made with the string in all, since it was new?".to_owned();
                self.ask(About::Shots, first, question);
                None
            }
        }
    }

    pub(super) fn readings(&self) -> Option<Found<u32>> {
        let claims = self.of(Subject::Readings);
        let &first = claims.first()?;
        let value = count(&first.number).filter(|count| READINGS.check(*count).is_ok())?;
        let agree = claims.iter().all(|claim| count(&claim.number) == Some(value));
        agree.then(|| self.found(first, value))
    }

    pub(super) fn draw_weight(&mut self) -> Option<Found<DrawWeight>> {
        let claims: Vec<&'a Claim> = self
            .of(Subject::DrawWeight)
            .into_iter()
            .filter(|claim| !matches!(claim.state, State::Elsewhere | State::Open | State::Supposed))
            .collect();
        let &first = claims.first()?;
        let weights: Option<Vec<DrawWeight>> =
            claims.iter().map(|claim| if claim.doubt.is_some() { None } else { weight(claim) }).collect();
        match weights.as_deref() {
            Some([one, rest @ ..])
                if rest.iter().all(|other| (other.pounds() - one.pounds()).abs() < 0.01) =>
            {
                let fuller = weights.iter().flatten().position(|weight| weight.at().is_some()).unwrap_or(0);
                let claim = claims.get(fuller).copied().unwrap_or(first);
                let value = weights.as_ref().and_then(|weights| weights.get(fuller).copied()).unwrap_or(*one);
                Some(self.found(claim, value))
            }
            _ => {
                let question = "What is the draw weight of the bow, and at which draw length?".to_owned();
                self.ask(About::DrawWeight, first, question);
                None
            }
        }
    }

    pub(super) fn year(&mut self) -> Option<Found<i32>> {
        let claims = self.of(Subject::Year);
        let &first = claims.first()?;
        let year = |claim: &Claim| {
            if claim.doubt.is_some() {
                return None;
            }
            claim.number.value.written.parse().ok().filter(|year| bow_year(*year, i32::MAX).is_ok())
        };
        let value = year(first).filter(|value| claims.iter().all(|claim| year(claim) == Some(*value)));
        if value.is_none() {
            let question = "In which year was the bow made?".to_owned();
            self.ask(About::BowYear, first, question);
        }
        value.map(|value| self.found(first, value))
    }

    /// The length of the riser in inches, where one is named.
    pub(super) fn riser(&self) -> Option<f64> {
        self.of(Subject::Riser)
            .into_iter()
            .filter(|claim| !matches!(claim.state, State::Elsewhere | State::Open | State::Supposed))
            .map(|claim| claim.number.inches(Unit::Inch))
            .next()
    }
}

/// The claims that hold today, as far as the text says.
fn holding<'a>(claims: &[&'a Claim]) -> Vec<&'a Claim> {
    let of = |state: State| -> Vec<&'a Claim> {
        claims.iter().filter(|claim| claim.state == state).copied().collect()
    };
    let now = of(State::Now);
    let plain = of(State::Plain);
    if let Some(last) = now.last() {
        // What is said after "now" without a word of time is said of now as well.
        let after = plain.into_iter().filter(|claim| claim.start > last.start);
        return now.iter().copied().chain(after).collect();
    }
    if plain.is_empty() { of(State::Was) } else { plain }
}

fn is_same(one: Length, other: Length) -> bool {
    (one.inches() - other.inches()).abs() < SAME_INCHES
}

fn weight(claim: &Claim) -> Option<DrawWeight> {
    let weight = claim.number.weight_text();
    let text = match &claim.at_draw {
        Some(draw) => format!("{weight} @ {}", draw.length_text()),
        None => weight,
    };
    parse_draw_weight(&text).ok()
}

/// A count; "1,000" is a thousand.
fn count(number: &Number) -> Option<u32> {
    let digits = match number.value.shape {
        Shape::Whole => number.value.written.clone(),
        Shape::Decimal => {
            let (whole, part) = number.value.written.split_once(['.', ','])?;
            (part.len() == 3 && !whole.is_empty()).then(|| format!("{whole}{part}"))?
        }
        _ => return None,
    };
    digits.parse().ok().filter(|count| SHOTS.check(*count).is_ok())
}
