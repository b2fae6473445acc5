//! Reading calendar dates.

use chrono::NaiveDate;

use super::error::{QuantityError, Refusal};
use super::text::{require_sensible_length, trimmed};

/// Years in which something in the book can have happened.
const YEARS: std::ops::RangeInclusive<i32> = 1900..=2200;

/// Reads a calendar date.
///
/// `2025-03-14`, optionally followed by `T` or a blank and a time, which is
/// ignored; `14.03.2025`, where the day stands first; and dates with strokes or
/// with hyphens and the year last, where the order of day and month cannot be
/// doubted.
///
/// # Errors
///
/// Refuses what is no such text, days that do not exist, years outside 1900 to
/// 2200, and dates such as `03/04/2025`, whose two readings are named.
///
/// ```
/// use fistmele::quantity::parse_date;
///
/// assert_eq!(parse_date("25/03/2025"), parse_date("2025-03-25T14:05:00Z"));
/// let refused = parse_date("03/04/2025").unwrap_err();
/// assert_eq!(refused.likely.as_deref(), Some("2025-04-03 or 2025-03-04"));
/// ```
pub fn parse_date(text: &str) -> Result<NaiveDate, QuantityError> {
    read_date(trimmed(text))
        .map_err(|refusal| refusal.into_error(text, ["2025-03-14".to_owned(), "14.03.2025".to_owned()]))
}

fn read_date(text: &str) -> Result<NaiveDate, Refusal> {
    require_sensible_length(text)?;
    // Copied dates come with typographic hyphens and blanks.
    let text: String = text
        .chars()
        .map(|c| match c {
            '\u{2010}'..='\u{2013}' | '\u{2212}' => '-',
            c if c.is_whitespace() => ' ',
            c => c,
        })
        .collect();
    let end =
        text.find(|c: char| !(c.is_ascii_digit() || matches!(c, '-' | '/' | '.'))).unwrap_or(text.len());
    let (date, rest) = text.split_at_checked(end).unwrap_or((&text, ""));
    if !rest.is_empty() && !is_time(rest) {
        return Err(Refusal::new("more than a date and a time of day is written"));
    }
    let Some(separator) = date.chars().find(|c| !c.is_ascii_digit()) else {
        return Err(match digits_as_date(date) {
            Some(day) => Refusal::new("the parts of the date are not set apart").likely(day.to_string()),
            None => Refusal::new("it is no date of year, month and day"),
        });
    };
    let parts: Vec<&str> = date.split(separator).collect();
    let &[first, second, third] = parts.as_slice() else {
        return Err(Refusal::new("a date has three parts: year, month and day"));
    };
    if first.len() == 4 {
        let date = on_day(number(first)?, number(second)?, number(third)?)?;
        if separator == '.' {
            let reason = "with points the day stands first and the year last";
            return Err(Refusal::new(reason).likely(date.to_string()));
        }
        return Ok(date);
    }
    if third.len() == 4 {
        return with_year_last(separator, number(first)?, number(second)?, number(third)?);
    }
    Err(Refusal::new("the year must have four digits"))
}

/// A date whose year stands last: day first with points, else whichever is certain.
fn with_year_last(separator: char, first: u32, second: u32, year: u32) -> Result<NaiveDate, Refusal> {
    let day_first = on_day(year, second, first);
    let month_first = on_day(year, first, second);
    if separator == '.' {
        return day_first.map_err(|refusal| match month_first {
            Ok(date) => Refusal::new("with points the day stands first").likely(date.to_string()),
            Err(_) => refusal,
        });
    }
    match (day_first, month_first) {
        (Ok(one), Ok(other)) if one != other => {
            Err(Refusal::new("it cannot be told which is the day and which the month")
                .likely(format!("{one} or {other}")))
        }
        (Ok(date), _) | (Err(_), Ok(date)) => Ok(date),
        (Err(refusal), Err(_)) => Err(refusal),
    }
}

fn number(digits: &str) -> Result<u32, Refusal> {
    if digits.is_empty() || digits.len() > 4 || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return Err(Refusal::new("the parts of a date are whole numbers"));
    }
    digits.parse().map_err(|_| Refusal::new("the parts of a date are whole numbers"))
}

fn on_day(year: u32, month: u32, day: u32) -> Result<NaiveDate, Refusal> {
    let year = i32::try_from(year).unwrap_or(i32::MAX);
    if !YEARS.contains(&year) {
        return Err(Refusal::new(format!("the year is outside {} to {}", YEARS.start(), YEARS.end())));
    }
    NaiveDate::from_ymd_opt(year, month, day)
        .ok_or_else(|| Refusal::new("there is no such day in the calendar"))
}

/// The day that eight digits in a row most likely are.
fn digits_as_date(digits: &str) -> Option<NaiveDate> {
    if digits.len() != 8 {
        return None;
    }
    let part = |range| number(digits.get(range)?).ok();
    on_day(part(0..4)?, part(4..6)?, part(6..8)?).ok()
}

/// Whether `text` is a time of day with what sets it apart from the date:
/// `T14:05:00.000Z`, ` 14:05`, ` 2:05 pm`, `T14:05+01:00`.
fn is_time(text: &str) -> bool {
    let Some(time) = text.strip_prefix(['T', 't', ' ']).map(str::trim) else {
        return false;
    };
    let clock_end =
        time.find(|c: char| !(c.is_ascii_digit() || matches!(c, ':' | '.' | ','))).unwrap_or(time.len());
    let Some((clock, zone)) = time.split_at_checked(clock_end) else {
        return false;
    };
    is_clock(clock) && is_zone(zone.trim())
}

fn is_clock(clock: &str) -> bool {
    let mut parts = clock.split(':');
    let is_below = |part: Option<&str>, limit: u32| {
        part.is_some_and(|part| {
            (1..=2).contains(&part.len()) && part.parse().is_ok_and(|value: u32| value < limit)
        })
    };
    let hour_and_minute = is_below(parts.next(), 25) && is_below(parts.next(), 60);
    let second = parts.next().is_none_or(|part| {
        let (whole, fraction) = part.split_once(['.', ',']).unwrap_or((part, "0"));
        // 60 is a leap second.
        is_below(Some(whole), 61) && fraction.bytes().all(|byte| byte.is_ascii_digit())
    });
    hour_and_minute && second && parts.next().is_none()
}

fn is_zone(zone: &str) -> bool {
    if let Some(offset) = zone.strip_prefix(['+', '-']) {
        return offset.len() <= 5
            && offset.starts_with(|c: char| c.is_ascii_digit())
            && offset.chars().all(|c| c.is_ascii_digit() || c == ':');
    }
    matches!(zone.to_ascii_lowercase().as_str(), "" | "z" | "utc" | "gmt" | "am" | "pm")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refused(text: &str) -> QuantityError {
        match parse_date(text) {
            Ok(date) => panic!("{text} was taken as {date}"),
            Err(error) => error,
        }
    }

    #[test]
    fn every_spelling_of_a_date_is_taken() {
        let date = NaiveDate::from_ymd_opt(2025, 3, 14).unwrap();
        for text in [
            "2025-03-14",
            " 2025-03-14 ",
            "2025-3-14",
            "2025/03/14",
            "2025‑03‑14",
            "14.03.2025",
            "14.3.2025",
            "14/03/2025",
            "03/14/2025",
            "14-03-2025",
            "2025-03-14T09:30",
            "2025-03-14T09:30:00Z",
            "2025-03-14t09:30:00.123+01:00",
            "2025-03-14 09:30",
            "2025-03-14 9:30 pm",
            "2025-03-14 24:00:00",
            "2025-03-14 09:30:00 UTC",
            "2025-03-14 09:30:00 +0100",
            "14.03.2025 09:30",
            "2025-03-14\u{a0}09:30",
        ] {
            assert_eq!(parse_date(text), Ok(date), "{text}");
        }
        assert!(parse_date("05/05/2025").is_ok());
        assert!(parse_date("2024-02-29").is_ok());
    }

    #[test]
    fn a_date_whose_order_can_be_doubted_is_refused_with_both_readings() {
        for text in ["03/04/2025", "03-04-2025"] {
            assert_eq!(refused(text).likely.as_deref(), Some("2025-04-03 or 2025-03-04"));
        }
        assert_eq!(refused("03.14.2025").likely.as_deref(), Some("2025-03-14"));
        assert_eq!(refused("20250314").likely.as_deref(), Some("2025-03-14"));
    }

    #[test]
    fn what_is_no_date_is_refused() {
        for text in [
            "",
            "today",
            "14 March 2025",
            "2025-02-29",
            "2025-13-01",
            "2025-00-10",
            "2025-01-00",
            "31/02/2025",
            "1899-12-31",
            "2201-01-01",
            "14.03.25",
            "25-03-14",
            "2025-03",
            "2025-03-14-15",
            "2025-03/14",
            "2025.03.14",
            "2025-03-14x",
            "2025-03-14 rubbish",
            "2025-03-14T",
            "2025-03-14T25:00",
            "2025-03-14 12",
            "2025-03-14 12:60",
            "-2025-03-14",
            "2025--03-14",
            "02025-03-14",
            "２０２５-03-14",
            "2025-03-14 09:30 later",
            "1/1/1/1",
            "2025-03-14\u{0}",
            "99999999999",
            "2025-03-14 2025-03-15",
        ] {
            refused(text);
        }
        refused(&"2025-03-14".repeat(100_000));
    }

    #[test]
    fn the_years_at_the_ends_are_taken() {
        assert!(parse_date("1900-01-01").is_ok());
        assert!(parse_date("31.12.2200").is_ok());
    }
}
