//! What an id names that can be struck, and what is left out with something else.

use chrono::NaiveDate;

use super::super::error::AppError;
use super::super::reports::report_number;
use super::super::sold::find_any_string;
use super::{refuse_struck, strike_of};
use crate::book::{Page, StoredReport, StoredString, Struck, Thing};
use crate::trade::records::Reading;

/// A thing that can be struck.
pub(super) enum What {
    String,
    Report,
    Reading {
        /// Its place in the report, from 1.
        place: usize,
        row: i64,
        reading: Reading,
    },
    Letter {
        /// Line of the history that says that it went out.
        row: i64,
        day: NaiveDate,
    },
}

/// What an id names.
pub(super) struct Named {
    pub(super) id: String,
    pub(super) string: StoredString,
    /// The report that it is or belongs to; none of a string.
    pub(super) report: Option<StoredReport>,
    pub(super) what: What,
    pub(super) struck: Vec<Struck>,
}

/// What leads to the string of a serial that reads like the id of something else.
const OF_STRING: &str = "string:";

/// The serial of a string as `strike` and `unstrike` are told it: what reads like the id of a report is
/// called a string.
pub(in super::super) fn typed_string(serial: &str) -> String {
    let of = serial.split_once('/').map_or(serial, |(of, _)| of);
    if report_number(of).is_ok() { format!("{OF_STRING}{serial}") } else { serial.to_owned() }
}

/// The id of a thing as `strike` and `unstrike` are told it.
pub(super) fn typed(thing: Thing, id: &str) -> String {
    if let Thing::String(_) = thing { typed_string(id) } else { id.to_owned() }
}

fn not_found(what: &'static str, text: &str, near: Vec<String>) -> AppError {
    AppError::NotFound { what, text: crate::words::shorten(text), near }
}

/// The id of a reading: its place in the report, which it keeps whatever is struck.
pub(in super::super) fn reading_id(report: i64, place: usize) -> String {
    format!("R-{report}/{place}")
}

/// The id of a letter: its place among those of the report, which it keeps whatever is struck.
fn letter_id(report: i64, place: usize) -> String {
    format!("R-{report}/L{place}")
}

/// The letters that were a step of a report, struck or not, oldest first: id, line of the history,
/// day.
pub(in super::super) fn letter_ids(
    page: &Page<'_>,
    report: i64,
) -> Result<Vec<(String, i64, NaiveDate)>, AppError> {
    let lines = page.letter_lines(report)?.into_iter().enumerate();
    Ok(lines.map(|(place, (row, day))| (letter_id(report, place + 1), row, day)).collect())
}

/// Finds what can be struck by its id. What reads like a report is one.
pub(super) fn find(page: &Page<'_>, text: &str) -> Result<Named, AppError> {
    let written = text.trim();
    let (of, part) = written.split_once('/').map_or((written, None), |(of, part)| (of, Some(part.trim())));
    let number = report_number(of).ok();
    let reads_like_report = of.starts_with(['R', 'r']) && number.is_some();
    let report = number.map(|number| page.any_report(number)).transpose()?.flatten();
    let serial = written.strip_prefix(OF_STRING);
    if let Some(serial) = serial.or_else(|| (!reads_like_report || report.is_none()).then_some(written)) {
        match (page.any_string(serial.trim())?, &report) {
            (Some(_), Some(_)) if serial == written => {
                return Err(AppError::refused(
                    format!("{written} is a string, and a report reads like it"),
                    format!("write {OF_STRING}{written} for the string, R-{of} for the report"),
                ));
            }
            (Some(string), _) => return Named::of_string(page, string),
            (None, None) if serial != written || !reads_like_report => {
                return Named::of_string(page, find_any_string(page, serial)?);
            }
            (None, _) => {}
        }
    }
    let Some(report) = report else { return Err(not_found("report", of, Vec::new())) };
    let mut named = Named::of_report(page, report)?;
    if let Some(part) = part {
        named.take_part(page, written, part)?;
    }
    Ok(named)
}

impl Named {
    pub(super) fn of_string(page: &Page<'_>, string: StoredString) -> Result<Self, AppError> {
        let struck = page.struck_of(string.id)?;
        Ok(Self { id: string.string.serial.clone(), string, report: None, what: What::String, struck })
    }

    pub(super) fn of_report(page: &Page<'_>, report: StoredReport) -> Result<Self, AppError> {
        let string = page.string_of_row(report.string_id)?;
        let struck = page.struck_of(string.id)?;
        Ok(Self { id: report.report.id(), string, report: Some(report), what: What::Report, struck })
    }

    /// A reading or a letter of the report, by what stands behind the stroke.
    fn take_part(&mut self, page: &Page<'_>, written: &str, part: &str) -> Result<(), AppError> {
        let Some(number) = self.number() else { return Ok(()) };
        let place = |text: &str, of: usize| {
            text.trim().parse::<usize>().ok().filter(|place| (1..=of).contains(place)).map(|place| place - 1)
        };
        if part.starts_with(['L', 'l']) {
            let mut all = letter_ids(page, number)?;
            let Some(place) = part.get(1..).and_then(|text| place(text, all.len())) else {
                let near = all.into_iter().rev().take(3).map(|(id, ..)| id).collect();
                return Err(not_found("letter", written, near));
            };
            let (id, row, day) = all.swap_remove(place);
            (self.id, self.what) = (id, What::Letter { row, day });
        } else {
            let mut all = page.all_readings(number)?;
            let Some(place) = place(part, all.len()) else {
                let near = (1..=all.len()).rev().take(3).map(|place| reading_id(number, place)).collect();
                return Err(not_found("reading", written, near));
            };
            let (row, reading) = all.swap_remove(place);
            (self.id, self.what) =
                (reading_id(number, place + 1), What::Reading { place: place + 1, row, reading });
        }
        Ok(())
    }

    /// A first reading that measured nothing: the report came without one, and nothing is there to
    /// strike.
    pub(super) fn is_empty(&self) -> bool {
        matches!(&self.what, What::Reading { place: 1, reading, .. } if reading.measurements.is_empty())
    }

    pub(super) fn number(&self) -> Option<i64> {
        self.report.as_ref().map(|report| report.report.number)
    }

    pub(super) fn thing(&self) -> Thing {
        match &self.what {
            What::String => Thing::String(self.string.id),
            What::Report => Thing::Report(self.number().unwrap_or_default()),
            What::Reading { row, .. } => Thing::Reading(*row),
            What::Letter { row, .. } => Thing::Letter(*row),
        }
    }

    pub(super) fn strike(&self) -> Option<&Struck> {
        strike_of(&self.struck, self.thing())
    }

    /// What the history says of it: its id; the serial of a string stands in the line itself.
    pub(super) fn field(&self) -> &str {
        if matches!(self.what, What::String) { "string" } else { &self.id }
    }

    /// The command that shows it.
    pub(super) fn shown_by(&self) -> String {
        match &self.report {
            Some(report) => format!("fistmele report show {}", report.report.id()),
            None => format!("fistmele sold show {}", self.id),
        }
    }

    /// Refuses what is left out with something else that is struck: that is brought back first.
    pub(super) fn refuse_left_out(&self, page: &Page<'_>) -> Result<(), AppError> {
        let with_report = match &self.report {
            Some(report) if !matches!(self.what, What::Report) => {
                strike_of(&self.struck, Thing::Report(report.report.number))
                    .map(|struck| (report.report.id(), struck.clone()))
            }
            _ => None,
        };
        let with = match (with_report, left_out(page, &self.string)?) {
            (Some(with), _) => Some(with),
            // Its own strike is told apart from that of something else.
            (None, Some(with)) if with.struck.thing != self.thing() => Some((with.id, with.struck)),
            (None, _) => None,
        };
        match with {
            Some((id, struck)) => Err(refuse_struck(&id, &struck)),
            None => Ok(()),
        }
    }
}

/// Why a string is left out: its own strike, or that of the report it was made for.
pub(in super::super) struct LeftOut {
    pub(in super::super) id: String,
    pub(in super::super) struck: Struck,
}

impl LeftOut {
    /// How `unstrike` is told what it is left out with.
    pub(in super::super) fn typed(&self) -> String {
        typed(self.struck.thing, &self.id)
    }
}

/// Whether a string is left out with all its reports, and why.
pub(in super::super) fn left_out(
    page: &Page<'_>,
    string: &StoredString,
) -> Result<Option<LeftOut>, AppError> {
    if let Some(struck) = strike_of(&page.struck_of(string.id)?, Thing::String(string.id)) {
        return Ok(Some(LeftOut { id: string.string.serial.clone(), struck: struck.clone() }));
    }
    let Some((number, first)) = page.made_for(string.id)? else { return Ok(None) };
    let struck = page.struck_of(first)?;
    Ok(strike_of(&struck, Thing::Report(number))
        .map(|struck| LeftOut { id: format!("R-{number}"), struck: struck.clone() }))
}
