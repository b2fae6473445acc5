//! The letter that takes back one that went out on a report which is struck.

use serde::Serialize;

use super::{LetterError, closing, greeting, one_line, rendered};
use crate::app::take_back::TakeBack;
use crate::show::sentences::caution_sentence;
use crate::trade::advice::Caution;

/// The kind of the letter.
pub const TAKE_BACK: &str = "take-back";

/// Name of its template.
pub const TAKE_BACK_TEMPLATE: &str = "take-back.txt";

/// Its cautions: nothing is to be turned by it, and nobody knows what was.
const CAUTIONS: [Caution; 5] = [
    Caution::UseStringer,
    Caution::Inspect,
    Caution::NeverDryFire,
    Caution::StopOnDamage,
    Caution::AskBowyer,
];

/// Writes the letter.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn take_back(about: &TakeBack, own_template: Option<&str>) -> Result<String, LetterError> {
    #[derive(Serialize)]
    struct Filling {
        greeting: String,
        closing: String,
        serial: String,
        letter_of: String,
        cautions: Vec<&'static str>,
    }
    let filling = Filling {
        greeting: greeting(about.archer.as_deref()),
        closing: closing(&about.rules),
        serial: one_line(&about.string),
        letter_of: about.letter_of.to_string(),
        cautions: CAUTIONS.map(caution_sentence).to_vec(),
    };
    let source = own_template.unwrap_or(include_str!("take-back.txt"));
    rendered(TAKE_BACK_TEMPLATE.to_owned(), source, &filling)
}
