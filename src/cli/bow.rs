//! `bow show/edit/same/apart`.

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
    /// Shows the bow of a string: what is known of it, its strings, and what their readings taught.
    #[command(after_help = "Example: fistmele bow show S-7")]
    Show {
        /// Serial of any of its strings.
        serial: String,
    },
    /// Says that a string is for the same bow as another string of that archer.
    ///
    /// What is known of either bow is known of the one: brace range, tips, stave, year, and what
    /// second readings with either string taught.
    #[command(after_help = "Example: fistmele bow same S-9 S-7")]
    Same {
        /// Serial of the string.
        serial: String,
        /// Serial of the string whose bow it is for.
        #[arg(value_name = "AS")]
        as_of: String,
    },
    /// Says that the bow of a string is another than that of the strings it was taken to be with.
    #[command(after_help = "Example: fistmele bow apart S-9")]
    Apart {
        /// Serial of the string.
        serial: String,
    },
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
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let style = session.style(&rules);
        let view = match self {
            Self::Show { serial } => {
                let view = app::bow::show(&mut book, &serial)?;
                return session.answer("bow/1", &view, |page, _| records::bow(page, &view, &style));
            }
            Self::Edit(edit) => {
                let changes = edit.bow.typed(session.unit(&rules), session)?;
                app::bow::edit(&mut book, &edit.serial, &changes, &session.author()?)?
            }
            Self::Same { serial, as_of } => app::bow::same(&mut book, &serial, &as_of, &session.author()?)?,
            Self::Apart { serial } => app::bow::apart(&mut book, &serial, &session.author()?)?,
        };
        session.answer("string/1", &view, |page, _| records::string(page, &view, &style))
    }
}
