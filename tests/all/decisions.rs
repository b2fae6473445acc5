//! The workshop's terms, and what the maker decides otherwise than it is worked out: who pays, made
//! again or not, turns and length, and the limits that hold for that as well.

use serde_json::Value;

use crate::bare_world::World;
use crate::counter_pages::{Counter, hidden, ticked};

/// A book with a string for a bow whose maker gives 7 1/2 to 8, delivered almost four years ago.
fn world() -> World {
    let world = World::new();
    let sold = "sold add --serial S-1 --email odalind@example.org --bow-kind recurve --marked 62 --route marked --stated 62 --yarn hmpe --strands 16 --turns 24 --tips reinforced --brace-range 7-1/2..8 --sold-on 2022-04-28 --delivered-on 2022-05-03";
    world.ok(&sold.split_whitespace().collect::<Vec<_>>());
    world
}

fn data(world: &World, line: &str) -> Value {
    let mut arguments: Vec<&str> = line.split_whitespace().collect();
    arguments.push("--json");
    let answer: Value = serde_json::from_str(&world.ok(&arguments)).unwrap();
    answer["data"].clone()
}

fn decided(world: &World, line: &str) -> Value {
    let mut arguments = vec!["decide", "R-1", "--why", "an old customer", "--json"];
    arguments.extend(line.split_whitespace());
    let answer: Value = serde_json::from_str(&world.ok(&arguments)).unwrap();
    answer["data"].clone()
}

fn refused(world: &World, line: &str) -> String {
    let mut arguments = vec!["decide", "R-1", "--why", "an old customer"];
    arguments.extend(line.split_whitespace());
    world.refused(1, &arguments).split_whitespace().collect::<Vec<_>>().join(" ")
}

fn letter(world: &World) -> String {
    let text = data(world, "letter R-1 --preview")["text"].as_str().unwrap().to_owned();
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn report(world: &World, line: &str) {
    world.ok(&[&["report", "add", "S-1"], line.split_whitespace().collect::<Vec<_>>().as_slice()].concat());
}

#[test]
fn without_terms_of_its_own_a_workshop_makes_everything_right_free() {
    for symptom in ["broken-strand", "dry-fire", "serving-gap"] {
        let world = world();
        report(&world, &format!("--symptom {symptom}"));
        assert_eq!(data(&world, "advise R-1")["free"], true, "{symptom}");
        if symptom == "serving-gap" {
            world.ok(&["advise", "R-1", "--no-danger"]);
        }
        let letter = letter(&world);
        assert!(letter.contains("at no cost") && !letter.contains("terms"), "{symptom}: {letter}");
    }
}

#[test]
fn what_is_over_by_the_terms_is_told_with_its_day_and_its_price() {
    let cases = [
        ("broken-strand", "terms.wear", "what wears, breaks or comes loose in use"),
        ("dry-fire", "terms.handling", "what comes of a shot without an arrow"),
    ];
    for (symptom, setting, said) in cases {
        let world = world();
        world.ok(&["setting", "set", setting, "24"]);
        report(&world, &format!("--symptom {symptom}"));
        let verdict = data(&world, "advise R-1");
        assert_eq!((&verdict["verdict"], &verdict["free"]), (&"stop".into(), &false.into()), "{symptom}");
        let told = letter(&world);
        for words in [
            said,
            "free for 24 months from delivery; yours was delivered on 2022-05-03",
            "We will write to you what a new one costs",
            "do not shoot it any more",
        ] {
            assert!(told.contains(words), "{words}: {told}");
        }
        assert!(!told.contains("no cost") && !told.contains("label"), "{told}");
        world.ok(&["setting", "set", "terms.price", "25"]);
        assert!(letter(&world).contains("A new one costs 25.00 EUR."), "{}", letter(&world));
        assert_eq!(data(&world, "advise R-1")["price_cents"], 2500);
        // Nothing is promised by it: once it is out, it is the archer's turn, and nothing waits.
        let sent = world.run(&["letter", "R-1"]);
        assert!(!crate::bare_world::text(&sent.stderr).contains("label"));
        assert_eq!(data(&world, "report show R-1")["standing"], "with-archer");
        // Within the term it is free, and said why.
        world.ok(&["setting", "set", setting, "46"]);
        let verdict = data(&world, "advise R-1");
        assert_eq!(verdict["free"], true);
        assert!(verdict["reasons"].to_string().contains("it is free"), "{}", verdict["reasons"]);
        world.ok(&["letter", "R-1"]);
        assert_eq!(data(&world, "report show R-1")["standing"], "to-answer", "the new string is promised");
    }
}

#[test]
fn what_was_sized_or_built_wrongly_is_free_whatever_the_terms_say() {
    let world = world();
    for setting in ["terms.wear", "terms.handling", "terms.own-cut"] {
        world.ok(&["setting", "set", setting, "0"]);
    }
    report(&world, "--symptom brace-high --brace 9-1/2 --readings 3 --no-danger");
    let verdict = data(&world, "advise R-1");
    assert_eq!((&verdict["verdict"], &verdict["free"]), (&"remake".into(), &true.into()));
    assert!(letter(&world).contains("It costs you nothing"), "{}", letter(&world));
    // A cut is known by nobody but who was told of it.
    let cut = decided(&world, "--cause own-cut");
    assert_eq!(cut["free"], false);
    let told = letter(&world);
    assert!(told.contains("a string that its archer cut is not made right free"), "{told}");
    assert!(told.contains("do not shoot the old string"), "{told}");
    assert!(!told.contains("costs you nothing"), "{told}");
}

#[test]
fn the_maker_decides_who_pays_and_takes_it_back_and_history_keeps_both() {
    let world = world();
    world.ok(&["setting", "set", "terms.wear", "24"]);
    report(&world, "--symptom broken-strand");
    world.ok(&["advise", "R-1"]);
    let free = decided(&world, "--free");
    assert_eq!((&free["verdict"], &free["free"]), (&"stop".into(), &true.into()));
    assert_eq!(free["decided"]["why"], "an old customer");
    let told = letter(&world);
    assert!(told.contains("We make an exception for you") && told.contains("no cost"), "{told}");
    assert!(!told.contains("an old customer"), "the reason is the workshop's own: {told}");
    let shown = world.ok(&["advise", "R-1"]);
    assert!(shown.contains("an old customer") && shown.contains("Worked out was STOP"), "{shown}");
    let back = decided(&world, "--as-worked-out");
    assert_eq!((&back["free"], &back["decided"]), (&false.into(), &Value::Null));
    let said = refused(&world, "--as-worked-out");
    assert!(said.contains("nothing is decided"), "{said}");
    let kept = data(&world, "report show R-1");
    let kept = kept["decisions"].as_array().unwrap();
    assert_eq!(kept.len(), 2);
    assert_eq!((&kept[0]["free"], &kept[1]["as_worked_out"]), (&true.into(), &true.into()));
    let history = world.ok(&["history", "--report", "R-1"]);
    assert_eq!(history.matches("decided").count(), 2, "{history}");
    assert_eq!(world.count("verdict"), 3, "each verdict is kept");
    // The other way round: what would be free is paid.
    let paid = decided(&world, "--paid");
    assert_eq!(paid["free"], false);
    assert!(letter(&world).contains("do not shoot it any more"));
    world.assert_sound();
}

#[test]
fn turns_are_decided_within_the_window_and_the_bow_makers_range() {
    let world = world();
    report(&world, "--symptom brace-low --brace 7-1/4 --no-danger");
    assert_eq!(data(&world, "advise R-1")["verdict"], "adjust");
    for (line, says) in [
        ("--turns +30", "would make 54, and this string may hold 23 to 48"),
        ("--turns -4", "would make 20, and this string may hold 23 to 48"),
        ("--turns +1", "the bow maker's range is 7.50 to 8.00 in"),
        ("--turns +24", "the bow maker's range is 7.50 to 8.00 in"),
        ("--turns 0", "full turns are needed"),
        ("--turns +6.5", "full turns are needed"),
        ("--turns +9 --remake", "turned or made again, not both"),
        ("--turns +9 --length 58", "turned or made again, not both"),
        ("--no-remake --length 58", "has no new length"),
        ("--length 58", "nothing is made for R-1"),
        ("--paid", "nothing is made for R-1"),
        ("--remake --length 60", "the bow maker's range is 7.50 to 8.00 in"),
        ("--as-worked-out --free", "cannot be as worked out and decided otherwise"),
        ("--as-worked-out", "nothing is decided on R-1"),
        ("", "nothing is decided"),
    ] {
        let said = refused(&world, line);
        assert!(said.contains(says), "{line}: {said}");
    }
    for why in ["", "   ", "a\u{7}b"] {
        world.refused(1, &["decide", "R-1", "--why", why, "--remake"]);
    }
    assert_eq!(world.count("decision"), 0);
    let turned = decided(&world, "--turns +9");
    assert_eq!((&turned["verdict"], &turned["turns"]), (&"adjust".into(), &9.into()));
    assert!(letter(&world).contains("put in 9 full turns"), "{}", letter(&world));
    // They held for what had been read.
    world.ok(&["reading", "add", "R-1", "--turns-changed", "+9", "--brace", "7-3/8", "--no-danger"]);
    let after = data(&world, "advise R-1");
    assert!(
        after["reasons"].to_string().contains("held for what had been read by then"),
        "{}",
        after["reasons"]
    );
    // Who pays is told without them then.
    let remade = decided(&world, "--remake --paid");
    assert_eq!((&remade["verdict"], &remade["free"]), (&"remake".into(), &false.into()));
    let told = letter(&world);
    assert!(
        told.contains("A new string would suit your bow better") && !told.contains("Turning cannot"),
        "{told}"
    );
    world.assert_sound();
}

#[test]
fn a_new_string_of_the_makers_own_length_stays_within_the_range_by_every_door() {
    let world = world();
    report(&world, "--symptom brace-low --brace 7-1/4 --no-danger");
    let worked: f64 = decided(&world, "--remake")["remake_length_inch"].as_f64().unwrap();
    let own = decided(&world, &format!("--length {}", worked - 0.0625));
    assert_eq!(own["verdict"], "remake");
    assert!((own["remake_length_inch"].as_f64().unwrap() - (worked - 0.0625)).abs() < 1e-9);
    let (low, high) = (7.5, 8.0);
    let after = own["brace_after_inch"].as_f64().unwrap();
    assert!((low..=high).contains(&after), "{after}");
    let said = world.refused(1, &["remake", "R-1", "--length", "60"]);
    assert!(said.contains("the bow maker's range is 7.50 to 8.00 in"), "{said}");
    let made = data(&world, "remake R-1");
    assert!((made["length_inch"].as_f64().unwrap() - (worked - 0.0625)).abs() < 1e-9);
    // On the bench it is too late for another length; who pays can still be decided.
    let said = refused(&world, &format!("--remake --length {worked}"));
    assert!(said.contains("made again for R-1 already"), "{said}");
    let paid = decided(&world, "--paid");
    assert_eq!(
        (&paid["free"], &paid["decided"]["remake"]),
        (&false.into(), &true.into()),
        "what is done stays"
    );
    let bench = data(&world, "letter R-1 --of bench --preview")["text"].as_str().unwrap().to_owned();
    assert!(bench.contains("is on the bench") && !bench.contains("costs you nothing"), "{bench}");
}

#[test]
fn a_stop_or_a_case_for_a_bowyer_is_lifted_by_no_decision() {
    let world = world();
    report(&world, "--symptom broken-strand --brace 7-1/4");
    for line in ["--turns +9", "--turns +9 --free"] {
        let said = refused(&world, line);
        assert!(said.contains("must not be shot") && said.contains("--call-off"), "{said}");
    }
    let none = decided(&world, "--no-remake");
    assert_eq!((&none["verdict"], &none["remake_length_inch"]), (&"stop".into(), &Value::Null));
    let told = letter(&world);
    for words in ["do not shoot it any more", "do not string the bow with it", "if you would like one"] {
        assert!(told.contains(words), "{words}: {told}");
    }
    assert!(!told.contains("We make you a new one"), "{told}");

    let world = world_with_a_creak();
    for line in ["--turns +9", "--remake", "--length 58"] {
        let said = refused(&world, line);
        assert!(said.contains("bowyer") && said.contains("--call-off"), "{line}: {said}");
    }
    // As long as a sign is only asked about, nobody turns the string either.
    let world = self::world();
    let text = world.write("mail.txt", "The limb may be cracked, I am not sure.");
    report(&world, &format!("--symptom brace-low --brace 7-1/4 --text {}", text.display()));
    for line in ["--turns +9", "--remake"] {
        let said = refused(&world, line);
        assert!(said.contains("not cleared up yet"), "{line}: {said}");
    }
}

fn world_with_a_creak() -> World {
    let world = world();
    let text = world.write("mail.txt", "The upper limb creaks at full draw.");
    report(&world, &format!("--symptom brace-low --brace 7-1/4 --text {}", text.display()));
    if data(&world, "report show R-1")["signs"][0]["standing"] == "open" {
        world.ok(&["advise", "R-1", "--confirm", "1"]);
    }
    assert_eq!(data(&world, "advise R-1")["verdict"], "refer");
    world
}

#[test]
fn a_decision_gives_way_to_a_sign_of_danger_that_comes_later() {
    let world = world();
    report(&world, "--symptom brace-low --brace 7-1/4 --no-danger");
    decided(&world, "--turns +9");
    world.ok(&["reading", "add", "R-1", "--symptom", "broken-strand"]);
    let verdict = data(&world, "advise R-1");
    assert_eq!((&verdict["verdict"], &verdict["turns"]), (&"stop".into(), &Value::Null));
    assert!(verdict["reasons"].to_string().contains("may not be safe"), "{}", verdict["reasons"]);
}

#[test]
fn the_reason_of_a_decision_goes_with_the_person_and_nothing_else_of_it() {
    let world = world();
    report(&world, "--symptom broken-strand");
    decided(&world, "--paid");
    world.ok(&["forget", "A-1", "--yes"]);
    let kept = data(&world, "report show R-1");
    assert_eq!((&kept["decisions"][0]["why"], &kept["decisions"][0]["free"]), (&"".into(), &false.into()));
    world.assert_sound();
}

#[test]
fn on_the_page_the_maker_decides_too() {
    let world = world();
    report(&world, "--symptom brace-low --brace 7-1/4");
    let counter = Counter::on(&world.book);
    let page = ticked(&counter, &counter.page("/report/R-1"), "R-1");
    let form = |page: &str, name: &str| hidden(page, "action=\"/report/R-1/decide\"", name);
    let send = |page: &str, turns: &str| {
        let fields = [
            ("form-mark", form(page, "form-mark")),
            ("seen", form(page, "seen")),
            ("why", "an old customer".to_owned()),
            ("turns", turns.to_owned()),
        ];
        let fields: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (*name, value.as_str())).collect();
        counter.post("/report/R-1/decide", &fields)
    };
    let refused = send(&page, "+30");
    assert!(refused.text.contains("may hold 23 to 48"), "{}", refused.text);
    let done = send(&refused.text, "+9");
    assert_eq!(done.status, 303, "{}", done.text);
    let page = counter.page(&done.place.unwrap());
    assert!(page.contains("put in 9 full turns") && page.contains("an old customer"), "{page}");
}
