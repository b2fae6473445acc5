//! Rates, comparison of the routes, months and costs.

use std::collections::BTreeMap;

use super::gather::{Seen, ages, count, effective, misfits, reported};
use super::name;
use super::view::{EndedStep, MonthLine, MonthRowView, QuietStep};
use crate::evidence::EvidenceError;
use crate::evidence::calendar::Month;
use crate::evidence::change::{CreepRule, HISTORY_MONTHS, PeriodCount, compare_month, creep_path};
use crate::evidence::cost::{OutcomeCost, cost_per_string};
use crate::evidence::ranking::{Label, RankingGrid, mix_may_explain, rank_routes};
use crate::evidence::rate::{KindCell, Tally, is_early, observed_against_expected, shown_rate};
use crate::evidence::reporting_delay::ReportingDelay;
use crate::evidence::still_to_come::still_to_come;
use crate::evidence::survival::{Followed, cumulative_incidence, survival_curve};
use crate::mechanics::bow::BowKind;
use crate::numeric::NegativeBinomial;
use crate::trade::month::ReportFacts;
use crate::trade::rules::Rules;
use crate::trade::words::{Direction, Outcome, Route};

/// What all comparisons share.
pub(super) struct Look<'a> {
    pub(super) rules: &'a Rules,
    pub(super) curve: &'a ReportingDelay,
    pub(super) month: Month,
    pub(super) to: chrono::NaiveDate,
    /// Months looked at, oldest first; the last is that of the look.
    pub(super) months: Vec<Month>,
    pub(super) ranking: RankingGrid,
}

impl Look<'_> {
    pub(super) fn tally(&self, strings: &[&Seen]) -> Result<Tally, EvidenceError> {
        Tally::new(reported(strings.iter().copied()), effective(self.curve, strings.iter().copied()))
    }

    /// Counts, rates and costs of some strings.
    pub(super) fn row(
        &self,
        route: Option<Route>,
        bow_kind: Option<BowKind>,
        strings: &[&Seen],
    ) -> Result<MonthRowView, EvidenceError> {
        let tally = self.tally(strings)?;
        let misfits = Tally::new(misfits(strings.iter().copied()), tally.effective())?;
        let all = count(strings.iter().copied());
        let (rate, misfit_rate) = (shown_rate(&tally), shown_rate(&misfits));
        let young_from = self.month.plus(-1).first_day();
        let young = count(strings.iter().copied().filter(|seen| seen.delivered >= young_from));
        let directed = |wanted: Direction| {
            count(strings.iter().copied().filter(|seen| {
                seen.report.as_ref().is_some_and(|report| report.direction(self.rules) == Some(wanted))
            }))
        };
        let this_month = strings.iter().copied().filter(|seen| {
            seen.reported_on.is_some_and(|day| day >= self.month.first_day() && day <= self.to)
        });
        let mut row = MonthRowView {
            route,
            bow_kind,
            strings: all,
            effective_strings: tally.effective(),
            reports: tally.reports(),
            misfits: misfits.reports(),
            rate: rate.map(|rate| rate.point),
            rate_low: rate.map(|rate| rate.interval.low),
            rate_high: rate.map(|rate| rate.interval.high),
            misfit_rate: misfit_rate.map(|rate| rate.point),
            misfit_low: misfit_rate.map(|rate| rate.interval.low),
            misfit_high: misfit_rate.map(|rate| rate.interval.high),
            label: Label::CannotTell.name(),
            this_month_reports: count(this_month),
            short: directed(Direction::Short),
            long: directed(Direction::Long),
            early: is_early(young, all),
            ..MonthRowView::default()
        };
        self.costs(&mut row, strings, &tally)?;
        Ok(row)
    }

    fn costs(&self, row: &mut MonthRowView, strings: &[&Seen], tally: &Tally) -> Result<(), EvidenceError> {
        let mut by_cost = BTreeMap::<i64, u32>::new();
        for report in strings.iter().filter_map(|seen| seen.report.as_deref()) {
            *by_cost.entry(self.cost_of_report(report)).or_default() += 1;
        }
        row.cost_total_cents = by_cost
            .iter()
            .fold(0_i64, |sum, (cents, n)| sum.saturating_add(cents.saturating_mul(i64::from(*n))));
        let outcomes: Vec<OutcomeCost> =
            by_cost.iter().map(|(cents, n)| OutcomeCost { count: *n, cost: *cents as f64 }).collect();
        if tally.is_enough()
            && let Some(cost) = cost_per_string(&outcomes, tally.effective())?
        {
            row.cost_cents = Some(cost.point.round() as i64);
            row.cost_low_cents = Some(cost.interval.low.round() as i64);
            // Where nothing has cost anything yet, a first remake is what it could come to.
            let high = if outcomes.is_empty() {
                cost_per_string(
                    &[OutcomeCost { count: 0, cost: self.cost_of(Some(Outcome::Remade)) as f64 }],
                    tally.effective(),
                )?
                .map_or(cost.interval.high, |cost| cost.interval.high)
            } else {
                cost.interval.high
            };
            row.cost_high_cents = Some(high.round() as i64);
        }
        Ok(())
    }

    /// What a complaint cost: the money that was booked for it, else what one that ended so usually
    /// does.
    pub(super) fn cost_of_report(&self, report: &ReportFacts) -> i64 {
        report.cents.unwrap_or_else(|| self.cost_of(report.end.map(|end| end.outcome))).max(0)
    }

    /// What a report costs by its outcome, where no money was booked for it.
    fn cost_of(&self, outcome: Option<Outcome>) -> i64 {
        let costs = self.rules.costs;
        match outcome {
            Some(Outcome::Remade) => costs.answer + costs.remake + costs.label,
            _ => costs.answer,
        }
    }

    /// Compares the rows of whole routes, in the order of `strings`.
    pub(super) fn rank(
        &self,
        rows: &mut [MonthRowView],
        strings: &[Vec<&Seen>],
    ) -> Result<f64, EvidenceError> {
        let tallies: Vec<Tally> = strings.iter().map(|s| self.tally(s)).collect::<Result<_, _>>()?;
        if tallies.is_empty() {
            return Ok(0.0);
        }
        let ranking = rank_routes(&tallies, &self.ranking)?;
        let shop = self.by_kind(strings.iter().flatten().copied())?;
        for (place, (row, tally)) in rows.iter_mut().zip(&tallies).enumerate() {
            let ranked = &ranking.routes[place];
            let quiet = strings[place].iter().copied().filter(|seen| seen.report.is_none());
            let rate = ranked.shrunk.point.clamp(0.0, 1.0);
            let coming = still_to_come(rate, tally.reports(), &ages(quiet), self.curve)?;
            row.still_to_come = Some(coming.expected);
            row.still_to_come_low = Some(coming.low);
            row.still_to_come_high = Some(coming.high);
            if !tally.is_enough() {
                continue;
            }
            row.shrunk_rate = Some(ranked.shrunk.point);
            row.shrunk_low = Some(ranked.shrunk.interval.low);
            row.shrunk_high = Some(ranked.shrunk.interval.high);
            row.chance_worse = ranked.chances.map(|chances| chances.worse);
            row.label = ranked.label.name();
            let own = self.by_kind(strings[place].iter().copied())?;
            let cells: Vec<KindCell> =
                own.into_iter().zip(&shop).map(|(route, shop)| KindCell { route, shop: *shop }).collect();
            if let Some(mix) = observed_against_expected(&cells)? {
                row.expected_by_bow_kind = Some(mix.expected);
                row.bows_may_explain = mix_may_explain(ranked.label, &mix);
            }
        }
        Ok(ranking.shop_mean)
    }

    /// Tallies of the strings of each kind of bow.
    fn by_kind<'a>(
        &self,
        strings: impl Iterator<Item = &'a Seen> + Clone,
    ) -> Result<Vec<Tally>, EvidenceError> {
        let of_kind = |kind: &BowKind| {
            let strings: Vec<&Seen> = strings.clone().filter(|seen| seen.kind == *kind).collect();
            self.tally(&strings)
        };
        BowKind::ALL.iter().map(of_kind).collect()
    }

    /// Reports and exposure of each month.
    pub(super) fn periods(&self, strings: &[&Seen]) -> Result<Vec<PeriodCount>, EvidenceError> {
        let mut reports = vec![0_u32; self.months.len()];
        for seen in strings {
            let place = seen
                .reported_on
                .filter(|day| *day <= self.to)
                .map(|day| Month::of(day).since(self.months[0]));
            if let Some(n) = place.and_then(|place| reports.get_mut(usize::try_from(place).ok()?)) {
                *n += seen.count;
            }
        }
        let ages = ages(strings.iter().copied());
        self.months
            .iter()
            .zip(reports)
            .map(|(month, reports)| PeriodCount::new(reports, self.curve.exposure(&ages, *month, self.to)))
            .collect()
    }

    /// This month against the year before.
    pub(super) fn test_month(
        &self,
        row: &mut MonthRowView,
        periods: &[PeriodCount],
    ) -> Result<(), EvidenceError> {
        if let Some((now, before)) = periods.split_last()
            && let Some(test) = compare_month(*now, before)?
        {
            row.this_month_expected = Some(test.expected);
            row.this_month_p = Some(test.mid_p);
        }
        Ok(())
    }

    /// Creep of a route through its months: since when, where it gives an alarm now.
    pub(super) fn creep(
        &self,
        row: &mut MonthRowView,
        periods: &[PeriodCount],
        shop: &[PeriodCount],
    ) -> Result<Option<Month>, EvidenceError> {
        let steps = creep_path(periods, shop, &CreepRule::default())?;
        let last = steps.last();
        row.creep = last.filter(|step| step.expected.is_some()).map(|step| step.score);
        row.creep_alarm = last.is_some_and(|step| step.alarm);
        Ok(last.and_then(|step| step.began).map(|place| self.months[place]))
    }

    /// The last 13 months of the shop with what was expected.
    pub(super) fn lines(&self, periods: &[PeriodCount]) -> Result<Vec<MonthLine>, EvidenceError> {
        let from = self.months.len().saturating_sub(HISTORY_MONTHS + 1);
        let mut lines = Vec::new();
        for (place, month) in self.months.iter().enumerate().skip(from) {
            let test = compare_month(periods[place], &periods[..place])?;
            let range = test
                .map(|test| {
                    let history = &periods[place.saturating_sub(HISTORY_MONTHS)..place];
                    let before = PeriodCount::sum(history).reports();
                    let range = NegativeBinomial::new(f64::from(before) + 1.0, test.expected)?;
                    Ok::<_, EvidenceError>((range.quantile(0.05)?, range.quantile(0.95)?))
                })
                .transpose()?;
            lines.push(MonthLine {
                month: name(*month),
                reports: periods[place].reports(),
                exposure: periods[place].exposure(),
                expected: test.map(|test| test.expected),
                expected_low: range.map(|range| range.0),
                expected_high: range.map(|range| range.1),
            });
        }
        Ok(lines)
    }
}

/// How reports accumulate with age: never reported, and by outcome.
pub(super) fn survival(strings: &[&Seen], horizon: u32) -> (Vec<QuietStep>, Vec<String>, Vec<EndedStep>) {
    let followed: Vec<Followed<Option<Outcome>>> = strings
        .iter()
        // Of a string that was delivered before complaints were written down nobody knows the first days.
        .filter(|seen| seen.hidden.is_none())
        .flat_map(|seen| {
            let days = seen.delay().unwrap_or_else(|| seen.age.min(horizon));
            let outcome = seen.report.as_ref().map(|report| report.end.map(|end| end.outcome));
            std::iter::repeat_n(Followed { days, outcome }, seen.count as usize)
        })
        .collect();
    let quiet = survival_curve(&followed)
        .into_iter()
        .map(|step| QuietStep {
            day: step.day,
            at_risk: step.at_risk,
            reports: step.events,
            share: step.survival,
            standard_error: step.standard_error,
        })
        .collect();
    let incidence = cumulative_incidence(&followed);
    let outcomes = incidence
        .outcomes
        .iter()
        .map(|outcome| outcome.map_or_else(|| "open".to_owned(), |outcome| outcome.to_string()))
        .collect();
    let ended =
        incidence.steps.into_iter().map(|step| EndedStep { day: step.day, shares: step.incidence }).collect();
    (quiet, outcomes, ended)
}
