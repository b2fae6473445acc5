//! The form for a reply: it stands below letters and on the card, comes back filled in, and is read.

use serde_json::Value;

use crate::bare_world::World;
use crate::counter_pages::Counter;

const SERIAL: &str = "Ä/7 #3";

fn sold(world: &World, serial: &str) {
    let whose = ["--archer", "Maelis Ostwick", "--email", "maelis@example.org"];
    let bow = ["--marked", "62", "--brace-range", "7-1/2..8", "--sold-on=2026-01-05"];
    world.sell(serial, &[&whose[..], &bow].concat());
}

/// A string with a report that is to be turned.
fn world() -> World {
    let world = World::new();
    sold(&world, SERIAL);
    world.ok(&["report", "add", SERIAL, "--symptom", "brace-low", "--brace", "6-7/8", "--shots", "150"]);
    world
}

fn json(text: &str) -> Value {
    serde_json::from_str::<Value>(text).unwrap()["data"].clone()
}

/// The lines of a letter from that with the serial on.
fn form_of(letter: &str) -> Vec<&str> {
    letter.lines().skip_while(|line| !line.starts_with("String serial:")).collect()
}

/// A form with answers behind the beginnings of its lines, each line behind a mark.
fn filled(form: &[&str], mark: &str, answers: &[(&str, &str)]) -> String {
    let line = |line: &&str| {
        let answer = answers.iter().find(|(begins, _)| line.starts_with(begins));
        format!("{mark}{line} {}\n", answer.map_or("", |(_, answer)| *answer))
    };
    form.iter().map(line).collect()
}

fn sent(world: &World, from: &str, body: &str) -> String {
    let mail = format!(
        "From: {from}\r\nSubject: Re: your string\r\nContent-Type: text/plain; charset=utf-8\r\n\r\n{body}\r\n"
    );
    world.write("reply.eml", mail).to_str().unwrap().to_owned()
}

fn read(world: &World, body: &str) -> Value {
    json(&world.ok(&["report", "mail", &sent(world, "m@example.org", body), "--json"]))
}

fn value(read: &Value, what: &str) -> Value {
    let lines = read["read"].as_array().unwrap();
    lines.iter().find(|line| line["what"] == what).map_or(Value::Null, |line| line["value"].clone())
}

const SOUND: [(&str, &str); 3] = [("Any strand", "no"), ("Any crack", "No."), ("Any shot", "none")];

#[test]
fn a_letter_that_asks_carries_the_form_and_the_reply_is_read_with_certainty() {
    let world = world();
    let letter = world.ok(&["letter", "R-1", "--no-danger"]);
    assert!(letter.contains("\n\nTo answer, fill in these lines behind the colons"), "{letter}");
    let form = form_of(&letter);
    assert_eq!(form.len(), 8, "{letter}");
    let measured = [("Brace", "7,25"), ("Full", "+6 (hard work)"), ("Shots", "about 180"), ("Read", "strip")];
    let answers = [&measured[..], &SOUND[..]].concat();
    let body = format!(
        "Hello, thank you, here it is.\n\nOn 2 March 2026 the workshop wrote:\n> Dear Maelis,\n> Please put in 9 full turns.\n{}",
        filled(&form, "> ", &answers)
    );
    let said = read(&world, &body);
    assert_eq!(said["string"], SERIAL);
    assert_eq!(said["found_by"], "its serial or order stands in the mail");
    assert_eq!(value(&said, "brace"), 7.25);
    assert_eq!(value(&said, "by"), "strip");
    assert_eq!(value(&said, "turns-changed"), 6.0);
    assert_eq!(value(&said, "shots"), 180);
    assert_eq!(said["questions"], Value::Array(Vec::new()));
    assert_eq!(said["signs"], Value::Array(Vec::new()), "{said}");
    assert_eq!(said["denied"].as_array().unwrap().len(), 3);
    let file = world.path("reply.eml");
    world.ok(&["report", "mail", file.to_str().unwrap(), "--yes"]);
    let report = json(&world.ok(&["report", "show", "R-1", "--json"]));
    let reading = &report["readings"][1];
    assert_eq!((&reading["brace_inch"], &reading["read_by"]), (&Value::from(7.25), &Value::from("strip")));
    assert_eq!((&reading["turns_changed"], &reading["shots"]), (&Value::from(6.0), &Value::from(180)));
    let kept = report["texts"].as_array().unwrap().last().unwrap().as_str().unwrap();
    assert!(kept.ends_with("Any shot without an arrow (yes/no): none"), "{kept}");
    let shown = world.ok(&["report", "show", "R-1"]);
    assert!(shown.contains("brace height 7 1/4\" by paper strip"), "{shown}");
}

#[test]
fn the_page_fills_its_fields_from_the_form() {
    let world = world();
    let letter = world.ok(&["letter", "R-1", "--no-danger"]);
    let answers =
        [("Brace", "7 1/4, 7 1/4"), ("Full", "+6"), ("Read", "strip"), SOUND[0], SOUND[1], SOUND[2]];
    let pasted = filled(&form_of(&letter), "> ", &answers);
    let page = Counter::on(&world.book).pasted(&[("pasted", &pasted), ("from", "m@example.org")]).text;
    for part in [
        "name=\"brace\" value=\"7 1&#x2f;4&quot;\"",
        "name=\"turns-changed\" value=\"+6\"",
        "name=\"readings\" value=\"2\"",
        "Brace height: <mark",
    ] {
        assert!(page.contains(part), "{part}: {page}");
    }
    // Each figure is marked behind its own label, though another line begins with the same figure.
    let answers = [("Brace", "7 1/4"), ("Shots", "7"), SOUND[0], SOUND[1], SOUND[2]];
    let same = filled(&form_of(&letter), "> ", &answers);
    let marked = Counter::on(&world.book).pasted(&[("pasted", &same), ("from", "m@example.org")]).text;
    for part in ["Brace height: <mark", "Shots with this string: <mark", ">7 1&#x2f;4</mark>", ">7</mark>"] {
        assert!(marked.contains(part), "{part}: {marked}");
    }
    let by = page.split("name=\"by\"").nth(1).unwrap().split("</select>").next().unwrap();
    let chosen = by.split("<option").find(|option| option.contains("selected")).unwrap();
    assert!(chosen.contains("strip"), "{by}");
}

#[test]
fn anything_but_a_plain_no_is_a_sign_that_is_asked_about() {
    let world = world();
    let letter = world.ok(&["letter", "R-1", "--no-danger"]);
    let form = form_of(&letter);
    let signs = |answer: &str| {
        let answers = [("Brace", "7 1/4"), ("Any strand", answer), SOUND[1], SOUND[2]];
        let said = read(&world, &filled(&form, "", &answers));
        assert_eq!(value(&said, "brace"), 7.25);
        let of: Vec<String> = said["signs"]
            .as_array()
            .unwrap()
            .iter()
            .map(|sign| format!("{} {}", sign["of"].as_str().unwrap(), sign["sure"]))
            .collect();
        (of, said["denied"].as_array().unwrap().len())
    };
    assert_eq!(signs("no"), (Vec::new(), 2 + 1));
    for doubtful in ["", "not sure", "no, but one is thin", "maybe", "?", "fine"] {
        let (of, denied) = signs(doubtful);
        assert!(of.contains(&"string false".to_owned()), "{doubtful}: {of:?}");
        assert_eq!(denied, 2, "{doubtful}");
    }
    assert!(signs("yes").0.contains(&"string true".to_owned()));
    // What is told beside it is read as well.
    let (of, _) = signs("no. But the upper limb has cracked");
    assert!(of.iter().any(|of| of.starts_with("bow")), "{of:?}");
}

#[test]
fn an_older_form_that_is_quoted_says_nothing_of_today() {
    let world = world();
    let letter = world.ok(&["letter", "R-1", "--no-danger"]);
    let form = form_of(&letter);
    let old = [("Brace", "6 3/4"), SOUND[0], SOUND[1], SOUND[2]];
    let new = filled(&form, "> ", &[("Brace", "7 1/4")]);
    let said = read(&world, &format!("{new}> On Monday you wrote:\n{}", filled(&form, "> > ", &old)));
    assert_eq!(value(&said, "brace"), 7.25);
    assert_eq!(said["denied"], Value::Array(Vec::new()), "{said}");
    // One that nobody filled in says nothing at all, and what is written above it is read.
    let said = read(&world, &format!("My brace height is 7 3/8 now.\n{}", filled(&form, "> ", &[])));
    assert_eq!(value(&said, "brace"), 7.375);
    assert_eq!((said["signs"].as_array().unwrap().len(), said["denied"].as_array().unwrap().len()), (0, 0));
}

#[test]
fn what_a_line_leaves_open_is_asked_and_not_logged() {
    let world = world();
    let letter = world.ok(&["letter", "R-1", "--no-danger"]);
    let form = form_of(&letter);
    let answers = [("Brace", "72"), ("Full", "6"), ("Shots", "200"), SOUND[0], SOUND[1], SOUND[2]];
    let said = read(&world, &filled(&form, "", &answers));
    assert_eq!((value(&said, "brace"), value(&said, "turns-changed")), (Value::Null, Value::Null));
    assert_eq!(value(&said, "shots"), 200);
    let questions = said["questions"].to_string();
    assert!(questions.contains("Brace height: 72") && questions.contains("taken out"), "{questions}");
    let twice = filled(&form, "", &[("Brace", "7")]) + &filled(&form, "", &[("Brace", "8")]);
    let said = read(&world, &twice);
    assert_eq!(value(&said, "brace"), Value::Null);
    assert!(said["questions"].to_string().contains("which of the two holds"), "{said}");
}

#[test]
fn before_danger_is_ruled_out_the_form_asks_for_nothing_on_a_strung_bow() {
    let world = world();
    let letter = world.ok(&["letter", "R-1"]);
    let form = form_of(&letter);
    assert_eq!(form.len(), 4, "{letter}");
    let said = read(&world, &filled(&form, "> ", &SOUND));
    assert_eq!(said["denied"].as_array().unwrap().len(), 3);
    for kind in ["receipt", "look-over"] {
        let carries = world.ok(&["letter", "R-1", "--of", kind]).contains("String serial:");
        assert_eq!(carries, kind == "look-over", "{kind}");
    }
}

#[test]
fn the_card_asks_for_one_reading_with_a_code_where_the_workshop_has_an_address() {
    let world = world();
    let card = json(&world.ok(&["card", SERIAL, "--json"]));
    assert_eq!(card["reply"]["mailto"], Value::Null);
    assert_eq!(card["reply"]["form"][0], format!("String serial: {SERIAL}"));
    let page = world.path("card.html");
    world.ok(&["card", SERIAL, "--html", page.to_str().unwrap()]);
    let html = std::fs::read_to_string(&page).unwrap();
    assert!(html.contains("One reading, please") && !html.contains("<svg"), "{html}");
    let refused = world.refused(1, &["setting", "set", "workshop.email", "not an address"]);
    assert!(refused.contains("an address with one @"), "{refused}");
    world.ok(&["setting", "set", "workshop.email", "post@example.org"]);
    let card = json(&world.ok(&["card", SERIAL, "--json"]));
    let link = card["reply"]["mailto"].as_str().unwrap().to_owned();
    assert!(link.starts_with("mailto:post@example.org?subject=String%20%C3%84%2F7%20%233&body="), "{link}");
    world.ok(&["card", SERIAL, "--html", page.to_str().unwrap(), "--replace"]);
    assert!(std::fs::read_to_string(&page).unwrap().contains("<svg class=\"code\""));
    // Whoever points a telephone at it and fills it in is read, from whatever address.
    let body = form_urlencoded::parse(link.split_once("&body=").unwrap().1.replace('=', "%3D").as_bytes())
        .next()
        .unwrap()
        .0
        .into_owned();
    let said = read(&world, &body.replace("Brace height:", "Brace height: 18,4 cm, 18,5 cm"));
    assert_eq!((&said["string"], value(&said, "readings")), (&Value::from(SERIAL), Value::from(2)));
    assert!((value(&said, "brace").as_f64().unwrap() - 18.45 / 2.54).abs() < 1e-9);
}

#[test]
fn a_reading_by_strip_counts_less_than_one_by_ruler() {
    let of = |by: &[&str]| {
        let world = World::new();
        sold(&world, "S-1");
        world.ok(&[&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7"], by].concat());
        json(&world.ok(&["advise", "R-1", "--json"]))["brace_after_sd_inch"].as_f64().unwrap()
    };
    let (ruler, strip) = (of(&["--by", "ruler"]), of(&["--by", "strip"]));
    assert_eq!(of(&[]), ruler);
    assert!(strip > ruler, "{strip} {ruler}");
    // Three by the same strip are no better than one.
    assert_eq!(of(&["--by", "strip", "--readings", "3"]), strip);
    let refused = world().refused(2, &["reading", "add", "R-1", "--by", "strip"]);
    assert!(refused.contains("--brace"), "{refused}");
}

#[test]
fn a_form_of_a_string_that_is_struck_names_the_strike_and_goes_to_no_other_string() {
    let world = world();
    let letter = world.ok(&["letter", "R-1", "--no-danger"]);
    let form = filled(&form_of(&letter), "", &[("Brace height", "7 1/4")]);
    world.ok(&["strike", "R-1", "--why", "of another archer"]);
    world.ok(&["strike", SERIAL, "--why", "entered twice"]);
    for others in 0..3 {
        if others > 0 {
            sold(&world, &format!("S-{others}"));
        }
        let mail = sent(&world, "maelis@example.org", &form);
        let refused = world.refused(1, &["report", "mail", "--yes", &mail]);
        let said = refused.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(said.contains(&format!("{SERIAL} is struck on")), "{others} others: {said}");
        assert!(said.contains("entered twice") || said.contains("unstrike"), "{said}");
    }
}

#[test]
fn done_as_told_is_the_turns_of_our_letter_by_one_press() {
    let world = world();
    let mail = |words: &str| {
        let file = sent(&world, "maelis@example.org", &format!("{words} It now reads 7 7/16.\n"));
        json(&world.ok(&["report", "mail", &file, "--json"]))
    };
    let likely = |said: &Value| {
        let lines = said["likely"].as_array().unwrap().clone();
        lines.into_iter().find(|line| line["what"] == "turns-changed").map(|line| line["value"].clone())
    };
    assert_eq!(likely(&mail("I did exactly what you told me.")), None, "no letter told anything yet");
    let advice = json(&world.ok(&["advise", "R-1", "--json"]));
    world.ok(&["letter", "R-1", "--no-danger"]);
    for words in [
        "I did exactly what you told me.",
        "Done as you said in your letter.",
        "I followed the instructions.",
        "Did all your turns.",
    ] {
        let said = mail(words);
        assert_eq!(likely(&said), Some(advice["turns"].as_f64().unwrap().into()), "{words}: {said}");
        assert_eq!(value(&said, "turns-changed"), Value::Null, "{words}: nobody counted them");
    }
    // What the mail counts itself counts.
    let said = mail("I did exactly what you told me and put 9 turns in.");
    let counted = [value(&said, "turns-changed"), likely(&said).unwrap_or_default()];
    assert!(counted.contains(&9.0.into()), "{said}");
}
