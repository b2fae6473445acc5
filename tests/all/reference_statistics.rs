//! The statistics of the month sheet against general-purpose packages.
//!
//! `tests/reference/make_statistics.py` wrote `tests/reference/statistics.json` with scipy,
//! statsmodels and lifelines, in the versions of `tests/reference/requirements.txt`.

use fistmele::evidence::change::{CreepRule, PeriodCount, conditional_test, creep_score};
use fistmele::evidence::cost::{OutcomeCost, weighted_sum_interval};
use fistmele::evidence::course::{Course, Jumps};
use fistmele::evidence::length_error::{Known, LengthModel, LengthObservations, Play, StringEvidence};
use fistmele::evidence::length_tables::{LengthGrid, LengthTables};
use fistmele::evidence::posterior::LengthPrior;
use fistmele::evidence::ranking::{RankingGrid, rank_routes};
use fistmele::evidence::rate::{Tally, wilson_interval};
use fistmele::evidence::survival::{Followed, cumulative_incidence, survival_curve};
use fistmele::numeric::{Beta, NegativeBinomial, chi_square_quantile, ln_normal_between, ln_normal_cdf};
use serde::Deserialize;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Fixtures {
    #[serde(rename = "made_by")]
    _made_by: String,
    #[serde(rename = "seed")]
    _seed: u64,
    wilson: Vec<WilsonCase>,
    distributions: Distributions,
    conditional_tests: Vec<TwoCounts>,
    gamma_intervals: Vec<WeightedSum>,
    mixtures: Vec<Mixture>,
    survival: Survival,
    censored: Censored,
    run_lengths: Vec<RunLength>,
    course: CourseCase,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WilsonCase {
    reports: u32,
    strings: f64,
    low: f64,
    high: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Distributions {
    beta: Vec<BetaCase>,
    chi_square: Vec<ChiSquareCase>,
    negative_binomial: Vec<NegativeBinomialCase>,
    ln_normal: Vec<LnNormalCase>,
    ln_between: Vec<LnBetweenCase>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct BetaCase {
    a: f64,
    b: f64,
    p: f64,
    quantile: f64,
    cdf: f64,
    upper: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct ChiSquareCase {
    p: f64,
    freedom: f64,
    quantile: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct NegativeBinomialCase {
    size: f64,
    mean: f64,
    p: f64,
    quantile: u32,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LnNormalCase {
    x: f64,
    ln_cdf: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LnBetweenCase {
    low: f64,
    high: f64,
    ln_chance: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TwoCounts {
    now_reports: u32,
    now_exposure: f64,
    before_reports: u32,
    before_exposure: f64,
    ratio: f64,
    exact_p: f64,
    mid_p: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct WeightedSum {
    counts: Vec<u32>,
    costs: Vec<f64>,
    total: f64,
    low: f64,
    high: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Mixture {
    reports: Vec<u32>,
    strings: Vec<f64>,
    routes: Vec<MixtureRoute>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MixtureRoute {
    shrunk: f64,
    low: f64,
    high: f64,
    chance_worse: f64,
    chance_better: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Survival {
    days: Vec<u32>,
    outcome: Vec<u32>,
    steps: Vec<SurvivalCase>,
    incidence_days: Vec<u32>,
    incidence: std::collections::BTreeMap<String, Vec<f64>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct SurvivalCase {
    day: u32,
    at_risk: u32,
    survival: f64,
    standard_error: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Censored {
    known: Vec<f64>,
    quiet: usize,
    ripeness: f64,
    too_short: usize,
    too_long: usize,
    play_too_long: f64,
    play_too_short: f64,
    rows: Vec<CensoredRow>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CensoredRow {
    mean: f64,
    spread: f64,
    told_share: f64,
    ln_likelihood: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RunLength {
    expected: f64,
    rate: f64,
    months: f64,
    standard_error: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CourseCase {
    play_too_long: f64,
    play_too_short: f64,
    told_share: f64,
    jump_chance: f64,
    jump_sd: f64,
    spreads: usize,
    months: Vec<CourseMonth>,
    ln_evidence: f64,
    mean: f64,
    spread: f64,
    smoothed: Vec<Smoothed>,
    /// Chance that the last jump came before each month but the first.
    last_jump: Vec<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct CourseMonth {
    right_lengths: Vec<f64>,
    too_short: u32,
    too_long: u32,
    fits: u32,
    quiet: u32,
    shown: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Smoothed {
    mean: f64,
    sd: f64,
}

fn fixtures() -> Fixtures {
    serde_json::from_str(include_str!("../reference/statistics.json"))
        .unwrap_or_else(|error| panic!("the fixtures can't be read: {error}"))
}

/// Absolute next to zero, relative elsewhere.
#[track_caller]
fn close(got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance * expected.abs().max(1e-3), "got {got}, expected {expected}");
}

#[test]
fn wilson_intervals_agree() {
    for case in fixtures().wilson {
        let rate = wilson_interval(&Tally::new(case.reports, case.strings).unwrap()).unwrap();
        close(rate.interval.low, case.low, 1e-11);
        close(rate.interval.high, case.high, 1e-11);
    }
}

#[test]
fn beta_quantiles_and_tails_agree_up_to_tens_of_thousands() {
    for case in fixtures().distributions.beta {
        let beta = Beta::new(case.a, case.b).unwrap();
        let quantile = beta.quantile(case.p).unwrap();
        assert!((quantile / case.quantile - 1.0).abs() < 1e-9, "{quantile}");
        close(beta.cdf(case.quantile), case.cdf, 1e-9);
        close(beta.upper(case.quantile * 1.05), case.upper, 1e-9);
    }
}

#[test]
fn chi_square_and_negative_binomial_quantiles_agree() {
    let distributions = fixtures().distributions;
    for case in distributions.chi_square {
        let quantile = chi_square_quantile(case.p, case.freedom).unwrap();
        assert!((quantile / case.quantile - 1.0).abs() < 1e-9, "{quantile}");
    }
    for case in distributions.negative_binomial {
        let range = NegativeBinomial::new(case.size, case.mean).unwrap();
        assert_eq!(range.quantile(case.p).unwrap(), case.quantile);
    }
}

#[test]
fn logarithms_of_normal_chances_agree_into_the_far_tails() {
    let distributions = fixtures().distributions;
    for case in distributions.ln_normal {
        close(ln_normal_cdf(case.x), case.ln_cdf, 1e-9);
    }
    for case in distributions.ln_between {
        close(ln_normal_between(case.low, case.high), case.ln_chance, 1e-8);
    }
}

#[test]
fn conditional_tests_agree() {
    for case in fixtures().conditional_tests {
        let test = conditional_test(
            PeriodCount::new(case.now_reports, case.now_exposure).unwrap(),
            PeriodCount::new(case.before_reports, case.before_exposure).unwrap(),
            case.ratio,
        )
        .unwrap();
        close(test.exact_p, case.exact_p, 1e-10);
        close(test.mid_p, case.mid_p, 1e-10);
    }
}

#[test]
fn gamma_intervals_agree() {
    for case in fixtures().gamma_intervals {
        let outcomes: Vec<OutcomeCost> = case
            .counts
            .iter()
            .zip(&case.costs)
            .map(|(count, cost)| OutcomeCost { count: *count, cost: *cost })
            .collect();
        let sum = weighted_sum_interval(&outcomes).unwrap();
        close(sum.point, case.total, 1e-12);
        close(sum.interval.low, case.low, 1e-10);
        close(sum.interval.high, case.high, 1e-10);
    }
}

#[test]
fn the_comparison_of_routes_agrees() {
    for case in fixtures().mixtures {
        let routes: Vec<Tally> =
            case.reports.iter().zip(&case.strings).map(|(x, n)| Tally::new(*x, *n).unwrap()).collect();
        let ranking = rank_routes(&routes, &RankingGrid::FINE).unwrap();
        assert_eq!(ranking.routes.len(), case.routes.len());
        for (got, expected) in ranking.routes.iter().zip(&case.routes) {
            close(got.shrunk.point, expected.shrunk, 1e-8);
            close(got.shrunk.interval.low, expected.low, 1e-7);
            close(got.shrunk.interval.high, expected.high, 1e-7);
            let chances = got.chances.unwrap();
            close(chances.worse, expected.chance_worse, 1e-7);
            close(chances.better, expected.chance_better, 1e-7);
        }
    }
}

#[test]
fn survival_and_incidence_agree() {
    let case = fixtures().survival;
    let followed: Vec<Followed<u32>> = case
        .days
        .iter()
        .zip(&case.outcome)
        .map(|(days, outcome)| Followed { days: *days, outcome: Some(*outcome).filter(|o| *o > 0) })
        .collect();
    let steps = survival_curve(&followed);
    assert_eq!(steps.len(), case.steps.len());
    for (got, expected) in steps.iter().zip(&case.steps) {
        assert_eq!((got.day, got.at_risk), (expected.day, expected.at_risk));
        close(got.survival, expected.survival, 1e-10);
        assert_eq!(got.standard_error.is_some(), expected.standard_error.is_some());
        if let (Some(got), Some(expected)) = (got.standard_error, expected.standard_error) {
            close(got, expected, 1e-10);
        }
    }
    let curves = cumulative_incidence(&followed);
    for (place, outcome) in curves.outcomes.iter().enumerate() {
        for (day, expected) in case.incidence_days.iter().zip(&case.incidence[&outcome.to_string()]) {
            let got = curves.steps.iter().rfind(|step| step.day <= *day).unwrap();
            close(got.incidence[place], *expected, 1e-8);
        }
    }
}

#[test]
fn the_censored_likelihood_agrees() {
    let case = fixtures().censored;
    let play = Play::new(case.play_too_long, case.play_too_short).unwrap();
    let mut known: Vec<(Known, u32)> =
        case.known.iter().map(|error_inch| (Known::RightLength { error_inch: *error_inch }, 1)).collect();
    let count = |n: usize| u32::try_from(n).unwrap();
    known.push((Known::TooShort, count(case.too_short)));
    known.push((Known::TooLong, count(case.too_long)));
    known.push((Known::Quiet { shown: case.ripeness }, count(case.quiet)));
    let strings: Vec<StringEvidence> =
        known.into_iter().map(|(known, count)| StringEvidence { offset_inch: 0.0, known, count }).collect();
    let seen = LengthObservations::group(&strings, 0.0, &play).unwrap();
    for row in case.rows {
        let model =
            LengthModel { play, told_share: row.told_share, nagging_share: 0.0, ..LengthModel::default() };
        let got = at(&model, &seen, row.mean, row.spread);
        // Quiet strings are shared out between levels of how much they have shown.
        close(got, row.ln_likelihood, 1e-4);
    }
}

/// The log likelihood at a mean, which may lie between two of the raster, and a spread.
fn at(model: &LengthModel, seen: &LengthObservations, mean: f64, spread: f64) -> f64 {
    let grid = LengthGrid {
        spread_low_inch: spread,
        spread_high_inch: 2.0 * spread,
        spread_values: 2,
        ..LengthGrid::FINE
    };
    let tables = LengthTables::new(model, &grid, [seen]).unwrap();
    let place = (mean * 64.0 + 80.0).round();
    // Every mean of the reference but 0.2 is one of the raster; there the three nearest are enough.
    let values: Vec<f64> = tables.ln_likelihood(seen)[..161].to_vec();
    let place_of: usize = format!("{place:.0}").parse().unwrap();
    let t = mean * 64.0 + 80.0 - place;
    if t.abs() < 1e-9 {
        return values[place_of];
    }
    let (a, b, c) = (values[place_of - 1], values[place_of], values[place_of + 1]);
    b + 0.5 * t * (c - a) + 0.5 * t * t * (a - 2.0 * b + c)
}

#[test]
fn the_course_of_an_offset_agrees_with_a_hidden_markov_model() {
    let case = fixtures().course;
    let play = Play::new(case.play_too_long, case.play_too_short).unwrap();
    let months: Vec<LengthObservations> = case
        .months
        .iter()
        .map(|month| {
            let errors = month
                .right_lengths
                .iter()
                .map(|error_inch| (Known::RightLength { error_inch: *error_inch }, 1));
            let others = [
                (Known::TooShort, month.too_short),
                (Known::TooLong, month.too_long),
                (Known::Fits, month.fits),
                (Known::Quiet { shown: month.shown }, month.quiet),
            ];
            let strings: Vec<StringEvidence> = errors
                .chain(others)
                .filter(|(_, count)| *count > 0)
                .map(|(known, count)| StringEvidence { offset_inch: 0.0, known, count })
                .collect();
            LengthObservations::group(&strings, 0.0, &play).unwrap()
        })
        .collect();
    let grid = LengthGrid { mean_steps: 40, step_64ths: 2, spread_values: case.spreads, ..LengthGrid::FINE };
    let model =
        LengthModel { play, told_share: case.told_share, nagging_share: 0.0, ..LengthModel::default() };
    let tables = LengthTables::new(&model, &grid, &months).unwrap();
    let jumps = Jumps { chance: case.jump_chance, sd_inch: case.jump_sd };
    let course = Course::follow(&months, &tables, &LengthPrior::default(), &jumps).unwrap();
    close(course.ln_evidence, case.ln_evidence, 1e-9);
    close(course.today.error.mean_inch, case.mean, 1e-8);
    close(course.today.spread_inch, case.spread, 1e-8);
    for (got, expected) in course.smoothed().iter().zip(&case.smoothed) {
        close(got.mean_inch, expected.mean, 1e-7);
        close(got.sd_inch, expected.sd, 1e-7);
    }
    assert_eq!(course.smoothed().len(), case.smoothed.len());
    let jump = course.last_jump().unwrap();
    close(jump.chance, case.last_jump.iter().sum(), 1e-8);
    let best =
        (0..case.last_jump.len()).max_by(|a, b| case.last_jump[*a].total_cmp(&case.last_jump[*b])).unwrap();
    assert_eq!(jump.month, best + 1);
}

#[test]
fn the_creep_score_alarms_as_late_as_in_simulation() {
    for case in fixtures().run_lengths {
        let got = lattice_run_length(case.rate, case.expected, &CreepRule { factor: 2.0, alarm_at: 4.0 });
        let tolerance = 4.0 * case.standard_error + 0.01 * case.months;
        assert!(
            (got - case.months).abs() < tolerance,
            "{} where {} are expected: {got}, simulated {}",
            case.rate,
            case.expected,
            case.months
        );
    }
}

/// Average run length by following the distribution of the score on a fine lattice.
fn lattice_run_length(rate: f64, expected: f64, rule: &CreepRule) -> f64 {
    const STEP: f64 = 0.01;
    let cells = 400;
    let mut moves = Vec::new();
    let mut chance = (-rate).exp();
    for count in 0..60_u32 {
        moves.push((count, chance));
        chance *= rate / f64::from(count + 1);
    }
    // Each move is shared out between the two nearest cells, so that the lattice adds no drift.
    let next: Vec<Vec<(usize, f64)>> = (0..cells)
        .map(|cell| {
            let mut to = Vec::new();
            for (count, chance) in moves.iter().filter(|(_, chance)| *chance > 1e-9) {
                let score = creep_score(cell as f64 * STEP, *count, expected, rule.factor);
                let place = score / STEP;
                let below: usize = format!("{:.0}", place.floor()).parse().expect("a cell");
                let part = place - place.floor();
                if score < rule.alarm_at {
                    to.push((below, chance * (1.0 - part)));
                    to.push((below + 1, chance * part));
                }
            }
            to.retain(|(cell, _)| *cell < cells);
            to
        })
        .collect();
    let mut mass = vec![0.0; cells];
    mass[0] = 1.0;
    let (mut length, mut left, mut kept) = (0.0, 1.0, 0.0);
    while left > 0.05 {
        length += left;
        let mut after = vec![0.0; cells];
        for (weight, moves) in mass.iter().zip(&next).filter(|(w, _)| **w > 0.0) {
            for (to, chance) in moves {
                after[*to] += weight * chance;
            }
        }
        mass = after;
        let still: f64 = mass.iter().sum();
        kept = still / left;
        left = still;
    }
    // By now the share that is kept from month to month has settled.
    length + left / (1.0 - kept)
}
