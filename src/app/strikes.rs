//! Striking what was noted by mistake, and taking a strike back. Nothing stored goes: a struck thing
//! is left out of whatever is worked out, and shown struck through.

use chrono::NaiveDate;
use serde::Serialize;

use super::advise::rework;
use super::error::AppError;
use super::reports::{refuse_settled, standing};
use super::settings::checked_reason;
use crate::book::{Author, Book, Happened, Page, StoredReport, StoredString, Struck, Thing};
use crate::trade::records::Reading;
use crate::trade::signs::ReportSign;
use crate::trade::standing::Step;
use crate::trade::words::{Photo, Standing, Symptom, Verdict};

/// That something was struck: shown with it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StruckMark {
    /// Day.
    pub on: NaiveDate,
    /// Who.
    pub who: String,
    /// Why; absent once the archer was forgotten.
    pub why: Option<String>,
}

impl From<&Struck> for StruckMark {
    fn from(struck: &Struck) -> Self {
        Self { on: struck.on, who: struck.who.clone(), why: struck.why.clone() }
    }
}

impl std::fmt::Display for StruckMark {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "struck on {} by {}", self.on, self.who)?;
        self.why.iter().try_for_each(|why| write!(f, ": {why}"))
    }
}

/// What is to be struck.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Strike {
    /// Its id: `R-7`, or `R-7/2` for the second reading of that report.
    pub id: String,
    /// Why.
    pub why: String,
    /// Signs of danger that are called off with it: numbers of signs, symptoms, or `photo`.
    pub call_off: Vec<String>,
}

/// What was struck, or brought back.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StrikeView {
    /// Its id.
    pub id: String,
    /// What it is: report or reading.
    pub what: &'static str,
    /// Serial of its string.
    pub string: String,
    /// How it is struck; absent once it is brought back.
    pub struck: Option<StruckMark>,
    /// Where its report stands now; absent where that is struck.
    pub standing: Option<Standing>,
    /// The last verdict on its report now.
    pub verdict: Option<Verdict>,
    /// Day of a letter that went out on it: the next letter takes that back.
    pub withdraws_letter_of: Option<NaiveDate>,
    /// What else to know, as sentences.
    pub notices: Vec<String>,
}

/// What an id names.
struct Named {
    id: String,
    string: StoredString,
    report: StoredReport,
    /// Place and row of a reading, where one is meant.
    reading: Option<(usize, i64, Reading)>,
    struck: Vec<Struck>,
}

fn not_found(what: &'static str, text: &str, near: Vec<String>) -> AppError {
    AppError::NotFound { what, text: crate::words::shorten(text), near }
}

/// The id of a reading: its place in the report, which it keeps whatever is struck.
pub(super) fn reading_id(report: i64, place: usize) -> String {
    format!("R-{report}/{place}")
}

fn find(page: &Page<'_>, text: &str) -> Result<Named, AppError> {
    let written = text.trim();
    let (of, place) = written.split_once('/').map_or((written, None), |(of, place)| (of, Some(place)));
    let number = super::reports::report_number(of)?;
    let report =
        page.any_report(number)?.ok_or_else(|| not_found("report", &format!("R-{number}"), Vec::new()))?;
    let string = page.string_of_row(report.string_id)?;
    let struck = page.struck_of(string.id)?;
    let mut reading = None;
    if let Some(text) = place {
        let all = page.all_readings(number)?;
        let place = text.trim().parse::<usize>().ok().filter(|place| (1..=all.len()).contains(place));
        let Some(place) = place else {
            let near = (1..=all.len()).rev().take(3).map(|place| reading_id(number, place)).collect();
            return Err(not_found("reading", written, near));
        };
        reading = all.into_iter().nth(place - 1).map(|(row, reading)| (place, row, reading));
    }
    let id = match &reading {
        Some((place, ..)) => reading_id(number, *place),
        None => format!("R-{number}"),
    };
    Ok(Named { id, string, report, reading, struck })
}

impl Named {
    const fn number(&self) -> i64 {
        self.report.report.number
    }

    const fn thing(&self) -> Thing {
        match &self.reading {
            Some((_, row, _)) => Thing::Reading(*row),
            None => Thing::Report(self.number()),
        }
    }

    fn strike(&self) -> Option<&Struck> {
        strike_of(&self.struck, self.thing())
    }

    /// Refuses a reading of a report that is struck itself, with all there is of it.
    fn refuse_struck_with(&self) -> Result<(), AppError> {
        let with = match self.reading {
            Some(_) => strike_of(&self.struck, Thing::Report(self.number()))
                .map(|struck| (format!("R-{}", self.number()), struck)),
            None => None,
        };
        match with {
            Some((id, struck)) => Err(refuse_struck(&id, struck)),
            None => Ok(()),
        }
    }
}

pub(super) fn strike_of(struck: &[Struck], thing: Thing) -> Option<&Struck> {
    struck.iter().find(|struck| struck.thing == thing)
}

/// Why something that is struck cannot be worked with.
pub(super) fn refuse_struck(id: &str, struck: &Struck) -> AppError {
    AppError::refused(
        format!("{id} is {}", StruckMark::from(struck)),
        format!("if that was wrong, bring it back first: fistmele unstrike {id}"),
    )
}

/// Strikes a report or a reading: it is left out at once of whatever is worked out.
///
/// # Errors
/// Nothing of that id, it is struck already, something rests on it that has to be undone first, it
/// holds a sign of danger that was not called off by name, or the book cannot be written.
pub fn strike(book: &mut Book, what: &Strike, author: &Author) -> Result<StrikeView, AppError> {
    let why = checked_reason(Some(&what.why))?.ok_or_else(|| {
        AppError::refused(
            "why it is struck is missing",
            "say it for whoever reads the report next, such as --why \"mistyped, it was 7 5/16\"",
        )
    })?;
    book.write(|page| {
        let named = find(page, &what.id)?;
        let number = named.number();
        named.refuse_struck_with()?;
        if let Some(struck) = named.strike() {
            return Err(refuse_struck(&named.id, struck));
        }
        refuse_empty(&named)?;
        refuse_resting(page, &named)?;
        let called_off = called_off(page, &named, &what.call_off, &why)?;
        let letter = page.letter_after(number, named.reading.as_ref().map(|(_, row, _)| *row))?;
        let replacement = replacement_left_out(page, &named)?;
        // A letter that rests on a struck reading has to be taken back by another.
        let withdraws = letter.filter(|_| named.reading.is_some());
        let step = if withdraws.is_some() { Step::Withdrawn.as_str() } else { "strike" };
        let fields = [vec![named.id.clone()], called_off].concat().join(" ");
        log(page, &named, step, &fields, author)?;
        page.strike(named.thing(), named.string.id, Some(number), &why)?;
        rework_from(page, &named, author)?;
        let mut notices = Vec::from_iter(replacement);
        if let Some(day) = letter.filter(|_| named.reading.is_none()) {
            notices.push(format!(
                "a letter went out on it on {day}: write to the archer that it does not hold, and ask whether any turns were made by it"
            ));
        }
        Ok(StrikeView { withdraws_letter_of: withdraws, notices, ..view(page, &named)? })
    })
}

/// Brings back what was struck.
///
/// # Errors
/// Nothing of that id, it is not struck, things have moved on since, or the book cannot be written.
pub fn unstrike(book: &mut Book, id: &str, author: &Author) -> Result<StrikeView, AppError> {
    book.write(|page| {
        let named = find(page, id)?;
        named.refuse_struck_with()?;
        let Some(struck) = named.strike() else {
            return Err(AppError::refused(
                format!("{} is not struck", named.id),
                format!("see it with: fistmele report show R-{}", named.number()),
            ));
        };
        refuse_moved_on(page, &named, struck)?;
        log(page, &named, "unstrike", &named.id, author)?;
        page.unstrike(struck)?;
        rework_from(page, &named, author)?;
        view(page, &named)
    })
}

fn log(page: &Page<'_>, named: &Named, what: &str, fields: &str, author: &Author) -> Result<(), AppError> {
    let happened = Happened { what, string: Some(named.string.id), report: Some(named.number()), fields };
    Ok(page.log(author, happened)?)
}

fn view(page: &Page<'_>, named: &Named) -> Result<StrikeView, AppError> {
    let struck = page.struck_of(named.string.id)?;
    let number = named.number();
    let live = page.report(number)?.is_some();
    Ok(StrikeView {
        id: named.id.clone(),
        what: if named.reading.is_some() { "reading" } else { "report" },
        string: named.string.string.serial.clone(),
        struck: strike_of(&struck, named.thing()).map(Into::into),
        standing: if live { Some(standing(page, number)?) } else { None },
        verdict: if live { page.last_verdict(number)?.map(|last| last.verdict) } else { None },
        withdraws_letter_of: None,
        notices: Vec::new(),
    })
}

fn refuse_empty(named: &Named) -> Result<(), AppError> {
    match &named.reading {
        Some((1, _, reading)) if reading.measurements.is_empty() => Err(AppError::refused(
            format!("{} holds no measurement: there is nothing to strike", named.id),
            format!("the report itself is struck with: fistmele strike R-{} --why \"…\"", named.number()),
        )),
        _ => Ok(()),
    }
}

/// Refuses where something was done that rests on it: that is undone first, or stays as it is.
fn refuse_resting(page: &Page<'_>, named: &Named) -> Result<(), AppError> {
    let number = named.number();
    if named.reading.is_some() {
        refuse_settled(page, number)?;
    } else if let Some((serial, day)) =
        page.remakes(number)?.into_iter().find_map(|remake| remake.sent_on.map(|day| (remake.serial, day)))
    {
        return Err(AppError::refused(
            format!(
                "{serial} was posted for R-{number} on {day}: that is a parcel, and no mistake of the pen"
            ),
            format!(
                "strike what was wrong in it, such as a reading (fistmele report show R-{number} names them), or settle it as it ended: fistmele settle R-{number}"
            ),
        ));
    }
    for later in page.reports_of(named.string.id)?.into_iter().filter(|later| *later > number) {
        if standing(page, later)? == Standing::Settled {
            return Err(AppError::refused(
                format!("R-{later} of the same string was settled since, and its end rests on {}", named.id),
                format!(
                    "take it up again, strike, and settle it anew: fistmele resume R-{later}, fistmele settle R-{later}"
                ),
            ));
        }
    }
    Ok(())
}

/// What was made for a report and not posted is left out with it.
fn replacement_left_out(page: &Page<'_>, named: &Named) -> Result<Option<String>, AppError> {
    if named.reading.is_some() {
        return Ok(None);
    }
    let Some(made) = page.remakes(named.number())?.pop() else { return Ok(None) };
    if let Some(report) = page.reports_of(made.string_id)?.first() {
        return Err(AppError::refused(
            format!("{} was made for {}, and R-{report} is about it", made.serial, named.id),
            format!("strike that first: fistmele strike R-{report} --why \"…\""),
        ));
    }
    Ok(Some(format!(
        "{} was made for it and is left out with it; the yarn that went into it stays used",
        made.serial
    )))
}

/// A sign of danger by the name under which it is called off.
struct Danger {
    name: String,
    shown: String,
}

fn dangers(page: &Page<'_>, named: &Named) -> Result<Vec<Danger>, AppError> {
    let report = &named.report.report;
    let sign = |sign: &ReportSign| Danger {
        name: sign.number.to_string(),
        shown: format!("sign {} \"{}\"", sign.number, sign.sign.words),
    };
    let symptom = |symptom: Symptom| Danger { name: symptom.to_string(), shown: symptom.to_string() };
    let photo = |reading: &Reading| {
        (reading.measurements.photo == Some(Photo::Damaged)).then(|| Danger {
            name: "photo".to_owned(),
            shown: "a photo that shows damage (photo)".to_owned(),
        })
    };
    let stands = |sign: &&ReportSign| sign.is_open() || sign.danger().is_some() || sign.is_for_bowyer();
    let mut found = Vec::new();
    match &named.reading {
        // What came in with the report stays with it.
        Some((1, _, reading)) => found.extend(photo(reading)),
        Some((_, row, reading)) => {
            let held = page.signs_with(*row)?;
            found.extend(
                report.signs.iter().filter(stands).filter(|sign| held.contains(&sign.number)).map(sign),
            );
            found.extend(page.symptoms_with(*row)?.into_iter().filter(|held| held.is_danger()).map(symptom));
            found.extend(photo(reading));
        }
        None => {
            found.extend(report.signs.iter().filter(stands).map(sign));
            found.extend(report.symptoms.iter().copied().filter(|held| held.is_danger()).map(symptom));
            found.extend(report.readings.iter().find_map(photo));
        }
    }
    Ok(found)
}

/// What holds a sign of danger is struck only with each called off by name.
fn called_off(page: &Page<'_>, named: &Named, names: &[String], why: &str) -> Result<Vec<String>, AppError> {
    let dangers = dangers(page, named)?;
    let names: Vec<String> = names.iter().map(|name| name.trim().to_lowercase()).collect();
    let shown = |dangers: &[&Danger]| {
        dangers.iter().map(|danger| danger.shown.as_str()).collect::<Vec<_>>().join("; ")
    };
    if let Some(strange) = names.iter().find(|name| !dangers.iter().any(|danger| danger.name == **name)) {
        return Err(AppError::refused(
            format!("{} holds no sign of danger \"{}\"", named.id, crate::words::shorten(strange)),
            if dangers.is_empty() {
                "leave --call-off out".to_owned()
            } else {
                format!("it holds: {}", shown(&dangers.iter().collect::<Vec<_>>()))
            },
        ));
    }
    let left: Vec<&Danger> = dangers.iter().filter(|danger| !names.contains(&danger.name)).collect();
    if !left.is_empty() {
        let options: Vec<String> =
            dangers.iter().map(|danger| format!("--call-off {}", danger.name)).collect();
        return Err(AppError::refused(
            format!("{} holds signs of danger: {}", named.id, shown(&left)),
            format!(
                "read each again; if it was noted by mistake or means no danger, call it off by name: fistmele strike {} {} --why \"{why}\"",
                named.id,
                options.join(" ")
            ),
        ));
    }
    Ok(names.into_iter().map(|name| format!("call-off:{name}")).collect())
}

/// Verdicts that were worked out with it, or without it, are worked out anew.
fn rework_from(page: &Page<'_>, named: &Named, author: &Author) -> Result<(), AppError> {
    for number in page.reports_of(named.string.id)? {
        if number >= named.number() && standing(page, number)? != Standing::Settled {
            rework(page, number, author)?;
        }
    }
    Ok(())
}

/// Refuses to bring back what others have built over since.
fn refuse_moved_on(page: &Page<'_>, named: &Named, struck: &Struck) -> Result<(), AppError> {
    let number = named.number();
    if named.reading.is_some() {
        refuse_settled(page, number)?;
    }
    for (what, report) in page.happened_since(named.string.id, struck.line, Some(number))? {
        let of = report.map(|report| format!("R-{report}")).unwrap_or_default();
        let own = report == Some(number);
        let (done, way) = match what.parse::<Step>() {
            Ok(Step::Read) if own => (
                format!("{of} has a newer reading"),
                format!("log what it measured once more: fistmele reading add {of}"),
            ),
            Ok(Step::Answered | Step::LookOver) if own => (
                format!("a letter went out on {of}"),
                format!("log what it measured once more: fistmele reading add {of}"),
            ),
            Ok(Step::Remade) if own => (
                format!("a replacement was put on the bench for {of}"),
                format!("log what it measured once more: fistmele reading add {of}"),
            ),
            Ok(Step::NoDanger) if own => (
                format!("somebody ruled danger out in {of}"),
                format!("log what it measured once more: fistmele reading add {of}"),
            ),
            Ok(Step::Reported) if !own => (
                format!("{of} was logged for the same string"),
                format!("go on in {of}, or strike that first: fistmele strike {of} --why \"…\""),
            ),
            Ok(Step::Settled) => (
                format!("{of} of the same string was settled"),
                format!("take it up again first: fistmele resume {of}"),
            ),
            _ => continue,
        };
        return Err(AppError::refused(
            format!("{} cannot be brought back: {done} since it was struck on {}", named.id, struck.on),
            way,
        ));
    }
    Ok(())
}
