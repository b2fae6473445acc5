//! A pasted mail: what it seems to say, beside the words it says it with, to confirm or correct.

use serde::Serialize;

use super::fields::SaidForm;
use super::forms::{Filled, SEEN};
use super::page::{Page, expect};
use super::problem::{ProblemView, led_on};
use super::routes::Asked;
use super::string::{Said, logged_at};
use super::{Open, Reply, Shared};
use crate::app;
use crate::app::mails::{self, MailView, ReadLine};
use crate::app::reports::NewReport;
use crate::app::views::StringView;
use crate::error::{Kind, Problem};
use crate::letters;
use crate::mail::{Mail, read_pasted};
use crate::quantity::Unit;
use crate::show::mails::{no_case, sign_words, typed};
use crate::trade::words::Symptom;

#[derive(Serialize)]
struct Paste<'a> {
    pasted: &'a str,
    from: &'a str,
}

/// The page to paste into.
pub(super) fn paste(shared: &Shared, _: Asked) -> Result<Reply, Problem> {
    let open = shared.open()?;
    Page::new("mail.html", "Paste a mail", "mail").with(shared, &open, &Paste { pasted: "", from: "" })
}

/// A piece of the mail's text.
#[derive(Serialize)]
struct Piece<'a> {
    text: &'a str,
    /// What is read out of it.
    read: Option<String>,
}

/// A string that a mail may be about.
#[derive(Serialize)]
struct Candidate {
    serial: String,
    about: String,
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
    likely: Vec<String>,
    /// What it seems to be, where it opens no report.
    no_case: Option<&'static str>,
    nothing_read: bool,
    form: SaidForm,
    pasted: &'a str,
    pasted_from: &'a str,
    open_report: Option<String>,
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

/// Something likely, as it would be typed, with its field and its words.
fn likely_words(line: &ReadLine, unit: Unit) -> String {
    format!(
        "{}: {} (\u{201c}{}\u{201d})",
        super::fields::label(line.what, &[]),
        typed(line, unit),
        line.words
    )
}

/// The text in pieces, those marked that something was read out of.
fn pieces(view: &MailView) -> Vec<Piece<'_>> {
    let text = view.text.as_str();
    let mut lines: Vec<&ReadLine> = view.symptoms.iter().chain(&view.read).collect();
    lines.retain(|line| line.place.is_some());
    lines.sort_by_key(|line| line.place);
    let mut pieces: Vec<Piece<'_>> = Vec::new();
    let mut at = 0;
    for line in lines {
        let Some((start, end)) = line.place else { continue };
        let label = super::fields::label(line.what, &[]);
        // Two things may be read out of the same words.
        if start < at
            && let Some(Piece { read: Some(read), .. }) = pieces.last_mut()
        {
            read.push_str(", ");
            read.push_str(label);
        }
        let start = start.max(at);
        if let (Some(before), Some(marked)) = (text.get(at..start), text.get(start..end.max(start)))
            && !marked.is_empty()
        {
            pieces.push(Piece { text: before, read: None });
            pieces.push(Piece { text: marked, read: Some(label.to_owned()) });
            at = end;
        }
    }
    pieces.push(Piece { text: text.get(at..).unwrap_or_default(), read: None });
    pieces
}

fn pasted_mail(filled: &Filled) -> Result<Mail, Problem> {
    let pasted = filled.get("pasted").ok_or_else(|| {
        Problem::new(Kind::BadValue, "nothing was pasted", "copy the whole mail, or its text, and paste it")
    })?;
    Ok(read_pasted(pasted, filled.get("from"))?)
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

fn read_page(
    shared: &Shared,
    open: &mut Open,
    mail: &Mail,
    asked: &Filled,
    corrected: bool,
    problem: Option<(&Problem, &ProblemView)>,
) -> Result<Reply, Problem> {
    let (unit, today) = (open.style.unit, open.author.day);
    let told = asked.get("choose").or_else(|| asked.get("string"));
    let wrong = problem.map(|(_, view)| view);
    // A serial that does not exist is said beside its field; the mail is read all the same.
    let (read, unknown) = match mails::read(&mut open.book, mail, told, unit, today) {
        Ok(read) => (read, None),
        Err(error) => {
            (mails::read(&mut open.book, mail, None, unit, today)?, Some(Problem::from(error).message))
        }
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
    let filled = if corrected { asked.clone() } else { proposed(view, read.received_on(), unit) };
    let mut form = SaidForm::new(&filled, wrong);
    for line in &view.read {
        if let Some(field) = form.fields().find(|field| field.name() == line.what) {
            field.read_from(&line.words);
        }
    }
    for line in &view.symptoms {
        let found = form.symptoms.iter_mut().find(|symptom| Some(symptom.value()) == line.value.as_str());
        if let Some(symptom) = found {
            symptom.read_from(&line.words);
        }
    }
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
    let from = [view.from.as_deref(), view.address.as_deref()].into_iter().flatten().collect::<Vec<_>>();
    let data = Read {
        from: (!from.is_empty()).then(|| from.join(", ")),
        subject: view.subject.as_deref(),
        sent_on: view.sent_on.map(|day| day.to_string()),
        attachments: view.attachments,
        found_by: &view.found_by,
        serial,
        serial_wrong: unknown,
        candidates: if only_one { Vec::new() } else { candidates },
        pieces: pieces(view),
        signs: view.signs.iter().map(sign_words).collect(),
        denied: view.denied.iter().map(|of| of.as_str()).collect(),
        questions: &view.questions,
        no_case: (!view.is_case).then(|| no_case(view.kind)),
        likely: view.likely.iter().map(|line| likely_words(line, unit)).collect(),
        nothing_read: view.read.is_empty() && view.symptoms.is_empty(),
        form,
        pasted: asked.get("pasted").unwrap_or_default(),
        pasted_from: asked.get("from").unwrap_or_default(),
        open_report: string.as_ref().and_then(|string| string.open_report().map(str::to_owned)),
        seen,
        shown: string.as_ref().map(about),
        stranger,
        moved: corrected && asked.get("new-address").is_some(),
        forgotten_on: view.forgotten_on.map(|day| day.to_string()),
        which_string,
    };
    Page { problem, ..Page::new("mail_read.html", "What the mail says", "mail") }.with(shared, open, &data)
}

/// Keeps what was pasted for a while and leads to what it says. It changes nothing, so it needs no
/// mark of ours: what was pasted is not lost when the counter was started anew meanwhile.
pub(super) fn read(shared: &Shared, filled: Filled) -> Result<Reply, Problem> {
    let open = shared.open()?;
    match pasted_mail(&filled) {
        Ok(_) => Ok(Reply::SeeOther(format!("/mail/{}", shared.kept.keep(filled)?))),
        Err(problem) => {
            let view = ProblemView::new(&problem, None);
            let data = Paste {
                pasted: filled.get("pasted").unwrap_or_default(),
                from: filled.get("from").unwrap_or_default(),
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
    let Some(filled) = shared.kept.get(&mark) else { return Ok(Reply::SeeOther("/mail".to_owned())) };
    let mail = pasted_mail(&filled)?;
    // What was corrected on the page stays when another string is chosen there.
    let corrected = filled.get(SEEN).is_some() && filled.get("anew").is_none();
    read_page(shared, &mut open, &mail, &filled, corrected, None)
}

/// Logs what was confirmed or corrected, works out the verdict, and leads to the report.
pub(super) fn log(shared: &Shared, filled: Filled) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let mail = pasted_mail(&filled)?;
    let done = shared.forms.once("/mail/log", &filled, || {
        let shown = filled.get("string-seen").unwrap_or_default();
        app::forget::refuse_since(&mut open.book, shown, filled.seen()?)?;
        let said = Said::read(&filled.entries(), open.style.unit, open.author.day)?;
        let serial = filled.get("string").ok_or_else(|| {
            Problem::new(
                Kind::BadValue,
                "which string the mail is about is not said",
                "choose one, or type its serial",
            )
        })?;
        let read = mails::read(&mut open.book, &mail, Some(serial), open.style.unit, open.author.day)?;
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
        let questions = read.questions_left(&said.measured, &said.bow);
        let new = NewReport {
            text: Some(read.view.text.clone()),
            whole: Some(read.danger()),
            questions,
            new_address: mails::said_new_address(&read.view, filled.get("new-address").is_some())?,
            unspoken: Some(Symptom::Other),
            ..said.into_report(string, filled.get("separate").is_some())
        };
        let logged = app::reports::add(&mut open.book, new, &open.author)?;
        Ok(logged_at(shared, &mut open, logged)?)
    });
    led_on(done, |problem, view| read_page(shared, &mut open, &mail, &filled, true, Some((problem, view))))
}
