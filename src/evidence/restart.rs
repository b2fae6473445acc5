//! When the memory of a route's length error starts afresh.

use super::calendar::Month;

/// Months that must have passed since the last restart.
pub const MONTHS_BETWEEN_RESTARTS: i32 = 6;

/// What gave an alarm that a route has changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChangeAlarm {
    /// The month itself stood out.
    Month(Month),
    /// The creep score reached its limit.
    Creep {
        /// The month of the alarm.
        month: Month,
        /// The last month whose score was zero.
        began: Month,
    },
}

impl ChangeAlarm {
    /// The month in which the alarm was given.
    #[must_use]
    pub fn month(self) -> Month {
        match self {
            Self::Month(month) | Self::Creep { month, .. } => month,
        }
    }

    /// The month from which deliveries are looked at.
    #[must_use]
    pub fn began(self) -> Month {
        match self {
            Self::Month(month) => month,
            Self::Creep { began, .. } => began,
        }
    }
}

/// A restart of a route's length memory.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Restart {
    /// The month of the alarm that caused it.
    pub decided: Month,
    /// Deliveries from the first day of this month on are looked at.
    pub since: Month,
}

/// The restart in force after a route's alarms, oldest first; `None` if there was none.
///
/// What: an alarm restarts the memory at the month the change began, unless the last restart is
/// under 6 months old (E22). Symbols: months. Assumptions: the alarm is right more often than not.
/// Valid range: any list; a later restart never reaches back behind an earlier one. Source: own
/// rule, checked by simulation.
#[must_use]
pub fn restart_in_force(alarms: &[ChangeAlarm]) -> Option<Restart> {
    let mut in_force: Option<Restart> = None;
    for alarm in alarms {
        let fresh_enough =
            in_force.is_some_and(|restart| alarm.month().since(restart.decided) < MONTHS_BETWEEN_RESTARTS);
        if !fresh_enough {
            let earliest = in_force.map_or(alarm.began(), |restart| restart.since);
            in_force = Some(Restart { decided: alarm.month(), since: alarm.began().max(earliest) });
        }
    }
    in_force
}

#[cfg(test)]
mod tests {
    use super::*;

    fn month(number: u32) -> Month {
        Month::new(2025, number).unwrap()
    }

    #[test]
    fn no_alarm_is_no_restart() {
        assert_eq!(restart_in_force(&[]), None);
    }

    #[test]
    fn a_month_alarm_restarts_at_the_month_itself() {
        let restart = restart_in_force(&[ChangeAlarm::Month(month(4))]).unwrap();
        assert_eq!((restart.decided, restart.since), (month(4), month(4)));
    }

    #[test]
    fn a_creep_restarts_at_its_last_zero_month() {
        let creep = ChangeAlarm::Creep { month: month(7), began: month(3) };
        assert_eq!(restart_in_force(&[creep]).unwrap().since, month(3));
    }

    #[test]
    fn a_second_alarm_within_six_months_changes_nothing_and_after_six_it_does() {
        let first = ChangeAlarm::Month(month(1));
        let early = [first, ChangeAlarm::Month(month(6))];
        assert_eq!(restart_in_force(&early).unwrap().since, month(1));
        let late = [first, ChangeAlarm::Month(month(7))];
        assert_eq!(restart_in_force(&late).unwrap().since, month(7));
    }

    #[test]
    fn a_later_restart_never_reaches_back_behind_an_earlier_one() {
        let alarms = [ChangeAlarm::Month(month(3)), ChangeAlarm::Creep { month: month(10), began: month(2) }];
        let restart = restart_in_force(&alarms).unwrap();
        assert_eq!((restart.decided, restart.since), (month(10), month(3)));
    }
}
