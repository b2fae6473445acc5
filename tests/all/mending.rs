//! Mistakes on the page and how they are mended: what is said of them, who is asked, what is asked
//! once more, and what leads back.

use std::collections::BTreeSet;

use axum::body::Body;
use axum::http::{Request, header};
use serde_json::Value;

use crate::bare_world::World;
use crate::counter_pages::{Counter, PORT, marks};

fn data(world: &World, arguments: &[&str]) -> Value {
    let answer: Value = serde_json::from_str(&world.ok(&[arguments, &["--json"]].concat())).unwrap();
    answer["data"].clone()
}

/// A string whose brace height reads 6 7/8 and should be 7 1/2 to 8.
fn reported() -> World {
    let world = World::new();
    world.add_string("S-1");
    let said = "report add S-1 --symptom brace-low --brace 6-7/8 --want 7-1/2..8 --shots 150 --no-danger";
    world.ok(&said.split(' ').collect::<Vec<_>>());
    world
}

fn unescaped(text: &str) -> String {
    [("&#x2f;", "/"), ("&quot;", "\""), ("&#x27;", "'"), ("&lt;", "<"), ("&gt;", ">"), ("&amp;", "&")]
        .into_iter()
        .fold(text.to_owned(), |text, (from, to)| text.replace(from, to))
}

/// The words of a page without its markup.
fn words(html: &str) -> String {
    let mut text = String::new();
    for piece in html.split('<') {
        text.push_str(piece.split_once('>').map_or("", |(_, words)| words));
        text.push(' ');
    }
    unescaped(&text).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What a page says of what went wrong, and of what was done.
fn said_of_it(page: &str) -> Vec<String> {
    let mut said = Vec::new();
    for (mark, end) in [
        ("<div class=\"problem\"", "</div>"),
        ("<p class=\"told\"", "</p>"),
        ("<span class=\"why\"", "</span>"),
    ] {
        for part in page.split(mark).skip(1) {
            let part = part.split(end).next().unwrap();
            said.push(words(&format!("<{part}")));
        }
    }
    said
}

/// A form of a page: where it goes, and its fields with what stands in them.
struct Form {
    action: String,
    fields: Vec<(String, String)>,
}

fn forms(page: &str) -> Vec<Form> {
    let attribute = |tag: &str, name: &str| {
        let value = tag.split_once(&format!(" {name}=\"")).map(|(_, rest)| rest.split('"').next().unwrap());
        value.map(unescaped)
    };
    page.split("<form ")
        .skip(1)
        .filter_map(|part| {
            let form = part.split("</form>").next().unwrap();
            let action = attribute(&format!(" {}", form.split('>').next().unwrap()), "action")?;
            let mut fields = Vec::new();
            for tag in form
                .split('<')
                .filter(|tag| ["input ", "textarea ", "select "].iter().any(|kind| tag.starts_with(kind)))
            {
                let tag = tag.split('>').next().unwrap();
                if let Some(name) = attribute(tag, "name")
                    && !tag.contains("type=\"checkbox\"")
                    && !tag.contains("type=\"file\"")
                {
                    fields.push((name, attribute(tag, "value").unwrap_or_default()));
                }
            }
            form.contains("form-mark").then_some(Form { action, fields })
        })
        .collect()
}

/// Names of fields, options or commands in what is for people to read.
fn of_the_terminal(said: &str) -> bool {
    said.contains("--")
        || said.contains("fistmele ")
        || said.contains(";.")
        || said
            .split(|c: char| !c.is_alphanumeric() && c != '_')
            .any(|word| word.trim_matches('_').contains('_'))
}

/// Strings and reports to make mistakes with: one that is struck, and one to which a letter went out.
fn troubled() -> World {
    let world = reported();
    world.add_string("S-2");
    world.ok(&["report", "add", "S-2", "--symptom", "noisy", "--bow-year", "1999"]);
    world.ok(&["sold", "add", "--route", "unknown", "--archer", "Ann Lee"]);
    world.ok(&["strike", "R-2", "--why", "of another string"]);
    world.ok(&["report", "add", "S-2", "--symptom", "too-short", "--brace", "8-1/2"]);
    world.ok(&["letter", "R-3"]);
    world
}

#[test]
fn what_the_page_refuses_it_says_in_its_own_words() {
    let world = troubled();
    let counter = Counter::on(&world.book);
    let (mut refused, mut told) = (BTreeSet::new(), BTreeSet::new());
    let mut send = |counter: &Counter, form: &Form, typed: &[(&str, &str)]| {
        let kept = form.fields.iter().filter(|(name, _)| !typed.iter().any(|(other, _)| other == name));
        let kept = kept.map(|(name, value)| (name.as_str(), value.as_str()));
        let answer = counter.post(&form.action, &kept.chain(typed.iter().copied()).collect::<Vec<_>>());
        assert!(answer.status < 500, "{}: {}", form.action, answer.text);
        match answer.place {
            Some(place) => told.extend(said_of_it(&counter.get(&place).text)),
            None => refused.extend(said_of_it(&answer.text)),
        }
    };
    // Each field of each form with what cannot be, and with what makes no sense there.
    const LEFT: [&str; 7] = ["form-mark", "seen", "thing", "letter", "who", "wanted", "why"];
    for address in ["/report/R-1", "/report/R-2", "/string/S-2", "/enter", "/bench"] {
        let names: Vec<(usize, String)> = forms(&counter.page(address))
            .iter()
            .enumerate()
            .flat_map(|(at, form)| form.fields.iter().map(move |(name, _)| (at, name.clone())))
            .filter(|(_, name)| !LEFT.contains(&name.as_str()))
            .collect();
        for (at, name) in names {
            for bad in ["x!", "90"] {
                let page = counter.page(address);
                if let Some(form) = forms(&page).get(at)
                    && form.fields.iter().any(|(field, _)| *field == name)
                {
                    send(&counter, form, &[(&name, bad)]);
                }
            }
        }
    }
    // What the book does not let through as things stand.
    let why = ("why", "mistyped");
    for (address, step, typed) in [
        ("/report/R-1", "decide", &[why] as &[_]),
        ("/report/R-1", "decide", &[why, ("turns", "+60")]),
        ("/report/R-1", "decide", &[why, ("remake", "no"), ("length", "58")]),
        ("/report/R-1", "decide", &[why, ("length", "40")]),
        ("/report/R-1", "remake", &[("serial", "S-1")]),
        ("/report/R-1", "remake", &[("length", "40")]),
        ("/report/R-1", "settle", &[("outcome", "adjusted")]),
        ("/report/R-1", "posted", &[]),
        ("/report/R-1", "no-danger", &[]),
        ("/report/R-1", "reading", &[]),
        ("/report/R-1", "reading", &[("received", "2025-01-01"), ("brace", "7")]),
        ("/report/R-1", "reading", &[("turns-changed", "-30")]),
        ("/report/R-1", "reading", &[("bow-year", "1999"), ("brace-range", "7 to 7 1/2")]),
        ("/report/R-1", "letter", &[("letter", "x")]),
        ("/report/R-3", "strike", &[("thing", "R-3/L1"), why]),
        ("/report/R-3", "strike", &[("thing", "R-3/1"), why]),
        ("/report/R-3", "settle", &[("right-length", "57")]),
        ("/report/R-1", "strike", &[("thing", "R-1"), ("why", " ")]),
        ("/report/R-1", "strike", &[("thing", "R-1"), why]),
        ("/report/R-1", "unstrike", &[("thing", "R-1")]),
        ("/report/R-2", "unstrike", &[("thing", "R-2")]),
        ("/string/S-2", "strike", &[("thing", "S-2"), why]),
        ("/string/S-2", "report", &[]),
        ("/string/S-2", "bow", &[("same-as", "S-1")]),
        ("/string/S-2", "bow", &[]),
    ] {
        let world = troubled();
        let counter = Counter::on(&world.book);
        let page = counter.page(address);
        let mut form = forms(&page).into_iter().next().unwrap();
        form.action = format!("{address}/{step}");
        form.fields.retain(|(name, _)| ["form-mark", "seen"].contains(&name.as_str()));
        send(&counter, &form, typed);
    }
    assert!(refused.len() > 60 && told.len() > 5, "{} refusals, {} notices", refused.len(), told.len());
    let bad: Vec<&String> = refused.iter().chain(&told).filter(|said| of_the_terminal(said)).collect();
    assert!(bad.is_empty(), "{bad:#?}");
}

#[test]
fn who_is_at_the_desk_is_remembered_by_the_browser_and_noted_with_what_is_noted() {
    let world = reported();
    let counter = Counter::on(&world.book);
    let page = counter.page("/report/R-1");
    assert!(page.contains("At the desk: RK"), "{page}");
    let send = |address: &str, cookie: Option<&str>, fields: &[(&str, &str)]| {
        let body = form_urlencoded::Serializer::new(String::new()).extend_pairs(fields).finish();
        let mut request = Request::post(address)
            .header(header::HOST, format!("127.0.0.1:{PORT}"))
            .header(header::ORIGIN, format!("http://127.0.0.1:{PORT}"))
            .header(header::REFERER, format!("http://127.0.0.1:{PORT}/report/R-1"))
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded");
        if let Some(cookie) = cookie {
            request = request.header(header::COOKIE, cookie);
        }
        counter.send(request.body(Body::from(body)).unwrap())
    };
    let taken = send("/who", None, &[("who", "Runa Kestle")]);
    assert_eq!((taken.status, taken.place.as_deref()), (303, Some("/report/R-1")));
    let cookie = taken.headers[header::SET_COOKIE].to_str().unwrap();
    assert!(cookie.contains("HttpOnly") && cookie.contains("SameSite=Strict"), "{cookie}");
    let cookie = cookie.split(';').next().unwrap();
    let look = Request::get("/report/R-1")
        .header(header::HOST, format!("127.0.0.1:{PORT}"))
        .header(header::COOKIE, cookie);
    let page = counter.send(look.body(Body::empty()).unwrap()).text;
    assert!(page.contains("At the desk: Runa Kestle"), "{page}");
    let (mark, seen) = marks(&page, "/report/R-1/reading");
    let fields = [("form-mark", mark.as_str()), ("seen", seen.as_str()), ("brace", "7")];
    assert_eq!(send("/report/R-1/reading", Some(cookie), &fields).status, 303);
    let lines = data(&world, &["history", "--report", "R-1"]);
    let by: Vec<&str> =
        lines["lines"].as_array().unwrap().iter().map(|line| line["who"].as_str().unwrap()).collect();
    assert!(by.contains(&"Runa Kestle") && by.contains(&"RK"), "{by:?}");
    let empty = send("/who", None, &[("who", " ")]);
    assert!(empty.status == 422 && empty.text.contains("name"), "{}", empty.text);
}

#[test]
fn an_end_that_looks_wrong_is_asked_once() {
    for (said, right, asked) in [
        (
            "too-short",
            "57",
            Some("said to be too short, yet the right length, 57\", is shorter than the 58\""),
        ),
        ("too-long", "59", Some("said to be too long, yet the right length, 59\", is longer than the 58\"")),
        ("too-short", "59", None),
    ] {
        let world = World::new();
        world.add_string("S-1");
        world.ok(&["report", "add", "S-1", "--symptom", said, "--no-danger"]);
        world.ok(&["letter", "R-1"]);
        let settle = ["settle", "R-1", "--cause", "sizing", "--right-length", right];
        match asked {
            None => {
                world.ok(&settle);
            }
            Some(asked) => {
                let refused = world.refused(1, &settle);
                assert!(refused.contains(asked) && refused.contains("--sure"), "{refused}");
                assert!(!refused.contains("no letter"), "{refused}");
                let counter = Counter::on(&world.book);
                let page = counter.page("/report/R-1");
                assert!(!page.contains("name=\"sure\""), "{page}");
                let form = |page: &str, sure: bool| {
                    let (mark, seen) = marks(page, "/report/R-1/settle");
                    let mut fields = vec![("form-mark", mark), ("seen", seen)];
                    fields.push(("right-length", right.to_owned()));
                    fields.extend(sure.then(|| ("sure", "yes".to_owned())));
                    let fields: Vec<(&str, &str)> =
                        fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
                    counter.post("/report/R-1/settle", &fields)
                };
                let answer = form(&page, false);
                assert_eq!(answer.status, 409);
                assert!(words(&answer.text).contains(asked), "{}", words(&answer.text));
                assert!(answer.text.contains("name=\"sure\""));
                assert_eq!(form(&answer.text, true).status, 303);
            }
        }
        assert_eq!(data(&world, &["report", "show", "R-1"])["standing"], "settled");
    }
}

#[test]
fn an_end_without_a_letter_or_a_brace_height_in_the_range_is_asked_once() {
    let world = reported();
    let refused = world.refused(1, &["settle", "R-1", "--outcome", "adjusted"]);
    assert!(refused.contains("6 7/8\", lies outside the wanted range; no letter"), "{refused}");
    world.ok(&["letter", "R-1"]);
    // Told to turn, and the archer wrote no more.
    world.ok(&["settle", "R-1"]);
    world.ok(&["resume", "R-1"]);
    world.ok(&["reading", "add", "R-1", "--turns-changed", "+9", "--brace", "7-1/4", "--no-danger"]);
    let refused = world.refused(1, &["settle", "R-1", "--outcome", "adjusted"]);
    assert!(refused.contains("7 1/4\", lies outside") && !refused.contains("no letter"), "{refused}");
    world.ok(&["settle", "R-1", "--outcome", "adjusted", "--sure"]);
    // Whoever says that it was left asks for nothing.
    let left = reported();
    left.ok(&["settle", "R-1", "--outcome", "unfinished"]);
}

#[test]
fn of_a_string_of_which_nobody_knows_how_it_was_made_nothing_is_stated() {
    let world = World::new();
    let add = [
        "sold", "add", "--serial", "F-1", "--archer", "Ann Lee", "--route", "unknown", "--kind", "recurve",
        "--marked", "62",
    ];
    world.ok(&add);
    let card = world.ok(&["card", "F-1"]);
    assert!(card.contains("lay not known") && card.contains("middle sits is not known"), "{card}");
    assert!(!card.contains("Z lay") && !card.contains("below the middle"), "{card}");
    let shown = words(&Counter::on(&world.book).page("/string/F-1"));
    assert!(shown.contains("plies not known, lay not known"), "{shown}");
    assert_eq!(data(&world, &["sold", "show", "F-1"])["lay"], Value::Null);
    let sheet = world.ok(&["sheet", "F-1"]).split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(sheet.contains("look which way its plies climb"), "{sheet}");
    let page = Counter::on(&world.book).page("/sheet/F-1");
    assert!(!page.contains("Z lay") && page.contains("look which way its plies climb"), "{page}");
    // What somebody looked at is known.
    world.ok(&[&add[..], &["--serial", "F-2", "--lay", "s", "--other-bow"]]
        .concat()
        .into_iter()
        .enumerate()
        .filter(|(at, _)| ![2, 3].contains(at))
        .map(|(_, word)| word)
        .collect::<Vec<_>>());
    assert!(world.ok(&["card", "F-2"]).contains("S lay"));
}

#[test]
fn a_new_address_that_came_with_a_struck_report_is_taken_back_by_one_press() {
    const MAIL: &str = "From: Somebody Else <else@example.org>\nDate: Fri, 27 Feb 2026 10:00:00 +0000\nSubject: S-1\n\nHello, about S-1: my brace height is 6 7/8 and should be 7 1/2 to 8. I have shot 150 arrows.";
    for by_page in [true, false] {
        let world = World::new();
        world.add_string("S-1");
        let mail = world.write("mail.eml", MAIL);
        let log = ["report", "mail", mail.to_str().unwrap(), "--string", "S-1", "--new-address", "--yes"];
        world.ok(&log);
        let shown = data(&world, &["sold", "show", "S-1"]);
        assert_eq!(shown["archer"]["email"], "else@example.org");
        assert_eq!(
            shown["former_addresses"],
            serde_json::json!([{"email": "odalind@example.org", "until_on": "2026-03-01"}])
        );
        assert!(world.ok(&["sold", "show", "S-1"]).contains("odalind@example.org until 2026-03-01"));
        let struck = data(&world, &["strike", "R-1", "--why", "of another archer"]);
        let notices = struck["notices"].to_string();
        assert!(notices.contains("sold archer S-1 --back-to odalind@example.org"), "{notices}");
        if by_page {
            let counter = Counter::on(&world.book);
            let page = counter.page("/string/S-1");
            let form =
                forms(&page).into_iter().find(|form| form.fields.iter().any(|(name, _)| name == "back-to"));
            let form = form.unwrap();
            let fields: Vec<(&str, &str)> =
                form.fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
            let done = counter.done(&form.action, &fields);
            assert!(words(&done).contains("go to odalind@example.org again"), "{done}");
        } else {
            let refused = world.refused(1, &["sold", "archer", "S-1", "--back-to", "else@example.org"]);
            assert!(refused.contains("there is odalind@example.org"), "{refused}");
            world.ok(&["sold", "archer", "S-1", "--back-to", "odalind@example.org"]);
        }
        let shown = data(&world, &["sold", "show", "S-1"]);
        assert_eq!(shown["archer"]["email"], "odalind@example.org");
        assert_eq!(shown["former_addresses"], serde_json::json!([]));
        world.assert_sound();
    }
    // A report that brought no new address says nothing of one.
    let world = reported();
    assert!(!world.ok(&["strike", "R-1", "--why", "x"]).contains("--back-to"));
}

#[test]
fn whatever_is_struck_stands_in_one_list_and_is_brought_back_from_there() {
    let world = reported();
    world.add_string("S-2");
    assert!(world.ok(&["report", "list", "--struck"]).contains("Nothing is struck"));
    world.ok(&["letter", "R-1"]);
    world.ok(&["strike", "R-1/L1", "--never-sent", "--why", "it lies in the drafts"]);
    world.ok(&["reading", "add", "R-1", "--brace", "7"]);
    world.ok(&["strike", "R-1/2", "--why", "mistyped"]);
    world.ok(&["strike", "S-2", "--why", "entered twice"]);
    let all = ["S-2", "R-1/2", "R-1/L1"];
    let listed = data(&world, &["report", "list", "--struck"]);
    let ids: Vec<&str> = listed.as_array().unwrap().iter().map(|line| line["id"].as_str().unwrap()).collect();
    assert_eq!(ids, all);
    assert_eq!((&listed[1]["struck"]["why"], &listed[1]["what"]), (&"mistyped".into(), &"reading".into()));
    let counter = Counter::on(&world.book);
    let page = counter.page("/reports?standing=struck");
    for id in all {
        assert!(words(&page).contains(id), "{id}: {page}");
    }
    let form = forms(&page).into_iter().find(|form| form.fields.iter().any(|(_, value)| value == "R-1/2"));
    let form = form.unwrap();
    let fields: Vec<(&str, &str)> =
        form.fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    assert!(words(&counter.done(&form.action, &fields)).contains("R-1/2 is brought back"));
    assert_eq!(data(&world, &["report", "list", "--struck"]).as_array().unwrap().len(), 2);
}
