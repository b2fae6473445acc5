use super::*;

fn strings(offset_inch: f64, known: &[(Known, usize)]) -> Vec<StringEvidence> {
    known
        .iter()
        .flat_map(|(known, count)| std::iter::repeat_n(StringEvidence { offset_inch, known: *known }, *count))
        .collect()
}

fn model(too_long: f64, too_short: f64) -> LengthModel {
    LengthModel { play: Play::new(too_long, too_short).unwrap(), ..LengthModel::default() }
}

#[test]
fn no_string_has_a_likelihood_of_one_everywhere() {
    let none = LengthObservations::group(&[], 0.0).unwrap();
    for (mean, spread) in [(0.0, 0.3), (1.0, 0.1)] {
        let ln = none.ln_likelihood(&LengthModel::default(), mean, spread, 0.9).unwrap();
        assert!(ln.abs() < 1e-15);
    }
    assert_eq!(none.directions().settled, None);
}

#[test]
fn each_kind_of_knowledge_has_the_factor_of_its_chance() {
    let model = model(0.5, 0.25);
    let (mean, spread, q, ripe) = (0.1, 0.3, 0.8, 0.6);
    let cdf = |error: f64| normal_cdf((error - mean) / spread);
    let inside = cdf(0.25) - cdf(-0.5);
    let cases = [
        (Known::RightLength { error_inch: 0.375 }, cdf(0.4375) - cdf(0.3125)),
        (Known::TooShort, 1.0 - cdf(0.25)),
        (Known::TooLong, cdf(-0.5)),
        (Known::Fits, inside),
        (Known::Quiet { ripeness: ripe }, 1.0 - q * ripe * (1.0 - inside)),
        (Known::AskedFits, inside),
        (Known::AskedTooShort { ripeness: ripe }, 1.0 - cdf(0.25)),
        (Known::AskedTooLong { ripeness: ripe }, cdf(-0.5)),
    ];
    for (known, chance) in cases {
        let seen = LengthObservations::group(&strings(0.0, &[(known, 3)]), 0.0).unwrap();
        let ln = seen.ln_likelihood(&model, mean, spread, q).unwrap();
        assert!((ln - 3.0 * chance.ln()).abs() < 1e-8, "{known:?}");
    }
}

#[test]
fn a_string_under_an_older_offset_keeps_its_own_window() {
    // Cut at minus 4 and too short; at the present minus 3 3/4 the same string would be 1/4 in
    // less short, so the mean under the present offset lies 1/4 in lower.
    let model = model(0.5, 0.5);
    let known = [
        (Known::RightLength { error_inch: 0.625 }, 1),
        (Known::TooShort, 2),
        (Known::Quiet { ripeness: 0.9 }, 9),
    ];
    let then = LengthObservations::group(&strings(-4.0, &known), -4.0).unwrap();
    let now = LengthObservations::group(&strings(-4.0, &known), -3.75).unwrap();
    let a = then.ln_likelihood(&model, 0.25, 0.3, 0.9).unwrap();
    let b = now.ln_likelihood(&model, 0.0, 0.3, 0.9).unwrap();
    assert!((a - b).abs() < 1e-12);
}

#[test]
fn the_order_of_the_strings_does_not_matter() {
    let known: Vec<(Known, usize)> =
        (0..40).map(|i| (Known::Quiet { ripeness: f64::from(i) / 41.0 }, 1)).collect();
    let mut list = strings(0.0, &known);
    let there = LengthObservations::group(&list, 0.0).unwrap();
    list.reverse();
    assert_eq!(there, LengthObservations::group(&list, 0.0).unwrap());
}

#[test]
fn ten_thousand_quiet_strings_are_at_most_fifty_rows() {
    let known: Vec<(Known, usize)> =
        (0..=10_000).map(|i| (Known::Quiet { ripeness: f64::from(i) / 10_000.0 }, 1)).collect();
    let seen = LengthObservations::group(&strings(0.0, &known), 0.0).unwrap();
    assert_eq!(seen.blocks.len(), 1);
    assert_eq!(seen.blocks[0].quiet.len(), 50);
    assert_eq!(count_of(&seen.blocks[0].quiet), 10_001);
    // Grouping costs next to nothing against the sum over every string.
    let model = LengthModel::default();
    let (short, long) = model.play.chances_beyond(0.2, 0.3);
    let single: f64 = (0..=10_000).map(|i| (1.0 - 0.9 * f64::from(i) / 10_000.0 * (short + long)).ln()).sum();
    let grouped = seen.ln_likelihood(&model, 0.2, 0.3, 0.9).unwrap();
    assert!((single - grouped).abs() < 0.1, "{single} {grouped}");
}

#[test]
fn far_away_points_stay_finite() {
    let known = [
        (Known::RightLength { error_inch: 9.0 }, 2),
        (Known::TooShort, 1),
        (Known::TooLong, 1),
        (Known::Fits, 1),
        (Known::Quiet { ripeness: 1.0 }, 5),
        (Known::AskedTooShort { ripeness: 1.0 }, 1),
    ];
    let seen = LengthObservations::group(&strings(0.0, &known), 0.0).unwrap();
    for told in [0.0, 0.3, 1.0] {
        for mean in [-1.25, 0.0, 1.25] {
            let ln = seen.ln_likelihood(&LengthModel::default(), mean, 0.08, told);
            assert!(ln.unwrap() < -1000.0);
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
        (Known::Quiet { ripeness: 1.0 }, 9),
        (Known::AskedTooShort { ripeness: 1.0 }, 3),
    ];
    let directions = LengthObservations::group(&strings(0.0, &known), 0.0).unwrap().directions();
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
        (Known::AskedTooLong { ripeness: 0.9 }, 2),
    ];
    let seen = LengthObservations::group(&strings(0.0, &known), 0.0).unwrap();
    let ln = seen.ln_told(&model(0.5, 0.5), 0.8).unwrap();
    let expected = 3.0 * 0.8_f64.ln() + 2.0 * (1.0_f64 - 0.72).ln();
    assert!((ln - expected).abs() < 1e-12);
    assert!(seen.ln_told(&model(0.5, 0.5), 1.0).is_err());
}

#[test]
fn values_that_make_no_sense_are_refused() {
    for bad in [f64::NAN, f64::INFINITY, -1e6] {
        let error = strings(0.0, &[(Known::RightLength { error_inch: bad }, 1)]);
        assert!(LengthObservations::group(&error, 0.0).is_err());
        let offset = strings(bad, &[(Known::TooShort, 1)]);
        assert!(LengthObservations::group(&offset, 0.0).is_err());
        assert!(LengthObservations::group(&[], bad).is_err());
        let ripeness = strings(0.0, &[(Known::Quiet { ripeness: bad }, 1)]);
        assert!(LengthObservations::group(&ripeness, 0.0).is_err());
        assert!(Play::new(bad, 0.5).is_err() && Play::new(0.5, bad).is_err());
    }
    assert!(Play::new(0.0, 0.0).is_err());
    assert!(Play::new(0.0, 0.5).is_ok());
    let none = LengthObservations::group(&[], 0.0).unwrap();
    let model = LengthModel::default();
    assert!(none.ln_likelihood(&model, 0.0, 0.0, 0.9).is_err());
    assert!(none.ln_likelihood(&model, f64::NAN, 0.3, 0.9).is_err());
    assert!(none.ln_likelihood(&model, 0.0, 0.3, 1.1).is_err());
    let unrounded = LengthModel { rounding_inch: 0.0, ..model };
    assert!(none.ln_likelihood(&unrounded, 0.0, 0.3, 0.9).is_err());
}

#[test]
fn complaints_average_far_more_than_the_error_behind_them() {
    // Table of statistics by closed form: play 1/2, spread 0.30, true mean 1/8: 0.456.
    let play = Play::new(0.5, 0.5).unwrap();
    let mean = mean_of_complaints(&play, 0.125, 0.30).unwrap().unwrap();
    assert!((mean - 0.456).abs() < 6e-4);
    let mirrored = mean_of_complaints(&play, -0.125, 0.30).unwrap().unwrap();
    assert!((mean + mirrored).abs() < 1e-12);
}

#[test]
fn nothing_outside_the_play_has_no_mean_of_complaints() {
    let play = Play::new(0.5, 0.5).unwrap();
    assert_eq!(mean_of_complaints(&play, 0.0, 0.01).unwrap(), None);
    assert!(mean_of_complaints(&play, 0.0, 0.0).is_err());
}
