//! The bench sums without any book: turns, and string length, for a wanted brace height.

use serde::Serialize;

use super::error::AppError;
use crate::mechanics::bow::{
    BowConstant, BowKind, FadeMeasures, brace_after, constant_from_fades, constant_from_kind, kind_constant,
    string_change_for,
};
use crate::mechanics::estimate::{
    CHECKED_CHANGE, Chain, Contradiction, TurnPlan, bow_share, new_string, reading_sd,
};
use crate::mechanics::reacting::{self, Aim, Goes, Pace, Row};
use crate::mechanics::twist::{
    Construction, GUESSED_TURNS, TurnWindow, TurnsKnown, TwistBody, Yarn, turns_sd,
};
use crate::quantity::{Length, LengthRange, Turns};
use crate::trade::advice::{Caution, STRINGING_CAUTIONS, TURNING_CAUTIONS};
use crate::trade::plausible;
use crate::trade::ranges::widened;
use crate::trade::rules::Rules;
use crate::trade::verdict::{AS_READ, MEASURE_BEYOND};
use crate::words;

/// What both sums need.
#[derive(Debug, Clone, PartialEq)]
pub struct BowAndString {
    /// Kind of bow.
    pub kind: BowKind,
    /// Marked length.
    pub marked_length: Option<Length>,
    /// Loaded string length.
    pub length: Option<Length>,
    /// Brace height before.
    pub brace: Length,
    /// Readings it is the mean of.
    pub readings: u32,
    /// Wanted range; one value stands for itself ± 1/8 in.
    pub want: LengthRange,
    /// The four fade measures.
    pub fades: Option<FadeMeasures>,
}

/// What the sum of turns needs besides.
#[derive(Debug, Clone, PartialEq)]
pub struct TwistRequest {
    /// Bow and string.
    pub on: BowAndString,
    /// Yarn.
    pub yarn: Yarn,
    /// Strands.
    pub strands: u32,
    /// Plies.
    pub plies: u32,
    /// Full turns before.
    pub turns: Option<Turns>,
    /// How they are known.
    pub turns_known: Option<TurnsKnown>,
    /// Bench figure, inches of shortening per turn squared, at this length.
    pub turn_constant: Option<f64>,
    /// Turns that were then put in, and the brace height read.
    pub second: Option<(Turns, Length)>,
    /// Show turn by turn.
    pub table: bool,
}

words! {
    /// How a sum of turns came out.
    Outcome, "outcome" {
        /// Nothing is needed.
        InRange = "in-range",
        /// Turns will do.
        Adjust = "adjust",
        /// Turns will not do.
        OutOfReach = "out-of-reach",
    }
}

/// One more turn, line by line.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct TwistRow {
    /// Turns put in (+) or taken out (-).
    pub turns: i32,
    /// Turns then in the string.
    pub turns_in: f64,
    /// Shortening of the string, inches.
    pub string_change_inch: f64,
    /// Brace height then, inches.
    pub brace_after_inch: f64,
    /// What this turn alone does to the brace height, inches.
    pub per_turn_inch: f64,
}

/// The sum of turns.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TwistView {
    /// Whole turns advised.
    pub turns: Option<i32>,
    /// Unrounded need.
    pub turns_exact: Option<f64>,
    /// Shortening by the turns advised.
    pub string_change_inch: Option<f64>,
    /// Brace height now.
    pub brace_now_inch: f64,
    /// Brace height then; out of reach: at the window's limit.
    pub brace_after_inch: Option<f64>,
    /// sd of the true height then.
    pub brace_after_sd_inch: Option<f64>,
    /// Wanted range.
    pub want_low_inch: f64,
    /// Wanted range.
    pub want_high_inch: f64,
    /// Chance to land in it.
    pub chance_in_range: f64,
    /// Chance to lie in it after these turns and what the rows then say.
    pub chance_with_table: Option<f64>,
    /// What to do at which reading after all these turns in one go. Method M24.
    pub then: Vec<Row>,
    /// First part of these turns, where they are made in two goes. Method V10.
    pub first_step_turns: Option<i32>,
    /// Brace height expected after it.
    pub first_step_brace_inch: Option<f64>,
    /// What to do at which reading after that first part; `then` does not count any more.
    pub first_step_then: Vec<Row>,
    /// Turns in now.
    pub turns_now: f64,
    /// Window.
    pub turns_min: i32,
    /// Window.
    pub turns_max: i32,
    /// Brace heights that turning can reach.
    pub reach_low_inch: f64,
    /// Brace heights that turning can reach.
    pub reach_high_inch: f64,
    /// Brace height by the next turn.
    pub per_turn_inch: Option<f64>,
    /// How it came out.
    pub outcome: Outcome,
    /// True over predicted effect, after a second reading.
    pub ratio: Option<f64>,
    /// Its sd.
    pub ratio_sd: Option<f64>,
    /// Loaded length to build instead.
    pub length_inch: Option<f64>,
    /// Cautions.
    #[serde(skip)]
    pub cautions: Vec<Caution>,
    /// Turn by turn, where asked for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub table: Vec<TwistRow>,
    /// Notes that the caller shows as warnings.
    #[serde(skip)]
    pub notes: Vec<Note>,
}

/// The sum of length.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LengthView {
    /// Loaded length for the middle of the wanted range.
    pub length_inch: f64,
    /// Rounded as the workshop rounds.
    pub length_rounded_inch: f64,
    /// sd of the length, build tolerance included.
    pub length_sd_inch: f64,
    /// Shortening against the string on the bow.
    pub string_change_inch: f64,
    /// Inches of brace per inch of string.
    pub brace_per_inch: f64,
    /// Cautions.
    #[serde(skip)]
    pub cautions: Vec<Caution>,
    /// Notes that the caller shows as warnings.
    #[serde(skip)]
    pub notes: Vec<Note>,
}

/// Something worth knowing beside a sum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Note {
    /// The turns were not given.
    TurnsGuessed(f64),
    /// So few turns that the splice may slip.
    SpliceMaySlip {
        /// Turns in.
        turns: f64,
        /// Least of the window.
        least: i32,
    },
    /// More turns than the window allows.
    TooManyTurns {
        /// Turns in.
        turns: f64,
        /// Most of the window.
        most: i32,
    },
    /// The brace height lies outside what the kind's figures were made for.
    OutsideKind {
        /// From, inches.
        low: f64,
        /// To, inches.
        high: f64,
    },
    /// The change is larger than the law was checked for.
    LargeChange(f64),
    /// So long a change is measured once more before it is cut, inches: from where to where it bears it out.
    MeasureBeforeCut {
        /// Lowest reading.
        low: f64,
        /// Highest reading.
        high: f64,
    },
    /// Horsebows are never sized from a mark.
    Horsebow,
}

struct Ready {
    length: f64,
    brace: f64,
    brace_sd: f64,
    low: f64,
    high: f64,
    constant: BowConstant,
    notes: Vec<Note>,
}

fn ready(on: &BowAndString, rules: &Rules) -> Result<Ready, AppError> {
    let length = match (on.length, on.marked_length) {
        (Some(length), _) => length.inches(),
        (None, Some(marked)) => crate::trade::slips::standard_string_length(marked.inches()),
        (None, None) => {
            return Err(AppError::refused(
                "the string's length is needed",
                "give --length, or --marked for a bow of that length",
            ));
        }
    };
    let brace = on.brace.inches();
    let string = Length::try_from_inches(length);
    plausible::brace_high(on.brace, string, rules.units).map_err(AppError::cannot_be(
        "check which number is the brace height: string to the deepest point of the grip",
    ))?;
    let (low, high) = widened(on.want);
    let mut notes = Vec::new();
    let constant = match &on.fades {
        Some(fades) => constant_from_fades(on.kind, fades, brace).ok_or_else(|| {
            AppError::refused(
                "the four fade measures contradict each other",
                "free string: between its first contacts with the limbs; span: between the ends of the stiff middle; gap: string to limb axis at the fades; to nock: along the limb",
            )
        })?,
        None => constant_from_kind(on.kind, length),
    };
    if let Some((from, to)) = kind_constant(on.kind).brace_valid
        && !(from..=to).contains(&brace)
    {
        notes.push(Note::OutsideKind { low: from, high: to });
    }
    if on.kind == BowKind::Horsebow {
        notes.push(Note::Horsebow);
    }
    Ok(Ready {
        length,
        brace,
        brace_sd: reading_sd(rules.reading_sd, on.readings),
        low,
        high,
        constant,
        notes,
    })
}

/// Turns for a wanted brace height.
///
/// # Errors
/// Numbers that do not go together, or a second reading that contradicts the first.
pub fn twist(request: &TwistRequest, rules: &Rules) -> Result<TwistView, AppError> {
    let Ready { length, brace, brace_sd, low, high, constant, mut notes } = ready(&request.on, rules)?;
    let construction = Construction { yarn: request.yarn, strands: request.strands, plies: request.plies };
    let body = match request.turn_constant {
        Some(figure) => TwistBody::from_turn_constant(figure, length),
        None => TwistBody::from_build(construction, length),
    }
    .ok_or_else(|| {
        AppError::refused(
            format!("a string of {length:.2} in is too short to have a body that takes turns"),
            "check --length: it is the string's loaded length, loop end to loop end",
        )
    })?;
    let (min_degrees, max_degrees) = rules.window_degrees;
    let window = TurnWindow::from_helix(&body, min_degrees, max_degrees);
    let (turns, known) = match (request.turns, request.turns_known) {
        (Some(turns), known) => (turns.value(), known.unwrap_or(TurnsKnown::Shipped)),
        (None, Some(TurnsKnown::Shipped | TurnsKnown::Counted)) => {
            return Err(AppError::refused(
                "how the turns are known is given, but not how many",
                "add --turns N, or leave --turns-known out",
            ));
        }
        (None, _) => {
            let guess = GUESSED_TURNS.clamp(f64::from(window.min), f64::from(window.max));
            notes.push(Note::TurnsGuessed(guess));
            (guess, TurnsKnown::Guessed)
        }
    };
    if body.twist_parameter(turns) >= 1.0 {
        return Err(AppError::refused(
            format!("{turns} turns are more than a string of this make can hold"),
            "two plies show two crossings for each full turn: count full turns",
        ));
    }
    let prior = Chain::table_prior(&constant, &body);
    let mut chain = Chain::new(brace, brace_sd, constant.value, body, (turns, turns_sd(known, turns)), prior);
    let mut learned = None;
    if let Some((did, got)) = request.second {
        if turns + did.value() < 0.0 {
            return Err(AppError::refused(
                format!("{} turns cannot be taken out of a string that has {turns}", -did.value()),
                "--did counts turns put in (+) or taken out (-) since --brace was read",
            ));
        }
        chain = chain
            .after_reading(did.value(), got.inches(), brace_sd, (0.0, 0.0))
            .map_err(|found| contradiction(&found, did.value(), brace))?;
        learned = Some((chain.ratio, chain.ratio_sd()));
    }
    let plan = chain.plan(low, high, window);
    if chain.turns < f64::from(window.min) / 2.0 {
        notes.push(Note::SpliceMaySlip { turns: chain.turns, least: window.min });
    } else if chain.turns > f64::from(window.max) {
        notes.push(Note::TooManyTurns { turns: chain.turns, most: window.max });
    }
    if plan.needed.abs() > CHECKED_CHANGE {
        notes.push(Note::LargeChange(plan.needed));
    }
    let now = request.second.map_or(brace, |(_, got)| got.inches());
    let outcome = outcome(&plan, now, low, high);
    let (reach_low, reach_high) = chain.reach(window);
    let here = chain.forecast(0.0);
    let shown = if outcome == Outcome::InRange { here } else { plan.step };
    // What the bow's maker gives is not known here; one who turned once already has had the second go.
    let told = plan.step.filter(|_| outcome == Outcome::Adjust && request.second.is_none());
    let goes = told.map(|step| {
        let turns = step.turns.round() as i32;
        let allowed = (f64::NEG_INFINITY, f64::INFINITY);
        let aim = Aim::within(&chain, turns, window, (low, high), allowed, rules.reading_sd);
        reacting::goes(&chain, turns, &aim, Pace::USUAL)
    });
    let chance_with_table = goes.as_ref().map(Goes::chance);
    let (then, in_two) = goes.map_or_else(Default::default, |goes| (goes.at_once.rows, goes.in_two));
    let (first, on_the_way) = in_two.unzip();
    Ok(TwistView {
        turns: match outcome {
            Outcome::Adjust => plan.step.map(|step| step.turns.round() as i32),
            _ => None,
        },
        turns_exact: plan.exact,
        string_change_inch: match outcome {
            Outcome::Adjust => plan.step.map(|step| step.string_change),
            Outcome::InRange => Some(0.0),
            Outcome::OutOfReach => None,
        },
        brace_now_inch: chain.brace,
        brace_after_inch: shown.map(|step| step.brace),
        brace_after_sd_inch: shown.map(|step| step.sd),
        want_low_inch: low,
        want_high_inch: high,
        chance_in_range: shown.map_or(0.0, |step| step.chance_in(low, high)),
        chance_with_table,
        then,
        first_step_turns: first.map(|first| first.turns.round() as i32),
        first_step_brace_inch: first.map(|first| first.brace),
        first_step_then: on_the_way.map_or_else(Vec::new, |table| table.rows),
        turns_now: chain.turns,
        turns_min: window.min,
        turns_max: window.max,
        reach_low_inch: reach_low,
        reach_high_inch: reach_high,
        per_turn_inch: chain.forecast(1.0).map(|step| step.brace - chain.brace),
        outcome,
        ratio: learned.map(|(ratio, _)| ratio),
        ratio_sd: learned.map(|(_, sd)| sd),
        length_inch: (outcome != Outcome::InRange)
            .then(|| length_instead(&request.on, &constant, &chain, length, turns)),
        cautions: TURNING_CAUTIONS.to_vec(),
        table: if request.table { table(&chain, window) } else { Vec::new() },
        notes,
    })
}

/// Loaded length of the string to build instead: what was measured, less what turns have
/// shortened since, less what the middle of the range still asks for.
fn length_instead(on: &BowAndString, constant: &BowConstant, chain: &Chain, length: f64, turns: f64) -> f64 {
    let (low, high) = widened(on.want);
    let share = bow_share(constant.log_sd, chain.body.string_factor_log_sd);
    let change = string_change_for(chain.brace, 0.5 * (low + high), constant.value * chain.ratio.powf(share));
    let turned = chain.ratio.powf(1.0 - share) * chain.body.string_change(turns, chain.turns);
    length - turned - change
}

fn outcome(plan: &TurnPlan, now: f64, low: f64, high: f64) -> Outcome {
    let inside = |brace: f64| brace >= low - 1e-9 && brace <= high + 1e-9;
    if inside(now) {
        return Outcome::InRange;
    }
    match plan.step {
        Some(step) if step.turns.abs() >= 0.5 && (!plan.limited || inside(step.brace)) => Outcome::Adjust,
        _ => Outcome::OutOfReach,
    }
}

fn table(chain: &Chain, window: TurnWindow) -> Vec<TwistRow> {
    let least = (f64::from(window.min) - chain.turns).ceil() as i32;
    let most = (f64::from(window.max) - chain.turns).floor() as i32;
    (least..=most)
        .filter_map(|turns| {
            let step = chain.forecast(f64::from(turns))?;
            let before = chain.forecast(f64::from(turns - 1))?;
            Some(TwistRow {
                turns,
                turns_in: chain.turns + f64::from(turns),
                string_change_inch: step.string_change,
                brace_after_inch: step.brace,
                per_turn_inch: step.brace - before.brace,
            })
        })
        .collect()
}

fn contradiction(found: &Contradiction, turns: f64, before: f64) -> AppError {
    AppError::Refused {
        message: format!(
            "the second reading contradicts the first: {turns:+} turns from {before:.2} in should give about {:.2} in, give or take {:.2}, not {:.2} in",
            found.expected,
            2.0 * found.sd,
            found.read
        ),
        hints: vec![
            "measure again three times, string to the deepest point of the grip, and give the mean with --readings 3".to_owned(),
            "was it turned the other way, were crossings counted as full turns (two for each), or did a fresh string stretch?".to_owned(),
        ],
    }
}

/// String length for a wanted brace height.
///
/// # Errors
/// Numbers that do not go together.
pub fn length(on: &BowAndString, rules: &Rules) -> Result<LengthView, AppError> {
    let Ready { length, brace, brace_sd, low, high, constant, mut notes } = ready(on, rules)?;
    let middle = 0.5 * (low + high);
    let change = string_change_for(brace, middle, constant.value);
    let exact = length - change;
    if exact <= 0.0 || brace_after(brace, constant.value, change).is_none() {
        return Err(AppError::refused(
            "no string length gives that brace height on this bow",
            "check --brace, --want and --length: they must be of one bow, in one unit",
        ));
    }
    let new = new_string((brace, brace_sd), constant.value, constant.log_sd, change, rules.build_tolerance)
        .ok_or_else(|| AppError::Internal("the new string does not brace".to_owned()))?;
    if change.abs() > CHECKED_CHANGE {
        notes.push(Note::LargeChange(change));
    }
    if change.abs() > MEASURE_BEYOND && on.readings < 3 {
        notes.push(Note::MeasureBeforeCut { low: brace - AS_READ, high: brace + AS_READ });
    }
    Ok(LengthView {
        length_inch: exact,
        length_rounded_inch: crate::trade::sizing::to_step(exact, rules.rounding),
        length_sd_inch: new.length_sd,
        string_change_inch: change,
        brace_per_inch: constant.brace_per_inch(brace),
        cautions: STRINGING_CAUTIONS.to_vec(),
        notes,
    })
}
