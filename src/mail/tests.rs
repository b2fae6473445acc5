//! The mails of `tests/data/mails.json`, each with what is to be read from it; mails that cannot be
//! read, and mails that are meant to do harm.

use std::time::{Duration, Instant};

use proptest::prelude::*;
use serde_json::Value;

use super::{Fact, LARGEST_MAIL, Mail, MailError, Proposal, propose, read_mail, read_pasted, references_in};
use crate::quantity::{LengthRange, Unit};
use crate::trade::words::Symptom;
use crate::words::is_unsafe;

/// Headers of an honest mail.
const HEADERS: &str = "From: Tom Example <tom@example.org>\r\nSubject: the string\r\n";

/// Longest that the worst mail may take, here without optimisation on a slow machine.
const PATIENCE: Duration = Duration::from_secs(60);

fn mail(text: &str) -> Mail {
    read_mail(text.as_bytes())
        .unwrap_or_else(|error| panic!("{error}: {}", text.chars().take(200).collect::<String>()))
}

fn refused(bytes: &[u8]) -> MailError {
    match read_mail(bytes) {
        Ok(mail) => panic!("it was read as {mail:?}"),
        Err(error) => error,
    }
}

fn within_patience(bytes: &[u8]) {
    let start = Instant::now();
    if let Ok(mail) = read_mail(bytes) {
        let _ = propose(&mail, Unit::Inch, &["S-1".to_owned()]);
    }
    assert!(start.elapsed() < PATIENCE, "{:?}", start.elapsed());
}

#[test]
fn what_is_no_mail_is_refused_with_the_way_out() {
    for bytes in
        [&b""[..], b"\r\n\r\n", b"brace height 7 3/4", b"Hello: world\r\n\r\nbrace", b"\0\0\0", &[0xff; 999]]
    {
        let error = refused(bytes);
        assert_eq!(error, MailError::NotAMail);
        assert!(error.to_string().contains("report add --text"), "{error}");
    }
}

#[test]
fn what_is_too_large_is_refused_before_it_is_read() {
    let mut bytes = HEADERS.as_bytes().to_vec();
    bytes.resize(LARGEST_MAIL + 1, b'a');
    let error = refused(&bytes);
    assert_eq!(error, MailError::TooLarge { bytes: LARGEST_MAIL + 1 });
    assert_eq!(
        error.to_string(),
        "the mail has 26 MB, and at most 25 are read; save it without its attachments"
    );
}

#[test]
fn a_mail_without_text_says_what_it_holds() {
    assert_eq!(refused(HEADERS.as_bytes()), MailError::NoText { attachments: 0 });
    let photo = format!(
        "{HEADERS}Content-Type: multipart/mixed; boundary=x\r\n\r\n--x\r\nContent-Type: image/jpeg\r\n\
         Content-Transfer-Encoding: base64\r\n\r\n/9j/4AAQ\r\n--x--\r\n"
    );
    let error = refused(photo.as_bytes());
    assert_eq!(error, MailError::NoText { attachments: 1 });
    assert!(error.to_string().contains("only 1 attachment;"), "{error}");
}

#[test]
fn a_mail_that_only_quotes_is_refused() {
    let error = refused(format!("{HEADERS}\r\n> brace height?\r\n").as_bytes());
    assert_eq!(error, MailError::NothingNew { attachments: 0 });
    assert!(error.to_string().contains("nothing new"), "{error}");
}

#[test]
fn an_encrypted_mail_is_refused_as_such() {
    let encrypted = format!(
        "{HEADERS}Content-Type: multipart/encrypted; boundary=x\r\n\r\n--x\r\n\
         Content-Type: application/pgp-encrypted\r\n\r\nVersion: 1\r\n--x\r\n\
         Content-Type: application/octet-stream\r\n\r\nAAAA\r\n--x--\r\n"
    );
    assert_eq!(refused(encrypted.as_bytes()), MailError::Encrypted);
    let enveloped = format!("{HEADERS}Content-Type: application/pkcs7-mime\r\n\r\nAAAA\r\n");
    assert_eq!(refused(enveloped.as_bytes()), MailError::Encrypted);
}

#[test]
fn line_breaks_in_headers_do_not_survive() {
    let encoded = "From: =?utf-8?q?Tom=0D=0ABcc=3A_x=40example=2Ecom?= <tom@example.org>\r\n\
                   Subject: =?utf-8?b?YQ0KQmNjOiB4QGV4YW1wbGUuY29tG1syag==?=\r\n\r\nbrace 7\r\n";
    let mail = mail(encoded);
    for value in [mail.from_name.as_deref(), mail.from_address.as_deref(), mail.subject.as_deref()] {
        let value = value.unwrap();
        assert!(!value.chars().any(is_unsafe), "{value:?}");
    }
    assert_eq!(mail.from_address.as_deref(), Some("tom@example.org"));
}

#[test]
fn folded_and_encoded_headers_are_put_together() {
    let mail = mail(
        "From: =?iso-8859-1?Q?J=F6rg?=\r\n\t=?utf-8?B?IEJlaXNwaWVs?= <j@example.net>\r\nSubject: a\r\n long one\r\n\
         Date: Sat, 01 Mar 2025 23:30:00 -0800\r\n\r\nbrace 7\r\n",
    );
    assert_eq!(mail.from_name.as_deref(), Some("Jörg Beispiel"));
    assert_eq!(mail.subject.as_deref(), Some("a long one"));
    assert_eq!(mail.sent_on.map(|day| day.to_string()).as_deref(), Some("2025-03-01"));
}

#[test]
fn a_bad_address_or_date_is_left_out() {
    let mail = mail("From: Tom <not an address>\r\nDate: 31 Feb 2025 10:00\r\n\r\nbrace 7\r\n");
    assert_eq!((mail.from_address, mail.sent_on), (None, None));
}

#[test]
fn deeply_nested_mails_do_no_harm() {
    let nested = "Content-Type: message/rfc822\r\n\r\n".repeat(150_000);
    within_patience(format!("{HEADERS}{nested}").as_bytes());
    let multiparts: String = (0..100_000)
        .map(|level| format!("Content-Type: multipart/mixed; boundary=b{level}\r\n\r\n--b{level}\r\n"))
        .collect();
    within_patience(format!("{HEADERS}{multiparts}brace 7\r\n").as_bytes());
    let lost = "Content-Type: multipart/mixed; boundary=lost\r\n\r\n--x\r\n".repeat(150_000);
    within_patience(
        format!("{HEADERS}Content-Type: multipart/mixed; boundary=x\r\n\r\n--x\r\n{lost}").as_bytes(),
    );
    let digest = "--x\r\n\r\n".repeat(500_000);
    within_patience(
        format!("{HEADERS}Content-Type: multipart/digest; boundary=x\r\n\r\n{digest}").as_bytes(),
    );
}

#[test]
fn an_attached_mail_is_counted_and_not_read() {
    let mail = mail(&format!(
        "{HEADERS}Content-Type: multipart/mixed; boundary=x\r\n\r\n--x\r\n\r\nBrace is 7.\r\n--x\r\n\
         Content-Type: message/rfc822\r\n\r\nSubject: old\r\n\r\nbrace 9\r\n--x--\r\n"
    ));
    assert_eq!((mail.text.as_str(), mail.attachments), ("Brace is 7.", 1));
}

#[test]
fn large_texts_of_any_sort_are_read_in_time() {
    for unit in [
        "7 3/4 ",
        "<td>",
        "<blockquote>",
        "brace 7 ",
        "hundred ",
        "> ",
        "\n",
        "\"7",
        "(7) ",
        "-- \n",
        "7-",
        "S-1 ",
        "On 1 x ",
        "it is too low, ",
        "a@b.c ",
        "½",
        "\u{202e}",
        "thanks,\n",
        "=\n",
        "not no never ",
    ] {
        let text = unit.repeat(300_000 / unit.len());
        within_patience(format!("{HEADERS}\r\nx {text}").as_bytes());
        if unit.starts_with(['<', '=', '½']) {
            within_patience(format!("{HEADERS}Content-Type: text/html\r\n\r\nx {text}").as_bytes());
        }
    }
}

#[test]
fn the_text_is_tidy_and_harmless() {
    let mail = mail(&format!(
        "{HEADERS}\r\n brace\u{a0} is\t\t7 \u{1b}[31m\u{202e}\u{200b}\r\n\r\n\r\n\r\nbye\u{0} \r\n"
    ));
    assert_eq!(mail.text, "brace is 7 \u{fffd}[31m\n\nbye\u{fffd}");
}

/// Headers of mails of which only the text is given.
const WHOLE_HEADERS: &str = "From: Tom Example <tom@example.org>\nSubject: the string\n\
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
        None => format!("{WHOLE_HEADERS}{}", case["text"].as_str().unwrap()).into_bytes(),
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
    let range =
        |range: LengthRange| format!("{} to {}", number(range.low().inches()), number(range.high().inches()));
    match fact {
        Fact::Brace(length) => ("brace", number(length.inches())),
        Fact::Readings(count) => ("readings", number(f64::from(count))),
        // The table does not say who wants it.
        Fact::Want(wanted) | Fact::MakerRange(wanted) => ("want", range(wanted)),
        // The table does not ask for it.
        Fact::RangeUnknown => ("range_unknown", "yes".to_owned()),
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

/// The values that are sure or likely of one thing, as the table calls it.
fn values(text: &str, key: &str) -> Vec<String> {
    let read = propose(&read_pasted(text, None).unwrap(), Unit::Inch, &[]);
    let facts = read.read.iter().chain(&read.likely).map(|found| told(found.value));
    facts.filter(|(held, _)| *held == key).map(|(_, value)| value).collect()
}

#[test]
fn a_count_of_something_else_is_no_count_of_turns() {
    for text in [
        "I measured it two times, brace 6 3/4. I shot it three times. Three questions: is that normal?",
        "Two things: the brace height is 6 3/4, and the colour is lovely. My bow wants 7 1/2.",
    ] {
        assert_eq!(values(text, "turns"), Vec::<String>::new(), "{text}");
    }
    for text in [
        "I turned it five times and it gives 7 inches of brace height.",
        "Hello\n> Have you twisted?\nYes, five times round.",
    ] {
        assert_eq!(values(text, "turns").first(), Some(&number(5.0)), "{text}");
    }
}

#[test]
fn turns_that_are_told_with_each_reading_are_added() {
    for text in [
        "With +10 turns brace is 6 7/8, then +10 more turns and it reads 7 1/8.",
        "+10 turns: 6 7/8\n+10 turns: 7 1/8",
        "I put in 10 turns and the brace height went to 7. Then I put in another 10 turns and it is 7 1/4 now.",
    ] {
        assert_eq!(values(text, "turns").first(), Some(&number(20.0)), "{text}");
    }
}

#[test]
fn a_count_that_is_left_open_is_no_number() {
    for (text, shots) in [
        ("Brace dropped to 6 3/4 after a few hundred shots.", None),
        ("Brace dropped to 6 3/4 after several hundred arrows.", None),
        ("Brace dropped to 6 3/4 after a couple of hundred arrows.", Some(200.0)),
        ("I shot a couple of dozen arrows and the brace is 6 3/4.", Some(24.0)),
        ("Brace dropped to 6 3/4 after a hundred arrows.", Some(100.0)),
    ] {
        assert_eq!(values(text, "shots").first().cloned(), shots.map(number), "{text}");
    }
}

#[test]
fn the_length_of_a_string_is_not_first_taken_for_that_of_the_bow() {
    for (text, bow) in [
        ("I bought a 58 inch string from you. Brace height is 6 3/4, should be 7 1/2.", None),
        ("It's a 58\" string for my 62\" recurve, brace comes out at 6 3/4.", Some(62.0)),
    ] {
        assert_eq!(values(text, "string_length").first(), Some(&number(58.0)), "{text}");
        let likeliest = values(text, "bow_length").into_iter().next();
        assert!(bow.is_none() || likeliest == bow.map(number), "{text}: {likeliest:?}");
    }
}

#[test]
fn a_gap_in_the_serving_is_one_however_it_is_said() {
    for text in [
        "The serving has a gap.",
        "I can see a gap in the serving.",
        "The serving on the string that you sent me has a small gap.",
        "Hello, the string is good but the centre serving has a gap in the middle of about 1/4 inch. What can I do?",
        "There is a gap about two millimetres wide between the wraps of the serving.",
    ] {
        let read = propose(&read_pasted(text, None).unwrap(), Unit::Inch, &[]);
        let signs: Vec<Symptom> = read.symptoms.iter().map(|found| found.value).collect();
        assert!(
            signs.contains(&Symptom::ServingGap) && read.kind.is_case(),
            "{text}: {signs:?} {:?}",
            read.kind
        );
    }
    let well = propose(&read_pasted("There is no gap in the serving.", None).unwrap(), Unit::Inch, &[]);
    assert!(well.symptoms.is_empty());
}

#[test]
fn the_writer_of_what_is_passed_on_is_known_by_its_head() {
    let of = |head: &str| {
        let text =
            format!("See below.\n\n---------- Forwarded message ---------\n{head}\nDate: Monday\n\nIt is 7.");
        read_pasted(&text, None).unwrap().passed_on_from
    };
    let (tom, address) = (Some("Tom Example".to_owned()), Some("tom@example.org".to_owned()));
    assert_eq!(of("From: Tom Example <tom@example.org>"), (tom.clone(), address.clone()));
    assert_eq!(of("*From:* \"Tom Example\" [mailto:tom@example.org]"), (tom.clone(), address.clone()));
    assert_eq!(of("From: tom@example.org"), (None, address));
    assert_eq!(of("From: Tom Example"), (tom, None));
    assert_eq!(of("Subject: low"), (None, None));
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

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn arbitrary_bytes_do_no_harm(bytes in prop::collection::vec(any::<u8>(), 0..2000)) {
        let _ = read_mail(&bytes);
        let mut mail = HEADERS.as_bytes().to_vec();
        mail.extend_from_slice(&bytes);
        let _ = read_mail(&mail);
        mail.splice(HEADERS.len()..HEADERS.len(), *b"Content-Type: text/html; charset=utf-8\r\n\r\n");
        if let Ok(mail) = read_mail(&mail) {
            let _ = propose(&mail, Unit::Inch, &[]);
        }
    }

    #[test]
    fn arbitrary_headers_are_safe(name in "\\PC{0,40}", encoded in "[A-Za-z0-9+/=_?.-]{0,60}") {
        for value in [name, format!("=?utf-8?b?{encoded}?="), format!("=?utf-8?q?{encoded}?=")] {
            let text = format!("From: {value} <a@example.org>\r\nSubject: {value}\r\n\r\nbrace 7\r\n");
            if let Ok(mail) = read_mail(text.as_bytes()) {
                for header in [mail.from_name, mail.from_address, mail.subject].into_iter().flatten() {
                    prop_assert!(!header.chars().any(is_unsafe), "{header:?}");
                }
            }
        }
    }

    #[test]
    fn words_and_numbers_in_any_order_do_no_harm(
        parts in prop::collection::vec(
            prop_oneof![
                Just("brace height"), Just("string"), Just("bow"), Just("7 3/4"), Just("62"), Just("\""), Just("'"),
                Just("to"), Just("and a half"), Just("turns"), Just("put in"), Just("or"), Just("-"), Just("±"),
                Just("@"), Just("#"), Just("lbs"), Just("1974"), Just("s"), Just(","), Just("."), Just("?"), Just("("),
                Just(")"), Just("between"), Just("not"), Just("if"), Just("½"), Just("→"), Just("hundred"),
                Just("seven"), Just("\n"), Just("\n\n"), Just(":"), Just("S-12"), Just("twice"), Just("|"), Just("..")
            ],
            0..60,
        ),
        spaced in any::<bool>(),
    ) {
        let text = parts.join(if spaced { " " } else { "" });
        let Ok(mail) = read_pasted(&text, None) else { return Ok(()) };
        let read = propose(&mail, Unit::Inch, &["S-12".to_owned(), "62".to_owned()]);
        let symptoms = read.symptoms.iter().map(|found| (found.place, &found.words));
        for (place, words) in symptoms.chain(read.read.iter().chain(&read.likely).map(|found| (found.place, &found.words))) {
            if let Some((start, end)) = place {
                prop_assert_eq!(mail.text.get(start..end), Some(words.as_str()));
            }
        }
    }

    #[test]
    fn arbitrary_text_does_no_harm(text in "\\PC{0,400}") {
        for unit in [Unit::Inch, Unit::Cm, Unit::Mm] {
            if let Ok(mail) = read_pasted(&text, Some(&text)) {
                let _ = propose(&mail, unit, std::slice::from_ref(&text));
            }
        }
    }
}
