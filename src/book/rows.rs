//! Rows as records, read by the names of their columns; and rows that are added.

use std::str::FromStr;

use rusqlite::Row;
use rusqlite::types::{FromSql, Type};

use crate::mechanics::bow::FadeMeasures;
use crate::quantity::{DrawWeight, Length, LengthRange};
use crate::trade::records::{BowProfile, Measurements, Reading, SoldString};

/// Adds a row: `insert!(page, "table", { column: value, … })`, to the table
/// itself and not to what is left of it once struck things are left out. Each column stands beside its value.
macro_rules! insert {
    ($page:expr, $table:literal, { $first:ident: $value:expr $(, $column:ident: $more:expr)* $(,)? }) => {{
        const SQL: &str = concat!(
            "INSERT INTO main.", $table, " (", stringify!($first), $(", ", stringify!($column),)*
            ") VALUES (:", stringify!($first), $(", :", stringify!($column),)* ")",
        );
        let values: &[(&str, &dyn rusqlite::ToSql)] = &[
            (concat!(":", stringify!($first)), &$value),
            $((concat!(":", stringify!($column)), &$more),)*
        ];
        $page.transaction.prepare_cached(SQL)?.execute(values)
    }};
}
pub(super) use insert;

/// Adds rows as [`insert!`] adds one: `insert_all!(page, "table", rows, |row| { column: value, … })`
/// gives their numbers, which follow each other. Many rows go in by one statement: the database lays
/// out each list of a CHECK anew for every statement, and for a single row that is most of the work.
macro_rules! insert_all {
    ($page:expr, $table:literal, $rows:expr, |$row:pat_param| { $($column:ident: $value:expr),+ $(,)? }) => {{
        let all = $rows;
        let mut rest = all;
        while !rest.is_empty() {
            let (now, later) = rest.split_at($crate::book::rows::at_once(rest.len()));
            let sql = $crate::book::rows::insertion($table, &[$(stringify!($column)),+], now.len());
            let mut statement = $page.transaction.prepare_cached(&sql)?;
            let mut place = 0;
            for $row in now {
                $(
                    place += 1;
                    statement.raw_bind_parameter(place, &$value)?;
                )+
            }
            statement.raw_execute()?;
            rest = later;
        }
        // A number that is not given is one above the largest of the table, and nobody else writes.
        let end = $page.transaction.last_insert_rowid().saturating_add(1);
        Ok::<_, $crate::book::BookError>(end.saturating_sub_unsigned(all.len() as u64)..end)
    }};
}
pub(super) use insert_all;

/// How many of so many rows go in by the next statement: powers of two, so that few statements serve.
pub(super) fn at_once(rows: usize) -> usize {
    const MOST: usize = 64;
    if rows >= MOST { MOST } else { 1 << rows.max(1).ilog2() }
}

/// The statement that adds so many rows.
pub(super) fn insertion(table: &str, columns: &[&str], rows: usize) -> String {
    let row = format!("({})", vec!["?"; columns.len()].join(", "));
    format!(
        "INSERT INTO main.{table} ({}) VALUES {}",
        columns.join(", "),
        vec![row.as_str(); rows].join(", ")
    )
}

/// The columns of what is measured in a reading.
macro_rules! measured_columns {
    () => {
        "brace_inch, readings, read_by, want_low_inch, want_high_inch, length_inch, length_at, turns_changed, turns_counted, counted_over_inch, free_string_inch, fade_span_inch, fade_gap_inch, fade_to_nock_inch, shots, marker, serving_inch, photo"
    };
}
pub(super) use measured_columns;

/// A row whose columns are read by name. A name is first looked for right after the one before it:
/// whoever asks in the order of the statement has each at once, however wide the row is. No name may
/// stand twice in a statement.
pub(super) struct Named<'r, 's> {
    row: &'r Row<'s>,
    next: usize,
}

impl<'r, 's> Named<'r, 's> {
    pub(super) const fn of(row: &'r Row<'s>) -> Self {
        Self { row, next: 0 }
    }

    fn place(&mut self, column: &str) -> rusqlite::Result<usize> {
        let statement = self.row.as_ref();
        let place = match statement.column_name(self.next) {
            Ok(name) if name == column => self.next,
            _ => statement.column_index(column)?,
        };
        self.next = place + 1;
        Ok(place)
    }

    /// The value of a column; an error says which one it is.
    pub(super) fn get<T: FromSql>(&mut self, column: &str) -> rusqlite::Result<T> {
        let place = self.place(column)?;
        self.row.get(place).map_err(|error| match error {
            rusqlite::Error::FromSqlConversionFailure(_, kind, why) => refused(column, place, kind, &why),
            other => other,
        })
    }

    /// Two columns that are the ends of a range.
    pub(super) fn range(&mut self, low: &str, high: &str) -> rusqlite::Result<Option<LengthRange>> {
        let (from, to): (Option<Length>, Option<Length>) = (self.get(low)?, self.get(high)?);
        from.zip(to)
            .map(|(from, to)| {
                LengthRange::new(from, to)
                    .ok_or_else(|| refused(low, self.next, Type::Real, &"the range is upside down"))
            })
            .transpose()
    }

    pub(super) fn draw_weight(&mut self) -> rusqlite::Result<Option<DrawWeight>> {
        let pounds: Option<f64> = self.get("draw_weight_lb")?;
        let at = self.get("draw_at_inch")?;
        pounds
            .map(|pounds| {
                DrawWeight::new(pounds, at)
                    .ok_or_else(|| refused("draw_weight_lb", self.next, Type::Real, &"not a draw weight"))
            })
            .transpose()
    }

    fn fades(&mut self) -> rusqlite::Result<Option<FadeMeasures>> {
        // A bow that bends through the grip has no stiff middle: its span is absent, and none.
        let span: Option<f64> = self.get("fade_span_inch")?;
        let fade_span_inch = span.unwrap_or(0.0);
        let all: [Option<f64>; 3] =
            [self.get("free_string_inch")?, self.get("fade_gap_inch")?, self.get("fade_to_nock_inch")?];
        Ok(match all {
            [Some(free_string_inch), Some(fade_gap_inch), Some(fade_to_nock_inch)] => {
                Some(FadeMeasures { free_string_inch, fade_span_inch, fade_gap_inch, fade_to_nock_inch })
            }
            _ => None,
        })
    }
}

fn refused(column: &str, place: usize, kind: Type, why: &dyn std::fmt::Display) -> rusqlite::Error {
    rusqlite::Error::FromSqlConversionFailure(place, kind, format!("{column}: {why}").into())
}

/// Words that a statement put together with blanks between them; one that is not known is left
/// out here, and told of when the book is looked through.
pub(super) fn listed<T: FromStr>(words: Option<String>) -> Vec<T> {
    words.unwrap_or_default().split(' ').filter_map(|word| word.parse().ok()).collect()
}

/// A bow whose draw weight is not asked for.
pub(super) fn bow_without_weight(row: &mut Named<'_, '_>) -> rusqlite::Result<BowProfile> {
    Ok(BowProfile {
        kind: row.get("kind")?,
        marked_length: row.get("marked_inch")?,
        nock_to_nock: row.get("nock_to_nock_inch")?,
        draw_weight: None,
        brace_range: row.range("brace_low_inch", "brace_high_inch")?,
        range_unknown: row.get("range_unknown")?,
        tips: row.get("tips")?,
        stave: row.get("stave")?,
        year: row.get("year")?,
        maker_allows_low_stretch: row.get("maker_allows_low_stretch")?,
    })
}

pub(super) fn bow(row: &mut Named<'_, '_>) -> rusqlite::Result<BowProfile> {
    Ok(BowProfile { draw_weight: row.draw_weight()?, ..bow_without_weight(row)? })
}

/// What a string is made like; how it was sized and sold is left out.
pub(super) fn made(row: &mut Named<'_, '_>) -> rusqlite::Result<SoldString> {
    let (serial, sold_on) = (row.get("serial")?, row.get("sold_on")?);
    let ordered: Option<Length> = row.get("ordered_inch")?;
    let string = SoldString::new(serial, sold_on, row.get("route")?, ordered);
    Ok(SoldString {
        built: row.get("built_inch")?,
        built_at: row.get("built_at")?,
        built_across: row.get("built_across")?,
        yarn: row.get("yarn")?,
        strands: row.get("strands")?,
        plies: row.get("plies")?,
        lay: row.get("lay")?,
        turns: row.get("turns")?,
        loop_top: row.get("loop_top_inch")?,
        loop_bottom: row.get("loop_bottom_inch")?,
        serving: row.get("serving_inch")?,
        pre_stretched: row.get("pre_stretched")?,
        silencers: row.get("silencers")?,
        ..string
    })
}

/// A row of `string` with `spool` and `replaces` (serial) joined in.
pub(super) fn string(row: &mut Named<'_, '_>) -> rusqlite::Result<SoldString> {
    let made = made(row)?;
    Ok(SoldString {
        order_ref: row.get("order_ref")?,
        delivered_on: row.get("delivered_on")?,
        stated: row.get("stated_inch")?,
        stated_at: row.get("stated_at")?,
        offset: row.get("offset_inch")?,
        old_yarn: row.get("old_yarn")?,
        old_make: row.get("old_make")?,
        old_measured: row.get("old_measured")?,
        colours: row.get("colours")?,
        spool: row.get("spool")?,
        maker: row.get("maker")?,
        maker_initials: row.get("maker_initials")?,
        price_cents: row.get("price_cents")?,
        replaces: row.get("replaces")?,
        ..made
    })
}

/// A row of `reading` without its day.
pub(super) fn measurements(row: &mut Named<'_, '_>) -> rusqlite::Result<Measurements> {
    Ok(Measurements {
        brace: row.get("brace_inch")?,
        readings: row.get("readings")?,
        read_by: row.get("read_by")?,
        want: row.range("want_low_inch", "want_high_inch")?,
        length: row.get("length_inch")?,
        length_at: row.get("length_at")?,
        turns_changed: row.get("turns_changed")?,
        turns_counted: row.get("turns_counted")?,
        counted_over: row.get("counted_over_inch")?,
        fades: row.fades()?,
        shots: row.get("shots")?,
        marker: row.get("marker")?,
        serving: row.get("serving_inch")?,
        photo: row.get("photo")?,
    })
}

/// A row of `reading`.
pub(super) fn reading(row: &mut Named<'_, '_>) -> rusqlite::Result<Reading> {
    Ok(Reading { taken_on: row.get("taken_on")?, measurements: measurements(row)? })
}
