//! Which address leads where.

use std::collections::HashMap;
use std::sync::Arc;

use axum::Router;
use axum::body::Body;
use axum::extract::{DefaultBodyLimit, Path, Query, Request};
use axum::http::{HeaderValue, StatusCode, header};
use axum::middleware::from_fn_with_state;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};

use super::forms::Filled;
use super::problem::{ProblemView, status};
use super::server::SLOWEST_REQUEST;
use super::{
    Desk, House, Reply, Shared, bench, came_in, copies, enter, find, guard, mail, mail_files, month, page,
    peg, report, rules, seat, sheet, string, together,
};
use crate::error::{Kind, Problem};

/// Most bytes of a form: a long mail with room to spare.
const LARGEST_FORM: usize = 1024 * 1024;

/// What an address asks for beside its path.
pub(super) type Asked = HashMap<String, String>;

type Handler<A> = fn(&Shared, A) -> Result<Reply, Problem>;

/// All pages of the counter.
///
/// # Errors
/// The system gives no random numbers.
pub fn router(desk: Arc<dyn Desk>, port: u16) -> Result<Router, Problem> {
    let house = Arc::new(House::new(desk)?);
    let asset = |kind: &'static str, text: &'static str| {
        get(move || async move { ([(header::CONTENT_TYPE, HeaderValue::from_static(kind))], text) })
    };
    Ok(Router::new()
        .route("/", get(|s, q| plain(s, q, peg::peg)))
        .route("/reports", get(|s, q| plain(s, q, peg::reports)))
        // Where a form was sent to, its page is looked for again: by hand, or from a list of the browser.
        .route("/find", post(|s, r| form(s, r, find::find)).get(|| async { Redirect::to("/") }))
        .route("/string/{serial}", get(|s, p, q| named(s, p, q, string::card)))
        .route(
            "/string/{serial}/report",
            post(|s, p, r| form_at(s, p, r, string::report))
                .get(|Path(serial): Path<String>| async move { Redirect::to(&string::address(&serial)) }),
        )
        .route(
            "/string/{serial}/warned",
            post(|s, p, r| form_at(s, p, r, string::warned))
                .get(|Path(serial): Path<String>| async move { Redirect::to(&string::address(&serial)) }),
        )
        .route(
            "/string/{serial}/archer",
            post(|s, p, r| form_at(s, p, r, string::archer))
                .get(|Path(serial): Path<String>| async move { Redirect::to(&string::address(&serial)) }),
        )
        .route(
            "/string/{serial}/bow",
            post(|s, p, r| form_at(s, p, r, string::bow))
                .get(|Path(serial): Path<String>| async move { Redirect::to(&string::address(&serial)) }),
        )
        .route(
            "/string/{serial}/strike",
            post(|s, p, r| form_at(s, p, r, string::strike))
                .get(|Path(serial): Path<String>| async move { Redirect::to(&string::address(&serial)) }),
        )
        .route(
            "/string/{serial}/unstrike",
            post(|s, p, r| form_at(s, p, r, string::unstrike))
                .get(|Path(serial): Path<String>| async move { Redirect::to(&string::address(&serial)) }),
        )
        .route("/mail", get(|s, q| plain(s, q, mail::paste)).post(|s, r| form(s, r, mail::read)))
        .route("/found/{mark}", get(|s, p, q| named(s, p, q, find::found)))
        .route("/mail/{mark}", get(|s, p, q| named(s, p, q, mail::says)))
        .route("/came-in/{mark}", get(|s, p, q| named(s, p, q, came_in::open)))
        .route("/came-in/aside", post(|s, r| form(s, r, came_in::aside)).get(|| async { Redirect::to("/") }))
        .route("/draft/{id}", get(|s, p, q| named(s, p, q, report::draft)))
        .route("/mail/log", post(|s, r| form(s, r, mail::log)).get(|| async { Redirect::to("/mail") }))
        .route("/mail/files", post(files).get(|| async { Redirect::to("/mail") }))
        .route(
            "/mail/away",
            post(|s, r| form(s, r, mail_files::put_away)).get(|| async { Redirect::to("/mail") }),
        )
        .route("/enter", get(|s, q| plain(s, q, enter::empty)).post(|s, r| form(s, r, enter::begin)))
        .route("/enter/{mark}", get(|s, p, q| named(s, p, q, enter::begun)))
        .route("/enter/add", post(|s, r| form(s, r, enter::add)).get(|| async { Redirect::to("/enter") }))
        .route("/report/{id}", get(|s, p, q| named(s, p, q, report::show)))
        .route(
            "/report/{id}/{step}",
            post(step_at).get(|Path((id, _)): Path<(String, String)>| async move {
                Redirect::to(&string::address(&id).replacen("/string/", "/report/", 1))
            }),
        )
        .route("/together/{ids}", get(|s, p, q| named(s, p, q, together::show)))
        .route(
            "/together/{ids}/{step}",
            post(together_at).get(|Path((ids, _)): Path<(String, String)>| async move {
                Redirect::to(&string::address(&ids).replacen("/string/", "/together/", 1))
            }),
        )
        .route("/sheet/{of}", get(|s, p, q| named(s, p, q, sheet::sheet)))
        .route("/bench", get(|s, q| plain(s, q, bench::bench)).post(|s, r| form(s, r, bench::sum)))
        .route("/month", get(|s, q| plain(s, q, month::month)))
        .route("/copies", get(|s, q| plain(s, q, copies::copies)))
        .route(
            "/copies/open",
            post(|s, r| form(s, r, copies::open)).get(|| async { Redirect::to("/copies") }),
        )
        .route("/who", post(who).get(|| async { Redirect::to("/") }))
        .route("/rules", get(|s, q| plain(s, q, rules::rules)))
        .route("/counter.css", asset("text/css; charset=utf-8", include_str!("pages/counter.css")))
        .route(sheet::STYLES, asset("text/css; charset=utf-8", crate::show::sheet::STYLES))
        .route("/counter.js", asset("text/javascript; charset=utf-8", include_str!("pages/counter.js")))
        .route("/favicon.ico", get(|| async { StatusCode::NO_CONTENT }))
        .fallback(|| async {
            problem(&Problem::new(Kind::NotFound, "there is no such page", "see what is on the peg"))
        })
        .method_not_allowed_fallback(|| async {
            problem(&Problem::new(Kind::Refused, "this page takes no such request", "go back and try again"))
        })
        .layer(DefaultBodyLimit::disable())
        .layer(from_fn_with_state(port, guard::guard))
        .with_state(house))
}

fn problem(problem: &Problem) -> Response {
    page::response(status(problem.kind), page::bare("That did not work", &ProblemView::new(problem, None)))
}

/// Runs a use case beside the server, so that no request waits for the book of another.
async fn answer(
    shared: Shared,
    work: impl FnOnce(&Shared) -> Result<Reply, Problem> + Send + 'static,
) -> Response {
    let place = shared.desk.place();
    let done = tokio::task::spawn_blocking(move || work(&shared)).await;
    match done {
        Ok(Ok(Reply::Page { status, html })) => page::response(status, html),
        Ok(Ok(Reply::Draft { name, bytes })) => page::draft(&name, bytes),
        Ok(Ok(Reply::SeeOther(place))) => match HeaderValue::from_str(&place) {
            Ok(place) => (StatusCode::SEE_OTHER, [(header::LOCATION, place)]).into_response(),
            Err(_) => problem(&Problem::new(Kind::Fault, "a place that is none", "please report this")),
        },
        Ok(Err(refused)) => problem(&match place {
            Some(place) => refused.of_book(&place),
            None => refused,
        }),
        Err(_) => problem(&Problem::new(
            Kind::Fault,
            "the program has failed at this",
            "look whether it was noted before you do it again, and please report this with what you did",
        )),
    }
}

async fn plain(shared: Shared, Query(asked): Query<Asked>, handler: Handler<Asked>) -> Response {
    answer(shared, move |shared| handler(shared, asked)).await
}

async fn named(
    shared: Shared,
    Path(name): Path<String>,
    Query(asked): Query<Asked>,
    handler: Handler<(String, Asked)>,
) -> Response {
    answer(shared, move |shared| handler(shared, (name, asked))).await
}

async fn form(shared: Shared, request: Request<Body>, handler: Handler<Filled>) -> Response {
    match filled(request).await {
        Ok(filled) => answer(shared, move |shared| handler(shared, filled)).await,
        Err(refused) => *refused,
    }
}

async fn form_at(
    shared: Shared,
    Path(name): Path<String>,
    request: Request<Body>,
    handler: Handler<(String, Filled)>,
) -> Response {
    match filled(request).await {
        Ok(filled) => answer(shared, move |shared| handler(shared, (name, filled))).await,
        Err(refused) => *refused,
    }
}

async fn step_at(
    shared: Shared,
    Path((id, step)): Path<(String, String)>,
    request: Request<Body>,
) -> Response {
    let filled = match filled(request).await {
        Ok(filled) => filled,
        Err(refused) => return *refused,
    };
    answer(shared, move |shared| report::step(shared, &id, &step, &filled)).await
}

async fn together_at(
    shared: Shared,
    Path((ids, step)): Path<(String, String)>,
    request: Request<Body>,
) -> Response {
    match filled(request).await {
        Ok(filled) => answer(shared, move |shared| together::step(shared, &ids, &step, &filled)).await,
        Err(refused) => *refused,
    }
}

/// Somebody says who is at the desk, and goes on where that was said.
async fn who(request: Request<Body>) -> Response {
    let back = seat::back(request.headers());
    match filled(request).await {
        Ok(filled) => match seat::named(filled.get("who").unwrap_or_default()) {
            Some(who) => seat::taken(&who, &back),
            None => problem(&Problem::new(
                Kind::BadValue,
                "the name of who is at the desk is missing",
                "go back and type a name, or initials",
            )),
        },
        Err(refused) => *refused,
    }
}

/// Mails that are chosen as files.
async fn files(shared: Shared, request: Request<Body>) -> Response {
    match mail_files::chosen(request).await {
        Ok(chosen) => answer(shared, move |shared| mail_files::keep(shared, chosen)).await,
        Err(refused) => problem(&refused),
    }
}

/// The fields of a form, none of it kept where it is larger than any form of ours.
async fn filled(request: Request<Body>) -> Result<Filled, Box<Response>> {
    let body = axum::body::to_bytes(request.into_body(), LARGEST_FORM);
    match tokio::time::timeout(SLOWEST_REQUEST, body).await {
        Ok(Ok(body)) => Ok(Filled::read(&body)),
        Err(_) => Err(Box::new(page::response(
            408,
            page::bare(
                "Too slow",
                &ProblemView::new(
                    &Problem::new(
                        Kind::BadValue,
                        "the form did not come in within ten seconds",
                        "go back and send it once more",
                    ),
                    None,
                ),
            ),
        ))),
        Ok(Err(_)) => Err(Box::new(page::response(
            413,
            page::bare(
                "Too large",
                &ProblemView::new(
                    &Problem::new(
                        Kind::BadValue,
                        "what was sent is larger than 1 MB, or was cut off on its way",
                        "paste the text of the mail without its attachments",
                    ),
                    None,
                ),
            ),
        ))),
    }
}
