//! The month sheet as one page that stands alone and prints on two A4 sheets.

use minijinja::{Environment, UndefinedBehavior};
use serde::Serialize;

use super::charts::{DotLine, MonthBar, bars, dots, months};
use super::inches;
use super::month::{
    CAUSE_HEAD, COST_HEAD, OTHER_HEAD, ROUTE_HEAD, UNIT_HEAD, cause_rows, cost_rows, most_reported,
    other_rows, rate, route_rows, unit_row,
};
use super::month_sentences::{
    CAUTION_OF_THE_MEAN, commands, error_in_words, left_out, one_decimal, remarks, row_name, sentences,
};
use super::sentences::Style;
use crate::month::view::{MonthRowView, MonthView};
use crate::quantity::Unit;

/// Most routes and bows on the page; with more it would not print on two sheets.
const MOST_UNITS: usize = 12;
/// Most lots of yarn on the page.
const MOST_SPOOLS: usize = 5;
/// Most makers on the page.
const MOST_MAKERS: usize = 8;

#[derive(Serialize)]
struct First {
    sentence: String,
    command: Option<String>,
}

#[derive(Serialize)]
struct Table {
    caption: Option<String>,
    head: Vec<String>,
    rows: Vec<Vec<String>>,
}

#[derive(Serialize, Default)]
struct Part {
    title: String,
    note: Option<String>,
    /// Tables stand under the chart, not beside it.
    below: bool,
    charts: Vec<String>,
    tables: Vec<Table>,
}

#[derive(Serialize)]
struct Filling {
    month: String,
    workshop: String,
    from: String,
    to: String,
    memory_from: String,
    first: Vec<First>,
    parts: Vec<Part>,
    remarks: Vec<String>,
}

fn table(caption: Option<&str>, head: &[&str], rows: Vec<Vec<String>>) -> Table {
    Table {
        caption: caption.map(str::to_owned),
        head: head.iter().map(|head| (*head).to_owned()).collect(),
        rows: rows
            .into_iter()
            .map(|row| row.into_iter().map(|cell| crate::words::harmless(&cell).replace('\n', " ")).collect())
            .collect(),
    }
}

/// The page.
///
/// # Errors
/// A chart or the page cannot be drawn.
pub fn html(view: &MonthView, style: &Style, workshop: &str) -> Result<String, String> {
    render("month.html", view, style, workshop)
}

/// What stands on the page, without the page around it.
///
/// # Errors
/// A chart or the page cannot be drawn.
pub fn inner(view: &MonthView, style: &Style, workshop: &str) -> Result<String, String> {
    render("month_inner.html", view, style, workshop)
}

fn render(template: &str, view: &MonthView, style: &Style, workshop: &str) -> Result<String, String> {
    let mut commands = commands(view).into_iter();
    let first = sentences(view, style)
        .into_iter()
        .map(|sentence| First { sentence, command: commands.next() })
        .collect();
    let filling = Filling {
        month: view.month.clone(),
        workshop: crate::words::harmless(workshop).replace('\n', " ").trim().trim_end_matches('.').to_owned(),
        from: view.from.to_string(),
        to: view.to.to_string(),
        memory_from: view.memory_from.to_string(),
        first,
        parts: if view.shop.strings == 0 { Vec::new() } else { parts(view, style)? },
        remarks: match view.shop.strings {
            0 => left_out(view, style).into_iter().collect(),
            _ => remarks(view, style),
        },
    };
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    let fault = |error: minijinja::Error| format!("the page cannot be written: {error}");
    for (name, source) in
        [("month.html", include_str!("month.html")), ("month_inner.html", include_str!("month_inner.html"))]
    {
        environment.add_template(name, source).map_err(fault)?;
    }
    environment
        .get_template(template)
        .and_then(|template| template.render(minijinja::Value::from(minijinja::value::Serde(&filling))))
        .map_err(fault)
}

fn parts(view: &MonthView, style: &Style) -> Result<Vec<Part>, String> {
    let mut parts = vec![rates(view)?, by_month(view)?];
    parts.extend(causes(view, style)?);
    parts.extend(length(view, style)?);
    parts.push(costs(view)?);
    parts.push(small(view));
    Ok(parts)
}

fn rates(view: &MonthView) -> Result<Part, String> {
    let rows: Vec<&MonthRowView> = view.whole_routes().chain(std::iter::once(&view.shop)).collect();
    let lines: Vec<DotLine> = rows
        .iter()
        .filter_map(|row| {
            Some(DotLine {
                name: row_name(row),
                range: (row.rate_low?, row.rate?, row.rate_high?),
                marked: matches!(row.label, "worse" | "clearly-worse"),
            })
        })
        .collect();
    let top = lines.iter().map(|line| line.range.2).fold(0.05, f64::max) * 1.04;
    let chart = dots(
        "Complaints about fit by route, in 100 strings",
        "complaints about fit in 100 strings, with the range of the true figure",
        &lines,
        (0.0, top.min(1.0), None),
        &[],
        &|value| format!("{:.0}", value * 100.0),
    )?;
    Ok(Part {
        title: "Complaints about fit by route".to_owned(),
        note: Some("A filled square marks a route that is worse than the others beyond what luck does. Misfits: adjusted by turns or remade, for sizing or no known cause.".to_owned()),
        charts: if lines.is_empty() { Vec::new() } else { vec![chart] },
        tables: vec![table(None, &ROUTE_HEAD, route_rows(view))],
        below: true,
    })
}

fn by_month(view: &MonthView) -> Result<Part, String> {
    let lines: Vec<MonthBar> = view
        .months
        .iter()
        .map(|line| MonthBar {
            name: line.month.get(2..).unwrap_or_default().to_owned(),
            reports: f64::from(line.reports),
            expected: line
                .expected
                .zip(line.expected_low)
                .zip(line.expected_high)
                .map(|((expected, low), high)| (f64::from(low), expected, f64::from(high))),
        })
        .collect();
    let rows = view
        .months
        .iter()
        .rev()
        .take(13)
        .map(|line| {
            vec![
                line.month.clone(),
                line.reports.to_string(),
                line.expected.map_or_else(|| "-".to_owned(), one_decimal),
                line.expected_low
                    .zip(line.expected_high)
                    .map_or_else(|| "-".to_owned(), |(low, high)| format!("{low} to {high}")),
            ]
        })
        .collect();
    Ok(Part {
        title: "Reports by month".to_owned(),
        note: Some("Dots: complaints about fit that came in. Grey boxes: what the year before each month led to expect, 9 times in 10.".to_owned()),
        charts: vec![months("Complaints about fit by month against what was expected", &lines)?],
        tables: vec![table(None, &["month", "reports", "expected", "range"], rows)],
        ..Part::default()
    })
}

fn length(view: &MonthView, style: &Style) -> Result<Option<Part>, String> {
    let mut units: Vec<&MonthRowView> = view.units().filter(|row| row.length_error_inch.is_some()).collect();
    if units.is_empty() {
        return Ok(None);
    }
    let all = units.len();
    // Those to be changed first, then those with the most strings.
    units.sort_by_key(|row| (row.advised_change_inch.is_none(), std::cmp::Reverse(row.strings)));
    units.truncate(MOST_UNITS);
    let lines: Vec<DotLine> = units
        .iter()
        .filter_map(|row| {
            Some(DotLine {
                name: row_name(row),
                range: (row.length_error_low?, row.length_error_inch?, row.length_error_high?),
                marked: row.advised_change_inch.is_some(),
            })
        })
        .collect();
    let (short, long) = (view.basis.play_lengthen_inch, -view.basis.play_shorten_inch);
    let low = lines.iter().map(|line| line.range.0).fold(long, f64::min) - 0.1;
    let high = lines.iter().map(|line| line.range.2).fold(short, f64::max) + 0.1;
    let unit = style.unit;
    let chart = dots(
        "Length error by route and bow",
        "how the strings came out",
        &lines,
        (low, high, Some(if unit == Unit::Inch { 0.25 } else { 5.0 / 25.4 })),
        &[(long, "play".to_owned()), (0.0, "right".to_owned()), (short, "play".to_owned())],
        &|value| tick(value, unit),
    )?;
    let means: Vec<String> = units
        .iter()
        .filter(|row| row.short + row.long >= 4)
        .filter_map(|row| {
            row.complaints_mean_inch.map(|mean| format!("{} {}", row_name(row), error_in_words(mean, unit)))
        })
        .collect();
    let mut note = "Between the outer dashed lines an archer lives with it or turns it away. A filled square: a change is advised.".to_owned();
    if all > units.len() {
        note.push_str(&format!(
            " Shown are {} of {all}; the others are in the terminal and the CSV.",
            units.len()
        ));
    }
    if !means.is_empty() {
        note.push_str(&format!(
            " The settled complaints alone average: {}. {CAUTION_OF_THE_MEAN}",
            means.join("; ")
        ));
    }
    let rows = units.iter().map(|row| unit_row(row, unit)).collect();
    Ok(Some(Part {
        title: "Length by route and bow".to_owned(),
        note: Some(note),
        below: true,
        charts: vec![chart],
        tables: vec![table(None, &UNIT_HEAD, rows)],
    }))
}

/// A length error beside the chart: which way, in a word.
fn tick(error: f64, unit: Unit) -> String {
    if error.abs() < 1e-9 {
        "right".to_owned()
    } else {
        format!("{} {}", inches(error.abs(), unit), if error > 0.0 { "short" } else { "long" })
    }
}

fn costs(view: &MonthView) -> Result<Part, String> {
    let rows: Vec<&MonthRowView> = view.whole_routes().chain(std::iter::once(&view.shop)).collect();
    let lines: Vec<DotLine> = rows
        .iter()
        .filter_map(|row| {
            let part = |cents: Option<i64>| cents.map(|cents| cents as f64 / 100.0);
            Some(DotLine {
                name: row_name(row),
                range: (part(row.cost_low_cents)?, part(row.cost_cents)?, part(row.cost_high_cents)?),
                marked: false,
            })
        })
        .collect();
    let top = lines.iter().map(|line| line.range.2).fold(0.5, f64::max) * 1.05;
    let charts = if lines.is_empty() {
        Vec::new()
    } else {
        vec![dots(
            "After-sale cost of a string by route",
            "a string",
            &lines,
            (0.0, top, None),
            &[],
            &|value| format!("{value:.2}"),
        )?]
    };
    Ok(Part {
        title: "After-sale cost".to_owned(),
        charts,
        tables: vec![table(None, &COST_HEAD, cost_rows(view))],
        ..Part::default()
    })
}

fn causes(view: &MonthView, style: &Style) -> Result<Option<Part>, String> {
    if view.shop.reports == 0 {
        return Ok(None);
    }
    let lines: Vec<(String, f64)> =
        view.causes.iter().map(|line| (line.cause.to_string(), f64::from(line.reports))).collect();
    let mut tables = vec![table(None, &CAUSE_HEAD, cause_rows(view, &style.currency))];
    if !view.others.is_empty() {
        let rows = other_rows(view, &style.currency);
        tables.push(table(Some("Complaints that are no reports"), &OTHER_HEAD, rows));
    }
    let charts = if lines.is_empty() {
        Vec::new()
    } else {
        vec![bars("Settled reports by cause", "reports", &lines)?]
    };
    Ok(Some(Part { title: "Reports by cause".to_owned(), charts, tables, ..Part::default() }))
}

fn small(view: &MonthView) -> Part {
    let yarns = view
        .by_yarn
        .iter()
        .map(|line| {
            vec![
                line.yarn.to_string(),
                line.strings.to_string(),
                line.reports.to_string(),
                rate(line.rate, line.rate_low, line.rate_high),
            ]
        })
        .collect();
    let makers: Vec<Vec<String>> = view
        .by_maker
        .iter()
        .take(MOST_MAKERS)
        .map(|line| {
            vec![
                line.maker.clone(),
                line.strings.to_string(),
                line.reports.to_string(),
                line.workshop.to_string(),
            ]
        })
        .collect();
    let spools: Vec<Vec<String>> = most_reported(view)
        .into_iter()
        .take(MOST_SPOOLS)
        .map(|line| {
            vec![line.spool, line.strings.to_string(), line.reports.to_string(), line.misfits.to_string()]
        })
        .collect();
    let mut tables = vec![table(Some("Yarns"), &["yarn", "strings", "reports", "in 100"], yarns)];
    if !makers.is_empty() {
        tables.push(table(
            Some("Makers, counts only"),
            &["maker", "strings", "reports", "made wrong"],
            makers,
        ));
    }
    if !spools.is_empty() {
        tables.push(table(
            Some("Spools with most reports"),
            &["spool", "strings", "reports", "misfits"],
            spools,
        ));
    }
    Part {
        title: "Yarns, makers, spools, replacements".to_owned(),
        note: Some(format!(
            "{} of {} replacements did not fit again.",
            view.remakes_again, view.replacements
        )),
        tables,
        ..Part::default()
    }
}
