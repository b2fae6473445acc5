//! What the strings say about mean and spread of the length error.

use super::length_error::{LengthModel, LengthObservations};
use super::ranking::even;
use super::{EvidenceError, Interval};
use crate::numeric::{OutOfRange, finite, positive, share};

/// Doubt about play, told share and the shape of the bell that no number of strings removes,
/// inches of standard deviation.
const EXTRA_DOUBT_INCH: f64 = 0.05;
/// Standard normal value of a two-sided 95 % interval.
const Z_95: f64 = 1.959_963_984_540_054;
/// Grid points with less than this share of the greatest weight change no shown digit.
const NEGLIGIBLE: f64 = 1e-12;

/// What is believed of a length error before any string is counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LengthPrior {
    /// Middle of the mean error, inches; 0 is "the present offset is right".
    pub mean_centre_inch: f64,
    /// Standard deviation of the mean error, inches.
    pub mean_sd_inch: f64,
    /// Median of the spread, inches.
    pub spread_median_inch: f64,
    /// Standard deviation of the logarithm of the spread.
    pub spread_ln_sd: f64,
}

impl Default for LengthPrior {
    fn default() -> Self {
        Self { mean_centre_inch: 0.0, mean_sd_inch: 0.25, spread_median_inch: 0.30, spread_ln_sd: 0.40 }
    }
}

/// The grid of mean and spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LengthGrid {
    /// Means run from minus this to plus this, inches.
    pub mean_reach_inch: f64,
    /// Steps of the mean on each side of zero.
    pub mean_steps: u32,
    /// Smallest spread, inches.
    pub spread_low_inch: f64,
    /// Largest spread, inches.
    pub spread_high_inch: f64,
    /// Values of the spread, even on the logarithm.
    pub spread_values: usize,
}

impl LengthGrid {
    /// Steps of 1/64 in and 41 spreads: for the page.
    pub const FINE: Self = Self {
        mean_reach_inch: 1.25,
        mean_steps: 80,
        spread_low_inch: 0.08,
        spread_high_inch: 1.0,
        spread_values: 41,
    };
    /// Steps of 1/32 in and 17 spreads: for looking back over many months.
    pub const COARSE: Self = Self {
        mean_reach_inch: 1.25,
        mean_steps: 40,
        spread_low_inch: 0.08,
        spread_high_inch: 1.0,
        spread_values: 17,
    };
}

impl Default for LengthGrid {
    fn default() -> Self {
        Self::FINE
    }
}

/// One value of the told share with its weight.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToldPoint {
    /// Share of misfits that are ever reported.
    pub share: f64,
    /// Its probability.
    pub weight: f64,
}

/// What is believed of the told share, as weighted points.
#[derive(Debug, Clone, PartialEq)]
pub struct ToldGrid {
    points: Vec<ToldPoint>,
}

impl Default for ToldGrid {
    /// Beta(9, 3) cut to 0.3..1, in 28 cells of equal width.
    fn default() -> Self {
        const CELLS: u32 = 28;
        const LOWEST: f64 = 0.3;
        let width = (1.0 - LOWEST) / f64::from(CELLS);
        let mut points: Vec<ToldPoint> = (0..CELLS)
            .map(|i| {
                // Middles of cells: the density is zero at 1 itself.
                let share = LOWEST + (f64::from(i) + 0.5) * width;
                ToldPoint { share, weight: share.powi(8) * (1.0 - share).powi(2) }
            })
            .collect();
        let total: f64 = points.iter().map(|p| p.weight).sum();
        for point in &mut points {
            point.weight /= total;
        }
        Self { points }
    }
}

impl ToldGrid {
    /// The points, lowest share first.
    #[must_use]
    pub fn points(&self) -> &[ToldPoint] {
        &self.points
    }

    /// Mean of the told share.
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.points.iter().map(|p| p.weight * p.share).sum()
    }

    /// This belief, with what each of several units learned from it put together.
    ///
    /// What: product of posterior over prior of every unit, times the prior (E19). Symbols:
    /// weights. Assumptions: one told share for the whole shop; `learned` are posteriors that
    /// started from this belief. Valid range: units on the same grid. Source: Bayes' rule.
    ///
    /// # Errors
    /// When a grid has another number of points.
    pub fn pooled(&self, learned: &[&Self]) -> Result<Self, EvidenceError> {
        let mut logs: Vec<f64> = self.points.iter().map(ln_weight).collect();
        for unit in learned {
            if unit.points.len() != self.points.len() {
                return Err(EvidenceError::WrongCount {
                    name: "grid of the told share",
                    found: unit.points.len(),
                    needed: self.points.len(),
                });
            }
            for ((log, own), unit) in logs.iter_mut().zip(&self.points).zip(&unit.points) {
                *log += ln_weight(unit) - ln_weight(own);
            }
        }
        let weights = normalised(&logs);
        Ok(Self {
            points: self
                .points
                .iter()
                .zip(weights)
                .map(|(point, weight)| ToldPoint { share: point.share, weight })
                .collect(),
        })
    }
}

/// A weight that has run out of range counts as very small, never as impossible.
fn ln_weight(point: &ToldPoint) -> f64 {
    point.weight.max(f64::MIN_POSITIVE).ln()
}

/// Share of misfits that are ever reported.
#[derive(Debug, Clone, PartialEq)]
pub enum ToldShare {
    /// A setting.
    Fixed(f64),
    /// Learned from the answers of quiet archers, starting from a belief.
    Learned(ToldGrid),
}

/// Half the way from a told share to 1, to show how much an estimate hangs on it.
#[must_use]
pub fn half_way_to_all(told_share: f64) -> f64 {
    0.5 * (1.0 + told_share)
}

/// One grid point of the posterior.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PosteriorPoint {
    /// Mean error, inches.
    pub mean_inch: f64,
    /// Spread, inches.
    pub spread_inch: f64,
    /// Probability.
    pub weight: f64,
    /// Mean of the told share, given this mean and spread.
    pub told_share: f64,
}

/// What is known of the length error under the offset in force.
#[derive(Debug, Clone, PartialEq)]
pub struct LengthPosterior {
    /// Grid points with their weights; they add up to 1.
    pub points: Vec<PosteriorPoint>,
    /// Mean error, inches; above zero the strings come too short.
    pub mean_inch: f64,
    /// Standard deviation of what is known of the mean, inches.
    pub mean_sd_inch: f64,
    /// Posterior mean of the spread, inches.
    pub spread_inch: f64,
    /// 95 % interval of the mean from the grid alone.
    pub formal: Interval,
    /// The interval to show: widened by 0.05 in of standard deviation.
    pub widened: Interval,
    /// Probability on the outermost means; above a few percent the error is larger than the grid.
    pub edge_weight: f64,
    /// Posterior of the told share; a single point where it was fixed.
    pub told: ToldGrid,
}

/// Posterior of mean and spread of the length error, on a grid.
///
/// What: prior x likelihood (E17), normalised; posterior mean, 95 % interval of the mean, the
/// interval widened to sqrt(s^2 + 0.05^2) (E18); with a learned told share a third direction of the
/// grid (E19). Symbols: inches. Assumptions: normal errors; mean ~ Normal(0, 0.25), ln spread ~
/// Normal(ln 0.30, 0.40) before the counts. Valid range: any number of strings; none gives the
/// prior back. Source: Bayes' rule by summation; prior by judgement.
///
/// # Errors
/// When a setting is not finite or outside its range, or no grid point has a likelihood.
pub fn length_posterior(
    seen: &LengthObservations,
    model: &LengthModel,
    prior: &LengthPrior,
    grid: &LengthGrid,
    told: &ToldShare,
) -> Result<LengthPosterior, EvidenceError> {
    let model = model.checked()?;
    let (means, spreads) = axes(grid)?;
    check_prior(prior)?;
    let shares = match told {
        ToldShare::Fixed(q) => vec![ToldPoint { share: share("told share", *q)?, weight: 1.0 }],
        ToldShare::Learned(belief) => belief.points.clone(),
    };
    // A fixed share has no say in how likely the reports are; a learned one has.
    let ln_shares: Vec<f64> = shares
        .iter()
        .map(|point| match told {
            ToldShare::Fixed(_) => Ok(0.0),
            ToldShare::Learned(_) => Ok(ln_weight(point) + seen.ln_told(model, point.share)?),
        })
        .collect::<Result<_, EvidenceError>>()?;
    let mut logs = Vec::with_capacity(means.len() * spreads.len() * shares.len());
    for mean in &means {
        for spread in &spreads {
            let point = seen.at(model, *mean, *spread);
            let base = ln_prior(prior, *mean, *spread) + point.without_quiet;
            for (told, ln_share) in shares.iter().zip(&ln_shares) {
                logs.push(base + ln_share + seen.ln_quiet(&point, told.share));
            }
        }
    }
    let greatest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    finite("greatest log likelihood", greatest)?;
    Ok(summarise(&means, &spreads, &shares, &normalised(&logs)))
}

fn axes(grid: &LengthGrid) -> Result<(Vec<f64>, Vec<f64>), EvidenceError> {
    let reach = positive("reach of the mean", grid.mean_reach_inch)?;
    let low = positive("smallest spread", grid.spread_low_inch)?;
    let high = positive("largest spread", grid.spread_high_inch)?;
    if grid.mean_steps == 0 || grid.spread_values < 2 || low >= high {
        return Err(EvidenceError::WrongCount {
            name: "grid of spreads",
            found: grid.spread_values,
            needed: 2,
        });
    }
    let steps = i64::from(grid.mean_steps);
    // Counted outwards from zero, so that the grid is its own mirror image.
    let means = (-steps..=steps).map(|i| i as f64 * (reach / steps as f64)).collect();
    let spreads = even(low.ln(), high.ln(), grid.spread_values).into_iter().map(f64::exp).collect();
    Ok((means, spreads))
}

fn check_prior(prior: &LengthPrior) -> Result<(), OutOfRange> {
    finite("prior middle of the error", prior.mean_centre_inch)?;
    positive("prior spread of the error", prior.mean_sd_inch)?;
    positive("prior median of the spread", prior.spread_median_inch)?;
    positive("prior spread of ln(spread)", prior.spread_ln_sd)?;
    Ok(())
}

fn ln_prior(prior: &LengthPrior, mean: f64, spread: f64) -> f64 {
    let from_centre = (mean - prior.mean_centre_inch) / prior.mean_sd_inch;
    let from_median = (spread / prior.spread_median_inch).ln() / prior.spread_ln_sd;
    -0.5 * (from_centre * from_centre + from_median * from_median)
}

/// Weights that add up to 1 from their logarithms.
fn normalised(logs: &[f64]) -> Vec<f64> {
    let greatest = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let weights: Vec<f64> = logs.iter().map(|log| (log - greatest).exp()).collect();
    let total: f64 = weights.iter().sum();
    weights.into_iter().map(|weight| weight / total).collect()
}

fn summarise(means: &[f64], spreads: &[f64], shares: &[ToldPoint], weights: &[f64]) -> LengthPosterior {
    let mut points = Vec::with_capacity(means.len() * spreads.len());
    let mut of_mean = vec![0.0; means.len()];
    let mut of_share = vec![0.0; shares.len()];
    let mut cells = weights.chunks_exact(shares.len());
    for (mean, total) in means.iter().zip(&mut of_mean) {
        for (spread, cell) in spreads.iter().zip(cells.by_ref()) {
            let weight: f64 = cell.iter().sum();
            let told: f64 = shares.iter().zip(cell).map(|(q, w)| q.share * w).sum();
            for (sum, w) in of_share.iter_mut().zip(cell) {
                *sum += w;
            }
            *total += weight;
            points.push(PosteriorPoint {
                mean_inch: *mean,
                spread_inch: *spread,
                weight,
                told_share: if weight > 0.0 { told / weight } else { 0.0 },
            });
        }
    }
    let mean: f64 = means.iter().zip(&of_mean).map(|(m, w)| m * w).sum();
    let variance: f64 = means.iter().zip(&of_mean).map(|(m, w)| (m - mean) * (m - mean) * w).sum();
    let spread = points.iter().map(|p| p.spread_inch * p.weight).sum();
    let formal = Interval {
        low: quantile(means, &of_mean, 0.025).min(mean),
        high: quantile(means, &of_mean, 0.975).max(mean),
    };
    let widen = |half: f64| half.hypot(Z_95 * EXTRA_DOUBT_INCH);
    points.retain(|p| p.weight >= NEGLIGIBLE);
    LengthPosterior {
        points,
        mean_inch: mean,
        mean_sd_inch: variance.max(0.0).sqrt(),
        spread_inch: spread,
        formal,
        widened: Interval { low: mean - widen(mean - formal.low), high: mean + widen(formal.high - mean) },
        edge_weight: of_mean[0] + of_mean[of_mean.len() - 1],
        told: ToldGrid {
            points: shares
                .iter()
                .zip(of_share)
                .map(|(point, weight)| ToldPoint { share: point.share, weight })
                .collect(),
        },
    }
}

/// Quantile of weights that stand for even cells around the grid values.
fn quantile(values: &[f64], weights: &[f64], p: f64) -> f64 {
    let step = values[1] - values[0];
    let mut below = 0.0;
    for (value, weight) in values.iter().zip(weights) {
        if below + weight >= p && *weight > 0.0 {
            return value + step * ((p - below) / weight - 0.5);
        }
        below += weight;
    }
    values[values.len() - 1] + 0.5 * step
}

#[cfg(test)]
#[path = "posterior_tests.rs"]
mod tests;
