//! The sheet to look at, as a page that prints on A4 and on Letter: drawings, the strip at true size,
//! the form for a reply. Method V41.

use minijinja::{Environment, UndefinedBehavior};
use serde::Serialize;

use super::page::{Meaning, TextPage};
use super::reply::{FILL_IN, code};
use super::sentences::{Style, caution_sentence};
use super::then::{BEFORE_A_FURTHER_GO, in_words};
use super::{ends, full_turns, inches, range, to_turn};
use crate::app::sheet::SheetView;
use crate::quantity::Unit;
use crate::trade::words::{Lay, WantSource};

/// Longest strip that has room on both papers, inches: Letter is 11 in high, and printers leave some
/// 3/8 in at either end (common practice, no source).
const LONGEST_STRIP: f64 = 9.75;

/// A strip is at least so long, inches: what the archer reads may lie well beside what is wanted.
const SHORTEST_STRIP: f64 = 8.0;

/// Room on the strip above the highest mark, inches.
const ABOVE: f64 = 0.75;

/// Length of the check line, inches.
pub const CHECK_INCH: f64 = 6.0;

/// Units of the strip's drawing to the inch.
const PER_INCH: f64 = 100.0;

/// A line of the strip's scale.
#[derive(Debug, Serialize)]
struct Tick {
    y: f64,
    length: f64,
    label: Option<String>,
}

/// Words on the strip, and the line they belong to.
#[derive(Debug, Serialize)]
struct Mark {
    y: f64,
    /// Where its words stand: clear of all lines and other words.
    text: f64,
    words: String,
    /// A line is drawn for it.
    line: bool,
    /// Nobody has read it yet.
    expected: bool,
}

/// The strip: from its lower end, which is held to the grip.
#[derive(Debug, Serialize)]
struct Strip {
    /// Its length, inches.
    inch: f64,
    /// The same in units of the drawing.
    height: f64,
    ticks: Vec<Tick>,
    /// Upper end and height of what is wanted.
    wanted: Option<(f64, f64)>,
    marks: Vec<Mark>,
}

/// Lines of the scale: their distance, how many make a number, and how many a longer line.
const fn scale(unit: Unit) -> (f64, i64, i64) {
    match unit {
        Unit::Inch => (1.0 / 16.0, 8, 4),
        Unit::Cm | Unit::Mm => (1.0 / 25.4, 10, 5),
    }
}

impl Strip {
    fn new(view: &SheetView, unit: Unit) -> Option<Self> {
        let wanted = view.want_low_inch.zip(view.want_high_inch);
        let highest = [view.want_high_inch, view.brace_now_inch, view.brace_after_inch]
            .into_iter()
            .flatten()
            .fold(SHORTEST_STRIP - ABOVE, f64::max);
        let inch = ((highest + ABOVE) * 4.0).ceil() / 4.0;
        if inch > LONGEST_STRIP {
            return None;
        }
        let y = |brace: f64| ((inch - brace) * PER_INCH * 100.0).round() / 100.0;
        let (step, number, half) = scale(unit);
        let ticks = (1..=(inch / step).floor() as i64)
            .map(|line| {
                let at = line as f64 * step;
                let is_number = line % number == 0;
                Tick {
                    y: y(at),
                    length: if is_number {
                        30.0
                    } else if line % half == 0 {
                        22.0
                    } else {
                        14.0
                    },
                    label: is_number.then(|| inches(at, unit)).map(|label| without_unit(&label)),
                }
            })
            .collect();
        let mut marks: Vec<Mark> = Vec::new();
        let mut mark = |at: Option<f64>, words: String, line: bool, expected: bool| {
            if let Some(at) = at {
                marks.push(Mark { y: y(at), text: y(at), words, line, expected });
            }
        };
        let named = |name: &str, at: Option<f64>| format!("{name} {}", inches(at.unwrap_or_default(), unit));
        mark(view.brace_now_inch, named("now", view.brace_now_inch), true, false);
        mark(view.brace_after_inch, named("after turning", view.brace_after_inch), true, true);
        let range = wanted.map_or_else(String::new, |(low, high)| {
            let (low, high) = ends(low, high, unit);
            format!("{} to {high} wanted", without_unit(&low))
        });
        mark(view.want_high_inch, range, false, false);
        let lines: Vec<f64> = marks.iter().filter(|mark| mark.line).map(|mark| mark.y).collect();
        let mut taken: Vec<f64> = Vec::new();
        for mark in &mut marks {
            // Letters reach some 8 units above where they stand and 2 below.
            let is_clear = |text: f64| {
                lines.iter().all(|line| !(text - 8.0..=text + 2.0).contains(line))
                    && taken.iter().all(|other| (other - text).abs() >= 11.0)
            };
            let places = [-3.0, 10.0, -15.0, 22.0, -27.0, 34.0];
            let found = places.iter().map(|way| mark.y + way).find(|text| is_clear(*text));
            mark.text = found.unwrap_or(mark.y - 3.0);
            taken.push(mark.text);
        }
        Some(Self {
            inch,
            height: inch * PER_INCH,
            ticks,
            wanted: wanted.map(|(low, high)| (y(high), (high - low) * PER_INCH)),
            marks,
        })
    }
}

/// A length as it stands on a scale of one unit.
fn without_unit(label: &str) -> String {
    let number = label.trim_end_matches(|c: char| c.is_alphabetic() || " \"".contains(c));
    let number = number.strip_suffix(".0").unwrap_or(number);
    number.strip_prefix("0 ").unwrap_or(number).to_owned()
}

/// How the styles of the page come to it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Styled {
    /// In the page itself: a file that stands alone.
    Inside,
    /// From this address.
    From(&'static str),
}

/// Styles of the sheet.
pub const STYLES: &str = include_str!("sheet.css");

/// Which way turns go in, by the lay. A Z lay climbs to the right as its letter does (ISO 2, from
/// memory): what turns its upper end to the right, at the front, lays it flatter and closer.
const fn way_in(lay: Lay) -> (&'static str, &'static str) {
    match lay {
        Lay::Z => ("right", "left"),
        Lay::S => ("left", "right"),
    }
}

/// The same where nobody knows the lay: the archer looks.
const EITHER_WAY: &str = "look which way its plies climb, the loop held up before you: to the right, then its front goes to the right; to the left, then to the left; out is the other way";

#[derive(Serialize)]
struct SheetPage<'a> {
    styles: Option<&'static str>,
    styles_from: Option<&'static str>,
    workshop: &'a str,
    serial: &'a str,
    report: Option<&'a str>,
    lay_known: bool,
    is_z: bool,
    way_in: &'static str,
    way_out: &'static str,
    either_way: &'static str,
    wanted: Option<String>,
    whose: &'static str,
    todo: Option<String>,
    first: Option<String>,
    then: Vec<String>,
    before: &'static str,
    by_strip: bool,
    strip: Option<Strip>,
    check: f64,
    check_line: &'static str,
    check_off: &'static str,
    form: &'a [String],
    fill_in: &'static str,
    code: Option<String>,
    cautions: Vec<&'static str>,
}

fn wanted(view: &SheetView, style: &Style) -> Option<String> {
    let (low, high) = view.want_low_inch.zip(view.want_high_inch)?;
    Some(range(low, high, style.unit))
}

const fn whose(source: Option<WantSource>) -> &'static str {
    match source {
        Some(WantSource::BowMaker) => "by the bow's maker",
        Some(WantSource::Archer) => "as you wish",
        Some(WantSource::Table) | None => "usual for such bows; your bow's maker knows better",
    }
}

fn todo(view: &SheetView) -> Option<String> {
    let count = view.turns.filter(|count| *count != 0)?;
    Some(format!("As the letter says, step by step: {} {}.", to_turn(count), full_turns(count)))
}

/// What comes before the table where the turns are made in two goes.
fn first_go(view: &SheetView) -> Option<String> {
    Some(format!("First only {} of them.", full_turns(view.first_step_turns?)))
}

/// The sheet as text: what stands on the page, without its drawings.
pub fn text(page: &mut TextPage, view: &SheetView, style: &Style) {
    let style = &style.for_archer(view.unit);
    page.line(Meaning::Heading, format!("Sheet of {}", view.report.as_deref().unwrap_or(&view.serial)));
    page.field("string", Some(&view.serial));
    page.field("wanted", wanted(view, style).map(|wanted| format!("{wanted}, {}", whose(view.want_source))));
    page.field("now", view.brace_now_inch.map(|brace| inches(brace, style.unit)));
    page.field("to do", todo(view));
    page.field("first", first_go(view));
    for line in in_words(&view.then, style.unit) {
        page.field("then", Some(line));
    }
    page.field("then about", view.brace_after_inch.map(|brace| inches(brace, style.unit)));
    let turns_go_in = match view.lay.map(way_in) {
        Some((way_in, way_out)) => {
            format!("with the loop held up before you, its front to the {way_in}; out to the {way_out}")
        }
        None => EITHER_WAY.to_owned(),
    };
    page.field("turns go in", Some(turns_go_in));
    super::sums::cautions(page, &view.cautions);
    page.gap().line(Meaning::Aside, "The drawings and the strip stand on the page: --html FILE.");
}

/// The sheet as a page.
///
/// # Errors
/// The built-in page cannot be filled, which is a fault of the program.
pub fn html(view: &SheetView, style: &Style, styled: Styled) -> Result<String, minijinja::Error> {
    let style = &style.for_archer(view.unit);
    let mut environment = Environment::new();
    environment.set_undefined_behavior(UndefinedBehavior::Strict);
    // Named *.html, so every value is escaped.
    environment.add_template("sheet.html", include_str!("sheet.html"))?;
    let (way_in, way_out) = view.lay.map(way_in).unwrap_or_default();
    let (check_line, check_off) = match style.unit {
        Unit::Inch => ("6 in (152.4 mm)", "1/32 in (1 mm)"),
        Unit::Cm | Unit::Mm => ("152.4 mm", "1 mm"),
    };
    let page = SheetPage {
        styles: (styled == Styled::Inside).then_some(STYLES),
        styles_from: match styled {
            Styled::From(address) => Some(address),
            Styled::Inside => None,
        },
        workshop: &view.workshop,
        serial: &view.serial,
        report: view.report.as_deref(),
        lay_known: view.lay.is_some(),
        is_z: view.lay == Some(Lay::Z),
        way_in,
        way_out,
        either_way: EITHER_WAY,
        wanted: wanted(view, style),
        whose: whose(view.want_source),
        todo: todo(view),
        first: first_go(view),
        then: in_words(&view.then, style.unit),
        before: BEFORE_A_FURTHER_GO,
        by_strip: view.by_strip,
        strip: Strip::new(view, style.unit),
        check: CHECK_INCH,
        check_line,
        check_off,
        form: &view.reply.form,
        fill_in: FILL_IN,
        code: view.reply.mailto.as_deref().and_then(code),
        cautions: view.cautions.iter().map(|caution| caution_sentence(*caution)).collect(),
    };
    environment.get_template("sheet.html")?.render(minijinja::Value::from(minijinja::value::Serde(page)))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Where a ply that is seen at the front of an upright string stands a little higher up: to the right
    /// (+) or to the left (-) of where it was, after its upper end was turned by an angle, the front to
    /// the right. Plies of a Z lay lean to the right, those of an S lay to the left.
    fn lean(lay: Lay, turned_right: f64) -> f64 {
        let lean = if lay == Lay::Z { 1.0 } else { -1.0 };
        (0.3 * lean + 0.05 * turned_right).sin()
    }

    #[test]
    fn turns_that_go_in_make_the_plies_lean_more() {
        for lay in [Lay::Z, Lay::S] {
            let (way, back) = way_in(lay);
            let sign = |way: &str| if way == "right" { 1.0 } else { -1.0 };
            let (before, closer, wider) = (lean(lay, 0.0), lean(lay, sign(way)), lean(lay, sign(back)));
            assert!(closer.abs() > before.abs() && wider.abs() < before.abs(), "{lay}");
        }
    }

    #[test]
    fn a_strip_is_as_long_as_it_must_be_and_as_paper_allows() {
        let view = |now: f64| SheetView {
            report: None,
            serial: "S-1".to_owned(),
            unit: None,
            workshop: String::new(),
            bow_kind: crate::mechanics::bow::BowKind::Recurve,
            lay: Some(Lay::Z),
            want_low_inch: Some(7.5),
            want_high_inch: Some(8.0),
            want_source: Some(WantSource::BowMaker),
            brace_now_inch: Some(now),
            turns: None,
            brace_after_inch: None,
            then: Vec::new(),
            by_strip: false,
            first_step_turns: None,
            reply: crate::app::card::ReplyForm { form: Vec::new(), mailto: None },
            cautions: Vec::new(),
        };
        let strip = Strip::new(&view(6.875), Unit::Inch).unwrap();
        assert_eq!((strip.inch, strip.wanted), (8.75, Some((75.0, 50.0))));
        let now = &strip.marks[0];
        assert!((now.y - (8.75 - 6.875) * 100.0).abs() < 0.01, "{now:?}");
        let tick =
            |inch: &str| strip.ticks.iter().find(|tick| tick.label.as_deref() == Some(inch)).unwrap().y;
        assert!((tick("7") - tick("8") - 100.0).abs() < 0.01);
        let metric = Strip::new(&view(6.875), Unit::Cm).unwrap();
        let cm = |cm: &str| metric.ticks.iter().find(|tick| tick.label.as_deref() == Some(cm)).unwrap().y;
        assert!((cm("10") - cm("20") - 1000.0 / 2.54).abs() < 0.02);
        assert!(Strip::new(&view(9.5), Unit::Inch).is_none(), "no paper is long enough");
        // Wherever the marks lie, no words stand on other words or on a line.
        for sixteenths in 100..150 {
            let now = f64::from(sixteenths) / 16.0;
            let view = SheetView { brace_after_inch: Some(7.75), ..view(now) };
            let Some(strip) = Strip::new(&view, Unit::Inch) else { continue };
            for (at, mark) in strip.marks.iter().enumerate() {
                for other in strip.marks.iter().skip(at + 1) {
                    assert!((mark.text - other.text).abs() >= 11.0, "{now}: {:?}", strip.marks);
                }
            }
        }
    }
}
