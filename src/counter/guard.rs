//! What is refused before anything is looked at, and what every answer carries.
//!
//! Any page that a browser has open may send requests to this computer; and a name on the net may
//! be made to point at it. So the host that a request names must be ours, and a request that
//! changes something must come from a page of ours.

use axum::body::Body;
use axum::extract::{Request, State};
use axum::http::{HeaderMap, HeaderValue, Method, header};
use axum::middleware::Next;
use axum::response::Response;

use super::page;
use super::problem::ProblemView;
use crate::error::{Kind, Problem};

/// No script, style, picture or form but ours, in no frame of another page.
const POLICY: &str = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'";

/// Where files are sent to, in the form in which browsers send them.
const FILES: &str = "/mail/files";

/// The names under which this computer knows itself.
const OURSELVES: [&str; 2] = ["127.0.0.1", "localhost"];

fn is_ours(host: &str, port: u16) -> bool {
    let (name, written) = host.rsplit_once(':').unwrap_or((host, "80"));
    OURSELVES.contains(&name) && written.parse() == Ok(port)
}

fn text(headers: &HeaderMap, name: header::HeaderName) -> Option<&str> {
    let mut values = headers.get_all(name).iter();
    let only = values.next()?.to_str().ok()?;
    // Of two that differ nobody can tell which one is meant.
    values.next().is_none().then_some(only)
}

/// Why a request is refused, if it is.
fn refusal(request: &Request, port: u16) -> Option<&'static str> {
    let headers = request.headers();
    if !text(headers, header::HOST).is_some_and(|host| is_ours(host, port)) {
        return Some("the request names another host than this counter");
    }
    // Browsers say by themselves whose page has led to a request.
    if let Some(from) = headers.get("sec-fetch-site")
        && !matches!(from.as_bytes(), b"same-origin" | b"none")
    {
        return Some("the request comes from another site");
    }
    let is_look = matches!(*request.method(), Method::GET | Method::HEAD);
    if is_look && !headers.contains_key(header::ORIGIN) {
        return None;
    }
    let origin = text(headers, header::ORIGIN).and_then(|origin| origin.strip_prefix("http://"));
    if !origin.is_some_and(|host| is_ours(host, port)) {
        return Some("the form was sent from a page that is none of this counter's");
    }
    if is_look {
        return None;
    }
    let kind = text(headers, header::CONTENT_TYPE).unwrap_or_default();
    let kind = kind.split(';').next().unwrap_or_default().trim();
    let ours = if request.uri().path() == FILES {
        "multipart/form-data"
    } else {
        "application/x-www-form-urlencoded"
    };
    if !kind.eq_ignore_ascii_case(ours) {
        return Some("what was sent is no form");
    }
    None
}

/// Refuses what is not ours, and adds the headers that every answer carries.
pub(super) async fn guard(State(port): State<u16>, request: Request<Body>, next: Next) -> Response {
    let mut response = match refusal(&request, port) {
        Some(why) => {
            let problem = Problem::new(
                Kind::Refused,
                why,
                format!("open http://127.0.0.1:{port}/ in a browser on this computer"),
            );
            page::response(403, page::bare("Refused", &ProblemView::new(&problem, None)))
        }
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, POLICY),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        // A form must be able to tell where it comes from; no other site is told anything.
        (header::REFERRER_POLICY, "same-origin"),
        // Names and addresses stay out of the browser's store.
        (header::CACHE_CONTROL, "no-store"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_this_computer_by_its_own_names_is_ours() {
        for (host, ours) in [
            ("127.0.0.1:7465", true),
            ("localhost:7465", true),
            ("localhost:7466", false),
            ("localhost", false),
            ("evil.example:7465", false),
            ("127.0.0.1.evil.example:7465", false),
            ("127.0.0.1:7465:7465", false),
            ("user@127.0.0.1:7465", false),
            ("", false),
        ] {
            assert_eq!(is_ours(host, 7465), ours, "{host}");
        }
    }
}
