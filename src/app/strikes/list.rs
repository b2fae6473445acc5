//! What can be struck of a report or a string, and what is struck of it.

use super::super::error::AppError;
use super::super::reports::find_any_report;
use super::super::sold::find_any_string;
use super::named::{Named, What, find, letter_ids, reading_id};
use super::{StruckMark, dangers};
use crate::book::{Book, Page};

/// A thing that can be struck.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Strikable {
    /// Its id.
    pub id: String,
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
        let readings = page.all_readings(number)?.len();
        let mut ids = vec![stored.report.id()];
        ids.extend((1..=readings).map(|place| reading_id(number, place)));
        ids.extend(letter_ids(page, number)?.into_iter().map(|(id, ..)| id));
        let mut found = Vec::new();
        for id in ids {
            let named = find(page, &id)?;
            // A report that came without a measurement has nothing there to strike.
            if !matches!(&named.what, What::Reading { place: 1, reading, .. } if reading.measurements.is_empty())
            {
                found.push(Strikable::new(page, &named)?);
            }
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
        let string = find_any_string(page, serial)?;
        let named = find(page, &format!("string:{}", string.string.serial))?;
        Ok(vec![Strikable::new(page, &named)?])
    })
}
