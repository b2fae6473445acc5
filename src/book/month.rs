//! Everything the month sheet counts; and the questions to quiet archers.

use std::collections::{BTreeMap, HashMap, HashSet};

use chrono::NaiveDate;
use rusqlite::Row;

use super::rows::{self, Named, insert};
use super::{BookError, Page};
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::trade::month::{
    AnswerFacts, DrawnBy, MonthLots, MonthRow, QuietAnswer, ReportEnd, ReportFacts, SizingUnknown, initials,
};
use crate::trade::records::BowProfile;
use crate::trade::words::{Cause, Outcome, Route};

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

fn report(row: &Row<'_>) -> rusqlite::Result<Option<ReportFacts>> {
    let Some(number) = row.get("number")? else { return Ok(None) };
    let end: Option<(Outcome, Cause)> = row.get::<_, Option<_>>("outcome")?.zip(row.get("cause")?);
    let end = end
        .map(|(outcome, cause)| {
            Ok::<_, rusqlite::Error>(ReportEnd {
                outcome,
                cause,
                right_length: row.get("right_length_inch")?,
            })
        })
        .transpose()?;
    Ok(Some(ReportFacts {
        number,
        received_on: row.get("received_on")?,
        symptoms: rows::listed(row.get("symptoms")?),
        direction: row.get("direction")?,
        brace: row.get("brace_inch")?,
        want: Named::of(row).range("want_low_inch", "want_high_inch")?,
        bow: BowProfile {
            kind: row.get("kind")?,
            marked_length: row.get("marked_inch")?,
            brace_range: Named::of(row).range("brace_low_inch", "brace_high_inch")?,
            ..BowProfile::default()
        },
        ordered: row.get("ordered_inch")?,
        end,
        flipped: row.get("flipped")?,
        cents: row.get("cents")?,
    }))
}

fn answer(row: &Row<'_>) -> rusqlite::Result<Option<AnswerFacts>> {
    let error: Option<f64> = row.get("error_inch")?;
    let chance = row.get("chance")?;
    // What stands at nothing has been said in words, or found within the range.
    Ok(error.map(|error| AnswerFacts { reading_inch: (error.abs() > 1e-9).then_some(error), chance }))
}

fn told(row: &Row<'_>) -> rusqlite::Result<MonthRow> {
    let (name, label): (Option<String>, Option<String>) = (row.get("maker")?, row.get("maker_initials")?);
    Ok(MonthRow {
        delivered: row.get("delivered")?,
        route: row.get("route")?,
        kind: row.get("kind")?,
        yarn: row.get("yarn")?,
        offset: row.get("offset_inch")?,
        replacement: row.get("replacement")?,
        count: 1,
        spool: row.get("spool")?,
        maker: initials(label.as_deref(), name.as_deref()),
        string: row.get("string_id")?,
        report: report(row)?,
        answer: answer(row)?,
    })
}

/// What quiet strings have to have in common to be told in one row; an offset as its bits.
type Alike = (NaiveDate, Route, BowKind, Yarn, Option<u64>, bool);

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
        const TOLD: &str = "WITH told AS (
                SELECT r.string_id FROM report r WHERE r.received_on <= ?2
                UNION SELECT q.string_id FROM question q JOIN question_answer a ON a.question_id = q.id WHERE a.answered_on <= ?2
            )
            SELECT s.id AS string_id, coalesce(s.delivered_on, date(s.sold_on, '+' || ?3 || ' days')) AS delivered, s.route, b.kind, s.yarn, s.offset_inch,
                s.replaces_id IS NOT NULL AS replacement, p.name AS spool, s.maker, s.maker_initials,
                s.ordered_inch, b.marked_inch, b.brace_low_inch, b.brace_high_inch,
                r.number, r.received_on, r.direction, e.outcome, e.cause, e.right_length_inch, a.error_inch, a.answered_on,
                (SELECT q.chance FROM question q WHERE q.id = a.question_id) AS chance,
                (SELECT group_concat(symptom, ' ') FROM report_symptom y WHERE y.report_number = r.number) AS symptoms,
                (SELECT brace_inch FROM reading g WHERE g.report_number = r.number AND brace_inch IS NOT NULL ORDER BY g.id LIMIT 1) AS brace_inch,
                (SELECT want_low_inch FROM reading g WHERE g.report_number = r.number AND want_low_inch IS NOT NULL ORDER BY g.id DESC LIMIT 1) AS want_low_inch,
                (SELECT want_high_inch FROM reading g WHERE g.report_number = r.number AND want_low_inch IS NOT NULL ORDER BY g.id DESC LIMIT 1) AS want_high_inch,
                (SELECT sum(cents) FROM cost m WHERE m.report_number = r.number AND m.day <= ?2) AS cents,
                coalesce((SELECT v.flip AND coalesce(v.turns, 0) = 0 FROM verdict v WHERE v.report_number = r.number ORDER BY v.id DESC LIMIT 1), 0) AS flipped
            FROM told t JOIN string s ON s.id = t.string_id JOIN bow b ON b.id = s.bow_id
                LEFT JOIN spool p ON p.id = s.spool_id
                LEFT JOIN report r ON r.string_id = s.id AND r.received_on <= ?2
                LEFT JOIN settlement e ON e.id = (SELECT max(x.id) FROM settlement x WHERE x.report_number = r.number AND x.settled_on <= ?2)
                    -- How it ended does not count while it is taken up again.
                    AND coalesce((SELECT w.what FROM event w WHERE w.report_number = r.number AND w.what IN ('settle', 'resume') AND w.day <= ?2 ORDER BY w.id DESC LIMIT 1), 'settle') = 'settle'
                LEFT JOIN question_answer a ON a.id = (SELECT n.id FROM question q JOIN question_answer n ON n.question_id = q.id WHERE q.string_id = s.id AND n.answered_on <= ?2 ORDER BY n.id DESC LIMIT 1)
            WHERE s.route <> 'unknown' AND delivered BETWEEN ?1 AND ?2 ORDER BY s.id, r.number";
        // Every string is read once, and counted here.
        const STRINGS: &str = "SELECT s.id, coalesce(s.delivered_on, date(s.sold_on, '+' || ?3 || ' days')) AS delivered, s.route, b.kind, s.yarn, s.offset_inch,
                s.replaces_id IS NOT NULL AS replacement, s.spool_id, s.maker, s.maker_initials
            FROM string s JOIN bow b ON b.id = s.bow_id WHERE delivered BETWEEN ?1 AND ?2";
        let period = (from, to, delivery_days);
        let mut statement = self.transaction.prepare_cached(TOLD)?;
        let mut found = statement.query_map(period, told)?.collect::<Result<Vec<_>, _>>()?;
        let told: HashSet<i64> = found.iter().filter_map(|row| row.string).collect();
        let (mut quiet, mut unknown) = (Vec::<Alike>::new(), 0);
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
                maker.push_str(
                    row.get_ref(label)?.as_str_or_null().map_err(rusqlite::Error::from)?.unwrap_or_default(),
                );
                maker.push('\n');
                maker.push_str(
                    row.get_ref(name)?.as_str_or_null().map_err(rusqlite::Error::from)?.unwrap_or_default(),
                );
                match makers.get_mut(&maker) {
                    Some(strings) => *strings += 1,
                    None => {
                        makers.insert(maker.clone(), 1);
                    }
                }
            }
            if !told.contains(&row.get(id)?) {
                let offset = row.get::<_, Option<f64>>(offset)?.map(f64::to_bits);
                quiet.push((row.get(delivered)?, by, row.get(kind)?, row.get(yarn)?, offset, replaces));
            }
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
        let mut lots = MonthLots {
            spools: self.names_of_spools(&spools)?,
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

    fn names_of_spools(&self, strings: &HashMap<i64, u32>) -> Result<BTreeMap<String, u32>, BookError> {
        let mut statement = self.transaction.prepare_cached("SELECT id, name FROM spool")?;
        let mut rows = statement.query([])?;
        let mut named = BTreeMap::new();
        while let Some(row) = rows.next()? {
            if let Some(strings) = strings.get(&row.get("id")?) {
                named.insert(row.get("name")?, *strings);
            }
        }
        Ok(named)
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
