//! The one guard before every file that is written where somebody says.
//!
//! Never the book, by whatever name; never what the database keeps beside a book; nothing but a
//! regular file; a file that is there only where that was asked for; never the same file twice.
#![expect(clippy::disallowed_methods, reason = "this is where files are looked at and written")]

use std::ffi::OsString;
use std::io::Write;
use std::path::{Path, PathBuf};

use super::files;
use super::session::Session;
use crate::book::{self, LOGS, Unfinished};
use crate::error::{Kind, Problem};

/// The files that one command writes, in the order in which they are named.
#[derive(Debug)]
pub(super) struct Outputs {
    book: Option<PathBuf>,
    /// Files that the command reads, or writes already.
    taken: Vec<PathBuf>,
}

/// A file that may be written.
#[derive(Debug)]
pub(super) struct Output {
    named: PathBuf,
    /// Where it is, links followed.
    place: PathBuf,
    replace: bool,
    book: Option<PathBuf>,
}

/// What may be put in the place of what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Over {
    /// Any file but a book.
    Files,
    /// Also an older copy of a book.
    Copies,
}

fn refused(named: &Path, why: &str, way_out: &str) -> Problem {
    Problem::new(Kind::Refused, format!("{} {why}", named.display()), way_out)
}

/// The way out where a name cannot be taken at all.
const OTHER: &str = "name another file; nothing was written";

/// Whether two names are those of one file, there or not yet.
fn same(one: &Path, other: &Path) -> bool {
    book::same_file(one, other)
        || matches!((place_of(one), place_of(other)), (Ok(one), Ok(other)) if one == other)
}

/// Where a file of a name is, or would be: links of folders followed, and those of the file itself
/// where it is there.
fn place_of(named: &Path) -> std::io::Result<PathBuf> {
    match std::fs::canonicalize(named) {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => (),
        done => return done,
    }
    let name = named.file_name().ok_or(std::io::ErrorKind::IsADirectory)?;
    Ok(std::fs::canonicalize(folder_of(named))?.join(name))
}

/// The folder that a file stands in.
pub(super) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

impl Outputs {
    /// The outputs of a command of this run of the program.
    pub(super) fn of(session: &Session) -> Self {
        Self { book: session.book_path().ok(), taken: Vec::new() }
    }

    /// Notes a file that the command reads: it is not written.
    pub(super) fn reads(&mut self, path: &Path) {
        if path != Path::new("-") {
            self.taken.push(path.to_owned());
        }
    }

    /// A file that the command writes. It is looked at before anything is worked out or written.
    pub(super) fn file(&mut self, named: &Path, replace: bool) -> Result<Output, Problem> {
        self.take(named, replace, Over::Files)
    }

    /// A copy of the book: it may take the place of an older copy.
    pub(super) fn copy(&mut self, named: &Path, replace: bool) -> Result<Output, Problem> {
        self.take(named, replace, Over::Copies)
    }

    /// A folder that the command fills: it is there, or the folder that it is made in is now.
    pub(super) fn folder(&self, named: &Path) -> Result<PathBuf, Problem> {
        // The outermost folder that has to be made must not have a name of the book's.
        let missing =
            named.ancestors().take_while(|folder| !folder.as_os_str().is_empty() && !folder.exists());
        if let Some(made) = missing.last() {
            let place = place_of(made).map_err(|error| Problem::file(named, "made", &error))?;
            self.output(made, place, false).check()?;
        }
        files::make_folder(folder_of(named))?;
        place_of(named).map_err(|error| Problem::file(named, "made", &error))
    }

    fn output(&self, named: &Path, place: PathBuf, replace: bool) -> Output {
        Output { named: named.to_owned(), place, replace, book: self.book.clone() }
    }

    fn take(&mut self, named: &Path, replace: bool, over: Over) -> Result<Output, Problem> {
        let place = place_of(named).map_err(|error| Problem::file(named, "written", &error))?;
        let output = self.output(named, place, replace);
        output.check()?;
        if over == Over::Files && output.place.exists() && book::is_a_book(&output.place) {
            return Err(refused(named, "is a book or a copy of one", OTHER));
        }
        if self.taken.iter().any(|taken| same(taken, &output.place)) {
            return Err(refused(named, "is already read or written by this command", OTHER));
        }
        self.taken.push(output.place.clone());
        Ok(output)
    }
}

impl Output {
    /// Where the file is, links followed.
    pub(super) fn place(&self) -> &Path {
        &self.place
    }

    /// As it was named, to tell people.
    pub(super) fn named(&self) -> &Path {
        &self.named
    }

    fn check(&self) -> Result<(), Problem> {
        let named = &self.named;
        if let Some(book) = &self.book {
            if same(&self.place, book) {
                return Err(refused(named, "is the book itself", OTHER));
            }
            for of in [Some(book.clone()), std::fs::canonicalize(book).ok()].into_iter().flatten() {
                if LOGS.iter().any(|end| same(&self.place, &book::beside(&of, end))) {
                    return Err(refused(named, "is a name that the database keeps for the book", OTHER));
                }
            }
        }
        // Of any other file too: what is written there would be taken for its log.
        if let Some(of) = log_of(&self.place).filter(|of| of.exists()) {
            return Err(refused(named, &format!("would be taken for the log of {}", of.display()), OTHER));
        }
        let there = match std::fs::symlink_metadata(&self.place) {
            Ok(there) => there,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => return Ok(()),
            Err(error) => return Err(Problem::file(named, "looked at", &error)),
        };
        if there.is_symlink() {
            return Err(refused(named, "is a link to nothing", "name the file itself; nothing was written"));
        }
        if !there.is_file() {
            return Err(refused(named, "is there already and no regular file", OTHER));
        }
        if self.replace {
            return Ok(());
        }
        let way_out = "name another file, or give --replace to put the new one in its place";
        Err(refused(named, "is there already", way_out))
    }

    /// Writes the file for its owner only, under a temporary name first; an existing one is
    /// replaced only once the new one is whole.
    pub(super) fn write(&self, bytes: &[u8]) -> Result<(), Problem> {
        let fault = |error: &std::io::Error| Problem::file(&self.named, "written", error);
        // Temporary files are made with mode 0600.
        let make = || tempfile::Builder::new().prefix(".fistmele-new-").tempfile_in(folder_of(&self.place));
        let (mut file, _unfinished) = Unfinished::begin(make).map_err(|error| fault(&error))?;
        file.write_all(bytes).and_then(|()| file.as_file().sync_all()).map_err(|error| fault(&error))?;
        // What stands there may have become another while the answer was worked out.
        self.check()?;
        let placed =
            if self.replace { file.persist(&self.place) } else { file.persist_noclobber(&self.place) };
        placed.map(drop).map_err(|error| fault(&error.error))
    }

    /// Takes back a file that was written a moment ago.
    pub(super) fn take_back(&self) {
        // If that fails too, the error that led here is the one to tell.
        let _ = std::fs::remove_file(&self.place);
    }
}

/// The file whose journal or log a name is.
fn log_of(place: &Path) -> Option<PathBuf> {
    let name = place.file_name()?.to_str()?;
    let of = LOGS.iter().find_map(|end| name.strip_suffix(end))?;
    (!of.is_empty()).then(|| place.with_file_name(OsString::from(of)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn outputs(book: &Path) -> Outputs {
        Outputs { book: Some(book.to_owned()), taken: Vec::new() }
    }

    #[test]
    fn what_became_the_book_meanwhile_is_not_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let (book, sheet) = (folder.path().join("book.db"), folder.path().join("sheet.html"));
        std::fs::write(&book, "the book").unwrap();
        let output = outputs(&book).file(&sheet, true).unwrap();
        std::fs::hard_link(&book, &sheet).unwrap();
        assert!(output.write(b"a page").unwrap_err().message.contains("the book itself"));
        assert_eq!(std::fs::read(&book).unwrap(), b"the book");
        assert_eq!(std::fs::read_dir(folder.path()).unwrap().count(), 2, "no piece of it is left");
    }

    #[test]
    fn a_file_that_appeared_meanwhile_is_not_replaced_unasked() {
        let folder = tempfile::tempdir().unwrap();
        let sheet = folder.path().join("sheet.html");
        let output = outputs(&folder.path().join("book.db")).file(&sheet, false).unwrap();
        std::fs::write(&sheet, "another's").unwrap();
        assert!(output.write(b"a page").is_err());
        assert_eq!(std::fs::read(&sheet).unwrap(), b"another's");
    }
}
