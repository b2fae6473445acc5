//! `month`: the month sheet.

use std::path::PathBuf;

use clap::Args;

use super::outputs::Outputs;
use super::session::{Session, tell};
use crate::app;
use crate::error::{Kind, Problem};
use crate::show::{month, month_sentences};

#[derive(Debug, Args)]
#[command(
    after_help = "Without a month the running one, as of today. See docs/month.md for what the figures mean.
Example: fistmele month 2026-03 --html sheet.html"
)]
pub(super) struct MonthCommand {
    /// Which month, as YYYY-MM.
    #[arg(value_name = "YYYY-MM")]
    month: Option<String>,
    /// Write a page that prints on two sheets.
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
    /// Write the rows of shop, routes and bows for a spreadsheet.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Replace files that are there, once the new ones are whole.
    #[arg(long)]
    replace: bool,
}

impl MonthCommand {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut outputs = Outputs::of(session);
        let mut output =
            |path: &Option<PathBuf>| path.as_ref().map(|path| outputs.file(path, self.replace)).transpose();
        let (csv, html) = (output(&self.csv)?, output(&self.html)?);
        let today = session.today()?;
        let which = app::month::month_of(self.month.as_deref(), today)?;
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let style = session.style(&rules);
        let view = app::month::sheet(&mut book, which, today)?;
        for warning in month_sentences::warnings(&view) {
            session.warn(warning);
        }
        let fault = |message: String| Problem::new(Kind::Fault, message, "please report this");
        if let Some(output) = &csv {
            output.write(&month::csv(&view).map_err(fault)?)?;
        }
        if let Some(output) = &html {
            let page = crate::show::month_page::html(&view, &style, &rules.workshop_name).map_err(fault)?;
            output.write(page.as_bytes())?;
        }
        for path in [&self.csv, &self.html].into_iter().flatten() {
            if !session.json() {
                tell(&format!("written: {}", path.display()));
            }
        }
        session.answer("month/1", &month::json(&view, &style), |page, _| month::text(page, &view, &style))
    }
}
