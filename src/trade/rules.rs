//! The workshop's own rules: what can be set, its default, and the typed whole.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::plausible::{self, PLIES, STRANDS};
use super::strength::{OwnStrength, StrandStrength, source_strength};
use super::terms::Terms;
use super::words::Route;
use crate::mechanics::bow::BowKind;
use crate::mechanics::settling::default_settling;
use crate::mechanics::twist::{Construction, TwistBody, Yarn};
use crate::quantity::{self, Measure, QuantityError, Unit};
use crate::words::shorten;

/// What kind of value a setting takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ValueKind {
    /// A small length, kept in inches, between two bounds in inches.
    Length(f64, f64),
    /// A number between two bounds.
    Number(f64, f64),
    /// A whole number between two bounds.
    Count(i64, i64),
    /// An amount of money, kept in minor units.
    Money,
    /// A unit of length.
    Unit,
    /// A range of brace heights, kept as two numbers of inches.
    BraceRange,
    /// Inches of shortening per turn squared, and the string length it was measured at.
    TurnConstant,
    /// A calendar date.
    Date,
    /// Words of one line.
    Text,
    /// An e-mail address.
    Address,
}

/// One setting of the workshop.
#[derive(Debug, Clone, PartialEq)]
pub struct Setting {
    /// Its name.
    pub name: String,
    /// What it takes.
    pub kind: ValueKind,
    /// Default in kept form; empty where nothing is set unless the workshop does.
    pub default: String,
    /// What it does, one line.
    pub about: String,
}

/// Why a setting was refused.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum SettingError {
    /// No such setting.
    #[error("there is no setting \"{0}\"")]
    UnknownName(String),
    /// The value is not what the setting takes.
    #[error("\"{text}\" does not do for {name}: {expected}")]
    Value {
        /// The setting.
        name: String,
        /// What was written.
        text: String,
        /// What it takes.
        expected: String,
    },
    /// A measurement that cannot be read.
    #[error(transparent)]
    Quantity(#[from] QuantityError),
}

/// Name, kind, default in kept form, what it does.
const FIXED: [(&str, ValueKind, &str, &str); 33] = [
    ("units", ValueKind::Unit, "inch", "unit of bare numbers and of what people read: inch, cm or mm"),
    ("currency", ValueKind::Text, "EUR", "currency of prices and costs"),
    ("workshop.name", ValueKind::Text, "", "the workshop's name, for letters and cards"),
    ("workshop.signature", ValueKind::Text, "", "who signs the letters"),
    (
        "workshop.email",
        ValueKind::Address,
        "",
        "where archers write to; cards and sheets then carry a code that opens a mail to it",
    ),
    (
        "copies.folder",
        ValueKind::Text,
        "",
        "folder for the counter's copy a day, best on another disk; empty: copies, beside the book",
    ),
    (
        "mails.place",
        ValueKind::Text,
        "",
        "where mails come in: a Maildir, an mbox file, or a folder of .eml files; it is read and never changed",
    ),
    ("mails.days", ValueKind::Number(1.0, 3650.0), "30", "how many days back mails are looked for"),
    ("window.min-degrees", ValueKind::Number(3.0, 15.0), "9", "least helix angle of a string, degrees"),
    ("window.max-degrees", ValueKind::Number(10.0, 25.0), "20", "greatest helix angle of a string, degrees"),
    (
        "play.shorten",
        ValueKind::Length(0.0, 3.0),
        "",
        "most an archer may shorten a string by turns; empty: the window alone",
    ),
    (
        "play.lengthen",
        ValueKind::Length(0.0, 3.0),
        "",
        "most an archer may lengthen a string by turns; empty: the window alone",
    ),
    ("reading.sd", ValueKind::Length(0.005, 0.5), "0.0625", "sd of one careful brace height reading"),
    (
        "reading.strip-sd",
        ValueKind::Length(0.005, 0.5),
        "0.1",
        "sd of a brace height read by paper strip, until it is measured (judgement, no source)",
    ),
    ("build.tolerance", ValueKind::Length(0.0, 1.0), "0.125", "tolerance of a built length"),
    ("build.let-out", ValueKind::Length(0.0, 1.0), "0.25", "length that the usual turns leave to let out"),
    (
        "build.turns-per-inch",
        ValueKind::Number(0.1, 1.5),
        "",
        "usual turns per inch of body, all constructions; empty: by build.let-out",
    ),
    ("rounding", ValueKind::Length(0.01, 1.0), "0.125", "step to which lengths to build are rounded"),
    (
        "chance.floor",
        ValueKind::Number(0.0, 1.0),
        "0.5",
        "least chance to land in the range with which an adjustment is advised",
    ),
    ("cost.answer", ValueKind::Money, "400", "cost of one answer to an archer"),
    ("cost.remake", ValueKind::Money, "1800", "cost of making a string again"),
    ("cost.label", ValueKind::Money, "600", "cost of posting a remake with a return label"),
    (
        "cost.question",
        ValueKind::Money,
        "150",
        "cost of a question back: a short answer, some days, and the archer's patience",
    ),
    ("wait.days", ValueKind::Count(1, 365), "7", "days to wait for an archer's answer"),
    (
        "settle.shots",
        ValueKind::Count(10, 2000),
        "100",
        "shots that settle a new string (50 to 100 in two published guides)",
    ),
    (
        "vintage.years",
        ValueKind::Count(5, 200),
        "30",
        "age from which a bow takes polyester only (common practice, no source)",
    ),
    (
        "serving.below",
        ValueKind::Length(0.0, 6.0),
        "1",
        "middle of the serving below the middle of the string, as built",
    ),
    (
        "length.load",
        ValueKind::Number(20.0, 200.0),
        "100",
        "measuring load, pounds (AMO Standards 1987, 2000)",
    ),
    (
        "brace.table-reach",
        ValueKind::Length(0.0, 2.0),
        "0.5",
        "within this of a table range the archer is asked for the bow maker's",
    ),
    (
        "terms.wear",
        ValueKind::Count(0, 600),
        "",
        "months from delivery within which what wore, broke or came loose is made right free; empty: always",
    ),
    (
        "terms.handling",
        ValueKind::Count(0, 600),
        "",
        "the same for what was shot without an arrow or turned out too far; empty: always free",
    ),
    (
        "terms.own-cut",
        ValueKind::Count(0, 600),
        "",
        "the same for a string that the archer cut; empty: always free",
    ),
    (
        "terms.price",
        ValueKind::Money,
        "",
        "what a new string costs the archer outside the terms; empty: the letter says that it is told later",
    ),
];

/// Settings of the month sheet; see `docs/month.md`.
const MONTH: [(&str, ValueKind, &str, &str); 8] = [
    (
        "month.play-shorten",
        ValueKind::Length(0.0, 3.0),
        "0.75",
        "month sheet: so much too long a string may be before an archer writes",
    ),
    (
        "month.play-lengthen",
        ValueKind::Length(0.0, 3.0),
        "0.25",
        "month sheet: so much too short a string may be before an archer writes",
    ),
    (
        "month.told-share",
        ValueKind::Number(0.3, 1.0),
        "0.9",
        "month sheet: share of strings that don't fit that the workshop ever hears of",
    ),
    ("month.horizon", ValueKind::Count(30, 720), "180", "month sheet: days within which a report counts"),
    ("month.memory", ValueKind::Count(7, 60), "24", "month sheet: months of deliveries looked at"),
    (
        "month.delivery-days",
        ValueKind::Count(0, 60),
        "5",
        "month sheet: days from sale to delivery where no delivery is recorded",
    ),
    ("month.questions", ValueKind::Count(0, 50), "5", "quiet archers to ask in a month"),
    (
        "month.reports-since",
        ValueKind::Date,
        "",
        "day since which complaints are written down; empty: the book's first day or first report",
    ),
];

/// Brace ranges where the bow's maker gave none, inches. Recurves of 62 in and more: trade
/// association consumer guide 2020; all others common practice, no source. Method T08.
const BRACE_RANGES: [(&str, &str); 11] = [
    ("brace.recurve.58-60", "7.25..8.25"),
    ("brace.recurve.62-64", "7.5..8.5"),
    ("brace.recurve.66-68", "8..9"),
    ("brace.recurve.70-72", "8.75..9.5"),
    ("brace.long-riser.58-60", "7.25..8.25"),
    ("brace.long-riser.62-64", "7.5..8.5"),
    ("brace.long-riser.66-68", "8..9"),
    ("brace.long-riser.70-72", "8.75..9.5"),
    ("brace.longbow", "6..7"),
    ("brace.reflex-deflex", "6.5..7.5"),
    ("brace.selfbow", "5..6.5"),
];

/// Offset taken off the stated measure where the workshop set none: 4 in for recurves, 3 in
/// for all others on the marked and nock-to-nock routes (common practice; a string maker's
/// post states both), nothing on the other routes. Method V22.
#[must_use]
pub const fn default_offset(route: Route, kind: BowKind) -> f64 {
    match (route, kind) {
        (Route::Marked | Route::NockToNock, BowKind::Recurve | BowKind::LongRiser) => 4.0,
        (Route::Marked | Route::NockToNock, _) => 3.0,
        _ => 0.0,
    }
}

/// Every setting with its default, by name. Settings by construction are listed only once set.
#[must_use]
pub fn all_settings() -> Vec<Setting> {
    let mut all: Vec<Setting> = FIXED
        .iter()
        .chain(&MONTH)
        .map(|(name, kind, default, about)| Setting {
            name: (*name).to_owned(),
            kind: *kind,
            default: (*default).to_owned(),
            about: (*about).to_owned(),
        })
        .collect();
    all.extend(BRACE_RANGES.iter().map(|(name, default)| Setting {
        name: (*name).to_owned(),
        kind: ValueKind::BraceRange,
        default: (*default).to_owned(),
        about: "brace range where the bow's maker gave none".to_owned(),
    }));
    for &route in Route::SIZED {
        for &kind in BowKind::ALL {
            all.push(Setting {
                name: format!("offset.{route}.{kind}"),
                kind: ValueKind::Length(-6.0, 8.0),
                default: plain(default_offset(route, kind)),
                about: "taken off the stated measure to get the ordered length".to_owned(),
            });
        }
    }
    for &yarn in Yarn::ALL {
        let (expected, sd) = default_settling(yarn);
        all.push(Setting {
            name: format!("settle.{yarn}"),
            kind: ValueKind::Length(0.0, 2.0),
            default: plain(expected),
            about: "growth of a pre-stretched string while it settles (judgement, no source)".to_owned(),
        });
        all.push(Setting {
            name: format!("settle.{yarn}.sd"),
            kind: ValueKind::Length(0.005, 2.0),
            default: plain(sd),
            about: "its spread from string to string (judgement, no source)".to_owned(),
        });
    }
    all.extend(Yarn::ALL.iter().filter_map(|yarn| {
        Some(Setting {
            name: format!("strength.{yarn}"),
            kind: ValueKind::Number(1.0, 500.0),
            default: plain(source_strength(*yarn)?),
            about: "what one strand holds, pounds; above the default only with a reason (--why)".to_owned(),
        })
    }));
    all.sort_by(|a, b| a.name.cmp(&b.name));
    all
}

/// The yarn whose strand strength a setting is.
#[must_use]
pub fn strength_setting(name: &str) -> Option<Yarn> {
    name.strip_prefix("strength.")?.parse().ok()
}

/// The setting of a name, those by construction included.
///
/// # Errors
/// There is none of that name.
pub fn find_setting(name: &str) -> Result<Setting, SettingError> {
    let name = name.trim().to_lowercase();
    if let Some(setting) = all_settings().into_iter().find(|setting| setting.name == name) {
        return Ok(setting);
    }
    let by_construction = |prefix: &str| name.strip_prefix(prefix).and_then(construction_from_name).is_some();
    let (kind, about) = if by_construction("turn-constant.") {
        (
            ValueKind::TurnConstant,
            "bench figure: inches of shortening per turn squared, and the length it belongs to",
        )
    } else if by_construction("build.turns-per-inch.") {
        (ValueKind::Number(0.1, 1.5), "usual turns per inch of body for this construction")
    } else {
        return Err(SettingError::UnknownName(shorten(&name)));
    };
    Ok(Setting { name, kind, default: String::new(), about: about.to_owned() })
}

/// `yarn.strands.plies`, as used in setting names.
#[must_use]
pub fn construction_name(construction: Construction) -> String {
    format!("{}.{}.{}", construction.yarn, construction.strands, construction.plies)
}

/// The construction of a `yarn.strands.plies` name.
#[must_use]
pub fn construction_from_name(name: &str) -> Option<Construction> {
    let mut parts = name.split('.');
    let construction = Construction {
        yarn: parts.next()?.parse().ok()?,
        strands: parts.next()?.parse().ok().filter(|n| STRANDS.check(*n).is_ok())?,
        plies: parts.next()?.parse().ok().filter(|n| PLIES.check(*n).is_ok())?,
    };
    parts.next().is_none().then_some(construction)
}

fn plain(value: f64) -> String {
    format!("{value}")
}

/// The kept form of a value written for a setting; empty text means "back to the default".
///
/// # Errors
/// The text is not what the setting takes.
pub fn canonical_value(setting: &Setting, text: &str, unit: Unit) -> Result<String, SettingError> {
    let text = text.trim();
    if text.is_empty() || text.eq_ignore_ascii_case("default") {
        return Ok(String::new());
    }
    let refuse =
        |expected: String| SettingError::Value { name: setting.name.clone(), text: shorten(text), expected };
    let number = |low: f64, high: f64| -> Result<f64, SettingError> {
        text.replace(',', ".").parse::<f64>().ok().filter(|value| (low..=high).contains(value)).ok_or_else(
            || refuse(format!("a number from {low} to {high} is needed, such as {}", (low + high) / 2.0)),
        )
    };
    match setting.kind {
        ValueKind::Length(low, high) => {
            let measure = if high > 3.0 { Measure::Offset } else { Measure::Small };
            let length = quantity::parse_length(text, unit, measure)?.inches();
            if !(low..=high).contains(&length) {
                return Err(refuse(format!("it must lie from {low} to {high} in")));
            }
            Ok(plain(length))
        }
        ValueKind::Number(low, high) => number(low, high).map(plain),
        ValueKind::Count(low, high) => text
            .parse::<i64>()
            .ok()
            .filter(|value| (low..=high).contains(value))
            .map(|value| value.to_string())
            .ok_or_else(|| refuse(format!("a whole number from {low} to {high} is needed"))),
        ValueKind::Money => Ok(quantity::parse_money(text)?.to_string()),
        ValueKind::Unit => text
            .to_lowercase()
            .parse::<Unit>()
            .map(|unit| unit.to_string())
            .map_err(|_| refuse("one of inch, cm, mm is needed".to_owned())),
        ValueKind::BraceRange => {
            let range = quantity::parse_range(text, unit, Measure::WantedBrace)?;
            Ok(format!("{}..{}", range.low().inches(), range.high().inches()))
        }
        ValueKind::TurnConstant => {
            let expected =
                || refuse("write the figure and the string's length, such as \"0.00062 at 60\"".to_owned());
            let (constant, length) = text.split_once(" at ").ok_or_else(expected)?;
            let constant: f64 = constant.trim().replace(',', ".").parse().map_err(|_| expected())?;
            let length = quantity::parse_length(length, unit, Measure::StringLength)?.inches();
            // Six strands of thin yarn to forty of thick yarn lie well inside.
            if !(0.00005..=0.01).contains(&constant)
                || TwistBody::from_turn_constant(constant, length).is_none()
            {
                return Err(refuse(
                    "strings lie between 0.00005 and 0.01 inches per turn squared".to_owned(),
                ));
            }
            Ok(format!("{constant} at {length}"))
        }
        ValueKind::Date => Ok(quantity::parse_date(text)?.to_string()),
        ValueKind::Text => plausible::one_line(text, 200).map_err(|error| refuse(error.needed)),
        ValueKind::Address => plausible::address(text).map_err(|error| refuse(error.needed)),
    }
}

/// Whether a value is one that [`canonical_value`] can have kept for a setting.
#[must_use]
pub fn is_kept_value(setting: &Setting, value: &str) -> bool {
    let number = |text: &str| text.parse::<f64>().ok().filter(|number| number.is_finite());
    let pair = |between: &str| {
        let (one, other) = value.split_once(between)?;
        Some((number(one)?, number(other)?))
    };
    value.is_empty()
        || match setting.kind {
            ValueKind::Length(low, high) | ValueKind::Number(low, high) => {
                number(value).is_some_and(|number| (low..=high).contains(&number))
            }
            ValueKind::Count(low, high) => {
                value.parse::<i64>().is_ok_and(|count| (low..=high).contains(&count))
            }
            ValueKind::Money => value.parse::<i64>().is_ok_and(|cents| cents >= 0),
            ValueKind::Unit => value.parse::<Unit>().is_ok(),
            ValueKind::BraceRange => pair("..").is_some_and(|(low, high)| 0.0 < low && low <= high),
            ValueKind::TurnConstant => pair(" at ")
                .is_some_and(|(constant, length)| TwistBody::from_turn_constant(constant, length).is_some()),
            ValueKind::Date => value.parse::<chrono::NaiveDate>().is_ok(),
            ValueKind::Address => plausible::address(value).is_ok(),
            ValueKind::Text => value.chars().count() <= 200 && !value.chars().any(crate::words::is_unsafe),
        }
}

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
    fn every_default_is_a_value_its_setting_takes() {
        for setting in all_settings() {
            if setting.default.is_empty() || setting.kind == ValueKind::Money {
                continue;
            }
            let kept =
                canonical_value(&setting, &setting.default, Unit::Inch).unwrap_or_else(|e| panic!("{e}"));
            assert_eq!(kept, setting.default, "{}", setting.name);
        }
    }

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

    #[test]
    fn values_out_of_bounds_and_unknown_names_are_refused() {
        let floor = find_setting("chance.floor").unwrap();
        assert!(canonical_value(&floor, "1.5", Unit::Inch).is_err());
        assert!(canonical_value(&floor, "NaN", Unit::Inch).is_err());
        assert!(find_setting("chance.flor").is_err());
        assert!(find_setting("turn-constant.hmpe.16.2").is_ok());
        assert!(find_setting("turn-constant.hmpe.0.2").is_err());
    }
}
