//! Laws of reading and showing, tried on many invented values and texts.

use proptest::prelude::*;

use super::*;

/// Half of what the coarsest showing, sixteenths of an inch, can hide.
const SHOWING_ERROR_INCHES: f64 = 1.0 / 32.0;

fn a_unit() -> impl Strategy<Value = Unit> {
    prop::sample::select(Unit::ALL.to_vec())
}

fn a_measure() -> impl Strategy<Value = Measure> {
    prop::sample::select(Measure::ALL.to_vec())
}

/// A measure and an everyday length of it, away from zero where zero is refused.
fn a_measured_length() -> impl Strategy<Value = (Measure, Length)> {
    a_measure().prop_flat_map(|what| {
        let (low, high) = what.plausible_ends();
        (low..=high).prop_map(move |inches| (what, Length::try_from_inches(inches).unwrap()))
    })
}

/// Text made of what quantities are made of, so that much of it nearly is one.
fn nearly_a_quantity() -> impl Strategy<Value = String> {
    "[0-9 ./,'\"¾½⅙²₂″’−–…#@+:T€-]{0,16}( ?(to|in|cm|mm|ft|lb|N|turns|ish|EUR|e3))?"
}

/// Reads `text` in every way there is and returns all lengths that came of it.
fn read_as_everything(text: &str, unit: Unit, what: Measure) -> Vec<Length> {
    let mut lengths: Vec<Length> = parse_length(text, unit, what).into_iter().collect();
    if let Ok(range) = parse_range(text, unit, what) {
        assert!(range.low() <= range.high());
        lengths.extend([range.low(), range.high()]);
    }
    if let Ok(weight) = parse_draw_weight(text) {
        assert!(weight.pounds().is_finite());
        lengths.extend(weight.at());
    }
    for turns in [parse_turns(text), parse_turn_count(text)].into_iter().flatten() {
        assert!(turns.value().abs() <= 500.0);
    }
    assert!(parse_money(text).unwrap_or(0) >= 0);
    let _ = parse_date(text);
    let _ = text.parse::<Unit>();
    lengths
}

proptest! {
    #[test]
    fn what_is_shown_is_read_again((what, length) in a_measured_length(), unit in a_unit()) {
        let shown = show_length(length, unit);
        // A value that is shown as nothing cannot be read where nothing is refused.
        if let Ok(read) = parse_length(&shown, unit, what) {
            let error = (read - length).inches().abs();
            prop_assert!(error <= SHOWING_ERROR_INCHES + 1e-9, "{} is read as {:?}", shown, read);
        } else {
            prop_assert!(false, "{shown} is not read");
        }
    }

    #[test]
    fn a_shown_range_is_read_again(
        low in 4.0..11.0_f64,
        width in 0.0..1.0_f64,
        unit in a_unit(),
    ) {
        let [low, high] = [low, low + width].map(|inches| Length::try_from_inches(inches).unwrap());
        let shown = show_range(LengthRange::new(low, high).unwrap(), unit);
        let read = parse_range(&shown, unit, Measure::WantedBrace).unwrap();
        prop_assert!((read.low() - low).inches().abs() <= SHOWING_ERROR_INCHES + 1e-9);
        prop_assert!((read.high() - high).inches().abs() <= SHOWING_ERROR_INCHES + 1e-9);
    }

    #[test]
    fn a_signed_showing_is_read_again(inches in -6.0..6.0_f64, unit in a_unit()) {
        let length = Length::try_from_inches(inches).unwrap();
        let read = parse_length(&show_signed(length, unit), unit, Measure::Serving).unwrap();
        prop_assert!((read - length).inches().abs() <= SHOWING_ERROR_INCHES + 1e-9);
    }

    #[test]
    fn a_decimal_is_read_exactly((what, length) in a_measured_length(), comma in any::<bool>()) {
        let text = format!("{}", length.inches());
        let text = if comma { text.replace('.', ",") } else { text };
        let read = parse_length(&text, Unit::Inch, what).unwrap();
        prop_assert!((read - length).inches().abs() < 1e-12);
    }

    #[test]
    fn a_fraction_is_read_the_same_in_every_spelling(whole in 4..12_u32, parts in 1..16_u32) {
        let value = f64::from(whole) + f64::from(parts) / 16.0;
        for text in [
            format!("{whole} {parts}/16"),
            format!("{whole}-{parts}/16"),
            format!("{whole} {parts}⁄16 in"),
            format!("{value}\""),
        ] {
            let read = parse_length(&text, Unit::Inch, Measure::FadeGap).unwrap();
            prop_assert!((read.inches() - value).abs() < 1e-12);
        }
    }

    #[test]
    fn any_text_is_read_or_refused(text in any::<String>(), unit in a_unit(), what in a_measure()) {
        for length in read_as_everything(&text, unit, what) {
            prop_assert!(length.inches().is_finite());
        }
    }

    #[test]
    fn nearly_right_text_is_read_or_refused(
        text in nearly_a_quantity(),
        unit in a_unit(),
        what in a_measure(),
    ) {
        for length in read_as_everything(&text, unit, what) {
            prop_assert!(length.inches().abs() <= 120.0);
        }
        if let Err(error) = parse_length(&text, unit, what) {
            let message = error.to_string();
            prop_assert!(message.chars().count() < 500, "{}", message);
            prop_assert!(!message.contains(char::is_control));
        }
    }

    #[test]
    fn sums_and_roundings_stay_finite(
        inches in prop::collection::vec(-1e5..1e5_f64, 1..20),
        step in any::<f64>(),
    ) {
        let lengths = inches.into_iter().map(|inches| Length::try_from_inches(inches).unwrap());
        let sum = lengths.fold(Length::ZERO, |sum, length| sum + length - (-length));
        for length in [sum, -sum, sum.round_to(step)] {
            prop_assert!(Length::try_from_inches(length.inches()).is_some());
            for unit in Unit::ALL {
                prop_assert!(!show_forecast(length, step, unit).contains("-0 "));
                prop_assert!(!show_rounded(length, step, unit).is_empty());
            }
        }
    }

    #[test]
    fn shown_turns_are_read_again(turns in -500.0..500.0_f64) {
        let shown = Turns::new(turns).unwrap().to_string();
        prop_assert!((parse_turns(&shown).unwrap().value() - turns).abs() <= 0.005 + 1e-9);
    }

    #[test]
    fn a_date_is_read_as_it_is_written(days in 0..109_000_u64) {
        let first = chrono::NaiveDate::from_ymd_opt(1900, 1, 1).unwrap();
        let date = first + chrono::Days::new(days);
        prop_assert_eq!(parse_date(&date.to_string()), Ok(date));
        prop_assert_eq!(parse_date(&date.format("%d.%m.%Y").to_string()), Ok(date));
    }

    #[test]
    fn an_amount_is_read_with_point_and_comma(minor_units in 0..100_000_000_i64) {
        let (whole, hundredths) = (minor_units / 100, minor_units % 100);
        prop_assert_eq!(parse_money(&format!("{whole}.{hundredths:02}")), Ok(minor_units));
        prop_assert_eq!(parse_money(&format!("{whole},{hundredths:02} EUR")), Ok(minor_units));
    }
}

#[test]
fn a_megabyte_of_anything_is_refused_at_once() {
    for piece in ["7", " ", "¾", "-", "7-", "'", "\u{202e}", "e", "1/", "🏹", "\u{0}"] {
        let text = piece.repeat(1_000_000 / piece.len());
        assert!(read_as_everything(&text, Unit::Inch, Measure::Offset).is_empty());
        let message = parse_length(&text, Unit::Inch, Measure::Offset).unwrap_err().to_string();
        assert!(message.len() < 1000);
    }
}
