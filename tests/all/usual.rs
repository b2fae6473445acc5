//! What a workshop usually does, learned from what is on record.

use crate::answers::{RemakeData, StringData};
use crate::world::World;

fn sell(world: &World, serial: u32, more: &str) -> StringData {
    world.sold(
        &format!("W-{serial:04}"),
        &format!(
            "--archer Archer-{serial} --email a{serial}@example.org --kind recurve --marked 62 --tips reinforced \
             --route marked --stated 62 --yarn hmpe --strands 16 --sold-on 2026-09-01 {more}"
        ),
    )
}

/// V28.
#[test]
fn turns_that_are_not_on_record_are_those_that_the_workshop_usually_puts_in() {
    let world = World::new();
    let table = sell(&world, 1, "");
    assert_eq!(table.usual_turns.unwrap()["from"], "table");
    let table = table.turns_taken.unwrap();
    for serial in 2..14 {
        let _ = sell(&world, serial, "--turns 22");
    }
    let learned: StringData = world.json("sold show W-0001");
    let taken = learned.turns_taken.unwrap();
    assert!((22.0..table - 3.0).contains(&taken), "{taken} where the table says {table}");
    assert_eq!(learned.usual_turns.unwrap()["of_make"], 12);
    let _ = world.line("sold show W-0001").done().says(&["usually", "an inch by 12 strings of this make"]);
    let _ =
        world.report("W-0001", "--symptom brace-low --brace 7-1/4 --want 7-1/2..8 --readings 3 --shots 200");
    let _ = world
        .line("advise R-1")
        .done()
        .says(&["Turns in it now: about", "an inch by 12 strings of this make"]);
    // A replacement that was built with worked-out turns teaches nothing of a habit.
    let made: RemakeData = world.json("remake R-1");
    assert_eq!(made.string, "W-0014");
    let again: StringData = world.json("sold show W-0001");
    assert_eq!(again.turns_taken, Some(taken));
    // What the workshop sets comes first; another yarn has learned nothing.
    let _ = world.line("setting set build.turns-per-inch 0.5").done();
    let set: StringData = world.json("sold show W-0001");
    assert_eq!(set.usual_turns.unwrap()["from"], "setting");
    let _ = world.line("setting set build.turns-per-inch default").done();
    let linen = world
        .sold("L-1", "--archer Lin --kind longbow --route marked --ordered 65 --yarn linen --strands 24");
    assert_eq!(linen.usual_turns.unwrap()["from"], "table");
}

#[test]
fn a_replacement_is_numbered_in_the_pattern_of_what_it_replaces() {
    let world = World::new();
    let remade = |serial: &str, report: &str| {
        let _ = world.report(serial, "--symptom broken-strand --shots 200");
        let made: RemakeData = world.json(&format!("remake {report}"));
        made.string
    };
    // By hand: the next number, as wide as the others.
    let _ = sell(&world, 7, "--turns 24");
    let _ = sell(&world, 9, "--turns 24");
    assert_eq!(remade("W-0007", "R-1"), "W-0010");
    // A shop's: its next order takes the next number.
    let rows = "serial,sold_on,route,stated_measure,ordered_length,archer,bow_kind,yarn,strands,turns\n\
                T-0001,2026-08-01,marked,62,58,Una,recurve,hmpe,16,24\n";
    let file = world.write("orders.csv", rows);
    let _ = world.run(["sold", "import", file.as_str()]).done();
    assert_eq!(remade("T-0001", "R-2"), "T-0001-2");
    let _ = world.line("remake sent R-2").done();
    assert_eq!(remade("T-0001-2", "R-3"), "T-0001-3");
    let _ = world.sold(
        "S-4",
        "--archer Ula --kind recurve --route marked --ordered 58 --yarn hmpe --strands 16 --turns 24",
    );
    assert_eq!(remade("S-4", "R-4"), "S-5");
    let _ = world.line("verify").done().says(&["sound"]);
}
