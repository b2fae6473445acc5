//! Reports that the strings already delivered will still bring.

use super::EvidenceError;
use super::reporting_delay::{Ages, ReportingDelay};
use crate::numeric::{NegativeBinomial, share};

/// Reports still expected, with the range that holds them nine times in ten.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StillToCome {
    /// Expected number.
    pub expected: f64,
    /// 5 % quantile.
    pub low: u32,
    /// 95 % quantile.
    pub high: u32,
}

/// Reports still to come from a route's quiet strings.
///
/// What: sum of p (1 - F)/(1 - p F) over quiet strings; range from the negative binomial with size
/// x + 1 and that mean (E11). Symbols: p shrunk rate of the route, F share of complaints that are in at each age, x
/// reports so far. Assumptions: one rate for the route; the curve is taken as known, which makes
/// the range too narrow above some 200 strings a route and month. Valid range: p in 0..=1; no
/// quiet string gives 0. Source: Bayes' rule for a string that has been quiet so far; gamma mixed
/// Poisson prediction, e.g. Gelman et al., Bayesian Data Analysis, ch. 2 (from memory).
///
/// # Errors
/// When the rate is not in 0..=1.
pub fn still_to_come(
    rate: f64,
    reports_so_far: u32,
    quiet_ages: &Ages,
    curve: &ReportingDelay,
) -> Result<StillToCome, EvidenceError> {
    let rate = share("rate", rate)?;
    let expected = quiet_ages.sum(|age| {
        let shown = curve.share_by(age);
        let quiet = 1.0 - rate * shown;
        if quiet > 0.0 {
            rate * (1.0 - shown) / quiet
        } else {
            // Certain to report, and everything is in: nothing is left to come.
            0.0
        }
    });
    let range = NegativeBinomial::new(f64::from(reports_so_far) + 1.0, expected)?;
    Ok(StillToCome { expected, low: range.quantile(0.05)?, high: range.quantile(0.95)? })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn each(ages: &[u32]) -> Ages {
        ages.iter().map(|age| (*age, 1)).collect()
    }

    #[test]
    fn no_quiet_string_brings_nothing() {
        let still = still_to_come(0.1, 5, &each(&[]), &ReportingDelay::default()).unwrap();
        assert_eq!((still.low, still.high), (0, 0));
        assert!(still.expected.abs() < 1e-15);
    }

    #[test]
    fn ripe_strings_bring_nothing_and_new_ones_their_whole_rate() {
        let curve = ReportingDelay::default();
        let ripe = still_to_come(0.2, 5, &each(&[180, 500]), &curve).unwrap();
        assert!(ripe.expected.abs() < 1e-15);
        let new = still_to_come(0.2, 5, &each(&[0, 0, 0]), &curve).unwrap();
        assert!((new.expected - 0.6).abs() < 1e-12);
    }

    #[test]
    fn a_rate_of_one_stays_finite() {
        let curve = ReportingDelay::default();
        let still = still_to_come(1.0, 5, &each(&[0, 30, 180, 400]), &curve).unwrap();
        assert!((still.expected - 2.0).abs() < 1e-12);
    }

    #[test]
    fn the_range_holds_the_expected_number_and_a_half_ripe_string_by_hand() {
        // F(14) = 0.52: 0.1 x 0.48/(1 - 0.052) = 0.050633 each.
        let curve = ReportingDelay::default();
        let still = still_to_come(0.1, 20, &[(14, 100)].into_iter().collect(), &curve).unwrap();
        assert!((still.expected - 5.063_291).abs() < 1e-5);
        assert!(still.low < 5 && still.high > 5);
    }

    #[test]
    fn a_rate_outside_0_to_1_is_refused() {
        for bad in [-0.1, 1.1, f64::NAN] {
            assert!(still_to_come(bad, 0, &each(&[1]), &ReportingDelay::default()).is_err());
        }
    }
}
