//! What an archer measured.

use super::{Entries, EntryError};
use crate::mechanics::bow::FadeMeasures;
use crate::quantity::{Measure, Unit};
use crate::trade::plausible::{READINGS, SHOTS};
use crate::trade::records::Measurements;

/// The four measures on the strung bow; all or none.
///
/// # Errors
/// One is missing or cannot be read.
pub(super) fn fades(entries: &Entries<'_>, unit: Unit) -> Result<Option<FadeMeasures>, EntryError> {
    let names = ["free-string", "fade-span", "fade-gap", "fade-to-nock"];
    let missing: Vec<&'static str> = names.into_iter().filter(|name| entries.get(name).is_none()).collect();
    if missing.len() == names.len() {
        return Ok(None);
    }
    if let Some(first) = missing.first() {
        let names: Vec<String> = missing.iter().map(|name| format!("--{name}")).collect();
        return Err(EntryError::Incomplete {
            field: first,
            message: format!(
                "of the four fade measures {} missing: {}",
                if missing.len() == 1 { "one is" } else { "some are" },
                names.join(", ")
            ),
            hint: "give all four, or none of them".to_owned(),
        });
    }
    let read = |field: &'static str, what: Measure| -> Result<f64, EntryError> {
        Ok(entries.length(field, unit, what)?.map_or(0.0, |length| length.inches()))
    };
    Ok(Some(FadeMeasures {
        free_string_inch: read("free-string", Measure::FreeString)?,
        fade_span_inch: read("fade-span", Measure::FadeSpan)?,
        fade_gap_inch: read("fade-gap", Measure::FadeGap)?,
        fade_to_nock_inch: read("fade-to-nock", Measure::FadeToNock)?,
    }))
}

/// What an archer measured: `brace`, `readings`, `by`, `want`, `length`, `at`, `turns-changed`,
/// `turns-counted`, `over`, the four fade measures, `shots`, `marker`, `serving`, `photo`. Bare
/// numbers are in `unit`.
///
/// # Errors
/// The first entry that will not do.
pub fn measurements(entries: &Entries<'_>, unit: Unit) -> Result<Measurements, EntryError> {
    let measured = Measurements {
        brace: entries.length("brace", unit, Measure::Brace)?,
        readings: entries.count("readings", READINGS)?,
        read_by: entries.word("by")?,
        want: entries.range("want", unit)?,
        length: entries.length("length", unit, Measure::StringLength)?,
        length_at: entries.word("at")?,
        turns_changed: entries.turns("turns-changed")?,
        turns_counted: entries.turn_count("turns-counted")?,
        counted_over: entries.length("over", unit, Measure::BodySpan)?,
        fades: fades(entries, unit)?,
        shots: entries.count("shots", SHOTS)?,
        marker: entries.word("marker")?,
        serving: entries.length("serving", unit, Measure::Serving)?,
        photo: entries.word("photo")?,
    };
    // What says how another figure was taken says nothing without it.
    let incomplete = |field, message: &str, hint: &str| {
        Err(EntryError::Incomplete { field, message: message.to_owned(), hint: hint.to_owned() })
    };
    if measured.readings.is_some() && measured.brace.is_none() {
        return incomplete(
            "brace",
            "--readings says of how many the brace height is the mean, but --brace is missing",
            "add --brace with the mean of the readings",
        );
    }
    if measured.read_by.is_some() && measured.brace.is_none() {
        return incomplete(
            "brace",
            "--by says with what the brace height was read, but --brace is missing",
            "add --brace, or leave --by out",
        );
    }
    if measured.length_at.is_some() && measured.length.is_none() {
        return incomplete(
            "length",
            "--at says how the string was measured, but --length is missing",
            "add --length, or leave --at out",
        );
    }
    match (measured.turns_counted, measured.counted_over) {
        (Some(_), None) => incomplete(
            "over",
            "--turns-counted needs the length that was counted over",
            "add --over with that length",
        ),
        (None, Some(_)) => incomplete(
            "turns-counted",
            "--over needs the turns that were counted over it",
            "add --turns-counted with the count of one colour",
        ),
        _ => Ok(measured),
    }
}
