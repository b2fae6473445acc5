//! Striking a letter that never went out.

use chrono::NaiveDate;

use super::super::error::AppError;
use super::super::reports::refuse_settled;
use super::named::{Named, letter_ids};
use crate::book::Page;

/// Refuses a letter that did go out, as far as anybody knows: another letter withdraws it.
pub(super) fn refuse_gone_out(
    page: &Page<'_>,
    named: &Named,
    (row, day): (i64, NaiveDate),
    never_sent: bool,
) -> Result<(), AppError> {
    let Some(number) = named.number() else { return Ok(()) };
    // How it ended may rest on what the letter told the archer to do.
    refuse_settled(page, number)?;
    let withdrawn = format!(
        "a letter that went out is withdrawn by a new letter: strike the reading that was wrong (fistmele report show R-{number} names them) or decide otherwise (fistmele decide R-{number}), then fistmele letter R-{number}; turns that were made by it are told as ever: fistmele reading add R-{number} --turns-changed"
    );
    if page.were_turns_told_since(number, row)? {
        return Err(AppError::refused(
            format!("{} went out on {day}: the archer has told of turns since", named.id),
            withdrawn,
        ));
    }
    if never_sent {
        return Ok(());
    }
    Err(AppError::Refused {
        message: format!("{} went out on {day}, as far as the book knows", named.id),
        hints: vec![
            withdrawn,
            format!(
                "if it never left the house, say so: fistmele strike {} --never-sent --why \"…\"",
                named.id
            ),
        ],
    })
}

/// The same letter with other reports: it stays there unless it is struck there too.
pub(super) fn same_letter(page: &Page<'_>, row: i64) -> Result<Vec<String>, AppError> {
    let mut others = Vec::new();
    for (report, line) in page.same_letter(row)? {
        others.extend(letter_ids(page, report)?.into_iter().find(|(_, other, _)| *other == line));
    }
    Ok(others
        .into_iter()
        .map(|(id, ..)| {
            format!("the same letter is noted as {id} too: strike that as well if it never went out")
        })
        .collect())
}
