//! What must hold of the statistics whatever the counts.

use fistmele::evidence::advice::{AdviceRule, MisfitCosts, UnitFacts, advise};
use fistmele::evidence::change::{CreepRule, PeriodCount, compare_month, creep_path};
use fistmele::evidence::cost::{OutcomeCost, cost_per_string};
use fistmele::evidence::course::{Course, Jumps};
use fistmele::evidence::length_error::{Known, LengthModel, LengthObservations, Play, StringEvidence};
use fistmele::evidence::length_tables::{LengthGrid, LengthTables};
use fistmele::evidence::posterior::LengthPrior;
use fistmele::evidence::ranking::{RankingGrid, rank_routes};
use fistmele::evidence::rate::{Tally, poisson_interval, wilson_interval};
use fistmele::evidence::reporting_delay::{DelayedReport, ReportingDelay};
use fistmele::evidence::still_to_come::still_to_come;
use fistmele::evidence::survival::{Followed, cumulative_incidence, survival_curve};
use proptest::prelude::*;

fn tally(reports: u32, effective: f64) -> Tally {
    Tally::new(reports, effective).expect("a tally")
}

fn followed() -> impl Strategy<Value = Vec<Followed<u8>>> {
    prop::collection::vec(
        (0..200_u32, prop::option::of(1..4_u8)).prop_map(|(days, outcome)| Followed { days, outcome }),
        0..120,
    )
}

fn known() -> impl Strategy<Value = Known> {
    let shown = 0.0..=1.0_f64;
    prop_oneof![
        4 => (-16..=16_i32).prop_map(|eighths| Known::RightLength {
            error_inch: f64::from(eighths) / 8.0
        }),
        1 => Just(Known::TooShort),
        1 => Just(Known::TooLong),
        1 => Just(Known::Fits),
        1 => Just(Known::AnsweredFits),
        1 => (-16..=16_i32, shown.clone()).prop_map(|(eighths, shown)| Known::Answered {
            error_inch: f64::from(eighths) / 8.0,
            shown,
        }),
        8 => shown.prop_map(|shown| Known::Quiet { shown }),
    ]
}

fn mirrored(known: Known) -> Known {
    match known {
        Known::RightLength { error_inch } => Known::RightLength { error_inch: -error_inch },
        Known::TooShort => Known::TooLong,
        Known::TooLong => Known::TooShort,
        Known::Answered { error_inch, shown } => Known::Answered { error_inch: -error_inch, shown },
        same => same,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(96) })]

    #[test]
    fn a_rate_lies_in_its_interval_and_the_interval_in_0_to_1(
        reports in 0..5000_u32, effective in 0.0..60_000.0_f64,
    ) {
        if let Some(rate) = wilson_interval(&tally(reports, effective)) {
            prop_assert!(0.0 <= rate.interval.low && rate.interval.high <= 1.0);
            prop_assert!(rate.interval.contains(rate.point));
        } else {
            prop_assert!(reports == 0 && effective <= 0.0);
        }
    }

    #[test]
    fn one_report_more_never_lowers_an_interval(
        reports in 0..200_u32, spare in 1.0..5000.0_f64,
    ) {
        let strings = f64::from(reports) + spare;
        let (less, more) = (tally(reports, strings), tally(reports + 1, strings));
        let (less, more) = (wilson_interval(&less).unwrap(), wilson_interval(&more).unwrap());
        prop_assert!(more.interval.low >= less.interval.low);
        prop_assert!(more.interval.high >= less.interval.high);
        let poisson = |count| poisson_interval(count, strings).unwrap().interval;
        prop_assert!(poisson(reports + 1).low > poisson(reports).low);
        prop_assert!(poisson(reports + 1).high > poisson(reports).high);
        prop_assert!(poisson(reports).contains(f64::from(reports) / strings));
    }

    #[test]
    fn the_reporting_delay_rises_from_0_to_1_whatever_was_reported(
        reports in prop::collection::vec((0..400_u32, 0..400_u32), 0..80),
    ) {
        let reports: Vec<DelayedReport> = reports
            .into_iter()
            .map(|(age_days, delay_days)| DelayedReport { age_days, delay_days })
            .collect();
        let curve = ReportingDelay::default().learned_from(&reports);
        let mut before = curve.share_by(0);
        prop_assert!(before.abs() < 1e-15);
        for age in 1..=400 {
            let share = curve.share_by(age);
            prop_assert!(share >= before && share <= 1.0);
            before = share;
        }
        prop_assert!((curve.share_by(180) - 1.0).abs() < 1e-15);
    }

    #[test]
    fn the_outcomes_add_up_to_the_share_that_reported(strings in followed()) {
        let survival = survival_curve(&strings);
        let incidence = cumulative_incidence(&strings);
        prop_assert_eq!(survival.len(), incidence.steps.len());
        let mut before = 1.0;
        for (step, shares) in survival.iter().zip(&incidence.steps) {
            let total: f64 = shares.incidence.iter().sum();
            prop_assert!((total - (1.0 - step.survival)).abs() < 1e-9);
            prop_assert!(step.survival <= before && step.survival >= -1e-12);
            prop_assert!(step.standard_error.is_none_or(f64::is_finite));
            before = step.survival;
        }
    }

    #[test]
    fn what_is_still_to_come_never_exceeds_the_quiet_strings(
        rate in 0.0..=1.0_f64, reports in 0..300_u32,
        ages in prop::collection::vec(0..250_u32, 0..200),
    ) {
        let quiet = ages.len() as f64;
        let ages = ages.into_iter().map(|age| (age, 1)).collect();
        let still = still_to_come(rate, reports, &ages, &ReportingDelay::default()).unwrap();
        prop_assert!(still.expected >= 0.0 && still.expected <= rate * quiet + 1e-9);
        prop_assert!(still.low <= still.high);
    }

    #[test]
    fn a_cost_lies_in_its_interval(
        outcomes in prop::collection::vec((0..60_u32, 0.0..9000.0_f64), 0..5),
        strings in 0.0..900.0_f64,
    ) {
        let outcomes: Vec<OutcomeCost> = outcomes
            .into_iter()
            .map(|(count, cost)| OutcomeCost { count, cost })
            .collect();
        if let Some(cost) = cost_per_string(&outcomes, strings).unwrap() {
            prop_assert!(cost.interval.low >= 0.0 && cost.interval.high.is_finite());
            prop_assert!(cost.interval.low <= cost.point + 1e-12);
            prop_assert!(cost.point <= cost.interval.high + 1e-12);
        }
    }

    #[test]
    fn a_month_with_more_reports_is_never_less_surprising(
        now in 0..40_u32, exposure in 0.1..200.0_f64,
        before in prop::collection::vec((0..40_u32, 0.0..200.0_f64), 6..14),
    ) {
        let period = |reports, exposure| PeriodCount::new(reports, exposure).unwrap();
        let before: Vec<PeriodCount> = before.into_iter().map(|(o, e)| period(o, e)).collect();
        let less = compare_month(period(now, exposure), &before).unwrap();
        let more = compare_month(period(now + 1, exposure), &before).unwrap();
        if let (Some(less), Some(more)) = (less, more) {
            prop_assert!((0.0..=1.0).contains(&less.mid_p));
            prop_assert!(more.mid_p <= less.mid_p + 1e-12);
        }
    }

    #[test]
    fn a_creep_score_is_never_below_zero_nor_without_a_number(
        months in prop::collection::vec((0..60_u32, 0.0..90.0_f64, 0..60_u32, 0.0..500.0_f64), 0..40),
    ) {
        let route: Vec<PeriodCount> = months
            .iter()
            .map(|(o, e, ..)| PeriodCount::new(*o, *e).unwrap())
            .collect();
        let shop: Vec<PeriodCount> = months
            .iter()
            .map(|(o, e, more, exposure)| PeriodCount::new(o + more, e + exposure).unwrap())
            .collect();
        for (place, step) in creep_path(&route, &shop, &CreepRule::default()).unwrap().iter().enumerate() {
            prop_assert!(step.score >= 0.0 && step.score.is_finite());
            prop_assert_eq!(step.alarm, step.score >= CreepRule::default().alarm_at);
            prop_assert!(step.began.is_none_or(|began| began <= place));
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(10) })]

    #[test]
    fn shrunk_rates_lie_in_their_intervals_and_chances_in_0_to_1(
        counts in prop::collection::vec((0..60_u32, 0.0..400.0_f64), 1..5),
    ) {
        let routes: Vec<Tally> = counts.iter().map(|(x, n)| tally(*x, *n)).collect();
        let ranking = rank_routes(&routes, &RankingGrid::COARSE).unwrap();
        for route in &ranking.routes {
            prop_assert!(route.shrunk.interval.contains(route.shrunk.point));
            prop_assert!((0.0..=1.0).contains(&route.shrunk.interval.low));
            if let Some(chances) = route.chances {
                prop_assert!(chances.worse + chances.better <= 1.0 + 1e-9);
            }
        }
    }

    #[test]
    fn advice_turns_round_when_every_sign_does(
        months in prop::collection::vec(
            prop::collection::vec((known(), prop::sample::select(vec![-0.25, 0.0, 0.125]), 1..9_u32), 0..20),
            1..7,
        ),
        too_long in 0.125..1.0_f64, too_short in 0.125..1.0_f64,
        cost_short in 1.0..40.0_f64, cost_long in 1.0..40.0_f64, told_share in 0.0..=1.0_f64,
    ) {
        let work_out = |sign: f64| {
            let (long, short) = if sign < 0.0 { (too_short, too_long) } else { (too_long, too_short) };
            let play = Play::new(long, short).unwrap();
            let (a, b) = if sign < 0.0 { (cost_long, cost_short) } else { (cost_short, cost_long) };
            let costs = MisfitCosts { too_short: a, too_long: b, remake: 1.0 };
            let months: Vec<LengthObservations> = months
                .iter()
                .map(|strings| {
                    let strings: Vec<StringEvidence> = strings
                        .iter()
                        .map(|(known, offset, count)| StringEvidence {
                            offset_inch: sign * offset,
                            known: if sign < 0.0 { mirrored(*known) } else { *known },
                            count: *count,
                        })
                        .collect();
                    LengthObservations::group(&strings, 0.0, &play).unwrap()
                })
                .collect();
            let model = LengthModel { play, told_share, ..LengthModel::default() };
            let tables = LengthTables::new(&model, &LengthGrid::SHEET, &months).unwrap();
            let course =
                Course::follow(&months, &tables, &LengthPrior::default(), &Jumps::default()).unwrap();
            let facts = UnitFacts {
                strings_a_year: 100.0,
                reports_with_direction: LengthObservations::directions(&months).with_direction,
                days_under_changed_offset: None,
            };
            let advice = advise(&course.today, &tables, &costs, &facts, &AdviceRule::default()).unwrap();
            (course.today.error, course.last_jump().map(|jump| jump.chance), advice)
        };
        let (error, jumped, advice) = work_out(1.0);
        let (mirror, mirror_jumped, mirror_advice) = work_out(-1.0);
        prop_assert!((error.mean_inch + mirror.mean_inch).abs() < 1e-6);
        prop_assert!((error.widened.low + mirror.widened.high).abs() < 1e-6);
        prop_assert!((jumped.unwrap_or(0.0) - mirror_jumped.unwrap_or(0.0)).abs() < 1e-6);
        prop_assert_eq!(advice.cheapest.steps, -mirror_advice.cheapest.steps);
        prop_assert_eq!(advice.suggested.steps, -mirror_advice.suggested.steps);
        prop_assert_eq!(&advice.reservations, &mirror_advice.reservations);
        prop_assert!(error.widened.contains(error.mean_inch));
        prop_assert!(jumped.is_none_or(|chance| (0.0..=1.0 + 1e-9).contains(&chance)));
        prop_assert!(advice.outlooks.iter().all(|o| (0.0..=1.0 + 1e-9).contains(&o.misfit_share)));
    }
}
