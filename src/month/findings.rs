//! What a maker should read first: at most five findings, the advised changes before all others.

use chrono::NaiveDate;

use super::view::{MonthRowView, MonthView, SinceChange};
use crate::evidence::change::{ROUTE_MONTH_P, SHOP_MONTH_P};
use crate::mechanics::bow::BowKind;
use crate::trade::words::Route;

/// Most findings on a sheet.
pub const MOST_FINDINGS: usize = 5;
/// Most changes advised at once: the effect of more could not be told apart.
const MOST_CHANGES: usize = 2;

/// A finding with its numbers. Lengths in inches, rates as shares.
#[derive(Debug, Clone, PartialEq)]
#[allow(missing_docs, reason = "the line of each variant says what its numbers are")]
pub enum Finding {
    /// An offset is to be changed.
    Change {
        route: Route,
        kind: BowKind,
        error: f64,
        low: f64,
        high: f64,
        strings: u32,
        from: f64,
        to: f64,
        saves: f64,
        /// What its complaints cost on average, minor units; `None` where they cost nothing.
        cost_each: Option<f64>,
        chance: f64,
        share_now: f64,
        share_then: f64,
        /// First days of the first and the last month in which it probably came.
        since: Option<(NaiveDate, NaiveDate)>,
    },
    /// A route is worse than the others.
    Worse {
        route: Route,
        reports: u32,
        strings: u32,
        rate: f64,
        low: f64,
        high: f64,
        chance: f64,
        bows_may_explain: bool,
        early: bool,
        /// The kind of bow that most of its reports are from, and how many.
        mostly: Option<(BowKind, u32)>,
    },
    /// This month stands out.
    Month { route: Option<Route>, reports: u32, expected: f64, p: f64 },
    /// A route has crept up.
    Creep { route: Route, since: NaiveDate, strings: u32 },
    /// How a changed offset went.
    Since(SinceChange),
    /// More is still to come.
    StillToCome { expected: f64, low: u32, high: u32, strings: u32, early: bool },
    /// Nothing stands out.
    Calm { strings: u32, reports: u32, rate: Option<(f64, f64, f64)> },
    /// Too few strings for any rate.
    TooFew { strings: u32, effective: f64, reports: u32 },
    /// No string at all.
    NoStrings { from: NaiveDate, to: NaiveDate },
}

/// The kind of bow that three quarters of a route's reports are from, where there are several kinds.
fn mostly(view: &MonthView, row: &MonthRowView) -> Option<(BowKind, u32)> {
    let kinds: Vec<&MonthRowView> = view.units().filter(|unit| unit.route == row.route).collect();
    let most = kinds.iter().max_by_key(|unit| unit.reports).filter(|_| kinds.len() > 1)?;
    (4 * most.reports >= 3 * row.reports).then_some((most.bow_kind?, most.reports))
}

/// The findings of a sheet, most important first.
pub(super) fn findings(view: &MonthView, creeps: &[(Route, NaiveDate)]) -> Vec<Finding> {
    let shop = &view.shop;
    if shop.strings == 0 {
        return vec![Finding::NoStrings { from: view.memory_from, to: view.to }];
    }
    let mut found = Vec::new();
    let mut changes: Vec<(f64, Finding)> = view
        .units()
        .filter_map(|unit| {
            let saves = unit.advice_saves_a_year?;
            let change = Finding::Change {
                route: unit.route?,
                kind: unit.bow_kind?,
                error: unit.length_error_inch?,
                low: unit.length_error_low?,
                high: unit.length_error_high?,
                strings: unit.strings,
                from: unit.offset_inch?,
                to: unit.offset_advised_inch?,
                saves,
                cost_each: (unit.reports > 0 && unit.cost_total_cents > 0)
                    .then(|| unit.cost_total_cents as f64 / f64::from(unit.reports)),
                chance: unit.advice_chance?,
                share_now: unit.misfit_share_now?,
                share_then: unit.misfit_share_advised?,
                since: unit.length_jump_first.zip(unit.length_jump_last),
            };
            Some((saves, change))
        })
        .collect();
    changes.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.extend(changes.into_iter().take(MOST_CHANGES).map(|(_, change)| change));
    for row in view.whole_routes().filter(|row| matches!(row.label, "clearly-worse" | "worse")) {
        if let (Some(route), Some(rate), Some(low), Some(high), Some(chance)) =
            (row.route, row.rate, row.rate_low, row.rate_high, row.chance_worse)
        {
            found.push(Finding::Worse {
                route,
                reports: row.reports,
                strings: row.strings,
                rate,
                low,
                high,
                chance,
                bows_may_explain: row.bows_may_explain,
                early: row.early,
                mostly: mostly(view, row),
            });
        }
    }
    for (row, limit) in
        std::iter::once((shop, SHOP_MONTH_P)).chain(view.whole_routes().map(|row| (row, ROUTE_MONTH_P)))
    {
        if let (Some(expected), Some(p)) = (row.this_month_expected, row.this_month_p)
            && p <= limit
        {
            found.push(Finding::Month { route: row.route, reports: row.this_month_reports, expected, p });
        }
    }
    for (route, since) in creeps {
        let strings = view.whole_routes().find(|row| row.route == Some(*route)).map_or(0, |row| row.strings);
        found.push(Finding::Creep { route: *route, since: *since, strings });
    }
    let stands_out = !found.is_empty();
    found.extend(view.since_changes.iter().map(|since| Finding::Since(*since)));
    if shop.rate.is_none() {
        found.push(Finding::TooFew {
            strings: shop.strings,
            effective: shop.effective_strings,
            reports: shop.reports,
        });
    } else if !stands_out {
        found.push(Finding::Calm {
            strings: shop.strings,
            reports: shop.reports,
            rate: shop
                .rate
                .zip(shop.rate_low)
                .zip(shop.rate_high)
                .map(|((rate, low), high)| (rate, low, high)),
        });
    }
    if let (Some(expected), Some(low), Some(high)) =
        (shop.still_to_come, shop.still_to_come_low, shop.still_to_come_high)
        && shop.rate.is_some()
        && (high > 0 || shop.early)
    {
        found.push(Finding::StillToCome { expected, low, high, strings: shop.strings, early: shop.early });
    }
    found.truncate(MOST_FINDINGS);
    found
}
