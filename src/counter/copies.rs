//! The copies of the book: which there are, and a look into one.

use chrono::NaiveDate;
use serde::Serialize;

use super::forms::Filled;
use super::page::{self, Page};
use super::problem::ProblemView;
use super::routes::Asked;
use super::{Reply, Shared};
use crate::app::copies::CopiesView;
use crate::error::{Kind, Problem};

#[derive(Serialize)]
struct Copies {
    view: Option<CopiesView>,
}

/// The list; it is shown as well where the book itself cannot be opened.
pub(super) fn copies(shared: &Shared, asked: Asked) -> Result<Reply, Problem> {
    let told = shared.told.take(asked.get("told").map(String::as_str));
    shown(shared, told, None)
}

fn shown(
    shared: &Shared,
    told: Vec<String>,
    problem: Option<(&Problem, &ProblemView)>,
) -> Result<Reply, Problem> {
    let data = Copies { view: shared.desk.copies()? };
    match shared.open() {
        Ok(open) => Page { told, problem, ..Page::new("copies.html", "Copies of the book", "peg") }
            .with(shared, &open, &data),
        Err(closed) => page::without_book(shared, "copies.html", "Copies of the book", &closed, &data),
    }
}

/// Opens the copy of a day, or with none goes back to the book.
pub(super) fn open(shared: &Shared, filled: Filled) -> Result<Reply, Problem> {
    let done = shared.forms.once("/copies/open", &filled, || {
        let day = match filled.get("day") {
            None => None,
            Some(text) => Some(text.parse::<NaiveDate>().map_err(|_| {
                Problem::new(Kind::BadValue, "that is no day of a copy", "press the day of one")
            })?),
        };
        shared.desk.open_copy(day)?;
        Ok("/".to_owned())
    });
    match done {
        Ok(place) => Ok(Reply::SeeOther(place)),
        Err(refused) => {
            let (problem, view) = refused.told_on(&[]);
            shown(shared, Vec::new(), Some((&problem, &view)))
        }
    }
}
