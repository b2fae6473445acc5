//! Lots of yarn.

use chrono::NaiveDate;
use rusqlite::OptionalExtension;

use super::{BookError, Page, StoredArcher, rows};
use crate::mechanics::twist::Yarn;
use crate::trade::records::Archer;
use crate::trade::words::Symptom;

/// A lot of yarn.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spool {
    /// Its name.
    pub name: String,
    /// Yarn.
    pub yarn: Yarn,
    /// Colour.
    pub colour: Option<String>,
    /// Day it was bought.
    pub bought_on: Option<NaiveDate>,
}

/// A lot with how many strings carry it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SpoolCount {
    /// The lot.
    pub spool: Spool,
    /// Strings.
    pub strings: u32,
    /// Strings with at least one report.
    pub reported: u32,
}

/// A string for the comparison of lots.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LotString {
    /// Day of delivery, or of sale where that is not known.
    pub since: NaiveDate,
    /// True if it carries the lot.
    pub of_lot: bool,
    /// Day of its first report.
    pub first_report: Option<NaiveDate>,
}

/// A string that carries a lot, with whom to tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Carrier {
    /// Serial.
    pub serial: String,
    /// Day of sale.
    pub sold_on: NaiveDate,
    /// Archer.
    pub archer: StoredArcher,
    /// Symptoms of its reports.
    pub symptoms: Vec<Symptom>,
}

impl Page<'_> {
    /// Adds a lot.
    ///
    /// # Errors
    /// The name is taken, or the database refuses.
    pub fn add_spool(&self, spool: &Spool) -> Result<(), BookError> {
        const SQL: &str = "INSERT INTO spool (name, yarn, colour, bought_on) VALUES (?1, ?2, ?3, ?4)";
        self.transaction.prepare_cached(SQL)?.execute((
            &spool.name,
            spool.yarn,
            &spool.colour,
            spool.bought_on,
        ))?;
        Ok(())
    }

    /// All lots with their strings, by name.
    ///
    /// # Errors
    /// The database refuses.
    pub fn spools(&self) -> Result<Vec<SpoolCount>, BookError> {
        const SQL: &str = "SELECT p.name, p.yarn, p.colour, p.bought_on, count(s.id) AS strings,
                count(CASE WHEN EXISTS (SELECT 1 FROM report r WHERE r.string_id = s.id) THEN 1 END) AS reported
            FROM spool p LEFT JOIN string s ON s.spool_id = p.id GROUP BY p.id ORDER BY p.name";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let spools = statement
            .query_map([], |row| {
                Ok(SpoolCount {
                    spool: Spool {
                        name: row.get("name")?,
                        yarn: row.get("yarn")?,
                        colour: row.get("colour")?,
                        bought_on: row.get("bought_on")?,
                    },
                    strings: row.get("strings")?,
                    reported: row.get("reported")?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(spools)
    }

    /// Row of a lot, matched without case.
    ///
    /// # Errors
    /// The database refuses.
    pub fn spool_row(&self, name: &str) -> Result<Option<i64>, BookError> {
        const SQL: &str = "SELECT id FROM spool WHERE name = ?1";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([name], |row| row.get(0)).optional()?)
    }

    /// The yarn of a lot, matched without case.
    ///
    /// # Errors
    /// The database refuses.
    pub fn yarn_of_lot(&self, name: &str) -> Result<Option<Yarn>, BookError> {
        const SQL: &str = "SELECT yarn FROM spool WHERE name = ?1";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([name], |row| row.get(0)).optional()?)
    }

    /// Every string of the lot's yarn, for comparing the lot with the rest.
    ///
    /// # Errors
    /// The database refuses.
    pub fn lot_strings(&self, spool: i64) -> Result<Vec<LotString>, BookError> {
        const SQL: &str = "SELECT coalesce(s.delivered_on, s.sold_on) AS since, s.spool_id IS ?1 AS of_lot,
                (SELECT min(r.received_on) FROM report r WHERE r.string_id = s.id) AS first_report
            FROM string s WHERE s.yarn = (SELECT yarn FROM spool WHERE id = ?1)";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let strings = statement
            .query_map([spool], |row| {
                Ok(LotString {
                    since: row.get("since")?,
                    of_lot: row.get("of_lot")?,
                    first_report: row.get("first_report")?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(strings)
    }

    /// Strings that carry a lot, newest first, with whom to tell.
    ///
    /// # Errors
    /// The database refuses.
    pub fn carriers(&self, spool: i64) -> Result<Vec<Carrier>, BookError> {
        const SQL: &str = "SELECT s.serial, s.sold_on, a.id, a.name, a.email, a.unit,
                (SELECT group_concat(symptom, ' ') FROM (SELECT DISTINCT y.symptom FROM report r JOIN report_symptom y ON y.report_number = r.number WHERE r.string_id = s.id ORDER BY y.symptom)) AS symptoms
            FROM string s JOIN archer a ON a.id = s.archer_id WHERE s.spool_id = ?1 ORDER BY s.id DESC";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let carriers = statement
            .query_map([spool], |row| {
                Ok(Carrier {
                    serial: row.get("serial")?,
                    sold_on: row.get("sold_on")?,
                    archer: StoredArcher {
                        id: row.get("id")?,
                        archer: Archer { name: row.get("name")?, email: row.get("email")? },
                        unit: row.get("unit")?,
                    },
                    symptoms: rows::listed(row.get("symptoms")?),
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(carriers)
    }
}
