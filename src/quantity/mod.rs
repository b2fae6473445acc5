//! Lengths, draw weights, turns, dates and money: what is measured, how it is
//! read from what people write, and how it is shown to them.
//!
//! Inside the program a length is a [`Length`] in inches and nothing else; units
//! exist only where text comes in ([`parse_length`], [`parse_range`]) and where
//! it goes out ([`show_length`] and its kin).
//!
//! Reading never guesses. Text that could mean two things, or that means
//! something no such measurement can be, is refused with a [`QuantityError`]
//! that names the text, the reason, the reading that was probably meant, and two
//! spellings that are taken.

mod date;
mod error;
mod force;
mod length;
mod measure;
mod money;
mod number;
mod parse;
#[cfg(test)]
mod properties;
mod range;
mod show;
mod text;
mod turns;
mod unit;
mod written;

pub use date::parse_date;
pub use error::QuantityError;
pub use force::{DrawWeight, NEWTONS_PER_KILOGRAM_FORCE, NEWTONS_PER_POUND_FORCE, parse_draw_weight};
pub use length::{Length, LengthRange, MILLIMETRES_PER_INCH, OutOfBounds};
pub use measure::Measure;
pub use money::parse_money;
pub use parse::parse_length;
pub use range::parse_range;
pub use show::{show_forecast, show_length, show_range, show_rounded, show_signed};
pub use turns::{Turns, parse_turn_count, parse_turns};
pub use unit::Unit;
