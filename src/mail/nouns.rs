//! What the words right behind a number say it counts or measures.

use super::numbers::{Item, Number, Shape};
use super::phrases::has_word;
use super::units::Measured;

/// What a number is by the noun that follows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Role {
    /// Nothing follows that decides it.
    Open,
    Turns,
    /// Half turns or crossings.
    HalfTurns,
    Shots,
    DrawWeight,
    BowLength,
    /// Said before "string", which can be the length of the string or of the bow it is for.
    StringOrBow,
    Readings,
    Year,
    Decade,
    /// Years of age of the bow.
    Age,
    /// The length of a riser.
    Riser,
    /// Something the workshop does not ask for.
    Other,
}

/// Words between a number and its noun.
const BETWEEN: &[&str] = &[
    "full",
    "complete",
    "more",
    "extra",
    "additional",
    "further",
    "whole",
    "single",
    "other",
    "test",
    "practice",
    "good",
    "of",
    "hand",
];

const TURNS: &[&str] =
    &["turn", "turns", "twist", "twists", "rotation", "rotations", "revolution", "revolutions", "turnings"];

const SHOTS: &[&str] = &["shots", "shot", "arrows", "arrow", "shoots"];

/// Words that show that arrows were shot and not bought.
const SHOOTING: &[&str] = &[
    "shot", "shoot", "shooting", "shots", "after", "since", "fired", "loosed", "through", "sent", "flung",
    "put",
];

pub(super) const BOWS: &[&str] = &[
    "bow", "recurve", "longbow", "selfbow", "flatbow", "takedown", "horsebow", "hybrid", "bows", "hunter",
    "stick", "warbow",
];

/// Words that may stand between a length and the bow.
const BOW_WORDS: &[&str] = &[
    "amo",
    "long",
    "tall",
    "take",
    "down",
    "td",
    "wooden",
    "wood",
    "fiberglass",
    "fibreglass",
    "glass",
    "carbon",
    "one",
    "piece",
    "traditional",
    "trad",
    "hunting",
    "field",
    "old",
    "vintage",
    "laminated",
    "osage",
    "yew",
    "ash",
    "hickory",
    "bamboo",
    "elm",
    "maple",
    "american",
    "english",
    "hill",
    "style",
    "d",
    "section",
    "reflex",
    "deflex",
    "my",
    "inch",
    "target",
    "ilf",
    "olympic",
    "barebow",
    "custom",
    "selfmade",
    "working",
    "flat",
    "self",
    "marked",
];

const OTHERS: &[&str] = &[
    "strand",
    "strands",
    "st",
    "str",
    "ply",
    "plies",
    "bundle",
    "bundles",
    "string",
    "strings",
    "day",
    "days",
    "week",
    "weeks",
    "month",
    "months",
    "hour",
    "hours",
    "hr",
    "hrs",
    "minute",
    "minutes",
    "min",
    "mins",
    "second",
    "seconds",
    "yard",
    "yards",
    "yd",
    "yds",
    "people",
    "archers",
    "kids",
    "members",
    "percent",
    "grain",
    "grains",
    "gr",
    "gn",
    "gpp",
    "fps",
    "spine",
    "point",
    "points",
    "pack",
    "packs",
    "pcs",
    "piece",
    "pieces",
    "set",
    "sets",
    "photo",
    "photos",
    "picture",
    "pictures",
    "degrees",
    "degree",
    "c",
    "f",
    "km",
    "miles",
    "mph",
    "ends",
    "end",
    "rounds",
    "round",
    "targets",
    "target",
    "stars",
    "ounces",
    "oz",
    "g",
    "gram",
    "grams",
    "x",
    "nd",
    "rd",
    "d",
    "bows",
    "limbs",
    "brothers",
    "friends",
    "others",
    "mails",
    "emails",
    "letters",
    "sessions",
    "evenings",
    "mornings",
    "paces",
    "steps",
    "strips",
    "silencers",
    "puffs",
    "loops",
    "nocks",
];

/// Words that make pounds the pull of a stretcher and not of a bow.
const LOADS: &[&str] = &[
    "load",
    "loaded",
    "tension",
    "tensioned",
    "jig",
    "stretcher",
    "stretched",
    "stretching",
    "winch",
    "under",
    "pull",
    "pulled",
    "hung",
    "weight",
    "weigh",
    "weighs",
];

/// What the number at `at` is, in the clause whose items are `clause`, by its nouns.
pub(super) fn role(items: &[Item], at: usize, clause: &[Item]) -> Role {
    let Some(number) = items.get(at).and_then(Item::number) else {
        return Role::Other;
    };
    let behind = items.get(at + 1..).unwrap_or_default();
    if let Some(role) = weight(items, at, number, clause) {
        return role;
    }
    if let Some(role) = age(number, behind) {
        return role;
    }
    let skipped = behind.iter().take(3).take_while(|item| item.is_any(BETWEEN)).count();
    let is_end_to_end = behind.first().is_some_and(|next| next.is_any(&["end"]))
        && behind.get(1).is_some_and(|next| next.is_any(&["to"]));
    let noun = behind
        .get(skipped)
        .filter(|_| !is_end_to_end)
        .filter(|_| !behind.first().is_some_and(|next| next.is_any(&["of"])));
    if number.unit.is_none() {
        if let Some(role) = noun.and_then(|noun| count(noun, behind.get(skipped + 1), clause)) {
            return role;
        }
    } else if noun.is_some_and(|noun| noun.is_any(&["riser", "handle"])) {
        return Role::Riser;
    }
    if number.unit == Some(Measured::Metre) && number.value.size > 3.0 {
        return Role::Other;
    }
    let is_tall = behind.first().is_some_and(|next| next.is_any(&["tall"]))
        && !behind.get(1).is_some_and(|next| next.is_any(BOWS));
    if is_tall
        || behind.first().is_some_and(|next| {
            next.is_any(&["draw", "drawlength", "arrows", "arrow", "shaft", "shafts", "limbs"])
        })
    {
        return Role::Other;
    }
    if number.unit.is_none_or(Measured::is_length) {
        length(behind, number.unit.is_some())
    } else {
        Role::Other
    }
}

fn weight(items: &[Item], at: usize, number: &Number, clause: &[Item]) -> Option<Role> {
    let is_marked = at.checked_sub(1).and_then(|at| items.get(at)).is_some_and(|item| item.is_mark('#'));
    let behind = items.get(at + 1..).unwrap_or_default();
    let is_at = number.unit.is_none()
        && behind.first().is_some_and(|next| next.is_mark('@'))
        && behind.get(1).is_some_and(|next| next.number().is_some());
    let is_force = number.unit.is_some_and(|unit| !unit.is_length());
    if !(is_force || is_at || (is_marked && number.unit.is_none())) {
        return None;
    }
    let says_draw = has_word(clause, &["draw*", "bow", "recurve", "longbow", "selfbow", "poundage", "pulls"]);
    let is_load = has_word(clause, LOADS) && !says_draw;
    Some(if is_load || behind.first().is_some_and(|next| next.is_any(&["load", "tension", "pull"])) {
        Role::Other
    } else {
        Role::DrawWeight
    })
}

fn age(number: &Number, behind: &[Item]) -> Option<Role> {
    let is_year = number.value.shape == Shape::Whole
        && number.unit.is_none()
        && number.value.written.len() == 4
        && (1850.0..2100.0).contains(&number.value.size);
    let next = behind.first();
    let is_plural = next.is_some_and(|next| next.is_any(&["s"]))
        || (next.is_some_and(|next| next.is_mark('\''))
            && behind.get(1).is_some_and(|next| next.is_any(&["s"])));
    if is_plural && (is_year || number.value.size % 10.0 == 0.0) {
        return Some(Role::Decade);
    }
    if number.unit.is_none() && next.is_some_and(|next| next.is_any(&["year", "years", "yr", "yrs", "yo"])) {
        let is_age = next.is_some_and(|next| next.is_any(&["yo"]))
            || behind.get(1).is_some_and(|next| next.is_any(&["old"]));
        return Some(if is_age { Role::Age } else { Role::Other });
    }
    is_year.then_some(if number.high.is_some() { Role::Decade } else { Role::Year })
}

fn count(noun: &Item, next: Option<&Item>, clause: &[Item]) -> Option<Role> {
    if noun.is_any(TURNS) {
        return Some(Role::Turns);
    }
    if noun.is_any(&["crossing", "crossings", "halfturns", "halftwists"])
        || (noun.is_any(&["half"]) && next.is_some_and(|next| next.is_any(TURNS)))
    {
        return Some(Role::HalfTurns);
    }
    if noun.is_any(&["quarter", "quarters"]) {
        return Some(Role::Other);
    }
    if noun.is_any(&["shots", "shoots"])
        || (noun.is_any(SHOTS)
            && (has_word(clause, SHOOTING)
                || has_word(clause, &["session", "practice"])
                || next.is_some_and(|next| next.is_any(&["on"]))))
    {
        return Some(Role::Shots);
    }
    if noun.is_any(SHOTS) {
        return Some(Role::Other);
    }
    if noun.is_any(&["times", "readings", "measurements", "measures", "time"]) {
        return Some(Role::Readings);
    }
    if noun.is_any(&["riser"]) {
        return Some(Role::Riser);
    }
    let is_string = noun.is_any(&["string", "bowstring"]);
    (noun.is_any(OTHERS) && !is_string).then_some(Role::Other)
}

/// A length before "bow", before "string", or neither.
fn length(behind: &[Item], has_unit: bool) -> Role {
    let skipped = behind.iter().take(4).take_while(|item| item.is_any(BOW_WORDS)).count();
    let noun = behind.get(skipped);
    let next = behind.get(skipped + 1);
    let is_string =
        |item: Option<&Item>| item.is_some_and(|item| item.is_any(&["string", "bowstring", "strings"]));
    let says_amo = behind.iter().take(skipped).any(|item| item.is_any(&["amo"]));
    // 66" 45#, as it is written on bows.
    let is_before_weight = has_unit
        && behind
            .iter()
            .find(|item| !item.is_mark('/') && !item.is_mark(','))
            .and_then(Item::number)
            .is_some_and(|next| next.unit.is_some_and(|unit| !unit.is_length()));
    if says_amo || is_before_weight {
        return Role::BowLength;
    }
    if is_string(noun) {
        return Role::StringOrBow;
    }
    let is_person =
        next.is_some_and(|next| next.is_any(&["maker", "makers", "builder", "shop", "company", "weight"]));
    // "… 1575 mm, bow 1650 mm": the noun is the label of what follows.
    let is_label = next.is_some_and(|next| {
        next.is_mark(':')
            || next.is_mark('=')
            || next.number().is_some_and(|number| number.unit.is_some_and(Measured::is_length))
    });
    if noun.is_some_and(|noun| noun.is_any(BOWS)) && !is_person && !is_label {
        return if is_string(next) { Role::StringOrBow } else { Role::BowLength };
    }
    Role::Open
}
