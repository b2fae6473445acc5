//! Strings below the floor of strength: marked, so that they are found without reading every string.

use chrono::NaiveDate;
use rusqlite::{OptionalExtension, Row};

use super::rows::Named;
use super::{BookError, Page};
use crate::mechanics::twist::Yarn;
use crate::quantity::DrawWeight;

/// What is asked of a string to work out its strength.
#[derive(Debug, Clone, PartialEq)]
pub struct ToWeigh {
    /// Row of the string.
    pub string_id: i64,
    /// Yarn.
    pub yarn: Yarn,
    /// Strands.
    pub strands: Option<u32>,
    /// Draw weight of its bow.
    pub draw_weight: Option<DrawWeight>,
}

/// A string that was marked and is not replaced.
#[derive(Debug, Clone, PartialEq)]
pub struct Marked {
    /// What its strength is worked out from.
    pub weigh: ToWeigh,
    /// Serial.
    pub serial: String,
    /// Name of its archer.
    pub archer: Option<String>,
    /// Day it was marked.
    pub marked_on: NaiveDate,
    /// Day of the letter that says not to shoot it.
    pub warned_on: Option<NaiveDate>,
}

fn to_weigh(row: &Row<'_>) -> rusqlite::Result<ToWeigh> {
    Ok(ToWeigh {
        string_id: row.get("string_id")?,
        yarn: row.get("yarn")?,
        strands: row.get("strands")?,
        draw_weight: Named::of(row).draw_weight()?,
    })
}

impl Page<'_> {
    /// Marks a string as below the floor; one that is marked stays as it is.
    ///
    /// # Errors
    /// The database refuses.
    pub fn mark_below_floor(&self, string: i64, on: NaiveDate) -> Result<(), BookError> {
        const SQL: &str = "INSERT INTO below_floor (string_id, marked_on) VALUES (?1, ?2) ON CONFLICT (string_id) DO NOTHING";
        self.transaction.prepare_cached(SQL)?.execute((string, on))?;
        Ok(())
    }

    /// Notes the day of the letter that says not to shoot a string.
    ///
    /// # Errors
    /// The database refuses.
    pub fn warned(&self, string: i64, on: NaiveDate) -> Result<(), BookError> {
        const SQL: &str = "INSERT INTO below_floor (string_id, marked_on, warned_on) VALUES (?1, ?2, ?2) ON CONFLICT (string_id) DO UPDATE SET warned_on = excluded.warned_on";
        self.transaction.prepare_cached(SQL)?.execute((string, on))?;
        Ok(())
    }

    /// Day of the letter that says not to shoot a string, if one was written.
    ///
    /// # Errors
    /// The database refuses.
    pub fn warned_on(&self, string: i64) -> Result<Option<NaiveDate>, BookError> {
        const SQL: &str = "SELECT warned_on FROM below_floor WHERE string_id = ?1";
        let found = self.transaction.prepare_cached(SQL)?.query_row([string], |row| row.get(0)).optional()?;
        Ok(found.flatten())
    }

    /// Marked strings that no other replaces and no report has stopped yet, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn marked_strings(&self) -> Result<Vec<Marked>, BookError> {
        const SQL: &str = "SELECT f.string_id, f.marked_on, f.warned_on, s.serial, s.yarn, s.strands, b.draw_weight_lb, b.draw_at_inch, a.name
            FROM below_floor f JOIN string s ON s.id = f.string_id JOIN bow b ON b.id = s.bow_id JOIN archer a ON a.id = s.archer_id
            WHERE NOT EXISTS (SELECT 1 FROM string n WHERE n.replaces_id = s.id)
                AND NOT EXISTS (SELECT 1 FROM report r JOIN verdict v ON v.id = (SELECT max(w.id) FROM verdict w WHERE w.report_number = r.number) WHERE r.string_id = s.id AND v.verdict = 'stop')
            ORDER BY f.id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let marked = statement
            .query_map([], |row| {
                Ok(Marked {
                    weigh: to_weigh(row)?,
                    serial: row.get("serial")?,
                    archer: row.get("name")?,
                    marked_on: row.get("marked_on")?,
                    warned_on: row.get("warned_on")?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(marked)
    }

    /// Strings of a yarn whose strands and draw weight are known, to be weighed anew.
    ///
    /// # Errors
    /// The database refuses.
    pub fn strings_to_weigh(&self, yarn: Yarn) -> Result<Vec<ToWeigh>, BookError> {
        const SQL: &str = "SELECT s.id AS string_id, s.yarn, s.strands, b.draw_weight_lb, b.draw_at_inch FROM string s JOIN bow b ON b.id = s.bow_id WHERE s.yarn = ?1 AND s.strands IS NOT NULL AND b.draw_weight_lb IS NOT NULL";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let strings = statement.query_map([yarn], to_weigh)?.collect::<Result<_, _>>()?;
        Ok(strings)
    }
}
