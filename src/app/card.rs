//! The card that goes into the parcel, and the small label.

use chrono::NaiveDate;
use serde::Serialize;

use super::error::AppError;
use super::sold::find_string;
use super::strength::{StrengthView, refuse_below};
use crate::book::Book;
use crate::mechanics::bow::{BowKind, constant_from_kind};
use crate::mechanics::estimate::Chain;
use crate::mechanics::twist::Yarn;
use crate::quantity::{Length, Unit};
use crate::trade::advice::{Caution, TURNING_CAUTIONS};
use crate::trade::build::{LengthFrom, Subject};
use crate::trade::month::initials;
use crate::trade::ranges::wanted;
use crate::trade::reply::{Asks, form, mailto};
use crate::trade::rules::Rules;
use crate::trade::strength::strength_of;
use crate::trade::tender::takes_polyester_only;
use crate::trade::words::{Lay, WantSource};

/// What some turns more do on this bow.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct CardStep {
    /// Turns put in (+) or taken out (-).
    pub turns: i32,
    /// Change of brace height, inches.
    pub brace_change_inch: f64,
}

/// The form on the back of the card, by which the archer sends one reading.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ReplyForm {
    /// Its lines.
    pub form: Vec<String>,
    /// The link that opens a mail with them, where the workshop has an address.
    pub mailto: Option<String>,
}

impl ReplyForm {
    /// In the archer's own unit, else in the book's.
    pub(super) fn new(serial: &str, asks: Asks, unit: Option<Unit>, rules: &Rules) -> Self {
        let unit = unit.unwrap_or(rules.units);
        let address = Some(rules.email.as_str()).filter(|address| !address.is_empty());
        Self {
            form: form(serial, asks, unit),
            mailto: address.map(|address| mailto(address, serial, asks, unit)),
        }
    }
}

/// The card.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CardView {
    /// Serial.
    pub serial: String,
    /// Workshop's name.
    pub workshop: String,
    /// Kind of bow it is for.
    pub bow_kind: BowKind,
    /// Length of the bow it is for.
    pub bow_length_inch: Option<f64>,
    /// Loaded length.
    pub loaded_length_inch: Option<f64>,
    /// Measuring load, pounds.
    pub load_lb: f64,
    /// Yarn.
    pub yarn: Yarn,
    /// Strands.
    pub strands: Option<u32>,
    /// Plies, unless nobody knows them.
    pub plies: Option<u32>,
    /// Lay, unless nobody knows it.
    pub lay: Option<Lay>,
    /// Turns as built.
    pub turns: Option<f64>,
    /// Turns it may have.
    pub turns_min: i32,
    /// Turns it may have.
    pub turns_max: i32,
    /// What it holds against what its bow asks for.
    pub strength: StrengthView,
    /// Maker's initials.
    pub maker_initials: Option<String>,
    /// Day it was sold.
    pub date: NaiveDate,
    /// Brace range.
    pub brace_low_inch: Option<f64>,
    /// Brace range.
    pub brace_high_inch: Option<f64>,
    /// Where the range comes from.
    pub brace_source: Option<WantSource>,
    /// Can be shortened by.
    pub play_in_inch: f64,
    /// Can be let out by.
    pub play_out_inch: f64,
    /// What turns do, from the middle of the range.
    pub steps: Vec<CardStep>,
    /// Middle of the serving above (+) or below (-) the string's.
    pub serving_inch: Option<f64>,
    /// The archer's own unit, where it is known.
    pub unit: Option<Unit>,
    /// The form for one reading.
    pub reply: ReplyForm,
    /// The bow takes polyester only.
    pub polyester_only: bool,
    /// Cautions.
    #[serde(skip)]
    pub cautions: Vec<Caution>,
}

/// The card of a string.
///
/// # Errors
/// Unknown serial, a string too short to take turns or too weak for its bow, or the book cannot be
/// read.
pub fn card(book: &mut Book, serial: &str, today: NaiveDate) -> Result<CardView, AppError> {
    book.read(|page| {
        let stored = find_string(page, serial)?;
        let rules = super::page_rules(page)?;
        let bow = page.bow_of(&stored)?;
        let unit = page.archer(stored.archer_id)?.unit;
        let string = &stored.string;
        let strength = strength_of(string, &bow, &rules);
        refuse_below(
            &strength,
            &format!("it must not be sent; see it with: fistmele sold show {}", string.serial),
        )?;
        let recorded = super::recorded_turns(page, &rules)?;
        let subject = Subject {
            string,
            bow: &bow,
            rules: &rules,
            bench_radius: super::bench::radius_of(page, string.construction())?,
            bow_effect: None,
            recorded: &recorded,
        };
        let build = subject.build().ok_or_else(|| {
            AppError::refused(
                "the string is too short to take turns",
                "check the length on record with: fistmele sold show",
            )
        })?;
        if build.length_from == LengthFrom::Nothing {
            return Err(AppError::refused(
                format!("nobody knows the length of {0}, nor that of its bow", string.serial),
                format!("note the bow's: fistmele bow edit {} --marked M", string.serial),
            ));
        }
        let range = wanted(&bow, None, subject.marked_length(), &rules);
        let constant = constant_from_kind(bow.kind, build.length);
        let turns = build.turns;
        let steps = range
            .map(|range| {
                let prior = Chain::table_prior(&constant, &build.body);
                let chain = Chain::new(
                    range.middle(),
                    0.0,
                    constant.value,
                    build.body,
                    (turns.turns, turns.sd),
                    prior,
                );
                [-4, 5, 10]
                    .into_iter()
                    .filter(|put| build.window.allows(turns.turns + f64::from(*put)))
                    .filter_map(|put| {
                        let after = chain.forecast(f64::from(put))?.brace;
                        Some(CardStep { turns: put, brace_change_inch: after - range.middle() })
                    })
                    .collect()
            })
            .unwrap_or_default();
        let polyester_only = takes_polyester_only(&bow, today, &rules);
        let mut cautions = TURNING_CAUTIONS.to_vec();
        if polyester_only {
            cautions.push(Caution::PolyesterOnly);
        }
        Ok(CardView {
            serial: string.serial.clone(),
            workshop: rules.workshop_name.clone(),
            bow_kind: bow.kind,
            bow_length_inch: bow.marked_length.map(Length::inches),
            loaded_length_inch: (build.length_from == LengthFrom::Record).then_some(build.length),
            load_lb: rules.load_lb,
            yarn: string.yarn,
            strands: string.strands,
            plies: string.plies_known(),
            lay: string.lay_known(),
            turns: string.turns.map(|turns| turns.value()),
            turns_min: build.window.min,
            turns_max: build.window.max,
            strength: strength.into(),
            maker_initials: initials(string.maker_initials.as_deref(), string.maker.as_deref()),
            date: string.sold_on,
            brace_low_inch: range.map(|range| range.low),
            brace_high_inch: range.map(|range| range.high),
            brace_source: range.map(|range| range.source),
            play_in_inch: build.body.string_change(turns.turns, f64::from(build.window.max)).max(0.0),
            play_out_inch: build.body.string_change(f64::from(build.window.min), turns.turns).max(0.0),
            steps,
            serving_inch: string.serving_known(rules.serving_below),
            unit,
            reply: ReplyForm::new(&string.serial, Asks::Reading, unit, &rules),
            polyester_only,
            cautions,
        })
    })
}
