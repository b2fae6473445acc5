//! Mails in which every number is marked with what it says: `[[now|6 3/4]]`. What such a mail says
//! is worked out from the marks alone, with a reader of numbers of its own.

use std::collections::BTreeMap;
use std::ops::Range;

use serde_json::Value;

/// A marked place of a text without marks.
#[derive(Debug, Clone)]
pub(crate) struct Mark {
    pub(crate) tag: String,
    pub(crate) words: String,
    pub(crate) start: usize,
    pub(crate) end: usize,
}

/// A marked mail.
#[derive(Debug, Clone)]
pub(crate) struct Marked {
    pub(crate) id: String,
    pub(crate) kind: String,
    pub(crate) subject: String,
    pub(crate) subject_marks: Vec<Mark>,
    pub(crate) text: String,
    pub(crate) marks: Vec<Mark>,
}

/// What one mail says: of each field the values that are right.
pub(crate) type Said = BTreeMap<&'static str, Vec<Vec<f64>>>;

/// Takes the marks out of a text.
pub(crate) fn unmarked(text: &str) -> (String, Vec<Mark>) {
    let (mut plain, mut marks, mut rest) = (String::new(), Vec::new(), text);
    while let Some(at) = rest.find("[[") {
        let (before, marked) = rest.split_at(at);
        plain.push_str(before);
        let end = marked.find("]]").unwrap_or_else(|| panic!("an open mark: {text}"));
        let (tag, words) = marked[2..end].split_once('|').unwrap_or_else(|| panic!("no tag: {text}"));
        let start = plain.len();
        plain.push_str(words);
        marks.push(Mark { tag: tag.trim().to_owned(), words: words.to_owned(), start, end: plain.len() });
        rest = &marked[end + 2..];
    }
    plain.push_str(rest);
    (plain, marks)
}

/// Lines without needless blanks, so that a place in one is a place in what is read of it.
fn tidy(text: &str) -> String {
    text.lines()
        .map(|line| line.split_whitespace().collect::<Vec<_>>().join(" "))
        .collect::<Vec<_>>()
        .join("\n")
}

/// What a mark teaches of a number: some marks are of one kind for the reader.
fn meaning(tag: &str) -> &str {
    match tag {
        "stretch" => "off_by",
        "date" | "serial" | "order" | "wrong_other" => "other",
        "maker" => "maker_low",
        tag => tag,
    }
}

/// The mails of a file, one a line.
pub(crate) fn mails(file: &str) -> Vec<Marked> {
    file.lines()
        .filter(|line| !line.trim().is_empty())
        .map(|line| {
            let mail: Value = serde_json::from_str(line).unwrap_or_else(|error| panic!("{error}: {line}"));
            let part = |key: &str| unmarked(&tidy(mail[key].as_str().unwrap_or_default()));
            let ((subject, subject_marks), (text, marks)) = (part("subject"), part("text"));
            let word = |key: &str| mail[key].as_str().unwrap_or_default().to_owned();
            Marked { id: word("id"), kind: word("kind"), subject, subject_marks, text, marks }
        })
        .collect()
}

impl Marked {
    /// What is said at a place of a line, the subject being line 0.
    pub(crate) fn told(&self, line: usize, place: &Range<usize>, is_number: bool, is_zero: bool) -> &str {
        let (marks, from) = match line.checked_sub(1) {
            None => (&self.subject_marks, 0),
            Some(before) => {
                (&self.marks, self.text.split('\n').take(before).map(|line| line.len() + 1).sum())
            }
        };
        marks
            .iter()
            .filter(|mark| mark.start < from + place.end && mark.end > from + place.start)
            // Words say that there are no turns; of numbers nought alone does.
            .find(|mark| (mark.tag == "turns_none") != is_number || (mark.tag == "turns_none" && is_zero))
            .map_or("other", |mark| meaning(&mark.tag))
    }

    /// The mail as it is stored in a file.
    pub(crate) fn raw(&self) -> String {
        let subject: String = self.subject.split_whitespace().collect::<Vec<_>>().join(" ");
        format!(
            "From: Somebody <somebody@example.org>\nTo: bench@example.org\nSubject: {subject}\n\
             Content-Type: text/plain; charset=utf-8\n\n{}\n",
            self.text
        )
    }

    fn values(&self, tags: &[&str], of: fn(&str) -> Option<f64>) -> Vec<f64> {
        self.subject_marks
            .iter()
            .chain(&self.marks)
            .filter(|mark| tags.contains(&mark.tag.as_str()))
            .filter_map(|mark| of(&mark.words))
            .collect()
    }

    fn range(&self, low: &str, high: &str, both: &str) -> Vec<Vec<f64>> {
        let (low, high) = (self.values(&[low], inches), self.values(&[high], inches));
        let mut ranges: Vec<Vec<f64>> = low.iter().zip(&high).map(|(low, high)| vec![*low, *high]).collect();
        if high.is_empty() || low.is_empty() {
            // One end alone, as a limit.
            ranges.extend(low.iter().chain(&high).map(|end| vec![*end, *end]));
        }
        ranges.extend(self.values(&[both], inches).iter().map(|one| vec![*one, *one]));
        ranges
    }

    /// What the mail says, by its marks.
    pub(crate) fn said(&self) -> Said {
        let mut said = Said::new();
        let mut put = |field: &'static str, values: Vec<Vec<f64>>| {
            if !values.is_empty() {
                said.insert(field, values);
            }
        };
        let one = |values: Vec<f64>| values.into_iter().map(|value| vec![value]).collect::<Vec<_>>();
        let mut now = self.values(&["now"], inches);
        let readings = self.values(&["now_n"], inches);
        if !readings.is_empty() {
            let mean = readings.iter().sum::<f64>() / readings.len() as f64;
            now.push(mean);
        }
        put("brace", one(now));
        put("maker", self.range("maker_low", "maker_high", "maker"));
        put("want", self.range("want_low", "want_high", "want"));
        let turned = self.values(&["turns_in"], number);
        let out = self.values(&["turns_out"], number);
        if !(turned.is_empty() && out.is_empty()) {
            put("turns", vec![vec![turned.iter().sum::<f64>() - out.iter().sum::<f64>()]]);
        } else if self.marks.iter().chain(&self.subject_marks).any(|mark| mark.tag == "turns_none") {
            put("turns", vec![vec![0.0]]);
        }
        let shots = self.values(&["shots"], number);
        put("shots", one(shots));
        put("length", one(self.values(&["string_length"], inches)));
        put("marked", one(self.values(&["bow_length"], inches)));
        put("weight", one(self.values(&["draw_weight"], number)));
        put("year", one(self.values(&["bow_year"], number)));
        said
    }
}

const ONES: [&str; 20] = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
];
const TENS: [&str; 8] = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"];

/// The number in a few words.
pub(crate) fn number(words: &str) -> Option<f64> {
    let mut text = String::new();
    let mut last = ' ';
    for c in words.to_lowercase().chars() {
        let vulgar = match c {
            '¼' => " 1/4 ",
            '½' => " 1/2 ",
            '¾' => " 3/4 ",
            '⅛' => " 1/8 ",
            '⅜' => " 3/8 ",
            '⅝' => " 5/8 ",
            '⅞' => " 7/8 ",
            '⅓' => " 1/3 ",
            '⅔' => " 2/3 ",
            _ => "",
        };
        if vulgar.is_empty() {
            if last.is_ascii_digit() && c.is_alphabetic() {
                text.push(' ');
            }
            text.push(if c.is_alphanumeric() || ".,/'\"".contains(c) { c } else { ' ' });
        } else {
            text.push_str(vulgar);
        }
        last = c;
    }
    let (mut sum, mut found, mut last): (f64, bool, Option<f64>) = (0.0, false, None);
    for word in text.split_whitespace() {
        let word = word.trim_matches(['.', ',', '\'', '"', '/']);
        let digits = word.starts_with(|c: char| c.is_ascii_digit());
        let value = if let Some((above, below)) = word.split_once('/').filter(|_| digits) {
            let above: f64 = above.parse().ok()?;
            let below: f64 = below.trim_end_matches(|c: char| c.is_alphabetic()).parse().ok()?;
            Some(above / below)
        } else if digits {
            let thousands = word.split_once(',').is_some_and(|(_, part)| part.len() == 3);
            let word = if thousands { word.replace(',', "") } else { word.replace(',', ".") };
            Some(word.parse().ok()?)
        } else if let Some(at) = ONES.iter().position(|one| *one == word) {
            Some(at as f64)
        } else {
            TENS.iter().position(|ten| *ten == word).map(|at| (at as f64 + 2.0) * 10.0)
        };
        let part = match word {
            "half" | "halves" => Some(0.5),
            "third" | "thirds" => Some(1.0 / 3.0),
            "quarter" | "quarters" => Some(0.25),
            "eighth" | "eighths" => Some(0.125),
            "sixteenth" | "sixteenths" | "16ths" => Some(0.0625),
            _ => None,
        };
        let times = match word {
            "dozen" => Some(12.0),
            "couple" | "pair" => Some(2.0),
            "hundred" => Some(100.0),
            "thousand" | "k" => Some(1000.0),
            _ => None,
        };
        if let Some(value) = value {
            // Digits behind a whole number and no fraction are another number.
            sum += value;
            last = Some(value);
            found = true;
        } else if let Some(part) = part {
            let above = last.take().filter(|above| *above < 16.0);
            sum = above.map_or(sum + part, |above| sum - above + above * part);
            found = true;
        } else if let Some(times) = times {
            let above = last.take();
            sum = above.map_or(sum + times, |above| sum - above + above * times);
            found = true;
        } else if word != "and" {
            last = last.filter(|_| word != "a" && word != "an");
        }
    }
    found.then_some(sum)
}

/// A length in a few words, inches; a bare number is in the unit in which it can be one.
pub(crate) fn inches(words: &str) -> Option<f64> {
    let size = number(words)?;
    let lower = words.to_lowercase();
    let parted = lower.split_once("cm").or_else(|| lower.split_once("centimetres"));
    if let Some((cm, mm)) = parted.filter(|(_, mm)| mm.contains("mm") || mm.contains("millimetres")) {
        // 19 cm and 3 mm, or in full words
        return Some((number(cm)? + number(mm)? / 10.0) / 2.54);
    }
    let has = |unit: &str| lower.split(|c: char| !c.is_alphabetic()).any(|word| word == unit);
    Some(if has("foot") || has("feet") || has("ft") {
        size * 12.0
    } else if has("mm") || has("millimetres") || has("millimeters") {
        size / 25.4
    } else if has("cm") || has("cms") || has("centimetres") || has("centimeters") || has("centimetre") {
        size / 2.54
    } else if has("inch") || has("inches") || has("in") || has("zoll") || lower.contains(['"', '″', '”'])
    {
        size
    } else if has("m") || has("metres") {
        size / 0.0254
    } else if size < 11.5 || (36.0..=90.0).contains(&size) {
        size
    } else if size < 36.0 || (90.0..=200.0).contains(&size) && size.fract() > 0.0 {
        size / 2.54
    } else if size < 100.0 {
        size
    } else {
        size / 25.4
    })
}
