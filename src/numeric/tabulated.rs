//! Distribution functions from a density that is worked out at few points.

/// Points of Gauss's rule in a panel.
const POINTS: usize = 16;

/// A distribution whose density is looked at once, at the points of Gauss's rule in each of some
/// panels of equal width; between them it is the polynomial through these points.
///
/// What: Legendre series of the density in each panel and its integral (N09). Symbols: the unit of
/// the variable. Assumptions: the density is smooth; over a panel it changes no faster than a normal
/// one of half the panel's width as standard deviation, which leaves an error of about 1e-12. Valid
/// range: any number of panels; below the first the mass is that given, above the last it is all.
/// Source: Gauss-Legendre quadrature, NIST Digital Library of Mathematical Functions, 3.5(v).
#[derive(Debug, Clone)]
pub struct Tabulated {
    low: f64,
    width: f64,
    /// Mass below each panel, and below the end of the last.
    below: Vec<f64>,
    /// Legendre coefficients of the density in each panel, times half its width.
    panels: Vec<[f64; POINTS]>,
}

impl Tabulated {
    /// From `low` upwards over `panels` panels of a width, with `below` as the mass under `low`.
    #[must_use]
    pub fn new(low: f64, width: f64, panels: usize, below: f64, density: impl Fn(f64) -> f64) -> Self {
        let rule = gauss();
        let mut tabulated = Self { low, width, below: vec![below], panels: Vec::with_capacity(panels) };
        let mut mass = below;
        for panel in 0..panels {
            let start = low + width * panel as f64;
            let mut series = [0.0; POINTS];
            for (x, weight) in &rule {
                let value = weight * density(start + 0.5 * width * (1.0 + x));
                for (degree, (sum, legendre)) in series.iter_mut().zip(legendre(*x)).enumerate() {
                    *sum += (degree as f64 + 0.5) * legendre * value * 0.5 * width;
                }
            }
            mass += 2.0 * series[0];
            tabulated.panels.push(series);
            tabulated.below.push(mass);
        }
        tabulated
    }

    /// Both ends of what is tabulated.
    #[must_use]
    pub fn ends(&self) -> (f64, f64) {
        (self.low, self.low + self.width * self.panels.len() as f64)
    }

    /// Chance of a value at or below `x`.
    #[must_use]
    pub fn cdf(&self, x: f64) -> f64 {
        let place = (x - self.low) / self.width;
        if place < 0.0 {
            return self.below[0];
        }
        let panel = place as usize;
        let Some(series) = self.panels.get(panel) else { return self.below[self.panels.len()] };
        let within = 2.0 * (place - panel as f64) - 1.0;
        let values = legendre(within);
        // The integral of P(k) from -1 is (P(k+1) - P(k-1)) / (2k + 1).
        let mut mass = series[0] * (within + 1.0);
        for degree in 1..POINTS {
            let k = degree as f64;
            let next = ((2.0 * k + 1.0) * within * values[degree] - k * values[degree - 1]) / (k + 1.0);
            mass += series[degree] * (next - values[degree - 1]) / (2.0 * k + 1.0);
        }
        self.below[panel] + mass
    }
}

/// Legendre polynomials of the first degrees.
fn legendre(x: f64) -> [f64; POINTS] {
    let mut values = [1.0; POINTS];
    values[1] = x;
    for degree in 2..POINTS {
        let k = degree as f64;
        values[degree] = ((2.0 * k - 1.0) * x * values[degree - 1] - (k - 1.0) * values[degree - 2]) / k;
    }
    values
}

/// Points and weights of Gauss's rule on -1..1, by Newton's method from the usual first guess.
fn gauss() -> Vec<(f64, f64)> {
    let n = POINTS as f64;
    (0..POINTS)
        .map(|i| {
            let mut x = -(std::f64::consts::PI * (i as f64 + 0.75) / (n + 0.5)).cos();
            let mut slope = 1.0;
            for _ in 0..20 {
                let values = legendre(x);
                let last = values[POINTS - 1];
                let value = ((2.0 * n - 1.0) * x * last - (n - 1.0) * values[POINTS - 2]) / n;
                slope = n * (x * value - last) / (x * x - 1.0);
                x -= value / slope;
            }
            (x, 2.0 / ((1.0 - x * x) * slope * slope))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_tabulated_normal_density_gives_the_normal_distribution() {
        let root = (2.0 * std::f64::consts::PI).sqrt();
        let table = Tabulated::new(-9.0, 2.0, 9, 0.0, |x| (-0.5 * x * x).exp() / root);
        assert_eq!(table.ends(), (-9.0, 9.0));
        for x in [-9.5, -4.0, -1.3, 0.0, 0.7, 1.0, 2.999, 3.0, 8.0, 11.0] {
            let expected = crate::numeric::normal_cdf(x);
            assert!((table.cdf(x) - expected).abs() < 1e-10, "{x}: {} {expected}", table.cdf(x));
        }
    }

    #[test]
    fn the_mass_below_the_first_panel_counts() {
        let table = Tabulated::new(0.0, 1.0, 1, 0.25, |_| 0.75);
        assert!((table.cdf(-1.0) - 0.25).abs() < 1e-15);
        assert!((table.cdf(0.5) - 0.625).abs() < 1e-12);
        assert!((table.cdf(2.0) - 1.0).abs() < 1e-12);
    }
}
