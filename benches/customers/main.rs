//! Simulated customers: how often the program's advice brings a bow right.
//!
//! `cargo bench --bench customers -- [--n BOWS] [--seed SEED] [--shop BOWS] [--quick] [--kinds]
//! [--each] [--sources]` prints Markdown tables, each share with its standard error. Bows, strings,
//! archers and their errors are drawn from the seed; the same seed gives the same tables.
//! `--quick` leaves out careless archers, `--kinds` tells the kinds of bow apart, `--each` has a line
//! for every customer, with `--sources` each source of error is taken away in turn.

#![allow(clippy::print_stdout, reason = "a benchmark's table is its output")]

mod advisers;
#[path = "../../tests/support/bow_solver/mod.rs"]
mod bow_solver;
mod tally;
mod world;

use chrono::NaiveDate;
use fistmele::trade::rules::Rules;

use advisers::{Adviser, Course, Knower, Program, Thumb, course};
use bow_solver::Kind;
use tally::{HEADING, Tally};
use world::{Bows, Care, Customer, Factor, Source, Turning, World};

/// The day of all reports.
fn day() -> NaiveDate {
    NaiveDate::default()
}

const ADVISERS: [&str; 4] =
    ["thumb rule", "program, tables alone", "program, learning", "bow and string known"];

/// One customer with the course under each adviser.
struct Served {
    /// The customer in one line.
    line: String,
    kind: Kind,
    turning: Turning,
    courses: [Option<Course>; 4],
}

/// Takes the customers of one shop to every adviser, one after the other.
fn serve(world: &World, bows: &Bows, rules: &Rules, numbers: std::ops::Range<u64>) -> Vec<Served> {
    let mut knower = Knower::new(world);
    let mut alone = Program::new(rules, false);
    let mut learning = Program::new(rules, true);
    numbers
        .filter_map(|number| {
            let customer = Customer::draw(world, bows, rules, number)?;
            let advisers: [&mut dyn Adviser; 4] = [&mut Thumb, &mut alone, &mut learning, &mut knower];
            let courses = advisers.map(|adviser| course(adviser, &customer, world));
            Some(Served { line: customer.line(), kind: customer.kind, turning: customer.turning(), courses })
        })
        .collect()
}

/// Serves all shops, as many at a time as the machine has processors.
fn simulate(world: &World, bows: &Bows, customers: u64) -> Vec<Served> {
    let rules = Rules::default();
    let shops = customers.div_ceil(world.bows_a_shop);
    let workers = std::thread::available_parallelism().map_or(1, |n| n.get() as u64);
    let mut served: Vec<(u64, Vec<Served>)> = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..workers)
            .map(|worker| {
                let rules = &rules;
                scope.spawn(move || {
                    let own = (worker..shops).step_by(workers as usize);
                    own.map(|shop| {
                        let first = shop * world.bows_a_shop;
                        let numbers = first..(first + world.bows_a_shop).min(customers);
                        (shop, serve(world, bows, rules, numbers))
                    })
                    .collect::<Vec<_>>()
                })
            })
            .collect();
        // A worker that panicked has said why already.
        handles.into_iter().flat_map(|handle| handle.join().unwrap_or_default()).collect()
    });
    // In the order of the shops, so that sums do not hang on the number of processors.
    served.sort_by_key(|(shop, _)| *shop);
    served.into_iter().flat_map(|(_, served)| served).collect()
}

fn tallied<'a>(served: impl Iterator<Item = &'a Served>, adviser: usize) -> Tally {
    let mut tally = Tally::default();
    for customer in served {
        if let Some(course) = &customer.courses[adviser] {
            tally.add(course, customer.turning.helps);
        }
    }
    tally
}

fn print_by_adviser(served: &[Served]) {
    println!("{HEADING}");
    for (index, name) in ADVISERS.iter().enumerate() {
        println!("{}", tallied(served.iter(), index).row(name));
    }
    for index in [2, 3] {
        let sure = served.iter().filter(|customer| !customer.turning.on_edge);
        println!("{}", tallied(sure, index).row(&format!("{}, off the edge", ADVISERS[index])));
    }
    println!();
}

fn print_by_kind(served: &[Served], adviser: usize) {
    println!("{}, by kind of bow:\n\n{HEADING}", ADVISERS[adviser]);
    for kind in Kind::ALL {
        println!("{}", tallied(served.iter().filter(|c| c.kind == kind), adviser).row(kind.name()));
    }
    println!();
}

/// Every customer of the learning program and of the one who knows, in a line each.
fn print_each(served: &[Served]) {
    for customer in served {
        for index in [2, 3] {
            let Some(course) = &customer.courses[index] else { continue };
            let Turning { helps, on_edge } = customer.turning;
            let right = [course.right_alone, course.right_first, course.right_second].map(u8::from);
            println!(
                "{index};{};{helps};{on_edge};{right:?};{};{}",
                customer.line, course.turned_first, course.story
            );
        }
    }
}

/// The number after an option.
fn number_after(words: &[String], option: &str, otherwise: u64) -> u64 {
    let at = words.iter().position(|word| word == option);
    at.and_then(|at| words.get(at + 1)).and_then(|word| word.parse().ok()).unwrap_or(otherwise)
}

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let has = |option: &str| words.iter().any(|word| word == option);
    let customers = number_after(&words, "--n", 1200);
    let usual = World::new(number_after(&words, "--seed", 1));
    let usual = World { bows_a_shop: number_after(&words, "--shop", usual.bows_a_shop).max(1), ..usual };
    // A bow comes again about ten times.
    let bows = Bows::bent(usual.seed, (customers / 50).clamp(20, 400));

    println!("{customers} bows, {} to a shop, seed {}\n", usual.bows_a_shop, usual.seed);
    for (factor, world_name) in Factor::ALL {
        for (care, archers) in Care::ALL {
            if care != Care::Usual && has("--quick") {
                continue;
            }
            let world = World { factor, care, ..usual };
            println!("{world_name}, archers {archers}:\n");
            let served = simulate(&world, &bows, customers);
            print_by_adviser(&served);
            if has("--each") {
                print_each(&served);
            }
            if has("--kinds") {
                for adviser in [1, 2, 3] {
                    print_by_kind(&served, adviser);
                }
            }
        }
    }
    if has("--sources") {
        for (source, name) in Source::ALL {
            println!("{name}:\n");
            print_by_adviser(&simulate(&World { without: Some(source), ..usual }, &bows, customers));
        }
    }
}
