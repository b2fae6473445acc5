//! Letters that hang on no verdict: each is a greeting, a closing and little between.

use minijinja::context;

use super::{LetterError, closing, greeting, one_line, rendered};
use crate::app::quiet::QuietLetter;
use crate::app::strength::Warning;
use crate::app::take_back::TakeBack;
use crate::show::range;
use crate::show::reply::below_a_letter;
use crate::show::sentences::{Style, caution_sentence};
use crate::show::strength::strength_sum;
use crate::trade::advice::Caution;
use crate::trade::reply::Asks;
use crate::trade::rules::Rules;
use crate::trade::strength::pounds;

/// The kind of the letter to an archer who never wrote.
pub const QUIET: &str = "quiet";
/// Name of its template.
pub const QUIET_TEMPLATE: &str = "quiet.txt";
/// The kind of the letter about a string that is too weak for its bow.
pub const STRENGTH: &str = "strength";
/// Name of its template.
pub const STRENGTH_TEMPLATE: &str = "strength.txt";
/// The letter to somebody of whom the book knows no string.
pub const WHICH_STRING: &str = "which-string";
/// Name of its template.
pub const WHICH_STRING_TEMPLATE: &str = "which-string.txt";
/// The letter that answers praise.
pub const THANKS: &str = "thanks";
/// Name of its template.
pub const THANKS_TEMPLATE: &str = "thanks.txt";

/// The kind of the letter that takes back one on a report which is struck.
pub const TAKE_BACK: &str = "take-back";
/// Name of its template.
pub const TAKE_BACK_TEMPLATE: &str = "take-back.txt";

/// Cautions of the letter about a string that is too weak for its bow.
const WEAK_CAUTIONS: [Caution; 5] =
    [Caution::DoNotShoot, Caution::Inspect, Caution::NeverDryFire, Caution::StopOnDamage, Caution::AskBowyer];

/// Cautions of the letter that asks which string it is: nothing of it is known.
const UNKNOWN_CAUTIONS: [Caution; 4] =
    [Caution::Inspect, Caution::NeverDryFire, Caution::StopOnDamage, Caution::AskBowyer];

/// Cautions of the letter that takes another back: nothing is to be turned, and nobody knows what was.
const TAKE_BACK_CAUTIONS: [Caution; 5] = [
    Caution::UseStringer,
    Caution::Inspect,
    Caution::NeverDryFire,
    Caution::StopOnDamage,
    Caution::AskBowyer,
];

/// Writes the letter that asks an archer who never wrote whether the string fits.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn quiet(letter: &QuietLetter, style: &Style, own_template: Option<&str>) -> Result<String, LetterError> {
    let style = style.for_archer(letter.unit);
    let serial = &one_line(&letter.question.string);
    let filling = context! {
        greeting => greeting(letter.question.archer.as_deref()),
        closing => closing(&letter.rules),
        serial,
        want => letter.want.map(|(low, high)| range(low, high, style.unit)),
    };
    let text =
        rendered(QUIET_TEMPLATE.to_owned(), own_template.unwrap_or(include_str!("quiet.txt")), &filling)?;
    Ok(text + &below_a_letter(serial, Asks::Reading, style.unit))
}

/// Writes the letter that says not to shoot a string that is too weak for its bow.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn too_weak(warning: &Warning, own_template: Option<&str>) -> Result<String, LetterError> {
    let filling = context! {
        greeting => greeting(warning.archer.as_deref()),
        closing => closing(&warning.rules),
        serial => one_line(&warning.string),
        sum => strength_sum(&warning.sum),
        draw => pounds(warning.sum.draw),
        cautions => WEAK_CAUTIONS.map(caution_sentence),
    };
    rendered(STRENGTH_TEMPLATE.to_owned(), own_template.unwrap_or(include_str!("strength.txt")), &filling)
}

/// Writes the letter that asks somebody for the label or the order of the string.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn which_string(
    name: Option<&str>,
    rules: &Rules,
    own_template: Option<&str>,
) -> Result<String, LetterError> {
    let filling = context! {
        greeting => greeting(name),
        closing => closing(rules),
        cautions => UNKNOWN_CAUTIONS.map(caution_sentence),
    };
    let source = own_template.unwrap_or(include_str!("which-string.txt"));
    rendered(WHICH_STRING_TEMPLATE.to_owned(), source, &filling)
}

/// Writes the short letter to somebody who wrote nothing but thanks.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn thanks(name: Option<&str>, rules: &Rules, own_template: Option<&str>) -> Result<String, LetterError> {
    let filling = context! { greeting => greeting(name), closing => closing(rules) };
    rendered(THANKS_TEMPLATE.to_owned(), own_template.unwrap_or(include_str!("thanks.txt")), &filling)
}

/// Writes the letter that takes back one that went out on a report which is struck.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn take_back(about: &TakeBack, own_template: Option<&str>) -> Result<String, LetterError> {
    let filling = context! {
        greeting => greeting(about.archer.as_deref()),
        closing => closing(&about.rules),
        serial => one_line(&about.string),
        letter_of => about.letter_of.to_string(),
        cautions => TAKE_BACK_CAUTIONS.map(caution_sentence),
    };
    rendered(TAKE_BACK_TEMPLATE.to_owned(), own_template.unwrap_or(include_str!("take-back.txt")), &filling)
}
