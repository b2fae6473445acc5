//! The mails of `tests/data/mails.json`, each with what is to be read from it.

use serde_json::Value;

use super::{Fact, Mail, Proposal, propose, read_mail, references_in};
use crate::quantity::Unit;
use crate::trade::words::Symptom;

/// Headers of mails of which only the text is given.
const HEADERS: &str = "From: Tom Example <tom@example.org>\nSubject: the string\n\
                       Date: Mon, 03 Mar 2025 10:00:00 +0000\nContent-Type: text/plain; charset=utf-8\n\n";

/// Inches by which a length read may differ from the length written down.
const SLACK: f64 = 1e-6;

/// How the expected facts of all mails were read.
#[derive(Default)]
struct Score {
    right: usize,
    missed: Vec<String>,
    misread: Vec<String>,
}

impl Score {
    fn compare(&mut self, mail: &str, what: &str, expected: Option<String>, read: Option<String>) {
        match (expected, read) {
            (None, None) => {}
            (Some(expected), Some(read)) if expected == read => self.right += 1,
            (Some(expected), None) => self.missed.push(format!("{mail}: {what} {expected}")),
            (expected, Some(read)) => {
                self.misread.push(format!("{mail}: {what} {read} instead of {expected:?}"));
            }
        }
    }

    fn compare_sets(&mut self, mail: &str, what: &str, expected: &[String], read: &[String]) {
        for fact in expected {
            if read.contains(fact) {
                self.right += 1;
            } else {
                self.missed.push(format!("{mail}: {what} {fact}"));
            }
        }
        for fact in read.iter().filter(|fact| !expected.contains(fact)) {
            self.misread.push(format!("{mail}: {what} {fact} was not expected"));
        }
    }
}

fn bytes_of(case: &Value) -> Vec<u8> {
    match case["raw"].as_str() {
        // One byte for each character, as old mail programs wrote.
        Some(raw) if case["latin1"] == true => {
            raw.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect()
        }
        Some(raw) => raw.as_bytes().to_vec(),
        None => format!("{HEADERS}{}", case["text"].as_str().unwrap()).into_bytes(),
    }
}

fn number(value: f64) -> String {
    format!("{:.4}", (value / SLACK).round() * SLACK)
}

fn strings(value: &Value) -> Vec<String> {
    value
        .as_array()
        .map(|list| list.iter().map(|one| one.as_str().unwrap().to_owned()).collect())
        .unwrap_or_default()
}

/// What a fact is called in the table, and its value there.
fn told(fact: Fact) -> (&'static str, String) {
    let range = |range: crate::quantity::LengthRange| {
        format!("{} to {}", number(range.low().inches()), number(range.high().inches()))
    };
    match fact {
        Fact::Brace(length) => ("brace", number(length.inches())),
        Fact::Readings(count) => ("readings", number(f64::from(count))),
        // The table does not say who wants it.
        Fact::Want(wanted) | Fact::MakerRange(wanted) => ("want", range(wanted)),
        Fact::StringLength(length) => ("string_length", number(length.inches())),
        Fact::LengthAt(at) => ("length_at", at.to_string()),
        Fact::Turns(turns) => ("turns", number(turns.value())),
        Fact::Shots(count) => ("shots", number(f64::from(count))),
        Fact::Marker(marker) => ("marker", marker.to_string()),
        Fact::BowKind(kind) => ("bow_kind", kind.to_string()),
        Fact::BowLength(length) => ("bow_length", number(length.inches())),
        Fact::NockToNock(length) => ("nock_to_nock", number(length.inches())),
        Fact::DrawWeight(weight) => ("draw_weight", number(weight.pounds())),
        Fact::Tips(tips) => ("tips", tips.to_string()),
        Fact::Stave(stave) => ("stave", stave.to_string()),
        Fact::BowYear(year) => ("year", number(f64::from(year))),
    }
}

const KEYS: [&str; 15] = [
    "brace",
    "readings",
    "want",
    "string_length",
    "length_at",
    "turns",
    "shots",
    "marker",
    "bow_kind",
    "bow_length",
    "nock_to_nock",
    "draw_weight",
    "tips",
    "stave",
    "year",
];

fn compare_proposal(score: &mut Score, name: &str, expect: &Value, read: &Proposal, serials: &[String]) {
    let sure: Vec<(&str, String)> = read.read.iter().map(|found| told(found.value)).collect();
    let likely: Vec<(&str, String)> = read.likely.iter().map(|found| told(found.value)).collect();
    for key in KEYS {
        let expected = match &expect[key] {
            Value::Null => None,
            Value::String(word) => Some(word.clone()),
            Value::Array(ends) => Some(format!(
                "{} to {}",
                number(ends[0].as_f64().unwrap()),
                number(ends[1].as_f64().unwrap())
            )),
            value => Some(number(value.as_f64().unwrap())),
        };
        let is_offered = expected.as_ref().is_some_and(|value| likely.contains(&(key, value.clone())));
        match sure.iter().find(|(held, _)| *held == key) {
            None if is_offered => score.right += 1,
            held => score.compare(name, key, expected, held.map(|(_, value)| value.clone())),
        }
    }
    if let Some(at) = expect["draw_at"].as_f64() {
        let facts = read.read.iter().chain(&read.likely);
        let held = facts.filter_map(|found| match found.value {
            Fact::DrawWeight(weight) => weight.at().map(|at| number(at.inches())),
            _ => None,
        });
        score.compare(name, "draw_at", Some(number(at)), held.into_iter().next());
    }
    // Danger is for the reader of danger alone; `tests/all/mail_job.rs` asks that one of these mails.
    let symptoms: Vec<String> = read.symptoms.iter().map(|found| found.value.to_string()).collect();
    let no_danger = |symptom: &String| !symptom.parse::<Symptom>().unwrap().is_danger();
    let expected: Vec<String> = strings(&expect["symptoms"]).into_iter().filter(no_danger).collect();
    score.compare_sets(name, "symptom", &expected, &symptoms);
    score.compare_sets(name, "serial", &strings(&expect["serials"]), serials);
    // What is in doubt is offered, or asked.
    for about in strings(&expect["ask"]) {
        let key = match about.as_str() {
            "range" => "want",
            "string-length" => "string_length",
            "bow-length" => "bow_length",
            "bow-year" => "year",
            "unit" => continue,
            other => other,
        };
        let is_sure = sure.iter().any(|(held, _)| *held == key);
        let is_asked = read.ambiguous.iter().any(|one| one.about.as_str() == about);
        if is_sure && expect[key].is_null() {
            score.misread.push(format!("{name}: {key} is sure and was in doubt"));
        } else if is_asked || likely.iter().any(|(held, _)| *held == key) {
            score.right += 1;
        } else {
            score.missed.push(format!("{name}: {about} is in doubt"));
        }
    }
    assert!(read.ambiguous.len() <= 2, "{name}: {:?}", read.ambiguous);
}

fn compare_mail(score: &mut Score, name: &str, expect: &Value, mail: &Mail) {
    for (key, read) in [
        ("from", mail.from_name.clone()),
        ("subject", mail.subject.clone()),
        ("sent_on", mail.sent_on.map(|day| day.to_string())),
    ] {
        if let Some(expected) = expect[key].as_str() {
            score.compare(name, key, Some(expected.to_owned()), read);
        }
    }
    let attachments = expect["attachments"].as_u64().unwrap_or(0);
    assert_eq!(mail.attachments as u64, attachments, "{name}");
}

/// Every place in the new text must hold the words that are said to stand there.
fn assert_places(name: &str, text: &str, read: &Proposal) {
    let symptoms = read.symptoms.iter().map(|found| (found.place, &found.words));
    let facts = read.read.iter().chain(&read.likely).map(|found| (found.place, &found.words));
    for (place, words) in symptoms.chain(facts) {
        if let Some((start, end)) = place {
            assert_eq!(text.get(start..end), Some(words.as_str()), "{name}");
        }
    }
    for one in &read.ambiguous {
        assert!(one.question.ends_with(['?', '.']) && !one.words.is_empty(), "{name}: {one:?}");
    }
}

#[test]
fn mails_are_read_as_they_were_meant() {
    let cases: Value = serde_json::from_str(include_str!("../../tests/data/mails.json")).unwrap();
    let mut score = Score::default();
    let cases = cases.as_array().unwrap();
    for case in cases {
        let name = case["name"].as_str().unwrap();
        let unit = case["unit"].as_str().map_or(Unit::Inch, |unit| unit.parse().unwrap());
        let mail = read_mail(&bytes_of(case)).unwrap_or_else(|error| panic!("{name}: {error}"));
        let read = propose(&mail, unit, &strings(&case["known"]));
        assert_places(name, &mail.text, &read);
        let whole = format!("{}\n{}", mail.subject.as_deref().unwrap_or_default(), mail.text);
        let serials = references_in(&whole, &strings(&case["known"]));
        compare_proposal(&mut score, name, &case["expect"], &read, &serials);
        compare_mail(&mut score, name, &case["expect"], &mail);
    }
    let facts = score.right + score.missed.len();
    assert!(cases.len() >= 296 && score.right * 10 >= facts * 9, "{} of {facts}", score.right);
    insta::assert_snapshot!(
        "mails",
        format!("Missed:\n{}\n\nMisread:\n{}\n", score.missed.join("\n"), score.misread.join("\n"))
    );
}
