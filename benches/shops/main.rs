//! Invented shops, to see what the month sheet makes of them: how often its ranges hold the truth,
//! how often it cries wolf, and how long it takes to find a wrong offset.
//!
//! `cargo bench --bench shops` is a short run; `-- --shops N` takes N shops of each sort, `-- --seed
//! K` another draw, `-- --only 40` strings a month of one size, `-- --raw` every look instead of the
//! tables, `-- --cards` what cards that come back and questions bring. The same seed gives the same table.
#![allow(clippy::print_stdout, reason = "the table is what it is for")]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a bench may stop at the first fault")]

mod faults;
mod steady;
mod table;
mod world;

use table::Options;

fn main() {
    let options = Options::read(&std::env::args().collect::<Vec<_>>());
    options.head();
    if options.cards {
        faults::table_of_cards(&options);
        return;
    }
    steady::table(&options);
    faults::table(&options);
}
