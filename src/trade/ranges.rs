//! Which brace range is wanted, and where it comes from.

use serde::{Deserialize, Serialize};

use super::records::BowProfile;
use super::rules::Rules;
use super::words::WantSource;
use crate::mechanics::bow::BowKind;
use crate::quantity::LengthRange;

/// A wanted range with its source, inches.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Wanted {
    /// Lower end.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Where it comes from.
    pub source: WantSource,
    /// True where the archer's wish lies outside the bow maker's range and was set aside.
    pub wish_set_aside: bool,
}

impl Wanted {
    /// Middle of the range.
    #[must_use]
    pub fn middle(&self) -> f64 {
        0.5 * (self.low + self.high)
    }

    /// True if a brace height lies in the range; a reading's last digit decides nothing.
    #[must_use]
    pub fn contains(&self, brace: f64) -> bool {
        brace >= self.low - 1e-9 && brace <= self.high + 1e-9
    }

    /// By how much a brace height lies outside, inches; 0 inside.
    #[must_use]
    pub fn distance(&self, brace: f64) -> f64 {
        (self.low - brace).max(brace - self.high).max(0.0)
    }
}

/// Half of the range that one wished value stands for, inches (judgement, no source). Method V06.
pub const SINGLE_VALUE_HALF_WIDTH: f64 = 0.125;

/// A range as it is judged by: a single value stands for itself ± 1/8 in, and nothing is
/// judged by less, since nobody reads or turns more finely. Method V06.
#[must_use]
pub fn widened(range: LengthRange) -> (f64, f64) {
    at_least_a_quarter(range.low().inches(), range.high().inches())
}

fn at_least_a_quarter(low: f64, high: f64) -> (f64, f64) {
    if high - low < 2.0 * SINGLE_VALUE_HALF_WIDTH {
        let middle = 0.5 * (low + high);
        (middle - SINGLE_VALUE_HALF_WIDTH, middle + SINGLE_VALUE_HALF_WIDTH)
    } else {
        (low, high)
    }
}

/// Key of the brace table for a bow, if the table has one. Method T08.
#[must_use]
pub fn table_key(kind: BowKind, marked_length: Option<f64>) -> Option<String> {
    match kind {
        BowKind::Recurve | BowKind::LongRiser => {
            let marked = marked_length?;
            let row = match marked {
                m if (57.0..61.0).contains(&m) => "58-60",
                m if (61.0..65.0).contains(&m) => "62-64",
                m if (65.0..69.0).contains(&m) => "66-68",
                m if (69.0..=73.0).contains(&m) => "70-72",
                _ => return None,
            };
            Some(format!("{kind}.{row}"))
        }
        BowKind::Longbow | BowKind::ReflexDeflex | BowKind::Selfbow => Some(kind.to_string()),
        BowKind::Horsebow | BowKind::Unknown => None,
    }
}

/// The wanted range: the bow maker's, else the archer's wish (inside the maker's where both
/// are known), else the table. Method V06.
#[must_use]
pub fn wanted(
    bow: &BowProfile,
    wish: Option<LengthRange>,
    marked_length: Option<f64>,
    rules: &Rules,
) -> Option<Wanted> {
    match (bow.brace_range.map(widened), wish.map(widened)) {
        (Some((low, high)), None) => {
            Some(Wanted { low, high, source: WantSource::BowMaker, wish_set_aside: false })
        }
        (Some((low, high)), Some((wish_low, wish_high))) => {
            let (inner_low, inner_high) = (low.max(wish_low), high.min(wish_high));
            if inner_low < inner_high {
                // What is left of a wish at the edge is judged by a quarter inch inside the maker's range.
                let (inner_low, inner_high) = at_least_a_quarter(inner_low, inner_high);
                let shift = (low - inner_low).max(0.0) - (inner_high - high).max(0.0);
                let (inner_low, inner_high) = (inner_low + shift, inner_high + shift);
                // A wish that holds the whole of the maker's range adds nothing to it.
                let narrowed = inner_low > low || inner_high < high;
                let source = if narrowed { WantSource::Archer } else { WantSource::BowMaker };
                Some(Wanted { low: inner_low, high: inner_high, source, wish_set_aside: false })
            } else {
                Some(Wanted { low, high, source: WantSource::BowMaker, wish_set_aside: true })
            }
        }
        (None, Some((low, high))) => {
            Some(Wanted { low, high, source: WantSource::Archer, wish_set_aside: false })
        }
        (None, None) => {
            let (low, high) = rules.brace_range(&table_key(bow.kind, marked_length)?)?;
            Some(Wanted { low, high, source: WantSource::Table, wish_set_aside: false })
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Length;

    fn range(low: f64, high: f64) -> LengthRange {
        LengthRange::new(Length::try_from_inches(low).unwrap(), Length::try_from_inches(high).unwrap())
            .unwrap()
    }

    fn recurve(maker: Option<LengthRange>) -> BowProfile {
        BowProfile { kind: BowKind::Recurve, brace_range: maker, ..BowProfile::default() }
    }

    #[test]
    fn the_makers_range_comes_first_then_the_wish_then_the_table() {
        let rules = Rules::default();
        let maker = Some(range(7.5, 8.25));
        let both = wanted(&recurve(maker), Some(range(7.75, 8.5)), Some(62.0), &rules).unwrap();
        assert_eq!((both.low, both.high, both.source), (7.75, 8.25, WantSource::Archer));
        let aside = wanted(&recurve(maker), Some(range(9.0, 9.5)), Some(62.0), &rules).unwrap();
        assert!(aside.wish_set_aside && aside.source == WantSource::BowMaker);
        let table = wanted(&recurve(None), None, Some(64.0), &rules).unwrap();
        assert_eq!((table.low, table.high, table.source), (7.5, 8.5, WantSource::Table));
        assert_eq!(wanted(&BowProfile::default(), None, Some(64.0), &rules), None);
    }

    #[test]
    fn the_recurve_table_is_that_of_the_trade_association_guide() {
        // Trade association consumer guide "How to adjust brace height", 2020.
        for (marked, low, high) in [
            (62.0, 7.5, 8.5),
            (64.0, 7.5, 8.5),
            (66.0, 8.0, 9.0),
            (68.0, 8.0, 9.0),
            (70.0, 8.75, 9.5),
            (72.0, 8.75, 9.5),
        ] {
            let key = table_key(BowKind::Recurve, Some(marked)).unwrap();
            assert_eq!(Rules::default().brace_range(&key), Some((low, high)));
        }
    }
}
