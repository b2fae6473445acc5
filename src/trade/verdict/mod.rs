//! How a verdict is reached: one table of rules, tried in order, over pure inputs. Method V01.
//!
//! 1 safety, 2 cosmetic, 3 which way up, 4 enough known, 5 settling, 6 turns against remake.

mod decided;
mod fit;
mod looks;
mod remedy;
mod safety;
mod weigh;

pub use fit::{AS_READ, MEASURE_BEYOND};

use chrono::NaiveDate;

use super::advice::{Advice, Caution, Reason, STRINGING_CAUTIONS};
use super::ask::few;
use super::build::{Build, LengthFrom, Subject};
use super::cause::built_off;
use super::decision::{Decision, Limit};
use super::known::{Known, known};
use super::ranges::{Wanted, widened};
use super::records::{Report, SoldString};
use super::signs::ReportSign;
use super::strength::{Strength, strength_of};
use super::tender::{takes_polyester_only, tender_bow};
use super::told::Told;
use super::words::{Ask, Cause, Symptom, Verdict};
use crate::mechanics::learning::Pool;
use crate::mechanics::settling::Settling;
use crate::mechanics::twist::{TurnsKnown, Yarn};

/// Everything a verdict is reached from.
#[derive(Debug, Clone, Copy)]
pub struct Case<'a> {
    /// String, bow, rules.
    pub subject: Subject<'a>,
    /// All reports of the string, oldest first; the last is the one to answer.
    pub reports: &'a [Report],
    /// The workshop's own second readings of other strings.
    pub pool: &'a Pool,
    /// What settling is expected of this yarn, pre-stretched.
    pub settling: Settling,
    /// The last message left something open that is asked back.
    pub open_doubts: bool,
    /// What the last letter before the newest reading told to turn.
    pub told: Option<Told>,
    /// The day.
    pub today: NaiveDate,
}

/// Why no verdict can be reached at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoVerdict {
    /// There is no report.
    NoReport,
    /// The string is too short to have a body that takes turns.
    NoBody,
}

struct Situation<'a> {
    case: Case<'a>,
    report: &'a Report,
    known: Known,
}

/// A rule gives advice, or leaves the case to the next.
type Rule = fn(&Situation<'_>) -> Option<Advice>;

/// The rules, in order.
const RULES: [Rule; 15] = [
    safety::danger,
    safety::too_weak,
    safety::splice_may_slip,
    safety::low_stretch_on_tender_bow,
    safety::trouble_with_the_bow,
    safety::may_be_danger,
    looks::cosmetic,
    looks::way_up,
    fit::what_came_last_is_unclear,
    fit::turns_not_as_told,
    fit::readings_in_doubt,
    fit::enough_known,
    fit::in_range,
    fit::settling,
    fit::turns_or_remake,
];

fn situation(case: Case<'_>) -> Result<Situation<'_>, NoVerdict> {
    let report = case.reports.last().ok_or(NoVerdict::NoReport)?;
    let known = known(case.subject, case.reports, case.pool, &case.settling).ok_or(NoVerdict::NoBody)?;
    Ok(Situation { case, report, known })
}

/// What the rules say: the first one that has something to say. Method V01.
fn reach(case: Case<'_>) -> Result<(Situation<'_>, Advice), NoVerdict> {
    let situation = situation(case)?;
    let mut advice = RULES.iter().find_map(|rule| rule(&situation)).unwrap_or_else(|| situation.too_vague());
    // No string is promised as long as nobody can say how long it has to be. Method V42.
    if advice.verdict == Verdict::Remake && advice.remake_length.is_none() {
        advice.remake_yarn = None;
        advice = situation.asked_once(advice, vec![Ask::StringLength]);
    }
    Ok((situation, advice))
}

/// Works out the verdict. Method V01.
///
/// # Errors
/// No report, or a string too short to take turns.
pub fn decide(case: Case<'_>) -> Result<Advice, NoVerdict> {
    decide_by(case, None)
}

/// The verdict as the maker decided it, as far as that still goes with what is known. Method V34.
///
/// # Errors
/// No report, or a string too short to take turns.
pub fn decide_by(case: Case<'_>, decision: Option<&Decision>) -> Result<Advice, NoVerdict> {
    let (situation, worked) = reach(case)?;
    let advice = match decision.map(|decision| situation.decide_otherwise(&worked, decision)) {
        None => worked,
        Some(Ok(decided)) => decided,
        Some(Err(limit)) => {
            let mut worked = worked;
            worked.reasons.insert(0, Reason::DecisionLapsed { limit });
            worked
        }
    };
    Ok(situation.finish(advice, decision))
}

/// The verdict that a decision would lead to, or the limit that it goes beyond. Method V34.
///
/// # Errors
/// No report, or a string too short to take turns.
pub fn decided(case: Case<'_>, decision: &Decision) -> Result<Result<Advice, Limit>, NoVerdict> {
    let (situation, worked) = reach(case)?;
    Ok(situation.decide_otherwise(&worked, decision).map(|advice| situation.finish(advice, Some(decision))))
}

/// Whether a new string of that loaded length and yarn keeps to the limits. Method V35.
///
/// # Errors
/// No report, or a string too short to take turns.
pub fn may_be_built(case: Case<'_>, length: f64, yarn: Yarn) -> Result<Result<(), Limit>, NoVerdict> {
    Ok(situation(case)?.length_within_limits(length, yarn).map(drop))
}

/// The string that would be made again for a report, whatever the verdict is.
#[derive(Debug, Clone, PartialEq)]
pub struct Remedy {
    /// Loaded length, rounded as the workshop rounds, inches; absent where nothing says it.
    pub length: Option<f64>,
    /// Turns to build it with.
    pub turns: Option<i32>,
    /// Yarn.
    pub yarn: Yarn,
}

/// Works out the replacement for a report: length, turns, yarn; `strands` where it gets others
/// than the first.
///
/// # Errors
/// No report, or a string too short to take turns.
pub fn remedy(case: Case<'_>, strands: Option<u32>) -> Result<Remedy, NoVerdict> {
    let situation = situation(case)?;
    let mut advice = Advice::new(Verdict::Remake, Cause::Unknown);
    let yarn = situation.polyester_if_tender();
    situation.add_remake(&mut advice, yarn);
    let length = advice.remake_length;
    let turns = match strands {
        Some(_) => {
            let string = SoldString { yarn, strands, ..case.subject.string.clone() };
            let subject = Subject { string: &string, bench_radius: None, ..case.subject };
            length.and_then(|length| subject.body(length)).map(|(_, _, usual)| usual)
        }
        None => advice.remake_turns,
    };
    Ok(Remedy { length, turns, yarn })
}

impl Situation<'_> {
    fn has(&self, symptom: Symptom) -> bool {
        self.report.symptoms.contains(&symptom)
    }

    /// What the bow's maker gives, inches.
    fn makers_range(&self) -> Option<(f64, f64)> {
        self.case.subject.bow.brace_range.map(widened)
    }

    fn strength(&self) -> Strength {
        let subject = self.case.subject;
        strength_of(subject.string, subject.bow, subject.rules)
    }

    /// What is to be said of the strength, whatever the verdict is. Method T14.
    fn say_strength(&self, advice: &mut Advice) {
        let own = match self.strength() {
            Strength::Below(sum) => {
                // The turns were worked out for as many strands as it has, and it needs to hold more.
                advice.remake_turns = None;
                for reason in &mut advice.reasons {
                    if let Reason::RemakeLength { turns, .. } = reason {
                        *turns = None;
                    }
                }
                let said = |reason: &Reason| matches!(reason, Reason::TooWeak { .. });
                if !advice.reasons.iter().any(said) {
                    advice.reasons.push(Reason::TooWeak { sum: sum.clone() });
                }
                Some(sum)
            }
            Strength::Enough(sum) => Some(sum),
            Strength::NotChecked(missing) => {
                advice.reasons.push(Reason::StrengthNotChecked { missing });
                None
            }
        };
        advice
            .reasons
            .extend(own.filter(|sum| sum.strand.own.is_some()).map(|sum| Reason::OwnStrength { sum }));
    }

    /// A symptom of this report, or of an earlier one that is not settled.
    fn has_open(&self, symptom: Symptom) -> bool {
        self.open_reports().any(|report| report.says(symptom))
    }

    /// The report to answer, and those of the string that are not settled.
    fn open_reports(&self) -> impl Iterator<Item = &Report> {
        let last = self.report.number;
        self.case.reports.iter().filter(move |report| !report.settled || report.number == last)
    }

    /// The bow could not be strung with this string, and no later message reads a brace height.
    fn is_unstrung(&self) -> bool {
        self.has(Symptom::WillNotString)
            && !self.report.readings.iter().skip(1).any(|reading| reading.measurements.brace.is_some())
    }

    fn speaks_of_fit(&self) -> bool {
        self.report.symptoms.iter().any(|symptom| symptom.is_fit())
    }

    /// The complaint or the reading says that the brace height is not right; what is cosmetic
    /// comes after that.
    fn is_about_fit(&self) -> bool {
        let outside = self
            .known
            .wanted
            .zip(self.known.brace_read)
            .is_some_and(|(wanted, (brace, _))| !wanted.contains(brace));
        self.speaks_of_fit() || outside
    }

    fn asks_which_way_up(&self) -> bool {
        self.has(Symptom::ServingPlace) || self.has(Symptom::NockingPoint)
    }

    fn polyester_if_tender(&self) -> Yarn {
        let subject = self.case.subject;
        let yarn = subject.string.yarn;
        if yarn.is_low_stretch() && takes_polyester_only(subject.bow, self.case.today, subject.rules) {
            Yarn::Polyester
        } else {
            yarn
        }
    }

    fn reads(&self, brace: f64, readings: u32, wanted: &Wanted) -> Reason {
        Reason::Reads { brace, readings, low: wanted.low, high: wanted.high, source: wanted.source }
    }

    /// Asks for what nothing can be advised without. Nobody is asked twice: whoever answered with less is
    /// told what is missing, and where it is to be had.
    fn asked_once(&self, advice: Advice, ask: Vec<Ask>) -> Advice {
        let mut advice = Advice { verdict: Verdict::Ask, ask, ..advice };
        if self.known.answered {
            let missing = std::mem::take(&mut advice.ask);
            advice.verdict = Verdict::Refer;
            advice.reasons.extend(missing.into_iter().map(|ask| Reason::StillMissing { ask }));
        }
        advice
    }

    /// Nothing in the report says what is wrong.
    fn too_vague(&self) -> Advice {
        let mut advice = Advice::new(Verdict::Ask, Cause::Unknown);
        advice.reasons.push(Reason::TooVague);
        advice.ask = vec![Ask::Brace, Ask::Photo];
        advice
    }

    /// Built off what was ordered beyond tolerance is the workshop's; the rest is sizing.
    fn fit_cause(&self) -> Cause {
        match self.case.subject.string.ordered {
            // Nobody knows what it was ordered like.
            None => Cause::Unknown,
            Some(_) if self.built_off().is_some() => Cause::Workshop,
            Some(_) => Cause::Sizing,
        }
    }

    fn built_off(&self) -> Option<(f64, f64)> {
        built_off(self.case.subject.string, &self.known, self.case.subject.rules)
    }

    fn complaint_against_reading(&self, advice: &mut Advice, brace: f64, wanted: &Wanted) {
        let against = if brace > wanted.high {
            [Symptom::BraceLow, Symptom::TooLong]
        } else {
            [Symptom::BraceHigh, Symptom::TooShort]
        };
        advice.reasons.extend(
            against
                .into_iter()
                .filter(|symptom| self.has(*symptom))
                .map(|symptom| Reason::ComplaintAgainstReading { symptom }),
        );
    }

    /// The advice with what every verdict says, and who pays.
    fn finish(&self, mut advice: Advice, decision: Option<&Decision>) -> Advice {
        self.fill_in(&mut advice);
        self.who_pays(&mut advice, decision);
        advice.ask = few(&advice.ask, self.case.subject.bow);
        if self.known.by_strip && advice.ask.contains(&Ask::BraceAgain) {
            advice.reasons.push(Reason::ReadByStrip);
        }
        // Where nobody knows what the bow's maker gives, and nothing else is asked, a person looks.
        if advice.verdict == Verdict::Ask && advice.ask.is_empty() {
            advice.ask.push(Ask::Photo);
        }
        advice
    }

    /// Numbers every verdict shows as far as they are known, and the reasons that go with them.
    fn fill_in(&self, advice: &mut Advice) {
        let known = &self.known;
        let body = &known.build.body;
        let now = known.turns_now.turns.max(0.0);
        let window = known.build.window;
        if let Some(wanted) = known.wanted {
            advice.want = Some((wanted.low, wanted.high));
            advice.want_source = Some(wanted.source);
            if wanted.wish_set_aside {
                advice.reasons.push(Reason::WishSetAside);
            }
        }
        advice.brace_now = known.chain.map(|chain| chain.brace);
        advice.turns_now = Some((now, known.turns_now.sd));
        advice.window = Some((window.min, window.max));
        advice.reach = known.chain.map(|chain| chain.reach(window));
        advice.play_used = Some(known.shortened_by_turns());
        advice.play_left_in = Some(body.string_change(now, f64::from(window.max)).max(0.0));
        advice.play_left_out = Some(body.string_change(f64::from(window.min), now).max(0.0));
        let about_length = matches!(advice.verdict, Verdict::Adjust | Verdict::Remake)
            && known.chain.is_some()
            && !advice.flip;
        if let Some((record, count)) = known.count_against_record {
            advice.reasons.push(Reason::CountAgainstRecord { record, count });
        }
        let few_or_many = !window.allows(now) && known.turns_now.known != TurnsKnown::Guessed;
        if few_or_many && advice.verdict != Verdict::Stop {
            advice.reasons.push(Reason::TurnsOutsideWindow { turns: now, min: window.min, max: window.max });
        }
        if let Some(measured) = known.length_measured.filter(|_| about_length) {
            let ordered = self.case.subject.string.ordered.map(crate::quantity::Length::inches);
            advice.reasons.push(Reason::LengthMeasured { measured, ordered });
        }
        if about_length {
            advice.reasons.extend(self.not_on_record());
            if known.build.length_from == LengthFrom::Nothing && !advice.ask.contains(&Ask::StringLength) {
                advice.ask.push(Ask::StringLength);
            }
            if let Some((built, ordered)) = self.built_off() {
                advice.reasons.push(Reason::BuiltOff {
                    built,
                    ordered,
                    tolerance: self.case.subject.rules.build_tolerance,
                });
            }
            advice.reasons.push(Reason::TurnsIn {
                turns: now,
                sd: known.turns_now.sd,
                known: known.turns_now.known,
                usual: known.build.usual_from,
                changed: known.turns_changed,
            });
            if known.learned_from > 0
                && let Some(chain) = known.chain
            {
                advice.reasons.push(Reason::Learned {
                    ratio: chain.ratio,
                    sd: chain.ratio_sd(),
                    readings: known.learned_from,
                });
            }
            let of_bow = self.case.subject.bow_effect;
            advice.reasons.extend(of_bow.map(|effect| Reason::BowLearned { ratio: effect.ratio }));
            if known.prior.readings > 0 {
                advice
                    .reasons
                    .push(Reason::Pooled { ratio: known.prior.ratio, readings: known.prior.readings });
            } else if of_bow.is_none() {
                advice.reasons.push(Reason::TableFigures);
            }
            self.would_change(advice);
        }
        advice.reasons.extend(known.slips.iter().map(|slip| Reason::Slipped { slip: *slip }));
        // Nobody goes on by a table while a sign of danger is open.
        if self.open_reports().any(|report| report.signs.iter().any(ReportSign::is_open)) {
            advice.drop_tables();
        }
        self.add_besides(advice);
        self.say_strength(advice);
        if matches!(advice.verdict, Verdict::Stop) {
            advice.cautions.insert(0, Caution::DoNotShoot);
        }
        if matches!(advice.verdict, Verdict::Stop | Verdict::Refer) {
            advice.cautions.extend([
                Caution::Inspect,
                Caution::NeverDryFire,
                Caution::StopOnDamage,
                Caution::AskBowyer,
            ]);
        }
        if advice.remake_yarn == Some(Yarn::Polyester)
            && tender_bow(self.case.subject.bow, self.case.today, self.case.subject.rules).is_some()
        {
            advice.cautions.push(Caution::PolyesterOnly);
        }
        // Who is told not to string the bow is told nothing about stringing it.
        let not_strung = advice.cautions.contains(&Caution::DoNotShoot);
        if not_strung && advice.verdict == Verdict::Ask {
            advice.cautions.extend([Caution::UseStringer, Caution::StopOnDamage, Caution::AskBowyer]);
        } else if matches!(advice.verdict, Verdict::Remake | Verdict::Mend | Verdict::Reassure | Verdict::Ask)
        {
            advice.cautions.extend(STRINGING_CAUTIONS);
        }
        if self.is_unstrung() {
            advice.cautions.insert(0, Caution::NeverForce);
            // There is nothing to unstring.
            advice.cautions.retain(|caution| *caution != Caution::UnstringFirst);
        }
        let mut seen = std::collections::BTreeSet::new();
        advice.cautions.retain(|caution| seen.insert(*caution));
    }

    /// By which length, as it is by now, a string is judged of which none is on record. Method V42.
    fn not_on_record(&self) -> Option<Reason> {
        let Build { length, length_sd: sd, length_from: from, .. } = self.known.build;
        let length = length - self.known.shortened_by_turns();
        (from != LengthFrom::Record).then_some(Reason::LengthNotOnRecord { from, length, sd })
    }

    /// What else the archer complains of is answered too, whatever the verdict.
    fn add_besides(&self, advice: &mut Advice) {
        if matches!(advice.verdict, Verdict::Stop | Verdict::Refer) {
            return;
        }
        let made_good = |symptom| Reason::MadeGood { symptom };
        let besides = [
            (Symptom::LooseTags, Reason::TagsHarmless),
            (Symptom::Fuzzy, Reason::WaxIn),
            (Symptom::Kinked, Reason::KinkHarmless),
            (Symptom::ServingGap, made_good(Symptom::ServingGap)),
            (Symptom::ServingLoose, made_good(Symptom::ServingLoose)),
            (Symptom::NockFit, made_good(Symptom::NockFit)),
            (Symptom::LoopFit, made_good(Symptom::LoopFit)),
            (Symptom::NotAsOrdered, Reason::NotAsOrdered),
        ];
        for (symptom, reason) in besides {
            if self.has(symptom) && !advice.reasons.contains(&reason) {
                advice.reasons.push(reason);
            }
        }
        if self.has(Symptom::NotAsOrdered) && self.known.photo.is_none() && !advice.ask.contains(&Ask::Photo)
        {
            advice.ask.push(Ask::Photo);
        }
    }

    /// The brace heights at which the verdict would be another.
    fn would_change(&self, advice: &mut Advice) {
        let (Some(wanted), Some(chain)) = (self.known.wanted, self.known.chain) else { return };
        let (low, high) = chain.reach(self.known.build.window);
        match advice.verdict {
            Verdict::Adjust if !advice.flip => advice.reasons.push(Reason::WouldChange {
                verdict: Verdict::Reassure,
                above: (chain.brace < wanted.low).then_some(wanted.low),
                below: (chain.brace > wanted.high).then_some(wanted.high),
            }),
            // What settles is weighed with that: another brace height is not judged by turns alone.
            Verdict::Remake
                if advice.reasons.contains(&Reason::OutOfReach)
                    && self.with_settling(&chain, &wanted).is_none() =>
            {
                // By h'² = h² + 2 K dL turning adds the same to the square of any brace height.
                let squared =
                    |edge: f64, reach: f64| edge * edge - (reach * reach - chain.brace * chain.brace);
                let above = Some(squared(wanted.low, high)).filter(|_| high < wanted.low);
                let below = Some(squared(wanted.high, low)).filter(|_| low > wanted.high);
                let (above, below) =
                    (above.filter(|h| *h > 0.0).map(f64::sqrt), below.filter(|h| *h > 0.0).map(f64::sqrt));
                if above.or(below).is_some() {
                    advice.reasons.push(Reason::WouldChange { verdict: Verdict::Adjust, above, below });
                }
            }
            _ => {}
        }
    }
}
