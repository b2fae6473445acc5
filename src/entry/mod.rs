//! What people type, into options of a command or fields of a form, as typed requests.
//!
//! Names are those of the options, without their dashes, so that a form asks by the same names and
//! is answered by the same rules.

mod bow;
mod measured;
mod sums;

use std::str::FromStr;

use thiserror::Error;

pub use bow::bow_changes;
pub use measured::measurements;
pub use sums::{bow_and_string, twist_request};

use crate::quantity::{Length, LengthRange, Measure, QuantityError, Turns, Unit};
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
        self.quantity(field, crate::quantity::parse_turns)
    }

    /// A count of turns.
    ///
    /// # Errors
    /// It cannot be read.
    pub fn turn_count(&self, field: &'static str) -> Result<Option<Turns>, EntryError> {
        self.quantity(field, crate::quantity::parse_turn_count)
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
    pub fn count(&self, field: &'static str, low: u32, high: u32) -> Result<Option<u32>, EntryError> {
        self.get(field)
            .map(|text| {
                text.trim().parse().ok().filter(|number| (low..=high).contains(number)).ok_or_else(|| {
                    EntryError::Value {
                        field,
                        message: format!("\"{}\" will not do for --{field}", crate::words::shorten(text)),
                        needed: format!("a whole number from {low} to {high} is needed"),
                    }
                })
            })
            .transpose()
    }

    /// Yes or no.
    ///
    /// # Errors
    /// It is neither.
    pub fn yes_no(&self, field: &'static str) -> Result<Option<bool>, EntryError> {
        self.get(field)
            .map(|text| {
                yes_no(text).map_err(|needed| EntryError::Value {
                    field,
                    message: format!("\"{}\" will not do for --{field}", crate::words::shorten(text)),
                    needed,
                })
            })
            .transpose()
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
