//! What a mail is proposed to say.

use super::bow::{Bows, Mention, Mentions};
use super::clauses::sentences;
use super::gather::{Gatherer, hand_measure};
use super::noise::mark_noise;
use super::numbers::items;
use super::references::references;
use super::resolve::Resolver;
use super::symptoms::Symptoms;
use super::tokens::tokenize;
use crate::quantity::{DrawWeight, Length, LengthRange, Turns, Unit};
use crate::trade::BowKind;
use crate::trade::records::{BowChanges, Measurements};
use crate::trade::words::{LengthAt, Marker, Stave, Symptom, Tips};
use crate::words;

/// Most bytes of a text that are read; no archer writes more about a string.
const LONGEST_TEXT: usize = 50_000;

/// A riser from so many inches on is a long one (interface: `long-riser`).
const LONG_RISER_INCHES: f64 = 21.0;

/// Inches by which a brace height must miss the wanted range to be called low or high.
const MISS_INCHES: f64 = 0.01;

/// A value, and the words of the text that it was taken from.
#[derive(Debug, Clone, PartialEq)]
pub struct Found<T> {
    /// The value.
    pub value: T,
    /// The exact words it was taken from.
    pub words: String,
    /// Where these begin in the text, in bytes.
    pub start: usize,
    /// Where they end in the text, in bytes.
    pub end: usize,
}

words! {
    /// What a question is about.
    About, "subject of a question" {
        /// The brace height.
        Brace = "brace",
        /// The wanted brace range.
        Range = "range",
        /// The length of the string.
        StringLength = "string-length",
        /// The length of the bow.
        BowLength = "bow-length",
        /// Turns put in or taken out.
        Turns = "turns",
        /// The unit of a number.
        Unit = "unit",
        /// Shots since the string was new.
        Shots = "shots",
        /// The draw weight.
        DrawWeight = "draw-weight",
        /// The year the bow was made.
        BowYear = "bow-year",
        /// The kind of bow.
        BowKind = "bow-kind",
        /// The tips.
        Tips = "tips",
        /// What the bow is made of.
        Stave = "stave",
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

/// What a text says, each with the words it was taken from, and what is to be asked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Proposal {
    /// Symptoms, each once, in the order of the text.
    pub symptoms: Vec<Found<Symptom>>,
    /// Brace height as it is now.
    pub brace: Option<Found<Length>>,
    /// How many readings the brace height is the mean of.
    pub readings: Option<Found<u32>>,
    /// Brace range wanted, by the bow's maker or by the archer.
    pub want: Option<Found<LengthRange>>,
    /// Length of the string off the bow.
    pub string_length: Option<Found<Length>>,
    /// How that was measured.
    pub length_at: Option<Found<LengthAt>>,
    /// Marked (AMO) length of the bow.
    pub bow_length: Option<Found<Length>>,
    /// The bow's length from nock to nock.
    pub nock_to_nock: Option<Found<Length>>,
    /// Turns put in (+) or taken out (-).
    pub turns_changed: Option<Found<Turns>>,
    /// Shots with this string.
    pub shots: Option<Found<u32>>,
    /// Draw weight of the bow.
    pub draw_weight: Option<Found<DrawWeight>>,
    /// Year the bow was made.
    pub bow_year: Option<Found<i32>>,
    /// Tips of the bow.
    pub tips: Option<Found<Tips>>,
    /// What the bow is made of.
    pub stave: Option<Found<Stave>>,
    /// Kind of bow.
    pub bow_kind: Option<Found<BowKind>>,
    /// Which way the marker points.
    pub marker: Option<Found<Marker>>,
    /// Serials and order references, each once.
    pub serials: Vec<Found<String>>,
    /// What can mean two things; none of it is proposed above.
    pub ambiguous: Vec<Ambiguous>,
}

impl Proposal {
    /// The measurements of the proposal.
    #[must_use]
    pub fn measurements(&self) -> Measurements {
        Measurements {
            brace: value(self.brace.as_ref()),
            readings: value(self.readings.as_ref()),
            want: value(self.want.as_ref()),
            length: value(self.string_length.as_ref()),
            length_at: value(self.length_at.as_ref()),
            turns_changed: value(self.turns_changed.as_ref()),
            shots: value(self.shots.as_ref()),
            marker: value(self.marker.as_ref()),
            ..Measurements::default()
        }
    }

    /// What the proposal says of the bow.
    #[must_use]
    pub fn bow_changes(&self) -> BowChanges {
        BowChanges {
            kind: value(self.bow_kind.as_ref()),
            marked_length: value(self.bow_length.as_ref()),
            nock_to_nock: value(self.nock_to_nock.as_ref()),
            draw_weight: value(self.draw_weight.as_ref()),
            tips: value(self.tips.as_ref()),
            stave: value(self.stave.as_ref()),
            year: value(self.bow_year.as_ref()),
            ..BowChanges::default()
        }
    }
}

fn value<T: Copy>(found: Option<&Found<T>>) -> Option<T> {
    found.map(|found| found.value)
}

/// Proposes what an English text says; bare numbers are in `unit`, the unit of the book.
///
/// What a number measures is taken from the words near it and never from its size. Of
/// `known_references`, serials and order references of the book, those in the text are found.
///
/// ```
/// use fistmele::mail::propose;
/// use fistmele::quantity::Unit;
///
/// let proposal = propose("Brace was 7 1/2, now it is 6 7/8. Bow is a 66, string 63.", Unit::Inch, &[]);
/// assert_eq!(proposal.brace.map(|found| found.value.inches()), Some(6.875));
/// assert_eq!(proposal.string_length, None);
/// assert_eq!(proposal.ambiguous[0].question, "Is 63 the length of the string or of the bow?");
/// ```
#[must_use]
pub fn propose(text: &str, unit: Unit, known_references: &[String]) -> Proposal {
    let text = beginning(text);
    let serials = references(text, known_references);
    let mut tokens = tokenize(text);
    mark_noise(&mut tokens, text);
    for token in &mut tokens {
        let is_reference = |found: &Found<String>| token.start >= found.start && token.end <= found.end;
        if serials.iter().any(is_reference) {
            token.kind = super::tokens::Kind::Noise;
        }
    }
    let items = items(&tokens);
    let mut gatherer = Gatherer::new(unit);
    let mut bows = Bows::new();
    let mut symptoms = Symptoms::new();
    for sentence in sentences(&items) {
        gatherer.read(&sentence);
        bows.read(&sentence, gatherer.reader());
        symptoms.read(&sentence, gatherer.reader());
    }
    let mut resolver = Resolver { text, unit, claims: &gatherer.claims, ambiguous: Vec::new() };
    let mut proposal = Proposal { serials, ..Proposal::default() };
    proposal.brace = resolver.brace();
    proposal.want = resolver.want();
    proposal.bow_length = resolver.bow_length();
    proposal.nock_to_nock = resolver.nock_to_nock();
    let bow = value(proposal.bow_length.as_ref());
    proposal.string_length = resolver.string_length(bow);
    proposal.turns_changed = resolver.turns();
    proposal.shots = resolver.shots();
    proposal.draw_weight = resolver.draw_weight();
    proposal.bow_year = resolver.year();
    proposal.readings = if proposal.brace.is_some() { resolver.readings() } else { None };
    let riser = resolver.riser();
    proposal.ambiguous = resolver.ambiguous;
    if let Some((start, end)) = hand_measure(&items)
        && let (Some(first), Some(last)) = (items.get(start), items.get(end - 1))
        && proposal.brace.is_none()
    {
        proposal.ambiguous.push(Ambiguous {
            words: text.get(first.start..last.end).unwrap_or_default().to_owned(),
            question:
                "What does the brace height measure with a ruler, from the string to the deepest part of the \
                       grip?"
                    .to_owned(),
            about: About::Brace,
        });
    }
    of_the_bow(&mut proposal, text, &bows.found, riser);
    proposal.symptoms =
        symptoms.signs.iter().map(|sign| found(text, sign.symptom, sign.start, sign.end)).collect();
    weigh_brace(&mut proposal);
    proposal
}

/// The part of a text that is read.
fn beginning(text: &str) -> &str {
    let mut end = text.len().min(LONGEST_TEXT);
    while !text.is_char_boundary(end) {
        end -= 1;
    }
    text.get(..end).unwrap_or_default()
}

fn found<T>(text: &str, value: T, start: usize, end: usize) -> Found<T> {
    Found { value, words: text.get(start..end).unwrap_or_default().to_owned(), start, end }
}

/// A brace height and a wanted range say by themselves whether the brace is low or high.
fn weigh_brace(proposal: &mut Proposal) {
    let derived = match (&proposal.brace, &proposal.want) {
        (Some(brace), Some(want)) => {
            let height = brace.value.inches();
            if height < want.value.low().inches() - MISS_INCHES {
                Some(Symptom::BraceLow)
            } else if height > want.value.high().inches() + MISS_INCHES {
                Some(Symptom::BraceHigh)
            } else {
                None
            }
        }
        _ => None,
    };
    if let (Some(symptom), Some(brace)) = (derived, &proposal.brace)
        && !proposal.symptoms.iter().any(|found| found.value == symptom)
    {
        let sign = Found { value: symptom, words: brace.words.clone(), start: brace.start, end: brace.end };
        proposal.symptoms.push(sign);
    }
    let has = |wanted: Symptom| proposal.symptoms.iter().any(|found| found.value == wanted);
    if has(Symptom::BraceLow) && has(Symptom::BraceHigh) {
        // Both are said; the numbers decide, or the archer.
        if derived.is_none()
            && let Some(first) = proposal.symptoms.iter().find(|found| is_brace(found.value))
        {
            proposal.ambiguous.push(Ambiguous {
                words: first.words.clone(),
                question: "Is the brace height too low or too high now?".to_owned(),
                about: About::Brace,
            });
        }
        proposal.symptoms.retain(|found| !is_brace(found.value) || Some(found.value) == derived);
    }
    proposal.symptoms.sort_by_key(|found| found.start);
}

fn is_brace(symptom: Symptom) -> bool {
    matches!(symptom, Symptom::BraceLow | Symptom::BraceHigh)
}

fn of_the_bow(proposal: &mut Proposal, text: &str, mentions: &Mentions, riser: Option<f64>) {
    let ambiguous = &mut proposal.ambiguous;
    proposal.tips =
        agreed(text, &mentions.tips, About::Tips, "Are the bow's tips reinforced or plain?", ambiguous);
    let stave = "Is the bow of wood alone, or is there glass, carbon or horn in it?";
    proposal.stave = agreed(text, &mentions.staves, About::Stave, stave, ambiguous);
    if mentions.staves.is_empty()
        && let Some((start, end)) = mentions.laminated
    {
        ask(ambiguous, text, start, end, About::Stave, stave);
    }
    let marker = "Is the larger loop on the upper or on the lower limb?";
    proposal.marker = agreed(text, &mentions.markers, About::Marker, marker, ambiguous);
    if proposal.string_length.is_some() {
        let how = "Was the string measured hand-tight or under a load, and under which?";
        proposal.length_at = agreed(text, &mentions.measured, About::StringLength, how, ambiguous);
    }
    let kind = "What kind of bow is it: longbow, reflex-deflex, selfbow, recurve, or horsebow?";
    proposal.bow_kind = agreed(text, &mentions.kinds, About::BowKind, kind, ambiguous);
    let is_recurve = proposal
        .bow_kind
        .as_ref()
        .is_none_or(|kind| matches!(kind.value, BowKind::Recurve | BowKind::LongRiser));
    match (&mut proposal.bow_kind, riser) {
        (Some(kind), Some(inches)) if is_recurve && inches >= LONG_RISER_INCHES => {
            kind.value = BowKind::LongRiser
        }
        (Some(found), None) if found.value == BowKind::Recurve => {
            if let Some((start, end)) = mentions.takedown {
                proposal.bow_kind = None;
                let question = "How long is the riser of the bow, without its limbs?";
                ask(ambiguous, text, start, end, About::BowKind, question);
            }
        }
        _ => {}
    }
}

/// The value on which all mentions agree.
fn agreed<T: Copy + PartialEq>(
    text: &str,
    mentions: &[Mention<T>],
    about: About,
    question: &str,
    ambiguous: &mut Vec<Ambiguous>,
) -> Option<Found<T>> {
    let first = mentions.first()?;
    if mentions.iter().all(|mention| mention.value == first.value) {
        return Some(found(text, first.value, first.start, first.end));
    }
    ask(ambiguous, text, first.start, first.end, about, question);
    None
}

fn ask(ambiguous: &mut Vec<Ambiguous>, text: &str, start: usize, end: usize, about: About, question: &str) {
    let words = text.get(start..end).unwrap_or_default().to_owned();
    ambiguous.push(Ambiguous { words, question: question.to_owned(), about });
}
