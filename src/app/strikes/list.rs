//! What can be struck of a report or a string, and what is struck of it.

use super::super::error::AppError;
use super::super::reports::find_any_report;
use super::super::sold::find_any_string;
use super::named::{Named, What, letter_ids, reading_id, typed};
use super::{StruckMark, dangers};
use crate::book::{Book, Page};

/// A thing that can be struck.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Strikable {
    /// Its id.
    pub id: String,
    /// Its id as `strike` and `unstrike` are told it.
    pub typed: String,
    /// What it is: report, reading, letter or string.
    pub what: &'static str,
    /// How it is struck, where it is.
    pub struck: Option<StruckMark>,
    /// Signs of danger that have to be called off with it: the name of each, and how it is shown.
    pub dangers: Vec<(String, String)>,
}

impl Strikable {
    fn new(page: &Page<'_>, named: &Named) -> Result<Self, AppError> {
        let dangers = dangers(page, named)?;
        Ok(Self {
            id: named.id.clone(),
            typed: typed(named.thing(), &named.id),
            what: named.thing().word(),
            struck: named.strike().map(StruckMark::from),
            dangers: dangers.into_iter().map(|danger| (danger.name, danger.shown)).collect(),
        })
    }
}

/// The report, its readings and its letters. Of a report that is left out, what is struck of it by
/// itself.
///
/// # Errors
/// Unknown report, or the book cannot be read.
pub fn of_report(book: &mut Book, id: &str) -> Result<Vec<Strikable>, AppError> {
    book.read(|page| {
        let (stored, _) = find_any_report(page, id)?;
        let number = stored.report.number;
        let mut named = Named::of_report(page, stored)?;
        let mut found = vec![Strikable::new(page, &named)?];
        for (at, (row, reading)) in page.all_readings(number)?.into_iter().enumerate() {
            let place = at + 1;
            (named.id, named.what) = (reading_id(number, place), What::Reading { place, row, reading });
            if !named.is_empty() {
                found.push(Strikable::new(page, &named)?);
            }
        }
        for (id, row, day) in letter_ids(page, number)? {
            (named.id, named.what) = (id, What::Letter { row, day });
            found.push(Strikable::new(page, &named)?);
        }
        Ok(found)
    })
}

/// The string itself.
///
/// # Errors
/// Unknown string, or the book cannot be read.
pub fn of_string(book: &mut Book, serial: &str) -> Result<Vec<Strikable>, AppError> {
    book.read(|page| {
        let named = Named::of_string(page, find_any_string(page, serial)?)?;
        Ok(vec![Strikable::new(page, &named)?])
    })
}
