//! Every reference of the tests and the documents can be followed inside the tree.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use serde_json::Value;

const SOURCES: &str = include_str!("../checks/SOURCES.md");
const METHODS: [&str; 2] =
    [include_str!("../../docs/methods.md"), include_str!("../../docs/methods-evidence.md")];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn texts(folder: &Path, found: &mut Vec<(PathBuf, String)>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            texts(&path, found);
        } else if path.extension().is_some_and(|end| end == "rs" || end == "md" || end == "json") {
            found.push((path.clone(), std::fs::read_to_string(&path).unwrap()));
        }
    }
}

/// What explains something: sources, tests without their data, documents.
fn explaining() -> Vec<(PathBuf, String)> {
    let mut found = Vec::new();
    for folder in ["src", "docs", "benches", "tests/all", "tests/support", "tests/checks"] {
        texts(&root().join(folder), &mut found);
    }
    for file in ["README.md", "DEVELOPERS.md", "CHANGELOG.md"] {
        found.push((root().join(file), std::fs::read_to_string(root().join(file)).unwrap()));
    }
    found
}

/// Words of letters, figures and what stands in the name of a file.
fn words(text: &str, joins: &'static [char]) -> impl Iterator<Item = String> {
    let text = text.to_owned();
    let words: Vec<String> = text
        .split(move |c: char| !c.is_ascii_alphanumeric() && !joins.contains(&c))
        .map(str::to_owned)
        .collect();
    words.into_iter()
}

#[test]
fn every_document_that_is_named_is_there() {
    let mut missing = BTreeSet::new();
    for (path, text) in explaining() {
        for name in words(&text, &['.', '/', '-', '_']).filter(|word| word.len() > 3 && word.ends_with(".md"))
        {
            let places = [root().to_owned(), root().join("docs"), path.parent().unwrap().to_owned()];
            if !places.iter().any(|place| place.join(name.trim_start_matches('/')).is_file()) {
                missing.insert(format!("{} names {name}", path.display()));
            }
        }
    }
    assert!(missing.is_empty(), "{}", missing.into_iter().collect::<Vec<_>>().join("\n"));
}

/// The sources that stand in square brackets.
fn cited(text: &str) -> BTreeSet<String> {
    text.split("[S")
        .skip(1)
        .filter_map(|rest| rest.split_once(']'))
        .filter(|(number, _)| !number.is_empty() && number.chars().all(|c| c.is_ascii_digit()))
        .map(|(number, _)| format!("S{number}"))
        .collect()
}

#[test]
fn every_source_in_brackets_is_listed_and_every_listed_one_is_cited() {
    let listed: BTreeSet<String> = SOURCES
        .lines()
        .filter_map(|line| line.strip_prefix("| S")?.split_once(" | "))
        .map(|(number, _)| format!("S{number}"))
        .collect();
    let mut named = BTreeSet::new();
    for (path, text) in
        explaining().into_iter().filter(|(path, _)| !path.ends_with("tests/checks/SOURCES.md"))
    {
        let unknown: Vec<String> = cited(&text).into_iter().filter(|id| !listed.contains(id)).collect();
        assert!(unknown.is_empty(), "{} cites {unknown:?}", path.display());
        named.extend(cited(&text));
    }
    assert_eq!(named, listed);
    assert!(cited(SOURCES).is_subset(&listed));
}

/// Ids of the entries of a file of check values.
fn entries(file: &str) -> BTreeSet<String> {
    let text = std::fs::read_to_string(root().join("tests/checks").join(file)).unwrap();
    let checks: Value = serde_json::from_str(&text).unwrap();
    let checks = checks["checks"].as_array().unwrap();
    checks.iter().map(|check| check["id"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn every_method_and_check_value_that_is_named_is_there() {
    let mut known: BTreeSet<String> = METHODS
        .iter()
        .flat_map(|table| table.lines())
        .filter_map(|line| line.strip_prefix("| ")?.split_once(" | "))
        .map(|(id, _)| id.to_owned())
        .collect();
    for file in ["trade.json", "mechanics.json"] {
        known.extend(entries(file));
    }
    assert!(known.len() > 100, "the tables were not found");
    let is_id = |word: &String| {
        word.len() == 3
            && word.starts_with(['M', 'V', 'E', 'N', 'T', 'P'])
            && word[1..].chars().all(|c| c.is_ascii_digit())
    };
    let mut missing = BTreeSet::new();
    for (path, text) in explaining() {
        for id in words(&text, &[]).filter(is_id).filter(|id| !known.contains(id)) {
            missing.insert(format!("{} names {id}", path.display()));
        }
    }
    assert!(missing.is_empty(), "{}", missing.into_iter().collect::<Vec<_>>().join("\n"));
}

#[test]
fn the_ways_to_follow_a_reference_lead_somewhere() {
    for (names, file) in [("T01", "trade.json"), ("P01", "mechanics.json"), ("A1", "statistics.json")] {
        assert!(SOURCES.contains(names) && SOURCES.contains(&format!("`{file}`")), "{file}");
        assert!(entries(file).contains(names), "{file}");
    }
    // The statistics' entries that the table of methods names.
    let published = entries("statistics.json");
    for cell in METHODS[1].split('`').skip(1).step_by(2) {
        let is_entry = cell.starts_with(|c: char| "ABCDEFGW".contains(c))
            && (2..=3).contains(&cell.len())
            && cell[1..].chars().all(|c| c.is_ascii_digit());
        assert!(!is_entry || published.contains(cell), "{cell}");
    }
}
