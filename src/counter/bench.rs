//! The bench sums: turns, and string length, for a wanted brace height.

use serde::Serialize;

use super::fields::{FieldView, SUM, TURNS, views};
use super::forms::Filled;
use super::page::Page;
use super::problem::{ProblemView, Refused};
use super::routes::Asked;
use super::{Reply, Shared};
use crate::app::sums;
use crate::entry::{bow_and_string, twist_request};
use crate::error::Problem;
use crate::show::page::TextPage;
use crate::show::{sums as show, web};
use crate::trade::rules::Rules;

#[derive(Serialize)]
struct Sums {
    sum: Vec<FieldView>,
    turns: Vec<FieldView>,
    answer_html: Option<String>,
    notes: Vec<String>,
}

/// The forms.
pub(super) fn bench(shared: &Shared, _: Asked) -> Result<Reply, Problem> {
    answered(shared, &Filled::default(), None, Vec::new(), None)
}

fn answered(
    shared: &Shared,
    filled: &Filled,
    answer_html: Option<String>,
    notes: Vec<String>,
    problem: Option<(&Problem, &ProblemView)>,
) -> Result<Reply, Problem> {
    let open = shared.open()?;
    let wrong = problem.map(|(_, view)| view);
    let data =
        Sums { sum: views(&SUM, filled, wrong), turns: views(&TURNS, filled, wrong), answer_html, notes };
    Page { problem, ..Page::new("bench.html", "Bench sums", "bench") }.with(shared, &open, &data)
}

fn work_out(filled: &Filled, unit: crate::quantity::Unit) -> Result<(TextPage, Vec<String>), Refused> {
    // As in the terminal, the sums know nothing of the book.
    let rules = Rules::default();
    let entries = filled.entries();
    let mut text = TextPage::new(80);
    if filled.has("sum", "length") {
        let view = sums::length(&bow_and_string(&entries, unit)?, &rules)?;
        show::length_text(&mut text, &view, unit, rules.rounding);
        return Ok((text, show::warnings(&view.notes, unit)));
    }
    let view = sums::twist(&twist_request(&entries, unit)?, &rules)?;
    show::twist_text(&mut text, &view, unit);
    Ok((text, show::warnings(&view.notes, unit)))
}

/// One of the sums. It changes nothing, so it needs no mark of ours.
pub(super) fn sum(shared: &Shared, filled: Filled) -> Result<Reply, Problem> {
    let unit = shared.open()?.style.unit;
    match work_out(&filled, unit) {
        Ok((text, notes)) => answered(shared, &filled, Some(web::html(&text)), notes, None),
        Err(refused) => {
            let (problem, view) = refused.told_on(&[&SUM, &TURNS]);
            answered(shared, &filled, None, Vec::new(), Some((&problem, &view)))
        }
    }
}
