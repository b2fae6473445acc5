//! Text in CSV files that a spreadsheet would take for a formula.

/// A text as it is safely written into a CSV file that a spreadsheet may open.
///
/// A text that starts with `=`, `+`, `-`, `@`, a tab or a carriage return gets a leading
/// apostrophe, unless it is a plain number such as `-4` or `+2.5`. So does a text that starts
/// like a guarded one, so that [`read_csv_field_safe`] always gives back what was written.
/// Quoting for CSV is not done here.
#[must_use]
pub fn write_csv_field_safe(field: &str) -> String {
    let is_guarded_already = field.starts_with('\'') && looks_like_formula(field);
    if is_guarded_already || (looks_like_formula(field) && !is_plain_number(field)) {
        format!("'{field}")
    } else {
        field.to_owned()
    }
}

/// The text that was written by [`write_csv_field_safe`]; any other text is returned as it is.
#[must_use]
pub fn read_csv_field_safe(field: &str) -> &str {
    match field.strip_prefix('\'') {
        Some(text) if looks_like_formula(field) => text,
        _ => field,
    }
}

/// Whether the text, apostrophes before it aside, starts as a formula does.
fn looks_like_formula(field: &str) -> bool {
    field.trim_start_matches('\'').starts_with(['=', '+', '-', '@', '\t', '\r'])
}

/// A number with or without a sign and decimals, which is safe in a spreadsheet.
fn is_plain_number(field: &str) -> bool {
    let digits = field.strip_prefix(['+', '-']).unwrap_or(field);
    let (whole, decimals) = digits.split_once(['.', ',']).unwrap_or((digits, "0"));
    [whole, decimals].iter().all(|part| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit()))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn formulas_are_guarded_and_numbers_are_not() {
        for (text, written) in [
            ("=1+1", "'=1+1"),
            ("@sum", "'@sum"),
            ("+49 170", "'+49 170"),
            ("-2 1/2", "'-2 1/2"),
            ("-", "'-"),
            ("+1.5.", "'+1.5."),
            ("\t=1", "'\t=1"),
            ("\r=1", "'\r=1"),
            ("-4", "-4"),
            ("+2.5", "+2.5"),
            ("-2,5", "-2,5"),
            ("5' 2\"", "5' 2\""),
            ("'quoted'", "'quoted'"),
            ("", ""),
        ] {
            assert_eq!(write_csv_field_safe(text), written, "{text:?}");
        }
    }

    #[test]
    fn a_text_that_looks_guarded_survives() {
        assert_eq!(write_csv_field_safe("'=1"), "''=1");
        assert_eq!(read_csv_field_safe("''=1"), "'=1");
        assert_eq!(read_csv_field_safe("'tis"), "'tis");
    }

    proptest! {
        #[test]
        fn what_is_written_is_read_back(text in "'{0,3}[=+\\-@\t\r]?.{0,8}") {
            let written = write_csv_field_safe(&text);
            prop_assert_eq!(read_csv_field_safe(&written), text);
        }

        #[test]
        fn what_is_written_never_starts_a_formula(text in "[=+\\-@\t\r]?[0-9.,a-z ()]{0,8}") {
            let written = write_csv_field_safe(&text);
            prop_assert!(!looks_like_formula(&written) || written.starts_with('\'') || is_plain_number(&written));
        }
    }
}
