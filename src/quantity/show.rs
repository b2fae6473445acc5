//! Lengths as people read them.

use super::length::{Length, LengthRange, MILLIMETRES_PER_INCH};
use super::unit::Unit;

/// Finest fraction of an inch shown to people; a tape has no finer line.
const PARTS_OF_AN_INCH: u32 = 16;

/// Finest fraction shown where the workshop itself rounds more finely.
const FINE_PARTS_OF_AN_INCH: u32 = 64;

/// A spread that is above a step by no more than this share of one is that step:
/// sums of decimals seldom come out even.
const SHARE_OF_A_STEP: f64 = 1e-6;

/// `length` for people: `7 3/4"` to the nearest 1/16, `19.7 cm` or `197 mm`.
#[must_use]
pub fn show_length(length: Length, unit: Unit) -> String {
    with_mark(&number_in(length, unit), unit)
}

/// `length` rounded to a multiple of `step_inches`, then shown.
///
/// A step finer than 1/16 in is shown in the fractions it needs, down to 1/64.
/// A step that is zero, negative or not finite rounds nothing.
#[must_use]
pub fn show_rounded(length: Length, step_inches: f64, unit: Unit) -> String {
    let rounded = length.round_to(step_inches);
    let is_fine = step_inches > 0.0 && step_inches < 1.0 / f64::from(PARTS_OF_AN_INCH);
    if unit == Unit::Inch && is_fine {
        let number = fraction(rounded.inches(), FINE_PARTS_OF_AN_INCH);
        return with_mark(&number, unit);
    }
    show_length(rounded, unit)
}

/// A difference for people, with its sign: `+1/4"`; nothing at all is `0"`.
#[must_use]
pub fn show_signed(length: Length, unit: Unit) -> String {
    let shown = show_length(length, unit);
    // Whether it is shown as zero is decided after rounding.
    if shown.starts_with('-') || !shown.contains(|c: char| ('1'..='9').contains(&c)) {
        shown
    } else {
        format!("+{shown}")
    }
}

/// A range for people, `7 1/2" to 8"`; one value where both ends look the same.
#[must_use]
pub fn show_range(range: LengthRange, unit: Unit) -> String {
    let low = show_length(range.low(), unit);
    let high = show_length(range.high(), unit);
    if low == high {
        return low;
    }
    format!("{low} to {high}")
}

/// Standard normal quantile of 95 %: nine in ten lie within so many standard deviations either way
/// (Abramowitz & Stegun 1964, table 26.1). Method V24.
const NINE_IN_TEN: f64 = 1.644_853_6;

/// A forecast length with where nine in ten read, `7 3/4"; nine in ten read between 7 1/2" and 8"`.
/// Method V24.
///
/// The 90 % range of the standard deviation in inches, rounded outwards to 1/16 in or 1 mm, and at
/// least that far either way, since no more is known of a length than a tape can show. A deviation
/// that is negative or not finite gives no range.
#[must_use]
pub fn show_forecast(length: Length, sd_inches: f64, unit: Unit) -> String {
    let shown = show_length(length, unit);
    let step_inches = match unit {
        Unit::Inch => 1.0 / f64::from(PARTS_OF_AN_INCH),
        // A tenth of a centimetre is a millimetre.
        Unit::Cm | Unit::Mm => 1.0 / MILLIMETRES_PER_INCH,
    };
    let off = (NINE_IN_TEN * sd_inches).max(step_inches / 2.0);
    let steps = |inches: f64| inches / step_inches;
    let ends = (sd_inches >= 0.0).then_some((
        (steps(length.inches() - off) + SHARE_OF_A_STEP).floor(),
        (steps(length.inches() + off) - SHARE_OF_A_STEP).ceil(),
    ));
    let end = |steps: f64| Length::try_from_inches(steps * step_inches).map(|end| show_length(end, unit));
    match ends.and_then(|(low, high)| end(low).zip(end(high))) {
        Some((low, high)) => format!("{shown}; nine in ten read between {low} and {high}"),
        None => format!("{shown}; how far it may be off is not known"),
    }
}

/// The number of `length` in `unit`, rounded as for people, without the unit.
pub(super) fn number_in(length: Length, unit: Unit) -> String {
    match unit {
        Unit::Inch => fraction(length.inches(), PARTS_OF_AN_INCH),
        // The tenth is rounded first, halves outward, as the other units are.
        Unit::Cm => format!("{:.1}", length.mm().round() / 10.0 + 0.0),
        Unit::Mm => format!("{:.0}", length.mm().round() + 0.0),
    }
}

/// `length` with the unit as a word, as it stands in messages: `7 3/4 in`.
pub(super) fn with_short_unit(length: Length, unit: Unit) -> String {
    let word = match unit {
        Unit::Inch => "in",
        Unit::Cm => "cm",
        Unit::Mm => "mm",
    };
    format!("{} {word}", number_in(length, unit))
}

fn with_mark(number: &str, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{number}\""),
        Unit::Cm => format!("{number} cm"),
        Unit::Mm => format!("{number} mm"),
    }
}

/// `value` as a mixed number with the nearest of so many parts, reduced: `-7 3/4`.
///
/// `parts` is a power of two. Values beyond 2^53 parts do not occur: a length is
/// at most 1e5 in and a count of turns at most 500.
pub(super) fn fraction(value: f64, parts: u32) -> String {
    let in_parts = (value * f64::from(parts)).round();
    let sign = if in_parts < 0.0 { "-" } else { "" };
    let whole = (in_parts.abs() / f64::from(parts)).floor();
    let mut numerator = in_parts.abs() - whole * f64::from(parts);
    let mut denominator = parts;
    while numerator > 0.0 && (numerator / 2.0).fract() == 0.0 && denominator > 1 {
        numerator /= 2.0;
        denominator /= 2;
    }
    match (whole > 0.0, numerator > 0.0) {
        (_, false) => format!("{sign}{whole}"),
        (true, true) => format!("{sign}{whole} {numerator}/{denominator}"),
        (false, true) => format!("{sign}{numerator}/{denominator}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn inches(value: f64) -> Length {
        Length::try_from_inches(value).unwrap()
    }

    #[test]
    fn inches_are_shown_in_reduced_sixteenths() {
        for (value, shown) in [
            (7.75, "7 3/4\""),
            (-0.5, "-1/2\""),
            (0.0, "0\""),
            (-0.02, "0\""),
            (7.97, "8\""),
            (7.96, "7 15/16\""),
            (-7.03125, "-7 1/16\""),
            (1e5, "100000\""),
        ] {
            assert_eq!(show_length(inches(value), Unit::Inch), shown);
        }
    }

    #[test]
    fn metric_lengths_are_shown_to_the_millimetre() {
        assert_eq!(show_length(inches(7.75), Unit::Cm), "19.7 cm");
        assert_eq!(show_length(inches(7.75), Unit::Mm), "197 mm");
        assert_eq!(show_length(inches(-0.001), Unit::Cm), "0.0 cm");
        assert_eq!(show_length(inches(-0.001), Unit::Mm), "0 mm");
    }

    #[test]
    fn a_step_rounds_before_showing() {
        assert_eq!(show_rounded(inches(62.55), 0.125, Unit::Inch), "62 1/2\"");
        assert_eq!(show_rounded(inches(62.55), 0.125, Unit::Mm), "1588 mm");
        assert_eq!(show_rounded(inches(7.03125), 1.0 / 32.0, Unit::Inch), "7 1/32\"");
        assert_eq!(show_rounded(inches(7.55), f64::NAN, Unit::Inch), "7 9/16\"");
    }

    #[test]
    fn a_signed_length_shows_its_sign_unless_it_is_nothing() {
        assert_eq!(show_signed(inches(0.25), Unit::Inch), "+1/4\"");
        assert_eq!(show_signed(inches(-0.25), Unit::Inch), "-1/4\"");
        assert_eq!(show_signed(inches(0.01), Unit::Inch), "0\"");
        assert_eq!(show_signed(inches(0.25), Unit::Cm), "+0.6 cm");
        assert_eq!(show_signed(inches(10.0), Unit::Mm), "+254 mm");
        assert_eq!(show_signed(inches(0.001), Unit::Cm), "0.0 cm");
    }

    #[test]
    fn a_range_is_shown_by_its_ends() {
        let range = LengthRange::new(inches(7.5), inches(8.0)).unwrap();
        assert_eq!(show_range(range, Unit::Inch), "7 1/2\" to 8\"");
        assert_eq!(show_range(range, Unit::Cm), "19.1 cm to 20.3 cm");
        let single = LengthRange::new(inches(8.0), inches(8.0)).unwrap();
        assert_eq!(show_range(single, Unit::Inch), "8\"");
    }

    #[test]
    fn a_forecast_says_where_nine_in_ten_read_and_rounds_outwards() {
        for (sd, unit, shown) in [
            // 1.645 x 0.1 = 0.164: beyond 1/8, so 3/16.
            (0.1, Unit::Inch, "7 3/4\"; nine in ten read between 7 9/16\" and 7 15/16\""),
            (0.0, Unit::Inch, "7 3/4\"; nine in ten read between 7 11/16\" and 7 13/16\""),
            (0.1, Unit::Cm, "19.7 cm; nine in ten read between 19.2 cm and 20.2 cm"),
            (0.1, Unit::Mm, "197 mm; nine in ten read between 192 mm and 202 mm"),
            (f64::NAN, Unit::Mm, "197 mm; how far it may be off is not known"),
            (f64::INFINITY, Unit::Inch, "7 3/4\"; how far it may be off is not known"),
            (-1.0, Unit::Inch, "7 3/4\"; how far it may be off is not known"),
        ] {
            assert_eq!(show_forecast(inches(7.75), sd, unit), shown);
        }
        // What lies on a line of the ruler already stays there.
        let on_the_line = 0.25 / 1.644_853_6;
        assert!(show_forecast(inches(7.75), on_the_line, Unit::Inch).ends_with("between 7 1/2\" and 8\""));
    }
}
