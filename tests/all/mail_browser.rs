//! A mail in a real browser: on one screen, in a few presses, from a file.

use crate::browser::Browser;
use crate::counter_browser::{assert_good, picture, tick, world};
use crate::counter_server::Running;

/// As most complaints are: the figures in passing, with others beside them.
const ORDINARY: &str = "From: Tamsel Orrin <tamsel@example.org>\nSubject: new string, bit low\nDate: Sat, 28 Feb 2026 19:12:00 +0000\n\n\
    Hi there,\n\nthe string came on Tuesday and it is a beauty, the colours are just what I had in mind. I put it on the 62 inch recurve \
    on Saturday and shot about 120 arrows through it at the club.\n\nOnly thing is the brace is sitting at 6 7/8 and the bow really likes \
    something like 7 1/2 to 8, that is what the bowyer gives. It slaps my arm now and then and it is \
    a bit noisier than before. I have not twisted it yet because I did not want to do anything silly.\n\n\
    What should I do?\n\nCheers\nTamsel";

/// Clicks and filled fields, counted.
struct Hand<'a> {
    browser: &'a Browser,
    presses: usize,
}

impl Hand<'_> {
    fn click(&mut self, css: &str) {
        self.browser.click(css);
        self.presses += 1;
    }

    fn fill(&mut self, css: &str, text: &str) {
        self.browser.fill(css, text);
        self.presses += 1;
    }
}

/// The whole page is seen at once, and nothing of it is cut off.
const ONE_SCREEN: &str = r#"
const low = [...document.querySelectorAll("main *")].filter((e) => e.checkVisibility() && e.getBoundingClientRect().bottom > innerHeight + scrollY);
const quote = document.querySelector("blockquote");
return low.map((e) => e.outerHTML.slice(0, 60)).join("\n") + (quote.scrollHeight > quote.clientHeight + 1 ? "the mail is cut" : "");
"#;

/// What stands beyond an edge of the window.
const CUT_OFF: &str = r#"
return [...document.querySelectorAll("main *")].filter((e) => {
  const box = e.getBoundingClientRect();
  return e.checkVisibility() && box.width > 1 && (box.right > document.documentElement.clientWidth + 1 || box.left < -1);
}).map((e) => e.outerHTML.slice(0, 90)).join("\n");
"#;

fn text(browser: &Browser, script: &str) -> String {
    browser.run(script).as_str().unwrap().to_owned()
}

#[test]
fn an_ordinary_mail_is_seen_on_one_screen_and_answered_in_five_presses() {
    for scripts in [true, false] {
        let Some(browser) = Browser::open(1280, 900, scripts) else { return };
        let world = world();
        let counter = Running::on(&world);
        browser.go(&format!("http://127.0.0.1:{}/mail", counter.port));
        browser.phone(1280, 900);
        let mut hand = Hand { browser: &browser, presses: 0 };
        hand.fill("#pasted", ORDINARY);
        hand.click("form.paste button");
        browser.says("h1", |text| text == "What the mail says");
        if scripts {
            picture(&browser, "mail-ordinary");
            assert_good(&browser, "an ordinary mail");
            assert_eq!(text(&browser, ONE_SCREEN), "");
        }
        hand.click("button.takenote");
        browser.says(".verdict .answer", |text| text.starts_with("ADJUST"));
        // Words that are taken for danger are called off, and the tick is set: both are done with care,
        // and are not counted.
        while browser.run("return document.querySelectorAll('.signs button[value=call-off]').length") != 0 {
            browser.click(".signs button[value='call-off']");
            browser.says(".told", |text| text.contains("Noted of sign"));
        }
        tick(&browser);
        browser.says("#lettertext", |_| true);
        if scripts {
            picture(&browser, "mail-report");
            hand.click("button.copy");
            browser.says(".copied", |text| text.contains("Copied"));
        }
        hand.click("form[action$='/letter'] button");
        browser.says(".told", |text| text.contains("the letter was sent"));
        assert!(hand.presses <= 5, "{}", hand.presses);
        let report = world.ok(&["report", "list"]);
        assert!(report.contains("with-archer"), "{report}");
        world.assert_sound();
    }
}

#[test]
fn a_likely_value_goes_into_its_field_by_one_press_with_scripts_and_without() {
    for scripts in [true, false] {
        let Some(browser) = Browser::open(1280, 900, scripts) else { return };
        let world = world();
        let counter = Running::on(&world);
        let paste = || {
            browser.go(&format!("http://127.0.0.1:{}/mail", counter.port));
            browser.fill("#pasted", ORDINARY);
            browser.click("form.paste button");
            browser.says("h1", |text| text == "What the mail says");
        };
        let value = |css: &str| text(&browser, &format!("return document.querySelector('{css}').value"));
        let pressed = || {
            text(
                &browser,
                "return [...document.querySelectorAll('.offer button[aria-pressed=true]')].map((b) => b.textContent).join(' ')",
            )
        };
        paste();
        let offers = "return [...document.querySelectorAll('.offer button[data-first]')].map((b) => b.value).join(' ')";
        let first = text(&browser, offers);
        assert!(!first.is_empty(), "the mail leaves something to press");
        let (what, wanted) = first.split(' ').next().unwrap().split_once('=').unwrap();
        let (field, wanted) = (format!("#mail-{what}"), wanted.split('\n').next().unwrap().to_owned());
        assert_eq!(value(&field), "", "nothing likely is filled in by itself");
        browser.click(".offer button[data-first]");
        browser.says(".offer button[aria-pressed=true]", |text| !text.is_empty());
        assert!(value(&field).starts_with(&wanted), "{what}: {}", value(&field));
        paste();
        browser.click("[data-take-all]");
        browser.says(".offer button[aria-pressed=true]", |text| !text.is_empty());
        assert_eq!(pressed().matches('?').count(), first.matches('=').count(), "{first}: {}", pressed());
        // What was taken can be corrected, and is noted as it stands then.
        browser.click("form[action='/mail/log'] .note, form[action='/mail/log'] .takenote");
        browser.says(".verdict .answer", |text| !text.is_empty());
    }
}

#[test]
fn nothing_of_a_mail_is_cut_off_on_a_phone() {
    let Some(browser) = Browser::open(500, 900, true) else { return };
    let world = world();
    let counter = Running::on(&world);
    browser.phone(390, 844);
    browser.go(&format!("http://127.0.0.1:{}/mail", counter.port));
    assert_eq!(text(&browser, CUT_OFF), "");
    picture(&browser, "mail-paste-390");
    browser.fill("#pasted", ORDINARY);
    browser.click("form.paste button");
    browser.says("h1", |text| text == "What the mail says");
    assert_good(&browser, "a mail on a phone");
    assert_eq!(text(&browser, CUT_OFF), "");
    picture(&browser, "mail-390");
    browser.click(".foundform details summary");
    assert_eq!(text(&browser, CUT_OFF), "");
    // The look finds what is cut off.
    browser.run("document.querySelector('h1').style.marginLeft = '-9rem'; return 0");
    assert!(text(&browser, CUT_OFF).contains("h1"));
}

/// A mail about two strings of one archer, each with its own height.
const TWO_BOWS: &str = "From: Odalind <odalind@example.org>\nSubject: my two strings\n\nHello,\n\n\
    the brace height of the 66 in one is 7 1/4 now, the brace height of the 62 in one is 6 1/2 now. Both came out \
    too long. No turns in either so far.\n\nThe bowyer says 6 3/4 to 7 1/4 for the longbow and 8 to 8 1/2 for the \
    recurve.\n\nThanks\nOdalind";

/// One about strings of two archers.
const TWO_ARCHERS: &str = "From: Perrin <perrin@example.org>\nSubject: S-911 and S-912\n\nHello,\n\n\
    S-911 and S-912 both hum. S-911 braces at 7 1/4. Can that be helped?\n\nPerrin";

/// Thanks and nothing else.
const PRAISE: &str = "From: Odalind <odalind@example.org>\nSubject: lovely\n\nHello,\n\n\
    just a word of thanks, the strings are wonderful and I love the colours. Best I ever had!\n\nOdalind";

#[test]
fn mails_about_several_strings_and_thanks_fit_screen_and_phone() {
    let Some(browser) = Browser::open(1280, 900, true) else { return };
    let world = world();
    for (serial, who, bow) in [
        ("S-911", "odalind", "--kind recurve --marked 66"),
        ("S-912", "odalind", "--kind longbow --marked 62"),
        ("S-913", "perrin", "--kind recurve --marked 64"),
    ] {
        let line = format!(
            "sold add --serial {serial} --archer {who} --email {who}@example.org {bow} --tips reinforced \
             --route marked --stated 64 --yarn hmpe --strands 16 --turns 24 --sold-on 2026-02-02"
        );
        world.ok(&line.split_whitespace().collect::<Vec<_>>());
    }
    let counter = Running::on(&world);
    let two_archers = TWO_ARCHERS.replace("S-912", "S-913");
    for (width, height) in [(1280, 900), (390, 844)] {
        for (name, mail, says) in [
            ("two-bows", TWO_BOWS, "S-912: odalind"),
            ("two-archers", two_archers.as_str(), "two archers"),
            ("praise", PRAISE, "A short letter back"),
        ] {
            browser.phone(width, height);
            browser.go(&format!("http://127.0.0.1:{}/mail", counter.port));
            browser.fill("#pasted", mail);
            browser.click("form.paste button");
            browser.says("h1", |text| text == "What the mail says");
            let shown = text(&browser, "return document.querySelector('main').innerText");
            assert!(shown.contains(says), "{name}: {shown}");
            // Neither ordinary thanks nor several strings unfold a wall of boxes.
            let unfolded = "return document.querySelectorAll('.foundform .tickbox').length - [...document.querySelectorAll('.foundform .tickbox')].filter((e) => !e.checkVisibility()).length";
            assert_eq!(browser.run(unfolded), 0, "{name}");
            picture(&browser, &format!("mail-{name}-{width}"));
            assert_good(&browser, name);
            assert_eq!(text(&browser, CUT_OFF), "", "{name}");
        }
    }
    // A press puts a likely value into the field of its own string.
    browser.phone(1280, 900);
    browser.go(&format!("http://127.0.0.1:{}/mail", counter.port));
    browser.fill("#pasted", TWO_BOWS);
    browser.click("form.paste button");
    browser.says("h1", |text| text == "What the mail says");
    browser.click("button.takenote");
    browser.says("h1", |text| text != "What the mail says");
    let braces = |report: &str| {
        let shown: serde_json::Value =
            serde_json::from_str(&world.ok(&["report", "show", report, "--json"])).unwrap();
        let read = &shown["data"]["readings"][0];
        (shown["data"]["string"].as_str().unwrap().to_owned(), read["brace_inch"].as_f64())
    };
    let told: Vec<String> = text(&browser, "return location.pathname")
        .rsplit('/')
        .next()
        .unwrap()
        .split(',')
        .map(str::to_owned)
        .collect();
    let mut all = [braces(&told[0]), braces(&told[1])];
    all.sort_by(|a, b| a.0.cmp(&b.0));
    assert_eq!(all, [("S-911".to_owned(), Some(7.25)), ("S-912".to_owned(), Some(6.5))]);
    world.assert_sound();
}

#[test]
fn files_are_chosen_or_dropped_and_answered_one_after_the_other() {
    let Some(browser) = Browser::open(1280, 900, true) else { return };
    let world = world();
    let counter = Running::on(&world);
    let at = format!("http://127.0.0.1:{}/mail", counter.port);
    let file = world.write("one.eml", ORDINARY);
    browser.go(&at);
    browser.send("#files", file.to_str().unwrap());
    browser.says("h1", |text| text == "What the mail says");
    browser.says("blockquote", |text| text.contains("the string came on Tuesday"));
    browser.go(&at);
    let other = ORDINARY.replace("Tuesday", "Monday").replace("6 7/8", "6 3/4");
    let dropped = format!(
        "const files = new DataTransfer(); for (const [name, text] of {}) files.items.add(new File([text], name));
         document.body.dispatchEvent(new DragEvent('drop', {{ dataTransfer: files, bubbles: true, cancelable: true }})); return 0",
        serde_json::json!([["one.eml", ORDINARY], ["two.eml", other], ["again.eml", ORDINARY], ["no.eml", "nothing"]])
    );
    browser.run(&dropped);
    browser.says("#waiting", |text| text.contains("2 of 3"));
    let list = browser.text(".waiting");
    assert!(list.contains("the same mail as one.eml") && list.contains("no.eml was not read"), "{list}");
    assert_good(&browser, "the list of dropped mails");
    picture(&browser, "mail-files");
    browser.click(".waiting li:nth-child(2) a");
    browser.says("blockquote", |text| text.contains("Monday"));
    browser.click("button.note");
    browser.says(".verdict .answer", |text| !text.is_empty());
    browser.click("nav a[href='/mail']");
    browser.says("#waiting", |text| text.contains("1 of 3"));
    browser.says(".waiting li:nth-child(2)", |text| text.contains("noted: R-"));
    browser.click(".waiting form button");
    browser.says("h1", |text| text == "Paste a mail");
    assert_eq!(browser.run("return document.querySelectorAll('.waiting').length"), 0);
    world.assert_sound();
}
