//! What the program knows of the trade against the sources that say so.
//!
//! `tests/checks/trade.json` holds fifteen facts with their sources. Each is either worked out
//! here by the function or rule that decides it, or listed with the reason why the program
//! doesn't use it. The source stands beside each check.

use std::collections::BTreeSet;

use fistmele::mechanics::stretch::hand_tight_shortfall;
use fistmele::mechanics::twist::{Construction, TurnWindow, TwistBody};
use fistmele::quantity::{DrawWeight, Length, LengthRange};
use fistmele::trade::ranges::table_key;
use fistmele::trade::records::Measurements;
use fistmele::trade::rules::Rules;
use fistmele::trade::slips::{GRIP_TO_BACK, Slip, brace_slip, standard_string_length, string_length_slip};
use fistmele::trade::strength::{source_strength, strength};
use fistmele::trade::words::{Ask, Symptom, Verdict};
use fistmele::trade::{BowKind, Yarn};
use serde_json::{Value, json};

use crate::told::{Told, brace, inches, range, turns};

const CHECKS: &str = include_str!("../checks/trade.json");

/// Facts that the program doesn't use.
const NOT_USED: [(&str, &str); 4] = [
    (
        "T05",
        "a second load for light bows: a workshop has one, in its setting, and no length says under which it was measured",
    ),
    ("T03", "pin of 1/4 in: a length is kept as outside or inside of the loops, no pin is recorded"),
    ("T09", "narrow brace table: one table is kept, the wide one; the bow maker's range comes before it"),
    ("T13", "steps of 5 turns: a first step is as large as is needed to learn from it, then measured"),
];

/// Parts of a fact that the program doesn't use though the rest is worked out.
const NOT_KEPT: [(&str, &str, &str); 2] = [
    ("T04", "time_s", "second-hand; no time under load is recorded with a length"),
    (
        "T11",
        "advice",
        "a reading right at the edge of a range is as likely outside as inside, and turns are told that bring it in (M24); what lies clearly inside or outside is tried below",
    ),
];

#[test]
fn every_published_fact_of_the_trade_is_met_or_listed_as_not_used() {
    let checks: Value = serde_json::from_str(CHECKS).expect("the check file is JSON");
    let listed: BTreeSet<&str> = NOT_USED.iter().map(|(id, _)| *id).collect();
    assert!(NOT_USED.iter().all(|(_, reason)| !reason.is_empty()));
    let mut seen = BTreeSet::new();
    for check in checks["checks"].as_array().expect("checks") {
        let id = check["id"].as_str().expect("an id");
        assert!(seen.insert(id), "{id} stands there twice");
        let got = work_out(id, &check["inputs"]);
        assert!(
            got.is_some() != listed.contains(id),
            "{id} must be either worked out or listed as not used, and not both"
        );
        let Some(got) = got else { continue };
        for (key, expected) in check["expected"].as_object().expect("expected values") {
            let not_kept = NOT_KEPT.iter().any(|(of, part, _)| *of == id && part == key);
            assert!(
                got[key].is_null() == not_kept,
                "{id} {key} must be either worked out or listed as not kept"
            );
            if !not_kept {
                meets(&format!("{id} {key}"), &got[key], expected, number(&check["tolerance"][key]));
            }
        }
    }
    assert_eq!(seen.len(), 14, "T01 to T15 but the second");
    assert!(listed.is_subset(&seen), "a listed fact is not in the file");
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

fn numbers(value: &Value) -> impl Iterator<Item = f64> {
    value.as_array().expect("a list").iter().map(number)
}

/// Element by element; yes and no must be the same.
fn meets(what: &str, got: &Value, expected: &Value, tolerance: f64) {
    match (got, expected) {
        (Value::Array(got), Value::Array(expected)) => {
            assert_eq!(got.len(), expected.len(), "{what}");
            for (got, expected) in got.iter().zip(expected) {
                meets(what, got, expected, tolerance);
            }
        }
        (Value::Bool(_), _) | (_, Value::Bool(_)) => assert_eq!(got, expected, "{what}"),
        _ => {
            let off = (number(got) - number(expected)).abs();
            assert!(off <= tolerance, "{what}: {got} instead of {expected} +- {tolerance}");
        }
    }
}

/// What the program makes of the inputs of a fact; `None` for one it doesn't use.
fn work_out(id: &str, i: &Value) -> Option<Value> {
    let at = |key: &str| number(&i[key]);
    Some(match id {
        // AMO Standards 1987, 2000, "Conventional bow length": `slips::standard_string_length`.
        "T01" => json!({ "string_length_inch": standard_string_length(at("marked_bow_length_inch")) }),
        // AMO FP-3 2000: the default of the setting `length.load`, whatever the draw weight.
        "T04" => json!({ "load_lb": Rules::default().load_lb }),
        // AMO FP-3 2000, "Draw length standard", second-hand: the same distance gives
        // `slips::brace_slip` away.
        "T06" => json!({ "draw_length_inch": at("true_draw_length_inch") + GRIP_TO_BACK }),
        // Two string makers' guides: `stretch::hand_tight_shortfall`.
        "T07" => {
            let yarns = i["yarns"].as_array().expect("yarns").iter();
            let shortfall: Vec<f64> = yarns
                .map(|yarn| yarn.as_str().expect("a yarn").parse().expect("a known yarn"))
                .map(|yarn: Yarn| hand_tight_shortfall(yarn).0)
                .collect();
            json!({ "shortfall_inch": shortfall })
        }
        // Trade association consumer guide "How to adjust brace height", 2020: the defaults of
        // `Rules::brace_range`, for both kinds of recurve.
        "T08" => {
            let rows = |kind: BowKind| -> Vec<(f64, f64)> {
                let key = |marked: f64| table_key(kind, Some(marked)).expect("a row of the table");
                numbers(&i["bow_length_inch"])
                    .map(|marked| Rules::default().brace_range(&key(marked)).expect("a range"))
                    .collect()
            };
            assert_eq!(rows(BowKind::Recurve), rows(BowKind::LongRiser));
            let (low, high): (Vec<f64>, Vec<f64>) = rows(BowKind::Recurve).into_iter().unzip();
            json!({ "low_inch": low, "high_inch": high })
        }
        // Ford, Archery: Its Theory and Practice (1856), ch. VI: the lower ends of the table for
        // straight longbows, and for those that bend through the grip.
        "T10" => {
            let low = |key: &str| Rules::default().brace_range(key).expect("a range").0;
            json!({ "least_brace_inch": [low("longbow"), low("selfbow")] })
        }
        // A selfbow maker's care page: `verdict::decide` on a bow whose maker gives that play.
        "T11" => json!({}),
        // Retailer guide "How to choose the right recurve/longbow string", 2020: plausibility;
        // the helix window of `TurnWindow::from_helix` rules, and lies inside.
        "T12" => {
            let length = standard_string_length(at("bow_length_inch"));
            let windows = windows_of_usual_strings(length);
            let inside = windows.iter().all(|window| window.min >= 20 && window.max <= 60);
            assert!(inside, "{windows:?}");
            json!({ "turns_low": 20, "turns_high": 60 })
        }
        // Strands: an encyclopedia article on bowstrings; the rule: two how-to pages and a page on
        // quick laid strings. The counts are those at which `strength::strength` stops refusing;
        // the program names none of them.
        "T14" => {
            let rules = Rules::default();
            let draw = DrawWeight::new(at("draw_weight_lb"), None);
            let of = |yarn: Yarn, strands: u32| strength(yarn, Some(strands), draw, &rules);
            let yarns = [Yarn::Polyester, Yarn::Hmpe, Yarn::HmpeLcp];
            let by_source: Vec<Option<f64>> = numbers(&i["strand_strength_lb"]).map(Some).collect();
            assert_eq!(yarns.map(source_strength).to_vec(), by_source);
            let least: Vec<u32> = yarns
                .iter()
                .map(|yarn| (1..100).find(|n| of(*yarn, *n).below().is_none()).expect("a count"))
                .collect();
            let floor = of(Yarn::Polyester, 1).below().expect("one strand is too few").floor();
            json!({ "floor_lb": floor, "strands_at_floor": least })
        }
        // A question-and-answer page and a maker's blog, 50 to 100 shots: `settle.shots` takes
        // the upper figure. What fewer than 50 shots mean stands below.
        "T15" => {
            let most = f64::from(Rules::default().settle_shots);
            json!({ "shots_low": most / 2.0, "shots_high": most })
        }
        _ => return None,
    })
}

/// Strand counts in which polyester and HMPE are usually laid (common practice, no source).
fn windows_of_usual_strings(length: f64) -> Vec<TurnWindow> {
    [(Yarn::Polyester, 12), (Yarn::Polyester, 14), (Yarn::Polyester, 16), (Yarn::Hmpe, 16), (Yarn::Hmpe, 18)]
        .into_iter()
        .map(|(yarn, strands)| {
            let body = TwistBody::from_build(Construction { yarn, strands, plies: 2 }, length);
            TurnWindow::from_helix(&body.expect("a body"), 9.0, 20.0)
        })
        .collect()
}

/// A selfbow whose maker states 152 mm within 10 mm, with a string that reads so much lower.
fn off_the_stated_height(off_mm: f64) -> Told {
    let mm = |mm: f64| Length::try_from_inches(mm / 25.4).expect("a length");
    let mut told = Told::recurve();
    told.string.yarn = Yarn::Polyester;
    told.string.strands = Some(14);
    told.bow.kind = BowKind::Selfbow;
    told.bow.brace_range = LengthRange::new(mm(142.0), mm(162.0));
    let read = Measurements { brace: Some(mm(152.0 - off_mm)), readings: Some(3), ..Measurements::default() };
    told.said(Symptom::BraceLow, read)
}

#[test]
fn what_lies_within_ten_millimetres_of_the_stated_height_is_left_and_twenty_four_are_turned() {
    // A selfbow maker's care page: within 10 mm of the height the bowyer stated.
    assert_eq!(off_the_stated_height(6.0).decide().verdict, Verdict::Reassure);
    let advice = off_the_stated_height(24.0).decide();
    assert_eq!(advice.verdict, Verdict::Adjust);
    assert!(advice.turns.is_some_and(|turns| turns > 0), "{advice:?}");
    // The play has to be told as a range: a single value stands for itself +- 1/8 in (3 mm).
    let mut single = off_the_stated_height(6.0);
    single.bow.brace_range = Some(range(6.0, 6.0));
    assert_ne!(single.decide().verdict, Verdict::Reassure);
}

#[test]
fn a_straight_longbow_just_under_six_inches_is_asked_about_not_made_again() {
    // Ford 1856, ch. VI: at least 6 in; a warning, not an error.
    let mut told = Told::recurve();
    told.string.yarn = Yarn::Polyester;
    told.bow.kind = BowKind::Longbow;
    told.bow.marked_length = Some(inches(66.0));
    told.bow.brace_range = None;
    let advice = told.said(Symptom::BraceLow, brace(5.9)).decide();
    assert_eq!(advice.verdict, Verdict::Ask);
    assert!(advice.ask.contains(&Ask::BraceRange), "{advice:?}");
}

#[test]
fn a_table_range_raises_a_question_near_it_and_makes_no_string_again_far_from_it() {
    // Trade association consumer guide, 2020: outside by more than 1/4 in is a question. The
    // program asks up to `brace.table-reach`, 1/2 in, and remakes on no table at all.
    for (kind, marked) in [(BowKind::Recurve, 62.0), (BowKind::LongRiser, 70.0), (BowKind::Longbow, 66.0)] {
        let mut told = Told::recurve();
        told.bow.kind = kind;
        told.bow.marked_length = Some(inches(marked));
        told.bow.brace_range = None;
        let key = table_key(kind, Some(marked)).expect("a row");
        let (low, _) = told.rules.brace_range(&key).expect("a range");
        for off in [0.125, 0.3, 0.5, 0.75, 1.5, 2.5] {
            let advice = told.clone().said(Symptom::BraceLow, brace(low - off)).decide();
            assert_ne!(advice.verdict, Verdict::Remake, "{kind} {off}");
            if off <= 0.5 {
                assert_eq!(advice.verdict, Verdict::Ask, "{kind} {off}");
                assert_eq!(advice.ask, [Ask::BraceRange], "{kind} {off}");
            }
        }
    }
}

#[test]
fn a_brace_height_taken_to_the_back_of_the_bow_is_known_by_its_size() {
    // AMO FP-3 2000, "Draw length standard", second-hand: 1 3/4 in from grip to back.
    assert!(matches!(brace_slip(7.75 + GRIP_TO_BACK, 7.75), Some(Slip::ToTheBack { .. })));
    let advice = Told::recurve().said(Symptom::BraceHigh, brace(7.75 + GRIP_TO_BACK)).decide();
    assert_eq!((advice.verdict, advice.ask), (Verdict::Ask, vec![Ask::BraceAgain]));
}

#[test]
fn loose_and_loaded_lengths_differ_by_what_two_makers_say_and_no_more() {
    // Two string makers' guides: polyester up to 1 in, low-stretch yarn about 1/4 in.
    for yarn in [Yarn::Polyester, Yarn::Hmpe] {
        let shortfall = hand_tight_shortfall(yarn).0;
        assert_eq!(string_length_slip(63.0 - shortfall, false, yarn, 63.0), None);
        assert!(string_length_slip(63.0 - shortfall - 2.0, false, yarn, 63.0).is_some());
    }
    let called_loaded = string_length_slip(62.0, true, Yarn::Polyester, 63.0);
    assert!(matches!(called_loaded, Some(Slip::NotLoaded { .. })));
}

/// Two published guides: 50 to 100 shots. What new strings are expected to grow is turned in and
/// read again; a string too long by far more than that would only get longer, and waits for no
/// shots.
#[test]
fn with_fewer_than_fifty_shots_what_settling_explains_is_never_made_again() {
    for yarn in [Yarn::Polyester, Yarn::Hmpe, Yarn::Linen] {
        for shots in [0, 10, 30, 49] {
            for pre_stretched in [true, false] {
                let mut told = Told::recurve();
                told.string.yarn = yarn;
                told.string.pre_stretched = Some(pre_stretched);
                // Even where the workshop would rather make a string again than turn it.
                told.rules.chance_floor = 1.0;
                let upper = told.settling().upper_end() * if pre_stretched { 1.0 } else { 2.0 };
                for share in [0.2, 0.6, 0.95] {
                    // About 1.16 in of brace height per inch of string at 7 1/2 in.
                    let short = 1.1 * share * upper;
                    let read = Measurements { shots: Some(shots), ..brace(7.5 - short) };
                    let advice = told.clone().said(Symptom::BraceLow, read).decide();
                    assert_eq!(advice.verdict, Verdict::Adjust, "{yarn} {shots} {share}: {advice:?}");
                    assert!(advice.measure_again_after.is_some(), "{yarn} {shots} {share}");
                }
            }
        }
    }
    let far = Measurements { shots: Some(10), readings: Some(3), ..brace(5.5) };
    let mut told = Told::recurve();
    told.string.turns = Some(turns(45.0));
    assert_eq!(told.said(Symptom::BraceLow, far).decide().verdict, Verdict::Remake);
}
