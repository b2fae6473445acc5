//! A problem as a page says it: commands become places to go.

use std::path::Path;

use serde::Serialize;

use super::fields::Field;
use super::{Reply, fields};
use crate::app::AppError;
use crate::book::BookError;
use crate::entry::EntryError;
use crate::error::{Kind, Problem};

/// What to do about a problem.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub(super) struct Hint {
    text: String,
    /// Where it is done, if a page does it.
    place: Option<String>,
}

/// A problem for a page.
#[derive(Debug, Clone, Serialize)]
pub(super) struct ProblemView {
    pub(super) message: String,
    hints: Vec<Hint>,
    /// Name of the field at fault.
    pub(super) field: Option<&'static str>,
}

impl ProblemView {
    pub(super) fn new(problem: &Problem, field: Option<&'static str>) -> Self {
        Self::on(problem, field, &[])
    }

    /// The same, with the place of the book where its trouble does not name it.
    pub(super) fn of_book(&self, problem: &Problem, path: Option<&Path>) -> Self {
        let named = path.map(|path| problem.clone().of_book(path).message);
        match named {
            Some(named) if named != problem.message => {
                Self { message: in_words_of_the_page(&named), ..self.clone() }
            }
            _ => self.clone(),
        }
    }

    /// A problem on a page whose form labels its fields in its own way.
    pub(super) fn on(problem: &Problem, field: Option<&'static str>, form: &[&[Field]]) -> Self {
        let mut hints: Vec<Hint> = problem.hints.iter().map(|hint| Hint::new(hint, form)).collect();
        if matches!(problem.kind, Kind::NoBook | Kind::BadBook) {
            hints.push(Hint {
                text: "look into a copy of the book".to_owned(),
                place: Some("/copies".to_owned()),
            });
        }
        Self { message: in_words_of(&problem.message, form), hints, field }
    }
}

/// Why what a form asked for was not done.
pub(super) enum Refused {
    /// Something typed will not do.
    Entry(EntryError),
    /// Whom it is about was forgotten meanwhile: nothing of it is shown again.
    Forgotten(Problem),
    /// Anything else.
    Other(Problem),
}

impl Refused {
    /// The same, where something was written down before it came to this.
    pub(super) fn after_writing(self) -> Self {
        match self {
            Self::Entry(error) => Self::Entry(error),
            Self::Forgotten(problem) => Self::Forgotten(problem.after_writing()),
            Self::Other(problem) => Self::Other(problem.after_writing()),
        }
    }

    /// The problem, and how the page says it.
    pub(super) fn told(self) -> (Problem, ProblemView) {
        self.told_on(&[])
    }

    /// The same on a page whose form labels its fields in its own way.
    pub(super) fn told_on(self, form: &[&[Field]]) -> (Problem, ProblemView) {
        let (problem, field) = match self {
            Self::Entry(error) => {
                let field = error.field();
                (Problem::from(error), Some(field))
            }
            Self::Forgotten(problem) | Self::Other(problem) => (problem, None),
        };
        let view = ProblemView::on(&problem, field, form);
        (problem, view)
    }
}

/// Leads on where a form did its work; where it was refused, its page says why, once more.
pub(super) fn led_on(
    done: Result<String, Refused>,
    once_more: impl FnOnce(&Problem, &ProblemView) -> Result<Reply, Problem>,
) -> Result<Reply, Problem> {
    match done {
        Ok(place) => Ok(Reply::SeeOther(place)),
        Err(Refused::Forgotten(problem)) => Err(problem),
        Err(refused) => {
            let (problem, view) = refused.told();
            once_more(&problem, &view)
        }
    }
}

impl From<EntryError> for Refused {
    fn from(error: EntryError) -> Self {
        Self::Entry(error)
    }
}

impl From<Problem> for Refused {
    fn from(problem: Problem) -> Self {
        Self::Other(problem)
    }
}

impl From<AppError> for Refused {
    fn from(error: AppError) -> Self {
        match error {
            AppError::Book(BookError::ForgottenSince(_)) => Self::Forgotten(error.into()),
            _ => Self::Other(error.into()),
        }
    }
}

/// Status of the answer that says a problem.
pub(super) const fn status(kind: Kind) -> u16 {
    match kind {
        Kind::BadValue | Kind::CommandLine => 422,
        Kind::NotFound => 404,
        Kind::Refused | Kind::OutOfDate => 409,
        Kind::NoBook | Kind::BadBook | Kind::NewerBook | Kind::File => 503,
        Kind::Fault => 500,
    }
}

/// Options are called as their fields are labelled.
pub(super) fn in_words_of_the_page(text: &str) -> String {
    in_words_of(text, &[])
}

fn in_words_of(text: &str, form: &[&[Field]]) -> String {
    let mut said = String::new();
    for (place, word) in text.split(' ').enumerate() {
        if place > 0 {
            said.push(' ');
        }
        let bare = word.trim_end_matches([',', '.', ';', ':']);
        match bare.strip_prefix("--") {
            Some(option) => {
                said.push_str(&format!("\"{}\"", fields::label(option, form)));
                said.push_str(&word[bare.len()..]);
            }
            None => said.push_str(word),
        }
    }
    said
}

impl Hint {
    fn new(hint: &str, form: &[&[Field]]) -> Self {
        let Some((before, command)) = hint.split_once("fistmele ") else {
            return Self { text: in_words_of(hint, form), place: None };
        };
        let words: Vec<&str> = command.split_whitespace().collect();
        let report = |id: &str| Some(format!("/report/{id}"));
        let place = match words.as_slice() {
            ["report", "list", ..] => Some("/reports".to_owned()),
            ["report", "show", id] | ["resume" | "settle" | "letter" | "remake" | "advise", id] => report(id),
            ["remake", "sent" | "back", id] => report(id),
            ["strike" | "unstrike", id, ..] => match id.split('/').next() {
                Some(of) if crate::app::reports::report_number(of).is_ok() => {
                    report(of).map(|page| page + "#strike")
                }
                _ => Some(super::string::address(id.strip_prefix("string:").unwrap_or(id))),
            },
            ["report", "add", serial, ..] if *serial != "--help" => Some(super::string::address(serial)),
            ["sold", "show", serial] | ["letter", "--string", serial] => Some(super::string::address(serial)),
            ["sold", "find", ..] => Some("/".to_owned()),
            _ => None,
        };
        let text = match place {
            Some(_) => {
                before.trim_end().trim_end_matches([':', '(']).trim_end().trim_end_matches(" with").to_owned()
            }
            None => format!("{before}fistmele {command} (in a terminal)"),
        };
        Self { text: in_words_of(&text, form), place }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn commands_become_places_and_options_become_labels() {
        let hint = Hint::new("take it up again with: fistmele resume R-7", &[]);
        assert_eq!((hint.text.as_str(), hint.place.as_deref()), ("take it up again", Some("/report/R-7")));
        let hint = Hint::new("see what is wrong with: fistmele verify", &[]);
        assert_eq!(hint.text, "see what is wrong with: fistmele verify (in a terminal)");
        assert_eq!(hint.place, None);
        assert_eq!(in_words_of_the_page("check --shots, or leave"), "check \"Shots since new\", or leave");
    }
}
