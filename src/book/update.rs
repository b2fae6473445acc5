//! Bringing a book of an older program up to date: one copy beside it, then the steps.
//!
//! Several programs may open the same old book at the same moment. Whoever gets the write lock
//! looks at the version again, and so only the first one makes the copy and takes the steps.
#![expect(clippy::disallowed_methods, reason = "the book makes and copies its own file")]
#![expect(clippy::disallowed_types, reason = "the book is the one place that talks to the database")]

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, TransactionBehavior};

use super::error::BookError;
use super::file::{self, VERSION};

/// Runs pending steps, after a copy beside the book where it holds data.
pub(super) fn bring_up_to_date(
    connection: &mut Connection,
    path: &Path,
    day: chrono::NaiveDate,
    patience: Duration,
) -> Result<Option<PathBuf>, BookError> {
    if file::version_of(connection)? == VERSION {
        return Ok(None);
    }
    // A step that rebuilds a table runs with foreign keys off; that is told before the lock.
    connection.pragma_update(None, "foreign_keys", false)?;
    let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
    let version = file::version_of(&transaction)?;
    let mut copy = None;
    if version != VERSION {
        if version > 0 {
            // The one that writes cannot be copied from; nothing is written yet, so another reads.
            let reader = file::connect(path, patience)?;
            copy = Some(
                copy_beside(&reader, path, day, version).map_err(|error| BookError::Copy(Box::new(error)))?,
            );
        }
        let steps = usize::try_from(version).unwrap_or_default();
        file::take_steps(&transaction, steps, file::STEPS.len())?;
        transaction.commit().map_err(file::failed_step)?;
    } else {
        transaction.rollback()?;
    }
    connection.pragma_update(None, "foreign_keys", true)?;
    Ok(copy)
}

/// How the names of copies begin that were not finished.
fn unfinished(path: &Path) -> String {
    format!(".fistmele-unfinished-{}-", name_of(path))
}

fn name_of(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

/// A copy of an older book beside it, which gets its name when it is whole. Pieces of such a copy
/// that were left by a program that was ended are taken away: with the lock nobody else makes one.
fn copy_beside(
    reader: &Connection,
    path: &Path,
    day: chrono::NaiveDate,
    version: i64,
) -> Result<PathBuf, BookError> {
    let folder = file::folder_of(path);
    let prefix = unfinished(path);
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
        if entry.file_name().to_string_lossy().starts_with(&prefix) {
            // What cannot be taken away is in nobody's way.
            let _ = std::fs::remove_file(entry.path());
        }
    }
    let (mut copy, _unfinished) = file::whole_copy(reader, folder, &prefix)?;
    for number in 0_u32.. {
        let name = named(path, day, version, number);
        match copy.persist_noclobber(&name) {
            Ok(()) => {
                file::sync_folder(folder);
                return Ok(name);
            }
            Err(error) if error.error.kind() == std::io::ErrorKind::AlreadyExists => copy = error.path,
            Err(error) => return Err(BookError::File { path: name, action: "written", source: error.error }),
        }
    }
    Err(BookError::Exists(path.to_owned()))
}

/// The name of a copy beside the book: the day, the old version, and a number if need be.
fn named(path: &Path, day: chrono::NaiveDate, version: i64, number: u32) -> PathBuf {
    let number = if number == 0 { String::new() } else { format!("-{number}") };
    path.with_file_name(format!("{}.{day}-v{version}{number}.copy", name_of(path)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn copies_are_named_by_day_version_and_number_and_pieces_of_others_go() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("book.db");
        let (_held, mut connection) = file::create(&path, Duration::ZERO).unwrap();
        file::migrate(&mut connection).unwrap();
        std::fs::write(folder.path().join(".fistmele-unfinished-book.db-x1"), "a piece").unwrap();
        std::fs::write(folder.path().join(".fistmele-unfinished-other.db-x1"), "of another").unwrap();
        let day = chrono::NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
        let copies = [0, 1].map(|_| copy_beside(&connection, &path, day, 1).unwrap());
        assert!(copies[0].ends_with("book.db.2026-03-01-v1.copy"));
        assert!(copies[1].ends_with("book.db.2026-03-01-v1-1.copy"));
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 4, "one piece is left");
    }
}
