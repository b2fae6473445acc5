//! The rules of reports.

use super::*;
use crate::trade::words::{Direction, Outcome, Symptom};

fn one_report(cells: &[(&str, &str)]) -> Whole<ReportRow> {
    let text = file(&[("serial", "T-1"), ("reported_on", "2026-03-02"), ("symptom", "brace-low")], cells);
    reports(&text).unwrap()
}

fn refused(cells: &[(&str, &str)], column: &str, part: &str) {
    let import = one_report(cells);
    assert_eq!(import.errors.len(), 1, "{cells:?}: {}", report(&import.errors));
    let error = &import.errors[0];
    assert!(error.column == column && error.expected.contains(part), "{cells:?}: {error}");
}

#[test]
fn every_column_is_read_and_kept_in_its_canonical_form() {
    let import = one_report(&[
        ("serial", "T-1"),
        ("reported_on", "02.03.2026"),
        ("symptom", "Brace Low"),
        ("direction", "LONG"),
        ("brace", "17,8 cm"),
        ("turns_changed", "'+6 turns"),
        ("shots", "120"),
        ("outcome", "Remade"),
        ("settled_on", "2026-03-20"),
        ("right_length", "61 3/4"),
        ("cost", "24"),
        ("note", "=asked for \"softer\" shot"),
    ]);
    assert_eq!(report(&import.errors), "");
    let row = &import.rows[0];
    assert_eq!((row.symptom, row.direction), (Some(Symptom::BraceLow), Some(Direction::Long)));
    assert_eq!((row.outcome, row.shots, row.cost_cents), (Some(Outcome::Remade), Some(120), Some(2400)));
    assert_eq!(row.turns_changed.map(|turns| turns.value()), Some(6.0));
    let given: Vec<String> = row.given.iter().map(|(column, value)| format!("{column}={value}")).collect();
    assert_eq!(
        given.join(" "),
        "serial=t-1 reported_on=2026-03-02 symptom=brace-low direction=long brace=7.0079 turns_changed=6 \
         shots=120 outcome=remade settled_on=2026-03-20 right_length=61.75 cost=2400 \
         note==asked for \"softer\" shot"
    );
    let columns: Vec<&str> = row.given.iter().map(|(column, _)| *column).collect();
    assert_eq!(columns, REPORT_COLUMNS);
}

#[test]
fn a_symptom_or_a_direction_is_needed() {
    assert_eq!(one_report(&[("symptom", ""), ("direction", "short")]).rows.len(), 1);
    refused(&[("symptom", "")], "symptom", "a symptom, or a direction");
    let fault = reports("serial,reported_on,brace\n").unwrap_err().to_string();
    assert!(fault.starts_with("needed columns are missing: symptom or direction;"), "{fault}");
}

#[test]
fn bad_values_are_refused() {
    refused(&[("serial", "")], "serial", "the serial");
    refused(&[("reported_on", "")], "reported_on", "the day the report came in");
    refused(&[("reported_on", "2026-11-16")], "reported_on", "not after today");
    refused(&[("settled_on", "2026-03-01")], "settled_on", "not before reported_on, 2026-03-02");
    refused(&[("symptom", "brace-lo")], "symptom", "(perhaps brace-low)");
    refused(&[("direction", "sideways")], "direction", "one of long, short");
    refused(&[("outcome", "remake")], "outcome", "(perhaps remade)");
    refused(&[("brace", "197")], "brace", "likely meant: 197 mm, that is 7 3/4 in");
    refused(&[("turns_changed", "12 crossings")], "turns_changed", "crossings are not turns");
    refused(&[("shots", "-1")], "shots", "a whole number from 0 to 1000000");
    refused(&[("right_length", "6 in")], "right_length", "a string length such as");
    refused(&[("cost", "-2")], "cost", "cannot be negative");
    refused(&[("note", "one\ntwo")], "note", "character 4 is U+000A");
}

#[test]
fn a_string_may_have_several_reports() {
    let text =
        "serial;reported_on;direction\nT-1;2026-03-02;long\nT-1;2026-04-02;short\nT-1;2026-03-02;long\n";
    assert_eq!(reports(text).unwrap().rows.len(), 3);
}
