//! Brace height and tension of one bow as functions of string length.

use super::{Pose, SolveError, bracketed_root};

/// One solved pose of a bow, as a knot of the table.
#[derive(Clone, Copy, Debug)]
struct Knot {
    string_length: f64,
    brace_squared: f64,
    brace_squared_slope: f64,
    tension: f64,
    tension_slope: f64,
    lift: f64,
}

/// Poses sorted by string length, joined by cubics.
///
/// The square of the brace height is close to a straight line in the string length, so
/// that square is what is interpolated.
#[derive(Clone, Debug)]
pub(crate) struct StringTable {
    knots: Vec<Knot>,
}

impl StringTable {
    /// A table from poses by rising brace height; `grip_y` is y_g in inches.
    ///
    /// # Errors
    ///
    /// Fewer than three poses, or poses whose string does not get shorter as the brace
    /// height rises.
    pub(crate) fn new(poses: &[Pose], grip_y: f64) -> Result<Self, SolveError> {
        let mut knots: Vec<Knot> = poses
            .iter()
            .rev()
            .map(|pose| Knot {
                string_length: pose.string_length,
                brace_squared: (pose.string_line - grip_y).powi(2),
                brace_squared_slope: 0.0,
                tension: pose.tension,
                tension_slope: 0.0,
                lift: pose.lift,
            })
            .collect();
        let (Some(first), Some(last)) = (knots.first(), knots.last()) else {
            return Err(SolveError::NotBracketed(0.0, 0.0));
        };
        let (low, high) = (first.string_length, last.string_length);
        let falls = |pair: &[Knot]| {
            pair[0].string_length < pair[1].string_length && pair[0].brace_squared > pair[1].brace_squared
        };
        if knots.len() < 3 || !knots.windows(2).all(falls) {
            return Err(SolveError::NotBracketed(low, high));
        }
        for index in 0..knots.len() {
            let middle = index.clamp(1, knots.len() - 2);
            let three = [knots[middle - 1], knots[middle], knots[middle + 1]];
            let x = three.map(|knot| knot.string_length);
            let at = knots[index].string_length;
            knots[index].brace_squared_slope = parabola_slope(x, three.map(|knot| knot.brace_squared), at);
            knots[index].tension_slope = parabola_slope(x, three.map(|knot| knot.tension), at);
        }
        Ok(Self { knots })
    }

    /// Shortest and longest string of the table, in.
    pub(crate) fn string_range(&self) -> (f64, f64) {
        (self.knots[0].string_length, self.knots[self.knots.len() - 1].string_length)
    }

    /// Lowest and highest brace height of the table, in.
    pub(crate) fn brace_range(&self) -> (f64, f64) {
        (self.knots[self.knots.len() - 1].brace_squared.sqrt(), self.knots[0].brace_squared.sqrt())
    }

    /// Brace height for a string length, both in inches.
    ///
    /// # Errors
    ///
    /// The string length is outside the table.
    pub(crate) fn brace(&self, string_length: f64) -> Result<f64, SolveError> {
        let (low, high) = self.interval(string_length)?;
        Ok(brace_squared(low, high, string_length).sqrt())
    }

    /// String tension in N for a string length in inches.
    ///
    /// # Errors
    ///
    /// The string length is outside the table.
    pub(crate) fn tension(&self, string_length: f64) -> Result<f64, SolveError> {
        let (low, high) = self.interval(string_length)?;
        Ok(cubic(
            (low.string_length, high.string_length),
            (low.tension, high.tension),
            (low.tension_slope, high.tension_slope),
            string_length,
        ))
    }

    /// String length for a brace height, both in inches; the inverse of [`Self::brace`].
    ///
    /// # Errors
    ///
    /// The brace height is outside the table.
    pub(crate) fn string(&self, brace: f64) -> Result<f64, SolveError> {
        let (lowest, highest) = self.brace_range();
        if !(lowest..=highest).contains(&brace) {
            return Err(SolveError::OutOfRange(brace, lowest, highest));
        }
        // At the ends the square of a square root may miss the knot by rounding.
        let last = self.knots.len() - 1;
        let wanted = (brace * brace).clamp(self.knots[last].brace_squared, self.knots[0].brace_squared);
        let index = self.knots.partition_point(|k| k.brace_squared > wanted);
        let high = index.clamp(1, last);
        let (a, b) = (&self.knots[high - 1], &self.knots[high]);
        bracketed_root(
            |length| Ok(brace_squared(a, b, length) - wanted),
            a.string_length,
            b.string_length,
            1e-11,
        )
    }

    /// Lifts of the two knots around a string length, lower lift first, with a tension
    /// near by.
    ///
    /// # Errors
    ///
    /// The string length is outside the table.
    pub(crate) fn lifts(&self, string_length: f64) -> Result<(f64, f64, f64), SolveError> {
        let (low, high) = self.interval(string_length)?;
        Ok((high.lift, low.lift, self.tension(string_length)?))
    }

    fn interval(&self, string_length: f64) -> Result<(&Knot, &Knot), SolveError> {
        let (low, high) = self.string_range();
        if !(low..=high).contains(&string_length) {
            return Err(SolveError::OutOfRange(string_length, low, high));
        }
        let index = self
            .knots
            .partition_point(|knot| knot.string_length < string_length)
            .clamp(1, self.knots.len() - 1);
        Ok((&self.knots[index - 1], &self.knots[index]))
    }
}

fn brace_squared(low: &Knot, high: &Knot, string_length: f64) -> f64 {
    cubic(
        (low.string_length, high.string_length),
        (low.brace_squared, high.brace_squared),
        (low.brace_squared_slope, high.brace_squared_slope),
        string_length,
    )
}

/// The cubic with given values and slopes at the two ends of x.
fn cubic(x: (f64, f64), value: (f64, f64), slope: (f64, f64), at: f64) -> f64 {
    let width = x.1 - x.0;
    let t = (at - x.0) / width;
    let r = 1.0 - t;
    r * r * ((1.0 + 2.0 * t) * value.0 + t * width * slope.0)
        + t * t * ((1.0 + 2.0 * r) * value.1 - r * width * slope.1)
}

/// Slope at `at` of the parabola through three points.
fn parabola_slope(x: [f64; 3], y: [f64; 3], at: f64) -> f64 {
    let first = (y[1] - y[0]) / (x[1] - x[0]);
    let second = (y[2] - y[1]) / (x[2] - x[1]);
    let bend = (second - first) / (x[2] - x[0]);
    first + bend * (2.0 * at - x[0] - x[1])
}
