//! What holds for every file, whatever its rows.

use proptest::prelude::*;

use super::*;
use crate::intake::cells::ReadBefore;
use crate::intake::import::{Plan, import};

const HEADER: &str = "serial,sold_on,route,ordered_length";

fn read(input: &[u8]) -> Result<Whole<SoldRow>, IntakeError> {
    sold_by(input, &ColumnMap::default(), &Rules::default())
}

#[test]
fn lines_are_those_in_which_the_records_start() {
    for end in ["\n", "\r\n", "\r"] {
        let text = [
            "\u{feff}Serial;SOLD_ON ; route;ordered_length;Farbe;archer",
            "",
            "T-1;2026-03-02;marked;62;rot;\"two",
            "lines\"",
            " ; ;;;;",
            "T-2;soon;marked;62;;",
            "T-3;2026-03-02;marked;62;;",
        ]
        .join(end);
        let import = sold(&text);
        assert_eq!(
            report(&import.errors),
            format!(
                "line 3, column archer: \"two{}lines\" - expected one line without control or invisible \
                 characters; character 4 is {}\n\
                 line 6, column sold_on: \"soon\" - expected a date such as 2025-03-14 or 14.03.2025 \
                 (more than a date and a time of day is written)\n",
                "\u{fffd}".repeat(end.len()),
                if end == "\n" { "U+000A" } else { "U+000D" }
            )
        );
        assert_eq!(import.rows[0].line, 7);
        assert_eq!((import.row_count, import.delimiter), (3, b';'));
        assert_eq!(import.ignored_columns, ["Farbe"]);
        let saved = as_they_stood(text.as_bytes(), b';', &[3, 7].into()).unwrap();
        let lines: Vec<&str> = text.split(end).collect();
        assert_eq!(String::from_utf8(saved).unwrap(), [lines[0], lines[2], lines[3], lines[6]].join(end));
    }
}

#[test]
fn a_row_has_as_many_values_as_the_header() {
    let import = sold(&format!(
        "{HEADER}\nT-1,2026-03-02,marked\nT-2,2026-03-02,marked,62,5\nT-3,2026-03-02,marked,62,,\n\
         T-4,2026-03-02,\"marked\" ,\"62\"x\n"
    ));
    assert_eq!(
        report(&import.errors),
        "line 2: \"T-1\" - expected 4 values as the header has, not 3; the row is cut short, or a quote is \
         not closed\n\
         line 3: \"T-2\" - expected 4 values as the header has, not 5; put a value that holds the delimiter \
         into quotes\n\
         line 5, column ordered_length: \"62x\" - expected nothing behind a closing quote; a quote inside a \
         quoted value is doubled\n"
    );
    assert_eq!(import.rows.len(), 1);
}

#[test]
fn a_guarded_formula_is_read_as_it_was_meant() {
    let import = sold(&format!("{HEADER},maker\n'-T-1,2026-03-02,marked,62,'=Thea\n"));
    assert_eq!(import.rows[0].string.serial, "-T-1");
    assert_eq!(import.rows[0].string.maker.as_deref(), Some("=Thea"));
}

#[test]
fn bad_rows_that_were_saved_are_read_back_the_same() {
    for end in ["\n", "\r\n", "\r"] {
        let text = [
            &format!("{HEADER},'=maker,note; x"),
            "T-0,2026-03-02,marked,62,,",
            "T-1,soon,marked,62,'=Thea,\"a;\rb\nc\r\nd\" ",
            "T-2,2026-03-02,marked,\"62\"x,,",
        ]
        .join(end);
        let first = sold(&text);
        let saved = as_they_stood(
            text.as_bytes(),
            first.delimiter,
            &[first.errors[0].line, first.errors[1].line].into(),
        );
        let saved = String::from_utf8(saved.unwrap()).unwrap();
        assert_eq!(saved, text.replacen(&format!("T-0,2026-03-02,marked,62,,{end}"), "", 1), "{end:?}");
        assert_eq!(sold(&saved).errors.len(), first.errors.len());
    }
}

#[test]
fn faults_of_the_whole_file_are_told_with_their_place() {
    assert_eq!(read(b""), Err(IntakeError::EmptyFile));
    assert_eq!(
        read(format!("{HEADER}\nT-1\0,,,\n").as_bytes()).unwrap_err().to_string(),
        "line 2, character 4: this is a zero byte, so this is no CSV text in UTF-8 (perhaps a spreadsheet file, or text in \
         UTF-16); save it as CSV in UTF-8"
    );
    assert_eq!(
        read(&[HEADER.as_bytes(), b"\nT-1,\xe4"].concat()).unwrap_err().to_string(),
        "line 2, character 5: this is not UTF-8 text (byte 40 of the file); save it as UTF-8"
    );
    assert_eq!(
        read(format!("{HEADER}\nT-1,,,\nT-2,\"open,,\nT-3,,,\n").as_bytes()).unwrap_err().to_string(),
        "the quote that opens in line 3, column 2, is never closed; close it, or double a quote that is meant"
    );
    assert_eq!(
        read(format!("{HEADER}\n{}", "x".repeat(70_000)).as_bytes()).unwrap_err().to_string(),
        "the value that starts in line 2, column 1, is longer than 64 KiB; perhaps a quote is not closed there"
    );
}

#[test]
fn a_file_of_a_header_alone_has_no_rows() {
    let import = sold(HEADER);
    assert_eq!((import.rows.len(), import.row_count, import.errors.len()), (0, 0, 0));
}

#[test]
fn there_is_a_most_of_rows() {
    let (map, rules) = (ColumnMap::default(), Rules::default());
    let plan = Plan {
        known: SOLD_COLUMNS,
        needed: &[&["serial"]],
        map: &map,
        rules: &rules,
        today: today(),
        most_rows: 2,
        read_before: ReadBefore::default(),
    };
    let rows = |text: &str| {
        whole(|take| import(text.as_bytes(), &plan, &mut |_| {}, |cells, _| cells.serial(), take))
            .map(|import| import.rows.len())
    };
    assert_eq!(rows("serial\nT-1\n\nT-2\n\n"), Ok(2));
    assert_eq!(rows("serial\nT-1\nT-2\nT-3"), Err(IntakeError::TooManyRows { most: 2 }));
}

#[test]
fn progress_ends_with_the_size_of_the_file() {
    let mut text = format!("{HEADER}\n");
    for number in 0..600 {
        text.push_str(&format!("T-{number},2026-03-02,marked,62\n"));
    }
    let mut told = Vec::new();
    let (columns, rules) = (ColumnMap::default(), Rules::default());
    let mut progress = |bytes| told.push(bytes);
    whole(|take| read_sold(text.as_bytes(), &columns, &rules, today(), &mut progress, take)).unwrap();
    assert!(told.is_sorted() && told.len() == 3, "{told:?}");
    assert_eq!(told.last(), Some(&(text.len() as u64)));
}

proptest! {
    #[test]
    fn no_bytes_make_it_panic(bytes in prop::collection::vec(any::<u8>(), 0..200)) {
        let _ = read(&bytes);
    }

    #[test]
    fn no_rows_make_it_panic(body in "([ -~\u{e9}\u{bd}\u{2033}]{0,12}[,;\"\n\r]){0,60}") {
        let text = format!("{}\n{body}", SOLD_COLUMNS.join(","));
        if let Ok(import) = read(text.as_bytes()) {
            prop_assert!(import.rows.len() + bad_rows(&import) <= import.row_count);
        }
        let text = format!("{}\n{body}", REPORT_COLUMNS.join(";"));
        let _ = reports(&text);
        let _ = ColumnMap::from_json(&body, SOLD_COLUMNS);
    }

    #[test]
    fn no_values_make_it_panic(
        values in prop::collection::vec("[0-9a-z½\"' /.,@#+-]{0,10}", SOLD_COLUMNS.len()),
    ) {
        let cells: Vec<(&str, &str)> =
            SOLD_COLUMNS.iter().copied().zip(values.iter().map(String::as_str)).collect();
        let import = sold(&file(&cells, &[]));
        prop_assert!(import.rows.len() + bad_rows(&import) <= 1);
    }
}
