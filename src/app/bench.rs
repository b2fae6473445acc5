//! Bench tests: the workshop's own turn figure of a construction.

use serde::Serialize;

use super::error::AppError;
use crate::book::{Author, BenchTest, Book, Happened, Page};
use crate::mechanics::twist::{BenchTestFault, Construction, TwistBody, radius_from_bench_test};
use crate::quantity::{Length, Turns};

/// A bench test to be kept: one string under the measuring load at two turn counts.
#[derive(Debug, Clone, PartialEq)]
pub struct NewBenchTest {
    /// What is tested.
    pub construction: Construction,
    /// Turns and length, one measurement.
    pub first: (Turns, Length),
    /// Turns and length, the other.
    pub second: (Turns, Length),
    /// Who tested.
    pub maker: Option<String>,
}

/// A bench test with its figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BenchTestView {
    /// What was tested.
    pub construction: Construction,
    /// Fewer turns.
    pub turns_few: f64,
    /// Length with them.
    pub length_few_inch: f64,
    /// More turns.
    pub turns_many: f64,
    /// Length with them.
    pub length_many_inch: f64,
    /// Turn constant, inches per turn squared at this length.
    pub turn_constant: f64,
    /// Effective twist radius.
    pub twist_radius_inch: f64,
    /// What the table of yarns says for it.
    pub table_radius_inch: Option<f64>,
    /// Day.
    pub made_on: chrono::NaiveDate,
    /// Who tested.
    pub maker: Option<String>,
    /// True for the newest of its construction, which is used.
    pub in_use: bool,
}

/// The radius in use for a construction: of the newest test.
pub(super) fn radius_of(page: &Page<'_>, construction: Construction) -> Result<Option<f64>, AppError> {
    Ok(page
        .bench_tests()?
        .into_iter()
        .rev()
        .find(|test| test.construction == construction)
        .map(|test| test.radius))
}

fn view(test: BenchTest, in_use: bool) -> BenchTestView {
    let table = TwistBody::from_build(test.construction, test.few.1)
        .map(|body| body.twist_radius * body.string_factor.sqrt());
    BenchTestView {
        construction: test.construction,
        turns_few: test.few.0,
        length_few_inch: test.few.1,
        turns_many: test.many.0,
        length_many_inch: test.many.1,
        turn_constant: (test.few.1 - test.many.1) / (test.many.0 * test.many.0 - test.few.0 * test.few.0),
        twist_radius_inch: test.radius,
        table_radius_inch: table,
        made_on: test.made_on,
        maker: test.maker,
        in_use,
    }
}

/// Keeps a bench test; from now on its figure is used for the construction.
///
/// # Errors
/// Numbers that no string gives, or the book cannot be written.
pub fn add(book: &mut Book, new: NewBenchTest, author: &Author) -> Result<BenchTestView, AppError> {
    let pair = |(turns, length): (Turns, Length)| (turns.value(), length.inches());
    let (mut few, mut many) = (pair(new.first), pair(new.second));
    if few.0 > many.0 {
        std::mem::swap(&mut few, &mut many);
    }
    if many.0 - few.0 < 5.0 {
        return Err(AppError::refused(
            "the two turn counts lie too near each other to say anything",
            "measure the same string at, say, 20 and 40 turns",
        ));
    }
    let radius = radius_from_bench_test(few.0, few.1, many.0, many.1).map_err(|fault| {
        let why = match fault {
            BenchTestFault::NotShorter => "with more turns the string must be shorter",
            BenchTestFault::OutOfRange => "no string shortens that much by these turns",
        };
        AppError::refused(
            format!("{:.2} in at {} turns and {:.2} in at {} turns: {why}", few.1, few.0, many.1, many.0),
            "give both lengths under the measuring load, in the same unit, with the turns each was measured at",
        )
    })?;
    let test = BenchTest {
        construction: new.construction,
        few,
        many,
        radius,
        made_on: author.day,
        maker: new.maker,
    };
    // Twice or half the table's figure is no construction of that name.
    if let Some(body) = TwistBody::from_build(test.construction, few.1) {
        let ratio = (radius / (body.twist_radius * body.string_factor.sqrt())).powi(2);
        if !(0.4..=2.5).contains(&ratio) {
            return Err(AppError::refused(
                format!(
                    "these turns shorten the string {ratio:.1} times as much as a string of this make should"
                ),
                "count full turns (two plies show two crossings for each), and check yarn, strands and lengths",
            ));
        }
    }
    book.write(|page| {
        page.add_bench_test(&test)?;
        page.log(
            author,
            Happened { what: "bench-test", string: None, report: None, fields: "turn constant" },
        )?;
        Ok(view(test, true))
    })
}

/// All bench tests, newest first.
///
/// # Errors
/// The book cannot be read.
pub fn list(book: &mut Book) -> Result<Vec<BenchTestView>, AppError> {
    book.read(|page| {
        let mut seen = Vec::new();
        Ok(page
            .bench_tests()?
            .into_iter()
            .rev()
            .map(|test| {
                let in_use = !seen.contains(&test.construction);
                seen.push(test.construction);
                view(test, in_use)
            })
            .collect())
    })
}
