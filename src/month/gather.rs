//! From the rows of the query to what is seen of each string on the day of the look.

use std::collections::BTreeMap;

use chrono::NaiveDate;

use crate::evidence::EvidenceError;
use crate::evidence::calendar::days_between;
use crate::evidence::length_error::Known;
use crate::evidence::reporting_delay::{Ages, DelayedReport, ReportingDelay};
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::trade::month::{AnswerFacts, MonthRow, OtherKind, ReportFacts};
use crate::trade::rules::Rules;
use crate::trade::words::{Cause, Route};

/// Alike quiet strings, or one string with what came of it.
#[derive(Debug, Clone)]
pub(super) struct Seen {
    pub(super) delivered: NaiveDate,
    pub(super) age: u32,
    /// Its age on the day before complaints were first written down, where it is that old.
    pub(super) hidden: Option<u32>,
    pub(super) route: Route,
    pub(super) kind: BowKind,
    pub(super) offset: Option<f64>,
    pub(super) yarn: Yarn,
    pub(super) spool: Option<String>,
    pub(super) maker: Option<String>,
    pub(super) count: u32,
    /// The first fit report that is not the workshop's fault and came in time.
    pub(super) report: Option<Box<ReportFacts>>,
    /// Day of that report, never before the delivery.
    pub(super) reported_on: Option<NaiveDate>,
    /// A report was the workshop's fault.
    pub(super) workshop: bool,
    /// The archer's answer to a question.
    pub(super) answer: Option<AnswerFacts>,
}

/// Everything that was seen.
#[derive(Debug, Default)]
pub(super) struct Gathered {
    pub(super) strings: Vec<Seen>,
    pub(super) replacements: u32,
    pub(super) remakes_again: u32,
    /// Complaints that are no report of any row, with why not.
    pub(super) others: Vec<(OtherKind, ReportFacts)>,
    pub(super) before_delivery: u32,
    pub(super) answers: u32,
}

impl Seen {
    /// Days from delivery to the report.
    pub(super) fn delay(&self) -> Option<u32> {
        days_between(self.delivered, self.reported_on?)
    }

    /// What the string tells of its length error.
    pub(super) fn known(&self, rules: &Rules, curve: &ReportingDelay) -> Option<Known> {
        let shown = curve.share_by(self.age) - self.hidden.map_or(0.0, |age| curve.share_by(age));
        match (&self.report, self.answer) {
            (Some(report), _) => report.known(rules),
            (None, _) if self.workshop => None,
            (None, Some(AnswerFacts { reading_inch: None, .. })) => Some(Known::AnsweredFits),
            (None, Some(AnswerFacts { reading_inch: Some(error_inch), .. })) => {
                Some(Known::Answered { error_inch, shown })
            }
            (None, None) => Some(Known::Quiet { shown }),
        }
    }
}

/// What is seen on the day of the look.
pub(super) fn gather(
    rows: Vec<MonthRow>,
    rules: &Rules,
    reports_since: Option<NaiveDate>,
    horizon: u32,
    look: NaiveDate,
) -> Gathered {
    let mut gathered = Gathered::default();
    let before = reports_since.and_then(|day| day.pred_opt()).map(|day| day.min(look));
    let on = Day { look, before, horizon };
    let mut single: BTreeMap<i64, Vec<MonthRow>> = BTreeMap::new();
    for row in rows {
        match row.string {
            Some(string) => single.entry(string).or_default().push(row),
            None if row.replacement => gathered.replacements += row.count,
            None => gathered.add(row, Vec::new(), rules, &on),
        }
    }
    for (_, mut lines) in single {
        let reports =
            lines.iter_mut().filter_map(|line| line.report.take()).map(|report| *report).collect::<Vec<_>>();
        let Some(first) = lines.into_iter().next() else { continue };
        if first.replacement {
            gathered.replacements += 1;
            let again = reports.iter().any(|report| report.is_fit(rules) && report.is_misfit());
            gathered.remakes_again += u32::from(again);
        } else {
            gathered.add(first, reports, rules, &on);
        }
    }
    // The order of the strings decides nothing, but the same book is to give the same sums.
    gathered.strings.sort_by(|a, b| {
        (a.delivered, a.route, a.kind, &a.spool, &a.maker, a.reported_on).cmp(&(
            b.delivered,
            b.route,
            b.kind,
            &b.spool,
            &b.maker,
            b.reported_on,
        ))
    });
    gathered
}

/// The day of the look, and what hangs on it.
struct Day {
    look: NaiveDate,
    /// The day before complaints were first written down.
    before: Option<NaiveDate>,
    horizon: u32,
}

impl Gathered {
    fn add(&mut self, row: MonthRow, reports: Vec<ReportFacts>, rules: &Rules, on: &Day) {
        let &Day { look, before, horizon } = on;
        let Some(age) = days_between(row.delivered, look) else { return };
        let mut fit: Vec<_> =
            reports.iter().filter(|report| report.received_on <= look && report.is_fit(rules)).collect();
        fit.sort_by_key(|report| (report.received_on, report.number));
        self.before_delivery +=
            u32::try_from(reports.iter().filter(|report| report.received_on < row.delivered).count())
                .unwrap_or(u32::MAX);
        let workshop = fit.iter().any(|report| report.cause() == Cause::Workshop);
        let in_time = |report: &ReportFacts| {
            days_between(row.delivered, report.received_on).is_none_or(|delay| delay <= horizon)
        };
        let first =
            fit.into_iter().find(|report| report.cause() != Cause::Workshop).map(|report| report.number);
        let mut report = None;
        for complaint in reports {
            let kind = if !complaint.is_fit(rules) {
                OtherKind::NotAboutFit
            } else if complaint.cause() == Cause::Workshop {
                OtherKind::BuiltOff
            } else if Some(complaint.number) != first {
                OtherKind::Again
            } else if !in_time(&complaint) {
                OtherKind::TooLate
            } else {
                report = Some(Box::new(complaint));
                continue;
            };
            self.others.push((kind, complaint));
        }
        self.answers += u32::from(row.answer.is_some());
        self.strings.push(Seen {
            delivered: row.delivered,
            age,
            hidden: before.and_then(|before| days_between(row.delivered, before)),
            route: row.route,
            kind: row.kind,
            offset: row.offset,
            yarn: row.yarn,
            spool: row.spool,
            maker: row.maker,
            count: row.count,
            reported_on: report.as_ref().map(|report| report.received_on.max(row.delivered)),
            report,
            workshop,
            answer: row.answer,
        });
    }

    /// The curve of the reporting delay, learned from all reports.
    pub(super) fn curve(&self, horizon: u32) -> Result<ReportingDelay, EvidenceError> {
        let delays: Vec<DelayedReport> = self
            .strings
            .iter()
            // Of a string that was delivered before complaints were written down only late ones show.
            .filter(|seen| seen.hidden.is_none())
            .filter_map(|seen| Some(DelayedReport { age_days: seen.age, delay_days: seen.delay()? }))
            .collect();
        Ok(ReportingDelay::starting(horizon)?.learned_from(&delays))
    }
}

/// How old strings are on the day of the look.
pub(super) fn ages<'a>(strings: impl IntoIterator<Item = &'a Seen>) -> Ages {
    strings.into_iter().map(|seen| (seen.age, seen.count)).collect()
}

/// Strings weighted by how much of their complaints the book can have seen.
pub(super) fn effective<'a>(
    curve: &ReportingDelay,
    strings: impl IntoIterator<Item = &'a Seen> + Clone,
) -> f64 {
    let hidden = strings.clone().into_iter().filter_map(|seen| seen.hidden.map(|age| (age, seen.count)));
    let hidden = curve.effective_strings(&hidden.collect());
    curve.effective_strings(&ages(strings)) - hidden
}

/// How many strings have a report.
pub(super) fn reported<'a>(strings: impl IntoIterator<Item = &'a Seen>) -> u32 {
    count(strings.into_iter().filter(|seen| seen.report.is_some()))
}

/// How many strings are misfits.
pub(super) fn misfits<'a>(strings: impl IntoIterator<Item = &'a Seen>) -> u32 {
    count(strings.into_iter().filter(|seen| seen.report.as_ref().is_some_and(|report| report.is_misfit())))
}

/// How many strings.
pub(super) fn count<'a>(strings: impl IntoIterator<Item = &'a Seen>) -> u32 {
    strings.into_iter().fold(0, |sum, seen| sum.saturating_add(seen.count))
}
