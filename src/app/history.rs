//! Who did what, when: ids and field names, no personal values.

use chrono::NaiveDate;
use serde::Serialize;

use super::error::AppError;
use super::reports::find_any_report;
use super::sold::find_any_string;
use crate::book::{Book, HistoryOf};

/// A line of the history.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct HistoryLineView {
    /// Place in the history.
    pub line: i64,
    /// Day.
    pub day: NaiveDate,
    /// Who.
    pub who: String,
    /// In one word.
    pub what: String,
    /// Serial of the string concerned.
    pub string: Option<String>,
    /// `R-<number>` of the report concerned.
    pub report: Option<String>,
    /// Names of the fields concerned.
    pub fields: Vec<String>,
}

/// The history.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct HistoryView {
    /// Newest first.
    pub lines: Vec<HistoryLineView>,
    /// How many there are in all.
    pub of: i64,
}

/// The newest lines of the history: of the book, of a string with its reports, or of a report.
///
/// # Errors
/// Unknown string or report, or the book cannot be read.
pub fn history(
    book: &mut Book,
    string: Option<&str>,
    report: Option<&str>,
    most: u32,
) -> Result<HistoryView, AppError> {
    book.read(|page| {
        let of = match (string, report) {
            (_, Some(report)) => HistoryOf::Report(find_any_report(page, report)?.0.report.number),
            (Some(serial), None) => HistoryOf::String(find_any_string(page, serial)?.id),
            (None, None) => HistoryOf::Book,
        };
        let lines = page
            .history(of, most)?
            .into_iter()
            .map(|line| HistoryLineView {
                line: line.id,
                day: line.day,
                who: line.who,
                what: line.what,
                string: line.serial,
                report: line.report.map(|number| format!("R-{number}")),
                fields: line.fields.split_whitespace().map(str::to_owned).collect(),
            })
            .collect();
        Ok(HistoryView { lines, of: page.history_length(of)? })
    })
}
