//! Verdicts that were worked out with what is struck now, or without what is brought back.

use super::super::advise::{as_it_stands, rework};
use super::super::error::AppError;
use super::super::facts::Kept;
use super::super::reports::standing;
use super::named::{Named, What};
use crate::book::{Author, Page};
use crate::trade::words::Standing;

/// Verdicts on open reports, with what they come to before the strike, or its undoing.
pub(super) struct Judged(Vec<(i64, Kept)>);

/// Whether a report counts, and has a verdict that is not the last word on how it ended.
fn is_open(page: &Page<'_>, number: i64) -> Result<bool, AppError> {
    Ok(page.report(number)?.is_some() && standing(page, number)? != Standing::Settled)
}

impl Judged {
    /// The verdicts worked out after a line of the history: that which noted the thing, where it is to be
    /// struck, that of the strike where it is brought back. Of a verdict of an older book nobody knows
    /// when it was, so those on strings for the same bow are looked at. Nothing is worked out from a
    /// letter.
    pub(super) fn since(
        page: &Page<'_>,
        named: &Named,
        line: i64,
        author: &Author,
    ) -> Result<Self, AppError> {
        let mut judged = Vec::new();
        if matches!(named.what, What::Letter { .. }) {
            return Ok(Self(judged));
        }
        let mut numbers = page.reports_judged_since(line)?;
        for string in page.strings_of_bow(named.string.bow_id)? {
            numbers.extend(page.reports_of(string)?);
        }
        numbers.sort_unstable();
        numbers.dedup();
        for number in numbers {
            let Some(last) = page.newest_verdict(number)? else { continue };
            if last.after_line.is_none_or(|after| after >= line) && is_open(page, number)? {
                judged.push((number, as_it_stands(page, number, author.day)?));
            }
        }
        Ok(Self(judged))
    }

    /// Works them out anew as things stand now.
    pub(super) fn work_out_anew(&self, page: &Page<'_>, author: &Author) -> Result<(), AppError> {
        for (number, before) in &self.0 {
            if is_open(page, *number)? {
                rework(page, *number, before, author)?;
            }
        }
        Ok(())
    }
}
