//! What a report led to: remakes, costs, its end.

use chrono::NaiveDate;
use rusqlite::OptionalExtension;

use super::rows::insert;
use super::{BookError, Page};
use crate::quantity::Length;
use crate::trade::words::{Cause, CostOf, Outcome};

/// A replacement made for a report.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StoredRemake {
    /// Row.
    pub id: i64,
    /// Row of the new string.
    pub string_id: i64,
    /// Serial of the new string.
    pub serial: String,
    /// Day it went to the bench.
    pub made_on: NaiveDate,
    /// Day it was posted.
    pub sent_on: Option<NaiveDate>,
    /// Day the old string came back.
    pub back_on: Option<NaiveDate>,
}

/// How a report ended.
#[derive(Debug, Clone, PartialEq)]
pub struct Settlement {
    /// Day.
    pub settled_on: NaiveDate,
    /// Outcome.
    pub outcome: Outcome,
    /// Cause.
    pub cause: Cause,
    /// Cause the evidence proposed.
    pub proposed_cause: Cause,
    /// Right length, loaded.
    pub right_length: Option<Length>,
}

impl Page<'_> {
    /// Notes a replacement made for a report.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_remake(&self, report: i64, string: i64, made_on: NaiveDate) -> Result<(), BookError> {
        const SQL: &str = "INSERT INTO main.remake (report_number, string_id, made_on) VALUES (?1, ?2, ?3)";
        self.transaction.prepare_cached(SQL)?.execute((report, string, made_on))?;
        Ok(())
    }

    /// Replacements made for a report, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn remakes(&self, report: i64) -> Result<Vec<StoredRemake>, BookError> {
        const SQL: &str = "SELECT m.id, m.string_id, s.serial, m.made_on, m.sent_on, m.back_on FROM remake m JOIN string s ON s.id = m.string_id WHERE m.report_number = ?1 ORDER BY m.id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let remakes = statement
            .query_map([report], |row| {
                Ok(StoredRemake {
                    id: row.get("id")?,
                    string_id: row.get("string_id")?,
                    serial: row.get("serial")?,
                    made_on: row.get("made_on")?,
                    sent_on: row.get("sent_on")?,
                    back_on: row.get("back_on")?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(remakes)
    }

    /// The report that a string was made again for, if it is a replacement.
    ///
    /// # Errors
    /// The database refuses.
    pub fn made_again_for(&self, string: i64) -> Result<Option<i64>, BookError> {
        const SQL: &str = "SELECT report_number FROM remake WHERE string_id = ?1";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([string], |row| row.get(0)).optional()?)
    }

    /// Notes that a replacement was posted; from now on its string counts as on its way.
    ///
    /// # Errors
    /// The database refuses.
    pub fn remake_sent(&self, id: i64, day: NaiveDate) -> Result<(), BookError> {
        const SQL: &str = "UPDATE main.remake SET sent_on = ?2 WHERE id = ?1";
        self.transaction.prepare_cached(SQL)?.execute((id, day))?;
        Ok(())
    }

    /// Notes that the old string came back.
    ///
    /// # Errors
    /// The database refuses.
    pub fn remake_back(&self, id: i64, day: NaiveDate) -> Result<(), BookError> {
        const SQL: &str = "UPDATE main.remake SET back_on = ?2 WHERE id = ?1";
        self.transaction.prepare_cached(SQL)?.execute((id, day))?;
        Ok(())
    }

    /// Adds money that went into a report.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_cost(&self, report: i64, day: NaiveDate, what: CostOf, cents: i64) -> Result<(), BookError> {
        const SQL: &str = "INSERT INTO main.cost (report_number, day, what, cents, event_id) VALUES (?1, ?2, ?3, ?4,
            (SELECT max(id) FROM main.event WHERE report_number = ?1 AND ((?3 = 'answer' AND what IN ('letter', 'look-over')) OR (?3 = 'remake' AND what = 'remake'))))";
        self.transaction.prepare_cached(SQL)?.execute((report, day, what, cents))?;
        Ok(())
    }

    /// Money that went into a report.
    ///
    /// # Errors
    /// The database refuses.
    pub fn cost_of_report(&self, report: i64) -> Result<i64, BookError> {
        const SQL: &str = "SELECT coalesce(sum(cents), 0) FROM cost WHERE report_number = ?1";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([report], |row| row.get(0))?)
    }

    /// Money that went into all reports of an archer's strings.
    ///
    /// # Errors
    /// The database refuses.
    pub fn cost_of_archer(&self, archer: i64) -> Result<i64, BookError> {
        const SQL: &str = "SELECT coalesce(sum(c.cents), 0) FROM cost c JOIN report r ON r.number = c.report_number JOIN string s ON s.id = r.string_id WHERE s.archer_id = ?1";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([archer], |row| row.get(0))?)
    }

    /// Notes how a report ended.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_settlement(&self, report: i64, settlement: &Settlement) -> Result<(), BookError> {
        insert!(self, "settlement", {
            report_number: report,
            settled_on: settlement.settled_on,
            outcome: settlement.outcome,
            cause: settlement.cause,
            proposed_cause: settlement.proposed_cause,
            right_length_inch: settlement.right_length,
        })?;
        Ok(())
    }

    /// How a report last ended.
    ///
    /// # Errors
    /// The database refuses.
    pub fn settlement(&self, report: i64) -> Result<Option<Settlement>, BookError> {
        const SQL: &str = "SELECT settled_on, outcome, cause, proposed_cause, right_length_inch FROM settlement WHERE report_number = ?1 ORDER BY id DESC LIMIT 1";
        Ok(self
            .transaction
            .prepare_cached(SQL)?
            .query_row([report], |row| {
                Ok(Settlement {
                    settled_on: row.get("settled_on")?,
                    outcome: row.get("outcome")?,
                    cause: row.get("cause")?,
                    proposed_cause: row.get("proposed_cause")?,
                    right_length: row.get("right_length_inch")?,
                })
            })
            .optional()?)
    }
}
