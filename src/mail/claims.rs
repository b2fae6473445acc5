//! What a text says in numbers.

use super::meaning::State;
use super::numbers::Number;

/// Something said in a number.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Claim {
    pub(super) subject: Subject,
    pub(super) state: State,
    pub(super) number: Number,
    /// The draw length beside a draw weight.
    pub(super) at_draw: Option<Number>,
    /// Why it cannot be taken as it stands.
    pub(super) doubt: Option<Doubt>,
    pub(super) start: usize,
    pub(super) end: usize,
}

/// What a claim is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Subject {
    Brace,
    StringLength,
    BowLength,
    NockToNock,
    DrawWeight,
    Turns,
    Shots,
    Year,
    Readings,
    Riser,
}

/// Why a number is not taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Doubt {
    Rough,
    /// Two ends where one value is meant.
    Range,
    /// One of two that exclude each other.
    Alternative,
    /// It can be the length of the string or of the bow.
    StringOrBow,
    /// It can be the length of the bow or its draw weight.
    LengthOrWeight,
    /// Measured from tip to tip in a straight line.
    TipToTip,
    /// It is not said what it is.
    Unsaid,
    /// Turns without a direction.
    NoDirection,
    /// Half turns or crossings.
    HalfTurns,
    /// So many each day, or each time.
    Rate,
    /// A decade, or an age.
    NotAYear,
    /// Measured to another place than the grip.
    WrongPlace,
}
