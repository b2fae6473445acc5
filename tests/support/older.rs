//! Books of older programs, made by the steps that made them.

use std::path::Path;

/// A book of an older version with some hundred kilobytes in it.
pub(crate) fn book(path: &Path, version: usize) {
    let mut steps: Vec<_> = std::fs::read_dir(concat!(env!("CARGO_MANIFEST_DIR"), "/migrations"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .collect();
    steps.sort();
    let connection = rusqlite::Connection::open(path).unwrap();
    connection.pragma_update(None, "application_id", 0x4649_5354).unwrap();
    for step in &steps[..version] {
        connection.execute_batch(&std::fs::read_to_string(step).unwrap()).unwrap();
    }
    connection
        .execute_batch(
            "INSERT INTO archer (name) VALUES ('Odalind Quarrie');
             INSERT INTO bow (archer_id, kind, tips, stave, maker_allows_low_stretch) VALUES (1, 'recurve', 'unknown', 'unknown', 0);
             WITH RECURSIVE n (i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 3000)
             INSERT INTO event (day, who, what, fields) SELECT '2026-01-01', 'RK', 'setting', 'units' FROM n;
             INSERT INTO setting (name, value, set_on) VALUES ('units', 'cm', '2026-01-01');",
        )
        .unwrap();
    connection.pragma_update(None, "user_version", version as i64).unwrap();
}
