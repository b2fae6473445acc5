//! Reading a single length.

use super::error::{QuantityError, Refusal};
use super::length::Length;
use super::measure::Measure;
use super::range::read_range;
use super::show::{show_range, with_short_unit};
use super::text::{Kind, Token, tokenize};
use super::unit::Unit;
use super::written::read_written;

/// Words and signs that make a value rough. A value with one of them is refused,
/// because its doubt cannot be kept, but what is left of it is proposed.
const ROUGH_WORDS: [&str; 13] = [
    "about",
    "approx",
    "approximately",
    "around",
    "bare",
    "ca",
    "circa",
    "exactly",
    "ish",
    "just",
    "nearly",
    "roughly",
    "some",
];

/// Reads one length of `what`; a bare number is in `unit`, the unit of the book.
///
/// Taken are whole numbers, decimals with point or comma, fractions and mixed
/// numbers in every common spelling, with or without a unit, and feet with
/// inches. A sign is taken where the measure has one.
///
/// # Errors
///
/// Refuses everything else: a bare number that is implausible in the unit of the
/// book, a number with its unit that the measure cannot be, text with two
/// readings, rough values, and ranges. The error names the reading that was
/// probably meant, and nothing is ever guessed.
///
/// ```
/// use fistmele::quantity::{Measure, Unit, parse_length, show_length};
///
/// let brace = parse_length("19,7 cm", Unit::Inch, Measure::Brace)?;
/// assert_eq!(show_length(brace, Unit::Inch), "7 3/4\"");
///
/// let refused = parse_length("197", Unit::Inch, Measure::Brace).unwrap_err();
/// assert_eq!(refused.likely.as_deref(), Some("197 mm, that is 7 3/4 in"));
/// # Ok::<(), fistmele::quantity::QuantityError>(())
/// ```
pub fn parse_length(text: &str, unit: Unit, what: Measure) -> Result<Length, QuantityError> {
    tokenize(text)
        .and_then(|tokens| read_length(&tokens, unit, what))
        .map_err(|refusal| refusal.into_error(text, what.spellings(unit)))
}

fn read_length(tokens: &[Token], unit: Unit, what: Measure) -> Result<Length, Refusal> {
    let read = |tokens: &[Token]| read_written(tokens)?.judge(unit, what);
    read(tokens).map_err(|refusal| {
        if refusal.likely.is_some() {
            return refusal;
        }
        if let Ok(range) = read_range(tokens, unit, what) {
            let shown = show_range(range, Unit::Inch);
            return Refusal::new(format!("one value is asked for, and this reads as the range {shown}"));
        }
        match without_rough_words(tokens).map(|rest| read(&rest)) {
            Some(Ok(length)) => refusal.likely(with_short_unit(length, Unit::Inch)),
            _ => match with_hyphen_joined(tokens).map(|joined| read(&joined)) {
                Some(Ok(length)) => refusal.likely(with_short_unit(length, Unit::Inch)),
                _ => refusal,
            },
        }
    })
}

/// The parts without what makes them rough; `None` if nothing did.
///
/// An "and" between two numbers counts, as in 7 and 3/4.
pub(super) fn without_rough_words(tokens: &[Token]) -> Option<Vec<Token>> {
    let is_number =
        |index: Option<usize>| index.and_then(|index| tokens.get(index)).is_some_and(Token::starts_number);
    let rest: Vec<Token> = tokens
        .iter()
        .enumerate()
        .filter(|(index, token)| match &token.kind {
            Kind::Word(word) if word == "and" => {
                !(is_number(index.checked_sub(1)) && is_number(Some(index + 1)))
            }
            Kind::Word(word) => !ROUGH_WORDS.contains(&word.as_str()),
            Kind::Other(sign) => !matches!(sign, '~' | '≈' | '.' | '&'),
            _ => true,
        })
        // "8-ish" leaves a hyphen with nothing behind it.
        .filter(|(index, token)| {
            token.kind != Kind::Hyphen || !tokens.get(index + 1).is_some_and(|next| next.is_word("ish"))
        })
        .map(|(_, token)| token.clone())
        .collect();
    (rest.len() < tokens.len()).then_some(rest)
}

/// The parts with the blanks around a hyphen taken away: 7 - 3/4 as 7-3/4.
pub(super) fn with_hyphen_joined(tokens: &[Token]) -> Option<Vec<Token>> {
    let index = tokens.iter().skip(1).position(|token| token.kind == Kind::Hyphen)? + 1;
    let mut joined = tokens.to_vec();
    for token in joined.iter_mut().skip(index).take(2) {
        token.spaced = false;
    }
    Some(joined)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn taken(text: &str, unit: Unit, what: Measure) -> f64 {
        match parse_length(text, unit, what) {
            Ok(length) => length.inches(),
            Err(error) => panic!("{text}: {error}"),
        }
    }

    fn refused(text: &str, unit: Unit, what: Measure) -> QuantityError {
        match parse_length(text, unit, what) {
            Ok(length) => panic!("{text} was taken as {length:?}"),
            Err(error) => error,
        }
    }

    #[test]
    fn every_spelling_of_inches_is_taken() {
        for text in [
            "7 3/4",
            "7-3/4",
            "7¾",
            "7 ¾",
            "7 ¾ ″",
            "7.75",
            "7,75",
            "7 3/4\"",
            "7 3/4 \"",
            "7-3/4\"",
            "7 3/4”",
            "7 3/4“",
            "7 3/4''",
            "7 3/4’’",
            "7.75 in",
            "7.75in",
            "7.75 in.",
            "7.75 inch",
            "7,75 inches",
            "7.75 IN",
            "7\u{a0}3/4",
            "7\u{2009}3/4\u{202f}in",
            " 7 3/4 ",
            "7 3⁄4",
            "7³⁄₄",
            "7\t3/4",
            "7‑3/4",
            "07.750",
            "7 12/16",
            "7 24/32",
        ] {
            assert_relative_eq!(taken(text, Unit::Inch, Measure::Brace), 7.75);
        }
    }

    #[test]
    fn metric_lengths_are_taken_in_a_book_of_any_unit() {
        for unit in Unit::ALL {
            for text in ["19.7 cm", "19,7cm", "197mm", "197 mm", "197 millimetres", "19.7 CM"] {
                assert_relative_eq!(taken(text, unit, Measure::Brace), 197.0 / 25.4);
            }
        }
    }

    #[test]
    fn a_bare_number_is_in_the_unit_of_the_book() {
        assert_relative_eq!(taken("19.7", Unit::Cm, Measure::Brace), 19.7 / 2.54);
        assert_relative_eq!(taken("197", Unit::Mm, Measure::Brace), 197.0 / 25.4);
        assert_relative_eq!(taken("3/4", Unit::Inch, Measure::Small), 0.75);
        assert_relative_eq!(taken(".75", Unit::Inch, Measure::Small), 0.75);
    }

    #[test]
    fn feet_and_inches_are_taken() {
        for text in [
            "5' 2 1/2\"",
            "5'2 1/2",
            "5′ 2 1/2″",
            "5’ 2½”",
            "5 ft 2 1/2 in",
            "5ft. 2.5in.",
            "5 feet 2,5 inches",
            "5 foot 2-1/2",
            "5'-2 1/2\"",
            "5' 2 1/2''",
            "62 1/2\"",
        ] {
            assert_relative_eq!(taken(text, Unit::Inch, Measure::StringLength), 62.5);
        }
        assert_relative_eq!(taken("5' 2\"", Unit::Mm, Measure::BowLength), 62.0);
        assert_relative_eq!(taken("5'2", Unit::Cm, Measure::BowLength), 62.0);
        assert_relative_eq!(taken("5 1/2 ft", Unit::Cm, Measure::BowLength), 66.0);
        assert_relative_eq!(taken("5'", Unit::Cm, Measure::BowLength), 60.0);
    }

    #[test]
    fn feet_and_inches_that_do_not_agree_are_refused() {
        for text in [
            "5' 12\"",
            "5.5' 2\"",
            "5 1/2 ft 2 in",
            "5' 2'",
            "5' 2 cm",
            "5' 11/2",
            "5' x",
            "5'-",
            "5' 2\" 3",
            "1'676 mm",
        ] {
            refused(text, Unit::Inch, Measure::BowLength);
        }
    }

    #[test]
    fn a_sign_is_taken_where_it_means_something() {
        for (text, value) in [
            ("+1", 1.0),
            ("-1/2", -0.5),
            ("−1/2", -0.5),
            ("–1/2", -0.5),
            ("- 1 1/4", -1.25),
            ("-1-1/4", -1.25),
            ("+¾\"", 0.75),
            ("-1 in", -1.0),
            ("0", 0.0),
            ("-0", 0.0),
        ] {
            assert_relative_eq!(taken(text, Unit::Inch, Measure::Serving), value);
            assert_relative_eq!(taken(text, Unit::Inch, Measure::Offset), value);
        }
        assert_eq!(refused("-7 3/4", Unit::Inch, Measure::Brace).reason, "a brace height cannot be negative");
        assert_eq!(refused("+7 3/4", Unit::Inch, Measure::Brace).likely.as_deref(), Some("7 3/4 in"));
        for text in ["+-1", "--1", "-", "+", "- -1"] {
            refused(text, Unit::Inch, Measure::Serving);
        }
    }

    #[test]
    fn a_bare_number_in_the_wrong_unit_names_the_likely_reading() {
        let likely = |text, unit, what| refused(text, unit, what).likely.unwrap();
        assert_eq!(likely("197", Unit::Inch, Measure::Brace), "197 mm, that is 7 3/4 in");
        assert_eq!(likely("19,7", Unit::Inch, Measure::Brace), "19.7 cm, that is 7 3/4 in");
        assert_eq!(likely("7 3/4", Unit::Cm, Measure::Brace), "7 3/4 in");
        assert_eq!(likely("7.7", Unit::Mm, Measure::Brace), "7.7 in");
        assert_eq!(likely("73/4", Unit::Inch, Measure::Brace), "7 3/4 in");
        assert_eq!(likely("621/2", Unit::Inch, Measure::StringLength), "62 1/2 in");
        assert_eq!(likely("1,676 mm", Unit::Mm, Measure::BowLength), "1676 mm, that is 66 in");
        assert_eq!(likely("160", Unit::Inch, Measure::StringLength), "160 cm, that is 63 in");
    }

    #[test]
    fn a_fraction_that_may_have_lost_its_space_is_refused_even_if_it_fits() {
        let error = refused("73/8", Unit::Inch, Measure::Brace);
        assert_eq!(error.likely.as_deref(), Some("7 3/8 in"));
        assert!(error.reason.contains("9 1/8 in"), "{error}");
        refused("11/8", Unit::Inch, Measure::Serving);
        // In a book in centimetres the fraction fits, but so do the mixed inches.
        refused("73/4", Unit::Cm, Measure::Brace);
        refused("73/4\"", Unit::Inch, Measure::Brace);
        assert_relative_eq!(taken("5/4", Unit::Inch, Measure::Serving), 1.25);
        assert_relative_eq!(taken("11/16", Unit::Inch, Measure::Serving), 0.6875);
    }

    #[test]
    fn what_the_measure_cannot_be_is_refused_even_with_its_unit() {
        assert_relative_eq!(taken("14 in", Unit::Inch, Measure::Brace), 14.0);
        let error = refused("14", Unit::Inch, Measure::Brace);
        assert!(error.reason.contains("with its unit written"), "{error}");
        let error = refused("197 in", Unit::Inch, Measure::Brace);
        assert!(error.reason.contains("impossible"), "{error}");
        for text in ["7 mm", "7'", "30 in", "900 cm", "99999999999999999999999 in"] {
            refused(text, Unit::Inch, Measure::Brace);
        }
    }

    #[test]
    fn zero_is_refused_where_it_makes_no_sense() {
        for text in ["0", "0.0", "0/4", "0 in", "0 cm"] {
            let error = refused(text, Unit::Inch, Measure::FadeGap);
            assert_eq!(error.reason, "a fade gap cannot be zero");
            assert_relative_eq!(taken(text, Unit::Inch, Measure::Small), 0.0);
        }
    }

    #[test]
    fn rough_values_are_refused_and_what_is_left_of_them_is_proposed() {
        for text in [
            "about 7 3/4",
            "7 3/4-ish",
            "7 3/4ish",
            "7.75 ish",
            "~7.75",
            "≈ 7.75",
            "ca. 7.75",
            "approx 7.75 in",
            "7 and 3/4",
            "7 & 3/4",
            "7 - 3/4",
        ] {
            let error = refused(text, Unit::Inch, Measure::Brace);
            assert_eq!(error.likely.as_deref(), Some("7 3/4 in"), "{text}: {error}");
        }
        for text in ["7 and a bit", "a bit over 7", "7 or so", "7?", "under 7", "seven"] {
            assert_eq!(refused(text, Unit::Inch, Measure::Brace).likely, None, "{text}");
        }
    }

    #[test]
    fn what_is_no_number_is_refused() {
        for text in [
            "",
            " ",
            "inf",
            "nan",
            "NaN",
            "infinity",
            "-inf",
            "1e3",
            "7e0",
            "7 8",
            "7 3/4 8",
            "7.5 1/4",
            "7 ½ ¼",
            "7 3/4 in in",
            "7 in 3",
            "7,",
            "7.",
            "7 3/",
            "/4",
            "7 /",
            "7//8",
            "7 3/4/5",
            "7 3/7",
            "7 5/4",
            "7 3/0",
            "1,234.5",
            "1.234.5",
            "1,234,567",
            "7 1/2 1/4",
            "$7",
            "7%",
            "in 7",
            "\"7",
            "0x7",
            "7_0",
            "٧",
            "７",
            "七",
            "7²",
            "7 3/4 loaded",
            "7;8",
            "7±1",
            "7*1",
            "(7)",
            "7\u{0}",
            "\u{1b}[7m",
            "7\u{200b}3/4",
            "7 m",
            "7, 3/4",
            "7 − 3/4",
            "7 -3/4",
            "7- 3/4",
            "7-",
            "7–3/4",
            "8 to 9",
            "8..9",
            "7-8",
            "8 – 9",
            "8 - 8 1/4",
            "to",
        ] {
            let error = refused(text, Unit::Inch, Measure::Brace);
            assert!(!error.reason.is_empty());
            assert_eq!(error.accepted, ["7 3/4", "19.7 cm"]);
        }
    }

    #[test]
    fn a_range_where_one_value_is_asked_for_is_named_as_such() {
        let error = refused("8 to 8 1/4", Unit::Inch, Measure::Brace);
        assert!(error.reason.contains("range 8\" to 8 1/4\""), "{error}");
    }

    #[test]
    fn the_message_is_short_and_harmless_whatever_was_written() {
        for text in ["7\u{1b}[2J".to_owned(), "x".repeat(1_000_000), "9".repeat(119)] {
            let message = refused(&text, Unit::Inch, Measure::Brace).to_string();
            assert!(message.chars().count() < 400, "{message}");
            assert!(!message.contains(char::is_control));
        }
    }
}
