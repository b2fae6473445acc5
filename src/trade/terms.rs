//! The workshop's terms: how long after its delivery what becomes of a string is made right free.

use chrono::{Months, NaiveDate};
use serde::{Deserialize, Serialize};

use super::records::SoldString;
use crate::words;

words! {
    /// What the terms tell apart. Method V33.
    TermsOf, "cause under the terms" {
        /// Ordered, built or advised wrongly: always free.
        Workshop = "workshop",
        /// Worn, broken or come loose in use.
        Wear = "wear",
        /// Shot without an arrow, or turned out too far.
        Handling = "handling",
        /// The archer cut it.
        OwnCut = "own-cut",
    }
}

/// Months from delivery within which each cause is made right free; absent: always.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Terms {
    /// Wear.
    pub wear: Option<u32>,
    /// Handling.
    pub handling: Option<u32>,
    /// The archer's own cut.
    pub own_cut: Option<u32>,
    /// What a new string costs the archer outside the terms, minor units.
    pub price: Option<i64>,
}

/// The term that counts for what is made for a report.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Term {
    /// Its cause.
    pub of: TermsOf,
    /// Months from `since`.
    pub months: u32,
    /// Day of delivery; where nobody knows it, of the sale.
    pub since: NaiveDate,
    /// `since` is the day of delivery.
    pub delivered: bool,
    /// It was over when the archer wrote.
    pub over: bool,
}

impl Terms {
    /// The term of a cause for a string about which an archer first wrote on that day; none where
    /// the cause is made right free always. The last day counts as within. Method V32.
    #[must_use]
    pub fn term(&self, of: TermsOf, string: &SoldString, reported: NaiveDate) -> Option<Term> {
        let months = match of {
            TermsOf::Workshop => None,
            TermsOf::Wear => self.wear,
            TermsOf::Handling => self.handling,
            TermsOf::OwnCut => self.own_cut,
        }?;
        let since = string.delivered_on.unwrap_or(string.sold_on);
        let ends = since.checked_add_months(Months::new(months)).unwrap_or(NaiveDate::MAX);
        Some(Term {
            of,
            months,
            since,
            delivered: string.delivered_on.is_some(),
            // Of no months at all nothing is within.
            over: months == 0 || reported > ends,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Length;
    use crate::trade::words::Route;

    #[test]
    fn a_term_counts_from_delivery_and_its_last_day_is_within() {
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        let length = Length::try_from_inches(58.0).unwrap();
        let sold = SoldString::new("S-1".to_owned(), day("2024-01-20"), Route::Marked, length);
        let delivered = SoldString { delivered_on: Some(day("2024-01-31")), ..sold.clone() };
        let terms = Terms { wear: Some(25), handling: Some(0), ..Terms::default() };
        let over = |string: &SoldString, of, reported: &str| {
            terms.term(of, string, day(reported)).map(|term| term.over)
        };
        // 25 months from the end of January end on the last day of February.
        assert_eq!(over(&delivered, TermsOf::Wear, "2026-02-28"), Some(false));
        assert_eq!(over(&delivered, TermsOf::Wear, "2026-03-01"), Some(true));
        assert_eq!(over(&sold, TermsOf::Wear, "2026-02-20"), Some(false));
        assert_eq!(over(&sold, TermsOf::Wear, "2026-02-21"), Some(true));
        assert_eq!(over(&delivered, TermsOf::Handling, "2024-01-31"), Some(true));
        for free in [TermsOf::OwnCut, TermsOf::Workshop] {
            assert_eq!(over(&delivered, free, "2200-01-01"), None);
        }
    }
}
