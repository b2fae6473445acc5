//! Letters that went out on a report which was struck since: another takes them back.

use chrono::NaiveDate;
use serde::Serialize;

use super::error::AppError;
use super::outgoing::{Outgoing, keep};
use super::reports::{event, find_any_report};
use super::strikes::strike_of;
use crate::book::{Author, Book, Page, StoredString, Thing};
use crate::trade::rules::Rules;
use crate::trade::standing::{Step, letter_stands};

/// A letter to be taken back: what waits of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TakeBackLine {
    /// The report that is struck.
    pub report: String,
    /// Serial of its string.
    pub string: String,
    /// Name of its archer.
    pub archer: Option<String>,
    /// Day of the letter.
    pub letter_of: NaiveDate,
    /// Day on which the report was struck.
    pub since: NaiveDate,
    /// Days since then.
    pub days: i64,
    /// The next command.
    pub next: String,
}

/// What the letter that takes one back is filled with.
#[derive(Debug, Clone, PartialEq)]
pub struct TakeBack {
    /// The report that is struck.
    pub report: String,
    /// Serial of its string.
    pub string: String,
    /// Name of its archer.
    pub archer: Option<String>,
    /// Address of its archer.
    pub email: Option<String>,
    /// Day of the letter.
    pub letter_of: NaiveDate,
    /// The rules in force.
    pub rules: Rules,
}

/// The day of the last letter of a report, where none has taken it back since.
pub(super) fn standing_letter(page: &Page<'_>, report: i64) -> Result<Option<NaiveDate>, AppError> {
    if letter_stands(&page.steps(report)?) { Ok(page.letter_after(report, None)?) } else { Ok(None) }
}

/// Where the last letter of a struck report went: there it is taken back, whatever address is the
/// archer's now.
pub(super) fn sent_to(
    page: &Page<'_>,
    string: &StoredString,
    report: i64,
) -> Result<Option<String>, AppError> {
    if strike_of(&page.struck_of(string.id)?, Thing::Report(report)).is_none() {
        return Ok(None);
    }
    let sent = page.all_letters_of_report(report)?.into_iter().rev().find(|(line, _)| line.is_some());
    Ok(sent.and_then(|(_, letter)| letter.to))
}

fn found(page: &Page<'_>, id: &str) -> Result<Option<(StoredString, i64, TakeBack)>, AppError> {
    let (stored, string) = find_any_report(page, id)?;
    let number = stored.report.number;
    if strike_of(&page.struck_of(string.id)?, Thing::Report(number)).is_none() {
        return Ok(None);
    }
    let Some(letter_of) = standing_letter(page, number)? else { return Ok(None) };
    let archer = page.archer(string.archer_id)?.archer;
    let email = sent_to(page, &string, number)?.or(archer.email);
    let about = TakeBack {
        report: format!("R-{number}"),
        string: string.string.serial.clone(),
        archer: archer.name,
        email,
        letter_of,
        rules: super::page_rules(page)?,
    };
    Ok(Some((string, number, about)))
}

/// The letter that has to be taken back of a report that is struck; none where the report counts, no
/// letter went out on it, or that was taken back already.
///
/// # Errors
/// Unknown report, or the book cannot be read.
pub fn take_back(book: &mut Book, id: &str) -> Result<Option<TakeBack>, AppError> {
    book.read(|page| Ok(found(page, id)?.map(|(.., about)| about)))
}

/// Notes that the letter that takes another back was sent, and keeps it.
///
/// # Errors
/// Unknown report, nothing to take back, or the book cannot be written.
pub fn taken_back(book: &mut Book, id: &str, letter: Outgoing<'_>, author: &Author) -> Result<(), AppError> {
    book.write(|page| {
        let Some((string, number, _)) = found(page, id)? else {
            return Err(AppError::refused(
                format!("no letter of {id} has to be taken back"),
                format!("see what went out with: fistmele report show {id}"),
            ));
        };
        page.log(author, event(Step::TakenBack, &string, number))?;
        keep(page, &string, Some((number, Some(Step::TakenBack))), letter, author)
    })
}

/// Every letter that has to be taken back, longest first.
pub(super) fn lines(page: &Page<'_>, today: NaiveDate) -> Result<Vec<TakeBackLine>, AppError> {
    let mut lines = Vec::new();
    for struck in page.struck_reports()? {
        let Thing::Report(number) = struck.thing else { continue };
        if let Some((.., about)) = found(page, &format!("R-{number}"))? {
            lines.push(TakeBackLine {
                days: (today - struck.on).num_days().max(0),
                since: struck.on,
                next: format!("fistmele letter {}", about.report),
                report: about.report,
                string: about.string,
                archer: about.archer,
                letter_of: about.letter_of,
            });
        }
    }
    lines.sort_by_key(|line| line.since);
    Ok(lines)
}
