//! `bow edit`.

use clap::{Args, Subcommand};

use super::args::BowArgs;
use super::session::Session;
use crate::app;
use crate::error::Problem;
use crate::show::records;

#[derive(Debug, Subcommand)]
pub(super) enum Bow {
    /// Corrects the bow profile of a string.
    #[command(after_help = "Example: fistmele bow edit S-7 --tips reinforced --brace-range 7-1/2..8-1/4")]
    Edit(Edit),
}

#[derive(Debug, Args)]
pub(super) struct Edit {
    /// Serial of the string.
    serial: String,
    #[command(flatten)]
    bow: BowArgs,
}

impl Bow {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let Self::Edit(edit) = self;
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let changes = edit.bow.typed(session.unit(&rules), session)?;
        let view = app::bow::edit(&mut book, &edit.serial, &changes, &session.author()?)?;
        let style = session.style(&rules);
        session.answer("string/1", &view, |page, _| records::string(page, &view, &style))
    }
}
