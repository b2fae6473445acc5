//! Numbers that are no measurements: dates, prices, telephone and order numbers, addresses; and the
//! serials and orders of the book among them.

use std::ops::Range;

use super::lists::list;
use super::tokens::{Kind, Row, Token};

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
        let length = DETECTORS.iter().find_map(|detect| detect(Row(tokens), at, text)).unwrap_or(0);
        for token in tokens.iter_mut().skip(at).take(length) {
            token.kind = Kind::Noise;
        }
        at += length.max(1);
    }
}

/// Says how many tokens from a place on are noise of one sort.
type Detector = fn(Row<'_>, usize, &str) -> Option<usize>;

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

/// Digits alone, of so many digits.
fn digits(row: Row<'_>, at: usize) -> Option<usize> {
    let token = row.get(at).filter(|token| token.kind == Kind::Number)?;
    token.text.bytes().all(|byte| byte.is_ascii_digit()).then_some(token.text.len())
}

fn is_capital(row: Row<'_>, at: usize, text: &str) -> bool {
    row.get(at)
        .filter(|token| token.kind == Kind::Word)
        .and_then(|token| text.get(token.start..token.end))
        .is_some_and(|word| word.starts_with(char::is_uppercase))
}

/// The numbers of a list: "1. Brace height".
fn list_number(row: Row<'_>, at: usize, _: &str) -> Option<usize> {
    let is_first = at == 0 || row.kind_before(at, 1) == Some(Kind::Break);
    // "1) this 2) that"; but "(brace 7) and" is no list.
    let is_open = (at.saturating_sub(12)..at)
        .rev()
        .find_map(|before| match row.get(before).map(|token| token.kind) {
            Some(Kind::Mark('(')) => Some(true),
            Some(Kind::Mark(')')) => Some(false),
            _ => None,
        })
        .unwrap_or(false);
    let begins = is_first || (row.is_mark(at + 1, &[')']) && !is_open);
    let ends = row.is_mark(at + 1, &['.', ')']) && row.touches(at + 1);
    (begins && ends && digits(row, at)? <= 2 && row.get(at + 2)?.spaced).then_some(2)
}

/// Numbers with several points are dates or sums; those of many digits are names.
fn long_number(row: Row<'_>, at: usize, _: &str) -> Option<usize> {
    let number = row.get(at).filter(|token| token.kind == Kind::Number)?;
    let separators = number.text.bytes().filter(|byte| b".,".contains(byte)).count();
    let digits = number.text.len() - separators;
    let is_count = row.is_word(at + 1, &["shots", "arrows"]);
    (separators > 1 || digits > 5 || (digits == 5 && separators == 0 && !is_count)).then_some(1)
}

/// 10:30, 7.30 pm, 7 o'clock.
fn time_of_day(row: Row<'_>, at: usize, _: &str) -> Option<usize> {
    if !row.is_number(at) {
        return None;
    }
    if row.is_mark(at + 1, &[':']) && row.touches(at + 1) && row.touches(at + 2) {
        return (digits(row, at)? <= 2 && digits(row, at + 2)? == 2).then_some(3);
    }
    if row.is_word(at + 1, &["am", "pm", "oclock"]) {
        return Some(2);
    }
    (row.is_word(at + 1, &["o"]) && row.is_word(at + 2, &["clock"])).then_some(3)
}

/// 2025-03-14, 14/03/2025, 3/14/25.
fn slashed_date(row: Row<'_>, at: usize, _: &str) -> Option<usize> {
    let stroke = ['-', '/', '.'].into_iter().find(|&stroke| row.is_mark(at + 1, &[stroke]))?;
    let is_date = row.is_mark(at + 3, &[stroke])
        && (1..=4).all(|next| row.touches(at + next))
        && matches!(
            (digits(row, at)?, digits(row, at + 2)?, digits(row, at + 4)?),
            (4, 1..=2, 1..=2) | (1..=2, 1..=2, 2 | 4)
        );
    is_date.then_some(5)
}

/// 14 March, March 14th, 2025, the 3rd of May.
fn named_date(row: Row<'_>, at: usize, text: &str) -> Option<usize> {
    let is_month = |at: usize| {
        row.is_word(at, list("months"))
            && (!row.is_word(at, &["may", "march", "mar"]) || is_capital(row, at, text))
    };
    let ordinal = |at: usize| usize::from(row.is_word(at, &["st", "nd", "rd", "th"]) && row.touches(at));
    let year = |at: usize| {
        let comma = usize::from(row.is_mark(at, &[',']));
        if digits(row, at + comma) == Some(4) { comma + 1 } else { 0 }
    };
    if digits(row, at).is_some_and(|length| length <= 2) {
        let mut length = 1 + ordinal(at + 1);
        length += usize::from(row.is_word(at + length, &["of"]));
        if is_month(at + length) {
            length += 1;
            return Some(length + year(at + length));
        }
        return None;
    }
    if is_month(at) {
        if digits(row, at + 1) == Some(4) {
            return Some(2);
        }
        // "until May 3/4 of an inch" is no date, but neither does anybody write it.
        if digits(row, at + 1).is_some_and(|length| length <= 2) {
            let length = 2 + ordinal(at + 2);
            return Some(length + year(at + length));
        }
    }
    None
}

/// Digits in groups, as telephone numbers are written.
fn telephone(row: Row<'_>, at: usize, _: &str) -> Option<usize> {
    let is_named = (1..=3).any(|back| row.is_word_before(at, back, list("telephones")));
    let is_marked = row.is_mark(at, &['+', '(']);
    let (mut next, mut groups, mut total) = (at + usize::from(is_marked), 0, 0);
    let mut lengths = Vec::new();
    // No telephone number has more groups.
    while let Some(length) = digits(row, next).filter(|_| groups <= 8) {
        groups += 1;
        total += length;
        lengths.push(length);
        next += 1;
        let mut links = 0;
        while row.is_mark(next + links, &['-', '(', ')', '.']) && links < 2 {
            links += 1;
        }
        if digits(row, next + links).is_none() {
            break;
        }
        next += links;
    }
    let begins = digits(row, at + usize::from(is_marked)).is_some();
    // A fraction or a unit behind it shows that the last group is a measurement.
    if !begins || row.is_mark(next, &['/', '"']) || groups > 8 {
        return None;
    }
    let starts_with_zero = row.get(at).is_some_and(|token| token.text.starts_with('0'));
    let is_hyphenated = lengths == [3, 4] || lengths == [3, 3, 4];
    let is_telephone = (is_named && total >= 5)
        || (is_marked && total >= 8 && groups > 1)
        || (starts_with_zero && total >= 7 && groups > 1)
        || (is_hyphenated && row.is_mark(at + 1, &['-']));
    is_telephone.then_some(next - at)
}

fn money(row: Row<'_>, at: usize, _: &str) -> Option<usize> {
    let signs = ['$', '€', '£'];
    if row.is_mark(at, &signs) && row.is_number(at + 1) {
        return Some(2);
    }
    if !row.is_number(at) {
        return None;
    }
    if row.is_mark(at + 1, &signs) || row.is_word(at + 1, list("currencies")) || row.is_mark(at + 1, &['%']) {
        return Some(2);
    }
    let is_paid = (1..=4).any(|back| row.is_word_before(at, back, list("paying")))
        || (1..=3).any(|on| row.is_word(at + on, list("paying")));
    (is_paid && row.is_word(at + 1, &["pound", "pounds"])).then_some(2)
}

/// S-12, BB-4521, #10432, 1Z999AA1.
fn code(row: Row<'_>, at: usize, _: &str) -> Option<usize> {
    if row.is_mark(at, &['#']) && digits(row, at + 1).is_some_and(|length| length >= 4) {
        return Some(2);
    }
    let is_letters = row.get(at).is_some_and(|token| token.kind == Kind::Word && token.text.len() <= 4);
    let is_cue = row.is_word(at, &["amo", "bh"]);
    if is_letters
        && !is_cue
        && row.is_mark(at + 1, &['-'])
        && row.touches(at + 1)
        && row.is_number(at + 2)
        && row.touches(at + 2)
    {
        return Some(3);
    }
    // A number with letters and digits stuck to it.
    let stuck = row.get(at + 1).filter(|token| token.kind == Kind::Word && !token.spaced)?;
    let has_digit = stuck.text.bytes().any(|byte| byte.is_ascii_digit());
    (row.is_number(at) && has_digit).then_some(2)
}

/// Order 10432, order no. 12, tracking number: 993 210.
fn named_number(row: Row<'_>, at: usize, _: &str) -> Option<usize> {
    if !row.is_word(at, list("named")) {
        return None;
    }
    let mut next = at + 1;
    let mut is_said = false;
    while next < at + 5 && (row.is_word(next, list("named-links")) || row.is_mark(next, &['#', ':', '.'])) {
        is_said |= !row.is_word(next, &["is", "was"]) && !row.is_mark(next, &['.']);
        next += 1;
    }
    let is_name = digits(row, next).is_some_and(|length| is_said || length >= 4);
    let is_measured = row.is_mark(next + 1, &['"', '/']) || row.is_word(next + 1, &["inch", "inches"]);
    while is_name
        && row.is_mark(next + 1, &['-', '/', '.'])
        && row.touches(next + 1)
        && row.is_number(next + 2)
    {
        next += 2;
    }
    (is_name && !is_measured).then_some(next + 1 - at)
}

/// 12 Mill Lane, Dorfstraße 5, Flat 3.
fn street(row: Row<'_>, at: usize, text: &str) -> Option<usize> {
    if row.is_number(at) {
        let names = (1..=4).take_while(|next| is_capital(row, at + next, text)).count();
        let is_street = (1..=names).any(|next| row.is_word(at + next, list("streets"))) && names >= 2;
        return is_street.then_some(1);
    }
    if !is_capital(row, at, text) || !row.is_number(at + 1) {
        return None;
    }
    let is_place = row.get(at).is_some_and(|token| {
        list("streets").iter().filter(|street| street.len() > 3).any(|street| token.text.ends_with(street))
    }) || row.is_word(at, list("doors"));
    is_place.then_some(2)
}

/// The 3rd; but 7/8th is a fraction.
fn ordinal(row: Row<'_>, at: usize, _: &str) -> Option<usize> {
    let is_ordinal =
        digits(row, at).is_some() && row.is_word(at + 1, &["st", "nd", "rd", "th"]) && row.touches(at + 1);
    let is_below_stroke = at.checked_sub(1).is_some_and(|before| row.is_mark(before, &['/']));
    (is_ordinal && !is_below_stroke).then_some(2)
}

/// A reference and where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Reference {
    pub(super) value: String,
    pub(super) place: Range<usize>,
}

/// Known references of fewer digits alone are taken only where a word says what they are,
/// because measurements look the same.
const FEWEST_DIGITS: usize = 4;

/// Most references that are looked for in a text of a mail.
const MOST_FOUND: usize = 50;

/// The references in a text, in the order in which they stand, each once.
pub(super) fn references(text: &str, known: &[String]) -> Vec<Reference> {
    let mut unique: Vec<Reference> = Vec::new();
    for one in every_reference(text, known) {
        if !unique.iter().any(|other| other.value.eq_ignore_ascii_case(&one.value)) {
            unique.push(one);
        }
    }
    unique.truncate(MOST_FOUND);
    unique
}

/// The same, each as often as it stands there.
pub(super) fn every_reference(text: &str, known: &[String]) -> Vec<Reference> {
    // Lower case without a change of length, so that places stay.
    let lower = text.to_ascii_lowercase();
    let mut all = made_serials(text);
    for reference in known.iter().map(|known| known.trim()).filter(|known| !known.is_empty()) {
        let wanted = reference.to_ascii_lowercase();
        let places = lower
            .match_indices(&wanted)
            .map(|(at, _)| at..at + wanted.len())
            .filter(|place| stands_alone(&lower, place) && is_meant(&lower, place.start, &wanted))
            .take(MOST_FOUND);
        all.extend(places.map(|place| Reference { value: reference.to_owned(), place }));
    }
    // A known reference that holds another, or a serial, is the one that is meant.
    let holds = |other: &Range<usize>, one: &Range<usize>| {
        other.start <= one.start && other.end >= one.end && other.len() > one.len()
    };
    let mut found: Vec<&Reference> =
        all.iter().filter(|one| !all.iter().any(|other| holds(&other.place, &one.place))).collect();
    found.sort_by_key(|one| (one.place.start, one.value.starts_with("S-")));
    found.into_iter().cloned().collect()
}

/// Serials as the workshop makes them: S-12.
fn made_serials(text: &str) -> Vec<Reference> {
    text.match_indices(['S', 's'])
        .filter_map(|(at, _)| {
            let digits = text.get(at + 1..)?.strip_prefix('-')?;
            let length = digits.bytes().take(10).take_while(u8::is_ascii_digit).count();
            let place = at..at + 2 + length;
            ((1..=9).contains(&length) && stands_alone(text, &place)).then(|| Reference {
                value: text.get(place.clone()).unwrap_or_default().to_uppercase(),
                place,
            })
        })
        .take(MOST_FOUND)
        .collect()
}

fn stands_alone(text: &str, place: &Range<usize>) -> bool {
    let mut ahead = text.get(..place.start).unwrap_or_default().chars().rev();
    let mut behind = text.get(place.end..).unwrap_or_default().chars();
    let (before, earlier, next, after) = (ahead.next(), ahead.next(), behind.next(), behind.next());
    let is_part = |mark: Option<char>, digit: Option<char>| {
        mark.is_some_and(|c| ".,/".contains(c)) && digit.is_some_and(|c| c.is_ascii_digit())
    };
    let joins = |c: Option<char>| c.is_some_and(|c| c.is_alphanumeric() || c == '-' || c == '_');
    // "62.5", "7/8" and 66" are no references 62, 8 and 66.
    !joins(before) && !joins(next) && !is_part(before, earlier) && !is_part(next, after)
}

fn is_meant(lower: &str, at: usize, wanted: &str) -> bool {
    let is_number = wanted.bytes().all(|byte| byte.is_ascii_digit() || b".,/ ".contains(&byte));
    if !is_number || wanted.len() >= FEWEST_DIGITS {
        return true;
    }
    let before = lower.get(..at).unwrap_or_default().trim_end_matches([' ', ':']);
    list("references").iter().any(|word| before.ends_with(word))
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

    fn values(text: &str, known: &[&str]) -> Vec<String> {
        let known: Vec<String> = known.iter().map(|&known| known.to_owned()).collect();
        references(text, &known).into_iter().map(|found| found.value).collect()
    }

    #[test]
    fn serials_and_known_references_are_found_in_any_case() {
        assert_eq!(values("my string s-12 and S-3.", &[]), ["S-12", "S-3"]);
        assert_eq!(values("order wb-2041, string S-12", &["WB-2041", "S-12"]), ["WB-2041", "S-12"]);
        assert_eq!(values("AS-12 S-12a S-", &[]), Vec::<String>::new());
    }

    #[test]
    fn a_measurement_is_no_reference() {
        assert_eq!(values("the bow is 66, brace 7.5", &["66", "7"]), Vec::<String>::new());
        assert_eq!(values("order 66", &["66"]), ["66"]);
        assert_eq!(values("order 10432", &["10432"]), ["10432"]);
    }
}
