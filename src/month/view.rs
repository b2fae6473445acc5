//! The month sheet as plain values, in the order of the JSON.

use chrono::NaiveDate;
use serde::Serialize;

use super::findings::Finding;
use crate::evidence::advice::Reservation;
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::trade::month::{OtherKind, SizingUnknown};
use crate::trade::words::{Cause, Route};

/// A row for the shop, a route, or a route and kind of bow. Rates are shares, lengths inches.
#[derive(Debug, Clone, PartialEq, Default, Serialize)]
pub struct MonthRowView {
    /// Route; absent for the whole shop.
    pub route: Option<Route>,
    /// Kind of bow; absent for all kinds together.
    pub bow_kind: Option<BowKind>,
    /// Strings delivered in the memory, replacements left out.
    pub strings: u32,
    /// The same, weighted by how much of its complaints each has shown.
    pub effective_strings: f64,
    /// Strings with a fit report.
    pub reports: u32,
    /// Of these adjusted by turns or remade, with cause sizing or unknown.
    pub misfits: u32,
    /// Share of strings with a fit report; absent under 10 effective strings.
    pub rate: Option<f64>,
    /// 95 % interval.
    pub rate_low: Option<f64>,
    /// 95 % interval.
    pub rate_high: Option<f64>,
    /// Share of misfits.
    pub misfit_rate: Option<f64>,
    /// 95 % interval.
    pub misfit_low: Option<f64>,
    /// 95 % interval.
    pub misfit_high: Option<f64>,
    /// Rate with luck allowed for: drawn towards that of the other routes.
    pub shrunk_rate: Option<f64>,
    /// 95 % interval.
    pub shrunk_low: Option<f64>,
    /// 95 % interval.
    pub shrunk_high: Option<f64>,
    /// Chance to be at least a quarter worse than the other routes.
    pub chance_worse: Option<f64>,
    /// `clearly-worse` to `clearly-better`, or `cannot-tell`.
    pub label: &'static str,
    /// Fit reports that the strings already delivered will still bring.
    pub still_to_come: Option<f64>,
    /// 90 % range.
    pub still_to_come_low: Option<u32>,
    /// 90 % range.
    pub still_to_come_high: Option<u32>,
    /// Fit reports of this month.
    pub this_month_reports: u32,
    /// Expected from the year before.
    pub this_month_expected: Option<f64>,
    /// Chance of as many or more if nothing has changed (mid-p).
    pub this_month_p: Option<f64>,
    /// Creep score; an alarm at 5.
    pub creep: Option<f64>,
    /// The score gave an alarm this month.
    pub creep_alarm: bool,
    /// Offset in use, taken off.
    pub offset_inch: Option<f64>,
    /// Offset advised.
    pub offset_advised_inch: Option<f64>,
    /// Right length minus ordered length.
    pub length_error_inch: Option<f64>,
    /// 95 % interval.
    pub length_error_low: Option<f64>,
    /// 95 % interval.
    pub length_error_high: Option<f64>,
    /// Advised change, added to ordered lengths.
    pub advised_change_inch: Option<f64>,
    /// Chance that it lowers the cost.
    pub advice_chance: Option<f64>,
    /// After-sale cost per string.
    pub cost_cents: Option<i64>,
    /// 95 % interval.
    pub cost_low_cents: Option<i64>,
    /// 95 % interval.
    pub cost_high_cents: Option<i64>,
    /// Cost of all its fit reports together.
    pub cost_total_cents: i64,
    /// Reports of strings that came too short.
    pub short: u32,
    /// Fit reports of strings that came too long.
    pub long: u32,
    /// Something was learned of its length: reports with a direction, or answers.
    pub learned: bool,
    /// Most of its strings are from the last two months.
    pub early: bool,
    /// Reports if every kind of bow had the shop's rate.
    pub expected_by_bow_kind: Option<f64>,
    /// The label may come from the kinds of bow.
    pub bows_may_explain: bool,
    /// Spread of the length error from string to string.
    pub length_spread_inch: Option<f64>,
    /// Plain mean of the settled complaints: only the strings bad enough to come back.
    pub complaints_mean_inch: Option<f64>,
    /// Mean error if half of the untold misfits were told too.
    pub length_error_if_more_told_inch: Option<f64>,
    /// Complaints a year that the advised change would save.
    pub advice_saves_a_year: Option<f64>,
    /// The change that would be advised next, where none is: added to ordered lengths.
    pub considered_change_inch: Option<f64>,
    /// Chance that it lowers the cost.
    pub considered_chance: Option<f64>,
    /// Complaints a year that it would save.
    pub considered_saves_a_year: Option<f64>,
    /// What it still waits for: words of [`waits_for`], with a space between.
    pub advice_waits_for: Option<String>,
    /// Share of misfits expected with no change, and with the advised one.
    pub misfit_share_now: Option<f64>,
    /// Share of misfits expected with the advised change.
    pub misfit_share_advised: Option<f64>,
    /// A single report since a jump says which way: it is not counted until a second one comes.
    pub length_report_set_aside: bool,
    /// The length has probably been what it is since the deliveries of this day.
    pub length_memory_from: Option<NaiveDate>,
    /// Day of the last change of its offset.
    pub offset_changed_on: Option<NaiveDate>,
    /// Chance that the length jumped within the memory.
    pub length_jump_chance: Option<f64>,
    /// If it did: first and last month, by their first days, that hold the jump nine times in ten.
    pub length_jump_first: Option<NaiveDate>,
    /// The last of them.
    pub length_jump_last: Option<NaiveDate>,
}

/// The fixed word for what an advice waits for.
#[must_use]
pub fn waits_for(reservation: Reservation) -> &'static str {
    match reservation {
        Reservation::NothingBetter => "a-better-length",
        Reservation::NotSureEnough => "surer-signs",
        Reservation::SavesTooLittle => "more-to-save",
        Reservation::TooFewReports => "more-reports",
        Reservation::LastChangeTooFresh => "the-last-change",
    }
}

/// A lot of yarn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpoolLine {
    /// Its name.
    pub spool: String,
    /// Strings.
    pub strings: u32,
    /// Fit reports.
    pub reports: u32,
    /// Misfits.
    pub misfits: u32,
}

/// A maker by initials, `-` where nobody is recorded; counts only.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MakerLine {
    /// Initials.
    pub maker: String,
    /// Strings.
    pub strings: u32,
    /// Reports, as everywhere on the sheet.
    pub reports: u32,
    /// Strings built off: with a complaint about fit that was the workshop's fault. They are no reports.
    pub workshop: u32,
}

/// A yarn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct YarnLine {
    /// Yarn.
    pub yarn: Yarn,
    /// Strings.
    pub strings: u32,
    /// Weighted by how much of its complaints each has shown.
    pub effective_strings: f64,
    /// Fit reports.
    pub reports: u32,
    /// Misfits.
    pub misfits: u32,
    /// Share with a fit report.
    pub rate: Option<f64>,
    /// 95 % interval.
    pub rate_low: Option<f64>,
    /// 95 % interval.
    pub rate_high: Option<f64>,
}

/// A cause of the reports that are settled.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CauseLine {
    /// Cause.
    pub cause: Cause,
    /// Settled reports.
    pub reports: u32,
    /// Of these misfits.
    pub misfits: u32,
    /// What they cost.
    pub cost_cents: i64,
}

/// Complaints that are no report of any row, and why not.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OtherLine {
    /// Why not.
    pub kind: OtherKind,
    /// How many.
    pub complaints: u32,
    /// What they cost.
    pub cost_cents: i64,
}

/// Fit reports of a month against what was expected.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MonthLine {
    /// `YYYY-MM`.
    pub month: String,
    /// Fit reports.
    pub reports: u32,
    /// Strings whose complaints fell due.
    pub exposure: f64,
    /// Expected from the year before it.
    pub expected: Option<f64>,
    /// 90 % range.
    pub expected_low: Option<u32>,
    /// 90 % range.
    pub expected_high: Option<u32>,
}

/// Share without a fit report after a day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct QuietStep {
    /// Days since delivery.
    pub day: u32,
    /// Strings followed to that day.
    pub at_risk: u32,
    /// Reports on it.
    pub reports: u32,
    /// Share without a report.
    pub share: f64,
    /// Its standard error.
    pub standard_error: Option<f64>,
}

/// Share of strings whose report ended one way, by day.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EndedStep {
    /// Days since delivery.
    pub day: u32,
    /// Shares, in the order of `outcomes`.
    pub shares: Vec<f64>,
}

/// The length error of one month of deliveries, as all months up to today show it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CourseStep {
    /// Route.
    pub route: Route,
    /// Kind of bow.
    pub bow_kind: BowKind,
    /// `YYYY-MM` of the deliveries.
    pub month: String,
    /// Strings delivered in it.
    pub strings: u32,
    /// Right length minus ordered length under the offset in force now.
    pub length_error_inch: f64,
    /// 95 % interval.
    pub length_error_low: f64,
    /// 95 % interval.
    pub length_error_high: f64,
}

/// How an offset went since it was changed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SinceChange {
    /// Route.
    pub route: Route,
    /// Kind of bow.
    pub bow_kind: BowKind,
    /// Day of the change.
    pub changed_on: NaiveDate,
    /// Taken off before.
    pub from_inch: f64,
    /// Taken off since.
    pub to_inch: f64,
    /// Strings under the offsets before.
    pub strings_before: u32,
    /// Weighted by how much of its complaints each has shown.
    pub effective_before: f64,
    /// Their fit reports.
    pub reports_before: u32,
    /// Strings under the new one.
    pub strings_since: u32,
    /// Weighted by how much of its complaints each has shown.
    pub effective_since: f64,
    /// Their fit reports.
    pub reports_since: u32,
}

/// The settings that the sheet hangs on.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Basis {
    /// Play: so much too long is shortened by turns.
    pub play_shorten_inch: f64,
    /// Play: so much too short is let out.
    pub play_lengthen_inch: f64,
    /// Share of misfits that are told, as used.
    pub told_share: f64,
    /// It was learned from answers of quiet archers.
    pub told_share_learned: bool,
    /// Answers of quiet archers.
    pub answers: u32,
    /// Days within which a report counts.
    pub horizon_days: u32,
    /// Months of deliveries looked at.
    pub memory_months: u32,
    /// A change is advised from this chance on that it helps,
    pub advice_chance: f64,
    /// The same where a change saves much.
    pub advice_chance_where_much: f64,
    /// What is much, complaints a year.
    pub advice_much: f64,
    /// from so many complaints a year on that it saves,
    pub advice_saves: f64,
    /// from so many reports with a direction on,
    pub advice_reports: u32,
    /// and so many days after the last change.
    pub advice_hold_days: u32,
}

/// The sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MonthView {
    /// `YYYY-MM`.
    pub month: String,
    /// First day of the month.
    pub from: NaiveDate,
    /// Its last day, or today while it runs.
    pub to: NaiveDate,
    /// First day whose deliveries are looked at.
    pub memory_from: NaiveDate,
    /// The whole shop.
    pub shop: MonthRowView,
    /// Routes, then routes and kinds of bow.
    pub routes: Vec<MonthRowView>,
    /// Free replacements delivered.
    pub replacements: u32,
    /// Of these misfits again.
    pub remakes_again: u32,
    /// Strings delivered that are in none of the figures.
    pub sizing_unknown: SizingUnknown,
    /// By lot of yarn.
    pub by_spool: Vec<SpoolLine>,
    /// By maker, counts only.
    pub by_maker: Vec<MakerLine>,
    /// By yarn.
    pub by_yarn: Vec<YarnLine>,
    /// Causes of settled reports.
    pub causes: Vec<CauseLine>,
    /// Reports that are not settled; with those of the causes they are all reports of the shop.
    pub open_reports: u32,
    /// What they cost so far.
    pub open_cost_cents: i64,
    /// Complaints that are no reports.
    pub others: Vec<OtherLine>,
    /// Cost of every complaint, the others among them.
    pub cost_of_all_cents: i64,
    /// Reports from before the first of `months`.
    pub reports_before_months: u32,
    /// Last months.
    pub months: Vec<MonthLine>,
    /// Days after delivery, and the share of complaints that is in by then.
    #[serde(rename = "ripeness")]
    pub reporting_delay: Vec<(u32, f64)>,
    /// Share never reported, by age.
    pub never_reported: Vec<QuietStep>,
    /// Names of the outcomes in `ended`.
    pub outcomes: Vec<String>,
    /// Cumulative incidence by outcome.
    pub ended: Vec<EndedStep>,
    /// How changed offsets went.
    pub since_changes: Vec<SinceChange>,
    /// How the length went from month to month, where it jumped or a change is advised.
    pub courses: Vec<CourseStep>,
    /// Day since which complaints are written down.
    pub reports_since: Option<NaiveDate>,
    /// `YYYY-MM` of the first month that has six others to compare it with.
    pub comparable_from: String,
    /// Settings behind the figures.
    pub basis: Basis,
    /// What to read first; the caller makes sentences of it.
    #[serde(skip)]
    pub findings: Vec<Finding>,
    /// Reports dated before the delivery of their string.
    pub reports_before_delivery: u32,
}

impl MonthView {
    /// Rows of whole routes.
    pub fn whole_routes(&self) -> impl Iterator<Item = &MonthRowView> {
        self.routes.iter().filter(|row| row.bow_kind.is_none())
    }

    /// Rows of routes and kinds of bow.
    pub fn units(&self) -> impl Iterator<Item = &MonthRowView> {
        self.routes.iter().filter(|row| row.bow_kind.is_some())
    }
}
