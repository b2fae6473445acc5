//! The verdict on a report: worked out from one state of the book, then stored with its inputs.

use chrono::NaiveDate;
use serde::Serialize;

use super::danger::SignView;
use super::decide::DecisionView;
use super::error::AppError;
use super::facts::{Facts, Kept, facts};
use super::reports::{event, standing};
use super::strength::StrengthView;
use crate::book::{Author, Book, Page, StoredString};
use crate::mechanics::reacting::Row;
use crate::mechanics::settling::Settling;
use crate::mechanics::twist::{TurnsKnown, Yarn};
use crate::quantity::Unit;
use crate::trade::advice::{Advice, Caution, FirstStep, Reason};
use crate::trade::build::BowEffect;
use crate::trade::known::Known;
use crate::trade::records::{BowProfile, Report, SoldString};
use crate::trade::rules::Rules;
use crate::trade::standing::Step;
use crate::trade::usual::UsualFrom;
use crate::trade::verdict::{NoVerdict, decide_by};
use crate::trade::words::{Ask, Cause, Standing, Symptom, Verdict, WantSource};

/// A verdict as it is shown.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AdviceView {
    /// `R-<number>`.
    pub report: String,
    /// Serial of the string.
    pub string: String,
    /// What is to be done.
    pub verdict: Verdict,
    /// Full turns to put in (+) or take out (-).
    pub turns: Option<i32>,
    /// Turn the string end for end.
    pub flip: bool,
    /// Brace height now.
    pub brace_now_inch: Option<f64>,
    /// Wanted range.
    pub want_low_inch: Option<f64>,
    /// Wanted range.
    pub want_high_inch: Option<f64>,
    /// Brace height after what is advised.
    pub brace_after_inch: Option<f64>,
    /// Its sd.
    pub brace_after_sd_inch: Option<f64>,
    /// Chance that it lies in the range.
    pub chance_in_range: Option<f64>,
    /// Turns in now.
    pub turns_now: Option<f64>,
    /// Their sd.
    pub turns_now_sd: Option<f64>,
    /// Window.
    pub turns_min: Option<i32>,
    /// Window.
    pub turns_max: Option<i32>,
    /// Brace heights that turning can reach.
    pub reach_low_inch: Option<f64>,
    /// Brace heights that turning can reach.
    pub reach_high_inch: Option<f64>,
    /// Net shortening by turns since it left the workshop.
    pub play_used_inch: Option<f64>,
    /// Can still be shortened by.
    pub play_left_in_inch: Option<f64>,
    /// Can still be let out by.
    pub play_left_out_inch: Option<f64>,
    /// Where the range comes from.
    pub want_source: Option<WantSource>,
    /// Length to build.
    pub remake_length_inch: Option<f64>,
    /// Turns to build it with.
    pub remake_turns: Option<i32>,
    /// Yarn to build it of.
    pub remake_yarn: Option<Yarn>,
    /// What is made is free for the archer; absent where nothing is made.
    pub free: Option<bool>,
    /// What the archer pays for it, where that is set.
    pub price_cents: Option<i64>,
    /// What the maker decided, where that is in force.
    pub decided: Option<DecisionView>,
    /// What it probably is.
    pub likely_cause: Cause,
    /// Expected cost of adjusting.
    pub cost_adjust_cents: Option<i64>,
    /// Expected cost of remaking.
    pub cost_remake_cents: Option<i64>,
    /// What to ask for.
    pub ask: Vec<Ask>,
    /// Chance that it lies in the range after these turns and what the table then says.
    pub chance_with_table: Option<f64>,
    /// What to do at which reading after all these turns in one go.
    pub then: Vec<Row>,
    /// First part of a large step.
    pub first_step_turns: Option<i32>,
    /// Brace height expected after it.
    pub first_step_brace_inch: Option<f64>,
    /// Its sd.
    pub first_step_sd_inch: Option<f64>,
    /// What to do at which reading after that first part; `then` does not count any more.
    pub first_step_then: Vec<Row>,
    /// Shots after which to measure again.
    pub measure_again_after_shots: Option<u32>,
    /// Second readings of the workshop's own behind the figures.
    pub own_readings: u32,
    /// Another string for the same bow, whose second readings showed how the bow answers.
    pub bow_taught_by: Option<String>,
    /// What the string holds against what its bow asks for.
    pub strength: StrengthView,
    /// Where the report stands.
    pub standing: Standing,
    /// Somebody said after the last message that there is no danger, and no sign is open: only then
    /// a letter has the bow strung, turned or shot.
    pub danger_ruled_out: bool,
    /// Every sign of danger that was read, with what has become of it.
    pub signs: Vec<SignView>,
    /// Why; the caller makes sentences of them.
    #[serde(skip)]
    pub reasons: Vec<Reason>,
    /// Cautions; the caller makes sentences of them.
    #[serde(skip)]
    pub cautions: Vec<Caution>,
}

/// A verdict with what a letter about it needs besides.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// The verdict.
    pub view: AdviceView,
    /// Name of the archer.
    pub archer: Option<String>,
    /// The unit the archer measures in, where it is known.
    pub unit: Option<Unit>,
    /// The string.
    pub string: SoldString,
    /// Its bow.
    pub bow: BowProfile,
    /// How the turns are known.
    pub turns_known: Option<TurnsKnown>,
    /// Readings of the report so far.
    pub readings: usize,
    /// Turns were already changed in this report.
    pub turned_before: bool,
    /// Turns were made since the string came, before the report or in it.
    pub turned: bool,
    /// What is complained of.
    pub symptoms: Vec<Symptom>,
    /// The rules in force.
    pub rules: Rules,
    /// The brace height was read by paper strip, and the table is for such readings.
    pub by_strip: bool,
    /// It is what the letter gave that the archer goes by.
    pub is_sent: bool,
    /// What each number of turns that the window allows would do.
    pub turn_by_turn: Vec<TurnMark>,
}

/// What a number of turns would do.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TurnMark {
    /// Turns put in (+) or taken out (-).
    pub turns: i32,
    /// Brace height then.
    pub brace_inch: f64,
    /// Its sd.
    pub sd_inch: f64,
    /// Chance that it lies in the wanted range, where there is one.
    pub chance_in_range: Option<f64>,
}

/// What a stored verdict says it was worked out from.
#[derive(Serialize)]
struct Inputs<'a> {
    string: &'a SoldString,
    bow: &'a BowProfile,
    /// The newest, with their newest readings.
    reports: &'a [Report],
    /// Older ones, which stand in the book all the same: what is measured is never changed there.
    #[serde(skip_serializing_if = "is_nothing")]
    reports_left_out: usize,
    /// Readings of `reports` that are left out, likewise.
    #[serde(skip_serializing_if = "is_nothing")]
    readings_left_out: usize,
    rules: &'a Rules,
    bench_radius_inch: Option<f64>,
    bow_effect: Option<BowEffect>,
    usual_turns: Option<UsualFrom>,
    own_second_readings: u32,
    pooled_ratio: f64,
    pooled_ratio_sd: f64,
    settling: Settling,
    /// It came out otherwise by something that no step of the report has told yet.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    untold: bool,
}

const fn is_nothing(count: &usize) -> bool {
    *count == 0
}

/// How many reports of a string, and readings of a report, are kept with a verdict, the newest.
/// Every verdict keeps its own: with all of them the book would grow with the square of their
/// number (999 readings of one string once came to 182 MB).
const MOST_KEPT: usize = 12;

/// The newest reports with their newest readings, and how many of both are left out.
fn newest(reports: &[Report]) -> (Vec<Report>, usize, usize) {
    let left_out = reports.len().saturating_sub(MOST_KEPT);
    let mut kept = reports.get(left_out..).unwrap_or_default().to_vec();
    let mut readings_left_out = 0;
    for report in &mut kept {
        let older = report.readings.len().saturating_sub(MOST_KEPT);
        report.readings.drain(..older);
        readings_left_out += older;
    }
    (kept, left_out, readings_left_out)
}

impl AdviceView {
    /// The table that the letter gives: that of the first part where the turns are made in two goes.
    #[must_use]
    pub fn table(&self) -> &[Row] {
        if self.first_step_turns.is_some() { &self.first_step_then } else { &self.then }
    }

    /// The brace height as it was read, where the verdict rests on one.
    #[must_use]
    pub fn brace_as_read(&self) -> Option<f64> {
        self.reasons.iter().find_map(|reason| match reason {
            Reason::Reads { brace, .. } => Some(*brace),
            _ => None,
        })
    }
}

/// A verdict, and what is kept of it.
struct Worked {
    answer: Answer,
    advice: Advice,
    number: i64,
    string: StoredString,
    /// What is kept of it.
    kept: Kept,
    /// Just that is stored already.
    stored: bool,
}

/// Works out the verdict on a report as things stand, and stores nothing.
///
/// # Errors
/// Unknown report, or the book cannot be read.
pub fn preview(book: &mut Book, id: &str, today: NaiveDate) -> Result<Answer, AppError> {
    Ok(work_out(book, id, today)?.answer)
}

/// The verdict that counts: what the letter gave, where the archer goes by it and nothing has come in
/// since, whatever other strings taught meanwhile; else what is worked out as things stand.
///
/// # Errors
/// Unknown report, or the book cannot be read.
pub fn in_force(book: &mut Book, id: &str, today: NaiveDate) -> Result<Answer, AppError> {
    let facts = book.read(|page| {
        let mut facts = facts(page, id)?;
        if let Some(report) = facts.reports.last().filter(|_| facts.standing == Standing::WithArcher) {
            facts.sent = page.last_letter(report.number)?.map(|(_, gave)| Kept::from(gave));
        }
        Ok::<_, AppError>(facts)
    })?;
    preview_of(facts, today)
}

/// Works out the verdict on a report and stores it with all it was worked out from.
///
/// The same question asked twice in the same state is stored once.
///
/// # Errors
/// Unknown report, or the book cannot be read or written.
pub fn advise(book: &mut Book, id: &str, author: &Author) -> Result<Answer, AppError> {
    let Worked { mut answer, advice, number, string, kept, stored } = work_out(book, id, author.day)?;
    if !stored {
        answer.view.standing = book.write(|page| {
            page.add_verdict(number, author.day, &advice, &kept.inputs, &kept.advice)?;
            page.log(author, event(Step::Advised, &string, number))?;
            standing(page, number)
        })?;
    }
    Ok(answer)
}

/// What a verdict on a report comes to as things stand.
pub(super) fn as_it_stands(page: &Page<'_>, number: i64, today: NaiveDate) -> Result<Kept, AppError> {
    Ok(work_out_from(facts(page, &format!("R-{number}"))?, today)?.kept)
}

/// Works the stored verdict on a report out anew, because something was struck or brought back since it
/// was worked out; `before` is what it came to until then. That is no step of the report. Whatever
/// else has changed is told by the next verdict, as if nothing had been struck.
pub(super) fn rework(page: &Page<'_>, number: i64, before: &Kept, author: &Author) -> Result<(), AppError> {
    let now = as_it_stands(page, number, author.day)?;
    let mut facts = facts(page, &format!("R-{number}"))?;
    if now == *before || facts.last.as_ref() == Some(&now) {
        return Ok(());
    }
    facts.untold = facts.last.as_ref() != Some(before);
    let Worked { advice, kept, .. } = work_out_from(facts, author.day)?;
    Ok(page.add_verdict(number, author.day, &advice, &kept.inputs, &kept.advice)?)
}

fn work_out(book: &mut Book, id: &str, today: NaiveDate) -> Result<Worked, AppError> {
    work_out_from(book.read(|page| facts(page, id))?, today)
}

/// The verdict on these facts.
pub(super) fn preview_of(facts: Facts, today: NaiveDate) -> Result<Answer, AppError> {
    Ok(work_out_from(facts, today)?.answer)
}

fn work_out_from(facts: Facts, today: NaiveDate) -> Result<Worked, AppError> {
    let (subject, pool, settling) = (facts.subject(), facts.pool(), facts.settling());
    let case = facts.case(&pool, settling, today);
    let decision = facts.decision.as_ref().map(|stored| &stored.decision);
    let advice = decide_by(case, decision).map_err(|fault| match fault {
        NoVerdict::NoReport => AppError::Internal("a report without its own record".to_owned()),
        NoVerdict::NoBody => AppError::refused(
            "the string is too short to have a body that takes turns",
            "check the length on record with: fistmele sold show",
        ),
    })?;
    let known = crate::trade::known::known(subject, &facts.reports, &pool, &settling);
    let prior = known.as_ref().map_or((1.0, 0.0), |known| (known.prior.ratio, known.prior.sd));
    let internal = |error: serde_json::Error| AppError::Internal(error.to_string());
    let (reports, reports_left_out, readings_left_out) = newest(&facts.reports);
    let inputs = serde_json::to_string(&Inputs {
        // The order's reference is personal, and nothing is worked out from it.
        string: &SoldString { order_ref: None, ..facts.string.string.clone() },
        bow: &facts.bow,
        reports: &without_words(&reports),
        reports_left_out,
        readings_left_out,
        rules: &facts.rules,
        bench_radius_inch: facts.bench_radius,
        bow_effect: facts.bow_effect,
        usual_turns: known.as_ref().map(|known| known.build.usual_from),
        own_second_readings: pool.readings,
        pooled_ratio: prior.0,
        pooled_ratio_sd: prior.1,
        settling,
        untold: facts.untold,
    })
    .map_err(internal)?;
    let kept =
        Kept { inputs, advice: serde_json::to_string(&told_without_words(&advice)).map_err(internal)? };
    let sent = facts.sent.as_ref().filter(|sent| sent.is_of_the_same(&kept));
    let sent = sent.map(|sent| serde_json::from_str::<Advice>(&sent.advice)).transpose().map_err(internal)?;
    let is_sent = sent.is_some();
    // The archer's words of danger are not kept with a verdict; nothing other strings teach changes them.
    let advice = sent.filter(|sent| !sent.reasons.iter().any(has_words)).unwrap_or(advice);
    let report = facts.reports.last().ok_or_else(|| AppError::Internal("no report".to_owned()))?;
    let number = report.number;
    let stored = facts.last.as_ref() == Some(&kept);
    let own = known.as_ref().map_or(0, |known| known.prior.readings);
    let answer = Answer {
        view: AdviceView {
            decided: facts.decision.map(Into::into),
            ..view(
                &advice,
                report,
                &facts.string.string.serial,
                (facts.standing, facts.danger_ruled_out),
                (own, facts.bow_taught_by),
                StrengthView::of(&facts.string.string, &facts.bow, &facts.rules),
            )
        },
        turn_by_turn: known.as_ref().map(|known| turn_by_turn(known, advice.want)).unwrap_or_default(),
        is_sent,
        by_strip: known.as_ref().is_some_and(|known| known.by_strip),
        archer: facts.archer,
        unit: facts.unit,
        turns_known: known.map(|known| known.turns_now.known),
        readings: report.readings.len(),
        turned: report.readings.iter().any(|reading| reading.measurements.is_turned()),
        symptoms: report.symptoms.clone(),
        turned_before: report.readings.iter().skip(1).any(|reading| reading.measurements.is_turned()),
        string: facts.string.string.clone(),
        bow: facts.bow,
        rules: facts.rules,
    };
    Ok(Worked { answer, advice, number, string: facts.string, kept, stored })
}

/// Reports without the archer's words of danger: these are personal, and nothing is worked out from
/// them. What a sign is, and what has become of it, stays.
fn without_words(reports: &[Report]) -> Vec<Report> {
    let mut reports = reports.to_vec();
    for sign in reports.iter_mut().flat_map(|report| &mut report.signs) {
        sign.sign.words.clear();
    }
    reports
}

/// A reason holds the archer's words of danger.
const fn has_words(reason: &Reason) -> bool {
    matches!(reason, Reason::SpeaksOfDanger { .. } | Reason::BowSigns { .. })
}

/// The advice without these words.
fn told_without_words(advice: &Advice) -> Advice {
    let mut advice = advice.clone();
    for reason in &mut advice.reasons {
        if let Reason::SpeaksOfDanger { signs, .. } | Reason::BowSigns { signs } = reason {
            signs.clear();
        }
    }
    advice
}

/// What each number of turns within the window would do.
fn turn_by_turn(known: &Known, want: Option<(f64, f64)>) -> Vec<TurnMark> {
    let Some(chain) = known.chain else { return Vec::new() };
    let window = known.build.window;
    let now = chain.turns.round() as i32;
    (window.min.min(now)..=window.max.max(now))
        .filter_map(|turns_in| {
            let turns = turns_in - now;
            let step = chain.forecast(f64::from(turns))?;
            Some(TurnMark {
                turns,
                brace_inch: step.brace,
                sd_inch: step.sd,
                chance_in_range: want.map(|(low, high)| step.chance_in(low, high)),
            })
        })
        .collect()
}

fn view(
    advice: &Advice,
    report: &Report,
    string: &str,
    (standing, danger_ruled_out): (Standing, bool),
    (own_readings, bow_taught_by): (u32, Option<String>),
    strength: StrengthView,
) -> AdviceView {
    let first: Option<FirstStep> = advice.first_step;
    AdviceView {
        report: report.id(),
        string: string.to_owned(),
        verdict: advice.verdict,
        turns: advice.turns,
        flip: advice.flip,
        brace_now_inch: advice.brace_now,
        want_low_inch: advice.want.map(|(low, _)| low),
        want_high_inch: advice.want.map(|(_, high)| high),
        brace_after_inch: advice.brace_after,
        brace_after_sd_inch: advice.brace_after_sd,
        chance_in_range: advice.chance_in_range,
        turns_now: advice.turns_now.map(|(turns, _)| turns),
        turns_now_sd: advice.turns_now.map(|(_, sd)| sd),
        turns_min: advice.window.map(|(min, _)| min),
        turns_max: advice.window.map(|(_, max)| max),
        reach_low_inch: advice.reach.map(|(low, _)| low),
        reach_high_inch: advice.reach.map(|(_, high)| high),
        play_used_inch: advice.play_used,
        play_left_in_inch: advice.play_left_in,
        play_left_out_inch: advice.play_left_out,
        want_source: advice.want_source,
        remake_length_inch: advice.remake_length,
        remake_turns: advice.remake_turns,
        remake_yarn: advice.remake_yarn,
        free: advice.free,
        price_cents: advice.price,
        decided: None,
        likely_cause: advice.likely_cause,
        cost_adjust_cents: advice.cost_adjust,
        cost_remake_cents: advice.cost_remake,
        ask: advice.ask.clone(),
        chance_with_table: advice.chance_with_table,
        then: advice.then.clone(),
        first_step_turns: first.map(|step| step.turns),
        first_step_brace_inch: first.map(|step| step.brace),
        first_step_sd_inch: first.map(|step| step.sd),
        first_step_then: advice.first_step_then.clone(),
        measure_again_after_shots: advice.measure_again_after,
        own_readings,
        bow_taught_by,
        strength,
        standing,
        danger_ruled_out,
        signs: report.signs.iter().map(SignView::from).collect(),
        reasons: advice.reasons.clone(),
        cautions: advice.cautions.clone(),
    }
}
