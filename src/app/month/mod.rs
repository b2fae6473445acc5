//! The month sheet: which ways of sizing cause returns, and what to change.
//!
//! The book gives counts; all that follows is sums over them, so that the same book always
//! gives the same sheet.

mod compare;
pub mod findings;
mod gather;
mod length;
pub mod view;

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::error::AppError;
use crate::book::{Book, Page};
use crate::evidence::EvidenceError;
use crate::evidence::calendar::{Month, first_day_of_memory};
use crate::evidence::length_tables::LengthGrid;
use crate::evidence::posterior::LengthPrior;
use crate::evidence::ranking::RankingGrid;
use crate::evidence::reporting_delay::ReportingDelay;
use crate::mechanics::bow::BowKind;
use crate::trade::month::{MonthLots, MonthRow, MonthRules, Offsets};
use crate::trade::rules::Rules;
use crate::trade::words::{Cause, Route};
use compare::Look;
use gather::{Gathered, Seen, count, gather};
pub(super) use length::Outlook;
use length::{Setting, Unit};
use view::{Basis, CauseLine, MakerLine, MonthRowView, MonthView, SpoolLine, YarnLine};

pub use compare::name;
pub use findings::Finding;

impl From<EvidenceError> for AppError {
    fn from(error: EvidenceError) -> Self {
        Self::Internal(format!("the month sheet cannot be worked out: {error}"))
    }
}

/// How fine the grids are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fineness {
    /// For the page.
    Page,
    /// For looking at many months.
    Many,
}

/// All that a sheet is worked out from.
#[derive(Debug, Clone)]
pub struct Shop {
    /// Strings with what came of them.
    pub rows: Vec<MonthRow>,
    /// Strings by lot of yarn and by maker.
    pub lots: MonthLots,
    /// Offsets in force at the end of the month.
    pub offsets: Offsets,
    /// The workshop's rules.
    pub rules: Rules,
}

/// The month a text names; the running one without a text.
///
/// # Errors
/// It cannot be read, or lies ahead.
pub fn month_of(text: Option<&str>, today: NaiveDate) -> Result<Month, AppError> {
    let running = Month::of(today);
    let Some(text) = text else { return Ok(running) };
    let read = || -> Option<Month> {
        let (a, b) = text.trim().split_once(['-', '/', '.'])?;
        let digits = |part: &str, most: usize| {
            (!part.is_empty() && part.len() <= most && part.bytes().all(|byte| byte.is_ascii_digit()))
                .then(|| part.parse::<i32>().ok())
                .flatten()
        };
        let (year, month) =
            if a.len() == 4 { (digits(a, 4)?, digits(b, 2)?) } else { (digits(b, 4)?, digits(a, 2)?) };
        (1900..=2200).contains(&year).then(|| Month::new(year, u32::try_from(month).ok()?)).flatten()
    };
    let Some(month) = read() else {
        return Err(AppError::Refused {
            message: format!("\"{}\" is no month", crate::words::shorten(text)),
            hints: vec![format!(
                "write it like {} or {:02}/{}",
                name(running),
                running.number(),
                running.year()
            )],
        });
    };
    if month > running {
        return Err(AppError::refused(
            format!("{} lies ahead of today, {today}", name(month)),
            format!("the running month is {}", name(running)),
        ));
    }
    Ok(month)
}

/// The sheet of a month; while it runs, as of today.
///
/// # Errors
/// The book cannot be read.
pub fn sheet(book: &mut Book, month: Month, today: NaiveDate) -> Result<MonthView, AppError> {
    let to = month.last_day().min(today);
    let shop = book.read(|page| shop_on(page, to))?;
    Ok(work_out(shop, month, to, Fineness::Page)?)
}

/// Rows, offsets and rules as they stand on a day.
pub(super) fn shop_on(page: &Page<'_>, to: NaiveDate) -> Result<Shop, AppError> {
    let rules = super::page_rules(page)?;
    let own = MonthRules::of(&rules);
    let from = first_day_of_memory(to, own.memory_months);
    let rows = page.month_rows(from, to, own.delivery_days)?;
    let lots = page.month_lots(from, to, own.delivery_days)?;
    let changes = page.offset_changes(to)?;
    let offsets =
        Offsets::from_changes(changes.iter().map(|(name, value, on)| (name.as_str(), value.as_str(), *on)));
    Ok(Shop { rows, lots, offsets, rules })
}

/// The reporting delay of the shop on a day.
pub(super) fn reporting_delay(shop: Shop, look: NaiveDate) -> Result<ReportingDelay, EvidenceError> {
    let horizon = MonthRules::of(&shop.rules).horizon_days;
    gather(shop.rows, &shop.rules, horizon, look).curve(horizon)
}

/// From so many strings on a route and kind of bow speak for themselves.
pub(super) const ENOUGH_STRINGS: u32 = 10;

/// What is to be expected of the next string by each of some routes on one kind of bow.
pub(super) fn outlooks(
    shop: Shop,
    look: NaiveDate,
    kind: BowKind,
    beliefs: &[(Route, LengthPrior)],
) -> Result<Vec<(Route, Outlook)>, EvidenceError> {
    let month = MonthRules::of(&shop.rules);
    let gathered = gather(shop.rows, &shop.rules, month.horizon_days, look);
    let curve = gathered.curve(month.horizon_days)?;
    let setting = Setting {
        rules: &shop.rules,
        month,
        offsets: &shop.offsets,
        curve: &curve,
        grid: LengthGrid::SHEET,
        last: Month::of(look),
    };
    beliefs
        .iter()
        .map(|(route, prior)| {
            let strings =
                gathered.strings.iter().filter(|seen| seen.route == *route && seen.kind == kind).collect();
            let unit = Unit { route: *route, kind, strings };
            // Where there are strings enough the figures are those of the sheet.
            let enough = count(unit.strings.iter().copied()) >= ENOUGH_STRINGS;
            let prior = if enough { LengthPrior::default() } else { *prior };
            Ok((*route, setting.outlook(&unit, &prior)?))
        })
        .collect()
}

/// Works the sheet out from its rows.
///
/// # Errors
/// A setting is out of range.
pub fn work_out(
    shop: Shop,
    month: Month,
    to: NaiveDate,
    fineness: Fineness,
) -> Result<MonthView, EvidenceError> {
    let Shop { rows, lots, offsets, rules } = shop;
    let own = MonthRules::of(&rules);
    let memory_from = first_day_of_memory(to, own.memory_months);
    let gathered = gather(rows, &rules, own.horizon_days, to);
    let curve = gathered.curve(own.horizon_days)?;
    let ranking = match fineness {
        Fineness::Page => RankingGrid::FINE,
        Fineness::Many => RankingGrid::COARSE,
    };
    let all: Vec<&Seen> = gathered.strings.iter().collect();
    // Months before the first delivery say nothing of how many reports are usual.
    let first = all.iter().map(|seen| seen.delivered).min().map_or(month, Month::of);
    let span = month.since(first).clamp(0, i32::try_from(own.memory_months).unwrap_or(i32::MAX) - 1);
    let look = Look {
        rules: &rules,
        curve: &curve,
        month,
        to,
        months: (0..=span).map(|back| month.plus(back - span)).collect(),
        ranking,
    };
    let mut row_of_shop = look.row(None, None, &all)?;
    let shop_periods = look.periods(&all)?;
    look.test_month(&mut row_of_shop, &shop_periods)?;

    let mut by_route = BTreeMap::<_, Vec<&Seen>>::new();
    let mut by_unit = BTreeMap::<_, Vec<&Seen>>::new();
    for seen in &gathered.strings {
        by_route.entry(seen.route).or_default().push(seen);
        by_unit.entry((seen.route, seen.kind)).or_default().push(seen);
    }
    let strings: Vec<Vec<&Seen>> = by_route.values().cloned().collect();
    let mut routes: Vec<MonthRowView> = by_route
        .iter()
        .map(|(route, strings)| look.row(Some(*route), None, strings))
        .collect::<Result<_, _>>()?;
    look.rank(&mut routes, &strings)?;
    let mut creeps = Vec::new();
    for ((route, strings), row) in by_route.iter().zip(&mut routes) {
        let periods = look.periods(strings)?;
        look.test_month(row, &periods)?;
        let began = look.creep(row, &periods, &shop_periods)?;
        creeps.extend(began.map(|began| (*route, began.first_day())));
    }
    coming_in_all(&mut row_of_shop, &routes)?;

    let setting = Setting {
        rules: &rules,
        month: own,
        offsets: &offsets,
        curve: &curve,
        grid: LengthGrid::SHEET,
        last: month,
    };
    let units: Vec<Unit<'_>> = by_unit
        .iter()
        .map(|((route, kind), strings)| Unit { route: *route, kind: *kind, strings: strings.clone() })
        .collect();
    let mut rows: Vec<MonthRowView> = units
        .iter()
        .map(|unit| look.row(Some(unit.route), Some(unit.kind), &unit.strings))
        .collect::<Result<_, _>>()?;
    let (told, courses) = setting.fill(&units, &mut rows, gathered.answers)?;
    let since_changes = units
        .iter()
        .filter_map(|unit| setting.since(unit))
        .filter(|since| since.changed_on >= memory_from)
        .collect();
    routes.extend(rows);

    let (never_reported, outcomes, ended) = compare::survival(&all, own.horizon_days);
    let mut view = MonthView {
        month: name(month),
        from: month.first_day(),
        to,
        memory_from,
        shop: row_of_shop,
        routes,
        replacements: gathered.replacements,
        remakes_again: gathered.remakes_again,
        by_spool: by_spool(&lots, &gathered),
        by_maker: by_maker(&lots, &gathered),
        by_yarn: by_yarn(&look, &gathered)?,
        causes: causes(&look, &gathered),
        open_reports: u32::try_from(gathered.reports.iter().filter(|report| report.end.is_none()).count())
            .unwrap_or(u32::MAX),
        months: look.lines(&shop_periods)?,
        ripeness: curve.edges().iter().copied().zip(curve.shares().iter().copied()).collect(),
        never_reported,
        outcomes,
        ended,
        since_changes,
        courses,
        basis: Basis {
            play_shorten_inch: own.play_shorten,
            play_lengthen_inch: own.play_lengthen,
            told_share: told.share,
            told_share_learned: told.learned,
            answers: gathered.answers,
            horizon_days: own.horizon_days,
            memory_months: own.memory_months,
        },
        findings: Vec::new(),
        reports_before_delivery: gathered.before_delivery,
    };
    view.findings = findings::findings(&view, &creeps);
    Ok(view)
}

/// What the whole shop still has to expect: the sum over its routes, with the range of that sum.
fn coming_in_all(shop: &mut MonthRowView, routes: &[MonthRowView]) -> Result<(), EvidenceError> {
    if routes.is_empty() {
        return Ok(());
    }
    let expected: f64 = routes.iter().filter_map(|row| row.still_to_come).sum();
    let range = crate::numeric::NegativeBinomial::new(f64::from(shop.reports) + 1.0, expected)?;
    shop.still_to_come = Some(expected);
    shop.still_to_come_low = Some(range.quantile(0.05)?);
    shop.still_to_come_high = Some(range.quantile(0.95)?);
    Ok(())
}

fn misfits<'a>(strings: impl IntoIterator<Item = &'a Seen>) -> u32 {
    count(strings.into_iter().filter(|seen| seen.report.as_ref().is_some_and(|report| report.is_misfit())))
}

/// Strings with a report or an answer, by the lot of yarn or the maker.
fn told_by<'a>(
    gathered: &'a Gathered,
    name: impl Fn(&'a Seen) -> Option<&'a String>,
) -> BTreeMap<&'a str, Vec<&'a Seen>> {
    let mut told = BTreeMap::<&str, Vec<&Seen>>::new();
    for seen in &gathered.strings {
        if let Some(name) = name(seen) {
            told.entry(name).or_default().push(seen);
        }
    }
    told
}

fn by_spool(lots: &MonthLots, gathered: &Gathered) -> Vec<SpoolLine> {
    let told = told_by(gathered, |seen| seen.spool.as_ref());
    let line = |(spool, strings): (&String, &u32)| {
        let told = told.get(spool.as_str()).map_or(&[][..], Vec::as_slice);
        SpoolLine {
            spool: spool.clone(),
            strings: *strings,
            reports: count(told.iter().copied().filter(|seen| seen.report.is_some())),
            misfits: misfits(told.iter().copied()),
        }
    };
    lots.spools.iter().map(line).collect()
}

fn by_maker(lots: &MonthLots, gathered: &Gathered) -> Vec<MakerLine> {
    let told = told_by(gathered, |seen| seen.maker.as_ref());
    let line = |(maker, strings): (&String, &u32)| {
        let told = told.get(maker.as_str()).map_or(&[][..], Vec::as_slice);
        MakerLine {
            maker: maker.clone(),
            strings: *strings,
            reports: count(told.iter().copied().filter(|seen| seen.report.is_some() || seen.workshop)),
            workshop: count(told.iter().copied().filter(|seen| seen.workshop)),
        }
    };
    lots.makers.iter().map(line).collect()
}

fn by_yarn(look: &Look<'_>, gathered: &Gathered) -> Result<Vec<YarnLine>, EvidenceError> {
    let mut yarns = BTreeMap::<_, Vec<&Seen>>::new();
    for seen in &gathered.strings {
        yarns.entry(seen.yarn).or_default().push(seen);
    }
    yarns
        .into_iter()
        .map(|(yarn, strings)| {
            let row = look.row(None, None, &strings)?;
            Ok(YarnLine {
                yarn,
                strings: row.strings,
                effective_strings: row.effective_strings,
                reports: row.reports,
                misfits: row.misfits,
                rate: row.rate,
                rate_low: row.rate_low,
                rate_high: row.rate_high,
            })
        })
        .collect()
}

fn causes(look: &Look<'_>, gathered: &Gathered) -> Vec<CauseLine> {
    Cause::ALL
        .iter()
        .filter_map(|cause| {
            let settled: Vec<_> = gathered
                .reports
                .iter()
                .filter(|report| report.end.is_some_and(|end| end.cause == *cause))
                .collect();
            (!settled.is_empty()).then(|| CauseLine {
                cause: *cause,
                reports: u32::try_from(settled.len()).unwrap_or(u32::MAX),
                misfits: u32::try_from(
                    settled.iter().filter(|report| report.is_fit(look.rules) && report.is_misfit()).count(),
                )
                .unwrap_or(u32::MAX),
                cost_cents: settled.iter().filter_map(|report| report.cents).fold(0, i64::saturating_add),
            })
        })
        .collect()
}
