//! Strings sold: a shop's order export, row by row.

use chrono::{Datelike, NaiveDate};

use super::cells::{Cells, ReadBefore};
use super::columns::{ColumnMap, Needed};
use super::error::IntakeError;
use super::import::{Import, MAX_ROWS, Plan, Source, Take, import};
use super::repeats::Repeats;
use super::vocabulary::{find_lay, find_yes_no};
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::quantity::{Length, LengthRange, Measure, show_length};
use crate::trade::plausible::{self, LONGEST_SPOOL, PLIES, STRANDS};
use crate::trade::records::{Archer, BowProfile, SoldString};
use crate::trade::rules::Rules;
use crate::trade::sizing::{Start, default_stated_at, ordered_from, usual_offset};
use crate::trade::words::{Across, Lay, LengthAt, Route, Stave, Tips};

/// Columns of an export of strings sold, in the order in which rows keep them.
pub const SOLD_COLUMNS: &[&str] = &[
    "serial",
    "order_ref",
    "sold_on",
    "delivered_on",
    "archer",
    "email",
    "bow_kind",
    "bow_marked_length",
    "bow_nock_to_nock",
    "draw_weight_lb",
    "brace_low",
    "brace_high",
    "tips",
    "stave",
    "bow_year",
    "route",
    "stated_measure",
    "offset",
    "ordered_length",
    "built_length",
    "yarn",
    "strands",
    "plies",
    "lay",
    "turns",
    "spool",
    "maker",
    "silencers",
    "price",
    "old_yarn",
    "old_measured",
];

const NEEDED: Needed = &[&["serial"], &["sold_on"], &["route"], &["ordered_length"]];

/// A string sold, as one row of a file tells it.
#[derive(Debug, Clone, PartialEq)]
pub struct SoldRow {
    /// Line of the file in which the row starts, counted from 1.
    pub line: u64,
    /// Who bought it.
    pub archer: Archer,
    /// The bow it is for.
    pub bow: BowProfile,
    /// The string.
    pub string: SoldString,
    /// Our column name and canonical value of every column of this row that is not empty,
    /// personal ones included. Two rows of equal content have equal values: lengths are decimal
    /// inches, money minor units, dates `YYYY-MM-DD`, words in their fixed spelling, serial and
    /// e-mail in lower case.
    pub given: Vec<(&'static str, String)>,
}

/// Reads an export of strings sold. `progress` is told the bytes read so far; `take` gets the rows,
/// repeated ones left out.
///
/// # Errors
/// Faults of the whole file, and whatever `take` gives; faults of rows go to `take`.
pub fn read_sold<E: From<IntakeError>>(
    input: &[u8],
    columns: &ColumnMap,
    rules: &Rules,
    today: NaiveDate,
    progress: &mut dyn FnMut(u64),
    take: Take<'_, SoldRow, E>,
) -> Result<Import, E> {
    let plan = Plan {
        known: SOLD_COLUMNS,
        needed: NEEDED,
        map: columns,
        rules,
        today,
        most_rows: MAX_ROWS,
        read_before: ReadBefore::default(),
    };
    let mut repeats = Repeats::default();
    let mut read = |cells: &mut Cells<'_>, source: &Source<'_>| {
        let mut row = read_row(cells)?;
        let serial_of = |cells: &mut Cells<'_>| Some(read_row(cells)?.string.serial);
        if !repeats.is_new(&row.string.serial, cells, source, serial_of) {
            return None;
        }
        row.given = cells.take_given();
        Some(row)
    };
    import(input, &plan, progress, &mut read, take)
}

/// One row; `None` if anything in it is bad. All cells are read either way, in the order of
/// [`SOLD_COLUMNS`].
fn read_row(cells: &mut Cells<'_>) -> Option<SoldRow> {
    let serial = cells.serial();
    let order_ref = cells.text("order_ref");
    let (sold_on, delivered_on) = read_days(cells);
    let archer = Archer { name: cells.text("archer"), email: cells.email("email") };
    let bow = read_bow(cells);
    if !cells.is_given("route") {
        cells.refuse("route", format!("the sizing route: one of {}", words_of(Route::ALL, Route::as_str)));
    }
    let route = cells.word("route", Route::ALL, Route::as_str);
    let sizing = read_sizing(cells, route);
    let built = cells.length("built_length", Measure::StringLength);
    let yarn = cells.word("yarn", Yarn::ALL, Yarn::as_str);
    let strands = cells.whole("strands", STRANDS);
    let plies = cells.whole("plies", PLIES);
    let lay = cells.read("lay", find_lay, |lay| lay.to_string());
    let turns = cells.turn_count("turns");
    let spool = cells.line_of("spool", LONGEST_SPOOL);
    let maker = cells.text("maker");
    let silencers = cells.read("silencers", find_yes_no, |&yes| if yes { "yes" } else { "no" }.to_owned());
    let price_cents = cells.money("price");
    let old_yarn = cells.word("old_yarn", Yarn::ALL, Yarn::as_str);
    let old_measured = cells.word("old_measured", Across::ALL, Across::as_str);
    let sizing = sizing.worked_out(cells, route, bow.kind, old_yarn, yarn.unwrap_or(Yarn::Unknown));
    check_lengths(cells, sizing.ordered, built, bow.brace_range, route);
    if !cells.are_good() {
        return None;
    }
    let string = SoldString {
        order_ref,
        delivered_on,
        stated: sizing.stated,
        stated_at: sizing.stated_at,
        offset: sizing.offset,
        built,
        old_yarn,
        old_measured,
        yarn: yarn.unwrap_or(Yarn::Unknown),
        strands,
        plies: plies.unwrap_or(2),
        lay: lay.unwrap_or(Lay::Z),
        turns,
        silencers,
        spool,
        maker,
        price_cents,
        ..SoldString::new(serial?, sold_on?, route?, sizing.ordered)
    };
    Some(SoldRow { line: cells.place().line, archer, bow, string, given: Vec::new() })
}

fn words_of<T: Copy>(all: &[T], as_str: fn(T) -> &'static str) -> String {
    all.iter().map(|&word| as_str(word)).collect::<Vec<_>>().join(", ")
}

fn read_days(cells: &mut Cells<'_>) -> (Option<NaiveDate>, Option<NaiveDate>) {
    cells.need("sold_on", "the day of sale, such as 2025-03-14");
    let sold_on = cells.date("sold_on");
    let delivered_on = cells.date("delivered_on");
    if let (Some(sold), Some(delivered)) = (sold_on, delivered_on) {
        cells.check("delivered_on", plausible::delivered(delivered, sold));
    }
    (sold_on, delivered_on)
}

fn read_bow(cells: &mut Cells<'_>) -> BowProfile {
    let kind = cells.word("bow_kind", BowKind::ALL, BowKind::as_str);
    let marked_length = cells.length("bow_marked_length", Measure::BowLength);
    let nock_to_nock = cells.length("bow_nock_to_nock", Measure::BowLength);
    let draw_weight = cells.draw_weight("draw_weight_lb");
    let brace_range = read_brace_range(cells);
    let tips = cells.word("tips", Tips::ALL, Tips::as_str);
    let stave = cells.word("stave", Stave::ALL, Stave::as_str);
    let this_year = cells.today().year();
    let year = cells.read(
        "bow_year",
        |text| Ok(plausible::bow_year(text.parse().unwrap_or_default(), this_year)?),
        i32::to_string,
    );
    BowProfile {
        kind: kind.unwrap_or(BowKind::Unknown),
        marked_length,
        nock_to_nock,
        draw_weight,
        brace_range,
        tips: tips.unwrap_or(Tips::Unknown),
        stave: stave.unwrap_or(Stave::Unknown),
        year,
        ..BowProfile::default()
    }
}

fn read_brace_range(cells: &mut Cells<'_>) -> Option<LengthRange> {
    let low = cells.length("brace_low", Measure::Brace);
    let high = cells.length("brace_high", Measure::Brace);
    for (here, there) in [("brace_low", "brace_high"), ("brace_high", "brace_low")] {
        if !cells.is_given(here) && cells.is_given(there) {
            cells.refuse(here, format!("the other end of the brace range, since {there} is given"));
        }
    }
    let (low, high) = (low?, high?);
    let range = LengthRange::new(low, high);
    if range.is_none() {
        let shown = show_length(high, cells.rules.units);
        cells.refuse("brace_low", format!("a brace height not above brace_high, {shown}"));
    }
    range
}

/// Refuses what cannot be meant for a string of the ordered length.
fn check_lengths(
    cells: &mut Cells<'_>,
    ordered: Option<Length>,
    built: Option<Length>,
    range: Option<LengthRange>,
    route: Option<Route>,
) {
    let unit = cells.rules.units;
    if let (Some(built), Some(ordered)) = (built, ordered) {
        cells.check("built_length", plausible::built(built, ordered, unit));
    }
    // A length that was refused leaves nothing to hold a height against.
    let string = if route == Some(Route::Unknown) { ordered.or(built) } else { ordered };
    if let Some(range) = range {
        cells.check("brace_low", plausible::brace_low(range.low(), string, unit));
        cells.check("brace_high", plausible::brace_high(range.high(), string, unit));
    }
}

/// From what was stated to what was ordered.
struct Sizing {
    stated: Option<Length>,
    stated_at: LengthAt,
    offset: Option<Length>,
    ordered: Option<Length>,
}

fn read_sizing(cells: &mut Cells<'_>, route: Option<Route>) -> Sizing {
    let what = match route {
        Some(Route::Marked | Route::NockToNock) => Measure::BowLength,
        _ => Measure::StringLength,
    };
    let stated = cells.length("stated_measure", what);
    let offset = cells.offset("offset");
    let ordered = cells.length("ordered_length", Measure::StringLength);
    let stated_at = route.map_or(LengthAt::Unknown, default_stated_at);
    Sizing { stated, stated_at, offset, ordered }
}

impl Sizing {
    /// The ordered length checked, or worked out where it is not given, now that the yarns are read.
    fn worked_out(
        mut self,
        cells: &mut Cells<'_>,
        route: Option<Route>,
        kind: BowKind,
        old_yarn: Option<Yarn>,
        yarn: Yarn,
    ) -> Self {
        let start = self.stated.zip(route).map(|(stated, route)| Start {
            route,
            stated: stated.inches(),
            at: self.stated_at,
            old_yarn,
            yarn,
        });
        if let Some(route) = route {
            cells.check("stated_measure", plausible::sized_by(route, self.stated, None));
            cells.check("offset", plausible::sized_by(route, None, self.offset));
        }
        if cells.is_given("ordered_length") {
            self.check_ordered(cells, start, kind);
        } else if route == Some(Route::Unknown) {
            // Then nobody has to know it.
        } else if !cells.is_given("stated_measure") {
            cells.refuse(
                "ordered_length",
                "the length ordered, or a stated_measure from which it follows with the offset; route unknown where nobody knows it",
            );
        } else if let (Some(start), Some(route)) = (start, route)
            && self.offset.is_some() == cells.is_given("offset")
            && kind_is_certain(cells, kind)
        {
            self.offset = self.offset.or_else(|| Length::try_from_inches(cells.rules.offset(route, kind)));
            self.ordered = self.offset.and_then(|offset| work_out(cells, &start, offset));
        }
        self
    }

    /// Refuses an ordered length that does not follow from the stated measure and the offset; where
    /// no offset is given, the setting's is noted if it is the one that was taken off.
    fn check_ordered(&mut self, cells: &mut Cells<'_>, start: Option<Start>, kind: BowKind) {
        let (Some(ordered), Some(start)) = (self.ordered, start) else { return };
        if let Some(offset) = self.offset {
            cells.check("ordered_length", plausible::ordered(ordered, &start, offset, cells.rules));
        } else if !cells.is_given("offset") && kind_is_certain(cells, kind) {
            self.offset = usual_offset(ordered, &start, kind, cells.rules);
        }
    }
}

/// Whether the kind is as the row says, or the row says none; not if the row's was refused.
fn kind_is_certain(cells: &Cells<'_>, kind: BowKind) -> bool {
    kind != BowKind::Unknown
        || !cells.is_given("bow_kind")
        || cells.given().iter().any(|(column, _)| *column == "bow_kind")
}

/// The ordered length that follows, if a string can be that long.
fn work_out(cells: &mut Cells<'_>, start: &Start, offset: Length) -> Option<Length> {
    let ordered = ordered_from(start, offset.inches(), cells.rules.rounding);
    if ordered.is_none() {
        let shown = show_length(offset, cells.rules.units);
        let expected = format!("a measure that less the offset {shown} gives a string length");
        cells.refuse("stated_measure", expected);
    }
    ordered
}
