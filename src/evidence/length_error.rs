//! What is known of each string's length error, and how likely that is.
//!
//! Only strings outside the play come back, so the mean of the complaints is no estimate of the
//! error; quiet strings say that theirs was probably within the play, and enter the likelihood as
//! that.

use std::collections::BTreeMap;

use super::EvidenceError;
use super::summary::{Summary, summary};
use crate::numeric::{
    OutOfRange, finite, inner_share, ln_normal_between, ln_normal_cdf, normal_cdf, not_negative, positive,
    require, share,
};

/// Right lengths are written down to this, inches.
pub const ROUNDING_INCH: f64 = 0.125;
/// Lengths are grouped on this fine a raster, so that the work does not grow with their number.
const RASTER: f64 = 64.0;
/// No offset or error can be larger than this; anything beyond is a slip of the pen.
const LARGEST_INCH: f64 = 1000.0;
/// Bins of quiet strings by ripeness: at most so many in all for a single offset, and at least the
/// second figure for each of several.
const QUIET_BINS: (usize, usize) = (50, 20);

/// The range of length errors that an archer lives with or twists away.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Play {
    too_long_inch: f64,
    too_short_inch: f64,
}

impl Play {
    /// From `too_long_inch` too long to `too_short_inch` too short, both counted upwards from 0.
    ///
    /// # Errors
    /// When a value is not finite or below zero, or both are zero.
    pub fn new(too_long_inch: f64, too_short_inch: f64) -> Result<Self, EvidenceError> {
        let play = Self {
            too_long_inch: not_negative("play too long", too_long_inch)?,
            too_short_inch: not_negative("play too short", too_short_inch)?,
        };
        positive("play", play.width_inch())?;
        Ok(play)
    }

    /// How much too long a string may be.
    #[must_use]
    pub fn too_long_inch(&self) -> f64 {
        self.too_long_inch
    }

    /// How much too short a string may be.
    #[must_use]
    pub fn too_short_inch(&self) -> f64 {
        self.too_short_inch
    }

    /// Both sides together.
    #[must_use]
    pub fn width_inch(&self) -> f64 {
        self.too_long_inch + self.too_short_inch
    }

    /// Chances that an error is beyond the play: too short, too long.
    pub(super) fn chances_beyond(&self, mean: f64, spread: f64) -> (f64, f64) {
        (normal_cdf((mean - self.too_short_inch) / spread), normal_cdf((-self.too_long_inch - mean) / spread))
    }
}

impl Default for Play {
    /// A laid string can be shortened by far more than it can be lengthened.
    fn default() -> Self {
        Self { too_long_inch: 0.75, too_short_inch: 0.25 }
    }
}

/// What is known of one string.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Known {
    /// Reported, and the right length was found: right minus ordered length, inches.
    RightLength {
        /// Above zero: the string was too short.
        error_inch: f64,
    },
    /// Reported as too short, by an unknown amount.
    TooShort,
    /// Reported as too long, by an unknown amount.
    TooLong,
    /// Reported, but found to fit.
    Fits,
    /// No report so far.
    Quiet {
        /// Share of all complaints that would be in at its age.
        ripeness: f64,
    },
    /// Quiet, its archer was asked, and it fits.
    AskedFits,
    /// Quiet, its archer was asked, and it is too short.
    AskedTooShort {
        /// Share of all complaints that would be in at its age.
        ripeness: f64,
    },
    /// Quiet, its archer was asked, and it is too long.
    AskedTooLong {
        /// Share of all complaints that would be in at its age.
        ripeness: f64,
    },
}

/// One string with the offset it was cut by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StringEvidence {
    /// What was added to the starting measure to get the ordered length, inches: "marked minus 4"
    /// is -4. Routes without an offset have 0.
    pub offset_inch: f64,
    /// What is known.
    pub known: Known,
}

/// Play and rounding: what turns an error into an observation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LengthModel {
    /// The range that is not a misfit.
    pub play: Play,
    /// Right lengths are recorded to this, inches.
    pub rounding_inch: f64,
}

impl Default for LengthModel {
    fn default() -> Self {
        Self { play: Play::default(), rounding_inch: ROUNDING_INCH }
    }
}

impl LengthModel {
    /// Refuses a rounding of nothing, for which the likelihood has no bound.
    pub(super) fn checked(&self) -> Result<&Self, EvidenceError> {
        positive("rounding of right lengths", self.rounding_inch)?;
        Ok(self)
    }
}

/// Strings of about one ripeness.
#[derive(Debug, Clone, Copy, PartialEq)]
struct RipeBin {
    count: u32,
    mean_ripeness: f64,
}

/// All strings that were cut by one offset, counted.
#[derive(Debug, Clone, PartialEq, Default)]
struct Block {
    /// Offset of these strings minus the offset in force, inches.
    shift: f64,
    /// Own error of each string whose right length is known, and how many have it.
    errors: Vec<(f64, u32)>,
    too_short: u32,
    too_long: u32,
    fits: u32,
    quiet: Vec<RipeBin>,
    asked_short: Vec<RipeBin>,
    asked_long: Vec<RipeBin>,
}

/// The strings of one route and bow kind, grouped so that the likelihood costs the same for ten
/// strings as for ten thousand.
#[derive(Debug, Clone, PartialEq)]
pub struct LengthObservations {
    blocks: Vec<Block>,
}

/// How many reports point which way.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Directions {
    /// Reported strings that were too short.
    pub short: u32,
    /// Reported strings that were too long.
    pub long: u32,
    /// Reports with a direction: right length known, too short or too long.
    pub with_direction: u32,
    /// Plain mean and spread of the known errors. Never to be shown alone: these are only the
    /// strings bad enough to come back.
    pub settled: Option<Summary>,
}

/// The tails of one block at one grid point.
struct BlockTails {
    ln_inside: f64,
    outside: f64,
}

impl LengthObservations {
    /// Groups strings by offset, error and ripeness. `present_offset_inch` is the offset in force
    /// now, to which the estimate refers.
    ///
    /// What: with d = right length minus starting measure, e = d - o (E17); errors under an older
    /// offset o are carried over by its difference to the present one, their play with them.
    /// Symbols: inches. Assumptions: d does not depend on the offset. Valid range: any number of
    /// strings; errors are grouped to 1/64 in, quiet strings into at most 50 bins of ripeness.
    /// Source: definition.
    ///
    /// # Errors
    /// When an offset or error is not finite or beyond 1000 in, or a ripeness not in 0..=1.
    pub fn group(strings: &[StringEvidence], present_offset_inch: f64) -> Result<Self, EvidenceError> {
        let present = length("offset in force", present_offset_inch)?;
        let mut by_offset = BTreeMap::<i64, Vec<Known>>::new();
        for string in strings {
            let shift = length("offset", string.offset_inch)? - present;
            by_offset.entry(raster(shift)).or_default().push(string.known);
        }
        let (all, least) = QUIET_BINS;
        let bins = (all / by_offset.len().max(1)).max(least);
        let blocks = by_offset
            .into_iter()
            .map(|(shift, known)| block(from_raster(shift), &known, bins))
            .collect::<Result<_, _>>()?;
        Ok(Self { blocks })
    }

    /// Counts of the reports by direction, and the plain mean of the settled ones (E16).
    #[must_use]
    pub fn directions(&self) -> Directions {
        let (mut short, mut long, mut with_direction) = (0, 0, 0);
        let mut settled = Vec::new();
        for block in &self.blocks {
            short += block.too_short;
            long += block.too_long;
            with_direction += block.too_short + block.too_long;
            for (error, count) in &block.errors {
                short += if *error > 0.0 { *count } else { 0 };
                long += if *error < 0.0 { *count } else { 0 };
                with_direction += count;
                settled.extend(std::iter::repeat_n(*error, *count as usize));
            }
        }
        Directions { short, long, with_direction, settled: summary(&settled) }
    }

    /// Log likelihood of mean and spread of the length error under the present offset.
    ///
    /// What: sum of ln factors (E17): right length known, the chance of its rounding cell; only a
    /// direction, the tail on that side; fits, the chance of the play; quiet, 1 - q F (1 - chance of
    /// the play); asked, the chance of the play or the tail on that side. Symbols: mean and spread
    /// in inches, q share of misfits that are told, F ripeness. Assumptions: normal errors; q is
    /// the same on both sides. Valid range: spread above 0. Factors that hold only q (see
    /// [`Self::ln_told`]) are left out: for a fixed q they change nothing. Source: Tobin 1958,
    /// Econometrica 26; Nelson 1982, Applied Life Data Analysis.
    ///
    /// # Errors
    /// When the spread or the rounding is not above zero, the mean not finite, or q not in 0..=1.
    pub fn ln_likelihood(
        &self,
        model: &LengthModel,
        mean_inch: f64,
        spread_inch: f64,
        told_share: f64,
    ) -> Result<f64, EvidenceError> {
        finite("mean length error", mean_inch)?;
        positive("spread of the length error", spread_inch)?;
        share("told share", told_share)?;
        let point = self.at(model.checked()?, mean_inch, spread_inch);
        let sum = point.without_quiet + self.ln_quiet(&point, told_share);
        Ok(finite("log likelihood", sum)?)
    }

    /// Log of the factors that hold nothing but the told share.
    ///
    /// What: ln q for each misfit that was reported, ln(1 - q F) for each that came to light only
    /// by asking (E19). Symbols: as above. Assumptions: the asked were drawn at random among the
    /// quiet. Valid range: q above 0 and below 1. These factors are what makes q learnable; without
    /// the first the estimate of q runs to its lowest value. Source: probability of the
    /// observation, confirmed by simulation.
    ///
    /// # Errors
    /// When q is not strictly between 0 and 1.
    pub fn ln_told(&self, model: &LengthModel, told_share: f64) -> Result<f64, EvidenceError> {
        inner_share("told share", told_share)?;
        let mut sum = 0.0;
        for block in &self.blocks {
            sum += f64::from(block.told_misfits(&model.play)) * told_share.ln();
            for bin in block.asked_short.iter().chain(&block.asked_long) {
                sum += f64::from(bin.count) * (-told_share * bin.mean_ripeness).ln_1p();
            }
        }
        Ok(sum)
    }

    /// Everything of the likelihood that does not hold q, and what its quiet part needs.
    pub(super) fn at(&self, model: &LengthModel, mean: f64, spread: f64) -> LikelihoodPoint {
        let (play, half_cell) = (&model.play, 0.5 * model.rounding_inch);
        let mut without_quiet = 0.0;
        let mut tails = Vec::with_capacity(self.blocks.len());
        for block in &self.blocks {
            // In terms of the own error of these strings the mean lies lower by their shift.
            let own_mean = mean - block.shift;
            let scaled = |error: f64| (error - own_mean) / spread;
            let (low, high) = (scaled(-play.too_long_inch), scaled(play.too_short_inch));
            let ln_inside = ln_normal_between(low, high);
            let (ln_long, ln_short) = (ln_normal_cdf(low), ln_normal_cdf(-high));
            let short = block.too_short + count_of(&block.asked_short);
            let long = block.too_long + count_of(&block.asked_long);
            without_quiet +=
                weighted(short, ln_short) + weighted(long, ln_long) + weighted(block.fits, ln_inside);
            for (error, count) in &block.errors {
                let cell = ln_normal_between(scaled(error - half_cell), scaled(error + half_cell));
                without_quiet += weighted(*count, cell);
            }
            tails.push(BlockTails { ln_inside, outside: (ln_long.exp() + ln_short.exp()).min(1.0) });
        }
        LikelihoodPoint { without_quiet, tails }
    }

    /// The quiet strings' part of the log likelihood at a point, for told share q.
    pub(super) fn ln_quiet(&self, point: &LikelihoodPoint, told_share: f64) -> f64 {
        let mut sum = 0.0;
        for (block, tails) in self.blocks.iter().zip(&point.tails) {
            for bin in &block.quiet {
                let told = told_share * bin.mean_ripeness;
                sum += f64::from(bin.count) * ln_silence(told, tails);
            }
        }
        sum
    }
}

/// The likelihood at one mean and spread, apart from q.
pub(super) struct LikelihoodPoint {
    pub(super) without_quiet: f64,
    tails: Vec<BlockTails>,
}

impl Block {
    /// Reports that were misfits: a direction only, or a right length at or beyond the play.
    fn told_misfits(&self, play: &Play) -> u32 {
        let beyond: u32 = self
            .errors
            .iter()
            .filter(|(error, _)| *error >= play.too_short_inch || *error <= -play.too_long_inch)
            .map(|(_, count)| count)
            .sum();
        beyond + self.too_short + self.too_long
    }
}

/// ln(1 - told x chance outside), the chance of silence.
fn ln_silence(told: f64, tails: &BlockTails) -> f64 {
    let spoken = told * tails.outside;
    if spoken < 0.5 {
        (-spoken).ln_1p()
    } else if told < 1.0 {
        // Written with the chance inside, so that nothing cancels when almost all are outside.
        (1.0 - told + told * tails.ln_inside.exp()).ln()
    } else {
        tails.ln_inside
    }
}

/// 0 x ln 0 is 0 here: no string, no evidence.
fn weighted(count: u32, ln_chance: f64) -> f64 {
    if count == 0 { 0.0 } else { f64::from(count) * ln_chance }
}

fn count_of(bins: &[RipeBin]) -> u32 {
    bins.iter().map(|bin| bin.count).sum()
}

fn length(name: &'static str, inch: f64) -> Result<f64, OutOfRange> {
    require(inch.abs() <= LARGEST_INCH, name, inch, "within 1000 in")
}

/// The nearest point of the raster. Values are checked to lie within 1000 in before.
fn raster(inch: f64) -> i64 {
    (inch * RASTER).round() as i64
}

fn from_raster(points: i64) -> f64 {
    points as f64 / RASTER
}

fn block(shift: f64, known: &[Known], bins: usize) -> Result<Block, EvidenceError> {
    let mut block = Block { shift, ..Block::default() };
    let mut errors = BTreeMap::<i64, u32>::new();
    let (mut quiet, mut asked_short, mut asked_long) = (Vec::new(), Vec::new(), Vec::new());
    for known in known {
        match known {
            Known::RightLength { error_inch } => {
                let error = raster(length("length error", *error_inch)?);
                *errors.entry(error).or_default() += 1;
            }
            Known::TooShort => block.too_short += 1,
            Known::TooLong => block.too_long += 1,
            Known::Fits | Known::AskedFits => block.fits += 1,
            Known::Quiet { ripeness } => quiet.push(share("ripeness", *ripeness)?),
            Known::AskedTooShort { ripeness } => asked_short.push(share("ripeness", *ripeness)?),
            Known::AskedTooLong { ripeness } => asked_long.push(share("ripeness", *ripeness)?),
        }
    }
    block.errors = errors.into_iter().map(|(error, count)| (from_raster(error), count)).collect();
    block.quiet = ripe_bins(quiet, bins);
    block.asked_short = ripe_bins(asked_short, bins);
    block.asked_long = ripe_bins(asked_long, bins);
    Ok(block)
}

/// At most `bins` groups of equal width, each with the mean of its own ripeness.
fn ripe_bins(mut ripeness: Vec<f64>, bins: usize) -> Vec<RipeBin> {
    // Sorted, so that the sums do not depend on the order of the strings.
    ripeness.sort_by(f64::total_cmp);
    let place = |ripe: f64| ((ripe * bins as f64) as usize).min(bins - 1);
    ripeness
        .chunk_by(|a, b| place(*a) == place(*b))
        .map(|group| RipeBin {
            count: u32::try_from(group.len()).unwrap_or(u32::MAX),
            // Rounding in the sum must not lift a mean of ones above one.
            mean_ripeness: (group.iter().sum::<f64>() / group.len() as f64).min(1.0),
        })
        .collect()
}

/// Mean error of the strings outside the play: what settled complaints average.
///
/// What: mu + sd (phi(b) - phi(a))/(1 - Phi(b) + Phi(a)) with a = (-L - mu)/sd, b = (U - mu)/sd
/// (E16). Symbols: mu, sd mean and spread in inches, L and U the play. Assumptions: normal errors,
/// all misfits told. Valid range: spread above 0; `None` when practically nothing lies outside.
/// Source: Johnson, Kotz & Balakrishnan 1994, Continuous Univariate Distributions 1.
///
/// # Errors
/// When the mean is not finite or the spread not above zero.
pub fn mean_of_complaints(
    play: &Play,
    mean_inch: f64,
    spread_inch: f64,
) -> Result<Option<f64>, EvidenceError> {
    let mean = finite("mean length error", mean_inch)?;
    let spread = positive("spread of the length error", spread_inch)?;
    let density = |x: f64| (-0.5 * x * x).exp() / (2.0 * std::f64::consts::PI).sqrt();
    let low = (-play.too_long_inch - mean) / spread;
    let high = (play.too_short_inch - mean) / spread;
    let (short, long) = play.chances_beyond(mean, spread);
    if short + long < 1e-200 {
        return Ok(None);
    }
    let shifted = mean + spread * (density(high) - density(low)) / (short + long);
    Ok(shifted.is_finite().then_some(shifted))
}

#[cfg(test)]
#[path = "length_error_tests.rs"]
mod tests;
