//! Numbers as they are written: whole, decimal, fractions and mixed numbers.

use super::error::Refusal;
use super::show::fraction;
use super::text::{Kind, Token};

/// Denominators that rulers carry, and those that decimals and thirds give.
const DENOMINATORS: [u32; 9] = [2, 3, 4, 5, 8, 10, 16, 32, 64];

/// How a number was written, as far as it casts doubt on what was meant.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Form {
    /// Digits alone.
    Whole,
    /// With a decimal point or comma. Where exactly three digits follow it, it
    /// may have been a thousands separator, and this is the number then.
    Decimal { grouped: Option<f64> },
    /// A mixed number or a proper fraction.
    Mixed,
    /// A fraction above one. It may be a mixed number that lost its space, and
    /// these are the mixed numbers it can have been.
    Improper { mixed: Vec<f64> },
}

/// A number without its sign; finite and not negative.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Number {
    pub(super) value: f64,
    pub(super) form: Form,
}

impl Number {
    fn mixed(value: f64) -> Self {
        Self { value, form: Form::Mixed }
    }

    /// Refuses a fraction that may be a mixed number without its space.
    ///
    /// For quantities without a narrow range in which only one reading fits.
    pub(super) fn require_certain(&self) -> Result<(), Refusal> {
        match &self.form {
            Form::Improper { mixed } if !mixed.is_empty() => Err(Refusal::new(format!(
                "it may be {} or a mixed number that lost its space",
                plain(self.value)
            ))
            .likely(any_of(mixed.iter().map(|&value| plain(value))))),
            _ => Ok(()),
        }
    }
}

/// Reads the number that begins at `*at` and moves past it; `None` if none does.
pub(super) fn read_number(tokens: &[Token], at: &mut usize) -> Result<Option<Number>, Refusal> {
    let Some(token) = tokens.get(*at) else {
        return Ok(None);
    };
    match &token.kind {
        Kind::Decimal(digits) => {
            *at += 1;
            let value = digits_value(digits)?;
            let grouped = digits
                .split_once('.')
                .is_some_and(|(whole, part)| part.len() == 3 && !whole.starts_with('0'))
                .then_some(value * 1000.0);
            Ok(Some(Number { value, form: Form::Decimal { grouped } }))
        }
        Kind::Vulgar(above, below) => {
            *at += 1;
            Ok(Some(Number::mixed(fraction_value(*above, *below)?)))
        }
        Kind::Whole(digits) => {
            if let Some((above, below)) = slashed(tokens, *at)? {
                *at += 3;
                return lone_fraction(digits, above, below).map(Some);
            }
            *at += 1;
            let whole = digits_value(digits)?;
            let Some((above, below)) = read_joined_fraction(tokens, at)? else {
                return Ok(Some(Number { value: whole, form: Form::Whole }));
            };
            let part = fraction_value(above, below)?;
            if above >= below {
                return Err(Refusal::new(format!(
                    "the fraction {above}/{below} beside a whole number must be below one"
                )));
            }
            Ok(Some(Number::mixed(whole + part)))
        }
        _ => Ok(None),
    }
}

/// The fraction that makes the whole number before `*at` a mixed one.
///
/// It follows directly, after a blank, or after a hyphen that touches both; but
/// a hyphen after zero joins nothing, for nobody writes a half as 0-1/2.
fn read_joined_fraction(tokens: &[Token], at: &mut usize) -> Result<Option<(u32, u32)>, Refusal> {
    let touches = |index: usize| tokens.get(index).is_some_and(|token| !token.spaced);
    let is_hyphenated = tokens.get(*at).is_some_and(|token| token.kind == Kind::Hyphen)
        && touches(*at)
        && touches(*at + 1)
        && at.checked_sub(1).and_then(|before| tokens.get(before)).is_some_and(
            |token| matches!(&token.kind, Kind::Whole(digits) if !digits.trim_start_matches('0').is_empty()),
        );
    let start = if is_hyphenated { *at + 1 } else { *at };
    if let Some(Kind::Vulgar(above, below)) = tokens.get(start).map(|token| &token.kind) {
        *at = start + 1;
        return Ok(Some((*above, *below)));
    }
    let found = slashed(tokens, start)?;
    if found.is_some() {
        *at = start + 3;
    }
    Ok(found)
}

/// The two halves of a fraction with a stroke that begins at `at`.
fn slashed(tokens: &[Token], at: usize) -> Result<Option<(u32, u32)>, Refusal> {
    let kind = |index: usize| tokens.get(index).map(|token| &token.kind);
    let (Some(Kind::Whole(above)), Some(Kind::Slash)) = (kind(at), kind(at + 1)) else {
        return Ok(None);
    };
    let Some(Kind::Whole(below)) = kind(at + 2) else {
        return Err(Refusal::new("a whole number must follow the stroke of a fraction"));
    };
    match (above.parse(), below.parse()) {
        (Ok(above), Ok(below)) => Ok(Some((above, below))),
        _ => Err(Refusal::new("the numbers of its fraction are too large")),
    }
}

fn lone_fraction(digits: &str, above: u32, below: u32) -> Result<Number, Refusal> {
    let value = fraction_value(above, below)?;
    let form = if above < below {
        Form::Mixed
    } else {
        Form::Improper { mixed: with_space_restored(digits, below) }
    };
    Ok(Number { value, form })
}

fn fraction_value(above: u32, below: u32) -> Result<f64, Refusal> {
    if DENOMINATORS.contains(&below) {
        Ok(f64::from(above) / f64::from(below))
    } else {
        Err(Refusal::new(format!("fractions are of 2, 3, 4, 5, 8, 10, 16, 32 or 64 parts, not of {below}")))
    }
}

/// The mixed numbers that `digits/below` can have been before it lost its space:
/// 73/4 can have been 7 3/4.
fn with_space_restored(digits: &str, below: u32) -> Vec<f64> {
    (1..digits.len())
        .filter_map(|cut| {
            let (whole, above) = digits.split_at_checked(cut)?;
            if whole.starts_with('0') || above.starts_with('0') {
                return None;
            }
            let above: u32 = above.parse().ok()?;
            let whole: f64 = whole.parse().ok()?;
            (above < below).then(|| whole + f64::from(above) / f64::from(below))
        })
        .collect()
}

fn digits_value(digits: &str) -> Result<f64, Refusal> {
    digits
        .parse()
        .ok()
        .filter(|value: &f64| value.is_finite())
        .ok_or_else(|| Refusal::new("the number cannot be read"))
}

/// Numbers beyond this, either way, are not spelled out in messages.
const LARGEST_SPELLED_OUT: f64 = 1e6;

/// A number as it stands in messages: a mixed number if it is a whole number of
/// 64ths, else a decimal of at most four places.
pub(super) fn plain(value: f64) -> String {
    if value.abs() <= LARGEST_SPELLED_OUT && (value * 64.0).fract() == 0.0 {
        fraction(value, 64)
    } else {
        decimal(value)
    }
}

/// A number as a decimal of at most four places, without idle zeros.
pub(super) fn decimal(value: f64) -> String {
    if value.abs() > LARGEST_SPELLED_OUT {
        return "far more than 100000".to_owned();
    }
    let text = format!("{value:.4}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0" } else { text }.to_owned()
}

/// "a", "a or b", "a, b or c"; nothing for no readings.
pub(super) fn any_of(readings: impl IntoIterator<Item = String>) -> String {
    let mut readings: Vec<String> = readings.into_iter().collect();
    match readings.pop() {
        None => String::new(),
        Some(last) if readings.is_empty() => last,
        Some(last) => format!("{} or {last}", readings.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::text::tokenize;
    use approx::assert_relative_eq;

    fn read(text: &str) -> Number {
        let mut at = 0;
        let tokens = tokenize(text).unwrap();
        let number = read_number(&tokens, &mut at).unwrap().unwrap();
        assert_eq!(at, tokens.len(), "{text}");
        number
    }

    #[test]
    fn every_way_to_write_a_number_is_read() {
        for (text, value) in [
            ("7", 7.0),
            ("7.75", 7.75),
            (".75", 0.75),
            ("3/4", 0.75),
            ("¾", 0.75),
            ("7 3/4", 7.75),
            ("7-3/4", 7.75),
            ("7¾", 7.75),
            ("7 ¾", 7.75),
            ("7-¾", 7.75),
            ("7 3 / 4", 7.75),
            ("0 1/2", 0.5),
            ("18 63/64", 18.984375),
        ] {
            assert_relative_eq!(read(text).value, value);
        }
    }

    #[test]
    fn a_fraction_above_one_names_what_it_may_have_been() {
        assert_eq!(read("73/4").form, Form::Improper { mixed: vec![7.75] });
        assert_eq!(read("6111/16").form, Form::Improper { mixed: vec![61.6875, 611.0625] });
        assert_eq!(read("5/4").form, Form::Improper { mixed: vec![] });
    }

    #[test]
    fn fractions_no_ruler_carries_are_refused() {
        for text in ["3/7", "3/0", "7 3/4294967296", "7 5/4", "7 4/4", "⅙", "3/", "3/.5"] {
            assert!(read_number(&tokenize(text).unwrap(), &mut 0).is_err(), "{text}");
        }
    }

    #[test]
    fn numbers_in_messages_are_short() {
        assert_eq!(plain(197.0), "197");
        assert_eq!(plain(7.75), "7 3/4");
        assert_eq!(plain(19.7), "19.7");
        assert_eq!(plain(1e300), "far more than 100000");
        assert_eq!(decimal(19.50), "19.5");
        assert_eq!(any_of(["a", "b", "c"].map(String::from)), "a, b or c");
    }
}
