//! What a mail is proposed to say: what is sure, what is likely, and what is asked.

use super::amounts::{Field, Said, Weighed};
use super::context::{Candidate, Context, Sentence};
use super::letter::Voice;
use super::lists::holds;
use super::message::Mail;
use super::noise::{every_reference, references};
use super::numbers::{Item, What};
use super::settle::settled;
use super::shares::{Called, Shares};
use super::symptoms::{Mention, Mentions, Place, Symptoms};
use crate::quantity::{
    DrawWeight, Length, LengthRange, Measure, Turns, Unit, parse_draw_weight, parse_length, parse_range,
    parse_turns,
};
use crate::trade::BowKind;
use crate::trade::ask::MOST_QUESTIONS;
use crate::trade::records::{BowChanges, Measurements};
use crate::trade::words::{LengthAt, MailKind, Marker, Stave, Symptom, Tips};
use crate::words;

/// A riser from so many inches on is a long one (interface: `long-riser`).
const LONG_RISER_INCHES: f64 = 21.0;

/// Inches by which a brace height must miss the wanted range to be called low or high.
const MISS_INCHES: f64 = 0.01;

/// Chance from which what is only likely is asked, where nobody says which it is.
const WORTH_ASKING: f64 = 0.3;

/// Chance of a kind that opens no case from which a mail is taken for one.
const NO_CASE: f64 = 0.5;

/// Chance of such a kind from which nothing that a mail says is sure.
const PERHAPS_NO_CASE: f64 = 0.3;

/// Chance that what is told in words of none of several strings is told of one of them (judgement, no
/// source): one press does not take it.
const PERHAPS_OF_IT: f64 = 0.3;

/// Chance that nobody knows what the bow's maker gives where a mail seems to say so (judgement, no source):
/// one press takes it.
const RANGE_UNKNOWN: f64 = 0.6;

/// Chance that just the turns that our letter told first were made where a mail says that it was done as told
/// (judgement, no source; 83 of 100 simulated archers need no second go, docs/methods.md): one press takes it.
const AS_TOLD: f64 = 0.6;

/// A value, and the words of the mail that it was taken from.
#[derive(Debug, Clone, PartialEq)]
pub struct Found<T> {
    /// The value.
    pub value: T,
    /// The exact words it was taken from.
    pub words: String,
    /// Where these stand in what is new in the mail, bytes; the subject and what was passed on stand
    /// elsewhere.
    pub place: Option<(usize, usize)>,
    /// How likely it is that it is so; what stands there in words is certain.
    pub chance: f64,
}

/// Something that a mail says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Fact {
    /// Brace height as it is now.
    Brace(Length),
    /// How many readings that is the mean of.
    Readings(u32),
    /// Brace range that the archer wants, or of which nobody says who wants it.
    Want(LengthRange),
    /// Brace range that the bow's maker gives.
    MakerRange(LengthRange),
    /// Nobody knows which range the bow's maker gives.
    RangeUnknown,
    /// Length of the string off the bow.
    StringLength(Length),
    /// How that was measured.
    LengthAt(LengthAt),
    /// Turns put in (+) or taken out (-) in all; none is 0.
    Turns(Turns),
    /// Shots with this string.
    Shots(u32),
    /// Which way the marker points.
    Marker(Marker),
    /// Kind of bow.
    BowKind(BowKind),
    /// Marked (AMO) length of the bow.
    BowLength(Length),
    /// The bow's length from nock to nock.
    NockToNock(Length),
    /// Draw weight of the bow.
    DrawWeight(DrawWeight),
    /// Tips of the bow.
    Tips(Tips),
    /// What the bow is made of.
    Stave(Stave),
    /// Year the bow was made.
    BowYear(i32),
}

/// What a mail says, each with the words it was taken from.
#[derive(Debug, Clone, PartialEq)]
pub struct Proposal {
    /// What sort of mail it is.
    pub kind: MailKind,
    /// Symptoms, each once.
    pub symptoms: Vec<Found<Symptom>>,
    /// What is sure, of each sort of fact one.
    pub read: Vec<Found<Fact>>,
    /// What is likely, of one sort the likeliest first.
    pub likely: Vec<Found<Fact>>,
    /// That it was done as our letter told.
    pub as_told: Option<Found<()>>,
    /// Symptoms that may be those of this string, where it is one of several.
    pub perhaps: Vec<Found<Symptom>>,
    /// What is to be asked, the most telling first.
    pub ambiguous: Vec<Ambiguous>,
    /// What is only likely, and is asked where nobody says which it is.
    pub unsettled: Vec<Ambiguous>,
}

impl Proposal {
    /// Takes that it was done as our letter told for the turns which that told, where the mail says no others:
    /// likely, for part of them may have been left out, or a table followed after them.
    pub fn take_as_told(&mut self, turns: Turns) {
        let is_turns = |one: &Found<Fact>| matches!(one.value, Fact::Turns(_));
        if let Some(said) = self.as_told.take()
            && !self.read.iter().chain(&self.likely).any(is_turns)
        {
            self.likely.push(Found {
                value: Fact::Turns(turns),
                words: said.words,
                place: said.place,
                chance: AS_TOLD,
            });
        }
    }

    /// The measurements that are sure.
    #[must_use]
    pub fn measurements(&self) -> Measurements {
        let mut measured = Measurements::default();
        for found in &self.read {
            match found.value {
                Fact::Brace(length) => measured.brace = Some(length),
                Fact::Readings(count) => measured.readings = Some(count),
                Fact::Want(range) => measured.want = Some(range),
                Fact::StringLength(length) => measured.length = Some(length),
                Fact::LengthAt(at) => measured.length_at = Some(at),
                Fact::Turns(turns) => measured.turns_changed = Some(turns),
                Fact::Shots(count) => measured.shots = Some(count),
                Fact::Marker(marker) => measured.marker = Some(marker),
                _ => {}
            }
        }
        measured
    }

    /// What is sure of the bow.
    #[must_use]
    pub fn bow_changes(&self) -> BowChanges {
        let mut bow = BowChanges::default();
        for found in &self.read {
            match found.value {
                Fact::MakerRange(range) => bow.brace_range = Some(range),
                Fact::RangeUnknown => bow.range_unknown = Some(true),
                Fact::BowKind(kind) => bow.kind = Some(kind),
                Fact::BowLength(length) => bow.marked_length = Some(length),
                Fact::NockToNock(length) => bow.nock_to_nock = Some(length),
                Fact::DrawWeight(weight) => bow.draw_weight = Some(weight),
                Fact::Tips(tips) => bow.tips = Some(tips),
                Fact::Stave(stave) => bow.stave = Some(stave),
                Fact::BowYear(year) => bow.year = Some(year),
                _ => {}
            }
        }
        bow
    }

    fn brace(&self) -> Option<&Found<Fact>> {
        self.read.iter().find(|found| matches!(found.value, Fact::Brace(_)))
    }
}

/// The serials and order references that stand in a text; of the book's own, those in `known`.
#[must_use]
pub fn references_in(text: &str, known: &[String]) -> Vec<String> {
    references(text, known).into_iter().map(|found| found.value).collect()
}

/// Proposes what an English mail says; bare numbers that can be either are in `unit`, the unit of
/// the book. Serials and order references of the book, `known`, are no measurements.
///
/// ```
/// use fistmele::mail::{Fact, propose, read_pasted};
/// use fistmele::quantity::Unit;
///
/// let mail = read_pasted("The brace height is 6 7/8 now and the bowyer says 7 1/2 to 8.", None)?;
/// let proposal = propose(&mail, Unit::Inch, &[]);
/// let mut said = proposal.read.iter().chain(&proposal.likely);
/// assert!(said.any(|found| matches!(found.value, Fact::Brace(length) if length.inches() == 6.875)));
/// # Ok::<(), fistmele::mail::MailError>(())
/// ```
#[must_use]
pub fn propose(mail: &Mail, unit: Unit, known: &[String]) -> Proposal {
    propose_each(mail, unit, known, &[]).whole
}

/// What a mail says, and what it says of each of several strings.
#[derive(Debug, Clone, PartialEq)]
pub struct Each {
    /// As if it were about one string.
    pub whole: Proposal,
    /// Of each string what the mail says of it, in their order.
    pub each: Vec<Proposal>,
    /// The strings that it surely speaks of, by their places.
    pub spoken: Vec<usize>,
}

/// Reads a mail as [`propose`] does, and gives out what it says of each of some strings as well.
#[must_use]
pub fn propose_each(mail: &Mail, unit: Unit, known: &[String], strings: &[Called]) -> Each {
    let names = |text: &str| every_reference(text, known).into_iter().map(|found| found.place).collect();
    let context = Context::new(mail.subject.as_deref(), &mail.passages, unit != Unit::Inch, &names);
    let weighed = Weighed::new(&context);
    let whole = proposal(&context, &weighed, unit, None);
    if strings.is_empty() {
        return Each { whole, each: Vec::new(), spoken: Vec::new() };
    }
    let shares = Shares::new(&context, strings);
    let each = (0..strings.len()).map(|at| proposal(&context, &weighed, unit, Some((&shares, at)))).collect();
    Each { whole, each, spoken: shares.spoken }
}

/// What is told in words, of one of several strings what is said of it; `sure` leaves out what only may be.
fn in_words(context: &Context, share: Option<(&Shares, usize)>, sure: bool) -> (Mentions, Symptoms) {
    let (mut bow, mut symptoms) = (Mentions::default(), Symptoms::default());
    for (at, read) in context.reads.iter().enumerate().filter(|(_, read)| read.voice != Voice::Forwarded) {
        for sentence in &read.sentences {
            let pieces = match share {
                Some((shares, string)) => shares.pieces(at, sentence, string, sure),
                None => vec![sentence.clone()],
            };
            for piece in pieces {
                let items = read.items.get(piece).unwrap_or_default();
                if let Some(sentence) = Sentence::new(items, read.asks_in(sentence)) {
                    bow.read(at, &sentence);
                    symptoms.read(at, &sentence);
                }
            }
        }
    }
    (bow, symptoms)
}

fn proposal(
    context: &Context,
    weighed: &Weighed<'_>,
    unit: Unit,
    share: Option<(&Shares, usize)>,
) -> Proposal {
    let of_kinds = MailKind::ALL.iter().zip(&weighed.kinds);
    let no_case: f64 = of_kinds.clone().filter(|(kind, _)| kind.is_quiet()).map(|(_, chance)| chance).sum();
    // A complaint that is overlooked costs more than a report that is opened in vain.
    let kind = of_kinds
        .filter(|(kind, _)| kind.is_quiet() == (no_case >= NO_CASE))
        .max_by(|one, other| one.1.total_cmp(other.1))
        .map_or(MailKind::Other, |(kind, _)| *kind);
    let of_it = |one: &Candidate| {
        share.is_none_or(|(shares, string)| {
            let items = context.reads.get(one.read).and_then(|read| read.items.get(one.at.clone()));
            let place = items.and_then(|items| Some(items.first()?.start..items.last()?.end));
            place.is_some_and(|place| shares.says(one.read, &place, string).is_some())
        })
    };
    let own;
    let weighed = match share {
        Some(_) => {
            own = weighed.of(of_it);
            &own
        }
        None => weighed,
    };
    let all = settled(context, weighed, no_case < PERHAPS_NO_CASE, share);
    let (bow, symptoms) = in_words(context, share, true);
    // Whoever asks, and tells what is wrong, complains.
    let complains = kind == MailKind::Other && !symptoms.found.is_empty();
    let mut proposal = Proposal {
        kind: if complains { MailKind::Complaint } else { kind },
        symptoms: symptoms.found.iter().filter_map(|sign| found(context, sign.value, sign.place)).collect(),
        read: Vec::new(),
        likely: Vec::new(),
        as_told: None,
        perhaps: Vec::new(),
        ambiguous: Vec::new(),
        unsettled: unsettled(context, &all),
    };
    for said in &all {
        proposal.take(context, said, unit);
    }
    let mut questions = Questions::default();
    proposal.of_the_bow(context, &bow, &mut questions);
    if share.is_some() {
        let (bow, symptoms) = in_words(context, share, false);
        proposal.take_perhaps(context, &bow, &symptoms);
    }
    proposal.weigh_brace(&mut questions);
    let mut said = proposal.read.iter().chain(&proposal.likely);
    if !said.any(|found| matches!(found.value, Fact::Brace(_))) {
        questions.of_hands(context);
    }
    proposal.ambiguous = questions.most_telling();
    proposal
}

/// What is only likely, and is asked where nobody says which it is.
fn unsettled(context: &Context, all: &[Said]) -> Vec<Ambiguous> {
    let mut questions = Questions::default();
    for (field, about, asked) in [
        (Field::Brace, About::Brace, "What does the brace height measure now, with a ruler?"),
        (Field::Turns, About::Turns, ALL_TURNS),
    ] {
        let of_field: Vec<&Said> = all.iter().filter(|said| said.field == field).collect();
        if of_field.first().is_none_or(|said| said.sure || said.chance < WORTH_ASKING) {
            continue;
        }
        let words: Vec<&str> = of_field
            .iter()
            .filter_map(|said| context.reads.get(said.read)?.text.get(said.place.clone()))
            .collect();
        let told: Vec<String> = words.iter().map(|words| format!("\u{201c}{words}\u{201d}")).collect();
        let first = words.first().copied().unwrap_or_default();
        questions.ask(about, first, &format!("{asked} The mail says {}.", told.join(", ")));
    }
    questions.most_telling()
}

fn found<T>(context: &Context, value: T, place: Place) -> Option<Found<T>> {
    let read = context.reads.get(place.read)?;
    let range = place.start..place.end;
    let words = read.text.get(range.clone()).unwrap_or_default().to_owned();
    Some(Found { value, words, place: read.place_of(&range), chance: 1.0 })
}

/// The fact that a value is, by the reader of its quantity.
fn fact(context: &Context, said: &Said, unit: Unit) -> Option<Fact> {
    let count = || said.values.first().and_then(|value| format!("{value}").parse().ok());
    Some(match said.field {
        Field::Brace => Fact::Brace(parse_length(&said.spelled, unit, Measure::Brace).ok()?),
        Field::MakerRange => Fact::MakerRange(parse_range(&said.spelled, unit, Measure::WantedBrace).ok()?),
        Field::Want => Fact::Want(parse_range(&said.spelled, unit, Measure::WantedBrace).ok()?),
        Field::Turns => Fact::Turns(parse_turns(&said.spelled).ok()?),
        Field::Shots => Fact::Shots(count()?),
        Field::StringLength => {
            Fact::StringLength(parse_length(&said.spelled, unit, Measure::StringLength).ok()?)
        }
        Field::BowLength => {
            let length = parse_length(&said.spelled, unit, Measure::BowLength).ok()?;
            if is_nock_to_nock(context, said) { Fact::NockToNock(length) } else { Fact::BowLength(length) }
        }
        Field::DrawWeight => Fact::DrawWeight(parse_draw_weight(&said.spelled).ok()?),
        Field::BowYear => {
            Fact::BowYear(said.values.first().and_then(|value| format!("{value}").parse().ok())?)
        }
    })
}

/// Whether the sentence of a bow's length says that it was measured from nock to nock.
fn is_nock_to_nock(context: &Context, said: &Said) -> bool {
    let near = context.reads.get(said.read).and_then(|read| {
        let from = read.text.get(..said.place.start)?.rfind(['.', '\n', ';', ',']).map_or(0, |at| at + 1);
        let rest = read.text.get(said.place.end..)?;
        let to = said.place.end + rest.find(['.', '\n', ';', ',']).unwrap_or(rest.len());
        read.text.get(from..to).map(|text| text.to_lowercase().replace('-', " "))
    });
    near.is_some_and(|text| ["nock to nock", "groove to groove"].iter().any(|words| text.contains(words)))
}

impl Proposal {
    /// Takes a value over, as sure or as likely; one that no reader of quantities takes is left out.
    fn take(&mut self, context: &Context, said: &Said, unit: Unit) {
        let place = Place { read: said.read, start: said.place.start, end: said.place.end };
        let Some(found) = fact(context, said, unit).and_then(|fact| found(context, fact, place)) else {
            return;
        };
        let found = Found { chance: said.chance, ..found };
        let readings = u32::try_from(said.readings).ok().filter(|count| *count > 1);
        let counted = readings.map(|count| Found { value: Fact::Readings(count), ..found.clone() });
        let side = if said.sure { &mut self.read } else { &mut self.likely };
        side.extend(counted);
        side.push(found);
    }

    /// What may be said of a string, in words, and is not surely.
    fn take_perhaps(&mut self, context: &Context, bow: &Mentions, symptoms: &Symptoms) {
        let mut may_be = Self { read: Vec::new(), ..self.clone() };
        may_be.of_the_bow(context, bow, &mut Questions::default());
        let is_new = |one: &Found<Fact>| {
            !self
                .read
                .iter()
                .any(|held| std::mem::discriminant(&held.value) == std::mem::discriminant(&one.value))
        };
        let may_be_unknown =
            |one: &Found<Fact>| one.value == Fact::RangeUnknown && !self.likely.contains(one);
        let unknown = may_be.likely.into_iter().filter(may_be_unknown);
        let new: Vec<Found<Fact>> = may_be.read.into_iter().filter(is_new).chain(unknown).collect();
        self.likely.extend(new.into_iter().map(|one| Found { chance: PERHAPS_OF_IT, ..one }));
        let signs = symptoms.found.iter().filter_map(|sign| found(context, sign.value, sign.place));
        self.perhaps = signs
            .filter(|sign| !self.symptoms.iter().any(|held| held.value == sign.value))
            .map(|sign| Found { chance: PERHAPS_OF_IT, ..sign })
            .collect();
    }

    /// A brace height and a wanted range say by themselves whether the brace is low or high.
    fn weigh_brace(&mut self, questions: &mut Questions) {
        let measured = self.measurements();
        let want = measured.want.or(self.bow_changes().brace_range);
        let derived = measured.brace.zip(want).and_then(|(brace, want)| brace_symptom(brace, want));
        let holds = |symptoms: &[Found<Symptom>], wanted| symptoms.iter().any(|found| found.value == wanted);
        if let (Some(symptom), Some(brace)) = (derived, self.brace())
            && !holds(&self.symptoms, symptom)
        {
            let Found { words, place, chance, .. } = brace.clone();
            self.symptoms.push(Found { value: symptom, words, place, chance });
        }
        if holds(&self.symptoms, Symptom::BraceLow) && holds(&self.symptoms, Symptom::BraceHigh) {
            // Both are said; the numbers decide, or the archer.
            if derived.is_none()
                && let Some(first) = self.symptoms.iter().find(|found| is_brace(found.value))
            {
                questions.ask(About::Brace, &first.words, "Is the brace height too low or too high now?");
            }
            self.symptoms.retain(|found| !is_brace(found.value) || Some(found.value) == derived);
        }
        self.symptoms.sort_by_key(|found| found.place);
    }

    fn of_the_bow(&mut self, context: &Context, mentions: &Mentions, questions: &mut Questions) {
        let question = "Are the bow's tips reinforced or plain?";
        let tips = questions.agreed(context, &mentions.tips, About::Tips, question);
        self.mention(context, tips, Fact::Tips);
        let question = "Is the bow of wood alone, or is there glass, carbon or horn in it?";
        let stave = questions.agreed(context, &mentions.staves, About::Stave, question);
        self.mention(context, stave, Fact::Stave);
        if let (true, Some(place)) = (mentions.staves.is_empty(), mentions.laminated) {
            questions.ask_at(context, place, About::Stave, question);
        }
        self.as_told = mentions.as_told.first().and_then(|said| found(context, (), said.place));
        // "The maker says nothing" is only likely, and nothing beside a range.
        let is_range = |one: &Found<Fact>| matches!(one.value, Fact::MakerRange(_));
        if !self.read.iter().chain(&self.likely).any(is_range)
            && let Some(said) = mentions.range_unknown.first()
        {
            let found = found(context, Fact::RangeUnknown, said.place);
            self.likely.extend(found.map(|found| Found { chance: RANGE_UNKNOWN, ..found }));
        }
        let question = "Is the larger loop on the upper or on the lower limb?";
        let marker = questions.agreed(context, &mentions.markers, About::Marker, question);
        self.mention(context, marker, Fact::Marker);
        if self.read.iter().any(|found| matches!(found.value, Fact::StringLength(_))) {
            let question = "Was the string measured hand-tight or under a load, and under which?";
            let at = questions.agreed(context, &mentions.measured, About::StringLength, question);
            self.mention(context, at, Fact::LengthAt);
        }
        let question = "What kind of bow is it: longbow, reflex-deflex, selfbow, recurve, or horsebow?";
        let mut kind = questions.agreed(context, &mentions.kinds, About::BowKind, question);
        match (&mut kind, riser(context)) {
            (Some(kind), Some(inches))
                if matches!(kind.value, BowKind::Recurve | BowKind::LongRiser)
                    && inches >= LONG_RISER_INCHES =>
            {
                kind.value = BowKind::LongRiser;
            }
            (Some(found), None) if found.value == BowKind::Recurve => {
                if let Some(place) = mentions.takedown {
                    kind = None;
                    let question = "How long is the riser of the bow, without its limbs?";
                    questions.ask_at(context, place, About::BowKind, question);
                }
            }
            _ => {}
        }
        self.mention(context, kind, Fact::BowKind);
    }

    fn mention<T: Copy>(&mut self, context: &Context, mention: Option<Mention<T>>, of: fn(T) -> Fact) {
        self.read.extend(mention.and_then(|mention| found(context, of(mention.value), mention.place)));
    }
}

/// Whether a brace height is low or high of what is wanted.
#[must_use]
pub fn brace_symptom(brace: Length, want: LengthRange) -> Option<Symptom> {
    if brace.inches() < want.low().inches() - MISS_INCHES {
        Some(Symptom::BraceLow)
    } else if brace.inches() > want.high().inches() + MISS_INCHES {
        Some(Symptom::BraceHigh)
    } else {
        None
    }
}

fn is_brace(symptom: Symptom) -> bool {
    matches!(symptom, Symptom::BraceLow | Symptom::BraceHigh)
}

/// The length of the riser in inches, where one is named.
fn riser(context: &Context) -> Option<f64> {
    context.candidates.iter().find_map(|one| {
        let read = context.reads.get(one.read)?;
        let next = read.items.get(one.at.end)?;
        next.is_any(&["riser", "handle"])
            .then_some(one.inches)
            .flatten()
            .filter(|inches| (10.0..40.0).contains(inches))
    })
}

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
struct Questions(Vec<Ambiguous>);

impl Questions {
    fn ask(&mut self, about: About, words: &str, question: &str) {
        // One question for one thing.
        if !self.0.iter().any(|held| held.about == about) {
            self.0.push(Ambiguous { words: words.to_owned(), question: question.to_owned(), about });
        }
    }

    fn ask_at(&mut self, context: &Context, place: Place, about: About, question: &str) {
        let words = context.reads.get(place.read).and_then(|read| read.text.get(place.start..place.end));
        self.ask(about, words.unwrap_or_default(), question);
    }

    /// A fist with a thumb is no measure that can be reckoned with.
    fn of_hands(&mut self, context: &Context) {
        const QUESTION: &str = "What does the brace height measure with a ruler, from the string to the deepest part of the grip?";
        for (read, (start, end)) in
            context.reads.iter().enumerate().filter_map(|(at, read)| Some((at, hand_measure(&read.items)?)))
        {
            self.ask_at(context, Place { read, start, end }, About::Brace, QUESTION);
        }
    }

    /// The value on which all mentions agree; where they do not it is asked.
    fn agreed<T: Copy + PartialEq>(
        &mut self,
        context: &Context,
        mentions: &[Mention<T>],
        about: About,
        question: &str,
    ) -> Option<Mention<T>> {
        let first = *mentions.first()?;
        if mentions.iter().all(|mention| mention.value == first.value) {
            return Some(first);
        }
        self.ask_at(context, first.place, about, question);
        None
    }

    fn most_telling(mut self) -> Vec<Ambiguous> {
        self.0.sort_by_key(|one| one.about);
        self.0.truncate(MOST_QUESTIONS);
        self.0
    }
}

/// Fists, thumbs and spans given as a measure, bytes.
fn hand_measure(items: &[Item]) -> Option<(usize, usize)> {
    let is_hand = |item: &Item| item.word().is_some_and(|word| holds("hands", word));
    let at = items.iter().position(is_hand)?;
    let last = items
        .iter()
        .skip(at)
        .take(8)
        .take_while(|item| !matches!(item.what, What::Break | What::Mark('.')))
        .filter(|item| is_hand(item) || item.is_any(&["thumb", "thumbs"]))
        .last()?;
    Some((items.get(at)?.start, last.end))
}
