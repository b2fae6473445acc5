use super::*;
use crate::evidence::length_error::{Known, Play, StringEvidence};

fn seen(known: &[(Known, usize)]) -> LengthObservations {
    let strings: Vec<StringEvidence> = known
        .iter()
        .flat_map(|(known, count)| {
            std::iter::repeat_n(StringEvidence { offset_inch: -4.0, known: *known }, *count)
        })
        .collect();
    LengthObservations::group(&strings, -4.0).unwrap()
}

fn posterior(seen: &LengthObservations, told: &ToldShare) -> LengthPosterior {
    let model = LengthModel { play: Play::new(0.5, 0.5).unwrap(), ..LengthModel::default() };
    length_posterior(seen, &model, &LengthPrior::default(), &LengthGrid::COARSE, told).unwrap()
}

const RIPE: Known = Known::Quiet { ripeness: 1.0 };

#[test]
fn no_string_gives_the_prior_back() {
    let prior = posterior(&seen(&[]), &ToldShare::Fixed(0.9));
    assert!(prior.mean_inch.abs() < 1e-12);
    assert!((prior.mean_sd_inch - 0.25).abs() < 1e-3);
    assert!((prior.formal.high - 0.49).abs() < 0.01);
    assert!((prior.told.mean() - 0.9).abs() < 1e-12);
    let total: f64 = prior.points.iter().map(|p| p.weight).sum();
    assert!((total - 1.0).abs() < 1e-9);
}

#[test]
fn one_complaint_moves_the_estimate_a_little_only() {
    let one = posterior(&seen(&[(Known::RightLength { error_inch: 0.75 }, 1)]), &ToldShare::Fixed(0.9));
    assert!(one.mean_inch > 0.1 && one.mean_inch < 0.6);
    assert!(one.formal.contains(one.mean_inch));
}

#[test]
fn equal_lengths_do_not_send_the_spread_to_nothing() {
    let equal = posterior(&seen(&[(Known::RightLength { error_inch: 0.5 }, 3)]), &ToldShare::Fixed(0.9));
    assert!(equal.spread_inch > 0.1);
}

#[test]
fn quiet_strings_speak_for_the_present_offset() {
    let complaints = [(Known::RightLength { error_inch: 0.75 }, 5)];
    let few = posterior(&seen(&complaints), &ToldShare::Fixed(0.9));
    let mut with_quiet = complaints.to_vec();
    with_quiet.push((RIPE, 100));
    let many = posterior(&seen(&with_quiet), &ToldShare::Fixed(0.9));
    assert!(many.mean_inch < few.mean_inch - 0.1);
}

#[test]
fn everything_reported_and_nothing_reported_stay_finite() {
    let all = posterior(&seen(&[(Known::TooShort, 30)]), &ToldShare::Fixed(1.0));
    let none = posterior(&seen(&[(RIPE, 30_000)]), &ToldShare::Fixed(1.0));
    for p in [&all, &none] {
        assert!(p.mean_inch.is_finite() && p.widened.width().is_finite());
    }
    assert!(all.mean_inch > 0.5);
    assert!(none.mean_inch.abs() < 1e-9 && none.spread_inch < 0.15);
}

#[test]
fn the_widened_interval_adds_the_extra_doubt() {
    let p = posterior(&seen(&[(RIPE, 30_000)]), &ToldShare::Fixed(1.0));
    // A practically known mean keeps at least 1.96 x 0.05 in on either side.
    assert!(p.widened.width() >= 2.0 * 0.097 && p.widened.low <= p.formal.low);
    let half = 0.5 * p.formal.width();
    assert!((0.5 * p.widened.width() - half.hypot(Z_95 * 0.05)).abs() < 0.01);
}

#[test]
fn an_error_beyond_the_grid_shows_as_weight_on_its_edge() {
    let far = posterior(&seen(&[(Known::RightLength { error_inch: 6.0 }, 60)]), &ToldShare::Fixed(0.9));
    assert!(far.edge_weight > 0.5);
    let near = posterior(&seen(&[(RIPE, 60)]), &ToldShare::Fixed(0.9));
    assert!(near.edge_weight < 1e-3);
}

#[test]
fn without_answers_the_told_share_keeps_its_belief() {
    let learned = posterior(&seen(&[]), &ToldShare::Learned(ToldGrid::default()));
    // Beta(9, 3) has mean 0.75; the part below 0.3 is negligible.
    assert!((learned.told.mean() - 0.75).abs() < 2e-3);
}

#[test]
fn answers_of_quiet_archers_move_the_told_share() {
    let base = [
        (Known::RightLength { error_inch: 0.625 }, 20),
        (Known::RightLength { error_inch: 0.75 }, 15),
        (Known::RightLength { error_inch: -0.625 }, 2),
        (RIPE, 200),
    ];
    let told = |fits: usize, short: usize| {
        let mut known = base.to_vec();
        known.push((Known::AskedFits, fits));
        known.push((Known::AskedTooShort { ripeness: 1.0 }, short));
        posterior(&seen(&known), &ToldShare::Learned(ToldGrid::default())).told.mean()
    };
    let (all_fit, many_misfit) = (told(60, 0), told(45, 15));
    assert!(all_fit > 0.8, "{all_fit}");
    assert!(many_misfit < 0.6, "{many_misfit}");
}

/// Strings in the numbers that a mean of 1/4 in, a spread of 0.30 in, a play of 1/2 in either way
/// and a told share would bring, without chance; `asked` of the quiet ones were asked.
fn ideal_shop(told_share: f64, strings: f64, asked: f64) -> LengthObservations {
    use crate::numeric::normal_chance_between;
    let count = |share: f64| format!("{:.0}", share).parse::<usize>().unwrap();
    let chance = |low: f64, high: f64| normal_chance_between(low, high, 0.25, 0.30);
    let mut known = Vec::new();
    let (mut short, mut long) = (0.0, 0.0);
    for i in 0..40_u32 {
        let low = 0.5 + 0.125 * f64::from(i);
        let (above, below) = (chance(low, low + 0.125), chance(-low - 0.125, -low));
        short += above;
        long += below;
        // Recorded in the middle of their cell, so that the cell lies beyond the play.
        for (error_inch, share) in [(low + 0.0625, above), (-low - 0.0625, below)] {
            let told = count(told_share * share * strings);
            known.push((Known::RightLength { error_inch }, told));
        }
    }
    let quiet = 1.0 - told_share * (short + long);
    let silent = 1.0 - told_share;
    known.push((RIPE, count(strings * quiet - asked)));
    let fits = count(asked * (1.0 - short - long) / quiet);
    let too_short = count(asked * silent * short / quiet);
    let too_long = count(asked * silent * long / quiet);
    known.push((Known::AskedFits, fits));
    known.push((Known::AskedTooShort { ripeness: 1.0 }, too_short));
    known.push((Known::AskedTooLong { ripeness: 1.0 }, too_long));
    seen(&known)
}

#[test]
fn the_told_share_is_found_from_three_hundred_answers_whichever_it_is() {
    for told_share in [0.5, 0.6, 0.9] {
        let shop = ideal_shop(told_share, 4800.0, 300.0);
        let learned = posterior(&shop, &ToldShare::Learned(ToldGrid::default()));
        let got = learned.told.mean();
        assert!((got - told_share).abs() < 0.06, "{told_share}: {got}");
        assert!((learned.mean_inch - 0.25).abs() < 0.02, "{learned:?}");
    }
}

#[test]
fn a_told_share_of_one_point_is_the_fixed_one() {
    let known = seen(&[(Known::TooShort, 3), (RIPE, 40)]);
    let fixed = posterior(&known, &ToldShare::Fixed(0.7));
    let grid = ToldGrid { points: vec![ToldPoint { share: 0.7, weight: 1.0 }] };
    let learned = posterior(&known, &ToldShare::Learned(grid));
    assert!((fixed.mean_inch - learned.mean_inch).abs() < 1e-12);
}

#[test]
fn two_units_that_learn_alike_are_surer_together() {
    let start = ToldGrid::default();
    let known = seen(&[(Known::RightLength { error_inch: 0.625 }, 20), (RIPE, 200), (Known::AskedFits, 60)]);
    let one = posterior(&known, &ToldShare::Learned(start.clone())).told;
    let same = start.pooled(&[&one]).unwrap();
    assert!((same.mean() - one.mean()).abs() < 1e-9);
    let both = start.pooled(&[&one, &one]).unwrap();
    assert!((both.mean() - 0.75).abs() > (one.mean() - 0.75).abs());
    let other = ToldGrid { points: Vec::new() };
    assert!(start.pooled(&[&other]).is_err());
}

#[test]
fn the_same_strings_mirrored_give_the_mirrored_estimate() {
    let flip = |known: &Known| match known {
        Known::RightLength { error_inch } => Known::RightLength { error_inch: -error_inch },
        Known::TooShort => Known::TooLong,
        Known::TooLong => Known::TooShort,
        other => *other,
    };
    let known =
        [(Known::RightLength { error_inch: 0.75 }, 4), (Known::TooShort, 2), (Known::TooLong, 1), (RIPE, 50)];
    let flipped: Vec<(Known, usize)> = known.iter().map(|(k, n)| (flip(k), *n)).collect();
    let a = posterior(&seen(&known), &ToldShare::Fixed(0.9));
    let b = posterior(&seen(&flipped), &ToldShare::Fixed(0.9));
    assert!((a.mean_inch + b.mean_inch).abs() < 1e-9);
    assert!((a.formal.low + b.formal.high).abs() < 1e-9);
}

#[test]
fn settings_that_make_no_sense_are_refused() {
    let none = seen(&[]);
    let model = LengthModel::default();
    let (prior, grid) = (LengthPrior::default(), LengthGrid::COARSE);
    let told = ToldShare::Fixed(0.9);
    let bad_prior = LengthPrior { mean_sd_inch: 0.0, ..prior };
    assert!(length_posterior(&none, &model, &bad_prior, &grid, &told).is_err());
    let bad_grid = LengthGrid { spread_values: 1, ..grid };
    assert!(length_posterior(&none, &model, &prior, &bad_grid, &told).is_err());
    let bad_told = ToldShare::Fixed(f64::NAN);
    assert!(length_posterior(&none, &model, &prior, &grid, &bad_told).is_err());
    assert!((half_way_to_all(0.8) - 0.9).abs() < 1e-15);
}
