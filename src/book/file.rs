//! Making, opening and bringing up to date the file of a book.
#![expect(clippy::disallowed_methods, reason = "the book makes and copies its own file")]
#![expect(clippy::disallowed_types, reason = "the book is the one place that talks to the database")]

use std::fs::OpenOptions;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags};
use rusqlite_migration::{M, Migrations};

use super::error::BookError;

/// "FIST" in ASCII: tells our file from any other database.
const APPLICATION_ID: i64 = 0x4649_5354;

/// Landed steps are frozen; a new one is added at the end.
const STEPS: &[M<'_>] = &[
    M::up(include_str!("../../migrations/0001_book.sql")),
    M::up(include_str!("../../migrations/0002_case.sql")),
    M::up(include_str!("../../migrations/0003_questions.sql")),
];
const MIGRATIONS: Migrations<'_> = Migrations::from_slice(STEPS);

/// Version of a book that this program writes.
pub(super) const VERSION: i64 = STEPS.len() as i64;

/// A new empty file that only its owner may read.
fn private_file(path: &Path) -> std::io::Result<()> {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::OpenOptionsExt;
        options.mode(0o600);
    }
    options.open(path).map(drop)
}

pub(super) fn create(path: &Path) -> Result<Connection, BookError> {
    let file = |action, source| BookError::File { path: path.to_owned(), action, source };
    if let Some(folder) = path.parent().filter(|folder| !folder.as_os_str().is_empty()) {
        std::fs::create_dir_all(folder).map_err(|source| file("made", source))?;
    }
    private_file(path).map_err(|source| match source.kind() {
        std::io::ErrorKind::AlreadyExists => BookError::Exists(path.to_owned()),
        _ => file("made", source),
    })?;
    let made = connect(path).and_then(|connection| {
        connection.pragma_update(None, "application_id", APPLICATION_ID)?;
        Ok(connection)
    });
    if made.is_err() {
        // A half-made book must not look like one.
        let _ = std::fs::remove_file(path);
    }
    made
}

fn connect(path: &Path) -> Result<Connection, BookError> {
    let connection = Connection::open_with_flags(
        path,
        OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX,
    )?;
    connection.pragma_update(None, "foreign_keys", true)?;
    // What was acknowledged is on disk, also after a power cut.
    connection.pragma_update(None, "synchronous", "EXTRA")?;
    connection.pragma_update(None, "secure_delete", true)?;
    connection.set_prepared_statement_cache_capacity(64);
    Ok(connection)
}

pub(super) fn open(path: &Path) -> Result<Connection, BookError> {
    let data = std::fs::metadata(path).map_err(|source| match source.kind() {
        std::io::ErrorKind::NotFound => BookError::Missing(path.to_owned()),
        _ => BookError::File { path: path.to_owned(), action: "opened", source },
    })?;
    if data.is_dir() {
        return Err(BookError::NotABook(path.to_owned()));
    }
    if data.len() == 0 {
        return Err(BookError::Empty(path.to_owned()));
    }
    let not_a_book = |error| match error {
        BookError::Damaged(_) => BookError::NotABook(path.to_owned()),
        other => other,
    };
    let connection = connect(path).map_err(not_a_book)?;
    let pragma = |name: &str| -> Result<i64, BookError> {
        connection
            .pragma_query_value(None, name, |row| row.get(0))
            .map_err(|error| not_a_book(BookError::from(error)))
    };
    if pragma("application_id")? != APPLICATION_ID {
        return Err(BookError::NotABook(path.to_owned()));
    }
    let version = pragma("user_version")?;
    if version > VERSION {
        return Err(BookError::Newer { path: path.to_owned(), version, known: VERSION });
    }
    Ok(connection)
}

/// Runs pending steps, after a copy beside the book where it holds data.
pub(super) fn bring_up_to_date(
    connection: &mut Connection,
    path: &Path,
    day: chrono::NaiveDate,
) -> Result<Option<PathBuf>, BookError> {
    let version: i64 = connection.pragma_query_value(None, "user_version", |row| row.get(0))?;
    if version == VERSION {
        return Ok(None);
    }
    let copy = if version > 0 {
        let copy = free_name(path, day, version);
        copy_to(connection, &copy).map_err(|error| BookError::Copy(Box::new(error)))?;
        Some(copy)
    } else {
        None
    };
    migrate(connection)?;
    Ok(copy)
}

pub(super) fn migrate(connection: &mut Connection) -> Result<(), BookError> {
    // A step that rebuilds a table runs with foreign keys off and is checked before the commit.
    connection.pragma_update(None, "foreign_keys", false)?;
    MIGRATIONS.to_latest(connection).map_err(|error| BookError::Migration(error.to_string()))?;
    connection.pragma_update(None, "foreign_keys", true)?;
    Ok(())
}

/// A name beside the book that is not taken: the day, the old version, and a number if need be.
fn free_name(path: &Path, day: chrono::NaiveDate, version: i64) -> PathBuf {
    let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    (0..)
        .map(|n: u32| {
            let number = if n == 0 { String::new() } else { format!("-{n}") };
            path.with_file_name(format!("{name}.{day}-v{version}{number}.copy"))
        })
        .find(|candidate| !candidate.exists())
        .unwrap_or_else(|| path.with_extension("copy"))
}

/// A copy by the database's own command into an empty file that only its owner may read; left
/// to its default the copy would come out readable by all.
pub(super) fn copy_to(connection: &Connection, to: &Path) -> Result<(), BookError> {
    private_file(to).map_err(|source| BookError::File { path: to.to_owned(), action: "made", source })?;
    let copied = connection.execute("VACUUM INTO ?1", [to.to_string_lossy()]);
    if copied.is_err() {
        let _ = std::fs::remove_file(to);
    }
    copied?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_steps_run_and_leave_the_version() {
        assert!(MIGRATIONS.validate().is_ok());
        let mut connection = Connection::open_in_memory().unwrap();
        migrate(&mut connection).unwrap();
        let version: i64 = connection.pragma_query_value(None, "user_version", |row| row.get(0)).unwrap();
        assert_eq!(version, VERSION);
    }

    #[cfg(unix)]
    #[test]
    fn a_book_and_its_copy_are_for_the_owner_only() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let (path, copy) = (folder.path().join("a book.db"), folder.path().join("copy.db"));
        let mut connection = create(&path).unwrap();
        migrate(&mut connection).unwrap();
        copy_to(&connection, &copy).unwrap();
        for file in [&path, &copy] {
            assert_eq!(std::fs::metadata(file).unwrap().permissions().mode() & 0o777, 0o600);
        }
        assert!(open(&copy).is_ok());
        assert!(matches!(copy_to(&connection, &copy), Err(BookError::File { .. })));
    }

    #[test]
    fn an_older_book_is_copied_before_it_is_changed() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("book.db");
        let mut connection = create(&path).unwrap();
        migrate(&mut connection).unwrap();
        drop(connection);
        let day = chrono::NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
        let names = [free_name(&path, day, 1), {
            std::fs::write(free_name(&path, day, 1), "x").unwrap();
            free_name(&path, day, 1)
        }];
        assert!(names[0].ends_with("book.db.2026-03-01-v1.copy"));
        assert!(names[1].ends_with("book.db.2026-03-01-v1-1.copy"));
    }
}
