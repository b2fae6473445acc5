//! Words that only files have, and the forgiving match of words in files.

use crate::trade::words::{Lay, Outcome};
use crate::words::nearest;

/// How reports of earlier days ended: what the workshop's spreadsheets tell apart.
pub(super) const OLD_OUTCOMES: &[Outcome] =
    &[Outcome::Reassured, Outcome::Adjusted, Outcome::Remade, Outcome::Unfinished];

/// What two spellings of one word share: lower case, without blanks, hyphens and their kin.
fn letters(text: &str) -> impl Iterator<Item = char> {
    text.chars()
        .filter(|c| !c.is_whitespace() && !matches!(c, '_' | '-' | '/' | '\u{2010}'..='\u{2015}'))
        .flat_map(char::to_lowercase)
}

/// The word of a list that is meant by `text`, whatever its case and hyphens.
///
/// # Errors
/// None is meant; the error says what is expected, the near word included.
pub(super) fn find_word<T: Copy>(text: &str, all: &[T], as_str: fn(T) -> &'static str) -> Result<T, String> {
    let exact = all.iter().find(|&&word| as_str(word) == text);
    if let Some(&word) = exact.or_else(|| all.iter().find(|&&word| letters(as_str(word)).eq(letters(text)))) {
        return Ok(word);
    }
    let known: Vec<&'static str> = all.iter().map(|&word| as_str(word)).collect();
    Err(one_of(text, &known))
}

/// Longest text that can come near a word or a header, in bytes.
const LONGEST_NEAR: usize = 100;

/// The near one of some words, as [`nearest`] finds it; long texts, whose comparison takes time
/// and memory by the square of their length, are near to none.
pub(super) fn near<'a>(text: &str, known: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let text = text.trim();
    if text.len() > LONGEST_NEAR {
        return None;
    }
    nearest(text, known.into_iter().filter(|word| word.len() <= LONGEST_NEAR))
}

/// "one of long, short", with the near one to what was written.
fn one_of(text: &str, known: &[&'static str]) -> String {
    let list = known.join(", ");
    match near(text, known.iter().copied()) {
        Some(near) => format!("one of {list} (perhaps {near})"),
        None => format!("one of {list}"),
    }
}

/// A direction of lay: `z`, `s`, or the hand.
pub(super) fn find_lay(text: &str) -> Result<Lay, String> {
    let is = |word: &str| letters(word).eq(letters(text));
    if is("right") || is("right-hand") || is("right-handed") {
        return Ok(Lay::Z);
    }
    if is("left") || is("left-hand") || is("left-handed") {
        return Ok(Lay::S);
    }
    find_word(text, Lay::ALL, Lay::as_str).map_err(|_| "z (right-hand) or s (left-hand)".to_owned())
}

/// Yes or no in the ways shops write them.
pub(super) fn find_yes_no(text: &str) -> Result<bool, String> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" | "x" => Ok(true),
        "no" | "n" | "false" | "0" => Ok(false),
        _ => Err("yes or no (also y, n, true, false, 1, 0, x)".to_owned()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mechanics::bow::BowKind;
    use crate::trade::words::{Direction, Route};

    #[test]
    fn words_are_matched_whatever_their_case_and_hyphens() {
        let route = |text| find_word(text, Route::ALL, Route::as_str);
        for text in ["old-string", "Old String", "OLD_STRING", " oldstring ", "old–string"] {
            assert_eq!(route(text), Ok(Route::OldString), "{text}");
        }
        assert_eq!(find_word("reflex deflex", BowKind::ALL, BowKind::as_str), Ok(BowKind::ReflexDeflex));
        assert_eq!(
            find_word("recurv", BowKind::ALL, BowKind::as_str),
            Err("one of selfbow, longbow, reflex-deflex, recurve, long-riser, horsebow, unknown \
                 (perhaps recurve)"
                .to_owned())
        );
        assert_eq!(
            find_word("sideways", Direction::ALL, Direction::as_str),
            Err("one of long, short".into())
        );
        assert!(route("-").is_err() && route("").is_err());
    }

    #[test]
    fn a_lay_is_a_letter_or_a_hand() {
        for text in ["z", "Z", "right", "Right-Hand", "right hand"] {
            assert_eq!(find_lay(text), Ok(Lay::Z), "{text}");
        }
        for text in ["s", "left", "left-hand"] {
            assert_eq!(find_lay(text), Ok(Lay::S), "{text}");
        }
        assert!(find_lay("x").is_err());
    }

    #[test]
    fn yes_and_no_have_many_spellings() {
        for text in ["yes", "Y", "true", "1", "X"] {
            assert_eq!(find_yes_no(text), Ok(true), "{text}");
        }
        for text in ["no", "N", "False", "0"] {
            assert_eq!(find_yes_no(text), Ok(false), "{text}");
        }
        assert!(find_yes_no("maybe").is_err());
    }
}
