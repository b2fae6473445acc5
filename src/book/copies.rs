//! Safe copies of a book, and a book made from an export.
#![expect(clippy::disallowed_methods, reason = "the book makes and copies its own file")]

use std::path::Path;

use super::{Book, BookError, PATIENCE, Page, file, same_file};

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
        // A journal left beside the name would be played back into the new file.
        let journal = file::journal_of(to);
        if journal.exists() {
            return Err(BookError::Exists(journal));
        }
        let folder = to.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        // Temporary files are made with mode 0600.
        let temporary = tempfile::Builder::new()
            .prefix(".fistmele-copy-")
            .tempfile_in(folder)
            .map_err(|source| failed("written", source))?
            .into_temp_path();
        let copied = file::copy_pages(&self.connection, &temporary)
            .and_then(|()| file::check_copy(&self.connection, &temporary));
        if let Err(error) = copied {
            // The temporary file goes by itself; what the database put beside it does not.
            let _ = std::fs::remove_file(file::journal_of(&temporary));
            return Err(error);
        }
        let bytes = std::fs::metadata(&temporary).map_err(|source| failed("read", source))?.len();
        let placed = if replace { temporary.persist(to) } else { temporary.persist_noclobber(to) };
        placed.map_err(|error| match error.error.kind() {
            std::io::ErrorKind::AlreadyExists => BookError::Exists(to.to_owned()),
            _ => failed("written", error.error),
        })?;
        file::sync_folder(folder);
        let version = self.connection.pragma_query_value(None, "user_version", |row| row.get(0))?;
        Ok(Copied { bytes, version })
    }

    /// Makes a new book of an older or the newest version, lets `work` fill it, checks that every
    /// row named is there, and brings it up to date. Nothing is left behind if it fails.
    ///
    /// # Errors
    /// Something of that name is there already, the version is unknown, or whatever `work` fails with.
    pub fn create_filled<E: From<BookError>>(
        path: &Path,
        version: i64,
        work: impl FnOnce(&Page<'_>) -> Result<(), E>,
    ) -> Result<Self, E> {
        if version > file::VERSION {
            return Err(BookError::Newer { path: path.to_owned(), version, known: file::VERSION }.into());
        }
        let (held, connection) = file::create(path, PATIENCE)?;
        let mut book = Self { expected: None, connection, path: Some(path.to_owned()), _held: held };
        let filled = book.fill(version, work);
        if let Err(error) = filled {
            drop(book);
            file::discard(path);
            return Err(error);
        }
        Ok(book)
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
