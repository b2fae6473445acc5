//! The CHECKs of the tables take whatever the rules of `trade::plausible` and the measures take.

use rusqlite::Connection;

use super::file;
use crate::quantity::Measure;
use crate::trade::plausible::{
    FIRST_BOW_YEAR, LONGEST_LINE, LONGEST_SERIAL, LONGEST_SPOOL, MOST_INITIALS, MOST_TURNS, PLIES, READINGS,
    SHOTS, STRANDS, Whole,
};

/// What the CHECK of a column takes, by its text: `column BETWEEN low AND high`, `column IN (…)`,
/// `column = low OR … OR column = high` or `length(column) <= high`.
fn taken(sql: &str, column: &str) -> Option<(f64, f64)> {
    let number = |text: &str| -> Option<f64> {
        text.trim().split([' ', ')', ',']).next().and_then(|number| number.parse().ok())
    };
    let after = |text: &str| sql.split_once(text).map(|(_, rest)| rest.to_owned());
    let between = |rest: String| {
        let (low, high) = rest.split_once(" AND ")?;
        Some((number(low)?, number(high)?))
    };
    if let Some(rest) =
        after(&format!("({column} BETWEEN ")).or(after(&format!("(length({column}) BETWEEN ")))
    {
        return between(rest);
    }
    if let Some(rest) = after(&format!("({column} IN (")) {
        let all: Vec<f64> = rest.split_once(')')?.0.split(',').filter_map(number).collect();
        return Some((*all.first()?, *all.last()?));
    }
    if let Some(rest) = after(&format!("({column} = ")) {
        let all: Vec<f64> =
            rest.split_once(')')?.0.split(&format!(" OR {column} = ")).filter_map(number).collect();
        return Some((*all.first()?, *all.last()?));
    }
    Some((0.0, number(&after(&format!("(length({column}) <= "))?)?))
}

#[test]
fn the_tables_take_whatever_is_plausible() {
    let whole = |bounds: Whole| (f64::from(bounds.low), f64::from(bounds.high));
    let line = |longest: usize| (1.0, longest as f64);
    let turns = (0.0, MOST_TURNS);
    let string = Measure::StringLength.possible_ends();
    let brace = Measure::WantedBrace.possible_ends();
    let columns = [
        ("bow", "year", (f64::from(FIRST_BOW_YEAR), 2200.0)),
        ("bow", "marked_inch", Measure::BowLength.possible_ends()),
        ("bow", "nock_to_nock_inch", Measure::BowLength.possible_ends()),
        ("bow", "draw_weight_lb", (5.0, 200.0)),
        ("bow", "draw_at_inch", (10.0, 40.0)),
        ("bow", "brace_low_inch", brace),
        ("bow", "brace_high_inch", brace),
        ("spool", "name", line(LONGEST_SPOOL)),
        ("spool", "colour", line(LONGEST_LINE)),
        ("archer", "name", line(LONGEST_LINE)),
        ("archer", "email", line(LONGEST_LINE)),
        ("string", "serial", line(LONGEST_SERIAL)),
        ("string", "order_ref", line(LONGEST_LINE)),
        ("string", "colours", line(LONGEST_LINE)),
        ("string", "maker", line(LONGEST_LINE)),
        ("string", "maker_initials", line(MOST_INITIALS)),
        ("string", "stated_inch", string),
        ("string", "offset_inch", Measure::Offset.possible_ends()),
        ("string", "ordered_inch", string),
        ("string", "built_inch", string),
        ("string", "strands", whole(STRANDS)),
        ("string", "plies", whole(PLIES)),
        ("string", "turns", turns),
        ("string", "loop_top_inch", Measure::Loop.possible_ends()),
        ("string", "loop_bottom_inch", Measure::Loop.possible_ends()),
        ("string", "serving_inch", Measure::Serving.possible_ends()),
        ("reading", "brace_inch", Measure::Brace.possible_ends()),
        ("reading", "readings", whole(READINGS)),
        ("reading", "want_low_inch", brace),
        ("reading", "want_high_inch", brace),
        ("reading", "length_inch", string),
        ("reading", "turns_changed", (-MOST_TURNS, MOST_TURNS)),
        ("reading", "turns_counted", turns),
        ("reading", "counted_over_inch", Measure::BodySpan.possible_ends()),
        ("reading", "free_string_inch", Measure::FreeString.possible_ends()),
        // A bow that bends through the grip has no span: that is stored as none.
        ("reading", "fade_span_inch", (0.1, Measure::FadeSpan.possible_ends().1)),
        ("reading", "fade_gap_inch", Measure::FadeGap.possible_ends()),
        ("reading", "fade_to_nock_inch", Measure::FadeToNock.possible_ends()),
        ("reading", "shots", whole(SHOTS)),
        ("reading", "serving_inch", Measure::Serving.possible_ends()),
        ("bench_test", "strands", whole(STRANDS)),
        ("bench_test", "plies", whole(PLIES)),
        ("bench_test", "turns_few", turns),
        ("bench_test", "turns_many", turns),
        ("bench_test", "length_few", string),
        ("bench_test", "length_many", string),
        ("settlement", "right_length_inch", string),
        ("question_answer", "turns", (-MOST_TURNS, MOST_TURNS)),
        ("question_answer", "brace_inch", Measure::Brace.possible_ends()),
        ("setting", "why", line(LONGEST_LINE)),
    ];
    let mut connection = Connection::open_in_memory().unwrap();
    file::migrate(&mut connection).unwrap();
    for (table, column, (low, high)) in columns {
        let sql: String = connection
            .query_row("SELECT sql FROM sqlite_schema WHERE type = 'table' AND name = ?1", [table], |row| {
                row.get(0)
            })
            .unwrap();
        let (least, most) =
            taken(&sql, column).unwrap_or_else(|| panic!("no CHECK of {table}.{column}: {sql}"));
        assert!(
            least <= low && high <= most,
            "{table}.{column} takes {least} to {most}, not {low} to {high}"
        );
    }
}
