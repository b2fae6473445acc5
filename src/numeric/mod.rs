//! Distribution functions and root finding. The only module that uses `statrs`.

mod beta;
mod counts;
mod domain;
mod gamma;
mod inverse;
mod normal;
mod tabulated;

pub use beta::{Beta, ln_beta};
pub use counts::{Binomial, NegativeBinomial};
pub use domain::{OutOfRange, finite, not_negative, positive, require, share};
pub use gamma::{Gamma, chi_square_quantile};
pub use inverse::where_rising_reaches;
pub use normal::{ln_normal_between, ln_normal_cdf};
pub use tabulated::Tabulated;

use statrs::function::erf;

/// Standard normal distribution function, by the complementary error function.
///
/// Absolute error below 1e-10 (measured against a reference library, see `docs/methods.md`).
#[must_use]
pub fn normal_cdf(x: f64) -> f64 {
    0.5 * erf::erfc(-x / std::f64::consts::SQRT_2)
}

/// Probability that a normal variable with `mean` and `sd` lies in `low..=high`.
///
/// With `sd` zero this is 1 or 0, whichever the mean says.
#[must_use]
pub fn normal_chance_between(low: f64, high: f64, mean: f64, sd: f64) -> f64 {
    if sd <= 0.0 {
        return if (low..=high).contains(&mean) { 1.0 } else { 0.0 };
    }
    // Differences are taken in the lower tail, where they keep their digits.
    let (a, b) = ((low - mean) / sd, (high - mean) / sd);
    if a > 0.0 {
        (normal_cdf(-a) - normal_cdf(-b)).max(0.0)
    } else {
        (normal_cdf(b) - normal_cdf(a)).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn normal_cdf_meets_the_tabled_value_at_1_96() {
        // NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.1: 0.97500 at 1.96.
        assert!((normal_cdf(1.96) - 0.975).abs() < 5e-6);
        assert!((normal_cdf(0.0) - 0.5).abs() < 1e-12);
    }

    #[test]
    fn a_spread_of_zero_decides_by_the_mean() {
        assert!(normal_chance_between(1.0, 2.0, 1.5, 0.0) > 0.99);
        assert!(normal_chance_between(1.0, 2.0, 2.5, 0.0) < 0.01);
    }
}
