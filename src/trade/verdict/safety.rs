//! Rules of safety: they come before everything else.

use super::Situation;
use crate::mechanics::twist::{TurnsKnown, Yarn};
use crate::trade::advice::{Advice, Caution, Reason};
use crate::trade::signs::{Sign, SignOf};
use crate::trade::tender::{may_be_tender, tender_bow};
use crate::trade::words::{Ask, Cause, Photo, Symptom, Verdict};

/// Danger comes before all else, and stands until its report is settled. Method V01.
pub(super) fn danger(s: &Situation<'_>) -> Option<Advice> {
    // Danger said in an earlier report stands until that report is settled.
    let dangers = Symptom::ALL.iter().copied().filter(|symptom| symptom.is_danger());
    let found: Vec<Symptom> = dangers.filter(|symptom| s.has_open(*symptom)).collect();
    let photo = s.known.photo == Some(Photo::Damaged);
    if found.is_empty() && !photo {
        return None;
    }
    let bow_alone = found == [Symptom::BowDamage];
    let mut advice = Advice::new(Verdict::Stop, if bow_alone { Cause::Bow } else { Cause::Unknown });
    advice.reasons.extend(found.into_iter().map(|symptom| Reason::Danger { symptom }));
    if photo {
        advice.reasons.push(Reason::PhotoShowsDamage);
    }
    if !bow_alone {
        s.add_remake(&mut advice, s.polyester_if_tender());
    }
    Some(advice)
}

/// A string that holds less than the floor is never shot, turned or strung. Method T14.
pub(super) fn too_weak(s: &Situation<'_>) -> Option<Advice> {
    let strength = s.strength();
    let sum = strength.below()?;
    let mut advice = Advice::new(Verdict::Stop, Cause::Workshop);
    advice.reasons.push(Reason::TooWeak { sum: sum.clone() });
    s.add_remake(&mut advice, s.polyester_if_tender());
    Some(advice)
}

/// Fewer turns than half of the least, and a laid-in splice may slip. Method V12.
pub(super) fn splice_may_slip(s: &Situation<'_>) -> Option<Advice> {
    let turns = s.known.turns_now;
    let least = s.known.build.window.min;
    if turns.turns >= f64::from(least) / 2.0 {
        return None;
    }
    let reason = Reason::SpliceMaySlip { turns: turns.turns.max(0.0), least, known: turns.known };
    if turns.known == TurnsKnown::Guessed {
        let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
        advice.ask = vec![Ask::TurnsCount];
        advice.reasons.push(reason);
        return Some(advice);
    }
    let cause = if s.known.turns_changed < 0.0 { Cause::Handling } else { Cause::Workshop };
    let mut advice = Advice::new(Verdict::Stop, cause);
    advice.reasons.push(reason);
    s.add_remake(&mut advice, s.polyester_if_tender());
    Some(advice)
}

/// Low-stretch yarn on plain tips, on a stave of wood alone or on an old bow. Method V13.
pub(super) fn low_stretch_on_tender_bow(s: &Situation<'_>) -> Option<Advice> {
    let (yarn, bow) = (s.case.subject.string.yarn, s.case.subject.bow);
    if !yarn.is_low_stretch() || bow.maker_allows_low_stretch {
        return None;
    }
    if let Some(why) = tender_bow(bow, s.case.today, s.case.subject.rules) {
        let mut advice = Advice::new(Verdict::Stop, Cause::YarnChoice);
        advice.reasons.push(Reason::LowStretchOnTenderBow { yarn, why });
        s.add_remake(&mut advice, Yarn::Polyester);
        return Some(advice);
    }
    if may_be_tender(bow) {
        let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
        advice.ask = vec![Ask::Tips, Ask::Stave, Ask::BowYear];
        advice.reasons.push(Reason::LowStretchBowUnknown { yarn });
        advice.cautions.push(Caution::DoNotShoot);
        return Some(advice);
    }
    None
}

pub(super) fn trouble_with_the_bow(s: &Situation<'_>) -> Option<Advice> {
    let signs: Vec<String> = s
        .open_reports()
        .flat_map(|report| &report.signs)
        .filter(|sign| sign.is_for_bowyer())
        .map(|sign| sign.sign.words.clone())
        .collect();
    if signs.is_empty() {
        return None;
    }
    let mut advice = Advice::new(Verdict::Refer, Cause::Bow);
    advice.reasons.push(Reason::BowSigns { signs });
    advice.cautions.push(Caution::DoNotShoot);
    Some(advice)
}

/// Words that may speak of danger are cleared up before anything else is said, and before the bow
/// is strung again. Methods V01 and V27.
pub(super) fn may_be_danger(s: &Situation<'_>) -> Option<Advice> {
    let asked: Vec<&Sign> = s
        .open_reports()
        .flat_map(|report| &report.signs)
        .filter(|sign| sign.is_asked())
        .map(|sign| &sign.sign)
        // A photo of the string shows its strands; of the bow or of a shot it shows nothing.
        .filter(|sign| sign.of != SignOf::String || s.known.photo.is_none())
        .collect();
    if asked.is_empty() {
        return None;
    }
    let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
    for (of, ask) in [
        (SignOf::String, Ask::StringSound),
        (SignOf::Bow, Ask::BowSound),
        (SignOf::Shot, Ask::ShotWithoutArrow),
    ] {
        let signs: Vec<String> =
            asked.iter().filter(|sign| sign.of == of).map(|sign| sign.words.clone()).collect();
        if !signs.is_empty() {
            advice.ask.push(ask);
            advice.reasons.push(Reason::SpeaksOfDanger { of, signs });
        }
    }
    advice.cautions.push(Caution::DoNotShoot);
    Some(advice)
}
