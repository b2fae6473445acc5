//! What scripts rest on: the bench sums, envelopes, exit statuses, streams, where the book is.

use std::process::Stdio;

use crate::answers::{DemoData, InitData, LengthData, ReportLine, SettingData, TwistData};
use crate::world::{World, read_envelope, snapshot};

const TWIST: &str =
    "twist --kind recurve --length 59 --brace 7-1/4 --want 7-1/2..8 --yarn hmpe --strands 16 --turns 24";

#[test]
fn turns_are_worked_out_without_any_book() {
    let world = World::bare();
    let sum: TwistData = world.json(TWIST);
    assert_eq!(sum.outcome, "adjust");
    assert_eq!((sum.brace_now_inch, sum.want_low_inch, sum.want_high_inch), (7.25, 7.5, 8.0));
    let (turns, exact) = (sum.turns.unwrap(), sum.turns_exact.unwrap());
    assert!(turns > 0 && (f64::from(turns) - exact).abs() <= 1.0);
    assert!(sum.string_change_inch.unwrap() > 0.0, "twisted in it is shorter");
    let after = sum.brace_after_inch.unwrap();
    // h'² = h² + 2 K dL with the table's K = 0.149 L.
    let squared = 7.25_f64.powi(2) + 2.0 * 0.149 * 59.0 * sum.string_change_inch.unwrap();
    assert!((after - squared.sqrt()).abs() < 0.01, "{after} against {}", squared.sqrt());
    assert!(sum.reach_low_inch < sum.brace_now_inch && after < sum.reach_high_inch);
    assert!(sum.turns_min <= 24 && 24 + turns <= sum.turns_max);
    assert!((0.5..=1.0).contains(&sum.chance_in_range) && sum.per_turn_inch.unwrap() > 0.0);
    assert_eq!((sum.ratio, sum.ratio_sd, sum.table.len()), (None, None, 0));
    // The table of the letters goes with the turns; after a second reading there is no third go.
    assert!(sum.chance_with_table.is_some_and(|chance| chance > sum.chance_in_range));
    let says =
        |read: f64| sum.then.iter().find(|row| row.low_inch <= read && read <= row.high_inch).unwrap().turns;
    assert_eq!((says(7.75), says(6.0), says(9.0)), (Some(0), None, None));
    assert!(says(7.4375).is_some_and(|turns| turns > 0) && says(8.0625).is_some_and(|turns| turns < 0));
    let second: TwistData = world.json(&format!("{TWIST} --did +4 --got 7-3/8"));
    assert!(second.turns.is_some() && second.then.is_empty() && second.chance_with_table.is_none());
    assert!(sum.length_inch.is_some_and(|length| (58.0..59.0).contains(&length)));
    // What goes before a further go stands above the table.
    let shown = world.line(TWIST).done().text().split_whitespace().collect::<Vec<_>>().join(" ");
    let place = |words: &str| shown.find(words).unwrap_or_else(|| panic!("{words:?} is not in {shown}"));
    assert!(place("unstring it and look string and bow over") < place("It reads"), "{shown}");
    assert!(place("turn no further on a reading outside what the bow's maker gives") < place("It reads"));
    // Many turns are made in two goes, by the rule of the letters.
    let many: TwistData = world.json(&TWIST.replace("7-1/4", "6-3/4"));
    let (all, first) = (many.turns.unwrap(), many.first_step_turns.unwrap());
    assert!(all > 12 && (1..=12).contains(&first) && all - first >= 3, "{first} of {all}");
    let brace = many.first_step_brace_inch.unwrap();
    assert!(brace - 6.75 >= 0.375 && brace < many.brace_after_inch.unwrap());
    let read = (brace * 16.0).round() / 16.0;
    let row = many.first_step_then.iter().find(|row| row.low_inch <= read && read <= row.high_inch);
    assert!(row.unwrap().turns.is_some_and(|rest| (rest - (all - first)).abs() <= 2));
    let shown = world.line(&TWIST.replace("7-1/4", "6-3/4")).done().text();
    assert!(shown.contains(&format!("In two goes: first {first} turns")), "{shown}");
    assert!(world.files().is_empty(), "nothing is written");
    snapshot!("twist", world.line(TWIST).done().text());
}

#[test]
fn the_table_goes_turn_by_turn_with_a_growing_effect() {
    let world = World::bare();
    let sum: TwistData = world.json(&format!("{TWIST} --table"));
    assert!(sum.table.len() > 10);
    for pair in sum.table.windows(2) {
        assert_eq!(pair[1].turns, pair[0].turns + 1);
        assert!(pair[1].brace_after_inch > pair[0].brace_after_inch);
        if pair[0].turns > 0 {
            assert!(pair[1].per_turn_inch > pair[0].per_turn_inch, "{pair:?}");
        }
    }
}

#[test]
fn the_sums_tell_apart_what_needs_nothing_and_what_cannot_be_done() {
    let world = World::bare();
    let ask = |brace: &str| {
        world.json::<TwistData>(&format!(
            "twist --kind recurve --length 59 --brace {brace} --want 7-1/2..8 --yarn hmpe --strands 16 --turns 24"
        ))
    };
    let right = ask("7-3/4");
    assert_eq!((right.outcome.as_str(), right.turns), ("in-range", None));
    assert_eq!(right.brace_after_inch, Some(7.75), "what is there stays");
    let high = ask("9-1/2");
    assert_eq!((high.outcome.as_str(), high.turns), ("out-of-reach", None));
    assert!(high.turns_exact.is_none_or(|turns| turns < 0.0) && high.length_inch.unwrap() > 59.0);
    let low = ask("5");
    assert_eq!((low.outcome.as_str(), low.turns), ("out-of-reach", None));
    assert!(low.turns_exact.unwrap() > 25.0, "the need is told also when out of reach");
    assert!(low.length_inch.unwrap() < 59.0);
    // One value stands for itself and an eighth on either side.
    let one: TwistData = world.json(&TWIST.replace("7-1/2..8", "7-3/4"));
    assert_eq!((one.want_low_inch, one.want_high_inch), (7.625, 7.875));
}

#[test]
fn a_second_reading_and_the_fades_narrow_the_answer() {
    let world = World::bare();
    let longbow =
        "twist --kind longbow --length 63 --brace 6-1/8 --want 6-3/8..6-7/8 --yarn polyester --strands 14";
    let first: TwistData = world.json(&format!("{longbow} --turns 30"));
    let second: TwistData = world.json(&format!("{longbow} --turns 30 --did +7 --got 6-3/8"));
    assert_eq!(second.turns_now, 37.0);
    assert!(second.ratio.is_some() && second.ratio_sd.unwrap() < 0.3);
    assert!(second.brace_now_inch > first.brace_now_inch);
    let fades = "--free-string 57 --fade-span 10 --fade-gap 6 --fade-to-nock 28";
    let measured: TwistData = world.json(&format!("{longbow} --turns 30 {fades}"));
    assert!(measured.brace_after_sd_inch.unwrap() < first.brace_after_sd_inch.unwrap());
    let counted: TwistData = world.json(&format!("{longbow} --turns 30 --turns-known guessed"));
    assert!(counted.brace_after_sd_inch.unwrap() > first.brace_after_sd_inch.unwrap());
    let thrice: TwistData = world.json(&format!("{longbow} --turns 30 --readings 3"));
    assert!(thrice.brace_after_sd_inch.unwrap() < first.brace_after_sd_inch.unwrap());
    let _ = world.line(&format!("{longbow} --did +7")).failed(2);
    let _ = world.line(&format!("{longbow} --free-string 57")).failed(2).says(&["--fade-span, --fade-gap"]);
}

#[test]
fn a_string_length_is_worked_out_without_any_book() {
    let world = World::bare();
    let sum: LengthData = world.json("length --kind longbow --length 63 --brace 6-1/4 --want 6-1/2..7");
    // L' = L - (h'² - h²)/2K with K = 0.131 L, for the middle of the range.
    let change = (6.75_f64.powi(2) - 6.25_f64.powi(2)) / (2.0 * 0.131 * 63.0);
    assert!((sum.string_change_inch - change).abs() < 0.01, "{}", sum.string_change_inch);
    assert!((sum.length_inch - (63.0 - sum.string_change_inch)).abs() < 1e-9);
    assert!((sum.length_rounded_inch * 8.0).fract().abs() < 1e-9);
    assert!((sum.length_rounded_inch - sum.length_inch).abs() <= 0.0625 + 1e-9);
    assert!(sum.length_sd_inch > 0.0 && sum.brace_per_inch > 1.0 && !sum.cautions.is_empty());
    snapshot!(
        "length",
        world.line("length --kind longbow --marked 66 --brace 6-1/4 --want 6-1/2..7").done().text()
    );
}

#[test]
fn the_exit_status_says_what_went_wrong() {
    let world = World::new();
    for (line, status) in [
        ("--help", 0),
        ("--version", 0),
        ("report add --help", 0),
        ("setting list", 0),
        ("report list", 0),
        ("due", 0),
        ("sold find nobody", 0),
    ] {
        assert_eq!(world.line(line).status, status, "{line}");
    }
    for line in [
        "sold show S-1",
        "setting get nothing",
        "twist --kind bow --length 59 --brace 7 --want 8 --yarn hmpe --strands 16",
        "advise R-7",
        "advise nonsense",
        "spool trace X-1",
    ] {
        let _ = world.line(line).refused();
    }
    for line in [
        "",
        "nonsense",
        "sold",
        "report add",
        "twist",
        "remake",
        "advise",
        "--unknown",
        "report add S-1",
        "sold add --plies",
    ] {
        let _ = world.line(line).failed(2);
    }
    assert_eq!(world.line("--version").stdout, format!("fistmele {}\n", env!("CARGO_PKG_VERSION")));
}

#[test]
fn errors_are_json_where_json_is_asked_for() {
    let world = World::new();
    for (line, kind) in [
        ("sold show S-1", "not-found"),
        ("setting set reading.sd plenty", "bad-value"),
        ("setting set chance.floor 2", "bad-value"),
        ("report list --standing nowhere", "bad-value"),
        ("twist --kind recurve", "command-line"),
        ("nonsense", "command-line"),
        ("init", "refused"),
        ("--book nowhere.db due", "no-book"),
        ("sold import nowhere.csv", "file"),
    ] {
        assert_eq!(world.error_of(line).kind, kind, "{line}");
    }
    // The two forms of one error say the same.
    let (text, json) = (world.line("sold show S-1").refused().stderr, world.error_of("sold show S-1"));
    assert!(text.starts_with(&format!("error: {}\n", json.message)), "{text}");
    for hint in &json.hints {
        assert!(text.contains(&format!("  hint: {hint}\n")), "{text}");
    }
}

#[test]
fn an_unknown_word_is_answered_with_the_known_ones_and_the_near_one() {
    let world = World::new();
    world.sold_recurve("K-1");
    let run = world.line("report add K-1 --symptom brace-lo").refused();
    let _ = run.says(&["brace-lo", "brace-low", "brace-high", "will-not-string"]);
    let _ = world.line("setting get reading.sdd").refused().says(&["did you mean reading.sd?"]);
    // Words are matched without case where they stand in files; on the command line as listed.
    let _ = world.line("setting get READING.SD").done();
}

#[test]
fn a_closed_pipe_is_success() {
    let world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-low --brace 7-1/4");
    for line in [
        "setting list",
        "setting list --json",
        "completions bash",
        "advise R-1",
        "letter R-1",
        "sold show K-1",
        "--help",
        "report add --help",
    ] {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let output =
            world.command().args(line.split(' ')).stdout(writer).stderr(Stdio::piped()).output().unwrap();
        let stderr = String::from_utf8_lossy(&output.stderr);
        assert_eq!(output.status.code(), Some(0), "{line}: {stderr}");
        assert!(stderr.is_empty(), "{line}: {stderr}");
    }
}

#[test]
fn notes_go_to_standard_error_and_colour_nowhere() {
    let mut world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-low --brace 7-1/4");
    let again = world.line("report add K-1 --symptom noisy").done();
    assert!(again.stderr.starts_with("note: R-1 of this string is open"), "{}", again.text());
    assert!(!again.stdout.contains("is open"));
    world.set_variable("CLICOLOR_FORCE", "1");
    for line in ["advise R-1", "sold show K-1", "due"] {
        let run = world.line(line).done();
        assert!(!run.stdout.contains('\u{1b}'), "NO_COLOR wins: {:?}", run.stdout);
    }
}

#[test]
fn text_keeps_to_the_width_of_the_terminal() {
    let mut world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-low --brace 6-7/8");
    for (columns, most) in [("60", 60), ("90", 90), ("400", 100), ("5", 50), ("wide", 90)] {
        world.set_variable("COLUMNS", columns);
        let run = world.line("advise R-1").done();
        let widest = run.stdout.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(widest <= most && widest > most / 2, "{columns} columns: {widest}");
    }
}

#[test]
fn the_book_is_where_argument_environment_or_home_say() {
    let mut world = World::bare();
    let made: InitData = world.json("init --book other.db");
    assert_eq!((made.book.as_str(), world.files()), ("other.db", vec!["other.db".to_owned()]));
    // The argument comes before the environment.
    let _ = world.line("due --book other.db").done();
    let _ = world.line("due").refused().says(&["book.db", "fistmele init", "fistmele demo"]);
    world.set_variable("FISTMELE_BOOK", "");
    let made: InitData = world.json("init");
    assert_eq!(made.book, world.arg(".local/share/fistmele/book.db"));
    let _ = world.line("due").done();
}

#[cfg(unix)]
#[test]
fn what_is_written_is_for_its_owner_only() {
    use std::os::unix::fs::PermissionsExt;
    let world = World::new();
    world.sold_recurve("K-1");
    let _ = world.line("card K-1 --html card.html").done();
    let _ = world.line("spool add H-1 --yarn hmpe").done();
    let _ = world.line("spool trace H-1 --csv warn.csv").done();
    let _ = world.line("man pages").done();
    for name in ["book.db", "card.html", "warn.csv", "pages/fistmele.1"] {
        let mode = std::fs::metadata(world.path(name)).unwrap().permissions().mode();
        assert_eq!(mode & 0o777, 0o600, "{name}");
    }
}

#[test]
fn today_can_be_set_and_must_be_a_day() {
    let mut world = World::new();
    world.day("2026-02-28");
    assert_eq!(world.sold("K-1", "--route bow-maker --ordered 60").sold_on.to_string(), "2026-02-28");
    for day in ["2026-02-29", "tomorrow", "28.02.2026"] {
        world.day(day);
        let _ = world.line("due").refused().says(&["FISTMELE_TODAY", "YYYY-MM-DD"]);
    }
    world.day(" ");
    let _ = world.line("due").done();
}

#[test]
fn the_demo_makes_a_book_of_its_own_and_never_touches_another() {
    let world = World::bare();
    let run = world.line("demo --strings 40 --seed 3 --book look.db --json").done();
    let (demo, _): (DemoData, _) = read_envelope(&run.stdout);
    assert_eq!((demo.book.as_str(), demo.scenes.len()), ("look.db", 3));
    let verdicts: Vec<&str> = demo.scenes.iter().map(|scene| scene.advice.verdict.as_str()).collect();
    assert_eq!(verdicts, ["adjust", "remake", "stop"]);
    for scene in &demo.scenes {
        crate::world::check_letter(&scene.letter);
        assert_eq!(scene.report, scene.advice.report);
    }
    let reports: Vec<ReportLine> = world.json("report list --book look.db");
    assert!(reports.len() > 3);
    let before = world.everything();
    let _ = world.line("demo --strings 40 --book look.db").refused().says(&["there already"]);
    assert!(world.everything() == before);
    // The same seed tells the same story.
    let text = world.line("demo --strings 40 --seed 3 --book again.db").done();
    for word in ["=== Try next ===", "fistmele advise", "ADJUST", "REMAKE", "STOP", "again.db"] {
        assert!(text.stdout.contains(word), "{word}");
    }
    let again: Vec<ReportLine> = world.json("report list --book again.db");
    assert_eq!(reports, again);
}

#[test]
fn settings_are_dated_and_listed() {
    let mut world = World::new();
    let before: SettingData = world.json("setting get cost.remake");
    assert_eq!((before.value.as_deref(), before.set_on, before.history.len()), (Some("1800"), None, 0));
    let set =
        |world: &World, value: &str| world.json_of::<SettingData>(["setting", "set", "cost.remake", value]).0;
    world.day("2026-12-01");
    assert_eq!(set(&world, "21,50 EUR").value.as_deref(), Some("2150"));
    world.day("2026-12-05");
    set(&world, "default");
    let after: SettingData = world.json("setting get cost.remake");
    assert_eq!(after.value.as_deref(), Some("1800"));
    let days: Vec<(String, Option<&str>)> =
        after.history.iter().map(|step| (step.set_on.to_string(), step.value.as_deref())).collect();
    assert_eq!(days, [("2026-12-01".to_owned(), Some("2150")), ("2026-12-05".to_owned(), None)]);
    let all: Vec<SettingData> = world.json("setting list");
    // Every rule that can be set has a name, a value or a reason to have none, and a line about it.
    for name in [
        "window.min-degrees",
        "window.max-degrees",
        "play.shorten",
        "play.lengthen",
        "reading.sd",
        "build.tolerance",
        "rounding",
        "chance.floor",
        "cost.answer",
        "cost.remake",
        "cost.label",
        "wait.days",
        "settle.shots",
        "vintage.years",
        "offset.marked.recurve",
        "build.turns-per-inch",
        "length.load",
        "units",
        "currency",
        "workshop.name",
        "workshop.signature",
        "settle.polyester",
        "brace.recurve.62-64",
    ] {
        let setting = all.iter().find(|setting| setting.name == name);
        assert!(setting.is_some_and(|setting| !setting.about.is_empty()), "{name}");
    }
}
