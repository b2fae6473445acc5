//! What a letter is about, which one a report needs where it stands, and which may go out.

use super::LetterError;
use super::filling::turns_are_off;
use crate::app::advise::{AdviceView, Answer};
use crate::app::cases::Way;
use crate::trade::signs::SignStanding;
use crate::trade::standing::Step;
use crate::trade::words::{Standing, Verdict};
use crate::words;

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
            && way.questions.is_empty()
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

    pub(super) const fn built_in(self) -> &'static str {
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
