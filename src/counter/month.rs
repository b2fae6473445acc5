//! The month sheet.

use serde::Serialize;

use super::page::Page;
use super::problem::ProblemView;
use super::routes::Asked;
use super::{Reply, Shared};
use crate::app;
use crate::app::month::name;
use crate::error::{Kind, Problem};
use crate::show::{month_page, month_sentences};

#[derive(Serialize)]
struct Sheet {
    month: String,
    before: String,
    after: Option<String>,
    running: String,
    notes: Vec<String>,
    sheet_html: String,
}

/// The sheet of a month, else of the running one.
pub(super) fn month(shared: &Shared, asked: Asked) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let today = open.author.day;
    let running = app::month::month_of(None, today)?;
    let wanted = asked.get("of").map(String::as_str).filter(|text| !text.trim().is_empty());
    let (which, problem) = match app::month::month_of(wanted, today) {
        Ok(which) => (which, None),
        Err(error) => {
            let problem = Problem::from(error);
            let view = ProblemView::new(&problem, None);
            (running, Some((problem, view)))
        }
    };
    let view = app::month::sheet(&mut open.book, which, today)?;
    let sheet_html = month_page::inner(&view, &open.style, &open.rules.workshop_name)
        .map_err(|message| Problem::new(Kind::Fault, message, "please report this"))?;
    let data = Sheet {
        month: name(which),
        before: name(which.plus(-1)),
        after: (which < running).then(|| name(which.plus(1))),
        running: name(running),
        notes: month_sentences::warnings(&view),
        sheet_html,
    };
    let title = format!("Month sheet {}", data.month);
    let problem = problem.as_ref().map(|(problem, view)| (problem, view));
    Page { problem, ..Page::new("month.html", &title, "month") }.with(shared, &open, &data)
}
