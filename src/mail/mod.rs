//! Reading an archer's e-mail, and proposing what it says.
//!
//! In goes a mail, as bytes or as pasted text; out comes a [`Proposal`]: of which kind the mail is, what
//! it says for sure, what it likely says, and what is to be asked, each with its words. The files run in
//! this order: `message` takes mails out of files and mailboxes, `parts` makes text of their parts, and
//! `form` reads our form out of it; `letter` parts the rest into own words, answers to quoted questions,
//! and what is passed on or only quoted. `tokens`, `noise` and `numbers` find where numbers begin and end
//! (their values are read by `quantity`), `context` the sentences, clauses and numbers bound to each
//! other; `features` puts down what stands around each number, `amounts` weighs that and puts together
//! what is said, and `settle` says what is sure. `symptoms` looks for what is told in words; `proposal`
//! gives all of it out, of each string where several are spoken of (`shares`). Words and weights are data (`lists`); `tests/all/mail_corpus.rs` learns the latter.

mod amounts;
mod context;
mod features;
mod form;
mod letter;
mod lists;
mod message;
mod noise;
mod numbers;
mod parts;
mod proposal;
mod settle;
mod shares;
mod symptoms;
#[cfg(test)]
mod tests;
mod tokens;

pub use features::{Lesson, Spot, lessons, meanings};
pub use form::{FormDoubt, FormSays};
pub use message::{LARGEST_MAIL, Mail, MailError, Mailbox, read_mail, read_pasted, sent_on_of};
pub use proposal::{
    ALL_TURNS, About, Ambiguous, Each, Fact, Found, Proposal, brace_symptom, propose, propose_each,
    references_in,
};
pub use shares::Called;
