//! The month sheet: which ways of sizing cause returns, and what to change.
//!
//! In goes a [`Shop`]: strings of the memory with what came of them, as `book::month` counts them,
//! the offsets in force and the rules. Out comes a [`MonthView`], the same for the same book. The
//! files run in this order:
//! 1. `gather`: from rows to what is seen of each string on the day of the look, and the curve of the
//!    reporting delay;
//! 2. `compare`: counts, rates and costs; routes against each other, months against those before;
//! 3. `length`: the course of the length error of each route and kind of bow, the told share, and
//!    what to change;
//! 4. `findings`: what of it is worth a sentence.
//!
//! What is shown stands in `view`; the sums themselves are those of `evidence`.

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
use crate::evidence::advice::AdviceRule;
use crate::evidence::calendar::{Month, first_day_of_memory};
use crate::evidence::change::MINIMUM_HISTORY;
use crate::evidence::length_tables::LengthGrid;
use crate::evidence::posterior::LengthPrior;
use crate::evidence::questions::worth;
use crate::evidence::ranking::RankingGrid;
use crate::evidence::reporting_delay::ReportingDelay;
use crate::mechanics::bow::BowKind;
use crate::trade::month::{MonthLots, MonthRow, MonthRules, Offsets, OtherKind, ReportFacts};
use crate::trade::rules::Rules;
use crate::trade::words::{Cause, Route};
use compare::Look;
use gather::{Gathered, Seen, count, gather};
pub(super) use length::Outlook;
use length::{Setting, Unit};
use view::{Basis, CauseLine, MakerLine, MonthRowView, MonthView, OtherLine, SpoolLine, YarnLine};

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
    /// Since when complaints are written down; strings delivered before tell only of the time since.
    pub reports_since: Option<NaiveDate>,
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

/// What a sheet hangs on beside its month and the day: the same as long as nothing was written.
///
/// # Errors
/// The book cannot be read.
pub fn written_so_far(book: &mut Book) -> Result<[i64; 4], AppError> {
    book.read(|page| Ok(page.newest_rows()?))
}

/// Rows, offsets and rules as they stand on a day.
pub(super) fn shop_on(page: &Page<'_>, to: NaiveDate) -> Result<Shop, AppError> {
    let rules = super::page_rules(page)?;
    let own = MonthRules::of(&rules);
    let from = first_day_of_memory(to, own.memory_months);
    let (rows, lots) = page.month_strings(from, to, own.delivery_days)?;
    let changes = page.offset_changes(to)?;
    let offsets =
        Offsets::from_changes(changes.iter().map(|(name, value, on)| (name.as_str(), value.as_str(), *on)));
    let reports_since = match own.reports_since {
        Some(day) => Some(day),
        None => page.reports_since()?,
    };
    Ok(Shop { rows, lots, offsets, reports_since, rules })
}

/// What an answer of a quiet archer is worth on a day, by what decides it.
pub(super) struct Worths {
    curve: ReportingDelay,
    told_share: f64,
    units: BTreeMap<(Route, BowKind), (f64, f64)>,
}

impl Worths {
    /// Of a string of a route and kind of bow, by its age in days.
    pub(super) fn of(&self, route: Route, kind: BowKind, age: u32) -> f64 {
        let (doubt, strings) = self.units.get(&(route, kind)).copied().unwrap_or_default();
        worth(doubt, strings, self.told_share, self.curve.share_by(age))
    }
}

/// What answers are worth in a shop on a day.
pub(super) fn worths(shop: Shop, look: NaiveDate) -> Result<Worths, EvidenceError> {
    let month = MonthRules::of(&shop.rules);
    let gathered = gather(shop.rows, &shop.rules, shop.reports_since, month.horizon_days, look);
    let curve = gathered.curve(month.horizon_days)?;
    let setting = Setting {
        rules: &shop.rules,
        month,
        offsets: &shop.offsets,
        curve: &curve,
        grid: LengthGrid::ROUGH,
        last: Month::of(look),
    };
    let units = units_of(&gathered.strings);
    let told_share = setting.told_share(&units, gathered.answers)?;
    let units = units
        .iter()
        .map(|unit| Ok(((unit.route, unit.kind), setting.doubt(unit, told_share)?)))
        .collect::<Result<_, EvidenceError>>()?;
    Ok(Worths { told_share, units, curve })
}

/// Strings by route and kind of bow.
fn units_of(strings: &[Seen]) -> Vec<Unit<'_>> {
    let mut units = BTreeMap::<_, Vec<&Seen>>::new();
    for seen in strings {
        units.entry((seen.route, seen.kind)).or_default().push(seen);
    }
    units.into_iter().map(|((route, kind), strings)| Unit { route, kind, strings }).collect()
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
    let gathered = gather(shop.rows, &shop.rules, shop.reports_since, month.horizon_days, look);
    let curve = gathered.curve(month.horizon_days)?;
    let setting = Setting {
        rules: &shop.rules,
        month,
        offsets: &shop.offsets,
        curve: &curve,
        grid: LengthGrid::SHEET,
        last: Month::of(look),
    };
    let told_share = setting.told_share(&units_of(&gathered.strings), gathered.answers)?;
    beliefs
        .iter()
        .map(|(route, prior)| {
            let strings =
                gathered.strings.iter().filter(|seen| seen.route == *route && seen.kind == kind).collect();
            let unit = Unit { route: *route, kind, strings };
            // Where there are strings enough the figures are those of the sheet.
            let enough = count(unit.strings.iter().copied()) >= ENOUGH_STRINGS;
            let prior = if enough { LengthPrior::default() } else { *prior };
            Ok((*route, setting.outlook(&unit, &prior, told_share)?))
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
    let Shop { rows, lots, offsets, reports_since, rules } = shop;
    let own = MonthRules::of(&rules);
    let memory_from = first_day_of_memory(to, own.memory_months);
    let gathered = gather(rows, &rules, reports_since, own.horizon_days, to);
    let curve = gathered.curve(own.horizon_days)?;
    let ranking = match fineness {
        Fineness::Page => RankingGrid::FINE,
        Fineness::Many => RankingGrid::COARSE,
    };
    let all: Vec<&Seen> = gathered.strings.iter().collect();
    // Months before the first delivery, or before complaints were written down the whole month
    // long, say nothing of how many are usual.
    let delivered = all.iter().map(|seen| seen.delivered).min().map_or(month, Month::of);
    let first = reports_since.map_or(delivered, |day| delivered.max(first_whole_month(day)));
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
    for seen in &gathered.strings {
        by_route.entry(seen.route).or_default().push(seen);
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
    let units = units_of(&gathered.strings);
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
    let causes_of_all = by_cause(&gathered);
    let open = causes_of_all.get(&None).map_or(&[][..], Vec::as_slice);
    let (others, months) = (others(&look, &gathered), look.lines(&shop_periods)?);
    let rule = AdviceRule::default();
    let mut view = MonthView {
        month: name(month),
        from: month.first_day(),
        to,
        memory_from,
        routes,
        replacements: gathered.replacements,
        remakes_again: gathered.remakes_again,
        sizing_unknown: lots.sizing_unknown,
        by_spool: by_spool(&lots, &gathered),
        by_maker: by_maker(&lots, &gathered, &row_of_shop),
        by_yarn: by_yarn(&look, &gathered)?,
        causes: causes(&look, &gathered),
        open_reports: number(open.len()),
        open_cost_cents: cost_of(&look, open),
        cost_of_all_cents: others
            .iter()
            .map(|line| line.cost_cents)
            .fold(row_of_shop.cost_total_cents, i64::saturating_add),
        others,
        reports_before_months: row_of_shop
            .reports
            .saturating_sub(months.iter().map(|line| line.reports).sum::<u32>()),
        shop: row_of_shop,
        months,
        reporting_delay: curve.edges().iter().copied().zip(curve.shares().iter().copied()).collect(),
        never_reported,
        outcomes,
        ended,
        since_changes,
        courses,
        reports_since,
        comparable_from: name(look.months[0].plus(i32::try_from(MINIMUM_HISTORY).unwrap_or(i32::MAX))),
        basis: Basis {
            play_shorten_inch: own.play_shorten,
            play_lengthen_inch: own.play_lengthen,
            told_share: told.share,
            told_share_learned: told.learned,
            answers: gathered.answers,
            horizon_days: own.horizon_days,
            memory_months: own.memory_months,
            advice_chance: rule.chance,
            advice_chance_where_much: rule.chance_where_much,
            advice_much: rule.much_remakes,
            advice_saves: rule.saving_remakes,
            advice_reports: rule.reports,
            advice_hold_days: rule.hold_days,
        },
        findings: Vec::new(),
        reports_before_delivery: gathered.before_delivery,
    };
    view.findings = findings::findings(&view, &creeps);
    Ok(view)
}

/// The first month that lies wholly on or after a day.
fn first_whole_month(day: NaiveDate) -> Month {
    let month = Month::of(day);
    if day == month.first_day() { month } else { month.plus(1) }
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

/// The line of those whose maker is not recorded.
const NOBODY: &str = "-";

fn by_maker(lots: &MonthLots, gathered: &Gathered, shop: &MonthRowView) -> Vec<MakerLine> {
    let told = told_by(gathered, |seen| seen.maker.as_ref());
    let line = |maker: &str, strings: u32| {
        let told = told.get(maker).map_or(&[][..], Vec::as_slice);
        MakerLine {
            maker: maker.to_owned(),
            strings,
            reports: count(told.iter().copied().filter(|seen| seen.report.is_some())),
            workshop: count(told.iter().copied().filter(|seen| seen.workshop)),
        }
    };
    let mut lines: Vec<MakerLine> =
        lots.makers.iter().map(|(maker, strings)| line(maker, *strings)).collect();
    let built_off = count(gathered.strings.iter().filter(|seen| seen.workshop));
    let all = |of: fn(&MakerLine) -> u32| lines.iter().map(of).sum::<u32>();
    let nobody = MakerLine {
        maker: NOBODY.to_owned(),
        strings: shop.strings.saturating_sub(all(|line| line.strings)),
        reports: shop.reports.saturating_sub(all(|line| line.reports)),
        workshop: built_off.saturating_sub(all(|line| line.workshop)),
    };
    if !lines.is_empty() && nobody.strings > 0 {
        lines.push(nobody);
    }
    lines
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

/// Reports of the shop by their cause, `None` for those that are not settled.
fn by_cause(gathered: &Gathered) -> BTreeMap<Option<Cause>, Vec<&ReportFacts>> {
    let mut causes = BTreeMap::<_, Vec<_>>::new();
    for report in gathered.strings.iter().filter_map(|seen| seen.report.as_deref()) {
        causes.entry(report.end.map(|end| end.cause)).or_default().push(report);
    }
    causes
}

fn cost_of(look: &Look<'_>, reports: &[&ReportFacts]) -> i64 {
    reports.iter().map(|report| look.cost_of_report(report)).fold(0, i64::saturating_add)
}

fn number(length: usize) -> u32 {
    u32::try_from(length).unwrap_or(u32::MAX)
}

fn causes(look: &Look<'_>, gathered: &Gathered) -> Vec<CauseLine> {
    let by_cause = by_cause(gathered);
    let line = |(cause, reports): (&Option<Cause>, &Vec<&ReportFacts>)| {
        cause.map(|cause| CauseLine {
            cause,
            reports: number(reports.len()),
            misfits: number(reports.iter().filter(|report| report.is_misfit()).count()),
            cost_cents: cost_of(look, reports),
        })
    };
    by_cause.iter().filter_map(line).collect()
}

fn others(look: &Look<'_>, gathered: &Gathered) -> Vec<OtherLine> {
    OtherKind::ALL
        .iter()
        .filter_map(|kind| {
            let of_kind: Vec<&ReportFacts> =
                gathered.others.iter().filter(|(other, _)| other == kind).map(|(_, report)| report).collect();
            (!of_kind.is_empty()).then(|| OtherLine {
                kind: *kind,
                complaints: number(of_kind.len()),
                cost_cents: cost_of(look, &of_kind),
            })
        })
        .collect()
}
