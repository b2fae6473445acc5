//! Search by serial, order, name or address; forgives misspelling.

use serde::Serialize;

use super::error::AppError;
use crate::book::{Book, Found, Wanted};

/// A line found.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FoundView {
    /// Serial.
    pub serial: String,
    /// Order.
    pub order_ref: Option<String>,
    /// Archer's name.
    pub archer: Option<String>,
    /// Archer's address.
    pub email: Option<String>,
    /// Day of sale.
    pub sold_on: chrono::NaiveDate,
    /// Reports of it.
    pub reports: u32,
    /// False where it only comes near.
    pub exact: bool,
}

impl FoundView {
    fn new(found: Found, exact: bool) -> Self {
        Self {
            serial: found.serial,
            order_ref: found.order_ref,
            archer: found.archer.archer.name,
            email: found.archer.archer.email,
            sold_on: found.sold_on,
            reports: found.reports,
            exact,
        }
    }
}

/// Longest text that is looked for, characters: no name, address or order is longer by far.
const LONGEST: usize = 200;
/// Longest text for which something near is looked for: each word of it is held against each word
/// of everything in the book.
const LONGEST_NEAR: usize = 80;
/// Most lines a search gives.
const MOST: usize = 20;
/// Likeness (Jaro-Winkler) from which a word counts as near.
const NEAR: f64 = 0.86;

/// How well one field meets the words looked for: 1 holds them all, less is near, `None` is far.
fn likeness(field: &str, wanted: &str) -> Option<f64> {
    let field = field.to_lowercase();
    if field.contains(wanted) {
        return Some(if field == wanted { 1.0 } else { 0.99 });
    }
    if wanted.chars().count() > LONGEST_NEAR {
        return None;
    }
    let words: Vec<&str> =
        field.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let each: Option<f64> = wanted
        .split_whitespace()
        .map(|part| {
            words
                .iter()
                .map(|word| strsim::jaro_winkler(word, part))
                // Short words are alike by chance: they must be nearly equal.
                .filter(|score| *score >= if part.chars().count() <= 4 { 0.93 } else { NEAR })
                .fold(None, |best: Option<f64>, score| Some(best.map_or(score, |best| best.max(score))))
        })
        .try_fold(1.0_f64, |worst, score| score.map(|score| worst.min(score)));
    // Every word is there, if in another order: "Quarrie, Odalind".
    each.map(|score| if score > 1.0 - 1e-9 { 0.99 } else { score.min(0.98) })
}

/// How near a field comes to what is looked for, whatever its case; `None` is far.
pub(super) fn nearness(field: &str, wanted: &str) -> Option<f64> {
    likeness(field, &wanted.to_lowercase())
}

fn score(found: &Found, wanted: &str) -> Option<f64> {
    [
        Some(&found.serial),
        found.order_ref.as_ref(),
        found.archer.archer.name.as_ref(),
        found.archer.archer.email.as_ref(),
    ]
    .into_iter()
    .flatten()
    .filter_map(|field| likeness(field, wanted))
    .fold(None, |best: Option<f64>, score| Some(best.map_or(score, |best| best.max(score))))
}

/// Strings whose serial, order, name or address holds the text; if none does, near ones.
///
/// # Errors
/// Nothing to look for, or the book cannot be read.
pub fn find(book: &mut Book, text: &str) -> Result<Vec<FoundView>, AppError> {
    let wanted = text.trim().to_lowercase();
    if wanted.is_empty() {
        return Err(AppError::refused(
            "there is nothing to look for",
            "give a serial, order, name or e-mail address",
        ));
    }
    let length = wanted.chars().count();
    if length > LONGEST {
        return Err(AppError::refused(
            format!(
                "\"{}\" is too long to look for: {length} characters, and at most {LONGEST} are taken",
                crate::words::shorten(&wanted)
            ),
            "give a serial, order, name or e-mail address alone",
        ));
    }
    let all = book.read(|page| {
        // The database folds the case of ASCII letters alone.
        if wanted.is_ascii() {
            let found = page.strings_with(&wanted, MOST as u32)?;
            if !found.is_empty() {
                return Ok(found);
            }
        }
        // Nothing holds it: only now is everything looked at for something near.
        Ok::<_, AppError>(page.everything_to_search()?)
    })?;
    let mut scored: Vec<(f64, Found)> =
        all.into_iter().filter_map(|found| score(&found, &wanted).map(|score| (score, found))).collect();
    // Newest first among equals, as the book gives them.
    scored.sort_by(|a, b| b.0.total_cmp(&a.0));
    let holds = scored.first().is_some_and(|(score, _)| *score > 0.985);
    Ok(scored
        .into_iter()
        .filter(|(score, _)| !holds || *score > 0.985)
        .take(MOST)
        .map(|(score, found)| FoundView::new(found, score > 0.985))
        .collect())
}

/// Strings, newest first; those of some kind alone.
///
/// # Errors
/// The book cannot be read.
pub fn list(book: &mut Book, wanted: Wanted, most: u32) -> Result<Vec<FoundView>, AppError> {
    let found = book.read(|page| page.list_strings(wanted, most))?;
    Ok(found.into_iter().map(|found| FoundView::new(found, true)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_a_long_text_nothing_near_is_looked_for() {
        let (field, near) = (format!("{} odalind", "x".repeat(80)), format!("{} odalinde", "x".repeat(80)));
        assert_eq!(likeness(&field, &near), None);
        assert!(likeness(&field, &field).is_some());
    }

    #[test]
    fn misspelt_names_are_near_and_others_are_not() {
        assert!(likeness("Odalind Quarrie", "odalind").unwrap() > 0.98);
        assert!(likeness("Quarrie, Odalind", "odalind quarrie").unwrap() > 0.985);
        assert!(likeness("Odalind Quarrie", "odelind quarie").unwrap() > 0.86);
        assert_eq!(likeness("Odalind Quarrie", "bertram"), None);
        assert_eq!(likeness("Tom Ash", "tim"), None);
    }
}
