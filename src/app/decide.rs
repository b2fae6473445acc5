//! The maker decides a report otherwise than it is worked out.

use chrono::NaiveDate;
use serde::Serialize;

use super::advise::{Answer, advise};
use super::error::AppError;
use super::facts::facts;
use super::reports::{find_report, refuse_settled};
use super::settings::checked_reason;
use crate::book::{Author, Book, Happened, StoredDecision};
use crate::quantity::{Length, Turns};
use crate::trade::decision::{Decision, Limit};
use crate::trade::standing::Step;
use crate::trade::terms::TermsOf;
use crate::trade::verdict::{Case, decided};

/// A decision to be noted.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct NewDecision {
    /// Why.
    pub why: String,
    /// What counts under the workshop's terms.
    pub of: Option<TermsOf>,
    /// Made right free, or paid by the archer.
    pub free: Option<bool>,
    /// The string is made again, or it is not.
    pub remake: Option<bool>,
    /// Full turns to put in (+) or take out (-).
    pub turns: Option<Turns>,
    /// Loaded length of the new string.
    pub length: Option<Length>,
    /// Back to what is worked out.
    pub as_worked_out: bool,
}

/// A decision as it is shown.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DecisionView {
    /// Day.
    pub decided_on: NaiveDate,
    /// Who.
    pub who: String,
    /// Why; empty where the archer was forgotten.
    pub why: String,
    /// Back to what is worked out.
    pub as_worked_out: bool,
    /// What counts under the workshop's terms.
    pub cause: Option<TermsOf>,
    /// Made right free, or paid by the archer.
    pub free: Option<bool>,
    /// The string is made again, or it is not.
    pub remake: Option<bool>,
    /// Full turns.
    pub turns: Option<i32>,
    /// Loaded length.
    pub length_inch: Option<f64>,
}

impl From<StoredDecision> for DecisionView {
    fn from(stored: StoredDecision) -> Self {
        let decision = stored.decision;
        Self {
            decided_on: decision.decided_on,
            who: stored.who,
            why: stored.why,
            as_worked_out: stored.taken_back,
            cause: decision.of,
            free: decision.free,
            remake: decision.remake,
            turns: decision.turns,
            length_inch: decision.length,
        }
    }
}

/// Notes a decision, beside what was decided before and is not said anew, and gives the verdict as it is now.
///
/// # Errors
/// Unknown or settled report, nothing decided or no reason, something beyond a limit, or the book
/// cannot be written.
pub fn decide(book: &mut Book, id: &str, new: &NewDecision, author: &Author) -> Result<Answer, AppError> {
    let why = checked_reason(Some(&new.why))?
        .ok_or_else(|| AppError::refused("a decision needs its reason", "say it with --why \"...\""))?;
    let turns = checked(new)?;
    let facts = book.read(|page| facts(page, id))?;
    let report = facts.reports.last().ok_or_else(|| AppError::Internal("no report".to_owned()))?;
    let (pool, settling) = (facts.pool(), facts.settling());
    let case = facts.case(&pool, settling, author.day);
    let said = Decision {
        decided_on: author.day,
        of: new.of,
        free: new.free,
        remake: new.remake,
        turns,
        length: new.length.map(Length::inches),
        read_since: false,
    };
    let before = facts.decision.as_ref().map(|stored| &stored.decision).filter(|_| !new.as_worked_out);
    let decision = with_what_was_decided(case, said, before);
    if new.as_worked_out {
        if facts.decision.is_none() {
            return Err(AppError::refused(
                format!("nothing is decided on {} that could be taken back", report.id()),
                "see its verdict with: fistmele advise",
            ));
        }
    } else {
        let advice = decided(case, &decision)
            .map_err(|_| {
                AppError::refused(
                    "no verdict is possible that could be decided otherwise",
                    "see why with: fistmele advise",
                )
            })?
            .map_err(|limit| beyond(limit, &report.id(), &facts.string.string.serial))?;
        if (new.free.is_some() || new.of.is_some()) && !advice.makes_something() {
            return Err(beyond(Limit::NothingMade, &report.id(), &facts.string.string.serial));
        }
    }
    book.write(|page| {
        let (stored, string) = find_report(page, id)?;
        let number = stored.report.number;
        refuse_settled(page, number)?;
        let too_late = new.turns.is_some() || new.length.is_some() || new.remake == Some(false);
        if let Some(under_way) = page.remakes(number)?.last().filter(|_| too_late) {
            return Err(AppError::refused(
                format!("{} is made again for R-{number} already", under_way.serial),
                "who pays can still be decided: --free or --paid",
            ));
        }
        let fields = [
            ("as-worked-out", new.as_worked_out),
            ("cause", new.of.is_some()),
            ("free", new.free == Some(true)),
            ("paid", new.free == Some(false)),
            ("remake", new.remake == Some(true)),
            ("no-remake", new.remake == Some(false)),
            ("turns", new.turns.is_some()),
            ("length", new.length.is_some()),
        ];
        let fields: Vec<&str> = fields.into_iter().filter(|(_, set)| *set).map(|(name, _)| name).collect();
        let stored = StoredDecision {
            decision: decision.clone(),
            who: author.who.clone(),
            why: why.clone(),
            taken_back: new.as_worked_out,
        };
        page.add_decision(number, &stored)?;
        let happened = Happened {
            what: Step::Decided.as_str(),
            string: Some(string.id),
            report: Some(number),
            fields: &fields.join(" "),
        };
        Ok::<_, AppError>(page.log(author, happened)?)
    })?;
    advise(book, id, author)
}

/// What is said, with what was decided before and is not said anew: who pays is one thing, what is
/// done with the string another. What no longer goes with what is known is not taken over.
fn with_what_was_decided(case: Case<'_>, said: Decision, before: Option<&Decision>) -> Decision {
    let Some(before) = before else { return said };
    let mut all = said.clone();
    if said.of.is_none() && said.free.is_none() {
        (all.of, all.free) = (before.of, before.free);
    }
    if said.length.is_some() {
        // Another length of the string that is to be made again.
        all.remake = said.remake.or(before.remake.filter(|remake| *remake));
    }
    if said.remake.is_none() && said.turns.is_none() && said.length.is_none() {
        let Decision { remake, turns, length, read_since, .. } = *before;
        let taken_over = Decision { remake, turns, length, read_since, ..all.clone() };
        if matches!(decided(case, &taken_over), Ok(Ok(_))) {
            return taken_over;
        }
    }
    all
}

/// The turns, where what is decided goes together.
fn checked(new: &NewDecision) -> Result<Option<i32>, AppError> {
    let refuse = |message: &str, hint: &str| Err(AppError::refused(message, hint));
    let own_way = new.turns.is_some() || new.remake.is_some() || new.length.is_some();
    let says = own_way || new.free.is_some() || new.of.is_some();
    if new.as_worked_out && says {
        return refuse(
            "it cannot be as worked out and decided otherwise",
            "say --as-worked-out alone, or leave it out",
        );
    }
    if !new.as_worked_out && !says {
        return refuse(
            "nothing is decided",
            "say what: --free or --paid, --remake or --no-remake, --turns N, --length M, --cause; or --as-worked-out",
        );
    }
    if new.turns.is_some() && (new.remake == Some(true) || new.length.is_some()) {
        return refuse(
            "a string is turned or made again, not both",
            "leave --turns out, or --remake and --length",
        );
    }
    if new.length.is_some() && new.remake == Some(false) {
        return refuse("a string that is not made again has no new length", "leave --length out");
    }
    let Some(turns) = new.turns else { return Ok(None) };
    let whole = turns.value().round();
    if (turns.value() - whole).abs() > 1e-9 || whole == 0.0 {
        return refuse(
            &format!("{} turns cannot be decided", turns.value()),
            "full turns are needed, such as --turns +6 (in) or --turns -4 (out)",
        );
    }
    Ok(Some(whole as i32))
}

/// What is refused, with the limit and the way out. Lengths in inches.
pub(super) fn beyond(limit: Limit, report: &str, string: &str) -> AppError {
    let (message, hint) = match limit {
        Limit::Refers => (
            format!("{report} is for the bow's maker or a bowyer, and no decision lifts that"),
            format!("if its signs mean no danger, call them off: fistmele advise {report} --call-off 1"),
        ),
        Limit::Stops => (
            format!("{report} must not be shot, so its string is not turned"),
            format!(
                "who pays and a new string can be decided; signs that mean no danger are called off: fistmele advise {report} --call-off 1"
            ),
        ),
        Limit::Unsafe => (
            format!("it is not cleared up yet whether the string of {report} may be strung"),
            format!("first clear up what its verdict asks for: fistmele advise {report}"),
        ),
        Limit::UpsideDown => (
            format!(
                "the string of {report} seems to be on upside down, so its brace height says nothing of turns"
            ),
            "have it turned end for end and measured again first".to_owned(),
        ),
        Limit::NoBrace => (
            format!("no brace height of {report} is known, so nobody can say where turns lead"),
            format!("note one first: fistmele reading add {report} --brace M"),
        ),
        Limit::NoRange => (
            format!("no range is known in which the brace height of {report} has to lie"),
            format!("give the bow maker's: fistmele bow edit {string} --brace-range M..M"),
        ),
        Limit::Window { turns, then, min, max } => (
            format!(
                "{} turns {} would make {:.0}, and this string may hold {min} to {max}",
                turns.abs(),
                if turns > 0 { "in" } else { "out" },
                then
            ),
            "decide on fewer turns, or on a new string with --remake".to_owned(),
        ),
        Limit::Range { brace, low, high, makers } => (
            format!(
                "it would brace at about {brace:.2} in, and {} is {low:.2} to {high:.2} in",
                if makers {
                    "the bow maker's range"
                } else {
                    "the range for it (the bow maker's is not known)"
                }
            ),
            if makers {
                "decide on what leads into that range".to_owned()
            } else {
                format!(
                    "if the bow's maker allows it, note that: fistmele bow edit {string} --brace-range M..M"
                )
            },
        ),
        Limit::Length { length } => (
            format!("no brace height of this bow belongs to a string of {length:.2} in"),
            "the loaded length of the string is needed, not the bow's".to_owned(),
        ),
        Limit::WhatInstead => (
            format!("by {report} the string is made again; what is done instead is not said"),
            "say it with --turns N, or that the archer pays with --paid".to_owned(),
        ),
        Limit::NothingMade => (
            format!("nothing is made for {report}, so neither who pays nor a length is to be decided"),
            "decide with --remake that a new string is made".to_owned(),
        ),
        Limit::NoLength => (
            format!("nobody knows how long {string} was, and nothing says how long a new one has to be"),
            format!("say it with --length, or note the bow's length: fistmele bow edit {string} --marked M"),
        ),
        Limit::ReadSince => (
            format!(
                "{report} was measured since these turns were decided, or a reading behind them was struck"
            ),
            "decide on turns from the newest reading".to_owned(),
        ),
    };
    AppError::refused(message, hint)
}
