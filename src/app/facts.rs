//! Everything one verdict is worked out from, read from one state of the book.

use chrono::NaiveDate;

use super::danger;
use super::error::AppError;
use super::reports::{find_report, standing};
use crate::book::{Page, StoredDecision, StoredString, StoredVerdict};
use crate::mechanics::learning::{EffectReading, Pool};
use crate::mechanics::settling::{GrowthReading, Settling, learned_settling};
use crate::mechanics::twist::Yarn;
use crate::quantity::Unit;
use crate::trade::advice::Advice;
use crate::trade::build::{BowEffect, Subject};
use crate::trade::known::{effect_reading, growth_readings};
use crate::trade::records::{BowProfile, Report};
use crate::trade::rules::Rules;
use crate::trade::told::{Told, put_before_their_reading};
use crate::trade::usual::Recorded;
use crate::trade::verdict::Case;
use crate::trade::words::Standing;

/// Everything one verdict is worked out from, read from one state of the book.
pub(super) struct Facts {
    pub(super) string: StoredString,
    pub(super) bow: BowProfile,
    pub(super) archer: Option<String>,
    pub(super) unit: Option<Unit>,
    pub(super) reports: Vec<Report>,
    pub(super) rules: Rules,
    pub(super) bench_radius: Option<f64>,
    pub(super) bow_effect: Option<BowEffect>,
    pub(super) bow_taught_by: Option<String>,
    pub(super) recorded: Vec<Recorded>,
    pub(super) effects: Vec<EffectReading>,
    pub(super) growth: Vec<GrowthReading>,
    pub(super) standing: Standing,
    pub(super) danger_ruled_out: bool,
    pub(super) last: Option<Kept>,
    /// What the letter gave that the archer goes by.
    pub(super) sent: Option<Kept>,
    /// Something else changed too, which the next verdict has to tell as a step of the report.
    pub(super) untold: bool,
    pub(super) open_doubts: bool,
    /// What the last letter before the newest reading told to turn.
    pub(super) told: Option<Told>,
    pub(super) decision: Option<StoredDecision>,
}

/// What a verdict was worked out from and what came out, JSON, as both are kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Kept {
    pub(super) inputs: String,
    pub(super) advice: String,
}

impl From<StoredVerdict> for Kept {
    fn from(verdict: StoredVerdict) -> Self {
        Self { inputs: verdict.inputs, advice: verdict.advice }
    }
}

impl Kept {
    /// Both were worked out from the same string, bow, readings and rules; what other strings taught
    /// meanwhile may differ.
    pub(super) fn is_of_the_same(&self, other: &Self) -> bool {
        const OWN: [&str; 5] = ["string", "bow", "reports", "rules", "bench_radius_inch"];
        let parsed = |kept: &Self| serde_json::from_str::<serde_json::Value>(&kept.inputs).ok();
        parsed(self).zip(parsed(other)).is_some_and(|(one, two)| OWN.iter().all(|key| one[key] == two[key]))
    }
}

/// What the workshop's own readings say, string by string.
pub(super) struct OwnReadings {
    /// Effect of turns.
    pub(super) effects: Vec<EffectReading>,
    /// Growth, by yarn.
    pub(super) growth: Vec<(Yarn, GrowthReading)>,
}

/// How many reports with second readings are looked at, the newest: by then the doubt that is
/// left is that from bow to bow, which more of them do not lessen, and a verdict takes as long in
/// a book of a million strings as in one of a thousand (docs/performance.md).
const MOST_READINGS: u32 = 200;

/// Second readings and growth readings of all strings but one, the newest.
pub(super) fn own_readings(
    page: &Page<'_>,
    rules: &Rules,
    recorded: &[Recorded],
    except: Option<i64>,
) -> Result<OwnReadings, AppError> {
    let tests = page.bench_tests()?;
    let (mut effects, mut growth) = (Vec::new(), Vec::new());
    for second in page.second_readings(MOST_READINGS)? {
        if Some(second.string_id) == except {
            continue;
        }
        let (string, bow) = (&second.string, &second.bow);
        let construction = string.construction();
        let subject = Subject {
            string,
            bow,
            rules,
            bench_radius: tests
                .iter()
                .rev()
                .find(|test| test.construction == construction)
                .map(|test| test.radius),
            bow_effect: None,
            recorded,
        };
        effects.extend(effect_reading(subject, &second.report));
        growth.extend(
            growth_readings(subject, &second.report).into_iter().map(|reading| (string.yarn, reading)),
        );
    }
    Ok(OwnReadings { effects, growth })
}

/// What second readings with the strings for a bow showed of it, and which string that was: the
/// newest, leaving one string out where it is to be judged itself.
pub(super) fn taught(
    page: &Page<'_>,
    bow_id: i64,
    bow: &BowProfile,
    (rules, recorded): (&Rules, &[Recorded]),
    except: Option<i64>,
) -> Result<Option<(String, BowEffect)>, AppError> {
    let mut effect = None;
    for id in page.strings_of_bow(bow_id)?.into_iter().filter(|id| Some(*id) != except) {
        let other = page.string_of_row(id)?;
        let subject = Subject {
            string: &other.string,
            bow,
            rules,
            bench_radius: super::bench::radius_of(page, other.string.construction())?,
            bow_effect: None,
            recorded,
        };
        let mut reports = Vec::new();
        for number in page.reports_of(id)? {
            reports.extend(page.report(number)?.map(|stored| stored.report));
        }
        let settling = Settling { expected: 0.0, sd: 0.0, readings: 0 };
        let known = crate::trade::known::known(subject, &reports, &Pool::from_readings(&[]), &settling);
        let shown = known.and_then(|known| known.bow_effect(bow.kind));
        effect = shown.map(|shown| (other.string.serial, shown)).or(effect);
    }
    Ok(effect)
}

/// What an advice told to turn, as it is kept. One that another version wrote, and that cannot be read
/// today, told nothing.
fn told_by(advice: &str) -> Option<Told> {
    Told::of(&serde_json::from_str::<Advice>(advice).ok()?)
}

/// What the last letter before each reading of a report told to turn.
fn told(page: &Page<'_>, report: i64) -> Result<Vec<Option<Told>>, AppError> {
    let advices = page.advice_before_readings(report)?;
    Ok(advices.into_iter().map(|advice| told_by(&advice?)).collect())
}

/// Day of the last letter about a report, and the turns that it told, in (+) or out (-).
pub(super) fn told_last(page: &Page<'_>, report: i64) -> Result<Option<(NaiveDate, i32)>, AppError> {
    let last = page.last_letter(report)?;
    Ok(last.and_then(|(day, gave)| Some((day, told_by(&gave.advice)?.turns))))
}

pub(super) fn facts(page: &Page<'_>, id: &str) -> Result<Facts, AppError> {
    let (stored, string) = find_report(page, id)?;
    let number = stored.report.number;
    let rules = super::page_rules(page)?;
    let recorded = super::recorded_turns(page, &rules)?;
    let mut reports = Vec::new();
    for before in page.reports_of(string.id)?.into_iter().filter(|before| *before < number) {
        let settled = standing(page, before)? == Standing::Settled;
        reports.extend(page.report(before)?.map(|stored| Report { settled, ..stored.report }));
    }
    let standing = standing(page, number)?;
    let told = told(page, number)?;
    let mut report = Report { settled: standing == Standing::Settled, ..stored.report };
    put_before_their_reading(&mut report, &told);
    reports.push(report);
    let own = own_readings(page, &rules, &recorded, Some(string.id))?;
    let yarn = string.string.yarn;
    let bow = page.bow_of(&string)?;
    let (bow_taught_by, bow_effect) =
        taught(page, string.bow_id, &bow, (&rules, &recorded), Some(string.id))?.unzip();
    let last = page.newest_verdict(number)?;
    let archer = page.archer(string.archer_id)?;
    Ok(Facts {
        bow,
        bow_effect,
        bow_taught_by,
        recorded,
        archer: archer.archer.name,
        unit: archer.unit,
        bench_radius: super::bench::radius_of(page, string.string.construction())?,
        reports,
        rules,
        effects: own.effects,
        growth: own.growth.into_iter().filter(|(of, _)| *of == yarn).map(|(_, reading)| reading).collect(),
        standing,
        danger_ruled_out: danger::is_ruled_out(page, number)?,
        open_doubts: !page.open_questions(number)?.is_empty(),
        told: told.last().copied().flatten(),
        decision: page.decision(number)?,
        last: last.map(Kept::from),
        sent: None,
        untold: false,
        string,
    })
}

impl Facts {
    /// String, bow and rules.
    pub(super) fn subject(&self) -> Subject<'_> {
        Subject {
            string: &self.string.string,
            bow: &self.bow,
            rules: &self.rules,
            bench_radius: self.bench_radius,
            bow_effect: self.bow_effect,
            recorded: &self.recorded,
        }
    }

    /// The workshop's own second readings.
    pub(super) fn pool(&self) -> Pool {
        Pool::from_readings(&self.effects)
    }

    /// Everything a verdict is reached from.
    pub(super) fn case<'a>(&'a self, pool: &'a Pool, settling: Settling, today: NaiveDate) -> Case<'a> {
        Case {
            subject: self.subject(),
            reports: &self.reports,
            pool,
            settling,
            open_doubts: self.open_doubts,
            told: self.told,
            today,
        }
    }

    /// What settling is expected of this yarn.
    pub(super) fn settling(&self) -> Settling {
        let yarn = self.string.string.yarn;
        learned_settling(yarn, self.rules.settling(yarn), &self.growth, f64::from(self.rules.settle_shots))
    }
}
