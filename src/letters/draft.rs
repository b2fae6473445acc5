//! A letter as a mail to be opened in a mail program, looked over and sent there (RFC 5322).
//!
//! It has neither day nor name of its own: the mail program gives it both when it is sent.

use mail_builder::headers::Header;
use mail_builder::headers::address::Address;
use mail_builder::headers::message_id::MessageId;
use mail_builder::headers::text::Text;
use mail_builder::mime::MimePart;

use crate::app::reports::Whose;
use crate::trade::rules::Rules;

/// A letter about a report as a draft to whoever the report is of.
#[must_use]
pub fn draft_about(whose: &Whose, rules: &Rules, text: &str) -> Vec<u8> {
    let subject = match &whose.subject {
        Some(subject) if is_answer(subject) => subject.clone(),
        Some(subject) => format!("Re: {subject}"),
        None => format!("Your bowstring {}", whose.string),
    };
    let envelope = Envelope {
        from: (!rules.email.is_empty()).then_some((rules.workshop_name.as_str(), rules.email.as_str())),
        to: whose.email.as_deref().map(|address| (whose.archer.as_deref(), address)),
        subject: &subject,
        thread: whose.thread.as_deref(),
    };
    draft(&envelope, text)
}

/// Whether a subject is that of an answer already, in the ways in which mail programs mark one.
fn is_answer(subject: &str) -> bool {
    subject
        .split_once(':')
        .is_some_and(|(mark, _)| ["re", "aw", "sv", "antw"].contains(&mark.trim().to_lowercase().as_str()))
}

/// What stands above the text of a draft.
#[derive(Debug, Clone, Copy, Default)]
struct Envelope<'a> {
    /// The workshop's name and address, as far as it has set them.
    from: Option<(&'a str, &'a str)>,
    /// The archer's name and address, as far as the book knows them.
    to: Option<(Option<&'a str>, &'a str)>,
    /// Subject.
    subject: &'a str,
    /// The names of the mails it stands below, the one it answers last, a blank between two.
    thread: Option<&'a str>,
}

/// Writes the draft. Without an address it is written all the same: the person names one.
fn draft(envelope: &Envelope<'_>, text: &str) -> Vec<u8> {
    let mut out = Vec::new();
    let mut put = |name: &str, value: &dyn Fn(&mut Vec<u8>, usize)| {
        out.extend_from_slice(name.as_bytes());
        out.extend_from_slice(b": ");
        value(&mut out, name.len() + 2);
    };
    if let Some((name, address)) = envelope.from {
        let name = (!name.is_empty()).then_some(name);
        put("From", &|out, at| Address::new_address(name, address).write_header(out, at));
    }
    if let Some((name, address)) = envelope.to {
        put("To", &|out, at| Address::new_address(name, address).write_header(out, at));
    }
    put("Subject", &|out, at| Text::new(envelope.subject).write_header(out, at));
    let names: Vec<&str> = envelope.thread.unwrap_or_default().split_whitespace().collect();
    if let Some(last) = names.last() {
        put("In-Reply-To", &|out, at| MessageId::new(*last).write_header(out, at));
        put("References", &|out, at| MessageId::new_list(names.iter().copied()).write_header(out, at));
    }
    // What is marked so is opened to be sent, not to be read; a program that does not know it shows it.
    out.extend_from_slice(b"X-Unsent: 1\r\nMIME-Version: 1.0\r\n");
    MimePart::new("text/plain", text).write_part(&mut out);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use mail_parser::MessageParser;

    const TEXT: &str = "Dear Maëlis,\n\nput in 4 turns — no more.\n\nFrom the workshop\n.\n";

    /// What another reader of mails makes of it.
    fn read_back(envelope: &Envelope<'_>, text: &str) -> (Vec<String>, String) {
        let bytes = draft(envelope, text);
        assert!(bytes.split(|byte| *byte == b'\n').all(|line| line.len() <= 998), "RFC 5322, section 2.1.1");
        let message = MessageParser::default().parse(&bytes).unwrap();
        let to = message.to().and_then(|to| to.first()).map(|to| {
            format!(
                "{:?} {:?}",
                to.name.as_deref().unwrap_or_default(),
                to.address.as_deref().unwrap_or_default()
            )
        });
        let head = vec![
            to.unwrap_or_default(),
            message.subject().unwrap_or_default().to_owned(),
            message.in_reply_to().as_text().unwrap_or_default().to_owned(),
            message.references().as_text_list().unwrap_or_default().join(" "),
        ];
        (head, message.body_text(0).unwrap().replace("\r\n", "\n"))
    }

    #[test]
    fn a_draft_is_read_back_as_it_was_written() {
        let envelope = Envelope {
            from: Some(("Weavers & Co", "work@example.org")),
            to: Some((Some("Maëlis \"M\" Ostwick, née X"), "maelis@example.org")),
            subject: "Your bowstring S-1 – Höhe",
            thread: Some("one@example.org two@example.org"),
        };
        let (head, text) = read_back(&envelope, TEXT);
        assert_eq!(
            head,
            [
                "\"Maëlis \\\"M\\\" Ostwick, née X\" \"maelis@example.org\"",
                "Your bowstring S-1 – Höhe",
                "two@example.org",
                "one@example.org two@example.org"
            ]
        );
        assert_eq!(text, TEXT);
        let draft = draft(&envelope, TEXT);
        let draft = String::from_utf8(draft).unwrap();
        assert_eq!(draft.matches("charset").count(), 1, "{draft}");
        assert!(!draft.contains("\nDate:") && !draft.contains("\nMessage-ID:"), "{draft}");
    }

    #[test]
    fn what_would_forge_a_line_does_not() {
        let envelope = Envelope {
            to: Some((Some("a\r\nBcc: b@example.org"), "x@example.org")),
            subject: "one\r\nBcc: c@example.org",
            ..Envelope::default()
        };
        let bytes = draft(&envelope, "x");
        let message = MessageParser::default().parse(&bytes).unwrap();
        assert!(message.bcc().is_none(), "{}", String::from_utf8_lossy(&bytes));
        assert_eq!(message.to().unwrap().first().unwrap().address.as_deref(), Some("x@example.org"));
    }

    #[test]
    fn without_an_address_there_is_a_draft_all_the_same() {
        let bytes = draft(&Envelope { subject: "Your bowstring", ..Envelope::default() }, "Dear archer,\n");
        let message = MessageParser::default().parse(&bytes).unwrap();
        assert!(message.to().is_none());
        assert_eq!(message.body_text(0).unwrap().trim(), "Dear archer,");
    }
}
