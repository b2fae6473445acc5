//! What an archer complains of.

use std::sync::LazyLock;

use super::clauses::Sentence;
use super::numbers::{Item, What};
use super::patterns::{Pattern, has_any, has_word, named, rows};
use crate::trade::words::Symptom;

/// How archers say what is wrong.
pub(super) const LIST: &str = include_str!("lists/symptoms.txt");

/// What stands before a measure that is called too much or too little.
const MEASURE: &str = "measure ";

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

impl Complaint {
    const ALL: [(&str, Self); 8] = [
        ("long", Self::Long),
        ("short", Self::Short),
        ("low", Self::Low),
        ("high", Self::High),
        ("loose", Self::Loose),
        ("tight", Self::Tight),
        ("small", Self::Small),
        ("large", Self::Large),
    ];
}

/// Whether a clause speaks of this string, or supposes something.
pub(super) struct Stance {
    elsewhere: Vec<Pattern>,
    this_one: Vec<Pattern>,
    supposed: Vec<Pattern>,
}

static STANCE: LazyLock<Stance> = LazyLock::new(|| {
    let [elsewhere, this_one, supposed] = ["elsewhere", "this-one", "supposed"].map(|name| named(LIST, name));
    Stance { elsewhere, this_one, supposed }
});

impl Stance {
    /// The one there is.
    pub(super) fn known() -> &'static Self {
        &STANCE
    }

    /// Whether a clause tells of another bow or string.
    pub(super) fn is_elsewhere(&self, items: &[Item]) -> bool {
        has_any(items, &self.elsewhere) && !has_any(items, &self.this_one)
    }

    /// Whether a clause supposes something.
    pub(super) fn is_supposed(&self, items: &[Item]) -> bool {
        has_any(items, &self.supposed)
    }
}

/// A symptom and the words it was taken from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Sign {
    pub(super) symptom: Symptom,
    /// The part of the letter, and the bytes there.
    pub(super) read: usize,
    pub(super) start: usize,
    pub(super) end: usize,
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

const THINGS: &[(&[&str], Thing)] = &[
    (&["nockset", "nocksets", "nocking", "nockpoint"], Thing::NockingPoint),
    (&["string", "strings", "bowstring"], Thing::String),
    (&["brace", "bracing", "braced", "fistmele", "height", "bh"], Thing::Brace),
    (&["serving", "servings"], Thing::Serving),
    (&["loop", "loops", "eye", "eyes"], Thing::Loop),
    (&["nock", "nocks"], Thing::Nock),
    (&["tag", "tags", "tail", "tails", "ends"], Thing::Tag),
    (&["arrow", "arrows"], Thing::Arrow),
    (
        &[
            "bow",
            "limb",
            "limbs",
            "took",
            "takes",
            "take",
            "taking",
            "delivery",
            "wait",
            "waiting",
            "waited",
            "shipping",
            "post",
            "letter",
            "mail",
            "email",
            "time",
            "shot",
            "shots",
            "shoot",
            "shooting",
            "price",
            "draw",
            "weight",
            "poundage",
            "riser",
            "grip",
            "volume",
            "spine",
            "session",
            "stringer",
            "tab",
            "glove",
            "armguard",
            "tiller",
            "temperature",
            "days",
            "weeks",
            "life",
            "range",
            "distance",
            "nail",
            "text",
            "message",
            "story",
            "marker",
            "temperatures",
            "noise",
            "pressure",
        ],
        Thing::Foreign,
    ),
];

/// Words that deny what follows.
const DENIALS: &[&str] = &[
    "no", "not", "never", "without", "none", "nothing", "neither", "nor", "hardly", "zero", "free", "barely",
];

/// Words after which a denial no longer reaches, unless one only says or sees.
const STOPS: &[&str] = &["it", "i", "they", "string", "bow", "we", "because"];

const SEEING: &[&str] = &[
    "think", "believe", "see", "feel", "notice", "had", "find", "say", "mean", "found", "seen", "noticed",
    "have", "call", "felt",
];

/// Words that say that something did not come to pass.
const AVERTED: &[&str] = &[
    "avoid", "avoids", "prevent", "prevents", "worried", "afraid", "scared", "fear", "hope", "hoping",
    "stopped", "stops", "longer", "less", "risk", "danger", "case", "rid", "careful", "instead",
];

const ALL_WELL: &[&str] = &[
    "fine",
    "ok",
    "okay",
    "good",
    "perfect",
    "perfectly",
    "great",
    "gone",
    "solved",
    "fixed",
    "normal",
    "excellent",
    "disappeared",
    "nice",
    "correct",
    "right",
    "beautiful",
    "clean",
    "well",
    "minimal",
];

/// Verbs that end a list of things that are denied.
const VERBS: &[&str] = &[
    "is", "are", "was", "were", "has", "have", "had", "does", "do", "did", "it", "i", "can", "will", "the",
    "my",
];

/// Looks for symptoms, sentence by sentence.
pub(super) struct Symptoms {
    /// Each with whether it is said with a denial itself: "will not fit".
    phrases: Vec<(Pattern, Symptom, bool)>,
    complaints: Vec<(Pattern, Complaint)>,
    stance: &'static Stance,
    /// The thing that was spoken of last.
    thing: Option<Thing>,
    pub(super) signs: Vec<Sign>,
}

impl Symptoms {
    pub(super) fn new() -> Self {
        Self {
            phrases: rows(LIST)
                .filter_map(|(name, pattern)| {
                    let denies = pattern.split([' ', '|']).any(|word| DENIALS.contains(&word));
                    Some((Pattern::new(pattern), name.parse().ok()?, denies))
                })
                .collect(),
            complaints: rows(LIST)
                .filter_map(|(name, pattern)| {
                    let name = name.strip_prefix(MEASURE)?;
                    let (_, complaint) = Complaint::ALL.into_iter().find(|(held, _)| *held == name)?;
                    Some((Pattern::new(pattern), complaint))
                })
                .collect(),
            stance: Stance::known(),
            thing: None,
            signs: Vec::new(),
        }
    }

    /// Reads a sentence.
    pub(super) fn read(&mut self, read: usize, sentence: &Sentence<'_>) {
        let mut found = Vec::new();
        for at in 0..sentence.items.len() {
            for (pattern, symptom, denies) in &self.phrases {
                if let Some(end) = pattern.end_at(sentence.items, at)
                    && (*denies || !has_word(sentence.items.get(at..end).unwrap_or_default(), DENIALS))
                {
                    found.push((at, end, *symptom));
                }
            }
            for (pattern, complaint) in &self.complaints {
                if let Some(end) = pattern.end_at(sentence.items, at)
                    && let Some(symptom) = self.complaint_of(sentence, at, *complaint)
                {
                    found.push((at, end, symptom));
                }
            }
        }
        for (at, end, symptom) in found {
            if !is_denied(sentence, self.stance, at, end) && !is_undone(sentence, symptom, at, end) {
                self.push(read, sentence, at, end, symptom);
            }
        }
        let last = sentence.items.iter().rev().find_map(thing_of);
        self.thing = last.or(self.thing.filter(|_| sentence.items.len() < 12));
    }

    fn push(&mut self, read: usize, sentence: &Sentence<'_>, at: usize, end: usize, symptom: Symptom) {
        let (Some(first), Some(last)) =
            (sentence.items.get(at), end.checked_sub(1).and_then(|last| sentence.items.get(last)))
        else {
            return;
        };
        if !self.signs.iter().any(|sign| sign.symptom == symptom) {
            self.signs.push(Sign { symptom, read, start: first.start, end: last.end });
        }
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
        let has_pronoun = has_word(words, &["it", "this", "that", "which", "is", "was"]);
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
    THINGS.iter().find(|(words, _)| item.is_any(words)).map(|(_, thing)| *thing)
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
    let moves = has_word(words, &["dropped", "drops", "fell", "fallen", "sank", "down"]);
    symptom == Symptom::BraceLow
        && moves
        && has_word(sentence.items, &["turns", "twists", "untwist*", "rotations", "out"])
}

fn is_denied(sentence: &Sentence<'_>, stance: &Stance, at: usize, end: usize) -> bool {
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
    if stance.is_elsewhere(clause.get(..compared).unwrap_or_default()) || is_supposed(stance, before) {
        return true;
    }
    if is_asked(sentence, index) {
        return true;
    }
    if denies(before) || has_word(tail(before, 6), AVERTED) || has_used_to(before) {
        return true;
    }
    let is_called_well = behind.iter().any(|item| item.is_any(ALL_WELL))
        && behind.iter().any(|item| {
            item.is_any(&["is", "are", "looks", "look", "seems", "seem", "was", "feels", "works"])
        })
        && !behind.iter().any(|item| item.is_any(&["not", "too"]));
    is_called_well || is_in_denied_list(sentence, index, before)
}

fn tail(items: &[Item], length: usize) -> &[Item] {
    items.get(items.len().saturating_sub(length)..).unwrap_or_default()
}

fn has_used_to(before: &[Item]) -> bool {
    before.windows(2).any(|pair| {
        pair.first().is_some_and(|item| item.is_any(&["used"]))
            && pair.last().is_some_and(|item| item.is_any(&["to"]))
    })
}

/// Supposed is what follows "if"; what follows "it would seem that" is not.
fn is_supposed(stance: &Stance, before: &[Item]) -> bool {
    let is_unsure =
        has_word(before, &["might", "could", "may", "sure", "wonder", "wondering", "certain", "know"]);
    stance.is_supposed(before) && (has_word(before, &["if", "unless", "suppose", "case"]) || !is_unsure)
}

/// Whether a denial reaches to the end of `before`.
fn denies(before: &[Item]) -> bool {
    let near = tail(before, 7);
    let Some(last) = near.iter().rposition(|item| item.is_any(DENIALS)) else {
        return false;
    };
    let between = near.get(last + 1..).unwrap_or_default();
    if between.first().is_some_and(|item| item.is_any(&["only"])) {
        return false;
    }
    !has_word(between, STOPS) || has_word(between, SEEING)
}

/// "No cuts, kinks or fuzz": the later parts of a list are denied with the first.
fn is_in_denied_list(sentence: &Sentence<'_>, index: usize, before: &[Item]) -> bool {
    if has_word(before, VERBS) {
        return false;
    }
    for earlier in (0..index).rev() {
        let items = sentence.clause(earlier);
        let begins_anew =
            items.first().is_some_and(|item| item.is_any(&["but", "however", "although", "though"]));
        if items.iter().any(|item| item.is_any(&["no", "without", "nor", "never", "neither", "not"])) {
            // "I have not shot it, fuzzy": only lists of things go on.
            let denial = items.iter().rposition(|item| item.is_any(DENIALS)).unwrap_or(0);
            let rest = items.get(denial..).unwrap_or_default();
            return !has_word(rest, &["i", "it", "the"])
                || rest.first().is_some_and(|item| item.is_any(&["no", "without"]));
        }
        if has_word(items, VERBS) || begins_anew {
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
    let opens = matches!(
        first,
        "is" | "are"
            | "does"
            | "do"
            | "should"
            | "would"
            | "was"
            | "did"
            | "had"
            | "has"
            | "have"
            | "will"
            | "can"
            | "could"
    );
    let told = has_word(clause, &["why", "how", "because", "what", "that", "about"]);
    let is_single = sentence.clauses.iter().filter(|clause| has_words(sentence, clause)).count() <= 1;
    let begins_sentence = sentence.items.iter().find_map(Item::word).unwrap_or_default() == first;
    (opens && !told && (begins_sentence || is_single)) || (has_or_not(clause) && !told)
}

fn has_words(sentence: &Sentence<'_>, clause: &std::ops::Range<usize>) -> bool {
    sentence
        .items
        .get(clause.clone())
        .unwrap_or_default()
        .iter()
        .any(|item| matches!(item.what, What::Word(_)))
}

fn has_or_not(clause: &[Item]) -> bool {
    clause.windows(2).any(|pair| {
        pair.first().is_some_and(|item| item.is_any(&["or"]))
            && pair.last().is_some_and(|item| item.is_any(&["not"]))
    })
}
