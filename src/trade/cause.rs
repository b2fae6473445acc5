//! What a report probably was, proposed from the evidence when it is settled.

use serde::{Deserialize, Serialize};

use super::known::Known;
use super::records::{Report, SoldString};
use super::rules::Rules;
use super::words::{Cause, Outcome, Symptom, Verdict};
use crate::mechanics::twist::TurnsKnown;
use crate::quantity::Length;

/// Why a cause is proposed. Lengths in inches.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[allow(missing_docs, reason = "the line of each variant says what its numbers are")]
pub enum Evidence {
    /// Built off what was ordered beyond tolerance.
    BuiltOff { built: f64, ordered: f64 },
    /// The right length lies off what was ordered.
    RightLengthOff { right: f64, ordered: f64 },
    /// The right length is what was ordered.
    RightLengthAsOrdered { right: f64 },
    /// The right length; nobody knows what was ordered.
    RightLengthAlone { right: f64 },
    /// It was shot without an arrow.
    DryFired,
    /// It was on upside down.
    UpsideDown,
    /// More turns were counted than it left with.
    TurnedByAccident { counted: f64, built: f64 },
    /// It read low by what new strings grow.
    Grew,
    /// Tags or fuzz.
    Looks,
    /// The yarn on this bow.
    Yarn,
    /// The bow itself.
    TheBow,
    /// Serving or loop.
    Serving,
    /// Nothing shows it.
    Nothing,
}

/// What the last verdict on a report said, as far as later steps depend on it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LastVerdict {
    /// The verdict.
    pub verdict: Verdict,
    /// The string was to be turned end for end.
    pub flip: bool,
    /// What it probably was; absent where another version of the program had another word for it.
    pub likely_cause: Option<Cause>,
    /// It said how long a new string would be.
    pub length_known: bool,
    /// What is made is free; absent where nothing is, and before there were terms.
    pub free: Option<bool>,
}

impl LastVerdict {
    /// A new string is promised: one that the archer would have to pay is not before they ask for it.
    #[must_use]
    pub const fn promises(&self) -> bool {
        !matches!(self.free, Some(false))
            && match self.verdict {
                Verdict::Remake => true,
                Verdict::Stop => self.length_known,
                _ => false,
            }
    }
}

/// Smallest error of the ordered length that counts as one, inches: half a rounding step and
/// the doubt of a reading (judgement, no source). Method V16.
const SIZING_ERROR: f64 = 0.125;

/// Whether a right length shows that another was ordered, inches. Method V16.
fn is_sized_wrong(right: f64, ordered: f64) -> bool {
    (right - ordered).abs() >= SIZING_ERROR - 1e-9
}

/// Whether a length was built off the ordered one beyond tolerance, inches. Method V20.
fn is_off(built: f64, built_sd: f64, ordered: f64, rules: &Rules) -> bool {
    (built - ordered).abs() > rules.build_tolerance.hypot(built_sd) + 1e-9
}

/// Built length and ordered length of a string, inches, where they differ beyond tolerance and the
/// built one is on record or was measured. Method V20.
#[must_use]
pub fn built_off(string: &SoldString, known: &Known, rules: &Rules) -> Option<(f64, f64)> {
    if string.built.is_none() && known.length_measured.is_none() {
        return None;
    }
    let (built, ordered) = (known.build.length, string.ordered?.inches());
    is_off(built, known.build.length_sd, ordered, rules).then_some((built, ordered))
}

/// The cause that an old report's right length shows, of which nothing else is known. Method V16.
#[must_use]
pub fn of_old_report(string: &SoldString, right_length: Option<Length>, rules: &Rules) -> Cause {
    let Some((right, ordered)) = right_length.zip(string.ordered) else { return Cause::Unknown };
    let ordered = ordered.inches();
    match right.inches() {
        _ if string.built.is_some_and(|built| is_off(built.inches(), 0.0, ordered, rules)) => Cause::Workshop,
        right if is_sized_wrong(right, ordered) => Cause::Sizing,
        _ => Cause::Unknown,
    }
}

/// The cause that the evidence proposes, with its reason. Method V16.
#[must_use]
pub fn propose(
    string: &SoldString,
    report: &Report,
    known: Option<&Known>,
    last: Option<&LastVerdict>,
    right_length: Option<f64>,
    rules: &Rules,
) -> (Cause, Evidence) {
    let has = |symptom: Symptom| report.symptoms.contains(&symptom);
    if last.is_some_and(|last| last.likely_cause == Some(Cause::YarnChoice)) {
        return (Cause::YarnChoice, Evidence::Yarn);
    }
    if report.is_for_bowyer() || report.says(Symptom::BowDamage) {
        return (Cause::Bow, Evidence::TheBow);
    }
    if report.says(Symptom::DryFire) {
        return (Cause::Handling, Evidence::DryFired);
    }
    if last.is_some_and(|last| last.flip)
        || known.is_some_and(|known| known.marker == super::words::Marker::Down)
        || report.was_turned_round()
    {
        return (Cause::Handling, Evidence::UpsideDown);
    }
    if let (Some(known), Some(built)) = (known, string.turns)
        && known.turns_now.known == TurnsKnown::Counted
        && known.build.turns.turns - built.value() > 4.0 + known.build.turns.sd
    {
        return (
            Cause::Handling,
            Evidence::TurnedByAccident { counted: known.build.turns.turns, built: built.value() },
        );
    }
    // A count far off the record stands beside it, and says the same.
    if let Some((record, counted)) = known.and_then(|known| known.count_against_record)
        && counted - record > 4.0
    {
        return (Cause::Handling, Evidence::TurnedByAccident { counted, built: record });
    }
    if let Some((built, ordered)) = known.and_then(|known| built_off(string, known, rules)) {
        return (Cause::Workshop, Evidence::BuiltOff { built, ordered });
    }
    if last.is_some_and(|last| last.likely_cause == Some(Cause::Settling)) {
        return (Cause::Settling, Evidence::Grew);
    }
    let fit = report.symptoms.iter().any(|symptom| symptom.is_fit() || symptom.is_fit_with_reading());
    if let Some(right) = right_length.filter(|_| fit) {
        let Some(ordered) = string.ordered.map(Length::inches) else {
            return (Cause::Unknown, Evidence::RightLengthAlone { right });
        };
        return if is_sized_wrong(right, ordered) {
            (Cause::Sizing, Evidence::RightLengthOff { right, ordered })
        } else {
            (Cause::Unknown, Evidence::RightLengthAsOrdered { right })
        };
    }
    if [Symptom::ServingGap, Symptom::ServingLoose, Symptom::NockFit, Symptom::LoopFit].into_iter().any(has) {
        return (Cause::Workshop, Evidence::Serving);
    }
    if has(Symptom::LooseTags) || has(Symptom::Fuzzy) {
        return (Cause::Cosmetic, Evidence::Looks);
    }
    (Cause::Unknown, Evidence::Nothing)
}

/// How a report ended, from what was done for it: `turned` where the archer turned the string, or
/// was told to and wrote no more.
#[must_use]
pub fn outcome_of(verdict: Option<Verdict>, remade: bool, turned: bool) -> Outcome {
    if remade {
        return Outcome::Remade;
    }
    match verdict {
        Some(Verdict::Adjust) if turned => Outcome::Adjusted,
        // The last verdict after turning is that all is well.
        Some(Verdict::Reassure) if turned => Outcome::Adjusted,
        Some(Verdict::Reassure) => Outcome::Reassured,
        Some(Verdict::Mend) => Outcome::Mended,
        Some(Verdict::Refer | Verdict::Stop) => Outcome::Referred,
        // Advised, and nothing is known to have come of it.
        Some(Verdict::Adjust | Verdict::Ask | Verdict::Remake) | None => Outcome::Unfinished,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_done_says_how_it_ended() {
        assert_eq!(outcome_of(Some(Verdict::Adjust), true, true), Outcome::Remade);
        assert_eq!(outcome_of(Some(Verdict::Reassure), false, true), Outcome::Adjusted);
        assert_eq!(outcome_of(Some(Verdict::Reassure), false, false), Outcome::Reassured);
        assert_eq!(outcome_of(Some(Verdict::Remake), false, false), Outcome::Unfinished);
        assert_eq!(outcome_of(Some(Verdict::Adjust), false, true), Outcome::Adjusted);
        assert_eq!(outcome_of(Some(Verdict::Adjust), false, false), Outcome::Unfinished);
        assert_eq!(outcome_of(None, false, false), Outcome::Unfinished);
    }
}
