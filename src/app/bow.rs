//! Bows: which bow a string is for, what is known of one, and corrections.

use chrono::Datelike;
use serde::Serialize;

use super::error::AppError;
use super::facts::taught;
use super::sold::{card, find_string};
use super::views::{ArcherView, BowView, StringView};
use crate::book::{Author, Book, Happened, Page, StoredString};
use crate::quantity::Length;
use crate::trade::bows::{are_alike, put_together};
use crate::trade::plausible;
use crate::trade::records::{Archer, BowChanges, BowProfile, SoldString};
use crate::trade::words::Route;

/// Which bow of its archer a new string is for. A replacement is for the bow of the string it
/// replaces, whatever is said here.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum WhichBow {
    /// The one that is known just so, if there is just one.
    #[default]
    Usual,
    /// The one of the same kind and marked length, if there is just one and nothing speaks against it.
    Alike,
    /// The one that another string is for.
    Of(String),
    /// One that the book does not know yet, however much it looks like another.
    Another,
}

/// Whose string it will be, if the book knows the archer.
///
/// # Errors
/// The string whose bow it is for was sold to somebody else.
pub(super) fn archer_of(
    page: &Page<'_>,
    said: &Archer,
    string: &SoldString,
    which: &WhichBow,
) -> Result<Option<i64>, AppError> {
    let nobody = *said == Archer::default();
    let first = match (which, &string.replaces) {
        (WhichBow::Of(serial), _) => find_string(page, serial)?,
        (_, Some(replaces)) if nobody => find_string(page, replaces)?,
        _ => return Ok(page.archer_like(said)?),
    };
    let known = page.archer(first.archer_id)?.archer;
    let differs = |said: &Option<String>, known: &Option<String>| match (said, known) {
        (Some(said), Some(known)) => said.to_lowercase() != known.to_lowercase(),
        (Some(_), None) => true,
        (None, _) => false,
    };
    if differs(&said.name, &known.name) || differs(&said.email, &known.email) {
        return Err(AppError::refused(
            format!("{} was not sold to that archer", first.string.serial),
            "leave --archer and --email out: a string for the same bow is that archer's; if it is another person's now, leave --same-bow out",
        ));
    }
    Ok(Some(first.archer_id))
}

/// The bow a new string is for.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Placed {
    /// Its row, if the book has it.
    id: Option<i64>,
    /// Everything known of it.
    pub(super) bow: BowProfile,
    /// What became known with this string.
    added: Vec<&'static str>,
    /// The archer has such a bow, but it was not taken: what is said contradicts it, or there is
    /// more than one.
    pub(super) kept_apart: bool,
}

impl Placed {
    /// Finds the bow that a string of an archer is for; `said` is what is said of the bow with it.
    ///
    /// # Errors
    /// What is said contradicts the bow that was named, or the book cannot be read.
    pub(super) fn find(
        page: &Page<'_>,
        archer: Option<i64>,
        said: &BowProfile,
        string: &SoldString,
        which: &WhichBow,
    ) -> Result<Self, AppError> {
        let own = |kept_apart| Self { id: None, bow: said.clone(), added: Vec::new(), kept_apart };
        let replaces = string.replaces.as_deref().map(|serial| find_string(page, serial)).transpose()?;
        if let WhichBow::Of(serial) = which {
            let first = find_string(page, serial)?;
            if let Some(old) = replaces.filter(|old| old.bow_id != first.bow_id) {
                return Err(AppError::refused(
                    format!("{} and {} are for two bows", old.string.serial, first.string.serial),
                    "a replacement is for the bow of the string it replaces: leave --same-bow out",
                ));
            }
            return Self::joined(first.bow_id, &page.bow(first.bow_id)?, said)
                .map_err(|field| contradicts(&first.string.serial, field));
        }
        if let Some(first) = replaces.filter(|first| Some(first.archer_id) == archer) {
            return Ok(Self::joined(first.bow_id, &page.bow(first.bow_id)?, said).unwrap_or(own(true)));
        }
        let bows = match archer.filter(|_| *which != WhichBow::Another) {
            Some(archer) => page.bows_of_archer(archer)?,
            None => Vec::new(),
        };
        let looks_like = |bow: &BowProfile| {
            (bow == said && *said != BowProfile::default())
                || (*which == WhichBow::Alike && are_alike(bow, said))
        };
        let mut candidates = bows.into_iter().filter(|(_, bow)| looks_like(bow));
        Ok(match (candidates.next(), candidates.next()) {
            (Some((id, bow)), None) => Self::joined(id, &bow, said).unwrap_or(own(true)),
            (Some(_), Some(_)) => own(true),
            (None, _) => own(false),
        })
    }

    fn joined(id: i64, known: &BowProfile, said: &BowProfile) -> Result<Self, &'static str> {
        let (bow, added) = put_together(known, said)?;
        Ok(Self { id: Some(id), bow, added, kept_apart: false })
    }

    /// The book has that bow already.
    pub(super) const fn is_shared(&self) -> bool {
        self.id.is_some()
    }

    /// Writes the bow down where it is new or more is known of it; gives its row.
    pub(super) fn take(&self, page: &Page<'_>, archer: i64, day: chrono::NaiveDate) -> Result<i64, AppError> {
        let Some(id) = self.id else { return Ok(page.add_bow(archer, &self.bow)?) };
        if !self.added.is_empty() {
            page.change_bow(id, &self.bow)?;
            super::strength::mark_strings_of(page, id, &self.bow, day)?;
        }
        Ok(id)
    }

    /// Takes each of some bows of archers, the new ones together; gives their rows.
    pub(super) fn take_all(
        page: &Page<'_>,
        places: &[(i64, &Self)],
        day: chrono::NaiveDate,
    ) -> Result<Vec<i64>, AppError> {
        let is_new = |(_, place): &&(i64, &Self)| !place.is_shared();
        let new: Vec<_> = places.iter().filter(is_new).map(|(archer, place)| (*archer, &place.bow)).collect();
        let mut new = page.add_bows(&new)?;
        let mut row = |(archer, place): &(i64, &Self)| match place.id {
            None => new.next().ok_or_else(|| AppError::Internal("a bow was not added".to_owned())),
            Some(_) => place.take(page, *archer, day),
        };
        places.iter().map(&mut row).collect()
    }

    /// Notes what became known of the bow with a string.
    pub(super) fn log(&self, page: &Page<'_>, string: i64, author: &Author) -> Result<(), AppError> {
        if !self.added.is_empty() {
            page.log(author, event_of_bow(string, &self.added.join(" ")))?;
        }
        Ok(())
    }
}

fn event_of_bow(string: i64, fields: &str) -> Happened<'_> {
    Happened { what: "bow", string: Some(string), report: None, fields }
}

fn contradicts(serial: &str, field: &str) -> AppError {
    AppError::refused(
        format!("the bow of {serial} is known with another {}", field_name(field)),
        format!(
            "if it is that bow, leave it out or correct it with: fistmele bow edit {serial}; if it is another, keep the two apart; see: fistmele bow show {serial}"
        ),
    )
}

/// Strings that have to do with the bow of one.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(super) struct Others {
    /// For the same bow.
    pub(super) same: Vec<String>,
    /// The newest for each other bow of the archer that is of the same kind and marked length.
    pub(super) alike: Vec<String>,
    /// Sold on the same day, to the same archer, to the same measures: spare strings, or one string that
    /// was entered twice.
    pub(super) twins: Vec<String>,
}

/// Two strings differ in nothing but what names them.
fn are_twins(one: &SoldString, other: &SoldString) -> bool {
    let of = |string: &SoldString| {
        (
            (string.sold_on, string.route, string.yarn, string.strands),
            (string.stated, string.ordered, string.built, string.turns, string.replaces.is_some()),
        )
    };
    of(one) == of(other)
}

pub(super) fn others(page: &Page<'_>, stored: &StoredString, bow: &BowProfile) -> Result<Others, AppError> {
    let serial = |row: i64| Ok::<_, AppError>(page.string_of_row(row)?.string.serial);
    let (mut same, mut alike, mut twins) = (Vec::new(), Vec::new(), Vec::new());
    for row in page.strings_of_bow(stored.bow_id)?.into_iter().filter(|row| *row != stored.id) {
        let other = page.string_of_row(row)?;
        if other.archer_id == stored.archer_id && are_twins(&other.string, &stored.string) {
            twins.push(other.string.serial.clone());
        }
        same.push(other.string.serial);
    }
    for (id, other) in page.bows_of_archer(stored.archer_id)? {
        if id != stored.bow_id && are_alike(&other, bow) {
            alike.extend(page.strings_of_bow(id)?.last().copied().map(serial).transpose()?);
        }
    }
    Ok(Others { same, alike, twins })
}

/// Makes changes to the bow of a string inside a running transaction; says which fields changed.
pub(super) fn change(
    page: &Page<'_>,
    stored: &StoredString,
    changes: &BowChanges,
    author: &Author,
) -> Result<Vec<&'static str>, AppError> {
    let before = page.bow_of(stored)?;
    let (after, changed) = changes.applied_to(&before);
    if !changed.is_empty() {
        check(page, stored, changes, author)?;
    }
    set(page, stored, &before, &after, author)
}

/// Keeps what is known of the bow of a string from now on; says which fields changed.
pub(super) fn set(
    page: &Page<'_>,
    stored: &StoredString,
    before: &BowProfile,
    after: &BowProfile,
    author: &Author,
) -> Result<Vec<&'static str>, AppError> {
    let changed = before.differing(after);
    if !changed.is_empty() {
        page.change_bow(stored.bow_id, after)?;
        super::strength::mark_strings_of(page, stored.bow_id, after, author.day)?;
        page.log(author, event_of_bow(stored.id, &changed.join(" ")))?;
    }
    Ok(changed)
}

/// A field of a bow as people call it, by its name in the history.
pub(super) fn field_name(field: &str) -> &str {
    match field {
        "bow_kind" => "kind of bow",
        "bow_marked_length" => "marked length",
        "bow_nock_to_nock" => "nock to nock",
        "draw_weight_lb" => "draw weight",
        "brace_range" => "its maker's brace range",
        "range_unknown" => "that its maker's brace range is not known",
        "stave" => "what it is made of",
        "bow_year" => "year it was made",
        "maker_allows_low_stretch" => "that its maker allows low-stretch yarn",
        other => other,
    }
}

/// Keeps what the newest reading of a report told of the bow, of which so much was known before.
pub(super) fn keep_told(
    page: &Page<'_>,
    report: i64,
    before: &BowProfile,
    changes: &BowChanges,
) -> Result<(), AppError> {
    if *changes == BowChanges::default() {
        return Ok(());
    }
    let internal = |error: serde_json::Error| AppError::Internal(error.to_string());
    let (before, told) =
        (serde_json::to_string(before).map_err(internal)?, serde_json::to_string(changes).map_err(internal)?);
    Ok(page.add_bow_told(report, &before, &told)?)
}

/// What was said of the bow, beside the string and the day.
fn check(
    page: &Page<'_>,
    stored: &StoredString,
    changes: &BowChanges,
    author: &Author,
) -> Result<(), AppError> {
    if let Some(range) = changes.brace_range {
        let unit = super::page_rules(page)?.units;
        plausible::brace_range(range, stored.string.length(), unit)
            .map_err(AppError::cannot_be("check --brace-range and the string's length, and both units"))?;
    }
    if let Some(year) = changes.year {
        plausible::bow_year(year, author.day.year()).map_err(AppError::cannot_be("check --bow-year"))?;
    }
    Ok(())
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
        change(page, &stored, changes, author)?;
        card(page, &stored, &super::page_rules(page)?)
    })
}

/// Says of a string that it is for the bow of another string of its archer. What is known of
/// either bow is known of the one; with it goes what readings with either string taught.
///
/// # Errors
/// Unknown serial, strings of two archers, two bows of which different things are known, or the
/// book cannot be written.
pub fn same(book: &mut Book, serial: &str, as_of: &str, author: &Author) -> Result<StringView, AppError> {
    book.write(|page| {
        let (string, first) = (find_string(page, serial)?, find_string(page, as_of)?);
        let (here, there) = (&string.string.serial, &first.string.serial);
        if string.bow_id == first.bow_id {
            return Err(AppError::refused(
                format!("{here} and {there} are for the same bow already"),
                format!("see it with: fistmele bow show {here}"),
            ));
        }
        if string.archer_id != first.archer_id {
            return Err(AppError::refused(
                format!("{here} and {there} were sold to two archers"),
                "only strings of one archer can be for one bow; see: fistmele sold show",
            ));
        }
        let place = Placed::joined(first.bow_id, &page.bow(first.bow_id)?, &page.bow(string.bow_id)?)
            .map_err(|field| contradicts(there, field))?;
        super::sold::check(&string.string, &place.bow, super::page_rules(page)?.units, author.day)?;
        if !place.added.is_empty() {
            page.change_bow(first.bow_id, &place.bow)?;
        }
        page.set_bow(string.id, first.bow_id)?;
        page.drop_bow_without_strings(string.bow_id)?;
        super::strength::mark_strings_of(page, first.bow_id, &place.bow, author.day)?;
        place.log(page, first.id, author)?;
        page.log(author, event_of_bow(string.id, "same_bow"))?;
        let stored = find_string(page, serial)?;
        card(page, &stored, &super::page_rules(page)?)
    })
}

/// Says of a string that its bow is another than that of the strings it shared one with. What is
/// known of the one is known of the other, until somebody corrects it; what readings with the
/// other strings taught stays with these.
///
/// # Errors
/// Unknown serial, a string that shares its bow with none, one of a chain of replacements, or the
/// book cannot be written.
pub fn apart(book: &mut Book, serial: &str, author: &Author) -> Result<StringView, AppError> {
    book.write(|page| {
        let string = find_string(page, serial)?;
        let here = &string.string.serial;
        if page.strings_of_bow(string.bow_id)?.len() < 2 {
            return Err(AppError::refused(
                format!("no other string is for the bow of {here}"),
                format!("see it with: fistmele bow show {here}"),
            ));
        }
        let chain = super::cases::chain(page, &string)?;
        if chain.len() > 1 {
            return Err(AppError::refused(
                format!(
                    "{here} is of the chain {}: a replacement is for the bow of its first string",
                    chain.join(" > ")
                ),
                "what is known of the bow can be corrected with: fistmele bow edit",
            ));
        }
        let bow = page.add_bow(string.archer_id, &page.bow(string.bow_id)?)?;
        page.log(author, event_of_bow(string.id, "bow_apart"))?;
        page.set_bow(string.id, bow)?;
        let stored = find_string(page, serial)?;
        card(page, &stored, &super::page_rules(page)?)
    })
}

/// A string of a bow.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StringOfBow {
    /// Serial.
    pub serial: String,
    /// Day of sale.
    pub sold_on: chrono::NaiveDate,
    /// How it was sized.
    pub route: Route,
    /// Ordered length.
    pub ordered_length_inch: Option<f64>,
    /// How many reports there are of it.
    pub reports: usize,
}

/// A bow with its strings and what their readings taught.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BowCard {
    /// What is known of it.
    pub bow: BowView,
    /// Whose it is.
    pub archer: ArcherView,
    /// Strings for it, oldest first.
    pub strings: Vec<StringOfBow>,
    /// String whose second readings showed how this bow answers; the newest.
    pub taught_by: Option<String>,
    /// How much more the bow answers than the table of its kind says, as a ratio.
    pub answers_ratio: Option<f64>,
    /// Standard deviation of the natural logarithm of that ratio.
    pub answers_log_sd: Option<f64>,
    /// The newest string of each other bow of the archer of the same kind and marked length.
    pub alike: Vec<String>,
}

/// Shows the bow of a string.
///
/// # Errors
/// Unknown serial, or the book cannot be read.
pub fn show(book: &mut Book, serial: &str) -> Result<BowCard, AppError> {
    book.read(|page| {
        let stored = find_string(page, serial)?;
        let bow = page.bow_of(&stored)?;
        let mut strings = Vec::new();
        for row in page.strings_of_bow(stored.bow_id)? {
            let string = page.string_of_row(row)?.string;
            strings.push(StringOfBow {
                serial: string.serial,
                sold_on: string.sold_on,
                route: string.route,
                ordered_length_inch: string.ordered.map(Length::inches),
                reports: page.reports_of(row)?.len(),
            });
        }
        let rules = super::page_rules(page)?;
        let recorded = super::recorded_turns(page, &rules)?;
        let taught = taught(page, stored.bow_id, &bow, (&rules, &recorded), None)?;
        Ok(BowCard {
            bow: (&bow).into(),
            archer: page.archer(stored.archer_id)?.into(),
            strings,
            answers_ratio: taught.as_ref().map(|(_, effect)| effect.ratio),
            answers_log_sd: taught.as_ref().map(|(_, effect)| effect.log_sd),
            taught_by: taught.map(|(serial, _)| serial),
            alike: others(page, &stored, &bow)?.alike,
        })
    })
}
