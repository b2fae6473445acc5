//! Text as a row of words, numbers and marks, each with its place.

use super::lists::holds;

/// What a token is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A word, in lower case and without the apostrophes of short forms.
    Word,
    /// Digits, with points and commas between them.
    Number,
    /// A fraction in one character.
    Vulgar(u32, u32),
    /// Any other character; quotes, dashes and strokes of one sort are one character.
    Mark(char),
    /// The end of a paragraph, or of a line that was broken on purpose.
    Break,
    /// Something that holds digits and is no measurement: a date, a price, a telephone number.
    Noise,
}

/// A token; `start` and `end` are bytes of the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Token {
    pub(super) kind: Kind,
    pub(super) text: String,
    pub(super) start: usize,
    pub(super) end: usize,
    /// A blank stands before it.
    pub(super) spaced: bool,
}

impl Token {
    pub(super) fn is_any(&self, words: &[&str]) -> bool {
        self.kind == Kind::Word && words.contains(&self.text.as_str())
    }
}

/// A row of tokens, asked by place; nothing stands beyond its ends.
#[derive(Clone, Copy)]
pub(super) struct Row<'a>(pub(super) &'a [Token]);

impl<'a> Row<'a> {
    pub(super) fn get(self, at: usize) -> Option<&'a Token> {
        self.0.get(at)
    }

    /// The kind of the token so many places before one.
    pub(super) fn kind_before(self, at: usize, places: usize) -> Option<Kind> {
        at.checked_sub(places).and_then(|at| self.get(at)).map(|token| token.kind)
    }

    pub(super) fn is_word(self, at: usize, words: &[&str]) -> bool {
        self.get(at).is_some_and(|token| token.is_any(words))
    }

    /// Whether one of the words stands so many places before one.
    pub(super) fn is_word_before(self, at: usize, places: usize, words: &[&str]) -> bool {
        at.checked_sub(places).is_some_and(|at| self.is_word(at, words))
    }

    pub(super) fn is_mark(self, at: usize, marks: &[char]) -> bool {
        self.get(at).is_some_and(|token| matches!(token.kind, Kind::Mark(mark) if marks.contains(&mark)))
    }

    pub(super) fn is_number(self, at: usize) -> bool {
        self.get(at).is_some_and(|token| token.kind == Kind::Number)
    }

    /// Whether no blank stands before a token.
    pub(super) fn touches(self, at: usize) -> bool {
        self.get(at).is_some_and(|token| !token.spaced)
    }

    /// A whole number in digits.
    pub(super) fn whole(self, at: usize) -> Option<u32> {
        self.get(at).filter(|token| token.kind == Kind::Number)?.text.parse().ok()
    }
}

/// Two points or more, however written.
pub(super) const DOTS: char = '…';

/// An en or em dash.
pub(super) const DASH: char = '–';

/// Longest line that mail programs break by themselves, less the longest usual word.
const WRAP_WIDTH: usize = 60;

/// The tokens of a text.
pub(super) fn tokenize(text: &str) -> Vec<Token> {
    let mut reader = Reader { text, at: 0, tokens: Vec::new() };
    while reader.read() {}
    reader.tokens
}

struct Reader<'a> {
    text: &'a str,
    at: usize,
    tokens: Vec<Token>,
}

impl Reader<'_> {
    fn rest(&self) -> &str {
        self.text.get(self.at..).unwrap_or_default()
    }

    fn push(&mut self, kind: Kind, text: impl Into<String>, start: usize, spaced: bool) {
        self.tokens.push(Token { kind, text: text.into(), start, end: self.at, spaced });
    }

    fn read(&mut self) -> bool {
        let before = self.at;
        let blank: usize = self.rest().chars().take_while(|c| c.is_whitespace()).map(char::len_utf8).sum();
        self.at += blank;
        let gap = self.text.get(before..self.at).unwrap_or_default();
        let spaced = !gap.is_empty() || before == 0;
        if ends_line_on_purpose(self.text, before, self.at) {
            self.push(Kind::Break, "", before, true);
        }
        let Some(c) = self.rest().chars().next() else {
            return false;
        };
        let start = self.at;
        if c.is_ascii_digit() || (c == '.' && self.rest().chars().nth(1).is_some_and(|c| c.is_ascii_digit()))
        {
            self.read_number(start, spaced);
        } else if let Some(digits) = small_digits(self.rest()) {
            self.at += digits.len_in_text;
            self.push(Kind::Number, digits.text, start, spaced);
        } else if let Some((above, below)) = vulgar(c) {
            self.at += c.len_utf8();
            self.push(Kind::Vulgar(above, below), c.to_string(), start, spaced);
        } else if c.is_alphabetic() {
            self.read_word(start, spaced);
        } else {
            self.read_mark(c, start, spaced);
        }
        true
    }

    fn read_number(&mut self, start: usize, spaced: bool) {
        let bytes = self.text.as_bytes();
        let digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
        let mut end = start;
        while digit(end) || (bytes.get(end).is_some_and(|b| b".,".contains(b)) && digit(end + 1)) {
            end += 1;
        }
        self.at = end;
        let text = self.text.get(start..end).unwrap_or_default().to_owned();
        self.push(Kind::Number, text, start, spaced);
    }

    fn read_word(&mut self, start: usize, spaced: bool) {
        let rest = self.rest();
        let mut length = 0;
        let mut characters = rest.char_indices().peekable();
        while let Some((at, c)) = characters.next() {
            let joins = is_apostrophe(c) && characters.peek().is_some_and(|(_, next)| next.is_alphabetic());
            if !(c.is_alphanumeric() && small_digits(rest.get(at..).unwrap_or_default()).is_none() || joins) {
                break;
            }
            length = at + c.len_utf8();
        }
        let word: String = rest
            .get(..length)
            .unwrap_or_default()
            .to_lowercase()
            .chars()
            .map(|c| if is_apostrophe(c) { '\'' } else { c })
            .collect();
        let letters = word.trim_end_matches(|c: char| c.is_ascii_digit());
        if letters.len() < word.len() && holds("stuck", letters) {
            self.at = start + letters.len();
            self.push(Kind::Word, letters, start, spaced);
            return;
        }
        self.at = start + length;
        for (index, part) in expanded(&word).into_iter().enumerate() {
            self.push(Kind::Word, part, start, spaced && index == 0);
        }
    }

    fn read_mark(&mut self, c: char, start: usize, spaced: bool) {
        let dots = self.rest().chars().take_while(|&c| c == '.').count();
        if dots >= 2 {
            self.at += dots;
            self.push(Kind::Mark(DOTS), "..", start, spaced);
            return;
        }
        self.at += c.len_utf8();
        let mark = one_of_a_sort(c);
        let next = self.rest().chars().next();
        if mark == '\'' && next.is_some_and(|next| one_of_a_sort(next) == '\'') {
            self.at += next.map_or(0, char::len_utf8);
            self.push(Kind::Mark('"'), "\"", start, spaced);
            return;
        }
        // A hyphen inside a word, or between a number and its word, joins: "brace-height",
        // "66-inch", "8-ish".
        let follows_word = !spaced
            && self
                .tokens
                .last()
                .is_some_and(|last| matches!(last.kind, Kind::Word | Kind::Number | Kind::Vulgar(..)));
        let is_joint = mark == '-' && follows_word && next.is_some_and(char::is_alphabetic);
        if !is_joint {
            self.push(Kind::Mark(mark), c.to_string(), start, spaced);
        }
    }
}

fn is_apostrophe(c: char) -> bool {
    matches!(c, '\'' | '’' | '‘' | '´' | '`')
}

/// A word with its short forms written out: can't, it's, I'd.
fn expanded(word: &str) -> Vec<&str> {
    let denied = |verb| match verb {
        "can" | "canno" => "can",
        "won" => "will",
        verb => verb.strip_suffix('n').unwrap_or(verb),
    };
    if holds("hasty", word) {
        return vec![denied(word.trim_end_matches('t')), "not"];
    }
    let Some((first, last)) = word.split_once('\'') else {
        return vec![word];
    };
    match (first, last) {
        (_, "t") => vec![denied(first), "not"],
        (_, "d") => vec![first, "would"],
        (_, "ll") => vec![first, "will"],
        (_, "ve") => vec![first, "have"],
        (_, "m") => vec![first, "am"],
        (_, "re") => vec![first, "are"],
        (_, "s") if holds("takes-is", first) => vec![first, "is"],
        _ => vec![first],
    }
}

struct SmallDigits {
    text: String,
    len_in_text: usize,
}

/// Raised or lowered digits, as fractions are written with a slanted stroke.
fn small_digits(text: &str) -> Option<SmallDigits> {
    let digit = |c: char| {
        "⁰¹²³⁴⁵⁶⁷⁸⁹".chars().chain("₀₁₂₃₄₅₆₇₈₉".chars()).position(|small| small == c).map(|at| at % 10)
    };
    let mut found = SmallDigits { text: String::new(), len_in_text: 0 };
    for c in text.chars() {
        let Some(value) = digit(c) else { break };
        found.text.push_str(&value.to_string());
        found.len_in_text += c.len_utf8();
    }
    (!found.text.is_empty()).then_some(found)
}

fn vulgar(c: char) -> Option<(u32, u32)> {
    Some(match c {
        '¼' => (1, 4),
        '½' => (1, 2),
        '¾' => (3, 4),
        '⅓' => (1, 3),
        '⅔' => (2, 3),
        '⅕' => (1, 5),
        '⅖' => (2, 5),
        '⅗' => (3, 5),
        '⅘' => (4, 5),
        '⅛' => (1, 8),
        '⅜' => (3, 8),
        '⅝' => (5, 8),
        '⅞' => (7, 8),
        _ => return None,
    })
}

fn one_of_a_sort(c: char) -> char {
    match c {
        '\u{2044}' | '\u{2215}' => '/',
        '\u{2010}' | '\u{2011}' | '\u{2212}' => '-',
        '\u{2012}'..='\u{2015}' => DASH,
        '“' | '”' | '„' | '‟' | '″' => '"',
        '’' | '‘' | '‛' | '′' | '´' | '`' => '\'',
        '→' | '➔' | '⇒' => '→',
        '…' => DOTS,
        other => other,
    }
}

/// Whether the blanks from `from` to `to` hold a line end that was meant.
///
/// Mail programs break long lines anywhere; people break lines of a list.
fn ends_line_on_purpose(text: &str, from: usize, to: usize) -> bool {
    let breaks = text.get(from..to).unwrap_or_default().matches('\n').count();
    if breaks == 0 {
        return false;
    }
    let before = text.get(..from).unwrap_or_default();
    let line = last_line(before);
    let next = text.get(to..).unwrap_or_default();
    let next_line: String = next.chars().take_while(|&c| c != '\n').take(200).collect();
    let first_word = next_line.split(' ').next().unwrap_or_default();
    if line.ends_with(':') && !line.contains(": ") {
        // A label above its value.
        return false;
    }
    if breaks > 1
        || starts_item(first_word)
        || has_label(&next_line)
        || line.contains(" | ")
        || next_line.contains(" | ")
    {
        return true;
    }
    if line.ends_with(',') || line.chars().count() + 1 + first_word.chars().count() > WRAP_WIDTH {
        return false;
    }
    let is_label = line.split_whitespace().count() <= 5
        && line.ends_with(char::is_alphabetic)
        && !line.contains(|c: char| c.is_ascii_digit());
    if is_label && next.starts_with(|c: char| c.is_ascii_digit()) {
        // A label without a colon above its value.
        return false;
    }
    if !next.starts_with(char::is_lowercase) {
        return true;
    }
    let last = line.rsplit(' ').next().unwrap_or_default().to_lowercase();
    last.starts_with(|c: char| c.is_ascii_digit())
        || last.ends_with(['"', '”', '″', '#', '½', '¼', '¾', '⅛', '⅜', '⅝', '⅞'])
        || holds("line-ends", &last)
}

/// The line that ends where `before` ends, at most 200 bytes of it.
fn last_line(before: &str) -> &str {
    let mut start = before.len().saturating_sub(200);
    while !before.is_char_boundary(start) {
        start += 1;
    }
    before.get(start..).unwrap_or_default().rsplit('\n').next().unwrap_or_default()
}

fn starts_item(word: &str) -> bool {
    matches!(word, "-" | "*" | "•" | "–" | "·")
        || (word.len() <= 3 && word.ends_with(['.', ')']) && word.starts_with(|c: char| c.is_ascii_digit()))
}

/// Whether a line begins with a label of a few words: "Brace height: 7".
fn has_label(line: &str) -> bool {
    line.split_once([':', '=']).is_some_and(|(label, _)| {
        !label.is_empty()
            && label.split_whitespace().count() <= 4
            && label.chars().all(|c| c.is_alphabetic() || " -().".contains(c))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<String> {
        tokenize(text)
            .into_iter()
            .map(|token| if token.kind == Kind::Break { "¶".into() } else { token.text })
            .collect()
    }

    #[test]
    fn short_forms_are_written_out() {
        assert_eq!(words("It’s low, can't"), ["it", "is", "low", ",", "can", "not"]);
        assert_eq!(words("dont maker's I'd"), ["do", "not", "maker", "i", "would"]);
    }

    #[test]
    fn signs_of_one_sort_are_one() {
        assert_eq!(words("brace-height 7¾″"), ["brace", "height", "7", "¾", "″"]);
        assert_eq!(words("7³⁄₄"), ["7", "3", "⁄", "4"]);
        assert_eq!(words("66-inch 8-ish"), ["66", "inch", "8", "ish"]);
        assert!(tokenize("7''").iter().any(|token| token.kind == Kind::Mark('"')));
    }

    #[test]
    fn lines_end_where_people_end_them() {
        assert_eq!(words("brace 7\nturns 3"), ["brace", "7", "¶", "turns", "3"]);
        assert_eq!(words("Brace:\n7"), ["brace", ":", "7"]);
        let wrapped = "I put the string on my bow yesterday and measured the\nbrace height";
        assert!(!tokenize(wrapped).iter().any(|token| token.kind == Kind::Break));
    }

    #[test]
    fn places_are_bytes_of_the_text() {
        let text = "¾ – it’s";
        for token in tokenize(text) {
            assert!(text.get(token.start..token.end).is_some(), "{token:?}");
        }
    }
}
