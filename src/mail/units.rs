//! Units as they stand behind numbers.

use super::numbers::Shape;
use super::tokens::{Kind, Token};

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
    let follows = match tokens.get(at + 1) {
        None => true,
        Some(next) => match next.kind {
            Kind::Word => AFTER_INCHES.contains(&next.text.as_str()),
            Kind::Number => false,
            _ => true,
        },
    };
    // "put 10 in", "twisted 5 in"
    let is_put = (1..=6).any(|back| {
        at.checked_sub(back).and_then(|at| tokens.get(at)).is_some_and(|token| {
            token.is_any(&["put", "twisted", "added", "turned", "wound", "putting", "adding"])
        })
    });
    follows && (shape != Shape::Whole || !is_put)
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
