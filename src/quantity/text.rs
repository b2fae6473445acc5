//! Written quantities as a row of parts: numbers, strokes, dashes, words.
//!
//! Here the many ways to type one sign become one: typographic and straight
//! quotes, fraction signs, dashes, spaces of every width.

use super::error::{Refusal, harmless, is_invisible};

/// Most characters a quantity can sensibly have, blanks included.
const LONGEST_TEXT: usize = 120;

/// Most characters of a single word that a reason repeats.
const LONGEST_WORD_SHOWN: usize = 24;

/// One part of a written quantity.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Kind {
    /// Digits alone.
    Whole(String),
    /// Digits with a decimal point or comma, here always a point.
    Decimal(String),
    /// A fraction in one character, ¾.
    Vulgar(u32, u32),
    /// `/`, the stroke of a fraction.
    Slash,
    /// `-`, which joins, separates or is a minus.
    Hyphen,
    /// An en or em dash, which separates or, at the very start, is a minus.
    Dash,
    /// `+`
    Plus,
    /// Two or three points, which separate.
    Dots,
    /// The mark of feet, `'`.
    FootMark,
    /// The mark of inches, `"`.
    InchMark,
    /// `#`, the mark of pounds.
    Hash,
    /// `@`, before a draw length.
    At,
    /// A run of letters, in lower case.
    Word(String),
    /// Any other character.
    Other(char),
}

/// A part, and whether a blank stands before it.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Token {
    pub(super) kind: Kind,
    pub(super) spaced: bool,
}

impl Token {
    pub(super) fn is_word(&self, word: &str) -> bool {
        matches!(&self.kind, Kind::Word(own) if own == word)
    }

    /// Whether a number can begin here.
    pub(super) fn starts_number(&self) -> bool {
        matches!(self.kind, Kind::Whole(_) | Kind::Decimal(_) | Kind::Vulgar(..))
    }

    /// The part as it is named in a reason.
    pub(super) fn in_words(&self) -> String {
        let text = match &self.kind {
            Kind::Whole(text) | Kind::Decimal(text) | Kind::Word(text) => text.clone(),
            Kind::Vulgar(above, below) => format!("{above}/{below}"),
            Kind::Slash => "/".to_owned(),
            Kind::Hyphen => "-".to_owned(),
            Kind::Dash => "–".to_owned(),
            Kind::Plus => "+".to_owned(),
            Kind::Dots => "..".to_owned(),
            Kind::FootMark => "'".to_owned(),
            Kind::InchMark => "\"".to_owned(),
            Kind::Hash => "#".to_owned(),
            Kind::At => "@".to_owned(),
            Kind::Other(c) if c.is_control() || is_invisible(*c) || c.is_whitespace() => {
                return format!("the character U+{:04X}", u32::from(*c));
            }
            Kind::Other(c) => c.to_string(),
        };
        format!("“{}”", harmless(&text, LONGEST_WORD_SHOWN))
    }
}

/// `text` without the blanks and invisible marks that copying leaves at its ends.
pub(super) fn trimmed(text: &str) -> &str {
    text.trim_matches(|c: char| c.is_whitespace() || is_invisible(c))
}

/// Refuses text with nothing in it, and text too long to be a quantity.
pub(super) fn require_sensible_length(text: &str) -> Result<(), Refusal> {
    if text.is_empty() {
        return Err(Refusal::new("nothing is written"));
    }
    if text.chars().nth(LONGEST_TEXT).is_some() {
        return Err(Refusal::new("it is too long to be a single value"));
    }
    Ok(())
}

/// The parts of `text`, at least one.
pub(super) fn tokenize(text: &str) -> Result<Vec<Token>, Refusal> {
    let text = trimmed(text);
    require_sensible_length(text)?;
    let mut reader = Reader { characters: text.chars().collect(), at: 0, tokens: Vec::new() };
    while reader.read_token()? {}
    Ok(reader.tokens)
}

struct Reader {
    characters: Vec<char>,
    at: usize,
    tokens: Vec<Token>,
}

impl Reader {
    fn peek(&self, ahead: usize) -> Option<char> {
        self.characters.get(self.at + ahead).copied()
    }

    fn peek_is(&self, ahead: usize, test: impl Fn(char) -> bool) -> bool {
        self.peek(ahead).is_some_and(test)
    }

    /// The run of characters from here on for which `map` has an answer.
    fn take_run(&mut self, map: impl Fn(char) -> Option<char>) -> String {
        let mut run = String::new();
        while let Some(c) = self.peek(0).and_then(&map) {
            run.push(c);
            self.at += 1;
        }
        run
    }

    fn take_digits(&mut self) -> String {
        self.take_run(|c| c.is_ascii_digit().then_some(c))
    }

    fn last_kind(&self) -> Option<&Kind> {
        self.tokens.last().map(|token| &token.kind)
    }

    /// Reads one part; false at the end of the text.
    fn read_token(&mut self) -> Result<bool, Refusal> {
        let mut spaced = false;
        while self.peek_is(0, char::is_whitespace) {
            spaced = true;
            self.at += 1;
        }
        let Some(c) = self.peek(0) else {
            return Ok(false);
        };
        let kind = self.read_kind(c)?;
        // Two marks of feet without a blank between are one mark of inches.
        if kind == Kind::FootMark
            && !spaced
            && let Some(last) = self.tokens.last_mut()
            && last.kind == Kind::FootMark
        {
            last.kind = Kind::InchMark;
        } else {
            self.tokens.push(Token { kind, spaced });
        }
        Ok(true)
    }

    fn read_kind(&mut self, c: char) -> Result<Kind, Refusal> {
        if c.is_ascii_digit() || (c == '.' && self.peek_is(1, |next| next.is_ascii_digit())) {
            return self.read_number();
        }
        if superscript(c).is_some() {
            return Ok(self.read_superscript(c));
        }
        if subscript(c).is_some() && self.last_kind() == Some(&Kind::Slash) {
            return Ok(Kind::Whole(self.take_run(subscript)));
        }
        if c.is_alphabetic() {
            return Ok(self.read_word());
        }
        if c == '.' && self.peek(1) == Some('.') {
            self.take_run(|c| (c == '.').then_some(c));
            return Ok(Kind::Dots);
        }
        self.at += 1;
        Ok(single_character(c))
    }

    fn read_number(&mut self) -> Result<Kind, Refusal> {
        let is_separator = |c: char| c == '.' || c == ',';
        let mut number = self.take_digits();
        let mut is_decimal = false;
        if self.peek_is(0, is_separator) && self.peek_is(1, |c| c.is_ascii_digit()) {
            self.at += 1;
            if number.is_empty() {
                number.push('0');
            }
            number.push('.');
            number.push_str(&self.take_digits());
            is_decimal = true;
            if self.peek_is(0, is_separator) && self.peek_is(1, |c| c.is_ascii_digit()) {
                return Err(Refusal::new(
                    "a number has one decimal point or comma and no thousands separator",
                ));
            }
        }
        let is_exponent = self.peek_is(0, |c| matches!(c, 'e' | 'E'))
            && (self.peek_is(1, |c| c.is_ascii_digit())
                || (self.peek_is(1, |c| matches!(c, '+' | '-' | '−'))
                    && self.peek_is(2, |c| c.is_ascii_digit())));
        if is_exponent {
            return Err(Refusal::new("numbers with an exponent are not taken"));
        }
        Ok(if is_decimal { Kind::Decimal(number) } else { Kind::Whole(number) })
    }

    /// Raised digits are the upper half of a fraction (⁷⁄₁₆) or nothing known.
    fn read_superscript(&mut self, first: char) -> Kind {
        let start = self.at;
        let digits = self.take_run(superscript);
        if self.peek_is(0, |c| single_character(c) == Kind::Slash) {
            Kind::Whole(digits)
        } else {
            self.at = start + 1;
            Kind::Other(first)
        }
    }

    fn read_word(&mut self) -> Kind {
        let word = self.take_run(|c| c.is_alphabetic().then_some(c)).to_lowercase();
        // The point of an abbreviation belongs to it; two points separate.
        let is_abbreviation = matches!(word.as_str(), "in" | "ft" | "cm" | "mm" | "lb" | "lbs");
        if is_abbreviation
            && self.peek(0) == Some('.')
            && !self.peek_is(1, |c| c == '.' || c.is_alphanumeric())
        {
            self.at += 1;
        }
        Kind::Word(word)
    }
}

fn single_character(c: char) -> Kind {
    match c {
        '/' | '\u{2044}' | '\u{2215}' => Kind::Slash,
        // Hyphens, the non-breaking hyphen and the minus sign.
        '-' | '\u{2010}' | '\u{2011}' | '\u{2212}' => Kind::Hyphen,
        // Figure, en and em dash, horizontal bar.
        '\u{2012}'..='\u{2015}' => Kind::Dash,
        '+' => Kind::Plus,
        '…' => Kind::Dots,
        '"' | '“' | '”' | '„' | '‟' | '″' => Kind::InchMark,
        '\'' | '‘' | '’' | '‛' | '′' | '´' | '`' => Kind::FootMark,
        '#' => Kind::Hash,
        '@' => Kind::At,
        '¼' => Kind::Vulgar(1, 4),
        '½' => Kind::Vulgar(1, 2),
        '¾' => Kind::Vulgar(3, 4),
        '⅐' => Kind::Vulgar(1, 7),
        '⅑' => Kind::Vulgar(1, 9),
        '⅒' => Kind::Vulgar(1, 10),
        '⅓' => Kind::Vulgar(1, 3),
        '⅔' => Kind::Vulgar(2, 3),
        '⅕' => Kind::Vulgar(1, 5),
        '⅖' => Kind::Vulgar(2, 5),
        '⅗' => Kind::Vulgar(3, 5),
        '⅘' => Kind::Vulgar(4, 5),
        '⅙' => Kind::Vulgar(1, 6),
        '⅚' => Kind::Vulgar(5, 6),
        '⅛' => Kind::Vulgar(1, 8),
        '⅜' => Kind::Vulgar(3, 8),
        '⅝' => Kind::Vulgar(5, 8),
        '⅞' => Kind::Vulgar(7, 8),
        other => Kind::Other(other),
    }
}

fn superscript(c: char) -> Option<char> {
    "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().zip('0'..='9').find_map(|(raised, digit)| (raised == c).then_some(digit))
}

fn subscript(c: char) -> Option<char> {
    "₀₁₂₃₄₅₆₇₈₉".chars().zip('0'..='9').find_map(|(lowered, digit)| (lowered == c).then_some(digit))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn kinds(text: &str) -> Vec<Kind> {
        let tokens = tokenize(text).unwrap();
        tokens.into_iter().map(|token| token.kind).collect()
    }

    fn whole(digits: &str) -> Kind {
        Kind::Whole(digits.to_owned())
    }

    #[test]
    fn signs_typed_differently_are_the_same_sign() {
        assert_eq!(kinds("7 3⁄4″"), kinds("7 3/4\""));
        assert_eq!(kinds("5’ 2”"), kinds("5' 2\""));
        assert_eq!(kinds("5' 2''"), kinds("5' 2\""));
        assert_eq!(kinds("−4"), kinds("-4"));
        assert_eq!(kinds("7,75"), kinds("7.75"));
        assert_eq!(kinds("7\u{a0}3/4\u{2009}in."), kinds("7 3/4 in"));
        assert_eq!(kinds("7³⁄₄"), kinds("7 3/4"));
        assert_eq!(kinds("\u{feff}8…9\u{200b}"), kinds("8..9"));
    }

    #[test]
    fn points_end_numbers_before_they_separate() {
        assert_eq!(kinds("8..9"), [whole("8"), Kind::Dots, whole("9")]);
        assert_eq!(kinds("7.5..8").len(), 3);
        assert_eq!(kinds("7 in..8 in").len(), 5);
        assert_eq!(kinds(".75"), [Kind::Decimal("0.75".to_owned())]);
    }

    #[test]
    fn powers_are_not_fractions() {
        assert_eq!(kinds("7²"), [whole("7"), Kind::Other('²')]);
        assert_eq!(kinds("7₂"), [whole("7"), Kind::Other('₂')]);
    }

    #[test]
    fn grouped_and_exponential_numbers_are_refused() {
        for text in ["1,234.5", "1.234.567", "1e3", "1E-3", "7e+2"] {
            assert!(tokenize(text).is_err(), "{text}");
        }
    }

    #[test]
    fn nothing_and_far_too_much_are_refused() {
        for text in ["", " \t\n", "\u{200b}", &"7".repeat(1_000_000)] {
            assert!(tokenize(text).is_err());
        }
    }
}
