//! How a verdict is reached: one table of rules, tried in order, over pure inputs. Method V01.
//!
//! 1 safety, 2 cosmetic, 3 which way up, 4 enough known, 5 settling, 6 turns against remake.

use chrono::{Datelike, NaiveDate};

use super::advice::{
    Advice, Caution, FirstStep, Mistake, Reason, STRINGING_CAUTIONS, TURNING_CAUTIONS, TenderBow,
};
use super::ask::{Question, candidates};
use super::known::{Doubt, Known, Subject, known, settling_factor};
use super::ranges::Wanted;
use super::records::Report;
use super::slips::{Slip, brace_slip, mark_slip, standard_string_length};
use super::words::{Ask, Cause, LengthAt, Marker, Photo, Stave, Symptom, Tips, Verdict, WantSource};
use crate::mechanics::estimate::{Chain, Forecast, new_string};
use crate::mechanics::learning::Pool;
use crate::mechanics::settling::{Settling, growth_between};
use crate::mechanics::stretch::{loaded_from_hand_tight, yarn_change};
use crate::mechanics::twist::{TurnsKnown, Yarn};
use crate::trade::BowKind;

/// Everything a verdict is reached from.
#[derive(Debug, Clone, Copy)]
pub struct Case<'a> {
    /// String, bow, rules.
    pub subject: Subject<'a>,
    /// All reports of the string, oldest first; the last is the one to answer.
    pub reports: &'a [Report],
    /// The workshop's own second readings of other strings.
    pub pool: &'a Pool,
    /// What settling is expected of this yarn, pre-stretched.
    pub settling: Settling,
    /// The day.
    pub today: NaiveDate,
}

/// Why no verdict can be reached at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoVerdict {
    /// There is no report.
    NoReport,
    /// The string is too short to have a body that takes turns.
    NoBody,
}

/// A first step is made where so many turns are needed, and the landing is no surer than this.
const LARGE_STEP: (i32, f64) = (12, 0.85);
/// Least brace height change that a first step should make, to learn from it, inches.
const LEARN_FROM: f64 = 0.375;

struct Situation<'a> {
    case: Case<'a>,
    report: &'a Report,
    known: Known,
}

/// A rule gives advice, or leaves the case to the next.
type Rule = fn(&Situation<'_>) -> Option<Advice>;

/// The rules, in order.
const RULES: [Rule; 11] = [
    danger,
    splice_may_slip,
    low_stretch_on_tender_bow,
    trouble_with_the_bow,
    cosmetic,
    way_up,
    readings_in_doubt,
    enough_known,
    in_range,
    settling,
    turns_or_remake,
];

/// Works out the verdict.
///
/// # Errors
/// No report, or a string too short to take turns.
pub fn decide(case: Case<'_>) -> Result<Advice, NoVerdict> {
    let report = case.reports.last().ok_or(NoVerdict::NoReport)?;
    let known = known(case.subject, case.reports, case.pool, &case.settling).ok_or(NoVerdict::NoBody)?;
    let situation = Situation { case, report, known };
    let mut advice = RULES.iter().find_map(|rule| rule(&situation)).unwrap_or_else(|| situation.too_vague());
    situation.fill_in(&mut advice);
    Ok(advice)
}

fn danger(s: &Situation<'_>) -> Option<Advice> {
    let dangers = [Symptom::BrokenStrand, Symptom::Frayed, Symptom::DryFire, Symptom::BowDamage];
    let found: Vec<Symptom> = dangers.into_iter().filter(|symptom| s.has(*symptom)).collect();
    let photo = s.known.photo == Some(Photo::Damaged);
    if found.is_empty() && !photo {
        return None;
    }
    let bow_alone = found == [Symptom::BowDamage];
    let mut advice = Advice::new(Verdict::Stop, if bow_alone { Cause::Bow } else { Cause::Unknown });
    advice.reasons.extend(found.into_iter().map(|symptom| Reason::Danger { symptom }));
    if photo {
        advice.reasons.push(Reason::PhotoShowsDamage);
    }
    if !bow_alone {
        s.add_remake(&mut advice, s.polyester_if_tender());
    }
    Some(advice)
}

fn splice_may_slip(s: &Situation<'_>) -> Option<Advice> {
    let turns = s.known.turns_now;
    let least = s.known.build.window.min;
    if turns.turns >= f64::from(least) / 2.0 {
        return None;
    }
    let reason = Reason::SpliceMaySlip { turns: turns.turns.max(0.0), least, known: turns.known };
    if turns.known == TurnsKnown::Guessed {
        let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
        advice.ask = vec![Ask::TurnsCount];
        advice.reasons.push(reason);
        return Some(advice);
    }
    let cause = if s.known.turns_changed < 0.0 { Cause::Handling } else { Cause::Workshop };
    let mut advice = Advice::new(Verdict::Stop, cause);
    advice.reasons.push(reason);
    s.add_remake(&mut advice, s.polyester_if_tender());
    Some(advice)
}

fn low_stretch_on_tender_bow(s: &Situation<'_>) -> Option<Advice> {
    let (yarn, bow) = (s.case.subject.string.yarn, s.case.subject.bow);
    if !yarn.is_low_stretch() || bow.maker_allows_low_stretch {
        return None;
    }
    if let Some(why) = s.tender_bow() {
        let mut advice = Advice::new(Verdict::Stop, Cause::YarnChoice);
        advice.reasons.push(Reason::LowStretchOnTenderBow { yarn, why });
        s.add_remake(&mut advice, Yarn::Polyester);
        return Some(advice);
    }
    if bow.tips == Tips::Unknown && bow.stave == Stave::Unknown && bow.year.is_none() {
        let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
        advice.ask = vec![Ask::Tips, Ask::Stave, Ask::BowYear];
        advice.reasons.push(Reason::LowStretchBowUnknown { yarn });
        advice.cautions.push(Caution::DoNotShoot);
        return Some(advice);
    }
    None
}

fn trouble_with_the_bow(s: &Situation<'_>) -> Option<Advice> {
    if s.report.bow_signs.is_empty() {
        return None;
    }
    let mut advice = Advice::new(Verdict::Refer, Cause::Bow);
    advice.reasons.push(Reason::BowSigns { signs: s.report.bow_signs.clone() });
    advice.cautions.push(Caution::DoNotShoot);
    Some(advice)
}

fn cosmetic(s: &Situation<'_>) -> Option<Advice> {
    if s.speaks_of_fit() || s.asks_which_way_up() {
        return None;
    }
    let made_good = [Symptom::ServingGap, Symptom::ServingLoose, Symptom::NockFit, Symptom::LoopFit];
    let mend: Vec<Symptom> = made_good.into_iter().filter(|symptom| s.has(*symptom)).collect();
    if !mend.is_empty() {
        let mut advice = Advice::new(Verdict::Mend, Cause::Workshop);
        advice.reasons.extend(mend.into_iter().map(|symptom| Reason::MadeGood { symptom }));
        return Some(advice);
    }
    if s.has(Symptom::NotAsOrdered) {
        let mut advice = match s.known.photo {
            Some(Photo::Differs) => {
                let mut advice = Advice::new(Verdict::Remake, Cause::Workshop);
                s.add_remake(&mut advice, s.case.subject.string.yarn);
                advice
            }
            Some(_) => Advice::new(Verdict::Reassure, Cause::Unknown),
            None => {
                let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
                advice.ask = vec![Ask::Photo];
                advice
            }
        };
        advice.reasons.insert(0, Reason::NotAsOrdered);
        return Some(advice);
    }
    if s.has(Symptom::Kinked) {
        let mut advice = if s.known.photo == Some(Photo::Sound) {
            Advice::new(Verdict::Reassure, Cause::Handling)
        } else {
            let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
            advice.ask = vec![Ask::Photo, Ask::TurnsCount];
            advice
        };
        advice.reasons.push(Reason::KinkHarmless);
        return Some(advice);
    }
    let harmless: Vec<Reason> = [(Symptom::LooseTags, Reason::TagsHarmless), (Symptom::Fuzzy, Reason::WaxIn)]
        .into_iter()
        .filter(|(symptom, _)| s.has(*symptom))
        .map(|(_, reason)| reason)
        .collect();
    if harmless.is_empty() || s.has(Symptom::Noisy) || s.has(Symptom::HandSlap) || s.has(Symptom::Other) {
        return None;
    }
    let mut advice = Advice::new(Verdict::Reassure, Cause::Cosmetic);
    advice.reasons = harmless;
    Some(advice)
}

fn way_up(s: &Situation<'_>) -> Option<Advice> {
    let built = s
        .case
        .subject
        .string
        .serving
        .map_or(-s.case.subject.rules.serving_below, crate::quantity::Length::inches);
    let flip = |reason: Reason| {
        let mut advice = Advice::new(Verdict::Adjust, Cause::Handling);
        advice.flip = true;
        advice.reasons.push(reason);
        advice.ask = vec![Ask::WhichWayUp, Ask::Brace];
        advice.cautions.extend(STRINGING_CAUTIONS);
        Some(advice)
    };
    if s.known.marker == Marker::Down {
        return flip(Reason::MarkerDown);
    }
    // Upside down the serving sits as far above the middle as it was built below it.
    if let Some(read) = s.known.serving
        && s.known.marker != Marker::Up
        && built.abs() >= 0.25
        && (read + built).abs() < 0.5 * built.abs()
    {
        return flip(Reason::ServingHigh { read, built });
    }
    if s.speaks_of_fit() || !s.asks_which_way_up() {
        return None;
    }
    Some(match s.known.serving {
        Some(read) if (read - built).abs() <= 0.5 => {
            let mut advice = Advice::new(Verdict::Reassure, Cause::Cosmetic);
            advice.reasons.push(Reason::ServingAsBuilt { read });
            advice
        }
        Some(read) => {
            let mut advice = Advice::new(Verdict::Mend, Cause::Workshop);
            advice.reasons.push(Reason::ServingOff { read, built });
            advice
        }
        None => {
            let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
            advice.ask = vec![Ask::WhichWayUp];
            advice.reasons.push(Reason::WhichWayUp);
            advice
        }
    })
}

fn readings_in_doubt(s: &Situation<'_>) -> Option<Advice> {
    let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
    match s.known.doubt? {
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
        Doubt::MoreOutThanIn { had, out } => {
            advice.reasons.push(Reason::MoreOutThanIn { had, out });
            advice.ask = vec![Ask::TurnsCount, Ask::BraceAgain];
        }
    }
    advice.cautions.extend(TURNING_CAUTIONS);
    Some(advice)
}

fn enough_known(s: &Situation<'_>) -> Option<Advice> {
    let about_the_brace = s.speaks_of_fit() || s.has(Symptom::Noisy) || s.has(Symptom::HandSlap);
    if !about_the_brace && s.known.brace_read.is_none() {
        return None;
    }
    let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
    let Some((brace, readings)) = s.known.brace_read else {
        if s.has(Symptom::WillNotString) {
            return s.cannot_be_strung();
        }
        advice.reasons.push(Reason::NoBrace);
        advice.ask = vec![Ask::Brace];
        if s.known.wanted.is_none_or(|wanted| wanted.source == WantSource::Table) {
            advice.ask.push(Ask::BraceRange);
        }
        if s.known.measured.is_none() {
            advice.ask.push(Ask::StringLength);
        }
        return Some(advice);
    };
    let Some(wanted) = s.known.wanted else {
        advice.reasons.push(Reason::NoRange);
        advice.ask = vec![Ask::BraceRange];
        if s.case.subject.bow.kind == BowKind::Unknown {
            advice.ask.push(Ask::BowKind);
        }
        return Some(advice);
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
    if wanted.source == WantSource::Table && s.speaks_of_fit() {
        let distance = wanted.distance(brace);
        if distance <= s.case.subject.rules.table_reach + 1e-9 {
            advice.reasons.push(s.reads(brace, readings, &wanted));
            advice.reasons.push(Reason::TableOnly { distance });
            advice.ask = vec![Ask::BraceRange];
            return Some(advice);
        }
    }
    None
}

fn in_range(s: &Situation<'_>) -> Option<Advice> {
    let ((brace, readings), wanted, chain) = (s.known.brace_read?, s.known.wanted?, s.known.chain?);
    if !wanted.contains(brace) {
        return None;
    }
    let here = Forecast { turns: 0.0, string_change: 0.0, brace: chain.brace, sd: chain.brace_sd() };
    let chance = here.chance_in(wanted.low, wanted.high);
    let mut advice = Advice::new(Verdict::Reassure, Cause::Unknown);
    advice.reasons.push(s.reads(brace, readings, &wanted));
    advice.reasons.push(Reason::InRange { chance });
    if s.has(Symptom::Noisy) || s.has(Symptom::HandSlap) {
        advice.reasons.push(Reason::QuietPlace);
        advice.cautions.extend(TURNING_CAUTIONS);
    }
    advice.brace_after = Some(chain.brace);
    advice.brace_after_sd = Some(chain.brace_sd());
    advice.chance_in_range = Some(chance);
    Some(advice)
}

fn settling(s: &Situation<'_>) -> Option<Advice> {
    let ((brace, readings), wanted, chain) = (s.known.brace_read?, s.known.wanted?, s.known.chain?);
    let settle_shots = s.case.subject.rules.settle_shots;
    let shots = s.known.shots?;
    if brace >= wanted.low || shots > settle_shots || s.known.learned_from > 0 {
        return None;
    }
    let factor = settling_factor(s.case.subject.string);
    let (expected, upper) = (s.case.settling.expected * factor, s.case.settling.upper_end() * factor);
    let short = chain.string_change_to(wanted.low);
    if short > upper + 1e-9 {
        return None;
    }
    // Turned in by what it fell short of the middle, but by no more than settling may explain.
    let aim = chain.string_change_to(wanted.middle()).min(upper).max(short);
    let exact = chain.body.turns_for_change(chain.turns, aim)?;
    let most = (f64::from(s.known.build.window.max) - chain.turns).floor();
    let step = [exact.floor(), exact.ceil()]
        .into_iter()
        .filter(|turns| (1.0..=most).contains(turns))
        .filter_map(|turns| chain.forecast(turns))
        .max_by(|a, b| {
            a.chance_in(wanted.low, wanted.high).total_cmp(&b.chance_in(wanted.low, wanted.high))
        })?;
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
    s.costs(&mut advice, &wanted);
    advice.measure_again_after = Some(settle_shots);
    Some(advice)
}

fn turns_or_remake(s: &Situation<'_>) -> Option<Advice> {
    let ((brace, readings), wanted, chain) = (s.known.brace_read?, s.known.wanted?, s.known.chain?);
    let rules = s.case.subject.rules;
    let plan = chain.plan(wanted.low, wanted.high, s.known.build.window);
    let mut advice = Advice::new(Verdict::Adjust, s.fit_cause());
    advice.reasons.push(s.reads(brace, readings, &wanted));
    s.complaint_against_reading(&mut advice, brace, &wanted);
    advice.reasons.push(Reason::Needs { string_change: plan.needed, turns: plan.exact });
    let (low, high) = chain.reach(s.known.build.window);
    let window = s.known.build.window;
    advice.reasons.push(Reason::Reach { low, high, min: window.min, max: window.max });
    s.costs(&mut advice, &wanted);
    let by_turns = plan.step.filter(|step| step.turns.abs() >= 0.5 && plan.chance >= rules.chance_floor);
    let cheaper = advice.cost_adjust.zip(advice.cost_remake).is_some_and(|(adjust, remake)| adjust <= remake);
    if let Some(step) = by_turns
        && (cheaper || wanted.source == WantSource::Table)
    {
        s.lands(&mut advice, step, &wanted);
        if cheaper {
            advice.reasons.push(Reason::AdjustCheaper);
        }
        s.more_settling(&mut advice, &chain);
        s.ask_beside(&mut advice, &chain, step, &wanted);
        return Some(advice);
    }
    if wanted.source == WantSource::Table {
        advice.verdict = Verdict::Ask;
        advice.ask = vec![Ask::BraceRange];
        advice.reasons.push(Reason::TableNeverRemakes);
        return Some(advice);
    }
    if s.case.subject.bow.kind == BowKind::Horsebow && s.known.measured.is_none() {
        advice.verdict = Verdict::Ask;
        advice.ask = vec![Ask::StringLength];
        advice.reasons.push(Reason::NeverFromMark);
        return Some(advice);
    }
    // Before a free remake on one guess, ask for the turns: half the cases in doubt are decided by them.
    if let Some(step) = plan.step
        && s.remake_hangs_on_a_guess(&chain, step, &wanted)
    {
        advice.verdict = Verdict::Ask;
        s.ask_beside(&mut advice, &chain, step, &wanted);
        if !advice.ask.is_empty() {
            return Some(advice);
        }
    }
    advice.verdict = Verdict::Remake;
    match plan.step {
        Some(step) if !plan.limited && plan.chance < rules.chance_floor => {
            advice.reasons.push(Reason::BelowFloor { chance: plan.chance, floor: rules.chance_floor });
            let _ = step;
        }
        Some(_) if !plan.limited => advice.reasons.push(Reason::RemakeCheaper),
        _ => advice.reasons.push(Reason::OutOfReach),
    }
    s.add_remake(&mut advice, s.case.subject.string.yarn);
    if let Some(step) = plan.step {
        s.ask_beside(&mut advice, &chain, step, &wanted);
        advice.ask.clear();
    }
    Some(advice)
}

impl Situation<'_> {
    fn has(&self, symptom: Symptom) -> bool {
        self.report.symptoms.contains(&symptom)
    }

    fn speaks_of_fit(&self) -> bool {
        self.report.symptoms.iter().any(|symptom| symptom.is_fit())
    }

    fn asks_which_way_up(&self) -> bool {
        self.has(Symptom::ServingPlace) || self.has(Symptom::NockingPoint)
    }

    fn tender_bow(&self) -> Option<TenderBow> {
        let bow = self.case.subject.bow;
        let age = bow.year.map(|year| self.case.today.year() - year);
        if bow.tips == Tips::Plain {
            Some(TenderBow::PlainTips)
        } else if bow.stave == Stave::Wood {
            Some(TenderBow::WoodStave)
        } else {
            age.filter(|age| *age >= self.case.subject.rules.vintage_years).map(TenderBow::Vintage)
        }
    }

    fn polyester_if_tender(&self) -> Yarn {
        let (yarn, bow) = (self.case.subject.string.yarn, self.case.subject.bow);
        if yarn.is_low_stretch() && !bow.maker_allows_low_stretch && self.tender_bow().is_some() {
            Yarn::Polyester
        } else {
            yarn
        }
    }

    fn reads(&self, brace: f64, readings: u32, wanted: &Wanted) -> Reason {
        Reason::Reads { brace, readings, low: wanted.low, high: wanted.high, source: wanted.source }
    }

    /// Nothing in the report says what is wrong.
    fn too_vague(&self) -> Advice {
        let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
        advice.reasons.push(Reason::TooVague);
        advice.ask = vec![Ask::Brace, Ask::Photo];
        advice
    }

    /// A bow that cannot be strung has no brace height: its length against the standard decides.
    fn cannot_be_strung(&self) -> Option<Advice> {
        let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
        let (Some((measured, at)), Some(marked)) = (self.known.measured, self.case.subject.bow.marked_length)
        else {
            advice.reasons.push(Reason::NoLength);
            advice.ask = vec![Ask::StringLength, Ask::WhichWayUp];
            return Some(advice);
        };
        if self.case.subject.bow.kind == BowKind::Horsebow {
            advice.reasons.push(Reason::NeverFromMark);
            advice.ask = vec![Ask::StringLength];
            return Some(advice);
        }
        let loaded = match at {
            LengthAt::Loaded => measured,
            _ => loaded_from_hand_tight(measured, self.case.subject.string.yarn).0,
        };
        let right = standard_string_length(marked.inches());
        let short = right - loaded;
        let (body, now) = (&self.known.build.body, self.known.turns_now.turns);
        advice.reasons.push(Reason::LengthFromMark { marked: marked.inches(), length: right });
        advice.likely_cause = self.fit_cause();
        let turns = body.turns_for_change(now, -short).map(f64::round);
        advice.reasons.push(Reason::Needs { string_change: -short, turns });
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
        if short <= 0.0 {
            // Long enough by the standard: the stringing, not the string, is the question.
            advice.ask = vec![Ask::WhichWayUp, Ask::Photo];
            advice.cautions.extend(STRINGING_CAUTIONS);
            return Some(advice);
        }
        advice.verdict = Verdict::Remake;
        advice.reasons.push(Reason::OutOfReach);
        self.add_remake(&mut advice, self.polyester_if_tender());
        Some(advice)
    }

    /// Built off what was ordered beyond tolerance is the workshop's; the rest is sizing.
    fn fit_cause(&self) -> Cause {
        if self.built_off().is_some() { Cause::Workshop } else { Cause::Sizing }
    }

    fn built_off(&self) -> Option<(f64, f64)> {
        let string = self.case.subject.string;
        string.built?;
        let (built, ordered) = (self.known.build.length, string.ordered.inches());
        let tolerance = self.case.subject.rules.build_tolerance.hypot(self.known.build.length_sd);
        ((built - ordered).abs() > tolerance + 1e-9).then_some((built, ordered))
    }

    fn complaint_against_reading(&self, advice: &mut Advice, brace: f64, wanted: &Wanted) {
        let against = if brace > wanted.high {
            [Symptom::BraceLow, Symptom::TooLong]
        } else {
            [Symptom::BraceHigh, Symptom::TooShort]
        };
        advice.reasons.extend(
            against
                .into_iter()
                .filter(|symptom| self.has(*symptom))
                .map(|symptom| Reason::ComplaintAgainstReading { symptom }),
        );
    }

    /// Turns that are advised, and where they land.
    fn lands(&self, advice: &mut Advice, step: Forecast, wanted: &Wanted) {
        let turns = step.turns.round() as i32;
        let chance = step.chance_in(wanted.low, wanted.high);
        advice.turns = Some(turns);
        advice.brace_after = Some(step.brace);
        advice.brace_after_sd = Some(step.sd);
        advice.chance_in_range = Some(chance);
        advice.reasons.push(Reason::Lands { turns, brace: step.brace, sd: step.sd, chance });
        advice.cautions.extend(TURNING_CAUTIONS);
        if turns.abs() >= LARGE_STEP.0 && chance < LARGE_STEP.1 {
            advice.first_step = self.first_step(step);
        }
    }

    /// The smallest part of a large step that is big enough to learn from.
    fn first_step(&self, whole: Forecast) -> Option<FirstStep> {
        let chain = self.known.chain?;
        let turns = whole.turns.round() as i32;
        (1..turns.abs())
            .filter_map(|n| chain.forecast(f64::from(n * turns.signum())))
            .find(|part| (part.brace - chain.brace).abs() >= LEARN_FROM)
            .map(|part| FirstStep { turns: part.turns.round() as i32, brace: part.brace, sd: part.sd })
            // A remainder of a turn or two is no second step.
            .filter(|part| (turns - part.turns).abs() >= 3)
    }

    fn more_settling(&self, advice: &mut Advice, chain: &Chain) {
        let rules = self.case.subject.rules;
        let Some(shots) = self.known.shots.filter(|shots| *shots < rules.settle_shots) else { return };
        let (growth, _) = growth_between(
            &self.case.settling,
            f64::from(shots),
            f64::from(rules.settle_shots),
            f64::from(rules.settle_shots),
            self.case.subject.string.yarn,
        );
        let growth = growth * settling_factor(self.case.subject.string);
        if growth >= 0.03 {
            let brace = growth * chain.constant * chain.ratio / chain.brace;
            advice.reasons.push(Reason::MoreSettling { growth, brace, shots: rules.settle_shots - shots });
            advice.measure_again_after = Some(rules.settle_shots);
        }
    }

    /// Expected costs of both ways, each term as a reason.
    fn costs(&self, advice: &mut Advice, wanted: &Wanted) {
        let Some(chain) = self.known.chain else { return };
        let costs = self.case.subject.rules.costs;
        let once = costs.answer + costs.remake + costs.label;
        let plan = chain.plan(wanted.low, wanted.high, self.known.build.window);
        let chance = plan.chance;
        let adjust = costs.answer + ((1.0 - chance) * once as f64).round() as i64;
        advice.cost_adjust = Some(adjust);
        advice.reasons.push(Reason::CostAdjust { answer: costs.answer, chance, again: once, total: adjust });
        if let Some(misfit) = self.remake_misfit(wanted) {
            let remake = once + (misfit * once as f64).round() as i64;
            advice.cost_remake = Some(remake);
            advice.reasons.push(Reason::CostRemake { once, misfit, total: remake });
        }
    }

    /// Rounded loaded length for a yarn with its sd, and the change against the string now.
    fn remake_length(&self, wanted: &Wanted, yarn: Yarn) -> Option<Remake> {
        let rules = self.case.subject.rules;
        let string = self.case.subject.string;
        let chain = self.known.chain?;
        let (exact, change) = self.known.right_length(chain.brace, wanted.middle());
        let (other, other_sd) = yarn_change(
            string.yarn,
            yarn,
            self.known.build.length,
            self.case.subject.bow.kind,
            self.case.subject.bow.draw_weight.map(|weight| weight.pounds()),
            rules.load_lb,
        );
        let exact = exact + other;
        let rounded = (exact / rules.rounding).round() * rules.rounding;
        let (constant, log_sd) = self.known.learned_constant();
        let built_change = change - (rounded - exact);
        let new = new_string(
            (chain.brace, chain.brace_sd()),
            constant,
            log_sd,
            built_change,
            rules.build_tolerance,
        )?;
        let length_sd = new.length_sd.hypot(other_sd).hypot(self.known.build.length_sd);
        Some(Remake {
            exact,
            rounded,
            length_sd,
            brace: new.brace,
            brace_sd: constant / new.brace * length_sd,
            other_yarn: (other, other_sd),
        })
    }

    /// Chance that a remake does not land in the range as it comes.
    fn remake_misfit(&self, wanted: &Wanted) -> Option<f64> {
        let remake = self.remake_length(wanted, self.case.subject.string.yarn)?;
        Some(
            1.0 - crate::numeric::normal_chance_between(
                wanted.low,
                wanted.high,
                remake.brace,
                remake.brace_sd,
            ),
        )
    }

    /// The remedy: length, turns, yarn.
    fn add_remake(&self, advice: &mut Advice, yarn: Yarn) {
        let string = self.case.subject.string;
        advice.remake_yarn = Some(yarn);
        let rules = self.case.subject.rules;
        let wanted = self.known.wanted.filter(|wanted| wanted.source != WantSource::Table);
        let mut string_as_built = string.clone();
        string_as_built.yarn = yarn;
        let subject = Subject { string: &string_as_built, bench_radius: None, ..self.case.subject };
        let usual = |length: f64| subject.body(length).map(|(_, _, usual)| usual);
        if let Some(remake) = wanted
            .filter(|wanted| self.known.brace_read.is_some_and(|(brace, _)| !wanted.contains(brace)))
            .and_then(|wanted| self.remake_length(&wanted, yarn))
        {
            advice.remake_length = Some(remake.rounded);
            advice.remake_turns = usual(remake.rounded);
            if yarn != string.yarn {
                let (change, sd) = remake.other_yarn;
                advice.reasons.push(Reason::OtherYarn { from: string.yarn, to: yarn, change, sd });
            }
            advice.reasons.push(Reason::RemakeLength {
                length: remake.rounded,
                exact: remake.exact,
                sd: remake.length_sd,
                turns: advice.remake_turns.unwrap_or_default(),
                brace: remake.brace,
            });
            if let Some(marked) = self.case.subject.bow.marked_length
                && let Some(slip) = mark_slip(remake.exact, marked.inches())
            {
                advice.reasons.push(Reason::Slipped { slip });
            }
            if advice.verdict == Verdict::Remake {
                advice.brace_after = Some(remake.brace);
                advice.brace_after_sd = Some(remake.brace_sd);
                advice.chance_in_range = wanted.map(|wanted| {
                    crate::numeric::normal_chance_between(
                        wanted.low,
                        wanted.high,
                        remake.brace,
                        remake.brace_sd,
                    )
                });
            }
            return;
        }
        // Nothing speaks against the length as ordered; another yarn still asks for its own.
        let length = if advice.reasons.iter().any(|reason| matches!(reason, Reason::LengthFromMark { .. })) {
            self.case
                .subject
                .bow
                .marked_length
                .map_or(self.known.build.length, |m| standard_string_length(m.inches()))
        } else {
            self.known.build.length - self.known_good_change()
        };
        let (other, sd) = yarn_change(
            string.yarn,
            yarn,
            length,
            self.case.subject.bow.kind,
            self.case.subject.bow.draw_weight.map(|weight| weight.pounds()),
            rules.load_lb,
        );
        let exact = length + other;
        let rounded = (exact / rules.rounding).round() * rules.rounding;
        advice.remake_length = Some(rounded);
        advice.remake_turns = usual(rounded);
        if yarn != string.yarn {
            advice.reasons.push(Reason::OtherYarn { from: string.yarn, to: yarn, change: other, sd });
        }
    }

    /// Where the brace height is right now, the length that was turned in belongs to the remake.
    fn known_good_change(&self) -> f64 {
        let right_now = self
            .known
            .wanted
            .zip(self.known.brace_read)
            .is_some_and(|(wanted, (brace, _))| wanted.contains(brace));
        if right_now { self.known.shortened_by_turns() } else { 0.0 }
    }

    fn remake_hangs_on_a_guess(&self, chain: &Chain, step: Forecast, wanted: &Wanted) -> bool {
        if self.known.build.turns.known != TurnsKnown::Guessed || self.known.learned_from > 0 {
            return false;
        }
        let floor = self.case.subject.rules.chance_floor;
        let question = Question { low: wanted.low, high: wanted.high, floor };
        let (now, _) = candidates(&self.known, chain, step.turns, self.case.subject.bow.kind, question);
        // The limit's own chance says how often turning would have done it after all.
        now > 0.2
    }

    /// Beside an uncertain answer: what one more measurement would do, the most useful first.
    fn ask_beside(&self, advice: &mut Advice, chain: &Chain, step: Forecast, wanted: &Wanted) {
        let floor = self.case.subject.rules.chance_floor;
        let question = Question { low: wanted.low, high: wanted.high, floor };
        let (now, found) = candidates(&self.known, chain, step.turns, self.case.subject.bow.kind, question);
        let useful: Vec<_> = found.into_iter().filter(|c| now - c.wrong >= 0.02).collect();
        if now < 0.1 {
            return;
        }
        advice.ask = useful.iter().map(|c| c.ask).collect();
        if let Some(first) = useful.first() {
            advice.reasons.push(Reason::WouldNarrow {
                ask: first.ask,
                wrong_now: now,
                wrong_then: first.wrong,
            });
        }
        if advice.verdict != Verdict::Ask
            && self.known.shots.is_none()
            && self.case.subject.string.delivered_on.is_some()
        {
            advice.ask.push(Ask::Shots);
        }
    }

    /// Numbers every verdict shows as far as they are known, and the reasons that go with them.
    fn fill_in(&self, advice: &mut Advice) {
        let known = &self.known;
        let body = &known.build.body;
        let now = known.turns_now.turns.max(0.0);
        let window = known.build.window;
        if let Some(wanted) = known.wanted {
            advice.want = Some((wanted.low, wanted.high));
            advice.want_source = Some(wanted.source);
            if wanted.wish_set_aside {
                advice.reasons.push(Reason::WishSetAside);
            }
        }
        advice.brace_now = known.chain.map(|chain| chain.brace);
        advice.turns_now = Some((now, known.turns_now.sd));
        advice.window = Some((window.min, window.max));
        advice.reach = known.chain.map(|chain| chain.reach(window));
        advice.play_used = Some(known.shortened_by_turns());
        advice.play_left_in = Some(body.string_change(now, f64::from(window.max)).max(0.0));
        advice.play_left_out = Some(body.string_change(f64::from(window.min), now).max(0.0));
        let about_length = matches!(advice.verdict, Verdict::Adjust | Verdict::Remake | Verdict::Ask)
            && known.chain.is_some();
        if about_length {
            if let Some((built, ordered)) = self.built_off() {
                advice.reasons.push(Reason::BuiltOff {
                    built,
                    ordered,
                    tolerance: self.case.subject.rules.build_tolerance,
                });
            }
            advice.reasons.push(Reason::TurnsIn {
                turns: now,
                sd: known.turns_now.sd,
                known: known.turns_now.known,
            });
            if known.learned_from > 0
                && let Some(chain) = known.chain
            {
                advice.reasons.push(Reason::Learned {
                    ratio: chain.ratio,
                    sd: chain.ratio_sd(),
                    readings: known.learned_from,
                });
            }
            advice.reasons.push(if known.prior.readings > 0 {
                Reason::Pooled { ratio: known.prior.ratio, readings: known.prior.readings }
            } else {
                Reason::TableFigures
            });
            self.would_change(advice);
        }
        advice.reasons.extend(known.slips.iter().map(|slip| Reason::Slipped { slip: *slip }));
        if matches!(advice.verdict, Verdict::Stop) {
            advice.cautions.insert(0, Caution::DoNotShoot);
        }
        if matches!(advice.verdict, Verdict::Stop | Verdict::Refer) {
            advice.cautions.extend([
                Caution::Inspect,
                Caution::NeverDryFire,
                Caution::StopOnDamage,
                Caution::AskBowyer,
            ]);
        }
        if advice.remake_yarn == Some(Yarn::Polyester) && self.tender_bow().is_some() {
            advice.cautions.push(Caution::PolyesterOnly);
        }
        if matches!(advice.verdict, Verdict::Remake | Verdict::Mend | Verdict::Reassure | Verdict::Ask) {
            advice.cautions.extend(STRINGING_CAUTIONS);
        }
        let mut seen = std::collections::BTreeSet::new();
        advice.cautions.retain(|caution| seen.insert(*caution));
    }

    /// The brace heights at which the verdict would be another.
    fn would_change(&self, advice: &mut Advice) {
        let (Some(wanted), Some(chain)) = (self.known.wanted, self.known.chain) else { return };
        let (low, high) = chain.reach(self.known.build.window);
        match advice.verdict {
            Verdict::Adjust if !advice.flip => advice.reasons.push(Reason::WouldChange {
                verdict: Verdict::Reassure,
                above: (chain.brace < wanted.low).then_some(wanted.low),
                below: (chain.brace > wanted.high).then_some(wanted.high),
            }),
            Verdict::Remake => advice.reasons.push(Reason::WouldChange {
                verdict: Verdict::Adjust,
                // Turning reaches as far from another brace height as it does from this one.
                above: (chain.brace < wanted.low).then_some(chain.brace + wanted.low - high),
                below: (chain.brace > wanted.high).then_some(chain.brace - (low - wanted.high)),
            }),
            _ => {}
        }
    }
}

/// A remake with its numbers, inches.
struct Remake {
    exact: f64,
    rounded: f64,
    length_sd: f64,
    brace: f64,
    brace_sd: f64,
    other_yarn: (f64, f64),
}
