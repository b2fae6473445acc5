//! `decide`.

use clap::Args;

use super::args;
use super::session::Session;
use crate::app;
use crate::app::decide::{self, NewDecision};
use crate::error::Problem;
use crate::quantity::Measure;
use crate::show::advice;
use crate::trade::terms::TermsOf;

#[derive(Debug, Args)]
pub(super) struct Decide {
    /// The report, such as R-1.
    report: String,
    /// Why, in one line; it is kept with the decision.
    #[arg(long, value_name = "TEXT")]
    why: String,
    /// What is made is free.
    #[arg(long, conflicts_with = "paid")]
    free: bool,
    /// The archer pays for what is made.
    #[arg(long)]
    paid: bool,
    /// The string is made again.
    #[arg(long, conflicts_with = "no_remake")]
    remake: bool,
    /// The string is not made again.
    #[arg(long)]
    no_remake: bool,
    /// Full turns to put in (+) or take out (-), within the window and the bow maker's range.
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    turns: Option<String>,
    /// Loaded length of the new string, within the bow maker's range.
    #[arg(long, value_name = "M")]
    length: Option<String>,
    /// What counts under the workshop's terms.
    #[arg(long, value_name = "CAUSE", value_parser = args::terms_of())]
    cause: Option<TermsOf>,
    /// Back to what is worked out.
    #[arg(long)]
    as_worked_out: bool,
}

impl Decide {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let said = |yes: bool, no: bool| if yes { Some(true) } else { no.then_some(false) };
        let new = NewDecision {
            why: self.why,
            of: self.cause,
            free: said(self.free, self.paid),
            remake: said(self.remake, self.no_remake),
            turns: args::turns(self.turns.as_deref(), "turns")?,
            length: args::length(self.length.as_deref(), session.unit(&rules), Measure::StringLength)?,
            as_worked_out: self.as_worked_out,
        };
        let answer = decide::decide(&mut book, &self.report, &new, &session.author()?)?;
        let style = session.style(&answer.rules);
        let json = advice::json(&answer.view, &style);
        session.answer("advice/1", &json, |page, _| advice::text(page, &answer.view, &style))
    }
}
