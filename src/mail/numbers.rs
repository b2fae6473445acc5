//! Numbers as an archer writes them, with their units and ranges, among the words around them.

use super::number_words::{fraction, slashed, whole};
use super::tokens::{Kind, Token};

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

/// A number.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Number {
    pub(super) value: Value,
    pub(super) unit: Option<Measured>,
    /// The sign that touches it.
    pub(super) sign: Option<char>,
    /// What it may be more or less: 7 3/4 ± 1/4.
    pub(super) spread: Option<Value>,
}

impl Number {
    /// The value as the readers of quantities take it, in its unit or in another.
    pub(super) fn spelled(&self, unit: Measured) -> String {
        spelled(&self.value, unit)
    }

    /// The range of what it may be more or less.
    pub(super) fn spread_range(&self, unit: Measured) -> Option<String> {
        let half = self.spread.as_ref()?.size;
        let end =
            |size: f64| spelled(&Value { written: format!("{size}"), size, shape: Shape::Decimal }, unit);
        Some(format!("{} to {}", end(self.value.size - half), end(self.value.size + half)))
    }

    /// Its size in inches, in a unit of length.
    pub(super) fn inches(&self, unit: Measured) -> f64 {
        match unit {
            Measured::Foot => self.value.size * 12.0,
            Measured::Cm => self.value.size / 2.54,
            Measured::Mm => self.value.size / 25.4,
            Measured::Metre => self.value.size / 0.0254,
            _ => self.value.size,
        }
    }
}

fn spelled(value: &Value, unit: Measured) -> String {
    if unit == Measured::Metre {
        format!("{} mm", (value.size * 10_000.0).round() / 10.0)
    } else {
        format!("{} {}", value.written, unit.written())
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
    let (value, mut unit, mut end) = measured(tokens, at)?;
    let sign = sign_before(tokens, at);
    let start = if sign.is_some() { at - 1 } else { at };
    let mut spread = None;
    if let Some(next) = plus_minus(tokens, end)
        && let Some((half, half_unit, after)) = measured(tokens, next)
    {
        unit = half_unit.or(unit);
        end = after;
        spread = Some(half);
    }
    Some((Number { value, unit, sign, spread }, start, end))
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

/// Where the number behind a plus-minus begins.
fn plus_minus(tokens: &[Token], at: usize) -> Option<usize> {
    let is_mark = |at: usize, mark: char| tokens.get(at).is_some_and(|token| token.is_mark(mark));
    let is_row = |words: &[&str]| {
        words
            .iter()
            .enumerate()
            .all(|(place, word)| tokens.get(at + place).is_some_and(|token| token.is_word(word)))
    };
    if is_row(&["give", "or", "take"]) || is_row(&["plus", "or", "minus"]) {
        return Some(at + 3);
    }
    if is_mark(at, '±') {
        return Some(at + 1);
    }
    let stroke = usize::from(is_mark(at + 1, '/'));
    (is_mark(at, '+') && is_mark(at + 1 + stroke, '-')).then_some(at + 2 + stroke)
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
    if unit == Some(Measured::Cm) && value.shape == Shape::Whole {
        // 19 cm and 3 mm
        let link = usize::from(tokens.get(end).is_some_and(|token| token.is_word("and")));
        if let Some((parts, after)) = value_at(tokens, end + link).filter(|(parts, _)| parts.size < 10.0)
            && let Some((Measured::Mm, after)) = unit_at(tokens, after, end + link, parts.shape)
        {
            let size = value.size + parts.size / 10.0;
            return Some((Value { written: format!("{size}"), size, shape: Shape::Decimal }, unit, after));
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
    // "21/22" are two heights in centimetres and no fraction.
    let is_pair = |above: u32, below: u32| {
        above >= 12 && above < below && below <= above + 3 && below < 30 && below != 16
    };
    if let Some(((above, below), end)) =
        slashed(tokens, at).filter(|((above, below), _)| !is_pair(*above, *below))
    {
        let size = if below == 0 { 0.0 } else { f64::from(above) / f64::from(below) };
        let shape = if above < below { Shape::Proper } else { Shape::Improper };
        return Some((Value { written: format!("{digits}/{below}"), size, shape }, end));
    }
    let value = whole_value(digits.parse().ok()?, digits.to_owned());
    // "3 dozen", "2 hundred"
    let times = tokens.get(at + 1).filter(|token| token.kind == Kind::Word).and_then(|token| {
        match token.text.as_str() {
            "dozen" => Some(12.0),
            "hundred" => Some(100.0),
            "thousand" | "k" => Some(1000.0),
            _ => None,
        }
    });
    if let Some(times) = times {
        let size = value.size * times;
        return Some((whole_value(size, format!("{size}")), at + 2));
    }
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

/// A unit behind a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Measured {
    Inch,
    Foot,
    Cm,
    Mm,
    Metre,
    Pound,
    Kilogram,
    Newton,
}

impl Measured {
    pub(super) fn is_length(self) -> bool {
        !matches!(self, Self::Pound | Self::Kilogram | Self::Newton)
    }

    pub(super) fn written(self) -> &'static str {
        match self {
            Self::Inch => "in",
            Self::Foot => "ft",
            Self::Cm => "cm",
            Self::Mm | Self::Metre => "mm",
            Self::Pound => "lb",
            Self::Kilogram => "kg",
            Self::Newton => "N",
        }
    }
}

/// Words that can follow "in" where it means inches.
#[rustfmt::skip]
const AFTER_INCHES: &[&str] = &[
    "long", "bow", "recurve", "longbow", "selfbow", "flatbow", "string", "bowstring", "brace", "to",
    "and", "but", "or", "now", "is", "was", "for", "at", "from", "as", "when", "with", "which", "high",
    "draw", "amo", "on", "after", "before", "so", "instead", "too", "low", "lower", "higher", "longer",
    "shorter", "loaded", "riser", "measured",
];

/// The unit at `at`, and where it ends; `from` is where its number begins.
pub(super) fn unit_at(tokens: &[Token], at: usize, from: usize, shape: Shape) -> Option<(Measured, usize)> {
    let token = tokens.get(at)?;
    let unit = match token.kind {
        Kind::Mark('"') if !is_closing_quote(tokens, at, from) => Measured::Inch,
        Kind::Mark('\'') if !token.spaced && !is_closing_quote(tokens, at, from) => Measured::Foot,
        Kind::Mark('#') => Measured::Pound,
        Kind::Word => match token.text.as_str() {
            "in" if is_inches(tokens, at, shape) => Measured::Inch,
            "inch" | "inches" | "ins" | "inchs" | "inche" => Measured::Inch,
            "ft" | "foot" | "feet" => Measured::Foot,
            "cm" | "cms" | "centimetre" | "centimetres" | "centimeter" | "centimeters" => Measured::Cm,
            "mm" | "mms" | "millimetre" | "millimetres" | "millimeter" | "millimeters" => Measured::Mm,
            "m" | "metre" | "metres" | "meter" | "meters" => Measured::Metre,
            "lb" | "lbs" | "lbf" | "pound" | "pounds" => Measured::Pound,
            "kg" | "kgs" | "kgf" | "kilo" | "kilos" => Measured::Kilogram,
            "n" | "newton" | "newtons" => Measured::Newton,
            _ => return None,
        },
        _ => return None,
    };
    // The point of an abbreviation, where no sentence begins behind it.
    let is_abbreviation = token.is_any(&["in", "ft", "lb", "lbs", "ins"]);
    let has_point =
        is_abbreviation && tokens.get(at + 1).is_some_and(|next| next.is_mark('.') && !next.spaced);
    let goes_on = tokens.get(at + 2).is_some_and(|next| {
        matches!(next.kind, Kind::Mark(',' | '(' | ')' | ';')) || next.is_any(AFTER_INCHES)
    });
    Some((unit, at + 1 + usize::from(has_point && goes_on)))
}

/// Whether "in" behind a number means inches and not the preposition.
fn is_inches(tokens: &[Token], at: usize, shape: Shape) -> bool {
    if tokens.get(at).is_some_and(|token| !token.spaced) {
        return true;
    }
    // "6 in" may be six turns in; without its unit six is six inches where it is a length.
    if shape == Shape::Whole {
        return false;
    }
    match tokens.get(at + 1) {
        None => true,
        Some(next) => match next.kind {
            Kind::Word => AFTER_INCHES.contains(&next.text.as_str()),
            Kind::Number => false,
            _ => true,
        },
    }
}

/// Whether the quote at `at` ends a quotation that began right before its number or words.
fn is_closing_quote(tokens: &[Token], at: usize, from: usize) -> bool {
    let mark = tokens.get(at).map(|token| token.kind);
    let first = from.saturating_sub(12);
    let opened = (first..from)
        .rev()
        .take_while(|&place| tokens.get(place).is_some_and(|token| token.kind != Kind::Break))
        .find(|&place| tokens.get(place).map(|token| token.kind) == mark);
    // An opening quote has a blank before it and touches what it opens.
    opened.is_some_and(|place| {
        tokens.get(place).is_some_and(|quote| quote.spaced)
            && tokens.get(place + 1).is_some_and(|next| !next.spaced)
    })
}

#[cfg(test)]
mod tests {
    use super::super::tokens::tokenize;
    use super::*;

    fn numbers(text: &str) -> Vec<Number> {
        items(&tokenize(text)).into_iter().filter_map(|item| item.number().cloned()).collect()
    }

    #[test]
    fn values_are_put_together_with_their_units() {
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
            ("19 cm and 3 mm", "19.3", Some(Measured::Cm)),
            ("1.62 m", "1.62", Some(Measured::Metre)),
            ("5' 2 1/2\"", "62.5", Some(Measured::Inch)),
            ("73/4", "73/4", None),
            ("7.75in.", "7.75", Some(Measured::Inch)),
            ("45#", "45", Some(Measured::Pound)),
            ("62in long", "62", Some(Measured::Inch)),
            // Six may be turns.
            ("6 in", "6", None),
            ("62 in the morning", "62", None),
        ] {
            let found = numbers(text);
            let held: Vec<_> = found.iter().map(|one| (one.value.written.as_str(), one.unit)).collect();
            assert_eq!(held, [(written, unit)], "{text}");
        }
    }

    #[test]
    fn the_ends_of_a_range_are_two_numbers_and_a_spread_is_one() {
        for (text, count) in
            [("8 to 8 1/4", 2), ("7 1/2-8", 2), ("7.5–8", 2), ("7 3/4 ± 1/4", 1), ("7 3/4 +/- 1/4", 1)]
        {
            assert_eq!(numbers(text).len(), count, "{text}");
        }
        let spread = numbers("7 3/4 ± 1/4").remove(0).spread_range(Measured::Inch);
        assert_eq!(spread.as_deref(), Some("7.5 in to 8 in"));
    }

    #[test]
    fn signs_belong_to_numbers_they_touch() {
        assert_eq!(numbers("turns: +6")[0].sign, Some('+'));
        assert_eq!(numbers("-4 turns")[0].sign, Some('-'));
        assert_eq!(numbers("- 10 turns")[0].sign, None);
        assert_eq!(numbers("7-8")[1].sign, None);
    }
}
