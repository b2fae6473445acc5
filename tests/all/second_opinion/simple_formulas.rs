//! The simple formulas of the methods M01, M02 and M04 against the solver.

use super::{agree, bows};
use crate::bow_solver::{Bow, Kind, kind_row, mean_and_sd};

/// The share of values that are at most `limit`.
fn share_within(values: &[f64], limit: f64) -> f64 {
    let marks: Vec<f64> = values.iter().map(|&value| if value <= limit { 1.0 } else { 0.0 }).collect();
    mean_and_sd(&marks).0
}

/// kappa, sd of ln kappa: method M01.
fn level_zero(kind: Kind) -> (f64, f64) {
    match kind {
        Kind::Selfbow => (0.160, 0.09),
        Kind::Longbow => (0.131, 0.12),
        Kind::ReflexDeflex => (0.173, 0.16),
        Kind::Recurve => (0.149, 0.13),
        Kind::LongRiser => (0.133, 0.13),
    }
}

/// k, sd of ln S: method M04.
fn level_one(kind: Kind) -> (f64, f64) {
    match kind {
        Kind::Selfbow => (0.763, 0.05),
        Kind::Longbow => (0.765, 0.06),
        Kind::ReflexDeflex => (0.906, 0.10),
        Kind::Recurve => (0.856, 0.075),
        Kind::LongRiser => (0.820, 0.075),
    }
}

#[test]
fn the_constants_by_kind_come_out_again() {
    for kind in Kind::ALL {
        let (kappa, log_sd) = level_zero(kind);
        let row = kind_row(kind, bows(kind)).unwrap();
        assert_eq!(row.bows, bows(kind).len());
        agree((row.kappa / kappa).ln(), 0.0, log_sd);
        assert!(
            (0.4 * log_sd..1.3 * log_sd).contains(&row.log_sd),
            "{}: sd {} instead of {log_sd}",
            kind.name(),
            row.log_sd
        );
    }
}

#[test]
fn the_check_values_p05_to_p09_belong_to_bows_of_their_kind() {
    // String length, brace before and after, shortening: the check values P05 to P09.
    let checks = [
        (Kind::Longbow, 63.0, 6.62, 7.207, 0.50),
        (Kind::Recurve, 59.0, 7.9001, 8.176, 0.25),
        (Kind::Selfbow, 61.0, 5.7507, 4.870, -0.50),
        (Kind::ReflexDeflex, 63.0, 7.1213, 7.857, 0.50),
        (Kind::LongRiser, 65.0, 8.7201, 9.187, 0.50),
    ];
    for (kind, string, before, after, shortening) in checks {
        let kappa = (after * after - before * before) / (2.0 * shortening * string);
        let row = kind_row(kind, bows(kind)).unwrap();
        agree((kappa / row.kappa).ln(), 0.0, 2.0 * row.log_sd);
    }
}

/// Largest errors of the square-root law and of a straight line over |dL| <= 0.6, in.
fn law_and_line_errors(bow: &Bow) -> (f64, f64) {
    let string = bow.marked_string();
    let brace = bow.brace_for(string).unwrap();
    let slope = bow.brace_per_inch(string).unwrap();
    let (mut law, mut line) = (0.0_f64, 0.0_f64);
    for step in -6..=6 {
        let shortening = 0.1 * f64::from(step);
        let truth = bow.brace_for(string - shortening).unwrap();
        let square = brace * brace + 2.0 * slope * brace * shortening;
        law = law.max((square.sqrt() - truth).abs());
        line = line.max((brace + slope * shortening - truth).abs());
    }
    (law, line)
}

#[test]
fn the_square_root_law_holds_over_usual_corrections() {
    // Method M02: within 0.01 in, deflex/reflex 0.02 .. 0.03.
    for kind in Kind::ALL {
        let errors: Vec<(f64, f64)> = bows(kind).iter().map(law_and_line_errors).collect();
        let (law, line): (Vec<f64>, Vec<f64>) = errors.into_iter().unzip();
        let (mean, _) = mean_and_sd(&law);
        let (mean_of_line, _) = mean_and_sd(&line);
        // On strongly deflexed bows the brace height and the lever differ most.
        let (usual, share) = match kind {
            Kind::ReflexDeflex => (0.03, 0.7),
            _ => (0.01, 1.0),
        };
        assert!(mean <= usual, "{}: {mean}", kind.name());
        assert!(share_within(&law, 0.03) >= share, "{}", kind.name());
        assert!(share_within(&law, 0.10) >= 1.0, "{}", kind.name());
        assert!(mean_of_line > 3.0 * mean, "{}", kind.name());
    }
}

/// Method M04, with the measures taken off the solved shape.
#[test]
fn the_fade_measures_predict_the_slope() {
    for kind in Kind::ALL {
        let (link, log_sd) = level_one(kind);
        let misses: Vec<f64> = bows(kind)
            .iter()
            .map(|bow| {
                let string = bow.marked_string();
                let m = bow.fade_measures(string).unwrap();
                let lever = 0.5 * (m.free_string - m.fade_span) - (1.0 - link) * m.fade_to_nock;
                let slope = lever / (2.0 * m.fade_gap);
                (slope / bow.brace_per_inch(string).unwrap()).ln()
            })
            .collect();
        let (mean, spread) = mean_and_sd(&misses);
        agree(mean, 0.0, 2.0 * log_sd);
        assert!(spread < 2.0 * log_sd, "{}: {spread}", kind.name());
    }
}

/// The check value P10: tolerance 0.03 in after one inch of string.
#[test]
fn two_exact_readings_predict_the_third() {
    for kind in Kind::ALL {
        let misses: Vec<f64> = bows(kind)
            .iter()
            .map(|bow| {
                let string = bow.marked_string();
                let at = |shortening: f64| bow.brace_for(string - shortening).unwrap();
                let (first, second) = (at(0.0), at(0.25));
                let constant = (second * second - first * first) / (2.0 * 0.25);
                let third = (second * second + 2.0 * constant * 0.75).sqrt();
                (third - at(1.0)).abs()
            })
            .collect();
        agree(mean_and_sd(&misses).0, 0.0, 0.03);
    }
}
