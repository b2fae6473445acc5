//! Pages: templates built into the program, filled, as answers.

use std::sync::LazyLock;

use axum::body::Body;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;
use minijinja::value::Serde;
use minijinja::{Environment, UndefinedBehavior, Value};
use serde::Serialize;

use super::forms::Filled;
use super::problem::{ProblemView, Refused, status};
use super::ways::{self, Piece};
use super::{Open, Reply, Shared};
use crate::app;
use crate::error::{Kind, Problem};

const TEMPLATES: [(&str, &str); 17] = [
    ("frame.html", include_str!("pages/frame.html")),
    ("fields.html", include_str!("pages/fields.html")),
    ("bare.html", include_str!("pages/bare.html")),
    ("peg.html", include_str!("pages/peg.html")),
    ("reports.html", include_str!("pages/reports.html")),
    ("found.html", include_str!("pages/found.html")),
    ("string.html", include_str!("pages/string.html")),
    ("mail.html", include_str!("pages/mail.html")),
    ("enter.html", include_str!("pages/enter.html")),
    ("mail_read.html", include_str!("pages/mail_read.html")),
    ("report.html", include_str!("pages/report.html")),
    ("together.html", include_str!("pages/together.html")),
    ("struck.html", include_str!("pages/struck.html")),
    ("bench.html", include_str!("pages/bench.html")),
    ("month.html", include_str!("pages/month.html")),
    ("rules.html", include_str!("pages/rules.html")),
    ("copies.html", include_str!("pages/copies.html")),
];

/// What every page has.
#[derive(Serialize)]
struct Frame<'a> {
    title: &'a str,
    /// Which part of the counter it belongs to.
    part: &'a str,
    workshop: &'a str,
    today: Option<String>,
    /// Who is at the desk.
    who: Option<&'a str>,
    /// Nobody has said who that is.
    asks_who: bool,
    /// Gives each form of this page a mark of its own.
    mark: Option<Value>,
    told: Vec<Vec<Piece>>,
    problem: Option<&'a ProblemView>,
    /// The day of the copy that is looked into in place of the book.
    copy: Option<String>,
}

#[derive(Serialize)]
struct Filling<'a, T> {
    frame: Frame<'a>,
    data: &'a T,
}

/// The templates, read once.
static ENVIRONMENT: LazyLock<Result<Environment<'static>, minijinja::Error>> = LazyLock::new(|| {
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    environment.add_filter("sentence", sentence);
    for (name, source) in TEMPLATES {
        environment.add_template(name, source)?;
    }
    Ok(environment)
});

/// A text that begins with a capital letter and ends with a stop.
fn sentence(text: &str) -> String {
    let mut letters = text.trim().chars();
    let mut sentence: String =
        letters.next().map(|first| first.to_uppercase().to_string()).unwrap_or_default();
    sentence.push_str(letters.as_str());
    if !sentence.is_empty() && !sentence.ends_with(['.', '?', '!', ':']) {
        sentence.push('.');
    }
    sentence
}

fn render<T: Serialize>(template: &str, filling: &Filling<'_, T>) -> Result<String, String> {
    let environment = ENVIRONMENT.as_ref().map_err(|error| format!("{error:#}"))?;
    environment
        .get_template(template)
        .and_then(|template| template.render(Value::from(Serde(filling))))
        .map_err(|error| format!("{error:#}"))
}

/// A page to be made.
pub(super) struct Page<'a> {
    /// Its template.
    pub(super) template: &'static str,
    /// Its title.
    pub(super) title: &'a str,
    /// Which part of the counter it belongs to.
    pub(super) part: &'static str,
    /// What was done just now.
    pub(super) told: Vec<String>,
    /// What went wrong, and the status that says so.
    pub(super) problem: Option<(&'a Problem, &'a ProblemView)>,
}

impl<'a> Page<'a> {
    pub(super) const fn new(template: &'static str, title: &'a str, part: &'static str) -> Self {
        Self { template, title, part, told: Vec::new(), problem: None }
    }

    /// The page with its data.
    pub(super) fn with<T: Serialize>(self, shared: &Shared, open: &Open, data: &T) -> Result<Reply, Problem> {
        let problem = self.problem.map(|(problem, view)| view.of_book(problem, open.book.path()));
        let filling = Filling {
            frame: Frame {
                title: self.title,
                part: self.part,
                workshop: &open.rules.workshop_name,
                today: Some(open.author.day.to_string()),
                who: Some(&open.author.who),
                asks_who: shared.asks_who(),
                mark: Some(Value::from_function(shared.forms.marks()?)),
                told: self.told.iter().map(|told| ways::sentence(told, &[])).collect(),
                problem: problem.as_ref(),
                copy: shared.desk.opened_copy().map(|day| day.to_string()),
            },
            data,
        };
        let html = render(self.template, &filling).map_err(|error| {
            Problem::new(
                Kind::Fault,
                format!("the page {} cannot be written: {error}", self.template),
                "please report this",
            )
        })?;
        Ok(Reply::Page { status: self.problem.map_or(200, |(problem, _)| status(problem.kind)), html })
    }
}

/// A page without any book, for a problem.
pub(super) fn bare(title: &str, problem: &ProblemView) -> String {
    render("bare.html", &Filling { frame: bare_frame(title, problem), data: &() })
        .unwrap_or_else(|error| format!("the page cannot be written: {error}"))
}

fn bare_frame<'a>(title: &'a str, problem: &'a ProblemView) -> Frame<'a> {
    Frame {
        title,
        part: "",
        workshop: "",
        today: None,
        who: None,
        asks_who: false,
        mark: None,
        told: Vec::new(),
        problem: Some(problem),
        copy: None,
    }
}

/// A page that is shown where the book cannot be opened, with the reason.
pub(super) fn without_book<T: Serialize>(
    shared: &Shared,
    template: &str,
    title: &str,
    problem: &Problem,
    data: &T,
) -> Result<Reply, Problem> {
    let view = ProblemView::new(problem, None);
    let mark = Some(Value::from_function(shared.forms.marks()?));
    let frame = Frame { mark, ..bare_frame(title, &view) };
    let html = render(template, &Filling { frame, data }).map_err(|error| {
        Problem::new(Kind::Fault, format!("the page cannot be written: {error}"), "please report this")
    })?;
    Ok(Reply::Page { status: status(problem.kind), html })
}

/// A page as an answer.
pub(super) fn response(status: u16, html: String) -> Response {
    let mut response = Response::new(Body::from(html));
    *response.status_mut() = StatusCode::from_u16(status).unwrap_or(StatusCode::INTERNAL_SERVER_ERROR);
    response.headers_mut().insert(header::CONTENT_TYPE, HeaderValue::from_static("text/html; charset=utf-8"));
    response
}

/// A letter that hangs on no verdict, to be copied and noted as sent.
#[derive(Serialize)]
pub(super) struct PlainLetter {
    pub(super) text: String,
    /// Address it goes to, where the book knows one.
    to: Option<String>,
    rows: usize,
    digest: String,
}

impl PlainLetter {
    pub(super) fn new(text: String, to: Option<String>) -> Self {
        Self { rows: text.lines().count() + 1, digest: crate::words::digest(&text), text, to }
    }
}

/// Refuses to note a letter as sent that reads otherwise than the one that was seen.
pub(super) fn expect_letter(filled: &Filled, text: &str) -> Result<(), Problem> {
    if filled.get("letter") == Some(crate::words::digest(text).as_str()) {
        return Ok(());
    }
    Err(Problem::new(
        Kind::OutOfDate,
        "the letter reads differently by now",
        "read it again below, send it as it is now, and note that; nothing was changed",
    ))
}

/// A mail to be kept as a file and opened in a mail program.
pub(super) fn draft(name: &str, bytes: Vec<u8>) -> Response {
    let mut response = Response::new(Body::from(bytes));
    let headers = response.headers_mut();
    headers.insert(header::CONTENT_TYPE, HeaderValue::from_static("message/rfc822"));
    let attached = HeaderValue::from_str(&format!("attachment; filename=\"{name}.eml\""));
    headers.insert(
        header::CONTENT_DISPOSITION,
        attached.unwrap_or_else(|_| HeaderValue::from_static("attachment")),
    );
    response
}

/// Lets the next writing through only if nothing has happened to a string or its bow since the
/// form was made.
pub(super) fn expect(open: &mut Open, serial: &str, filled: &Filled) -> Result<(), Refused> {
    let seen = filled.seen()?;
    app::forget::refuse_since(&mut open.book, serial, seen)?;
    open.book.expect(serial, seen);
    Ok(())
}
