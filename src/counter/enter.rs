//! A string that is not in the book, entered with what its archer tells.

use serde::Serialize;

use super::fields::{BOW, FieldView, NEW_STRING, views};
use super::forms::Filled;
use super::mail::pasted_mail;
use super::page::Page;
use super::problem::{ProblemView, led_on};
use super::routes::Asked;
use super::{Open, Reply, Shared, string};
use crate::app;
use crate::app::mails::{self, MailView};
use crate::entry::unknown_string;
use crate::error::Problem;
use crate::show::records::twice;

#[derive(Serialize)]
struct Enter<'a> {
    /// Whose mail it is entered from.
    from: Option<String>,
    forgotten_on: Option<String>,
    fields: Vec<FieldView>,
    bow: Vec<FieldView>,
    pasted: &'a str,
    pasted_from: &'a str,
    attachments: Option<&'a str>,
}

/// What the mail says that goes with a form, if one was pasted; with the day by which it was sent.
fn mail_of(
    shared: &Shared,
    open: &mut Open,
    filled: &Filled,
) -> Result<Option<(MailView, chrono::NaiveDate)>, Problem> {
    if filled.get("pasted").is_none() {
        return Ok(None);
    }
    let mail = pasted_mail(filled)?;
    let read = shared.read_mail(open, &mail, None)?;
    let day = read.received_on();
    Ok(Some((read.view, day)))
}

fn page(
    shared: &Shared,
    open: &mut Open,
    filled: &Filled,
    problem: Option<(&Problem, &ProblemView)>,
) -> Result<Reply, Problem> {
    let wrong = problem.map(|(_, view)| view);
    let mail = mail_of(shared, open, filled)?.map(|(view, _)| view);
    // Whose string it is the mail says, as long as nobody says otherwise.
    let sender = mail.iter().flat_map(|view| {
        [("archer", &view.from), ("email", &view.address)]
            .into_iter()
            .filter_map(|(name, said)| Some((name.to_owned(), said.clone()?)))
    });
    // A serial that the book does not know may be that of this string.
    let called = filled.get("string").map(|serial| ("serial".to_owned(), serial.to_owned()));
    let proposed = Filled::from_pairs(sender.chain(called));
    let mut fields = views(&NEW_STRING, filled, wrong);
    for field in fields.iter_mut().filter(|field| problem.is_none() && !field.is_used()) {
        field.propose(proposed.get(field.name()).unwrap_or_default());
    }
    let data = Enter {
        from: mail.as_ref().and_then(|view| view.from.clone().or(view.address.clone())),
        forgotten_on: mail.as_ref().and_then(|view| view.forgotten_on).map(|day| day.to_string()),
        fields,
        bow: views(&BOW, filled, wrong),
        pasted: filled.get("pasted").unwrap_or_default(),
        pasted_from: filled.get("from").unwrap_or_default(),
        attachments: filled.get("attachments"),
    };
    Page { problem, ..Page::new("enter.html", "A string that is not in the book", "find") }
        .with(shared, open, &data)
}

/// The page to enter one on, with nothing filled in.
pub(super) fn empty(shared: &Shared, _: Asked) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    page(shared, &mut open, &Filled::default(), None)
}

/// Keeps what is known from the page of a mail, and leads to the page to enter the string on.
pub(super) fn begin(shared: &Shared, filled: Filled) -> Result<Reply, Problem> {
    // What was kept before somebody was forgotten goes before anything new is kept.
    shared.open()?;
    Ok(Reply::SeeOther(format!("/enter/{}", shared.kept.keep(filled)?)))
}

/// That page.
pub(super) fn begun(shared: &Shared, (mark, _): (String, Asked)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let Some(filled) = shared.kept.get(&mark) else { return Ok(Reply::SeeOther("/enter".to_owned())) };
    page(shared, &mut open, &filled, None)
}

/// Enters the string, and leads back to its mail, or to its card.
pub(super) fn add(shared: &Shared, filled: Filled) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let done = shared.forms.once("/enter/add", &filled, || {
        let mail = mail_of(shared, &mut open, &filled)?;
        if let Some((view, _)) = &mail {
            mails::refuse_forgotten(view, filled.get("although-forgotten").is_some())?;
        }
        let today = open.author.day;
        let by = mail.as_ref().map_or(today, |(_, day)| *day);
        let new = unknown_string(&filled.entries(), open.style.unit, today, by)?;
        let entered = app::sold::add(&mut open.book, new, &open.author)?;
        let serial = entered.serial;
        if mail.is_none() {
            let mut told = vec![format!("Noted: {serial} is entered.")];
            told.extend(entered.twins.last().map(|other| twice(&serial, other)));
            return Ok(shared.told.on(string::address(&serial), told)?);
        }
        let told =
            ["pasted", "from", "attachments"].into_iter().filter_map(|name| Some((name, filled.get(name)?)));
        let kept = Filled::from_pairs(told.chain([("string", serial.as_str())]));
        Ok(format!("/mail/{}", shared.kept.keep(kept)?))
    });
    led_on(done, &[&NEW_STRING], |problem, view| page(shared, &mut open, &filled, Some((problem, view))))
}
