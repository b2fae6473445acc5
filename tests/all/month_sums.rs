//! The sums of the month sheet meet: causes, routes, bows, makers, yarns, months and the shop.

use chrono::{Days, NaiveDate};
use fistmele::evidence::calendar::Month;
use fistmele::mechanics::bow::BowKind;
use fistmele::mechanics::twist::Yarn;
use fistmele::month::view::MonthView;
use fistmele::month::{Fineness, Shop, work_out};
use fistmele::trade::month::{MonthLots, MonthRow, Offsets, OtherKind, ReportEnd, ReportFacts};
use fistmele::trade::records::BowProfile;
use fistmele::trade::rules::Rules;
use fistmele::trade::words::{Cause, Outcome, Route, Symptom};
use proptest::prelude::*;

fn look() -> NaiveDate {
    "2026-03-20".parse().unwrap()
}

/// One complaint of a string: days after delivery, what it says, how it ended, what was booked.
type Complaint = (u64, Symptom, Option<(Outcome, Cause, Option<i32>)>, Option<i64>);

#[derive(Debug, Clone)]
struct Bought {
    age: u64,
    route: Route,
    kind: BowKind,
    yarn: Yarn,
    maker: Option<&'static str>,
    replacement: bool,
    complaints: Vec<Complaint>,
}

fn complaint() -> impl Strategy<Value = Complaint> {
    let end = (
        prop::sample::select(Outcome::ALL.to_vec()),
        prop::sample::select(Cause::ALL.to_vec()),
        prop::option::of(-8..=8_i32),
    );
    (
        0..400_u64,
        prop::sample::select(vec![Symptom::BraceLow, Symptom::BraceHigh, Symptom::Fuzzy, Symptom::LooseTags]),
        prop::option::weighted(0.8, end),
        prop::option::of(0..5000_i64),
    )
}

fn bought() -> impl Strategy<Value = Bought> {
    (
        0..720_u64,
        prop::sample::select(Route::SIZED.to_vec()),
        prop::sample::select(vec![BowKind::Recurve, BowKind::Longbow]),
        prop::sample::select(vec![Yarn::Hmpe, Yarn::Polyester]),
        prop::sample::select(vec![None, Some("RK"), Some("BT")]),
        prop::bool::weighted(0.1),
        prop::collection::vec(complaint(), 0..3),
    )
        .prop_map(|(age, route, kind, yarn, maker, replacement, complaints)| Bought {
            age,
            route,
            kind,
            yarn,
            maker,
            replacement,
            complaints,
        })
}

fn sheet(bought: &[Bought], reports_since: Option<NaiveDate>) -> MonthView {
    let mut rows = Vec::new();
    let mut lots = MonthLots::default();
    let mut number = 0;
    for (place, string) in bought.iter().enumerate() {
        let delivered = look() - Days::new(string.age);
        if let Some(maker) = string.maker.filter(|_| !string.replacement) {
            *lots.makers.entry(maker.to_owned()).or_default() += 1;
        }
        let row = MonthRow {
            delivered,
            route: string.route,
            kind: string.kind,
            offset: None,
            yarn: string.yarn,
            spool: None,
            maker: string.maker.map(str::to_owned),
            replacement: string.replacement,
            count: 1,
            string: None,
            report: None,
            answer: None,
        };
        let known: Vec<&Complaint> = string
            .complaints
            .iter()
            .filter(|complaint| delivered + Days::new(complaint.0) <= look())
            .collect();
        if known.is_empty() {
            rows.push(MonthRow { maker: None, ..row });
            continue;
        }
        for (days, symptom, end, cents) in known {
            number += 1;
            let end = end.map(|(outcome, cause, eighths)| ReportEnd {
                outcome,
                cause,
                right_length: eighths.map(|eighths| 60.0 + f64::from(eighths) / 8.0),
            });
            rows.push(MonthRow {
                string: Some(i64::try_from(place).unwrap()),
                report: Some(Box::new(ReportFacts {
                    number,
                    received_on: delivered + Days::new(*days),
                    symptoms: vec![*symptom],
                    direction: None,
                    brace: None,
                    want: None,
                    bow: BowProfile::default(),
                    ordered: 60.0,
                    end,
                    flipped: false,
                    cents: *cents,
                })),
                ..row.clone()
            });
        }
    }
    let shop = Shop { rows, lots, offsets: Offsets::default(), reports_since, rules: Rules::default() };
    work_out(shop, Month::of(look()), look(), Fineness::Many).unwrap()
}

fn complaints(bought: &[Bought]) -> u32 {
    let of = |string: &Bought| {
        let delivered = look() - Days::new(string.age);
        string.complaints.iter().filter(|complaint| delivered + Days::new(complaint.0) <= look()).count()
    };
    u32::try_from(bought.iter().filter(|string| !string.replacement).map(of).sum::<usize>()).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(48) })]

    #[test]
    fn whatever_the_book_the_sums_of_the_sheet_meet(strings in prop::collection::vec(bought(), 0..60)) {
        let view = sheet(&strings, None);
        let shop = &view.shop;
        let routes: Vec<_> = view.whole_routes().collect();
        let units: Vec<_> = view.units().collect();
        for (what, rows) in [("routes", &routes), ("routes and bows", &units)] {
            let sum = |of: fn(&fistmele::month::view::MonthRowView) -> i64| rows.iter().map(|row| of(row)).sum::<i64>();
            prop_assert_eq!(sum(|row| i64::from(row.strings)), i64::from(shop.strings), "{}", what);
            prop_assert_eq!(sum(|row| i64::from(row.reports)), i64::from(shop.reports), "{}", what);
            prop_assert_eq!(sum(|row| i64::from(row.misfits)), i64::from(shop.misfits), "{}", what);
            prop_assert_eq!(sum(|row| i64::from(row.short)), i64::from(shop.short), "{}", what);
            prop_assert_eq!(sum(|row| i64::from(row.long)), i64::from(shop.long), "{}", what);
            prop_assert_eq!(sum(|row| i64::from(row.this_month_reports)), i64::from(shop.this_month_reports));
            prop_assert_eq!(sum(|row| row.cost_total_cents), shop.cost_total_cents, "{}", what);
        }
        prop_assert_eq!(view.by_yarn.iter().map(|line| line.strings).sum::<u32>(), shop.strings);
        prop_assert_eq!(view.by_yarn.iter().map(|line| line.reports).sum::<u32>(), shop.reports);
        prop_assert_eq!(view.by_yarn.iter().map(|line| line.misfits).sum::<u32>(), shop.misfits);
        let others = |kind| view.others.iter().filter(|line| line.kind == kind).map(|line| line.complaints).sum::<u32>();
        if !view.by_maker.is_empty() {
            prop_assert_eq!(view.by_maker.iter().map(|line| line.strings).sum::<u32>(), shop.strings);
            prop_assert_eq!(view.by_maker.iter().map(|line| line.reports).sum::<u32>(), shop.reports);
            prop_assert!(view.by_maker.iter().map(|line| line.workshop).sum::<u32>() <= others(OtherKind::BuiltOff));
        }
        let settled: u32 = view.causes.iter().map(|line| line.reports).sum();
        prop_assert_eq!(settled + view.open_reports, shop.reports);
        prop_assert_eq!(view.causes.iter().map(|line| line.misfits).sum::<u32>(), shop.misfits);
        let cost: i64 = view.causes.iter().map(|line| line.cost_cents).sum();
        prop_assert_eq!(cost + view.open_cost_cents, shop.cost_total_cents);
        let cost_of_others: i64 = view.others.iter().map(|line| line.cost_cents).sum();
        prop_assert_eq!(shop.cost_total_cents + cost_of_others, view.cost_of_all_cents);
        prop_assert!(view.causes.iter().all(|line| line.cause != Cause::Workshop));
        let all: u32 = view.others.iter().map(|line| line.complaints).sum::<u32>() + shop.reports;
        prop_assert_eq!(all, complaints(&strings));
        let by_month: u32 = view.months.iter().map(|line| line.reports).sum();
        prop_assert_eq!(by_month + view.reports_before_months, shop.reports);
        let expected: f64 = routes.iter().filter_map(|row| row.still_to_come).sum();
        prop_assert!((expected - shop.still_to_come.unwrap_or(0.0)).abs() < 1e-9);
        prop_assert!(shop.misfits <= shop.reports);
    }
}

#[test]
fn strings_sold_before_complaints_were_written_down_are_no_experience() {
    // A year of strings, and complaints kept for a month: four came in it.
    let mut strings: Vec<Bought> = (0..300)
        .map(|n| Bought {
            age: 30 + n,
            route: Route::Marked,
            kind: BowKind::Recurve,
            yarn: Yarn::Hmpe,
            maker: None,
            replacement: false,
            complaints: Vec::new(),
        })
        .collect();
    for string in &mut strings[..4] {
        string.complaints.push((string.age - 2, Symptom::BraceHigh, None, None));
    }
    let kept_since = look() - Days::new(20);
    let known = sheet(&strings, None);
    assert!(known.shop.this_month_p.is_some_and(|p| p < 0.01), "{:?}", known.shop.this_month_p);
    let young = sheet(&strings, Some(kept_since));
    assert_eq!((young.shop.this_month_p, young.shop.this_month_expected), (None, None));
    assert!(young.shop.effective_strings < 0.2 * known.shop.effective_strings);
    assert_eq!(young.comparable_from, "2026-09");
    assert!(young.months.iter().all(|line| line.expected.is_none()));
    // Looked at as of a day before the book, there is nothing to tell.
    let before = sheet(&strings, Some(look() + Days::new(9)));
    assert!(before.shop.effective_strings.abs() < 1e-9 && before.shop.rate.is_none());
}
