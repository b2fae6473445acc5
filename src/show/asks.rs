//! What an archer is asked for: its name, how it is taken, and the option that takes the answer.

use crate::quantity::Unit;
use crate::trade::advice::{Caution, Reason};
use crate::trade::words::Ask;

/// A measurement's name, as the subject of a sentence.
#[must_use]
pub const fn ask_name(ask: Ask) -> &'static str {
    match ask {
        Ask::Brace => "the brace height",
        Ask::BraceAgain => "the brace height taken three times",
        Ask::StringLength => "the string's length off the bow",
        Ask::TurnsCount => "a count of the turns on the string",
        Ask::TurnsMade => "the turns put in or taken out since it came",
        Ask::Fades => "four measures on the strung bow",
        Ask::WhichWayUp => "which end is up",
        Ask::Shots => "the number of shots so far",
        Ask::BowKind => "the kind of bow",
        Ask::Tips => "whether the tips are reinforced",
        Ask::Stave => "whether the bow is of wood alone",
        Ask::BowYear => "the year the bow was made",
        Ask::BraceRange => "the bow maker's brace height range",
        Ask::Photo => "a photo",
        Ask::StringSound => "whether the string is sound",
        Ask::BowSound => "whether the bow is sound",
        Ask::ShotWithoutArrow => "whether it was shot without an arrow",
    }
}

/// An instruction in the unit of whoever measures.
fn in_unit(instruction: &str, unit: Unit) -> String {
    let (step, stretch) = match unit {
        Unit::Inch => ("1/16 inch or millimetre", "12 inches (30 cm)"),
        Unit::Cm | Unit::Mm => ("millimetre", "30 cm"),
    };
    instruction.replace("{step}", step).replace("{stretch}", stretch)
}

/// How the archer takes a measurement.
const fn ask_instruction(ask: Ask) -> &'static str {
    match ask {
        Ask::Brace => {
            "With the bow strung, please measure three times from the string straight to the deepest point of the grip (not to the back of the bow and not to the arrow shelf), square to the string, and write all three down to the nearest {step}."
        }
        Ask::BraceAgain => {
            "Please measure the brace height three times, unstringing and restringing with a stringer in between: from the string straight to the deepest point of the grip, square to the string. Write all three down."
        }
        Ask::StringLength => {
            "Please take the string off with a stringer, hang one loop over a nail or hook, pull the string tight by hand, and measure from the outside of one loop to the outside of the other. Say that it was hand-tight, and please add the bow's marked length if there is one (for a bow with stiff ears: the length of an old string that fits, measured in the same way)."
        }
        Ask::TurnsCount => {
            "Please count on the strung bow, between serving and splice, how often one colour comes to the front over {stretch} of bare string. Count one colour only: two plies show two crossings for each full turn."
        }
        Ask::TurnsMade => "How many full turns in all were put in or taken out since the string came?",
        Ask::Fades => {
            "With the bow strung, please take four measures: (1) the free string, between the points where it first touches the limbs; (2) the distance between the two ends of the stiff middle part of the bow, where the limbs begin to bend (0 if the bow bends through the grip: then (3) and (4) are measured at and from the middle of the grip); (3) from the string straight to the belly of the bow at each of these two ends, plus half the limb's thickness there; the mean of both; (4) along one limb from there to the nock."
        }
        Ask::WhichWayUp => {
            "Is the larger loop, the one with the marker, on the upper limb? And how far above or below the middle of the string is the middle of the serving?"
        }
        Ask::Shots => "About how many arrows have been shot with this string?",
        Ask::BowKind => {
            "What kind of bow is it: does it bend through the grip, has it a stiff handle, are the limbs recurved, has it a long riser or stiff ears? A photo from the side tells it too."
        }
        Ask::Tips => {
            "Are the limb tips reinforced (an overlay of horn, glass or hard wood under the string loops), or plain? A photo of one tip tells it too. Please do not shoot until we have answered."
        }
        Ask::Stave => {
            "Is the bow of wood alone, or are the limbs backed or faced with glass, carbon or horn?"
        }
        Ask::BowYear => "About when was the bow made?",
        Ask::BraceRange => {
            "Which brace height, from what to what, does the bow's maker give for this bow? It stands on the limb, in the papers or on the maker's page; the maker will also tell it."
        }
        Ask::Photo => {
            "Please send a photo of the place in question, sharp and close, and one of the whole strung bow from the side."
        }
        Ask::StringSound => {
            "The string, from loop to loop and at the edges of the serving: is any strand or fibre broken, cut, burnt or worn thin, or is a loop or splice coming apart?"
        }
        Ask::BowSound => {
            "The bow, tips and handle included: is there a crack, a splinter, a lifted edge or layer, or a line or wrinkle across a limb, does it make a noise when drawn, or does it bend otherwise than before?"
        }
        Ask::ShotWithoutArrow => {
            "Was it ever shot without an arrow on the string, or did an arrow or a nock break or fall off as it was loosed?"
        }
    }
}

/// How an archer measures whose bow could not be strung: nothing for which it would have to be.
#[must_use]
const fn ask_unstrung(ask: Ask) -> &'static str {
    match ask {
        Ask::StringLength => {
            "Please measure the string off the bow: hang one loop over a nail or hook, pull the string tight by hand, and measure from the outside of one loop to the outside of the other. Say that it was hand-tight, and please add the bow's marked length if there is one (for a bow with stiff ears: the length of an old string that fits, measured in the same way)."
        }
        Ask::TurnsCount => {
            "Please hang the string up by one loop, pull it tight by hand, and count between serving and splice how often one colour comes to the front over {stretch} of bare string. Count one colour only: two plies show two crossings for each full turn."
        }
        Ask::WhichWayUp => {
            "Did you try to put the larger loop, the one with the marker, on the upper limb? It belongs there; the smaller one goes on the lower nock."
        }
        Ask::Photo => {
            "Please send a photo of the unstrung bow from the side with the string laid along it, and one of each loop, sharp and close."
        }
        Ask::Brace | Ask::BraceAgain => {
            "Once the bow is strung, and only if the string went on without force, please measure from the string straight to the deepest point of the grip (not to the back of the bow and not to the arrow shelf), square to the string, and write it down to the nearest {step}."
        }
        _ => ask_instruction(ask),
    }
}

/// How a measurement is taken in this very case: with a bow that cannot be strung nothing is asked
/// for which it would have to be, and a range that is on record is not asked for once more where
/// only the bow's maker can say what is allowed beyond it.
#[must_use]
pub fn ask_here(ask: Ask, reasons: &[Reason], cautions: &[Caution], unit: Unit) -> String {
    let of_the_maker =
        |reason: &Reason| matches!(reason, Reason::MakerDecides { .. } | Reason::ReadingDecides { .. });
    let instruction = match ask {
        Ask::BraceRange if reasons.iter().any(of_the_maker) => ASK_OF_THE_MAKER,
        Ask::TurnsMade if reasons.iter().any(|reason| matches!(reason, Reason::TurnsNotTold { .. })) => {
            TURNS_SINCE_OUR_LETTER
        }
        _ if cautions.contains(&Caution::NeverForce) => ask_unstrung(ask),
        Ask::BraceAgain if reasons.contains(&Reason::ReadByStrip) => ASK_WITH_A_RULER,
        _ => ask_instruction(ask),
    };
    in_unit(instruction, unit)
}

/// The questions on danger, which are asked before a bow is strung.
#[must_use]
pub fn asked_of_danger() -> Vec<String> {
    ASKED_OF_DANGER.iter().map(|ask| ask_instruction(*ask).to_owned()).collect()
}

/// What must be known of an arrow's nock that does not fit the serving.
pub const FIT_OF_THE_NOCK: &str = "Does the arrow's nock sit too tight or too loose on the serving? Which nock is it (its kind, or how wide its throat is), and by how much: does it fall off by itself, come off when the string is tapped, or have to be pressed on?";

/// What must be known of a loop that does not fit its nock.
pub const FIT_OF_A_LOOP: &str = "Is the loop too tight or too loose? On which nock, the upper or the lower, and by how much: how far is it from sitting fully in the nock, or how far does it slide down the limb?";

/// What is asked where the brace height stands above what the bow's maker gives by so little that only
/// the maker can say whether it is allowed.
const ASK_OF_THE_MAKER: &str = "Please ask the bow's maker whether the brace height that you read is right for this bow as well, or what the highest is that the bow may be shot at, and tell us what you hear.";

/// What is asked where a letter told to turn and the reading after it says nothing of that.
const TURNS_SINCE_OUR_LETTER: &str = "How many full turns in all did you put in or take out after our letter (write 0 if there were no turns), and did you read the brace height after them or before?";

/// What is asked where the brace height was read by paper strip: its error stays, however often it is read.
const ASK_WITH_A_RULER: &str = "Please measure the brace height three times with a ruler, not with the paper strip, unstringing and restringing with a stringer in between: from the string straight to the deepest point of the grip, square to the string. Write all three down.";

/// What is asked before a bow is strung, and nothing for which it is strung: each with a yes or no.
const ASKED_OF_DANGER: [Ask; 3] = [Ask::StringSound, Ask::BowSound, Ask::ShotWithoutArrow];

/// The option of `reading add` that takes the answer to a request.
#[must_use]
pub const fn ask_option(ask: Ask) -> &'static str {
    match ask {
        Ask::Brace => "--brace",
        Ask::BraceAgain => "--readings",
        Ask::StringLength => "--length",
        Ask::TurnsCount => "--turns-counted",
        Ask::TurnsMade => "--turns-changed",
        Ask::Fades => "--free-string",
        Ask::WhichWayUp => "--marker",
        Ask::Shots => "--shots",
        Ask::BowKind => "--bow-kind",
        Ask::Tips => "--tips",
        Ask::Stave => "--stave",
        Ask::BowYear => "--bow-year",
        Ask::BraceRange => "--brace-range",
        Ask::Photo => "--photo",
        Ask::StringSound | Ask::BowSound | Ask::ShotWithoutArrow => "--text",
    }
}
