//! What a mail leaves open, as questions to its archer: few, and the most telling first.

use super::bow::Place;
use super::context::Context;
use super::numbers::{Item, What};
use crate::words;

/// Most questions that one mail leads to. Judgement, no source: who is asked more answers less.
pub const MOST_QUESTIONS: usize = 2;

words! {
    /// What a question is about, the most telling first.
    About, "subject of a question" {
        /// The brace height.
        Brace = "brace",
        /// Turns put in or taken out.
        Turns = "turns",
        /// The kind of bow.
        BowKind = "bow-kind",
        /// What the bow is made of.
        Stave = "stave",
        /// The tips.
        Tips = "tips",
        /// Shots since the string was new.
        Shots = "shots",
        /// The year the bow was made.
        BowYear = "bow-year",
        /// The length of the string.
        StringLength = "string-length",
        /// Which way up the string is.
        Marker = "marker",
    }
}

/// Words that can mean two things, and the question that settles it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Ambiguous {
    /// The words.
    pub words: String,
    /// One plain question to ask back.
    pub question: String,
    /// What it is about.
    pub about: About,
}

/// Asks for the turns.
pub const ALL_TURNS: &str = "How many full turns in all were put in or taken out since the string came?";

/// Collects the questions of one mail.
#[derive(Default)]
pub(super) struct Questions(Vec<Ambiguous>);

impl Questions {
    pub(super) fn ask(&mut self, about: About, words: &str, question: &str) {
        // One question for one thing.
        if !self.0.iter().any(|held| held.about == about) {
            self.0.push(Ambiguous { words: words.to_owned(), question: question.to_owned(), about });
        }
    }

    pub(super) fn ask_at(&mut self, context: &Context, place: Place, about: About, question: &str) {
        let words = context.reads.get(place.read).and_then(|read| read.text.get(place.start..place.end));
        self.ask(about, words.unwrap_or_default(), question);
    }

    /// A fist with a thumb is no measure that can be reckoned with.
    pub(super) fn of_hands(&mut self, context: &Context) {
        for (read, place) in
            context.reads.iter().enumerate().filter_map(|(at, read)| Some((at, hand_measure(&read.items)?)))
        {
            let (start, end) = place;
            self.ask_at(
                context,
                Place { read, start, end },
                About::Brace,
                "What does the brace height measure with a ruler, from the string to the deepest part of the grip?",
            );
        }
    }

    /// What is only likely, and is asked where nobody says which it is.
    pub(super) fn which(&mut self, about: About, words: &[&str]) {
        let told =
            words.iter().map(|words| format!("\u{201c}{words}\u{201d}")).collect::<Vec<_>>().join(", ");
        let asked = match about {
            About::Turns => ALL_TURNS,
            _ => "What does the brace height measure now, with a ruler?",
        };
        self.ask(
            about,
            words.first().copied().unwrap_or_default(),
            &format!("{asked} The mail says {told}."),
        );
    }

    pub(super) fn most_telling(mut self) -> Vec<Ambiguous> {
        self.0.sort_by_key(|one| one.about);
        self.0.truncate(MOST_QUESTIONS);
        self.0
    }
}

/// Fists, thumbs and spans given as a measure, bytes.
fn hand_measure(items: &[Item]) -> Option<(usize, usize)> {
    let at = items.iter().position(|item| item.is_any(&["fist", "fists", "handspan"]))?;
    let last = items
        .iter()
        .skip(at)
        .take(8)
        .take_while(|item| !matches!(item.what, What::Break | What::Mark('.')))
        .filter(|item| item.is_any(&["thumb", "thumbs", "fist", "fists", "handspan"]))
        .last()?;
    Some((items.get(at)?.start, last.end))
}
