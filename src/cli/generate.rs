//! Completions and manual pages.

use std::path::PathBuf;

use clap::Args;

use super::session::Session;
use super::{command, files};
use crate::error::{Kind, Problem};

#[derive(Debug, Args)]
pub(super) struct Completions {
    /// Which shell.
    shell: clap_complete::Shell,
}

impl Completions {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        // Generated into memory: the generator panics on a closed pipe.
        let mut bytes = Vec::new();
        clap_complete::generate(self.shell, &mut command(), "fistmele", &mut bytes);
        session.plain(&String::from_utf8_lossy(&bytes))
    }
}

#[derive(Debug, Args)]
pub(super) struct Man {
    /// Folder for the pages; made where it is missing.
    folder: PathBuf,
}

impl Man {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        files::make_folder(&self.folder)?;
        let mut command = command();
        command.build();
        let pages = write_pages(&command, &self.folder)?;
        session.plain(&format!("{pages} manual pages in {}\n", self.folder.display()))
    }
}

fn write_pages(command: &clap::Command, folder: &std::path::Path) -> Result<usize, Problem> {
    let mut bytes = Vec::new();
    let name = command.get_display_name().unwrap_or(command.get_name()).to_owned();
    clap_mangen::Man::new(command.clone())
        .title(name.clone())
        .render(&mut bytes)
        .map_err(|error| Problem::new(Kind::Fault, error.to_string(), "please report this"))?;
    files::write(&folder.join(format!("{name}.1")), &bytes)?;
    let mut pages = 1;
    for sub in command.get_subcommands().filter(|sub| !sub.is_hide_set()) {
        pages += write_pages(sub, folder)?;
    }
    Ok(pages)
}
