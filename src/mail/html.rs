//! Text out of HTML, with its lines, its table cells and its quotes.

use mail_parser::decoders::html::html_to_text;

/// Tags that begin and end a line.
const BLOCKS: &[&str] = &[
    "div", "tr", "table", "ul", "ol", "dl", "dt", "dd", "h1", "h2", "h3", "h4", "h5", "h6", "hr", "section",
    "article", "header", "footer", "center", "form", "address", "pre", "tbody", "caption",
];

/// What stands between two cells of a table, so that a label stays with its value.
const CELL_GAP: &str = " | ";

/// The text of an HTML mail; lines of a quoted mail begin with `>`, as in plain text.
pub(super) fn html_to_lines(html: &str) -> String {
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
