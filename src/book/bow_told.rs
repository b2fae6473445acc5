//! What readings told of a bow, and what was known of it before.

use super::{BookError, Page};

/// What one reading told of its bow. Both are JSON, values by the names of a bow's record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BowTold {
    /// Row.
    pub id: i64,
    /// Everything that was known before.
    pub before: String,
    /// What was told.
    pub told: String,
}

impl Page<'_> {
    /// Keeps what the newest reading of a report told of the bow.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_bow_told(&self, report: i64, before: &str, told: &str) -> Result<(), BookError> {
        const SQL: &str = "INSERT INTO bow_told (reading_id, before, told)
            VALUES ((SELECT max(id) FROM main.reading WHERE report_number = ?1), ?2, ?3)";
        self.transaction.prepare_cached(SQL)?.execute((report, before, told))?;
        Ok(())
    }

    /// What counts of what was told of a bow, oldest first: without what came in with a struck report
    /// or reading.
    ///
    /// # Errors
    /// The database refuses.
    pub fn told_of_bow(&self, bow: i64) -> Result<Vec<BowTold>, BookError> {
        const SQL: &str = "SELECT t.id, t.before, t.told FROM string s
                JOIN report r ON r.string_id = s.id JOIN main.reading g ON g.report_number = r.number
                JOIN bow_told t ON t.reading_id = g.id
            WHERE s.bow_id = ?1 AND g.id NOT IN (SELECT id FROM struck_reading) ORDER BY t.id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let told = statement
            .query_map([bow], |row| {
                Ok(BowTold { id: row.get("id")?, before: row.get("before")?, told: row.get("told")? })
            })?
            .collect::<Result<_, _>>()?;
        Ok(told)
    }
}
