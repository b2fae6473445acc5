//! What a thing may be: one rule for each thing, whichever door it comes in by (an option, a file
//! to import, a mail, a form). A door reads the text and says where it stood; what it may be is said
//! here. A book takes all of it, and more: a rule that gets stricter makes nothing unreadable.
//!
//! The bounds are judgement, no source, unless a line says otherwise: they stand far outside what a
//! workshop meets, to catch slips of the pen and of the unit.

use chrono::NaiveDate;
use thiserror::Error;

use super::rules::Rules;
use super::sizing::{Start, follows};
use super::words::Route;
use crate::mechanics::twist::Yarn;
use crate::quantity::{Length, LengthRange, Turns, Unit, show_length};
use crate::words::is_unsafe;

/// Something that cannot be: what is wrong, and what would do in its place.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
#[error("{said}")]
pub struct Implausible {
    /// What is wrong, as a sentence without its stop.
    pub said: String,
    /// What would do, such as "a whole number from 2 to 100".
    pub needed: String,
}

/// For a door that tells of what would do alone.
impl From<Implausible> for String {
    fn from(error: Implausible) -> Self {
        error.needed
    }
}

fn refused(said: impl Into<String>, needed: impl Into<String>) -> Implausible {
    Implausible { said: said.into(), needed: needed.into() }
}

/// Whole numbers that a thing may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Whole {
    /// The least.
    pub low: u32,
    /// The greatest.
    pub high: u32,
}

/// Strands in the whole string.
pub const STRANDS: Whole = Whole { low: 2, high: 100 };

/// Plies that are laid together.
pub const PLIES: Whole = Whole { low: 2, high: 3 };

/// Readings that a brace height is the mean of; three are asked for.
pub const READINGS: Whole = Whole { low: 1, high: 100 };

/// Shots of one string: ten years of 250 a day.
pub const SHOTS: Whole = Whole { low: 0, high: 1_000_000 };

impl Whole {
    /// The number, if it is one of them.
    ///
    /// # Errors
    /// It is none of them.
    pub fn check(self, number: u32) -> Result<u32, Implausible> {
        if (self.low..=self.high).contains(&number) {
            Ok(number)
        } else {
            Err(refused(format!("{number} cannot be"), self.needed()))
        }
    }

    /// What would do.
    #[must_use]
    pub fn needed(self) -> String {
        format!("a whole number from {} to {}", self.low, self.high)
    }
}

/// Oldest year in which a bow that is still shot was made.
pub const FIRST_BOW_YEAR: i32 = 1800;

/// The year in which a bow was made.
///
/// # Errors
/// It is before all bows that are shot, or ahead.
pub fn bow_year(year: i32, this_year: i32) -> Result<i32, Implausible> {
    if (FIRST_BOW_YEAR..=this_year).contains(&year) {
        Ok(year)
    } else {
        Err(refused(
            format!("{year} is no year in which a bow that is shot today was made"),
            format!("a year from {FIRST_BOW_YEAR} to {this_year}"),
        ))
    }
}

/// Most turns in a string. A helix of 20 degrees, beyond which nothing is turned (method M09), has
/// 1.4 of them an inch in a string of usual thickness; the thinnest and longest come near this.
pub const MOST_TURNS: f64 = 200.0;

/// Turns that are in a string.
///
/// # Errors
/// There are too many, or fewer than none.
pub fn turns_in_string(turns: Turns) -> Result<Turns, Implausible> {
    if (0.0..=MOST_TURNS).contains(&turns.value()) {
        Ok(turns)
    } else {
        Err(refused(
            format!("{} turns are more than any string takes", turns.as_count()),
            format!("a count of full turns from 0 to {MOST_TURNS}"),
        ))
    }
}

/// Turns that were put in or taken out.
///
/// # Errors
/// There are more than any string has.
pub fn turns_changed(turns: Turns) -> Result<Turns, Implausible> {
    if turns.value().abs() <= MOST_TURNS {
        Ok(turns)
    } else {
        Err(refused(
            format!("{turns} turns are more than any string takes"),
            format!("a change of full turns from -{MOST_TURNS} to +{MOST_TURNS}"),
        ))
    }
}

/// Turns put in or taken out of a string that had so many.
///
/// # Errors
/// There are fewer than none left, or more than any string takes.
pub fn turns_after(before: f64, changed: Turns) -> Result<(), Implausible> {
    let left = before + changed.value();
    if left > MOST_TURNS {
        return Err(refused(
            format!("{left:.0} turns in all are more than any string takes"),
            "full turns put in (+) or taken out (-) since the last measurement; were shots meant?",
        ));
    }
    if left < 0.0 {
        return Err(refused(
            format!("{} turns out are more than the {before} turns in this string", -changed.value()),
            "full turns (two plies show two crossings for each); + is twist in, - is twist out",
        ));
    }
    Ok(())
}

/// Longest text of one line, characters.
pub const LONGEST_LINE: usize = 500;

/// Longest serial that fits a label, characters.
pub const LONGEST_SERIAL: usize = 80;

/// Longest name of a lot of yarn, characters.
pub const LONGEST_SPOOL: usize = 200;

/// Most initials of a maker, characters.
pub const MOST_INITIALS: usize = 12;

/// A text of one line, without the blanks around it.
///
/// # Errors
/// It is too long, or holds what could harm a terminal or a page.
pub fn one_line(text: &str, longest: usize) -> Result<String, Implausible> {
    let text = text.trim();
    if let Some((place, c)) = text.chars().enumerate().find(|&(_, c)| is_unsafe(c)) {
        return Err(refused(
            format!("character {} is U+{:04X}", place + 1, u32::from(c)),
            format!(
                "one line without control or invisible characters; character {} is U+{:04X}",
                place + 1,
                u32::from(c)
            ),
        ));
    }
    match text.chars().count() {
        count if count > longest => Err(refused(
            format!("it has {count} characters"),
            format!("at most {longest} characters, not {count}"),
        )),
        _ => Ok(text.to_owned()),
    }
}

/// A serial as it may be printed on a label.
///
/// # Errors
/// It is empty, or no such line.
pub fn serial(text: &str) -> Result<String, Implausible> {
    let serial = one_line(text, LONGEST_SERIAL)?;
    if serial.is_empty() {
        Err(refused("it is empty", "the serial as printed on the label"))
    } else {
        Ok(serial)
    }
}

/// An address for mail: one @ with something on both sides, and no blank.
///
/// # Errors
/// It is none.
pub fn address(text: &str) -> Result<String, Implausible> {
    let address = one_line(text, LONGEST_LINE)?;
    let is_address = address
        .split_once('@')
        .is_some_and(|(name, host)| !name.is_empty() && !host.is_empty() && !host.contains('@'))
        && !address.contains(char::is_whitespace);
    if is_address {
        Ok(address)
    } else {
        Err(refused(
            "it is no e-mail address",
            "an address with one @ and text on both sides, such as name@example.org",
        ))
    }
}

/// A day on which something happened.
///
/// # Errors
/// It lies ahead.
pub fn happened(day: NaiveDate, today: NaiveDate) -> Result<NaiveDate, Implausible> {
    if day > today {
        Err(refused(
            format!("{day} lies ahead of today, {today}"),
            format!("a date not after today, {today}"),
        ))
    } else {
        Ok(day)
    }
}

/// Days of sale and of delivery.
///
/// # Errors
/// It was delivered before it was sold.
pub fn delivered(delivered: NaiveDate, sold: NaiveDate) -> Result<(), Implausible> {
    if delivered < sold {
        return Err(refused(
            format!("delivered on {delivered} is before the sale on {sold}"),
            format!("a day not before the day of sale, {sold}"),
        ));
    }
    Ok(())
}

/// A report's day beside the serial of its string and the day that was sold.
///
/// # Errors
/// It came in before the string was sold.
pub fn reported(reported: NaiveDate, serial: &str, sold: NaiveDate) -> Result<(), Implausible> {
    if reported < sold {
        return Err(refused(
            format!("{reported} is before {serial} was sold, on {sold}"),
            format!("a day from the sale on {sold} on"),
        ));
    }
    Ok(())
}

/// A built length farther from the ordered one than this is a slip of the pen, inches.
const MOST_BUILT_OFF: f64 = 3.0;

/// Slack of a comparison, inches: what a conversion between units may lose.
const SLACK: f64 = 1e-9;

fn inches(inches: f64) -> Length {
    Length::try_from_inches(inches).unwrap_or(Length::ZERO)
}

/// A built length beside the ordered one.
///
/// # Errors
/// They are too far apart.
pub fn built(built: Length, ordered: Length, unit: Unit) -> Result<(), Implausible> {
    if (built - ordered).inches().abs() <= MOST_BUILT_OFF + SLACK {
        return Ok(());
    }
    let show = |length| show_length(length, unit);
    let most = show(inches(MOST_BUILT_OFF));
    Err(refused(
        format!("built {} and ordered {} are more than {most} apart", show(built), show(ordered)),
        format!("a length within {most} of the ordered {}", show(ordered)),
    ))
}

/// Brace heights lie between these parts of the string's length. Bows stand at about a
/// fourteenth (old longbows) to a sixth (short recurves) of it; beyond a thirtieth or a fourth
/// one of the two was read in another unit. Beside a string of no known length any will do.
const BRACE_SHARE: (f64, f64) = (1.0 / 30.0, 1.0 / 4.0);

/// The low end of a brace range beside the string's length.
///
/// # Errors
/// It is too low.
pub fn brace_low(low: Length, string: Option<Length>, unit: Unit) -> Result<(), Implausible> {
    let Some(string) = string else { return Ok(()) };
    if low.inches() >= string.inches() * BRACE_SHARE.0 - SLACK {
        return Ok(());
    }
    let show = |length| show_length(length, unit);
    Err(refused(
        format!("a brace height of {} is too little for a string of {}", show(low), show(string)),
        format!("at least a thirtieth of the string's length, {}; check both units", show(string)),
    ))
}

/// A brace height, or the high end of a brace range, beside the string's length. A string that came
/// far too long braces at next to nothing, so a height that was read has no low bound.
///
/// # Errors
/// It is too high.
pub fn brace_high(high: Length, string: Option<Length>, unit: Unit) -> Result<(), Implausible> {
    let Some(string) = string else { return Ok(()) };
    if high.inches() <= string.inches() * BRACE_SHARE.1 + SLACK {
        return Ok(());
    }
    let show = |length| show_length(length, unit);
    Err(refused(
        format!("a brace height of {} is too much for a string of {}", show(high), show(string)),
        format!("at most a quarter of the string's length, {}; check both units", show(string)),
    ))
}

/// A brace range beside the string's length.
///
/// # Errors
/// One of its ends cannot be.
pub fn brace_range(range: LengthRange, string: Option<Length>, unit: Unit) -> Result<(), Implausible> {
    brace_low(range.low(), string, unit)?;
    brace_high(range.high(), string, unit)
}

/// An offset that is told of one string: many write a minus for what is taken off, and a few mean
/// what is added, so it has no sign. Where the workshop adds, its setting is below zero.
///
/// # Errors
/// It is below zero.
pub fn offset(offset: Length, unit: Unit) -> Result<Length, Implausible> {
    if offset >= Length::ZERO {
        return Ok(offset);
    }
    let show = |length| show_length(length, unit);
    Err(refused(
        format!("an offset of {} is below zero", show(offset)),
        format!(
            "a positive number, which is taken off the stated measure; write {} if so much is taken off",
            show(-offset)
        ),
    ))
}

/// What a string was sized by beside its route.
///
/// # Errors
/// Nobody knows how it was sized, and yet a measure or an offset is told.
pub fn sized_by(route: Route, stated: Option<Length>, offset: Option<Length>) -> Result<(), Implausible> {
    if route != Route::Unknown || stated.is_none() && offset.is_none() {
        return Ok(());
    }
    Err(refused(
        format!(
            "of a string whose sizing nobody knows (route {route}) there is no stated measure and no offset"
        ),
        format!(
            "the route that was gone, or nothing with route {route}; a length that is known is the ordered one"
        ),
    ))
}

/// A lot of yarn beside the yarn of a string that carries it.
///
/// # Errors
/// The lot is known to be of another yarn.
pub fn lot(name: &str, of: Yarn, string: Yarn) -> Result<(), Implausible> {
    if of == string || of == Yarn::Unknown || string == Yarn::Unknown {
        return Ok(());
    }
    Err(refused(
        format!("the lot {name} is of {of}, and the string of {string}"),
        format!("a lot of {string}, or {of} as the yarn of the string"),
    ))
}

/// An ordered length beside what was stated and the offset.
///
/// # Errors
/// It does not follow from them (see [`follows`]).
pub fn ordered(ordered: Length, start: &Start, offset: Length, rules: &Rules) -> Result<(), Implausible> {
    if follows(ordered, start, offset, rules) {
        return Ok(());
    }
    let show = |length| show_length(length, rules.units);
    let stated = inches(start.stated);
    let sum = format!("the stated measure {} less the offset {}", show(stated), show(offset));
    Err(refused(
        format!("an ordered length of {} is not {sum}", show(ordered)),
        format!("about {}, which is {sum}; correct one of the three", show(stated - offset)),
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_has_one_at_and_no_blank() {
        for good in ["name@example.org", " n@host ", "a.b+c@x"] {
            assert_eq!(address(good).as_deref(), Ok(good.trim()));
        }
        for bad in ["", "name", "@host", "name@", "a@b@c", "a b@x y", "a@b\u{200b}"] {
            assert!(address(bad).is_err(), "{bad}");
        }
    }

    #[test]
    fn what_lies_at_the_bounds_is_taken_and_what_lies_beyond_is_not() {
        for (bounds, low, high) in [(STRANDS, 2, 100), (PLIES, 2, 3), (READINGS, 1, 100)] {
            assert!(bounds.check(low).is_ok() && bounds.check(high).is_ok());
            assert!(bounds.check(low - 1).is_err() && bounds.check(high + 1).is_err());
        }
        let turns = |turns| Turns::new(turns).unwrap();
        assert!(turns_in_string(turns(200.0)).is_ok() && turns_in_string(turns(200.5)).is_err());
        assert!(turns_in_string(turns(-1.0)).is_err());
        assert!(turns_changed(turns(-200.0)).is_ok() && turns_changed(turns(-200.5)).is_err());
        assert!(turns_after(24.0, turns(-24.0)).is_ok() && turns_after(24.0, turns(-25.0)).is_err());
        assert!(turns_after(24.0, turns(176.0)).is_ok() && turns_after(24.0, turns(177.0)).is_err());
        assert!(bow_year(1800, 2026).is_ok() && bow_year(2026, 2026).is_ok());
        assert!(bow_year(1799, 2026).is_err() && bow_year(2027, 2026).is_err());
    }

    #[test]
    fn what_is_refused_is_told_with_what_would_do() {
        let error = built(inches(62.0), inches(58.0), Unit::Inch).unwrap_err();
        assert_eq!(error.said, "built 62\" and ordered 58\" are more than 3\" apart");
        assert_eq!(error.needed, "a length within 3\" of the ordered 58\"");
    }
}
