//! What the build of a string says by itself: its length, its body, the turns it left with.

use serde::{Deserialize, Serialize};

use super::records::{BowProfile, SoldString};
use super::rules::Rules;
use super::slips::{AMO_DIFFERENCE, Slip, standard_string_length, string_length_slip};
use super::usual::{Recorded, Usual, UsualFrom, usual};
use super::words::{Across, LengthAt};
use crate::mechanics::bow::BowKind;
use crate::mechanics::stretch::loaded_from_hand_tight;
use crate::mechanics::twist::{TurnWindow, TurnsKnown, TwistBody, turns_sd};

/// Outside of a loop beyond its inside, both ends together, inches (own arithmetic: one loop
/// thickness of about 0.1 in at each end). Method V18.
pub const LOOP_THICKNESS: f64 = 0.2;

/// A string, its bow and the rules they are judged by.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// The string.
    pub string: &'a SoldString,
    /// The bow.
    pub bow: &'a BowProfile,
    /// The workshop's rules.
    pub rules: &'a Rules,
    /// Effective twist radius from the workshop's bench test of this construction, inches.
    pub bench_radius: Option<f64>,
    /// What second readings with another string showed of this bow.
    pub bow_effect: Option<BowEffect>,
    /// Strings whose turns are on record: what the workshop usually puts in.
    pub recorded: &'a [Recorded],
}

/// What second readings with another string showed of a bow. Method M18: only the part of the
/// ratio that belongs to the bow is carried over.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BowEffect {
    /// True over tabled bow constant.
    pub ratio: f64,
    /// Standard deviation of its ln that is left.
    pub log_sd: f64,
}

/// Turns with their doubt and how they are known.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TurnsIn {
    /// Full turns.
    pub turns: f64,
    /// Standard deviation.
    pub sd: f64,
    /// How they are known.
    pub known: TurnsKnown,
}

/// Where the length comes from that a string is judged by. Method V42.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum LengthFrom {
    /// Built or ordered so.
    Record,
    /// Not on record; the archer measured it.
    Measured,
    /// Not on record; what the trade standard gives for the bow's length.
    Bow,
    /// Nothing is known; the middle of what there is.
    Nothing,
}

impl LengthFrom {
    /// Somebody has measured the string itself: another can be cut by it.
    #[must_use]
    pub const fn is_of_the_string(self) -> bool {
        matches!(self, Self::Record | Self::Measured)
    }
}

/// Doubt of a length taken from the bow's, inches: workshops take off 3 to 4 in, and archers err by as
/// much again (judgement, no source). Method V42.
const BY_THE_BOW_SD: f64 = 1.0;
/// Doubt of an archer's measurement of a string, inches (judgement, no source). Method V42.
const MEASURED_SD: f64 = 0.25;
/// Loaded length of any string and its sd, inches: bows are marked 48 to 72 in, and their strings are
/// 3 in shorter (common practice, no source; the ends are taken for two sd). Method V42.
const ANY_LENGTH: (f64, f64) = (57.0, 6.0);

/// What the build alone says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Build {
    /// Loaded length as built, outside of the loops, inches.
    pub length: f64,
    /// Its sd, inches.
    pub length_sd: f64,
    /// Where it comes from.
    pub length_from: LengthFrom,
    /// The body that takes the turns.
    pub body: TwistBody,
    /// Turns it may have.
    pub window: TurnWindow,
    /// The workshop's usual turns for this construction and length.
    pub usual: i32,
    /// Where these come from.
    pub usual_from: UsualFrom,
    /// Turns when it left the workshop.
    pub turns: TurnsIn,
}

/// Loaded length, outside of the loops, of a length that was measured some other way; with sd,
/// inches. Method V18.
#[must_use]
pub fn loaded_length(length: f64, at: LengthAt, across: Across, string: &SoldString) -> (f64, f64) {
    let (loaded, sd) = match at {
        LengthAt::HandTight => loaded_from_hand_tight(length, string.yarn),
        LengthAt::Loaded => (length, 0.0),
        LengthAt::Unknown => (length, loaded_from_hand_tight(length, string.yarn).0 - length),
    };
    (loaded + if across == Across::Inside { LOOP_THICKNESS } else { 0.0 }, sd)
}

impl Subject<'_> {
    /// The bow's marked length, or the nearest thing to it, inches.
    #[must_use]
    pub fn marked_length(&self) -> Option<f64> {
        self.marked_length_beside(None)
    }

    pub(super) fn marked_length_beside(&self, measured: Option<(f64, LengthAt)>) -> Option<f64> {
        let by_the_string = || {
            let (length, _, from) = self.build_length(measured);
            let known = self.bow.kind != BowKind::Horsebow && from != LengthFrom::Nothing;
            known.then_some(length + AMO_DIFFERENCE)
        };
        self.bow.marked_length.map(crate::quantity::Length::inches).or_else(by_the_string)
    }

    /// Length, its sd, and where it comes from; of a string whose length is not on record, what an
    /// archer measured, unless that was plainly something else. Method V42.
    fn build_length(&self, measured: Option<(f64, LengthAt)>) -> (f64, f64, LengthFrom) {
        let string = self.string;
        match (string.built, string.ordered) {
            (Some(built), _) => {
                let (length, sd) =
                    loaded_length(built.inches(), string.built_at, string.built_across, string);
                (length, sd, LengthFrom::Record)
            }
            (None, Some(ordered)) => (ordered.inches(), self.rules.build_tolerance, LengthFrom::Record),
            (None, None) => match measured.filter(|measured| self.slip_by_the_bow(*measured).is_none()) {
                Some((length, at)) => {
                    let (loaded, sd) = loaded_length(length, at, Across::Outside, string);
                    (loaded, sd.hypot(MEASURED_SD), LengthFrom::Measured)
                }
                None => self
                    .length_by_the_bow()
                    .map_or((ANY_LENGTH.0, ANY_LENGTH.1, LengthFrom::Nothing), |length| {
                        (length, BY_THE_BOW_SD, LengthFrom::Bow)
                    }),
            },
        }
    }

    /// What the trade standard gives for the bow's length; a bow with stiff ears is never sized by it.
    fn length_by_the_bow(&self) -> Option<f64> {
        let bow = self.bow.marked_length.or(self.bow.nock_to_nock);
        bow.filter(|_| self.bow.kind != BowKind::Horsebow).map(|bow| standard_string_length(bow.inches()))
    }

    /// The slip in a measured length that even the bow's length shows. Method V42.
    pub(super) fn slip_by_the_bow(&self, (length, at): (f64, LengthAt)) -> Option<Slip> {
        let slip =
            string_length_slip(length, at == LengthAt::Loaded, self.string.yarn, self.length_by_the_bow()?);
        slip.filter(|slip| {
            matches!(
                slip,
                Slip::BowLengthForString { .. } | Slip::LoopsLeftOut { .. } | Slip::CentimetresForInches
            )
        })
    }

    /// The body of a string of this construction and a length, with its window and usual turns.
    ///
    /// The workshop's bench figure comes before the build (M08, M06); where no strand count is
    /// recorded the usual one is taken, with a wider doubt. Method V21.
    #[must_use]
    pub fn body(&self, length: f64) -> Option<(TwistBody, TurnWindow, i32)> {
        let (body, window, usual) = self.body_and_usual(length)?;
        Some((body, window, (usual.turns.round() as i32).clamp(window.min, window.max)))
    }

    fn body_and_usual(&self, length: f64) -> Option<(TwistBody, TurnWindow, Usual)> {
        let construction = self.string.construction();
        let body = match self.bench_radius.or_else(|| self.rules.bench_radius(construction)) {
            Some(radius) => TwistBody::from_radius(radius, length)?,
            None => {
                let mut body = TwistBody::from_build(construction, length)?;
                if self.string.strands.is_none() {
                    // Half the strand counts sold lie within two strands of the usual one.
                    body.string_factor_log_sd = body.string_factor_log_sd.hypot(0.15);
                }
                body
            }
        };
        let (low, high) = self.rules.window_degrees;
        let window = TurnWindow::from_helix(&body, low, high);
        let usual = usual(construction, &body, length, self.rules, self.recorded)?;
        Some((body, window, usual))
    }

    /// What the build says; `None` for a string too short to have a body.
    #[must_use]
    pub fn build(&self) -> Option<Build> {
        self.build_beside(None)
    }

    /// The same beside a length that an archer measured, which counts where none is on record.
    pub(super) fn build_beside(&self, measured: Option<(f64, LengthAt)>) -> Option<Build> {
        let (length, length_sd, length_from) = self.build_length(measured);
        let (mut body, window, usual) = self.body_and_usual(length)?;
        if length_from != LengthFrom::Record {
            // What turns do goes by the length.
            body.string_factor_log_sd = body.string_factor_log_sd.hypot(length_sd / length);
        }
        // What the workshop is known to put in is believed, as long as a splice holds with it (V12).
        let least = match usual.from {
            UsualFrom::Recorded { .. } => (f64::from(window.min) / 2.0).ceil(),
            UsualFrom::Setting | UsualFrom::Table => f64::from(window.min),
        };
        let turns = match self.string.turns {
            Some(turns) => TurnsIn {
                turns: turns.value(),
                sd: turns_sd(TurnsKnown::Shipped, turns.value()),
                known: TurnsKnown::Shipped,
            },
            None => TurnsIn {
                turns: usual.turns.round().clamp(least, f64::from(window.max)),
                sd: usual.sd,
                known: TurnsKnown::Guessed,
            },
        };
        let built = (usual.turns.round() as i32).clamp(window.min, window.max);
        let window = window.narrowed(&body, turns.turns, self.rules.play_shorten, self.rules.play_lengthen);
        Some(Build {
            length,
            length_sd,
            length_from,
            body,
            window,
            usual: built,
            usual_from: usual.from,
            turns,
        })
    }
}
