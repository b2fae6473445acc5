//! The beta function and the beta distribution.

use statrs::function::gamma::ln_gamma;

use super::domain::{OutOfRange, inner_share, positive};
use super::inverse::where_rising_reaches;

/// Steps of the continued fraction; it needs about the square root of the larger parameter.
const STEPS: usize = 20_000;

/// A tail that begins with a factor below this is taken as none: no sum of ours is that fine.
const NOTHING: f64 = 1e-40;

/// Logarithm of the beta function B(a, b).
///
/// What: ln Gamma(a) + ln Gamma(b) - ln Gamma(a + b) (N03). Symbols: a, b shapes, no unit. Valid
/// range: both above 0. Source: definition; ln Gamma by `statrs`.
///
/// # Errors
/// When a or b is not finite and above zero.
pub fn ln_beta(a: f64, b: f64) -> Result<f64, OutOfRange> {
    let (a, b) = (positive("a", a)?, positive("b", b)?);
    Ok(ln_gamma(a) + ln_gamma(b) - ln_gamma(a + b))
}

/// The distribution Beta(a, b) on 0..1.
///
/// What: both tails by a continued fraction, quantiles by a bracketed search (N03). Symbols: a, b
/// shapes, no unit. Valid range: both above 0, checked to 12 digits or so up to some 40,000. Source: NIST
/// Digital Library of Mathematical Functions, 8.17.
///
/// The incomplete beta function is summed here and not taken from `statrs`, whose continued
/// fraction stops after 140 steps: too early for shops with tens of thousands of strings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beta {
    a: f64,
    b: f64,
    ln_beta: f64,
}

impl Beta {
    /// Beta(a, b).
    ///
    /// # Errors
    /// When a or b is not finite and above zero.
    pub fn new(a: f64, b: f64) -> Result<Self, OutOfRange> {
        Ok(Self { a, b, ln_beta: ln_beta(a, b)? })
    }

    /// Mean a/(a + b).
    #[must_use]
    pub fn mean(&self) -> f64 {
        self.a / (self.a + self.b)
    }

    /// P(X <= x); 0 below the range and 1 above it.
    #[must_use]
    pub fn cdf(&self, x: f64) -> f64 {
        self.tails(x).0
    }

    /// P(X > x), summed on its own side so that it keeps its digits.
    #[must_use]
    pub fn upper(&self, x: f64) -> f64 {
        self.tails(x).1
    }

    /// The value that is not exceeded with probability `p`.
    ///
    /// # Errors
    /// When p is not strictly between 0 and 1.
    pub fn quantile(&self, p: f64) -> Result<f64, OutOfRange> {
        let p = inner_share("p", p)?;
        Ok(if p <= 0.5 {
            where_rising_reaches(|x| self.cdf(x), 0.0, 1.0, p)
        } else {
            // Upper tail, so that a quantile next to one is not lost in 1 - cdf.
            where_rising_reaches(|x| -self.upper(x), 0.0, 1.0, p - 1.0)
        })
    }

    /// Lower and upper tail at x.
    fn tails(&self, x: f64) -> (f64, f64) {
        if x <= 0.0 {
            return (0.0, 1.0);
        }
        if x >= 1.0 {
            return (1.0, 0.0);
        }
        let front = (self.a * x.ln() + self.b * (-x).ln_1p() - self.ln_beta).exp();
        if front < NOTHING {
            return if x < self.mean() { (0.0, 1.0) } else { (1.0, 0.0) };
        }
        // The fraction converges fast on the near side of the mean only.
        if x < (self.a + 1.0) / (self.a + self.b + 2.0) {
            let lower = (front * fraction(self.a, self.b, x) / self.a).clamp(0.0, 1.0);
            (lower, 1.0 - lower)
        } else {
            let upper = (front * fraction(self.b, self.a, 1.0 - x) / self.b).clamp(0.0, 1.0);
            (1.0 - upper, upper)
        }
    }
}

/// Continued fraction of the incomplete beta function by the modified Lentz method
/// (NIST Digital Library of Mathematical Functions, 8.17.22).
fn fraction(a: f64, b: f64, x: f64) -> f64 {
    const TINY: f64 = 1e-300;
    let away_from_zero = |v: f64| if v.abs() < TINY { TINY } else { v };
    let mut c = 1.0;
    let mut d = 1.0 / away_from_zero(1.0 - (a + b) * x / (a + 1.0));
    let mut value = d;
    let mut m = 1.0;
    for _ in 0..STEPS {
        let even = m * (b - m) * x / ((a + 2.0 * m - 1.0) * (a + 2.0 * m));
        d = 1.0 / away_from_zero(1.0 + even * d);
        c = away_from_zero(1.0 + even / c);
        value *= d * c;
        let odd = -(a + m) * (a + b + m) * x / ((a + 2.0 * m) * (a + 2.0 * m + 1.0));
        d = 1.0 / away_from_zero(1.0 + odd * d);
        c = away_from_zero(1.0 + odd / c);
        let factor = d * c;
        value *= factor;
        if (factor - 1.0).abs() < 1e-15 {
            break;
        }
        m += 1.0;
    }
    value
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ln_beta_meets_the_closed_form_for_whole_numbers() {
        // B(3, 4) = 2! 3!/6! = 1/60.
        assert!((ln_beta(3.0, 4.0).unwrap() + 60.0_f64.ln()).abs() < 1e-13);
    }

    #[test]
    fn a_uniform_variable_has_its_own_value_as_cdf() {
        let uniform = Beta::new(1.0, 1.0).unwrap();
        for x in [0.01, 0.3, 0.5, 0.9] {
            assert!((uniform.cdf(x) - x).abs() < 1e-14);
            assert!((uniform.quantile(x).unwrap() - x).abs() < 1e-14);
        }
    }

    #[test]
    fn the_power_distribution_has_a_closed_form() {
        // Beta(a, 1): cdf x^a. Beta(1, b): upper tail (1-x)^b.
        assert!((Beta::new(7.5, 1.0).unwrap().cdf(0.4) - 0.4_f64.powf(7.5)).abs() < 1e-15);
        assert!((Beta::new(1.0, 9.5).unwrap().upper(0.4) - 0.6_f64.powf(9.5)).abs() < 1e-15);
    }

    #[test]
    fn tens_of_thousands_of_strings_still_converge() {
        // Near-symmetric Beta(n, n): the median is 1/2 whatever n.
        for n in [10.0, 1e4, 1e6] {
            assert!((Beta::new(n, n).unwrap().cdf(0.5) - 0.5).abs() < 1e-8);
        }
    }

    #[test]
    fn nothing_but_positive_finite_parameters_is_taken() {
        for bad in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(Beta::new(bad, 1.0).is_err());
            assert!(Beta::new(1.0, bad).is_err());
            assert!(ln_beta(bad, 1.0).is_err());
        }
        let fair = Beta::new(2.0, 2.0).unwrap();
        assert!(fair.quantile(0.0).is_err() && fair.quantile(1.0).is_err());
        assert!(fair.cdf(-1.0).abs() < 1e-12 && fair.upper(2.0).abs() < 1e-12);
        assert!((fair.mean() - 0.5).abs() < 1e-15);
    }
}
