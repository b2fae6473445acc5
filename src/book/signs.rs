//! Signs of danger that were read in what archers wrote.

use super::reports::with_reading;
use super::{BookError, Page};
use crate::trade::signs::{ReportSign, Sign, SignStanding};

impl Page<'_> {
    /// Adds a sign to a report, with its newest reading, and gives it the next number.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_sign(&self, report: i64, sign: &Sign, standing: SignStanding) -> Result<(), BookError> {
        const SQL: &str = concat!(
            "INSERT INTO main.sign (report_number, number, kind, sure, words, stands_in, standing, reading_id)
            VALUES (?1, (SELECT coalesce(max(number), 0) + 1 FROM main.sign WHERE report_number = ?1), ?2, ?3, ?4, ?5, ?6, ",
            with_reading!(),
            ")"
        );
        self.transaction.prepare_cached(SQL)?.execute((
            report,
            sign.of,
            sign.sure,
            &sign.words,
            sign.stands_in,
            standing,
        ))?;
        Ok(())
    }

    /// Keeps what somebody says of a sign.
    ///
    /// # Errors
    /// The database refuses.
    pub fn set_sign(&self, report: i64, number: u32, standing: SignStanding) -> Result<(), BookError> {
        const SQL: &str = "INSERT INTO sign_said (sign_id, standing, again)
            SELECT id, ?3, 0 FROM main.sign WHERE report_number = ?1 AND number = ?2";
        self.transaction.prepare_cached(SQL)?.execute((report, number, standing))?;
        Ok(())
    }

    /// Keeps what came of a sign with the newest reading of its report.
    ///
    /// # Errors
    /// The database refuses.
    pub fn set_sign_with_reading(
        &self,
        report: i64,
        number: u32,
        standing: SignStanding,
    ) -> Result<(), BookError> {
        self.said_with_newest(report, number, standing, false)
    }

    /// Keeps that the newest reading of a report holds the words of a sign once more.
    ///
    /// # Errors
    /// The database refuses.
    pub fn sign_again(&self, report: i64, number: u32) -> Result<(), BookError> {
        self.said_with_newest(report, number, SignStanding::Open, true)
    }

    fn said_with_newest(
        &self,
        report: i64,
        number: u32,
        standing: SignStanding,
        again: bool,
    ) -> Result<(), BookError> {
        const SQL: &str = concat!(
            "INSERT INTO sign_said (sign_id, standing, again, reading_id) SELECT id, ?3, ?4, ",
            with_reading!(),
            " FROM main.sign WHERE report_number = ?1 AND number = ?2"
        );
        self.transaction.prepare_cached(SQL)?.execute((report, number, standing, again))?;
        Ok(())
    }

    /// The signs of a report, in the order of their numbers.
    ///
    /// # Errors
    /// The database refuses.
    pub fn signs(&self, report: i64) -> Result<Vec<ReportSign>, BookError> {
        const SQL: &str = "SELECT number, kind, sure, words, stands_in, standing FROM sign WHERE report_number = ?1 ORDER BY number";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let signs = statement
            .query_map([report], |row| {
                Ok(ReportSign {
                    number: row.get("number")?,
                    sign: Sign {
                        of: row.get("kind")?,
                        sure: row.get("sure")?,
                        words: row.get("words")?,
                        stands_in: row.get("stands_in")?,
                    },
                    standing: row.get("standing")?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(signs)
    }
}
