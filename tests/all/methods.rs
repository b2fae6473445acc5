//! `docs/methods.md` and the program name the same methods, functions and tests.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

const TABLE: &str = include_str!("../../docs/methods.md");

/// The marks that a value without a published source must carry, word for word.
const MARKS: [&str; 4] =
    ["own computation", "judgement, no source", "from memory", "common practice, no source"];

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// All Rust text under some folders of the package.
fn text_of(folders: &[&str]) -> String {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = Vec::new();
    for folder in folders {
        sources(&root.join(folder), &mut files);
    }
    files.iter().map(|file| std::fs::read_to_string(file).expect("a source file") + "\n").collect()
}

/// The method ids of a text: M, T or V and two figures.
fn ids(text: &str) -> BTreeSet<String> {
    text.split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|word| {
            word.len() == 3
                && word.starts_with(['M', 'T', 'V'])
                && word[1..].chars().all(|c| c.is_ascii_digit())
        })
        .map(str::to_owned)
        .collect()
}

/// The rows of methods: id, what, symbols, formula, source, validity, function, test.
fn rows() -> Vec<Vec<&'static str>> {
    TABLE
        .lines()
        .filter(|line| line.starts_with('|') && ids(line.split('|').nth(1).unwrap_or_default()).len() == 1)
        .map(|line| line.trim_matches('|').split(" | ").map(str::trim).collect())
        .collect()
}

fn doc_comments(text: &str) -> String {
    text.lines()
        .map(str::trim_start)
        .filter(|line| line.starts_with("///") || line.starts_with("//!"))
        .map(|line| line.to_owned() + "\n")
        .collect()
}

#[test]
fn every_method_stands_in_the_table_and_in_a_doc_comment() {
    let in_table: BTreeSet<String> = rows().iter().map(|row| row[0].to_owned()).collect();
    assert_eq!(in_table.len(), rows().len(), "an id stands there twice");
    assert!(in_table.len() > 40, "the table was not found");
    assert_eq!(
        ids(&doc_comments(&text_of(&["src/danger", "src/mail", "src/mechanics", "src/show", "src/trade"]))),
        in_table
    );
}

/// The names in backticks of a cell.
fn names(cell: &str) -> Vec<&str> {
    cell.split('`').skip(1).step_by(2).collect()
}

#[test]
fn every_function_that_the_table_names_exists() {
    let program = text_of(&["src"]);
    for row in rows() {
        assert_eq!(row.len(), 8, "{row:?}");
        assert!(!names(row[6]).is_empty(), "{} names no function", row[0]);
        for name in names(row[6]) {
            let last = name.rsplit("::").next().unwrap_or(name);
            let forms = [
                format!("fn {last}("),
                format!("const {last}:"),
                format!("static {last}:"),
                format!("struct {last} "),
                format!("enum {last} "),
            ];
            assert!(forms.iter().any(|form| program.contains(form)), "{}: {name} is not there", row[0]);
        }
    }
}

/// The names of the tests in a text: a function under `#[test]`, attributes of its own between.
fn test_names(text: &str) -> BTreeSet<&str> {
    text.split("#[test]").skip(1).filter_map(|after| after.split("fn ").nth(1)?.split('(').next()).collect()
}

#[test]
fn every_test_that_the_table_names_exists() {
    let (program, outside) = (text_of(&["src"]), text_of(&["tests"]));
    let known: BTreeSet<&str> = test_names(&program).union(&test_names(&outside)).copied().collect();
    for row in rows() {
        assert!(!names(row[7]).is_empty(), "{} names no test", row[0]);
        for name in names(row[7]) {
            // A published figure is named by its id, which a check of that file works out.
            let is_figure = name.len() == 3 && name.starts_with(['P', 'T']);
            let there =
                if is_figure { outside.contains(&format!("\"{name}\"")) } else { known.contains(name) };
            assert!(there, "{}: the test {name} is not there", row[0]);
        }
    }
}

#[test]
fn every_method_names_a_source_or_one_of_the_marks() {
    for row in rows() {
        let source = row[4];
        let marked = MARKS.iter().any(|mark| source.contains(mark));
        let dated = source.split(|c: char| !c.is_ascii_digit()).any(|figures| figures.len() == 4);
        let plain =
            source.contains("definition") || source.contains("arithmetic") || source.contains("guides");
        assert!(marked || dated || plain, "{}: {source}", row[0]);
        for (word, mark) in [("judgement", MARKS[1]), ("common practice", MARKS[3]), ("memory", MARKS[2])] {
            assert_eq!(source.matches(word).count(), source.matches(mark).count(), "{}: {source}", row[0]);
        }
    }
}

#[test]
fn the_simulated_customers_have_their_section_and_the_other_table_is_linked() {
    assert!(TABLE.contains("\n## Simulated customers\n"));
    assert!(TABLE.contains("(methods-evidence.md)"));
}
