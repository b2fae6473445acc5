//! Any bytes as an order export: rows or row errors, and never more.
#![no_main]

use fistmele::intake::{ColumnMap, read_csv_field_safe, read_sold, write_csv_field_safe};
use fistmele::trade::rules::Rules;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let today = chrono::NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
    if let Ok(import) = read_sold(bytes, &ColumnMap::default(), &Rules::default(), today, &mut |_| {}) {
        for row in &import.rows {
            assert!(!row.string.serial.chars().any(fistmele::words::is_unsafe));
        }
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        assert_eq!(read_csv_field_safe(&write_csv_field_safe(text)), text);
    }
});
