//! Shops in which nothing is wrong: what the ranges hold, and how often the sheet cries wolf.

use chrono::Days;
use fistmele::evidence::change::{ROUTE_MONTH_P, SHOP_MONTH_P};
use fistmele::month::view::MonthView;
use fistmele::trade::words::Route;

use crate::table::{Options, Share, a_year};
use crate::world::{Draw, ROUTES, SPREADS, Sold, advice, look_at, rules, start, strings, told};

/// First and last month that is looked at.
const LOOKS: (i32, i32) = (12, 24);

#[derive(Default)]
struct Alarms {
    rank: u32,
    month: u32,
    shop: u32,
    creep: u32,
    advice: u32,
}

impl Alarms {
    /// New alarms of a look: those the look before did not have.
    fn count(&mut self, before: &MonthView, now: &MonthView) {
        for route in ROUTES {
            self.rank += u32::from(flagged(now, route) && !flagged(before, route));
            self.advice += u32::from(advice(now, route).is_some() && advice(before, route).is_none());
        }
        let beyond = |p: Option<f64>, limit: f64| u32::from(p.is_some_and(|p| p <= limit));
        self.month += now.whole_routes().map(|row| beyond(row.this_month_p, ROUTE_MONTH_P)).sum::<u32>();
        self.shop += beyond(now.shop.this_month_p, SHOP_MONTH_P);
        self.creep += now.whole_routes().map(|row| u32::from(row.creep_alarm)).sum::<u32>();
    }

    fn and(&mut self, other: &Self) {
        self.rank += other.rank;
        self.month += other.month;
        self.shop += other.shop;
        self.creep += other.creep;
        self.advice += other.advice;
    }

    fn without_rank(&self) -> u32 {
        self.month + self.shop + self.creep + self.advice
    }
}

fn flagged(view: &MonthView, route: Route) -> bool {
    view.whole_routes().any(|row| row.route == Some(route) && matches!(row.label, "worse" | "clearly-worse"))
}

#[derive(Default)]
struct Held {
    rate: Share,
    shrunk: Share,
    length: Share,
    coming: Share,
}

impl Held {
    fn count(&mut self, view: &MonthView, sold: &[Sold], truth: &[f64]) {
        let day = start().plus(LOOKS.0 - 1).last_day();
        for row in view.whole_routes() {
            let place = ROUTES.iter().position(|route| Some(*route) == row.route).unwrap();
            if let (Some(low), Some(high)) = (row.rate_low, row.rate_high) {
                self.rate.add((low..=high).contains(&truth[place]));
            }
            if let (Some(low), Some(high)) = (row.shrunk_low, row.shrunk_high) {
                self.shrunk.add((low..=high).contains(&truth[place]));
            }
            let later = sold
                .iter()
                .filter(|s| Some(s.route) == row.route && s.delivered <= day)
                .filter(|s| s.report.is_some_and(|(on, _)| on > day && on <= s.delivered + Days::new(180)))
                .count();
            if let (Some(low), Some(high)) = (row.still_to_come_low, row.still_to_come_high) {
                self.coming.add((low as usize..=high as usize).contains(&later));
            }
        }
        for row in view.units() {
            if let (Some(low), Some(high)) = (row.length_error_low, row.length_error_high) {
                self.length.add((low..=high).contains(&0.0));
            }
        }
    }
}

/// The true share of strings of a route with a report within the horizon.
fn true_rates(seed: u64) -> Vec<f64> {
    let mut draw = Draw::new(seed);
    let timely = (0..100_000).filter(|_| draw.delay() <= 180).count() as f64 / 100_000.0;
    SPREADS
        .iter()
        .map(|spread| (0..200_000).map(|_| told(spread * draw.normal())).sum::<f64>() / 200_000.0 * timely)
        .collect()
}

/// The looks of one shop; reports before the month `kept` were not kept.
fn looks(options: &Options, of: &str, sold: &[Sold], kept: i32) -> (Alarms, MonthView) {
    let rules = rules();
    let first = look_at(sold, LOOKS.0 - 1, kept, &rules);
    let (mut alarms, mut before) = (Alarms::default(), first.clone());
    for month in LOOKS.0..LOOKS.1 {
        let now = look_at(sold, month, kept, &rules);
        options.raw(of, month, &now);
        alarms.count(&before, &now);
        before = now;
    }
    (alarms, first)
}

struct Sums {
    held: Held,
    unlike: Alarms,
    alike: Alarms,
    new_book: Alarms,
}

fn shop(options: &Options, a_month: u32, shop: u32, truth: &[f64]) -> Sums {
    let mut held = Held::default();
    let mut of = |name: &str, alike: bool, kept: i32| {
        let seed = options.seed ^ (u64::from(shop) << 20) ^ u64::from(a_month) ^ (u64::from(alike) << 50);
        let sold = strings(&mut Draw::new(seed), a_month, LOOKS.1 + 1, None, alike);
        let (alarms, first) = looks(options, &format!("{name} {a_month} {shop}"), &sold, kept);
        if name == "unlike" {
            held.count(&first, &sold, truth);
        }
        alarms
    };
    let (unlike, alike) = (of("unlike", false, 0), of("alike", true, 0));
    // A book begun in month 13 with the strings of the year before, but not their reports.
    let new_book = of("new-book", false, 12);
    Sums { held, unlike, alike, new_book }
}

pub(crate) fn table(options: &Options) {
    if !options.raw {
        println!(
            "Nothing wrong: share of ranges that hold the truth after 12 months, %, and false alarms a year.\n"
        );
        println!(
            "| strings a month | rate | luck allowed for | length error | still to come | rank | month, route | month, shop | creep | advice | all | new book, all |"
        );
        println!("|---|---|---|---|---|---|---|---|---|---|---|---|");
    }
    let truth = true_rates(options.seed);
    for a_month in &options.sizes {
        let shops = options.each(options.shops, |number| shop(options, *a_month, number, &truth));
        let years = f64::from(options.shops) * f64::from(LOOKS.1 - LOOKS.0) / 12.0;
        let (mut held, mut unlike, mut alike, mut new_book) =
            (Held::default(), Alarms::default(), Alarms::default(), Alarms::default());
        for sums in &shops {
            held.rate.and(&sums.held.rate);
            held.shrunk.and(&sums.held.shrunk);
            held.length.and(&sums.held.length);
            held.coming.and(&sums.held.coming);
            unlike.and(&sums.unlike);
            alike.and(&sums.alike);
            new_book.and(&sums.new_book);
        }
        if options.raw {
            continue;
        }
        let year = |count: u32| a_year(count, years);
        println!(
            "| {a_month} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {} |",
            held.rate.percent(),
            held.shrunk.percent(),
            held.length.percent(),
            held.coming.percent(),
            year(alike.rank),
            year(unlike.month),
            year(unlike.shop),
            year(unlike.creep),
            year(unlike.advice),
            year(alike.rank + unlike.without_rank()),
            year(new_book.without_rank()),
        );
    }
}
