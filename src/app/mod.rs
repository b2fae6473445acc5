//! Use cases: a typed request in, a view out, each one transaction. No parser, no printing, no clock.

pub mod advise;
pub mod archers;
pub mod bench;
pub mod bow;
pub mod came_in;
pub mod card;
pub mod cases;
pub mod copies;
pub mod danger;
pub mod decide;
pub mod demo;
pub mod effects;
pub mod error;
pub mod export;
mod facts;
pub mod find;
pub mod forget;
pub mod history;
pub mod imports;
pub mod logging;
pub mod mails;
pub mod month;
pub mod old_reports;
pub mod outgoing;
pub mod quiet;
pub mod reports;
pub mod settings;
pub mod settle;
pub mod sheet;
pub mod size;
pub mod sold;
pub mod spools;
pub mod strength;
pub mod strikes;
pub mod sums;
pub mod take_back;
pub mod verify;
pub mod views;
mod which_string;

pub use error::AppError;

use crate::book::{Book, Page};
use crate::mechanics::twist::Yarn;
use crate::trade::rules::Rules;
use crate::trade::usual::Recorded;

/// The workshop's rules as they stand now.
///
/// # Errors
/// The book cannot be read.
pub fn rules(book: &mut Book) -> Result<Rules, AppError> {
    book.read(page_rules)
}

/// The newest strings of each yarn whose turns are on record: by then a habit is known, and a verdict
/// takes as long in a book of a million strings as in one of a thousand.
const MOST_RECORDED: u32 = 200;

/// What the book tells of the turns that the workshop usually puts in.
fn recorded_turns(page: &Page<'_>, rules: &Rules) -> Result<Vec<Recorded>, AppError> {
    let mut recorded = Vec::new();
    for yarn in Yarn::ALL {
        let strings = page.recorded_turns(*yarn, MOST_RECORDED)?;
        recorded.extend(strings.into_iter().filter_map(|(construction, length, turns)| {
            Recorded::of(construction, length.inches(), turns.value(), rules)
        }));
    }
    Ok(recorded)
}

fn page_rules(page: &Page<'_>) -> Result<Rules, AppError> {
    Ok(Rules::from_values(page.settings()?).with_reasons(page.setting_reasons()?))
}
