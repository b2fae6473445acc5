//! Is the book sound, what is wrong, and what to do.

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Duration;

use serde::Serialize;

use super::error::AppError;
use crate::book::{FaultKind, examine};

/// Something that is wrong, with the way out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FaultView {
    /// `file`, `shape`, `missing`, `value` or `contradiction`.
    pub kind: &'static str,
    /// What is wrong.
    pub what: String,
    /// What to do.
    pub do_this: &'static str,
}

/// A book looked through.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct VerifyView {
    /// True where nothing is wrong.
    pub sound: bool,
    /// Version of this program.
    pub program_version: &'static str,
    /// Version of the book.
    pub book_version: i64,
    /// Version of a book that this program writes.
    pub known_version: i64,
    /// Version of the database.
    pub database_version: String,
    /// Operating system.
    pub platform: &'static str,
    /// Size of the book.
    pub bytes: i64,
    /// Rows of each table.
    pub counts: BTreeMap<String, i64>,
    /// What is wrong, the worst first.
    pub faults: Vec<FaultView>,
    /// Stored verdicts worded by another version of the program; they count as before.
    pub verdicts_of_other_versions: i64,
    /// Others than the owner may read the file.
    pub open_to_others: bool,
}

const fn way_out(kind: FaultKind) -> (&'static str, &'static str) {
    match kind {
        FaultKind::File => (
            "file",
            "the file is damaged: write nothing more to it, keep it, and go on with the newest sound backup; fistmele export may still save rows from it; then check the disk",
        ),
        FaultKind::Shape => (
            "shape",
            "another program has changed the tables of the book: go on with the newest sound backup, or ask for help with the lines below",
        ),
        FaultKind::Missing => (
            "missing",
            "another program has changed the book: go on with the newest sound backup, or ask for help with the lines below",
        ),
        FaultKind::Value => (
            "value",
            "a value was changed by another program or by damage: go on with the newest sound backup, or ask for help with the lines below",
        ),
        FaultKind::Contradiction => (
            "contradiction",
            "the figures still add up, but the rows named contradict each other: see them with fistmele history and ask for help with the lines below",
        ),
    }
}

/// Looks through the book at a path without writing to it.
///
/// # Errors
/// There is no book, it is some other file, or of a newer program.
pub fn verify(path: &Path, patience: Duration) -> Result<VerifyView, AppError> {
    let examined = examine(path, patience)?;
    let faults: Vec<FaultView> = examined
        .faults
        .into_iter()
        .map(|fault| {
            let (kind, do_this) = way_out(fault.kind);
            FaultView { kind, what: fault.text, do_this }
        })
        .collect();
    Ok(VerifyView {
        sound: faults.is_empty(),
        program_version: env!("CARGO_PKG_VERSION"),
        book_version: examined.version,
        known_version: examined.known_version,
        database_version: examined.database,
        platform: std::env::consts::OS,
        bytes: examined.bytes,
        counts: examined.counts,
        faults,
        verdicts_of_other_versions: examined.other_versions,
        open_to_others: examined.open_to_others,
    })
}
