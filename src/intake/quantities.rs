//! Cells that hold measured values: how each is read, and its canonical form.

use super::cells::Cells;
use crate::quantity::{
    DrawWeight, Length, Measure, QuantityError, Turns, parse_draw_weight, parse_length, parse_money,
    parse_turn_count, parse_turns,
};
use crate::trade::plausible;

/// What is expected instead of a refused text: `a brace height such as 7 3/4 or 19.7 cm (…)`.
pub(super) fn expected(what: &str, error: &QuantityError) -> String {
    let [first, second] = &error.accepted;
    let likely = error.likely.as_ref().map(|likely| format!("; likely meant: {likely}")).unwrap_or_default();
    format!("{what} such as {first} or {second} ({}{likely})", error.reason)
}

/// A measured number as two equal values share it: at most four decimals, no idle zeros.
pub(super) fn canonical_number(value: f64) -> String {
    // Adding zero turns a negative zero into zero.
    format!("{}", (value * 1e4).round() / 1e4 + 0.0)
}

impl Cells<'_> {
    /// A length; its canonical form is decimal inches.
    pub(super) fn length(&mut self, column: &'static str, what: Measure) -> Option<Length> {
        let unit = self.rules.units;
        let article = if what == Measure::Offset { "an" } else { "a" };
        self.read_once(
            column,
            |text| {
                parse_length(text, unit, what)
                    .map_err(|error| expected(&format!("{article} {}", what.name()), &error))
            },
            |length| canonical_number(length.inches()),
        )
    }

    /// An offset: a positive number that is taken off.
    pub(super) fn offset(&mut self, column: &'static str) -> Option<Length> {
        let unit = self.rules.units;
        let parse = |text: &str| {
            let offset =
                parse_length(text, unit, Measure::Offset).map_err(|error| expected("an offset", &error))?;
            Ok(plausible::offset(offset, unit)?)
        };
        self.read_once(column, parse, |length| canonical_number(length.inches()))
    }

    /// A draw weight; its canonical form is pounds, and inches of draw behind an `@`.
    pub(super) fn draw_weight(&mut self, column: &'static str) -> Option<DrawWeight> {
        self.read_once(
            column,
            |text| parse_draw_weight(text).map_err(|error| expected("a draw weight", &error)),
            |weight| {
                let pounds = canonical_number(weight.pounds());
                match weight.at() {
                    Some(length) => format!("{pounds}@{}", canonical_number(length.inches())),
                    None => pounds,
                }
            },
        )
    }

    /// An amount of money in minor units; its canonical form is these.
    pub(super) fn money(&mut self, column: &'static str) -> Option<i64> {
        self.read_once(
            column,
            |text| parse_money(text).map_err(|error| expected("an amount", &error)),
            i64::to_string,
        )
    }

    /// Turns counted in a string.
    pub(super) fn turn_count(&mut self, column: &'static str) -> Option<Turns> {
        let parse = |text: &str| {
            let turns = parse_turn_count(text).map_err(|error| expected("a count of full turns", &error))?;
            Ok(plausible::turns_in_string(turns)?)
        };
        self.read_once(column, parse, |turns| canonical_number(turns.value()))
    }

    /// Turns put in (+) or taken out (-).
    pub(super) fn turn_change(&mut self, column: &'static str) -> Option<Turns> {
        let parse = |text: &str| {
            let turns = parse_turns(text).map_err(|error| expected("a change of full turns", &error))?;
            Ok(plausible::turns_changed(turns)?)
        };
        self.read_once(column, parse, |turns| canonical_number(turns.value()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Unit;

    #[test]
    fn equal_lengths_share_one_canonical_form() {
        for text in ["62 1/2", "62.5 in", "158,75 cm", "1587.5mm", "5' 2 1/2\""] {
            let length = parse_length(text, Unit::Inch, Measure::StringLength).unwrap();
            assert_eq!(canonical_number(length.inches()), "62.5", "{text}");
        }
        assert_eq!(canonical_number(-0.000_01), "0");
    }
}
