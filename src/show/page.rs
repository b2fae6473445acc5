//! Text by meaning: what a part is, never which colour it has. Colour comes last and is
//! stripped by the stream where it does not belong.

use anstyle::{AnsiColor, Style};

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

/// A page of text being put together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TextPage {
    lines: Vec<(Meaning, String)>,
    width: usize,
}

impl TextPage {
    /// An empty page of a width in characters.
    #[must_use]
    pub const fn new(width: usize) -> Self {
        Self { lines: Vec::new(), width }
    }

    /// A line as it is, cleaned of control characters.
    pub fn line(&mut self, meaning: Meaning, text: impl AsRef<str>) -> &mut Self {
        for line in crate::words::harmless(text.as_ref()).split('\n') {
            self.lines.push((meaning, line.to_owned()));
        }
        self
    }

    /// An empty line, unless there is one already.
    pub fn gap(&mut self) -> &mut Self {
        if self.lines.last().is_some_and(|(_, text)| !text.is_empty()) {
            self.lines.push((Meaning::Plain, String::new()));
        }
        self
    }

    /// A heading after a gap.
    pub fn heading(&mut self, text: impl AsRef<str>) -> &mut Self {
        self.gap().line(Meaning::Heading, text)
    }

    /// A paragraph, wrapped.
    pub fn paragraph(&mut self, meaning: Meaning, text: impl AsRef<str>) -> &mut Self {
        for line in wrapped(&crate::words::harmless(text.as_ref()), self.width) {
            self.lines.push((meaning, line));
        }
        self
    }

    /// A point of a list, wrapped and indented.
    pub fn point(&mut self, meaning: Meaning, text: impl AsRef<str>) -> &mut Self {
        for (i, line) in
            wrapped(&crate::words::harmless(text.as_ref()), self.width.saturating_sub(4)).iter().enumerate()
        {
            let lead = if i == 0 { "  - " } else { "    " };
            self.lines.push((meaning, format!("{lead}{line}")));
        }
        self
    }

    /// Somebody else's words, each line marked as theirs.
    pub fn quote(&mut self, text: impl AsRef<str>) -> &mut Self {
        for line in wrapped(crate::words::harmless(text.as_ref()).trim_end(), self.width.saturating_sub(4)) {
            self.lines.push((Meaning::Aside, format!("  | {line}")));
        }
        self
    }

    /// A paragraph that belongs to the point above it.
    pub fn under_point(&mut self, meaning: Meaning, text: impl AsRef<str>) -> &mut Self {
        for line in wrapped(&crate::words::harmless(text.as_ref()), self.width.saturating_sub(4)) {
            self.lines.push((meaning, format!("    {line}")));
        }
        self
    }

    /// Name and value in two columns; nothing where there is no value.
    pub fn field(&mut self, name: &str, value: Option<impl AsRef<str>>) -> &mut Self {
        if let Some(value) = value {
            let value = crate::words::harmless(value.as_ref()).replace('\n', " ");
            for (i, line) in wrapped(&value, self.width.saturating_sub(18)).iter().enumerate() {
                let name = if i == 0 { name } else { "" };
                self.lines.push((Meaning::Plain, format!("  {name:<15} {line}")));
            }
        }
        self
    }

    /// The page with styles for a stream that strips them where they do not belong.
    #[must_use]
    pub fn styled(&self) -> String {
        let mut out = String::new();
        for (meaning, text) in &self.lines {
            if text.is_empty() {
                out.push('\n');
            } else if *meaning == Meaning::Plain {
                out.push_str(text);
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
        for (_, text) in &self.lines {
            out.push_str(text);
            out.push('\n');
        }
        out
    }
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
