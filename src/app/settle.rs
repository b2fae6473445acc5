//! How a report ends: outcome, cause and right length, and what looks wrong about it.

use chrono::NaiveDate;
use serde::Serialize;

use super::cases::ordered;
use super::danger;
use super::error::AppError;
use super::facts::{Facts, facts};
use super::reports::{event, find_report, standing};
use crate::book::{Author, Book, Settlement};
use crate::quantity::{Length, Unit, show_length};
use crate::trade::cause::{Evidence, outcome_of, propose};
use crate::trade::known::{Known, known};
use crate::trade::records::Report;
use crate::trade::standing::{Step, heard_since_answer};
use crate::trade::words::{Cause, Outcome, Standing, Symptom, Verdict};

/// How a report is to be ended.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Settle {
    /// Cause, where somebody knows better than the evidence.
    pub cause: Option<Cause>,
    /// Right length, loaded, where it is known.
    pub right_length: Option<Length>,
    /// Outcome, where what was done does not show it.
    pub outcome: Option<Outcome>,
    /// Somebody looked at what looks wrong about it, and it is so.
    pub sure: bool,
}

/// A settled report.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SettledView {
    /// The report.
    pub report: String,
    /// Serial of its string.
    pub string: String,
    /// Day.
    pub settled_on: NaiveDate,
    /// Outcome.
    pub outcome: Outcome,
    /// Cause.
    pub cause: Cause,
    /// Cause that the evidence proposed.
    pub proposed_cause: Cause,
    /// Why; the caller makes a sentence of it.
    #[serde(skip)]
    pub evidence: Evidence,
    /// Loaded length that would have been right.
    pub right_length_inch: Option<f64>,
    /// Right length less ordered length: positive = the string came too short.
    pub length_error_inch: Option<f64>,
    /// Money that went into the report.
    pub cost_cents: i64,
    /// Where it stands.
    pub standing: Standing,
    /// The archer wrote after the last answer or parcel.
    #[serde(skip)]
    pub heard: bool,
    /// Brace height in the wanted range that the archer read then.
    #[serde(skip)]
    pub read_right_inch: Option<f64>,
}

/// The brace height that the last message reads, where it lies in the wanted range.
fn read_right(report: &Report, known: Option<&Known>) -> Option<f64> {
    let brace = report.readings.last()?.measurements.brace?.inches();
    known?.wanted?.contains(brace).then_some(brace)
}

fn known_of(facts: &Facts) -> Option<Known> {
    known(facts.subject(), &facts.reports, &facts.pool(), &facts.settling())
}

/// Right length that the evidence shows: that of the replacement, else what the readings ask for.
fn right_length(facts: &Facts, known: Option<&Known>, remade: Option<f64>) -> Option<f64> {
    let report = facts.reports.last()?;
    let fit = report.symptoms.iter().any(|symptom| symptom.is_fit() || symptom.is_fit_with_reading());
    // A string that was made again for damage says nothing of its length.
    if !fit || report.symptoms.iter().any(|symptom| symptom.is_danger()) {
        return None;
    }
    remade.or_else(|| {
        let known = known?;
        let (chain, wanted) = (known.chain?, known.wanted?);
        Some(known.right_length(chain.brace, wanted.middle()).0)
    })
}

/// Which way the complaint says that the string came: too short, or too long; nothing where it says
/// neither, or both.
fn said_short(report: &Report) -> Option<bool> {
    let says = |of: &[Symptom]| report.symptoms.iter().any(|symptom| of.contains(symptom));
    let short = says(&[Symptom::TooShort, Symptom::BraceHigh, Symptom::WillNotString]);
    let long = says(&[Symptom::TooLong, Symptom::BraceLow]);
    (short != long).then_some(short)
}

/// What looks wrong about an end, as sentences: each may be so, and is asked once.
fn doubts(
    facts: &Facts,
    known: Option<&Known>,
    how: &Settle,
    (outcome, steps, posted): (Outcome, &[Step], bool),
    unit: Unit,
) -> Vec<String> {
    let mut doubts = Vec::new();
    let Some(report) = facts.reports.last() else { return doubts };
    if let (Some(right), Some(ordered), Some(short)) =
        (how.right_length, facts.string.string.ordered, said_short(report))
        && (right > ordered) != short
        && right != ordered
    {
        let (said, given) = if short { ("short", "shorter") } else { ("long", "longer") };
        doubts.push(format!(
            "it was said to be too {said}, yet the right length, {}, is {given} than the {} that were ordered",
            show_length(right, unit),
            show_length(ordered, unit)
        ));
    }
    if how.outcome == Some(Outcome::Unfinished) || posted {
        return doubts;
    }
    let written = steps.iter().any(|step| step.is_letter());
    // Whoever was answered and wrote no more may have put it right.
    let unanswered = !written || heard_since_answer(steps);
    if matches!(outcome, Outcome::Reassured | Outcome::Adjusted | Outcome::Mended)
        && unanswered
        && let Some(wanted) = known.and_then(|known| known.wanted)
        && let Some(brace) = report.readings.iter().rev().find_map(|reading| reading.measurements.brace)
        && !wanted.contains(brace.inches())
    {
        doubts.push(format!(
            "the last brace height, {}, lies outside the wanted range",
            show_length(brace, unit)
        ));
    }
    if !written {
        doubts.push("no letter about it went out".to_owned());
    }
    doubts
}

/// Ends a report; outcome, cause and right length are proposed from the evidence.
///
/// # Errors
/// Unknown report, settled already, a replacement still on the bench, something looks wrong about it and
/// nobody is `sure`, or the book cannot be written.
pub fn settle(book: &mut Book, id: &str, how: Settle, author: &Author) -> Result<SettledView, AppError> {
    let facts = book.read(|page| facts(page, id))?;
    let known = known_of(&facts);
    let report = facts.reports.last().ok_or_else(|| AppError::Internal("no report".to_owned()))?;
    let number = report.number;
    let turned =
        known.as_ref().is_some_and(|known| known.turns_changed.abs() >= 0.5) || report.was_turned_round();
    book.write(|page| {
        let (_, string) = find_report(page, id)?;
        if standing(page, number)? == Standing::Settled {
            let day = page.settlement(number)?.map(|settlement| settlement.settled_on);
            return Err(AppError::refused(
                format!(
                    "R-{number} was settled{} already",
                    day.map(|day| format!(" on {day}")).unwrap_or_default()
                ),
                format!("take it up again with: fistmele resume R-{number}"),
            ));
        }
        let remakes = page.remakes(number)?;
        if let Some(waiting) = remakes.iter().find(|remake| remake.sent_on.is_none()) {
            return Err(AppError::refused(
                format!("{} is still on the bench for R-{number}", waiting.serial),
                format!("post it first: fistmele remake sent R-{number}"),
            ));
        }
        let remade = match remakes.last() {
            Some(remake) => Some(ordered(&page.string_of_row(remake.string_id)?.string)?),
            None => None,
        };
        let last = page.last_verdict(number)?;
        let verdict = last.as_ref().map(|last| last.verdict);
        // An archer who was told to turn and wrote no more has most likely done it. As long as nobody
        // has ruled danger out, the letter only asked.
        let steps = page.steps(number)?;
        let told = verdict == Some(Verdict::Adjust)
            && steps.last() == Some(&Step::Answered)
            && danger::is_ruled_out(page, number)?;
        let outcome = how.outcome.unwrap_or_else(|| outcome_of(verdict, remade.is_some(), turned || told));
        let right =
            how.right_length.map(Length::inches).or_else(|| right_length(&facts, known.as_ref(), remade));
        let (proposed, evidence) =
            propose(&facts.string.string, report, known.as_ref(), last.as_ref(), right, &facts.rules);
        let settlement = Settlement {
            settled_on: author.day,
            outcome,
            cause: how.cause.unwrap_or(proposed),
            proposed_cause: proposed,
            right_length: right.and_then(Length::try_from_inches),
        };
        let posted = remakes.iter().any(|remake| remake.sent_on.is_some());
        let doubts = doubts(&facts, known.as_ref(), &how, (outcome, &steps, posted), facts.rules.units);
        if !doubts.is_empty() && !how.sure {
            return Err(AppError::refused(
                format!("is R-{number} to be settled? {}", doubts.join("; ")),
                "look at it once more; if it is so, say so with --sure",
            ));
        }
        let heard = heard_since_answer(&steps);
        page.add_settlement(number, &settlement)?;
        page.log(author, event(Step::Settled, &string, number))?;
        Ok(SettledView {
            report: format!("R-{number}"),
            string: string.string.serial.clone(),
            settled_on: author.day,
            outcome,
            cause: settlement.cause,
            proposed_cause: proposed,
            evidence,
            right_length_inch: right,
            length_error_inch: right
                .zip(string.string.ordered)
                .map(|(right, ordered)| right - ordered.inches()),
            cost_cents: page.cost_of_report(number)?,
            standing: standing(page, number)?,
            heard,
            read_right_inch: read_right(report, known.as_ref()).filter(|_| heard),
        })
    })
}
