//! What was struck.

use super::page::{Meaning, TextPage};
use crate::app::strikes::StrikeView;

/// What a strike, or bringing back, came to.
pub fn strike_text(page: &mut TextPage, view: &StrikeView) {
    match &view.struck {
        Some(mark) => page.line(Meaning::Answer, format!("{} is {mark}", view.id)),
        None => page.line(Meaning::Answer, format!("{} is brought back", view.id)),
    };
    if let Some(day) = view.withdraws_letter_of {
        page.paragraph(
            Meaning::Caution,
            format!(
                "A letter went out on it on {day}: the next letter takes it back and asks what was done by it."
            ),
        );
    }
    for notice in &view.notices {
        page.paragraph(Meaning::Caution, notice.clone());
    }
    if let Some(standing) = view.standing {
        let verdict = view.verdict.map(|verdict| format!(", last verdict: {verdict}"));
        page.field("stands", Some(format!("{standing}{}", verdict.unwrap_or_default())));
    }
    let report = view.id.split('/').next().unwrap_or(&view.id);
    let next = match (view.struck.is_some(), view.standing.is_some()) {
        (true, _) => format!("fistmele unstrike {} brings it back; fistmele report show {report}", view.id),
        (false, _) => format!("fistmele report show {report}"),
    };
    page.gap().next(format!("Next: {next}"));
}
