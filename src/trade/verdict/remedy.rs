//! What a verdict comes with: turns and where they land, costs, the string to build, what to ask.

use super::Situation;
use crate::mechanics::estimate::{Chain, Forecast, new_string};
use crate::mechanics::reacting::{Aim, Goes, Pace, Row, goes};
use crate::mechanics::settling::growth_between;
use crate::mechanics::stretch::{loaded_from_hand_tight, yarn_change};
use crate::mechanics::twist::Yarn;
use crate::trade::BowKind;
use crate::trade::advice::{Advice, FirstStep, Reason, TURNING_CAUTIONS};
use crate::trade::ask::{Candidate, Question, candidates};
use crate::trade::build::Subject;
use crate::trade::known::settling_factor;
use crate::trade::ranges::Wanted;
use crate::trade::sizing::{Start, ordered_from, to_step};
use crate::trade::slips::mark_slip;
use crate::trade::words::{Ask, LengthAt, Route, Verdict, WantSource};

/// Turns in one go where nobody knows what the bow's maker gives: half of a large step (judgement, no
/// source). Method V10.
const SMALL_STEP: i32 = 6;
/// Chance that turning would have done after all, from which a remake waits for a measurement.
/// Method V09.
const REMAKE_DOUBT: f64 = 0.05;
/// What a measurement must be expected to take off that chance to be asked for beside others
/// (judgement, no source). Methods V02, V09.
const LEAST_WORTH: f64 = 0.02;

impl Situation<'_> {
    /// Turns that are advised, and where they land.
    pub(super) fn lands(&self, advice: &mut Advice, step: Forecast, wanted: &Wanted) {
        let small = self.in_small_steps(wanted);
        let most = f64::from(2 * SMALL_STEP).copysign(step.turns);
        // A string with too many or too few turns is brought into its window at once.
        let window = self.known.build.window;
        let cut = self
            .known
            .chain
            .filter(|chain| small && step.turns.abs() > most.abs() && window.allows(chain.turns + most));
        let step = cut.and_then(|chain| chain.forecast(most)).unwrap_or(step);
        let turns = step.turns.round() as i32;
        let chance = step.chance_in(wanted.low, wanted.high);
        advice.turns = Some(turns);
        advice.brace_after = Some(step.brace);
        advice.brace_after_sd = Some(step.sd);
        advice.chance_in_range = Some(chance);
        advice.reasons.push(Reason::Lands { turns, brace: step.brace, sd: step.sd, chance });
        advice.cautions.extend(TURNING_CAUTIONS);
        let Some(chain) = self.known.chain else { return };
        let goes = self.goes(&chain, step, wanted);
        advice.chance_with_table = Some(goes.chance());
        advice.then = goes.at_once.rows;
        if let Some((first, on_the_way)) = goes.in_two {
            let first = FirstStep { turns: first.turns.round() as i32, brace: first.brace, sd: first.sd };
            (advice.first_step, advice.first_step_then) = (Some(first), on_the_way.rows);
        }
        let mut is_cut = false;
        for rows in [&mut advice.then, &mut advice.first_step_then].into_iter().filter(|_| small) {
            is_cut |= in_small_steps(rows);
        }
        // Less is turned then than the chance was worked out for.
        advice.chance_with_table = advice.chance_with_table.filter(|_| !is_cut);
    }

    /// The turns in one go, and in two where they are many or come right more often so.
    pub(super) fn goes(&self, chain: &Chain, step: Forecast, wanted: &Wanted) -> Goes {
        let turns = step.turns.round() as i32;
        // After all of them the archer may turn further only inside what the bow's maker gives.
        let allowed = self.makers_range().unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
        let (window, rules) = (self.known.build.window, self.case.subject.rules);
        // Who reads by strip will read by it again.
        let reading_sd =
            if self.known.by_strip { rules.strip_sd.max(rules.reading_sd) } else { rules.reading_sd };
        let aim = Aim::within(chain, turns, window, (wanted.low, wanted.high), allowed, reading_sd);
        let pace = if self.in_small_steps(wanted) {
            Pace { most: SMALL_STEP, learn_from: 0.0 }
        } else {
            Pace::USUAL
        };
        goes(chain, turns, &aim, pace)
    }

    /// Nobody knows what the bow's maker gives: the table's range is gone to in small steps.
    fn in_small_steps(&self, wanted: &Wanted) -> bool {
        wanted.source == WantSource::Table && self.case.subject.bow.range_unknown
    }

    /// Growth still to come, where it would be noticed. Method V03.
    pub(super) fn more_settling(&self, advice: &mut Advice, chain: &Chain) {
        let rules = self.case.subject.rules;
        let Some(shots) = self.known.shots.filter(|shots| *shots < rules.settle_shots) else { return };
        let (growth, _) = growth_between(
            &self.case.settling,
            f64::from(shots),
            f64::from(rules.settle_shots),
            f64::from(rules.settle_shots),
            self.case.subject.string.yarn,
        );
        let growth = growth * settling_factor(self.case.subject.string);
        if growth >= 0.03 {
            let brace = growth * chain.constant * chain.ratio / chain.brace;
            advice.reasons.push(Reason::MoreSettling { growth, brace, shots: rules.settle_shots - shots });
            advice.measure_again_after = Some(rules.settle_shots - shots);
        }
    }

    /// Expected costs of both ways, each term as a reason. Method V04.
    pub(super) fn costs(&self, advice: &mut Advice, wanted: &Wanted, chance: f64) {
        let costs = self.case.subject.rules.costs;
        let once = costs.once();
        let adjust = costs.answer + ((1.0 - chance) * once as f64).round() as i64;
        advice.cost_adjust = Some(adjust);
        advice.reasons.push(Reason::CostAdjust { answer: costs.answer, chance, again: once, total: adjust });
        if let Some(misfit) = self.remake_misfit(wanted) {
            let remake = once + (misfit * once as f64).round() as i64;
            advice.cost_remake = Some(remake);
            advice.reasons.push(Reason::CostRemake { once, misfit, total: remake });
        }
    }

    /// Rounded loaded length for a yarn with its sd, and the change against the string now. Method V11.
    pub(super) fn remake_length(&self, wanted: &Wanted, yarn: Yarn) -> Option<Remake> {
        let rules = self.case.subject.rules;
        let string = self.case.subject.string;
        let chain = self.known.chain?;
        let (exact, change) = self.known.right_length(chain.brace, wanted.middle());
        let (other, other_sd) = yarn_change(
            string.yarn,
            yarn,
            self.known.build.length,
            self.case.subject.bow.kind,
            self.case.subject.bow.draw_weight.map(|weight| weight.pounds()),
            rules.load_lb,
        );
        let exact = exact + other;
        let rounded = to_step(exact, rules.rounding);
        let (constant, log_sd) = self.known.learned_constant();
        let built_change = change - (rounded - exact);
        let new = new_string(
            (chain.brace, chain.brace_sd()),
            constant,
            log_sd,
            built_change,
            rules.build_tolerance,
        )?;
        let length_sd = new.length_sd.hypot(other_sd).hypot(self.known.build.length_sd);
        Some(Remake {
            exact,
            rounded,
            length_sd,
            brace: new.brace,
            brace_sd: constant / new.brace * length_sd,
            other_yarn: (other, other_sd),
        })
    }

    /// Chance that a remake does not land in the range as it comes. Method V04.
    pub(super) fn remake_misfit(&self, wanted: &Wanted) -> Option<f64> {
        let remake = self.remake_length(wanted, self.case.subject.string.yarn)?;
        Some(
            1.0 - crate::numeric::normal_chance_between(
                wanted.low,
                wanted.high,
                remake.brace,
                remake.brace_sd,
            ),
        )
    }

    /// The remedy: length, turns, yarn. Method V11.
    pub(super) fn add_remake(&self, advice: &mut Advice, yarn: Yarn) {
        let string = self.case.subject.string;
        advice.remake_yarn = Some(yarn);
        let rules = self.case.subject.rules;
        let wanted = self.known.wanted.filter(|wanted| wanted.source != WantSource::Table);
        let mut string_as_built = string.clone();
        string_as_built.yarn = yarn;
        let subject = Subject { string: &string_as_built, bench_radius: None, ..self.case.subject };
        let usual = |length: f64| subject.body(length).map(|(_, _, usual)| usual);
        if self.case.subject.bow.kind == BowKind::Horsebow
            && let Some((length, at)) = self.known.measured
        {
            // Asked for was the length of an old string that fits; it is built again.
            let old = string.old_yarn.unwrap_or(string.yarn);
            let loaded = match at {
                LengthAt::Loaded => length,
                _ => loaded_from_hand_tight(length, old).0,
            };
            let rounded = to_step(loaded, rules.rounding);
            advice.remake_length = Some(rounded);
            advice.remake_turns = usual(rounded);
            advice.reasons.push(Reason::AsOldString { length: rounded });
            return;
        }
        if !self.known.build.length_from.is_of_the_string() {
            if let Some(length) = self.sized_anew(advice, yarn) {
                advice.remake_length = Some(length);
                advice.remake_turns = usual(length);
            }
            return;
        }
        if let Some(remake) = wanted
            .filter(|wanted| self.known.brace_read.is_some_and(|(brace, _)| !wanted.contains(brace)))
            .and_then(|wanted| self.remake_length(&wanted, yarn))
        {
            advice.remake_length = Some(remake.rounded);
            advice.remake_turns = usual(remake.rounded);
            if yarn != string.yarn {
                let (change, sd) = remake.other_yarn;
                advice.reasons.push(Reason::OtherYarn { from: string.yarn, to: yarn, change, sd });
            }
            advice.reasons.push(Reason::RemakeLength {
                length: remake.rounded,
                exact: remake.exact,
                sd: remake.length_sd,
                turns: advice.remake_turns,
                brace: remake.brace,
            });
            if let Some(marked) = self.case.subject.bow.marked_length
                && let Some(slip) = mark_slip(remake.exact, marked.inches())
            {
                advice.reasons.push(Reason::Slipped { slip });
            }
            if advice.verdict == Verdict::Remake {
                advice.brace_after = Some(remake.brace);
                advice.brace_after_sd = Some(remake.brace_sd);
                advice.chance_in_range = wanted.map(|wanted| {
                    crate::numeric::normal_chance_between(
                        wanted.low,
                        wanted.high,
                        remake.brace,
                        remake.brace_sd,
                    )
                });
            }
            return;
        }
        // Nothing speaks against the length as ordered; another yarn still asks for its own.
        let length = self.known.build.length - self.known_good_change();
        let (other, sd) = yarn_change(
            string.yarn,
            yarn,
            length,
            self.case.subject.bow.kind,
            self.case.subject.bow.draw_weight.map(|weight| weight.pounds()),
            rules.load_lb,
        );
        let exact = length + other;
        let rounded = to_step(exact, rules.rounding);
        advice.remake_length = Some(rounded);
        advice.remake_turns = usual(rounded);
        if yarn != string.yarn {
            advice.reasons.push(Reason::OtherYarn { from: string.yarn, to: yarn, change: other, sd });
        }
    }

    /// Length of a new string in place of one whose length nobody knows: from the bow, as the
    /// workshop sizes any. Method V42.
    fn sized_anew(&self, advice: &mut Advice, yarn: Yarn) -> Option<f64> {
        let (bow, rules) = (self.case.subject.bow, self.case.subject.rules);
        let marked = bow.marked_length.map(|length| (Route::Marked, length));
        let measured = marked.or(bow.nock_to_nock.map(|length| (Route::NockToNock, length)));
        let sized = measured.filter(|_| bow.kind != BowKind::Horsebow).and_then(|(route, stated)| {
            let (stated, offset) = (stated.inches(), rules.offset(route, bow.kind));
            let start = Start { route, stated, at: LengthAt::Unknown, old_yarn: None, yarn };
            let length = ordered_from(&start, offset, rules.rounding)?.inches();
            Some((length, Reason::SizedAnew { route, stated, offset, length }))
        });
        let (length, reason) = sized.unzip();
        advice.reasons.push(reason.unwrap_or(Reason::NoLengthToBuild));
        length
    }

    /// Where the brace height is right now, the length that was turned in belongs to the remake.
    pub(super) fn known_good_change(&self) -> f64 {
        if self.reads_in_range() { self.known.shortened_by_turns() } else { 0.0 }
    }

    /// Measurements that would decide a remake in doubt, the most useful first. Method V09.
    pub(super) fn ask_before_remake(
        &self,
        advice: &mut Advice,
        chain: &Chain,
        step: Forecast,
        wanted: &Wanted,
    ) -> Option<Vec<Ask>> {
        // Nobody is asked twice: who answered with less is advised with what is there.
        if self.known.answered {
            return None;
        }
        let rules = self.case.subject.rules;
        let question = Question { low: wanted.low, high: wanted.high, floor: rules.chance_floor };
        let (now, found) = candidates(&self.known, chain, step.turns, self.case.subject.bow.kind, question);
        // What the first answer asks for anyway, readings once more, costs nothing further, and beside
        // one question another costs little.
        let once_more = self.read_once();
        let price =
            |ask: Ask| if ask == Ask::BraceAgain && once_more { 0.0 } else { rules.costs.question_gain() };
        let worth = |c: &Candidate| now - c.wrong;
        if now < REMAKE_DOUBT || !found.iter().any(|c| worth(c) >= price(c.ask).max(LEAST_WORTH)) {
            return None;
        }
        let useful: Vec<_> = found.into_iter().filter(|c| worth(c) >= LEAST_WORTH).collect();
        let first = useful.first()?;
        advice.reasons.push(Reason::WouldNarrow { ask: first.ask, wrong_now: now, wrong_then: first.wrong });
        let mut ask: Vec<Ask> = useful.iter().map(|c| c.ask).collect();
        if once_more && !ask.contains(&Ask::BraceAgain) {
            ask.push(Ask::BraceAgain);
        }
        Some(ask)
    }

    /// Beside an uncertain answer: what one more measurement would do, the most useful first. Method V02.
    pub(super) fn ask_beside(&self, advice: &mut Advice, chain: &Chain, step: Forecast, wanted: &Wanted) {
        let floor = self.case.subject.rules.chance_floor;
        let question = Question { low: wanted.low, high: wanted.high, floor };
        let (now, found) = candidates(&self.known, chain, step.turns, self.case.subject.bow.kind, question);
        let useful: Vec<_> = found.into_iter().filter(|c| now - c.wrong >= LEAST_WORTH).collect();
        if now < 0.1 {
            return;
        }
        advice.ask = useful.iter().map(|c| c.ask).collect();
        if let Some(first) = useful.first() {
            advice.reasons.push(Reason::WouldNarrow {
                ask: first.ask,
                wrong_now: now,
                wrong_then: first.wrong,
            });
        }
        if advice.verdict != Verdict::Ask
            && self.known.shots.is_none()
            && self.case.subject.string.delivered_on.is_some()
        {
            advice.ask.push(Ask::Shots);
        }
    }
}

/// Holds the rows of a table to small steps; whether any told more.
fn in_small_steps(rows: &mut Vec<Row>) -> bool {
    let most = |row: &Row| row.turns.map(|turns| turns.clamp(-SMALL_STEP, SMALL_STEP));
    let is_cut = rows.iter().any(|row| most(row) != row.turns);
    for row in rows.iter_mut() {
        row.turns = most(row);
    }
    rows.dedup_by(|next, row| {
        let alike = next.turns == row.turns;
        if alike {
            row.high_inch = next.high_inch;
        }
        alike
    });
    is_cut
}

/// A remake with its numbers, inches.
pub(super) struct Remake {
    exact: f64,
    rounded: f64,
    length_sd: f64,
    brace: f64,
    brace_sd: f64,
    other_yarn: (f64, f64),
}
