//! The text of a mail, out of its parts.

use mail_parser::decoders::base64::base64_decode;
use mail_parser::decoders::charsets::map::charset_decoder;
use mail_parser::decoders::quoted_printable::quoted_printable_decode;
use mail_parser::{Encoding, Message, MessageParser, MessagePart, MimeHeaders, PartType};

use super::html::html_to_lines;
use super::message::LONGEST_TEXT;

/// What the parts of a mail come to.
pub(super) struct Body {
    pub(super) text: String,
    pub(super) attachments: usize,
    pub(super) is_encrypted: bool,
    /// There is more text than is read.
    pub(super) is_too_long: bool,
}

/// Longest HTML that is read, bytes: pictures may stand in it as text.
const LONGEST_HTML: usize = 8 * LONGEST_TEXT;

pub(super) fn read_body(message: &Message<'_>) -> Body {
    let raw = message.raw_message.as_ref();
    let (mut text, mut is_too_long) = joined(message, &message.text_body, raw);
    if text.trim().is_empty() && !is_too_long {
        (text, is_too_long) = joined(message, &message.html_body, raw);
    }
    if text.trim().is_empty()
        && !is_too_long
        && let Some(body) = without_boundary(message, raw)
    {
        return body;
    }
    let mut taken_from_attachment = 0;
    if text.trim().is_empty() && !is_too_long {
        // Parts of a broken mail, and text of unusual kinds, stand among the attachments.
        let stray = message.attachments.iter().copied().find(|&id| is_stray_text(message, id));
        if let Some(id) = stray {
            (text, is_too_long) = joined(message, &[id], raw);
            taken_from_attachment = usize::from(!text.trim().is_empty());
        }
    }
    let attachments = message.attachments.iter().filter(|&&id| is_attachment(message, id)).count();
    let is_encrypted = message.parts.iter().any(is_encrypted);
    Body { text, attachments: attachments.saturating_sub(taken_from_attachment), is_encrypted, is_too_long }
}

/// The texts of parts, one after the other, and whether they are more than is read; then what comes
/// of them is of no use.
fn joined(message: &Message<'_>, parts: &[u32], raw: &[u8]) -> (String, bool) {
    let mut joined = String::new();
    for part in parts.iter().filter_map(|&id| message.part(id)) {
        let is_text = matches!(part.body, PartType::Text(_) | PartType::Html(_));
        let length = part.offset_end.saturating_sub(part.offset_body) as usize;
        if joined.len() > LONGEST_TEXT || (is_text && length > LONGEST_HTML) {
            return (joined, true);
        }
        let Some(text) = part_text(part, raw).filter(|text| !text.trim().is_empty()) else { continue };
        if !joined.is_empty() {
            joined.push_str("\n\n");
        }
        joined.push_str(&text);
    }
    let is_too_long = joined.len() > LONGEST_TEXT;
    (joined, is_too_long)
}

/// The other half of an alternative is no attachment; a picture inside the text is one.
fn is_attachment(message: &Message<'_>, id: u32) -> bool {
    let is_text =
        message.part(id).is_some_and(|part| matches!(part.body, PartType::Text(_) | PartType::Html(_)));
    !is_text || !(message.html_body.contains(&id) || message.text_body.contains(&id))
}

fn is_stray_text(message: &Message<'_>, id: u32) -> bool {
    message.part(id).is_some_and(|part| {
        let is_named = part.content_disposition().is_some_and(|kind| kind.is_attachment());
        matches!(part.body, PartType::Text(_) | PartType::Html(_)) && !is_named
    })
}

fn is_encrypted(part: &MessagePart<'_>) -> bool {
    part.content_type().is_some_and(|kind| {
        let subtype = kind.subtype().unwrap_or_default();
        let is_enveloped = kind.attribute("smime-type").is_none_or(|kind| kind == "enveloped-data");
        subtype == "encrypted"
            || subtype == "pgp-encrypted"
            || (is_enveloped && (subtype == "pkcs7-mime" || subtype == "x-pkcs7-mime"))
    })
}

/// The text of a multipart mail that does not say, or says wrongly, how its parts are parted.
fn without_boundary(message: &Message<'_>, raw: &[u8]) -> Option<Body> {
    let root = message.parts.first()?;
    let kind = root.content_type()?;
    if kind.ctype() != "multipart" || message.parts.len() > 1 {
        return None;
    }
    let body = raw.get(root.offset_body as usize..)?;
    let boundary = body
        .split(|&byte| byte == b'\n')
        .take(100)
        .find_map(|line| line.trim_ascii().strip_prefix(b"--"))
        .filter(|boundary| !boundary.is_empty() && boundary.len() <= 70 && !boundary.contains(&b'"'))?;
    let mut again = b"Content-Type: multipart/mixed; boundary=\"".to_vec();
    again.extend_from_slice(boundary);
    again.extend_from_slice(b"\"\r\n\r\n");
    again.extend_from_slice(body);
    let message = MessageParser::default().parse(&again)?;
    // What was added names a boundary, so this goes no deeper.
    Some(read_body(&message)).filter(|body| body.is_too_long || !body.text.trim().is_empty())
}

fn part_text(part: &MessagePart<'_>, raw: &[u8]) -> Option<String> {
    let parsed = match &part.body {
        PartType::Text(text) | PartType::Html(text) => text.as_ref(),
        _ => return None,
    };
    let charset = part.content_type().and_then(|kind| kind.attribute("charset"));
    let text =
        bytes_of(part, raw).and_then(|bytes| decoded(&bytes, charset)).unwrap_or_else(|| parsed.to_owned());
    if matches!(part.body, PartType::Html(_)) {
        return Some(html_to_lines(&text));
    }
    let is_flowed = part
        .content_type()
        .and_then(|kind| kind.attribute("format"))
        .is_some_and(|format| format.eq_ignore_ascii_case("flowed"));
    Some(if is_flowed { unflowed(&text) } else { text })
}

/// The bytes of a part without its transfer encoding.
fn bytes_of(part: &MessagePart<'_>, raw: &[u8]) -> Option<Vec<u8>> {
    let raw = raw.get(part.offset_body as usize..part.offset_end as usize)?;
    match part.encoding {
        Encoding::None => Some(raw.to_vec()),
        Encoding::Base64 => base64_decode(raw),
        Encoding::QuotedPrintable => quoted_printable_decode(raw),
    }
}

/// The text of bytes whose declared charset may be wrong; `None` leaves it to the parser.
///
/// Longer texts that are UTF-8 by chance do not occur, so bytes that are UTF-8 are taken as
/// such whatever was declared. What claims to be UTF-8 or ASCII and is not comes from old
/// mail programs, which write Windows-1252.
fn decoded(bytes: &[u8], charset: Option<&str>) -> Option<String> {
    let charset = charset.unwrap_or_default().trim().to_ascii_lowercase();
    let is_stateful = ["utf-16", "utf16", "utf-32", "utf-7", "utf7", "iso-2022", "hz-gb"]
        .iter()
        .any(|name| charset.starts_with(name));
    if is_stateful {
        return None;
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        return Some(text.to_owned());
    }
    let is_wrong = matches!(charset.as_str(), "" | "utf-8" | "utf8" | "us-ascii" | "ascii" | "unknown-8bit");
    let known = if is_wrong { None } else { charset_decoder(charset.as_bytes()) };
    known.or_else(|| charset_decoder(b"windows-1252")).map(|decode| decode(bytes))
}

/// Lines that were broken for the way only, joined again (RFC 3676).
fn unflowed(text: &str) -> String {
    let mut joined = String::with_capacity(text.len());
    let mut lines = text.lines().peekable();
    while let Some(line) = lines.next() {
        let line = line.trim_end_matches('\r');
        let is_quoted = |line: &str| line.starts_with('>');
        let flows = line.ends_with(' ')
            && line.trim_end() != "--"
            && !is_quoted(line)
            && lines.peek().is_some_and(|next| !next.trim().is_empty() && !is_quoted(next));
        joined.push_str(if flows { line } else { line.trim_end() });
        if !flows {
            joined.push('\n');
        }
    }
    joined
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bytes_are_believed_more_than_what_is_said_of_them() {
        let utf8 = "7¾".as_bytes();
        let windows = b"7\xbe";
        for charset in [None, Some("utf-8"), Some("us-ascii"), Some("iso-8859-1"), Some("rubbish")] {
            assert_eq!(decoded(utf8, charset).as_deref(), Some("7¾"), "{charset:?}");
            assert_eq!(decoded(windows, charset).as_deref(), Some("7¾"), "{charset:?}");
        }
        assert_eq!(decoded(b"7\x94", Some("iso-8859-1")).as_deref(), Some("7\u{201d}"));
    }

    #[test]
    fn flowed_lines_are_joined_and_quoted_ones_are_not() {
        assert_eq!(unflowed("the brace \nis low\n-- \nTom\n"), "the brace is low\n--\nTom\n");
        assert_eq!(unflowed("> a \n> b\n"), "> a\n> b\n");
    }
}
