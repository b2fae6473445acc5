//! The form of ours that an archer filled in (`trade::reply`), read with certainty or asked about.
//! Method V40.

use super::lists::holds;
use crate::quantity::{Length, Measure, Turns, Unit, parse_length, parse_turns};
use crate::trade::plausible;
use crate::trade::records::Measurements;
use crate::trade::reply::{self, Field, Filled};
use crate::trade::words::ReadBy;

/// What is asked about a line that cannot be read with certainty.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FormDoubt {
    /// The line.
    pub field: Field,
    /// The question.
    pub question: String,
}

/// What a form says.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FormSays {
    /// Measurements that are certain.
    pub measured: Measurements,
    /// The lines they were taken from, and the words.
    pub read: Vec<(Field, String)>,
    /// What is asked.
    pub doubts: Vec<FormDoubt>,
}

/// The form in a text, and the text without it.
pub(super) fn taken_out(text: &str) -> (String, Option<Filled>) {
    let reply = reply::read(text);
    (reply.rest.into_owned(), Some(reply.newest).filter(|form| !form.entries.is_empty()))
}

/// A value, or why it is not certain.
enum Read<T> {
    Said(T),
    /// Nothing of it was said.
    Nothing,
    Doubtful,
}

impl FormSays {
    /// What a form says; bare numbers are in the unit that its label names, else in `unit`.
    #[must_use]
    pub fn of(form: &Filled, unit: Unit) -> Self {
        let mut says = Self::default();
        if form.is_disputed {
            says.doubts.push(FormDoubt {
                field: Field::Brace,
                question:
                    "Your message holds our form twice, with different answers: which of the two holds?"
                        .to_owned(),
            });
            return says;
        }
        let unit = form.unit_of(Field::Brace).unwrap_or(unit);
        if let Some((brace, readings)) = says.take(form, Field::Brace, |said| brace(said, unit)) {
            says.measured.brace = Some(brace);
            says.measured.readings = (readings > 1).then_some(readings);
            if let Some(by) = says.take(form, Field::ReadWith, read_by) {
                says.measured.read_by = Some(by);
            }
        }
        says.measured.turns_changed = says.take(form, Field::Turns, turns);
        says.measured.shots = says.take(form, Field::Shots, shots);
        says
    }

    fn take<T>(&mut self, form: &Filled, field: Field, read: impl Fn(&str) -> Read<T>) -> Option<T> {
        let said = form.said(field)?;
        match read(said) {
            Read::Said(value) => {
                self.read.push((field, said.to_owned()));
                return Some(value);
            }
            Read::Nothing => (),
            Read::Doubtful => {
                let asks = match field {
                    Field::Turns => {
                        "how many full turns is that, and were they put in (string shorter) or taken out?"
                    }
                    Field::Shots => "about how many arrows has the string shot?",
                    _ => {
                        "what does the brace height measure, from the string to the deepest point of the grip?"
                    }
                };
                self.doubts.push(FormDoubt {
                    field,
                    question: format!("You write \"{}: {said}\": {asks}", form.label(field)),
                });
            }
        }
        None
    }
}

/// What stands before a remark, where the remark holds no figure that could be meant instead.
fn without_remark(said: &str) -> &str {
    let ends = ["(", ";", ", ", " - ", " – ", ". ", "! "];
    let Some(at) = ends.iter().filter_map(|end| said.find(end)).min() else { return said };
    let (value, remark) = said.split_at(at);
    if remark.contains(|c: char| c.is_numeric()) { said } else { value.trim() }
}

fn is_nothing(said: &str) -> bool {
    holds("nothing", said.to_lowercase().trim_end_matches('.'))
}

/// Readings of one string by one hand lie closer than this, inches (judgement, no source); what differs
/// by more is a range, or two heights.
const WIDEST_READINGS: f64 = 0.5;

/// A brace height, or the mean of several in one line, with their number.
fn brace(said: &str, unit: Unit) -> Read<(Length, u32)> {
    if is_nothing(said) {
        return Read::Nothing;
    }
    let read = |text: &str| parse_length(text.trim(), unit, Measure::Brace).ok();
    if let Some(brace) = read(without_remark(said)) {
        return Read::Said((brace, 1));
    }
    let parts: Vec<f64> = said
        .replace(" and ", ", ")
        .replace(';', ",")
        .split(", ")
        .map(|part| read(part.trim_end_matches(',')).map(Length::inches))
        .collect::<Option<_>>()
        .unwrap_or_default();
    let (low, high) =
        parts.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), at| (low.min(*at), high.max(*at)));
    let count = parts.len() as u32;
    if !(2..=9).contains(&count) || high - low > WIDEST_READINGS {
        return Read::Doubtful;
    }
    Length::try_from_inches(parts.iter().sum::<f64>() / f64::from(count))
        .map_or(Read::Doubtful, |mean| Read::Said((mean, count)))
}

fn read_by(said: &str) -> Read<ReadBy> {
    let said = said.to_lowercase();
    let of = |words: [&str; 2]| words.iter().any(|word| said.contains(word));
    match (of(["strip", "paper"]), of(["ruler", "tape"])) {
        (true, false) => Read::Said(ReadBy::Strip),
        (false, true) => Read::Said(ReadBy::Ruler),
        // Nothing is lost: a reading of which nobody says how it was taken is one by ruler.
        _ => Read::Nothing,
    }
}

/// Words and signs of a remark-free line, in small letters, a sign apart from its number.
fn words(said: &str) -> Vec<String> {
    let spaced = without_remark(said).to_lowercase().replace('+', " + ").replace(['-', '−', '–'], " - ");
    spaced.split_whitespace().map(str::to_owned).collect()
}

fn turns(said: &str) -> Read<Turns> {
    if is_nothing(said) || said.trim() == "0" {
        return Read::Nothing;
    }
    let (mut way_in, mut way_out, mut count) = (false, false, Vec::new());
    for word in words(said) {
        match word.as_str() {
            "+" | "in" => way_in = true,
            "-" | "out" => way_out = true,
            beside if holds("beside-turns", beside) => (),
            _ => count.push(word),
        }
    }
    // A turn is in or out; "4 - 5" and a bare figure leave that open.
    let sign = match (way_in, way_out) {
        (true, false) => "+",
        (false, true) => "-",
        _ => return Read::Doubtful,
    };
    parse_turns(&format!("{sign}{}", count.join(" ")))
        .ok()
        .filter(|turns| plausible::turns_changed(*turns).is_ok())
        .map_or(Read::Doubtful, Read::Said)
}

fn shots(said: &str) -> Read<u32> {
    if is_nothing(said) {
        return Read::Nothing;
    }
    let words = words(&said.replace('~', " "));
    let count: Vec<&String> =
        words.iter().filter(|word| !holds("beside-shots", word.trim_end_matches('.'))).collect();
    match count.as_slice() {
        [only] => only
            .parse()
            .ok()
            .filter(|count| plausible::SHOTS.check(*count).is_ok())
            .map_or(Read::Doubtful, Read::Said),
        _ => Read::Doubtful,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trade::reply::{Asks, form};

    fn says(brace: &str, turns: &str, shots: &str) -> FormSays {
        let text: String = form("S-7", Asks::Reading, Unit::Inch)
            .into_iter()
            .map(|line| match line.as_str() {
                "Brace height:" => format!("{line} {brace}\n"),
                line if line.starts_with("Full turns") => format!("{line} {turns}\n"),
                line if line.starts_with("Shots") => format!("{line} {shots}\n"),
                line => format!("{line}\n"),
            })
            .collect();
        let (rest, form) = taken_out(&text);
        assert_eq!(rest, "");
        FormSays::of(&form.unwrap(), Unit::Inch)
    }

    fn brace_of(said: &str) -> Option<f64> {
        says(said, "", "50").measured.brace.map(Length::inches)
    }

    #[test]
    fn a_brace_height_is_read_as_people_write_it() {
        for said in [
            "7 1/4",
            "7,25",
            "7.25 in",
            "7 1/4\"",
            "7¼",
            "7-1/4 (a bit low)",
            "7 1/4, measured twice",
            "18.415 cm",
        ] {
            assert!(brace_of(said).is_some_and(|brace| (brace - 7.25).abs() < 1e-9), "{said}");
        }
        for (said, mean, count) in
            [("7 1/4, 7 3/16, 7 5/16", 7.25, 3), ("7,2, 7,3", 7.25, 2), ("7 1/4; 7 1/4 and 7 1/4", 7.25, 3)]
        {
            let says = says(said, "", "");
            let read = says.measured.brace.map(Length::inches).unwrap();
            assert!((read - mean).abs() < 1e-9, "{said}: {read}");
            assert_eq!(says.measured.readings, Some(count), "{said}");
        }
        for doubtful in
            ["7 1/4 to 7 1/2", "72", "seven and a bit", "7, 25", "7 1/4 (was 7)", "about right", "6, 8"]
        {
            let says = says(doubtful, "", "");
            assert_eq!(says.measured.brace, None, "{doubtful}");
            assert_eq!(says.doubts.len(), 1, "{doubtful}");
        }
        assert_eq!(says("n/a", "", "50").doubts, []);
    }

    #[test]
    fn turns_have_a_way_or_are_asked_about() {
        let of = |said: &str| says("", said, "").measured.turns_changed.map(Turns::value);
        for (said, turns) in [
            ("+4", 4.0),
            ("4 in", 4.0),
            ("+ 4 turns", 4.0),
            ("-3", -3.0),
            ("−3", -3.0),
            ("took out 3", -3.0),
            ("3,5 out", -3.5),
            ("put 4 in (it was hard)", 4.0),
        ] {
            assert_eq!(of(said), Some(turns), "{said}");
        }
        for doubtful in ["4", "4-5", "in", "4 in 2 out", "4 in, then 2 out", "a few"] {
            let says = says("", doubtful, "");
            assert_eq!(says.measured.turns_changed, None, "{doubtful}");
            assert_eq!(says.doubts[0].field, Field::Turns, "{doubtful}");
        }
        for nothing in ["0", "none", "No"] {
            assert_eq!(says("7", nothing, ""), says("7", "", ""), "{nothing}");
        }
    }

    #[test]
    fn shots_are_one_number() {
        let of = |said: &str| says("", "", said).measured.shots;
        for said in ["150", "about 150", "~150", "ca. 150 arrows"] {
            assert_eq!(of(said), Some(150), "{said}");
        }
        for doubtful in ["100-200", "a hundred", "1,500", "99999999999"] {
            assert_eq!(says("", "", doubtful).doubts.len(), 1, "{doubtful}");
        }
    }

    #[test]
    fn two_forms_that_differ_are_asked_about() {
        let one =
            form("S-7", Asks::Reading, Unit::Inch).join("\n").replace("Brace height:", "Brace height: 7");
        let text = format!("{one}\n{}", one.replace("height: 7", "height: 8"));
        let says = FormSays::of(&taken_out(&text).1.unwrap(), Unit::Inch);
        assert_eq!((says.measured.is_empty(), says.doubts.len()), (true, 1));
    }
}
