//! Striking what was noted by mistake, and taking a strike back. Nothing stored goes: a struck thing
//! is left out of whatever is worked out, and shown struck through.

mod bow_told;
mod letters;
mod list;
mod named;
mod rework;
mod strings;

use chrono::NaiveDate;
use serde::Serialize;

pub use self::list::{Strikable, StruckLine, of_report, of_string, struck};
use self::named::{Named, What, find};
pub(super) use self::named::{left_out, letter_ids, reading_id};
use self::rework::Judged;
use super::archers::address_before;
use super::bow::field_name;
use super::error::AppError;
use super::reports::{find_any_report, refuse_settled, standing};
use super::settings::checked_reason;
use super::take_back::standing_letter;
use crate::book::{Author, Book, Happened, Page, Struck, Thing};
use crate::trade::records::Reading;
use crate::trade::signs::{ReportSign, SignStanding};
use crate::trade::standing::{Step, is_taken_back};
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
    /// Its id: `R-7`, `R-7/2` for the second reading of that report, `R-7/L1` for its first letter, or
    /// the serial of a string.
    pub id: String,
    /// Why.
    pub why: String,
    /// Signs of danger that are called off with it: numbers of signs, symptoms, or `photo`.
    pub call_off: Vec<String>,
    /// Somebody knows that the letter never went out.
    pub never_sent: bool,
}

/// What was struck, or brought back.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StrikeView {
    /// Its id.
    pub id: String,
    /// What it is: report, reading, letter or string.
    pub what: &'static str,
    /// Serial of its string.
    pub string: String,
    /// How it is struck; absent once it is brought back.
    pub struck: Option<StruckMark>,
    /// Where its report stands now; absent where that is struck, and of a string.
    pub standing: Option<Standing>,
    /// The last verdict on its report now.
    pub verdict: Option<Verdict>,
    /// Day of a letter that went out on it and has to be taken back: by the next letter, and of a report
    /// that is struck by one of its own.
    pub withdraws_letter_of: Option<NaiveDate>,
    /// What else to know, as sentences.
    pub notices: Vec<String>,
}

impl StrikeView {
    /// Its id as `strike` and `unstrike` are told it.
    #[must_use]
    pub fn typed(&self) -> String {
        if self.what == "string" { named::typed_string(&self.id) } else { self.id.clone() }
    }
}

pub(super) fn strike_of(struck: &[Struck], thing: Thing) -> Option<&Struck> {
    struck.iter().find(|struck| struck.thing == thing)
}

/// Why something that is struck cannot be worked with.
pub(super) fn refuse_struck(id: &str, struck: &Struck) -> AppError {
    AppError::refused(
        format!("{id} is {}", StruckMark::from(struck)),
        format!(
            "if that was wrong, bring it back first: fistmele unstrike {}",
            named::typed(struck.thing, id)
        ),
    )
}

/// Strikes a report, a reading, a letter or a string: it is left out at once of whatever is worked out.
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
        named.refuse_left_out(page)?;
        if let Some(struck) = named.strike() {
            return Err(refuse_struck(&named.id, struck));
        }
        if what.never_sent && !matches!(named.what, What::Letter { .. }) {
            return Err(AppError::refused(
                format!("{} is no letter", named.id),
                "--never-sent is said of a letter, such as R-1/L1; leave it out",
            ));
        }
        match &named.what {
            What::String => strings::refuse_resting(page, &named)?,
            What::Letter { row, day, .. } => {
                letters::refuse_gone_out(page, &named, (*row, *day), what.never_sent)?;
            }
            What::Report | What::Reading { .. } => {
                refuse_empty(&named)?;
                refuse_resting(page, &named)?;
            }
        }
        let called_off = called_off(page, &named, &what.call_off, &why)?;
        let judged = Judged::since(page, &named, page.noted_line(named.thing())?, author)?;
        let (withdraws, mut notices) = with_it(page, &named)?;
        notices.extend(moved_with_it(page, &named)?);
        let told_of_bow = page.told_of_bow(named.string.bow_id)?;
        // Of a struck report no next letter takes the last one back: one of its own does.
        let withdrawn = withdraws.is_some() && !matches!(named.what, What::Report);
        let step = if withdrawn { Step::Withdrawn.as_str() } else { "strike" };
        let fields = [vec![named.field().to_owned()], called_off].concat().join(" ");
        log(page, &named, step, &fields, author)?;
        page.strike(named.thing(), named.string.id, named.number(), &why)?;
        let of_bow = bow_told::follow(page, &named, &told_of_bow, author)?;
        notices.extend(of_bow_changed(&named, &of_bow, "what it told of the bow goes with it"));
        judged.work_out_anew(page, author)?;
        Ok(StrikeView { withdraws_letter_of: withdraws, notices, ..view(page, &named)? })
    })
}

/// The day of a letter that has to be taken back, and what else is to be known of what goes with it.
fn with_it(page: &Page<'_>, named: &Named) -> Result<(Option<NaiveDate>, Vec<String>), AppError> {
    match &named.what {
        // A letter that rests on a struck reading has to be taken back by another.
        What::Reading { row, reading, .. } => {
            let letter = match named.number() {
                Some(number) if standing_letter(page, number)?.is_some() => {
                    page.letter_after(number, Some(*row))?
                }
                _ => None,
            };
            Ok((letter, note_anew(page, named, *row, reading)?))
        }
        What::Report => {
            let notices = Vec::from_iter(replacement_left_out(page, named)?);
            let letter = named.number().map(|number| standing_letter(page, number)).transpose()?.flatten();
            Ok((letter, notices))
        }
        What::Letter { row, .. } => Ok((None, letters::same_letter(page, *row)?)),
        What::String => Ok((None, strings::notices(page, named)?)),
    }
}

/// The address that the archer had before what is struck gave them another.
fn moved_with_it(page: &Page<'_>, named: &Named) -> Result<Option<String>, AppError> {
    if !matches!(named.what, What::Report | What::Reading { .. }) {
        return Ok(None);
    }
    let before = address_before(page, &named.string, page.noted_line(named.thing())?)?;
    Ok(before.map(|before| {
        format!(
            "with it letters to this archer go to another address, and that stays; if it was a mistake too, go back to {before}: fistmele sold archer {} --back-to {before}",
            named.string.string.serial
        )
    }))
}

/// How what a struck reading should have said is noted. Turns that it told and that were made are in
/// the string all the same: without them the next letter may ask for more than the string can take.
fn note_anew(page: &Page<'_>, named: &Named, row: i64, reading: &Reading) -> Result<Vec<String>, AppError> {
    let Some(number) = named.number() else { return Ok(Vec::new()) };
    let struck = page.struck_of(named.string.id)?;
    let readings = page.all_readings(number)?;
    let turns = reading.measurements.turns_changed.filter(|turns| turns.value() != 0.0);
    let later = readings
        .iter()
        .any(|(other, _)| *other > row && strike_of(&struck, Thing::Reading(*other)).is_none());
    let mut notices = Vec::new();
    if let Some(turns) = turns {
        notices.push(format!(
            "with it go the turns it told, {:+}: if they were made they are in the string, and have to be noted anew before anything is turned",
            turns.value()
        ));
    }
    notices.push(if later {
        format!(
            "what is noted now counts as the newest reading: to note the right one in its place, strike those after it too and note all of them anew, in the order in which they were read: fistmele reading add R-{number}"
        )
    } else {
        format!("note the right one with: fistmele reading add R-{number}")
    });
    Ok(notices)
}

/// Brings back what was struck.
///
/// # Errors
/// Nothing of that id, it is not struck, things have moved on since, or the book cannot be written.
pub fn unstrike(book: &mut Book, id: &str, author: &Author) -> Result<StrikeView, AppError> {
    book.write(|page| {
        let named = find(page, id)?;
        named.refuse_left_out(page)?;
        let Some(struck) = named.strike() else {
            return Err(AppError::refused(
                format!("{} is not struck", named.id),
                format!("see it with: {}", named.shown_by()),
            ));
        };
        match named.number() {
            Some(number) => refuse_moved_on(page, &named, number, struck)?,
            None => strings::refuse_moved_on(page, &named)?,
        }
        let judged = Judged::since(page, &named, struck.line, author)?;
        let told_of_bow = page.told_of_bow(named.string.bow_id)?;
        log(page, &named, "unstrike", named.field(), author)?;
        page.unstrike(struck)?;
        let of_bow = bow_told::follow(page, &named, &told_of_bow, author)?;
        judged.work_out_anew(page, author)?;
        let mut notices = Vec::from_iter(letter_again(page, &named)?);
        notices.extend(of_bow_changed(&named, &of_bow, "what it told of the bow is back with it"));
        Ok(StrikeView { notices, ..view(page, &named)? })
    })
}

/// What has become of the last letter of a report that is brought back.
fn letter_again(page: &Page<'_>, named: &Named) -> Result<Option<String>, AppError> {
    let (What::Report, Some(number)) = (&named.what, named.number()) else { return Ok(None) };
    if let Some(day) = standing_letter(page, number)? {
        return Ok(Some(format!("its letter of {day} counts again, and has not to be taken back")));
    }
    let taken_back = is_taken_back(&page.steps(number)?);
    Ok(page.letter_after(number, None)?.filter(|_| taken_back).map(|day| {
        format!(
            "its letter of {day} was taken back: whether there is danger has to be said anew, and the next letter says that it takes the place of both"
        )
    }))
}

/// That the bow is known otherwise now.
fn of_bow_changed(named: &Named, fields: &[&str], how: &str) -> Option<String> {
    (!fields.is_empty()).then(|| {
        format!(
            "{how} ({}): see fistmele bow show {}",
            fields.iter().map(|field| field_name(field)).collect::<Vec<_>>().join(", "),
            named.string.string.serial
        )
    })
}

fn log(page: &Page<'_>, named: &Named, what: &str, fields: &str, author: &Author) -> Result<(), AppError> {
    let happened = Happened { what, string: Some(named.string.id), report: named.number(), fields };
    Ok(page.log(author, happened)?)
}

fn view(page: &Page<'_>, named: &Named) -> Result<StrikeView, AppError> {
    let struck = page.struck_of(named.string.id)?;
    let live = match named.number() {
        Some(number) if page.report(number)?.is_some() => Some(number),
        _ => None,
    };
    Ok(StrikeView {
        id: named.id.clone(),
        what: named.thing().word(),
        string: named.string.string.serial.clone(),
        struck: strike_of(&struck, named.thing()).map(Into::into),
        standing: live.map(|number| standing(page, number)).transpose()?,
        verdict: match live {
            Some(number) => page.last_verdict(number)?.map(|last| last.verdict),
            None => None,
        },
        withdraws_letter_of: None,
        notices: Vec::new(),
    })
}

fn refuse_empty(named: &Named) -> Result<(), AppError> {
    match &named.report {
        Some(report) if named.is_empty() => Err(AppError::refused(
            format!("{} holds no measurement: there is nothing to strike", named.id),
            format!("the report itself is struck with: fistmele strike {} --why \"…\"", report.report.id()),
        )),
        _ => Ok(()),
    }
}

/// What is said of a parcel that is out there.
fn posted(serial: &str, report: i64, day: NaiveDate) -> String {
    format!("{serial} was posted for R-{report} on {day}: that is a parcel, and no mistake of the pen")
}

/// What was posted for a report, said as that; nothing where nothing was.
fn posted_for(page: &Page<'_>, report: i64) -> Result<Option<String>, AppError> {
    let sent = page.remakes(report)?.into_iter().find_map(|made| Some((made.serial, made.sent_on?)));
    Ok(sent.map(|(serial, day)| posted(&serial, report, day)))
}

/// Refuses where something was done that rests on it: that is undone first, or stays as it is.
fn refuse_resting(page: &Page<'_>, named: &Named) -> Result<(), AppError> {
    let Some(number) = named.number() else { return Ok(()) };
    if matches!(named.what, What::Reading { .. }) {
        refuse_settled(page, number)?;
    } else if let Some(posted) = posted_for(page, number)? {
        return Err(AppError::refused(
            posted,
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
    let Some(number) = named.number() else { return Ok(None) };
    let Some(made) = page.remakes(number)?.pop() else { return Ok(None) };
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
    let Some(report) = named.report.as_ref().map(|stored| &stored.report) else { return Ok(Vec::new()) };
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
    let stands = |sign: &&ReportSign| matches!(sign.standing, SignStanding::Open | SignStanding::Confirmed);
    let mut found = Vec::new();
    match &named.what {
        // What came in with the report stays with it.
        What::Reading { place: 1, reading, .. } => found.extend(photo(reading)),
        What::Reading { row, reading, .. } => {
            let held = page.signs_with(*row)?;
            found.extend(
                report.signs.iter().filter(stands).filter(|sign| held.contains(&sign.number)).map(sign),
            );
            found.extend(page.symptoms_with(*row)?.into_iter().filter(|held| held.is_danger()).map(symptom));
            found.extend(photo(reading));
        }
        What::Report => {
            found.extend(report.signs.iter().filter(stands).map(sign));
            found.extend(report.symptoms.iter().copied().filter(|held| held.is_danger()).map(symptom));
            found.extend(report.readings.iter().find_map(photo));
        }
        What::Letter { .. } | What::String => {}
    }
    Ok(found)
}

/// The signs of danger that a report holds, as they are shown; nothing where it holds none.
fn dangers_of(page: &Page<'_>, report: i64) -> Result<Option<String>, AppError> {
    let (stored, _) = find_any_report(page, &format!("R-{report}"))?;
    let dangers = dangers(page, &Named::of_report(page, stored)?)?;
    let shown: Vec<String> = dangers.into_iter().map(|danger| danger.shown).collect();
    Ok((!shown.is_empty()).then(|| shown.join("; ")))
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

/// Refuses to bring back what others have built over since.
fn refuse_moved_on(page: &Page<'_>, named: &Named, number: i64, struck: &Struck) -> Result<(), AppError> {
    if !matches!(named.what, What::Report) {
        refuse_settled(page, number)?;
    }
    let letter = matches!(named.what, What::Letter { .. });
    for (what, report) in page.happened_since(named.string.id, struck.line, Some(number))? {
        let of = report.map(|report| format!("R-{report}")).unwrap_or_default();
        let own = report == Some(number);
        let measured = || format!("log what it measured once more: fistmele reading add {of}");
        let (done, way) = match what.parse::<Step>() {
            Ok(step) if step.is_letter() && own && letter => (
                format!("a letter went out on {of}"),
                "it stays struck: what the newer letter says holds".to_owned(),
            ),
            // The letter keeps its place before whatever else came since.
            _ if letter => continue,
            Ok(Step::Read) if own => (format!("{of} has a newer reading"), measured()),
            Ok(step) if step.is_letter() && own => (format!("a letter went out on {of}"), measured()),
            Ok(Step::Remade) if own => (format!("a replacement was put on the bench for {of}"), measured()),
            Ok(Step::NoDanger) if own => (format!("somebody ruled danger out in {of}"), measured()),
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
