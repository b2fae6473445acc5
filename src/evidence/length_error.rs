//! What is known of each string's length error, month of delivery by month.
//!
//! Only strings outside the play come back, so the mean of the complaints is no estimate of the
//! error; quiet strings say that theirs was probably within the play, and count as that.

use std::collections::BTreeMap;

use super::EvidenceError;
use super::summary::{Summary, summary};
use crate::numeric::{OutOfRange, not_negative, positive, require, share};

/// Right lengths are written down to this, inches.
pub const ROUNDING_INCH: f64 = 0.125;
/// What an archer's answer may be off by, inches of string: a brace height read to 1/8 in and the
/// doubt of how much of it an inch of string is (judgement, no source).
pub const READING_SD_INCH: f64 = 0.10;
/// Lengths are counted on this fine a raster, so that the work does not grow with their number.
pub(super) const RASTER: f64 = 64.0;
/// No offset or error can be larger than this; anything beyond is a slip of the pen.
const LARGEST_INCH: f64 = 1000.0;
/// Levels between "none of its complaints can have come" and "all of them", to which quiet strings
/// are shared out. Between two levels the logarithm of the chance of silence is taken as straight,
/// which is off by under 1e-5 for a string that is outside the play one time in five.
pub(super) const LEVELS: u32 = 64;
/// A quiet string is shared out between two levels in parts of this, so that sums of whole numbers
/// decide and never the order of the strings.
const PARTS: u64 = 1 << 20;

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

    /// Whether an error is more than the archer lives with.
    #[must_use]
    pub fn is_beyond(&self, error_inch: f64) -> bool {
        error_inch > self.too_short_inch || error_inch < -self.too_long_inch
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
        shown: f64,
    },
    /// Not reported, but its archer was asked or sent a card back, and says that it fits.
    AnsweredFits,
    /// Not reported, but its archer was asked or sent a card back, and gave a reading.
    Answered {
        /// Right minus ordered length by the reading, inches.
        error_inch: f64,
        /// Share of all complaints that would be in at its age.
        shown: f64,
    },
}

/// Alike strings with the offset they were cut by.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StringEvidence {
    /// What was added to the starting measure to get the ordered length, inches: "marked minus 4"
    /// is -4. Routes without an offset have 0.
    pub offset_inch: f64,
    /// What is known.
    pub known: Known,
    /// How many strings.
    pub count: u32,
}

/// Play and rounding: what turns an error into an observation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LengthModel {
    /// The range that is not a misfit.
    pub play: Play,
    /// Right lengths are recorded to this, inches.
    pub rounding_inch: f64,
    /// Share of misfits that are ever reported.
    pub told_share: f64,
    /// Odds of an archer with a misfit to answer a question, against one whose string fits.
    pub answer_odds: f64,
    /// Share of strings that are reported whatever their length, half of them each way: somebody
    /// nags, mistook one thing for another, or a slip of the pen stands in the book. Without it a
    /// single report that contradicts fifty others would be believed over them.
    pub nagging_share: f64,
}

/// One string in a hundred (judgement, no source).
const NAGGING_SHARE: f64 = 0.01;

impl Default for LengthModel {
    fn default() -> Self {
        Self {
            play: Play::default(),
            rounding_inch: ROUNDING_INCH,
            told_share: 0.9,
            answer_odds: 1.0,
            nagging_share: NAGGING_SHARE,
        }
    }
}

impl LengthModel {
    /// Refuses a rounding of nothing, for which the likelihood has no bound.
    pub(super) fn checked(&self) -> Result<&Self, EvidenceError> {
        positive("rounding of right lengths", self.rounding_inch)?;
        share("told share", self.told_share)?;
        positive("odds of an answer", self.answer_odds)?;
        share("share of nagging reports", self.nagging_share)?;
        Ok(self)
    }
}

/// Alike strings that were cut by one offset, counted.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Block {
    /// Offset of these strings minus the offset in force, in steps of the raster.
    pub(super) shift: i64,
    /// Own error of each string whose right length is known, on the raster, and how many have it.
    pub(super) errors: BTreeMap<i64, u32>,
    /// The same of readings that archers gave.
    pub(super) readings: BTreeMap<i64, u32>,
    strings: u32,
    pub(super) too_short: u32,
    pub(super) too_long: u32,
    pub(super) fits: u32,
    /// Answers of either kind.
    pub(super) answers: u32,
    /// Parts of quiet strings by level of how much of their complaints would be in.
    quiet: BTreeMap<u32, u64>,
    /// Misfits found by asking, by the same levels.
    found: BTreeMap<u32, u64>,
}

/// The strings of one route and bow kind, of one month or of several, grouped so that the
/// likelihood costs the same for ten strings as for ten thousand.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct LengthObservations {
    pub(super) blocks: Vec<Block>,
    strings: u32,
    told: u32,
}

/// How many reports point which way.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
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

impl LengthObservations {
    /// Groups strings by offset, error and how much they have shown. `present_offset_inch` is the
    /// offset in force now, to which the estimate refers.
    ///
    /// What: with d = right length minus starting measure, e = d - o (E17); errors under an older
    /// offset o are carried over by its difference to the present one, their play with them.
    /// Symbols: inches. Assumptions: d does not depend on the offset. Valid range: any number of
    /// strings; errors are grouped to 1/64 in, quiet strings to 65 levels. Source: definition.
    ///
    /// # Errors
    /// When an offset or error is not finite or beyond 1000 in, or a share not in 0..=1.
    pub fn group(
        strings: &[StringEvidence],
        present_offset_inch: f64,
        play: &Play,
    ) -> Result<Self, EvidenceError> {
        let present = length("offset in force", present_offset_inch)?;
        let mut blocks = BTreeMap::<i64, Block>::new();
        let (mut all, mut told) = (0_u32, 0_u32);
        for string in strings {
            let shift = raster(length("offset", string.offset_inch)? - present);
            let block = blocks.entry(shift).or_insert_with(|| Block { shift, ..Block::default() });
            block.add(string.known, string.count, play)?;
            all = all.saturating_add(string.count);
            let misfit = match string.known {
                Known::RightLength { error_inch } => {
                    error_inch >= play.too_short_inch || error_inch <= -play.too_long_inch
                }
                Known::TooShort | Known::TooLong => true,
                _ => false,
            };
            told += if misfit { string.count } else { 0 };
        }
        Ok(Self { blocks: blocks.into_values().collect(), strings: all, told })
    }

    /// How many strings.
    #[must_use]
    pub fn strings(&self) -> u32 {
        self.strings
    }

    /// Whether anybody of these strings' archers answered a question.
    #[must_use]
    pub fn has_answers(&self) -> bool {
        self.blocks.iter().any(|block| block.answers > 0)
    }

    /// How far the offset that most of these strings were cut by lies from the one in force, inches;
    /// `None` without strings.
    pub(super) fn usual_shift_inch(&self) -> Option<f64> {
        let usual =
            self.blocks.iter().max_by_key(|block| (block.strings, -block.shift.abs(), block.shift))?;
        Some(usual.shift as f64 / RASTER)
    }

    /// Counts of the reports by direction, and the plain mean of the settled ones (E16).
    #[must_use]
    pub fn directions<'a>(months: impl IntoIterator<Item = &'a Self>) -> Directions {
        let mut directions = Directions::default();
        let mut settled = Vec::new();
        for block in months.into_iter().flat_map(|month| &month.blocks) {
            directions.short += block.too_short;
            directions.long += block.too_long;
            directions.with_direction += block.too_short + block.too_long;
            for (error, count) in &block.errors {
                directions.short += if *error > 0 { *count } else { 0 };
                directions.long += if *error < 0 { *count } else { 0 };
                directions.with_direction += count;
                settled.extend(std::iter::repeat_n(*error as f64 / RASTER, *count as usize));
            }
        }
        Directions { settled: summary(&settled), ..directions }
    }

    /// These months without the one report that says a direction from a month on; `None` where
    /// there is none, or there are several.
    ///
    /// What: where a length probably jumped before a month, but a single report since says which way,
    /// that report is set aside until a second one comes (E29). Assumptions: one report in a hundred
    /// has nothing to do with the length of its string; a fault that is there brings more than one.
    /// Valid range: any months. Source: judgement, checked by simulation.
    #[must_use]
    pub fn without_a_lone_report(months: &[Self], from: usize) -> Option<Vec<Self>> {
        if Self::directions(months.get(from..)?).with_direction != 1 {
            return None;
        }
        let mut months = months.to_vec();
        for month in months.get_mut(from..)? {
            month.strings -= month.blocks.iter_mut().map(Block::take_directions).sum::<u32>();
            month.told = 0;
        }
        Some(months)
    }

    /// Log of the factors that hold nothing but the told share.
    ///
    /// What: ln q for each misfit that was reported, ln(1 - q F) for each that came to light only
    /// by asking (E19). Symbols: q told share, F share of complaints that would be in. Assumptions:
    /// none beside those of the likelihood. Valid range: q above 0 and below 1. These factors are
    /// what makes q learnable; without the first the estimate of q runs to its lowest value. Source:
    /// probability of the observation, confirmed by simulation.
    #[must_use]
    pub fn ln_told(&self, told_share: f64) -> f64 {
        let found: f64 = self
            .blocks
            .iter()
            .flat_map(|block| parts(&block.found))
            .map(|(level, count)| count * (-told_share * shown_at(level)).ln_1p())
            .sum();
        f64::from(self.told) * told_share.ln() + found
    }
}

impl Block {
    fn add(&mut self, known: Known, count: u32, play: &Play) -> Result<(), EvidenceError> {
        self.strings = self.strings.saturating_add(count);
        match known {
            Known::RightLength { error_inch } => {
                let error = raster(length("length error", error_inch)?);
                *self.errors.entry(error).or_default() += count;
            }
            Known::TooShort => self.too_short += count,
            Known::TooLong => self.too_long += count,
            Known::Fits => self.fits += count,
            Known::Quiet { shown } => share_out(&mut self.quiet, shown, count)?,
            Known::AnsweredFits => {
                self.fits += count;
                self.answers += count;
            }
            Known::Answered { error_inch, shown } => {
                let error = raster(length("length error", error_inch)?);
                *self.readings.entry(error).or_default() += count;
                self.answers += count;
                if play.is_beyond(error_inch) {
                    share_out(&mut self.found, shown, count)?;
                }
            }
        }
        Ok(())
    }

    /// Takes out the strings whose report says a direction; tells how many.
    fn take_directions(&mut self) -> u32 {
        let taken = self.too_short + self.too_long + self.errors.values().sum::<u32>();
        self.errors.clear();
        (self.too_short, self.too_long) = (0, 0);
        self.strings -= taken;
        taken
    }

    /// Levels and strings at them that are quiet.
    pub(super) fn quiet(&self) -> impl Iterator<Item = (u32, f64)> {
        parts(&self.quiet)
    }
}

/// The share of complaints that a level stands for.
pub(super) fn shown_at(level: u32) -> f64 {
    f64::from(level) / f64::from(LEVELS)
}

fn parts(levels: &BTreeMap<u32, u64>) -> impl Iterator<Item = (u32, f64)> {
    levels.iter().map(|(level, parts)| (*level, *parts as f64 / PARTS as f64))
}

fn share_out(levels: &mut BTreeMap<u32, u64>, shown: f64, count: u32) -> Result<(), EvidenceError> {
    let place = share("share of complaints that are in", shown)? * f64::from(LEVELS);
    let below = place.floor();
    let above = ((place - below) * PARTS as f64).round() as u64;
    for (level, parts) in [(below as u32, PARTS - above), (below as u32 + 1, above)] {
        if parts > 0 {
            *levels.entry(level).or_default() += parts * u64::from(count);
        }
    }
    Ok(())
}

fn length(name: &'static str, inch: f64) -> Result<f64, OutOfRange> {
    require(inch.abs() <= LARGEST_INCH, name, inch, "within 1000 in")
}

/// The nearest point of the raster. Values are checked to lie within 1000 in before.
fn raster(inch: f64) -> i64 {
    (inch * RASTER).round() as i64
}

#[cfg(test)]
#[path = "length_error_tests.rs"]
mod tests;
