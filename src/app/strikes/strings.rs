//! Striking a string sold.

use super::super::error::AppError;
use super::super::reports::standing;
use super::named::{Named, left_out, typed_string};
use super::{posted, posted_for, refuse_struck};
use crate::book::Page;
use crate::trade::words::Standing;

/// Refuses where something was done that rests on the string.
pub(super) fn refuse_resting(page: &Page<'_>, named: &Named) -> Result<(), AppError> {
    let row = named.string.id;
    if let Some(report) = page.made_again_for(row)?
        && let Some(day) =
            page.remakes(report)?.into_iter().find(|made| made.string_id == row).and_then(|made| made.sent_on)
    {
        return Err(AppError::refused(
            posted(&named.id, report, day),
            format!("settle it as it ended: fistmele settle R-{report}"),
        ));
    }
    for report in page.reports_of(row)? {
        if standing(page, report)? != Standing::Settled {
            return Err(AppError::refused(
                format!("R-{report} of {} is open", named.id),
                format!(
                    "strike it first if it is a mistake too, else settle it: fistmele strike R-{report} --why \"…\", fistmele settle R-{report}"
                ),
            ));
        }
        if let Some(posted) = posted_for(page, report)? {
            return Err(AppError::refused(
                posted,
                format!(
                    "a string that was replaced stays in the book; strike what was wrong in its reports: fistmele report show R-{report}"
                ),
            ));
        }
        if let Some(what) = super::dangers_of(page, report)? {
            return Err(AppError::refused(
                format!("R-{report} of {} holds signs of danger: {what}", named.id),
                format!(
                    "read each again; strike that report first, with each called off by name: fistmele strike R-{report} --why \"…\""
                ),
            ));
        }
    }
    if let Some(serial) = page.replacements_of(row)?.first() {
        return Err(AppError::refused(
            format!("{serial} replaces {}", named.id),
            format!(
                "strike that first if it is a mistake too: fistmele strike {} --why \"…\"",
                typed_string(serial)
            ),
        ));
    }
    Ok(())
}

/// What else to know of a string that is struck.
pub(super) fn notices(page: &Page<'_>, named: &Named) -> Result<Vec<String>, AppError> {
    let mut notices = Vec::new();
    if let Some(report) = page.made_again_for(named.string.id)? {
        notices.push(format!(
            "R-{report} has nothing on the bench any more, and the cost of a new string is taken off it"
        ));
    }
    let reports: Vec<String> =
        page.reports_of(named.string.id)?.into_iter().map(|number| format!("R-{number}")).collect();
    if !reports.is_empty() {
        notices.push(format!("left out with it: {}", reports.join(", ")));
    }
    if named.string.string.spool.is_some() {
        notices.push(
            "its spool counts one string less; if it was twisted, its yarn is used all the same".to_owned(),
        );
    }
    Ok(notices)
}

/// Refuses to bring a string back where its place was taken since.
pub(super) fn refuse_moved_on(page: &Page<'_>, named: &Named) -> Result<(), AppError> {
    if let Some((report, _)) = page.made_for(named.string.id)? {
        if let Some(made) = page.remakes(report)?.pop() {
            return Err(AppError::refused(
                format!(
                    "{} cannot be brought back: {} was put on the bench for R-{report} since",
                    named.id, made.serial
                ),
                format!("strike that first: fistmele strike {} --why \"…\"", typed_string(&made.serial)),
            ));
        }
        if standing(page, report)? == Standing::Settled {
            return Err(AppError::refused(
                format!("{} cannot be brought back: R-{report}, for which it was made, is settled", named.id),
                format!("take that up again first: fistmele resume R-{report}"),
            ));
        }
    }
    if let Some(before) = &named.string.string.replaces
        && let Some(before) = page.any_string(before)?
        && let Some(with) = left_out(page, &before)?
    {
        return Err(refuse_struck(&with.id, &with.struck));
    }
    Ok(())
}
