//! The mails of an mbox file, one after the other (RFC 4155).
//!
//! A mail begins at a line `From sender day`, after an empty line or at the beginning. That it names a
//! day is looked for: a sentence that begins with "From" and was not marked by `>` is no beginning,
//! and cutting there would cut off what the archer says below.

use std::io::{BufRead, Read};

use super::message::{LARGEST_MAIL, MailError};

/// Most bytes of a line that are looked at in one go.
const PIECE: u64 = 64 * 1024;

/// Reads an mbox file mail by mail, in memory for one mail at most as large as is read.
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
