//! One reader of danger for everything an archer writes.
//!
//! What goes in: the subject of a mail and its whole text, quoted and forwarded parts among it.
//! What comes out: signs (`Sign`) of damage to the string, of trouble with the bow, of a shot
//! without an arrow, each with its words and where they stand; and which of our questions were
//! plainly answered with no. In which order: `letter` parts a text into what the archer says,
//! what was forwarded, and what answers a quoted question; `words` makes sentences of words;
//! `lists` holds the rows of words of `lists/*.txt`; `sentence` looks for signs in one.
//!
//! It asks too often rather than too seldom: a part near a word of loss is a sign. *Sure* is only
//! what is stated as an event; a denial, a fear, a question, a condition, another string or an
//! earlier bow takes the sureness away, and only a plain denial takes the sign away.
//! Method V27.

mod letter;
mod lists;
mod sentence;
mod weighed;
mod words;

use crate::trade::reply::{self, Field, Reply};
use crate::trade::signs::{Sign, SignOf, StandsIn};

pub use weighed::pieces;

/// What a text says of danger.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Danger {
    /// Signs in the order in which they stand; of one kind each words once.
    pub signs: Vec<Sign>,
    /// What a quoted question of ours asked about and was plainly answered with no.
    pub denied: Vec<SignOf>,
}

/// Longest part of a text that is looked at, bytes. What lies behind it makes a sign by itself.
const LONGEST_TEXT: usize = 400_000;

/// Reads a text, with the subject it came under.
///
/// ```
/// use fistmele::danger;
/// use fistmele::trade::signs::SignOf;
///
/// let danger = danger::read(Some("Brace height"), "Lovely string, but one of the strands let go.");
/// assert_eq!(danger.signs[0].of, SignOf::String);
/// assert!(danger::read(None, "The brace height is a bit low. Cracking string!").signs.is_empty());
/// ```
#[must_use]
pub fn read(subject: Option<&str>, text: &str) -> Danger {
    let mut danger = Danger::default();
    if let Some(subject) = subject {
        danger.extend(sentence::signs(&letter::without_marks(subject)), StandsIn::Subject);
    }
    let (text, rest) = text.split_at(text.floor_char_boundary(LONGEST_TEXT));
    let reply = reply::read(text);
    danger.reply(&reply);
    for part in letter::parts(&reply.rest) {
        match part {
            letter::Part::Said(text) => danger.extend(sentence::signs(&text), StandsIn::Message),
            letter::Part::Forwarded(text) => danger.extend(sentence::signs(&text), StandsIn::Forwarded),
            letter::Part::Answer { question, answer } => danger.answer(&question, &answer),
        }
    }
    if !rest.is_empty() {
        // What nobody read may hold anything.
        danger.push(Sign::asked(SignOf::String, "a text too long to be read to its end", StandsIn::Message));
    }
    danger
}

/// The few words of a sign in which the sign is: the smallest part between stops and joining words that
/// is still read as one.
///
/// ```
/// let words = "the string is fine as far as I see, but one strand is broken, and I shoot on Sunday";
/// assert_eq!(fistmele::danger::core(words), "one strand is broken");
/// ```
#[must_use]
pub fn core(words: &str) -> &str {
    let mut part = words;
    for stop in ["; ", ", ", ": ", " - ", " but ", " and ", " or "] {
        let mut read_so = part.split(stop).map(str::trim).filter(|piece| !read(None, piece).signs.is_empty());
        if let (Some(only), None) = (read_so.next(), read_so.next()) {
            part = only.strip_prefix("but ").or_else(|| only.strip_prefix("and ")).unwrap_or(only);
        }
    }
    part
}

impl Danger {
    fn push(&mut self, sign: Sign) {
        match self.signs.iter_mut().find(|held| held.of == sign.of && held.words == sign.words) {
            Some(held) => held.sure |= sign.sure,
            None => self.signs.push(sign),
        }
    }

    fn extend(&mut self, found: Vec<sentence::Found>, stands_in: StandsIn) {
        for found in found {
            self.push(Sign { of: found.of, sure: found.sure, words: found.words, stands_in });
        }
    }

    /// Our form as it came back. In the newest that was filled in a plain no denies, anything else is
    /// a sign, also where the line was passed over; what older ones say is asked about once more.
    fn reply(&mut self, reply: &Reply<'_>) {
        let newest = reply.newest.entries.iter().map(|entry| (entry, true));
        for (entry, is_newest) in newest.chain(reply.others.iter().map(|entry| (entry, false))) {
            match entry.field.danger() {
                None if entry.field == Field::Serial || entry.is_a_tool() => (),
                None => self.extend(sentence::signs(&entry.said), StandsIn::Answer),
                Some(_) if entry.said.is_empty() => (),
                Some(of) => self.answer_about(vec![of], entry.field.label(), &entry.said, is_newest),
            }
        }
        // Only the newest form is the archer's word of today.
        let denies = |said: &str| !reply.newest.is_disputed && letter::answer(said) == letter::Answer::No;
        self.denied.clear();
        for entry in &reply.newest.entries {
            match entry.field.danger() {
                Some(of) if denies(&entry.said) => self.denied.push(of),
                Some(of) if entry.said.is_empty() => {
                    let words = format!("{}: not answered", entry.field.label());
                    self.push(Sign::asked(of, &words, StandsIn::Answer));
                }
                _ => (),
            }
        }
    }

    /// An answer typed under a question says what the two say together.
    fn answer(&mut self, question: &str, answer: &str) {
        self.answer_about(sentence::kinds_asked(question), question, answer, true);
    }

    fn answer_about(&mut self, asked_about: Vec<SignOf>, question: &str, answer: &str, of_today: bool) {
        self.extend(sentence::signs(answer), StandsIn::Answer);
        if asked_about.is_empty() {
            return;
        }
        match letter::answer(answer) {
            letter::Answer::No => {
                self.denied
                    .extend(asked_about.iter().filter(|of| !self.denied.contains(of)).collect::<Vec<_>>());
            }
            said => {
                let words = lists::shortened(&format!("{} - {}", question.trim(), answer.trim()));
                for of in asked_about {
                    // Yes to a question about several things leaves open which of them.
                    self.push(Sign {
                        of,
                        sure: of_today && said == letter::Answer::Yes,
                        words: words.clone(),
                        stands_in: StandsIn::Answer,
                    });
                }
            }
        }
    }
}
