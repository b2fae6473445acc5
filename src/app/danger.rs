//! Danger in what archers write: it is read at every door by one reader, and ruled out by a person.

use serde::Serialize;

use super::advise::{Answer, preview_of};
use super::cases::{Way, way_on};
use super::error::AppError;
use super::facts::facts;
use super::reports::{event, find_report, refuse_settled};
use crate::book::{Author, Book, Happened, Page, StoredString};
use crate::danger::{self, Danger};
use crate::trade::records::Report;
use crate::trade::signs::{ReportSign, Sign, SignOf, SignStanding};
use crate::trade::standing::{Step, is_danger_ruled_out, rests_on_no_danger};

/// What somebody who read or heard the archer says of danger.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Word {
    /// Numbers of signs that mean no danger.
    pub call_off: Vec<u32>,
    /// Numbers of signs that are so.
    pub confirm: Vec<u32>,
    /// Nothing broken, cut or cracked, no shot without an arrow.
    pub no_danger: bool,
    /// That was said by mistake.
    pub danger_open: bool,
}

impl Word {
    /// Nothing is said.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }
}

/// A sign for those who look at it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SignView {
    /// Its number in the report.
    pub number: u32,
    /// What it speaks of.
    pub of: SignOf,
    /// It is stated as an event.
    pub sure: bool,
    /// The words.
    pub words: String,
    /// Where they stand.
    pub stands_in: crate::trade::signs::StandsIn,
    /// What has become of it.
    pub standing: SignStanding,
}

impl SignView {
    /// The few of its words in which the sign is.
    #[must_use]
    pub fn few_words(&self) -> &str {
        danger::core(&self.words)
    }
}

impl From<&ReportSign> for SignView {
    fn from(sign: &ReportSign) -> Self {
        Self {
            number: sign.number,
            of: sign.sign.of,
            sure: sign.sign.sure,
            words: sign.sign.words.clone(),
            stands_in: sign.sign.stands_in,
            standing: sign.standing,
        }
    }
}

/// Reads what is stored of a message, unless more of it than is stored was read already.
pub(super) fn read(text: Option<&str>, known: Option<&Danger>) -> Danger {
    match (known, text) {
        (Some(known), _) => known.clone(),
        (None, Some(text)) => danger::read(None, text),
        (None, None) => Danger::default(),
    }
}

/// Keeps the signs of a message; a plain no under a question of ours answers the earlier ones.
pub(super) fn keep(page: &Page<'_>, number: i64, read: &Danger, no_damage: bool) -> Result<(), AppError> {
    let held = page.signs(number)?;
    for sign in held.iter().filter(|sign| sign.is_open() && read.denied.contains(&sign.sign.of)) {
        page.set_sign_with_reading(number, sign.number, SignStanding::Answered)?;
    }
    let of_string = |sign: &Sign| sign.of != SignOf::Bow;
    if no_damage {
        for sign in held.iter().filter(|sign| sign.is_open() && of_string(&sign.sign)) {
            page.set_sign_with_reading(number, sign.number, SignStanding::CalledOff)?;
        }
    }
    for sign in &read.signs {
        // The same words once more, such as a mail that quotes itself, are no new sign, unless what
        // was only feared is stated now.
        let same = |held: &Sign| held.of == sign.of && held.words == sign.words && (held.sure || !sign.sure);
        if let Some(held) = held.iter().find(|held| same(&held.sign)) {
            page.sign_again(number, held.number)?;
            continue;
        }
        let standing =
            if no_damage && of_string(sign) { SignStanding::CalledOff } else { SignStanding::Open };
        page.add_sign(number, sign, standing)?;
    }
    Ok(())
}

/// Whether a person ruled danger out after the last message, and no sign of it is open.
pub(super) fn is_ruled_out(page: &Page<'_>, number: i64) -> Result<bool, AppError> {
    Ok(is_danger_ruled_out(&page.steps(number)?)
        && !page.signs(number)?.iter().any(|sign| sign.is_open() || sign.danger().is_some()))
}

fn named(sign: &ReportSign) -> String {
    format!("{} \"{}\"", sign.number, sign.sign.words)
}

/// Notes what somebody says of danger: signs called off or confirmed by their number, then that
/// there is none. All of it or nothing.
///
/// # Errors
/// Unknown report or sign, a sign said of twice, a sign still open, or the book cannot be written.
pub fn say(book: &mut Book, id: &str, word: &Word, author: &Author) -> Result<(), AppError> {
    book.write(|page| {
        let (stored, string) = find_report(page, id)?;
        let number = stored.report.number;
        refuse_settled(page, number)?;
        note(page, &string, number, word, author)
    })
}

/// The verdict and the way of a report as they would be once a person had said so much of danger; nothing
/// is noted.
///
/// # Errors
/// Unknown report, what is said cannot be, or the book cannot be read.
pub fn preview_after(
    book: &mut Book,
    id: &str,
    word: &Word,
    author: &Author,
) -> Result<(Answer, Way), AppError> {
    let (facts, way) = book.rehearse(|page| {
        let (stored, string) = find_report(page, id)?;
        refuse_settled(page, stored.report.number)?;
        note(page, &string, stored.report.number, word, author)?;
        Ok::<_, AppError>((facts(page, id)?, way_on(page, id, author.day)?))
    })?;
    Ok((preview_of(facts, author.day)?, way))
}

pub(super) fn note(
    page: &Page<'_>,
    string: &StoredString,
    number: i64,
    word: &Word,
    author: &Author,
) -> Result<(), AppError> {
    let id = format!("R-{number}");
    if let Some(both) = word.call_off.iter().find(|one| word.confirm.contains(one)) {
        return Err(AppError::refused(
            format!("sign {both} of {id} cannot be called off and confirmed at once"),
            "say one of the two",
        ));
    }
    let signs = page.signs(number)?;
    let said = [
        (&word.call_off, SignStanding::CalledOff, Step::CalledOff),
        (&word.confirm, SignStanding::Confirmed, Step::Confirmed),
    ];
    for (numbers, standing, step) in said {
        for wanted in numbers {
            let Some(sign) = signs.iter().find(|sign| sign.number == *wanted) else {
                let known: Vec<String> = signs.iter().map(named).collect();
                return Err(AppError::refused(
                    format!("{id} has no sign {wanted}"),
                    if known.is_empty() {
                        format!("no sign of danger was read in {id}")
                    } else {
                        format!("its signs are: {}", known.join("; "))
                    },
                ));
            };
            if sign.standing == standing {
                return Err(AppError::refused(
                    format!("sign {} of {id} is {standing} already", named(sign)),
                    "leave it out",
                ));
            }
            page.set_sign(number, *wanted, standing)?;
            let fields = format!("sign {wanted}");
            page.log(
                author,
                Happened {
                    what: step.as_str(),
                    string: Some(string.id),
                    report: Some(number),
                    fields: &fields,
                },
            )?;
        }
    }
    if word.danger_open {
        open_again(page, string, number, author)?;
    }
    if word.no_danger {
        rule_out(page, string, number, author)?;
    }
    Ok(())
}

/// Takes back that there is no danger, and has the next letter take back what rests on it.
fn open_again(page: &Page<'_>, string: &StoredString, number: i64, author: &Author) -> Result<(), AppError> {
    let steps = page.steps(number)?;
    if !is_danger_ruled_out(&steps) {
        return Err(AppError::refused(
            format!("nobody has said of R-{number} that there is no danger, or not since the last message"),
            "leave --danger-open out",
        ));
    }
    page.log(author, event(Step::DangerOpen, string, number))?;
    if rests_on_no_danger(&steps) {
        page.log(author, event(Step::Withdrawn, string, number))?;
    }
    Ok(())
}

pub(super) fn rule_out(
    page: &Page<'_>,
    string: &StoredString,
    number: i64,
    author: &Author,
) -> Result<(), AppError> {
    let id = format!("R-{number}");
    // Said once more of the same words it is the same word: no new letter is due.
    if is_ruled_out(page, number)? {
        return Ok(());
    }
    let signs = page.signs(number)?;
    let open: Vec<&ReportSign> = signs.iter().filter(|sign| sign.is_open()).collect();
    if let Some(first) = open.first() {
        return Err(AppError::refused(
            format!(
                "signs of danger are open in {id}: {}",
                open.iter().map(|sign| named(sign)).collect::<Vec<_>>().join("; ")
            ),
            format!(
                "read each; call off what means no danger with --call-off {}, or confirm it with --confirm {0}",
                first.number
            ),
        ));
    }
    let report = page.report(number)?.map(|stored| stored.report);
    if report.as_ref().is_some_and(Report::is_for_bowyer) {
        return Err(AppError::refused(
            format!(
                "{id} has a sign of the bow that was confirmed: its maker or a bowyer has to look at it first"
            ),
            "send the letter that refers, or call the sign off where they have said that the bow is sound",
        ));
    }
    let told = report.as_ref().and_then(|report| {
        report
            .symptoms
            .iter()
            .copied()
            .find(|symptom| symptom.is_danger())
            .or_else(|| report.signs.iter().find_map(ReportSign::danger))
    });
    if let Some(symptom) = told {
        return Err(AppError::refused(
            format!("{id} says {symptom}: that is danger, and stands until the report is settled"),
            "send the letter that stops",
        ));
    }
    page.log(author, event(Step::NoDanger, string, number))?;
    Ok(())
}
