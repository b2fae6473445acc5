//! A string's card with its history, and what its archer says now.

use serde::Serialize;

use super::fields::SaidForm;
use super::forms::Filled;
use super::page::{Page, expect};
use super::problem::{ProblemView, led_on};
use super::routes::Asked;
use super::{Open, Reply, Shared};
use crate::app;
use crate::app::reports::{Logged, NewReport};
use crate::app::views::StringView;
use crate::entry::{Entries, EntryError, bow_changes, measurements};
use crate::error::Problem;
use crate::quantity::{Unit, parse_date};
use crate::show::page::TextPage;
use crate::show::sentences::standing_name;
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
            separate,
            questions: Vec::new(),
            unspoken: None,
        }
    }
}

#[derive(Serialize)]
struct Card<'a> {
    serial: &'a str,
    address: String,
    seen: i64,
    card_html: String,
    archer: Option<&'a str>,
    reports: Vec<(String, &'static str, String)>,
    open_report: Option<&'a str>,
    chain: Vec<(String, String)>,
    form: SaidForm,
    form_open: bool,
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
    let reports = &view.reports;
    records::string_card(&mut card, &view, &open.style);
    let data = Card {
        serial: &view.serial,
        address: address(&view.serial),
        seen,
        card_html: web::html(&card),
        archer: view.archer.name.as_deref(),
        open_report: view.open_report(),
        reports: reports
            .iter()
            .rev()
            .map(|report| {
                let mut text = TextPage::new(80);
                records::report(&mut text, report, open.style.unit, false);
                (report.report.clone(), standing_name(report.standing), web::html(&text))
            })
            .collect(),
        chain: view
            .chain
            .iter()
            .filter(|serial| **serial != view.serial)
            .map(|serial| (serial.clone(), address(serial)))
            .collect(),
        form: SaidForm::new(filled, problem.map(|(_, view)| view)),
        form_open: problem.is_some(),
    };
    let title = format!("String {}", view.serial);
    Page { told, problem, ..Page::new("string.html", &title, "find") }.with(shared, open, &data)
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
        let logged = app::reports::add(&mut open.book, new, &open.author)?;
        Ok(logged_at(shared, &mut open, logged)?)
    });
    led_on(done, |problem, view| page(shared, &mut open, &serial, Vec::new(), &filled, Some((problem, view))))
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
