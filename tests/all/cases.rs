//! From report to settled through the program: what follows from what, what is due, what it costs.

use crate::answers::{
    CardData, DueData, RemakeData, ReportData, ReportLine, SettledData, SpoolData, StringData, TraceData,
};
use crate::world::{World, snapshot};

const ANSWER: i64 = 400;
const REMAKE: i64 = 1800;
const LABEL: i64 = 600;

/// Reports with where they stand, oldest first.
fn standings(world: &World) -> Vec<(String, String)> {
    let mut lines: Vec<ReportLine> = world.json("report list");
    lines.reverse();
    lines.into_iter().map(|line| (line.report, line.standing)).collect()
}

#[track_caller]
fn expect_standings(world: &World, expected: &[&str]) {
    let found = standings(world);
    let found: Vec<&str> = found.iter().map(|(_, standing)| standing.as_str()).collect();
    assert_eq!(found, expected);
}

/// Reports on the workshop's side and silent archers of a day, and how many are in time.
fn due(world: &World) -> (Vec<String>, Vec<String>, u32) {
    let due: DueData = world.json("due");
    let ids = |lines: &[crate::answers::DueLineData]| lines.iter().map(|line| line.report.clone()).collect();
    (ids(&due.workshop), ids(&due.silent_archers), due.in_time)
}

#[track_caller]
fn settled(world: &World, report: &str, outcome: &str, cause: &str) -> SettledData {
    let settled: SettledData = world.json(&format!("settle {report}"));
    assert_eq!((settled.outcome.as_str(), settled.cause.as_str()), (outcome, cause), "{report}");
    assert_eq!((settled.proposed_cause.as_str(), settled.standing.as_str()), (cause, "settled"));
    settled
}

#[test]
fn five_reports_go_from_mail_to_settled() {
    let mut world = World::new();
    for serial in ["K-1", "K-2", "K-3"] {
        world.sold_recurve(serial);
    }
    world.sold(
        "K-4",
        "--archer Sunniva --kind recurve --marked 62 --brace-range 7-1/2..8 --route marked --stated 62 \
         --offset 3-1/2 --yarn hmpe --strands 16 --turns 24 --sold-on 2026-09-01",
    );
    world.sold_longbow("L-1");

    // Five mails come in.
    world.report("K-1", "--symptom brace-low --brace 7-1/4 --shots 300 --no-danger");
    world.report("L-1", "--symptom brace-high --brace 7-1/2 --readings 3 --no-danger");
    world.report("K-2", "--symptom serving-place --marker down --no-danger");
    world.report("K-3", "--symptom serving-gap --no-danger");
    world.report("K-4", "--symptom noisy --brace 7-3/4 --tips plain --no-danger");
    expect_standings(&world, &["to-answer"; 5]);
    assert_eq!(due(&world), (["R-1", "R-2", "R-3", "R-4", "R-5"].map(str::to_owned).to_vec(), vec![], 0));

    // Each is answered; a promised remake stays the workshop's turn.
    world.day("2026-11-16");
    let verdicts: Vec<String> = (1..=5).map(|number| world.letter(&format!("R-{number}")).verdict).collect();
    assert_eq!(verdicts, ["adjust", "remake", "adjust", "mend", "stop"]);
    expect_standings(&world, &["with-archer", "to-answer", "with-archer", "with-archer", "to-answer"]);
    assert_eq!(due(&world).0, ["R-2", "R-5"]);
    let next: DueData = world.json("due");
    assert_eq!(next.workshop[0].next, "fistmele remake R-2");

    // The bench: the new string is linked, of the right length, the rest as the first.
    let advised = world.advise("R-2");
    let new: RemakeData = world.json("remake R-2");
    assert_eq!((new.replaces.as_str(), new.standing.as_str()), ("L-1", "on-bench"));
    assert_eq!(Some(new.length_inch), advised.remake_length_inch);
    assert_eq!(new.turns, advised.remake_turns.map(f64::from));
    assert_eq!((new.yarn.as_str(), new.strands, new.plies), ("polyester", Some(14), 2));
    let longbow_again = new.string;
    // Stopped for its yarn: the new one is of polyester.
    let other: RemakeData = world.json("remake R-5");
    assert_eq!((other.yarn.as_str(), other.replaces.as_str()), ("polyester", "K-4"));
    assert_eq!(world.letter("R-2").letter, "bench");
    expect_standings(&world, &["with-archer", "on-bench", "with-archer", "with-archer", "on-bench"]);

    // The first archers write back.
    world.day("2026-11-18");
    world.reading("R-1", "--turns-changed +11 --brace 7-3/4 --no-danger");
    world.reading("R-3", "--marker up --brace 7-3/4 --no-danger");
    assert_eq!(world.letter("R-1").verdict, "reassure");
    assert_eq!(world.letter("R-3").verdict, "reassure");
    let sent: RemakeData = world.json("remake sent R-2");
    assert_eq!((sent.sent_on.unwrap().to_string(), sent.standing.as_str()), ("2026-11-18".into(), "in-post"));
    let _ = world.line("remake sent R-5").done();
    assert_eq!(world.letter("R-2").letter, "posted");

    // Nobody is pressed before a week, and then all who are silent.
    world.day("2026-11-22");
    assert_eq!(due(&world), (vec![], vec![], 5));
    world.day("2026-11-23");
    assert_eq!(due(&world).1, ["R-4"], "written to on the 16th");
    world.day("2026-11-25");
    assert_eq!(due(&world).1, ["R-4", "R-1", "R-2", "R-3", "R-5"]);
    snapshot!("due", world.line("due").done().text());

    // The ends, proposed from the evidence.
    let adjusted = settled(&world, "R-1", "adjusted", "sizing");
    assert!(adjusted.length_error_inch.unwrap() < 0.0, "it came too long: {adjusted:?}");
    assert_eq!(adjusted.cost_cents, 2 * ANSWER);
    let back: RemakeData = world.json("remake back R-2");
    assert_eq!((back.back_on.unwrap().to_string(), back.standing.as_str()), ("2026-11-25".into(), "in-post"));
    let remade = settled(&world, "R-2", "remade", "sizing");
    assert_eq!(remade.right_length_inch, Some(new.length_inch));
    assert_eq!(remade.length_error_inch, Some(new.length_inch - 65.0));
    assert_eq!(remade.cost_cents, 3 * ANSWER + REMAKE + LABEL, "told of remake, bench and post");
    let flipped = settled(&world, "R-3", "adjusted", "handling");
    assert_eq!(flipped.cost_cents, 2 * ANSWER);
    assert_eq!(settled(&world, "R-4", "mended", "workshop").cost_cents, ANSWER);
    assert_eq!(settled(&world, "R-5", "remade", "yarn-choice").cost_cents, ANSWER + REMAKE + LABEL);
    expect_standings(&world, &["settled"; 5]);
    assert_eq!(due(&world), (vec![], vec![], 0));

    // The new string is a string like any other, for the same archer and bow.
    let again: StringData = world.json(&format!("sold show {longbow_again}"));
    assert_eq!((again.replaces.as_deref(), again.archer.name.as_deref()), (Some("L-1"), Some("Hanno")));
    assert_eq!((again.bow.marked_length_inch, again.ordered_length_inch), (Some(68.0), new.length_inch));
    assert_eq!(world.json::<Vec<ReportLine>>("report list --standing settled").len(), 5);
    assert!(world.json::<Vec<ReportLine>>("report list --standing to-answer").is_empty());
}

#[test]
fn what_is_not_possible_now_is_refused_with_what_is() {
    let world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-high --brace 8-1/2 --readings 3");
    let refused = |line: &str, says: &[&str]| {
        let before = world.everything();
        let _ = world.line(line).refused().says(says);
        assert!(world.everything() == before, "{line} changed something");
    };
    refused("remake sent R-1", &["nothing is on the bench", "fistmele remake R-1"]);
    refused("remake back R-1", &["nothing is on the bench", "fistmele remake R-1"]);
    refused("resume R-1", &["is not settled", "to-answer"]);
    let _ = world.line("remake R-1").done();
    refused("remake R-1", &["K-2 is on the bench for R-1 already", "fistmele report add K-2"]);
    refused("settle R-1", &["K-2 is still on the bench", "fistmele remake sent R-1"]);
    let _ = world.line("remake sent R-1").done();
    refused("remake sent R-1", &["K-2 was posted on 2026-11-15 already", "fistmele settle R-1"]);
    refused("remake R-1", &["K-2 is in the post for R-1 since 2026-11-15"]);
    let _ = world.line("remake back R-1").done();
    refused("remake back R-1", &["K-1 came back on 2026-11-15 already"]);
    let _ = world.line("settle R-1").done();
    refused("settle R-1", &["settled on 2026-11-15 already", "fistmele resume R-1"]);
    refused("reading add R-1 --brace 7-3/4", &["R-1 is settled", "fistmele resume R-1"]);
    refused("remake R-1", &["R-1 is settled", "fistmele resume R-1"]);
    refused("remake sent R-1", &["R-1 is settled"]);
    let _ = world.line("resume R-1").done();
    refused("resume R-1", &["is not settled"]);
    for line in ["settle R-2", "resume R-2", "remake R-2", "remake sent R-2", "remake back R-2", "letter R-2"]
    {
        refused(line, &["no report \"R-2\"", "fistmele report list"]);
    }
}

#[test]
fn the_old_string_may_come_back_after_the_end() {
    let world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-high --brace 8-1/2 --readings 3");
    for step in ["remake R-1", "remake sent R-1", "settle R-1", "remake back R-1"] {
        let _ = world.line(step).done();
    }
    assert_eq!(world.standing("R-1"), "settled");
}

#[test]
fn a_settled_report_is_taken_up_again_and_ended_anew() {
    let world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-low --brace 7-1/4 --no-danger");
    world.letter("R-1");
    assert_eq!(settled(&world, "R-1", "adjusted", "sizing").cost_cents, ANSWER);
    let resumed: ReportData = world.json("resume R-1");
    assert_eq!((resumed.standing.as_str(), resumed.outcome, resumed.cause), ("to-answer", None, None));
    world.reading("R-1", "--turns-changed +11 --brace 7-3/4 --no-danger");
    world.letter("R-1");
    assert_eq!(settled(&world, "R-1", "adjusted", "sizing").cost_cents, 2 * ANSWER);
}

#[test]
fn causes_are_proposed_from_the_evidence_and_can_be_overruled() {
    let proposed = |sold: &str, said: &str| {
        let world = World::new();
        let usual = "--kind recurve --marked 62 --brace-range 7-1/2..8 --route marked --stated 62 --offset 3-1/2 \
                     --yarn hmpe --strands 16 --turns 24";
        world.sold("K-1", &format!("{usual} {sold}"));
        world.report("K-1", said);
        world.letter("R-1");
        world.json::<SettledData>("settle R-1").proposed_cause
    };
    let reinforced = "--tips reinforced";
    for (sold, said, cause) in [
        ("--tips reinforced --built 59", "--symptom brace-low --brace 7-1/4", "workshop"),
        ("--tips reinforced --built 58-5/8", "--symptom brace-low --brace 7-1/4", "sizing"),
        (reinforced, "--symptom brace-low --brace 7-7/16 --shots 20", "settling"),
        (reinforced, "--symptom serving-place --marker down", "handling"),
        (reinforced, "--symptom brace-high --brace 8-1/2 --turns-counted 8 --over 10", "handling"),
        (reinforced, "--symptom loose-tags", "cosmetic"),
        (reinforced, "--symptom fuzzy", "cosmetic"),
        (reinforced, "--symptom serving-gap", "workshop"),
        (reinforced, "--symptom bow-damage", "bow"),
        ("--tips plain", "--symptom noisy --brace 7-3/4", "yarn-choice"),
        (reinforced, "--symptom brace-low --brace 7-3/4", "unknown"),
        (reinforced, "--symptom other", "unknown"),
    ] {
        assert_eq!(proposed(sold, said), cause, "{sold} {said}");
    }
    let world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-low --brace 7-1/4 --no-danger");
    world.letter("R-1");
    let ended = world.line("settle R-1 --cause handling --right-length 58-3/8 --outcome reassured").done();
    let _ = ended.says(&["overruled", "58 3/8\"", "-1/8\""]);
    let report: ReportData = world.json("report show R-1");
    assert_eq!((report.cause.as_deref(), report.outcome.as_deref()), (Some("handling"), Some("reassured")));
    assert_eq!(report.right_length_inch, Some(58.375));
    let _ = world.line("resume R-1").done();
    let _ = world.line("settle R-1 --cause weather").refused().says(&["workshop", "yarn-choice"]);
    let _ = world.line("settle R-1 --right-length 5").refused().says(&["was not taken"]);
    assert_eq!(world.standing("R-1"), "to-answer");
}

#[test]
fn a_string_that_was_made_again_twice_shows_the_whole_chain() {
    let mut world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-high --brace 8-1/2 --readings 3");
    for step in ["letter R-1 --no-danger", "remake R-1", "remake sent R-1", "remake back R-1", "settle R-1"] {
        let _ = world.line(step).done();
    }
    world.day("2026-11-30");
    // The new one is too long by an inch of brace; it is reported and made again in turn.
    world.report("K-2", "--symptom brace-low --brace 5-1/2 --readings 3");
    for step in [
        "letter R-2 --no-danger",
        "remake R-2 --length 57-3/4 --serial K-1c",
        "remake sent R-2",
        "settle R-2",
    ] {
        let _ = world.line(step).done();
    }
    for serial in ["K-1", "K-2", "K-1c"] {
        let shown: StringData = world.json(&format!("sold show {serial}"));
        assert_eq!(shown.chain, ["K-1", "K-2", "K-1c"], "{serial}");
    }
    let (first, second, third): (StringData, StringData, StringData) =
        (world.json("sold show K-1"), world.json("sold show K-2"), world.json("sold show K-1c"));
    assert_eq!((first.replaces.as_deref(), &first.replaced_by[..]), (None, &["K-2".to_owned()][..]));
    assert_eq!(
        (second.replaces.as_deref(), &second.replaced_by[..]),
        (Some("K-1"), &["K-1c".to_owned()][..])
    );
    assert_eq!((third.replaces.as_deref(), third.replaced_by.len()), (Some("K-2"), 0));
    assert_eq!(third.ordered_length_inch, 57.75);
    snapshot!("chain", world.line("sold show K-2").done().text());

    // Costs add up in cents: by report, by string, by archer.
    let cost = |report: &str| world.json::<ReportData>(&format!("report show {report}")).cost_cents;
    assert_eq!(cost("R-1"), ANSWER + REMAKE + LABEL);
    assert_eq!((first.cost_cents, second.cost_cents, third.cost_cents), (cost("R-1"), cost("R-2"), 0));
    for string in [&first, &second, &third] {
        assert_eq!(string.archer_cost_cents, cost("R-1") + cost("R-2"));
        assert_eq!(string.cost_cents, string.reports.iter().map(|report| report.cost_cents).sum::<i64>());
    }
    // Another archer's strings are not in it.
    world.sold_longbow("L-1");
    assert_eq!(world.json::<StringData>("sold show L-1").archer_cost_cents, 0);
}

#[test]
fn a_remake_may_be_decided_otherwise_within_reason() {
    let world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-high --brace 8-1/2 --readings 3");
    let _ = world.line("remake R-1 --length 66").refused().says(&["more than 6 in off", "not the bow's"]);
    let _ = world.line("remake R-1 --serial k-1").refused().says(&["is taken"]);
    let new: RemakeData = world.json("remake R-1 --length 59 --serial K-1b");
    assert_eq!((new.length_inch, new.worked_out_length_inch), (59.0, Some(59.25)));
    assert_eq!(new.string, "K-1b");
}

#[test]
fn an_archer_who_writes_again_continues_the_report_unless_told_otherwise() {
    let world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-low --brace 7-1/4 --no-danger");
    world.letter("R-1");
    let (again, notes) = world.json_of::<ReportData>(
        "report add K-1 --symptom loose-tags --turns-changed +11 --brace 7-3/4".split(' '),
    );
    assert_eq!((again.report.as_str(), again.readings.len()), ("R-1", 2));
    assert_eq!(again.symptoms, ["brace-low", "loose-tags"]);
    assert!(notes[0].contains("--separate"), "{notes:?}");
    assert_eq!(again.standing, "to-answer", "whoever writes is answered");
    let apart = world.report("K-1", "--symptom serving-gap --separate");
    assert_eq!(apart.report, "R-2");
    let _ = world.line("settle R-1").done();
    let _ = world.line("settle R-2 --sure").done();
    assert_eq!(world.report("K-1", "--symptom noisy").report, "R-3", "a settled one is not continued");
}

#[test]
fn what_an_archer_says_of_the_bow_is_kept_with_the_bow() {
    let world = World::new();
    world.sold("K-1", "--kind recurve --route marked --stated 62 --yarn hmpe");
    world.report(
        "K-1",
        "--symptom noisy --tips reinforced --bow-year 2015 --marked 62 --brace-range 7-1/2..8",
    );
    let bow = world.json::<StringData>("sold show K-1").bow;
    assert_eq!((bow.tips.as_str(), bow.year), ("reinforced", Some(2015)));
    assert_eq!((bow.marked_length_inch, bow.brace_high_inch), (Some(62.0), Some(8.0)));
    let edited: StringData = world.json("bow edit K-1 --bow-kind longbow --stave laminated");
    assert_eq!((edited.bow.kind.as_str(), edited.bow.stave.as_str()), ("longbow", "laminated"));
    assert_eq!(edited.bow.year, Some(2015), "what is not named stays");
    let _ = world.line("bow edit K-1").refused();
}

#[test]
fn a_lot_of_yarn_is_traced_to_its_strings() {
    let mut world = World::new();
    let added: SpoolData = world.json("spool add H-7 --yarn hmpe --colour forest --bought-on 2026-03-02");
    assert_eq!((added.spool.as_str(), added.yarn.as_str(), added.strings), ("H-7", "hmpe", 0));
    let _ = world.line("spool add h-7 --yarn hmpe").refused().says(&["there is a lot", "spool trace"]);
    let usual = "--kind recurve --marked 62 --tips reinforced --route marked --stated 62 --yarn hmpe --strands 16 \
                 --turns 24 --sold-on 2026-03-10 --delivered-on 2026-03-12";
    for number in 1..=12 {
        let lot = if number <= 6 { "H-7" } else { "H-8" };
        world.sold(&format!("Y-{number}"), &format!("{usual} --archer A{number} --spool {lot}"));
    }
    // A name that a spreadsheet would take for a formula stays text.
    let _ = world
        .run([
            "sold",
            "add",
            "--serial",
            "Y-13",
            "--archer",
            "=1+2, \"Jo\"",
            "--email",
            "jo@example.org",
            "--route",
            "marked",
            "--stated",
            "62",
            "--yarn",
            "hmpe",
            "--spool",
            "H-7",
            "--sold-on",
            "2026-03-11",
        ])
        .done();
    for number in 1..=5 {
        world.report(&format!("Y-{number}"), "--symptom frayed");
    }
    world.day("2026-11-20");
    let spools: Vec<SpoolData> = world.json("spool list");
    let lots: Vec<(&str, u32, u32)> =
        spools.iter().map(|spool| (spool.spool.as_str(), spool.strings, spool.reported)).collect();
    assert_eq!(lots, [("H-7", 7, 5), ("H-8", 6, 0)]);
    let trace: TraceData = world.json("spool trace h-7 --csv warn.csv");
    assert_eq!((trace.lot.reports, trace.rest.reports, trace.strings.len()), (5, 0, 7));
    assert!(trace.lot.rate.unwrap() > 0.6 && trace.rest.rate == Some(0.0));
    assert!(trace.chance_worse.unwrap() > 0.9, "{trace:?}");
    assert!(["worse", "clearly-worse"].contains(&trace.label.as_str()), "{}", trace.label);
    let csv = std::fs::read_to_string(world.path("warn.csv")).unwrap();
    let mut lines = csv.lines();
    assert_eq!(lines.next(), Some("string,sold_on,archer,email,reported"));
    assert_eq!(csv.lines().count(), 8);
    assert!(csv.contains("Y-1,2026-03-10,A1,,frayed\n"), "{csv}");
    let guarded = csv.lines().find(|line| line.starts_with("Y-13")).unwrap();
    assert!(guarded.contains("\"'=1+2, \"\"Jo\"\"\""), "{guarded}");
    let _ = world.line("spool trace H-9").refused().says(&["did you mean H-7?"]);
    let shown = world.line("spool trace H-7").done();
    let _ = shown.says(&["H-7", "Y-13", "this lot", "the rest"]);
}

#[test]
fn the_card_holds_every_field_and_its_page_is_escaped() {
    let mut world = World::new();
    let name = "<The \"Long\" & Bench>";
    let _ = world.run(["setting", "set", "workshop.name", name]).done();
    world.sold_recurve("K<1>&");
    let card: CardData = world.json("card K<1>&");
    assert_eq!((card.bow_length_inch, card.loaded_length_inch, card.load_lb), (Some(62.0), 58.5, 100.0));
    assert_eq!((card.yarn.as_str(), card.strands, card.plies), ("hmpe", Some(16), Some(2)));
    assert_eq!(card.lay.as_deref(), Some("z"));
    assert_eq!((card.turns, card.turns_min, card.turns_max), (Some(24.0), 23, 49));
    assert_eq!((card.maker_initials.as_deref(), card.date.to_string()), (Some("BT"), "2026-09-01".into()));
    assert_eq!((card.brace_low_inch, card.brace_high_inch), (Some(7.5), Some(8.0)));
    assert_eq!((card.brace_source.as_deref(), card.serving_inch), (Some("bow-maker"), Some(-1.0)));
    assert!(card.play_in_inch > 1.0 && card.play_out_inch > 0.0 && card.play_out_inch < 0.1);
    assert!(card.steps.iter().all(|step| (step.turns > 0) == (step.brace_change_inch > 0.0)));
    assert!(!card.steps.is_empty() && !card.cautions.is_empty() && !card.polyester_only);
    let text = world.run(["card", "K<1>&"]).done();
    let fields = [
        "for the bow",
        "marked 62\"",
        "K<1>&",
        "58 1/2\" under the workshop's load of 100 lb",
        "HMPE",
        "16 strands x 2 plies",
        "Z lay",
        "24 turns as built",
        "BT, 2026-09-01",
        "to take in",
        "to let out",
        "7 1/2\" to 8\"",
        "by turning",
        "upper limb",
        "loose tag ends",
        "harmless",
        "1\" below",
        "Cautions",
    ];
    let _ = text.clone().says(&fields);
    snapshot!("card", text.text());
    let _ = world.run(["card", "K<1>&", "--html", "card.html"]).done().says(&["card.html"]);
    let page = std::fs::read_to_string(world.path("card.html")).unwrap();
    let plain = page.replace("&quot;", "\"").replace("&#x27;", "'").replace("&#x2f;", "/");
    for field in &fields[..fields.len() - 1] {
        let escaped = field.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;");
        assert!(plain.contains(&escaped), "{field} is not on the page");
    }
    for raw in ["K<1>", "<The", "& Bench", "<script"] {
        assert!(!page.contains(raw), "{raw} stands unescaped");
    }
    assert!(page.contains("size: A6") && page.contains("class=\"label\""));
    assert!(!page.contains("http://") && !page.contains("https://"), "one file, nothing fetched");
    // An old bow's card says polyester only; the days go by, the date of the card does not.
    world.day("2027-01-01");
    world.sold(
        "V-1",
        "--kind recurve --marked 62 --bow-year 1970 --route marked --stated 62 --yarn polyester",
    );
    let old: CardData = world.json("card V-1");
    assert!(old.polyester_only && old.cautions.iter().any(|caution| caution.contains("polyester")));
    let _ = world.run(["card", "K<1>&", "--html", "no/such/folder/card.html"]).refused();
}
