//! Draw weights.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::error::{QuantityError, Refusal};
use super::length::{Length, OutOfBounds};
use super::number::{any_of, decimal, read_number};
use super::show::{show_length, with_short_unit};
use super::text::{Kind, Token, tokenize};
use super::unit::{Unit, WrittenUnit};
use super::written::{out_of_place, read_written};

/// Newtons in a pound of force.
///
/// Source: NIST SP 811 (2008), appendix B.8: 1 lbf = 4.448 221 615 260 5 N, exact,
/// being 0.453 592 37 kg (agreement of 1959) under standard gravity.
pub const NEWTONS_PER_POUND_FORCE: f64 = 4.448_221_615_260_5;

/// Newtons in a kilogram of force.
///
/// Source: standard gravity of the 3rd CGPM (1901), 9.806 65 m/s², exact; NIST
/// SP 811 (2008), appendix B.8.
pub const NEWTONS_PER_KILOGRAM_FORCE: f64 = 9.806_65;

/// Draw weights that a bow can have, in pounds. The workshop's judgement: from a
/// child's bow to above the heaviest war bows.
const WEIGHTS: (f64, f64) = (5.0, 200.0);

/// Draw lengths at which a weight can be stated, in inches. Judgement as well.
const DRAW_LENGTHS: (f64, f64) = (10.0, 40.0);

/// Slack at the ends of both ranges, for the rounding of conversions.
const SLACK: f64 = 1e-9;

/// A draw weight, and the draw length at which it was measured where that is known.
///
/// From 5 to 200 lb, at 10 to 40 in.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Fields", into = "Fields")]
pub struct DrawWeight {
    pounds: f64,
    at: Option<Length>,
}

impl DrawWeight {
    /// A weight of so many pounds; `None` if it or the draw length is beyond belief.
    #[must_use]
    pub fn new(pounds: f64, at: Option<Length>) -> Option<Self> {
        let fits =
            is_within(pounds, WEIGHTS) && at.is_none_or(|length| is_within(length.inches(), DRAW_LENGTHS));
        fits.then_some(Self { pounds, at })
    }

    /// The weight in pounds of force.
    #[must_use]
    pub const fn pounds(self) -> f64 {
        self.pounds
    }

    /// The draw length at which the weight was measured.
    #[must_use]
    pub const fn at(self) -> Option<Length> {
        self.at
    }
}

impl fmt::Display for DrawWeight {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} lb", decimal((self.pounds * 10.0).round() / 10.0))?;
        match self.at {
            Some(length) => write!(f, " at {}", show_length(length, Unit::Inch)),
            None => Ok(()),
        }
    }
}

/// A draw weight as it is serialised.
#[derive(Serialize, Deserialize)]
struct Fields {
    pounds: f64,
    at_inch: Option<Length>,
}

impl TryFrom<Fields> for DrawWeight {
    type Error = OutOfBounds;

    fn try_from(fields: Fields) -> Result<Self, OutOfBounds> {
        Self::new(fields.pounds, fields.at_inch)
            .ok_or(OutOfBounds("a draw weight is 5 to 200 pounds at 10 to 40 inches"))
    }
}

impl From<DrawWeight> for Fields {
    fn from(weight: DrawWeight) -> Self {
        Self { pounds: weight.pounds, at_inch: weight.at }
    }
}

/// A unit of draw weight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum ForceUnit {
    Pound,
    Newton,
    Kilogram,
}

impl ForceUnit {
    const ALL: [Self; 3] = [Self::Pound, Self::Newton, Self::Kilogram];

    fn from_token(token: &Token) -> Option<Self> {
        match &token.kind {
            Kind::Hash => Some(Self::Pound),
            Kind::Word(word) => match word.as_str() {
                "lb" | "lbs" | "lbf" | "pound" | "pounds" => Some(Self::Pound),
                "n" | "newton" | "newtons" => Some(Self::Newton),
                "kg" | "kgf" | "kp" | "kilogram" | "kilograms" => Some(Self::Kilogram),
                _ => None,
            },
            _ => None,
        }
    }

    fn to_pounds(self, value: f64) -> f64 {
        match self {
            Self::Pound => value,
            Self::Newton => value / NEWTONS_PER_POUND_FORCE,
            Self::Kilogram => value * NEWTONS_PER_KILOGRAM_FORCE / NEWTONS_PER_POUND_FORCE,
        }
    }

    fn short_name(self) -> &'static str {
        match self {
            Self::Pound => "lb",
            Self::Newton => "N",
            Self::Kilogram => "kg",
        }
    }
}

/// Reads a draw weight, with the draw length after `@` or `at` where it is known.
///
/// A bare weight is in pounds, a bare draw length in inches: `45#@28`, `#45@28`,
/// `45 lb`, `45lbs @ 28"`, `200 N`, `20 kg`.
///
/// # Errors
///
/// Refuses what is no such text, weights outside 5 to 200 lb and draw lengths
/// outside 10 to 40 in.
pub fn parse_draw_weight(text: &str) -> Result<DrawWeight, QuantityError> {
    tokenize(text)
        .and_then(|tokens| read_draw_weight(&tokens))
        .map_err(|refusal| refusal.into_error(text, ["45 lb".to_owned(), "45 lb @ 28".to_owned()]))
}

fn read_draw_weight(tokens: &[Token]) -> Result<DrawWeight, Refusal> {
    let at = tokens.iter().position(|token| token.kind == Kind::At || token.is_word("at"));
    let (weight, length) = match at {
        None => (tokens, None),
        Some(at) => (tokens.get(..at).unwrap_or_default(), Some(tokens.get(at + 1..).unwrap_or_default())),
    };
    let pounds = read_pounds(weight)?;
    let length = length.map(read_draw_length).transpose()?;
    // Both were judged above; this only keeps the rule in one place.
    DrawWeight::new(pounds, length).ok_or_else(|| Refusal::new("no bow has this draw weight"))
}

fn read_pounds(tokens: &[Token]) -> Result<f64, Refusal> {
    let mut at = 0;
    let mut unit = None;
    if tokens.first().is_some_and(|token| token.kind == Kind::Hash) {
        unit = Some(ForceUnit::Pound);
        at = 1;
    }
    let Some(number) = read_number(tokens, &mut at)? else {
        return Err(match tokens.get(at).map(|token| &token.kind) {
            Some(Kind::Hyphen | Kind::Dash | Kind::Plus) => Refusal::new("a draw weight has no sign"),
            _ => out_of_place(tokens, at),
        });
    };
    if unit.is_none()
        && let Some(written) = tokens.get(at).and_then(ForceUnit::from_token)
    {
        unit = Some(written);
        at += 1;
    }
    if at < tokens.len() {
        return Err(out_of_place(tokens, at));
    }
    number.require_certain()?;
    let written = unit.unwrap_or(ForceUnit::Pound);
    let pounds = written.to_pounds(number.value);
    if is_within(pounds, WEIGHTS) {
        return Ok(pounds);
    }
    let others = ForceUnit::ALL.into_iter().filter(|&other| other != written);
    let readings = others.filter_map(|other| {
        let pounds = other.to_pounds(number.value);
        is_within(pounds, WEIGHTS).then(|| {
            let value = decimal(number.value);
            match other {
                ForceUnit::Pound => format!("{value} lb"),
                _ => format!("{value} {}, that is {pounds:.0} lb", other.short_name()),
            }
        })
    });
    let (low, high) = WEIGHTS;
    Err(Refusal::new(format!(
        "{} {} is outside the {low} to {high} lb that bows have",
        decimal(number.value),
        written.short_name()
    ))
    .likely(any_of(readings)))
}

fn read_draw_length(tokens: &[Token]) -> Result<Length, Refusal> {
    let written = read_written(tokens)?;
    if written.sign.is_some() {
        return Err(Refusal::new("a draw length has no sign"));
    }
    written.number.require_certain()?;
    let value = written.number.value;
    let in_unit = |unit: WrittenUnit| {
        Length::try_from_inches(unit.to_inches(value))
            .filter(|length| is_within(length.inches(), DRAW_LENGTHS))
    };
    let unit = written.unit.unwrap_or(WrittenUnit::Inch);
    in_unit(unit).ok_or_else(|| {
        let readings = [WrittenUnit::Cm, WrittenUnit::Mm]
            .into_iter()
            .filter(|&other| other != unit)
            .filter_map(|other| {
                let length = with_short_unit(in_unit(other)?, Unit::Inch);
                Some(format!("{} {}, that is {length}", decimal(value), other.short_name()))
            });
        let (low, high) = DRAW_LENGTHS;
        Refusal::new(format!(
            "a draw length of {} {} is outside {low} to {high} in",
            decimal(value),
            unit.short_name()
        ))
        .likely(any_of(readings))
    })
}

fn is_within(value: f64, (low, high): (f64, f64)) -> bool {
    value >= low - SLACK && value <= high + SLACK
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn taken(text: &str) -> DrawWeight {
        match parse_draw_weight(text) {
            Ok(weight) => weight,
            Err(error) => panic!("{text}: {error}"),
        }
    }

    #[test]
    fn forces_convert_as_published() {
        // NIST SP 811 (2008), appendix B.8: 1 lbf = 4.448 221 615 260 5 N and
        // 1 kgf = 9.806 65 N. Second source: their quotient is the pound of the
        // agreement of 1959, 0.453 592 37 kg.
        assert_relative_eq!(
            NEWTONS_PER_POUND_FORCE / NEWTONS_PER_KILOGRAM_FORCE,
            0.453_592_37,
            max_relative = 1e-14
        );
        assert_relative_eq!(taken("444.822 161 526 05 N".replace(' ', "").as_str()).pounds(), 100.0);
        assert_relative_eq!(taken("45.359237 kg").pounds(), 100.0, max_relative = 1e-14);
    }

    #[test]
    fn every_spelling_of_a_draw_weight_is_taken() {
        for text in ["45", "45#", "#45", "45 lb", "45lbs", "45 LBS.", "45 lbf", "45 pounds"] {
            assert_relative_eq!(taken(text).pounds(), 45.0);
            assert_eq!(taken(text).at(), None);
        }
        for text in [
            "45#@28",
            "#45@28",
            "45 @ 28",
            "45lbs @ 28\"",
            "45 lb at 28 in",
            "45# @ 28”",
            "45@2' 4\"",
            "45 lb @ 711.2 mm",
        ] {
            assert_relative_eq!(taken(text).pounds(), 45.0);
            assert_relative_eq!(taken(text).at().unwrap().inches(), 28.0, max_relative = 1e-12);
        }
        assert_relative_eq!(taken("45 1/2#").pounds(), 45.5);
        assert_relative_eq!(taken("20 kgf").pounds(), taken("20 kg").pounds());
        assert_relative_eq!(taken("200 N").pounds(), 44.96, max_relative = 1e-4);
    }

    #[test]
    fn what_no_bow_has_is_refused_with_the_likely_unit() {
        let error = parse_draw_weight("220").unwrap_err();
        assert_eq!(error.likely.as_deref(), Some("220 N, that is 49 lb"));
        let error = parse_draw_weight("45@71").unwrap_err();
        assert_eq!(error.likely.as_deref(), Some("71 cm, that is 27 15/16 in"));
        for text in [
            "", "4", "0", "-45", "+45", "45-50", "45 to 50", "45##", "#45#", "45#28", "@28", "45@",
            "45@28@29", "45@-28", "91/2", "45 stone", "about 45", "45 in", "1e2", "nan", "inf", "1,234.5",
            "45@281/2", "45 lb 28",
        ] {
            assert!(parse_draw_weight(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_draw_weight_goes_round_through_its_serialised_form() {
        for text in ["45#@28", "50 lb"] {
            let json = serde_json::to_string(&taken(text)).unwrap();
            assert_eq!(serde_json::from_str::<DrawWeight>(&json).unwrap(), taken(text));
        }
        assert!(serde_json::from_str::<DrawWeight>(r#"{"pounds":4,"at_inch":null}"#).is_err());
    }

    #[test]
    fn a_draw_weight_is_shown_as_it_is_read() {
        assert_eq!(taken("45#@28").to_string(), "45 lb at 28\"");
        assert_eq!(taken("200 N").to_string(), "45 lb");
        assert_eq!(taken(&taken("45.5 lb").to_string()), taken("45.5"));
    }
}
