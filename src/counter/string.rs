//! A string's card with its history, and what its archer says now.

use serde::Serialize;

use super::fields::SaidForm;
use super::forms::Filled;
use super::page::{Page, PlainLetter, expect, expect_letter};
use super::problem::{ProblemView, led_on};
use super::routes::Asked;
use super::strike::{self, StruckPage, ThingView};
use super::{Open, Reply, Shared, sheet};
use crate::app;
use crate::app::logging::{Logged, NewReport};
use crate::app::outgoing::Outgoing;
use crate::app::views::{ReportView, SentView, StringView};
use crate::entry::{Entries, EntryError, bow_changes, measurements};
use crate::error::Problem;
use crate::letters;
use crate::mail::brace_symptom;
use crate::quantity::{Unit, parse_date};
use crate::show::names::standing_name;
use crate::show::page::TextPage;
use crate::show::{records, web};
use crate::trade::records::{BowChanges, Measurements};
use crate::trade::words::Symptom;

/// The address of a string's card.
pub(super) fn address(serial: &str) -> String {
    let mut address = String::from("/string/");
    for byte in serial.bytes() {
        if byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_' | b'~') {
            address.push(char::from(byte));
        } else {
            address.push_str(&format!("%{byte:02X}"));
        }
    }
    address
}

/// What somebody filled in of what an archer says.
pub(super) struct Said {
    pub(super) symptoms: Vec<Symptom>,
    pub(super) measured: Measurements,
    pub(super) bow: BowChanges,
    pub(super) received_on: chrono::NaiveDate,
    pub(super) text: Option<String>,
    pub(super) no_damage: bool,
}

impl Said {
    /// Reads the fields as the options of the same names are read.
    pub(super) fn read(
        entries: &Entries<'_>,
        unit: Unit,
        today: chrono::NaiveDate,
    ) -> Result<Self, EntryError> {
        use chrono::Datelike;
        Ok(Self {
            symptoms: entries.words("symptom")?,
            measured: measurements(entries, unit)?,
            bow: bow_changes(entries, unit, today.year())?,
            received_on: entries.quantity("received", parse_date)?.unwrap_or(today),
            text: entries.get("text").map(str::to_owned),
            no_damage: entries.get("no-damage").is_some(),
        })
    }

    /// A brace height and a wanted range say by themselves whether the brace is low or high.
    pub(super) fn add_brace_symptom(&mut self) {
        let want = self.measured.want.or(self.bow.brace_range);
        let symptom = self.measured.brace.zip(want).and_then(|(brace, want)| brace_symptom(brace, want));
        let is_said = self.symptoms.iter().any(|held| matches!(held, Symptom::BraceLow | Symptom::BraceHigh));
        self.symptoms.extend(symptom.filter(|_| !is_said));
    }

    /// As a report of a string, or its open report's next reading unless it is `separate`.
    pub(super) fn into_report(self, serial: String, separate: bool) -> NewReport {
        NewReport {
            serial,
            symptoms: self.symptoms,
            measured: self.measured,
            bow: self.bow,
            received_on: self.received_on,
            text: self.text,
            whole: None,
            no_damage: self.no_damage,
            no_danger: false,
            new_address: None,
            fits: false,
            mail: None,
            unit: None,
            separate,
            questions: Vec::new(),
            unspoken: None,
        }
    }
}

/// A letter that went out, folded.
#[derive(Serialize)]
pub(super) struct SentOnPage {
    line: String,
    text: String,
}

impl SentOnPage {
    pub(super) fn new(sent: &SentView) -> Self {
        Self { line: records::sent_line(sent), text: sent.text.clone() }
    }
}

/// The letter about a string that is too weak for its bow.
#[derive(Serialize)]
struct WarningView {
    letter: PlainLetter,
    warned_on: Option<String>,
}

/// The letter that says not to shoot a string, by the workshop's own text where there is one.
fn warning_letter(shared: &Shared, open: &mut Open, serial: &str) -> Result<WarningView, Problem> {
    let warning = app::strength::warning(&mut open.book, serial)?;
    let own = shared.desk.own_letter(&open.book, letters::STRENGTH_TEMPLATE)?;
    let text = letters::too_weak(&warning, own.as_deref())?;
    Ok(WarningView {
        letter: PlainLetter::new(text, warning.email),
        warned_on: warning.warned_on.map(|day| day.to_string()),
    })
}

#[derive(Serialize)]
struct Card<'a> {
    serial: &'a str,
    address: String,
    seen: i64,
    card_html: String,
    /// Address of the sheet for its parcel; that of an open report goes with its letter.
    sheet_address: Option<String>,
    archer: Option<&'a str>,
    /// Addresses that were theirs, the newest first.
    former: Vec<&'a str>,
    /// The units that letters can go in, and whether it is theirs.
    units: [(&'static str, bool); 4],
    reports: Vec<(String, &'static str, String)>,
    open_report: Option<&'a str>,
    chain: Vec<(String, String)>,
    /// Strings of other bows of the archer that look like this one's.
    alike: Vec<(String, String)>,
    /// It shares its bow with strings that it does not replace.
    shares_bow: bool,
    warning: Option<WarningView>,
    letters: Vec<SentOnPage>,
    /// What can be struck: the string itself.
    things: Vec<ThingView>,
    /// Something is wrong with what was typed there.
    strike_open: bool,
    form: SaidForm,
    form_open: bool,
}

fn links<'a>(serials: impl Iterator<Item = &'a String>) -> Vec<(String, String)> {
    serials.map(|serial| (serial.clone(), address(serial))).collect()
}

fn page(
    shared: &Shared,
    open: &mut Open,
    serial: &str,
    told: Vec<String>,
    filled: &Filled,
    problem: Option<(&Problem, &ProblemView)>,
) -> Result<Reply, Problem> {
    let seen = app::reports::last_line(&mut open.book, serial)?;
    let view: StringView = app::sold::show(&mut open.book, serial)?;
    let mut card = TextPage::new(80);
    let things = strike::views(app::strikes::of_string(&mut open.book, serial)?, filled);
    if view.struck.is_some() {
        records::string(&mut card, &view, &open.style);
        let page = StruckPage {
            title: format!("String {}", view.serial),
            address: address(&view.serial),
            string: None,
            seen,
            said_html: web::html(&card),
            letter: None,
            things,
        };
        return page.show(shared, open, told, problem);
    }
    let reports: Vec<&ReportView> = in_order(&view);
    records::string_card(&mut card, &view, &open.style);
    let warning = match view.strength.below() {
        Some(_) => Some(warning_letter(shared, open, serial)?),
        None => None,
    };
    let data = Card {
        serial: &view.serial,
        address: address(&view.serial),
        seen,
        card_html: web::html(&card),
        sheet_address: (warning.is_none() && view.open_report().is_none())
            .then(|| sheet::address(&view.serial)),
        archer: view.archer.name.as_deref(),
        former: view.former_addresses.iter().rev().map(|former| former.email.as_str()).collect(),
        units: [None, Some(Unit::Inch), Some(Unit::Cm), Some(Unit::Mm)]
            .map(|unit| (unit.map_or("book", Unit::as_str), view.archer.unit == unit)),
        open_report: view.open_report(),
        reports: reports
            .into_iter()
            .rev()
            .map(|report| {
                let mut text = TextPage::new(80);
                records::report(&mut text, report, &open.style, false);
                let stands = if report.struck.is_some() { "struck" } else { standing_name(report.standing) };
                (report.report.clone(), stands, web::html(&text))
            })
            .collect(),
        chain: links(view.chain.iter().filter(|serial| **serial != view.serial)),
        alike: links(view.bows_alike.iter()),
        shares_bow: view.chain.is_empty() && !view.same_bow.is_empty(),
        warning,
        letters: view.letters.iter().map(SentOnPage::new).collect(),
        form: SaidForm::new(filled, problem.map(|(_, view)| view)),
        things,
        strike_open: problem.is_some() && filled.get("thing").is_some(),
        form_open: problem.is_some() && filled.get("thing").is_none(),
    };
    let title = format!("String {}", view.serial);
    Page { told, problem, ..Page::new("string.html", &title, "find") }.with(shared, open, &data)
}

/// Its reports, oldest first; those that were struck stand among the others.
fn in_order(view: &StringView) -> Vec<&ReportView> {
    let mut reports: Vec<&ReportView> = view.reports.iter().chain(&view.struck_reports).collect();
    reports.sort_by_key(|report| report.number);
    reports
}

/// The card.
pub(super) fn card(shared: &Shared, (serial, asked): (String, Asked)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let told = shared.told.take(asked.get("told").map(String::as_str));
    page(shared, &mut open, &serial, told, &Filled::default(), None)
}

/// Logs what the archer says of a string, works out the verdict, and leads to the report.
pub(super) fn report(shared: &Shared, (serial, filled): (String, Filled)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let done = shared.forms.once(&format!("/string/{serial}/report"), &filled, || {
        expect(&mut open, &serial, &filled)?;
        let said = Said::read(&filled.entries(), open.style.unit, open.author.day)?;
        let new = said.into_report(serial.clone(), filled.get("separate").is_some());
        let logged = app::logging::add(&mut open.book, new, &open.author)?;
        Ok(logged_at(shared, &mut open, logged)?)
    });
    led_on(done, &[], |problem, view| {
        page(shared, &mut open, &serial, Vec::new(), &filled, Some((problem, view)))
    })
}

/// Notes that the letter that says not to shoot a string was sent.
pub(super) fn warned(shared: &Shared, (serial, filled): (String, Filled)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let done = shared.forms.once(&format!("/string/{serial}/warned"), &filled, || {
        let letter = warning_letter(shared, &mut open, &serial)?;
        expect_letter(&filled, &letter.letter.text)?;
        expect(&mut open, &serial, &filled)?;
        let sent = Outgoing { kind: letters::STRENGTH, text: &letter.letter.text };
        app::strength::warned(&mut open.book, &serial, sent, &open.author)?;
        Ok(shared
            .told
            .on(address(&serial), vec!["Noted: the letter that says not to shoot it was sent.".to_owned()])?)
    });
    led_on(done, &[], |problem, view| {
        page(shared, &mut open, &serial, Vec::new(), &filled, Some((problem, view)))
    })
}

/// Notes that a string is for the bow of another string, or for another bow than it was taken to be.
pub(super) fn bow(shared: &Shared, (serial, filled): (String, Filled)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let done = shared.forms.once(&format!("/string/{serial}/bow"), &filled, || {
        expect(&mut open, &serial, &filled)?;
        let told = match filled.get("same-as") {
            Some(other) => {
                app::bow::same(&mut open.book, &serial, other, &open.author)?;
                format!("Noted: it is for the same bow as {other}.")
            }
            None => {
                app::bow::apart(&mut open.book, &serial, &open.author)?;
                "Noted: its bow is another. What was known of the one is known of both.".to_owned()
            }
        };
        Ok(shared.told.on(address(&serial), vec![told])?)
    });
    led_on(done, &[], |problem, view| {
        page(shared, &mut open, &serial, Vec::new(), &filled, Some((problem, view)))
    })
}

/// Notes in which unit the archer of a string measures, or that a former address is theirs again.
pub(super) fn archer(shared: &Shared, (serial, filled): (String, Filled)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let done = shared.forms.once(&format!("/string/{serial}/archer"), &filled, || {
        expect(&mut open, &serial, &filled)?;
        let told = match filled.get("back-to") {
            Some(former) => {
                app::archers::back_to(&mut open.book, &serial, former, &open.author)?;
                format!("Noted: letters to this archer go to {former} again.")
            }
            None => {
                let unit = filled.get("measures-in").unwrap_or_default();
                app::archers::set_unit(&mut open.book, &serial, unit, &open.author)?;
                "Noted: letters to this archer go in that unit.".to_owned()
            }
        };
        Ok(shared.told.on(address(&serial), vec![told])?)
    });
    led_on(done, &[], |problem, view| {
        page(shared, &mut open, &serial, Vec::new(), &filled, Some((problem, view)))
    })
}

/// Strikes the string.
pub(super) fn strike(shared: &Shared, asked: (String, Filled)) -> Result<Reply, Problem> {
    take(shared, "strike", asked)
}

/// Brings the string back.
pub(super) fn unstrike(shared: &Shared, asked: (String, Filled)) -> Result<Reply, Problem> {
    take(shared, "unstrike", asked)
}

fn take(shared: &Shared, step: &str, (serial, filled): (String, Filled)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let done = shared.forms.once(&format!("/string/{serial}/{step}"), &filled, || {
        expect(&mut open, &serial, &filled)?;
        let things = app::strikes::of_string(&mut open.book, &serial)?;
        let told = strike::take(&mut open, &things, step, &filled)?;
        Ok(shared.told.on(address(&serial), told)?)
    });
    led_on(done, &[], |problem, view| {
        page(shared, &mut open, &serial, Vec::new(), &filled, Some((problem, view)))
    })
}

/// Works out the verdict on what was just logged; the place where it is shown.
pub(super) fn logged_at(shared: &Shared, open: &mut Open, logged: Logged) -> Result<String, Problem> {
    let id = logged.view.report;
    // It is logged whatever becomes of the verdict; a report without one says why on its page.
    let _ = app::advise::advise(&mut open.book, &id, &open.author);
    shared.told.on(format!("/report/{id}"), logged.notices)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn any_serial_makes_an_address() {
        assert_eq!(address("S-1"), "/string/S-1");
        assert_eq!(address("Ü/1 ?"), "/string/%C3%9C%2F1%20%3F");
        assert_eq!(address(".."), "/string/%2E%2E");
    }
}
