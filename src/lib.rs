//! The after-sale book of a bowstring workshop.
//!
//! # The rooms
//!
//! From the ground up; each knows only those above it in this list (`tests/all/layers.rs` holds them to
//! it).
//!
//! * [`words`](mod@words), [`quantity`], [`numeric`]: fixed words, lengths and turns as people write them,
//!   distribution functions.
//! * [`mechanics`], [`evidence`]: what turns do to a string and a string to a bow; what returns say of a
//!   way of sizing. Sums without I/O.
//! * [`danger`]: signs of danger in what archers write, for every door that takes words.
//! * [`trade`]: records and rules of the workshop; the verdict is a table of rules over them. [`month`]:
//!   the arithmetic of the month sheet, from strings and reports to what to change.
//! * [`book`]: the SQLite file and all SQL. [`intake`], [`mail`]: files and e-mails to typed rows and
//!   proposals.
//! * [`app`]: the use cases, a typed request in, a view out, one transaction each. [`entry`]: what is typed
//!   to those requests.
//! * [`show`], [`letters`]: views to text, tables, JSON, pages and letters.
//! * [`cli`], [`counter`]: the command line, and the same work on a local page. [`error`]: what both tell.
//!
//! # Ten files to have understood it, in this order
//!
//! 1. `src/trade/records.rs`: what a string sold, a bow, a report and a reading are.
//! 2. `src/mechanics/twist.rs`: what a turn does to a string's length.
//! 3. `src/trade/known.rs`: what all readings together say of one string on one bow.
//! 4. `src/trade/verdict/mod.rs`: the table of rules that a verdict comes from.
//! 5. `src/trade/standing.rs`: where a report stands follows from what happened.
//! 6. `src/book/live.rs`: what counts of the tables once what was struck is left out.
//! 7. `src/app/advise.rs`: from the book's facts to a verdict that is kept; every use case has this form.
//! 8. `src/letters/kind.rs`: which letter a report needs, and what may not leave before a person's word.
//! 9. `src/mail/mod.rs`: how a mail becomes a proposal that a person confirms.
//! 10. `src/month/mod.rs`: how strings and reports become the month sheet.

pub mod app;
pub mod book;
pub mod cli;
pub mod counter;
pub mod danger;
pub mod entry;
pub mod error;
pub mod evidence;
pub mod intake;
pub mod letters;
pub mod mail;
pub mod mechanics;
pub mod month;
pub mod numeric;
#[cfg(test)]
#[path = "../tests/plans.rs"]
mod plans;
pub mod quantity;
pub mod show;
pub mod trade;
pub mod words;
