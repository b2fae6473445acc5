//! Numbers that are no measurements: dates, prices, telephone and order numbers, addresses.

use std::collections::BTreeMap;
use std::sync::LazyLock;

use super::patterns::rows;
use super::tokens::{Kind, Token};

/// Words near digits that measure nothing.
const LIST: &str = include_str!("lists/noise.txt");

static LISTS: LazyLock<BTreeMap<&str, Vec<&str>>> =
    LazyLock::new(|| rows(LIST).map(|(name, words)| (name, words.split(' ').collect())).collect());

/// The words of a list.
fn list(name: &str) -> &'static [&'static str] {
    LISTS.get(name).map(Vec::as_slice).unwrap_or_default()
}

/// Makes noise of every token of a number that is no measurement.
pub(super) fn mark_noise(tokens: &mut [Token], text: &str) {
    let mut addresses = addresses_on_the_net(text).into_iter().peekable();
    for token in tokens.iter_mut() {
        // Both stand in the order of the text.
        while addresses.next_if(|(_, end)| *end <= token.start).is_some() {}
        let is_inside =
            addresses.peek().is_some_and(|(start, end)| token.start >= *start && token.end <= *end);
        if is_inside && token.kind != Kind::Break {
            token.kind = Kind::Noise;
        }
    }
    let mut at = 0;
    while at < tokens.len() {
        let length = DETECTORS.iter().find_map(|detect| detect(tokens, at, text)).unwrap_or(0);
        for token in tokens.iter_mut().skip(at).take(length) {
            token.kind = Kind::Noise;
        }
        at += length.max(1);
    }
}

/// Says how many tokens from a place on are noise of one sort.
type Detector = fn(&[Token], usize, &str) -> Option<usize>;

const DETECTORS: &[Detector] = &[
    list_number,
    long_number,
    time_of_day,
    slashed_date,
    named_date,
    telephone,
    money,
    code,
    named_number,
    street,
    ordinal,
];

/// The byte ranges of web and mail addresses.
fn addresses_on_the_net(text: &str) -> Vec<(usize, usize)> {
    let mut found = Vec::new();
    let mut at = 0;
    for chunk in text.split(|c: char| c.is_whitespace()) {
        let is_web = chunk.contains("://") || chunk.to_ascii_lowercase().starts_with("www.");
        let is_mail = chunk.split_once('@').is_some_and(|(_, domain)| {
            domain.contains('.')
                && domain.starts_with(|c: char| c.is_ascii_alphanumeric())
                && domain.contains(|c: char| c.is_ascii_alphabetic())
        });
        if is_web || is_mail {
            found.push((at, at + chunk.len()));
        }
        at += chunk.len();
        at += text.get(at..).and_then(|rest| rest.chars().next()).map_or(0, char::len_utf8);
    }
    found
}

fn token(tokens: &[Token], at: usize) -> Option<&Token> {
    tokens.get(at)
}

fn is_number(tokens: &[Token], at: usize) -> bool {
    token(tokens, at).is_some_and(|token| token.kind == Kind::Number)
}

/// Digits alone, of so many digits.
fn digits(tokens: &[Token], at: usize) -> Option<usize> {
    let token = token(tokens, at).filter(|token| token.kind == Kind::Number)?;
    token.text.bytes().all(|byte| byte.is_ascii_digit()).then_some(token.text.len())
}

fn is_mark(tokens: &[Token], at: usize, marks: &[char]) -> bool {
    token(tokens, at).is_some_and(|token| matches!(token.kind, Kind::Mark(mark) if marks.contains(&mark)))
}

fn is_word(tokens: &[Token], at: usize, words: &[&str]) -> bool {
    token(tokens, at).is_some_and(|token| token.is_any(words))
}

fn touches(tokens: &[Token], at: usize) -> bool {
    token(tokens, at).is_some_and(|token| !token.spaced)
}

fn is_capital(tokens: &[Token], at: usize, text: &str) -> bool {
    token(tokens, at)
        .filter(|token| token.kind == Kind::Word)
        .and_then(|token| text.get(token.start..token.end))
        .is_some_and(|word| word.starts_with(char::is_uppercase))
}

/// The numbers of a list: "1. Brace height".
fn list_number(tokens: &[Token], at: usize, _: &str) -> Option<usize> {
    let is_first = at == 0 || tokens.get(at - 1).is_some_and(|token| token.kind == Kind::Break);
    // "1) this 2) that"; but "(brace 7) and" is no list.
    let is_open = (at.saturating_sub(12)..at)
        .rev()
        .find_map(|before| match tokens.get(before).map(|token| token.kind) {
            Some(Kind::Mark('(')) => Some(true),
            Some(Kind::Mark(')')) => Some(false),
            _ => None,
        })
        .unwrap_or(false);
    let begins = is_first || (is_mark(tokens, at + 1, &[')']) && !is_open);
    let ends = is_mark(tokens, at + 1, &['.', ')']) && touches(tokens, at + 1);
    (begins && ends && digits(tokens, at)? <= 2 && token(tokens, at + 2)?.spaced).then_some(2)
}

/// Numbers with several points are dates or sums; those of many digits are names.
fn long_number(tokens: &[Token], at: usize, _: &str) -> Option<usize> {
    let number = token(tokens, at).filter(|token| token.kind == Kind::Number)?;
    let separators = number.text.bytes().filter(|byte| b".,".contains(byte)).count();
    let digits = number.text.len() - separators;
    let is_count = is_word(tokens, at + 1, &["shots", "arrows"]);
    (separators > 1 || digits > 5 || (digits == 5 && separators == 0 && !is_count)).then_some(1)
}

/// 10:30, 7.30 pm, 7 o'clock.
fn time_of_day(tokens: &[Token], at: usize, _: &str) -> Option<usize> {
    if !is_number(tokens, at) {
        return None;
    }
    if is_mark(tokens, at + 1, &[':']) && touches(tokens, at + 1) && touches(tokens, at + 2) {
        return (digits(tokens, at)? <= 2 && digits(tokens, at + 2)? == 2).then_some(3);
    }
    if is_word(tokens, at + 1, &["am", "pm", "oclock"]) {
        return Some(2);
    }
    (is_word(tokens, at + 1, &["o"]) && is_word(tokens, at + 2, &["clock"])).then_some(3)
}

/// 2025-03-14, 14/03/2025, 3/14/25.
fn slashed_date(tokens: &[Token], at: usize, _: &str) -> Option<usize> {
    let stroke = ['-', '/', '.'].into_iter().find(|&stroke| is_mark(tokens, at + 1, &[stroke]))?;
    let is_date = is_mark(tokens, at + 3, &[stroke])
        && (1..=4).all(|next| touches(tokens, at + next))
        && matches!(
            (digits(tokens, at)?, digits(tokens, at + 2)?, digits(tokens, at + 4)?),
            (4, 1..=2, 1..=2) | (1..=2, 1..=2, 2 | 4)
        );
    is_date.then_some(5)
}

/// 14 March, March 14th, 2025, the 3rd of May.
fn named_date(tokens: &[Token], at: usize, text: &str) -> Option<usize> {
    let is_month = |at: usize| {
        is_word(tokens, at, list("months"))
            && (!is_word(tokens, at, &["may", "march", "mar"]) || is_capital(tokens, at, text))
    };
    let ordinal =
        |at: usize| usize::from(is_word(tokens, at, &["st", "nd", "rd", "th"]) && touches(tokens, at));
    let year = |at: usize| {
        let comma = usize::from(is_mark(tokens, at, &[',']));
        if digits(tokens, at + comma) == Some(4) { comma + 1 } else { 0 }
    };
    if digits(tokens, at).is_some_and(|length| length <= 2) {
        let mut length = 1 + ordinal(at + 1);
        length += usize::from(is_word(tokens, at + length, &["of"]));
        if is_month(at + length) {
            length += 1;
            return Some(length + year(at + length));
        }
        return None;
    }
    if is_month(at) {
        if digits(tokens, at + 1) == Some(4) {
            return Some(2);
        }
        // "until May 3/4 of an inch" is no date, but neither does anybody write it.
        if digits(tokens, at + 1).is_some_and(|length| length <= 2) {
            let length = 2 + ordinal(at + 2);
            return Some(length + year(at + length));
        }
    }
    None
}

/// Digits in groups, as telephone numbers are written.
fn telephone(tokens: &[Token], at: usize, _: &str) -> Option<usize> {
    let is_named =
        (1..=3).any(|back| at.checked_sub(back).is_some_and(|at| is_word(tokens, at, list("telephones"))));
    let is_marked = is_mark(tokens, at, &['+', '(']);
    let (mut next, mut groups, mut total) = (at + usize::from(is_marked), 0, 0);
    let mut lengths = Vec::new();
    // No telephone number has more groups.
    while let Some(length) = digits(tokens, next).filter(|_| groups <= 8) {
        groups += 1;
        total += length;
        lengths.push(length);
        next += 1;
        let mut links = 0;
        while is_mark(tokens, next + links, &['-', '(', ')', '.']) && links < 2 {
            links += 1;
        }
        if digits(tokens, next + links).is_none() {
            break;
        }
        next += links;
    }
    let begins = digits(tokens, at + usize::from(is_marked)).is_some();
    // A fraction or a unit behind it shows that the last group is a measurement.
    if !begins || is_mark(tokens, next, &['/', '"']) || groups > 8 {
        return None;
    }
    let starts_with_zero = token(tokens, at).is_some_and(|token| token.text.starts_with('0'));
    let is_hyphenated = lengths == [3, 4] || lengths == [3, 3, 4];
    let is_telephone = (is_named && total >= 5)
        || (is_marked && total >= 8 && groups > 1)
        || (starts_with_zero && total >= 7 && groups > 1)
        || (is_hyphenated && is_mark(tokens, at + 1, &['-']));
    is_telephone.then_some(next - at)
}

fn money(tokens: &[Token], at: usize, _: &str) -> Option<usize> {
    let signs = ['$', '€', '£'];
    if is_mark(tokens, at, &signs) && is_number(tokens, at + 1) {
        return Some(2);
    }
    if !is_number(tokens, at) {
        return None;
    }
    if is_mark(tokens, at + 1, &signs)
        || is_word(tokens, at + 1, list("currencies"))
        || is_mark(tokens, at + 1, &['%'])
    {
        return Some(2);
    }
    let is_paid = (1..=4)
        .any(|back| at.checked_sub(back).is_some_and(|at| is_word(tokens, at, list("paying"))))
        || (1..=3).any(|on| is_word(tokens, at + on, list("paying")));
    (is_paid && is_word(tokens, at + 1, &["pound", "pounds"])).then_some(2)
}

/// S-12, BB-4521, #10432, 1Z999AA1.
fn code(tokens: &[Token], at: usize, _: &str) -> Option<usize> {
    if is_mark(tokens, at, &['#']) && digits(tokens, at + 1).is_some_and(|length| length >= 4) {
        return Some(2);
    }
    let is_letters = token(tokens, at).is_some_and(|token| token.kind == Kind::Word && token.text.len() <= 4);
    let is_cue = is_word(tokens, at, &["amo", "bh"]);
    if is_letters
        && !is_cue
        && is_mark(tokens, at + 1, &['-'])
        && touches(tokens, at + 1)
        && is_number(tokens, at + 2)
        && touches(tokens, at + 2)
    {
        return Some(3);
    }
    // A number with letters and digits stuck to it.
    let stuck = token(tokens, at + 1).filter(|token| token.kind == Kind::Word && !token.spaced)?;
    let has_digit = stuck.text.bytes().any(|byte| byte.is_ascii_digit());
    (is_number(tokens, at) && has_digit).then_some(2)
}

/// Order 10432, order no. 12, tracking number: 993 210.
fn named_number(tokens: &[Token], at: usize, _: &str) -> Option<usize> {
    if !is_word(tokens, at, list("named")) {
        return None;
    }
    let mut next = at + 1;
    let mut is_said = false;
    while next < at + 5
        && (is_word(tokens, next, list("named-links")) || is_mark(tokens, next, &['#', ':', '.']))
    {
        is_said |= !is_word(tokens, next, &["is", "was"]) && !is_mark(tokens, next, &['.']);
        next += 1;
    }
    let is_name = digits(tokens, next).is_some_and(|length| is_said || length >= 4);
    let is_measured =
        is_mark(tokens, next + 1, &['"', '/']) || is_word(tokens, next + 1, &["inch", "inches"]);
    while is_name
        && is_mark(tokens, next + 1, &['-', '/', '.'])
        && touches(tokens, next + 1)
        && is_number(tokens, next + 2)
    {
        next += 2;
    }
    (is_name && !is_measured).then_some(next + 1 - at)
}

/// 12 Mill Lane, Dorfstraße 5, Flat 3.
fn street(tokens: &[Token], at: usize, text: &str) -> Option<usize> {
    if is_number(tokens, at) {
        let names = (1..=4).take_while(|next| is_capital(tokens, at + next, text)).count();
        let is_street = (1..=names).any(|next| is_word(tokens, at + next, list("streets"))) && names >= 2;
        return is_street.then_some(1);
    }
    if !is_capital(tokens, at, text) || !is_number(tokens, at + 1) {
        return None;
    }
    let is_place = token(tokens, at).is_some_and(|token| {
        list("streets").iter().filter(|street| street.len() > 3).any(|street| token.text.ends_with(street))
    }) || is_word(tokens, at, list("doors"));
    is_place.then_some(2)
}

/// The 3rd; but 7/8th is a fraction.
fn ordinal(tokens: &[Token], at: usize, _: &str) -> Option<usize> {
    let is_ordinal = digits(tokens, at).is_some()
        && is_word(tokens, at + 1, &["st", "nd", "rd", "th"])
        && touches(tokens, at + 1);
    let is_below_stroke = at.checked_sub(1).is_some_and(|before| is_mark(tokens, before, &['/']));
    (is_ordinal && !is_below_stroke).then_some(2)
}

#[cfg(test)]
mod tests {
    use super::super::tokens::tokenize;
    use super::*;

    fn left(text: &str) -> Vec<String> {
        let mut tokens = tokenize(text);
        mark_noise(&mut tokens, text);
        tokens.into_iter().filter(|token| token.kind == Kind::Number).map(|token| token.text).collect()
    }

    #[test]
    fn what_is_no_measurement_is_noise() {
        for text in [
            "on 14 March 2025",
            "March 14th, 2025",
            "the 3rd of May",
            "2025-03-14",
            "3/14/25",
            "14.03.2025",
            "at 10:30",
            "7.30 pm",
            "paid $35.50",
            "35,50 €",
            "it cost 45 pounds",
            "order 10432",
            "Order no. 12",
            "#10432",
            "S-12",
            "tel. 0123 456 789",
            "+44 20 7946 0123",
            "555-0142",
            "12 Mill Lane",
            "Flat 3",
            "https://example.org/66",
            "tom66@example.org",
            "10 %",
        ] {
            assert_eq!(left(text), Vec::<String>::new(), "{text}");
        }
    }

    #[test]
    fn measurements_are_kept() {
        for (text, count) in [
            ("brace 7 3/4", 3),
            ("7/8th", 2),
            ("45 pounds", 1),
            ("I may 7", 1),
            ("7 1/2-8 1/4", 6),
            ("190-200 mm", 2),
            ("order a 66 inch string", 1),
            ("50#@28", 2),
            ("AMO-66", 1),
            ("brace 7.5, string 62.5", 2),
        ] {
            assert_eq!(left(text).len(), count, "{text}");
        }
    }
}
