//! Lots of yarn: which strings carry them, how they fare, whom to warn.

use chrono::NaiveDate;
use serde::Serialize;

use super::error::AppError;
use crate::book::{Author, Book, Happened, LotString, Spool};
use crate::evidence::ranking::{Label, RankingGrid, rank_routes};
use crate::evidence::rate::{Tally, wilson_interval};
use crate::evidence::reporting_delay::ReportingDelay;
use crate::mechanics::twist::Yarn;
use crate::trade::plausible::LONGEST_SPOOL;
use crate::trade::words::Symptom;
use crate::words::nearest;

/// A lot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SpoolView {
    /// Its name.
    pub spool: String,
    /// Yarn.
    pub yarn: Yarn,
    /// Colour.
    pub colour: Option<String>,
    /// Day it was bought.
    pub bought_on: Option<NaiveDate>,
    /// Strings that carry it.
    pub strings: u32,
    /// Strings of these with a report.
    pub reported: u32,
}

/// A rate with its interval.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct RateView {
    /// Strings, counted by how much of their time for complaints has passed.
    pub effective_strings: f64,
    /// Strings with a report.
    pub reports: u32,
    /// Reports over effective strings.
    pub rate: Option<f64>,
    /// 95 % interval.
    pub rate_low: Option<f64>,
    /// 95 % interval.
    pub rate_high: Option<f64>,
}

/// A string that carries the lot.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CarrierLine {
    /// Serial.
    pub string: String,
    /// Day of sale.
    pub sold_on: NaiveDate,
    /// Archer.
    pub archer: Option<String>,
    /// Address.
    pub email: Option<String>,
    /// Symptoms reported so far.
    pub symptoms: Vec<Symptom>,
}

/// A lot against the rest of its yarn.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TraceView {
    /// The lot.
    pub spool: String,
    /// Its rate.
    pub lot: RateView,
    /// That of the other strings of its yarn.
    pub rest: RateView,
    /// Chance that the lot is at least a quarter worse.
    pub chance_worse: Option<f64>,
    /// In one word.
    pub label: &'static str,
    /// Whom to tell, newest string first.
    pub strings: Vec<CarrierLine>,
}

/// Adds a lot.
///
/// # Errors
/// The name is empty or taken, or the book cannot be written.
pub fn add(book: &mut Book, spool: Spool, author: &Author) -> Result<SpoolView, AppError> {
    if spool.name.trim().is_empty() || spool.name.chars().count() > LONGEST_SPOOL {
        return Err(AppError::refused(
            format!("a lot needs a name of at most {LONGEST_SPOOL} characters"),
            "take what stands on the spool",
        ));
    }
    book.write(|page| {
        if page.spool_row(&spool.name)?.is_some() {
            return Err(AppError::refused(
                format!("there is a lot {} already", spool.name),
                format!("see it with: fistmele spool trace {}", spool.name),
            ));
        }
        page.add_spool(&spool)?;
        page.log(author, Happened { what: "spool", string: None, report: None, fields: "all" })?;
        Ok(SpoolView {
            spool: spool.name.clone(),
            yarn: spool.yarn,
            colour: spool.colour.clone(),
            bought_on: spool.bought_on,
            strings: 0,
            reported: 0,
        })
    })
}

/// All lots.
///
/// # Errors
/// The book cannot be read.
pub fn list(book: &mut Book) -> Result<Vec<SpoolView>, AppError> {
    book.read(|page| {
        Ok(page
            .spools()?
            .into_iter()
            .map(|count| SpoolView {
                spool: count.spool.name,
                yarn: count.spool.yarn,
                colour: count.spool.colour,
                bought_on: count.spool.bought_on,
                strings: count.strings,
                reported: count.reported,
            })
            .collect())
    })
}

fn internal(error: impl std::fmt::Display) -> AppError {
    AppError::Internal(error.to_string())
}

/// Reports and effective strings of the lot, or of the rest.
fn tally(strings: &[LotString], of_lot: bool, today: NaiveDate) -> Result<Tally, AppError> {
    let curve = ReportingDelay::default();
    let (mut reports, mut effective) = (0, 0.0);
    for string in strings.iter().filter(|string| string.of_lot == of_lot) {
        effective +=
            curve.share_by(u32::try_from((today - string.since).num_days().max(0)).unwrap_or(u32::MAX));
        reports += u32::from(string.first_report.is_some());
    }
    Tally::new(reports, effective).map_err(internal)
}

fn rate(tally: &Tally) -> RateView {
    let estimate = wilson_interval(tally);
    RateView {
        effective_strings: tally.effective(),
        reports: tally.reports(),
        rate: estimate.map(|estimate| estimate.point),
        rate_low: estimate.map(|estimate| estimate.interval.low),
        rate_high: estimate.map(|estimate| estimate.interval.high),
    }
}

/// Which strings carry a lot, how they fare against the rest of their yarn, and whom to warn.
///
/// # Errors
/// Unknown lot, or the book cannot be read.
pub fn trace(book: &mut Book, name: &str, today: NaiveDate) -> Result<TraceView, AppError> {
    let (strings, carriers, name) = book.read(|page| {
        let Some(row) = page.spool_row(name.trim())? else {
            let all = page.spools()?;
            let near = nearest(name, all.iter().map(|count| count.spool.name.as_str())).map(str::to_owned);
            return Err(AppError::NotFound {
                what: "spool",
                text: crate::words::shorten(name),
                near: near.into_iter().collect(),
            });
        };
        Ok((page.lot_strings(row)?, page.carriers(row)?, name.trim().to_owned()))
    })?;
    let (lot, rest) = (tally(&strings, true, today)?, tally(&strings, false, today)?);
    let ranking = rank_routes(&[lot, rest], &RankingGrid::FINE).map_err(internal)?;
    let first = ranking.routes.first();
    Ok(TraceView {
        spool: name,
        lot: rate(&lot),
        rest: rate(&rest),
        chance_worse: first.and_then(|lot| lot.chances.map(|chances| chances.worse)),
        label: first.map_or(Label::CannotTell, |lot| lot.label).name(),
        strings: carriers
            .into_iter()
            .map(|carrier| CarrierLine {
                string: carrier.serial,
                sold_on: carrier.sold_on,
                archer: carrier.archer.archer.name,
                email: carrier.archer.archer.email,
                symptoms: carrier.symptoms,
            })
            .collect(),
    })
}
