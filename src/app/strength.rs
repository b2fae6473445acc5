//! What strings hold against what their bows ask of them: the floor below which nothing is built
//! or shot, the strings that are below it, and the letter to their archers.

use chrono::NaiveDate;
use serde::Serialize;

use super::error::AppError;
use super::outgoing::{Outgoing, keep};
use super::sold::find_string;
use crate::book::{Author, Book, Happened, Page, StoredString};
use crate::mechanics::twist::Yarn;
use crate::trade::records::{BowProfile, SoldString};
use crate::trade::rules::Rules;
use crate::trade::strength::{Missing, Strength, Sum, pounds, strength, strength_of};
use crate::words;

words! {
    /// Where a string stands against the floor of strength.
    StrengthStand, "strength" {
        /// It holds enough.
        Enough = "enough",
        /// It must not be shot.
        BelowFloor = "below-floor",
        /// Something is missing.
        NotChecked = "not-checked",
    }
}

/// The strength of a string as it is shown. Pounds.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StrengthView {
    /// Where it stands.
    pub stands: StrengthStand,
    /// What is missing to check it.
    pub missing: Vec<Missing>,
    /// What one strand is taken to hold.
    pub strand_lb: Option<f64>,
    /// What its source says, where the workshop set more.
    pub source_lb: Option<f64>,
    /// Why the workshop set more.
    pub why: Option<String>,
    /// What the strands hold together.
    pub holds_lb: Option<f64>,
    /// The least that the bow asks for.
    pub floor_lb: Option<f64>,
    /// The sum, for sentences.
    #[serde(skip)]
    pub sum: Option<Sum>,
}

impl From<Strength> for StrengthView {
    fn from(strength: Strength) -> Self {
        let (stands, missing, sum) = match strength {
            Strength::Enough(sum) => (StrengthStand::Enough, Vec::new(), Some(sum)),
            Strength::Below(sum) => (StrengthStand::BelowFloor, Vec::new(), Some(sum)),
            Strength::NotChecked(missing) => (StrengthStand::NotChecked, missing, None),
        };
        let own = sum.as_ref().and_then(|sum| sum.strand.own.clone());
        Self {
            stands,
            missing,
            strand_lb: sum.as_ref().map(|sum| sum.strand.pounds),
            source_lb: own.as_ref().map(|own| own.source),
            why: own.and_then(|own| own.why),
            holds_lb: sum.as_ref().map(Sum::holds),
            floor_lb: sum.as_ref().map(Sum::floor),
            sum,
        }
    }
}

impl StrengthView {
    /// The strength of a string on its bow.
    pub(super) fn of(string: &SoldString, bow: &BowProfile, rules: &Rules) -> Self {
        strength_of(string, bow, rules).into()
    }

    /// The sum of a string below the floor.
    #[must_use]
    pub fn below(&self) -> Option<&Sum> {
        self.sum.as_ref().filter(|_| self.stands == StrengthStand::BelowFloor)
    }
}

/// The sum, and a figure of the workshop's own that it rests on.
fn sum_with_its_figure(sum: &Sum) -> String {
    match &sum.strand.own {
        Some(own) => format!(
            "{sum} ({} a strand is the workshop's own figure, above the {} of its source: {})",
            pounds(sum.strand.pounds),
            pounds(own.source),
            own.why.as_deref().unwrap_or("no reason is on record")
        ),
        None => sum.to_string(),
    }
}

/// Refuses a string that would be below the floor. No strand count is ever named.
pub(super) fn refuse_below(strength: &Strength, way_out: &str) -> Result<(), AppError> {
    match strength.below() {
        Some(sum) => Err(AppError::refused(
            format!("this string would be too weak for the bow: {}", sum_with_its_figure(sum)),
            way_out,
        )),
        None => Ok(()),
    }
}

/// Marks a string that is below the floor.
pub(super) fn mark(
    page: &Page<'_>,
    string_id: i64,
    string: &SoldString,
    bow: &BowProfile,
    rules: &Rules,
    day: NaiveDate,
) -> Result<(), AppError> {
    if strength_of(string, bow, rules).below().is_some() {
        page.mark_below_floor(string_id, day)?;
    }
    Ok(())
}

/// Marks the strings of a bow that are below the floor, now that more is known of it.
pub(super) fn mark_strings_of(
    page: &Page<'_>,
    bow_id: i64,
    bow: &BowProfile,
    day: NaiveDate,
) -> Result<(), AppError> {
    let rules = super::page_rules(page)?;
    for string_id in page.strings_of_bow(bow_id)? {
        mark(page, string_id, &page.string_of_row(string_id)?.string, bow, &rules, day)?;
    }
    Ok(())
}

/// Marks strings of a yarn that are below the floor, now that another figure holds for it.
pub(super) fn mark_strings_made_of(page: &Page<'_>, yarn: Yarn, day: NaiveDate) -> Result<(), AppError> {
    let rules = super::page_rules(page)?;
    for weigh in page.strings_to_weigh(yarn)? {
        if strength(weigh.yarn, weigh.strands, weigh.draw_weight, &rules).below().is_some() {
            page.mark_below_floor(weigh.string_id, day)?;
        }
    }
    Ok(())
}

/// A string that must not be shot, and is out there.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WeakLine {
    /// Serial.
    pub string: String,
    /// Name of its archer.
    pub archer: Option<String>,
    /// Day it was found out.
    pub since: NaiveDate,
    /// Days since then.
    pub days: i64,
    /// Day of the letter that says not to shoot it.
    pub warned_on: Option<NaiveDate>,
    /// What it holds against what it has to.
    pub strength: StrengthView,
    /// The next command.
    pub next: String,
}

/// Strings below the floor, those nobody was warned of first.
pub(super) fn weak_strings(
    page: &Page<'_>,
    rules: &Rules,
    today: NaiveDate,
) -> Result<Vec<WeakLine>, AppError> {
    let mut lines: Vec<WeakLine> = page
        .marked_strings()?
        .into_iter()
        .filter_map(|marked| {
            let weigh = &marked.weigh;
            let found = strength(weigh.yarn, weigh.strands, weigh.draw_weight, rules);
            found.below()?;
            Some(WeakLine {
                since: marked.marked_on,
                days: (today - marked.marked_on).num_days().max(0),
                warned_on: marked.warned_on,
                strength: found.into(),
                next: match marked.warned_on {
                    None => format!("fistmele letter --string {}", marked.serial),
                    Some(_) => format!("fistmele sold add --replaces {}", marked.serial),
                },
                archer: marked.archer,
                string: marked.serial,
            })
        })
        .collect();
    lines.sort_by_key(|line| line.warned_on.is_some());
    Ok(lines)
}

/// What the letter about a string below the floor is filled with.
#[derive(Debug, Clone, PartialEq)]
pub struct Warning {
    /// Serial.
    pub string: String,
    /// Name of its archer.
    pub archer: Option<String>,
    /// Address of its archer.
    pub email: Option<String>,
    /// The sum.
    pub sum: Sum,
    /// Day an earlier letter was written.
    pub warned_on: Option<NaiveDate>,
    /// The rules in force.
    pub rules: Rules,
}

fn warning_of(page: &Page<'_>, stored: &StoredString) -> Result<Warning, AppError> {
    let rules = super::page_rules(page)?;
    let bow = page.bow_of(stored)?;
    let serial = &stored.string.serial;
    let sum = match strength_of(&stored.string, &bow, &rules) {
        Strength::Below(sum) => sum,
        Strength::Enough(sum) => {
            return Err(AppError::refused(
                format!("{serial} is strong enough: {}", sum_with_its_figure(&sum)),
                format!("see it with: fistmele sold show {serial}"),
            ));
        }
        Strength::NotChecked(missing) => {
            let missing: Vec<&str> = missing.into_iter().map(Missing::as_str).collect();
            return Err(AppError::refused(
                format!("the strength of {serial} is not checked; not known: {}", missing.join(", ")),
                format!("where the draw weight is known: fistmele bow edit {serial} --weight 45#@28"),
            ));
        }
    };
    let archer = page.archer(stored.archer_id)?.archer;
    Ok(Warning {
        string: serial.clone(),
        archer: archer.name,
        email: archer.email,
        sum,
        warned_on: page.warned_on(stored.id)?,
        rules,
    })
}

/// What the letter about a string below the floor says; nothing is noted.
///
/// # Errors
/// Unknown serial, the string is strong enough or was not checked, or the book cannot be read.
pub fn warning(book: &mut Book, serial: &str) -> Result<Warning, AppError> {
    book.read(|page| {
        let stored = find_string(page, serial)?;
        warning_of(page, &stored)
    })
}

/// Notes that the letter about a string below the floor was sent, and keeps it.
///
/// # Errors
/// As for [`warning`], or the book cannot be written.
pub fn warned(book: &mut Book, serial: &str, letter: Outgoing<'_>, author: &Author) -> Result<(), AppError> {
    book.write(|page| {
        let stored = find_string(page, serial)?;
        warning_of(page, &stored)?;
        page.warned(stored.id, author.day)?;
        keep(page, &stored, None, letter, author)?;
        page.log(
            author,
            Happened { what: "warned", string: Some(stored.id), report: None, fields: "strength" },
        )?;
        Ok(())
    })
}
