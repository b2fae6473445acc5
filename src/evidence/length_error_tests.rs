use super::*;

use crate::evidence::length_tables::{LengthGrid, LengthTables};
use crate::numeric::normal_cdf;

fn strings(offset_inch: f64, known: &[(Known, u32)]) -> Vec<StringEvidence> {
    known.iter().map(|(known, count)| StringEvidence { offset_inch, known: *known, count: *count }).collect()
}

fn model(too_long: f64, too_short: f64) -> LengthModel {
    LengthModel {
        play: Play::new(too_long, too_short).unwrap(),
        nagging_share: 0.0,
        ..LengthModel::default()
    }
}

fn group(strings: &[StringEvidence], present: f64) -> Result<LengthObservations, EvidenceError> {
    LengthObservations::group(strings, present, &Play::new(0.5, 0.5).unwrap())
}

/// The log likelihood at the lower of two spreads and a mean in 64ths of an inch.
fn ln_likelihood(seen: &LengthObservations, model: &LengthModel, mean: i64, spread: f64) -> f64 {
    let grid = LengthGrid {
        spread_low_inch: spread,
        spread_high_inch: 2.0 * spread,
        spread_values: 2,
        ..LengthGrid::FINE
    };
    let tables = LengthTables::new(model, &grid, [seen]).unwrap();
    tables.ln_likelihood(seen)[usize::try_from(80 + mean).unwrap()]
}

#[test]
fn no_string_has_a_likelihood_of_one_everywhere() {
    let none = group(&[], 0.0).unwrap();
    for (mean, spread) in [(0, 0.3), (64, 0.1)] {
        assert!(ln_likelihood(&none, &LengthModel::default(), mean, spread).abs() < 1e-15);
    }
    assert_eq!(LengthObservations::directions([&none]).settled, None);
}

#[test]
fn each_kind_of_knowledge_has_the_factor_of_its_chance() {
    let model = LengthModel { told_share: 0.8, answer_odds: 1.5, ..model(0.5, 0.25) };
    let (mean, spread, shown) = (0.09375, 0.3, 0.609375);
    let at = |spread: f64| move |error: f64| normal_cdf((error - mean) / spread);
    let (cdf, read) = (at(spread), at(spread.hypot(READING_SD_INCH)));
    let inside = cdf(0.25) - cdf(-0.5);
    let answered = 1.0 + 0.5 * (1.0 - inside);
    let cases = [
        (Known::RightLength { error_inch: 0.375 }, cdf(0.4375) - cdf(0.3125)),
        (Known::TooShort, 1.0 - cdf(0.25)),
        (Known::TooLong, cdf(-0.5)),
        (Known::Fits, inside),
        (Known::Quiet { shown }, 1.0 - 0.8 * shown * (1.0 - inside)),
        (Known::AnsweredFits, inside / answered),
        (Known::Answered { error_inch: 0.375, shown }, (read(0.4375) - read(0.3125)) / answered),
    ];
    for (known, chance) in cases {
        let seen = LengthObservations::group(&strings(0.0, &[(known, 3)]), 0.0, &model.play).unwrap();
        let ln = ln_likelihood(&seen, &model, 6, spread);
        assert!((ln - 3.0 * chance.ln()).abs() < 1e-8, "{known:?}");
    }
}

#[test]
fn what_is_reported_whatever_its_length_never_counts_for_nothing() {
    let plain = model(0.5, 0.5);
    let nagging = LengthModel { nagging_share: 0.01, ..plain };
    // Too long, of strings that are all half an inch too short.
    let seen = group(&strings(0.0, &[(Known::TooLong, 1)]), 0.0).unwrap();
    assert!(ln_likelihood(&seen, &plain, 32, 0.2) < -14.0);
    assert!((ln_likelihood(&seen, &nagging, 32, 0.2) - 0.02_f64.ln()).abs() < 1e-3);
    let quiet = group(&strings(0.0, &[(Known::Quiet { shown: 1.0 }, 1)]), 0.0).unwrap();
    let outside = normal_cdf(-1.0 / 0.2) + 0.5;
    let expected = (1.0 - 0.9 * (outside + 0.01)).ln();
    assert!((ln_likelihood(&quiet, &nagging, 32, 0.2) - expected).abs() < 1e-9);
}

#[test]
fn a_string_under_an_older_offset_keeps_its_own_window() {
    // Cut at minus 4 and too short; at the present minus 3 3/4 the same string would be 1/4 in
    // less short, so the mean under the present offset lies 1/4 in lower.
    let model = model(0.5, 0.5);
    let known = [
        (Known::RightLength { error_inch: 0.625 }, 1),
        (Known::TooShort, 2),
        (Known::Quiet { shown: 0.9 }, 9),
        (Known::Answered { error_inch: -0.25, shown: 0.3 }, 2),
    ];
    let then = group(&strings(-4.0, &known), -4.0).unwrap();
    let now = group(&strings(-4.0, &known), -3.75).unwrap();
    let (a, b) = (ln_likelihood(&then, &model, 16, 0.3), ln_likelihood(&now, &model, 0, 0.3));
    assert!((a - b).abs() < 1e-12);
    assert_eq!((then.usual_shift_inch(), now.usual_shift_inch()), (Some(0.0), Some(-0.25)));
}

#[test]
fn the_order_of_the_strings_does_not_matter() {
    let known: Vec<(Known, u32)> =
        (0..40).map(|i| (Known::Quiet { shown: f64::from(i) / 41.0 }, 1)).collect();
    let mut list = strings(0.0, &known);
    let there = group(&list, 0.0).unwrap();
    list.reverse();
    assert_eq!(there, group(&list, 0.0).unwrap());
}

#[test]
fn ten_thousand_quiet_strings_are_sixty_five_rows_and_lose_next_to_nothing() {
    let known: Vec<(Known, u32)> =
        (0..=10_000).map(|i| (Known::Quiet { shown: f64::from(i) / 10_000.0 }, 1)).collect();
    let seen = group(&strings(0.0, &known), 0.0).unwrap();
    assert_eq!((seen.blocks.len(), seen.strings()), (1, 10_001));
    assert_eq!(seen.blocks[0].quiet().count(), 65);
    let in_all: f64 = seen.blocks[0].quiet().map(|(_, strings)| strings).sum();
    assert!((in_all - 10_001.0).abs() < 1e-9);
    // Grouping costs next to nothing against the sum over every string.
    let model = LengthModel { nagging_share: 0.0, ..LengthModel::default() };
    let outside = normal_cdf((0.1875 - 0.25) / 0.3) + normal_cdf((-0.75 - 0.1875) / 0.3);
    let single: f64 = (0..=10_000).map(|i| (1.0 - 0.9 * f64::from(i) / 10_000.0 * outside).ln()).sum();
    let grouped = ln_likelihood(&seen, &model, 12, 0.3);
    assert!((single - grouped).abs() < 0.1, "{single} {grouped}");
}

#[test]
fn far_away_points_stay_finite() {
    let known = [
        (Known::RightLength { error_inch: 9.0 }, 2),
        (Known::TooShort, 1),
        (Known::TooLong, 1),
        (Known::Fits, 1),
        (Known::Quiet { shown: 1.0 }, 5),
        (Known::Answered { error_inch: -40.0, shown: 1.0 }, 1),
    ];
    let seen = group(&strings(0.0, &known), 0.0).unwrap();
    for told_share in [0.0, 0.3, 1.0] {
        for mean in [-80, 0, 80] {
            let ln = ln_likelihood(
                &seen,
                &LengthModel { told_share, nagging_share: 0.0, ..LengthModel::default() },
                mean,
                0.08,
            );
            assert!(ln.is_finite() && ln < -1000.0);
        }
    }
}

#[test]
fn directions_are_counted_from_lengths_and_words() {
    let known = [
        (Known::RightLength { error_inch: 0.5 }, 2),
        (Known::RightLength { error_inch: -0.25 }, 1),
        (Known::TooShort, 1),
        (Known::TooLong, 1),
        (Known::Fits, 4),
        (Known::Quiet { shown: 1.0 }, 9),
        (Known::Answered { error_inch: 0.75, shown: 1.0 }, 3),
    ];
    let directions = LengthObservations::directions([&group(&strings(0.0, &known), 0.0).unwrap()]);
    assert_eq!((directions.short, directions.long), (3, 2));
    assert_eq!(directions.with_direction, 5);
    assert!((directions.settled.unwrap().mean - 0.25).abs() < 1e-15);
}

#[test]
fn told_factors_count_reported_misfits_and_asked_ones() {
    let known = [
        (Known::RightLength { error_inch: 0.5 }, 2),
        (Known::RightLength { error_inch: 0.125 }, 1),
        (Known::TooShort, 1),
        (Known::Fits, 4),
        (Known::Answered { error_inch: -0.75, shown: 0.875 }, 2),
        (Known::Answered { error_inch: -0.25, shown: 0.875 }, 5),
    ];
    let seen = group(&strings(0.0, &known), 0.0).unwrap();
    let expected = 3.0 * 0.8_f64.ln() + 2.0 * (1.0_f64 - 0.7).ln();
    assert!((seen.ln_told(0.8) - expected).abs() < 1e-12);
    assert!(seen.has_answers());
}

#[test]
fn values_that_make_no_sense_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, -1e6] {
        let error = strings(0.0, &[(Known::RightLength { error_inch: bad }, 1)]);
        assert!(group(&error, 0.0).is_err());
        assert!(group(&strings(bad, &[(Known::TooShort, 1)]), 0.0).is_err());
        assert!(group(&[], bad).is_err());
        assert!(group(&strings(0.0, &[(Known::Quiet { shown: bad }, 1)]), 0.0).is_err());
        assert!(Play::new(bad, 0.5).is_err() && Play::new(0.5, bad).is_err());
    }
    assert!(Play::new(0.0, 0.0).is_err());
    assert!(Play::new(0.0, 0.5).is_ok());
}

#[test]
fn a_lone_report_is_set_aside_and_two_are_not() {
    let play = Play::new(0.5, 0.5).unwrap();
    let quiet = (Known::Quiet { shown: 0.5 }, 7);
    let month = |known: &[(Known, u32)]| LengthObservations::group(&strings(0.0, known), 0.0, &play).unwrap();
    let short = (Known::RightLength { error_inch: 0.6 }, 3);
    let long = (Known::RightLength { error_inch: -0.6 }, 1);
    let months = [month(&[short, quiet]), month(&[quiet]), month(&[long, (Known::Fits, 1), quiet])];
    let without = LengthObservations::without_a_lone_report(&months, 1).unwrap();
    assert_eq!(without[..2], months[..2]);
    assert_eq!(without[2], month(&[(Known::Fits, 1), quiet]));
    assert_eq!(LengthObservations::without_a_lone_report(&months, 0), None, "four reports");
    assert_eq!(LengthObservations::without_a_lone_report(&months[..2], 1), None, "none");
    assert_eq!(LengthObservations::without_a_lone_report(&months, 7), None, "no month");
    let word = [month(&[quiet]), month(&[(Known::TooLong, 1), quiet])];
    let without = LengthObservations::without_a_lone_report(&word, 1).unwrap();
    assert_eq!(without[1], month(&[quiet]));
}
