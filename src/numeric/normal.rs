//! The normal distribution in logarithms, far into its tails.

use statrs::function::erf::{erf, erfc};

/// Below this the tail series is used; the complementary error function underflows at -38.
const TAIL: f64 = -12.0;
const LN_2_PI: f64 = 1.837_877_066_409_345_5;

/// ln Phi(x), Phi the standard normal distribution function.
///
/// What: logarithm of the lower tail. Symbols: x in standard deviations. Valid range: any x;
/// minus infinity gives minus infinity. Source: below -12 the series -x^2/2 - ln(-x) - ln(2 pi)/2 +
/// ln(1 - 1/x^2 + 3/x^4 - 15/x^6 + 105/x^8 - 945/x^10) (Abramowitz & Stegun, Handbook of
/// Mathematical Functions, 26.2.12), off by 1.2e-9 at -12 and less beyond (N01).
#[must_use]
pub fn ln_normal_cdf(x: f64) -> f64 {
    if x == f64::NEG_INFINITY {
        f64::NEG_INFINITY
    } else if x < TAIL {
        let u = 1.0 / (x * x);
        let series = -u * (1.0 - 3.0 * u * (1.0 - 5.0 * u * (1.0 - 7.0 * u * (1.0 - 9.0 * u))));
        -0.5 * x * x - (-x).ln() - 0.5 * LN_2_PI + series.ln_1p()
    } else if x < 0.0 {
        (0.5 * erfc(-x / std::f64::consts::SQRT_2)).ln()
    } else {
        (-0.5 * erfc(x / std::f64::consts::SQRT_2)).ln_1p()
    }
}

/// ln(Phi(high) - Phi(low)), without losing its digits in either tail or in a narrow interval.
///
/// What: logarithm of the chance of an interval. Symbols: ends in standard deviations, either may
/// be infinite. Assumptions: low below high; otherwise minus infinity. Source: reflection to the
/// lower tail, then ln Phi(high) + ln(1 - exp(ln Phi(low) - ln Phi(high))) (N02).
#[must_use]
pub fn ln_normal_between(low: f64, high: f64) -> f64 {
    if low >= high {
        return f64::NEG_INFINITY;
    }
    if low > 0.0 {
        return ln_normal_between(-high, -low);
    }
    if high > 0.0 {
        // The interval holds zero: the error function itself is small there and keeps its digits.
        let root = std::f64::consts::SQRT_2;
        return if low < -1.0 && high > 1.0 {
            let outside = 0.5 * erfc(-low / root) + 0.5 * erfc(high / root);
            (-outside).ln_1p()
        } else {
            (0.5 * (erf(high / root) - erf(low / root))).ln()
        };
    }
    let (ln_low, ln_high) = (ln_normal_cdf(low), ln_normal_cdf(high));
    if ln_low == f64::NEG_INFINITY {
        return ln_high;
    }
    ln_high + ln_one_minus_exp(ln_low - ln_high)
}

/// ln(1 - e^x) for x at or below zero (Mächler 2012, Accurately computing log(1 - exp(-|a|))).
fn ln_one_minus_exp(x: f64) -> f64 {
    if x > -std::f64::consts::LN_2 { (-x.exp_m1()).ln() } else { (-x.exp()).ln_1p() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ln_normal_cdf_meets_the_reference_from_the_middle_to_the_far_tail() {
        // scipy.special.log_ndtr, scipy 1.17.1.
        for (x, expected) in [
            (0.0, -std::f64::consts::LN_2),
            (2.0, -0.023_012_909_328_963_486),
            (-1.0, -1.841_021_645_009_263_7),
            (-5.0, -15.064_998_393_988_725),
            (-11.9, -74.207_418_051_248_31),
            (-12.1, -76.62386124251326),
            (-20.0, -203.917_155_371_097_26),
            (-37.0, -689.030_585_576_890_5),
            (-100.0, -5_005.524_208_694_205),
        ] {
            assert!(
                (ln_normal_cdf(x) - expected).abs() < 2e-10 * f64::max(1.0, expected.abs()),
                "{x}: {}",
                ln_normal_cdf(x)
            );
        }
    }

    #[test]
    fn the_tail_series_joins_the_error_function_without_a_step() {
        let (below, above) = (ln_normal_cdf(TAIL - 1e-9), ln_normal_cdf(TAIL));
        assert!((above - below - 1e-9 * 12.0).abs() < 3e-9);
    }

    #[test]
    fn an_interval_is_the_same_mirrored() {
        for (low, high) in [(0.3, 0.4), (2.0, 9.0), (-0.1, 0.2), (-3.0, 2.0), (30.0, 31.0)] {
            let (a, b) = (ln_normal_between(low, high), ln_normal_between(-high, -low));
            assert!((a - b).abs() < 1e-12 * a.abs().max(1.0));
        }
    }

    #[test]
    fn a_narrow_interval_is_its_density_times_its_width() {
        for middle in [-40.0, -8.0, -1.0, 0.0, 0.5, 6.0_f64] {
            let width = 1e-4;
            let got = ln_normal_between(middle - width / 2.0, middle + width / 2.0);
            let expected = width.ln() - 0.5 * LN_2_PI - 0.5 * middle * middle;
            assert!((got - expected).abs() < 2e-5, "{middle}: {got} {expected}");
        }
    }

    #[test]
    fn infinite_ends_leave_one_tail_or_everything() {
        let everything = ln_normal_between(f64::NEG_INFINITY, f64::INFINITY);
        assert!(everything.abs() < 1e-15);
        let lower = ln_normal_between(f64::NEG_INFINITY, -3.0);
        assert!((lower - ln_normal_cdf(-3.0)).abs() < 1e-14);
        let upper = ln_normal_between(3.0, f64::INFINITY);
        assert!((upper - ln_normal_cdf(-3.0)).abs() < 1e-14);
    }

    #[test]
    fn an_empty_interval_has_no_chance() {
        assert!(ln_normal_between(1.0, 1.0) == f64::NEG_INFINITY);
        assert!(ln_normal_between(2.0, 1.0) == f64::NEG_INFINITY);
    }
}
