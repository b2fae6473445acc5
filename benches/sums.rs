//! How many sums and verdicts a second: `cargo bench`.
#![allow(clippy::print_stdout, clippy::unwrap_used, reason = "a bench prints and may stop")]

use std::hint::black_box;
use std::time::{Duration, Instant};

use chrono::NaiveDate;
use fistmele::app::{self, advise, demo, sums};
use fistmele::book::{Author, Book};
use fistmele::mechanics::bow::{BowKind, brace_after, constant_from_kind, string_change_for};
use fistmele::mechanics::twist::Yarn;
use fistmele::quantity::{Measure, Turns, Unit, parse_length, parse_range};
use fistmele::trade::rules::Rules;

/// Runs for about a second, `at_once` rounds between two looks at the clock, and tells how often
/// it went round.
fn measure(what: &str, at_once: u64, mut once: impl FnMut(u64)) {
    let start = Instant::now();
    let mut rounds = 0_u64;
    while start.elapsed() < Duration::from_secs(1) {
        for _ in 0..at_once {
            once(rounds);
            rounds += 1;
        }
    }
    println!("{what:<44} {:>12.0} a second", rounds as f64 / start.elapsed().as_secs_f64());
}

fn main() {
    let constant = constant_from_kind(BowKind::Recurve, 58.0).value;
    measure("string length for a brace height, and back", 1024, |round| {
        let wanted = 7.0 + (round % 100) as f64 / 100.0;
        let change = string_change_for(7.0, black_box(wanted), constant);
        black_box(brace_after(7.0, constant, change));
    });
    let rules = Rules::default();
    let length = |text| parse_length(text, Unit::Inch, Measure::StringLength).unwrap();
    let mut request = sums::TwistRequest {
        on: sums::BowAndString {
            kind: BowKind::Recurve,
            marked_length: None,
            length: Some(length("59")),
            brace: parse_length("7 1/4", Unit::Inch, Measure::Brace).unwrap(),
            readings: 1,
            want: parse_range("7 1/2..8", Unit::Inch, Measure::WantedBrace).unwrap(),
            fades: None,
        },
        yarn: Yarn::Hmpe,
        strands: 16,
        plies: 2,
        turns: Turns::new(24.0),
        turns_known: None,
        turn_constant: None,
        second: None,
        table: false,
    };
    measure("twist: turns with chance and window", 64, |round| {
        request.turns = Turns::new(20.0 + (round % 9) as f64);
        black_box(sums::twist(&request, &rules).unwrap());
    });
    let author = Author { who: "bench".to_owned(), day: NaiveDate::from_ymd_opt(2026, 3, 1).unwrap() };
    let mut book = Book::in_memory().unwrap();
    demo::fill(&mut book, 2000, 1, &author, &mut |_| {}).unwrap();
    let reports: Vec<String> =
        app::reports::list(&mut book, None).unwrap().into_iter().map(|line| line.report).collect();
    measure("verdict, read from and stored in a book", 16, |round| {
        let id = &reports[round as usize % reports.len()];
        black_box(advise::advise(&mut book, id, &author).unwrap());
    });
    let month = app::month::month_of(None, author.day).unwrap();
    measure("month sheet of 2000 strings", 1, |_| {
        black_box(app::month::sheet(&mut book, month, author.day).unwrap());
    });
}
