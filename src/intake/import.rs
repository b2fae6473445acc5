//! The way through a file, the same for all kinds of rows.

use std::collections::BTreeSet;

use chrono::NaiveDate;

use super::cells::{Cells, ReadBefore};
use super::columns::{ColumnMap, Columns, Needed, read_header};
use super::error::{IntakeError, RowError};
use super::records::{Records, text_of};
use crate::trade::rules::Rules;

/// Most rows of a file: more than a workshop sells in its life.
pub(super) const MAX_ROWS: u64 = 2_000_000;

/// After so many records progress is told.
const RECORDS_PER_TICK: u64 = 256;

/// What was read from a file, beside its rows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Import {
    /// Headers of the file that are none of our columns, shortened and harmless.
    pub ignored_columns: Vec<String>,
    /// Rows in the file, blank lines not counted: the good, the bad, and repeated ones.
    pub row_count: usize,
    /// The delimiter of the file: comma, semicolon or tab.
    pub delimiter: u8,
}

/// Takes one row after the other: a good one, or every bad value of a bad one.
pub type Take<'t, Row, E> = &'t mut dyn FnMut(Result<Row, Vec<RowError>>) -> Result<(), E>;

/// Where a record stands in a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    /// Line in which it starts, counted from 1.
    pub(super) line: u64,
    /// Byte at which it starts.
    pub(super) from: usize,
}

/// A file of which a record can be looked at once more.
pub(super) struct Source<'s> {
    text: &'s str,
    delimiter: u8,
    columns: &'s Columns,
    plan: &'s Plan<'s>,
}

impl Source<'_> {
    /// Reads an earlier record again, so that none has to be kept.
    pub(super) fn again<T>(&self, place: Place, read: impl FnOnce(&mut Cells<'_>) -> Option<T>) -> Option<T> {
        let record = Records::from_place(self.text, self.delimiter, place).next_record().ok().flatten()?;
        read(&mut Cells::new(&record, self.columns, self.plan))
    }
}

/// What is expected of a file and its rows.
pub(super) struct Plan<'p> {
    /// Our columns.
    pub(super) known: &'static [&'static str],
    /// Those of which a file must have one each.
    pub(super) needed: Needed,
    /// Other names of columns.
    pub(super) map: &'p ColumnMap,
    /// The workshop's rules.
    pub(super) rules: &'p Rules,
    /// The day after which nothing has happened yet.
    pub(super) today: NaiveDate,
    /// Most rows that are taken.
    pub(super) most_rows: u64,
    /// What was read before.
    pub(super) read_before: ReadBefore,
}

/// Reads a file record by record; `read` makes a row of one, with the file at hand.
///
/// `read` reports what is bad to its cells; without a row and without an error it drops the
/// record. `progress` is told the bytes read so far.
pub(super) fn import<Row, E: From<IntakeError>>(
    input: &[u8],
    plan: &Plan<'_>,
    progress: &mut dyn FnMut(u64),
    mut read: impl FnMut(&mut Cells<'_>, &Source<'_>) -> Option<Row>,
    take: Take<'_, Row, E>,
) -> Result<Import, E> {
    let text = text_of(input)?;
    let (columns, mut records, delimiter) = read_header(text, plan.map, plan.known, plan.needed)?;
    let source = Source { text, delimiter, columns: &columns, plan };
    let mut import = Import { ignored_columns: columns.ignored.clone(), row_count: 0, delimiter };
    let mut count = 0_u64;
    while let Some(record) = records.next_record()? {
        count += 1;
        if count > plan.most_rows {
            return Err(IntakeError::TooManyRows { most: plan.most_rows }.into());
        }
        import.row_count += 1;
        let mut cells = Cells::new(&record, &columns, plan);
        let row = if cells.has_right_shape() { read(&mut cells, &source) } else { None };
        let errors = cells.into_errors();
        if !errors.is_empty() {
            take(Err(errors))?;
        } else if let Some(row) = row {
            take(Ok(row))?;
        }
        if count.is_multiple_of(RECORDS_PER_TICK) {
            progress(records.bytes_read() as u64);
        }
    }
    progress(input.len() as u64);
    Ok(import)
}

/// The header of a file and its records that start in some lines, byte for byte as they stand
/// there, so that they can be mended and read again. `delimiter` is that of the import.
///
/// # Errors
/// The file cannot be read as one of records.
pub fn as_they_stood(input: &[u8], delimiter: u8, lines: &BTreeSet<u64>) -> Result<Vec<u8>, IntakeError> {
    let text = text_of(input)?;
    // What goes before the text, the mark of its encoding, goes before what is saved.
    let mut saved = input.get(..input.len() - text.len()).unwrap_or_default().to_vec();
    let mut records = Records::new(text, delimiter);
    let mut is_header = true;
    while let Some(record) = records.next_record()? {
        if is_header || lines.contains(&record.line) {
            saved.extend_from_slice(
                text.as_bytes().get(record.from..records.bytes_read()).unwrap_or_default(),
            );
        }
        is_header = false;
    }
    Ok(saved)
}
