//! What can be seen of a string on the day of the look.

use chrono::NaiveDate;

use super::EvidenceError;
use super::calendar::Month;

/// Days after delivery within which a report counts; later ones stay on file only.
pub const HORIZON_DAYS: u32 = 180;
/// Months of deliveries that are looked at, the month of the look included.
pub const MEMORY_MONTHS: u32 = 24;

/// The days of one delivered string. Free replacements are left out by the caller.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StringDays {
    /// Day of delivery.
    pub delivered: NaiveDate,
    /// Day of the first fit report, if any came.
    pub first_fit_report: Option<NaiveDate>,
}

/// A string as it stands on the day of the look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sighting {
    /// Days from delivery to the look.
    pub age_days: u32,
    /// Days from delivery to the first fit report, if one has come by then and in time.
    pub delay_days: Option<u32>,
}

/// Which deliveries and reports count.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Memory {
    /// Months of deliveries, the month of the look included.
    pub months: u32,
    /// Days within which a report counts.
    pub horizon_days: u32,
    /// Earlier deliveries are left out, for instance after a change alarm.
    pub not_before: Option<NaiveDate>,
}

impl Default for Memory {
    fn default() -> Self {
        Self { months: MEMORY_MONTHS, horizon_days: HORIZON_DAYS, not_before: None }
    }
}

impl Memory {
    /// The first day whose deliveries count, for a look on `look`.
    #[must_use]
    pub fn first_day(&self, look: NaiveDate) -> NaiveDate {
        let back = i32::try_from(self.months.saturating_sub(1)).unwrap_or(i32::MAX);
        let start = Month::of(look).plus(-back).first_day();
        self.not_before.map_or(start, |day| day.max(start))
    }
}

/// Age and delay of a string on the day of the look; `None` if it does not count on that day.
///
/// What: days between delivery, report and look (E24). Symbols: days. Assumptions: the look is the
/// last day of the month, or today while it runs. Valid range: any calendar day; a string delivered
/// after the look or before the memory does not count, a report after the look or beyond the
/// horizon has not been seen. Source: definition.
///
/// # Errors
/// When the report lies before the delivery.
pub fn sighting(
    string: &StringDays,
    look: NaiveDate,
    memory: &Memory,
) -> Result<Option<Sighting>, EvidenceError> {
    if let Some(day) = string.first_fit_report
        && day < string.delivered
    {
        return Err(EvidenceError::BeforeDelivery { name: "report", day, delivered: string.delivered });
    }
    let Some(age_days) = days_between(string.delivered, look) else {
        return Ok(None);
    };
    if string.delivered < memory.first_day(look) {
        return Ok(None);
    }
    let delay_days = string
        .first_fit_report
        .filter(|day| *day <= look)
        .and_then(|day| days_between(string.delivered, day))
        .filter(|delay| *delay <= memory.horizon_days);
    Ok(Some(Sighting { age_days, delay_days }))
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

    fn seen(delivered: &str, report: Option<&str>, look: &str) -> Option<Sighting> {
        let string = StringDays { delivered: day(delivered), first_fit_report: report.map(day) };
        sighting(&string, day(look), &Memory::default()).unwrap()
    }

    #[test]
    fn age_and_delay_are_days_from_delivery() {
        let sighting = seen("2025-03-01", Some("2025-03-11"), "2025-03-31").unwrap();
        assert_eq!((sighting.age_days, sighting.delay_days), (30, Some(10)));
    }

    #[test]
    fn a_string_delivered_on_the_day_of_the_look_has_age_zero() {
        assert_eq!(seen("2025-03-31", None, "2025-03-31").unwrap().age_days, 0);
    }

    #[test]
    fn what_lies_after_the_look_has_not_been_seen() {
        assert_eq!(seen("2025-04-01", None, "2025-03-31"), None);
        let early = seen("2025-03-01", Some("2025-04-02"), "2025-03-31").unwrap();
        assert_eq!(early.delay_days, None);
    }

    #[test]
    fn a_report_counts_up_to_the_horizon_and_not_a_day_longer() {
        // 180 days after 1 January 2025 is 30 June.
        let last = seen("2025-01-01", Some("2025-06-30"), "2025-12-31").unwrap();
        assert_eq!(last.delay_days, Some(180));
        let late = seen("2025-01-01", Some("2025-07-01"), "2025-12-31").unwrap();
        assert_eq!(late.delay_days, None);
    }

    #[test]
    fn memory_reaches_back_twenty_four_whole_months() {
        assert!(seen("2023-04-01", None, "2025-03-31").is_some());
        assert!(seen("2023-03-31", None, "2025-03-31").is_none());
        let memory = Memory { not_before: Some(day("2025-01-10")), ..Memory::default() };
        assert_eq!(memory.first_day(day("2025-03-31")), day("2025-01-10"));
    }

    #[test]
    fn a_report_before_the_delivery_is_an_error_that_names_both_days() {
        let string = StringDays { delivered: day("2025-03-02"), first_fit_report: Some(day("2025-03-01")) };
        let error = sighting(&string, day("2025-03-31"), &Memory::default()).unwrap_err();
        let text = error.to_string();
        assert!(text.contains("2025-03-01") && text.contains("2025-03-02"));
    }
}
