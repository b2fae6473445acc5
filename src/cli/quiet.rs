//! `quiet`: asking archers who never wrote.

use clap::{Args, Subcommand};

use super::args;
use super::files;
use super::session::Session;
use crate::app;
use crate::app::outgoing::Outgoing;
use crate::app::quiet::Said;
use crate::error::{Kind, Problem};
use crate::letters;
use crate::quantity::Measure;
use crate::show::before_sale;
use crate::show::page::Meaning;

#[derive(Debug, Subcommand)]
pub(super) enum QuietCommand {
    /// Whom to ask this month, as the program draws them; for an earlier month, who was asked.
    #[command(after_help = "Example: fistmele quiet list")]
    List {
        /// Which month, as YYYY-MM.
        #[arg(value_name = "YYYY-MM")]
        month: Option<String>,
    },
    /// Writes the question to one of them.
    ///
    /// The text can be replaced by a file quiet.txt in the folder `letters` beside the book.
    #[command(after_help = "Example: fistmele quiet letter S-12 > question.txt")]
    Letter {
        /// Serial of the string.
        serial: String,
        /// Show it, and note nothing: without it the letter is noted as sent, and kept.
        #[arg(long)]
        preview: bool,
    },
    /// Keeps what was answered.
    #[command(after_help = "Examples:
  fistmele quiet answer S-12 --fits
  fistmele quiet answer S-12 --turned +4
  fistmele quiet answer S-12 --brace 7-3/4
  fistmele quiet answer S-30 --card --brace 7-1/2")]
    Answer(Answer),
}

#[derive(Debug, Args)]
#[command(group = clap::ArgGroup::new("said").args(["fits", "turned", "brace"]).required(true))]
pub(super) struct Answer {
    /// Serial of the string.
    serial: String,
    /// The card that went out with the string came back by itself: nobody was asked.
    #[arg(long)]
    card: bool,
    /// It braces where it is wanted.
    #[arg(long)]
    fits: bool,
    /// Full turns that had to be put in (+) or taken out (-).
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    turned: Option<String>,
    /// The brace height it stands at.
    #[arg(long, value_name = "M")]
    brace: Option<String>,
}

impl QuietCommand {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let author = session.author()?;
        match self {
            Self::List { month } => {
                let month = app::month::month_of(month.as_deref(), author.day)?;
                let mut book = session.book()?;
                let style = session.style(&app::rules(&mut book)?);
                let view = app::quiet::list(&mut book, month, &author)?;
                session.answer("quiet/1", &view, |page, _| before_sale::quiet_text(page, &view, &style))
            }
            Self::Letter { serial, preview } => letter(session, &serial, preview),
            Self::Answer(answer) => {
                let mut book = session.book()?;
                let rules = app::rules(&mut book)?;
                let (style, unit) = (session.style(&rules), session.unit(&rules));
                let turned = args::turns(answer.turned.as_deref(), "turned")?;
                let brace = args::length(answer.brace.as_deref(), unit, Measure::Brace)?;
                let said = match (answer.fits, turned, brace) {
                    (true, ..) => Said::Fits,
                    (_, Some(turns), _) => Said::Turned(turns),
                    (_, _, Some(brace)) => Said::Brace(brace),
                    _ => {
                        return Err(Problem::new(
                            Kind::CommandLine,
                            "the answer is missing",
                            "give --fits, --turned N or --brace M",
                        ));
                    }
                };
                let view = app::quiet::answer(&mut book, &answer.serial, said, answer.card, &author)?;
                session.answer("quiet-answer/1", &view, |page, _| {
                    let words = before_sale::answer_words(&view, &style);
                    page.line(Meaning::Answer, format!("{}: {words}", view.string));
                    if view.length_error_inch.is_some_and(|error| error.abs() > 0.25) {
                        page.paragraph(
                            Meaning::Aside,
                            format!(
                                "If the archer wants it put right, log it: fistmele report add {} --symptom ...",
                                view.string
                            ),
                        );
                    }
                })
            }
        }
    }
}

fn letter(session: &mut Session, serial: &str, preview: bool) -> Result<(), Problem> {
    let mut book = session.book()?;
    let letter = app::quiet::letter(&mut book, serial)?;
    let style = session.style(&letter.rules);
    let own = files::own_letter(&book, letters::QUIET_TEMPLATE)?;
    let text = letters::quiet(&letter, &style, own.as_deref())?;
    if !preview {
        let letter = Outgoing { kind: letters::QUIET, text: &text };
        app::quiet::written(&mut book, serial, letter, &session.author()?)?;
    }
    if session.json() {
        #[derive(serde::Serialize)]
        struct LetterView<'a> {
            string: &'a str,
            noted: bool,
            text: &'a str,
        }
        return session.answer(
            "quiet-letter/1",
            &LetterView { string: &letter.question.string, noted: !preview, text: &text },
            |_, _| {},
        );
    }
    session.plain(&text)
}
