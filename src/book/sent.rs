//! Letters as they went out.

use chrono::NaiveDate;
use rusqlite::Row;

use super::{BookError, Page};
use crate::trade::standing::Step;

/// A letter as it went out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SentLetter {
    /// Day.
    pub sent_on: NaiveDate,
    /// What kind of letter.
    pub kind: String,
    /// Address it went to, as far as the book knew one.
    pub to: Option<String>,
    /// Its text.
    pub text: String,
}

fn sent_letter(row: &Row<'_>) -> rusqlite::Result<SentLetter> {
    Ok(SentLetter {
        sent_on: row.get("sent_on")?,
        kind: row.get("kind")?,
        to: row.get("sent_to")?,
        text: row.get("body")?,
    })
}

impl Page<'_> {
    /// Keeps a letter to the archer of a string, about a report of it where there is one. Where it is
    /// a `step` of that report, it belongs to the last line of the history that says so.
    ///
    /// # Errors
    /// The database refuses.
    pub fn keep_letter(
        &self,
        string: i64,
        report: Option<i64>,
        letter: &SentLetter,
        step: Option<Step>,
    ) -> Result<(), BookError> {
        const SQL: &str = "INSERT INTO main.sent_letter (string_id, report_number, sent_on, kind, sent_to, body, event_id) VALUES (?1, ?2, ?3, ?4, ?5, ?6,
            (SELECT max(id) FROM event WHERE report_number = ?2 AND what = ?7))";
        self.transaction.prepare_cached(SQL)?.execute((
            string,
            report,
            letter.sent_on,
            &letter.kind,
            &letter.to,
            &letter.text,
            step.map(Step::as_str),
        ))?;
        Ok(())
    }

    /// Letters about a report, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn letters_of_report(&self, report: i64) -> Result<Vec<SentLetter>, BookError> {
        const SQL: &str =
            "SELECT sent_on, kind, sent_to, body FROM sent_letter WHERE report_number = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        Ok(statement.query_map([report], sent_letter)?.collect::<Result<_, _>>()?)
    }

    /// Letters about a report, struck or not, oldest first, with the line of the history that says
    /// that they went out, where they were a step of it.
    ///
    /// # Errors
    /// The database refuses.
    pub fn all_letters_of_report(&self, report: i64) -> Result<Vec<(Option<i64>, SentLetter)>, BookError> {
        const SQL: &str = "SELECT event_id, sent_on, kind, sent_to, body FROM main.sent_letter WHERE report_number = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let letters = statement
            .query_map([report], |row| Ok((row.get("event_id")?, sent_letter(row)?)))?
            .collect::<Result<_, _>>()?;
        Ok(letters)
    }

    /// Letters about a string that no report led to, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn letters_without_report(&self, string: i64) -> Result<Vec<SentLetter>, BookError> {
        const SQL: &str = "SELECT sent_on, kind, sent_to, body FROM sent_letter WHERE string_id = ?1 AND report_number IS NULL ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        Ok(statement.query_map([string], sent_letter)?.collect::<Result<_, _>>()?)
    }
}
