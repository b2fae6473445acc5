//! Asking archers who never wrote whether their string fits.
//!
//! The program draws them, not the staff, or pleasant archers would be asked more often.

use chrono::NaiveDate;
use serde::Serialize;

use super::error::AppError;
use super::month::shop_on;
use super::outgoing::{Outgoing, keep};
use super::sold::find_string;
use crate::book::{Author, Book, Happened, NewQuestion, Page, StoredAnswer, StoredQuestion, StoredString};
use crate::evidence::calendar::{Month, days_between, first_day_of_memory};
use crate::evidence::questions::{Candidate, Drawn, choose_to_ask};
use crate::mechanics::bow::{constant_from_kind, string_change_for};
use crate::month::{name, worths};
use crate::quantity::{Length, Turns, Unit};
use crate::trade::build::Subject;
use crate::trade::month::{DrawnBy, MonthRules, QuietAnswer};
use crate::trade::plausible;
use crate::trade::ranges::wanted;
use crate::trade::records::SoldString;
use crate::trade::rules::Rules;

/// One question.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct QuestionView {
    /// Serial of the string.
    pub string: String,
    /// Name of its archer.
    pub archer: Option<String>,
    /// Address of its archer.
    pub email: Option<String>,
    /// Month it was drawn for.
    pub month: String,
    /// Day the letter was written.
    pub letter_on: Option<NaiveDate>,
    /// How it was drawn: by what an answer is worth, by lot, or not at all, as a card that came back.
    pub drawn_by: Option<DrawnBy>,
    /// Chance with which it was drawn.
    pub chance: Option<f64>,
    /// What was answered.
    pub answer: Option<QuietAnswer>,
    /// Turns put in (+) or taken out (-) by the answer.
    pub turns: Option<f64>,
    /// Brace height by the answer.
    pub brace_inch: Option<f64>,
    /// Right minus ordered length by the answer; 0 where it fits.
    pub length_error_inch: Option<f64>,
    /// Day of the answer.
    pub answered_on: Option<NaiveDate>,
}

/// The questions of a month.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct QuietView {
    /// `YYYY-MM`.
    pub month: String,
    /// It is the running month, for which questions are drawn.
    pub running: bool,
    /// How many may be asked in a month.
    pub wanted: u32,
    /// The questions.
    pub questions: Vec<QuestionView>,
}

/// What an archer said.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Said {
    /// It braces where it is wanted.
    Fits,
    /// It had to be turned in (+) or out (-).
    Turned(Turns),
    /// It braces at this.
    Brace(Length),
}

/// What a letter to a quiet archer needs.
#[derive(Debug, Clone, PartialEq)]
pub struct QuietLetter {
    /// The question.
    pub question: QuestionView,
    /// Wanted brace range.
    pub want: Option<(f64, f64)>,
    /// The unit the archer measures in, where it is known.
    pub unit: Option<Unit>,
    /// The rules in force.
    pub rules: Rules,
}

fn view(page: &Page<'_>, stored: &StoredQuestion) -> Result<QuestionView, AppError> {
    let string = page.string_of_row(stored.string_id)?;
    let archer = page.archer(string.archer_id)?.archer;
    Ok(QuestionView {
        string: stored.serial.clone(),
        archer: archer.name,
        email: archer.email,
        month: name(Month::of(stored.month)),
        letter_on: stored.letter_on,
        drawn_by: stored.by,
        chance: stored.chance,
        answer: stored.answer.map(|answer| answer.answer),
        turns: stored.answer.and_then(|answer| answer.turns),
        brace_inch: stored.answer.and_then(|answer| answer.brace),
        length_error_inch: stored.answer.map(|answer| answer.error),
        answered_on: stored.answer.map(|answer| answer.answered_on),
    })
}

/// The questions of a month; for the running one they are drawn where that was not done yet.
///
/// # Errors
/// The book cannot be read or written.
pub fn list(book: &mut Book, month: Month, author: &Author) -> Result<QuietView, AppError> {
    let running = month == Month::of(author.day);
    let first = month.first_day();
    let listed = |page: &Page<'_>, rules: &Rules| -> Result<QuietView, AppError> {
        let questions = page
            .questions(Some(first), None)?
            .iter()
            .map(|question| view(page, question))
            .collect::<Result<_, _>>()?;
        Ok(QuietView { month: name(month), running, wanted: MonthRules::of(rules).questions, questions })
    };
    let (rules, new) = book.read(|page| {
        let rules = super::page_rules(page)?;
        let new = if running { draw(page, &rules, month, author.day)? } else { Vec::new() };
        Ok::<_, AppError>((rules, new))
    })?;
    if new.is_empty() {
        return book.read(|page| listed(page, &rules));
    }
    book.write(|page| {
        for question in &new {
            // Somebody else may have drawn in the meantime.
            if page.questions(None, Some(question.string_id))?.is_empty() {
                add(page, question, author)?;
            }
        }
        listed(page, &rules)
    })
}

fn add(page: &Page<'_>, question: &NewQuestion, author: &Author) -> Result<(), AppError> {
    page.add_question(question)?;
    let event =
        Happened { what: "question", string: Some(question.string_id), report: None, fields: "month" };
    Ok(page.log(author, event)?)
}

/// The strings to be asked about besides those drawn already.
fn draw(
    page: &Page<'_>,
    rules: &Rules,
    month: Month,
    today: NaiveDate,
) -> Result<Vec<NewQuestion>, AppError> {
    let own = MonthRules::of(rules);
    let drawn = page.questions(Some(month.first_day()), None)?;
    let open = (own.questions as usize).saturating_sub(drawn.len());
    if open == 0 {
        return Ok(Vec::new());
    }
    let from = first_day_of_memory(today, own.memory_months);
    let worths = worths(shop_on(page, today)?, today)?;
    let quiet = page.quiet_strings(from, today, own.delivery_days, month.first_day())?;
    let asked: Vec<i64> = quiet
        .iter()
        .filter(|string| drawn.iter().any(|question| question.string_id == string.id))
        .map(|string| string.archer_id)
        .collect();
    let archers: Vec<String> = quiet.iter().map(|string| string.archer_id.to_string()).collect();
    let candidates: Vec<Candidate<'_>> = quiet
        .iter()
        .zip(&archers)
        .map(|(string, archer)| Candidate {
            serial: &string.serial,
            archer,
            age_days: days_between(string.delivered, today).unwrap_or(0),
            worth: worths.of(string.route, string.kind, days_between(string.delivered, today).unwrap_or(0)),
            reported: string.reported,
            asked_before: string.asked_before || asked.contains(&string.archer_id),
        })
        .collect();
    let question = |drawn: Drawn| NewQuestion {
        string_id: quiet[drawn.place].id,
        month: month.first_day(),
        drawn_on: today,
        chance: Some(drawn.chance),
        by: if drawn.by_lot { DrawnBy::Lot } else { DrawnBy::Worth },
    };
    Ok(choose_to_ask(&candidates, month, open).into_iter().map(question).collect())
}

fn find(page: &Page<'_>, serial: &str) -> Result<(StoredString, StoredQuestion), AppError> {
    let string = find_string(page, serial)?;
    let question = page.questions(None, Some(string.id))?.pop().ok_or_else(|| {
        AppError::refused(
            format!("no question was drawn about {}", string.string.serial),
            "see whom to ask with: fistmele quiet list; if its card came back by itself, say --card",
        )
    })?;
    Ok((string, question))
}

/// What the letter to a quiet archer needs.
///
/// # Errors
/// No such string or question, or the book cannot be read.
pub fn letter(book: &mut Book, serial: &str) -> Result<QuietLetter, AppError> {
    book.read(|page| {
        let rules = super::page_rules(page)?;
        let (string, question) = find(page, serial)?;
        let bow = page.bow_of(&string)?;
        let marked = bow.marked_length.map(Length::inches);
        let want = wanted(&bow, None, marked, &rules).map(|want| (want.low, want.high));
        let unit = page.archer(string.archer_id)?.unit;
        Ok(QuietLetter { question: view(page, &question)?, want, unit, rules })
    })
}

/// Notes that the letter was written, and keeps it.
///
/// # Errors
/// No such string or question, or the book cannot be written.
pub fn written(book: &mut Book, serial: &str, letter: Outgoing<'_>, author: &Author) -> Result<(), AppError> {
    book.write(|page| {
        let (string, question) = find(page, serial)?;
        page.question_written(question.id, author.day)?;
        keep(page, &string, None, letter, author)
    })
}

/// Refuses what cannot be of the string.
fn check(string: &SoldString, said: Said, rules: &Rules) -> Result<(), AppError> {
    match (said, string.turns) {
        (Said::Turned(changed), Some(built)) => plausible::turns_after(built.value(), changed)
            .map_err(|error| AppError::refused(error.said, format!("count {}", error.needed))),
        (Said::Brace(brace), _) => plausible::brace_high(brace, string.length(), rules.units)
            .map_err(AppError::cannot_be("brace height is from the string to the deepest point of the grip")),
        (Said::Fits | Said::Turned(_), _) => Ok(()),
    }
}

/// Keeps an answer; a later one counts instead of an earlier. One that came `by_card` needs no
/// question before it.
///
/// # Errors
/// No such string or question, nothing follows from the answer, or the book cannot be written.
pub fn answer(
    book: &mut Book,
    serial: &str,
    said: Said,
    by_card: bool,
    author: &Author,
) -> Result<QuestionView, AppError> {
    book.write(|page| {
        let rules = super::page_rules(page)?;
        if by_card {
            let string_id = find_string(page, serial)?.id;
            let month = Month::of(author.day).first_day();
            if page.questions(None, Some(string_id))?.is_empty() {
                let unasked =
                    NewQuestion { string_id, month, drawn_on: author.day, chance: None, by: DrawnBy::Card };
                add(page, &unasked, author)?;
            }
        }
        let (string, question) = find(page, serial)?;
        check(&string.string, said, &rules)?;
        let error = error_of(page, &rules, &string, said)?;
        let (word, turns, brace) = match said {
            Said::Fits => (QuietAnswer::Fits, None, None),
            Said::Turned(turns) => (QuietAnswer::Turned, Some(turns.value()), None),
            Said::Brace(brace) => (QuietAnswer::Brace, None, Some(brace.inches())),
        };
        let kept = StoredAnswer { answered_on: author.day, answer: word, turns, brace, error };
        page.add_answer(question.id, &kept)?;
        let event = Happened {
            what: "question-answer",
            string: Some(string.id),
            report: None,
            fields: word.as_str(),
        };
        page.log(author, event)?;
        let (_, question) = find(page, serial)?;
        view(page, &question)
    })
}

/// Right minus ordered length by an answer, inches.
fn error_of(page: &Page<'_>, rules: &Rules, string: &StoredString, said: Said) -> Result<f64, AppError> {
    let bow = page.bow_of(string)?;
    let bench_radius = super::bench::radius_of(page, string.string.construction())?;
    let recorded = super::recorded_turns(page, rules)?;
    let subject = Subject {
        string: &string.string,
        bow: &bow,
        rules,
        bench_radius,
        bow_effect: None,
        recorded: &recorded,
    };
    let length = string.string.built.or(string.string.ordered).ok_or_else(|| {
        AppError::refused(
            format!("nobody knows the length of {}", string.string.serial),
            "nothing is learned from such a string",
        )
    })?;
    let length = length.inches();
    // More than this no bow takes, whatever the figures say.
    let bounded = |error: f64| error.clamp(-6.0, 6.0);
    match said {
        Said::Fits => Ok(0.0),
        Said::Turned(turns) => {
            let (body, _, usual) = subject.body(length).ok_or_else(|| {
                AppError::refused(
                    "the string is too short to have a body that takes turns",
                    "use --fits or --brace",
                )
            })?;
            let before = string.string.turns.map_or(f64::from(usual), Turns::value);
            // Turns put in shorten: the string was too long by that.
            let after = (before + turns.value()).max(0.0);
            Ok(bounded(-body.string_change(before, after)))
        }
        Said::Brace(brace) => {
            let marked = subject.marked_length();
            let want = wanted(&bow, None, marked, rules).ok_or_else(|| {
                AppError::refused(
                    format!("no brace range is known for the bow of {}", string.string.serial),
                    "enter it with: fistmele bow edit SERIAL --brace-range M..M, or answer with --fits or --turned N",
                )
            })?;
            let constant = constant_from_kind(bow.kind, length).value;
            Ok(bounded(-string_change_for(brace.inches(), want.middle(), constant)))
        }
    }
}
