//! Length error and advised change of each route and kind of bow.

use chrono::NaiveDate;

use super::gather::{Seen, count};
use super::view::{MonthRowView, SinceChange};
use crate::evidence::EvidenceError;
use crate::evidence::advice::{Advice, AdviceRule, MisfitCosts, UnitFacts, advise};
use crate::evidence::length_error::{LengthModel, LengthObservations, Play, ROUNDING_INCH, StringEvidence};
use crate::evidence::posterior::{
    LengthGrid, LengthPosterior, LengthPrior, ToldGrid, ToldShare, half_way_to_all, length_posterior,
};
use crate::evidence::rate::MINIMUM_EFFECTIVE;
use crate::evidence::ripeness::RipenessCurve;
use crate::mechanics::bow::BowKind;
use crate::trade::month::{MonthRules, OffsetChange, Offsets};
use crate::trade::rules::Rules;
use crate::trade::words::Route;

/// From so many answers on the told share is learned from them; before, they only say which
/// strings fit. With fewer the starting belief alone would replace the setting (judgement).
pub(super) const ANSWERS_TO_LEARN: u32 = 20;
/// Days of a year, for how many strings a change would touch.
const YEAR: u32 = 365;

/// A route and kind of bow with all that its length error is worked out from.
pub(super) struct Unit<'a> {
    pub(super) route: Route,
    pub(super) kind: BowKind,
    pub(super) strings: Vec<&'a Seen>,
    pub(super) memory_from: Option<NaiveDate>,
}

/// What all units share.
pub(super) struct Setting<'a> {
    pub(super) rules: &'a Rules,
    pub(super) month: MonthRules,
    pub(super) offsets: &'a Offsets,
    pub(super) curve: &'a RipenessCurve,
    pub(super) grid: LengthGrid,
}

/// The told share in use, and whether it was learned.
pub(super) struct Told {
    pub(super) share: f64,
    pub(super) learned: bool,
}

struct Prepared {
    seen: LengthObservations,
    answers: bool,
}

impl Setting<'_> {
    pub(super) fn play(&self) -> Result<Play, EvidenceError> {
        Play::new(self.month.play_shorten, self.month.play_lengthen)
    }

    fn model(&self) -> Result<LengthModel, EvidenceError> {
        Ok(LengthModel { play: self.play()?, rounding_inch: ROUNDING_INCH })
    }

    fn prepare(&self, unit: &Unit<'_>) -> Result<Prepared, EvidenceError> {
        let play = self.play()?;
        let present = self.offsets.in_force(unit.route, unit.kind);
        let mut evidence = Vec::new();
        let mut answers = false;
        for seen in &unit.strings {
            if unit.memory_from.is_some_and(|from| seen.delivered < from) {
                continue;
            }
            answers |= seen.answer.is_some() && seen.report.is_none();
            if let Some(known) = seen.known(self.rules, &play, self.curve) {
                // The book knows what was taken off; the estimate what was added.
                let string = StringEvidence { offset_inch: -seen.offset.unwrap_or(present), known };
                evidence.extend(std::iter::repeat_n(string, seen.count as usize));
            }
        }
        Ok(Prepared { seen: LengthObservations::group(&evidence, -present)?, answers })
    }

    fn posterior(
        &self,
        prepared: &Prepared,
        grid: &LengthGrid,
        told: &ToldShare,
    ) -> Result<LengthPosterior, EvidenceError> {
        length_posterior(&prepared.seen, &self.model()?, &LengthPrior::default(), grid, told)
    }

    /// Fills length error and advice into the rows of the units, in the same order.
    pub(super) fn fill(
        &self,
        units: &[Unit<'_>],
        rows: &mut [MonthRowView],
        answers: u32,
    ) -> Result<Told, EvidenceError> {
        let prepared: Vec<Prepared> =
            units.iter().map(|unit| self.prepare(unit)).collect::<Result<_, _>>()?;
        let learn = answers >= ANSWERS_TO_LEARN;
        let belief = ToldGrid::default();
        // What each unit says of the told share; a unit must not learn from itself twice.
        let said: Vec<Option<ToldGrid>> = prepared
            .iter()
            .map(|unit| {
                (learn && unit.answers)
                    .then(|| {
                        let told = ToldShare::Learned(belief.clone());
                        self.posterior(unit, &LengthGrid::COARSE, &told).map(|posterior| posterior.told)
                    })
                    .transpose()
            })
            .collect::<Result<_, _>>()?;
        let others = |place: usize| -> Result<ToldGrid, EvidenceError> {
            let grids: Vec<&ToldGrid> = said
                .iter()
                .enumerate()
                .filter(|(other, _)| *other != place)
                .filter_map(|(_, grid)| grid.as_ref())
                .collect();
            belief.pooled(&grids)
        };
        for (place, ((unit, prepared), row)) in units.iter().zip(&prepared).zip(rows).enumerate() {
            let told = if learn {
                ToldShare::Learned(others(place)?)
            } else {
                ToldShare::Fixed(self.month.told_share)
            };
            self.fill_unit(unit, prepared, row, &told)?;
        }
        let share = if learn { others(usize::MAX)?.mean() } else { self.month.told_share };
        Ok(Told { share, learned: learn })
    }

    fn fill_unit(
        &self,
        unit: &Unit<'_>,
        prepared: &Prepared,
        row: &mut MonthRowView,
        told: &ToldShare,
    ) -> Result<(), EvidenceError> {
        let rule = AdviceRule::default();
        let offset = self.offsets.in_force(unit.route, unit.kind);
        let change = self.offsets.last_change(unit.route, unit.kind);
        let directions = prepared.seen.directions();
        row.offset_inch = Some(offset);
        row.offset_changed_on = change.map(|change| change.on);
        row.length_memory_from = unit.memory_from;
        (row.short, row.long) = (directions.short, directions.long);
        row.complaints_mean_inch = directions.settled.map(|settled| settled.mean);
        if row.effective_strings < MINIMUM_EFFECTIVE && directions.with_direction < rule.reports {
            return Ok(());
        }
        let posterior = self.posterior(prepared, &self.grid, told)?;
        row.length_error_inch = Some(posterior.mean_inch);
        row.length_error_low = Some(posterior.widened.low);
        row.length_error_high = Some(posterior.widened.high);
        row.length_spread_inch = Some(posterior.spread_inch);
        let more = ToldShare::Fixed(half_way_to_all(posterior.told.mean()));
        row.length_error_if_more_told_inch =
            Some(self.posterior(prepared, &LengthGrid::COARSE, &more)?.mean_inch);
        let year: Vec<&Seen> = unit.strings.iter().copied().filter(|seen| seen.age < YEAR).collect();
        let facts = UnitFacts {
            strings_a_year: f64::from(count(year)),
            reports_with_direction: directions.with_direction,
            days_under_changed_offset: change.map(|change| days_under(unit, &change)),
        };
        let advice = advise(&posterior, &self.play()?, &MisfitCosts::default(), &facts, &rule)?;
        row.misfit_share_now = share_of(&advice, 0);
        if let Some(change) = advice.advised_change_inch() {
            row.advised_change_inch = Some(change);
            row.offset_advised_inch = Some(offset - change);
            row.advice_chance = Some(advice.suggested.chance_better);
            row.advice_saves_a_year = Some(advice.saving_a_year);
            row.misfit_share_advised = Some(advice.suggested.misfit_share);
        }
        Ok(())
    }

    /// How a changed offset went, where strings were delivered before and since.
    pub(super) fn since(&self, unit: &Unit<'_>) -> Option<SinceChange> {
        let change = self.offsets.last_change(unit.route, unit.kind)?;
        let under_new = |seen: &&&Seen| is_under(seen, &change);
        let since: Vec<&Seen> = unit.strings.iter().filter(under_new).copied().collect();
        let before: Vec<&Seen> = unit.strings.iter().filter(|seen| !under_new(seen)).copied().collect();
        let effective =
            |strings: &[&Seen]| self.curve.effective_strings(super::gather::ages(strings.iter().copied()));
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

impl Setting<'_> {
    /// What is to be expected of the next string, from a belief that fits the route.
    pub(super) fn outlook(&self, unit: &Unit<'_>, prior: &LengthPrior) -> Result<Outlook, EvidenceError> {
        let prepared = self.prepare(unit)?;
        let told = ToldShare::Fixed(self.month.told_share);
        let posterior = length_posterior(&prepared.seen, &self.model()?, prior, &self.grid, &told)?;
        let change = self.offsets.last_change(unit.route, unit.kind);
        let facts = UnitFacts {
            strings_a_year: f64::from(count(unit.strings.iter().copied().filter(|seen| seen.age < YEAR))),
            reports_with_direction: prepared.seen.directions().with_direction,
            days_under_changed_offset: change.map(|change| days_under(unit, &change)),
        };
        let advice =
            advise(&posterior, &self.play()?, &MisfitCosts::default(), &facts, &AdviceRule::default())?;
        let now = share_of(&advice, 0).unwrap_or_default() * self.month.told_share;
        let advised = advice.advised_change_inch();
        Ok(Outlook {
            strings: count(unit.strings.iter().copied()),
            reports: count(unit.strings.iter().copied().filter(|seen| seen.report.is_some())),
            offset: self.offsets.in_force(unit.route, unit.kind),
            error: posterior.mean_inch,
            low: posterior.widened.low,
            high: posterior.widened.high,
            change: advised,
            complaint_now: now,
            complaint_changed: advised.map_or(now, |_| advice.suggested.misfit_share * self.month.told_share),
        })
    }
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
