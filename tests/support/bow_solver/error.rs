//! The ways a solution can fail to exist.

use std::fmt;

/// Why no braced bow was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum SolveError {
    /// The two ends of the bracket have the same sign: (lower end, upper end).
    NotBracketed(f64, f64),
    /// A value came out infinite or not a number, at this argument.
    NotFinite(f64),
    /// The root find did not settle; the last argument tried.
    NotConverged(f64),
    /// The limb reaches this string at rest or never; no tension is needed: the lift in inches.
    Slack(f64),
    /// The string length or brace height asked for lies outside the bow's range: (asked, lowest, highest).
    OutOfRange(f64, f64, f64),
}

impl fmt::Display for SolveError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            SolveError::NotBracketed(low, high) => {
                write!(f, "no sign change between {low} and {high}")
            }
            SolveError::NotFinite(at) => write!(f, "the value at {at} is not finite"),
            SolveError::NotConverged(at) => write!(f, "the root find stopped at {at}"),
            SolveError::Slack(lift) => write!(f, "the string is slack at lift {lift} in"),
            SolveError::OutOfRange(asked, low, high) => {
                write!(f, "{asked} in is outside {low} .. {high} in")
            }
        }
    }
}

impl std::error::Error for SolveError {}
