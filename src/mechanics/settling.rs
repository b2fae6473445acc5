//! How much a new string grows, and how sure that is.

use serde::{Deserialize, Serialize};

use super::twist::Yarn;

/// Growth of a string over the shots that settle it, inches of string.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Settling {
    /// Expected growth, inches.
    pub expected: f64,
    /// Standard deviation of the growth from string to string, inches.
    pub sd: f64,
    /// Readings of the workshop's own behind the figure.
    pub readings: u32,
}

impl Settling {
    /// The most that settling may explain, inches of string: figure and one sd. Method M20.
    #[must_use]
    pub fn upper_end(&self) -> f64 {
        self.expected + self.sd
    }
}

/// Growth of a pre-stretched string over the first 100 shots: figure and sd, inches. Method M20.
///
/// Judgement, no source; the workshop's own readings replace it.
#[must_use]
pub const fn default_settling(yarn: Yarn) -> (f64, f64) {
    match yarn {
        Yarn::Polyester => (0.125, 0.125),
        Yarn::Hmpe | Yarn::Linen => (0.0625, 0.0625),
        Yarn::HmpeLcp => (0.03125, 0.03125),
        Yarn::Unknown => (0.09375, 0.09375),
    }
}

/// One pair of readings between which a string grew without being turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GrowthReading {
    /// Shots at the first and at the second reading.
    pub shots: (f64, f64),
    /// Growth of the string, inches, from the drop in brace height.
    pub growth: f64,
    /// Standard deviation of that growth from reading, inches.
    pub sd: f64,
    /// Factor of the prior for this string: 1 pre-stretched, 2 not.
    pub factor: f64,
}

/// Share of the settling that has happened after some shots. Method M20.
///
/// 1 - exp(-3 n / N), scaled to 1 at N settling shots (judgement: quick at first).
/// Polyester goes on: beyond N it grows by a tenth for each doubling of the shots.
#[must_use]
pub fn settled_share(shots: f64, settle_shots: f64, yarn: Yarn) -> f64 {
    if shots <= 0.0 || settle_shots <= 0.0 {
        return 0.0;
    }
    if shots <= settle_shots {
        return (1.0 - (-3.0 * shots / settle_shots).exp()) / (1.0 - (-3.0_f64).exp());
    }
    match yarn {
        Yarn::Polyester | Yarn::Unknown => 1.0 + 0.1 * (shots / settle_shots).log2(),
        _ => 1.0,
    }
}

/// The workshop's own settling figure of a yarn. Method M20.
///
/// Normal prior (the default, its sd taken both as the spread from string to string and as
/// the doubt of the mean) updated by the growth readings; each reading counts with the
/// string-to-string spread and its reading error, scaled to the whole settling.
#[must_use]
pub fn learned_settling(
    yarn: Yarn,
    (expected, sd): (f64, f64),
    readings: &[GrowthReading],
    settle_shots: f64,
) -> Settling {
    let mut mean = expected;
    let mut precision = 1.0 / (sd * sd);
    let mut used = 0;
    for reading in readings {
        let share = (settled_share(reading.shots.1, settle_shots, yarn)
            - settled_share(reading.shots.0, settle_shots, yarn))
            * reading.factor;
        // A pair that saw little of the settling says little about it.
        if share < 0.1 {
            continue;
        }
        let noise = sd.hypot(reading.sd / share);
        let weight = 1.0 / (noise * noise);
        let seen = reading.growth / share;
        mean = (mean * precision + seen * weight) / (precision + weight);
        precision += weight;
        used += 1;
    }
    Settling { expected: mean.max(0.0), sd, readings: used }
}

/// Growth still to come after some shots, with its sd, inches of string. Method M20.
#[must_use]
pub fn growth_between(settling: &Settling, from: f64, to: f64, settle_shots: f64, yarn: Yarn) -> (f64, f64) {
    let share = (settled_share(to, settle_shots, yarn) - settled_share(from, settle_shots, yarn)).max(0.0);
    (settling.expected * share, settling.sd * share)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_read_gives_the_default_back() {
        let settling = learned_settling(Yarn::Hmpe, (0.0625, 0.0625), &[], 100.0);
        assert!((settling.expected - 0.0625).abs() < 1e-12 && settling.readings == 0);
        assert!((settling.upper_end() - 0.125).abs() < 1e-12);
    }

    #[test]
    fn many_readings_replace_the_default() {
        let reading = GrowthReading { shots: (0.0, 100.0), growth: 0.25, sd: 0.03, factor: 1.0 };
        let settling = learned_settling(Yarn::Polyester, (0.125, 0.125), &[reading; 40], 100.0);
        assert!((settling.expected - 0.247).abs() < 0.003, "{settling:?}");
        assert_eq!(settling.readings, 40);
    }

    #[test]
    fn most_of_it_comes_early_and_polyester_goes_on() {
        assert!(settled_share(30.0, 100.0, Yarn::Hmpe) > 0.6);
        assert!((settled_share(100.0, 100.0, Yarn::Hmpe) - 1.0).abs() < 1e-12);
        assert!(settled_share(400.0, 100.0, Yarn::Polyester) > 1.19);
        assert!((settled_share(400.0, 100.0, Yarn::Linen) - 1.0).abs() < 1e-12);
    }
}
