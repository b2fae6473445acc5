//! What the after-sale work costs per string.

use super::{Estimate, EvidenceError, Interval};
use crate::numeric::{chi_square_quantile, finite, not_negative};

/// Reports that ended one way, and what one of them costs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OutcomeCost {
    /// How many ended so.
    pub count: u32,
    /// Cost of one, in any unit of money.
    pub cost: f64,
}

/// A weighted sum of counts with its 95 % interval.
///
/// What: y = sum c x, v = sum c^2 x, w = max c (E15); lower end v/(2y) chi2(0.025; 2y^2/v), upper
/// end (v + w^2)/(2(y + w)) chi2(0.975; 2(y + w)^2/(v + w^2)). Symbols: x counts, c weights.
/// Assumptions: independent Poisson counts. Valid range: weights not below 0; the lower end is 0
/// when y = 0; all weights 0 give 0 to 0. Source: Fay & Feuer 1997, Statistics in Medicine 16.
///
/// # Errors
/// When a weight is not finite or below zero, or the sums overflow.
pub fn weighted_sum_interval(outcomes: &[OutcomeCost]) -> Result<Estimate, EvidenceError> {
    let (mut total, mut variance, mut greatest) = (0.0, 0.0, 0.0_f64);
    for outcome in outcomes {
        let (x, c) = (f64::from(outcome.count), not_negative("cost of an outcome", outcome.cost)?);
        total += c * x;
        variance += c * c * x;
        greatest = greatest.max(c);
    }
    // Squares of costs next to the ends of the number range would leave no digits.
    finite("sum of squared costs", variance + greatest * greatest)?;
    let low = if total > 0.0 && variance > 0.0 {
        variance / (2.0 * total) * chi_square_quantile(0.025, 2.0 * total * total / variance)?
    } else {
        0.0
    };
    let (total_up, variance_up) = (total + greatest, variance + greatest * greatest);
    let high = if total_up > 0.0 && variance_up > 0.0 {
        variance_up / (2.0 * total_up) * chi_square_quantile(0.975, 2.0 * total_up * total_up / variance_up)?
    } else {
        0.0
    };
    Ok(Estimate { point: total, interval: Interval { low, high } })
}

/// Cost of after-sale work per string with its 95 % interval; `None` without strings.
///
/// What: [`weighted_sum_interval`] over effective strings (E15). Symbols: money per string.
/// Assumptions: as there; costs of an outcome are fixed. Valid range: effective strings above 0;
/// never fewer than there are reports. Source: Fay & Feuer 1997, Statistics in Medicine 16.
///
/// # Errors
/// When a cost or the number of strings is not finite or below zero.
pub fn cost_per_string(
    outcomes: &[OutcomeCost],
    effective_strings: f64,
) -> Result<Option<Estimate>, EvidenceError> {
    let reports: f64 = outcomes.iter().map(|o| f64::from(o.count)).sum();
    let strings = not_negative("effective strings", effective_strings)?.max(reports);
    let sum = weighted_sum_interval(outcomes)?;
    if strings <= 0.0 {
        return Ok(None);
    }
    let per_string = |value: f64| finite("cost per string", value / strings);
    Ok(Some(Estimate {
        point: per_string(sum.point)?,
        interval: Interval { low: per_string(sum.interval.low)?, high: per_string(sum.interval.high)? },
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outcomes(list: &[(u32, f64)]) -> Vec<OutcomeCost> {
        list.iter().map(|(count, cost)| OutcomeCost { count: *count, cost: *cost }).collect()
    }

    #[test]
    fn equal_costs_of_one_are_the_exact_poisson_interval() {
        let sum = weighted_sum_interval(&outcomes(&[(15, 1.0)])).unwrap();
        assert!((sum.interval.low / 400.0 - 0.020_988_465).abs() < 1e-9);
        assert!((sum.interval.high / 400.0 - 0.061_850_547).abs() < 1e-9);
    }

    #[test]
    fn no_report_costs_nothing_but_could_cost_up_to_3_7_of_the_dearest() {
        let sum = weighted_sum_interval(&outcomes(&[(0, 6.0), (0, 38.0)])).unwrap();
        assert!(sum.point.abs() < 1e-15 && sum.interval.low.abs() < 1e-15);
        assert!((sum.interval.high / 38.0 + 0.025_f64.ln()).abs() < 1e-9);
    }

    #[test]
    fn work_that_is_free_costs_nothing() {
        let sum = weighted_sum_interval(&outcomes(&[(7, 0.0)])).unwrap();
        assert!(sum.interval.high.abs() < 1e-15);
        let nothing = weighted_sum_interval(&[]).unwrap();
        assert!(nothing.interval.high.abs() < 1e-15);
    }

    #[test]
    fn no_string_has_no_cost_per_string() {
        assert_eq!(cost_per_string(&outcomes(&[(0, 6.0)]), 0.0).unwrap(), None);
    }

    #[test]
    fn costs_that_are_no_numbers_are_refused() {
        for bad in [f64::NAN, -1.0, f64::INFINITY, 1e200] {
            assert!(weighted_sum_interval(&outcomes(&[(1, bad)])).is_err());
        }
        assert!(cost_per_string(&[], f64::NAN).is_err());
        assert!(cost_per_string(&outcomes(&[(0, 38.0)]), 1e-320).is_err());
    }

    #[test]
    fn the_unit_of_money_does_not_matter() {
        let euros = weighted_sum_interval(&outcomes(&[(9, 6.0), (4, 38.0)])).unwrap();
        let cents = weighted_sum_interval(&outcomes(&[(9, 600.0), (4, 3800.0)])).unwrap();
        assert!((cents.interval.high - 100.0 * euros.interval.high).abs() < 1e-6);
        assert!((cents.interval.low - 100.0 * euros.interval.low).abs() < 1e-6);
    }
}
