//! What the last letter told to turn, against what the archer tells of it. Method V43.

use super::advice::Advice;
use super::records::Report;
use super::words::Verdict;

/// So many turns beside what a letter led to are a miscount (judgement, no source: one at each of two
/// goes). Method V43.
const MISCOUNT: f64 = 2.0;

/// Turns that a letter told, in (+) or out (-).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Told {
    /// All that it told to begin with.
    pub turns: i32,
    /// Least that it may have led to by its table.
    pub least: i32,
    /// Most that it may have led to by its table.
    pub most: i32,
}

impl Told {
    /// What an advice tells; nothing where it has nothing turned.
    #[must_use]
    pub fn of(advice: &Advice) -> Option<Self> {
        let turns = advice.turns.filter(|turns| advice.verdict == Verdict::Adjust && *turns != 0)?;
        let further = |from: i32, rows: &[crate::mechanics::reacting::Row]| -> Vec<i32> {
            rows.iter().filter_map(|row| row.turns).map(|more| from + more).collect()
        };
        let mut all = vec![0, turns];
        match advice.first_step {
            Some(first) => {
                all.extend([vec![first.turns], further(first.turns, &advice.first_step_then)].concat())
            }
            None => all.extend(further(turns, &advice.then)),
        }
        let (least, most) = (all.iter().min().copied()?, all.iter().max().copied()?);
        Some(Self { turns, least, most })
    }

    /// Whether so many turns can have been made by it, and a little miscounted.
    #[must_use]
    pub fn may_have_led_to(self, turns: f64) -> bool {
        (f64::from(self.least) - MISCOUNT..=f64::from(self.most) + MISCOUNT).contains(&turns)
    }
}

/// Turns that were asked for after a reading, because a letter had told some and the message did not say
/// how many were made, were made before that reading. `told` is what the last letter before each reading
/// told.
pub fn put_before_their_reading(report: &mut Report, told: &[Option<Told>]) {
    for (at, told) in told.iter().enumerate() {
        let Some([before, answer]) = report.readings.get_mut(at..at + 2) else { return };
        let (before, answer) = (&mut before.measurements, &mut answer.measurements);
        if told.is_some()
            && before.brace.is_some()
            && before.turns_changed.is_none()
            && before.turns_counted.is_none()
        {
            before.turns_changed = answer.turns_changed.take();
        }
    }
}
