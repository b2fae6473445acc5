//! Length error and advised change of each route and kind of bow.

use super::gather::{Seen, count, effective};
use super::view::{CourseStep, MonthRowView, SinceChange, waits_for};
use crate::evidence::EvidenceError;
use crate::evidence::advice::{Advice, AdviceRule, MisfitCosts, UnitFacts, advise};
use crate::evidence::calendar::Month;
use crate::evidence::course::{Course, Jumps, LastJump};
use crate::evidence::length_error::{LengthModel, LengthObservations, Play, ROUNDING_INCH, StringEvidence};
use crate::evidence::length_tables::{LengthGrid, LengthTables};
use crate::evidence::posterior::{LengthPrior, half_way_to_all};
use crate::evidence::rate::MINIMUM_EFFECTIVE;
use crate::evidence::reporting_delay::ReportingDelay;
use crate::evidence::told_share::{Asked, ToldGrid, weights};
use crate::mechanics::bow::BowKind;
use crate::trade::month::{MonthRules, OffsetChange, Offsets};
use crate::trade::rules::Rules;
use crate::trade::words::Route;

/// From so many answers on the told share is learned from them; before, they only say which
/// strings fit. With fewer the starting belief alone would replace the setting (judgement).
pub(super) const ANSWERS_TO_LEARN: u32 = 20;
/// Days of a year, for how many strings a change would touch.
const YEAR: u32 = 365;
/// From this chance on that the length jumped, the sheet says when (judgement).
const JUMPED: f64 = 0.5;

/// A route and kind of bow with all that its length error is worked out from.
pub(super) struct Unit<'a> {
    pub(super) route: Route,
    pub(super) kind: BowKind,
    pub(super) strings: Vec<&'a Seen>,
}

/// What all units share.
pub(super) struct Setting<'a> {
    pub(super) rules: &'a Rules,
    pub(super) month: MonthRules,
    pub(super) offsets: &'a Offsets,
    pub(super) curve: &'a ReportingDelay,
    pub(super) grid: LengthGrid,
    /// The month of the look.
    pub(super) last: Month,
}

/// The told share in use, and whether it was learned.
pub(super) struct Told {
    pub(super) share: f64,
    pub(super) learned: bool,
}

/// Strings of a unit by month of delivery, oldest first, up to the month of the look.
struct Prepared {
    first: Month,
    months: Vec<LengthObservations>,
    /// The answers among them.
    asked: Asked,
}

/// The course of a unit.
struct Followed<'t> {
    course: Course<'t>,
    /// When its length jumped last.
    jump: Option<LastJump>,
    /// A report was set aside because it alone speaks for a jump.
    set_aside: bool,
}

impl Setting<'_> {
    pub(super) fn play(&self) -> Result<Play, EvidenceError> {
        Play::new(self.month.play_shorten, self.month.play_lengthen)
    }

    fn model(&self, told_share: f64) -> Result<LengthModel, EvidenceError> {
        let play = self.play()?;
        Ok(LengthModel { play, rounding_inch: ROUNDING_INCH, told_share, ..LengthModel::default() })
    }

    fn prepare(&self, unit: &Unit<'_>) -> Result<Prepared, EvidenceError> {
        let play = self.play()?;
        let present = self.offsets.in_force(unit.route, unit.kind);
        let first = unit.strings.iter().map(|seen| Month::of(seen.delivered)).min().unwrap_or(self.last);
        let mut evidence = vec![Vec::new(); usize::try_from(self.last.since(first)).unwrap_or(0) + 1];
        for seen in &unit.strings {
            let place = usize::try_from(Month::of(seen.delivered).since(first)).unwrap_or(0);
            if let (Some(month), Some(known)) = (evidence.get_mut(place), seen.known(self.rules, self.curve))
            {
                // The book knows what was taken off; the estimate what was added.
                let offset_inch = -seen.offset.unwrap_or(present);
                month.push(StringEvidence { offset_inch, known, count: seen.count });
            }
        }
        let months = evidence
            .iter()
            .map(|strings| LengthObservations::group(strings, -present, &play))
            .collect::<Result<_, _>>()?;
        let mut asked = Asked::default();
        for answer in unit.strings.iter().filter_map(|seen| seen.answer.filter(|_| seen.report.is_none())) {
            asked.answers += 1;
            if let Some(chance) = answer.chance {
                asked.drawn += 1;
                asked.inverse_chances += 1.0 / chance;
            }
        }
        Ok(Prepared { first, months, asked })
    }

    /// Follows the months of a unit; a jump that a single report speaks for is not believed yet.
    fn follow<'t>(
        prepared: &Prepared,
        tables: &'t LengthTables,
        prior: &LengthPrior,
    ) -> Result<Followed<'t>, EvidenceError> {
        let jumps = Jumps::default();
        let course = Course::follow(&prepared.months, tables, prior, &jumps)?;
        let jump = course.last_jump();
        let believed = jump.filter(|jump| jump.chance >= JUMPED);
        let without =
            believed.and_then(|jump| LengthObservations::without_a_lone_report(&prepared.months, jump.month));
        let Some(months) = without else { return Ok(Followed { course, jump, set_aside: false }) };
        let course = Course::follow(&months, tables, prior, &jumps)?;
        Ok(Followed { jump: course.last_jump(), course, set_aside: true })
    }

    /// The share of misfits that are told, as the answers of all units show it together.
    fn told(&self, prepared: &[Prepared], answers: u32) -> Result<Told, EvidenceError> {
        if answers < ANSWERS_TO_LEARN {
            return Ok(Told { share: self.month.told_share, learned: false });
        }
        let asked: Vec<&Prepared> =
            prepared.iter().filter(|unit| unit.months.iter().any(LengthObservations::has_answers)).collect();
        let weights = weights(&asked.iter().map(|unit| unit.asked).collect::<Vec<_>>());
        let learned = ToldGrid::default().learned(|told_share| {
            let all = asked.iter().flat_map(|unit| &unit.months);
            let tables = LengthTables::new(&self.model(told_share)?, &LengthGrid::ROUGH, all)?;
            let mut ln_chance = 0.0;
            for (unit, weight) in asked.iter().zip(&weights) {
                let course =
                    Course::follow(&unit.months, &tables, &LengthPrior::default(), &Jumps::default())?;
                let told: f64 = unit.months.iter().map(|month| month.ln_told(told_share)).sum();
                ln_chance += weight * (course.ln_evidence + told);
            }
            Ok(ln_chance)
        })?;
        Ok(Told { share: learned.mean(), learned: true })
    }

    /// The told share that the sheet of these units uses.
    pub(super) fn told_share(&self, units: &[Unit<'_>], answers: u32) -> Result<f64, EvidenceError> {
        let prepared: Vec<Prepared> =
            units.iter().map(|unit| self.prepare(unit)).collect::<Result<_, _>>()?;
        Ok(self.told(&prepared, answers)?.share)
    }

    /// Fills length error and advice into the rows of the units, in the same order.
    pub(super) fn fill(
        &self,
        units: &[Unit<'_>],
        rows: &mut [MonthRowView],
        answers: u32,
    ) -> Result<(Told, Vec<CourseStep>), EvidenceError> {
        let prepared: Vec<Prepared> =
            units.iter().map(|unit| self.prepare(unit)).collect::<Result<_, _>>()?;
        let told = self.told(&prepared, answers)?;
        let tables_of = |share: f64, grid: &LengthGrid| {
            LengthTables::new(&self.model(share)?, grid, prepared.iter().flat_map(|unit| &unit.months))
        };
        let tables = tables_of(told.share, &self.grid)?;
        let more_told = tables_of(half_way_to_all(told.share), &LengthGrid::ROUGH)?;
        let mut courses = Vec::new();
        for ((unit, prepared), row) in units.iter().zip(&prepared).zip(rows) {
            courses.extend(self.fill_unit(unit, prepared, row, (&tables, &more_told))?);
        }
        Ok((told, courses))
    }

    fn fill_unit(
        &self,
        unit: &Unit<'_>,
        prepared: &Prepared,
        row: &mut MonthRowView,
        (tables, more_told): (&LengthTables, &LengthTables),
    ) -> Result<Vec<CourseStep>, EvidenceError> {
        let rule = AdviceRule::default();
        let offset = self.offsets.in_force(unit.route, unit.kind);
        let directions = LengthObservations::directions(&prepared.months);
        row.offset_inch = Some(offset);
        row.offset_changed_on = self.offsets.last_change(unit.route, unit.kind).map(|change| change.on);
        row.learned = row.short + row.long > 0 || prepared.months.iter().any(LengthObservations::has_answers);
        row.complaints_mean_inch = directions.settled.map(|settled| settled.mean);
        if row.effective_strings < MINIMUM_EFFECTIVE && directions.with_direction < rule.reports {
            return Ok(Vec::new());
        }
        let prior = LengthPrior::default();
        let Followed { course, jump, set_aside } = Self::follow(prepared, tables, &prior)?;
        let today = &course.today;
        row.length_report_set_aside = set_aside;
        row.length_error_inch = Some(today.error.mean_inch);
        row.length_error_low = Some(today.error.widened.low);
        row.length_error_high = Some(today.error.widened.high);
        row.length_spread_inch = Some(today.spread_inch);
        let more = Self::follow(prepared, more_told, &prior)?.course.today.error.mean_inch;
        row.length_error_if_more_told_inch = Some(more);
        let advice = self.advise(unit, prepared, &course, tables)?;
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
        let day =
            |place: usize| i32::try_from(place).ok().map(|place| prepared.first.plus(place).first_day());
        row.length_jump_chance = jump.map(|jump| jump.chance);
        let jump = jump.filter(|jump| jump.chance >= JUMPED);
        row.length_memory_from = jump.and_then(|jump| day(jump.month));
        row.length_jump_first = jump.and_then(|jump| day(jump.range.0));
        row.length_jump_last = jump.and_then(|jump| day(jump.range.1));
        if advised.is_none() && jump.is_none() {
            return Ok(Vec::new());
        }
        let step = |(place, error): (usize, crate::evidence::posterior::MeanError)| CourseStep {
            route: unit.route,
            bow_kind: unit.kind,
            month: i32::try_from(place)
                .map_or_else(|_| String::new(), |p| super::name(prepared.first.plus(p))),
            strings: prepared.months[place].strings(),
            length_error_inch: error.mean_inch,
            length_error_low: error.widened.low,
            length_error_high: error.widened.high,
        };
        Ok(course.smoothed().into_iter().enumerate().map(step).collect())
    }

    fn advise(
        &self,
        unit: &Unit<'_>,
        prepared: &Prepared,
        course: &Course<'_>,
        tables: &LengthTables,
    ) -> Result<Advice, EvidenceError> {
        let change = self.offsets.last_change(unit.route, unit.kind);
        let year = unit.strings.iter().copied().filter(|seen| seen.age < YEAR);
        let facts = UnitFacts {
            strings_a_year: f64::from(count(year)),
            reports_with_direction: LengthObservations::directions(&prepared.months).with_direction,
            days_under_changed_offset: change.map(|change| days_under(unit, &change)),
        };
        advise(&course.today, tables, &MisfitCosts::default(), &facts, &AdviceRule::default())
    }

    /// Variance of what is known of the mean error, square inches, and strings of the last year.
    pub(super) fn doubt(&self, unit: &Unit<'_>, told_share: f64) -> Result<(f64, f64), EvidenceError> {
        let prepared = self.prepare(unit)?;
        let tables = LengthTables::new(&self.model(told_share)?, &self.grid, &prepared.months)?;
        let course = Self::follow(&prepared, &tables, &LengthPrior::default())?.course;
        let sd = course.today.error.sd_inch;
        let year = unit.strings.iter().copied().filter(|seen| seen.age < YEAR);
        Ok((sd * sd, f64::from(count(year))))
    }

    /// What is to be expected of the next string, from a belief that fits the route.
    pub(super) fn outlook(
        &self,
        unit: &Unit<'_>,
        prior: &LengthPrior,
        told_share: f64,
    ) -> Result<Outlook, EvidenceError> {
        let prepared = self.prepare(unit)?;
        let tables = LengthTables::new(&self.model(told_share)?, &self.grid, &prepared.months)?;
        let course = Self::follow(&prepared, &tables, prior)?.course;
        let advice = self.advise(unit, &prepared, &course, &tables)?;
        let now = share_of(&advice, 0).unwrap_or_default() * told_share;
        let advised = advice.advised_change_inch();
        Ok(Outlook {
            strings: count(unit.strings.iter().copied()),
            reports: count(unit.strings.iter().copied().filter(|seen| seen.report.is_some())),
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
        let reports = |strings: &[&Seen]| count(strings.iter().copied().filter(|seen| seen.report.is_some()));
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

/// What is known of one route and kind of bow before a sale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::app) struct Outlook {
    pub(in crate::app) strings: u32,
    pub(in crate::app) reports: u32,
    pub(in crate::app) offset: f64,
    pub(in crate::app) error: f64,
    pub(in crate::app) low: f64,
    pub(in crate::app) high: f64,
    /// Advised change, where there is one.
    pub(in crate::app) change: Option<f64>,
    /// Chance of a complaint about fit with the offset in use.
    pub(in crate::app) complaint_now: f64,
    /// The same with the advised change.
    pub(in crate::app) complaint_changed: f64,
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
