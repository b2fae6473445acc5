//! The month sheet of a book, as of a day.

use chrono::NaiveDate;

use super::error::AppError;
use crate::book::{Book, Page};
use crate::evidence::EvidenceError;
use crate::evidence::calendar::{Month, first_day_of_memory};
use crate::month::view::MonthView;
use crate::month::{Fineness, Shop, name, work_out};
use crate::trade::month::{MonthRules, Offsets};

impl From<EvidenceError> for AppError {
    fn from(error: EvidenceError) -> Self {
        Self::Internal(format!("the month sheet cannot be worked out: {error}"))
    }
}

/// The month a text names; the running one without a text.
///
/// # Errors
/// It cannot be read, or lies ahead.
pub fn month_of(text: Option<&str>, today: NaiveDate) -> Result<Month, AppError> {
    let running = Month::of(today);
    let Some(text) = text else { return Ok(running) };
    let read = || -> Option<Month> {
        let (a, b) = text.trim().split_once(['-', '/', '.'])?;
        let digits = |part: &str, most: usize| {
            (!part.is_empty() && part.len() <= most && part.bytes().all(|byte| byte.is_ascii_digit()))
                .then(|| part.parse::<i32>().ok())
                .flatten()
        };
        let (year, month) =
            if a.len() == 4 { (digits(a, 4)?, digits(b, 2)?) } else { (digits(b, 4)?, digits(a, 2)?) };
        (1900..=2200).contains(&year).then(|| Month::new(year, u32::try_from(month).ok()?)).flatten()
    };
    let Some(month) = read() else {
        return Err(AppError::Refused {
            message: format!("\"{}\" is no month", crate::words::shorten(text)),
            hints: vec![format!(
                "write it like {} or {:02}/{}",
                name(running),
                running.number(),
                running.year()
            )],
        });
    };
    if month > running {
        return Err(AppError::refused(
            format!("{} lies ahead of today, {today}", name(month)),
            format!("the running month is {}", name(running)),
        ));
    }
    Ok(month)
}

/// The sheet of a month; while it runs, as of today.
///
/// # Errors
/// The book cannot be read.
pub fn sheet(book: &mut Book, month: Month, today: NaiveDate) -> Result<MonthView, AppError> {
    let to = month.last_day().min(today);
    let shop = book.read(|page| shop_on(page, to))?;
    Ok(work_out(shop, month, to, Fineness::Page)?)
}

/// What a sheet hangs on beside its month and the day: the same as long as nothing was written.
///
/// # Errors
/// The book cannot be read.
pub fn written_so_far(book: &mut Book) -> Result<[i64; 4], AppError> {
    book.read(|page| Ok(page.newest_rows()?))
}

/// Rows, offsets and rules as they stand on a day.
pub(super) fn shop_on(page: &Page<'_>, to: NaiveDate) -> Result<Shop, AppError> {
    let rules = super::page_rules(page)?;
    let own = MonthRules::of(&rules);
    let from = first_day_of_memory(to, own.memory_months);
    let (rows, lots) = page.month_strings(from, to, own.delivery_days)?;
    let changes = page.offset_changes(to)?;
    let offsets =
        Offsets::from_changes(changes.iter().map(|(name, value, on)| (name.as_str(), value.as_str(), *on)));
    let reports_since = match own.reports_since {
        Some(day) => Some(day),
        None => page.reports_since()?,
    };
    Ok(Shop { rows, lots, offsets, reports_since, rules })
}
