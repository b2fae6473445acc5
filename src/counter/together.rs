//! Several reports of one archer, and the one letter that answers all of them.

use serde::Serialize;

use super::forms::Filled;
use super::page::{Page, expect_letter};
use super::problem::{ProblemView, Refused, led_on};
use super::report_view::DangerView;
use super::routes::Asked;
use super::{Open, Reply, Shared};
use crate::app;
use crate::app::danger::{self, Word};
use crate::app::outgoing;
use crate::app::{advise, cases};
use crate::error::{Kind, Problem};
use crate::letters::{self, LetterKind, Part};
use crate::trade::words::Standing;

/// Most reports that one letter is about.
const MOST: usize = 20;

/// The address of the letter about reports.
pub(super) fn address(ids: &[String]) -> String {
    format!("/together/{}", ids.join(","))
}

/// The last thing that happened to any of these strings.
pub(super) fn seen(open: &mut Open, serials: &[String]) -> Result<i64, Problem> {
    serials.iter().try_fold(0, |last, serial| Ok(last.max(app::reports::last_line(&mut open.book, serial)?)))
}

/// Refuses what was begun before something happened to one of these strings.
pub(super) fn expect_all(open: &mut Open, serials: &[String], filled: &Filled) -> Result<(), Refused> {
    let before = filled.seen()?;
    for serial in serials {
        app::forget::refuse_since(&mut open.book, serial, before)?;
    }
    if seen(open, serials)? != before {
        return Err(Problem::new(
            Kind::OutOfDate,
            "one of these strings has moved on since the page was made; nothing was changed",
            "look at them as they stand now, and send it again if it is still what you want",
        )
        .into());
    }
    Ok(())
}

/// A report that the letter is about.
#[derive(Serialize)]
struct PartView {
    id: String,
    string: String,
    verdict: &'static str,
    letter: &'static str,
    signs: Vec<String>,
    /// A sign is open: what it means is said on its own page.
    open: bool,
    answered: bool,
}

#[derive(Serialize)]
struct Together {
    address: String,
    archer: Option<String>,
    to: Option<String>,
    parts: Vec<PartView>,
    /// One tick rules danger out in all of them.
    tick: bool,
    text: String,
    rows: usize,
    digest: String,
    reminders: Vec<&'static str>,
    answered: bool,
    seen: i64,
}

fn ids_of(named: &str) -> Result<Vec<String>, Problem> {
    let ids: Vec<String> = named.split(',').map(str::to_owned).collect();
    if ids.len() > MOST {
        return Err(Problem::new(
            Kind::BadValue,
            format!("one letter is about {MOST} reports at most"),
            "answer some of them, then the others",
        ));
    }
    ids.iter().map(|id| Ok(format!("R-{}", app::reports::report_number(id)?))).collect()
}

fn parts(shared: &Shared, open: &mut Open, ids: &[String]) -> Result<Vec<Part>, Problem> {
    outgoing::refuse_two_archers(&mut open.book, ids)?;
    ids.iter()
        .map(|id| {
            let way = cases::way(&mut open.book, id, open.author.day)?;
            let answer = advise::preview(&mut open.book, id, open.author.day)?;
            let kind = LetterKind::for_answer(&answer, &way);
            let own = shared.desk.own_letter(&open.book, &kind.template_name())?;
            Ok(Part { kind, answer, way, own })
        })
        .collect()
}

fn strings(parts: &[Part]) -> Vec<String> {
    parts.iter().map(|part| part.answer.view.string.clone()).collect()
}

fn page(
    shared: &Shared,
    open: &mut Open,
    ids: &[String],
    told: Vec<String>,
    problem: Option<(&Problem, &ProblemView)>,
) -> Result<Reply, Problem> {
    let parts = parts(shared, open, ids)?;
    let text = letters::together(&parts, &open.style)?;
    let to = match ids.first() {
        Some(first) => app::reports::whose(&mut open.book, first)?.email,
        None => None,
    };
    let views: Vec<PartView> = parts
        .iter()
        .map(|part| {
            let danger = DangerView::new(&part.answer, part.kind);
            let open = danger.open;
            PartView {
                id: part.answer.view.report.clone(),
                string: part.answer.view.string.clone(),
                verdict: part.answer.view.verdict.as_str(),
                letter: part.kind.as_str(),
                signs: danger.sentences(),
                open,
                answered: part.way.answered || part.way.standing == Standing::Settled,
            }
        })
        .collect();
    let data = Together {
        address: address(ids),
        archer: parts.first().and_then(|part| part.answer.archer.clone()),
        to,
        tick: parts.iter().any(|part| DangerView::new(&part.answer, part.kind).tick),
        rows: text.lines().count() + 1,
        digest: crate::words::digest(&text),
        reminders: parts.iter().filter_map(|part| letters::label_to_attach(part.kind, &text)).collect(),
        answered: views.iter().all(|part| part.answered),
        parts: views,
        text,
        seen: seen(open, &strings(&parts))?,
    };
    Page { told, problem, ..Page::new("together.html", "One letter", "peg") }.with(shared, open, &data)
}

/// The reports, and the letter about all of them.
pub(super) fn show(shared: &Shared, (named, asked): (String, Asked)) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let told = shared.told.take(asked.get("told").map(String::as_str));
    page(shared, &mut open, &ids_of(&named)?, told, None)
}

/// Rules danger out in all of them, or notes that the letter was sent.
pub(super) fn step(shared: &Shared, named: &str, step: &str, filled: &Filled) -> Result<Reply, Problem> {
    let mut open = shared.open()?;
    let ids = ids_of(named)?;
    let done = shared
        .forms
        .once(&format!("{}/{step}", address(&ids)), filled, || take(shared, &mut open, &ids, step, filled));
    led_on(done, &[], |problem, view| page(shared, &mut open, &ids, Vec::new(), Some((problem, view))))
}

fn take(
    shared: &Shared,
    open: &mut Open,
    ids: &[String],
    step: &str,
    filled: &Filled,
) -> Result<String, Refused> {
    let parts = parts(shared, open, ids)?;
    expect_all(open, &strings(&parts), filled)?;
    let told = match step {
        "no-danger" if filled.get("no-danger").is_some() => {
            let word = Word { no_danger: true, ..Word::default() };
            for part in parts.iter().filter(|part| DangerView::new(&part.answer, part.kind).tick) {
                danger::say(&mut open.book, &part.answer.view.report, &word, &open.author)?;
            }
            "Noted: nothing broken, cut or cracked, no shot without an arrow.".to_owned()
        }
        "letter" => {
            let text = letters::together(&parts, &open.style).map_err(Problem::from)?;
            expect_letter(filled, &text)?;
            for part in &parts {
                advise::advise(&mut open.book, &part.answer.view.report, &open.author)?;
            }
            outgoing::about_reports(&mut open.book, &letters::out_about_each(&parts, &text), &open.author)?;
            format!("Noted: the letter was sent, about {}.", ids.join(", "))
        }
        _ => {
            return Err(Problem::new(
                Kind::BadValue,
                "the tick is not set, or there is no such step",
                "tick it if you read or heard it; else send the letter that asks",
            )
            .into());
        }
    };
    Ok(shared.told.on(address(ids), vec![told])?)
}
