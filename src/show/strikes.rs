//! What was struck.

use super::page::{Meaning, TextPage};
use crate::app::strikes::{StrikeView, StruckLine};

/// What a strike, or bringing back, came to: that first, then what else to know.
#[must_use]
pub fn sentences(view: &StrikeView) -> Vec<String> {
    let mut said = vec![match &view.struck {
        Some(mark) => format!("{} is {mark}", view.id),
        None => format!("{} is brought back", view.id),
    }];
    said.extend(view.withdraws_letter_of.map(|day| {
        if view.what == "report" {
            format!(
                "A letter went out on it on {day}. Send the one that takes it back and asks what was done by it: fistmele letter {}",
                view.id
            )
        } else {
            format!(
                "A letter went out on it on {day}: the next letter takes it back and asks what was done by it."
            )
        }
    }));
    said.extend(view.notices.iter().cloned());
    said
}

/// The same as text, with what comes next.
pub fn strike_text(page: &mut TextPage, view: &StrikeView) {
    let mut said = sentences(view).into_iter();
    if let Some(done) = said.next() {
        page.line(Meaning::Answer, done);
    }
    for more in said {
        page.paragraph(Meaning::Caution, more);
    }
    if let Some(standing) = view.standing {
        let verdict = view.verdict.map(|verdict| format!(", last verdict: {verdict}"));
        page.field("stands", Some(format!("{standing}{}", verdict.unwrap_or_default())));
    }
    let show = match view.what {
        "string" => format!("fistmele sold show {}", view.string),
        _ => format!("fistmele report show {}", view.id.split('/').next().unwrap_or(&view.id)),
    };
    let next = match view.struck {
        Some(_) => format!("fistmele unstrike {} brings it back; {show}", view.typed()),
        None => show,
    };
    page.gap().next(format!("Next: {next}"));
}

/// Whatever is struck, with who, when and why.
pub fn struck_list(page: &mut TextPage, lines: &[StruckLine]) {
    let Some(newest) = lines.first() else {
        page.line(Meaning::Aside, "Nothing is struck.");
        return;
    };
    page.table(
        &["struck", "what", "string", "archer", "on", "by", "why"],
        lines.iter().map(|line| {
            vec![
                line.id.clone(),
                line.what.to_owned(),
                line.string.clone(),
                line.archer.clone().unwrap_or_else(|| "-".to_owned()),
                line.struck.on.to_string(),
                line.struck.who.clone(),
                line.struck.why.clone().unwrap_or_else(|| "-".to_owned()),
            ]
        }),
    );
    page.gap().next(format!("Next: fistmele unstrike {} brings it back", newest.typed));
}
