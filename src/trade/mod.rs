//! Records and rules of the workshop. Pure: no database, no clock, no printing.

pub mod advice;
pub mod ask;
pub mod bows;
pub mod build;
pub mod cause;
pub mod decision;
pub mod known;
pub mod month;
pub mod plausible;
pub mod ranges;
pub mod records;
pub mod reply;
pub mod rules;
pub mod setting;
pub mod signs;
pub mod sizing;
pub mod slips;
pub mod standing;
pub mod strength;
pub mod tender;
pub mod terms;
pub mod told;
pub mod usual;
pub mod verdict;
pub mod words;

pub use crate::mechanics::bow::BowKind;
pub use crate::mechanics::twist::{Construction, TurnsKnown, Yarn};
