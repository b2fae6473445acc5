//! `spool add/list/trace`.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::args;
use super::outputs::Outputs;
use super::session::Session;
use crate::app;
use crate::book::Spool;
use crate::error::Problem;
use crate::intake::write_csv_field_safe;
use crate::mechanics::twist::Yarn;
use crate::show::page::Meaning;
use crate::show::spools as show;

#[derive(Debug, Subcommand)]
pub(super) enum SpoolCommand {
    /// Adds a lot of yarn.
    #[command(
        after_help = "Example: fistmele spool add PE-24-7 --yarn polyester --colour \"forest\" --bought-on 2026-03-02"
    )]
    Add(Add),
    /// Lists the lots with their strings.
    #[command(after_help = "Example: fistmele spool list")]
    List,
    /// Which strings carry a lot, how they fare against the rest, and whom to warn.
    #[command(after_help = "Example: fistmele spool trace PE-24-7 --csv warn.csv")]
    Trace(Trace),
}

#[derive(Debug, Args)]
pub(super) struct Add {
    /// Name of the lot, as on the spool.
    name: String,
    /// Yarn.
    #[arg(long, value_name = "YARN", value_parser = args::yarn())]
    yarn: Yarn,
    /// Colour.
    #[arg(long, value_name = "TEXT")]
    colour: Option<String>,
    /// Day it was bought.
    #[arg(long, value_name = "DATE")]
    bought_on: Option<String>,
}

#[derive(Debug, Args)]
pub(super) struct Trace {
    /// Name of the lot.
    name: String,
    /// Write whom to warn to this file.
    #[arg(long, value_name = "FILE")]
    csv: Option<PathBuf>,
    /// Replace a file that is there, once the new one is whole.
    #[arg(long, requires = "csv")]
    replace: bool,
}

impl SpoolCommand {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        match self {
            Self::Add(add) => {
                let spool = Spool {
                    name: args::one_line(Some(add.name), "the name of a lot")?.unwrap_or_default(),
                    yarn: add.yarn,
                    colour: args::one_line(add.colour, "--colour")?,
                    bought_on: args::day(add.bought_on.as_deref())?,
                };
                let view = app::spools::add(&mut book, spool, &session.author()?)?;
                session.answer("spool/1", &view, |page, _| {
                    show::list(page, std::slice::from_ref(&view));
                })
            }
            Self::List => {
                let views = app::spools::list(&mut book)?;
                session.answer("spools/1", &views, |page, _| {
                    if views.is_empty() {
                        page.line(Meaning::Aside, "No lot of yarn yet.");
                    } else {
                        show::list(page, &views);
                    }
                })
            }
            Self::Trace(trace) => {
                let output = trace
                    .csv
                    .as_ref()
                    .map(|path| Outputs::of(session).file(path, trace.replace))
                    .transpose()?;
                let view = app::spools::trace(&mut book, &trace.name, session.today()?)?;
                if let Some(output) = &output {
                    output.write(csv(&show::warn_rows(&view)).as_bytes())?;
                }
                session.answer("spool-trace/1", &view, |page, _| {
                    show::trace(page, &view);
                    if let Some(path) = &trace.csv {
                        page.gap().line(Meaning::Plain, format!("Whom to warn is in {}", path.display()));
                    }
                })
            }
        }
    }
}

/// Rows as a file that a spreadsheet reads and takes for nothing but text.
fn csv(rows: &[Vec<String>]) -> String {
    rows.iter()
        .map(|row| {
            row.iter()
                .map(|field| args::csv_field(&write_csv_field_safe(field), ','))
                .collect::<Vec<_>>()
                .join(",")
                + "\n"
        })
        .collect()
}
