//! Making, opening and bringing up to date the file of a book.
#![expect(clippy::disallowed_methods, reason = "the book makes and copies its own file")]
#![expect(clippy::disallowed_types, reason = "the book is the one place that talks to the database")]

use std::fs::OpenOptions;
use std::io::{Read, Write};
use std::path::Path;
use std::time::Duration;

use rusqlite::backup::{Backup, StepResult};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};
use tempfile::TempPath;

use super::error::BookError;
use super::held::Held;
use super::unfinished::Unfinished;
use super::{digest, logs, schema};

/// "FIST" in ASCII: tells our file from any other database.
const APPLICATION_ID: i64 = 0x4649_5354;

/// Landed steps are frozen; a new one is added at the end.
pub(super) const STEPS: &[&str] = &[
    include_str!("../../migrations/0001_book.sql"),
    include_str!("../../migrations/0002_case.sql"),
    include_str!("../../migrations/0003_questions.sql"),
    include_str!("../../migrations/0004_trust.sql"),
    include_str!("../../migrations/0005_mail.sql"),
    include_str!("../../migrations/0006_verdict.sql"),
    include_str!("../../migrations/0007_signs.sql"),
    include_str!("../../migrations/0008_strength.sql"),
    include_str!("../../migrations/0009_scrub.sql"),
    include_str!("../../migrations/0010_sent.sql"),
    include_str!("../../migrations/0011_address.sql"),
    include_str!("../../migrations/0012_decision.sql"),
    include_str!("../../migrations/0013_strike.sql"),
    include_str!("../../migrations/0014_usual_turns.sql"),
    include_str!("../../migrations/0015_decision_reading.sql"),
    include_str!("../../migrations/0016_strip.sql"),
    include_str!("../../migrations/0017_asked_by.sql"),
    include_str!("../../migrations/0018_unknown.sql"),
    include_str!("../../migrations/0019_came_in.sql"),
    include_str!("../../migrations/0020_verdict_line.sql"),
    include_str!("../../migrations/0021_archer_unit.sql"),
    include_str!("../../migrations/0022_bow_told.sql"),
    include_str!("../../migrations/0023_questions.sql"),
    include_str!("../../migrations/0024_word_lists.sql"),
];

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

/// Refuses names that the database takes for something else than a file of that name: a book in
/// memory would be gone with the command, and a name with parameters is not the file it looks like.
fn refuse_no_file(path: &Path) -> Result<(), BookError> {
    let name = path.as_os_str().as_encoded_bytes();
    if name == b":memory:" || name.starts_with(b"file:") {
        return Err(BookError::NoFile(path.to_owned()));
    }
    Ok(())
}

/// Makes the file of a new book, empty but for its mark.
pub(super) fn create(path: &Path, patience: Duration) -> Result<(Held, Connection), BookError> {
    refuse_no_file(path)?;
    let file = |action, source| BookError::File { path: path.to_owned(), action, source };
    private_file(path).map_err(|source| match source.kind() {
        std::io::ErrorKind::AlreadyExists => BookError::Exists(path.to_owned()),
        _ => file("made", source),
    })?;
    let made = mark(path, patience);
    if made.is_err() {
        discard(path);
    }
    made
}

/// Makes an empty file the beginning of a book.
pub(super) fn mark(path: &Path, patience: Duration) -> Result<(Held, Connection), BookError> {
    let held = Held::take(path, || Ok(()))?;
    let connection = connect(path, patience)?;
    connection.pragma_update(None, "application_id", APPLICATION_ID)?;
    Ok((held, connection))
}

/// Removes a half-made book: it must not look like one.
pub(super) fn discard(path: &Path) {
    let _ = std::fs::remove_file(path);
    let _ = std::fs::remove_file(logs::beside(path, "-journal"));
}

/// Overwrites all that is in a file, so that nothing of it is left on the disk.
pub(super) fn overwrite(mut file: std::fs::File) -> std::io::Result<()> {
    let mut left = file.metadata()?.len();
    let zeros = vec![0_u8; 1 << 16];
    while left > 0 {
        let part = left.min(zeros.len() as u64);
        file.write_all(zeros.get(..part as usize).unwrap_or_default())?;
        left -= part;
    }
    file.sync_all()
}

/// Puts the names in a folder on disk, where the platform can.
pub(super) fn sync_folder(folder: &Path) {
    if let Ok(folder) = std::fs::File::open(folder) {
        let _ = folder.sync_all();
    }
}

/// The folder that a file is in.
pub(super) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

pub(super) fn connect(path: &Path, patience: Duration) -> Result<Connection, BookError> {
    let connection = Connection::open_with_flags(
        path,
        OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX,
    )?;
    connection.busy_timeout(patience)?;
    distrust(&connection)?;
    connection.pragma_update(None, "foreign_keys", true)?;
    // What was acknowledged is on disk, also after a power cut.
    connection.pragma_update(None, "synchronous", "EXTRA")?;
    connection.pragma_update(None, "secure_delete", true)?;
    // A damaged file is told from a sound one by the database, not by a crash further on.
    connection.pragma_update(None, "cell_size_check", true)?;
    // Room for the indexes that a large import fills; it is taken only where it is needed.
    connection.pragma_update(None, "cache_size", -48_000)?;
    connection.set_prepared_statement_cache_capacity(64);
    Ok(connection)
}

/// A file may come from anywhere: nothing that is written in it is run. A book has neither
/// triggers nor views; those of a connection are its own.
pub(super) fn distrust(connection: &Connection) -> Result<(), BookError> {
    for (config, on) in [
        (DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true),
        (DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false),
        (DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, false),
        (DbConfig::SQLITE_DBCONFIG_ENABLE_VIEW, false),
    ] {
        connection.set_db_config(config, on)?;
    }
    Ok(())
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

/// Under how many names beside this one the file is on its disk.
pub(super) fn other_names(path: &Path) -> u64 {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        std::fs::metadata(path).map_or(0, |data| data.nlink().saturating_sub(1))
    }
    #[cfg(not(unix))]
    {
        let _ = path;
        0
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
        (true, true) => logs::check(path),
        // One of the two marks alone: ours, with a damaged first page.
        (false, true) => Err(BookError::Damaged("its first bytes are not those of a database".to_owned())),
        // Ours while it was being made: the database puts it right from its journal.
        (true, false) if logs::beside(path, "-journal").exists() => Ok(()),
        _ => Err(BookError::NotABook(path.to_owned())),
    }
}

/// Opens the file of a book of whatever version, and says what is wrong with its shape.
pub(super) fn open_any(
    path: &Path,
    patience: Duration,
) -> Result<(Held, Connection, Vec<String>), BookError> {
    refuse_no_file(path)?;
    let held = Held::take(path, || check_head(path))?;
    let connection = connect(path, patience)?;
    let mark: i64 = connection.pragma_query_value(None, "application_id", |row| row.get(0))?;
    if mark != APPLICATION_ID {
        return Err(BookError::NotABook(path.to_owned()));
    }
    // One state of the file: another program may bring it up to date at this moment.
    let (version, faults) = {
        let state = connection.unchecked_transaction()?;
        let version = version_of(&state)?;
        if version > VERSION {
            return Err(BookError::Newer { path: path.to_owned(), version, known: VERSION });
        }
        (version, schema::faults(&state, version)?)
    };
    // A version that no book ever had.
    let faults = if version < 0 { vec![format!("its version is {version}")] } else { faults };
    Ok((held, connection, faults))
}

/// Opens the file of a book that has the shape of one.
pub(super) fn open(path: &Path, patience: Duration) -> Result<(Held, Connection), BookError> {
    let (held, connection, faults) = open_any(path, patience)?;
    match faults.into_iter().next() {
        Some(fault) => Err(BookError::Damaged(fault)),
        None => Ok((held, connection)),
    }
}

pub(super) fn version_of(connection: &Connection) -> Result<i64, BookError> {
    Ok(connection.pragma_query_value(None, "user_version", |row| row.get(0))?)
}

/// Brings a new book to the newest shape.
pub(super) fn migrate(connection: &mut Connection) -> Result<(), BookError> {
    migrate_to(connection, STEPS.len())
}

/// Brings a book that nobody else has to the shape of a version, which may be older than the newest.
pub(super) fn migrate_to(connection: &mut Connection, version: usize) -> Result<(), BookError> {
    // A step that rebuilds a table runs with foreign keys off and is checked before the commit.
    connection.pragma_update(None, "foreign_keys", false)?;
    let transaction = connection.transaction()?;
    let from = usize::try_from(version_of(&transaction)?).unwrap_or_default();
    take_steps(&transaction, from, version)?;
    transaction.commit().map_err(failed_step)?;
    connection.pragma_update(None, "foreign_keys", true)?;
    Ok(())
}

/// Takes the steps from one version to another, within a transaction.
pub(super) fn take_steps(transaction: &Connection, from: usize, to: usize) -> Result<(), BookError> {
    for step in STEPS.iter().take(to).skip(from) {
        transaction.execute_batch(step).map_err(failed_step)?;
    }
    if from > 0 && transaction.prepare("PRAGMA foreign_key_check")?.exists([])? {
        return Err(BookError::Migration("it names rows that are not there".to_owned()));
    }
    transaction.pragma_update(None, "user_version", to.max(from) as i64).map_err(failed_step)
}

/// Why a step could not be taken.
pub(super) fn failed_step(error: rusqlite::Error) -> BookError {
    match BookError::from(error) {
        BookError::Database(error) => BookError::Migration(error.to_string()),
        other => other,
    }
}

/// A copy by the database's own means, one state of the book, in a temporary file that only its
/// owner may read: looked through, with its digest, to be put in its place. Until it is there, its
/// note is kept.
pub(super) fn whole_copy(
    connection: &Connection,
    folder: &Path,
    prefix: &str,
) -> Result<(TempPath, Unfinished), BookError> {
    let failed = |source| BookError::File { path: folder.to_owned(), action: "written to", source };
    // Temporary files are made with mode 0600.
    let make = || tempfile::Builder::new().prefix(prefix).tempfile_in(folder);
    let (temporary, unfinished) = Unfinished::begin(make).map_err(failed)?;
    let temporary = temporary.into_temp_path();
    let copied = copy_pages(connection, &temporary)
        .and_then(|()| check_copy(connection, &temporary))
        .and_then(|()| digest::sign(&temporary).map_err(failed));
    if let Err(error) = copied {
        // The temporary file goes by itself; what the database put beside it does not.
        let _ = std::fs::remove_file(logs::beside(&temporary, "-journal"));
        return Err(error);
    }
    Ok((temporary, unfinished))
}

/// Copies every page into a file that is there already.
fn copy_pages(connection: &Connection, to: &Path) -> Result<(), BookError> {
    let mut copy = Connection::open_with_flags(to, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    copy.pragma_update(None, "synchronous", "EXTRA")?;
    let done = Backup::new(connection, &mut copy)?.step(-1)?;
    match done {
        StepResult::Done => Ok(()),
        _ => Err(BookError::Busy),
    }
}

/// Opens a copy and looks through it.
fn check_copy(connection: &Connection, copy: &Path) -> Result<(), BookError> {
    let opened = Connection::open_with_flags(copy, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
    distrust(&opened)?;
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
        let (made, _unfinished) = whole_copy(&connection, folder.path(), ".copy").unwrap();
        made.persist_noclobber(&copy).unwrap();
        for file in [&path, &copy] {
            assert_eq!(std::fs::metadata(file).unwrap().permissions().mode() & 0o777, 0o600);
        }
        assert!(open(&copy, Duration::ZERO).is_ok());
    }
}
