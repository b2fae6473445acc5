//! Who advises the archer: the program, the thumb rule, and one who knows bow and string.

use std::fmt::Write as _;

use fistmele::mechanics::bow::FadeMeasures;
use fistmele::mechanics::learning::{EffectReading, Pool};
use fistmele::mechanics::reacting::Row;
use fistmele::mechanics::settling::{Settling, default_settling};
use fistmele::numeric::normal_chance_between;
use fistmele::quantity::{LengthRange, Turns};
use fistmele::trade::advice::Advice;
use fistmele::trade::build::Subject;
use fistmele::trade::known::effect_reading;
use fistmele::trade::records::{Measurements, Reading, Report};
use fistmele::trade::rules::Rules;
use fistmele::trade::verdict::{Case, decide};
use fistmele::trade::words::{Ask, Symptom, Verdict};

use crate::day;
use crate::world::{Archer, Customer, World, length};

/// What an adviser says to one reading.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Word {
    /// Leave it.
    Leave,
    /// Turn so many.
    Turn {
        /// Whole turns, all told.
        turns: i32,
        /// The first part of them, after which the archer reads; all of them where it is one go.
        first: i32,
        /// What to do at which reading then.
        then: Vec<Row>,
        /// Brace height expected after all turns, and its sd, where it is stated.
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
#[derive(Debug, Clone, Default)]
pub(crate) struct Course {
    /// What was said, read and done, in short.
    pub(crate) story: String,
    /// First word was to make it again.
    pub(crate) remade_first: bool,
    /// Second word was to make it again.
    pub(crate) remade_second: bool,
    /// First word was to turn.
    pub(crate) turned_first: bool,
    /// In range after the turns of the first word, whatever is read after them.
    pub(crate) right_alone: bool,
    /// In range after all that the first word says.
    pub(crate) right_first: bool,
    /// In range after the second word.
    pub(crate) right_second: bool,
    /// The table asked for more turns.
    pub(crate) second_go: bool,
    /// The table said to stop and write.
    pub(crate) stopped: bool,
    /// Questions asked, the readings of the first answer not among them.
    pub(crate) questions: u32,
    /// Readings taken again because the first answer asks for them.
    pub(crate) first_readings: u32,
    /// Where a new string landed: in range or not.
    pub(crate) remake_right: Option<bool>,
    /// True minus stated brace height after the first turns, and the stated sd.
    pub(crate) first_error: Option<(f64, f64)>,
    /// Second readings in the adviser's book by then.
    pub(crate) own_readings: usize,
}

/// What was asked before a word was given.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Asked {
    /// Questions.
    questions: u32,
    /// Readings that the first answer asks for.
    first_readings: u32,
}

/// An adviser takes one customer from the first reading on.
pub(crate) trait Adviser {
    /// The word on the first reading, questions answered.
    fn first(&mut self, archer: &mut Archer<'_>, read: f64) -> (Word, Asked);
    /// The word on the reading that was taken after all turns made since.
    fn second(&mut self, archer: &mut Archer<'_>, turned: i32, read: f64) -> (Word, Asked);
    /// Second readings in the adviser's book.
    fn own_readings(&self) -> usize {
        0
    }
    /// The customer is done.
    fn done(&mut self, _archer: &Archer<'_>) {}
}

/// What an archer did with a word that says to turn.
struct Turned {
    /// Turns made, as the archer counts them.
    turns: i32,
    /// The last reading.
    read: f64,
    second_go: bool,
    stopped: bool,
}

/// The archer turns, reads, and does what the table says to the reading.
fn follow(archer: &mut Archer<'_>, turns: i32, first: i32, then: &[Row]) -> Turned {
    archer.turn(first);
    let read = archer.read(1);
    let row = then.iter().find(|row| (row.low_inch - 1e-6..=row.high_inch + 1e-6).contains(&read));
    let next = if then.is_empty() { Some(turns - first) } else { row.and_then(|row| row.turns) };
    let Some(next) = next.filter(|next| *next != 0) else {
        return Turned { turns: first, read, second_go: false, stopped: next.is_none() };
    };
    archer.turn(next);
    Turned { turns: first + next, read: archer.read(1), second_go: true, stopped: false }
}

/// Takes a customer through both letters. `None` for one who has nothing to complain of.
pub(crate) fn course(adviser: &mut dyn Adviser, customer: &Customer<'_>, world: &World) -> Option<Course> {
    let mut archer = Archer::new(customer, world);
    let read = archer.read(1);
    if customer.wants(read) || read.is_nan() {
        return None;
    }
    let own_readings = adviser.own_readings();
    let mut course = Course { own_readings, ..Course::default() };
    let right = |archer: &Archer<'_>| !archer.brace().is_nan() && customer.wants(archer.brace());
    let (word, asked) = adviser.first(&mut archer, read);
    (course.questions, course.first_readings) = (asked.questions, asked.first_readings);
    match word {
        Word::Turn { turns, first, then, expected } => {
            let mut alone = archer.clone();
            alone.turn(turns);
            course.right_alone = right(&alone);
            course.first_error = expected.map(|(brace, sd)| (alone.brace() - brace, sd));
            course.turned_first = true;
            let turned = follow(&mut archer, turns, first, &then);
            (course.second_go, course.stopped) = (turned.second_go, turned.stopped);
            course.right_first = right(&archer);
            course.right_second = course.right_first;
            if !archer.brace().is_nan() {
                let (word, asked) = adviser.second(&mut archer, turned.turns, turned.read);
                course.questions += asked.questions + asked.first_readings;
                match word {
                    Word::Turn { turns, first, then, .. } => {
                        follow(&mut archer, turns, first, &then);
                    }
                    Word::Remake { length } => {
                        course.remade_second = true;
                        course.remake_right =
                            length.map(|inches| customer.wants(archer.brace_with_new(inches)));
                    }
                    Word::Leave | Word::Nothing => {}
                }
                course.right_second = !course.remade_second && right(&archer);
            }
        }
        Word::Remake { length } => {
            course.remade_first = true;
            course.remake_right = length.map(|inches| customer.wants(archer.brace_with_new(inches)));
        }
        Word::Leave | Word::Nothing => {
            course.right_first = right(&archer);
            (course.right_alone, course.right_second) = (course.right_first, course.right_first);
        }
    }
    adviser.done(&archer);
    let _ = write!(archer.story, " end {:.3}", archer.brace());
    course.story = archer.story;
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

    fn subject<'b>(&'b self, customer: &'b Customer<'b>) -> Subject<'b> {
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
    fn word(&mut self, archer: &mut Archer<'_>) -> (Word, Asked) {
        let mut asked = Asked::default();
        for round in 0.. {
            let (expected, sd) = default_settling(archer.customer.sold.yarn);
            let Ok(advice) = decide(Case {
                subject: self.subject(archer.customer),
                reports: std::slice::from_ref(&self.report),
                pool: &self.pool,
                open_doubts: false,
                told: None,
                settling: Settling { expected, sd, readings: 0 },
                today: day(),
            }) else {
                break;
            };
            let chance = advice.chance_in_range.unwrap_or(f64::NAN);
            let _ = write!(archer.story, " [{:?} {chance:.2} {:?}]", advice.verdict, advice.ask.first());
            match advice.verdict {
                Verdict::Adjust if !advice.flip => {
                    let turns = advice.turns.unwrap_or_default();
                    let first = advice.first_step.map_or(turns, |step| step.turns);
                    let expected = advice.brace_after.zip(advice.brace_after_sd);
                    return (Word::Turn { turns, first, then: rows(&advice), expected }, asked);
                }
                Verdict::Remake => return (Word::Remake { length: advice.remake_length }, asked),
                Verdict::Reassure => return (Word::Leave, asked),
                Verdict::Ask if round < 3 => {
                    let answers: Vec<_> =
                        advice.ask.iter().filter_map(|ask| Some((*ask, answer(*ask, archer)?))).collect();
                    if answers.is_empty() {
                        break;
                    }
                    for (ask, answer) in answers {
                        if round == 0 && ask == Ask::BraceAgain {
                            asked.first_readings += 1;
                        } else {
                            asked.questions += 1;
                        }
                        self.log(answer);
                    }
                }
                _ => break,
            }
        }
        (Word::Nothing, asked)
    }
}

/// The table that goes with the turns, or with the first part of them.
fn rows(advice: &Advice) -> Vec<Row> {
    if advice.first_step.is_some() { advice.first_step_then.clone() } else { advice.then.clone() }
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
    fn first(&mut self, archer: &mut Archer<'_>, read: f64) -> (Word, Asked) {
        self.reports += 1;
        let low = read < archer.customer.want.0;
        self.report = Report {
            number: self.reports,
            symptoms: vec![if low { Symptom::BraceLow } else { Symptom::BraceHigh }],
            readings: vec![],
            ..self.report.clone()
        };
        // Shot in long ago: what settling would add is not the question here.
        let (from, to) = archer.customer.want;
        self.log(Measurements {
            brace: Some(length(read)),
            want: LengthRange::new(length(from), length(to)),
            shots: Some(400),
            ..Measurements::default()
        });
        self.word(archer)
    }

    fn second(&mut self, archer: &mut Archer<'_>, told: i32, read: f64) -> (Word, Asked) {
        self.log(Measurements {
            brace: Some(length(read)),
            turns_changed: Turns::new(f64::from(told)),
            ..Measurements::default()
        });
        self.word(archer)
    }

    fn own_readings(&self) -> usize {
        self.readings.len()
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
    fn word(archer: &Archer<'_>, read: f64) -> (Word, Asked) {
        let (low, high) = archer.customer.want;
        let off = f64::midpoint(low, high) - read;
        let word = if archer.customer.wants(read) {
            Word::Leave
        } else if off.abs() < 0.75 {
            let turns = (off / 0.05).round() as i32;
            Word::Turn { turns, first: turns, then: Vec::new(), expected: None }
        } else {
            // One inch of string for one and a half of brace height is as good as any thumb.
            Word::Remake { length: archer.customer.sold.ordered.map(|ordered| ordered.inches() - off / 1.5) }
        };
        (word, Asked::default())
    }
}

impl Adviser for Thumb {
    fn first(&mut self, archer: &mut Archer<'_>, read: f64) -> (Word, Asked) {
        Self::word(archer, read)
    }

    fn second(&mut self, archer: &mut Archer<'_>, _told: i32, read: f64) -> (Word, Asked) {
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
        Self { reading_sd: world.archers_sd().hypot(rounding), length: 0.0, readings: 0.0, told: 0 }
    }

    /// Brace height with so many turns told, in truth but for the string's length.
    fn brace_at(&self, customer: &Customer<'_>, told: i32) -> f64 {
        customer.brace_with(self.length - (customer.length - customer.length_after(f64::from(told))))
    }

    /// Takes a reading in.
    fn read(&mut self, customer: &Customer<'_>, read: f64) {
        let turned_in = customer.length - customer.length_after(f64::from(self.told));
        let came_with = customer.string_for(read) + turned_in;
        self.length = (self.length * self.readings + came_with) / (self.readings + 1.0);
        self.readings += 1.0;
    }

    /// sd of the brace height now.
    fn sd(&self) -> f64 {
        self.reading_sd / self.readings.sqrt()
    }

    /// The turns with the best chance to lie in the range, none being among them, with that chance.
    fn best(&self, customer: &Customer<'_>) -> (f64, i32) {
        let chance = |turns: i32| {
            let after = self.brace_at(customer, self.told + turns);
            // The slopes before and after differ as the heights do: h dh is the same on both sides.
            let sd = self.sd() * self.brace_at(customer, self.told) / after;
            if after.is_nan() {
                0.0
            } else {
                normal_chance_between(customer.want.0, customer.want.1, after, sd)
            }
        };
        customer
            .allowed(f64::from(self.told))
            .chain([0])
            .map(|turns| (chance(turns), turns))
            .max_by(|a, b| a.0.total_cmp(&b.0).then(b.1.abs().cmp(&a.1.abs())))
            .unwrap_or((0.0, 0))
    }

    /// What to do at every reading that may follow.
    fn table(&self, customer: &Customer<'_>) -> Vec<Row> {
        let from = (self.brace_at(customer, self.told) * 16.0).round();
        (-10..=10)
            .map(|step| {
                let read = (from + f64::from(step)) / 16.0;
                let mut then = *self;
                then.read(customer, read);
                let (chance, turns) = then.best(customer);
                Row { low_inch: read, high_inch: read, turns: (chance >= 0.5).then_some(turns) }
            })
            .collect()
    }

    fn word(&mut self, archer: &Archer<'_>, read: f64) -> (Word, Asked) {
        let customer = archer.customer;
        self.read(customer, read);
        let (chance, turns) = self.best(customer);
        let word = if chance < 0.5 {
            let middle = f64::midpoint(customer.want.0, customer.want.1);
            let right = (customer.string_for(middle) / 0.125).round() * 0.125;
            Word::Remake { length: Some(right) }
        } else if turns == 0 {
            Word::Leave
        } else {
            self.told += turns;
            let expected = Some((self.brace_at(customer, self.told), self.sd()));
            Word::Turn { turns, first: turns, then: self.table(customer), expected }
        };
        (word, Asked::default())
    }
}

impl Adviser for Knower {
    fn first(&mut self, archer: &mut Archer<'_>, read: f64) -> (Word, Asked) {
        (self.length, self.readings, self.told) = (0.0, 0.0, 0);
        self.word(archer, read)
    }

    fn second(&mut self, archer: &mut Archer<'_>, turned: i32, read: f64) -> (Word, Asked) {
        self.told = turned;
        self.word(archer, read)
    }
}
