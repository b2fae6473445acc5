//! What the book keeps: archers, bows, strings sold, reports and readings.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::signs::{ReportSign, SignOf};
use super::words::{Across, Lay, LengthAt, Marker, OldMake, Photo, ReadBy, Route, Stave, Symptom, Tips};
use crate::mechanics::bow::{BowKind, FadeMeasures};
use crate::mechanics::twist::{Construction, Yarn};
use crate::quantity::{DrawWeight, Length, LengthRange, Turns};

/// A person who bought a string. All personal values stand here.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Archer {
    /// Name as written on the order.
    pub name: Option<String>,
    /// Address for mail.
    pub email: Option<String>,
}

/// What is known of a bow.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BowProfile {
    /// Kind of bow.
    pub kind: BowKind,
    /// Marked (AMO) length.
    pub marked_length: Option<Length>,
    /// Nock to nock on the belly, unbraced.
    pub nock_to_nock: Option<Length>,
    /// Draw weight.
    pub draw_weight: Option<DrawWeight>,
    /// Brace range the bow's maker gives.
    pub brace_range: Option<LengthRange>,
    /// Nobody knows what the bow's maker gives, and it is not asked for.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub range_unknown: bool,
    /// Tips.
    pub tips: Tips,
    /// Stave.
    pub stave: Stave,
    /// Year it was made.
    pub year: Option<i32>,
    /// The bow's maker allows low-stretch yarn.
    pub maker_allows_low_stretch: bool,
}

impl Default for BowProfile {
    fn default() -> Self {
        Self {
            kind: BowKind::Unknown,
            marked_length: None,
            nock_to_nock: None,
            draw_weight: None,
            brace_range: None,
            range_unknown: false,
            tips: Tips::Unknown,
            stave: Stave::Unknown,
            year: None,
            maker_allows_low_stretch: false,
        }
    }
}

/// Changes to a bow profile; what is `None` stays. Written as JSON, the fields that are said have the
/// names and values that a bow's record gives them.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct BowChanges {
    /// Kind of bow.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub kind: Option<BowKind>,
    /// Marked (AMO) length.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub marked_length: Option<Length>,
    /// Nock to nock on the belly, unbraced.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub nock_to_nock: Option<Length>,
    /// Draw weight.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub draw_weight: Option<DrawWeight>,
    /// Brace range the bow's maker gives.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub brace_range: Option<LengthRange>,
    /// Nobody knows what the bow's maker gives.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub range_unknown: Option<bool>,
    /// Tips.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub tips: Option<Tips>,
    /// Stave.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stave: Option<Stave>,
    /// Year it was made.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub year: Option<i32>,
    /// The bow's maker allows low-stretch yarn.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub maker_allows_low_stretch: Option<bool>,
}

impl BowProfile {
    /// The names of the fields in which another differs.
    #[must_use]
    pub fn differing(&self, other: &Self) -> Vec<&'static str> {
        [
            ("bow_kind", self.kind != other.kind),
            ("bow_marked_length", self.marked_length != other.marked_length),
            ("bow_nock_to_nock", self.nock_to_nock != other.nock_to_nock),
            ("draw_weight_lb", self.draw_weight != other.draw_weight),
            ("brace_range", self.brace_range != other.brace_range),
            ("range_unknown", self.range_unknown != other.range_unknown),
            ("tips", self.tips != other.tips),
            ("stave", self.stave != other.stave),
            ("bow_year", self.year != other.year),
            ("maker_allows_low_stretch", self.maker_allows_low_stretch != other.maker_allows_low_stretch),
        ]
        .into_iter()
        .filter_map(|(name, differs)| differs.then_some(name))
        .collect()
    }
}

impl BowChanges {
    /// The profile with the changes made, and the names of the fields that really changed.
    #[must_use]
    pub fn applied_to(&self, bow: &BowProfile) -> (BowProfile, Vec<&'static str>) {
        let after = BowProfile {
            kind: self.kind.unwrap_or(bow.kind),
            marked_length: self.marked_length.or(bow.marked_length),
            nock_to_nock: self.nock_to_nock.or(bow.nock_to_nock),
            draw_weight: self.draw_weight.or(bow.draw_weight),
            brace_range: self.brace_range.or(bow.brace_range),
            range_unknown: self.range_unknown.unwrap_or(bow.range_unknown)
                && self.brace_range.or(bow.brace_range).is_none(),
            tips: self.tips.unwrap_or(bow.tips),
            stave: self.stave.unwrap_or(bow.stave),
            year: self.year.or(bow.year),
            maker_allows_low_stretch: self.maker_allows_low_stretch.unwrap_or(bow.maker_allows_low_stretch),
        };
        let changed = bow.differing(&after);
        (after, changed)
    }
}

/// A string that left the workshop.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SoldString {
    /// Serial as printed on the label.
    pub serial: String,
    /// The order's reference.
    pub order_ref: Option<String>,
    /// Day of sale.
    pub sold_on: NaiveDate,
    /// Day of delivery.
    pub delivered_on: Option<NaiveDate>,
    /// How the length was arrived at.
    pub route: Route,
    /// What the archer stated: the measure the route starts from.
    pub stated: Option<Length>,
    /// How the stated measure was taken.
    pub stated_at: LengthAt,
    /// Inches taken off the stated measure.
    pub offset: Option<Length>,
    /// Length ordered, loaded; absent where nobody knows it, which is so on the route `unknown` alone.
    pub ordered: Option<Length>,
    /// Length built.
    pub built: Option<Length>,
    /// How the built length was measured.
    pub built_at: LengthAt,
    /// From where to where the built length was measured.
    pub built_across: Across,
    /// Yarn of the old string, where the route is by an old string.
    pub old_yarn: Option<Yarn>,
    /// Make of the old string.
    pub old_make: Option<OldMake>,
    /// From where to where the old string was measured.
    pub old_measured: Option<Across>,
    /// Yarn.
    pub yarn: Yarn,
    /// Strands in the whole string.
    pub strands: Option<u32>,
    /// Plies.
    pub plies: u32,
    /// Direction of lay.
    pub lay: Lay,
    /// Turns as built.
    pub turns: Option<Turns>,
    /// Length of the upper loop.
    pub loop_top: Option<Length>,
    /// Length of the lower loop.
    pub loop_bottom: Option<Length>,
    /// Middle of the serving above (+) or below (-) the middle of the string.
    pub serving: Option<Length>,
    /// Pre-stretched before serving.
    pub pre_stretched: Option<bool>,
    /// With silencers.
    pub silencers: Option<bool>,
    /// Colours.
    pub colours: Option<String>,
    /// Lot of the yarn.
    pub spool: Option<String>,
    /// Who made it.
    pub maker: Option<String>,
    /// The maker's initials, as on the label.
    pub maker_initials: Option<String>,
    /// Price, minor units.
    pub price_cents: Option<i64>,
    /// Serial of the string it replaces.
    pub replaces: Option<String>,
}

/// Strands taken where none are recorded (common practice, no source: the middle of the counts
/// sold). Method V21.
pub const USUAL_STRANDS: u32 = 14;

impl SoldString {
    /// A string of which only what every order has is known.
    #[must_use]
    pub fn new(serial: String, sold_on: NaiveDate, route: Route, ordered: impl Into<Option<Length>>) -> Self {
        Self {
            serial,
            order_ref: None,
            sold_on,
            delivered_on: None,
            route,
            stated: None,
            stated_at: LengthAt::Unknown,
            offset: None,
            ordered: ordered.into(),
            built: None,
            built_at: LengthAt::Loaded,
            built_across: Across::Outside,
            old_yarn: None,
            old_make: None,
            old_measured: None,
            yarn: Yarn::Unknown,
            strands: None,
            plies: 2,
            lay: Lay::Z,
            turns: None,
            loop_top: None,
            loop_bottom: None,
            serving: None,
            pre_stretched: None,
            silencers: None,
            colours: None,
            spool: None,
            maker: None,
            maker_initials: None,
            price_cents: None,
            replaces: None,
        }
    }

    /// The length on record that what is said of the string is held against.
    #[must_use]
    pub fn length(&self) -> Option<Length> {
        self.ordered.or(self.built)
    }

    /// The lay, unless nobody has looked: of a string that is not of this bench the usual one is no
    /// more than the place where nothing was entered.
    #[must_use]
    pub fn lay_known(&self) -> Option<Lay> {
        (self.route != Route::Unknown || self.lay != Lay::Z).then_some(self.lay)
    }

    /// The plies, likewise.
    #[must_use]
    pub fn plies_known(&self) -> Option<u32> {
        (self.route != Route::Unknown || self.plies != 2).then_some(self.plies)
    }

    /// Where the middle of the serving is above (+) or below (-) that of the string, inches: as recorded,
    /// else where the workshop puts it.
    #[must_use]
    pub fn serving_known(&self, serving_below: f64) -> Option<f64> {
        let usual = (self.route != Route::Unknown).then_some(-serving_below);
        self.serving.map(Length::inches).or(usual)
    }

    /// Yarn, strands and plies; unrecorded strands are taken as usual.
    #[must_use]
    pub fn construction(&self) -> Construction {
        Construction { yarn: self.yarn, strands: self.strands.unwrap_or(USUAL_STRANDS), plies: self.plies }
    }
}

/// What an archer measured or said, once.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Measurements {
    /// Brace height, the mean where several were taken.
    pub brace: Option<Length>,
    /// How many readings the brace height is the mean of.
    pub readings: Option<u32>,
    /// With what it was read; a ruler, unless it is said.
    #[serde(default)]
    pub read_by: Option<ReadBy>,
    /// Brace range the archer wants.
    pub want: Option<LengthRange>,
    /// String length off the bow.
    pub length: Option<Length>,
    /// How it was measured.
    pub length_at: Option<LengthAt>,
    /// Turns put in (+) or taken out (-) since the last measurement of this string.
    pub turns_changed: Option<Turns>,
    /// Appearances of one colour counted on the body.
    pub turns_counted: Option<Turns>,
    /// Over this length.
    pub counted_over: Option<Length>,
    /// The four fade measures.
    pub fades: Option<FadeMeasures>,
    /// Shots since the string was new.
    pub shots: Option<u32>,
    /// Which way the marker points.
    pub marker: Option<Marker>,
    /// Middle of the serving above (+) or below (-) the middle of the string.
    pub serving: Option<Length>,
    /// What a photo shows.
    pub photo: Option<Photo>,
}

impl Measurements {
    /// The string's length off the bow, inches, and how it was measured: pulled tight by hand, unless
    /// it is said.
    #[must_use]
    pub fn length_off_the_bow(&self) -> Option<(f64, LengthAt)> {
        Some((self.length?.inches(), self.length_at.unwrap_or(LengthAt::HandTight)))
    }

    /// True where nothing was said.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// It tells of turns, and of more than none.
    #[must_use]
    pub fn is_turned(&self) -> bool {
        self.turns_changed.is_some_and(|turns| turns.value().abs() >= 0.5)
    }
}

/// One reading of a report, with its day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// Day it came in.
    pub taken_on: NaiveDate,
    /// What it says.
    pub measurements: Measurements,
}

/// A report with its readings in the order they were entered.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Report {
    /// Its number: `R-<number>`.
    pub number: i64,
    /// Day it came in.
    pub received_on: NaiveDate,
    /// What the archer complains of.
    pub symptoms: Vec<Symptom>,
    /// Signs of danger that were read in what the archer wrote.
    pub signs: Vec<ReportSign>,
    /// Readings; the first came with the report.
    pub readings: Vec<Reading>,
    /// It is settled; what it said of danger is over.
    pub settled: bool,
}

impl Report {
    /// The id people use.
    #[must_use]
    pub fn id(&self) -> String {
        format!("R-{}", self.number)
    }

    /// Words of the open signs of one kind.
    #[must_use]
    pub fn words_of(&self, of: SignOf) -> Vec<String> {
        let open = self.signs.iter().filter(|sign| sign.is_open() && sign.sign.of == of);
        open.map(|sign| sign.sign.words.clone()).collect()
    }

    /// What is wrong by the archer's complaint, or by signs of danger that are so.
    #[must_use]
    pub fn says(&self, symptom: Symptom) -> bool {
        self.symptoms.contains(&symptom) || self.signs.iter().any(|sign| sign.danger() == Some(symptom))
    }

    /// The bow is to be looked at by its maker or a bowyer.
    #[must_use]
    pub fn is_for_bowyer(&self) -> bool {
        self.signs.iter().any(ReportSign::is_for_bowyer)
    }

    /// True once the archer found the string upside down and turned it end for end.
    #[must_use]
    pub fn was_turned_round(&self) -> bool {
        let mut markers = self.readings.iter().filter_map(|reading| reading.measurements.marker);
        markers.any(|marker| marker == Marker::Down) && markers.any(|marker| marker == Marker::Up)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn changes_name_only_what_changed() {
        let bow = BowProfile { kind: BowKind::Recurve, ..BowProfile::default() };
        let changes =
            BowChanges { kind: Some(BowKind::Recurve), tips: Some(Tips::Plain), ..BowChanges::default() };
        let (after, changed) = changes.applied_to(&bow);
        assert_eq!(changed, ["tips"]);
        assert_eq!(after.tips, Tips::Plain);
    }
}
