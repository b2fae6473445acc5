//! Safe copies of a book, and a book made from an export.
#![expect(clippy::disallowed_methods, reason = "the book makes and copies its own file")]

use std::path::{Path, PathBuf};

use tempfile::TempPath;

use super::digest::{self, Said};
use super::{Book, BookError, PATIENCE, Page, Unfinished, examine, file, logs, same_file};

/// What a safe copy came to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Copied {
    /// Size of the copy, bytes.
    pub bytes: u64,
    /// Version of the book in it.
    pub version: i64,
}

impl Book {
    /// Version of a book that this program writes.
    #[must_use]
    pub const fn version() -> i64 {
        file::VERSION
    }

    /// Writes a safe copy: the database's own copy under a temporary name, looked through, then
    /// put in its place in one step. Other commands may write to the book meanwhile.
    ///
    /// # Errors
    /// A file of that name is there and `replace` is false, it is the book itself, or it cannot
    /// be written. Whatever was there before is then still there.
    pub fn copy_to(&self, to: &Path, replace: bool) -> Result<Copied, BookError> {
        let failed = |action, source| BookError::File { path: to.to_owned(), action, source };
        if let Ok(there) = std::fs::canonicalize(to) {
            let own = self.path.as_deref();
            if own.is_some_and(|own| same_file(own, &there)) {
                return Err(BookError::CopyOntoItself(to.to_owned()));
            }
            if !replace || !there.is_file() {
                return Err(BookError::Exists(to.to_owned()));
            }
        }
        // What is left beside the name would be taken for what belongs to the new file.
        if let Some(log) = logs::leftover(to) {
            return Err(BookError::Exists(log));
        }
        let folder = file::folder_of(to);
        let (temporary, _unfinished) = file::whole_copy(&self.connection, folder, ".fistmele-copy-")?;
        let bytes = std::fs::metadata(&temporary).map_err(|source| failed("read", source))?.len();
        let placed = if replace { temporary.persist(to) } else { temporary.persist_noclobber(to) };
        placed.map_err(|error| match error.error.kind() {
            std::io::ErrorKind::AlreadyExists => BookError::Exists(to.to_owned()),
            _ => failed("written", error.error),
        })?;
        file::sync_folder(folder);
        Ok(Copied { bytes, version: file::version_of(&self.connection)? })
    }

    /// Makes a new book of an older or the newest version under a temporary name, lets `work` fill
    /// it, brings it up to date and looks through it; only then it gets its name.
    ///
    /// Returns how many rows it has.
    ///
    /// # Errors
    /// Something of that name is there already, the version is unknown, what came out is not
    /// sound, or whatever `work` fails with. There is no book of that name then.
    pub fn create_filled<E: From<BookError>>(
        path: &Path,
        version: i64,
        work: impl FnOnce(&Page<'_>) -> Result<(), E>,
    ) -> Result<i64, E> {
        if version > file::VERSION {
            return Err(BookError::Newer { path: path.to_owned(), version, known: file::VERSION }.into());
        }
        let unnamed = Unnamed::begin(path)?;
        let (held, connection) = file::mark(&unnamed.temporary, PATIENCE)?;
        let mut book =
            Self { expected: None, only_read: false, connection, path: None, unscrubbed: None, _held: held };
        book.fill(version, work)?;
        drop(book);
        Ok(unnamed.finish()?)
    }

    /// Makes a new book from a copy that carries its digest, under a temporary name first.
    ///
    /// Returns how many rows it has.
    ///
    /// # Errors
    /// Something of that name is there already, or the copy is not as it was made, not sound, or
    /// of a newer program. There is no book of that name then.
    pub fn restore_copy(copy: &Path, path: &Path) -> Result<i64, BookError> {
        let unreadable = |source| BookError::File { path: copy.to_owned(), action: "read", source };
        // Nothing but a file: a pipe would be waited for.
        let is_file = std::fs::metadata(copy).map_err(unreadable)?.is_file();
        if !is_file || !file::is_a_book(copy) {
            return Err(BookError::NotABook(copy.to_owned()));
        }
        let unnamed = Unnamed::begin(path)?;
        let to = &unnamed.temporary;
        let unwritable = |source| BookError::File { path: path.to_owned(), action: "written", source };
        let mut out = std::fs::OpenOptions::new().write(true).open(to).map_err(unwritable)?;
        whole(copy, &mut out)?;
        out.sync_all().map_err(unwritable)?;
        drop(out);
        let (held, mut connection) = file::open(to, PATIENCE)?;
        file::migrate(&mut connection)?;
        drop(connection);
        drop(held);
        unnamed.finish()
    }

    /// Refuses a copy that is not as it was made.
    ///
    /// # Errors
    /// It is damaged or changed, carries no digest, or cannot be read.
    pub fn check_copy(copy: &Path) -> Result<(), BookError> {
        whole(copy, &mut std::io::sink())
    }

    /// Changes a copy and renews its digest: a new one is made under a temporary name and takes the
    /// place of the old one, whose bytes are overwritten.
    ///
    /// # Errors
    /// The copy is not as it was made, or whatever `work` fails with. The copy is as it was then.
    pub fn renew_copy<E: From<BookError>>(
        copy: &Path,
        work: impl FnOnce(&mut Self) -> Result<(), E>,
    ) -> Result<(), E> {
        let failed = |source| BookError::File { path: copy.to_owned(), action: "written", source };
        let folder = file::folder_of(copy);
        let make = || tempfile::Builder::new().prefix(".fistmele-copy-").tempfile_in(folder);
        let (mut new, _unfinished) = Unfinished::begin(make).map_err(failed)?;
        whole(copy, &mut new)?;
        let new = new.into_temp_path();
        let (held, mut connection) = file::open(&new, PATIENCE)?;
        file::migrate(&mut connection)?;
        let mut book = Self::of(connection, Some(&new), held)?;
        work(&mut book)?;
        drop(book);
        digest::sign(&new).map_err(failed)?;
        let old = std::fs::OpenOptions::new().write(true).open(copy).map_err(failed)?;
        new.persist(copy).map_err(|error| failed(error.error))?;
        file::sync_folder(folder);
        file::overwrite(old).map_err(failed)?;
        Ok(())
    }

    fn fill<E: From<BookError>>(
        &mut self,
        version: i64,
        work: impl FnOnce(&Page<'_>) -> Result<(), E>,
    ) -> Result<(), E> {
        let steps = usize::try_from(version).unwrap_or_default();
        file::migrate_to(&mut self.connection, steps)?;
        let pragma = |book: &Self, on: bool| {
            book.connection.pragma_update(None, "foreign_keys", on).map_err(BookError::from)
        };
        // Rows come table by table; what they name is checked when all are there.
        pragma(self, false)?;
        self.write(|page| {
            work(page)?;
            let mut broken = page.transaction.prepare("PRAGMA foreign_key_check").map_err(BookError::from)?;
            if broken.exists([]).map_err(BookError::from)? {
                return Err(BookError::Value("a row names another that is not there".to_owned()).into());
            }
            Ok::<(), E>(())
        })?;
        pragma(self, true)?;
        file::migrate(&mut self.connection)?;
        Ok(())
    }
}

/// Writes a copy on without its digest, which must fit.
fn whole(copy: &Path, to: &mut impl std::io::Write) -> Result<(), BookError> {
    let failed = |source| BookError::File { path: copy.to_owned(), action: "copied", source };
    match digest::read(copy, to).map_err(failed)? {
        Said::Whole => Ok(()),
        Said::Changed => Err(BookError::ChangedCopy(copy.to_owned())),
        Said::Nothing => Err(BookError::NoDigest(copy.to_owned())),
    }
}

/// A book that is being made and has no name yet.
struct Unnamed {
    temporary: TempPath,
    path: PathBuf,
    _unfinished: Unfinished,
}

impl Unnamed {
    fn begin(path: &Path) -> Result<Self, BookError> {
        if path.symlink_metadata().is_ok() {
            return Err(BookError::Exists(path.to_owned()));
        }
        if let Some(log) = logs::leftover(path) {
            return Err(BookError::Exists(log));
        }
        let folder = file::folder_of(path);
        let make = || tempfile::Builder::new().prefix(".fistmele-restore-").tempfile_in(folder);
        let failed = |source| BookError::File { path: path.to_owned(), action: "made", source };
        let (made, unfinished) = Unfinished::begin(make).map_err(failed)?;
        Ok(Self { temporary: made.into_temp_path(), path: path.to_owned(), _unfinished: unfinished })
    }

    /// Looks through the whole book and gives it its name. Returns how many rows it has.
    fn finish(self) -> Result<i64, BookError> {
        let examined = examine(&self.temporary, PATIENCE)?;
        if let Some(fault) = examined.faults.into_iter().next() {
            return Err(BookError::NotSound(fault.text));
        }
        self.temporary.persist_noclobber(&self.path).map_err(|error| match error.error.kind() {
            std::io::ErrorKind::AlreadyExists => BookError::Exists(self.path.clone()),
            _ => BookError::File { path: self.path.clone(), action: "written", source: error.error },
        })?;
        file::sync_folder(file::folder_of(&self.path));
        Ok(examined.counts.values().sum())
    }
}
