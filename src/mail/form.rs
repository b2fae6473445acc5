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
    /// What a form says; bare numbers are in the unit that its label names, else in `unit`. A sum of
    /// turns goes the way that our last letter `told`, where it told any.
    #[must_use]
    pub fn of(form: &Filled, unit: Unit, told: Option<i32>) -> Self {
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
        // Between two goes the height changes: only what was read after the last of them counts.
        let widest = if form.said(Field::Turns).is_none_or(is_none) { WIDEST_READINGS } else { BETWEEN_GOES };
        if let Some((brace, readings)) = says.take(form, Field::Brace, |said| brace(said, unit, widest)) {
            says.measured.brace = Some(brace);
            says.measured.readings = (readings > 1).then_some(readings);
            if let Some(by) = says.take(form, Field::ReadWith, read_by) {
                says.measured.read_by = Some(by);
            }
        }
        says.measured.turns_changed = says.take(form, Field::Turns, |said| turns(said, told));
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
                    _ if heights(said).len() > 1 => {
                        "which of these did you read last, from the string to the deepest point of the grip?"
                    }
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

/// Readings beside turns that differ by more may be those after each of two goes, inches (judgement, no
/// source: twice the sd of a reading, M22).
const BETWEEN_GOES: f64 = 0.125;

/// What stands between commas, semicolons and "and".
fn heights(said: &str) -> Vec<String> {
    let parts = said.replace(" and ", ", ").replace(" then ", ", ").replace(';', ",");
    parts.split(", ").map(|part| part.trim_end_matches(',').trim().to_owned()).collect()
}

/// A brace height, or the mean of several in one line that lie within `widest`, with their number.
fn brace(said: &str, unit: Unit, widest: f64) -> Read<(Length, u32)> {
    if is_nothing(said) {
        return Read::Nothing;
    }
    let read = |text: &str| parse_length(text.trim(), unit, Measure::Brace).ok();
    if let Some(brace) = read(without_remark(said)) {
        return Read::Said((brace, 1));
    }
    let parts: Vec<f64> = heights(said)
        .iter()
        .map(|part| read(part).map(Length::inches))
        .collect::<Option<_>>()
        .unwrap_or_default();
    let (low, high) =
        parts.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), at| (low.min(*at), high.max(*at)));
    let count = parts.len() as u32;
    if !(2..=9).contains(&count) || high - low > widest {
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

/// No turns were made.
fn is_none(said: &str) -> bool {
    said.trim() == "0" || is_nothing(said)
}

/// Turns, or several goes of them that go the same way: "11 in, then 6 in", "17 in all".
fn turns(said: &str, by_letter: Option<i32>) -> Read<Turns> {
    if is_none(said) {
        // "Not yet" and "?" are not said of turns that were not made.
        let none = said.trim() == "0" || holds("no-turns", said.to_lowercase().trim_end_matches('.'));
        return Turns::new(0.0).filter(|_| none).map_or(Read::Nothing, Read::Said);
    }
    let mut said = said.to_lowercase();
    // The sum that our letter asks for: it goes the way that the letter told.
    let mut told = None;
    for whole in ["in all", "in total", "altogether"] {
        if said.contains(whole) {
            (said, told) = (said.replace(whole, " "), by_letter);
        }
    }
    let (mut into, mut out) = (0, 0);
    let mut counts: Vec<Vec<String>> = vec![Vec::new()];
    let next = |counts: &mut Vec<Vec<String>>| {
        if counts.last().is_some_and(|count| !count.is_empty()) {
            counts.push(Vec::new());
        }
    };
    for word in words(&said) {
        match word.trim_end_matches(',') {
            "+" => {
                next(&mut counts);
                into += 1;
            }
            "-" => {
                next(&mut counts);
                out += 1;
            }
            "in" => into += 1,
            "out" => out += 1,
            beside if holds("between-goes", beside) => next(&mut counts),
            beside if holds("beside-turns", beside) => (),
            count => {
                if let Some(last) = counts.last_mut() {
                    last.push(count.to_owned());
                }
            }
        }
        if word.ends_with(',') {
            next(&mut counts);
        }
    }
    counts.retain(|count| !count.is_empty());
    // A turn is in or out; "4 - 5" and a bare figure leave that open.
    let sign = match (into, out, told) {
        (1.., 0, _) => 1.0,
        (0, 0, Some(told)) => f64::from(told.signum()),
        (0, out, _) if out >= counts.len() && out > 0 => -1.0,
        _ => return Read::Doubtful,
    };
    let sum = counts.iter().try_fold(0.0, |sum, count| {
        let turns = parse_turns(&format!("+{}", count.join(" "))).ok()?;
        Some(sum + turns.value())
    });
    let turns = sum.filter(|_| !counts.is_empty()).and_then(|sum| Turns::new(sign * sum));
    turns.filter(|turns| plausible::turns_changed(*turns).is_ok()).map_or(Read::Doubtful, Read::Said)
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
        FormSays::of(&form.unwrap(), Unit::Inch, None)
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
            ("11 + 6", 17.0),
            ("+11, +6", 17.0),
            ("11 in, then 6 in", 17.0),
            ("-2 and -1", -3.0),
            ("all 11 in", 11.0),
            ("+17 in all", 17.0),
            ("0", 0.0),
            ("none", 0.0),
            ("No", 0.0),
        ] {
            assert_eq!(of(said), Some(turns), "{said}");
        }
        for doubtful in ["4", "4-5", "in", "4 in 2 out", "4 in, then 2 out", "a few", "4 in 5", "17 in all"] {
            let says = says("", doubtful, "");
            assert_eq!(says.measured.turns_changed, None, "{doubtful}");
            assert_eq!(says.doubts[0].field, Field::Turns, "{doubtful}");
        }
        for nothing in ["not yet", "?", "don't know"] {
            assert_eq!(says("7", nothing, ""), says("7", "", ""), "{nothing}");
        }
        // After a letter that told which way, a sum goes that way.
        let after = |said: &str, told: i32| match turns(said, Some(told)) {
            Read::Said(turns) => Some(turns.value()),
            Read::Nothing | Read::Doubtful => None,
        };
        assert_eq!(
            (after("17 in all", 11), after("3 altogether", -3), after("6", 4)),
            (Some(17.0), Some(-3.0), None)
        );
    }

    #[test]
    fn heights_between_two_goes_are_no_readings_of_one() {
        let both = says("7 3/8, 7 3/4", "+11", "");
        assert_eq!((both.measured.brace, both.doubts.len()), (None, 1));
        assert!(both.doubts[0].question.contains("which of these did you read last"), "{:?}", both.doubts);
        assert!(says("7 3/8, 7 7/16", "+11", "").measured.brace.is_some());
        assert!(says("7 3/8, 7 3/4", "0", "").measured.brace.is_some());
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
        let says = FormSays::of(&taken_out(&text).1.unwrap(), Unit::Inch, None);
        assert_eq!((says.measured.is_empty(), says.doubts.len()), (true, 1));
    }
}
