//! The search. It is asked for by a form that is sent, so that no name stands in an address.

use serde::Serialize;

use super::forms::Filled;
use super::page::Page;
use super::routes::Asked;
use super::{Reply, Shared, string};
use crate::app;
use crate::error::Problem;

#[derive(Serialize)]
struct Line {
    address: String,
    string: String,
    order: Option<String>,
    archer: Option<String>,
    email: Option<String>,
    sold_on: String,
    reports: u32,
}

#[derive(Serialize)]
struct Found {
    wanted: String,
    lines: Vec<Line>,
    /// None holds what was looked for; these come near.
    near: bool,
}

/// Keeps what is looked for and leads to what is found, so that no name stands in the address and
/// the way back leads here again.
pub(super) fn find(shared: &Shared, filled: Filled) -> Result<Reply, Problem> {
    // What was kept before somebody was forgotten goes before anything new is kept.
    shared.open()?;
    Ok(Reply::SeeOther(format!("/found/{}", shared.kept.keep(filled)?)))
}

/// Strings by serial, order, name or e-mail.
pub(super) fn found(shared: &Shared, (mark, _): (String, Asked)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let Some(filled) = shared.kept.get(&mark) else { return Ok(Reply::SeeOther("/".to_owned())) };
    let wanted = filled.get("wanted").unwrap_or_default().trim().to_owned();
    // A report's number is as good as a serial.
    if wanted.starts_with(['R', 'r'])
        && let Ok(view) = app::reports::show(&mut open.book, &wanted)
    {
        return Ok(Reply::SeeOther(format!("/report/{}", view.report)));
    }
    // A serial leads to its string, also to one that is struck, which no search finds.
    if let Ok(view) = app::sold::show(&mut open.book, &wanted) {
        return Ok(Reply::SeeOther(string::address(&view.serial)));
    }
    let found = if wanted.is_empty() { Vec::new() } else { app::find::find(&mut open.book, &wanted)? };
    if let [only] = found.as_slice()
        && only.exact
    {
        return Ok(Reply::SeeOther(string::address(&only.serial)));
    }
    let data = Found {
        near: !found.is_empty() && found.iter().all(|line| !line.exact),
        lines: found
            .into_iter()
            .map(|line| Line {
                address: string::address(&line.serial),
                string: line.serial,
                order: line.order_ref,
                archer: line.archer,
                email: line.email,
                sold_on: line.sold_on.to_string(),
                reports: line.reports,
            })
            .collect(),
        wanted,
    };
    Page::new("found.html", "Found", "find").with(shared, &open, &data)
}
