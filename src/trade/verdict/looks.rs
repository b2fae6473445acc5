//! Rules of looks: what is cosmetic, and which end is up.

use super::Situation;
use crate::mechanics::twist::TurnsKnown;
use crate::trade::advice::{Advice, Reason, STRINGING_CAUTIONS, TURNING_CAUTIONS};
use crate::trade::words::{Ask, Cause, Marker, Photo, Symptom, Verdict};

pub(super) fn cosmetic(s: &Situation<'_>) -> Option<Advice> {
    // Another string than the one that was ordered is made again whatever the brace height reads.
    let another = s.has(Symptom::NotAsOrdered) && s.known.photo == Some(Photo::Differs);
    if another && !s.is_unstrung() && s.known.marker != Marker::Down {
        let mut advice = Advice::new(Verdict::Remake, Cause::Workshop);
        advice.reasons.push(Reason::NotAsOrdered);
        s.add_remake(&mut advice, s.case.subject.string.yarn);
        return Some(advice);
    }
    if s.is_about_fit() || s.asks_which_way_up() || s.known.marker == Marker::Down {
        return None;
    }
    let made_good = [Symptom::ServingGap, Symptom::ServingLoose, Symptom::NockFit, Symptom::LoopFit];
    let mend: Vec<Symptom> = made_good.into_iter().filter(|symptom| s.has(*symptom)).collect();
    if !mend.is_empty() {
        let mut advice = Advice::new(Verdict::Mend, Cause::Workshop);
        advice.reasons.extend(mend.into_iter().map(|symptom| Reason::MadeGood { symptom }));
        return Some(advice);
    }
    if s.has(Symptom::NotAsOrdered) {
        let mut advice = match s.known.photo {
            Some(_) => {
                let mut advice = Advice::new(Verdict::Reassure, Cause::Unknown);
                advice.reasons.push(Reason::PhotoSound);
                advice
            }
            None => {
                let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
                advice.ask = vec![Ask::Photo];
                advice
            }
        };
        advice.reasons.insert(0, Reason::NotAsOrdered);
        return Some(advice);
    }
    if s.has(Symptom::Kinked) {
        let (now, window) = (s.known.turns_now, s.known.build.window);
        let over = (now.turns - f64::from(window.max)).ceil();
        let mut advice = if now.known != TurnsKnown::Guessed && over >= 1.0 {
            // Past the useful number of turns a string snarls; those too many come out.
            let mut advice = Advice::new(Verdict::Adjust, Cause::Handling);
            advice.turns = Some(-(over as i32));
            advice.ask = vec![Ask::Brace];
            advice.cautions.extend(TURNING_CAUTIONS);
            advice
        } else if s.known.photo == Some(Photo::Sound) {
            Advice::new(Verdict::Reassure, Cause::Handling)
        } else {
            let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
            advice.ask = vec![Ask::Photo];
            if now.known != TurnsKnown::Counted {
                advice.ask.push(Ask::TurnsCount);
            }
            advice
        };
        advice.reasons.push(Reason::KinkHarmless);
        return Some(advice);
    }
    let harmless: Vec<Reason> = [(Symptom::LooseTags, Reason::TagsHarmless), (Symptom::Fuzzy, Reason::WaxIn)]
        .into_iter()
        .filter(|(symptom, _)| s.has(*symptom))
        .map(|(_, reason)| reason)
        .collect();
    if harmless.is_empty() || s.has(Symptom::Noisy) || s.has(Symptom::HandSlap) || s.has(Symptom::Other) {
        return None;
    }
    let mut advice = Advice::new(Verdict::Reassure, Cause::Cosmetic);
    advice.reasons = harmless;
    Some(advice)
}

/// Which end is up: by the marker, else by where the serving sits. Method V05.
pub(super) fn way_up(s: &Situation<'_>) -> Option<Advice> {
    let built = s
        .case
        .subject
        .string
        .serving
        .map_or(-s.case.subject.rules.serving_below, crate::quantity::Length::inches);
    let flip = |reason: Reason| {
        let mut advice = Advice::new(Verdict::Adjust, Cause::Handling);
        advice.flip = true;
        advice.reasons.push(reason);
        advice.ask = vec![Ask::WhichWayUp, Ask::Brace];
        advice.cautions.extend(STRINGING_CAUTIONS);
        Some(advice)
    };
    if s.known.marker == Marker::Down {
        return flip(Reason::MarkerDown);
    }
    // Upside down the serving sits as far above the middle as it was built below it.
    if let Some(read) = s.known.serving
        && s.known.marker != Marker::Up
        && built.abs() >= 0.25
        && (read + built).abs() < 0.5 * built.abs()
    {
        return flip(Reason::ServingHigh { read, built });
    }
    if s.is_about_fit() || !s.asks_which_way_up() {
        return None;
    }
    let known_up = s.known.marker == Marker::Up;
    // Once it was turned round, what stood in the wrong place is explained; the fit is looked at.
    if known_up && s.known.serving.is_none() && s.report.was_turned_round() {
        return None;
    }
    Some(match s.known.serving {
        // A serving that sits high is more often upside down than misplaced.
        Some(read) if !known_up && read > 0.0 && built < 0.0 => ask_which_way_up(),
        Some(read) if (read - built).abs() <= 0.5 => {
            let mut advice = Advice::new(Verdict::Reassure, Cause::Cosmetic);
            advice.reasons.push(Reason::ServingAsBuilt { read, built });
            if s.has(Symptom::NockingPoint) {
                advice.reasons.push(Reason::NockingPointIsSet);
            }
            advice
        }
        Some(read) => {
            let mut advice = Advice::new(Verdict::Mend, Cause::Workshop);
            advice.reasons.push(Reason::ServingOff { read, built });
            advice
        }
        None if known_up && s.has(Symptom::ServingPlace) => {
            let mut advice = Advice::new(Verdict::Mend, Cause::Unknown);
            advice.reasons.push(Reason::ServingUnmeasured);
            advice
        }
        None if known_up => {
            let mut advice = Advice::new(Verdict::Reassure, Cause::Handling);
            advice.reasons.push(Reason::NockingPointIsSet);
            advice
        }
        None => ask_which_way_up(),
    })
}

fn ask_which_way_up() -> Advice {
    let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
    advice.ask = vec![Ask::WhichWayUp];
    advice.reasons.push(Reason::WhichWayUp);
    advice
}
