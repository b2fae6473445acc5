//! What must hold of turns, string length and brace height whatever the numbers, and of the
//! verdict whatever was recorded.

mod no_cliffs;
mod reacting;
mod verdict;

use fistmele::mechanics::bow::{
    BowKind, FadeMeasures, brace_after, constant_from_fades, constant_from_kind, string_change_for,
};
use fistmele::mechanics::estimate::{Chain, Forecast, new_string, reading_sd};
use fistmele::mechanics::learning::{EffectReading, Pool};
use fistmele::mechanics::settling::{GrowthReading, growth_between, learned_settling, settled_share};
use fistmele::mechanics::stretch::{loaded_from_hand_tight, yarn_change};
use fistmele::mechanics::twist::{
    Construction, TurnWindow, TwistBody, Yarn, helix_degrees_at, radius_from_bench_test, retraction_at,
    twist_parameter_at, usual_turns,
};
use proptest::prelude::*;
use proptest::sample::select;

fn construction() -> impl Strategy<Value = Construction> {
    (select(Yarn::ALL), 6..30_u32, 2..=3_u32).prop_map(|(yarn, strands, plies)| Construction {
        yarn,
        strands,
        plies,
    })
}

fn body() -> impl Strategy<Value = TwistBody> {
    (construction(), 45.0..75.0_f64).prop_map(|(construction, length)| {
        TwistBody::from_build(construction, length).expect("a string with a body")
    })
}

fn helix_window(body: &TwistBody) -> TurnWindow {
    TurnWindow::from_helix(body, 9.0, 20.0)
}

/// A bow with its string, braced, before anything was turned; the turns lie in the window.
fn chain() -> impl Strategy<Value = Chain> {
    (select(BowKind::ALL), body(), 5.0..9.5_f64, 0.02..0.2_f64, 0.0..=1.0_f64, 0.2..9.0_f64).prop_map(
        |(kind, body, brace, brace_sd, place, turns_sd)| {
            let constant = constant_from_kind(kind, body.twistable_length + 13.0);
            let window = helix_window(&body);
            let turns = f64::from(window.min) + place * f64::from(window.max - window.min);
            let prior = Chain::table_prior(&constant, &body);
            Chain::new(brace, brace_sd, constant.value, body, (turns.round(), turns_sd), prior)
        },
    )
}

/// A chain that went through one step and its reading.
fn read_once() -> impl Strategy<Value = Chain> {
    (chain(), 2..15_i32, -2.0..2.0_f64, 0.02..0.13_f64).prop_filter_map(
        "a reading that is believed",
        |(chain, turns, off, read_sd)| {
            let step = chain.forecast(f64::from(turns))?;
            chain.after_reading(step.turns, step.brace + off * step.sd, read_sd, (0.0, 0.0)).ok()
        },
    )
}

/// Determinant and diagonal of a covariance that can be one.
fn is_covariance(chain: &Chain) -> bool {
    let [[a, b], [c, d]] = chain.covariance;
    (b - c).abs() < 1e-12 && a >= 0.0 && d >= 0.0 && a * d - b * c >= -1e-12
}

fn is_number(step: &Forecast) -> bool {
    [step.turns, step.string_change, step.brace, step.sd].iter().all(|figure| figure.is_finite())
        && step.sd >= 0.0
}

fn effect() -> impl Strategy<Value = EffectReading> {
    (
        select(BowKind::ALL),
        construction(),
        any::<bool>(),
        any::<bool>(),
        prop_oneof![-1.5..-0.05_f64, 0.0..1.5_f64],
        -0.5..3.0_f64,
        0.02..0.3_f64,
        0.0..0.5_f64,
    )
        .prop_map(
            |(kind, construction, bow_measured, from_bench, predicted, ratio, observed_sd, turns_share)| {
                let constant = constant_from_kind(kind, 60.0);
                let body = TwistBody::from_build(construction, 60.0).expect("a body");
                let string_sd = if from_bench { 0.05 } else { body.string_factor_log_sd };
                EffectReading {
                    label: format!("R-{kind}-{predicted}"),
                    kind,
                    construction,
                    bow_measured,
                    from_bench,
                    log_sds: (constant.log_sd, string_sd),
                    predicted,
                    observed: ratio * predicted,
                    observed_sd,
                    turns_share,
                }
            },
        )
}

fn few() -> ProptestConfig {
    ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(20_000) }
}

proptest! {
    #![proptest_config(few())]

    #[test]
    fn more_turns_shorten_the_string_and_each_does_more_than_the_one_before(
        body in body(), share in 0.0..0.95_f64,
    ) {
        let end = body.twistable_length / (2.0 * std::f64::consts::PI * body.twist_radius);
        let turns = share * (end - 2.0);
        let (first, second) = (body.string_change(turns, turns + 1.0), body.string_change(turns + 1.0, turns + 2.0));
        prop_assert!(first > 0.0 && second > first);
        let (before, after) = (body.helix_degrees(turns), body.helix_degrees(turns + 1.0));
        prop_assert!(after > before);
    }

    #[test]
    fn more_turns_brace_the_bow_higher(chain in chain(), turns in -15..15_i32) {
        if let (Some(less), Some(more)) = (chain.forecast(f64::from(turns)), chain.forecast(f64::from(turns + 1))) {
            let untwisted = chain.turns + f64::from(turns) < 0.0;
            prop_assert!(untwisted || more.brace > less.brace);
            prop_assert!(untwisted || more.string_change > less.string_change);
        }
        let (low, high) = chain.reach(helix_window(&chain.body));
        prop_assert!(low < high);
    }

    #[test]
    fn turns_and_shortening_are_inverse(body in body(), share in 0.001..0.999_f64, now in 0.0..40.0_f64) {
        let turns = share * body.twistable_length / (2.0 * std::f64::consts::PI * body.twist_radius);
        let back = body.turns_for_shortening(body.shortening(turns)).expect("turns");
        // Near the end of twisting a turn shortens without bounds, so the digits come from there.
        prop_assert!((back - turns).abs() < 1e-6 * turns.max(1.0), "{back} {turns}");
        if body.twist_parameter(now) < 0.9 {
            let added = body.turns_for_change(now, body.string_change(now, now + 3.0)).expect("turns");
            prop_assert!((added - 3.0).abs() < 1e-7);
        }
        prop_assert_eq!(body.turns_for_shortening(-1e-9), None);
    }

    #[test]
    fn brace_height_and_string_length_are_inverse(
        brace in 3.0..11.0_f64, constant in 5.0..14.0_f64, change in -0.8..0.8_f64,
    ) {
        match brace_after(brace, constant, change) {
            Some(after) => {
                prop_assert!((string_change_for(brace, after, constant) - change).abs() < 1e-10);
                prop_assert!((after > brace) == (change > 0.0) || change == 0.0);
            }
            None => prop_assert!(brace * brace + 2.0 * constant * change <= 0.0),
        }
    }

    #[test]
    fn helix_and_twist_parameter_are_inverse(parameter in 0.0..=1.0_f64, degrees in 0.0..70.5_f64) {
        let angle = helix_degrees_at(parameter).expect("an angle");
        prop_assert!((twist_parameter_at(angle) - parameter).abs() < 1e-7);
        let back = helix_degrees_at(twist_parameter_at(degrees)).expect("an angle");
        prop_assert!((back - degrees).abs() < 1e-5, "{back} {degrees}");
        // Share of length lost: tan^2(a/2) = (1 - sqrt(1 - t^2)) / 2.
        let lost = 0.5 * (1.0 - (1.0 - parameter * parameter).sqrt());
        prop_assert!((retraction_at(angle) - lost).abs() < 1e-9);
    }

    #[test]
    fn twisting_ends_at_half_the_length(body in body(), beyond in 1.0..3.0_f64) {
        let end = body.twistable_length / (2.0 * std::f64::consts::PI * body.twist_radius);
        // Rounding may put t a hair beside 1, where s goes like its square root.
        prop_assert!((body.ideal_shortening(end) - body.twistable_length / 2.0).abs() < 1e-5);
        prop_assert!((helix_degrees_at(1.0).expect("an angle") - (1.0_f64 / 3.0).acos().to_degrees()).abs() < 1e-9);
        prop_assert_eq!(helix_degrees_at(beyond + 1e-9), None);
        prop_assert_eq!(helix_degrees_at(-beyond), None);
        prop_assert!(body.ideal_shortening(end * beyond).is_finite());
        prop_assert_eq!(body.turns_for_shortening(body.string_factor * body.twistable_length * 0.51), None);
    }

    #[test]
    fn the_window_lies_between_its_angles_and_narrowing_keeps_it_inside(
        body in body(), built in 0.0..90.0_f64,
        shorten in prop::option::of(0.0..2.0_f64), lengthen in prop::option::of(0.0..2.0_f64),
        let_out in 0.0..1.0_f64,
    ) {
        let window = helix_window(&body);
        prop_assert!(window.min < window.max);
        for turns in [window.min, window.max] {
            let angle = body.helix_degrees(f64::from(turns)).expect("an angle");
            prop_assert!((9.0 - 1e-9..=20.0 + 1e-9).contains(&angle), "{angle}");
        }
        let narrowed = window.narrowed(&body, built, shorten, lengthen);
        prop_assert!(window.min <= narrowed.min && narrowed.min <= narrowed.max && narrowed.max <= window.max);
        prop_assert!(window.allows(f64::from(usual_turns(&body, window, let_out))));
    }

    #[test]
    fn a_plan_stays_in_the_window_and_no_neighbour_has_a_better_chance(
        chain in chain(), middle in 4.5..10.0_f64, half in 0.1..0.6_f64,
    ) {
        let window = helix_window(&chain.body);
        let (low, high) = (middle - half, middle + half);
        let plan = chain.plan(low, high, window);
        prop_assert!((0.0..=1.0).contains(&plan.chance));
        if let Some(step) = plan.step {
            prop_assert!(window.allows(chain.turns + step.turns), "{plan:?}");
            prop_assert!((step.turns - step.turns.round()).abs() < 1e-9);
            prop_assert!(is_number(&step));
            if let Some(exact) = plan.exact {
                for other in [exact.floor(), exact.ceil()] {
                    let there = chain.forecast(other).filter(|_| window.allows(chain.turns + other));
                    prop_assert!(there.is_none_or(|other| other.chance_in(low, high) <= plan.chance + 1e-8));
                }
            }
        }
    }

    #[test]
    fn a_chance_lies_in_0_to_1_and_is_largest_near_the_middle(
        brace in 4.0..10.0_f64, sd in 0.0..0.5_f64, middle in 4.0..10.0_f64, half in 0.0..1.0_f64,
    ) {
        let step = Forecast { turns: 1.0, string_change: 0.0, brace, sd };
        let chance = step.chance_in(middle - half, middle + half);
        prop_assert!((0.0..=1.0).contains(&chance));
        prop_assert!(chance <= step.chance_in(brace - half, brace + half) + 1e-12);
        // Nearer to the middle is never worse, and a wider range neither.
        let nearer = Forecast { brace: 0.5 * (brace + middle), ..step };
        prop_assert!(nearer.chance_in(middle - half, middle + half) >= chance - 1e-12);
        prop_assert!(step.chance_in(middle - half - 0.1, middle + half + 0.1) >= chance - 1e-12);
        let mirrored = Forecast { brace: 2.0 * middle - brace, ..step };
        prop_assert!((mirrored.chance_in(middle - half, middle + half) - chance).abs() < 1e-9);
    }

    #[test]
    fn a_reading_never_widens_what_is_known(
        chain in prop_oneof![chain(), read_once()], turns in -8..15_i32, off in -2.9..2.9_f64,
        read_sd in 0.02..0.2_f64,
    ) {
        let Some(step) = chain.forecast(f64::from(turns)) else { return Ok(()) };
        let read = step.brace + off * step.sd.hypot(read_sd);
        if let Ok(after) = chain.after_reading(step.turns, read, read_sd, (0.0, 0.0)) {
            prop_assert!(is_covariance(&after), "{after:?}");
            // No wider than the reading alone.
            prop_assert!(after.brace_sd() <= read_sd + 1e-12);
            let middle = (chain.turns + step.turns / 2.0).abs().max(1.0);
            let before = chain.ratio_sd().hypot(if turns == 0 { 0.0 } else { chain.turns_sd / middle });
            prop_assert!(after.ratio_sd() <= before + 1e-12);
            if turns == 0 {
                prop_assert!(after.brace_sd() <= chain.brace_sd() + 1e-12);
                prop_assert!((after.turns_sd - chain.turns_sd).abs() < 1e-12);
            }
            prop_assert!(after.ratio >= 0.1 && after.brace.is_finite());
        }
    }

    #[test]
    fn the_guard_is_symmetric(
        chain in prop_oneof![chain(), read_once()], turns in -8..15_i32, sds in 0.0..6.0_f64,
        read_sd in 0.02..0.2_f64, drop in 0.0..0.3_f64,
    ) {
        // Where the guard stands is found from a reading that it surely refuses.
        let Err(found) = chain.after_reading(f64::from(turns), 1e6, read_sd, (drop, drop / 2.0)) else {
            return Err(TestCaseError::fail("a mile of brace height was believed"));
        };
        let off = sds * found.sd;
        let high = chain.after_reading(f64::from(turns), found.expected + off, read_sd, (drop, drop / 2.0));
        let low = chain.after_reading(f64::from(turns), found.expected - off, read_sd, (drop, drop / 2.0));
        if (sds - 3.0).abs() > 1e-6 {
            prop_assert_eq!(high.is_ok(), sds < 3.0);
            prop_assert_eq!(low.is_ok(), sds < 3.0);
        }
        if let (Ok(high), Ok(low)) = (high, low) {
            prop_assert!((high.brace + low.brace - 2.0 * found.expected).abs() < 1e-9);
            prop_assert_eq!(high.covariance, low.covariance);
        }
    }

    #[test]
    fn more_readings_are_never_less_sure(sd in 0.01..0.3_f64, readings in 0..20_u32) {
        prop_assert!(reading_sd(sd, readings + 1) <= reading_sd(sd, readings));
        prop_assert!(reading_sd(sd, readings) >= sd / 2.0 - 1e-12);
    }

    #[test]
    fn valid_measures_give_numbers(
        chain in prop_oneof![chain(), read_once()], turns in -60..60_i32, change in -3.0..3.0_f64,
        kind in select(BowKind::ALL), measures in prop::array::uniform4(1.0..70.0_f64),
        from in select(Yarn::ALL), to in select(Yarn::ALL), weight in prop::option::of(10.0..120.0_f64),
    ) {
        if let Some(step) = chain.forecast(f64::from(turns)) {
            prop_assert!(is_number(&step), "{step:?}");
        }
        let (low, high) = chain.reach(helix_window(&chain.body));
        prop_assert!(low.is_finite() && high.is_finite());
        if let Some(new) = new_string((chain.brace, chain.brace_sd()), chain.constant, 0.13, change, 0.125) {
            prop_assert!(new.brace > 0.0 && new.brace_sd >= 0.0 && new.length_sd >= 0.125);
            prop_assert!((0.0..=1.0).contains(&new.chance_in(7.0, 8.0)));
        }
        let [free_string_inch, fade_span_inch, fade_gap_inch, fade_to_nock_inch] = measures;
        let fades = FadeMeasures { free_string_inch, fade_span_inch, fade_gap_inch, fade_to_nock_inch };
        if let Some(constant) = constant_from_fades(kind, &fades, chain.brace) {
            prop_assert!((0.4..=4.0).contains(&constant.brace_per_inch(chain.brace)));
        }
        let (change, sd) = yarn_change(from, to, 60.0, kind, weight, 100.0);
        prop_assert!(change.is_finite() && sd >= 0.0 && (sd > 0.0) == (from != to));
        let (loaded, sd) = loaded_from_hand_tight(60.0, from);
        prop_assert!(loaded > 60.0 && sd > 0.0);
    }

    #[test]
    fn a_bench_test_finds_the_radius_or_says_why_not(
        radius in 0.02..0.1_f64, length in 45.0..75.0_f64, few in 5.0..25.0_f64, more in 3.0..20.0_f64,
        wrong in -1.0..40.0_f64,
    ) {
        let made = TwistBody::from_radius(radius, length).expect("a body");
        if made.twist_parameter(few + more) < 0.85 {
            let at = |turns: f64| length - made.ideal_shortening(turns);
            let found = radius_from_bench_test(few, at(few), few + more, at(few + more)).expect("a radius");
            prop_assert!((found / radius - 1.0).abs() < 1e-6, "{found} {radius}");
        }
        if let Ok(found) = radius_from_bench_test(few, length, few + more, length - wrong) {
            prop_assert!(found > 0.0 && found.is_finite() && wrong > 0.0);
        }
    }

    #[test]
    fn settling_only_goes_on_and_ends_where_it_is_said_to(
        yarn in select(Yarn::ALL), shots in 0.0..3000.0_f64, more in 0.0..500.0_f64,
        settle_shots in 10.0..2000.0_f64,
        pairs in prop::collection::vec((0.0..200.0_f64, 1.0..300.0_f64, -0.2..0.6_f64, 0.01..0.2_f64), 0..20),
    ) {
        let share = |shots: f64| settled_share(shots, settle_shots, yarn);
        prop_assert!(share(shots + more) >= share(shots) - 1e-12 && share(0.0) == 0.0);
        prop_assert!((share(settle_shots) - 1.0).abs() < 1e-12);
        let readings: Vec<GrowthReading> = pairs
            .into_iter()
            .map(|(from, on, growth, sd)| GrowthReading { shots: (from, from + on), growth, sd, factor: 1.0 })
            .collect();
        let settling = learned_settling(yarn, (0.125, 0.125), &readings, settle_shots);
        prop_assert!(settling.expected >= 0.0 && settling.expected.is_finite());
        prop_assert!(settling.upper_end() >= settling.expected);
        let (growth, sd) = growth_between(&settling, shots, shots + more, settle_shots, yarn);
        prop_assert!(growth >= 0.0 && sd >= 0.0 && growth.is_finite() && sd.is_finite());
    }

    #[test]
    fn pooled_readings_never_leave_less_than_nothing_or_no_number(
        readings in prop::collection::vec(effect(), 0..25), kind in select(BowKind::ALL),
        construction in construction(),
    ) {
        let pool = Pool::from_readings(&readings);
        let constant = constant_from_kind(kind, 60.0);
        let body = TwistBody::from_build(construction, 60.0).expect("a body");
        let prior = pool.prior(kind, construction, &constant, &body);
        prop_assert!(prior.ratio >= 0.2 && prior.ratio.is_finite());
        prop_assert!(prior.sd > 0.0 && prior.sd.is_finite());
        prop_assert!(pool.shop_row().now.is_finite() && pool.shop_row().now_sd.is_finite());
        prop_assert!(pool.readings as usize + pool.outliers.len() <= readings.len());
    }
}
