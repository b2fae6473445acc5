//! What a letter tells in words, clause by clause: what the archer complains of, what the bow is, and
//! how the string lies and was measured.

use std::str::FromStr;
use std::sync::LazyLock;

use super::context::Sentence;
use super::lists::{Pattern, has_any, has_word, holds, list, named, rows, valued};
use super::numbers::Item;
use crate::trade::BowKind;
use crate::trade::words::{LengthAt, Marker, Stave, Symptom, Tips};

/// How archers say what is wrong.
const SYMPTOMS: &str = include_str!("lists/symptoms.txt");

/// What they say of the bow and the string.
const BOW: &str = include_str!("lists/bow.txt");

/// A part of the letter, and the bytes there.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Place {
    pub(super) read: usize,
    pub(super) start: usize,
    pub(super) end: usize,
}

impl Place {
    /// Where a row of items stands.
    fn of(read: usize, items: &[Item]) -> Option<Self> {
        Some(Self { read, start: items.first()?.start, end: items.last()?.end })
    }
}

/// A value and the words it was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Mention<T> {
    pub(super) value: T,
    pub(super) place: Place,
}

/// A measure that is called too much or too little.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Complaint {
    Long,
    Short,
    Low,
    High,
    Loose,
    Tight,
    Small,
    Large,
}

impl FromStr for Complaint {
    type Err = ();

    fn from_str(text: &str) -> Result<Self, ()> {
        Ok(match text {
            "long" => Self::Long,
            "short" => Self::Short,
            "low" => Self::Low,
            "high" => Self::High,
            "loose" => Self::Loose,
            "tight" => Self::Tight,
            "small" => Self::Small,
            "large" => Self::Large,
            _ => return Err(()),
        })
    }
}

/// Whether a clause speaks of this string, or supposes something.
struct Stance {
    elsewhere: Vec<Pattern>,
    this_one: Vec<Pattern>,
    supposed: Vec<Pattern>,
}

static STANCE: LazyLock<Stance> = LazyLock::new(|| {
    let [elsewhere, this_one, supposed] =
        ["elsewhere", "this-one", "supposed"].map(|name| named(SYMPTOMS, name));
    Stance { elsewhere, this_one, supposed }
});

impl Stance {
    /// Whether a clause tells of another bow or string.
    fn is_elsewhere(&self, items: &[Item]) -> bool {
        has_any(items, &self.elsewhere) && !has_any(items, &self.this_one)
    }

    /// Whether a clause supposes something.
    fn is_supposed(&self, items: &[Item]) -> bool {
        has_any(items, &self.supposed)
    }
}

/// What a complaint is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Thing {
    String,
    Brace,
    Serving,
    Loop,
    Nock,
    NockingPoint,
    Tag,
    Arrow,
    /// Something that is not the string's.
    Foreign,
}

/// Each with the list of the words for it.
const THINGS: [(&str, Thing); 9] = [
    ("thing nocking-point", Thing::NockingPoint),
    ("thing string", Thing::String),
    ("thing brace", Thing::Brace),
    ("thing serving", Thing::Serving),
    ("thing loop", Thing::Loop),
    ("thing nock", Thing::Nock),
    ("thing tag", Thing::Tag),
    ("thing arrow", Thing::Arrow),
    ("thing foreign", Thing::Foreign),
];

/// How what is wrong is said, made ready.
struct Sayings {
    /// Each with whether it is said with a denial itself: "will not fit".
    phrases: Vec<(Pattern, Symptom, bool)>,
    complaints: Vec<(Pattern, Complaint)>,
}

static SAYINGS: LazyLock<Sayings> = LazyLock::new(|| Sayings {
    phrases: rows(SYMPTOMS)
        .filter_map(|(name, pattern)| {
            let denies = pattern.split([' ', '|']).any(|word| holds("denials", word));
            Some((Pattern::new(pattern), name.parse().ok()?, denies))
        })
        .collect(),
    complaints: valued(SYMPTOMS, "measure"),
});

/// Looks for symptoms, sentence by sentence.
#[derive(Default)]
pub(super) struct Symptoms {
    /// The thing that was spoken of last.
    thing: Option<Thing>,
    /// Each once.
    pub(super) found: Vec<Mention<Symptom>>,
}

impl Symptoms {
    /// Reads a sentence.
    pub(super) fn read(&mut self, read: usize, sentence: &Sentence<'_>) {
        let mut found = Vec::new();
        for at in 0..sentence.items.len() {
            for (pattern, symptom, denies) in &SAYINGS.phrases {
                if let Some(end) = pattern.end_at(sentence.items, at)
                    && (*denies
                        || !has_word(sentence.items.get(at..end).unwrap_or_default(), list("denials")))
                {
                    found.push((at, end, *symptom));
                }
            }
            for (pattern, complaint) in &SAYINGS.complaints {
                if let Some(end) = pattern.end_at(sentence.items, at)
                    && let Some(symptom) = self.complaint_of(sentence, at, *complaint)
                {
                    found.push((at, end, symptom));
                }
            }
        }
        for (at, end, value) in found {
            if !self.found.iter().any(|held| held.value == value)
                && !is_denied(sentence, at, end)
                && !is_undone(sentence, value, at, end)
                && let Some(place) = Place::of(read, sentence.items.get(at..end).unwrap_or_default())
            {
                self.found.push(Mention { value, place });
            }
        }
        let last = sentence.items.iter().rev().find_map(thing_of);
        self.thing = last.or(self.thing.filter(|_| sentence.items.len() < 12));
    }

    /// What "too long" at `at` is said of, and which symptom that is.
    fn complaint_of(&self, sentence: &Sentence<'_>, at: usize, complaint: Complaint) -> Option<Symptom> {
        let clause = sentence.clauses.iter().position(|clause| clause.contains(&at))?;
        let own = sentence.clauses.get(clause)?.start;
        let words = sentence.items.get(own..at).unwrap_or_default();
        if has_word(words, &["am"]) {
            // "I am too short for it"
            return None;
        }
        if let Some(thing) = words.iter().rev().find_map(thing_of) {
            return symptom_of(thing, complaint);
        }
        // "The string arrived, but it is too long": the thing is further back.
        let has_pronoun = has_word(words, list("pronouns"));
        let earlier = sentence.items.get(..own).unwrap_or_default().iter().rev().find_map(thing_of);
        let is_bare = self.thing.is_none() && words.iter().filter(|item| item.word().is_some()).count() <= 2;
        if !(has_pronoun || is_bare || earlier.is_some()) {
            return None;
        }
        // A mail to a workshop of strings speaks of a string, if of nothing that can be so.
        let far = self.thing.filter(|_| has_pronoun);
        let thing = earlier.or(far).unwrap_or(Thing::String);
        let is_foreign = matches!(thing, Thing::Foreign | Thing::Arrow);
        let of_string = if is_foreign { None } else { symptom_of(Thing::String, complaint) };
        symptom_of(thing, complaint).or(of_string)
    }
}

fn thing_of(item: &Item) -> Option<Thing> {
    let word = item.word()?;
    THINGS.iter().find(|(words, _)| holds(words, word)).map(|(_, thing)| *thing)
}

fn symptom_of(thing: Thing, complaint: Complaint) -> Option<Symptom> {
    Some(match (thing, complaint) {
        (Thing::String, Complaint::Long | Complaint::Loose) => Symptom::TooLong,
        (Thing::String, Complaint::Short | Complaint::Tight) => Symptom::TooShort,
        (Thing::String | Thing::Brace, Complaint::Low)
        | (Thing::Brace, Complaint::Small | Complaint::Short) => Symptom::BraceLow,
        (Thing::String | Thing::Brace, Complaint::High) | (Thing::Brace, Complaint::Large) => {
            Symptom::BraceHigh
        }
        (Thing::Serving, Complaint::Low | Complaint::High) => Symptom::ServingPlace,
        (Thing::Serving, Complaint::Loose) => Symptom::ServingLoose,
        (Thing::Serving, Complaint::Tight) => Symptom::NockFit,
        (Thing::NockingPoint, Complaint::Low | Complaint::High | Complaint::Loose) => Symptom::NockingPoint,
        (Thing::Nock, Complaint::Loose | Complaint::Tight | Complaint::Small | Complaint::Large) => {
            Symptom::NockFit
        }
        (Thing::Arrow, Complaint::Loose | Complaint::Tight) => Symptom::NockFit,
        (Thing::Loop, Complaint::Low | Complaint::High) => return None,
        (Thing::Loop, _) => Symptom::LoopFit,
        (Thing::Tag, Complaint::Long | Complaint::Loose) => Symptom::LooseTags,
        _ => return None,
    })
}

/// A brace height that fell because turns were taken out, or rose by turns put in, is no
/// complaint.
fn is_undone(sentence: &Sentence<'_>, symptom: Symptom, at: usize, end: usize) -> bool {
    let words = sentence.items.get(at..end).unwrap_or_default();
    symptom == Symptom::BraceLow
        && has_word(words, list("moved"))
        && has_word(sentence.items, list("turning"))
}

fn is_denied(sentence: &Sentence<'_>, at: usize, end: usize) -> bool {
    let Some(index) = sentence.clauses.iter().position(|clause| clause.contains(&at)) else {
        return false;
    };
    let clause = sentence.clause(index);
    let start = sentence.clauses.get(index).map_or(0, |clause| clause.start);
    let before = sentence.items.get(start..at).unwrap_or_default();
    let behind: Vec<&Item> = sentence
        .items
        .get(end..)
        .unwrap_or_default()
        .iter()
        .take(6)
        .take_while(|item| {
            item.word().is_some_and(|word| !matches!(word, "but" | "and" | "so" | "with" | "because"))
        })
        .collect();
    // "Longer than my old one" is said of the new one.
    let compared = clause
        .iter()
        .position(|item| item.is_any(&["than", "as", "like", "compared"]))
        .unwrap_or(clause.len());
    if STANCE.is_elsewhere(clause.get(..compared).unwrap_or_default())
        || is_supposed(before)
        || is_asked(sentence, index)
        || denies(before)
        || has_word(tail(before, 6), list("averted"))
        || stand_together(before, "used", "to")
    {
        return true;
    }
    let is_called_well = behind.iter().any(|item| item.is_any(list("all-well")))
        && behind.iter().any(|item| {
            item.is_any(&["is", "are", "looks", "look", "seems", "seem", "was", "feels", "works"])
        })
        && !behind.iter().any(|item| item.is_any(&["not", "too"]));
    is_called_well || is_in_denied_list(sentence, index, before)
}

fn tail(items: &[Item], length: usize) -> &[Item] {
    items.get(items.len().saturating_sub(length)..).unwrap_or_default()
}

/// Whether one word stands right behind another.
fn stand_together(items: &[Item], first: &str, second: &str) -> bool {
    items.windows(2).any(|pair| matches!(pair, [a, b] if a.is_any(&[first]) && b.is_any(&[second])))
}

/// Supposed is what follows "if"; what follows "it would seem that" is not.
fn is_supposed(before: &[Item]) -> bool {
    STANCE.is_supposed(before)
        && (has_word(before, &["if", "unless", "suppose", "case"]) || !has_word(before, list("unsure")))
}

/// Whether a denial reaches to the end of `before`.
fn denies(before: &[Item]) -> bool {
    let near = tail(before, 7);
    let Some(last) = near.iter().rposition(|item| item.is_any(list("denials"))) else {
        return false;
    };
    let between = near.get(last + 1..).unwrap_or_default();
    if between.first().is_some_and(|item| item.is_any(&["only"])) {
        return false;
    }
    !has_word(between, list("stops")) || has_word(between, list("seeing"))
}

/// "No cuts, kinks or fuzz": the later parts of a list are denied with the first.
fn is_in_denied_list(sentence: &Sentence<'_>, index: usize, before: &[Item]) -> bool {
    if has_word(before, list("verbs")) {
        return false;
    }
    for earlier in (0..index).rev() {
        let items = sentence.clause(earlier);
        let begins_anew =
            items.first().is_some_and(|item| item.is_any(&["but", "however", "although", "though"]));
        if items.iter().any(|item| item.is_any(&["no", "without", "nor", "never", "neither", "not"])) {
            // "I have not shot it, fuzzy": only lists of things go on.
            let denial = items.iter().rposition(|item| item.is_any(list("denials"))).unwrap_or(0);
            let rest = items.get(denial..).unwrap_or_default();
            return !has_word(rest, &["i", "it", "the"])
                || rest.first().is_some_and(|item| item.is_any(&["no", "without"]));
        }
        if has_word(items, list("verbs")) || begins_anew {
            return false;
        }
    }
    false
}

/// Whether a clause asks whether something is so; "why is it so?" says that it is.
fn is_asked(sentence: &Sentence<'_>, index: usize) -> bool {
    if !sentence.is_question {
        return false;
    }
    let clause = sentence.clause(index);
    let first = clause.iter().find_map(Item::word).unwrap_or_default();
    let opens = holds("asking", first);
    let told = has_word(clause, &["why", "how", "because", "what", "that", "about"]);
    let has_words = |clause: &std::ops::Range<usize>| {
        sentence.items.get(clause.clone()).unwrap_or_default().iter().any(|item| item.word().is_some())
    };
    let is_single = sentence.clauses.iter().filter(|clause| has_words(clause)).count() <= 1;
    let begins_sentence = sentence.items.iter().find_map(Item::word).unwrap_or_default() == first;
    !told && (opens && (begins_sentence || is_single) || stand_together(clause, "or", "not"))
}

/// How the bow is spoken of, made ready.
struct BowWords {
    tips: Vec<(Pattern, Tips)>,
    staves: Vec<(Pattern, Stave)>,
    kinds: Vec<(Pattern, BowKind)>,
    markers: Vec<(Pattern, Marker)>,
    measured: Vec<(Pattern, LengthAt)>,
    range_unknown: Vec<(Pattern, ())>,
    as_told: Vec<(Pattern, ())>,
}

/// Patterns that stand for no value but that it was said.
fn plain(name: &str) -> Vec<(Pattern, ())> {
    named(BOW, name).into_iter().map(|pattern| (pattern, ())).collect()
}

static BOW_WORDS: LazyLock<BowWords> = LazyLock::new(|| BowWords {
    tips: valued(BOW, "tips"),
    staves: valued(BOW, "stave"),
    kinds: valued(BOW, "kind"),
    markers: valued(BOW, "marker"),
    measured: valued(BOW, "measured"),
    range_unknown: plain("range-unknown"),
    as_told: plain("as-told"),
});

/// What was found of the bow, and of how the string lies and was measured.
#[derive(Debug, Default)]
pub(super) struct Mentions {
    pub(super) tips: Vec<Mention<Tips>>,
    pub(super) staves: Vec<Mention<Stave>>,
    pub(super) kinds: Vec<Mention<BowKind>>,
    pub(super) markers: Vec<Mention<Marker>>,
    pub(super) measured: Vec<Mention<LengthAt>>,
    /// That nobody knows what the bow's maker gives.
    pub(super) range_unknown: Vec<Mention<()>>,
    /// That it was done as our letter told.
    pub(super) as_told: Vec<Mention<()>>,
    /// "laminated" alone, which may be of wood only.
    pub(super) laminated: Option<Place>,
    /// A takedown or a riser without its length.
    pub(super) takedown: Option<Place>,
}

impl Mentions {
    /// Reads a sentence.
    pub(super) fn read(&mut self, read: usize, sentence: &Sentence<'_>) {
        for clause in 0..sentence.clauses.len() {
            let items = sentence.clause(clause);
            // That somebody does not know it is the very thing that is looked for.
            if !STANCE.is_elsewhere(items) {
                collect(&mut self.range_unknown, &BOW_WORDS.range_unknown, read, items);
            }
            let first = items.iter().find_map(Item::word).unwrap_or_default();
            let is_asked = sentence.is_question && holds("asking-of-bow", first);
            // "Could you make a string for my longbow?" says what the bow is.
            if (is_asked && !has_word(items, &["for", "my"]))
                || STANCE.is_elsewhere(items)
                || STANCE.is_supposed(items)
            {
                continue;
            }
            collect(&mut self.as_told, &BOW_WORDS.as_told, read, items);
            collect(&mut self.tips, &BOW_WORDS.tips, read, items);
            collect(&mut self.staves, &BOW_WORDS.staves, read, items);
            collect(&mut self.kinds, &BOW_WORDS.kinds, read, items);
            collect(&mut self.markers, &BOW_WORDS.markers, read, items);
            collect(&mut self.measured, &BOW_WORDS.measured, read, items);
            let word = |words: &[&str]| {
                Place::of(read, std::slice::from_ref(items.iter().find(|item| item.is_any(words))?))
            };
            if !has_word(items, list("layers")) {
                self.laminated = self.laminated.or(word(&["laminated", "laminate"]));
            }
            self.takedown = self.takedown.or(word(&["takedown", "ilf", "riser"]));
        }
    }
}

/// The values of the longest patterns, from left to right.
fn collect<T: Copy>(found: &mut Vec<Mention<T>>, patterns: &[(Pattern, T)], read: usize, items: &[Item]) {
    let mut at = 0;
    while at < items.len() {
        let longest = patterns
            .iter()
            .filter_map(|(pattern, value)| pattern.end_at(items, at).map(|end| (end, *value)))
            .reduce(|best, next| if next.0 > best.0 { next } else { best });
        let Some((end, value)) = longest.filter(|(end, _)| *end > at) else {
            at += 1;
            continue;
        };
        let before = items.get(at.saturating_sub(3)..at).unwrap_or_default();
        // A denial that no pattern knows is left alone.
        if !has_word(before, &["not", "no", "never", "without", "nor"])
            && let Some(place) = Place::of(read, items.get(at..end).unwrap_or_default())
        {
            found.push(Mention { value, place });
        }
        at = end;
    }
}
