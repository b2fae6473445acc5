//! What people type, into options of a command or fields of a form, as typed requests.
//!
//! Names are those of the options, without their dashes, so that a form asks by the same names and
//! is answered by the same rules.

mod bow;
mod measured;
mod sums;
mod unknown;

use std::str::FromStr;

use thiserror::Error;

pub use bow::bow_changes;
pub use measured::measurements;
pub use sums::{bow_and_string, twist_request};
pub use unknown::unknown_string;

use crate::quantity::{Length, LengthRange, Measure, QuantityError, Turns, Unit};
use crate::trade::plausible::{self, Implausible, Whole};
use crate::words::UnknownWord;

/// Names and texts as they were typed.
#[derive(Debug, Clone, Default)]
pub struct Entries<'a> {
    typed: Vec<(&'a str, &'a str)>,
}

/// Something typed that will not do.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum EntryError {
    /// A measurement that cannot be read.
    #[error("\"{}\" was not taken: {}", .error.text, .error.reason)]
    Quantity {
        /// Name of the entry.
        field: &'static str,
        /// Why.
        error: Box<QuantityError>,
    },
    /// A word that is none of its list.
    #[error("{error}")]
    Word {
        /// Name of the entry.
        field: &'static str,
        /// Why.
        error: UnknownWord,
    },
    /// A value out of bounds.
    #[error("{message}")]
    Value {
        /// Name of the entry.
        field: &'static str,
        /// What is wrong.
        message: String,
        /// What is needed.
        needed: String,
    },
    /// Something that belongs to it is missing.
    #[error("{message}")]
    Incomplete {
        /// Name of an entry that is missing.
        field: &'static str,
        /// What is missing.
        message: String,
        /// What to do.
        hint: String,
    },
}

impl EntryError {
    /// Name of the entry that is at fault.
    #[must_use]
    pub const fn field(&self) -> &'static str {
        match self {
            Self::Quantity { field, .. }
            | Self::Word { field, .. }
            | Self::Value { field, .. }
            | Self::Incomplete { field, .. } => field,
        }
    }
}

impl<'a> Entries<'a> {
    /// What was given; an empty text is a value too, and hardly one that will do.
    #[must_use]
    pub fn new(given: impl IntoIterator<Item = (&'a str, &'a str)>) -> Self {
        Self { typed: given.into_iter().collect() }
    }

    /// What was filled in of a form: fields that were left empty were not given.
    #[must_use]
    pub fn filled(fields: impl IntoIterator<Item = (&'a str, &'a str)>) -> Self {
        Self::new(fields.into_iter().filter(|(_, text)| !text.trim().is_empty()))
    }

    /// The text of an entry, if anything was typed there.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&'a str> {
        self.typed.iter().find(|(typed, _)| *typed == name).map(|(_, text)| *text)
    }

    /// All texts of an entry that may be given several times.
    pub fn all<'b>(&'b self, name: &'b str) -> impl Iterator<Item = &'a str> + 'b {
        self.typed.iter().filter(move |(typed, _)| *typed == name).map(|(_, text)| *text)
    }

    /// A length.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn length(
        &self,
        field: &'static str,
        unit: Unit,
        what: Measure,
    ) -> Result<Option<Length>, EntryError> {
        self.quantity(field, |text| crate::quantity::parse_length(text, unit, what))
    }

    /// A range of brace heights.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn range(&self, field: &'static str, unit: Unit) -> Result<Option<LengthRange>, EntryError> {
        self.quantity(field, |text| crate::quantity::parse_range(text, unit, Measure::WantedBrace))
    }

    /// Turns with a sign.
    ///
    /// # Errors
    /// They cannot be read.
    pub fn turns(&self, field: &'static str) -> Result<Option<Turns>, EntryError> {
        let turns = self.quantity(field, crate::quantity::parse_turns)?;
        self.plausible(field, turns, plausible::turns_changed)
    }

    /// A count of turns.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn turn_count(&self, field: &'static str) -> Result<Option<Turns>, EntryError> {
        let turns = self.quantity(field, crate::quantity::parse_turn_count)?;
        self.plausible(field, turns, plausible::turns_in_string)
    }

    /// What was read, if it can be.
    fn plausible<T>(
        &self,
        field: &'static str,
        read: Option<T>,
        rule: impl Fn(T) -> Result<T, Implausible>,
    ) -> Result<Option<T>, EntryError> {
        read.map(rule)
            .transpose()
            .map_err(|error| self.refused(field, &format!(": {error}"), format!("give {}", error.needed)))
    }

    /// An entry that will not do, and why where that does not show.
    fn refused(&self, field: &'static str, why: &str, needed: String) -> EntryError {
        let text = crate::words::shorten(self.get(field).unwrap_or_default());
        EntryError::Value { field, message: format!("\"{text}\" will not do for --{field}{why}"), needed }
    }

    /// An offset of one string.
    ///
    /// # Errors
    /// It cannot be read, or is below zero.
    pub fn offset(&self, field: &'static str, unit: Unit) -> Result<Option<Length>, EntryError> {
        let offset = self.length(field, unit, Measure::Offset)?;
        self.plausible(field, offset, |offset| plausible::offset(offset, unit))
    }

    /// Whatever a reader of quantities reads.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn quantity<T>(
        &self,
        field: &'static str,
        read: impl Fn(&str) -> Result<T, QuantityError>,
    ) -> Result<Option<T>, EntryError> {
        self.get(field)
            .map(read)
            .transpose()
            .map_err(|error| EntryError::Quantity { field, error: Box::new(error) })
    }

    /// One of our words.
    ///
    /// # Errors
    /// It is none of them.
    pub fn word<T: FromStr<Err = UnknownWord>>(&self, field: &'static str) -> Result<Option<T>, EntryError> {
        self.get(field).map(str::parse).transpose().map_err(|error| EntryError::Word { field, error })
    }

    /// All words of an entry that may be given several times.
    ///
    /// # Errors
    /// One is none of them.
    pub fn words<T: FromStr<Err = UnknownWord>>(&self, field: &'static str) -> Result<Vec<T>, EntryError> {
        self.all(field)
            .map(str::parse)
            .collect::<Result<_, _>>()
            .map_err(|error| EntryError::Word { field, error })
    }

    /// A whole number within bounds.
    ///
    /// # Errors
    /// It is none.
    pub fn count(&self, field: &'static str, bounds: Whole) -> Result<Option<u32>, EntryError> {
        let read = |text: &str| text.trim().parse().ok().and_then(|number| bounds.check(number).ok());
        self.get(field)
            .map(|text| {
                read(text).ok_or_else(|| self.refused(field, "", format!("{} is needed", bounds.needed())))
            })
            .transpose()
    }

    /// The year in which a bow was made.
    ///
    /// # Errors
    /// It is no such year.
    pub fn year(&self, field: &'static str, this_year: i32) -> Result<Option<i32>, EntryError> {
        let read = |text: &str| plausible::bow_year(text.trim().parse().unwrap_or_default(), this_year);
        self.get(field)
            .map(|text| {
                read(text).map_err(|error| EntryError::Value {
                    field,
                    message: format!("\"{}\" is no year a bow was made in", crate::words::shorten(text)),
                    needed: format!("{} is needed, such as {}", error.needed, this_year - 20),
                })
            })
            .transpose()
    }

    /// Yes or no.
    ///
    /// # Errors
    /// It is neither.
    pub fn yes_no(&self, field: &'static str) -> Result<Option<bool>, EntryError> {
        self.get(field).map(|text| yes_no(text).map_err(|needed| self.refused(field, "", needed))).transpose()
    }
}

/// Reads yes or no.
///
/// # Errors
/// What is needed instead.
pub fn yes_no(text: &str) -> Result<bool, String> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" | "true" | "1" => Ok(true),
        "no" | "n" | "false" | "0" => Ok(false),
        _ => Err("yes or no is needed".to_owned()),
    }
}
