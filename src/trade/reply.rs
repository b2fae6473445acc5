//! The short form of a reply: the lines that letters and the card carry, and how they are known again
//! when they come back filled in, quoted or not. Method V40.
//!
//! What a line says is read elsewhere: measurements by `mail`, danger by `danger`.

use std::borrow::Cow;

use super::signs::SignOf;
use crate::quantity::Unit;

/// A line of the form.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Field {
    /// Which string it is about; we fill it in.
    Serial,
    /// Brace height.
    Brace,
    /// With what that was read.
    ReadWith,
    /// Turns put in or taken out.
    Turns,
    /// Shots with this string.
    Shots,
    /// Damage to the string.
    Strand,
    /// Damage to the bow.
    Bow,
    /// A shot without an arrow.
    Shot,
}

/// Lines of the form in their order. Letters in the post hold these words: a label is never changed,
/// only added to, or what comes back is not known again.
const LINES: [(Field, &str); 8] = [
    (Field::Serial, "String serial"),
    (Field::Brace, "Brace height"),
    (Field::ReadWith, "Read with ruler or strip"),
    (Field::Turns, "Full turns put in (+) or out (-)"),
    (Field::Shots, "Shots with this string"),
    (Field::Strand, "Any strand broken or cut (yes/no)"),
    (Field::Bow, "Any crack, lift or line on the bow (yes/no)"),
    (Field::Shot, "Any shot without an arrow (yes/no)"),
];

/// So many lines make a form; fewer are an archer's own words that happen to be the same.
const FEWEST_LINES: usize = 3;

impl Field {
    /// What stands before its colon.
    #[must_use]
    pub fn label(self) -> &'static str {
        LINES.iter().find(|(field, _)| *field == self).map_or("", |(_, label)| label)
    }

    /// The danger it asks about.
    #[must_use]
    pub const fn danger(self) -> Option<SignOf> {
        match self {
            Self::Strand => Some(SignOf::String),
            Self::Bow => Some(SignOf::Bow),
            Self::Shot => Some(SignOf::Shot),
            _ => None,
        }
    }

    fn is_ours(self) -> bool {
        matches!(self, Self::Serial | Self::ReadWith)
    }

    /// The field of a label as it came back with the unit it names, and what stands behind its colon.
    fn of_line(line: &str) -> Option<(Self, Option<Unit>, &str)> {
        let (label, said) = line.split_once([':', '：'])?;
        let known = plain(label);
        let field = LINES.iter().find(|(_, own)| plain(own) == known).map(|(field, _)| *field)?;
        let unit =
            label.split_once('(').and_then(|(_, named)| named.trim_end_matches([')', ' ', '*']).parse().ok());
        Some((field, unit, said))
    }
}

/// A label with the unit that its figure is to be in, where that is no inch: a bare figure is read so.
fn labelled(field: Field, unit: Unit) -> Cow<'static, str> {
    match unit {
        Unit::Cm | Unit::Mm if field == Field::Brace => format!("{} ({unit})", field.label()).into(),
        _ => field.label().into(),
    }
}

/// A label without marks, blanks and what stands in brackets: what mail programs change.
fn plain(label: &str) -> String {
    let mut depth = 0_u32;
    let mut kept = String::new();
    for c in label.chars() {
        match c {
            '(' => depth += 1,
            ')' => depth = depth.saturating_sub(1),
            _ if depth == 0 && c.is_alphanumeric() => kept.extend(c.to_lowercase()),
            _ => (),
        }
    }
    kept
}

/// What a form asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Asks {
    /// A reading, and whether string and bow are sound.
    Reading,
    /// A reading with the paper strip of the sheet, which is filled in.
    Strip,
    /// Whether string and bow are sound; nothing for which the bow is strung.
    Danger,
}

/// The empty form, line by line; a bare figure in it is meant in `unit`.
#[must_use]
pub fn form(serial: &str, asks: Asks, unit: Unit) -> Vec<String> {
    let lines = LINES
        .iter()
        .filter(|(field, _)| asks != Asks::Danger || *field == Field::Serial || field.danger().is_some());
    lines
        .map(|(field, label)| match field {
            Field::Serial => format!("{label}: {serial}"),
            Field::ReadWith if asks == Asks::Strip => format!("{label}: strip"),
            _ => format!("{}:", labelled(*field, unit)),
        })
        .collect()
}

/// A link that opens the archer's own mail program with the form in it (RFC 6068: what is not plain is
/// written as bytes of UTF-8 in hexadecimal, lines end with CR LF).
#[must_use]
pub fn mailto(address: &str, serial: &str, asks: Asks, unit: Unit) -> String {
    // No blank behind a colon: programs that let text flow would join such a line to the next.
    let body: String = form(serial, asks, unit).iter().map(|line| format!("{line}\r\n")).collect();
    format!(
        "mailto:{}?subject={}&body={}",
        encoded(address, "@"),
        encoded(&format!("String {serial}"), ""),
        encoded(&body, ":(),")
    )
}

fn encoded(text: &str, also: &str) -> String {
    use std::fmt::Write;
    let mut out = String::new();
    for c in text.chars() {
        if c.is_ascii_alphanumeric() || "-._~".contains(c) || also.contains(c) {
            out.push(c);
        } else {
            for byte in c.encode_utf8(&mut [0; 4]).bytes() {
                let _ = write!(out, "%{byte:02X}");
            }
        }
    }
    out
}

/// A line that came back.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Which.
    pub field: Field,
    /// The unit that its label names.
    pub unit: Option<Unit>,
    /// What was filled in; empty where nothing was.
    pub said: String,
}

impl Entry {
    /// It names nothing but what the brace height was read with: a strip is no word of danger there.
    #[must_use]
    pub fn is_a_tool(&self) -> bool {
        let known =
            |word: &str| matches!(word, "a" | "the" | "paper" | "strip" | "ruler" | "tape" | "measure");
        self.field == Field::ReadWith && self.said.to_lowercase().split_whitespace().all(known)
    }
}

/// A form that came back.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
struct Form {
    depth: usize,
    /// A mark of an earlier mail stands between it and the form above.
    is_below_mark: bool,
    entries: Vec<Entry>,
    /// Numbers of its lines, those of answers among them.
    lines: Vec<usize>,
}

impl Form {
    fn is_filled(&self) -> bool {
        self.entries.iter().any(|entry| !entry.field.is_ours() && !entry.said.is_empty())
    }
}

/// A form that was filled in.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Filled {
    /// Its lines.
    pub entries: Vec<Entry>,
    /// Another form of the same mail was filled in, and says different things.
    pub is_disputed: bool,
}

/// What a text holds of our forms.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Reply<'a> {
    /// The newest form that was filled in; without lines where none was.
    pub newest: Filled,
    /// The lines of other forms that were filled in: earlier mails that are quoted, mostly.
    pub others: Vec<Entry>,
    /// The text without forms, filled in or not.
    pub rest: Cow<'a, str>,
}

impl Filled {
    /// What was filled in for a field.
    #[must_use]
    pub fn said(&self, field: Field) -> Option<&str> {
        let entry = self.entries.iter().find(|entry| entry.field == field)?;
        Some(entry.said.as_str()).filter(|said| !said.is_empty())
    }

    /// The unit that the label of a field names.
    #[must_use]
    pub fn unit_of(&self, field: Field) -> Option<Unit> {
        self.entries.iter().find(|entry| entry.field == field)?.unit
    }

    /// A field's label as it stands in this form.
    #[must_use]
    pub fn label(&self, field: Field) -> Cow<'static, str> {
        labelled(field, self.unit_of(field).unwrap_or_default())
    }

    /// The form as it is kept with the mail, a line for each thing that was filled in.
    #[must_use]
    pub fn lines(&self) -> Vec<String> {
        let filled = self.entries.iter().filter(|entry| !entry.said.is_empty());
        filled.map(|entry| format!("{}: {}", self.label(entry.field), entry.said)).collect()
    }
}

/// How deep a line is quoted, and what stands in it.
fn unquoted(line: &str) -> (usize, &str) {
    let text = line.trim_start_matches(['>', '|', ' ', '\t', '\u{a0}']);
    let marks = line.get(..line.len() - text.len()).unwrap_or_default();
    (marks.matches(['>', '|']).count(), text.trim())
}

/// What was filled in, without the dots and strokes of a blank.
fn filled(said: &str) -> String {
    let said = said.trim_matches(|c: char| c.is_whitespace() || matches!(c, '_' | '…' | '*'));
    let said = if said.chars().all(|c| matches!(c, '.' | '-' | '_' | ' ')) { "" } else { said };
    said.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Whether a line below an empty one of the form, quoted as deep, is its answer: a program may break
/// lines, and a greeting may follow as well.
fn is_answer(line: &str) -> bool {
    let line = line.trim().to_lowercase();
    let word = line.split(|c: char| !c.is_alphanumeric()).next().unwrap_or_default();
    line.starts_with(|c: char| c.is_ascii_digit() || "+-½¼¾".contains(c))
        || matches!(word, "yes" | "no" | "none" | "nope")
}

/// Whether an earlier mail begins with this line.
fn is_mark(line: &str) -> bool {
    let line = line.trim_matches('*').to_lowercase();
    line.starts_with("-----")
        || line.starts_with("_____")
        || ["from:", "von:", "de:"].iter().any(|label| line.starts_with(label))
        || ["wrote:", "schrieb:", "a écrit :", "a écrit:", "schreef:", "escribió:", "ha scritto:"]
            .iter()
            .any(|end| line.ends_with(end))
}

/// A line of the form that a program joined to those behind it, taken apart.
fn apart(line: &str) -> Vec<&str> {
    let mut starts: Vec<usize> = vec![0];
    if Field::of_line(line).is_some() {
        let spelled = LINES.iter().flat_map(|(field, _)| {
            [Unit::Inch, Unit::Cm, Unit::Mm].map(|unit| format!(" {}:", labelled(*field, unit)))
        });
        let found = spelled.filter_map(|label| line.find(&label));
        starts.extend(found.map(|at| at + 1));
        starts.sort_unstable();
        starts.dedup();
    }
    let ends = starts.iter().skip(1).copied().chain([line.len()]);
    starts.iter().zip(ends).filter_map(|(start, end)| line.get(*start..end).map(str::trim)).collect()
}

/// A line of a text: its number, how deep it is quoted, and what stands in it.
type Line<'a> = (usize, usize, &'a str);

fn forms(lines: &[Line<'_>]) -> Vec<Form> {
    let mut forms: Vec<Form> = Vec::new();
    let mut mark = false;
    let mut at = 0;
    while let Some((number, depth, line)) = lines.get(at).copied() {
        let Some((field, unit, said)) = Field::of_line(line) else {
            mark |= is_mark(line);
            at += 1;
            continue;
        };
        let new = forms.last().is_none_or(|form| {
            mark || field == Field::Serial
                || depth > form.depth
                || form.entries.iter().any(|entry| entry.field == field)
        });
        if new {
            forms.push(Form { depth, is_below_mark: mark, ..Form::default() });
            mark = false;
        }
        let Some(form) = forms.last_mut() else { break };
        form.depth = form.depth.min(depth);
        form.lines.push(number);
        let mut said = filled(said);
        let below = lines.get(at + 1).filter(|(_, _, below)| Field::of_line(below).is_none());
        if let Some((number, of, below)) = below.filter(|_| said.is_empty())
            && !below.is_empty()
            && (*of < depth || (*of == depth && is_answer(below)))
        {
            said = filled(below);
            form.lines.push(*number);
            at += 1;
        }
        form.entries.push(Entry { field, unit, said });
        at += 1;
    }
    forms.retain(|form| form.entries.len() >= FEWEST_LINES);
    forms
}

/// Looks for forms in a text with everything that it quotes.
///
/// ```
/// use fistmele::quantity::Unit;
/// use fistmele::trade::reply::{Asks, Field, form, read};
///
/// let mail: String = form("S-7", Asks::Reading, Unit::Inch)
///     .iter()
///     .map(|line| if line.starts_with("Brace") { format!("> {line} 7 1/4\n") } else { format!("> {line}\n") })
///     .collect();
/// let reply = read(&mail);
/// assert_eq!((reply.newest.said(Field::Serial), reply.newest.said(Field::Brace)), (Some("S-7"), Some("7 1/4")));
/// assert_eq!(reply.rest, "");
/// ```
#[must_use]
pub fn read(text: &str) -> Reply<'_> {
    let lines: Vec<Line<'_>> = text
        .lines()
        .enumerate()
        .flat_map(|(number, line)| {
            let (depth, line) = unquoted(line);
            apart(line).into_iter().map(move |line| (number, depth, line))
        })
        .collect();
    let forms = forms(&lines);
    if forms.is_empty() {
        return Reply { rest: Cow::Borrowed(text), ..Reply::default() };
    }
    let taken: std::collections::BTreeSet<usize> =
        forms.iter().flat_map(|form| form.lines.iter().copied()).collect();
    let left = text.lines().enumerate().filter(|(at, _)| !taken.contains(at)).map(|(_, line)| line);
    let mut reply = Reply { rest: Cow::Owned(left.collect::<Vec<_>>().join("\n")), ..Reply::default() };
    // What an archer fills in stands less deep in quotes than what they quote, and above it.
    let mut forms: Vec<Form> = forms.into_iter().filter(Form::is_filled).collect();
    let Some(depth) = forms.iter().map(|form| form.depth).min() else { return reply };
    let newest = forms.iter().position(|form| form.depth == depth).unwrap_or_default();
    let newest = forms.remove(newest);
    let is_disputed = forms
        .iter()
        .any(|other| other.depth == depth && !other.is_below_mark && other.entries != newest.entries);
    reply.newest = Filled { entries: newest.entries, is_disputed };
    reply.others = forms.into_iter().flat_map(|form| form.entries).collect();
    reply
}

#[cfg(test)]
mod tests {
    use super::*;

    fn filled_in(mark: &str, brace: &str, strand: &str) -> String {
        let lines = form("S-7", Asks::Reading, Unit::Inch);
        let line = |line: &String| match line.as_str() {
            line if line.starts_with("Brace") => format!("{mark}{line} {brace}\n"),
            line if line.starts_with("Any strand") => format!("{mark}{line} {strand}\n"),
            line => format!("{mark}{line}\n"),
        };
        lines.iter().map(line).collect()
    }

    fn said(text: &str, field: Field) -> Option<String> {
        read(text).newest.said(field).map(str::to_owned)
    }

    #[test]
    fn a_form_is_known_again_however_it_is_quoted() {
        for mark in ["", "> ", ">", "> > ", "| ", "\u{a0}", "  "] {
            let text = format!("Hello,\n{}\nBest\nTom", filled_in(mark, "7 1/4", "no"));
            assert_eq!(said(&text, Field::Brace).as_deref(), Some("7 1/4"), "{mark:?}");
            assert_eq!(read(&text).rest, "Hello,\n\nBest\nTom");
        }
        let changed = filled_in("", "7", "no").replace("(yes/no)", "").to_uppercase().replace(':', " :");
        assert_eq!(said(&changed, Field::Strand).as_deref(), Some("NO"));
    }

    #[test]
    fn lines_that_were_joined_are_taken_apart() {
        let text = filled_in("", "7 1/4", "no").replace('\n', " ");
        let reply = read(&text);
        assert_eq!(
            (reply.newest.said(Field::Brace), reply.newest.said(Field::Strand)),
            (Some("7 1/4"), Some("no"))
        );
        assert_eq!((reply.newest.said(Field::Turns), reply.rest.as_ref()), (None, ""));
    }

    #[test]
    fn an_answer_may_stand_below_its_line() {
        let text = filled_in("> ", "", "").replace("> Brace height: \n", "> Brace height:\n7 1/4\n");
        assert_eq!(said(&text, Field::Brace).as_deref(), Some("7 1/4"));
        let text = format!("{}Sent from a telephone", filled_in("", "7", ""));
        assert_eq!(said(&text, Field::Shot), None);
        assert!(read(&text).rest.contains("telephone"));
    }

    #[test]
    fn an_empty_form_says_nothing_and_is_taken_out() {
        for blank in ["", "____", "...", "…", "-"] {
            let text = format!("It is 7 now.\n{}", filled_in("> ", blank, blank));
            let reply = read(&text);
            assert!(reply.newest.entries.is_empty(), "{blank}");
            assert_eq!(reply.rest, "It is 7 now.");
        }
        let own = "String serial: S-7\nBrace height: 7";
        assert_eq!(read(own).rest, own, "two lines are an archer's own words");
    }

    #[test]
    fn the_newest_form_holds() {
        let top =
            format!("{}\nOn Monday Ann wrote:\n{}", filled_in("", "7 1/4", ""), filled_in("> ", "6 7/8", ""));
        let bottom = format!("{}\n{}", filled_in("> > ", "6 7/8", "yes"), filled_in("> ", "7 1/4", ""));
        let unmarked = format!(
            "From: the workshop\n{}\nFrom: Ann\n{}",
            filled_in("", "7 1/4", ""),
            filled_in("", "6 7/8", "")
        );
        for text in [&top, &bottom, &unmarked] {
            let reply = read(text);
            assert_eq!(reply.newest.said(Field::Brace), Some("7 1/4"), "{text}");
            assert!(!reply.newest.is_disputed, "{text}");
            assert!(reply.others.iter().any(|entry| entry.said == "6 7/8"), "{text}");
        }
        let twice = format!("{}\n{}", filled_in("", "7 1/4", ""), filled_in("", "6 7/8", ""));
        assert!(read(&twice).newest.is_disputed);
        assert!(!read(&format!("{0}\n{0}", filled_in("", "7 1/4", ""))).newest.is_disputed);
    }

    #[test]
    fn the_link_holds_what_was_put_in() {
        let link = mailto("post@example.org", "Ä/7 #3 & \"x\"?=%", Asks::Strip, Unit::Inch);
        let fields = link.strip_prefix("mailto:post@example.org?").unwrap();
        // In the address of a mail a + is a plus; here none stands bare.
        assert!(!fields.contains('+'), "{fields}");
        let fields: Vec<(String, String)> = form_urlencoded::parse(fields.as_bytes()).into_owned().collect();
        assert_eq!(fields[0], ("subject".to_owned(), "String Ä/7 #3 & \"x\"?=%".to_owned()));
        let reply = read(&fields[1].1);
        assert!(reply.newest.entries.is_empty(), "nothing is filled in yet: {reply:?}");
        let filled = fields[1].1.replace("Brace height:", "Brace height:7,25");
        let reply = read(&filled);
        assert_eq!(reply.newest.said(Field::Serial), Some("Ä/7 #3 & \"x\"?=%"));
        assert_eq!(reply.newest.said(Field::Brace), Some("7,25"));
        assert_eq!(reply.newest.said(Field::ReadWith), Some("strip"));
    }
}
