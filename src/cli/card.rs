//! `card`.

use std::path::PathBuf;

use clap::Args;

use super::outputs::Outputs;
use super::session::Session;
use crate::app;
use crate::error::{Kind, Problem};
use crate::show::card as show;
use crate::show::page::Meaning;
use crate::show::sums::with_cautions;

#[derive(Debug, Args)]
pub(super) struct Card {
    /// Serial of the string.
    serial: String,
    /// Write pages of A6 to print: the card, its back with the form for a reading, and the small label.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    /// Replace a file that is there, once the new one is whole.
    #[arg(long, requires = "html")]
    replace: bool,
}

impl Card {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let output =
            self.html.as_ref().map(|path| Outputs::of(session).file(path, self.replace)).transpose()?;
        let mut book = session.book()?;
        let style = session.style(&app::rules(&mut book)?);
        let view = app::card::card(&mut book, &self.serial, session.today()?)?;
        if let Some(output) = &output {
            let page = show::html(&view, &style)
                .map_err(|error| Problem::new(Kind::Fault, error.to_string(), "please report this"))?;
            output.write(page.as_bytes())?;
        }
        let json = with_cautions(&view, &view.cautions);
        session.answer("card/1", &json, |page, _| match &self.html {
            Some(path) => {
                page.line(Meaning::Answer, format!("The card of {} is in {}", view.serial, path.display()));
            }
            None => show::text(page, &view, &style),
        })
    }
}
