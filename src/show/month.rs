//! The month sheet as text, JSON and CSV.

use serde_json::{Value, json};

use super::month_sentences::{
    CAUTION_OF_THE_MEAN, change_in_words, commands, error_in_words, in_hundred, left_out, one_decimal,
    range_in_words, remarks, row_name, sentences,
};
use super::page::{Meaning, TextPage};
use super::sentences::Style;
use super::{inches, money};
use crate::month::view::{MonthRowView, MonthView};
use crate::quantity::Unit;
use crate::trade::month::OtherKind;

/// Most lots of yarn in the text; the JSON has all.
const MOST_SPOOLS: usize = 8;

/// The data of `month/1`.
#[must_use]
pub fn json(view: &MonthView, style: &Style) -> Value {
    let mut data = json!(view);
    data["sentences"] = json!(sentences(view, style));
    data["commands"] = json!(commands(view));
    data["remarks"] = json!(remarks(view, style));
    data
}

/// Rate and interval, `14 (9 to 20)`.
#[must_use]
pub fn rate(point: Option<f64>, low: Option<f64>, high: Option<f64>) -> String {
    match (point, low, high) {
        (Some(point), Some(low), Some(high)) => {
            format!("{} ({} to {})", in_hundred(point), in_hundred(low), in_hundred(high))
        }
        _ => "too few".to_owned(),
    }
}

fn optional(value: Option<f64>, show: impl FnOnce(f64) -> String) -> String {
    value.map_or_else(|| "-".to_owned(), show)
}

/// Cost per string with its interval.
#[must_use]
pub fn cost(row: &MonthRowView) -> String {
    match (row.cost_cents, row.cost_low_cents, row.cost_high_cents) {
        (Some(cost), Some(low), Some(high)) => {
            format!("{} ({} to {})", money(cost, ""), money(low, ""), money(high, ""))
        }
        _ => "-".to_owned(),
    }
}

/// Reports of a month beside how many were to be expected; against nothing there is no comparison.
fn this_month(reports: u32, expected: Option<f64>) -> String {
    match expected.map(one_decimal) {
        None => reports.to_string(),
        Some(nothing) if nothing == "0" && reports == 0 => reports.to_string(),
        Some(nothing) if nothing == "0" => format!("{reports}; too young to compare"),
        Some(expected) => format!("{reports}, {expected} expected"),
    }
}

/// Rows of the table of routes, the shop last.
#[must_use]
pub fn route_rows(view: &MonthView) -> Vec<Vec<String>> {
    view.whole_routes()
        .chain(std::iter::once(&view.shop))
        .map(|row| {
            vec![
                format!("{}{}", row_name(row), if row.early { " (early)" } else { "" }),
                row.strings.to_string(),
                row.reports.to_string(),
                row.misfits.to_string(),
                rate(row.rate, row.rate_low, row.rate_high),
                if row.route.is_none() || row.rate.is_none() { "-".to_owned() } else { row.label.to_owned() },
                this_month(row.this_month_reports, row.this_month_expected),
                optional(row.still_to_come, one_decimal),
            ]
        })
        .collect()
}

/// Heads of [`route_rows`].
pub const ROUTE_HEAD: [&str; 8] =
    ["route", "strings", "reports", "misfits", "reports in 100", "against the rest", "this month", "to come"];

/// Rows of the table of costs, the shop last.
#[must_use]
pub fn cost_rows(view: &MonthView) -> Vec<Vec<String>> {
    view.whole_routes()
        .chain(std::iter::once(&view.shop))
        .map(|row| vec![row_name(row), cost(row), money(row.cost_total_cents, "")])
        .collect()
}

/// Heads of [`cost_rows`].
pub const COST_HEAD: [&str; 3] = ["route", "a string (95 % range)", "in all"];

/// Whether a route and kind of bow has something to show.
#[must_use]
pub fn matters(row: &MonthRowView) -> bool {
    row.length_error_inch.is_some() || row.reports > 0 || row.offset_changed_on.is_some()
}

/// Rows of the table of routes and kinds of bow.
#[must_use]
pub fn unit_rows(view: &MonthView, unit: Unit) -> Vec<Vec<String>> {
    view.units().filter(|row| matters(row)).map(|row| unit_row(row, unit)).collect()
}

/// One of [`unit_rows`].
#[must_use]
pub fn unit_row(row: &MonthRowView, unit: Unit) -> Vec<String> {
    vec![
        row_name(row),
        row.strings.to_string(),
        format!("{} / {}", row.short, row.long),
        optional(row.offset_inch, |offset| inches(offset, unit)),
        came_out(row, unit),
        between(row, unit),
        match row.advised_change_inch {
            Some(change) => change_in_words(change, unit),
            None => "as before".to_owned(),
        },
        optional(row.offset_advised_inch, |offset| inches(offset, unit)),
    ]
}

/// How the strings came out; what nothing was learned of yet stays as it was believed.
fn came_out(row: &MonthRowView, unit: Unit) -> String {
    if row.length_error_inch.is_some() && !row.learned {
        return "nothing learned yet".to_owned();
    }
    optional(row.length_error_inch, |error| error_in_words(error, unit))
}

fn between(row: &MonthRowView, unit: Unit) -> String {
    let range = match (row.length_error_low, row.length_error_high) {
        (Some(low), Some(high)) => range_in_words(low, high, unit),
        _ => return "-".to_owned(),
    };
    if row.learned { range } else { format!("believed {range}") }
}

/// Heads of [`unit_rows`].
pub const UNIT_HEAD: [&str; 8] = [
    "route, bow",
    "strings",
    "short / long",
    "offset",
    "came out",
    "range (95 in 100)",
    "cut them",
    "offset then",
];

/// The sheet for people.
pub fn text(page: &mut TextPage, view: &MonthView, style: &Style) {
    page.heading(format!("Month {} ({} to {})", view.month, view.from, view.to));
    let commands = commands(view);
    for (place, sentence) in sentences(view, style).iter().enumerate() {
        page.paragraph(Meaning::Answer, format!("{}. {sentence}", place + 1));
        if let Some(command) = commands.get(place) {
            page.line(Meaning::Plain, format!("   $ {command}"));
        }
    }
    if view.shop.strings == 0 {
        if let Some(left) = left_out(view, style) {
            page.point(Meaning::Aside, left);
        }
        return;
    }
    page.heading("By route");
    page.table(&ROUTE_HEAD, route_rows(view));
    page.paragraph(
        Meaning::Aside,
        "Reports: strings with a complaint about fit; in 100 strings, with those still to come. Misfits: of these adjusted by turns or remade, for sizing or for no known cause. What is expected of a route this month follows from its own year, that of the shop from the shop's: they need not add up. Ranges in brackets hold the true figure 95 times in 100.",
    );
    let units = unit_rows(view, style.unit);
    if !units.is_empty() {
        page.heading("Length by route and bow");
        page.table(&UNIT_HEAD, units);
        let listed: u32 = view.units().filter(|row| matters(row)).map(|row| row.strings).sum();
        if let Some(more) = view.shop.strings.checked_sub(listed).filter(|more| *more > 0) {
            page.paragraph(
                Meaning::Aside,
                format!(
                    "Not listed: {more} strings of bows without a report, too few to say how they came out."
                ),
            );
        }
        let means: Vec<String> = view
            .units()
            .filter(|row| row.short + row.long >= 4)
            .filter_map(|row| {
                row.complaints_mean_inch
                    .map(|mean| format!("{} {}", row_name(row), error_in_words(mean, style.unit)))
            })
            .collect();
        if !means.is_empty() {
            page.paragraph(
                Meaning::Aside,
                format!("The settled complaints alone average: {}. {CAUTION_OF_THE_MEAN}", means.join("; ")),
            );
        }
    }
    small_tables(page, view, style);
    page.heading("Behind the figures");
    for remark in remarks(view, style) {
        page.point(Meaning::Aside, remark);
    }
}

fn small_tables(page: &mut TextPage, view: &MonthView, style: &Style) {
    let currency = &style.currency;
    if view.shop.reports > 0 {
        page.heading("Reports by cause");
        page.table(&CAUSE_HEAD, cause_rows(view, currency));
    }
    if !view.others.is_empty() {
        page.heading("Complaints that are no reports");
        page.table(&OTHER_HEAD, other_rows(view, currency));
    }
    page.heading(format!("After-sale cost, {}", style.currency));
    page.table(&COST_HEAD, cost_rows(view));
    page.paragraph(Meaning::Aside, "A string: with the complaints that are still to come. In all: so far.");
    page.heading("Yarns");
    let rows = view.by_yarn.iter().map(|line| {
        vec![
            line.yarn.to_string(),
            line.strings.to_string(),
            line.reports.to_string(),
            line.misfits.to_string(),
            rate(line.rate, line.rate_low, line.rate_high),
        ]
    });
    page.table(&["yarn", "strings", "reports", "misfits", "reports in 100"], rows);
    let spools = most_reported(view);
    if !spools.is_empty() {
        page.heading("Spools with the most reports");
        let rows = spools.iter().map(|line| {
            vec![
                line.spool.clone(),
                line.strings.to_string(),
                line.reports.to_string(),
                line.misfits.to_string(),
            ]
        });
        page.table(&["spool", "strings", "reports", "misfits"], rows);
    }
    if !view.by_maker.is_empty() {
        page.heading("Makers (counts only)");
        let rows = view.by_maker.iter().map(|line| {
            vec![
                line.maker.clone(),
                line.strings.to_string(),
                line.reports.to_string(),
                line.workshop.to_string(),
            ]
        });
        page.table(&["maker", "strings", "reports", "made wrong"], rows);
    }
    page.gap();
    page.field(
        "replacements",
        Some(format!("{} of {} did not fit again", view.remakes_again, view.replacements)),
    );
    page.field("cost in all", Some(cost_in_all(view, currency)));
    page.field(
        "still to come",
        view.shop.still_to_come.zip(view.shop.still_to_come_low).zip(view.shop.still_to_come_high).map(
            |((expected, low), high)| {
                format!("about {} more complaints about fit ({low} to {high})", one_decimal(expected))
            },
        ),
    );
}

/// Reports by cause, those that are not settled last; together they are all reports of the shop.
#[must_use]
pub fn cause_rows(view: &MonthView, currency: &str) -> Vec<Vec<String>> {
    let row = |cause: String, reports: u32, misfits: u32, cents: i64| {
        vec![cause, reports.to_string(), misfits.to_string(), money(cents, currency)]
    };
    let settled = view
        .causes
        .iter()
        .map(|line| row(line.cause.to_string(), line.reports, line.misfits, line.cost_cents));
    let open = (view.open_reports > 0)
        .then(|| row("not settled yet".to_owned(), view.open_reports, 0, view.open_cost_cents));
    settled.chain(open).collect()
}

/// Heads of [`cause_rows`].
pub const CAUSE_HEAD: [&str; 4] = ["cause", "reports", "misfits", "cost"];

/// Complaints that are no reports, and why not.
#[must_use]
pub fn other_rows(view: &MonthView, currency: &str) -> Vec<Vec<String>> {
    let why = |kind: OtherKind| match kind {
        OtherKind::BuiltOff => "made wrong: stands with its maker",
        OtherKind::NotAboutFit => "not about fit",
        OtherKind::Again => "a string's second complaint about fit",
        OtherKind::TooLate => "later than complaints count",
    };
    view.others
        .iter()
        .map(|line| {
            vec![why(line.kind).to_owned(), line.complaints.to_string(), money(line.cost_cents, currency)]
        })
        .collect()
}

/// Heads of [`other_rows`].
pub const OTHER_HEAD: [&str; 3] = ["complaints", "how many", "cost"];

/// Cost of all complaints, those that are no reports named beside it.
#[must_use]
pub fn cost_in_all(view: &MonthView, currency: &str) -> String {
    let (reports, all) = (view.shop.cost_total_cents, view.cost_of_all_cents);
    if reports == all {
        return money(all, currency);
    }
    format!(
        "{}: {} for reports, {} for other complaints",
        money(all, currency),
        money(reports, currency),
        money(all - reports, currency)
    )
}

/// Lots with the most reports.
#[must_use]
pub fn most_reported(view: &MonthView) -> Vec<crate::month::view::SpoolLine> {
    let mut spools: Vec<_> = view.by_spool.iter().filter(|line| line.reports > 0).cloned().collect();
    spools.sort_by(|a, b| b.reports.cmp(&a.reports).then(a.spool.cmp(&b.spool)));
    spools.truncate(MOST_SPOOLS);
    spools
}

/// The rows of shop, routes, and routes and bows as CSV; no personal values.
///
/// # Errors
/// The writer refuses.
pub fn csv(view: &MonthView) -> Result<Vec<u8>, String> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let rows = std::iter::once(&view.shop).chain(&view.routes);
    let mut head_written = false;
    for row in rows {
        let Value::Object(fields) = json!(row) else { continue };
        if !head_written {
            let head = std::iter::once("month").chain(fields.keys().map(String::as_str));
            writer.write_record(head).map_err(|error| error.to_string())?;
            head_written = true;
        }
        let cells = fields.values().map(|value| match value {
            Value::Null => String::new(),
            Value::String(text) => text.clone(),
            other => other.to_string(),
        });
        let line: Vec<String> = std::iter::once(view.month.clone()).chain(cells).collect();
        writer.write_record(&line).map_err(|error| error.to_string())?;
    }
    writer.into_inner().map_err(|error| error.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_month_is_compared_only_with_something() {
        assert_eq!(this_month(3, Some(1.2)), "3, 1.2 expected");
        assert_eq!(this_month(0, Some(0.0)), "0");
        assert_eq!(this_month(1, Some(0.02)), "1; too young to compare");
        assert_eq!(this_month(2, None), "2");
    }
}
