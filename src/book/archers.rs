//! Archers and their bows.

use rusqlite::OptionalExtension;
use rusqlite::types::Value;

use super::{BookError, Page, rows};
use crate::quantity::Length;
use crate::trade::records::{Archer, BowProfile};

/// An archer with the row that holds the personal values.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredArcher {
    /// Row.
    pub id: i64,
    /// Name and address.
    pub archer: Archer,
}

/// A row and the values of a bow, in the order in which both statements name them.
fn bow_values(row: i64, bow: &BowProfile) -> [Value; 12] {
    let inches = |length: Option<Length>| Value::from(length.map(Length::inches));
    [
        row.into(),
        bow.kind.as_str().to_owned().into(),
        inches(bow.marked_length),
        inches(bow.nock_to_nock),
        bow.draw_weight.map(|weight| weight.pounds()).into(),
        inches(bow.draw_weight.and_then(|weight| weight.at())),
        inches(bow.brace_range.map(|range| range.low())),
        inches(bow.brace_range.map(|range| range.high())),
        bow.tips.as_str().to_owned().into(),
        bow.stave.as_str().to_owned().into(),
        bow.year.into(),
        bow.maker_allows_low_stretch.into(),
    ]
}

impl Page<'_> {
    /// Adds an archer.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_archer(&self, archer: &Archer) -> Result<i64, BookError> {
        const SQL: &str = "INSERT INTO archer (name, email) VALUES (?1, ?2)";
        self.transaction.prepare_cached(SQL)?.execute((&archer.name, &archer.email))?;
        Ok(self.transaction.last_insert_rowid())
    }

    /// The archer of an address and name; without an address, of a name alone with no address.
    ///
    /// # Errors
    /// The database refuses.
    pub fn archer_like(&self, archer: &Archer) -> Result<Option<i64>, BookError> {
        const BY_EMAIL: &str =
            "SELECT id FROM archer WHERE email = ?1 COLLATE NOCASE AND name IS ?2 ORDER BY id LIMIT 1";
        const BY_NAME: &str =
            "SELECT id FROM archer WHERE name = ?1 COLLATE NOCASE AND email IS NULL ORDER BY id LIMIT 1";
        let found = match (&archer.email, &archer.name) {
            (Some(email), name) => self
                .transaction
                .prepare_cached(BY_EMAIL)?
                .query_row((email, name), |row| row.get(0))
                .optional()?,
            (None, Some(name)) => {
                self.transaction.prepare_cached(BY_NAME)?.query_row([name], |row| row.get(0)).optional()?
            }
            (None, None) => None,
        };
        Ok(found)
    }

    /// The archer of a row.
    ///
    /// # Errors
    /// The database refuses.
    pub fn archer(&self, id: i64) -> Result<StoredArcher, BookError> {
        const SQL: &str = "SELECT name, email FROM archer WHERE id = ?1";
        let archer = self
            .transaction
            .prepare_cached(SQL)?
            .query_row([id], |row| Ok(Archer { name: row.get("name")?, email: row.get("email")? }))?;
        Ok(StoredArcher { id, archer })
    }

    /// Adds a bow of an archer.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_bow(&self, archer: i64, bow: &BowProfile) -> Result<i64, BookError> {
        const SQL: &str = "INSERT INTO bow (archer_id, kind, marked_inch, nock_to_nock_inch, draw_weight_lb, draw_at_inch, brace_low_inch, brace_high_inch, tips, stave, year, maker_allows_low_stretch)
            VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)";
        self.transaction.prepare_cached(SQL)?.execute(bow_values(archer, bow))?;
        Ok(self.transaction.last_insert_rowid())
    }

    /// Writes a corrected bow profile.
    ///
    /// # Errors
    /// The database refuses.
    pub fn change_bow(&self, id: i64, bow: &BowProfile) -> Result<(), BookError> {
        const SQL: &str = "UPDATE bow SET kind = ?2, marked_inch = ?3, nock_to_nock_inch = ?4, draw_weight_lb = ?5, draw_at_inch = ?6, brace_low_inch = ?7, brace_high_inch = ?8, tips = ?9, stave = ?10, year = ?11, maker_allows_low_stretch = ?12 WHERE id = ?1";
        self.transaction.prepare_cached(SQL)?.execute(bow_values(id, bow))?;
        Ok(())
    }

    /// The bow of a row.
    ///
    /// # Errors
    /// The database refuses.
    pub fn bow(&self, id: i64) -> Result<BowProfile, BookError> {
        const SQL: &str = "SELECT kind, marked_inch, nock_to_nock_inch, draw_weight_lb, draw_at_inch, brace_low_inch, brace_high_inch, tips, stave, year, maker_allows_low_stretch FROM bow WHERE id = ?1";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([id], rows::bow)?)
    }

    /// An archer's bow with just this profile, to share it between strings.
    ///
    /// # Errors
    /// The database refuses.
    pub fn bow_like(&self, archer: i64, bow: &BowProfile) -> Result<Option<i64>, BookError> {
        const SQL: &str = "SELECT id, kind, marked_inch, nock_to_nock_inch, draw_weight_lb, draw_at_inch, brace_low_inch, brace_high_inch, tips, stave, year, maker_allows_low_stretch FROM bow WHERE archer_id = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let mut found = statement.query([archer])?;
        while let Some(row) = found.next()? {
            if rows::bow(row)? == *bow {
                return Ok(Some(row.get("id")?));
            }
        }
        Ok(None)
    }
}
