//! What is counted, and how it is printed.

use std::fmt::Write as _;

use crate::advisers::Course;

/// Readings of a book up to which it is young, and from which it is old.
const YOUNG: usize = 30;
const OLD: usize = 100;

/// How often a stated sd held.
#[derive(Debug, Clone, Copy, Default)]
struct Coverage {
    errors: u32,
    within_one: u32,
    within_two: u32,
    squares: f64,
    sum_off: f64,
}

impl Coverage {
    fn add(&mut self, error: f64, sd: f64) {
        self.errors += 1;
        self.within_one += u32::from(error.abs() <= sd);
        self.within_two += u32::from(error.abs() <= 2.0 * sd);
        self.squares += error * error;
        self.sum_off += error / sd;
    }

    fn show(&self) -> String {
        if self.errors == 0 {
            return "–".to_owned();
        }
        format!("{}; {}", share(self.within_one, self.errors), share(self.within_two, self.errors))
    }
}

/// Counts over the customers of one adviser.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Tally {
    customers: u32,
    helpable: u32,
    right_alone: u32,
    right_first: u32,
    right_second: u32,
    turned: u32,
    second_goes: u32,
    stopped: u32,
    wrong_remakes: u32,
    wrong_adjusts: u32,
    vain_adjusts: u32,
    questions: u32,
    first_readings: u32,
    remakes: u32,
    remakes_right: u32,
    all: Coverage,
    young: Coverage,
    old: Coverage,
}

/// A share in percent with its standard error, sqrt(p (1 - p)/n).
fn share(part: u32, of: u32) -> String {
    let (part, of) = (f64::from(part), f64::from(of.max(1)));
    let p = part / of;
    format!("{:.1} ± {:.1}", 100.0 * p, 100.0 * (p * (1.0 - p) / of).sqrt())
}

/// The heading that goes with [`Tally::row`].
pub(crate) const HEADING: &str = "| | customers | of these turning helps | right by the first turns alone, % | by all \
that the first letter says, % | by the second letter, % | of those told to turn: a second go, % | stop and write, % | \
wrong remakes, % of all | turned although turning does not help, % of all | of all, and not right by it (wrong adjusts), % | questions each | measured again in the first answer | \
remakes that land, % | within 1 sd; 2 sd, % | first 30 readings | after the 100th | rms error, in | mean error, sd |
|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|";

impl Tally {
    /// Counts one customer; `helpable` where some whole number of turns would do.
    pub(crate) fn add(&mut self, course: &Course, helpable: bool) {
        let count = u32::from;
        self.customers += 1;
        self.questions += course.questions;
        self.first_readings += course.first_readings;
        if let Some(right) = course.remake_right {
            self.remakes += 1;
            self.remakes_right += count(right);
        }
        if helpable {
            self.helpable += 1;
            self.right_alone += count(course.right_alone);
            self.right_first += count(course.right_first);
            self.right_second += count(course.right_second);
            self.wrong_remakes += count(course.remade_first || course.remade_second);
        } else {
            self.wrong_adjusts += count(course.turned_first);
            // Turns that are not counted right may bring it right all the same, as the workshop counts them.
            self.vain_adjusts += count(course.turned_first && !course.right_first);
        }
        if course.turned_first {
            self.turned += 1;
            self.second_goes += count(course.second_go);
            self.stopped += count(course.stopped);
        }
        if let Some((error, sd)) = course.first_error.filter(|(error, _)| error.is_finite()) {
            self.all.add(error, sd);
            if course.own_readings < YOUNG {
                self.young.add(error, sd);
            } else if course.own_readings >= OLD {
                self.old.add(error, sd);
            }
        }
    }

    /// The line of the table.
    pub(crate) fn row(&self, name: &str) -> String {
        let mut row = String::new();
        let customers = f64::from(self.customers.max(1));
        let _ = write!(
            row,
            "| {name} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {} | {:.2} | {:.2} | {} of {} | {} | {} | {} |",
            self.customers,
            self.helpable,
            share(self.right_alone, self.helpable),
            share(self.right_first, self.helpable),
            share(self.right_second, self.helpable),
            share(self.second_goes, self.turned),
            share(self.stopped, self.turned),
            share(self.wrong_remakes, self.customers),
            share(self.wrong_adjusts, self.customers),
            share(self.vain_adjusts, self.customers),
            f64::from(self.questions) / customers,
            f64::from(self.first_readings) / customers,
            share(self.remakes_right, self.remakes),
            self.remakes,
            self.all.show(),
            self.young.show(),
            self.old.show(),
        );
        if self.all.errors == 0 {
            row.push_str(" – | – |");
        } else {
            let errors = f64::from(self.all.errors);
            let _ = write!(
                row,
                " {:.3} | {:+.2} |",
                (self.all.squares / errors).sqrt(),
                self.all.sum_off / errors
            );
        }
        row
    }
}
