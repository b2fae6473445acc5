//! The large-deflection solver against published values, and the simple formulas against it.
//!
//! First the solver is judged: by elliptic integrals, by a published cantilever, by small
//! deflections and by energy. Then it judges: the constants by bow kind and the square-root
//! law of method M02 on random bows.

mod consistency;
mod interface;
mod published;
mod simple_formulas;

use std::sync::OnceLock;

use crate::bow_solver::{Bow, Kind, random_bow};

/// Random bows of each kind that the tests share.
const BOWS: u64 = 60;

/// The bows of a kind, built once.
fn bows(kind: Kind) -> &'static [Bow] {
    static BUILT: [OnceLock<Vec<Bow>>; 5] = [const { OnceLock::new() }; 5];
    BUILT[kind as usize].get_or_init(|| (0..BOWS).map(|seed| random_bow(kind, seed)).collect())
}

/// Fails unless two numbers agree within a tolerance; a number that is not one never agrees.
#[track_caller]
fn agree(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} instead of {expected} +- {tolerance}");
}
