//! Reading a range of lengths.

use super::error::{QuantityError, Refusal};
use super::length::{Length, LengthRange};
use super::measure::Measure;
use super::number::{Form, any_of};
use super::parse::{with_hyphen_joined, without_rough_words};
use super::show::{number_in, with_short_unit};
use super::text::{Kind, Token, tokenize};
use super::unit::Unit;
use super::written::{Written, read_written};

/// Reads a range of `what`; a single value gives a range of no width.
///
/// The ends are parted by `to`, by two points, by an en dash, by a hyphen with
/// blanks on both sides, or by any hyphen if nothing else can be meant. Each end
/// is written as for [`parse_length`](super::parse_length); a unit at the very
/// end holds for both.
///
/// # Errors
///
/// Refuses a range that is upside down, an end that would be refused as a
/// length, and text that can be both a range and a single value.
pub fn parse_range(text: &str, unit: Unit, what: Measure) -> Result<LengthRange, QuantityError> {
    tokenize(text)
        .and_then(|tokens| {
            read_range(&tokens, unit, what).map_err(|refusal| propose(refusal, &tokens, unit, what))
        })
        .map_err(|refusal| refusal.into_error(text, what.range_spellings(unit)))
}

/// Adds what is left without rough words, if nothing better is proposed.
fn propose(refusal: Refusal, tokens: &[Token], unit: Unit, what: Measure) -> Refusal {
    if refusal.likely.is_some() {
        return refusal;
    }
    match without_rough_words(tokens).map(|rest| read_range(&rest, unit, what)) {
        Some(Ok(range)) => refusal.likely(in_words(range)),
        _ => refusal,
    }
}

/// Reads all of `tokens` as a range or a single value.
pub(super) fn read_range(tokens: &[Token], unit: Unit, what: Measure) -> Result<LengthRange, Refusal> {
    let separators: Vec<usize> = (0..tokens.len()).filter(|&index| separates(tokens, index)).collect();
    match separators.as_slice() {
        [] => read_around_hyphens(tokens, unit, what),
        &[at] => {
            let (low, high) = ends(tokens, at)?;
            judge_both(low, high, unit, what)
        }
        _ => Err(Refusal::new("a range has two ends, and more are written")),
    }
}

/// Whether the part at `index` can do nothing but part the ends of a range.
fn separates(tokens: &[Token], index: usize) -> bool {
    let Some(token) = tokens.get(index) else {
        return false;
    };
    let is_after_an_end = || {
        index
            .checked_sub(1)
            .and_then(|before| tokens.get(before))
            .is_some_and(|before| before.kind != Kind::Dots && !before.is_word("to"))
    };
    match token.kind {
        Kind::Dots => true,
        // At the start of an end it is a minus.
        Kind::Dash => is_after_an_end(),
        _ => token.is_word("to"),
    }
}

fn ends(tokens: &[Token], at: usize) -> Result<(Written, Written), Refusal> {
    let (low, rest) = tokens.split_at_checked(at).unwrap_or((tokens, &[]));
    let high = rest.get(1..).unwrap_or_default();
    if low.is_empty() || high.is_empty() {
        return Err(Refusal::new("one end of the range is missing"));
    }
    Ok((read_written(low)?, read_written(high)?))
}

/// Reads parts with no separator but hyphens, each of which may be one.
///
/// All readings are tried, and the text is taken if exactly one fits.
fn read_around_hyphens(tokens: &[Token], unit: Unit, what: Measure) -> Result<LengthRange, Refusal> {
    let single = read_written(tokens)
        .and_then(|written| written.judge(unit, what))
        .and_then(|length| range_of(length, length));
    let mut fitting: Vec<LengthRange> = Vec::new();
    let mut refused_split = None;
    for at in 1..tokens.len() {
        let Some((low, high)) = hyphen_split(tokens, at, what) else {
            continue;
        };
        match judge_both(low, high, unit, what) {
            Ok(range) => fitting.push(range),
            Err(refusal) => refused_split = refused_split.or(Some(refusal)),
        }
    }
    match (&single, fitting.as_slice()) {
        (Err(_), &[range]) => Ok(range),
        (Ok(single), []) => Ok(*single),
        (Err(refusal), []) => Err(match refused_split {
            // "7 - 3/4" is most likely a mixed number.
            Some(split) => match with_hyphen_joined(tokens)
                .and_then(|joined| read_written(&joined).ok())
                .and_then(|written| written.judge(unit, what).ok())
            {
                Some(length) => split.likely(with_short_unit(length, Unit::Inch)),
                None => split,
            },
            None => refusal.clone(),
        }),
        (single, several) => {
            let readings = single.iter().chain(several).map(|&range| in_words(range));
            Err(Refusal::new("its hyphen can be read in two ways").likely(any_of(readings)))
        }
    }
}

/// The two ends that the hyphen at `at` parts, if it can part anything.
fn hyphen_split(tokens: &[Token], at: usize, what: Measure) -> Option<(Written, Written)> {
    let hyphen = tokens.get(at).filter(|token| token.kind == Kind::Hyphen)?;
    let is_spaced_behind = tokens.get(at + 1)?.spaced;
    // "-2 -1" may be two numbers of which the second is negative.
    if what.is_signed() && hyphen.spaced && !is_spaced_behind {
        return None;
    }
    let (low, high) = ends(tokens, at).ok()?;
    // "4-11/2" is more likely a mixed number written wrongly.
    let is_tight = !hyphen.spaced && !is_spaced_behind;
    if is_tight && matches!(high.number.form, Form::Improper { .. }) {
        return None;
    }
    Some((low, high))
}

fn judge_both(low: Written, high: Written, book: Unit, what: Measure) -> Result<LengthRange, Refusal> {
    let is_bare = low.unit.is_none() && high.unit.is_none();
    judge_ends(low.clone(), high.clone(), book, what).map_err(|refusal| {
        let other = Unit::ALL.into_iter().filter(|&other| is_bare && other != book).find_map(|other| {
            // Bare again, so that the other unit has to be plausible.
            let range = judge_ends(low.clone(), high.clone(), other, what).ok()?;
            let shown = in_words(range);
            Some(if other == Unit::Inch {
                shown
            } else {
                let low = number_in(range.low(), other);
                let high = with_short_unit(range.high(), other);
                format!("{low} to {high}, that is {shown}")
            })
        });
        refusal.likely(other.unwrap_or_default())
    })
}

fn judge_ends(
    mut low: Written,
    mut high: Written,
    book: Unit,
    what: Measure,
) -> Result<LengthRange, Refusal> {
    match (low.unit, high.unit) {
        (None, Some(unit)) => low.unit = Some(unit),
        // A unit at the first end alone is clear only if it is that of the book.
        (Some(unit), None) if unit == book.into() => high.unit = Some(unit),
        (Some(_), None) => {
            return Err(Refusal::new("the unit of the upper end is missing"));
        }
        _ => {}
    }
    let low_length = low.judge(book, what)?;
    let high_length = high.judge(book, what);
    // An upper end below the lower one is the better reason, and a lone fraction
    // behind a larger number most likely shares its whole part: 7 1/4 to 1/2.
    let is_comparable = low.sign.is_none() && high.sign.is_none() && low.unit == high.unit;
    if is_comparable && high.number.form == Form::Mixed && high.number.value < 1.0 {
        let mut meant = high.clone();
        meant.number.value += low.number.value.floor();
        if let (Ok(high_length), true) = (meant.judge(book, what), low.number.value >= 1.0)
            && let Some(range) = LengthRange::new(low_length, high_length)
        {
            return Err(upside_down().likely(in_words(range)));
        }
    }
    range_of(low_length, high_length?)
}

fn range_of(low: Length, high: Length) -> Result<LengthRange, Refusal> {
    LengthRange::new(low, high).ok_or_else(|| {
        let swapped = LengthRange::new(high, low).map(in_words);
        upside_down().likely(swapped.unwrap_or_default())
    })
}

fn upside_down() -> Refusal {
    Refusal::new("the range is upside down, its first end being above its second")
}

/// A range as it stands in messages: "7 1/2 to 8 in".
fn in_words(range: LengthRange) -> String {
    let high = with_short_unit(range.high(), Unit::Inch);
    if range.low() == range.high() {
        return high;
    }
    format!("{} to {high}", number_in(range.low(), Unit::Inch))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn taken(text: &str, unit: Unit, what: Measure) -> (f64, f64) {
        match parse_range(text, unit, what) {
            Ok(range) => (range.low().inches(), range.high().inches()),
            Err(error) => panic!("{text}: {error}"),
        }
    }

    fn refused(text: &str, unit: Unit, what: Measure) -> QuantityError {
        match parse_range(text, unit, what) {
            Ok(range) => panic!("{text} was taken as {range:?}"),
            Err(error) => error,
        }
    }

    fn assert_takes(text: &str, unit: Unit, what: Measure, low: f64, high: f64) {
        let range = taken(text, unit, what);
        assert_relative_eq!(range.0, low);
        assert_relative_eq!(range.1, high);
    }

    #[test]
    fn every_spelling_of_a_range_is_taken() {
        for text in [
            "8 to 8 1/4",
            "8..8-1/4",
            "8 – 8 1/4",
            "8–8¼",
            "8 - 8 1/4",
            "8 .. 8 1/4",
            "8...8.25",
            "8…8,25",
            "8 TO 8.25",
            "8-8.25",
            "8-8 1/4",
            "8-8-1/4",
            "8 — 8 1/4",
            "8\" to 8 1/4\"",
            "8 to 8 1/4 in",
            "8 in to 8.25 in",
            "8\"-8 1/4\"",
            "8in..8 1/4in",
            "8 -8 1/4",
            "8 in. to 8 1/4 in.",
            "8\u{a0}–\u{a0}8\u{2009}1/4",
            "8 in to 8 1/4",
        ] {
            assert_takes(text, Unit::Inch, Measure::WantedBrace, 8.0, 8.25);
        }
        for text in ["7-1/2..8", "7 1/2 - 8", "7-1/2-8", "7-1/2 - 8", "7.5-8", "7½-8", "7 1/2-8"] {
            assert_takes(text, Unit::Inch, Measure::WantedBrace, 7.5, 8.0);
        }
        assert_takes("7-8", Unit::Inch, Measure::WantedBrace, 7.0, 8.0);
        assert_takes("7-1/2-8-1/4", Unit::Inch, Measure::WantedBrace, 7.5, 8.25);
    }

    #[test]
    fn a_unit_at_the_end_holds_for_both_ends() {
        for text in ["19 to 20 cm", "190..200 mm", "19-20cm", "19 cm to 200 mm"] {
            assert_takes(text, Unit::Inch, Measure::WantedBrace, 19.0 / 2.54, 20.0 / 2.54);
        }
        assert_takes("19 to 20", Unit::Cm, Measure::WantedBrace, 19.0 / 2.54, 20.0 / 2.54);
        assert_takes("5' 2\" to 5' 4\"", Unit::Inch, Measure::StringLength, 62.0, 64.0);
        refused("19 cm to 20", Unit::Inch, Measure::WantedBrace);
    }

    #[test]
    fn one_value_is_a_range_without_width() {
        for text in ["7 3/4", "7-3/4", "7.75 in", "7¾"] {
            assert_takes(text, Unit::Inch, Measure::WantedBrace, 7.75, 7.75);
        }
        assert_takes("8 to 8", Unit::Inch, Measure::WantedBrace, 8.0, 8.0);
    }

    #[test]
    fn signs_and_separators_are_told_apart() {
        assert_takes("-1 to +1", Unit::Inch, Measure::Serving, -1.0, 1.0);
        assert_takes("-1..-1/2", Unit::Inch, Measure::Serving, -1.0, -0.5);
        assert_takes("-2-1", Unit::Inch, Measure::Serving, -2.0, 1.0);
        assert_takes("-2--1", Unit::Inch, Measure::Serving, -2.0, -1.0);
        assert_takes("−2 – −1", Unit::Inch, Measure::Serving, -2.0, -1.0);
        assert_takes("1/8-1/4", Unit::Inch, Measure::Small, 0.125, 0.25);
        assert_takes("1 mm to 1/4 in", Unit::Inch, Measure::Small, 1.0 / 25.4, 0.25);
        assert_takes("0-1/2", Unit::Inch, Measure::Small, 0.0, 0.5);
        // Minus one and a half, or from minus one to a half?
        refused("-1-1/2", Unit::Inch, Measure::Serving);
        refused("-2 -1", Unit::Inch, Measure::Serving);
    }

    #[test]
    fn a_range_upside_down_is_refused() {
        let error = refused("8 1/4 to 8", Unit::Inch, Measure::WantedBrace);
        assert!(error.reason.contains("upside down"), "{error}");
        assert_eq!(error.likely.as_deref(), Some("8 to 8 1/4 in"));
        let error = refused("7 1/4 to 1/2", Unit::Inch, Measure::WantedBrace);
        assert_eq!(error.likely.as_deref(), Some("7 1/4 to 7 1/2 in"));
        refused("8-7", Unit::Inch, Measure::WantedBrace);
    }

    #[test]
    fn a_spaced_hyphen_before_a_fraction_is_refused_with_the_mixed_number() {
        let error = refused("7 - 3/4", Unit::Inch, Measure::WantedBrace);
        assert_eq!(error.likely.as_deref(), Some("7 3/4 in"));
    }

    #[test]
    fn implausible_ends_are_refused_with_the_likely_reading() {
        let error = refused("190 to 200", Unit::Inch, Measure::WantedBrace);
        assert_eq!(error.likely.as_deref(), Some("190 to 200 mm, that is 7 1/2 to 7 7/8 in"));
        assert_eq!(error.accepted, ["7 3/4 to 8 1/4", "19.7 to 21.0 cm"]);
    }

    #[test]
    fn what_is_no_range_is_refused() {
        for text in [
            "",
            "to",
            "8 to",
            "to 8",
            "..8",
            "8..",
            "–",
            "8 –",
            "8 to 8 to 9",
            "7..8..9",
            "7-8-9",
            "7 8",
            "8 to nine",
            "8 to 9 m",
            "8 ± 1/4",
            "between 8 and 9",
            "8 or 9",
            "8/9 to 10",
            "0 to 8",
            "-8 to 8",
            "8 to 73/4",
            "4-11/2",
            "8 to inf",
            "8 to 1e1",
            "8, 9",
            "8;9",
        ] {
            refused(text, Unit::Inch, Measure::WantedBrace);
        }
        let error = refused("about 8 to 8 1/4", Unit::Inch, Measure::WantedBrace);
        assert_eq!(error.likely.as_deref(), Some("8 to 8 1/4 in"));
    }
}
