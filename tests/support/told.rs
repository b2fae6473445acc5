//! A string, its bow and what its archer said, put together for the tests of the verdict.

use chrono::NaiveDate;
use fistmele::mechanics::learning::Pool;
use fistmele::mechanics::settling::{Settling, learned_settling};
use fistmele::quantity::{Length, LengthRange, Turns};
use fistmele::trade::advice::Advice;
use fistmele::trade::build::Subject;
use fistmele::trade::records::{BowProfile, Measurements, Reading, Report, SoldString};
use fistmele::trade::rules::Rules;
use fistmele::trade::verdict::{Case, NoVerdict, decide};
use fistmele::trade::words::{Route, Stave, Symptom, Tips};
use fistmele::trade::{BowKind, Yarn};

/// A length in inches.
pub(crate) fn inches(inches: f64) -> Length {
    Length::try_from_inches(inches).expect("a length")
}

/// A range in inches.
pub(crate) fn range(low: f64, high: f64) -> LengthRange {
    LengthRange::new(inches(low), inches(high)).expect("a range")
}

/// Turns.
pub(crate) fn turns(turns: f64) -> Turns {
    Turns::new(turns).expect("turns")
}

/// A day of June 2025.
pub(crate) fn june(day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2025, 6, day).expect("a day")
}

/// A brace height, and nothing else.
pub(crate) fn brace(read: f64) -> Measurements {
    Measurements { brace: Some(inches(read)), ..Measurements::default() }
}

/// Everything a verdict is reached from.
#[derive(Debug, Clone)]
pub(crate) struct Told {
    /// The string.
    pub(crate) string: SoldString,
    /// The bow.
    pub(crate) bow: BowProfile,
    /// The workshop's rules.
    pub(crate) rules: Rules,
    /// The reports, oldest first.
    pub(crate) reports: Vec<Report>,
    /// The workshop's second readings.
    pub(crate) pool: Pool,
}

impl Told {
    /// A string of 16 strands HMPE with 24 turns recorded, for a recurve of 62 in whose maker
    /// gives 7 1/2 to 8 in.
    pub(crate) fn recurve() -> Self {
        let mut string = SoldString::new("A-1".to_owned(), june(1), Route::Marked, inches(59.0));
        string.yarn = Yarn::Hmpe;
        string.strands = Some(16);
        string.turns = Some(turns(24.0));
        string.delivered_on = Some(june(3));
        let bow = BowProfile {
            kind: BowKind::Recurve,
            marked_length: Some(inches(62.0)),
            brace_range: Some(range(7.5, 8.0)),
            tips: Tips::Reinforced,
            stave: Stave::Laminated,
            ..BowProfile::default()
        };
        Self { string, bow, rules: Rules::default(), reports: Vec::new(), pool: Pool::from_readings(&[]) }
    }

    /// A further report.
    pub(crate) fn said(mut self, symptom: Symptom, measurements: Measurements) -> Self {
        let number = 1 + i64::try_from(self.reports.len()).expect("few reports");
        self.reports.push(Report {
            number,
            received_on: june(10),
            symptoms: vec![symptom],
            signs: Vec::new(),
            readings: vec![Reading { taken_on: june(10), measurements }],
            settled: false,
        });
        self
    }

    /// A further reading of the last report.
    pub(crate) fn then(mut self, measurements: Measurements) -> Self {
        let report = self.reports.last_mut().expect("a report");
        report.readings.push(Reading { taken_on: june(17), measurements });
        self
    }

    /// Expected settling of the string, pre-stretched, from the rules alone.
    pub(crate) fn settling(&self) -> Settling {
        let yarn = self.string.yarn;
        learned_settling(yarn, self.rules.settling(yarn), &[], f64::from(self.rules.settle_shots))
    }

    /// String, bow and rules.
    pub(crate) fn subject(&self) -> Subject<'_> {
        Subject {
            string: &self.string,
            bow: &self.bow,
            rules: &self.rules,
            bench_radius: None,
            bow_effect: None,
            recorded: &[],
        }
    }

    /// The verdict, or why there is none.
    pub(crate) fn try_decide(&self) -> Result<Advice, NoVerdict> {
        decide(Case {
            subject: self.subject(),
            reports: &self.reports,
            pool: &self.pool,
            open_doubts: false,
            told: None,
            settling: self.settling(),
            today: june(20),
        })
    }

    /// The verdict.
    pub(crate) fn decide(&self) -> Advice {
        self.try_decide().expect("a verdict")
    }
}
