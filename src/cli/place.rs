//! Where a platform keeps the data of programs.
#![expect(clippy::disallowed_methods, reason = "the environment is read here")]

use std::ffi::OsString;
use std::path::PathBuf;

/// A folder that the environment names; anything but a whole path is not meant.
fn named(variable: &str) -> Option<PathBuf> {
    std::env::var_os(variable).map(PathBuf::from).filter(|path| path.is_absolute())
}

fn home() -> Option<PathBuf> {
    std::env::home_dir().filter(|path| path.is_absolute())
}

/// The folder of this program's data: as the XDG Base Directory Specification (0.8) has it on Linux
/// and its like, in Application Support on macOS, in the roaming application data on Windows.
pub(super) fn data_folder() -> Option<PathBuf> {
    let name = OsString::from("fistmele");
    if cfg!(target_os = "macos") {
        home().map(|home| home.join("Library/Application Support").join(name))
    } else if cfg!(windows) {
        named("APPDATA").map(|data| data.join(name).join("data"))
    } else {
        named("XDG_DATA_HOME")
            .or_else(|| home().map(|home| home.join(".local/share")))
            .map(|data| data.join(name))
    }
}
