//! A problem as a page says it.

use std::path::Path;

use serde::Serialize;

use super::Reply;
use super::fields::Field;
use super::ways::{self, Piece};
use crate::app::AppError;
use crate::book::BookError;
use crate::entry::EntryError;
use crate::error::{Kind, Problem};

/// A problem for a page.
#[derive(Debug, Clone, Serialize)]
pub(super) struct ProblemView {
    pub(super) message: String,
    /// What to do about it, each a sentence.
    hints: Vec<Vec<Piece>>,
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
                Self { message: ways::plain(&named, &[]), ..self.clone() }
            }
            _ => self.clone(),
        }
    }

    /// A problem on a page whose form labels its fields in its own way.
    pub(super) fn on(problem: &Problem, field: Option<&'static str>, form: &[&[Field]]) -> Self {
        let mut hints: Vec<_> = problem.hints.iter().map(|hint| ways::sentence(hint, form)).collect();
        if matches!(problem.kind, Kind::NoBook | Kind::BadBook) {
            let text = "Look into a copy of the book.".to_owned();
            hints.push(vec![Piece { text, place: Some("/copies".to_owned()) }]);
        }
        Self { message: ways::plain(&problem.message, form), hints, field }
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

    /// The problem, and how a page says it whose form labels its fields in its own way.
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

/// Leads on where a form did its work; where it was refused, its page says why, once more, and calls
/// its fields as that form does.
pub(super) fn led_on(
    done: Result<String, Refused>,
    form: &[&[Field]],
    once_more: impl FnOnce(&Problem, &ProblemView) -> Result<Reply, Problem>,
) -> Result<Reply, Problem> {
    match done {
        Ok(place) => Ok(Reply::SeeOther(place)),
        Err(Refused::Forgotten(problem)) => Err(problem),
        Err(refused) => {
            let (problem, view) = refused.told_on(form);
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
