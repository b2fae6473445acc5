//! A page of parts as HTML. Commands for the terminal are left out: a web page has its buttons.

use std::fmt::Write;

use minijinja::HtmlEscape;

use super::page::{Meaning, Part, TextPage};

/// The class of a meaning; plain text has none.
const fn class(meaning: Meaning) -> &'static str {
    match meaning {
        Meaning::Plain => "",
        Meaning::Heading => " class=\"heading\"",
        Meaning::Answer => " class=\"answer\"",
        Meaning::Caution => " class=\"caution\"",
        Meaning::Aside => " class=\"aside\"",
    }
}

/// Which list is open.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Open {
    Nothing,
    Points,
    Fields,
}

impl Open {
    const fn start(self) -> &'static str {
        match self {
            Self::Nothing => "",
            Self::Points => "<ul>",
            Self::Fields => "<dl>",
        }
    }

    const fn end(self) -> &'static str {
        match self {
            Self::Nothing => "",
            Self::Points => "</ul>",
            Self::Fields => "</dl>",
        }
    }
}

/// The parts of a page as HTML; every text is escaped.
#[must_use]
pub fn html(page: &TextPage) -> String {
    let mut out = String::new();
    let mut open = Open::Nothing;
    for part in page.parts() {
        let wanted = match part {
            Part::Point { .. } | Part::UnderPoint(..) => Open::Points,
            Part::Field(..) | Part::Struck { .. } => Open::Fields,
            Part::Gap => open,
            _ => Open::Nothing,
        };
        if wanted != open {
            out.push_str(open.end());
            out.push_str(wanted.start());
            open = wanted;
        }
        // Writing to a string cannot fail.
        let _ = write_part(&mut out, part);
    }
    out.push_str(open.end());
    out
}

fn write_part(out: &mut String, part: &Part) -> std::fmt::Result {
    match part {
        Part::Gap | Part::Next { .. } => Ok(()),
        Part::Heading(text) | Part::Line(Meaning::Heading, text) => {
            write!(out, "<h3>{}</h3>", HtmlEscape(text))
        }
        Part::Line(meaning, text) | Part::Paragraph(meaning, text) => {
            write!(out, "<p{}>{}</p>", class(*meaning), HtmlEscape(text))
        }
        Part::Point { meaning, text, .. } | Part::UnderPoint(meaning, text) => {
            let under = matches!(part, Part::UnderPoint(..));
            let class = if under { " class=\"under\"" } else { class(*meaning) };
            write!(out, "<li{class}>{}</li>", HtmlEscape(text))
        }
        Part::Quote(text) => write!(out, "<blockquote>{}</blockquote>", HtmlEscape(text)),
        Part::Field(name, value) => {
            write!(out, "<div><dt>{}</dt><dd>{}</dd></div>", HtmlEscape(name), HtmlEscape(value))
        }
        Part::Struck { name, value, mark } => write!(
            out,
            "<div><dt>{}</dt><dd><s>{}</s> <small>{}</small></dd></div>",
            HtmlEscape(name),
            HtmlEscape(value),
            HtmlEscape(mark)
        ),
        Part::Table { head, rows } => {
            out.push_str("<div class=\"wide\"><table><thead><tr>");
            for name in head {
                write!(out, "<th scope=\"col\">{}</th>", HtmlEscape(name))?;
            }
            out.push_str("</tr></thead><tbody>");
            for row in rows {
                out.push_str("<tr>");
                for cell in row {
                    write!(out, "<td>{}</td>", HtmlEscape(cell))?;
                }
                out.push_str("</tr>");
            }
            out.push_str("</tbody></table></div>");
            Ok(())
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_become_lists_and_tables_and_no_text_becomes_markup() {
        let mut page = TextPage::new(80);
        page.heading("Why <b>")
            .point(Meaning::Caution, "one & two")
            .under_point(Meaning::Aside, "how")
            .field("brace", Some("7 1/2\""))
            .struck("brace", "6 1/2", "by <RK>")
            .table(&["turns"], [vec!["<i>".to_owned()]])
            .next("fistmele letter R-1");
        assert_eq!(
            html(&page),
            "<h3>Why &lt;b&gt;</h3><ul><li class=\"caution\">one &amp; two</li><li class=\"under\">how</li></ul>\
             <dl><div><dt>brace</dt><dd>7 1&#x2f;2&quot;</dd></div><div><dt>brace</dt><dd><s>6 1&#x2f;2</s> <small>by &lt;RK&gt;</small></dd></div></dl>\
             <div class=\"wide\"><table><thead><tr><th scope=\"col\">turns</th></tr></thead><tbody><tr><td>&lt;i&gt;</td></tr></tbody></table></div>"
        );
    }
}
