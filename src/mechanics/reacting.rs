//! A table that goes with turns: what to do at each reading that may follow them. Method M24.
//!
//! The archer turns, reads once to 1/16 in, and finds what that reading says in the table: that
//! it is right, further turns, or to stop and write. Every row comes from the state that the
//! turns and the reading leave ([`Chain::after_reading`]).

use serde::{Deserialize, Serialize};

use super::estimate::{Chain, Forecast};
use super::twist::TurnWindow;
use crate::numeric::normal_chance_between;

/// Chance to lie in the range from which it is right as it is (judgement, no source; set by the
/// simulated customers). Methods M24, V19.
pub const SURE: f64 = 0.97;
/// What further turns must add to that chance (judgement, no source). Methods M24, V19.
pub const GAIN: f64 = 0.05;
/// Least chance with which further turns are told (judgement, no source). Method M24.
const LEAST_CHANCE: f64 = 0.5;
/// Rows with turns that a table has at most: more are no longer followed with cold hands
/// (judgement, no source). Method M24.
const MOST_ROWS: usize = 5;
/// Chance that a shorter table may cost for each row it saves (judgement, no source). Method M24.
const ROW_WORTH: f64 = 0.001;
/// More turns than this are made in two goes (common practice, no source). Method V10.
const LARGE_STEP: i32 = 12;
/// Least brace height change that a first part should make, to learn from it, inches (judgement, no
/// source; set by the simulated customers). Method V10.
const LEARN_FROM: f64 = 0.375;
/// A remainder of fewer turns is no second go (judgement, no source). Method V10.
const LEAST_REST: i32 = 3;
/// Chance that a second go must add where the turns are not many (judgement, no source). Method V10.
const TWO_GOES: f64 = 0.03;
/// Step of a reading, inches.
const STEP: f64 = 0.0625;
/// Standard deviations beyond which a reading contradicts the turns. Methods M18, M24.
const CONTRADICTION: f64 = 3.0;
/// Ends of a table, inches: no bow is braced beyond.
const ENDS: (f64, f64) = (0.0, 20.0);

/// What to do at readings from `low_inch` to `high_inch`, both included.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Row {
    /// Lowest reading, inches.
    pub low_inch: f64,
    /// Highest reading, inches.
    pub high_inch: f64,
    /// Further turns, in (+) or out (-); 0: it is right; `None`: stop and write.
    pub turns: Option<i32>,
}

/// What a table is made for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// Wanted range, inches.
    pub low: f64,
    /// Wanted range, inches.
    pub high: f64,
    /// Readings outside of this are never turned on, inches.
    pub allowed: (f64, f64),
    /// Turns the string may have.
    pub window: TurnWindow,
    /// sd of one reading, inches.
    pub reading_sd: f64,
}

/// One reading with what is known and best after it.
struct Outcome {
    read: f64,
    /// Chance of this reading.
    weight: f64,
    /// State then; `None` where the reading contradicts the turns.
    state: Option<Chain>,
    turns: Option<i32>,
}

/// Readings that follow each other and ask for the same.
#[derive(Clone, Copy)]
struct Group {
    first: usize,
    last: usize,
    turns: Option<i32>,
}

impl Aim {
    /// The aim of `turns` with the readings on which more may be turned. Together with what was told
    /// further turns keep in the window even where a standard deviation more or fewer are in.
    #[must_use]
    pub fn within(
        chain: &Chain,
        turns: i32,
        window: TurnWindow,
        (low, high): (f64, f64),
        allowed: (f64, f64),
        reading_sd: f64,
    ) -> Self {
        let told = (chain.turns + f64::from(turns)).round() as i32;
        let doubt = chain.turns_sd.round() as i32;
        let window = TurnWindow { min: (window.min + doubt).min(told), max: (window.max - doubt).max(told) };
        Self { low, high, allowed, window, reading_sd }
    }

    fn chance(&self, step: &Forecast) -> f64 {
        step.chance_in(self.low, self.high)
    }

    fn chance_now(&self, state: &Chain) -> f64 {
        normal_chance_between(self.low, self.high, state.brace, state.brace_sd())
    }

    /// What is best in a state whose last reading was `read`.
    fn best(&self, state: &Chain, read: f64) -> Option<i32> {
        if !within(self.allowed, read) {
            return None;
        }
        let now = self.chance_now(state);
        if now >= SURE {
            return Some(0);
        }
        let plan = state.plan(self.low, self.high, self.window);
        let turns = plan.step.map_or(0, |step| step.turns.round() as i32);
        if turns != 0 && plan.chance >= LEAST_CHANCE && plan.chance >= now + GAIN {
            return Some(turns);
        }
        self.in_range(read).then_some(0)
    }

    fn in_range(&self, read: f64) -> bool {
        within((self.low, self.high), read)
    }

    /// Every reading that may follow `turns`, and every one in the range, with its chance.
    fn outcomes(&self, chain: &Chain, turns: i32) -> Vec<Outcome> {
        let (expected, spread) = chain.expected_reading(f64::from(turns), self.reading_sd);
        let reach = CONTRADICTION * spread;
        let lowest = ((expected - reach) / STEP).ceil().min((self.low / STEP - 1e-9).ceil());
        let highest = ((expected + reach) / STEP).floor().max((self.high / STEP + 1e-9).floor());
        (lowest as i32..=highest as i32)
            .map(|step| {
                let read = f64::from(step) * STEP;
                let state = chain.after_reading(f64::from(turns), read, self.reading_sd, (0.0, 0.0)).ok();
                let (low, high) = (read - STEP / 2.0, read + STEP / 2.0);
                let weight = normal_chance_between(low, high, expected, spread);
                let turns = match state {
                    Some(state) => self.best(&state, read),
                    // What nobody expected, but stands where it should, is right.
                    None => self.in_range(read).then_some(0),
                };
                Outcome { read, weight, state, turns }
            })
            .collect()
    }
}

/// True if a reading lies between two, both included.
fn within((low, high): (f64, f64), read: f64) -> bool {
    (low - 1e-9..=high + 1e-9).contains(&read)
}

impl Outcome {
    /// Chance to lie in the range once this is done.
    fn chance(&self, aim: &Aim, turns: Option<i32>) -> f64 {
        let Some(state) = self.state else { return 0.0 };
        match turns.filter(|turns| *turns != 0) {
            None => aim.chance_now(&state),
            Some(turns) => state.forecast(f64::from(turns)).map_or(0.0, |step| aim.chance(&step)),
        }
    }
}

/// A table that goes with turns.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// From the lowest reading to the highest.
    pub rows: Vec<Row>,
    /// Chance to lie in the range after the turns and all that the table then says.
    pub chance: f64,
}

/// The table that goes with `turns`. Method M24.
#[must_use]
pub fn table(chain: &Chain, turns: i32, aim: &Aim) -> Table {
    let outcomes = aim.outcomes(chain, turns);
    let mut groups: Vec<Group> = Vec::new();
    for (at, outcome) in outcomes.iter().enumerate() {
        match groups.last_mut() {
            Some(group) if group.turns == outcome.turns => group.last = at,
            _ => groups.push(Group { first: at, last: at, turns: outcome.turns }),
        }
    }
    shorten(&mut groups, &outcomes, aim);
    let of_group = |group: &Group| -> f64 {
        let within = &outcomes[group.first..=group.last];
        within.iter().map(|outcome| outcome.weight * outcome.chance(aim, group.turns)).sum()
    };
    let chance = groups.iter().map(of_group).sum();
    let mut rows: Vec<Row> = groups
        .iter()
        .map(|group| Row {
            low_inch: outcomes[group.first].read,
            high_inch: outcomes[group.last].read,
            turns: group.turns,
        })
        .collect();
    to_the_ends(&mut rows);
    Table { rows, chance }
}

/// How much is turned in one go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pace {
    /// More turns than this are made in two goes.
    pub most: i32,
    /// Least brace height change of a first part, inches.
    pub learn_from: f64,
}

impl Pace {
    /// Where what the bow's maker gives is known.
    pub const USUAL: Self = Self { most: LARGE_STEP, learn_from: LEARN_FROM };
}

/// Turns with the table that goes with them.
#[derive(Debug, Clone, PartialEq)]
pub struct Goes {
    /// After all of them in one go.
    pub at_once: Table,
    /// The first part of them, and the table after it.
    pub in_two: Option<(Forecast, Table)>,
}

impl Goes {
    /// Chance to lie in the range after all that is told.
    #[must_use]
    pub fn chance(&self) -> f64 {
        self.in_two.as_ref().map_or(self.at_once.chance, |(_, table)| table.chance)
    }
}

/// The turns in one go, and in two where they are many, or come right more often by `TWO_GOES`.
/// Methods M24, V10.
#[must_use]
pub fn goes(chain: &Chain, turns: i32, aim: &Aim, pace: Pace) -> Goes {
    let at_once = table(chain, turns, aim);
    let better = |with: &Table| turns.abs() > pace.most || with.chance >= at_once.chance + TWO_GOES;
    let in_two = first_step(chain, turns, aim, pace).filter(|(_, with)| better(with));
    Goes { at_once, in_two }
}

/// The part of a step that is big enough to learn from after which all that is told comes right most
/// often, with the table after it. Method V10.
fn first_step(chain: &Chain, turns: i32, aim: &Aim, pace: Pace) -> Option<(Forecast, Table)> {
    // On the way the bow still stands between where it stood and where it is to stand.
    let (low, high) = aim.allowed;
    let allowed = if turns > 0 { (chain.brace.min(low), high) } else { (low, chain.brace.max(high)) };
    let aim = Aim { allowed, ..*aim };
    (1..=(turns.abs() - LEAST_REST).min(pace.most))
        .filter_map(|n| chain.forecast(f64::from(n * turns.signum())))
        .filter(|part| (part.brace - chain.brace).abs() >= pace.learn_from)
        .map(|first| (first, table(chain, first.turns.round() as i32, &aim)))
        .reduce(|best, next| if next.1.chance > best.1.chance + 0.001 { next } else { best })
}

/// Joins neighbouring rows of turns in one direction: those beyond what an archer follows, and those
/// that are worth next to nothing.
fn shorten(groups: &mut Vec<Group>, outcomes: &[Outcome], aim: &Aim) {
    let lost = |group: &Group| -> f64 {
        let within = &outcomes[group.first..=group.last];
        let lost = |outcome: &Outcome| {
            outcome.weight * (outcome.chance(aim, outcome.turns) - outcome.chance(aim, group.turns))
        };
        within.iter().map(lost).sum()
    };
    loop {
        let turning = groups.iter().filter(|group| group.turns.is_some_and(|turns| turns != 0)).count();
        let cheapest = (1..groups.len())
            .filter_map(|at| {
                let (lower, higher) = (&groups[at - 1], &groups[at]);
                let (from, to) = (lower.turns?, higher.turns?);
                (from.signum() == to.signum() && from != 0).then_some(())?;
                let joined = |turns| Group { first: lower.first, last: higher.last, turns: Some(turns) };
                let best = (from.min(to)..=from.max(to))
                    .map(joined)
                    .map(|group| (lost(&group), group))
                    .min_by(|a, b| a.0.total_cmp(&b.0))?;
                Some((best.0 - lost(lower) - lost(higher), at, best.1))
            })
            .min_by(|a, b| a.0.total_cmp(&b.0));
        match cheapest {
            Some((cost, at, joined)) if turning > MOST_ROWS || cost < ROW_WORTH => {
                groups[at - 1] = joined;
                groups.remove(at);
            }
            _ => return,
        }
    }
}

/// Whatever stands in no row means to stop and write; the rows say so.
fn to_the_ends(rows: &mut Vec<Row>) {
    let (lowest, highest) = ENDS;
    let stop = |low_inch: f64, high_inch: f64| Row { low_inch, high_inch, turns: None };
    match rows.first_mut() {
        Some(row) if row.turns.is_none() => row.low_inch = lowest,
        Some(row) => {
            let below = stop(lowest, row.low_inch - STEP);
            rows.insert(0, below);
        }
        None => rows.push(stop(lowest, highest)),
    }
    match rows.last_mut() {
        Some(row) if row.turns.is_none() => row.high_inch = highest,
        Some(row) => {
            let above = stop(row.high_inch + STEP, highest);
            rows.push(above);
        }
        None => {}
    }
}
