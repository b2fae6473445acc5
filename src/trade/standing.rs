//! Where a report stands: it follows from what happened, nobody types it.

use super::words::Standing;
use crate::words;

words! {
    /// What happened to a report, as far as its standing depends on it.
    Step, "step" {
        /// It came in.
        Reported = "report",
        /// A further measurement came in.
        Read = "reading",
        /// The message that was noted just before says that the string fits now.
        Fits = "fits",
        /// A verdict was worked out.
        Advised = "advice",
        /// The letter was written.
        Answered = "letter",
        /// The letter that asks whether string and bow are sound was written; it promises nothing.
        LookOver = "look-over",
        /// A replacement went to the bench.
        Remade = "remake",
        /// The replacement was posted.
        Sent = "sent",
        /// The old string came back.
        Back = "back",
        /// It was ended.
        Settled = "settle",
        /// It was taken up again.
        Resumed = "resume",
        /// Somebody read the words of a sign of danger: no danger is meant.
        CalledOff = "called-off",
        /// Somebody read the words of a sign of danger: it is so.
        Confirmed = "confirmed",
        /// Something that a letter rests on was struck: another has to take that letter back.
        Withdrawn = "withdraw",
        /// The letter that takes another back was written: what that one rests on is struck.
        TakenBack = "take-back",
        /// Somebody read or heard it: nothing broken, cut or cracked, no shot without an arrow.
        NoDanger = "no-danger",
        /// That was said by mistake: whether there is danger is open again.
        DangerOpen = "danger-open",
        /// The maker decided it otherwise than it is worked out, or took that back.
        Decided = "decided",
    }
}

impl Step {
    /// A letter went out, one that answers or one that asks.
    #[must_use]
    pub const fn is_letter(self) -> bool {
        matches!(self, Self::Answered | Self::LookOver)
    }
}

/// Where a replacement is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Replacement {
    None,
    OnBench,
    InPost,
}

/// Whether somebody said, after the last message, that there is no danger. New words ask anew, and so does
/// a letter that took ours back: nobody knows what was done since by either.
#[must_use]
pub fn is_danger_ruled_out(steps: &[Step]) -> bool {
    let last = |wanted: fn(&Step) -> bool| steps.iter().rposition(wanted);
    let said = last(|step| *step == Step::NoDanger);
    said.is_some()
        && said
            > last(|step| {
                matches!(
                    step,
                    Step::Reported | Step::Read | Step::Confirmed | Step::TakenBack | Step::DangerOpen
                )
            })
}

/// Where a report stands after its steps, oldest first; `promised` where the last verdict promises a
/// new string ([`super::cause::LastVerdict::promises`]).
#[must_use]
pub fn standing_after(steps: &[Step], promised: bool) -> Standing {
    let (mut settled, mut unanswered, mut replacement) = (false, true, Replacement::None);
    // The last letter asked, and promised nothing.
    let mut asked = false;
    for step in steps {
        match step {
            Step::Reported | Step::Read | Step::Fits | Step::Advised | Step::Withdrawn => unanswered = true,
            // What may be written now is another letter.
            Step::CalledOff
            | Step::Confirmed
            | Step::NoDanger
            | Step::DangerOpen
            | Step::Decided
            | Step::TakenBack => {
                unanswered = true;
            }
            Step::Resumed => (settled, unanswered) = (false, true),
            Step::Answered => (unanswered, asked) = (false, false),
            Step::LookOver => (unanswered, asked) = (false, true),
            Step::Remade => (unanswered, replacement) = (false, Replacement::OnBench),
            Step::Sent => (unanswered, replacement) = (false, Replacement::InPost),
            Step::Back => {}
            Step::Settled => settled = true,
        }
    }
    match replacement {
        _ if settled => Standing::Settled,
        _ if unanswered => Standing::ToAnswer,
        Replacement::OnBench => Standing::OnBench,
        Replacement::InPost => Standing::InPost,
        Replacement::None if asked => Standing::WithArcher,
        // A promised remake that is not on the bench yet is still the workshop's turn.
        Replacement::None if promised => Standing::ToAnswer,
        Replacement::None => Standing::WithArcher,
    }
}

/// True where the last letter rests on what was struck since, so that the next takes it back.
#[must_use]
pub fn has_to_withdraw(steps: &[Step]) -> bool {
    let last =
        steps.iter().rev().find(|step| step.is_letter() || matches!(step, Step::Withdrawn | Step::TakenBack));
    last == Some(&Step::Withdrawn)
}

/// True where the last letter was taken back by one of its own, and nothing was written by either side
/// since: the archer may have turned the string by it.
#[must_use]
pub fn is_taken_back(steps: &[Step]) -> bool {
    let last =
        steps.iter().rev().find(|step| step.is_letter() || matches!(step, Step::Read | Step::TakenBack));
    last == Some(&Step::TakenBack)
}

/// True where a letter is with the archer that no other has taken back since.
#[must_use]
pub fn letter_stands(steps: &[Step]) -> bool {
    steps
        .iter()
        .rev()
        .find(|step| step.is_letter() || **step == Step::TakenBack)
        .is_some_and(|step| step.is_letter())
}

/// True where the last letter rests on a word that there is no danger.
#[must_use]
pub fn rests_on_no_danger(steps: &[Step]) -> bool {
    let word = steps.iter().rposition(|step| *step == Step::NoDanger);
    letter_stands(steps) && word < steps.iter().rposition(|step| *step == Step::Answered) && word.is_some()
}

/// True where the last message says that the string fits now.
#[must_use]
pub fn says_fits(steps: &[Step]) -> bool {
    let last = steps.iter().rev().find(|step| matches!(step, Step::Reported | Step::Read | Step::Fits));
    last == Some(&Step::Fits)
}

/// True where the archer has written since the last answer or parcel.
#[must_use]
pub fn heard_since_answer(steps: &[Step]) -> bool {
    steps
        .iter()
        .rposition(|step| step.is_letter() || *step == Step::Sent)
        .is_some_and(|answered| steps[answered..].contains(&Step::Read))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_archer_is_heard_from_only_after_an_answer() {
        use Step::{Advised, Answered, Read, Reported, Sent, Settled};
        assert!(heard_since_answer(&[Reported, Advised, Answered, Read, Advised, Settled]));
        assert!(!heard_since_answer(&[Reported, Read, Advised, Answered, Settled]));
        assert!(!heard_since_answer(&[Reported, Answered, Read, Sent]));
        assert!(!heard_since_answer(&[Reported, Read]));
    }

    #[test]
    fn new_words_ask_anew_whether_there_is_danger() {
        use Step::{Advised, Answered, CalledOff, Confirmed, NoDanger, Read, Reported, TakenBack};
        assert!(!is_danger_ruled_out(&[]) && !is_danger_ruled_out(&[Reported, Advised]));
        assert!(is_danger_ruled_out(&[Reported, CalledOff, NoDanger, Advised]));
        assert!(!is_danger_ruled_out(&[Reported, NoDanger, Read]));
        assert!(!is_danger_ruled_out(&[Reported, NoDanger, Confirmed]));
        assert!(is_danger_ruled_out(&[Reported, NoDanger, Read, NoDanger]));
        assert!(!is_danger_ruled_out(&[Reported, NoDanger, Answered, TakenBack]));
        assert!(is_danger_ruled_out(&[Reported, NoDanger, Answered, TakenBack, NoDanger]));
        use Step::{DangerOpen, LookOver};
        assert!(!is_danger_ruled_out(&[Reported, NoDanger, DangerOpen]));
        assert!(rests_on_no_danger(&[Reported, NoDanger, Answered]));
        assert!(!rests_on_no_danger(&[Reported, Answered, NoDanger]));
        assert!(!rests_on_no_danger(&[Reported, NoDanger, LookOver]) && !rests_on_no_danger(&[Reported]));
    }

    #[test]
    fn a_string_fits_until_the_archer_writes_otherwise() {
        use Step::{Advised, Answered, Fits, Read, Reported};
        assert!(says_fits(&[Reported, Answered, Read, Fits, Advised]));
        assert!(!says_fits(&[Reported, Read, Fits, Read, Advised]) && !says_fits(&[Reported]));
        assert_eq!(standing_after(&[Reported, Answered, Read, Fits], false), Standing::ToAnswer);
    }

    #[test]
    fn a_letter_is_taken_back_by_the_next_one() {
        use Step::{Advised, Answered, LookOver, Read, Reported, Withdrawn};
        assert!(has_to_withdraw(&[Reported, Answered, Read, Withdrawn, Advised]));
        assert!(!has_to_withdraw(&[Reported, Answered, Withdrawn, Answered]));
        assert!(!has_to_withdraw(&[Reported, Answered, Withdrawn, LookOver, Read]));
        assert!(!has_to_withdraw(&[Reported, Answered]));
        use Step::TakenBack;
        assert!(letter_stands(&[Reported, Answered, Withdrawn]) && !letter_stands(&[Reported, Read]));
        assert!(!letter_stands(&[Reported, Answered, Withdrawn, TakenBack]));
        assert!(!has_to_withdraw(&[Reported, Answered, Withdrawn, TakenBack]));
        assert!(letter_stands(&[Reported, Answered, TakenBack, LookOver]));
        assert!(is_taken_back(&[Reported, Answered, TakenBack, Advised]));
        assert!(!is_taken_back(&[Reported, Answered, TakenBack, Read, Advised]));
        assert!(!is_taken_back(&[Reported, Answered, TakenBack, LookOver]) && !is_taken_back(&[Reported]));
        assert_eq!(standing_after(&[Reported, Answered, TakenBack], false), Standing::ToAnswer);
        let steps = [Reported, Answered, Withdrawn];
        assert_eq!(standing_after(&steps, false), Standing::ToAnswer);
    }

    #[test]
    fn the_steps_say_whose_turn_it_is() {
        use Step::{Advised, Answered, Back, Read, Remade, Reported, Resumed, Sent, Settled};
        let cases: [(&[Step], bool, Standing); 12] = [
            (&[Reported], false, Standing::ToAnswer),
            (&[Reported, Advised], false, Standing::ToAnswer),
            (&[Reported, Advised, Answered], false, Standing::WithArcher),
            (&[Reported, Advised, Answered, Read], false, Standing::ToAnswer),
            (&[Reported, Advised, Answered], true, Standing::ToAnswer),
            (&[Reported, Advised, Answered, Remade], true, Standing::OnBench),
            (&[Reported, Advised, Remade, Answered], true, Standing::OnBench),
            (&[Reported, Advised, Remade, Sent], true, Standing::InPost),
            (&[Reported, Advised, Remade, Sent, Back], true, Standing::InPost),
            (&[Reported, Advised, Remade, Sent, Read], true, Standing::ToAnswer),
            (&[Reported, Advised, Answered, Settled], false, Standing::Settled),
            (&[Reported, Advised, Answered, Settled, Resumed], false, Standing::ToAnswer),
        ];
        for (steps, promised, standing) in cases {
            assert_eq!(standing_after(steps, promised), standing, "{steps:?}");
        }
        // The letter that asks promises no new string.
        let asked = [Reported, Advised, Step::LookOver];
        assert_eq!(standing_after(&asked, true), Standing::WithArcher);
        // A new string that was promised with a stop is not forgotten once the letter is out.
        let sent = [Reported, Advised, Answered];
        assert_eq!(standing_after(&sent, true), Standing::ToAnswer);
        assert_eq!(standing_after(&sent, false), Standing::WithArcher);
    }
}
