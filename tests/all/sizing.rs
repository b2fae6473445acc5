//! One ordered length, whichever door a string comes in by.

use serde_json::Value;

use crate::bare_world::World;

const ROUTES: [&str; 6] = ["old-string", "marked", "nock-to-nock", "bow-maker", "worked-out", "repeat"];
const YARNS: [&str; 5] = ["polyester", "hmpe", "hmpe-lcp", "linen", "unknown"];
/// How it was measured; none: nobody said.
const WAYS: [Option<&str>; 4] = [None, Some("loaded"), Some("hand-tight"), Some("unknown")];

fn json(world: &World, arguments: &[&str]) -> Value {
    let answer: Value = serde_json::from_str(&world.ok(&[arguments, &["--json"]].concat())).unwrap();
    answer["data"].clone()
}

#[test]
fn sold_add_sold_import_and_size_give_the_same_ordered_length() {
    let world = World::new();
    world.ok(&["setting", "set", "offset.bow-maker.recurve", "1/4"]);
    let mut rows =
        String::from("serial,sold_on,route,stated_measure,ordered_length,archer,yarn,old_yarn,bow_kind\n");
    let mut by_hand = Vec::new();
    for route in ROUTES {
        // Of what yarn an old string was matters where there is one.
        let old_yarns: &[Option<&str>] =
            if route == "old-string" { &[None, Some("polyester"), Some("hmpe")] } else { &[None] };
        for (yarn, old_yarn) in
            YARNS.into_iter().flat_map(|yarn| old_yarns.iter().map(move |old| (yarn, *old)))
        {
            for at in WAYS {
                let serial = format!("A-{}", by_hand.len());
                let case = format!("{route}, {yarn}, old yarn {old_yarn:?}, measured {at:?}");
                let mut shared = vec!["--route", route, "--stated", "62.1", "--yarn", yarn];
                shared.extend(old_yarn.iter().flat_map(|yarn| ["--old-yarn", yarn]));
                let add =
                    ["sold", "add", "--serial", &serial, "--archer", "Perrin Vane", "--bow-kind", "recurve"];
                let at_sale: Vec<&str> = at.iter().flat_map(|at| ["--stated-at", at]).collect();
                let added = json(&world, &[&add, shared.as_slice(), &at_sale].concat());
                let before: Vec<&str> = at.iter().flat_map(|at| ["--at", at]).collect();
                let sized =
                    json(&world, &[&["size", "--kind", "recurve"], shared.as_slice(), &before].concat());
                assert_eq!(added["ordered_length_inch"], sized["ordered_length_inch"], "{case}");
                assert_eq!(added["offset_inch"], sized["offset_inch"], "{case}");
                // A file has no column for how a measure was taken.
                if at.is_none() {
                    let old = old_yarn.unwrap_or_default();
                    rows.push_str(&format!(
                        "I-{serial},2026-02-01,{route},62.1,,Perrin Vane,{yarn},{old},recurve\n"
                    ));
                }
                by_hand.push((serial, case, at.is_none().then_some(added)));
            }
        }
    }
    world.ok(&["sold", "import", world.write("rows.csv", rows).to_str().unwrap()]);
    for (serial, case, added) in by_hand {
        let Some(added) = added else { continue };
        let imported = json(&world, &["sold", "show", &format!("I-{serial}")]);
        for key in ["ordered_length_inch", "offset_inch", "stated_at", "stated_inch"] {
            assert_eq!(added[key], imported[key], "{case}: {key}");
        }
    }
}

#[test]
fn an_old_string_is_carried_over_to_the_load_by_every_door() {
    let world = World::new();
    let sized = json(
        &world,
        &["size", "--route", "old-string", "--kind", "longbow", "--stated", "60", "--yarn", "polyester"],
    );
    assert_eq!(sized["ordered_length_inch"], 61.0);
    assert!(sized["stated_loaded_inch"].as_f64().unwrap() > 60.9);
    // Who says that it was loaded gets it as it is.
    let loaded = ["size", "--route", "old-string", "--kind", "longbow", "--stated", "60", "--at", "loaded"];
    assert_eq!(json(&world, &loaded)["ordered_length_inch"], 60.0);
    // A shop's own length, with or without the load, is taken as it was ordered.
    for (serial, ordered, status) in [("W-1", "60", 0), ("W-2", "61", 0), ("W-3", "62.5", 1)] {
        let rows = format!(
            "serial,sold_on,route,stated_measure,offset,ordered_length,archer,yarn\n{serial},2026-02-01,old-string,60,0,{ordered},Perrin Vane,polyester\n"
        );
        let file = world.write("row.csv", rows);
        assert_eq!(
            world.run(&["sold", "import", file.to_str().unwrap()]).status.code(),
            Some(status),
            "{ordered}"
        );
    }
    assert_eq!(json(&world, &["sold", "show", "W-2"])["ordered_length_inch"], 61.0);
}
