//! The maker's own decision, within the limits that hold for it: who pays, whether a string is made
//! again, turns and length. A stop or a case for a bowyer stays what it is. Methods V32 to V35.

use super::Situation;
use crate::mechanics::estimate::new_string;
use crate::mechanics::stretch::yarn_change;
use crate::mechanics::twist::Yarn;
use crate::trade::advice::{Advice, Caution, Reason};
use crate::trade::build::Subject;
use crate::trade::decision::{Decided, Decision, Limit};
use crate::trade::records::SoldString;
use crate::trade::terms::TermsOf;
use crate::trade::words::{Cause, Symptom, Verdict};

impl Situation<'_> {
    /// The advice as the maker decided it. Method V34.
    pub(super) fn decide_otherwise(&self, worked: &Advice, decision: &Decision) -> Result<Advice, Limit> {
        let mut advice = worked.clone();
        let own_way = decision.turns.is_some() || decision.remake.is_some() || decision.length.is_some();
        // What waits for a figure the maker may decide without it.
        let waits = worked.reasons.iter().any(|reason| matches!(reason, Reason::StillMissing { .. }));
        if own_way && worked.verdict == Verdict::Refer && !waits {
            return Err(Limit::Refers);
        }
        if let Some(turns) = decision.turns {
            if worked.verdict == Verdict::Stop {
                return Err(Limit::Stops);
            }
            if decision.read_since {
                return Err(Limit::ReadSince);
            }
            advice = self.turned_as_decided(worked, turns)?;
        }
        match decision.remake {
            Some(true) => advice = self.made_again_as_decided(worked)?,
            Some(false) if worked.verdict == Verdict::Stop => without_a_new_string(&mut advice),
            Some(false) if worked.verdict == Verdict::Remake && decision.turns.is_none() => {
                return Err(Limit::WhatInstead);
            }
            _ => {}
        }
        if let Some(length) = decision.length {
            self.built_as_decided(&mut advice, length)?;
        }
        if advice.verdict == Verdict::Remake && advice.remake_length.is_none() {
            return Err(Limit::NoLength);
        }
        advice.reasons.insert(
            0,
            Reason::MakerDecided {
                decided: Decided::from(decision),
                verdict: worked.verdict,
                turns: worked.turns,
                length: worked.remake_length,
            },
        );
        Ok(advice)
    }

    /// A brace height lies in the range that the bow's maker gives; where nobody knows that, anything
    /// may lead there.
    fn within_the_makers_range(&self, brace: f64) -> Result<(), Limit> {
        match self.makers_range() {
            Some((low, high)) => within((low, high), brace, true),
            None => Ok(()),
        }
    }

    /// The same of what turns lead to: where nobody knows the maker's range, in the one that is wanted.
    fn within_limits(&self, brace: f64) -> Result<(), Limit> {
        if self.case.subject.bow.brace_range.is_some() {
            return self.within_the_makers_range(brace);
        }
        let wanted = self.known.wanted.ok_or(Limit::NoRange)?;
        within((wanted.low, wanted.high), brace, false)
    }

    /// Nothing of the string or the bow is left open that would make it dangerous to string it.
    fn safe_to_string(&self, worked: &Advice) -> Result<(), Limit> {
        let open = worked.cautions.contains(&Caution::DoNotShoot)
            || worked.reasons.iter().any(|reason| matches!(reason, Reason::SpliceMaySlip { .. }));
        if open { Err(Limit::Unsafe) } else { Ok(()) }
    }

    fn turned_as_decided(&self, worked: &Advice, turns: i32) -> Result<Advice, Limit> {
        self.safe_to_string(worked)?;
        if worked.flip {
            return Err(Limit::UpsideDown);
        }
        let window = self.known.build.window;
        let then = self.known.turns_now.turns.max(0.0) + f64::from(turns);
        if !window.allows(then) {
            return Err(Limit::Window { turns, then, min: window.min, max: window.max });
        }
        let chain = self.known.chain.filter(|_| !self.is_unstrung()).ok_or(Limit::NoBrace)?;
        let step = chain.forecast(f64::from(turns)).ok_or(Limit::NoBrace)?;
        self.within_limits(step.brace)?;
        let wanted = self.known.wanted.ok_or(Limit::NoRange)?;
        let mut advice = Advice::new(Verdict::Adjust, worked.likely_cause);
        if let Some((brace, readings)) = self.known.brace_read {
            advice.reasons.push(self.reads(brace, readings, &wanted));
        }
        self.lands(&mut advice, step, &wanted);
        self.more_settling(&mut advice, &chain);
        Ok(advice)
    }

    fn made_again_as_decided(&self, worked: &Advice) -> Result<Advice, Limit> {
        let mut advice = worked.clone();
        if !matches!(worked.verdict, Verdict::Stop | Verdict::Remake) {
            self.safe_to_string(worked)?;
            advice = Advice::new(Verdict::Remake, worked.likely_cause);
            if let (Some((brace, readings)), Some(wanted)) = (self.known.brace_read, &self.known.wanted) {
                advice.reasons.push(self.reads(brace, readings, wanted));
            }
        }
        if advice.remake_length.is_none() {
            self.add_remake(&mut advice, self.polyester_if_tender());
        }
        Ok(advice)
    }

    fn built_as_decided(&self, advice: &mut Advice, length: f64) -> Result<(), Limit> {
        let Some(yarn) = advice.remake_yarn else {
            return Err(Limit::NothingMade);
        };
        let there = self.length_within_limits(length, yarn)?;
        let string = SoldString { yarn, ..self.case.subject.string.clone() };
        let subject = Subject { string: &string, bench_radius: None, ..self.case.subject };
        advice.remake_length = Some(length);
        advice.remake_turns = subject.body(length).map(|(_, _, usual)| usual);
        advice.reasons.retain(|reason| {
            !matches!(
                reason,
                Reason::RemakeLength { .. }
                    | Reason::AsOldString { .. }
                    | Reason::SizedAnew { .. }
                    | Reason::NoLengthToBuild
            )
        });
        (advice.brace_after, advice.brace_after_sd, advice.chance_in_range) = (None, None, None);
        if let Some((brace, sd)) = there.filter(|_| advice.verdict == Verdict::Remake) {
            (advice.brace_after, advice.brace_after_sd) = (Some(brace), Some(sd));
            advice.chance_in_range = self
                .known
                .wanted
                .map(|wanted| crate::numeric::normal_chance_between(wanted.low, wanted.high, brace, sd));
        }
        Ok(())
    }

    /// The brace height of a new string of that loaded length, with its sd; nothing where no brace
    /// height was read that it could be worked out from, or the present string's length is not known.
    /// Method V35.
    pub(super) fn length_within_limits(&self, length: f64, yarn: Yarn) -> Result<Option<(f64, f64)>, Limit> {
        let (Some(chain), Some(wanted), true) =
            (self.known.chain, self.known.wanted, self.known.build.length_from.is_of_the_string())
        else {
            return Ok(None);
        };
        let subject = self.case.subject;
        let (exact, change) = self.known.right_length(chain.brace, wanted.middle());
        let (other, other_sd) = yarn_change(
            subject.string.yarn,
            yarn,
            self.known.build.length,
            subject.bow.kind,
            subject.bow.draw_weight.map(|weight| weight.pounds()),
            subject.rules.load_lb,
        );
        let (constant, log_sd) = self.known.learned_constant();
        let made = new_string(
            (chain.brace, chain.brace_sd()),
            constant,
            log_sd,
            change - (length - exact - other),
            subject.rules.build_tolerance,
        )
        .ok_or(Limit::Length { length })?;
        self.within_the_makers_range(made.brace)?;
        let length_sd = made.length_sd.hypot(other_sd).hypot(self.known.build.length_sd);
        Ok(Some((made.brace, constant / made.brace * length_sd)))
    }

    /// Who pays for what is made: the maker's decision, else the workshop's terms. Method V32.
    pub(super) fn who_pays(&self, advice: &mut Advice, decision: Option<&Decision>) {
        if !advice.makes_something() {
            return;
        }
        let rules = self.case.subject.rules;
        let of = decision.and_then(|decision| decision.of).unwrap_or_else(|| self.under_the_terms(advice));
        let term = rules.terms.term(of, self.case.subject.string, self.report.received_on);
        if let Some(term) = term {
            advice.reasons.push(Reason::Term {
                of,
                months: term.months,
                since: term.since,
                delivered: term.delivered,
                over: term.over,
            });
        }
        let by_the_terms = !term.is_some_and(|term| term.over);
        let free = decision.and_then(|decision| decision.free).unwrap_or(by_the_terms);
        advice.free = Some(free);
        // The price that is set is that of a string.
        advice.price = rules.terms.price.filter(|_| !free && advice.verdict != Verdict::Mend);
    }

    /// What counts under the terms where nobody said it. Method V33.
    fn under_the_terms(&self, advice: &Advice) -> TermsOf {
        let said = |wanted: fn(&Reason) -> bool| advice.reasons.iter().any(wanted);
        let of_the_workshop =
            said(|reason| matches!(reason, Reason::TooWeak { .. } | Reason::LowStretchOnTenderBow { .. }));
        let worn = said(|reason| {
            let loose = |symptom: &Symptom| matches!(symptom, Symptom::ServingGap | Symptom::ServingLoose);
            let broken = |symptom: &Symptom| matches!(symptom, Symptom::BrokenStrand | Symptom::Frayed);
            match reason {
                Reason::Danger { symptom } => broken(symptom),
                Reason::MadeGood { symptom } => loose(symptom),
                Reason::PhotoShowsDamage => true,
                _ => false,
            }
        });
        let dry_fire = said(|reason| matches!(reason, Reason::Danger { symptom: Symptom::DryFire }));
        match advice.verdict {
            _ if of_the_workshop => TermsOf::Workshop,
            Verdict::Stop if dry_fire || advice.likely_cause == Cause::Handling => TermsOf::Handling,
            Verdict::Stop | Verdict::Mend if worn => TermsOf::Wear,
            _ => TermsOf::Workshop,
        }
    }
}

fn within((low, high): (f64, f64), brace: f64, makers: bool) -> Result<(), Limit> {
    if brace < low - 1e-9 || brace > high + 1e-9 {
        return Err(Limit::Range { brace, low, high, makers });
    }
    Ok(())
}

fn without_a_new_string(advice: &mut Advice) {
    (advice.remake_length, advice.remake_turns, advice.remake_yarn) = (None, None, None);
    advice.reasons.retain(|reason| {
        !matches!(
            reason,
            Reason::RemakeLength { .. }
                | Reason::AsOldString { .. }
                | Reason::OtherYarn { .. }
                | Reason::LengthFromMark { .. }
                | Reason::SizedAnew { .. }
                | Reason::NoLengthToBuild
        )
    });
}
