//! What each route and kind of bow shows of its length, month of delivery by month, followed to today.

use std::collections::BTreeMap;

use super::gather::{Gathered, Seen, count};
use crate::evidence::EvidenceError;
use crate::evidence::calendar::Month;
use crate::evidence::course::{Course, Jumps, LastJump};
use crate::evidence::length_error::{
    Directions, LengthModel, LengthObservations, Play, ROUNDING_INCH, StringEvidence,
};
use crate::evidence::length_tables::{LengthGrid, LengthTables};
use crate::evidence::posterior::LengthPrior;
use crate::evidence::reporting_delay::ReportingDelay;
use crate::evidence::told_share::{Asked, ToldGrid, weights};
use crate::mechanics::bow::BowKind;
use crate::trade::month::{MonthRules, Offsets};
use crate::trade::rules::Rules;
use crate::trade::words::Route;

/// From so many answers on the told share is learned from them; before, they only say which
/// strings fit. With fewer the starting belief alone would replace the setting (judgement).
const ANSWERS_TO_LEARN: u32 = 20;
/// Days of a year, for how many strings a change would touch.
const YEAR: u32 = 365;
/// From this chance on that the length jumped, the sheet says when (judgement).
const JUMPED: f64 = 0.5;

/// A route and kind of bow with all that its length error is worked out from.
pub(super) struct Unit<'a> {
    pub(super) route: Route,
    pub(super) kind: BowKind,
    pub(super) strings: Vec<&'a Seen>,
    first: Month,
    /// What the strings tell by month of delivery, oldest first, up to the month of the look.
    pub(super) months: Vec<LengthObservations>,
    /// Its reports by direction.
    pub(super) directions: Directions,
    /// The answers among them.
    asked: Asked,
}

impl Unit<'_> {
    /// The month at a place of its months.
    pub(super) fn month(&self, place: usize) -> Option<Month> {
        i32::try_from(place).ok().map(|place| self.first.plus(place))
    }

    /// Strings of the last year.
    pub(super) fn a_year(&self) -> f64 {
        f64::from(count(self.strings.iter().copied().filter(|seen| seen.age < YEAR)))
    }
}

/// What all units share.
pub(super) struct Setting<'a> {
    pub(super) rules: &'a Rules,
    pub(super) month: MonthRules,
    pub(super) offsets: &'a Offsets,
    pub(super) curve: &'a ReportingDelay,
    /// The month of the look.
    pub(super) last: Month,
}

/// The told share in use, and whether it was learned.
pub(super) struct Told {
    pub(super) share: f64,
    pub(super) learned: bool,
}

/// The course of a unit.
pub(super) struct Followed<'t> {
    pub(super) course: Course<'t>,
    /// When its length jumped last.
    pub(super) jump: Option<LastJump>,
    /// A report was set aside because it alone speaks for a jump.
    pub(super) set_aside: bool,
}

impl Followed<'_> {
    /// The jump that is said.
    pub(super) fn said_jump(&self) -> Option<LastJump> {
        self.jump.filter(|jump| jump.chance >= JUMPED)
    }
}

impl Setting<'_> {
    fn model(&self, told_share: f64) -> Result<LengthModel, EvidenceError> {
        Ok(LengthModel {
            play: Play::new(self.month.play_shorten, self.month.play_lengthen)?,
            rounding_inch: ROUNDING_INCH,
            told_share,
            ..LengthModel::default()
        })
    }

    /// All that was gathered, by route and kind of bow.
    pub(super) fn units<'s>(&self, gathered: &'s Gathered) -> Result<Vec<Unit<'s>>, EvidenceError> {
        let mut units = BTreeMap::<_, Vec<&Seen>>::new();
        for seen in &gathered.strings {
            units.entry((seen.route, seen.kind)).or_default().push(seen);
        }
        units.into_iter().map(|((route, kind), strings)| self.unit(route, kind, strings)).collect()
    }

    /// Strings of a route and kind of bow.
    pub(super) fn unit<'s>(
        &self,
        route: Route,
        kind: BowKind,
        strings: Vec<&'s Seen>,
    ) -> Result<Unit<'s>, EvidenceError> {
        let play = Play::new(self.month.play_shorten, self.month.play_lengthen)?;
        let present = self.offsets.in_force(route, kind);
        let first = strings.iter().map(|seen| Month::of(seen.delivered)).min().unwrap_or(self.last);
        let mut evidence = vec![Vec::new(); usize::try_from(self.last.since(first)).unwrap_or(0) + 1];
        for seen in &strings {
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
            .collect::<Result<Vec<_>, _>>()?;
        let mut asked = Asked::default();
        for answer in strings.iter().filter_map(|seen| seen.answer.filter(|_| seen.report.is_none())) {
            asked.answers += 1;
            if let Some(chance) = answer.chance {
                asked.drawn += 1;
                asked.inverse_chances += 1.0 / chance;
            }
        }
        let directions = LengthObservations::directions(&months);
        Ok(Unit { route, kind, strings, first, months, directions, asked })
    }

    /// Tables that serve all of some units.
    pub(super) fn tables(
        &self,
        units: &[Unit<'_>],
        told_share: f64,
        grid: &LengthGrid,
    ) -> Result<LengthTables, EvidenceError> {
        let months = units.iter().flat_map(|unit| &unit.months);
        LengthTables::new(&self.model(told_share)?, grid, months)
    }

    /// The share of misfits that are told, as the answers of all units show it together.
    pub(super) fn told(&self, units: &[Unit<'_>], answers: u32) -> Result<Told, EvidenceError> {
        if answers < ANSWERS_TO_LEARN {
            return Ok(Told { share: self.month.told_share, learned: false });
        }
        let asked: Vec<&Unit<'_>> =
            units.iter().filter(|unit| unit.months.iter().any(LengthObservations::has_answers)).collect();
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
}

/// Follows the months of a unit; a jump that a single report speaks for is not believed yet.
pub(super) fn follow<'t>(
    unit: &Unit<'_>,
    tables: &'t LengthTables,
    prior: &LengthPrior,
) -> Result<Followed<'t>, EvidenceError> {
    let jumps = Jumps::default();
    let course = Course::follow(&unit.months, tables, prior, &jumps)?;
    let jump = course.last_jump();
    let believed = jump.filter(|jump| jump.chance >= JUMPED);
    let without =
        believed.and_then(|jump| LengthObservations::without_a_lone_report(&unit.months, jump.month));
    let Some(months) = without else { return Ok(Followed { course, jump, set_aside: false }) };
    let course = Course::follow(&months, tables, prior, &jumps)?;
    Ok(Followed { jump: course.last_jump(), course, set_aside: true })
}
