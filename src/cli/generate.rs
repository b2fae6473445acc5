//! Completions and manual pages.

use std::path::PathBuf;

use clap::Args;

use super::outputs::Outputs;
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
    /// Replace pages that are there.
    #[arg(long)]
    replace: bool,
}

impl Man {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut command = command();
        command.build();
        let mut pages = Vec::new();
        gather_pages(&command, &mut pages)?;
        let mut outputs = Outputs::of(session);
        let folder = outputs.folder(&self.folder)?;
        files::make_folder(&folder)?;
        let places: Vec<_> = pages
            .iter()
            .map(|(name, _)| outputs.file(&folder.join(name), self.replace))
            .collect::<Result<_, _>>()?;
        for (output, (_, page)) in places.iter().zip(&pages) {
            output.write(page)?;
        }
        session.plain(&format!("{} manual pages in {}\n", pages.len(), self.folder.display()))
    }
}

/// Name and text of every page.
fn gather_pages(command: &clap::Command, pages: &mut Vec<(String, Vec<u8>)>) -> Result<(), Problem> {
    let mut bytes = Vec::new();
    let name = command.get_display_name().unwrap_or(command.get_name()).to_owned();
    clap_mangen::Man::new(command.clone())
        .title(name.clone())
        .render(&mut bytes)
        .map_err(|error| Problem::new(Kind::Fault, error.to_string(), "please report this"))?;
    pages.push((format!("{name}.1"), bytes));
    for sub in command.get_subcommands().filter(|sub| !sub.is_hide_set()) {
        gather_pages(sub, pages)?;
    }
    Ok(())
}
