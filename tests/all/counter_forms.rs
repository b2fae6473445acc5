//! Forms of the counter: each does its work once, none is swallowed, and nothing of a person who was
//! forgotten meanwhile is written or shown.

use std::time::{Duration, Instant};

use crate::bare_world::World;
use crate::counter_pages::{Counter, marks};
use crate::counter_server::Running;

const MAIL: &str = "From: Odalind <odalind@example.org>\nSubject: string\n\nHello from Zanzibarkiste, my brace height is 6 7/8 and should be 7 1/2 to 8.";

fn world() -> World {
    let world = World::new();
    world.add_string("S-1");
    world
}

fn logged(world: &World) -> Counter {
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "6-7/8", "--want", "7-1/2..8"]);
    Counter::on(&world.book)
}

/// The last state of the history that a page was made from, and a mark, of one of its forms.
fn form<'a>(marks: &'a (String, String), fields: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let mut form = vec![("form-mark", marks.0.as_str()), ("seen", marks.1.as_str())];
    form.extend(fields);
    form
}

#[test]
fn no_two_forms_of_a_page_have_one_mark() {
    let world = world();
    let counter = logged(&world);
    for page in [counter.page("/report/R-1"), counter.page("/string/S-1")] {
        let all: Vec<&str> = page.split("name=\"form-mark\" value=\"").skip(1).collect();
        let mut marks: Vec<&str> = all.iter().map(|rest| rest.split_once('"').unwrap().0).collect();
        assert!(!marks.is_empty() && marks.iter().all(|mark| mark.len() > 64), "{page}");
        marks.sort_unstable();
        marks.dedup();
        assert_eq!(marks.len(), all.len());
    }
}

#[test]
fn the_month_sheet_is_that_of_the_book_as_it_is_however_often_it_was_looked_at() {
    let world = world();
    let counter = logged(&world);
    let sheet = counter.page("/month");
    assert!(sheet.contains("1 string delivered"), "{sheet}");
    assert_eq!(counter.page("/month"), sheet);
    world.add_string("S-2");
    assert!(counter.page("/month").contains("2 strings delivered"));
    let before = counter.page("/month");
    world.ok(&["setting", "set", "workshop.name", "The Other Bench"]);
    assert_ne!(counter.page("/month"), before);
    assert!(counter.page("/month?of=2025-01").contains("No string was delivered"));
}

#[test]
fn a_strike_of_an_older_report_is_seen_on_the_month_sheet() {
    let world = world();
    let counter = logged(&world);
    world.ok(&["report", "add", "S-1", "--symptom", "noisy", "--separate"]);
    let before = counter.page("/month");
    world.ok(&["strike", "R-1", "--why", "of another string"]);
    let after = counter.page("/month");
    assert_ne!(after, before);
    assert_eq!(after, Counter::on(&world.book).page("/month"), "as it is made by somebody who saw none");
}

#[test]
fn a_second_form_of_a_page_is_not_swallowed() {
    let world = world();
    let counter = logged(&world);
    let page = counter.page("/report/R-1");
    let (reading, settle) = (marks(&page, "/report/R-1/reading"), marks(&page, "/report/R-1/settle"));
    counter.done("/report/R-1/reading", &form(&reading, &[("turns-changed", "+4"), ("brace", "7")]));
    let other = form(&settle, &[("cause", "sizing"), ("right-length", "57 3/4")]);
    let answer = counter.post("/report/R-1/settle", &other);
    assert_eq!(answer.status, 409, "{}", answer.text);
    assert!(answer.text.contains("has moved on") && answer.text.contains("57 3&#x2f;4"), "{}", answer.text);
    assert_eq!(world.count("settlement"), 0);
    // Sent once more from the page as it is now, it is done.
    let settle = marks(&answer.text, "/report/R-1/settle");
    counter.done("/report/R-1/settle", &form(&settle, &[("cause", "sizing"), ("sure", "yes")]));
    assert_eq!((world.count("settlement"), world.count("reading")), (1, 2));
}

#[test]
fn a_form_that_was_used_says_so_of_other_content_keeps_it_and_writes_nothing() {
    let world = world();
    let counter = logged(&world);
    let reading = marks(&counter.page("/report/R-1"), "/report/R-1/reading");
    let send = |brace: &str| {
        counter.post("/report/R-1/reading", &form(&reading, &[("turns-changed", "+4"), ("brace", brace)]))
    };
    assert_eq!(send("7").status, 303);
    // The very same form, as a second click sends it, leads where the first one led.
    assert_eq!(send("7").place.as_deref(), Some("/report/R-1"));
    let other = send("7 3/16");
    assert_eq!(other.status, 409, "{}", other.text);
    assert!(other.text.contains("out of date") && other.text.contains("7 3&#x2f;16"), "{}", other.text);
    // So does one that is sent to another address under the mark of this one.
    let elsewhere = counter.post("/report/R-1/settle", &form(&reading, &[("cause", "bow")]));
    assert_eq!(elsewhere.status, 409, "{}", elsewhere.text);
    assert_eq!((world.count("reading"), world.count("settlement")), (2, 0));
    let reading = marks(&other.text, "/report/R-1/reading");
    counter.done("/report/R-1/reading", &form(&reading, &[("brace", "7 3/16")]));
    assert_eq!(world.count("reading"), 3);
    world.assert_sound();
}

#[test]
fn a_page_notices_that_the_bow_was_changed_through_another_string() {
    let world = world();
    world.add_string("S-2");
    let counter = logged(&world);
    let page = counter.page("/report/R-1");
    // What happens to the other string alone is none of this page's business.
    world.ok(&["report", "add", "S-2", "--symptom", "noisy"]);
    let letter = marks(&page, "/report/R-1/reading");
    counter.done("/report/R-1/reading", &form(&letter, &[("shots", "200")]));
    let page = counter.page("/report/R-1");
    world.ok(&["bow", "edit", "S-2", "--brace-range", "8..8-1/2"]);
    let settle = marks(&page, "/report/R-1/settle");
    let answer = counter.post("/report/R-1/settle", &form(&settle, &[]));
    assert_eq!(answer.status, 409, "{}", answer.text);
    assert!(answer.text.contains("has moved on"), "{}", answer.text);
    assert_eq!(world.count("settlement"), 0);
}

#[test]
fn nothing_of_a_forgotten_person_is_written_from_a_page_or_shown_from_memory() {
    let world = world();
    let counter = logged(&world);
    let string = counter.page("/string/S-1");
    let report = counter.page("/report/R-1");
    let read = counter.post("/mail", &[("pasted", MAIL)]).place.unwrap();
    let mail = counter.page(&read);
    let found = counter.post("/find", &[("wanted", "odalind of Zanzibarkiste")]).place.unwrap();
    counter.page(&found);
    world.ok(&["forget", "odalind@example.org", "--yes"]);

    let text = "It is Odalind of Zanzibarkiste again.";
    let said = [("symptom", "noisy"), ("brace", "7"), ("text", text)];
    let logged = [
        ("string-seen", "S-1"),
        ("string", "S-1"),
        ("pasted", MAIL),
        ("symptom", "brace-low"),
        // A value that will not do comes after: else the page would be shown again, as good as new.
        ("brace", "197"),
    ];
    for (page, address, fields) in [
        (&string, "/string/S-1/report", &said[..]),
        (&report, "/report/R-1/reading", &said[..]),
        (&mail, "/mail/log", &logged[..]),
    ] {
        let answer = counter.post(address, &form(&marks(page, address), fields));
        assert_eq!(answer.status, 409, "{address}: {}", answer.text);
        assert!(answer.text.contains("was forgotten"), "{address}: {}", answer.text);
        assert!(!answer.text.contains("Zanzibarkiste"), "{address}: {}", answer.text);
    }
    for place in [read, found] {
        let answer = counter.get(&place);
        assert_eq!(answer.status, 303, "{place}: {}", answer.text);
    }
    assert_eq!((world.count("letter_text"), world.count("reading")), (0, 1));
    // What is pasted from now on is kept as ever.
    assert!(counter.pasted(&[("pasted", "brace height is 7")]).text.contains("What the mail says"));
    world.assert_sound();
}

#[test]
fn twelve_forms_on_a_locked_book_are_all_answered_within_the_patience() {
    let world = world();
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "6-7/8"]);
    let patience = Duration::from_secs(2);
    let counter = Running::patient(&world, patience);
    let forms: Vec<(String, String)> =
        (0..12).map(|_| marks(&counter.get("/report/R-1"), "/report/R-1/reading")).collect();
    let other = rusqlite::Connection::open(&world.book).unwrap();
    other.execute_batch("BEGIN IMMEDIATE").unwrap();
    let start = Instant::now();
    std::thread::scope(|threads| {
        let sent: Vec<_> = forms
            .iter()
            .map(|(mark, seen)| {
                let body = format!("form-mark={mark}&seen={seen}&brace=7&shots=12");
                let counter = &counter;
                threads.spawn(move || counter.try_post("/report/R-1/reading", &body))
            })
            .collect();
        for answer in sent {
            let answer = answer.join().unwrap().unwrap();
            assert!(answer.starts_with("HTTP/1.1 503"), "{answer}");
            assert!(answer.contains("for too long") && answer.contains("\"12\""), "{answer}");
            assert!(answer.contains("book.db"), "{answer}");
        }
    });
    // One patience, and the time to make twelve pages.
    assert!(start.elapsed() < patience + Duration::from_secs(3), "{:?}", start.elapsed());
    drop(other);
    assert_eq!(world.count("reading"), 1);
}

#[test]
fn one_press_says_that_it_is_the_same_bow_and_one_that_it_is_another() {
    let world = world();
    world.add_string("S-2");
    world.ok(&["bow", "apart", "S-2"]);
    world.ok(&["bow", "edit", "S-1", "--brace-range", "7-1/2..8"]);
    let counter = Counter::on(&world.book);
    let page = counter.page("/string/S-2");
    assert!(page.contains("It is the same bow") && !page.contains("It is for another bow"), "{page}");
    counter.done("/string/S-2/bow", &form(&marks(&page, "/string/S-2/bow"), &[("same-as", "S-1")]));
    let page = counter.page("/string/S-2");
    assert!(page.contains("7 1&#x2f;2 to 8") || page.contains("7 1/2 to 8"), "{page}");
    assert!(!page.contains("It is the same bow") && page.contains("It is for another bow"), "{page}");
    counter.done("/string/S-2/bow", &form(&marks(&page, "/string/S-2/bow"), &[]));
    assert!(counter.page("/string/S-2").contains("It is the same bow"));
    // A press on a page that is out of date changes nothing and says so.
    let answer = counter.post("/string/S-2/bow", &form(&marks(&page, "/string/S-2/bow"), &[]));
    assert_ne!(answer.status, 200, "{}", answer.text);
    world.assert_sound();
}

#[test]
fn a_mail_that_leads_to_no_string_gives_the_letter_that_asks_which_it_is() {
    let world = world();
    let counter = Counter::on(&world.book);
    let mail = "From: Zebedee <zebedee@example.org>\n\nHello, my string came loose at the fair.";
    let page = counter.pasted(&[("pasted", mail)]).text;
    assert!(page.contains("Dear Zebedee,") && page.contains("serial on the label"), "{page}");
    let known = counter.pasted(&[("pasted", MAIL)]).text;
    assert!(!known.contains("serial on the label that came"), "{known}");
}

#[test]
fn a_letter_on_a_struck_report_is_taken_back_on_its_page() {
    let world = world();
    let counter = logged(&world);
    world.ok(&["letter", "R-1", "--no-danger"]);
    let strike = marks(&counter.page("/report/R-1"), "/report/R-1/strike");
    counter.done("/report/R-1/strike", &form(&strike, &[("thing", "R-1"), ("why", "another archer's")]));
    assert!(counter.page("/").contains("Send the letter that takes it back"), "{}", counter.page("/"));
    let page = counter.page("/report/R-1");
    assert!(page.contains("takes the earlier one back") && page.contains("please put it"), "{page}");
    let digest = page.split("name=\"letter\" value=\"").nth(1).unwrap().split('"').next().unwrap();
    let take_back = marks(&page, "/report/R-1/take-back");
    let other = counter.post("/report/R-1/take-back", &form(&take_back, &[("letter", "0")]));
    assert_eq!(other.status, 409, "{}", other.text);
    let take_back = marks(&counter.page("/report/R-1"), "/report/R-1/take-back");
    counter.done("/report/R-1/take-back", &form(&take_back, &[("letter", digest)]));
    assert!(!counter.page("/report/R-1").contains("I have sent it"));
    assert!(!counter.page("/").contains("takes it back"));
}

#[test]
fn a_struck_string_is_found_by_its_serial() {
    let world = world();
    let counter = logged(&world);
    world.add_string("S-8");
    world.ok(&["strike", "S-8", "--why", "entered twice"]);
    assert_eq!(counter.found("s-8").place.as_deref(), Some("/string/S-8"));
    assert!(counter.page("/string/S-8").contains("entered twice"));
}

#[test]
fn what_was_noted_by_mistake_is_struck_on_its_page_and_brought_back() {
    let world = world();
    let counter = logged(&world);
    world.ok(&["reading", "add", "R-1", "--turns-changed", "+4", "--brace", "6"]);
    let strike = |thing: &str, why: &str| {
        let page = counter.page("/report/R-1");
        let marks = marks(&page, "/report/R-1/strike");
        counter.post("/report/R-1/strike", &form(&marks, &[("thing", thing), ("why", why)]))
    };
    assert_eq!(strike("R-1/2", "mistyped <b>").status, 303);
    let page = counter.page("/report/R-1");
    assert!(
        page.contains("<s>") && page.contains("mistyped &lt;b&gt;") && page.contains("Bring it back"),
        "{page}"
    );
    // Without a reason it is not done, and what was typed stays.
    let answer = strike("R-1", "");
    assert_eq!(answer.status, 409, "{}", answer.text);
    assert!(answer.text.contains("hy it is struck is missing"), "{}", answer.text);
    let answer = strike("R-2", "another report's");
    assert_eq!(answer.status, 404, "{}", answer.text);
    let back = marks(&page, "/report/R-1/unstrike");
    counter.done("/report/R-1/unstrike", &form(&back, &[("thing", "R-1/2")]));
    assert!(!counter.page("/report/R-1").contains("Bring it back"));

    // A page that is out of date strikes nothing.
    let old = marks(&page, "/report/R-1/strike");
    let answer = counter.post("/report/R-1/strike", &form(&old, &[("thing", "R-1"), ("why", "x")]));
    assert_eq!(answer.status, 409, "{}", answer.text);
    assert!(answer.text.contains("has moved on"), "{}", answer.text);

    counter.done(
        "/report/R-1/strike",
        &form(
            &marks(&counter.page("/report/R-1"), "/report/R-1/strike"),
            &[("thing", "R-1"), ("why", "wrong string")],
        ),
    );
    let page = counter.page("/report/R-1");
    assert!(page.contains("<s>Report R-1</s>") && page.contains("wrong string"), "{page}");
    assert!(!page.contains("id=\"letter\"") && !page.contains("/report/R-1/settle"), "{page}");
    assert!(counter.page("/string/S-1").contains("R-1</a>: struck"));
    let back = marks(&page, "/report/R-1/unstrike");
    counter.done("/report/R-1/unstrike", &form(&back, &[("thing", "R-1")]));
    assert!(counter.page("/report/R-1").contains("/report/R-1/settle"));
    world.assert_sound();
}

#[test]
fn danger_is_called_off_by_name_and_a_letter_was_never_sent_on_the_page_too() {
    let world = world();
    world.ok(&["report", "add", "S-1", "--symptom", "dry-fire"]);
    world.ok(&["letter", "R-1"]);
    let counter = Counter::on(&world.book);
    let send = |fields: &[(&str, &str)]| {
        let marks = marks(&counter.page("/report/R-1"), "/report/R-1/strike");
        counter.post("/report/R-1/strike", &form(&marks, fields))
    };
    let answer = send(&[("thing", "R-1/L1"), ("why", "it lies in the drafts")]);
    assert_eq!(answer.status, 409, "{}", answer.text);
    assert!(answer.text.contains("withdrawn by a new letter"), "{}", answer.text);
    assert!(answer.text.contains("value=\"it lies in the drafts\""), "what was typed stays: {}", answer.text);
    let sent = send(&[("thing", "R-1/L1"), ("why", "it lies in the drafts"), ("never-sent", "yes")]);
    assert_eq!(sent.status, 303, "{}", sent.text);
    let answer = send(&[("thing", "R-1"), ("why", "wrong string")]);
    assert_eq!(answer.status, 409, "{}", answer.text);
    assert!(answer.text.contains("holds signs of danger: dry-fire"), "{}", answer.text);
    let sent = send(&[("thing", "R-1"), ("why", "wrong string"), ("call-off", "dry-fire")]);
    assert_eq!(sent.status, 303, "{}", sent.text);
    world.assert_sound();
}

#[test]
fn a_string_is_struck_on_its_page_and_brought_back() {
    let world = world();
    let counter = logged(&world);
    let send = |fields: &[(&str, &str)]| {
        let marks = marks(&counter.page("/string/S-1"), "/string/S-1/strike");
        counter.post("/string/S-1/strike", &form(&marks, fields))
    };
    let answer = send(&[("thing", "S-1"), ("why", "entered twice")]);
    assert_eq!(answer.status, 409, "{}", answer.text);
    assert!(answer.text.contains("R-1 of S-1 is open"), "{}", answer.text);
    world.ok(&["settle", "R-1", "--outcome", "unfinished"]);
    assert_eq!(send(&[("thing", "S-1"), ("why", "entered twice")]).status, 303);
    let page = counter.page("/string/S-1");
    assert!(page.contains("<s>String S-1</s>") && page.contains("entered twice"), "{page}");
    assert!(!page.contains("Note what the archer says of it"), "{page}");
    // Its report is left out with it, and is brought back with it.
    let report = counter.page("/report/R-1");
    assert!(report.contains("<s>Report R-1</s>") && !report.contains("Bring it back"), "{report}");
    counter.done("/string/S-1/unstrike", &form(&marks(&page, "/string/S-1/unstrike"), &[("thing", "S-1")]));
    assert!(counter.page("/string/S-1").contains("Note what the archer says of it"));
    world.assert_sound();
}
