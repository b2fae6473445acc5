//! What things are called: yarns, verdicts, symptoms, standings, causes.

use crate::mechanics::twist::{TurnsKnown, Yarn};
use crate::trade::usual::UsualFrom;
use crate::trade::words::{Cause, Standing, Symptom, Verdict};

/// A yarn as people say it.
#[must_use]
pub const fn yarn_name(yarn: Yarn) -> &'static str {
    match yarn {
        Yarn::Polyester => "polyester",
        Yarn::Hmpe => "HMPE",
        Yarn::HmpeLcp => "HMPE/LCP blend",
        Yarn::Linen => "linen",
        Yarn::Unknown => "a yarn that is not on record",
    }
}

/// A verdict as one plain sentence; `free` where the archer pays nothing.
#[must_use]
pub const fn verdict_sentence(verdict: Verdict, free: bool) -> &'static str {
    match verdict {
        Verdict::Mend if !free => {
            "Serving or loop can be made good if the archer pays; the string itself is right."
        }
        Verdict::Remake if !free => "It can be made again if the archer pays.",
        Verdict::Reassure => "Nothing is wrong with this string.",
        Verdict::Ask => "One more measurement is needed.",
        Verdict::Adjust => "It can be put right on the bow.",
        Verdict::Mend => "Serving or loop is made good free; the string itself is right.",
        Verdict::Remake => "It is made again free.",
        Verdict::Refer => "This is for the bow's maker or a qualified bowyer.",
        Verdict::Stop => "This must not be shot.",
    }
}

/// A symptom as people say it.
#[must_use]
pub const fn symptom_name(symptom: Symptom) -> &'static str {
    match symptom {
        Symptom::BraceLow => "brace height too low",
        Symptom::BraceHigh => "brace height too high",
        Symptom::TooLong => "string too long",
        Symptom::TooShort => "string too short",
        Symptom::WillNotString => "the bow cannot be strung",
        Symptom::LooseTags => "loose tag ends",
        Symptom::ServingPlace => "serving in the wrong place",
        Symptom::ServingGap => "gap in the serving",
        Symptom::ServingLoose => "loose serving",
        Symptom::NockFit => "nock fit",
        Symptom::NockingPoint => "nocking point in the wrong place",
        Symptom::LoopFit => "loop fit",
        Symptom::Kinked => "kinked",
        Symptom::Fuzzy => "fuzzy",
        Symptom::Frayed => "cut fibres",
        Symptom::BrokenStrand => "broken strand",
        Symptom::Noisy => "noisy",
        Symptom::HandSlap => "string slap",
        Symptom::NotAsOrdered => "not as ordered",
        Symptom::DryFire => "dry fire",
        Symptom::BowDamage => "bow damaged",
        Symptom::Other => "something else",
    }
}

/// Where a report stands, as people say it.
#[must_use]
pub const fn standing_name(standing: Standing) -> &'static str {
    match standing {
        Standing::ToAnswer => "our turn to answer",
        Standing::WithArcher => "the archer's turn",
        Standing::OnBench => "the replacement is being made",
        Standing::InPost => "the replacement is on its way",
        Standing::Settled => "closed",
    }
}

/// A cause as people say it.
#[must_use]
pub const fn cause_name(cause: Cause) -> &'static str {
    match cause {
        Cause::Workshop => "built off what was ordered",
        Cause::Sizing => "ordered in the wrong length for this bow",
        Cause::Settling => "settling of a new string",
        Cause::Handling => "handling",
        Cause::Cosmetic => "cosmetic",
        Cause::Bow => "the bow",
        Cause::YarnChoice => "yarn that does not suit the bow",
        Cause::Unknown => "not known yet",
    }
}

/// How the turns in a string are known.
pub(super) const fn known_how(known: TurnsKnown) -> &'static str {
    match known {
        TurnsKnown::Shipped => "recorded when it left the workshop",
        TurnsKnown::Counted => "counted on the body",
        TurnsKnown::Guessed => "not recorded, so the workshop's usual number is taken",
    }
}

/// Where the workshop's usual turns come from, after "usually 24".
#[must_use]
pub fn usual_by(from: UsualFrom) -> String {
    match from {
        UsualFrom::Setting => "as it is set".to_owned(),
        UsualFrom::Table => "by the table, none of this yarn is on record".to_owned(),
        UsualFrom::Recorded { of_make, of_yarn, per_inch } => format!(
            "{per_inch:.2} an inch by {}",
            match (of_make, of_yarn) {
                (0, 1) => "one string of this yarn on record".to_owned(),
                (0, n) => format!("{n} strings of this yarn on record"),
                (1, _) => "one string of this make on record".to_owned(),
                (n, _) => format!("{n} strings of this make on record"),
            }
        ),
    }
}
