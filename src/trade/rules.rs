//! The workshop's own rules, as one typed whole.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::setting::{all_settings, construction_name, default_offset, find_setting};
use super::strength::{OwnStrength, StrandStrength, source_strength};
use super::terms::Terms;
use super::words::Route;
use crate::mechanics::bow::BowKind;
use crate::mechanics::settling::default_settling;
use crate::mechanics::twist::{Construction, TwistBody, Yarn};
use crate::quantity::Unit;

/// Expected costs in minor units.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Costs {
    /// One answer to an archer.
    pub answer: i64,
    /// Making a string again.
    pub remake: i64,
    /// Posting it, return label included.
    pub label: i64,
    /// A question back.
    pub question: i64,
}

impl Costs {
    /// An answer, a new string and its parcel.
    #[must_use]
    pub const fn once(&self) -> i64 {
        self.answer + self.remake + self.label
    }

    /// What a question must take off the chance of a wrong decision to be worth its cost: a wrong
    /// one costs about as much as a string that is made again. Method V09.
    #[must_use]
    pub fn question_gain(&self) -> f64 {
        if self.once() > 0 { (self.question as f64 / self.once() as f64).min(1.0) } else { 1.0 }
    }
}

/// All rules, typed. Lengths in inches.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Rules {
    /// Unit of bare numbers and of what people read.
    pub units: Unit,
    /// Currency of prices and costs.
    pub currency: String,
    /// The workshop's name.
    pub workshop_name: String,
    /// Who signs.
    pub signature: String,
    /// Where archers write to; it has no part in any verdict.
    #[serde(skip)]
    pub email: String,
    /// Where the copies of the book are kept; it has no part in any verdict.
    #[serde(skip)]
    pub copies_folder: String,
    /// Where mails come in, empty where nobody said, and how many days back they are looked for; neither
    /// has a part in any verdict.
    #[serde(skip)]
    pub mails_place: String,
    /// See `mails_place`.
    #[serde(skip)]
    pub mails_days: u32,
    /// Helix window, degrees.
    pub window_degrees: (f64, f64),
    /// Most an archer may shorten a string, inches.
    pub play_shorten: Option<f64>,
    /// Most an archer may lengthen a string, inches.
    pub play_lengthen: Option<f64>,
    /// sd of one careful reading, inches.
    pub reading_sd: f64,
    /// sd of a reading by paper strip, inches.
    #[serde(default)]
    pub strip_sd: f64,
    /// Tolerance of a built length, inches.
    pub build_tolerance: f64,
    /// What the usual turns leave to let out, inches.
    pub let_out: f64,
    /// Step of lengths to build, inches.
    pub rounding: f64,
    /// Least chance with which an adjustment is advised.
    pub chance_floor: f64,
    /// Costs.
    pub costs: Costs,
    /// Days to wait for an archer.
    pub wait_days: i64,
    /// Shots that settle a string. Method T15.
    pub settle_shots: u32,
    /// Age from which a bow takes polyester only, years.
    pub vintage_years: i32,
    /// Serving below the middle as built, inches.
    pub serving_below: f64,
    /// Measuring load, pounds: one for all lengths, 100 by default (AMO FP-3 2000). Method T04.
    pub load_lb: f64,
    /// Distance to a table range within which the maker's is asked for, inches.
    pub table_reach: f64,
    /// What is made right free, and how long.
    pub terms: Terms,
    /// Why settings were set, where it was said, by name.
    reasons: BTreeMap<String, String>,
    /// Kept values by name; what the typed fields above don't hold is read from here.
    values: BTreeMap<String, String>,
}

/// A number that is kept; its default where it cannot be read.
fn number_of(values: &BTreeMap<String, String>, name: &str) -> f64 {
    let kept = values.get(name).and_then(|value| value.parse().ok());
    kept.or_else(|| find_setting(name).ok()?.default.parse().ok()).unwrap_or_default()
}

impl Default for Rules {
    fn default() -> Self {
        Self::from_values(BTreeMap::new())
    }
}

impl Rules {
    /// The rules with the workshop's kept values laid over the defaults.
    #[must_use]
    pub fn from_values(set: BTreeMap<String, String>) -> Self {
        let mut values: BTreeMap<String, String> =
            all_settings().into_iter().map(|setting| (setting.name, setting.default)).collect();
        values.extend(set.into_iter().filter(|(_, value)| !value.is_empty()));
        let copies_folder = values.remove("copies.folder").unwrap_or_default();
        let mails_place = values.remove("mails.place").unwrap_or_default();
        let mails_days = values.remove("mails.days").and_then(|days| days.parse().ok()).unwrap_or(30);
        let email = values.remove("workshop.email").unwrap_or_default();
        let text = |name: &str| values.get(name).cloned().unwrap_or_default();
        let optional = |name: &str| text(name).parse::<f64>().ok();
        let number = |name: &str| number_of(&values, name);
        Self {
            units: text("units").parse().unwrap_or(Unit::Inch),
            currency: text("currency"),
            workshop_name: text("workshop.name"),
            signature: text("workshop.signature"),
            email,
            copies_folder,
            mails_place,
            mails_days,
            window_degrees: (number("window.min-degrees"), number("window.max-degrees")),
            play_shorten: optional("play.shorten"),
            play_lengthen: optional("play.lengthen"),
            reading_sd: number("reading.sd"),
            strip_sd: number("reading.strip-sd"),
            build_tolerance: number("build.tolerance"),
            let_out: number("build.let-out"),
            rounding: number("rounding"),
            chance_floor: number("chance.floor"),
            costs: Costs {
                answer: number("cost.answer") as i64,
                remake: number("cost.remake") as i64,
                label: number("cost.label") as i64,
                question: number("cost.question") as i64,
            },
            wait_days: number("wait.days") as i64,
            settle_shots: number("settle.shots") as u32,
            vintage_years: number("vintage.years") as i32,
            serving_below: number("serving.below"),
            load_lb: number("length.load"),
            table_reach: number("brace.table-reach"),
            terms: Terms {
                wear: text("terms.wear").parse().ok(),
                handling: text("terms.handling").parse().ok(),
                own_cut: text("terms.own-cut").parse().ok(),
                price: text("terms.price").parse().ok(),
            },
            reasons: BTreeMap::new(),
            values,
        }
    }

    /// The rules with the reasons that were given for settings.
    #[must_use]
    pub fn with_reasons(self, reasons: BTreeMap<String, String>) -> Self {
        Self { reasons, ..self }
    }

    /// What one strand is taken to hold; none where the yarn is not known. Method T14.
    #[must_use]
    pub fn strand_strength(&self, yarn: Yarn) -> Option<StrandStrength> {
        let source = source_strength(yarn)?;
        let name = format!("strength.{yarn}");
        let pounds = self.value(&name).and_then(|value| value.parse().ok()).unwrap_or(source);
        let own =
            (pounds > source + 1e-9).then(|| OwnStrength { source, why: self.reasons.get(&name).cloned() });
        Some(StrandStrength { pounds, own })
    }

    fn value(&self, name: &str) -> Option<&str> {
        self.values.get(name).map(String::as_str).filter(|value| !value.is_empty())
    }

    /// Kept value of a setting, default included.
    #[must_use]
    pub fn get(&self, name: &str) -> Option<&str> {
        self.value(name)
    }

    /// A setting that is a number.
    #[must_use]
    pub fn number(&self, name: &str) -> f64 {
        number_of(&self.values, name)
    }

    /// Offset in use for a route and kind of bow, inches taken off.
    #[must_use]
    pub fn offset(&self, route: Route, kind: BowKind) -> f64 {
        self.value(&format!("offset.{route}.{kind}"))
            .and_then(|value| value.parse().ok())
            .unwrap_or_else(|| default_offset(route, kind))
    }

    /// Growth while settling of a pre-stretched string, with sd, inches.
    #[must_use]
    pub fn settling(&self, yarn: Yarn) -> (f64, f64) {
        let (expected, sd) = default_settling(yarn);
        let number = |name: String| self.value(&name).and_then(|value| value.parse().ok());
        (
            number(format!("settle.{yarn}")).unwrap_or(expected),
            number(format!("settle.{yarn}.sd")).unwrap_or(sd),
        )
    }

    /// Brace range of the table for a key such as `recurve.62-64` or `longbow`, inches.
    #[must_use]
    pub fn brace_range(&self, key: &str) -> Option<(f64, f64)> {
        let (low, high) = self.value(&format!("brace.{key}"))?.split_once("..")?;
        Some((low.parse().ok()?, high.parse().ok()?))
    }

    /// Effective twist radius from a turn constant that was set for a construction, inches.
    #[must_use]
    pub fn bench_radius(&self, construction: Construction) -> Option<f64> {
        let value = self.value(&format!("turn-constant.{}", construction_name(construction)))?;
        let (constant, length) = value.split_once(" at ")?;
        TwistBody::from_turn_constant(constant.parse().ok()?, length.parse().ok()?)
            .map(|body| body.twist_radius)
    }

    /// Usual turns per inch of body that the workshop set.
    #[must_use]
    pub fn turns_per_inch(&self, construction: Construction) -> Option<f64> {
        self.value(&format!("build.turns-per-inch.{}", construction_name(construction)))
            .or_else(|| self.value("build.turns-per-inch"))?
            .parse()
            .ok()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_workshop_sets_is_used() {
        let rules = Rules::from_values(BTreeMap::from([
            ("offset.marked.recurve".to_owned(), "3.625".to_owned()),
            ("turn-constant.hmpe.16.2".to_owned(), "0.0006 at 60".to_owned()),
            ("reading.sd".to_owned(), String::new()),
        ]));
        assert!((rules.offset(Route::Marked, BowKind::Recurve) - 3.625).abs() < 1e-12);
        assert!((rules.offset(Route::Marked, BowKind::Longbow) - 3.0).abs() < 1e-12);
        let construction = Construction { yarn: Yarn::Hmpe, strands: 16, plies: 2 };
        assert!((rules.bench_radius(construction).unwrap() - 0.0535).abs() < 0.0005);
        assert!((rules.reading_sd - 0.0625).abs() < 1e-12);
    }
}
