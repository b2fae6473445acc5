//! What must hold of the verdict whatever was recorded.

use fistmele::mechanics::bow::{BowKind, FadeMeasures};
use fistmele::mechanics::learning::Pool;
use fistmele::mechanics::twist::Yarn;
use fistmele::quantity::{DrawWeight, LengthRange};
use fistmele::trade::advice::{Advice, Caution};
use fistmele::trade::build::{BowEffect, Subject};
use fistmele::trade::records::{BowProfile, Measurements, Reading, Report, SoldString};
use fistmele::trade::rules::Rules;
use fistmele::trade::signs::{ReportSign, Sign, SignOf, SignStanding, StandsIn};
use fistmele::trade::strength::strength_of;
use fistmele::trade::verdict::{Case, NoVerdict, decide, remedy};
use fistmele::trade::words::{
    Across, LengthAt, Marker, Photo, Route, Stave, Symptom, Tips, Verdict, WantSource,
};
use proptest::prelude::*;
use proptest::sample::select;

use super::effect;
use crate::told::{Told, inches, june, range, turns};

fn maybe<S: Strategy>(strategy: S) -> impl Strategy<Value = Option<S::Value>> {
    prop::option::weighted(0.6, strategy)
}

/// A range of brace heights, or a single one.
fn brace_range() -> impl Strategy<Value = LengthRange> {
    (4.0..10.0_f64, prop_oneof![Just(0.0), 0.1..1.5_f64]).prop_map(|(low, width)| range(low, low + width))
}

fn bow() -> impl Strategy<Value = BowProfile> {
    (
        select(BowKind::ALL),
        maybe(44.0..80.0_f64),
        maybe(44.0..80.0_f64),
        maybe(15.0..90.0_f64),
        maybe(brace_range()),
        select(Tips::ALL),
        select(Stave::ALL),
        maybe(1940..2025_i32),
        any::<bool>(),
    )
        .prop_map(|(kind, marked, nocks, weight, brace_range, tips, stave, year, allows)| BowProfile {
            kind,
            marked_length: marked.map(inches),
            nock_to_nock: nocks.map(inches),
            draw_weight: weight.and_then(|pounds| DrawWeight::new(pounds, None)),
            brace_range,
            tips,
            stave,
            year,
            range_unknown: allows && brace_range.is_none(),
            maker_allows_low_stretch: allows,
        })
}

fn sold() -> impl Strategy<Value = SoldString> {
    (
        (
            select(Route::SIZED),
            40.0..78.0_f64,
            maybe(-2.0..2.0_f64),
            select(LengthAt::ALL),
            select(Across::ALL),
        ),
        (select(Yarn::ALL), maybe(4..36_u32), 2..=3_u32, maybe(0.0..90.0_f64)),
        (maybe(-4.0..4.0_f64), maybe(any::<bool>()), any::<bool>(), maybe(select(Yarn::ALL))),
    )
        .prop_map(|(length, build, rest)| {
            let (route, ordered, built, built_at, built_across) = length;
            let (yarn, strands, plies, turned) = build;
            let (serving, pre_stretched, delivered, old_yarn) = rest;
            let mut string = SoldString::new("A-1".to_owned(), june(1), route, inches(ordered));
            string.built = built.map(|off| inches(ordered + off));
            string.built_at = built_at;
            string.built_across = built_across;
            string.yarn = yarn;
            string.strands = strands;
            string.plies = plies;
            string.turns = turned.map(turns);
            string.serving = serving.map(inches);
            string.pre_stretched = pre_stretched;
            string.delivered_on = delivered.then(|| june(3));
            string.old_yarn = old_yarn;
            string
        })
}

fn measurements() -> impl Strategy<Value = Measurements> {
    (
        (maybe(3.0..12.0_f64), maybe(1..6_u32), maybe(brace_range())),
        (maybe(40.0..80.0_f64), maybe(select(LengthAt::ALL)), maybe(-30.0..30.0_f64)),
        (maybe((1.0..40.0_f64, 4.0..30.0_f64)), maybe(prop::array::uniform4(4.0..65.0_f64))),
        (maybe(0..400_u32), maybe(select(Marker::ALL)), maybe(-4.0..4.0_f64), maybe(select(Photo::ALL))),
    )
        .prop_map(|((brace, readings, want), (length, length_at, changed), (count, fades), rest)| {
            let (shots, marker, serving, photo) = rest;
            Measurements {
                brace: brace.map(inches),
                readings,
                read_by: None,
                want,
                length: length.map(inches),
                length_at,
                turns_changed: changed.map(|n| turns(n.round())),
                turns_counted: count.map(|(n, _)| turns(n)),
                counted_over: count.map(|(_, over)| inches(over)),
                fades: fades.map(|[free, span, gap, nock]| FadeMeasures {
                    free_string_inch: free,
                    fade_span_inch: span,
                    fade_gap_inch: gap / 6.0,
                    fade_to_nock_inch: nock,
                }),
                shots,
                marker,
                serving: serving.map(inches),
                photo,
            }
        })
}

pub(super) fn hinge() -> ReportSign {
    let sign = Sign::asked(SignOf::Bow, "hinge", StandsIn::Message);
    ReportSign { number: 1, sign, standing: SignStanding::Open }
}

fn report() -> impl Strategy<Value = Report> {
    (
        prop::collection::vec(select(Symptom::ALL), 1..4),
        prop::collection::vec(measurements(), 0..4),
        prop::bool::weighted(0.1),
        any::<bool>(),
    )
        .prop_map(|(symptoms, readings, signs, settled)| Report {
            number: 1,
            received_on: june(10),
            symptoms,
            signs: if signs { vec![hinge()] } else { Vec::new() },
            readings: readings
                .into_iter()
                .map(|measurements| Reading { taken_on: june(12), measurements })
                .collect(),
            settled,
        })
}

fn rules() -> impl Strategy<Value = Rules> {
    (
        (0.01..0.4_f64, 0.0..=1.0_f64, maybe(0.0..2.0_f64), maybe(0.0..2.0_f64)),
        (3.0..15.0_f64, 10.0..25.0_f64, 10..500_u32, 0..20_000_i64),
    )
        .prop_map(|((reading_sd, chance_floor, play_shorten, play_lengthen), rest)| {
            let (least, most, settle_shots, remake) = rest;
            let mut rules = Rules::default();
            rules.reading_sd = reading_sd;
            rules.chance_floor = chance_floor;
            rules.play_shorten = play_shorten;
            rules.play_lengthen = play_lengthen;
            rules.window_degrees = (least, most);
            rules.settle_shots = settle_shots;
            rules.costs.remake = remake;
            rules
        })
}

fn told() -> impl Strategy<Value = Told> {
    (
        sold(),
        bow(),
        prop_oneof![2 => Just(Rules::default()), 1 => rules()],
        prop::collection::vec(report(), 1..3),
        prop::collection::vec(effect(), 0..5),
    )
        .prop_map(|(string, bow, rules, reports, effects)| Told {
            string,
            bow,
            rules,
            reports,
            pool: Pool::from_readings(&effects),
        })
}

/// Every figure of the advice is a number, and in its bounds.
fn figures_are_sound(advice: &Advice) -> bool {
    let pairs = [advice.want, advice.turns_now, advice.reach];
    let figures = [
        advice.brace_now,
        advice.brace_after,
        advice.brace_after_sd,
        advice.play_used,
        advice.play_left_in,
        advice.play_left_out,
        advice.remake_length,
    ];
    figures.iter().flatten().all(|figure| figure.is_finite())
        && pairs.iter().flatten().all(|(a, b)| a.is_finite() && b.is_finite())
        && advice.chance_in_range.is_none_or(|chance| (0.0..=1.0).contains(&chance))
        && advice.brace_after_sd.is_none_or(|sd| sd >= 0.0)
        && advice.cost_adjust.is_none_or(|cost| cost >= 0)
        && advice.cost_remake.is_none_or(|cost| cost >= 0)
        && advice.window.is_none_or(|(min, max)| min <= max)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(100_000) })]

    #[test]
    fn every_case_gets_a_verdict_with_reasons_and_cautions(
        told in told(), bench_radius in prop::option::weighted(0.2, 0.03..0.08_f64),
        bow_effect in prop::option::weighted(0.2, (0.5..1.8_f64, 0.02..0.15_f64)),
    ) {
        let bow_effect = bow_effect.map(|(ratio, log_sd)| BowEffect { ratio, log_sd });
        let subject = Subject { bench_radius, bow_effect, ..told.subject() };
        let case = Case {
            subject,
            reports: &told.reports,
            pool: &told.pool,
            settling: told.settling(),
            open_doubts: false,
            told: None,
            today: june(20),
        };
        let advice = match decide(case) {
            Ok(advice) => advice,
            Err(why) => return Err(TestCaseError::fail(format!("{why:?}"))),
        };
        prop_assert_eq!(&decide(case).expect("the same again"), &advice);
        prop_assert!(!advice.reasons.is_empty(), "{advice:?}");
        prop_assert!(figures_are_sound(&advice), "{advice:?}");
        match advice.verdict {
            Verdict::Adjust => {
                prop_assert!(!advice.cautions.is_empty());
                prop_assert!(advice.flip || advice.turns.is_some_and(|turns| turns != 0), "{advice:?}");
            }
            Verdict::Remake => {
                prop_assert!(!advice.cautions.is_empty());
                prop_assert!(advice.remake_length.is_some() && advice.remake_yarn.is_some(), "{advice:?}");
                prop_assert!(advice.want_source != Some(WantSource::Table) || advice.turns.is_none());
            }
            Verdict::Stop => {
                prop_assert!(advice.cautions.contains(&Caution::DoNotShoot));
                prop_assert_eq!(advice.turns, None);
            }
            Verdict::Refer => prop_assert!(advice.cautions.contains(&Caution::AskBowyer)),
            Verdict::Ask => prop_assert!(!advice.ask.is_empty(), "{advice:?}"),
            Verdict::Reassure | Verdict::Mend => {}
        }
        // Turns that are advised end inside the window, as far as a whole number can.
        if let (Some(turns), Some((now, _)), Some((min, max))) = (advice.turns, advice.turns_now, advice.window)
            && max > min
        {
            let after = now + f64::from(turns);
            prop_assert!(after >= f64::from(min) - 1e-9 && after <= f64::from(max) + 1e-9, "{advice:?}");
        }
        if let Some(first) = advice.first_step {
            let whole = advice.turns.unwrap_or_default();
            prop_assert!(first.turns.signum() == whole.signum() && first.turns.abs() < whole.abs());
        }
        // A string below the floor of strength is stopped whatever else is said.
        if strength_of(case.subject.string, case.subject.bow, case.subject.rules).below().is_some() {
            prop_assert_eq!(advice.verdict, Verdict::Stop);
        }
        let new = remedy(case, None).expect("a remedy");
        prop_assert!(new.length.is_some_and(f64::is_finite));
    }
}

#[test]
fn without_a_report_or_a_body_there_is_no_verdict() {
    assert_eq!(Told::recurve().try_decide(), Err(NoVerdict::NoReport));
    let mut short = Told::recurve();
    short.string.ordered = Some(inches(15.0));
    assert_eq!(short.said(Symptom::BraceLow, Measurements::default()).try_decide(), Err(NoVerdict::NoBody));
}
