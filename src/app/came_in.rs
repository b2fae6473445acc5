//! Mails that came in where a mail program keeps them: which of them wait.

use std::collections::HashMap;
use std::sync::Arc;

use chrono::NaiveDate;
use serde::Serialize;

use super::error::AppError;
use super::mails::{Readings, read};
use crate::book::{Author, Book};
use crate::mail::Mail;
use crate::quantity::Unit;
use crate::trade::signs::Sign;
use crate::trade::words::MailKind;

/// Digits of a mark that are shown, enough to tell some hundred mails apart.
const SHOWN_DIGITS: usize = 10;

/// What was found where mails come in.
#[derive(Debug, Clone, Default)]
pub struct CameIn {
    /// The mails that are new enough, newest first.
    pub mails: Vec<Arc<Mail>>,
    /// What cannot be read, with its reason.
    pub unread: Vec<UnreadMail>,
    /// How many are older than is looked for.
    pub older: usize,
    /// How many more there are than are looked at in one go.
    pub left: usize,
}

impl CameIn {
    /// The mail of a mark, of which the first digits do where they are those of one mail.
    ///
    /// # Errors
    /// There is none, or there are several.
    pub fn find(&self, mark: &str) -> Result<&Mail, AppError> {
        let asked = mark.trim().to_ascii_lowercase();
        let mut found = self.mails.iter().filter(|mail| !asked.is_empty() && mail.mark.starts_with(&asked));
        let hint = "see the marks with: fistmele mails";
        match (found.next(), found.next()) {
            (Some(mail), None) => Ok(mail),
            (None, _) => Err(AppError::refused(
                format!("no mail that came in has the mark \"{}\"", crate::words::shorten(mark)),
                hint,
            )),
            (Some(_), Some(_)) => {
                Err(AppError::refused(format!("several mails have marks that begin with \"{asked}\""), hint))
            }
        }
    }
}

/// A file or mail that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct UnreadMail {
    /// Its name, without folders.
    pub file: String,
    /// Why.
    pub why: String,
}

/// A mail that waits.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WaitingMail {
    /// What it is called here.
    pub mark: String,
    /// Sender's name.
    pub from: Option<String>,
    /// Sender's address.
    pub address: Option<String>,
    /// Subject.
    pub subject: Option<String>,
    /// Day of sending.
    pub sent_on: Option<NaiveDate>,
    /// The string it seems to be about.
    pub string: Option<String>,
    /// What sort of mail it seems to be.
    pub kind: MailKind,
    /// Whether it seems to open a report.
    pub is_case: bool,
    /// Somebody may be hurt: it comes first.
    pub danger: bool,
    /// The signs of danger, with the words they were read in.
    pub signs: Vec<Sign>,
}

/// The mails that wait, and what of those that came in was not looked at.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct MailsView {
    /// Danger first, then cases, then the newest.
    pub waiting: Vec<WaitingMail>,
    /// What cannot be read.
    pub unread: Vec<UnreadMail>,
    /// How many are older than is looked for.
    pub older: usize,
    /// How many more there are than are looked at in one go.
    pub left: usize,
}

/// What was read of mails that came in, good as long as the book, the day and the unit are the same.
#[derive(Debug, Default)]
pub struct ReadBefore {
    from: Option<([i64; 4], NaiveDate, Unit)>,
    /// Of each mark what waits: nothing where a report holds the mail.
    mails: HashMap<String, Option<WaitingMail>>,
    /// What was read of each, good as long as it is the same mail.
    pub readings: Readings,
}

/// The mails that wait: neither noted nor put aside; danger first, then cases, then the newest. What was read
/// before is not read anew.
///
/// # Errors
/// The book cannot be read.
pub fn waiting(
    book: &mut Book,
    mails: &[Arc<Mail>],
    unit: Unit,
    today: NaiveDate,
    before: &mut ReadBefore,
) -> Result<Vec<WaitingMail>, AppError> {
    let from = Some((super::month::written_so_far(book)?, today, unit));
    if before.from != from {
        (before.from, before.mails) = (from, HashMap::new());
    }
    let mut read_now = HashMap::new();
    let mut waiting: Vec<WaitingMail> = Vec::new();
    for mail in mails {
        // The same mail may lie in two places.
        let mark: String = mail.mark.chars().take(SHOWN_DIGITS).collect();
        if read_now.contains_key(&mail.mark)
            || book.read(|page| Ok::<_, AppError>(!page.noted_mails(&mail.mark)?.is_empty()))?
        {
            continue;
        }
        let one = match before.mails.remove(&mail.mark) {
            Some(one) => one,
            None => {
                let view = read(book, mail, None, (unit, today), &mut before.readings)?.view;
                // It may have been pasted, without what would tell it from others.
                view.held_by.is_none().then_some(WaitingMail {
                    mark,
                    danger: !view.signs.is_empty(),
                    signs: view.signs,
                    from: view.from,
                    address: view.address,
                    subject: view.subject,
                    sent_on: view.sent_on,
                    string: view.string,
                    kind: view.kind,
                    is_case: view.is_case,
                })
            }
        };
        waiting.extend(one.clone());
        read_now.insert(mail.mark.clone(), one);
    }
    // Mails that are gone are forgotten.
    before.mails = read_now;
    waiting.sort_by_key(|mail| (!mail.danger, !mail.is_case));
    Ok(waiting)
}

/// Puts a mail aside: it waits no longer, and nothing else is noted of it.
///
/// # Errors
/// The book cannot be written.
pub fn put_aside(book: &mut Book, mail: &Mail, author: &Author) -> Result<(), AppError> {
    book.write(|page| {
        if page.noted_mails(&mail.mark)?.is_empty() {
            page.note_mail(&mail.mark, None, (None, None), author.day)?;
        }
        Ok(())
    })
}
