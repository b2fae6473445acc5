//! What is counted, and how it is printed.

use std::fmt::Write as _;

use crate::advisers::Course;

/// Counts over the customers of one adviser.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Tally {
    customers: u32,
    helpable: u32,
    right_first: u32,
    right_second: u32,
    wrong_remakes_first: u32,
    wrong_remakes: u32,
    wrong_adjusts: u32,
    questions: u32,
    remakes: u32,
    remakes_right: u32,
    errors: u32,
    within_one: u32,
    within_two: u32,
    squares: f64,
    sum_off: f64,
}

fn share(part: u32, of: u32) -> f64 {
    100.0 * f64::from(part) / f64::from(of.max(1))
}

/// The heading that goes with [`Tally::row`].
pub(crate) const HEADING: &str = "| | customers | of these turning helps | right after the first advice, % | by the \
second, % | wrong remakes, % (by the second) | wrong adjusts, % | questions each | remakes that land, % | \
within 1 sd, % | within 2 sd, % | rms error, in | mean error, sd |\n|---|---|---|---|---|---|---|---|---|---|---|---|---|";

impl Tally {
    /// Counts one customer; `helpable` where some whole number of turns would do.
    pub(crate) fn add(&mut self, course: &Course, helpable: bool) {
        let count = u32::from;
        self.customers += 1;
        self.questions += course.questions.0 + course.questions.1;
        if let Some(right) = course.remake_right {
            self.remakes += 1;
            self.remakes_right += count(right);
        }
        if helpable {
            self.helpable += 1;
            self.right_first += count(course.right_first);
            self.right_second += count(course.right_second);
            self.wrong_remakes_first += count(course.remade_first);
            self.wrong_remakes += count(course.remade_first || course.remade_second);
        } else {
            self.wrong_adjusts += count(course.turned_first);
        }
        if let Some((error, sd)) = course.first_error.filter(|(error, _)| error.is_finite()) {
            self.errors += 1;
            self.within_one += count(error.abs() <= sd);
            self.within_two += count(error.abs() <= 2.0 * sd);
            self.squares += error * error;
            self.sum_off += error / sd;
        }
    }

    /// The line of the table.
    pub(crate) fn row(&self, name: &str) -> String {
        let mut row = String::new();
        let errors = f64::from(self.errors.max(1));
        let _ = write!(
            row,
            "| {name} | {} | {} | {:.1} | {:.1} | {:.1} ({:.1}) | {:.1} | {:.2} | {:.1} of {}",
            self.customers,
            self.helpable,
            share(self.right_first, self.helpable),
            share(self.right_second, self.helpable),
            share(self.wrong_remakes_first, self.helpable),
            share(self.wrong_remakes, self.helpable),
            share(self.wrong_adjusts, self.customers - self.helpable),
            f64::from(self.questions) / f64::from(self.customers.max(1)),
            share(self.remakes_right, self.remakes),
            self.remakes,
        );
        if self.errors == 0 {
            row.push_str(" | – | – | – | – |");
        } else {
            let _ = write!(
                row,
                " | {:.1} | {:.1} | {:.3} | {:+.2} |",
                share(self.within_one, self.errors),
                share(self.within_two, self.errors),
                (self.squares / errors).sqrt(),
                self.sum_off / errors,
            );
        }
        row
    }
}
