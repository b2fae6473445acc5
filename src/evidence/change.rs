//! Whether this month is worse than the year before it, and whether a route creeps.

use super::EvidenceError;
use crate::numeric::{Binomial, finite, not_negative, positive, require};

/// Months before this one that it is compared with.
pub const HISTORY_MONTHS: usize = 12;
/// Fewer months of history allow no test.
pub const MINIMUM_HISTORY: usize = 6;
/// A route is flagged for its month at this mid-p or below (set by simulation).
pub const ROUTE_MONTH_P: f64 = 0.002;
/// The whole shop is flagged for its month at this mid-p or below (set by simulation).
pub const SHOP_MONTH_P: f64 = 0.005;
/// Strings' worth of the shop's rate that steadies a route's own.
const STEADYING_STRINGS: f64 = 30.0;

/// Reports of a period and the strings whose complaints fell due in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PeriodCount {
    reports: u32,
    exposure: f64,
}

impl PeriodCount {
    /// `reports` on an exposure in strings (see [`super::reporting_delay::ReportingDelay::exposure`]).
    ///
    /// # Errors
    /// When the exposure is not finite or below zero.
    pub fn new(reports: u32, exposure: f64) -> Result<Self, EvidenceError> {
        Ok(Self { reports, exposure: not_negative("exposure", exposure)? })
    }

    /// Reports that came in during the period.
    #[must_use]
    pub fn reports(&self) -> u32 {
        self.reports
    }

    /// Strings whose complaints fell due in the period.
    #[must_use]
    pub fn exposure(&self) -> f64 {
        self.exposure
    }

    /// Several periods together.
    #[must_use]
    pub fn sum(periods: &[Self]) -> Self {
        periods.iter().fold(Self { reports: 0, exposure: 0.0 }, |sum, period| Self {
            reports: sum.reports.saturating_add(period.reports),
            exposure: sum.exposure + period.exposure,
        })
    }
}

/// Chances of a count as high as this one or higher, given the sum of two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConditionalTest {
    /// With the count itself counted half.
    pub mid_p: f64,
    /// With the count itself counted whole.
    pub exact_p: f64,
}

/// This month against the months before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MonthTest {
    /// Reports of the month.
    pub reports: u32,
    /// Reports the months before lead one to expect.
    pub expected: f64,
    /// One-sided mid-p.
    pub mid_p: f64,
    /// Months of history that were used.
    pub history_months: usize,
}

/// One-sided conditional test of two counts of rare events.
///
/// What: T = o1 + o0, pi = r E1/(r E1 + E0); mid-p = P(Bin(T, pi) > o1) + P(Bin(T, pi) = o1)/2, the
/// exact p with the whole of the last term (E13). Symbols: o counts, E exposures in any common
/// unit, r the ratio of rates that is tested. Assumptions: Poisson counts. Valid range: exposures
/// and ratio above 0; 1 when there is no event at all. Source: Przyborowski & Wilenski 1940,
/// Biometrika 31 (from memory); Gu, Ng, Tang & Schucany 2008, Biometrical Journal 50.
///
/// # Errors
/// When an exposure or the ratio is not finite and above zero.
pub fn conditional_test(
    now: PeriodCount,
    before: PeriodCount,
    ratio: f64,
) -> Result<ConditionalTest, EvidenceError> {
    let now_exposure = positive("exposure of the period", now.exposure)?;
    let before_exposure = positive("exposure before it", before.exposure)?;
    let weight = positive("ratio of rates", ratio)? * now_exposure;
    let chance = finite("share of the exposure", weight / (weight + before_exposure))?;
    let total = now.reports.saturating_add(before.reports);
    if total == 0 {
        return Ok(ConditionalTest { mid_p: 1.0, exact_p: 1.0 });
    }
    let binomial = Binomial::new(total, chance)?;
    let above = binomial.upper(now.reports);
    let equal = binomial.mass(now.reports);
    Ok(ConditionalTest {
        mid_p: (above + 0.5 * equal).clamp(0.0, 1.0),
        exact_p: (above + equal).clamp(0.0, 1.0),
    })
}

/// This month against the 12 before, oldest first; `None` with under 6 months of history or when
/// nothing fell due in either.
///
/// What: expected = E1 o0/E0 and the mid-p of [`conditional_test`] at ratio 1 (E13). Symbols:
/// reports and exposures. Assumptions: Poisson counts with a steady rate in the months before.
/// Valid range: 6 months or more; only the last 12 are used. Source: as for the test.
///
/// # Errors
/// When a distribution function refuses.
pub fn compare_month(now: PeriodCount, before: &[PeriodCount]) -> Result<Option<MonthTest>, EvidenceError> {
    let history = &before[before.len().saturating_sub(HISTORY_MONTHS)..];
    let sum = PeriodCount::sum(history);
    if history.len() < MINIMUM_HISTORY || now.exposure <= 0.0 || sum.exposure <= 0.0 {
        return Ok(None);
    }
    let test = conditional_test(now, sum, 1.0)?;
    Ok(Some(MonthTest {
        reports: now.reports,
        expected: finite("expected reports", now.exposure / sum.exposure * f64::from(sum.reports))?,
        mid_p: test.mid_p,
        history_months: history.len(),
    }))
}

/// The two settings of the creep score.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CreepRule {
    /// The score waits for the rate to be multiplied by this.
    pub factor: f64,
    /// An alarm is given when it reaches this.
    pub alarm_at: f64,
}

impl Default for CreepRule {
    fn default() -> Self {
        Self { factor: 2.0, alarm_at: 5.0 }
    }
}

/// The creep score after one month.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CreepStep {
    /// Reports that were expected; `None` where the history is too short, and the score stays 0.
    pub expected: Option<f64>,
    /// Score after the month, before it is set back by an alarm.
    pub score: f64,
    /// Whether the month gave an alarm.
    pub alarm: bool,
    /// With an alarm: the place of the last month whose score was zero, the best guess of when it
    /// began; 0 if there was none before.
    pub began: Option<usize>,
}

/// The score after one more month, not below zero.
///
/// What: S = max(0, S + o ln k - (k - 1) E) (E14), the cumulated Poisson log likelihood ratio of a
/// rate k times the expected one. Symbols: o reports, E expected reports, k factor. Assumptions:
/// Poisson counts. Valid range: E not below 0, k above 1. Source: Page 1954, Biometrika 41 (from
/// memory).
#[must_use]
pub fn creep_score(score: f64, reports: u32, expected: f64, factor: f64) -> f64 {
    (score + f64::from(reports) * factor.ln() - (factor - 1.0) * expected).max(0.0)
}

/// Reports expected of a route this month, its own history steadied by the shop's.
///
/// What: E1 (o0 + 30 p)/(E0 + 30) (E14). Symbols: E1 exposure of the month, o0 and E0 the route's
/// reports and exposure before, p the shop's rate before, 30 strings' worth of it. Assumptions:
/// routes differ little enough for the shop to be a start. Valid range: `None` when nothing fell
/// due in the whole shop before. Source: judgement.
#[must_use]
pub fn steadied_expectation(
    now_exposure: f64,
    route_before: PeriodCount,
    shop_before: PeriodCount,
) -> Option<f64> {
    if shop_before.exposure <= 0.0 {
        return None;
    }
    let shop_rate = f64::from(shop_before.reports) / shop_before.exposure;
    let rate = (f64::from(route_before.reports) + STEADYING_STRINGS * shop_rate)
        / (route_before.exposure + STEADYING_STRINGS);
    let expected = now_exposure * rate;
    expected.is_finite().then_some(expected)
}

/// The creep score of a route through its months, oldest first; `shop` holds the whole shop's
/// counts of the same months.
///
/// What: [`creep_score`] month by month, set to 0 by an alarm (E14). Symbols: see there.
/// Assumptions: see there; every month is judged by the 12 before it. Valid range: months with
/// under 6 months before them, or in a shop without exposure, leave the score at 0. Source: Page
/// 1954, Biometrika 41 (from memory).
///
/// # Errors
/// When the lists differ in length, the factor is not above 1, or the limit not above 0.
pub fn creep_path(
    route: &[PeriodCount],
    shop: &[PeriodCount],
    rule: &CreepRule,
) -> Result<Vec<CreepStep>, EvidenceError> {
    if route.len() != shop.len() {
        return Err(EvidenceError::WrongCount {
            name: "months of the shop",
            found: shop.len(),
            needed: route.len(),
        });
    }
    let holds = rule.factor.is_finite() && rule.factor > 1.0;
    require(holds, "creep factor", rule.factor, "finite and above 1")?;
    positive("creep limit", rule.alarm_at)?;
    let mut steps = Vec::with_capacity(route.len());
    let (mut score, mut last_zero) = (0.0, 0);
    for (place, now) in route.iter().enumerate() {
        let from = place.saturating_sub(HISTORY_MONTHS);
        let expected = (place - from >= MINIMUM_HISTORY)
            .then(|| {
                steadied_expectation(
                    now.exposure,
                    PeriodCount::sum(&route[from..place]),
                    PeriodCount::sum(&shop[from..place]),
                )
            })
            .flatten();
        score = expected.map_or(0.0, |e| creep_score(score, now.reports, e, rule.factor));
        if score <= 0.0 {
            last_zero = place;
        }
        let alarm = score >= rule.alarm_at;
        steps.push(CreepStep { expected, score, alarm, began: alarm.then_some(last_zero) });
        if alarm {
            score = 0.0;
            last_zero = place;
        }
    }
    Ok(steps)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn count(reports: u32, exposure: f64) -> PeriodCount {
        PeriodCount::new(reports, exposure).unwrap()
    }

    #[test]
    fn twelve_where_five_are_expected_happens_once_in_170_looks() {
        let before = vec![count(5, 60.0); 12];
        let test = compare_month(count(12, 60.0), &before).unwrap().unwrap();
        assert!((test.expected - 5.0).abs() < 1e-12);
        assert!((1.0 / test.mid_p - 171.0).abs() < 1.0);
        assert_eq!(test.history_months, 12);
    }

    #[test]
    fn five_months_of_history_allow_no_test_and_six_do() {
        let months = vec![count(5, 60.0); 6];
        assert_eq!(compare_month(count(9, 60.0), &months[..5]).unwrap(), None);
        assert!(compare_month(count(9, 60.0), &months).unwrap().is_some());
    }

    #[test]
    fn only_the_last_twelve_months_are_compared_with() {
        let mut months = vec![count(60, 60.0); 12];
        months.extend(vec![count(5, 60.0); 12]);
        let test = compare_month(count(5, 60.0), &months).unwrap().unwrap();
        assert!((test.expected - 5.0).abs() < 1e-12);
    }

    #[test]
    fn no_report_at_all_is_no_sign_of_anything() {
        let months = vec![count(0, 60.0); 12];
        let test = compare_month(count(0, 60.0), &months).unwrap().unwrap();
        assert!((test.mid_p - 1.0).abs() < 1e-15);
        assert!(test.expected.abs() < 1e-15);
    }

    #[test]
    fn nothing_due_in_either_period_allows_no_test() {
        let months = vec![count(5, 60.0); 12];
        assert_eq!(compare_month(count(1, 0.0), &months).unwrap(), None);
        let empty = vec![count(0, 0.0); 12];
        assert_eq!(compare_month(count(1, 9.0), &empty).unwrap(), None);
    }

    #[test]
    fn exposures_must_be_numbers() {
        assert!(PeriodCount::new(1, f64::NAN).is_err());
        assert!(PeriodCount::new(1, -0.1).is_err());
        assert!(conditional_test(count(1, 0.0), count(1, 1.0), 1.0).is_err());
        assert!(conditional_test(count(1, 1.0), count(1, 1.0), f64::NAN).is_err());
    }

    #[test]
    fn the_routes_expectation_leans_on_the_shop() {
        // Shop 100 of 1000; the route has no history: 30 strings' worth of 0.1.
        let expected = steadied_expectation(50.0, count(0, 0.0), count(100, 1000.0)).unwrap();
        assert!((expected - 5.0).abs() < 1e-12);
        // With 20 of 70 of its own: (20 + 3)/100.
        let expected = steadied_expectation(50.0, count(20, 70.0), count(100, 1000.0)).unwrap();
        assert!((expected - 11.5).abs() < 1e-12);
        assert_eq!(steadied_expectation(5.0, count(0, 9.0), count(0, 0.0)), None);
    }

    #[test]
    fn a_steady_route_gives_no_alarm_and_a_doubled_one_does_and_says_since_when() {
        let rule = CreepRule { factor: 2.0, alarm_at: 4.0 };
        let steady = vec![count(4, 40.0); 30];
        let shop = vec![count(40, 400.0); 30];
        let steps = creep_path(&steady, &shop, &rule).unwrap();
        assert!(steps.iter().all(|s| !s.alarm));
        let mut creeping = steady;
        for month in &mut creeping[20..] {
            *month = count(8, 40.0);
        }
        let steps = creep_path(&creeping, &shop, &rule).unwrap();
        let first = steps.iter().position(|s| s.alarm).unwrap();
        // The first doubled month adds 8 ln 2 - 4 = 1.55; the later ones less, because they raise
        // the expectation themselves.
        assert_eq!(first, 23);
        assert_eq!(steps[first].began, Some(19));
        assert!(steps[first].score >= 4.0);
    }

    #[test]
    fn the_first_six_months_leave_the_score_at_zero() {
        let route = vec![count(9, 10.0); 6];
        let steps = creep_path(&route, &route, &CreepRule::default()).unwrap();
        assert!(steps.iter().all(|s| s.expected.is_none() && !s.alarm));
    }

    #[test]
    fn an_alarm_sets_the_score_back_to_zero() {
        let mut route = vec![count(1, 20.0); 12];
        route.push(count(20, 20.0));
        route.push(count(1, 20.0));
        let shop = vec![count(10, 200.0); 14];
        let steps = creep_path(&route, &shop, &CreepRule::default()).unwrap();
        assert!(steps[12].alarm && steps[12].score > 10.0);
        assert!(steps[13].score < 1.0);
    }

    #[test]
    fn settings_and_lists_that_make_no_sense_are_refused() {
        let months = vec![count(1, 1.0); 3];
        assert!(creep_path(&months, &months[1..], &CreepRule::default()).is_err());
        let factor = CreepRule { factor: 1.0, ..CreepRule::default() };
        assert!(creep_path(&months, &months, &factor).is_err());
        let limit = CreepRule { alarm_at: 0.0, ..CreepRule::default() };
        assert!(creep_path(&months, &months, &limit).is_err());
        assert!(creep_path(&[], &[], &CreepRule::default()).unwrap().is_empty());
    }
}
