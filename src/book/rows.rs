//! Conversions between rows and records.

use std::str::FromStr;

use rusqlite::Row;
use rusqlite::types::Type;

use crate::mechanics::bow::FadeMeasures;
use crate::quantity::{DrawWeight, Length, LengthRange, Turns};
use crate::trade::records::{BowProfile, Measurements, SoldString};
use crate::words::UnknownWord;

fn refuse(column: &str, what: impl std::fmt::Display) -> rusqlite::Error {
    rusqlite::Error::FromSqlConversionFailure(0, Type::Null, format!("{column}: {what}").into())
}

pub(super) fn word<T: FromStr<Err = UnknownWord>>(row: &Row<'_>, column: &str) -> rusqlite::Result<T> {
    let text: String = row.get(column)?;
    text.parse().map_err(|error| refuse(column, error))
}

pub(super) fn optional_word<T: FromStr<Err = UnknownWord>>(
    row: &Row<'_>,
    column: &str,
) -> rusqlite::Result<Option<T>> {
    let text: Option<String> = row.get(column)?;
    text.map(|text| text.parse().map_err(|error| refuse(column, error))).transpose()
}

pub(super) fn optional_length(row: &Row<'_>, column: &str) -> rusqlite::Result<Option<Length>> {
    let inches: Option<f64> = row.get(column)?;
    inches
        .map(|inches| Length::try_from_inches(inches).ok_or_else(|| refuse(column, "not a length")))
        .transpose()
}

pub(super) fn length(row: &Row<'_>, column: &str) -> rusqlite::Result<Length> {
    optional_length(row, column)?.ok_or_else(|| refuse(column, "missing"))
}

fn optional_turns(row: &Row<'_>, column: &str) -> rusqlite::Result<Option<Turns>> {
    let turns: Option<f64> = row.get(column)?;
    turns.map(|turns| Turns::new(turns).ok_or_else(|| refuse(column, "not a number of turns"))).transpose()
}

fn optional_range(row: &Row<'_>, low: &str, high: &str) -> rusqlite::Result<Option<LengthRange>> {
    optional_length(row, low)?
        .zip(optional_length(row, high)?)
        .map(|(a, b)| LengthRange::new(a, b).ok_or_else(|| refuse(low, "range upside down")))
        .transpose()
}

pub(super) fn draw_weight(row: &Row<'_>) -> rusqlite::Result<Option<DrawWeight>> {
    let pounds: Option<f64> = row.get("draw_weight_lb")?;
    let at = optional_length(row, "draw_at_inch")?;
    pounds
        .map(|pounds| DrawWeight::new(pounds, at).ok_or_else(|| refuse("draw_weight_lb", "not a weight")))
        .transpose()
}

pub(super) fn bow(row: &Row<'_>) -> rusqlite::Result<BowProfile> {
    Ok(BowProfile {
        kind: word(row, "kind")?,
        marked_length: optional_length(row, "marked_inch")?,
        nock_to_nock: optional_length(row, "nock_to_nock_inch")?,
        draw_weight: draw_weight(row)?,
        brace_range: optional_range(row, "brace_low_inch", "brace_high_inch")?,
        tips: word(row, "tips")?,
        stave: word(row, "stave")?,
        year: row.get("year")?,
        maker_allows_low_stretch: row.get("maker_allows_low_stretch")?,
    })
}

/// A row of `string` with `spool` and `replaces` (serial) joined in.
pub(super) fn string(row: &Row<'_>) -> rusqlite::Result<SoldString> {
    Ok(SoldString {
        serial: row.get("serial")?,
        order_ref: row.get("order_ref")?,
        sold_on: row.get("sold_on")?,
        delivered_on: row.get("delivered_on")?,
        route: word(row, "route")?,
        stated: optional_length(row, "stated_inch")?,
        stated_at: word(row, "stated_at")?,
        offset: optional_length(row, "offset_inch")?,
        ordered: length(row, "ordered_inch")?,
        built: optional_length(row, "built_inch")?,
        built_at: word(row, "built_at")?,
        built_across: word(row, "built_across")?,
        old_yarn: optional_word(row, "old_yarn")?,
        old_make: optional_word(row, "old_make")?,
        old_measured: optional_word(row, "old_measured")?,
        yarn: word(row, "yarn")?,
        strands: row.get("strands")?,
        plies: row.get("plies")?,
        lay: word(row, "lay")?,
        turns: optional_turns(row, "turns")?,
        loop_top: optional_length(row, "loop_top_inch")?,
        loop_bottom: optional_length(row, "loop_bottom_inch")?,
        serving: optional_length(row, "serving_inch")?,
        pre_stretched: row.get("pre_stretched")?,
        silencers: row.get("silencers")?,
        colours: row.get("colours")?,
        spool: row.get("spool")?,
        maker: row.get("maker")?,
        maker_initials: row.get("maker_initials")?,
        price_cents: row.get("price_cents")?,
        replaces: row.get("replaces")?,
    })
}

pub(super) fn measurements(row: &Row<'_>) -> rusqlite::Result<Measurements> {
    let fades: [Option<f64>; 4] = [
        row.get("free_string_inch")?,
        row.get("fade_span_inch")?,
        row.get("fade_gap_inch")?,
        row.get("fade_to_nock_inch")?,
    ];
    let fades = match fades {
        [Some(free_string_inch), Some(fade_span_inch), Some(fade_gap_inch), Some(fade_to_nock_inch)] => {
            Some(FadeMeasures { free_string_inch, fade_span_inch, fade_gap_inch, fade_to_nock_inch })
        }
        _ => None,
    };
    Ok(Measurements {
        brace: optional_length(row, "brace_inch")?,
        readings: row.get("readings")?,
        want: optional_range(row, "want_low_inch", "want_high_inch")?,
        length: optional_length(row, "length_inch")?,
        length_at: optional_word(row, "length_at")?,
        turns_changed: optional_turns(row, "turns_changed")?,
        turns_counted: optional_turns(row, "turns_counted")?,
        counted_over: optional_length(row, "counted_over_inch")?,
        fades,
        shots: row.get("shots")?,
        marker: optional_word(row, "marker")?,
        serving: optional_length(row, "serving_inch")?,
        photo: optional_word(row, "photo")?,
    })
}
