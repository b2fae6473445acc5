//! Sentences as rows of words, forgiving of how they are typed.

/// One word of a sentence.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Word {
    /// In small letters, with straight apostrophes and without accents.
    pub(super) text: String,
    /// Where it begins, bytes.
    pub(super) start: usize,
    /// Where it ends, bytes.
    pub(super) end: usize,
    /// A comma, bracket or dash stands before it.
    pub(super) after_pause: bool,
}

/// A sentence: its words, and whether it asks.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Sentence {
    pub(super) words: Vec<Word>,
    pub(super) asks: bool,
}

/// Most words of one sentence: what is typed without a full stop is cut here.
const LONGEST_SENTENCE: usize = 60;

/// Most characters of a word that is looked at.
const LONGEST_WORD: usize = 40;

/// Parts a text into sentences.
pub(super) fn sentences(text: &str) -> Vec<Sentence> {
    let mut sentences = Vec::new();
    let mut sentence = Sentence::default();
    let mut word: Option<(usize, String)> = None;
    let mut pause = false;
    let mut characters = text.char_indices().peekable();
    let mut blank_line = false;
    while let Some((at, c)) = characters.next() {
        let next = characters.peek().map(|(_, next)| *next);
        let inside = word.is_some();
        let joins = match c {
            '\'' | '\u{2019}' | '\u{2018}' | '\u{b4}' | '`' => {
                inside && next.is_some_and(char::is_alphanumeric)
            }
            '-' | '\u{2010}' | '\u{2011}' => inside && next.is_some_and(char::is_alphabetic),
            // "7.5" is one word, and so is "1/2".
            '.' | '/' | ',' => {
                word.as_ref().is_some_and(|(_, held)| held.chars().all(|c| c.is_ascii_digit()))
                    && next.is_some_and(|next| next.is_ascii_digit())
            }
            _ => c.is_alphanumeric(),
        };
        if joins {
            let (_, held) = word.get_or_insert_with(|| (at, String::new()));
            if held.chars().count() < LONGEST_WORD {
                held.extend(plain(c));
            }
            blank_line = false;
            continue;
        }
        if let Some((start, text)) = word.take() {
            sentence.words.push(Word { text, start, end: at, after_pause: std::mem::take(&mut pause) });
        }
        let ends = match c {
            '.' | '!' | '?' | ';' | '\u{3002}' | '\u{2026}' => true,
            '\n' => std::mem::replace(&mut blank_line, true),
            _ => false,
        };
        pause |= matches!(c, ',' | '(' | ')' | ':' | '-' | '\u{2013}' | '\u{2014}' | '\n');
        if ends || sentence.words.len() >= LONGEST_SENTENCE {
            sentence.asks = c == '?';
            close(&mut sentences, &mut sentence);
        }
    }
    if let Some((start, word)) = word {
        sentence.words.push(Word { text: word, start, end: text.len(), after_pause: pause });
    }
    close(&mut sentences, &mut sentence);
    sentences
}

fn close(sentences: &mut Vec<Sentence>, sentence: &mut Sentence) {
    let closed = std::mem::take(sentence);
    if !closed.words.is_empty() {
        sentences.push(closed);
    }
}

/// A letter as it is compared.
fn plain(c: char) -> impl Iterator<Item = char> {
    let c = match c {
        '\u{2019}' | '\u{2018}' | '\u{b4}' | '`' => '\'',
        '\u{2010}' | '\u{2011}' => '-',
        'é' | 'è' | 'ê' | 'É' => 'e',
        'à' | 'á' | 'â' | 'ä' | 'Ä' => 'a',
        'ö' | 'ó' | 'ô' | 'Ö' => 'o',
        'ü' | 'ú' | 'û' | 'Ü' => 'u',
        'í' | 'î' | 'ı' => 'i',
        'ş' => 's',
        'ç' => 'c',
        other => other,
    };
    c.to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &str) -> Vec<String> {
        sentences(text)
            .iter()
            .map(|sentence| {
                sentence.words.iter().map(|word| word.text.as_str()).collect::<Vec<_>>().join(" ")
            })
            .collect()
    }

    #[test]
    fn sentences_end_where_people_end_them() {
        assert_eq!(
            rows("It's 7.5, or 7 1/2. Isn’t it?\nYes\n\nno"),
            ["it's 7.5 or 7 1/2", "isn't it", "yes", "no"]
        );
        assert_eq!(rows("dry-fired - twice"), ["dry-fired twice"]);
        assert!(sentences("Is it?")[0].asks && !sentences("It is.")[0].asks);
        assert_eq!(rows(""), [""; 0]);
    }

    #[test]
    fn a_text_without_an_end_is_cut_into_sentences() {
        assert!(sentences(&"word ".repeat(1000)).iter().all(|one| one.words.len() <= LONGEST_SENTENCE));
        assert_eq!(sentences(&"x".repeat(1_000_000)).len(), 1);
    }
}
