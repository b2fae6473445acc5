//! Serials that stand twice in one file.

use std::collections::HashMap;

use super::cells::Cells;
use super::import::{Place, Source};
use crate::words::shorten;

/// Which serials were read, and where.
#[derive(Debug, Default)]
pub(super) struct Repeats {
    /// Place of the row by its serial in lower case.
    seen: HashMap<String, Place>,
}

impl Repeats {
    /// Whether a row is new; one that repeats an earlier one is not, and one that contradicts
    /// it is refused as well. `serial_of` reads the serial of a row, and its cells with it.
    pub(super) fn is_new(
        &mut self,
        serial: &str,
        cells: &mut Cells<'_>,
        source: &Source<'_>,
        serial_of: impl Fn(&mut Cells<'_>) -> Option<String>,
    ) -> bool {
        let first = *self.seen.entry(serial.to_lowercase()).or_insert(cells.place());
        if first == cells.place() {
            return true;
        }
        let Some((first_serial, given)) =
            source.again(first, |cells| Some((serial_of(cells)?, cells.take_given())))
        else {
            return true;
        };
        let differing = differences(&given, cells.given());
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
                shorten(&first_serial),
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
