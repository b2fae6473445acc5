//! The sample exports of `tests/data`.

use chrono::Datelike;

use super::*;
use crate::trade::words::Route;

const SAMPLE: &[u8] = include_bytes!("../../../tests/data/shop-export.csv");
const DAMAGED: &[u8] = include_bytes!("../../../tests/data/shop-export-damaged.csv");
const DAMAGED_REPORT: &str = include_str!("../../../tests/data/shop-export-damaged.txt");
const COLUMNS: &str = include_str!("../../../tests/data/shop-columns.json");

fn read(input: &[u8]) -> Whole<SoldRow> {
    let columns = ColumnMap::from_json(COLUMNS, SOLD_COLUMNS).unwrap();
    sold_by(input, &columns, &Rules::default()).unwrap()
}

#[test]
fn the_sample_is_read_without_an_error() {
    let import = read(SAMPLE);
    assert_eq!(report(&import.errors), "");
    assert_eq!((import.rows.len(), import.row_count), (300, 300));
    assert_eq!(import.ignored_columns, ["Versandart", "Gutscheincode"]);
    assert_eq!(import.delimiter, b';');
}

#[test]
fn the_sample_holds_what_a_workshop_sells() {
    let rows = read(SAMPLE).rows;
    for &route in Route::SIZED {
        assert!(rows.iter().filter(|row| row.string.route == route).count() >= 15, "{route}");
    }
    for &kind in crate::mechanics::bow::BowKind::ALL {
        assert!(rows.iter().any(|row| row.bow.kind == kind), "{kind}");
    }
    for &yarn in crate::mechanics::twist::Yarn::ALL {
        assert!(rows.iter().any(|row| row.string.yarn == yarn), "{yarn}");
    }
    let with_turns = |year| {
        let sold: Vec<_> = rows.iter().filter(|row| row.string.sold_on.year() == year).collect();
        sold.iter().filter(|row| row.string.turns.is_some()).count() as f64 / sold.len() as f64
    };
    assert!(with_turns(2025) < 0.5 && with_turns(2026) > 0.75);
    let is_hosted_by_example = |address: &String| {
        ["@example.org", "@example.net", "@example.com"].iter().any(|host| address.ends_with(host))
    };
    assert!(rows.iter().filter_map(|row| row.archer.email.as_ref()).all(is_hosted_by_example));
}

#[test]
fn every_fault_of_the_damaged_sample_is_reported() {
    let import = read(DAMAGED);
    assert_eq!(report(&import.errors), DAMAGED_REPORT);
    assert_eq!(import.rows.len() + bad_rows(&import) + 1, import.row_count);
}
