//! A pasted mail: what it seems to say, beside the words it says it with, to confirm or correct.

use serde::Serialize;

use super::forms::{Filled, SEEN};
use super::mail_files::{WAITING, Waiting};
use super::mail_page::{read_page, taken};
use super::page::{Page, expect};
use super::problem::{ProblemView, Refused, led_on};
use super::routes::Asked;
use super::string::{Said, logged_at};
use super::{Open, Reply, Shared, together};
use crate::app;
use crate::app::logging::NewReport;
use crate::app::mails::{self, ReadMail};
use crate::error::{Kind, Problem};
use crate::mail::{Mail, read_pasted};
use crate::trade::words::Symptom;

#[derive(Serialize)]
struct Paste<'a> {
    pasted: &'a str,
    from: &'a str,
    /// Mails that were chosen as files.
    waiting: Waiting,
}

/// The page to paste into.
pub(super) fn paste(shared: &Shared, _: Asked) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let waiting = Waiting::read(shared, &mut open)?;
    Page::new("mail.html", "Paste a mail", "mail").with(
        shared,
        &open,
        &Paste { pasted: "", from: "", waiting },
    )
}

/// The mail of a form.
pub(super) fn pasted_mail(filled: &Filled) -> Result<Mail, Problem> {
    let pasted = filled.get("pasted").ok_or_else(|| {
        Problem::new(Kind::BadValue, "nothing was pasted", "copy the whole mail, or its text, and paste it")
    })?;
    Ok(read_pasted(pasted, filled.get("from"))?)
}

/// Keeps what was pasted for a while and leads to what it says. It changes nothing, so it needs no
/// mark of ours: what was pasted is not lost when the counter was started anew meanwhile.
pub(super) fn read(shared: &Shared, filled: Filled) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    match pasted_mail(&filled) {
        Ok(_) => Ok(Reply::SeeOther(format!("/mail/{}", shared.kept.keep(filled)?))),
        Err(problem) => {
            let view = ProblemView::new(&problem, None);
            let data = Paste {
                pasted: filled.get("pasted").unwrap_or_default(),
                from: filled.get("from").unwrap_or_default(),
                waiting: Waiting::read(shared, &mut open)?,
            };
            Page { problem: Some((&problem, &view)), ..Page::new("mail.html", "Paste a mail", "mail") }
                .with(shared, &open, &data)
        }
    }
}

/// What a pasted mail says.
pub(super) fn says(shared: &Shared, (mark, _): (String, Asked)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    // After the counter was started anew, long after, or after somebody was forgotten, it has to be
    // pasted again.
    let Some(filled) = shared.kept.get(&mark).filter(|_| mark != WAITING) else {
        return Ok(Reply::SeeOther("/mail".to_owned()));
    };
    let mail = pasted_mail(&filled)?;
    // What was corrected on the page stays when another string is chosen there.
    let corrected = filled.get(SEEN).is_some() && filled.get("anew").is_none();
    read_page(shared, &mut open, &mail, &filled, corrected, None)
}

/// Logs what was confirmed or corrected of each string that the mail names, and leads to the one
/// letter about all.
fn log_each(shared: &Shared, open: &mut Open, mail: &Mail, filled: &Filled) -> Result<String, Refused> {
    let read = shared.read_mail(open, mail, None)?;
    let mut shown = filled.clone();
    shown.set(SEEN, filled.get("each-seen").unwrap_or_default());
    together::expect_all(open, read.named(), &shown)?;
    mails::refuse_forgotten(&read.view, filled.get("although-forgotten").is_some())?;
    if read.named().is_empty() {
        return Err(Problem::new(
            Kind::BadValue,
            "the mail names no several strings",
            "choose the one that it is about, or type its serial",
        )
        .into());
    }
    let mut each = Vec::new();
    for (read, serial) in read.each().iter().zip(read.named()) {
        let mut own = filled.of_string(serial);
        if filled.has("each", "likely") {
            own.set("take", "all");
        }
        each.push(new_report(read, serial.clone(), &own, open)?);
    }
    let logged = app::logging::add_each(&mut open.book, each, &open.author)?;
    let mut notices = Vec::new();
    let mut ids = Vec::new();
    for one in logged {
        // It is logged whatever becomes of the verdict; a report without one says why on its page.
        let _ = app::advise::advise(&mut open.book, &one.view.report, &open.author);
        notices.extend(one.notices);
        ids.push(one.view.report);
    }
    Ok(shared.told.on(together::address(&ids), notices)?)
}

/// What was confirmed or corrected, as a report of a string.
fn new_report(read: &ReadMail, string: String, filled: &Filled, open: &Open) -> Result<NewReport, Refused> {
    let with = taken(filled, &read.view, open.style.unit);
    let mut said = Said::read(&with.entries(), open.style.unit, open.author.day)?;
    said.add_brace_symptom();
    let questions = read.questions_left(&said.measured, &said.bow);
    Ok(NewReport {
        text: Some(read.view.text.clone()),
        whole: Some(read.danger()),
        questions,
        new_address: mails::said_new_address(&read.view, filled.get("new-address").is_some())?,
        unspoken: Some(Symptom::Other),
        fits: filled.get("fits").is_some(),
        mail: Some(read.name.clone()),
        unit: read.unit(),
        ..said.into_report(string, filled.get("separate").is_some())
    })
}

/// Logs what was confirmed or corrected, works out the verdict, and leads to the report.
pub(super) fn log(shared: &Shared, filled: Filled) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let mail = pasted_mail(&filled)?;
    let done = shared.forms.once("/mail/log", &filled, || {
        if filled.get("each").is_some() {
            return log_each(shared, &mut open, &mail, &filled);
        }
        let shown = filled.get("string-seen").unwrap_or_default();
        app::forget::refuse_since(&mut open.book, shown, filled.seen()?)?;
        let serial = filled.get("string").ok_or_else(|| {
            Problem::new(
                Kind::BadValue,
                "which string the mail is about is not said",
                "choose one, or type its serial",
            )
        })?;
        let read = shared.read_mail(&mut open, &mail, Some(serial))?;
        let string = read.view.string.clone().unwrap_or_default();
        // Of a string that was typed only now nothing was seen: whose it is, which report is open.
        if filled.get("string-seen") != Some(string.as_str()) {
            return Err(Problem::new(
                Kind::Refused,
                format!("{string} was not shown here before; nothing was written down yet"),
                "look whose string it is, below, and send it again",
            )
            .into());
        }
        expect(&mut open, &string, &filled)?;
        mails::refuse_forgotten(&read.view, filled.get("although-forgotten").is_some())?;
        let new = new_report(&read, string, &filled, &open)?;
        let logged = app::logging::add(&mut open.book, new, &open.author)?;
        Ok(logged_at(shared, &mut open, logged)?)
    });
    led_on(done, &[], |problem, view| {
        read_page(shared, &mut open, &mail, &filled, true, Some((problem, view)))
    })
}
