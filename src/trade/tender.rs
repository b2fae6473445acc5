//! Bows that low-stretch yarn may break. Method V13.

use chrono::{Datelike, NaiveDate};

use super::advice::TenderBow;
use super::records::BowProfile;
use super::rules::Rules;
use super::words::{Stave, Tips};

/// Why low-stretch yarn may break a bow: plain tips, a stave of wood alone, its age. Method V13.
#[must_use]
pub fn tender_bow(bow: &BowProfile, today: NaiveDate, rules: &Rules) -> Option<TenderBow> {
    if bow.tips == Tips::Plain {
        return Some(TenderBow::PlainTips);
    }
    if bow.stave == Stave::Wood {
        return Some(TenderBow::WoodStave);
    }
    let age = bow.year.map(|year| today.year() - year);
    age.filter(|age| *age >= rules.vintage_years).map(TenderBow::Vintage)
}

/// Whether a bow takes polyester only: it is tender, and its maker does not allow low-stretch yarn.
/// Method V13.
#[must_use]
pub fn takes_polyester_only(bow: &BowProfile, today: NaiveDate, rules: &Rules) -> bool {
    !bow.maker_allows_low_stretch && tender_bow(bow, today, rules).is_some()
}

/// Whether nothing is known that would tell a tender bow from another. Method V13.
#[must_use]
pub fn may_be_tender(bow: &BowProfile) -> bool {
    bow.tips == Tips::Unknown && bow.stave == Stave::Unknown && bow.year.is_none()
}
