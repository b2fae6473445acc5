//! The sheet to look at: where to measure, which way to turn, a strip to read the brace height by.

use chrono::NaiveDate;
use serde::Serialize;

use super::advise::{AdviceView, Answer, in_force};
use super::card::{ReplyForm, card};
use super::error::AppError;
use super::reports::{open_report, report_number};
use super::sold::find_string;
use crate::book::Book;
use crate::mechanics::bow::BowKind;
use crate::mechanics::reacting::Row;
use crate::quantity::Unit;
use crate::trade::advice::{Caution, TURNING_CAUTIONS};
use crate::trade::reply::Asks;
use crate::trade::words::{Lay, Verdict, WantSource};

/// The sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SheetView {
    /// The report it goes with; none for a string in its parcel.
    pub report: Option<String>,
    /// Serial.
    pub serial: String,
    /// Workshop's name.
    pub workshop: String,
    /// Kind of bow it is for.
    pub bow_kind: BowKind,
    /// Lay: it says which way turns go in.
    pub lay: Option<Lay>,
    /// Brace range.
    pub want_low_inch: Option<f64>,
    /// Brace range.
    pub want_high_inch: Option<f64>,
    /// Where the range comes from.
    pub want_source: Option<WantSource>,
    /// Brace height as it was read.
    pub brace_now_inch: Option<f64>,
    /// Turns to put in (+) or take out (-).
    pub turns: Option<i32>,
    /// Brace height expected after them.
    pub brace_after_inch: Option<f64>,
    /// What to do at which reading after all these turns in one go, or after the first part of them.
    pub then: Vec<Row>,
    /// First part of these turns, where they are made in two goes.
    pub first_step_turns: Option<i32>,
    /// The archer's own unit, where it is known.
    pub unit: Option<Unit>,
    /// The table is for readings by the strip; else for those by ruler.
    #[serde(skip)]
    pub by_strip: bool,
    /// The form for a reply.
    pub reply: ReplyForm,
    /// Cautions.
    #[serde(skip)]
    pub cautions: Vec<Caution>,
}

/// The sheet of a report, by its id, or else of a string, by its serial.
///
/// # Errors
/// Neither is known; there may be danger, and the sheet has the bow strung; or the book cannot be read.
pub fn sheet(book: &mut Book, of: &str, today: NaiveDate) -> Result<SheetView, AppError> {
    // What reads like a report is one, struck or not there too, unless a string is called so and no report.
    let number = report_number(of).ok().filter(|_| of.trim().starts_with(['R', 'r']));
    let is_report = book.read(|page| match number {
        Some(number) => Ok(page.any_report(number)?.is_some() || page.any_string(of.trim())?.is_none()),
        None => Ok::<_, AppError>(false),
    })?;
    if is_report { of_report(book, of, today) } else { of_string(book, of, today) }
}

fn of_report(book: &mut Book, id: &str, today: NaiveDate) -> Result<SheetView, AppError> {
    let answer = in_force(book, id, today)?;
    let view = &answer.view;
    refuse_danger(&answer)?;
    let turned = view.verdict == Verdict::Adjust && view.turns.is_some();
    let mut cautions = TURNING_CAUTIONS.to_vec();
    cautions.extend(view.cautions.iter().filter(|caution| !TURNING_CAUTIONS.contains(caution)));
    let then = if turned { view.table().to_vec() } else { Vec::new() };
    // What is read for a table is read with a ruler, unless the archer reads by strip.
    let asks = if then.is_empty() || answer.by_strip { Asks::Strip } else { Asks::Reading };
    Ok(SheetView {
        report: Some(view.report.clone()),
        serial: answer.string.serial.clone(),
        workshop: answer.rules.workshop_name.clone(),
        bow_kind: answer.bow.kind,
        lay: answer.string.lay_known(),
        want_low_inch: view.want_low_inch,
        want_high_inch: view.want_high_inch,
        want_source: view.want_source,
        brace_now_inch: view.brace_as_read().or(view.brace_now_inch),
        turns: view.turns.filter(|_| turned),
        brace_after_inch: view.brace_after_inch.filter(|_| turned),
        then,
        by_strip: answer.by_strip,
        first_step_turns: view.first_step_turns.filter(|_| turned),
        unit: answer.unit,
        reply: ReplyForm::new(&answer.string.serial, asks, answer.unit, &answer.rules),
        cautions,
    })
}

/// Whether a sheet may go with the answer to a report: it has the bow strung and measured, so it goes
/// the way of the letters that do.
#[must_use]
pub fn may_go(view: &AdviceView) -> bool {
    view.danger_ruled_out && !matches!(view.verdict, Verdict::Stop | Verdict::Refer)
}

fn refuse_danger(answer: &Answer) -> Result<(), AppError> {
    let view = &answer.view;
    let id = &view.report;
    if may_go(view) {
        return Ok(());
    }
    if matches!(view.verdict, Verdict::Stop | Verdict::Refer) {
        return Err(AppError::refused(
            format!("the sheet has the bow strung, and the verdict on {id} is {}", view.verdict),
            "send the letter alone",
        ));
    }
    Err(AppError::refused(
        format!("the sheet has the bow strung, and nobody has said yet that there is no danger in {id}"),
        format!("once you have read or heard that there is none: fistmele letter {id} --no-danger"),
    ))
}

fn of_string(book: &mut Book, serial: &str, today: NaiveDate) -> Result<SheetView, AppError> {
    book.read(|page| {
        let string = find_string(page, serial)?;
        match open_report(page, &string)? {
            Some(number) => Err(AppError::refused(
                format!(
                    "{} has an open report, R-{number}, and a sheet of its own for it",
                    string.string.serial
                ),
                format!("see it with: fistmele sheet R-{number}"),
            )),
            None => Ok(()),
        }
    })?;
    let card = card(book, serial, today)?;
    let rules = super::rules(book)?;
    Ok(SheetView {
        report: None,
        unit: card.unit,
        reply: ReplyForm::new(&card.serial, Asks::Strip, card.unit, &rules),
        serial: card.serial,
        workshop: card.workshop,
        bow_kind: card.bow_kind,
        lay: card.lay,
        want_low_inch: card.brace_low_inch,
        want_high_inch: card.brace_high_inch,
        want_source: card.brace_source,
        brace_now_inch: None,
        turns: None,
        brace_after_inch: None,
        then: Vec::new(),
        by_strip: false,
        first_step_turns: None,
        cautions: card.cautions,
    })
}
