//! Before the sale: the length to build by a route, and how likely a complaint about it is.

use chrono::NaiveDate;
use serde::Serialize;

use super::error::AppError;
use super::month::shop_on;
use super::strength::{StrengthView, refuse_below};
use crate::book::Book;
use crate::evidence::posterior::LengthPrior;
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::month;
use crate::quantity::Length;
use crate::trade::month::MonthRules;
use crate::trade::records::BowProfile;
use crate::trade::rules::Rules;
use crate::trade::sizing::{Start, default_stated_at, ordered_from, to_step};
use crate::trade::slips::bow_length_slip;
use crate::trade::strength::strength;
use crate::trade::tender::{may_be_tender, takes_polyester_only};
use crate::trade::words::{LengthAt, Route};
use crate::words;

words! {
    /// What to ask before the sale.
    SizeQuestion, "question" {
        /// What kind of bow it is.
        BowKind = "bow-kind",
        /// The length of an old string that fits.
        OldString = "old-string",
        /// How the old string was measured.
        HowMeasured = "how-measured",
        /// The string length the bow's maker states.
        BowMaker = "bow-maker",
        /// The bow measured nock to nock on the belly.
        NockToNock = "nock-to-nock",
    }
}

words! {
    /// What to know before the sale.
    SizeWarning, "warning" {
        /// Plain tips, wood alone, or an old bow: polyester.
        Polyester = "polyester",
        /// Tips, stave and year are not known.
        TipsUnknown = "tips-unknown",
        /// Marked length and nock-to-nock length disagree.
        LengthsDisagree = "lengths-disagree",
        /// A bow with stiff ears is never sized from a mark.
        NeverFromAMark = "never-from-a-mark",
        /// The learned length error stands on few strings.
        FewStrings = "few-strings",
    }
}

/// A string about to be sold.
#[derive(Debug, Clone, PartialEq)]
pub struct SizeRequest {
    /// How the length is arrived at.
    pub route: Route,
    /// What the archer stated.
    pub stated: Option<Length>,
    /// How that was measured, where it was said.
    pub stated_at: Option<LengthAt>,
    /// Yarn of an old string, where it is known.
    pub old_yarn: Option<Yarn>,
    /// The bow.
    pub bow: BowProfile,
    /// Yarn of the new string.
    pub yarn: Yarn,
    /// Strands of the new string.
    pub strands: Option<u32>,
}

/// The answer before the sale. Chances are of a complaint about fit.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SizeView {
    /// Route.
    pub route: Route,
    /// Kind of bow.
    pub bow_kind: BowKind,
    /// The measure the route starts from.
    pub stated_inch: f64,
    /// The same under the measuring load, where an old string was pulled tight by hand.
    pub stated_loaded_inch: f64,
    /// Taken off it.
    pub offset_inch: f64,
    /// What the route and its offset give, rounded as the workshop rounds: what is entered when it is sold.
    pub ordered_length_inch: Option<f64>,
    /// Learned correction, added to it; 0 where none is advised.
    pub correction_inch: f64,
    /// Length to build, loaded, correction included; unrounded.
    pub length_inch: Option<f64>,
    /// The same, rounded as the workshop rounds.
    pub length_rounded_inch: Option<f64>,
    /// Right minus ordered length on this route and kind of bow so far.
    pub length_error_inch: f64,
    /// 95 % interval.
    pub length_error_low: f64,
    /// 95 % interval.
    pub length_error_high: f64,
    /// Strings behind it.
    pub strings: u32,
    /// Their fit reports.
    pub reports: u32,
    /// Chance of a complaint about fit at the length to build.
    pub complaint_chance: f64,
    /// The same without the correction.
    pub complaint_chance_uncorrected: f64,
    /// The one question that would lower it most.
    pub question: Option<SizeQuestion>,
    /// Chance after it.
    pub complaint_chance_after_question: Option<f64>,
    /// Warnings; the caller makes sentences of them.
    pub cautions: Vec<SizeWarning>,
    /// The bow makes polyester needful.
    pub yarn: Option<Yarn>,
    /// What the string will hold against what its bow asks for.
    pub strength: StrengthView,
    /// The rules it was worked out by.
    #[serde(skip)]
    pub workshop: Rules,
}

/// Marked length less nock-to-nock length of a usual bow lies within these, inches (judgement;
/// the trade standard's marked length is the string's plus 3 in, not a tape's).
const USUAL_DIFFERENCE: (f64, f64) = (-1.0, 2.5);
/// A question has to lower the chance by this to be worth asking.
const WORTH_ASKING: f64 = 0.005;

/// What is believed of a route of which there are few strings. Judgement, no source: an earlier
/// string says more than a mark, and an offset in use is one that the workshop lives with, so
/// that the middle of its errors lies in the middle of the play.
fn belief(route: Route, kind: BowKind, own: &MonthRules) -> LengthPrior {
    let spread = match route {
        Route::Repeat => 0.15,
        Route::OldString | Route::BowMaker | Route::WorkedOut => 0.22,
        Route::NockToNock => 0.28,
        Route::Marked | Route::Unknown => 0.30,
    };
    let wide = if matches!(kind, BowKind::Horsebow | BowKind::Unknown) { 1.7 } else { 1.0 };
    LengthPrior {
        mean_centre_inch: 0.5 * (own.play_lengthen - own.play_shorten),
        spread_median_inch: spread * wide,
        ..LengthPrior::anywhere(0.1 * wide)
    }
}

/// Works out the length to build and what to ask.
///
/// # Errors
/// The starting measure is missing, no string is left, or the book cannot be read.
pub fn size(book: &mut Book, request: SizeRequest, today: NaiveDate) -> Result<SizeView, AppError> {
    let SizeRequest { route, stated, stated_at, old_yarn, bow, yarn, strands } = request;
    let by_measure = match route {
        Route::Marked => bow.marked_length,
        Route::NockToNock => bow.nock_to_nock,
        _ => None,
    };
    let stated = stated.or(by_measure).ok_or_else(|| {
        AppError::refused(
            format!("the measure that {route} starts from is missing"),
            "give it with --stated, such as --stated 62",
        )
    })?;
    let shop = book.read(|page| shop_on(page, today))?;
    let rules = shop.rules.clone();
    let strength = strength(yarn, strands, bow.draw_weight, &rules);
    refuse_below(&strength, "nothing is built below that; make it as you make them for such a bow")?;
    let kind = bow.kind;
    let asked = [Route::OldString, Route::BowMaker, Route::NockToNock];
    let month_rules = MonthRules::of(&rules);
    let believed = |route: Route| (route, belief(route, kind, &month_rules));
    let mut beliefs = vec![believed(route)];
    beliefs.extend(asked.into_iter().filter(|other| *other != route).map(believed));
    let outlooks = month::outlooks(shop, today, kind, &beliefs)?;
    let own = outlooks[0].1;
    let at = stated_at.unwrap_or(default_stated_at(route));
    let start = Start { route, stated: stated.inches(), at, old_yarn, yarn };
    let ordered = ordered_from(&start, own.offset, rules.rounding).ok_or_else(|| {
        AppError::refused(
            format!("{} less the offset of {} in leaves no string", stated.inches(), own.offset),
            "check --stated",
        )
    })?;
    let from_mark = kind == BowKind::Horsebow && matches!(route, Route::Marked | Route::NockToNock);
    let correction = own.change.unwrap_or(0.0);
    let length = start.loaded() - own.offset + correction;
    let mut cautions = Vec::new();
    if from_mark {
        cautions.push(SizeWarning::NeverFromAMark);
    }
    if takes_polyester_only(&bow, today, &rules) {
        cautions.push(SizeWarning::Polyester);
    } else if may_be_tender(&bow) {
        cautions.push(SizeWarning::TipsUnknown);
    }
    if let (Some(marked), Some(belly)) = (bow.marked_length, bow.nock_to_nock) {
        let difference = marked.inches() - belly.inches();
        if bow_length_slip(marked.inches(), belly.inches()).is_some()
            || !(USUAL_DIFFERENCE.0..=USUAL_DIFFERENCE.1).contains(&difference)
        {
            cautions.push(SizeWarning::LengthsDisagree);
        }
    }
    if own.strings < month::ENOUGH_STRINGS {
        cautions.push(SizeWarning::FewStrings);
    }
    let (question, after) = question(route, stated_at, kind, &outlooks);
    Ok(SizeView {
        route,
        bow_kind: kind,
        stated_inch: stated.inches(),
        stated_loaded_inch: start.loaded(),
        offset_inch: own.offset,
        ordered_length_inch: (!from_mark).then_some(ordered.inches()),
        correction_inch: correction,
        length_inch: (!from_mark).then_some(length),
        length_rounded_inch: (!from_mark).then(|| to_step(length, rules.rounding)),
        length_error_inch: own.error,
        length_error_low: own.low,
        length_error_high: own.high,
        strings: own.strings,
        reports: own.reports,
        complaint_chance: own.complaint_changed,
        complaint_chance_uncorrected: own.complaint_now,
        question,
        complaint_chance_after_question: after,
        yarn: cautions.contains(&SizeWarning::Polyester).then_some(Yarn::Polyester),
        strength: strength.into(),
        cautions,
        workshop: rules,
    })
}

/// The one question that would lower the chance most, and the chance after it.
fn question(
    route: Route,
    at: Option<LengthAt>,
    kind: BowKind,
    outlooks: &[(Route, month::Outlook)],
) -> (Option<SizeQuestion>, Option<f64>) {
    let chance_of =
        |route: Route| outlooks.iter().find(|(other, _)| *other == route).map(|(_, o)| o.complaint_changed);
    if kind == BowKind::Unknown {
        return (Some(SizeQuestion::BowKind), None);
    }
    if kind == BowKind::Horsebow && !matches!(route, Route::OldString | Route::Repeat) {
        let lower = chance_of(Route::OldString).filter(|chance| Some(*chance) < chance_of(route));
        return (Some(SizeQuestion::OldString), lower);
    }
    if route == Route::OldString && matches!(at, None | Some(LengthAt::Unknown)) {
        return (Some(SizeQuestion::HowMeasured), None);
    }
    let now = chance_of(route).unwrap_or(1.0);
    let mut best: Option<(SizeQuestion, f64)> = None;
    for (other, question) in [
        (Route::OldString, SizeQuestion::OldString),
        (Route::BowMaker, SizeQuestion::BowMaker),
        (Route::NockToNock, SizeQuestion::NockToNock),
    ] {
        // Of questions that do as much the first is the easiest to answer well.
        if let Some(chance) = chance_of(other).filter(|_| other != route)
            && chance < now - WORTH_ASKING
            && best.is_none_or(|(_, least)| chance < least - WORTH_ASKING)
        {
            best = Some((question, chance));
        }
    }
    (best.map(|(question, _)| question), best.map(|(_, chance)| chance))
}
