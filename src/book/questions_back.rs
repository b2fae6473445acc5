//! Questions that a mail left open, to be asked back in the next letter.

use super::{BookError, Page};
use crate::trade::ask::OpenQuestion;

impl Page<'_> {
    /// Keeps the questions that the newest reading of a report leaves open: only these count.
    ///
    /// # Errors
    /// The database refuses.
    pub fn set_open_questions(&self, report: i64, questions: &[OpenQuestion]) -> Result<(), BookError> {
        const ADD: &str = "INSERT INTO main.open_question (report_number, question, about, reading_id)
            VALUES (?1, ?2, ?3, (SELECT max(id) FROM main.reading WHERE report_number = ?1))";
        let mut statement = self.transaction.prepare_cached(ADD)?;
        for question in questions {
            statement.execute((report, &question.question, question.about))?;
        }
        Ok(())
    }

    /// The open questions of a report.
    ///
    /// # Errors
    /// The database refuses.
    pub fn open_questions(&self, report: i64) -> Result<Vec<OpenQuestion>, BookError> {
        const SQL: &str = "SELECT question, about FROM open_question WHERE report_number = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let open = |row: &rusqlite::Row<'_>| {
            Ok(OpenQuestion { about: row.get("about")?, question: row.get("question")? })
        };
        let questions = statement.query_map([report], open)?.collect::<Result<_, _>>()?;
        Ok(questions)
    }

    /// Archers of an address, or a former one.
    ///
    /// # Errors
    /// The database refuses.
    pub fn archers_of_address(&self, address: &str) -> Result<Vec<i64>, BookError> {
        const SQL: &str = "SELECT id FROM archer WHERE email = ?1 COLLATE NOCASE UNION SELECT archer_id FROM former_address WHERE email = ?1 COLLATE NOCASE ORDER BY 1";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let archers = statement.query_map([address], |row| row.get(0))?.collect::<Result<_, _>>()?;
        Ok(archers)
    }

    /// Serials and orders of the strings of a serial or an order, in whatever case.
    ///
    /// # Errors
    /// The database refuses.
    pub fn strings_called(&self, name: &str) -> Result<Vec<(String, Option<String>)>, BookError> {
        const SQL: &str = "SELECT serial, order_ref FROM string WHERE serial = ?1 UNION SELECT serial, order_ref FROM string WHERE order_ref = ?1 COLLATE NOCASE";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let strings = statement
            .query_map([name], |row| Ok((row.get("serial")?, row.get("order_ref")?)))?
            .collect::<Result<_, _>>()?;
        Ok(strings)
    }

    /// Serials and orders of an archer's strings, newest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn references_of(&self, archer: i64) -> Result<Vec<(String, Option<String>)>, BookError> {
        const SQL: &str = "SELECT serial, order_ref FROM string WHERE archer_id = ?1 ORDER BY id DESC";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let references = statement
            .query_map([archer], |row| Ok((row.get("serial")?, row.get("order_ref")?)))?
            .collect::<Result<_, _>>()?;
        Ok(references)
    }
}
