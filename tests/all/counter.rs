//! The counter: the mail job on its pages, what it refuses, and that nothing is lost between
//! several tabs and the command line.

use axum::body::Body;
use axum::http::{Request, header};

use crate::bare_world::World;
use crate::counter_pages::{Counter, PORT, hidden, marks, ticked};

const MAIL: &str = "From: Odalind <odalind@example.org>\nSubject: string\n\nHello, my brace height is 6 7/8 and should be 7 1/2 to 8. I have shot some 150 arrows. Bow is a 66, string 63.";

fn world() -> World {
    let world = World::new();
    world.add_string("S-1");
    world
}

fn logged(world: &World) -> Counter {
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "6-7/8", "--want", "7-1/2..8"]);
    Counter::on(&world.book)
}

#[test]
fn a_pasted_mail_becomes_a_report_a_letter_a_reading_and_an_end() {
    let world = world();
    let counter = Counter::on(&world.book);
    let read = counter.pasted(&[("pasted", MAIL)]);
    // What was read stands in its field, beside the words and marked in the mail.
    assert!(read.text.contains("name=\"brace\" value=\"6 7&#x2f;8&quot;\""), "{}", read.text);
    assert!(read.text.contains(">6 7&#x2f;8</mark>"), "{}", read.text);
    assert!(read.text.contains("value=\"S-1\""));
    // What is only likely is offered beside its field, which stays empty.
    assert!(
        read.text.contains("name=\"marked\" value=\"\"") && read.text.contains("66&quot;?</button>"),
        "{}",
        read.text
    );
    assert_eq!(world.count("report"), 0, "nothing is written down before it is confirmed");

    let (mark, seen) = marks(&read.text, "/mail/log");
    let fields = [
        ("form-mark", mark.as_str()),
        ("seen", seen.as_str()),
        ("string-seen", "S-1"),
        ("string", "S-1"),
        ("pasted", MAIL),
        ("symptom", "brace-low"),
        ("brace", "6 7/8\""),
        ("want", "7 1/2\" to 8\""),
        ("shots", "150"),
    ];
    let report = counter.done("/mail/log", &fields);
    assert!(report.contains("ADJUST") && report.contains("turns in"), "{report}");
    assert!(report.contains("Unstring the bow"), "the cautions stand on the page");
    assert_eq!((world.count("report"), world.count("verdict")), (1, 1));

    // The letter is shown once somebody says that there is no danger, and is noted only once it was sent.
    let listed = || world.ok(&["report", "list"]);
    assert!(!report.contains("Please put in"), "{report}");
    let report = ticked(&counter, &report, "R-1");
    assert!(report.contains("Please put in"), "{report}");
    assert!(listed().contains("to-answer"));
    let (mark, seen) = marks(&report, "/report/R-1/letter");
    let digest = hidden(&report, "/report/R-1/letter", "letter");
    let sent =
        counter.done("/report/R-1/letter", &[("form-mark", &mark), ("seen", &seen), ("letter", &digest)]);
    assert!(sent.contains("with-archer"), "{sent}");
    assert!(listed().contains("with-archer"));

    let (mark, seen) = marks(&sent, "/report/R-1/reading");
    let read = counter.done(
        "/report/R-1/reading",
        &[("form-mark", &mark), ("seen", &seen), ("turns-changed", "+16"), ("brace", "7 11/16")],
    );
    assert!(read.contains("REASSURE"), "{read}");
    let (mark, seen) = marks(&read, "/report/R-1/settle");
    let settled = counter.done("/report/R-1/settle", &[("form-mark", &mark), ("seen", &seen)]);
    assert!(settled.contains("R-1 is closed: put right on the bow"), "{settled}");
    assert!(counter.page("/").contains("Nothing hangs here"));
    let (mark, seen) = marks(&settled, "/report/R-1/resume");
    let resumed = counter.done("/report/R-1/resume", &[("form-mark", &mark), ("seen", &seen)]);
    assert!(resumed.contains("to-answer"), "{resumed}");
    world.assert_sound();
}

#[test]
fn a_replacement_goes_from_the_bench_into_the_post_and_the_old_string_comes_back() {
    let world = world();
    let counter = logged(&world);
    let mut page = counter.page("/report/R-1");
    for (step, said) in
        [("remake", "is on the bench"), ("posted", "was posted"), ("came-back", "S-1 came back")]
    {
        let action = format!("/report/R-1/{step}");
        let (mark, seen) = marks(&page, &action);
        page = counter.done(&action, &[("form-mark", &mark), ("seen", &seen), ("length", "57 1/2")]);
        assert!(page.contains(said), "{step}: {page}");
    }
    assert!(world.ok(&["sold", "show", "S-2"]).contains("57 1/2"));
    world.assert_sound();
}

#[test]
fn the_letter_is_the_one_that_the_command_writes() {
    let world = world();
    let counter = logged(&world);
    let shown = |page: &str| {
        let rest = page.split_once("spellcheck=\"false\">").unwrap().1;
        let shown = rest.split_once("</textarea>").unwrap().0.trim().to_owned();
        shown.replace("&#x2f;", "/").replace("&quot;", "\"").replace("&#x27;", "'")
    };
    // The one that asks, before anybody has said that there is no danger, and the one after that.
    let page = counter.page("/report/R-1");
    let asks = world.ok(&["letter", "R-1"]);
    assert_eq!(shown(&page), asks.trim());
    ticked(&counter, &counter.page("/report/R-1"), "R-1");
    let page = counter.page("/report/R-1");
    let advises = world.ok(&["letter", "R-1"]);
    assert_eq!(shown(&page), advises.trim());
    assert_ne!(asks, advises);
}

#[test]
fn a_page_that_is_out_of_date_says_so_and_changes_nothing() {
    let world = world();
    let counter = logged(&world);
    let (one, other) = (counter.page("/report/R-1"), counter.page("/report/R-1"));
    let (mark, seen) = marks(&one, "/report/R-1/reading");
    counter.done(
        "/report/R-1/reading",
        &[("form-mark", &mark), ("seen", &seen), ("turns-changed", "+4"), ("brace", "7")],
    );
    // The other tab still shows the report without that reading.
    for (step, field) in [("reading", ("brace", "7 1/4")), ("settle", ("cause", "sizing"))] {
        let action = format!("/report/R-1/{step}");
        let (mark, seen) = marks(&other, &action);
        let answer = counter.post(&action, &[("form-mark", &mark), ("seen", &seen), field]);
        assert_eq!(answer.status, 409, "{}", answer.text);
        assert!(answer.text.contains("has moved on"), "{}", answer.text);
        // What was typed is not lost: it stands in the form, which is up to date now.
        if step == "reading" {
            assert!(answer.text.contains("value=\"7 1&#x2f;4\""), "{}", answer.text);
            let (mark, seen) = marks(&answer.text, &action);
            counter.done(&action, &[("form-mark", &mark), ("seen", &seen), field]);
        }
    }
    assert_eq!(world.count("reading"), 3);
    // So does a page that the command line was quicker than.
    let page = counter.page("/report/R-1");
    world.ok(&["reading", "add", "R-1", "--shots", "300"]);
    let (mark, seen) = marks(&page, "/report/R-1/settle");
    let answer = counter.post("/report/R-1/settle", &[("form-mark", &mark), ("seen", &seen)]);
    assert_eq!(answer.status, 409, "{}", answer.text);
    assert!(world.ok(&["report", "list"]).contains("to-answer"));
    world.assert_sound();
}

#[test]
fn a_letter_that_would_read_differently_by_now_is_not_noted_as_sent() {
    let world = world();
    let counter = logged(&world);
    let page = counter.page("/report/R-1");
    world.ok(&["setting", "set", "workshop.name", "Another Bench"]);
    let (mark, seen) = marks(&page, "/report/R-1/letter");
    let digest = hidden(&page, "/report/R-1/letter", "letter");
    let answer =
        counter.post("/report/R-1/letter", &[("form-mark", &mark), ("seen", &seen), ("letter", &digest)]);
    assert_eq!(answer.status, 409);
    assert!(answer.text.contains("reads differently"), "{}", answer.text);
    assert!(world.ok(&["report", "list"]).contains("to-answer"));
}

#[test]
fn two_sendings_of_one_form_log_one_report() {
    let world = world();
    let counter = Counter::on(&world.book);
    let (mark, seen) = marks(&counter.page("/string/S-1"), "/string/S-1/report");
    let fields = [("form-mark", mark.as_str()), ("seen", &seen), ("symptom", "noisy"), ("brace", "7 1/4")];
    let places: Vec<_> = (0..3).map(|_| counter.post("/string/S-1/report", &fields).place).collect();
    assert!(places.iter().all(|place| place.as_deref() == Some("/report/R-1")), "{places:?}");
    assert_eq!(world.count("report"), 1);
}

#[test]
fn foreign_hosts_and_pages_are_refused_before_anything_is_looked_at() {
    let world = world();
    let counter = logged(&world);
    for host in ["evil.example", "evil.example:7465", "127.0.0.1:80", "localhost:9", ""] {
        let request = Request::get("/").header(header::HOST, host).body(Body::empty()).unwrap();
        let answer = counter.send(request);
        assert_eq!(answer.status, 403, "{host}");
        assert!(!answer.text.contains("Odalind"));
    }
    assert_eq!(counter.send(Request::get("/").body(Body::empty()).unwrap()).status, 403);
    let (mark, seen) = marks(&counter.page("/report/R-1"), "/report/R-1/settle");
    let body = format!("form-mark={mark}&seen={seen}");
    let own = format!("http://127.0.0.1:{PORT}");
    for (origin, kind) in [
        (Some("http://evil.example"), "application/x-www-form-urlencoded"),
        (Some("null"), "application/x-www-form-urlencoded"),
        (Some("https://127.0.0.1:7465"), "application/x-www-form-urlencoded"),
        (None, "application/x-www-form-urlencoded"),
        (Some(own.as_str()), "text/plain"),
        (Some(own.as_str()), "application/json"),
    ] {
        let mut request = Request::post("/report/R-1/settle")
            .header(header::HOST, format!("127.0.0.1:{PORT}"))
            .header(header::CONTENT_TYPE, kind);
        if let Some(origin) = origin {
            request = request.header(header::ORIGIN, origin);
        }
        let answer = counter.send(request.body(Body::from(body.clone())).unwrap());
        assert_eq!(answer.status, 403, "{origin:?} {kind}");
    }
    assert!(world.ok(&["report", "list"]).contains("to-answer"));
}

#[test]
fn what_another_site_asks_for_is_refused_before_any_work() {
    let world = world();
    let counter = logged(&world);
    // Without a book any work would end in another error.
    std::fs::remove_file(&world.book).unwrap();
    let ask = |method: &str, more: &[(&str, &str)]| {
        let mut request =
            Request::builder().method(method).uri("/month").header(header::HOST, format!("127.0.0.1:{PORT}"));
        for (name, value) in more {
            request = request.header(*name, *value);
        }
        counter.send(request.body(Body::empty()).unwrap()).status
    };
    for site in ["cross-site", "same-site", "rubbish", ""] {
        assert_eq!(ask("GET", &[("sec-fetch-site", site)]), 403, "{site}");
        assert_eq!(ask("HEAD", &[("sec-fetch-site", site)]), 403, "{site}");
    }
    for origin in ["http://evil.example", "null", "http://127.0.0.1:9"] {
        assert_eq!(ask("GET", &[("origin", origin)]), 403, "{origin}");
    }
    // What is typed into the browser, and what our own pages lead to.
    for site in ["none", "same-origin"] {
        assert_eq!(ask("GET", &[("sec-fetch-site", site)]), 503, "{site}");
    }
    assert_eq!(ask("GET", &[]), 503);
}

#[test]
fn forms_without_our_mark_are_refused_and_the_way_back_is_said() {
    let world = world();
    let counter = logged(&world);
    let (mark, seen) = marks(&counter.page("/report/R-1"), "/report/R-1/settle");
    let forged = mark.replace('.', ".0");
    for mark in ["", "x", "0.0", forged.as_str()] {
        for address in ["/report/R-1/reading", "/report/R-1/settle", "/string/S-1/report", "/mail/log"] {
            let fields = [
                ("form-mark", mark),
                ("seen", &seen),
                ("pasted", MAIL),
                ("string", "S-1"),
                ("symptom", "noisy"),
                ("brace", "7 3/16"),
            ];
            let answer = counter.post(address, &fields);
            assert_eq!(answer.status, 409, "{address}");
            assert!(answer.text.contains("nothing was written down"), "{address}: {}", answer.text);
            // What was typed stands in a form that is ours now.
            let kept = answer.text.contains("7 3&#x2f;16");
            assert!(kept || address.ends_with("settle"), "{address}: {}", answer.text);
        }
    }
    // A mark of ours without the state it was made from is no form of ours either.
    let answer = counter.post("/report/R-1/settle", &[("form-mark", &mark)]);
    assert_eq!(answer.status, 409, "{}", answer.text);
    assert_eq!((world.count("settlement"), world.count("reading")), (0, 1));
}

#[test]
fn every_answer_forbids_foreign_scripts_frames_and_stores() {
    let world = world();
    let counter = logged(&world);
    for address in ["/", "/report/R-1", "/nothing", "/counter.js", "/counter.css", "/month"] {
        let answer = counter.get(address);
        let header = |name: &str| {
            answer.headers.get(name).map(|value| value.to_str().unwrap().to_owned()).unwrap_or_default()
        };
        let policy = header("content-security-policy");
        assert!(
            policy.starts_with("default-src 'none'") && !policy.contains("unsafe"),
            "{address}: {policy}"
        );
        assert!(policy.contains("frame-ancestors 'none'") && policy.contains("form-action 'self'"));
        assert_eq!(header("cache-control"), "no-store", "{address}");
        assert_eq!(header("x-content-type-options"), "nosniff");
        assert_eq!(header("access-control-allow-origin"), "", "{address}");
        // Nothing that the policy would refuse stands in the page.
        for refused in ["<style", "style=", "onclick", "javascript:", "<script>", "http://", "https://"] {
            let ours = answer.text.replace("http://www.w3.org/2000/svg", "");
            let in_page = header("content-type").starts_with("text/html") && ours.contains(refused);
            assert!(!in_page, "{address} holds {refused}");
        }
    }
}

#[test]
fn text_of_archers_and_orders_never_becomes_markup() {
    let world = World::new();
    let hostile = "<script>alert(1)</script>\"'><img src=x onerror=alert(2)>{{ 7*7 }}";
    let serial = "<b>&\"S'/?#";
    world.ok(&[
        "sold",
        "add",
        "--serial",
        serial,
        "--archer",
        hostile,
        "--order",
        hostile,
        "--maker",
        hostile,
        "--colours",
        hostile,
        "--kind",
        "recurve",
        "--route",
        "marked",
        "--stated",
        "62",
        "--yarn",
        "hmpe",
    ]);
    let letter = world.write("letter.txt", format!("{hostile} My brace height is 7."));
    let letter = letter.to_str().unwrap();
    world.ok(&["report", "add", serial, "--symptom", "brace-low", "--brace", "7", "--text", letter]);
    world.ok(&["setting", "set", "workshop.name", hostile]);
    let counter = Counter::on(&world.book);
    let string = counter.found("S'/?#").place.unwrap();
    let pasted = format!("{hostile} My brace height is 7.");
    let read = counter.pasted(&[("pasted", &pasted), ("from", hostile), ("string", serial)]);
    let found = counter.found("scrpt");
    for page in [
        counter.page("/"),
        counter.page("/reports"),
        counter.page("/report/R-1"),
        counter.page(&string),
        counter.page("/rules"),
        counter.page("/month"),
        read.text,
        found.text,
    ] {
        for raw in ["<script>a", "<img", "<b>&", "49"] {
            let page = page.replace(r#"="49""#, "");
            assert!(raw == "49" || !page.contains(raw), "{raw} stands in {page}");
        }
        assert!(!page.contains("alert(1)</script>"), "{page}");
    }
}

#[test]
fn bad_values_are_said_beside_their_fields_and_nothing_is_lost() {
    let world = world();
    let counter = Counter::on(&world.book);
    let page = counter.page("/string/S-1");
    for (field, value, said) in [
        ("brace", "197", "likely meant"),
        ("brace", "abc", "was not taken"),
        ("turns-changed", "many", "was not taken"),
        ("shots", "-3", "will not do"),
        ("bow-year", "3000", "is no year"),
        ("fade-gap", "6", "of the four fade measures"),
        ("at", "loaded", "is missing"),
        ("tips", "golden", "golden"),
        ("symptom", "sad", "sad"),
    ] {
        let (mark, seen) = marks(&page, "/string/S-1/report");
        let answer = counter.post(
            "/string/S-1/report",
            &[("form-mark", &mark), ("seen", &seen), ("text", "It hums."), (field, value)],
        );
        assert_eq!(answer.status, 422, "{field}={value}: {}", answer.text);
        assert!(answer.text.contains(said), "{field}={value}: {}", answer.text);
        assert!(answer.text.contains("role=\"alert\"") && answer.text.contains("It hums."), "{field}");
        if field != "symptom" {
            assert!(answer.text.contains("aria-invalid=\"true\""), "{field}");
        }
        assert!(!answer.text.contains("--"), "an option is named: {field}={value}");
    }
    let (mark, seen) = marks(&page, "/string/S-1/report");
    let nothing = counter.post("/string/S-1/report", &[("form-mark", &mark), ("seen", &seen)]);
    assert_eq!(nothing.status, 409, "{}", nothing.text);
    assert!(nothing.text.contains("at least one symptom"));
    assert_eq!(world.count("report"), 0);
}

#[test]
fn huge_forms_and_broken_ones_are_refused_or_read_and_never_more() {
    let world = world();
    let counter = logged(&world);
    let huge = "x".repeat(2 << 20);
    let answer = counter.post("/mail", &[("pasted", &huge)]);
    assert_eq!(answer.status, 413, "{}", answer.text);
    for body in ["%", "%ff%fe=%00", "&&&===", "form-mark", "a=%F0%9F", "=&=&="] {
        let request = Request::post("/mail")
            .header(header::HOST, format!("localhost:{PORT}"))
            .header(header::ORIGIN, format!("http://localhost:{PORT}"))
            .header(header::CONTENT_TYPE, "application/x-www-form-urlencoded; charset=utf-8");
        let answer = counter.send(request.body(Body::from(body)).unwrap());
        assert_eq!(answer.status, 422, "{body}: {}", answer.text);
    }
    let pasted = "\u{1b}[2J \u{202e} \0 brace height is 7 \u{feff}".to_owned() + &"7 1/2 ".repeat(5000);
    counter.pasted(&[("pasted", &pasted)]);
    for address in ["/report/R-99", "/report/x", "/string/S-99", "/string/%ff", "/found", "/mail/log/x"] {
        let answer = counter.get(address);
        assert!((400..500).contains(&answer.status), "{address}: {}", answer.status);
    }
    for address in
        ["/month?of=2099-01", "/month?of=x", "/report/R-1?turns=99999999999", "/report/R-1?turns=x&told=x"]
    {
        assert!(counter.get(address).status < 500, "{address}");
    }
    world.assert_sound();
}

#[test]
fn a_book_that_was_moved_away_is_named_and_works_again_once_it_is_back() {
    let world = world();
    let counter = logged(&world);
    let elsewhere = world.path("elsewhere.db");
    std::fs::rename(&world.book, &elsewhere).unwrap();
    let answer = counter.get("/report/R-1");
    assert_eq!(answer.status, 503, "{}", answer.text);
    assert!(answer.text.contains("there is no book at") || answer.text.contains("There is no book at"));
    std::fs::rename(&elsewhere, &world.book).unwrap();
    counter.page("/report/R-1");
}

#[test]
fn the_brace_rule_follows_the_turns_that_are_asked_for() {
    let world = world();
    let counter = logged(&world);
    let advised = counter.page("/report/R-1");
    assert!(advised.contains("class=\"brace\"") && advised.contains("(the verdict)"), "{advised}");
    let chosen =
        |page: &str| page.split_once("class=\"chosen\"").unwrap().1.split_once("</p>").unwrap().0.to_owned();
    let asked = chosen(&counter.page("/report/R-1?turns=3"));
    assert!(asked.contains("3 turns in"), "{asked}");
    // What the rule says of a number of turns is what the verdict says of it.
    let json: serde_json::Value = serde_json::from_str(&world.ok(&["advise", "R-1", "--json"])).unwrap();
    let turns = json["data"]["turns"].as_i64().unwrap();
    let chance = (json["data"]["chance_in_range"].as_f64().unwrap() * 100.0).round();
    let said = chosen(&advised);
    assert!(said.contains(&format!("{turns} turns in")) && said.contains(&format!("{chance} %")), "{said}");
}

#[test]
fn looking_at_pages_writes_nothing() {
    let world = world();
    let counter = logged(&world);
    let before = std::fs::read(&world.book).unwrap();
    for address in ["/", "/reports", "/reports?standing=settled", "/string/S-1", "/report/R-1", "/month"] {
        counter.page(address);
    }
    counter.pasted(&[("pasted", MAIL)]);
    counter.found("odalind");
    assert_eq!(std::fs::read(&world.book).unwrap(), before);
}

#[test]
fn the_bench_sums_are_those_of_the_commands() {
    let world = world();
    let counter = Counter::on(&world.book);
    let mut fields = vec![
        ("kind", "longbow"),
        ("length", "63"),
        ("brace", "6 1/8"),
        ("want", "6 3/8 to 6 7/8"),
        ("yarn", "polyester"),
        ("strands", "14"),
        ("turns", "28"),
    ];
    let command = world.ok(&[
        "twist",
        "--kind",
        "longbow",
        "--length",
        "63",
        "--brace",
        "6-1/8",
        "--want",
        "6-3/8..6-7/8",
        "--yarn",
        "polyester",
        "--strands",
        "14",
        "--turns",
        "28",
    ]);
    let answer = counter.post("/bench", &fields);
    let first = command.split_once('.').unwrap().0.split_whitespace().take(3).collect::<Vec<_>>().join(" ");
    assert!(answer.text.contains(&first), "{first}: {}", answer.text);
    assert!(answer.text.contains("Unstring the bow"), "the cautions stand beside the sum");
    fields.push(("sum", "length"));
    assert!(counter.post("/bench", &fields).text.contains("Build it"));
    let answer = counter.post("/bench", &fields[..1]);
    assert!(answer.text.contains("Loaded length of the string&quot; is missing"), "{}", answer.text);
    let answer = counter.post("/bench", &fields[..3]);
    assert_eq!(answer.status, 422);
    assert!(answer.text.contains("is missing"), "{}", answer.text);
}

#[test]
fn the_search_leads_to_the_one_string_or_report_that_is_meant() {
    let world = world();
    let counter = logged(&world);
    let find = |wanted: &str| counter.found(wanted);
    assert_eq!(find("r-1").place.as_deref(), Some("/report/R-1"));
    assert_eq!(find("s-1").place.as_deref(), Some("/string/S-1"));
    assert_eq!(find("quarrie").place.as_deref(), Some("/string/S-1"));
    let near = find("qarrie");
    assert!(near.text.contains("come near") && near.text.contains("Odalind Quarrie"), "{}", near.text);
    assert!(find("zzzz").text.contains("Nothing in the book"));
    assert!(find(" ").text.contains("Type a name"));
}

/// The fields that note a pasted mail as it is proposed, with others.
fn note<'a>(
    read: &str,
    marks: &'a mut (String, String),
    more: &[(&'a str, &'a str)],
) -> Vec<(&'a str, &'a str)> {
    *marks = self::marks(read, "/mail/log");
    let mut fields = vec![("form-mark", marks.0.as_str()), ("seen", marks.1.as_str())];
    fields.extend(more);
    fields
}

#[test]
fn what_the_person_at_the_page_has_filled_in_is_not_asked_of_the_archer() {
    let mail = "From: Odalind <odalind@example.org>\nSubject: string\n\nHello, my brace height is too low, it should be 7 1/2 to 8.";
    let report = |brace: &[(&str, &str)]| {
        let world = world();
        let counter = Counter::on(&world.book);
        let read = counter.pasted(&[("pasted", mail)]).text;
        let mut kept = Default::default();
        let mut fields = vec![
            ("string-seen", "S-1"),
            ("string", "S-1"),
            ("pasted", mail),
            ("symptom", "brace-low"),
            ("want", "7 1/2 to 8"),
        ];
        fields.extend(brace);
        counter.done("/mail/log", &note(&read, &mut kept, &fields))
    };
    let question = "please measure three times from the string straight";
    let asked = report(&[]);
    assert!(asked.contains(question), "{asked}");
    let filled_in = report(&[("brace", "6 7/8")]);
    assert!(!filled_in.contains(question), "{filled_in}");
}

#[test]
fn a_string_that_was_typed_only_now_is_shown_before_anything_is_noted_of_it() {
    let world = world();
    world.ok(&["report", "add", "S-1", "--symptom", "noisy", "--brace", "7-1/4"]);
    let counter = Counter::on(&world.book);
    let mail = MAIL.replace("odalind@", "somebody.else@");
    let read = counter.pasted(&[("pasted", &mail)]).text;
    let (mark, seen) = marks(&read, "/mail/log");
    let mut fields = vec![
        ("form-mark", mark.as_str()),
        ("seen", &seen),
        ("string-seen", ""),
        ("string", "s-1"),
        ("pasted", &mail),
        ("symptom", "brace-low"),
        ("brace", "6 7/8"),
    ];
    let shown = counter.post("/mail/log", &fields);
    assert_eq!(shown.status, 409, "{}", shown.text);
    // Whose it is, that the mail comes from somebody else, and what it would go on with.
    for said in ["Odalind Quarrie", "is not the address of this string", "goes on with", "6 7&#x2f;8"] {
        assert!(shown.text.contains(said), "{said}: {}", shown.text);
    }
    assert_eq!(world.count("reading"), 1);
    let (mark, seen) = marks(&shown.text, "/mail/log");
    (fields[0].1, fields[1].1, fields[2].1) = (&mark, &seen, "S-1");
    fields.push(("separate", "yes"));
    counter.done("/mail/log", &fields);
    assert_eq!(world.count("report"), 2);
}

#[test]
fn a_message_that_is_held_already_is_not_noted_again() {
    let world = world();
    let counter = Counter::on(&world.book);
    let fields = [
        ("string-seen", "S-1"),
        ("string", "S-1"),
        ("pasted", MAIL),
        ("symptom", "brace-low"),
        ("brace", "6 7/8"),
    ];
    let mut kept = Default::default();
    let read = counter.pasted(&[("pasted", MAIL)]).text;
    counter.done("/mail/log", &note(&read, &mut kept, &fields));
    let read = counter.pasted(&[("pasted", MAIL)]).text;
    let again = counter.post("/mail/log", &note(&read, &mut kept, &fields));
    assert_eq!(again.status, 409);
    assert!(again.text.contains("holds this very message already"), "{}", again.text);
    assert_eq!(world.count("reading"), 1);
}

#[test]
fn the_way_back_leads_to_what_was_found_and_read() {
    let world = world();
    let counter = Counter::on(&world.book);
    for (address, fields, said) in [
        ("/find", ("wanted", "qarrie"), "Odalind Quarrie"),
        ("/mail", ("pasted", MAIL), "What the mail says"),
    ] {
        let place = counter.post(address, &[fields]).place.unwrap();
        assert!(!place.contains("qarrie") && !place.contains('?'), "{place}");
        assert!(counter.page(&place).contains(said) && counter.page(&place).contains(said));
    }
    assert_eq!(counter.get("/found/0").place.as_deref(), Some("/"));
    assert_eq!(counter.get("/mail/0").place.as_deref(), Some("/mail"));
}

#[test]
fn where_a_form_was_sent_to_its_page_is_found() {
    let world = world();
    let counter = logged(&world);
    for (address, page) in [
        ("/find", "/"),
        ("/mail/log", "/mail"),
        ("/string/S-1/report", "/string/S-1"),
        ("/report/R-1/reading", "/report/R-1"),
        ("/report/r1", "/report/R-1"),
    ] {
        let answer = counter.get(address);
        assert_eq!((answer.status, answer.place.as_deref()), (303, Some(page)), "{address}");
        counter.page(page);
    }
}

#[test]
fn danger_hangs_first_on_the_peg() {
    let world = world();
    world.add_string("S-2");
    world.ok(&["report", "add", "S-1", "--symptom", "noisy", "--received", "2026-01-10"]);
    world.ok(&["report", "add", "S-2", "--symptom", "broken-strand"]);
    let peg = Counter::on(&world.book).page("/");
    let place = |text: &str| peg.find(text).unwrap_or_else(|| panic!("{text}: {peg}"));
    assert!(place("Danger:") < place("R-1") && place("R-2") < place("R-1"), "{peg}");
}

#[test]
fn only_what_the_program_made_itself_is_put_into_a_page_unescaped() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/counter/pages");
    let mut seen = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let text = std::fs::read_to_string(&path).unwrap();
        for (at, _) in text.match_indices("|safe") {
            let name = text[..at].rsplit([' ', '.', '[']).next().unwrap();
            // The parts of a report in the list of a string: id, standing, and its HTML.
            let ours = name.ends_with("_html") || text[..at].ends_with("report[2]");
            assert!(ours, "{} holds {name}|safe", path.display());
            seen += 1;
        }
    }
    assert!(seen > 5, "the templates were not found");
}
