//! Return rates with their intervals, and the counts against what the bow kinds would lead one to
//! expect.

use super::{Estimate, EvidenceError, Interval};
use crate::numeric::{chi_square_quantile, finite, not_negative, positive};

/// Below this many effective strings only counts are shown, no rate.
pub const MINIMUM_EFFECTIVE: f64 = 10.0;
/// Standard normal value of a two-sided 95 % interval.
const Z_95: f64 = 1.959_963_984_540_054;

/// Reports out of effective strings: the count behind every rate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tally {
    reports: u32,
    effective: f64,
}

impl Tally {
    /// `reports` of `effective` strings, the latter weighted by how much of its complaints each has shown.
    ///
    /// # Errors
    /// When effective is not finite or below zero.
    pub fn new(reports: u32, effective: f64) -> Result<Self, EvidenceError> {
        Ok(Self { reports, effective: not_negative("effective strings", effective)? })
    }

    /// Reports that have come in.
    #[must_use]
    pub fn reports(&self) -> u32 {
        self.reports
    }

    /// Effective strings as given.
    #[must_use]
    pub fn effective(&self) -> f64 {
        self.effective
    }

    /// What the reports are divided by: never fewer strings than reports.
    ///
    /// A very young string that has already reported weighs less than one; a rate above one would
    /// follow.
    #[must_use]
    pub fn denominator(&self) -> f64 {
        self.effective.max(f64::from(self.reports))
    }

    /// Whether there are enough effective strings to show a rate.
    #[must_use]
    pub fn is_enough(&self) -> bool {
        self.effective >= MINIMUM_EFFECTIVE
    }

    /// Both tallies together.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        Self {
            reports: self.reports.saturating_add(other.reports),
            effective: self.effective + other.effective,
        }
    }
}

/// Return rate with its 95 % interval; `None` without any string.
///
/// What: x/n with the Wilson score interval (E01). Symbols: x reports, n = max(effective strings,
/// x), may be fractional. Assumptions: independent strings with one common rate. Valid range:
/// 0 <= x, n above 0; the lower end is exactly 0 at x = 0, the upper exactly 1 at x = n. Source:
/// Wilson 1927, J. American Statistical Association 22; Newcombe 1998, Statistics in Medicine 17.
#[must_use]
pub fn wilson_interval(tally: &Tally) -> Option<Estimate> {
    let (x, n) = (f64::from(tally.reports), tally.denominator());
    if n <= 0.0 {
        return None;
    }
    let z = Z_95;
    let p = x / n;
    let scale = 1.0 + z * z / n;
    let centre = (p + z * z / (2.0 * n)) / scale;
    let half = z * (p * (1.0 - p) / n + z * z / (4.0 * n * n)).sqrt() / scale;
    let low = if tally.reports == 0 { 0.0 } else { centre - half };
    let high = if x >= n { 1.0 } else { centre + half };
    // Rounding must not push the point out of its own interval, nor an end out of 0..1. A
    // denominator too small for its square leaves no number, and so no rate.
    let interval = Interval { low: low.clamp(0.0, p), high: high.clamp(p, 1.0) };
    (interval.low.is_finite() && interval.high.is_finite()).then_some(Estimate { point: p, interval })
}

/// The rate that the sheet shows: the Wilson estimate (E01) from [`MINIMUM_EFFECTIVE`] strings on.
#[must_use]
pub fn shown_rate(tally: &Tally) -> Option<Estimate> {
    tally.is_enough().then(|| wilson_interval(tally)).flatten()
}

/// Whether most of a route's strings are so young that its rate is to be marked "early".
///
/// What: more than half of the strings stem from the last two months (E25). Symbols: strings. Valid
/// range: any counts; no strings are not early. Source: judgement.
#[must_use]
pub fn is_early(strings_of_last_two_months: u32, strings: u32) -> bool {
    2 * u64::from(strings_of_last_two_months) > u64::from(strings)
}

/// A count of rare events as a rate per unit of exposure, with its exact 95 % interval.
///
/// What: count/exposure; ends chi2(0.025; 2x)/2 and chi2(0.975; 2x + 2)/2 over the exposure (E02).
/// Symbols: x events, exposure in any unit. Assumptions: Poisson count. Valid range: exposure above
/// 0; the lower end is 0 at x = 0. Source: Garwood 1936, Biometrika 28 (from memory).
///
/// # Errors
/// When the exposure is not finite and above zero.
pub fn poisson_interval(count: u32, exposure: f64) -> Result<Estimate, EvidenceError> {
    let exposure = positive("exposure", exposure)?;
    let x = f64::from(count);
    let low = if count == 0 { 0.0 } else { 0.5 * chi_square_quantile(0.025, 2.0 * x)? };
    let high = 0.5 * chi_square_quantile(0.975, 2.0 * x + 2.0)?;
    // Exposures next to the smallest number would overflow here.
    Ok(Estimate {
        point: finite("rate", x / exposure)?,
        interval: Interval {
            low: finite("low end of the rate", low / exposure)?,
            high: finite("high end of the rate", high / exposure)?,
        },
    })
}

/// One bow kind in the comparison of a route with the whole shop.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct KindCell {
    /// The route's reports and effective strings of this bow kind.
    pub route: Tally,
    /// The whole shop's, this route included.
    pub shop: Tally,
}

/// A route's reports against those that its mix of bow kinds would lead one to expect.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ObservedExpected {
    /// Reports that came in.
    pub observed: u32,
    /// Reports if every bow kind had the shop's rate.
    pub expected: f64,
    /// Observed over expected, with its exact interval.
    pub ratio: Estimate,
}

/// Observed against expected reports of a route; `None` when nothing is expected.
///
/// What: expected = sum over bow kinds of shop rate x effective strings of the route (E03);
/// observed/expected with the exact Poisson interval of the observed count (E02). Symbols: reports,
/// effective strings. Assumptions: the shop's rates are taken as known. Valid range: expected
/// above 0. Source: indirect standardisation, e.g. Breslow & Day 1987, Statistical Methods in
/// Cancer Research II (from memory).
///
/// # Errors
/// When a distribution function refuses, which needs an expectation of practically zero.
pub fn observed_against_expected(kinds: &[KindCell]) -> Result<Option<ObservedExpected>, EvidenceError> {
    let mut observed = 0_u32;
    let mut expected = 0.0;
    for kind in kinds {
        observed = observed.saturating_add(kind.route.reports);
        let strings = kind.shop.denominator();
        if strings > 0.0 {
            expected += f64::from(kind.shop.reports) / strings * kind.route.denominator();
        }
    }
    if expected <= 0.0 {
        return Ok(None);
    }
    Ok(Some(ObservedExpected { observed, expected, ratio: poisson_interval(observed, expected)? }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tally(reports: u32, effective: f64) -> Tally {
        Tally::new(reports, effective).unwrap()
    }

    #[test]
    fn twenty_one_of_one_hundred_and_fifty_is_9_to_20_in_100() {
        let rate = wilson_interval(&tally(21, 150.0)).unwrap();
        assert!((rate.point - 0.14).abs() < 1e-12);
        assert!((rate.interval.low - 0.0935).abs() < 5e-4);
        assert!((rate.interval.high - 0.2045).abs() < 5e-4);
    }

    #[test]
    fn no_report_has_a_lower_end_of_exactly_zero() {
        let rate = wilson_interval(&tally(0, 12.0)).unwrap();
        assert!(rate.interval.low.to_bits() == 0.0_f64.to_bits());
        assert!((rate.interval.high - 0.2425).abs() < 5e-4);
    }

    #[test]
    fn all_reported_has_an_upper_end_of_exactly_one() {
        let rate = wilson_interval(&tally(29, 29.0)).unwrap();
        assert!(rate.interval.high.to_bits() == 1.0_f64.to_bits());
    }

    #[test]
    fn more_reports_than_effective_strings_is_a_rate_of_one() {
        let rate = wilson_interval(&tally(2, 0.4)).unwrap();
        assert!((rate.point - 1.0).abs() < 1e-15);
        assert!(rate.interval.low < 1.0);
    }

    #[test]
    fn no_string_has_no_rate() {
        assert_eq!(wilson_interval(&tally(0, 0.0)), None);
    }

    #[test]
    fn next_to_no_string_allows_every_rate() {
        let rate = wilson_interval(&tally(0, f64::MIN_POSITIVE)).unwrap();
        assert!(rate.interval.low.abs() < 1e-15 && (rate.interval.high - 1.0).abs() < 1e-12);
        assert_eq!(wilson_interval(&tally(0, 1e-320)), None);
    }

    #[test]
    fn one_string_still_has_an_interval() {
        let quiet = wilson_interval(&tally(0, 1.0)).unwrap();
        let told = wilson_interval(&tally(1, 1.0)).unwrap();
        assert!((quiet.interval.high + told.interval.low - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_rate_is_shown_from_ten_effective_strings_on() {
        assert_eq!(shown_rate(&tally(1, 9.99)), None);
        assert!(shown_rate(&tally(1, 10.0)).is_some());
    }

    #[test]
    fn effective_strings_must_be_a_number() {
        assert!(Tally::new(1, f64::NAN).is_err());
        assert!(Tally::new(1, -1.0).is_err());
        assert!(Tally::new(1, f64::INFINITY).is_err());
    }

    #[test]
    fn early_means_more_than_half_from_the_last_two_months() {
        assert!(!is_early(0, 0) && !is_early(5, 10) && is_early(6, 10));
    }

    #[test]
    fn no_event_has_the_well_known_upper_end() {
        // -ln(0.025) = 3.6889 for 95 % two-sided.
        let rate = poisson_interval(0, 1.0).unwrap();
        assert!(rate.interval.low.abs() < 1e-15);
        assert!((rate.interval.high + 0.025_f64.ln()).abs() < 1e-10);
        assert!(poisson_interval(1, 0.0).is_err());
        assert!(poisson_interval(1, 1e-310).is_err());
    }

    #[test]
    fn expected_follows_the_mix_of_bow_kinds() {
        // Shop rates 0.1 and 0.2; the route has 50 and 10 strings: 5 + 2 expected.
        let kinds = [
            KindCell { route: tally(4, 50.0), shop: tally(20, 200.0) },
            KindCell { route: tally(3, 10.0), shop: tally(20, 100.0) },
        ];
        let seen = observed_against_expected(&kinds).unwrap().unwrap();
        assert_eq!(seen.observed, 7);
        assert!((seen.expected - 7.0).abs() < 1e-12);
        assert!((seen.ratio.point - 1.0).abs() < 1e-12);
        assert!(seen.ratio.interval.contains(1.0));
    }

    #[test]
    fn nothing_expected_is_no_comparison() {
        assert_eq!(observed_against_expected(&[]).unwrap(), None);
        let quiet = KindCell { route: tally(0, 5.0), shop: tally(0, 50.0) };
        assert_eq!(observed_against_expected(&[quiet]).unwrap(), None);
    }
}
