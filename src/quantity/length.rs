//! Lengths and ranges of lengths.

use std::ops::{Add, Neg, Sub};

use serde::{Deserialize, Serialize};

/// Millimetres in an inch, exactly.
///
/// Source: international yard and pound agreement of 1959 (1 yd = 0.9144 m);
/// NIST SP 811 (2008), appendix B.8.
pub const MILLIMETRES_PER_INCH: f64 = 25.4;

/// Longest length there can be, in inches: far beyond any bow, and small enough
/// that sums of lengths cannot lose what a tape can show.
const LONGEST_INCHES: f64 = 1e5;

/// A stored number that is no length, no range, no draw weight or no count of
/// turns: not finite, too large, or upside down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct OutOfBounds(pub(super) &'static str);

/// A length or a difference of lengths, in inches.
///
/// Always finite and at most 100 000 in either way. Serialised as its inches.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
#[serde(try_from = "f64", into = "f64")]
pub struct Length(f64);

impl Length {
    /// The length of nothing.
    pub const ZERO: Self = Self(0.0);

    /// A length of so many inches; `None` if that is not finite or beyond 100 000 in.
    #[must_use]
    pub fn try_from_inches(inches: f64) -> Option<Self> {
        // Adding zero turns a negative zero into zero, which is shown without a sign.
        (inches.abs() <= LONGEST_INCHES).then_some(Self(inches + 0.0))
    }

    /// The length in inches.
    #[must_use]
    pub const fn inches(self) -> f64 {
        self.0
    }

    /// The length in millimetres.
    #[must_use]
    pub fn mm(self) -> f64 {
        self.0 * MILLIMETRES_PER_INCH
    }

    /// The nearest multiple of `step_inches`, halves away from zero.
    ///
    /// A step that is zero, negative or not finite rounds nothing.
    #[must_use]
    pub fn round_to(self, step_inches: f64) -> Self {
        let steps = (self.0 / step_inches).round();
        if step_inches > 0.0 && step_inches.is_finite() && steps.is_finite() {
            Self::bounded(steps * step_inches)
        } else {
            self
        }
    }

    /// The nearest possible length to a finite number of inches.
    fn bounded(inches: f64) -> Self {
        Self(inches.clamp(-LONGEST_INCHES, LONGEST_INCHES) + 0.0)
    }
}

impl TryFrom<f64> for Length {
    type Error = OutOfBounds;

    fn try_from(inches: f64) -> Result<Self, OutOfBounds> {
        Self::try_from_inches(inches)
            .ok_or(OutOfBounds("a length is a finite number of inches of at most 100000"))
    }
}

impl From<Length> for f64 {
    fn from(length: Length) -> Self {
        length.0
    }
}

/// Sums stop at the longest length there can be, so that they stay finite.
impl Add for Length {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        Self::bounded(self.0 + other.0)
    }
}

/// Differences stop at the longest length there can be, so that they stay finite.
impl Sub for Length {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self::bounded(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Self;

    fn neg(self) -> Self {
        Self(-self.0 + 0.0)
    }
}

/// Every length from a low one to a high one, both included.
///
/// Serialised as `{"low_inch": …, "high_inch": …}`.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "RangeFields", into = "RangeFields")]
pub struct LengthRange {
    low: Length,
    high: Length,
}

impl LengthRange {
    /// The range from `low` to `high`; `None` if it would be upside down.
    #[must_use]
    pub fn new(low: Length, high: Length) -> Option<Self> {
        (low <= high).then_some(Self { low, high })
    }

    /// Its lower end.
    #[must_use]
    pub const fn low(self) -> Length {
        self.low
    }

    /// Its upper end.
    #[must_use]
    pub const fn high(self) -> Length {
        self.high
    }

    /// The length halfway between its ends.
    #[must_use]
    pub fn middle(self) -> Length {
        Length::bounded(f64::midpoint(self.low.0, self.high.0))
    }

    /// The length from its lower to its upper end; zero for a single value.
    #[must_use]
    pub fn width(self) -> Length {
        self.high - self.low
    }

    /// Whether `length` lies in it, the ends included.
    #[must_use]
    pub fn contains(self, length: Length) -> bool {
        self.low <= length && length <= self.high
    }
}

/// A range as it is serialised.
#[derive(Serialize, Deserialize)]
struct RangeFields {
    low_inch: Length,
    high_inch: Length,
}

impl TryFrom<RangeFields> for LengthRange {
    type Error = OutOfBounds;

    fn try_from(fields: RangeFields) -> Result<Self, OutOfBounds> {
        Self::new(fields.low_inch, fields.high_inch)
            .ok_or(OutOfBounds("the low end of a range is not above its high end"))
    }
}

impl From<LengthRange> for RangeFields {
    fn from(range: LengthRange) -> Self {
        Self { low_inch: range.low, high_inch: range.high }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn inches(value: f64) -> Length {
        Length::try_from_inches(value).unwrap()
    }

    #[test]
    fn an_inch_is_25_4_mm_as_agreed_in_1959() {
        // International yard and pound agreement, 1959: 1 yd = 0.9144 m exactly.
        assert_relative_eq!(inches(36.0).mm(), 914.4);
    }

    #[test]
    fn what_is_not_a_finite_length_is_refused() {
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1.01e5, -1.01e5] {
            assert_eq!(Length::try_from_inches(value), None);
        }
        assert!(Length::try_from_inches(1e5).is_some());
    }

    #[test]
    fn rounding_goes_to_the_nearest_step_and_halves_go_outward() {
        assert_relative_eq!(inches(7.70).round_to(0.125).inches(), 7.75);
        assert_relative_eq!(inches(7.6875).round_to(0.125).inches(), 7.75);
        assert_relative_eq!(inches(-7.6875).round_to(0.125).inches(), -7.75);
    }

    #[test]
    fn a_useless_step_rounds_nothing() {
        for step in [0.0, -0.125, f64::NAN, f64::INFINITY, f64::MIN_POSITIVE / 4.0] {
            assert_eq!(inches(7.7).round_to(step), inches(7.7));
        }
    }

    #[test]
    fn sums_stop_at_the_longest_length() {
        let longest = inches(1e5);
        assert_eq!(longest + longest, longest);
        assert_eq!(-longest - longest, -longest);
        assert_relative_eq!((inches(7.5) - inches(8.0)).inches(), -0.5);
    }

    #[test]
    fn zero_has_no_sign() {
        for zero in [inches(-0.0), -Length::ZERO, inches(-0.01).round_to(0.5)] {
            assert!(zero.inches().is_sign_positive());
        }
    }

    #[test]
    fn a_range_is_never_upside_down() {
        assert_eq!(LengthRange::new(inches(8.0), inches(7.5)), None);
        let range = LengthRange::new(inches(7.5), inches(8.0)).unwrap();
        assert_relative_eq!(range.middle().inches(), 7.75);
        assert_relative_eq!(range.width().inches(), 0.5);
        assert!(range.contains(range.low()) && range.contains(range.high()));
        assert!(!range.contains(inches(8.001)));
    }

    #[test]
    fn serialised_forms_are_inches_and_bad_ones_are_refused() {
        let range = LengthRange::new(inches(7.5), inches(8.0)).unwrap();
        let json = serde_json::to_string(&range).unwrap();
        assert_eq!(json, r#"{"low_inch":7.5,"high_inch":8.0}"#);
        assert_eq!(serde_json::from_str::<LengthRange>(&json).unwrap(), range);
        assert!(serde_json::from_str::<LengthRange>(r#"{"low_inch":8,"high_inch":7}"#).is_err());
        assert!(serde_json::from_str::<Length>("1e6").is_err());
        assert!(serde_json::from_str::<Length>("null").is_err());
    }
}
