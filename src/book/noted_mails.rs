//! Mails that were noted or put aside: each is known again by its mark.

use chrono::NaiveDate;

use super::{BookError, Page};

/// What became of a mail.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NotedMail {
    /// Day.
    pub on: NaiveDate,
    /// The report it was noted with; absent where it was put aside.
    pub report: Option<i64>,
}

impl Page<'_> {
    /// Keeps that a mail was noted with the newest reading of a report, or put aside where there is
    /// none. With it the names of the mails it stands below and its own, a blank between two, and its
    /// subject.
    ///
    /// # Errors
    /// The database refuses.
    pub fn note_mail(
        &self,
        mark: &str,
        report: Option<i64>,
        (thread, subject): (Option<&str>, Option<&str>),
        day: NaiveDate,
    ) -> Result<(), BookError> {
        const SQL: &str =
            "INSERT INTO main.noted_mail (mark, noted_on, report_number, reading_id, thread, subject)
            VALUES (?1, ?2, ?3, (SELECT max(id) FROM reading WHERE report_number = ?3), ?4, ?5)";
        self.transaction.prepare_cached(SQL)?.execute((mark, day, report, thread, subject))?;
        Ok(())
    }

    /// What became of the mail of a mark, newest first; without what was struck.
    ///
    /// # Errors
    /// The database refuses.
    pub fn noted_mails(&self, mark: &str) -> Result<Vec<NotedMail>, BookError> {
        const SQL: &str =
            "SELECT noted_on, report_number FROM noted_mail WHERE mark = ?1 ORDER BY id DESC LIMIT 100";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let noted = statement
            .query_map([mark], |row| {
                Ok(NotedMail { on: row.get("noted_on")?, report: row.get("report_number")? })
            })?
            .collect::<Result<_, _>>()?;
        Ok(noted)
    }

    /// What a letter about a report stands below: the names of the last mail that has any, with those of
    /// the mails above it, and the subject of that mail.
    ///
    /// # Errors
    /// The database refuses.
    pub fn above_a_letter(&self, report: i64) -> Result<(Option<String>, Option<String>), BookError> {
        const SQL: &str = "SELECT thread, subject FROM noted_mail WHERE report_number = ?1
            ORDER BY thread IS NULL, id DESC LIMIT 1";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let mut rows = statement.query([report])?;
        Ok(match rows.next()? {
            Some(row) => (row.get("thread")?, row.get("subject")?),
            None => (None, None),
        })
    }
}
