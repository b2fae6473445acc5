//! Whole files through the reader.

mod files;
mod reports;
mod sample;
mod sold;

use chrono::NaiveDate;

use super::*;
use crate::trade::rules::Rules;

/// The day on which the tests read.
fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 15).unwrap()
}

/// What was read from a file, with all its rows.
#[derive(Debug, PartialEq)]
struct Whole<Row> {
    rows: Vec<Row>,
    errors: Vec<RowError>,
    ignored_columns: Vec<String>,
    row_count: usize,
    delimiter: u8,
}

/// Gathers the rows of a file.
fn whole<Row>(
    read: impl FnOnce(Take<'_, Row, IntakeError>) -> Result<Import, IntakeError>,
) -> Result<Whole<Row>, IntakeError> {
    let (mut rows, mut errors) = (Vec::new(), Vec::new());
    let Import { ignored_columns, row_count, delimiter } = read(&mut |row| {
        match row {
            Ok(row) => rows.push(row),
            Err(bad) => errors.extend(bad),
        }
        Ok(())
    })?;
    Ok(Whole { rows, errors, ignored_columns, row_count, delimiter })
}

/// Reads strings sold with columns and rules of their own.
fn sold_by(input: &[u8], columns: &ColumnMap, rules: &Rules) -> Result<Whole<SoldRow>, IntakeError> {
    whole(|take| read_sold(input, columns, rules, today(), &mut |_| {}, take))
}

/// Reads strings sold with our own headers and the default rules.
fn sold(text: &str) -> Whole<SoldRow> {
    sold_by(text.as_bytes(), &ColumnMap::default(), &Rules::default()).unwrap()
}

/// Reads reports with our own headers and the default rules.
fn reports(text: &str) -> Result<Whole<ReportRow>, IntakeError> {
    let (columns, rules) = (ColumnMap::default(), Rules::default());
    whole(|take| read_reports(text.as_bytes(), &columns, &rules, today(), &mut |_| {}, take))
}

/// Reads one string sold: the columns every string needs, changed and added to by `cells`.
fn one_sold(cells: &[(&str, &str)]) -> Whole<SoldRow> {
    sold(&file(
        &[("serial", "T-1"), ("sold_on", "2026-03-02"), ("route", "marked"), ("ordered_length", "62")],
        cells,
    ))
}

/// A header and one row of `base`, changed and added to by `cells`.
fn file(base: &[(&str, &str)], cells: &[(&str, &str)]) -> String {
    let mut row: Vec<(&str, &str)> = base.to_vec();
    for &(column, value) in cells {
        match row.iter_mut().find(|(own, _)| *own == column) {
            Some(cell) => cell.1 = value,
            None => row.push((column, value)),
        }
    }
    let quoted = |value: &str| format!("\"{}\"", value.replace('"', "\"\""));
    let header: Vec<&str> = row.iter().map(|(column, _)| *column).collect();
    let values: Vec<String> = row.iter().map(|(_, value)| quoted(value)).collect();
    format!("{}\n{}\n", header.join(","), values.join(","))
}

/// All errors of an import as one text.
fn report(errors: &[RowError]) -> String {
    errors.iter().map(|error| format!("{error}\n")).collect()
}

/// How many rows have an error.
fn bad_rows<Row>(import: &Whole<Row>) -> usize {
    import.errors.iter().map(|error| error.line).collect::<std::collections::BTreeSet<_>>().len()
}
