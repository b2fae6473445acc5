//! Making, opening and bringing up to date the file of a book.
#![expect(clippy::disallowed_methods, reason = "the book makes and copies its own file")]
#![expect(clippy::disallowed_types, reason = "the book is the one place that talks to the database")]

use std::fs::OpenOptions;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OpenFlags};
use rusqlite_migration::{M, Migrations};

use super::error::BookError;
use super::held::Held;

/// "FIST" in ASCII: tells our file from any other database.
const APPLICATION_ID: i64 = 0x4649_5354;

/// Landed steps are frozen; a new one is added at the end.
const STEPS: &[M<'_>] = &[
    M::up(include_str!("../../migrations/0001_book.sql")),
    M::up(include_str!("../../migrations/0002_case.sql")),
    M::up(include_str!("../../migrations/0003_questions.sql")),
    M::up(include_str!("../../migrations/0004_trust.sql")),
    M::up(include_str!("../../migrations/0005_mail.sql")),
    M::up(include_str!("../../migrations/0006_verdict.sql")),
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

/// Makes the file of a new book, empty but for its mark.
pub(super) fn create(path: &Path, patience: Duration) -> Result<(Held, Connection), BookError> {
    let file = |action, source| BookError::File { path: path.to_owned(), action, source };
    private_file(path).map_err(|source| match source.kind() {
        std::io::ErrorKind::AlreadyExists => BookError::Exists(path.to_owned()),
        _ => file("made", source),
    })?;
    let made = Held::take(path, || Ok(())).and_then(|held| {
        let connection = connect(path, patience)?;
        connection.pragma_update(None, "application_id", APPLICATION_ID)?;
        Ok((held, connection))
    });
    if made.is_err() {
        discard(path);
    }
    made
}

/// Removes a half-made book: it must not look like one.
pub(super) fn discard(path: &Path) {
    let _ = std::fs::remove_file(path);
    let _ = std::fs::remove_file(journal_of(path));
}

/// Puts the names in a folder on disk, where the platform can.
pub(super) fn sync_folder(folder: &Path) {
    if let Ok(folder) = std::fs::File::open(folder) {
        let _ = folder.sync_all();
    }
}

/// Where the database keeps the way back while it writes.
pub(super) fn journal_of(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push("-journal");
    PathBuf::from(name)
}

fn connect(path: &Path, patience: Duration) -> Result<Connection, BookError> {
    let connection = Connection::open_with_flags(
        path,
        OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX,
    )?;
    connection.busy_timeout(patience)?;
    connection.pragma_update(None, "foreign_keys", true)?;
    // What was acknowledged is on disk, also after a power cut.
    connection.pragma_update(None, "synchronous", "EXTRA")?;
    connection.pragma_update(None, "secure_delete", true)?;
    // A damaged file is told from a sound one by the database, not by a crash further on.
    connection.pragma_update(None, "cell_size_check", true)?;
    // Room for the indexes that a large import fills; it is taken only where it is needed.
    connection.pragma_update(None, "cache_size", -64_000)?;
    connection.set_prepared_statement_cache_capacity(64);
    Ok(connection)
}

/// Whether others than the owner may read the file.
pub(super) fn is_open_to_others(path: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        std::fs::metadata(path).is_ok_and(|data| data.permissions().mode() & 0o077 != 0)
    }
    #[cfg(not(unix))]
    {
        let _ = path;
        false
    }
}

/// Bytes at the head of a file by which a book is known.
const HEAD: usize = 72;

/// Whether a file begins as a book or any other database does; it must not be open here.
#[must_use]
pub fn is_a_book(path: &Path) -> bool {
    let mut head = Vec::with_capacity(HEAD);
    let read = std::fs::File::open(path).and_then(|file| file.take(HEAD as u64).read_to_end(&mut head));
    read.is_ok() && (has_magic(&head) || has_mark(&head))
}

fn has_magic(head: &[u8]) -> bool {
    head.get(..16) == Some(b"SQLite format 3\0".as_slice())
}

fn has_mark(head: &[u8]) -> bool {
    head.get(68..72) == Some((APPLICATION_ID as u32).to_be_bytes().as_slice())
}

/// Tells a book from any other file by its first bytes, before the database looks at it.
fn check_head(path: &Path) -> Result<(), BookError> {
    let file = |source: std::io::Error| match source.kind() {
        std::io::ErrorKind::NotFound => BookError::Missing(path.to_owned()),
        _ => BookError::File { path: path.to_owned(), action: "opened", source },
    };
    let data = std::fs::metadata(path).map_err(file)?;
    // Anything but a file (a folder, a pipe, a device) would be read for ever, or not at all.
    if !data.is_file() {
        return Err(BookError::NotABook(path.to_owned()));
    }
    if data.len() == 0 {
        return Err(BookError::Empty(path.to_owned()));
    }
    let mut head = Vec::with_capacity(HEAD);
    std::fs::File::open(path).and_then(|file| file.take(HEAD as u64).read_to_end(&mut head)).map_err(file)?;
    match (has_magic(&head), has_mark(&head)) {
        (true, true) => Ok(()),
        // One of the two marks alone: ours, with a damaged first page.
        (false, true) => Err(BookError::Damaged("its first bytes are not those of a database".to_owned())),
        // Ours while it was being made: the database puts it right from its journal.
        (true, false) if journal_of(path).exists() => Ok(()),
        _ => Err(BookError::NotABook(path.to_owned())),
    }
}

pub(super) fn open(path: &Path, patience: Duration) -> Result<(Held, Connection), BookError> {
    let held = Held::take(path, || check_head(path))?;
    let connection = connect(path, patience)?;
    let pragma = |name: &str| -> Result<i64, BookError> {
        Ok(connection.pragma_query_value(None, name, |row| row.get(0))?)
    };
    if pragma("application_id")? != APPLICATION_ID {
        return Err(BookError::NotABook(path.to_owned()));
    }
    let version = pragma("user_version")?;
    if version > VERSION {
        return Err(BookError::Newer { path: path.to_owned(), version, known: VERSION });
    }
    Ok((held, connection))
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
    migrate_to(connection, STEPS.len())
}

/// Brings a book to the shape of a version, which may be older than the newest.
pub(super) fn migrate_to(connection: &mut Connection, version: usize) -> Result<(), BookError> {
    // A step that rebuilds a table runs with foreign keys off and is checked before the commit.
    connection.pragma_update(None, "foreign_keys", false)?;
    MIGRATIONS.to_version(connection, version).map_err(|error| match error {
        rusqlite_migration::Error::RusqliteError { err, .. } => match BookError::from(err) {
            BookError::Database(error) => BookError::Migration(error.to_string()),
            other => other,
        },
        other => BookError::Migration(other.to_string()),
    })?;
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

/// A copy by the database's own means, one state of the book, into an empty file that only its
/// owner may read; then the copy is opened and looked through.
pub(super) fn copy_to(connection: &Connection, to: &Path) -> Result<(), BookError> {
    private_file(to).map_err(|source| BookError::File { path: to.to_owned(), action: "made", source })?;
    let copied = copy_pages(connection, to).and_then(|()| check_copy(connection, to));
    if copied.is_err() {
        discard(to);
    }
    copied
}

/// Copies every page into a file that is there already.
pub(super) fn copy_pages(connection: &Connection, to: &Path) -> Result<(), BookError> {
    let mut copy = Connection::open_with_flags(to, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    copy.pragma_update(None, "synchronous", "EXTRA")?;
    let done = Backup::new(connection, &mut copy)?.step(-1)?;
    match done {
        StepResult::Done => Ok(()),
        _ => Err(BookError::Busy),
    }
}

/// Opens a copy and looks through it.
pub(super) fn check_copy(connection: &Connection, copy: &Path) -> Result<(), BookError> {
    let opened = Connection::open_with_flags(copy, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    let bad = |what: String| BookError::BadCopy(what);
    let said: String = opened.pragma_query_value(None, "integrity_check", |row| row.get(0))?;
    if said != "ok" {
        return Err(bad(said));
    }
    for name in ["application_id", "user_version"] {
        let of = |connection: &Connection| -> Result<i64, BookError> {
            Ok(connection.pragma_query_value(None, name, |row| row.get(0))?)
        };
        let (book, there) = (of(connection)?, of(&opened)?);
        if book != there {
            return Err(bad(format!("{name} is {there}, not {book}")));
        }
    }
    if opened.prepare("PRAGMA foreign_key_check")?.exists([])? {
        return Err(bad("it names rows that are not there".to_owned()));
    }
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
        let (_held, mut connection) = create(&path, Duration::ZERO).unwrap();
        migrate(&mut connection).unwrap();
        copy_to(&connection, &copy).unwrap();
        for file in [&path, &copy] {
            assert_eq!(std::fs::metadata(file).unwrap().permissions().mode() & 0o777, 0o600);
        }
        assert!(open(&copy, Duration::ZERO).is_ok());
        assert!(matches!(copy_to(&connection, &copy), Err(BookError::File { .. })));
    }

    #[test]
    fn an_older_book_is_copied_before_it_is_changed() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("book.db");
        let (_held, mut connection) = create(&path, Duration::ZERO).unwrap();
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
