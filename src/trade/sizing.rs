//! How an ordered length comes about: one way, whoever enters the string. Method V23.

use super::rules::Rules;
use super::words::{LengthAt, Route};
use crate::mechanics::bow::BowKind;
use crate::mechanics::stretch::loaded_from_hand_tight;
use crate::mechanics::twist::Yarn;
use crate::quantity::Length;

/// Lengths between which a string can be ordered, inches: what the readers of lengths take, and
/// more than the two loops and the ends of their splices together (judgement, no source).
const ORDERED: (f64, f64) = (13.0, 120.0);

/// A length brought to the workshop's step, inches.
#[must_use]
pub fn to_step(inches: f64, step: f64) -> f64 {
    (inches / step).round() * step
}

/// How a stated measure was taken where nobody said: what an archer measures on an old string is
/// pulled tight by hand (judgement, no source); of the others it is not known. Method V23.
#[must_use]
pub const fn default_stated_at(route: Route) -> LengthAt {
    match route {
        Route::OldString => LengthAt::HandTight,
        _ => LengthAt::Unknown,
    }
}

/// What a route starts from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Start {
    /// The route.
    pub route: Route,
    /// The stated measure, inches.
    pub stated: f64,
    /// How it was taken.
    pub at: LengthAt,
    /// Yarn of the old string, where it is known.
    pub old_yarn: Option<Yarn>,
    /// Yarn of the new string; the old one is taken to be of the same where nothing is said of it.
    pub yarn: Yarn,
}

impl Start {
    /// The stated measure on the footing of an ordered length, inches: an old string that was
    /// measured hand-tight is carried over to the measuring load. Methods M14, V23.
    #[must_use]
    pub fn loaded(&self) -> f64 {
        match (self.route, self.at) {
            (Route::OldString, LengthAt::HandTight) => {
                loaded_from_hand_tight(self.stated, self.old_yarn.unwrap_or(self.yarn)).0
            }
            _ => self.stated,
        }
    }
}

/// The ordered length: what the route starts from, loaded, less the offset, brought to the
/// workshop's step. None where that leaves no string. Method V23.
#[must_use]
pub fn ordered_from(start: &Start, offset: f64, step: f64) -> Option<Length> {
    let ordered = to_step(start.loaded() - offset, step);
    Length::try_from_inches(ordered).filter(|_| ordered > ORDERED.0 && ordered <= ORDERED.1)
}

/// Whether an ordered length follows from what was stated and an offset, be it as stated or carried
/// over to the load: a shop may not have known of the difference. It is so within the workshop's
/// tolerance and step. Method V23.
#[must_use]
pub fn follows(ordered: Length, start: &Start, offset: Length, rules: &Rules) -> bool {
    let off = |start: f64| (start - offset.inches() - ordered.inches()).abs();
    off(start.stated).min(off(start.loaded())) <= rules.build_tolerance + rules.rounding + 1e-9
}

/// The workshop's offset beside an ordered length that somebody gave, if that is the one that was
/// taken off; another is not known. Method V23.
#[must_use]
pub fn usual_offset(ordered: Length, start: &Start, kind: BowKind, rules: &Rules) -> Option<Length> {
    Length::try_from_inches(rules.offset(start.route, kind))
        .filter(|offset| follows(ordered, start, *offset, rules))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_old_string_is_carried_over_to_the_load_by_its_own_yarn() {
        let start = Start {
            route: Route::OldString,
            stated: 60.0,
            at: LengthAt::HandTight,
            old_yarn: None,
            yarn: Yarn::Polyester,
        };
        let ordered = |start: &Start| ordered_from(start, 0.0, 0.125).unwrap().inches();
        assert!((ordered(&start) - 61.0).abs() < 1e-9);
        assert!((ordered(&Start { old_yarn: Some(Yarn::Hmpe), ..start }) - 60.25).abs() < 1e-9);
        assert!((ordered(&Start { at: LengthAt::Loaded, ..start }) - 60.0).abs() < 1e-9);
        assert!((ordered(&Start { route: Route::BowMaker, ..start }) - 60.0).abs() < 1e-9);
        assert_eq!(ordered_from(&start, 50.0, 0.125), None);
    }
}
