//! Which books this process has open.
//!
//! Under POSIX a process loses all its locks on a file as soon as it closes any handle of it
//! (POSIX.1-2017, fcntl; "How To Corrupt An SQLite Database File", section 2.2). The database
//! minds that for its own handles. The program's own look at the first bytes of a file must not
//! come between, where another thread has the book open.
#![expect(clippy::disallowed_methods, reason = "the book looks at its own file")]

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::error::BookError;

/// What tells one file from another, whatever its names.
type Key = (u64, u64);

static HELD: Mutex<BTreeMap<Key, usize>> = Mutex::new(BTreeMap::new());

fn held() -> MutexGuard<'static, BTreeMap<Key, usize>> {
    HELD.lock().unwrap_or_else(PoisonError::into_inner)
}

fn key_of(path: &Path) -> Option<Key> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        std::fs::metadata(path).ok().map(|data| (data.dev(), data.ino()))
    }
    // Elsewhere locks belong to handles.
    #[cfg(not(unix))]
    {
        let _ = path;
        None
    }
}

/// Whether two names are those of one file that is there: links and hard links are seen through.
#[must_use]
pub fn same_file(one: &Path, other: &Path) -> bool {
    match (key_of(one), key_of(other)) {
        (Some(one), Some(other)) => one == other,
        _ => {
            matches!((std::fs::canonicalize(one), std::fs::canonicalize(other)), (Ok(one), Ok(other)) if one == other)
        }
    }
}

/// A book that is open; it must outlive the connection to it.
#[derive(Debug, Default)]
pub(super) struct Held(Option<Key>);

impl Held {
    /// Notes that a book is about to be opened. Its file is looked at first, unless it is open
    /// already: then it was looked at, and must not be closed again.
    pub(super) fn take(path: &Path, look: impl FnOnce() -> Result<(), BookError>) -> Result<Self, BookError> {
        let mut held = held();
        let Some(key) = key_of(path) else { return look().map(|()| Self(None)) };
        let count = held.entry(key).or_default();
        let looked = if *count == 0 { look() } else { Ok(()) };
        match looked {
            Ok(()) => {
                *count += 1;
                Ok(Self(Some(key)))
            }
            Err(error) => {
                held.remove(&key);
                Err(error)
            }
        }
    }
}

impl Drop for Held {
    fn drop(&mut self) {
        let Some(key) = self.0 else { return };
        let mut held = held();
        if let Some(count) = held.get_mut(&key) {
            *count -= 1;
            if *count == 0 {
                held.remove(&key);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_is_open_is_not_looked_at_again() {
        let folder = tempfile::tempdir().unwrap();
        let (path, other) = (folder.path().join("a"), folder.path().join("b"));
        std::fs::write(&path, "x").unwrap();
        std::fs::hard_link(&path, &other).unwrap();
        let mut looks = 0;
        let mut look = || {
            looks += 1;
            Ok(())
        };
        let first = Held::take(&path, &mut look).unwrap();
        let second = Held::take(&other, &mut look).unwrap();
        drop(first);
        drop(Held::take(&path, &mut look).unwrap());
        drop(second);
        drop(Held::take(&path, &mut look).unwrap());
        assert_eq!(looks, 2);
    }

    #[test]
    fn what_is_refused_is_not_held() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        std::fs::write(&path, "x").unwrap();
        let refused = || Err(BookError::NotABook(path.clone()));
        assert!(Held::take(&path, refused).is_err());
        assert!(Held::take(&path, refused).is_err(), "it is looked at again");
    }
}
