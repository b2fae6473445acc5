//! Words of an archer's text that speak of trouble with the bow, or may speak of damage to the
//! string.
//!
//! They are a net under the reading of symptoms: what it catches is looked at by a person before
//! anything is called all right or a bow is strung. So it rather catches too much.

use std::collections::BTreeSet;

/// Words that speak of the bow and not of the string (trade-facts: hinge, tiller, limb twist,
/// creaks, cracks and splinters go to the bowyer).
const OF_THE_BOW: [&str; 17] = [
    "tiller",
    "limb twist",
    "twisted limb",
    "limb is twisted",
    "limb has twisted",
    "limb is bent",
    "bent limb",
    "tip twists",
    "creak",
    "ticking",
    "hinge",
    "crack",
    "hairline",
    "splinter",
    "delaminat",
    "lifted a layer",
    "layer has lifted",
];

/// Words that may speak of damage, where the same sentence speaks of the string (judgement).
const OF_DAMAGE: [&str; 28] = [
    "cut",
    "nick",
    "nicked",
    "severed",
    "snapped",
    "torn",
    "popped",
    "parted",
    "damaged",
    "damage",
    "fracture",
    "broken",
    "broke",
    "breaking",
    "burst",
    "failure",
    "failing",
    "slipping",
    "separating",
    "unravelling",
    "unraveling",
    "coming apart",
    "comes apart",
    "came apart",
    "falling apart",
    "pulling out",
    "pulled out",
    "worn through",
];

/// Words that may speak of a shot without an arrow, or of a part that gave way (judgement).
const OF_A_MISHAP: [&str; 12] = [
    "no arrow",
    "without an arrow",
    "without any arrow",
    "without arrow",
    "with nothing on the string",
    "arrow fell off",
    "arrow slipped off",
    "arrow broke",
    "nock broke",
    "gave way",
    "let go of the string",
    "lost a nock",
];

/// What makes a sentence one about the string itself.
const STRING: [&str; 12] = [
    "string",
    "bowstring",
    "strand",
    "strands",
    "fibre",
    "fibres",
    "fiber",
    "fibers",
    "thread",
    "threads",
    "loop",
    "splice",
];

/// What a served part or an arrow does is no damage to the strands.
const NO_DAMAGE_TO_A_SERVING: [&str; 8] = [
    "slipping",
    "separating",
    "unravelling",
    "unraveling",
    "coming apart",
    "comes apart",
    "came apart",
    "pulled out",
];
const NO_DAMAGE_OF_A_NOCK: [&str; 3] = ["popped", "snapped", "slipping"];

/// "no cracks", "without a creak", "could break" say the opposite, or nothing yet.
const DENIALS: [&str; 12] = [
    "no ", "not ", "without ", "never ", "n't ", "nothing ", "could ", "might ", "would ", "avoid ",
    "prevent ", "before ",
];

/// Signs found in a text, those of the bow first.
#[must_use]
pub fn signs(text: &str) -> Vec<String> {
    let text = text.to_lowercase();
    let of_bow =
        OF_THE_BOW.iter().filter(|sign| text.match_indices(*sign).any(|(at, _)| !is_denied(&text, at)));
    let mut found: Vec<String> = of_bow.map(|sign| (*sign).to_owned()).collect();
    for sentence in text.split(['.', '!', '?', ';', '\n']) {
        let words: Vec<&str> = sentence.split(|c: char| !c.is_alphanumeric() && c != '\'').collect();
        let speaks_of = |wanted: &[&str]| words.iter().any(|word| wanted.contains(word));
        let says = |sign: &str| whole_words(sentence, sign).any(|at| !is_denied(sentence, at));
        // "No arrow stays on the string" speaks of how nocks fit.
        if !speaks_of(&["fit", "fits", "stay", "stays", "snap", "snaps", "loose", "tight", "never"]) {
            found.extend(OF_A_MISHAP.iter().filter(|sign| says(sign)).map(|sign| (*sign).to_owned()));
        }
        let nothing = ["no strand", "no fibre", "no fiber", "no thread"];
        let all_sound = speaks_of(&["nothing", "none"]) || nothing.iter().any(|no| sentence.contains(no));
        if !speaks_of(&STRING) || all_sound {
            continue;
        }
        let excused = |sign: &str| {
            (speaks_of(&["serving"]) && NO_DAMAGE_TO_A_SERVING.contains(&sign))
                || (speaks_of(&["nock", "nocks", "arrow", "arrows"]) && NO_DAMAGE_OF_A_NOCK.contains(&sign))
                // A string is cut to a length in the making, and broken in by shooting.
                || (sign == "cut" && speaks_of(&["length", "long", "short", "longer", "shorter", "to", "off"]))
                || (sign == "broken" && sentence.contains("broken in"))
        };
        let damage = OF_DAMAGE.iter().filter(|sign| !excused(sign) && says(sign));
        found.extend(damage.map(|sign| (*sign).to_owned()));
    }
    let mut seen = BTreeSet::new();
    found.retain(|sign| seen.insert(sign.clone()));
    found
}

/// Whether a sign speaks of the bow; else it may speak of damage to the string.
#[must_use]
pub fn is_of_bow(sign: &str) -> bool {
    OF_THE_BOW.contains(&sign)
}

/// Places of whole words in a text.
fn whole_words<'a>(text: &'a str, wanted: &'a str) -> impl Iterator<Item = usize> + 'a {
    let inside = |c: char| c.is_alphanumeric();
    text.match_indices(wanted)
        .map(|(at, _)| at)
        .filter(move |at| !text[..*at].ends_with(inside) && !text[at + wanted.len()..].starts_with(inside))
}

fn is_denied(text: &str, at: usize) -> bool {
    let before: String = text[..at].chars().rev().take(12).collect::<Vec<_>>().into_iter().rev().collect();
    DENIALS.iter().any(|no| before.contains(no))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_of_the_bow_are_found_and_denials_are_not() {
        assert_eq!(signs("The limb has twisted and it Creaks at full draw"), ["limb has twisted", "creak"]);
        assert_eq!(signs("I see a hairline in the upper limb"), ["hairline"]);
        assert!(signs("no cracks that I can see").is_empty());
        assert!(signs("Tiller").iter().all(|sign| is_of_bow(sign)));
    }

    #[test]
    fn what_may_be_damage_to_the_string_is_caught() {
        for (text, sign) in [
            ("The strands at the serving are cut a little.", "cut"),
            ("I have cut one strand with a broadhead", "cut"),
            ("The splice is slipping", "slipping"),
            ("A thread popped when I drew", "popped"),
            ("A few fibres are broken", "broken"),
            ("there is a nick in the string", "nick"),
            ("strand failure at the serving", "failure"),
            ("The strands are separating", "separating"),
            ("the string is damaged by the arrow point", "damaged"),
            ("The loop is pulling out", "pulling out"),
            ("The upper loop is coming apart", "coming apart"),
            ("The string gave way at the loop", "gave way"),
            ("My son let go of the string. Can we shoot?", "let go of the string"),
            ("The arrow fell off the rest as I released, big bang", "arrow fell off"),
            ("my finger slipped with nothing on the string", "with nothing on the string"),
        ] {
            let found = signs(text);
            assert_eq!(found, [sign], "{text}");
            assert!(!is_of_bow(&found[0]));
        }
    }

    #[test]
    fn a_sign_is_told_once_however_often_it_is_said() {
        assert_eq!(
            signs("There was no arrow. Really no arrow! A strand is cut. The strand is cut."),
            ["no arrow", "cut"]
        );
    }

    #[test]
    fn ordinary_talk_of_strings_is_not_caught() {
        for text in [
            "The string was cut too short",
            "Was it cut to length?",
            "The arrow nock popped off the string",
            "The serving of the string is coming apart",
            "Nothing on the string is broken",
            "I do not want the string to break before I shoot",
            "Once the string has broken in it is fine",
            "The brace height is too low",
            "my circuit cutter broke",
            "The nock is so thin that no arrow stays on the string",
            "I never let go of the string",
            "No strand is cut, but it hums",
            "None of the strands near the serving is broken",
        ] {
            assert_eq!(signs(text), [""; 0], "{text}");
        }
    }
}
