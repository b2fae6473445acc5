//! A string that is not in the book and of which nobody knows how it was sized.

use chrono::{Datelike, NaiveDate};

use super::{Entries, EntryError, bow_changes};
use crate::app::bow::WhichBow;
use crate::app::sold::NewSold;
use crate::mechanics::twist::Yarn;
use crate::quantity::{Measure, Unit, parse_date};
use crate::trade::plausible::{self, LONGEST_LINE, STRANDS};
use crate::trade::records::{Archer, BowProfile, SoldString};
use crate::trade::words::Route;

/// What is known of such a string: `serial`, `archer`, `email`, `sold-on`, `ordered`, `yarn`, `strands`,
/// `turns` and what is said of the bow. Bare numbers are in `unit`; where nobody knows when it was
/// sold, `by` is a day by which it was.
///
/// # Errors
/// The first entry that will not do.
pub fn unknown_string(
    entries: &Entries<'_>,
    unit: Unit,
    today: NaiveDate,
    by: NaiveDate,
) -> Result<NewSold, EntryError> {
    let typed = |field: &'static str| entries.get(field).map(str::to_owned);
    let (bow, _) = bow_changes(entries, unit, today.year())?.applied_to(&BowProfile::default());
    let string = SoldString::new(
        String::new(),
        entries.quantity("sold-on", parse_date)?.unwrap_or(by),
        Route::Unknown,
        entries.length("ordered", unit, Measure::StringLength)?,
    );
    Ok(NewSold {
        serial: entries.plausible("serial", typed("serial"), |text| plausible::serial(&text))?,
        archer: Archer {
            name: entries
                .plausible("archer", typed("archer"), |text| plausible::one_line(&text, LONGEST_LINE))?,
            email: entries.plausible("email", typed("email"), |text| plausible::address(&text))?,
        },
        bow,
        which: WhichBow::Usual,
        string: SoldString {
            yarn: entries.word("yarn")?.unwrap_or(Yarn::Unknown),
            strands: entries.count("strands", STRANDS)?,
            turns: entries.turn_count("turns")?,
            ..string
        },
    })
}
