//! Settling and turning weighed together, and no free string on less than a reading can be off.
//! Method V25.

use super::{Situation, fit};
use crate::mechanics::estimate::{Chain, TurnPlan};
use crate::mechanics::settling::growth_between;
use crate::trade::advice::{Advice, Reason};
use crate::trade::known::{Known, settling_factor};
use crate::trade::ranges::Wanted;
use crate::trade::words::{Ask, Cause, Verdict, WantSource};

/// What one careful reading is off by, inches (judgement, no source: the sd of a reading, M22).
/// A free string never hangs on less. Method V25.
pub(super) const READING_ERROR: f64 = 0.0625;

/// A new string that reads high: turns and settling as one.
pub(super) struct WithSettling {
    /// The state once it has settled, with no turn made.
    pub(super) settled: Chain,
    /// Turns, nought or to be let out, and the chance to lie in the range once it has settled.
    pub(super) plan: TurnPlan,
    /// Growth still to come, inches of string, and its upper end.
    pub(super) growth: f64,
    pub(super) upper: f64,
    /// Shots until then.
    pub(super) shots: u32,
    /// The string is shorter by so much than the top of the range asks for, inches.
    pub(super) high: f64,
    /// Turns and settling together bring it into the range.
    pub(super) brought_in: bool,
}

impl Situation<'_> {
    /// The highest brace height that the bow's maker gives; where nobody knows it, what is wanted.
    pub(super) fn top(&self, wanted: &Wanted) -> (f64, bool) {
        match self.makers_range() {
            Some((_, high)) => (high.max(wanted.high), true),
            None => (wanted.high, false),
        }
    }

    /// Turns and settling as one, for a string that still settles and reads above the range. It is
    /// let out so that it settles to the middle of the range, but where it stands above what the
    /// bow's maker gives at least to there, since it is not shot in above that. Method V25.
    pub(super) fn with_settling(&self, chain: &Chain, wanted: &Wanted) -> Option<WithSettling> {
        let settle_shots = self.case.subject.rules.settle_shots;
        let shots = self.known.shots.filter(|shots| *shots < settle_shots)?;
        if chain.brace <= wanted.high + 1e-9 {
            return None;
        }
        let factor = settling_factor(self.case.subject.string);
        let (growth, sd) = growth_between(
            &self.case.settling,
            f64::from(shots),
            f64::from(settle_shots),
            f64::from(settle_shots),
            self.case.subject.string.yarn,
        );
        let (growth, sd) = (growth * factor, sd * factor);
        let settled = chain.grown((growth, sd))?;
        let window = self.known.build.window;
        let plan = settled.plan(wanted.low, wanted.high, window);
        let least = (f64::from(window.min) - chain.turns).ceil().min(0.0);
        let (top, _) = self.top(wanted);
        let under_top = if chain.brace > top + 1e-9 {
            chain.body.turns_for_change(chain.turns, chain.string_change_to(top)).map_or(least, f64::floor)
        } else {
            0.0
        };
        let aimed = plan.step.map_or(least, |step| step.turns);
        let turns = aimed.min(under_top).clamp(least, 0.0);
        let step = settled.forecast(turns)?;
        // Inside what the bow's maker gives it may be shot in, and the upper end of growth is waited for.
        let shot_in = chain.brace <= top + 1e-9
            && chain
                .grown((growth + sd, 0.0))
                .and_then(|grown| grown.forecast(turns))
                .is_some_and(|step| wanted.contains(step.brace));
        let plan = TurnPlan { step: Some(step), chance: step.chance_in(wanted.low, wanted.high), ..plan };
        Some(WithSettling {
            settled,
            plan,
            growth,
            upper: growth + sd,
            shots: settle_shots - shots,
            high: -chain.string_change_to(wanted.high),
            brought_in: wanted.contains(step.brace) || shot_in,
        })
    }

    /// What is said of a new string that settling brings into the range, alone or with the turns
    /// that may be let out. It is never shot in above what the bow's maker gives. Method V25.
    pub(super) fn settles_into_range(
        &self,
        advice: &mut Advice,
        chain: &Chain,
        wanted: &Wanted,
        with: &WithSettling,
    ) {
        let turns = with.plan.step.map_or(0.0, |step| step.turns);
        let (top, known) = self.top(wanted);
        advice.measure_again_after = Some(with.shots);
        if with.high <= with.upper {
            advice.likely_cause = Cause::Settling;
        }
        if turns > -0.5 {
            advice.likely_cause = Cause::Settling;
            advice.reasons.push(Reason::SettlesDown { high: with.high, upper: with.upper });
            if chain.brace > top + 1e-9 {
                advice.verdict = Verdict::Ask;
                advice.reasons.push(Reason::MakerDecides { top, known });
                advice.ask = vec![Ask::BraceRange];
            } else {
                advice.verdict = Verdict::Reassure;
            }
            return;
        }
        if let Some(step) = chain.forecast(turns) {
            self.lands(advice, step, wanted);
            // What it reads then is not yet what it is to read.
            advice.drop_tables();
            if step.brace > top + 1e-9 {
                advice.reasons.push(Reason::MakerDecides { top, known });
                advice.ask = vec![Ask::BraceRange];
            }
        }
        if let Some(then) = with.settled.forecast(turns) {
            advice.chance_in_range = Some(with.plan.chance);
            advice.reasons.push(Reason::LetOutAndSettles {
                growth: with.growth,
                shots: with.shots,
                brace: then.brace,
                sd: then.sd,
                chance: with.plan.chance,
            });
        }
    }

    /// The same with a brace height that was read differently by so much.
    fn moved(&self, by: f64) -> Option<Situation<'_>> {
        let (brace, readings) = self.known.brace_read?;
        let chain = self.known.chain?;
        (brace + by > 0.0 && chain.brace + by > 0.0).then(|| Situation {
            case: self.case,
            report: self.report,
            known: Known {
                brace_read: Some((brace + by, readings)),
                chain: Some(Chain { brace: chain.brace + by, ..chain }),
                ..self.known.clone()
            },
        })
    }

    /// The verdicts for a brace height that was read a reading's error lower and higher.
    fn beside(&self) -> Vec<Verdict> {
        [-READING_ERROR, READING_ERROR]
            .into_iter()
            .filter_map(|by| self.moved(by))
            .filter_map(|s| fit::in_range(&s).or_else(|| fit::settling(&s)).or_else(|| fit::weigh(&s, false)))
            .map(|advice| advice.verdict)
            .collect()
    }

    /// The brace height rests on a single reading.
    pub(super) fn read_once(&self) -> bool {
        self.known.brace_readings <= 1 && self.known.brace_read.is_some_and(|(_, readings)| readings < 3)
    }

    /// Holds a free string back where a reading's error decides about it: a single reading is taken
    /// again first, and next to a brace height with which nothing would be wrong no string is made
    /// again at all, but turned where turns do, else cleared up. Method V25.
    pub(super) fn held_back(&self, advice: Advice, wanted: &Wanted) -> Advice {
        if advice.verdict != Verdict::Remake {
            return advice;
        }
        let beside = self.beside();
        let all_well = beside.contains(&Verdict::Reassure);
        let undecided = self.read_once() && beside.contains(&Verdict::Adjust);
        if !all_well && !undecided {
            return advice;
        }
        if all_well && let Some(turned) = fit::weigh(self, true).filter(|a| a.verdict == Verdict::Adjust) {
            return turned;
        }
        // Nobody is asked twice: next to the range, inside what the bow's maker gives, it may stay.
        let makers = self.makers_range();
        let chance = self.known.chain.map_or(0.0, |chain| {
            crate::numeric::normal_chance_between(wanted.low, wanted.high, chain.brace, chain.brace_sd())
        });
        if all_well
            && self.known.answered
            && let Some((brace, readings)) = self.known.brace_read
            && makers.is_none_or(|(low, high)| (low - 1e-9..=high + 1e-9).contains(&brace))
        {
            let mut stays = Advice::new(Verdict::Reassure, Cause::Unknown);
            stays.reasons = vec![self.reads(brace, readings, wanted), Reason::AtTheEdge { chance }];
            stays.chance_in_range = Some(chance);
            return stays;
        }
        let mut asked = Advice::new(Verdict::Ask, advice.likely_cause);
        let of_the_remedy = |reason: &Reason| {
            matches!(
                reason,
                Reason::OutOfReach
                    | Reason::BelowFloor { .. }
                    | Reason::RemakeCheaper
                    | Reason::RemakeLength { .. }
                    | Reason::OtherYarn { .. }
                    | Reason::AsOldString { .. }
            )
        };
        (asked.cost_adjust, asked.cost_remake) = (advice.cost_adjust, advice.cost_remake);
        asked.reasons = advice.reasons.into_iter().filter(|reason| !of_the_remedy(reason)).collect();
        asked.reasons.push(Reason::ReadingDecides { off: READING_ERROR });
        if self.known.brace_readings <= 1 {
            asked.ask.push(Ask::BraceAgain);
        }
        if !self.read_once() {
            // Inside what the bow's maker gives there is nothing to ask the maker.
            let inside = wanted.source == WantSource::Archer && self.case.subject.bow.brace_range.is_some();
            asked.ask.push(if inside { Ask::Photo } else { Ask::BraceRange });
        }
        asked
    }
}
