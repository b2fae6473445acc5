//! Reasons, cautions and requests as sentences. The one place where they become words.

use super::asks::ask_name;
use super::names::{known_how, symptom_name, usual_by, yarn_name};
use super::strength::{own_strength, strength_not_checked, strength_sum};
use super::terms::{decided_sentence, lapsed_sentence, term_sentence};
use super::{finely, inches, money, nine_in_ten, percent, signed_inches, small, to_build, turns};
use crate::app::sums::Note;
use crate::mechanics::estimate::CHECKED_CHANGE;
use crate::mechanics::twist::TurnsKnown;
use crate::quantity::Unit;
use crate::trade::advice::{Caution, Mistake, Reason, TenderBow};
use crate::trade::build::LengthFrom;
use crate::trade::signs::SignOf;
use crate::trade::slips::Slip;
use crate::trade::words::{Route, Symptom, Verdict, WantSource};

/// How numbers are shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Style {
    /// Unit of length.
    pub unit: Unit,
    /// Currency.
    pub currency: String,
    /// Step of lengths to build, inches.
    pub rounding: f64,
}

impl Style {
    /// How numbers are shown to an archer: in their own unit, where the book knows it.
    #[must_use]
    pub fn for_archer(&self, own: Option<Unit>) -> Self {
        Self { unit: own.unwrap_or(self.unit), ..self.clone() }
    }
}

/// What is left standing of a tag end that is trimmed, inches (common practice, no source): under
/// it the last tuck of the splice may come out. Method V26.
pub const LEAST_TAG: f64 = 0.25;

/// A measuring slip as a sentence.
#[must_use]
pub fn slip_sentence(slip: Slip, unit: Unit) -> String {
    let by = |off: f64| inches(off.abs(), unit);
    match slip {
        Slip::BowLengthForString { off } => {
            format!("A length is {} too long: the bow's length may have been given for the string's.", by(off))
        }
        Slip::NotLoaded { off } => format!(
            "A length is {} too short for one under the measuring load: it may have been measured hand-tight.",
            by(off)
        ),
        Slip::LoopsLeftOut { off } => format!(
            "A length is {} too short: it may have been measured between the loops instead of outside to outside.",
            by(off)
        ),
        Slip::OneLoopLeftOut { off } => format!("A length is {} too short: one loop may have been left out.", by(off)),
        Slip::StraightAcross { off } => format!(
            "A bow length is {} too short: it may have been measured straight from tip to tip, not along the limbs.",
            by(off)
        ),
        Slip::BowBraced { off } => {
            format!("A bow length is {} too short: the bow may have been strung when it was measured.", by(off))
        }
        Slip::AlongTheCurve { off } => format!(
            "A bow length is {} too long: the tape may have followed the handle, or started at the limb ends instead of the nocks.",
            by(off)
        ),
        Slip::CentimetresForInches => "A length may be in centimetres, not inches.".to_owned(),
        Slip::ToTheBack { off } => format!(
            "The brace height lies {} above what is expected, about the depth of a grip: it may have been measured to the back of the bow instead of the deepest point of the grip.",
            by(off)
        ),
        Slip::CrossingsForTurns => {
            "The count is about twice what it can be: crossings may have been counted; two plies show two for each full turn.".to_owned()
        }
        Slip::WrongBowKind { off } => format!(
            "The right length lies {} off what the bow's marked length asks for: check the marked length, where the brace height was measured, and the kind of bow.",
            by(off)
        ),
    }
}

/// Turns with their way: "11 turns put in".
fn made(count: f64) -> String {
    format!("{} {}", turns(count.abs()), if count < 0.0 { "taken out" } else { "put in" })
}

/// A reason as a sentence.
#[must_use]
pub fn reason_sentence(reason: &Reason, style: &Style) -> String {
    let unit = style.unit;
    let len = |value: f64| inches(value, unit);
    let cash = |cents: i64| money(cents, &style.currency);
    match reason {
        Reason::Danger { symptom } => match symptom {
            Symptom::BrokenStrand => "A strand is broken: the string may part at full draw.".to_owned(),
            Symptom::Frayed => "Fibres are cut: the string may part at full draw.".to_owned(),
            Symptom::DryFire => {
                "It was shot without an arrow: string and bow may be damaged where nobody sees it.".to_owned()
            }
            _ => "The bow is damaged.".to_owned(),
        },
        Reason::PhotoShowsDamage => "The photo shows damage.".to_owned(),
        Reason::TooWeak { sum } => format!("It is too weak for this bow: {}.", strength_sum(sum)),
        Reason::OwnStrength { sum } => own_strength(sum).unwrap_or_default(),
        Reason::StrengthNotChecked { missing } => format!("Strength {}.", strength_not_checked(missing)),
        Reason::SpliceMaySlip { turns: now, least, known } => match known {
            TurnsKnown::Guessed => format!(
                "Only about {} may be left in it, under half of the {least} it needs, and the number it left with is not on record: a splice with so few may slip.",
                turns(*now)
            ),
            _ => format!(
                "It has only {} in it, under half of the {least} that such a string needs: the splice may slip.",
                turns(*now)
            ),
        },
        Reason::LowStretchOnTenderBow { yarn, why } => {
            let yarn = yarn_name(*yarn);
            match why {
                TenderBow::PlainTips => format!(
                    "{yarn} hardly stretches, and this bow's tips are not reinforced: the loops can cut into the tips. Polyester is the yarn for it unless its maker says otherwise."
                ),
                TenderBow::WoodStave => format!(
                    "{yarn} hardly stretches, and this bow is of wood alone: the shock can break it. Polyester is the yarn for it unless its maker says otherwise."
                ),
                TenderBow::Vintage(age) => format!(
                    "{yarn} hardly stretches, and this bow is {age} years old: bows of that age were not built for it. Polyester is the yarn for it unless its maker says otherwise."
                ),
            }
        }
        Reason::LowStretchBowUnknown { yarn } => format!(
            "{} hardly stretches, and nothing on record says that this bow bears it: tips, wood or glass, and age are all unknown.",
            yarn_name(*yarn)
        ),
        Reason::LastMessageUnclear => {
            "The last message leaves open how the string stands now, so please leave it as it is until that is clear.".to_owned()
        }
        Reason::TurnsNotTold { told } => format!(
            "Our letter asked for {}, and the answer does not say how many were made: without that nobody can say what is to be done next.",
            made(f64::from(*told))
        ),
        Reason::TurnsBeyondTold { said, least, most } => format!(
            "The answer tells of {}, and our letter led to {} at most: please leave the string as it is until that is clear.",
            made(*said),
            made(f64::from(if *said < 0.0 && *least < 0 { *least } else { *most })),
        ),
        Reason::SpeaksOfDanger { of, signs } => format!(
            "The archer writes {}: whether {} must be known before anything else.",
            signs.iter().map(|sign| format!("\"{sign}\"")).collect::<Vec<_>>().join(", "),
            match of {
                SignOf::String => "the string is damaged",
                SignOf::Bow => "the bow is damaged",
                SignOf::Shot => "it was shot without an arrow",
            }
        ),
        Reason::BowSigns { signs } => format!(
            "The message speaks of the bow, not of the string ({}): that is for whoever can look at the bow.",
            signs.join(", ")
        ),
        Reason::TagsHarmless => format!(
            "Loose tag ends of a laid string are harmless: leave them, wax them in or trim them, but leave at least {} standing and never cut into the string. Where an end gets shorter by itself the splice may slip: stop shooting and write to us.",
            len(LEAST_TAG)
        ),
        Reason::WaxIn => "Fuzz without cut fibres wants wax, nothing more.".to_owned(),
        Reason::KinkHarmless => {
            "A kink that pulls straight and shows no cut fibre does no harm. If it stays, stop and send a photo.".to_owned()
        }
        Reason::MadeGood { symptom } => format!(
            "The trouble is {}; the string's length and make are right.",
            match symptom {
                Symptom::ServingGap => "a gap in the serving",
                Symptom::ServingLoose => "a loose serving",
                Symptom::NockFit => "how the nock sits on the serving",
                _ => "the fit of a loop",
            }
        ),
        Reason::NotAsOrdered => "The archer says that it is not what was ordered.".to_owned(),
        Reason::MarkerDown => {
            "The marked, larger loop is on the lower limb: the string is on upside down. First question: is the larger loop on the upper limb?".to_owned()
        }
        Reason::ServingHigh { read, built } => format!(
            "The middle of the serving reads {} the string's middle where it was built {} it: the string is on upside down. First question: is the larger loop on the upper limb?",
            above_or_below(*read, unit),
            above_or_below(*built, unit)
        ),
        Reason::ServingAsBuilt { read, built } => format!(
            "The middle of the serving reads {} the string's middle, about where it was built, {}.",
            above_or_below(*read, unit),
            above_or_below(*built, unit)
        ),
        Reason::ServingOff { read, built } => format!(
            "The middle of the serving reads {} the string's middle where it should be {} it.",
            above_or_below(*read, unit),
            above_or_below(*built, unit)
        ),
        Reason::WhichWayUp => {
            format!(
                "A string that is on upside down has its serving and nocking point about {} too high: which end is up comes first.",
                if unit == Unit::Inch { "two inches" } else { "5 cm" }
            )
        }
        Reason::NoBrace => "The brace height is not known yet.".to_owned(),
        Reason::TurnedSince { turns: put, before, expected } => format!(
            "{} {} since {} was read, which should give about {} now; it is not known until it is read again.",
            turns(put.abs()),
            if *put >= 0.0 { "in" } else { "out" },
            len(*before),
            len(*expected)
        ),
        Reason::NoLength => {
            "The bow cannot be strung, so there is no brace height; the string's length off the bow and the bow's marked length decide.".to_owned()
        }
        Reason::NoRange => "It is not known which brace height this bow should have.".to_owned(),
        Reason::TooVague => "What was said does not show yet what is wrong.".to_owned(),
        Reason::NeverFromMark => {
            "A bow with stiff ears is never sized from a mark: the length of an old string that fits is needed.".to_owned()
        }
        Reason::Reads { brace, readings, low, high, source } => {
            let times = if *readings > 1 { format!(" (mean of {readings})") } else { String::new() };
            let whose = match source {
                WantSource::BowMaker => "by the bow's maker",
                WantSource::Archer => "by the archer's wish",
                WantSource::Table => "by the general table for such bows",
            };
            format!("The brace height reads {}{times} and should be {} to {} {whose}.", len(*brace), len(*low), len(*high))
        }
        Reason::InRange { chance } => {
            format!("It lies in the range; allowing for the reading, {} sure.", percent(*chance))
        }
        Reason::QuietPlace => {
            "Inside its range every bow has a quiet place: five turns at a time, a few arrows, and listen.".to_owned()
        }
        Reason::StillMissing { ask } => {
            format!("It was asked for and is not known yet: {}. It goes on once it is.", ask_name(*ask))
        }
        Reason::WishSetAside => {
            "The archer's wish lies outside what the bow's maker gives; the maker's range is kept.".to_owned()
        }
        Reason::ReadByStrip => {
            "The brace height was read by paper strip, which is no surer read three times: a ruler is.".to_owned()
        }
        Reason::TableOnly { distance } => {
            let how = if *distance <= 1e-9 { "lies in".to_owned() } else { format!("lies {} off", len(*distance)) };
            format!("It {how} the general table, but bows of one kind differ by that much: the bow maker's own range decides.")
        }
        Reason::TableNeverRemakes => {
            "Only the general table says what this bow should have, and on that alone no string is made again: the bow maker's range is needed.".to_owned()
        }
        Reason::ComplaintAgainstReading { symptom } => format!(
            "The archer says \"{}\", but the reading says the other; the reading is followed.",
            symptom_name(*symptom)
        ),
        Reason::Contradiction { turns: put, before, expected, read, mistake } => {
            let looks = match mistake {
                Mistake::WrongWay => "it looks as if the string was turned the wrong way",
                Mistake::NotTurned => "it looks as if hardly anything was turned, or the turns came out again",
                Mistake::Crossings => "it looks as if crossings were counted as full turns",
                Mistake::FarTooMuch => "it moved far more than it can have",
            };
            format!(
                "{} {} from {} should have given about {}, but {} was read: {looks}, or one of the readings is off.",
                turns(put.abs()),
                if *put >= 0.0 { "in" } else { "out" },
                len(*before),
                len(*expected),
                len(*read)
            )
        }
        Reason::MoreOutThanIn { had, out } => {
            format!("{} are said to be out, but only {} were in it.", turns(*out), turns(*had))
        }
        Reason::Slipped { slip } => slip_sentence(*slip, unit),
        Reason::TurnsIn { turns: now, sd, known, usual, changed } => {
            let in_it = (now * 10.0).round() / 10.0;
            match known {
                TurnsKnown::Guessed => format!(
                    "Turns in it now: about {} ± {} ({}, {}).",
                    now.round(),
                    sd.round(),
                    known_how(*known),
                    usual_by(*usual)
                ),
                TurnsKnown::Shipped if changed.abs() >= 0.5 => format!(
                    "Turns in it now: {in_it} ({} recorded when it left the workshop, {} {} since).",
                    turns(now - changed),
                    turns(changed.abs()),
                    if *changed > 0.0 { "put in" } else { "taken out" }
                ),
                _ => format!("Turns in it now: {in_it} ({}).", known_how(*known)),
            }
        }
        Reason::CountAgainstRecord { record, count } => format!(
            "Counted are {} where {} should be in it by the record and what was turned; the string itself is believed.",
            turns(count.round()),
            turns(record.round())
        ),
        Reason::TurnsOutsideWindow { turns: now, min, max } => {
            if *now > f64::from(*max) {
                format!("{} are more than the {max} that such a string should have: it may snarl when slack.", turns(now.round()))
            } else {
                format!("{} are fewer than the {min} that such a string should have: none may be taken out.", turns(now.round()))
            }
        }
        Reason::HalfEffect { ratio, sd } => format!(
            "The turns did only {ratio:.2} ± {sd:.2} of what they should: it looks as if crossings were counted as full turns (two plies show two for each)."
        ),
        Reason::Remeasured { before, now } => format!(
            "Two brace heights without turns between them differ: {} and then {}.",
            len(*before),
            len(*now)
        ),
        Reason::LengthMeasured { measured, ordered } => format!(
            "The archer measured the string itself under load: {}; that is believed ({}).",
            len(*measured),
            ordered.map_or("nobody knows what was ordered".to_owned(), |ordered| format!(
                "{} was ordered",
                len(ordered)
            ))
        ),
        Reason::LengthNotOnRecord { from, length, sd } => format!(
            "The length of this string is not on record. {}",
            match from {
                LengthFrom::Record => String::new(),
                LengthFrom::Measured => format!("It is taken as it was measured, {} loaded.", len(*length)),
                LengthFrom::Bow => format!(
                    "By the bow's length it is about {} ± {}: enough for turns, not to cut another by it.",
                    len(*length),
                    small(*sd, unit)
                ),
                LengthFrom::Nothing => format!(
                    "The bow's is not known either, so {} ± {} is taken, the middle of what there is: enough for turns, not to cut another by it.",
                    len(*length),
                    small(*sd, unit)
                ),
            }
        ),
        Reason::SizedAnew { route, stated, offset, length } => format!(
            "Nobody knows how long this string was ordered, so a new one is sized anew: {} {} less {}, {} loaded.",
            if *route == Route::NockToNock { "nock to nock" } else { "marked" },
            len(*stated),
            len(*offset),
            len(*length)
        ),
        Reason::NoLengthToBuild => {
            "Nobody knows how long this string was ordered, so a new one is sized anew, and for that the bow's marked length or the length of a string that fits is needed.".to_owned()
        }
        Reason::LargeChange { string_change } => format!(
            "A change of {} lies beyond the {CHECKED_CHANGE} in for which the law was checked, so the figures are rough.",
            small(*string_change, unit)
        ),
        Reason::MeasureBeforeRemake => {
            "Before a string is made again on one measurement, that measurement is taken once more.".to_owned()
        }
        Reason::MeasureBeforeWeCut { low, high } => format!(
            "Please measure the brace height once more meanwhile, three times: if it does not read between {} and {}, write to us before we cut the new string.",
            len(*low), len(*high)
        ),
        Reason::AtTheEdge { chance } => format!(
            "It stands at the very end of the range ({} chance to lie inside) and may stay there; turning would not make it surer.",
            percent(*chance)
        ),
        Reason::NearTheEdge { distance } => format!(
            "It lies only {} outside the range, about what a reading can be off.",
            small(*distance, unit)
        ),
        Reason::AsOldString { length } => {
            format!("It is made as long as the old string that fits: {} loaded.", to_build(*length, style.rounding, unit))
        }
        Reason::LongEnough { measured, right } => format!(
            "By the length that was measured, {}, it is long enough to be strung ({} would be built): how it was put on is the question.",
            len(*measured),
            len(*right)
        ),
        Reason::ShorterThanRight { short, turns: exact } => {
            let by = exact.map_or_else(
                || "more than turns can let out".to_owned(),
                |exact| format!("{} out", turns(exact.abs())),
            );
            format!("It is {} too short to go on: {by}.", small(*short, unit))
        }
        Reason::SettlesDown { high, upper } => format!(
            "It is {} of string high, as a new string often is: while it settles it may still grow by up to {} and come down by itself.",
            small(*high, unit),
            small(*upper, unit)
        ),
        Reason::LetOutAndSettles { growth, shots, brace, sd, chance } => format!(
            "It is new: in its next {shots} shots it should still grow by about {}, and then stand at about {}. The chance to lie in the range then is {}.",
            small(*growth, unit),
            nine_in_ten(*brace, *sd, unit),
            percent(*chance)
        ),
        Reason::MakerDecides { top, known } => format!(
            "Shooting it in would bring it down, but it stands above the {} that {}, and what may be let out does not bring it under that: only the bow's maker can say whether it may be shot in at that height. If not, it is made again at no cost.",
            len(*top),
            if *known { "the bow's maker gives" } else { "is wanted, and what the bow's maker gives is not known" }
        ),
        Reason::ReadingDecides { off } => format!(
            "A brace height read {} differently would change the answer, and that is about what a reading can be off.",
            small(*off, unit)
        ),
        Reason::NockingPointIsSet => {
            "The nocking point is set on the bow and can be moved there; the string is the right way up.".to_owned()
        }
        Reason::PhotoSound => "The photo shows nothing wrong.".to_owned(),
        Reason::ServingUnmeasured => "The serving is not where the archer wants it; it is served anew where it should be.".to_owned(),
        Reason::Needs { string_change, turns: exact } => {
            let way = if *string_change >= 0.0 { "shorter" } else { "longer" };
            let by = match exact {
                Some(exact) if exact.abs() < 0.5 => "less than one turn".to_owned(),
                Some(exact) => format!("{:.1} turns {}", exact.abs(), if *exact >= 0.0 { "in" } else { "out" }),
                None => "more than any number of turns gives".to_owned(),
            };
            format!("For the middle of the range the string must get {} {way}: {by}.", small(*string_change, unit))
        }
        Reason::Reach { low, high, min, max } => format!(
            "Turning reaches brace heights from {} to {} on this bow ({min} to {max} turns in the string).",
            len(*low),
            len(*high)
        ),
        Reason::OutOfReach => "No safe number of turns will bring it there.".to_owned(),
        Reason::Settling { short, expected, upper, shots, readings } => {
            let after = shots.map_or_else(String::new, |shots| format!(" after {shots} shots"));
            let whose = if *readings > 0 {
                format!("by {readings} readings of the workshop's own")
            } else {
                "by judgement; no readings of the workshop's own yet".to_owned()
            };
            format!(
                "It is new{after} and short of the range by {} of string, which is within what such a string grows while it settles (about {}, at most {}; {whose}). That is turned in, not a fault.",
                small(*short, unit),
                small(*expected, unit),
                small(*upper, unit)
            )
        }
        Reason::MoreSettling { growth, brace, shots } => format!(
            "In its next {shots} shots it may grow by another {} and the brace height drop by {}; measure again then.",
            small(*growth, unit),
            small(*brace, unit)
        ),
        Reason::Lands { turns: put, brace, sd, chance } => format!(
            "{} {} bring it to about {}. The chance to lie in the range is {}.",
            turns(f64::from(put.abs())),
            if *put >= 0 { "in" } else { "out" },
            nine_in_ten(*brace, *sd, unit),
            percent(*chance)
        ),
        Reason::Learned { ratio, sd, readings } => format!(
            "From this archer's own {}: turns do {:.2} ± {:.2} times what the tables say on this bow.",
            if *readings == 1 { "second reading".to_owned() } else { format!("{readings} further readings") },
            ratio,
            sd
        ),
        Reason::Pooled { ratio, readings } => format!(
            "The figures rest on {}: turns do {ratio:.2} times what the tables say.",
            if *readings == 1 {
                "one second reading of the workshop's own".to_owned()
            } else {
                format!("{readings} second readings of the workshop's own")
            }
        ),
        Reason::BowLearned { ratio } => format!(
            "Second readings with another string for this bow showed that it answers {ratio:.2} times what the table of its kind says."
        ),
        Reason::TableFigures => {
            "The figures rest on the tables; no second reading of the workshop's own for such a bow or string yet.".to_owned()
        }
        Reason::CostAdjust { answer, chance, again, total } => format!(
            "Adjusting costs an answer, {}, and in {} of cases an answer, remake and label after all, {}: {} on average.",
            cash(*answer),
            percent(1.0 - chance),
            cash(*again),
            cash(*total)
        ),
        Reason::CostRemake { once, misfit, total } => format!(
            "Making it again costs answer, remake and label, {}, and in {} of cases the same once more: {} on average.",
            cash(*once),
            percent(*misfit),
            cash(*total)
        ),
        Reason::BelowFloor { chance, floor } => format!(
            "The chance to land in the range by turns, {}, lies below the workshop's floor of {}.",
            percent(*chance),
            percent(*floor)
        ),
        Reason::AdjustCheaper => "So turning is the better way.".to_owned(),
        Reason::RemakeCheaper => "So making it again is the better way.".to_owned(),
        Reason::RemakeLength { length, exact, sd, turns: built, brace } => format!(
            "The string to build is {} loaded (worked out: {} ± {}){}; it should brace at about {}.",
            to_build(*length, style.rounding, unit),
            finely(*exact, unit),
            finely(*sd, unit),
            built
                .map(|built| format!(
                    " with {built} turns, which leave some to let out and more to take in"
                ))
                .unwrap_or_default(),
            len(*brace)
        ),
        Reason::LengthFromMark { marked, offset, length } => format!(
            "For a bow marked {} the workshop builds {} less: {} loaded.",
            len(*marked),
            len(*offset),
            len(*length)
        ),
        Reason::OtherYarn { from, to, change, sd } => {
            let same = if change.abs() < 0.03 {
                "the same loaded length".to_owned()
            } else {
                format!("a loaded length {} ± {} different", signed_inches(*change, unit), small(*sd, unit))
            };
            format!(
                "In {} instead of {} it needs {same}, because the two stretch differently between the bow and the measuring load.",
                yarn_name(*to),
                yarn_name(*from)
            )
        }
        Reason::BuiltOff { built, ordered, tolerance } => format!(
            "It was built {} where {} was ordered, more than the tolerance of {}.",
            len(*built),
            len(*ordered),
            len(*tolerance)
        ),
        Reason::WouldNarrow { ask, wrong_now, wrong_then } => format!(
            "As things stand the answer is wrong in about {} of such cases; {} would bring that to about {}.",
            percent(*wrong_now),
            ask_name(*ask),
            percent(*wrong_then)
        ),
        Reason::MakerDecided { decided, verdict, turns, length } => {
            decided_sentence(*decided, *verdict, *turns, *length, style)
        }
        Reason::DecisionLapsed { limit } => lapsed_sentence(*limit).to_owned(),
        Reason::Term { of, months, since, delivered, over } => {
            term_sentence(*of, *months, *since, *delivered, *over)
        }
        Reason::WouldChange { verdict, above, below } => {
            let other = match verdict {
                Verdict::Reassure => "nothing would need doing",
                Verdict::Adjust => "turns would do",
                _ => "the answer would be another",
            };
            match (above, below) {
                (Some(above), _) => format!("If the brace height really were {} or more, {other}.", len(*above)),
                (_, Some(below)) => format!("If the brace height really were {} or less, {other}.", len(*below)),
                (None, None) => format!("With another brace height {other}."),
            }
        }
    }
}

fn above_or_below(value: f64, unit: Unit) -> String {
    match inches(value.abs(), unit) {
        _ if value.abs() < 1.0 / 32.0 => "at".to_owned(),
        text if value > 0.0 => format!("{text} above"),
        text => format!("{text} below"),
    }
}

/// A caution as a sentence.
#[must_use]
pub const fn caution_sentence(caution: Caution) -> &'static str {
    match caution {
        Caution::DoNotShoot => "Do not shoot, and do not string the bow, until this is settled.",
        Caution::PolyesterOnly => "Only polyester on this bow, unless its maker says otherwise.",
        Caution::NeverForce => {
            "Never force a string on: if it does not go on with ordinary effort, stop and leave the bow unstrung."
        }
        Caution::UnstringFirst => "Unstring the bow before turning the string; never turn it under tension.",
        Caution::UseStringer => "Use a stringer, to string and to unstring.",
        Caution::SeatLoops => {
            "See that both loops sit fully in their nocks before letting go and before drawing."
        }
        Caution::PliesClose => {
            "Twisting in, the plies must close up, not open; never untwist a laid string all the way."
        }
        Caution::Inspect => "Look over string and bow before every shooting.",
        Caution::NeverDryFire => "Never let the string go without an arrow on it.",
        Caution::StayInRange => "Stay within the brace height range that the bow's maker gives.",
        Caution::StopOnDamage => "Stop at once on a broken or cut strand, a crack, a creak or a splinter.",
        Caution::AskBowyer => "In any doubt the bow's maker or a qualified bowyer decides.",
    }
}

/// A note beside a sum as a sentence.
#[must_use]
pub fn note_sentence(note: Note, unit: Unit) -> String {
    match note {
        Note::TurnsGuessed(guess) => format!(
            "The turns in the string are not given; about {} ± 8 is taken. A count on the body makes the answer surer (--turns N --turns-known counted).",
            guess.round()
        ),
        Note::SpliceMaySlip { turns: now, least } => format!(
            "{} are under half of the least of {least} that such a string needs: the splice may slip, do not shoot it.",
            turns(now)
        ),
        Note::TooManyTurns { turns: now, most } => {
            format!("{} are more than the {most} that such a string should have.", turns(now))
        }
        Note::OutsideKind { low, high } => format!(
            "The figures for this kind of bow were made for brace heights from {} to {}.",
            inches(low, unit),
            inches(high, unit)
        ),
        Note::LargeChange(change) => format!(
            "A change of {} lies beyond the {CHECKED_CHANGE} in for which the law was checked: take the answer as rough.",
            small(change, unit)
        ),
        Note::MeasureBeforeCut { low, high } => format!(
            "Measure the brace height once more before it is cut: if it does not read between {} and {}, work it out anew.",
            inches(low, unit),
            inches(high, unit)
        ),
        Note::Horsebow => {
            "Bows with stiff ears are never sized from a mark, and the doubt is wide: go by an old string that fits.".to_owned()
        }
    }
}
