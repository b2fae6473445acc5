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
  fistmele strike R-1 --why \"logged to the wrong string\" --call-off 1"
)]
pub(super) struct Strike {
    /// A report such as R-1, or a reading such as R-1/2, as `report show` names it.
    what: String,
    /// Why it is struck, for whoever reads it next.
    #[arg(long, value_name = "TEXT")]
    why: String,
    /// A sign of danger that it holds and that was a mistake: the number of a sign, a symptom, or `photo`.
    #[arg(long, value_name = "SIGN")]
    call_off: Vec<String>,
}

impl Strike {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let author = session.author()?;
        let mut book = session.book()?;
        let what = strikes::Strike { id: self.what, why: self.why, call_off: self.call_off };
        let view = strikes::strike(&mut book, &what, &author)?;
        session.answer("strike/1", &view, |page, _| strike_text(page, &view))
    }
}

/// What is brought back.
#[derive(Debug, Args)]
#[command(after_help = "Example: fistmele unstrike R-1/2")]
pub(super) struct Unstrike {
    /// What was struck, such as R-1 or R-1/2.
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
