//! Inverses of functions that only rise.

/// Steps after which the search gives up narrowing; twice what halving alone would need.
const STEPS: usize = 2200;

/// The place in `low..=high` where the rising function `f` reaches `target`.
///
/// What: x with f(x) = target, to the last digits of x (N08). Symbols: `target` in the unit of f.
/// Assumptions: f does not fall. Valid range: a finite bracket; a target not above f(low) gives
/// `low`, above f(high) `high`. Source: Chandrupatla, A new hybrid quadratic/bisection algorithm
/// for finding the zero of a nonlinear function without using derivatives, Advances in Engineering
/// Software 28 (1997): the bracket is halved unless a parabola through the last three points is
/// safe, so the answer depends on no starting guess.
#[must_use]
pub fn where_rising_reaches(f: impl Fn(f64) -> f64, low: f64, high: f64, target: f64) -> f64 {
    let point = |x: f64| Point { x, miss: f(x) - target };
    let (mut near, mut far) = (point(high), point(low));
    if far.miss >= 0.0 {
        return low;
    }
    if near.miss < 0.0 {
        return high;
    }
    let mut share = 0.5;
    for _ in 0..STEPS {
        let tried = point(near.x + share * (far.x - near.x));
        let last =
            if (tried.miss < 0.0) == (near.miss < 0.0) { near } else { std::mem::replace(&mut far, near) };
        near = tried;
        let best = if near.miss.abs() < far.miss.abs() { near } else { far };
        let width = (far.x - near.x).abs();
        let least = (2.0 * f64::EPSILON * best.x.abs()).max(f64::MIN_POSITIVE) / width;
        if best.miss.abs() <= 0.0 || width <= 0.0 || least > 0.5 {
            return best.x;
        }
        let place = (near.x - far.x) / (last.x - far.x);
        let height = (near.miss - far.miss) / (last.miss - far.miss);
        share = if height * height < place && (1.0 - height).powi(2) < 1.0 - place {
            near.miss / (far.miss - near.miss) * last.miss / (far.miss - last.miss)
                + (last.x - near.x) / (far.x - near.x) * near.miss / (last.miss - near.miss) * far.miss
                    / (last.miss - far.miss)
        } else {
            0.5
        }
        .clamp(least, 1.0 - least);
    }
    near.x
}

/// A place, and how far the function misses the target there.
#[derive(Clone, Copy)]
struct Point {
    x: f64,
    miss: f64,
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
    fn the_square_root_of_two_is_found_in_few_steps() {
        let asked = std::cell::Cell::new(0);
        let square = |x: f64| {
            asked.set(asked.get() + 1);
            x * x
        };
        let root = where_rising_reaches(square, 0.0, 2.0, 2.0);
        assert!((root - std::f64::consts::SQRT_2).abs() < 1e-15);
        assert!(asked.get() < 16, "{} steps", asked.get());
    }

    #[test]
    fn a_step_in_a_flat_function_is_found_to_its_last_digits() {
        for step in [0.731, 1e-9, 0.999_999] {
            let place = where_rising_reaches(|x| if x < step { 0.0 } else { 1.0 }, 0.0, 1.0, 0.5);
            assert!((place / step - 1.0).abs() < 1e-14, "{place}");
            let steep = where_rising_reaches(|x| ((x - step) * 1e6).tanh(), 0.0, 1.0, 0.0);
            assert!((steep - step).abs() < 1e-14, "{steep}");
        }
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
