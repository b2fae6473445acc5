//! The table that goes with turns: what must hold of it whatever was recorded, and against closed
//! forms and simulated archers. Methods M18, M24.

use fistmele::mechanics::bow::{BowKind, constant_from_kind};
use fistmele::mechanics::estimate::Chain;
use fistmele::mechanics::reacting::{Aim, Row, table};
use fistmele::mechanics::twist::{Construction, TwistBody, Yarn};
use fistmele::trade::advice::Advice;
use fistmele::trade::ranges::widened;
use fistmele::trade::words::Verdict;
use proptest::prelude::*;
use statrs::distribution::{ContinuousCDF, Normal};

use super::helix_window;
use super::no_cliffs::{Unread, unread};

const SIXTEENTH: f64 = 0.0625;

fn recurve(brace: f64, brace_sd: f64, turns_sd: f64) -> Chain {
    let constant = constant_from_kind(BowKind::Recurve, 59.0);
    let body = TwistBody::from_build(Construction { yarn: Yarn::Hmpe, strands: 16, plies: 2 }, 59.0)
        .expect("a body");
    let prior = Chain::table_prior(&constant, &body);
    Chain::new(brace, brace_sd, constant.value, body, (24.0, turns_sd), prior)
}

fn aim(chain: &Chain, allowed: (f64, f64)) -> Aim {
    Aim { low: 7.5, high: 8.0, allowed, window: helix_window(&chain.body), reading_sd: SIXTEENTH }
}

const EVERYWHERE: (f64, f64) = (f64::NEG_INFINITY, f64::INFINITY);

#[test]
fn a_reading_after_turns_moves_height_and_ratio_as_the_conditional_normal_says() {
    // Conditional of a normal vector: Bishop, Pattern Recognition and Machine Learning (2006),
    // (2.81) and (2.82). Height and ratio before the reading: m, S; the reading: height + noise.
    let chain = recurve(7.0, SIXTEENTH, 1.0);
    let change = chain.body.string_change(24.0, 34.0);
    let step = (7.0_f64.powi(2) + 2.0 * chain.constant * change).sqrt() - 7.0;
    let ratio_variance = chain.covariance[1][1] + (1.0_f64 / 29.0).powi(2);
    let (mean, variance) = (7.0 + step, SIXTEENTH.powi(2) + step * step * ratio_variance);
    let (expected, sd) = chain.expected_reading(10.0, SIXTEENTH);
    assert!((expected - mean).abs() < 1e-12 && (sd - (variance + SIXTEENTH.powi(2)).sqrt()).abs() < 1e-12);
    let read = mean + 0.11;
    let after = chain.after_reading(10.0, read, SIXTEENTH, (0.0, 0.0)).expect("a reading that is believed");
    let gain = variance / (variance + SIXTEENTH.powi(2));
    assert!((after.brace - (mean + gain * 0.11)).abs() < 1e-12);
    assert!((after.covariance[0][0] - variance * (1.0 - gain)).abs() < 1e-12);
    let with_ratio = step * ratio_variance;
    let moved = with_ratio / (variance + SIXTEENTH.powi(2)) * 0.11;
    assert!((after.ratio - (1.0 + moved)).abs() < 1e-12);
}

#[test]
fn what_is_foretold_of_the_reading_holds_as_often_as_the_normal_distribution_says() {
    let chain = recurve(7.0, SIXTEENTH, 1.0);
    let (expected, sd) = chain.expected_reading(10.0, SIXTEENTH);
    let standard = Normal::standard();
    let mut random = fastrand::Rng::with_seed(17);
    let mut normal = |sd: f64| sd * standard.inverse_cdf(random.f64().clamp(1e-12, 1.0 - 1e-12));
    // Archers whose bow, turns and reading are drawn by themselves; turns move it by Hickman's law.
    let archers = 40_000;
    let readings: Vec<f64> = (0..archers)
        .map(|_| {
            let turns = 24.0 + normal(1.0);
            let change = (1.0 + normal(chain.ratio_sd())) * chain.body.string_change(turns, turns + 10.0);
            let start = 7.0 + normal(SIXTEENTH);
            (start * start + 2.0 * chain.constant * change).sqrt() + normal(SIXTEENTH)
        })
        .collect();
    for within in [1.0, 2.0] {
        let inside = readings.iter().filter(|read| (*read - expected).abs() <= within * sd).count();
        let share = inside as f64 / f64::from(archers);
        let said = standard.cdf(within) - standard.cdf(-within);
        // Five standard errors, and what the law's curve takes from the first order.
        let bound = 5.0 * (said * (1.0 - said) / f64::from(archers)).sqrt() + 0.01;
        assert!((share - said).abs() < bound, "{within} sd: {share} against {said}");
    }
}

#[test]
fn a_table_does_what_its_reader_would_work_out() {
    let chain = recurve(7.0, SIXTEENTH, 1.0);
    let turns = chain.plan(7.5, 8.0, helix_window(&chain.body)).step.expect("turns").turns as i32;
    let rows = table(&chain, turns, &aim(&chain, EVERYWHERE)).rows;
    let what = |read: f64| {
        rows.iter().find(|row| (row.low_inch..=row.high_inch).contains(&read)).expect("a row").turns
    };
    assert_eq!(what(7.75), Some(0), "{rows:?}");
    assert!(what(7.4375).is_some_and(|turns| turns > 0), "{rows:?}");
    assert!(what(8.0625).is_some_and(|turns| turns < 0), "{rows:?}");
    assert_eq!((what(6.9375), what(9.0)), (None, None), "nothing moved, or far too much: {rows:?}");
    // Outside what the bow's maker gives nobody turns on.
    let rows = table(&chain, turns, &aim(&chain, (7.5, 8.0))).rows;
    let told = |row: &Row| row.turns.is_some() && (row.low_inch < 7.5 || row.high_inch > 8.0);
    assert!(!rows.iter().any(told), "{rows:?}");
    assert!(rows.iter().any(|row| row.turns == Some(0)));
}

/// Chance to end in the range, by archers drawn from the state: they turn, read, and do what the
/// table says.
fn simulated(chain: &Chain, turns: i32, aim: &Aim, archers: u32) -> f64 {
    let mut random = fastrand::Rng::with_seed(11);
    let standard = Normal::standard();
    let mut normal = |sd: f64| sd * standard.inverse_cdf(random.f64().clamp(1e-12, 1.0 - 1e-12));
    let rows = table(chain, turns, aim).rows;
    let mut right = 0;
    for _ in 0..archers {
        let brace = chain.brace + normal(chain.brace_sd());
        let middle = chain.turns + f64::from(turns) / 2.0;
        let ratio = 1.0 + normal(chain.ratio_sd().hypot(chain.turns_sd / middle));
        let after = |turns: f64| {
            let change = chain.body.string_change(chain.turns, chain.turns + turns);
            let at_one = (chain.brace * chain.brace + 2.0 * chain.constant * change).sqrt();
            brace + ratio * (at_one - chain.brace)
        };
        let read = ((after(f64::from(turns)) + normal(aim.reading_sd)) / SIXTEENTH).round() * SIXTEENTH;
        let further = rows
            .iter()
            .find(|row| (row.low_inch..=row.high_inch).contains(&read))
            .and_then(|row| row.turns)
            .unwrap_or(0);
        right += i32::from((aim.low..=aim.high).contains(&after(f64::from(turns + further))));
    }
    f64::from(right) / f64::from(archers)
}

#[test]
fn archers_who_follow_the_table_end_in_the_range_as_often_as_it_says() {
    for (brace, brace_sd, turns_sd) in [(7.0, SIXTEENTH, 1.0), (6.75, 0.03125, 8.0), (8.25, SIXTEENTH, 1.0)] {
        let chain = recurve(brace, brace_sd, turns_sd);
        let aim = aim(&chain, EVERYWHERE);
        let plan = chain.plan(7.5, 8.0, aim.window);
        let turns = plan.step.expect("turns").turns as i32;
        let (said, found) = (table(&chain, turns, &aim).chance, simulated(&chain, turns, &aim, 20_000));
        // Three standard errors of the simulation, and a hundredth for rounding and the shorter table.
        let within = 3.0 * (said * (1.0 - said) / 20_000.0).sqrt() + 0.01;
        assert!((said - found).abs() <= within, "{brace}: {said} said, {found} found");
        assert!(
            said >= plan.chance - 0.005,
            "{brace}: a table that does harm: {said} against {}",
            plan.chance
        );
    }
}

#[test]
fn the_chance_with_a_table_is_that_of_the_rows_it_gives() {
    // So much doubt of the turns in that neighbouring rows are joined, in the range as it stands.
    let chain = recurve(6.5, SIXTEENTH, 8.0);
    let aim = Aim { low: 7.5, high: 7.75, ..aim(&chain, EVERYWHERE) };
    let given = table(&chain, 12, &aim);
    assert_eq!(turning(&given.rows).count(), 5, "{:?}", given.rows);
    let (expected, spread) = chain.expected_reading(12.0, SIXTEENTH);
    let standard = Normal::standard();
    let between = |low: f64, high: f64, mean: f64, sd: f64| {
        standard.cdf((high - mean) / sd) - standard.cdf((low - mean) / sd)
    };
    let steps = 16 * 4..=16 * 11;
    let by_rows: f64 = steps
        .filter_map(|step| {
            let read = f64::from(step) * SIXTEENTH;
            let state = chain.after_reading(12.0, read, SIXTEENTH, (0.0, 0.0)).ok()?;
            let row = given.rows.iter().find(|row| (row.low_inch..=row.high_inch).contains(&read))?;
            let then = state.forecast(f64::from(row.turns.unwrap_or(0)))?;
            let weight = between(read - SIXTEENTH / 2.0, read + SIXTEENTH / 2.0, expected, spread);
            Some(weight * between(aim.low, aim.high, then.brace, then.sd))
        })
        .sum();
    assert!((given.chance - by_rows).abs() < 1e-9, "{} said, {by_rows} by its rows", given.chance);
}

#[test]
fn what_stands_in_the_range_is_right_even_where_nobody_expected_it() {
    // Nine turns from 7 in with a bow and a string that are known: 7 1/4 or 8 3/4 is no reading that
    // may follow, but inside a wide range it is right all the same.
    let mut chain = recurve(7.0, 0.02, 0.5);
    chain.covariance[1][1] = 0.03 * 0.03;
    let aim = Aim { low: 7.125, high: 9.0, ..aim(&chain, EVERYWHERE) };
    let (expected, spread) = chain.expected_reading(9.0, SIXTEENTH);
    let rows = table(&chain, 9, &aim).rows;
    let what =
        |read: f64| rows.iter().find(|row| (row.low_inch..=row.high_inch).contains(&read)).unwrap().turns;
    for read in [7.1875, 7.25, 8.5, 8.75, 9.0] {
        assert!((read - expected).abs() > 3.0 * spread || what(read) == Some(0), "{read}: {rows:?}");
        assert!(what(read).is_some(), "{read}: {rows:?}");
    }
    assert!((9.0 - expected).abs() > 3.0 * spread && (7.1875 - expected).abs() > 3.0 * spread);
    assert_eq!((what(7.0625), what(9.0625)), (None, None), "{rows:?}");
}

fn in_order(rows: &[Row]) -> bool {
    let ends = rows.first().zip(rows.last());
    ends.is_none_or(|(first, last)| first.low_inch <= 1e-9 && last.high_inch >= 20.0 - 1e-9)
        && rows.iter().all(|row| row.low_inch <= row.high_inch)
        && rows.windows(2).all(|pair| {
            (pair[1].low_inch - pair[0].high_inch - SIXTEENTH).abs() < 1e-9 && pair[0].turns != pair[1].turns
        })
}

fn turning(rows: &[Row]) -> impl Iterator<Item = (&Row, i32)> {
    rows.iter().filter_map(|row| row.turns.filter(|turns| *turns != 0).map(|turns| (row, turns)))
}

/// Whatever is told by a table stays in the window and inside what the bow's maker gives.
fn is_safe(case: &Unread, advice: &Advice) -> Result<(), TestCaseError> {
    let (now, doubt) = advice.turns_now.expect("turns");
    let told = now.max(0.0) + f64::from(advice.turns.unwrap_or(0));
    let (low, high) = advice.want.expect("a range");
    let (min, max) = advice.window.expect("a window");
    let first = advice.first_step.map_or(0, |step| step.turns);
    let makers = case.told.bow.brace_range.map(widened);
    for (rows, made) in [(&advice.then, advice.turns.unwrap_or(0)), (&advice.first_step_then, first)] {
        prop_assert!(in_order(rows), "{rows:?}");
        prop_assert!(turning(rows).count() <= 5, "{rows:?}");
        for (row, turns) in turning(rows) {
            let then = now.max(0.0) + f64::from(made + turns);
            prop_assert!(
                f64::from(min) - 0.5 <= then && then <= f64::from(max) + 0.5,
                "{row:?}: {then} turns in a window of {min} to {max}"
            );
            // With what the letter tells, even where a standard deviation more or fewer are in.
            let (least, most) = (told.min(f64::from(min) + doubt), told.max(f64::from(max) - doubt));
            prop_assert!(
                least - 1.0 <= then && then <= most + 1.0,
                "{row:?}: {then} ± {doubt} turns in a window of {min} to {max}, {told} told"
            );
        }
        for row in rows.iter().filter(|row| row.turns.is_none()) {
            let beside = row.high_inch < low - 1e-9 || row.low_inch > high + 1e-9;
            prop_assert!(beside, "{row:?} stops inside the range, {low} to {high}");
        }
    }
    if let Some((low, high)) = makers {
        for row in advice.then.iter().filter(|row| row.turns.is_some()) {
            prop_assert!(row.low_inch >= low - 1e-6 && row.high_inch <= high + 1e-6, "{row:?}");
        }
        // On the way the bow stands between where it stood and where it is to stand.
        let stood = advice.brace_now.expect("a brace height");
        for row in advice.first_step_then.iter().filter(|row| row.turns.is_some()) {
            prop_assert!(
                row.low_inch >= low.min(stood) - 1e-6 && row.high_inch <= high.max(stood) + 1e-6,
                "{row:?}"
            );
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    #[test]
    fn a_table_stays_in_the_window_and_inside_what_the_bows_maker_gives(
        case in unread(), brace in 4.0..9.5_f64, sign in any::<bool>(),
    ) {
        let mut told = case.read((brace * 16.0).round() / 16.0);
        if sign {
            told.reports[0].signs = vec![super::verdict::hinge()];
        }
        let advice = told.decide();
        let has_table = !advice.then.is_empty() || !advice.first_step_then.is_empty();
        prop_assert!(!has_table || advice.verdict == Verdict::Adjust, "{advice:?}");
        prop_assert!(!has_table || !sign, "a table beside a sign of danger: {advice:?}");
        prop_assert_eq!(advice.first_step.is_some(), !advice.first_step_then.is_empty());
        if has_table {
            is_safe(&case, &advice)?;
        }
    }
}
