//! Reading amounts of money.

use super::error::{QuantityError, Refusal};
use super::text::{require_sensible_length, trimmed};

/// Largest amount taken, in whole units of the currency: beyond any workshop's
/// books, and far below what an `i64` of minor units holds.
const MOST_WHOLE_UNITS: i64 = 1_000_000_000;

/// Signs of currencies that have hundredths.
const CURRENCY_SIGNS: [char; 3] = ['€', '$', '£'];

/// Names of currencies that have hundredths, in lower case.
const CURRENCY_NAMES: [&str; 18] = [
    "eur", "usd", "gbp", "chf", "sek", "nok", "dkk", "pln", "czk", "cad", "aud", "nzd", "ron", "euro",
    "euros", "dollars", "pounds", "francs",
];

/// Reads an amount of money in minor units (hundredths), which is never negative.
///
/// `24`, `24.50`, `24,50`, with a currency before or behind it. The currency is
/// not looked at: an amount is in that of the book. Thousands may be set apart
/// where only that can be meant: `1.234,50`, `1,234.50`, `1 234,50`, `1.234.567`.
///
/// # Errors
///
/// Refuses what is no such text, negative amounts, more than two decimals, more
/// than 1 000 000 000, and `1.234`, which can be either.
pub fn parse_money(text: &str) -> Result<i64, QuantityError> {
    read_money(trimmed(text))
        .map_err(|refusal| refusal.into_error(text, ["24.50".to_owned(), "24,50 EUR".to_owned()]))
}

fn read_money(text: &str) -> Result<i64, Refusal> {
    require_sensible_length(text)?;
    let is_figure = |c: char| c.is_ascii_digit() || c == '.' || c == ',';
    let (Some(start), Some(end)) = (text.find(is_figure), text.rfind(|c: char| c.is_ascii_digit())) else {
        return Err(Refusal::new("there is no amount in it"));
    };
    let before = text.get(..start).unwrap_or_default().trim();
    let figures = text.get(start..=end).unwrap_or_default();
    let behind = text.get(end + 1..).unwrap_or_default().trim();
    if before.contains(['-', '−', '–', '(']) {
        return Err(Refusal::new("an amount cannot be negative"));
    }
    if !(is_currency(before) && is_currency(behind)) {
        return Err(Refusal::new("it is no single amount with a known currency"));
    }
    if !before.is_empty() && !behind.is_empty() {
        return Err(Refusal::new("two currencies are written"));
    }
    read_figures(figures)
}

/// Whether `text` is nothing or the sign or name of one currency.
fn is_currency(text: &str) -> bool {
    let mut characters = text.chars();
    match (characters.next(), characters.next()) {
        (None, _) => true,
        (Some(sign), None) => CURRENCY_SIGNS.contains(&sign),
        _ => CURRENCY_NAMES.contains(&text.to_lowercase().as_str()),
    }
}

/// Reads digits and what sets them apart.
fn read_figures(figures: &str) -> Result<i64, Refusal> {
    let separators: Vec<char> =
        figures.chars().filter(|c| !c.is_ascii_digit()).map(plain_separator).collect();
    let groups: Vec<&str> = figures.split(|c: char| !c.is_ascii_digit()).collect();
    let (Some(&last_group), Some(whole_groups)) =
        (groups.last(), groups.get(..groups.len().saturating_sub(1)))
    else {
        return Err(Refusal::new("there is no amount in it"));
    };
    if separators.iter().any(|c| !matches!(c, '.' | ',' | ' ' | '\'')) {
        return Err(Refusal::new("it is no single amount"));
    }
    match separators.as_slice() {
        [] => in_minor_units(last_group, ""),
        [.., '.' | ','] if last_group.len() <= 2 => {
            let decimal = separators.last();
            let thousands = separators.get(..separators.len() - 1).unwrap_or_default();
            let whole = whole_groups.concat();
            if thousands.iter().any(|c| Some(c) == decimal) || !are_thousands(whole_groups, thousands) {
                return Err(wrong_grouping());
            }
            in_minor_units(&whole, last_group)
        }
        [' '] => Err(Refusal::new("two numbers are written").likely(groups.concat())),
        ['.' | ',']
            if last_group.len() > 3
                || whole_groups.first().is_some_and(|first| first.is_empty() || first.starts_with('0')) =>
        {
            Err(Refusal::new("an amount has at most two decimals"))
        }
        ['.' | ','] => Err(Refusal::new("it cannot be told whether thousands or three decimals are meant")
            .likely(format!("{0}{1} or {0}.{1}", groups.first().unwrap_or(&""), last_group))),
        _ if are_thousands(&groups, &separators) => in_minor_units(&groups.concat(), ""),
        _ => Err(wrong_grouping()),
    }
}

/// Blanks of any width are one separator, and so are the forms of an apostrophe.
fn plain_separator(c: char) -> char {
    match c {
        c if c.is_whitespace() => ' ',
        '’' | '\'' => '\'',
        c => c,
    }
}

/// Whether `groups` are thousands set apart by one and the same separator.
fn are_thousands(groups: &[&str], separators: &[char]) -> bool {
    let Some((first, others)) = groups.split_first() else {
        return false;
    };
    if others.is_empty() {
        return true;
    }
    (1..=3).contains(&first.len())
        && !first.starts_with('0')
        && others.iter().all(|group| group.len() == 3)
        && separators.windows(2).all(|pair| pair.first() == pair.last())
}

fn wrong_grouping() -> Refusal {
    Refusal::new("its points, commas or blanks are not those of one amount")
}

/// The hundredths in an amount; no digits before the point are zero.
fn in_minor_units(whole: &str, hundredths: &str) -> Result<i64, Refusal> {
    let whole = if whole.is_empty() { "0" } else { whole };
    let amount = whole
        .parse()
        .ok()
        .filter(|whole| (0..=MOST_WHOLE_UNITS).contains(whole))
        .zip(format!("{hundredths:0<2}").parse::<i64>().ok());
    match amount {
        Some((whole, hundredths)) => Ok(whole * 100 + hundredths),
        None => Err(Refusal::new(format!("amounts above {MOST_WHOLE_UNITS} are not taken"))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_spelling_of_an_amount_is_taken() {
        for (text, minor_units) in [
            ("24", 2400),
            ("24.50", 2450),
            ("24,50", 2450),
            ("24.5", 2450),
            (".50", 50),
            ("0", 0),
            ("0.05", 5),
            ("24.50 EUR", 2450),
            ("24.50EUR", 2450),
            ("€ 24", 2400),
            ("24 €", 2400),
            ("$24.50", 2450),
            ("£24", 2400),
            ("EUR 24,50", 2450),
            ("chf 24", 2400),
            ("24 euros", 2400),
            ("1.234,50", 123_450),
            ("1,234.50", 123_450),
            ("1 234,50 €", 123_450),
            ("1\u{202f}234,50", 123_450),
            ("1'234.50", 123_450),
            ("1’234", 123_400),
            ("1.234.567", 123_456_700),
            ("1,234,567.8", 123_456_780),
            ("1000000000", 100_000_000_000),
            ("24\u{a0}€", 2400),
        ] {
            assert_eq!(parse_money(text), Ok(minor_units), "{text}");
        }
    }

    #[test]
    fn an_amount_with_two_readings_is_refused_with_both() {
        for text in ["1.234", "1,234", "€ 1.234"] {
            assert_eq!(parse_money(text).unwrap_err().likely.as_deref(), Some("1234 or 1.234"));
        }
        assert_eq!(parse_money("1 234").unwrap_err().likely.as_deref(), Some("1234"));
    }

    #[test]
    fn what_is_no_amount_is_refused() {
        for text in [
            "",
            "€",
            "free",
            "-5",
            "−5",
            "- 5 EUR",
            "€ -5",
            "(5)",
            "24.505",
            "0.505",
            "24.",
            "24,-",
            "24 25",
            "24.50.50",
            "1.23.4",
            "1,23,456.00",
            "1.234,567",
            "1,234.567.8",
            "12345,678",
            "0,234.50",
            "24 XYZ",
            "€24€",
            "EUR 24 USD",
            "1e3",
            "24/2",
            "24:50",
            "2 4.50",
            "nan",
            "inf",
            "24 each",
            "~24",
            "1000000001",
            "9".repeat(100).as_str(),
            "２４",
            ".",
            ",5,",
            "1 2345,00",
            "1.'234",
            "+5",
        ] {
            assert!(parse_money(text).is_err(), "{text}");
        }
        assert!(parse_money("-5").unwrap_err().reason.contains("negative"));
        assert!(parse_money(&"1".repeat(1_000_000)).is_err());
    }
}
