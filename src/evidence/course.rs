//! How the length error of a route went from month to month: where it stands today, and when it
//! jumped.
//!
//! A fault that comes after good months is not watered down by them: between two months the mean
//! may jump, and a jump that explains the strings better than none takes the good months out.

use super::EvidenceError;
use super::length_error::LengthObservations;
use super::length_tables::LengthTables;
use super::posterior::{LengthPosterior, LengthPrior, MeanError, bell, mean_error, normalised};
use crate::numeric::{finite, positive, share};

/// No grid point is ever quite impossible: a month that contradicts all before it is still a month.
const NEVER_QUITE_NONE: f64 = 1e-250;

/// How a mean error moves between two months.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jumps {
    /// Chance that it jumps.
    pub chance: f64,
    /// Standard deviation of where it lands, inches.
    pub sd_inch: f64,
}

impl Default for Jumps {
    /// Once in four years, to anywhere within some half an inch (judgement, checked by simulation).
    fn default() -> Self {
        Self { chance: 0.02, sd_inch: 0.30 }
    }
}

/// When the mean jumped last.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LastJump {
    /// Chance that it jumped at all in these months.
    pub chance: f64,
    /// Place of the month before which it most probably did.
    pub month: usize,
    /// Places of the months that hold it nine times in ten, if it did.
    pub range: (usize, usize),
}

/// The length error through the months.
#[derive(Debug, Clone)]
pub struct Course<'a> {
    tables: &'a LengthTables,
    jumps: Jumps,
    first: Vec<f64>,
    landing: Vec<f64>,
    months: Vec<Month>,
    /// What is known of it in the last month: today.
    pub today: LengthPosterior,
    /// Logarithm of the chance of all that was seen.
    pub ln_evidence: f64,
}

/// What the filter keeps of a month.
#[derive(Debug, Clone)]
struct Month {
    /// Likelihood of the month's strings over its greatest value; empty for a month without strings.
    seen: Vec<f64>,
    /// Log of that greatest value.
    ln_greatest: f64,
    /// Weights of the grid points by all months up to this one.
    weights: Vec<f64>,
    /// Log of the chance of all that was seen up to this month.
    ln_evidence: f64,
}

impl<'a> Course<'a> {
    /// Follows the months of delivery, oldest first.
    ///
    /// What: posterior over (mean, spread) on a grid, a hidden Markov model (E26). First month: mean
    /// right with chance .8 (sd .04), else anywhere (sd .30), spread lognormal. Before each later
    /// month the mean jumps with chance h = .02 to Normal(middle, .30) and the spread stays; each
    /// month multiplies the likelihood of its strings (E17). Symbols: inches. Assumptions: faults come
    /// by steps and between months, which a slow creep becomes a stair of; one spread throughout.
    /// Valid range: any number of months, also without strings; none gives the prior. Source: forward
    /// algorithm, e.g. Rabiner 1989, Proceedings of the IEEE 77 (from memory); settings by judgement,
    /// checked by simulation.
    ///
    /// # Errors
    /// When a setting is outside its range or no grid point has a likelihood.
    pub fn follow(
        months: &[LengthObservations],
        tables: &'a LengthTables,
        prior: &LengthPrior,
        jumps: &Jumps,
    ) -> Result<Self, EvidenceError> {
        prior.checked()?;
        let chance = share("chance of a jump", jumps.chance)?;
        positive("spread of a jump", jumps.sd_inch)?;
        // The offset was believed to be right under which the first strings were cut.
        let cut = months.iter().find_map(LengthObservations::usual_shift_inch).unwrap_or(0.0);
        let of_means = prior.of_means(tables, cut);
        let first: Vec<f64> = prior
            .of_spreads(tables)
            .iter()
            .flat_map(|spread| of_means.iter().map(move |mean| spread * mean))
            .collect();
        let landing = bell(tables, prior.mean_centre_inch + cut, jumps.sd_inch);
        let mut weights = first.clone();
        let mut kept = Vec::with_capacity(months.len());
        let mut ln_evidence = 0.0;
        for (place, month) in months.iter().enumerate() {
            if place > 0 && chance > 0.0 {
                jump(&mut weights, &landing, chance);
            }
            let (mut seen, mut ln_greatest) = (Vec::new(), 0.0);
            if month.strings() > 0 {
                seen = tables.ln_likelihood(month);
                ln_greatest = over_greatest(&mut seen);
                let total = multiply(&mut weights, &seen);
                ln_evidence += finite("log likelihood", ln_greatest + total.ln())?;
            }
            kept.push(Month { seen, ln_greatest, weights: weights.clone(), ln_evidence });
        }
        let today = LengthPosterior::of(weights, tables);
        Ok(Self { tables, jumps: *jumps, first, landing, months: kept, today, ln_evidence })
    }

    /// When the mean jumped last; `None` with fewer than two months.
    ///
    /// What: chance that the last jump came before month t (E27), proportional to h (1 - h)^(T - t)
    /// x chance of all before t x sum over grid points of landing x spread's weight x likelihood of
    /// months t to T. Symbols: h chance of a jump, T last month. Assumptions: as for the course. Valid
    /// range: any course. Source: sum over the paths of the hidden Markov model by their last jump.
    #[must_use]
    pub fn last_jump(&self) -> Option<LastJump> {
        let last = self.months.len().checked_sub(1).filter(|last| *last > 0)?;
        let stay = (1.0 - self.jumps.chance).ln();
        let (mut ahead, mut ln_ahead) = (vec![1.0; self.tables.points()], 0.0);
        let mut logs = vec![0.0; self.months.len()];
        for place in (0..self.months.len()).rev() {
            let month = &self.months[place];
            if !month.seen.is_empty() {
                ln_ahead += month.ln_greatest + multiply(&mut ahead, &month.seen).ln();
            }
            // No gap, no chance: a certain jump has no logarithm of staying.
            let stayed = if place == last { 0.0 } else { (last - place) as f64 * stay };
            logs[place] = match place.checked_sub(1) {
                None => stayed + ln_ahead + total(&self.first, &ahead).ln(),
                Some(before) => {
                    let before = &self.months[before];
                    let ahead = ln_ahead + landed(&before.weights, &self.landing, &ahead).ln();
                    self.jumps.chance.ln() + stayed + before.ln_evidence + ahead
                }
            };
        }
        let weights = normalised(&logs);
        let jumped: f64 = weights[1..].iter().sum();
        let month = (1..weights.len()).fold(1, |best, t| if weights[t] > weights[best] { t } else { best });
        let end = |share: f64| {
            let mut sum = 0.0;
            (1..weights.len())
                .find(|t| {
                    sum += weights[*t];
                    sum >= share * jumped
                })
                .unwrap_or(last)
        };
        Some(LastJump { chance: jumped, month, range: (end(0.05), end(0.95)) })
    }

    /// The mean error of every month, as all months up to today show it.
    ///
    /// What: smoothed posterior of each month (E27), weights x sum over what may follow. Symbols:
    /// inches. Assumptions: as for the course. Valid range: any course. Source: forward-backward
    /// algorithm, e.g. Rabiner 1989, Proceedings of the IEEE 77 (from memory).
    #[must_use]
    pub fn smoothed(&self) -> Vec<MeanError> {
        let means = self.tables.grid.means();
        let mut ahead = vec![1.0; self.tables.points()];
        let mut found = Vec::with_capacity(self.months.len());
        for month in self.months.iter().rev() {
            let mut of_mean = vec![0.0; means];
            for (row, ahead) in month.weights.chunks_exact(means).zip(ahead.chunks_exact(means)) {
                for ((sum, weight), ahead) in of_mean.iter_mut().zip(row).zip(ahead) {
                    *sum += weight * ahead;
                }
            }
            let total: f64 = of_mean.iter().sum();
            of_mean.iter_mut().for_each(|weight| *weight /= total);
            found.push(mean_error(&of_mean, self.tables));
            if !month.seen.is_empty() {
                multiply(&mut ahead, &month.seen);
            }
            for row in ahead.chunks_exact_mut(means) {
                let landed: f64 = row.iter().zip(&self.landing).map(|(ahead, landing)| ahead * landing).sum();
                for ahead in row {
                    *ahead = (1.0 - self.jumps.chance) * *ahead + self.jumps.chance * landed;
                }
            }
        }
        found.reverse();
        found
    }
}

/// Moves weights over the gap between two months.
fn jump(weights: &mut [f64], landing: &[f64], chance: f64) {
    for row in weights.chunks_exact_mut(landing.len()) {
        let of_spread: f64 = row.iter().sum();
        for (weight, landing) in row.iter_mut().zip(landing) {
            *weight = (1.0 - chance) * *weight + chance * of_spread * landing;
        }
    }
}

/// Chance of what lies ahead right after a jump that is certain.
fn landed(weights: &[f64], landing: &[f64], ahead: &[f64]) -> f64 {
    let (rows, ahead) = (weights.chunks_exact(landing.len()), ahead.chunks_exact(landing.len()));
    rows.zip(ahead).map(|(row, ahead)| row.iter().sum::<f64>() * total(landing, ahead)).sum()
}

/// Takes the logarithms off a likelihood, over its greatest value; gives the log of that.
fn over_greatest(ln_seen: &mut [f64]) -> f64 {
    let greatest = ln_seen.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    ln_seen.iter_mut().for_each(|ln| *ln = (*ln - greatest).exp());
    greatest
}

/// Multiplies weights by a likelihood and makes them add up to 1; gives their sum before.
fn multiply(weights: &mut [f64], seen: &[f64]) -> f64 {
    let mut sum = 0.0;
    for (weight, seen) in weights.iter_mut().zip(seen) {
        *weight *= seen;
        sum += *weight;
    }
    weights.iter_mut().for_each(|weight| *weight = (*weight / sum).max(NEVER_QUITE_NONE));
    sum
}

fn total(weights: &[f64], ahead: &[f64]) -> f64 {
    weights.iter().zip(ahead).map(|(weight, ahead)| weight * ahead).sum()
}

#[cfg(test)]
#[path = "course_tests.rs"]
mod tests;
