//! No cliff stands in the answer: between two brace heights that differ by no more than what a
//! reading can be off the advice changes by no more than that is worth.

use fistmele::mechanics::bow::{BowKind, string_change_for};
use fistmele::mechanics::learning::Pool;
use fistmele::mechanics::twist::Yarn;
use fistmele::trade::advice::Advice;
use fistmele::trade::known::{Known, known};
use fistmele::trade::records::{BowProfile, Measurements, SoldString};
use fistmele::trade::rules::Rules;
use fistmele::trade::words::{LengthAt, Route, Stave, Symptom, Tips, Verdict};
use proptest::prelude::*;
use proptest::sample::select;

use crate::told::{Told, inches, june, range, turns};

const SIXTEENTH: f64 = 0.0625;

/// A string on its bow, and everything an archer may have said of it but the brace height.
#[derive(Debug, Clone)]
pub(super) struct Unread {
    pub(super) told: Told,
    symptom: Symptom,
    said: Measurements,
}

impl Unread {
    pub(super) fn read(&self, brace: f64) -> Told {
        let said = Measurements { brace: Some(inches(brace)), ..self.said.clone() };
        self.told.clone().said(self.symptom, said)
    }
}

fn known_of(told: &Told) -> Known {
    known(told.subject(), &told.reports, &told.pool, &told.settling()).expect("a body")
}

/// Turns that a difference in brace height asks for, at the middle of the range.
fn turns_needed(known: &Known, from: f64, to: f64) -> f64 {
    let chain = known.chain.expect("a brace height");
    let middle = known.wanted.expect("a range").middle();
    let exact = |brace: f64| {
        let needed = string_change_for(brace, middle, chain.constant * chain.ratio);
        chain.body.turns_for_change(chain.turns, needed)
    };
    exact(from).zip(exact(to)).map_or(0.0, |(from, to)| (from - to).abs())
}

fn wide() -> impl Strategy<Value = f64> {
    select(vec![0.0, 0.25, 0.5, 0.75, 1.0])
}

pub(super) fn unread() -> impl Strategy<Value = Unread> {
    let string = (
        select(Yarn::ALL),
        prop::option::weighted(0.8, 10..22_u32),
        2..=3_u32,
        46.0..70.0_f64,
        prop::option::weighted(0.8, 0.0..=1.0_f64),
        any::<bool>(),
    );
    let bow = (
        select(BowKind::ALL),
        prop::option::weighted(0.7, (5.0..8.5_f64, wide())),
        prop::option::weighted(0.4, (-0.4..0.6_f64, wide())),
    );
    let said = (
        select(vec![
            Symptom::BraceLow,
            Symptom::BraceHigh,
            Symptom::TooLong,
            Symptom::TooShort,
            Symptom::Noisy,
            Symptom::HandSlap,
        ]),
        prop::option::weighted(0.6, 0..130_u32),
        1..=4_u32,
        prop::bool::weighted(0.2),
    );
    let rules = (prop::option::weighted(0.3, 0.0..0.95_f64), prop::option::weighted(0.3, 0..6000_i64));
    (string, bow, said, rules).prop_map(|(string, bow, said, rules)| {
        let (yarn, strands, plies, length, place, stretched) = string;
        let (kind, makers, wish) = bow;
        let (symptom, shots, readings, old_string) = said;
        let sixteenths = |value: f64| (value * 16.0).round() / 16.0;
        let mut sold = SoldString::new("A-1".to_owned(), june(1), Route::Marked, inches(length));
        sold.yarn = yarn;
        sold.strands = strands;
        sold.plies = plies;
        sold.pre_stretched = Some(stretched);
        sold.delivered_on = Some(june(3));
        let makers = makers.map(|(low, width)| (sixteenths(low), sixteenths(low) + width));
        let profile = BowProfile {
            kind,
            marked_length: Some(inches(length + 3.5)),
            brace_range: makers.map(|(low, high)| range(low, high)),
            tips: Tips::Reinforced,
            stave: Stave::Laminated,
            maker_allows_low_stretch: true,
            ..BowProfile::default()
        };
        let mut the_rules = Rules::default();
        if let Some(floor) = rules.0 {
            the_rules.chance_floor = floor;
        }
        if let Some(remake) = rules.1 {
            the_rules.costs.remake = remake;
        }
        let mut told = Told {
            string: sold,
            bow: profile,
            rules: the_rules,
            reports: Vec::new(),
            pool: Pool::from_readings(&[]),
        };
        let window = told.subject().build().expect("a body").window;
        told.string.turns = place
            .map(|place| turns((f64::from(window.min) + place * f64::from(window.max - window.min)).round()));
        let (low, _) = makers.unwrap_or((7.0, 7.5));
        let want = wish.map(|(off, width)| range(sixteenths(low + off), sixteenths(low + off) + width));
        Unread {
            told,
            symptom,
            said: Measurements {
                readings: Some(readings),
                shots,
                want,
                length: old_string.then(|| inches(length)),
                length_at: old_string.then_some(LengthAt::Loaded),
                ..Measurements::default()
            },
        }
    })
}

/// Turns that are advised; none where nothing is wrong.
fn advised(advice: &Advice, single: bool) -> Option<i32> {
    match advice.verdict {
        Verdict::Adjust => advice.turns,
        // A confirmed reading outside the range is turned to its middle at once; a single one at
        // the very edge is taken again first.
        Verdict::Reassure if single => Some(0),
        _ => None,
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn a_sixteenth_more_or_less_changes_the_turns_by_what_it_is_worth_and_never_makes_all_well_a_new_string(
        case in unread(), start in 3.5..3.5625_f64,
    ) {
        let single = case.said.readings.is_none_or(|readings| readings < 3);
        let heights: Vec<f64> = (0..110).map(|n| start + f64::from(n) * SIXTEENTH).collect();
        let answers: Vec<Advice> = heights.iter().map(|brace| case.read(*brace).decide()).collect();
        let known = known_of(&case.read(heights[0]));
        for (at, pair) in answers.windows(2).enumerate() {
            let (lower, higher) = (&pair[0], &pair[1]);
            let all_well = |advice: &Advice| advice.verdict == Verdict::Reassure;
            let remade = |advice: &Advice| advice.verdict == Verdict::Remake;
            prop_assert!(
                !(all_well(lower) && remade(higher) || remade(lower) && all_well(higher)),
                "{} and {}: {lower:?} {higher:?}", heights[at], heights[at + 1]
            );
            if let (Some(low), Some(high)) = (advised(lower, single), advised(higher, single)) {
                let worth = turns_needed(&known, heights[at], heights[at + 1]);
                prop_assert!(
                    f64::from((low - high).abs()) <= worth + 1.0,
                    "{} and {}: {low} and {high} turns where {worth} are needed: {lower:?} {higher:?}",
                    heights[at], heights[at + 1]
                );
            }
        }
    }

    #[test]
    fn what_is_dangerous_or_cannot_be_strung_does_not_hang_on_the_brace_height(
        case in unread(), symptom in select(vec![
            Symptom::BrokenStrand, Symptom::Frayed, Symptom::DryFire, Symptom::BowDamage, Symptom::WillNotString,
        ]),
        sign in any::<bool>(), heights in prop::collection::vec(3.5..10.5_f64, 2..6),
    ) {
        let mut case = Unread { symptom, ..case };
        // What an old string measures decides about a bow that cannot be strung, not the brace height.
        case.said.marker = None;
        let told = |brace: f64| {
            let mut told = case.read(brace);
            if sign {
                told.reports[0].signs = vec![super::verdict::hinge()];
            }
            let advice = told.decide();
            (advice.verdict, advice.turns, advice.ask)
        };
        let first = told(heights[0]);
        for brace in &heights[1..] {
            prop_assert_eq!(&told(*brace), &first, "{} and {}", heights[0], brace);
        }
    }
}
