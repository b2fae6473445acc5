//! Calendar months, the steps in which the sheet looks at the shop.

use chrono::{Datelike, NaiveDate};

/// One calendar month. Months are ordered and can be counted on and back.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Month {
    /// Months since January of the year 0.
    index: i32,
}

impl Month {
    /// The month of a year, `month` counted from 1; `None` outside 1..=12 or beyond the calendar.
    #[must_use]
    pub fn new(year: i32, month: u32) -> Option<Self> {
        NaiveDate::from_ymd_opt(year, month, 1).map(Self::of)
    }

    /// The month a day lies in.
    #[must_use]
    pub fn of(day: NaiveDate) -> Self {
        // At most 12 x 262,143 years: far inside the range.
        Self { index: day.year() * 12 + i32::try_from(day.month0()).unwrap_or(0) }
    }

    /// The year.
    #[must_use]
    pub fn year(self) -> i32 {
        self.index.div_euclid(12)
    }

    /// The month of the year, from 1.
    #[must_use]
    pub fn number(self) -> u32 {
        self.index.rem_euclid(12).unsigned_abs() + 1
    }

    /// The month `count` months later, or earlier if it is negative.
    #[must_use]
    pub fn plus(self, count: i32) -> Self {
        Self { index: self.index.saturating_add(count) }
    }

    /// How many months after `earlier` this one lies; negative if it lies before.
    #[must_use]
    pub fn since(self, earlier: Self) -> i32 {
        self.index.saturating_sub(earlier.index)
    }

    /// First day; the calendar's own first or last day for months beyond it.
    #[must_use]
    pub fn first_day(self) -> NaiveDate {
        NaiveDate::from_ymd_opt(self.year(), self.number(), 1).unwrap_or(if self.index < 0 {
            NaiveDate::MIN
        } else {
            NaiveDate::MAX
        })
    }

    /// Last day.
    #[must_use]
    pub fn last_day(self) -> NaiveDate {
        self.plus(1).first_day().pred_opt().unwrap_or(NaiveDate::MIN)
    }
}

/// The first day whose deliveries are looked at, with a memory of so many months, the month of the
/// look included.
#[must_use]
pub fn first_day_of_memory(look: NaiveDate, months: u32) -> NaiveDate {
    let back = i32::try_from(months.saturating_sub(1)).unwrap_or(i32::MAX);
    Month::of(look).plus(-back).first_day()
}

/// Whole days from `start` to `end`; `None` if `end` comes first.
#[must_use]
pub fn days_between(start: NaiveDate, end: NaiveDate) -> Option<u32> {
    u32::try_from(end.signed_duration_since(start).num_days()).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn a_month_knows_its_first_and_last_day() {
        let february = Month::of(day("2024-02-11"));
        assert_eq!(february.first_day(), day("2024-02-01"));
        assert_eq!(february.last_day(), day("2024-02-29"));
        assert_eq!((february.year(), february.number()), (2024, 2));
    }

    #[test]
    fn months_are_counted_across_new_year() {
        let january = Month::new(2025, 1).unwrap();
        assert_eq!(january.plus(-1), Month::new(2024, 12).unwrap());
        assert_eq!(january.plus(-13).number(), 12);
        assert_eq!(january.since(Month::new(2023, 1).unwrap()), 24);
        assert_eq!(january.plus(-1).last_day(), day("2024-12-31"));
    }

    #[test]
    fn memory_reaches_back_twenty_four_whole_months() {
        assert_eq!(first_day_of_memory(day("2025-03-31"), 24), day("2023-04-01"));
        assert_eq!(first_day_of_memory(day("2025-03-01"), 1), day("2025-03-01"));
        assert_eq!(days_between(day("2025-03-01"), day("2025-03-31")), Some(30));
        assert_eq!(days_between(day("2025-03-02"), day("2025-03-01")), None);
    }

    #[test]
    fn there_is_no_thirteenth_month() {
        assert_eq!(Month::new(2025, 13), None);
        assert_eq!(Month::new(2025, 0), None);
    }

    #[test]
    fn the_end_of_the_calendar_is_no_panic() {
        let end = Month::of(NaiveDate::MAX);
        let _ = (end.plus(i32::MAX).first_day(), end.last_day());
        let start = Month::of(NaiveDate::MIN);
        let _ = (start.plus(i32::MIN).last_day(), start.first_day());
    }
}
