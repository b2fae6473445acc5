//! What a mail seems to say, as text.

use super::page::{Meaning, TextPage};
use super::{exactly, inches};
use crate::app::came_in::{MailsView, WaitingMail};
use crate::app::mails::{MailView, ReadLine};
use crate::quantity::Unit;
use crate::trade::signs::Sign;
use crate::trade::words::MailKind;

fn worded(line: &ReadLine, length: impl Fn(f64) -> String) -> String {
    let number = |show: &dyn Fn(f64) -> String, value: &serde_json::Value| {
        value.as_f64().map_or_else(|| "?".to_owned(), show)
    };
    match (line.what, &line.value) {
        ("want" | "brace-range", serde_json::Value::Array(ends)) => {
            ends.iter().map(|end| number(&length, end)).collect::<Vec<_>>().join(" to ")
        }
        ("brace" | "length" | "marked" | "nock-to-nock", value) => number(&length, value),
        ("turns-changed", value) => {
            number(&|turns| if turns == 0.0 { "0".to_owned() } else { format!("{turns:+}") }, value)
        }
        ("weight", value) => number(&|pounds| format!("{pounds} lb"), value),
        (_, serde_json::Value::String(text)) => text.clone(),
        (_, value) => value.to_string(),
    }
}

fn shown(line: &ReadLine, unit: Unit) -> String {
    worded(line, |value| inches(value, unit))
}

/// What was read out, as it would be typed.
#[must_use]
pub fn typed(line: &ReadLine, unit: Unit) -> String {
    worded(line, |value| exactly(value, unit))
}

/// A sign of danger as it was read.
#[must_use]
pub fn sign_words(sign: &Sign) -> String {
    format!("{}{}: \"{}\"", sign.of, if sign.sure { "" } else { ", perhaps" }, sign.words)
}

/// The mail, what was read out of it, and from which words.
pub fn mail(page: &mut TextPage, view: &MailView, unit: Unit) {
    let from = [view.from.clone(), view.address.clone()].into_iter().flatten().collect::<Vec<_>>().join(", ");
    page.field("from", (!from.is_empty()).then_some(from));
    page.field("subject", view.subject.as_deref());
    page.field("sent", view.sent_on.map(|day| day.to_string()));
    page.field("attachments", (view.attachments > 0).then(|| format!("{}, not read", view.attachments)));
    page.field("kind", Some(view.kind.as_str()));
    page.field(
        "string",
        Some(match &view.string {
            Some(serial) => format!("{serial} ({})", view.found_by),
            None => format!("not clear: {}", view.found_by),
        }),
    );
    page.field(
        "two archers",
        view.two_archers.as_ref().map(|two| format!("{two}; if they are one, say --new-address with --each")),
    );
    page.field("goes on with", view.goes_on.as_deref());
    page.field("noted already", view.held_by.as_deref());
    page.field(
        "could be",
        view.string.is_none().then(|| view.candidates.join(", ")).filter(|list| !list.is_empty()),
    );
    if view.new_address {
        page.field(
            "address",
            Some("none that the book has of this archer; if it is theirs from now on, say --new-address"),
        );
    }
    page.gap();
    page.quote(&view.text);
    let row = |line: &ReadLine| vec![line.what.to_owned(), shown(line, unit), format!("\"{}\"", line.words)];
    let columns = ["what", "value", "from the words"];
    let sure: Vec<Vec<String>> = view.symptoms.iter().chain(&view.read).map(row).collect();
    if !view.each.is_empty() {
        page.gap().line(
            Meaning::Aside,
            "It is about several strings; --each logs of each what is said of it, --likely the likely values too.",
        );
    } else if sure.is_empty() {
        page.gap().line(Meaning::Aside, "Nothing was read out of it for sure.");
    } else {
        page.heading("Read out of it").table(&columns, sure);
    }
    if view.each.is_empty() && !view.likely.is_empty() {
        page.heading("Likely, and noted only when you say so (l, or --likely)")
            .table(&columns, view.likely.iter().map(row));
    }
    for one in &view.each {
        page.heading(format!("Of {}", one.string));
        let noted = one.symptoms.iter().chain(&one.read).map(|line| (line, ""));
        let rows = noted.chain(one.likely.iter().map(|line| (line, "likely"))).map(|(line, how)| {
            let mut cells = row(line);
            cells.push(how.to_owned());
            cells
        });
        page.table(&["what", "value", "from the words", ""], rows);
        for question in &one.questions {
            page.point(Meaning::Plain, question);
        }
    }
    if !view.signs.is_empty() {
        page.heading("Signs of danger");
        for sign in &view.signs {
            page.point(Meaning::Caution, sign_words(sign));
        }
    }
    if !view.denied.is_empty() {
        let denied: Vec<&str> = view.denied.iter().map(|of| of.as_str()).collect();
        page.field("answered with no", Some(denied.join(", ")));
    }
    if view.each.is_empty() && !view.questions.is_empty() {
        page.heading("Doubtful, so it is asked back and not logged");
        for question in &view.questions {
            page.point(Meaning::Plain, question);
        }
    }
}

/// What a mail that opens no report seems to be.
#[must_use]
pub fn no_case(kind: MailKind) -> &'static str {
    match kind {
        MailKind::Fits => "it says that the string fits now, which is no complaint",
        MailKind::Praise => "it seems to hold thanks and no complaint",
        MailKind::Order => "it seems to be an order and no complaint",
        MailKind::Newsletter => "it seems to have been sent to many, and is no complaint",
        MailKind::Auto => "it seems to have been sent by a program, and is no complaint",
        MailKind::Complaint | MailKind::Answer | MailKind::Other => "it seems to be no complaint",
    }
}

/// What a mail that waits seems to be, in a few words.
#[must_use]
pub fn seems(mail: &WaitingMail) -> &'static str {
    match mail.kind {
        _ if mail.danger => "a sign of danger",
        MailKind::Complaint => "a complaint",
        MailKind::Answer => "an answer",
        MailKind::Fits => "it fits",
        MailKind::Praise => "thanks",
        MailKind::Order => "an order",
        MailKind::Newsletter => "sent to many",
        MailKind::Auto => "sent by a program",
        MailKind::Other => "not clear",
    }
}

/// Mails that wait, and what of those that came in was not looked at.
pub fn waiting(page: &mut TextPage, view: &MailsView) {
    let MailsView { waiting, unread, older, left } = view;
    if waiting.is_empty() {
        page.line(Meaning::Answer, "No mail waits.");
    } else {
        let rows = waiting.iter().map(|mail| {
            vec![
                mail.mark.clone(),
                mail.sent_on.map(|day| day.to_string()).unwrap_or_default(),
                mail.from.clone().or_else(|| mail.address.clone()).unwrap_or_default(),
                mail.string.clone().unwrap_or_default(),
                seems(mail).to_owned(),
                mail.subject.clone().unwrap_or_default(),
            ]
        });
        page.table(&["mark", "sent", "from", "string", "seems", "subject"], rows);
    }
    for mail in waiting.iter().filter(|mail| mail.danger) {
        let signs: Vec<String> = mail.signs.iter().map(sign_words).collect();
        page.point(Meaning::Caution, format!("{}: {}", mail.mark, signs.join("; ")));
    }
    for mail in unread {
        page.point(Meaning::Caution, format!("{} was not read: {}", mail.file, mail.why));
    }
    if *older > 0 {
        page.gap().line(Meaning::Aside, format!("{older} older ones were left out; see more with --days."));
    }
    if *left > 0 {
        page.gap().line(Meaning::Aside, format!("{left} more were not looked at: the newest come first."));
    }
    if let Some(first) = waiting.first() {
        page.gap().next(format!(
            "Next: fistmele report mail --came-in {0}   or put it aside: fistmele mails --aside {0}",
            first.mark
        ));
    }
}

/// Whether it was logged, and what comes next.
pub fn logged(page: &mut TextPage, view: &MailView) {
    page.gap();
    match (&view.report, &view.string) {
        _ if !view.reports.is_empty() => {
            let ids = view.reports.join(" ");
            page.line(
                Meaning::Answer,
                format!("Logged as {ids}. Next: fistmele advise for each, then fistmele letter {ids}"),
            );
        }
        (Some(report), _) => {
            page.line(Meaning::Answer, format!("Logged as {report}. Next: fistmele advise {report}"));
        }
        (None, _) if !view.is_case => {
            page.line(
                Meaning::Answer,
                format!(
                    "Nothing was logged: {}. If it is one all the same, add --yes --case.",
                    no_case(view.kind)
                ),
            );
            if view.kind == MailKind::Praise {
                page.next(format!(
                    "A short letter back: fistmele letter --thanks \"{}\"",
                    view.from.as_deref().unwrap_or("NAME")
                ));
            }
        }
        (None, Some(_)) => {
            page.line(
                Meaning::Answer,
                "Nothing was logged. To take it as it stands, add --yes (--likely takes what is likely too); to correct it, use report add.",
            );
        }
        (None, None) => {
            page.line(
                Meaning::Answer,
                "Nothing was logged: say which string it is about with --string SERIAL.",
            );
            if view.candidates.is_empty() {
                page.gap().next(format!(
                    "If no string of the book is meant: fistmele letter --unknown-sender \"{}\" asks for its label; fistmele sold add --route unknown enters a string whose sizing nobody knows",
                    view.from.as_deref().unwrap_or("NAME")
                ));
            }
        }
    }
}
