//! What a string holds against what its bow asks of it. Method T14.
//!
//! The floor is there to refuse below it. It never says how many strands a string should have:
//! practice clears it three times over, and strands are chosen for nock fit, stretch and wear.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::records::{BowProfile, SoldString};
use super::rules::Rules;
use crate::mechanics::twist::Yarn;
use crate::quantity::DrawWeight;
use crate::words;

/// A string has to hold at least so many times the draw weight of its bow: two how-to pages on
/// making bowstrings and a page on quick laid strings say the same. Method T14.
pub const FLOOR_TIMES: f64 = 4.0;

/// Pounds that one strand holds, by its source; none where the yarn is not known. Method T14.
///
/// Polyester 50, HMPE 100 and LCP/aramid 70: an encyclopedia article on bowstrings; a blend of
/// HMPE and LCP is taken at the weaker of its parts. Linen 6: thread No. 12 in S. T. Pope, A Study
/// of Bows and Arrows, "An experiment on bow strings"; 60 such threads held 360 lb. A thicker strand of linen holds more,
/// which a setting with its reason says.
#[must_use]
pub const fn source_strength(yarn: Yarn) -> Option<f64> {
    match yarn {
        Yarn::Polyester => Some(50.0),
        Yarn::Hmpe => Some(100.0),
        Yarn::HmpeLcp => Some(70.0),
        Yarn::Linen => Some(6.0),
        Yarn::Unknown => None,
    }
}

/// Pounds that one strand is taken to hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StrandStrength {
    /// Pounds.
    pub pounds: f64,
    /// Where the workshop set more than the source says.
    pub own: Option<OwnStrength>,
}

/// A figure of the workshop's own that lies above its source.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OwnStrength {
    /// What the source says, pounds.
    pub source: f64,
    /// Why it was set.
    pub why: Option<String>,
}

/// The sum: what the strands hold together, and the least that the bow asks for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Sum {
    /// Strands in the whole string.
    pub strands: u32,
    /// Of this yarn.
    pub yarn: Yarn,
    /// What one of them holds.
    pub strand: StrandStrength,
    /// Draw weight of the bow, pounds.
    pub draw: f64,
}

impl Sum {
    /// Pounds that the strands hold together, at rest and without loss by twist or knot.
    #[must_use]
    pub fn holds(&self) -> f64 {
        f64::from(self.strands) * self.strand.pounds
    }

    /// Pounds that a string of this bow has to hold. Method T14.
    #[must_use]
    pub fn floor(&self) -> f64 {
        FLOOR_TIMES * self.draw
    }

    /// It holds less than it has to.
    #[must_use]
    pub fn is_below(&self) -> bool {
        self.holds() < self.floor() - 1e-9
    }
}

/// Pounds as people write them.
#[must_use]
pub fn pounds(value: f64) -> String {
    format!("{} lb", (value * 10.0).round() / 10.0)
}

impl fmt::Display for Sum {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} strands of {} at {} each hold {}; {FLOOR_TIMES} times the draw weight of {} is {}",
            self.strands,
            self.yarn,
            pounds(self.strand.pounds),
            pounds(self.holds()),
            pounds(self.draw),
            pounds(self.floor())
        )
    }
}

words! {
    /// What is missing to check the strength of a string.
    Missing, "missing value" {
        /// The draw weight of the bow.
        DrawWeight = "draw-weight",
        /// The number of strands.
        Strands = "strands",
        /// The yarn.
        Yarn = "yarn",
    }
}

/// What is known of the strength of a string on its bow.
#[derive(Debug, Clone, PartialEq)]
pub enum Strength {
    /// It holds enough.
    Enough(Sum),
    /// It is below the floor: it must not be shot.
    Below(Sum),
    /// Nothing can be said, because these are not known.
    NotChecked(Vec<Missing>),
}

impl Strength {
    /// The sum of a string below the floor.
    #[must_use]
    pub const fn below(&self) -> Option<&Sum> {
        match self {
            Self::Below(sum) => Some(sum),
            _ => None,
        }
    }
}

/// What so many strands of a yarn are worth on a bow of a draw weight. What is not known is not
/// guessed. Method T14.
#[must_use]
pub fn strength(yarn: Yarn, strands: Option<u32>, draw: Option<DrawWeight>, rules: &Rules) -> Strength {
    match (draw, strands, rules.strand_strength(yarn)) {
        (Some(draw), Some(strands), Some(strand)) => {
            let sum = Sum { strands, yarn, strand, draw: draw.pounds() };
            if sum.is_below() { Strength::Below(sum) } else { Strength::Enough(sum) }
        }
        (draw, strands, strand) => Strength::NotChecked(
            [
                (draw.is_none(), Missing::DrawWeight),
                (strands.is_none(), Missing::Strands),
                (strand.is_none(), Missing::Yarn),
            ]
            .into_iter()
            .filter_map(|(is_missing, what)| is_missing.then_some(what))
            .collect(),
        ),
    }
}

/// The strength of a string on its bow. Method T14.
#[must_use]
pub fn strength_of(string: &SoldString, bow: &BowProfile, rules: &Rules) -> Strength {
    strength(string.yarn, string.strands, bow.draw_weight, rules)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_known_is_named_and_not_guessed() {
        let rules = Rules::default();
        let weight = DrawWeight::new(40.0, None);
        assert_eq!(
            strength(Yarn::Unknown, None, None, &rules),
            Strength::NotChecked(vec![Missing::DrawWeight, Missing::Strands, Missing::Yarn])
        );
        assert_eq!(strength(Yarn::Linen, None, weight, &rules), Strength::NotChecked(vec![Missing::Strands]));
    }

    #[test]
    fn the_sum_is_told_and_just_enough_is_enough() {
        let rules = Rules::default();
        let of = |strands, draw| strength(Yarn::Linen, Some(strands), DrawWeight::new(draw, None), &rules);
        assert_eq!(
            of(6, 70.0).below().unwrap().to_string(),
            "6 strands of linen at 6 lb each hold 36 lb; 4 times the draw weight of 70 lb is 280 lb"
        );
        assert!(of(20, 30.0).below().is_none() && of(19, 30.0).below().is_some());
    }
}
