//! Views to text, tables and JSON. Writes to a given writer; no database, clock or files.

pub mod advice;
pub mod asks;
pub mod before_sale;
pub mod card;
pub mod cases;
pub mod charts;
pub mod mails;
pub mod month;
pub mod month_page;
pub mod month_sentences;
pub mod names;
pub mod page;
pub mod records;
pub mod reply;
pub mod sentences;
pub mod sheet;
pub mod spools;
pub mod strength;
pub mod strikes;
pub mod sums;
pub mod terms;
pub mod then;
pub mod trust;
pub mod web;

use serde::Serialize;

use crate::quantity::{Length, Unit, show_forecast, show_length, show_rounded, show_signed};

/// The envelope of every JSON answer.
#[derive(Debug, Serialize)]
pub struct Envelope<'a, T> {
    /// `NAME/1`.
    pub schema: &'a str,
    /// The answer.
    pub data: T,
    /// What to know beside it.
    pub warnings: &'a [String],
}

/// A length in inches as people read it.
#[must_use]
pub fn inches(value: f64, unit: Unit) -> String {
    Length::try_from_inches(value).map_or_else(|| "?".to_owned(), |length| show_length(length, unit))
}

/// The ends of a range that is kept to, as people read them. Millimetres are rounded inwards: who goes
/// by what is written stays within what is meant.
#[must_use]
pub fn ends(low: f64, high: f64, unit: Unit) -> (String, String) {
    /// What lies on a line of the ruler stays there: a tenth of a millimetre, which no ruler shows.
    const ON_THE_LINE: f64 = 0.1;
    const MM: f64 = 25.4;
    let (from, to) = ((low * MM - ON_THE_LINE).ceil() / MM, (high * MM + ON_THE_LINE).floor() / MM);
    match unit {
        Unit::Cm | Unit::Mm if from <= to => (inches(from, unit), inches(to, unit)),
        _ => (inches(low, unit), inches(high, unit)),
    }
}

/// A range that is kept to: `7 1/2" to 8"`.
#[must_use]
pub fn range(low: f64, high: f64, unit: Unit) -> String {
    let (low, high) = ends(low, high, unit);
    format!("{low} to {high}")
}

/// A length as it would be typed so that nothing of it is lost: to 1/16 where it lies there, else
/// in decimals.
#[must_use]
pub fn exactly(value: f64, unit: Unit) -> String {
    let decimals = |value: f64, unit: &str| {
        format!("{} {unit}", format!("{value:.4}").trim_end_matches('0').trim_end_matches('.'))
    };
    match unit {
        Unit::Inch if ((value * 16.0).round() / 16.0 - value).abs() < 1e-9 => inches(value, unit),
        Unit::Inch => decimals(value, "in"),
        Unit::Cm => decimals(value * 2.54, "cm"),
        Unit::Mm => decimals(value * 25.4, "mm"),
    }
}

/// A length with its sign.
#[must_use]
pub fn signed_inches(value: f64, unit: Unit) -> String {
    Length::try_from_inches(value).map_or_else(|| "?".to_owned(), |length| show_signed(length, unit))
}

/// A length to build, rounded as the workshop rounds.
#[must_use]
pub fn to_build(value: f64, step: f64, unit: Unit) -> String {
    Length::try_from_inches(value).map_or_else(|| "?".to_owned(), |length| show_rounded(length, step, unit))
}

/// A forecast with where nine in ten read, to follow "about". Method V24.
#[must_use]
pub fn nine_in_ten(value: f64, sd: f64, unit: Unit) -> String {
    Length::try_from_inches(value).map_or_else(|| "?".to_owned(), |length| show_forecast(length, sd, unit))
}

/// A worked-out length in decimals of the unit.
#[must_use]
pub fn finely(value: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{value:.2} in"),
        Unit::Cm => format!("{:.2} cm", value * 2.54),
        Unit::Mm => format!("{:.1} mm", value * 25.4),
    }
}

/// A small length such as a string change: to 1/16, but never a bare nought for something.
#[must_use]
pub fn small(value: f64, unit: Unit) -> String {
    if value.abs() > 1e-9 && value.abs() < 1.0 / 32.0 {
        return match unit {
            Unit::Inch => "less than 1/16\"".to_owned(),
            _ => "less than 1 mm".to_owned(),
        };
    }
    inches(value.abs(), unit)
}

/// What stands in the place of a length that nobody knows.
pub const NOT_ON_RECORD: &str = "not on record";

/// An amount of money.
#[must_use]
pub fn money(cents: i64, currency: &str) -> String {
    format!("{}.{:02} {currency}", cents / 100, (cents % 100).abs()).trim_end().to_owned()
}

/// A chance in words people use: whole percent, never 0 or 100.
#[must_use]
pub fn percent(chance: f64) -> String {
    match (chance * 100.0).round() {
        p if p < 1.0 => "under 1 %".to_owned(),
        p if p > 99.0 => "over 99 %".to_owned(),
        p => format!("{p} %"),
    }
}

/// A number of whole turns, whichever way: `1 full turn`, `11 full turns`.
#[must_use]
pub fn full_turns(count: i32) -> String {
    turns(f64::from(count.abs())).replacen(" turn", " full turn", 1)
}

/// What is done with turns: they are put in (+) or taken out (-).
#[must_use]
pub const fn to_turn(turns: i32) -> &'static str {
    if turns > 0 { "put in" } else { "take out" }
}

/// A number of turns: `1 turn`, `11 turns`, `2.5 turns`.
#[must_use]
pub fn turns(count: f64) -> String {
    let rounded = (count * 10.0).round() / 10.0;
    if (rounded.abs() - 1.0).abs() < 1e-9 { format!("{rounded} turn") } else { format!("{rounded} turns") }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{Measure, parse_length};

    #[test]
    fn what_is_shown_exactly_is_read_back_as_it_was() {
        for unit in [Unit::Inch, Unit::Cm, Unit::Mm] {
            for value in [6.875, 7.0, 6.9291, 57.0 + 1.0 / 3.0, 0.0625] {
                let shown = exactly(value, unit);
                let read = parse_length(&shown, unit, Measure::Serving)
                    .or_else(|_| parse_length(&shown, unit, Measure::StringLength));
                assert!((read.unwrap().inches() - value).abs() < 6e-5, "{value} is shown as {shown}");
            }
        }
        assert_eq!(exactly(6.875, Unit::Inch), "6 7/8\"");
    }

    #[test]
    fn no_limit_is_widened_in_millimetres() {
        assert_eq!(range(7.5, 8.0, Unit::Inch), "7 1/2\" to 8\"");
        // 19.05 cm to 20.32 cm; the nearest millimetres would be 19.1 and 20.3.
        assert_eq!(range(7.5, 8.0, Unit::Cm), "19.1 cm to 20.3 cm");
        // 18.415 cm to 20.955 cm: the nearest would be 18.4 and 21.0.
        assert_eq!(range(7.25, 8.25, Unit::Cm), "18.5 cm to 20.9 cm");
        assert_eq!(range(19.0 / 2.54, 20.0 / 2.54, Unit::Mm), "190 mm to 200 mm");
        for step in 0..200 {
            let (low, high) = (7.0 + f64::from(step) / 160.0, 7.5 + f64::from(step) / 130.0);
            let number = |text: &str| text.trim_end_matches(" mm").parse::<f64>().unwrap() / 25.4;
            let (from, to) = ends(low, high, Unit::Mm);
            assert!(
                number(&from) > low - 0.005 && number(&to) < high + 0.005,
                "{low} to {high}: {from} to {to}"
            );
        }
    }
}
