//! Archers and their bows.

use std::ops::Range;

use chrono::NaiveDate;
use rusqlite::{OptionalExtension, named_params};
use serde::Serialize;

use super::rows::{self, Named, insert_all};
use super::{BookError, Page};
use crate::quantity::{DrawWeight, LengthRange, Unit};
use crate::trade::records::{Archer, BowProfile};

/// An archer with the row that holds the personal values.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredArcher {
    /// Row.
    pub id: i64,
    /// Name and address.
    pub archer: Archer,
    /// The unit they measure in, where it is known.
    pub unit: Option<Unit>,
}

/// An address that an archer wrote from before.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FormerAddress {
    /// The address.
    pub email: String,
    /// Until when letters went there.
    pub until_on: NaiveDate,
}

/// The columns of what is known of a bow.
macro_rules! bow_columns {
    () => {
        "kind, marked_inch, nock_to_nock_inch, draw_weight_lb, draw_at_inch, brace_low_inch, brace_high_inch, range_unknown, tips, stave, year, maker_allows_low_stretch"
    };
}

impl Page<'_> {
    /// Adds an archer.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_archer(&self, archer: &Archer) -> Result<i64, BookError> {
        Ok(self.add_archers(&[archer])?.start)
    }

    /// Adds archers; gives their rows, which follow each other.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_archers(&self, archers: &[&Archer]) -> Result<Range<i64>, BookError> {
        insert_all!(self, "archer", archers, |archer| { name: archer.name, email: archer.email })
    }

    /// The archer of an address, or a former one, and name; without an address, of a name alone with no address.
    ///
    /// # Errors
    /// The database refuses.
    pub fn archer_like(&self, archer: &Archer) -> Result<Option<i64>, BookError> {
        // One statement asks for both addresses: an import asks for each of its rows.
        const BY_EMAIL: &str = "SELECT coalesce((SELECT id FROM archer WHERE email = ?1 COLLATE NOCASE AND name IS ?2 ORDER BY id LIMIT 1),
            (SELECT min(a.id) FROM former_address f JOIN archer a ON a.id = f.archer_id WHERE f.email = ?1 COLLATE NOCASE AND a.name IS ?2))";
        const BY_NAME: &str =
            "SELECT id FROM archer WHERE name = ?1 COLLATE NOCASE AND email IS NULL ORDER BY id LIMIT 1";
        Ok(match (&archer.email, &archer.name) {
            (Some(email), name) => {
                self.transaction.prepare_cached(BY_EMAIL)?.query_row((email, name), |row| row.get(0))?
            }
            (None, Some(name)) => {
                self.transaction.prepare_cached(BY_NAME)?.query_row([name], |row| row.get(0)).optional()?
            }
            (None, None) => None,
        })
    }

    /// The archer of a row.
    ///
    /// # Errors
    /// The database refuses.
    pub fn archer(&self, id: i64) -> Result<StoredArcher, BookError> {
        const SQL: &str = "SELECT name, email, unit FROM archer WHERE id = ?1";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        Ok(statement.query_row([id], |row| {
            let archer = Archer { name: row.get("name")?, email: row.get("email")? };
            Ok(StoredArcher { id, archer, unit: row.get("unit")? })
        })?)
    }

    /// Keeps the unit that an archer measures in; none: nobody knows.
    ///
    /// # Errors
    /// The database refuses.
    pub fn set_archer_unit(&self, id: i64, unit: Option<Unit>) -> Result<(), BookError> {
        const SQL: &str = "UPDATE archer SET unit = ?2 WHERE id = ?1";
        self.transaction.prepare_cached(SQL)?.execute((id, unit))?;
        Ok(())
    }

    /// Addresses that an archer wrote from before.
    ///
    /// # Errors
    /// The database refuses.
    pub fn former_addresses(&self, archer: i64) -> Result<Vec<FormerAddress>, BookError> {
        const SQL: &str = "SELECT email, until_on FROM former_address WHERE archer_id = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let former = statement
            .query_map([archer], |row| {
                Ok(FormerAddress { email: row.get("email")?, until_on: row.get("until_on")? })
            })?
            .collect::<Result<_, _>>()?;
        Ok(former)
    }

    /// Takes the address of an archer back that was noted by mistake: a former one is theirs again.
    ///
    /// # Errors
    /// The database refuses.
    pub fn address_back(&self, archer: i64, former: &str) -> Result<(), BookError> {
        const GONE: &str = "DELETE FROM former_address WHERE archer_id = ?1 AND email = ?2 COLLATE NOCASE";
        const NOW: &str = "UPDATE archer SET email = ?2 WHERE id = ?1";
        self.transaction.prepare_cached(GONE)?.execute((archer, former))?;
        self.transaction.prepare_cached(NOW)?.execute((archer, former))?;
        Ok(())
    }

    /// Whether the archer of a string got another address by the message whose first line of the history
    /// this is: nothing but its bow comes between.
    ///
    /// # Errors
    /// The database refuses.
    pub fn moved_with(&self, string: i64, line: i64) -> Result<bool, BookError> {
        const SQL: &str = "SELECT 1 FROM event e WHERE e.string_id = ?1 AND e.what = 'address' AND e.id < ?2
            AND NOT EXISTS (SELECT 1 FROM event b WHERE b.id > e.id AND b.id < ?2 AND b.what NOT IN ('bow', 'address'))";
        Ok(self.transaction.prepare_cached(SQL)?.exists((string, line))?)
    }

    /// Keeps another address of an archer, and the one before it as a former one.
    ///
    /// # Errors
    /// The database refuses.
    pub fn change_address(&self, archer: i64, email: &str, day: NaiveDate) -> Result<(), BookError> {
        const BACK: &str = "DELETE FROM former_address WHERE archer_id = ?1 AND email = ?2 COLLATE NOCASE";
        const FORMER: &str = "INSERT INTO former_address (archer_id, email, until_on) SELECT id, email, ?2 FROM archer WHERE id = ?1 AND email IS NOT NULL";
        const NOW: &str = "UPDATE archer SET email = ?2 WHERE id = ?1";
        self.transaction.prepare_cached(BACK)?.execute((archer, email))?;
        self.transaction.prepare_cached(FORMER)?.execute((archer, day))?;
        self.transaction.prepare_cached(NOW)?.execute((archer, email))?;
        Ok(())
    }

    /// Adds a bow of an archer.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_bow(&self, archer: i64, bow: &BowProfile) -> Result<i64, BookError> {
        Ok(self.add_bows(&[(archer, bow)])?.start)
    }

    /// Adds bows, each of an archer; gives their rows, which follow each other.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_bows(&self, bows: &[(i64, &BowProfile)]) -> Result<Range<i64>, BookError> {
        insert_all!(self, "bow", bows, |(archer, bow)| {
            archer_id: archer,
            kind: bow.kind,
            marked_inch: bow.marked_length,
            nock_to_nock_inch: bow.nock_to_nock,
            draw_weight_lb: bow.draw_weight.map(DrawWeight::pounds),
            draw_at_inch: bow.draw_weight.and_then(DrawWeight::at),
            brace_low_inch: bow.brace_range.map(LengthRange::low),
            brace_high_inch: bow.brace_range.map(LengthRange::high),
            range_unknown: bow.range_unknown,
            tips: bow.tips,
            stave: bow.stave,
            year: bow.year,
            maker_allows_low_stretch: bow.maker_allows_low_stretch,
        })
    }

    /// Writes a corrected bow profile.
    ///
    /// # Errors
    /// The database refuses.
    pub fn change_bow(&self, id: i64, bow: &BowProfile) -> Result<(), BookError> {
        const SQL: &str = "UPDATE bow SET kind = :kind, marked_inch = :marked_inch, nock_to_nock_inch = :nock_to_nock_inch, draw_weight_lb = :draw_weight_lb, draw_at_inch = :draw_at_inch, brace_low_inch = :brace_low_inch, brace_high_inch = :brace_high_inch, range_unknown = :range_unknown, tips = :tips, stave = :stave, year = :year, maker_allows_low_stretch = :maker_allows_low_stretch WHERE id = :row";
        self.transaction.prepare_cached(SQL)?.execute(named_params! {
            ":row": id,
            ":kind": bow.kind,
            ":marked_inch": bow.marked_length,
            ":nock_to_nock_inch": bow.nock_to_nock,
            ":draw_weight_lb": bow.draw_weight.map(DrawWeight::pounds),
            ":draw_at_inch": bow.draw_weight.and_then(DrawWeight::at),
            ":brace_low_inch": bow.brace_range.map(LengthRange::low),
            ":brace_high_inch": bow.brace_range.map(LengthRange::high),
            ":range_unknown": bow.range_unknown,
            ":tips": bow.tips,
            ":stave": bow.stave,
            ":year": bow.year,
            ":maker_allows_low_stretch": bow.maker_allows_low_stretch,
        })?;
        Ok(())
    }

    /// The bow of a row.
    ///
    /// # Errors
    /// The database refuses.
    pub fn bow(&self, id: i64) -> Result<BowProfile, BookError> {
        const SQL: &str = concat!("SELECT ", bow_columns!(), " FROM bow WHERE id = ?1");
        Ok(self.transaction.prepare_cached(SQL)?.query_row([id], |row| rows::bow(&mut Named::of(row)))?)
    }

    /// The bows of an archer, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn bows_of_archer(&self, archer: i64) -> Result<Vec<(i64, BowProfile)>, BookError> {
        const SQL: &str =
            concat!("SELECT id, ", bow_columns!(), " FROM bow WHERE archer_id = ?1 ORDER BY id");
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let bows = statement
            .query_map([archer], |row| {
                let row = &mut Named::of(row);
                Ok((row.get("id")?, rows::bow(row)?))
            })?
            .collect::<Result<_, _>>()?;
        Ok(bows)
    }

    /// Takes out a bow that no string is for any more.
    ///
    /// # Errors
    /// The database refuses.
    pub fn drop_bow_without_strings(&self, id: i64) -> Result<(), BookError> {
        const SQL: &str =
            "DELETE FROM bow WHERE id = ?1 AND NOT EXISTS (SELECT 1 FROM main.string WHERE bow_id = ?1)";
        self.transaction.prepare_cached(SQL)?.execute([id])?;
        Ok(())
    }
}
