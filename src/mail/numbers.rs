//! Numbers as an archer writes them, with their units and ranges, among the words around them.

use super::number_words::{fraction, slashed, whole};
use super::tokens::{DASH, DOTS, Kind, Token};
use super::units::{Measured, unit_at};
use crate::quantity::{Length, LengthRange, Measure, QuantityError, Unit, parse_length, parse_range};

/// How a number was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    Whole,
    Decimal,
    /// A whole number with a fraction.
    Mixed,
    /// A fraction below one.
    Proper,
    /// A fraction above one, which may be a mixed number that lost its space.
    Improper,
}

/// One value: its spelling for the readers of quantities, and its size.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Value {
    pub(super) written: String,
    pub(super) size: f64,
    pub(super) shape: Shape,
}

/// A number or a range of numbers.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Number {
    pub(super) value: Value,
    pub(super) high: Option<Value>,
    pub(super) unit: Option<Measured>,
    /// The sign that touches it.
    pub(super) sign: Option<char>,
    /// A plus-minus stands between its two values.
    pub(super) is_spread: bool,
}

impl Number {
    /// Its size in inches, a bare number being in `unit`.
    pub(super) fn inches(&self, unit: Unit) -> f64 {
        let unit = self.unit.unwrap_or(match unit {
            Unit::Inch => Measured::Inch,
            Unit::Cm => Measured::Cm,
            Unit::Mm => Measured::Mm,
        });
        match unit {
            Measured::Foot => self.value.size * 12.0,
            Measured::Cm => self.value.size / 2.54,
            Measured::Mm => self.value.size / 25.4,
            Measured::Metre => self.value.size / 0.0254,
            _ => self.value.size,
        }
    }

    fn spelled(&self, value: &Value) -> String {
        let unit = self.unit.map(Measured::written).unwrap_or_default();
        if self.unit == Some(Measured::Metre) {
            format!("{} mm", (value.size * 10_000.0).round() / 10.0)
        } else {
            format!("{} {unit}", value.written)
        }
    }

    /// Its spelling as a draw weight; a bare number is in pounds.
    pub(super) fn weight_text(&self) -> String {
        let unit = self.unit.unwrap_or(Measured::Pound);
        format!("{} {}", self.value.written, unit.written())
    }

    /// Its spelling as a length, with its unit where it has one.
    pub(super) fn length_text(&self) -> String {
        self.spelled(&self.value)
    }

    /// The length it is of `what`.
    pub(super) fn length(&self, unit: Unit, what: Measure) -> Result<Length, QuantityError> {
        parse_length(&self.spelled(&self.value), unit, what)
    }

    /// The range it is of `what`; a single value has no width.
    pub(super) fn range(&self, unit: Unit, what: Measure) -> Result<LengthRange, QuantityError> {
        let low = self.spelled(&self.value);
        match &self.high {
            Some(high) => parse_range(&format!("{low} to {}", self.spelled(high)), unit, what),
            None => parse_range(&low, unit, what),
        }
    }
}

/// What stands in a text.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum What {
    Word(String),
    Number(Number),
    Mark(char),
    Break,
    Noise,
}

/// Something that stands in a text, and where.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Item {
    pub(super) what: What,
    pub(super) start: usize,
    pub(super) end: usize,
    pub(super) spaced: bool,
}

impl Item {
    pub(super) fn word(&self) -> Option<&str> {
        match &self.what {
            What::Word(word) => Some(word),
            _ => None,
        }
    }

    pub(super) fn number(&self) -> Option<&Number> {
        match &self.what {
            What::Number(number) => Some(number),
            _ => None,
        }
    }

    pub(super) fn is_mark(&self, mark: char) -> bool {
        self.what == What::Mark(mark)
    }

    pub(super) fn is_any(&self, words: &[&str]) -> bool {
        self.word().is_some_and(|word| words.contains(&word))
    }
}

/// The tokens with their numbers put together.
pub(super) fn items(tokens: &[Token]) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    let mut at = 0;
    while let Some(token) = tokens.get(at) {
        if let Some((number, start, end)) = number_at(tokens, at) {
            let last = tokens.get(end - 1).map_or(token.end, |last| last.end);
            let first = tokens.get(start).map_or(token.start, |first| first.start);
            if start < at {
                items.pop();
            }
            items.push(Item { what: What::Number(number), start: first, end: last, spaced: token.spaced });
            at = end;
            continue;
        }
        let what = match token.kind {
            Kind::Word => What::Word(token.text.clone()),
            Kind::Mark('-') if tokens.get(at + 1).is_some_and(|next| next.is_mark('>') && !next.spaced) => {
                at += 1;
                What::Mark('→')
            }
            Kind::Mark(mark) => What::Mark(mark),
            Kind::Vulgar(..) => What::Mark('?'),
            Kind::Break => What::Break,
            Kind::Number | Kind::Noise => What::Noise,
        };
        items.push(Item { what, start: token.start, end: token.end, spaced: token.spaced });
        at += 1;
    }
    items
}

/// The number at `at`: itself, where it starts (a sign may stand before), and where it ends.
fn number_at(tokens: &[Token], at: usize) -> Option<(Number, usize, usize)> {
    let (low, mut unit, mut end) = measured(tokens, at)?;
    let sign = sign_before(tokens, at);
    let start = if sign.is_some() { at - 1 } else { at };
    let before = |back: usize| at.checked_sub(back).and_then(|at| tokens.get(at));
    let is_between = (1..=3).any(|back| before(back).is_some_and(|token| token.is_word("between")));
    let mut high = None;
    let mut is_spread = false;
    // "Dropped by 3/8 to 7 1/8"
    let is_step =
        low.shape == Shape::Proper && before(1).is_some_and(|token| token.is_any(&["by", "of", "lost"]));
    if !is_step
        && let Some((next, spread)) = separator(tokens, end, is_between)
        && let Some((upper, upper_unit, upper_end)) = measured(tokens, next)
        && !(low.shape == Shape::Mixed && counts(tokens, upper_end))
    {
        is_spread = spread;
        // "19 cm to 20": what is said of the one holds for the other.
        unit = upper_unit.or(unit);
        end = upper_end;
        high = Some(upper);
    }
    let mut number = Number { value: low, high, unit, sign, is_spread };
    if is_spread {
        spread_out(&mut number);
    }
    Some((number, start, end))
}

/// Whether the number that ends at `at` counts something: "want 7 5/8 - 90 shots".
fn counts(tokens: &[Token], at: usize) -> bool {
    tokens.get(at).is_some_and(|token| token.is_any(&["shots", "arrows", "turns", "twists", "rotations"]))
}

/// 7 3/4 ± 1/4 as the range it is.
fn spread_out(number: &mut Number) {
    let Some(half) = number.high.take() else {
        return;
    };
    let end = |size: f64| Value { written: format!("{size}"), size, shape: Shape::Decimal };
    let middle = number.value.size;
    number.value = end(middle - half.size);
    number.high = Some(end(middle + half.size));
}

fn sign_before(tokens: &[Token], at: usize) -> Option<char> {
    let sign = tokens.get(at.checked_sub(1)?)?;
    let touches = tokens.get(at).is_some_and(|token| !token.spaced);
    let stands_free = sign.spaced
        || at
            .checked_sub(2)
            .and_then(|before| tokens.get(before))
            .is_none_or(|before| matches!(before.kind, Kind::Mark('(' | ':' | '=' | '|') | Kind::Break));
    match sign.kind {
        Kind::Mark(c @ ('+' | '-')) if touches && stands_free => Some(c),
        _ => None,
    }
}

/// Where the upper end of a range begins, and whether it is a spread.
fn separator(tokens: &[Token], at: usize, is_between: bool) -> Option<(usize, bool)> {
    let token = tokens.get(at)?;
    let next_spaced = tokens.get(at + 1)?.spaced;
    let is_mark = |at: usize, mark: char| tokens.get(at).is_some_and(|token| token.is_mark(mark));
    let is_word = |at: usize, word: &str| tokens.get(at).is_some_and(|token| token.is_word(word));
    if token.is_any(&["to", "through", "thru", "till", "until"]) || (is_between && token.is_word("and")) {
        return Some((at + 1, false));
    }
    if token.is_any(&["up", "down", "back"]) && is_word(at + 1, "to") {
        return Some((at + 2, false));
    }
    if is_between && token.is_mark('&') {
        return Some((at + 1, false));
    }
    if is_word(at, "give") && is_word(at + 1, "or") && is_word(at + 2, "take") {
        return Some((at + 3, true));
    }
    if is_word(at, "plus") && is_word(at + 1, "or") && is_word(at + 2, "minus") {
        return Some((at + 3, true));
    }
    if token.is_mark('±') {
        return Some((at + 1, true));
    }
    if token.is_mark('+') {
        let stroke = usize::from(is_mark(at + 1, '/'));
        return is_mark(at + 1 + stroke, '-').then_some((at + 2 + stroke, true));
    }
    let is_balanced = token.spaced == next_spaced;
    match token.kind {
        Kind::Mark('-') if is_balanced => Some((at + 1, false)),
        Kind::Mark(DASH) => Some((at + 1, false)),
        Kind::Mark(DOTS) if token.text.len() >= 2 && !next_spaced => Some((at + 1, false)),
        _ => None,
    }
}

/// A value with its unit, and where it ends.
fn measured(tokens: &[Token], at: usize) -> Option<(Value, Option<Measured>, usize)> {
    let (mut value, mut end) = value_at(tokens, at)?;
    let unit = unit_at(tokens, end, at, value.shape);
    if let Some((_, after)) = unit {
        end = after;
    }
    let unit = unit.map(|(unit, _)| unit);
    if unit == Some(Measured::Foot) && value.shape == Shape::Whole {
        // 5' 2 1/2"
        let hyphen = usize::from(tokens.get(end).is_some_and(|token| token.is_mark('-') && !token.spaced));
        if let Some((inches, after)) = value_at(tokens, end + hyphen).filter(|(inches, _)| inches.size < 12.0)
        {
            let after = match unit_at(tokens, after, end, inches.shape) {
                Some((Measured::Inch, after)) => after,
                _ => after,
            };
            let size = value.size * 12.0 + inches.size;
            let value = Value { written: format!("{size}"), size, shape: Shape::Mixed };
            return Some((value, Some(Measured::Inch), after));
        }
    }
    if unit == Some(Measured::Inch) && value.shape == Shape::Whole {
        // 7 inches and 3/4, seven inches and a half
        if let Some((parts, after)) = fraction(tokens, end).or_else(|| slashed(tokens, end))
            && parts.0 < parts.1
            && tokens
                .get(end)
                .is_some_and(|token| token.is_word("and") || token.is_mark('&') || token.kind == Kind::Number)
        {
            value = mixed(&value, parts)?;
            end = match unit_at(tokens, after, end, Shape::Mixed) {
                Some((Measured::Inch, after)) => after,
                _ => after,
            };
        }
    }
    Some((value, unit, end))
}

fn mixed(whole: &Value, (above, below): (u32, u32)) -> Option<Value> {
    (below != 0).then(|| Value {
        written: format!("{} {above}/{below}", whole.written),
        size: whole.size + f64::from(above) / f64::from(below),
        shape: Shape::Mixed,
    })
}

/// A number without its unit, and where it ends.
fn value_at(tokens: &[Token], at: usize) -> Option<(Value, usize)> {
    let token = tokens.get(at)?;
    match token.kind {
        Kind::Vulgar(above, below) => Some((
            Value {
                written: format!("{above}/{below}"),
                size: f64::from(above) / f64::from(below),
                shape: Shape::Proper,
            },
            at + 1,
        )),
        Kind::Word => {
            let (value, end) = whole(tokens, at)?;
            let value = whole_value(f64::from(value), value.to_string());
            match fraction(tokens, end).filter(|((above, below), _)| above < below) {
                Some((parts, after)) => Some((mixed(&value, parts)?, after)),
                None => Some((value, end)),
            }
        }
        Kind::Number if token.text.contains(['.', ',']) => {
            let written = token.text.replace(',', ".");
            let size: f64 = format!("0{written}").parse().ok()?;
            Some((Value { written: token.text.clone(), size, shape: Shape::Decimal }, at + 1))
        }
        Kind::Number => digits_at(tokens, at, &token.text),
        _ => None,
    }
}

fn whole_value(size: f64, written: String) -> Value {
    Value { written, size, shape: Shape::Whole }
}

fn digits_at(tokens: &[Token], at: usize, digits: &str) -> Option<(Value, usize)> {
    if let Some(((above, below), end)) = slashed(tokens, at) {
        let size = if below == 0 { 0.0 } else { f64::from(above) / f64::from(below) };
        let shape = if above < below { Shape::Proper } else { Shape::Improper };
        return Some((Value { written: format!("{digits}/{below}"), size, shape }, end));
    }
    let value = whole_value(digits.parse().ok()?, digits.to_owned());
    // "7-3/4": the hyphen touches both.
    let is_hyphenated = tokens.get(at + 1).is_some_and(|token| token.is_mark('-') && !token.spaced)
        && tokens.get(at + 2).is_some_and(|token| !token.spaced);
    let next = at + 1 + usize::from(is_hyphenated);
    let part = match tokens.get(next).map(|token| token.kind) {
        Some(Kind::Vulgar(above, below)) => Some(((above, below), next + 1)),
        _ => slashed(tokens, next),
    };
    match part.filter(|((above, below), _)| above < below) {
        Some((parts, end)) => Some((mixed(&value, parts)?, end)),
        None => match fraction(tokens, at + 1).filter(|((above, below), _)| above < below) {
            Some((parts, end)) => Some((mixed(&value, parts)?, end)),
            None => Some((value, at + 1)),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::super::tokens::tokenize;
    use super::*;

    fn numbers(text: &str) -> Vec<Number> {
        items(&tokenize(text)).into_iter().filter_map(|item| item.number().cloned()).collect()
    }

    fn one(text: &str) -> (String, Option<String>, Option<Measured>) {
        let mut found = numbers(text);
        assert_eq!(found.len(), 1, "{text}: {found:?}");
        let number = found.remove(0);
        (number.value.written, number.high.map(|high| high.written), number.unit)
    }

    #[test]
    fn single_values_are_put_together() {
        for (text, written, unit) in [
            ("7 3/4", "7 3/4", None),
            ("7-3/4\"", "7 3/4", Some(Measured::Inch)),
            ("7¾", "7 3/4", None),
            ("7 ¾ ″", "7 3/4", Some(Measured::Inch)),
            ("7³⁄₄", "7 3/4", None),
            ("7 and 3/4 inches", "7 3/4", Some(Measured::Inch)),
            ("7 inches and 3/4", "7 3/4", Some(Measured::Inch)),
            ("seven and three quarters", "7 3/4", None),
            ("six and a half inches", "6 1/2", Some(Measured::Inch)),
            ("seven inches and a half", "7 1/2", Some(Measured::Inch)),
            ("19,7 cm", "19,7", Some(Measured::Cm)),
            ("1.62 m", "1.62", Some(Measured::Metre)),
            ("5' 2 1/2\"", "62.5", Some(Measured::Inch)),
            ("73/4", "73/4", None),
            ("7.75in.", "7.75", Some(Measured::Inch)),
            ("45#", "45", Some(Measured::Pound)),
            ("62 in long", "62", Some(Measured::Inch)),
            ("62 in the morning", "62", None),
        ] {
            assert_eq!(one(text), (written.to_owned(), None, unit), "{text}");
        }
    }

    #[test]
    fn ranges_are_put_together() {
        for (text, low, high) in [
            ("8 to 8 1/4", "8", "8 1/4"),
            ("7 1/2-8", "7 1/2", "8"),
            ("7-1/2 - 8-1/4", "7 1/2", "8 1/4"),
            ("between 7 1/2 and 8\"", "7 1/2", "8"),
            ("7.5–8", "7.5", "8"),
            ("7.5..8", "7.5", "8"),
            ("19 cm to 20", "19", "20"),
            ("7 3/4 ± 1/4", "7.5", "8"),
            ("7 3/4 +/- 1/4", "7.5", "8"),
        ] {
            let (found_low, found_high, _) = one(text);
            assert_eq!((found_low.as_str(), found_high.as_deref()), (low, Some(high)), "{text}");
        }
        assert_eq!(numbers("7 and 8").len(), 2);
    }

    #[test]
    fn signs_belong_to_numbers_they_touch() {
        assert_eq!(numbers("turns: +6")[0].sign, Some('+'));
        assert_eq!(numbers("-4 turns")[0].sign, Some('-'));
        assert_eq!(numbers("- 10 turns")[0].sign, None);
        assert_eq!(numbers("7-8")[0].sign, None);
    }
}
