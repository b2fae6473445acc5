//! The bench sums as text and JSON.

use serde::Serialize;
use serde_json::{Value, json};

use super::page::{Meaning, TextPage};
use super::sentences::{caution_sentence, note_sentence};
use super::then::{BEFORE_A_FURTHER_GO, in_words};
use super::{finely, inches, nine_in_ten, percent, signed_inches, small, to_build, turns};
use crate::app::sums::{LengthView, Note, Outcome, TwistView};
use crate::quantity::Unit;
use crate::trade::advice::Caution;

/// A view as data, with its cautions as sentences.
#[must_use]
pub fn with_cautions(view: &impl Serialize, cautions: &[Caution]) -> Value {
    let mut data = json!(view);
    data["cautions"] = cautions.iter().map(|caution| caution_sentence(*caution)).collect();
    data
}

/// Notes as warning sentences.
#[must_use]
pub fn warnings(notes: &[Note], unit: Unit) -> Vec<String> {
    notes.iter().map(|note| note_sentence(*note, unit)).collect()
}

/// The sum of turns for people.
pub fn twist_text(page: &mut TextPage, view: &TwistView, unit: Unit) {
    let len = |value: f64| inches(value, unit);
    let (low, high) = (len(view.want_low_inch), len(view.want_high_inch));
    match view.outcome {
        Outcome::InRange => page.paragraph(
            Meaning::Answer,
            format!("{} lies in the range {low} to {high}: nothing is needed.", len(view.brace_now_inch)),
        ),
        Outcome::Adjust => {
            let put = view.turns.unwrap_or_default();
            let after = view.brace_after_inch.zip(view.brace_after_sd_inch);
            page.paragraph(
                Meaning::Answer,
                format!(
                    "{} {} bring it from {} to about {}. The chance to lie in {low} to {high} is {}.",
                    turns(f64::from(put.abs())),
                    if put >= 0 { "in" } else { "out" },
                    len(view.brace_now_inch),
                    after.map_or_else(|| "?".to_owned(), |(brace, sd)| nine_in_ten(brace, sd, unit)),
                    percent(view.chance_in_range)
                ),
            )
        }
        Outcome::OutOfReach => page.paragraph(
            Meaning::Answer,
            format!(
                "Turning cannot bring it from {} to {low} to {high}; the limit of the window reaches {}.{}",
                len(view.brace_now_inch),
                view.brace_after_inch.map_or_else(|| "nothing".to_owned(), len),
                view.length_inch
                    .map(|length| format!(" A string of {} loaded would do.", to_build(length, 0.125, unit)))
                    .unwrap_or_default()
            ),
        ),
    };
    page.gap();
    page.field("needed", view.turns_exact.map(|exact| format!("{exact:+.1} turns")));
    page.field(
        "string",
        view.string_change_inch.filter(|change| change.abs() > 0.0).map(|change| {
            format!("{} {}", small(change, unit), if change >= 0.0 { "shorter" } else { "longer" })
        }),
    );
    page.field(
        "turns now",
        Some(format!("{} (window {} to {})", round(view.turns_now), view.turns_min, view.turns_max)),
    );
    page.field("reach", Some(format!("{} to {}", len(view.reach_low_inch), len(view.reach_high_inch))));
    page.field(
        "next turn",
        view.per_turn_inch.map(|step| {
            format!(
                "{}{} of brace height, and each one after a little more",
                if step >= 0.0 { "+" } else { "" },
                very_finely(step, unit)
            )
        }),
    );
    page.field(
        "effect",
        view.ratio.zip(view.ratio_sd).map(|(ratio, sd)| {
            format!(
                "turns do {ratio:.2} ± {sd:.2} times what the tables say on this bow, by the second reading"
            )
        }),
    );
    if !view.then.is_empty() {
        let first = view.first_step_turns.zip(view.first_step_brace_inch);
        let (heading, rows) = match first {
            Some((first, brace)) => {
                let count = turns(f64::from(first.abs()));
                let heading = format!("In two goes: first {count} (about {}), then", len(brace));
                (heading, &view.first_step_then)
            }
            None => ("Once they are made, read again".to_owned(), &view.then),
        };
        page.heading(heading);
        page.paragraph(Meaning::Caution, BEFORE_A_FURTHER_GO);
        page.paragraph(
            Meaning::Caution,
            "Whatever a row says, turn no further on a reading outside what the bow's maker gives, unless it still lies on the way from where it stood.",
        );
        for line in in_words(rows, unit) {
            page.line(Meaning::Plain, line);
        }
    }
    if !view.table.is_empty() {
        page.heading("Turn by turn");
        let rows = view.table.iter().map(|row| {
            vec![
                format!("{:+}", row.turns),
                round(row.turns_in),
                signed_inches(row.string_change_inch, unit),
                len(row.brace_after_inch),
                very_finely(row.per_turn_inch, unit),
            ]
        });
        page.table(&["turns", "then in", "string shorter", "brace height", "by this turn"], rows);
    }
    cautions(page, &view.cautions);
}

/// The sum of length for people.
pub fn length_text(page: &mut TextPage, view: &LengthView, unit: Unit, rounding: f64) {
    page.paragraph(
        Meaning::Answer,
        format!(
            "Build it {} loaded (worked out: {} ± {}).",
            to_build(view.length_rounded_inch, rounding, unit),
            finely(view.length_inch, unit),
            finely(view.length_sd_inch, unit)
        ),
    );
    page.gap();
    page.field(
        "change",
        Some(format!(
            "{} {} than the string on the bow",
            small(view.string_change_inch, unit),
            if view.string_change_inch >= 0.0 { "shorter" } else { "longer" }
        )),
    );
    page.field(
        "effect",
        Some(format!("the brace height moves {:.2} times as much as the string", view.brace_per_inch)),
    );
    cautions(page, &view.cautions);
}

/// Cautions as a list.
pub fn cautions(page: &mut TextPage, cautions: &[Caution]) {
    if !cautions.is_empty() {
        page.heading("Cautions");
        for caution in cautions {
            page.point(Meaning::Caution, caution_sentence(*caution));
        }
    }
}

/// What one turn does: a hundredth of it is still seen.
fn very_finely(value: f64, unit: Unit) -> String {
    match unit {
        Unit::Inch => format!("{value:.3} in"),
        Unit::Cm => format!("{:.2} cm", value * 2.54),
        Unit::Mm => format!("{:.1} mm", value * 25.4),
    }
}

fn round(turns: f64) -> String {
    format!("{}", (turns * 10.0).round() / 10.0)
}
