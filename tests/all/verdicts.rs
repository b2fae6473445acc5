//! The rules of a verdict, line by line, and the letter each verdict ends in.

mod fit;
mod language;
mod letters;
mod looks;
mod own_unit;
mod safety;
mod sentences;
