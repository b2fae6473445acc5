//! What is advised, with every reason and caution as a value that carries its numbers.
//!
//! Sentences are made of them in one place, `show::sentences`.

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};

use super::build::LengthFrom;
use super::decision::{Decided, Limit};
use super::signs::SignOf;
use super::slips::Slip;
use super::strength::{Missing, Sum};
use super::terms::TermsOf;
use super::usual::UsualFrom;
use super::words::{Ask, Cause, Route, Symptom, Verdict, WantSource};
use crate::mechanics::reacting::Row;
use crate::mechanics::twist::{TurnsKnown, Yarn};

/// Why low-stretch yarn must not be shot on a bow.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum TenderBow {
    /// Tips without reinforcement.
    PlainTips,
    /// Wood alone.
    WoodStave,
    /// As old as this many years.
    Vintage(i32),
}

/// What two readings that contradict each other look like.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Mistake {
    /// Turned the wrong way.
    WrongWay,
    /// Crossings counted as turns, so only half was put in.
    Crossings,
    /// Hardly turned at all.
    NotTurned,
    /// Far more than was said.
    FarTooMuch,
}

/// One reason for a verdict. Lengths in inches, money in minor units.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "reason", rename_all = "kebab-case")]
#[allow(missing_docs, reason = "the line of each variant says what its numbers are")]
pub enum Reason {
    /// A sign of danger in the string or bow.
    Danger { symptom: Symptom },
    /// A photo shows damage.
    PhotoShowsDamage,
    /// It holds less than its bow asks of a string.
    TooWeak { sum: Sum },
    /// Its strength stands on a figure of the workshop's own above the source's.
    OwnStrength { sum: Sum },
    /// Its strength is not checked, because these are not known.
    StrengthNotChecked { missing: Vec<Missing> },
    /// So few turns that the splice may slip.
    SpliceMaySlip { turns: f64, least: i32, known: TurnsKnown },
    /// Low-stretch yarn on a bow that does not bear it.
    LowStretchOnTenderBow { yarn: Yarn, why: TenderBow },
    /// Nothing is known of the bow that would allow low-stretch yarn.
    LowStretchBowUnknown { yarn: Yarn },
    /// Signs of trouble with the bow.
    BowSigns { signs: Vec<String> },
    /// The last message leaves open how the string stands now.
    LastMessageUnclear,
    /// A letter told to turn, and the reading after it does not say how many turns were made.
    TurnsNotTold {
        /// Turns that it told, in (+) or out (-).
        told: i32,
    },
    /// Turns that the last letter cannot have led to.
    TurnsBeyondTold {
        /// Turns that are said to be made, in (+) or out (-).
        said: f64,
        /// Least that it may have led to.
        least: i32,
        /// Most that it may have led to.
        most: i32,
    },
    /// Words that may speak of danger, of one kind.
    SpeaksOfDanger { of: SignOf, signs: Vec<String> },
    /// Loose tag ends do no harm.
    TagsHarmless,
    /// Fuzz wants wax.
    WaxIn,
    /// A kink without cut fibres.
    KinkHarmless,
    /// Serving or loop is made good; the string is right.
    MadeGood { symptom: Symptom },
    /// It is not what was ordered.
    NotAsOrdered,
    /// It is upside down, by its marker.
    MarkerDown,
    /// It is upside down, by its serving.
    ServingHigh { read: f64, built: f64 },
    /// The serving sits where it was built.
    ServingAsBuilt { read: f64, built: f64 },
    /// The serving sits elsewhere.
    ServingOff { read: f64, built: f64 },
    /// Which way up is the question.
    WhichWayUp,
    /// Without a brace height nothing can be worked out.
    NoBrace,
    /// Turned since the brace height was last read.
    TurnedSince { turns: f64, before: f64, expected: f64 },
    /// It cannot be strung, so its length is needed.
    NoLength,
    /// Without a wanted range nothing can be judged.
    NoRange,
    /// It was asked for, the archer answered with less, and nothing can be advised without it.
    StillMissing { ask: Ask },
    /// More must be known to say what is wrong.
    TooVague,
    /// The bow is of a kind that is never sized from a mark.
    NeverFromMark,
    /// What the brace height reads and what it should be.
    Reads { brace: f64, readings: u32, low: f64, high: f64, source: WantSource },
    /// The brace height lies in the range.
    InRange { chance: f64 },
    /// Loud or slapping inside the range: the quiet place must be found.
    QuietPlace,
    /// A paper strip was read, and a ruler would be surer.
    ReadByStrip,
    /// The archer's wish lies outside the bow maker's range.
    WishSetAside,
    /// Only the table speaks, and it is near.
    TableOnly { distance: f64 },
    /// On a table range alone nothing is remade.
    TableNeverRemakes,
    /// The complaint and the reading disagree.
    ComplaintAgainstReading { symptom: Symptom },
    /// Two readings contradict each other.
    Contradiction { turns: f64, before: f64, expected: f64, read: f64, mistake: Mistake },
    /// Turns do about half of what they should.
    HalfEffect { ratio: f64, sd: f64 },
    /// Two brace heights without turns between that differ.
    Remeasured { before: f64, now: f64 },
    /// More turns out than in.
    MoreOutThanIn { had: f64, out: f64 },
    /// A count that disagrees with the record; the string is believed.
    CountAgainstRecord { record: f64, count: f64 },
    /// More, or fewer, turns than such a string should have.
    TurnsOutsideWindow { turns: f64, min: i32, max: i32 },
    /// A length under load that an archer measured and that is believed.
    LengthMeasured { measured: f64, ordered: Option<f64> },
    /// What length a string is judged by of which none is on record.
    LengthNotOnRecord { from: LengthFrom, length: f64, sd: f64 },
    /// A new string in place of one whose length nobody knows, sized from the bow.
    SizedAnew { route: Route, stated: f64, offset: f64, length: f64 },
    /// Nothing says how long a new string has to be.
    NoLengthToBuild,
    /// The change lies beyond what the law was checked for.
    LargeChange { string_change: f64 },
    /// Before a free remake the measurement is taken once more.
    MeasureBeforeRemake,
    /// It is made again, and the archer measures once more before it is cut.
    MeasureBeforeWeCut { low: f64, high: f64 },
    /// In the range, but so near its end that it may lie beyond; no turns make it surer.
    AtTheEdge { chance: f64 },
    /// The reading lies so near the range that a second one decides.
    NearTheEdge { distance: f64 },
    /// The length of an old string that fits is built again.
    AsOldString { length: f64 },
    /// Long enough by the workshop's own rule, so it should go on.
    LongEnough { measured: f64, right: f64 },
    /// It reads high, which goes down while it settles.
    SettlesDown { high: f64, upper: f64 },
    /// What is left after letting out settles in the shots to come.
    LetOutAndSettles { growth: f64, shots: u32, brace: f64, sd: f64, chance: f64 },
    /// It would settle, but it stands above what the bow's maker gives, and no turns are left to let out.
    MakerDecides { top: f64, known: bool },
    /// A reading that is off by so much would change the answer.
    ReadingDecides { off: f64 },
    /// The nocking point is set on the bow.
    NockingPointIsSet,
    /// The photo shows nothing wrong.
    PhotoSound,
    /// The serving's place was not measured.
    ServingUnmeasured,
    /// A measuring slip.
    Slipped { slip: Slip },
    /// How the turns in the string are known.
    TurnsIn { turns: f64, sd: f64, known: TurnsKnown, usual: UsualFrom, changed: f64 },
    /// What is needed.
    Needs { string_change: f64, turns: Option<f64> },
    /// What turning can reach.
    Reach { low: f64, high: f64, min: i32, max: i32 },
    /// Turning cannot do it.
    OutOfReach,
    /// A new string reads low by what new strings grow.
    Settling { short: f64, expected: f64, upper: f64, shots: Option<u32>, readings: u32 },
    /// More growth is to be expected.
    MoreSettling { growth: f64, brace: f64, shots: u32 },
    /// Where the turns are expected to land.
    Lands { turns: i32, brace: f64, sd: f64, chance: f64 },
    /// What was learned from this archer's readings.
    Learned { ratio: f64, sd: f64, readings: u32 },
    /// What the workshop's own readings say.
    Pooled { ratio: f64, readings: u32 },
    /// Nothing of the workshop's own stands behind the figures yet.
    TableFigures,
    /// Second readings with another string for the bow showed how it answers.
    BowLearned {
        /// Against the table of its kind.
        ratio: f64,
    },
    /// Expected cost of adjusting: answer + (1 - chance) x (answer + remake + label).
    CostAdjust { answer: i64, chance: f64, again: i64, total: i64 },
    /// Expected cost of remaking: answer + remake + label + misfit x the same again.
    CostRemake { once: i64, misfit: f64, total: i64 },
    /// The chance lies below the workshop's floor.
    BelowFloor { chance: f64, floor: f64 },
    /// Adjusting is the cheaper way.
    AdjustCheaper,
    /// Remaking is the cheaper way.
    RemakeCheaper,
    /// The length to build.
    RemakeLength { length: f64, exact: f64, sd: f64, turns: Option<i32>, brace: f64 },
    /// What the workshop builds for a bow of that mark.
    LengthFromMark { marked: f64, offset: f64, length: f64 },
    /// The string is shorter than it should be.
    ShorterThanRight { short: f64, turns: Option<f64> },
    /// Another yarn asks for another length.
    OtherYarn { from: Yarn, to: Yarn, change: f64, sd: f64 },
    /// It was built off what was ordered.
    BuiltOff { built: f64, ordered: f64, tolerance: f64 },
    /// What one more measurement would do.
    WouldNarrow { ask: Ask, wrong_now: f64, wrong_then: f64 },
    /// The maker decided otherwise than it was worked out.
    MakerDecided { decided: Decided, verdict: Verdict, turns: Option<i32>, length: Option<f64> },
    /// What the maker decided no longer goes with what is known.
    DecisionLapsed { limit: Limit },
    /// A term of the workshop's that counts for what is made.
    Term { of: TermsOf, months: u32, since: NaiveDate, delivered: bool, over: bool },
    /// What would change the verdict.
    WouldChange { verdict: Verdict, above: Option<f64>, below: Option<f64> },
}

/// A caution that goes with advice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Caution {
    /// Do not shoot this string or bow.
    DoNotShoot,
    /// Polyester only on this bow.
    PolyesterOnly,
    /// Never force a string on; said of a bow that could not be strung.
    NeverForce,
    /// Unstring before turning.
    UnstringFirst,
    /// Use a stringer.
    UseStringer,
    /// Seat both loops.
    SeatLoops,
    /// Never untwist all the way; the plies must close up.
    PliesClose,
    /// Inspect string and bow.
    Inspect,
    /// Never dry-fire.
    NeverDryFire,
    /// Stay within the bow maker's range.
    StayInRange,
    /// Stop on damage.
    StopOnDamage,
    /// The bow's maker or a qualified bowyer decides.
    AskBowyer,
}

/// Cautions that go with every turn of a string.
pub const TURNING_CAUTIONS: [Caution; 9] = [
    Caution::UnstringFirst,
    Caution::UseStringer,
    Caution::PliesClose,
    Caution::SeatLoops,
    Caution::Inspect,
    Caution::NeverDryFire,
    Caution::StayInRange,
    Caution::StopOnDamage,
    Caution::AskBowyer,
];

/// Cautions that go with putting a string on.
pub const STRINGING_CAUTIONS: [Caution; 7] = [
    Caution::UseStringer,
    Caution::SeatLoops,
    Caution::Inspect,
    Caution::NeverDryFire,
    Caution::StayInRange,
    Caution::StopOnDamage,
    Caution::AskBowyer,
];

/// Cautions that go with looking string and bow over, with the bow unstrung.
pub const LOOKING_CAUTIONS: [Caution; 5] = [
    Caution::DoNotShoot,
    Caution::UseStringer,
    Caution::NeverDryFire,
    Caution::StopOnDamage,
    Caution::AskBowyer,
];

/// A first part of a large step, after which the archer measures.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FirstStep {
    /// Full turns.
    pub turns: i32,
    /// Brace height expected then, inches.
    pub brace: f64,
    /// Its sd, inches.
    pub sd: f64,
}

/// The verdict with its numbers. Lengths in inches, money in minor units; what does not
/// apply is `None`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Advice {
    /// What is to be done.
    pub verdict: Verdict,
    /// Full turns to put in (+) or take out (-).
    pub turns: Option<i32>,
    /// Turn the string end for end.
    pub flip: bool,
    /// Brace height now; after several readings the smoothed one.
    pub brace_now: Option<f64>,
    /// Wanted range.
    pub want: Option<(f64, f64)>,
    /// Where the range comes from.
    pub want_source: Option<WantSource>,
    /// Brace height after what is advised.
    pub brace_after: Option<f64>,
    /// Its sd.
    pub brace_after_sd: Option<f64>,
    /// Chance that it lies in the range.
    pub chance_in_range: Option<f64>,
    /// Turns in the string now, and their sd.
    pub turns_now: Option<(f64, f64)>,
    /// Window of turns.
    pub window: Option<(i32, i32)>,
    /// Brace heights that turning can reach.
    pub reach: Option<(f64, f64)>,
    /// Net shortening by turns since it left the workshop.
    pub play_used: Option<f64>,
    /// Can still be shortened by.
    pub play_left_in: Option<f64>,
    /// Can still be let out by.
    pub play_left_out: Option<f64>,
    /// Length to build, rounded as the workshop rounds.
    pub remake_length: Option<f64>,
    /// Turns to build it with.
    pub remake_turns: Option<i32>,
    /// Yarn to build it of.
    pub remake_yarn: Option<Yarn>,
    /// What is made is free; absent where nothing is made.
    pub free: Option<bool>,
    /// What the archer pays for it, where that is set.
    pub price: Option<i64>,
    /// What it probably is.
    pub likely_cause: Cause,
    /// Expected cost of adjusting.
    pub cost_adjust: Option<i64>,
    /// Expected cost of remaking.
    pub cost_remake: Option<i64>,
    /// What to ask for, the most useful first.
    pub ask: Vec<Ask>,
    /// Chance that it lies in the range after these turns and what the table then says. Method M24.
    #[serde(default)]
    pub chance_with_table: Option<f64>,
    /// What to do at which reading after all turns, those advised, in one go. Method M24.
    #[serde(default)]
    pub then: Vec<Row>,
    /// First part of a large step.
    pub first_step: Option<FirstStep>,
    /// What to do at which reading after that first part. Method M24.
    #[serde(default)]
    pub first_step_then: Vec<Row>,
    /// Shots after which to measure again.
    pub measure_again_after: Option<u32>,
    /// Why.
    pub reasons: Vec<Reason>,
    /// Cautions.
    pub cautions: Vec<Caution>,
}

impl Advice {
    /// Without a table there is but one go.
    pub(super) fn drop_tables(&mut self) {
        (self.then, self.first_step, self.first_step_then) = (Vec::new(), None, Vec::new());
        self.chance_with_table = None;
    }

    /// A verdict without numbers.
    #[must_use]
    pub fn new(verdict: Verdict, likely_cause: Cause) -> Self {
        Self {
            verdict,
            turns: None,
            flip: false,
            brace_now: None,
            want: None,
            want_source: None,
            brace_after: None,
            brace_after_sd: None,
            chance_in_range: None,
            turns_now: None,
            window: None,
            reach: None,
            play_used: None,
            play_left_in: None,
            play_left_out: None,
            remake_length: None,
            remake_turns: None,
            remake_yarn: None,
            free: None,
            price: None,
            likely_cause,
            cost_adjust: None,
            cost_remake: None,
            ask: Vec::new(),
            chance_with_table: None,
            then: Vec::new(),
            first_step: None,
            first_step_then: Vec::new(),
            measure_again_after: None,
            reasons: Vec::new(),
            cautions: Vec::new(),
        }
    }

    /// Something is made for it: a new string, or a serving or loop anew.
    #[must_use]
    pub fn makes_something(&self) -> bool {
        match self.verdict {
            Verdict::Mend | Verdict::Remake => true,
            Verdict::Stop => self.remake_length.is_some(),
            Verdict::Reassure | Verdict::Ask | Verdict::Adjust | Verdict::Refer => false,
        }
    }
}
