//! Text by meaning: what a part is, never which colour it has. Colour comes last and is
//! stripped by the stream where it does not belong; a web page is made of the same parts.

use anstyle::{AnsiColor, Style};
use tabled::builder::Builder;
use tabled::settings::style::HorizontalLine;
use tabled::settings::{Padding, Style as TableStyle};

use crate::words::harmless;

/// What a part of a line means.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meaning {
    /// Ordinary words.
    Plain,
    /// Heading of a part.
    Heading,
    /// The answer itself.
    Answer,
    /// A caution.
    Caution,
    /// Of less weight.
    Aside,
}

impl Meaning {
    const fn style(self) -> Style {
        match self {
            Self::Plain => Style::new(),
            Self::Heading => Style::new().bold(),
            Self::Answer => Style::new().bold().fg_color(Some(anstyle::Color::Ansi(AnsiColor::Cyan))),
            Self::Caution => Style::new().fg_color(Some(anstyle::Color::Ansi(AnsiColor::Yellow))),
            Self::Aside => Style::new().dimmed(),
        }
    }
}

/// A part of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Part {
    /// A line as it is.
    Line(Meaning, String),
    /// Room before what comes.
    Gap,
    /// A heading.
    Heading(String),
    /// Sentences.
    Paragraph(Meaning, String),
    /// A point of a list.
    Point {
        /// What it is.
        meaning: Meaning,
        /// Its words.
        text: String,
        /// The command that does it.
        command: Option<String>,
    },
    /// Sentences that belong to the point above.
    UnderPoint(Meaning, String),
    /// Somebody else's words.
    Quote(String),
    /// A name and its value.
    Field(String, String),
    /// The same, struck through, with who did it and why.
    Struck {
        /// Name.
        name: String,
        /// Value.
        value: String,
        /// Who, when and why.
        mark: String,
    },
    /// A table.
    Table {
        /// Names of the columns.
        head: Vec<String>,
        /// Rows.
        rows: Vec<Vec<String>>,
    },
    /// The command that comes next, for somebody at a terminal.
    Next {
        /// The command.
        command: String,
        /// When, or what for.
        why: Option<String>,
    },
}

/// A page being put together, part by part, free of control characters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TextPage {
    parts: Vec<Part>,
    width: usize,
}

impl TextPage {
    /// An empty page; as text it is so many characters wide.
    #[must_use]
    pub const fn new(width: usize) -> Self {
        Self { parts: Vec::new(), width }
    }

    /// Its parts.
    #[must_use]
    pub fn parts(&self) -> &[Part] {
        &self.parts
    }

    fn part(&mut self, part: Part) -> &mut Self {
        self.parts.push(part);
        self
    }

    /// A line as it is, cleaned of control characters.
    pub fn line(&mut self, meaning: Meaning, text: impl AsRef<str>) -> &mut Self {
        self.part(Part::Line(meaning, harmless(text.as_ref())))
    }

    /// An empty line, unless there is one already.
    pub fn gap(&mut self) -> &mut Self {
        self.part(Part::Gap)
    }

    /// A heading after a gap.
    pub fn heading(&mut self, text: impl AsRef<str>) -> &mut Self {
        self.gap().part(Part::Heading(harmless(text.as_ref())))
    }

    /// A paragraph, wrapped.
    pub fn paragraph(&mut self, meaning: Meaning, text: impl AsRef<str>) -> &mut Self {
        self.part(Part::Paragraph(meaning, harmless(text.as_ref())))
    }

    /// A point of a list, wrapped and indented.
    pub fn point(&mut self, meaning: Meaning, text: impl AsRef<str>) -> &mut Self {
        self.part(Part::Point { meaning, text: harmless(text.as_ref()), command: None })
    }

    /// A point of a list with the command that does it.
    pub fn point_with_command(
        &mut self,
        meaning: Meaning,
        text: impl AsRef<str>,
        command: String,
    ) -> &mut Self {
        self.part(Part::Point { meaning, text: harmless(text.as_ref()), command: Some(command) })
    }

    /// Somebody else's words, each line marked as theirs.
    pub fn quote(&mut self, text: impl AsRef<str>) -> &mut Self {
        self.part(Part::Quote(harmless(text.as_ref()).trim_end().to_owned()))
    }

    /// A paragraph that belongs to the point above it.
    pub fn under_point(&mut self, meaning: Meaning, text: impl AsRef<str>) -> &mut Self {
        self.part(Part::UnderPoint(meaning, harmless(text.as_ref())))
    }

    /// Name and value in two columns; nothing where there is no value.
    pub fn field(&mut self, name: &str, value: Option<impl AsRef<str>>) -> &mut Self {
        if let Some(value) = value {
            let value = harmless(value.as_ref()).replace('\n', " ");
            self.part(Part::Field(name.to_owned(), value));
        }
        self
    }

    /// Name and value in two columns, struck through, with who did it and why.
    pub fn struck(&mut self, name: &str, value: impl AsRef<str>, mark: impl AsRef<str>) -> &mut Self {
        let clean = |text: &str| harmless(text).replace('\n', " ");
        self.part(Part::Struck {
            name: name.to_owned(),
            value: clean(value.as_ref()),
            mark: clean(mark.as_ref()),
        })
    }

    /// A table: names of the columns, a line, rows.
    pub fn table(&mut self, head: &[&str], rows: impl IntoIterator<Item = Vec<String>>) -> &mut Self {
        let clean = |cell: String| harmless(&cell).replace('\n', " ");
        self.part(Part::Table {
            head: head.iter().map(|name| (*name).to_owned()).collect(),
            rows: rows.into_iter().map(|row| row.into_iter().map(clean).collect()).collect(),
        })
    }

    /// The command that comes next, for somebody at a terminal.
    pub fn next(&mut self, text: impl Into<String>) -> &mut Self {
        self.part(Part::Next { command: text.into(), why: None })
    }

    /// A command that may come next, and when or what for.
    pub fn next_for(&mut self, command: impl Into<String>, why: &str) -> &mut Self {
        self.part(Part::Next { command: command.into(), why: Some(why.to_owned()) })
    }

    /// The page as lines of text.
    fn lines(&self) -> Vec<(Meaning, String)> {
        let mut lines: Vec<(Meaning, String)> = Vec::new();
        let narrow = self.width.saturating_sub(4);
        for part in &self.parts {
            match part {
                Part::Gap => {
                    if lines.last().is_some_and(|(_, text)| !text.is_empty()) {
                        lines.push((Meaning::Plain, String::new()));
                    }
                }
                Part::Line(meaning, text) => {
                    lines.extend(text.split('\n').map(|line| (*meaning, line.to_owned())));
                }
                Part::Heading(text) => lines.push((Meaning::Heading, text.clone())),
                Part::Paragraph(meaning, text) => {
                    lines.extend(wrapped(text, self.width).into_iter().map(|line| (*meaning, line)));
                }
                Part::Point { meaning, text, command } => {
                    let text = match command {
                        Some(command) => format!("{text} ({command})"),
                        None => text.clone(),
                    };
                    lines.extend(wrapped(&text, narrow).iter().enumerate().map(|(i, line)| {
                        let lead = if i == 0 { "  - " } else { "    " };
                        (*meaning, format!("{lead}{line}"))
                    }));
                }
                Part::UnderPoint(meaning, text) => {
                    lines.extend(
                        wrapped(text, narrow).into_iter().map(|line| (*meaning, format!("    {line}"))),
                    );
                }
                Part::Quote(text) => {
                    lines.extend(
                        wrapped(text, narrow).into_iter().map(|line| (Meaning::Aside, format!("  | {line}"))),
                    );
                }
                Part::Field(name, value) => lines.extend(self.field_lines(Meaning::Plain, name, value)),
                Part::Struck { name, value, mark } => {
                    lines.extend(self.field_lines(Meaning::Aside, name, &format!("[{mark}] {value}")));
                }
                Part::Table { head, rows } => {
                    lines.extend(
                        ruled(head, rows).lines().map(|line| (Meaning::Plain, line.trim_end().to_owned())),
                    );
                }
                Part::Next { command, why } => {
                    lines.extend(
                        self.next_lines(command, why.as_deref())
                            .into_iter()
                            .map(|line| (Meaning::Plain, line)),
                    );
                }
            }
        }
        lines
    }

    /// A command is never broken: what it is for goes below it where both are too wide.
    fn next_lines(&self, command: &str, why: Option<&str>) -> Vec<String> {
        let Some(why) = why else { return vec![command.to_owned()] };
        let whole = format!("{command}   {why}");
        if whole.chars().count() <= self.width {
            return vec![whole];
        }
        let why = wrapped(why, self.width.saturating_sub(6)).into_iter().map(|line| format!("      {line}"));
        std::iter::once(command.trim_end().to_owned()).chain(why).collect()
    }

    fn field_lines(&self, meaning: Meaning, name: &str, value: &str) -> Vec<(Meaning, String)> {
        let lines = wrapped(value, self.width.saturating_sub(18));
        let named = |(i, line): (usize, &String)| {
            let name = if i == 0 { name } else { "" };
            (meaning, format!("  {name:<15} {line}"))
        };
        lines.iter().enumerate().map(named).collect()
    }

    /// The page with styles for a stream that strips them where they do not belong.
    #[must_use]
    pub fn styled(&self) -> String {
        let mut out = String::new();
        for (meaning, text) in self.lines() {
            if text.is_empty() {
                out.push('\n');
            } else if meaning == Meaning::Plain {
                out.push_str(&text);
                out.push('\n');
            } else {
                let style = meaning.style();
                out.push_str(&format!("{style}{text}{style:#}\n"));
            }
        }
        out
    }

    /// The page without any style.
    #[must_use]
    pub fn plain(&self) -> String {
        let mut out = String::new();
        for (_, text) in self.lines() {
            out.push_str(&text);
            out.push('\n');
        }
        out
    }
}

/// A table as text: names, a line, rows.
fn ruled(head: &[String], rows: &[Vec<String>]) -> String {
    let mut builder = Builder::default();
    builder.push_record(head);
    for row in rows {
        builder.push_record(row);
    }
    let line = HorizontalLine::inherit(TableStyle::modern_rounded().remove_frame());
    builder
        .build()
        .with(TableStyle::blank().horizontals([(1, line)]))
        .with(Padding::new(0, 2, 0, 0))
        .to_string()
}

/// Words broken into lines of at most `width` characters; a longer word stands alone.
#[must_use]
pub fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    for paragraph in text.split('\n') {
        let mut line = String::new();
        for word in unbroken(paragraph) {
            if !line.is_empty() && line.chars().count() + 1 + word.chars().count() > width {
                lines.push(std::mem::take(&mut line));
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(&word);
        }
        lines.push(line);
    }
    lines
}

/// Words, with what is one measurement kept together: `7 3/4"`, `18.4 cm`.
fn unbroken(paragraph: &str) -> Vec<String> {
    let mut words: Vec<String> = Vec::new();
    for word in paragraph.split(' ').filter(|word| !word.is_empty()) {
        let fraction = word.starts_with(|c: char| c.is_ascii_digit()) && word.contains('/');
        let unit = matches!(word.trim_end_matches(|c: char| !c.is_alphanumeric()), "cm" | "mm");
        match words.last_mut() {
            Some(last)
                if fraction
                    && last.trim_start_matches(['+', '-', '(']).bytes().all(|b| b.is_ascii_digit())
                    || unit && last.ends_with(|c: char| c.is_ascii_digit()) =>
            {
                last.push(' ');
                last.push_str(word);
            }
            _ => words.push(word.to_owned()),
        }
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stored_text_cannot_move_the_cursor() {
        let mut page = TextPage::new(60);
        page.line(Meaning::Plain, "a\u{1b}[2Jb").field("name", Some("c\u{7}d\ne"));
        assert_eq!(page.plain(), "a\u{fffd}[2Jb\n  name            c\u{fffd}d e\n");
    }

    #[test]
    fn lines_are_broken_between_words() {
        assert_eq!(wrapped("one two three", 7), ["one two", "three"]);
        assert_eq!(wrapped("extraordinarily long", 5), ["extraordinarily", "long"]);
        assert_eq!(wrapped("it reads 7 3/4\" now", 11), ["it reads", "7 3/4\" now"]);
        assert_eq!(wrapped("it reads 18.4 cm, now", 13), ["it reads", "18.4 cm, now"]);
    }
}
