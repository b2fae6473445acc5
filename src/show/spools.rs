//! Lots of yarn as text.

use super::names::yarn_name;
use super::page::{Meaning, TextPage};
use super::percent;
use crate::app::spools::{RateView, SpoolView, TraceView};

/// The list of lots.
pub fn list(page: &mut TextPage, views: &[SpoolView]) {
    page.table(
        &["spool", "yarn", "colour", "bought", "strings", "reported"],
        views.iter().map(|view| {
            vec![
                view.spool.clone(),
                yarn_name(view.yarn).to_owned(),
                view.colour.clone().unwrap_or_else(|| "-".to_owned()),
                view.bought_on.map_or_else(|| "-".to_owned(), |day| day.to_string()),
                view.strings.to_string(),
                view.reported.to_string(),
            ]
        }),
    );
}

fn rate(view: &RateView) -> String {
    match (view.rate, view.rate_low.zip(view.rate_high)) {
        (Some(rate), Some((low, high))) => format!(
            "{} reports on {:.0} strings that had time to complain: {} (between {} and {})",
            view.reports,
            view.effective_strings,
            percent(rate),
            percent(low),
            percent(high)
        ),
        _ => format!("{} reports", view.reports),
    }
}

/// A lot against the rest.
pub fn trace(page: &mut TextPage, view: &TraceView) {
    let judged = match view.label {
        "clearly-worse" => "fares clearly worse than the rest of its yarn",
        "worse" => "fares worse than the rest of its yarn",
        "better" | "clearly-better" => "fares better than the rest of its yarn",
        _ => "cannot be told from the rest of its yarn",
    };
    let sure = view
        .chance_worse
        .map(|chance| format!(" ({} sure that it is at least a quarter worse)", percent(chance)));
    page.paragraph(Meaning::Answer, format!("{} {judged}{}.", view.spool, sure.unwrap_or_default())).gap();
    page.field("this lot", Some(rate(&view.lot)));
    page.field("the rest", Some(rate(&view.rest)));
    if view.strings.is_empty() {
        page.gap().line(Meaning::Aside, "No string carries it.");
        return;
    }
    page.heading("Strings that carry it").table(
        &["string", "sold", "archer", "e-mail", "reported"],
        view.strings.iter().map(|line| {
            vec![
                line.string.clone(),
                line.sold_on.to_string(),
                line.archer.clone().unwrap_or_else(|| "-".to_owned()),
                line.email.clone().unwrap_or_else(|| "-".to_owned()),
                line.symptoms.iter().map(|symptom| symptom.as_str()).collect::<Vec<_>>().join(" "),
            ]
        }),
    );
}

/// Whom to warn, as lines of fields; the first names the columns.
#[must_use]
pub fn warn_rows(view: &TraceView) -> Vec<Vec<String>> {
    let mut rows = vec![["string", "sold_on", "archer", "email", "reported"].map(str::to_owned).to_vec()];
    rows.extend(view.strings.iter().map(|line| {
        vec![
            line.string.clone(),
            line.sold_on.to_string(),
            line.archer.clone().unwrap_or_default(),
            line.email.clone().unwrap_or_default(),
            line.symptoms.iter().map(|symptom| symptom.as_str()).collect::<Vec<_>>().join(" "),
        ]
    }));
    rows
}
