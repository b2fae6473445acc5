//! Strings sold: one by one, by import, and their cards.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;

use super::bow::{Placed, WhichBow, archer_of, others};
use super::error::AppError;
use super::imports::{Fault, Imported, Rows, WeakRow};
use super::reports::report_view;
use super::strength::{StrengthStand, StrengthView, mark};
use super::strikes::{StruckMark, left_out, refuse_struck};
use super::views::{StringParts, StringView};
use crate::book::{Author, Book, BookError, Happened, NewString, Page, StoredString};
use crate::intake::SoldRow;
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::quantity::{Length, Unit};
use crate::trade::build::Subject;
use crate::trade::plausible;
use crate::trade::records::{Archer, BowProfile, SoldString};
use crate::trade::rules::Rules;
use crate::trade::sizing::{Start, ordered_from, usual_offset};
use crate::trade::words::Route;
use crate::words::nearest;

/// A string to be entered by hand; what is `None` is worked out or stays unknown.
#[derive(Debug, Clone, PartialEq)]
pub struct NewSold {
    /// Serial; made where absent.
    pub serial: Option<String>,
    /// Archer.
    pub archer: Archer,
    /// Bow.
    pub bow: BowProfile,
    /// Which bow of the archer that is.
    pub which: WhichBow,
    /// Everything else. Its serial is not looked at; its ordered length follows from the stated measure
    /// and the offset where absent.
    pub string: SoldString,
}

/// A serial as it may be printed.
///
/// # Errors
/// Empty, too long, or with control characters.
pub fn checked_serial(text: &str) -> Result<String, AppError> {
    plausible::serial(text).map_err(|error| {
        AppError::refused(
            format!("\"{}\" will not do for a serial: {}", crate::words::shorten(text.trim()), error.said),
            "leave --serial out to have one made (S-1, S-2, ...)",
        )
    })
}

/// Faults in what is known of a string and its bow, that no single field shows.
///
/// # Errors
/// The first fault found.
pub(super) fn check(
    string: &SoldString,
    bow: &BowProfile,
    unit: Unit,
    today: NaiveDate,
) -> Result<(), AppError> {
    plausible::happened(string.sold_on, today)
        .map_err(AppError::cannot_be("give the day of sale as YYYY-MM-DD"))?;
    if let Some(delivered) = string.delivered_on {
        plausible::delivered(delivered, string.sold_on)
            .map_err(AppError::cannot_be("check --sold-on and --delivered-on"))?;
        plausible::happened(delivered, today)
            .map_err(AppError::cannot_be("leave --delivered-on out until it is delivered"))?;
    }
    if let (Some(built), Some(ordered)) = (string.built, string.ordered) {
        plausible::built(built, ordered, unit)
            .map_err(AppError::cannot_be("was the bow's length given for one of them?"))?;
    }
    if let Some(range) = bow.brace_range {
        plausible::brace_range(range, string.length(), unit)
            .map_err(AppError::cannot_be("check --brace-range and --ordered, and both units"))?;
    }
    Ok(())
}

/// Enters one string.
///
/// # Errors
/// Something is missing, contradicts itself, the serial is taken, or the book cannot be written.
pub fn add(book: &mut Book, new: NewSold, author: &Author) -> Result<StringView, AppError> {
    let mut string = new.string;
    let serial = new.serial.as_deref().map(checked_serial).transpose()?;
    book.write(|page| {
        let rules = super::page_rules(page)?;
        string.serial = match serial {
            Some(serial) => serial,
            None => page.next_serial()?,
        };
        if let Some(taken) = page.any_string(&string.serial)? {
            if let Some(with) = left_out(page, &taken)? {
                return Err(AppError::refused(
                    format!(
                        "serial {} is taken: by a string that is {}",
                        taken.string.serial,
                        StruckMark::from(&with.struck)
                    ),
                    format!(
                        "give another, such as {0}-2, or leave --serial out to have one made; fistmele unstrike {1} brings {0} back",
                        taken.string.serial,
                        with.typed()
                    ),
                ));
            }
            return Err(AppError::refused(
                format!("serial {} is taken: sold on {}", taken.string.serial, taken.string.sold_on),
                format!("see it with: fistmele sold show {}", taken.string.serial),
            ));
        }
        if let Some(replaces) = &string.replaces {
            string.replaces = Some(find_string(page, replaces)?.string.serial);
        }
        let archer = archer_of(page, &new.archer, &string, &new.which)?;
        let place = Placed::find(page, archer, &new.bow, &string, &new.which)?;
        size(&mut string, place.bow.kind, &rules)?;
        check(&string, &place.bow, rules.units, author.day)?;
        if let Some(lot) = &string.spool {
            let of = page.yarn_of_lot(lot)?.unwrap_or(string.yarn);
            plausible::lot(lot, of, string.yarn).map_err(AppError::cannot_be("check --spool and --yarn"))?;
        }
        let archer = match archer {
            Some(archer) => archer,
            None => page.add_archer(&new.archer)?,
        };
        let bow_id = place.take(page, archer, author.day)?;
        let new = NewString { string: &string, bow_id, archer_id: archer, imported: None };
        let stored = page.add_string(new)?;
        place.log(page, stored, author)?;
        mark(page, stored, &string, &place.bow, &rules, author.day)?;
        page.log(author, Happened { what: "sold", string: Some(stored), report: None, fields: "all" })?;
        card(page, &page.string_of_row(stored)?, &rules)
    })
}

/// The ordered length of a string and its offset, of which one may follow from the other. Method V23.
fn size(string: &mut SoldString, kind: BowKind, rules: &Rules) -> Result<(), AppError> {
    plausible::sized_by(string.route, string.stated, string.offset).map_err(AppError::cannot_be(
        "leave --stated and --offset out; a length that is known is --ordered",
    ))?;
    let start = string.stated.map(|stated| Start {
        route: string.route,
        stated: stated.inches(),
        at: string.stated_at,
        old_yarn: string.old_yarn,
        yarn: string.yarn,
    });
    match (string.ordered, start, string.offset) {
        (Some(ordered), Some(start), Some(offset)) => {
            plausible::ordered(ordered, &start, offset, rules)
                .map_err(AppError::cannot_be("correct one of --stated, --offset and --ordered"))?;
        }
        (Some(ordered), Some(start), None) => {
            string.offset = usual_offset(ordered, &start, kind, rules);
        }
        (Some(_), None, _) => {}
        (None, Some(start), offset) => {
            let offset = offset.map_or_else(|| rules.offset(string.route, kind), Length::inches);
            string.offset = Length::try_from_inches(offset);
            let ordered = ordered_from(&start, offset, rules.rounding).ok_or_else(|| {
                AppError::refused("the offset leaves no string", "check --stated and --offset")
            })?;
            string.ordered = Some(ordered);
        }
        (None, None, _) if string.route == Route::Unknown => {}
        (None, None, _) => {
            return Err(AppError::refused(
                "the ordered length is missing",
                "give --ordered, or --stated for the measure the route starts from; where nobody knows how it was sized: --route unknown",
            ));
        }
    }
    Ok(())
}

/// A string by its serial, or near ones.
pub(super) fn find_string(page: &Page<'_>, serial: &str) -> Result<StoredString, AppError> {
    if let Some(found) = page.string(serial.trim())? {
        return Ok(found);
    }
    let string = find_any_string(page, serial)?;
    Err(match left_out(page, &string)? {
        Some(with) if with.id == string.string.serial => refuse_struck(&with.id, &with.struck),
        Some(with) => AppError::refused(
            format!(
                "{} is left out with {}, which is {}",
                string.string.serial,
                with.id,
                StruckMark::from(&with.struck)
            ),
            format!("if that was wrong, bring it back first: fistmele unstrike {}", with.typed()),
        ),
        None => AppError::Internal(format!("string {serial} is left out without a strike")),
    })
}

/// A string to be shown, by its serial: one that is struck is found as well.
pub(super) fn find_any_string(page: &Page<'_>, serial: &str) -> Result<StoredString, AppError> {
    if let Some(found) = page.any_string(serial.trim())? {
        return Ok(found);
    }
    let serials = page.serials()?;
    Err(AppError::NotFound {
        what: "string",
        text: crate::words::shorten(serial),
        near: near_serials(serial, &serials),
    })
}

fn near_serials(wanted: &str, serials: &[String]) -> Vec<String> {
    let wanted = wanted.trim().to_lowercase();
    let mut near: Vec<(usize, &String)> = serials
        .iter()
        .map(|serial| (strsim::damerau_levenshtein(&wanted, &serial.to_lowercase()), serial))
        .filter(|(distance, _)| *distance <= 2)
        .collect();
    near.sort();
    let mut offered: Vec<String> = near.into_iter().take(3).map(|(_, serial)| serial.clone()).collect();
    if offered.is_empty() {
        offered.extend(nearest(&wanted, serials.iter().map(String::as_str)).map(str::to_owned));
    }
    offered
}

/// A string's card with its whole history.
pub(super) fn card(page: &Page<'_>, stored: &StoredString, rules: &Rules) -> Result<StringView, AppError> {
    let bow = page.bow_of(stored)?;
    let recorded = super::recorded_turns(page, rules)?;
    let subject = Subject {
        string: &stored.string,
        bow: &bow,
        rules,
        bench_radius: super::bench::radius_of(page, stored.string.construction())?,
        bow_effect: None,
        recorded: &recorded,
    };
    let live = page.reports_of(stored.id)?;
    let (mut reports, mut struck_reports) = (Vec::new(), Vec::new());
    for number in page.all_reports_of(stored.id)? {
        let view = report_view(page, number)?;
        if live.contains(&number) { reports.push(view) } else { struck_reports.push(view) }
    }
    let others = others(page, stored, &bow)?;
    Ok(StringView::from(StringParts {
        string: &stored.string,
        bow: &bow,
        others,
        archer: page.archer(stored.archer_id)?,
        former: page.former_addresses(stored.archer_id)?,
        build: subject.build(),
        strength: StrengthView::of(&stored.string, &bow, rules),
        replaced_by: page.replacements_of(stored.id)?,
        chain: super::cases::chain(page, stored)?,
        archer_cost_cents: page.cost_of_archer(stored.archer_id)?,
        letters: page.letters_without_report(stored.id)?.into_iter().map(Into::into).collect(),
        reports,
        struck_reports,
        struck: left_out(page, stored)?.map(|with| StruckMark::from(&with.struck)),
    }))
}

/// Shows a string's card.
///
/// # Errors
/// Unknown serial, or the book cannot be read.
pub fn show(book: &mut Book, serial: &str) -> Result<StringView, AppError> {
    book.read(|page| {
        let stored = find_any_string(page, serial)?;
        card(page, &stored, &super::page_rules(page)?)
    })
}

/// A row that contradicts the book.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Conflict {
    /// Line in the file.
    pub line: u64,
    /// Serial.
    pub serial: String,
    /// Column that differs.
    pub column: String,
    /// What the book says.
    pub in_book: String,
    /// What the file says.
    pub in_file: String,
}

impl std::fmt::Display for Conflict {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "line {}, column {}: the book says \"{}\" of {}, the file \"{}\"",
            self.line, self.column, self.in_book, self.serial, self.in_file
        )
    }
}

const PERSONAL: [&str; 2] = ["archer", "email"];

/// What is kept of a row to tell the same row from another: all but the personal columns.
struct Kept<'a>(&'a [(&'static str, String)]);

impl Serialize for Kept<'_> {
    fn serialize<S: serde::Serializer>(&self, to: S) -> Result<S::Ok, S::Error> {
        to.collect_map(
            self.0
                .iter()
                .filter(|(column, _)| !PERSONAL.contains(column))
                .map(|(column, value)| (*column, value.as_str())),
        )
    }
}

fn kept_import(given: &[(&'static str, String)]) -> Result<String, AppError> {
    serde_json::to_string(&Kept(given)).map_err(|error| AppError::Internal(error.to_string()))
}

/// The first column in which a row differs from what the book has of that serial.
fn conflict(page: &Page<'_>, row: &SoldRow, stored: &StoredString) -> Result<Option<Conflict>, AppError> {
    let differs = |column: &str, in_book: String, in_file: String| {
        Some(Conflict {
            line: row.line,
            serial: stored.string.serial.clone(),
            column: column.to_owned(),
            in_book,
            in_file,
        })
    };
    let archer = page.archer(stored.archer_id)?.archer;
    for (column, in_book, in_file) in
        [("archer", &archer.name, &row.archer.name), ("email", &archer.email, &row.archer.email)]
    {
        // A forgotten or never known person is no contradiction, nor is an address from before.
        if let (Some(in_book), Some(in_file)) = (in_book, in_file)
            && in_book != in_file
            && !(column == "email" && super::archers::is_known(page, stored, in_file)?)
        {
            return Ok(differs(column, in_book.clone(), in_file.clone()));
        }
    }
    let kept: serde_json::Map<String, serde_json::Value> = match &stored.imported {
        Some(text) => serde_json::from_str(text).map_err(|error| AppError::Internal(error.to_string()))?,
        None => {
            return Ok(differs(
                "serial",
                format!("entered by hand, sold on {}", stored.string.sold_on),
                "another entry".to_owned(),
            ));
        }
    };
    for (column, in_file) in
        row.given.iter().filter(|(column, _)| !PERSONAL.contains(column) && *column != "serial")
    {
        match kept.get(*column).and_then(serde_json::Value::as_str) {
            Some(in_book) if in_book == in_file => {}
            Some(in_book) => return Ok(differs(column, in_book.to_owned(), in_file.clone())),
            // Of a forgotten person the order's reference was erased too.
            None if *column == "order_ref" && page.is_forgotten(stored.archer_id)? => {}
            None => return Ok(differs(column, "nothing".to_owned(), in_file.clone())),
        }
    }
    Ok(None)
}

/// How rows are to be imported.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ImportHow {
    /// Nothing is kept of it.
    pub dry_run: bool,
    /// No string is taken to be for a bow that is in the book.
    pub bows_apart: bool,
}

/// Imports strings in one transaction: `rows` is given what takes them, one after the other. Strings
/// that are in the book just so stay as they are.
///
/// # Errors
/// Whatever `rows` fails with, or the book cannot be written; then nothing is.
pub fn import<E: From<AppError> + From<BookError>>(
    book: &mut Book,
    how: ImportHow,
    author: &Author,
    rows: impl FnOnce(&mut dyn Rows<SoldRow>) -> Result<(), E>,
) -> Result<Imported, E> {
    let work = |page: &Page<'_>| {
        let mut strings = SoldRows {
            page,
            author,
            which: if how.bows_apart { WhichBow::Another } else { WhichBow::Alike },
            forgotten: super::forget::Forgotten::read(page)?,
            rules: super::page_rules(page)?,
            lots: BTreeMap::new(),
            waiting: Vec::new(),
            done: Imported::default(),
        };
        rows(&mut strings)?;
        strings.write_down()?;
        Ok(strings.done)
    };
    if how.dry_run { book.rehearse(work) } else { book.write(work) }
}

/// Where rows of strings go.
struct SoldRows<'p> {
    page: &'p Page<'p>,
    author: &'p Author,
    which: WhichBow,
    forgotten: super::forget::Forgotten,
    rules: Rules,
    /// The yarn of each lot that a row named so far.
    lots: BTreeMap<String, Yarn>,
    waiting: Vec<Waiting>,
    done: Imported,
}

/// So many rows are written together.
const TOGETHER: usize = 64;

/// Whose string a row is.
enum Whose {
    /// The archer of a row of the book.
    Known(i64),
    /// Somebody the book does not know yet.
    New(Archer),
}

impl Whose {
    /// Whether a row that says so much of its archer may be the same person's.
    fn may_be(&self, known: Option<i64>, said: &Archer) -> bool {
        let same = |one: &Option<String>, other: &Option<String>| match (one, other) {
            (Some(one), Some(other)) => one.eq_ignore_ascii_case(other),
            _ => false,
        };
        match self {
            Self::Known(archer) => known == Some(*archer),
            Self::New(new) => {
                known.is_none() && (same(&new.email, &said.email) || same(&new.name, &said.name))
            }
        }
    }
}

/// A row that nothing speaks against, and that is written with others.
struct Waiting {
    line: u64,
    archer: Whose,
    place: Placed,
    string: SoldString,
    imported: String,
}

impl Rows<SoldRow> for SoldRows<'_> {
    fn take(&mut self, row: SoldRow, write: bool) -> Result<Option<Fault>, AppError> {
        let is_new = !self.page.has_string(&row.string.serial)?;
        if !is_new {
            match self.page.string(&row.string.serial)? {
                Some(stored) => {
                    if let Some(conflict) = conflict(self.page, &row, &stored)? {
                        return Ok(Some(Fault { line: row.line, said: conflict.to_string() }));
                    }
                    self.done.unchanged += 1;
                }
                // What somebody struck does not come back with the file it came in.
                None => self.done.struck += 1,
            }
        }
        if is_new && let Some(fault) = self.other_yarn(&row)? {
            return Ok(Some(fault));
        }
        self.weigh(&row);
        if is_new && write {
            self.add(row)?;
        }
        Ok(None)
    }
}

impl SoldRows<'_> {
    /// That the lot a row names is of another yarn, by the book or by an earlier row.
    fn other_yarn(&mut self, row: &SoldRow) -> Result<Option<Fault>, AppError> {
        let Some(lot) = &row.string.spool else { return Ok(None) };
        let of = match self.lots.get(&lot.to_ascii_lowercase()) {
            Some(of) => *of,
            None => {
                let of = self.page.yarn_of_lot(lot)?.unwrap_or(row.string.yarn);
                *self.lots.entry(lot.to_ascii_lowercase()).or_insert(of)
            }
        };
        Ok(plausible::lot(lot, of, row.string.yarn).err().map(|error| Fault {
            line: row.line,
            said: format!("line {}, column spool: {} - expected {}", row.line, error.said, error.needed),
        }))
    }

    /// How the string of a row stands against the floor of strength.
    fn weigh(&mut self, row: &SoldRow) {
        let strength = StrengthView::of(&row.string, &row.bow, &self.rules);
        match strength.stands {
            StrengthStand::BelowFloor => {
                self.done.below_floor.push(WeakRow { string: row.string.serial.clone(), strength });
            }
            StrengthStand::NotChecked => self.done.strength_not_checked += 1,
            StrengthStand::Enough => {}
        }
    }

    /// Has the string of a row wait until it is written with others.
    fn add(&mut self, row: SoldRow) -> Result<(), AppError> {
        let page = self.page;
        let SoldRow { line, archer: said, bow, mut string, mut given } = row;
        // An old file does not bring a forgotten person back.
        let erased = self.forgotten.row_of(&said, string.sold_on);
        if erased.is_some() {
            string.order_ref = None;
            given.retain(|(column, _)| *column != "order_ref");
        }
        let known = |said: &Archer| match erased {
            Some(archer) => Ok(Some(archer)),
            None => page.archer_like(said),
        };
        let mut archer = known(&said)?;
        // Who it is, and which bow it is for, is told by the rows before, those that wait among them.
        if self.waiting.iter().any(|waiting| waiting.archer.may_be(archer, &said)) {
            self.write_down()?;
            archer = known(&said)?;
        }
        let place = Placed::find(page, archer, &bow, &string, &self.which)?;
        let archer = archer.map_or(Whose::New(said), Whose::Known);
        self.done.added += 1;
        self.done.same_bow += usize::from(place.is_shared());
        self.done.bow_kept_apart += usize::from(place.kept_apart);
        self.waiting.push(Waiting { line, archer, place, string, imported: kept_import(&given)? });
        if self.waiting.len() == TOGETHER { self.write_down() } else { Ok(()) }
    }

    /// Writes down what waits.
    fn write_down(&mut self) -> Result<(), AppError> {
        let waiting = std::mem::take(&mut self.waiting);
        let (Some(first), Some(last)) = (waiting.first(), waiting.last()) else { return Ok(()) };
        self.write(&waiting).map_err(|error| match error {
            AppError::Book(BookError::Refused(what)) => AppError::refused(
                format!("lines {} to {}: the book takes no such value: {what}", first.line, last.line),
                "mend that value; nothing was written",
            ),
            other => other,
        })
    }

    fn write(&self, waiting: &[Waiting]) -> Result<(), AppError> {
        let (page, author) = (self.page, self.author);
        let new = waiting.iter().filter_map(|row| match &row.archer {
            Whose::New(archer) => Some(archer),
            Whose::Known(_) => None,
        });
        let mut new = page.add_archers(&new.collect::<Vec<_>>())?;
        let mut archer = |row: &Waiting| match row.archer {
            Whose::Known(archer) => Ok(archer),
            Whose::New(_) => {
                new.next().ok_or_else(|| AppError::Internal("an archer was not added".to_owned()))
            }
        };
        let places =
            waiting.iter().map(|row| Ok((archer(row)?, &row.place))).collect::<Result<Vec<_>, AppError>>()?;
        let bows = Placed::take_all(page, &places, author.day)?;
        let strings: Vec<NewString<'_>> = waiting
            .iter()
            .zip(bows.into_iter().zip(&places))
            .map(|(row, (bow_id, (archer_id, _)))| NewString {
                string: &row.string,
                bow_id,
                archer_id: *archer_id,
                imported: Some(&row.imported),
            })
            .collect();
        let ids = page.add_strings(&strings)?;
        for (row, id) in waiting.iter().zip(ids.clone()) {
            row.place.log(page, id, author)?;
            mark(page, id, &row.string, &row.place.bow, &self.rules, author.day)?;
        }
        let sold = Happened { what: "sold", string: None, report: None, fields: "import" };
        page.log_each(author, sold, &ids.map(Some).collect::<Vec<_>>())?;
        Ok(())
    }
}

/// How many strings the book holds.
///
/// # Errors
/// The book cannot be read.
pub fn count(book: &mut Book) -> Result<i64, AppError> {
    book.read(|page| Ok(page.string_count()?))
}
