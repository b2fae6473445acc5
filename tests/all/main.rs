//! The tests that look at the program from outside, in one binary.
#![allow(clippy::disallowed_methods, reason = "tests set up and read files of their own")]

#[cfg(test)]
mod answers;
#[cfg(test)]
mod bad_input;
#[cfg(test)]
#[path = "../support/bow_solver/mod.rs"]
mod bow_solver;
#[cfg(test)]
mod cases;
#[cfg(test)]
mod evidence_properties;
#[cfg(test)]
mod layers;
#[cfg(test)]
mod main_job;
#[cfg(test)]
mod methods_evidence;
#[cfg(test)]
mod newton;
#[cfg(test)]
mod outside;
#[cfg(test)]
mod published_statistics;
#[cfg(test)]
mod readings;
#[cfg(test)]
mod reference_statistics;
#[cfg(test)]
mod second_opinion;
#[cfg(test)]
mod verdicts;
#[cfg(test)]
mod world;
