//! Replacements, ends and what is due, as text.

use super::names::{cause_name, standing_name, yarn_name};
use super::page::{Meaning, TextPage};
use super::sentences::Style;
use super::strength::strength_line;
use super::{inches, money, signed_inches, to_build, turns};
use crate::app::cases::{DueLine, DueView, RemakeView};
use crate::app::settle::SettledView;
use crate::trade::cause::Evidence;
use crate::trade::strength::{Sum, pounds};
use crate::trade::words::{Cause, Outcome};

/// A replacement with what the bench needs to know.
pub fn remake(page: &mut TextPage, view: &RemakeView, style: &Style) {
    let state = match (view.sent_on, view.back_on) {
        (_, Some(day)) => format!("{} came back on {day}.", view.replaces),
        (Some(day), None) => format!("{} was posted on {day}.", view.string),
        (None, None) => format!("{} is on the bench, in place of {}.", view.string, view.replaces),
    };
    page.paragraph(Meaning::Answer, state).gap();
    page.field("length", Some(format!("{} loaded", to_build(view.length_inch, style.rounding, style.unit))));
    page.field(
        "worked out",
        view.worked_out_length_inch.map(|length| {
            format!("{}, but another length was given", to_build(length, style.rounding, style.unit))
        }),
    );
    page.field("turns", view.turns.map(|count| format!("{count}")));
    let strands =
        view.strands.map_or_else(|| "as the first".to_owned(), |strands| format!("{strands} strands"));
    page.field("made of", Some(format!("{}, {strands}, {} plies", yarn_name(view.yarn), view.plies)));
    page.field("strength", Some(strength_line(&view.strength)));
    page.field("report", Some(format!("{}, {}", view.report, standing_name(view.standing))));
    let next = match (view.sent_on, view.back_on) {
        (None, _) => {
            format!("fistmele letter {0}   and when it is posted: fistmele remake sent {0}", view.report)
        }
        (Some(_), None) => {
            format!("fistmele letter {0}   and when it fits: fistmele settle {0}", view.report)
        }
        (Some(_), Some(_)) => format!("fistmele settle {}", view.report),
    };
    page.gap().next(format!("Next: {next}"));
}

/// Why a cause is proposed, as a sentence.
#[must_use]
pub fn evidence_sentence(evidence: Evidence, style: &Style) -> String {
    let len = |value: f64| inches(value, style.unit);
    match evidence {
        Evidence::BuiltOff { built, ordered } => {
            format!("It was built {} where {} was ordered.", len(built), len(ordered))
        }
        Evidence::RightLengthOff { right, ordered } => format!(
            "The right length is {} where {} was ordered: it came {} too {}.",
            len(right),
            len(ordered),
            len((right - ordered).abs()),
            if right > ordered { "short" } else { "long" }
        ),
        Evidence::RightLengthAlone { right } => {
            format!("The right length is {}; nobody knows what was ordered.", len(right))
        }
        Evidence::RightLengthAsOrdered { right } => {
            format!("The right length, {}, is what was ordered.", len(right))
        }
        Evidence::DryFired => "It was shot without an arrow.".to_owned(),
        Evidence::UpsideDown => "It was on upside down.".to_owned(),
        Evidence::TurnedByAccident { counted, built } => {
            format!(
                "It was counted to have held {} where it left with {}.",
                turns(counted.round()),
                turns(built)
            )
        }
        Evidence::Grew => "It read low by what new strings grow.".to_owned(),
        Evidence::Looks => "It was a matter of looks.".to_owned(),
        Evidence::Yarn => "The yarn does not suit the bow.".to_owned(),
        Evidence::TheBow => "It was the bow.".to_owned(),
        Evidence::Serving => "It was the serving or a loop.".to_owned(),
        Evidence::Nothing => "Nothing on record shows what it was.".to_owned(),
    }
}

/// How a report ended, and whether anybody has confirmed it.
fn ended(view: &SettledView, style: &Style) -> String {
    let confirmed = view.read_right_inch.is_some();
    let what = match view.outcome {
        Outcome::Reassured => "it looked right",
        Outcome::Adjusted if confirmed => "put right on the bow",
        Outcome::Adjusted => "it was to be put right on the bow",
        Outcome::Mended => "mended",
        Outcome::Remade => "made again",
        Outcome::Referred => "left to the bow's maker or a bowyer",
        Outcome::Unfinished => "left unfinished",
    };
    let word = match (view.outcome, view.read_right_inch) {
        (Outcome::Referred | Outcome::Unfinished, _) => String::new(),
        (_, Some(brace)) => format!(", and the archer reads {}", inches(brace, style.unit)),
        (_, None) if view.heard => "; the archer wrote back, without a brace height in the range".to_owned(),
        (_, None) => "; the archer has not confirmed".to_owned(),
    };
    let cause = match view.cause {
        Cause::Unknown => "What it was is not known.".to_owned(),
        cause => format!("Cause: {}.", cause_name(cause)),
    };
    format!("{} is closed: {what}{word}. {cause}", view.report)
}

/// How a report ended, in a sentence or two.
#[must_use]
pub fn settled_sentence(view: &SettledView, style: &Style) -> String {
    format!("{} {}", ended(view, style), evidence_sentence(view.evidence, style))
}

/// A settled report.
pub fn settled(page: &mut TextPage, view: &SettledView, style: &Style) {
    page.paragraph(Meaning::Answer, ended(view, style)).gap();
    page.point(Meaning::Plain, evidence_sentence(view.evidence, style));
    if view.cause != view.proposed_cause {
        page.point(
            Meaning::Plain,
            format!("The evidence proposes \"{}\"; it was overruled.", cause_name(view.proposed_cause)),
        );
    }
    page.gap();
    page.field(
        "right length",
        view.right_length_inch.map(|right| format!("{} loaded", inches(right, style.unit))),
    );
    page.field(
        "length error",
        view.length_error_inch
            .map(|error| format!("{} (+ came too short, - too long)", signed_inches(error, style.unit))),
    );
    page.field("cost", Some(money(view.cost_cents, &style.currency)));
    page.gap().next(format!("If that is wrong: fistmele resume {0}, and settle it anew", view.report));
}

fn due_table(page: &mut TextPage, lines: &[DueLine]) {
    page.table(
        &["report", "string", "archer", "says", "stands", "days", "next"],
        lines.iter().map(|line| {
            vec![
                line.report.clone(),
                line.string.clone(),
                line.archer.clone().unwrap_or_else(|| "-".to_owned()),
                line.symptoms.iter().map(|symptom| symptom.as_str()).collect::<Vec<_>>().join(" "),
                line.standing.to_string(),
                line.days.to_string(),
                line.next.clone(),
            ]
        }),
    );
}

/// Holds so much, has to hold so much.
fn strength_short(sum: &Sum) -> String {
    format!("{} of {}", pounds(sum.holds()), pounds(sum.floor()))
}

/// What waits.
pub fn due(page: &mut TextPage, view: &DueView) {
    let count =
        |n: usize, one: &str, many: &str| if n == 1 { format!("1 {one}") } else { format!("{n} {many}") };
    page.paragraph(
        Meaning::Answer,
        format!(
            "{}: {} on the workshop, {} without an answer, {} in time.",
            view.today,
            count(view.to_take_back.len() + view.workshop.len(), "waits", "wait"),
            count(view.silent_archers.len(), "archer", "archers"),
            view.in_time
        ),
    );
    if !view.below_floor.is_empty() {
        page.heading("Do not shoot: below the floor of strength").table(
            &["string", "archer", "strength", "days", "warned", "next"],
            view.below_floor.iter().map(|line| {
                vec![
                    line.string.clone(),
                    line.archer.clone().unwrap_or_else(|| "-".to_owned()),
                    line.strength.sum.as_ref().map(strength_short).unwrap_or_default(),
                    line.days.to_string(),
                    line.warned_on.map_or_else(|| "not yet".to_owned(), |day| day.to_string()),
                    line.next.clone(),
                ]
            }),
        );
    }
    if !view.to_take_back.is_empty() {
        page.heading("Letters to take back: what they rest on is struck").table(
            &["report", "string", "archer", "letter of", "days", "next"],
            view.to_take_back.iter().map(|line| {
                vec![
                    line.report.clone(),
                    line.string.clone(),
                    line.archer.clone().unwrap_or_else(|| "-".to_owned()),
                    line.letter_of.to_string(),
                    line.days.to_string(),
                    line.next.clone(),
                ]
            }),
        );
    }
    if !view.workshop.is_empty() {
        due_table(page.heading("The workshop's turn"), &view.workshop);
    }
    if !view.silent_archers.is_empty() {
        due_table(page.heading("No answer yet"), &view.silent_archers);
    }
}
