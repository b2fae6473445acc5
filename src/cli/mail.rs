//! `report mail`.

use std::path::PathBuf;

use clap::Args;

use super::session::Session;
use super::{files, prompt};
use crate::app;
use crate::app::mails::{self, SaidOfMail};
use crate::error::{Kind, Problem};
use crate::mail::read_mail;
use crate::show::mails as show;

#[derive(Debug, Args)]
pub(super) struct MailArgs {
    /// The e-mail as a file, or - for standard input.
    file: PathBuf,
    /// The string it is about, where the mail does not show it.
    #[arg(long, value_name = "SERIAL")]
    string: Option<String>,
    /// It is about each of the strings that it names, or that the order it names holds.
    #[arg(long)]
    each: bool,
    /// Log what is proposed without asking.
    #[arg(long)]
    yes: bool,
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

impl MailArgs {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let author = session.author()?;
        let unit = session.unit(&rules);
        let mail = read_mail(&files::read(&self.file)?)?;
        let mut read = mails::read(&mut book, &mail, self.string.as_deref(), unit, author.day)?;
        // Without a terminal, or when the mail itself came through standard input, nobody can be asked.
        let can_ask = Session::can_ask() && self.file != std::path::Path::new("-") && !session.json();
        if can_ask && !self.yes {
            session.show(|page| show::mail(page, &read.view, unit))?;
        }
        // What is no case is noted only when a person says so.
        let confirmed = (self.yes && (read.view.is_case || self.case))
            || (can_ask
                && !self.yes
                && (read.view.string.is_some() || self.each)
                && prompt::ask("Log this? yes or no", Some("no"), |text| {
                    super::args::yes_no(text)
                        .map_err(|why| Problem::new(Kind::BadValue, why, "type yes or no"))
                })?);
        if confirmed {
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
            read.view.questions = read.questions();
        }
        session.answer("mail/1", &read.view, |page, _| {
            if !can_ask || self.yes {
                show::mail(page, &read.view, unit);
            }
            show::logged(page, &read.view);
        })
    }
}
