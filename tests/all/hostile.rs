//! Hostile text in every field: nothing panics, nothing hangs, nothing reaches the terminal raw.

use std::ffi::OsString;
use std::os::unix::ffi::OsStringExt;
use std::time::{Duration, Instant};

use chrono::NaiveDate;
use fistmele::intake::{
    ColumnMap, IntakeError, SOLD_COLUMNS, read_csv_field_safe, read_sold, write_csv_field_safe,
};
use fistmele::quantity::{
    Measure, Unit, parse_date, parse_draw_weight, parse_length, parse_money, parse_range, parse_turn_count,
    parse_turns,
};
use fistmele::trade::rules::Rules;
use fistmele::trade::setting::{canonical_value, find_setting};
use fistmele::words::is_unsafe;

use crate::bare_world::{World, text};

/// Cases of each kind.
const CASES: u32 = 6000;

/// Pieces that have hurt other programs, and pieces of what is meant.
const PIECES: [&str; 64] = [
    "7",
    "3/4",
    "-",
    "+",
    " ",
    "in",
    "\"",
    "'",
    "cm",
    "mm",
    "..",
    "to",
    "½",
    "¾",
    ",",
    ".",
    "0",
    "1e309",
    "-1e-400",
    "NaN",
    "inf",
    "99999999999999999999",
    "/0",
    "1/0",
    "0/0",
    "\u{0}",
    "\u{1b}[2J",
    "\u{1b}]0;x\u{7}",
    "\u{202e}",
    "\u{2066}",
    "\u{200b}",
    "\u{feff}",
    "\r",
    "\n",
    "\t",
    "=1+1",
    "@SUM(A1)",
    "+cmd|' /C calc'!A0",
    "<script>",
    "&lt;",
    "\"\"",
    ";",
    "{{ x }}",
    "{%",
    "%s%n",
    "\\",
    "$(id)",
    "`id`",
    "'; DROP TABLE string; --",
    "٣",
    "７",
    "e\u{301}",
    "💥",
    "ﷺ",
    "\u{10ffff}",
    "－",
    "⁄",
    "…",
    "#",
    "lb",
    "45#@28",
    "2026-02-30",
    "31.12.99999",
    "Z\u{300}",
];

struct Draw(fastrand::Rng);

impl Draw {
    fn text(&mut self) -> String {
        let mut text = String::new();
        for _ in 0..self.0.usize(0..7) {
            if self.0.u8(..) < 230 {
                text.push_str(PIECES[self.0.usize(..PIECES.len())]);
            } else {
                text.push(self.0.char(..));
            }
        }
        if self.0.u16(..) < 40 {
            text = text.repeat(self.0.usize(1..4000));
        }
        text
    }
}

fn assert_harmless(said: &str) {
    assert!(!said.chars().any(|c| c != '\n' && is_unsafe(c)), "{said:?}");
    assert!(said.chars().count() < 4000, "a message of {} characters", said.chars().count());
}

#[test]
fn measurements_are_read_or_refused_and_never_more() {
    let mut draw = Draw(fastrand::Rng::with_seed(1));
    let start = Instant::now();
    let measures =
        [Measure::Brace, Measure::StringLength, Measure::BowLength, Measure::Serving, Measure::Offset];
    for case in 0..CASES {
        let text = draw.text();
        let unit = [Unit::Inch, Unit::Cm, Unit::Mm][case as usize % 3];
        let what = measures[case as usize % measures.len()];
        match parse_length(&text, unit, what) {
            Ok(length) => assert!(length.inches().is_finite()),
            Err(error) => assert_harmless(&error.to_string()),
        }
        let refusals = [
            parse_range(&text, unit, Measure::WantedBrace).err().map(|error| error.to_string()),
            parse_turns(&text).err().map(|error| error.to_string()),
            parse_turn_count(&text).err().map(|error| error.to_string()),
            parse_date(&text).err().map(|error| error.to_string()),
            parse_money(&text).err().map(|error| error.to_string()),
            parse_draw_weight(&text).err().map(|error| error.to_string()),
        ];
        refusals.iter().flatten().for_each(|said| assert_harmless(said));
    }
    assert!(start.elapsed() < Duration::from_secs(60));
}

#[test]
fn settings_are_kept_or_refused_and_never_more() {
    let mut draw = Draw(fastrand::Rng::with_seed(2));
    let names =
        ["reading.sd", "units", "workshop.name", "brace.longbow", "cost.answer", "turn-constant.hmpe.16.2"];
    for case in 0..CASES {
        let (name, value) = (draw.text(), draw.text());
        let _ = find_setting(&name).map_err(|error| assert_harmless(&error.to_string()));
        let Ok(setting) = find_setting(names[case as usize % names.len()]) else { continue };
        match canonical_value(&setting, &value, Unit::Inch) {
            Ok(kept) => {
                let rules = Rules::from_values([(setting.name.clone(), kept)].into_iter().collect());
                assert!(rules.reading_sd.is_finite());
            }
            Err(error) => assert_harmless(&error.to_string()),
        }
    }
}

#[test]
fn column_maps_are_read_or_refused_and_never_more() {
    let mut draw = Draw(fastrand::Rng::with_seed(3));
    for case in 0..CASES {
        let json = match case % 4 {
            0 => draw.text(),
            1 => serde_json::json!({ draw.text(): draw.text(), "serial": draw.text() }).to_string(),
            2 => format!("{}1{}", "[".repeat(draw.0.usize(0..5000)), "]".repeat(draw.0.usize(0..5000))),
            _ => format!("{{\"serial\":{}}}", draw.text()),
        };
        if let Err(error) = ColumnMap::from_json(&json, SOLD_COLUMNS) {
            assert_harmless(&error.to_string());
        }
    }
}

#[test]
fn orders_of_any_bytes_are_read_or_refused_row_by_row() {
    let mut draw = Draw(fastrand::Rng::with_seed(4));
    let (rules, columns) = (Rules::default(), ColumnMap::default());
    let today = NaiveDate::from_ymd_opt(2026, 3, 1).unwrap();
    let start = Instant::now();
    for case in 0..CASES / 3 {
        let mut bytes = Vec::new();
        if case % 5 == 0 {
            bytes.extend((0..draw.0.usize(0..900)).map(|_| draw.0.u8(..)));
        } else {
            bytes.extend(SOLD_COLUMNS.join(",").into_bytes());
            for _ in 0..draw.0.usize(0..6) {
                bytes.push(b'\n');
                let mut fields = Vec::new();
                for column in SOLD_COLUMNS {
                    let field = match (draw.0.u8(..) < 120, *column) {
                        (true, "serial") => format!("S-{}", draw.0.u8(..)),
                        (true, "sold_on") => "2026-01-05".to_owned(),
                        (true, "route") => "marked".to_owned(),
                        (true, "ordered_length") => "58".to_owned(),
                        (true, _) => String::new(),
                        _ => draw.text(),
                    };
                    let quoted = format!("\"{}\"", field.replace('"', "\"\""));
                    fields.push(if draw.0.bool() { quoted } else { field });
                }
                bytes.extend(fields.join(",").into_bytes());
            }
            if case % 5 == 1 && !bytes.is_empty() {
                let at = draw.0.usize(..bytes.len());
                bytes[at] = draw.0.u8(128..);
            }
        }
        let read = read_sold::<IntakeError>(&bytes, &columns, &rules, today, &mut |_| {}, &mut |row| {
            match row {
                Ok(row) => assert!(!row.string.serial.chars().any(is_unsafe)),
                Err(errors) => errors.iter().for_each(|error| assert_harmless(&error.to_string())),
            }
            Ok(())
        });
        if let Err(error) = read {
            assert_harmless(&error.to_string());
        }
    }
    assert!(start.elapsed() < Duration::from_secs(60));
}

#[test]
fn guarded_fields_come_back_unchanged() {
    let mut draw = Draw(fastrand::Rng::with_seed(5));
    for _ in 0..CASES {
        let text = draw.text();
        let written = write_csv_field_safe(&text);
        assert!(!written.starts_with(['=', '@', '\t', '\r']));
        assert_eq!(read_csv_field_safe(&written), text);
    }
}

#[test]
fn the_program_takes_hostile_arguments_in_every_field() {
    let world = World::new();
    let mut draw = Draw(fastrand::Rng::with_seed(6));
    let fields = [
        "--archer",
        "--email",
        "--order",
        "--maker",
        "--colours",
        "--spool",
        "--serial",
        "--built",
        "--turns",
    ];
    for case in 0..120_usize {
        let value: String = draw.text().chars().filter(|c| *c != '\0').take(60_000).collect();
        let field = fields[case % fields.len()];
        let arguments =
            ["sold", "add", "--archer", "x", "--route", "marked", "--stated", "62", "--kind", "recurve"];
        let skip = if field == "--archer" { 4 } else { 2 };
        let mut command = world.command();
        command.args(&arguments[..2]).args(&arguments[skip..]).arg(format!("{field}={value}"));
        let output = command.output().unwrap();
        let status = output.status.code();
        assert!(matches!(status, Some(0 | 1)), "{field} {value:?}: {status:?} {}", text(&output.stderr));
        for stream in [&output.stdout, &output.stderr] {
            let said = text(stream);
            assert!(!said.chars().any(|c| c == '\u{1b}' || c == '\u{202e}'), "{said:?}");
        }
    }
    for arguments in [vec!["sold", "find", "x"], vec!["history"], vec!["sold", "show", "S-1"]] {
        let said = world.ok(&arguments);
        assert!(!said.chars().any(|c| c != '\n' && is_unsafe(c)), "{said:?}");
    }
    world.assert_sound();
}

#[test]
fn arguments_and_files_that_are_no_text_are_refused() {
    let world = World::new();
    world.add_string("S-1");
    let junk = || OsString::from_vec(vec![b'a', 0xff, 0xfe, b'b']);
    for before in [
        vec!["sold", "show"],
        vec!["sold", "find"],
        vec!["advise"],
        vec!["forget"],
        vec!["history", "--string"],
        vec!["setting", "get"],
        vec!["sold", "add", "--archer"],
    ] {
        let output = world.command().args(&before).arg(junk()).output().unwrap();
        assert!(matches!(output.status.code(), Some(1 | 2)), "{before:?}: {}", text(&output.stderr));
    }
    // A path may be any bytes.
    let copy = world.folder().join(junk());
    let output = world.command().arg("backup").arg(&copy).output().unwrap();
    assert!(output.status.success(), "{}", text(&output.stderr));
    let output = World::command_on(&copy).arg("verify").output().unwrap();
    assert!(output.status.success(), "{}", text(&output.stderr));
    let letter = world.write("letter.txt", [b'a', 0, 0xff, 0x1b, b'[']);
    world.refused(1, &["report", "add", "S-1", "--symptom", "other", "--text", letter.to_str().unwrap()]);
    let letter = world.write("letter.txt", "NUL \0 and \u{1b}[2J and \u{202e} and <b>");
    let said = world.ok(&["report", "add", "S-1", "--symptom", "other", "--text", letter.to_str().unwrap()]);
    assert!(!said.contains('\u{1b}'));
    assert!(!world.ok(&["report", "show", "R-1"]).chars().any(|c| c != '\n' && is_unsafe(c)));
    let _endless = world.run(&["report", "add", "S-1", "--symptom", "other", "--text", "/dev/null"]);
    world.refused(1, &["verify", "--book", "/dev/zero"]);
    world.assert_sound();
}
