//! Logging what a mail says, once somebody says so.

use super::{ReadMail, measurements};
use crate::app::error::AppError;
use crate::app::logging::{self, Logged, NewReport};
use crate::app::mails::MailView;
use crate::book::{Author, Book};
use crate::trade::words::Symptom;

/// Refuses to note a mail of somebody who was forgotten, unless a person says so.
///
/// # Errors
/// The sender was forgotten, and it is not said that the mail is noted all the same.
pub fn refuse_forgotten(view: &MailView, said: bool) -> Result<(), AppError> {
    match view.forgotten_on {
        Some(day) if !said => Err(AppError::refused(
            format!("whoever sent this mail was forgotten on {day}; nothing of it was noted"),
            "if it is to be noted all the same, say so with --although-forgotten",
        )),
        _ => Ok(()),
    }
}

/// The address that somebody says is the archer's from now on.
///
/// # Errors
/// The mail does not show where it comes from, or the book has that address of the archer.
pub fn said_new_address(view: &MailView, said: bool) -> Result<Option<String>, AppError> {
    match (&view.address, said) {
        (_, false) => Ok(None),
        (Some(address), true) if view.new_address || view.string.is_none() => Ok(Some(address.clone())),
        (Some(address), true) => Err(AppError::refused(
            format!("the book has {address} of this archer already; nothing was logged"),
            "leave --new-address out",
        )),
        (None, true) => Err(AppError::refused(
            "the mail does not show the address it comes from; nothing was logged",
            "leave --new-address out",
        )),
    }
}

/// What somebody says of a mail beside what is read out of it.
#[derive(Debug, Clone, Copy, Default)]
pub struct SaidOfMail {
    /// Nothing broken, cut or cracked, no shot without an arrow.
    pub no_danger: bool,
    /// The sender's address is the archer's from now on.
    pub new_address: bool,
}

/// Logs what was proposed, as a report or as a further reading of an open one.
///
/// # Errors
/// The string is not clear, nothing of the mail fits a report, or the book cannot be written.
pub fn log(book: &mut Book, read: &ReadMail, said: SaidOfMail, author: &Author) -> Result<Logged, AppError> {
    if !read.named.is_empty() && read.view.string.is_none() {
        return Err(AppError::refused(
            format!("which string the mail is about is not clear: {}", read.view.found_by),
            format!("say it with --string, or --each if it is about all of {}", read.named.join(", ")),
        ));
    }
    let serial = read.view.string.clone().ok_or_else(|| AppError::Refused {
        message: format!("which string the mail is about is not clear: {}", read.view.found_by),
        hints: if read.view.candidates.is_empty() {
            vec![
                "find it with: fistmele sold find NAME, and say it with --string SERIAL".to_owned(),
                "if it is not in the book, enter it first with what the archer tells: fistmele sold add --route unknown".to_owned(),
            ]
        } else {
            vec![format!("say it with --string, one of {}", read.view.candidates.join(", "))]
        },
    })?;
    logging::add(book, as_report(read, serial, said)?, author)
}

/// Logs what was proposed of each of the strings that the mail names: all of them or none.
///
/// # Errors
/// The mail does not name several strings, or as [`log`].
pub fn log_each(
    book: &mut Book,
    read: &ReadMail,
    said: SaidOfMail,
    author: &Author,
) -> Result<Vec<Logged>, AppError> {
    if read.named.is_empty() {
        return Err(AppError::refused(
            "the mail names no several strings",
            "--each is for a mail that names several, or an order that holds several; say the order with --string",
        ));
    }
    let each = read.each.iter().zip(&read.named);
    let new =
        each.map(|(read, serial)| as_report(read, serial.clone(), said)).collect::<Result<Vec<_>, _>>()?;
    logging::add_each(book, new, author)
}

fn as_report(read: &ReadMail, serial: String, said: SaidOfMail) -> Result<NewReport, AppError> {
    let symptoms: Vec<Symptom> = read.proposal.symptoms.iter().map(|found| found.value).collect();
    Ok(NewReport {
        serial,
        symptoms,
        measured: measurements(&read.proposal, &read.form),
        bow: read.proposal.bow_changes(),
        received_on: read.received_on,
        text: Some(read.view.text.clone()),
        whole: Some(read.danger()),
        no_damage: false,
        no_danger: said.no_danger,
        new_address: said_new_address(&read.view, said.new_address)?,
        fits: read.view.says_fits(),
        separate: false,
        questions: read.questions(),
        unspoken: Some(Symptom::Other),
        mail: Some(read.name.clone()),
        unit: read.unit(),
    })
}
