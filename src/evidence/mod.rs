//! The statistics behind the month sheet: which ways of sizing cause returns, and what to change.
//!
//! Every function here is a pure function of counts and dates. Nothing reads a clock or a file,
//! nothing is drawn at random, and nothing is worded for people, so the same book always gives the
//! same page. Formulas carry a method id (E01, E02, ...) that `docs/methods-evidence.md` explains.
//!
//! Signs: a length error is right length minus ordered length, in inches. Above zero the string
//! came too short, below zero too long. A change is added to ordered lengths.

pub mod advice;
pub mod calendar;
pub mod change;
pub mod cost;
pub mod course;
pub mod length_error;
pub mod length_tables;
pub mod posterior;
pub mod questions;
pub mod ranking;
pub mod rate;
pub mod reporting_delay;
pub mod still_to_come;
pub mod summary;
pub mod survival;
pub mod told_share;

use crate::numeric::OutOfRange;

/// Why a figure could not be worked out. Too little data is not an error: it gives `None`.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum EvidenceError {
    /// A value is not a number or outside the range that makes sense for it.
    #[error(transparent)]
    OutOfRange(#[from] OutOfRange),
    /// Lists that belong together differ in length or hold too few entries.
    #[error("{name} has {found} entries, but needs {needed}")]
    WrongCount {
        /// Which list.
        name: &'static str,
        /// How many entries it has.
        found: usize,
        /// How many it needs.
        needed: usize,
    },
}

/// Two ends of an interval, in the unit of what it is about.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Interval {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
}

impl Interval {
    /// Whether `value` lies within the ends.
    #[must_use]
    pub fn contains(&self, value: f64) -> bool {
        self.low <= value && value <= self.high
    }

    /// High minus low.
    #[must_use]
    pub fn width(&self) -> f64 {
        self.high - self.low
    }
}

/// A figure with its interval.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The best single figure.
    pub point: f64,
    /// Its interval, 95 % where nothing else is said.
    pub interval: Interval,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_interval_holds_its_own_ends() {
        let interval = Interval { low: 0.1, high: 0.4 };
        assert!(interval.contains(0.1) && interval.contains(0.4) && !interval.contains(0.41));
        assert!((interval.width() - 0.3).abs() < 1e-15);
    }
}
