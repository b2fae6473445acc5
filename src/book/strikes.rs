//! What was struck: noted by mistake, kept, and left out.

use chrono::NaiveDate;
use rusqlite::{OptionalExtension, Row};

use super::rows::{Named, measured_columns, reading};
use super::{BookError, Page};
use crate::trade::records::Reading;

/// A thing that can be struck, by its row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Thing {
    /// A string sold.
    String(i64),
    /// A report.
    Report(i64),
    /// A reading.
    Reading(i64),
    /// A letter, by the line of the history that says that it went out.
    Letter(i64),
}

impl Thing {
    /// Its kind in one word.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::String(_) => "string",
            Self::Report(_) => "report",
            Self::Reading(_) => "reading",
            Self::Letter(_) => "letter",
        }
    }
}

/// A strike that stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Struck {
    /// Row.
    pub id: i64,
    /// What was struck.
    pub thing: Thing,
    /// Row of its string.
    pub string: i64,
    /// Number of its report; none of a string.
    pub report: Option<i64>,
    /// Line of the history that says so.
    pub line: i64,
    /// Day.
    pub on: NaiveDate,
    /// Who.
    pub who: String,
    /// Why, unless the archer was forgotten since.
    pub why: Option<String>,
}

/// The strikes that stand, of some kind, in the order in which they were made.
macro_rules! struck {
    ($where:literal) => {
        concat!(
            "SELECT x.id, x.what, x.string_id, x.report_number, x.reading_id, x.letter_id, x.event_id, x.why, e.day, e.who
            FROM struck x JOIN main.event e ON e.id = x.event_id ",
            $where,
            " ORDER BY x.id"
        )
    };
}

fn struck(row: &Row<'_>) -> rusqlite::Result<Struck> {
    let what: String = row.get("what")?;
    let thing = match what.as_str() {
        "report" => Thing::Report(row.get("report_number")?),
        "reading" => Thing::Reading(row.get("reading_id")?),
        "letter" => Thing::Letter(row.get("letter_id")?),
        _ => Thing::String(row.get("string_id")?),
    };
    Ok(Struck {
        id: row.get("id")?,
        thing,
        string: row.get("string_id")?,
        report: row.get("report_number")?,
        line: row.get("event_id")?,
        on: row.get("day")?,
        who: row.get("who")?,
        why: row.get("why")?,
    })
}

impl Page<'_> {
    /// Strikes a thing; the last line of the history says who does it and when.
    ///
    /// # Errors
    /// The database refuses.
    pub fn strike(&self, thing: Thing, string: i64, report: Option<i64>, why: &str) -> Result<(), BookError> {
        const SQL: &str =
            "INSERT INTO strike (event_id, what, string_id, report_number, reading_id, letter_id, why)
            VALUES ((SELECT max(id) FROM main.event), ?1, ?2, ?3, ?4, ?5, ?6)";
        let reading = if let Thing::Reading(id) = thing { Some(id) } else { None };
        let letter = if let Thing::Letter(id) = thing { Some(id) } else { None };
        self.transaction.prepare_cached(SQL)?.execute((
            thing.word(),
            string,
            report,
            reading,
            letter,
            why,
        ))?;
        Ok(())
    }

    /// Takes a strike back; the last line of the history says who does it and when.
    ///
    /// # Errors
    /// It was taken back already, or the database refuses.
    pub fn unstrike(&self, struck: &Struck) -> Result<(), BookError> {
        const SQL: &str = "INSERT INTO strike (event_id, what, string_id, report_number, reading_id, letter_id, undoes)
            SELECT (SELECT max(id) FROM main.event), what, string_id, report_number, reading_id, letter_id, id FROM strike WHERE id = ?1";
        self.transaction.prepare_cached(SQL)?.execute([struck.id])?;
        Ok(())
    }

    /// What is struck of a string: itself, its reports, their readings and letters.
    ///
    /// # Errors
    /// The database refuses.
    pub fn struck_of(&self, string: i64) -> Result<Vec<Struck>, BookError> {
        const SQL: &str = struck!("WHERE x.string_id = ?1");
        let mut statement = self.transaction.prepare_cached(SQL)?;
        Ok(statement.query_map([string], struck)?.collect::<Result<_, _>>()?)
    }

    /// Whatever is struck by itself, in the order in which that was done.
    ///
    /// # Errors
    /// The database refuses.
    pub fn all_struck(&self) -> Result<Vec<Struck>, BookError> {
        const SQL: &str = struck!("");
        let mut statement = self.transaction.prepare_cached(SQL)?;
        Ok(statement.query_map([], struck)?.collect::<Result<_, _>>()?)
    }

    /// The reports that are struck by themselves, in the order in which that was done.
    ///
    /// # Errors
    /// The database refuses.
    pub fn struck_reports(&self) -> Result<Vec<Struck>, BookError> {
        const SQL: &str = struck!("WHERE x.what = 'report'");
        let mut statement = self.transaction.prepare_cached(SQL)?;
        Ok(statement.query_map([], struck)?.collect::<Result<_, _>>()?)
    }

    /// The line of the history that says that a thing was noted.
    ///
    /// # Errors
    /// The database refuses.
    pub fn noted_line(&self, thing: Thing) -> Result<i64, BookError> {
        let (sql, row) = match thing {
            Thing::String(id) => ("SELECT coalesce(min(id), 0) FROM main.event WHERE string_id = ?1", id),
            Thing::Report(number) => {
                ("SELECT coalesce(min(id), 0) FROM main.event WHERE report_number = ?1", number)
            }
            Thing::Reading(id) => ("SELECT coalesce(min(id), 0) FROM main.event WHERE reading_id = ?1", id),
            Thing::Letter(line) => return Ok(line),
        };
        Ok(self.transaction.prepare_cached(sql)?.query_row([row], |row| row.get(0))?)
    }

    /// Reports with a verdict that was worked out after a line of the history.
    ///
    /// # Errors
    /// The database refuses.
    pub fn reports_judged_since(&self, line: i64) -> Result<Vec<i64>, BookError> {
        const SQL: &str =
            "SELECT DISTINCT report_number FROM verdict WHERE after_line >= ?1 ORDER BY report_number";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        Ok(statement.query_map([line], |row| row.get(0))?.collect::<Result<_, _>>()?)
    }

    /// Every reading of a report, struck or not, with its row, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn all_readings(&self, report: i64) -> Result<Vec<(i64, Reading)>, BookError> {
        const SQL: &str = concat!(
            "SELECT id, taken_on, ",
            measured_columns!(),
            " FROM main.reading WHERE report_number = ?1 ORDER BY id"
        );
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let readings = statement
            .query_map([report], |row| Ok((row.get("id")?, reading(&mut Named::of(row))?)))?
            .collect::<Result<_, _>>()?;
        Ok(readings)
    }

    /// Numbers of all reports of a string, struck or not, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn all_reports_of(&self, string: i64) -> Result<Vec<i64>, BookError> {
        const SQL: &str = "SELECT number FROM main.report WHERE string_id = ?1 ORDER BY number";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        Ok(statement.query_map([string], |row| row.get(0))?.collect::<Result<_, _>>()?)
    }

    /// The report that a string was made for and the string of that one, struck or not.
    ///
    /// # Errors
    /// The database refuses.
    pub fn made_for(&self, string: i64) -> Result<Option<(i64, i64)>, BookError> {
        const SQL: &str = "SELECT m.report_number, r.string_id FROM main.remake m JOIN main.report r ON r.number = m.report_number WHERE m.string_id = ?1";
        let found = self
            .transaction
            .prepare_cached(SQL)?
            .query_row([string], |row| Ok((row.get("report_number")?, row.get("string_id")?)))
            .optional()?;
        Ok(found)
    }

    /// The lines of the history that say that a letter about a report went out, struck or not, oldest
    /// first, with their days.
    ///
    /// # Errors
    /// The database refuses.
    pub fn letter_lines(&self, report: i64) -> Result<Vec<(i64, NaiveDate)>, BookError> {
        const SQL: &str = "SELECT id, day FROM main.event WHERE report_number = ?1 AND what IN ('letter', 'look-over') ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let lines = statement
            .query_map([report], |row| Ok((row.get("id")?, row.get("day")?)))?
            .collect::<Result<_, _>>()?;
        Ok(lines)
    }

    /// Whether a reading that came in after a line of the history tells of turns.
    ///
    /// # Errors
    /// The database refuses.
    pub fn were_turns_told_since(&self, report: i64, line: i64) -> Result<bool, BookError> {
        const SQL: &str = "SELECT 1 FROM event e JOIN reading g ON g.id = e.reading_id
            WHERE e.report_number = ?1 AND e.id > ?2 AND e.what = 'reading' AND g.turns_changed IS NOT NULL";
        Ok(self.transaction.prepare_cached(SQL)?.exists((report, line))?)
    }

    /// Other reports of the same archer that keep the text of a letter from its day: the report, and
    /// the line of the history that says that it went out.
    ///
    /// # Errors
    /// The database refuses.
    pub fn same_letter(&self, line: i64) -> Result<Vec<(i64, i64)>, BookError> {
        const SQL: &str = "SELECT DISTINCT o.report_number, o.event_id FROM main.sent_letter l
                JOIN main.string mine ON mine.id = l.string_id JOIN main.string s ON s.archer_id = mine.archer_id
                JOIN sent_letter o ON o.string_id = s.id
            WHERE l.report_number = (SELECT report_number FROM main.event WHERE id = ?1) AND l.event_id = ?1
                AND o.event_id IS NOT NULL AND o.report_number <> l.report_number AND o.sent_on = l.sent_on AND o.body = l.body";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let found = statement
            .query_map([line], |row| Ok((row.get("report_number")?, row.get("event_id")?)))?
            .collect::<Result<_, _>>()?;
        Ok(found)
    }

    /// Day of the last letter of a report that went out after a reading came in, or after the report
    /// did, where no reading is named.
    ///
    /// # Errors
    /// The database refuses.
    pub fn letter_after(&self, report: i64, reading: Option<i64>) -> Result<Option<NaiveDate>, BookError> {
        const SQL: &str = "SELECT day FROM event WHERE report_number = ?1 AND what IN ('letter', 'look-over')
                AND id > coalesce((SELECT min(id) FROM main.event WHERE reading_id = ?2 AND what = 'reading'), 0)
            ORDER BY id DESC LIMIT 1";
        Ok(self.transaction.prepare_cached(SQL)?.query_row((report, reading), |row| row.get(0)).optional()?)
    }

    /// What of the string happened after a line of its history, each step once, with its report; of
    /// its struck reports what happened to the one that is meant.
    ///
    /// # Errors
    /// The database refuses.
    pub fn happened_since(
        &self,
        string: i64,
        line: i64,
        of: Option<i64>,
    ) -> Result<Vec<(String, Option<i64>)>, BookError> {
        const SQL: &str = "SELECT DISTINCT what, report_number FROM event
            WHERE string_id = ?1 AND id > ?2 AND (report_number IS NULL OR report_number NOT IN (SELECT number FROM struck_report WHERE number <> ?3))";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let found = statement
            .query_map((string, line, of.unwrap_or_default()), |row| {
                Ok((row.get("what")?, row.get("report_number")?))
            })?
            .collect::<Result<_, _>>()?;
        Ok(found)
    }

    /// Symptoms that a reading says.
    ///
    /// # Errors
    /// The database refuses.
    pub fn symptoms_with(&self, reading: i64) -> Result<Vec<crate::trade::words::Symptom>, BookError> {
        const SQL: &str = "SELECT symptom FROM main.report_symptom WHERE reading_id = ?1
            UNION SELECT symptom FROM main.symptom_again WHERE reading_id = ?1 ORDER BY symptom";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let symptoms = statement.query_map([reading], |row| row.get("symptom"))?.collect::<Result<_, _>>()?;
        Ok(symptoms)
    }

    /// Numbers of the signs of a report whose words stand in a reading.
    ///
    /// # Errors
    /// The database refuses.
    pub fn signs_with(&self, reading: i64) -> Result<Vec<u32>, BookError> {
        const SQL: &str = "SELECT number FROM main.sign WHERE reading_id = ?1
            UNION SELECT s.number FROM main.sign_said w JOIN main.sign s ON s.id = w.sign_id WHERE w.reading_id = ?1 AND w.again = 1
            ORDER BY number";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        Ok(statement.query_map([reading], |row| row.get(0))?.collect::<Result<_, _>>()?)
    }
}
