//! The mails of `tests/data/mails.json`, each with what is to be read from it.

use serde_json::Value;

use super::{Mail, Proposal, propose, read_mail};
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
    needless: Vec<String>,
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

    fn compare_sets(
        &mut self,
        mail: &str,
        what: &str,
        expected: &[String],
        read: &[String],
        is_question: bool,
    ) {
        for fact in expected {
            if read.contains(fact) {
                self.right += 1;
            } else {
                self.missed.push(format!("{mail}: {what} {fact}"));
            }
        }
        for fact in read.iter().filter(|fact| !expected.contains(fact)) {
            let list = if is_question { &mut self.needless } else { &mut self.misread };
            list.push(format!("{mail}: {what} {fact} was not expected"));
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

fn compare_proposal(score: &mut Score, name: &str, expect: &Value, read: &Proposal) {
    let expected_number = |key: &str| expect[key].as_f64().map(number);
    let expected_word = |key: &str| expect[key].as_str().map(str::to_owned);
    let numbers = [
        ("brace", read.brace.as_ref().map(|found| found.value.inches())),
        ("readings", read.readings.as_ref().map(|found| f64::from(found.value))),
        ("string_length", read.string_length.as_ref().map(|found| found.value.inches())),
        ("bow_length", read.bow_length.as_ref().map(|found| found.value.inches())),
        ("nock_to_nock", read.nock_to_nock.as_ref().map(|found| found.value.inches())),
        ("turns", read.turns_changed.as_ref().map(|found| found.value.value())),
        ("shots", read.shots.as_ref().map(|found| f64::from(found.value))),
        ("draw_weight", read.draw_weight.as_ref().map(|found| found.value.pounds())),
        ("draw_at", read.draw_weight.as_ref().and_then(|found| found.value.at()).map(|at| at.inches())),
        ("year", read.bow_year.as_ref().map(|found| f64::from(found.value))),
    ];
    for (key, value) in numbers {
        score.compare(name, key, expected_number(key), value.map(number));
    }
    let words = [
        ("length_at", read.length_at.as_ref().map(|found| found.value.to_string())),
        ("tips", read.tips.as_ref().map(|found| found.value.to_string())),
        ("stave", read.stave.as_ref().map(|found| found.value.to_string())),
        ("bow_kind", read.bow_kind.as_ref().map(|found| found.value.to_string())),
        ("marker", read.marker.as_ref().map(|found| found.value.to_string())),
    ];
    for (key, value) in words {
        score.compare(name, key, expected_word(key), value);
    }
    let want = read.want.as_ref().map(|found| {
        format!("{} to {}", number(found.value.low().inches()), number(found.value.high().inches()))
    });
    let expected_want = expect["want"].as_array().map(|ends| {
        format!("{} to {}", number(ends[0].as_f64().unwrap()), number(ends[1].as_f64().unwrap()))
    });
    score.compare(name, "want", expected_want, want);
    // Danger is for the reader of danger alone; `tests/all/mail_job.rs` asks that one of these mails.
    let symptoms: Vec<String> = read.symptoms.iter().map(|found| found.value.to_string()).collect();
    let no_danger = |symptom: &String| !symptom.parse::<Symptom>().unwrap().is_danger();
    let expected: Vec<String> = strings(&expect["symptoms"]).into_iter().filter(no_danger).collect();
    score.compare_sets(name, "symptom", &expected, &symptoms, false);
    let serials: Vec<String> = read.serials.iter().map(|found| found.value.clone()).collect();
    score.compare_sets(name, "serial", &strings(&expect["serials"]), &serials, false);
    let asked: Vec<String> = read.ambiguous.iter().map(|one| one.about.to_string()).collect();
    score.compare_sets(name, "question", &strings(&expect["ask"]), &asked, true);
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

/// Every span must hold the words that are said to stand there.
fn assert_spans(name: &str, text: &str, read: &Proposal) {
    macro_rules! assert_span {
        ($($found:expr),+) => {
            $(for found in $found.iter() {
                assert_eq!(text.get(found.start..found.end), Some(found.words.as_str()), "{name}");
            })+
        };
    }
    assert_span!(
        read.symptoms,
        read.brace,
        read.readings,
        read.want,
        read.string_length,
        read.length_at,
        read.bow_length,
        read.nock_to_nock,
        read.turns_changed,
        read.shots,
        read.draw_weight,
        read.bow_year,
        read.tips,
        read.stave,
        read.bow_kind,
        read.marker,
        read.serials
    );
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
        let read = propose(&mail.text, unit, &strings(&case["known"]));
        assert_spans(name, &mail.text, &read);
        compare_proposal(&mut score, name, &case["expect"], &read);
        compare_mail(&mut score, name, &case["expect"], &mail);
    }
    let facts = score.right + score.missed.len();
    #[expect(clippy::cast_precision_loss, reason = "some hundred facts")]
    let share = |count: usize| count as f64 / facts as f64;
    println!(
        "{} mails, {facts} facts: {:.1} % right, {:.1} % missed, {:.1} % misread, {} needless questions",
        cases.len(),
        100.0 * share(score.right),
        100.0 * share(score.missed.len()),
        100.0 * share(score.misread.len()),
        score.needless.len()
    );
    for (what, list) in
        [("missed", &score.missed), ("misread", &score.misread), ("needless", &score.needless)]
    {
        for one in list {
            println!("  {what}: {one}");
        }
    }
    assert!(cases.len() >= 70);
    assert!(score.misread.is_empty());
    assert!(share(score.right) >= 0.9);
    assert!(share(score.needless.len()) <= 0.05);
}
