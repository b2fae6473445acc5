//! `report mail` and `mails`.

use std::path::{Path, PathBuf};

use clap::Args;

use super::args;
use super::letterbox::{Letterbox, place_of};
use super::session::Session;
use super::{files, prompt};
use crate::app;
use crate::app::came_in::{self, CameIn, MailsView, ReadBefore};
use crate::app::mails::{self, ReadMail, Readings, SaidOfMail};
use crate::error::{Kind, Problem};
use crate::mail::read_mail;
use crate::show::mails as show;
use crate::trade::plausible::Whole;
use crate::trade::rules::Rules;

#[derive(Debug, Args)]
pub(super) struct MailArgs {
    /// The e-mail as a file, or - for standard input.
    #[arg(required_unless_present = "came_in", conflicts_with = "came_in")]
    file: Option<PathBuf>,
    /// A mail that came in, by its mark in `mails`.
    #[arg(long, value_name = "MARK")]
    came_in: Option<String>,
    /// Where it came in [default: the setting mails.place].
    #[arg(long, value_name = "PLACE", requires = "came_in")]
    place: Option<PathBuf>,
    /// The string it is about, where the mail does not show it.
    #[arg(long, value_name = "SERIAL")]
    string: Option<String>,
    /// It is about each of the strings that it names, or that the order it names holds.
    #[arg(long)]
    each: bool,
    /// Log what is proposed without asking.
    #[arg(long)]
    yes: bool,
    /// Log what is likely too: of each thing the likeliest, as the list shows them.
    #[arg(long)]
    likely: bool,
    /// With --yes: log it although it seems to be no complaint and no answer.
    #[arg(long)]
    case: bool,
    /// You read it: nothing broken, cut or cracked, no shot without an arrow.
    #[arg(long)]
    no_danger: bool,
    /// You know it: the address it comes from is the archer's from now on, and letters go there.
    #[arg(long)]
    new_address: bool,
    /// Log it although its sender was forgotten: they wrote again, and want an answer.
    #[arg(long)]
    although_forgotten: bool,
}

/// Whether a mail is logged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum LogIt {
    No,
    Yes,
    /// With the likeliest of what is only likely.
    WithLikely,
}

impl LogIt {
    /// Asks whoever sits there; `likely` where something is likely.
    fn asked(likely: bool) -> Result<Self, Problem> {
        let question = if likely {
            "Log this? yes, no, or l for yes with the likely ones"
        } else {
            "Log this? yes or no"
        };
        prompt::ask(question, Some("no"), |text| Self::answered(text, likely))
    }

    /// What was typed at that question.
    fn answered(text: &str, likely: bool) -> Result<Self, Problem> {
        match text.trim() {
            "l" | "L" | "likely" if likely => Ok(Self::WithLikely),
            text => match super::args::yes_no(text) {
                Ok(true) => Ok(Self::Yes),
                Ok(false) => Ok(Self::No),
                Err(why) => Err(Problem::new(
                    Kind::BadValue,
                    why,
                    if likely { "type yes, no or l" } else { "type yes or no" },
                )),
            },
        }
    }
}

impl MailArgs {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let author = session.author()?;
        let unit = session.unit(&rules);
        let mail = match (&self.file, &self.came_in) {
            (Some(file), _) => read_mail(&files::read(file)?)?,
            (None, mark) => {
                let came = came_in(session, &rules, self.place.as_deref(), None)?;
                came.find(mark.as_deref().unwrap_or_default())?.clone()
            }
        };
        let mut read = mails::read(
            &mut book,
            &mail,
            self.string.as_deref(),
            (unit, author.day),
            &mut Readings::default(),
        )?;
        // Without a terminal, or when the mail itself came through standard input, nobody can be asked.
        let can_ask = Session::can_ask() && self.file.as_deref() != Some(Path::new("-")) && !session.json();
        if can_ask && !self.yes {
            session.show(|page| show::mail(page, &read.view, unit))?;
        }
        // What is no case is noted only when a person says so.
        let answer = if self.yes && (read.view.is_case || self.case) {
            LogIt::Yes
        } else if can_ask && !self.yes && (read.view.string.is_some() || self.each) {
            LogIt::asked(!self.likely && !read.view.likeliest().is_empty())?
        } else {
            LogIt::No
        };
        if answer == LogIt::WithLikely || (answer == LogIt::Yes && self.likely) {
            read.take_likeliest();
        }
        if answer != LogIt::No {
            mails::refuse_forgotten(&read.view, self.although_forgotten)?;
            let said = SaidOfMail { no_danger: self.no_danger, new_address: self.new_address };
            let all = if self.each {
                mails::log_each(&mut book, &read, said, &author)?
            } else {
                vec![mails::log(&mut book, &read, said, &author)?]
            };
            for notice in all.iter().flat_map(|logged| &logged.notices) {
                session.warn(notice.clone());
            }
            let mut reports: Vec<String> = all.into_iter().map(|logged| logged.view.report).collect();
            match self.each {
                true => read.view.reports = reports,
                false => read.view.report = reports.pop(),
            }
            // What was noted of each string is asked of each.
            let all = if self.each { read.each() } else { std::slice::from_ref(&read) };
            let mut questions: Vec<String> = Vec::new();
            for open in all.iter().flat_map(ReadMail::questions) {
                if !questions.contains(&open.question) {
                    questions.push(open.question);
                }
            }
            read.view.questions = questions;
        }
        session.answer("mail/1", &read.view, |page, _| {
            if !can_ask || self.yes {
                show::mail(page, &read.view, unit);
            }
            show::logged(page, &read.view);
        })
    }
}

/// What came in at a place, or where the workshop's setting says.
fn came_in(
    session: &Session,
    rules: &Rules,
    place: Option<&Path>,
    days: Option<u32>,
) -> Result<CameIn, Problem> {
    let place = match place {
        Some(place) => place.to_owned(),
        None => place_of(&session.book_path()?, rules).ok_or_else(|| {
            Problem::new(
                Kind::CommandLine,
                "nobody has said where mails come in",
                "name a Maildir, an mbox file or a folder of .eml files, or set it once with: fistmele setting set mails.place PLACE",
            )
        })?,
    };
    Letterbox::default().look(&place, days.unwrap_or(rules.mails_days), session.today()?)
}

#[derive(Debug, Args)]
pub(super) struct MailsArgs {
    /// Where they come in [default: the setting mails.place].
    place: Option<PathBuf>,
    /// How many days back they are looked for [default: the setting mails.days].
    #[arg(long, value_name = "N")]
    days: Option<String>,
    /// Put the mail of this mark aside: it waits no longer, and nothing else is noted.
    #[arg(long, value_name = "MARK")]
    aside: Option<String>,
}

impl MailsArgs {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let days = args::count(self.days.as_deref(), "days", Whole { low: 1, high: 3650 })?;
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let author = session.author()?;
        let came = came_in(session, &rules, self.place.as_deref(), days)?;
        if let Some(mark) = &self.aside {
            came_in::put_aside(&mut book, came.find(mark)?, &author)?;
        }
        let waiting = came_in::waiting(
            &mut book,
            &came.mails,
            session.unit(&rules),
            author.day,
            &mut ReadBefore::default(),
        )?;
        let view = MailsView { waiting, unread: came.unread, older: came.older, left: came.left };
        session.answer("mails/1", &view, |page, _| show::waiting(page, &view))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn l_takes_the_likely_ones_where_there_are_any() {
        for (text, likely, wanted) in [
            ("l", true, Some(LogIt::WithLikely)),
            (" L ", true, Some(LogIt::WithLikely)),
            ("likely", true, Some(LogIt::WithLikely)),
            ("yes", true, Some(LogIt::Yes)),
            ("no", true, Some(LogIt::No)),
            ("l", false, None),
            ("perhaps", true, None),
        ] {
            assert_eq!(LogIt::answered(text, likely).ok(), wanted, "{text:?} {likely}");
        }
        let hint = LogIt::answered("l", false).unwrap_err().hints.join(" ");
        assert_eq!(hint, "type yes or no");
    }
}
