//! When to change an offset, whom to ask, and what to expect of the next string.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::course::{Setting, Told, Unit, follow};
use super::gather::{Seen, count, effective, gather, reported};
use super::view::{CourseStep, MonthRowView, SinceChange, waits_for};
use super::{Shop, name};
use crate::evidence::EvidenceError;
use crate::evidence::advice::{Advice, AdviceRule, MisfitCosts, UnitFacts, advise};
use crate::evidence::calendar::Month;
use crate::evidence::course::Course;
use crate::evidence::length_error::LengthObservations;
use crate::evidence::length_tables::{LengthGrid, LengthTables};
use crate::evidence::posterior::{LengthPrior, MeanError, half_way_to_all};
use crate::evidence::questions::worth;
use crate::evidence::rate::MINIMUM_EFFECTIVE;
use crate::evidence::reporting_delay::ReportingDelay;
use crate::mechanics::bow::BowKind;
use crate::trade::month::{MonthRules, OffsetChange};
use crate::trade::words::Route;

impl Setting<'_> {
    /// Fills length error and advice into the rows of the units, in the same order.
    pub(super) fn fill(
        &self,
        units: &[Unit<'_>],
        rows: &mut [MonthRowView],
        answers: u32,
    ) -> Result<(Told, Vec<CourseStep>), EvidenceError> {
        let told = self.told(units, answers)?;
        let tables = self.tables(units, told.share, &LengthGrid::SHEET)?;
        let more_told = self.tables(units, half_way_to_all(told.share), &LengthGrid::ROUGH)?;
        let mut courses = Vec::new();
        for (unit, row) in units.iter().zip(rows) {
            courses.extend(self.fill_unit(unit, row, (&tables, &more_told))?);
        }
        Ok((told, courses))
    }

    fn fill_unit(
        &self,
        unit: &Unit<'_>,
        row: &mut MonthRowView,
        (tables, more_told): (&LengthTables, &LengthTables),
    ) -> Result<Vec<CourseStep>, EvidenceError> {
        let rule = AdviceRule::default();
        let offset = self.offsets.in_force(unit.route, unit.kind);
        row.offset_inch = Some(offset);
        row.offset_changed_on = self.offsets.last_change(unit.route, unit.kind).map(|change| change.on);
        row.learned = row.short + row.long > 0 || unit.months.iter().any(LengthObservations::has_answers);
        row.complaints_mean_inch = unit.directions.settled.map(|settled| settled.mean);
        if row.effective_strings < MINIMUM_EFFECTIVE && unit.directions.with_direction < rule.reports {
            return Ok(Vec::new());
        }
        let prior = LengthPrior::default();
        let followed = follow(unit, tables, &prior)?;
        let (course, today) = (&followed.course, &followed.course.today);
        row.length_report_set_aside = followed.set_aside;
        row.length_error_inch = Some(today.error.mean_inch);
        row.length_error_low = Some(today.error.widened.low);
        row.length_error_high = Some(today.error.widened.high);
        row.length_spread_inch = Some(today.spread_inch);
        let more = follow(unit, more_told, &prior)?.course.today.error.mean_inch;
        row.length_error_if_more_told_inch = Some(more);
        let advice = self.advise(unit, course, tables)?;
        row.misfit_share_now = share_of(&advice, 0);
        let advised = advice.advised_change_inch();
        if let Some(change) = advised {
            row.advised_change_inch = Some(change);
            row.offset_advised_inch = Some(offset - change);
            row.advice_chance = Some(advice.suggested.chance_better);
            row.advice_saves_a_year = Some(advice.saving_a_year);
            row.misfit_share_advised = Some(advice.suggested.misfit_share);
        } else if advice.suggested.steps != 0 {
            row.considered_change_inch = Some(advice.suggested.change_inch);
            row.considered_chance = Some(advice.suggested.chance_better);
            row.considered_saves_a_year = Some(advice.saving_a_year);
            let words: Vec<&str> = advice.reservations.iter().map(|r| waits_for(*r)).collect();
            row.advice_waits_for = Some(words.join(" "));
        }
        let day = |place: usize| unit.month(place).map(Month::first_day);
        row.length_jump_chance = followed.jump.map(|jump| jump.chance);
        let jump = followed.said_jump();
        row.length_memory_from = jump.and_then(|jump| day(jump.month));
        row.length_jump_first = jump.and_then(|jump| day(jump.range.0));
        row.length_jump_last = jump.and_then(|jump| day(jump.range.1));
        if advised.is_none() && jump.is_none() {
            return Ok(Vec::new());
        }
        let step = |(place, error): (usize, MeanError)| CourseStep {
            route: unit.route,
            bow_kind: unit.kind,
            month: unit.month(place).map(name).unwrap_or_default(),
            strings: unit.months[place].strings(),
            length_error_inch: error.mean_inch,
            length_error_low: error.widened.low,
            length_error_high: error.widened.high,
        };
        Ok(course.smoothed().into_iter().enumerate().map(step).collect())
    }

    fn advise(
        &self,
        unit: &Unit<'_>,
        course: &Course<'_>,
        tables: &LengthTables,
    ) -> Result<Advice, EvidenceError> {
        let change = self.offsets.last_change(unit.route, unit.kind);
        let facts = UnitFacts {
            strings_a_year: unit.a_year(),
            reports_with_direction: unit.directions.with_direction,
            days_under_changed_offset: change.map(|change| days_under(unit, &change)),
        };
        advise(&course.today, tables, &MisfitCosts::default(), &facts, &AdviceRule::default())
    }

    /// What is to be expected of the next string, from what was followed.
    fn outlook(
        &self,
        unit: &Unit<'_>,
        course: &Course<'_>,
        tables: &LengthTables,
        told_share: f64,
    ) -> Result<Outlook, EvidenceError> {
        let advice = self.advise(unit, course, tables)?;
        let now = share_of(&advice, 0).unwrap_or_default() * told_share;
        let advised = advice.advised_change_inch();
        Ok(Outlook {
            strings: count(unit.strings.iter().copied()),
            reports: reported(unit.strings.iter().copied()),
            offset: self.offsets.in_force(unit.route, unit.kind),
            error: course.today.error.mean_inch,
            low: course.today.error.widened.low,
            high: course.today.error.widened.high,
            change: advised,
            complaint_now: now,
            complaint_changed: advised.map_or(now, |_| advice.suggested.misfit_share * told_share),
        })
    }

    /// How a changed offset went, where strings were delivered before and since.
    pub(super) fn since(&self, unit: &Unit<'_>) -> Option<SinceChange> {
        let change = self.offsets.last_change(unit.route, unit.kind)?;
        let under_new = |seen: &&&Seen| is_under(seen, &change);
        let since: Vec<&Seen> = unit.strings.iter().filter(under_new).copied().collect();
        let before: Vec<&Seen> = unit.strings.iter().filter(|seen| !under_new(seen)).copied().collect();
        let effective = |strings: &[&Seen]| effective(self.curve, strings.iter().copied());
        let reports = |strings: &[&Seen]| reported(strings.iter().copied());
        Some(SinceChange {
            route: unit.route,
            bow_kind: unit.kind,
            changed_on: change.on,
            from_inch: change.from,
            to_inch: change.to,
            strings_before: count(before.iter().copied()),
            effective_before: effective(&before),
            reports_before: reports(&before),
            strings_since: count(since.iter().copied()),
            effective_since: effective(&since),
            reports_since: reports(&since),
        })
    }
}

/// What an answer of a quiet archer is worth on a day, by what decides it.
pub(crate) struct Worths {
    curve: ReportingDelay,
    told_share: f64,
    units: BTreeMap<(Route, BowKind), (f64, f64)>,
}

impl Worths {
    /// Of a string of a route and kind of bow, by its age in days.
    pub(crate) fn of(&self, route: Route, kind: BowKind, age: u32) -> f64 {
        let (doubt, strings) = self.units.get(&(route, kind)).copied().unwrap_or_default();
        worth(doubt, strings, self.told_share, self.curve.share_by(age))
    }
}

/// What answers are worth in a shop on a day.
pub(crate) fn worths(shop: Shop, look: NaiveDate) -> Result<Worths, EvidenceError> {
    let month = MonthRules::of(&shop.rules);
    let gathered = gather(shop.rows, &shop.rules, shop.reports_since, month.horizon_days, look);
    let curve = gathered.curve(month.horizon_days)?;
    let setting =
        Setting { rules: &shop.rules, month, offsets: &shop.offsets, curve: &curve, last: Month::of(look) };
    let units = setting.units(&gathered)?;
    let told_share = setting.told(&units, gathered.answers)?.share;
    let tables = setting.tables(&units, told_share, &LengthGrid::ROUGH)?;
    let doubt = |unit: &Unit<'_>| {
        let sd = follow(unit, &tables, &LengthPrior::default())?.course.today.error.sd_inch;
        Ok(((unit.route, unit.kind), (sd * sd, unit.a_year())))
    };
    let units = units.iter().map(doubt).collect::<Result<_, EvidenceError>>()?;
    Ok(Worths { told_share, units, curve })
}

/// From so many strings on a route and kind of bow speak for themselves.
pub(crate) const ENOUGH_STRINGS: u32 = 10;

/// What is to be expected of the next string by each of some routes on one kind of bow.
pub(crate) fn outlooks(
    shop: Shop,
    look: NaiveDate,
    kind: BowKind,
    beliefs: &[(Route, LengthPrior)],
) -> Result<Vec<(Route, Outlook)>, EvidenceError> {
    let month = MonthRules::of(&shop.rules);
    let gathered = gather(shop.rows, &shop.rules, shop.reports_since, month.horizon_days, look);
    let curve = gathered.curve(month.horizon_days)?;
    let setting =
        Setting { rules: &shop.rules, month, offsets: &shop.offsets, curve: &curve, last: Month::of(look) };
    let units = setting.units(&gathered)?;
    let told_share = setting.told(&units, gathered.answers)?.share;
    let tables = setting.tables(&units, told_share, &LengthGrid::SHEET)?;
    let outlook = |(route, prior): &(Route, LengthPrior)| {
        let unsold = setting.unit(*route, kind, Vec::new())?;
        let unit = units.iter().find(|unit| (unit.route, unit.kind) == (*route, kind)).unwrap_or(&unsold);
        // Where there are strings enough the figures are those of the sheet.
        let enough = count(unit.strings.iter().copied()) >= ENOUGH_STRINGS;
        let prior = if enough { LengthPrior::default() } else { *prior };
        let course = follow(unit, &tables, &prior)?.course;
        Ok((*route, setting.outlook(unit, &course, &tables, told_share)?))
    };
    beliefs.iter().map(outlook).collect()
}

/// What is known of one route and kind of bow before a sale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Outlook {
    pub(crate) strings: u32,
    pub(crate) reports: u32,
    pub(crate) offset: f64,
    pub(crate) error: f64,
    pub(crate) low: f64,
    pub(crate) high: f64,
    /// Advised change, where there is one.
    pub(crate) change: Option<f64>,
    /// Chance of a complaint about fit with the offset in use.
    pub(crate) complaint_now: f64,
    /// The same with the advised change.
    pub(crate) complaint_changed: f64,
}

/// Whether a string was cut by the offset in force since the change.
fn is_under(seen: &Seen, change: &OffsetChange) -> bool {
    seen.delivered >= change.on && seen.offset.is_none_or(|offset| (offset - change.to).abs() < 1e-6)
}

/// Age of the oldest string under the changed offset; 0 while there is none.
fn days_under(unit: &Unit<'_>, change: &OffsetChange) -> u32 {
    unit.strings.iter().filter(|seen| is_under(seen, change)).map(|seen| seen.age).max().unwrap_or(0)
}

fn share_of(advice: &Advice, steps: i32) -> Option<f64> {
    advice.outlooks.iter().find(|outlook| outlook.steps == steps).map(|outlook| outlook.misfit_share)
}
