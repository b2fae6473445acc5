//! What is believed of the share of misfits that are told, and what answers teach of it.

use super::EvidenceError;
use super::posterior::normalised;

/// Cells of the grid.
const CELLS: u32 = 14;
/// Lowest share that is thought possible.
const LOWEST: f64 = 0.3;

/// What is believed of the told share, as weighted points.
#[derive(Debug, Clone, PartialEq)]
pub struct ToldGrid {
    shares: Vec<f64>,
    weights: Vec<f64>,
}

impl Default for ToldGrid {
    /// Beta(9, 3) cut to 0.3..1, in cells of equal width.
    fn default() -> Self {
        let width = (1.0 - LOWEST) / f64::from(CELLS);
        // Middles of cells: the density is zero at 1 itself.
        let shares: Vec<f64> = (0..CELLS).map(|i| LOWEST + (f64::from(i) + 0.5) * width).collect();
        let weights: Vec<f64> = shares.iter().map(|q| q.powi(8) * (1.0 - q).powi(2)).collect();
        let total: f64 = weights.iter().sum();
        Self { shares, weights: weights.into_iter().map(|weight| weight / total).collect() }
    }
}

impl ToldGrid {
    /// Mean of the told share.
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.shares.iter().zip(&self.weights).map(|(share, weight)| share * weight).sum()
    }

    /// This belief after what was seen, `ln_chance` giving the log of its chance for a told share.
    ///
    /// What: belief x chance of all that was seen (E19), the chance summed over mean, spread and jumps
    /// of every route and kind of bow, to the power of its weight (E30). Symbols: q told share; Beta(9, 3) on 14 cells from 0.3 to 1.
    /// Assumptions: one told share for the whole shop. Valid range: any counts. Source: Bayes' rule by
    /// summation; see [`super::length_error::LengthObservations::ln_told`].
    ///
    /// # Errors
    /// Whatever the chance gives.
    pub fn learned(
        &self,
        mut ln_chance: impl FnMut(f64) -> Result<f64, EvidenceError>,
    ) -> Result<Self, EvidenceError> {
        let mut logs = Vec::with_capacity(self.shares.len());
        for (share, weight) in self.shares.iter().zip(&self.weights) {
            logs.push(weight.ln() + ln_chance(*share)?);
        }
        Ok(Self { shares: self.shares.clone(), weights: normalised(&logs) })
    }
}

/// Answers of a route and kind of bow, and how likely they were drawn.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Asked {
    /// Answers.
    pub answers: u32,
    /// Of these the ones whose chance of being drawn is known.
    pub drawn: u32,
    /// Sum of 1 / chance over those.
    pub inverse_chances: f64,
}

/// How far answers of one kind may count more or less than others: with more, chance would decide
/// more than the weights set right (judgement, no source).
const MOST_WEIGHT: f64 = 4.0;

/// Weights of the routes and kinds of bow where their answers are put together.
///
/// What: mean of 1 / chance of being drawn over its mean in the shop (E30), between 1/4 and 4.
/// Symbols: none. Assumptions: answers whose chance nobody kept are as likely as the others. Valid
/// range: any counts; 1 for all where no chance is known. Source: Horvitz & Thompson 1952, Journal of
/// the American Statistical Association 47 (from memory); the bounds by judgement.
#[must_use]
pub fn weights(asked: &[Asked]) -> Vec<f64> {
    let drawn: f64 = asked.iter().map(|asked| f64::from(asked.drawn)).sum();
    let usual = asked.iter().map(|asked| asked.inverse_chances).sum::<f64>() / drawn;
    let weight = |asked: &Asked| {
        let known = f64::from(asked.drawn);
        let unknown = f64::from(asked.answers) - known;
        let mean = (asked.inverse_chances + unknown * usual) / f64::from(asked.answers);
        (mean / usual).clamp(1.0 / MOST_WEIGHT, MOST_WEIGHT)
    };
    asked.iter().map(|asked| if drawn > 0.0 && asked.answers > 0 { weight(asked) } else { 1.0 }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_anything_seen_the_belief_stays() {
        let belief = ToldGrid::default();
        // Beta(9, 3) has mean 0.75; the part below 0.3 is negligible.
        assert!((belief.mean() - 0.75).abs() < 3e-3);
        let same = belief.learned(|_| Ok(-7.0)).unwrap();
        assert!((same.mean() - belief.mean()).abs() < 1e-12);
    }

    #[test]
    fn answers_that_are_seldom_drawn_count_for_more() {
        let seldom = Asked { answers: 10, drawn: 10, inverse_chances: 10.0 / 0.01 };
        let often = Asked { answers: 10, drawn: 10, inverse_chances: 10.0 / 0.02 };
        let by_card = Asked { answers: 4, ..Asked::default() };
        let weights_of = weights(&[seldom, often, by_card, Asked::default()]);
        assert!((weights_of[0] - 100.0 / 75.0).abs() < 1e-12 && (weights_of[1] - 50.0 / 75.0).abs() < 1e-12);
        assert!((weights_of[2] - 1.0).abs() < 1e-12 && (weights_of[3] - 1.0).abs() < 1e-12);
        let rare = Asked { answers: 1, drawn: 1, inverse_chances: 1e9 };
        let bounded = weights(&[rare, Asked { answers: 99, drawn: 99, inverse_chances: 99.0 }]);
        assert!((bounded[0] - 4.0).abs() < 1e-12 && (bounded[1] - 0.25).abs() < 1e-12);
        assert_eq!(weights(&[by_card, by_card]), [1.0, 1.0]);
    }

    #[test]
    fn what_is_seen_moves_it() {
        let belief = ToldGrid::default();
        let high = belief.learned(|q| Ok(200.0 * q.ln())).unwrap();
        let low = belief.learned(|q| Ok(20.0 * (1.0 - q).ln())).unwrap();
        assert!(high.mean() > 0.9 && low.mean() < 0.6, "{} {}", high.mean(), low.mean());
        assert!(
            belief.learned(|_| Err(EvidenceError::WrongCount { name: "x", found: 0, needed: 1 })).is_err()
        );
    }
}
