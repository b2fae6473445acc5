//! Plain mean and spread, in two passes.

/// Count, mean and spread of a list of measurements.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Summary {
    /// How many.
    pub count: usize,
    /// Arithmetic mean.
    pub mean: f64,
    /// Standard deviation with n - 1; `None` for a single value.
    pub spread: Option<f64>,
}

/// Mean and standard deviation of `values`; `None` for an empty list or one with a value that is
/// not finite.
///
/// What: plain mean and spread (E16). Symbols: the unit of the values. Assumptions: none. Valid
/// range: n >= 1 for the mean, n >= 2 for the spread. Source: definition; two passes, because the
/// mean of squares minus the square of the mean loses its digits when the spread is small.
#[must_use]
pub fn summary(values: &[f64]) -> Option<Summary> {
    if values.is_empty() || values.iter().any(|v| !v.is_finite()) {
        return None;
    }
    // A sorted sum does not depend on the order in which the values were stored.
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let count = sorted.len();
    let n = count as f64;
    let mean = sorted.iter().map(|v| v / n).sum::<f64>();
    let spread = (count > 1).then(|| {
        let squares: f64 = sorted.iter().map(|v| (v - mean) * (v - mean)).sum();
        (squares / (n - 1.0)).sqrt()
    });
    (mean.is_finite() && spread.is_none_or(f64::is_finite)).then_some(Summary { count, mean, spread })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_values_by_hand() {
        let s = summary(&[1.0, 2.0, 6.0]).unwrap();
        assert!((s.mean - 3.0).abs() < 1e-15);
        assert!((s.spread.unwrap() - 7.0_f64.sqrt()).abs() < 1e-15);
    }

    #[test]
    fn nothing_has_no_mean_and_one_value_no_spread() {
        assert_eq!(summary(&[]), None);
        assert_eq!(summary(&[4.0]).unwrap().spread, None);
        assert_eq!(summary(&[4.0, f64::NAN]), None);
    }

    #[test]
    fn a_small_spread_beside_a_large_value_keeps_its_digits() {
        let s = summary(&[1e9 + 1.0, 1e9 + 2.0, 1e9 + 3.0]).unwrap();
        assert!((s.spread.unwrap() - 1.0).abs() < 1e-6);
    }

    #[test]
    fn equal_values_have_spread_zero() {
        assert!(summary(&[0.5, 0.5, 0.5]).unwrap().spread.unwrap().abs() < 1e-15);
    }
}
