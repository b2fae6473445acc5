//! Letters that went out are kept as they went: shown on report and card, looked at before without
//! noting anything, and gone with the person.

use serde_json::Value;

use crate::bare_world::World;
use crate::counter_pages::{Counter, hidden, marks, ticked};

fn reported() -> World {
    let world = World::new();
    world.add_string("S-1");
    world.ok(&["report", "add", "S-1", "--symptom", "brace-low", "--brace", "7", "--want", "7-1/2..8"]);
    world
}

fn letters(world: &World) -> Vec<Value> {
    let shown: Value = serde_json::from_str(&world.ok(&["report", "show", "R-1", "--json"])).unwrap();
    shown["data"]["letters"].as_array().unwrap().clone()
}

#[test]
fn a_letter_is_kept_as_it_went_out_whatever_is_noted_or_set_later() {
    let world = reported();
    let asked = world.ok(&["letter", "R-1"]);
    let advised = world.ok(&["letter", "R-1", "--no-danger"]);
    world.ok(&["letter", "R-1", "--of", "receipt"]);
    world.ok(&["reading", "add", "R-1", "--turns-changed", "+9", "--brace", "7-3/4", "--no-danger"]);
    world.ok(&["setting", "set", "workshop.name", "Withy and Fletch"]);
    world.ok(&["letter", "R-1"]);
    let kept = letters(&world);
    let kinds: Vec<&str> = kept.iter().map(|letter| letter["letter"].as_str().unwrap()).collect();
    assert_eq!(kinds, ["look-over", "adjust", "receipt", "reassure"]);
    assert_eq!(kept[0]["text"], asked.as_str());
    assert_eq!(kept[1]["text"], advised.as_str());
    assert!(
        kept.iter().all(|letter| letter["to"] == "odalind@example.org" && letter["sent_on"] == "2026-03-01")
    );
    // The list stands on report and card; the whole text where it is asked for.
    for shown in [world.ok(&["report", "show", "R-1"]), world.ok(&["sold", "show", "S-1"])] {
        assert!(shown.contains("2026-03-01: adjust, to odalind@example.org"), "{shown}");
        assert!(!shown.contains("Please put in"), "{shown}");
    }
    for command in [["report", "show", "R-1", "--letters"], ["sold", "show", "S-1", "--letters"]] {
        let shown = world.ok(&command);
        for letter in [&asked, &advised] {
            for line in letter.lines() {
                assert!(shown.contains(line), "{line}: {shown}");
            }
        }
    }
    world.assert_sound();
}

#[test]
fn a_preview_notes_nothing_and_the_very_letter_once_more_is_one() {
    let world = reported();
    world.ok(&["advise", "R-1", "--no-danger"]);
    let before = std::fs::read(&world.book).unwrap();
    let preview = world.ok(&["letter", "R-1", "--preview"]);
    let receipt = world.ok(&["letter", "R-1", "--of", "receipt", "--preview"]);
    assert!(receipt.contains("has come in"), "{receipt}");
    assert_eq!(std::fs::read(&world.book).unwrap(), before, "a preview writes nothing");
    let said: Value = serde_json::from_str(&world.ok(&["letter", "R-1", "--preview", "--json"])).unwrap();
    assert_eq!((&said["data"]["noted"], &said["data"]["text"]), (&false.into(), &preview.as_str().into()));
    let sent: Value = serde_json::from_str(&world.ok(&["letter", "R-1", "--json"])).unwrap();
    assert_eq!((&sent["data"]["noted"], &sent["data"]["text"]), (&true.into(), &preview.as_str().into()));
    assert_eq!(world.ok(&["letter", "R-1"]), preview);
    assert_eq!(letters(&world).len(), 1);
}

#[test]
fn a_preview_takes_a_persons_word_and_notes_neither() {
    let world = reported();
    let text = world.write("afraid.txt", "I am afraid a strand may be broken.");
    world.ok(&["reading", "add", "R-1", "--text", text.to_str().unwrap()]);
    let before = std::fs::read(&world.book).unwrap();
    let asks = world.ok(&["letter", "R-1", "--preview"]);
    let word = ["letter", "R-1", "--preview", "--call-off", "1", "--no-danger"];
    let released = world.ok(&word);
    assert_ne!(asks, released);
    assert_eq!(std::fs::read(&world.book).unwrap(), before, "a preview writes nothing");
    assert_eq!(world.ok(&["letter", "R-1", "--preview"]), asks);
    assert!(world.refused(1, &["letter", "R-1", "--preview", "--call-off", "7"]).contains("no sign 7"));
    world.ok(&["advise", "R-1", "--call-off", "1", "--no-danger"]);
    assert_eq!(world.ok(&["letter", "R-1", "--preview"]), released);
}

#[test]
fn letters_without_a_report_stand_on_the_card() {
    let world = World::new();
    // Four strands of polyester hold too little for a bow of 65 lb.
    let sold = "sold add --serial S-1 --email odalind@example.org --bow-kind recurve --marked 66 --route marked --stated 66 --yarn polyester --strands 4 --turns 30 --weight 65#@28 --sold-on 2026-02-01";
    world.ok(&sold.split_whitespace().collect::<Vec<_>>());
    let preview = world.ok(&["letter", "--string", "S-1", "--preview"]);
    assert_eq!(world.count("sent_letter"), 0);
    // Of danger nothing can be said there, and it is not swallowed.
    for word in [["--no-danger"].as_slice(), &["--call-off", "1"], &["--confirm", "1"]] {
        let said = world.refused(2, &[&["letter", "--string", "S-1"], word].concat());
        assert!(said.contains("nothing was noted"), "{said}");
    }
    assert_eq!(world.count("sent_letter"), 0);
    assert_eq!(world.ok(&["letter", "--string", "S-1"]), preview);
    let card: Value = serde_json::from_str(&world.ok(&["sold", "show", "S-1", "--json"])).unwrap();
    let kept = card["data"]["letters"].as_array().unwrap();
    assert_eq!((kept.len(), &kept[0]["letter"], &kept[0]["text"]), (1, &"strength".into(), &preview.into()));
    let counter = Counter::on(&world.book);
    let page = counter.page("/string/S-1");
    assert!(page.contains("<summary>Letter of 2026-03-01: strength, to odalind@example.org</summary>"));
}

#[test]
fn the_page_keeps_what_was_shown_when_it_is_said_to_be_sent() {
    let world = reported();
    let counter = Counter::on(&world.book);
    let page = ticked(&counter, &counter.page("/report/R-1"), "R-1");
    let preview = world.ok(&["letter", "R-1", "--preview"]);
    let (mark, seen) = marks(&page, "/report/R-1/letter");
    let digest = hidden(&page, "/report/R-1/letter", "letter");
    assert_eq!(world.count("sent_letter"), 0, "looking at a page keeps nothing");
    let page =
        counter.done("/report/R-1/letter", &[("form-mark", &mark), ("seen", &seen), ("letter", &digest)]);
    assert!(
        page.contains("<summary>Letter of 2026-03-01: adjust, to odalind@example.org</summary>"),
        "{page}"
    );
    let kept = letters(&world);
    assert_eq!((kept.len(), &kept[0]["text"]), (1, &preview.into()));
}

#[test]
fn kept_letters_go_with_the_person_and_through_an_export() {
    let world = reported();
    world.ok(&["letter", "R-1", "--no-danger"]);
    let export = world.path("export");
    world.ok(&["export", export.to_str().unwrap()]);
    let again = world.path("again.db");
    let output = World::command_on(&again).args(["restore", export.to_str().unwrap()]).output().unwrap();
    assert!(output.status.success(), "{}", crate::bare_world::text(&output.stderr));
    let output = World::command_on(&again).args(["report", "show", "R-1", "--json"]).output().unwrap();
    let shown: Value = serde_json::from_slice(&output.stdout).unwrap();
    assert_eq!(shown["data"]["letters"], Value::from(letters(&world)));
    let gone: Value = serde_json::from_str(&world.ok(&["forget", "A-1", "--yes", "--json"])).unwrap();
    assert_eq!(gone["data"]["letters"], 1);
    assert!(letters(&world).is_empty());
    world.assert_sound();
}

#[test]
fn a_kept_letter_of_another_strings_report_is_damage() {
    let world = reported();
    world.add_string("S-2");
    world.ok(&["letter", "R-1"]);
    let other = rusqlite::Connection::open(&world.book).unwrap();
    assert_eq!(other.execute("UPDATE sent_letter SET string_id = 2", []).unwrap(), 1);
    drop(other);
    let told = crate::bare_world::text(&world.run(&["verify"]).stdout);
    assert!(told.contains("letters about a report of another string"), "{told}");
}
