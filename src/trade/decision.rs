//! What the maker decides otherwise than the rules, and the limits that hold for that as well.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::terms::TermsOf;

/// What the maker decided; what is absent stays as it is worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct Decision {
    /// Day.
    pub decided_on: NaiveDate,
    /// What counts under the workshop's terms.
    pub of: Option<TermsOf>,
    /// Made right free, or paid by the archer.
    pub free: Option<bool>,
    /// The string is made again, or it is not.
    pub remake: Option<bool>,
    /// Full turns to put in (+) or take out (-). They hold for what had been read by then.
    pub turns: Option<i32>,
    /// Loaded length of the new string, inches.
    pub length: Option<f64>,
    /// Measured or turned since, or what was measured or turned by then was struck.
    pub read_since: bool,
}

/// A decision as it went into a verdict, beside what was worked out. Lengths in inches.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Decided {
    /// Made right free, or paid by the archer.
    pub free: Option<bool>,
    /// The string is made again, or it is not.
    pub remake: Option<bool>,
    /// Full turns.
    pub turns: Option<i32>,
    /// Loaded length.
    pub length: Option<f64>,
}

impl From<&Decision> for Decided {
    fn from(decision: &Decision) -> Self {
        let Decision { free, remake, turns, length, .. } = *decision;
        Self { free, remake, turns, length }
    }
}

/// What no decision goes beyond. Lengths in inches. Method V34.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(tag = "limit", rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the line of each variant says what its numbers are")]
pub enum Limit {
    /// It is for a bowyer.
    Refers,
    /// It must not be shot.
    Stops,
    /// It is not cleared up yet whether the string is safe.
    Unsafe,
    /// It seems to be on upside down, so that its brace height says nothing.
    UpsideDown,
    /// No brace height is known, so nobody can say where turns lead.
    NoBrace,
    /// No range is known that the brace height has to lie in.
    NoRange,
    /// So many turns would be in it then.
    Window { turns: i32, then: f64, min: i32, max: i32 },
    /// The brace height would lie outside the range, which is the bow maker's or the one wanted.
    Range { brace: f64, low: f64, high: f64, makers: bool },
    /// No brace height belongs to a string of that length on this bow.
    Length { length: f64 },
    /// It is not made again, and nothing is said of what is done instead.
    WhatInstead,
    /// Nothing is made for this report.
    NothingMade,
    /// Nothing says how long a new string has to be.
    NoLength,
    /// Measured or turned since it was decided, or a reading behind it was struck.
    ReadSince,
}
