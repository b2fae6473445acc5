//! What can go wrong with the book.

use std::path::PathBuf;

use rusqlite::ErrorCode;
use thiserror::Error;

/// A fault of the book or its file.
#[derive(Debug, Error)]
pub enum BookError {
    /// There is no file.
    #[error("there is no book at {}", .0.display())]
    Missing(PathBuf),
    /// A file of that name is there already.
    #[error("{} is there already", .0.display())]
    Exists(PathBuf),
    /// An empty file.
    #[error("{} is an empty file, not a book", .0.display())]
    Empty(PathBuf),
    /// Some other file.
    #[error("{} is not a book of this program", .0.display())]
    NotABook(PathBuf),
    /// Made by a newer program.
    #[error("{} was made by a newer fistmele (book version {version}, this program knows {known})", .path.display())]
    Newer {
        /// The file.
        path: PathBuf,
        /// Its version.
        version: i64,
        /// The newest version known.
        known: i64,
    },
    /// The file cannot be made or opened.
    #[error("{} cannot be {action}: {source}", .path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What was tried.
        action: &'static str,
        /// Why not.
        source: std::io::Error,
    },
    /// The content is damaged.
    #[error("the book is damaged: {0}")]
    Damaged(String),
    /// The book or its folder cannot be written.
    #[error("the book cannot be written: it or its folder is read-only")]
    ReadOnly,
    /// The file cannot be opened.
    #[error("the book cannot be opened: {0}")]
    Unreadable(String),
    /// No room left.
    #[error("the disk is full; nothing was changed")]
    Full,
    /// Another program holds it.
    #[error("another program has been writing to the book for more than ten seconds")]
    Busy,
    /// A copy before the change could not be made.
    #[error("the book needs an update, and the copy before it could not be made: {0}")]
    Copy(Box<BookError>),
    /// The update failed.
    #[error("the book could not be brought up to date: {0}")]
    Migration(String),
    /// A stored value that this program cannot read.
    #[error("the book holds a value that cannot be read: {0}")]
    Value(String),
    /// Anything else the database says.
    #[error("the database says: {0}")]
    Database(rusqlite::Error),
}

impl From<rusqlite::Error> for BookError {
    fn from(error: rusqlite::Error) -> Self {
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseCorrupt) => Self::Damaged(error.to_string()),
            Some(ErrorCode::NotADatabase) => Self::Damaged("it is not a database any more".to_owned()),
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => Self::ReadOnly,
            Some(ErrorCode::CannotOpen) => Self::Unreadable(error.to_string()),
            Some(ErrorCode::DiskFull) => Self::Full,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            _ => match error {
                rusqlite::Error::QueryReturnedNoRows => {
                    Self::Damaged("a record that must be there is missing".to_owned())
                }
                rusqlite::Error::FromSqlConversionFailure(..)
                | rusqlite::Error::InvalidColumnType(..)
                | rusqlite::Error::IntegralValueOutOfRange(..) => Self::Value(error.to_string()),
                _ => Self::Database(error),
            },
        }
    }
}
