//! The tests that look at the program from outside, in one binary.

#[cfg(test)]
#[path = "../support/bow_solver/mod.rs"]
mod bow_solver;
#[cfg(test)]
mod second_opinion;
