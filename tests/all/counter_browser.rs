//! The main job in a real browser: with scripts, without them, by keyboard, at phone width.

use crate::bare_world::World;
use crate::browser::Browser;
use crate::counter_server::Running;

const MAIL: &str = "From: Tamsel Orrin <tamsel@example.org>\nSubject: my string\n\nHello, the new string is lovely but my brace height is 6 7/8 and should be 7 1/2 to 8. My bow is a 66.";
const TAB: &str = "\u{e004}";
const ENTER: &str = "\u{e007}";

pub(crate) fn world() -> World {
    let world = World::demo(400);
    let whose = ["--archer", "Tamsel Orrin", "--email", "tamsel@example.org"];
    world.sell("S-9001", &[&whose[..], &["--marked", "62", "--sold-on", "2026-02-02"]].concat());
    world
}

/// Takes pictures for the documents where FISTMELE_PICTURES names a folder.
pub(crate) fn picture(browser: &Browser, name: &str) {
    if let Ok(folder) = std::env::var("FISTMELE_PICTURES") {
        browser.picture(&std::path::Path::new(&folder).join(format!("{name}.png")));
    }
}

/// Faults of a page that a person would stumble over: no name on a field, too little contrast, a
/// page wider than the window.
const FAULTS: &str = r#"
const faults = [];
for (const field of document.querySelectorAll("input:not([type=hidden]), select, textarea:not([hidden]), button")) {
  const name = field.labels?.length || field.textContent.trim() || field.getAttribute("aria-labelledby") || field.getAttribute("aria-label");
  if (!name) faults.push("no name: " + field.outerHTML.slice(0, 90));
}
if (document.querySelectorAll("h1, .card > h3:first-child, .sheet h1").length === 0) faults.push("no heading");
const ids = [...document.querySelectorAll("[id]")].map((element) => element.id);
for (const id of ids) if (ids.filter((other) => other === id).length > 1) faults.push("twice: #" + id);
const wide = document.documentElement.scrollWidth - document.documentElement.clientWidth;
if (wide > 0) faults.push("wider than the window by " + wide);
const light = (rgb) => {
  const [r, g, b] = rgb.map((v) => v / 255).map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
};
const parts = (colour) => colour.match(/[\d.]+/g).map(Number);
const ground = (element) => {
  for (let at = element; at; at = at.parentElement) {
    const colour = parts(getComputedStyle(at).backgroundColor);
    if (colour.length === 3 || colour[3] > 0.99) return colour.slice(0, 3);
  }
  return [255, 255, 255];
};
const seen = new Set();
const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
while (walker.nextNode()) {
  const element = walker.currentNode.parentElement;
  if (!walker.currentNode.data.trim() || seen.has(element) || element.closest("svg, script, option, [hidden], .skip, button:disabled")) continue;
  seen.add(element);
  const style = getComputedStyle(element);
  const [a, b] = [light(parts(style.color).slice(0, 3)), light(ground(element))].sort((x, y) => y - x);
  const ratio = (a + 0.05) / (b + 0.05);
  // WCAG 2.1, 1.4.3: at least 4.5 for text of ordinary size.
  if (ratio < 4.5) faults.push("contrast " + ratio.toFixed(1) + ": " + element.outerHTML.slice(0, 90));
}
return faults.join("\n");
"#;

pub(crate) fn assert_good(browser: &Browser, where_at: &str) {
    let faults = browser.run(FAULTS);
    assert_eq!(faults, "", "{where_at}");
    let complaints = browser.complaints();
    assert!(complaints.is_empty(), "{where_at}: {complaints:?}");
}

/// Pastes the mail, up to what it says.
fn paste(browser: &Browser, counter: &Running) {
    browser.go(&format!("http://127.0.0.1:{}/mail", counter.port));
    browser.fill("#pasted", MAIL);
    browser.click("form.paste button");
}

/// Ticks that there is no danger, which shows the letter.
pub(crate) fn tick(browser: &Browser) {
    browser.click(".nodanger input[type=checkbox]");
    browser.click(".nodanger button");
    browser.says(".told", |text| text.contains("nothing broken, cut or cracked"));
}

/// The last steps of the job, with the form of a further reading open.
fn reads_right_and_is_settled(browser: &Browser) {
    browser.fill("#reading-brace", "7 11/16");
    browser.click("form[action$='/reading'] > p button");
    browser.says(".verdict .answer", |text| text.starts_with("REASSURE"));
    browser.click("#settle summary");
    browser.click("form[action$='/settle'] > p button");
    browser.says(".told", |text| text.contains("is closed: put right on the bow"));
}

#[test]
fn words_of_danger_are_called_off_before_the_tick_is_there() {
    let Some(browser) = Browser::open(1280, 900, true) else { return };
    let world = world();
    let counter = Running::on(&world);
    let fear = format!("{MAIL} I am afraid a strand may be broken.");
    browser.go(&format!("http://127.0.0.1:{}/mail", counter.port));
    browser.fill("#pasted", &fear);
    browser.click("form.paste button");
    browser.says(".caution", |text| text.contains("danger") && text.contains("strand"));
    assert_good(&browser, "a mail that speaks of danger");
    browser.click("form[action='/mail/log'] button.note");
    browser.says(".verdict .answer", |text| text.starts_with("ASK"));
    browser.says(".signs li", |text| text.contains("strand"));
    assert_good(&browser, "a report that speaks of danger");
    assert_eq!(browser.run("return document.querySelectorAll('.nodanger').length"), 0);
    browser.click(".signs button[value='call-off']");
    browser.says(".told", |text| text.contains("Noted of sign 1"));
    browser.says(".verdict .answer", |text| text.starts_with("ADJUST"));
    browser.says(".signs li", |text| text.contains("called off"));
    assert_good(&browser, "a report whose words of danger are called off");
    tick(&browser);
    browser.says("#lettertext", |_| true);
    assert!(world.ok(&["history"]).contains("no-danger"));
}

#[test]
fn a_mail_is_answered_from_paste_to_settled() {
    let Some(browser) = Browser::open(1280, 900, true) else { return };
    let world = world();
    let counter = Running::on(&world);
    let at = |address: &str| format!("http://127.0.0.1:{}{address}", counter.port);
    browser.go(&at("/"));
    assert_good(&browser, "the peg");
    picture(&browser, "counter-peg");
    browser.click("nav a[href='/mail']");
    browser.fill("#pasted", MAIL);
    browser.click("form.paste button");
    browser.says("h1", |text| text == "What the mail says");
    browser.says("blockquote mark", |text| text == "6 7/8");
    assert_eq!(browser.run("return document.querySelector('#mail-brace').value"), "6 7/8\"");
    assert_eq!(browser.run("return document.querySelector('#string').value"), "S-9001");
    assert_good(&browser, "the mail");
    picture(&browser, "counter-mail");
    // The mark of the bow was read wrongly off a mail that says it wrongly: it is corrected.
    browser.run("document.querySelectorAll('details').forEach((d) => d.open = true); return 0");
    browser.fill("#mail-marked", "62");
    browser.click("form[action='/mail/log'] button.note");

    browser.says("h1", |text| text.contains("Tamsel Orrin"));
    browser.says(".verdict .answer", |text| text.starts_with("ADJUST"));
    assert_good(&browser, "the report before anybody has ruled danger out");
    let holds =
        |text: &str| browser.run(&format!("return document.documentElement.innerHTML.includes('{text}')"));
    assert_eq!(holds("Please put in"), false, "the letter is not in the page yet");
    let ticked = || browser.run("return document.querySelector('.nodanger input[type=checkbox]').checked");
    assert_eq!(ticked(), false);
    // Without the tick the browser does not send the form.
    browser.click(".nodanger button");
    assert_eq!(browser.run("return document.querySelectorAll('.told, .problem').length"), 0);
    assert_eq!((ticked(), holds("Please put in")), (false.into(), false.into()));
    tick(&browser);
    assert_eq!(holds("Please put in"), true);
    assert_good(&browser, "the report");
    picture(&browser, "counter-report");
    let advised = browser.text(".chosen");
    let dot = || browser.run("return document.querySelector('.expected').getAttribute('cy')");
    let before = dot();
    browser.click("[data-step='1']");
    browser.says(".chosen", |text| text != advised);
    assert_ne!(dot(), before);
    browser.click("[data-to]");
    assert_eq!((browser.text(".chosen"), dot()), (advised, before));
    browser.click("button.copy");
    browser.says(".copied", |text| text.contains("Copied"));
    browser.click("form[action$='/letter'] button");
    browser.says(".told", |text| text.contains("the letter was sent"));

    browser.click("#reading summary");
    browser.fill("#reading-turns-changed", "+16");
    browser.fill("#reading-brace", "197");
    browser.click("form[action$='/reading'] > p button");
    browser.says(".problem", |text| text.contains("likely meant"));
    let focus = browser.run("return document.activeElement.className");
    assert_eq!(focus, "problem", "what went wrong is where the focus is");
    assert_good(&browser, "the refused reading");
    reads_right_and_is_settled(&browser);
    assert!(world.ok(&["report", "list", "--standing", "settled"]).contains("Tamsel Orrin"));

    for (address, name) in [
        ("/month", "counter-month"),
        ("/string/S-9001", "counter-string"),
        ("/bench", "counter-bench"),
        ("/rules", "counter-rules"),
        ("/reports", "counter-reports"),
    ] {
        browser.go(&at(address));
        assert_good(&browser, address);
        picture(&browser, name);
    }
    world.assert_sound();
}

#[test]
fn every_page_fits_a_phone() {
    let Some(browser) = Browser::open(500, 900, true) else { return };
    let world = world();
    world.ok(&[
        "report",
        "add",
        "S-9001",
        "--symptom",
        "brace-low",
        "--brace",
        "6-7/8",
        "--want",
        "7-1/2..8",
    ]);
    let id = world.ok(&["report", "list"]).lines().nth(2).unwrap().split(' ').next().unwrap().to_owned();
    let counter = Running::on(&world);
    // The window has a least width; what it shows can be as narrow as a phone.
    browser.resize(500, 900);
    browser.phone(360, 740);
    for (address, name) in [
        ("/".to_owned(), "phone-peg"),
        (format!("/report/{id}"), "phone-report"),
        ("/mail".to_owned(), "phone-mail"),
        ("/month".to_owned(), "phone-month"),
        ("/bench".to_owned(), "phone-bench"),
        ("/rules".to_owned(), "phone-rules"),
        ("/string/S-9001".to_owned(), "phone-string"),
    ] {
        browser.go(&format!("http://127.0.0.1:{}{address}", counter.port));
        assert_eq!(browser.run("return document.documentElement.clientWidth"), 360);
        assert_good(&browser, &address);
        picture(&browser, name);
    }
    // The look at faults does find them.
    browser.run(
        "document.body.style.color = '#cbb'; document.body.style.width = '500px'; document.querySelector('label').remove(); return 0",
    );
    let faults = browser.run(FAULTS);
    for fault in ["no name", "contrast", "wider than"] {
        assert!(faults.as_str().unwrap().contains(fault), "{faults}");
    }
}

#[test]
fn the_mail_job_needs_no_scripts() {
    let Some(browser) = Browser::open(1280, 900, false) else { return };
    let world = world();
    let counter = Running::on(&world);
    paste(&browser, &counter);
    browser.click("form[action='/mail/log'] button.note");
    browser.says(".verdict .answer", |text| text.starts_with("ADJUST"));
    let before = browser.text(".chosen");
    browser.click("[data-step='-1']");
    browser.says(".chosen", |text| text != before);
    tick(&browser);
    browser.says(".noscript", |text| text.contains("copy it"));
    browser.click("form[action$='/letter'] button");
    browser.says(".told", |text| text.contains("the letter was sent"));
    browser.click("#reading summary");
    browser.fill("#reading-turns-changed", "+16");
    reads_right_and_is_settled(&browser);
}

#[test]
fn one_of_several_strings_is_chosen_and_what_was_corrected_stays() {
    let Some(browser) = Browser::open(1280, 900, true) else { return };
    let world = world();
    world.ok(&[
        "sold",
        "add",
        "--serial",
        "S-9002",
        "--archer",
        "Tamsel Orrin",
        "--email",
        "tamsel@example.org",
        "--kind",
        "longbow",
        "--route",
        "marked",
        "--stated",
        "66",
        "--sold-on",
        "2026-02-03",
    ]);
    let counter = Running::on(&world);
    paste(&browser, &counter);
    browser.says("h1", |text| text == "What the mail says");
    assert_eq!(browser.run("return document.querySelector('#string').value"), "");
    browser.click(".foundform details summary");
    browser.fill("#mail-shots", "250");
    browser.click("button.choice[value='S-9002']");
    let value = |id: &str| browser.run(&format!("return document.querySelector('{id}').value"));
    browser.says(".words", |text| text.contains("longbow"));
    assert_eq!((value("#string"), value("#mail-shots")), ("S-9002".into(), "250".into()));
    // Enter in a field notes it, whatever buttons stand above.
    browser.run("document.querySelector('#mail-shots').focus(); return 0");
    browser.press(&[ENTER]);
    browser.says("h1", |text| text.starts_with("R-") && text.contains("Tamsel Orrin"));
    tick(&browser);
    browser.says(".letterbox .aside", |text| text.contains("tamsel@example.org"));
}

#[test]
fn the_mail_job_can_be_done_by_keyboard_alone() {
    let Some(browser) = Browser::open(1280, 900, true) else { return };
    let world = world();
    let counter = Running::on(&world);
    browser.go(&format!("http://127.0.0.1:{}/mail", counter.port));
    // The field to paste into has the focus; after it come the sender and the button.
    assert_eq!(browser.run("return document.activeElement.id"), "pasted");
    let typed: Vec<String> =
        "brace height is 6 7/8, should be 7 1/2 to 8".chars().map(String::from).collect();
    browser.press(&typed.iter().map(String::as_str).collect::<Vec<_>>());
    browser.press(&[TAB]);
    let typed: Vec<String> = "tamsel@example.org".chars().map(String::from).collect();
    browser.press(&typed.iter().map(String::as_str).collect::<Vec<_>>());
    browser.press(&[TAB, ENTER]);
    browser.says("h1", |text| text == "What the mail says");
    // Enter in any field of a form sends it.
    browser.run("document.querySelector('#mail-want').focus(); return 0");
    browser.press(&[ENTER]);
    browser.says(".verdict .answer", |text| text.starts_with("ADJUST"));
    // The tick is set with the blank, and Enter on its button shows the letter.
    browser.run("document.querySelector('.nodanger input[type=checkbox]').focus(); return 0");
    browser.press(&[" ", TAB, ENTER]);
    browser.says(".told", |text| text.contains("nothing broken, cut or cracked"));
    // Whatever has the focus shows it.
    let mut without = Vec::new();
    for _ in 0..30 {
        browser.press(&[TAB]);
        let shown = browser.run(
            "const e = document.activeElement; const s = getComputedStyle(e); return e === document.body || s.outlineStyle !== 'none' ? '' : e.outerHTML.slice(0, 90)",
        );
        if shown != "" {
            without.push(shown);
        }
    }
    assert!(without.is_empty(), "{without:?}");
}

#[test]
fn two_forms_of_one_page_are_both_done_or_the_second_says_why_not() {
    let Some(browser) = Browser::open(1280, 900, true) else { return };
    let world = world();
    world.ok(&[
        "report",
        "add",
        "S-9001",
        "--symptom",
        "brace-low",
        "--brace",
        "6-7/8",
        "--want",
        "7-1/2..8",
    ]);
    let listed = world.ok(&["report", "list", "--json"]);
    let listed: serde_json::Value = serde_json::from_str(&listed).unwrap();
    let (settled, readings) = (world.count("settlement"), world.count("reading"));
    let id = listed["data"]
        .as_array()
        .unwrap()
        .iter()
        .find(|report| report["string"] == "S-9001")
        .and_then(|report| report["report"].as_str())
        .unwrap_or_else(|| panic!("{listed}"));
    let counter = Running::on(&world);
    browser.go(&format!("http://127.0.0.1:{}/report/{id}", counter.port));
    // The first form answers in another tab, so that the page with the second one stays as it was.
    browser.run("document.querySelector(\"form[action$='/reading']\").target = 'other'; return 0");
    browser.click("#reading summary");
    browser.fill("#reading-turns-changed", "+4");
    browser.fill("#reading-brace", "7");
    browser.click("form[action$='/reading'] > p button");
    let start = std::time::Instant::now();
    while world.count("reading") == readings {
        assert!(start.elapsed() < std::time::Duration::from_secs(10), "the first form was not done");
    }
    browser.click("#settle summary");
    browser.fill("#settle-right-length", "57 3/4");
    browser.click("form[action$='/settle'] > p button");
    browser.says(".problem", |text| text.contains("has moved on"));
    assert_eq!(world.count("settlement"), settled, "nothing was written");
    // What was typed stands in a form that is up to date now: pressed once more, it is done.
    assert_eq!(browser.run("return document.querySelector('#settle-right-length').value"), "57 3/4");
    assert_good(&browser, "the refused form");
    browser.click("form[action$='/settle'] [name=sure]");
    browser.click("form[action$='/settle'] > p button");
    browser.says(".told", |text| text.contains("is closed"));
    assert_eq!((world.count("settlement"), world.count("reading")), (settled + 1, readings + 1));
    world.assert_sound();
}
