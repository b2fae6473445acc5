//! Turns, string length and brace height against published and independently computed figures.
//!
//! `tests/checks/mechanics.json` holds inputs, expected values with their sources, and the
//! tolerance each of them allows. Every entry is worked out here: by the program, or, where the
//! program has no exact solver, by the large-deflection solver of the tests. Below them stand
//! the program's own figures, pinned tightly, the printed tables and, in `worked_cases`,
//! the worked cases of `docs/methods.md`. "Own computation" there means a planar elastica integrated by
//! Runge-Kutta and verified against elliptic integrals, and a root find on the helix angle.

mod worked_cases;

use std::collections::{BTreeMap, BTreeSet};

use fistmele::mechanics::bow::{
    BowKind, FadeMeasures, brace_after, constant_from_fades, constant_from_kind, string_change_for,
};
use fistmele::mechanics::twist::{
    Construction, PACKING_FRACTION, TwistBody, Yarn, body_radius, helix_degrees_at, radius_from_bench_test,
    retraction_at, yarn_figures,
};
use fistmele::trade::slips::standard_string_length;
use serde_json::Value;

use crate::bow_solver::{Bow, Kind, Limb, Stiffness};

const CHECKS: &str = include_str!("../checks/mechanics.json");

/// Entries that need an exact solution of the bent limb. The program works with K = kappa L and
/// h'^2 = h^2 + 2 K dL instead, whose constants were fitted to such solutions.
const BY_THE_SOLVER: [(&str, &str); 4] = [
    ("P01", "a uniform straight bow of large deflection: the program knows no limb shape"),
    ("P02", "its slope at one brace height: the program has kappa by kind of bow instead"),
    ("P03", "limit of a uniform limb at vanishing tip angle"),
    ("P04", "limit of a circular tiller at vanishing tip angle"),
];

type Figures = BTreeMap<String, f64>;

fn figures<const N: usize>(pairs: [(&str, f64); N]) -> Option<Figures> {
    Some(pairs.into_iter().map(|(key, value)| (key.to_owned(), value)).collect())
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

#[track_caller]
fn agree(what: &str, got: f64, expected: f64, tolerance: f64) {
    assert!((got - expected).abs() <= tolerance, "{what}: {got} instead of {expected} +- {tolerance}");
}

#[test]
fn every_published_figure_of_mechanics_is_met() {
    let checks: Value = serde_json::from_str(CHECKS).expect("the check file is JSON");
    let by_the_solver: BTreeSet<&str> = BY_THE_SOLVER.iter().map(|(id, _)| *id).collect();
    let mut seen = BTreeSet::new();
    for check in checks["checks"].as_array().expect("checks") {
        let id = check["id"].as_str().expect("an id");
        assert!(seen.insert(id), "{id} stands there twice");
        let (program, solver) = (by_program(id, &check["inputs"]), by_solver(id, &check["inputs"]));
        assert_eq!(solver.is_some(), by_the_solver.contains(id), "{id}: listed with its reason?");
        assert_eq!(program.is_some(), !by_the_solver.contains(id), "{id}: worked out by the program?");
        for got in program.iter().chain(&solver) {
            let expected = check["expected"].as_object().expect("expected values");
            for (key, value) in expected {
                let found = got.get(key).unwrap_or_else(|| panic!("{id}: {key} is not worked out"));
                agree(&format!("{id} {key}"), *found, number(value), number(&check["tolerance"][key]));
            }
        }
    }
    assert_eq!(seen.len(), 19, "P01 to P20 but one");
}

fn kind(inputs: &Value) -> BowKind {
    inputs["bow_kind"].as_str().expect("a kind").parse().expect("a known kind")
}

fn body(twistable_length: f64, twist_radius: f64, string_factor: f64) -> TwistBody {
    TwistBody { twistable_length, twist_radius, string_factor, string_factor_log_sd: 0.18, from_bench: false }
}

/// What the program makes of the inputs of a check; `None` for an id it has nothing for.
fn by_program(id: &str, i: &Value) -> Option<Figures> {
    let at = |key: &str| number(&i[key]);
    match id {
        "P05" | "P06" | "P07" | "P08" | "P09" => {
            let constant = constant_from_kind(kind(i), at("string_length_inch"));
            let after = brace_after(at("brace_now_inch"), constant.value, at("string_change_inch"));
            figures([("brace_after_inch", after.expect("a braced bow"))])
        }
        "P10" => {
            let (length, brace) = (at("second_string_length_inch"), at("second_brace_inch"));
            // Method M02 the other way round: K from two exact pairs of length and brace height.
            let squares = brace * brace - at("first_brace_inch") * at("first_brace_inch");
            let constant = squares / (2.0 * (at("first_string_length_inch") - length));
            let after = brace_after(brace, constant, length - at("wanted_string_length_inch"));
            figures([("brace_after_inch", after.expect("a braced bow"))])
        }
        "P11" | "P12" => figures([("retraction_ratio", retraction_at(at("helix_angle_degree")))]),
        "P13" => {
            let body = body(at("twistable_length_inch"), at("twist_radius_inch"), 1.0);
            figures([
                ("body_length_inch", body.twistable_length - body.ideal_shortening(at("turns"))),
                ("helix_angle_degree", body.helix_degrees(at("turns")).expect("an angle")),
            ])
        }
        "P14" => {
            let body = body(at("twistable_length_inch"), at("twist_radius_inch"), 1.0);
            let from = at("turns_now");
            figures([("string_change_inch", body.string_change(from, from + at("turns_added")))])
        }
        "P15" => {
            let angle = helix_degrees_at(at("twist_parameter")).expect("an angle");
            figures([("helix_angle_degree", angle), ("length_ratio", 1.0 - retraction_at(angle))])
        }
        "P16" => {
            let strands = i["strands"].as_u64().and_then(|n| u32::try_from(n).ok()).expect("strands");
            let radius = body_radius(
                strands,
                at("strand_linear_density_tex"),
                at("fibre_density_kg_per_m3"),
                at("packing_fraction"),
            );
            figures([("body_diameter_inch", 2.0 * radius)])
        }
        "P18" => figures([("string_master_length_inch", standard_string_length(at("amo_length_inch")))]),
        "P19" => {
            let constant = constant_from_kind(kind(i), at("string_length_inch"));
            let change = string_change_for(at("brace_now_inch"), at("brace_wanted_inch"), constant.value);
            let body = body(at("twistable_length_inch"), at("twist_radius_inch"), at("string_factor"));
            let turns = body.turns_for_change(at("turns_now"), change).expect("turns");
            figures([("turns_exact", turns)])
        }
        "P20" => figures([("brace_per_inch", level_one(i))]),
        _ => None,
    }
}

/// Level 1 by the fade measures; the brace height cancels out.
fn level_one(i: &Value) -> f64 {
    let at = |key: &str| number(&i[key]);
    let fades = FadeMeasures {
        free_string_inch: at("free_string_inch"),
        fade_span_inch: at("fade_span_inch"),
        fade_gap_inch: at("fade_gap_inch"),
        fade_to_nock_inch: at("fade_to_nock_inch"),
    };
    constant_from_fades(kind(i), &fades, 7.9).expect("measures that agree").brace_per_inch(7.9)
}

/// What the large-deflection solver makes of the inputs of a check; `None` where it isn't asked.
fn by_solver(id: &str, i: &Value) -> Option<Figures> {
    let at = |key: &str| number(&i[key]);
    match id {
        "P01" => {
            let limb = Limb::uniform_straight(at("nock_to_nock_inch"), 5.0e5, 400);
            let pose = limb.pose(10.0 * at("tip_angle_degree").to_radians(), None).expect("a pose");
            figures([("brace_height_inch", pose.string_line), ("string_length_inch", pose.string_length)])
        }
        "P02" => {
            let limb = Limb::uniform_straight(at("nock_to_nock_inch"), 5.0e5, 400);
            let bow = Bow::new(Kind::Longbow, at("nock_to_nock_inch"), 0.0, limb, 3.0).expect("a bow");
            let string = bow.pose_at(at("brace_height_inch")).expect("a pose").string_length;
            let slope = bow.brace_per_inch(string).expect("a slope");
            figures([("string_length_inch", string), ("brace_per_inch", slope)])
        }
        "P03" => figures([("hinge_circle_factor", limit_of_the_solver(Stiffness::uniform(5.0e5), 400))]),
        "P04" => {
            let tiller = Stiffness::CircularArc { root: 5.0e5 };
            figures([("hinge_circle_factor", limit_of_the_solver(tiller, 20_000))])
        }
        _ => None,
    }
}

/// c in h^2 = c D (D - L) at vanishing tip angle: two small angles, extrapolated by their squares.
fn limit_of_the_solver(stiffness: Stiffness, steps: u32) -> f64 {
    let length = 66.0;
    let mut limb = Limb::uniform_straight(length, 1.0, steps);
    limb.stiffness = stiffness;
    let factor = |angle: f64| {
        let pose = limb.pose(10.0 * angle, None).expect("a pose");
        pose.string_line.powi(2) / (length * (length - pose.string_length))
    };
    (4.0 * factor(0.05) - factor(0.1)) / 3.0
}

// The program's own figures, pinned.

/// Own figures of the formulas for the inputs of the checks: far tighter than the checks, so that
/// no constant moves unnoticed.
#[test]
fn the_formulas_land_where_they_are_known_to_land() {
    let checks: Value = serde_json::from_str(CHECKS).expect("the check file is JSON");
    let pins = [
        ("P05", "brace_after_inch", 7.216, 0.0006),
        ("P06", "brace_after_inch", 8.174, 0.0006),
        ("P07", "brace_after_inch", 4.828, 0.0006),
        ("P08", "brace_after_inch", 7.849, 0.0006),
        ("P09", "brace_after_inch", 9.202, 0.0006),
        ("P10", "brace_after_inch", 9.369, 0.0006),
        ("P19", "turns_exact", 11.19, 0.006),
        ("P20", "brace_per_inch", 1.131, 0.0006),
    ];
    for (id, key, expected, tolerance) in pins {
        let check = checks["checks"].as_array().expect("checks").iter().find(|check| check["id"] == id);
        let got = by_program(id, &check.expect("a check")["inputs"]).expect("worked out");
        agree(id, got[key], expected, tolerance);
    }
}

fn string(yarn: Yarn, strands: u32, plies: u32, length: f64) -> TwistBody {
    TwistBody::from_build(Construction { yarn, strands, plies }, length).expect("a body")
}

/// Shortening per turn at a number of turns, without the string factor.
fn slope(body: &TwistBody, turns: f64) -> f64 {
    (body.ideal_shortening(turns + 1e-3) - body.ideal_shortening(turns - 1e-3)) / 2e-3
}

/// One row of the table of strings: body diameter, Req, shortening per turn at 10, 20, 30, 40 and
/// 60 turns, total at 20, 30 and 40, helix angle there.
type StringRow = (Yarn, u32, f64, f64, [f64; 5], [f64; 3], [f64; 3]);

/// Own computation; strand tex is an estimate from published strand strengths. A string of 60 in
/// (twistable 47), two plies, string factor 1.
const STRINGS: [StringRow; 8] = [
    (
        Yarn::Polyester,
        12,
        0.088,
        0.0503,
        [0.011, 0.022, 0.033, 0.044, 0.070],
        [0.21, 0.48, 0.87],
        [8.0, 12.0, 15.0],
    ),
    (
        Yarn::Polyester,
        14,
        0.095,
        0.0543,
        [0.012, 0.025, 0.038, 0.052, 0.083],
        [0.25, 0.56, 1.01],
        [8.0, 13.0, 17.0],
    ),
    (
        Yarn::Polyester,
        16,
        0.102,
        0.0581,
        [0.014, 0.029, 0.044, 0.060, 0.096],
        [0.29, 0.65, 1.16],
        [9.0, 13.0, 18.0],
    ),
    (
        Yarn::Hmpe,
        14,
        0.084,
        0.0477,
        [0.010, 0.019, 0.029, 0.040, 0.062],
        [0.19, 0.43, 0.78],
        [7.0, 11.0, 15.0],
    ),
    (
        Yarn::Hmpe,
        16,
        0.090,
        0.0510,
        [0.011, 0.022, 0.034, 0.046, 0.072],
        [0.22, 0.50, 0.89],
        [8.0, 12.0, 16.0],
    ),
    (
        Yarn::Hmpe,
        18,
        0.095,
        0.0541,
        [0.012, 0.025, 0.038, 0.051, 0.082],
        [0.25, 0.56, 1.01],
        [8.0, 12.0, 17.0],
    ),
    (
        Yarn::HmpeLcp,
        16,
        0.086,
        0.0491,
        [0.010, 0.020, 0.031, 0.042, 0.066],
        [0.20, 0.46, 0.82],
        [8.0, 11.0, 15.0],
    ),
    (
        Yarn::Linen,
        16,
        0.076,
        0.0435,
        [0.008, 0.016, 0.024, 0.033, 0.051],
        [0.16, 0.36, 0.65],
        [7.0, 10.0, 13.0],
    ),
];

#[test]
fn strings_of_sixty_inches_have_the_tabled_diameters_and_effects() {
    for (yarn, strands, diameter, radius, per_turn, totals, angles) in STRINGS {
        let what = format!("{strands} {yarn}");
        let figures = yarn_figures(yarn);
        let area = body_radius(strands, figures.strand_tex, figures.fibre_density, PACKING_FRACTION);
        agree(&what, 2.0 * area, diameter, 0.000_55);
        let body = string(yarn, strands, 2, 60.0);
        agree(&what, body.twist_radius, radius, 0.000_06);
        for (turns, expected) in [10.0, 20.0, 30.0, 40.0, 60.0].into_iter().zip(per_turn) {
            agree(&format!("{what}, turn {turns}"), slope(&body, turns), expected, 0.000_6);
        }
        for ((turns, total), angle) in [20.0, 30.0, 40.0].into_iter().zip(totals).zip(angles) {
            agree(&format!("{what}, total at {turns}"), body.ideal_shortening(turns), total, 0.005_5);
            agree(
                &format!("{what}, helix at {turns}"),
                body.helix_degrees(turns).expect("an angle"),
                angle,
                0.55,
            );
        }
    }
}

/// By string length (own computation): shortening per turn at 20, 30 and 40 turns and the turns
/// for the next 1/8 in, for 14 strands of polyester and 16 of HMPE, string factor 1.
#[test]
fn shorter_strings_take_more_from_a_turn() {
    let rows = [
        (52.0, ([0.030, 0.047, 0.064], [3.8, 2.6, 1.9]), ([0.027, 0.041, 0.056], [4.2, 2.9, 2.2])),
        (56.0, ([0.028, 0.042, 0.057], [4.1, 2.8, 2.1]), ([0.024, 0.037, 0.050], [4.6, 3.2, 2.4])),
        (60.0, ([0.025, 0.038, 0.052], [4.5, 3.1, 2.3]), ([0.022, 0.034, 0.046], [5.0, 3.5, 2.7])),
        (64.0, ([0.023, 0.035, 0.048], [4.8, 3.4, 2.5]), ([0.020, 0.031, 0.042], [5.4, 3.8, 2.9])),
        (66.0, ([0.022, 0.034, 0.046], [5.0, 3.5, 2.7]), ([0.020, 0.030, 0.040], [5.6, 4.0, 3.0])),
    ];
    for (length, polyester, hmpe) in rows {
        for (yarn, strands, (per_turn, eighth)) in [(Yarn::Polyester, 14, polyester), (Yarn::Hmpe, 16, hmpe)]
        {
            let body = TwistBody { string_factor: 1.0, ..string(yarn, strands, 2, length) };
            for ((turns, expected), needed) in [20.0, 30.0, 40.0].into_iter().zip(per_turn).zip(eighth) {
                let what = format!("{strands} {yarn}, {length} in, {turns} turns");
                agree(&what, slope(&body, turns), expected, 0.000_7);
                agree(&what, body.turns_for_change(turns, 0.125).expect("turns"), needed, 0.06);
            }
        }
    }
}

/// Own computation: brace height per full turn on a bow marked 62 at its usual brace height,
/// string factor included; polyester of 14 and HMPE of 16 strands agree within 5 %.
#[test]
fn a_turn_moves_the_brace_height_as_tabled() {
    let rows = [
        (Kind::Selfbow, BowKind::Selfbow, [0.044, 0.056, 0.067, 0.079, 0.091, 0.103]),
        (Kind::Longbow, BowKind::Longbow, [0.032, 0.041, 0.049, 0.057, 0.066, 0.075]),
        (Kind::ReflexDeflex, BowKind::ReflexDeflex, [0.040, 0.050, 0.060, 0.070, 0.081, 0.092]),
        (Kind::Recurve, BowKind::Recurve, [0.030, 0.037, 0.045, 0.053, 0.061, 0.069]),
        (Kind::LongRiser, BowKind::LongRiser, [0.026, 0.033, 0.039, 0.046, 0.053, 0.061]),
    ];
    for (shape, kind, expected) in rows {
        let per_inch = constant_from_kind(kind, 59.0).brace_per_inch(shape.usual_brace(62.0));
        for (turns, expected) in [20.0, 25.0, 30.0, 35.0, 40.0, 45.0].into_iter().zip(expected) {
            for (yarn, strands) in [(Yarn::Polyester, 14), (Yarn::Hmpe, 16)] {
                let body = string(yarn, strands, 2, 59.0);
                let got = per_inch * body.string_factor * slope(&body, turns);
                let what = format!("{kind}, {strands} {yarn}, {turns} turns");
                // Half the last digit, and the five percent.
                agree(&what, got, expected, 0.0005 + 0.05 * expected);
            }
        }
    }
}

/// Own computation: about one inch of play follows from the two helix angles, whatever the yarn.
#[test]
fn the_window_leaves_about_an_inch_of_play_whatever_the_yarn() {
    for (length, play) in [(56.0, 1.07), (60.0, 1.17), (64.0, 1.27)] {
        for (yarn, strands) in [(Yarn::Polyester, 14), (Yarn::Hmpe, 16), (Yarn::Linen, 16)] {
            let body = string(yarn, strands, 2, length);
            let (least, most) = (body.turns_at_helix(9.0), body.turns_at_helix(20.0));
            agree("play", body.ideal_shortening(most) - body.ideal_shortening(least), play, 0.005_5);
        }
    }
}

/// Shane, Archery Tackle (1936): at most one twist per inch of body. For 14 strands of polyester
/// and 16 of HMPE that is a helix of 17 to 21 degrees, as is said beside the default of 20.
#[test]
fn one_twist_per_inch_of_body_is_about_twenty_degrees() {
    let angles: Vec<f64> = STRINGS
        .iter()
        .map(|row| string(row.0, row.1, 2, 60.0).helix_degrees(47.0).expect("an angle"))
        .collect();
    for (row, angle) in STRINGS.iter().zip(&angles) {
        assert!((15.0..21.5).contains(angle), "{} {}: {angle}", row.1, row.0);
    }
    // Fewest turns: 9 degrees, 0.43 to 0.53 turn per inch for the strings usually sold.
    for (yarn, strands) in [(Yarn::Polyester, 14), (Yarn::Polyester, 16), (Yarn::Hmpe, 16), (Yarn::Hmpe, 18)]
    {
        let per_inch = string(yarn, strands, 2, 60.0).turns_at_helix(9.0) / 47.0;
        assert!((0.42..0.54).contains(&per_inch), "{strands} {yarn}: {per_inch}");
    }
}

/// Own computation: read as s = c n^2, two lengths overstate Req^2 by (t1^2 + t2^2)/4.
#[test]
fn the_turn_constant_overstates_the_radius_by_its_neglected_term() {
    let made = TwistBody::from_radius(0.0543, 60.0).expect("a body");
    let (few, many) = (20.0, 40.0);
    let at = |turns: f64| 60.0 - made.ideal_shortening(turns);
    let constant = (at(few) - at(many)) / (many * many - few * few);
    let read = TwistBody::from_turn_constant(constant, 60.0).expect("a body");
    let over = (read.twist_radius / made.twist_radius).powi(2) - 1.0;
    let neglected = (made.twist_parameter(few).powi(2) + made.twist_parameter(many).powi(2)) / 4.0;
    agree("share of Req^2", over, neglected, 0.002);
    assert!((0.02..0.035).contains(&over), "{over}");
    let exact = radius_from_bench_test(few, at(few), many, at(many)).expect("a radius");
    agree("Req", exact, 0.0543, 1e-6);
}
