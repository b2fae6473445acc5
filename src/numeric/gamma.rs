//! The gamma and chi-square distributions.

use statrs::function::gamma::{checked_gamma_lr, checked_gamma_ur};

use super::domain::{OutOfRange, inner_share, positive};
use super::inverse::where_rising_reaches_from_zero;

/// The distribution Gamma(shape, scale) on 0..infinity, mean shape x scale.
///
/// What: both tails by `statrs`, quantiles by a bracketed search (N04). Symbols: shape without unit, scale in
/// the unit of the variable. Valid range: both above 0. Source: NIST Digital Library of
/// Mathematical Functions, 8.2.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gamma {
    shape: f64,
    scale: f64,
}

impl Gamma {
    /// Gamma(shape, scale).
    ///
    /// # Errors
    /// When a parameter is not finite and above zero.
    pub fn new(shape: f64, scale: f64) -> Result<Self, OutOfRange> {
        Ok(Self { shape: positive("shape", shape)?, scale: positive("scale", scale)? })
    }

    /// P(X <= x); 0 at and below zero.
    #[must_use]
    pub fn cdf(&self, x: f64) -> f64 {
        unit_cdf(self.shape, x / self.scale)
    }

    /// P(X > x), summed on its own side so that it keeps its digits.
    #[must_use]
    pub fn upper(&self, x: f64) -> f64 {
        unit_upper(self.shape, x / self.scale)
    }

    /// The value that is not exceeded with probability `p`.
    ///
    /// # Errors
    /// When p is not strictly between 0 and 1.
    pub fn quantile(&self, p: f64) -> Result<f64, OutOfRange> {
        let p = inner_share("p", p)?;
        let unit = if p <= 0.5 {
            where_rising_reaches_from_zero(|x| unit_cdf(self.shape, x), self.shape, p)
        } else {
            where_rising_reaches_from_zero(|x| -unit_upper(self.shape, x), self.shape, p - 1.0)
        };
        Ok(unit * self.scale)
    }
}

/// Quantile of the chi-square distribution with `freedom` degrees of freedom (may be fractional).
///
/// What: quantile of Gamma(freedom/2, 2) (N04). Symbols: no units. Valid range: freedom above 0.
/// Source: definition.
///
/// # Errors
/// When p is not strictly between 0 and 1, or freedom not finite and above zero.
pub fn chi_square_quantile(p: f64, freedom: f64) -> Result<f64, OutOfRange> {
    Gamma::new(0.5 * positive("freedom", freedom)?, 2.0)?.quantile(p)
}

fn unit_cdf(shape: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 0.0;
    }
    // The shape is checked on construction; an infinite x is the only refusal left.
    checked_gamma_lr(shape, x).unwrap_or(1.0)
}

fn unit_upper(shape: f64, x: f64) -> f64 {
    if x <= 0.0 {
        return 1.0;
    }
    checked_gamma_ur(shape, x).unwrap_or(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_degrees_of_freedom_have_a_closed_form() {
        // Chi-square with 2 degrees of freedom is exponential: quantile -2 ln(1 - p).
        for p in [0.001, 0.025, 0.5, 0.975, 0.999_f64] {
            let expected = -2.0 * (-p).ln_1p();
            let got = chi_square_quantile(p, 2.0).unwrap();
            assert!((got - expected).abs() < 1e-12 * expected.max(1.0), "{p}");
        }
    }

    #[test]
    fn one_degree_of_freedom_is_the_square_of_a_normal() {
        // 1.959963984540054 squared.
        let got = chi_square_quantile(0.95, 1.0).unwrap();
        assert!((got - 3.841_458_820_694_124).abs() < 1e-11);
    }

    #[test]
    fn tails_add_up_and_the_scale_is_a_scale() {
        let (unit, wide) = (Gamma::new(3.3, 1.0).unwrap(), Gamma::new(3.3, 7.0).unwrap());
        for x in [0.0, 0.1, 1.0, 3.0, 10.0] {
            assert!((unit.cdf(x) + unit.upper(x) - 1.0).abs() < 1e-13);
            assert!((unit.cdf(x) - wide.cdf(7.0 * x)).abs() < 1e-13);
        }
        assert!(unit.upper(f64::INFINITY).abs() < 1e-12);
    }

    #[test]
    fn nothing_but_positive_finite_parameters_is_taken() {
        for bad in [0.0, -2.0, f64::NAN, f64::INFINITY] {
            assert!(Gamma::new(bad, 1.0).is_err() && Gamma::new(1.0, bad).is_err());
            assert!(chi_square_quantile(0.5, bad).is_err());
        }
        assert!(chi_square_quantile(1.0, 3.0).is_err());
    }
}
