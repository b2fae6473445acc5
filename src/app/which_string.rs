//! Whose a mail is, and which string it is about.

use super::error::AppError;
use super::sold::find_string;
use super::strikes::{StruckMark, left_out};
use crate::book::Page;
use crate::mail::{Mail, references_in};
use crate::trade::reply::Field;

/// Which string a mail is about.
pub(super) struct Which {
    pub(super) string: Option<String>,
    pub(super) found_by: String,
    pub(super) candidates: Vec<String>,
    /// The strings that the mail names, or an order that was said holds, where there are several.
    pub(super) named: Vec<String>,
    /// Strings among which it is told apart what is said of which.
    pub(super) among: Vec<String>,
    /// It is about several of these.
    pub(super) is_of_several: bool,
    pub(super) references: Vec<String>,
}

impl Which {
    /// Takes over which strings the mail speaks of in other words than their serials: by their bows, or as
    /// both that the sender has.
    pub(super) fn speaks_of(&mut self, places: &[usize]) {
        let spoken: Vec<String> = places.iter().filter_map(|at| self.among.get(*at)).cloned().collect();
        if self.is_of_several || spoken.len() < 2 {
            return;
        }
        self.is_of_several = true;
        if self.string.is_none() {
            self.found_by = format!("the mail speaks of {}", spoken.join(", "));
            (self.candidates, self.named) = (spoken.clone(), spoken);
        }
    }
}

/// Most strings among which a mail is told apart.
const MOST_SHARED: usize = 20;

/// Most words of a mail that are looked up as references.
const MOST_WORDS: usize = 200;

/// Words that may be a serial or an order: letters and digits in one.
fn like_references(text: &str) -> impl Iterator<Item = &str> {
    text.split_whitespace()
        .map(|word| word.trim_matches(|c: char| !c.is_alphanumeric()))
        .filter(|word| {
            (3..=80).contains(&word.chars().count())
                && word.contains(|c: char| c.is_ascii_digit())
                && word.contains(|c: char| c.is_alphabetic())
        })
        .take(MOST_WORDS)
}

/// The archers who may have written a mail: those of its sender's address, else whoever wrote what it
/// passes on (then true), by the address or the name in the head of that.
fn writers(page: &Page<'_>, mail: &Mail) -> Result<(Vec<i64>, bool), AppError> {
    let of_address = |address: &Option<String>| match address {
        Some(address) => page.archers_of_address(address),
        None => Ok(Vec::new()),
    };
    let senders = of_address(&mail.from_address)?;
    let (name, address) = &mail.passed_on_from;
    if !senders.is_empty() {
        return Ok((senders, false));
    }
    let mut writers = of_address(address)?;
    if let (true, Some(name)) = (writers.is_empty(), name) {
        let found = page.strings_with(name, MOST_NAMESAKES)?;
        let is_so_called = |held: &str| held.eq_ignore_ascii_case(name);
        writers = found
            .into_iter()
            .filter(|found| found.archer.archer.name.as_deref().is_some_and(is_so_called))
            .map(|found| found.archer.id)
            .collect();
        writers.sort_unstable();
        writers.dedup();
    }
    let is_passed_on = !writers.is_empty();
    Ok((writers, is_passed_on))
}

/// Most strings that are looked through for a name.
const MOST_NAMESAKES: u32 = 100;

/// Finds out which string a mail is about; `told` is what a person says.
///
/// # Errors
/// A serial that was said is unknown, or the book cannot be read.
pub(super) fn which(page: &Page<'_>, mail: &Mail, told: Option<&str>) -> Result<Which, AppError> {
    let (archers, is_passed_on) = writers(page, mail)?;
    let mut owned = Vec::new();
    for archer in &archers {
        owned.extend(page.references_of(*archer)?);
    }
    let candidates: Vec<String> = owned.iter().map(|(serial, _)| serial.clone()).collect();
    // Whoever writes may name a serial or an order that is somebody else's, or from another address.
    let whole = format!("{}\n{}", mail.subject.as_deref().unwrap_or_default(), mail.text);
    let in_form = mail.form.as_ref().and_then(|form| form.said(Field::Serial));
    for word in like_references(&whole).chain(in_form) {
        owned.extend(page.strings_called(word)?);
    }
    let references: Vec<String> =
        owned.iter().flat_map(|(serial, order)| [Some(serial.clone()), order.clone()]).flatten().collect();
    // A serial or order in the mail itself comes first, whoever wrote: before all, that of our form.
    let mut named: Vec<String> = Vec::new();
    if let Some(stored) = in_form.map(|serial| page.string(serial)).transpose()?.flatten() {
        named.push(stored.string.serial);
    }
    for reference in references_in(&whole, &references) {
        let serials: Vec<String> = match page.string(&reference)? {
            Some(stored) => vec![stored.string.serial],
            // An order is every string of it.
            None => owned
                .iter()
                .filter(|(_, order)| {
                    order.as_deref().is_some_and(|order| order.eq_ignore_ascii_case(&reference))
                })
                .map(|(serial, _)| serial.clone())
                .collect(),
        };
        for serial in serials {
            if !named.contains(&serial) {
                named.push(serial);
            }
        }
    }
    // What each of these is told is told apart.
    let among = if named.len() > 1 { named.clone() } else { candidates.clone() };
    let among = if (2..=MOST_SHARED).contains(&among.len()) { among } else { Vec::new() };
    let is_of_several = named.len() > 1 && !among.is_empty();
    if let Some(serial) = told {
        // An order is as good as a serial where it holds one string.
        let called: Vec<String> =
            page.strings_called(serial.trim())?.into_iter().map(|(serial, _)| serial).collect();
        if called.len() > 1 && !page.has_string(serial.trim())? {
            return Ok(Which {
                string: None,
                found_by: format!("the order holds {}", called.join(", ")),
                candidates: called.clone(),
                among: called.clone(),
                is_of_several: called.len() <= MOST_SHARED,
                named: called,
                references,
            });
        }
        let string = match called.as_slice() {
            [only] => only.clone(),
            _ => find_string(page, serial)?.string.serial,
        };
        return Ok(Which {
            string: Some(string),
            found_by: "it was said".to_owned(),
            candidates,
            named: Vec::new(),
            is_of_several,
            among,
            references,
        });
    }
    let (string, found_by) = match (named.as_slice(), archers.len(), candidates.as_slice()) {
        ([one], _, _) => (Some(one.clone()), "its serial or order stands in the mail".to_owned()),
        ([_, ..], _, _) => (None, format!("the mail names {}", named.join(", "))),
        ([], 0, _) if mail.from_address.is_none() => {
            (None, "neither an address nor a serial or order stands in it".to_owned())
        }
        ([], 0, _) => (None, "nobody of that address is in the book".to_owned()),
        ([], 2.., _) if is_passed_on => {
            (None, format!("{} archers may have written what is passed on", archers.len()))
        }
        ([], 2.., _) => (None, format!("{} archers have that address", archers.len())),
        ([], _, [one]) if is_passed_on => {
            (Some(one.clone()), "it is the only string of whoever wrote what is passed on".to_owned())
        }
        ([], _, [one]) => (Some(one.clone()), "it is the sender's only string".to_owned()),
        ([], _, _) => {
            let whose = if is_passed_on { "whoever wrote what is passed on" } else { "the sender" };
            (None, format!("{whose} has {} strings", candidates.len()))
        }
    };
    // A form names its string for sure: one that is struck is not taken for another of the sender.
    let called = in_form.filter(|_| named.is_empty()).map(|serial| page.any_string(serial)).transpose()?;
    let struck = called.flatten().map(|called| left_out(page, &called)).transpose()?.flatten();
    let (string, found_by) = match struck {
        Some(with) => {
            let (id, mark) = (&with.id, StruckMark::from(&with.struck));
            (None, format!("{id} is {mark}; unstrike {} if that was wrong", with.typed()))
        }
        None => (string, found_by),
    };
    let candidates = if named.len() > 1 { named.clone() } else { candidates };
    let named = if named.len() > 1 { named } else { Vec::new() };
    Ok(Which { string, found_by, candidates, named, among, is_of_several, references })
}
