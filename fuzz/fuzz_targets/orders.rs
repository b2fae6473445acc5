//! Any bytes as an order export: rows or row errors, and never more.
#![no_main]

use fistmele::intake::{ColumnMap, IntakeError, read_csv_field_safe, read_sold, write_csv_field_safe};
use fistmele::trade::rules::Rules;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|bytes: &[u8]| {
    let today = chrono::NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
    let (columns, rules) = (ColumnMap::default(), Rules::default());
    let _ = read_sold::<IntakeError>(bytes, &columns, &rules, today, &mut |_| {}, &mut |row| {
        if let Ok(row) = row {
            assert!(!row.string.serial.chars().any(fistmele::words::is_unsafe));
        }
        Ok(())
    });
    if let Ok(text) = std::str::from_utf8(bytes) {
        assert_eq!(read_csv_field_safe(&write_csv_field_safe(text)), text);
    }
});
