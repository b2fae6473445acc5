//! Bench tests of constructions.

use chrono::NaiveDate;

use super::{BookError, Page, rows};
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
        const SQL: &str = "INSERT INTO bench_test (yarn, strands, plies, turns_few, length_few, turns_many, length_many, radius_inch, made_on, maker) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)";
        self.transaction.prepare_cached(SQL)?.execute((
            test.construction.yarn.as_str(),
            test.construction.strands,
            test.construction.plies,
            test.few.0,
            test.few.1,
            test.many.0,
            test.many.1,
            test.radius,
            test.made_on,
            &test.maker,
        ))?;
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
                        yarn: rows::word(row, "yarn")?,
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
