//! The sheet: all that was worked out, put together.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use super::compare::{self, Look};
use super::course::Setting;
use super::findings;
use super::gather::{Gathered, Seen, count, gather, misfits, reported};
use super::view::{Basis, CauseLine, MakerLine, MonthRowView, MonthView, OtherLine, SpoolLine, YarnLine};
use super::{Fineness, Shop, name};
use crate::evidence::EvidenceError;
use crate::evidence::advice::AdviceRule;
use crate::evidence::calendar::{Month, first_day_of_memory};
use crate::evidence::change::MINIMUM_HISTORY;
use crate::evidence::ranking::RankingGrid;
use crate::trade::month::{MonthLots, MonthRules, OtherKind, ReportFacts};
use crate::trade::words::Cause;

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

    let setting = Setting { rules: &rules, month: own, offsets: &offsets, curve: &curve, last: month };
    let units = setting.units(&gathered)?;
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
        causes: causes(&look, &causes_of_all),
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
            reports: reported(told.iter().copied()),
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
            reports: reported(told.iter().copied()),
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
type ByCause<'g> = BTreeMap<Option<Cause>, Vec<&'g ReportFacts>>;

fn by_cause(gathered: &Gathered) -> ByCause<'_> {
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

fn causes(look: &Look<'_>, by_cause: &ByCause<'_>) -> Vec<CauseLine> {
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
