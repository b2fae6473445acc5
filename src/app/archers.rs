//! Where an archer writes from.

use super::error::AppError;
use crate::book::{Author, Happened, Page, StoredString};

/// Whether an address is one that the book has, or had, of the archer of a string.
pub(super) fn is_known(page: &Page<'_>, string: &StoredString, address: &str) -> Result<bool, AppError> {
    let current = page.archer(string.archer_id)?.archer.email;
    Ok(current
        .into_iter()
        .chain(page.former_addresses(string.archer_id)?)
        .any(|known| is_same(&known, address)))
}

fn is_same(one: &str, other: &str) -> bool {
    one.trim().eq_ignore_ascii_case(other.trim())
}

/// Keeps another address of a string's archer: letters go there from now on, and the archer is still
/// known by the former one.
pub(super) fn moved(
    page: &Page<'_>,
    string: &StoredString,
    address: &str,
    author: &Author,
) -> Result<(), AppError> {
    let current = page.archer(string.archer_id)?.archer.email;
    if current.is_some_and(|current| is_same(&current, address)) {
        return Err(AppError::refused(
            format!("letters to the archer of {} go to {address} already", string.string.serial),
            "leave --new-address out",
        ));
    }
    page.change_address(string.archer_id, address.trim(), author.day)?;
    page.log(author, Happened { what: "address", string: Some(string.id), report: None, fields: "email" })?;
    Ok(())
}
