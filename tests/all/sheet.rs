//! The sheet: what it says, when it is written, and that what is printed of it is of true size.

use std::path::Path;

use serde_json::Value;

use crate::bare_world::World;
use crate::counter_pages::Counter;

fn sold(world: &World, serial: &str, lay: &str) {
    let bow = ["--archer", "Maelis Ostwick", "--marked", "62", "--brace-range", "7-1/2..8"];
    world.sell(serial, &[&bow[..], &["--lay", lay, "--sold-on=2026-01-05"]].concat());
}

/// A string that is to be turned, danger ruled out, and a workshop with an address.
fn world() -> World {
    let world = World::new();
    world.ok(&["setting", "set", "workshop.name", "The Long Bench, Otterhithe"]);
    world.ok(&["setting", "set", "workshop.email", "post@example.org"]);
    sold(&world, "S-1", "z");
    world.ok(&[
        "report",
        "add",
        "S-1",
        "--symptom",
        "brace-low",
        "--brace",
        "6-7/8",
        "--shots",
        "150",
        "--no-danger",
    ]);
    world
}

fn page(world: &World, arguments: &[&str]) -> String {
    let file = world.path("sheet.html");
    world.ok(&[&["sheet"], arguments, &["--html", file.to_str().unwrap(), "--replace"]].concat());
    std::fs::read_to_string(file).unwrap()
}

#[test]
fn a_report_that_is_struck_or_unknown_is_told_as_such() {
    let world = world();
    world.ok(&["strike", "R-1", "--why", "of another archer"]);
    let refused = world.refused(1, &["sheet", "R-1"]);
    assert!(refused.contains("R-1 is struck") && refused.contains("fistmele unstrike R-1"), "{refused}");
    for unknown in ["R-99", " r-99 "] {
        let refused = world.refused(1, &["sheet", unknown]);
        assert!(refused.contains("no report \"R-99\""), "{refused}");
    }
    // A string may be called so, and then it is one, as long as no report is.
    sold(&world, "R-99", "z");
    assert!(world.ok(&["sheet", "R-99"]).contains("R-99"));
}

#[test]
fn the_sheet_of_a_report_shows_what_is_wanted_now_and_after() {
    let world = world();
    let data: Value = serde_json::from_str(&world.ok(&["sheet", "R-1", "--json"])).unwrap();
    let data = &data["data"];
    assert_eq!((&data["brace_now_inch"], &data["want_low_inch"]), (&6.875.into(), &7.5.into()));
    // The table is that of the letter: of the first go, where there are two.
    let advice: Value = serde_json::from_str(&world.ok(&["advise", "R-1", "--json"])).unwrap();
    assert!(
        data["first_step_turns"].is_i64() && data["first_step_turns"] == advice["data"]["first_step_turns"]
    );
    assert_eq!(data["then"], advice["data"]["first_step_then"]);
    let html = page(&world, &["R-1"]).replace("&#x27;", "'").replace("&#x2f;", "/").replace("&quot;", "\"");
    for part in [
        ">7 1/2 to 8\" wanted</text>",
        ">now 6 7/8\"</text>",
        ">after turning 7 ",
        "7 1/2\" to 8\"</strong> (by the bow's maker)",
        "As the letter says, step by step: put in",
        " full turns of them.",
        "<li>It reads 7",
        "more, and nothing after that.</li>",
        "<li>Anything else: stop here, do not shoot, and write to us.</li>",
        "Off by more than 1/32 in",
        "do not use this strip",
        "Never untwist a laid string all the way",
        "String serial: S-1<br>",
        "Read with ruler or strip:<br>",
        "For the table above read with a ruler.",
        "<svg class=\"code\"",
        "Unstring",
    ] {
        assert!(html.contains(part), "{part}: {html}");
    }
    assert!(html.contains("to the <strong>right</strong>"));
    // Further turns are told for readings outside the grey: what stands below says nothing else.
    assert!(!html.contains("In the grey is right") && !html.contains("Three times"), "{html}");
    // Who reads by strip gets a table for that, and finds in it what the strip says.
    world.ok(&["reading", "add", "R-1", "--brace", "6-7/8", "--by", "strip", "--no-danger"]);
    let by_strip = page(&world, &["R-1"]);
    assert!(by_strip.contains("<li>Find what you read in the table above.</li>"), "{by_strip}");
    assert!(by_strip.contains("Read with ruler or strip: strip<br>"), "{by_strip}");
    sold(&world, "S-2", "s");
    let parcel = page(&world, &["S-2"]);
    assert!(parcel.contains("to the <strong>left</strong>"));
    assert!(parcel.contains("In the grey is right") && parcel.contains("Three times, each time anew."));
}

#[test]
fn no_sheet_has_a_bow_strung_before_danger_is_ruled_out() {
    let world = world();
    let own = world.refused(1, &["sheet", "S-1"]);
    assert!(own.contains("fistmele sheet R-1"), "{own}");
    world.ok(&["reading", "add", "R-1", "--brace", "7"]);
    let unsaid = world.refused(1, &["sheet", "R-1"]);
    assert!(unsaid.contains("nobody has said yet") && unsaid.contains("letter R-1 --no-danger"), "{unsaid}");
    world.ok(&["reading", "add", "R-1", "--symptom", "broken-strand"]);
    let stop = world.refused(1, &["sheet", "R-1"]);
    assert!(stop.contains("the verdict on R-1 is stop"), "{stop}");
    world.refused(1, &["sheet", "S-77"]);
}

#[test]
fn the_pages_lead_to_the_sheet_where_it_may_go() {
    let world = world();
    sold(&world, "S 2/ä", "z");
    let counter = Counter::on(&world.book);
    let link = "href=\"&#x2f;sheet&#x2f;R-1\"";
    assert!(counter.get("/report/R-1").text.contains(link));
    assert!(!counter.get("/string/S-1").text.contains("The sheet for its parcel"));
    let sheet = counter.get("/sheet/R-1");
    assert_eq!(sheet.status, 200);
    // No page of the counter holds styles of its own: its policy forbids them.
    assert!(
        sheet.text.contains("href=\"&#x2f;sheet.css\"") && !sheet.text.contains("<style"),
        "{}",
        sheet.text
    );
    assert!(counter.get("/sheet.css").text.contains("@page"));
    let string = counter.get("/string/S%202%2F%C3%A4").text;
    let address = string.split("The sheet for its parcel").next().unwrap();
    let address = address.rsplit("href=\"").next().unwrap().split('"').next().unwrap().replace("&#x2f;", "/");
    assert!(counter.get(&address).text.contains("String serial: S 2&#x2f;ä"), "{address}");
    world.ok(&["reading", "add", "R-1", "--brace", "7"]);
    assert!(!counter.get("/report/R-1").text.contains(link));
    assert_eq!(counter.get("/sheet/R-1").status, 409);
}

#[test]
fn a_strip_longer_than_paper_is_left_out() {
    let world = world();
    world.ok(&["bow", "edit", "S-1", "--brace-range", "9..9-1/2"]);
    let html = page(&world, &["R-1"]);
    assert!(!html.contains("class=\"strip\"") && html.contains("please use a ruler"), "{html}");
}

/// Lengths of an inch and of what may be off, points: 0.2 mm.
const INCH: f64 = 72.0;
const OFF: f64 = 0.2 / 25.4 * INCH;

/// What stands in a printed page: upright rectangles and lines with their widths and heights, points.
struct Printed {
    pages: usize,
    sizes: Vec<(f64, f64)>,
}

fn after<'a>(bytes: &'a [u8], words: &[u8]) -> Option<&'a [u8]> {
    let at = bytes.windows(words.len()).position(|part| part == words)?;
    Some(&bytes[at + words.len()..])
}

type Matrix = [f64; 6];

fn times(a: Matrix, b: Matrix) -> Matrix {
    [
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    ]
}

impl Printed {
    /// Reads the paths of a PDF (ISO 32000-1, 8.4.4 and 8.5.2) as far as this page uses them.
    fn read(pdf: &[u8]) -> Self {
        let mut printed = Self { pages: 0, sizes: Vec::new() };
        let mut rest = pdf;
        while let Some(next) = after(rest, b"/Type /Page") {
            printed.pages += usize::from(!next.starts_with(b"s"));
            rest = next;
        }
        let mut rest = pdf;
        while let Some(next) = after(rest, b"stream") {
            let body = next.strip_prefix(b"\r\n").or_else(|| next.strip_prefix(b"\n")).unwrap_or(next);
            if let Ok(text) = miniz_oxide::inflate::decompress_to_vec_zlib_with_limit(body, 50_000_000) {
                printed.paths(&String::from_utf8_lossy(&text));
            }
            rest = after(next, b"endstream").unwrap_or(&[]);
        }
        printed
    }

    fn paths(&mut self, text: &str) {
        let mut matrix: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];
        let (mut kept, mut numbers, mut points) = (Vec::new(), Vec::new(), Vec::<(f64, f64)>::new());
        for word in text.split_whitespace() {
            if let Ok(number) = word.parse::<f64>() {
                numbers.push(number);
                continue;
            }
            let place = |m: Matrix, x: f64, y: f64| (m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5]);
            match (word, numbers.as_slice()) {
                ("q", _) => kept.push(matrix),
                ("Q", _) => matrix = kept.pop().unwrap_or(matrix),
                ("cm", [a, b, c, d, e, f]) => matrix = times([*a, *b, *c, *d, *e, *f], matrix),
                ("re", [x, y, width, height]) => {
                    let (one, other) = (place(matrix, *x, *y), place(matrix, x + width, y + height));
                    self.sizes.push(((other.0 - one.0).abs(), (other.1 - one.1).abs()));
                }
                ("m" | "l", [x, y]) => {
                    if word == "m" {
                        points.clear();
                    }
                    points.push(place(matrix, *x, *y));
                }
                ("h" | "S" | "s" | "f" | "n" | "W" | "B", _) if !points.is_empty() => {
                    let ends = |of: fn(&(f64, f64)) -> f64| {
                        points
                            .iter()
                            .map(of)
                            .fold((f64::MAX, f64::MIN), |(low, high), at| (low.min(at), high.max(at)))
                    };
                    let ((left, right), (low, high)) = (ends(|at| at.0), ends(|at| at.1));
                    self.sizes.push((right - left, high - low));
                    points.clear();
                }
                _ => (),
            }
            numbers.clear();
        }
    }

    fn holds(&self, width: f64, height: f64) -> bool {
        self.sizes.iter().any(|(w, h)| (w - width * INCH).abs() < OFF && (h - height * INCH).abs() < OFF)
    }
}

#[test]
fn what_is_printed_is_of_true_size_on_a4_and_on_letter() {
    let Some(browser) = crate::browser::Browser::open(1000, 1200, true) else { return };
    let world = world();
    let file = world.path("sheet.html");
    for (units, brace) in [("inch", "6-7/8"), ("cm", "16 cm")] {
        world.ok(&["setting", "set", "units", units]);
        world.ok(&["reading", "add", "R-1", "--brace", brace, "--no-danger"]);
        page(&world, &["R-1"]);
        browser.go(&format!("file://{}", file.display()));
        for (paper, width, height) in [("A4", 210.0 / 25.4, 297.0 / 25.4), ("Letter", 8.5, 11.0)] {
            let pdf = browser.print(width, height);
            let printed = Printed::read(&pdf);
            assert_eq!(printed.pages, 1, "{paper} {units}: it is more than one page");
            assert!(printed.holds(1.5, 8.75), "{paper} {units}: the strip: {:?}", printed.sizes);
            assert!(printed.holds(0.0, 6.0), "{paper} {units}: the check line: {:?}", printed.sizes);
            // From 7 1/2 to 8 in: half an inch of grey.
            assert!(printed.holds(1.5, 0.5), "{paper} {units}: what is wanted: {:?}", printed.sizes);
            if let Ok(folder) = std::env::var("FISTMELE_PICTURES") {
                std::fs::write(Path::new(&folder).join(format!("sheet-{paper}-{units}.pdf")), &pdf).unwrap();
            }
        }
    }
    // A sheet that is printed smaller is found out by this very look.
    browser.run("document.body.style.zoom = '0.97'; return 1");
    assert!(!Printed::read(&browser.print(8.5, 11.0)).holds(0.0, 6.0));
}

/// The lines of the table in a letter.
fn table_of(letter: &str) -> Vec<String> {
    let lines = letter.lines().skip_while(|line| !line.contains("this table counts"));
    let mut found: Vec<String> = Vec::new();
    for line in lines {
        match (line.strip_prefix("- "), line.strip_prefix("  ")) {
            (Some(row), _) => found.push(row.to_owned()),
            (None, Some(more)) if !found.is_empty() => {
                found.last_mut().expect("there is one").push_str(&format!(" {}", more.trim()));
            }
            _ if found.is_empty() => {}
            _ => break,
        }
    }
    found
}

#[test]
fn sheet_and_page_say_what_the_letter_said_whatever_other_strings_teach_meanwhile() {
    let world = world();
    let letter = world.ok(&["letter", "R-1"]);
    let table = table_of(&letter);
    assert!(table.len() > 2 && table.iter().any(|row| row.contains("put in")), "{letter}");
    let sheet = || world.ok(&["sheet", "R-1", "--json"]);
    let sent = sheet();
    let counter = Counter::on(&world.book);
    let page = || {
        let text = counter.page("/report/R-1").replace("&#x2f;", "/").replace("&quot;", "\"");
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let shown = page();
    for row in &table {
        assert!(shown.contains(row), "{row} is not on the page: {shown}");
    }
    // Three strings of that make answer far more than the tables say.
    for (serial, report) in [("S-2", "R-2"), ("S-3", "R-3"), ("S-4", "R-4")] {
        sold(&world, serial, "z");
        world.ok(&["report", "add", serial, "--symptom", "brace-low", "--brace", "6-7/8", "--shots", "150"]);
        world.ok(&["reading", "add", report, "--turns-changed", "+8", "--brace", "7-1/2"]);
    }
    let anew = world.ok(&["letter", "R-1", "--preview"]);
    assert_ne!(table_of(&anew), table, "they teach something");
    assert_eq!(sheet(), sent);
    let shown = page();
    for row in &table {
        assert!(shown.contains(row), "{row} is no longer on the page: {shown}");
    }
    // The strike of what another string taught changes nothing of it either.
    world.ok(&["strike", "R-2", "--why", "of another bow"]);
    assert_eq!(sheet(), sent);
    // What the archer writes does, and so does a new verdict that is asked for.
    let before = sheet();
    world.ok(&["reading", "add", "R-1", "--brace", "7", "--no-danger"]);
    assert_ne!(sheet(), before);
}
