//! The rules of a verdict, line by line, and the letter each verdict ends in.

mod fit;
mod language;
mod letters;
mod looks;
mod safety;
mod sentences;
