//! Imports: rows are taken one after the other into one transaction, of which all is kept or nothing.

use serde::Serialize;

use super::error::AppError;
use super::strength::StrengthView;

/// Where the rows of a file go.
pub trait Rows<Row> {
    /// Checks a row against the book and, if it is to be written and nothing speaks against it, adds
    /// it, at the latest when the file ends; what is in the book just so stays as it is.
    ///
    /// # Errors
    /// The book cannot be read or written.
    fn take(&mut self, row: Row, write: bool) -> Result<Option<Fault>, AppError>;
}

/// Why a row does not go with the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Line in the file.
    pub line: u64,
    /// What is wrong, with the line.
    pub said: String,
}

/// What became of the rows of an import.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Imported {
    /// Added, or would be.
    pub added: usize,
    /// In the book already.
    pub unchanged: usize,
    /// Struck in the book.
    pub struck: usize,
    /// Strings added for a bow that was there.
    pub same_bow: usize,
    /// Strings added beside such a bow.
    pub bow_kept_apart: usize,
    /// Strings below the floor of strength.
    pub below_floor: Vec<WeakRow>,
    /// Strings whose strength could not be checked.
    pub strength_not_checked: usize,
}

/// A string of an import that holds less than its bow asks for.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeakRow {
    /// Serial.
    pub string: String,
    /// What it holds against what it has to.
    pub strength: StrengthView,
}

/// How an import came out.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ImportView {
    /// Rows read.
    pub rows: usize,
    /// Strings added (or that would be, in a trial run).
    pub added: usize,
    /// Strings that were in the book already, just so.
    pub unchanged: usize,
    /// Rows whose string is struck in the book: it stays so, whatever the row says.
    pub struck: usize,
    /// Strings added for a bow that its archer has in the book, or in an earlier row.
    pub same_bow: usize,
    /// Strings added whose archer has such a bow, but which were kept apart: what the rows say of
    /// the bow contradicts it, or there is more than one.
    pub bow_kept_apart: usize,
    /// Rows left out as bad.
    pub bad: usize,
    /// Strings of these that must not be shot: below the floor of strength.
    pub below_floor: Vec<WeakRow>,
    /// Strings added whose strength is not checked, because something is not known.
    pub strength_not_checked: usize,
    /// Columns nobody knows.
    pub ignored_columns: Vec<String>,
    /// True if nothing was written.
    pub dry_run: bool,
}
