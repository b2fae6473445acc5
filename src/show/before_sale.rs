//! What is said before a sale, and to archers who never wrote.

use serde_json::{Value, json};

use super::month_sentences::{by_route, of_kind};
use super::page::{Meaning, TextPage};
use super::sentences::Style;
use super::strength::strength_line;
use super::{inches, percent, signed_inches, to_build};
use crate::app::quiet::{QuestionView, QuietView};
use crate::app::size::{SizeQuestion, SizeView, SizeWarning};
use crate::trade::month::QuietAnswer;

/// A question in words.
#[must_use]
pub const fn question_sentence(question: SizeQuestion) -> &'static str {
    match question {
        SizeQuestion::BowKind => "Ask what kind of bow it is: offset and doubt hang on it.",
        SizeQuestion::OldString => {
            "Ask for an old string that fits: its length from outside of loop to outside of loop, of what yarn it is, and at what brace height it stands."
        }
        SizeQuestion::HowMeasured => {
            "Ask how the old string was measured: under a load or pulled tight by hand, and from outside to outside of the loops."
        }
        SizeQuestion::BowMaker => "Ask what string length the bow's maker states for this bow.",
        SizeQuestion::NockToNock => "Ask for the bow measured along the belly from nock to nock, unbraced.",
    }
}

/// A warning in words.
#[must_use]
pub const fn warning_sentence(warning: SizeWarning) -> &'static str {
    match warning {
        SizeWarning::Polyester => {
            "Plain tips, wood alone or an old bow: polyester only, unless the bow's maker allows low-stretch yarn."
        }
        SizeWarning::TipsUnknown => {
            "Tips, stave and year of the bow are not known: before low-stretch yarn is sold, ask whether the tips are reinforced."
        }
        SizeWarning::LengthsDisagree => {
            "The marked length and the length from nock to nock do not go together: have the bow measured again before anything is cut."
        }
        SizeWarning::NeverFromAMark => {
            "A bow with stiff ears is never sized from a mark or from its nocks: no length is given without the old string."
        }
        SizeWarning::FewStrings => {
            "Fewer than 10 strings of this route and kind of bow are on record: the chance is mostly a belief."
        }
    }
}

/// The data of `size/1`.
#[must_use]
pub fn size_json(view: &SizeView) -> Value {
    let mut data = json!(view);
    data["question_text"] = json!(view.question.map(question_sentence));
    data["cautions"] =
        json!(view.cautions.iter().map(|caution| warning_sentence(*caution)).collect::<Vec<_>>());
    data
}

/// The answer before a sale for people.
pub fn size_text(page: &mut TextPage, view: &SizeView, style: &Style) {
    let len = |value: f64| inches(value, style.unit);
    match view.length_inch {
        Some(length) => page.paragraph(
            Meaning::Answer,
            format!("Build it {} loaded.", to_build(length, style.rounding, style.unit)),
        ),
        None => page.paragraph(Meaning::Caution, "No length to build without the old string."),
    };
    page.gap();
    page.field(
        "by the offset",
        view.ordered_length_inch.map(|ordered| {
            let loaded = if (view.stated_loaded_inch - view.stated_inch).abs() > 1e-9 {
                format!(" pulled tight by hand, {} loaded,", len(view.stated_loaded_inch))
            } else {
                String::new()
            };
            format!("{} = {}{loaded} less {}", len(ordered), len(view.stated_inch), len(view.offset_inch))
        }),
    );
    page.field(
        "learned",
        Some(if view.correction_inch.abs() > 1e-9 {
            format!("{} added to that", signed_inches(view.correction_inch, style.unit))
        } else {
            "no correction is advised".to_owned()
        }),
    );
    page.field(
        "so far",
        Some(format!(
            "{} strings {} came out {} ({} to {}; + is too short), from {}, with {} about fit",
            of_kind(view.bow_kind),
            by_route(view.route),
            signed_inches(view.length_error_inch, style.unit),
            signed_inches(view.length_error_low, style.unit),
            signed_inches(view.length_error_high, style.unit),
            count(view.strings, "string"),
            count(view.reports, "complaint")
        )),
    );
    page.field(
        "complaint",
        Some(format!(
            "{} chance of a complaint about fit{}",
            percent(view.complaint_chance),
            if view.correction_inch.abs() > 1e-9 {
                format!(" ({} without the correction)", percent(view.complaint_chance_uncorrected))
            } else {
                String::new()
            }
        )),
    );
    page.field("strength", Some(strength_line(&view.strength)));
    if let Some(question) = view.question {
        page.heading("Before you cut");
        page.paragraph(
            Meaning::Plain,
            format!(
                "{}{}",
                question_sentence(question),
                view.complaint_chance_after_question
                    .map(|chance| format!(
                        " That brings the chance of a complaint to about {}.",
                        percent(chance)
                    ))
                    .unwrap_or_default()
            ),
        );
    }
    if !view.cautions.is_empty() {
        page.heading("Cautions");
        for caution in &view.cautions {
            page.point(Meaning::Caution, warning_sentence(*caution));
        }
    }
}

fn count(n: u32, what: &str) -> String {
    if n == 1 { format!("1 {what}") } else { format!("{n} {what}s") }
}

/// What was answered, in words.
#[must_use]
pub fn answer_words(question: &QuestionView, style: &Style) -> String {
    let off = question.length_error_inch.unwrap_or_default();
    let meaning = if off.abs() < 1e-9 {
        "fits".to_owned()
    } else {
        format!("{} too {}", inches(off.abs(), style.unit), if off > 0.0 { "short" } else { "long" })
    };
    match question.answer {
        None => "no answer yet".to_owned(),
        Some(QuietAnswer::Fits) => "fits".to_owned(),
        Some(QuietAnswer::Turned) => {
            format!("turned {:+}: {meaning}", question.turns.unwrap_or_default())
        }
        Some(QuietAnswer::Brace) => format!(
            "brace {}: {meaning}",
            question.brace_inch.map_or_else(String::new, |brace| inches(brace, style.unit))
        ),
    }
}

/// The questions of a month for people.
pub fn quiet_text(page: &mut TextPage, view: &QuietView, style: &Style) {
    page.heading(format!("Quiet archers to ask in {}", view.month));
    if view.questions.is_empty() {
        page.paragraph(
            Meaning::Aside,
            if view.running {
                "Nobody to ask: no string is old enough, quiet and not asked about yet."
            } else {
                "Nobody was asked in that month."
            },
        );
        return;
    }
    let rows = view.questions.iter().map(|question| {
        vec![
            question.string.clone(),
            question.archer.clone().unwrap_or_else(|| "unknown".to_owned()),
            question.letter_on.map_or_else(|| "not written yet".to_owned(), |day| day.to_string()),
            answer_words(question, style),
        ]
    });
    page.table(&["string", "archer", "letter", "answer"], rows);
    if let Some(next) = view.questions.iter().find(|question| question.answer.is_none()) {
        let serial = &next.string;
        page.gap();
        if next.letter_on.is_none() {
            page.line(Meaning::Plain, format!("The letter:  fistmele quiet letter {serial}"));
        }
        page.line(
            Meaning::Plain,
            format!("The answer:  fistmele quiet answer {serial} --fits | --turned +4 | --brace 7-3/4"),
        );
    }
}
