//! The month sheet.

use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};

use chrono::NaiveDate;
use serde::Serialize;

use super::page::Page;
use super::problem::ProblemView;
use super::routes::Asked;
use super::{Open, Reply, Shared};
use crate::app;
use crate::error::{Kind, Problem};
use crate::evidence::calendar::Month;
use crate::month::name;
use crate::quantity::Unit;
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

/// What a sheet was made from: while it is the same, so is the sheet.
#[derive(PartialEq, Eq)]
struct MadeFrom {
    month: Month,
    /// The share of complaints that can have come in moves with the day.
    today: NaiveDate,
    unit: Unit,
    written: [i64; 4],
    /// Which book: a copy that is looked into is another one.
    copy: Option<NaiveDate>,
    place: Option<PathBuf>,
}

#[derive(Clone)]
struct Made {
    notes: Vec<String>,
    sheet_html: String,
}

/// Most sheets kept: somebody leafs through a year.
const MOST_SHEETS: usize = 12;

/// Sheets as they were last made, in memory.
#[derive(Default)]
pub(super) struct Sheets {
    made: Mutex<VecDeque<(MadeFrom, Made)>>,
}

impl Sheets {
    fn get(&self, from: &MadeFrom) -> Option<Made> {
        let made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        made.iter().find(|(other, _)| other == from).map(|(_, sheet)| sheet.clone())
    }

    fn keep(&self, from: MadeFrom, sheet: Made) {
        let mut made = self.made.lock().unwrap_or_else(PoisonError::into_inner);
        // What was made from an older state of the book is never asked for again.
        made.retain(|(other, _)| other.written == from.written && other.today == from.today);
        if made.len() >= MOST_SHEETS {
            made.pop_front();
        }
        made.push_back((from, sheet));
    }

    /// Forgets all sheets.
    pub(super) fn clear(&self) {
        self.made.lock().unwrap_or_else(PoisonError::into_inner).clear();
    }
}

fn made(shared: &Shared, open: &mut Open, month: Month) -> Result<Made, Problem> {
    let from = MadeFrom {
        month,
        today: open.author.day,
        unit: open.style.unit,
        written: app::month::written_so_far(&mut open.book)?,
        copy: shared.desk.opened_copy(),
        place: shared.desk.place(),
    };
    if let Some(made) = shared.sheets.get(&from) {
        return Ok(made);
    }
    let view = app::month::sheet(&mut open.book, month, open.author.day)?;
    let sheet_html = month_page::inner(&view, &open.style, &open.rules.workshop_name)
        .map_err(|message| Problem::new(Kind::Fault, message, "please report this"))?;
    let made = Made { notes: month_sentences::warnings(&view), sheet_html };
    shared.sheets.keep(from, made.clone());
    Ok(made)
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
    let Made { notes, sheet_html } = made(shared, &mut open, which)?;
    let data = Sheet {
        month: name(which),
        before: name(which.plus(-1)),
        after: (which < running).then(|| name(which.plus(1))),
        running: name(running),
        notes,
        sheet_html,
    };
    let title = format!("Month sheet {}", data.month);
    let problem = problem.as_ref().map(|(problem, view)| (problem, view));
    Page { problem, ..Page::new("month.html", &title, "month") }.with(shared, &open, &data)
}
