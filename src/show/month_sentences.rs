//! What a maker should read first, in sentences with the numbers in them.

use super::sentences::Style;
use super::{inches, money, percent};
use crate::mechanics::bow::BowKind;
use crate::month::Finding;
use crate::month::view::{MonthRowView, MonthView, SinceChange};
use crate::quantity::Unit;
use crate::trade::words::Route;

/// Goes with every plain mean of the settled complaints.
pub const CAUTION_OF_THE_MEAN: &str =
    "These are only the strings bad enough to come back; the quiet ones were closer to right.";

/// How a route sizes, to follow "strings".
#[must_use]
pub const fn by_route(route: Route) -> &'static str {
    match route {
        Route::OldString => "measured from an old string",
        Route::Marked => "cut from the marked length",
        Route::NockToNock => "measured nock to nock",
        Route::BowMaker => "cut to the bow maker's figure",
        Route::WorkedOut => "worked out with the workshop",
        Route::Repeat => "cut like an earlier string",
        Route::Unknown => "sized nobody knows how",
    }
}

/// A kind of bow before "strings".
#[must_use]
pub const fn of_kind(kind: BowKind) -> &'static str {
    match kind {
        BowKind::Selfbow => "Selfbow",
        BowKind::Longbow => "Longbow",
        BowKind::ReflexDeflex => "Reflex-deflex",
        BowKind::Recurve => "Recurve",
        BowKind::LongRiser => "Long-riser",
        BowKind::Horsebow => "Horsebow",
        BowKind::Unknown => "Unknown-bow",
    }
}

/// A rate as people say it: so many in a hundred.
#[must_use]
pub fn in_hundred(rate: f64) -> String {
    let hundred = rate * 100.0;
    if rate > 0.0 && hundred < 0.95 {
        "under 1".to_owned()
    } else if hundred < 9.95 && rate > 0.0 && (hundred - hundred.round()).abs() > 0.05 {
        format!("{hundred:.1}")
    } else {
        format!("{}", hundred.round())
    }
}

/// The command that makes an advised change.
#[must_use]
pub fn change_command(route: Route, kind: BowKind, to: f64) -> String {
    let value = inches(to, Unit::Inch).replace('"', "").replace(' ', "-");
    // A bare number would be read in the book's unit.
    format!("fistmele setting set offset.{route}.{kind} \"{value} in\"")
}

/// The commands for the advised changes that the sheet puts first.
#[must_use]
pub fn commands(view: &MonthView) -> Vec<String> {
    view.findings
        .iter()
        .filter_map(|finding| match finding {
            Finding::Change { route, kind, to, .. } => Some(change_command(*route, *kind, *to)),
            _ => None,
        })
        .collect()
}

/// All sentences of a sheet.
#[must_use]
pub fn sentences(view: &MonthView, style: &Style) -> Vec<String> {
    view.findings.iter().map(|finding| sentence(finding, view, style)).collect()
}

fn way(error: f64) -> &'static str {
    if error >= 0.0 { "too short" } else { "too long" }
}

/// An interval that may reach over zero, in words.
fn span(low: f64, high: f64, unit: Unit) -> String {
    let end = |value: f64| {
        let size = inches(value.abs(), unit);
        if value.abs() < 1.0 / 32.0 { "right".to_owned() } else { format!("{size} {}", short_way(value)) }
    };
    if low * high > 0.0 && low.abs().min(high.abs()) >= 1.0 / 32.0 {
        format!("{} to {}", inches(low.abs().min(high.abs()), unit), inches(low.abs().max(high.abs()), unit))
    } else {
        format!("{} to {}", end(low), end(high))
    }
}

/// A length error in words: `1/4" too short`, `right`.
#[must_use]
pub fn error_in_words(error: f64, unit: Unit) -> String {
    if error.abs() < 1.0 / 32.0 {
        "right".to_owned()
    } else {
        format!("{} {}", inches(error.abs(), unit), way(error))
    }
}

/// A range of length errors in words.
#[must_use]
pub fn range_in_words(low: f64, high: f64, unit: Unit) -> String {
    if low * high > 0.0 && low.abs().min(high.abs()) >= 1.0 / 32.0 {
        format!("{} {}", span(low, high, unit), way(low + high))
    } else {
        span(low, high, unit)
    }
}

/// A change in words: `1/8" longer`.
#[must_use]
pub fn change_in_words(change: f64, unit: Unit) -> String {
    format!("{} {}", inches(change.abs(), unit), if change > 0.0 { "longer" } else { "shorter" })
}

fn short_way(error: f64) -> &'static str {
    if error >= 0.0 { "short" } else { "long" }
}

fn strings(count: u32) -> String {
    if count == 1 { "1 string".to_owned() } else { format!("{count} strings") }
}

fn looks(p: f64) -> String {
    let every = (1.0 / p.max(1e-6)).round();
    if every >= 1000.0 {
        "less than once in 1000 looks".to_owned()
    } else {
        format!("about once in {every} looks")
    }
}

fn sentence(finding: &Finding, view: &MonthView, style: &Style) -> String {
    let unit = style.unit;
    match finding {
        Finding::Change { .. } => change_sentence(finding, style),
        Finding::Worse {
            route,
            reports,
            strings: n,
            rate,
            low,
            high,
            chance,
            bows_may_explain,
            early,
            mostly,
        } => {
            format!(
                "{reports} of {} {} were complained about so far{}; allowing for those that are still new that is {} in 100 (the true figure could be {} to {}), {} likely to be at least a quarter more than of your other routes{}{}.",
                strings(*n),
                by_route(*route),
                mostly
                    .map(|(kind, of_kind)| format!(", {of_kind} of them {} strings", of_kind_lower(kind)))
                    .unwrap_or_default(),
                in_hundred(*rate),
                in_hundred(*low),
                in_hundred(*high),
                percent(*chance),
                if *bows_may_explain { ", but this may be the bows, not the route" } else { "" },
                if *early { " (early: most of these strings are from the last two months)" } else { "" }
            )
        }
        Finding::Month { route, reports, expected, p } => format!(
            "{reports} complaints about fit this month{} where your last year leads you to expect {}; chance does that {}.",
            route.map(|route| format!(" on strings {}", by_route(route))).unwrap_or_default(),
            if *expected < 0.5 { "none".to_owned() } else { one_decimal(*expected) },
            looks(*p)
        ),
        Finding::Creep { route, since, strings: n } => format!(
            "Complaints on strings {} have been creeping up, probably since {} (of {}): look at what changed then.",
            by_route(*route),
            since.format("%B %Y"),
            strings(*n)
        ),
        Finding::Since(since) => since_sentence(since, unit),
        Finding::StillToCome { expected, low, high, strings: n, early } => format!(
            "Of the {} delivered, expect about {} more {} about fit ({low} to {high}): some are too new to have been complained about yet{}.",
            strings(*n),
            one_decimal(*expected),
            if (expected - 1.0).abs() < 0.05 { "complaint" } else { "complaints" },
            if *early {
                ", and most of these are from the last two months, so all rates are early"
            } else {
                ""
            }
        ),
        Finding::Calm { strings: n, reports, rate } => {
            let rate = rate.map(|(rate, low, high)| {
                if *reports == 0 {
                    format!("no complaint about fit yet, could still be up to {} in 100", in_hundred(high))
                } else {
                    format!("{} in 100 ({} to {})", in_hundred(rate), in_hundred(low), in_hundred(high))
                }
            });
            format!(
                "Nothing stands out: {reports} of {} came back about fit{}. Leave the offsets as they are.",
                strings(*n),
                rate.map(|rate| format!(", {rate}")).unwrap_or_default()
            )
        }
        Finding::TooFew { strings: n, effective, reports } => format!(
            "{} delivered, {reports} came back about fit; some are too new to have been complained about yet (they tell as much as {} old ones), and under 10 there is no rate to show yet.",
            strings(*n),
            one_decimal(*effective)
        ),
        Finding::NoStrings { from, to } => {
            format!(
                "No string was delivered from {from} to {to}, so there is nothing to say yet about {}.",
                view.month
            )
        }
    }
}

/// A sentence's first letter.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A kind of bow within a sentence.
fn of_kind_lower(kind: BowKind) -> String {
    of_kind(kind).to_lowercase()
}

/// Which bows, how much, what to do, and why.
fn change_sentence(finding: &Finding, style: &Style) -> String {
    let Finding::Change {
        route,
        kind,
        error,
        low,
        high,
        strings: n,
        from,
        to,
        saves,
        cost_each,
        chance,
        share_now,
        share_then,
        since,
    } = finding
    else {
        return String::new();
    };
    let unit = style.unit;
    let len = |value: f64| inches(value, unit);
    let way_of_change = if from > to { "longer" } else { "shorter" };
    let offset = if from.abs() < 1e-9 {
        format!("cut them {} {way_of_change}", len((from - to).abs()))
    } else {
        format!(
            "cut them {} {way_of_change} (offset {} in place of {})",
            len((from - to).abs()),
            len(*to),
            len(*from)
        )
    };
    let since = since
        .as_ref()
        .map(|(first, last)| {
            let month = |day: &chrono::NaiveDate| day.format("%B %Y").to_string();
            let (first, last) = (month(first), month(last));
            if first == last {
                format!("since about {first} ")
            } else {
                format!("since some month from {first} to {last} ")
            }
        })
        .unwrap_or_default();
    let comes = if error.abs() < 1.0 / 32.0 {
        format!(
            "{since}they come out about right on average ({}, from {})",
            span(*low, *high, unit),
            strings(*n)
        )
    } else {
        format!(
            "{since}they come out about {} {} ({}, from {})",
            len(error.abs()),
            way(*error),
            span(*low, *high, unit),
            strings(*n)
        )
    };
    // Longer though too long already, or the other way: the play is wider on that side.
    let aim = if (from - to) * error < 0.0 && error.abs() >= 1.0 / 32.0 {
        if from > to {
            ", which a few turns put right, but those that are too short can hardly be let out, so aim longer"
        } else {
            ", which can be let out, but those that are too long cannot be turned short enough, so aim shorter"
        }
    } else {
        ""
    };
    // Money in whole units: the figure is no more exact.
    let worth = cost_each.map(|cents| (saves * cents / 100.0).round() as i64).filter(|whole| *whole > 0);
    let worth = worth.map(|whole| format!(" and {}", format!("{whole} {}", style.currency).trim_end()));
    let (saves, worth, comes) = (saves.round(), worth.unwrap_or_default(), capital(&comes));
    format!(
        "{} strings {}: {offset}. {comes}{aim}. Strings that do not fit would go from about {} to {} in 100, some {saves} {}{worth} fewer for the strings of the last 12 months; {} sure that it helps.",
        of_kind(*kind),
        by_route(*route),
        in_hundred(*share_now),
        in_hundred(*share_then),
        if saves <= 1.0 { "complaint" } else { "complaints" },
        percent(*chance)
    )
}

/// So many of so many came back; by their age new ones tell less than old ones would.
fn came_back(reports: u32, strings: u32, effective: f64) -> String {
    let came = format!("{reports} of {strings} came back");
    if f64::from(strings) - effective < 0.5 {
        return came;
    }
    format!("{came}, and some are still new (they tell as much as {} old ones)", one_decimal(effective))
}

fn since_sentence(since: &SinceChange, unit: Unit) -> String {
    let after = if since.strings_since == 0 {
        "no string has been delivered under it yet".to_owned()
    } else {
        format!("since then {}", came_back(since.reports_since, since.strings_since, since.effective_since))
    };
    format!(
        "The offset of {} strings {} was changed from {} to {} on {}: {after}; before, {}.",
        of_kind(since.bow_kind).to_lowercase(),
        by_route(since.route),
        inches(since.from_inch, unit),
        inches(since.to_inch, unit),
        since.changed_on,
        came_back(since.reports_before, since.strings_before, since.effective_before)
    )
}

/// One decimal, none where it is nought or of no weight.
#[must_use]
pub fn one_decimal(value: f64) -> String {
    let rounded = if value.abs() >= 20.0 { value.round() } else { (value * 10.0).round() / 10.0 };
    format!("{rounded}")
}

/// The name of a row: shop, route, or route and kind.
#[must_use]
pub fn row_name(row: &MonthRowView) -> String {
    match (row.route, row.bow_kind) {
        (None, _) => "whole shop".to_owned(),
        (Some(route), None) => route.to_string(),
        (Some(route), Some(kind)) => format!("{route}, {kind}"),
    }
}

fn counted(count: u32, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}

/// Strings that are in none of the figures, and why; nothing where there are none.
#[must_use]
pub fn left_out(view: &MonthView, style: &Style) -> Option<String> {
    let left = view.sizing_unknown;
    (left.strings > 0).then(|| {
        format!(
            "Left out of all figures: {} whose sizing nobody knows (route unknown), with {} that cost {}.",
            counted(left.strings, "string"),
            counted(left.reports, "report"),
            money(left.cost_cents, &style.currency)
        )
    })
}

/// Cautions that go with the figures of a sheet.
#[must_use]
pub fn remarks(view: &MonthView, style: &Style) -> Vec<String> {
    let unit = style.unit;
    let basis = &view.basis;
    let mut remarks = vec![format!(
        "Counted: strings delivered since {}, with the play from {} too long to {} too short (month.play-shorten, month.play-lengthen) and {} of misfits told{}; only reports within {} days of delivery count.",
        view.memory_from,
        inches(basis.play_shorten_inch, unit),
        inches(basis.play_lengthen_inch, unit),
        percent(basis.told_share),
        if basis.told_share_learned {
            format!(", learned from {} answers", basis.answers)
        } else {
            " (month.told-share)".to_owned()
        },
        basis.horizon_days
    )];
    if view.units().any(|row| row.advised_change_inch.is_some())
        && (basis.play_shorten_inch - basis.play_lengthen_inch).abs() > 1e-9
    {
        remarks.push(
            "A change aims at the middle of the play, not at no error: a string that is a little too long can still be shortened by turns, one that is too short hardly let out.".to_owned(),
        );
    }
    if view.units().filter(|row| row.advised_change_inch.is_some()).count() > commands(view).len() {
        remarks.push(
            "More changes look worth making than are named first; make the first ones, and look again next month.".to_owned(),
        );
    }
    remarks.extend(left_out(view, style));
    remarks.extend(waiting(view, unit));
    remarks.extend(answers_would_help(view, unit));
    remarks.extend(view.units().filter(|row| row.length_report_set_aside).map(|row| {
        format!(
            "{}: a single report speaks for a new length; it is not counted until a second one says the same.",
            row_name(row)
        )
    }));
    if view.months.iter().all(|line| line.expected.is_none())
        && let Some(since) = view.reports_since
    {
        remarks.push(format!(
            "Complaints are written down since {since} (month.reports-since): too young to compare one month with another before {}.",
            view.comparable_from
        ));
    }
    let early: Vec<String> = view.whole_routes().filter(|row| row.early).map(row_name).collect();
    if !early.is_empty() {
        remarks.push(format!("Early, most strings are from the last two months: {}.", early.join(", ")));
    }
    remarks
}

/// Most changes that are near of which the sheet says what they wait for.
const MOST_WAITING: usize = 3;
/// From this chance on a change is near.
const NEAR: f64 = 0.4;

/// What the changes that are near still wait for.
fn waiting(view: &MonthView, unit: Unit) -> Vec<String> {
    let mut near: Vec<&MonthRowView> =
        view.units().filter(|row| row.considered_chance.is_some_and(|chance| chance >= NEAR)).collect();
    near.sort_by(|a, b| {
        b.considered_saves_a_year.unwrap_or(0.0).total_cmp(&a.considered_saves_a_year.unwrap_or(0.0))
    });
    near.truncate(MOST_WAITING);
    let rule = &view.basis;
    near.into_iter()
        .filter_map(|row| {
            let change = row.considered_change_inch?;
            let waits: Vec<String> = row
                .advice_waits_for
                .as_deref()?
                .split(' ')
                .filter_map(|word| match word {
                    "surer-signs" => Some(format!(
                        "surer signs ({} now, {} needed)",
                        percent(row.considered_chance?),
                        percent(if row.considered_saves_a_year? >= rule.advice_much {
                            rule.advice_chance_where_much
                        } else {
                            rule.advice_chance
                        })
                    )),
                    "more-to-save" => Some(format!(
                        "more to save ({} a year now, {} needed)",
                        match one_decimal(row.considered_saves_a_year?).as_str() {
                            "1" => "1 complaint".to_owned(),
                            count => format!("{count} complaints"),
                        },
                        one_decimal(rule.advice_saves)
                    )),
                    "more-reports" => Some(format!(
                        "{} reports that say too short or too long ({} now)",
                        rule.advice_reports,
                        row.short + row.long
                    )),
                    "the-last-change" => {
                        Some(format!("strings of {} days under the last change", rule.advice_hold_days))
                    }
                    _ => None,
                })
                .collect();
            (!waits.is_empty()).then(|| {
                format!(
                    "{}: {} is near; it waits for {}.",
                    row_name(row),
                    change_in_words(change, unit),
                    waits.join(", and ")
                )
            })
        })
        .collect()
}

/// In shops of up to so many strings a month: months until half of them find a fault of 1/4 in,
/// without cards and with three of ten back (the table of `docs/month.md`). Larger ones are told in
/// time by complaints alone.
const SOONER: (f64, u32, u32) = (90.0, 8, 6);
/// From answers to one string in so many on, more of them are hardly to be had.
const ANSWERED_ENOUGH: u32 = 5;

/// What more answers would bring, where a change is near that they would decide.
fn answers_would_help(view: &MonthView, unit: Unit) -> Option<String> {
    let decided = |row: &MonthRowView| {
        row.considered_chance.is_some_and(|chance| chance >= NEAR)
            && row.advice_waits_for.as_deref().is_some_and(|words| {
                words.split(' ').all(|word| matches!(word, "surer-signs" | "more-reports"))
            })
    };
    let answered_enough = view.basis.answers.saturating_mul(ANSWERED_ENOUGH) >= view.shop.strings;
    if answered_enough || !view.units().any(decided) {
        return None;
    }
    let a_month = f64::from(view.shop.strings) / f64::from(view.basis.memory_months.max(1));
    let (most, without, with) = SOONER;
    (a_month <= most).then(|| {
        format!(
        "More cards back would tell sooner: where three of ten come back, half of the shops of your size find {} that is wrong in {with} months, without cards in {without}. Ask for one reading with every parcel (quiet answer SERIAL --card), and ask those of quiet list.",
        inches(0.25, unit)
        )
    })
}

/// Warnings beside the answer.
#[must_use]
pub fn warnings(view: &MonthView) -> Vec<String> {
    match view.reports_before_delivery {
        0 => Vec::new(),
        1 => vec![
            "1 report is dated before its string was delivered; it is counted as on the day of delivery"
                .to_owned(),
        ],
        n => vec![format!(
            "{n} reports are dated before their string was delivered; they are counted as on the day of delivery"
        )],
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn strings_that_are_still_new_are_said_to_be_new_and_no_number_is_lost() {
        assert_eq!(
            came_back(45, 77, 71.2),
            "45 of 77 came back, and some are still new (they tell as much as 71 old ones)"
        );
        assert_eq!(came_back(4, 20, 20.0), "4 of 20 came back");
    }
}
