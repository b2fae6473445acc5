//! Commands about one string or report stay quick in a large book: the plans of all their
//! statements use indexes. It stands in the library's own tests because only these can watch the
//! statements of a book; it is kept here with the other tests that look at all of the program.
#![expect(clippy::disallowed_types, reason = "the plans are asked of the database itself")]

use std::cell::RefCell;
use std::collections::BTreeSet;

use crate::app;
use crate::app::logging::{NewReading, NewReport};
use crate::app::outgoing::{self, Outgoing};
use crate::app::sold::NewSold;
use crate::book::{Author, Book};
use crate::quantity::{Length, Turns};
use crate::trade::records::{Archer, BowChanges, BowProfile, Measurements, SoldString};
use crate::trade::standing::Step;
use crate::trade::words::{Route, Symptom, Tips};
use chrono::NaiveDate;

thread_local! {
    static SEEN: RefCell<BTreeSet<String>> = const { RefCell::new(BTreeSet::new()) };
}

/// Small tables of the workshop's own, and what a statement makes for itself.
/// What was struck is small too, and is gone through for what it leaves out.
const MAY_BE_SCANNED: [&str; 13] = [
    "setting",
    "bench_test",
    "forgotten",
    "chosen",
    "CONSTANT ROW",
    "strike",
    "struck",
    "undoing",
    "undone",
    "struck_string",
    "struck_report",
    "struck_reading",
    "struck_event",
];
/// The newest second readings: the index is walked from its end until enough are found.
const WALKED: &str = "main.reading USING INDEX reading_by_brace";

fn new_string(day: NaiveDate) -> NewSold {
    let ordered = Length::try_from_inches(58.0).unwrap();
    let mut string = SoldString::new(String::new(), day, Route::Marked, ordered);
    string.turns = Turns::new(24.0);
    string.strands = Some(16);
    string.yarn = crate::mechanics::twist::Yarn::Hmpe;
    NewSold {
        serial: None,
        archer: Archer { name: Some("Odalind".to_owned()), email: Some("odalind@example.org".to_owned()) },
        bow: BowProfile { kind: crate::mechanics::bow::BowKind::Recurve, ..BowProfile::default() },
        which: app::bow::WhichBow::Usual,
        string,
    }
}

#[test]
fn no_command_about_one_string_reads_a_whole_table() {
    let day = NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
    let author = Author { who: "RK".to_owned(), day };
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("book.db");
    let mut book = Book::create(&path).unwrap();
    app::demo::fill(&mut book, 400, 1, &author, &mut |_| {}).unwrap();
    book.watch(|sql| {
        SEEN.with_borrow_mut(|seen| seen.insert(sql.to_owned()));
    });
    let brace = |inches| Measurements { brace: Length::try_from_inches(inches), ..Measurements::default() };
    let serial = app::sold::add(&mut book, new_string(day), &author).unwrap().serial;
    let report = NewReport {
        serial: serial.clone(),
        symptoms: vec![Symptom::BraceLow],
        measured: brace(7.0),
        bow: BowChanges::default(),
        received_on: day,
        text: Some("It reads 7".to_owned()),
        whole: None,
        no_damage: false,
        no_danger: false,
        fits: false,
        new_address: None,
        mail: None,
        unit: None,
        separate: false,
        questions: Vec::new(),
        unspoken: None,
    };
    let id = app::logging::add(&mut book, report, &author).unwrap().view.report;
    let reading = NewReading {
        report: id.clone(),
        symptoms: vec![Symptom::Noisy],
        measured: Measurements { turns_changed: Turns::new(4.0), ..brace(7.25) },
        bow: BowChanges { tips: Some(Tips::Reinforced), ..BowChanges::default() },
        received_on: day,
        text: None,
        whole: None,
        no_damage: false,
        no_danger: false,
        fits: false,
        questions: Vec::new(),
    };
    app::logging::add_reading(&mut book, reading, &author).unwrap();
    app::advise::advise(&mut book, &id, &author).unwrap();
    let letter = Outgoing { kind: "adjust", text: "Put in 4 full turns." };
    outgoing::about_report(&mut book, &id, letter, Some(Step::Answered), &author).unwrap();
    app::sold::show(&mut book, &serial).unwrap();
    app::reports::show(&mut book, &id).unwrap();
    let changes = BowChanges { tips: Some(Tips::Plain), ..BowChanges::default() };
    app::bow::edit(&mut book, &serial, &changes, &author).unwrap();
    app::history::history(&mut book, Some(&serial), None, 50).unwrap();
    app::history::history(&mut book, None, Some(&id), 50).unwrap();

    let connection = rusqlite::Connection::open(&path).unwrap();
    crate::book::leave_out_struck(&connection).unwrap();
    let seen = SEEN.take();
    let looked_at: Vec<&String> = seen
        .iter()
        .filter(|sql| {
            ["SELECT", "INSERT", "UPDATE", "DELETE", "WITH"].iter().any(|word| sql.starts_with(word))
        })
        .collect();
    assert!(looked_at.len() > 25, "only {} statements were seen", looked_at.len());
    let mut faults = Vec::new();
    for sql in looked_at {
        let mut statement = connection.prepare(&format!("EXPLAIN QUERY PLAN {sql}")).unwrap();
        let count = statement.parameter_count();
        let nothing = vec![rusqlite::types::Null; count];
        let plan: Vec<String> = statement
            .query_map(rusqlite::params_from_iter(nothing), |row| row.get("detail"))
            .unwrap()
            .collect::<Result<_, _>>()
            .unwrap();
        for line in plan {
            if let Some(scanned) = line.strip_prefix("SCAN ")
                && !MAY_BE_SCANNED.contains(&scanned.split(" USING").next().unwrap())
                && scanned != WALKED
            {
                faults.push(format!("{line}: {sql}"));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
