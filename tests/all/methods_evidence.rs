//! The table of methods and the program name the same formulas.

use std::collections::BTreeSet;

const TABLE: &str = include_str!("../../docs/methods-evidence.md");

/// The files that hold the methods and their tests.
fn program() -> String {
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut text = String::new();
    for folder in ["src/evidence", "src/numeric"] {
        for entry in std::fs::read_dir(root.join(folder)).unwrap() {
            text.push_str(&std::fs::read_to_string(entry.unwrap().path()).unwrap());
        }
    }
    for file in ["tests/all/published_statistics.rs", "tests/all/reference_statistics.rs"] {
        text.push_str(&std::fs::read_to_string(root.join(file)).unwrap());
    }
    text
}

/// The method ids of a text: E or N and two figures.
fn ids(text: &str) -> BTreeSet<String> {
    text.split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|word| {
            let digits = word.trim_start_matches(['E', 'N']);
            word.len() == 3 && digits.len() == 2 && digits.chars().all(|c| c.is_ascii_digit())
        })
        .map(str::to_owned)
        .collect()
}

fn rows() -> Vec<Vec<&'static str>> {
    TABLE
        .lines()
        .filter(|line| line.starts_with("| E") || line.starts_with("| N"))
        .map(|line| line.trim_matches('|').split(" | ").map(str::trim).collect())
        .collect()
}

#[test]
fn every_method_id_stands_in_the_table_and_in_the_program() {
    let in_table: BTreeSet<String> = rows().iter().map(|row| row[0].to_owned()).collect();
    assert_eq!(in_table.len(), rows().len(), "an id stands there twice");
    let program = program();
    let doc_comments: String = program.lines().filter(|line| line.trim_start().starts_with("///")).collect();
    assert_eq!(ids(&doc_comments), in_table);
}

#[test]
fn every_function_and_test_that_the_table_names_exists() {
    let program = program();
    for row in rows() {
        assert_eq!(row.len(), 7, "{row:?}");
        for cell in &row[5..7] {
            let names: Vec<&str> = cell.split('`').skip(1).step_by(2).collect();
            assert!(!names.is_empty(), "{row:?} names no function or no test");
            for name in names {
                let last = name.rsplit("::").next().unwrap_or(name);
                // A published figure is named by its id in the file of checks.
                let forms = [
                    format!("fn {last}("),
                    format!("fn {last}<"),
                    format!("struct {last} "),
                    format!("enum {last} "),
                    format!("\"{last}\""),
                ];
                assert!(
                    forms.iter().any(|text| program.contains(text)),
                    "{}: {name} is not in the program",
                    row[0]
                );
            }
        }
    }
}
