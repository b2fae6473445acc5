//! The brace rule: an upright scale with the brace height now, the wanted range, and a mark for
//! each turn.

use serde::Serialize;

use crate::app::advise::Answer;
use crate::quantity::Unit;
use crate::show::sentences::Style;
use crate::show::{inches, nine_in_ten, percent, turns};

/// Height of the drawing, in its own units.
const HEIGHT: f64 = 440.0;
/// Room above and below the scale.
const MARGIN: f64 = 18.0;
/// Least stretch of brace heights on the rule, inches.
const LEAST_STRETCH: f64 = 1.5;
/// Room between two numbers of turns.
const NUMBER_ROOM: f64 = 15.0;

/// A line of the scale.
#[derive(Serialize)]
struct Tick {
    y: f64,
    label: Option<String>,
}

/// What a number of turns would do.
#[derive(Serialize)]
struct Mark {
    turns: i32,
    y: f64,
    /// Ends of the expected doubt, one sd each way.
    top: f64,
    bottom: f64,
    number: Option<String>,
    words: String,
}

/// The rule as a page draws it; all heights count from the top.
#[derive(Serialize)]
pub(super) struct BraceRule {
    height: f64,
    ticks: Vec<Tick>,
    wanted: Option<(f64, f64)>,
    wanted_label: Option<String>,
    now: f64,
    now_label: String,
    /// Where the words of the line stand: under it, unless there is no room.
    now_text: f64,
    marks: Vec<Mark>,
    /// Place of the mark that is shown.
    chosen: usize,
    /// Turns of the verdict.
    advised: i32,
    fewer: Option<i32>,
    more: Option<i32>,
    label: String,
}

/// Distance of the lines of the scale, and which of them carry numbers.
const fn steps(unit: Unit) -> (f64, usize) {
    match unit {
        Unit::Inch => (0.125, 4),
        Unit::Cm => (0.5 / 2.54, 2),
        Unit::Mm => (5.0 / 25.4, 2),
    }
}

fn one_decimal(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

impl BraceRule {
    /// The rule of a verdict, with the mark of so many turns chosen, else that of the verdict;
    /// `None` where no brace height is known.
    pub(super) fn new(answer: &Answer, asked: Option<i32>, style: &Style) -> Option<Self> {
        let view = &answer.view;
        let steps_of = &answer.turn_by_turn;
        let none = steps_of.iter().find(|step| step.turns == 0)?;
        let advised = view.turns.unwrap_or(0);
        let chosen_turns = asked.unwrap_or(advised);
        let chosen = steps_of
            .iter()
            .position(|step| step.turns == chosen_turns)
            .or_else(|| steps_of.iter().position(|step| step.turns == 0))?;
        let unit = style.unit;
        let want = view.want_low_inch.zip(view.want_high_inch);
        let now = view.brace_now_inch.unwrap_or(none.brace_inch);
        // What was read stands in the verdict; where all readings together come to something else,
        // the line says so, or the page would show two heights for one.
        let read = view.brace_as_read().map(|brace| inches(brace, unit));
        let now_label = match read.filter(|read| *read != inches(now, unit)) {
            Some(_) => format!("{} by all readings", inches(now, unit)),
            None => inches(now, unit),
        };
        let (mut low, mut high) = (now - 0.25, now + 0.25);
        let mut hold = |from: f64, to: f64| (low, high) = (low.min(from), high.max(to));
        if let Some((from, to)) = want {
            hold(from - 0.125, to + 0.125);
        }
        for step in steps_of {
            hold(step.brace_inch - 0.0625, step.brace_inch + 0.0625);
        }
        // Turns reach far at both ends of the window; what matters lies near the wanted range.
        let middle = want.map_or(now, |(from, to)| f64::midpoint(from, to));
        let half = ((now - middle).abs() + 0.75).max(LEAST_STRETCH / 2.0);
        let (low, high) = (low.max(middle - half), high.min(middle + half));
        let y = |brace: f64| {
            let share = (high - brace.clamp(low, high)) / (high - low);
            one_decimal(MARGIN + share * (HEIGHT - 2.0 * MARGIN))
        };
        let (step, numbered) = steps(unit);
        let first = (low / step).ceil() as i64;
        let ticks = (first..=(high / step).floor() as i64)
            .map(|line| Tick {
                y: y(line as f64 * step),
                label: (line.rem_euclid(numbered as i64) == 0).then(|| inches(line as f64 * step, unit)),
            })
            .collect();
        let mut last_number = f64::INFINITY;
        let marks: Vec<Mark> = steps_of
            .iter()
            .map(|step| {
                let at = y(step.brace_inch);
                let inside = (low..=high).contains(&step.brace_inch);
                let numbered = inside && (last_number - at).abs() >= NUMBER_ROOM;
                if numbered {
                    last_number = at;
                }
                Mark {
                    turns: step.turns,
                    y: at,
                    top: y(step.brace_inch + step.sd_inch),
                    bottom: y(step.brace_inch - step.sd_inch),
                    number: numbered.then(|| signed(step.turns)),
                    words: words(step.turns, step.brace_inch, step.sd_inch, step.chance_in_range, unit),
                }
            })
            .collect();
        let turns_at = |place: Option<usize>| Some(steps_of.get(place?)?.turns);
        Some(Self {
            height: HEIGHT,
            ticks,
            wanted: want.map(|(from, to)| (y(to), one_decimal(y(from) - y(to)))),
            wanted_label: want.map(|(from, to)| format!("{} to {}", inches(from, unit), inches(to, unit))),
            now: y(now),
            now_text: if y(now) > HEIGHT - 2.0 * MARGIN { y(now) - 6.0 } else { y(now) + 15.0 },
            label: format!("Brace rule: {now_label} now"),
            now_label,
            fewer: turns_at(chosen.checked_sub(1)),
            more: turns_at(Some(chosen + 1)),
            marks,
            chosen,
            advised,
        })
    }
}

fn signed(count: i32) -> String {
    if count == 0 { "0".to_owned() } else { format!("{count:+}") }
}

fn words(count: i32, brace: f64, sd: f64, chance: Option<f64>, unit: Unit) -> String {
    let what = match count {
        0 => "As it is now".to_owned(),
        _ => format!("{} {}", turns(f64::from(count.abs())), if count > 0 { "in" } else { "out" }),
    };
    let chance = chance.map(|chance| format!("; {} chance to lie in the range", percent(chance)));
    format!("{what}: about {}{}", nine_in_ten(brace, sd, unit), chance.unwrap_or_default())
}
