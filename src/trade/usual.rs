//! The turns that the workshop usually puts in, from the strings whose turns are on record.
//! Methods V28, V29.

use serde::{Deserialize, Serialize};

use super::rules::Rules;
use crate::mechanics::twist::{Construction, TurnWindow, TurnsKnown, TwistBody, turns_sd, usual_turns};

/// Strings of a yarn as which the table counts against the recorded ones (judgement, no source: four
/// strings in a row tell a habit). Method V28.
const TABLE_COUNTS: f64 = 4.0;

/// Strings of a make as which its yarn counts (judgement, no source: makes of one yarn differ less
/// than a workshop differs from the table). Method V28.
const YARN_COUNTS: f64 = 8.0;

/// Standard deviation of the ln of turns within a make that is expected before any is recorded
/// (judgement, no source). Method V29.
const SPREAD: f64 = 0.25;

/// Median distance of a normal distribution from its middle, in standard deviations (the 3/4 point
/// of the normal distribution; Rousseeuw, Croux, J. Am. Stat. Assoc. 88 (1993) 1273).
const MEDIAN_DISTANCE: f64 = 0.6745;

/// A string whose turns are on record, against the table.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Recorded {
    construction: Construction,
    /// ln of its turns over those of the table.
    log_ratio: f64,
}

/// Where the usual turns of a string come from.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "from", rename_all = "kebab-case")]
pub enum UsualFrom {
    /// The workshop has set them.
    Setting,
    /// The table alone.
    Table,
    /// Strings on record, shrunk to the table.
    Recorded {
        /// Of this yarn, strands and plies.
        of_make: u32,
        /// Of this yarn.
        of_yarn: u32,
        /// Turns an inch of body.
        per_inch: f64,
    },
}

/// The usual turns of a string, before they are held to its window.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Usual {
    /// Full turns.
    pub turns: f64,
    /// Their standard deviation, for a string whose turns are not on record.
    pub sd: f64,
    /// Where they come from.
    pub from: UsualFrom,
}

/// Turns of the table for a construction and length, with the length that takes them, inches.
fn of_table(construction: Construction, length: f64, rules: &Rules) -> Option<(f64, f64)> {
    let body = TwistBody::from_build(construction, length)?;
    let (low, high) = rules.window_degrees;
    let turns = usual_turns(&body, TurnWindow::from_helix(&body, low, high), rules.let_out);
    Some((f64::from(turns).max(1.0), body.twistable_length))
}

impl Recorded {
    /// A string of a construction and loaded length (inches) that left with so many turns; none
    /// where it can tell nothing.
    #[must_use]
    pub fn of(construction: Construction, length: f64, turns: f64, rules: &Rules) -> Option<Self> {
        let (table, _) = of_table(construction, length, rules)?;
        (turns >= 1.0).then(|| Self { construction, log_ratio: (turns / table).ln() })
    }
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let (below, above) = (values.len().checked_sub(1)? / 2, values.len() / 2);
    Some((values.get(below)? + values.get(above)?) / 2.0)
}

/// The usual turns of a construction and loaded length (inches), by what is set, else by the strings
/// on record, else by the table.
///
/// With r = ln(turns on record / turns of the table): the yarn's figure is
/// y = n_y·median(r of the yarn) / (n_y + 4), the make's m = (n_m·median(r of the make) + 8·y) /
/// (n_m + 8), the turns those of the table times exp(m). Medians, so that one typing error moves
/// nothing. The spread is (n_m·s² + 8·0.25²) / (n_m + 8) with s = median|r - m| / 0.6745 over the
/// make, and never more than that of a guess (M13). Valid for makes that the table knows; all counts
/// are judgement, no source. Methods V28, V29.
#[must_use]
pub fn usual(
    construction: Construction,
    body: &TwistBody,
    length: f64,
    rules: &Rules,
    recorded: &[Recorded],
) -> Option<Usual> {
    let guess = |turns: f64, from| Usual { turns, sd: turns_sd(TurnsKnown::Guessed, turns), from };
    if let Some(per_inch) = rules.turns_per_inch(construction) {
        return Some(guess(per_inch * body.twistable_length, UsualFrom::Setting));
    }
    let of_yarn: Vec<&Recorded> =
        recorded.iter().filter(|string| string.construction.yarn == construction.yarn).collect();
    // What the table says of this very body may rest on a bench test.
    let Some(of_all) = median(of_yarn.iter().map(|string| string.log_ratio).collect()) else {
        let (low, high) = rules.window_degrees;
        let turns = usual_turns(body, TurnWindow::from_helix(body, low, high), rules.let_out);
        return Some(guess(f64::from(turns), UsualFrom::Table));
    };
    let of_make: Vec<f64> = of_yarn
        .iter()
        .filter(|string| string.construction == construction)
        .map(|string| string.log_ratio)
        .collect();
    let (n_yarn, n_make) = (of_yarn.len() as f64, of_make.len() as f64);
    let yarn = n_yarn * of_all / (n_yarn + TABLE_COUNTS);
    let make = median(of_make.clone())
        .map_or(yarn, |own| (n_make * own + YARN_COUNTS * yarn) / (n_make + YARN_COUNTS));
    let off = median(of_make.iter().map(|ratio| (ratio - make).abs()).collect()).unwrap_or_default();
    let spread = (off / MEDIAN_DISTANCE).powi(2);
    let spread = (n_make * spread + YARN_COUNTS * SPREAD * SPREAD) / (n_make + YARN_COUNTS);
    let (table, twistable) = of_table(construction, length, rules)?;
    let turns = table * make.exp();
    let from = UsualFrom::Recorded {
        of_make: of_make.len() as u32,
        of_yarn: of_yarn.len() as u32,
        per_inch: turns / twistable,
    };
    let sd = (turns * spread.sqrt()).min(turns_sd(TurnsKnown::Guessed, turns)).max(1.0);
    Some(Usual { turns, sd, from })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::mechanics::twist::Yarn;

    const MAKE: Construction = Construction { yarn: Yarn::Hmpe, strands: 16, plies: 2 };

    fn of(recorded: &[Recorded], construction: Construction) -> Usual {
        let body = TwistBody::from_build(construction, 58.0).unwrap();
        usual(construction, &body, 58.0, &Rules::default(), recorded).unwrap()
    }

    fn strings(count: usize, times: f64) -> Vec<Recorded> {
        let (table, _) = of_table(MAKE, 58.0, &Rules::default()).unwrap();
        vec![Recorded::of(MAKE, 58.0, table * times, &Rules::default()).unwrap(); count]
    }

    /// V28: by hand: 20 strings at 0.7 of the table: y = 20·ln 0.7/24 = -0.297, m = (20·ln 0.7 + 8·y)/28
    /// = -0.340, so 0.712 of the table; one string: y = ln 0.7/5, m = (ln 0.7 + 8·y)/9 = -0.103.
    #[test]
    fn usual_turns_go_from_the_table_to_what_is_recorded_as_strings_come_in() {
        let table = of(&[], MAKE);
        assert_eq!(table.from, UsualFrom::Table);
        let ratio = |recorded: &[Recorded], make| of(recorded, make).turns / of(&[], make).turns;
        assert!((ratio(&strings(20, 0.7), MAKE) - 0.712).abs() < 0.002);
        assert!((ratio(&strings(1, 0.7), MAKE) - 0.902).abs() < 0.002);
        // Another make of the yarn learns through the yarn: exp(-0.297); another yarn learns nothing.
        let other = Construction { strands: 14, ..MAKE };
        assert!((ratio(&strings(20, 0.7), other) - 0.743).abs() < 0.002);
        let linen = Construction { yarn: Yarn::Linen, ..MAKE };
        assert_eq!(of(&strings(20, 0.7), linen).from, UsualFrom::Table);
        // One typing error moves nothing.
        let with_error = [strings(20, 0.7), strings(1, 7.0)].concat();
        assert!((ratio(&with_error, MAKE) - 0.712).abs() < 0.01);
    }

    /// V29: what is recorded alike narrows the doubt of a string that is not; what is recorded
    /// widely never doubts more than a guess does.
    #[test]
    fn the_doubt_of_usual_turns_is_that_of_the_strings_on_record() {
        assert!(of(&strings(200, 0.7), MAKE).sd < 0.3 * of(&[], MAKE).sd);
        let wide: Vec<Recorded> = (1..40).flat_map(|n| strings(1, f64::from(n) / 8.0)).collect();
        assert!(of(&wide, MAKE).sd <= of(&[], MAKE).sd);
    }

    #[test]
    fn what_the_workshop_set_comes_before_what_is_recorded() {
        let set = Rules::from_values([("build.turns-per-inch".to_owned(), "0.4".to_owned())].into());
        let body = TwistBody::from_build(MAKE, 58.0).unwrap();
        let found = usual(MAKE, &body, 58.0, &set, &strings(20, 0.7)).unwrap();
        assert_eq!(found.from, UsualFrom::Setting);
        assert!((found.turns - 0.4 * body.twistable_length).abs() < 1e-9);
    }
}
