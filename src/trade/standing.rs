//! Where a report stands: it follows from what happened, nobody types it.

use super::words::{Standing, Verdict};
use crate::words;

words! {
    /// What happened to a report, as far as its standing depends on it.
    Step, "step" {
        /// It came in.
        Reported = "report",
        /// A further measurement came in.
        Read = "reading",
        /// A verdict was worked out.
        Advised = "advice",
        /// The letter was written.
        Answered = "letter",
    }
}

/// Where a report stands after its steps, oldest first, and the last verdict.
#[must_use]
pub fn standing_after(steps: &[Step], verdict: Option<Verdict>) -> Standing {
    match steps.last() {
        Some(Step::Answered) => match verdict {
            // After a remake was promised it is the workshop's turn to make it.
            Some(Verdict::Remake) => Standing::OnBench,
            _ => Standing::WithArcher,
        },
        _ => Standing::ToAnswer,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_step_says_whose_turn_it_is() {
        assert_eq!(standing_after(&[Step::Reported], None), Standing::ToAnswer);
        assert_eq!(
            standing_after(&[Step::Reported, Step::Advised], Some(Verdict::Adjust)),
            Standing::ToAnswer
        );
        let answered = [Step::Reported, Step::Advised, Step::Answered];
        assert_eq!(standing_after(&answered, Some(Verdict::Adjust)), Standing::WithArcher);
        assert_eq!(standing_after(&answered, Some(Verdict::Remake)), Standing::OnBench);
        let again = [Step::Reported, Step::Advised, Step::Answered, Step::Read];
        assert_eq!(standing_after(&again, Some(Verdict::Adjust)), Standing::ToAnswer);
    }
}
