//! The rules of strings sold.

use std::collections::BTreeMap;

use super::*;
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::trade::words::{Across, Lay, LengthAt, Route, Stave, Tips};

/// The one good row of an import.
fn good(cells: &[(&str, &str)]) -> SoldRow {
    let mut import = one_sold(cells);
    assert_eq!(report(&import.errors), "", "{cells:?}");
    import.rows.remove(0)
}

/// Asserts that exactly one error comes of a row, about `column`, with `part` in what is expected.
fn refused(cells: &[(&str, &str)], column: &str, part: &str) {
    let import = one_sold(cells);
    assert_eq!(import.errors.len(), 1, "{cells:?}: {}", report(&import.errors));
    let error = &import.errors[0];
    assert_eq!((error.line, error.column.as_str()), (2, column), "{cells:?}: {error}");
    assert!(error.expected.contains(part), "{cells:?}: {error}");
    assert!(import.rows.is_empty());
    assert_eq!(bad_rows(&import), 1);
}

fn inches(row: &SoldRow) -> f64 {
    row.string.ordered.unwrap().inches()
}

#[test]
fn every_column_is_read_and_kept_in_its_canonical_form() {
    let row = good(&[
        ("serial", " T-1 "),
        ("order_ref", "WS 9"),
        ("sold_on", "02.03.2026"),
        ("delivered_on", "2026-03-05T10:00:00Z"),
        ("archer", "Odalind Quarrie"),
        ("email", "Odalind@Example.org"),
        ("bow_kind", "Recurve"),
        ("bow_marked_length", "5' 6\""),
        ("bow_nock_to_nock", "66"),
        ("draw_weight_lb", "40 lb @ 28"),
        ("brace_low", "8"),
        ("brace_high", "22,9 cm"),
        ("tips", "PLAIN"),
        ("stave", "wood"),
        ("bow_year", "1987"),
        ("route", "Marked"),
        ("stated_measure", "66\""),
        ("offset", "4"),
        ("ordered_length", "62"),
        ("built_length", "62 1/8"),
        ("yarn", "HMPE LCP"),
        ("strands", "16"),
        ("plies", "3"),
        ("lay", "left"),
        ("turns", "24 1/2 turns"),
        ("spool", "B26-1A"),
        ("maker", "Thea"),
        ("silencers", "x"),
        ("price", "24,50 €"),
        ("old_yarn", "polyester"),
        ("old_measured", "Inside"),
    ]);
    assert_eq!(row.line, 2);
    assert_eq!(row.archer.email.as_deref(), Some("Odalind@Example.org"));
    assert_eq!((row.bow.kind, row.bow.tips, row.bow.stave), (BowKind::Recurve, Tips::Plain, Stave::Wood));
    assert_eq!(row.bow.year, Some(1987));
    assert!(row.bow.brace_range.is_some_and(|range| (range.width().inches() - 1.0157).abs() < 1e-3));
    let string = &row.string;
    assert_eq!((string.serial.as_str(), string.order_ref.as_deref()), ("T-1", Some("WS 9")));
    assert_eq!((string.route, string.yarn, string.plies), (Route::Marked, Yarn::HmpeLcp, 3));
    assert_eq!((string.lay, string.silencers, string.price_cents), (Lay::S, Some(true), Some(2450)));
    assert_eq!((string.old_yarn, string.old_measured), (Some(Yarn::Polyester), Some(Across::Inside)));
    assert_eq!(string.turns.map(|turns| turns.value()), Some(24.5));
    let given: Vec<String> = row.given.iter().map(|(column, value)| format!("{column}={value}")).collect();
    assert_eq!(
        given.join(" "),
        "serial=t-1 order_ref=WS 9 sold_on=2026-03-02 delivered_on=2026-03-05 archer=Odalind Quarrie \
         email=odalind@example.org bow_kind=recurve bow_marked_length=66 bow_nock_to_nock=66 \
         draw_weight_lb=40@28 brace_low=8 brace_high=9.0157 tips=plain stave=wood bow_year=1987 \
         route=marked stated_measure=66 offset=4 ordered_length=62 built_length=62.125 yarn=hmpe-lcp \
         strands=16 plies=3 lay=s turns=24.5 spool=B26-1A maker=Thea silencers=yes price=2450 \
         old_yarn=polyester old_measured=inside"
    );
    let columns: Vec<&str> = row.given.iter().map(|(column, _)| *column).collect();
    assert_eq!(columns, SOLD_COLUMNS);
}

#[test]
fn what_is_empty_takes_the_usual_value() {
    let row = good(&[("yarn", ""), ("plies", " "), ("archer", "")]);
    assert_eq!(row.archer, crate::trade::records::Archer::default());
    assert_eq!(row.bow, crate::trade::records::BowProfile::default());
    assert_eq!((row.string.yarn, row.string.plies, row.string.lay), (Yarn::Unknown, 2, Lay::Z));
    assert_eq!(row.given.len(), 4);
}

#[test]
fn needed_values_are_asked_for() {
    refused(&[("serial", " ")], "serial", "the serial as printed");
    refused(&[("sold_on", "")], "sold_on", "the day of sale");
    refused(&[("route", "")], "route", "old-string, marked, nock-to-nock");
    refused(&[("ordered_length", "")], "ordered_length", "or a stated_measure");
}

#[test]
fn a_serial_fits_on_a_label() {
    good(&[("serial", &"é".repeat(80))]);
    refused(&[("serial", &"x".repeat(81))], "serial", "at most 80 characters, not 81");
    refused(&[("serial", "T-\u{7}1")], "serial", "character 3 is U+0007");
}

#[test]
fn days_are_not_in_the_future_and_in_their_order() {
    good(&[("sold_on", "2026-11-15"), ("delivered_on", "2026-11-15")]);
    refused(&[("sold_on", "2026-11-16")], "sold_on", "not after today, 2026-11-15");
    refused(&[("delivered_on", "2026-12-01")], "delivered_on", "not after today");
    refused(&[("delivered_on", "2026-03-01")], "delivered_on", "not before the day of sale, 2026-03-02");
    refused(&[("sold_on", "03/04/2026")], "sold_on", "likely meant: 2026-04-03 or 2026-03-04");
}

#[test]
fn an_unknown_word_is_answered_with_the_known_ones() {
    refused(&[("bow_kind", "recuve")], "bow_kind", "selfbow, longbow, reflex-deflex, recurve");
    refused(&[("bow_kind", "recuve")], "bow_kind", "(perhaps recurve)");
    refused(&[("route", "by eye")], "route", "one of old-string, marked");
    refused(&[("yarn", "silk")], "yarn", "one of polyester, hmpe");
    refused(&[("tips", "wooden")], "tips", "reinforced, plain, unknown");
    refused(&[("stave", "iron")], "stave", "wood, laminated, unknown");
    refused(&[("old_yarn", "silk")], "old_yarn", "one of polyester");
    refused(&[("old_measured", "across")], "old_measured", "one of outside, inside");
    refused(&[("lay", "up")], "lay", "z (right-hand) or s (left-hand)");
    refused(&[("silencers", "perhaps")], "silencers", "yes or no");
}

#[test]
fn counts_have_bounds() {
    for (column, good_ones, bad_ones) in [
        ("strands", ["2", "100"].as_slice(), ["0", "1", "101", "-2", "+3", "12.5", "many"].as_slice()),
        ("plies", &["2", "3"], &["1", "4"]),
        ("turns", &["0", "200", "24,5"], &["201", "-1", "40 crossings"]),
        ("bow_year", &["1800", "2026"], &["1799", "2027", "87"]),
        ("draw_weight_lb", &["5", "45#@28"], &["0", "0 lb", "400", "-40"]),
        ("price", &["0", "24,50"], &["-3", "twenty", "1.234"]),
    ] {
        for value in good_ones {
            good(&[(column, value)]);
        }
        for value in bad_ones {
            refused(&[(column, value)], column, "");
        }
    }
}

#[test]
fn the_ends_of_a_brace_range_come_together_and_in_order() {
    assert!(good(&[("brace_low", "7 1/2"), ("brace_high", "7 1/2")]).bow.brace_range.is_some());
    refused(&[("brace_low", "7 1/2")], "brace_high", "since brace_low is given");
    refused(&[("brace_high", "7 1/2"), ("brace_low", "")], "brace_low", "since brace_high is given");
    refused(&[("brace_low", "9"), ("brace_high", "8")], "brace_low", "not above brace_high, 8\"");
    // An end that cannot be read is not a missing one.
    refused(&[("brace_low", "197"), ("brace_high", "8")], "brace_low", "likely meant: 197 mm");
}

#[test]
fn a_brace_range_must_suit_the_length_of_the_string() {
    let short = [("ordered_length", "50"), ("built_length", ""), ("stated_measure", "")];
    let high = [&short[..], &[("brace_low", "8"), ("brace_high", "13 in")]].concat();
    refused(&high, "brace_high", "a quarter of the string's length");
    refused(&[("brace_low", "2 in"), ("brace_high", "8")], "brace_low", "a thirtieth of the string's length");
}

#[test]
fn an_ordered_length_follows_from_what_was_stated() {
    let kind = ("bow_kind", "recurve");
    let row = good(&[kind, ("stated_measure", "66"), ("ordered_length", "")]);
    assert!((inches(&row) - 62.0).abs() < 1e-12);
    assert_eq!(row.string.offset.map(|offset| offset.inches()), Some(4.0));
    let row = good(&[kind, ("stated_measure", "66"), ("ordered_length", ""), ("offset", "3 1/2")]);
    assert!((inches(&row) - 62.5).abs() < 1e-12);
    // An old string that was pulled tight by hand is carried over to the load, by its own yarn.
    let old = [("route", "old string"), ("stated_measure", "62 1/2"), ("ordered_length", "")];
    let row = good(&[&old[..], &[("old_yarn", "hmpe")]].concat());
    assert!((inches(&row) - 62.75).abs() < 1e-12);
    assert_eq!(row.string.stated_at, LengthAt::HandTight);
    // Without an offset in the row, what was ordered stands.
    let row = good(&[kind, ("stated_measure", "66"), ("ordered_length", "60")]);
    assert_eq!((inches(&row), row.string.offset), (60.0, None));
}

#[test]
fn the_workshops_own_offset_is_used() {
    let rules =
        Rules::from_values(BTreeMap::from([("offset.marked.recurve".to_owned(), "3.625".to_owned())]));
    let text = "serial,sold_on,route,bow_kind,stated_measure,ordered_length\n\
                T-1,2026-03-02,marked,recurve,66,\n";
    let import = sold_by(text.as_bytes(), &ColumnMap::default(), &rules).unwrap();
    assert!((inches(&import.rows[0]) - 62.375).abs() < 1e-12);
}

#[test]
fn nothing_is_worked_out_from_values_that_were_refused() {
    let stated = [("stated_measure", "66"), ("ordered_length", "")];
    refused(&[stated[0], stated[1], ("bow_kind", "recuve")], "bow_kind", "");
    refused(&[stated[0], stated[1], ("offset", "-4")], "offset", "");
    refused(&[stated[0], stated[1], ("route", "by eye")], "route", "");
    refused(&[("stated_measure", "168"), ("ordered_length", "")], "stated_measure", "168 cm");
    refused(
        &[("stated_measure", "20 in"), ("ordered_length", ""), ("offset", "15 in")],
        "stated_measure",
        "gives a string length",
    );
}

#[test]
fn stated_offset_and_ordered_must_agree() {
    let stated = [("stated_measure", "66"), ("offset", "4")];
    good(&[stated[0], stated[1], ("ordered_length", "62 1/4")]);
    refused(
        &[stated[0], stated[1], ("ordered_length", "62 5/16")],
        "ordered_length",
        "about 62\", which is the stated measure 66\" less the offset 4\"; correct one of the three",
    );
}

#[test]
fn a_negative_offset_is_refused_with_a_hint() {
    refused(&[("offset", "-4")], "offset", "write 4\" if so much is taken off");
    assert_eq!(good(&[("offset", "0")]).string.offset.map(|offset| offset.inches()), Some(0.0));
}

#[test]
fn what_was_built_is_near_to_what_was_ordered() {
    good(&[("built_length", "65")]);
    refused(&[("built_length", "58 7/8")], "built_length", "within 3\" of the ordered 62\"");
}

#[test]
fn an_address_has_one_at_sign_with_text_around_it() {
    good(&[("email", "a@b")]);
    for address in ["a", "@b", "a@", "a@b@c", "a b@c", "@"] {
        refused(&[("email", address)], "email", "one @");
    }
}

#[test]
fn texts_are_one_harmless_line() {
    good(&[("archer", &"x".repeat(500)), ("maker", "Thea — ½ \"T\"")]);
    refused(&[("archer", &"x".repeat(501))], "archer", "at most 500 characters");
    refused(&[("spool", "a\nb")], "spool", "character 2 is U+000A");
    refused(&[("maker", "ab\u{1b}[31m")], "maker", "character 3 is U+001B");
    let import = one_sold(&[("order_ref", "a\u{202e}b")]);
    assert!(report(&import.errors).contains("\"a\u{fffd}b\""));
}

#[test]
fn bare_numbers_are_in_the_unit_of_the_book() {
    let rules = Rules::from_values(BTreeMap::from([("units".to_owned(), "cm".to_owned())]));
    let text =
        "serial,sold_on,route,ordered_length\nT-1,2026-03-02,repeat,158.75\nT-2,2026-03-02,repeat,62\n";
    let import = sold_by(text.as_bytes(), &ColumnMap::default(), &rules).unwrap();
    assert!((inches(&import.rows[0]) - 62.5).abs() < 1e-9);
    assert!(report(&import.errors).contains("line 3, column ordered_length: \"62\" - expected"));
}

#[test]
fn every_bad_value_of_a_row_is_reported() {
    let import = one_sold(&[("sold_on", "soon"), ("yarn", "silk"), ("turns", "-3"), ("price", "x")]);
    let columns: Vec<&str> = import.errors.iter().map(|error| error.column.as_str()).collect();
    assert_eq!(columns, ["sold_on", "yarn", "turns", "price"]);
    assert_eq!(bad_rows(&import), 1);
}

#[test]
fn the_same_row_twice_is_one_row() {
    let import = sold(
        "serial,sold_on,route,ordered_length,lay\n\
         T-1,2026-03-02,marked,62 1/2,right\n\
         T-2,2026-03-02,marked,62 1/2,z\n\
         t-1,02.03.2026,Marked,158.75 cm,Z\n",
    );
    assert_eq!(report(&import.errors), "");
    assert_eq!((import.rows.len(), import.row_count), (2, 3));
}

#[test]
fn the_same_serial_with_other_content_names_both_rows_and_values() {
    let import = sold(
        "serial,sold_on,route,ordered_length,strands,spool\n\
         T-1,2026-03-02,marked,62 1/2,,\n\
         t-1,2026-03-02,marked,63,16,\n\
         T-1,2026-03-02,marked,62 1/2,16,\n\
         T-1,2026-03-03,marked,61,16,A\n",
    );
    assert_eq!(
        report(&import.errors),
        "line 3, column ordered_length: \"63\" - expected \"62.5\" as in line 2, which has the same serial \
         \"T-1\", and strands differs too; or a serial of its own for each string\n\
         line 4, column strands: \"16\" - expected an empty value as in line 2, which has the same serial \"T-1\"; \
         or a serial of its own for each string\n\
         line 5, column sold_on: \"2026-03-03\" - expected \"2026-03-02\" as in line 2, which has the same \
         serial \"T-1\", and 3 more columns differ; or a serial of its own for each string\n"
    );
    assert_eq!((import.rows.len(), bad_rows(&import)), (1, 3));
}
