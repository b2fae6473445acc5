//! Gates that numbers pass before they are computed with.

/// A value outside the range that makes sense for it, NaN included.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("{name} is {value}, but must be {allowed}")]
pub struct OutOfRange {
    /// What the value stands for.
    pub name: &'static str,
    /// The value that was given.
    pub value: f64,
    /// The range in words.
    pub allowed: &'static str,
}

/// `value`, if it `holds` what is asked of it; the error says what is allowed.
///
/// # Errors
/// When it doesn't hold.
pub fn require(
    holds: bool,
    name: &'static str,
    value: f64,
    allowed: &'static str,
) -> Result<f64, OutOfRange> {
    if holds { Ok(value) } else { Err(OutOfRange { name, value, allowed }) }
}

/// `value`, if it is finite.
///
/// # Errors
/// When it is infinite or no number.
pub fn finite(name: &'static str, value: f64) -> Result<f64, OutOfRange> {
    require(value.is_finite(), name, value, "finite")
}

/// `value`, if it is finite and above zero.
///
/// # Errors
/// When it isn't.
pub fn positive(name: &'static str, value: f64) -> Result<f64, OutOfRange> {
    let holds = value.is_finite() && value > 0.0;
    require(holds, name, value, "finite and above 0")
}

/// `value`, if it is finite and not below zero.
///
/// # Errors
/// When it isn't.
pub fn not_negative(name: &'static str, value: f64) -> Result<f64, OutOfRange> {
    let holds = value.is_finite() && value >= 0.0;
    require(holds, name, value, "finite and not below 0")
}

/// `value`, if it lies in 0..=1.
///
/// # Errors
/// When it doesn't.
pub fn share(name: &'static str, value: f64) -> Result<f64, OutOfRange> {
    let holds = (0.0..=1.0).contains(&value);
    require(holds, name, value, "from 0 to 1")
}

/// `value`, if it lies strictly between zero and one.
///
/// # Errors
/// When it doesn't.
pub(super) fn inner_share(name: &'static str, value: f64) -> Result<f64, OutOfRange> {
    let holds = value > 0.0 && value < 1.0;
    require(holds, name, value, "between 0 and 1, both excluded")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_gate_lets_a_nan_or_an_infinity_through() {
        for bad in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
            for gate in [finite, positive, not_negative, share, inner_share] {
                assert!(gate("x", bad).is_err());
            }
        }
    }

    #[test]
    fn gates_differ_at_their_ends() {
        assert!(positive("x", 0.0).is_err() && not_negative("x", 0.0).is_ok());
        assert!(inner_share("x", 1.0).is_err() && share("x", 1.0).is_ok());
        assert!(finite("x", -1e300).is_ok() && not_negative("x", -1e-300).is_err());
    }

    #[test]
    fn a_refusal_names_the_value_and_what_is_allowed() {
        let text = share("told share", 1.5).unwrap_err().to_string();
        assert_eq!(text, "told share is 1.5, but must be from 0 to 1");
    }
}
