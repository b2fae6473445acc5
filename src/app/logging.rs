//! What an archer says is logged: as a report, or as a further reading of one that is open.

use chrono::NaiveDate;

use super::archers::moved;
use super::bow::{change, keep_told};
use super::danger;
use super::error::AppError;
use super::reports::{event, find_report, open_report, refuse_settled, report_number, report_view, standing};
use super::sold::find_string;
use super::views::ReportView;
use crate::book::{Author, Book, Page, StoredString};
use crate::danger::Danger;
use crate::mail::Mail;
use crate::mechanics::bow::{BowKind, constant_from_fades};
use crate::quantity::Unit;
use crate::trade::ask::OpenQuestion;
use crate::trade::plausible;
use crate::trade::records::{BowChanges, Measurements};
use crate::trade::standing::Step;
use crate::trade::words::{Standing, Symptom};

/// A report to be logged.
#[derive(Debug, Clone, PartialEq)]
pub struct NewReport {
    /// Serial of the string.
    pub serial: String,
    /// Symptoms.
    pub symptoms: Vec<Symptom>,
    /// What was measured.
    pub measured: Measurements,
    /// What was said of the bow.
    pub bow: BowChanges,
    /// Day it came in.
    pub received_on: NaiveDate,
    /// What the archer wrote.
    pub text: Option<String>,
    /// What was read of danger in the whole mail, where the text is only what is new in it.
    pub whole: Option<Danger>,
    /// Somebody has looked at it: the words of the text mean no damage to the string.
    pub no_damage: bool,
    /// Somebody read or heard it: there is no danger.
    pub no_danger: bool,
    /// Begin a new report even if one of this string is open.
    pub separate: bool,
    /// What the message left open, to be asked back.
    pub questions: Vec<OpenQuestion>,
    /// Symptom to take for a new report where none was said.
    pub unspoken: Option<Symptom>,
    /// The address that is the archer's from now on.
    pub new_address: Option<String>,
    /// The archer says that the string fits now.
    pub fits: bool,
    /// The mail it was read from.
    pub mail: Option<MailName>,
    /// The unit in which the archer gives what they measured, where they name it.
    pub unit: Option<Unit>,
}

/// What is kept of a mail so that it is known again and can be answered below it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MailName {
    /// What tells it from any other.
    pub mark: String,
    /// The names of the mails it stands below and its own, the own one last.
    pub thread: Vec<String>,
    /// Its subject.
    pub subject: Option<String>,
}

/// Longest line of names of mails that is kept, bytes.
const LONGEST_THREAD: usize = 4000;
/// Longest subject that is kept, characters.
const LONGEST_SUBJECT: usize = 200;

impl MailName {
    /// The names in one line, a blank between two; of a longer one the last.
    fn line(&self) -> Option<String> {
        let mut from = 0;
        loop {
            let line = self.thread.get(from..)?.join(" ");
            if line.len() <= LONGEST_THREAD {
                return (!line.is_empty()).then_some(line);
            }
            from += 1;
        }
    }

    /// Its subject in one line, cut where it is longer than is kept.
    fn short_subject(&self) -> Option<String> {
        let line = crate::words::harmless(self.subject.as_deref()?).replace('\n', " ");
        let line: String = line.trim().chars().take(LONGEST_SUBJECT).collect();
        (!line.is_empty()).then_some(line)
    }
}

impl From<&Mail> for MailName {
    fn from(mail: &Mail) -> Self {
        Self { mark: mail.mark.clone(), thread: mail.thread.clone(), subject: mail.subject.clone() }
    }
}

/// A further reading to be added.
#[derive(Debug, Clone, PartialEq)]
pub struct NewReading {
    /// Report id.
    pub report: String,
    /// Symptoms that came up since.
    pub symptoms: Vec<Symptom>,
    /// What was measured.
    pub measured: Measurements,
    /// What was said of the bow.
    pub bow: BowChanges,
    /// Day it came in.
    pub received_on: NaiveDate,
    /// What the archer wrote.
    pub text: Option<String>,
    /// What was read of danger in the whole mail, where the text is only what is new in it.
    pub whole: Option<Danger>,
    /// Somebody has looked at it: the words of the text mean no damage to the string.
    pub no_damage: bool,
    /// Somebody read or heard it: there is no danger.
    pub no_danger: bool,
    /// What the message left open, to be asked back.
    pub questions: Vec<OpenQuestion>,
    /// The archer says that the string fits now.
    pub fits: bool,
}

/// A report with what was noticed while it was logged.
#[derive(Debug, Clone, PartialEq)]
pub struct Logged {
    /// The report.
    pub view: ReportView,
    /// Things to look at, as sentences.
    pub notices: Vec<String>,
}

/// A message shorter than this may well come twice, characters: "Still too low."
const LEAST_MESSAGE: usize = 20;

/// Longest text kept with a report, characters.
const LONGEST_TEXT: usize = 200_000;

/// Faults in measurements that no single one shows.
fn check(
    string: &StoredString,
    measured: &Measurements,
    total_before: f64,
    received_on: NaiveDate,
    (today, unit): (NaiveDate, Unit),
) -> Result<Vec<String>, AppError> {
    let mut notices = Vec::new();
    plausible::happened(received_on, today).map_err(AppError::cannot_be(
        "give the day it came in as YYYY-MM-DD, or leave --received out for today",
    ))?;
    plausible::reported(received_on, &string.string.serial, string.string.sold_on)
        .map_err(AppError::cannot_be("check --received and the serial"))?;
    if let Some(brace) = measured.brace {
        plausible::brace_high(brace, string.string.length(), unit).map_err(AppError::cannot_be(
            "brace height is from the string to the deepest point of the grip; check its unit too",
        ))?;
    }
    if let (Some(fades), Some(brace)) = (measured.fades, measured.brace)
        && constant_from_fades(BowKind::Unknown, &fades, brace.inches()).is_none()
    {
        return Err(AppError::refused(
            "the four fade measures contradict each other",
            "free string: between its first contacts with the limbs; span: between the ends of the stiff middle; gap: string to limb axis at the fades; to nock: along the limb",
        ));
    }
    if let (Some(changed), Some(built)) = (measured.turns_changed, string.string.turns) {
        plausible::turns_after(built.value() + total_before, changed)
            .map_err(|error| AppError::refused(error.said, format!("count {}", error.needed)))?;
    }
    if let (Some(counted), Some(over), Some(built)) =
        (measured.turns_counted, measured.counted_over, string.string.turns)
        && let Some(length) = string.string.length()
        && let Some(body) = crate::mechanics::twist::twistable_length(length.inches())
    {
        let turns = counted.value() / over.inches() * body;
        let expected =
            built.value() + total_before + measured.turns_changed.map_or(0.0, |turns| turns.value());
        if (1.7..=2.3).contains(&(turns / expected.max(1.0))) {
            notices.push(format!(
                "{} over that length would be {turns:.0} turns, about twice the {expected:.0} on record: were crossings counted? Two plies show two for each full turn; count one colour only",
                counted.as_count()
            ));
        }
    }
    Ok(notices)
}

fn checked_text(text: Option<String>) -> Result<Option<String>, AppError> {
    match text {
        Some(text) if text.chars().count() > LONGEST_TEXT => Err(AppError::refused(
            "the text is longer than 200 000 characters",
            "cut it to what the archer wrote about this string",
        )),
        Some(text) if text.trim().is_empty() => Ok(None),
        other => Ok(other.map(|text| text.replace('\0', "\u{FFFD}"))),
    }
}

/// The report of a string that holds a message already, word for word.
pub(super) fn holder(page: &Page<'_>, string: &StoredString, text: &str) -> Result<Option<i64>, AppError> {
    if text.chars().count() < LEAST_MESSAGE {
        return Ok(None);
    }
    for number in page.reports_of(string.id)?.into_iter().rev() {
        if page.texts(number)?.iter().any(|(_, held)| held.trim() == text.trim()) {
            return Ok(Some(number));
        }
    }
    Ok(None)
}

/// Refuses a message that a report of the string holds already: the same mail was taken twice, and
/// its reading would count twice.
fn refuse_again(page: &Page<'_>, string: &StoredString, text: Option<&str>) -> Result<(), AppError> {
    match text.map(|text| holder(page, string, text)).transpose()?.flatten() {
        Some(number) => Err(AppError::refused(
            format!("R-{number} holds this very message already; nothing was logged"),
            format!("look at it: fistmele report show R-{number}"),
        )),
        None => Ok(()),
    }
}

/// Refuses a mail that was noted with a report of the string before, by this way or another.
fn refuse_same_mail(page: &Page<'_>, serial: &str, mail: &MailName) -> Result<(), AppError> {
    let string = find_string(page, serial)?;
    for noted in page.noted_mails(&mail.mark)? {
        if let Some(number) = noted.report
            && page.report(number)?.is_some_and(|report| report.string_id == string.id)
        {
            return Err(AppError::refused(
                format!(
                    "R-{number} holds this very message already, noted on {}; nothing was logged",
                    noted.on
                ),
                format!("look at it: fistmele report show R-{number}"),
            ));
        }
    }
    Ok(())
}

/// Logs what an archer says.
///
/// # Errors
/// Unknown serial, nothing said, numbers that cannot be, or the book cannot be written.
pub fn add(book: &mut Book, new: NewReport, author: &Author) -> Result<Logged, AppError> {
    let logged = add_each(book, vec![new], author)?;
    logged.into_iter().next().ok_or_else(|| AppError::Internal("no string".to_owned()))
}

/// Logs what an archer says of several strings in one message, each with a report of its own: all or none.
///
/// # Errors
/// As [`add`], for any of them.
pub fn add_each(book: &mut Book, each: Vec<NewReport>, author: &Author) -> Result<Vec<Logged>, AppError> {
    let each = each
        .into_iter()
        .map(|new| {
            let text = checked_text(new.text.clone())?;
            let read = danger::read(text.as_deref(), new.whole.as_ref());
            Ok((NewReport { text, ..new }, read))
        })
        .collect::<Result<Vec<_>, AppError>>()?;
    let serials: Vec<String> = each.iter().map(|(new, _)| new.serial.clone()).collect();
    book.write(|page| {
        if each.iter().any(|(new, _)| new.mail.is_some() && new.new_address.is_none())
            && let Some(two) = super::archers::two_archers(page, &serials)?
        {
            return Err(AppError::Refused {
                message: format!("{two}; nothing was logged"),
                hints: vec![
                    "if they are one, and the address the mail comes from is theirs now, say --new-address (the tick on the page)".to_owned(),
                    "else log it for each string alone, with --string".to_owned(),
                ],
            });
        }
        // One archer moves once, however many strings the message is about.
        let mut archers = Vec::new();
        let mut logged = Vec::new();
        for (new, read) in &each {
            let serial = new.serial.as_str();
            if let Some(address) = &new.new_address {
                let string = find_string(page, serial)?;
                let moves = serials.len() == 1 || !super::archers::writes_from(page, &string, address)?;
                if moves && !archers.contains(&string.archer_id) {
                    moved(page, &string, address, author)?;
                    archers.push(string.archer_id);
                }
            }
            if let Some(mail) = &new.mail {
                refuse_same_mail(page, serial, mail)?;
            }
            if let Some(unit) = new.unit {
                super::archers::measures_in(page, &find_string(page, serial)?, unit)?;
            }
            let one = add_one(page, new, read, author)?;
            if let Some(mail) = &new.mail {
                let number = report_number(&one.view.report)?;
                let (thread, subject) = (mail.line(), mail.short_subject());
                let above = (thread.as_deref(), subject.as_deref());
                page.note_mail(&mail.mark, Some(number), above, author.day)?;
            }
            logged.push(one);
        }
        Ok(logged)
    })
}

/// Logs what an archer says of one string, inside a running transaction.
fn add_one(page: &Page<'_>, new: &NewReport, read: &Danger, author: &Author) -> Result<Logged, AppError> {
    let text = new.text.as_deref();
    let string = find_string(page, &new.serial)?;
    if !new.separate
        && let Some(open) = open_report(page, &string)?
    {
        let reading = NewReading {
            report: format!("R-{open}"),
            symptoms: new.symptoms.clone(),
            measured: new.measured.clone(),
            bow: new.bow.clone(),
            received_on: new.received_on,
            text: text.map(str::to_owned),
            whole: None,
            no_damage: new.no_damage,
            no_danger: new.no_danger,
            questions: new.questions.clone(),
            fits: new.fits,
        };
        let mut logged = append(page, reading, read, author)?;
        logged.notices.insert(
            0,
            format!("R-{open} of this string is open, so this continues it; a report of its own is begun with --separate"),
        );
        return Ok(logged);
    }
    let mut symptoms = new.symptoms.clone();
    if symptoms.is_empty() {
        symptoms.extend(new.unspoken);
    }
    if symptoms.is_empty() {
        return Err(AppError::refused(
            "a report needs at least one symptom",
            "say what is complained of with --symptom, such as brace-low, or other",
        ));
    }
    refuse_again(page, &string, text)?;
    let mut notices =
        check(&string, &new.measured, 0.0, new.received_on, (author.day, super::page_rules(page)?.units))?;
    if let Some(first) = page.made_again_for(string.id)?
        && standing(page, first)? != Standing::Settled
    {
        notices.push(format!(
            "{} was made for R-{first}, which is still open: settle that too once this one fits",
            string.string.serial
        ));
    }
    let bow_before = page.bow_of(&string)?;
    change(page, &string, &new.bow, author)?;
    let number = page.add_report(string.id, new.received_on, &symptoms)?;
    page.add_reading(number, new.received_on, &new.measured)?;
    keep_told(page, number, &bow_before, &new.bow)?;
    page.set_open_questions(number, &new.questions)?;
    if let Some(text) = text {
        page.add_text(number, new.received_on, text)?;
    }
    danger::keep(page, number, read, new.no_damage)?;
    page.log(author, event(Step::Reported, &string, number))?;
    rule_out_at_once(page, &string, number, new.no_danger, author)?;
    Ok(Logged { view: report_view(page, number)?, notices })
}

/// Takes the person's word together with the message it is about.
fn rule_out_at_once(
    page: &Page<'_>,
    string: &StoredString,
    number: i64,
    no_danger: bool,
    author: &Author,
) -> Result<(), AppError> {
    if !no_danger {
        return Ok(());
    }
    danger::rule_out(page, string, number, author).map_err(|error| match error {
        AppError::Refused { message, .. } => AppError::Refused {
            message: format!("{message}; nothing was logged"),
            hints: vec![format!(
                "log it without --no-danger, then say of each sign what it means: fistmele advise R-{number} --call-off 1 --no-danger"
            )],
        },
        other => other,
    })?;
    Ok(page.said_with_reading(number)?)
}

/// Adds a further measurement to a report.
///
/// # Errors
/// Unknown report, nothing measured, numbers that cannot be, or the book cannot be written.
pub fn add_reading(book: &mut Book, new: NewReading, author: &Author) -> Result<Logged, AppError> {
    let text = checked_text(new.text)?;
    if new.measured.is_empty()
        && new.bow == BowChanges::default()
        && new.symptoms.is_empty()
        && !new.no_damage
        && !new.fits
        && text.is_none()
    {
        return Err(AppError::refused(
            "nothing was measured",
            "add what the archer says, such as --brace 7-1/4 --turns-changed +6",
        ));
    }
    let read = danger::read(text.as_deref(), new.whole.as_ref());
    let new = NewReading { text, ..new };
    book.write(|page| append(page, new, &read, author))
}

/// Appends a reading inside a running transaction, with what was read of danger in it.
fn append(page: &Page<'_>, new: NewReading, read: &Danger, author: &Author) -> Result<Logged, AppError> {
    let (stored, string) = find_report(page, &new.report)?;
    let number = stored.report.number;
    refuse_settled(page, number)?;
    let text = new.text;
    refuse_again(page, &string, text.as_deref())?;
    let total: f64 = stored
        .report
        .readings
        .iter()
        .filter_map(|reading| reading.measurements.turns_changed)
        .map(|turns| turns.value())
        .sum();
    let mut notices =
        check(&string, &new.measured, total, new.received_on, (author.day, super::page_rules(page)?.units))?;
    if new.received_on < stored.report.received_on {
        return Err(AppError::refused(
            format!("{} is before the report came in, on {}", new.received_on, stored.report.received_on),
            "check --received; without it today is taken",
        ));
    }
    if let Some(last) = stored.report.readings.last()
        && new.received_on < last.taken_on
    {
        notices.push(format!(
            "the reading of {} is entered after that of {}: it is taken as the later one",
            new.received_on, last.taken_on
        ));
    }
    let shots_before = stored.report.readings.iter().filter_map(|reading| reading.measurements.shots).max();
    if let (Some(before), Some(now)) = (shots_before, new.measured.shots)
        && now < before
    {
        notices
            .push(format!("{now} shots are fewer than the {before} of an earlier reading: which is right?"));
    }
    let bow_before = page.bow_of(&string)?;
    change(page, &string, &new.bow, author)?;
    page.add_reading(number, new.received_on, &new.measured)?;
    keep_told(page, number, &bow_before, &new.bow)?;
    page.add_symptoms(number, &new.symptoms)?;
    page.set_open_questions(number, &new.questions)?;
    if let Some(text) = &text {
        page.add_text(number, new.received_on, text)?;
    }
    danger::keep(page, number, read, new.no_damage)?;
    page.log(author, event(Step::Read, &string, number))?;
    if new.fits {
        page.log(author, event(Step::Fits, &string, number))?;
    }
    rule_out_at_once(page, &string, number, new.no_danger, author)?;
    Ok(Logged { view: report_view(page, number)?, notices })
}
