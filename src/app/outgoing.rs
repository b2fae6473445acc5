//! Letters that go out: noted, and kept as they went.

use super::error::AppError;
use super::reports::{event, find_report, report_number, standing};
use crate::book::{Author, Book, Page, SentLetter, StoredString};
use crate::trade::standing::Step;
use crate::trade::words::{CostOf, Standing};

/// A letter as it goes out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Outgoing<'a> {
    /// What kind of letter.
    pub kind: &'a str,
    /// Its text.
    pub text: &'a str,
}

/// Keeps a letter to the archer of a string, with the step of a report that it is. The very letter once more on its day is the same one.
pub(super) fn keep(
    page: &Page<'_>,
    string: &StoredString,
    report: Option<(i64, Option<Step>)>,
    letter: Outgoing<'_>,
    author: &Author,
) -> Result<(), AppError> {
    let kept = match report {
        Some((number, _)) => page.letters_of_report(number)?,
        None => page.letters_without_report(string.id)?,
    };
    let letter = SentLetter {
        sent_on: author.day,
        kind: letter.kind.to_owned(),
        to: page.archer(string.archer_id)?.archer.email,
        text: letter.text.to_owned(),
    };
    if !kept.contains(&letter) {
        let step = report.and_then(|(_, step)| step);
        page.keep_letter(string.id, report.map(|(number, _)| number), &letter, step)?;
    }
    Ok(())
}

/// Refuses one letter to two archers.
///
/// # Errors
/// Unknown report, reports of two archers, one that is named twice, or the book cannot be read.
pub fn refuse_two_archers(book: &mut Book, ids: &[String]) -> Result<(), AppError> {
    book.read(|page| {
        let mut seen: Vec<(i64, i64)> = Vec::new();
        for id in ids {
            let (stored, string) = find_report(page, id)?;
            if seen.iter().any(|(number, _)| *number == stored.report.number) {
                return Err(AppError::refused(
                    format!("R-{} is named twice", stored.report.number),
                    "name each report once",
                ));
            }
            if let Some((first, archer)) = seen.first()
                && !super::archers::are_one(page, *archer, string.archer_id)?
            {
                return Err(AppError::refused(
                    format!("R-{first} and R-{} are of two archers", stored.report.number),
                    "write a letter to each",
                ));
            }
            seen.push((stored.report.number, string.archer_id));
        }
        Ok(())
    })
}

/// Keeps a letter about a report, and notes the step it is. After an answer it is the archer's turn,
/// or the bench's; where the letter only asks whether string and bow are sound nothing was promised.
///
/// # Errors
/// Unknown report, or the book cannot be written.
pub fn about_report(
    book: &mut Book,
    id: &str,
    letter: Outgoing<'_>,
    step: Option<Step>,
    author: &Author,
) -> Result<Standing, AppError> {
    book.write(|page| {
        note(page, id, letter, step, true, author)?;
        standing(page, report_number(id)?)
    })
}

/// Keeps one letter with each of the reports it is about. It was written once, so it costs one answer.
///
/// # Errors
/// Unknown report, or the book cannot be written.
pub fn about_reports(
    book: &mut Book,
    letters: &[(&str, Outgoing<'_>, Option<Step>)],
    author: &Author,
) -> Result<(), AppError> {
    book.write(|page| {
        let mut costs = true;
        for (id, letter, step) in letters {
            costs &= !note(page, id, *letter, *step, costs, author)?;
        }
        Ok(())
    })
}

/// Notes a letter with one report; says whether a step was noted.
fn note(
    page: &Page<'_>,
    id: &str,
    letter: Outgoing<'_>,
    step: Option<Step>,
    costs: bool,
    author: &Author,
) -> Result<bool, AppError> {
    let (stored, string) = find_report(page, id)?;
    let number = stored.report.number;
    // Settled reports get their last letter too, but it costs and moves nothing.
    let open = standing(page, number)? != Standing::Settled;
    let step = step.filter(|_| open);
    let last = page.steps(number)?.last().copied();
    let new = step.filter(|step| last != Some(*step));
    if let Some(step) = new {
        page.log(author, event(step, &string, number))?;
        if costs {
            page.add_cost(number, author.day, CostOf::Answer, super::page_rules(page)?.costs.answer)?;
        }
    }
    keep(page, &string, Some((number, step)), letter, author)?;
    Ok(new.is_some())
}
