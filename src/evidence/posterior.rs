//! What is believed of mean and spread of the length error, on a grid.

use super::length_tables::LengthTables;
use super::{EvidenceError, Interval};
use crate::numeric::{finite, positive, share};

/// Doubt about play, told share and the shape of the bell that no number of strings removes,
/// inches of standard deviation.
const EXTRA_DOUBT_INCH: f64 = 0.05;
/// Standard normal value of a two-sided 95 % interval.
const Z_95: f64 = 1.959_963_984_540_054;

/// What is believed of a length error before any string is counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LengthPrior {
    /// Middle of the mean error, inches; 0 is "the offset is right".
    pub mean_centre_inch: f64,
    /// Chance that the mean lies right there.
    pub right_share: f64,
    /// Standard deviation of a mean that does, inches.
    pub right_sd_inch: f64,
    /// Standard deviation of the others, inches.
    pub elsewhere_sd_inch: f64,
    /// Median of the spread, inches.
    pub spread_median_inch: f64,
    /// Standard deviation of the logarithm of the spread.
    pub spread_ln_sd: f64,
}

impl Default for LengthPrior {
    /// An offset in use is right four times in five (judgement, checked by simulation).
    fn default() -> Self {
        Self {
            mean_centre_inch: 0.0,
            right_share: 0.8,
            right_sd_inch: 0.04,
            elsewhere_sd_inch: 0.30,
            spread_median_inch: 0.30,
            spread_ln_sd: 0.40,
        }
    }
}

impl LengthPrior {
    /// A mean that may be anywhere about the middle.
    #[must_use]
    pub fn anywhere(mean_sd_inch: f64) -> Self {
        Self { right_share: 0.0, elsewhere_sd_inch: mean_sd_inch, ..Self::default() }
    }

    pub(super) fn checked(&self) -> Result<&Self, EvidenceError> {
        finite("prior middle of the error", self.mean_centre_inch)?;
        share("chance that an offset is right", self.right_share)?;
        positive("prior spread of a right error", self.right_sd_inch)?;
        positive("prior spread of the error", self.elsewhere_sd_inch)?;
        positive("prior median of the spread", self.spread_median_inch)?;
        positive("prior spread of ln(spread)", self.spread_ln_sd)?;
        Ok(self)
    }

    /// Weights of the means of a grid, adding up to 1; `moved` shifts the middle, inches.
    pub(super) fn of_means(&self, tables: &LengthTables, moved: f64) -> Vec<f64> {
        let centre = self.mean_centre_inch + moved;
        let right = bell(tables, centre, self.right_sd_inch);
        let elsewhere = bell(tables, centre, self.elsewhere_sd_inch);
        right
            .iter()
            .zip(&elsewhere)
            .map(|(r, e)| self.right_share * r + (1.0 - self.right_share) * e)
            .collect()
    }

    /// Weights of the spreads of a grid, adding up to 1.
    pub(super) fn of_spreads(&self, tables: &LengthTables) -> Vec<f64> {
        let logs: Vec<f64> = tables
            .spreads
            .iter()
            .map(|spread| {
                let from_median = (spread / self.spread_median_inch).ln() / self.spread_ln_sd;
                -0.5 * from_median * from_median
            })
            .collect();
        normalised(&logs)
    }
}

/// A normal distribution on the means of a grid.
pub(super) fn bell(tables: &LengthTables, centre: f64, sd: f64) -> Vec<f64> {
    let logs: Vec<f64> = (0..tables.grid.means())
        .map(|place| {
            let from_centre = (tables.grid.mean_at(place) - centre) / sd;
            -0.5 * from_centre * from_centre
        })
        .collect();
    normalised(&logs)
}

/// Weights that add up to 1 from their logarithms.
pub(super) fn normalised(logs: &[f64]) -> Vec<f64> {
    let greatest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = logs.iter().map(|log| (log - greatest).exp()).collect();
    let total: f64 = weights.iter().sum();
    weights.into_iter().map(|weight| weight / total).collect()
}

/// A mean error with what is known of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeanError {
    /// Mean error, inches; above zero the strings come too short.
    pub mean_inch: f64,
    /// Standard deviation of what is known of the mean, inches.
    pub sd_inch: f64,
    /// 95 % interval of the mean from the grid alone.
    pub formal: Interval,
    /// The interval to show: widened by 0.05 in of standard deviation.
    pub widened: Interval,
}

/// What is known of the length error under the offset in force.
#[derive(Debug, Clone, PartialEq)]
pub struct LengthPosterior {
    /// Weights of the grid points, which add up to 1: every mean of the first spread, then of the
    /// next.
    pub(super) weights: Vec<f64>,
    /// The mean error.
    pub error: MeanError,
    /// Posterior mean of the spread, inches.
    pub spread_inch: f64,
    /// Probability on the outermost means; above a few percent the error is larger than the grid.
    pub edge_weight: f64,
}

impl LengthPosterior {
    /// Sums up weights of the grid points.
    ///
    /// What: mean and 95 % interval of the mean error, the interval widened to sqrt(s^2 + 0.05^2)
    /// (E18). Symbols: inches. Assumptions: those of the course that gave the weights. Valid range:
    /// weights that add up to 1. Source: definition; the widening by judgement.
    pub(super) fn of(weights: Vec<f64>, tables: &LengthTables) -> Self {
        let means = tables.grid.means();
        let mut of_mean = vec![0.0; means];
        let mut spread_inch = 0.0;
        for (spread, row) in tables.spreads.iter().zip(weights.chunks_exact(means)) {
            for (sum, weight) in of_mean.iter_mut().zip(row) {
                *sum += weight;
            }
            spread_inch += spread * row.iter().sum::<f64>();
        }
        let error = mean_error(&of_mean, tables);
        Self { weights, error, spread_inch, edge_weight: of_mean[0] + of_mean[means - 1] }
    }
}

/// Mean, spread and interval of weights on the means of a grid (E18).
pub(super) fn mean_error(of_mean: &[f64], tables: &LengthTables) -> MeanError {
    let at = |place: usize| tables.grid.mean_at(place);
    let mean: f64 = of_mean.iter().enumerate().map(|(place, w)| at(place) * w).sum();
    let variance: f64 =
        of_mean.iter().enumerate().map(|(place, w)| (at(place) - mean) * (at(place) - mean) * w).sum();
    let formal = Interval {
        low: quantile(of_mean, 0.025, at).min(mean),
        high: quantile(of_mean, 0.975, at).max(mean),
    };
    let widen = |half: f64| half.hypot(Z_95 * EXTRA_DOUBT_INCH);
    MeanError {
        mean_inch: mean,
        sd_inch: variance.max(0.0).sqrt(),
        formal,
        widened: Interval { low: mean - widen(mean - formal.low), high: mean + widen(formal.high - mean) },
    }
}

/// Quantile of weights that stand for even cells around the grid values.
fn quantile(weights: &[f64], p: f64, at: impl Fn(usize) -> f64) -> f64 {
    let step = at(1) - at(0);
    let mut below = 0.0;
    for (place, weight) in weights.iter().enumerate() {
        if below + weight >= p && *weight > 0.0 {
            return at(place) + step * ((p - below) / weight - 0.5);
        }
        below += weight;
    }
    at(weights.len() - 1) + 0.5 * step
}

/// Half the way from a told share to 1, to show how much an estimate hangs on it.
#[must_use]
pub fn half_way_to_all(told_share: f64) -> f64 {
    0.5 * (1.0 + told_share)
}
