//! The after-sale book of a bowstring workshop.

pub mod app;
pub mod book;
pub mod cli;
pub mod counter;
pub mod danger;
pub mod entry;
pub mod error;
pub mod evidence;
pub mod intake;
pub mod letters;
pub mod mail;
pub mod mechanics;
pub mod numeric;
#[cfg(test)]
#[path = "../tests/plans.rs"]
mod plans;
pub mod quantity;
pub mod show;
pub mod trade;
pub mod words;
