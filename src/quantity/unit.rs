//! Units of length: the three a book can be kept in, and those people write.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

use super::error::{QuantityError, Refusal};
use super::length::MILLIMETRES_PER_INCH;
use super::text::{Kind, tokenize};

/// Inches in a foot.
const INCHES_PER_FOOT: f64 = 12.0;

/// The unit a book is kept in: that of bare numbers, and of what is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Unit {
    /// Inches with fractions.
    #[default]
    Inch,
    /// Centimetres.
    Cm,
    /// Millimetres.
    Mm,
}

impl Unit {
    /// Every unit, in the order in which other readings are proposed.
    pub(super) const ALL: [Self; 3] = [Self::Inch, Self::Cm, Self::Mm];

    /// Its name.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::Inch => "inch",
            Self::Cm => "cm",
            Self::Mm => "mm",
        }
    }

    /// The unit that stands behind the first number of a text that has one.
    ///
    /// ```
    /// use fistmele::quantity::Unit;
    ///
    /// assert_eq!(Unit::written_in("19,5cm"), Some(Unit::Cm));
    /// assert_eq!(Unit::written_in("7 3/4"), None);
    /// ```
    #[must_use]
    pub fn written_in(text: &str) -> Option<Self> {
        let tokens = tokenize(text).ok()?;
        tokens.windows(2).filter(|pair| pair[0].starts_number()).find_map(|pair| match &pair[1].kind {
            Kind::InchMark => Some(Self::Inch),
            Kind::Word(word) => match WrittenUnit::from_word(word)? {
                WrittenUnit::Inch => Some(Self::Inch),
                WrittenUnit::Cm => Some(Self::Cm),
                WrittenUnit::Mm => Some(Self::Mm),
                WrittenUnit::Foot => None,
            },
            _ => None,
        })
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.as_str())
    }
}

impl FromStr for Unit {
    type Err = QuantityError;

    /// Reads `inch`, `in`, `cm` or `mm`, without regard to case.
    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let name = text.trim();
        [("inch", Self::Inch), ("in", Self::Inch), ("cm", Self::Cm), ("mm", Self::Mm)]
            .into_iter()
            .find_map(|(known, unit)| name.eq_ignore_ascii_case(known).then_some(unit))
            .ok_or_else(|| {
                Refusal::new("the units are inch, cm and mm")
                    .into_error(text, ["inch".to_owned(), "cm".to_owned()])
            })
    }
}

/// A unit as it can stand behind a number; unlike [`Unit`] it knows feet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum WrittenUnit {
    Inch,
    Foot,
    Cm,
    Mm,
}

impl WrittenUnit {
    /// The unit that `word`, in lower case, names.
    pub(super) fn from_word(word: &str) -> Option<Self> {
        Some(match word {
            "in" | "inch" | "inches" => Self::Inch,
            "ft" | "foot" | "feet" => Self::Foot,
            "cm" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Self::Cm,
            "mm" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Self::Mm,
            _ => return None,
        })
    }

    /// `value` of this unit, in inches.
    pub(super) fn to_inches(self, value: f64) -> f64 {
        match self {
            Self::Inch => value,
            Self::Foot => value * INCHES_PER_FOOT,
            Self::Cm => value * 10.0 / MILLIMETRES_PER_INCH,
            Self::Mm => value / MILLIMETRES_PER_INCH,
        }
    }

    /// The abbreviation used in messages.
    pub(super) fn short_name(self) -> &'static str {
        match self {
            Self::Inch => "in",
            Self::Foot => "ft",
            Self::Cm => "cm",
            Self::Mm => "mm",
        }
    }
}

impl From<Unit> for WrittenUnit {
    fn from(unit: Unit) -> Self {
        match unit {
            Unit::Inch => Self::Inch,
            Unit::Cm => Self::Cm,
            Unit::Mm => Self::Mm,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_unit_is_read_by_its_name() {
        for (text, unit) in [("inch", Unit::Inch), ("in", Unit::Inch), (" CM ", Unit::Cm), ("mm", Unit::Mm)] {
            assert_eq!(text.parse(), Ok(unit));
        }
    }

    #[test]
    fn another_unit_is_refused_with_the_three_there_are() {
        let error = "furlong".parse::<Unit>().unwrap_err();
        assert!(error.to_string().contains("inch, cm and mm"), "{error}");
    }

    #[test]
    fn a_unit_is_shown_as_it_is_read() {
        for unit in Unit::ALL {
            assert_eq!(unit.to_string().parse(), Ok(unit));
        }
    }
}
