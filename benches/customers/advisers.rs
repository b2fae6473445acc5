//! Who advises the archer: the program, the thumb rule, and one who knows bow and string.

use fistmele::mechanics::bow::FadeMeasures;
use fistmele::mechanics::learning::{EffectReading, Pool};
use fistmele::mechanics::settling::{Settling, default_settling};
use fistmele::numeric::normal_chance_between;
use fistmele::quantity::Turns;
use fistmele::trade::known::{Subject, effect_reading};
use fistmele::trade::records::{Measurements, Reading, Report};
use fistmele::trade::rules::Rules;
use fistmele::trade::verdict::{Case, decide};
use fistmele::trade::words::{Ask, Symptom, Verdict};

use crate::day;
use crate::world::{Archer, Customer, World, length};

/// What an adviser says to one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Word {
    /// Leave it.
    Leave,
    /// Turn so many.
    Turn {
        /// Whole turns.
        turns: i32,
        /// Brace height expected, and its sd, where it is stated.
        expected: Option<(f64, f64)>,
    },
    /// Make it again to this length.
    Remake {
        /// Loaded length; `None` where the adviser does not say.
        length: Option<f64>,
    },
    /// Nothing that helps.
    Nothing,
}

/// One customer's way through two letters.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Course {
    /// First word was to make it again.
    pub(crate) remade_first: bool,
    /// Second word was to make it again.
    pub(crate) remade_second: bool,
    /// First word was to turn.
    pub(crate) turned_first: bool,
    /// In range after the first word.
    pub(crate) right_first: bool,
    /// In range after the second.
    pub(crate) right_second: bool,
    /// Questions asked before the first word, and before the second.
    pub(crate) questions: (u32, u32),
    /// Where a new string landed: in range or not.
    pub(crate) remake_right: Option<bool>,
    /// True minus stated brace height after the first turns, and the stated sd.
    pub(crate) first_error: Option<(f64, f64)>,
}

/// An adviser takes one customer from the first reading on.
pub(crate) trait Adviser {
    /// The word on the first reading, questions answered.
    fn first(&mut self, archer: &mut Archer<'_>, read: f64) -> (Word, u32);
    /// The word on the second reading, taken after the turns that were told.
    fn second(&mut self, archer: &mut Archer<'_>, told: i32, read: f64) -> (Word, u32);
    /// The customer is done.
    fn done(&mut self, _archer: &Archer<'_>) {}
}

/// Takes a customer through both letters. `None` for one who has nothing to complain of.
pub(crate) fn course(adviser: &mut dyn Adviser, customer: &Customer, world: &World) -> Option<Course> {
    let mut archer = Archer::new(customer, world);
    let read = archer.read(1);
    if customer.wants(read) || read.is_nan() {
        return None;
    }
    let mut course = Course::default();
    let (word, questions) = adviser.first(&mut archer, read);
    course.questions.0 = questions;
    let mut told = 0;
    match word {
        Word::Turn { turns, expected } => {
            archer.turn(turns);
            told = turns;
            course.turned_first = true;
            course.first_error = expected.map(|(brace, sd)| (archer.brace() - brace, sd));
        }
        Word::Remake { length } => {
            course.remade_first = true;
            course.remake_right = length.map(|inches| customer.wants(archer.brace_with_new(inches)));
        }
        Word::Leave | Word::Nothing => {}
    }
    let right = |archer: &Archer<'_>| !archer.brace().is_nan() && customer.wants(archer.brace());
    course.right_first = !course.remade_first && right(&archer);
    course.right_second = course.right_first;
    if course.turned_first && !archer.brace().is_nan() {
        let read = archer.read(1);
        let (word, questions) = adviser.second(&mut archer, told, read);
        course.questions.1 = questions;
        match word {
            Word::Turn { turns, .. } => archer.turn(turns),
            Word::Remake { length } => {
                course.remade_second = true;
                course.remake_right = length.map(|inches| customer.wants(archer.brace_with_new(inches)));
            }
            Word::Leave | Word::Nothing => {}
        }
        course.right_second = !course.remade_second && right(&archer);
    }
    adviser.done(&archer);
    Some(course)
}

/// The program, with or without the workshop's own second readings.
#[derive(Debug)]
pub(crate) struct Program<'a> {
    rules: &'a Rules,
    learns: bool,
    readings: Vec<EffectReading>,
    pool: Pool,
    report: Report,
    reports: i64,
}

impl<'a> Program<'a> {
    /// The program in a shop that has just opened.
    pub(crate) fn new(rules: &'a Rules, learns: bool) -> Self {
        let report = Report {
            number: 0,
            received_on: day(),
            symptoms: vec![],
            signs: vec![],
            readings: vec![],
            settled: false,
        };
        Self { rules, learns, readings: vec![], pool: Pool::from_readings(&[]), report, reports: 0 }
    }

    fn log(&mut self, measurements: Measurements) {
        self.report.readings.push(Reading { taken_on: day(), measurements });
    }

    fn subject<'b>(&'b self, customer: &'b Customer) -> Subject<'b> {
        Subject {
            string: &customer.sold,
            bow: &customer.profile,
            rules: self.rules,
            bench_radius: None,
            bow_effect: None,
            recorded: &[],
        }
    }

    /// Asks for advice until it is no question, three questions at most.
    fn word(&mut self, archer: &mut Archer<'_>) -> (Word, u32) {
        let mut questions = 0;
        loop {
            let (expected, sd) = default_settling(archer.customer.sold.yarn);
            let Ok(advice) = decide(Case {
                subject: self.subject(archer.customer),
                reports: std::slice::from_ref(&self.report),
                pool: &self.pool,
                open_doubts: false,
                settling: Settling { expected, sd, readings: 0 },
                today: day(),
            }) else {
                return (Word::Nothing, questions);
            };
            match advice.verdict {
                Verdict::Adjust if !advice.flip => {
                    let turns = advice.turns.unwrap_or_default();
                    let expected = advice.brace_after.zip(advice.brace_after_sd);
                    return (Word::Turn { turns, expected }, questions);
                }
                Verdict::Remake => return (Word::Remake { length: advice.remake_length }, questions),
                Verdict::Reassure => return (Word::Leave, questions),
                Verdict::Ask if questions < 3 => {
                    let Some(answer) = advice.ask.first().and_then(|ask| answer(*ask, archer)) else {
                        return (Word::Nothing, questions);
                    };
                    questions += 1;
                    self.log(answer);
                }
                _ => return (Word::Nothing, questions),
            }
        }
    }
}

/// What the archer answers; `None` to a question that none of these customers can be asked.
fn answer(ask: Ask, archer: &mut Archer<'_>) -> Option<Measurements> {
    let nothing = Measurements::default();
    match ask {
        Ask::Brace | Ask::BraceAgain => {
            Some(Measurements { brace: Some(length(archer.read(3))), readings: Some(3), ..nothing })
        }
        Ask::TurnsCount => Some(Measurements {
            turns_counted: Turns::new(archer.count_over_a_foot()),
            counted_over: Some(length(12.0)),
            ..nothing
        }),
        Ask::Fades => {
            let [free_string_inch, fade_span_inch, fade_gap_inch, fade_to_nock_inch] = archer.fades()?;
            let fades = FadeMeasures { free_string_inch, fade_span_inch, fade_gap_inch, fade_to_nock_inch };
            Some(Measurements { fades: Some(fades), ..nothing })
        }
        _ => None,
    }
}

impl Adviser for Program<'_> {
    fn first(&mut self, archer: &mut Archer<'_>, read: f64) -> (Word, u32) {
        self.reports += 1;
        let low = read < archer.customer.want.0;
        self.report = Report {
            number: self.reports,
            symptoms: vec![if low { Symptom::BraceLow } else { Symptom::BraceHigh }],
            readings: vec![],
            ..self.report.clone()
        };
        // Shot in long ago: what settling would add is not the question here.
        self.log(Measurements { brace: Some(length(read)), shots: Some(400), ..Measurements::default() });
        self.word(archer)
    }

    fn second(&mut self, archer: &mut Archer<'_>, told: i32, read: f64) -> (Word, u32) {
        self.log(Measurements {
            brace: Some(length(read)),
            turns_changed: Turns::new(f64::from(told)),
            ..Measurements::default()
        });
        self.word(archer)
    }

    fn done(&mut self, archer: &Archer<'_>) {
        if self.learns
            && let Some(reading) = effect_reading(self.subject(archer.customer), &self.report)
        {
            self.readings.push(reading);
            self.pool = Pool::from_readings(&self.readings);
        }
    }
}

/// The rule of thumb: 0.05 in of brace height for each turn, a new string from 3/4 in on.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Thumb;

impl Thumb {
    fn word(archer: &Archer<'_>, read: f64) -> (Word, u32) {
        let (low, high) = archer.customer.want;
        let off = f64::midpoint(low, high) - read;
        let word = if archer.customer.wants(read) {
            Word::Leave
        } else if off.abs() < 0.75 {
            Word::Turn { turns: (off / 0.05).round() as i32, expected: None }
        } else {
            // One inch of string for one and a half of brace height is as good as any thumb.
            Word::Remake { length: Some(archer.customer.sold.ordered.inches() - off / 1.5) }
        };
        (word, 0)
    }
}

impl Adviser for Thumb {
    fn first(&mut self, archer: &mut Archer<'_>, read: f64) -> (Word, u32) {
        Self::word(archer, read)
    }

    fn second(&mut self, archer: &mut Archer<'_>, _told: i32, read: f64) -> (Word, u32) {
        Self::word(archer, read)
    }
}

/// One who knows bow and string exactly and has nothing but the archer's readings to go by.
///
/// What it reaches no advice can surpass, ranges and errors of reading being what they are.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Knower {
    /// sd of one reading, rounding included, inches.
    reading_sd: f64,
    /// Loaded length with which the string came, as the readings tell.
    length: f64,
    /// Readings behind it.
    readings: f64,
    /// Turns told so far.
    told: i32,
}

impl Knower {
    /// For a world's readings.
    pub(crate) fn new(world: &World) -> Self {
        let rounding = 0.0625 / 12.0_f64.sqrt();
        Self { reading_sd: world.reading_sd.hypot(rounding), length: 0.0, readings: 0.0, told: 0 }
    }

    fn word(&mut self, archer: &Archer<'_>, read: f64) -> (Word, u32) {
        let customer = archer.customer;
        let turned_in = customer.length - customer.length_after(f64::from(self.told));
        let came_with = customer.string_for(read) + turned_in;
        self.length = (self.length * self.readings + came_with) / (self.readings + 1.0);
        self.readings += 1.0;
        if customer.wants(read) {
            return (Word::Leave, 0);
        }
        let brace_at =
            |told: f64| customer.brace_with(self.length - (customer.length - customer.length_after(told)));
        let sd = self.reading_sd / self.readings.sqrt();
        let chance = |turns: i32| {
            let after = brace_at(f64::from(self.told + turns));
            // The slopes before and after differ as the heights do: h dh is the same on both sides.
            let sd = sd * brace_at(f64::from(self.told)) / after;
            if after.is_nan() {
                0.0
            } else {
                normal_chance_between(customer.want.0, customer.want.1, after, sd)
            }
        };
        let best = customer
            .allowed(f64::from(self.told))
            .map(|turns| (chance(turns), turns))
            .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.abs().cmp(&a.1.abs())));
        match best {
            Some((chance, turns)) if chance >= 0.5 => {
                self.told += turns;
                (Word::Turn { turns, expected: Some((brace_at(f64::from(self.told)), sd)) }, 0)
            }
            _ => {
                let middle = f64::midpoint(customer.want.0, customer.want.1);
                let right = (customer.string_for(middle) / 0.125).round() * 0.125;
                (Word::Remake { length: Some(right) }, 0)
            }
        }
    }
}

impl Adviser for Knower {
    fn first(&mut self, archer: &mut Archer<'_>, read: f64) -> (Word, u32) {
        (self.length, self.readings, self.told) = (0.0, 0.0, 0);
        self.word(archer, read)
    }

    fn second(&mut self, archer: &mut Archer<'_>, _told: i32, read: f64) -> (Word, u32) {
        self.word(archer, read)
    }
}
