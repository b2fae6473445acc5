//! Bad input: each is told clearly with the way out, has the right status, and changes nothing.

use std::ffi::OsStr;

use crate::world::{World, snapshot};

/// A workshop with a string and a report, and all that lies in its folder.
fn workshop() -> World {
    let world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-low --brace 7-1/4");
    world
}

/// Runs a line that must be refused, say this, and leave every file as it was.
#[track_caller]
fn refused(world: &World, line: &str, says: &[&str]) {
    refused_run(world, &line.split_whitespace().collect::<Vec<_>>(), says);
}

#[track_caller]
fn refused_run(world: &World, arguments: &[&str], says: &[&str]) {
    let before = world.everything();
    let run = world.run(arguments).refused().says(says);
    assert!(run.stderr.contains("hint: ") || run.stderr.contains("--help"), "no way out: {}", run.text());
    assert!(world.everything() == before, "something changed after {arguments:?}");
    let error = world.error(arguments.iter().copied());
    assert!(!error.message.is_empty() && error.hints.iter().all(|hint| !hint.is_empty()));
    assert!(world.everything() == before, "something changed after {arguments:?} --json");
}

#[test]
fn without_a_book_init_and_demo_are_named() {
    let world = World::bare();
    for line in [
        "due",
        "sold add --route bow-maker --ordered 60",
        "sold show S-1",
        "report list",
        "advise R-1",
        "setting list",
        "card S-1",
        "effects",
        "spool list",
        "bench-test list",
        "remake R-1",
    ] {
        refused(&world, line, &["there is no book at", "fistmele init", "fistmele demo", "--book FILE"]);
    }
    assert!(world.files().is_empty());
}

#[test]
fn a_file_that_is_no_book_is_left_alone() {
    let world = World::bare();
    world.write("empty.db", "");
    world.write("text.db", "Dear diary, today a string broke.\n".repeat(40));
    world.write("image.db", [0x89, b'P', b'N', b'G', 0, 255, 7, 13].repeat(300));
    std::fs::create_dir(world.path("folder.db")).unwrap();
    let foreign = rusqlite::Connection::open(world.path("foreign.db")).unwrap();
    foreign.execute_batch("CREATE TABLE report (id INTEGER); INSERT INTO report VALUES (7);").unwrap();
    drop(foreign);
    for (name, says) in [
        ("empty.db", "is an empty file, not a book"),
        ("text.db", "is not a book of this program"),
        ("image.db", "is not a book of this program"),
        ("folder.db", "is not a book of this program"),
        ("foreign.db", "is not a book of this program"),
    ] {
        refused(&world, &format!("due --book {name}"), &[name, says]);
        refused(&world, &format!("sold add --route bow-maker --ordered 60 --book {name}"), &[says]);
        assert_eq!(world.error_of(&format!("due --book {name}")).kind, "bad-book");
        // Nor is it made into one.
        refused(&world, &format!("init --book {name}"), &["is there already"]);
    }
    refused(&world, "init --book no/such/folder/book.db", &["no/such/folder/book.db", "cannot be made"]);
}

#[test]
fn a_book_of_a_newer_program_is_left_alone() {
    let world = workshop();
    let book = rusqlite::Connection::open(world.book()).unwrap();
    book.pragma_update(None, "user_version", 4711).unwrap();
    drop(book);
    refused(&world, "due", &["made by a newer fistmele", "4711", "update fistmele"]);
    refused(&world, "sold add --route bow-maker --ordered 60", &["newer fistmele"]);
    assert_eq!(world.error_of("due").kind, "newer-book");
}

#[test]
fn a_damaged_book_is_told_and_never_written_to() {
    let world = workshop();
    let bytes = std::fs::read(world.book()).unwrap();
    // Cut short, and overwritten behind the first page.
    for damaged in
        [bytes[..bytes.len() / 3].to_vec(), [&bytes[..4096], &vec![0xA5; bytes.len() - 4096][..]].concat()]
    {
        std::fs::write(world.book(), &damaged).unwrap();
        for line in ["due", "sold show K-1", "report add K-1 --symptom noisy", "setting set wait.days 9"] {
            let run = world.line(line).refused().says(&["damaged", "newest copy"]);
            assert!(!run.stderr.contains("panicked"));
            assert_eq!(std::fs::read(world.book()).unwrap(), damaged, "{line} wrote to a damaged book");
        }
    }
}

#[cfg(unix)]
#[test]
fn a_book_that_may_not_be_written_is_told() {
    use std::os::unix::fs::PermissionsExt;
    let world = workshop();
    let probe = world.path("probe");
    std::fs::create_dir(&probe).unwrap();
    let mode = |path: &std::path::Path, mode| {
        std::fs::set_permissions(path, std::fs::Permissions::from_mode(mode)).unwrap();
    };
    mode(&probe, 0o500);
    // Who may write everywhere cannot be told so.
    if std::fs::write(probe.join("x"), "x").is_ok() {
        return;
    }
    mode(&world.book(), 0o400);
    refused(&world, "setting set wait.days 9", &["read-only", "who may write"]);
}

#[test]
fn unknown_names_are_answered_with_near_ones() {
    let world = workshop();
    world.sold_recurve("K-17");
    refused(&world, "sold show K-11", &["no string \"K-11\"", "did you mean K-1?", "did you mean K-17?"]);
    refused(&world, "report add k1 --symptom noisy", &["did you mean K-1?"]);
    refused(&world, "card K-2", &["did you mean K-1?", "sold find"]);
    refused(&world, "bow edit Z-9999999 --tips plain", &["no string \"Z-9999999\"", "sold find"]);
    refused(&world, "advise R-2", &["no report \"R-2\"", "report list"]);
    refused(&world, "advise two", &["\"two\" is no report", "R-1, R-2"]);
    refused(&world, "advise R-0", &["is no report"]);
    refused(&world, "advise R-99999999999999999999", &["is no report"]);
    refused(&world, "setting set wait.day 9", &["did you mean wait.days?"]);
    refused(&world, "sold add --route bow-maker --ordered 60 --replaces K-2", &["did you mean K-1?"]);
    // Ids are matched without case.
    let _ = world.line("sold show k-1").done();
    let _ = world.line("report show r-1").done();
}

#[test]
fn a_serial_is_sold_once() {
    let world = workshop();
    refused(
        &world,
        "sold add --serial k-1 --route bow-maker --ordered 60",
        &["serial K-1 is taken", "2026-09-01", "fistmele sold show K-1"],
    );
    for serial in ["", "   ", "a\tb", "line\nbreak", "\u{202e}evil", &"x".repeat(81)] {
        let arguments = ["sold", "add", "--serial", serial, "--route", "bow-maker", "--ordered", "60"];
        refused_run(&world, &arguments, &["will not do for a serial"]);
    }
}

#[test]
fn days_must_exist_and_lie_behind_us() {
    let world = workshop();
    let sold = "sold add --route bow-maker --ordered 60";
    for (options, says) in [
        ("--sold-on 2026-02-30", "no such day"),
        ("--sold-on 2025-02-29", "no such day"),
        ("--sold-on 2026-13-01", "2026-13-01"),
        ("--sold-on yesterday", "yesterday"),
        ("--sold-on 2026-11-16", "lies ahead of today, 2026-11-15"),
        ("--sold-on 2026-11-10 --delivered-on 2026-11-09", "before the sale"),
        ("--sold-on 2026-11-10 --delivered-on 2026-11-16", "lies ahead of today"),
        ("--bow-year 2027", "no year a bow was made in"),
        ("--bow-year 1200", "no year a bow was made in"),
    ] {
        refused(&world, &format!("{sold} {options}"), &[says]);
    }
}

#[test]
fn measurements_must_be_able_to_be() {
    let world = workshop();
    let report = ["report", "add", "K-1", "--separate", "--symptom", "brace-low"];
    for (option, value, says) in [
        ("--brace", "-7", "was not taken"),
        ("--brace", "0", "was not taken"),
        ("--brace", "seven", "was not taken"),
        ("--brace", "", "was not taken"),
        ("--brace", "7 4/3", "was not taken"),
        ("--brace", "7 3/0", "was not taken"),
        ("--brace", "7.5.5", "was not taken"),
        ("--brace", "1e9", "was not taken"),
        ("--brace", "NaN", "was not taken"),
        ("--brace", "inf", "was not taken"),
        ("--brace", "7 furlongs", "was not taken"),
        ("--brace", "7 3/4 kg", "was not taken"),
        ("--brace", "197", "likely meant"),
        ("--brace", "7 to 8", "was not taken"),
        ("--brace", "13 ft", "was not taken"),
        ("--want", "8..7", "was not taken"),
        ("--want", "8 to", "was not taken"),
        ("--want", "8..300mm..9", "was not taken"),
        ("--length", "0", "was not taken"),
        ("--length", "1500", "likely meant"),
        ("--shots", "-5", "whole number"),
        ("--shots", "many", "whole number"),
        ("--turns-changed", "+1000000", "was not taken"),
        ("--turns-changed", "some", "was not taken"),
    ] {
        refused_run(&world, &[&report[..], &[option, value]].concat(), &[says]);
    }
    for options in ["--brace 7 --readings 0", "--brace 7 --readings -3", "--brace 7 --readings 100000"] {
        let line = format!("{} {options}", report.join(" "));
        let before = world.everything();
        let run = world.line(&line);
        assert!(matches!(run.status, 1 | 2), "{}", run.text());
        assert!(world.everything() == before);
    }
    let _ = world.line(&format!("{} --readings 3", report.join(" "))).failed(2).says(&["--brace is missing"]);
    let _ = world.line(&format!("{} --turns-counted 3", report.join(" "))).failed(2).says(&["--over"]);
    let _ = world.line(&format!("{} --at loaded", report.join(" "))).failed(2).says(&["--length"]);
    refused(
        &world,
        "report add K-1 --separate --symptom brace-low --brace 7-1/4 --free-string 20 --fade-span 40 --fade-gap 14 --fade-to-nock 8",
        &["four fade measures contradict each other"],
    );
}

#[test]
fn strings_must_be_able_to_be() {
    let world = workshop();
    let sold = "sold add --route marked";
    for (options, says) in [
        ("--stated 62 --strands 0", "a whole number from 2 to 100"),
        ("--stated 62 --strands -4", "a whole number from 2 to 100"),
        ("--stated 62 --strands 1000", "a whole number from 2 to 100"),
        ("--stated 62 --plies 4", "a whole number from 2 to 3"),
        ("--stated 62 --turns -3", "cannot be negative"),
        ("--stated 62 --price twenty", "was not taken"),
        ("--stated 62 --price -3", "was not taken"),
        ("--stated 62 --weight 0", "was not taken"),
        ("--stated 62 --weight 900", "was not taken"),
        ("--stated 62 --email nobody", "no e-mail address"),
        ("--stated 62 --built 63", "more than 3\" apart"),
        ("--stated 62 --ordered 20 --brace-range 11..12", "was not taken"),
        ("--stated 62 --yarn silk", "polyester"),
        ("--stated 62 --kind compound", "recurve"),
        ("--stated 62 --brace-range 8..7", "was not taken"),
    ] {
        refused(&world, &format!("{sold} {options}"), &[says]);
    }
    refused(&world, "sold add --route bow-maker --ordered 34 --brace-range 5..17.5in", &["was not taken"]);
    refused(
        &world,
        "sold add --route bow-maker --ordered 25in --brace-range 12..13in",
        &["too much for a string of"],
    );
    let _ = world.line(sold).failed(2).says(&["ordered length is missing"]);
    let _ = world.line("sold add --ordered 60").failed(2).says(&["sizing route is missing"]);
}

#[test]
fn a_brace_height_above_the_string_is_refused() {
    let world = World::new();
    world.sold("A-1", "--route bow-maker --ordered 24in");
    refused(
        &world,
        "report add A-1 --symptom brace-low --brace 12",
        &["too much for a string of 24", "deepest point of the grip"],
    );
}

const HEAD: &str = "serial,sold_on,route,ordered_length,archer\n";

#[test]
fn faults_of_a_whole_file_are_told() {
    let world = workshop();
    let long = format!("{HEAD}A-1,2026-05-01,marked,60,{}\n", "x".repeat(1 << 20));
    let files: [(&str, Vec<u8>, &str); 14] = [
        ("nothing", b"".to_vec(), "the file is empty"),
        ("blanks", b" \n\n ".to_vec(), "the file is empty"),
        (
            "missing columns",
            b"serial,sold_on\nA-1,2026-05-01\n".to_vec(),
            "needed columns are missing: route, ordered_length",
        ),
        ("foreign headers", b"Nr,Datum\nA-1,2026-05-01\n".to_vec(), "needed columns are missing"),
        ("no header", b"A-1,2026-05-01,marked,60\n".to_vec(), "does not name columns but holds values"),
        (
            "twice the same header",
            b"serial,sold_on,serial,route,ordered_length\n".to_vec(),
            "both have the header",
        ),
        ("latin-1", [HEAD.as_bytes(), b"A-1,2026-05-01,marked,60,J\xf6rg\n"].concat(), "line 2, character"),
        ("utf-16", HEAD.encode_utf16().flat_map(u16::to_le_bytes).collect(), "UTF-16"),
        ("zero bytes", [HEAD.as_bytes(), b"A-1\0,2026-05-01,marked,60,x\n"].concat(), "line 2, character"),
        (
            "an open quote",
            [HEAD.as_bytes(), b"A-1,2026-05-01,marked,60,\"Jo\nA-2,x\n"].concat(),
            "never closed",
        ),
        ("a field of a megabyte", long.into_bytes(), "is longer than"),
        ("a spreadsheet", b"PK\x03\x04\x14\x00\x06\x00\x08\x00".to_vec(), "zero byte"),
        ("only a header", HEAD.as_bytes().to_vec(), ""),
        ("a bell", [HEAD.as_bytes(), b"A-\x07,2026-05-01,marked,60,x\n"].concat(), "U+0007"),
    ];
    for (name, bytes, says) in files {
        let file = world.write("orders.csv", bytes);
        if says.is_empty() {
            // Nothing sold is nothing to do.
            let _ = world.run(["sold", "import", &file]).done().says(&["0 strings added"]);
            continue;
        }
        refused_run(&world, &["sold", "import", &file], &[says]);
        assert!(!world.run(["sold", "import", &file]).stderr.contains('\u{7}'), "{name}");
    }
    std::fs::remove_file(world.path("orders.csv")).unwrap();
    refused(&world, "sold import nowhere.csv", &["nowhere.csv cannot be read", "check the name"]);
    refused(&world, "sold import .", &["cannot be read"]);
}

#[test]
fn faults_of_rows_are_told_by_line_and_column() {
    let world = workshop();
    let good = "A-1,2026-05-01,marked,60,Jo\n";
    for (row, says) in [
        (",2026-05-01,marked,60,Jo", "line 3, column serial: (empty)"),
        ("A-1,2026-05-01,marked,61,Jo", "line 3, column ordered_length"),
        ("A-2,2026-02-30,marked,60,Jo", "line 3, column sold_on: \"2026-02-30\""),
        ("A-2,2027-01-01,marked,60,Jo", "not after today"),
        ("A-2,2026-05-01,guessed,60,Jo", "line 3, column route: \"guessed\""),
        ("A-2,2026-05-01,marked,,Jo", "line 3, column ordered_length: (empty)"),
        ("A-2,2026-05-01,marked,1524,Jo", "likely meant: 1524 mm"),
        ("A-2,2026-05-01,marked,-60,Jo", "line 3, column ordered_length: \"-60\""),
        ("A-2,2026-05-01", "5 values as the header has, not 2"),
        ("A-2,2026-05-01,marked,60,Jo,more", "5 values as the header has, not 6"),
        ("A-2,2026-05-01,marked,60,\"Jo\"hn", "closing quote"),
        ("k-1,2026-05-01,marked,60,Odalind", "entered by hand"),
    ] {
        let file = world.write("orders.csv", format!("{HEAD}{good}{row}\n"));
        refused_run(&world, &["sold", "import", &file], &[says, "nothing was written", "--skip-bad"]);
        // The good row beside it is not written either.
        let _ = world.line("sold show A-1").refused();
    }
    // One row twice is one row.
    let file = world.write("orders.csv", format!("{HEAD}{good}{good}"));
    let run = world.run(["sold", "import", &file]);
    assert!(matches!(run.status, 0 | 1), "{}", run.text());
}

#[test]
fn faults_of_a_column_map_are_told() {
    let world = workshop();
    let orders = world.write("orders.csv", format!("{HEAD}A-1,2026-05-01,marked,60,Jo\n"));
    for (map, says) in [
        ("", "no JSON"),
        ("{", "no JSON"),
        ("[]", "one object of texts"),
        ("{\"serial\": 7}", "gives serial no header"),
        ("{\"serail\": \"Nr\"}", "perhaps serial"),
        ("{\"serial\": \"Nr\"}", "which the first line does not name"),
        ("{\"serial\": \"serial\", \"serial\": \"route\"}", "names serial twice"),
        ("{\"serial\": \"route\", \"route\": \"route\"}", "uses the header \"route\" twice"),
    ] {
        let map = world.write("map.json", map);
        refused_run(&world, &["sold", "import", &orders, "--columns", &map], &[says]);
    }
}

#[test]
fn commas_semicolons_tabs_and_byte_order_marks_are_all_read() {
    for (name, text) in [
        ("comma", "serial,sold_on,route,ordered_length\nA-1,2026-05-01,marked,60\n"),
        ("semicolon", "serial;sold_on;route;ordered_length\nA-1;2026-05-01;marked;60\n"),
        ("tab", "serial\tsold_on\troute\tordered_length\nA-1\t2026-05-01\tmarked\t60\n"),
        ("mark", "\u{feff}SERIAL,Sold_On,ROUTE,ordered_length\r\nA-1,2026-05-01,MARKED,60\r\n"),
        ("any order", "ordered_length,route,sold_on,serial\n60,marked,2026-05-01,A-1"),
    ] {
        let world = World::new();
        let file = world.write("orders.csv", text);
        let _ = world.run(["sold", "import", &file]).done().says(&["1 strings added"]);
        let _ = world.line("sold show A-1").done();
        assert_eq!(world.files(), ["book.db", "orders.csv"], "{name}: no stray files");
    }
}

#[test]
fn control_characters_in_a_mail_are_made_harmless() {
    let world = workshop();
    let mail = "Hello\u{1b}[2J\u{7} my \u{202e}string\u{200b} is\u{0008} low\r\nBye";
    let run = world.with_input(
        ["report", "add", "K-1", "--separate", "--symptom", "brace-low", "--text", "-"],
        mail.as_bytes(),
    );
    let _ = run.done();
    for line in ["report show R-2", "sold show K-1", "advise R-2", "letter R-2"] {
        let run = world.line(line).done();
        for bad in ['\u{1b}', '\u{7}', '\u{8}', '\u{202e}', '\u{200b}', '\r'] {
            assert!(!run.stdout.contains(bad), "{line} shows {bad:?}");
        }
    }
    let shown = world.line("report show R-2").done();
    let _ = shown.says(&["Hello\u{fffd}[2J"]);
    // In an argument they are refused or shown harmless, never printed.
    let run = world.run(["sold", "show", "K\u{1b}[31m-1"]).refused();
    assert!(!run.stderr.contains('\u{1b}'), "{:?}", run.stderr);
    let run = world.run(["sold", "add", "--route", "bow-maker", "--ordered", "60", "--archer", "a\u{1b}b"]);
    assert!(!run.refused().stderr.contains('\u{1b}'));
    let run = world.run(["report", "add", "K-1", "--symptom", "brace\u{1b}[31m"]).refused();
    assert!(!run.stderr.contains('\u{1b}'), "{:?}", run.stderr);
}

#[cfg(unix)]
#[test]
fn invalid_utf8_is_refused_not_guessed() {
    use std::os::unix::ffi::OsStrExt;
    let world = workshop();
    let before = world.everything();
    let bad = OsStr::from_bytes(b"K-\xff1");
    for arguments in [
        vec![OsStr::new("sold"), OsStr::new("show"), bad],
        vec![OsStr::new("report"), OsStr::new("add"), bad, OsStr::new("--symptom"), OsStr::new("noisy")],
        vec![OsStr::new("setting"), OsStr::new("set"), OsStr::new("workshop.name"), bad],
        vec![bad],
    ] {
        let run = world.run(&arguments);
        assert!(matches!(run.status, 1 | 2), "{}", run.text());
        assert!(!run.stderr.contains("panicked"), "{}", run.text());
    }
    assert!(world.everything() == before);
    // A path is not text: a book of such a name works, or is refused, but never panics.
    let run = world.run([OsStr::new("due"), OsStr::new("--book"), bad]);
    let _ = run.refused().says(&["there is no book at"]);
    let text = world
        .with_input(["report", "add", "K-1", "--separate", "--symptom", "noisy", "--text", "-"], b"caf\xe9");
    let _ = text.refused().says(&["is not UTF-8 text", "save it as UTF-8"]);
    assert!(world.everything() == before);
}

#[test]
fn the_words_of_errors_are_kept() {
    let world = workshop();
    let lines = [
        "sold show K-2",
        "report add K-1 --separate --symptom brace-low --brace 197",
        "report add K-1 --separate --symptom brace-low --want 8..7",
        "sold add --serial K-1 --route bow-maker --ordered 60",
        "sold add --route bow-maker --ordered 60 --strands 0",
        "sold add --route bow-maker --ordered 60 --sold-on 2026-02-30",
        "reading add R-1 --turns-changed -30",
        "setting set chance.floor 2",
        "remake sent R-1",
        "spool trace H-1",
        "due --book nowhere.db",
    ];
    let told: Vec<String> = lines
        .iter()
        .map(|line| format!("$ fistmele {line}\n{}", world.line(line).refused().text()))
        .collect();
    snapshot!("errors", told.join("\n"));
}
