//! The sheet to look at, to be printed.

use super::routes::Asked;
use super::{Reply, Shared, string};
use crate::app;
use crate::error::{Kind, Problem};
use crate::show::sheet::{Styled, html};

/// Address of the sheet's styles: no page of the counter holds any of its own.
pub(super) const STYLES: &str = "/sheet.css";

/// Address of the sheet of a report or a string.
pub(super) fn address(of: &str) -> String {
    string::address(of).replacen("/string/", "/sheet/", 1)
}

/// The sheet of a report or a string.
pub(super) fn sheet(shared: &Shared, (of, _): (String, Asked)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let view = app::sheet::sheet(&mut open.book, &of, open.author.day)?;
    let html = html(&view, &open.style, Styled::From(STYLES))
        .map_err(|error| Problem::new(Kind::Fault, error.to_string(), "please report this"))?;
    Ok(Reply::Page { status: 200, html })
}
