//! What a template may use of a report, its verdict and the way it went.

use serde::Serialize;

use super::{LetterKind, closing, greeting, meanwhile, one_line};
use crate::app::advise::{AdviceView, Answer};
use crate::app::cases::Way;
use crate::mechanics::reacting::Row;
use crate::show::asks::{FIT_OF_A_LOOP, FIT_OF_THE_NOCK, ask_here, ask_name, asked_of_danger};
use crate::show::names::yarn_name;
use crate::show::sentences::{Style, caution_sentence, reason_sentence};
use crate::show::terms::told_terms;
use crate::show::then::in_words;
use crate::show::{full_turns, inches, nine_in_ten, range, to_build, turns};
use crate::trade::advice::{Caution, LOOKING_CAUTIONS, Reason, STRINGING_CAUTIONS};
use crate::trade::ask;
use crate::trade::decision::Decided;
use crate::trade::ranges::widened;
use crate::trade::signs::SignStanding;
use crate::trade::words::{Ask, Outcome, Symptom, Verdict, WantSource};

/// What a template may use. Every name is there for every letter; what does not apply is none.
#[derive(Debug, Serialize)]
pub(super) struct Filling {
    pub(super) greeting: String,
    pub(super) closing: String,
    pub(super) serial: String,
    pub(super) report: String,
    pub(super) brace_now: Option<String>,
    pub(super) want: Option<String>,
    pub(super) table: bool,
    pub(super) after: Option<String>,
    pub(super) flip: bool,
    pub(super) turns: Option<String>,
    pub(super) put_in: bool,
    pub(super) turned_before: bool,
    pub(super) settling: bool,
    /// Turns let out and the shots to come bring it into the range together.
    pub(super) settles: bool,
    /// What the bow's maker gives.
    pub(super) maker_range: Option<String>,
    /// The bow's maker has to say whether it may be shot in so high.
    pub(super) maker_decides: bool,
    /// The archer wants less than what the bow's maker gives.
    pub(super) above_wish: bool,
    /// The bow could not be strung with this string.
    pub(super) unstrung: bool,
    /// What is made costs the archer nothing.
    pub(super) free: bool,
    /// On who pays, where the workshop's terms or the maker's decision have a say in it.
    pub(super) terms: Option<String>,
    /// The maker decided that the string is not made again.
    pub(super) no_remake: bool,
    /// The maker decided that the string is made again.
    pub(super) decided_remake: bool,
    /// On shooting until then, where the letter has anything to say about it.
    pub(super) meanwhile: Option<String>,
    /// The brace height lies outside what the bow's maker gives.
    pub(super) outside: bool,
    /// A strand is broken or cut.
    pub(super) strand: bool,
    /// What must be known of a nock or a loop to make it fit.
    pub(super) fit_questions: Vec<&'static str>,
    pub(super) measure_again: Option<u32>,
    /// What to do at which reading, a sentence each.
    pub(super) then: Vec<String>,
    pub(super) first_step: Option<String>,
    /// Readings after the first part on which the rest is turned.
    pub(super) first_step_from: Option<String>,
    pub(super) first_step_to: Option<String>,
    pub(super) rest_step: Option<String>,
    pub(super) why: Option<String>,
    pub(super) also: Option<String>,
    pub(super) contradiction: bool,
    pub(super) tips_unknown: bool,
    /// The archer names another brace range than the bow's maker.
    pub(super) wish_set_aside: bool,
    /// Words that may speak of danger.
    pub(super) damage: Option<String>,
    /// The letter asks whether string and bow are sound, and nothing else.
    pub(super) look_over: bool,
    /// Nobody has read the brace height since the string was turned.
    pub(super) foreseen: bool,
    pub(super) dry_fire: bool,
    /// The brace height stands at the very end of the range, and may.
    pub(super) edge: bool,
    /// The bow must not be strung with the old string.
    pub(super) stop: bool,
    /// The bow must be looked at before it is strung at all.
    pub(super) bowyer_first: bool,
    /// A settled report ended with a string that fits.
    pub(super) ended_well: bool,
    /// A brace height in the range came after the last answer.
    pub(super) confirmed: bool,
    /// The archer wrote after the last answer.
    pub(super) heard: bool,
    /// A settled report was for the bow's maker or a bowyer.
    pub(super) referred: bool,
    pub(super) slip: Option<String>,
    pub(super) ask: Vec<String>,
    /// Before a long change is cut the brace height is measured once more.
    pub(super) measure_before_cut: Option<String>,
    pub(super) remake_length: Option<String>,
    pub(super) remake_after: Option<String>,
    pub(super) remake_yarn: Option<&'static str>,
    pub(super) remake_yarn_changed: bool,
    pub(super) signs: String,
    /// Was asked for, and is still not known.
    pub(super) missing: Vec<&'static str>,
    /// The archer wished another range than the bow's maker gives, which counts.
    pub(super) makers_range_kept: bool,
    /// The first thing asked for, as the archer takes it.
    pub(super) asked: Option<String>,
    pub(super) remake_serial: Option<String>,
    pub(super) sent_on: Option<String>,
    pub(super) came_back: bool,
    pub(super) days: i64,
    pub(super) questions: Vec<String>,
    /// How many turns were made already is asked.
    pub(super) turns_open: bool,
    /// The string has more or fewer turns than it may have: that comes first.
    pub(super) turns_off: bool,
    /// The string slaps the arm.
    pub(super) slap: bool,
    /// Turns were made already.
    pub(super) turned: bool,
    /// Nobody knows what the bow's maker gives: the table's range, in small steps.
    pub(super) small_steps: bool,
    pub(super) cautions: Vec<&'static str>,
}

/// Reasons that are told to the archer as they are; the others are the workshop's own sums.
const fn told(reason: &Reason) -> bool {
    matches!(
        reason,
        Reason::Danger { .. }
            | Reason::PhotoShowsDamage
            | Reason::NoLengthToBuild
            | Reason::LastMessageUnclear
            | Reason::TurnsNotTold { .. }
            | Reason::TurnsBeyondTold { .. }
            | Reason::TooWeak { .. }
            | Reason::SpliceMaySlip { .. }
            | Reason::LowStretchOnTenderBow { .. }
            | Reason::TagsHarmless
            | Reason::WaxIn
            | Reason::KinkHarmless
            | Reason::MadeGood { .. }
            | Reason::ServingAsBuilt { .. }
            | Reason::ServingOff { .. }
            | Reason::QuietPlace
            | Reason::NockingPointIsSet
            | Reason::PhotoSound
            | Reason::ServingUnmeasured
            | Reason::SettlesDown { .. }
            | Reason::CountAgainstRecord { .. }
            | Reason::TurnsOutsideWindow { .. }
            | Reason::MakerDecides { .. }
            | Reason::ReadingDecides { .. }
            | Reason::AtTheEdge { .. }
            | Reason::LongEnough { .. }
            | Reason::ShorterThanRight { .. }
    )
}

/// How far a string may be turned by somebody who looks for the quiet place of a bow.
fn how_far(view: &AdviceView) -> String {
    let within = "and stay within the brace heights that the bow's maker gives";
    let left = view.turns_now.zip(view.turns_now_sd).zip(view.turns_min.zip(view.turns_max));
    let Some(((now, sd), (least, most))) = left.filter(|((_, sd), _)| *sd <= 2.0) else {
        return format!(
            "How many turns it holds is not on record: count them first, turn it by no more than five in all, {within}."
        );
    };
    let some = |count: f64| {
        if count < 0.5 { "no turn".to_owned() } else { format!("no more than {}", turns(count)) }
    };
    let (put_in, out) = ((f64::from(most) - now - sd).floor(), (now - sd - f64::from(least)).floor());
    format!("From where it is now put in {} and take out {}, in all, {within}.", some(put_in), some(out))
}

pub(super) const fn turns_are_off(reason: &Reason) -> bool {
    matches!(reason, Reason::TurnsOutsideWindow { .. })
}

/// Reasons that answer what else the archer complained of.
const fn beside(reason: &Reason) -> bool {
    matches!(reason, Reason::TagsHarmless | Reason::WaxIn | Reason::KinkHarmless | Reason::MadeGood { .. })
}

fn still_missing(reason: &Reason) -> Option<&'static str> {
    match reason {
        Reason::StillMissing { ask } => Some(ask_name(*ask)),
        _ => None,
    }
}

/// Words of the open signs of danger, as the letter quotes them.
fn danger_words(answer: &Answer) -> String {
    let open = answer.view.signs.iter().filter(|sign| sign.standing == SignStanding::Open);
    // Of a person who was forgotten no words are left.
    let open = open.filter(|sign| !sign.words.is_empty());
    open.map(|sign| format!("\"{}\"", one_line(sign.few_words()))).collect::<Vec<_>>().join(" and ")
}

/// Fills it.
pub(super) fn filling(kind: LetterKind, answer: &Answer, way: &Way, style: &Style) -> Filling {
    let view = &answer.view;
    let len = |value: f64| inches(value, style.unit);
    let has = |wanted: fn(&Reason) -> bool| view.reasons.iter().any(wanted);
    // What is beside the point of an adjustment is answered after it.
    let main = matches!(view.verdict, Verdict::Reassure | Verdict::Mend | Verdict::Stop);
    let sentences = |wanted: &dyn Fn(&Reason) -> bool| {
        let found: Vec<String> = view
            .reasons
            .iter()
            .filter(|reason| wanted(reason))
            .map(|reason| reason_sentence(reason, style))
            .collect();
        (!found.is_empty()).then(|| found.join(" "))
    };
    let why = sentences(&|reason| told(reason) && (main || !beside(reason)));
    let quiet = view.reasons.contains(&Reason::QuietPlace);
    let why = why.map(|why| if quiet { format!("{why} {}", how_far(view)) } else { why });
    // What is made anew needs no mending.
    let remade = view.verdict == Verdict::Remake;
    let mended = |reason: &Reason| matches!(reason, Reason::MadeGood { .. });
    let also = sentences(&|reason| !main && beside(reason) && !(remade && mended(reason)));
    let slip = view.reasons.iter().find_map(|reason| match reason {
        Reason::Slipped { .. } => Some(reason_sentence(reason, style)),
        _ => None,
    });
    let signs = view.reasons.iter().find_map(|reason| match reason {
        Reason::BowSigns { signs } => Some(signs.join(", ")),
        _ => None,
    });
    let damage = view.reasons.iter().find_map(|reason| match reason {
        Reason::SpeaksOfDanger { .. } => Some(danger_words(answer)).filter(|words| !words.is_empty()),
        _ => None,
    });
    // What was read is told as it was read; what the readings together come to is for the sums.
    let read = view.brace_as_read();
    let first = view.first_step_turns;
    // Readings after the first part at which the archer goes on.
    let goes_on: Vec<&Row> = view.first_step_then.iter().filter(|row| row.turns.is_some()).collect();
    let unstrung = view.cautions.contains(&Caution::NeverForce);
    let how = |ask: Ask| ask_here(ask, &view.reasons, &view.cautions, style.unit);
    // A string that is made again only if the archer pays is not shot meanwhile, whatever it reads.
    let shooting = meanwhile::meanwhile(answer, style)
        .filter(|_| !(view.verdict == Verdict::Remake && view.free == Some(false)));
    let made_good = |of: Symptom| view.reasons.contains(&Reason::MadeGood { symptom: of });
    let fit: Vec<Symptom> = [Symptom::NockFit, Symptom::LoopFit]
        .into_iter()
        .filter(|symptom| !remade && made_good(*symptom))
        .collect();
    // Before danger is ruled out, and while it only came in, nothing is asked for the verdict's sake.
    let asks = match kind {
        LetterKind::Receipt | LetterKind::LookOver => &[],
        _ => view.ask.as_slice(),
    };
    let questions = ask::questions(view.verdict, asks, &fit, &way.questions);
    let with_words = |(ask, said): &(Ask, Option<String>)| match (ask, said) {
        (Ask::TurnsMade, Some(said)) => one_line(said),
        (_, Some(said)) => format!("{} {}", one_line(said), how(*ask)),
        (_, None) => how(*ask),
    };
    let turns_open = way
        .questions
        .iter()
        .any(|open| open.about == Some(Ask::TurnsMade) && questions.open.contains(&open.question));
    Filling {
        greeting: greeting(answer.archer.as_deref()),
        closing: closing(&answer.rules),
        serial: one_line(&answer.string.serial),
        report: view.report.clone(),
        brace_now: read.or(view.brace_now_inch).map(len),
        want: view.want_low_inch.zip(view.want_high_inch).map(|(low, high)| range(low, high, style.unit)),
        table: view.want_source == Some(WantSource::Table),
        after: view
            .brace_after_inch
            .zip(view.brace_after_sd_inch)
            .map(|(brace, sd)| nine_in_ten(brace, sd, style.unit)),
        flip: view.flip,
        turns: view.turns.map(full_turns),
        put_in: view.turns.is_some_and(|turns| turns >= 0),
        turned_before: answer.turned_before,
        settling: has(|reason| matches!(reason, Reason::Settling { .. } | Reason::SettlesDown { .. })),
        settles: has(|reason| matches!(reason, Reason::LetOutAndSettles { .. })),
        maker_range: answer.bow.brace_range.map(widened).map(|(low, high)| range(low, high, style.unit)),
        maker_decides: has(|reason| matches!(reason, Reason::MakerDecides { .. })),
        above_wish: view.want_source == Some(WantSource::Archer),
        unstrung,
        outside: shooting.as_ref().is_some_and(|shooting| shooting.outside),
        free: view.free != Some(false),
        terms: told_terms(view, style),
        no_remake: has(|reason| {
            matches!(reason, Reason::MakerDecided { decided: Decided { remake: Some(false), .. }, .. })
        }),
        decided_remake: has(|reason| {
            matches!(reason, Reason::MakerDecided { decided: Decided { remake: Some(true), .. }, .. })
        }),
        meanwhile: shooting.map(|shooting| shooting.sentence),
        strand: has(|reason| {
            let broken = |symptom: &Symptom| matches!(symptom, Symptom::BrokenStrand | Symptom::Frayed);
            matches!(reason, Reason::Danger { symptom } if broken(symptom))
                || matches!(reason, Reason::PhotoShowsDamage)
        }),
        fit_questions: questions
            .fit
            .iter()
            .map(|symptom| if *symptom == Symptom::NockFit { FIT_OF_THE_NOCK } else { FIT_OF_A_LOOP })
            .collect(),
        measure_again: view.measure_again_after_shots,
        first_step: first.map(full_turns),
        then: in_words(view.table(), style.unit),
        first_step_from: goes_on.first().map(|row| len(row.low_inch)),
        first_step_to: goes_on.last().map(|row| len(row.high_inch)),
        rest_step: view.turns.zip(first).map(|(all, first)| full_turns(all - first)),
        why,
        also,
        contradiction: has(|reason| {
            matches!(reason, Reason::Contradiction { .. } | Reason::MoreOutThanIn { .. })
        }),
        wish_set_aside: view.ask.first() == Some(&Ask::BraceRange)
            && has(|reason| matches!(reason, Reason::WishSetAside)),
        edge: has(|reason| matches!(reason, Reason::AtTheEdge { .. })),
        stop: view.verdict == Verdict::Stop,
        bowyer_first: has(|reason| {
            let of_bow = |symptom: &Symptom| matches!(symptom, Symptom::DryFire | Symptom::BowDamage);
            matches!(reason, Reason::Danger { symptom } if of_bow(symptom))
        }),
        foreseen: has(|reason| matches!(reason, Reason::TurnedSince { .. })),
        dry_fire: has(|reason| matches!(reason, Reason::Danger { symptom: Symptom::DryFire })),
        ended_well: !matches!(way.outcome, Some(Outcome::Referred | Outcome::Unfinished)),
        // That letter says the same once it is noted as sent.
        confirmed: (way.read_since || kind == LetterKind::Fits && way.read_last)
            && has(|reason| matches!(reason, Reason::InRange { .. })),
        heard: way.heard,
        referred: way.outcome == Some(Outcome::Referred),
        tips_unknown: has(|reason| matches!(reason, Reason::LowStretchBowUnknown { .. })),
        slip,
        ask: if kind == LetterKind::LookOver {
            asked_of_danger()
        } else {
            questions.ask.iter().map(with_words).collect()
        },
        look_over: kind == LetterKind::LookOver,
        measure_before_cut: sentences(&|reason| matches!(reason, Reason::MeasureBeforeWeCut { .. })),
        remake_length: way
            .remake
            .as_ref()
            .map(|remake| remake.length_inch)
            .or(view.remake_length_inch)
            .map(|length| to_build(length, style.rounding, style.unit)),
        remake_after: view
            .brace_after_inch
            .zip(view.brace_after_sd_inch)
            .filter(|_| view.verdict == Verdict::Remake)
            .map(|(brace, sd)| nine_in_ten(brace, sd, style.unit)),
        remake_yarn: way.remake.as_ref().map(|remake| remake.yarn).or(view.remake_yarn).map(yarn_name),
        remake_yarn_changed: view.remake_yarn.is_some_and(|yarn| yarn != answer.string.yarn),
        signs: signs.unwrap_or_default(),
        missing: view.reasons.iter().filter_map(still_missing).collect(),
        makers_range_kept: has(|reason| matches!(reason, Reason::WishSetAside)),
        asked: view
            .ask
            .first()
            .filter(|_| matches!(view.verdict, Verdict::Ask | Verdict::Reassure))
            .map(|ask| how(*ask)),
        remake_serial: way.remake.as_ref().map(|remake| one_line(&remake.string)),
        sent_on: way.remake.as_ref().and_then(|remake| remake.sent_on).map(|day| day.to_string()),
        came_back: way.remake.as_ref().is_some_and(|remake| remake.back_on.is_some()),
        days: way.days,
        turns_open,
        questions: questions.open.iter().map(|question| one_line(question)).collect(),
        turns_off: has(turns_are_off),
        slap: answer.symptoms.contains(&Symptom::HandSlap),
        turned: answer.turned,
        small_steps: answer.bow.range_unknown && view.want_source == Some(WantSource::Table),
        damage: damage.clone(),
        cautions: match kind {
            // These come before or after the verdict and advise stringing at most.
            LetterKind::Receipt | LetterKind::Posted => unstrung
                .then_some(Caution::NeverForce)
                .into_iter()
                .chain(STRINGING_CAUTIONS)
                .map(caution_sentence)
                .collect(),
            LetterKind::LookOver => {
                LOOKING_CAUTIONS.iter().map(|caution| caution_sentence(*caution)).collect()
            }
            _ => view.cautions.iter().map(|caution| caution_sentence(*caution)).collect(),
        },
    }
}
