//! What an archer is asked: which one measurement would narrow the answer most (method V02), and of
//! all that is left open the few questions that are sent.
//!
//! For each measurement the chance of a wrong decision is worked out before and, averaged
//! over what the measurement might say, after it. The average runs over nine fixed points of
//! the normal distribution; nothing is random.

use super::known::Known;
use super::records::BowProfile;
use super::words::{Ask, Symptom, Verdict};
use crate::mechanics::bow::rigid_link;
use crate::mechanics::estimate::Chain;
use crate::mechanics::twist::{TurnsKnown, turns_sd};
use crate::numeric::normal_chance_between;
use crate::trade::BowKind;

/// Points and weights of the nine-point Gauss-Hermite rule for a standard normal variable
/// (Abramowitz & Stegun, table 25.10, points times sqrt 2, weights over sqrt pi).
const NORMAL_POINTS: [(f64, f64); 9] = [
    (-4.512_745_863_399_78, 2.234_584_400_774_66e-5),
    (-3.205_429_002_856_47, 2.789_141_321_231_77e-3),
    (-2.076_847_978_677_83, 4.991_640_676_521_79e-2),
    (-1.023_255_663_789_13, 2.440_975_028_949_39e-1),
    (0.0, 4.063_492_063_492_06e-1),
    (1.023_255_663_789_13, 2.440_975_028_949_39e-1),
    (2.076_847_978_677_83, 4.991_640_676_521_79e-2),
    (3.205_429_002_856_47, 2.789_141_321_231_77e-3),
    (4.512_745_863_399_78, 2.234_584_400_774_66e-5),
];

/// Most questions that one message is answered with, beside those about danger. Judgement, no source:
/// who is asked more answers less.
pub const MOST_QUESTIONS: usize = 2;

/// Something that a message left open.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OpenQuestion {
    /// What it is about.
    pub about: Option<Ask>,
    /// The question, with the words it is about.
    pub question: String,
}

/// What a letter asks.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Questions {
    /// What the verdict needs, the most telling first, with what the message says of the same thing.
    pub ask: Vec<(Ask, Option<String>)>,
    /// Of a nock or a loop that does not fit.
    pub fit: Vec<Symptom>,
    /// What the message left open.
    pub open: Vec<String>,
}

/// It is asked because there may be danger, and outside the count.
#[must_use]
pub const fn is_of_danger(ask: Ask) -> bool {
    matches!(
        ask,
        Ask::StringSound | Ask::BowSound | Ask::ShotWithoutArrow | Ask::Tips | Ask::Stave | Ask::BowYear
    )
}

/// What a request is about: three readings of one thing are one question.
const fn thing(ask: Ask) -> Ask {
    match ask {
        Ask::BraceAgain => Ask::Brace,
        other => other,
    }
}

/// The few of a verdict's requests that are sent: danger first and outside the count, none twice for the
/// same thing, and not what is answered already: that nobody knows what the bow's maker gives.
pub(super) fn few(asks: &[Ask], bow: &BowProfile) -> Vec<Ask> {
    let mut kept: Vec<Ask> = Vec::new();
    for ask in asks {
        let is_answered = *ask == Ask::BraceRange && bow.range_unknown;
        if !is_answered && !kept.iter().any(|held| thing(*held) == thing(*ask)) {
            kept.push(*ask);
        }
    }
    let (danger, mut others): (Vec<Ask>, Vec<Ask>) = kept.into_iter().partition(|ask| is_of_danger(*ask));
    others.truncate(MOST_QUESTIONS);
    [danger, others].concat()
}

/// What a letter asks: what its verdict needs, then what must be known to make a fit good, then what the
/// message left open and what would change what is done. That is so of the brace height and the turns as
/// long as the string is turned or made by them; whatever else matters the verdict asks for itself.
#[must_use]
pub fn questions(verdict: Verdict, asks: &[Ask], fit: &[Symptom], open: &[OpenQuestion]) -> Questions {
    let mut left = MOST_QUESTIONS.saturating_sub(asks.iter().filter(|ask| !is_of_danger(**ask)).count());
    let fit: Vec<Symptom> = fit.iter().copied().take(left).collect();
    left -= fit.len();
    let by_the_brace = matches!(verdict, Verdict::Ask | Verdict::Adjust | Verdict::Remake);
    let about = |ask: Ask| open.iter().find(|open| open.about == Some(thing(ask)));
    let matters = |open: &&OpenQuestion| match open.about {
        Some(Ask::Brace | Ask::TurnsMade) => {
            by_the_brace && !asks.iter().any(|ask| Some(thing(*ask)) == open.about)
        }
        Some(_) => false,
        // Kept by an older version, which did not say.
        None => by_the_brace,
    };
    Questions {
        ask: asks.iter().map(|ask| (*ask, about(*ask).map(|open| open.question.clone()))).collect(),
        fit,
        open: open.iter().filter(matters).take(left).map(|open| open.question.clone()).collect(),
    }
}

/// A measurement with the chance of a wrong decision once it is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Candidate {
    /// What to measure.
    pub ask: Ask,
    /// Chance of a wrong decision, averaged over what it may say.
    pub wrong: f64,
}

/// What the choice of a measurement rests on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Question {
    /// Wanted range, inches.
    pub low: f64,
    /// Wanted range, inches.
    pub high: f64,
    /// Least chance with which an adjustment is advised.
    pub floor: f64,
}

/// Chance of a wrong decision when the outcome of the best turns has sd `after`, averaged over
/// where a measurement that takes away the rest of the spread `before` may move it.
fn chance_wrong(chain: &Chain, known: &Known, question: Question, before: f64, after: f64) -> f64 {
    let (reach_low, reach_high) = chain.reach(known.build.window);
    let moved = (before * before - after * after).max(0.0).sqrt();
    let middle = 0.5 * (question.low + question.high);
    NORMAL_POINTS
        .iter()
        .map(|(point, weight)| {
            let shift = moved * point;
            // What the measurement shows, new turns make up for as far as turning reaches.
            let lands = middle.clamp((reach_low + shift).min(reach_high + shift), reach_high + shift);
            let chance = normal_chance_between(question.low, question.high, lands, after.max(1e-6));
            weight * if chance >= question.floor { 1.0 - chance } else { chance }
        })
        .sum()
}

/// Chance of a wrong decision about a string whose turns are guessed, now and once they are
/// counted: how far it can still be turned hangs on the turns it has. Method V02.
fn wrong_by_turns_in(chain: &Chain, known: &Known, question: Question) -> (f64, f64) {
    let window = known.build.window;
    let chance = |turns: f64| {
        let counted = Chain { turns, turns_sd: turns_sd(TurnsKnown::Counted, turns), ..*chain };
        counted.plan(question.low, question.high, window).chance
    };
    let wrong = |chance: f64| if chance >= question.floor { 1.0 - chance } else { chance };
    let turned = chain.plan(question.low, question.high, window).chance >= question.floor;
    NORMAL_POINTS.iter().fold((0.0, 0.0), |(now, then), (point, weight)| {
        // No string is built with turns outside its window.
        let turns =
            (chain.turns + chain.turns_sd * point).clamp(f64::from(window.min), f64::from(window.max));
        let chance = chance(turns);
        (now + weight * if turned { 1.0 - chance } else { chance }, then + weight * wrong(chance))
    })
}

/// Measurements not yet taken, by how much each is expected to narrow the chance of a wrong
/// decision; and that chance now. The most useful comes first. Method V02.
#[must_use]
pub fn candidates(
    known: &Known,
    chain: &Chain,
    turns: f64,
    kind: BowKind,
    question: Question,
) -> (f64, Vec<Candidate>) {
    let spread = |chain: &Chain| chain.forecast(turns).map_or(0.0, |step| step.sd);
    let before = spread(chain);
    let turns_known = chance_wrong(chain, known, question, before, before);
    let guessed = known.turns_now.known == TurnsKnown::Guessed && chain.turns_sd > 0.0;
    let (by_turns, counted) = if guessed { wrong_by_turns_in(chain, known, question) } else { (0.0, 0.0) };
    let now = turns_known.max(by_turns);
    let mut found = Vec::new();
    let mut try_with = |ask: Ask, better: Chain| {
        let wrong = chance_wrong(chain, known, question, before, spread(&better).min(before));
        // What the turns in it leave open stays open.
        found.push(Candidate { ask, wrong: now - (turns_known - wrong) });
    };
    let thrice = 0.031_25_f64.powi(2);
    if chain.covariance[0][0] > 1.2 * thrice {
        let mut better = *chain;
        let shrink = (thrice / chain.covariance[0][0]).sqrt();
        better.covariance[0][0] = thrice;
        better.covariance[0][1] *= shrink;
        better.covariance[1][0] *= shrink;
        try_with(Ask::BraceAgain, better);
    }
    if !known.constant.measured && known.learned_from == 0 {
        let measured = rigid_link(kind).1;
        let own = known.constant.log_sd.powi(2);
        let mut better = *chain;
        better.covariance[1][1] =
            (chain.covariance[1][1] - own + measured * measured).clamp(0.0, chain.covariance[1][1]);
        try_with(Ask::Fades, better);
        if kind == BowKind::Unknown {
            let mut better = *chain;
            // The kinds' own spread, about 0.13, is what is left once the kind is known.
            better.covariance[1][1] =
                (chain.covariance[1][1] - own + 0.13 * 0.13).clamp(0.0, chain.covariance[1][1]);
            try_with(Ask::BowKind, better);
        }
    }
    if guessed {
        found.push(Candidate { ask: Ask::TurnsCount, wrong: counted.min(now) });
    }
    found.sort_by(|a, b| a.wrong.total_cmp(&b.wrong));
    (now, found)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn open(about: Option<Ask>, question: &str) -> OpenQuestion {
        OpenQuestion { about, question: question.to_owned() }
    }

    #[test]
    fn danger_comes_first_and_outside_the_count_and_nothing_is_asked_twice() {
        let bow = BowProfile::default();
        let asks = [Ask::Brace, Ask::BraceAgain, Ask::BraceRange, Ask::StringLength, Ask::BowSound];
        assert_eq!(few(&asks, &bow), [Ask::BowSound, Ask::Brace, Ask::BraceRange]);
        let unknown = BowProfile { range_unknown: true, ..bow };
        assert_eq!(few(&asks, &unknown), [Ask::BowSound, Ask::Brace, Ask::StringLength]);
        assert_eq!(few(&[Ask::BraceRange], &unknown), []);
    }

    #[test]
    fn what_a_message_left_open_is_asked_where_it_changes_what_is_done() {
        let left = [
            open(Some(Ask::Shots), "How many shots?"),
            open(Some(Ask::TurnsMade), "How many turns?"),
            open(Some(Ask::Brace), "Which height?"),
        ];
        let asked = |verdict, asks: &[Ask]| questions(verdict, asks, &[], &left).open;
        assert_eq!(asked(Verdict::Adjust, &[]), ["How many turns?", "Which height?"]);
        assert_eq!(asked(Verdict::Adjust, &[Ask::BraceAgain]), ["How many turns?"]);
        let merged = questions(Verdict::Ask, &[Ask::BraceAgain], &[], &left).ask;
        assert_eq!(merged, [(Ask::BraceAgain, Some("Which height?".to_owned()))]);
        assert_eq!(asked(Verdict::Ask, &[Ask::BraceAgain, Ask::BraceRange]), [""; 0]);
        assert_eq!(asked(Verdict::Ask, &[Ask::BowSound]).len(), 2);
        for settled in [Verdict::Reassure, Verdict::Mend, Verdict::Stop, Verdict::Refer] {
            assert_eq!(asked(settled, &[]), [""; 0]);
        }
        let fit = questions(Verdict::Adjust, &[Ask::Photo], &[Symptom::NockFit, Symptom::LoopFit], &left);
        assert_eq!((fit.fit, fit.open), (vec![Symptom::NockFit], vec![]));
    }

    #[test]
    fn the_rule_integrates_the_normal_moments() {
        // Moments of the standard normal: 1, 0, 1, 0, 3.
        let moment = |power: i32| NORMAL_POINTS.iter().map(|(x, w)| w * x.powi(power)).sum::<f64>();
        for (power, expected) in [(0, 1.0), (1, 0.0), (2, 1.0), (4, 3.0), (6, 15.0)] {
            assert!((moment(power) - expected).abs() < 1e-6, "{power}: {}", moment(power));
        }
    }
}
