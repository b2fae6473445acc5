//! Old reports from a spreadsheet.

use super::error::AppError;
use super::imports::{Fault, Imported, Rows};
use super::reports::event;
use crate::book::{Author, Book, BookError, Page, Settlement, StoredString};
use crate::intake::ReportRow;
use crate::quantity::{Unit, show_length};
use crate::trade::cause::of_old_report;
use crate::trade::plausible::{self, Implausible};
use crate::trade::records::{Measurements, SoldString};
use crate::trade::rules::Rules;
use crate::trade::standing::Step;
use crate::trade::words::{CostOf, Direction, Outcome, Symptom};

/// A row that does not go with the book.
struct Mismatch {
    line: u64,
    column: &'static str,
    /// What the file says.
    value: String,
    expected: String,
}

impl From<Mismatch> for Fault {
    fn from(mismatch: Mismatch) -> Self {
        let Mismatch { line, column, value, expected } = mismatch;
        let value = crate::words::shorten(&value);
        Self { line, said: format!("line {line}, column {column}: \"{value}\" - expected {expected}") }
    }
}

/// What speaks against a row: its string is unknown, or cannot be meant.
fn mismatch(page: &Page<'_>, row: &ReportRow, unit: Unit) -> Result<Option<Mismatch>, AppError> {
    let Some(stored) = page.string(&row.serial)? else {
        return Ok(Some(Mismatch {
            line: row.line,
            column: "serial",
            value: row.serial.clone(),
            expected: if page.has_string(&row.serial)? {
                format!("a string that is not struck; fistmele sold show {} says why it is", row.serial)
            } else {
                "a string that is in the book; import what was sold first".to_owned()
            },
        }));
    };
    Ok(beside_string(row, &stored.string, unit))
}

/// What a row says that cannot be of its string.
fn beside_string(row: &ReportRow, string: &SoldString, unit: Unit) -> Option<Mismatch> {
    let mismatch = |column, value: String, error: Implausible| Mismatch {
        line: row.line,
        column,
        value,
        expected: error.needed,
    };
    if let Err(error) = plausible::reported(row.reported_on, &string.serial, string.sold_on) {
        return Some(mismatch("reported_on", row.reported_on.to_string(), error));
    }
    if let Some(brace) = row.brace
        && let Err(error) = plausible::brace_high(brace, string.length(), unit)
    {
        return Some(mismatch("brace", show_length(brace, unit), error));
    }
    let (built, changed) = string.turns.zip(row.turns_changed)?;
    let error = plausible::turns_after(built.value(), changed).err()?;
    Some(mismatch("turns_changed", changed.to_string(), error))
}

fn kept(row: &ReportRow) -> Result<String, AppError> {
    // Notes may hold personal words, so they are not kept here.
    let kept: serde_json::Map<String, serde_json::Value> = row
        .given
        .iter()
        .filter(|(column, _)| *column != "note")
        .map(|(column, value)| ((*column).to_owned(), value.clone().into()))
        .collect();
    serde_json::to_string(&kept).map_err(|error| AppError::Internal(error.to_string()))
}

fn symptoms(row: &ReportRow) -> Vec<Symptom> {
    let by_direction = row.direction.map(|direction| match direction {
        Direction::Long => Symptom::TooLong,
        Direction::Short => Symptom::TooShort,
    });
    let mut symptoms: Vec<Symptom> = row.symptom.into_iter().chain(by_direction).collect();
    symptoms.dedup();
    symptoms
}

fn settlement(row: &ReportRow, stored: &StoredString, rules: &Rules) -> Option<Settlement> {
    let outcome = row.outcome.filter(|outcome| *outcome != Outcome::Unfinished)?;
    let cause = of_old_report(&stored.string, row.right_length, rules);
    Some(Settlement {
        settled_on: row.settled_on.unwrap_or(row.reported_on),
        outcome,
        cause,
        proposed_cause: cause,
        right_length: row.right_length,
    })
}

fn add(
    page: &Page<'_>,
    row: &ReportRow,
    kept: &str,
    rules: &Rules,
    author: &Author,
) -> Result<bool, AppError> {
    let stored = page.string(&row.serial)?.ok_or_else(|| {
        AppError::refused(
            format!("line {}: there is no string {}", row.line, row.serial),
            "run the import again",
        )
    })?;
    if page.has_imported(stored.id, kept)? {
        return Ok(false);
    }
    let number = page.add_report(stored.id, row.reported_on, &symptoms(row))?;
    page.add_reading(
        number,
        row.reported_on,
        &Measurements {
            brace: row.brace,
            turns_changed: row.turns_changed,
            shots: row.shots,
            ..Measurements::default()
        },
    )?;
    page.set_imported(number, kept, row.direction)?;
    if let Some(note) = &row.note {
        page.add_text(number, row.reported_on, note)?;
    }
    page.log(author, event(Step::Reported, &stored, number))?;
    if let Some(cents) = row.cost_cents.filter(|cents| *cents > 0) {
        page.add_cost(number, row.reported_on, CostOf::History, cents)?;
    }
    if let Some(settlement) = settlement(row, &stored, rules) {
        page.add_settlement(number, &settlement)?;
        page.log(author, event(Step::Settled, &stored, number))?;
    }
    Ok(true)
}

/// Imports old reports in one transaction: `rows` is given what takes them, one after the other.
/// Rows that are in the book already stay as they are. A trial run keeps nothing.
///
/// # Errors
/// Whatever `rows` fails with, or the book cannot be written; then nothing is.
pub fn import<E: From<AppError> + From<BookError>>(
    book: &mut Book,
    dry_run: bool,
    author: &Author,
    rows: impl FnOnce(&mut dyn Rows<ReportRow>) -> Result<(), E>,
) -> Result<Imported, E> {
    let work = |page: &Page<'_>| {
        let rules = super::page_rules(page)?;
        let mut reports = OldReports { page, author, rules, done: Imported::default() };
        rows(&mut reports)?;
        Ok(reports.done)
    };
    if dry_run { book.rehearse(work) } else { book.write(work) }
}

/// Where rows of old reports go.
struct OldReports<'p> {
    page: &'p Page<'p>,
    author: &'p Author,
    rules: Rules,
    done: Imported,
}

impl Rows<ReportRow> for OldReports<'_> {
    fn take(&mut self, row: ReportRow, write: bool) -> Result<Option<Fault>, AppError> {
        if let Some(mismatch) = mismatch(self.page, &row, self.rules.units)? {
            return Ok(Some(mismatch.into()));
        }
        if write {
            let added = add(self.page, &row, &kept(&row)?, &self.rules, self.author)?;
            self.done.added += usize::from(added);
            self.done.unchanged += usize::from(!added);
        }
        Ok(None)
    }
}
