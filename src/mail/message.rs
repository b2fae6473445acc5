//! A mail: who sent it, when, and what is new in it; out of a file, out of an mbox file, or as it was
//! copied out of a mail program and pasted, with its headers or without.

use std::io::{BufRead, Read};

use chrono::NaiveDate;
use mail_parser::{Address, HeaderName, Message, MessageParser};
use thiserror::Error;

use super::form::taken_out;
use super::letter::{Letter, Passage, part_letter};
use super::lists::holds;
use super::parts::{Body, read_body, refuse_monsters, shielded};
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
    /// Name and address of whoever wrote what is passed on in it, as far as its head names them.
    pub passed_on_from: (Option<String>, Option<String>),
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
    let Letter { new, has_cut, passed_on_from, passages } = part_letter(&rest);
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
        passed_on_from: passed_on_from.map(|from| named(&from)).unwrap_or_default(),
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

/// The name and the address in a sender's line that stands in a text.
fn named(from: &str) -> (Option<String>, Option<String>) {
    let at = from.find(['<', '[', '(']).unwrap_or(from.len());
    let (name, rest) = from.split_at(at);
    let name = name.trim_matches(['"', '\'', ' ']);
    let address = rest.trim_matches(['<', '>', '[', ']', '(', ')', ' ']).trim_start_matches("mailto:");
    match (as_address(address), as_address(name)) {
        (None, Some(address)) => (None, Some(address)),
        (address, _) => (one_line(name), address),
    }
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
fn one_line(text: &str) -> Option<String> {
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

/// Reads a pasted mail. What begins with header lines is read as a stored mail is; anything else
/// is taken as the text alone, sent by `from`: an address, a name, or a name with an address.
///
/// # Errors
/// As [`read_mail`].
///
/// ```
/// use fistmele::mail::read_pasted;
///
/// let mail = read_pasted("Brace is 6 7/8, I want 7 1/2.", Some("Maelis <maelis@example.org>"))?;
/// assert_eq!(mail.from_address.as_deref(), Some("maelis@example.org"));
/// let mail = read_pasted("From: maelis@example.org\nSubject: low\n\nBrace is 6 7/8.", None)?;
/// assert_eq!(mail.text, "Brace is 6 7/8.");
/// # Ok::<(), fistmele::mail::MailError>(())
/// ```
pub fn read_pasted(text: &str, from: Option<&str>) -> Result<Mail, MailError> {
    let from = from.and_then(one_line);
    let mut mail = if has_headers(text) {
        read_mail(text.trim_start().as_bytes())?
    } else {
        let header = from.as_deref().filter(|from| from.contains('@')).unwrap_or_default();
        read_mail(
            format!("From: {header}\r\nContent-Type: text/plain; charset=utf-8\r\n\r\n{}", text.trim_start())
                .as_bytes(),
        )?
    };
    if mail.from_address.is_none() && mail.from_name.is_none() {
        mail.from_name = from;
    }
    Ok(mail)
}

impl Mail {
    /// The mail as somebody would paste it, with its own header lines and without what is attached.
    #[must_use]
    pub fn as_pasted(&self) -> String {
        let mut pasted = String::from("MIME-Version: 1.0\n");
        let name = self.from_name.as_ref().map(|name| name.replace(['\\', '"'], ""));
        match (name, &self.from_address) {
            (Some(name), Some(address)) => pasted.push_str(&format!("From: \"{name}\" <{address}>\n")),
            (None, Some(address)) => pasted.push_str(&format!("From: {address}\n")),
            _ => {}
        }
        if let Some(subject) = &self.subject {
            pasted.push_str(&format!("Subject: {subject}\n"));
        }
        if let Some(day) = self.sent_on {
            pasted.push_str(&format!("Date: {}\n", day.format("%a, %d %b %Y 12:00:00 +0000")));
        }
        if let Some((own, above)) = self.thread.split_last() {
            pasted.push_str(&format!("Message-ID: <{own}>\n"));
            let above: Vec<String> = above.iter().map(|name| format!("<{name}>")).collect();
            if !above.is_empty() {
                pasted.push_str(&format!("References: {}\n", above.join(" ")));
            }
        }
        pasted.push_str("Content-Type: text/plain; charset=utf-8\n\n");
        pasted.push_str(&self.whole);
        pasted
    }
}

fn has_headers(text: &str) -> bool {
    text.trim_start()
        .lines()
        .next()
        .and_then(|line| line.split_once(':'))
        .is_some_and(|(name, _)| holds("first-lines", &name.to_ascii_lowercase()) || name.starts_with("X-"))
}

/// Most bytes of a line that are looked at in one go.
const PIECE: u64 = 64 * 1024;

/// The mails of an mbox file, one after the other (RFC 4155), in memory for one mail at most as large as is
/// read.
///
/// A mail begins at a line `From sender day`, after an empty line or at the beginning. That it names a
/// day is looked for: a sentence that begins with "From" and was not marked by `>` is no beginning,
/// and cutting there would cut off what the archer says below.
#[derive(Debug)]
pub struct Mailbox<R> {
    reader: R,
    /// A beginning was read, and its mail was not given yet.
    begun: bool,
    ended: bool,
}

impl<R: BufRead> Mailbox<R> {
    /// Begins to read.
    pub const fn new(reader: R) -> Self {
        Self { reader, begun: false, ended: false }
    }
}

/// Whether a line begins a mail.
fn begins(line: &[u8]) -> bool {
    const MONTHS: [&str; 12] =
        ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];
    let Some(rest) = line.strip_prefix(b"From ") else { return false };
    let rest = String::from_utf8_lossy(rest);
    let time = |word: &str| {
        word.split_once(':').is_some_and(|(hour, minute)| {
            hour.parse::<u8>().is_ok() && minute.starts_with(|c: char| c.is_ascii_digit())
        })
    };
    let year = |word: &str| word.len() == 4 && word.parse::<u16>().is_ok();
    rest.split_whitespace().any(|word| MONTHS.contains(&word))
        && rest.split_whitespace().any(time)
        && rest.split_whitespace().any(year)
}

/// A line that was marked because it looks like a beginning, as it was before.
fn unmarked(line: &[u8]) -> &[u8] {
    let marks = line.iter().take_while(|byte| **byte == b'>').count();
    match line.get(marks..) {
        Some(rest) if marks > 0 && rest.starts_with(b"From ") => line.get(1..).unwrap_or(line),
        _ => line,
    }
}

impl<R: BufRead> Iterator for Mailbox<R> {
    type Item = std::io::Result<Result<Vec<u8>, MailError>>;

    fn next(&mut self) -> Option<Self::Item> {
        while !self.ended {
            let next = self.mail();
            if next.is_some() {
                return next;
            }
        }
        None
    }
}

impl<R: BufRead> Mailbox<R> {
    /// Reads up to the next beginning, or the end: nothing where no mail stands before it.
    fn mail(&mut self) -> Option<std::io::Result<Result<Vec<u8>, MailError>>> {
        let mut mail = Vec::new();
        let mut size = 0;
        let mut line = Vec::new();
        let (mut at_start, mut after_empty) = (true, true);
        loop {
            line.clear();
            match (&mut self.reader).take(PIECE).read_until(b'\n', &mut line) {
                Ok(0) => {
                    self.ended = true;
                    break;
                }
                Ok(_) => {}
                Err(error) => {
                    self.ended = true;
                    return Some(Err(error));
                }
            }
            if at_start && after_empty && begins(&line) {
                at_start = line.ends_with(b"\n");
                if std::mem::replace(&mut self.begun, true) {
                    break;
                }
                continue;
            }
            // What stands before the first beginning is of no mail.
            if self.begun {
                let piece = if at_start { unmarked(&line) } else { &line };
                size += piece.len();
                if size <= LARGEST_MAIL {
                    mail.extend_from_slice(piece);
                }
            }
            after_empty = at_start && matches!(line.as_slice(), b"\n" | b"\r\n");
            at_start = line.ends_with(b"\n");
        }
        if size > LARGEST_MAIL {
            return Some(Ok(Err(MailError::TooLarge { bytes: size })));
        }
        (!mail.trim_ascii().is_empty()).then_some(Ok(Ok(mail)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_text_without_headers_is_taken_as_it_is() {
        let mail = read_pasted("Hello: it slaps.\nDate: I had it on Friday.", None).unwrap();
        assert_eq!(mail.text, "Hello: it slaps.\nDate: I had it on Friday.");
        assert_eq!((mail.from_address, mail.from_name), (None, None));
    }

    #[test]
    fn whoever_is_named_beside_the_text_sent_it() {
        let of = |from| {
            let mail = read_pasted("It slaps.", Some(from)).unwrap();
            (mail.from_name, mail.from_address)
        };
        assert_eq!(of("a@example.org"), (None, Some("a@example.org".to_owned())));
        assert_eq!(of("Maelis Ostwick"), (Some("Maelis Ostwick".to_owned()), None));
        let forged = of("a@example.org\r\nSubject: other");
        assert!(forged.0.as_ref().is_none_or(|name| !name.contains('\n')), "{forged:?}");
    }

    #[test]
    fn a_mail_of_a_file_is_read_alike_when_it_is_pasted() {
        for raw in [
            "From: =?utf-8?q?J=C3=B8rn_=22the_Bow=22_B?= <j@example.org>\r\nSubject: =?utf-8?q?6=C2=BE?=\r\nDate: Fri, 27 Feb 2026 23:59:00 -0500\r\nContent-Type: multipart/mixed; boundary=x\r\n\r\n--x\r\nContent-Type: text/html\r\n\r\n<p>Brace is 6&frac34;.</p><blockquote>Brace height?</blockquote><p>7</p>\r\n--x\r\nContent-Type: image/png\r\n\r\nAAAA\r\n--x--\r\n",
            "Subject: low\n\nBrace is 6 7/8.\n\n> How many turns?\n\n8\n\n-----Original Message-----\nFrom: bench@example.org\n\nold",
            "From: a@example.org\n\nFrom: b@example.org\nSubject: x\n\nThat was passed on.",
        ] {
            let mail = read_mail(raw.as_bytes()).unwrap();
            let again = read_pasted(&mail.as_pasted(), None).unwrap();
            let name = mail.from_name.as_ref().map(|name| name.replace('"', ""));
            assert_eq!(again, Mail { attachments: 0, from_name: name, ..mail });
        }
    }

    #[test]
    fn nothing_is_refused() {
        assert!(matches!(read_pasted(" \n ", None), Err(MailError::NoText { .. })));
    }

    const BEGIN: &str = "From a@example.org Fri Nov 27 10:11:12 2026\n";

    fn texts(mailbox: &str) -> Vec<String> {
        Mailbox::new(mailbox.as_bytes())
            .map(|mail| String::from_utf8(mail.unwrap().unwrap()).unwrap())
            .collect()
    }

    #[test]
    fn mails_are_parted_where_one_begins_and_nowhere_else() {
        let mailbox = format!(
            "{BEGIN}Subject: one\n\nFrom the day it came\n\nFrom where I stand it cracked.\n>From me\n\n{BEGIN}Subject: two\n\nlow\n"
        );
        assert_eq!(
            texts(&mailbox),
            [
                "Subject: one\n\nFrom the day it came\n\nFrom where I stand it cracked.\nFrom me\n\n",
                "Subject: two\n\nlow\n"
            ]
        );
    }

    #[test]
    fn a_mailbox_that_is_cut_off_or_empty_gives_what_is_there() {
        assert!(texts("").is_empty());
        assert!(texts("no mailbox at all\n").is_empty());
        assert!(texts(BEGIN).is_empty());
        assert_eq!(texts(&format!("{BEGIN}Subject: on")), ["Subject: on"]);
        assert_eq!(texts(&format!("{BEGIN}{BEGIN}Subject: one\n")), ["Subject: one\n"]);
    }

    #[test]
    fn a_mail_that_is_too_large_is_told_and_the_next_is_read() {
        let large = "a".repeat(LARGEST_MAIL + 10);
        let mailbox = format!("{BEGIN}Subject: large\n\n{large}\n\n{BEGIN}Subject: small\n\nlow\n");
        let read: Vec<_> = Mailbox::new(mailbox.as_bytes()).map(Result::unwrap).collect();
        assert!(
            matches!(read.first(), Some(Err(MailError::TooLarge { bytes })) if *bytes > LARGEST_MAIL + 10)
        );
        assert_eq!(read.get(1), Some(&Ok(b"Subject: small\n\nlow\n".to_vec())));
    }
}
