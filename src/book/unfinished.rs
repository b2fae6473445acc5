//! Files and folders that are being made under a temporary name: a command that is told to stop in
//! the middle takes them away before it ends. What is killed outright leaves them, and `verify` and
//! `forget` name them.
#![expect(clippy::disallowed_methods, reason = "the book takes away what it has not finished")]

use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

use super::logs::journal_of;

static BEING_MADE: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());

fn being_made() -> MutexGuard<'static, Vec<PathBuf>> {
    BEING_MADE.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Something that is being made; once this goes it is finished, or gone already.
#[derive(Debug)]
pub struct Unfinished(PathBuf);

impl Unfinished {
    /// Makes something and notes it, so that nobody who tells the program to stop comes in between.
    ///
    /// # Errors
    /// It cannot be made.
    pub fn begin<T: AsRef<Path>>(make: impl FnOnce() -> std::io::Result<T>) -> std::io::Result<(T, Self)> {
        let mut being_made = being_made();
        let made = make()?;
        let path = made.as_ref().to_owned();
        being_made.push(path.clone());
        Ok((made, Self(path)))
    }

    /// Notes that something is being made.
    #[must_use]
    pub fn note(path: &Path) -> Self {
        being_made().push(path.to_owned());
        Self(path.to_owned())
    }
}

impl Drop for Unfinished {
    fn drop(&mut self) {
        let mut being_made = being_made();
        if let Some(at) = being_made.iter().position(|path| *path == self.0) {
            being_made.swap_remove(at);
        }
    }
}

/// Takes away all that is being made, then does what ends the program: nothing is begun in between.
pub fn take_away_unfinished(end: impl FnOnce()) {
    let mut being_made = being_made();
    for path in being_made.drain(..) {
        take_away(&path);
    }
    end();
}

/// Tries at a folder in which something is still being written.
const MOST_TRIES: usize = 100;

fn take_away(path: &Path) {
    // Whether it works or not, there is nothing else to be done.
    let _ = std::fs::remove_file(journal_of(path));
    if path.is_dir() {
        // The command goes on writing until the program ends: what it puts into the folder while that
        // is being emptied would keep the folder there.
        for _ in 0..MOST_TRIES {
            if std::fs::remove_dir_all(path).is_ok() || !path.exists() {
                break;
            }
        }
    } else {
        let _ = std::fs::remove_file(path);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_finished_stays_and_what_is_not_goes() {
        let folder = tempfile::tempdir().unwrap();
        let [done, file, inner] = ["done", "file", "folder/inner"].map(|name| folder.path().join(name));
        std::fs::create_dir(folder.path().join("folder")).unwrap();
        for path in [&done, &file, &inner, &folder.path().join("file-journal")] {
            std::fs::write(path, "x").unwrap();
        }
        drop(Unfinished::note(&done));
        let _notes = [Unfinished::note(&file), Unfinished::note(inner.parent().unwrap())];
        // What other tests are making at this moment stays.
        let noted: Vec<PathBuf> =
            being_made().iter().filter(|path| path.starts_with(folder.path())).cloned().collect();
        noted.iter().for_each(|path| take_away(path));
        let left: Vec<_> =
            std::fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path()).collect();
        assert_eq!(left, [done]);
    }
}
