//! Why a use case could not be done.

use thiserror::Error;

use crate::book::BookError;
use crate::trade::plausible::Implausible;
use crate::trade::setting::SettingError;

/// A use case that could not be done; nothing was changed.
#[derive(Debug, Error)]
pub enum AppError {
    /// The book.
    #[error(transparent)]
    Book(#[from] BookError),
    /// A setting.
    #[error(transparent)]
    Setting(#[from] SettingError),
    /// Nothing of that name.
    #[error("there is no {what} \"{text}\"")]
    NotFound {
        /// String, report.
        what: &'static str,
        /// What was asked for.
        text: String,
        /// Near ones.
        near: Vec<String>,
    },
    /// It makes no sense as things stand.
    #[error("{message}")]
    Refused {
        /// Why.
        message: String,
        /// What to do instead.
        hints: Vec<String>,
    },
    /// A file that was given could not be read or written.
    #[error("{} cannot be {action}: {source}", .path.display())]
    File {
        /// The file.
        path: std::path::PathBuf,
        /// What was tried.
        action: &'static str,
        /// Why not.
        source: std::io::Error,
    },
    /// A fault of the program itself.
    #[error("{0}")]
    Internal(String),
}

impl AppError {
    /// Refused, with one way out.
    #[must_use]
    pub fn refused(message: impl Into<String>, hint: impl Into<String>) -> Self {
        Self::Refused { message: message.into(), hints: vec![hint.into()] }
    }

    /// What cannot be, with what to look at.
    pub(super) fn cannot_be(hint: &str) -> impl Fn(Implausible) -> Self {
        move |error| Self::refused(error.said, hint)
    }
}
