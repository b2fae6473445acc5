//! One written length: its sign, number and unit, and whether a measure can be that.

use super::error::Refusal;
use super::length::Length;
use super::measure::Measure;
use super::number::{Form, Number, any_of, decimal, plain, read_number};
use super::show::with_short_unit;
use super::text::{Kind, Token};
use super::unit::{Unit, WrittenUnit};

/// Most other readings that a refusal proposes.
const MOST_READINGS: usize = 3;

/// The sign before a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sign {
    Plus,
    Minus,
}

/// A written length whose value has not been judged yet.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Written {
    pub(super) sign: Option<Sign>,
    pub(super) number: Number,
    /// The unit behind the number; inches where feet and inches are written.
    pub(super) unit: Option<WrittenUnit>,
}

/// Reads the sign that stands at `*at`, if any, and moves past it.
pub(super) fn read_sign(tokens: &[Token], at: &mut usize) -> Option<Sign> {
    let sign = match tokens.get(*at)?.kind {
        Kind::Plus => Sign::Plus,
        // At the start there is nothing to join or to separate.
        Kind::Hyphen | Kind::Dash => Sign::Minus,
        _ => return None,
    };
    *at += 1;
    Some(sign)
}

/// Why the part at `at` cannot stand there.
pub(super) fn out_of_place(tokens: &[Token], at: usize) -> Refusal {
    let Some(token) = tokens.get(at) else {
        return Refusal::new("a number is missing");
    };
    match &token.kind {
        _ if at > 0 && token.starts_number() => Refusal::new("it holds two numbers where one is asked for"),
        Kind::Word(word) if WrittenUnit::from_word(word).is_some() => {
            Refusal::new(format!("the unit {} is out of place", token.in_words()))
        }
        Kind::Word(_) | Kind::Other(_) => {
            Refusal::new(format!("{} is no part of a measurement", token.in_words()))
        }
        _ => Refusal::new(format!("{} is out of place", token.in_words())),
    }
}

fn read_unit(tokens: &[Token], at: &mut usize) -> Option<WrittenUnit> {
    let unit = match &tokens.get(*at)?.kind {
        Kind::InchMark => WrittenUnit::Inch,
        Kind::FootMark => WrittenUnit::Foot,
        Kind::Word(word) => WrittenUnit::from_word(word)?,
        _ => return None,
    };
    *at += 1;
    Some(unit)
}

/// Reads all of `tokens` as one length.
pub(super) fn read_written(tokens: &[Token]) -> Result<Written, Refusal> {
    let mut at = 0;
    let sign = read_sign(tokens, &mut at);
    let Some(mut number) = read_number(tokens, &mut at)? else {
        return Err(out_of_place(tokens, at));
    };
    let mut unit = read_unit(tokens, &mut at);
    if unit == Some(WrittenUnit::Foot) && at < tokens.len() {
        let inches = read_inches_beside_feet(tokens, &mut at, &number)?;
        number = Number { value: WrittenUnit::Foot.to_inches(number.value) + inches, form: Form::Mixed };
        unit = Some(WrittenUnit::Inch);
    }
    if at < tokens.len() {
        return Err(out_of_place(tokens, at));
    }
    Ok(Written { sign, number, unit })
}

/// Reads the `2"` of `5' 2"`, of `5'-2"`, or of `5'2`.
fn read_inches_beside_feet(tokens: &[Token], at: &mut usize, feet: &Number) -> Result<f64, Refusal> {
    if tokens.get(*at).is_some_and(|token| token.kind == Kind::Hyphen && !token.spaced) {
        *at += 1;
    }
    let Some(inches) = read_number(tokens, at)? else {
        return Err(out_of_place(tokens, *at));
    };
    if feet.form != Form::Whole {
        return Err(Refusal::new("feet with inches beside them must be a whole number"));
    }
    inches.require_certain()?;
    if inches.value >= 12.0 {
        return Err(Refusal::new("inches beside feet must be below 12"));
    }
    let before = *at;
    match read_unit(tokens, at) {
        None | Some(WrittenUnit::Inch) => Ok(inches.value),
        Some(_) => Err(out_of_place(tokens, before)),
    }
}

impl Written {
    /// The length this is of `what`, a bare number being in `book` units.
    pub(super) fn judge(&self, book: Unit, what: Measure) -> Result<Length, Refusal> {
        let unit = self.unit.unwrap_or(book.into());
        let size = unit.to_inches(self.number.value);
        self.check_sign(unit, what)?;
        if size <= 0.0 && !what.may_be_zero() {
            return Err(Refusal::new(format!("{} cannot be zero", what.a_name())));
        }
        let inches = if self.sign == Some(Sign::Minus) { -size } else { size };
        let fits = match self.unit {
            None => what.is_plausible(inches),
            Some(_) => what.is_possible(inches),
        };
        let length = Length::try_from_inches(inches).filter(|_| fits);
        let Some(length) = length else {
            return Err(self.misfit(inches, unit, book, what));
        };
        let mixed = self.mixed_readings(unit, what);
        if !mixed.is_empty() {
            // Either reading can be meant, so neither is taken.
            return Err(Refusal::new(format!(
                "as a fraction it is {}, but it may be a mixed number that lost its space",
                self.say(self.number.value, unit)
            ))
            .likely(any_of(mixed)));
        }
        Ok(length)
    }

    fn check_sign(&self, unit: WrittenUnit, what: Measure) -> Result<(), Refusal> {
        let reason = match self.sign {
            Some(_) if what.is_signed() => return Ok(()),
            None => return Ok(()),
            Some(Sign::Minus) => "cannot be negative",
            Some(Sign::Plus) => "is written without a sign",
        };
        let refusal = Refusal::new(format!("{} {reason}", what.a_name()));
        Err(if what.is_plausible(unit.to_inches(self.number.value)) {
            refusal.likely(in_unit(self.number.value, unit))
        } else {
            refusal
        })
    }

    /// Why the value cannot be one of `what`, and what would fit instead.
    fn misfit(&self, inches: f64, unit: WrittenUnit, book: Unit, what: Measure) -> Refusal {
        let value = self.say(self.number.value, unit);
        let shown_in = match unit {
            WrittenUnit::Inch | WrittenUnit::Foot => Unit::Inch,
            WrittenUnit::Cm => Unit::Cm,
            WrittenUnit::Mm => Unit::Mm,
        };
        let possible = what.possible_in_words(shown_in);
        let reason = if self.unit.is_some() {
            format!("{value} is impossible for {}, which is {possible}", what.a_name())
        } else {
            let plausible = what.plausible_in_words(shown_in);
            let way_out = if what.is_possible(inches) {
                format!(" (with its unit written, {possible} are taken)")
            } else {
                String::new()
            };
            format!("{value} is outside the {plausible} expected of {}{way_out}", what.a_name())
        };
        let mut readings = self.mixed_readings(unit, what);
        readings.extend(self.readings_in_other_units(unit, what));
        if let Form::Decimal { grouped: Some(grouped) } = self.number.form {
            let mut units = vec![unit, book.into()];
            units.dedup();
            readings.extend(units.into_iter().filter_map(|unit| self.reading(grouped, unit, what)));
        }
        readings.truncate(MOST_READINGS);
        Refusal::new(reason).likely(any_of(readings))
    }

    /// The plausible mixed numbers that the fraction may have been.
    ///
    /// Mixed numbers are mostly of inches, so a bare one is tried in these too.
    fn mixed_readings(&self, unit: WrittenUnit, what: Measure) -> Vec<String> {
        let Form::Improper { mixed } = &self.number.form else {
            return Vec::new();
        };
        let mut units = vec![unit];
        if self.unit.is_none() && unit != WrittenUnit::Inch {
            units.push(WrittenUnit::Inch);
        }
        units
            .into_iter()
            .flat_map(|unit| mixed.iter().map(move |&value| (value, unit)))
            .filter_map(|(value, unit)| self.reading(value, unit, what))
            .collect()
    }

    /// The same number in the units it can have been meant in; fractions are
    /// not proposed in metric units, where nobody writes them.
    fn readings_in_other_units(&self, unit: WrittenUnit, what: Measure) -> Vec<String> {
        let is_fraction = matches!(self.number.form, Form::Mixed | Form::Improper { .. });
        Unit::ALL
            .into_iter()
            .map(WrittenUnit::from)
            .filter(|&other| other != unit && (!is_fraction || other == WrittenUnit::Inch))
            .filter_map(|other| self.reading(self.number.value, other, what))
            .collect()
    }

    /// "197 mm, that is 7 3/4 in", if so much of that unit is plausible.
    fn reading(&self, value: f64, unit: WrittenUnit, what: Measure) -> Option<String> {
        let size = unit.to_inches(value);
        let inches = if self.sign == Some(Sign::Minus) { -size } else { size };
        let length = Length::try_from_inches(inches).filter(|_| what.is_plausible(inches))?;
        let said = self.say(value, unit);
        Some(if unit == WrittenUnit::Inch {
            said
        } else {
            format!("{said}, that is {}", with_short_unit(length, Unit::Inch))
        })
    }

    /// A value with this sign in some unit, as it stands in messages.
    fn say(&self, value: f64, unit: WrittenUnit) -> String {
        let sign = if self.sign == Some(Sign::Minus) { "-" } else { "" };
        format!("{sign}{}", in_unit(value, unit))
    }
}

/// A value in some unit, as it stands in messages.
fn in_unit(value: f64, unit: WrittenUnit) -> String {
    let number = match unit {
        WrittenUnit::Inch | WrittenUnit::Foot => plain(value),
        WrittenUnit::Cm | WrittenUnit::Mm => decimal(value),
    };
    format!("{number} {}", unit.short_name())
}
