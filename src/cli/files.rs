//! Files read and written by the command line: read whole within a limit, written private and whole.
#![expect(clippy::disallowed_methods, reason = "this is where files are read and written")]
#![expect(clippy::disallowed_types, reason = "this is where files are read and written")]

use std::fs::File;
use std::io::{Read, Write};
use std::path::Path;

use crate::error::{Kind, Problem};

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

/// Reads a text file if it is there.
pub(super) fn read_text_if_there(path: &Path) -> Result<Option<String>, Problem> {
    if path.exists() { read_text(path).map(Some) } else { Ok(None) }
}

/// Writes a file for its owner only, under a temporary name first; an existing one is replaced
/// only once the new one is whole.
pub(super) fn write(path: &Path, bytes: &[u8]) -> Result<(), Problem> {
    let fault = |error: &std::io::Error| Problem::file(path, "written", error);
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    // Temporary files are made with mode 0600.
    let mut file = tempfile::NamedTempFile::new_in(folder).map_err(|error| fault(&error))?;
    file.write_all(bytes).and_then(|()| file.as_file().sync_all()).map_err(|error| fault(&error))?;
    file.persist(path).map_err(|error| fault(&error.error))?;
    Ok(())
}

/// Writes a new file for its owner only; a file that is there is never touched.
pub(super) fn write_new(path: &Path, bytes: &[u8]) -> Result<(), Problem> {
    let fault = |error: &std::io::Error| Problem::file(path, "written", error);
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let mut file = tempfile::NamedTempFile::new_in(folder).map_err(|error| fault(&error))?;
    file.write_all(bytes).and_then(|()| file.as_file().sync_all()).map_err(|error| fault(&error))?;
    file.persist_noclobber(path).map_err(|error| fault(&error.error))?;
    Ok(())
}

/// Takes back a file that was written a moment ago.
pub(super) fn take_back(path: &Path) {
    // If that fails too, the error that led here is the one to tell.
    let _ = std::fs::remove_file(path);
}

/// Makes a folder where it is missing.
pub(super) fn make_folder(path: &Path) -> Result<(), Problem> {
    std::fs::create_dir_all(path).map_err(|error| Problem::file(path, "made", &error))
}
