//! The likelihood of every mean and spread of the length error, from tables.
//!
//! Errors, offsets and the means of the grid all lie on one raster of 1/64 in. So every chance
//! hangs on a spread and on the distance between two points of that raster alone: it is worked
//! out once for each such pair, and all routes and months look it up.

use std::collections::BTreeMap;

use super::EvidenceError;
use super::length_error::{Block, LengthModel, LengthObservations, RASTER, READING_SD_INCH, shown_at};
use super::ranking::even;
use crate::numeric::{ln_normal_between, ln_normal_cdf};

/// Distances beyond this, in steps of the raster, are all alike: 16 in, longer than any bow errs.
const FARTHEST: i64 = 1024;

/// Lengths that have nothing to do with their string lie evenly within this, inches.
const NAGGING_REACH_INCH: f64 = 1.25;

/// A direction that no length was found to is wrong this many times as often as a length: before a
/// report is settled, a new string that is only settling reads low (judgement, no source).
const WORD_ONLY: f64 = 4.0;

/// The grid of mean and spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LengthGrid {
    /// Steps of the mean on each side of zero.
    pub mean_steps: u32,
    /// Size of a step, in 1/64 in.
    pub step_64ths: u32,
    /// Smallest spread, inches.
    pub spread_low_inch: f64,
    /// Largest spread, inches.
    pub spread_high_inch: f64,
    /// Values of the spread, even on the logarithm.
    pub spread_values: usize,
}

impl LengthGrid {
    /// Means from -1 1/4 to 1 1/4 in by 1/64 in, 41 spreads from 0.08 to 1 in.
    pub const FINE: Self = Self {
        mean_steps: 80,
        step_64ths: 1,
        spread_low_inch: 0.08,
        spread_high_inch: 1.0,
        spread_values: 41,
    };
    /// The same means by 1/32 in, 21 spreads: what the sheet takes. Agrees with the fine one to
    /// 1/100 in and one in a hundred.
    pub const SHEET: Self = Self { mean_steps: 40, step_64ths: 2, spread_values: 21, ..Self::FINE };
    /// Steps of 1/16 in and 11 spreads: for questions beside the estimate itself.
    pub const ROUGH: Self = Self { mean_steps: 20, step_64ths: 4, spread_values: 11, ..Self::FINE };

    fn step_inch(&self) -> f64 {
        f64::from(self.step_64ths) / RASTER
    }

    /// Number of means.
    pub(super) fn means(&self) -> usize {
        2 * self.mean_steps as usize + 1
    }

    /// The mean at a place, inches. Counted outwards from zero, so that the grid is its own mirror
    /// image.
    pub(super) fn mean_at(&self, place: usize) -> f64 {
        (place as f64 - f64::from(self.mean_steps)) * self.step_inch()
    }
}

/// Chances and their logarithms on a grid, by spread and by distance on the raster.
#[derive(Debug, Clone)]
pub struct LengthTables {
    pub(super) grid: LengthGrid,
    pub(super) spreads: Vec<f64>,
    pub(super) model: LengthModel,
    /// Distances run from minus this to plus this.
    reach: i64,
    short: Vec<f64>,
    long: Vec<f64>,
    ln_short: Vec<f64>,
    ln_long: Vec<f64>,
    ln_inside: Vec<f64>,
    ln_cell: Vec<f64>,
    ln_reading: Vec<f64>,
    ln_answer: Vec<f64>,
    ln_silence: BTreeMap<u32, Vec<f64>>,
}

impl LengthTables {
    /// Tables that hold what the likelihood of these observations asks for.
    ///
    /// # Errors
    /// When the model or the grid makes no sense.
    pub fn new<'a>(
        model: &LengthModel,
        grid: &LengthGrid,
        observations: impl IntoIterator<Item = &'a LengthObservations>,
    ) -> Result<Self, EvidenceError> {
        model.checked()?;
        let (low, high) = (grid.spread_low_inch, grid.spread_high_inch);
        let sound = grid.mean_steps > 0 && grid.step_64ths > 0 && low > 0.0 && low < high && high.is_finite();
        if !sound || grid.spread_values < 2 {
            return Err(EvidenceError::WrongCount {
                name: "grid of spreads",
                found: grid.spread_values,
                needed: 2,
            });
        }
        // A change of up to 3/4 in is looked at from every mean of the grid.
        let edge = i64::from(grid.mean_steps * grid.step_64ths) + 48;
        let (mut farthest, mut levels, mut readings, mut answers) = (0, BTreeMap::new(), false, false);
        for block in observations.into_iter().flat_map(|seen| &seen.blocks) {
            readings |= !block.readings.is_empty();
            answers |= block.answers > 0;
            let errors = block.errors.keys().chain(block.readings.keys());
            let error = errors.map(|error| error.abs()).max().unwrap_or(0);
            farthest = farthest.max(block.shift.abs() + error);
            levels.extend(block.quiet().map(|(level, _)| (level, Vec::new())));
        }
        let spreads: Vec<f64> =
            even(low.ln(), high.ln(), grid.spread_values).into_iter().map(f64::exp).collect();
        let mut tables = Self {
            grid: *grid,
            spreads,
            model: *model,
            reach: (edge + farthest).min(FARTHEST),
            short: Vec::new(),
            long: Vec::new(),
            ln_short: Vec::new(),
            ln_long: Vec::new(),
            ln_inside: Vec::new(),
            ln_cell: Vec::new(),
            ln_reading: Vec::new(),
            ln_answer: Vec::new(),
            ln_silence: levels,
        };
        tables.fill(readings, answers);
        Ok(tables)
    }

    fn fill(&mut self, readings: bool, answers: bool) {
        let (play, half_cell) = (self.model.play, 0.5 * self.model.rounding_inch);
        let one_way = 0.5 * self.model.nagging_share;
        // A length that has nothing to do with the string lies anywhere on the grid.
        let anywhere = one_way * self.model.rounding_inch / (2.0 * NAGGING_REACH_INCH);
        let cell = |mean: f64, spread: f64| {
            ln_plus(ln_normal_between((-half_cell - mean) / spread, (half_cell - mean) / spread), anywhere)
        };
        for spread in &self.spreads {
            for distance in -self.reach..=self.reach {
                let mean = distance as f64 / RASTER;
                let (low, high) =
                    ((-play.too_long_inch() - mean) / spread, (play.too_short_inch() - mean) / spread);
                let (ln_long, ln_short) = (ln_normal_cdf(low), ln_normal_cdf(-high));
                self.ln_long.push(ln_plus(ln_long, WORD_ONLY * one_way));
                self.ln_short.push(ln_plus(ln_short, WORD_ONLY * one_way));
                self.ln_inside.push(ln_normal_between(low, high));
                self.long.push(ln_long.exp());
                self.short.push(ln_short.exp());
                self.ln_cell.push(cell(mean, *spread));
                if readings {
                    self.ln_reading.push(cell(mean, spread.hypot(READING_SD_INCH)));
                }
            }
        }
        let outside: Vec<f64> = self.short.iter().zip(&self.long).map(|(s, l)| (s + l).min(1.0)).collect();
        if answers {
            // Who answers: the chance of a reading, given that there was an answer.
            let more = self.model.answer_odds - 1.0;
            self.ln_answer = outside.iter().map(|outside| -(more * outside).ln_1p()).collect();
        }
        let nagging = self.model.nagging_share;
        for (level, table) in &mut self.ln_silence {
            let told = self.model.told_share * shown_at(*level);
            *table = outside
                .iter()
                .zip(&self.ln_inside)
                .map(|(outside, ln_inside)| {
                    if nagging > 0.0 {
                        (1.0 - told * (outside + nagging).min(1.0)).max(f64::MIN_POSITIVE).ln()
                    } else {
                        ln_silence(told, *outside, *ln_inside)
                    }
                })
                .collect();
        }
    }

    /// Grid points: every mean of the first spread, then of the next.
    pub(super) fn points(&self) -> usize {
        self.spreads.len() * self.grid.means()
    }

    /// The part of a table for one spread, from the lowest mean of the grid on, when its middle is
    /// moved by so many steps of the raster.
    fn row<'a>(&self, table: &'a [f64], spread: usize, moved: i64) -> impl Iterator<Item = &'a f64> {
        let lowest = -i64::from(self.grid.mean_steps * self.grid.step_64ths);
        let width = usize::try_from(2 * self.reach + 1).unwrap_or(1);
        let room = 2 * self.reach + 2 * lowest;
        let from = (lowest - moved + self.reach).clamp(0, room.max(0));
        let start = spread * width + usize::try_from(from).unwrap_or(0);
        table[start..(spread + 1) * width]
            .iter()
            .step_by(self.grid.step_64ths as usize)
            .take(self.grid.means())
    }

    /// Chances that a string is too short and too long, for each mean of a spread, once lengths are
    /// changed by so many inches.
    pub(super) fn beyond(&self, spread: usize, change_inch: f64) -> impl Iterator<Item = (f64, f64)> {
        let moved = (change_inch * RASTER).round() as i64;
        self.row(&self.short, spread, moved)
            .zip(self.row(&self.long, spread, moved))
            .map(|(short, long)| (*short, *long))
    }

    /// Log likelihood of every mean and spread of the length error under the present offset.
    ///
    /// What: sum of ln factors (E17): right length known, the chance of its rounding cell; a reading,
    /// the same with its own doubt added to the spread; only a direction, the tail on that side; fits,
    /// the chance of the play; quiet, 1 - q F (1 - chance of the play); each answer, over 1 + (r - 1)
    /// (1 - chance of the play). To the tails and cells what is reported whatever its length is added,
    /// one string in a hundred. Symbols: mean and spread in inches, q share of misfits that are told,
    /// F share of complaints that are in, r odds of an answer. Assumptions: normal errors; q is the
    /// same on both sides. Valid range: spread above 0. Factors that hold only q (see
    /// [`LengthObservations::ln_told`]) are left out: for a fixed q they change nothing. Source: Tobin
    /// 1958, Econometrica 26; Nelson 1982, Applied Life Data Analysis.
    #[must_use]
    pub fn ln_likelihood(&self, seen: &LengthObservations) -> Vec<f64> {
        let mut sums = vec![0.0; self.points()];
        for block in &seen.blocks {
            for (table, moved, weight) in self.factors(block) {
                for (spread, sums) in sums.chunks_exact_mut(self.grid.means()).enumerate() {
                    for (sum, ln) in sums.iter_mut().zip(self.row(table, spread, moved)) {
                        *sum += weight * ln;
                    }
                }
            }
        }
        sums
    }

    fn factors<'a>(&'a self, block: &'a Block) -> impl Iterator<Item = (&'a [f64], i64, f64)> {
        let counted = [
            (&self.ln_short, block.too_short),
            (&self.ln_long, block.too_long),
            (&self.ln_inside, block.fits),
            (&self.ln_answer, block.answers),
        ];
        let lengths = |table: &'a [f64], errors: &'a BTreeMap<i64, u32>| {
            // The own mean of these strings lies lower by their shift, and their error with it.
            errors.iter().map(move |(error, n)| (table, block.shift + error, f64::from(*n)))
        };
        let quiet = block.quiet().filter_map(|(level, n)| Some((self.ln_silence.get(&level)?.as_slice(), n)));
        counted
            .into_iter()
            .filter(|(_, n)| *n > 0)
            .map(|(table, n)| (table.as_slice(), block.shift, f64::from(n)))
            .chain(lengths(&self.ln_cell, &block.errors))
            .chain(lengths(&self.ln_reading, &block.readings))
            .chain(quiet.map(|(table, n)| (table, block.shift, n)))
    }
}

/// ln(a + b) from ln(a) and b.
fn ln_plus(ln_a: f64, b: f64) -> f64 {
    if b > 0.0 { (ln_a.exp() + b).ln() } else { ln_a }
}

/// ln(1 - told x chance outside), the chance of silence.
fn ln_silence(told: f64, outside: f64, ln_inside: f64) -> f64 {
    let spoken = told * outside;
    if spoken < 0.5 {
        (-spoken).ln_1p()
    } else if told < 1.0 {
        // Written with the chance inside, so that nothing cancels when almost all are outside.
        (1.0 - told + told * ln_inside.exp()).ln()
    } else {
        ln_inside
    }
}
