//! Old reports that came from a spreadsheet.

use super::{BookError, Page};
use crate::trade::words::Direction;

impl Page<'_> {
    /// Notes what the spreadsheet's row said of a report, and the direction it gave.
    ///
    /// # Errors
    /// The database refuses.
    pub fn set_imported(
        &self,
        report: i64,
        imported: &str,
        direction: Option<Direction>,
    ) -> Result<(), BookError> {
        const SQL: &str = "UPDATE main.report SET imported = ?2, direction = ?3 WHERE number = ?1";
        self.transaction.prepare_cached(SQL)?.execute((report, imported, direction))?;
        Ok(())
    }

    /// True if a string has a report from just this row, struck or not.
    ///
    /// # Errors
    /// The database refuses.
    pub fn has_imported(&self, string: i64, imported: &str) -> Result<bool, BookError> {
        const SQL: &str = "SELECT EXISTS (SELECT 1 FROM main.report WHERE string_id = ?1 AND imported = ?2)";
        Ok(self.transaction.prepare_cached(SQL)?.query_row((string, imported), |row| row.get(0))?)
    }
}
