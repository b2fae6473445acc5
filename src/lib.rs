//! The after-sale book of a bowstring workshop.

pub mod book;
pub mod mechanics;
pub mod numeric;
pub mod quantity;
pub mod trade;
pub mod words;
