//! Turns against string length: the ideal laid yarn and the workshop's own bench figure.

use std::f64::consts::PI;

use serde::{Deserialize, Serialize};

use crate::words;

words! {
    /// What a string is made of.
    Yarn, "yarn" {
        /// Polyester (PET).
        Polyester = "polyester",
        /// High-modulus polyethylene.
        Hmpe = "hmpe",
        /// Blend of HMPE and liquid crystal polymer.
        HmpeLcp = "hmpe-lcp",
        /// Linen.
        Linen = "linen",
        /// Not known (imported history).
        Unknown = "unknown",
    }
}

impl Yarn {
    /// Low-stretch yarn asks more of the limb tips.
    #[must_use]
    pub const fn is_low_stretch(self) -> bool {
        matches!(self, Self::Hmpe | Self::HmpeLcp)
    }
}

/// Figures of a yarn that its twist needs. Method M06.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YarnFigures {
    /// Density of the fibre, kg/m³ (Morton & Hearle for polyester and HMPE; linen from memory).
    pub fibre_density: f64,
    /// Linear density of one strand, tex (derived from published strand strengths; an estimate).
    pub strand_tex: f64,
    /// True over ideal shortening (judgement between the ideal law and held fibres).
    pub string_factor: f64,
    /// Standard deviation of ln(string factor) where strand count and tex are known.
    pub string_factor_log_sd: f64,
}

/// Figures by yarn. Method M06. An unknown yarn takes the middle of polyester and HMPE with
/// the doubt that is left (judgement).
#[must_use]
pub const fn yarn_figures(yarn: Yarn) -> YarnFigures {
    let (fibre_density, strand_tex, string_factor, string_factor_log_sd) = match yarn {
        Yarn::Polyester => (1380.0, 295.0, 1.02, 0.18),
        Yarn::Hmpe => (970.0, 160.0, 1.12, 0.22),
        Yarn::HmpeLcp => (1080.0, 165.0, 1.12, 0.22),
        Yarn::Linen => (1500.0, 180.0, 1.03, 0.20),
        Yarn::Unknown => (1150.0, 215.0, 1.07, 0.30),
    };
    YarnFigures { fibre_density, strand_tex, string_factor, string_factor_log_sd }
}

/// Share of the string's cross-section that is fibre; real yarns 0.6 to 0.75 (from memory),
/// close packing of equal circles 0.906. Method M06.
pub const PACKING_FRACTION: f64 = 0.65;
/// Length that does not twist: 2 in of eye and 5.5 in of splice at each end counted half,
/// 7 in of served centre counted about half. Method M07 (estimate).
pub const UNTWISTED_LENGTH: f64 = 13.0;
/// Metres in an inch, exact (international yard and pound agreement 1959).
const METRES_PER_INCH: f64 = 0.0254;
/// Standard deviation of ln(string factor) once the workshop measured the construction. Method M08.
pub const BENCH_LOG_SD: f64 = 0.05;

/// Yarn, strands and plies of a string.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Construction {
    /// Material.
    pub yarn: Yarn,
    /// Strands in the whole string.
    pub strands: u32,
    /// Plies laid together, 2 or 3.
    pub plies: u32,
}

/// Radius of the disc with the area of all strands, inches. Method M06.
///
/// R1 = sqrt(N tex 1e-6 / (pi rho phi)) in metres.
#[must_use]
pub fn body_radius(strands: u32, strand_tex: f64, fibre_density: f64, packing_fraction: f64) -> f64 {
    (f64::from(strands) * strand_tex * 1e-6 / (PI * fibre_density * packing_fraction)).sqrt()
        / METRES_PER_INCH
}

/// Mean squared fibre radius over R1²: 0.65 for two plies, 0.57 for three. Method M06 (estimate
/// between the round body, 1/2, and two loose plies, 3/4).
#[must_use]
pub const fn section_shape(plies: u32) -> f64 {
    if plies >= 3 { 0.57 } else { 0.65 }
}

/// Turns shorten the string: what is needed to say by how much.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TwistBody {
    /// Length that takes the twist, inches.
    pub twistable_length: f64,
    /// Effective radius for twist, inches.
    pub twist_radius: f64,
    /// True over ideal shortening.
    pub string_factor: f64,
    /// Standard deviation of ln(string factor).
    pub string_factor_log_sd: f64,
    /// True where the workshop's bench figure stands behind it.
    pub from_bench: bool,
}

/// Twistable length of a string, inches: L - 13. Method M07.
///
/// `None` for a string too short to have a body.
#[must_use]
pub fn twistable_length(string_length: f64) -> Option<f64> {
    let body = string_length - UNTWISTED_LENGTH;
    (body >= 5.0).then_some(body)
}

impl TwistBody {
    /// From the build: strand count and yarn. Methods M06 and M07.
    #[must_use]
    pub fn from_build(construction: Construction, string_length: f64) -> Option<Self> {
        let figures = yarn_figures(construction.yarn);
        let radius =
            body_radius(construction.strands, figures.strand_tex, figures.fibre_density, PACKING_FRACTION);
        Some(Self {
            twistable_length: twistable_length(string_length)?,
            twist_radius: (2.0 * section_shape(construction.plies)).sqrt() * radius,
            string_factor: figures.string_factor,
            string_factor_log_sd: figures.string_factor_log_sd,
            from_bench: false,
        })
    }

    /// From a bench figure: an effective radius measured on this construction. Method M08.
    #[must_use]
    pub fn from_radius(twist_radius: f64, string_length: f64) -> Option<Self> {
        let twistable_length = twistable_length(string_length)?;
        (twist_radius.is_finite() && twist_radius > 0.0).then_some(Self {
            twistable_length,
            twist_radius,
            string_factor: 1.0,
            string_factor_log_sd: BENCH_LOG_SD,
            from_bench: true,
        })
    }

    /// From a turn constant c in inches per turn squared, measured at this length. Method M08.
    ///
    /// Req = sqrt(c La) / pi; c belongs to its length, the radius does not.
    #[must_use]
    pub fn from_turn_constant(turn_constant: f64, string_length: f64) -> Option<Self> {
        let body = twistable_length(string_length)?;
        Self::from_radius((turn_constant * body).sqrt() / PI, string_length)
    }

    /// Twist parameter t = 2 pi Req n / La. Method M09.
    #[must_use]
    pub fn twist_parameter(&self, turns: f64) -> f64 {
        2.0 * PI * self.twist_radius * turns / self.twistable_length
    }

    /// Shortening of the ideal body by `turns` from straight, inches. Method M09.
    ///
    /// s = La/2 (1 - sqrt(1 - t²)), mean contraction of an ideal yarn at constant volume
    /// (Hearle, Grosberg & Backer 1969, from memory, re-derived). Valid to t = 1.
    #[must_use]
    pub fn ideal_shortening(&self, turns: f64) -> f64 {
        let parameter = self.twist_parameter(turns).abs().min(1.0);
        self.twistable_length / 2.0 * (1.0 - (1.0 - parameter * parameter).sqrt())
    }

    /// Shortening from straight with the string factor, inches. Method M09.
    #[must_use]
    pub fn shortening(&self, turns: f64) -> f64 {
        self.string_factor * self.ideal_shortening(turns)
    }

    /// Change of string length when turns go from `from` to `to`; positive = shorter. Method M09.
    #[must_use]
    pub fn string_change(&self, from: f64, to: f64) -> f64 {
        self.shortening(to) - self.shortening(from)
    }

    /// Turns from straight that shorten the body by `shortening` (string factor included). Method M09.
    ///
    /// `None` where no number of turns does it: less than nothing, or more than half the body.
    #[must_use]
    pub fn turns_for_shortening(&self, shortening: f64) -> Option<f64> {
        let ideal = shortening / self.string_factor;
        if !(0.0..=self.twistable_length / 2.0).contains(&ideal) {
            return None;
        }
        let rest = 1.0 - 2.0 * ideal / self.twistable_length;
        Some(self.twistable_length / (2.0 * PI * self.twist_radius) * (1.0 - rest * rest).sqrt())
    }

    /// Turns to add (negative: take out) to `turns_now` for a change of string length. Method M09.
    #[must_use]
    pub fn turns_for_change(&self, turns_now: f64, string_change: f64) -> Option<f64> {
        self.turns_for_shortening(self.shortening(turns_now) + string_change).map(|turns| turns - turns_now)
    }

    /// Turns at which the surface fibres stand at a helix angle, degrees. Method M10.
    #[must_use]
    pub fn turns_at_helix(&self, degrees: f64) -> f64 {
        twist_parameter_at(degrees) * self.twistable_length / (2.0 * PI * self.twist_radius)
    }

    /// Helix angle at `turns`, degrees. Method M10. `None` beyond t = 1.
    #[must_use]
    pub fn helix_degrees(&self, turns: f64) -> Option<f64> {
        helix_degrees_at(self.twist_parameter(turns))
    }
}

/// Helix angle from the twist parameter, degrees: sec a = (4 - t² - 4 sqrt(1 - t²)) / t². Method M10.
///
/// Computed as tan²(a/2) = s/La, which keeps its digits near t = 0. `None` outside 0..=1.
#[must_use]
pub fn helix_degrees_at(twist_parameter: f64) -> Option<f64> {
    if !(0.0..=1.0).contains(&twist_parameter) {
        return None;
    }
    // (1 - sqrt(1 - t²)) / 2, written without the difference of near equals.
    let squared = twist_parameter * twist_parameter;
    let retraction = 0.5 * squared / (1.0 + (1.0 - squared).sqrt());
    Some((2.0 * retraction.sqrt().atan()).to_degrees())
}

/// Twist parameter from the helix angle in degrees: t = sqrt(8 (sec a - 1)) / (1 + sec a). Method M10.
#[must_use]
pub fn twist_parameter_at(helix_degrees: f64) -> f64 {
    let retraction = retraction_at(helix_degrees);
    // s/La = (1 - sqrt(1 - t²)) / 2  =>  t² = 1 - (1 - 2 s/La)²
    let rest = 1.0 - 2.0 * retraction;
    (1.0 - rest * rest).max(0.0).sqrt()
}

/// Share of length lost at a helix angle in degrees: tan²(a/2). Method M10.
///
/// Hearle, Grosberg & Backer 1969 (from memory, re-derived).
#[must_use]
pub fn retraction_at(helix_degrees: f64) -> f64 {
    (helix_degrees.to_radians() / 2.0).tan().powi(2)
}

/// The turns a string may have.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct TurnWindow {
    /// Fewest whole turns.
    pub min: i32,
    /// Most whole turns.
    pub max: i32,
}

impl TurnWindow {
    /// The helix window: turns at the least and the greatest angle, rounded inwards. Method M11.
    ///
    /// Upper limit: Shane 1936, at most one twist per inch of body, 17 to 21 degrees. Lower
    /// limit: workshop convention, no published value.
    #[must_use]
    pub fn from_helix(body: &TwistBody, min_degrees: f64, max_degrees: f64) -> Self {
        let min = body.turns_at_helix(min_degrees).ceil() as i32;
        let max = body.turns_at_helix(max_degrees).floor() as i32;
        Self { min, max: max.max(min) }
    }

    /// The window narrowed by the string length the workshop lets an archer take in
    /// (`shorten`) or let out (`lengthen`), counted from the turns as built. Method M11.
    ///
    /// The helix window comes first: a string built outside of it goes back into it.
    #[must_use]
    pub fn narrowed(
        self,
        body: &TwistBody,
        turns_built: f64,
        shorten: Option<f64>,
        lengthen: Option<f64>,
    ) -> Self {
        let max = shorten
            .and_then(|play| body.turns_for_change(turns_built, play))
            .map_or(self.max, |turns| self.max.min((turns_built + turns).floor() as i32));
        let min = lengthen
            .and_then(|play| body.turns_for_change(turns_built, -play))
            .map_or(self.min, |turns| self.min.max((turns_built + turns).ceil() as i32))
            .min(self.max);
        Self { min, max: max.max(min) }
    }

    /// True if this many turns may be left in a string. Method M11.
    #[must_use]
    pub fn allows(self, turns: f64) -> bool {
        turns >= f64::from(self.min) && turns <= f64::from(self.max)
    }
}

/// Usual turns when the workshop set none: the least of the window and what shortens by
/// `let_out` more, since strings only grow. Method M12 (workshop convention).
#[must_use]
pub fn usual_turns(body: &TwistBody, window: TurnWindow, let_out: f64) -> i32 {
    let least = f64::from(window.min);
    let usual = body.turns_for_change(least, let_out).map_or(least, |turns| least + turns);
    (usual.round() as i32).clamp(window.min, window.max)
}

words! {
    /// How the turns in a string are known.
    TurnsKnown, "way of knowing the turns" {
        /// Recorded when it left the workshop.
        Shipped = "shipped",
        /// Counted on the body.
        Counted = "counted",
        /// Neither: the workshop's usual number.
        Guessed = "guessed",
    }
}

/// Standard deviation of a number of turns. Method M13.
///
/// Recorded: 1 (a turn can be lost when unstringing). Counted: 6 % of the count. Guessed: 8.
/// Judgement, no source.
#[must_use]
pub fn turns_sd(known: TurnsKnown, turns: f64) -> f64 {
    match known {
        TurnsKnown::Shipped => 1.0,
        TurnsKnown::Counted => 0.06 * turns.abs(),
        TurnsKnown::Guessed => 8.0,
    }
}

/// Turns when neither record nor count nor a workshop's figure exists. Method M13 (judgement).
pub const GUESSED_TURNS: f64 = 25.0;

/// Turns in a string from a count on its body: appearances of one colour over a length,
/// divided by that length, times the twistable length. Method M13.
#[must_use]
pub fn turns_from_count(appearances: f64, over: f64, body: &TwistBody) -> f64 {
    appearances / over * body.twistable_length
}

/// Why a bench test gives no figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BenchTestFault {
    /// More turns did not make the string shorter.
    NotShorter,
    /// No body of that radius shortens so much.
    OutOfRange,
}

/// Effective radius from one string measured under load at two turn counts, inches. Method M08.
///
/// Exact in s(n2) - s(n1), by bisection on the radius; the quadratic reading of the turn
/// constant overstates Req² by 2 to 3 % between 20 and 40 turns.
///
/// # Errors
/// The string did not get shorter with more turns, or by more than any body can.
pub fn radius_from_bench_test(
    turns_few: f64,
    length_few: f64,
    turns_many: f64,
    length_many: f64,
) -> Result<f64, BenchTestFault> {
    let shortened = length_few - length_many;
    if shortened <= 0.0 || turns_many <= turns_few || turns_few < 0.0 {
        return Err(BenchTestFault::NotShorter);
    }
    // The body at the fewer turns has lost a little already; the straight length is what counts.
    let change = |radius: f64| -> Option<f64> {
        let mut straight = length_few;
        for _ in 0..20 {
            let body = TwistBody::from_radius(radius, straight)?;
            straight = length_few + body.ideal_shortening(turns_few);
        }
        let body = TwistBody::from_radius(radius, straight)?;
        (body.twist_parameter(turns_many) < 1.0).then(|| body.string_change(turns_few, turns_many))
    };
    let body_length = twistable_length(length_few).ok_or(BenchTestFault::OutOfRange)?;
    let (mut low, mut high) = (0.0, 0.9 * body_length / (2.0 * PI * turns_many));
    if change(high).is_none_or(|most| most < shortened) {
        return Err(BenchTestFault::OutOfRange);
    }
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            break;
        }
        if change(middle).is_some_and(|got| got < shortened) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(0.5 * (low + high))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn body() -> TwistBody {
        TwistBody {
            twistable_length: 47.0,
            twist_radius: 0.0543,
            string_factor: 1.0,
            string_factor_log_sd: 0.18,
            from_bench: false,
        }
    }

    #[test]
    fn turns_and_shortening_invert_each_other() {
        for turns in [1.0, 10.0, 25.0, 60.0] {
            let back = body().turns_for_shortening(body().shortening(turns)).unwrap();
            assert!((back - turns).abs() < 1e-9);
        }
    }

    #[test]
    fn each_turn_does_more_than_the_one_before() {
        let steps: Vec<f64> = (0..60).map(|n| body().string_change(f64::from(n), f64::from(n + 1))).collect();
        assert!(steps.windows(2).all(|pair| pair[1] > pair[0]));
    }

    #[test]
    fn the_window_narrows_by_the_play_the_workshop_allows() {
        let window = TurnWindow::from_helix(&body(), 9.0, 20.0);
        let narrowed = window.narrowed(&body(), 30.0, Some(0.25), Some(0.1));
        assert!(narrowed.min > window.min && narrowed.max < window.max);
        assert!(body().string_change(30.0, f64::from(narrowed.max)) <= 0.25);
        assert!(body().string_change(f64::from(narrowed.min), 30.0) <= 0.1);
    }

    #[test]
    fn a_string_built_outside_the_helix_window_is_not_kept_there_by_its_play() {
        let window = TurnWindow::from_helix(&body(), 9.0, 20.0);
        for built in [5.0, 90.0] {
            let narrowed = window.narrowed(&body(), built, Some(0.1), Some(0.1));
            assert!(narrowed.min >= window.min && narrowed.max <= window.max, "{built}: {narrowed:?}");
        }
    }

    #[test]
    fn the_usual_turns_leave_a_quarter_inch_to_let_out() {
        let window = TurnWindow::from_helix(&body(), 9.0, 20.0);
        let usual = usual_turns(&body(), window, 0.25);
        let left = body().string_change(f64::from(window.min), f64::from(usual));
        assert!((left - 0.25).abs() < 0.03, "{left}");
    }

    #[test]
    fn a_bench_test_finds_the_radius_that_made_it() {
        let made = TwistBody::from_radius(0.0532, 60.0).unwrap();
        let few = 60.0 - made.ideal_shortening(20.0);
        let many = 60.0 - made.ideal_shortening(40.0);
        let radius = radius_from_bench_test(20.0, few, 40.0, many).unwrap();
        assert!((radius - 0.0532).abs() < 1e-6, "{radius}");
    }

    #[test]
    fn a_bench_test_in_which_nothing_shortened_is_refused() {
        assert_eq!(radius_from_bench_test(20.0, 60.0, 40.0, 60.1), Err(BenchTestFault::NotShorter));
        assert_eq!(radius_from_bench_test(20.0, 60.0, 40.0, 30.0), Err(BenchTestFault::OutOfRange));
    }

    #[test]
    fn three_plies_shorten_about_an_eighth_less_than_two() {
        let two = TwistBody::from_build(Construction { yarn: Yarn::Polyester, strands: 12, plies: 2 }, 60.0)
            .unwrap();
        let three =
            TwistBody::from_build(Construction { yarn: Yarn::Polyester, strands: 12, plies: 3 }, 60.0)
                .unwrap();
        let ratio = three.shortening(30.0) / two.shortening(30.0);
        assert!((ratio - 0.88).abs() < 0.01, "{ratio}");
    }
}
