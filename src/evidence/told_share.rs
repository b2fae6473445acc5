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
    /// of every route and kind of bow. Symbols: q told share; Beta(9, 3) on 14 cells from 0.3 to 1.
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
