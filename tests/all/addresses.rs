//! An archer's new address: kept once somebody says that it is theirs, and the former one stays
//! known. Names in a salutation.

use serde_json::Value;

use crate::bare_world::{World, orders, text};
use crate::counter_pages::{Counter, hidden};

fn mail(world: &World, from: &str, words: &str) -> String {
    let mail = format!("From: Odalind <{from}>\nSubject: string\n\n{words}\n");
    world.write("mail.eml", mail).to_str().unwrap().to_owned()
}

fn archer(world: &World, serial: &str) -> (Value, Value) {
    let card: Value = serde_json::from_str(&world.ok(&["sold", "show", serial, "--json"])).unwrap();
    (card["data"]["archer"]["id"].clone(), card["data"]["archer"]["email"].clone())
}

const NEW: &str = "odalind.quarrie@example.net";

#[test]
fn a_new_address_is_kept_only_if_somebody_says_that_it_is_the_archers() {
    let world = World::new();
    world.add_string("S-1");
    let first = mail(&world, NEW, "My string S-1 braces at 7 and should be 7 1/2 to 8.");
    let shown: Value = serde_json::from_str(&world.ok(&["report", "mail", &first, "--json"])).unwrap();
    assert_eq!(shown["data"]["new_address"], true);
    assert!(world.ok(&["report", "mail", &first]).contains("--new-address"));
    world.ok(&["report", "mail", &first, "--yes"]);
    assert_eq!(archer(&world, "S-1").1, "odalind@example.org");
    let second = mail(&world, NEW, "It is S-1 again: it reads 6 7/8 now.");
    world.ok(&["report", "mail", &second, "--yes", "--new-address"]);
    assert_eq!(archer(&world, "S-1").1, NEW);
    assert!(world.ok(&["history", "--string", "S-1"]).contains("address"));
    // Letters go there; whoever writes from either is known, and the string found.
    world.ok(&["letter", "R-1"]);
    assert!(world.ok(&["report", "show", "R-1"]).contains(&format!("look-over, to {NEW}")));
    for from in ["odalind@example.org", "Odalind@Example.org", NEW] {
        let third = mail(&world, from, "One thing more: some 150 arrows so far.");
        let shown: Value = serde_json::from_str(&world.ok(&["report", "mail", &third, "--json"])).unwrap();
        assert_eq!((&shown["data"]["string"], &shown["data"]["new_address"]), (&"S-1".into(), &false.into()));
    }
    // What is so already is refused, and nothing of the mail is logged.
    let third = mail(&world, NEW, "One thing more: some 150 arrows so far.");
    let said = world.refused(1, &["report", "mail", &third, "--yes", "--new-address"]);
    assert!(said.contains("already") && said.contains("nothing was logged"), "{said}");
    let nobody = world.write("nobody.eml", "Subject: string\n\nS-1 reads 6 3/4 now.\n");
    let said = world.refused(1, &["report", "mail", nobody.to_str().unwrap(), "--yes", "--new-address"]);
    assert!(said.contains("does not show the address"), "{said}");
    world.assert_sound();
}

#[test]
fn an_old_order_export_still_meets_an_archer_who_moved() {
    let world = World::new();
    let file = world.write("orders.csv", orders(1, 2));
    let file = file.to_str().unwrap();
    world.ok(&["sold", "import", file]);
    let moved = mail(&world, "archer.one@example.net", "My string W-1 braces at 7, it should be 8.");
    world.ok(&["report", "mail", &moved, "--yes", "--new-address"]);
    let again: Value = serde_json::from_str(&world.ok(&["sold", "import", file, "--json"])).unwrap();
    assert_eq!((&again["data"]["added"], &again["data"]["unchanged"]), (&0.into(), &2.into()));
    // A further order under the former address is of the same archer.
    let more = orders(1, 1).replace("W-1", "W-9");
    let more = world.write("more.csv", more);
    world.ok(&["sold", "import", more.to_str().unwrap()]);
    assert_eq!(archer(&world, "W-9"), archer(&world, "W-1"));
    assert_eq!(archer(&world, "W-9").1, "archer.one@example.net");
    // Forgotten is forgotten under both.
    world.ok(&["forget", archer(&world, "W-1").0.as_str().unwrap(), "--yes"]);
    assert_eq!(world.count("former_address"), 0);
    for (n, from) in ["archer1@example.org", "archer.one@example.net"].iter().enumerate() {
        let old = orders(1, 1).replace("W-1", &format!("W-2{n}")).replace("archer1@example.org", from);
        let old = world.write("old.csv", old);
        world.ok(&["sold", "import", old.to_str().unwrap()]);
        assert_eq!(archer(&world, &format!("W-2{n}")).1, Value::Null, "{from}");
    }
    world.assert_sound();
}

#[test]
fn on_the_page_a_tick_keeps_the_new_address() {
    let world = World::new();
    world.add_string("S-1");
    let counter = Counter::on(&world.book);
    let pasted = format!("From: Odalind <{NEW}>\n\nS-1 braces at 7, it should be 7 1/2 to 8.");
    let read = counter.pasted(&[("pasted", &pasted)]).text;
    assert!(read.contains("letters go there from now on") && read.contains(NEW), "{read}");
    let mark = hidden(&read, "action=\"/mail/log\"", "form-mark");
    let seen = hidden(&read, "action=\"/mail/log\"", "seen");
    let fields = [
        ("form-mark", mark.as_str()),
        ("seen", &seen),
        ("string-seen", "S-1"),
        ("string", "S-1"),
        ("pasted", &pasted),
        ("symptom", "brace-low"),
        ("brace", "7"),
        ("new-address", "yes"),
    ];
    let report = counter.done("/mail/log", &fields);
    assert!(report.contains(&format!("To {NEW}")), "{report}");
    assert_eq!(archer(&world, "S-1").1, NEW);
}

#[test]
fn a_letter_greets_as_people_write_names() {
    for (name, greeted) in [
        ("O'Fletch; Rurik", "Dear Rurik O'Fletch,"),
        ("Wystan \"Wys\" Oakapple", "Dear Wystan Oakapple,"),
        ("WYSTAN OAKAPPLE", "Dear Wystan Oakapple,"),
        ("wystan@example.org", "Dear archer,"),
    ] {
        let world = World::new();
        let sold =
            ["sold", "add", "--serial", "S-1", "--archer", name, "--route", "marked", "--stated", "62"];
        world.ok(&[&sold[..], &["--bow-kind", "recurve", "--marked", "62"]].concat());
        world.ok(&["report", "add", "S-1", "--symptom", "loose-tags"]);
        let letter = world.ok(&["letter", "R-1"]);
        assert!(letter.starts_with(greeted), "{name}: {letter}");
        // The book keeps the name as it was entered.
        let card = text(&world.run(&["sold", "show", "S-1"]).stdout);
        assert!(card.contains(name), "{card}");
    }
}
