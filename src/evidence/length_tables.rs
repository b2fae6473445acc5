//! The likelihood of every mean and spread of the length error, from tables.
//!
//! Errors, offsets and the means of the grid all lie on one raster of 1/64 in. So every chance
//! hangs on a spread and on the distance between two points of that raster alone: it is worked
//! out once for each such pair, and all routes and months look it up.

use std::collections::{BTreeMap, BTreeSet};

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

/// A figure for every spread and every distance between two points of the raster, up to a reach.
/// Distances that lie a step of the grid apart stand beside each other, so that the figures of all
/// means of a spread are one stretch.
#[derive(Debug, Clone, Default)]
struct Table {
    /// Distances run from minus this to plus this.
    reach: i64,
    /// Means of the grid lie this far apart.
    step: i64,
    /// Distances of one remainder by the step.
    stretch: usize,
    figures: Vec<f64>,
}

impl Table {
    /// Of what hangs on a distance, inches, and a spread.
    fn of(reach: i64, grid: &LengthGrid, spreads: &[f64], figure: impl Fn(f64, f64) -> f64) -> Self {
        let step = i64::from(grid.step_64ths);
        let stretch = usize::try_from(2 * reach / step + 1).unwrap_or(1);
        let mut figures = Vec::with_capacity(spreads.len() * stretch * grid.step_64ths as usize);
        for spread in spreads {
            for first in -reach..step - reach {
                let distances = (0..stretch as i64).map(|place| first + step * place);
                figures.extend(distances.map(|distance| figure(distance as f64 / RASTER, *spread)));
            }
        }
        Self { reach, step, stretch, figures }
    }

    /// Of what hangs on each figure.
    fn map(&self, of: impl Fn(f64) -> f64) -> Self {
        Self { figures: self.figures.iter().map(|figure| of(*figure)).collect(), ..*self }
    }

    /// Of what hangs on each figure and the one at the same place of another table.
    fn with(&self, other: &Self, of: impl Fn(f64, f64) -> f64) -> Self {
        let figures = self.figures.iter().zip(&other.figures);
        Self { figures: figures.map(|(own, other)| of(*own, *other)).collect(), ..*self }
    }

    /// The figures of one spread, from the lowest mean of the grid on, when its middle is moved by so
    /// many steps of the raster.
    fn row(&self, grid: &LengthGrid, spread: usize, moved: i64) -> &[f64] {
        let lowest = -i64::from(grid.mean_steps) * self.step;
        let room = 2 * (self.reach + lowest);
        let from = (lowest - moved + self.reach).clamp(0, room.max(0));
        let place = |number: i64| usize::try_from(number).unwrap_or(0);
        let start = (spread * place(self.step) + place(from % self.step)) * self.stretch;
        let start = start + place(from / self.step);
        &self.figures[start..start + grid.means()]
    }
}

/// Chances and their logarithms on a grid, by spread and by distance on the raster.
#[derive(Debug, Clone)]
pub struct LengthTables {
    pub(super) grid: LengthGrid,
    pub(super) spreads: Vec<f64>,
    pub(super) model: LengthModel,
    short: Table,
    long: Table,
    ln_short: Table,
    ln_long: Table,
    ln_inside: Table,
    ln_cell: Table,
    ln_reading: Table,
    ln_answer: Table,
    ln_silence: BTreeMap<u32, Table>,
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
        let (mut shift, mut error) = (0, 0);
        let (mut levels, mut readings, mut answers) = (BTreeSet::new(), false, false);
        for block in observations.into_iter().flat_map(|seen| &seen.blocks) {
            readings |= !block.readings.is_empty();
            answers |= block.answers > 0;
            shift = shift.max(block.shift.abs());
            let errors = block.errors.keys().chain(block.readings.keys());
            error = errors.map(|error| block.shift.abs() + error.abs()).fold(error, i64::max);
            levels.extend(block.quiet().map(|(level, _)| level));
        }
        let spreads: Vec<f64> =
            even(low.ln(), high.ln(), grid.spread_values).into_iter().map(f64::exp).collect();
        let (near, far) = ((edge + shift).min(FARTHEST), (edge + shift.max(error)).min(FARTHEST));
        let (play, half_cell) = (model.play, 0.5 * model.rounding_inch);
        let one_way = 0.5 * model.nagging_share;
        // A length that has nothing to do with the string lies anywhere on the grid.
        let anywhere = one_way * model.rounding_inch / (2.0 * NAGGING_REACH_INCH);
        let cell = |mean: f64, spread: f64| {
            ln_plus(ln_normal_between((-half_cell - mean) / spread, (half_cell - mean) / spread), anywhere)
        };
        let low = |mean: f64, spread: f64| (-play.too_long_inch() - mean) / spread;
        let high = |mean: f64, spread: f64| (play.too_short_inch() - mean) / spread;
        let table = |reach: i64, figure: &dyn Fn(f64, f64) -> f64| Table::of(reach, grid, &spreads, figure);
        let ln_long = table(near, &|mean, spread| ln_normal_cdf(low(mean, spread)));
        let ln_short = table(near, &|mean, spread| ln_normal_cdf(-high(mean, spread)));
        let ln_inside = table(near, &|mean, spread| ln_normal_between(low(mean, spread), high(mean, spread)));
        let (long, short) = (ln_long.map(f64::exp), ln_short.map(f64::exp));
        let outside = short.with(&long, |short, long| (short + long).min(1.0));
        // Who answers: the chance of a reading, given that there was an answer.
        let more = model.answer_odds - 1.0;
        let silence = |level: u32| {
            let told = model.told_share * shown_at(level);
            let nagging = model.nagging_share;
            if nagging > 0.0 {
                outside.map(|outside| (1.0 - told * (outside + nagging).min(1.0)).max(f64::MIN_POSITIVE).ln())
            } else {
                outside.with(&ln_inside, |outside, ln_inside| ln_silence(told, outside, ln_inside))
            }
        };
        Ok(Self {
            grid: *grid,
            model: *model,
            ln_cell: table(far, &cell),
            ln_reading: if readings {
                table(far, &|mean, spread| cell(mean, spread.hypot(READING_SD_INCH)))
            } else {
                Table::default()
            },
            ln_answer: if answers {
                outside.map(|outside| -(more * outside).ln_1p())
            } else {
                Table::default()
            },
            ln_silence: levels.into_iter().map(|level| (level, silence(level))).collect(),
            ln_short: ln_short.map(|ln| ln_plus(ln, WORD_ONLY * one_way)),
            ln_long: ln_long.map(|ln| ln_plus(ln, WORD_ONLY * one_way)),
            short,
            long,
            ln_inside,
            spreads,
        })
    }

    /// Grid points: every mean of the first spread, then of the next.
    pub(super) fn points(&self) -> usize {
        self.spreads.len() * self.grid.means()
    }

    /// Chances that a string is too short and too long, for each mean of a spread, once lengths are
    /// changed by so many inches.
    pub(super) fn beyond(&self, spread: usize, change_inch: f64) -> impl Iterator<Item = (f64, f64)> {
        let moved = (change_inch * RASTER).round() as i64;
        let (short, long) =
            (self.short.row(&self.grid, spread, moved), self.long.row(&self.grid, spread, moved));
        short.iter().copied().zip(long.iter().copied())
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
                    for (sum, ln) in sums.iter_mut().zip(table.row(&self.grid, spread, moved)) {
                        *sum += weight * ln;
                    }
                }
            }
        }
        sums
    }

    fn factors<'a>(&'a self, block: &'a Block) -> impl Iterator<Item = (&'a Table, i64, f64)> {
        let counted = [
            (&self.ln_short, block.too_short),
            (&self.ln_long, block.too_long),
            (&self.ln_inside, block.fits),
            (&self.ln_answer, block.answers),
        ];
        let lengths = |table: &'a Table, errors: &'a BTreeMap<i64, u32>| {
            // The own mean of these strings lies lower by their shift, and their error with it.
            errors.iter().map(move |(error, n)| (table, block.shift + error, f64::from(*n)))
        };
        let quiet = block.quiet().filter_map(|(level, n)| Some((self.ln_silence.get(&level)?, n)));
        counted
            .into_iter()
            .filter(|(_, n)| *n > 0)
            .map(|(table, n)| (table, block.shift, f64::from(n)))
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
