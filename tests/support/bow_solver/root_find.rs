//! Bracketed root finding.

use super::SolveError;

/// Most evaluations one root find may use.
const MOST_STEPS: usize = 100;

/// The root of `f` between `low` and `high`, to within `width` of the argument.
///
/// Brent's method: inverse quadratic or secant steps, bisection where those stray.
/// Source: Brent, Algorithms for Minimization without Derivatives (1973), chapter 4.
///
/// # Errors
///
/// No sign change between the ends, a value that is not finite (also one handed on by
/// `f`), or no convergence.
pub(crate) fn bracketed_root(
    mut f: impl FnMut(f64) -> Result<f64, SolveError>,
    low: f64,
    high: f64,
    width: f64,
) -> Result<f64, SolveError> {
    let mut value = |x: f64| -> Result<f64, SolveError> {
        let y = f(x)?;
        if y.is_finite() { Ok(y) } else { Err(SolveError::NotFinite(x)) }
    };
    let (mut a, mut b) = (low, high);
    let (mut fa, mut fb) = (value(a)?, value(b)?);
    if fa * fb > 0.0 {
        return Err(SolveError::NotBracketed(low, high));
    }
    let (mut c, mut fc) = (a, fa);
    let (mut step, mut before) = (b - a, b - a);
    for _ in 0..MOST_STEPS {
        if fb * fc > 0.0 {
            (c, fc) = (a, fa);
            step = b - a;
            before = step;
        }
        if fc.abs() < fb.abs() {
            (a, fa) = (b, fb);
            (b, fb) = (c, fc);
            (c, fc) = (a, fa);
        }
        let tolerance = 2.0 * f64::EPSILON * b.abs() + 0.5 * width;
        let half = 0.5 * (c - b);
        if half.abs() <= tolerance || fb.abs() <= f64::MIN_POSITIVE {
            return Ok(b);
        }
        if before.abs() >= tolerance && fa.abs() > fb.abs() {
            let s = fb / fa;
            let (mut p, mut q) = if (a - c).abs() <= f64::MIN_POSITIVE {
                (2.0 * half * s, 1.0 - s)
            } else {
                let (u, v) = (fa / fc, fb / fc);
                (s * (2.0 * half * u * (u - v) - (b - a) * (v - 1.0)), (u - 1.0) * (v - 1.0) * (s - 1.0))
            };
            if p > 0.0 {
                q = -q;
            } else {
                p = -p;
            }
            if 2.0 * p < (3.0 * half * q - (tolerance * q).abs()).min((before * q).abs()) {
                before = step;
                step = p / q;
            } else {
                step = half;
                before = half;
            }
        } else {
            step = half;
            before = half;
        }
        (a, fa) = (b, fb);
        b += if step.abs() > tolerance { step } else { tolerance.copysign(half) };
        fb = value(b)?;
    }
    Err(SolveError::NotConverged(b))
}
