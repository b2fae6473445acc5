//! Serials that stand twice in one file.

use std::collections::HashMap;

use super::cells::Cells;
use super::sold::SoldRow;
use crate::words::shorten;

/// Which serials were read, and where.
#[derive(Debug, Default)]
pub(super) struct Repeats {
    /// Index of the row by its serial in lower case.
    seen: HashMap<String, usize>,
}

impl Repeats {
    /// Whether a row is new; one that repeats an earlier one is not, and one that contradicts
    /// it is refused as well.
    pub(super) fn is_new(&mut self, serial: &str, cells: &mut Cells<'_>, rows: &[SoldRow]) -> bool {
        let key = serial.to_lowercase();
        let Some(first) = self.seen.get(&key).and_then(|&index| rows.get(index)) else {
            self.seen.insert(key, rows.len());
            return true;
        };
        let differing = differences(&first.given, cells.given());
        if let Some((column, before)) = differing.first() {
            let others = match differing.len() {
                1 => String::new(),
                2 => format!(", and {} differs too", differing.get(1).map_or("", |(column, _)| column)),
                count => format!(", and {} more columns differ", count - 1),
            };
            let expected = format!(
                "{} as in line {}, which has the same serial \"{}\"{others}; or a serial of its own for \
                 each string",
                if before.is_empty() {
                    "an empty value".to_owned()
                } else {
                    format!("\"{}\"", shorten(before))
                },
                first.line,
                shorten(&first.string.serial),
            );
            cells.refuse(column, expected);
        }
        false
    }
}

/// Columns in which two rows differ, with the value of the first row, empty where it has none.
fn differences(
    first: &[(&'static str, String)],
    second: &[(&'static str, String)],
) -> Vec<(&'static str, String)> {
    let value_in = |given: &[(&'static str, String)], column: &str| -> String {
        given.iter().find(|(own, _)| *own == column).map(|(_, value)| value.clone()).unwrap_or_default()
    };
    let only_second = second.iter().filter(|(column, _)| first.iter().all(|(own, _)| own != column));
    first
        .iter()
        .chain(only_second)
        .map(|(column, _)| (*column, value_in(first, column), value_in(second, column)))
        .filter(|(_, before, now)| before != now)
        .map(|(column, before, _)| (column, before))
        .collect()
}
