//! The table of methods and the program name the same formulas.

use std::collections::BTreeSet;

const TABLE: &str = include_str!("../../docs/methods-evidence.md");

const PROGRAM: [&str; 23] = [
    include_str!("../../src/evidence/advice.rs"),
    include_str!("../../src/evidence/change.rs"),
    include_str!("../../src/evidence/cost.rs"),
    include_str!("../../src/evidence/length_error.rs"),
    include_str!("../../src/evidence/length_error_tests.rs"),
    include_str!("../../src/evidence/posterior.rs"),
    include_str!("../../src/evidence/posterior_tests.rs"),
    include_str!("../../src/evidence/questions.rs"),
    include_str!("../../src/evidence/ranking.rs"),
    include_str!("../../src/evidence/rate.rs"),
    include_str!("../../src/evidence/restart.rs"),
    include_str!("../../src/evidence/ripeness.rs"),
    include_str!("../../src/evidence/sighting.rs"),
    include_str!("../../src/evidence/still_to_come.rs"),
    include_str!("../../src/evidence/summary.rs"),
    include_str!("../../src/evidence/survival.rs"),
    include_str!("../../src/numeric/beta.rs"),
    include_str!("../../src/numeric/counts.rs"),
    include_str!("../../src/numeric/gamma.rs"),
    include_str!("../../src/numeric/inverse.rs"),
    include_str!("../../src/numeric/normal.rs"),
    include_str!("published_statistics.rs"),
    include_str!("reference_statistics.rs"),
];

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
    let doc_comments: String = PROGRAM
        .iter()
        .flat_map(|text| text.lines())
        .filter(|line| line.trim_start().starts_with("///"))
        .collect();
    assert_eq!(ids(&doc_comments), in_table);
}

#[test]
fn every_function_and_test_that_the_table_names_exists() {
    let program = PROGRAM.concat();
    for row in rows() {
        assert_eq!(row.len(), 7, "{row:?}");
        for cell in &row[5..7] {
            let names: Vec<&str> = cell.split('`').skip(1).step_by(2).collect();
            assert!(!names.is_empty(), "{row:?} names no function or no test");
            for name in names {
                let last = name.rsplit("::").next().unwrap_or(name);
                // A published figure is named by its id in the file of checks.
                let forms = [
                    format!("fn {last}"),
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
