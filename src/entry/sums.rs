//! What the bench sums are asked.

use super::measured::fades;
use super::{Entries, EntryError};
use crate::app::sums::{BowAndString, TwistRequest};
use crate::mechanics::bow::BowKind;
use crate::quantity::{Measure, Unit};
use crate::trade::plausible::{PLIES, READINGS, STRANDS};

fn missing(field: &'static str) -> EntryError {
    EntryError::Incomplete { field, message: format!("--{field} is missing"), hint: format!("add --{field}") }
}

/// What both sums need: `kind`, `marked` or `length`, `brace`, `readings`, `want`, and the four
/// fade measures. Bare numbers are in `unit`.
///
/// # Errors
/// The first entry that is missing or will not do.
pub fn bow_and_string(entries: &Entries<'_>, unit: Unit) -> Result<BowAndString, EntryError> {
    let marked_length = entries.length("marked", unit, Measure::BowLength)?;
    let length = entries.length("length", unit, Measure::StringLength)?;
    if marked_length.is_none() && length.is_none() {
        return Err(missing("length"));
    }
    Ok(BowAndString {
        kind: entries.word::<BowKind>("kind")?.ok_or_else(|| missing("kind"))?,
        marked_length,
        length,
        brace: entries.length("brace", unit, Measure::Brace)?.ok_or_else(|| missing("brace"))?,
        readings: entries.count("readings", READINGS)?.unwrap_or(1),
        want: entries.range("want", unit)?.ok_or_else(|| missing("want"))?,
        fades: fades(entries, unit)?,
    })
}

/// What the sum of turns needs besides: `yarn`, `strands`, `plies`, `turns`, `turns-known`,
/// `turn-constant`, `did` and `got`, `table`.
///
/// # Errors
/// The first entry that is missing or will not do.
pub fn twist_request(entries: &Entries<'_>, unit: Unit) -> Result<TwistRequest, EntryError> {
    let turn_constant = entries
        .get("turn-constant")
        .map(|text| {
            text.trim()
                .replace(',', ".")
                .parse::<f64>()
                .ok()
                // Six strands of thin yarn to forty of thick yarn lie well inside.
                .filter(|figure| (0.000_05..=0.01).contains(figure))
                .ok_or_else(|| EntryError::Value {
                    field: "turn-constant",
                    message: format!("\"{}\" will not do for --turn-constant", crate::words::shorten(text)),
                    needed:
                        "it is (L1 - L2)/(n2² - n1²) in inches, between 0.00005 and 0.01, such as 0.00062"
                            .to_owned(),
                })
        })
        .transpose()?;
    let second = match (entries.turns("did")?, entries.length("got", unit, Measure::Brace)?) {
        (Some(did), Some(got)) => Some((did, got)),
        (Some(_), None) => return Err(missing("got")),
        (None, Some(_)) => return Err(missing("did")),
        (None, None) => None,
    };
    Ok(TwistRequest {
        on: bow_and_string(entries, unit)?,
        yarn: entries.word("yarn")?.ok_or_else(|| missing("yarn"))?,
        strands: entries.count("strands", STRANDS)?.ok_or_else(|| missing("strands"))?,
        plies: entries.count("plies", PLIES)?.unwrap_or(2),
        turns: entries.turn_count("turns")?,
        turns_known: entries.word("turns-known")?,
        turn_constant,
        second,
        table: entries.yes_no("table")?.unwrap_or(false),
    })
}
