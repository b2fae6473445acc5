//! One letter about several reports of an archer.

use super::filling::filling;
use super::{LetterError, LetterKind, closing, greeting, laid_out, one_line, opened, rendered};
use crate::app::advise::Answer;
use crate::app::cases::Way;
use crate::app::outgoing::Outgoing;
use crate::show::sentences::Style;
use crate::trade::standing::Step;

/// What one letter about several reports is called.
pub const TOGETHER: &str = "together";

/// One of several reports that a letter is about.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// The letter that it would get alone.
    pub kind: LetterKind,
    /// Its verdict.
    pub answer: Answer,
    /// Its way.
    pub way: Way,
    /// The workshop's own text of that letter.
    pub own: Option<String>,
}

/// One letter as it goes out about each of its reports, with the step of that report that it is.
#[must_use]
pub fn out_about_each<'a>(parts: &'a [Part], text: &'a str) -> Vec<(&'a str, Outgoing<'a>, Option<Step>)> {
    let out = |part: &'a Part| {
        (part.answer.view.report.as_str(), Outgoing { kind: part.kind.as_str(), text }, part.kind.step())
    };
    parts.iter().map(out).collect()
}

/// "S-1, S-2 and S-3".
fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

/// Writes one letter about several reports of an archer: each says what its own letter would, and
/// what is alike but for the serial is said once, of all these strings.
///
/// # Errors
/// A template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn together(parts: &[Part], style: &Style) -> Result<String, LetterError> {
    let text_of = |part: &Part, serial: &str, ends: Option<(&str, &str)>| {
        let style = style.for_archer(part.answer.unit);
        let mut filled = filling(part.kind, &part.answer, &part.way, &style);
        serial.clone_into(&mut filled.serial);
        if let Some((greeting, closing)) = ends {
            greeting.clone_into(&mut filled.greeting);
            closing.clone_into(&mut filled.closing);
        }
        filled.greeting = opened(&filled, part.kind, &part.way);
        let source = part.own.as_deref().unwrap_or_else(|| part.kind.built_in());
        rendered(part.kind.template_name(), source, &filled)
    };
    let mut groups: Vec<(&Part, String, Vec<&str>)> = Vec::new();
    for part in parts {
        let text = text_of(part, "S", None)?;
        let serial = part.answer.view.string.as_str();
        match groups.iter_mut().find(|(_, alike, _)| *alike == text) {
            Some((.., serials)) => serials.push(serial),
            None => groups.push((part, text, vec![serial])),
        }
    }
    if let [(part, _, serials)] = groups.as_slice() {
        return text_of(part, &one_line(&listed(serials)), None);
    }
    let Some((first, ..)) = groups.first() else { return Ok(String::new()) };
    let all: Vec<&str> = parts.iter().map(|part| part.answer.view.string.as_str()).collect();
    let mut text = laid_out(&format!(
        "{}\n\nThank you for writing about your strings {}. This letter speaks of each in its turn: please take care that what is said of one is done to that one.",
        greeting(first.answer.archer.as_deref()),
        one_line(&listed(&all))
    ));
    for (part, _, serials) in &groups {
        let serials = one_line(&listed(serials));
        text.push_str(&format!("\n{}", text_of(part, &serials, Some((&format!("* {serials} *"), "")))?));
    }
    text.push_str(&format!("\n{}", laid_out(&closing(&first.answer.rules))));
    Ok(text)
}
