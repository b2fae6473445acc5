//! Signs of danger in what an archer wrote, typed when they are stored: a changed word list never
//! changes an old report.

use serde::{Deserialize, Serialize};

use super::words::Symptom;
use crate::words;

words! {
    /// What a sign of danger speaks of.
    SignOf, "kind of sign" {
        /// Damage to the string.
        String = "string",
        /// Trouble with the bow.
        Bow = "bow",
        /// A shot without an arrow.
        Shot = "shot",
    }
}

words! {
    /// Where the words of a sign stand.
    StandsIn, "part of a message" {
        /// The subject line.
        Subject = "subject",
        /// The archer's own words.
        Message = "message",
        /// A part that was passed on.
        Forwarded = "forwarded",
        /// An answer under a question of ours.
        Answer = "answer",
    }
}

words! {
    /// What has become of a sign.
    SignStanding, "standing of a sign" {
        /// Nobody has said anything of it.
        Open = "open",
        /// Somebody read the words: no danger is meant.
        CalledOff = "called-off",
        /// Somebody read the words: it is so.
        Confirmed = "confirmed",
        /// The archer answered our question about it with a plain no.
        Answered = "answered",
    }
}

/// A sign of danger that was read in a text.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Sign {
    /// What it speaks of.
    pub of: SignOf,
    /// It is stated as an event; else it is asked about.
    pub sure: bool,
    /// The words.
    pub words: String,
    /// Where they stand.
    pub stands_in: StandsIn,
}

impl Sign {
    /// A sign that is asked about.
    #[must_use]
    pub fn asked(of: SignOf, words: &str, stands_in: StandsIn) -> Self {
        Self { of, sure: false, words: words.to_owned(), stands_in }
    }

    /// What the archer complains of by a sign that is so.
    #[must_use]
    pub const fn symptom(&self) -> Symptom {
        match self.of {
            SignOf::String => Symptom::BrokenStrand,
            SignOf::Bow => Symptom::BowDamage,
            SignOf::Shot => Symptom::DryFire,
        }
    }
}

/// A sign as a report keeps it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ReportSign {
    /// Its number in the report, from 1.
    pub number: u32,
    /// What was read.
    #[serde(flatten)]
    pub sign: Sign,
    /// What has become of it.
    pub standing: SignStanding,
}

impl ReportSign {
    /// Nobody has said anything of it.
    #[must_use]
    pub fn is_open(&self) -> bool {
        self.standing == SignStanding::Open
    }

    /// It has to be asked about before a bow is strung.
    #[must_use]
    pub fn is_asked(&self) -> bool {
        self.is_open() && !self.sign.sure
    }

    /// It is a danger until somebody says otherwise: it was stated as an event, or confirmed.
    #[must_use]
    pub fn danger(&self) -> Option<Symptom> {
        let stated = self.is_open() && self.sign.sure;
        // A doubtful word of the bow that somebody confirmed is for a bowyer; it need not be damage.
        let confirmed =
            self.standing == SignStanding::Confirmed && (self.sign.sure || self.sign.of != SignOf::Bow);
        (stated || confirmed).then(|| self.sign.symptom())
    }

    /// Somebody confirmed that the bow has trouble, without the words stating damage.
    #[must_use]
    pub fn is_for_bowyer(&self) -> bool {
        self.standing == SignStanding::Confirmed && self.sign.of == SignOf::Bow && !self.sign.sure
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sign(of: SignOf, sure: bool, standing: SignStanding) -> ReportSign {
        let sign = Sign { of, sure, words: "words".to_owned(), stands_in: StandsIn::Message };
        ReportSign { number: 1, sign, standing }
    }

    #[test]
    fn what_a_sign_is_follows_from_how_it_was_said_and_who_looked_at_it() {
        use SignStanding::{Answered, CalledOff, Confirmed, Open};
        let cases = [
            (SignOf::String, true, Open, Some(Symptom::BrokenStrand), false, false),
            (SignOf::Shot, false, Open, None, true, false),
            (SignOf::Shot, false, Confirmed, Some(Symptom::DryFire), false, false),
            (SignOf::Bow, true, Open, Some(Symptom::BowDamage), false, false),
            (SignOf::Bow, false, Open, None, true, false),
            (SignOf::Bow, false, Confirmed, None, false, true),
            (SignOf::Bow, true, Confirmed, Some(Symptom::BowDamage), false, false),
            (SignOf::Bow, true, CalledOff, None, false, false),
            (SignOf::String, true, Answered, None, false, false),
        ];
        for (of, sure, standing, danger, asked, for_bowyer) in cases {
            let sign = sign(of, sure, standing);
            let got = (sign.danger(), sign.is_asked(), sign.is_for_bowyer());
            assert_eq!(got, (danger, asked, for_bowyer), "{sign:?}");
        }
    }
}
