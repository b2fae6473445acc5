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

/// Reads strings sold with our own headers and the default rules.
fn sold(text: &str) -> Import<SoldRow> {
    read_sold(text.as_bytes(), &ColumnMap::default(), &Rules::default(), today(), &mut |_| {}).unwrap()
}

/// Reads one string sold: the columns every string needs, changed and added to by `cells`.
fn one_sold(cells: &[(&str, &str)]) -> Import<SoldRow> {
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
fn bad_rows<Row>(import: &Import<Row>) -> usize {
    import.errors.iter().map(|error| error.line).collect::<std::collections::BTreeSet<_>>().len()
}
