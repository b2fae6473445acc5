//! A mail: who sent it, when, and what is new in it.

use chrono::NaiveDate;
use mail_parser::{Address, HeaderName, Message, MessageParser};
use thiserror::Error;

use super::body::{Body, read_body};
use super::form::taken_out;
use super::letter::{Letter, Passage, part_letter};
use super::shield::{refuse_monsters, shielded};
use crate::trade::reply::Filled;
use crate::words::{harmless, is_unsafe};

/// Largest mail that is read, in bytes.
pub const LARGEST_MAIL: usize = 25 * 1024 * 1024;

/// Longest text that is read, bytes: with every earlier mail that it quotes.
pub(super) const LONGEST_TEXT: usize = 1024 * 1024;

/// Longest new text that is looked through, characters: as much as a report keeps.
const LONGEST_NEW: usize = 200_000;

/// Most characters of a name or subject that are kept; no honest one is longer.
const LONGEST_HEADER: usize = 200;

/// Header fields of which a mail has at least one.
const KNOWN_FIELDS: [HeaderName<'static>; 8] = [
    HeaderName::From,
    HeaderName::To,
    HeaderName::Subject,
    HeaderName::Date,
    HeaderName::Sender,
    HeaderName::MessageId,
    HeaderName::Received,
    HeaderName::ContentType,
];

/// What a mail says, as far as the workshop needs it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mail {
    /// Name of the sender.
    pub from_name: Option<String>,
    /// Address of the sender.
    pub from_address: Option<String>,
    /// Subject line.
    pub subject: Option<String>,
    /// Day of sending, as the sender's clock had it.
    pub sent_on: Option<NaiveDate>,
    /// What is new: without quoted mails and signature, tidied and harmless to print.
    pub text: String,
    /// The whole text as it came, quoted and passed-on parts in their places, harmless to print.
    pub whole: String,
    /// How many attachments there are; none is read.
    pub attachments: usize,
    /// The parts that are read, each with who says it.
    pub(super) passages: Vec<Passage>,
    /// Our form, filled in; none of its lines stands in the new text.
    pub form: Option<Filled>,
    /// What tells it from any other mail, by whatever way it came: 64 hexadecimal digits, of its own
    /// name, or of sender, day, subject and text where it has none.
    pub mark: String,
    /// The names of the mails it stands below, the first first, and its own, last; empty where it has
    /// no name.
    pub thread: Vec<String>,
}

/// Why a mail was not read, and what to do instead.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum MailError {
    /// Larger than any mail that is read.
    #[error(
        "the mail has {} MB, and at most {} are read; save it without its attachments",
        megabytes(*.bytes),
        LARGEST_MAIL / (1024 * 1024)
    )]
    TooLarge {
        /// Its size.
        bytes: usize,
    },
    /// Built like no mail that a person sends.
    #[error("the mail has more than {0}, as no honest one has; look at it and use `report add`")]
    Monster(&'static str),
    /// More text than anybody writes.
    #[error("the mail holds more than {} KB of text; look at it and use `report add` with what matters", LONGEST_TEXT / 1024)]
    TooLong,
    /// No mail at all.
    #[error(
        "this is no e-mail: it has none of the lines From, To, Subject or Date; save the mail as an \
         .eml file, or give the text alone with `report add --text`"
    )]
    NotAMail,
    /// Nothing in it can be read as text.
    #[error("the mail holds no text, only {}; look at it and use `report add`", attached(*.attachments))]
    NoText {
        /// How many attachments it has.
        attachments: usize,
    },
    /// Everything in it is an earlier mail, quoted.
    #[error("the mail says nothing new, it only quotes an earlier mail; look at it and use `report add`")]
    NothingNew {
        /// How many attachments it has.
        attachments: usize,
    },
    /// The text is encrypted.
    #[error("the mail is encrypted; decrypt it and save it again, or use `report add`")]
    Encrypted,
}

/// Bytes in whole megabytes, rounded up so that what is too large looks so.
fn megabytes(bytes: usize) -> usize {
    bytes.div_ceil(1024 * 1024)
}

fn attached(attachments: usize) -> String {
    match attachments {
        0 => "headers".to_owned(),
        1 => "1 attachment".to_owned(),
        several => format!("{several} attachments"),
    }
}

/// Reads a mail as it is stored in an .eml file.
///
/// Plain text is preferred to HTML. Broken mails are read as far as they can be.
///
/// # Errors
///
/// Refuses what is too large, what is no mail, and mails without readable new text.
pub fn read_mail(bytes: &[u8]) -> Result<Mail, MailError> {
    if bytes.len() > LARGEST_MAIL {
        return Err(MailError::TooLarge { bytes: bytes.len() });
    }
    // A byte-order mark, blank lines or the "From " line of a mailbox before the first header.
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes).trim_ascii_start();
    let bytes = without_mailbox_line(bytes);
    refuse_monsters(bytes)?;
    let shielded = shielded(bytes);
    let message = MessageParser::default().parse(shielded.as_ref()).ok_or(MailError::NotAMail)?;
    if !KNOWN_FIELDS.iter().any(|field| message.header(field.clone()).is_some()) {
        return Err(MailError::NotAMail);
    }
    let Body { text, attachments, is_encrypted, is_too_long } = read_body(&message);
    if is_too_long {
        return Err(MailError::TooLong);
    }
    let (rest, form) = taken_out(&text);
    let Letter { new, has_cut, passages } = part_letter(&rest);
    if new.chars().count() > LONGEST_NEW {
        return Err(MailError::TooLong);
    }
    if new.is_empty() && form.is_none() {
        return Err(if is_encrypted {
            MailError::Encrypted
        } else if has_cut {
            MailError::NothingNew { attachments }
        } else {
            MailError::NoText { attachments }
        });
    }
    let (from_name, from_address) = sender(&message);
    let subject = message.subject().and_then(one_line);
    let sent_on = sent_on(&message);
    let thread = thread(&message);
    let whole = harmless(&text);
    let mark = crate::words::digest(&match thread.last() {
        Some(name) => format!("name {name}"),
        None => format!("text {from_address:?} {sent_on:?} {subject:?} {whole}"),
    });
    Ok(Mail {
        from_name,
        from_address,
        subject,
        sent_on,
        text: new,
        whole,
        attachments,
        passages,
        form,
        mark,
        thread,
    })
}

/// Longest name of a mail that is kept, bytes: a line of a header (RFC 5322, section 2.1.1).
const LONGEST_NAME: usize = 998;

/// Most mails above one that are kept: the first and the last ones of a long thread.
const MOST_ABOVE: usize = 20;

/// The names of the mails that one stands below, and its own (RFC 5322, section 3.6.4).
fn thread(message: &Message<'_>) -> Vec<String> {
    let named = |text: &str| {
        let name = text.trim().trim_matches(['<', '>']);
        let plain = name.chars().all(|c| c.is_ascii_graphic() && !"<>".contains(c));
        (plain && !name.is_empty() && name.len() <= LONGEST_NAME).then(|| name.to_owned())
    };
    let Some(own) = message.message_id().and_then(named) else { return Vec::new() };
    let above = match message.references().as_text_list() {
        Some(list) if !list.is_empty() => list,
        _ => message.in_reply_to().as_text_list().unwrap_or_default(),
    };
    let mut names: Vec<String> = above.iter().filter_map(|name| named(name)).collect();
    if names.len() > MOST_ABOVE {
        names.drain(1..names.len() + 1 - MOST_ABOVE);
    }
    names.push(own);
    names
}

/// Day of sending of a mail of which no more than the headers are looked at.
#[must_use]
pub fn sent_on_of(bytes: &[u8]) -> Option<NaiveDate> {
    // Of a mail that is built to do harm the headers alone do none.
    let bytes = bytes.trim_ascii_start();
    let head = bytes.get(..bytes.len().min(LONGEST_TEXT)).unwrap_or(bytes);
    let end = head.windows(2).position(|pair| pair == b"\n\n");
    let end = end.or_else(|| head.windows(4).position(|four| four == b"\r\n\r\n")).unwrap_or(head.len());
    sent_on(&MessageParser::default().parse_headers(head.get(..end).unwrap_or(head))?)
}

fn without_mailbox_line(bytes: &[u8]) -> &[u8] {
    if !bytes.starts_with(b"From ") {
        return bytes;
    }
    bytes.iter().position(|&byte| byte == b'\n').and_then(|at| bytes.get(at + 1..)).unwrap_or(bytes)
}

fn sender(message: &Message<'_>) -> (Option<String>, Option<String>) {
    let first = |address: &Address<'_>| {
        let address = address.first()?;
        let name = address.name.as_deref().and_then(one_line);
        let mail = address.address.as_deref().and_then(as_address);
        (name.is_some() || mail.is_some()).then_some((name, mail))
    };
    [message.from(), message.sender(), message.reply_to()]
        .into_iter()
        .flatten()
        .find_map(first)
        .unwrap_or_default()
}

/// A mail address, if it has the form of one.
fn as_address(text: &str) -> Option<String> {
    let address = text.trim().trim_matches(['<', '>']);
    let (local, domain) = address.rsplit_once('@')?;
    let is_plain = address.chars().all(|c| !c.is_whitespace() && !is_unsafe(c) && !"<>\",;".contains(c));
    let fits = !local.is_empty() && !domain.is_empty() && address.len() <= 254;
    (is_plain && fits).then(|| address.to_owned())
}

/// A header value on one line, without what could forge another header or steer a terminal.
pub(super) fn one_line(text: &str) -> Option<String> {
    let spaced: String = text.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let line = spaced.split_whitespace().collect::<Vec<_>>().join(" ");
    let line: String = harmless(&line).chars().take(LONGEST_HEADER).collect();
    (!line.is_empty()).then_some(line)
}

fn sent_on(message: &Message<'_>) -> Option<NaiveDate> {
    let date = message.date()?;
    NaiveDate::from_ymd_opt(i32::from(date.year), u32::from(date.month), u32::from(date.day))
        .filter(|_| (1970..=2200).contains(&date.year))
}
