//! Guards the mail parser against mails built to exhaust it.

use std::borrow::Cow;

use super::message::MailError;

/// Most multipart headers that are obeyed; honest mails have a handful, and each costs a
/// search through the rest of the mail.
const MOST_MULTIPARTS: usize = 60;

/// Most lines that may begin a part; honest mails have some dozens at most.
const MOST_PARTS: usize = 10_000;

/// Most bytes of header lines, of the mail and all its parts; honest mails have some thousands.
const MOST_HEADERS: usize = 512 * 1024;

/// Refuses mails of so many parts or header lines that taking them apart would take seconds and
/// hundreds of megabytes.
pub(super) fn refuse_monsters(bytes: &[u8]) -> Result<(), MailError> {
    let (mut parts, mut headers) = (0, 0);
    let mut is_header = true;
    let mut lines = Lines { bytes, at: 0 };
    while let Some((start, end)) = lines.next_line() {
        let line = bytes.get(start..end).unwrap_or_default();
        if line.starts_with(b"--") {
            parts += 1;
            is_header = true;
        } else if line.trim_ascii().is_empty() {
            is_header = false;
        }
        if is_header {
            headers += line.len();
        }
    }
    if parts > MOST_PARTS {
        return Err(MailError::Monster("10,000 parts"));
    }
    if headers > MOST_HEADERS {
        return Err(MailError::Monster("512 KB of header lines"));
    }
    Ok(())
}

/// Types whose parts are mails themselves, and what they become: attached mails are counted
/// and not read, so they need not be taken apart however deep they are nested.
const NESTING: [(&[u8], &[u8]); 3] = [(b"rfc822", b"x-mail"), (b"global", b"x-mail"), (b"digest", b"x-mail")];

/// The mail with the same bytes in the same places, but for content types that would nest.
pub(super) fn shielded(bytes: &[u8]) -> Cow<'_, [u8]> {
    let mut shielded = Cow::Borrowed(bytes);
    let mut multiparts = 0;
    let mut lines = Lines { bytes, at: 0 };
    while let Some((start, end)) = lines.next_line() {
        if !names_content_type(bytes.get(start..end).unwrap_or_default()) {
            continue;
        }
        let end = lines.end_of_folded(end);
        let header = bytes.get(start..end).unwrap_or_default();
        // A boundary may hold any word, and must stay as it is.
        let type_end = match find(header, b"boundary") {
            Some(at) if !header.contains(&b'(') => at,
            _ => header.len(),
        };
        let kind = header.get(..type_end).unwrap_or_default();
        for (nesting, harmless) in NESTING {
            let mut from = 0;
            while let Some(at) = kind.get(from..).and_then(|rest| find(rest, nesting)) {
                overwrite(&mut shielded, start + from + at, harmless);
                from += at + nesting.len();
            }
        }
        if let Some(at) = find(kind, b"multipart") {
            multiparts += 1;
            if multiparts > MOST_MULTIPARTS {
                overwrite(&mut shielded, start + at, b"x-too-deep".get(..9).unwrap_or_default());
            }
        }
    }
    shielded
}

fn overwrite(bytes: &mut Cow<'_, [u8]>, at: usize, with: &[u8]) {
    if let Some(place) = bytes.to_mut().get_mut(at..at + with.len()) {
        place.copy_from_slice(with);
    }
}

/// Where `word`, in lower case, first stands in any case.
fn find(bytes: &[u8], word: &[u8]) -> Option<usize> {
    bytes.windows(word.len()).position(|window| window.eq_ignore_ascii_case(word))
}

/// Whether a line begins the header; the parser overlooks blanks anywhere in its name.
fn names_content_type(line: &[u8]) -> bool {
    const NAME: &[u8] = b"content-type";
    let mut name = line.iter().copied().filter(|byte| !byte.is_ascii_whitespace());
    let mut first = name.by_ref().skip_while(|&byte| byte == b':');
    NAME.iter().all(|&wanted| first.next().is_some_and(|byte| byte.eq_ignore_ascii_case(&wanted)))
        && first.next() == Some(b':')
}

struct Lines<'a> {
    bytes: &'a [u8],
    at: usize,
}

impl Lines<'_> {
    fn next_line(&mut self) -> Option<(usize, usize)> {
        let rest = self.bytes.get(self.at..).filter(|rest| !rest.is_empty())?;
        let length = rest.iter().position(|&byte| byte == b'\n').map_or(rest.len(), |at| at + 1);
        let start = self.at;
        self.at += length;
        Some((start, self.at))
    }

    /// The end of the header whose first line ends at `end`, its folded lines included.
    fn end_of_folded(&mut self, mut end: usize) -> usize {
        while self.bytes.get(end).is_some_and(|&byte| byte == b' ' || byte == b'\t') {
            match self.next_line() {
                Some((_, next)) => end = next,
                None => break,
            }
        }
        end
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn attached_mails_are_not_taken_apart() {
        let mail = b"Content-Type: message/\r\n RFC822\r\n\r\nContent-Type: text/plain; boundary=rfc822\r\n";
        let after = shielded(mail);
        assert_eq!(after.len(), mail.len());
        let text = String::from_utf8_lossy(&after).into_owned();
        assert!(text.contains("message/\r\n x-mail") && text.contains("boundary=rfc822"), "{text}");
    }

    #[test]
    fn an_honest_mail_stays_as_it_is() {
        let mail = b"Content-Type: multipart/mixed; boundary=\"digest\"\r\n\r\n--digest\r\nrfc822\r\n";
        assert!(matches!(shielded(mail), Cow::Borrowed(_)));
    }
}
