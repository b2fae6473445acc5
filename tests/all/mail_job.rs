//! E-mails through the program: nothing is logged unconfirmed, nothing doubtful is logged at all.

use fistmele::danger;
use fistmele::mail::read_mail;
use fistmele::trade::signs::SignOf;
use fistmele::trade::words::Symptom;
use serde_json::Value;

use crate::bare_world::World;

/// A string of an archer who is written to at one address.
fn sold(world: &World, serial: &str, archer: &str, more: &[&str]) {
    let whose = ["--archer", archer, "--email", "maelis@example.org", "--sold-on=2026-01-05"];
    world.sell(serial, &[&whose, more].concat());
}

fn workshop() -> World {
    let world = World::new();
    sold(&world, "S-1", "Maelis Ostwick", &[]);
    world
}

fn mail(from: &str, day: &str, body: &str) -> String {
    format!(
        "From: {from}\r\nTo: bench@example.org\r\nSubject: my string\r\nDate: {day} 10:12:00 +0000\r\nContent-Type: text/plain; charset=utf-8\r\n\r\n{body}\r\n"
    )
}

const DAY: &str = "Mon, 23 Feb 2026";
const BODY: &str = "My brace height is 6 7/8 and should be 7 1/2 to 8.";

fn data(text: &str) -> Value {
    let whole: Value = serde_json::from_str(text).unwrap();
    assert_eq!(whole["schema"], "mail/1");
    whole["data"].clone()
}

#[test]
fn a_mail_is_read_but_not_logged_until_it_is_confirmed() {
    let world = workshop();
    let file = world.write("a mail.eml", mail("Maelis <maelis@example.org>", DAY, BODY));
    let file = file.to_str().unwrap();
    let read = data(&world.ok(&["report", "mail", file, "--json"]));
    assert_eq!(read["string"], "S-1");
    assert_eq!(read["report"], Value::Null);
    assert!(world.ok(&["report", "list"]).contains("No report yet."));
    let logged = data(&world.ok(&["report", "mail", file, "--yes", "--json"]));
    assert_eq!(logged["report"], "R-1");
    let report: Value = serde_json::from_str(&world.ok(&["report", "show", "R-1", "--json"])).unwrap();
    let report = &report["data"];
    assert_eq!(report["received_on"], "2026-02-23");
    assert_eq!(report["symptoms"][0], "brace-low");
    assert_eq!(report["readings"][0]["brace_inch"], 6.875);
    assert_eq!(report["readings"][0]["want_high_inch"], 8.0);
    assert!(report["texts"][0].as_str().unwrap().contains("should be 7 1/2 to 8"));
}

#[test]
fn what_is_doubtful_is_asked_back_in_the_letter_and_never_logged() {
    let world = workshop();
    let body = "My brace height is 6 7/8 or maybe 7 and should be 7 1/2 to 8.";
    let file = world.write("doubt.eml", mail("maelis@example.org", DAY, body));
    let logged = data(&world.ok(&["report", "mail", file.to_str().unwrap(), "--yes", "--json"]));
    let likely = logged["likely"].as_array().unwrap();
    let braces: Vec<f64> =
        likely.iter().filter(|one| one["what"] == "brace").filter_map(|one| one["value"].as_f64()).collect();
    assert!(braces.contains(&6.875) && braces.contains(&7.0), "{logged}");
    let questions = logged["questions"].as_array().unwrap();
    assert!(!questions.is_empty() && questions.len() <= 2, "{logged}");
    let report: Value = serde_json::from_str(&world.ok(&["report", "show", "R-1", "--json"])).unwrap();
    assert_eq!(report["data"]["readings"][0]["brace_inch"], Value::Null);
    // In the letter that asks after danger, and in the one after that.
    let question = questions[0].as_str().unwrap();
    for letter in [["letter", "R-1"].as_slice(), &["letter", "R-1", "--no-danger"]] {
        let letter = world.ok(letter).split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(letter.contains(question), "{question}\n{letter}");
    }
}

#[test]
fn a_second_mail_continues_the_open_report() {
    let world = workshop();
    let first = world.write("first.eml", mail("maelis@example.org", DAY, BODY));
    world.ok(&["report", "mail", first.to_str().unwrap(), "--yes", "--no-danger"]);
    assert!(world.ok(&["letter", "R-1"]).contains("Please put in"));
    let body = "I put in 13 full turns and now the brace height is 7 1/2.";
    let second = world.write("second.eml", mail("maelis@example.org", "Fri, 27 Feb 2026", body));
    let logged = data(&world.ok(&["report", "mail", second.to_str().unwrap(), "--yes", "--json"]));
    assert_eq!(logged["report"], "R-1");
    let report: Value = serde_json::from_str(&world.ok(&["report", "show", "R-1", "--json"])).unwrap();
    assert_eq!(report["data"]["readings"][1]["turns_changed"], 13.0);
    assert_eq!(report["data"]["standing"], "to-answer");
}

#[test]
fn an_address_of_two_archers_or_of_none_needs_the_string_to_be_said() {
    let world = workshop();
    let file = world.write("none.eml", mail("stranger@example.net", DAY, BODY));
    let file = file.to_str().unwrap();
    let said = world.refused(1, &["report", "mail", file, "--yes"]);
    assert!(said.contains("nobody of that address") && said.contains("--string"), "{said}");
    sold(&world, "S-2", "Corvin Ostwick", &[]);
    let file_2 = world.write("two.eml", mail("maelis@example.org", DAY, BODY));
    let said = world.refused(1, &["report", "mail", file_2.to_str().unwrap(), "--yes"]);
    assert!(said.contains("2 archers have that address") && said.contains("S-2"), "{said}");
    assert!(world.ok(&["report", "list"]).contains("No report yet."));
    let logged = data(&world.ok(&["report", "mail", file, "--string", "s-2", "--yes", "--json"]));
    assert_eq!(logged["string"], "S-2");
}

#[test]
fn whoever_wrote_what_is_passed_on_is_found_by_its_head() {
    let world = workshop();
    for (head, named, found) in [
        ("Maelis O <MAELIS@example.org>", true, "S-1"),
        ("maelis ostwick", true, "S-1"),
        ("Somebody Else <else@example.org>", false, ""),
    ] {
        let body = format!(
            "Can you help one of our members?\r\n\r\n-------- Forwarded message --------\r\nFrom: {head}\r\nTo: secretary@example.net\r\n\r\n{BODY}"
        );
        let file = world.write("passed.eml", mail("secretary@example.net", DAY, &body));
        let said = data(&world.ok(&["report", "mail", file.to_str().unwrap(), "--json"]));
        assert_eq!(said["string"].as_str().unwrap_or_default(), found, "{head}: {said}");
        let is_said = said["found_by"].as_str().unwrap().contains("whoever wrote what is passed on");
        assert_eq!(is_said, named, "{head}: {said}");
        assert_eq!(said["new_address"], named, "the secretary's address is not the archer's: {said}");
    }
    // The sender's own string comes first.
    let body = format!("Mine.\r\n\r\n-- Forwarded message --\r\nFrom: else@example.org\r\n\r\n{BODY}");
    let file = world.write("own.eml", mail("maelis@example.org", DAY, &body));
    let said = data(&world.ok(&["report", "mail", file.to_str().unwrap(), "--json"]));
    assert_eq!(said["found_by"], "it is the sender's only string");
}

#[test]
fn what_is_no_mail_says_so_and_logs_nothing() {
    let world = workshop();
    for (name, content, says) in [
        ("empty.eml", Vec::new(), "no e-mail"),
        ("noise.eml", vec![0_u8, 255, 7, 9], "no e-mail"),
        ("large.eml", vec![b'x'; 26 * 1024 * 1024], "at most 25"),
        (
            "picture.eml",
            b"From: a@example.org\r\nContent-Type: image/png\r\nContent-Transfer-Encoding: base64\r\n\r\nAAAA\r\n".to_vec(),
            "no text",
        ),
    ] {
        let file = world.write(name, content);
        let said = world.refused(1, &["report", "mail", file.to_str().unwrap(), "--yes"]);
        assert!(said.contains(says), "{name}: {said}");
    }
    assert!(world.ok(&["report", "list"]).contains("No report yet."));
}

#[test]
fn an_order_in_the_mail_names_the_string_whoever_writes() {
    let world = World::new();
    sold(&world, "S-1", "Maelis Ostwick", &["--order", "OT-4420"]);
    for (from, text) in [
        ("stranger@example.com", "My order is OT-4420. My brace height is 6 7/8."),
        ("", "About ot-4420: my brace height is 6 7/8."),
    ] {
        let file = world.write("a mail.eml", mail(from, DAY, text));
        let read = data(&world.ok(&["report", "mail", file.to_str().unwrap(), "--json"]));
        assert_eq!(read["string"], "S-1", "{from}: {}", read["found_by"]);
    }
    let file = world.write("a mail.eml", mail("", DAY, "My brace height is 6 7/8."));
    let read = data(&world.ok(&["report", "mail", file.to_str().unwrap(), "--json"]));
    assert!(read["found_by"].as_str().unwrap().contains("neither an address"), "{}", read["found_by"]);
}

/// What a sign of danger speaks of where a mail was meant to tell this symptom.
fn kind_of(symptom: Symptom) -> Option<SignOf> {
    match symptom {
        Symptom::BrokenStrand | Symptom::Frayed => Some(SignOf::String),
        Symptom::BowDamage => Some(SignOf::Bow),
        Symptom::DryFire => Some(SignOf::Shot),
        _ => None,
    }
}

#[test]
fn every_danger_in_the_mails_of_the_table_is_a_sign() {
    let cases: Value = serde_json::from_str(include_str!("../data/mails.json")).unwrap();
    let (mut dangers, mut missed) = (0, Vec::new());
    for case in cases.as_array().unwrap() {
        let symptoms = case["expect"]["symptoms"].as_array().cloned().unwrap_or_default();
        let name = case["name"].as_str().unwrap();
        for symptom in symptoms.iter().map(|symptom| symptom.as_str().unwrap().parse().unwrap()) {
            let Some(kind) = kind_of(symptom) else { continue };
            let body = case["text"].as_str().unwrap_or_else(|| panic!("{name} is no plain text"));
            let mail = read_mail(mail("tom@example.org", DAY, body).as_bytes()).unwrap();
            let read = danger::read(mail.subject.as_deref(), &mail.whole);
            dangers += 1;
            if !read.signs.iter().any(|sign| sign.of == kind) {
                missed.push(format!("{name}: {symptom}"));
            }
        }
    }
    assert!(dangers > 12, "{dangers}");
    assert!(missed.is_empty(), "{missed:?}");
}

#[test]
fn a_strand_that_is_cut_is_a_sign_of_the_string_wherever_it_is_said() {
    let world = workshop();
    for text in [
        "A strand at the serving is cut a little, otherwise it fits.",
        "The strands near the loop are partly torn.",
        "I have cut one strand with a broadhead.",
    ] {
        let file = world.write("a mail.eml", mail("maelis@example.org", DAY, text));
        let read = data(&world.ok(&["report", "mail", file.to_str().unwrap(), "--json"]));
        let of_string = |sign: &Value| sign["of"] == "string";
        assert!(read["signs"].as_array().unwrap().iter().any(of_string), "{text}: {}", read["signs"]);
        assert!(!read["damage_signs"].as_array().unwrap().is_empty(), "{text}");
    }
}

#[test]
fn a_mail_that_is_no_case_is_noted_only_when_a_person_says_so() {
    let world = workshop();
    let order = "Good morning, please could I buy a second string, in brown, 14 strands, for a longbow of 68 inches? \
                 What is the price with postage?";
    let file = world.write("order.eml", mail("maelis@example.org", DAY, order));
    let file = file.to_str().unwrap();
    let read = data(&world.ok(&["report", "mail", file, "--yes", "--json"]));
    assert_eq!(
        (&read["kind"], &read["is_case"], &read["report"]),
        (&"order".into(), &false.into(), &Value::Null)
    );
    assert!(world.ok(&["report", "mail", file, "--yes"]).contains("--case"));
    assert!(world.ok(&["report", "list"]).contains("No report yet."));
    // A word of danger makes a case of anything.
    let file =
        world.write("danger.eml", mail("maelis@example.org", DAY, &format!("{order} One strand popped.")));
    let read = data(&world.ok(&["report", "mail", file.to_str().unwrap(), "--json"]));
    assert_eq!(read["is_case"], true);
    let file = world.write("again.eml", mail("maelis@example.org", DAY, order));
    let read = data(&world.ok(&["report", "mail", file.to_str().unwrap(), "--yes", "--case", "--json"]));
    assert_eq!(read["report"], "R-1");
}

#[test]
fn the_subject_what_was_passed_on_and_the_question_above_are_read() {
    let world = workshop();
    let facts = |body: &str| -> Vec<(String, Value)> {
        let file = world.write("parts.eml", mail("maelis@example.org", DAY, body));
        let read = data(&world.ok(&["report", "mail", file.to_str().unwrap(), "--json"]));
        let lines = read["read"].as_array().unwrap().iter().chain(read["likely"].as_array().unwrap());
        lines.map(|line| (line["what"].as_str().unwrap().to_owned(), line["value"].clone())).collect()
    };
    let has = |facts: &[(String, Value)], what: &str, value: Value| facts.contains(&(what.to_owned(), value));
    let quoted = "> What is the brace height now, measured at the grip?\r\n7 1/8\r\n> How many full turns did you put in?\r\n8";
    let read = facts(quoted);
    assert!(has(&read, "brace", 7.125.into()) && has(&read, "turns-changed", 8.0.into()), "{read:?}");
    let copied = "See below.\r\n\r\n-----Original Message-----\r\nFrom: bench@example.org\r\nSent: Monday\r\nTo: Maelis\r\n\r\nWhat is the brace height now?\r\n7 1/8 inches";
    assert!(has(&facts(copied), "brace", 7.125.into()));
    let none = facts("> How many full turns did you put in?\r\nno turns yet");
    assert!(has(&none, "turns-changed", 0.0.into()), "{none:?}");
}

#[test]
fn a_value_alone_behind_its_label_is_sure_unless_the_label_says_more() {
    let world = workshop();
    let sure = |body: &str| -> Vec<String> {
        let file = world.write("label.eml", mail("maelis@example.org", DAY, body));
        let read = data(&world.ok(&["report", "mail", file.to_str().unwrap(), "--json"]));
        let lines = read["read"].as_array().unwrap();
        lines.iter().map(|line| format!("{} {}", line["what"].as_str().unwrap(), line["value"])).collect()
    };
    let filled =
        sure("Hello,\r\n\r\nBrace: 7 1/8\r\nTurns: +3\r\nShots: 150\r\nWanted: 7 1/2 to 8\r\n\r\nThanks");
    for said in ["brace 7.125", "turns-changed 3.0", "shots 150", "want [7.5,8.0]"] {
        assert!(filled.iter().any(|line| line == said), "{said}: {filled:?}");
    }
    for body in [
        "Old brace: 7 3/4\r\nIt is too low.",
        "Friend's brace: 8\r\nMine is lower.",
        "Brace on the card: 7 5/8",
        "Brace yesterday: 7",
        "Old string shots: 900",
    ] {
        let filled = sure(body);
        assert!(
            !filled.iter().any(|line| line.starts_with("brace") || line.starts_with("shots")),
            "{body}: {filled:?}"
        );
    }
}
