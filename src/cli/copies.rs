//! The folder with the copies of the book that are made one a day: what is in it, a new one, which
//! of them go, and the one that is looked into.
#![expect(clippy::disallowed_methods, reason = "this is where files are looked at and removed")]

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use chrono::NaiveDate;

use super::files;
use super::outputs::{Outputs, folder_of};
use crate::app;
use crate::app::copies::{CopiesView, outlived};
use crate::book::{Author, Book};
use crate::error::{Kind, Problem};

/// The copies of one book.
#[derive(Debug, Clone)]
pub(super) struct Copies {
    book: PathBuf,
    folder: PathBuf,
    /// The workshop said where; such a folder is never made, for the disk may be missing.
    named: bool,
}

impl Copies {
    /// Where the workshop keeps them: the folder of its setting, else `copies` beside the book.
    pub(super) fn of(book: &Path, setting: &str) -> Self {
        let beside = folder_of(book);
        let named = !setting.is_empty();
        let folder = beside.join(if named { setting } else { "copies" });
        Self { book: book.to_owned(), folder, named }
    }

    fn name(&self) -> String {
        self.book.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
    }

    /// The copy of a day.
    pub(super) fn path(&self, day: NaiveDate) -> PathBuf {
        self.folder.join(format!("{}.{day}.copy", self.name()))
    }

    /// Days with a copy.
    pub(super) fn days(&self) -> BTreeSet<NaiveDate> {
        let before = format!("{}.", self.name());
        std::fs::read_dir(&self.folder)
            .into_iter()
            .flatten()
            .flatten()
            .filter_map(|entry| {
                let name = entry.file_name().to_str()?.to_owned();
                let day: NaiveDate = name.strip_prefix(&before)?.strip_suffix(".copy")?.parse().ok()?;
                // Another way to write the day would be another file.
                (self.path(day).file_name()? == entry.file_name()).then_some(day)
            })
            .collect()
    }

    /// What is to be said of them.
    pub(super) fn view(&self, today: NaiveDate) -> CopiesView {
        let view = CopiesView::new(self.folder.display().to_string(), &self.days(), today);
        CopiesView { same_disk: same_disk(&self.book, &self.folder), ..view }
    }

    /// Whether the folder can be reached.
    pub(super) fn can_be_reached(&self) -> bool {
        !self.named || self.folder.is_dir()
    }

    fn missing(&self) -> Problem {
        Problem::new(
            Kind::File,
            format!("the folder for the copies, {}, is not there", self.folder.display()),
            "connect its disk, make the folder, or name another with: fistmele setting set copies.folder FOLDER",
        )
    }

    /// Makes the copy of a day, if there is none, looks through it, and takes those away that have
    /// outlived their days.
    pub(super) fn make(&self, outputs: &mut Outputs, book: &Book, today: NaiveDate) -> Result<(), Problem> {
        if !self.can_be_reached() {
            return Err(self.missing());
        }
        if self.days().contains(&today) {
            return Ok(());
        }
        files::make_private_folder(&self.folder)?;
        let path = self.path(today);
        let output = outputs.copy(&path, false)?;
        book.copy_to(output.place(), false)?;
        let looked = app::verify::verify(&path, crate::book::PATIENCE)?;
        if let Some(fault) = looked.faults.first() {
            // It is tried again, and told again, until the book is put right.
            output.take_back();
            return Err(Problem::new(
                Kind::BadBook,
                format!("a copy of today would have faults: {}", fault.what),
                "see what is wrong with the book with: fistmele verify",
            ));
        }
        // Older ones go only where the newest is whole.
        for day in outlived(&self.days()) {
            let path = self.path(day);
            std::fs::remove_file(&path).map_err(|error| Problem::file(&path, "removed", &error))?;
        }
        Ok(())
    }

    /// Erases an archer who was erased from the book; gives the copies from which that was not
    /// possible, each with the reason.
    pub(super) fn forget(&self, id: &str, author: &Author) -> Vec<(PathBuf, Problem)> {
        let forget =
            |path: &Path| Book::renew_copy(path, |copy| app::forget::forget_in_copy(copy, id, author));
        self.days()
            .into_iter()
            .map(|day| self.path(day))
            .filter_map(|path| forget(&path).err().map(|error| (path, error.into())))
            .collect()
    }
}

/// Whether two places are on one disk, as far as the system tells: the partition, not the device.
fn same_disk(one: &Path, other: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let disk = |path: &Path| {
            path.ancestors()
                .map(|place| if place.as_os_str().is_empty() { Path::new(".") } else { place })
                .find_map(|place| std::fs::metadata(place).ok())
                .map(|data| data.dev())
        };
        disk(one) == disk(other)
    }
    #[cfg(not(unix))]
    {
        let disk = |path: &Path| {
            std::fs::canonicalize(path)
                .ok()
                .and_then(|path| path.components().next().map(|first| first.as_os_str().to_owned()))
        };
        disk(one) == disk(other)
    }
}
