//! The workshop's settings; every change is kept with its day.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::{BookError, Page};

/// A change of a setting.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SettingChange {
    /// Kept value; empty for "back to the default".
    pub value: String,
    /// Day.
    pub set_on: NaiveDate,
    /// Why, where it was said.
    pub why: Option<String>,
}

impl Page<'_> {
    /// Kept values in force, by name.
    ///
    /// # Errors
    /// The database refuses.
    pub fn settings(&self) -> Result<BTreeMap<String, String>, BookError> {
        const SQL: &str = "SELECT name, value FROM setting ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let settings = statement
            .query_map([], |row| Ok((row.get("name")?, row.get("value")?)))?
            .collect::<Result<_, _>>()?;
        Ok(settings)
    }

    /// Why the values in force were set, by name, where it was said.
    ///
    /// # Errors
    /// The database refuses.
    pub fn setting_reasons(&self) -> Result<BTreeMap<String, String>, BookError> {
        const SQL: &str = "SELECT name, why FROM setting WHERE why IS NOT NULL AND id IN (SELECT max(id) FROM setting GROUP BY name)";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let reasons = statement
            .query_map([], |row| Ok((row.get("name")?, row.get("why")?)))?
            .collect::<Result<_, _>>()?;
        Ok(reasons)
    }

    /// Keeps a new value; the old one stays in the history.
    ///
    /// # Errors
    /// The database refuses.
    pub fn set_setting(&self, name: &str, change: &SettingChange) -> Result<(), BookError> {
        const SQL: &str = "INSERT INTO setting (name, value, set_on, why) VALUES (?1, ?2, ?3, ?4)";
        self.transaction.prepare_cached(SQL)?.execute((name, &change.value, change.set_on, &change.why))?;
        Ok(())
    }

    /// All changes of a setting, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn setting_changes(&self, name: &str) -> Result<Vec<SettingChange>, BookError> {
        const SQL: &str = "SELECT value, set_on, why FROM setting WHERE name = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let changes = statement
            .query_map([name], |row| {
                Ok(SettingChange {
                    value: row.get("value")?,
                    set_on: row.get("set_on")?,
                    why: row.get("why")?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(changes)
    }
}
