//! Strings of an invented shop, and what its book would hold on a day.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};
use fistmele::evidence::calendar::Month;
use fistmele::mechanics::bow::BowKind;
use fistmele::mechanics::twist::Yarn;
use fistmele::month::view::{MonthRowView, MonthView};
use fistmele::month::{Fineness, Shop, work_out};
use fistmele::trade::month::{AnswerFacts, MonthLots, MonthRow, Offsets, ReportEnd, ReportFacts};
use fistmele::trade::records::BowProfile;
use fistmele::trade::rules::Rules;
use fistmele::trade::words::{Cause, Outcome, Route, Symptom};

/// Play either way, inches of string.
const PLAY: f64 = 0.5;
/// The routes that strings come by, in equal shares.
pub(crate) const ROUTES: [Route; 6] =
    [Route::OldString, Route::Marked, Route::NockToNock, Route::BowMaker, Route::WorkedOut, Route::Repeat];
/// Spreads of the length error by route.
pub(crate) const SPREADS: [f64; 6] = [0.20, 0.30, 0.33, 0.22, 0.25, 0.28];

pub(crate) struct Draw(fastrand::Rng);

impl Draw {
    pub(crate) fn new(seed: u64) -> Self {
        Self(fastrand::Rng::with_seed(seed))
    }

    /// A normal variable (Box and Muller 1958).
    pub(crate) fn normal(&mut self) -> f64 {
        let (u, v) = (self.0.f64().max(1e-300), self.0.f64());
        (-2.0 * u.ln()).sqrt() * (std::f64::consts::TAU * v).cos()
    }

    pub(crate) fn delay(&mut self) -> u64 {
        let days = if self.0.f64() < 0.6 {
            7.0 * (0.8 * self.normal()).exp()
        } else {
            35.0 * (0.9 * self.normal()).exp()
        };
        days.min(2000.0) as u64
    }
}

/// Chance that an error is told: from nagging to 0.9 over 1/8 in of string either side of the play.
pub(crate) fn told(error: f64) -> f64 {
    let beyond = (error.abs() - PLAY) / 0.125;
    0.01 + 0.89 * (0.5 * beyond + 0.5).clamp(0.0, 1.0)
}

pub(crate) struct Sold {
    pub(crate) delivered: NaiveDate,
    pub(crate) route: Route,
    error: f64,
    pub(crate) report: Option<(NaiveDate, Option<f64>)>,
    /// Day and reading of the card that came back, or of an answer to a question.
    answer: Option<(NaiveDate, f64)>,
}

/// How archers who do not complain are heard.
#[derive(Clone, Copy, Default)]
pub(crate) struct Heard {
    /// Share of the cards that come back, of strings that fit and of others alike.
    pub(crate) cards: f64,
    /// Questions a month, by lot; half of them are answered.
    pub(crate) questions: u32,
}

/// Days after which a card comes back.
const CARD_DAYS: u64 = 21;
/// Share of questions that are answered.
const ANSWERED: f64 = 0.5;
/// What a brace height that an archer reads is off by, inches of string.
const READING_SD: f64 = 0.10;

/// Lets cards come back and questions be answered.
pub(crate) fn hear(sold: &mut [Sold], heard: Heard, months: i32, draw: &mut Draw) {
    let answered = |string: &Sold, on: NaiveDate, draw: &mut Draw| {
        let reading = string.error + READING_SD * draw.normal();
        string
            .report
            .is_none_or(|(reported, _)| reported > on)
            .then_some((on, (reading * 16.0).round() / 16.0))
    };
    for string in sold.iter_mut() {
        if draw.0.f64() < heard.cards {
            let on = string.delivered + Days::new(CARD_DAYS);
            string.answer = answered(string, on, draw);
        }
    }
    for month in 0..months {
        let on = start().plus(month).first_day();
        let quiet: Vec<usize> = (0..sold.len())
            .filter(|place| {
                let string = &sold[*place];
                string.answer.is_none()
                    && string.delivered + Days::new(10) <= on
                    && string.delivered + Days::new(180) >= on
                    && string.report.is_none_or(|(reported, _)| reported > on)
            })
            .collect();
        for _ in 0..heard.questions.min(quiet.len() as u32) {
            let place = quiet[draw.0.usize(..quiet.len())];
            if draw.0.f64() < ANSWERED && sold[place].answer.is_none() {
                sold[place].answer = answered(&sold[place], on + Days::new(7), draw);
            }
        }
    }
}

/// How a fault comes.
#[derive(Clone, Copy, PartialEq)]
pub(crate) enum Comes {
    /// At once, from the first day of a month on.
    AtOnce,
    /// At once, from the sixteenth of that month on.
    MidMonth,
    /// By a sixth more in each of six months.
    Slowly,
}

/// What is wrong with a shop: how much, from which month on, how it comes and where.
#[derive(Clone, Copy)]
pub(crate) struct Fault {
    pub(crate) inch: f64,
    pub(crate) from: i32,
    pub(crate) comes: Comes,
    pub(crate) routes: &'static [Route],
}

impl Fault {
    /// The mean error of the strings of a month.
    pub(crate) fn mean(&self, month: i32, day: u64) -> f64 {
        let since = month - self.from;
        match self.comes {
            _ if since < 0 => 0.0,
            Comes::AtOnce => self.inch,
            Comes::MidMonth if since == 0 && day < 15 => 0.0,
            Comes::MidMonth => self.inch,
            Comes::Slowly => self.inch * f64::from((since + 1).min(6)) / 6.0,
        }
    }
}

pub(crate) fn start() -> Month {
    Month::new(2020, 1).unwrap()
}

pub(crate) fn strings(
    draw: &mut Draw,
    a_month: u32,
    months: i32,
    fault: Option<Fault>,
    alike: bool,
) -> Vec<Sold> {
    let mut sold = Vec::new();
    for month in 0..months {
        let first = start().plus(month).first_day();
        let days =
            u64::from(start().plus(month).last_day().signed_duration_since(first).num_days() as u32) + 1;
        for _ in 0..a_month {
            let place = draw.0.usize(..6);
            let route = ROUTES[place];
            let spread = if alike { 0.28 } else { SPREADS[place] };
            let noise = draw.normal();
            let day = draw.0.u64(..days);
            let mean = fault.filter(|f| f.routes.contains(&route)).map_or(0.0, |f| f.mean(month, day));
            let error = mean + spread * noise;
            let delivered = first + Days::new(day);
            let report = (draw.0.f64() < told(error)).then(|| {
                let on = delivered + Days::new(draw.delay());
                let right = (draw.0.f64() < 0.85).then(|| (error * 8.0).round() / 8.0);
                (on, right)
            });
            sold.push(Sold { delivered, route, error, report, answer: None });
        }
    }
    sold
}

fn report_of(place: usize, string: &Sold, on: NaiveDate, right: Option<f64>) -> ReportFacts {
    let inside = string.error.abs() < PLAY - 0.125;
    let outcome = match string.error.abs() {
        _ if inside => Outcome::Reassured,
        far if far < PLAY + 0.1 => Outcome::Adjusted,
        _ => Outcome::Remade,
    };
    let end = ReportEnd {
        outcome,
        cause: if inside { Cause::Unknown } else { Cause::Sizing },
        right_length: right.filter(|_| !inside).map(|error| 60.0 + error),
    };
    ReportFacts {
        number: i64::try_from(place).unwrap(),
        received_on: on,
        symptoms: vec![if string.error > 0.0 { Symptom::BraceHigh } else { Symptom::BraceLow }],
        direction: None,
        brace: None,
        want: None,
        bow: BowProfile::default(),
        ordered: 60.0,
        end: Some(end),
        flipped: false,
        cents: None,
    }
}

/// What the book would hold on a day; `kept` is the first day whose reports are kept.
fn rows(sold: &[Sold], look: NaiveDate, oldest: NaiveDate, kept: NaiveDate) -> Vec<MonthRow> {
    let row = |delivered, route, count| MonthRow {
        delivered,
        route,
        kind: BowKind::Recurve,
        offset: None,
        yarn: Yarn::Unknown,
        spool: None,
        maker: None,
        replacement: false,
        count,
        string: None,
        report: None,
        answer: None,
    };
    let mut rows = Vec::new();
    let mut quiet = BTreeMap::<(NaiveDate, Route), u32>::new();
    for (place, string) in sold.iter().enumerate() {
        if string.delivered > look || string.delivered < oldest {
            continue;
        }
        let report = string.report.filter(|(on, _)| *on <= look && *on >= kept);
        let answer = string.answer.filter(|(on, _)| *on <= look);
        if report.is_none() && answer.is_none() {
            *quiet.entry((string.delivered, string.route)).or_default() += 1;
            continue;
        }
        let fits = |reading: f64| reading.abs() < 1.0 / 32.0;
        rows.push(MonthRow {
            string: Some(i64::try_from(place).unwrap()),
            report: report.map(|(on, right)| Box::new(report_of(place, string, on, right))),
            answer: answer.map(|(_, reading)| AnswerFacts {
                reading_inch: (!fits(reading)).then_some(reading),
                chance: None,
            }),
            ..row(string.delivered, string.route, 1)
        });
    }
    rows.extend(quiet.into_iter().map(|((day, route), count)| row(day, route, count)));
    rows
}

/// The workshop's rules: the play of these shops.
pub(crate) fn rules() -> Rules {
    let set = |name: &str, value: &str| (name.to_owned(), value.to_owned());
    Rules::from_values(BTreeMap::from([set("month.play-shorten", "0.5"), set("month.play-lengthen", "0.5")]))
}

/// The sheet of a month; reports before the month `kept` were not kept.
pub(crate) fn look_at(sold: &[Sold], month: i32, kept: i32, rules: &Rules) -> MonthView {
    let month = start().plus(month);
    let look = month.last_day();
    let kept = start().plus(kept).first_day();
    let shop = Shop {
        lots: MonthLots::default(),
        rows: rows(sold, look, month.plus(-23).first_day(), kept),
        offsets: Offsets::default(),
        reports_since: Some(kept),
        rules: rules.clone(),
    };
    work_out(shop, month, look, Fineness::Many).expect("the sheet")
}

pub(crate) fn unit(view: &MonthView, route: Route) -> Option<&MonthRowView> {
    view.units().find(|row| row.route == Some(route))
}

pub(crate) fn advice(view: &MonthView, route: Route) -> Option<f64> {
    unit(view, route).and_then(|row| row.advised_change_inch)
}
