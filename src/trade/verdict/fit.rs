//! Rules of fit: enough known, settling, turns against remake.

use super::Situation;
use super::weigh::READING_ERROR;
use crate::mechanics::estimate::{CHECKED_CHANGE, Forecast};
use crate::mechanics::reacting::{GAIN, SURE};
use crate::mechanics::stretch::loaded_from_hand_tight;
use crate::mechanics::twist::TurnsKnown;
use crate::quantity::Turns;
use crate::trade::BowKind;
use crate::trade::advice::{Advice, Mistake, Reason, STRINGING_CAUTIONS, TURNING_CAUTIONS};
use crate::trade::known::{Doubt, settling_factor};
use crate::trade::ranges::Wanted;
use crate::trade::sizing::to_step;
use crate::trade::slips::{AMO_DIFFERENCE, Slip, brace_slip, mark_slip};
use crate::trade::words::{Ask, Cause, LengthAt, Route, Symptom, Verdict, WantSource};

/// Chance below which turning to the very limit of the window waits for a measurement. Method V09.
const AT_THE_LIMIT: f64 = 0.95;
/// Chance to come right by all that is told below which guessed turns are counted first (judgement,
/// no source). Method V09.
const ON_A_GUESS: f64 = 0.9;
/// A change of length beyond which a single reading is taken once more before the string is cut,
/// inches (judgement, no source). Method V09.
pub const MEASURE_BEYOND: f64 = 1.0;
/// So near to the first reading the second bears it out, inches (judgement, no source: four times the
/// sd of a reading, M22). Method V09.
pub const AS_READ: f64 = 0.25;

/// Readings that cannot both be right are asked for again, with the likely mistake. Method V08.
pub(super) fn readings_in_doubt(s: &Situation<'_>) -> Option<Advice> {
    let doubt = s.known.doubt?;
    // Nobody is asked twice: who answered with less is advised with what is there. Only where the
    // string may have been untwisted a count is waited for.
    if s.known.doubt_answered && !matches!(doubt, Doubt::MoreOutThanIn { .. }) {
        return None;
    }
    // What answers less than it should and stands where it should needs no count.
    if matches!(doubt, Doubt::HalfEffect { .. }) && s.reads_in_range() {
        return None;
    }
    let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
    match doubt {
        Doubt::Contradicts { turns, before, found } => {
            let step = found.expected - before;
            let ratio = (found.read - before) / step;
            let mistake = match ratio {
                r if r < -0.2 => Mistake::WrongWay,
                r if r < 0.25 => Mistake::NotTurned,
                r if r < 0.75 => Mistake::Crossings,
                _ => Mistake::FarTooMuch,
            };
            advice.reasons.push(Reason::Contradiction {
                turns,
                before,
                expected: found.expected,
                read: found.read,
                mistake,
            });
            advice.ask = vec![Ask::BraceAgain, Ask::TurnsCount];
        }
        Doubt::HalfEffect { ratio, sd } => {
            advice.reasons.push(Reason::HalfEffect { ratio, sd });
            advice.ask = vec![Ask::TurnsCount];
        }
        Doubt::Remeasured { before, now } => {
            advice.reasons.push(Reason::Remeasured { before, now });
            advice.ask = vec![Ask::BraceAgain];
        }
        Doubt::MoreOutThanIn { had, out } => {
            advice.reasons.push(Reason::MoreOutThanIn { had, out });
            advice.ask = vec![Ask::TurnsCount, Ask::BraceAgain];
        }
    }
    advice.cautions.extend(TURNING_CAUTIONS);
    Some(advice)
}

/// A later message that leaves open how the string stands now: what was advised before it is not
/// said again, or it would be done twice. Method V08.
pub(super) fn what_came_last_is_unclear(s: &Situation<'_>) -> Option<Advice> {
    let last = s.report.readings.last().filter(|_| s.report.readings.len() > 1)?;
    if !s.case.open_doubts || last.measurements.brace.is_some() {
        return None;
    }
    let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
    advice.reasons.push(Reason::LastMessageUnclear);
    advice.ask = vec![Ask::Brace, Ask::TurnsMade];
    advice.cautions.extend(TURNING_CAUTIONS);
    Some(advice)
}

/// A reading after a letter that told to turn: without the turns that were made it says nothing of what
/// is to be done, and others than the letter led to are counted first. Asked once. Method V43.
pub(super) fn turns_not_as_told(s: &Situation<'_>) -> Option<Advice> {
    let told = s.case.told?;
    let last = &s.report.readings.last()?.measurements;
    last.brace?;
    let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
    match (last.turns_changed.map(Turns::value), last.turns_counted) {
        (_, Some(_)) => return None,
        // What stands where it should, and where it stood, can wait for its turns.
        (None, None) if s.reads_in_range() && s.known.doubt.is_none() => return None,
        (None, None) => {
            advice.reasons.push(Reason::TurnsNotTold { told: told.turns });
            advice.ask = vec![Ask::TurnsMade];
        }
        (Some(said), None) if told.may_have_led_to(said) => return None,
        (Some(said), None) => {
            advice.reasons.push(Reason::TurnsBeyondTold { said, least: told.least, most: told.most });
            advice.ask = vec![Ask::TurnsCount];
        }
    }
    advice.cautions.extend(TURNING_CAUTIONS);
    Some(advice)
}

/// What must be known before anything is judged: a brace height as it is now, and a range; near a
/// table's range its maker is asked. Method V14.
pub(super) fn enough_known(s: &Situation<'_>) -> Option<Advice> {
    let about_the_brace = s.speaks_of_fit() || s.has(Symptom::Noisy) || s.has(Symptom::HandSlap);
    if !about_the_brace && s.known.brace_read.is_none() {
        return None;
    }
    // A bow that cannot be strung has no brace height, whatever else was written down.
    if s.is_unstrung() {
        return s.cannot_be_strung();
    }
    let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
    // What an earlier report read says nothing of the bow as it is now.
    let read = s.known.brace_read.filter(|_| s.known.brace_readings > 0 || s.known.turned_since.is_some());
    let Some((brace, readings)) = read else {
        advice.reasons.push(Reason::NoBrace);
        advice.ask = vec![Ask::Brace];
        if s.known.wanted.is_none_or(|wanted| wanted.source == WantSource::Table) {
            advice.ask.push(Ask::BraceRange);
        }
        if s.known.measured.is_none() && s.speaks_of_fit() {
            advice.ask.push(Ask::StringLength);
        }
        return Some(advice);
    };
    if let (Some(turns), Some(chain)) = (s.known.turned_since, s.known.chain) {
        advice.reasons.push(Reason::TurnedSince { turns, before: brace, expected: chain.brace });
        advice.ask = vec![Ask::Brace];
        if s.known.wanted.is_none() {
            advice.ask.push(Ask::BraceRange);
        }
        return Some(advice);
    }
    let Some(wanted) = s.known.wanted else {
        advice.reasons.push(Reason::NoRange);
        let mut ask = vec![Ask::BraceRange];
        if s.case.subject.bow.kind == BowKind::Unknown {
            ask.push(Ask::BowKind);
        }
        return Some(s.asked_once(advice, ask));
    };
    // One reading that lies off by just the grip's depth is read again before anything is turned.
    if s.known.brace_readings == 1
        && readings < 3
        && let Some(slip @ Slip::ToTheBack { .. }) = brace_slip(brace, wanted.middle())
    {
        advice.reasons.push(s.reads(brace, readings, &wanted));
        advice.reasons.push(Reason::Slipped { slip });
        advice.ask = vec![Ask::BraceAgain];
        return Some(advice);
    }
    if wanted.source == WantSource::Table && s.is_about_fit() && !s.case.subject.bow.range_unknown {
        let distance = wanted.distance(brace);
        if distance <= s.case.subject.rules.table_reach + 1e-9 && !s.known.answered {
            advice.reasons.push(s.reads(brace, readings, &wanted));
            advice.reasons.push(Reason::TableOnly { distance });
            advice.ask = vec![Ask::BraceRange];
            return Some(advice);
        }
    }
    None
}

/// A brace height in the range is right as it is. Method V19.
pub(super) fn in_range(s: &Situation<'_>) -> Option<Advice> {
    let ((brace, readings), wanted, chain) = (s.known.brace_read?, s.known.wanted?, s.known.chain?);
    if !wanted.contains(brace) {
        return None;
    }
    let here = Forecast { turns: 0.0, string_change: 0.0, brace: chain.brace, sd: chain.brace_sd() };
    let chance = here.chance_in(wanted.low, wanted.high);
    // An archer who is unhappy and names another range than the bow's maker is not told that all is well;
    // one who was asked about it is told that the maker's counts.
    if wanted.wish_set_aside && s.speaks_of_fit() && !s.known.answered {
        let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
        advice.reasons.push(s.reads(brace, readings, &wanted));
        advice.ask = vec![Ask::BraceRange];
        return Some(advice);
    }
    let mut advice = Advice::new(Verdict::Reassure, Cause::Unknown);
    advice.reasons.push(s.reads(brace, readings, &wanted));
    advice.reasons.push(Reason::InRange { chance });
    // A table's ends are no edges.
    if chance < SURE && wanted.source != WantSource::Table {
        // A single reading decides between nothing and several turns: it is taken again.
        if s.read_once() {
            advice.verdict = Verdict::Ask;
            advice.reasons.push(Reason::ReadingDecides { off: READING_ERROR });
            advice.ask = vec![Ask::BraceAgain];
            return Some(advice);
        }
        let plan = chain.plan(wanted.low, wanted.high, s.known.build.window);
        // What stands high while it settles comes down by itself.
        let settles = s.known.shots.is_some_and(|shots| shots < s.case.subject.rules.settle_shots);
        let worth = |step: &Forecast| step.turns.abs() >= 0.5 && plan.chance >= chance + GAIN;
        let step = plan.step.filter(|step| worth(step) && !(settles && brace > wanted.middle()));
        if let Some(step) = step {
            advice.verdict = Verdict::Adjust;
            advice.likely_cause = s.fit_cause();
            s.costs(&mut advice, &wanted, plan.chance);
            s.lands(&mut advice, step, &wanted);
            s.more_settling(&mut advice, &chain);
            return Some(advice);
        }
        advice.reasons.push(Reason::AtTheEdge { chance });
    }
    if s.has(Symptom::Noisy) || s.has(Symptom::HandSlap) {
        advice.reasons.push(Reason::QuietPlace);
        advice.cautions.extend(TURNING_CAUTIONS);
    }
    s.more_settling(&mut advice, &chain);
    advice.brace_after = Some(chain.brace);
    advice.brace_after_sd = Some(chain.brace_sd());
    advice.chance_in_range = Some(chance);
    Some(advice)
}

/// A new string that reads low by no more than what new strings grow is turned in to the middle
/// like any other, and read again: it is no fault, and never made again. Method V03.
pub(super) fn settling(s: &Situation<'_>) -> Option<Advice> {
    let ((brace, readings), wanted, chain) = (s.known.brace_read?, s.known.wanted?, s.known.chain?);
    let settle_shots = s.case.subject.rules.settle_shots;
    let shots = s.known.shots?;
    if shots > settle_shots || s.known.learned_from > 0 || brace > wanted.high {
        return None;
    }
    let factor = settling_factor(s.case.subject.string);
    let (expected, upper) = (s.case.settling.expected * factor, s.case.settling.upper_end() * factor);
    let short = chain.string_change_to(wanted.low);
    if short > upper + 1e-9 {
        return None;
    }
    let plan = chain.plan(wanted.low, wanted.high, s.known.build.window);
    let step = plan.step.filter(|step| step.turns >= 0.5)?;
    let mut advice = Advice::new(Verdict::Adjust, Cause::Settling);
    advice.reasons.push(s.reads(brace, readings, &wanted));
    advice.reasons.push(Reason::Settling {
        short,
        expected,
        upper,
        shots: Some(shots),
        readings: s.case.settling.readings,
    });
    s.lands(&mut advice, step, &wanted);
    s.more_settling(&mut advice, &chain);
    s.costs(&mut advice, &wanted, plan.chance);
    advice.measure_again_after = Some((settle_shots - shots).max(settle_shots / 4));
    Some(advice)
}

/// Turns where they are likely enough to land and cheaper by expectation, else a new string, unless
/// a reading's error decides about it. Methods V04, V25.
pub(super) fn turns_or_remake(s: &Situation<'_>) -> Option<Advice> {
    Some(s.held_back(weigh(s, false)?, &s.known.wanted?))
}

/// Turns, settling and a new string weighed against each other; `turn` where turns that do are
/// taken even if a new string were cheaper. Methods V04, V25.
pub(super) fn weigh(s: &Situation<'_>, turn: bool) -> Option<Advice> {
    let ((brace, readings), wanted, chain) = (s.known.brace_read?, s.known.wanted?, s.known.chain?);
    let rules = s.case.subject.rules;
    let by_turns_alone = chain.plan(wanted.low, wanted.high, s.known.build.window);
    let with_settling = s.with_settling(&chain, &wanted);
    let plan = with_settling.as_ref().map_or(by_turns_alone, |with| with.plan);
    let mut advice = Advice::new(Verdict::Adjust, s.fit_cause());
    advice.reasons.push(s.reads(brace, readings, &wanted));
    s.complaint_against_reading(&mut advice, brace, &wanted);
    // Two ranges that tell the archer to turn in opposite ways: which one holds must be known first.
    let against = |reason: &Reason| matches!(reason, Reason::ComplaintAgainstReading { .. });
    if wanted.wish_set_aside && !s.known.answered && advice.reasons.iter().any(against) {
        advice.verdict = Verdict::Ask;
        advice.ask = vec![Ask::BraceRange, Ask::BraceAgain];
        return Some(advice);
    }
    let (needed, exact) = (by_turns_alone.needed, by_turns_alone.exact);
    advice.reasons.push(Reason::Needs { string_change: needed, turns: exact });
    if needed.abs() > CHECKED_CHANGE {
        advice.reasons.push(Reason::LargeChange { string_change: needed });
    }
    let (low, high) = chain.reach(s.known.build.window);
    let window = s.known.build.window;
    advice.reasons.push(Reason::Reach { low, high, min: window.min, max: window.max });
    s.costs(&mut advice, &wanted, plan.chance);
    // Where turns alone do not do it, or settling explains it, both together do, whatever they cost.
    if let Some(with) = with_settling
        .as_ref()
        .filter(|with| with.brought_in && (by_turns_alone.limited || with.high <= with.upper))
    {
        s.settles_into_range(&mut advice, &chain, &wanted, with);
        return Some(advice);
    }
    let by_turns = plan.step.filter(|step| step.turns.abs() >= 0.5 && plan.chance >= rules.chance_floor);
    let cheaper = advice.cost_adjust.zip(advice.cost_remake).is_some_and(|(adjust, remake)| adjust <= remake);
    if let Some(step) = by_turns
        && (cheaper || turn || wanted.source == WantSource::Table)
    {
        // At the end of the window nothing is left to make up for a miss, and where the turns are
        // guessed nobody knows where it ends.
        let guessed = s.known.turns_now.known == TurnsKnown::Guessed;
        if (plan.limited && plan.chance < AT_THE_LIMIT
            || guessed && s.goes(&chain, step, &wanted).chance() < ON_A_GUESS)
            && let Some(ask) = s.ask_before_remake(&mut advice, &chain, step, &wanted)
        {
            advice.verdict = Verdict::Ask;
            advice.ask = ask;
            return Some(advice);
        }
        match &with_settling {
            Some(with) => s.settles_into_range(&mut advice, &chain, &wanted, with),
            None => s.lands(&mut advice, step, &wanted),
        }
        if cheaper {
            advice.reasons.push(Reason::AdjustCheaper);
        }
        s.more_settling(&mut advice, &chain);
        s.ask_beside(&mut advice, &chain, step, &wanted);
        return Some(advice);
    }
    if wanted.source == WantSource::Table {
        advice.reasons.push(Reason::TableNeverRemakes);
        return Some(s.asked_once(advice, vec![Ask::BraceRange]));
    }
    // A string that nobody has the length of is measured before another is cut.
    if !s.known.build.length_from.is_of_the_string() && !s.known.answered {
        advice.reasons.extend(s.not_on_record());
        advice.verdict = Verdict::Ask;
        advice.ask = vec![Ask::StringLength];
        return Some(advice);
    }
    if let Some(ask) = s.measure_before_remake(&mut advice, brace, readings, &wanted) {
        advice.verdict = Verdict::Ask;
        advice.ask = ask;
        return Some(advice);
    }
    if s.case.subject.bow.kind == BowKind::Horsebow && s.known.measured.is_none() {
        advice.reasons.push(Reason::NeverFromMark);
        return Some(s.asked_once(advice, vec![Ask::StringLength]));
    }
    // A free remake is not sent on a toss-up while a measurement can decide it.
    // Where turns would do and a remake is merely cheaper, there is nothing to measure.
    if by_turns.is_none()
        && let Some(step) = plan.step
        && let Some(ask) = s.ask_before_remake(&mut advice, &chain, step, &wanted)
    {
        advice.verdict = Verdict::Ask;
        advice.ask = ask;
        return Some(advice);
    }
    advice.verdict = Verdict::Remake;
    if needed.abs() > MEASURE_BEYOND && s.read_once() {
        advice.reasons.push(Reason::MeasureBeforeWeCut { low: brace - AS_READ, high: brace + AS_READ });
    }
    advice.reasons.push(if plan.limited || plan.step.is_none() {
        Reason::OutOfReach
    } else if plan.chance < rules.chance_floor {
        Reason::BelowFloor { chance: plan.chance, floor: rules.chance_floor }
    } else {
        Reason::RemakeCheaper
    });
    s.add_remake(&mut advice, s.case.subject.string.yarn);
    Some(advice)
}

impl Situation<'_> {
    /// The last brace height as read lies in the wanted range.
    pub(super) fn reads_in_range(&self) -> bool {
        self.known
            .wanted
            .zip(self.known.brace_read)
            .is_some_and(|(wanted, (brace, _))| wanted.contains(brace))
    }

    /// What to measure once more before a string is made again on one reading. Method V09.
    fn measure_before_remake(
        &self,
        advice: &mut Advice,
        brace: f64,
        readings: u32,
        wanted: &Wanted,
    ) -> Option<Vec<Ask>> {
        if self.known.brace_readings > 1 || readings >= 3 {
            return None;
        }
        let near = wanted.distance(brace);
        let (right, _) = self.known.right_length(brace, wanted.middle());
        let slip = self.case.subject.bow.marked_length.and_then(|marked| mark_slip(right, marked.inches()));
        let against =
            advice.reasons.iter().any(|reason| matches!(reason, Reason::ComplaintAgainstReading { .. }));
        let mut ask = vec![Ask::BraceAgain];
        if near <= 2.0 * self.known.brace_read_sd {
            advice.reasons.push(Reason::NearTheEdge { distance: near });
        } else if let Some(slip) = slip.filter(|_| self.case.subject.bow.kind != BowKind::Horsebow) {
            advice.reasons.push(Reason::Slipped { slip });
            ask.extend([Ask::StringLength, Ask::BowKind]);
        } else if !against {
            return None;
        }
        advice.reasons.push(Reason::MeasureBeforeRemake);
        Some(ask)
    }

    /// A bow that cannot be strung has no brace height: its length decides, against what the
    /// workshop itself would have built for it. Method V15.
    pub(super) fn cannot_be_strung(&self) -> Option<Advice> {
        let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
        let Some((measured, at)) = self.known.measured else {
            advice.reasons.push(Reason::NoLength);
            advice.ask = vec![Ask::StringLength, Ask::WhichWayUp];
            return Some(advice);
        };
        if !self.known.slips.is_empty() {
            advice.reasons.push(Reason::MeasureBeforeRemake);
            advice.ask = vec![Ask::StringLength, Ask::Photo];
            return Some(advice);
        }
        let string = self.case.subject.string;
        let (loaded, doubt) = match at {
            LengthAt::Loaded => (measured, self.case.subject.rules.build_tolerance),
            _ => loaded_from_hand_tight(measured, string.yarn),
        };
        let (bow, rules) = (self.case.subject.bow, self.case.subject.rules);
        let by_the_mark = bow.marked_length.filter(|_| bow.kind != BowKind::Horsebow).map(|marked| {
            let offset = rules.offset(Route::Marked, bow.kind).max(AMO_DIFFERENCE);
            let length = marked.inches() - offset;
            advice.reasons.push(Reason::LengthFromMark { marked: marked.inches(), offset, length });
            length
        });
        let ordered = string.ordered.map(crate::quantity::Length::inches);
        // What was ordered for this bow may be better informed than its mark.
        let Some(right) = ordered.into_iter().chain(by_the_mark).reduce(f64::max) else {
            advice.reasons.push(Reason::NoLengthToBuild);
            advice.ask = vec![Ask::StringLength, Ask::WhichWayUp];
            return Some(advice);
        };
        let short = right - loaded;
        if short <= (2.0 * doubt).max(0.25) {
            advice.reasons.push(Reason::LongEnough { measured, right });
            advice.ask = vec![Ask::WhichWayUp, Ask::Photo];
            advice.cautions.extend(STRINGING_CAUTIONS);
            return Some(advice);
        }
        let (body, now) = (&self.known.build.body, self.known.turns_now.turns);
        let turns = body.turns_for_change(now, -short).map(f64::round);
        advice.likely_cause = ordered.map_or(Cause::Unknown, |_| Cause::Workshop);
        advice.reasons.push(Reason::ShorterThanRight { short, turns });
        if let Some(turns) = turns
            && turns < 0.0
            && self.known.build.window.allows(now + turns)
        {
            advice.verdict = Verdict::Adjust;
            advice.turns = Some(turns as i32);
            advice.ask = vec![Ask::Brace];
            advice.cautions.extend(TURNING_CAUTIONS);
            return Some(advice);
        }
        advice.verdict = Verdict::Remake;
        advice.reasons.push(Reason::OutOfReach);
        self.add_remake(&mut advice, self.polyester_if_tender());
        advice.remake_length = Some(to_step(right, rules.rounding));
        Some(advice)
    }
}
