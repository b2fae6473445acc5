//! What a mail seems to say, as it is shown.

use chrono::NaiveDate;
use serde::Serialize;

use super::ReadMail;
use crate::mail::{Fact, Found};
use crate::quantity::LengthRange;
use crate::trade::signs::{Sign, SignOf};
use crate::trade::words::MailKind;

/// Something read out of a mail, with the words it was taken from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadLine {
    /// What it is, as the option that takes it.
    pub what: &'static str,
    /// Its value, lengths in inches.
    pub value: serde_json::Value,
    /// The words it was taken from.
    pub words: String,
    /// Where these stand in the text: first byte, and the one after the last; nowhere if they stand in
    /// the subject or in what was passed on.
    #[serde(skip)]
    pub place: Option<(usize, usize)>,
    /// How likely it is that it is so.
    #[serde(skip)]
    pub chance: f64,
}

/// What a mail seems to say; nothing of it is logged yet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MailView {
    /// Sender's name.
    pub from: Option<String>,
    /// Sender's address.
    pub address: Option<String>,
    /// Subject.
    pub subject: Option<String>,
    /// Day of sending.
    pub sent_on: Option<NaiveDate>,
    /// Attachments, none of which is read.
    pub attachments: usize,
    /// What is new in it.
    pub text: String,
    /// What sort of mail it seems to be.
    pub kind: MailKind,
    /// Whether it opens a report: a complaint, an answer, or a sign of danger.
    pub is_case: bool,
    /// The string it is about.
    pub string: Option<String>,
    /// Why that one, or why none.
    pub found_by: String,
    /// Strings it could be about.
    pub candidates: Vec<String>,
    /// Symptoms.
    pub symptoms: Vec<ReadLine>,
    /// Measurements and facts of the bow that are sure.
    pub read: Vec<ReadLine>,
    /// The sender's address is none that the book has of the string's archer.
    pub new_address: bool,
    /// What is likely and is noted only when somebody says so; of one thing the likeliest first.
    pub likely: Vec<ReadLine>,
    /// The day on which the sender was forgotten, if that is so.
    pub forgotten_on: Option<NaiveDate>,
    /// Words that may speak of trouble with the bow.
    pub bow_signs: Vec<String>,
    /// Words that may speak of damage to the string or of a shot without an arrow.
    pub damage_signs: Vec<String>,
    /// Every sign of danger.
    pub signs: Vec<Sign>,
    /// Kinds of danger that a question of ours asked about and that were plainly denied.
    pub denied: Vec<SignOf>,
    /// What is doubtful and is asked back, never logged.
    pub questions: Vec<String>,
    /// That the strings it names are of two archers, who may be one.
    pub two_archers: Option<String>,
    /// What it says of each of the strings that it is about, where they are several.
    pub each: Vec<EachString>,
    /// The open report of the string, with which it goes on.
    pub goes_on: Option<String>,
    /// The report that holds this very message already.
    pub held_by: Option<String>,
    /// The report it was logged as.
    pub report: Option<String>,
    /// The reports it was logged as, where it is about several strings.
    pub reports: Vec<String>,
}

/// What a mail says of one of several strings.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EachString {
    /// Its serial.
    pub string: String,
    /// Symptoms.
    pub symptoms: Vec<ReadLine>,
    /// What is sure.
    pub read: Vec<ReadLine>,
    /// What is likely, or said of none of them in particular.
    pub likely: Vec<ReadLine>,
    /// What is doubtful and is asked back.
    pub questions: Vec<String>,
}

impl From<&ReadMail> for EachString {
    fn from(read: &ReadMail) -> Self {
        let view = read.view.clone();
        Self {
            string: view.string.unwrap_or_default(),
            symptoms: view.symptoms,
            read: view.read,
            likely: view.likely,
            questions: view.questions,
        }
    }
}

/// A likely value is taken with the others by one press where it is likelier than not.
const LIKELIER_THAN_NOT: f64 = 0.5;

impl MailView {
    /// It says that the string fits now, and nothing that may be danger.
    #[must_use]
    pub fn says_fits(&self) -> bool {
        self.kind == MailKind::Fits && self.signs.is_empty()
    }

    /// What one press takes of what is likely: of each thing the likeliest value, where it is
    /// likelier than not. A range is the archer's wish or the bow maker's, not both.
    #[must_use]
    pub fn likeliest(&self) -> Vec<&ReadLine> {
        let thing = |line: &ReadLine| if line.what == "brace-range" { "want" } else { line.what };
        let mut taken: Vec<&ReadLine> = Vec::new();
        for line in self.likely.iter().filter(|line| line.chance >= LIKELIER_THAN_NOT) {
            if !self.read.iter().chain(taken.iter().copied()).any(|held| thing(held) == thing(line)) {
                taken.push(line);
            }
        }
        // A count of readings goes with the height that is their mean, and with no other.
        let is_taken =
            |line: &ReadLine| taken.iter().any(|held| held.what == "brace" && held.place == line.place);
        taken.iter().copied().filter(|line| line.what != "readings" || is_taken(line)).collect()
    }
}

/// A fact that was read, as it is shown.
pub(super) fn line(found: &Found<Fact>) -> ReadLine {
    use serde_json::json;
    let ends = |range: LengthRange| json!([range.low().inches(), range.high().inches()]);
    let (what, value) = match found.value {
        Fact::Brace(length) => ("brace", json!(length.inches())),
        Fact::Readings(count) => ("readings", json!(count)),
        Fact::Want(range) => ("want", ends(range)),
        Fact::MakerRange(range) => ("brace-range", ends(range)),
        Fact::RangeUnknown => ("brace-range", json!("unknown")),
        Fact::StringLength(length) => ("length", json!(length.inches())),
        Fact::LengthAt(at) => ("at", json!(at.as_str())),
        Fact::Turns(turns) => ("turns-changed", json!(turns.value())),
        Fact::Shots(count) => ("shots", json!(count)),
        Fact::Marker(marker) => ("marker", json!(marker.as_str())),
        Fact::BowKind(kind) => ("bow-kind", json!(kind.as_str())),
        Fact::BowLength(length) => ("marked", json!(length.inches())),
        Fact::NockToNock(length) => ("nock-to-nock", json!(length.inches())),
        Fact::DrawWeight(weight) => ("weight", json!(weight.pounds())),
        Fact::Tips(tips) => ("tips", json!(tips.as_str())),
        Fact::Stave(stave) => ("stave", json!(stave.as_str())),
        Fact::BowYear(year) => ("bow-year", json!(year)),
    };
    ReadLine { what, value, words: found.words.clone(), place: found.place, chance: found.chance }
}
