//! Striking what was noted by mistake: forms of a report's and a string's page, and the page of what
//! is struck.

use serde::Serialize;

use super::forms::Filled;
use super::page::{Page, PlainLetter};
use super::problem::{ProblemView, Refused};
use super::{Open, Reply, Shared};
use crate::app::strikes::{Strikable, Strike, strike, unstrike};
use crate::error::{Kind, Problem};
use crate::show::strikes;

/// The steps that strike and bring back, as addresses name them.
pub(super) const STEPS: [&str; 2] = ["strike", "unstrike"];

/// A thing with its form.
#[derive(Serialize)]
pub(super) struct ThingView {
    id: String,
    label: String,
    /// Who struck it, when and why.
    struck: Option<String>,
    letter: bool,
    dangers: Vec<DangerTick>,
    /// What was typed for why it is struck.
    why: String,
    never_sent: bool,
}

#[derive(Serialize)]
struct DangerTick {
    name: String,
    shown: String,
    ticked: bool,
}

/// The forms of what can be struck, with what was filled into one of them.
pub(super) fn views(things: Vec<Strikable>, filled: &Filled) -> Vec<ThingView> {
    things
        .into_iter()
        .map(|thing| {
            let of_this = filled.get("thing") == Some(thing.id.as_str());
            let ticked = |field: &str, value: &str| of_this && filled.has(field, value);
            ThingView {
                label: format!("the {} {}", thing.what, thing.id),
                struck: thing.struck.map(|mark| mark.to_string()),
                letter: thing.what == "letter",
                dangers: thing
                    .dangers
                    .into_iter()
                    .map(|(name, shown)| DangerTick { ticked: ticked("call-off", &name), name, shown })
                    .collect(),
                why: filled.get("why").filter(|_| of_this).unwrap_or_default().to_owned(),
                never_sent: ticked("never-sent", "yes"),
                id: thing.id,
            }
        })
        .collect()
}

/// Strikes one of these things, or brings it back; what is to be told of it.
pub(super) fn take(
    open: &mut Open,
    things: &[Strikable],
    step: &str,
    filled: &Filled,
) -> Result<Vec<String>, Refused> {
    let wanted = filled.get("thing").unwrap_or_default();
    let Some(thing) = things.iter().find(|thing| thing.id == wanted) else {
        return Err(Problem::new(
            Kind::NotFound,
            "this page has nothing of that name to strike",
            "go back to it and choose one of its own",
        )
        .into());
    };
    let id = thing.typed.clone();
    let done = if step == "unstrike" {
        unstrike(&mut open.book, &id, &open.author)?
    } else {
        let called_off =
            thing.dangers.iter().map(|(name, _)| name).filter(|name| filled.has("call-off", name));
        let what = Strike {
            id,
            why: filled.get("why").unwrap_or_default().to_owned(),
            call_off: called_off.cloned().collect(),
            never_sent: filled.get("never-sent").is_some(),
        };
        strike(&mut open.book, &what, &open.author)?
    };
    Ok(strikes::sentences(&done))
}

/// What is struck, for its page.
#[derive(Serialize)]
pub(super) struct StruckPage {
    /// What it is, and its id.
    pub(super) title: String,
    /// Its own address.
    pub(super) address: String,
    /// The string it belongs to, with its address.
    pub(super) string: Option<(String, String)>,
    pub(super) seen: i64,
    pub(super) said_html: String,
    /// The letter that takes back what went out on it.
    pub(super) letter: Option<PlainLetter>,
    pub(super) things: Vec<ThingView>,
}

impl StruckPage {
    /// Its page.
    pub(super) fn show(
        mut self,
        shared: &Shared,
        open: &Open,
        told: Vec<String>,
        problem: Option<(&Problem, &ProblemView)>,
    ) -> Result<Reply, Problem> {
        // What is left out with something else is brought back there.
        self.things.retain(|thing| thing.struck.is_some());
        Page { told, problem, ..Page::new("struck.html", &self.title, "find") }.with(shared, open, &self)
    }
}
