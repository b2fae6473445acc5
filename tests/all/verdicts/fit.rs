//! Fit: enough known, settling, turns against remake.

use super::language::{compare, told};
use fistmele::trade::advice::{Mistake, Reason};
use fistmele::trade::words::{Verdict, WantSource};

#[test]
fn what_is_missing_is_asked_for() {
    compare(&[
        ("no brace height", ": brace-low", "ask=brace,string-length cause=unknown"),
        ("no brace height, length known", ": too-long length=58.25", "ask=brace cause=unknown"),
        ("no brace height and no range", "range=- : too-long", "ask=brace,brace-range cause=unknown"),
        ("loud, nothing measured", ": noisy", "ask=brace cause=unknown"),
        (
            "no range at all",
            "kind=unknown marked=- range=- : brace-low brace=7.25",
            "ask=brace-range,bow-kind cause=unknown",
        ),
        (
            "a horsebow has no table",
            "kind=horsebow range=- : brace-low brace=7.25",
            "ask=brace-range cause=unknown",
        ),
        (
            "will not string, nothing measured",
            ": will-not-string",
            "ask=string-length,which-way-up cause=unknown",
        ),
    ]);
}

#[test]
fn the_wanted_range_is_the_makers_then_the_wish_then_the_table() {
    let source = |line: &str| {
        let advice = told(line).advice();
        (advice.want_source, advice.want)
    };
    let brace = ": brace-low brace=7.25";
    assert_eq!(source(brace), (Some(WantSource::BowMaker), Some((7.5, 8.0))));
    // A wish inside the maker's range narrows it; one outside is set aside.
    assert_eq!(source(&format!("{brace} want=7.75..8.5")), (Some(WantSource::Archer), Some((7.75, 8.0))));
    assert_eq!(source(&format!("{brace} want=9..9.5")), (Some(WantSource::BowMaker), Some((7.5, 8.0))));
    assert_eq!(source(&format!("range=- {brace} want=9..9.5")), (Some(WantSource::Archer), Some((9.0, 9.5))));
    // One value stands for itself and an eighth on either side.
    assert_eq!(source(&format!("range=- {brace} want=9")), (Some(WantSource::Archer), Some((8.875, 9.125))));
    assert_eq!(source(&format!("range=- {brace}")), (Some(WantSource::Table), Some((7.5, 8.5))));
    let aside = told(&format!("{brace} want=9..9.5")).advice();
    assert!(aside.reasons.contains(&Reason::WishSetAside));
}

#[test]
fn a_table_range_alone_never_remakes() {
    // The table gives 7 1/2 to 8 1/2 for a recurve of 62 in.
    compare(&[
        ("inside the table", "range=- : brace-low brace=7.75", "ask=brace-range cause=unknown"),
        ("loud inside the table", "range=- : noisy brace=7.75", "reassure cause=unknown"),
        ("half an inch below it", "range=- : brace-low brace=7", "ask=brace-range cause=unknown"),
        ("a sixteenth more", "range=- : brace-low brace=6.9375", "adjust in cause=sizing"),
        ("half an inch above it", "range=- turns=35 : brace-high brace=9", "ask=brace-range cause=unknown"),
        ("far above, three readings", "range=- : brace-high brace=9.5 n=3", "ask=brace-range cause=sizing"),
        ("far below", "range=- : brace-low brace=5 n=3", "ask=brace-range cause=sizing"),
        (
            "the workshop's own reach",
            "brace.table-reach=0.25 range=- : brace-low brace=7.1875",
            "adjust in cause=sizing",
        ),
    ]);
    for eighths in 32..=88 {
        let brace = f64::from(eighths) / 8.0;
        let verdict = told(&format!("range=- : brace-low brace={brace} n=3")).advice().verdict;
        assert_ne!(verdict, Verdict::Remake, "at {brace} in");
    }
}

#[test]
fn inside_the_range_nothing_is_wrong() {
    compare(&[
        ("in the middle", ": brace-low brace=7.75", "reassure cause=unknown"),
        ("at the lower edge", ": brace-low brace=7.5", "ask=brace-again cause=unknown"),
        ("at the lower edge, three readings", ": brace-low brace=7.5 n=3", "adjust in cause=sizing"),
        ("at the upper edge", ": brace-high brace=8", "ask=brace-again cause=unknown"),
        ("a sixteenth inside it", ": brace-high brace=7.9375", "ask=brace-again cause=unknown"),
        ("two sixteenths inside it", ": brace-high brace=7.875", "reassure cause=unknown"),
        ("at the edge, after turns", ": brace-low brace=7 > put=12 brace=7.5", "adjust in cause=sizing"),
        ("a sixteenth below", ": brace-low brace=7.4375", "adjust in cause=sizing"),
        ("loud in the middle", ": noisy brace=7.75", "reassure cause=unknown"),
        ("loud and too low is a matter of fit", ": noisy brace=7.25", "adjust in cause=sizing"),
        ("slaps the hand and too low", ": hand-slap brace=7.25", "adjust in cause=sizing"),
    ]);
}

#[test]
fn new_strings_settle_and_no_more_than_that() {
    // Blend grows by 1/32 ± 1/32 in, HMPE by 1/16 ± 1/16, polyester by 1/8 ± 1/8: the upper end
    // is a sixteenth, an eighth and a quarter of string; an inch of string is 1.1 in of brace here.
    compare(&[
        ("a little low after 40 shots", ": brace-low brace=7.4375 shots=40", "adjust in cause=settling"),
        ("an eighth of string low", ": brace-low brace=7.375 shots=40", "adjust in cause=settling"),
        ("more than the upper end", ": brace-low brace=7.3125 shots=40", "adjust in cause=sizing"),
        (
            "as much, not pre-stretched",
            "stretched=no : brace-low brace=7.3125 shots=40",
            "adjust in cause=settling",
        ),
        ("at the settling shots", ": brace-low brace=7.4375 shots=100", "adjust in cause=settling"),
        ("after them", ": brace-low brace=7.4375 shots=101", "adjust in cause=sizing"),
        (
            "the workshop's own number of shots",
            "settle.shots=200 : brace-low brace=7.4375 shots=150",
            "adjust in cause=settling",
        ),
        ("shots unknown", ": brace-low brace=7.4375", "adjust in cause=sizing"),
        (
            "a little high when new is let out by what may be",
            ": brace-high brace=8.0625 shots=5",
            "adjust out ask=brace-range cause=settling",
        ),
        (
            "nothing to let out, and above what the bow's maker gives",
            "turns=23 : brace-high brace=8.0625 n=3 shots=0",
            "ask=brace-range cause=settling",
        ),
        (
            "above the wish and inside what the bow's maker gives",
            "range=7.25..8.25 turns=23 : brace-high brace=7.8125 n=3 want=7.5..7.75 shots=5",
            "reassure cause=settling",
        ),
        (
            "polyester a quarter of string low",
            "longbow : brace-low brace=6 shots=40",
            "adjust in cause=settling",
        ),
        ("polyester more than that", "longbow : brace-low brace=5.875 shots=40", "adjust in cause=sizing"),
        (
            "far off is no settling, however new",
            "longbow : brace-high brace=7.5 n=3 shots=5",
            "remake cause=sizing build=65.875 of=polyester",
        ),
    ]);
    let advice = told(": brace-low brace=7.4375 shots=40").advice();
    assert_eq!(advice.measure_again_after, Some(60));
    // Never a remake while settling explains it, whatever the costs.
    let dear = told("cost.answer=9000 : brace-low brace=7.4375 shots=40").advice();
    assert_eq!(dear.verdict, Verdict::Adjust);
}

#[test]
fn a_sixteenth_does_not_decide_a_free_string_and_turns_and_settling_are_one() {
    // Two turns may be let out, and polyester grows by an eighth; both together bring it in.
    let case = "longbow turns=26 range=6..6.5 :";
    let mut told_apart = Vec::new();
    for (name, read) in [
        ("in the range", "brace-high brace=6.375 shots=5"),
        ("at its edge", "brace-high brace=6.5 shots=5"),
        ("two sixteenths above it", "brace-high brace=6.625 shots=5"),
        ("three sixteenths above it", "brace-high brace=6.6875 shots=5"),
        ("three sixteenths, three readings", "brace-high brace=6.6875 n=3 shots=5"),
        ("four sixteenths", "brace-high brace=6.75 shots=5"),
        ("four sixteenths, three readings", "brace-high brace=6.75 n=3 shots=5"),
    ] {
        told_apart.push((name, super::language::in_a_line(&told(&format!("{case} {read}")).advice())));
    }
    assert_eq!(
        told_apart,
        [
            ("in the range", "reassure cause=unknown".to_owned()),
            ("at its edge", "ask=brace-again cause=unknown".to_owned()),
            ("two sixteenths above it", "adjust out ask=brace-range cause=settling".to_owned()),
            ("three sixteenths above it", "adjust out ask=brace-range cause=settling".to_owned()),
            ("three sixteenths, three readings", "adjust out ask=brace-range cause=settling".to_owned()),
            // Settling does not explain it any more, and a single reading is taken again first.
            ("four sixteenths", "ask=brace-again cause=sizing".to_owned()),
            ("four sixteenths, three readings", "remake cause=sizing build=65.375 of=polyester".to_owned()),
        ]
    );
    let advice = told(&format!("{case} brace-high brace=6.6875 shots=5")).advice();
    assert_eq!(advice.turns, Some(-2));
    assert_eq!(advice.measure_again_after, Some(95));
    let settles = advice.reasons.iter().find_map(|reason| match reason {
        Reason::LetOutAndSettles { growth, brace, chance, .. } => Some((*growth, *brace, *chance)),
        _ => None,
    });
    let (growth, brace, chance) = settles.expect("turns and settling together");
    // By hand: 0.854 of 1/8 in is still to come; 1.6 in of brace height for an inch of string.
    assert!((growth - 0.107).abs() < 0.002 && brace < 6.5, "{growth} {brace}");
    assert_eq!(advice.chance_in_range, Some(chance));
    // What was let out, and reads above the bow maker's top still, is not shot in without his word.
    compare(&[
        (
            "after letting out",
            "longbow turns=26 range=6..6.5 : brace-high brace=6.6875 shots=5 > put=-2 brace=6.625 shots=5",
            "ask=brace-range cause=settling",
        ),
        (
            "after letting out, in the range",
            "longbow turns=26 range=6..6.5 : brace-high brace=6.5625 shots=5 > put=-2 brace=6.4375 shots=5",
            "reassure cause=unknown",
        ),
        // Old enough to have settled, a sixteenth off and nothing to turn: no free string for that.
        (
            "a sixteenth above, nothing to let out, three readings",
            "turns=23 : brace-high brace=8.0625 n=3 shots=400",
            "ask=brace-again,brace-range cause=sizing",
        ),
        (
            "the same, read twice",
            "turns=23 : brace-high brace=8.0625 n=3 shots=400 > brace=8.0625 n=3 shots=400",
            "ask=brace-range cause=sizing",
        ),
        (
            "more than a reading can be off",
            "turns=23 : brace-high brace=8.1875 n=3 shots=400",
            "remake cause=sizing build=58.875 of=hmpe",
        ),
    ]);
}

#[test]
fn turns_if_they_reach_and_are_cheaper_else_a_new_string() {
    compare(&[
        ("a quarter low", ": brace-low brace=7.25", "adjust in cause=sizing"),
        ("far too low for turns", ": brace-low brace=5.5 n=3", "remake cause=sizing build=56.75 of=hmpe"),
        ("far too low, one reading", ": brace-low brace=5.5", "ask=brace-again,string-length cause=sizing"),
        (
            "too high with nothing to let out",
            ": brace-high brace=8.5 n=3",
            "remake cause=sizing build=59.25 of=hmpe",
        ),
        (
            "too high, confirmed by a second reading",
            ": brace-high brace=8.5 > brace=8.5",
            "remake cause=sizing build=59.25 of=hmpe",
        ),
        ("too high with turns to let out", "turns=33 : brace-high brace=8.25 n=3", "adjust out cause=sizing"),
        (
            "a longbow too high",
            "longbow : brace-high brace=7.5 n=3",
            "remake cause=sizing build=65.875 of=polyester",
        ),
        ("a longbow a little high", "longbow : brace-high brace=6.875", "adjust out cause=sizing"),
        ("built too long", "built=59 : brace-low brace=7.25", "adjust in cause=workshop"),
        ("built within tolerance", "built=58.625 : brace-low brace=7.25", "adjust in cause=sizing"),
        (
            "built off and out of reach",
            "built=59.5 : brace-low brace=5.5 n=3",
            "remake cause=workshop build=57.875 of=hmpe",
        ),
        (
            "a floor nobody reaches",
            "chance.floor=0.99 : brace-low brace=7.125 n=3",
            "remake cause=sizing build=58 of=hmpe",
        ),
        ("the same without it", ": brace-low brace=7.125 n=3", "adjust in ask=fades,shots cause=sizing"),
        (
            "answers so dear that a remake is cheaper",
            "cost.answer=1000 : brace-low brace=6.5 n=3",
            "remake cause=sizing build=57.5 of=hmpe",
        ),
        (
            "remakes that cost nothing",
            "cost.remake=0 cost.label=0 : brace-low brace=6.5 n=3",
            "remake cause=sizing build=57.5 of=hmpe",
        ),
        (
            "the workshop's own play",
            "play.shorten=0.25 : brace-low brace=6.875 n=3",
            "remake cause=sizing build=57.75 of=hmpe",
        ),
        (
            "a wish that turns can meet",
            "range=- : brace-low brace=7.25 want=7.75",
            "adjust in ask=brace-again,fades cause=sizing",
        ),
        ("read to the back of the bow", ": brace-high brace=9.5", "ask=brace-again cause=unknown"),
        (
            "read to the back of the bow, thrice",
            ": brace-high brace=9.5 n=3",
            "remake cause=sizing build=60.25 of=hmpe",
        ),
        ("low by the reading, high by the complaint", ": brace-high brace=7.25", "adjust in cause=sizing"),
        (
            "a horsebow is made again after an old string only",
            "kind=horsebow : brace-low brace=5.5 n=3",
            "ask=string-length cause=sizing",
        ),
        (
            "with its old string",
            "kind=horsebow : brace-low brace=5.5 n=3 length=57 at=loaded",
            "remake cause=sizing build=57 of=hmpe",
        ),
    ]);
}

#[test]
fn a_bow_that_cannot_be_strung_is_judged_by_its_string() {
    // Marked 62 less the workshop's 4 in is 58, but 58 1/2 was ordered for it.
    compare(&[
        ("long enough", ": will-not-string length=58.5 at=loaded", "ask=which-way-up,photo cause=unknown"),
        (
            "a quarter short",
            ": will-not-string length=58.25 at=loaded",
            "ask=which-way-up,photo cause=unknown",
        ),
        (
            "an inch short",
            ": will-not-string length=57.375 at=loaded",
            "remake cause=workshop build=58.5 of=hmpe",
        ),
        (
            "an inch short with turns to let out",
            "turns=47 : will-not-string length=57.5 at=loaded",
            "adjust out ask=brace cause=workshop",
        ),
        (
            "the bow's length was measured",
            ": will-not-string length=61.5 at=loaded",
            "ask=string-length,photo cause=unknown",
        ),
    ]);
}

#[test]
fn a_step_says_where_it_lands_and_costs_what_the_formula_says() {
    let advice = told(": brace-low brace=7.25").advice();
    let (chance, misfit) = (
        advice.chance_in_range.unwrap(),
        advice
            .reasons
            .iter()
            .find_map(|reason| match reason {
                Reason::CostRemake { once, misfit, .. } => {
                    assert_eq!(*once, 400 + 1800 + 600);
                    Some(*misfit)
                }
                _ => None,
            })
            .unwrap(),
    );
    // adjust = answer + (1 - chance) x (answer + remake + label), in whole cents.
    assert_eq!(advice.cost_adjust, Some(400 + ((1.0 - chance) * 2800.0).round() as i64));
    // remake = answer + remake + label + (its own chance to misfit) x the same again.
    assert_eq!(advice.cost_remake, Some(2800 + (misfit * 2800.0).round() as i64));
    let after = advice.brace_after.unwrap();
    assert!((after - 7.75).abs() < 0.05, "aims at the middle, not {after}");
    let (min, max) = advice.window.unwrap();
    let then = 24 + advice.turns.unwrap();
    assert!(min <= then && then <= max);
}

#[test]
fn the_turns_stay_in_the_window_for_every_reading() {
    for sixteenths in 64..=176 {
        let brace = f64::from(sixteenths) / 16.0;
        for turns in [12, 24, 33, 45] {
            let advice = told(&format!("turns={turns} : brace-low brace={brace} n=3")).advice();
            let Some(put) = advice.turns.filter(|_| advice.verdict == Verdict::Adjust) else { continue };
            let (min, max) = advice.window.unwrap();
            let then = turns + put;
            assert!(then <= max && (then >= min || put > 0), "{turns} turns at {brace} in: {put:+}");
            assert_eq!(put > 0, brace < 7.75, "{brace} in: {put:+}");
            assert!(advice.chance_in_range.unwrap() >= 0.5, "{turns} turns at {brace} in");
        }
    }
}

#[test]
fn a_new_string_is_built_with_turns_to_spare_both_ways() {
    let advice = told(": brace-high brace=8.5 n=3").advice();
    let (min, max) = advice.window.unwrap();
    let built = advice.remake_turns.unwrap();
    assert!(min < built && built < max, "{min} < {built} < {max}");
    assert!(advice.brace_after.is_some_and(|after| (after - 7.75).abs() < 0.2), "{:?}", advice.brace_after);
    // Longer string, lower brace; rounded to an eighth.
    let length = advice.remake_length.unwrap();
    assert!(length > 58.5 && (length * 8.0).fract() == 0.0, "{length}");
}

#[test]
fn second_readings_that_cannot_be_are_asked_for_again() {
    let mistake = |line: &str| {
        let advice = told(line).advice();
        assert_eq!(advice.verdict, Verdict::Ask, "{line}");
        advice.reasons.iter().find_map(|reason| match reason {
            Reason::Contradiction { mistake, .. } => Some(*mistake),
            _ => None,
        })
    };
    assert_eq!(mistake(": brace-low brace=7 > put=12 brace=6.5"), Some(Mistake::WrongWay));
    assert_eq!(mistake(": brace-low brace=6.5 > put=20 brace=6.5"), Some(Mistake::NotTurned));
    assert_eq!(mistake(": brace-low brace=7 > put=2 brace=8"), Some(Mistake::FarTooMuch));
    compare(&[
        ("wrong way", ": brace-low brace=7 > put=12 brace=6.5", "ask=brace-again,turns-count cause=unknown"),
        (
            "wrong way, brace height borne out",
            ": brace-low brace=7 > put=12 brace=6.5 > brace=6.5 n=3",
            "remake cause=sizing build=57.75 of=hmpe",
        ),
        (
            "nothing turned, another height",
            ": brace-low brace=6.5 > brace=7.25",
            "ask=brace-again cause=unknown",
        ),
        ("nothing turned, same height", ": brace-low brace=7.25 > brace=7.25", "adjust in cause=sizing"),
        ("as expected and right", ": brace-low brace=7.25 > put=11 brace=7.75", "reassure cause=unknown"),
        (
            "half of what was expected",
            ": brace-low brace=6.875 > put=17 brace=7.1875",
            "ask=turns-count cause=unknown",
        ),
    ]);
}
