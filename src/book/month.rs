//! Everything the month sheet counts; and the questions to quiet archers.

use std::collections::HashMap;

use chrono::NaiveDate;
use rusqlite::Row;

use super::rows::{Named, insert, listed};
use super::{BookError, Page};
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::trade::month::{
    AnswerFacts, DrawnBy, MonthLots, MonthRow, QuietAnswer, ReportEnd, ReportFacts, SizingUnknown, initials,
};
use crate::trade::records::BowProfile;
use crate::trade::words::{Cause, Outcome, Route, Symptom};

/// A string whose archer could be asked.
#[derive(Debug, Clone, PartialEq)]
pub struct QuietString {
    /// Row.
    pub id: i64,
    /// Serial.
    pub serial: String,
    /// Row of its archer.
    pub archer_id: i64,
    /// Day of delivery, or the day of sale and the usual days after it.
    pub delivered: NaiveDate,
    /// Route.
    pub route: Route,
    /// Kind of bow.
    pub kind: BowKind,
    /// A report has come in.
    pub reported: bool,
    /// Its archer has been asked in another month.
    pub asked_before: bool,
}

/// A question that was drawn.
#[derive(Debug, Clone, PartialEq)]
pub struct StoredQuestion {
    /// Row.
    pub id: i64,
    /// Row of the string.
    pub string_id: i64,
    /// Serial of the string.
    pub serial: String,
    /// First day of the month it was drawn for.
    pub month: NaiveDate,
    /// Day the letter was written.
    pub letter_on: Option<NaiveDate>,
    /// Chance with which it was drawn, where that was kept.
    pub chance: Option<f64>,
    /// How it was drawn, where that was kept.
    pub by: Option<DrawnBy>,
    /// Newest answer.
    pub answer: Option<StoredAnswer>,
}

/// A question to be kept.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NewQuestion {
    /// Row of the string.
    pub string_id: i64,
    /// First day of the month it was drawn for.
    pub month: NaiveDate,
    /// Day of the draw.
    pub drawn_on: NaiveDate,
    /// Chance with which it was drawn.
    pub chance: Option<f64>,
    /// How.
    pub by: DrawnBy,
}

/// An answer to a question.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StoredAnswer {
    /// Day.
    pub answered_on: NaiveDate,
    /// What it says.
    pub answer: QuietAnswer,
    /// Turns put in (+) or taken out (-).
    pub turns: Option<f64>,
    /// Brace height, inches.
    pub brace: Option<f64>,
    /// Right minus ordered length by the answer, inches.
    pub error: f64,
}

/// What had come in of a string by a day.
#[derive(Default)]
struct Told {
    /// Its reports by their numbers, without what its own row says.
    reports: Vec<ReportFacts>,
    answer: Option<AnswerFacts>,
}

fn report(row: &Row<'_>) -> rusqlite::Result<ReportFacts> {
    let row = &mut Named::of(row);
    let number = row.get("number")?;
    let (received_on, direction) = (row.get("received_on")?, row.get("direction")?);
    let end = row.get::<Option<Outcome>>("outcome")?.zip(row.get::<Option<Cause>>("cause")?);
    let right_length = row.get("right_length_inch")?;
    Ok(ReportFacts {
        number,
        received_on,
        symptoms: Vec::new(),
        direction,
        brace: None,
        want: None,
        bow: BowProfile::default(),
        ordered: 0.0,
        end: end.map(|(outcome, cause)| ReportEnd { outcome, cause, right_length }),
        flipped: row.get("flipped")?,
        cents: None,
    })
}

/// A text of a row, borrowed; nothing where there is none.
fn text<'r>(row: &'r Row<'_>, place: usize) -> rusqlite::Result<&'r str> {
    Ok(row.get_ref(place)?.as_str_or_null().map_err(rusqlite::Error::from)?.unwrap_or_default())
}

/// The day in a column, taken apart here: the usual way reads a pattern anew for every row.
fn day(row: &Row<'_>, place: usize) -> rusqlite::Result<NaiveDate> {
    let read = |text: &str| {
        let (year, rest) = text.split_once('-')?;
        let (month, day) = rest.split_once('-')?;
        NaiveDate::from_ymd_opt(year.parse().ok()?, month.parse().ok()?, day.parse().ok()?)
    };
    read(text(row, place)?).map_or_else(|| row.get(place), Ok)
}

/// What quiet strings have to have in common to be told in one row; an offset as its bits.
type Alike = (NaiveDate, Route, BowKind, Yarn, Option<u64>, bool);

/// Has a report know what a row of another table says of it.
type Tell<'t> = &'t dyn Fn(&mut ReportFacts, &mut Named<'_, '_>) -> rusqlite::Result<()>;

impl Page<'_> {
    /// Strings delivered from `from` to `to` with what had come in by then: alike quiet strings
    /// of a day in one row, each report or answer in its own. And how many of them that are no
    /// replacements each lot of yarn went into, and each maker made: the lot and the maker would
    /// tell nearly every string from every other. Strings of which nobody knows how they were sized
    /// are counted apart.
    ///
    /// # Errors
    /// The database refuses.
    pub fn month_strings(
        &self,
        from: NaiveDate,
        to: NaiveDate,
        delivery_days: u32,
    ) -> Result<(Vec<MonthRow>, MonthLots), BookError> {
        // Every string is read once, and counted here.
        const STRINGS: &str = "SELECT s.id, coalesce(s.delivered_on, date(s.sold_on, '+' || ?3 || ' days')) AS delivered, s.route, b.kind, s.yarn, s.offset_inch,
                s.replaces_id IS NOT NULL AS replacement, s.spool_id, s.maker, s.maker_initials,
                s.ordered_inch, b.marked_inch, b.brace_low_inch, b.brace_high_inch
            FROM string s JOIN bow b ON b.id = s.bow_id WHERE delivered BETWEEN ?1 AND ?2";
        let period = (from, to, delivery_days);
        let (mut told, names) = (self.told_of_strings(to)?, self.names_of_spools()?);
        let (mut found, mut quiet, mut unknown) = (Vec::new(), Vec::<Alike>::new(), 0);
        let (mut spools, mut makers) = (HashMap::<i64, u32>::new(), HashMap::<String, u32>::new());
        let mut maker = String::new();
        let mut statement = self.transaction.prepare_cached(STRINGS)?;
        // Each name is looked up once, not for every string.
        let mut places = [0; 10];
        for (place, name) in places.iter_mut().zip([
            "id",
            "delivered",
            "route",
            "kind",
            "yarn",
            "offset_inch",
            "replacement",
            "spool_id",
            "maker",
            "maker_initials",
        ]) {
            *place = statement.column_index(name)?;
        }
        let [id, delivered, route, kind, yarn, offset, replacement, spool, name, label] = places;
        let mut rows = statement.query(period)?;
        while let Some(row) = rows.next()? {
            let by = row.get(route)?;
            if by == Route::Unknown {
                unknown += 1;
                continue;
            }
            let replaces: bool = row.get(replacement)?;
            if !replaces {
                if let Some(spool) = row.get::<_, Option<i64>>(spool)? {
                    *spools.entry(spool).or_default() += 1;
                }
                maker.clear();
                maker.push_str(text(row, label)?);
                maker.push('\n');
                maker.push_str(text(row, name)?);
                match makers.get_mut(&maker) {
                    Some(strings) => *strings += 1,
                    None => {
                        makers.insert(maker.clone(), 1);
                    }
                }
            }
            let string: i64 = row.get(id)?;
            let offset: Option<f64> = row.get(offset)?;
            let (delivered, kind, yarn) = (day(row, delivered)?, row.get(kind)?, row.get(yarn)?);
            let Some(Told { reports, answer }) = told.remove(&string) else {
                quiet.push((delivered, by, kind, yarn, offset.map(f64::to_bits), replaces));
                continue;
            };
            let own = &mut Named::of(row);
            let ordered: f64 = own.get("ordered_inch")?;
            let bow = BowProfile {
                kind,
                marked_length: own.get("marked_inch")?,
                brace_range: own.range("brace_low_inch", "brace_high_inch")?,
                ..BowProfile::default()
            };
            let lot = row.get::<_, Option<i64>>(spool)?.and_then(|id| names.get(&id));
            let line = MonthRow {
                delivered,
                route: by,
                kind,
                yarn,
                offset,
                replacement: replaces,
                count: 1,
                spool: lot.cloned(),
                maker: initials(Some(text(row, label)?), Some(text(row, name)?)),
                string: Some(string),
                report: None,
                answer,
            };
            if reports.is_empty() {
                found.push(line);
                continue;
            }
            found.extend(reports.into_iter().map(|report| MonthRow {
                report: Some(Box::new(ReportFacts { bow: bow.clone(), ordered, ..report })),
                ..line.clone()
            }));
        }
        quiet.sort_unstable();
        found.extend(quiet.chunk_by(PartialEq::eq).map(|alike| {
            let (delivered, route, kind, yarn, offset, replacement) = alike[0];
            let count = u32::try_from(alike.len()).unwrap_or(u32::MAX);
            let offset = offset.map(f64::from_bits);
            MonthRow {
                delivered,
                route,
                kind,
                yarn,
                offset,
                replacement,
                count,
                spool: None,
                maker: None,
                string: None,
                report: None,
                answer: None,
            }
        }));
        let lot = |(id, strings)| Some((names.get(&id)?.clone(), strings));
        let mut lots = MonthLots {
            spools: spools.into_iter().filter_map(lot).collect(),
            sizing_unknown: self.sizing_unknown(unknown, period)?,
            ..MonthLots::default()
        };
        for (maker, strings) in makers {
            let (label, name) = maker.split_once('\n').unwrap_or_default();
            if let Some(maker) = initials(Some(label), Some(name)) {
                *lots.makers.entry(maker).or_default() += strings;
            }
        }
        Ok((found, lots))
    }

    /// What had come in of all strings by a day, by their rows. What hangs on a report is read table
    /// by table: asked for report by report it was most of the work of a sheet.
    fn told_of_strings(&self, to: NaiveDate) -> Result<HashMap<i64, Told>, BookError> {
        // How a report ended does not count while it is taken up again.
        const REPORTS: &str = "WITH resumed AS (
                SELECT w.report_number FROM event w WHERE w.what = 'resume' AND w.report_number IS NOT NULL AND w.day <= ?1
                    AND NOT EXISTS (SELECT 1 FROM event l WHERE l.report_number = w.report_number AND l.what = 'settle' AND l.day <= ?1 AND l.id > w.id)
            )
            SELECT r.number, r.received_on, r.direction, e.outcome, e.cause, e.right_length_inch,
                coalesce((SELECT v.flip AND coalesce(v.turns, 0) = 0 FROM verdict v WHERE v.report_number = r.number ORDER BY v.id DESC LIMIT 1), 0) AS flipped, r.string_id
            FROM report r LEFT JOIN settlement e ON e.id = (SELECT max(x.id) FROM settlement x WHERE x.report_number = r.number AND x.settled_on <= ?1)
                AND r.number NOT IN (SELECT report_number FROM resumed)
            WHERE r.received_on <= ?1 ORDER BY r.number";
        const SYMPTOMS: &str = "SELECT report_number, symptom FROM report_symptom";
        const READINGS: &str = "SELECT report_number, brace_inch, want_low_inch, want_high_inch FROM reading WHERE brace_inch IS NOT NULL OR want_low_inch IS NOT NULL ORDER BY id";
        const COSTS: &str =
            "SELECT report_number, cents FROM cost WHERE report_number IS NOT NULL AND day <= ?1";
        const ANSWERS: &str = "SELECT a.error_inch, q.chance, q.string_id FROM question q JOIN question_answer a ON a.question_id = q.id WHERE a.answered_on <= ?1 ORDER BY a.id";
        let mut reports = Vec::new();
        let mut statement = self.transaction.prepare_cached(REPORTS)?;
        let mut rows = statement.query([to])?;
        while let Some(row) = rows.next()? {
            reports.push((row.get::<_, i64>("string_id")?, report(row)?));
        }
        let place: HashMap<i64, usize> =
            reports.iter().enumerate().map(|(place, (_, report))| (report.number, place)).collect();
        let mut each = |sql, asked: &[&dyn rusqlite::ToSql], tell: Tell<'_>| {
            let mut statement = self.transaction.prepare_cached(sql)?;
            let mut rows = statement.query(asked)?;
            while let Some(row) = rows.next()? {
                let row = &mut Named::of(row);
                if let Some(place) = place.get(&row.get("report_number")?) {
                    tell(&mut reports[*place].1, row)?;
                }
            }
            Ok::<_, BookError>(())
        };
        each(SYMPTOMS, &[], &|report, row| {
            report.symptoms.extend(listed::<Symptom>(row.get("symptom")?));
            Ok(())
        })?;
        each(READINGS, &[], &|report, row| {
            report.brace = report.brace.or(row.get("brace_inch")?);
            report.want = row.range("want_low_inch", "want_high_inch")?.or(report.want);
            Ok(())
        })?;
        each(COSTS, &[&to], &|report, row| {
            let cents: i64 = row.get("cents")?;
            report.cents = Some(report.cents.unwrap_or_default().saturating_add(cents));
            Ok(())
        })?;
        let mut told = HashMap::<i64, Told>::new();
        for (string, report) in reports {
            told.entry(string).or_default().reports.push(report);
        }
        let mut statement = self.transaction.prepare_cached(ANSWERS)?;
        let mut rows = statement.query([to])?;
        while let Some(row) = rows.next()? {
            let error: f64 = row.get("error_inch")?;
            // What stands at nothing has been said in words, or found within the range.
            let answer = AnswerFacts {
                reading_inch: (error.abs() > 1e-9).then_some(error),
                chance: row.get("chance")?,
            };
            told.entry(row.get("string_id")?).or_default().answer = Some(answer);
        }
        Ok(told)
    }

    fn names_of_spools(&self) -> Result<HashMap<i64, String>, BookError> {
        let mut statement = self.transaction.prepare_cached("SELECT id, name FROM spool")?;
        let names = statement.query_map([], |row| Ok((row.get("id")?, row.get("name")?)))?;
        Ok(names.collect::<Result<_, _>>()?)
    }

    /// What came of so many strings of which nobody knows how they were sized.
    fn sizing_unknown(
        &self,
        strings: u32,
        period: (NaiveDate, NaiveDate, u32),
    ) -> Result<SizingUnknown, BookError> {
        const SQL: &str = "WITH told AS (
                SELECT r.number FROM string s JOIN report r ON r.string_id = s.id
                WHERE s.route = 'unknown' AND coalesce(s.delivered_on, date(s.sold_on, '+' || ?3 || ' days')) BETWEEN ?1 AND ?2 AND r.received_on <= ?2
            )
            SELECT (SELECT count(*) FROM told) AS reports,
                (SELECT coalesce(sum(m.cents), 0) FROM cost m WHERE m.report_number IN (SELECT number FROM told) AND m.day <= ?2) AS cents";
        if strings == 0 {
            return Ok(SizingUnknown::default());
        }
        let told = |row: &Row<'_>| {
            Ok(SizingUnknown { strings, reports: row.get("reports")?, cost_cents: row.get("cents")? })
        };
        Ok(self.transaction.prepare_cached(SQL)?.query_row(period, told)?)
    }

    /// The newest rows of what a month sheet is worked out from. Whatever is written adds a row to
    /// one of these tables, so they are the same as long as nothing was.
    ///
    /// # Errors
    /// The database refuses.
    pub fn newest_rows(&self) -> Result<[i64; 4], BookError> {
        const SQL: &str = "SELECT coalesce((SELECT max(id) FROM main.event), 0), coalesce((SELECT max(id) FROM setting), 0),
            coalesce((SELECT max(id) FROM question_answer), 0), coalesce((SELECT max(number) FROM main.report), 0)";
        Ok(self
            .transaction
            .prepare_cached(SQL)?
            .query_row([], |row| Ok([row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?]))?)
    }

    /// Since when the book keeps complaints, as far as it can tell: its first entry or the first
    /// report in it, whichever is older; `None` in a book without either.
    ///
    /// # Errors
    /// The database refuses.
    pub fn reports_since(&self) -> Result<Option<NaiveDate>, BookError> {
        const SQL: &str = "SELECT min(day) FROM (
                SELECT day FROM (SELECT day FROM event ORDER BY id LIMIT 1)
                UNION ALL SELECT min(received_on) FROM report
            )";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([], |row| row.get(0))?)
    }

    /// Changes of all offsets up to a day, oldest first: name, kept value, day.
    ///
    /// # Errors
    /// The database refuses.
    pub fn offset_changes(&self, until: NaiveDate) -> Result<Vec<(String, String, NaiveDate)>, BookError> {
        const SQL: &str =
            "SELECT name, value, set_on FROM setting WHERE name LIKE 'offset.%' AND set_on <= ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let changes = statement
            .query_map([until], |row| Ok((row.get("name")?, row.get("value")?, row.get("set_on")?)))?
            .collect::<Result<_, _>>()?;
        Ok(changes)
    }

    /// Strings delivered from `from` to `to` that are no replacements, with what decides whether
    /// their archers may be asked for `month`.
    ///
    /// # Errors
    /// The database refuses.
    pub fn quiet_strings(
        &self,
        from: NaiveDate,
        to: NaiveDate,
        delivery_days: u32,
        month: NaiveDate,
    ) -> Result<Vec<QuietString>, BookError> {
        const SQL: &str = "SELECT s.id, s.serial, s.archer_id, coalesce(s.delivered_on, date(s.sold_on, '+' || ?3 || ' days')) AS delivered, s.route, b.kind,
                EXISTS (SELECT 1 FROM report r WHERE r.string_id = s.id) AS reported,
                EXISTS (SELECT 1 FROM question q JOIN string o ON o.id = q.string_id WHERE o.archer_id = s.archer_id AND q.month <> ?4) AS asked
            FROM string s JOIN bow b ON b.id = s.bow_id WHERE s.replaces_id IS NULL AND s.route <> 'unknown' AND coalesce(s.delivered_on, date(s.sold_on, '+' || ?3 || ' days')) BETWEEN ?1 AND ?2 ORDER BY s.id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let found = statement
            .query_map((from, to, delivery_days, month), |row| {
                Ok(QuietString {
                    id: row.get("id")?,
                    serial: row.get("serial")?,
                    archer_id: row.get("archer_id")?,
                    delivered: row.get("delivered")?,
                    route: row.get("route")?,
                    kind: row.get("kind")?,
                    reported: row.get("reported")?,
                    asked_before: row.get("asked")?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(found)
    }

    /// Keeps a question that was drawn, or a card that came back unasked.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_question(&self, question: &NewQuestion) -> Result<(), BookError> {
        insert!(self, "question", {
            string_id: question.string_id,
            month: question.month,
            drawn_on: question.drawn_on,
            chance: question.chance,
            drawn_by: question.by,
        })?;
        Ok(())
    }

    /// Questions drawn for a month, or that of one string, drawn or answered unasked.
    ///
    /// # Errors
    /// The database refuses.
    pub fn questions(
        &self,
        month: Option<NaiveDate>,
        string: Option<i64>,
    ) -> Result<Vec<StoredQuestion>, BookError> {
        const SQL: &str = "SELECT q.id, q.string_id, s.serial, q.month, q.letter_on, q.chance, q.drawn_by, a.answered_on, a.answer, a.turns, a.brace_inch, a.error_inch
            FROM question q JOIN string s ON s.id = q.string_id
                LEFT JOIN question_answer a ON a.id = (SELECT max(x.id) FROM question_answer x WHERE x.question_id = q.id)
            WHERE (?1 IS NULL OR (q.month = ?1 AND q.drawn_by IS NOT 'card')) AND (?2 IS NULL OR q.string_id = ?2) ORDER BY q.id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let found = statement
            .query_map((month, string), |row| {
                let word: Option<QuietAnswer> = row.get("answer")?;
                Ok(StoredQuestion {
                    id: row.get("id")?,
                    string_id: row.get("string_id")?,
                    serial: row.get("serial")?,
                    month: row.get("month")?,
                    letter_on: row.get("letter_on")?,
                    chance: row.get("chance")?,
                    by: row.get("drawn_by")?,
                    answer: word
                        .map(|answer| {
                            Ok::<_, rusqlite::Error>(StoredAnswer {
                                answered_on: row.get("answered_on")?,
                                answer,
                                turns: row.get("turns")?,
                                brace: row.get("brace_inch")?,
                                error: row.get("error_inch")?,
                            })
                        })
                        .transpose()?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(found)
    }

    /// Notes that the letter of a question was written.
    ///
    /// # Errors
    /// The database refuses.
    pub fn question_written(&self, id: i64, day: NaiveDate) -> Result<(), BookError> {
        const SQL: &str = "UPDATE question SET letter_on = ?2 WHERE id = ?1 AND letter_on IS NULL";
        self.transaction.prepare_cached(SQL)?.execute((id, day))?;
        Ok(())
    }

    /// Keeps an answer.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_answer(&self, question: i64, answer: &StoredAnswer) -> Result<(), BookError> {
        insert!(self, "question_answer", {
            question_id: question,
            answered_on: answer.answered_on,
            answer: answer.answer,
            turns: answer.turns,
            brace_inch: answer.brace,
            error_inch: answer.error,
        })?;
        Ok(())
    }
}
