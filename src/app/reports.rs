//! Reports, as they are found, shown and listed.

use super::danger;
use super::error::AppError;
use super::sold::{find_any_string, find_string};
use super::strikes::{StruckMark, left_out, letter_ids, refuse_struck, strike_of};
use super::take_back::{sent_to, standing_letter};
use super::views::{ReportLine, ReportParts, ReportView, SentView};
use crate::book::{Book, Happened, Page, StoredReport, StoredString, Struck, Thing};
use crate::trade::standing::{Step, standing_after};
use crate::trade::words::Standing;

/// The number of a report id such as `R-12`, `r12` or `12`.
///
/// # Errors
/// It is no such id.
pub fn report_number(text: &str) -> Result<i64, AppError> {
    let written = text.trim();
    let digits =
        written.strip_prefix(['R', 'r']).map_or(written, |rest| rest.strip_prefix('-').unwrap_or(rest));
    digits.parse().ok().filter(|number| *number > 0).ok_or_else(|| {
        AppError::refused(
            format!("\"{}\" is no report", crate::words::shorten(text)),
            "reports are named R-1, R-2, ...; see them with: fistmele report list",
        )
    })
}

pub(super) fn find_report(page: &Page<'_>, id: &str) -> Result<(StoredReport, StoredString), AppError> {
    let number = report_number(id)?;
    match page.report(number)? {
        Some(stored) => {
            let string = page.string_of_row(stored.string_id)?;
            Ok((stored, string))
        }
        None => {
            let (_, string) = find_any_report(page, id)?;
            let struck = page.struck_of(string.id)?;
            Err(match (strike_of(&struck, Thing::Report(number)), left_out(page, &string)?) {
                (Some(struck), _) => refuse_struck(&format!("R-{number}"), struck),
                (None, Some(with)) => refuse_struck(&with.id, &with.struck),
                (None, None) => AppError::Internal(format!("report {number} is left out without a strike")),
            })
        }
    }
}

/// A report to be shown: one that is struck is found as well.
pub(super) fn find_any_report(page: &Page<'_>, id: &str) -> Result<(StoredReport, StoredString), AppError> {
    let number = report_number(id)?;
    let stored = page.any_report(number)?.ok_or_else(|| AppError::NotFound {
        what: "report",
        text: format!("R-{number}"),
        near: Vec::new(),
    })?;
    let string = page.string_of_row(stored.string_id)?;
    Ok((stored, string))
}

pub(super) fn standing(page: &Page<'_>, number: i64) -> Result<Standing, AppError> {
    let promised = page.last_verdict(number)?.is_some_and(|last| last.promises());
    Ok(standing_after(&page.steps(number)?, promised))
}

pub(super) fn report_view(page: &Page<'_>, number: i64) -> Result<ReportView, AppError> {
    let stored = page
        .any_report(number)?
        .ok_or_else(|| AppError::Internal(format!("report {number} vanished while it was read")))?;
    let string = page.string_of_row(stored.string_id)?;
    let archer = page.archer(string.archer_id)?;
    let standing = standing(page, number)?;
    let struck = page.struck_of(string.id)?;
    let readings = page
        .all_readings(number)?
        .into_iter()
        .map(|(row, reading)| (reading, strike_of(&struck, Thing::Reading(row)).map(Into::into)))
        .collect();
    let with_string = left_out(page, &string)?;
    let own_strike = strike_of(&struck, Thing::Report(number));
    Ok(ReportView::new(
        &stored.report,
        &string.string.serial,
        ReportParts {
            archer: archer.archer.name,
            standing,
            struck: own_strike.or(with_string.as_ref().map(|with| &with.struck)).map(Into::into),
            to_take_back: own_strike.map(|_| standing_letter(page, number)).transpose()?.flatten(),
            readings,
            verdict: page.last_verdict(number)?.map(|last| last.verdict),
            texts: page.texts(number)?.into_iter().map(|(_, text)| text).collect(),
            letters: letters(page, number, &struck)?,
            decisions: page.decisions(number)?.into_iter().map(Into::into).collect(),
            remakes: page.remakes(number)?.into_iter().map(|remake| remake.serial).collect(),
            settlement: if standing == Standing::Settled { page.settlement(number)? } else { None },
            cost_cents: page.cost_of_report(number)?,
            danger_ruled_out: danger::is_ruled_out(page, number)?,
        },
    ))
}

/// Every letter about a report, with its id and how it was struck.
fn letters(page: &Page<'_>, number: i64, struck: &[Struck]) -> Result<Vec<SentView>, AppError> {
    let ids = letter_ids(page, number)?;
    let named = |line: i64| ids.iter().find(|(_, row, _)| *row == line).map(|(id, ..)| id.clone());
    let letters = page.all_letters_of_report(number)?.into_iter().map(|(line, sent)| SentView {
        id: line.and_then(named),
        struck: line.and_then(|line| strike_of(struck, Thing::Letter(line))).map(StruckMark::from),
        ..SentView::from(sent)
    });
    Ok(letters.collect())
}

/// Strings by a serial, or by an order that holds some.
///
/// # Errors
/// Nothing of that name, or the book cannot be read.
pub fn strings_called(book: &mut Book, name: &str) -> Result<Vec<String>, AppError> {
    book.read(|page| {
        if page.string(name.trim())?.is_none() {
            let of_order: Vec<String> =
                page.strings_called(name.trim())?.into_iter().map(|(serial, _)| serial).collect();
            if !of_order.is_empty() {
                return Ok(of_order);
            }
        }
        Ok(vec![find_string(page, name)?.string.serial])
    })
}

/// Refuses what is only for a report that is open.
pub(super) fn refuse_settled(page: &Page<'_>, number: i64) -> Result<(), AppError> {
    if standing(page, number)? == Standing::Settled {
        return Err(AppError::refused(
            format!("R-{number} is settled"),
            format!("take it up again with: fistmele resume R-{number}"),
        ));
    }
    Ok(())
}

pub(super) fn event(step: Step, string: &StoredString, number: i64) -> Happened<'static> {
    Happened { what: step.as_str(), string: Some(string.id), report: Some(number), fields: "" }
}

/// The newest report of a string that is not settled.
pub(super) fn open_report(page: &Page<'_>, string: &StoredString) -> Result<Option<i64>, AppError> {
    for number in page.reports_of(string.id)?.into_iter().rev() {
        if standing(page, number)? != Standing::Settled {
            return Ok(Some(number));
        }
    }
    Ok(None)
}

/// Shows a report.
///
/// # Errors
/// Unknown report, or the book cannot be read.
pub fn show(book: &mut Book, id: &str) -> Result<ReportView, AppError> {
    book.read(|page| {
        let (stored, _) = find_any_report(page, id)?;
        report_view(page, stored.report.number)
    })
}

/// How far the history of a string is, for [`Book::expect`]. It is asked for before what it is to
/// vouch for: what comes in between then makes a form old, never wrong.
///
/// # Errors
/// Unknown string, or the book cannot be read.
pub fn last_line(book: &mut Book, serial: &str) -> Result<i64, AppError> {
    book.read(|page| Ok(page.last_line(&find_any_string(page, serial)?.string.serial)?))
}

/// Which string a report is about, and whom a letter about it goes to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Whose {
    /// Serial of the string.
    pub string: String,
    /// Name of its archer.
    pub archer: Option<String>,
    /// Address of its archer.
    pub email: Option<String>,
    /// The names of the mails above a letter about it, the one it answers last, a blank between two.
    pub thread: Option<String>,
    /// The subject of the mail that a letter about it answers.
    pub subject: Option<String>,
}

/// Whose report it is.
///
/// # Errors
/// Unknown report, or the book cannot be read.
pub fn whose(book: &mut Book, id: &str) -> Result<Whose, AppError> {
    book.read(|page| {
        let (stored, string) = find_any_report(page, id)?;
        let archer = page.archer(string.archer_id)?.archer;
        let (thread, subject) = page.above_a_letter(stored.report.number)?;
        let email = sent_to(page, &string, stored.report.number)?.or(archer.email);
        Ok(Whose { string: string.string.serial, archer: archer.name, email, thread, subject })
    })
}

/// Lists reports, newest first; all, or those of one standing.
///
/// # Errors
/// The book cannot be read.
pub fn list(book: &mut Book, wanted: Option<Standing>) -> Result<Vec<ReportLine>, AppError> {
    book.read(|page| {
        Ok(page
            .list_reports()?
            .into_iter()
            .map(|line| ReportLine {
                report: format!("R-{}", line.number),
                string: line.serial,
                archer: line.archer,
                received_on: line.received_on,
                symptoms: line.symptoms,
                standing: standing_after(&line.steps, line.last.is_some_and(|last| last.promises())),
                verdict: line.last.map(|last| last.verdict),
            })
            .filter(|line| wanted.is_none_or(|wanted| line.standing == wanted))
            .collect())
    })
}
