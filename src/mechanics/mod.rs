//! Turns, string length and brace height. Pure functions, no text for people.
//!
//! Lengths are in inches, angles in degrees, forces in newtons unless a name says
//! otherwise. A string change is **positive when the string gets shorter**. "sd" is one
//! standard deviation. Every formula carries the id under which `docs/methods.md` lists it.

pub mod bow;
pub mod estimate;
pub mod learning;
pub mod reacting;
pub mod settling;
pub mod stretch;
pub mod twist;
