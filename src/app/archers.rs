//! Where an archer writes from, and in which unit they measure.

use super::error::AppError;
use super::sold::{card, find_string};
use super::views::StringView;
use crate::book::{Author, Book, Happened, Page, StoredString};
use crate::quantity::Unit;

/// Whether an address is one that the book has, or had, of the archer of a string.
pub(super) fn is_known(page: &Page<'_>, string: &StoredString, address: &str) -> Result<bool, AppError> {
    let current = page.archer(string.archer_id)?.archer.email;
    Ok(current
        .into_iter()
        .chain(page.former_addresses(string.archer_id)?.into_iter().map(|former| former.email))
        .any(|known| is_same(&known, address)))
}

/// Whether letters to the archer of a string go to an address.
pub(super) fn writes_from(page: &Page<'_>, string: &StoredString, address: &str) -> Result<bool, AppError> {
    let current = page.archer(string.archer_id)?.archer.email;
    Ok(current.is_some_and(|current| is_same(&current, address)))
}

/// Whether two archers of the book are one to whom a letter goes: of one name and one address.
pub(super) fn are_one(page: &Page<'_>, one: i64, other: i64) -> Result<bool, AppError> {
    let (one, other) = (page.archer(one)?, page.archer(other)?);
    let alike = |one: &Option<String>, other: &Option<String>| match (one, other) {
        (Some(one), Some(other)) => is_same(one, other),
        _ => false,
    };
    let (names, addresses) =
        (alike(&one.archer.name, &other.archer.name), alike(&one.archer.email, &other.archer.email));
    Ok(one.id == other.id || names && addresses)
}

/// That strings were sold to two archers, as a sentence that names them.
pub(super) fn two_archers(page: &Page<'_>, serials: &[String]) -> Result<Option<String>, AppError> {
    let mut strings = Vec::new();
    for serial in serials {
        strings.push(find_string(page, serial)?);
    }
    let Some(first) = strings.first() else { return Ok(None) };
    for other in &strings {
        if !are_one(page, first.archer_id, other.archer_id)? {
            let whose = |string: &StoredString| -> Result<String, AppError> {
                let archer = page.archer(string.archer_id)?.archer;
                let named: Vec<String> = [archer.name, archer.email].into_iter().flatten().collect();
                Ok(if named.is_empty() { "nobody named".to_owned() } else { named.join(", ") })
            };
            return Ok(Some(format!(
                "{} was sold to {}, and {} to {}, who are two archers in the book",
                first.string.serial,
                whose(first)?,
                other.string.serial,
                whose(other)?
            )));
        }
    }
    Ok(None)
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
    if writes_from(page, string, address)? {
        return Err(AppError::refused(
            format!("letters to the archer of {} go to {address} already", string.string.serial),
            "leave --new-address out",
        ));
    }
    page.change_address(string.archer_id, address.trim(), author.day)?;
    page.log(author, Happened { what: "address", string: Some(string.id), report: None, fields: "email" })?;
    Ok(())
}

/// The address that was the archer's before the message whose first line of the history this is, where
/// that message gave them another.
pub(super) fn address_before(
    page: &Page<'_>,
    string: &StoredString,
    line: i64,
) -> Result<Option<String>, AppError> {
    if !page.moved_with(string.id, line)? {
        return Ok(None);
    }
    Ok(page.former_addresses(string.archer_id)?.pop().map(|former| former.email))
}

/// Has letters to a string's archer go to a former address again: the one since was noted by mistake,
/// and is not kept as theirs.
///
/// # Errors
/// Unknown serial, no such former address, or the book cannot be written.
pub fn back_to(
    book: &mut Book,
    serial: &str,
    address: &str,
    author: &Author,
) -> Result<StringView, AppError> {
    book.write(|page| {
        let string = find_string(page, serial)?;
        let former = page.former_addresses(string.archer_id)?;
        let Some(wanted) = former.iter().find(|former| is_same(&former.email, address)) else {
            let known: Vec<&str> = former.iter().map(|former| former.email.as_str()).collect();
            return Err(AppError::refused(
                format!(
                    "{} is no former address of the archer of {}",
                    crate::words::shorten(address),
                    string.string.serial
                ),
                if known.is_empty() {
                    "the book has none of this archer".to_owned()
                } else {
                    format!("there is {}", known.join(", "))
                },
            ));
        };
        page.address_back(string.archer_id, &wanted.email)?;
        page.log(
            author,
            Happened { what: "address", string: Some(string.id), report: None, fields: "email" },
        )?;
        card(page, &string, &super::page_rules(page)?)
    })
}

/// Keeps the unit of a string's archer that a message names, where none was known: what a person said
/// stays.
pub(super) fn measures_in(page: &Page<'_>, string: &StoredString, unit: Unit) -> Result<(), AppError> {
    if page.archer(string.archer_id)?.unit.is_none() {
        page.set_archer_unit(string.archer_id, Some(unit))?;
    }
    Ok(())
}

/// Says in which unit the archer of a string measures: their letters, cards and sheets go in it.
/// `book`: in whatever the book is kept in.
///
/// # Errors
/// Unknown serial, no such unit, or the book cannot be written.
pub fn set_unit(book: &mut Book, serial: &str, unit: &str, author: &Author) -> Result<StringView, AppError> {
    let unit = match unit.trim().to_lowercase().as_str() {
        "book" => None,
        named => Some(named.parse().map_err(|_| {
            AppError::refused(
                format!("\"{}\" is no unit that letters go in", crate::words::shorten(unit)),
                "say inch, cm or mm, or book for what the book is kept in",
            )
        })?),
    };
    book.write(|page| {
        let string = find_string(page, serial)?;
        page.set_archer_unit(string.archer_id, unit)?;
        page.log(author, Happened { what: "archer", string: Some(string.id), report: None, fields: "unit" })?;
        card(page, &string, &super::page_rules(page)?)
    })
}
