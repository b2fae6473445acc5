//! Bench tests of constructions.

use chrono::NaiveDate;

use super::rows::insert;
use super::{BookError, Page};
use crate::mechanics::twist::Construction;

/// One string measured under load at two turn counts.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchTest {
    /// What was tested.
    pub construction: Construction,
    /// Fewer turns, and the length with them in inches.
    pub few: (f64, f64),
    /// More turns, and the length with them in inches.
    pub many: (f64, f64),
    /// Effective twist radius it gave, inches.
    pub radius: f64,
    /// Day.
    pub made_on: NaiveDate,
    /// Who tested.
    pub maker: Option<String>,
}

impl Page<'_> {
    /// Keeps a bench test.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_bench_test(&self, test: &BenchTest) -> Result<(), BookError> {
        insert!(self, "bench_test", {
            yarn: test.construction.yarn,
            strands: test.construction.strands,
            plies: test.construction.plies,
            turns_few: test.few.0,
            length_few: test.few.1,
            turns_many: test.many.0,
            length_many: test.many.1,
            radius_inch: test.radius,
            made_on: test.made_on,
            maker: test.maker,
        })?;
        Ok(())
    }

    /// All bench tests, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn bench_tests(&self) -> Result<Vec<BenchTest>, BookError> {
        const SQL: &str = "SELECT yarn, strands, plies, turns_few, length_few, turns_many, length_many, radius_inch, made_on, maker FROM bench_test ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let tests = statement
            .query_map([], |row| {
                Ok(BenchTest {
                    construction: Construction {
                        yarn: row.get("yarn")?,
                        strands: row.get("strands")?,
                        plies: row.get("plies")?,
                    },
                    few: (row.get("turns_few")?, row.get("length_few")?),
                    many: (row.get("turns_many")?, row.get("length_many")?),
                    radius: row.get("radius_inch")?,
                    made_on: row.get("made_on")?,
                    maker: row.get("maker")?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(tests)
    }
}
