//! Reports with second readings, for the workshop's own figures: a bounded number of the newest,
//! in two queries, whatever the size of the book.

use std::collections::BTreeMap;
use std::str::FromStr;

use rusqlite::types::Type;

use super::{BookError, Page};
use crate::mechanics::bow::FadeMeasures;
use crate::quantity::{Length, LengthRange, Turns};
use crate::trade::records::{BowProfile, Measurements, Reading, Report, SoldString};
use crate::words::UnknownWord;

/// A report with at least two brace readings, with what it is about.
#[derive(Debug, Clone, PartialEq)]
pub struct SecondReadings {
    /// The report, without its symptoms and the signs found in its texts.
    pub report: Report,
    /// Row of its string.
    pub string_id: i64,
    /// What its string is made like; how it was sized and ordered is left out.
    pub string: SoldString,
    /// Its bow, without the draw weight.
    pub bow: BowProfile,
}

macro_rules! newest {
    ($rest:literal) => {
        concat!(
            "WITH chosen AS (SELECT report_number AS number FROM reading INDEXED BY reading_by_brace WHERE brace_inch IS NOT NULL GROUP BY report_number HAVING count(*) >= 2 ORDER BY report_number DESC LIMIT ?1) ",
            $rest
        )
    };
}

/// The columns of a row one after the other, by place: looking each up by its name would cost
/// more than all the rest.
struct Next<'r, 's> {
    row: &'r rusqlite::Row<'s>,
    at: usize,
}

impl Next<'_, '_> {
    fn get<T: rusqlite::types::FromSql>(&mut self) -> rusqlite::Result<T> {
        self.at += 1;
        self.row.get(self.at - 1)
    }

    fn optional_word<T: FromStr<Err = UnknownWord>>(&mut self) -> rusqlite::Result<Option<T>> {
        self.at += 1;
        match self.row.get_ref(self.at - 1)?.as_str_or_null() {
            Ok(Some(text)) => text.parse().map(Some).map_err(|error: UnknownWord| self.refuse(error)),
            Ok(None) => Ok(None),
            Err(error) => Err(self.refuse(error)),
        }
    }

    fn word<T: FromStr<Err = UnknownWord>>(&mut self) -> rusqlite::Result<T> {
        self.optional_word()?.ok_or_else(|| self.refuse("missing"))
    }

    fn length(&mut self) -> rusqlite::Result<Option<Length>> {
        Ok(self.get::<Option<f64>>()?.and_then(Length::try_from_inches))
    }

    fn turns(&mut self) -> rusqlite::Result<Option<Turns>> {
        Ok(self.get::<Option<f64>>()?.and_then(Turns::new))
    }

    fn range(&mut self) -> rusqlite::Result<Option<LengthRange>> {
        let (low, high) = (self.length()?, self.length()?);
        Ok(low.zip(high).and_then(|(low, high)| LengthRange::new(low, high)))
    }

    fn refuse(&self, what: impl std::fmt::Display) -> rusqlite::Error {
        rusqlite::Error::FromSqlConversionFailure(self.at - 1, Type::Null, what.to_string().into())
    }

    fn string(&mut self) -> rusqlite::Result<SoldString> {
        let (serial, sold_on, route) = (self.get()?, self.get()?, self.word()?);
        let ordered = self.length()?.ok_or_else(|| self.refuse("no length"))?;
        let string = SoldString::new(serial, sold_on, route, ordered);
        Ok(SoldString {
            built: self.length()?,
            built_at: self.word()?,
            built_across: self.word()?,
            yarn: self.word()?,
            strands: self.get()?,
            plies: self.get()?,
            lay: self.word()?,
            turns: self.turns()?,
            loop_top: self.length()?,
            loop_bottom: self.length()?,
            serving: self.length()?,
            pre_stretched: self.get()?,
            silencers: self.get()?,
            ..string
        })
    }

    fn bow(&mut self) -> rusqlite::Result<BowProfile> {
        Ok(BowProfile {
            kind: self.word()?,
            marked_length: self.length()?,
            nock_to_nock: self.length()?,
            brace_range: self.range()?,
            tips: self.word()?,
            stave: self.word()?,
            year: self.get()?,
            maker_allows_low_stretch: self.get()?,
            ..BowProfile::default()
        })
    }

    fn reading(&mut self) -> rusqlite::Result<Reading> {
        Ok(Reading {
            taken_on: self.get()?,
            measurements: Measurements {
                brace: self.length()?,
                readings: self.get()?,
                want: self.range()?,
                length: self.length()?,
                length_at: self.optional_word()?,
                turns_changed: self.turns()?,
                turns_counted: self.turns()?,
                counted_over: self.length()?,
                fades: self.fades()?,
                shots: self.get()?,
                marker: self.optional_word()?,
                serving: self.length()?,
                photo: self.optional_word()?,
            },
        })
    }

    fn fades(&mut self) -> rusqlite::Result<Option<FadeMeasures>> {
        let all: [Option<f64>; 4] = [self.get()?, self.get()?, self.get()?, self.get()?];
        Ok(match all {
            [Some(free_string_inch), Some(fade_span_inch), Some(fade_gap_inch), Some(fade_to_nock_inch)] => {
                Some(FadeMeasures { free_string_inch, fade_span_inch, fade_gap_inch, fade_to_nock_inch })
            }
            _ => None,
        })
    }
}

impl Page<'_> {
    /// The newest reports with at least two brace readings, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn second_readings(&self, most: u32) -> Result<Vec<SecondReadings>, BookError> {
        // In the order in which `Next` takes them.
        const HEADS: &str = newest!(
            "SELECT r.number, r.string_id, r.received_on, s.serial, s.sold_on, s.route, s.ordered_inch, s.built_inch, s.built_at, s.built_across, s.yarn, s.strands, s.plies, s.lay, s.turns, s.loop_top_inch, s.loop_bottom_inch, s.serving_inch, s.pre_stretched, s.silencers, b.kind, b.marked_inch, b.nock_to_nock_inch, b.brace_low_inch, b.brace_high_inch, b.tips, b.stave, b.year, b.maker_allows_low_stretch FROM chosen JOIN report r ON r.number = chosen.number JOIN string s ON s.id = r.string_id JOIN bow b ON b.id = s.bow_id"
        );
        const READINGS: &str = newest!(
            "SELECT g.report_number, g.taken_on, g.brace_inch, g.readings, g.want_low_inch, g.want_high_inch, g.length_inch, g.length_at, g.turns_changed, g.turns_counted, g.counted_over_inch, g.free_string_inch, g.fade_span_inch, g.fade_gap_inch, g.fade_to_nock_inch, g.shots, g.marker, g.serving_inch, g.photo FROM chosen JOIN reading g ON g.report_number = chosen.number ORDER BY g.report_number, g.id"
        );
        let mut statement = self.transaction.prepare_cached(HEADS)?;
        let mut found: BTreeMap<i64, SecondReadings> = BTreeMap::new();
        let mut heads = statement.query([most])?;
        while let Some(row) = heads.next()? {
            let mut next = Next { row, at: 0 };
            let (number, string_id) = (next.get()?, next.get()?);
            let report = Report {
                number,
                received_on: next.get()?,
                symptoms: Vec::new(),
                signs: Vec::new(),
                readings: Vec::new(),
                settled: false,
            };
            found.insert(
                number,
                SecondReadings { report, string_id, string: next.string()?, bow: next.bow()? },
            );
        }
        let mut statement = self.transaction.prepare_cached(READINGS)?;
        let mut readings = statement.query([most])?;
        while let Some(row) = readings.next()? {
            let mut next = Next { row, at: 0 };
            if let Some(of) = found.get_mut(&next.get()?) {
                of.report.readings.push(next.reading()?);
            }
        }
        Ok(found.into_values().collect())
    }
}
