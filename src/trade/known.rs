//! What is known of one string on one bow, after every reading.

use serde::{Deserialize, Serialize};

use super::ranges::{Wanted, wanted};
use super::records::{BowProfile, Measurements, Report, SoldString};
use super::rules::Rules;
use super::slips::{AMO_DIFFERENCE, Slip, string_length_slip};
use super::words::{Across, LengthAt, Marker, Photo};
use crate::mechanics::bow::{BowConstant, BowKind, brace_after, constant_from_fades, constant_from_kind};
use crate::mechanics::estimate::{Chain, Contradiction, reading_sd};
use crate::mechanics::learning::{EffectReading, Pool, PooledPrior};
use crate::mechanics::settling::{GrowthReading, Settling, growth_between};
use crate::mechanics::stretch::loaded_from_hand_tight;
use crate::mechanics::twist::{TurnWindow, TurnsKnown, TwistBody, turns_from_count, turns_sd, usual_turns};

/// Outside of a loop beyond its inside, both ends together, inches (own arithmetic: one loop
/// thickness of about 0.1 in at each end).
pub const LOOP_THICKNESS: f64 = 0.2;

/// A string, its bow and the rules they are judged by.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// The string.
    pub string: &'a SoldString,
    /// The bow.
    pub bow: &'a BowProfile,
    /// The workshop's rules.
    pub rules: &'a Rules,
    /// Effective twist radius from the workshop's bench test of this construction, inches.
    pub bench_radius: Option<f64>,
}

/// Turns with their doubt and how they are known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TurnsIn {
    /// Full turns.
    pub turns: f64,
    /// Standard deviation.
    pub sd: f64,
    /// How they are known.
    pub known: TurnsKnown,
}

/// What the build alone says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Build {
    /// Loaded length as built, outside of the loops, inches.
    pub length: f64,
    /// Its sd, inches.
    pub length_sd: f64,
    /// The body that takes the turns.
    pub body: TwistBody,
    /// Turns it may have.
    pub window: TurnWindow,
    /// The workshop's usual turns for this construction and length.
    pub usual: i32,
    /// Turns when it left the workshop.
    pub turns: TurnsIn,
}

/// Loaded length, outside of the loops, of a length that was measured some other way; with sd, inches.
#[must_use]
pub fn loaded_length(length: f64, at: LengthAt, across: Across, string: &SoldString) -> (f64, f64) {
    let (loaded, sd) = match at {
        LengthAt::HandTight => loaded_from_hand_tight(length, string.yarn),
        LengthAt::Loaded => (length, 0.0),
        LengthAt::Unknown => (length, loaded_from_hand_tight(length, string.yarn).0 - length),
    };
    (loaded + if across == Across::Inside { LOOP_THICKNESS } else { 0.0 }, sd)
}

impl Subject<'_> {
    /// The bow's marked length, or the nearest thing to it, inches.
    #[must_use]
    pub fn marked_length(&self) -> Option<f64> {
        self.bow
            .marked_length
            .map(crate::quantity::Length::inches)
            .or_else(|| (self.bow.kind != BowKind::Horsebow).then(|| self.build_length().0 + AMO_DIFFERENCE))
    }

    fn build_length(&self) -> (f64, f64) {
        match self.string.built {
            Some(built) => {
                loaded_length(built.inches(), self.string.built_at, self.string.built_across, self.string)
            }
            None => (self.string.ordered.inches(), self.rules.build_tolerance),
        }
    }

    /// The body of a string of this construction and a length, with its window and usual turns.
    #[must_use]
    pub fn body(&self, length: f64) -> Option<(TwistBody, TurnWindow, i32)> {
        let construction = self.string.construction();
        let body = match self.bench_radius.or_else(|| self.rules.bench_radius(construction)) {
            Some(radius) => TwistBody::from_radius(radius, length)?,
            None => {
                let mut body = TwistBody::from_build(construction, length)?;
                if self.string.strands.is_none() {
                    // Half the strand counts sold lie within two strands of the usual one.
                    body.string_factor_log_sd = body.string_factor_log_sd.hypot(0.15);
                }
                body
            }
        };
        let (low, high) = self.rules.window_degrees;
        let window = TurnWindow::from_helix(&body, low, high);
        let usual = match self.rules.turns_per_inch(construction) {
            Some(per_inch) => {
                ((per_inch * body.twistable_length).round() as i32).clamp(window.min, window.max)
            }
            None => usual_turns(&body, window, self.rules.let_out),
        };
        Some((body, window, usual))
    }

    /// What the build says; `None` for a string too short to have a body.
    #[must_use]
    pub fn build(&self) -> Option<Build> {
        let (length, length_sd) = self.build_length();
        let (body, window, usual) = self.body(length)?;
        let turns = match self.string.turns {
            Some(turns) => TurnsIn {
                turns: turns.value(),
                sd: turns_sd(TurnsKnown::Shipped, turns.value()),
                known: TurnsKnown::Shipped,
            },
            None => TurnsIn {
                turns: f64::from(usual),
                sd: turns_sd(TurnsKnown::Guessed, f64::from(usual)),
                known: TurnsKnown::Guessed,
            },
        };
        let window = window.narrowed(&body, turns.turns, self.rules.play_shorten, self.rules.play_lengthen);
        Some(Build { length, length_sd, body, window, usual, turns })
    }
}

/// A reading that cannot be right beside the others.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum Doubt {
    /// The brace height did not do what the turns should have done.
    Contradicts {
        /// Turns put in meanwhile.
        turns: f64,
        /// Brace height before, inches.
        before: f64,
        /// What was expected and read.
        found: Contradiction,
    },
    /// More turns were taken out than there were in.
    MoreOutThanIn {
        /// Turns that were in.
        had: f64,
        /// Turns said to be taken out, all told.
        out: f64,
    },
}

/// Everything known of a string on its bow.
#[derive(Debug, Clone, PartialEq)]
pub struct Known {
    /// The build.
    pub build: Build,
    /// Bow constant at ratio 1.
    pub constant: BowConstant,
    /// Prior of the effect of turns.
    pub prior: PooledPrior,
    /// Turns put in since it left the workshop.
    pub turns_changed: f64,
    /// Turns in now.
    pub turns_now: TurnsIn,
    /// State after the last brace reading.
    pub chain: Option<Chain>,
    /// Last brace height as read, inches, and how many readings it is the mean of.
    pub brace_read: Option<(f64, u32)>,
    /// Brace readings after turns from which something was learned.
    pub learned_from: u32,
    /// A reading in doubt.
    pub doubt: Option<Doubt>,
    /// Wanted range.
    pub wanted: Option<Wanted>,
    /// Last word on the marker.
    pub marker: Marker,
    /// Last serving position, inches.
    pub serving: Option<f64>,
    /// Last count of shots.
    pub shots: Option<u32>,
    /// Last finding on a photo.
    pub photo: Option<Photo>,
    /// Last length measured off the bow: inches, how.
    pub measured: Option<(f64, LengthAt)>,
    /// Slips recognised.
    pub slips: Vec<Slip>,
    /// Brace readings in the current report.
    pub brace_readings: u32,
}

/// The count on the body, and whether crossings were counted.
fn counted_turns(measured: &Measurements, build: &Build, expected: TurnsIn) -> Option<(f64, bool)> {
    let over = measured.counted_over?.inches();
    let count = turns_from_count(measured.turns_counted?.value(), over, &build.body);
    let doubled = match expected.known {
        TurnsKnown::Guessed => count > 1.5 * f64::from(build.window.max),
        _ => (1.7..=2.3).contains(&(count / expected.turns.max(1.0))) && count > f64::from(build.window.max),
    };
    Some(if doubled { (count / 2.0, true) } else { (count, false) })
}

fn combine(known: TurnsIn, count: f64) -> TurnsIn {
    let sd = turns_sd(TurnsKnown::Counted, count).max(0.5);
    if known.known == TurnsKnown::Guessed {
        return TurnsIn { turns: count, sd, known: TurnsKnown::Counted };
    }
    let (a, b) = (1.0 / (known.sd * known.sd), 1.0 / (sd * sd));
    TurnsIn {
        turns: (known.turns * a + count * b) / (a + b),
        sd: (a + b).recip().sqrt(),
        known: TurnsKnown::Counted,
    }
}

/// Folds all readings of all reports of a string, oldest first, into what is known now.
///
/// `None` for a string too short to have a body.
#[must_use]
pub fn known(subject: Subject<'_>, reports: &[Report], pool: &Pool, settling: &Settling) -> Option<Known> {
    let mut build = subject.build()?;
    let readings = || {
        reports
            .iter()
            .flat_map(|report| report.readings.iter().enumerate())
            .map(|(place, reading)| (place, &reading.measurements))
    };
    let mut slips = Vec::new();

    // Counts on the body and fade measures hold for the whole history, whenever they came.
    let (mut changed, mut turns_in) = (0.0, build.turns);
    let mut wish = None;
    let mut fades = None;
    for (place, measured) in readings() {
        changed = total_change(place, measured, changed);
        wish = measured.want.or(wish);
        if let (Some(measures), Some(brace)) = (measured.fades, measured.brace) {
            fades = Some((measures, brace.inches()));
        } else if let Some(measures) = measured.fades {
            let near = readings().filter_map(|(_, m)| m.brace).next_back();
            fades = near.map(|brace| (measures, brace.inches())).or(fades);
        }
        if let Some((count, crossings)) =
            counted_turns(measured, &build, TurnsIn { turns: turns_in.turns + changed, ..turns_in })
        {
            if crossings {
                slips.push(Slip::CrossingsForTurns);
            }
            turns_in = combine(turns_in, count - changed);
        }
    }
    build.turns = turns_in;
    let kind = subject.bow.kind;
    let constant = fades
        .and_then(|(measures, brace)| constant_from_fades(kind, &measures, brace))
        .unwrap_or_else(|| constant_from_kind(kind, build.length));
    let prior = pool.prior(kind, subject.string.construction(), &constant, &build.body);

    let mut known = Known {
        build,
        constant,
        prior,
        turns_changed: 0.0,
        turns_now: turns_in,
        chain: None,
        brace_read: None,
        learned_from: 0,
        doubt: None,
        wanted: wanted(subject.bow, wish, subject.marked_length(), subject.rules),
        marker: Marker::Unknown,
        serving: None,
        shots: None,
        photo: None,
        measured: None,
        slips,
        brace_readings: 0,
    };
    let mut shots_before = None;
    for (place, measured) in readings() {
        if place == 0 {
            known.brace_readings = 0;
        }
        known.marker = measured.marker.filter(|m| *m != Marker::Unknown).unwrap_or(known.marker);
        known.serving = measured.serving.map(crate::quantity::Length::inches).or(known.serving);
        known.photo = measured.photo.or(known.photo);
        known.measured = measured
            .length
            .map(|length| (length.inches(), measured.length_at.unwrap_or(LengthAt::HandTight)))
            .or(known.measured);
        let before = known.turns_changed;
        known.turns_changed = total_change(place, measured, before);
        known.shots = measured.shots.or(known.shots);
        if turns_in.known != TurnsKnown::Guessed && turns_in.turns + known.turns_changed < 0.0 {
            known.doubt = Some(Doubt::MoreOutThanIn { had: turns_in.turns, out: -known.turns_changed });
        }
        if let Some(brace) = measured.brace {
            let read = (brace.inches(), measured.readings.unwrap_or(1));
            known.take_brace(read, place == 0, subject, settling, (shots_before, measured.shots));
            shots_before = measured.shots.or(shots_before);
        }
    }
    known.turns_now = TurnsIn { turns: turns_in.turns + known.turns_changed, ..turns_in };
    if let Some((length, at)) = known.measured {
        let now = known.build.length
            - known.build.body.string_change(turns_in.turns, known.turns_now.turns.max(0.0));
        known.slips.extend(string_length_slip(length, at == LengthAt::Loaded, subject.string.yarn, now));
    }
    Some(known)
}

/// Turns since the workshop: a report's first reading counts from there, later ones from the last.
fn total_change(place: usize, measured: &Measurements, before: f64) -> f64 {
    match measured.turns_changed {
        Some(turns) if place == 0 => turns.value(),
        Some(turns) => before + turns.value(),
        None => before,
    }
}

impl Known {
    fn take_brace(
        &mut self,
        (brace, readings): (f64, u32),
        first_of_report: bool,
        subject: Subject<'_>,
        settling: &Settling,
        shots: (Option<u32>, Option<u32>),
    ) {
        let sd = reading_sd(subject.rules.reading_sd, readings);
        let turns = (self.build.turns.turns + self.turns_changed).max(0.0);
        self.brace_read = Some((brace, readings));
        self.brace_readings += 1;
        let fresh = |ratio: (f64, f64), doubt: f64| {
            Chain::new(brace, sd, self.constant.value, self.build.body, (turns, doubt), ratio)
        };
        let Some(before) = self.chain else {
            self.chain = Some(fresh((self.prior.ratio, self.prior.sd), self.build.turns.sd));
            return;
        };
        if first_of_report {
            // Months may lie between: what was learned of the effect stays, the height is new.
            self.chain = Some(fresh((before.ratio, before.ratio_sd()), before.turns_sd));
            self.doubt = None;
            return;
        }
        let drop = match shots {
            (Some(from), Some(to)) if to > from => {
                let (growth, spread) = growth_between(
                    settling,
                    f64::from(from),
                    f64::from(to),
                    f64::from(subject.rules.settle_shots),
                    subject.string.yarn,
                );
                let per_inch = self.constant.value / before.brace * settling_factor(subject.string);
                (growth * per_inch, spread * per_inch)
            }
            _ => (0.0, 0.0),
        };
        let step = turns - before.turns;
        match before.after_reading(step, brace, sd, drop) {
            Ok(after) => {
                // A reading that repeats a doubted one without turns confirms it.
                if step.abs() < 0.5 || self.doubt.is_none() {
                    self.doubt = None;
                }
                if step.abs() >= 0.5 {
                    self.learned_from += 1;
                }
                self.chain = Some(after);
            }
            Err(found) => {
                self.doubt = Some(Doubt::Contradicts { turns: step, before: before.brace, found });
                // Start again from the new reading; which turns are in is no longer sure.
                let doubt = turns_sd(TurnsKnown::Guessed, turns);
                self.chain = Some(fresh((self.prior.ratio, self.prior.sd), doubt));
            }
        }
    }

    /// Share of what was learned of the effect that belongs to the bow (method M18).
    #[must_use]
    pub fn bow_share(&self) -> f64 {
        let bow = self.constant.log_sd * self.constant.log_sd;
        let string = self.build.body.string_factor_log_sd * self.build.body.string_factor_log_sd;
        bow / (bow + string)
    }

    /// Bow constant with what was learned of this bow, and the sd of its ln.
    #[must_use]
    pub fn learned_constant(&self) -> (f64, f64) {
        let share = self.bow_share();
        let (ratio, sd) = self.chain.map_or((self.prior.ratio, self.prior.sd), |c| (c.ratio, c.ratio_sd()));
        let narrowed = (sd / self.prior.sd.max(1e-9)).min(1.0);
        (self.constant.value * ratio.powf(share), self.constant.log_sd * narrowed)
    }

    /// String shortening by the turns since it left the workshop, inches.
    #[must_use]
    pub fn shortened_by_turns(&self) -> f64 {
        let ratio = self.chain.map_or(self.prior.ratio, |chain| chain.ratio);
        ratio.powf(1.0 - self.bow_share())
            * self.build.body.string_change(self.build.turns.turns, self.turns_now.turns.max(0.0))
    }

    /// Loaded length that a new string needs for a brace height, with the change against the
    /// present state of the string, inches. Method M19.
    #[must_use]
    pub fn right_length(&self, brace: f64, wanted: f64) -> (f64, f64) {
        let (constant, _) = self.learned_constant();
        let change = crate::mechanics::bow::string_change_for(brace, wanted, constant);
        (self.build.length - self.shortened_by_turns() - change, change)
    }
}

/// What a report's readings say about the effect of turns, for the pool: first brace reading
/// against the last, with the turns between. Method M21.
#[must_use]
pub fn effect_reading(subject: Subject<'_>, report: &Report) -> Option<EffectReading> {
    let nothing = Pool::from_readings(&[]);
    let settling = Settling { expected: 0.0, sd: 0.0, readings: 0 };
    let last = report.readings.iter().rposition(|reading| reading.measurements.brace.is_some())?;
    let first = report.readings.iter().position(|reading| reading.measurements.brace.is_some())?;
    if first == last {
        return None;
    }
    let upto = |end: usize| {
        let part = Report { readings: report.readings[..=end].to_vec(), ..report.clone() };
        known(subject, &[part], &nothing, &settling)
    };
    let (start, end) = (upto(first)?, upto(last)?);
    let turns = end.turns_changed - start.turns_changed;
    if turns.abs() < 0.5 {
        return None;
    }
    let (before, before_readings) = start.brace_read?;
    let (after, after_readings) = end.brace_read?;
    let from = (end.build.turns.turns + start.turns_changed).max(0.0);
    let change = end.build.body.string_change(from, (from + turns).max(0.0));
    let at_one = brace_after(before, end.constant.value, change)?;
    Some(EffectReading {
        label: report.id(),
        kind: subject.bow.kind,
        construction: subject.string.construction(),
        bow_measured: end.constant.measured,
        from_bench: end.build.body.from_bench,
        log_sds: (end.constant.log_sd, end.build.body.string_factor_log_sd),
        predicted: at_one - before,
        observed: after - before,
        observed_sd: reading_sd(subject.rules.reading_sd, before_readings)
            .hypot(reading_sd(subject.rules.reading_sd, after_readings)),
        turns_share: end.build.turns.sd / (from + turns / 2.0).abs().max(1.0),
    })
}

/// What a report's readings say about settling: neighbouring brace readings without turns
/// between, both with their shots. Method M20.
#[must_use]
pub fn growth_readings(subject: Subject<'_>, report: &Report) -> Vec<GrowthReading> {
    let Some(build) = subject.build() else { return Vec::new() };
    let constant = constant_from_kind(subject.bow.kind, build.length).value;
    let with_brace: Vec<&Measurements> = report
        .readings
        .iter()
        .map(|reading| &reading.measurements)
        .filter(|measured| measured.brace.is_some())
        .collect();
    with_brace
        .windows(2)
        .filter_map(|pair| {
            let (first, second) = (pair[0], pair[1]);
            let (before, after) = (first.brace?.inches(), second.brace?.inches());
            let (from, to) = (f64::from(first.shots?), f64::from(second.shots?));
            if second.turns_changed.is_some_and(|turns| turns.value().abs() >= 0.5) || to <= from {
                return None;
            }
            let sd = reading_sd(subject.rules.reading_sd, first.readings.unwrap_or(1))
                .hypot(reading_sd(subject.rules.reading_sd, second.readings.unwrap_or(1)));
            Some(GrowthReading {
                shots: (from, to),
                growth: (before * before - after * after) / (2.0 * constant),
                sd: sd * before / constant,
                factor: settling_factor(subject.string),
            })
        })
        .collect()
}

/// Strings that were not pre-stretched settle by twice as much (judgement). Where nothing is
/// recorded the workshop's habit, pre-stretched, is taken.
#[must_use]
pub fn settling_factor(string: &SoldString) -> f64 {
    if string.pre_stretched == Some(false) { 2.0 } else { 1.0 }
}
