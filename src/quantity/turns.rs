//! Counts of turns of a string.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::error::{QuantityError, Refusal};
use super::length::OutOfBounds;
use super::number::{plain, read_number};
use super::show::fraction;
use super::text::{Kind, Token, tokenize};
use super::written::{Sign, out_of_place, read_sign};

/// Most turns there can be: far beyond any bowstring.
const MOST_TURNS: f64 = 500.0;

/// Parts of a turn that are shown as a fraction; anything else is a decimal.
const PARTS_OF_A_TURN: u32 = 8;

/// Full turns of a string, or a change of them: `+6` is twist in, `-4` twist out.
///
/// Finite and at most 500 either way. Serialised as its number.
#[derive(Debug, Clone, Copy, Default, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Turns(f64);

impl Turns {
    /// So many turns; `None` if that is not finite or beyond 500 either way.
    #[must_use]
    pub fn new(turns: f64) -> Option<Self> {
        (turns.abs() <= MOST_TURNS).then_some(Self(turns + 0.0))
    }

    /// The number of full turns.
    #[must_use]
    pub const fn value(self) -> f64 {
        self.0
    }

    /// The turns as a count, without a plus: `6`, `2 1/2`.
    #[must_use]
    pub fn as_count(self) -> String {
        let nearest = (self.0 * 100.0).round() / 100.0;
        if (nearest * f64::from(PARTS_OF_A_TURN)).fract() == 0.0 {
            fraction(nearest, PARTS_OF_A_TURN)
        } else {
            format!("{nearest}")
        }
    }
}

impl TryFrom<f64> for Turns {
    type Error = OutOfBounds;

    fn try_from(turns: f64) -> Result<Self, OutOfBounds> {
        Self::new(turns).ok_or(OutOfBounds("turns are a finite number of at most 500"))
    }
}

impl From<Turns> for f64 {
    fn from(turns: Turns) -> Self {
        turns.0
    }
}

/// Shown as a change, to a hundredth of a turn: `+6`, `-4`, `+2 1/2`, `0`.
impl fmt::Display for Turns {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let count = self.as_count();
        if count == "0" || count.starts_with('-') { f.pad(&count) } else { f.pad(&format!("+{count}")) }
    }
}

/// Reads a change of turns; without a sign it is twist in.
///
/// `+6`, `-4`, `6`, `2.5`, `2 1/2`, `2½`, each also with `turns`, `twists` or
/// `rotations`, or `full` before these.
///
/// # Errors
///
/// Refuses what is no such text, and more than 500 turns.
pub fn parse_turns(text: &str) -> Result<Turns, QuantityError> {
    tokenize(text)
        .and_then(|tokens| read_turns(&tokens))
        .map_err(|refusal| refusal.into_error(text, ["+6".to_owned(), "-2 1/2".to_owned()]))
}

/// Reads a number of turns that are in a string: as [`parse_turns`], never below zero.
///
/// # Errors
///
/// Refuses what [`parse_turns`] refuses, and negative numbers.
pub fn parse_turn_count(text: &str) -> Result<Turns, QuantityError> {
    tokenize(text)
        .and_then(|tokens| read_turns(&tokens))
        .and_then(|turns| {
            if turns.value() < 0.0 {
                return Err(Refusal::new("it is a count of the turns in a string, which cannot be negative"));
            }
            Ok(turns)
        })
        .map_err(|refusal| refusal.into_error(text, ["24".to_owned(), "24 1/2".to_owned()]))
}

fn read_turns(tokens: &[Token]) -> Result<Turns, Refusal> {
    let mut at = 0;
    let sign = read_sign(tokens, &mut at);
    let Some(number) = read_number(tokens, &mut at)? else {
        return Err(out_of_place(tokens, at));
    };
    number.require_certain()?;
    let has_full = tokens.get(at).is_some_and(|token| token.is_word("full"));
    let noun = if has_full { at + 1 } else { at };
    match tokens.get(noun).map(|token| &token.kind) {
        None if has_full => return Err(out_of_place(tokens, at)),
        None => {}
        Some(Kind::Word(word)) if is_turn(word) => at = noun + 1,
        Some(Kind::Word(word)) if matches!(word.as_str(), "crossing" | "crossings") => {
            // Two plies cross twice in a turn, three plies three times.
            return Err(Refusal::new("crossings are not turns")
                .likely(format!("{} turns, if the string has two plies", plain(number.value / 2.0))));
        }
        Some(_) => return Err(out_of_place(tokens, at)),
    }
    if at < tokens.len() {
        return Err(out_of_place(tokens, at));
    }
    let value = match sign {
        Some(Sign::Minus) => -number.value,
        Some(Sign::Plus) | None => number.value,
    };
    Turns::new(value).ok_or_else(|| Refusal::new(format!("no string takes more than {MOST_TURNS} turns")))
}

fn is_turn(word: &str) -> bool {
    matches!(word, "turn" | "turns" | "twist" | "twists" | "rotation" | "rotations")
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn every_spelling_of_turns_is_taken() {
        for (text, turns) in [
            ("+6", 6.0),
            ("-4", -4.0),
            ("−4", -4.0),
            ("–4", -4.0),
            ("6", 6.0),
            ("0", 0.0),
            ("2.5", 2.5),
            ("2,5", 2.5),
            ("2 1/2", 2.5),
            ("2½", 2.5),
            ("-2-1/2", -2.5),
            ("6 turns", 6.0),
            ("5 twists", 5.0),
            ("1 turn", 1.0),
            ("+1 TWIST", 1.0),
            ("5 rotations", 5.0),
            ("2.5 full twists", 2.5),
            ("1/2 turn", 0.5),
            ("500", 500.0),
        ] {
            assert_relative_eq!(parse_turns(text).unwrap().value(), turns);
            let count = parse_turn_count(text).ok().map(Turns::value);
            assert_eq!(count, (turns >= 0.0).then_some(turns), "{text}");
        }
    }

    #[test]
    fn what_is_no_number_of_turns_is_refused() {
        for text in [
            "",
            "six",
            "6 in",
            "6\"",
            "6 full",
            "6 turns in",
            "turns",
            "+-6",
            "6-7",
            "5 to 6",
            "500.5",
            "1e2",
            "inf",
            "nan",
            "11/2",
            "6 turns 3",
            "about 6",
            "6 turns turns",
            "2 1/7",
        ] {
            assert!(parse_turns(text).is_err(), "{text}");
        }
    }

    #[test]
    fn crossings_are_refused_with_the_turns_they_are() {
        let error = parse_turns("5 crossings").unwrap_err();
        assert!(error.likely.unwrap().starts_with("2 1/2 turns"));
    }

    #[test]
    fn a_count_below_zero_is_refused_with_its_reason() {
        let error = parse_turn_count("-4").unwrap_err();
        assert!(error.reason.contains("cannot be negative"), "{error}");
    }

    #[test]
    fn turns_are_shown_with_their_sign_and_counts_without() {
        for (turns, change, count) in [
            (6.0, "+6", "6"),
            (-4.0, "-4", "-4"),
            (2.5, "+2 1/2", "2 1/2"),
            (5.37, "+5.37", "5.37"),
            (-0.001, "0", "0"),
        ] {
            let turns = Turns::new(turns).unwrap();
            assert_eq!(turns.to_string(), change);
            assert_eq!(turns.as_count(), count);
        }
    }

    #[test]
    fn turns_are_finite_wherever_they_come_from() {
        for value in [f64::NAN, f64::INFINITY, 500.1, -500.1] {
            assert_eq!(Turns::new(value), None);
        }
        assert!(serde_json::from_str::<Turns>("501").is_err());
        assert_eq!(serde_json::to_string(&Turns::new(-4.0)).unwrap(), "-4.0");
    }
}
