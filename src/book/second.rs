//! Reports with second readings, for the workshop's own figures: a bounded number of the newest,
//! in two queries, whatever the size of the book.

use std::collections::BTreeMap;

use super::rows::{self, Named, measured_columns};
use super::{BookError, Page};
use crate::trade::records::{BowProfile, Report, SoldString};

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
    ($($rest:tt)*) => {
        concat!(
            "WITH chosen AS (SELECT report_number AS number FROM main.reading INDEXED BY reading_by_brace WHERE brace_inch IS NOT NULL AND id NOT IN (SELECT id FROM struck_reading) AND report_number NOT IN (SELECT number FROM struck_report) GROUP BY report_number HAVING count(*) >= 2 ORDER BY report_number DESC LIMIT ?1) ",
            $($rest)*
        )
    };
}

impl Page<'_> {
    /// The newest reports with at least two brace readings, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn second_readings(&self, most: u32) -> Result<Vec<SecondReadings>, BookError> {
        // In the order in which they are read: see `Named`.
        const HEADS: &str = newest!(
            "SELECT r.number, r.string_id, r.received_on, s.serial, s.sold_on, s.route, s.ordered_inch, s.built_inch, s.built_at, s.built_across, s.yarn, s.strands, s.plies, s.lay, s.turns, s.loop_top_inch, s.loop_bottom_inch, s.serving_inch, s.pre_stretched, s.silencers, b.kind, b.marked_inch, b.nock_to_nock_inch, b.brace_low_inch, b.brace_high_inch, b.range_unknown, b.tips, b.stave, b.year, b.maker_allows_low_stretch FROM chosen JOIN report r ON r.number = chosen.number JOIN string s ON s.id = r.string_id JOIN bow b ON b.id = s.bow_id"
        );
        const READINGS: &str = newest!(
            "SELECT g.report_number, g.taken_on, ",
            measured_columns!(),
            " FROM chosen JOIN reading g ON g.report_number = chosen.number ORDER BY g.report_number, g.id"
        );
        let mut statement = self.transaction.prepare_cached(HEADS)?;
        let mut found: BTreeMap<i64, SecondReadings> = BTreeMap::new();
        let mut heads = statement.query([most])?;
        while let Some(row) = heads.next()? {
            let row = &mut Named::of(row);
            let (number, string_id) = (row.get("number")?, row.get("string_id")?);
            let report = Report {
                number,
                received_on: row.get("received_on")?,
                symptoms: Vec::new(),
                signs: Vec::new(),
                readings: Vec::new(),
                settled: false,
            };
            let (string, bow) = (rows::made(row)?, rows::bow_without_weight(row)?);
            found.insert(number, SecondReadings { report, string_id, string, bow });
        }
        let mut statement = self.transaction.prepare_cached(READINGS)?;
        let mut readings = statement.query([most])?;
        while let Some(row) = readings.next()? {
            let row = &mut Named::of(row);
            if let Some(of) = found.get_mut(&row.get("report_number")?) {
                of.report.readings.push(rows::reading(row)?);
            }
        }
        Ok(found.into_values().collect())
    }
}
