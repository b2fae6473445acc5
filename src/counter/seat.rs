//! Who is at the desk: asked once, remembered by the browser, noted with whatever is noted from there.

use std::convert::Infallible;
use std::sync::Arc;

use axum::extract::FromRequestParts;
use axum::http::request::Parts;
use axum::http::{HeaderMap, HeaderValue, StatusCode, header};
use axum::response::{IntoResponse, Redirect, Response};

use super::{House, Shared};

/// Name of what the browser remembers it under.
const COOKIE: &str = "who";

/// How long the browser remembers it, seconds: a year.
const REMEMBERED: u32 = 365 * 24 * 60 * 60;

/// Longest name that is kept, characters.
const LONGEST: usize = 80;

impl FromRequestParts<Arc<House>> for Shared {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, house: &Arc<House>) -> Result<Self, Infallible> {
        Ok(Self { house: Arc::clone(house), who: remembered(&parts.headers) })
    }
}

/// The name as it stands in the history; nothing where nothing is left of it.
pub(super) fn named(text: &str) -> Option<String> {
    let name: String = crate::words::harmless(text).replace('\n', " ").trim().chars().take(LONGEST).collect();
    (!name.is_empty()).then_some(name)
}

/// Who the browser says is at it.
fn remembered(headers: &HeaderMap) -> Option<String> {
    let cookies = headers.get_all(header::COOKIE).iter().filter_map(|value| value.to_str().ok());
    let mut cookies = cookies.flat_map(|cookies| cookies.split(';')).map(str::trim);
    let ours =
        cookies.find(|cookie| cookie.strip_prefix(COOKIE).is_some_and(|value| value.starts_with('=')))?;
    let (_, name) = form_urlencoded::parse(ours.as_bytes()).next()?;
    named(&name)
}

/// The page of ours from which a form was sent.
pub(super) fn back(headers: &HeaderMap) -> String {
    let from = headers.get(header::REFERER).and_then(|from| from.to_str().ok());
    let path = from.and_then(|from| from.strip_prefix("http://")?.split_once('/')).map(|(_, path)| path);
    // A second stroke would lead to another host.
    format!("/{}", path.unwrap_or_default().trim_start_matches('/'))
}

/// Has the browser remember who is at it, and leads back.
pub(super) fn taken(who: &str, back: &str) -> Response {
    let name: String = form_urlencoded::byte_serialize(who.as_bytes()).collect();
    let cookie = format!("{COOKIE}={name}; Path=/; Max-Age={REMEMBERED}; HttpOnly; SameSite=Strict");
    let mut response = match HeaderValue::from_str(back) {
        Ok(back) => (StatusCode::SEE_OTHER, [(header::LOCATION, back)]).into_response(),
        Err(_) => Redirect::to("/").into_response(),
    };
    response
        .headers_mut()
        .extend(HeaderValue::from_str(&cookie).ok().map(|cookie| (header::SET_COOKIE, cookie)));
    response
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_remembered_as_it_was_typed() {
        for name in ["RK", "Jørn \"the Bow\" B; x=1", "Runa Kestle"] {
            let response = taken(name, "/report/R-1");
            let cookie = response.headers()[header::SET_COOKIE].to_str().unwrap();
            let sent = format!("other=1; {}", cookie.split(';').next().unwrap());
            let headers = HeaderMap::from_iter([(header::COOKIE, HeaderValue::from_str(&sent).unwrap())]);
            assert_eq!(remembered(&headers).as_deref(), Some(name));
        }
        assert_eq!(named(" \u{1b} ").as_deref(), Some("\u{fffd}"));
        assert_eq!(named(" \n "), None);
        assert_eq!(remembered(&HeaderMap::new()), None);
    }

    #[test]
    fn the_way_back_stays_here() {
        let from = |from: &str| {
            back(&HeaderMap::from_iter([(header::REFERER, HeaderValue::from_str(from).unwrap())]))
        };
        assert_eq!(from("http://127.0.0.1:7465/report/R-1?turns=2"), "/report/R-1?turns=2");
        assert_eq!(from("http://127.0.0.1:7465//evil.example/"), "/evil.example/");
        assert_eq!(from("nothing"), "/");
        assert_eq!(back(&HeaderMap::new()), "/");
    }
}
