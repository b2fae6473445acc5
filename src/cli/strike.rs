//! Striking what was noted by mistake.

use clap::Args;

use super::session::Session;
use crate::app::strikes;
use crate::error::Problem;
use crate::show::strikes::strike_text;

/// What is struck, and why.
#[derive(Debug, Args)]
#[command(
    after_help = "Nothing is deleted: it is shown struck through, and left out of whatever is worked out.
What holds a sign of danger is struck only with that sign called off by name.
Examples:
  fistmele strike R-1/2 --why \"mistyped, it was 7 5/16\"
  fistmele strike R-1 --why \"logged to the wrong string\" --call-off 1
  fistmele strike R-1/L1 --never-sent --why \"the mail was never sent\"
  fistmele strike S-1 --why \"entered twice\""
)]
pub(super) struct Strike {
    /// A report such as R-1, a reading such as R-1/2, a letter such as R-1/L1, as `report show` names
    /// them, or a string by its serial (`string:R-1` where that reads like a report).
    what: String,
    /// Why it is struck, for whoever reads it next.
    #[arg(long, value_name = "TEXT")]
    why: String,
    /// A sign of danger that it holds and that was a mistake: the number of a sign, a symptom, or `photo`.
    #[arg(long, value_name = "SIGN")]
    call_off: Vec<String>,
    /// Somebody knows that the letter never went out.
    #[arg(long)]
    never_sent: bool,
}

impl Strike {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let author = session.author()?;
        let mut book = session.book()?;
        let what = strikes::Strike {
            id: self.what,
            why: self.why,
            call_off: self.call_off,
            never_sent: self.never_sent,
        };
        let view = strikes::strike(&mut book, &what, &author)?;
        session.answer("strike/1", &view, |page, _| strike_text(page, &view))
    }
}

/// What is brought back.
#[derive(Debug, Args)]
#[command(after_help = "Example: fistmele unstrike R-1/2")]
pub(super) struct Unstrike {
    /// What was struck, such as R-1, R-1/2, R-1/L1 or S-1.
    what: String,
}

impl Unstrike {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let author = session.author()?;
        let mut book = session.book()?;
        let view = strikes::unstrike(&mut book, &self.what, &author)?;
        session.answer("strike/1", &view, |page, _| strike_text(page, &view))
    }
}
