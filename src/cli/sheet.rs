//! `sheet`.

use std::path::PathBuf;

use clap::Args;

use super::outputs::Outputs;
use super::session::Session;
use crate::app;
use crate::error::{Kind, Problem};
use crate::show::page::Meaning;
use crate::show::sheet::{self as show, Styled};
use crate::show::sums::with_cautions;

#[derive(Debug, Args)]
pub(super) struct Sheet {
    /// The report, such as R-1, or the serial of a string for its parcel.
    of: String,
    /// Write a page to print on one sheet of A4 or Letter.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    /// Replace a file that is there, once the new one is whole.
    #[arg(long, requires = "html")]
    replace: bool,
}

impl Sheet {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let output =
            self.html.as_ref().map(|path| Outputs::of(session).file(path, self.replace)).transpose()?;
        let mut book = session.book()?;
        let style = session.style(&app::rules(&mut book)?);
        let view = app::sheet::sheet(&mut book, &self.of, session.today()?)?;
        if let Some(output) = &output {
            let page = show::html(&view, &style, Styled::Inside)
                .map_err(|error| Problem::new(Kind::Fault, error.to_string(), "please report this"))?;
            output.write(page.as_bytes())?;
        }
        let json = with_cautions(&view, &view.cautions);
        session.answer("sheet/1", &json, |page, _| match &self.html {
            Some(path) => {
                page.line(
                    Meaning::Answer,
                    format!("The sheet of {} is in {}: print it at 100 %", self.of, path.display()),
                );
            }
            None => show::text(page, &view, &style),
        })
    }
}
