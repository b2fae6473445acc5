//! Invented data in a scenario of its own: the Long Bench at Otterhithe.
//!
//! Every name, address and number here is made up. The same seed gives the same book.

mod reports;

use chrono::{Datelike, Days, NaiveDate};

use super::error::AppError;
use crate::book::{Author, Book, Happened, NewString};
use crate::mechanics::bow::{BowKind, brace_after, constant_from_kind};
use crate::mechanics::twist::{Construction, TurnWindow, TwistBody, Yarn, usual_turns};
use crate::quantity::{DrawWeight, Length, LengthRange, Turns};
use crate::trade::ranges::table_key;
use crate::trade::records::{Archer, BowProfile, SoldString};
use crate::trade::rules::Rules;
use crate::trade::setting::default_offset;
use crate::trade::words::{Lay, LengthAt, Route, Stave, Tips};

const FIRST: [&str; 24] = [
    "Odalind", "Berrin", "Tavish", "Maelis", "Corvin", "Ysolde", "Hanno", "Perrin", "Sunniva", "Aldous",
    "Brenna", "Casimir", "Dorrit", "Eskil", "Fenella", "Gunnar", "Isaura", "Jorund", "Kerensa", "Lowen",
    "Merrick", "Nessa", "Oriel", "Rafferty",
];
const LAST: [&str; 24] = [
    "Quarrie",
    "Hollbeck",
    "Vantongeren",
    "Marrable",
    "Ostwick",
    "Fennimore",
    "Trehalion",
    "Drumgold",
    "Aspinwold",
    "Carrowby",
    "Eversleigh",
    "Glaisdale",
    "Hathersedge",
    "Inchbald",
    "Kirkover",
    "Lammerding",
    "Moorcroft",
    "Netherby",
    "Pendarrow",
    "Quillfeather",
    "Rossendale",
    "Skelwith",
    "Thornaby",
    "Winterbourne",
];
const MAKERS: [(&str, &str); 3] = [("Runa Kestle", "RK"), ("Bo Tamsin", "BT"), ("Ilse Wick", "IW")];
const ROUTES: [(Route, u32); 6] = [
    (Route::Marked, 40),
    (Route::OldString, 22),
    (Route::NockToNock, 14),
    (Route::BowMaker, 9),
    (Route::WorkedOut, 8),
    (Route::Repeat, 7),
];
const KINDS: [(BowKind, u32, f64, f64); 6] = [
    (BowKind::Recurve, 34, 56.0, 64.0),
    (BowKind::LongRiser, 16, 66.0, 70.0),
    (BowKind::Longbow, 18, 64.0, 72.0),
    (BowKind::ReflexDeflex, 16, 60.0, 66.0),
    (BowKind::Selfbow, 12, 62.0, 72.0),
    (BowKind::Horsebow, 4, 48.0, 56.0),
];

/// Months over which the strings were sold.
const MONTHS: u64 = 18;
/// Largest demo.
pub const MOST_STRINGS: u32 = 1_000_000;

/// Deterministic draws.
struct Draw(fastrand::Rng);

impl Draw {
    /// A normal variable, by the sum of twelve uniform ones (mean 6, variance 1); its missing
    /// far tails do not matter here.
    fn normal(&mut self, mean: f64, sd: f64) -> f64 {
        mean + sd * ((0..12).map(|_| self.0.f64()).sum::<f64>() - 6.0)
    }

    fn chance(&mut self, share: f64) -> bool {
        self.0.f64() < share
    }

    fn pick<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.0.usize(..list.len())]
    }

    fn weighted<'a, T>(&mut self, list: &'a [T], weight: impl Fn(&T) -> u32) -> &'a T {
        let all: u32 = list.iter().map(&weight).sum();
        let mut left = self.0.u32(..all);
        for item in list {
            match left.checked_sub(weight(item)) {
                Some(rest) => left = rest,
                None => return item,
            }
        }
        &list[list.len() - 1]
    }
}

fn inches(value: f64, step: f64) -> Result<Length, AppError> {
    Length::try_from_inches((value / step).round() * step)
        .ok_or_else(|| AppError::Internal(format!("the demo drew a length of {value}")))
}

/// A string with what is true of it but not on record.
struct Drawn {
    archer: Archer,
    bow: BowProfile,
    string: SoldString,
    /// Its ordered length.
    ordered: Length,
    /// Right minus ordered length, inches.
    error: f64,
    /// It was built off what was ordered.
    built_off: bool,
    /// Brace height it gives when it arrives, inches.
    true_brace: f64,
    wanted: (f64, f64),
    constant: f64,
    body: TwistBody,
    effect: f64,
}

fn draw_bow(draw: &mut Draw, rules: &Rules) -> Result<(BowProfile, f64, (f64, f64)), AppError> {
    let &(kind, _, shortest, longest) = draw.weighted(&KINDS, |kind| kind.1);
    let marked = shortest + 2.0 * f64::from(draw.0.u32(..=((longest - shortest) / 2.0) as u32));
    let (low, high) =
        table_key(kind, Some(marked)).and_then(|key| rules.brace_range(&key)).unwrap_or((6.0, 7.0));
    // A maker's own band is narrower than the table and lies somewhere in it.
    let middle = draw.normal(0.5 * (low + high), 0.15);
    let band = (inches(middle - 0.375, 0.125)?, inches(middle + 0.375, 0.125)?);
    let old = matches!(kind, BowKind::Selfbow) || draw.chance(0.12);
    let bow = BowProfile {
        kind,
        marked_length: Some(inches(marked, 1.0)?),
        nock_to_nock: if draw.chance(0.3) {
            Some(inches(draw.normal(marked - 1.0, 0.4), 0.125)?)
        } else {
            None
        },
        draw_weight: DrawWeight::new(
            draw.normal(43.0, 7.0).round().clamp(24.0, 70.0),
            Length::try_from_inches(28.0),
        ),
        brace_range: if draw.chance(0.7) { LengthRange::new(band.0, band.1) } else { None },
        tips: if draw.chance(0.25) {
            Tips::Unknown
        } else if old {
            Tips::Plain
        } else {
            Tips::Reinforced
        },
        stave: match kind {
            BowKind::Selfbow => Stave::Wood,
            _ if draw.chance(0.2) => Stave::Unknown,
            _ => Stave::Laminated,
        },
        year: draw.chance(0.6).then(|| draw.0.i32(if old { 1968..=1992 } else { 2005..=2025 })),
        range_unknown: false,
        maker_allows_low_stretch: false,
    };
    Ok((bow, marked, (band.0.inches(), band.1.inches())))
}

fn draw_string(
    draw: &mut Draw,
    number: u32,
    of: u32,
    today: NaiveDate,
    rules: &Rules,
) -> Result<Drawn, AppError> {
    let (bow, marked, wanted) = draw_bow(draw, rules)?;
    let kind = bow.kind;
    let &(route, _) = draw.weighted(&ROUTES, |route| route.1);
    let tender = bow.tips == Tips::Plain
        || bow.stave == Stave::Wood
        || bow.year.is_some_and(|year| today.year() - year >= 30);
    let yarn = match draw.0.u32(..100) {
        _ if tender && draw.chance(0.93) => Yarn::Polyester,
        0..45 => Yarn::Polyester,
        45..78 => Yarn::Hmpe,
        78..95 => Yarn::HmpeLcp,
        _ => Yarn::Linen,
    };
    let strands = *draw.pick(&[12, 14, 14, 16, 16, 18]);
    let construction = Construction {
        yarn,
        // A strand of linen is a thin thread, so a string has many of them.
        strands: if yarn == Yarn::Linen { 24 + 2 * strands } else { strands },
        plies: if draw.chance(0.9) { 2 } else { 3 },
    };
    let internal = || AppError::Internal("the demo drew a string without a body".to_owned());
    // What the bow really needs. The bench cuts a little generously, since a string can be
    // shortened by turns; only on recurves the marked length less 4 in comes out 3/8 in short.
    let under_marked = match kind {
        BowKind::Recurve => 3.625,
        BowKind::LongRiser => 4.2,
        _ => 3.2,
    };
    let right = marked - under_marked + draw.normal(0.0, 0.2);
    let offset = default_offset(route, kind);
    // The routes miss it each in its own way.
    let miss = match route {
        Route::Marked => 0.0,
        Route::NockToNock => draw.normal(0.2, 0.25),
        Route::OldString => draw.normal(0.15, 0.22),
        Route::BowMaker | Route::Repeat => draw.normal(0.2, 0.12),
        Route::WorkedOut | Route::Unknown => draw.normal(0.2, 0.16),
    };
    let stated = match route {
        Route::Marked => inches(marked, 1.0)?,
        _ => inches(right + miss + offset, 0.125)?,
    };
    let ordered = inches(stated.inches() - offset, 0.125)?;
    // Now and then one is built off what was ordered.
    let built_off = draw.chance(0.008);
    let slip = if !built_off {
        0.0
    } else if draw.chance(0.5) {
        0.625
    } else {
        -0.625
    };
    let built = inches(draw.normal(ordered.inches() + slip, 0.06), 0.0625)?;
    let body = TwistBody::from_build(construction, built.inches()).ok_or_else(internal)?;
    let usual = usual_turns(&body, TurnWindow::from_helix(&body, 9.0, 20.0), 0.25);
    let days = MONTHS * 30;
    let sold_on = today - Days::new(days - days * u64::from(number) / u64::from(of).max(1));
    let delivered_on = sold_on + Days::new(draw.0.u64(2..9));
    let (maker, initials) = *draw.pick(&MAKERS);
    let (first, last) = (*draw.pick(&FIRST), *draw.pick(&LAST));
    let mut string = SoldString::new(format!("S-{number}"), sold_on, route, ordered);
    string.order_ref = Some(format!("OT-{}", 4000 + number));
    string.delivered_on = (delivered_on <= today).then_some(delivered_on);
    string.stated = Some(stated);
    string.stated_at = if route == Route::OldString { LengthAt::Loaded } else { LengthAt::Unknown };
    string.offset = Some(inches(offset, 0.125)?);
    string.built = Some(built);
    string.yarn = yarn;
    string.strands = Some(construction.strands);
    string.plies = construction.plies;
    string.lay = if draw.chance(0.85) { Lay::Z } else { Lay::S };
    // The workshop took to writing the turns down half-way through.
    string.turns = (number > of / 3).then(|| Turns::new(f64::from(usual + draw.0.i32(-2..=2)))).flatten();
    string.serving = Some(inches(-1.0, 1.0)?);
    string.pre_stretched = Some(true);
    string.silencers = Some(draw.chance(0.3));
    string.colours = Some(
        (*draw.pick(&["black and gold", "natural", "forest and black", "red and white", "flax"])).to_owned(),
    );
    string.spool = Some(format!("{}-{}", yarn.as_str().to_uppercase(), number / 60 + 1));
    string.maker = Some(maker.to_owned());
    string.maker_initials = Some(initials.to_owned());
    string.price_cents = Some(1800 + 200 * draw.0.i64(0..5));
    let constant = constant_from_kind(kind, built.inches()).value * draw.normal(1.0, 0.11).clamp(0.6, 1.5);
    let middle = 0.5 * (wanted.0 + wanted.1);
    let true_brace = brace_after(middle, constant, right - built.inches()).unwrap_or(middle);
    let mail = format!("{}.{}.{number}@example.org", first.to_lowercase(), last.to_lowercase());
    Ok(Drawn {
        archer: Archer { name: Some(format!("{first} {last}")), email: Some(mail) },
        bow,
        string,
        ordered,
        error: right - ordered.inches(),
        built_off,
        true_brace,
        wanted,
        constant,
        body,
        effect: draw.normal(1.08, 0.12).clamp(0.5, 1.7),
    })
}

/// Fills a new book with invented strings and reports.
///
/// # Errors
/// Too many strings, or the book cannot be written.
pub fn fill(
    book: &mut Book,
    strings: u32,
    seed: u64,
    author: &Author,
    progress: &mut dyn FnMut(u32),
) -> Result<(), AppError> {
    let rules = super::rules(book)?;
    let mut draw = Draw(fastrand::Rng::with_seed(seed));
    book.write(|page| {
        let start = author.day - Days::new(MONTHS * 30);
        for (name, value) in
            [("workshop.name", "The Long Bench, Otterhithe"), ("workshop.signature", "Runa Kestle")]
        {
            page.set_setting(
                name,
                &crate::book::SettingChange { value: value.to_owned(), set_on: start, why: None },
            )?;
        }
        for number in 1..=strings {
            let drawn = draw_string(&mut draw, number, strings, author.day, &rules)?;
            let archer_id = page.add_archer(&drawn.archer)?;
            let bow_id = page.add_bow(archer_id, &drawn.bow)?;
            let new = NewString { string: &drawn.string, bow_id, archer_id, imported: None };
            let id = page.add_string(new)?;
            let day = Author { who: author.who.clone(), day: drawn.string.sold_on };
            page.log(&day, Happened { what: "sold", string: Some(id), report: None, fields: "all" })?;
            reports::report(page, &mut draw, &drawn, (id, bow_id, archer_id), &rules, author)?;
            if number % 100 == 0 {
                progress(number);
            }
        }
        Ok(())
    })
}
