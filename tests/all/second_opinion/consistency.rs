//! The solver against itself: energy, the other direction of integration, scale, contact.

use super::{agree, bows};
use crate::bow_solver::{Departure, EndForce, Kind, Limb, Pose, Stiffness};

/// dU = -T d(L/2) between two poses of a limb, as the ratio of the two sides.
fn energy_ratio(limb: &Limb, lift: f64) -> f64 {
    let pose = limb.pose(lift, None).unwrap();
    let low = limb.pose(lift - 0.02, Some(pose.tension)).unwrap();
    let high = limb.pose(lift + 0.02, Some(pose.tension)).unwrap();
    let work = 0.5 * pose.tension * (low.string_length - high.string_length);
    (high.energy - low.energy) / work
}

#[test]
fn the_string_pays_for_the_energy_of_the_limbs() {
    // Virtual work; it fails if a contact length, a moment or a string length is wrong.
    let uniform = Limb::uniform_straight(66.0, 5.0e5, 200);
    for lift in [1.0, 3.5, 8.0] {
        agree(energy_ratio(&uniform, lift), 1.0, 5e-4);
    }
    for kind in Kind::ALL {
        for bow in bows(kind).iter().take(20) {
            let middle = bow.pose_with(bow.marked_string()).unwrap();
            agree(energy_ratio(&bow.limb, middle.lift), 1.0, 5e-4);
        }
    }
}

#[test]
fn integrating_from_the_root_meets_the_string_where_the_solver_says() {
    // The equations of the solver (see its head) run the other way round.
    for kind in Kind::ALL {
        for bow in bows(kind).iter().take(10) {
            let limb = &bow.limb;
            let pose = bow.pose_with(bow.marked_string()).unwrap();
            let (arc, angle) = pose.departure.end(limb.length);
            let curvature = |s: f64, y: f64| {
                let u = s / limb.length;
                let moment = pose.tension * (pose.string_line - y);
                limb.curvature.at(u) + moment * limb.stiffness.compliance(u)
            };
            let steps = 4000u32;
            let ds = arc / f64::from(steps);
            let (mut x, mut y, mut th) = (limb.root_x, limb.root_y, limb.root_angle);
            for index in 0..steps {
                // Midpoint rule: another scheme than the solver's.
                let s = ds * f64::from(index);
                let half = th + 0.5 * ds * curvature(s, y);
                let middle = y + 0.5 * ds * th.sin();
                th += ds * curvature(s + 0.5 * ds, middle);
                x += ds * half.cos();
                y += ds * half.sin();
            }
            agree(y, pose.string_line, 2e-5);
            agree(th, angle, 5e-6);
            agree(2.0 * x, pose.free_string, 5e-5);
            // Continuous moment: at the contact the curvature is the natural one.
            agree(curvature(arc, y), limb.curvature.at(arc / limb.length), 1e-5);
        }
    }
}

#[test]
fn no_limb_crosses_its_string() {
    for kind in Kind::ALL {
        for bow in bows(kind) {
            let pose = bow.pose_with(bow.marked_string()).unwrap();
            let (arc, angle) = pose.departure.end(bow.limb.length);
            let force = EndForce::string(pose.tension);
            let shape = bow.limb.shape(arc, angle, force);
            assert!(shape.iter().skip(1).all(|(_, state)| state.y < 0.0));
            // Beyond the contact the limb keeps its natural shape and turns away.
            let (mut s, mut th, mut y) = (arc, angle, 0.0);
            while s + 0.01 < bow.limb.length {
                th += 0.01 * bow.limb.curvature.at((s + 0.005) / bow.limb.length);
                y += 0.01 * th.sin();
                s += 0.01;
            }
            assert!(y <= 0.0, "the tip stands {y} in beyond the string");
        }
    }
}

#[test]
fn the_contact_moves_towards_the_tip_as_the_string_gets_shorter() {
    let mut seen = 0;
    for kind in [Kind::Recurve, Kind::LongRiser] {
        for bow in bows(kind).iter().take(15) {
            let (low, high) = bow.string_range();
            let mut before: Option<(f64, f64)> = None;
            for step in (0..=40).rev() {
                let string = low + (high - low) * f64::from(step) / 40.0;
                let pose = bow.pose_with(string).unwrap();
                let (arc, angle) = pose.departure.end(bow.limb.length);
                if let Some((last_arc, last_angle)) = before {
                    assert!(arc > last_arc || angle > last_angle);
                    assert!(arc >= last_arc && angle >= last_angle);
                }
                if arc < bow.limb.length {
                    seen += 1;
                    // String beyond the contact lies along the limb.
                    let covered = 0.5 * (string - pose.free_string);
                    agree(covered, bow.limb.length - arc, 1e-8);
                }
                before = Some((arc, angle));
            }
        }
    }
    assert!(seen > 300, "only {seen} poses with contact");
}

#[test]
fn brace_and_tension_are_smooth_where_the_string_comes_off_the_recurve() {
    for bow in bows(Kind::Recurve).iter().take(10) {
        let poses = [-0.02, -0.01, 0.0, 0.01, 0.02].map(|lift| bow.limb.pose(lift, None));
        if poses.iter().any(Result::is_err) {
            continue;
        }
        let [a, b, c, d, e] = poses.map(Result::unwrap);
        let slope = |low: Pose, high: Pose| {
            (high.string_line - low.string_line) / (low.string_length - high.string_length)
        };
        agree(slope(b, c) / slope(c, d), 1.0, 0.02);
        let (left, right) = (slope(a, b) / slope(b, c), slope(c, d) / slope(d, e));
        agree(left, 1.0, 0.02);
        agree(right, 1.0, 0.02);
    }
}

#[test]
fn only_recurves_carry_the_string_on_the_limb() {
    for kind in Kind::ALL {
        let lying = bows(kind).iter().filter(|bow| {
            let pose = bow.pose_with(bow.marked_string()).unwrap();
            matches!(pose.departure, Departure::Contact { .. })
        });
        let share = lying.count();
        if kind.string_may_lie_on_limb() {
            assert!(share > 30, "{}: {share}", kind.name());
        } else {
            assert_eq!(share, 0, "{}", kind.name());
        }
    }
}

#[test]
fn twice_the_size_is_the_same_bow_and_twice_the_stiffness_twice_the_tension() {
    let bow = &bows(Kind::Recurve)[0];
    let pose = bow.pose_with(bow.marked_string()).unwrap();
    let mut large = bow.limb;
    large.root_x *= 2.0;
    large.root_y *= 2.0;
    large.length *= 2.0;
    large.curvature.even *= 0.5;
    large.curvature.tip *= 0.5;
    let scaled = large.pose(2.0 * pose.lift, None).unwrap();
    agree(scaled.string_line, 2.0 * pose.string_line, 1e-8);
    agree(scaled.string_length, 2.0 * pose.string_length, 1e-8);
    let mut stiff = bow.limb;
    stiff.stiffness = stiff.stiffness.scaled(2.0);
    let taut = stiff.pose(pose.lift, None).unwrap();
    agree(taut.string_line, pose.string_line, 1e-8);
    agree(taut.tension, 2.0 * pose.tension, 1e-6);
}

#[test]
fn finer_steps_do_not_move_the_brace_height() {
    for kind in Kind::ALL {
        for bow in bows(kind).iter().take(10) {
            let pose = bow.pose_with(bow.marked_string()).unwrap();
            let mut fine = bow.limb;
            fine.steps *= 4;
            let again = fine.pose(pose.lift, Some(pose.tension)).unwrap();
            agree(again.string_line, pose.string_line, 1e-4);
            agree(again.string_length, pose.string_length, 1e-4);
        }
    }
}

#[test]
fn a_taper_is_width_times_the_cube_of_depth() {
    let taper = Stiffness::Taper { root: 8.0e5, width: 0.5, depth: 0.25 };
    agree(taper.compliance(0.0) * 8.0e5, 1.0, 1e-12);
    let tip = 8.0e5 * 0.5 * 0.75_f64.powi(3);
    agree(taper.compliance(1.0) * tip, 1.0, 1e-12);
}
