//! What the month sheet counts: which reports are about fit, which were misfits, and what each
//! string tells about its length.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use serde::Serialize;

use super::ranges::wanted;
use super::records::BowProfile;
use super::rules::Rules;
use super::words::{Cause, Direction, Outcome, Route, Symptom};
use crate::evidence::length_error::Known;
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::quantity::LengthRange;
use crate::words;

words! {
    /// What a quiet archer answered.
    QuietAnswer, "answer" {
        /// It braces where it is wanted.
        Fits = "fits",
        /// It had to be turned.
        Turned = "turned",
        /// A brace height was given.
        Brace = "brace",
    }
}

words! {
    /// How the string was found about which an archer answered.
    DrawnBy, "drawn by" {
        /// Drawn where an answer is worth most.
        Worth = "worth",
        /// Drawn purely by lot.
        Lot = "lot",
        /// Not drawn: the card that went out with the string came back.
        Card = "card",
    }
}

words! {
    /// Why a complaint is none of the sheet's reports.
    OtherKind, "kind" {
        /// The string was built off what was ordered: it stands with its maker, not with its route.
        BuiltOff = "built-off",
        /// It is not about fit.
        NotAboutFit = "not-about-fit",
        /// The string had complained about fit before.
        Again = "again",
        /// It came later than reports count.
        TooLate = "too-late",
    }
}

/// Strings of one day that are alike, or one string with its report or answer.
#[derive(Debug, Clone, PartialEq)]
pub struct MonthRow {
    /// Day of delivery, or the day of sale and the usual days after it.
    pub delivered: NaiveDate,
    /// Route.
    pub route: Route,
    /// Kind of bow.
    pub kind: BowKind,
    /// Inches taken off, where recorded.
    pub offset: Option<f64>,
    /// Yarn.
    pub yarn: Yarn,
    /// Lot of the yarn, where there is a report or an answer.
    pub spool: Option<String>,
    /// Initials of who made it, where there is a report or an answer.
    pub maker: Option<String>,
    /// A free replacement.
    pub replacement: bool,
    /// How many strings; 1 where there is a report or an answer.
    pub count: u32,
    /// Row of the string, where there is a report or an answer.
    pub string: Option<i64>,
    /// One report of it.
    pub report: Option<Box<ReportFacts>>,
    /// What its archer answered when asked.
    pub answer: Option<AnswerFacts>,
}

/// How many strings that are no replacements lots of yarn went into, and makers made.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct MonthLots {
    /// Strings by name of the lot.
    pub spools: BTreeMap<String, u32>,
    /// Strings by initials of the maker.
    pub makers: BTreeMap<String, u32>,
    /// Strings that are left out of all figures.
    pub sizing_unknown: SizingUnknown,
}

/// Strings whose sizing nobody knows: no route is better or worse for them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize)]
pub struct SizingUnknown {
    /// Strings.
    pub strings: u32,
    /// Their reports.
    pub reports: u32,
    /// Money booked for these.
    pub cost_cents: i64,
}

/// What counts of an answer to the question whether a string fits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AnswerFacts {
    /// Right minus ordered length by the reading that was given, inches; `None` where all that was said
    /// is that it fits.
    pub reading_inch: Option<f64>,
    /// Chance with which its archer was drawn to be asked, where that is known.
    pub chance: Option<f64>,
}

/// What counts of a report.
#[derive(Debug, Clone, PartialEq)]
pub struct ReportFacts {
    /// Its number.
    pub number: i64,
    /// Day.
    pub received_on: NaiveDate,
    /// Complaints.
    pub symptoms: Vec<Symptom>,
    /// Direction of an old report of which nothing else is known.
    pub direction: Option<Direction>,
    /// First brace height of the report, inches.
    pub brace: Option<f64>,
    /// Wish of the archer.
    pub want: Option<LengthRange>,
    /// The bow, as far as a wanted range hangs on it.
    pub bow: BowProfile,
    /// Length ordered, inches.
    pub ordered: f64,
    /// End, where it has one.
    pub end: Option<ReportEnd>,
    /// It was put right by turning the string end for end alone.
    pub flipped: bool,
    /// Money that went into it, minor units.
    pub cents: Option<i64>,
}

/// How a report ended.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ReportEnd {
    /// Outcome.
    pub outcome: Outcome,
    /// Cause.
    pub cause: Cause,
    /// Right length, inches.
    pub right_length: Option<f64>,
}

impl ReportFacts {
    /// Where the brace height lies against the wanted range: above it the string is too short.
    fn brace_direction(&self, rules: &Rules) -> Option<Direction> {
        let marked = self.bow.marked_length.map(crate::quantity::Length::inches);
        let range = wanted(&self.bow, self.want, marked, rules)?;
        let brace = self.brace?;
        if range.contains(brace) {
            None
        } else {
            Some(if brace > range.high { Direction::Short } else { Direction::Long })
        }
    }

    /// Whether the report is about fit: a fit symptom, a direction, or noise or slap with a brace
    /// height outside the range.
    #[must_use]
    pub fn is_fit(&self, rules: &Rules) -> bool {
        self.symptoms.iter().any(|symptom| symptom.is_fit())
            || self.direction.is_some()
            || (self.symptoms.iter().any(|symptom| symptom.is_fit_with_reading())
                && self.brace_direction(rules).is_some())
    }

    /// Cause once settled, `unknown` before.
    #[must_use]
    pub fn cause(&self) -> Cause {
        self.end.map_or(Cause::Unknown, |end| end.cause)
    }

    /// Whether a fit report was a misfit: adjusted by turns or remade, with cause sizing or unknown.
    #[must_use]
    pub fn is_misfit(&self) -> bool {
        self.end.is_some_and(|end| {
            let mended = match end.outcome {
                Outcome::Adjusted => !self.flipped,
                Outcome::Remade => true,
                _ => false,
            };
            mended && matches!(end.cause, Cause::Sizing | Cause::Unknown)
        })
    }

    /// Which way the string missed, as far as the report says; a right length says it best.
    #[must_use]
    pub fn direction(&self, rules: &Rules) -> Option<Direction> {
        let error = self.end.and_then(|end| end.right_length).map(|right| right - self.ordered);
        match error {
            Some(error) if error > 1e-9 => return Some(Direction::Short),
            Some(error) if error < -1e-9 => return Some(Direction::Long),
            _ => {}
        }
        let says = |long: bool| {
            self.symptoms.iter().any(|symptom| {
                if long {
                    matches!(symptom, Symptom::TooLong | Symptom::BraceLow)
                } else {
                    matches!(symptom, Symptom::TooShort | Symptom::BraceHigh | Symptom::WillNotString)
                }
            })
        };
        match (says(true), says(false)) {
            (true, false) => Some(Direction::Long),
            (false, true) => Some(Direction::Short),
            // Of symptoms that contradict each other only a reading can decide.
            _ => self.direction.or_else(|| self.brace_direction(rules)),
        }
    }

    /// What a fit report tells of the length error; `None` where it tells nothing.
    #[must_use]
    pub fn known(&self, rules: &Rules) -> Option<Known> {
        let by_direction = || {
            self.direction(rules).map(|direction| match direction {
                Direction::Long => Known::TooLong,
                Direction::Short => Known::TooShort,
            })
        };
        let Some(end) = self.end else { return by_direction() };
        // Another yarn has another right length; what was built wrong says nothing of the order.
        if matches!(end.cause, Cause::Workshop | Cause::YarnChoice | Cause::Bow) {
            return None;
        }
        // A slip of the pen is no evidence: no bow takes a string 6 in off.
        if let Some(error) = end.right_length.map(|right| right - self.ordered).filter(|e| e.abs() <= 6.0) {
            return Some(Known::RightLength { error_inch: error });
        }
        match (end.outcome, end.cause) {
            (_, Cause::Settling | Cause::Handling | Cause::Cosmetic) => Some(Known::Fits),
            (Outcome::Reassured | Outcome::Mended, _) => Some(Known::Fits),
            (Outcome::Adjusted, _) if self.flipped => Some(Known::Fits),
            (Outcome::Adjusted | Outcome::Remade | Outcome::Unfinished, _) => by_direction(),
            (Outcome::Referred, _) => None,
        }
    }
}

/// Initials for a sheet that leaves the house: those on the label, else made from the name.
#[must_use]
pub fn initials(on_label: Option<&str>, name: Option<&str>) -> Option<String> {
    let clean = |text: &str| {
        let text: String = crate::words::harmless(text)
            .replace('\n', " ")
            .trim()
            .chars()
            .take(super::plausible::MOST_INITIALS)
            .collect();
        (!text.is_empty()).then_some(text)
    };
    on_label.and_then(clean).or_else(|| {
        let letters: String = crate::words::harmless(name?)
            .split_whitespace()
            .filter_map(|word| word.chars().next())
            .filter(|letter| letter.is_alphanumeric())
            .flat_map(char::to_uppercase)
            .take(4)
            .collect();
        (!letters.is_empty()).then_some(letters)
    })
}

/// The workshop's rules for the month sheet.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct MonthRules {
    /// A string may be this much too long: it is shortened by turns.
    pub play_shorten: f64,
    /// A string may be this much too short: it is let out.
    pub play_lengthen: f64,
    /// Share of misfits that are told.
    pub told_share: f64,
    /// Days after delivery within which a report counts.
    pub horizon_days: u32,
    /// Months of deliveries that are looked at.
    pub memory_months: u32,
    /// Days from sale to delivery where no delivery is recorded.
    pub delivery_days: u32,
    /// Quiet archers to ask in a month.
    pub questions: u32,
    /// Day since which complaints are written down, where the workshop says so.
    pub reports_since: Option<NaiveDate>,
}

impl MonthRules {
    /// The rules for the sheet as the workshop set them.
    #[must_use]
    pub fn of(rules: &Rules) -> Self {
        let number = |name: &str| rules.number(name);
        let (shorten, lengthen) = (number("month.play-shorten"), number("month.play-lengthen"));
        // No play at all would leave nothing that fits.
        let none = shorten + lengthen < 1.0 / 16.0;
        Self {
            play_shorten: if none { 1.0 / 16.0 } else { shorten },
            play_lengthen: lengthen,
            told_share: number("month.told-share"),
            horizon_days: number("month.horizon") as u32,
            memory_months: number("month.memory") as u32,
            delivery_days: number("month.delivery-days") as u32,
            questions: number("month.questions") as u32,
            reports_since: rules.get("month.reports-since").and_then(|day| day.parse().ok()),
        }
    }
}

/// A change of a setting that was an offset: day, kept value before and after.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OffsetChange {
    /// Day.
    pub on: NaiveDate,
    /// Taken off before.
    pub from: f64,
    /// Taken off since.
    pub to: f64,
}

/// Offsets in force on a day with the last change of each, from the changes of all settings.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Offsets {
    values: BTreeMap<(Route, BowKind), f64>,
    changes: BTreeMap<(Route, BowKind), OffsetChange>,
}

impl Offsets {
    /// From the changes of settings up to a day, oldest first: name, kept value, day.
    #[must_use]
    pub fn from_changes<'a>(changes: impl IntoIterator<Item = (&'a str, &'a str, NaiveDate)>) -> Self {
        let mut offsets = Self::default();
        for (name, value, on) in changes {
            let mut parts = name.split('.');
            let (Some("offset"), Some(Ok(route)), Some(Ok(kind)), None) = (
                parts.next(),
                parts.next().map(str::parse::<Route>),
                parts.next().map(str::parse::<BowKind>),
                parts.next(),
            ) else {
                continue;
            };
            let from = offsets.in_force(route, kind);
            let to = value.parse().unwrap_or_else(|_| super::setting::default_offset(route, kind));
            offsets.values.insert((route, kind), to);
            if (to - from).abs() > 1e-9 {
                offsets.changes.insert((route, kind), OffsetChange { on, from, to });
            }
        }
        offsets
    }

    /// Inches taken off.
    #[must_use]
    pub fn in_force(&self, route: Route, kind: BowKind) -> f64 {
        self.values
            .get(&(route, kind))
            .copied()
            .unwrap_or_else(|| super::setting::default_offset(route, kind))
    }

    /// The last change, if there was one.
    #[must_use]
    pub fn last_change(&self, route: Route, kind: BowKind) -> Option<OffsetChange> {
        self.changes.get(&(route, kind)).copied()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::quantity::Length;

    fn report(symptoms: &[Symptom]) -> ReportFacts {
        ReportFacts {
            number: 1,
            received_on: NaiveDate::from_ymd_opt(2026, 3, 1).unwrap(),
            symptoms: symptoms.to_vec(),
            direction: None,
            brace: None,
            want: None,
            bow: BowProfile::default(),
            ordered: 60.0,
            end: None,
            flipped: false,
            cents: None,
        }
    }

    fn ended(outcome: Outcome, cause: Cause, right_length: Option<f64>) -> ReportFacts {
        let end = Some(ReportEnd { outcome, cause, right_length });
        ReportFacts { end, ..report(&[Symptom::BraceHigh]) }
    }

    #[test]
    fn noise_is_about_fit_only_with_a_brace_height_outside_the_range() {
        let rules = Rules::default();
        let range =
            LengthRange::new(Length::try_from_inches(7.5).unwrap(), Length::try_from_inches(8.0).unwrap());
        let noisy = |brace| ReportFacts { brace, want: range, ..report(&[Symptom::Noisy]) };
        assert!(!noisy(None).is_fit(&rules));
        assert!(!noisy(Some(7.75)).is_fit(&rules));
        assert!(noisy(Some(8.5)).is_fit(&rules));
        assert_eq!(noisy(Some(8.5)).direction(&rules), Some(Direction::Short));
        assert!(report(&[Symptom::WillNotString]).is_fit(&rules));
        assert!(!report(&[Symptom::Fuzzy, Symptom::LoopFit]).is_fit(&rules));
    }

    #[test]
    fn misfits_are_adjusted_by_turns_or_remade_for_sizing_or_unknown() {
        for (outcome, cause, misfit) in [
            (Outcome::Adjusted, Cause::Sizing, true),
            (Outcome::Remade, Cause::Unknown, true),
            (Outcome::Remade, Cause::Workshop, false),
            (Outcome::Adjusted, Cause::Handling, false),
            (Outcome::Adjusted, Cause::Settling, false),
            (Outcome::Remade, Cause::YarnChoice, false),
            (Outcome::Reassured, Cause::Unknown, false),
            (Outcome::Unfinished, Cause::Sizing, false),
        ] {
            assert_eq!(ended(outcome, cause, None).is_misfit(), misfit, "{outcome} {cause}");
        }
        let flipped = ReportFacts { flipped: true, ..ended(Outcome::Adjusted, Cause::Unknown, None) };
        assert!(!flipped.is_misfit());
    }

    #[test]
    fn what_is_known_of_the_length_follows_from_the_end() {
        let rules = Rules::default();
        let known = |outcome, cause, right| ended(outcome, cause, right).known(&rules);
        let right = known(Outcome::Remade, Cause::Sizing, Some(60.5));
        assert_eq!(right, Some(Known::RightLength { error_inch: 0.5 }));
        assert_eq!(known(Outcome::Remade, Cause::Sizing, None), Some(Known::TooShort));
        assert_eq!(known(Outcome::Reassured, Cause::Unknown, None), Some(Known::Fits));
        assert_eq!(known(Outcome::Remade, Cause::Workshop, Some(60.5)), None);
        assert_eq!(known(Outcome::Remade, Cause::Sizing, Some(90.0)), Some(Known::TooShort));
        assert_eq!(report(&[Symptom::BraceLow]).known(&rules), Some(Known::TooLong));
        assert_eq!(report(&[Symptom::BraceLow, Symptom::TooShort]).known(&rules), None);
    }

    #[test]
    fn an_offset_is_that_of_its_day_and_its_last_real_change_is_known() {
        let day = |d| NaiveDate::from_ymd_opt(2026, 3, d).unwrap();
        let changes = [
            ("offset.marked.recurve", "3.625", day(1)),
            ("offset.marked.recurve", "3.625", day(5)),
            ("units", "mm", day(6)),
            ("offset.nowhere.recurve", "1", day(7)),
        ];
        let offsets = Offsets::from_changes(changes);
        assert!((offsets.in_force(Route::Marked, BowKind::Recurve) - 3.625).abs() < 1e-12);
        assert!((offsets.in_force(Route::Marked, BowKind::Longbow) - 3.0).abs() < 1e-12);
        let change = offsets.last_change(Route::Marked, BowKind::Recurve).unwrap();
        assert_eq!((change.on, change.from), (day(1), 4.0));
        assert_eq!(offsets.last_change(Route::Marked, BowKind::Longbow), None);
    }

    #[test]
    fn initials_are_made_where_the_label_has_none() {
        assert_eq!(initials(Some("RK"), Some("Runa Kestle")).as_deref(), Some("RK"));
        assert_eq!(initials(None, Some("runa kestle")).as_deref(), Some("RK"));
        assert_eq!(initials(None, None), None);
    }
}
