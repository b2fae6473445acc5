//! Measuring slips that archers make, recognised by their size.
//!
//! Sizes from the list of measuring errors in `docs/methods.md` (T01 to T07); most are own
//! arithmetic from the definitions of the trade standard.

use serde::{Deserialize, Serialize};

use crate::mechanics::stretch::hand_tight_shortfall;
use crate::mechanics::twist::Yarn;

/// Bow length minus string length under load, inches: AMO Standards 1987, 2000, "Conventional
/// bow length". Method T01.
pub const AMO_DIFFERENCE: f64 = 3.0;

/// Draw length is counted from a point this far ahead of the grip's deepest point, inches: AMO
/// FP-3 2000, "Draw length standard". A brace height taken to the back of the bow is about this
/// much too large. Method T06.
pub const GRIP_TO_BACK: f64 = 1.75;

/// String length of the trade standard for a marked bow length, loaded, inches. Method T01.
#[must_use]
pub fn standard_string_length(marked_length: f64) -> f64 {
    marked_length - AMO_DIFFERENCE
}

/// A likely slip in a measurement.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "slip", rename_all = "kebab-case")]
pub enum Slip {
    /// The bow's length was given as the string's.
    BowLengthForString {
        /// Too long by, inches.
        off: f64,
    },
    /// Measured without load though called loaded.
    NotLoaded {
        /// Too short by, inches.
        off: f64,
    },
    /// Measured inside of loop to inside of loop, crotch to crotch.
    LoopsLeftOut {
        /// Too short by, inches.
        off: f64,
    },
    /// One loop was left out.
    OneLoopLeftOut {
        /// Too short by, inches.
        off: f64,
    },
    /// Measured straight from tip to tip instead of along the bow.
    StraightAcross {
        /// Too short by, inches.
        off: f64,
    },
    /// Measured on the braced bow.
    BowBraced {
        /// Too short by, inches.
        off: f64,
    },
    /// The tape followed the handle or started at the limb ends.
    AlongTheCurve {
        /// Too long by, inches.
        off: f64,
    },
    /// Centimetres taken for inches.
    CentimetresForInches,
    /// Brace height taken to the back of the bow.
    ToTheBack {
        /// Too high by, inches.
        off: f64,
    },
    /// Crossings counted instead of full turns.
    CrossingsForTurns,
    /// Another kind of bow than declared would explain it.
    WrongBowKind {
        /// Off by, inches.
        off: f64,
    },
}

/// The likely slip in a string length an archer measured, against the length on record (loaded).
/// Method T07.
#[must_use]
pub fn string_length_slip(measured: f64, called_loaded: bool, yarn: Yarn, on_record: f64) -> Option<Slip> {
    let off = measured - on_record;
    let (shortfall, sd) = hand_tight_shortfall(yarn);
    let expected = if called_loaded { 0.0 } else { -shortfall };
    if (off - expected).abs() <= 0.5_f64.max(2.0 * sd) {
        return (called_loaded && off < -0.4 && shortfall > 0.4).then_some(Slip::NotLoaded { off: -off });
    }
    match off {
        o if (2.4..=5.0).contains(&o) => Some(Slip::BowLengthForString { off: o }),
        o if (-7.0..=-3.6).contains(&o) => Some(Slip::LoopsLeftOut { off: -o }),
        o if (-3.6..=-1.8).contains(&o) => Some(Slip::OneLoopLeftOut { off: -o }),
        // Loose and loaded lengths differ by the yarn's figure and no more.
        o if called_loaded && shortfall > 0.4 && (-1.4..=-0.4).contains(&o) => {
            Some(Slip::NotLoaded { off: -o })
        }
        _ if (measured / on_record - 2.54).abs() < 0.1 => Some(Slip::CentimetresForInches),
        _ => None,
    }
}

/// The likely slip when a right length disagrees with the marked length and the trade standard.
///
/// `right` is the loaded length that the readings ask for. Nothing is said within 1 1/2 in:
/// workshops take off 3 to 4 in, and bows differ. Method V17.
#[must_use]
pub fn mark_slip(right: f64, marked_length: f64) -> Option<Slip> {
    match right - standard_string_length(marked_length) {
        o if o >= 2.4 => Some(Slip::BowLengthForString { off: o }),
        o if o > 1.5 => Some(Slip::WrongBowKind { off: o }),
        o if o < -2.4 => Some(Slip::BowBraced { off: -o }),
        o if o < -1.5 => Some(Slip::WrongBowKind { off: o }),
        _ => None,
    }
}

/// The likely slip when marked length and nock-to-nock length disagree. Method V17.
#[must_use]
pub fn bow_length_slip(marked_length: f64, nock_to_nock: f64) -> Option<Slip> {
    match nock_to_nock - marked_length {
        o if o > 1.5 => Some(Slip::AlongTheCurve { off: o }),
        o if (-3.75..=-2.4).contains(&o) => Some(Slip::BowBraced { off: -o }),
        o if o < -1.5 => Some(Slip::StraightAcross { off: -o }),
        _ => None,
    }
}

/// The likely slip in a brace height: about 1 3/4 in above what is expected. Method T06.
#[must_use]
pub fn brace_slip(brace: f64, expected: f64) -> Option<Slip> {
    let off = brace - expected;
    ((off - GRIP_TO_BACK).abs() <= 0.35).then_some(Slip::ToTheBack { off })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_are_known_by_their_size() {
        assert!(matches!(
            string_length_slip(66.0, false, Yarn::Polyester, 63.0),
            Some(Slip::BowLengthForString { .. })
        ));
        assert_eq!(string_length_slip(62.0, false, Yarn::Polyester, 63.0), None);
        assert!(matches!(
            string_length_slip(62.0, true, Yarn::Polyester, 63.0),
            Some(Slip::NotLoaded { .. })
        ));
        // HMPE reads a quarter inch shorter hand-tight, so an inch is no matter of the load.
        assert_eq!(string_length_slip(62.0, true, Yarn::Hmpe, 63.0), None);
        assert!(matches!(string_length_slip(58.5, true, Yarn::Hmpe, 63.0), Some(Slip::LoopsLeftOut { .. })));
        assert!(matches!(
            string_length_slip(160.0, true, Yarn::Hmpe, 63.0),
            Some(Slip::CentimetresForInches)
        ));
        assert!(matches!(brace_slip(9.5, 7.75), Some(Slip::ToTheBack { .. })));
        assert_eq!(brace_slip(8.25, 7.75), None);
    }
}
