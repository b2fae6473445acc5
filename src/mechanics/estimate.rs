//! Uncertainty of a step, the turns to advise, and what a second reading teaches.

use serde::{Deserialize, Serialize};

use super::bow::{BowConstant, brace_after, string_change_for};
use super::twist::{TurnWindow, TwistBody};
use crate::numeric::normal_chance_between;

/// Largest change of string length for which the law was checked, inches. Method M02.
pub const CHECKED_CHANGE: f64 = 0.6;

/// Share of what was learned of the effect of turns that belongs to the bow; the rest belongs to the
/// string. From the sd of the ln of the bow's constant and of the string's factor: each takes as much
/// of a surprise as it is uncertain (method M18).
#[must_use]
pub fn bow_share(bow_log_sd: f64, string_log_sd: f64) -> f64 {
    let (bow, string) = (bow_log_sd * bow_log_sd, string_log_sd * string_log_sd);
    bow / (bow + string)
}

/// Everything that predicts what turns do to one bow with one string, after what is known.
///
/// The state is (brace height, ratio of true to predicted effect) with its covariance.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Chain {
    /// Brace height now, inches; after a second reading the smoothed one.
    pub brace: f64,
    /// True over predicted effect of turns on this string and bow.
    pub ratio: f64,
    /// Covariance of (brace, ratio).
    pub covariance: [[f64; 2]; 2],
    /// Bow constant K, inches, before the ratio.
    pub constant: f64,
    /// The string's body.
    pub body: TwistBody,
    /// Full turns in the string now.
    pub turns: f64,
    /// Standard deviation of the turns that the ratio does not hold yet.
    pub turns_sd: f64,
}

/// Height and ratio with their covariance after turns that no reading has followed yet.
struct Predicted {
    brace: f64,
    height: f64,
    cross: f64,
    ratio: f64,
}

/// What a number of turns is expected to do.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Forecast {
    /// Turns put in (negative: taken out).
    pub turns: f64,
    /// Shortening of the string, inches.
    pub string_change: f64,
    /// Brace height afterwards, inches.
    pub brace: f64,
    /// Standard deviation of the true brace height afterwards, inches.
    pub sd: f64,
}

impl Forecast {
    /// Chance that the true brace height lies in `low..=high`. Method M17.
    #[must_use]
    pub fn chance_in(&self, low: f64, high: f64) -> f64 {
        normal_chance_between(low, high, self.brace, self.sd)
    }
}

/// Two readings that cannot both be right.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Contradiction {
    /// Brace height that was expected, inches.
    pub expected: f64,
    /// Standard deviation of the difference between reading and expectation, inches.
    pub sd: f64,
    /// Brace height that was read, inches.
    pub read: f64,
}

/// Standard deviation of the mean of several readings, inches. Method M22.
///
/// One careful reading `sd`, the mean of three half of it; more readings share the same
/// ruler and hand, so nothing is gained beyond (judgement, no source).
#[must_use]
pub fn reading_sd(sd: f64, readings: u32) -> f64 {
    match readings {
        0 | 1 => sd,
        2 => sd / std::f64::consts::SQRT_2,
        _ => sd / 2.0,
    }
}

impl Chain {
    /// The chain before any turn was tried. Method M16.
    ///
    /// `ratio` and `ratio_sd` are the prior of the effect: 1 and sqrt(s_K² + s_G²), or the
    /// workshop's own pooled figure.
    #[must_use]
    pub fn new(
        brace: f64,
        brace_sd: f64,
        constant: f64,
        body: TwistBody,
        (turns, turns_sd): (f64, f64),
        (ratio, ratio_sd): (f64, f64),
    ) -> Self {
        Self {
            brace,
            ratio,
            covariance: [[brace_sd * brace_sd, 0.0], [0.0, ratio_sd * ratio_sd]],
            constant,
            body,
            turns,
            turns_sd,
        }
    }

    /// Prior of the effect without any reading of the workshop's own: 1 ± sqrt(s_K² + s_G²). Method M16.
    #[must_use]
    pub fn table_prior(constant: &BowConstant, body: &TwistBody) -> (f64, f64) {
        (1.0, constant.log_sd.hypot(body.string_factor_log_sd))
    }

    /// Variance of the ratio for a step of `turns`: what is known of the effect, and of the turns in.
    fn ratio_variance(&self, turns: f64) -> f64 {
        let middle = (self.turns + turns / 2.0).abs().max(1.0);
        let share = self.turns_sd / middle;
        self.covariance[1][1] + share * share
    }

    /// What `turns` more are expected to do. Methods M02, M09, M16. `None` if the bow would not brace.
    #[must_use]
    pub fn forecast(&self, turns: f64) -> Option<Forecast> {
        let string_change = self.body.string_change(self.turns, self.turns + turns);
        let brace = brace_after(self.brace, self.constant * self.ratio, string_change)?;
        let by_brace = self.brace / brace;
        let by_ratio = (brace * brace - self.brace * self.brace) / (2.0 * brace * self.ratio);
        let variance = by_brace * by_brace * self.covariance[0][0]
            + 2.0 * by_brace * by_ratio * self.covariance[0][1]
            + by_ratio * by_ratio * self.ratio_variance(turns);
        Some(Forecast { turns, string_change, brace, sd: variance.max(0.0).sqrt() })
    }

    /// The state after `turns` that no reading followed: foreseen, with the doubt of a forecast.
    /// Method M16. `None` if the bow would not brace.
    #[must_use]
    pub fn foreseen(&self, turns: f64) -> Option<Self> {
        let step = self.forecast(turns)?;
        let by_brace = self.brace / step.brace;
        let by_ratio = (step.brace * step.brace - self.brace * self.brace) / (2.0 * step.brace * self.ratio);
        let variance = self.ratio_variance(turns);
        let cross = by_brace * self.covariance[0][1] + by_ratio * variance;
        Some(Self {
            brace: step.brace,
            covariance: [[step.sd * step.sd, cross], [cross, variance]],
            turns: self.turns + turns,
            turns_sd: 0.0,
            ..*self
        })
    }

    /// The state once the string has grown by so much, with the doubt of that growth, inches of
    /// string. Methods M02, M20. `None` if the bow would not brace.
    #[must_use]
    pub fn grown(&self, (growth, sd): (f64, f64)) -> Option<Self> {
        let constant = self.constant * self.ratio;
        let brace = brace_after(self.brace, constant, -growth)?;
        let by_brace = self.brace / brace;
        let by_growth = constant / brace * sd;
        let [[height, cross], [_, ratio]] = self.covariance;
        let cross = by_brace * cross;
        let covariance = [[by_brace * by_brace * height + by_growth * by_growth, cross], [cross, ratio]];
        Some(Self { brace, covariance, ..*self })
    }

    /// Shortening of the string that the wanted brace height asks for, inches. Method M02.
    #[must_use]
    pub fn string_change_to(&self, wanted: f64) -> f64 {
        string_change_for(self.brace, wanted, self.constant * self.ratio)
    }

    /// The state after `turns` were put in and the brace height was read again. Method M18.
    ///
    /// Two-state update of (true height, ratio). `drop` is the brace height lost to settling
    /// meanwhile with its sd (0, 0 where none is expected).
    ///
    /// # Errors
    /// The reading lies more than three standard deviations off; nothing is learned from it.
    pub fn after_reading(
        &self,
        turns: f64,
        read: f64,
        read_sd: f64,
        drop: (f64, f64),
    ) -> Result<Self, Contradiction> {
        let turned = turns.abs() >= 0.5;
        let Predicted { brace, height: p00, cross: p01, ratio: variance } = self.predicted(turns);
        let (expected, p00) = (brace - drop.0, p00 + drop.1 * drop.1);
        let spread = p00 + read_sd * read_sd;
        let surprise = read - expected;
        if surprise.abs() > 3.0 * spread.sqrt() {
            return Err(Contradiction { expected, sd: spread.sqrt(), read });
        }
        let (gain_brace, gain_ratio) = (p00 / spread, p01 / spread);
        Ok(Self {
            brace: expected + gain_brace * surprise,
            // An effect of nothing or less cannot be used to plan a next step.
            ratio: (self.ratio + gain_ratio * surprise).max(0.1),
            covariance: [
                [p00 - gain_brace * p00, p01 - gain_brace * p01],
                [p01 - gain_ratio * p00, variance - gain_ratio * p01],
            ],
            turns: self.turns + turns,
            turns_sd: if turned { 0.0 } else { self.turns_sd },
            ..*self
        })
    }

    /// What is expected after `turns`, before it is read.
    fn predicted(&self, turns: f64) -> Predicted {
        let change = self.body.string_change(self.turns, self.turns + turns);
        let at_one = brace_after(self.brace, self.constant, change).unwrap_or(0.0);
        let step = at_one - self.brace;
        // The doubt about the turns in enters the ratio with a step; without one it stays apart.
        let ratio = if turns.abs() >= 0.5 { self.ratio_variance(turns) } else { self.covariance[1][1] };
        let cross = self.covariance[0][1];
        Predicted {
            brace: self.brace + self.ratio * step,
            height: self.covariance[0][0] + 2.0 * step * cross + step * step * ratio,
            cross: cross + step * ratio,
            ratio,
        }
    }

    /// The reading that is expected after `turns`, with its sd, inches. Method M18.
    #[must_use]
    pub fn expected_reading(&self, turns: f64, read_sd: f64) -> (f64, f64) {
        let predicted = self.predicted(turns);
        (predicted.brace, predicted.height.max(0.0).sqrt().hypot(read_sd))
    }

    /// Standard deviation of the ratio.
    #[must_use]
    pub fn ratio_sd(&self) -> f64 {
        self.covariance[1][1].max(0.0).sqrt()
    }

    /// Standard deviation of the brace height now, inches.
    #[must_use]
    pub fn brace_sd(&self) -> f64 {
        self.covariance[0][0].max(0.0).sqrt()
    }

    /// Brace heights that turning can reach within a window, low and high, inches. Method M11.
    ///
    /// An end at which the bow would not brace at all is given as 0.
    #[must_use]
    pub fn reach(&self, window: TurnWindow) -> (f64, f64) {
        let at = |turns: i32| self.forecast(f64::from(turns) - self.turns).map_or(0.0, |step| step.brace);
        (at(window.min), at(window.max))
    }

    /// The whole number of turns for a wanted range. Method M17.
    ///
    /// Aims at the middle, tries both neighbouring whole numbers and keeps the one with the
    /// better chance, the smaller one on a tie; stops at the window's limits.
    #[must_use]
    pub fn plan(&self, low: f64, high: f64, window: TurnWindow) -> TurnPlan {
        let needed = self.string_change_to(0.5 * (low + high));
        let exact = self.body.turns_for_change(self.turns, needed);
        let (least, most) = (
            (f64::from(window.min) - self.turns).ceil() as i32,
            (f64::from(window.max) - self.turns).floor() as i32,
        );
        let aim = exact.unwrap_or(if needed > 0.0 { f64::from(most) } else { f64::from(least) });
        let clamp =
            |turns: f64| (turns.clamp(-500.0, 500.0) as i32).max(least.min(most)).min(most.max(least));
        let mut candidates = [clamp(aim.floor()), clamp(aim.ceil())];
        candidates.sort_by_key(|turns| turns.abs());
        let best = candidates
            .into_iter()
            .filter_map(|turns| self.forecast(f64::from(turns)))
            .map(|step| (step.chance_in(low, high), step))
            .reduce(|best, next| if next.0 > best.0 + 1e-9 { next } else { best });
        let outside =
            exact.is_none_or(|turns| turns > f64::from(most) + 0.5 || turns < f64::from(least) - 0.5);
        TurnPlan {
            needed,
            exact,
            limited: outside,
            step: best.map(|(_, step)| step),
            chance: best.map_or(0.0, |(chance, _)| chance),
        }
    }
}

/// The turns for a wanted range, and how they came out.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TurnPlan {
    /// Shortening of the string that the middle of the range asks for, inches.
    pub needed: f64,
    /// Unrounded turns for it; `None` if no number of turns does it.
    pub exact: Option<f64>,
    /// True where the window stops short of the exact need.
    pub limited: bool,
    /// The best whole number of turns inside the window, with what it does.
    pub step: Option<Forecast>,
    /// Chance that the true height then lies in the range.
    pub chance: f64,
}

/// A string to be built instead of this one.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct NewString {
    /// Change of length against the present state of the string, inches; positive = shorter.
    pub string_change: f64,
    /// Standard deviation of the right length, build tolerance included, inches.
    pub length_sd: f64,
    /// Brace height it should give, inches.
    pub brace: f64,
    /// Standard deviation of that brace height, inches.
    pub brace_sd: f64,
}

impl NewString {
    /// Chance that the new string braces in `low..=high` as it comes. Method M17.
    #[must_use]
    pub fn chance_in(&self, low: f64, high: f64) -> f64 {
        normal_chance_between(low, high, self.brace, self.brace_sd)
    }
}

/// What a string of another length does on the bow. Method M19.
///
/// sd_dL² = (sd_h/S)² + (dL s_K)² + tolerance². `string_change` is the change that will
/// really be built (rounded). `None` if the bow would not brace with it.
#[must_use]
pub fn new_string(
    (brace, brace_sd): (f64, f64),
    constant: f64,
    constant_log_sd: f64,
    string_change: f64,
    build_tolerance: f64,
) -> Option<NewString> {
    let after = brace_after(brace, constant, string_change)?;
    let per_inch = constant / brace;
    let length_sd = (brace_sd / per_inch).hypot(string_change * constant_log_sd).hypot(build_tolerance);
    Some(NewString { string_change, length_sd, brace: after, brace_sd: constant / after * length_sd })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mechanics::bow::{BowKind, constant_from_kind};
    use crate::mechanics::twist::{Construction, Yarn};

    fn chain(
        kind: BowKind,
        marked: f64,
        yarn: Yarn,
        strands: u32,
        plies: u32,
        turns: (f64, f64),
        brace: f64,
    ) -> Chain {
        let length = marked - 3.0;
        let constant = constant_from_kind(kind, length);
        let body = TwistBody::from_build(Construction { yarn, strands, plies }, length).unwrap();
        Chain::new(brace, 0.0625, constant.value, body, turns, Chain::table_prior(&constant, &body))
    }

    fn window(chain: &Chain) -> TurnWindow {
        TurnWindow::from_helix(&chain.body, 9.0, 20.0)
    }

    #[test]
    fn the_worked_cases_of_the_method_come_out() {
        // Worked cases (own computation, 200 000 draws each): docs/methods.md, M17.
        // (kind, marked, yarn, strands, plies, turns, brace, wanted, turns advised, after, sd, chance)
        let cases = [
            (BowKind::Recurve, 62.0, Yarn::Hmpe, 16, 2, (24.0, 1.0), 7.25, 7.75, 11.0, 7.74, 0.135, 0.935),
            (
                BowKind::Longbow,
                66.0,
                Yarn::Polyester,
                14,
                2,
                (25.0, 8.0),
                6.125,
                6.625,
                10.0,
                6.60,
                0.171,
                0.851,
            ),
            (BowKind::Selfbow, 66.0, Yarn::Linen, 12, 3, (58.0, 2.0), 6.25, 5.875, -8.0, 5.875, 0.109, 0.978),
            // The table rounds the exact 9.66 to 10 with a chance of 0.875; one turn less lands
            // 0.05 in lower with less spread, which is the better chance.
            (
                BowKind::ReflexDeflex,
                66.0,
                Yarn::Polyester,
                14,
                2,
                (30.0, 1.0),
                6.875,
                7.5,
                9.0,
                7.453,
                0.147,
                0.895,
            ),
            (BowKind::Recurve, 62.0, Yarn::Hmpe, 16, 2, (24.0, 1.0), 6.875, 7.5, 13.0, 7.50, 0.164, 0.872),
        ];
        for (kind, marked, yarn, strands, plies, turns, brace, wanted, advised, after, sd, chance) in cases {
            let chain = chain(kind, marked, yarn, strands, plies, turns, brace);
            let plan = chain.plan(wanted - 0.25, wanted + 0.25, window(&chain));
            let step = plan.step.unwrap();
            assert!((step.turns - advised).abs() < 0.01, "{kind:?}: {step:?}");
            assert!((step.brace - after).abs() < 0.006, "{kind:?}: {step:?}");
            assert!((step.sd / sd - 1.0).abs() < 0.03, "{kind:?}: {step:?}");
            assert!((plan.chance - chance).abs() < 0.011, "{kind:?}: {}", plan.chance);
            assert!(!plan.limited);
        }
    }

    #[test]
    fn a_need_beyond_the_window_stops_at_its_limit() {
        let recurve = chain(BowKind::Recurve, 58.0, Yarn::Hmpe, 16, 2, (30.0, 1.0), 6.75);
        let plan = recurve.plan(8.0, 8.5, window(&recurve));
        assert!(plan.limited && plan.exact.unwrap() > 22.0);
        let step = plan.step.unwrap();
        assert!((step.turns - 15.0).abs() < 0.01 && (step.brace - 7.67).abs() < 0.006, "{step:?}");
        let longbow = chain(BowKind::Longbow, 68.0, Yarn::Polyester, 12, 2, (34.0, 1.0), 7.25);
        let plan = longbow.plan(6.25, 6.75, window(&longbow));
        assert_eq!(plan.exact, None);
        assert!((plan.step.unwrap().turns + 8.0).abs() < 0.01);
    }

    #[test]
    fn a_second_reading_moves_height_and_ratio_together() {
        // Worked example: docs/methods.md, M18: height 6.388 ± 0.056, ratio 0.87 ± 0.22,
        // correlation 0.62, then 5 more turns to 6.62 ± 0.10.
        let mut longbow = chain(BowKind::Longbow, 66.0, Yarn::Polyester, 14, 2, (25.0, 8.0), 6.125);
        longbow.turns_sd = 8.0;
        let after = longbow.after_reading(7.0, 6.375, 0.0625, (0.0, 0.0)).unwrap();
        assert!((after.brace - 6.388).abs() < 0.002, "{after:?}");
        assert!((after.brace_sd() - 0.056).abs() < 0.001);
        assert!((after.ratio - 0.87).abs() < 0.01 && (after.ratio_sd() - 0.22).abs() < 0.005);
        let correlation = after.covariance[0][1] / (after.brace_sd() * after.ratio_sd());
        assert!((correlation - 0.62).abs() < 0.01, "{correlation}");
        let next = after.forecast(5.0).unwrap();
        assert!((next.brace - 6.62).abs() < 0.01 && (next.sd - 0.10).abs() < 0.005, "{next:?}");
    }

    #[test]
    fn a_reading_that_went_the_wrong_way_teaches_nothing() {
        let recurve = chain(BowKind::Recurve, 62.0, Yarn::Hmpe, 16, 2, (24.0, 1.0), 7.25);
        let fault = recurve.after_reading(11.0, 6.75, 0.0625, (0.0, 0.0)).unwrap_err();
        assert!(fault.expected > 7.7 && fault.read < 6.8);
    }

    #[test]
    fn a_repeated_reading_without_turns_sharpens_the_height_alone() {
        let recurve = chain(BowKind::Recurve, 62.0, Yarn::Hmpe, 16, 2, (24.0, 1.0), 7.25);
        let again = recurve.after_reading(0.0, 7.3125, 0.0625, (0.0, 0.0)).unwrap();
        assert!((again.brace - 7.28125).abs() < 1e-9 && again.brace_sd() < recurve.brace_sd());
        assert!((again.ratio_sd() - recurve.ratio_sd()).abs() < 1e-12);
        assert!((again.turns_sd - 1.0).abs() < 1e-12);
    }

    #[test]
    fn three_readings_after_a_step_say_the_same_one_by_one_or_as_a_mean() {
        // One reading and then two more, or the mean of the three at once: the same is known.
        let recurve = chain(BowKind::Recurve, 62.0, Yarn::Hmpe, 16, 2, (24.0, 1.0), 7.25);
        let sd = 0.0625;
        let mut one_by_one = recurve.after_reading(11.0, 7.75, sd, (0.0, 0.0)).unwrap();
        for read in [7.8125, 7.6875] {
            one_by_one = one_by_one.after_reading(0.0, read, sd, (0.0, 0.0)).unwrap();
        }
        let at_once = recurve.after_reading(11.0, 7.75, sd / 3.0_f64.sqrt(), (0.0, 0.0)).unwrap();
        assert!((one_by_one.brace - at_once.brace).abs() < 1e-12);
        assert!((one_by_one.ratio - at_once.ratio).abs() < 1e-12);
        for (row, other) in one_by_one.covariance.iter().zip(at_once.covariance) {
            for (entry, same) in row.iter().zip(other) {
                assert!((entry - same).abs() < 1e-12, "{one_by_one:?} {at_once:?}");
            }
        }
    }

    #[test]
    fn two_steps_without_a_reading_between_come_out_as_one() {
        let recurve = chain(BowKind::Recurve, 62.0, Yarn::Hmpe, 16, 2, (24.0, 0.0), 7.25);
        let whole = recurve.forecast(11.0).unwrap();
        let parts = recurve.foreseen(6.0).unwrap().forecast(5.0).unwrap();
        assert!((parts.brace - whole.brace).abs() < 1e-12 && (parts.sd - whole.sd).abs() < 1e-12);
    }

    #[test]
    fn three_readings_halve_the_doubt_and_more_do_not() {
        assert!((reading_sd(0.0625, 3) - 0.03125).abs() < 1e-12);
        assert!((reading_sd(0.0625, 30) - 0.03125).abs() < 1e-12);
    }
}
