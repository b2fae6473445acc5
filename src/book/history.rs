//! The history: who did what, when.

use chrono::NaiveDate;

use super::{BookError, Page};

/// A line of the history.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HistoryLine {
    /// Row.
    pub id: i64,
    /// Day.
    pub day: NaiveDate,
    /// Who.
    pub who: String,
    /// In one word.
    pub what: String,
    /// Serial of the string concerned.
    pub serial: Option<String>,
    /// Number of the report concerned.
    pub report: Option<i64>,
    /// Names of the fields concerned.
    pub fields: String,
}

/// Of what the history is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum HistoryOf {
    /// The whole book.
    Book,
    /// A string (row) with its reports.
    String(i64),
    /// A report.
    Report(i64),
}

macro_rules! history {
    ($where:literal) => {
        concat!(
            "SELECT e.id, e.day, e.who, e.what, s.serial, e.report_number, e.fields FROM main.event e LEFT JOIN main.string s ON s.id = e.string_id ",
            $where,
            " ORDER BY e.id DESC LIMIT ?1"
        )
    };
}

impl Page<'_> {
    /// The newest lines of the history, newest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn history(&self, of: HistoryOf, most: u32) -> Result<Vec<HistoryLine>, BookError> {
        const OF_BOOK: &str = history!("");
        const OF_STRING: &str = history!("WHERE e.string_id = ?2");
        const OF_REPORT: &str = history!("WHERE e.report_number = ?2");
        let read = |row: &rusqlite::Row<'_>| {
            Ok(HistoryLine {
                id: row.get("id")?,
                day: row.get("day")?,
                who: row.get("who")?,
                what: row.get("what")?,
                serial: row.get("serial")?,
                report: row.get("report_number")?,
                fields: row.get("fields")?,
            })
        };
        let (sql, id) = match of {
            HistoryOf::Book => (OF_BOOK, None),
            HistoryOf::String(id) => (OF_STRING, Some(id)),
            HistoryOf::Report(number) => (OF_REPORT, Some(number)),
        };
        let mut statement = self.transaction.prepare_cached(sql)?;
        let lines = match id {
            None => statement.query_map([i64::from(most)], read)?.collect::<Result<_, _>>()?,
            Some(id) => statement.query_map([i64::from(most), id], read)?.collect::<Result<_, _>>()?,
        };
        Ok(lines)
    }

    /// The newest line of the history; none of an empty one.
    ///
    /// # Errors
    /// The database refuses.
    pub fn newest_line(&self) -> Result<Option<i64>, BookError> {
        const SQL: &str = "SELECT max(id) FROM main.event";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([], |row| row.get(0))?)
    }

    /// How many lines the history has.
    ///
    /// # Errors
    /// The database refuses.
    pub fn history_length(&self, of: HistoryOf) -> Result<i64, BookError> {
        const OF_BOOK: &str = "SELECT count(*) FROM main.event";
        const OF_STRING: &str = "SELECT count(*) FROM main.event WHERE string_id = ?1";
        const OF_REPORT: &str = "SELECT count(*) FROM main.event WHERE report_number = ?1";
        let (sql, id) = match of {
            HistoryOf::Book => (OF_BOOK, None),
            HistoryOf::String(id) => (OF_STRING, Some(id)),
            HistoryOf::Report(number) => (OF_REPORT, Some(number)),
        };
        let mut statement = self.transaction.prepare_cached(sql)?;
        Ok(match id {
            None => statement.query_row([], |row| row.get(0))?,
            Some(id) => statement.query_row([id], |row| row.get(0))?,
        })
    }
}
