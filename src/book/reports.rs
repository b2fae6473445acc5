//! Reports, their readings and verdicts.

use chrono::NaiveDate;
use rusqlite::OptionalExtension;
use rusqlite::types::ValueRef;

use super::rows::{self, Named, insert, measured_columns};
use super::{BookError, Page};
use crate::quantity::LengthRange;
use crate::trade::advice::Advice;
use crate::trade::cause::LastVerdict;
use crate::trade::records::{Measurements, Reading, Report};
use crate::trade::standing::Step;
use crate::trade::words::{Symptom, Verdict};

/// A report with the row of its string.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredReport {
    /// The report.
    pub report: Report,
    /// Row of its string.
    pub string_id: i64,
}

/// A verdict as it was stored.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredVerdict {
    /// Row.
    pub id: i64,
    /// Day.
    pub made_on: NaiveDate,
    /// Version of the program that made it.
    pub program_version: String,
    /// The verdict.
    pub verdict: Verdict,
    /// Everything it was worked out from, JSON.
    pub inputs: String,
    /// The advice, JSON.
    pub advice: String,
    /// The last line of the history when it was worked out; unknown of older ones.
    pub after_line: Option<i64>,
}

/// A line of the list of reports.
#[derive(Debug, Clone, PartialEq)]
pub struct Listed {
    /// Number.
    pub number: i64,
    /// Serial of its string.
    pub serial: String,
    /// Name of its archer.
    pub archer: Option<String>,
    /// Day it came in.
    pub received_on: NaiveDate,
    /// Symptoms.
    pub symptoms: Vec<Symptom>,
    /// Steps, oldest first.
    pub steps: Vec<Step>,
    /// Last verdict.
    pub last: Option<LastVerdict>,
    /// Its texts hold signs of trouble.
    pub signs: bool,
    /// Day of the last step.
    pub since: Option<NaiveDate>,
}

/// Day of the last step of a report. That a verdict was worked out is none, nor that it was settled and
/// taken up again: whoever waits has waited all the time.
macro_rules! last_step {
    ($report:literal) => {
        concat!(
            "(SELECT e.day FROM event e WHERE e.report_number = ",
            $report,
            " AND e.what NOT IN ('advice', 'resume')
                AND (e.what <> 'settle' OR NOT EXISTS (SELECT 1 FROM event n WHERE n.report_number = e.report_number AND n.what = 'resume' AND n.id > e.id))
                ORDER BY e.id DESC LIMIT 1)"
        )
    };
}

macro_rules! listed {
    ($where:literal) => {
        concat!(
            "SELECT r.number, s.serial, a.name, r.received_on, EXISTS (SELECT 1 FROM sign g WHERE g.report_number = r.number AND g.standing IN ('open', 'confirmed')) AS signs,
                (SELECT group_concat(symptom, ' ') FROM (SELECT symptom FROM report_symptom y WHERE y.report_number = r.number ORDER BY symptom)) AS symptoms,
                (SELECT group_concat(what, ' ') FROM (SELECT what FROM event e WHERE e.report_number = r.number ORDER BY e.id)) AS steps,
                v.verdict, v.flip, v.likely_cause, v.remake_length_inch IS NOT NULL AS length_known, v.free,
                ",
            last_step!("r.number"),
            " AS since
            FROM report r JOIN string s ON s.id = r.string_id JOIN archer a ON a.id = s.archer_id
                LEFT JOIN verdict v ON v.id = (SELECT max(n.id) FROM verdict n WHERE n.report_number = r.number) ",
            $where,
            " ORDER BY r.number DESC"
        )
    };
}

fn last_verdict(row: &rusqlite::Row<'_>) -> rusqlite::Result<LastVerdict> {
    Ok(LastVerdict {
        verdict: row.get("verdict")?,
        flip: row.get("flip")?,
        likely_cause: row.get("likely_cause")?,
        length_known: row.get("length_known")?,
        free: row.get("free")?,
    })
}

/// The newest reading of the report `?1`; nothing where that is its first, which came in with it.
macro_rules! with_reading {
    () => {
        "(SELECT CASE WHEN count(*) > 1 THEN max(id) END FROM main.reading WHERE report_number = ?1)"
    };
}
pub(super) use with_reading;

impl Page<'_> {
    /// Adds a report without readings and returns its number.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_report(
        &self,
        string: i64,
        received_on: NaiveDate,
        symptoms: &[Symptom],
    ) -> Result<i64, BookError> {
        const SQL: &str = "INSERT INTO main.report (string_id, received_on) VALUES (?1, ?2)";
        self.transaction.prepare_cached(SQL)?.execute((string, received_on))?;
        let number = self.transaction.last_insert_rowid();
        self.add_symptoms(number, symptoms)?;
        Ok(number)
    }

    /// Adds what a report says, with its newest reading. What it says already is noted as said again.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_symptoms(&self, report: i64, symptoms: &[Symptom]) -> Result<(), BookError> {
        const NEW: &str = concat!(
            "INSERT INTO main.report_symptom (report_number, symptom, reading_id) VALUES (?1, ?2, ",
            with_reading!(),
            ") ON CONFLICT DO NOTHING"
        );
        const AGAIN: &str = "INSERT INTO main.symptom_again (report_number, symptom, reading_id)
            SELECT ?1, ?2, max(id) FROM main.reading WHERE report_number = ?1 HAVING count(*) > 1";
        let mut new = self.transaction.prepare_cached(NEW)?;
        let mut again = self.transaction.prepare_cached(AGAIN)?;
        for symptom in symptoms {
            if new.execute((report, symptom))? == 0 {
                again.execute((report, symptom))?;
            }
        }
        Ok(())
    }

    /// Keeps what the archer wrote, with the newest reading.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_text(&self, report: i64, received_on: NaiveDate, body: &str) -> Result<(), BookError> {
        const SQL: &str = concat!(
            "INSERT INTO main.letter_text (report_number, received_on, body, reading_id) VALUES (?1, ?2, ?3, ",
            with_reading!(),
            ")"
        );
        self.transaction.prepare_cached(SQL)?.execute((report, received_on, body))?;
        Ok(())
    }

    /// What the archer wrote, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn texts(&self, report: i64) -> Result<Vec<(NaiveDate, String)>, BookError> {
        const SQL: &str = "SELECT received_on, body FROM letter_text WHERE report_number = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let texts = statement
            .query_map([report], |row| Ok((row.get("received_on")?, row.get("body")?)))?
            .collect::<Result<_, _>>()?;
        Ok(texts)
    }

    /// Appends a reading. What came in with it is added after it.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_reading(
        &self,
        report: i64,
        taken_on: NaiveDate,
        measured: &Measurements,
    ) -> Result<(), BookError> {
        let fades = measured.fades;
        insert!(self, "reading", {
            report_number: report,
            taken_on: taken_on,
            brace_inch: measured.brace,
            readings: measured.readings,
            read_by: measured.read_by,
            want_low_inch: measured.want.map(LengthRange::low),
            want_high_inch: measured.want.map(LengthRange::high),
            length_inch: measured.length,
            length_at: measured.length_at,
            turns_changed: measured.turns_changed,
            turns_counted: measured.turns_counted,
            counted_over_inch: measured.counted_over,
            free_string_inch: fades.map(|fades| fades.free_string_inch),
            // No stiff middle is no span: the book holds none shorter than a tenth of an inch.
            fade_span_inch: fades.map(|fades| fades.fade_span_inch).filter(|span| *span >= 0.1),
            fade_gap_inch: fades.map(|fades| fades.fade_gap_inch),
            fade_to_nock_inch: fades.map(|fades| fades.fade_to_nock_inch),
            shots: measured.shots,
            marker: measured.marker,
            serving_inch: measured.serving,
            photo: measured.photo,
        })?;
        Ok(())
    }

    fn readings(&self, report: i64) -> Result<Vec<Reading>, BookError> {
        const SQL: &str = concat!(
            "SELECT taken_on, ",
            measured_columns!(),
            " FROM reading WHERE report_number = ?1 ORDER BY id"
        );
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let readings = statement
            .query_map([report], |row| rows::reading(&mut Named::of(row)))?
            .collect::<Result<_, _>>()?;
        Ok(readings)
    }

    fn symptoms(&self, report: i64) -> Result<Vec<Symptom>, BookError> {
        const SQL: &str = "SELECT symptom FROM report_symptom WHERE report_number = ?1 ORDER BY symptom";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let symptoms = statement.query_map([report], |row| row.get("symptom"))?.collect::<Result<_, _>>()?;
        Ok(symptoms)
    }

    /// The last verdict on a report, as far as later steps depend on it.
    ///
    /// # Errors
    /// The database refuses.
    pub fn last_verdict(&self, report: i64) -> Result<Option<LastVerdict>, BookError> {
        const SQL: &str = "SELECT verdict, flip, likely_cause, remake_length_inch IS NOT NULL AS length_known, free FROM verdict WHERE report_number = ?1 ORDER BY id DESC LIMIT 1";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([report], last_verdict).optional()?)
    }

    /// The report of a number. Whether it is settled follows from its steps and is left open here.
    ///
    /// # Errors
    /// The database refuses.
    pub fn report(&self, number: i64) -> Result<Option<StoredReport>, BookError> {
        self.report_by("SELECT string_id, received_on FROM report WHERE number = ?1", number)
    }

    /// The report of a number as [`Page::report`] gives it, struck or not.
    ///
    /// # Errors
    /// The database refuses.
    pub fn any_report(&self, number: i64) -> Result<Option<StoredReport>, BookError> {
        self.report_by("SELECT string_id, received_on FROM main.report WHERE number = ?1", number)
    }

    fn report_by(&self, sql: &str, number: i64) -> Result<Option<StoredReport>, BookError> {
        let head = self
            .transaction
            .prepare_cached(sql)?
            .query_row([number], |row| Ok((row.get::<_, i64>("string_id")?, row.get("received_on")?)))
            .optional()?;
        let Some((string_id, received_on)) = head else { return Ok(None) };
        let report = Report {
            number,
            received_on,
            symptoms: self.symptoms(number)?,
            signs: self.signs(number)?,
            readings: self.readings(number)?,
            settled: false,
        };
        Ok(Some(StoredReport { report, string_id }))
    }

    /// Numbers of a string's reports, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn reports_of(&self, string: i64) -> Result<Vec<i64>, BookError> {
        const SQL: &str = "SELECT number FROM report WHERE string_id = ?1 ORDER BY number";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let numbers = statement.query_map([string], |row| row.get(0))?.collect::<Result<_, _>>()?;
        Ok(numbers)
    }

    /// Steps of a report that its standing depends on, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn steps(&self, report: i64) -> Result<Vec<Step>, BookError> {
        const SQL: &str = "SELECT what FROM event WHERE report_number = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let words: Vec<String> =
            statement.query_map([report], |row| row.get(0))?.collect::<Result<_, _>>()?;
        Ok(words.iter().filter_map(|word| word.parse().ok()).collect())
    }

    /// Day of the last step of a report, as its lists count it.
    ///
    /// # Errors
    /// The database refuses.
    pub fn last_step(&self, report: i64) -> Result<Option<NaiveDate>, BookError> {
        const SQL: &str = concat!("SELECT ", last_step!("?1"));
        Ok(self.transaction.prepare_cached(SQL)?.query_row([report], |row| row.get(0))?)
    }

    /// All reports, newest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn list_reports(&self) -> Result<Vec<Listed>, BookError> {
        const SQL: &str = listed!("");
        self.listed(SQL)
    }

    /// Reports that are not settled, newest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn open_reports(&self) -> Result<Vec<Listed>, BookError> {
        const SQL: &str = listed!(
            "WHERE coalesce((SELECT e.what FROM event e WHERE e.report_number = r.number AND e.what IN ('settle', 'resume') ORDER BY e.id DESC LIMIT 1), '') <> 'settle'"
        );
        self.listed(SQL)
    }

    fn listed(&self, sql: &str) -> Result<Vec<Listed>, BookError> {
        let mut statement = self.transaction.prepare_cached(sql)?;
        let listed = statement
            .query_map([], |row| {
                Ok(Listed {
                    number: row.get("number")?,
                    serial: row.get("serial")?,
                    archer: row.get("name")?,
                    received_on: row.get("received_on")?,
                    symptoms: rows::listed(row.get("symptoms")?),
                    steps: rows::listed(row.get("steps")?),
                    last: match row.get_ref("verdict")? {
                        ValueRef::Null => None,
                        _ => Some(last_verdict(row)?),
                    },
                    signs: row.get("signs")?,
                    since: row.get("since")?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(listed)
    }

    /// Keeps a verdict with all its inputs: what commands ask of it in columns, the whole as it is
    /// written today in JSON, which no statement reads.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_verdict(
        &self,
        report: i64,
        made_on: NaiveDate,
        advice: &Advice,
        inputs: &str,
        kept: &str,
    ) -> Result<(), BookError> {
        insert!(self, "verdict", {
            report_number: report,
            made_on: made_on,
            program_version: env!("CARGO_PKG_VERSION"),
            verdict: advice.verdict,
            turns: advice.turns,
            flip: advice.flip,
            remake_length_inch: advice.remake_length,
            likely_cause: advice.likely_cause,
            free: advice.free,
            inputs: inputs,
            advice: kept,
            after_line: self.newest_line()?,
        })?;
        Ok(())
    }

    /// The newest verdict on a report. Each holds what it was worked out from: of many readings
    /// many verdicts come to a great deal, and nobody needs the older ones.
    ///
    /// # Errors
    /// The database refuses.
    pub fn newest_verdict(&self, report: i64) -> Result<Option<StoredVerdict>, BookError> {
        self.verdict_before(report, None)
    }

    /// The last letter on a report: its day, and the verdict that it gave; none where none answered it.
    ///
    /// # Errors
    /// The database refuses.
    pub fn last_letter(&self, report: i64) -> Result<Option<(NaiveDate, StoredVerdict)>, BookError> {
        const SQL: &str =
            "SELECT id, day FROM event WHERE report_number = ?1 AND what = 'letter' ORDER BY id DESC LIMIT 1";
        let letter: Option<(i64, NaiveDate)> = self
            .transaction
            .prepare_cached(SQL)?
            .query_row([report], |row| Ok((row.get("id")?, row.get("day")?)))
            .optional()?;
        let Some((line, day)) = letter else { return Ok(None) };
        Ok(self.verdict_before(report, Some(line))?.map(|verdict| (day, verdict)))
    }

    /// The newest verdict that was worked out before a line of the history, or of all.
    fn verdict_before(&self, report: i64, line: Option<i64>) -> Result<Option<StoredVerdict>, BookError> {
        const SQL: &str = "SELECT id, made_on, program_version, verdict, inputs, advice, after_line FROM verdict
            WHERE report_number = ?1 AND (?2 IS NULL OR after_line IS NULL OR after_line < ?2) ORDER BY id DESC LIMIT 1";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let verdict = statement
            .query_row((report, line), |row| {
                Ok(StoredVerdict {
                    id: row.get("id")?,
                    made_on: row.get("made_on")?,
                    program_version: row.get("program_version")?,
                    verdict: row.get("verdict")?,
                    inputs: row.get("inputs")?,
                    advice: row.get("advice")?,
                    after_line: row.get("after_line")?,
                })
            })
            .optional()?;
        Ok(verdict)
    }

    /// Whether a brace height or turns were told since the last letter about a report.
    ///
    /// # Errors
    /// The database refuses.
    pub fn is_measured_since_letter(&self, report: i64) -> Result<bool, BookError> {
        const SQL: &str = "SELECT EXISTS (SELECT 1 FROM event e JOIN reading g ON g.id = e.reading_id
            WHERE e.report_number = ?1 AND e.what = 'reading' AND coalesce(g.brace_inch, g.turns_changed, g.turns_counted) IS NOT NULL
                AND e.id > (SELECT max(l.id) FROM event l WHERE l.report_number = ?1 AND l.what = 'letter'))";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([report], |row| row.get(0))?)
    }

    /// The advice that the last letter before each reading of a report gave, as it is kept; none where there
    /// was no letter, and none for what was noted anew after that was struck, before another letter.
    ///
    /// # Errors
    /// The database refuses.
    pub fn advice_before_readings(&self, report: i64) -> Result<Vec<Option<String>>, BookError> {
        const SQL: &str = "SELECT (SELECT v.advice FROM verdict v WHERE v.report_number = ?1
                AND coalesce(v.after_line, 0) < (SELECT max(l.id) FROM event l WHERE l.report_number = ?1 AND l.what = 'letter' AND l.id < r.line)
                AND (SELECT x.what FROM event x WHERE x.report_number = ?1 AND x.what IN ('letter', 'look-over', 'withdraw') AND x.id < r.line ORDER BY x.id DESC LIMIT 1) <> 'withdraw'
                ORDER BY v.id DESC LIMIT 1) AS advice
            FROM (SELECT g.id, (SELECT min(e.id) FROM event e WHERE e.reading_id = g.id AND e.what = 'reading') AS line
                FROM reading g WHERE g.report_number = ?1) r ORDER BY r.id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let advices = statement.query_map([report], |row| row.get("advice"))?.collect::<Result<_, _>>()?;
        Ok(advices)
    }
}
