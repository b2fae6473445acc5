//! The solver against published values and closed forms.

use std::f64::consts::PI;

use super::agree;
use crate::bow_solver::{Bow, Departure, EndForce, Kind, Limb, Pose, Stiffness, bracketed_root};

/// Bisshopp & Drucker, Q. Appl. Math. 3 (1945): cantilever with a transverse load at
/// the tip; load P l^2/EI and tip deflection over length.
const CANTILEVER: [(f64, f64); 4] = [(1.0, 0.301_721), (2.0, 0.493_457), (5.0, 0.713_792), (10.0, 0.810_609)];

#[test]
fn a_cantilever_bends_as_bisshopp_and_drucker_found() {
    let limb = Limb::uniform_straight(2.0, 1.0, 400);
    for (load, deflection) in CANTILEVER {
        let force = EndForce { along: 0.0, across: load };
        let tip = bracketed_root(|angle| Ok(limb.root_state(1.0, angle, force).angle), 0.0, 0.5 * PI, 1e-14)
            .unwrap();
        agree(-limb.root_state(1.0, tip, force).y, deflection, 1e-6);
    }
}

/// Complete elliptic integrals K and E of the modulus k, by the arithmetic-geometric mean.
///
/// Source: Abramowitz & Stegun, Handbook of Mathematical Functions (1964), 17.6.
fn elliptic_integrals(k: f64) -> (f64, f64) {
    let (mut a, mut b, mut c) = (1.0_f64, (1.0 - k * k).sqrt(), k);
    let (mut sum, mut weight) = (0.5 * c * c, 0.5);
    while c.abs() > 1e-16 {
        (a, b, c) = (0.5 * (a + b), (a * b).sqrt(), 0.5 * (a - b));
        weight *= 2.0;
        sum += weight * c * c;
    }
    let first = PI / (2.0 * a);
    (first, first * (1.0 - sum))
}

/// The incomplete integrals F and E up to `amplitude`, by Simpson's rule.
fn incomplete_integrals(k: f64, amplitude: f64) -> (f64, f64) {
    let pairs = 200u32;
    let step = amplitude / f64::from(2 * pairs);
    let (mut first, mut second) = (0.0, 0.0);
    for index in 0..=2 * pairs {
        let sine = (f64::from(index) * step).sin();
        let root = (1.0 - (k * sine).powi(2)).sqrt();
        let weight = match index {
            0 => 1.0,
            last if last == 2 * pairs => 1.0,
            odd if odd % 2 == 1 => 4.0,
            _ => 2.0,
        };
        first += weight / root;
        second += weight * root;
    }
    (first * step / 3.0, second * step / 3.0)
}

/// Brace height and string length of the uniform straight bow, in inches, with T l^2/W,
/// at a tip angle in radians: the elastica of a column clamped at one end.
///
/// Source: Timoshenko & Gere, Theory of Elastic Stability, section 2.7.
fn elastica(nock_to_nock: f64, tip_angle: f64) -> (f64, f64, f64) {
    let k = (0.5 * tip_angle).sin();
    let (first, second) = elliptic_integrals(k);
    (nock_to_nock * k / first, nock_to_nock * (2.0 * second / first - 1.0), first * first)
}

fn posed_at_tip_angle(limb: &Limb, angle: f64) -> Pose {
    let pose = limb.pose(10.0 * angle, None).unwrap();
    assert_eq!(Departure::at_lift(pose.lift, limb.length), pose.departure);
    pose
}

#[test]
fn elliptic_integrals_agree_with_quadrature_and_known_values() {
    // k = sin 45 degrees: Abramowitz & Stegun, table 17.1.
    let (first, second) = elliptic_integrals(0.5_f64.sqrt());
    agree(first, 1.854_074_677_301_372, 1e-14);
    agree(second, 1.350_643_881_047_675, 1e-14);
    for step in 1..=12 {
        let k = (0.5 * (5.0 * f64::from(step)).to_radians()).sin();
        let (first, second) = elliptic_integrals(k);
        let (simpson_first, simpson_second) = incomplete_integrals(k, 0.5 * PI);
        agree(simpson_first, first, 1e-12);
        agree(simpson_second, second, 1e-12);
    }
}

#[test]
fn a_uniform_straight_bow_follows_the_elliptic_integrals() {
    let (nock_to_nock, stiffness) = (66.0, 5.0e5);
    let limb = Limb::uniform_straight(nock_to_nock, stiffness, 400);
    for step in 1..=12 {
        let angle = (5.0 * f64::from(step)).to_radians();
        let pose = posed_at_tip_angle(&limb, angle);
        let (brace, string, load) = elastica(nock_to_nock, angle);
        agree(pose.string_line, brace, 1e-7);
        agree(pose.string_length, string, 1e-7);
        let tension = load * stiffness / limb.length.powi(2);
        agree(pose.tension / tension, 1.0, 1e-9);
    }
}

#[test]
fn the_whole_shape_follows_the_incomplete_integrals() {
    // Seen from the root, th = 2 asin(k sin phi) with s sqrt(T/W) = F(phi, k),
    // x sqrt(T/W) = 2 E(phi, k) - F(phi, k) and y sqrt(T/W) = 2 k (1 - cos phi).
    let limb = Limb::uniform_straight(66.0, 5.0e5, 400);
    let angle = 40.0_f64.to_radians();
    let pose = posed_at_tip_angle(&limb, angle);
    let k = (0.5 * angle).sin();
    let scale = (pose.tension / 5.0e5).sqrt();
    let shape = limb.shape(limb.length, angle, EndForce::string(pose.tension));
    assert_eq!(shape.len(), 401);
    for (arc, state) in shape.into_iter().step_by(20) {
        let phi =
            bracketed_root(|phi| Ok(incomplete_integrals(k, phi).0 - arc * scale), -0.1, 1.6, 1e-13).unwrap();
        let (first, second) = incomplete_integrals(k, phi);
        agree(state.angle, 2.0 * (k * phi.sin()).asin(), 1e-8);
        let x = 0.5 * pose.string_length + state.x;
        agree(x, (2.0 * second - first) / scale, 1e-7);
        let y = pose.string_line + state.y;
        agree(y, 2.0 * k * (1.0 - phi.cos()) / scale, 1e-7);
    }
}

#[test]
fn p01_a_tip_angle_of_twenty_degrees_gives_the_column_table() {
    // P01; Timoshenko & Gere list 0.220 and 0.970 of the length.
    let limb = Limb::uniform_straight(66.0, 5.0e5, 200);
    let pose = posed_at_tip_angle(&limb, 20.0_f64.to_radians());
    agree(pose.string_line, 7.2406, 1e-4);
    agree(pose.string_length, 64.0022, 1e-4);
    agree(pose.string_line / limb.length, 0.220, 6e-4);
    agree(pose.string_length / 66.0, 0.970, 6e-4);
}

#[test]
fn p02_a_brace_of_six_and_a_half_gives_string_and_slope() {
    // P02; the slope by both ways of reaching it.
    let limb = Limb::uniform_straight(66.0, 5.0e5, 200);
    let bow = Bow::new(Kind::Longbow, 66.0, 0.0, limb, 3.0).unwrap();
    let string = bow.string_for(6.5).unwrap();
    agree(string, 64.3961, 2e-4);
    agree(bow.brace_per_inch(string).unwrap(), 1.9951, 1e-4);
    let angle = bracketed_root(|angle| Ok(elastica(66.0, angle).0 - 6.5), 0.1, 1.0, 1e-14);
    let angle = angle.unwrap();
    let (low, high) = (elastica(66.0, angle - 1e-4), elastica(66.0, angle + 1e-4));
    agree(elastica(66.0, angle).1, 64.3961, 1e-4);
    agree((high.0 - low.0) / (low.1 - high.1), 1.9951, 1e-4);
}

/// c in h^2 = c D (D - L) at a tip angle of 0.02 rad.
fn hinge_circle_factor(stiffness: Stiffness, steps: u32) -> f64 {
    let mut limb = Limb::uniform_straight(66.0, 1.0, steps);
    limb.stiffness = stiffness;
    let pose = posed_at_tip_angle(&limb, 0.02);
    pose.string_line.powi(2) / (66.0 * (66.0 - pose.string_length))
}

#[test]
fn p03_a_uniform_limb_starts_as_the_euler_column() {
    let factor = hinge_circle_factor(Stiffness::uniform(5.0e5), 400);
    agree(factor, 4.0 / (PI * PI), 3e-5);
}

#[test]
fn p04_a_circular_tiller_starts_as_the_link_of_three_quarters() {
    let factor = hinge_circle_factor(Stiffness::CircularArc { root: 5.0e5 }, 20_000);
    agree(factor, 3.0 / 8.0, 3e-5);
}
