//! The reply to the archer: plain text, one template for each verdict, overridable by a file
//! of the same name. Never an unfilled placeholder: an undefined name is an error.

mod draft;
mod meanwhile;
mod salutation;
mod take_back;

pub use draft::draft_about;
use minijinja::{Environment, UndefinedBehavior};
use serde::Serialize;
pub use take_back::{TAKE_BACK, TAKE_BACK_TEMPLATE, take_back};
use thiserror::Error;

use crate::app::advise::{AdviceView, Answer};
use crate::app::cases::Way;
use crate::app::outgoing::Outgoing;
use crate::app::quiet::QuietLetter;
use crate::app::strength::Warning;
use crate::mechanics::reacting::Row;
use crate::show::asks::{FIT_OF_A_LOOP, FIT_OF_THE_NOCK, ask_here, asked_of_danger};
use crate::show::page::wrapped;
use crate::show::reply::below_a_letter;
use crate::show::sentences::{Style, caution_sentence, reason_sentence, yarn_name};
use crate::show::strength::strength_sum;
use crate::show::terms::told_terms;
use crate::show::then::in_words;
use crate::show::{inches, nine_in_ten, range, to_build, turns};
use crate::trade::advice::{Caution, LOOKING_CAUTIONS, Reason, STRINGING_CAUTIONS};
use crate::trade::ask;
use crate::trade::decision::Decided;
use crate::trade::ranges::widened;
use crate::trade::reply::Asks;
use crate::trade::rules::Rules;
use crate::trade::signs::SignStanding;
use crate::trade::standing::Step;
use crate::trade::strength::pounds;
use crate::trade::words::{Ask, Outcome, Standing, Symptom, Verdict, WantSource};
use crate::words;
use crate::words::harmless;

/// Width of a letter's lines, characters.
const WIDTH: usize = 74;

/// A letter that could not be written.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum LetterError {
    /// A text that cannot be filled.
    #[error("the letter template {name} cannot be used: {reason}")]
    Template {
        /// File name of the template.
        name: String,
        /// Why, with the line.
        reason: String,
    },
    /// Nobody has ruled danger out.
    #[error(
        "the letter {kind} has the bow strung, and nobody has said yet that there is no danger in {report}"
    )]
    NotReleased {
        /// The letter.
        kind: LetterKind,
        /// The report.
        report: String,
    },
    /// The letter says what is not so.
    #[error("the letter {kind} does not fit {report}, whose verdict is {verdict}")]
    DoesNotFit {
        /// The letter.
        kind: LetterKind,
        /// The report.
        report: String,
        /// Its verdict.
        verdict: Verdict,
    },
}

words! {
    /// What a letter is about.
    LetterKind, "kind of letter" {
        /// It came in.
        Receipt = "receipt",
        /// String and bow are to be looked over before anything is strung or turned.
        LookOver = "look-over",
        /// Nothing is wrong.
        Reassure = "reassure",
        /// The archer says that it fits now.
        Fits = "fits",
        /// More must be measured.
        Ask = "ask",
        /// Put right on the bow.
        Adjust = "adjust",
        /// Made good.
        Mend = "mend",
        /// Made again.
        Remake = "remake",
        /// To a bowyer.
        Refer = "refer",
        /// Do not shoot.
        Stop = "stop",
        /// The replacement is being made.
        Bench = "bench",
        /// The replacement is posted.
        Posted = "posted",
        /// No answer came.
        Reminder = "reminder",
        /// It is over.
        Settled = "settled",
    }
}

impl LetterKind {
    /// The letter that a report needs where it stands. As long as nobody has ruled danger out, a
    /// letter that has the bow strung, turned or shot gives way to the one that asks.
    #[must_use]
    pub fn for_answer(answer: &Answer, way: &Way) -> Self {
        let kind = Self::for_way(&answer.view, way);
        if kind.is_released(answer) { kind } else { Self::LookOver }
    }

    /// The letter has the bow strung, turned or shot, or asks for what is measured on the strung bow.
    #[must_use]
    pub const fn has_the_bow_strung(self) -> bool {
        match self {
            Self::Reassure
            | Self::Fits
            | Self::Ask
            | Self::Adjust
            | Self::Mend
            | Self::Remake
            | Self::Posted
            | Self::Reminder => true,
            Self::Receipt | Self::LookOver | Self::Refer | Self::Stop | Self::Bench | Self::Settled => false,
        }
    }

    /// Nothing stands against sending it: it has no bow strung, somebody has ruled danger out, or the
    /// danger is known and stands in it. That is so of what follows a stop or a way to the bowyer: the
    /// new string in the post, and a reminder.
    fn is_released(self, answer: &Answer) -> bool {
        let view = &answer.view;
        let follows_a_stop = matches!(self, Self::Posted | Self::Reminder)
            && matches!(view.verdict, Verdict::Stop | Verdict::Refer)
            && !view.signs.iter().any(|sign| sign.standing == SignStanding::Open && !sign.sure);
        !self.has_the_bow_strung() || view.danger_ruled_out || follows_a_stop
    }

    /// Refuses a letter that has the bow strung before somebody has ruled danger out, and one that
    /// says what is not so.
    ///
    /// # Errors
    /// Danger is not ruled out, or the letter is not of this verdict and this standing.
    pub fn if_released(self, answer: &Answer, way: &Way) -> Result<(), LetterError> {
        let report = answer.view.report.clone();
        if !self.is_released(answer) {
            return Err(LetterError::NotReleased { kind: self, report });
        }
        if !self.fits(&answer.view, way) {
            return Err(LetterError::DoesNotFit { kind: self, report, verdict: answer.view.verdict });
        }
        Ok(())
    }

    /// Whether a letter says what is so: the verdict's own, or one of what was done.
    fn fits(self, view: &AdviceView, way: &Way) -> bool {
        match self {
            Self::Receipt | Self::LookOver => true,
            Self::Fits => Self::says_fits(view, way),
            Self::Bench => way.remake.is_some(),
            Self::Posted => way.remake.as_ref().is_some_and(|remake| remake.sent_on.is_some()),
            Self::Reminder => way.answered || way.remake.is_some(),
            Self::Settled => way.standing == Standing::Settled,
            of_a_verdict => of_a_verdict == Self::of_verdict(view.verdict),
        }
    }

    fn for_way(view: &AdviceView, way: &Way) -> Self {
        let silent = way.days >= way.wait_days;
        match way.standing {
            Standing::Settled => Self::Settled,
            Standing::OnBench => Self::Bench,
            Standing::InPost | Standing::WithArcher if silent => Self::Reminder,
            Standing::InPost => Self::Posted,
            Standing::ToAnswer | Standing::WithArcher if Self::says_fits(view, way) => Self::Fits,
            Standing::ToAnswer | Standing::WithArcher => Self::of_verdict(view.verdict),
        }
    }

    /// The archer says that it fits, and no figure and no danger speaks against it: a verdict on an
    /// older brace height does not. What is to be done first comes first: a string with more or fewer
    /// turns than it may have gets its verdict's letter.
    fn says_fits(view: &AdviceView, way: &Way) -> bool {
        way.says_fits
            && !view.reasons.iter().any(turns_are_off)
            && match view.verdict {
                Verdict::Reassure => true,
                Verdict::Ask | Verdict::Adjust => !way.read_last,
                Verdict::Mend | Verdict::Remake | Verdict::Refer | Verdict::Stop => false,
            }
    }

    const fn of_verdict(verdict: Verdict) -> Self {
        match verdict {
            Verdict::Reassure => Self::Reassure,
            Verdict::Ask => Self::Ask,
            Verdict::Adjust => Self::Adjust,
            Verdict::Mend => Self::Mend,
            Verdict::Remake => Self::Remake,
            Verdict::Refer => Self::Refer,
            Verdict::Stop => Self::Stop,
        }
    }

    /// The step it is for its report; one that only says that the mail came in is none.
    #[must_use]
    pub const fn step(self) -> Option<Step> {
        match self {
            Self::Receipt => None,
            Self::LookOver => Some(Step::LookOver),
            _ => Some(Step::Answered),
        }
    }

    /// Name of its template; a file of this name overrides it.
    #[must_use]
    pub fn template_name(self) -> String {
        format!("{self}.txt")
    }

    const fn built_in(self) -> &'static str {
        match self {
            Self::Receipt => include_str!("receipt.txt"),
            Self::LookOver => include_str!("look-over.txt"),
            Self::Reassure => include_str!("reassure.txt"),
            Self::Fits => include_str!("fits.txt"),
            Self::Ask => include_str!("ask.txt"),
            Self::Adjust => include_str!("adjust.txt"),
            Self::Mend => include_str!("mend.txt"),
            Self::Remake => include_str!("remake.txt"),
            Self::Refer => include_str!("refer.txt"),
            Self::Stop => include_str!("stop.txt"),
            Self::Bench => include_str!("bench.txt"),
            Self::Posted => include_str!("posted.txt"),
            Self::Reminder => include_str!("reminder.txt"),
            Self::Settled => include_str!("settled.txt"),
        }
    }
}

/// The reminder to attach a label, for whoever sends a letter that promises one.
#[must_use]
pub fn label_to_attach(kind: LetterKind, text: &str) -> Option<&'static str> {
    let reminder = match kind {
        LetterKind::Mend => "this letter promises a return label: attach one to it",
        LetterKind::Posted => "this letter says that a return label lies in the parcel: see that one does",
        LetterKind::Remake | LetterKind::Stop | LetterKind::Bench => {
            "this letter promises a return label with the new string: put one into the parcel"
        }
        _ => return None,
    };
    // The workshop's own text may promise nothing.
    text.contains("label").then_some(reminder)
}

/// What a template may use. Every name is there for every letter; what does not apply is none.
#[derive(Debug, Serialize)]
struct Filling {
    greeting: String,
    closing: String,
    serial: String,
    report: String,
    brace_now: Option<String>,
    want: Option<String>,
    table: bool,
    after: Option<String>,
    flip: bool,
    turns: Option<String>,
    put_in: bool,
    turned_before: bool,
    settling: bool,
    /// Turns let out and the shots to come bring it into the range together.
    settles: bool,
    /// What the bow's maker gives.
    maker_range: Option<String>,
    /// The bow's maker has to say whether it may be shot in so high.
    maker_decides: bool,
    /// The archer wants less than what the bow's maker gives.
    above_wish: bool,
    /// The bow could not be strung with this string.
    unstrung: bool,
    /// What is made costs the archer nothing.
    free: bool,
    /// On who pays, where the workshop's terms or the maker's decision have a say in it.
    terms: Option<String>,
    /// The maker decided that the string is not made again.
    no_remake: bool,
    /// The maker decided that the string is made again.
    decided_remake: bool,
    /// On shooting until then, where the letter has anything to say about it.
    meanwhile: Option<String>,
    /// The brace height lies outside what the bow's maker gives.
    outside: bool,
    /// A strand is broken or cut.
    strand: bool,
    /// What must be known of a nock or a loop to make it fit.
    fit_questions: Vec<&'static str>,
    measure_again: Option<u32>,
    /// What to do at which reading, a sentence each.
    then: Vec<String>,
    first_step: Option<String>,
    /// Readings after the first part on which the rest is turned.
    first_step_from: Option<String>,
    first_step_to: Option<String>,
    rest_step: Option<String>,
    why: Option<String>,
    also: Option<String>,
    contradiction: bool,
    tips_unknown: bool,
    /// The archer names another brace range than the bow's maker.
    wish_set_aside: bool,
    /// Words that may speak of danger.
    damage: Option<String>,
    /// The letter asks whether string and bow are sound, and nothing else.
    look_over: bool,
    /// Nobody has read the brace height since the string was turned.
    foreseen: bool,
    dry_fire: bool,
    /// The brace height stands at the very end of the range, and may.
    edge: bool,
    /// The bow must not be strung with the old string.
    stop: bool,
    /// The bow must be looked at before it is strung at all.
    bowyer_first: bool,
    /// A settled report ended with a string that fits.
    ended_well: bool,
    /// A brace height in the range came after the last answer.
    confirmed: bool,
    /// The archer wrote after the last answer.
    heard: bool,
    /// A settled report was for the bow's maker or a bowyer.
    referred: bool,
    slip: Option<String>,
    ask: Vec<String>,
    /// Before a long change is cut the brace height is measured once more.
    measure_before_cut: Option<String>,
    remake_length: Option<String>,
    remake_after: Option<String>,
    remake_yarn: Option<&'static str>,
    remake_yarn_changed: bool,
    signs: String,
    /// The first thing asked for, as the archer takes it.
    asked: Option<String>,
    remake_serial: Option<String>,
    sent_on: Option<String>,
    came_back: bool,
    days: i64,
    questions: Vec<String>,
    /// How many turns were made already is asked.
    turns_open: bool,
    /// The string has more or fewer turns than it may have: that comes first.
    turns_off: bool,
    /// The string slaps the arm.
    slap: bool,
    /// Turns were made already.
    turned: bool,
    /// Nobody knows what the bow's maker gives: the table's range, in small steps.
    small_steps: bool,
    cautions: Vec<&'static str>,
}

/// Reasons that are told to the archer as they are; the others are the workshop's own sums.
const fn told(reason: &Reason) -> bool {
    matches!(
        reason,
        Reason::Danger { .. }
            | Reason::PhotoShowsDamage
            | Reason::NoLengthToBuild
            | Reason::LastMessageUnclear
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

const fn turns_are_off(reason: &Reason) -> bool {
    matches!(reason, Reason::TurnsOutsideWindow { .. })
}

/// Reasons that answer what else the archer complained of.
const fn beside(reason: &Reason) -> bool {
    matches!(reason, Reason::TagsHarmless | Reason::WaxIn | Reason::KinkHarmless | Reason::MadeGood { .. })
}

/// Words of the open signs of danger, as the letter quotes them.
fn danger_words(answer: &Answer) -> String {
    let open = answer.view.signs.iter().filter(|sign| sign.standing == SignStanding::Open);
    // Of a person who was forgotten no words are left.
    let open = open.filter(|sign| !sign.words.is_empty());
    open.map(|sign| format!("\"{}\"", one_line(sign.few_words()))).collect::<Vec<_>>().join(" and ")
}

/// One line of greeting or closing from stored words.
fn one_line(text: &str) -> String {
    harmless(text).replace('\n', " ").trim().to_owned()
}

fn greeting(archer: Option<&str>) -> String {
    let name = archer.map(one_line).and_then(|name| salutation::addressed(&name));
    name.map_or_else(|| "Dear archer,".to_owned(), |name| format!("Dear {name},"))
}

fn closing(rules: &Rules) -> String {
    let signature = [&rules.signature, &rules.workshop_name]
        .into_iter()
        .map(|line| one_line(line))
        .filter(|line| !line.is_empty())
        .collect::<Vec<_>>();
    let signature = if signature.is_empty() { "The workshop".to_owned() } else { signature.join("\n") };
    format!("With kind regards\n{signature}")
}

fn filling(kind: LetterKind, answer: &Answer, way: &Way, style: &Style) -> Filling {
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
    let whole = |count: i32| full_turns(f64::from(count.abs()));
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
        turns: view.turns.map(whole),
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
        first_step: first.map(whole),
        then: in_words(view.table(), style.unit),
        first_step_from: goes_on.first().map(|row| len(row.low_inch)),
        first_step_to: goes_on.last().map(|row| len(row.high_inch)),
        rest_step: view.turns.zip(first).map(|(all, first)| whole(all - first)),
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

fn full_turns(count: f64) -> String {
    turns(count).replacen(" turn", " full turn", 1)
}

/// Writes a letter, from the built-in template or the workshop's own text.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn letter(
    kind: LetterKind,
    answer: &Answer,
    way: &Way,
    style: &Style,
    own_template: Option<&str>,
) -> Result<String, LetterError> {
    let source = own_template.unwrap_or_else(|| kind.built_in());
    let style = &style.for_archer(answer.unit);
    let mut filling = filling(kind, answer, way, style);
    filling.greeting = opened(filling.greeting, kind, way);
    let asks = asked_by(kind, &filling);
    let text = rendered(kind.template_name(), source, &filling)?;
    let serial = filling.remake_serial.unwrap_or(filling.serial);
    Ok(text + &asks.map(|asks| below_a_letter(&serial, asks, style.unit)).unwrap_or_default())
}

/// A greeting and the word that takes an earlier letter back, where there is one to take back. It stands
/// with the greeting, which every template has, a workshop's own too: nothing is more urgent.
fn opened(greeting: String, kind: LetterKind, way: &Way) -> String {
    match way.withdraws.filter(|_| kind.step().is_some()) {
        Some(day) => format!("{greeting}\n\n{}", withdrawal(day)),
        None => greeting,
    }
}

/// What takes a letter back that rests on what was noted by mistake. Turns may have been made by it.
fn withdrawal(day: chrono::NaiveDate) -> String {
    format!(
        "Please leave aside our letter of {day}: it rested on a figure that we had noted wrongly, and we are sorry for it. If you have not turned the string by it, go by this letter alone. If you have, please turn nothing more for now, do not shoot, and write to us how many turns you put in or took out and what the brace height reads."
    )
}

/// What the form below a letter asks for; none below one that asks for nothing. A bow that is not
/// strung is not strung for it.
fn asked_by(kind: LetterKind, filling: &Filling) -> Option<Asks> {
    let reading = if filling.unstrung { Asks::Danger } else { Asks::Reading };
    match kind {
        LetterKind::LookOver => Some(Asks::Danger),
        LetterKind::Ask | LetterKind::Adjust => Some(reading),
        LetterKind::Posted => Some(Asks::Reading),
        LetterKind::Reassure => {
            (filling.measure_again.is_some() || filling.asked.is_some()).then_some(reading)
        }
        LetterKind::Reminder if filling.remake_serial.is_some() => Some(Asks::Reading),
        LetterKind::Reminder => (filling.asked.is_some() || filling.turns.is_some()).then_some(reading),
        _ => None,
    }
}

/// What one letter about several reports is called.
pub const TOGETHER: &str = "together";

/// One of several reports that a letter is about.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// The letter that it would get alone.
    pub kind: LetterKind,
    /// Its verdict.
    pub answer: Answer,
    /// Its way.
    pub way: Way,
    /// The workshop's own text of that letter.
    pub own: Option<String>,
}

/// One letter as it goes out about each of its reports, with the step of that report that it is.
#[must_use]
pub fn out_about_each<'a>(parts: &'a [Part], text: &'a str) -> Vec<(&'a str, Outgoing<'a>, Option<Step>)> {
    let out = |part: &'a Part| {
        (part.answer.view.report.as_str(), Outgoing { kind: part.kind.as_str(), text }, part.kind.step())
    };
    parts.iter().map(out).collect()
}

/// "S-1, S-2 and S-3".
fn listed(names: &[&str]) -> String {
    match names {
        [] => String::new(),
        [only] => (*only).to_owned(),
        [all @ .., last] => format!("{} and {last}", all.join(", ")),
    }
}

/// Writes one letter about several reports of an archer: each says what its own letter would, and
/// what is alike but for the serial is said once, of all these strings.
///
/// # Errors
/// A template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn together(parts: &[Part], style: &Style) -> Result<String, LetterError> {
    let text_of = |part: &Part, serial: &str, ends: Option<(&str, &str)>| {
        let style = style.for_archer(part.answer.unit);
        let mut filled = filling(part.kind, &part.answer, &part.way, &style);
        serial.clone_into(&mut filled.serial);
        if let Some((greeting, closing)) = ends {
            greeting.clone_into(&mut filled.greeting);
            closing.clone_into(&mut filled.closing);
        }
        filled.greeting = opened(filled.greeting, part.kind, &part.way);
        let source = part.own.as_deref().unwrap_or_else(|| part.kind.built_in());
        rendered(part.kind.template_name(), source, &filled)
    };
    let mut groups: Vec<(&Part, String, Vec<&str>)> = Vec::new();
    for part in parts {
        let text = text_of(part, "S", None)?;
        let serial = part.answer.view.string.as_str();
        match groups.iter_mut().find(|(_, alike, _)| *alike == text) {
            Some((.., serials)) => serials.push(serial),
            None => groups.push((part, text, vec![serial])),
        }
    }
    if let [(part, _, serials)] = groups.as_slice() {
        return text_of(part, &one_line(&listed(serials)), None);
    }
    let Some((first, ..)) = groups.first() else { return Ok(String::new()) };
    let all: Vec<&str> = parts.iter().map(|part| part.answer.view.string.as_str()).collect();
    let mut text = laid_out(&format!(
        "{}\n\nThank you for writing about your strings {}. This letter speaks of each in its turn: please take care that what is said of one is done to that one.",
        greeting(first.answer.archer.as_deref()),
        one_line(&listed(&all))
    ));
    for (part, _, serials) in &groups {
        let serials = one_line(&listed(serials));
        text.push_str(&format!("\n{}", text_of(part, &serials, Some((&format!("* {serials} *"), "")))?));
    }
    text.push_str(&format!("\n{}", laid_out(&closing(&first.answer.rules))));
    Ok(text)
}

/// The kind of the letter to an archer who never wrote.
pub const QUIET: &str = "quiet";

/// Name of its template.
pub const QUIET_TEMPLATE: &str = "quiet.txt";

/// Writes the letter that asks an archer who never wrote whether the string fits.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn quiet(letter: &QuietLetter, style: &Style, own_template: Option<&str>) -> Result<String, LetterError> {
    #[derive(Serialize)]
    struct Quiet {
        greeting: String,
        closing: String,
        serial: String,
        want: Option<String>,
    }
    let style = style.for_archer(letter.unit);
    let filling = Quiet {
        greeting: greeting(letter.question.archer.as_deref()),
        closing: closing(&letter.rules),
        serial: one_line(&letter.question.string),
        want: letter.want.map(|(low, high)| range(low, high, style.unit)),
    };
    let source = own_template.unwrap_or(include_str!("quiet.txt"));
    let text = rendered(QUIET_TEMPLATE.to_owned(), source, &filling)?;
    Ok(text + &below_a_letter(&filling.serial, Asks::Reading, style.unit))
}

/// The kind of the letter about a string that is too weak for its bow.
pub const STRENGTH: &str = "strength";

/// Name of its template.
pub const STRENGTH_TEMPLATE: &str = "strength.txt";

/// Cautions of the letter about a string that is too weak for its bow.
const WEAK_CAUTIONS: [Caution; 5] =
    [Caution::DoNotShoot, Caution::Inspect, Caution::NeverDryFire, Caution::StopOnDamage, Caution::AskBowyer];

/// Writes the letter that says not to shoot a string that is too weak for its bow.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn too_weak(warning: &Warning, own_template: Option<&str>) -> Result<String, LetterError> {
    #[derive(Serialize)]
    struct TooWeak {
        greeting: String,
        closing: String,
        serial: String,
        sum: String,
        draw: String,
        cautions: Vec<&'static str>,
    }
    let filling = TooWeak {
        greeting: greeting(warning.archer.as_deref()),
        closing: closing(&warning.rules),
        serial: one_line(&warning.string),
        sum: strength_sum(&warning.sum),
        draw: pounds(warning.sum.draw),
        cautions: WEAK_CAUTIONS.map(caution_sentence).to_vec(),
    };
    rendered(STRENGTH_TEMPLATE.to_owned(), own_template.unwrap_or(include_str!("strength.txt")), &filling)
}

/// Name of the template of the letter to somebody of whom the book knows no string.
pub const WHICH_STRING_TEMPLATE: &str = "which-string.txt";

/// The letter to somebody of whom the book knows no string.
pub const WHICH_STRING: &str = "which-string";

/// Cautions of the letter that asks which string it is: nothing of it is known.
const UNKNOWN_CAUTIONS: [Caution; 4] =
    [Caution::Inspect, Caution::NeverDryFire, Caution::StopOnDamage, Caution::AskBowyer];

/// Writes the letter that asks somebody for the label or the order of the string.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn which_string(
    name: Option<&str>,
    rules: &Rules,
    own_template: Option<&str>,
) -> Result<String, LetterError> {
    #[derive(Serialize)]
    struct WhichString {
        greeting: String,
        closing: String,
        cautions: Vec<&'static str>,
    }
    let filling = WhichString {
        greeting: greeting(name),
        closing: closing(rules),
        cautions: UNKNOWN_CAUTIONS.map(caution_sentence).to_vec(),
    };
    let source = own_template.unwrap_or(include_str!("which-string.txt"));
    rendered(WHICH_STRING_TEMPLATE.to_owned(), source, &filling)
}

/// Name of the template of the letter that answers praise.
pub const THANKS_TEMPLATE: &str = "thanks.txt";

/// The letter that answers praise.
pub const THANKS: &str = "thanks";

/// Writes the short letter to somebody who wrote nothing but thanks.
///
/// # Errors
/// The template has a mistake or uses a name that does not exist; nothing half-filled is given.
pub fn thanks(name: Option<&str>, rules: &Rules, own_template: Option<&str>) -> Result<String, LetterError> {
    #[derive(Serialize)]
    struct Thanks {
        greeting: String,
        closing: String,
    }
    let filling = Thanks { greeting: greeting(name), closing: closing(rules) };
    rendered(THANKS_TEMPLATE.to_owned(), own_template.unwrap_or(include_str!("thanks.txt")), &filling)
}

fn rendered<T: Serialize>(name: String, source: &str, filling: &T) -> Result<String, LetterError> {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    // Plain text: nothing is escaped for HTML.
    environment.set_auto_escape_callback(|_| minijinja::AutoEscape::None);
    let fault = |error: minijinja::Error| LetterError::Template {
        name: name.clone(),
        reason: match error.line() {
            Some(line) => format!(
                "line {line}: {}",
                error.detail().map_or_else(|| error.kind().to_string(), str::to_owned)
            ),
            None => error.to_string(),
        },
    };
    environment.add_template(&name, source).map_err(fault)?;
    let text = environment
        .get_template(&name)
        .and_then(|template| template.render(minijinja::Value::from(minijinja::value::Serde(filling))))
        .map_err(fault)?;
    Ok(laid_out(&text))
}

/// Lines broken at the letter's width; points and steps hang.
fn laid_out(text: &str) -> String {
    let mut out = String::new();
    for line in harmless(text).trim().lines() {
        let lead = line
            .split_once(' ')
            .filter(|(lead, _)| {
                *lead == "-" || lead.strip_suffix('.').is_some_and(|n| n.parse::<u32>().is_ok())
            })
            .map_or(0, |(lead, _)| lead.len() + 1);
        for (i, part) in wrapped(&line[lead..], WIDTH - lead).into_iter().enumerate() {
            let lead = if i == 0 { line[..lead].to_owned() } else { " ".repeat(lead) };
            out.push_str(format!("{lead}{part}").trim_end());
            out.push('\n');
        }
    }
    out
}
