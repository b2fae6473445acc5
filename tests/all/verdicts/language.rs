//! A line for a case: what is changed against a usual string and bow, what the archer says, and
//! the verdict. The usual string: 16 strands of HMPE with 24 turns, ordered and built 58 1/2 in,
//! for a recurve of 62 in with reinforced tips whose maker gives 7 1/2 to 8 in.
//!
//! `longbow` begins with another: 14 strands of polyester with 31 turns, 65 in, for a longbow of
//! 68 in (6 1/4 to 6 3/4 in). `key=value` changes it up to the first `:`; behind it stand
//! symptoms and what was measured; `>` begins a further reading, `/` a further report.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};
use fistmele::mechanics::bow::FadeMeasures;
use fistmele::mechanics::learning::Pool;
use fistmele::mechanics::settling::{Settling, default_settling};
use fistmele::quantity::{DrawWeight, Length, LengthRange, Turns, Unit};
use fistmele::trade::advice::Advice;
use fistmele::trade::build::Subject;
use fistmele::trade::records::{BowProfile, Measurements, Reading, Report, SoldString};
use fistmele::trade::rules::Rules;
use fistmele::trade::setting::{canonical_value, find_setting};
use fistmele::trade::signs::{ReportSign, Sign, SignStanding, StandsIn};
use fistmele::trade::verdict::{Case, decide};
use fistmele::trade::words::{Route, Tips, Verdict};

pub(super) fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, 15).unwrap()
}

fn inches(text: &str) -> Length {
    Length::try_from_inches(text.parse().unwrap_or_else(|_| panic!("{text} is no number"))).unwrap()
}

fn optional<T>(text: &str, read: impl Fn(&str) -> T) -> Option<T> {
    (text != "-").then(|| read(text))
}

fn range(text: &str) -> LengthRange {
    let (low, high) = text.split_once("..").unwrap_or((text, text));
    LengthRange::new(inches(low), inches(high)).unwrap()
}

fn number<T: std::str::FromStr>(text: &str) -> T {
    text.parse().unwrap_or_else(|_| panic!("{text} is no number"))
}

/// A case as told in a line.
pub(super) struct Told {
    pub(super) string: SoldString,
    pub(super) bow: BowProfile,
    pub(super) rules: Rules,
    set: BTreeMap<String, String>,
    pub(super) reports: Vec<Report>,
}

fn recurve() -> (SoldString, BowProfile) {
    let sold_on = today() - Days::new(60);
    let mut string = SoldString::new("K-1".to_owned(), sold_on, Route::Marked, inches("58.5"));
    string.delivered_on = Some(sold_on + Days::new(4));
    string.built = Some(inches("58.5"));
    string.yarn = "hmpe".parse().unwrap();
    string.strands = Some(16);
    string.turns = Turns::new(24.0);
    string.pre_stretched = Some(true);
    let bow = BowProfile {
        kind: "recurve".parse().unwrap(),
        marked_length: Some(inches("62")),
        brace_range: Some(range("7.5..8")),
        tips: Tips::Reinforced,
        ..BowProfile::default()
    };
    (string, bow)
}

fn longbow() -> (SoldString, BowProfile) {
    let (mut string, mut bow) = recurve();
    string.ordered = Some(inches("65"));
    string.built = Some(inches("65"));
    string.yarn = "polyester".parse().unwrap();
    string.strands = Some(14);
    string.turns = Turns::new(31.0);
    bow.kind = "longbow".parse().unwrap();
    bow.marked_length = Some(inches("68"));
    bow.brace_range = Some(range("6.25..6.75"));
    bow.tips = Tips::Unknown;
    (string, bow)
}

fn change(told: &mut Told, key: &str, value: &str) {
    let (string, bow) = (&mut told.string, &mut told.bow);
    match key {
        "kind" => bow.kind = value.parse().unwrap(),
        "marked" => bow.marked_length = optional(value, inches),
        "range" => bow.brace_range = optional(value, range),
        "tips" => bow.tips = value.parse().unwrap(),
        "stave" => bow.stave = value.parse().unwrap(),
        "year" => bow.year = optional(value, number),
        "weight" => bow.draw_weight = DrawWeight::new(number(value), None),
        "allows" => bow.maker_allows_low_stretch = value == "yes",
        "yarn" => string.yarn = value.parse().unwrap(),
        "strands" => string.strands = optional(value, number),
        "turns" => string.turns = optional(value, |text| Turns::new(number(text)).unwrap()),
        "ordered" => string.ordered = Some(inches(value)),
        "built" => string.built = optional(value, inches),
        "serving-built" => string.serving = optional(value, inches),
        "stretched" => string.pre_stretched = Some(value == "yes"),
        "delivered" => string.delivered_on = optional(value, number),
        rule => {
            let setting = find_setting(rule).unwrap_or_else(|fault| panic!("{fault}"));
            let kept = canonical_value(&setting, value, Unit::Inch).unwrap_or_else(|fault| panic!("{fault}"));
            told.set.insert(setting.name, kept);
            told.rules = Rules::from_values(told.set.clone());
        }
    }
}

fn measure(measured: &mut Measurements, key: &str, value: &str) {
    let turns = |text: &str| Turns::new(number(text));
    match key {
        "brace" => measured.brace = Some(inches(value)),
        "n" => measured.readings = Some(number(value)),
        "want" => measured.want = Some(range(value)),
        "length" => measured.length = Some(inches(value)),
        "at" => measured.length_at = Some(value.parse().unwrap()),
        "put" => measured.turns_changed = turns(value),
        "count" => measured.turns_counted = turns(value),
        "over" => measured.counted_over = Some(inches(value)),
        "shots" => measured.shots = Some(number(value)),
        "marker" => measured.marker = Some(value.parse().unwrap()),
        "serving" => measured.serving = Some(inches(value)),
        "photo" => measured.photo = Some(value.parse().unwrap()),
        "fades" => {
            let four: Vec<f64> = value.split(',').map(number).collect();
            measured.fades = Some(FadeMeasures {
                free_string_inch: four[0],
                fade_span_inch: four[1],
                fade_gap_inch: four[2],
                fade_to_nock_inch: four[3],
            });
        }
        other => panic!("{other} is nothing to measure"),
    }
}

/// A sign of danger: its kind, with "!" stated as an event, with "+" confirmed, with "-" called off.
fn sign_of(word: &str) -> ReportSign {
    let of = word.trim_end_matches(['!', '+', '-']).parse().unwrap_or_else(|fault| panic!("{fault}"));
    let standing = match word.chars().last() {
        Some('+') => SignStanding::Confirmed,
        Some('-') => SignStanding::CalledOff,
        _ => SignStanding::Open,
    };
    let sign = Sign { of, sure: word.contains('!'), words: word.to_owned(), stands_in: StandsIn::Message };
    ReportSign { number: 1, sign, standing }
}

/// Reads a line.
pub(super) fn told(line: &str) -> Told {
    let (built, said) = line.split_once(':').unwrap_or_else(|| panic!("no colon in {line:?}"));
    let mut words = built.split_whitespace().peekable();
    let (string, bow) = if words.next_if_eq(&"longbow").is_some() { longbow() } else { recurve() };
    let mut told = Told { string, bow, rules: Rules::default(), set: BTreeMap::new(), reports: Vec::new() };
    for word in words {
        let (key, value) = word.split_once('=').unwrap_or_else(|| panic!("{word} changes nothing"));
        change(&mut told, key, value);
    }
    for (index, said) in said.split('/').enumerate() {
        let received_on = today() - Days::new(20 - index as u64);
        let mut report = Report {
            number: index as i64 + 1,
            received_on,
            symptoms: Vec::new(),
            signs: Vec::new(),
            readings: Vec::new(),
            settled: false,
        };
        for part in said.split('>') {
            let mut measurements = Measurements::default();
            for word in part.split_whitespace() {
                match word.split_once('=') {
                    Some(("sign", sign)) => report.signs.push(sign_of(sign)),
                    Some((key, value)) => measure(&mut measurements, key, value),
                    None if word == "settled" => report.settled = true,
                    None => report.symptoms.push(word.parse().unwrap_or_else(|fault| panic!("{fault}"))),
                }
            }
            report.readings.push(Reading { taken_on: received_on, measurements });
        }
        told.reports.push(report);
    }
    told
}

impl Told {
    /// The verdict.
    pub(super) fn advice(&self) -> Advice {
        let (expected, sd) = default_settling(self.string.yarn);
        let pool = Pool::from_readings(&[]);
        decide(Case {
            subject: Subject {
                string: &self.string,
                bow: &self.bow,
                rules: &self.rules,
                bench_radius: None,
                bow_effect: None,
                recorded: &[],
            },
            open_doubts: false,
            told: None,
            reports: &self.reports,
            pool: &pool,
            settling: Settling { expected, sd, readings: 0 },
            today: today(),
        })
        .unwrap_or_else(|fault| panic!("{fault:?}"))
    }
}

/// A verdict in a line: verdict, way of the turns, flip, what is asked, cause, what is built.
/// `ask=` at the head of it is the verdict to ask.
pub(super) fn in_a_line(advice: &Advice) -> String {
    let asks_only = advice.verdict == Verdict::Ask && !advice.ask.is_empty();
    let mut words = if asks_only { Vec::new() } else { vec![advice.verdict.to_string()] };
    if let Some(turns) = advice.turns {
        words.push(if turns > 0 { "in" } else { "out" }.to_owned());
    }
    if advice.flip {
        words.push("flip".to_owned());
    }
    if !advice.ask.is_empty() {
        let asked: Vec<&str> = advice.ask.iter().map(|ask| ask.as_str()).collect();
        words.push(format!("ask={}", asked.join(",")));
    }
    words.push(format!("cause={}", advice.likely_cause));
    if let Some(length) = advice.remake_length {
        words.push(format!("build={length}"));
        words.extend(advice.remake_yarn.map(|yarn| format!("of={yarn}")));
    }
    words.join(" ")
}

/// Compares every line of a table with its verdict; all that differ are told at once.
#[track_caller]
pub(super) fn compare(table: &[(&str, &str, &str)]) {
    let mut wrong = Vec::new();
    let mut names = std::collections::BTreeSet::new();
    for (name, line, expected) in table {
        assert!(names.insert(*name), "{name:?} is told twice");
        let found = in_a_line(&told(line).advice());
        if found != *expected {
            wrong.push(format!(
                "{name}\n    told:     {line}\n    expected: {expected}\n    found:    {found}"
            ));
        }
    }
    assert!(wrong.is_empty(), "{} of {} lines:\n{}", wrong.len(), table.len(), wrong.join("\n"));
}
