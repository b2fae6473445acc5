//! Distributions of counts: binomial and negative binomial.

use statrs::function::gamma::ln_gamma;

use super::beta::Beta;
use super::domain::{OutOfRange, inner_share, not_negative, positive, share};

/// The distribution of successes in `trials` independent trials.
///
/// What: single chances through ln Gamma, the upper tail through the incomplete beta function
/// (N05). Symbols: trials, chance of each. Valid range: chance in 0..=1. Source: NIST Digital
/// Library of Mathematical Functions, 8.17.24.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Binomial {
    trials: u32,
    chance: f64,
}

impl Binomial {
    /// Binomial(trials, chance).
    ///
    /// # Errors
    /// When the chance is not in 0..=1.
    pub fn new(trials: u32, chance: f64) -> Result<Self, OutOfRange> {
        Ok(Self { trials, chance: share("chance", chance)? })
    }

    /// P(X = k).
    #[must_use]
    pub fn mass(&self, k: u32) -> f64 {
        if k > self.trials {
            return 0.0;
        }
        let (n, x) = (f64::from(self.trials), f64::from(k));
        if self.chance <= 0.0 {
            return if k == 0 { 1.0 } else { 0.0 };
        }
        if self.chance >= 1.0 {
            return if k == self.trials { 1.0 } else { 0.0 };
        }
        let ln_choose = ln_gamma(n + 1.0) - ln_gamma(x + 1.0) - ln_gamma(n - x + 1.0);
        (ln_choose + x * self.chance.ln() + (n - x) * (-self.chance).ln_1p()).exp()
    }

    /// P(X > k).
    #[must_use]
    pub fn upper(&self, k: u32) -> f64 {
        if k >= self.trials {
            return 0.0;
        }
        Beta::new(f64::from(k) + 1.0, f64::from(self.trials - k)).map_or(0.0, |beta| beta.cdf(self.chance))
    }
}

/// The negative binomial distribution: a count whose own mean is gamma distributed.
///
/// What: P(X <= k) through the incomplete beta function, the smallest count that reaches a
/// probability (N06). Symbols: size r, may be fractional, and mean mu; the variance is mu + mu^2/r.
/// Valid range: r above 0, mu not below 0. Source: Johnson, Kemp & Kotz, Univariate Discrete
/// Distributions (from memory).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NegativeBinomial {
    size: f64,
    mean: f64,
}

impl NegativeBinomial {
    /// Size above zero (may be fractional), mean not below zero.
    ///
    /// # Errors
    /// When a parameter is outside its range.
    pub fn new(size: f64, mean: f64) -> Result<Self, OutOfRange> {
        Ok(Self { size: positive("size", size)?, mean: not_negative("mean", mean)? })
    }

    /// P(X <= k).
    #[must_use]
    pub fn cdf(&self, k: u32) -> f64 {
        if self.mean <= 0.0 {
            return 1.0;
        }
        Beta::new(self.size, f64::from(k) + 1.0)
            .map_or(1.0, |beta| beta.cdf(self.size / (self.size + self.mean)))
    }

    /// The smallest count that is not exceeded with probability `p` or more.
    ///
    /// # Errors
    /// When p is not strictly between 0 and 1.
    pub fn quantile(&self, p: f64) -> Result<u32, OutOfRange> {
        let p = inner_share("p", p)?;
        if self.cdf(0) >= p {
            return Ok(0);
        }
        // cdf(low) < p <= cdf(high) from here on.
        let (mut low, mut high) = (0_u32, 1_u32);
        while self.cdf(high) < p && high < u32::MAX / 2 {
            low = high;
            high *= 2;
        }
        while high - low > 1 {
            let middle = low + (high - low) / 2;
            if self.cdf(middle) < p {
                low = middle;
            } else {
                high = middle;
            }
        }
        Ok(high)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn four_coins_have_masses_in_sixteenths() {
        let coins = Binomial::new(4, 0.5).unwrap();
        for (k, sixteenths) in [(0, 1.0), (1, 4.0), (2, 6.0), (3, 4.0), (4, 1.0), (5, 0.0)] {
            assert!((coins.mass(k) - sixteenths / 16.0).abs() < 1e-14);
        }
        assert!((coins.upper(2) - 5.0 / 16.0).abs() < 1e-14);
        assert!(coins.upper(4).abs() < 1e-15);
    }

    #[test]
    fn chances_of_zero_and_one_are_certain() {
        let never = Binomial::new(3, 0.0).unwrap();
        assert!((never.mass(0) - 1.0).abs() < 1e-15 && never.upper(0).abs() < 1e-15);
        let always = Binomial::new(3, 1.0).unwrap();
        assert!((always.mass(3) - 1.0).abs() < 1e-15 && (always.upper(2) - 1.0).abs() < 1e-15);
        let none = Binomial::new(0, 0.3).unwrap();
        assert!((none.mass(0) - 1.0).abs() < 1e-15 && none.upper(0).abs() < 1e-15);
    }

    #[test]
    fn size_one_is_geometric() {
        // r = 1, mean 3: P(X <= k) = 1 - (3/4)^(k+1).
        let geometric = NegativeBinomial::new(1.0, 3.0).unwrap();
        for k in [0, 1, 5, 20] {
            let expected = 1.0 - 0.75_f64.powi(i32::try_from(k).unwrap() + 1);
            assert!((geometric.cdf(k) - expected).abs() < 1e-13);
        }
        // (3/4)^3 = 0.42 and (3/4)^2 = 0.56: the median is 2.
        assert_eq!(geometric.quantile(0.5).unwrap(), 2);
    }

    #[test]
    fn a_mean_of_zero_is_always_zero() {
        let nothing = NegativeBinomial::new(4.0, 0.0).unwrap();
        assert_eq!(nothing.quantile(0.95).unwrap(), 0);
    }

    #[test]
    fn nothing_outside_the_ranges_is_taken() {
        assert!(Binomial::new(3, 1.1).is_err() && Binomial::new(3, f64::NAN).is_err());
        assert!(NegativeBinomial::new(0.0, 1.0).is_err());
        assert!(NegativeBinomial::new(1.0, f64::NAN).is_err());
        assert!(NegativeBinomial::new(1.0, 1.0).unwrap().quantile(1.0).is_err());
    }
}
