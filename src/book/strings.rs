//! Strings sold.

use std::collections::BTreeMap;
use std::ops::Range;

use chrono::NaiveDate;
use rusqlite::OptionalExtension;

use super::rows::{self, Named, insert_all};
use super::{BookError, Page, StoredArcher};
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::{Construction, Yarn};
use crate::quantity::{Length, Turns};
use crate::trade::records::{BowProfile, SoldString};
use crate::trade::words::Route;

/// A string with the rows it belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredString {
    /// Row.
    pub id: i64,
    /// The string.
    pub string: SoldString,
    /// Row of its bow.
    pub bow_id: i64,
    /// Row of its archer.
    pub archer_id: i64,
    /// What an import said of it, JSON.
    pub imported: Option<String>,
}

/// A string to be added.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NewString<'a> {
    /// The string.
    pub string: &'a SoldString,
    /// Row of its bow.
    pub bow_id: i64,
    /// Row of its archer.
    pub archer_id: i64,
    /// What the import said of it, JSON without personal values.
    pub imported: Option<&'a str>,
}

/// A line of a search.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Serial.
    pub serial: String,
    /// Order.
    pub order_ref: Option<String>,
    /// Archer.
    pub archer: StoredArcher,
    /// Day of sale.
    pub sold_on: chrono::NaiveDate,
    /// Reports of it.
    pub reports: u32,
}

macro_rules! string_columns {
    () => {
        "s.id, s.serial, s.sold_on, s.route, s.ordered_inch, s.built_inch, s.built_at, s.built_across, s.yarn, s.strands, s.plies, s.lay, s.turns, s.loop_top_inch, s.loop_bottom_inch, s.serving_inch, s.pre_stretched, s.silencers, s.order_ref, s.delivered_on, s.stated_inch, s.stated_at, s.offset_inch, s.old_yarn, s.old_make, s.old_measured, s.colours, p.name AS spool, s.maker, s.maker_initials, s.price_cents, r.serial AS replaces, s.bow_id, s.archer_id, s.imported
        FROM main.string s LEFT JOIN spool p ON p.id = s.spool_id LEFT JOIN main.string r ON r.id = s.replaces_id"
    };
}

fn stored(row: &rusqlite::Row<'_>) -> rusqlite::Result<StoredString> {
    let row = &mut Named::of(row);
    Ok(StoredString {
        id: row.get("id")?,
        string: rows::string(row)?,
        bow_id: row.get("bow_id")?,
        archer_id: row.get("archer_id")?,
        imported: row.get("imported")?,
    })
}

/// Which strings are listed; what is `None` may be any.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Wanted {
    /// Kind of bow.
    pub kind: Option<BowKind>,
    /// Yarn.
    pub yarn: Option<Yarn>,
    /// How it was sized.
    pub route: Option<Route>,
    /// First day of sale.
    pub since: Option<NaiveDate>,
    /// Last day of sale.
    pub until: Option<NaiveDate>,
    /// Only those with a report.
    pub reported: bool,
}

fn found(row: &rusqlite::Row<'_>) -> rusqlite::Result<Found> {
    Ok(Found {
        serial: row.get("serial")?,
        order_ref: row.get("order_ref")?,
        archer: StoredArcher {
            id: row.get("id")?,
            archer: crate::trade::records::Archer { name: row.get("name")?, email: row.get("email")? },
            unit: row.get("unit")?,
        },
        sold_on: row.get("sold_on")?,
        reports: row.get("reports")?,
    })
}

impl Page<'_> {
    /// Adds a string. Its spool is made if it is new.
    ///
    /// # Errors
    /// The serial is taken, the string it replaces is unknown, or the database refuses.
    pub fn add_string(&self, new: NewString<'_>) -> Result<i64, BookError> {
        Ok(self.add_strings(&[new])?.start)
    }

    /// Adds strings, none of which replaces another of them; gives their rows, which follow each other.
    ///
    /// # Errors
    /// A serial is taken, a string that one replaces is unknown, or the database refuses.
    pub fn add_strings(&self, all: &[NewString<'_>]) -> Result<Range<i64>, BookError> {
        let mut spools = BTreeMap::<&str, i64>::new();
        let mut rows = Vec::with_capacity(all.len());
        for new in all {
            let string = new.string;
            let spool = match string.spool.as_deref() {
                Some(name) => Some(match spools.get(name) {
                    Some(known) => *known,
                    None => *spools.entry(name).or_insert(self.spool(name, string.yarn)?),
                }),
                None => None,
            };
            let replaces = match &string.replaces {
                Some(serial) => Some(
                    self.string(serial)?
                        .ok_or_else(|| BookError::Value(format!("no string {serial} to replace")))?
                        .id,
                ),
                None => None,
            };
            rows.push((new, string, spool, replaces));
        }
        insert_all!(self, "string", rows.as_slice(), |(new, string, spool, replaces)| {
            serial: string.serial,
            order_ref: string.order_ref,
            archer_id: new.archer_id,
            bow_id: new.bow_id,
            sold_on: string.sold_on,
            delivered_on: string.delivered_on,
            route: string.route,
            stated_inch: string.stated,
            stated_at: string.stated_at,
            offset_inch: string.offset,
            ordered_inch: string.ordered,
            built_inch: string.built,
            built_at: string.built_at,
            built_across: string.built_across,
            old_yarn: string.old_yarn,
            old_make: string.old_make,
            old_measured: string.old_measured,
            yarn: string.yarn,
            strands: string.strands,
            plies: string.plies,
            lay: string.lay,
            turns: string.turns,
            loop_top_inch: string.loop_top,
            loop_bottom_inch: string.loop_bottom,
            serving_inch: string.serving,
            pre_stretched: string.pre_stretched,
            silencers: string.silencers,
            colours: string.colours,
            spool_id: spool,
            maker: string.maker,
            maker_initials: string.maker_initials,
            price_cents: string.price_cents,
            replaces_id: replaces,
            imported: new.imported,
        })
    }

    fn spool(&self, name: &str, yarn: Yarn) -> Result<i64, BookError> {
        const FIND: &str = "SELECT id FROM spool WHERE name = ?1";
        const ADD: &str = "INSERT INTO spool (name, yarn) VALUES (?1, ?2)";
        if let Some(id) =
            self.transaction.prepare_cached(FIND)?.query_row([name], |row| row.get(0)).optional()?
        {
            return Ok(id);
        }
        self.transaction.prepare_cached(ADD)?.execute((name, yarn))?;
        Ok(self.transaction.last_insert_rowid())
    }

    /// The string of a serial, matched without case.
    ///
    /// # Errors
    /// The database refuses.
    pub fn string(&self, serial: &str) -> Result<Option<StoredString>, BookError> {
        const SQL: &str = concat!(
            "SELECT ",
            string_columns!(),
            " WHERE s.serial = ?1 AND s.id NOT IN (SELECT id FROM struck_string)"
        );
        Ok(self.transaction.prepare_cached(SQL)?.query_row([serial], stored).optional()?)
    }

    /// The string of a serial, struck or not.
    ///
    /// # Errors
    /// The database refuses.
    pub fn any_string(&self, serial: &str) -> Result<Option<StoredString>, BookError> {
        const SQL: &str = concat!("SELECT ", string_columns!(), " WHERE s.serial = ?1");
        Ok(self.transaction.prepare_cached(SQL)?.query_row([serial], stored).optional()?)
    }

    /// Whether there is a string of a serial, struck or not: a serial is given once.
    ///
    /// # Errors
    /// The database refuses.
    pub fn has_string(&self, serial: &str) -> Result<bool, BookError> {
        const SQL: &str = "SELECT 1 FROM main.string WHERE serial = ?1";
        Ok(self.transaction.prepare_cached(SQL)?.exists([serial])?)
    }

    /// The string of a row, struck or not.
    ///
    /// # Errors
    /// The database refuses.
    pub fn string_of_row(&self, id: i64) -> Result<StoredString, BookError> {
        const SQL: &str = concat!("SELECT ", string_columns!(), " WHERE s.id = ?1");
        Ok(self.transaction.prepare_cached(SQL)?.query_row([id], stored)?)
    }

    /// Strings that replace this one.
    ///
    /// # Errors
    /// The database refuses.
    pub fn replacements_of(&self, id: i64) -> Result<Vec<String>, BookError> {
        const SQL: &str = "SELECT serial FROM string WHERE replaces_id = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let serials = statement.query_map([id], |row| row.get(0))?.collect::<Result<_, _>>()?;
        Ok(serials)
    }

    /// Rows of the strings for a bow, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn strings_of_bow(&self, bow: i64) -> Result<Vec<i64>, BookError> {
        const SQL: &str = "SELECT id FROM string WHERE bow_id = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let rows = statement.query_map([bow], |row| row.get(0))?.collect::<Result<_, _>>()?;
        Ok(rows)
    }

    /// Has a string be for another bow of the same archer.
    ///
    /// # Errors
    /// The database refuses.
    pub fn set_bow(&self, string: i64, bow: i64) -> Result<(), BookError> {
        const SQL: &str = "UPDATE main.string SET bow_id = ?2 WHERE id = ?1";
        self.transaction.prepare_cached(SQL)?.execute((string, bow))?;
        Ok(())
    }

    /// The bow of a string's serial with its row.
    ///
    /// # Errors
    /// The database refuses.
    pub fn bow_of(&self, string: &StoredString) -> Result<BowProfile, BookError> {
        self.bow(string.bow_id)
    }

    /// The next serial of the form `S-<number>` that is free.
    ///
    /// # Errors
    /// The database refuses.
    pub fn next_serial(&self) -> Result<String, BookError> {
        // Word for word the expression and condition of the index string_by_made_number.
        const SQL: &str = "SELECT max(CAST(substr(serial, 3) AS INTEGER)) FROM main.string INDEXED BY string_by_made_number WHERE serial GLOB '[Ss]-[0-9]*' AND substr(serial, 3) NOT GLOB '*[^0-9]*' AND length(serial) < 18";
        let last: Option<i64> = self.transaction.prepare_cached(SQL)?.query_row([], |row| row.get(0))?;
        Ok(format!("S-{}", last.unwrap_or(0) + 1))
    }

    /// The serial of the string that was entered last.
    ///
    /// # Errors
    /// The database refuses.
    pub fn newest_serial(&self) -> Result<Option<String>, BookError> {
        const SQL: &str = "SELECT serial FROM main.string ORDER BY id DESC LIMIT 1";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([], |row| row.get(0)).optional()?)
    }

    /// Every string with its archer, for a search in the program.
    ///
    /// # Errors
    /// The database refuses.
    pub fn everything_to_search(&self) -> Result<Vec<Found>, BookError> {
        const SQL: &str = "SELECT s.serial, s.order_ref, s.sold_on, a.id, a.name, a.email, a.unit, (SELECT count(*) FROM report r WHERE r.string_id = s.id) AS reports FROM string s JOIN archer a ON a.id = s.archer_id ORDER BY s.id DESC";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let found = statement.query_map([], found)?.collect::<Result<_, _>>()?;
        Ok(found)
    }

    /// Strings of some kind, newest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn list_strings(&self, wanted: Wanted, most: u32) -> Result<Vec<Found>, BookError> {
        const SQL: &str = "SELECT s.serial, s.order_ref, s.sold_on, a.id, a.name, a.email, a.unit, (SELECT count(*) FROM report r WHERE r.string_id = s.id) AS reports
            FROM string s JOIN archer a ON a.id = s.archer_id JOIN bow b ON b.id = s.bow_id
            WHERE (?1 IS NULL OR b.kind = ?1) AND (?2 IS NULL OR s.yarn = ?2) AND (?3 IS NULL OR s.route = ?3)
                AND (?4 IS NULL OR s.sold_on >= ?4) AND (?5 IS NULL OR s.sold_on <= ?5)
                AND (NOT ?6 OR EXISTS (SELECT 1 FROM report r WHERE r.string_id = s.id))
            ORDER BY s.sold_on DESC, s.id DESC LIMIT ?7";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let of = (wanted.kind, wanted.yarn, wanted.route, wanted.since, wanted.until, wanted.reported, most);
        let found = statement.query_map(of, found)?.collect::<Result<_, _>>()?;
        Ok(found)
    }

    /// Strings that hold a text, whatever the case of ASCII letters, in serial, order, name or
    /// address: those that are just it first, then the newest.
    ///
    /// # Errors
    /// The database refuses.
    pub fn strings_with(&self, text: &str, most: u32) -> Result<Vec<Found>, BookError> {
        const SQL: &str = "WITH hit AS (SELECT s.id, s.archer_id FROM string s JOIN archer a ON a.id = s.archer_id
                WHERE s.serial LIKE ?1 ESCAPE '!' OR s.order_ref LIKE ?1 ESCAPE '!' OR a.name LIKE ?1 ESCAPE '!' OR a.email LIKE ?1 ESCAPE '!'
                ORDER BY max(s.serial = ?2, coalesce(s.order_ref = ?2 COLLATE NOCASE, 0), coalesce(a.name = ?2 COLLATE NOCASE, 0), coalesce(a.email = ?2 COLLATE NOCASE, 0)) DESC, s.id DESC LIMIT ?3)
            SELECT s.serial, s.order_ref, s.sold_on, a.id, a.name, a.email, a.unit, (SELECT count(*) FROM report r WHERE r.string_id = s.id) AS reports FROM hit JOIN string s ON s.id = hit.id JOIN archer a ON a.id = hit.archer_id ORDER BY s.id DESC";
        let mut pattern = String::from("%");
        for c in text.chars() {
            if matches!(c, '%' | '_' | '!') {
                pattern.push('!');
            }
            pattern.push(c);
        }
        pattern.push('%');
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let found = statement.query_map((pattern, text, most), found)?.collect::<Result<_, _>>()?;
        Ok(found)
    }

    /// The newest strings of a yarn whose turns are on record, as the workshop built them of its own:
    /// construction, length and turns. Replacements are built with turns that were worked out.
    ///
    /// # Errors
    /// The database refuses.
    pub fn recorded_turns(
        &self,
        yarn: Yarn,
        most: u32,
    ) -> Result<Vec<(Construction, Length, Turns)>, BookError> {
        // Word for word the condition of the index string_by_recorded_turns.
        const SQL: &str = "SELECT strands, plies, coalesce(built_inch, ordered_inch) AS length_inch, turns FROM main.string INDEXED BY string_by_recorded_turns WHERE yarn = ?1 AND turns IS NOT NULL AND strands IS NOT NULL AND replaces_id IS NULL AND coalesce(built_inch, ordered_inch) IS NOT NULL AND id NOT IN (SELECT id FROM struck_string) ORDER BY id DESC LIMIT ?2";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let strings = statement
            .query_map((yarn, most), |row| {
                let row = &mut Named::of(row);
                let construction =
                    Construction { yarn, strands: row.get("strands")?, plies: row.get("plies")? };
                Ok((construction, row.get("length_inch")?, row.get("turns")?))
            })?
            .collect::<Result<_, _>>()?;
        Ok(strings)
    }

    /// Serials, for offering near ones.
    ///
    /// # Errors
    /// The database refuses.
    pub fn serials(&self) -> Result<Vec<String>, BookError> {
        const SQL: &str = "SELECT serial FROM string ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let serials = statement.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
        Ok(serials)
    }

    /// How many strings the book holds.
    ///
    /// # Errors
    /// The database refuses.
    pub fn string_count(&self) -> Result<i64, BookError> {
        const SQL: &str = "SELECT count(*) FROM string";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([], |row| row.get(0))?)
    }
}
