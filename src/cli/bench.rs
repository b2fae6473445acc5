//! `bench-test add`, `bench-test list` and `effects`.

use clap::{Args, Subcommand};

use super::args;
use super::session::Session;
use crate::app;
use crate::app::bench::NewBenchTest;
use crate::error::Problem;
use crate::mechanics::twist::{Construction, Yarn};
use crate::quantity::{Measure, parse_length};
use crate::show::page::Meaning;
use crate::show::records;
use crate::trade::plausible::{PLIES, STRANDS};

#[derive(Debug, Subcommand)]
pub(super) enum BenchTestCommand {
    /// Keeps a bench test: one string under the measuring load at two turn counts.
    #[command(
        after_help = "Example: fistmele bench-test add --yarn hmpe --strands 16 --turns 20 --length 60-1/2 --then-turns 40 --then-length 59-3/4 --maker RK"
    )]
    Add(Box<Add>),
    /// Lists the bench tests, newest first.
    #[command(after_help = "Example: fistmele bench-test list")]
    List,
}

#[derive(Debug, Args)]
pub(super) struct Add {
    /// Yarn.
    #[arg(long, value_name = "YARN", value_parser = args::yarn())]
    yarn: Yarn,
    /// Strands in the whole string.
    #[arg(long, value_name = "N")]
    strands: String,
    /// Plies.
    #[arg(long, value_name = "N", default_value = "2")]
    plies: String,
    /// Full turns at the first measurement.
    #[arg(long, value_name = "N")]
    turns: String,
    /// Loaded length with them.
    #[arg(long, value_name = "M")]
    length: String,
    /// Full turns at the second measurement.
    #[arg(long, value_name = "N")]
    then_turns: String,
    /// Loaded length with them.
    #[arg(long, value_name = "M")]
    then_length: String,
    /// Who tested.
    #[arg(long, value_name = "WHO")]
    maker: Option<String>,
}

impl BenchTestCommand {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let unit = session.unit(&rules);
        match self {
            Self::Add(add) => {
                let construction = Construction {
                    yarn: add.yarn,
                    strands: args::count(Some(&add.strands), "strands", STRANDS)?.unwrap_or_default(),
                    plies: args::count(Some(&add.plies), "plies", PLIES)?.unwrap_or_default(),
                };
                let new = NewBenchTest {
                    construction,
                    first: (
                        args::turn_count(Some(&add.turns), "turns")?.unwrap_or_default(),
                        parse_length(&add.length, unit, Measure::StringLength)?,
                    ),
                    second: (
                        args::turn_count(Some(&add.then_turns), "then-turns")?.unwrap_or_default(),
                        parse_length(&add.then_length, unit, Measure::StringLength)?,
                    ),
                    maker: add.maker,
                };
                let view = app::bench::add(&mut book, new, &session.author()?)?;
                session.answer("bench-test/1", &view, |page, _| {
                    records::bench_list(page, std::slice::from_ref(&view), unit);
                })
            }
            Self::List => {
                let views = app::bench::list(&mut book)?;
                session.answer("bench-tests/1", &views, |page, _| {
                    if views.is_empty() {
                        page.line(Meaning::Aside, "No bench test yet; the table of yarns is used.");
                    } else {
                        records::bench_list(page, &views, unit);
                    }
                })
            }
        }
    }
}

/// `effects`.
pub(super) fn effects(session: &mut Session) -> Result<(), Problem> {
    let mut book = session.book()?;
    let rules = app::rules(&mut book)?;
    let unit = session.unit(&rules);
    let view = app::effects::effects(&mut book)?;
    session.answer("effects/1", &view, |page, _| records::effects(page, &view, unit))
}
