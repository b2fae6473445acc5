//! What a mail says, as its page shows it: each value beside its words, what is likely to be pressed.

use serde::Serialize;

use super::fields::{Excerpt, FoundForm, Offer, SaidForm};
use super::forms::{Filled, OF_STRING};
use super::page::Page;
use super::problem::ProblemView;
use super::{Open, Reply, Shared, together};
use crate::app;
use crate::app::mails::{MailView, ReadLine, ReadMail};
use crate::app::views::StringView;
use crate::error::Problem;
use crate::letters;
use crate::mail::Mail;
use crate::quantity::Unit;
use crate::show::mails::{no_case, sign_words, typed};
use crate::trade::words::MailKind;

/// A piece of the mail's text.
#[derive(Serialize)]
struct Piece<'a> {
    text: &'a str,
    /// What is read out of it.
    read: Option<String>,
    /// It is only likely.
    likely: bool,
}

/// A string that a mail may be about.
#[derive(Serialize)]
struct Candidate {
    serial: String,
    about: String,
}

/// One of several strings that a mail is about, and what it says of it.
#[derive(Serialize)]
struct OneString<'a> {
    string: Candidate,
    /// What the names of its fields end in.
    suffix: String,
    form: FoundForm,
    questions: &'a [String],
    open_report: Option<&'a str>,
}

#[derive(Serialize)]
struct Read<'a> {
    from: Option<String>,
    subject: Option<&'a str>,
    sent_on: Option<String>,
    attachments: usize,
    found_by: &'a str,
    serial: String,
    serial_wrong: Option<String>,
    candidates: Vec<Candidate>,
    pieces: Vec<Piece<'a>>,
    signs: Vec<String>,
    denied: Vec<&'static str>,
    questions: &'a [String],
    /// What it seems to be, where it opens no report.
    no_case: Option<&'static str>,
    nothing_read: bool,
    form: FoundForm,
    pasted: &'a str,
    pasted_from: &'a str,
    open_report: Option<&'a str>,
    /// It says that the string fits, and that this is ticked.
    fits: Option<bool>,
    /// The strings that it speaks of, where it may be about each of them, with what it says of each.
    each: Vec<OneString<'a>>,
    /// Something is likely of one of them.
    each_takes: bool,
    each_seen: i64,
    /// The report that holds this very message.
    held_by: Option<&'a str>,
    seen: i64,
    /// The string that is shown, and whose it is.
    shown: Option<Candidate>,
    /// The address it comes from, where the book has not got it of the string's archer.
    stranger: Option<String>,
    /// Somebody said that it is the archer's from now on.
    moved: bool,
    /// The day on which the sender was forgotten.
    forgotten_on: Option<String>,
    /// The letter that asks which string it is, where the book knows none.
    which_string: Option<String>,
    /// The strings it names are of two archers.
    two_archers: Option<&'a str>,
    /// The short letter that answers praise.
    thanks: Option<String>,
}

/// The proposal as a form that was filled in.
fn proposed(view: &MailView, received_on: chrono::NaiveDate, unit: Unit) -> Filled {
    let symptoms = view
        .symptoms
        .iter()
        .map(|line| ("symptom".to_owned(), line.value.as_str().unwrap_or_default().to_owned()));
    let read = view.read.iter().map(|line| (line.what.to_owned(), typed(line, unit)));
    let received = ("received".to_owned(), received_on.to_string());
    Filled::from_pairs(symptoms.chain(read).chain([received]))
}

/// Letters of a line that are shown before the words that were read, and after them, in whole words.
const AROUND: (usize, usize) = (20, 14);

/// The words of a line where they stand in the text; those of the subject or of a passed-on part alone.
fn excerpt(view: &MailView, line: &ReadLine) -> Excerpt {
    let parts = line.place.and_then(|(start, end)| {
        Some((view.text.get(..start)?, view.text.get(start..end)?, view.text.get(end..)?))
    });
    let Some((before, words, after)) = parts else {
        return Excerpt { before: String::new(), words: line.words.clone(), after: String::new() };
    };
    let before = before.rsplit('\n').next().unwrap_or_default();
    let after = after.split('\n').next().unwrap_or_default();
    let from = before.char_indices().rev().nth(AROUND.0).map_or(0, |(at, _)| at);
    let to = after.char_indices().nth(AROUND.1).map_or(after.len(), |(at, _)| at);
    let (from, to) = (before.get(from..).unwrap_or_default(), after.get(..to).unwrap_or_default());
    // A word that was cut is left out.
    let whole = from.split_once(' ').map_or("", |(_, whole)| whole);
    let before = if from.len() < before.len() { format!("\u{2026} {whole}") } else { from.to_owned() };
    let whole = to.rsplit_once(' ').map_or("", |(whole, _)| whole);
    let after = if to.len() < after.len() { format!("{whole} \u{2026}") } else { to.to_owned() };
    Excerpt { before, words: words.to_owned(), after }
}

/// What a press on a likely value sends: its field and value, and those that go with it.
fn sends(view: &MailView, line: &ReadLine, unit: Unit) -> String {
    let with = view
        .likely
        .iter()
        .filter(|other| line.what == "brace" && other.what == "readings" && other.place == line.place);
    let all = std::iter::once(line).chain(with);
    all.map(|line| format!("{}={}", line.what, typed(line, unit))).collect::<Vec<_>>().join("\n")
}

/// What the presses on likely values put into the fields of a form.
pub(super) fn taken(filled: &Filled, view: &MailView, unit: Unit) -> Filled {
    let mut with = filled.clone();
    for take in filled.all("take") {
        if take == "all" {
            for line in view.likeliest() {
                if with.get(line.what).is_none() {
                    with.set(line.what, &typed(line, unit));
                }
            }
        } else {
            take.lines()
                .filter_map(|pair| pair.split_once('='))
                .for_each(|(what, value)| with.set(what, value));
        }
    }
    with
}

/// The text in pieces, those marked that something was read out of; of several strings, for any of them.
fn pieces<'a>(view: &'a MailView, each: &'a [ReadMail]) -> Vec<Piece<'a>> {
    let text = view.text.as_str();
    let of = |view: &'a MailView| {
        let read = view.symptoms.iter().chain(&view.read).map(|line| (line, false));
        read.chain(view.likely.iter().map(|line| (line, true)))
    };
    let all: Vec<&MailView> =
        if each.is_empty() { vec![view] } else { each.iter().map(|one| &one.view).collect() };
    let mut lines: Vec<(&ReadLine, bool)> =
        all.into_iter().flat_map(of).filter(|(line, _)| line.place.is_some()).collect();
    lines.sort_by_key(|(line, likely)| (line.place, *likely));
    let mut pieces: Vec<Piece<'_>> = Vec::new();
    let mut at = 0;
    for (line, likely) in lines {
        let Some((start, end)) = line.place else { continue };
        let label = format!("{}{}", super::fields::called(line.what, &[]), if likely { "?" } else { "" });
        // Two things may be read out of the same words.
        if start < at
            && let Some(Piece { read: Some(read), .. }) = pieces.last_mut()
            && !read.split(", ").any(|held| held == label)
        {
            read.push_str(", ");
            read.push_str(&label);
        }
        let start = start.max(at);
        if let (Some(before), Some(marked)) = (text.get(at..start), text.get(start..end.max(start)))
            && !marked.is_empty()
        {
            pieces.push(Piece { text: before, read: None, likely: false });
            pieces.push(Piece { text: marked, read: Some(label), likely });
            at = end;
        }
    }
    pieces.push(Piece { text: text.get(at..).unwrap_or_default(), read: None, likely: false });
    pieces
}

/// What tells a string from another: whose it is, its bow, its colours, its day.
fn about(view: &StringView) -> Candidate {
    let archer = view.archer.name.as_deref().or(view.archer.email.as_deref()).unwrap_or("nobody by name");
    let colours = view.colours.as_ref().map(|colours| format!(", {colours}")).unwrap_or_default();
    Candidate {
        serial: view.serial.clone(),
        about: format!("{archer}, {}{colours}, sold {}", view.bow.kind, view.sold_on),
    }
}

fn candidates(open: &mut Open, view: &MailView, mail: &Mail) -> Result<Vec<Candidate>, Problem> {
    let serials: Vec<String> = match &mail.from_name {
        _ if !view.candidates.is_empty() => view.candidates.iter().take(20).cloned().collect(),
        // Nobody of that address: somebody of that name, perhaps.
        Some(name) if view.string.is_none() => {
            app::find::find(&mut open.book, name)?.into_iter().take(8).map(|found| found.serial).collect()
        }
        _ => Vec::new(),
    };
    serials.iter().map(|serial| Ok(about(&app::sold::show(&mut open.book, serial)?))).collect()
}

/// What was read, in its fields, as it will be noted.
fn said_form(view: &MailView, filled: &Filled, unit: Unit, wrong: Option<&ProblemView>) -> SaidForm {
    let mut form = SaidForm::new(filled, wrong);
    for line in &view.read {
        if let Some(field) = form.fields().find(|field| field.name() == line.what) {
            field.read_from(excerpt(view, line));
        }
    }
    let likeliest = view.likeliest();
    for line in &view.likely {
        if let Some(field) = form.fields().find(|field| field.name() == line.what) {
            field.offer(Offer {
                typed: typed(line, unit),
                sends: sends(view, line, unit),
                words: excerpt(view, line),
                first: likeliest.contains(&line),
                taken: false,
            });
        }
    }
    for line in view.symptoms.iter().chain(&view.likely) {
        let found = form.symptoms.iter_mut().find(|symptom| Some(symptom.value()) == line.value.as_str());
        if let Some(symptom) = found.filter(|_| line.what == "symptom") {
            symptom.read_from(excerpt(view, line));
        }
    }
    form
}

/// What was filled in for a mail, or what is proposed.
fn filled_of(read: &ReadMail, asked: &Filled, corrected: bool, unit: Unit) -> Filled {
    if corrected { taken(asked, &read.view, unit) } else { proposed(&read.view, read.received_on(), unit) }
}

/// What a mail says of one of several strings.
fn one_string<'a>(
    open: &mut Open,
    read: &'a ReadMail,
    (asked, corrected): (&Filled, bool),
    wrong: Option<&ProblemView>,
) -> Result<OneString<'a>, Problem> {
    let (view, unit) = (&read.view, open.style.unit);
    let serial = view.string.as_deref().unwrap_or_default();
    let corrected = corrected && asked.tells_of(serial);
    let filled = filled_of(read, &asked.of_string(serial), corrected, unit);
    Ok(OneString {
        string: about(&app::sold::show(&mut open.book, serial)?),
        suffix: format!("{OF_STRING}{serial}"),
        form: FoundForm::new(said_form(view, &filled, unit, wrong)),
        questions: &view.questions,
        open_report: view.goes_on.as_deref(),
    })
}

pub(super) fn read_page(
    shared: &Shared,
    open: &mut Open,
    mail: &Mail,
    asked: &Filled,
    corrected: bool,
    problem: Option<(&Problem, &ProblemView)>,
) -> Result<Reply, Problem> {
    let unit = open.style.unit;
    let told = asked.get("choose").or_else(|| asked.get("string"));
    let wrong = problem.map(|(_, view)| view);
    // A serial that does not exist is said beside its field; the mail is read all the same.
    let (read, unknown) = match shared.read_mail(open, mail, told) {
        Ok(read) => (read, None),
        Err(error) => (shared.read_mail(open, mail, None)?, Some(Problem::from(error).message)),
    };
    let view = &read.view;
    let candidates = candidates(open, view, mail)?;
    let only = match candidates.as_slice() {
        [only] => Some(only.serial.clone()),
        _ => None,
    };
    let serial = view.string.clone().or_else(|| told.map(str::to_owned)).or(only).unwrap_or_default();
    // What needs no choice is not offered.
    let only_one = matches!(candidates.as_slice(), [only] if only.serial == serial);
    // What was corrected while several strings were shown stays when one of them is chosen.
    let own = if asked.tells_of(&serial) { asked.of_string(&serial) } else { asked.clone() };
    let form = said_form(view, &filled_of(&read, &own, corrected, unit), unit, wrong);
    // Of a string that does not exist there is no history.
    let seen = app::reports::last_line(&mut open.book, &serial).unwrap_or_default();
    let string = app::sold::show(&mut open.book, &serial).ok();
    let stranger = view.address.clone().filter(|_| view.new_address);
    let which_string = match (&string, candidates.as_slice()) {
        (None, []) => {
            let own = shared.desk.own_letter(&open.book, letters::WHICH_STRING_TEMPLATE)?;
            let rules = app::rules(&mut open.book)?;
            Some(letters::which_string(view.from.as_deref(), &rules, own.as_deref())?)
        }
        _ => None,
    };
    let thanks = match view.kind {
        MailKind::Praise if !view.is_case => {
            let own = shared.desk.own_letter(&open.book, letters::THANKS_TEMPLATE)?;
            Some(letters::thanks(view.from.as_deref(), &app::rules(&mut open.book)?, own.as_deref())?)
        }
        _ => None,
    };
    let named = if view.string.is_none() { read.named() } else { &[] };
    let mut each = Vec::new();
    for one in read.each().iter().filter(|_| !named.is_empty()) {
        each.push(one_string(open, one, (asked, corrected), wrong)?);
    }
    let from = [view.from.as_deref(), view.address.as_deref()].into_iter().flatten().collect::<Vec<_>>();
    let data = Read {
        from: (!from.is_empty()).then(|| from.join(", ")),
        subject: view.subject.as_deref(),
        sent_on: view.sent_on.map(|day| day.to_string()),
        attachments: asked
            .get("attachments")
            .and_then(|count| count.parse().ok())
            .unwrap_or(view.attachments),
        found_by: &view.found_by,
        serial,
        serial_wrong: unknown,
        candidates: if only_one { Vec::new() } else { candidates },
        pieces: pieces(view, if named.is_empty() { &[] } else { read.each() }),
        signs: view.signs.iter().map(sign_words).collect(),
        denied: view.denied.iter().map(|of| of.as_str()).collect(),
        questions: &view.questions,
        no_case: (!view.is_case).then(|| no_case(view.kind)),
        nothing_read: view.read.is_empty() && view.symptoms.is_empty() && view.likely.is_empty(),
        form: FoundForm::new(form),
        pasted: asked.get("pasted").unwrap_or_default(),
        pasted_from: asked.get("from").unwrap_or_default(),
        open_report: view.goes_on.as_deref(),
        fits: (view.kind == MailKind::Fits && view.goes_on.is_some())
            .then(|| if corrected { asked.get("fits").is_some() } else { view.says_fits() }),
        each_seen: together::seen(open, named)?,
        each_takes: each.iter().any(|one| one.form.takes),
        each,
        held_by: view.held_by.as_deref(),
        seen,
        shown: string.as_ref().map(about),
        stranger,
        moved: corrected && asked.get("new-address").is_some(),
        forgotten_on: view.forgotten_on.map(|day| day.to_string()),
        which_string,
        two_archers: view.two_archers.as_deref(),
        thanks,
    };
    Page { problem, ..Page::new("mail_read.html", "What the mail says", "mail") }.with(shared, open, &data)
}
