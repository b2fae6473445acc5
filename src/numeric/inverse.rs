//! Inverses of functions that only rise.

/// Halvings after which the bracket cannot get narrower in double precision.
const HALVINGS: usize = 200;

/// The place in `low..=high` where the rising function `f` reaches `target`, by halving.
///
/// What: x with f(x) = target (N08). Symbols: `target` in the unit of f. Assumptions: f does not
/// fall. Valid range: a finite bracket; a target below f(low) gives `low`, above f(high) `high`.
/// Source: bisection, any text on numerical analysis. Chosen over faster methods because its
/// answer does not depend on a starting guess.
#[must_use]
pub fn where_rising_reaches(f: impl Fn(f64) -> f64, low: f64, high: f64, target: f64) -> f64 {
    let (mut low, mut high) = (low, high);
    for _ in 0..HALVINGS {
        let middle = low + 0.5 * (high - low);
        if middle <= low || middle >= high {
            break;
        }
        if f(middle) < target {
            low = middle;
        } else {
            high = middle;
        }
    }
    low + 0.5 * (high - low)
}

/// As [`where_rising_reaches`], for a function on 0..infinity: the bracket is doubled first.
pub(super) fn where_rising_reaches_from_zero(f: impl Fn(f64) -> f64, guess: f64, target: f64) -> f64 {
    let (mut low, mut high) = (0.0, guess.max(f64::MIN_POSITIVE));
    for _ in 0..1000 {
        if f(high) >= target || high > f64::MAX / 4.0 {
            break;
        }
        low = high;
        high *= 2.0;
    }
    where_rising_reaches(f, low, high, target)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn halving_finds_the_square_root_of_two() {
        let root = where_rising_reaches(|x| x * x, 0.0, 2.0, 2.0);
        assert!((root - std::f64::consts::SQRT_2).abs() < 1e-15);
    }

    #[test]
    fn a_target_outside_the_bracket_gives_the_nearer_end() {
        assert!(where_rising_reaches(|x| x, 0.0, 1.0, -3.0).abs() < 1e-12);
        assert!((where_rising_reaches(|x| x, 0.0, 1.0, 3.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_bracket_grows_from_zero_until_it_holds_the_target() {
        let x = where_rising_reaches_from_zero(|x| x / 3.0, 1.0, 1000.0);
        assert!((x - 3000.0).abs() < 1e-9);
    }
}
