//! How reports accumulate with a string's age, for drawing.

use std::collections::BTreeMap;

/// A string followed from its delivery.
///
/// A string sold on, broken or returned unused is followed to that day and has no outcome.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Followed<K> {
    /// Days from delivery to the outcome, or to the end of the follow-up.
    pub days: u32,
    /// How its first report ended; `None` if none has come.
    pub outcome: Option<K>,
}

/// The share without a report after a day on which at least one came.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SurvivalStep {
    /// Days since delivery.
    pub day: u32,
    /// Strings still followed and without a report on the morning of that day.
    pub at_risk: u32,
    /// Reports on that day.
    pub events: u32,
    /// Share without a report after it.
    pub survival: f64,
    /// Greenwood's standard error; `None` once every string at risk has reported.
    pub standard_error: Option<f64>,
}

/// Shares of the outcomes after a day on which at least one report came.
#[derive(Debug, Clone, PartialEq)]
pub struct IncidenceStep {
    /// Days since delivery.
    pub day: u32,
    /// Strings still followed and without a report on the morning of that day.
    pub at_risk: u32,
    /// Share without a report after it.
    pub survival: f64,
    /// Share that has ended in each outcome, in the order of [`CumulativeIncidence::outcomes`].
    pub incidence: Vec<f64>,
}

/// Cumulative incidence by outcome.
#[derive(Debug, Clone, PartialEq)]
pub struct CumulativeIncidence<K> {
    /// The outcomes that occurred, in their own order.
    pub outcomes: Vec<K>,
    /// One step per day with a report.
    pub steps: Vec<IncidenceStep>,
}

/// Counts of one day.
struct Day<K> {
    by_outcome: BTreeMap<K, u32>,
    lost: u32,
}

impl<K> Default for Day<K> {
    fn default() -> Self {
        Self { by_outcome: BTreeMap::new(), lost: 0 }
    }
}

fn by_day<K: Ord + Copy>(followed: &[Followed<K>]) -> BTreeMap<u32, Day<K>> {
    let mut days = BTreeMap::<u32, Day<K>>::new();
    for string in followed {
        let day = days.entry(string.days).or_default();
        match string.outcome {
            Some(outcome) => *day.by_outcome.entry(outcome).or_default() += 1,
            None => day.lost += 1,
        }
    }
    days
}

/// Share of strings without a report by age, whatever the outcome.
///
/// What: product of 1 - d/n over days with a report (E09), Greenwood's standard error S sqrt(sum
/// d/(n (n - d))) (E09). Symbols: d reports, n at risk, days. Assumptions: strings that drop out
/// are no different from the others; a loss on the day of a report comes after it. Valid range:
/// any number; an empty list gives no step. Source: Kaplan & Meier 1958, J. American Statistical
/// Association 53; Greenwood 1926 (from memory).
#[must_use]
pub fn survival_curve<K: Ord + Copy>(followed: &[Followed<K>]) -> Vec<SurvivalStep> {
    let mut at_risk = u32::try_from(followed.len()).unwrap_or(u32::MAX);
    let (mut survival, mut greenwood) = (1.0, Some(0.0));
    let mut steps = Vec::new();
    for (day, counts) in by_day(followed) {
        let events: u32 = counts.by_outcome.values().sum();
        if events > 0 {
            let (d, n) = (f64::from(events), f64::from(at_risk));
            survival *= 1.0 - d / n;
            greenwood = greenwood.filter(|_| events < at_risk);
            greenwood = greenwood.map(|sum| sum + d / (n * (n - d)));
            steps.push(SurvivalStep {
                day,
                at_risk,
                events,
                survival,
                standard_error: greenwood.map(|sum: f64| survival * sum.sqrt()),
            });
        }
        at_risk = at_risk.saturating_sub(events + counts.lost);
    }
    steps
}

/// Share of strings that ended in each outcome, by age.
///
/// What: F_k grows by S(before) d_k/n on each day (E10). Symbols: d_k reports with outcome k, n at
/// risk, S share without any report. Assumptions: as for the survival curve; the outcomes exclude
/// each other. Valid range: any number; the curves add up to 1 - S. Source: Aalen & Johansen 1978,
/// Scandinavian J. Statistics 5 (from memory). One minus Kaplan-Meier per outcome is not used: it
/// adds up to more than the total.
#[must_use]
pub fn cumulative_incidence<K: Ord + Copy>(followed: &[Followed<K>]) -> CumulativeIncidence<K> {
    let days = by_day(followed);
    let outcomes: Vec<K> = days
        .values()
        .flat_map(|day| day.by_outcome.keys().copied())
        .collect::<std::collections::BTreeSet<K>>()
        .into_iter()
        .collect();
    let mut at_risk = u32::try_from(followed.len()).unwrap_or(u32::MAX);
    let mut survival = 1.0;
    let mut incidence = vec![0.0; outcomes.len()];
    let mut steps = Vec::new();
    for (day, counts) in &days {
        let events: u32 = counts.by_outcome.values().sum();
        if events > 0 {
            let n = f64::from(at_risk);
            for (share, outcome) in incidence.iter_mut().zip(&outcomes) {
                let d = counts.by_outcome.get(outcome).copied().unwrap_or(0);
                *share += survival * f64::from(d) / n;
            }
            survival *= 1.0 - f64::from(events) / n;
            steps.push(IncidenceStep { day: *day, at_risk, survival, incidence: incidence.clone() });
        }
        at_risk = at_risk.saturating_sub(events + counts.lost);
    }
    CumulativeIncidence { outcomes, steps }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quiet(days: u32) -> Followed<u8> {
        Followed { days, outcome: None }
    }

    fn told(days: u32, outcome: u8) -> Followed<u8> {
        Followed { days, outcome: Some(outcome) }
    }

    #[test]
    fn no_string_gives_no_step() {
        assert!(survival_curve::<u8>(&[]).is_empty());
        let incidence = cumulative_incidence::<u8>(&[]);
        assert!(incidence.outcomes.is_empty() && incidence.steps.is_empty());
    }

    #[test]
    fn no_report_gives_no_step() {
        assert!(survival_curve(&[quiet(3), quiet(9)]).is_empty());
    }

    #[test]
    fn one_reported_string_ends_at_zero_without_a_standard_error() {
        let steps = survival_curve(&[told(4, 1)]);
        assert_eq!(steps.len(), 1);
        assert!(steps[0].survival.abs() < 1e-15);
        assert_eq!(steps[0].standard_error, None);
    }

    #[test]
    fn all_reported_ends_at_zero_and_incidence_at_one() {
        let all = [told(1, 1), told(2, 2), told(2, 1), told(9, 1)];
        assert!(survival_curve(&all).last().unwrap().survival.abs() < 1e-15);
        let last = cumulative_incidence(&all).steps.last().unwrap().clone();
        assert!((last.incidence.iter().sum::<f64>() - 1.0).abs() < 1e-15);
        assert!((last.incidence[1] - 0.25).abs() < 1e-15);
    }

    #[test]
    fn a_loss_on_the_day_of_a_report_comes_after_it() {
        let steps = survival_curve(&[told(5, 1), quiet(5), quiet(8), quiet(8)]);
        assert_eq!(steps[0].at_risk, 4);
        assert!((steps[0].survival - 0.75).abs() < 1e-15);
        // Greenwood by hand: 0.75 sqrt(1/(4 x 3)).
        let expected = 0.75 * (1.0_f64 / 12.0).sqrt();
        assert!((steps[0].standard_error.unwrap() - expected).abs() < 1e-15);
    }

    #[test]
    fn a_report_on_the_day_of_delivery_is_a_step_at_zero() {
        let steps = survival_curve(&[told(0, 1), quiet(8)]);
        assert_eq!((steps[0].day, steps[0].at_risk), (0, 2));
    }
}
