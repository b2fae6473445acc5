//! The statistics of the month sheet against published figures.
//!
//! `tests/checks/statistics.json` holds inputs, the figures someone published for them, and the
//! tolerance each publication allows. Every entry is either worked out here or listed with the
//! reason why it isn't.

use std::collections::BTreeSet;

use fistmele::evidence::advice::{AdviceRule, MisfitCosts, UnitFacts, advise};
use fistmele::evidence::change::{PeriodCount, compare_month, conditional_test, creep_score};
use fistmele::evidence::cost::{OutcomeCost, cost_per_string, weighted_sum_interval};
use fistmele::evidence::course::{Course, Jumps};
use fistmele::evidence::length_error::{Known, LengthModel, LengthObservations, Play, StringEvidence};
use fistmele::evidence::length_tables::{LengthGrid, LengthTables};
use fistmele::evidence::posterior::LengthPrior;
use fistmele::evidence::ranking::{RankingGrid, rank_routes, route_ln_likelihood};
use fistmele::evidence::rate::{Tally, poisson_interval, wilson_interval};
use fistmele::evidence::reporting_delay::{DelayedReport, PSEUDO_REPORTS, ReportingDelay};
use fistmele::evidence::survival::{Followed, cumulative_incidence, survival_curve};
use fistmele::evidence::{Estimate, Interval};
use fistmele::numeric::{Beta, ln_normal_between, ln_normal_cdf};
use serde_json::{Value, json};

use crate::newton::{maximum, solve};

const CHECKS: &str = include_str!("../checks/statistics.json");

/// Entries that belong to methods the sheet doesn't use.
const NOT_USED: [(&str, &str); 12] = [
    ("A14", "Wilson interval at 99 %: the sheet shows 95 % ones"),
    ("B1", "James-Stein factor: routes are compared by a beta-binomial grid"),
    ("B2", "James-Stein squared error: as B1"),
    ("B4", "moment fit of a beta-binomial: the grid needs no fit"),
    ("D1", "p-chart: three times its nominal false-alarm rate at small counts"),
    ("D3", "p-chart: as D1"),
    ("D4", "p-chart: as D1"),
    ("D10", "run length of a normal CUSUM: the creep score is one of counts"),
    ("D12", "run length of a normal CUSUM: as D10"),
    ("E4", "mean of the complaints by closed form: the sheet shows their plain mean, and warns of it"),
    ("W7", "best change for a known mean: the sheet averages the cost over what it knows"),
    ("G1", "Benjamini-Hochberg: alarms have a fixed budget instead"),
];

#[test]
fn every_published_figure_is_met_or_listed_as_not_used() {
    let checks: Value = serde_json::from_str(CHECKS).expect("the check file is JSON");
    let listed: BTreeSet<&str> = NOT_USED.iter().map(|(id, _)| *id).collect();
    let mut seen = BTreeSet::new();
    let mut failures = Vec::new();
    for check in array(&checks["checks"]) {
        let id = check["id"].as_str().expect("an id");
        assert!(seen.insert(id.to_owned()), "{id} stands there twice");
        let worked_out = work_out(id, &check["inputs"]);
        assert!(
            worked_out.is_some() != listed.contains(id),
            "{id} must be either worked out or listed as not used"
        );
        if let Some(got) = worked_out {
            compare(id, check, &got, &mut failures);
        }
    }
    for (id, reason) in NOT_USED {
        assert!(seen.contains(id), "{id} is listed but not in the file");
        assert!(!reason.is_empty());
    }
    assert!(failures.is_empty(), "{}", failures.join("\n"));
}

/// What the program makes of the inputs of a check; `None` for an id it doesn't know.
fn work_out(id: &str, inputs: &Value) -> Option<Value> {
    let i = inputs;
    Some(match id {
        "A1" | "A3" | "A5" | "A13" => ends(&wilson_interval(&tally(i)).expect("strings")),
        // Not used by the sheet, but they check the beta quantile.
        "A6" | "A8" | "A9" | "A12" | "A16" => clopper_pearson(i, 0.95),
        "A10" => clopper_pearson(i, 0.90),
        "A18" => jeffreys(i),
        "A17" => ends(&poisson_interval(whole(&i["count"]), number(&i["exposure"])).expect("rate")),
        "B3" => {
            let n = number(&i["n"]);
            let groups: Vec<(Tally, f64)> =
                array(&i["hits"]).iter().map(|x| (Tally::new(whole(x), n).expect("a tally"), 1.0)).collect();
            beta_binomial(&groups)
        }
        "B6" => {
            let groups: Vec<(Tally, f64)> = array(&i["x"])
                .iter()
                .zip(array(&i["n"]))
                .map(|(x, n)| (Tally::new(whole(x), number(n)).expect("a tally"), 1.0))
                .collect();
            beta_binomial(&groups)
        }
        "B8" => {
            let groups: Vec<(Tally, f64)> = array(&i["counts_0_to_12_boys"])
                .iter()
                .zip(0..)
                .map(|(families, boys)| (Tally::new(boys, 12.0).expect("a tally"), number(families)))
                .collect();
            beta_binomial(&groups)
        }
        "C1" | "C3" | "C5" | "C7" => kaplan_meier(id, i),
        "C8" => competing_outcomes(i),
        "D5" | "D9" => json!({"p": two_counts(i).mid_p}),
        "D6" | "D8" => json!({"p": two_counts(i).exact_p}),
        "D13" => json!({"average_run_length": poisson_run_length(i)}),
        "E1" => turbine_wheels(i),
        "E3" => durable_goods(i),
        "F1" => standardised_rate(i),
        "W1" => ranking(i),
        "W2" => reporting_delay(i),
        "W3" => month_tests(i),
        "W4" => {
            let cost = cost_per_string(&outcomes(&i["counts"], &numbers(&i["cost"])), {
                number(&i["effective_strings"])
            });
            let cost = cost.expect("costs").expect("strings");
            json!({"cost": cost.point, "low": cost.interval.low, "high": cost.interval.high})
        }
        "W5" | "W6" => length_error(i),
        _ => return None,
    })
}

fn compare(id: &str, check: &Value, got: &Value, failures: &mut Vec<String>) {
    let expected = check["expected"].as_object().expect("expected figures");
    for (key, expected) in expected {
        let tolerance = number(&check["tolerance"][key]);
        let got = &got[key];
        let pairs: Vec<(f64, f64)> = match expected {
            Value::Array(list) => {
                let got = array(got);
                // A list may hold the first steps of a longer curve only.
                assert!(got.len() >= list.len(), "{id} {key}: {got:?}");
                list.iter().map(number).zip(got.iter().map(number)).collect()
            }
            single => vec![(number(single), number(got))],
        };
        for (expected, got) in pairs {
            // Figures are written with eight digits, and some tolerances are closer than that.
            let last_digit = 10_f64.powf(expected.abs().max(1e-12).log10().floor() - 7.0);
            if (expected - got).abs() > tolerance + 0.5 * last_digit {
                failures.push(format!("{id} {key}: expected {expected} within {tolerance}, got {got}"));
            }
        }
    }
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is not a number"))
}

fn whole(value: &Value) -> u32 {
    value.as_u64().and_then(|v| u32::try_from(v).ok()).unwrap_or_else(|| panic!("{value} is not a count"))
}

fn array(value: &Value) -> &Vec<Value> {
    value.as_array().unwrap_or_else(|| panic!("{value} is not a list"))
}

fn numbers(value: &Value) -> Vec<f64> {
    array(value).iter().map(number).collect()
}

fn tally(inputs: &Value) -> Tally {
    Tally::new(whole(&inputs["x"]), number(&inputs["n"])).expect("a tally")
}

fn play(inputs: &Value) -> Play {
    Play::new(number(&inputs["play_too_long"]), number(&inputs["play_too_short"])).expect("a play")
}

fn ends(estimate: &Estimate) -> Value {
    let Interval { low, high } = estimate.interval;
    json!({"low": low, "high": high})
}

fn clopper_pearson(inputs: &Value, coverage: f64) -> Value {
    let (x, n) = (number(&inputs["x"]), number(&inputs["n"]));
    let tail = 0.5 * (1.0 - coverage);
    let low = Beta::new(x, n - x + 1.0).map_or(0.0, |b| b.quantile(tail).expect("a tail"));
    let high = Beta::new(x + 1.0, n - x).map_or(1.0, |b| b.quantile(1.0 - tail).expect("a tail"));
    json!({"low": low, "high": high})
}

fn jeffreys(inputs: &Value) -> Value {
    let (x, n) = (number(&inputs["x"]), number(&inputs["n"]));
    let beta = Beta::new(x + 0.5, n - x + 0.5).expect("a beta distribution");
    json!({"low": beta.quantile(0.025).expect("a tail"), "high": beta.quantile(0.975).expect("a tail")})
}

/// Maximum of the likelihood that the comparison of routes averages over.
fn beta_binomial(groups: &[(Tally, f64)]) -> Value {
    let ln_likelihood = |at: &[f64]| -> f64 {
        let mean = 1.0 / (1.0 + (-at[0]).exp());
        let (alpha, beta) = (mean * at[1].exp(), (1.0 - mean) * at[1].exp());
        groups
            .iter()
            .map(|(tally, weight)| {
                weight * route_ln_likelihood(tally, alpha, beta).expect("parameters above zero")
            })
            .sum()
    };
    let (at, _) = maximum(&ln_likelihood, &[-1.0, 3.0]);
    let (mean, both) = (1.0 / (1.0 + (-at[0]).exp()), at[1].exp());
    json!({"alpha": mean * both, "beta": (1.0 - mean) * both, "mean": mean, "alpha_plus_beta": both})
}

fn kaplan_meier(id: &str, inputs: &Value) -> Value {
    let followed: Vec<Followed<()>> = match id {
        "C1" => {
            let mut all = followed_days(&inputs["failures"], 1.0, true);
            all.extend(followed_days(&inputs["removed"], 1.0, false));
            let running = usize::try_from(whole(&inputs["still_running_at_200"])).expect("a count");
            let last = Followed { days: 200, outcome: None };
            all.extend(std::iter::repeat_n(last, running));
            all
        }
        "C7" => {
            // Tenths of a unit, because days are whole.
            let mut all = followed_days(&inputs["deaths"], 10.0, true);
            all.extend(followed_days(&inputs["losses"], 10.0, false));
            all
        }
        _ => array(&inputs["time"])
            .iter()
            .zip(array(&inputs["event"]))
            .map(|(days, event)| Followed { days: whole(days), outcome: (whole(event) == 1).then_some(()) })
            .collect(),
    };
    let survival: Vec<f64> = survival_curve(&followed).iter().map(|step| step.survival).collect();
    json!({"survival": survival})
}

fn followed_days(days: &Value, scale: f64, event: bool) -> Vec<Followed<()>> {
    numbers(days)
        .iter()
        .map(|time| Followed {
            days: format!("{:.0}", time * scale).parse().expect("whole days"),
            outcome: event.then_some(()),
        })
        .collect()
}

fn competing_outcomes(inputs: &Value) -> Value {
    let followed: Vec<Followed<u32>> = array(&inputs["time"])
        .iter()
        .zip(array(&inputs["cause"]))
        .map(|(days, cause)| Followed {
            days: whole(days),
            outcome: Some(whole(cause)).filter(|cause| *cause > 0),
        })
        .collect();
    let curves = cumulative_incidence(&followed);
    assert_eq!(curves.outcomes, [1, 2, 3]);
    let last = curves.steps.last().expect("a step");
    json!({"final_outcome_2": last.incidence[1], "final_outcome_3": last.incidence[2]})
}

fn two_counts(inputs: &Value) -> fistmele::evidence::change::ConditionalTest {
    let period = |reports: &str, exposure: &str| {
        PeriodCount::new(whole(&inputs[reports]), number(&inputs[exposure])).expect("a period")
    };
    let ratio = inputs.get("ratio").map_or(1.0, number);
    conditional_test(period("o1", "e1"), period("o0", "e0"), ratio).expect("exposures above zero")
}

/// Average run length of our own creep score as a Markov chain. In units of ln 2 a factor of 2
/// makes the score S + count - expected/ln 2, so that whole-number settings stay on whole numbers.
fn poisson_run_length(inputs: &Value) -> f64 {
    let (mu, k, h) = (number(&inputs["mu"]), number(&inputs["k"]), number(&inputs["h"]));
    let unit = std::f64::consts::LN_2;
    let states = 10;
    // (identity - transitions) x run lengths = 1
    let mut rows = vec![vec![0.0; states + 1]; states];
    for (from, row) in rows.iter_mut().enumerate() {
        row[from] += 1.0;
        row[states] = 1.0;
        let mut chance = (-mu).exp();
        for count in 0..200_u32 {
            let score = creep_score(from as f64 * unit, count, k * unit, 2.0) / unit;
            if score < h - 1e-9 {
                let to = format!("{score:.0}").parse::<usize>().expect("a state");
                row[to] -= chance;
            }
            chance *= mu / f64::from(count + 1);
        }
    }
    solve(rows)[0]
}

/// Censored on both sides: the same interval chances that quiet strings enter by.
fn turbine_wheels(inputs: &Value) -> Value {
    let rows: Vec<(f64, f64, f64)> = array(&inputs["rows_left_right_count"])
        .iter()
        .map(|row| {
            let ln = |value: &Value, open: f64| value.as_f64().map_or(open, f64::ln);
            (ln(&row[0], f64::NEG_INFINITY), ln(&row[1], f64::INFINITY), number(&row[2]))
        })
        .collect();
    let ln_likelihood = |at: &[f64]| -> f64 {
        let (mean, sd) = (at[0], at[1].exp());
        rows.iter()
            .map(|(low, high, count)| count * ln_normal_between((low - mean) / sd, (high - mean) / sd))
            .sum()
    };
    let (at, hessian) = maximum(&ln_likelihood, &[3.5, -0.5]);
    let determinant = hessian[0][0] * hessian[1][1] - hessian[0][1] * hessian[1][0];
    json!({
        "mean": at[0],
        "mean_se": (-hessian[1][1] / determinant).sqrt(),
        "log_sd": at[1],
        "log_sd_se": (-hessian[0][0] / determinant).sqrt(),
        "log_likelihood": ln_likelihood(&at),
    })
}

/// Tobin's regression: censored rows enter by the same lower tail as strings known to be too long.
fn durable_goods(inputs: &Value) -> Value {
    let rows: Vec<Vec<f64>> = array(&inputs["rows_durable_age_quant"]).iter().map(numbers).collect();
    // Centred and scaled, so that steps of all coefficients are of one size.
    let fitted =
        |at: &[f64], row: &[f64]| at[0] + at[1] * (row[1] - 48.0) / 10.0 + at[2] * (row[2] - 245.0) / 30.0;
    let ln_likelihood = |at: &[f64]| -> f64 {
        let sd = at[3].exp();
        rows.iter()
            .map(|row| {
                let scaled = (row[0] - fitted(at, row)) / sd;
                if row[0] > 0.0 {
                    let ln_root = 0.5 * (2.0 * std::f64::consts::PI).ln();
                    -0.5 * scaled * scaled - sd.ln() - ln_root
                } else {
                    ln_normal_cdf(scaled)
                }
            })
            .sum()
    };
    let (at, _) = maximum(&ln_likelihood, &[-2.0, -1.0, -1.0, 1.7]);
    let means: Vec<f64> = [0, 1, 14, 19].iter().map(|i| fitted(&at, &rows[*i])).collect();
    json!({"fitted_mean": means})
}

fn outcomes(counts: &Value, costs: &[f64]) -> Vec<OutcomeCost> {
    array(counts)
        .iter()
        .zip(costs)
        .map(|(count, cost)| OutcomeCost { count: whole(count), cost: *cost })
        .collect()
}

fn standardised_rate(inputs: &Value) -> Value {
    let (births, standard) = (numbers(&inputs["births"]), numbers(&inputs["standard"]));
    let all: f64 = standard.iter().sum();
    let weights: Vec<f64> =
        births.iter().zip(&standard).map(|(births, standard)| 1e5 * standard / (births * all)).collect();
    let sum = weighted_sum_interval(&outcomes(&inputs["counts"], &weights)).expect("weights");
    json!({"rate": sum.point, "low": sum.interval.low, "high": sum.interval.high})
}

fn ranking(inputs: &Value) -> Value {
    let routes: Vec<Tally> = array(&inputs["x"])
        .iter()
        .zip(array(&inputs["n"]))
        .map(|(x, n)| Tally::new(whole(x), number(n)).expect("a tally"))
        .collect();
    let ranking = rank_routes(&routes, &RankingGrid::FINE).expect("a grid");
    let shrunk: Vec<f64> = ranking.routes.iter().map(|r| r.shrunk.point).collect();
    let worse: Vec<f64> = ranking.routes.iter().map(|r| r.chances.expect("others").worse).collect();
    let second = ranking.routes[1].shrunk.interval;
    json!({
        "shrunk_rate": shrunk, "chance_worse": worse,
        "second_low": second.low, "second_high": second.high,
    })
}

fn reporting_delay(inputs: &Value) -> Value {
    assert!((number(&inputs["pseudo_reports"]) - PSEUDO_REPORTS).abs() < 1e-12);
    let edges = array(&inputs["day_edges"]).iter().map(whole).collect();
    let start = ReportingDelay::new(edges, numbers(&inputs["start_curve"])).expect("a curve");
    assert_eq!(start, ReportingDelay::default());
    let reports: Vec<DelayedReport> = array(&inputs["age_at_look_and_delay"])
        .iter()
        .map(|pair| DelayedReport { age_days: whole(&pair[0]), delay_days: whole(&pair[1]) })
        .collect();
    json!({"ripeness": start.learned_from(&reports).shares()})
}

fn month_tests(inputs: &Value) -> Value {
    let before: Vec<PeriodCount> = (0..12)
        .map(|_| {
            PeriodCount::new(whole(&inputs["before_reports"]) / 12, number(&inputs["before_exposure"]) / 12.0)
                .expect("a period")
        })
        .collect();
    let tests: Vec<_> = array(&inputs["month_reports"])
        .iter()
        .map(|reports| {
            let now = PeriodCount::new(whole(reports), number(&inputs["month_exposure"]));
            compare_month(now.expect("a period"), &before).expect("exposures").expect("a year of history")
        })
        .collect();
    let p: Vec<f64> = tests.iter().map(|test| test.mid_p).collect();
    json!({"expected": tests[0].expected, "p": p})
}

fn observations(inputs: &Value) -> LengthObservations {
    let mut strings = Vec::new();
    let mut add = |known: Known, count: &Value| {
        strings.push(StringEvidence { offset_inch: -4.0, known, count: whole(count) });
    };
    for pair in array(&inputs["known_error_and_count"]) {
        let error_inch = number(&pair[0]);
        add(Known::RightLength { error_inch }, &pair[1]);
    }
    add(Known::TooShort, &inputs["too_short_only"]);
    add(Known::TooLong, &inputs["too_long_only"]);
    add(Known::Fits, &inputs["reassured_without_length"]);
    add(Known::Quiet { shown: 1.0 }, &inputs["quiet_all_ripe"]);
    LengthObservations::group(&strings, -4.0, &play(inputs)).expect("strings")
}

/// Tables of the example, on the grid that its figures were made with.
fn example_tables(inputs: &Value, seen: &LengthObservations) -> LengthTables {
    let grid = LengthGrid::FINE;
    assert!((f64::from(grid.step_64ths) / 64.0 - number(&inputs["mean_step"])).abs() < 1e-12);
    assert_eq!(grid.spread_values, whole(&inputs["spread_values"]) as usize);
    LengthTables::new(&length_model(inputs), &grid, [seen]).expect("tables")
}

fn length_model(inputs: &Value) -> LengthModel {
    LengthModel {
        play: play(inputs),
        rounding_inch: number(&inputs["rounding"]),
        told_share: number(&inputs["q"]),
        answer_odds: 1.0,
        nagging_share: 0.0,
    }
}

/// The course of a single month, its mean anywhere about 0.
fn example_course<'a>(inputs: &Value, seen: &LengthObservations, tables: &'a LengthTables) -> Course<'a> {
    let prior = LengthPrior {
        spread_median_inch: number(&inputs["prior_spread_median"]),
        spread_ln_sd: number(&inputs["prior_spread_log_sd"]),
        ..LengthPrior::anywhere(number(&inputs["prior_mean_sd"]))
    };
    Course::follow(std::slice::from_ref(seen), tables, &prior, &Jumps::default()).expect("a course")
}

const YEAR: UnitFacts =
    UnitFacts { strings_a_year: 240.0, reports_with_direction: 31, days_under_changed_offset: None };

/// The conditions of an advice that the example was worked out with.
const RULE: AdviceRule = AdviceRule {
    chance: 0.95,
    chance_where_much: 0.95,
    much_remakes: 10.0,
    saving_remakes: 1.0,
    reports: 4,
    near_best: 0.05,
    hold_days: 60,
};

fn length_error(inputs: &Value) -> Value {
    let seen = observations(inputs);
    let tables = example_tables(inputs, &seen);
    let today = example_course(inputs, &seen, &tables).today;
    let advice = advise(&today, &tables, &MisfitCosts::default(), &YEAR, &RULE).expect("advice");
    let shares: Vec<f64> = advice.outlooks[6..].iter().map(|o| o.misfit_share).collect();
    json!({
        "mean_error": today.error.mean_inch,
        "low": today.error.formal.low,
        "high": today.error.formal.high,
        "misfit_share_at_0_1_2_3_eighths": shares,
        "cheapest_change": advice.cheapest.change_inch,
    })
}

fn inputs_of(id: &str) -> Value {
    let checks: Value = serde_json::from_str(CHECKS).expect("the check file is JSON");
    array(&checks["checks"]).iter().find(|check| check["id"] == id).expect("the check")["inputs"].clone()
}

#[test]
fn the_worked_example_is_as_likely_as_the_page_says_where_its_maximum_lies() {
    // Table of the worked example: maximum likelihood mean and spread, log likelihood. The grid
    // holds means in 64ths, so the two nearest ones stand on either side of the maximum.
    for (id, spread, ln_likelihood) in [("W5", 0.3097, -148.868), ("W6", 0.3163, -144.527)] {
        let inputs = inputs_of(id);
        let seen = observations(&inputs);
        let grid = LengthGrid {
            spread_low_inch: spread,
            spread_high_inch: 2.0 * spread,
            spread_values: 2,
            ..LengthGrid::FINE
        };
        let tables = LengthTables::new(&length_model(&inputs), &grid, [&seen]).expect("tables");
        let at = tables.ln_likelihood(&seen);
        let best = at[..161].iter().copied().fold(f64::NEG_INFINITY, f64::max);
        assert!(best <= ln_likelihood + 6e-4 && best > ln_likelihood - 0.05, "{id} {best}");
        assert!(at[80 + 11].max(at[80 + 12]).max(at[80 + 13]) >= best, "{id}");
    }
}

#[test]
fn the_worked_example_advises_an_eighth_with_or_without_silent_misfits() {
    for (id, chance_cheapest, chance_eighth) in [("W5", 0.9998, 0.9998), ("W6", 0.971, 0.9999)] {
        let inputs = inputs_of(id);
        let seen = observations(&inputs);
        let tables = example_tables(&inputs, &seen);
        let today = example_course(&inputs, &seen, &tables).today;
        let advice = advise(&today, &tables, &MisfitCosts::default(), &YEAR, &RULE).expect("advice");
        assert!((advice.cheapest.chance_better - chance_cheapest).abs() < 1e-3);
        assert!((advice.suggested.chance_better - chance_eighth).abs() < 1e-4);
        assert_eq!(advice.advised_change_inch(), Some(0.125), "{id}");
        let directions = LengthObservations::directions([&seen]);
        assert_eq!((directions.short, directions.long), (30, 1));
        let plain = directions.settled.expect("settled").mean;
        assert!((plain - 0.707).abs() < 6e-4);
        assert!((plain * 29.0 / 240.0 - 0.085).abs() < 6e-4);
    }
}
