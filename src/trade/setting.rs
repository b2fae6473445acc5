//! Every setting of the workshop: its name, what it takes, its default.

use thiserror::Error;

use super::plausible::{self, PLIES, STRANDS};
use super::strength::source_strength;
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
    fn values_out_of_bounds_and_unknown_names_are_refused() {
        let floor = find_setting("chance.floor").unwrap();
        assert!(canonical_value(&floor, "1.5", Unit::Inch).is_err());
        assert!(canonical_value(&floor, "NaN", Unit::Inch).is_err());
        assert!(find_setting("chance.flor").is_err());
        assert!(find_setting("turn-constant.hmpe.16.2").is_ok());
        assert!(find_setting("turn-constant.hmpe.0.2").is_err());
    }
}
