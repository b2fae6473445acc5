//! Reading an archer's e-mail, and proposing what it says.
//!
//! [`read_mail`] takes the bytes of a mail apart and keeps the new text; [`propose`] reads
//! English text and proposes symptoms and measurements, each with the words it was taken from.
//! What could mean two things is never proposed: it comes back as a question to ask.

mod body;
mod bow;
mod claims;
mod clauses;
mod counts;
mod cues;
mod doubt;
mod gather;
#[cfg(test)]
mod hostile_tests;
mod html;
mod lengths;
mod meaning;
mod message;
mod noise;
mod nouns;
mod number_words;
mod numbers;
mod pasted;
mod phrases;
mod proposal;
mod quoted;
mod references;
mod resolve;
mod shield;
mod symptom_words;
mod symptoms;
#[cfg(test)]
mod table_tests;
mod tokens;
mod topics;
mod turning;
mod units;
mod word_lists;

pub use message::{LARGEST_MAIL, Mail, MailError, read_mail};
pub use pasted::read_pasted;
pub use proposal::{About, Ambiguous, Found, Proposal, propose};
