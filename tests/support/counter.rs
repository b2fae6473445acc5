//! The counter's pages asked for in-process, and what stands in them.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use axum::Router;
use axum::body::Body;
use axum::http::{Request, header};
use chrono::NaiveDate;
use fistmele::book::{Author, Book};
use fistmele::counter::{Desk, router};
use fistmele::error::Problem;
use fistmele::quantity::Unit;
use tower::ServiceExt;

pub(crate) const PORT: u16 = 7465;

struct TestDesk {
    book: PathBuf,
}

impl Desk for TestDesk {
    fn book(&self) -> Result<Book, Problem> {
        Ok(Book::open_as_it_is(&self.book, fistmele::book::PATIENCE)?)
    }

    fn place(&self) -> Option<PathBuf> {
        Some(self.book.clone())
    }

    fn author(&self) -> Result<Author, Problem> {
        Ok(Author { who: "RK".to_owned(), day: day() })
    }

    fn unit(&self) -> Option<Unit> {
        None
    }

    fn own_letter(&self, _: &Book, _: &str) -> Result<Option<String>, Problem> {
        Ok(None)
    }
}

fn day() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 3, 1).unwrap()
}

/// An answer of the counter.
pub(crate) struct Answer {
    pub(crate) status: u16,
    pub(crate) place: Option<String>,
    pub(crate) headers: axum::http::HeaderMap,
    pub(crate) text: String,
}

/// The counter on a book, without any network.
pub(crate) struct Counter {
    router: Router,
    runtime: tokio::runtime::Runtime,
}

impl Counter {
    pub(crate) fn on(book: &Path) -> Self {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        Self { router: router(Arc::new(TestDesk { book: book.to_owned() }), PORT).unwrap(), runtime }
    }

    pub(crate) fn send(&self, request: Request<Body>) -> Answer {
        self.runtime.block_on(async {
            let response = self.router.clone().oneshot(request).await.unwrap();
            let status = response.status().as_u16();
            let headers = response.headers().clone();
            let place = headers.get(header::LOCATION).map(|place| place.to_str().unwrap().to_owned());
            let body = axum::body::to_bytes(response.into_body(), 1 << 24).await.unwrap();
            Answer { status, place, headers, text: String::from_utf8(body.to_vec()).unwrap() }
        })
    }

    pub(crate) fn get(&self, address: &str) -> Answer {
        let request = Request::get(address).header(header::HOST, format!("127.0.0.1:{PORT}"));
        self.send(request.body(Body::empty()).unwrap())
    }

    /// A page that is there.
    pub(crate) fn page(&self, address: &str) -> String {
        let answer = self.get(address);
        assert_eq!(answer.status, 200, "{address}: {}", answer.text);
        answer.text
    }

    /// Sends a form as our own pages do.
    pub(crate) fn post(&self, address: &str, fields: &[(&str, &str)]) -> Answer {
        let body = form_urlencoded::Serializer::new(String::new()).extend_pairs(fields).finish();
        let request = Request::post(address)
            .header(header::HOST, format!("127.0.0.1:{PORT}"))
            .header(header::ORIGIN, format!("http://127.0.0.1:{PORT}"))
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        self.send(request.body(Body::from(body)).unwrap())
    }

    /// What a pasted mail says.
    pub(crate) fn pasted(&self, fields: &[(&str, &str)]) -> Answer {
        let place = self.post("/mail", fields).place.unwrap();
        let answer = self.get(&place);
        assert_eq!(answer.status, 200, "{}", answer.text);
        answer
    }

    /// What is found, or where the one thing found is.
    pub(crate) fn found(&self, wanted: &str) -> Answer {
        let place = self.post("/find", &[("wanted", wanted)]).place.unwrap();
        self.get(&place)
    }

    /// Sends a form that leads to another page, and gives that page.
    pub(crate) fn done(&self, address: &str, fields: &[(&str, &str)]) -> String {
        let answer = self.post(address, fields);
        assert_eq!(answer.status, 303, "{address}: {}", answer.text);
        self.page(&answer.place.unwrap())
    }
}

/// Ticks on the page of a report that nothing is broken, cut or cracked and that there was no shot
/// without an arrow, and gives the page with the letter.
pub(crate) fn ticked(counter: &Counter, page: &str, report: &str) -> String {
    let action = format!("/report/{report}/no-danger");
    let (mark, seen) = marks(page, &action);
    counter.done(&action, &[("form-mark", &mark), ("seen", &seen), ("no-danger", "yes")])
}

/// The value of the first hidden field of a name after a place in a page.
pub(crate) fn hidden(page: &str, after: &str, name: &str) -> String {
    let page = page.replace("&#x2f;", "/");
    let from = page.find(after).unwrap_or_else(|| panic!("{after} is not in {page}"));
    let field = format!("name=\"{name}\" value=\"");
    let rest = page[from..].split_once(&field).unwrap_or_else(|| panic!("no {name} after {after}")).1;
    rest.split_once('"').unwrap().0.to_owned()
}

/// Mark and state of the form of a page with this action.
pub(crate) fn marks(page: &str, action: &str) -> (String, String) {
    let after = format!("action=\"{action}\"");
    (hidden(page, &after, "form-mark"), hidden(page, &after, "seen"))
}
