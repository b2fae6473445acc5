//! Shops in which something is wrong: how many looks until the sheet says so.

use fistmele::evidence::change::ROUTE_MONTH_P;
use fistmele::month::Finding;
use fistmele::month::view::MonthView;
use fistmele::trade::words::Route;

use crate::table::{Options, Share, quantiles};
use crate::world::{Comes, Draw, Fault, Heard, advice, hear, look_at, rules, strings};

/// The route that goes wrong, and the two that do.
const ONE: &[Route] = &[Route::NockToNock];
const TWO: &[Route] = &[Route::NockToNock, Route::Marked];

/// What comes of the looks of one shop.
struct Found {
    said: i32,
    advised: i32,
    first: Option<f64>,
    close: Option<bool>,
}

fn says(view: &MonthView, fault: &Fault) -> bool {
    let of_route =
        view.whole_routes().filter(|row| row.route.is_some_and(|route| fault.routes.contains(&route)));
    let flagged = of_route.into_iter().any(|row| {
        matches!(row.label, "worse" | "clearly-worse")
            || row.this_month_p.is_some_and(|p| p <= ROUTE_MONTH_P)
            || row.creep_alarm
    });
    flagged || view.findings.iter().any(|finding| matches!(finding, Finding::Month { route: None, .. }))
}

fn shop(options: &Options, a_month: u32, number: u32, (name, fault, heard): (&str, &Fault, Heard)) -> Found {
    let looks = if a_month == 40 { 18 } else { 12 };
    let seed = options.seed
        ^ (u64::from(number) << 20)
        ^ u64::from(a_month)
        ^ (((fault.inch * 64.0) as u64) << 40)
        ^ (fault.from as u64);
    let months = fault.from + looks + 3;
    let mut sold = strings(&mut Draw::new(seed), a_month, months, Some(*fault), false);
    if heard.cards > 0.0 || heard.questions > 0 {
        hear(&mut sold, heard, months, &mut Draw::new(seed ^ 0x68_6561_7264));
    }
    let rules = rules();
    let mut found = Found { said: i32::MAX, advised: i32::MAX, first: None, close: None };
    for month in fault.from..fault.from + looks {
        let view = look_at(&sold, month, 0, &rules);
        options.raw(&format!("{name} {a_month} {number}"), month - fault.from + 1, &view);
        let changes: Vec<f64> = fault.routes.iter().filter_map(|route| advice(&view, *route)).collect();
        if found.said == i32::MAX && (says(&view, fault) || !changes.is_empty()) {
            found.said = month - fault.from + 1;
        }
        if changes.len() < fault.routes.len() {
            continue;
        }
        found.advised = month - fault.from + 1;
        found.first = changes.first().copied();
        if !options.raw {
            let later = look_at(&sold, month + 3, 0, &rules);
            let truth = fault.mean(month + 3, 30);
            found.close = Some(fault.routes.iter().zip(&changes).all(|(route, change)| {
                // Advice that is withdrawn again is judged by what it was.
                let change = advice(&later, *route).unwrap_or(*change);
                (change - truth).abs() <= 0.125 + 1e-9
            }));
        }
        break;
    }
    found
}

pub(crate) fn table(options: &Options) {
    if !options.raw {
        println!("\nSomething wrong: looks until it is found, in 10 / 50 / 90 % of shops.\n");
        println!(
            "| strings a month | fault | anything said | change advised | by look 2, % | first size | within 1/8 in three looks later, % |"
        );
        println!("|---|---|---|---|---|---|---|");
    }
    let fault = |inch, from, comes, routes| Fault { inch, from, comes, routes };
    let sorts = [
        ("1/4 in from the start", fault(0.25, 0, Comes::AtOnce, ONE)),
        ("1/4 in from month 13", fault(0.25, 12, Comes::AtOnce, ONE)),
        ("1/2 in from the start", fault(0.5, 0, Comes::AtOnce, ONE)),
        ("1/2 in from month 13", fault(0.5, 12, Comes::AtOnce, ONE)),
        ("1/2 in, growing over six months from month 13", fault(0.5, 12, Comes::Slowly, ONE)),
        ("1/4 in from the middle of month 13", fault(0.25, 12, Comes::MidMonth, ONE)),
        ("1/4 in on two routes at once from month 13 (both advised)", fault(0.25, 12, Comes::AtOnce, TWO)),
    ];
    for a_month in &options.sizes {
        for (name, fault) in &sorts {
            let key = name.replace(' ', "_");
            let found = options.each(options.shops, |number| {
                shop(options, *a_month, number, (&key, fault, Heard::default()))
            });
            if options.raw {
                continue;
            }
            let (mut close, mut by_two) = (Share::default(), Share::default());
            for shop in &found {
                by_two.add(shop.advised <= 2);
                shop.close.iter().for_each(|hit| close.add(*hit));
            }
            let sizes: Vec<f64> = found.iter().filter_map(|shop| shop.first).collect();
            println!(
                "| {a_month} | {name} | {} | {} | {} | {:+.2} | {} |",
                quantiles(found.iter().map(|shop| shop.said).collect()),
                quantiles(found.iter().map(|shop| shop.advised).collect()),
                by_two.percent(),
                sizes.iter().sum::<f64>() / (sizes.len().max(1) as f64),
                close.percent()
            );
        }
    }
}

/// Looks until a fault is found, by how many cards come back and how many are asked.
pub(crate) fn table_of_cards(options: &Options) {
    println!(
        "\nA fault from month 13 on: looks until a change is advised, in half and in nine of ten shops.\n"
    );
    println!("| strings a month | fault | questions a month | no card back | 10 % | 30 % | 60 % |");
    println!("|---|---|---|---|---|---|---|");
    for a_month in &options.sizes {
        for inch in [0.25, 0.5] {
            for questions in [0, 5, 20] {
                let cells = [0.0, 0.1, 0.3, 0.6].map(|cards| {
                    let fault = Fault { inch, from: 12, comes: Comes::AtOnce, routes: ONE };
                    let heard = Heard { cards, questions };
                    let found = options.each(options.shops, |number| {
                        shop(options, *a_month, number, ("cards", &fault, heard))
                    });
                    let looks: Vec<i32> = found.iter().map(|shop| shop.advised).collect();
                    let all = quantiles(looks);
                    all.split_once(" / ").map_or(String::new(), |(_, rest)| rest.to_owned())
                });
                println!("| {a_month} | {inch} in | {questions} | {} |", cells.join(" | "));
            }
        }
    }
}
