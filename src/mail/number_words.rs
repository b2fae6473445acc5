//! Numbers written in words.

use super::tokens::{Kind, Token};

const ONES: &[(&str, u32)] = &[
    ("zero", 0),
    ("one", 1),
    ("two", 2),
    ("three", 3),
    ("four", 4),
    ("five", 5),
    ("six", 6),
    ("seven", 7),
    ("eight", 8),
    ("nine", 9),
    ("ten", 10),
    ("eleven", 11),
    ("twelve", 12),
    ("thirteen", 13),
    ("fourteen", 14),
    ("fifteen", 15),
    ("sixteen", 16),
    ("seventeen", 17),
    ("eighteen", 18),
    ("nineteen", 19),
];

const TENS: &[(&str, u32)] = &[
    ("twenty", 20),
    ("thirty", 30),
    ("forty", 40),
    ("fifty", 50),
    ("sixty", 60),
    ("seventy", 70),
    ("eighty", 80),
    ("ninety", 90),
];

const PARTS: &[(&str, u32)] = &[
    ("half", 2),
    ("halves", 2),
    ("third", 3),
    ("thirds", 3),
    ("quarter", 4),
    ("quarters", 4),
    ("eighth", 8),
    ("eighths", 8),
    ("sixteenth", 16),
    ("sixteenths", 16),
];

/// Words before which a lone "one" or "a" is a count; elsewhere it is a pronoun or an article.
const COUNTED: &[&str] = &[
    "turn",
    "turns",
    "twist",
    "twists",
    "rotation",
    "rotations",
    "full",
    "complete",
    "shot",
    "hundred",
    "dozen",
    "thousand",
    "more",
    "out",
    "back",
    "extra",
    "further",
];

/// Words behind which a lone "one" is a turn.
const TURNED: &[&str] =
    &["let", "took", "take", "taken", "put", "added", "removed", "gave", "undid", "wound"];

fn value_in(table: &[(&str, u32)], token: Option<&Token>) -> Option<u32> {
    let token = token.filter(|token| token.kind == Kind::Word)?;
    table.iter().find(|(word, _)| *word == token.text).map(|(_, value)| *value)
}

fn is_any(tokens: &[Token], at: usize, words: &[&str]) -> bool {
    tokens.get(at).is_some_and(|token| token.is_any(words))
}

/// A whole number in words at `at`, and where it ends.
pub(super) fn whole(tokens: &[Token], at: usize) -> Option<(u32, usize)> {
    if is_any(tokens, at, &["half"]) {
        let article = usize::from(is_any(tokens, at + 1, &["a"]));
        return is_any(tokens, at + 1 + article, &["dozen"]).then_some((6, at + 2 + article));
    }
    if is_any(tokens, at, &["a"]) && is_any(tokens, at + 1, &["couple", "pair"]) {
        return Some((2, at + 2));
    }
    let (value, next) = hundreds(tokens, at)?;
    if is_any(tokens, next, &["dozen"]) {
        return Some((value * 12, next + 1));
    }
    if !is_any(tokens, next, &["thousand"]) {
        return Some((value, next));
    }
    let link = usize::from(is_any(tokens, next + 1, &["and"]));
    match hundreds(tokens, next + 1 + link).filter(|_| !is_any(tokens, next + 1 + link, &["a", "an", "one"]))
    {
        Some((rest, end)) if rest < 1000 => Some((value * 1000 + rest, end)),
        _ => Some((value * 1000, next + 1)),
    }
}

fn hundreds(tokens: &[Token], at: usize) -> Option<(u32, usize)> {
    let (value, next) = below_hundred(tokens, at)?;
    if !is_any(tokens, next, &["hundred"]) {
        return Some((value, next));
    }
    let link = usize::from(is_any(tokens, next + 1, &["and"]));
    match tens_and_ones(tokens, next + 1 + link) {
        Some((rest, end)) => Some((value * 100 + rest, end)),
        None => Some((value * 100, next + 1)),
    }
}

fn below_hundred(tokens: &[Token], at: usize) -> Option<(u32, usize)> {
    if is_any(tokens, at, &["a", "an", "one"]) {
        let is_one = is_any(tokens, at, &["one"]);
        let is_with_fraction = is_one && fraction(tokens, at + 1).is_some();
        // "Let one go", "took one out"
        let is_turned = is_one && at.checked_sub(1).is_some_and(|before| is_any(tokens, before, TURNED));
        let is_counted = is_any(tokens, at + 1, COUNTED) || is_with_fraction || is_turned;
        return is_counted.then_some((1, at + 1));
    }
    if is_any(tokens, at, &["hundred", "thousand"]) {
        return Some((1, at));
    }
    tens_and_ones(tokens, at)
}

fn tens_and_ones(tokens: &[Token], at: usize) -> Option<(u32, usize)> {
    if let Some(tens) = value_in(TENS, tokens.get(at)) {
        let ones = value_in(ONES, tokens.get(at + 1)).filter(|ones| (1..10).contains(ones));
        return Some((tens + ones.unwrap_or(0), at + 1 + usize::from(ones.is_some())));
    }
    value_in(ONES, tokens.get(at)).map(|value| (value, at + 1))
}

/// The fraction that follows a whole number at `at`: "and a half", "& 3/4", "three quarters".
pub(super) fn fraction(tokens: &[Token], at: usize) -> Option<((u32, u32), usize)> {
    let is_sign = tokens.get(at).is_some_and(|token| token.is_mark('&'));
    let is_linked = is_sign || is_any(tokens, at, &["and"]);
    let start = at + usize::from(is_linked);
    if is_linked && let Some(Kind::Vulgar(above, below)) = tokens.get(start).map(|token| token.kind) {
        return Some(((above, below), start + 1));
    }
    if is_linked && let Some((parts, end)) = slashed(tokens, start) {
        return Some((parts, end));
    }
    let digits = tokens
        .get(start)
        .filter(|token| token.kind == Kind::Number)
        .and_then(|token| token.text.parse().ok());
    let above = match digits.or_else(|| value_in(ONES, tokens.get(start))) {
        Some(above) => Some(above),
        None if is_linked && is_any(tokens, start, &["a", "an"]) => Some(1),
        None => None,
    };
    if let (Some(above), Some(below)) = (above, value_in(PARTS, tokens.get(start + 1))) {
        return (above < below).then_some(((above, below), start + 2));
    }
    // "seven and half"
    let below = value_in(PARTS, tokens.get(start)).filter(|_| is_linked)?;
    Some(((1, below), start + 1))
}

/// 3/4 and 7/8ths.
pub(super) fn slashed(tokens: &[Token], at: usize) -> Option<((u32, u32), usize)> {
    let number = |at: usize| -> Option<u32> {
        tokens.get(at).filter(|token| token.kind == Kind::Number).and_then(|token| token.text.parse().ok())
    };
    let above = number(at)?;
    let is_stroke = tokens.get(at + 1).is_some_and(|token| token.is_mark('/') && !token.spaced)
        && tokens.get(at + 2).is_some_and(|token| !token.spaced);
    let below = number(at + 2).filter(|_| is_stroke)?;
    let ending = tokens.get(at + 3).is_some_and(|token| !token.spaced && token.is_any(&["th", "ths", "s"]));
    Some(((above, below), at + 3 + usize::from(ending)))
}

#[cfg(test)]
mod tests {
    use super::super::tokens::tokenize;
    use super::*;

    #[test]
    fn whole_numbers_in_words_are_read() {
        for (text, value) in [
            ("seven", Some(7)),
            ("twenty-five", Some(25)),
            ("one hundred and fifty shots", Some(150)),
            ("two hundred", Some(200)),
            ("a dozen", Some(12)),
            ("half a dozen", Some(6)),
            ("half dozen", Some(6)),
            ("a couple of turns", Some(2)),
            ("one more", Some(1)),
            ("one turn", Some(1)),
            ("one of them", None),
            ("a few", None),
            ("a bow", None),
        ] {
            assert_eq!(whole(&tokenize(text), 0).map(|(value, _)| value), value, "{text}");
        }
    }

    #[test]
    fn fractions_in_words_are_read() {
        for (text, parts) in [
            ("and a half", Some((1, 2))),
            ("and three quarters", Some((3, 4))),
            ("and 7/8ths", Some((7, 8))),
            ("three quarters", Some((3, 4))),
            ("& 3/4", Some((3, 4))),
            ("and half", Some((1, 2))),
            ("and three", None),
            ("half", None),
        ] {
            assert_eq!(fraction(&tokenize(text), 0).map(|(parts, _)| parts), parts, "{text}");
        }
    }
}
