//! The tests that look at the program from outside, in one binary.
#![allow(clippy::disallowed_methods, reason = "tests set up and read files of their own")]
#![allow(clippy::disallowed_types, reason = "tests look at the file of a book from outside")]

#[cfg(test)]
#[path = "../support/bow_solver/mod.rs"]
mod bow_solver;
#[cfg(test)]
mod evidence_properties;
#[cfg(all(test, unix))]
mod faults;
#[cfg(test)]
mod layers;
#[cfg(test)]
mod mail_job;
#[cfg(test)]
mod methods_evidence;
#[cfg(test)]
mod month;
#[cfg(test)]
mod newton;
#[cfg(test)]
mod published_statistics;
#[cfg(test)]
mod reference_statistics;
#[cfg(test)]
mod second_opinion;
#[cfg(test)]
mod tour;
#[path = "../support/world.rs"]
mod world;
