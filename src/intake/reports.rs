//! Reports of earlier days: a workshop's spreadsheet, row by row.

use chrono::NaiveDate;

use super::cells::{Cells, ReadBefore};
use super::columns::{ColumnMap, Needed};
use super::error::IntakeError;
use super::import::{Import, MAX_ROWS, Plan, Take, import};
use super::vocabulary::OLD_OUTCOMES;
use crate::quantity::{Length, Measure, Turns};
use crate::trade::plausible::SHOTS;
use crate::trade::rules::Rules;
use crate::trade::words::{Direction, Outcome, Symptom};

/// Columns of a file of reports, in the order in which rows keep them.
pub const REPORT_COLUMNS: &[&str] = &[
    "serial",
    "reported_on",
    "symptom",
    "direction",
    "brace",
    "turns_changed",
    "shots",
    "outcome",
    "settled_on",
    "right_length",
    "cost",
    "note",
];

const NEEDED: Needed = &[&["serial"], &["reported_on"], &["symptom", "direction"]];

/// A report, as one row of a file tells it. It has a symptom or a direction or both.
#[derive(Debug, Clone, PartialEq)]
pub struct ReportRow {
    /// Line of the file in which the row starts, counted from 1.
    pub line: u64,
    /// Serial of the string.
    pub serial: String,
    /// Day it came in.
    pub reported_on: NaiveDate,
    /// What the archer complained of.
    pub symptom: Option<Symptom>,
    /// Which way the string was off.
    pub direction: Option<Direction>,
    /// Brace height as reported.
    pub brace: Option<Length>,
    /// Turns put in (+) or taken out (-) by then.
    pub turns_changed: Option<Turns>,
    /// Shots by then.
    pub shots: Option<u32>,
    /// How it ended.
    pub outcome: Option<Outcome>,
    /// Day it ended.
    pub settled_on: Option<NaiveDate>,
    /// The length that was right in the end.
    pub right_length: Option<Length>,
    /// What it cost the workshop, minor units.
    pub cost_cents: Option<i64>,
    /// A note.
    pub note: Option<String>,
    /// Our column name and canonical value of every column of this row that is not empty; as
    /// in [`SoldRow`](super::SoldRow).
    pub given: Vec<(&'static str, String)>,
}

/// Reads a file of reports. `progress` is told the bytes read so far; `take` gets the rows.
///
/// A string may have several reports; equal rows are all given.
///
/// # Errors
/// Faults of the whole file, and whatever `take` gives; faults of rows go to `take`.
pub fn read_reports<E: From<IntakeError>>(
    input: &[u8],
    columns: &ColumnMap,
    rules: &Rules,
    today: NaiveDate,
    progress: &mut dyn FnMut(u64),
    take: Take<'_, ReportRow, E>,
) -> Result<Import, E> {
    let plan = Plan {
        known: REPORT_COLUMNS,
        needed: NEEDED,
        map: columns,
        rules,
        today,
        most_rows: MAX_ROWS,
        read_before: ReadBefore::default(),
    };
    import(input, &plan, progress, |cells, _| read_row(cells), take)
}

/// One row; `None` if anything in it is bad. All cells are read either way.
fn read_row(cells: &mut Cells<'_>) -> Option<ReportRow> {
    let serial = cells.serial();
    cells.need("reported_on", "the day the report came in, such as 2025-03-14");
    let reported_on = cells.date("reported_on");
    if !cells.is_given("symptom") && !cells.is_given("direction") {
        cells.refuse("symptom", "a symptom, or a direction (long or short)");
    }
    let symptom = cells.word("symptom", Symptom::ALL, Symptom::as_str);
    let direction = cells.word("direction", Direction::ALL, Direction::as_str);
    let brace = cells.length("brace", Measure::Brace);
    let turns_changed = cells.turn_change("turns_changed");
    let shots = cells.whole("shots", SHOTS);
    let outcome = cells.word("outcome", OLD_OUTCOMES, Outcome::as_str);
    let settled_on = cells.date("settled_on");
    if let (Some(reported), Some(settled)) = (reported_on, settled_on)
        && settled < reported
    {
        cells.refuse("settled_on", format!("a day not before reported_on, {reported}"));
    }
    let right_length = cells.length("right_length", Measure::StringLength);
    let cost_cents = cells.money("cost");
    let note = cells.text("note");
    if !cells.are_good() {
        return None;
    }
    Some(ReportRow {
        line: cells.place().line,
        serial: serial?,
        reported_on: reported_on?,
        symptom,
        direction,
        brace,
        turns_changed,
        shots,
        outcome,
        settled_on,
        right_length,
        cost_cents,
        note,
        given: cells.take_given(),
    })
}
