//! What is asked for, and figures with their standard errors.

use std::sync::atomic::{AtomicU32, Ordering};

use fistmele::month::view::MonthView;

use crate::world::unit;

pub(crate) struct Options {
    pub(crate) shops: u32,
    pub(crate) seed: u64,
    pub(crate) sizes: Vec<u32>,
    pub(crate) raw: bool,
    pub(crate) cards: bool,
    threads: usize,
}

impl Options {
    pub(crate) fn read(arguments: &[String]) -> Self {
        let number = |name: &str| {
            arguments
                .iter()
                .position(|argument| argument == name)
                .and_then(|place| arguments.get(place + 1))
                .and_then(|text| text.parse::<u32>().ok())
        };
        Self {
            shops: number("--shops").unwrap_or(4).max(1),
            seed: u64::from(number("--seed").unwrap_or(1)),
            sizes: number("--only").map_or_else(|| vec![40, 200, 2000], |size| vec![size]),
            cards: arguments.iter().any(|argument| argument == "--cards"),
            raw: arguments.iter().any(|argument| argument == "--raw"),
            threads: number("--threads").unwrap_or(1).max(1) as usize,
        }
    }

    pub(crate) fn head(&self) {
        if !self.raw {
            println!("Shops of each sort: {}; seed {}.\n", self.shops, self.seed);
        }
    }

    /// Works every shop out, in the order of their numbers.
    pub(crate) fn each<T: Send>(&self, shops: u32, work: impl Fn(u32) -> T + Sync) -> Vec<T> {
        let next = AtomicU32::new(0);
        let mut done: Vec<(u32, T)> = std::thread::scope(|scope| {
            let run = || {
                let mut own = Vec::new();
                loop {
                    let shop = next.fetch_add(1, Ordering::Relaxed);
                    if shop >= shops {
                        return own;
                    }
                    own.push((shop, work(shop)));
                }
            };
            let threads: Vec<_> = (0..self.threads).map(|_| scope.spawn(run)).collect();
            threads.into_iter().flat_map(|thread| thread.join().expect("a shop")).collect()
        });
        done.sort_by_key(|(shop, _)| *shop);
        done.into_iter().map(|(_, result)| result).collect()
    }

    /// One line for each unit of a look, with what advice and alarms hang on.
    pub(crate) fn raw(&self, of: &str, look: i32, view: &MonthView) {
        if !self.raw {
            return;
        }
        println!("S {of} {look} {}", view.shop.this_month_p.unwrap_or(1.0));
        for row in view.whole_routes() {
            let Some(unit) = row.route.and_then(|route| unit(view, route)) else { continue };
            println!(
                "R {of} {look} {} p {} creep {} worse {} change {} chance {} saves {} reports {}",
                row.route.map_or_else(String::new, |route| route.to_string()),
                row.this_month_p.unwrap_or(1.0),
                row.creep.unwrap_or(0.0),
                row.chance_worse.unwrap_or(0.0),
                unit.advised_change_inch.or(unit.considered_change_inch).unwrap_or(0.0),
                unit.advice_chance.or(unit.considered_chance).unwrap_or(0.0),
                unit.advice_saves_a_year.or(unit.considered_saves_a_year).unwrap_or(0.0),
                unit.short + unit.long,
            );
        }
    }
}

#[derive(Default)]
pub(crate) struct Share {
    hits: u32,
    of: u32,
}

impl Share {
    pub(crate) fn add(&mut self, hit: bool) {
        self.hits += u32::from(hit);
        self.of += 1;
    }

    pub(crate) fn and(&mut self, other: &Self) {
        self.hits += other.hits;
        self.of += other.of;
    }

    /// Percent with the standard error; of 0 or all of n that of one more.
    pub(crate) fn percent(&self) -> String {
        if self.of == 0 {
            return "-".to_owned();
        }
        let n = f64::from(self.of);
        let share = f64::from(self.hits) / n;
        let softened = (f64::from(self.hits) + 0.5) / (n + 1.0);
        format!("{:.0} ± {:.0}", 100.0 * share, 100.0 * (softened * (1.0 - softened) / n).sqrt())
    }
}

/// Events a year with the standard error of a count.
pub(crate) fn a_year(count: u32, years: f64) -> String {
    format!("{:.2} ± {:.2}", f64::from(count) / years, f64::from(count.max(1)).sqrt() / years)
}

/// 10, 50 and 90 % of looks until found, the median with its standard range; "-" where not found.
pub(crate) fn quantiles(mut looks: Vec<i32>) -> String {
    looks.sort_unstable();
    let n = looks.len() as f64;
    let at = |place: f64| {
        let place = (place.ceil() as usize).clamp(1, looks.len()) - 1;
        if looks[place] == i32::MAX { "-".to_owned() } else { looks[place].to_string() }
    };
    let q = |share: f64| at(share * n);
    let wide = 0.5 * n.sqrt();
    let (low, high) = (at(0.5 * n - wide), at(0.5 * n + wide));
    let middle = if low == high { q(0.5) } else { format!("{} ({low} to {high})", q(0.5)) };
    format!("{} / {middle} / {}", q(0.1), q(0.9))
}
