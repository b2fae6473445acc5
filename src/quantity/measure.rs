//! What is measured, and which values of it can be believed.

use super::length::Length;
use super::show::{number_in, with_short_unit};
use super::unit::Unit;

/// Slack at the ends of a range, in inches, so that an end written in another
/// unit is not lost to the rounding of the conversion.
const SLACK_INCHES: f64 = 1e-9;

/// What a length is the measure of, which decides what values can be believed.
///
/// Each has a plausible range, for bare numbers whose unit is only assumed, and
/// a wider possible range, for values with their unit written. Both are common
/// sense about bows and strings; their ends are the workshop's judgement and
/// have no published source.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Measure {
    /// String to the deepest part of the grip on the braced bow.
    Brace,
    /// The brace height wished for.
    WantedBrace,
    /// Length of a string between the ends of its loops.
    StringLength,
    /// Marked or measured length of a bow.
    BowLength,
    /// Bow length minus string length.
    Offset,
    /// Middle of the serving above (+) or below (-) the middle of the string.
    Serving,
    /// Free string between the points where it first touches the limbs.
    FreeString,
    /// Distance between the ends of the stiff middle of the bow.
    FadeSpan,
    /// String to limb axis at the fades.
    FadeGap,
    /// Fade to nock along the limb.
    FadeToNock,
    /// A loop of the string, from its end to where the body begins.
    Loop,
    /// Length of string over which turns are counted.
    BodySpan,
    /// A small length of the settings: play, tolerance, spread, rounding.
    Small,
}

/// The ends of the two ranges of a measure and an everyday value, in inches.
///
/// For a measure with a sign the ends hold either way.
struct Limits {
    plausible: (f64, f64),
    possible: (f64, f64),
    example: f64,
}

impl Measure {
    /// What the measure is called in a sentence, without an article.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Brace => "brace height",
            Self::WantedBrace => "wanted brace height",
            Self::StringLength => "string length",
            Self::BowLength => "bow length",
            Self::Offset => "offset",
            Self::Serving => "serving position",
            Self::FreeString => "free string length",
            Self::FadeSpan => "fade span",
            Self::FadeGap => "fade gap",
            Self::FadeToNock => "fade-to-nock length",
            Self::Loop => "loop length",
            Self::BodySpan => "length over which turns were counted",
            Self::Small => "small length",
        }
    }

    /// The name with its article, "a brace height".
    pub(super) fn a_name(self) -> String {
        let article = if self == Self::Offset { "an" } else { "a" };
        format!("{article} {}", self.name())
    }

    /// Whether a plus or minus before the number means something.
    pub(super) fn is_signed(self) -> bool {
        matches!(self, Self::Offset | Self::Serving)
    }

    /// Whether the measure can be nothing at all.
    pub(super) fn may_be_zero(self) -> bool {
        matches!(self, Self::Offset | Self::Serving | Self::Loop | Self::FadeSpan | Self::Small)
    }

    /// What is possible lies within what a book takes: see the CHECKs of its first migration.
    fn limits(self) -> Limits {
        let (plausible, possible, example) = match self {
            // No bow of any kind known to us is braced beyond a foot or so.
            Self::Brace | Self::WantedBrace => ((4.0, 12.0), (2.0, 14.0), 7.75),
            Self::StringLength => ((30.0, 90.0), (10.0, 120.0), 62.5),
            Self::BowLength => ((36.0, 96.0), (12.0, 120.0), 66.0),
            Self::Offset => ((0.0, 8.0), (0.0, 20.0), 3.5),
            Self::Serving => ((0.0, 6.0), (0.0, 20.0), -1.0),
            Self::FreeString => ((20.0, 90.0), (8.0, 120.0), 48.5),
            // A bow that bends through the grip has none.
            Self::FadeSpan => ((0.0, 40.0), (0.0, 80.0), 18.5),
            Self::FadeGap => ((1.0, 14.0), (0.25, 24.0), 6.5),
            Self::FadeToNock => ((8.0, 48.0), (2.0, 72.0), 24.5),
            Self::Loop => ((0.0, 8.0), (0.0, 20.0), 2.5),
            Self::BodySpan => ((2.0, 60.0), (0.5, 120.0), 10.0),
            Self::Small => ((0.0, 3.0), (0.0, 6.0), 0.125),
        };
        Limits { plausible, possible, example }
    }

    /// Whether a bare number may be so many inches.
    pub(super) fn is_plausible(self, inches: f64) -> bool {
        self.fits(inches, self.limits().plausible)
    }

    /// Whether a number with its unit written may be so many inches.
    pub(super) fn is_possible(self, inches: f64) -> bool {
        self.fits(inches, self.limits().possible)
    }

    fn fits(self, inches: f64, (low, high): (f64, f64)) -> bool {
        let size = if self.is_signed() { inches.abs() } else { inches };
        size >= low - SLACK_INCHES && size <= high + SLACK_INCHES && (self.may_be_zero() || size > 0.0)
    }

    /// The plausible range in words, "4 to 12 in".
    pub(super) fn plausible_in_words(self, unit: Unit) -> String {
        self.in_words(self.limits().plausible, unit)
    }

    /// The possible range in words, "1 to 20 in".
    pub(super) fn possible_in_words(self, unit: Unit) -> String {
        self.in_words(self.limits().possible, unit)
    }

    fn in_words(self, (low, high): (f64, f64), unit: Unit) -> String {
        let low = if self.is_signed() { -high } else { low };
        let [low, high] = [low, high].map(example_length);
        format!("{} to {}", number_in(low, unit), with_short_unit(high, unit))
    }

    /// Two spellings of an everyday value: bare in `unit`, and with another unit.
    pub(super) fn spellings(self, unit: Unit) -> [String; 2] {
        let example = example_length(self.limits().example);
        [number_in(example, unit), with_short_unit(example, other_unit(unit))]
    }

    /// Two spellings of an everyday range: bare in `unit`, and with another unit.
    pub(super) fn range_spellings(self, unit: Unit) -> [String; 2] {
        let low = self.limits().example;
        let width = if self == Self::Small { 0.125 } else { 0.5 };
        let [low, high] = [low, low + width].map(example_length);
        let other = other_unit(unit);
        [
            format!("{} to {}", number_in(low, unit), number_in(high, unit)),
            format!("{} to {}", number_in(low, other), with_short_unit(high, other)),
        ]
    }
}

/// The unit in which the second spelling of an example is given.
fn other_unit(unit: Unit) -> Unit {
    match unit {
        Unit::Inch => Unit::Cm,
        Unit::Cm | Unit::Mm => Unit::Inch,
    }
}

/// A length out of the table above, all of which are far inside what a length can be.
fn example_length(inches: f64) -> Length {
    Length::try_from_inches(inches).unwrap_or(Length::ZERO)
}

#[cfg(test)]
impl Measure {
    /// Every measure.
    pub(super) const ALL: [Self; 13] = [
        Self::Brace,
        Self::WantedBrace,
        Self::StringLength,
        Self::BowLength,
        Self::Offset,
        Self::Serving,
        Self::FreeString,
        Self::FadeSpan,
        Self::FadeGap,
        Self::FadeToNock,
        Self::Loop,
        Self::BodySpan,
        Self::Small,
    ];

    /// The ends between which a number is taken whose unit is written, in inches.
    pub(crate) fn possible_ends(self) -> (f64, f64) {
        let (low, high) = self.limits().possible;
        (if self.is_signed() { -high } else { low }, high)
    }

    /// The ends between which a bare number is taken, in inches.
    pub(super) fn plausible_ends(self) -> (f64, f64) {
        let (low, high) = self.limits().plausible;
        (if self.is_signed() { -high } else { low }, high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::{parse_length, parse_range};

    #[test]
    fn every_proposed_spelling_is_taken() {
        for what in Measure::ALL {
            for unit in Unit::ALL {
                for text in what.spellings(unit) {
                    let read = parse_length(&text, unit, what);
                    assert!(read.is_ok(), "{what:?} {unit}: {text}: {read:?}");
                }
                for text in what.range_spellings(unit) {
                    let read = parse_range(&text, unit, what);
                    assert!(read.is_ok(), "{what:?} {unit}: {text}: {read:?}");
                }
            }
        }
    }

    #[test]
    fn what_is_plausible_is_possible() {
        for what in Measure::ALL {
            let limits = what.limits();
            assert!(limits.possible.0 <= limits.plausible.0, "{what:?}");
            assert!(limits.possible.1 >= limits.plausible.1, "{what:?}");
        }
    }

    #[test]
    fn ranges_in_words_name_both_ends() {
        assert_eq!(Measure::Brace.plausible_in_words(Unit::Inch), "4 to 12 in");
        assert_eq!(Measure::Brace.possible_in_words(Unit::Mm), "51 to 356 mm");
        assert_eq!(Measure::Serving.plausible_in_words(Unit::Inch), "-6 to 6 in");
    }
}
