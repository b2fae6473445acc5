//! Simulated customers: how often the program's advice brings a bow right.
//!
//! `cargo bench --bench customers [-- [sources] [BOWS] [SEED]]` prints Markdown tables. Bows,
//! strings, archers and their errors are drawn from the seed; the same seed gives the same
//! tables. With `sources` each source of error is taken away in turn.

#![allow(clippy::print_stdout, reason = "a benchmark's table is its output")]

mod advisers;
#[path = "../../tests/support/bow_solver/mod.rs"]
mod bow_solver;
mod tally;
mod world;

use std::collections::BTreeMap;

use chrono::NaiveDate;
use fistmele::trade::rules::Rules;

use advisers::{Adviser, Course, Knower, Program, Thumb, course};
use bow_solver::Kind;
use tally::{HEADING, Tally};
use world::{Customer, Source, Turning, World};

/// The day of all reports.
fn day() -> NaiveDate {
    NaiveDate::default()
}

/// Counts by adviser and, within it, by kind of bow; the whole stands under no kind.
type Tallies = BTreeMap<(usize, Option<usize>), Tally>;

const ADVISERS: [&str; 4] =
    ["thumb rule", "program, tables alone", "program, learning", "bow and string known"];

/// One customer with the course under each adviser.
struct Served {
    kind: usize,
    turning: Turning,
    courses: [Option<Course>; 4],
}

/// Takes the customers of one shop to every adviser, one after the other.
fn serve(world: &World, rules: &Rules, numbers: std::ops::Range<u64>) -> Vec<Served> {
    let mut knower = Knower::new(world);
    let mut alone = Program::new(rules, false);
    let mut learning = Program::new(rules, true);
    numbers
        .filter_map(|number| {
            let customer = Customer::draw(world, rules, number)?;
            let kind = Kind::ALL.iter().position(|kind| *kind == customer.kind)?;
            let advisers: [&mut dyn Adviser; 4] = [&mut Thumb, &mut alone, &mut learning, &mut knower];
            let courses = advisers.map(|adviser| course(adviser, &customer, world));
            Some(Served { kind, turning: customer.turning(), courses })
        })
        .collect()
}

/// Serves all shops, as many at a time as the machine has processors.
fn simulate(world: &World, bows: u64) -> Vec<Served> {
    let rules = Rules::default();
    let shops = bows.div_ceil(world.bows_a_shop);
    let workers = std::thread::available_parallelism().map_or(1, |n| n.get() as u64);
    let mut served: Vec<(u64, Vec<Served>)> = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..workers)
            .map(|worker| {
                let rules = &rules;
                scope.spawn(move || {
                    let own = (worker..shops).step_by(workers as usize);
                    own.map(|shop| {
                        let first = shop * world.bows_a_shop;
                        (shop, serve(world, rules, first..(first + world.bows_a_shop).min(bows)))
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

fn tallied<'a>(served: impl Iterator<Item = &'a Served>) -> Tallies {
    let mut tallies = Tallies::new();
    for customer in served {
        for (adviser, course) in customer.courses.iter().enumerate() {
            let Some(course) = course else { continue };
            for kind in [None, Some(customer.kind)] {
                tallies.entry((adviser, kind)).or_default().add(course, customer.turning.helps);
            }
        }
    }
    tallies
}

fn print_by_adviser(tallies: &Tallies) {
    println!("{HEADING}");
    for (index, name) in ADVISERS.iter().enumerate() {
        println!("{}", tallies.get(&(index, None)).copied().unwrap_or_default().row(name));
    }
    println!();
}

fn print_by_kind(tallies: &Tallies, adviser: usize) {
    println!("{}, by kind of bow:\n\n{HEADING}", ADVISERS[adviser]);
    for (index, kind) in Kind::ALL.iter().enumerate() {
        let tally = tallies.get(&(adviser, Some(index))).copied().unwrap_or_default();
        println!("{}", tally.row(kind.name()));
    }
    println!();
}

fn main() {
    // Cargo hands a benchmark `--bench`, which says nothing new.
    let words: Vec<String> = std::env::args().skip(1).filter(|word| !word.starts_with("--")).collect();
    let mut numbers = words.iter().filter_map(|word| word.parse::<u64>().ok());
    let bows = numbers.next().unwrap_or(1000);
    let world = World::new(numbers.next().unwrap_or(1));

    println!("{bows} bows, {} to a shop, seed {}\n", world.bows_a_shop, world.seed);
    let served = simulate(&world, bows);
    let tallies = tallied(served.iter());
    print_by_adviser(&tallies);
    println!("Apart from bows on the edge, where 1/16 in decides whether turning helps:\n");
    print_by_adviser(&tallied(served.iter().filter(|customer| !customer.turning.on_edge)));
    for adviser in [1, 2, 3] {
        print_by_kind(&tallies, adviser);
    }
    if words.iter().any(|word| word == "sources") {
        for (source, name) in Source::ALL {
            println!("{name}:\n");
            print_by_adviser(&tallied(simulate(&World { without: Some(source), ..world }, bows).iter()));
        }
    }
}
