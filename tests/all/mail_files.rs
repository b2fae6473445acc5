//! Mails that come to the counter as files: what is taken, what is refused and why.

use axum::body::Body;
use axum::http::{Request, header};

use crate::bare_world::World;
use crate::counter_pages::{Answer, Counter, PORT, hidden, marks, ticked};

const MAIL: &str = "From: Odalind <odalind@example.org>\r\nSubject: my string\r\nDate: Fri, 27 Feb 2026 10:00:00 +0000\r\n\r\nHello, my brace height is 6 7/8 and should be 7 1/2 to 8, after about 150 shots.\r\n";

fn world() -> World {
    let world = World::new();
    world.add_string("S-1");
    world
}

fn send(counter: &Counter, files: &[(&str, &[u8])]) -> Answer {
    let mut body = Vec::new();
    for (name, bytes) in files {
        let head = format!(
            "--edge\r\nContent-Disposition: form-data; name=\"file\"; filename=\"{name}\"\r\nContent-Type: message/rfc822\r\n\r\n"
        );
        body.extend_from_slice(head.as_bytes());
        body.extend_from_slice(bytes);
        body.extend_from_slice(b"\r\n");
    }
    body.extend_from_slice(b"--edge--\r\n");
    sent(counter, "multipart/form-data; boundary=edge", body)
}

fn sent(counter: &Counter, kind: &str, body: Vec<u8>) -> Answer {
    let request = Request::post("/mail/files")
        .header(header::HOST, format!("127.0.0.1:{PORT}"))
        .header(header::ORIGIN, format!("http://127.0.0.1:{PORT}"))
        .header(header::CONTENT_TYPE, kind);
    counter.send(request.body(Body::from(body)).unwrap())
}

fn with_attachment(megabytes: usize) -> Vec<u8> {
    let head = "From: Odalind <odalind@example.org>\r\nContent-Type: multipart/mixed; boundary=x\r\n\r\n--x\r\nContent-Type: text/plain\r\n\r\nHello, my brace height is 6 7/8.\r\n--x\r\nContent-Type: image/jpeg\r\nContent-Transfer-Encoding: base64\r\n\r\n";
    let mut mail = head.as_bytes().to_vec();
    let line = format!("{}\r\n", "QUJD".repeat(19));
    while mail.len() < megabytes * 1024 * 1024 - 200 {
        mail.extend_from_slice(line.as_bytes());
    }
    mail.extend_from_slice(b"--x--\r\n");
    mail
}

#[test]
fn one_file_is_read_as_a_pasted_mail_is_and_noted() {
    let world = world();
    let counter = Counter::on(&world.book);
    let place = send(&counter, &[("a.eml", MAIL.as_bytes())]).place.unwrap();
    let page = counter.page(&place);
    assert!(page.contains("value=\"S-1\"") && page.contains("2026-02-27"), "{page}");
    assert!(page.contains(">6 7&#x2f;8</mark>"), "{page}");
    let (mark, seen) = marks(&page, "/mail/log");
    let kept =
        page.split_once("<textarea name=\"pasted\" hidden>").unwrap().1.split_once("</textarea>").unwrap().0;
    let kept = kept.replace("&#x2f;", "/").replace("&lt;", "<").replace("&gt;", ">").replace("&quot;", "\"");
    let fields = [
        ("form-mark", mark.as_str()),
        ("seen", &seen),
        ("string-seen", "S-1"),
        ("string", "S-1"),
        ("pasted", &kept),
        ("brace", "6 7/8"),
        ("want", "7 1/2 to 8"),
        ("take", "all"),
    ];
    let report = counter.done("/mail/log", &fields);
    assert!(report.contains("ADJUST"), "{report}");
    // The same mail once more is told before anybody notes it again.
    let place = send(&counter, &[("again.eml", MAIL.as_bytes())]).place.unwrap();
    assert!(counter.page(&place).contains("holds this very message already"));
}

#[test]
fn a_mail_of_25_mb_is_read_and_a_larger_one_refused_with_its_size() {
    let world = world();
    let counter = Counter::on(&world.book);
    let start = std::time::Instant::now();
    let place = send(&counter, &[("large.eml", &with_attachment(25))]).place.unwrap();
    let page = counter.page(&place);
    assert!(page.contains("6 7&#x2f;8</mark>") && page.contains("1 attached, not read"), "{page}");
    println!("25 MB: {:.1} s", start.elapsed().as_secs_f64());
    assert!(start.elapsed().as_secs() < 20, "{:?}", start.elapsed());
    let place = send(&counter, &[("larger.eml", &with_attachment(31))]).place.unwrap();
    assert!(
        counter.page(&place).contains("larger.eml was not read: the mail has 31 MB, and at most 25 are read")
    );
}

#[test]
fn of_two_strings_each_has_its_own_fields_and_is_noted_with_what_stands_there() {
    let world = World::new();
    for (serial, kind, marked) in [("S-1", "recurve", "66"), ("S-2", "longbow", "62")] {
        let line = format!(
            "sold add --serial {serial} --archer Odalind --email odalind@example.org --kind {kind} --marked {marked} \
             --tips reinforced --route marked --stated {marked} --yarn hmpe --strands 16 --turns 24 --sold-on 2026-02-02"
        );
        world.ok(&line.split(' ').collect::<Vec<_>>());
    }
    let counter = Counter::on(&world.book);
    let mail = "From: Odalind <odalind@example.org>\n\nHello, the brace height of the 66 in one is 7 1/4 now, \
        the brace height of the 62 in one is 6 1/2 now. Both came out too long.";
    let page = counter.pasted(&[("pasted", mail)]).text;
    for field in ["name=\"brace@S-1\"", "name=\"brace@S-2\""] {
        assert!(page.contains(field), "{page}");
    }
    // A likely value is one press, with its own string's name; the other string's is not among them.
    let of = |serial: &str| {
        page.split(&format!("<legend>{serial}:")).nth(1).unwrap().split("</fieldset>").next().unwrap()
    };
    assert!(of("S-1").contains("7 1&#x2f;4") && !of("S-1").contains("<mark>6 1&#x2f;2"), "{page}");
    assert!(of("S-2").contains("6 1&#x2f;2") && !of("S-2").contains("<mark>7 1&#x2f;4"), "{page}");
    let (mark, _) = marks(&page, "/mail/log");
    let seen = hidden(&page, "action=\"/mail/log\"", "each-seen");
    let place = counter
        .post(
            "/mail/log",
            &[
                ("form-mark", mark.as_str()),
                ("seen", "0"),
                ("each-seen", seen.as_str()),
                ("each", "yes"),
                ("pasted", mail),
                ("symptom@S-1", "too-long"),
                ("brace@S-1", "7 1/4"),
                ("symptom@S-2", "too-long"),
                ("brace@S-2", "6 5/8"),
            ],
        )
        .place
        .unwrap();
    assert!(place.starts_with("/together/R-1,R-2"), "{place}");
    let read = |report: &str| {
        let shown: serde_json::Value =
            serde_json::from_str(&world.ok(&["report", "show", report, "--json"])).unwrap();
        (
            shown["data"]["string"].as_str().unwrap().to_owned(),
            shown["data"]["readings"][0]["brace_inch"].as_f64(),
        )
    };
    let mut all = [read("R-1"), read("R-2")];
    all.sort_by(|a, b| a.0.cmp(&b.0));
    assert_eq!(all, [("S-1".to_owned(), Some(7.25)), ("S-2".to_owned(), Some(6.625))]);
}

#[test]
fn a_mail_about_each_string_of_an_order_gets_one_letter() {
    let world = World::new();
    for serial in ["S-1", "S-2"] {
        let whose = ["--archer", "Odalind", "--email", "odalind@example.org", "--order", "O-17"];
        world.sell(serial, &[&whose[..], &["--marked", "62", "--sold-on", "2026-02-02"]].concat());
    }
    let counter = Counter::on(&world.book);
    let mail = "From: Odalind <odalind@example.org>\n\nHello, both strings of order O-17 brace at 6 7/8 and should be at 7 1/2 to 8.";
    let page = counter.pasted(&[("pasted", mail)]).text;
    assert!(page.contains("Note it with each"), "{page}");
    // What is said of both stands with each.
    for serial in ["S-1", "S-2"] {
        assert!(page.contains(&format!("name=\"brace@{serial}\" value=\"6 7&#x2f;8&quot;\"")), "{page}");
    }
    let fields = |page: &str| {
        let (mark, _) = marks(page, "/mail/log");
        let seen = hidden(page, "action=\"/mail/log\"", "each-seen");
        [
            ("form-mark", mark),
            ("seen", "0".to_owned()),
            ("each-seen", seen),
            ("each", "yes".to_owned()),
            ("pasted", mail.to_owned()),
            ("brace", "6 7/8".to_owned()),
            ("want", "7 1/2 to 8".to_owned()),
        ]
    };
    // Something happened to one of them since the page was made.
    let old = fields(&page);
    world.ok(&["report", "add", "S-2", "--symptom", "noisy"]);
    world.ok(&["settle", "R-1", "--outcome", "reassured", "--sure"]);
    let sent = |fields: &[(&str, String)], address: &str| {
        counter.post(address, &fields.iter().map(|(name, value)| (*name, value.as_str())).collect::<Vec<_>>())
    };
    assert_eq!(sent(&old, "/mail/log").status, 409);
    let place = sent(&fields(&counter.pasted(&[("pasted", mail)]).text), "/mail/log").place.unwrap();
    assert!(place.starts_with("/together/R-2,R-3"), "{place}");
    let page = counter.page(&place);
    assert!(page.contains("ADJUST") || page.contains("adjust"), "{page}");
    assert!(!page.contains("Please put in"), "no string is turned before danger is ruled out: {page}");
    let (mark, seen) = marks(&page, "/together/R-2,R-3/no-danger");
    let page = counter
        .done("/together/R-2,R-3/no-danger", &[("form-mark", &mark), ("seen", &seen), ("no-danger", "yes")]);
    assert!(page.contains("strings S-2 and S-1") || page.contains("S-2 and S-1"), "{page}");
    let (mark, seen) = marks(&page, "/together/R-2,R-3/letter");
    let letter = hidden(&page, "/together/R-2,R-3/letter", "letter");
    let other = [("form-mark", mark.as_str()), ("seen", &seen), ("letter", "0")];
    assert_eq!(counter.post("/together/R-2,R-3/letter", &other).status, 409);
    let page = counter
        .done("/together/R-2,R-3/letter", &[("form-mark", &mark), ("seen", &seen), ("letter", &letter)]);
    assert!(page.contains("the letter was sent, about R-2, R-3"), "{page}");
    assert_eq!(world.ok(&["report", "list"]).matches("with-archer").count(), 2);
    world.assert_sound();
    for address in ["/together/R-9", "/together/x", "/together/R-2,R-2"] {
        assert!(matches!(counter.get(address).status, 400..500), "{address}");
    }
}

#[test]
fn word_that_it_fits_goes_on_with_the_open_report_and_gets_a_short_letter() {
    let world = world();
    let counter = Counter::on(&world.book);
    let mail = "From: Odalind <odalind@example.org>\n\nHi, put in the turns you said and now it fits perfectly. Many thanks, I am very happy with it!";
    let page = counter.pasted(&[("pasted", mail)]).text;
    assert!(!page.contains("a short letter answers it"), "nothing is open yet: {page}");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7"]);
    let page = counter.pasted(&[("pasted", mail)]).text;
    assert!(page.contains("name=\"fits\" value=\"yes\" checked") && page.contains("goes on with"), "{page}");
    let (mark, seen) = marks(&page, "/mail/log");
    let fields = [
        ("form-mark", mark.as_str()),
        ("seen", &seen),
        ("string-seen", "S-1"),
        ("string", "S-1"),
        ("pasted", mail),
        ("fits", "yes"),
    ];
    let report = counter.done("/mail/log", &fields);
    assert!(!report.contains("we are glad that"), "danger comes first: {report}");
    let report = ticked(&counter, &report, "R-1");
    assert!(report.contains("The letter (fits)") && report.contains("we are glad that"), "{report}");
    // The same by the command, of another report.
    world.add_string("S-5");
    world.ok(&["report", "add", "S-5", "--symptom", "brace-low", "--brace", "7"]);
    let file = world.write("fits.eml", mail);
    world.ok(&["report", "mail", file.to_str().unwrap(), "--string", "S-5", "--yes", "--no-danger"]);
    assert!(world.ok(&["letter", "R-2"]).contains("we are glad that"));
    world.ok(&["strike", "R-2/L1", "--why", "mistyped", "--never-sent"]);
    world.assert_sound();
}

#[test]
fn what_cannot_be_read_says_why_beside_the_others() {
    let world = world();
    let counter = Counter::on(&world.book);
    let broken = b"From: Odalind <odalind@example.org>\nSubject: =?x-klingon?B?!!!?=\nContent-Type: text/plain; charset=rubbish\nContent-Transfer-Encoding: quoted-printable\n\nBrace is 6=BE now =ZZ \xff\xfe.\n";
    let long = format!("From: a@example.org\n\n{}", "My brace height is 7. \n".repeat(14_000));
    let place = send(
        &counter,
        &[
            ("<b>.eml", MAIL.as_bytes()),
            ("broken.eml", broken),
            ("empty.eml", b""),
            ("noise.eml", &[0, 255, 7, 9]),
            ("long.eml", long.as_bytes()),
        ],
    );
    let page = counter.page(&place.place.unwrap());
    for said in [
        "2 of 2 noted nowhere yet",
        "&lt;b&gt;.eml",
        "empty.eml was not read",
        "noise.eml was not read",
        "long.eml was not read",
        "KB of text",
    ] {
        assert!(page.contains(said), "{said}: {page}");
    }
    let read = page.split("<li><a href=\"").nth(2).unwrap().split_once('"').unwrap().0.replace("&#x2f;", "/");
    assert!(counter.page(&read).contains("name=\"brace\""));
}

#[test]
fn what_is_no_file_is_refused_and_keeps_nothing() {
    let world = world();
    let counter = Counter::on(&world.book);
    let many: Vec<(&str, &[u8])> = (0..41).map(|_| ("a.eml", MAIL.as_bytes())).collect();
    for (answer, said) in [
        (send(&counter, &many), "More than 40 files"),
        (send(&counter, &[]), "No file was chosen"),
        (send(&counter, &[("", b"")]), "No file was chosen"),
        (
            sent(
                &counter,
                "multipart/form-data; boundary=edge",
                b"--edge\r\nContent-Disposition: form-data; name=\"file\"; filename=\"a.eml\"\r\n\r\nFrom"
                    .to_vec(),
            ),
            "cut off on its way",
        ),
        (sent(&counter, "multipart/form-data", b"x".to_vec()), "holds no files"),
        (sent(&counter, "application/x-www-form-urlencoded", b"pasted=x".to_vec()), "is no form"),
    ] {
        assert!(
            matches!(answer.status, 400..500) && answer.text.contains(said),
            "{said}: {} {}",
            answer.status,
            answer.text
        );
    }
    assert!(!counter.page("/mail").contains("noted nowhere yet"));
    // Files go to their own address alone.
    let request = Request::post("/mail")
        .header(header::HOST, format!("127.0.0.1:{PORT}"))
        .header(header::ORIGIN, format!("http://127.0.0.1:{PORT}"))
        .header(header::CONTENT_TYPE, "multipart/form-data; boundary=edge");
    assert_eq!(counter.send(request.body(Body::empty()).unwrap()).status, 403);
}
