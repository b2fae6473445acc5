//! The month sheet: which ways of sizing cause returns, and what to change.
//!
//! In goes a [`Shop`]: strings of the memory with what came of them, as `book::month` counts them,
//! the offsets in force and the rules. Out comes a [`MonthView`](view::MonthView), the same for the
//! same book. The files run in this order:
//! 1. `gather`: from rows to what is seen of each string on the day of the look, and the curve of the
//!    reporting delay;
//! 2. `course`: what each route and kind of bow shows of its length, month by month, followed to
//!    today; the share of misfits that are told;
//! 3. `compare`: counts, rates and costs; routes against each other, months against those before;
//! 4. `advise`: when to change an offset, whom to ask, what to expect of the next string;
//! 5. `sheet`: all of it put together, with `findings`: what is worth a sentence.
//!
//! What is shown stands in `view`; the sums themselves are those of `evidence`.

mod advise;
mod compare;
mod course;
pub mod findings;
mod gather;
mod sheet;
pub mod view;

use chrono::NaiveDate;

use crate::evidence::calendar::Month;
use crate::trade::month::{MonthLots, MonthRow, Offsets};
use crate::trade::rules::Rules;

pub(crate) use advise::{ENOUGH_STRINGS, Outlook, outlooks, worths};
pub use findings::Finding;
pub use sheet::work_out;

/// How fine the grids are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fineness {
    /// For the page.
    Page,
    /// For looking at many months.
    Many,
}

/// All that a sheet is worked out from.
#[derive(Debug, Clone)]
pub struct Shop {
    /// Strings with what came of them.
    pub rows: Vec<MonthRow>,
    /// Strings by lot of yarn and by maker.
    pub lots: MonthLots,
    /// Offsets in force at the end of the month.
    pub offsets: Offsets,
    /// Since when complaints are written down; strings delivered before tell only of the time since.
    pub reports_since: Option<NaiveDate>,
    /// The workshop's rules.
    pub rules: Rules,
}

/// `YYYY-MM`.
#[must_use]
pub fn name(month: Month) -> String {
    format!("{:04}-{:02}", month.year(), month.number())
}
