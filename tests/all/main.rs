//! The tests that look at the program from outside, in one binary.
#![allow(clippy::disallowed_methods, reason = "tests set up and read files of their own")]
#![allow(clippy::approx_constant, reason = "a published figure may lie near a constant")]
#![allow(clippy::float_cmp, reason = "what was stored is read back as it was")]
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::print_stdout,
    reason = "helpers of tests may stop a test"
)]
#![allow(clippy::disallowed_types, reason = "tests look at the file of a book from outside")]

#[cfg(test)]
mod addresses;
#[cfg(test)]
mod answers;
#[cfg(test)]
mod bad_input;
#[cfg(test)]
#[path = "../support/world.rs"]
mod bare_world;
#[cfg(test)]
#[path = "../support/bow_solver/mod.rs"]
mod bow_solver;
#[cfg(test)]
mod bows;
#[cfg(all(test, unix))]
#[path = "../support/browser.rs"]
mod browser;
#[cfg(test)]
mod came_in;
#[cfg(all(test, unix))]
mod careful;
#[cfg(test)]
mod cases;
#[cfg(test)]
mod commands;
#[cfg(all(test, unix))]
mod copies;
#[cfg(test)]
mod counter;
#[cfg(all(test, unix))]
mod counter_browser;
#[cfg(all(test, unix))]
mod counter_forms;
#[cfg(test)]
#[path = "../support/counter.rs"]
mod counter_pages;
#[cfg(all(test, unix))]
mod counter_server;
#[cfg(all(test, unix))]
mod daily;
#[cfg(test)]
mod danger;
#[cfg(test)]
mod decisions;
#[cfg(test)]
mod dependencies;
#[cfg(all(test, unix))]
mod edges;
#[cfg(test)]
mod evidence_properties;
#[cfg(test)]
#[cfg(unix)]
mod faults;
#[cfg(all(test, unix))]
mod forgotten;
#[cfg(all(test, unix))]
mod hostile;
#[cfg(test)]
mod kept_letters;
#[cfg(all(test, unix))]
mod kills;
#[cfg(test)]
mod layers;
#[cfg(test)]
#[path = "../support/learning.rs"]
mod learning;
#[cfg(all(test, target_os = "linux"))]
mod limits;
#[cfg(all(test, unix))]
mod mail_browser;
#[cfg(test)]
mod mail_corpus;
#[cfg(test)]
mod mail_files;
#[cfg(test)]
mod mail_job;
#[cfg(test)]
mod main_job;
#[cfg(test)]
#[path = "../support/marked.rs"]
mod marked;
#[cfg(test)]
mod mechanics_properties;
#[cfg(test)]
mod mending;
mod methods;
#[cfg(test)]
mod methods_evidence;
#[cfg(test)]
mod month;
mod month_odd;
#[cfg(test)]
mod month_sums;
#[cfg(test)]
mod newton;
#[cfg(test)]
#[path = "../support/older.rs"]
mod older;
#[cfg(test)]
mod older_books;
#[cfg(all(test, unix))]
mod outputs;
#[cfg(test)]
mod outside;
#[cfg(test)]
mod person_word;
#[cfg(test)]
mod plausible;
#[cfg(test)]
mod published_mechanics;
#[cfg(test)]
mod published_statistics;
#[cfg(test)]
mod published_trade;
#[cfg(test)]
mod questions;
#[cfg(test)]
mod reactions;
#[cfg(test)]
mod readings;
#[cfg(test)]
mod reference_statistics;
#[cfg(test)]
mod reply_form;
#[cfg(test)]
mod second_opinion;
#[cfg(test)]
mod several;
#[cfg(all(test, unix))]
mod shapes;
#[cfg(all(test, unix))]
mod sheet;
#[cfg(test)]
mod sizing;
#[cfg(test)]
mod sources;
#[cfg(test)]
mod strength;
#[cfg(test)]
mod strikes;
#[cfg(test)]
mod struck_books;
#[cfg(test)]
mod take_back;
#[cfg(test)]
#[path = "../support/told.rs"]
mod told;
#[cfg(test)]
mod tour;
#[cfg(all(test, unix))]
mod trust;
#[cfg(test)]
mod unknown;
#[cfg(test)]
mod unused;
#[cfg(all(test, unix))]
mod updates;
#[cfg(test)]
mod usual;
#[cfg(test)]
mod verdict_rules;
#[cfg(test)]
mod verdicts;
#[cfg(test)]
mod world;
