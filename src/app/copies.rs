//! The copies of the book that are made without anybody thinking of it, one a day.

use std::collections::BTreeSet;

use chrono::{Datelike, NaiveDate};
use serde::Serialize;

/// How many copies of the last days are kept.
pub const DAILY: usize = 7;
/// Of how many months one copy is kept.
pub const MONTHLY: usize = 12;
/// After so many days without a new copy somebody is told.
pub const LATE_DAYS: i64 = 2;

/// The days whose copies are not kept any longer: all but those of the last seven days with a
/// copy and the first of each of the last twelve months with one.
#[must_use]
pub fn outlived(days: &BTreeSet<NaiveDate>) -> Vec<NaiveDate> {
    let mut kept: BTreeSet<NaiveDate> = days.iter().rev().take(DAILY).copied().collect();
    let months: BTreeSet<(i32, u32)> = days.iter().map(|day| (day.year(), day.month())).collect();
    for month in months.into_iter().rev().take(MONTHLY) {
        kept.extend(days.iter().find(|day| (day.year(), day.month()) == month));
    }
    days.difference(&kept).copied().collect()
}

/// The copies that there are, and what is to be said of them.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CopiesView {
    /// The folder they are in.
    pub folder: String,
    /// Days with a copy, newest first.
    pub days: Vec<NaiveDate>,
    /// How old the newest is, in days.
    pub days_old: Option<i64>,
    /// There is none, or none of the last days.
    pub late: bool,
    /// They lie on the same disk as the book.
    pub same_disk: bool,
    /// Why the last one could not be made.
    pub failed: Option<String>,
    /// The one that is open, to be looked at.
    pub opened: Option<NaiveDate>,
}

impl CopiesView {
    /// What is to be said of copies of these days.
    #[must_use]
    pub fn new(folder: String, days: &BTreeSet<NaiveDate>, today: NaiveDate) -> Self {
        let days_old = days.last().map(|last| (today - *last).num_days());
        Self {
            folder,
            days: days.iter().rev().copied().collect(),
            days_old,
            late: days_old.is_none_or(|old| old > LATE_DAYS),
            same_disk: false,
            failed: None,
            opened: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(text: &str) -> NaiveDate {
        text.parse().unwrap()
    }

    #[test]
    fn seven_days_and_twelve_months_are_kept_whatever_is_made_each_day() {
        let mut days = BTreeSet::new();
        for today in day("2024-01-10").iter_days().take(800) {
            days.insert(today);
            for outlived in outlived(&days) {
                days.remove(&outlived);
            }
            assert!(days.contains(&today) && days.len() <= DAILY + MONTHLY);
        }
        // 800 days on it is 2026-03-19.
        let kept: Vec<String> = days.iter().map(NaiveDate::to_string).collect();
        assert_eq!(kept[..3], ["2025-04-01", "2025-05-01", "2025-06-01"]);
        assert_eq!(
            kept[12..],
            [
                "2026-03-13",
                "2026-03-14",
                "2026-03-15",
                "2026-03-16",
                "2026-03-17",
                "2026-03-18",
                "2026-03-19"
            ]
        );
        assert_eq!(kept.len(), 19);
    }

    #[test]
    fn copies_that_are_made_seldom_are_all_kept() {
        let days: BTreeSet<NaiveDate> =
            ["2024-02-29", "2024-05-03", "2025-01-01", "2025-01-30"].map(day).into();
        assert!(outlived(&days).is_empty());
    }

    #[test]
    fn two_days_without_a_copy_are_no_reason_to_say_anything() {
        let days: BTreeSet<NaiveDate> = [day("2026-02-27")].into();
        let late = |days: &BTreeSet<NaiveDate>, today| CopiesView::new(String::new(), days, day(today)).late;
        assert!(!late(&days, "2026-03-01") && late(&days, "2026-03-02"));
        assert!(late(&BTreeSet::new(), "2026-03-01"));
        // A clock that was set back makes a copy of a day that is still to come.
        assert!(!late(&days, "2026-02-01"));
    }
}
