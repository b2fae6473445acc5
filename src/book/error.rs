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
    /// Of an older program, where it is only looked at.
    #[error("{} is of an older fistmele (book version {version}, this program writes {known})", .path.display())]
    Older {
        /// The file.
        path: PathBuf,
        /// Its version.
        version: i64,
        /// The version that this program writes.
        known: i64,
    },
    /// A journal or log of another file lies beside the book.
    #[error("{} cannot belong to {}, beside which it lies: it is what another file left behind", .log.display(), .book.display())]
    ForeignLog {
        /// The book.
        book: PathBuf,
        /// The journal or log.
        log: PathBuf,
    },
    /// A name that the database takes for something else than a file.
    #[error("{} is no name of a file: a book in memory would be gone when the command ends", .0.display())]
    NoFile(PathBuf),
    /// A value beyond what the book takes, by the check that refused it.
    #[error("the book takes no such value: {0}")]
    Refused(String),
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
    /// A folder or file beside the book stands in the way.
    #[error("the book cannot be opened: {0}")]
    CannotOpen(String),
    /// A command was cut off while it wrote, and its journal cannot be undone here.
    #[error(
        "a command was cut off while it wrote to this book, and the book cannot be put right where it is: it or its folder is read-only"
    )]
    Unfinished,
    /// The disk refuses to read or write.
    #[error("the disk of the book cannot be read or written: {0}")]
    Disk(String),
    /// Somebody else was here since what this rests on was looked at.
    #[error("{} has moved on since this was looked at", .0)]
    OutOfDate(String),
    /// The archer was erased since what this rests on was looked at.
    #[error("the archer of {} was forgotten since this was looked at; nothing was written down", .0)]
    ForgottenSince(String),
    /// A copy onto the book itself.
    #[error("{} is the book itself", .0.display())]
    CopyOntoItself(PathBuf),
    /// A copy that did not come out whole.
    #[error("the copy did not come out whole: {0}")]
    BadCopy(String),
    /// A copy that is not as it was made.
    #[error("{} is not as it was made: its digest does not fit", .0.display())]
    ChangedCopy(PathBuf),
    /// A file that is no copy as `backup` makes it.
    #[error("{} carries no digest, as a copy does", .0.display())]
    NoDigest(PathBuf),
    /// A writing to a copy that is only looked into.
    #[error("this is a copy of the book, to be looked into; nothing is written to it")]
    OnlyACopy,
    /// What was put together is no sound book.
    #[error("no sound book comes of it: {0}")]
    NotSound(String),
    /// The content is damaged.
    #[error("the book is damaged: {0}")]
    Damaged(String),
    /// The book or its folder cannot be written.
    #[error("the book cannot be written: it or its folder is read-only")]
    ReadOnly,
    /// No room left.
    #[error("the disk of the book is full")]
    Full,
    /// Another program holds it.
    #[error("another program has held the book for too long (usually ten seconds are waited)")]
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
    #[error("the database of the book says: {0}")]
    Database(rusqlite::Error),
}

/// SQLITE_CONSTRAINT_CHECK: a value that no door should have let through.
const CHECK_FAILED: i32 = 275;

/// SQLITE_READONLY_RECOVERY, _ROLLBACK and _CANTINIT: a journal must be played back and cannot be.
const UNFINISHED: [i32; 3] = [264, 776, 1288];

impl From<rusqlite::Error> for BookError {
    fn from(error: rusqlite::Error) -> Self {
        if let rusqlite::Error::SqliteFailure(failure, _) = &error
            && UNFINISHED.contains(&failure.extended_code)
        {
            return Self::Unfinished;
        }
        if let rusqlite::Error::SqliteFailure(failure, Some(text)) = &error
            && failure.extended_code == CHECK_FAILED
        {
            return Self::Refused(text.trim_start_matches("CHECK constraint failed: ").to_owned());
        }
        match error.sqlite_error_code() {
            Some(ErrorCode::DatabaseCorrupt) => Self::Damaged(error.to_string()),
            Some(ErrorCode::NotADatabase) => Self::Damaged("it is not a database any more".to_owned()),
            Some(ErrorCode::ReadOnly | ErrorCode::PermissionDenied) => Self::ReadOnly,
            Some(ErrorCode::DiskFull) => Self::Full,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            Some(ErrorCode::CannotOpen) => Self::CannotOpen(error.to_string()),
            Some(ErrorCode::SystemIoFailure) => Self::Disk(error.to_string()),
            // Every statement is prepared by a test against the shape of a book: where one does
            // not fit, the tables are not those of a book.
            Some(ErrorCode::Unknown) => Self::Damaged(error.to_string()),
            _ => match error {
                rusqlite::Error::SqlInputError { .. } => Self::Damaged(error.to_string()),
                rusqlite::Error::QueryReturnedNoRows => {
                    Self::Damaged("a row that another one names is missing".to_owned())
                }
                rusqlite::Error::FromSqlConversionFailure(..)
                | rusqlite::Error::InvalidColumnType(..)
                | rusqlite::Error::Utf8Error(..)
                | rusqlite::Error::IntegralValueOutOfRange(..) => Self::Value(error.to_string()),
                _ => Self::Database(error),
            },
        }
    }
}
