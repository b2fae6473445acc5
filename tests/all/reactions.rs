//! A letter that reacts to what the archer reads, and questions that are asked once: through the
//! program. Methods M24, V09, V10, V19.

use crate::answers::{AdviceData, ThenData};
use crate::told::{Told, brace, turns};
use crate::world::World;
use fistmele::mechanics::bow::FadeMeasures;
use fistmele::trade::known::known;
use fistmele::trade::records::Measurements;
use fistmele::trade::words::Symptom;

fn recurve_that_reads(read: &str) -> World {
    let world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", &format!("--symptom brace-low --brace {read} --shots 400"));
    world
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What a table says to a reading.
fn says(rows: &[ThenData], read: f64) -> Option<i32> {
    rows.iter()
        .find(|row| row.low_inch <= read && read <= row.high_inch)
        .expect("every reading has a row")
        .turns
}

#[test]
fn an_adjusting_letter_gives_all_turns_and_then_a_table_of_what_each_reading_asks_for() {
    let world = recurve_that_reads("7-1/4");
    let advice = world.advise("R-1");
    assert_eq!((advice.verdict.as_str(), advice.first_step_turns), ("adjust", None));
    assert!(advice.turns.is_some_and(|turns| (6..=12).contains(&turns)), "{:?}", advice.turns);
    assert_eq!(says(&advice.then, 7.75), Some(0));
    assert!(says(&advice.then, 7.5).is_some_and(|turns| turns > 0), "{:?}", advice.then);
    assert!(says(&advice.then, 8.0).is_some_and(|turns| turns < 0), "{:?}", advice.then);
    // What the bow's maker gives is 7 1/2 to 8: outside nobody turns on, with words or without.
    for read in [6.0, 7.25, 7.4375, 8.0625, 9.0] {
        assert_eq!(says(&advice.then, read), None, "{read}");
    }
    assert!(advice.chance_with_table.unwrap() > advice.chance_in_range.unwrap());
    let letter = one_line(&world.released_letter("R-1").text);
    let place = |words: &str| letter.find(words).unwrap_or_else(|| panic!("{words:?} is not in {letter}"));
    let table = place("It reads 7 1/2\"");
    assert!(place("unstring the bow with a stringer and look string and bow over") < table);
    assert!(place("broken, cut or cracked, or if there was ever a shot without an arrow, stop") < table);
    assert!(place("more, and nothing after that") > table && place("it is right; leave it so") > table);
    assert!(place("Anything else: stop here, do not shoot, and write to us.") > table);
    assert!(
        letter.contains("put in")
            && letter.contains("take out")
            && letter.contains("how many turns you made in all")
    );
    let shown = world.line("advise R-1").done().stdout;
    assert!(one_line(&shown).contains("It reads 7 1/2\" to"), "{shown}");
}

#[test]
fn more_than_a_dozen_turns_go_in_two_goes_the_second_by_the_reading_after_the_first() {
    let world = recurve_that_reads("6-7/8");
    let advice = world.advise("R-1");
    let (all, first) = (advice.turns.unwrap(), advice.first_step_turns.unwrap());
    assert!(all > 12 && first < all);
    // On the way it stands below what the bow's maker gives, as it did before.
    let expected = advice.first_step_brace_inch.unwrap();
    let nearest = (expected * 16.0).round() / 16.0;
    let rest = says(&advice.first_step_then, nearest).unwrap();
    assert!((rest - (all - first)).abs() <= 2, "{rest} after {first} of {all}: {:?}", advice.first_step_then);
    assert!(says(&advice.first_step_then, nearest - 0.0625).is_none_or(|turns| turns >= rest));
    assert_eq!(says(&advice.first_step_then, 6.5), None, "it went the wrong way");
    assert_eq!(says(&advice.first_step_then, 8.25), None, "above what the maker gives");
    let letter = one_line(&world.released_letter("R-1").text);
    assert!(
        letter.contains(&format!("First {first} full turns"))
            && letter.contains("After the first go this table counts")
    );
    assert!(letter.contains("Do not shoot yet"), "{letter}");
    // What was read last, with the turns made in all, is understood: it is right now.
    world.reading("R-1", &format!("--turns-changed +{} --brace 7-3/4", first + rest));
    assert_eq!(world.advise("R-1").verdict, "reassure");
}

#[test]
fn no_table_stands_beside_a_sign_of_danger_that_nobody_has_cleared_up() {
    let world = World::new();
    world.sold_recurve("K-1");
    let mail =
        world.write("mail.txt", "It braces at 7 1/4. I think I hear a faint tick from the upper limb.");
    let _ = world
        .run(["report", "add", "K-1", "--symptom", "brace-low", "--brace", "7-1/4", "--text", &mail])
        .done();
    let open = world.advise("R-1");
    assert!(open.signs.iter().any(|sign| sign.standing == "open"), "{:?}", open.signs);
    assert!(open.then.is_empty() && open.first_step_then.is_empty() && open.first_step_turns.is_none());
    assert_ne!(open.verdict, "adjust");
    let _ = world.line("advise R-1 --call-off 1").done();
    assert!(!world.advise("R-1").then.is_empty());
}

#[test]
fn right_is_said_only_of_what_surely_lies_in_the_range() {
    // At the very edge a single reading is taken again, once.
    let world = recurve_that_reads("7-1/2");
    let first = world.advise("R-1");
    assert_eq!((first.verdict.as_str(), first.ask), ("ask", vec!["brace-again".to_owned()]));
    // Borne out, it is turned: that makes it surer by far.
    world.reading("R-1", "--brace 7-1/2 --readings 3");
    let second = world.advise("R-1");
    assert_eq!(second.verdict, "adjust");
    assert!(second.turns.is_some_and(|turns| turns > 0) && second.chance_in_range.unwrap() > 0.9);
    // A little further in it is right at once.
    assert_eq!(recurve_that_reads("7-5/8").advise("R-1").verdict, "reassure");
    assert!(recurve_that_reads("7-5/8").advise("R-1").chance_in_range.unwrap() >= 0.97);
    // Where no turns are left that would make it surer it may stay, and that is said.
    let world = World::new();
    world.sold(
        "P-1",
        "--archer Isaura --kind recurve --marked 62 --brace-range 7-1/2..8 --tips reinforced --route marked \
         --stated 62 --offset 3-1/2 --yarn hmpe --strands 16 --turns 23",
    );
    world.report("P-1", "--symptom noisy --brace 8 --shots 400");
    assert_eq!(world.advise("R-1").verdict, "ask");
    world.reading("R-1", "--brace 8 --readings 3");
    assert_eq!(world.advise("R-1").verdict, "reassure");
    let letter = one_line(&world.released_letter("R-1").text);
    assert!(letter.contains("stands at the very end of where it should be, 7 1/2\" to 8\""), "{letter}");
    assert!(letter.contains("may stay there"), "{letter}");
}

/// What is advised at last to an archer who answers every question with a brace height alone, and
/// how many questions it took.
fn answered_with_a_brace_height(world: &World, read: &str) -> (AdviceData, u32) {
    for asked in 0..6 {
        let advice = world.advise("R-1");
        if advice.verdict != "ask" {
            return (advice, asked);
        }
        world.reading("R-1", &format!("--brace {read} --readings 3"));
    }
    panic!("asked for ever: {:?}", world.advise("R-1"));
}

#[test]
fn an_archer_who_answers_with_a_brace_height_alone_is_advised_with_what_is_there() {
    let unrecorded = "--archer Hanno --kind longbow --marked 66 --brace-range 6..6-1/2 --route marked --stated 66 \
                      --yarn polyester --strands 14 --tips reinforced";
    for read in ["4-1/2", "5-1/4", "5-3/4", "6-9/16", "6-3/4", "7", "7-1/4"] {
        let world = World::new();
        world.sold("L-1", unrecorded);
        world.report("L-1", &format!("--symptom other --brace {read} --shots 400"));
        let (_, asked) = answered_with_a_brace_height(&world, read);
        assert!(asked <= 2, "{read}: {asked} questions");
    }
    // What nothing can be advised without is asked for once, and then said to be missing.
    let longbow = "--archer Hanno --kind longbow --yarn polyester --strands 14 --tips reinforced";
    let of_unknown = "--archer Hanno --kind unknown --yarn polyester --strands 14 --tips reinforced";
    let stiff_ears = "--archer Hanno --kind horsebow --yarn polyester --strands 14 --tips reinforced";
    let marked = "--marked 66 --route marked --stated 66 --turns 26";
    for (sold, read, missing) in [
        (format!("{of_unknown} {marked}"), "5", "the bow maker's brace height range and the kind of bow"),
        (format!("{longbow} {marked}"), "4-1/8", "the bow maker's brace height range"),
        (format!("{longbow} --brace-range 7..7-1/2 --route unknown"), "4", "the string's length off the bow"),
        (
            format!("{stiff_ears} --brace-range 6..6-1/2 --route old-string --stated 50 --turns 20"),
            "4",
            "the string's length off the bow",
        ),
    ] {
        let world = World::new();
        let _ = world.line(&format!("sold add --serial L-1 {sold}")).done();
        world.report("L-1", &format!("--symptom brace-low --brace {read} --shots 400"));
        let (advice, asked) = answered_with_a_brace_height(&world, read);
        assert_eq!((advice.verdict.as_str(), asked <= 2), ("refer", true), "{sold}: {asked} questions");
        let letter = one_line(&world.letter("R-1").text);
        assert!(letter.contains(&format!("we still do not know {missing}, and")), "{letter}");
        assert!(letter.contains("As soon as we know it we go on"), "{letter}");
        assert!(letter.contains("turn nothing and do not shoot"), "{letter}");
    }
    // Whoever wishes another range than the bow's maker gives is asked about it once; then the maker's holds.
    for read in ["7-1/8", "7-3/4", "8-1/4"] {
        let world = World::new();
        world.sold_recurve("K-1");
        world.report("K-1", &format!("--symptom brace-low --brace {read} --want 8-1/2..9 --shots 400"));
        assert_eq!(world.advise("R-1").verdict, if read == "7-1/8" { "adjust" } else { "ask" }, "{read}");
        let (advice, asked) = answered_with_a_brace_height(&world, read);
        assert!(
            asked <= 2 && ["adjust", "reassure", "remake"].contains(&advice.verdict.as_str()),
            "{read}: {advice:?}"
        );
        let kept = "The range that you wish lies outside what the bow's maker gives";
        assert!(one_line(&world.released_letter("R-1").text).contains(kept), "{read}");
    }
    // Readings that go against each other, or turns that did half of what they should.
    for (turned, read) in [("+17", "6-7/8"), ("+17", "7-3/16"), ("+2", "8-1/2"), ("+12", "6-1/4")] {
        let world = recurve_that_reads("6-7/8");
        world.reading("R-1", &format!("--turns-changed {turned} --brace {read}"));
        assert_eq!(world.advise("R-1").verdict, "ask", "{turned} {read}");
        let (_, asked) = answered_with_a_brace_height(&world, read);
        assert!(asked <= 2, "{turned} {read}: {asked} questions");
    }
}

#[test]
fn turns_that_did_far_too_much_are_taken_out_by_what_they_did() {
    let world = recurve_that_reads("7");
    world.reading("R-1", "--turns-changed +8 --brace 8-1/8");
    let asked = world.advise("R-1");
    assert_eq!((asked.verdict.as_str(), asked.ask[0].as_str()), ("ask", "brace-again"));
    world.reading("R-1", "--brace 8-1/8 --readings 3");
    // Eight turns moved it by more than an inch, so three take it to the middle of 7 1/2 to 8.
    let borne_out = world.advise("R-1");
    assert_eq!(borne_out.verdict, "adjust");
    assert!(borne_out.turns.is_some_and(|turns| (-4..=-2).contains(&turns)), "{:?}", borne_out.turns);
    // A height that was misread teaches nothing of the turns.
    let misread = recurve_that_reads("7");
    misread.reading("R-1", "--turns-changed +8 --brace 8-1/8");
    misread.reading("R-1", "--brace 7-7/16 --readings 3");
    let at_once = recurve_that_reads("7");
    at_once.reading("R-1", "--turns-changed +8 --brace 7-7/16 --readings 3");
    let (misread, at_once) = (misread.advise("R-1"), at_once.advise("R-1"));
    let (misread, at_once) = (misread.turns.expect("turns"), at_once.turns.expect("turns"));
    assert!((misread - at_once).abs() <= 1, "{misread} against {at_once}");
}

#[test]
fn a_count_in_place_of_a_reading_makes_nothing_right_that_stands_beside_the_range() {
    for read in ["6-13/16", "7", "7-1/8", "7-1/4"] {
        let world = World::new();
        world.sold(
            "L-1",
            "--archer Hanno --kind longbow --marked 66 --brace-range 5-3/4..6-1/2 --route marked --stated 66 \
             --yarn polyester --strands 14 --tips reinforced",
        );
        world.report("L-1", &format!("--symptom brace-high --brace {read} --shots 400"));
        world.reading("R-1", "--turns-counted 6 --over 12");
        assert_ne!(world.advise("R-1").verdict, "reassure", "{read}");
    }
}

#[test]
fn what_a_question_costs_decides_whether_it_is_asked() {
    let unrecorded = "--archer Hanno --kind longbow --marked 66 --brace-range 6..6-1/2 --route marked --stated 66 \
                      --yarn polyester --strands 14 --tips reinforced";
    let asks = |cost: &str| {
        let world = World::new();
        let _ = world.run(["setting", "set", "cost.question", cost]).done();
        world.sold("L-1", unrecorded);
        ["6-7/8", "7", "7-1/8", "7-1/4", "7-3/8"]
            .into_iter()
            .zip(1..)
            .filter(|(read, number)| {
                world.report(
                    "L-1",
                    &format!("--separate --symptom brace-high --brace {read} --readings 3 --shots 400"),
                );
                let advice = world.advise(&format!("R-{number}"));
                advice.verdict == "ask" && advice.ask.contains(&"turns-count".to_owned())
            })
            .count()
    };
    let (cheap, dear) = (asks("0.50"), asks("28.00"));
    assert!(cheap > 0, "a count that costs next to nothing is asked for");
    assert_eq!(dear, 0, "nothing is asked that costs as much as a new string");
}

#[test]
fn before_a_long_change_is_cut_the_archer_measures_once_more() {
    let world = World::new();
    world.sold(
        "L-1",
        "--archer Hanno --kind longbow --marked 66 --brace-range 6..6-1/2 --route marked --stated 66 \
         --yarn polyester --strands 14 --turns 26 --tips reinforced",
    );
    world.report("L-1", "--symptom brace-low --brace 4-1/8 --shots 400");
    let advice = world.advise("R-1");
    assert_eq!(advice.verdict, "remake", "{:?}", advice.reasons);
    let letter = one_line(&world.released_letter("R-1").text);
    assert!(
        letter.contains("if it does not read between 3 7/8\" and 4 3/8\", write to us before we cut"),
        "{letter}"
    );
    // Taken three times it is not asked for again.
    let world2 = World::new();
    world2.sold(
        "L-1",
        "--archer Hanno --kind longbow --marked 66 --brace-range 6..6-1/2 --route marked --stated 66 \
         --yarn polyester --strands 14 --turns 26 --tips reinforced",
    );
    world2.report("L-1", "--symptom brace-low --brace 4-1/8 --readings 3 --shots 400");
    assert!(!one_line(&world2.released_letter("R-1").text).contains("before we cut"));
}

#[test]
fn three_readings_are_asked_for_in_the_first_answer() {
    let world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-low");
    assert_eq!(world.advise("R-1").verdict, "ask");
    let letter = one_line(&world.released_letter("R-1").text);
    assert!(letter.contains("please measure three times") && letter.contains("all three"), "{letter}");
}

#[test]
fn the_measures_at_the_fades_belong_to_the_brace_height_they_were_taken_at() {
    let fades = FadeMeasures {
        free_string_inch: 55.0,
        fade_span_inch: 18.0,
        fade_gap_inch: 5.5,
        fade_to_nock_inch: 24.0,
    };
    let measured = Measurements { fades: Some(fades), ..brace(7.0) };
    let constant = |told: &Told| {
        known(told.subject(), &told.reports, &told.pool, &told.settling()).expect("a body").constant.value
    };
    let once = Told::recurve().said(Symptom::BraceLow, measured.clone());
    let later = once.clone().then(Measurements { turns_changed: Some(turns(10.0)), ..brace(7.5) });
    assert!((constant(&once) - constant(&later)).abs() < 1e-12);
    // Without a brace height of their own they belong to the one before.
    let alone = Told::recurve()
        .said(Symptom::BraceLow, brace(7.0))
        .then(Measurements { fades: Some(fades), ..Measurements::default() })
        .then(Measurements { turns_changed: Some(turns(10.0)), ..brace(7.5) });
    assert!((constant(&once) - constant(&alone)).abs() < 1e-12);
}

#[test]
fn a_bow_that_bends_through_the_grip_has_a_span_of_nothing() {
    let world = World::new();
    world.sold_longbow("L-1");
    world.report("L-1", "--symptom brace-low --brace 6");
    let report = world.reading("R-1", "--free-string 62 --fade-span 0 --fade-gap 5-3/4 --fade-to-nock 33");
    assert_eq!(report.readings.last().unwrap().fade_span_inch, Some(0.0));
    let _ = world.line("verify").done();
    assert!(world.advise("R-1").reasons.iter().all(|reason| !reason.contains("contradict")));
}

#[test]
fn who_read_by_strip_is_asked_for_a_ruler() {
    let asked = |by: &str| {
        let world = World::new();
        world.sold_recurve("K-1");
        world.report("K-1", &format!("--symptom brace-low --brace 7-1/2 --shots 400 {by}"));
        assert_eq!(world.advise("R-1").ask, ["brace-again"]);
        one_line(&world.released_letter("R-1").text)
    };
    let with_a_ruler = "measure the brace height three times with a ruler, not with the paper strip";
    assert!(asked("--by strip").contains(with_a_ruler));
    assert!(!asked("").contains("paper strip"));
}
