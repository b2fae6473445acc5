//! What use cases show: plain values, lengths as inches with keys that say so.

use chrono::NaiveDate;
use serde::Serialize;

use super::bow::Others;
use super::danger::SignView;
use super::decide::DecisionView;
use super::strength::StrengthView;
use super::strikes::{StruckMark, reading_id};
use crate::book::{FormerAddress, SentLetter, Settlement, StoredArcher};
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::{TurnsKnown, Yarn};
use crate::quantity::{Length, Unit};
use crate::trade::build::{Build, LengthFrom};
use crate::trade::records::{BowProfile, Measurements, Reading, Report, SoldString};
use crate::trade::signs::SignOf;
use crate::trade::usual::UsualFrom;
use crate::trade::words::{
    Across, Cause, Lay, LengthAt, Marker, OldMake, Outcome, Photo, ReadBy, Route, Standing, Stave, Symptom,
    Tips, Verdict,
};

fn inches(length: Option<Length>) -> Option<f64> {
    length.map(Length::inches)
}

/// An archer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ArcherView {
    /// `A-<number>`.
    pub id: String,
    /// Name.
    pub name: Option<String>,
    /// Address.
    pub email: Option<String>,
    /// The unit they measure in, where it is known: letters to them go in it.
    pub unit: Option<Unit>,
}

impl From<StoredArcher> for ArcherView {
    fn from(stored: StoredArcher) -> Self {
        Self {
            id: format!("A-{}", stored.id),
            name: stored.archer.name,
            email: stored.archer.email,
            unit: stored.unit,
        }
    }
}

/// A bow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BowView {
    /// Kind.
    pub kind: BowKind,
    /// Marked length.
    pub marked_length_inch: Option<f64>,
    /// Nock to nock.
    pub nock_to_nock_inch: Option<f64>,
    /// Draw weight, pounds.
    pub draw_weight_lb: Option<f64>,
    /// At this draw.
    pub draw_at_inch: Option<f64>,
    /// Bow maker's brace range.
    pub brace_low_inch: Option<f64>,
    /// Bow maker's brace range.
    pub brace_high_inch: Option<f64>,
    /// Tips.
    pub tips: Tips,
    /// Stave.
    pub stave: Stave,
    /// Year.
    pub year: Option<i32>,
    /// The bow's maker allows low-stretch yarn.
    pub maker_allows_low_stretch: bool,
    /// Nobody knows what its maker gives as brace range.
    pub range_unknown: bool,
}

impl From<&BowProfile> for BowView {
    fn from(bow: &BowProfile) -> Self {
        Self {
            kind: bow.kind,
            marked_length_inch: inches(bow.marked_length),
            nock_to_nock_inch: inches(bow.nock_to_nock),
            draw_weight_lb: bow.draw_weight.map(|weight| weight.pounds()),
            draw_at_inch: inches(bow.draw_weight.and_then(|weight| weight.at())),
            brace_low_inch: bow.brace_range.map(|range| range.low().inches()),
            brace_high_inch: bow.brace_range.map(|range| range.high().inches()),
            tips: bow.tips,
            stave: bow.stave,
            year: bow.year,
            maker_allows_low_stretch: bow.maker_allows_low_stretch,
            range_unknown: bow.range_unknown,
        }
    }
}

/// A reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingView {
    #[serde(skip)]
    place: usize,
    /// Its id, such as R-1/2: its place in the report, which it keeps.
    pub reading: String,
    /// How it was struck; such a one stands in `struck_readings` alone.
    pub struck: Option<StruckMark>,
    /// Day.
    pub taken_on: NaiveDate,
    /// Brace height.
    pub brace_inch: Option<f64>,
    /// Readings it is the mean of.
    pub readings: Option<u32>,
    /// With what it was read.
    pub read_by: Option<ReadBy>,
    /// Wanted range.
    pub want_low_inch: Option<f64>,
    /// Wanted range.
    pub want_high_inch: Option<f64>,
    /// String length off the bow.
    pub length_inch: Option<f64>,
    /// How it was measured.
    pub length_at: Option<LengthAt>,
    /// Turns since the last measurement.
    pub turns_changed: Option<f64>,
    /// Turns since it left the workshop, all told.
    pub turns_changed_total: f64,
    /// Appearances counted on the body.
    pub turns_counted: Option<f64>,
    /// Over this length.
    pub counted_over_inch: Option<f64>,
    /// Fade measure.
    pub free_string_inch: Option<f64>,
    /// Fade measure.
    pub fade_span_inch: Option<f64>,
    /// Fade measure.
    pub fade_gap_inch: Option<f64>,
    /// Fade measure.
    pub fade_to_nock_inch: Option<f64>,
    /// Shots.
    pub shots: Option<u32>,
    /// Marker.
    pub marker: Option<Marker>,
    /// Serving.
    pub serving_inch: Option<f64>,
    /// Photo.
    pub photo: Option<Photo>,
}

impl ReadingView {
    /// Its place in the report, from 1; struck ones count.
    #[must_use]
    pub const fn place(&self) -> usize {
        self.place
    }

    fn new(report: i64, place: usize, reading: &Reading, struck: Option<StruckMark>, total: f64) -> Self {
        let measured: &Measurements = &reading.measurements;
        Self {
            place,
            reading: reading_id(report, place),
            struck,
            taken_on: reading.taken_on,
            brace_inch: inches(measured.brace),
            readings: measured.readings,
            read_by: measured.read_by,
            want_low_inch: measured.want.map(|range| range.low().inches()),
            want_high_inch: measured.want.map(|range| range.high().inches()),
            length_inch: inches(measured.length),
            length_at: measured.length_at,
            turns_changed: measured.turns_changed.map(|turns| turns.value()),
            turns_changed_total: total,
            turns_counted: measured.turns_counted.map(|turns| turns.value()),
            counted_over_inch: inches(measured.counted_over),
            free_string_inch: measured.fades.map(|fades| fades.free_string_inch),
            fade_span_inch: measured.fades.map(|fades| fades.fade_span_inch),
            fade_gap_inch: measured.fades.map(|fades| fades.fade_gap_inch),
            fade_to_nock_inch: measured.fades.map(|fades| fades.fade_to_nock_inch),
            shots: measured.shots,
            marker: measured.marker,
            serving_inch: inches(measured.serving),
            photo: measured.photo,
        }
    }
}

/// A letter as it went out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SentView {
    /// Its id, such as R-1/L1, where it was a step of its report. The same letter written anew before
    /// anything else came keeps it.
    pub id: Option<String>,
    /// How it was struck; such a one stands in `struck_letters` alone.
    pub struck: Option<StruckMark>,
    /// Day.
    pub sent_on: NaiveDate,
    /// What kind of letter.
    pub letter: String,
    /// Address it went to, as far as the book knew one.
    pub to: Option<String>,
    /// Its text.
    pub text: String,
}

impl From<SentLetter> for SentView {
    fn from(sent: SentLetter) -> Self {
        Self {
            id: None,
            struck: None,
            sent_on: sent.sent_on,
            letter: sent.kind,
            to: sent.to,
            text: sent.text,
        }
    }
}

/// A report.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReportView {
    /// Its number.
    #[serde(skip)]
    pub number: i64,
    /// `R-<number>`.
    pub report: String,
    /// How it was struck, where it was.
    pub struck: Option<StruckMark>,
    /// Day of its last letter, where it is struck and none has taken that letter back yet.
    pub to_take_back: Option<NaiveDate>,
    /// Serial of its string.
    pub string: String,
    /// Name of its archer.
    pub archer: Option<String>,
    /// Day it came in.
    pub received_on: NaiveDate,
    /// Symptoms.
    pub symptoms: Vec<Symptom>,
    /// Words that may speak of trouble with the bow, as long as nobody has said what they mean.
    pub bow_signs: Vec<String>,
    /// Words that may speak of damage to the string or of a shot without an arrow, likewise.
    pub damage_signs: Vec<String>,
    /// Every sign of danger, with what has become of it.
    pub signs: Vec<SignView>,
    /// Somebody said after the last message that there is no danger, and no sign is open.
    pub danger_ruled_out: bool,
    /// Where it stands.
    pub standing: Standing,
    /// Last verdict.
    pub verdict: Option<Verdict>,
    /// Readings, oldest first.
    pub readings: Vec<ReadingView>,
    /// Readings that were struck: nothing is worked out from them.
    pub struck_readings: Vec<ReadingView>,
    /// What the archer wrote, oldest first.
    pub texts: Vec<String>,
    /// Letters that went out about it, oldest first.
    pub letters: Vec<SentView>,
    /// Letters that were struck: they never went out.
    pub struck_letters: Vec<SentView>,
    /// What the maker decided, oldest first; the newest counts.
    pub decisions: Vec<DecisionView>,
    /// Replacements made for it, oldest first.
    pub remakes: Vec<String>,
    /// Day it was settled, if it is.
    pub settled_on: Option<NaiveDate>,
    /// How it ended.
    pub outcome: Option<Outcome>,
    /// What it was.
    pub cause: Option<Cause>,
    /// Loaded length that would have been right.
    pub right_length_inch: Option<f64>,
    /// Money that went into it.
    pub cost_cents: i64,
}

/// What happened to a report, for its view.
pub(super) struct ReportParts {
    pub(super) struck: Option<StruckMark>,
    pub(super) to_take_back: Option<NaiveDate>,
    /// Every reading, and how it was struck.
    pub(super) readings: Vec<(Reading, Option<StruckMark>)>,
    pub(super) archer: Option<String>,
    pub(super) standing: Standing,
    pub(super) verdict: Option<Verdict>,
    pub(super) texts: Vec<String>,
    /// Every letter, struck or not.
    pub(super) letters: Vec<SentView>,
    pub(super) decisions: Vec<DecisionView>,
    pub(super) remakes: Vec<String>,
    pub(super) settlement: Option<Settlement>,
    pub(super) cost_cents: i64,
    pub(super) danger_ruled_out: bool,
}

impl ReportView {
    pub(super) fn new(report: &Report, string: &str, parts: ReportParts) -> Self {
        let mut total = 0.0;
        let (struck_readings, readings) = parts
            .readings
            .into_iter()
            .enumerate()
            .map(|(place, (reading, struck))| {
                if struck.is_none() {
                    total += reading.measurements.turns_changed.map_or(0.0, |turns| turns.value());
                }
                ReadingView::new(report.number, place + 1, &reading, struck, total)
            })
            .partition(|reading| reading.struck.is_some());
        let (struck_letters, letters) = parts.letters.into_iter().partition(|letter| letter.struck.is_some());
        Self {
            number: report.number,
            report: report.id(),
            string: string.to_owned(),
            archer: parts.archer,
            received_on: report.received_on,
            symptoms: report.symptoms.clone(),
            bow_signs: report.words_of(SignOf::Bow),
            damage_signs: [report.words_of(SignOf::String), report.words_of(SignOf::Shot)].concat(),
            signs: report.signs.iter().map(SignView::from).collect(),
            danger_ruled_out: parts.danger_ruled_out,
            standing: parts.standing,
            verdict: parts.verdict,
            struck: parts.struck,
            to_take_back: parts.to_take_back,
            readings,
            struck_readings,
            texts: parts.texts,
            letters,
            struck_letters,
            decisions: parts.decisions,
            remakes: parts.remakes,
            settled_on: parts.settlement.as_ref().map(|settlement| settlement.settled_on),
            outcome: parts.settlement.as_ref().map(|settlement| settlement.outcome),
            cause: parts.settlement.as_ref().map(|settlement| settlement.cause),
            right_length_inch: parts.settlement.and_then(|settlement| inches(settlement.right_length)),
            cost_cents: parts.cost_cents,
        }
    }
}

/// A line of the list of reports.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReportLine {
    /// `R-<number>`.
    pub report: String,
    /// Serial of its string.
    pub string: String,
    /// Name of its archer.
    pub archer: Option<String>,
    /// Day it came in.
    pub received_on: NaiveDate,
    /// Symptoms.
    pub symptoms: Vec<Symptom>,
    /// Where it stands.
    pub standing: Standing,
    /// Last verdict.
    pub verdict: Option<Verdict>,
}

/// A string's card.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StringView {
    /// Serial.
    pub serial: String,
    /// How it was struck, or the report for which it was made.
    pub struck: Option<StruckMark>,
    /// Order.
    pub order_ref: Option<String>,
    /// Archer.
    pub archer: ArcherView,
    /// Where letters to the archer went before, oldest first.
    pub former_addresses: Vec<FormerAddress>,
    /// Bow.
    pub bow: BowView,
    /// Other strings for the same bow, oldest first.
    pub same_bow: Vec<String>,
    /// The newest string of each other bow of the archer of the same kind and marked length.
    pub bows_alike: Vec<String>,
    /// Sold on the same day for the same bow to the same measures: spare strings, or one string that was
    /// entered twice.
    pub twins: Vec<String>,
    /// What it holds against what its bow asks for.
    pub strength: StrengthView,
    /// Day of sale.
    pub sold_on: NaiveDate,
    /// Day of delivery.
    pub delivered_on: Option<NaiveDate>,
    /// Route.
    pub route: Route,
    /// What was stated.
    pub stated_inch: Option<f64>,
    /// How the stated measure was taken.
    pub stated_at: LengthAt,
    /// Taken off.
    pub offset_inch: Option<f64>,
    /// Ordered length.
    pub ordered_length_inch: Option<f64>,
    /// Built length as measured.
    pub built_length_inch: Option<f64>,
    /// How.
    pub built_at: LengthAt,
    /// Across what.
    pub built_across: Across,
    /// Loaded length, outside of the loops, that the sums use.
    pub loaded_length_inch: Option<f64>,
    /// Yarn of the old string.
    pub old_yarn: Option<Yarn>,
    /// Make of the old string.
    pub old_make: Option<OldMake>,
    /// Across what the old string was measured.
    pub old_measured: Option<Across>,
    /// Yarn.
    pub yarn: Yarn,
    /// Strands.
    pub strands: Option<u32>,
    /// Plies, unless nobody knows them.
    pub plies: Option<u32>,
    /// Lay, unless nobody knows it.
    pub lay: Option<Lay>,
    /// Turns as built, where recorded.
    pub turns: Option<f64>,
    /// Turns the sums start from.
    pub turns_taken: Option<f64>,
    /// How these are known.
    pub turns_known: Option<TurnsKnown>,
    /// Where the workshop's usual turns come from, where they are taken.
    pub usual_turns: Option<UsualFrom>,
    /// Window of turns.
    pub turns_min: Option<i32>,
    /// Window of turns.
    pub turns_max: Option<i32>,
    /// Upper loop.
    pub loop_top_inch: Option<f64>,
    /// Lower loop.
    pub loop_bottom_inch: Option<f64>,
    /// Serving's middle above (+) or below (-) the string's.
    pub serving_inch: Option<f64>,
    /// Pre-stretched.
    pub pre_stretched: Option<bool>,
    /// Silencers.
    pub silencers: Option<bool>,
    /// Colours.
    pub colours: Option<String>,
    /// Spool.
    pub spool: Option<String>,
    /// Maker.
    pub maker: Option<String>,
    /// Initials.
    pub maker_initials: Option<String>,
    /// Price.
    pub price_cents: Option<i64>,
    /// What it replaces.
    pub replaces: Option<String>,
    /// What replaces it.
    pub replaced_by: Vec<String>,
    /// The whole chain of replacements it belongs to, first string first; empty without any.
    pub chain: Vec<String>,
    /// Money that went into its reports.
    pub cost_cents: i64,
    /// Money that went into all reports of its archer.
    pub archer_cost_cents: i64,
    /// Letters that went out about it without a report, oldest first.
    pub letters: Vec<SentView>,
    /// Its reports, oldest first.
    pub reports: Vec<ReportView>,
    /// Reports that were struck: nothing is worked out from them.
    pub struck_reports: Vec<ReportView>,
}

impl StringView {
    /// Its newest report that is not settled.
    #[must_use]
    pub fn open_report(&self) -> Option<&str> {
        let open = |report: &&ReportView| report.standing != Standing::Settled;
        self.reports.iter().rev().find(open).map(|report| report.report.as_str())
    }
}

/// What a string's card is made of.
pub(super) struct StringParts<'a> {
    pub(super) string: &'a SoldString,
    pub(super) bow: &'a BowProfile,
    pub(super) others: Others,
    pub(super) archer: StoredArcher,
    pub(super) former: Vec<FormerAddress>,
    pub(super) build: Option<Build>,
    pub(super) strength: StrengthView,
    pub(super) replaced_by: Vec<String>,
    pub(super) chain: Vec<String>,
    pub(super) archer_cost_cents: i64,
    pub(super) letters: Vec<SentView>,
    pub(super) reports: Vec<ReportView>,
    pub(super) struck_reports: Vec<ReportView>,
    pub(super) struck: Option<StruckMark>,
}

impl From<StringParts<'_>> for StringView {
    fn from(parts: StringParts<'_>) -> Self {
        let string = parts.string;
        Self {
            serial: string.serial.clone(),
            struck: parts.struck,
            order_ref: string.order_ref.clone(),
            archer: parts.archer.into(),
            former_addresses: parts.former,
            bow: parts.bow.into(),
            same_bow: parts.others.same,
            bows_alike: parts.others.alike,
            twins: parts.others.twins,
            strength: parts.strength,
            sold_on: string.sold_on,
            delivered_on: string.delivered_on,
            route: string.route,
            stated_inch: inches(string.stated),
            stated_at: string.stated_at,
            offset_inch: inches(string.offset),
            ordered_length_inch: inches(string.ordered),
            built_length_inch: inches(string.built),
            built_at: string.built_at,
            built_across: string.built_across,
            loaded_length_inch: parts
                .build
                .filter(|build| build.length_from == LengthFrom::Record)
                .map(|build| build.length),
            old_yarn: string.old_yarn,
            old_make: string.old_make,
            old_measured: string.old_measured,
            yarn: string.yarn,
            strands: string.strands,
            plies: string.plies_known(),
            lay: string.lay_known(),
            turns: string.turns.map(|turns| turns.value()),
            turns_taken: parts.build.map(|build| build.turns.turns),
            turns_known: parts.build.map(|build| build.turns.known),
            usual_turns: parts.build.filter(|_| string.turns.is_none()).map(|build| build.usual_from),
            turns_min: parts.build.map(|build| build.window.min),
            turns_max: parts.build.map(|build| build.window.max),
            loop_top_inch: inches(string.loop_top),
            loop_bottom_inch: inches(string.loop_bottom),
            serving_inch: inches(string.serving),
            pre_stretched: string.pre_stretched,
            silencers: string.silencers,
            colours: string.colours.clone(),
            spool: string.spool.clone(),
            maker: string.maker.clone(),
            maker_initials: string.maker_initials.clone(),
            price_cents: string.price_cents,
            replaces: string.replaces.clone(),
            replaced_by: parts.replaced_by,
            chain: parts.chain,
            cost_cents: parts
                .reports
                .iter()
                .fold(0, |sum: i64, report| sum.saturating_add(report.cost_cents)),
            archer_cost_cents: parts.archer_cost_cents,
            letters: parts.letters,
            reports: parts.reports,
            struck_reports: parts.struck_reports,
        }
    }
}
