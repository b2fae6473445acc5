//! Letters that go out: noted, and kept as they went.

use super::error::AppError;
use super::reports::{event, find_report, standing};
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
        let (stored, string) = find_report(page, id)?;
        let number = stored.report.number;
        // Settled reports get their last letter too, but it costs and moves nothing.
        let open = standing(page, number)? != Standing::Settled;
        let step = step.filter(|_| open);
        if let Some(step) = step
            && page.steps(number)?.last() != Some(&step)
        {
            page.log(author, event(step, &string, number))?;
            page.add_cost(number, author.day, CostOf::Answer, super::page_rules(page)?.costs.answer)?;
        }
        keep(page, &string, Some((number, step)), letter, author)?;
        standing(page, number)
    })
}
