//! Invented shops, to see what the month sheet makes of them: how often its ranges hold the truth,
//! how often it cries wolf, and how long it takes to find a wrong offset.
//!
//! `cargo bench --bench shops` is a short run; `-- --shops N` takes N shops of each sort, `-- --seed
//! K` another draw. The same seed gives the same table.
#![allow(clippy::print_stdout, reason = "the table is what it is for")]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a bench may stop at the first fault")]

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};
use fistmele::app::month::view::MonthView;
use fistmele::app::month::{Finding, Fineness, Shop, work_out};
use fistmele::evidence::calendar::Month;
use fistmele::mechanics::bow::BowKind;
use fistmele::mechanics::twist::Yarn;
use fistmele::trade::month::{MonthLots, MonthRow, Offsets, ReportEnd, ReportFacts};
use fistmele::trade::records::BowProfile;
use fistmele::trade::rules::Rules;
use fistmele::trade::words::{Cause, Outcome, Route, Symptom};

/// Play either way, inches of string.
const PLAY: f64 = 0.5;
/// Spreads of the length error by route.
const SPREADS: [f64; 6] = [0.20, 0.30, 0.33, 0.22, 0.25, 0.28];
/// The route that goes wrong.
const WRONG: Route = Route::NockToNock;

struct Draw(fastrand::Rng);

impl Draw {
    /// A normal variable (Box and Muller 1958).
    fn normal(&mut self) -> f64 {
        let (u, v) = (self.0.f64().max(1e-300), self.0.f64());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }

    fn delay(&mut self) -> u64 {
        let days = if self.0.f64() < 0.6 {
            7.0 * (0.8 * self.normal()).exp()
        } else {
            35.0 * (0.9 * self.normal()).exp()
        };
        days.min(2000.0) as u64
    }
}

/// Chance that an error is told: from nagging to 0.9 over 1/8 in of string either side of the play.
fn told(error: f64) -> f64 {
    let beyond = (error.abs() - PLAY) / 0.125;
    0.01 + 0.89 * (0.5 * beyond + 0.5).clamp(0.0, 1.0)
}

struct Sold {
    delivered: NaiveDate,
    route: Route,
    error: f64,
    report: Option<(NaiveDate, Option<f64>)>,
}

/// What is wrong with a shop: how much, and from which month on.
#[derive(Clone, Copy)]
struct Fault {
    inch: f64,
    from: i32,
}

fn start() -> Month {
    Month::new(2020, 1).unwrap()
}

fn strings(draw: &mut Draw, a_month: u32, months: i32, fault: Option<Fault>, alike: bool) -> Vec<Sold> {
    let mut sold = Vec::new();
    for month in 0..months {
        let first = start().plus(month).first_day();
        let days =
            u64::from(start().plus(month).last_day().signed_duration_since(first).num_days() as u32) + 1;
        for _ in 0..a_month {
            let place = draw.0.usize(..6);
            let route = Route::ALL[place];
            let spread = if alike { 0.28 } else { SPREADS[place] };
            let mean = fault.filter(|f| route == WRONG && month >= f.from).map_or(0.0, |f| f.inch);
            let error = mean + spread * draw.normal();
            let delivered = first + Days::new(draw.0.u64(..days));
            let report = (draw.0.f64() < told(error)).then(|| {
                let on = delivered + Days::new(draw.delay());
                let right = (draw.0.f64() < 0.85).then(|| (error * 8.0).round() / 8.0);
                (on, right)
            });
            sold.push(Sold { delivered, route, error, report });
        }
    }
    sold
}

/// What the book would hold on a day.
fn rows(sold: &[Sold], look: NaiveDate, oldest: NaiveDate) -> Vec<MonthRow> {
    let row = |delivered, route, count| MonthRow {
        delivered,
        route,
        kind: BowKind::Recurve,
        offset: None,
        yarn: Yarn::Unknown,
        spool: None,
        maker: None,
        replacement: false,
        count,
        string: None,
        report: None,
        answer: None,
    };
    let mut rows = Vec::new();
    let mut quiet = BTreeMap::<(NaiveDate, Route), u32>::new();
    for (place, string) in sold.iter().enumerate() {
        if string.delivered > look || string.delivered < oldest {
            continue;
        }
        let Some((on, right)) = string.report.filter(|(on, _)| *on <= look) else {
            *quiet.entry((string.delivered, string.route)).or_default() += 1;
            continue;
        };
        let inside = string.error.abs() < PLAY - 0.125;
        let outcome = match string.error.abs() {
            _ if inside => Outcome::Reassured,
            far if far < PLAY + 0.1 => Outcome::Adjusted,
            _ => Outcome::Remade,
        };
        let end = ReportEnd {
            outcome,
            cause: if inside { Cause::Unknown } else { Cause::Sizing },
            right_length: right.filter(|_| !inside).map(|error| 60.0 + error),
        };
        rows.push(MonthRow {
            string: Some(i64::try_from(place).unwrap()),
            report: Some(ReportFacts {
                number: i64::try_from(place).unwrap(),
                received_on: on,
                symptoms: vec![if string.error > 0.0 { Symptom::BraceHigh } else { Symptom::BraceLow }],
                direction: None,
                brace: None,
                want: None,
                bow: BowProfile::default(),
                ordered: 60.0,
                end: Some(end),
                flipped: false,
                cents: None,
            }),
            ..row(string.delivered, string.route, 1)
        });
    }
    rows.extend(quiet.into_iter().map(|((day, route), count)| row(day, route, count)));
    rows
}

fn rules() -> Rules {
    let set = |name: &str, value: &str| (name.to_owned(), value.to_owned());
    Rules::from_values(BTreeMap::from([set("month.play-shorten", "0.5"), set("month.play-lengthen", "0.5")]))
}

fn look_at(sold: &[Sold], month: i32, rules: &Rules) -> MonthView {
    let month = start().plus(month);
    let look = month.last_day();
    let shop = Shop {
        lots: MonthLots::default(),
        rows: rows(sold, look, month.plus(-23).first_day()),
        offsets: Offsets::default(),
        rules: rules.clone(),
    };
    work_out(shop, month, look, Fineness::Many).expect("the sheet")
}

fn advice(view: &MonthView, route: Route) -> Option<f64> {
    view.units().find(|row| row.route == Some(route)).and_then(|row| row.advised_change_inch)
}

#[derive(Default)]
struct Share {
    hits: u32,
    of: u32,
}

impl Share {
    fn add(&mut self, hit: bool) {
        self.hits += u32::from(hit);
        self.of += 1;
    }

    fn percent(&self) -> String {
        if self.of == 0 {
            "-".to_owned()
        } else {
            format!("{:.0}", 100.0 * f64::from(self.hits) / f64::from(self.of))
        }
    }
}

#[derive(Default)]
struct Alarms {
    rank: u32,
    month: u32,
    shop: u32,
    creep: u32,
    advice: u32,
}

/// New alarms of a look: those the look before did not have.
fn count_new(alarms: &mut Alarms, before: &MonthView, now: &MonthView) {
    let flagged = |view: &MonthView, route| {
        view.whole_routes()
            .any(|row| row.route == Some(route) && matches!(row.label, "worse" | "clearly-worse"))
    };
    for &route in Route::ALL {
        alarms.rank += u32::from(flagged(now, route) && !flagged(before, route));
        alarms.advice += u32::from(advice(now, route).is_some() && advice(before, route).is_none());
    }
    alarms.month +=
        u32::try_from(now.whole_routes().filter(|row| row.this_month_p.is_some_and(|p| p <= 0.005)).count())
            .unwrap();
    alarms.shop += u32::from(now.shop.this_month_p.is_some_and(|p| p <= 0.01));
    alarms.creep += u32::try_from(now.whole_routes().filter(|row| row.creep_alarm).count()).unwrap();
}

/// The true share of strings of a route with a report within the horizon.
fn true_rates(seed: u64) -> Vec<f64> {
    let mut draw = Draw(fastrand::Rng::with_seed(seed));
    let timely = (0..100_000).filter(|_| draw.delay() <= 180).count() as f64 / 100_000.0;
    SPREADS
        .iter()
        .map(|spread| (0..200_000).map(|_| told(spread * draw.normal())).sum::<f64>() / 200_000.0 * timely)
        .collect()
}

struct Size {
    a_month: u32,
    shops: u32,
    seed: u64,
}

fn steady(size: &Size, rules: &Rules) {
    let truth = true_rates(size.seed);
    let (mut rate, mut shrunk, mut length, mut coming) =
        (Share::default(), Share::default(), Share::default(), Share::default());
    let (mut unlike, mut alike) = (Alarms::default(), Alarms::default());
    let (first, last) = (12, 24);
    for shop in 0..size.shops {
        for same in [false, true] {
            let seed =
                size.seed ^ (u64::from(shop) << 20) ^ u64::from(size.a_month) ^ (u64::from(same) << 50);
            let mut draw = Draw(fastrand::Rng::with_seed(seed));
            let sold = strings(&mut draw, size.a_month, last + 1, None, same);
            let mut before = look_at(&sold, first - 1, rules);
            if !same {
                let day = start().plus(first - 1).last_day();
                for row in before.whole_routes() {
                    let place = Route::ALL.iter().position(|route| Some(*route) == row.route).unwrap();
                    if let (Some(low), Some(high)) = (row.rate_low, row.rate_high) {
                        rate.add((low..=high).contains(&truth[place]));
                    }
                    if let (Some(low), Some(high)) = (row.shrunk_low, row.shrunk_high) {
                        shrunk.add((low..=high).contains(&truth[place]));
                    }
                    let later = sold
                        .iter()
                        .filter(|s| Some(s.route) == row.route && s.delivered <= day)
                        .filter(|s| {
                            s.report.is_some_and(|(on, _)| on > day && on <= s.delivered + Days::new(180))
                        })
                        .count();
                    if let (Some(low), Some(high)) = (row.still_to_come_low, row.still_to_come_high) {
                        coming.add((low as usize..=high as usize).contains(&later));
                    }
                }
                for row in before.units() {
                    if let (Some(low), Some(high)) = (row.length_error_low, row.length_error_high) {
                        length.add((low..=high).contains(&0.0));
                    }
                }
            }
            for month in first..last {
                let now = look_at(&sold, month, rules);
                count_new(if same { &mut alike } else { &mut unlike }, &before, &now);
                before = now;
            }
        }
    }
    let years = f64::from(size.shops) * f64::from(last - first) / 12.0;
    let a_year = |count: u32| f64::from(count) / years;
    let all = a_year(alike.rank + unlike.month + unlike.shop + unlike.creep + unlike.advice);
    println!(
        "| {} | {} | {} | {} | {} | {:.2} | {:.2} | {:.2} | {:.2} | {:.2} | {all:.2} |",
        size.a_month,
        rate.percent(),
        shrunk.percent(),
        length.percent(),
        coming.percent(),
        a_year(alike.rank),
        a_year(unlike.month),
        a_year(unlike.shop),
        a_year(unlike.creep),
        a_year(unlike.advice)
    );
}

/// 10, 50 and 90 % of months until found; "-" where it was not found.
fn quantiles(mut months: Vec<i32>) -> String {
    months.sort_unstable();
    let at = |share: f64| {
        let place = ((share * months.len() as f64).ceil() as usize).clamp(1, months.len()) - 1;
        if months[place] == i32::MAX { "-".to_owned() } else { months[place].to_string() }
    };
    format!("{} / {} / {}", at(0.1), at(0.5), at(0.9))
}

fn wrong(size: &Size, rules: &Rules, inch: f64, from: i32, looks: i32) {
    let (mut any, mut advised) = (Vec::new(), Vec::new());
    let (mut first_sum, mut first_count, mut close) = (0.0, 0_u32, Share::default());
    for shop in 0..size.shops {
        let seed =
            size.seed ^ (u64::from(shop) << 20) ^ u64::from(size.a_month) ^ ((inch * 64.0) as u64) << 40;
        let mut draw = Draw(fastrand::Rng::with_seed(seed ^ (from as u64)));
        let sold = strings(&mut draw, size.a_month, from + looks + 3, Some(Fault { inch, from }), false);
        let (mut found, mut told) = (i32::MAX, i32::MAX);
        for month in from..from + looks {
            let view = look_at(&sold, month, rules);
            let row = view.whole_routes().find(|row| row.route == Some(WRONG));
            let change = advice(&view, WRONG);
            let flagged = row.is_some_and(|row| {
                matches!(row.label, "worse" | "clearly-worse")
                    || row.this_month_p.is_some_and(|p| p <= 0.005)
                    || row.creep_alarm
            }) || view
                .findings
                .iter()
                .any(|finding| matches!(finding, Finding::Month { route: None, .. }));
            if found == i32::MAX && (flagged || change.is_some()) {
                found = month - from + 1;
            }
            if let Some(change) = change {
                told = month - from + 1;
                first_sum += change;
                first_count += 1;
                let later = look_at(&sold, month + 3, rules);
                // Advice that is withdrawn again is judged by what it was.
                let change = advice(&later, WRONG).unwrap_or(change);
                close.add((change - inch).abs() <= 0.125 + 1e-9);
                break;
            }
        }
        any.push(found);
        advised.push(told);
    }
    println!(
        "| {} | {inch} | {} | {} | {} | {:+.2} | {} |",
        size.a_month,
        if from == 0 { "the start".to_owned() } else { format!("month {}", from + 1) },
        quantiles(any),
        quantiles(advised),
        first_sum / f64::from(first_count.max(1)),
        close.percent()
    );
}

fn main() {
    let arguments: Vec<String> = std::env::args().collect();
    let number = |name: &str| {
        arguments
            .iter()
            .position(|argument| argument == name)
            .and_then(|place| arguments.get(place + 1))
            .and_then(|text| text.parse::<u64>().ok())
    };
    let seed = number("--seed").unwrap_or(1);
    let shops = number("--shops").and_then(|n| u32::try_from(n).ok()).unwrap_or(4).max(1);
    let sizes = [(40, shops), (200, shops), (2000, (shops / 4).max(1))];
    let rules = rules();
    println!("Shops of each sort: {shops} ({} at 2000 strings a month); seed {seed}.\n", sizes[2].1);
    println!(
        "Nothing wrong: share of ranges that hold the truth after 12 months, %, and false alarms a year.\n"
    );
    println!(
        "| strings a month | rate | luck allowed for | length error | still to come | rank | month, route | month, shop | creep | advice | all |"
    );
    println!("|---|---|---|---|---|---|---|---|---|---|---|");
    for (a_month, shops) in sizes {
        steady(&Size { a_month, shops, seed }, &rules);
    }
    println!("\nOne route wrong: looks until found, in 10 / 50 / 90 % of shops.\n");
    println!(
        "| strings a month | wrong by, in | since | anything said | change advised | first size | within 1/8 in three looks later, % |"
    );
    println!("|---|---|---|---|---|---|---|");
    for (a_month, shops) in sizes {
        for inch in [0.25, 0.5] {
            for from in [0, 12] {
                let size = Size { a_month, shops, seed };
                wrong(&size, &rules, inch, from, if a_month == 40 { 18 } else { 12 });
            }
        }
    }
}
