//! What the benchmark leans on: interpolation, seeds, fade measures, typed failures.

use super::{agree, bows};
use crate::bow_solver::{Bow, Curvature, Kind, Limb, SolveError, SplitMix, bracketed_root, random_bow};

#[test]
fn interpolation_agrees_with_the_solver_and_runs_both_ways() {
    let mut random = SplitMix::new(1);
    for kind in Kind::ALL {
        for bow in bows(kind).iter().take(20) {
            let (low, high) = bow.string_range();
            let (lowest, highest) = bow.brace_range();
            agree(bow.string_for(lowest).unwrap(), high, 1e-6);
            agree(bow.string_for(highest).unwrap(), low, 1e-6);
            for _ in 0..5 {
                let string = random.between(low, high);
                let pose = bow.pose_with(string).unwrap();
                let brace = bow.brace_for(string).unwrap();
                agree(brace, bow.brace_of(&pose), 1e-3);
                let tension = bow.tension_for(string).unwrap();
                agree(tension / pose.tension, 1.0, 2e-3);
                agree(bow.string_for(brace).unwrap(), string, 1e-8);
                let back = bow.pose_at(bow.brace_of(&pose)).unwrap();
                agree(back.string_length, string, 1e-7);
                let back = bow.pose_at(bow.brace_of(&pose)).unwrap();
                agree(back.string_length, string, 1e-7);
            }
        }
    }
}

#[test]
fn a_seed_names_one_bow_and_the_bow_is_braced_as_usual() {
    for kind in Kind::ALL {
        let (first, again, other) = (random_bow(kind, 7), random_bow(kind, 7), random_bow(kind, 8));
        let string = first.marked_string();
        let brace = first.brace_for(string).unwrap();
        agree(again.brace_for(string).unwrap(), brace, 0.0);
        assert!((first.limb.length - other.limb.length).abs() > 1e-6);
        for bow in bows(kind) {
            let usual = kind.usual_brace(bow.marked_length);
            let string = bow.marked_string();
            agree(bow.brace_for(string).unwrap(), usual, 0.9);
            assert!((150.0..450.0).contains(&bow.tension_for(string).unwrap()));
        }
    }
}

#[test]
fn fade_measures_are_those_of_the_braced_shape() {
    for kind in Kind::ALL {
        let bow = &bows(kind)[3];
        let string = bow.marked_string() - 0.25;
        let measures = bow.fade_measures(string).unwrap();
        let brace = bow.brace_for(string).unwrap();
        let gap = brace + bow.grip_y - bow.limb.root_y;
        agree(measures.fade_gap, gap, 1e-3);
        agree(measures.fade_span, 2.0 * bow.limb.root_x, 0.0);
        agree(measures.fade_to_nock, bow.limb.length, 0.0);
        if kind.string_may_lie_on_limb() {
            assert!(measures.free_string <= string + 1e-9);
        } else {
            agree(measures.free_string, string, 1e-9);
        }
    }
}

#[test]
fn what_has_no_answer_is_a_typed_failure() {
    let bow = &bows(Kind::Longbow)[0];
    let (low, high) = bow.string_range();
    for string in [low - 0.01, high + 0.01, f64::NAN, f64::INFINITY, 0.0] {
        let failures =
            [bow.brace_for(string).err(), bow.tension_for(string).err(), bow.fade_measures(string).err()];
        for failure in failures {
            assert!(matches!(failure, Some(SolveError::OutOfRange(..))));
        }
    }
    for brace in [-1.0, 0.0, 40.0, f64::NAN] {
        let failure = bow.string_for(brace).err();
        assert!(matches!(failure, Some(SolveError::OutOfRange(..))));
    }
    // A straight limb at rest needs no tension.
    let straight = Limb::uniform_straight(66.0, 5.0e5, 50);
    assert_eq!(straight.pose(0.0, None).err(), Some(SolveError::Slack(0.0)));
    let broken = Limb { curvature: Curvature { even: f64::NAN, ..Curvature::STRAIGHT }, ..straight };
    assert!(broken.pose(2.0, None).is_err());
    assert!(Bow::new(Kind::Longbow, 66.0, 0.0, broken, 2.0).is_err());
}

#[test]
fn the_root_find_says_why_it_stopped() {
    let square = |x: f64| Ok(x * x - 2.0);
    agree(bracketed_root(square, 0.0, 2.0, 1e-15).unwrap(), 2.0_f64.sqrt(), 1e-14);
    assert_eq!(bracketed_root(square, 2.0, 3.0, 1e-12), Err(SolveError::NotBracketed(2.0, 3.0)));
    assert_eq!(bracketed_root(|x| Ok(1.0 / (x - x)), 0.0, 1.0, 1e-12), Err(SolveError::NotFinite(0.0)));
    assert_eq!(bracketed_root(|_| Err(SolveError::Slack(4.0)), 0.0, 1.0, 1e-12), Err(SolveError::Slack(4.0)));
}
