//! Reads CSV files into typed rows or row errors.
//!
//! A fault of the whole file (not UTF-8, no header, an open quote) is an [`IntakeError`] and
//! nothing is read. Faults of single rows are [`RowError`]s: every bad value of every row is
//! reported. Rows are given one after the other, good and bad, so that a long file needs no room
//! and the caller decides what to take. Pure: takes bytes and today's date; no files, no clock, no
//! printing.

mod cells;
mod columns;
mod error;
mod guard;
mod import;
mod quantities;
mod records;
mod repeats;
mod reports;
mod sold;
#[cfg(test)]
mod tests;
mod vocabulary;

pub use columns::ColumnMap;
pub use error::{IntakeError, RowError};
pub use guard::{read_csv_field_safe, write_csv_field_safe};
pub use import::{Import, Take, as_they_stood};
pub use reports::{REPORT_COLUMNS, ReportRow, read_reports};
pub use sold::{SOLD_COLUMNS, SoldRow, read_sold};
