//! Erasing a person, and knowing the person again in an old file without keeping the name.

use std::collections::HashMap;

use chrono::NaiveDate;
use serde::Serialize;

use super::error::AppError;
use super::find::nearness;
use super::views::ArcherView;
use crate::book::{Author, Book, BookError, Erased, ForgottenDigest, Happened, Page, StoredArcher};
use crate::trade::records::Archer;

pub use crate::book::OUTSIDE;

/// What was erased and what stays.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ForgetView {
    /// `A-<number>`, which stays as a bare number.
    pub archer: String,
    /// Strings that stay, without name and order reference.
    pub strings: usize,
    /// Reports that stay, without texts.
    pub reports: usize,
    /// Texts erased.
    pub texts: usize,
    /// Letters erased that went out.
    pub letters: usize,
    /// Ids of others of the same name, who were not erased.
    pub same_name: Vec<String>,
}

/// Who may be meant.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Candidate {
    /// The archer.
    pub archer: ArcherView,
    /// Strings of the archer.
    pub strings: u32,
}

/// The row of an id such as `A-12` or `a12`.
fn archer_row(text: &str) -> Option<i64> {
    let rest = text.trim().strip_prefix(['A', 'a'])?;
    rest.strip_prefix('-').unwrap_or(rest).parse().ok().filter(|row| *row > 0)
}

fn is_empty(archer: &Archer) -> bool {
    archer.name.is_none() && archer.email.is_none()
}

/// Archers of an id, a name or an address; all that match.
///
/// # Errors
/// Nobody matches, or the book cannot be read.
pub fn candidates(book: &mut Book, text: &str) -> Result<Vec<Candidate>, AppError> {
    let wanted = text.trim().to_lowercase();
    book.read(|page| {
        let all = page.archers()?;
        let row = archer_row(text);
        let mut found: Vec<&StoredArcher> = all.iter().filter(|archer| Some(archer.id) == row).collect();
        if found.is_empty() && !wanted.is_empty() {
            let is = |value: &Option<String>| {
                value.as_ref().is_some_and(|value| value.trim().to_lowercase() == wanted)
            };
            found = all.iter().filter(|stored| is(&stored.archer.name) || is(&stored.archer.email)).collect();
        }
        if found.is_empty() {
            return Err(AppError::NotFound {
                what: "archer",
                text: crate::words::shorten(text),
                near: near(&all, &wanted),
            });
        }
        found
            .into_iter()
            .map(|stored| {
                Ok(Candidate { archer: stored.clone().into(), strings: page.strings_of_archer(stored.id)? })
            })
            .collect()
    })
}

fn near(all: &[StoredArcher], wanted: &str) -> Vec<String> {
    let mut near: Vec<(f64, String)> = all
        .iter()
        .filter_map(|stored| {
            let score = [&stored.archer.name, &stored.archer.email]
                .into_iter()
                .flatten()
                .filter_map(|field| nearness(field, wanted))
                .fold(None, |best: Option<f64>, score| Some(best.map_or(score, |best| best.max(score))))?;
            let name = stored.archer.name.as_ref().or(stored.archer.email.as_ref())?;
            Some((score, format!("A-{} ({name})", stored.id)))
        })
        .collect();
    near.sort_by(|a, b| b.0.total_cmp(&a.0));
    near.into_iter().take(3).map(|(_, text)| text).collect()
}

/// A digest of a value under the key of the book.
fn digest(key: &str, what: &str, value: &str) -> String {
    let text = format!("{what}:{}", value.trim().to_lowercase());
    crate::words::hex(&hmac_sha256::HMAC::mac(text.as_bytes(), key.as_bytes()))
}

/// The digests by which a person is known again: of the addresses; of the name only where there
/// is no address, for many people share a name.
fn digests(key: &str, archer: &Archer, former: &[String]) -> Vec<String> {
    let emails = archer.email.iter().chain(former);
    let mut digests: Vec<String> = emails.map(|email| digest(key, "email", email)).collect();
    digests.extend(archer.name.as_deref().map(|name| digest(key, "name", name)));
    digests
}

/// Others of the same name, whatever its case.
fn of_same_name(page: &Page<'_>, row: i64, name: Option<&str>) -> Result<Vec<String>, BookError> {
    let Some(name) = name.map(|name| name.trim().to_lowercase()) else { return Ok(Vec::new()) };
    let is_same = |stored: &&StoredArcher| {
        stored.id != row
            && stored.archer.name.as_ref().is_some_and(|other| other.trim().to_lowercase() == name)
    };
    Ok(page.archers()?.iter().filter(is_same).map(|stored| format!("A-{}", stored.id)).collect())
}

/// Erases a person: name, address, order references and texts. Measurements and counts stay.
/// The second value says why the file could not be rewritten, if so; everything is erased then too.
/// Of somebody erased before the file is rewritten, where that is still owed.
///
/// # Errors
/// Unknown id, somebody erased before, or the book cannot be written.
pub fn forget(
    book: &mut Book,
    id: &str,
    author: &Author,
) -> Result<(ForgetView, Option<BookError>), AppError> {
    let row = archer_row(id).ok_or_else(|| {
        AppError::refused(
            format!("\"{}\" is no archer's id", crate::words::shorten(id)),
            "ids look like A-12; see them with: fistmele sold show SERIAL --json",
        )
    })?;
    let owed = book.read(|page| page.owes_scrub())?;
    book.write_and_scrub(author.day, |page| {
        let id = format!("A-{row}");
        let stored = page.archer(row)?;
        if is_empty(&stored.archer) && page.is_forgotten(row)? {
            if owed {
                return Ok(ForgetView {
                    archer: id,
                    strings: 0,
                    reports: 0,
                    texts: 0,
                    letters: 0,
                    same_name: Vec::new(),
                });
            }
            return Err(AppError::refused(
                format!("{id} was forgotten before"),
                "nothing personal is left to erase, and the file was rewritten since",
            ));
        }
        let same_name = of_same_name(page, row, stored.archer.name.as_deref())?;
        let key = page.make_digest_key()?;
        let former: Vec<String> =
            page.former_addresses(row)?.into_iter().map(|former| former.email).collect();
        let mut kept = digests(&key, &stored.archer, &former);
        if kept.is_empty() {
            // Nobody is known again by a number, but that somebody was erased is.
            kept.push(digest(&key, "archer", &id));
        }
        for digest in kept {
            page.add_forgotten(&ForgottenDigest { digest, archer_id: row, forgotten_on: author.day })?;
        }
        let erased = page.erase_archer(row)?;
        // Whoever has one of the strings before him learns of it by its own history.
        for string in page.string_rows_of_archer(row)? {
            let of_string = Happened { what: "forget", string: Some(string), report: None, fields: &id };
            page.log(author, of_string)?;
        }
        page.log(
            author,
            Happened {
                what: "forget",
                string: None,
                report: None,
                fields: &format!("{id} name email former_address order_ref letter_text sent_letter"),
            },
        )?;
        let Erased { strings, reports, texts, letters } = erased;
        Ok(ForgetView { archer: id, strings, reports, texts, letters, same_name })
    })
}

/// Which person was erased last, to notice that somebody was; 0 if nobody ever was.
///
/// # Errors
/// The book cannot be read.
pub fn last(book: &mut Book) -> Result<i64, AppError> {
    book.read(|page| Ok(page.last_forgotten()?))
}

/// Refuses what was begun on a string whose archer was erased since its history was at `line`.
///
/// # Errors
/// The archer was erased since, or the book cannot be read.
pub fn refuse_since(book: &mut Book, serial: &str, line: i64) -> Result<(), AppError> {
    book.read(|page| Ok(page.refuse_forgotten_since(serial, line)?))
}

/// Erases from a copy a person who was erased from the book; it may not know the person, or no
/// longer.
///
/// # Errors
/// The copy cannot be written.
pub fn forget_in_copy(copy: &mut Book, id: &str, author: &Author) -> Result<(), AppError> {
    let known = copy.read(|page| -> Result<bool, AppError> {
        let row = archer_row(id);
        let there = page.archers()?.into_iter().find(|stored| Some(stored.id) == row);
        there.map_or(Ok(false), |stored| Ok(!(is_empty(&stored.archer) && page.is_forgotten(stored.id)?)))
    })?;
    if !known {
        return Ok(());
    }
    match forget(copy, id, author)?.1 {
        Some(unpacked) => Err(unpacked.into()),
        None => Ok(()),
    }
}

/// The erased persons of a book, to know them again in an import.
pub(super) struct Forgotten {
    key: Option<String>,
    known: HashMap<String, (i64, NaiveDate)>,
}

impl Forgotten {
    /// Reads what is kept of the erased.
    pub(super) fn read(page: &Page<'_>) -> Result<Self, AppError> {
        let known = page
            .forgotten()?
            .into_iter()
            .map(|kept| (kept.digest, (kept.archer_id, kept.forgotten_on)))
            .collect();
        Ok(Self { key: page.digest_key()?, known })
    }

    /// The day on which whoever has this address was erased last.
    pub(super) fn day_of(&self, email: &str) -> Option<NaiveDate> {
        let key = self.key.as_deref().filter(|_| !self.known.is_empty())?;
        self.known.get(&digest(key, "email", email)).map(|(_, day)| *day)
    }

    /// The emptied row of the archer of a sale, if the archer was erased on that day or later.
    /// Who buys again afterwards is a new customer.
    pub(super) fn row_of(&self, archer: &Archer, sold_on: NaiveDate) -> Option<i64> {
        let key = self.key.as_deref().filter(|_| !self.known.is_empty())?;
        let wanted = match (&archer.email, &archer.name) {
            (Some(email), _) => digest(key, "email", email),
            (None, Some(name)) => digest(key, "name", name),
            (None, None) => return None,
        };
        self.known.get(&wanted).filter(|(_, day)| sold_on <= *day).map(|(row, _)| *row)
    }
}
