//! What was said of a bow.

use super::{Entries, EntryError};
use crate::quantity::{Measure, Unit, parse_draw_weight};
use crate::trade::records::BowChanges;

/// What was said of a bow: `bow-kind`, `marked`, `nock-to-nock`, `weight`, `brace-range`, `tips`,
/// `stave`, `bow-year`, `maker-allows-low-stretch`. Bare numbers are in `unit`; a `brace-range` that
/// nobody knows is `unknown`.
///
/// # Errors
/// The first entry that will not do.
pub fn bow_changes(entries: &Entries<'_>, unit: Unit, this_year: i32) -> Result<BowChanges, EntryError> {
    let range_unknown =
        entries.get("brace-range").is_some_and(|said| said.trim().eq_ignore_ascii_case("unknown"));
    Ok(BowChanges {
        kind: entries.word("bow-kind")?,
        marked_length: entries.length("marked", unit, Measure::BowLength)?,
        nock_to_nock: entries.length("nock-to-nock", unit, Measure::BowLength)?,
        draw_weight: entries.quantity("weight", parse_draw_weight)?,
        brace_range: if range_unknown { None } else { entries.range("brace-range", unit)? },
        range_unknown: range_unknown.then_some(true),
        tips: entries.word("tips")?,
        stave: entries.word("stave")?,
        year: entries.year("bow-year", this_year)?,
        maker_allows_low_stretch: entries.yes_no("maker-allows-low-stretch")?,
    })
}
