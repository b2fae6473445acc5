//! The text of a mail, out of its parts: what is built to do harm is refused or shielded from, and of
//! HTML the lines, the table cells and the quotes are kept.

use std::borrow::Cow;

use mail_parser::decoders::base64::base64_decode;
use mail_parser::decoders::charsets::map::charset_decoder;
use mail_parser::decoders::html::html_to_text;
use mail_parser::decoders::quoted_printable::quoted_printable_decode;
use mail_parser::{Encoding, Message, MessageParser, MessagePart, MimeHeaders, PartType};

use super::message::{LONGEST_TEXT, MailError};

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

/// Tags that begin and end a line.
const BLOCKS: &[&str] = &[
    "div", "tr", "table", "ul", "ol", "dl", "dt", "dd", "h1", "h2", "h3", "h4", "h5", "h6", "hr", "section",
    "article", "header", "footer", "center", "form", "address", "pre", "tbody", "caption",
];

/// What stands between two cells of a table, so that a label stays with its value.
const CELL_GAP: &str = " | ";

/// The text of an HTML mail; lines of a quoted mail begin with `>`, as in plain text.
fn html_to_lines(html: &str) -> String {
    let mut text = String::new();
    let mut level = 0_usize;
    let mut segment = String::new();
    let mut line_has_text = false;
    let mut rest = html;
    while let Some(at) = rest.find('<') {
        let (before, tag) = rest.split_at(at);
        segment.push_str(before);
        line_has_text |= !before.trim().is_empty();
        if !tag[1..].starts_with(|c: char| c.is_ascii_alphabetic() || "/!?".contains(c)) {
            // A sign of comparison that nobody escaped.
            segment.push_str("&lt; ");
            rest = &tag[1..];
            continue;
        }
        // A comment may hold tags, a tag's attributes may not hold its end.
        let end = if tag.starts_with("<!--") { tag.find("-->").map(|at| at + 2) } else { tag.find('>') };
        let Some(end) = end else {
            rest = "";
            break;
        };
        let (tag, after) = tag.split_at(end + 1);
        rest = after;
        let (name, closes) = name_of(tag);
        match name.as_str() {
            "blockquote" => {
                push_lines(&mut text, &segment, level);
                segment.clear();
                level = if closes { level.saturating_sub(1) } else { level + 1 };
            }
            "td" | "th" if !closes && line_has_text => segment.push_str(CELL_GAP),
            "td" | "th" => segment.push(' '),
            "li" if !closes => segment.push_str("<br>- "),
            "p" => segment.push_str(if closes { "<br><br>" } else { "<br>" }),
            name if BLOCKS.contains(&name) => segment.push_str("<br>"),
            name if name.starts_with('!') => {}
            _ => segment.push_str(tag),
        }
        line_has_text &=
            !(matches!(name.as_str(), "blockquote" | "li" | "p" | "br") || BLOCKS.contains(&name.as_str()));
    }
    segment.push_str(rest);
    push_lines(&mut text, &segment, level);
    text
}

/// The name of a tag in lower case, and whether it is a closing one.
fn name_of(tag: &str) -> (String, bool) {
    let inner = tag.trim_start_matches('<');
    let closes = inner.starts_with('/');
    let name: String = inner
        .trim_start_matches('/')
        .chars()
        .take_while(|c| c.is_ascii_alphanumeric() || *c == '!')
        .take(16)
        .collect();
    (name.to_ascii_lowercase(), closes)
}

fn push_lines(text: &mut String, html: &str, level: usize) {
    for line in html_to_text(html).lines() {
        let line = line.trim();
        if level > 0 && !line.is_empty() {
            text.push_str("> ");
        }
        text.push_str(line);
        text.push('\n');
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

    fn lines(html: &str) -> Vec<String> {
        html_to_lines(html).lines().map(str::to_owned).filter(|line| !line.is_empty()).collect()
    }

    #[test]
    fn tables_keep_their_rows_and_cells() {
        let html = "<html><head><style>td { x: 1 }</style></head><body><table><tr><td>Brace</td>\
                    <td>7&frac34;&quot;</td></tr><tr><th>Turns</th><td>+6</td></tr></table></body></html>";
        assert_eq!(lines(html), ["Brace | 7¾\"", "Turns | +6"]);
    }

    #[test]
    fn quotes_are_marked_and_breaks_kept() {
        let html = "<div>It is low<br>by an inch</div><blockquote type=cite><p>How is it?</p></blockquote>\
                    <!-- <b>7</b> --><p>Tom</p>";
        assert_eq!(lines(html), ["It is low", "by an inch", "> How is it?", "Tom"]);
    }

    #[test]
    fn broken_html_is_read_as_far_as_it_goes() {
        for html in ["<", "<!--", "a <b", "&", "&#x110000;", "</blockquote>x", "<td", "<p>&amp"] {
            html_to_lines(html);
        }
        assert_eq!(lines("</blockquote></blockquote>brace"), ["brace"]);
    }
}
