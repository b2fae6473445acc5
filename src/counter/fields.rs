//! Fields of forms: their names are those of the options, their labels are for people.

use serde::Serialize;

use super::forms::Filled;
use super::problem::ProblemView;
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::{TurnsKnown, Yarn};
use crate::show::names::symptom_name;
use crate::trade::terms::TermsOf;
use crate::trade::words::{Cause, LengthAt, Marker, Outcome, Photo, ReadBy, Stave, Symptom, Tips};

/// What is typed into a field.
#[derive(Clone, Copy)]
pub(super) enum Input {
    /// Words or figures, with an example.
    Text(&'static str),
    /// One of these.
    OneOf(fn() -> Vec<&'static str>),
}

/// A field.
pub(super) struct Field {
    name: &'static str,
    label: &'static str,
    input: Input,
}

const fn text(name: &'static str, label: &'static str, example: &'static str) -> Field {
    Field { name, label, input: Input::Text(example) }
}

const fn one_of(name: &'static str, label: &'static str, all: fn() -> Vec<&'static str>) -> Field {
    Field { name, label, input: Input::OneOf(all) }
}

macro_rules! all {
    ($type:ty) => {
        || <$type>::ALL.iter().map(|word| word.as_str()).collect()
    };
}

fn yes_no() -> Vec<&'static str> {
    vec!["yes", "no"]
}

/// What most mails say.
pub(super) const USUAL: [Field; 5] = [
    text("brace", "Brace height now", "6 7/8"),
    text("want", "Brace height wanted", "7 1/2 to 8"),
    text("turns-changed", "Full turns put in (+) or taken out (-)", "+6"),
    text("shots", "Shots since new", "150"),
    text("received", "Day it came in", "today"),
];

/// What some say besides.
pub(super) const MORE: [Field; 13] = [
    text("readings", "Brace height is the mean of so many readings", "3"),
    one_of("by", "The brace height was read by", all!(ReadBy)),
    text("length", "String length off the bow", "58 1/4"),
    one_of("at", "That length was measured", all!(LengthAt)),
    one_of("marker", "The marker on the larger loop points", all!(Marker)),
    text("serving", "Middle of the serving above (+) or below (-) the string's middle", "-1"),
    text("turns-counted", "One colour comes to the front so many times", "11"),
    text("over", "over this length", "20"),
    one_of("photo", "A photo shows", all!(Photo)),
    text("free-string", "Fades: free string between its first contacts with the limbs", "54"),
    text("fade-span", "Fades: between the ends of the stiff middle (0 if it bends through the grip)", "17"),
    text("fade-gap", "Fades: string to limb axis at these ends", "6 1/4"),
    text("fade-to-nock", "Fades: from there to the nock along the limb", "23"),
];

/// What may be known of a string that is not in the book.
pub(super) const NEW_STRING: [Field; 8] = [
    text("serial", "Serial on its label, if it has one", "the next free one"),
    text("archer", "The archer's name", "not known"),
    text("email", "The archer's e-mail address", "not known"),
    text("sold-on", "Day of sale", "by the day of the mail"),
    text("ordered", "Length that was ordered, loaded", "not known"),
    one_of("yarn", "Yarn", all!(Yarn)),
    text("strands", "Strands in the whole string", "not known"),
    text("turns", "Full turns as built", "not known"),
];

/// What is known of the bow.
pub(super) const BOW: [Field; 9] = [
    one_of("bow-kind", "Kind of bow (a longbow that bends in the grip: selfbow)", all!(BowKind)),
    text("marked", "Marked (AMO) length", "62"),
    text("nock-to-nock", "Nock to nock on the belly", "60 1/2"),
    text("weight", "Draw weight", "45#@28"),
    text("brace-range", "Brace range by the bow's maker", "7 1/2 to 8, or unknown"),
    one_of("tips", "Tips", all!(Tips)),
    one_of("stave", "Made of", all!(Stave)),
    text("bow-year", "Year it was made", "1998"),
    one_of("maker-allows-low-stretch", "Its maker allows low-stretch yarn", yes_no),
];

/// What both bench sums need.
pub(super) const SUM: [Field; 5] = [
    one_of("kind", "Kind of bow (a longbow that bends in the grip: selfbow)", all!(BowKind)),
    text("marked", "Marked (AMO) length of the bow, or", "62"),
    text("length", "Loaded length of the string", "58"),
    text("brace", "Brace height now", "7 1/4"),
    text("want", "Brace height wanted", "7 1/2 to 8"),
];

/// What the sum of turns needs besides.
pub(super) const TURNS: [Field; 8] = [
    one_of("yarn", "Yarn", all!(Yarn)),
    text("strands", "Strands in the whole string", "16"),
    text("plies", "Plies", "2"),
    text("turns", "Full turns in it now", "24"),
    one_of("turns-known", "How do you know the turns?", all!(TurnsKnown)),
    text("turn-constant", "The workshop's bench figure", "0.00062"),
    text("did", "Turns then put in (+) or taken out (-)", "+6"),
    text("got", "and brace height read after them", "7 1/2"),
];

/// How a report ended.
pub(super) const END: [Field; 3] = [
    one_of("cause", "Cause, if the evidence is wrong", all!(Cause)),
    text("right-length", "Loaded length that would have been right", "58 1/2"),
    one_of("outcome", "How it ended, if that does not show", all!(Outcome)),
];

/// What the maker decides otherwise than it is worked out.
pub(super) const DECISION: [Field; 6] = [
    text("why", "Why (the archer is not told)", "an old customer"),
    one_of("free", "Free for the archer", yes_no),
    one_of("remake", "Make the string again", yes_no),
    text("turns", "Or full turns in (+) or out (-)", "+6"),
    text("length", "Loaded length of a new string", "58 1/2"),
    one_of("cause", "Under the terms it is", all!(TermsOf)),
];

/// A replacement.
pub(super) const REPLACEMENT: [Field; 3] = [
    text("length", "Loaded length, if not as worked out", "58 1/2"),
    text("serial", "Serial, if not the next free one", "S-100"),
    text("strands", "Strands, if not as many as the first", ""),
];

/// Ticks and presses by the options that do the same.
const PRESSES: [(&str, &str); 23] = [
    ("symptom", "The archer says"),
    ("separate", "It is another matter"),
    ("although-forgotten", "Note the mail all the same"),
    ("new-address", "It is the archer's own: letters go there from now on"),
    ("string", "The string it is about"),
    ("each", "note it with all of them"),
    ("fits", "The archer says that the string fits now"),
    ("no-danger", "nothing broken, cut or cracked, no shot without an arrow"),
    ("danger-open", "That was said by mistake"),
    ("no-damage", "mean no damage to the string"),
    ("call-off", "I read it: no danger is meant"),
    ("confirm", "It is so"),
    ("never-sent", "It never went out"),
    ("as-worked-out", "Take the decision back"),
    ("paid", "Free for the archer: no"),
    ("no-remake", "Make the string again: no"),
    ("remake", "Make the string again"),
    ("free", "Free for the archer"),
    ("why", "Why"),
    ("sure", "I looked at it, and it is so"),
    ("stated", "What was stated"),
    ("route", "How it was sized"),
    ("of", "Another letter"),
];

/// How the field of an option is called on the page of a report or mail, or by the fields of another
/// form first: its label without what explains it.
pub(super) fn called(option: &str, form: &[&[Field]]) -> String {
    let all: [&[Field]; 7] = [&USUAL, &MORE, &BOW, &NEW_STRING, &SUM, &TURNS, &END];
    let label = |fields: &[&[Field]]| {
        fields
            .iter()
            .flat_map(|fields| fields.iter())
            .find(|field| field.name == option)
            .map(|field| field.label)
    };
    let press = || PRESSES.iter().find(|(name, _)| *name == option).map(|(_, label)| *label);
    let Some(label) = label(form).or_else(press).or_else(|| label(&all)) else {
        return option.replace('-', " ");
    };
    [", if", ", or", " (a ", " (0 ", " (the "]
        .iter()
        .fold(label, |label, end| label.split(end).next().unwrap_or(label))
        .to_owned()
}

/// A field for a page.
#[derive(Serialize)]
pub(super) struct FieldView {
    name: &'static str,
    label: &'static str,
    /// Its label without what explains it.
    short: &'static str,
    example: Option<&'static str>,
    options: Vec<&'static str>,
    value: String,
    /// The words of the mail that the value was read from.
    words: Option<Excerpt>,
    /// What the mail is likely to say of it.
    offers: Vec<Offer>,
    /// What is wrong with it.
    wrong: Option<String>,
}

/// Words of a mail between those around them.
#[derive(Serialize)]
pub(super) struct Excerpt {
    pub(super) before: String,
    pub(super) words: String,
    pub(super) after: String,
}

/// A value that one press puts into its field.
#[derive(Serialize)]
pub(super) struct Offer {
    /// The value as it would be typed.
    pub(super) typed: String,
    /// What the press sends: fields and their values, one a line.
    pub(super) sends: String,
    pub(super) words: Excerpt,
    /// The press that takes the likeliest of each takes this one.
    pub(super) first: bool,
    /// It stands in its field.
    pub(super) taken: bool,
}

/// Fields with what was typed into them.
pub(super) fn views(fields: &[Field], filled: &Filled, problem: Option<&ProblemView>) -> Vec<FieldView> {
    fields
        .iter()
        .map(|field| FieldView {
            name: field.name,
            label: field.label,
            short: field.label.split(" (a ").next().unwrap_or(field.label),
            example: match field.input {
                Input::Text(example) => Some(example),
                Input::OneOf(_) => None,
            },
            options: match field.input {
                Input::Text(_) => Vec::new(),
                Input::OneOf(all) => all(),
            },
            value: filled.get(field.name).unwrap_or_default().to_owned(),
            words: None,
            offers: Vec::new(),
            wrong: problem
                .filter(|problem| problem.field == Some(field.name))
                .map(|problem| problem.message.clone()),
        })
        .collect()
}

impl FieldView {
    pub(super) fn name(&self) -> &'static str {
        self.name
    }

    pub(super) fn read_from(&mut self, words: Excerpt) {
        self.words = Some(words);
    }

    pub(super) fn offer(&mut self, offer: Offer) {
        self.offers.push(Offer { taken: offer.typed == self.value, ..offer });
    }

    /// Fills it in.
    pub(super) fn propose(&mut self, value: &str) {
        value.clone_into(&mut self.value);
    }

    /// True where something was typed or is wrong.
    pub(super) fn is_used(&self) -> bool {
        !self.value.is_empty() || self.wrong.is_some()
    }

    /// True where there is something to look at.
    fn is_told(&self) -> bool {
        self.is_used() && self.name != "received" || self.wrong.is_some() || !self.offers.is_empty()
    }
}

/// A symptom to tick.
#[derive(Serialize)]
pub(super) struct SymptomView {
    value: &'static str,
    label: &'static str,
    ticked: bool,
    words: Option<Excerpt>,
}

impl SymptomView {
    pub(super) fn value(&self) -> &'static str {
        self.value
    }

    pub(super) fn read_from(&mut self, words: Excerpt) {
        self.words = Some(words);
    }
}

/// All symptoms, with those ticked that were.
pub(super) fn symptoms(filled: &Filled) -> Vec<SymptomView> {
    Symptom::ALL
        .iter()
        .map(|symptom| SymptomView {
            value: symptom.as_str(),
            label: symptom_name(*symptom),
            ticked: filled.has("symptom", symptom.as_str()),
            words: None,
        })
        .collect()
}

/// The fields of what an archer says, as the form of a report or a reading shows them.
#[derive(Serialize)]
pub(super) struct SaidForm {
    pub(super) symptoms: Vec<SymptomView>,
    pub(super) usual: Vec<FieldView>,
    pub(super) more: Vec<FieldView>,
    pub(super) bow: Vec<FieldView>,
    /// Some of these are filled in, so they are shown.
    more_open: bool,
    bow_open: bool,
    pub(super) text: String,
}

impl SaidForm {
    pub(super) fn new(filled: &Filled, problem: Option<&ProblemView>) -> Self {
        let (more, bow) = (views(&MORE, filled, problem), views(&BOW, filled, problem));
        Self {
            symptoms: symptoms(filled),
            usual: views(&USUAL, filled, problem),
            more_open: more.iter().any(FieldView::is_used),
            bow_open: bow.iter().any(FieldView::is_used),
            more,
            bow,
            text: filled.get("text").unwrap_or_default().to_owned(),
        }
    }

    /// Every field that a figure may be read into.
    pub(super) fn fields(&mut self) -> impl Iterator<Item = &mut FieldView> {
        self.usual.iter_mut().chain(&mut self.more).chain(&mut self.bow)
    }
}

/// The same fields as the page of a mail shows them: what was found first, all else folded away.
#[derive(Serialize)]
pub(super) struct FoundForm {
    /// Symptoms that were read or ticked.
    said: Vec<SymptomView>,
    /// Fields that hold something, or for which something is offered.
    found: Vec<FieldView>,
    /// Something is offered that one press takes.
    pub(super) takes: bool,
    /// The rest, as a form.
    rest: SaidForm,
}

impl FoundForm {
    pub(super) fn new(form: SaidForm) -> Self {
        let (said, symptoms) =
            form.symptoms.into_iter().partition(|symptom| symptom.ticked || symptom.words.is_some());
        let mut found = Vec::new();
        let mut parted = |fields: Vec<FieldView>| {
            let (told, rest) = fields.into_iter().partition(FieldView::is_told);
            let told: Vec<FieldView> = told;
            found.extend(told);
            rest
        };
        let (usual, more, bow) = (parted(form.usual), parted(form.more), parted(form.bow));
        let takes = found.iter().flat_map(|field| &field.offers).any(|offer| offer.first && !offer.taken);
        Self {
            said,
            found,
            takes,
            rest: SaidForm { symptoms, usual, more, bow, more_open: false, bow_open: false, text: form.text },
        }
    }
}
