//! Each rule of the verdict at its limit, by the ids of `docs/methods.md`.

use fistmele::mechanics::twist::Yarn;
use fistmele::trade::BowKind;
use fistmele::trade::advice::Reason;
use fistmele::trade::build::{LOOP_THICKNESS, loaded_length};
use fistmele::trade::cause::{Evidence, propose};
use fistmele::trade::known::known;
use fistmele::trade::ranges::widened;
use fistmele::trade::records::{Measurements, USUAL_STRANDS};
use fistmele::trade::rules::Rules;
use fistmele::trade::setting::default_offset;
use fistmele::trade::slips::{Slip, bow_length_slip, mark_slip};
use fistmele::trade::words::{
    Across, Ask, Cause, LengthAt, Marker, Route, Stave, Symptom, Tips, Verdict, WantSource,
};

use crate::told::{Told, brace, inches, range, turns};

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[test]
fn danger_comes_before_all_and_stands_until_it_is_settled() {
    let told = Told::recurve().said(Symptom::BrokenStrand, Measurements::default());
    let mut told = told.said(Symptom::BraceLow, brace(7.25));
    assert_eq!(told.decide().verdict, Verdict::Stop);
    told.reports[0].settled = true;
    assert_eq!(told.decide().verdict, Verdict::Adjust);
}

#[test]
fn a_splice_with_less_than_half_of_the_least_turns_may_slip() {
    let with = |count: f64| {
        let mut told = Told::recurve();
        told.string.turns = Some(turns(count));
        told.said(Symptom::BraceLow, brace(7.25)).decide()
    };
    let (least, _) = with(24.0).window.expect("a window");
    assert_eq!(with(f64::from(least) / 2.0 - 0.5).verdict, Verdict::Stop);
    assert_ne!(with(f64::from(least) / 2.0 + 0.5).verdict, Verdict::Stop);
}

#[test]
fn low_stretch_yarn_stops_on_plain_tips_wood_and_bows_of_thirty_years() {
    let with = |tips: Tips, stave: Stave, year: Option<i32>| {
        let mut told = Told::recurve();
        (told.bow.tips, told.bow.stave, told.bow.year) = (tips, stave, year);
        told.said(Symptom::BraceLow, brace(7.25)).decide()
    };
    // The day is in 2025.
    for (tips, stave, year, verdict) in [
        (Tips::Plain, Stave::Laminated, None, Verdict::Stop),
        (Tips::Reinforced, Stave::Wood, None, Verdict::Stop),
        (Tips::Reinforced, Stave::Laminated, Some(1995), Verdict::Stop),
        (Tips::Reinforced, Stave::Laminated, Some(1996), Verdict::Adjust),
        (Tips::Unknown, Stave::Unknown, None, Verdict::Ask),
    ] {
        let advice = with(tips, stave, year);
        assert_eq!(advice.verdict, verdict, "{tips} {stave} {year:?}");
        if verdict == Verdict::Stop {
            assert_eq!(advice.remake_yarn, Some(Yarn::Polyester));
        }
    }
}

#[test]
fn what_new_strings_grow_is_turned_in_and_no_more() {
    let low = |read: f64| {
        let said = Measurements { shots: Some(60), ..brace(read) };
        Told::recurve().said(Symptom::BraceLow, said).decide()
    };
    // HMPE: 1/16 +- 1/16 in of string, about 0.14 in of brace height here.
    let advice = low(7.40);
    assert_eq!((advice.verdict, advice.likely_cause), (Verdict::Adjust, Cause::Settling));
    assert_eq!(advice.measure_again_after, Some(40));
    assert_ne!(low(7.30).likely_cause, Cause::Settling);
    // It is turned in to the middle like any other: nothing jumps where settling ends.
    let (within, beyond) = (low(7.40).turns.expect("turns"), low(7.30).turns.expect("turns"));
    assert!((within..=within + 4).contains(&beyond), "{within} {beyond}");
    // One that reads high is let out first; inside what the bow's maker gives it may just be shot in.
    let high = |wish: bool| {
        let want = wish.then(|| range(7.75, 8.0));
        let mut told = Told::recurve();
        told.string.turns = Some(turns(23.0));
        told.bow.brace_range = wish.then(|| range(7.5, 8.5)).or(told.bow.brace_range);
        told.said(Symptom::BraceHigh, Measurements { shots: Some(20), want, ..brace(8.05) }).decide()
    };
    assert_eq!(high(false).verdict, Verdict::Ask);
    assert_eq!(high(true).verdict, Verdict::Reassure);
}

#[test]
fn both_ways_cost_what_their_terms_say_and_the_floor_holds_turns_back() {
    let mut told = Told::recurve().said(Symptom::BraceLow, brace(7.25));
    let advice = told.decide();
    assert_eq!(advice.verdict, Verdict::Adjust);
    let costs = told.rules.costs;
    let once = costs.answer + costs.remake + costs.label;
    let miss = 1.0 - advice.chance_in_range.expect("a chance");
    assert_eq!(advice.cost_adjust, Some(costs.answer + (miss * once as f64).round() as i64));
    let misfit = advice.reasons.iter().find_map(|reason| match reason {
        Reason::CostRemake { misfit, .. } => Some(*misfit),
        _ => None,
    });
    let misfit = misfit.expect("the cost of a remake");
    assert_eq!(advice.cost_remake, Some(once + (misfit * once as f64).round() as i64));
    told.rules.chance_floor = 1.0;
    assert_ne!(told.decide().verdict, Verdict::Adjust);
}

#[test]
fn the_marker_says_which_way_up_and_the_serving_where_it_is_missing() {
    let upside_down = |marker: Marker, serving: f64| {
        let said =
            Measurements { marker: Some(marker), serving: Some(inches(serving)), ..Measurements::default() };
        Told::recurve().said(Symptom::ServingPlace, said).decide()
    };
    // Built 1 in below the middle: upside down it sits 1 in above.
    assert!(upside_down(Marker::Down, -1.0).flip);
    assert!(upside_down(Marker::Unknown, 1.0).flip);
    assert!(upside_down(Marker::Unknown, 0.6).flip);
    assert!(!upside_down(Marker::Unknown, 0.4).flip);
    assert!(!upside_down(Marker::Up, 1.0).flip);
    assert_eq!(upside_down(Marker::Up, -1.4).verdict, Verdict::Reassure);
    assert_eq!(upside_down(Marker::Up, -1.6).verdict, Verdict::Mend);
}

#[test]
fn a_single_wanted_value_stands_for_an_eighth_either_way() {
    assert_eq!(widened(range(7.75, 7.75)), (7.625, 7.875));
    assert_eq!(widened(range(7.5, 8.0)), (7.5, 8.0));
}

/// A count over 12 in of the body, in turns of the whole string of the recurve.
fn counted(count: f64) -> Measurements {
    // Twistable length of a string of 59 in: 46.
    Measurements {
        turns_counted: Some(turns(count * 12.0 / 46.0)),
        counted_over: Some(inches(12.0)),
        ..brace(7.25)
    }
}

fn turns_after(told: &Told) -> (f64, f64) {
    told.decide().turns_now.expect("turns")
}

#[test]
fn a_count_is_weighed_with_the_record_or_believed_before_it() {
    // 24 +- 1 recorded, 27 +- 1.62 counted: by their weights.
    let (now, sd) = turns_after(&Told::recurve().said(Symptom::BraceLow, counted(27.0)));
    let (record, count) = (1.0, 1.0 / (1.62 * 1.62));
    assert!(close(now, (24.0 * record + 27.0 * count) / (record + count)), "{now}");
    assert!(close(sd, (1.0 / (record + count)).sqrt()), "{sd}");
    // More than three standard deviations apart the string itself is believed.
    let told = Told::recurve().said(Symptom::BraceLow, counted(36.0));
    assert!(close(turns_after(&told).0, 36.0));
    assert!(told.decide().reasons.iter().any(|reason| matches!(reason, Reason::CountAgainstRecord { .. })));
    // About twice what it can be: crossings.
    let told = Told::recurve().said(Symptom::BraceLow, counted(52.0));
    assert!(turns_after(&told).0 < 30.0);
    assert!(told.decide().reasons.contains(&Reason::Slipped { slip: Slip::CrossingsForTurns }));
}

#[test]
fn readings_that_cannot_both_be_right_are_asked_for_again() {
    let turned = |read: f64| Measurements { turns_changed: Some(turns(11.0)), ..brace(read) };
    let told = |read: f64| Told::recurve().said(Symptom::BraceLow, brace(7.25)).then(turned(read));
    assert_eq!(told(7.75).decide().verdict, Verdict::Reassure);
    let wrong_way = told(6.75).decide();
    assert_eq!(wrong_way.verdict, Verdict::Ask);
    assert!(wrong_way.ask.contains(&Ask::BraceAgain));
    // Without turns two readings differ by no more than reading explains.
    let again = Told::recurve().said(Symptom::BraceLow, brace(7.25)).then(brace(7.75)).decide();
    assert_eq!((again.verdict, again.ask), (Verdict::Ask, vec![Ask::BraceAgain]));
}

#[test]
fn a_free_remake_waits_for_the_measurement_that_decides_it() {
    // Just outside by two standard deviations of a reading, and nothing left to give: read it again.
    let with = |read: Measurements| {
        let mut told = Told::recurve();
        told.string.turns = Some(turns(49.0));
        told.said(Symptom::BraceLow, read)
    };
    let once = with(brace(7.375)).decide();
    assert_eq!(once.verdict, Verdict::Ask, "{once:?}");
    let thrice = with(Measurements { readings: Some(3), ..brace(7.375) }).decide();
    assert_eq!(thrice.verdict, Verdict::Remake, "{thrice:?}");
    // Far outside, one reading is not enough for more than an inch of string.
    let far = with(brace(5.75)).decide();
    assert!(far.ask.contains(&Ask::StringLength), "{far:?}");
}

#[test]
fn a_large_step_in_doubt_starts_with_one_big_enough_to_learn_from() {
    let mut told = Told::recurve();
    told.string.turns = None;
    told.bow.brace_range = Some(range(7.5, 8.25));
    let told = told.said(Symptom::BraceLow, brace(7.0));
    // Guessed turns are counted first; who answers with a brace height alone is advised with that.
    assert_eq!(told.clone().decide().ask.first(), Some(&Ask::TurnsCount));
    let advice = told.then(brace(7.0)).decide();
    assert_eq!(advice.verdict, Verdict::Adjust, "{advice:?}");
    let (whole, first) = (advice.turns.expect("turns"), advice.first_step.expect("a first step"));
    assert!(whole >= 12 && advice.chance_in_range.expect("a chance") < 0.85);
    assert!(first.brace - 7.0 >= 0.375 && whole - first.turns >= 3);
}

#[test]
fn a_remake_is_rounded_and_as_long_as_the_readings_ask_for() {
    let mut told = Told::recurve();
    told.string.turns = Some(turns(49.0));
    let advice =
        told.clone().said(Symptom::BraceLow, Measurements { readings: Some(3), ..brace(6.5) }).decide();
    assert_eq!(advice.verdict, Verdict::Remake);
    let length = advice.remake_length.expect("a length");
    assert!(close(length * 8.0, (length * 8.0).round()));
    // K = 0.149 x 59; from 6 1/2 to the middle, 7 3/4.
    let right = 59.0 - (7.75_f64.powi(2) - 6.5_f64.powi(2)) / (2.0 * 0.149 * 59.0);
    assert!((length - right).abs() <= 0.0625 + 1e-9, "{length} {right}");
}

#[test]
fn a_string_that_will_not_go_on_is_judged_by_its_length() {
    let with = |length: f64| {
        let said = Measurements {
            length: Some(inches(length)),
            length_at: Some(LengthAt::Loaded),
            ..Measurements::default()
        };
        Told::recurve().said(Symptom::WillNotString, said).decide()
    };
    // The order says 59 in, the mark 62 - 4 = 58: what was ordered may know better.
    assert_eq!(with(58.9).verdict, Verdict::Ask);
    let unmeasured = Told::recurve().said(Symptom::WillNotString, Measurements::default()).decide();
    assert!(unmeasured.ask.contains(&Ask::StringLength));
    let short = with(58.0);
    assert_eq!((short.verdict, short.remake_length), (Verdict::Remake, Some(59.0)));
}

#[test]
fn an_eighth_of_an_inch_off_what_was_ordered_is_an_error_of_sizing() {
    let told = Told::recurve().said(Symptom::BraceLow, brace(7.25));
    let cause =
        |right: f64| propose(&told.string, &told.reports[0], None, None, Some(right), &Rules::default());
    assert_eq!(
        cause(59.0 - 0.125),
        (Cause::Sizing, Evidence::RightLengthOff { right: 58.875, ordered: 59.0 })
    );
    assert_eq!(cause(59.0 - 0.12).0, Cause::Unknown);
}

#[test]
fn slips_of_the_bows_length_are_known_by_their_size() {
    // Marked 62, so 59 by the trade standard; workshops take off 3 to 4 in.
    assert_eq!(mark_slip(58.0, 62.0), None);
    assert!(matches!(mark_slip(62.0, 62.0), Some(Slip::BowLengthForString { .. })));
    assert!(matches!(mark_slip(56.0, 62.0), Some(Slip::BowBraced { .. })));
    assert!(matches!(mark_slip(57.2, 62.0), Some(Slip::WrongBowKind { .. })));
    assert_eq!(bow_length_slip(62.0, 61.0), None);
    assert!(matches!(bow_length_slip(62.0, 60.0), Some(Slip::StraightAcross { .. })));
    assert!(matches!(bow_length_slip(62.0, 59.0), Some(Slip::BowBraced { .. })));
    assert!(matches!(bow_length_slip(62.0, 64.0), Some(Slip::AlongTheCurve { .. })));
}

#[test]
fn a_length_is_brought_to_outside_and_load_before_it_is_compared() {
    let string = Told::recurve().string;
    let loaded = |at: LengthAt, across: Across| loaded_length(62.0, at, across, &string);
    assert_eq!(loaded(LengthAt::Loaded, Across::Outside), (62.0, 0.0));
    assert!(close(loaded(LengthAt::Loaded, Across::Inside).0, 62.0 + LOOP_THICKNESS));
    assert!(close(loaded(LengthAt::HandTight, Across::Outside).0, 62.25));
    // Not known how: the difference is a doubt, not a correction.
    let (length, sd) = loaded(LengthAt::Unknown, Across::Outside);
    assert!(close(length, 62.0) && close(sd, 0.25));
}

#[test]
fn in_the_range_is_right_and_at_its_edge_worth_a_second_look() {
    let read = |read: f64| Told::recurve().said(Symptom::BraceLow, brace(read)).decide();
    for (at, verdict, ask) in [
        (7.5, Verdict::Ask, vec![Ask::BraceAgain]),
        (7.5625, Verdict::Ask, vec![Ask::BraceAgain]),
        (7.625, Verdict::Reassure, Vec::new()),
        (7.75, Verdict::Reassure, Vec::new()),
        (8.0, Verdict::Ask, vec![Ask::BraceAgain]),
    ] {
        let advice = read(at);
        assert_eq!((advice.verdict, advice.ask), (verdict, ask), "{at}");
    }
    // Three readings are believed, and so is one after turns: what may lie beyond the edge is turned.
    let thrice = |read: f64| Measurements { readings: Some(3), ..brace(read) };
    let at = |read: f64| Told::recurve().said(Symptom::BraceLow, thrice(read)).decide();
    assert_eq!((at(7.5).verdict, at(7.5625).verdict), (Verdict::Adjust, Verdict::Reassure));
    let turned = Measurements { turns_changed: Some(turns(12.0)), ..brace(7.5) };
    let advice = Told::recurve().said(Symptom::BraceLow, brace(7.0)).then(turned).decide();
    assert_eq!((advice.verdict, advice.ask), (Verdict::Adjust, Vec::new()));
}

#[test]
fn built_off_beyond_tolerance_is_the_workshops() {
    let cause = |built: f64| {
        let mut told = Told::recurve();
        told.string.built = Some(inches(built));
        told.said(Symptom::BraceLow, brace(7.2)).decide().likely_cause
    };
    assert_eq!(cause(59.125), Cause::Sizing);
    assert_eq!(cause(59.1875), Cause::Workshop);
}

#[test]
fn a_string_without_a_strand_count_is_taken_as_usual_with_a_wider_doubt() {
    let mut told = Told::recurve();
    let doubt = |told: &Told| told.subject().build().expect("a body").body.string_factor_log_sd;
    let known = doubt(&told);
    told.string.strands = None;
    assert_eq!(told.string.construction().strands, USUAL_STRANDS);
    assert!(close(doubt(&told), known.hypot(0.15)));
}

#[test]
fn three_inches_come_off_the_mark_and_four_for_recurves() {
    for &kind in BowKind::ALL {
        let expected = if matches!(kind, BowKind::Recurve | BowKind::LongRiser) { 4.0 } else { 3.0 };
        assert!(close(default_offset(Route::Marked, kind), expected));
        assert!(close(default_offset(Route::NockToNock, kind), expected));
        assert!(close(default_offset(Route::OldString, kind), 0.0));
    }
}

#[test]
fn near_a_table_range_the_bows_maker_is_asked_first() {
    let mut told = Told::recurve();
    told.bow.brace_range = None;
    let advice = told.said(Symptom::BraceLow, brace(7.0)).decide();
    assert_eq!((advice.verdict, advice.want_source), (Verdict::Ask, Some(WantSource::Table)));
    assert_eq!(advice.ask, [Ask::BraceRange]);
}

#[test]
fn turns_without_a_brace_height_after_them_are_followed_by_a_reading_not_by_more_turns() {
    let turned = Measurements { turns_changed: Some(turns(6.0)), ..Measurements::default() };
    let told = Told::recurve().said(Symptom::BraceLow, brace(7.25)).then(turned);
    let advice = told.decide();
    assert_eq!((advice.verdict, advice.turns, &advice.ask), (Verdict::Ask, None, &vec![Ask::Brace]));
    assert!(advice.brace_now.is_some_and(|now| now > 7.4 && now < 7.6), "{advice:?}");
    // Read, it is judged as ever, and the six turns have taught something.
    let read = told.then(brace(7.5)).decide();
    assert_eq!(read.verdict, Verdict::Adjust);
    assert!(read.reasons.iter().all(|reason| !matches!(reason, Reason::TurnedSince { .. })));
}

#[test]
fn only_the_bows_part_of_what_was_learned_goes_to_another_string() {
    let turned = Measurements { turns_changed: Some(turns(11.0)), ..brace(7.875) };
    let told = Told::recurve().said(Symptom::BraceLow, brace(7.25)).then(turned);
    let known = known(told.subject(), &told.reports, &told.pool, &told.settling()).expect("a body");
    // s_kappa^2 / (s_kappa^2 + s_G^2)
    let share = 0.13_f64.powi(2) / (0.13_f64.powi(2) + 0.22_f64.powi(2));
    assert!(close(known.bow_share(), share));
    let effect = known.bow_effect(BowKind::Recurve).expect("something learned");
    let ratio = known.chain.expect("a brace height").ratio;
    assert!(ratio > 1.05 && close(effect.ratio, ratio.powf(share)), "{ratio} {effect:?}");
    assert!(effect.log_sd < 0.13);
}
