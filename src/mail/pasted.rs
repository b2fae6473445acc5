//! A mail that was copied out of a mail program and pasted, with its headers or without.

use super::message::{Mail, MailError, one_line, read_mail};

/// Header fields with which a pasted mail may begin.
const FIRST_LINES: [&str; 14] = [
    "from",
    "to",
    "subject",
    "date",
    "sent",
    "reply-to",
    "return-path",
    "received",
    "delivered-to",
    "message-id",
    "mime-version",
    "content-type",
    "dkim-signature",
    "authentication-results",
];

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
    text.trim_start().lines().next().and_then(|line| line.split_once(':')).is_some_and(|(name, _)| {
        FIRST_LINES.contains(&name.to_ascii_lowercase().as_str()) || name.starts_with("X-")
    })
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
}
