//! The table that goes with turns, in words.

use super::{full_turns, inches, to_turn};
use crate::mechanics::reacting::Row;
use crate::quantity::Unit;

/// What every reading that stands in no other row means.
pub const ANYTHING_ELSE: &str = "Anything else: stop here, do not shoot, and write to us.";

/// What stands above a table: what goes before each go.
pub const BEFORE_A_FURTHER_GO: &str = "Then string the bow and read once, without a shot. Before you turn again, unstring it and look string and bow over: anything broken, cut or cracked, or ever a shot without an arrow, and this table no longer counts; stop and write to us.";

/// The readings of a row as people read them. In whole millimetres a row ends where the next begins;
/// where the next says to stop, it ends within what it was worked out for.
fn readings(row: &Row, (below, above): (Option<&Row>, Option<&Row>), unit: Unit) -> (String, String) {
    const MM: f64 = 25.4;
    const HALF_A_STEP: f64 = 1.0 / 32.0;
    // What lies on a line of the ruler stays there.
    const ON_THE_LINE: f64 = 0.1;
    let goes_on = |next: Option<&Row>| next.is_some_and(|next| next.turns.is_some());
    let from =
        if goes_on(below) { (row.low_inch - HALF_A_STEP) * MM } else { row.low_inch * MM - ON_THE_LINE };
    let to = if goes_on(above) {
        ((row.high_inch + HALF_A_STEP) * MM).ceil() - 1.0
    } else {
        (row.high_inch * MM + ON_THE_LINE).floor()
    };
    match unit {
        Unit::Cm | Unit::Mm if from.ceil() <= to => (inches(from.ceil() / MM, unit), inches(to / MM, unit)),
        _ => (inches(row.low_inch, unit), inches(row.high_inch, unit)),
    }
}

fn said(row: &Row, beside: (Option<&Row>, Option<&Row>), unit: Unit) -> Option<String> {
    let (from, to) = readings(row, beside, unit);
    let read = if from == to { from } else { format!("{from} to {to}") };
    let then = match row.turns? {
        0 => "it is right; leave it so".to_owned(),
        more => format!("{} {} more, and nothing after that", to_turn(more), full_turns(more)),
    };
    Some(format!("It reads {read}: {then}."))
}

/// The rows of a table, one sentence each, from the lowest reading to the highest; none where there is
/// no table.
#[must_use]
pub fn in_words(rows: &[Row], unit: Unit) -> Vec<String> {
    let beside = |at: usize| (at.checked_sub(1).and_then(|at| rows.get(at)), rows.get(at + 1));
    let mut lines: Vec<String> =
        rows.iter().enumerate().filter_map(|(at, row)| said(row, beside(at), unit)).collect();
    if !lines.is_empty() {
        lines.push(ANYTHING_ELSE.to_owned());
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(low_inch: f64, high_inch: f64, turns: Option<i32>) -> Row {
        Row { low_inch, high_inch, turns }
    }

    #[test]
    fn a_table_names_readings_turns_and_direction_and_stops_for_all_else() {
        let rows = [
            row(0.0, 7.25, None),
            row(7.3125, 7.375, Some(3)),
            row(7.4375, 7.4375, Some(1)),
            row(7.5, 7.875, Some(0)),
            row(7.9375, 8.0, Some(-2)),
            row(8.0625, 20.0, None),
        ];
        assert_eq!(
            in_words(&rows, Unit::Inch),
            [
                "It reads 7 5/16\" to 7 3/8\": put in 3 full turns more, and nothing after that.",
                "It reads 7 7/16\": put in 1 full turn more, and nothing after that.",
                "It reads 7 1/2\" to 7 7/8\": it is right; leave it so.",
                "It reads 7 15/16\" to 8\": take out 2 full turns more, and nothing after that.",
                ANYTHING_ELSE,
            ]
        );
        assert!(in_words(&[], Unit::Inch).is_empty());
    }

    #[test]
    fn in_millimetres_no_reading_falls_between_two_rows() {
        let rows: Vec<Row> =
            (0..40).map(|n| 7.0 + f64::from(n) * 0.0625).map(|read| row(read, read, Some(0))).collect();
        let beside = |at: usize| (at.checked_sub(1).and_then(|at| rows.get(at)), rows.get(at + 1));
        let ends: Vec<(String, String)> =
            rows.iter().enumerate().map(|(at, row)| readings(row, beside(at), Unit::Mm)).collect();
        let number = |text: &str| text.trim_end_matches(" mm").parse::<i32>().unwrap();
        for pair in ends.windows(2) {
            assert_eq!(number(&pair[0].1) + 1, number(&pair[1].0), "{pair:?}");
        }
        // Beyond the last row the archer stops: no millimetre is given away there.
        assert_eq!((ends[0].0.as_str(), ends[39].1.as_str()), ("178 mm", "239 mm"));
    }
}
