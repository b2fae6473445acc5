//! The refusal of a text that is not a measurement.

use std::fmt;

/// Most characters of a refused text that a message repeats.
const LONGEST_SHOWN: usize = 60;

/// A text that was not taken as a quantity, and what would have been.
///
/// Displayed as one sentence that holds every field. The text is already safe to
/// print: shortened, and without control or invisible characters.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuantityError {
    /// The refused text, shortened and made harmless.
    pub text: String,
    /// Why it was refused, as a clause without a full stop.
    pub reason: String,
    /// What was probably meant, where that can be said.
    pub likely: Option<String>,
    /// Two spellings that would be taken.
    pub accepted: [String; 2],
}

impl fmt::Display for QuantityError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "“{}” was not taken: {}", self.text, self.reason)?;
        if let Some(likely) = &self.likely {
            write!(f, "; likely meant: {likely}")?;
        }
        let [first, second] = &self.accepted;
        write!(f, "; write it for example as {first} or as {second}")
    }
}

impl std::error::Error for QuantityError {}

/// Why a reading failed, before it is known which text and spellings to name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Refusal {
    pub(super) reason: String,
    pub(super) likely: Option<String>,
}

impl Refusal {
    pub(super) fn new(reason: impl Into<String>) -> Self {
        Self { reason: reason.into(), likely: None }
    }

    /// Names the reading that was probably meant; an empty one counts as none.
    pub(super) fn likely(mut self, reading: impl Into<String>) -> Self {
        let reading = reading.into();
        if !reading.is_empty() {
            self.likely = Some(reading);
        }
        self
    }

    pub(super) fn into_error(self, text: &str, accepted: [String; 2]) -> QuantityError {
        QuantityError {
            text: harmless(text.trim(), LONGEST_SHOWN),
            reason: self.reason,
            likely: self.likely,
            accepted,
        }
    }
}

/// Whether `c` takes no room on the screen but may change what is seen there.
///
/// These are the zero-width characters, the marks that turn the direction of
/// writing, and the invisible operators and tags.
pub(super) fn is_invisible(c: char) -> bool {
    matches!(c,
        '\u{ad}' | '\u{61c}' | '\u{180e}' | '\u{feff}'
        | '\u{200b}'..='\u{200f}'
        | '\u{202a}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{fff9}'..='\u{fffb}'
        | '\u{e0000}'..='\u{e007f}')
}

/// `text` cut to `longest` characters, safe to print on a terminal.
///
/// Blank characters of any kind become a space, so a message stays on one line;
/// control and invisible characters become the replacement character.
pub(super) fn harmless(text: &str, longest: usize) -> String {
    let mut shown: String = text
        .chars()
        .take(longest)
        .map(|c| match c {
            c if c.is_whitespace() => ' ',
            c if c.is_control() || is_invisible(c) => '\u{fffd}',
            c => c,
        })
        .collect();
    if text.chars().nth(longest).is_some() {
        shown.push('…');
    }
    shown
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sentence_holds_every_field() {
        let error = Refusal::new("197 in is too high")
            .likely("197 mm")
            .into_error(" 197 ", ["7 3/4".into(), "19.7 cm".into()]);
        assert_eq!(
            error.to_string(),
            "“197” was not taken: 197 in is too high; likely meant: 197 mm; \
             write it for example as 7 3/4 or as 19.7 cm"
        );
    }

    #[test]
    fn a_long_text_is_shortened() {
        let text = "x".repeat(1_000_000);
        let error = Refusal::new("no").into_error(&text, ["a".into(), "b".into()]);
        assert_eq!(error.text.chars().count(), LONGEST_SHOWN + 1);
        assert!(error.text.ends_with('…'));
    }

    #[test]
    fn control_and_invisible_characters_are_not_repeated() {
        let shown = harmless("\u{1b}[31m7\n\u{202e}8\u{0}", 60);
        assert_eq!(shown, "\u{fffd}[31m7 \u{fffd}8\u{fffd}");
    }
}
