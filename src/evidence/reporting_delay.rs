//! How much of its complaints a string has shown by its age.

use chrono::NaiveDate;

use super::EvidenceError;
use super::calendar::{Month, days_between};
use crate::numeric::{require, share};

/// Reports that the starting curve counts for.
pub const PSEUDO_REPORTS: f64 = 10.0;
/// Day edges of the curve.
const EDGES: [u32; 11] = [0, 3, 7, 14, 21, 30, 45, 60, 90, 120, 180];
/// Starting curve at the edges (judgement; replaced by the shop's own reports as they come).
const START: [f64; 11] = [0.0, 0.14, 0.32, 0.52, 0.63, 0.73, 0.82, 0.88, 0.945, 0.972, 1.0];

/// A reported string: how old it is and how long the report took.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DelayedReport {
    /// Days from delivery to the look.
    pub age_days: u32,
    /// Days from delivery to the first fit report.
    pub delay_days: u32,
}

/// Share of all complaints that have come in by an age: 0 at day 0, 1 at the horizon.
#[derive(Debug, Clone, PartialEq)]
pub struct ReportingDelay {
    edges: Vec<u32>,
    shares: Vec<f64>,
}

impl Default for ReportingDelay {
    /// The starting curve to the horizon of 180 days.
    fn default() -> Self {
        Self { edges: EDGES.to_vec(), shares: START.to_vec() }
    }
}

impl ReportingDelay {
    /// A curve through the given points, straight in between.
    ///
    /// # Errors
    /// When the lists differ in length or have under two points, the days do not rise from 0, or
    /// the shares do not rise from 0 to 1.
    pub fn new(edges: Vec<u32>, shares: Vec<f64>) -> Result<Self, EvidenceError> {
        if edges.len() < 2 || edges.len() != shares.len() {
            return Err(EvidenceError::WrongCount {
                name: "curve of the reporting delay",
                found: shares.len(),
                needed: edges.len().max(2),
            });
        }
        let check =
            |holds: bool, value: f64, allowed| require(holds, "curve of the reporting delay", value, allowed);
        let days_rise = edges[0] == 0 && edges.windows(2).all(|pair| pair[0] < pair[1]);
        check(days_rise, f64::from(edges[0]), "over days that rise from 0")?;
        for value in &shares {
            share("share of the reporting delay", *value)?;
        }
        let last = shares[shares.len() - 1];
        let rises = shares[0] <= 0.0 && last >= 1.0 && shares.windows(2).all(|p| p[0] < p[1]);
        check(rises, last, "rising from exactly 0 to exactly 1")?;
        Ok(Self { edges, shares })
    }

    /// The starting curve for another horizon: cut there and drawn up to 1, so that its shape among
    /// the complaints within the horizon is kept. Beyond 180 days it is level.
    ///
    /// # Errors
    /// When the horizon is 0.
    pub fn starting(horizon_days: u32) -> Result<Self, EvidenceError> {
        require(horizon_days > 0, "horizon", 0.0, "at least a day")?;
        let full = Self::default();
        let top = full.share_by(horizon_days);
        let mut edges: Vec<u32> =
            EDGES.iter().copied().filter(|e| *e < horizon_days && *e < EDGES[EDGES.len() - 1]).collect();
        let mut shares: Vec<f64> = edges.iter().map(|e| full.share_by(*e) / top).collect();
        edges.push(horizon_days);
        shares.push(1.0);
        Self::new(edges, shares)
    }

    /// The curve learned from reports, with this one as the starting curve.
    ///
    /// What: F(start of bin) = F(end) (1 - g), walking down from F(horizon) = 1, with g = (d + 10
    /// g0)/(D + 10) (E07). Symbols: D reports whose string is at least as old as the end of the
    /// bin and whose delay is at most that; d those of them that came after its start; g0 = 1 -
    /// F0(start)/F0(end); 10 pseudo-reports. Assumptions: delays are alike for old and new strings;
    /// the return rate may change. Valid range: any number of reports; none gives the starting
    /// curve back; reports beyond the horizon or later than the look are left out. Source:
    /// Kalbfleisch & Lawless 1989, J. American Statistical Association 84; Lawless 1994, Canadian
    /// J. Statistics 22 (from memory).
    #[must_use]
    pub fn learned_from(&self, reports: &[DelayedReport]) -> Self {
        let mut shares = self.shares.clone();
        // The first bin starts at F(0) = 0 whatever the reports say.
        for bin in (1..self.edges.len() - 1).rev() {
            let (start, end) = (self.edges[bin], self.edges[bin + 1]);
            let (mut by_end, mut after_start) = (0_u32, 0_u32);
            for report in reports {
                let seen = report.delay_days <= report.age_days;
                if seen && report.age_days >= end && report.delay_days <= end {
                    by_end += 1;
                    after_start += u32::from(report.delay_days > start);
                }
            }
            let start_share = 1.0 - self.shares[bin] / self.shares[bin + 1];
            let in_bin = (f64::from(after_start) + PSEUDO_REPORTS * start_share)
                / (f64::from(by_end) + PSEUDO_REPORTS);
            shares[bin] = shares[bin + 1] * (1.0 - in_bin);
        }
        Self { edges: self.edges.clone(), shares }
    }

    /// Day edges.
    #[must_use]
    pub fn edges(&self) -> &[u32] {
        &self.edges
    }

    /// Shares at the day edges.
    #[must_use]
    pub fn shares(&self) -> &[f64] {
        &self.shares
    }

    /// The day at which the curve reaches 1.
    #[must_use]
    pub fn horizon_days(&self) -> u32 {
        self.edges[self.edges.len() - 1]
    }

    /// F(age): share of all complaints that have come in by this age, straight between edges (E07).
    #[must_use]
    pub fn share_by(&self, age_days: u32) -> f64 {
        let above = self.edges.partition_point(|edge| *edge <= age_days);
        if above >= self.edges.len() {
            return 1.0;
        }
        if above == 0 {
            return 0.0;
        }
        let (start, end) = (self.edges[above - 1], self.edges[above]);
        let part = f64::from(age_days - start) / f64::from(end - start);
        self.shares[above - 1] + part * (self.shares[above] - self.shares[above - 1])
    }

    /// Sum of F(age) over strings.
    ///
    /// What: effective strings (E08). Symbols: ages in days. Assumptions: those of the curve. Valid
    /// range: any ages, also none. Source: definition.
    #[must_use]
    pub fn effective_strings(&self, ages: &Ages) -> f64 {
        ages.sum(|age| self.share_by(age))
    }

    /// Strings whose complaints fell due in a month, cut short at the look while the month runs.
    ///
    /// What: sum of F(age at the end) - F(age at the start) (E12), the end being the last day of
    /// the month or the look, the start the last day before it. Symbols: strings, ages on the day of
    /// the look. Assumptions: those of the curve. Valid range: any month; strings delivered later add
    /// nothing. Source: person time of a cohort, by definition.
    #[must_use]
    pub fn exposure(&self, ages: &Ages, month: Month, look: NaiveDate) -> f64 {
        let end = month.last_day().min(look);
        let Some(start) = month.first_day().pred_opt() else {
            return 0.0;
        };
        let (Some(length), Some(since)) = (days_between(start, end), days_between(end, look)) else {
            return 0.0;
        };
        let share = |age: Option<u32>| age.map_or(0.0, |age| self.share_by(age));
        ages.sum(|age| {
            let at_end = age.checked_sub(since);
            share(at_end) - share(at_end.and_then(|age| age.checked_sub(length)))
        })
    }
}

/// How many strings are how old on the day of a look: sums over them cost as many steps as there
/// are days, and their order is always the same.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Ages(Vec<u32>);

/// Older than this is as old as this: fifty years.
const OLDEST: u32 = 18_250;

impl FromIterator<(u32, u32)> for Ages {
    /// From ages in days, each with a number of strings.
    fn from_iter<I: IntoIterator<Item = (u32, u32)>>(ages: I) -> Self {
        let mut counts = Vec::new();
        for (age, count) in ages {
            let place = age.min(OLDEST) as usize;
            if place >= counts.len() {
                counts.resize(place + 1, 0_u32);
            }
            counts[place] = counts[place].saturating_add(count);
        }
        Self(counts)
    }
}

impl Ages {
    /// A value for every age, times the strings of that age.
    pub(super) fn sum(&self, value: impl Fn(u32) -> f64) -> f64 {
        self.0.iter().zip(0..).filter(|(n, _)| **n > 0).map(|(n, age)| f64::from(*n) * value(age)).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn no_report_gives_the_starting_curve_back() {
        let start = ReportingDelay::default();
        let learned = start.learned_from(&[]);
        for (a, b) in start.shares().iter().zip(learned.shares()) {
            assert!((a - b).abs() < 1e-12);
        }
    }

    #[test]
    fn a_string_of_yesterday_counts_almost_nothing_and_one_of_four_months_97_percent() {
        let curve = ReportingDelay::default();
        assert!((curve.share_by(1) - 0.14 / 3.0).abs() < 1e-12);
        assert!((curve.share_by(120) - 0.972).abs() < 1e-12);
        assert!(curve.share_by(0).abs() < 1e-15);
        assert!((curve.share_by(100_000) - 1.0).abs() < 1e-15);
    }

    #[test]
    fn many_reports_outweigh_the_starting_curve() {
        // All reports on day 10: by day 14 everything is in, by day 7 nothing.
        let report = DelayedReport { age_days: 400, delay_days: 10 };
        let learned = ReportingDelay::default().learned_from(&vec![report; 100_000]);
        assert!(learned.share_by(14) > 0.99 && learned.share_by(7) < 0.01);
    }

    #[test]
    fn reports_of_young_strings_and_impossible_ones_change_nothing_beyond_their_age() {
        let start = ReportingDelay::default();
        let young = DelayedReport { age_days: 2, delay_days: 1 };
        let from_the_future = DelayedReport { age_days: 100, delay_days: 101 };
        let late = DelayedReport { age_days: 900, delay_days: 500 };
        assert_eq!(start.learned_from(&[young, from_the_future, late]), start.learned_from(&[]));
    }

    fn each(ages: &[u32]) -> Ages {
        ages.iter().map(|age| (*age, 1)).collect()
    }

    #[test]
    fn effective_strings_do_not_depend_on_the_order() {
        let curve = ReportingDelay::default();
        let (there, back) = (each(&[1, 200, 17, 33, 5, 90]), each(&[90, 5, 33, 17, 200, 1]));
        let sum = curve.effective_strings(&there);
        assert_eq!(sum.to_bits(), curve.effective_strings(&back).to_bits());
        let by_hand: f64 = [1, 200, 17, 33, 5, 90].into_iter().map(|age| curve.share_by(age)).sum();
        assert!((sum - by_hand).abs() < 1e-12);
        assert!(curve.effective_strings(&each(&[])).abs() < 1e-15);
        assert!((curve.effective_strings(&each(&[u32::MAX])) - 1.0).abs() < 1e-15);
    }

    #[test]
    fn a_strings_exposures_add_up_to_one_over_its_horizon() {
        let curve = ReportingDelay::default();
        let look = day("2025-12-31");
        let ages = each(&[days_between(day("2025-01-17"), look).unwrap()]);
        let mut month = Month::new(2025, 1).unwrap();
        let mut total = 0.0;
        for _ in 0..8 {
            total += curve.exposure(&ages, month, look);
            month = month.plus(1);
        }
        assert!((total - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_running_month_is_cut_short_and_a_later_delivery_adds_nothing() {
        let curve = ReportingDelay::default();
        let month = Month::new(2025, 1).unwrap();
        // Delivered on the first, looked at a week later.
        let ages = each(&[7]);
        let part = curve.exposure(&ages, month, day("2025-01-08"));
        assert!((part - 0.32).abs() < 1e-12);
        assert!(curve.exposure(&ages, month.plus(-1), day("2025-01-08")).abs() < 1e-15);
        assert!(curve.exposure(&ages, month, day("2024-12-01")).abs() < 1e-15);
    }

    #[test]
    fn another_horizon_keeps_the_shape_of_the_curve() {
        let short = ReportingDelay::starting(60).unwrap();
        assert_eq!(short.horizon_days(), 60);
        assert!((short.share_by(14) - 0.52 / 0.88).abs() < 1e-12);
        assert_eq!(ReportingDelay::starting(180).unwrap(), ReportingDelay::default());
        assert_eq!(ReportingDelay::starting(365).unwrap().horizon_days(), 365);
        assert_eq!(ReportingDelay::starting(1).unwrap().edges(), [0, 1]);
        assert!(ReportingDelay::starting(0).is_err());
    }

    #[test]
    fn a_curve_that_falls_or_has_gaps_is_refused() {
        assert!(ReportingDelay::new(vec![0, 5], vec![0.0, 1.0]).is_ok());
        assert!(ReportingDelay::new(vec![0, 5, 9], vec![0.0, 1.0]).is_err());
        assert!(ReportingDelay::new(vec![0], vec![1.0]).is_err());
        assert!(ReportingDelay::new(vec![1, 5], vec![0.0, 1.0]).is_err());
        assert!(ReportingDelay::new(vec![0, 5, 9], vec![0.0, 0.5, 0.4]).is_err());
        assert!(ReportingDelay::new(vec![0, 5, 9], vec![0.0, f64::NAN, 1.0]).is_err());
    }
}
