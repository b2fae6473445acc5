//! Questions that a mail left open, to be asked back in the next letter.

use super::{BookError, Page};

impl Page<'_> {
    /// Keeps the questions that the newest reading of a report leaves open: only these count.
    ///
    /// # Errors
    /// The database refuses.
    pub fn set_open_questions(&self, report: i64, questions: &[String]) -> Result<(), BookError> {
        const ADD: &str = "INSERT INTO main.open_question (report_number, question, reading_id)
            VALUES (?1, ?2, (SELECT max(id) FROM main.reading WHERE report_number = ?1))";
        let mut statement = self.transaction.prepare_cached(ADD)?;
        for question in questions {
            statement.execute((report, question))?;
        }
        Ok(())
    }

    /// The open questions of a report.
    ///
    /// # Errors
    /// The database refuses.
    pub fn open_questions(&self, report: i64) -> Result<Vec<String>, BookError> {
        const SQL: &str = "SELECT question FROM open_question WHERE report_number = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let questions = statement.query_map([report], |row| row.get(0))?.collect::<Result<_, _>>()?;
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
