//! Files read and written by the command line: read whole within a limit, written private and whole.
#![expect(clippy::disallowed_methods, reason = "this is where files are read and written")]
#![expect(clippy::disallowed_types, reason = "this is where files are read and written")]

use std::fs::File;
use std::io::{Read, Write};
use std::path::{Path, PathBuf};

use super::outputs::folder_of;
use crate::book::{Book, Unfinished};
use crate::error::{Kind, Problem};

/// How the names of files and folders begin that are not finished yet.
const LEFTOVER: &str = ".fistmele-";

/// Largest file that is read, bytes.
const LARGEST: u64 = 1 << 30;

/// Reads a file, or standard input for `-`.
pub(super) fn read(path: &Path) -> Result<Vec<u8>, Problem> {
    let fault = |error: std::io::Error| Problem::file(path, "read", &error);
    let mut bytes = Vec::new();
    let read = if path == Path::new("-") {
        std::io::stdin().lock().take(LARGEST + 1).read_to_end(&mut bytes)
    } else {
        File::open(path).map_err(fault)?.take(LARGEST + 1).read_to_end(&mut bytes)
    };
    read.map_err(fault)?;
    if bytes.len() as u64 > LARGEST {
        return Err(Problem::new(
            Kind::BadValue,
            format!("{} is larger than 1 GiB", path.display()),
            "split it into smaller files",
        ));
    }
    Ok(bytes)
}

/// Reads a text file; what is not UTF-8 is refused.
pub(super) fn read_text(path: &Path) -> Result<String, Problem> {
    String::from_utf8(read(path)?).map_err(|error| {
        Problem::new(
            Kind::BadValue,
            format!("{} is not UTF-8 text (byte {})", path.display(), error.utf8_error().valid_up_to()),
            "save it as UTF-8 and try again",
        )
    })
}

/// The workshop's own text of a letter: the file of that name in the folder `letters` beside the
/// book, if it is there.
pub(super) fn own_letter(book: &Book, name: &str) -> Result<Option<String>, Problem> {
    let Some(folder) = book.path().and_then(Path::parent) else { return Ok(None) };
    let file = folder.join("letters").join(name);
    match std::fs::metadata(&file) {
        Ok(there) if there.is_file() => read_text(&file).map(Some),
        // A pipe or a device would be waited for, and nobody writes into it.
        Ok(_) => Err(Problem::new(
            Kind::BadValue,
            format!("{} is not a text file", file.display()),
            "put the workshop's text there as an ordinary file, or move it away to use the built-in text",
        )),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(Problem::file(&file, "read", &error)),
    }
}

/// Makes a folder where it is missing.
pub(super) fn make_folder(path: &Path) -> Result<(), Problem> {
    std::fs::create_dir_all(path).map_err(|error| Problem::file(path, "made", &error))
}

/// Makes a folder for its owner only, where it is missing.
pub(super) fn make_private_folder(path: &Path) -> Result<(), Problem> {
    let mut builder = std::fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    {
        use std::os::unix::fs::DirBuilderExt;
        builder.mode(0o700);
    }
    builder.create(path).map_err(|error| Problem::file(path, "made", &error))
}

/// Opens a file to be read bit by bit.
pub(super) fn open(path: &Path) -> std::io::Result<Box<dyn Read>> {
    // Of anything but a file there may never come anything.
    if !std::fs::metadata(path)?.is_file() {
        return Err(std::io::Error::new(std::io::ErrorKind::InvalidInput, "it is no regular file"));
    }
    Ok(Box::new(File::open(path)?))
}

/// A folder for its owner only that is filled under a temporary name beside its place.
#[derive(Debug)]
pub(super) struct NewFolder {
    temporary: tempfile::TempDir,
    place: PathBuf,
    _unfinished: Unfinished,
}

impl NewFolder {
    /// Begins a folder at a place that [`super::outputs::Outputs::folder`] gave. Where something is
    /// there already, it must be an empty folder.
    pub(super) fn begin(place: &Path) -> Result<Self, Problem> {
        let taken = match std::fs::read_dir(place) {
            Ok(mut entries) => entries.next().is_some(),
            Err(_) => place.exists(),
        };
        if taken {
            return Err(Problem::new(
                Kind::Refused,
                format!("{} is there already and not an empty folder", place.display()),
                "name a new folder; nothing was written",
            ));
        }
        let above = folder_of(place);
        let mut builder = tempfile::Builder::new();
        builder.prefix(".fistmele-export-");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            builder.permissions(std::fs::Permissions::from_mode(0o700));
        }
        let (temporary, unfinished) = Unfinished::begin(|| builder.tempdir_in(above))
            .map_err(|error| Problem::file(place, "made", &error))?;
        Ok(Self { temporary, place: place.to_owned(), _unfinished: unfinished })
    }

    /// Makes a file in it, for its owner only.
    pub(super) fn make(&self, name: &str) -> std::io::Result<Box<dyn Write>> {
        let mut options = File::options();
        options.write(true).create_new(true);
        #[cfg(unix)]
        {
            use std::os::unix::fs::OpenOptionsExt;
            options.mode(0o600);
        }
        Ok(Box::new(std::io::BufWriter::with_capacity(
            1 << 16,
            options.open(self.temporary.path().join(name))?,
        )))
    }

    /// Puts the whole folder in its place.
    pub(super) fn finish(self) -> Result<(), Problem> {
        let fault = |error: &std::io::Error| Problem::file(&self.place, "written", error);
        for entry in std::fs::read_dir(self.temporary.path()).map_err(|error| fault(&error))? {
            let synced = entry.and_then(|entry| File::open(entry.path())).and_then(|file| file.sync_all());
            synced.map_err(|error| fault(&error))?;
        }
        std::fs::rename(self.temporary.path(), &self.place).map_err(|error| fault(&error))?;
        let _ = self.temporary.keep();
        Ok(())
    }
}

/// The folders in which files beside a book lie, with the book's name there: that of its name, and
/// that of the file itself where the name is a link to it.
fn folders_of(book: &Path) -> Vec<(PathBuf, String)> {
    let mut found: Vec<(PathBuf, String)> = Vec::new();
    for path in [Some(book.to_owned()), std::fs::canonicalize(book).ok()].into_iter().flatten() {
        let folder = folder_of(&path);
        let folder = std::fs::canonicalize(folder).unwrap_or_else(|_| folder.to_owned());
        let name = path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
        if !found.iter().any(|(other, of)| *other == folder && *of == name) {
            found.push((folder, name));
        }
    }
    found
}

/// Entries of these folders that are wanted, by the book's name and their own.
fn beside(book: &Path, wanted: impl Fn(&str, &str) -> bool) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for (folder, name) in folders_of(book) {
        for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
            if wanted(&name, &entry.file_name().to_string_lossy()) {
                found.push(entry.path());
            }
        }
    }
    found.sort();
    found.dedup();
    found
}

/// Copies that this program left beside a book before it brought it up to date.
pub(super) fn copies_beside(book: &Path) -> Vec<PathBuf> {
    beside(book, |name, there| there.starts_with(&format!("{name}.")) && there.ends_with(".copy"))
}

/// What a copy, an export or a restore that was cut off has left beside a book.
pub(super) fn leftovers_beside(book: &Path) -> Vec<PathBuf> {
    beside(book, |_, there| there.starts_with(LEFTOVER))
}
