//! Reading an archer's e-mail, and proposing what it says.
//!
//! [`read_mail`] takes the bytes of a mail apart and keeps who says what in it; [`propose`] reads
//! that. A mail runs through these in this order: `shield` refuses what is built to do harm,
//! `message`, `body` and `html` make text of it (`pasted` of what somebody copied), `letter` parts
//! that into what is new, what answers a question of ours, what was passed on and what was only
//! quoted; `tokens`, `noise`, `numbers` and `number_words` find where numbers begin and end (what
//! they are, the readers of `quantity` say); `context` and `features` put down what stands around
//! each; `weighed` says by learned weights what it is likely to be; `compose` makes of that what
//! the mail says, sure or likely; `symptoms` and `bow` look for words in rows of lists; `questions`
//! and `proposal` give it out. Words are data (`lists/*.txt`), and so are the weights, which
//! `tests/all/mail_corpus.rs` learns from marked mails.

mod body;
mod bow;
mod clauses;
mod compose;
mod context;
mod features;
mod form;
#[cfg(test)]
mod hostile_tests;
mod html;
mod letter;
mod mailbox;
mod message;
mod noise;
mod number_words;
mod numbers;
mod pasted;
mod patterns;
mod proposal;
mod questions;
mod references;
mod shield;
mod symptoms;
#[cfg(test)]
mod table_tests;
mod taught;
mod tokens;
mod weighed;

pub use form::{FormDoubt, FormSays};
pub use mailbox::Mailbox;
pub use message::{LARGEST_MAIL, Mail, MailError, read_mail, sent_on_of};
pub use pasted::read_pasted;
pub use proposal::{Fact, Found, Proposal, brace_symptom, propose, references_in};
pub use questions::{ALL_TURNS, About, Ambiguous, MOST_QUESTIONS};
pub use taught::{Lesson, Spot, lessons, meanings};
