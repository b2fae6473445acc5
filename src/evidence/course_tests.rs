use super::*;
use crate::evidence::length_error::{Known, LengthModel, Play, StringEvidence};
use crate::evidence::length_tables::LengthGrid;

const OLD: Known = Known::Quiet { shown: 1.0 };
const NEVER: Jumps = Jumps { chance: 0.0, sd_inch: 0.30 };

fn model(told_share: f64) -> LengthModel {
    LengthModel { play: Play::new(0.5, 0.5).unwrap(), told_share, ..LengthModel::default() }
}

fn cut_by(offset_inch: f64, known: &[(Known, u32)]) -> LengthObservations {
    let strings: Vec<StringEvidence> = known
        .iter()
        .map(|(known, count)| StringEvidence { offset_inch, known: *known, count: *count })
        .collect();
    LengthObservations::group(&strings, -4.0, &model(0.9).play).unwrap()
}

fn seen(known: &[(Known, u32)]) -> LengthObservations {
    cut_by(-4.0, known)
}

fn tables(months: &[LengthObservations]) -> LengthTables {
    LengthTables::new(&model(0.9), &LengthGrid::SHEET, months).unwrap()
}

/// One month, the mean anywhere within a quarter of an inch or so.
fn posterior(seen: &LengthObservations, told_share: f64) -> LengthPosterior {
    let tables = LengthTables::new(&model(told_share), &LengthGrid::SHEET, [seen]).unwrap();
    let months = std::slice::from_ref(seen);
    Course::follow(months, &tables, &LengthPrior::anywhere(0.25), &NEVER).unwrap().today
}

fn error(error_inch: f64) -> Known {
    Known::RightLength { error_inch }
}

/// Months of 40 strings of which three or so come back, as on a route that is right.
fn right() -> LengthObservations {
    seen(&[(error(0.625), 1), (error(-0.625), 2), (OLD, 37)])
}

/// Months of 40 strings by half an inch too short.
fn short() -> LengthObservations {
    seen(&[(error(0.625), 7), (error(0.875), 9), (Known::TooShort, 2), (OLD, 22)])
}

#[test]
fn no_string_gives_the_prior_back() {
    let prior = posterior(&seen(&[]), 0.9);
    assert!(prior.error.mean_inch.abs() < 1e-12);
    assert!((prior.error.sd_inch - 0.25).abs() < 1e-3);
    assert!((prior.error.formal.high - 0.49).abs() < 0.01);
    assert!((prior.weights.iter().sum::<f64>() - 1.0).abs() < 1e-9);
    let (none, tables) = ([], tables(&[]));
    let right = Course::follow(&none, &tables, &LengthPrior::default(), &Jumps::default()).unwrap();
    // .8 x .04^2 + .2 x .30^2
    assert!((right.today.error.sd_inch - 0.1389).abs() < 1e-3);
    assert!(right.last_jump().is_none() && right.smoothed().is_empty());
}

#[test]
fn one_complaint_moves_the_estimate_a_little_only() {
    let one = posterior(&seen(&[(Known::RightLength { error_inch: 0.75 }, 1)]), 0.9);
    assert!(one.error.mean_inch > 0.1 && one.error.mean_inch < 0.6);
    assert!(one.error.formal.contains(one.error.mean_inch));
}

#[test]
fn equal_lengths_do_not_send_the_spread_to_nothing() {
    let equal = posterior(&seen(&[(Known::RightLength { error_inch: 0.5 }, 3)]), 0.9);
    assert!(equal.spread_inch > 0.1);
}

#[test]
fn quiet_strings_speak_for_the_present_offset() {
    let complaints = [(Known::RightLength { error_inch: 0.75 }, 5)];
    let few = posterior(&seen(&complaints), 0.9);
    let mut with_quiet = complaints.to_vec();
    with_quiet.push((OLD, 100));
    let many = posterior(&seen(&with_quiet), 0.9);
    assert!(many.error.mean_inch < few.error.mean_inch - 0.1);
}

#[test]
fn everything_reported_and_nothing_reported_stay_finite() {
    let all = posterior(&seen(&[(Known::TooShort, 30)]), 1.0);
    let none = posterior(&seen(&[(OLD, 30_000)]), 1.0);
    for p in [&all, &none] {
        assert!(p.error.mean_inch.is_finite() && p.error.widened.width().is_finite());
    }
    assert!(all.error.mean_inch > 0.5);
    assert!(none.error.mean_inch.abs() < 1e-9 && none.spread_inch < 0.15);
}

#[test]
fn an_error_beyond_the_grid_shows_as_weight_on_its_edge() {
    let far = posterior(&seen(&[(Known::RightLength { error_inch: 1.5 }, 60)]), 0.9);
    assert!(far.edge_weight > 0.5);
    let near = posterior(&seen(&[(OLD, 60)]), 0.9);
    assert!(near.edge_weight < 1e-3);
}

#[test]
fn the_widened_interval_adds_the_extra_doubt() {
    let p = posterior(&seen(&[(OLD, 30_000)]), 1.0);
    // A practically known mean keeps at least 1.96 x 0.05 in on either side.
    assert!(p.error.widened.width() >= 2.0 * 0.097 && p.error.widened.low <= p.error.formal.low);
    let half = 0.5 * p.error.formal.width();
    assert!((0.5 * p.error.widened.width() - half.hypot(1.96 * 0.05)).abs() < 0.01);
}

#[test]
fn without_jumps_the_months_are_one_heap() {
    let months = [right(), short(), seen(&[]), short()];
    let heap =
        seen(&[(error(0.625), 15), (error(-0.625), 2), (error(0.875), 18), (Known::TooShort, 4), (OLD, 81)]);
    let tables = tables(&months);
    let prior = LengthPrior::anywhere(0.25);
    let apart = Course::follow(&months, &tables, &prior, &NEVER).unwrap();
    let together = Course::follow(&[heap], &tables, &prior, &NEVER).unwrap();
    assert!((apart.today.error.mean_inch - together.today.error.mean_inch).abs() < 1e-9);
    assert!((apart.today.spread_inch - together.today.spread_inch).abs() < 1e-9);
    assert!((apart.ln_evidence - together.ln_evidence).abs() < 1e-7);
    assert!(apart.last_jump().unwrap().chance.abs() < 1e-12);
    // Nothing moves, so every month is known as well as the last.
    for month in apart.smoothed() {
        assert!((month.mean_inch - apart.today.error.mean_inch).abs() < 1e-9);
    }
}

#[test]
fn one_observation_is_prior_times_its_chance() {
    let months = [seen(&[(Known::TooShort, 1)])];
    let tables = tables(&months);
    let grid = LengthGrid::SHEET;
    let course = Course::follow(&months, &tables, &LengthPrior::anywhere(0.25), &Jumps::default()).unwrap();
    // By hand over the same grid, with the normal distribution written out.
    let (mut sum, mut all) = (0.0, 0.0);
    for spread in &tables.spreads {
        for place in 0..grid.means() {
            let mean = grid.mean_at(place);
            let ln_spread = (spread / 0.30_f64).ln() / 0.40;
            let weight = (-0.5 * (ln_spread * ln_spread + (mean / 0.25) * (mean / 0.25))).exp()
                * (crate::numeric::normal_cdf((mean - 0.5) / spread) + 0.02);
            sum += weight * mean;
            all += weight;
        }
    }
    assert!((course.today.error.mean_inch - sum / all).abs() < 1e-9);
}

#[test]
fn a_jump_that_is_certain_forgets_all_but_the_spread() {
    let months = [right(), right(), short()];
    let tables = tables(&months);
    let certain = Jumps { chance: 1.0, sd_inch: 0.30 };
    let course = Course::follow(&months, &tables, &LengthPrior::default(), &certain).unwrap();
    // The last month alone, its mean anywhere, its spread as the first two leave it.
    let before = Course::follow(&months[..2], &tables, &LengthPrior::default(), &certain).unwrap();
    let landing = bell(&tables, 0.0, 0.30);
    let by_spread = before.today.weights.chunks_exact(landing.len()).map(|row| row.iter().sum::<f64>());
    let mut alone: Vec<f64> =
        by_spread.flat_map(|spread| landing.iter().map(move |landing| spread * landing)).collect();
    let mut seen = tables.ln_likelihood(&months[2]);
    over_greatest(&mut seen);
    multiply(&mut alone, &seen);
    let alone = LengthPosterior::of(alone, &tables);
    assert!((course.today.error.mean_inch - alone.error.mean_inch).abs() < 1e-12);
    let jump = course.last_jump().unwrap();
    assert!((jump.chance - 1.0).abs() < 1e-12);
    assert_eq!((jump.month, jump.range), (2, (2, 2)));
}

#[test]
fn a_fault_that_comes_late_is_seen_whole_and_dated() {
    let mut months = vec![right(); 12];
    months.extend([short(), short()]);
    let tables = tables(&months);
    let heap = Course::follow(&months, &tables, &LengthPrior::anywhere(0.25), &NEVER).unwrap();
    let course = Course::follow(&months, &tables, &LengthPrior::default(), &Jumps::default()).unwrap();
    assert!(heap.today.error.mean_inch < 0.25, "{:?}", heap.today.error);
    assert!((course.today.error.mean_inch - 0.5).abs() < 0.13, "{:?}", course.today.error);
    let jump = course.last_jump().unwrap();
    assert!(jump.chance > 0.99 && jump.month == 12, "{jump:?}");
    assert!(jump.range.0 >= 11 && jump.range.1 <= 13, "{jump:?}");
    let smoothed = course.smoothed();
    assert_eq!(smoothed.len(), 14);
    assert!(smoothed[3].mean_inch.abs() < 0.1 && smoothed[12].mean_inch > 0.35, "{smoothed:?}");
    assert!((smoothed[13].mean_inch - course.today.error.mean_inch).abs() < 1e-9);
}

#[test]
fn one_report_that_contradicts_the_others_is_not_believed_over_them() {
    let mut months = vec![short(); 6];
    months.push(seen(&[(Known::TooLong, 1), (error(0.625), 1), (OLD, 6)]));
    let tables = tables(&months);
    let course = Course::follow(&months, &tables, &LengthPrior::default(), &Jumps::default()).unwrap();
    assert!(course.today.error.mean_inch > 0.35, "{:?}", course.today.error);
    assert!(course.last_jump().unwrap().chance < 0.5, "{:?}", course.last_jump());
}

#[test]
fn a_right_route_stays_right() {
    let months = vec![right(); 24];
    let tables = tables(&months);
    let course = Course::follow(&months, &tables, &LengthPrior::default(), &Jumps::default()).unwrap();
    assert!(course.today.error.mean_inch.abs() < 0.05, "{:?}", course.today.error);
    assert!(course.last_jump().unwrap().chance < 0.5);
}

#[test]
fn a_changed_offset_is_not_taken_for_a_jump() {
    // Cut by minus 4 and right; then by minus 3 3/4, the present offset, and a quarter too long.
    let long = cut_by(-3.75, &[(error(-0.625), 7), (error(-0.75), 3), (OLD, 30)]);
    let in_force = |known: &[(Known, u32)], offset_inch: f64| {
        let strings: Vec<StringEvidence> = known
            .iter()
            .map(|(known, count)| StringEvidence { offset_inch, known: *known, count: *count })
            .collect();
        LengthObservations::group(&strings, -3.75, &model(0.9).play).unwrap()
    };
    let mut months = vec![in_force(&[(error(0.625), 1), (error(-0.625), 1), (OLD, 38)], -4.0); 6];
    months.push(in_force(&[(error(-0.625), 7), (error(-0.75), 3), (OLD, 30)], -3.75));
    let tables = tables(&months);
    let course = Course::follow(&months, &tables, &LengthPrior::default(), &Jumps::default()).unwrap();
    assert!(course.last_jump().unwrap().chance < 0.3, "{:?}", course.last_jump());
    assert!((course.today.error.mean_inch + 0.25).abs() < 0.08, "{:?}", course.today.error);
    assert_eq!(long.strings(), 40);
}

#[test]
fn offsets_that_change_every_month_and_months_that_contradict_stay_finite() {
    let months: Vec<LengthObservations> =
        (0..24).map(|i| cut_by(-4.0 + 0.25 * f64::from(i % 7), &[(error(0.5), 1), (OLD, 9)])).collect();
    let far = [seen(&[(OLD, 30_000)]), seen(&[(error(6.0), 900)]), seen(&[(error(-6.0), 900)])];
    for months in [&months[..], &far[..]] {
        let tables = tables(months);
        let course = Course::follow(months, &tables, &LengthPrior::default(), &Jumps::default()).unwrap();
        assert!(course.today.error.mean_inch.is_finite() && course.ln_evidence.is_finite());
        assert!(course.smoothed().iter().all(|month| month.widened.width().is_finite()));
        assert!(course.last_jump().unwrap().chance <= 1.0 + 1e-12);
    }
}

#[test]
fn a_reading_that_an_archer_gave_counts_less_than_a_length_that_was_found() {
    let answered = posterior(&seen(&[(Known::Answered { error_inch: 0.75, shown: 0.5 }, 1)]), 0.9);
    let found = posterior(&seen(&[(error(0.75), 1)]), 0.9);
    assert!(answered.error.mean_inch > 0.1 && answered.error.mean_inch < found.error.mean_inch);
    // A reading inside the play says where in it, which "fits" does not.
    let fits = posterior(&seen(&[(Known::AnsweredFits, 5)]), 0.9);
    let reading = posterior(&seen(&[(Known::Answered { error_inch: 0.25, shown: 0.5 }, 5)]), 0.9);
    assert!(fits.error.mean_inch.abs() < 1e-9 && reading.error.mean_inch > 0.1);
}

#[test]
fn where_misfits_answer_sooner_their_answers_count_less() {
    let answers = [seen(&[
        (Known::Answered { error_inch: 0.75, shown: 0.5 }, 4),
        (Known::AnsweredFits, 12),
        (OLD, 40),
    ])];
    let mean = |answer_odds: f64| {
        let model = LengthModel { answer_odds, ..model(0.9) };
        let tables = LengthTables::new(&model, &LengthGrid::SHEET, &answers).unwrap();
        Course::follow(&answers, &tables, &LengthPrior::anywhere(0.25), &NEVER).unwrap().today.error.mean_inch
    };
    assert!(mean(3.0) < mean(1.0) && mean(1.0) < mean(0.4), "{} {} {}", mean(3.0), mean(1.0), mean(0.4));
}

#[test]
fn a_told_share_of_nothing_and_of_all_give_numbers() {
    for told_share in [0.0, 1.0] {
        let one = posterior(&right(), told_share);
        assert!(one.error.mean_inch.is_finite());
    }
}

#[test]
fn settings_that_make_no_sense_are_refused() {
    let none = [seen(&[])];
    let tables = tables(&none);
    let prior = LengthPrior::default();
    for bad in [
        LengthPrior { elsewhere_sd_inch: 0.0, ..prior },
        LengthPrior { right_share: 1.5, ..prior },
        LengthPrior { mean_centre_inch: f64::NAN, ..prior },
    ] {
        assert!(Course::follow(&none, &tables, &bad, &Jumps::default()).is_err());
    }
    assert!(Course::follow(&none, &tables, &prior, &Jumps { chance: 1.1, sd_inch: 0.3 }).is_err());
    let bad_grid = LengthGrid { spread_values: 1, ..LengthGrid::SHEET };
    assert!(LengthTables::new(&model(0.9), &bad_grid, &none).is_err());
    assert!(LengthTables::new(&model(f64::NAN), &LengthGrid::SHEET, &none).is_err());
    let unrounded = LengthModel { rounding_inch: 0.0, ..model(0.9) };
    assert!(LengthTables::new(&unrounded, &LengthGrid::SHEET, &none).is_err());
    let unanswered = LengthModel { answer_odds: 0.0, ..model(0.9) };
    assert!(LengthTables::new(&unanswered, &LengthGrid::SHEET, &none).is_err());
    assert!((crate::evidence::posterior::half_way_to_all(0.8) - 0.9).abs() < 1e-15);
}
