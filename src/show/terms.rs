//! Who pays, and what the maker decided, as sentences.

use chrono::NaiveDate;

use super::sentences::Style;
use super::{inches, money, to_build, turns};
use crate::app::advise::AdviceView;
use crate::app::decide::DecisionView;
use crate::trade::advice::Reason;
use crate::trade::decision::{Decided, Limit};
use crate::trade::terms::TermsOf;
use crate::trade::words::Verdict;

/// What a term is about.
const fn covered(of: TermsOf) -> &'static str {
    match of {
        TermsOf::Workshop => "what the workshop did or advised",
        TermsOf::Wear => "what wears, breaks or comes loose in use",
        TermsOf::Handling => "what comes of a shot without an arrow or of turning a string out too far",
        TermsOf::OwnCut => "a string that its archer cut",
    }
}

/// The terms of the workshop, and the day from which they count.
fn by_the_terms(of: TermsOf, months: u32, since: NaiveDate, delivered: bool, whose: &str) -> String {
    if months == 0 {
        return format!("By the workshop's terms {} is not made right free", covered(of));
    }
    format!(
        "By the workshop's terms {} is made right free for {months} {} from delivery; {whose} was {} on {since}",
        covered(of),
        if months == 1 { "month" } else { "months" },
        if delivered { "delivered" } else { "sold" }
    )
}

/// A term that counts for what is made.
#[must_use]
pub fn term_sentence(of: TermsOf, months: u32, since: NaiveDate, delivered: bool, over: bool) -> String {
    let so = if over { "the archer pays, unless you decide otherwise" } else { "it is free" };
    format!("{}: {so}.", by_the_terms(of, months, since, delivered, "this string"))
}

/// What the maker decided, and what was worked out.
#[must_use]
pub fn decided_sentence(
    decided: Decided,
    verdict: Verdict,
    worked_turns: Option<i32>,
    worked_length: Option<f64>,
    style: &Style,
) -> String {
    let turned = worked_turns.map(|count| format!(", {}", turned(count))).unwrap_or_default();
    let built = worked_length
        .map(|length| format!(", {} loaded", to_build(length, style.rounding, style.unit)))
        .unwrap_or_default();
    format!(
        "The maker decided it: {}. Worked out was {}{turned}{built}.",
        decided_words(decided, style),
        verdict.as_str().to_uppercase()
    )
}

fn turned(count: i32) -> String {
    format!("{} {}", turns(f64::from(count.abs())), if count >= 0 { "in" } else { "out" })
}

fn decided_words(decided: Decided, style: &Style) -> String {
    let words = [
        decided.turns.map(turned),
        decided.remake.map(|remake| if remake { "made again" } else { "not made again" }.to_owned()),
        decided.length.map(|length| format!("{} loaded", inches(length, style.unit))),
        decided.free.map(|free| if free { "free" } else { "the archer pays" }.to_owned()),
    ];
    let words: Vec<String> = words.into_iter().flatten().collect();
    if words.is_empty() { "what counts under the terms".to_owned() } else { words.join(", ") }
}

/// Why what was decided does not hold any more.
#[must_use]
pub const fn lapsed_sentence(limit: Limit) -> &'static str {
    match limit {
        Limit::ReadSince => {
            "The turns that the maker decided held for what had been read by then; that has changed, so it is as worked out."
        }
        Limit::Refers | Limit::Stops | Limit::Unsafe => {
            "What the maker decided does not hold while string or bow may not be safe: it is as worked out."
        }
        Limit::Window { .. } | Limit::Range { .. } | Limit::Length { .. } => {
            "What the maker decided would by now lead outside what is allowed: it is as worked out."
        }
        Limit::UpsideDown
        | Limit::NoBrace
        | Limit::NoRange
        | Limit::WhatInstead
        | Limit::NothingMade
        | Limit::NoLength => {
            "What the maker decided does not go with what is known by now: it is as worked out."
        }
    }
}

/// A decision with who made it, when and why.
#[must_use]
pub fn decision_line(view: &DecisionView, style: &Style) -> String {
    let what = if view.as_worked_out {
        "as worked out again".to_owned()
    } else {
        let decided =
            Decided { free: view.free, remake: view.remake, turns: view.turns, length: view.length_inch };
        let under = view.cause.map(|cause| format!(", under the terms it is {cause}")).unwrap_or_default();
        format!("{}{under}", decided_words(decided, style))
    };
    let why = if view.why.is_empty() { String::new() } else { format!("; why: {}", view.why) };
    format!("{} by {}: {what}{why}", view.decided_on, view.who)
}

/// Who pays for what is made; nothing where nothing is.
#[must_use]
pub fn who_pays(view: &AdviceView, style: &Style) -> Option<String> {
    view.free.map(|free| match view.price_cents {
        _ if free => "nobody: it is free for the archer".to_owned(),
        Some(price) => format!("the archer: {}", money(price, &style.currency)),
        None => "the archer".to_owned(),
    })
}

/// What the archer is told about who pays, where the terms or the maker's decision have a say in it.
#[must_use]
pub fn told_terms(view: &AdviceView, style: &Style) -> Option<String> {
    let over = view.reasons.iter().find_map(|reason| match *reason {
        Reason::Term { of, months, since, delivered, over: true } => {
            Some(format!("{}.", by_the_terms(of, months, since, delivered, "yours")))
        }
        _ => None,
    });
    if view.free? {
        return over.map(|over| format!("{over} We make an exception for you."));
    }
    let cost = match view.price_cents {
        Some(price) => format!("A new one costs {}.", money(price, &style.currency)),
        None if view.verdict == Verdict::Mend => "We will write to you what it costs.".to_owned(),
        None => "We will write to you what a new one costs.".to_owned(),
    };
    Some(over.into_iter().chain([cost]).collect::<Vec<_>>().join(" "))
}
