//! `remake`, `remake sent`, `remake back`, `settle`, `resume`, `due`.

use clap::{Args, Subcommand};

use super::args;
use super::session::Session;
use crate::app;
use crate::app::cases::{self as use_cases, NewRemake};
use crate::app::settle;
use crate::error::{Kind, Problem};
use crate::quantity::Measure;
use crate::show::{cases as show, records};
use crate::trade::plausible::STRANDS;
use crate::trade::words::{Cause, Outcome};

#[derive(Debug, Args)]
#[command(
    args_conflicts_with_subcommands = true,
    after_help = "Examples:
  fistmele remake R-1
  fistmele remake R-1 --length 58-1/2
  fistmele remake sent R-1
  fistmele remake back R-1"
)]
pub(super) struct RemakeCommand {
    #[command(subcommand)]
    step: Option<RemakeStep>,
    /// The report whose string is made again.
    report: Option<String>,
    /// Loaded length, where the maker decides otherwise than the readings.
    #[arg(long, value_name = "M")]
    length: Option<String>,
    /// Serial of the new string [default: the next free one].
    #[arg(long, value_name = "SERIAL")]
    serial: Option<String>,
    /// Strands of the new string [default: as many as the first].
    #[arg(long, value_name = "N")]
    strands: Option<String>,
}

#[derive(Debug, Subcommand)]
enum RemakeStep {
    /// Notes that the replacement was posted.
    Sent {
        /// The report.
        report: String,
    },
    /// Notes that the old string came back.
    Back {
        /// The report.
        report: String,
    },
}

impl RemakeCommand {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        let author = session.author()?;
        let rules = app::rules(&mut book)?;
        let view = match self.step {
            Some(RemakeStep::Sent { report }) => use_cases::sent(&mut book, &report, &author)?,
            Some(RemakeStep::Back { report }) => use_cases::back(&mut book, &report, &author)?,
            None => {
                let report = self.report.ok_or_else(|| {
                    Problem::new(
                        Kind::CommandLine,
                        "the report is missing",
                        "say which, such as: fistmele remake R-1",
                    )
                })?;
                let length =
                    args::length(self.length.as_deref(), session.unit(&rules), Measure::StringLength)?;
                let strands = args::count(self.strands.as_deref(), "strands", STRANDS)?;
                let new = NewRemake { length, serial: self.serial, strands };
                use_cases::remake(&mut book, &report, &new, &author)?
            }
        };
        let style = session.style(&rules);
        session.answer("remake/1", &view, |page, _| show::remake(page, &view, &style))
    }
}

#[derive(Debug, Args)]
pub(super) struct Settle {
    /// The report.
    report: String,
    /// What it was, where somebody knows better than the evidence.
    #[arg(long, value_name = "CAUSE", value_parser = args::cause())]
    cause: Option<Cause>,
    /// Loaded length that would have been right, where it is known.
    #[arg(long, value_name = "M")]
    right_length: Option<String>,
    /// How it ended, where what was done does not show it.
    #[arg(long, value_name = "OUTCOME", value_parser = args::outcome())]
    outcome: Option<Outcome>,
    /// You looked at what looks wrong about it (a right length against the complaint, a brace height outside
    /// the range, no letter), and it is so.
    #[arg(long)]
    sure: bool,
}

impl Settle {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let right_length =
            args::length(self.right_length.as_deref(), session.unit(&rules), Measure::StringLength)?;
        let how = settle::Settle { cause: self.cause, right_length, outcome: self.outcome, sure: self.sure };
        let view = settle::settle(&mut book, &self.report, how, &session.author()?)?;
        let style = session.style(&rules);
        session.answer("settled/1", &view, |page, _| show::settled(page, &view, &style))
    }
}

#[derive(Debug, Args)]
pub(super) struct Resume {
    /// The report.
    report: String,
}

impl Resume {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let style = session.style(&rules);
        let view = use_cases::resume(&mut book, &self.report, &session.author()?)?;
        session.answer("report/1", &view, |page, _| records::report(page, &view, &style, true))
    }
}

/// `due`.
pub(super) fn due(session: &mut Session) -> Result<(), Problem> {
    let view = use_cases::due(&mut session.book()?, session.today()?)?;
    session.answer("due/1", &view, |page, _| show::due(page, &view))
}
