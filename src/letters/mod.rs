//! The reply to the archer: plain text, one template for each verdict, overridable by a file
//! of the same name. Never an unfilled placeholder: an undefined name is an error.

mod draft;
mod filling;
mod kind;
mod meanwhile;
mod plain;
mod salutation;
mod together;

pub use draft::draft_about;
use filling::{Filling, filling};
pub use kind::{LetterKind, label_to_attach};
use minijinja::{Environment, UndefinedBehavior};
pub use plain::{
    QUIET, QUIET_TEMPLATE, STRENGTH, STRENGTH_TEMPLATE, TAKE_BACK, TAKE_BACK_TEMPLATE, THANKS,
    THANKS_TEMPLATE, WHICH_STRING, WHICH_STRING_TEMPLATE, quiet, take_back, thanks, too_weak, which_string,
};
use serde::Serialize;
use thiserror::Error;
pub use together::{Part, TOGETHER, out_about_each, together};

use crate::app::advise::Answer;
use crate::app::cases::{Way, Withdrawn};
use crate::show::page::wrapped;
use crate::show::reply::below_a_letter;
use crate::show::sentences::Style;
use crate::show::{to_turn, turns};
use crate::trade::reply::Asks;
use crate::trade::rules::Rules;
use crate::trade::words::Verdict;
use crate::words::harmless;

/// Width of a letter's lines, characters.
const WIDTH: usize = 74;

/// A letter that could not be written.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum LetterError {
    /// A text that cannot be filled.
    #[error("the letter template {name} cannot be used: {reason}")]
    Template {
        /// File name of the template.
        name: String,
        /// Why, with the line.
        reason: String,
    },
    /// Nobody has ruled danger out.
    #[error(
        "the letter {kind} has the bow strung, and nobody has said yet that there is no danger in {report}"
    )]
    NotReleased {
        /// The letter.
        kind: LetterKind,
        /// The report.
        report: String,
    },
    /// The letter says what is not so.
    #[error("the letter {kind} does not fit {report}, whose verdict is {verdict}")]
    DoesNotFit {
        /// The letter.
        kind: LetterKind,
        /// The report.
        report: String,
        /// Its verdict.
        verdict: Verdict,
    },
}

/// Writes a letter, from the built-in template or the workshop's own text.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn letter(
    kind: LetterKind,
    answer: &Answer,
    way: &Way,
    style: &Style,
    own_template: Option<&str>,
) -> Result<String, LetterError> {
    let source = own_template.unwrap_or_else(|| kind.built_in());
    let style = &style.for_archer(answer.unit);
    let mut filling = filling(kind, answer, way, style);
    filling.greeting = opened(&filling, kind, way);
    let asks = asked_by(kind, &filling);
    let text = rendered(kind.template_name(), source, &filling)?;
    let serial = filling.remake_serial.unwrap_or(filling.serial);
    Ok(text + &asks.map(|asks| below_a_letter(&serial, asks, style.unit)).unwrap_or_default())
}

/// A greeting and the word that takes an earlier letter back, where there is one to take back. It stands
/// with the greeting, which every template has, a workshop's own too: nothing is more urgent.
fn opened(filling: &Filling, kind: LetterKind, way: &Way) -> String {
    let greeting = &filling.greeting;
    // Of a bow that is not to be strung no brace height is asked for.
    let strung = !filling.unstrung && kind != LetterKind::LookOver;
    match way.withdraws.filter(|_| kind.step().is_some()) {
        Some(letter) => format!("{greeting}\n\n{}", withdrawal(letter, strung)),
        None => match way.told_before.filter(|_| kind == LetterKind::Adjust) {
            Some((day, told)) => format!("{greeting}\n\n{}", not_twice(day, told)),
            None => greeting.clone(),
        },
    }
}

/// Turns that an earlier letter told are not made a second time.
fn not_twice(day: chrono::NaiveDate, told: i32) -> String {
    format!(
        "On {day} we asked you to {} {}. If you have made any of them, do not make them again: please turn nothing more for now, do not shoot, and write to us how many you made and what the brace height reads. If you have made none, go by this letter alone.",
        to_turn(told),
        turns(f64::from(told.abs()))
    )
}

/// What takes a letter back that rests on what was noted by mistake, or comes back to one that was taken
/// back. Turns may have been made by it.
fn withdrawal(letter: Withdrawn, strung: bool) -> String {
    let day = letter.letter_of;
    let said = if letter.taken_back {
        format!(
            "We asked you to put our letter of {day} aside. Now we know more, and this letter takes the place of both; we are sorry for the confusion."
        )
    } else {
        format!(
            "Please leave aside our letter of {day}: it rested on something that we had noted wrongly, and we are sorry for it."
        )
    };
    let reads = if strung { " and what the brace height reads" } else { "" };
    format!(
        "{said} If you have not turned the string by that of {day}, go by this letter alone. If you have, please turn nothing more for now, do not shoot, and write to us how many turns you put in or took out{reads}."
    )
}

/// What the form below a letter asks for; none below one that asks for nothing. A bow that is not
/// strung is not strung for it.
fn asked_by(kind: LetterKind, filling: &Filling) -> Option<Asks> {
    let reading = if filling.unstrung { Asks::Danger } else { Asks::Reading };
    match kind {
        LetterKind::LookOver => Some(Asks::Danger),
        LetterKind::Ask | LetterKind::Adjust => Some(reading),
        LetterKind::Posted => Some(Asks::Reading),
        LetterKind::Reassure => {
            (filling.measure_again.is_some() || filling.asked.is_some()).then_some(reading)
        }
        LetterKind::Reminder if filling.remake_serial.is_some() => Some(Asks::Reading),
        LetterKind::Reminder => (filling.asked.is_some() || filling.turns.is_some()).then_some(reading),
        _ => None,
    }
}

/// One line of greeting or closing from stored words.
fn one_line(text: &str) -> String {
    harmless(text).replace('\n', " ").trim().to_owned()
}

fn greeting(archer: Option<&str>) -> String {
    let name = archer.map(one_line).and_then(|name| salutation::addressed(&name));
    name.map_or_else(|| "Dear archer,".to_owned(), |name| format!("Dear {name},"))
}

fn closing(rules: &Rules) -> String {
    let signature = [&rules.signature, &rules.workshop_name]
        .into_iter()
        .map(|line| one_line(line))
        .filter(|line| !line.is_empty())
        .collect::<Vec<_>>();
    let signature = if signature.is_empty() { "The workshop".to_owned() } else { signature.join("\n") };
    format!("With kind regards\n{signature}")
}

fn rendered<T: Serialize>(name: String, source: &str, filling: &T) -> Result<String, LetterError> {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    // Plain text: nothing is escaped for HTML.
    environment.set_auto_escape_callback(|_| minijinja::AutoEscape::None);
    let fault = |error: minijinja::Error| LetterError::Template {
        name: name.clone(),
        reason: match error.line() {
            Some(line) => format!(
                "line {line}: {}",
                error.detail().map_or_else(|| error.kind().to_string(), str::to_owned)
            ),
            None => error.to_string(),
        },
    };
    environment.add_template(&name, source).map_err(fault)?;
    let text = environment
        .get_template(&name)
        .and_then(|template| template.render(minijinja::Value::from(minijinja::value::Serde(filling))))
        .map_err(fault)?;
    Ok(laid_out(&text))
}

/// Lines broken at the letter's width; points and steps hang.
fn laid_out(text: &str) -> String {
    let mut out = String::new();
    for line in harmless(text).trim().lines() {
        let lead = line
            .split_once(' ')
            .filter(|(lead, _)| {
                *lead == "-" || lead.strip_suffix('.').is_some_and(|n| n.parse::<u32>().is_ok())
            })
            .map_or(0, |(lead, _)| lead.len() + 1);
        for (i, part) in wrapped(&line[lead..], WIDTH - lead).into_iter().enumerate() {
            let lead = if i == 0 { line[..lead].to_owned() } else { " ".repeat(lead) };
            out.push_str(format!("{lead}{part}").trim_end());
            out.push('\n');
        }
    }
    out
}
