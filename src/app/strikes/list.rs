//! What can be struck of a report or a string, and what is struck of it.

use serde::Serialize;

use super::super::error::AppError;
use super::super::reports::find_any_report;
use super::super::sold::find_any_string;
use super::named::{Named, What, letter_ids, reading_id, typed};
use super::{StruckMark, dangers};
use crate::book::{Book, Page, Thing};

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

/// Something that is struck by itself.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StruckLine {
    /// Its id.
    pub id: String,
    /// What it is: report, reading, letter or string.
    pub what: &'static str,
    /// Serial of its string.
    pub string: String,
    /// Name of its archer.
    pub archer: Option<String>,
    /// How it is struck.
    pub struck: StruckMark,
    /// Its id as `unstrike` is told it.
    #[serde(skip)]
    pub typed: String,
    /// The report that it is or belongs to.
    #[serde(skip)]
    pub report: Option<String>,
}

/// Whatever is struck, the newest strike first; what is left out with something else goes with that.
///
/// # Errors
/// The book cannot be read.
pub fn struck(book: &mut Book) -> Result<Vec<StruckLine>, AppError> {
    book.read(|page| {
        let mut lines = Vec::new();
        for struck in page.all_struck()?.into_iter().rev() {
            let string = page.string_of_row(struck.string)?;
            let number = struck.report.unwrap_or_default();
            let place = |found: Option<usize>| {
                found.ok_or_else(|| AppError::Internal(format!("strike {} of nothing", struck.id)))
            };
            let id = match struck.thing {
                Thing::String(_) => string.string.serial.clone(),
                Thing::Report(number) => format!("R-{number}"),
                Thing::Reading(row) => {
                    let all = page.all_readings(number)?;
                    reading_id(number, place(all.iter().position(|(other, _)| *other == row))? + 1)
                }
                Thing::Letter(line) => {
                    let mut all = letter_ids(page, number)?;
                    let at = place(all.iter().position(|(_, other, _)| *other == line))?;
                    all.swap_remove(at).0
                }
            };
            lines.push(StruckLine {
                typed: typed(struck.thing, &id),
                id,
                what: struck.thing.word(),
                report: struck.report.map(|number| format!("R-{number}")),
                archer: page.archer(string.archer_id)?.archer.name,
                string: string.string.serial,
                struck: StruckMark::from(&struck),
            });
        }
        Ok(lines)
    })
}
