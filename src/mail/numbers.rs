//! Numbers as an archer writes them, in digits and in words, with their units, among the words around them.

use super::lists::{holds, list};
use super::tokens::{Kind, Row, Token};
use crate::quantity::MILLIMETRES_PER_INCH;

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

impl Value {
    fn new(size: f64, shape: Shape) -> Self {
        Self { written: format!("{size}"), size, shape }
    }

    /// A whole number and a fraction below one.
    fn mixed(&self, (above, below): (u32, u32)) -> Self {
        Self {
            written: format!("{} {above}/{below}", self.written),
            size: self.size + f64::from(above) / f64::from(below),
            shape: Shape::Mixed,
        }
    }

    fn spelled(&self, unit: Measured) -> String {
        if unit == Measured::Metre {
            format!("{} mm", (self.size * 10_000.0).round() / 10.0)
        } else {
            format!("{} {}", self.written, unit.written())
        }
    }
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
        self.value.spelled(unit)
    }

    /// The range of what it may be more or less.
    pub(super) fn spread_range(&self, unit: Measured) -> Option<String> {
        let half = self.spread.as_ref()?.size;
        let end = |size: f64| Value::new(size, Shape::Decimal).spelled(unit);
        Some(format!("{} to {}", end(self.value.size - half), end(self.value.size + half)))
    }

    /// Its size in inches, in a unit of length.
    pub(super) fn inches(&self, unit: Measured) -> f64 {
        match unit {
            Measured::Foot => self.value.size * 12.0,
            Measured::Cm => self.value.size / (MILLIMETRES_PER_INCH / 10.0),
            Measured::Mm => self.value.size / MILLIMETRES_PER_INCH,
            Measured::Metre => self.value.size / (MILLIMETRES_PER_INCH / 1000.0),
            _ => self.value.size,
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
    let row = Row(tokens);
    let mut items: Vec<Item> = Vec::new();
    let mut at = 0;
    while let Some(token) = row.get(at) {
        if let Some((number, end)) = number_at(row, at) {
            // Its sign was taken for a mark.
            let signed = number.sign.and_then(|_| items.pop());
            let start = signed.map_or(token.start, |sign| sign.start);
            let last = row.get(end - 1).map_or(token.end, |last| last.end);
            items.push(Item { what: What::Number(number), start, end: last, spaced: token.spaced });
            at = end;
            continue;
        }
        let what = match token.kind {
            Kind::Word => What::Word(token.text.clone()),
            Kind::Mark('-') if row.is_mark(at + 1, &['>']) && row.touches(at + 1) => {
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

/// The number at `at`, with the sign before it, and where it ends.
fn number_at(row: Row<'_>, at: usize) -> Option<(Number, usize)> {
    let (value, unit, end) = measured(row, at)?;
    let sign = sign_before(row, at);
    Some(match plus_minus(row, end).and_then(|next| measured(row, next)) {
        Some((half, half_unit, after)) => {
            (Number { value, unit: half_unit.or(unit), sign, spread: Some(half) }, after)
        }
        None => (Number { value, unit, sign, spread: None }, end),
    })
}

fn sign_before(row: Row<'_>, at: usize) -> Option<char> {
    let sign = row.get(at.checked_sub(1)?)?;
    let stands_free = sign.spaced
        || row
            .kind_before(at, 2)
            .is_none_or(|before| matches!(before, Kind::Mark('(' | ':' | '=' | '|') | Kind::Break));
    match sign.kind {
        Kind::Mark(c @ ('+' | '-')) if row.touches(at) && stands_free => Some(c),
        _ => None,
    }
}

/// Where the number behind a plus-minus begins.
fn plus_minus(row: Row<'_>, at: usize) -> Option<usize> {
    let stands = |words: [&str; 3]| (at..).zip(words).all(|(at, word)| row.is_word(at, &[word]));
    if stands(["give", "or", "take"]) || stands(["plus", "or", "minus"]) {
        return Some(at + 3);
    }
    if row.is_mark(at, &['±']) {
        return Some(at + 1);
    }
    let stroke = usize::from(row.is_mark(at + 1, &['/']));
    (row.is_mark(at, &['+']) && row.is_mark(at + 1 + stroke, &['-'])).then_some(at + 2 + stroke)
}

/// A value with its unit, and where it ends.
fn measured(row: Row<'_>, at: usize) -> Option<(Value, Option<Measured>, usize)> {
    let (value, end) = value_at(row, at)?;
    let Some((unit, end)) = unit_at(row, end, at, value.shape) else {
        return Some((value, None, end));
    };
    let and = usize::from(row.is_word(end, &["and"]));
    // Where the inches end, whether their unit stands behind them or not.
    let behind_inches = |after: usize, from: usize, shape: Shape| match unit_at(row, after, from, shape) {
        Some((Measured::Inch, after)) => after,
        _ => after,
    };
    let more = match unit {
        _ if value.shape != Shape::Whole => None,
        // 5' 2 1/2"
        Measured::Foot => {
            let hyphen = usize::from(row.is_mark(end, &['-']) && row.touches(end));
            value_at(row, end + hyphen).filter(|(inches, _)| inches.size < 12.0).map(|(inches, after)| {
                let sum = Value::new(value.size * 12.0 + inches.size, Shape::Mixed);
                (sum, Measured::Inch, behind_inches(after, end, inches.shape))
            })
        }
        // 19 cm and 3 mm
        Measured::Cm => {
            value_at(row, end + and).filter(|(parts, _)| parts.size < 10.0).and_then(|(parts, after)| {
                match unit_at(row, after, end + and, parts.shape) {
                    Some((Measured::Mm, after)) => {
                        Some((Value::new(value.size + parts.size / 10.0, Shape::Decimal), unit, after))
                    }
                    _ => None,
                }
            })
        }
        // 7 inches and 3/4, seven inches and a half
        Measured::Inch if and == 1 || row.is_mark(end, &['&']) || row.is_number(end) => fraction(row, end)
            .or_else(|| slashed(row, end))
            .filter(|((above, below), _)| above < below)
            .map(|(parts, after)| (value.mixed(parts), unit, behind_inches(after, end, Shape::Mixed))),
        _ => None,
    };
    let (value, unit, end) = more.unwrap_or((value, unit, end));
    Some((value, Some(unit), end))
}

/// A number without its unit, and where it ends.
fn value_at(row: Row<'_>, at: usize) -> Option<(Value, usize)> {
    let token = row.get(at)?;
    let with_fraction = |value: Value, part: Option<((u32, u32), usize)>, end: usize| match part
        .filter(|((above, below), _)| above < below)
    {
        Some((parts, after)) => (value.mixed(parts), after),
        None => (value, end),
    };
    match token.kind {
        Kind::Vulgar(above, below) => {
            let size = f64::from(above) / f64::from(below);
            Some((Value { written: format!("{above}/{below}"), size, shape: Shape::Proper }, at + 1))
        }
        Kind::Word => {
            let (value, end) = whole(row, at)?;
            Some(with_fraction(Value::new(value.into(), Shape::Whole), fraction(row, end), end))
        }
        Kind::Number if token.text.contains(['.', ',']) => {
            let size: f64 = format!("0{}", token.text.replace(',', ".")).parse().ok()?;
            Some((Value { written: token.text.clone(), size, shape: Shape::Decimal }, at + 1))
        }
        Kind::Number => {
            // "21/22" are two heights in centimetres and no fraction.
            let is_pair = |above: u32, below: u32| {
                above >= 12 && above < below && below <= above + 3 && below < 30 && below != 16
            };
            let digits = &token.text;
            if let Some(((above, below), end)) =
                slashed(row, at).filter(|((above, below), _)| !is_pair(*above, *below))
            {
                let size = if below == 0 { 0.0 } else { f64::from(above) / f64::from(below) };
                let shape = if above < below { Shape::Proper } else { Shape::Improper };
                return Some((Value { written: format!("{digits}/{below}"), size, shape }, end));
            }
            let value = Value { written: digits.clone(), size: digits.parse().ok()?, shape: Shape::Whole };
            // "3 dozen", "2 hundred"
            let times = row.get(at + 1).filter(|token| token.kind == Kind::Word);
            let times = times.and_then(|token| match token.text.as_str() {
                "dozen" => Some(12.0),
                "hundred" => Some(100.0),
                "thousand" | "k" => Some(1000.0),
                _ => None,
            });
            if let Some(times) = times {
                return Some((Value::new(value.size * times, Shape::Whole), at + 2));
            }
            // "7-3/4": the hyphen touches both.
            let is_hyphenated = row.is_mark(at + 1, &['-']) && row.touches(at + 1) && row.touches(at + 2);
            let next = at + 1 + usize::from(is_hyphenated);
            let part = match row.get(next).map(|token| token.kind) {
                Some(Kind::Vulgar(above, below)) => Some(((above, below), next + 1)),
                _ => slashed(row, next),
            };
            let part = part.filter(|((above, below), _)| above < below).or_else(|| fraction(row, at + 1));
            Some(with_fraction(value, part, at + 1))
        }
        _ => None,
    }
}

/// A whole number in words at `at`, and where it ends.
fn whole(row: Row<'_>, at: usize) -> Option<(u32, usize)> {
    if row.is_word(at, &["half"]) {
        let article = usize::from(row.is_word(at + 1, &["a"]));
        return row.is_word(at + 1 + article, &["dozen"]).then_some((6, at + 2 + article));
    }
    if row.is_word(at, &["a"]) && row.is_word(at + 1, &["couple", "pair"]) {
        return Some((2, at + 2));
    }
    let (value, next) = hundreds(row, at)?;
    if row.is_word(next, &["dozen"]) {
        return Some((value * 12, next + 1));
    }
    if !row.is_word(next, &["thousand"]) {
        return Some((value, next));
    }
    let rest = next + 1 + usize::from(row.is_word(next + 1, &["and"]));
    match hundreds(row, rest).filter(|(value, _)| !row.is_word(rest, &["a", "an", "one"]) && *value < 1000) {
        Some((rest, end)) => Some((value * 1000 + rest, end)),
        None => Some((value * 1000, next + 1)),
    }
}

fn hundreds(row: Row<'_>, at: usize) -> Option<(u32, usize)> {
    let (value, next) = below_hundred(row, at)?;
    if !row.is_word(next, &["hundred"]) {
        return Some((value, next));
    }
    let rest = next + 1 + usize::from(row.is_word(next + 1, &["and"]));
    Some(match tens_and_ones(row, rest) {
        Some((rest, end)) => (value * 100 + rest, end),
        None => (value * 100, next + 1),
    })
}

fn below_hundred(row: Row<'_>, at: usize) -> Option<(u32, usize)> {
    if row.is_word(at, &["a", "an", "one"]) {
        let is_one = row.is_word(at, &["one"]);
        let is_with_fraction = is_one && fraction(row, at + 1).is_some();
        // "Let one go", "took one out"
        let is_turned = is_one && row.is_word_before(at, 1, list("turned"));
        let is_counted = row.is_word(at + 1, list("counted")) || is_with_fraction || is_turned;
        return is_counted.then_some((1, at + 1));
    }
    if row.is_word(at, &["hundred", "thousand"]) {
        return Some((1, at));
    }
    tens_and_ones(row, at)
}

/// The place of a word in a list.
fn place_in(row: Row<'_>, at: usize, of: &str) -> Option<u32> {
    let token = row.get(at).filter(|token| token.kind == Kind::Word)?;
    u32::try_from(list(of).iter().position(|word| *word == token.text)?).ok()
}

fn tens_and_ones(row: Row<'_>, at: usize) -> Option<(u32, usize)> {
    if let Some(tens) = place_in(row, at, "tens") {
        let ones = place_in(row, at + 1, "ones").filter(|ones| (1..10).contains(ones));
        return Some(((tens + 2) * 10 + ones.unwrap_or(0), at + 1 + usize::from(ones.is_some())));
    }
    place_in(row, at, "ones").map(|value| (value, at + 1))
}

/// What a word for a part makes one into.
fn parts_of(row: Row<'_>, at: usize) -> Option<u32> {
    let token = row.get(at).filter(|token| token.kind == Kind::Word)?;
    Some(match token.text.as_str() {
        "half" | "halves" => 2,
        "third" | "thirds" => 3,
        "quarter" | "quarters" => 4,
        "eighth" | "eighths" => 8,
        "sixteenth" | "sixteenths" => 16,
        _ => return None,
    })
}

/// The fraction that follows a whole number at `at`: "and a half", "& 3/4", "three quarters".
fn fraction(row: Row<'_>, at: usize) -> Option<((u32, u32), usize)> {
    let is_linked = row.is_mark(at, &['&']) || row.is_word(at, &["and"]);
    let start = at + usize::from(is_linked);
    if is_linked && let Some(Kind::Vulgar(above, below)) = row.get(start).map(|token| token.kind) {
        return Some(((above, below), start + 1));
    }
    if is_linked && let Some((parts, end)) = slashed(row, start) {
        return Some((parts, end));
    }
    let above = row.whole(start).or_else(|| place_in(row, start, "ones"));
    let above = above.or_else(|| (is_linked && row.is_word(start, &["a", "an"])).then_some(1));
    if let (Some(above), Some(below)) = (above, parts_of(row, start + 1)) {
        return (above < below).then_some(((above, below), start + 2));
    }
    // "seven and half"
    let below = parts_of(row, start).filter(|_| is_linked)?;
    Some(((1, below), start + 1))
}

/// 3/4 and 7/8ths.
fn slashed(row: Row<'_>, at: usize) -> Option<((u32, u32), usize)> {
    let above = row.whole(at)?;
    let is_stroke = row.is_mark(at + 1, &['/']) && row.touches(at + 1) && row.touches(at + 2);
    let below = row.whole(at + 2).filter(|_| is_stroke)?;
    let ending = row.touches(at + 3) && row.is_word(at + 3, &["th", "ths", "s"]);
    Some(((above, below), at + 3 + usize::from(ending)))
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
    /// Each with the list of the words for it.
    const WORDS: [(&str, Self); 8] = [
        ("inch", Self::Inch),
        ("foot", Self::Foot),
        ("cm", Self::Cm),
        ("mm", Self::Mm),
        ("metre", Self::Metre),
        ("pound", Self::Pound),
        ("kilogram", Self::Kilogram),
        ("newton", Self::Newton),
    ];

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

/// The unit at `at`, and where it ends; `from` is where its number begins.
fn unit_at(row: Row<'_>, at: usize, from: usize, shape: Shape) -> Option<(Measured, usize)> {
    let token = row.get(at)?;
    let unit = match token.kind {
        Kind::Mark('"') if !is_closing_quote(row, at, from) => Measured::Inch,
        Kind::Mark('\'') if !token.spaced && !is_closing_quote(row, at, from) => Measured::Foot,
        Kind::Mark('#') => Measured::Pound,
        Kind::Word if token.text == "in" && is_inches(row, at, shape) => Measured::Inch,
        Kind::Word => Measured::WORDS.iter().find(|(words, _)| holds(words, &token.text))?.1,
        _ => return None,
    };
    // The point of an abbreviation, where no sentence begins behind it.
    let is_abbreviation = token.is_any(&["in", "ft", "lb", "lbs", "ins"]);
    let has_point = is_abbreviation && row.is_mark(at + 1, &['.']) && row.touches(at + 1);
    let goes_on = row.is_mark(at + 2, &[',', '(', ')', ';']) || row.is_word(at + 2, list("after-inches"));
    Some((unit, at + 1 + usize::from(has_point && goes_on)))
}

/// Whether "in" behind a number means inches and not the preposition.
fn is_inches(row: Row<'_>, at: usize, shape: Shape) -> bool {
    if row.touches(at) {
        return true;
    }
    // "6 in" may be six turns in; without its unit six is six inches where it is a length.
    shape != Shape::Whole
        && row.get(at + 1).is_none_or(|next| match next.kind {
            Kind::Word => holds("after-inches", &next.text),
            kind => kind != Kind::Number,
        })
}

/// Whether the quote at `at` ends a quotation that began right before its number or words.
fn is_closing_quote(row: Row<'_>, at: usize, from: usize) -> bool {
    let mark = row.get(at).map(|token| token.kind);
    let opened = (from.saturating_sub(12)..from)
        .rev()
        .take_while(|&place| row.get(place).is_some_and(|token| token.kind != Kind::Break))
        .find(|&place| row.get(place).map(|token| token.kind) == mark);
    // An opening quote has a blank before it and touches what it opens.
    opened.is_some_and(|place| !row.touches(place) && row.touches(place + 1))
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
            assert_eq!(whole(Row(&tokenize(text)), 0).map(|(value, _)| value), value, "{text}");
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
            assert_eq!(fraction(Row(&tokenize(text)), 0).map(|(parts, _)| parts), parts, "{text}");
        }
    }
}
