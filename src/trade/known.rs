//! What is known of one string on one bow, after every reading.

use serde::{Deserialize, Serialize};

use super::build::{BowEffect, Build, LengthFrom, Subject, TurnsIn};
use super::ranges::{Wanted, wanted};
use super::records::{Measurements, Report, SoldString};
use super::rules::Rules;
use super::slips::{Slip, brace_slip, string_length_slip};
use super::words::{LengthAt, Marker, Photo, ReadBy};
use crate::mechanics::bow::{
    BowConstant, BowKind, FadeMeasures, brace_after, constant_from_fades, constant_from_kind,
};
use crate::mechanics::estimate::{Chain, Contradiction, bow_share, reading_sd};
use crate::mechanics::learning::{EffectReading, Pool, PooledPrior};
use crate::mechanics::settling::{GrowthReading, Settling, growth_between};
use crate::mechanics::twist::{TurnsKnown, turns_from_count, turns_sd};

/// Turns that seem to do more than so many times what is expected of them say nothing of a string:
/// a height was misread (judgement, no source). Method V08.
const FAR_TOO_MUCH: f64 = 4.0;

/// Doubt of a brace height as it was taken, inches. Readings by paper strip share the strip, so more of
/// them gain nothing. Methods M22, V41.
fn brace_sd(rules: &Rules, measured: &Measurements) -> f64 {
    match measured.read_by {
        Some(ReadBy::Strip) => rules.strip_sd.max(rules.reading_sd),
        Some(ReadBy::Ruler) | None => reading_sd(rules.reading_sd, measured.readings.unwrap_or(1)),
    }
}

/// A reading that cannot be right beside the others. Method V08.
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
    /// Turns did about half of what they should: crossings may have been counted as turns.
    HalfEffect {
        /// True over predicted effect.
        ratio: f64,
        /// Its sd.
        sd: f64,
    },
    /// Two brace heights without turns between differ by more than reading explains.
    Remeasured {
        /// The earlier one, inches.
        before: f64,
        /// The later one, inches.
        now: f64,
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
    /// sd of that reading, inches.
    pub brace_read_sd: f64,
    /// It was read by paper strip.
    pub by_strip: bool,
    /// Turns put in since that brace height was read; the state is then a foreseen one.
    pub turned_since: Option<f64>,
    /// Brace readings after turns from which something was learned.
    pub learned_from: u32,
    /// A reading in doubt.
    pub doubt: Option<Doubt>,
    /// That reading in doubt was asked about, and the archer has measured again since.
    pub doubt_answered: bool,
    /// The archer measured again in this report without having turned: what was asked for is answered
    /// as far as it will be.
    pub answered: bool,
    /// A count on the body that disagrees with the record: record with changes, and count.
    pub count_against_record: Option<(f64, f64)>,
    /// An archer's loaded length that was taken instead of the record: inches.
    pub length_measured: Option<f64>,
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

/// The count on the body, and whether crossings were counted. Method V07.
fn counted_turns(measured: &Measurements, build: &Build, expected: TurnsIn) -> Option<(f64, bool)> {
    let over = measured.counted_over?.inches();
    let count = turns_from_count(measured.turns_counted?.value(), over, &build.body);
    let doubled = match expected.known {
        TurnsKnown::Guessed => count > 1.5 * f64::from(build.window.max),
        _ => (1.7..=2.3).contains(&(count / expected.turns.max(1.0))) && count > f64::from(build.window.max),
    };
    Some(if doubled { (count / 2.0, true) } else { (count, false) })
}

/// A count and what was known before, by their doubts; `None` where they disagree. Method V07.
fn combine(known: TurnsIn, count: f64) -> Option<TurnsIn> {
    let sd = count_sd(count);
    if known.known == TurnsKnown::Guessed {
        return Some(TurnsIn { turns: count, sd, known: TurnsKnown::Counted });
    }
    // Figures many standard deviations apart are not averaged.
    if (known.turns - count).abs() > 3.0 * sd.hypot(known.sd) {
        return None;
    }
    let (a, b) = (1.0 / (known.sd * known.sd), 1.0 / (sd * sd));
    Some(TurnsIn {
        turns: (known.turns * a + count * b) / (a + b),
        sd: (a + b).recip().sqrt(),
        known: TurnsKnown::Counted,
    })
}

fn count_sd(count: f64) -> f64 {
    turns_sd(TurnsKnown::Counted, count).max(0.5)
}

/// What counts on the body and fade measures say; they hold for the whole history, whenever
/// they came.
struct Standing {
    turns_in: TurnsIn,
    /// Counts that disagree with record and changes: place in the history, expected, counted.
    disagreeing: Vec<(usize, f64, f64)>,
    crossings: bool,
    wish: Option<crate::quantity::LengthRange>,
    fades: Option<(FadeMeasures, f64)>,
}

fn standing_measures(readings: &[(usize, &Measurements)], build: &Build) -> Standing {
    let mut standing = Standing {
        turns_in: build.turns,
        disagreeing: Vec::new(),
        crossings: false,
        wish: None,
        fades: None,
    };
    let mut changed = 0.0;
    let mut brace_then = None;
    for (index, (place, measured)) in readings.iter().enumerate() {
        changed = total_change(*place, measured, changed);
        standing.wish = measured.want.or(standing.wish);
        brace_then = measured.brace.or(brace_then);
        if let Some(measures) = measured.fades {
            // They belong to the brace height at which they were taken: that read with them, else the
            // one before, else the first that follows.
            let later = || readings[index..].iter().find_map(|(_, measured)| measured.brace);
            standing.fades = brace_then.or_else(later).map(|brace| (measures, brace.inches()));
        }
        let expected = TurnsIn { turns: standing.turns_in.turns + changed, ..standing.turns_in };
        let Some((count, crossings)) = counted_turns(measured, build, expected) else { continue };
        standing.crossings |= crossings;
        match combine(expected, count) {
            Some(now) => standing.turns_in = TurnsIn { turns: now.turns - changed, ..now },
            None => standing.disagreeing.push((index, expected.turns, count)),
        }
    }
    standing
}

/// Folds all readings of all reports of a string, oldest first, into what is known now.
///
/// `None` for a string too short to have a body.
#[must_use]
pub fn known(subject: Subject<'_>, reports: &[Report], pool: &Pool, settling: &Settling) -> Option<Known> {
    let readings: Vec<(usize, &Measurements)> = reports
        .iter()
        .flat_map(|report| report.readings.iter().enumerate())
        .map(|(place, reading)| (place, &reading.measurements))
        .collect();
    let measured = readings.iter().rev().find_map(|(_, measured)| measured.length_off_the_bow());
    let mut build = subject.build_beside(measured)?;
    let standing = standing_measures(&readings, &build);
    build.turns = standing.turns_in;
    let kind = subject.bow.kind;
    let constant = standing
        .fades
        .and_then(|(measures, brace)| constant_from_fades(kind, &measures, brace))
        .unwrap_or_else(|| {
            let mut tabled = constant_from_kind(kind, build.length);
            if build.length_from != LengthFrom::Record {
                tabled.log_sd = tabled.log_sd.hypot(build.length_sd / build.length);
            }
            match subject.bow_effect {
                Some(BowEffect { ratio, log_sd }) => {
                    BowConstant { value: tabled.value * ratio, log_sd, measured: true }
                }
                None => tabled,
            }
        });
    let prior = pool.prior(kind, subject.string.construction(), &constant, &build.body);
    let mut known = Known {
        build,
        constant,
        prior,
        turns_changed: 0.0,
        turns_now: standing.turns_in,
        chain: None,
        brace_read: None,
        brace_read_sd: subject.rules.reading_sd,
        by_strip: false,
        turned_since: None,
        learned_from: 0,
        doubt: None,
        doubt_answered: false,
        answered: false,
        count_against_record: None,
        length_measured: None,
        wanted: wanted(subject.bow, standing.wish, subject.marked_length_beside(measured), subject.rules),
        marker: Marker::Unknown,
        serving: None,
        shots: None,
        photo: None,
        measured: None,
        slips: if standing.crossings { vec![Slip::CrossingsForTurns] } else { Vec::new() },
        brace_readings: 0,
    };
    let mut history = History { turned_round: false, shots: None };
    for (index, (place, measured)) in readings.iter().enumerate() {
        let disagreeing = standing.disagreeing.iter().find(|(at, ..)| *at == index);
        known.take(
            *place,
            measured,
            disagreeing.map(|(_, record, count)| (*record, *count)),
            &mut history,
            subject,
            settling,
        );
    }
    known.foresee();
    known.take_length(subject);
    Some(known)
}

/// What has to be remembered from one reading to the next.
struct History {
    /// The string was turned end for end since the last brace reading.
    turned_round: bool,
    /// Shots at the last brace reading.
    shots: Option<u32>,
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
    /// Takes one reading in.
    fn take(
        &mut self,
        place: usize,
        measured: &Measurements,
        disagreeing: Option<(f64, f64)>,
        history: &mut History,
        subject: Subject<'_>,
        settling: &Settling,
    ) {
        if place == 0 {
            self.brace_readings = 0;
        }
        let turned = measured.is_turned();
        let anything = measured.brace.is_some()
            || measured.turns_counted.is_some()
            || measured.fades.is_some()
            || measured.length.is_some();
        self.answered = !turned && (self.answered && place > 0 || anything && self.brace_readings > 0);
        let doubt_before = self.doubt;
        let marker = measured.marker.filter(|marker| *marker != Marker::Unknown).unwrap_or(self.marker);
        history.turned_round |= self.marker == Marker::Down && marker == Marker::Up;
        self.marker = marker;
        self.serving = measured.serving.map(crate::quantity::Length::inches).or(self.serving);
        self.photo = measured.photo.or(self.photo);
        self.measured = measured.length_off_the_bow().or(self.measured);
        self.shots = measured.shots.or(self.shots);
        let before = self.turns_changed;
        self.turns_changed = total_change(place, measured, before);
        self.turns_now.turns += self.turns_changed - before;
        if self.turns_now.known != TurnsKnown::Guessed && self.turns_now.turns < -0.5 {
            let had = self.build.turns.turns;
            self.doubt = Some(Doubt::MoreOutThanIn { had, out: -self.turns_changed });
        }
        if let Some((record, count)) = disagreeing {
            // The string itself is believed before what was written or turned.
            self.count_against_record = Some((record, count));
            self.turns_now = TurnsIn { turns: count, sd: count_sd(count), known: TurnsKnown::Counted };
            self.doubt = None;
            self.chain = self.chain.map(|chain| {
                let prior = (self.prior.ratio, self.prior.sd);
                let state = (count, count_sd(count));
                Chain::new(chain.brace, chain.brace_sd(), self.constant.value, self.build.body, state, prior)
            });
            self.learned_from = 0;
        }
        if measured.turns_counted.is_some() && disagreeing.is_none() {
            // A count that agrees settles a doubt about the turns.
            self.doubt = self.doubt.filter(|doubt| matches!(doubt, Doubt::Remeasured { .. }));
        }
        if let Some(brace) = measured.brace {
            let read = (brace.inches(), measured.readings.unwrap_or(1));
            self.brace_read_sd = brace_sd(subject.rules, measured);
            self.by_strip = measured.read_by == Some(ReadBy::Strip);
            self.take_brace(read, place == 0, history, measured.shots, subject, settling);
            history.shots = measured.shots.or(history.shots);
            history.turned_round = false;
        }
        self.doubt_answered = !turned
            && doubt_before.is_some()
            && self.doubt == doubt_before
            && (anything || self.doubt_answered);
    }

    fn take_brace(
        &mut self,
        (brace, readings): (f64, u32),
        first_of_report: bool,
        history: &History,
        shots: Option<u32>,
        subject: Subject<'_>,
        settling: &Settling,
    ) {
        let sd = self.brace_read_sd;
        let turns = self.turns_now.turns.max(0.0);
        let before_read = self.brace_read.replace((brace, readings));
        self.brace_readings += 1;
        let fresh = |ratio: (f64, f64), doubt: f64| {
            Chain::new(brace, sd, self.constant.value, self.build.body, (turns, doubt), ratio)
        };
        let Some(before) = self.chain else {
            self.chain = Some(fresh((self.prior.ratio, self.prior.sd), self.turns_now.sd));
            return;
        };
        if first_of_report {
            // Months may lie between: what was learned of the effect stays, the height is new.
            self.chain = Some(fresh((before.ratio, before.ratio_sd()), before.turns_sd));
            self.doubt = None;
            return;
        }
        let drop = match (history.shots, shots) {
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
        let turned = step.abs() >= 0.5;
        match before.after_reading(step, brace, sd, drop) {
            Ok(after) => {
                if matches!(self.doubt, Some(Doubt::Remeasured { .. })) {
                    self.doubt = None;
                }
                if turned {
                    self.learned_from += 1;
                    let (ratio, sd) = (after.ratio, after.ratio_sd());
                    // Half the effect, surely: two plies show two crossings for each full turn.
                    if ratio + 1.5 * sd < 0.75 && self.turns_now.known != TurnsKnown::Counted {
                        self.doubt = Some(Doubt::HalfEffect { ratio, sd });
                    }
                }
                self.chain = Some(after);
            }
            Err(found) if turned => {
                self.doubt = Some(Doubt::Contradicts { turns: step, before: before.brace, found });
                let seen = (found.read - before.brace) / (found.expected - before.brace);
                let prior = if (1.0..=FAR_TOO_MUCH).contains(&seen) {
                    // Miscounted or not, what is told next will be done by the same count.
                    (before.ratio * seen, self.prior.sd * seen)
                } else {
                    // Start again from the new reading, with as many turns as the brace height shows: none
                    // where it did not move, out where it went the other way. It is no more than a guess.
                    let turns = (before.turns + step * seen.clamp(-1.0, 1.0)).max(0.0);
                    let sd = turns_sd(TurnsKnown::Guessed, turns);
                    self.turns_now = TurnsIn { turns, sd, known: TurnsKnown::Guessed };
                    (self.prior.ratio, self.prior.sd)
                };
                let (turns, sd) = (self.turns_now.turns.max(0.0), self.turns_now.sd);
                let read_sd = self.brace_read_sd;
                let (constant, body) = (self.constant.value, self.build.body);
                self.chain = Some(Chain::new(brace, read_sd, constant, body, (turns, sd), prior));
            }
            Err(_) => {
                // Nothing was turned, so the later reading stands; where nothing explains the
                // difference it is asked for once more.
                let slip = before_read
                    .zip(self.wanted)
                    .is_some_and(|((before, _), wanted)| brace_slip(before, wanted.middle()).is_some());
                if readings < 3 && !history.turned_round && !slip && self.doubt.is_none() {
                    self.doubt = Some(Doubt::Remeasured { before: before.brace, now: brace });
                }
                // What a misread height seemed to show of the turns goes with it.
                let ratio = match self.doubt {
                    Some(Doubt::Contradicts { .. }) => (self.prior.ratio, self.prior.sd),
                    _ => (before.ratio, before.ratio_sd()),
                };
                self.chain = Some(fresh(ratio, before.turns_sd));
            }
        }
    }

    /// Turns after the last brace height move the state to what is foreseen.
    fn foresee(&mut self) {
        let turns = self.turns_now.turns.max(0.0);
        let Some(chain) = self.chain.filter(|chain| (turns - chain.turns).abs() >= 0.5) else { return };
        self.turned_since = Some(turns - chain.turns);
        self.chain = Some(chain.foreseen(turns - chain.turns).unwrap_or(chain));
    }

    /// Compares a length measured off the bow with the record. One under the measuring load
    /// that differs beyond doubt, and by no known slip, is believed; so is any where none is on record.
    fn take_length(&mut self, subject: Subject<'_>) {
        let Some((length, at)) = self.measured.filter(|_| subject.bow.kind != BowKind::Horsebow) else {
            return;
        };
        match self.build.length_from {
            LengthFrom::Record => {}
            // It was measured as it is by now.
            LengthFrom::Measured => {
                self.build.length += self.shortened_by_turns();
                return;
            }
            LengthFrom::Bow | LengthFrom::Nothing => {
                self.slips.extend(subject.slip_by_the_bow((length, at)));
                return;
            }
        }
        let now = self.build.length - self.shortened_by_turns();
        let slip = string_length_slip(length, at == LengthAt::Loaded, subject.string.yarn, now);
        self.slips.extend(slip);
        let off = length - now;
        if at == LengthAt::Loaded && slip.is_none() && off.abs() > 0.25 {
            self.build.length += off;
            self.build.length_sd = self.build.length_sd.max(0.0625);
            self.length_measured = Some(length);
        }
    }

    /// Share of what was learned of the effect that belongs to the bow (method M18).
    #[must_use]
    pub fn bow_share(&self) -> f64 {
        bow_share(self.constant.log_sd, self.build.body.string_factor_log_sd)
    }

    /// Bow constant with what was learned of this bow, and the sd of its ln.
    #[must_use]
    pub fn learned_constant(&self) -> (f64, f64) {
        let share = self.bow_share();
        let (ratio, sd) = self.chain.map_or((self.prior.ratio, self.prior.sd), |c| (c.ratio, c.ratio_sd()));
        let narrowed = (sd / self.prior.sd.max(1e-9)).min(1.0);
        (self.constant.value * ratio.powf(share), self.constant.log_sd * narrowed)
    }

    /// What second readings showed of the bow itself, to carry over to another string on it.
    #[must_use]
    pub fn bow_effect(&self, kind: BowKind) -> Option<BowEffect> {
        let (constant, log_sd) = self.learned_constant();
        (self.learned_from > 0 && self.doubt.is_none()).then(|| BowEffect {
            ratio: constant / constant_from_kind(kind, self.build.length).value,
            log_sd,
        })
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
/// against the last, with the turns between. A string whose length is not on record teaches nothing.
/// Method M21.
#[must_use]
pub fn effect_reading(subject: Subject<'_>, report: &Report) -> Option<EffectReading> {
    subject.string.length()?;
    let nothing = Pool::from_readings(&[]);
    let settling = Settling { expected: 0.0, sd: 0.0, readings: 0 };
    let first = report.readings.iter().position(|reading| reading.measurements.brace.is_some())?;
    // Up to the last brace height that follows turns; what came after it is settling.
    let turned = |reading: &super::records::Reading| reading.measurements.is_turned();
    let mut last = first;
    let mut pending = false;
    for (at, reading) in report.readings.iter().enumerate().skip(first + 1) {
        pending |= turned(reading);
        if pending && reading.measurements.brace.is_some() {
            (last, pending) = (at, false);
        }
    }
    if last == first {
        return None;
    }
    let upto = |end: usize| {
        let part = Report { readings: report.readings[..=end].to_vec(), ..report.clone() };
        known(subject, &[part], &nothing, &settling)
    };
    let (start, end) = (upto(first)?, upto(last)?);
    // Turns in doubt must not teach anything about the next archer's; a plain contradiction is
    // left to the pool, which lists it as an outlier.
    let turns_in_doubt = end.doubt.is_some_and(|doubt| !matches!(doubt, Doubt::Contradicts { .. }));
    if turns_in_doubt || end.count_against_record.is_some() {
        return None;
    }
    let turns = end.turns_changed - start.turns_changed;
    if turns.abs() < 0.5 {
        return None;
    }
    let (before, _) = start.brace_read?;
    let (after, _) = end.brace_read?;
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
        observed_sd: start.brace_read_sd.hypot(end.brace_read_sd),
        turns_share: end.build.turns.sd / (from + turns / 2.0).abs().max(1.0),
    })
}

/// What a report's readings say about settling: neighbouring brace readings without turns
/// between, both with their shots. Method M20.
#[must_use]
pub fn growth_readings(subject: Subject<'_>, report: &Report) -> Vec<GrowthReading> {
    let Some(build) = subject.string.length().and_then(|_| subject.build()) else { return Vec::new() };
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
            if second.is_turned() || to <= from {
                return None;
            }
            let sd = brace_sd(subject.rules, first).hypot(brace_sd(subject.rules, second));
            Some(GrowthReading {
                shots: (from, to),
                growth: (before * before - after * after) / (2.0 * constant),
                sd: sd * before / constant,
                factor: settling_factor(subject.string),
            })
        })
        .collect()
}

/// Strings that were not pre-stretched settle by twice as much (judgement, no source). Where
/// nothing is recorded the workshop's habit, pre-stretched, is taken. Method M20.
#[must_use]
pub fn settling_factor(string: &SoldString) -> f64 {
    if string.pre_stretched == Some(false) { 2.0 } else { 1.0 }
}
