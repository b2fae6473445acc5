//! Corrections of a bow profile.

use super::error::AppError;
use super::sold::{card, find_string};
use super::views::StringView;
use crate::book::{Author, Book, Happened, Page, StoredString};
use crate::trade::records::BowChanges;

/// Makes changes to the bow of a string inside a running transaction; says which fields changed.
pub(super) fn change(
    page: &Page<'_>,
    stored: &StoredString,
    changes: &BowChanges,
    author: &Author,
) -> Result<Vec<&'static str>, AppError> {
    let (after, changed) = changes.applied_to(&page.bow_of(stored)?);
    if !changed.is_empty() {
        page.change_bow(stored.bow_id, &after)?;
        let fields = changed.join(" ");
        super::strength::mark_strings_of(page, stored.bow_id, &after, author.day)?;
        page.log(author, Happened { what: "bow", string: Some(stored.id), report: None, fields: &fields })?;
    }
    Ok(changed)
}

/// Corrects the bow profile of a string.
///
/// # Errors
/// Unknown serial, nothing to change, or the book cannot be written.
pub fn edit(
    book: &mut Book,
    serial: &str,
    changes: &BowChanges,
    author: &Author,
) -> Result<StringView, AppError> {
    book.write(|page| {
        let stored = find_string(page, serial)?;
        if *changes == BowChanges::default() {
            return Err(AppError::refused(
                "there is nothing to change",
                "name what is to be corrected, such as --tips reinforced or --brace-range 7-1/2..8-1/4",
            ));
        }
        let (after, _) = changes.applied_to(&page.bow_of(&stored)?);
        super::sold::check(&stored.string, &after, author.day)?;
        change(page, &stored, changes, author)?;
        card(page, &stored, &super::page_rules(page)?)
    })
}
