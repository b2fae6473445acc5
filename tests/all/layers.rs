//! The layers: who may use whom. What the linter cannot say is checked here.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Module and what it may use of the package besides itself.
const MAY_USE: [(&str, &[&str]); 18] = [
    ("words", &[]),
    ("quantity", &["words"]),
    ("numeric", &[]),
    ("mechanics", &["words", "quantity", "numeric"]),
    ("evidence", &["words", "quantity", "numeric"]),
    ("trade", &["words", "quantity", "numeric", "mechanics", "evidence"]),
    ("month", &["words", "quantity", "numeric", "mechanics", "evidence", "trade"]),
    ("danger", &["words", "trade"]),
    ("book", &["words", "quantity", "mechanics", "trade"]),
    ("intake", &["words", "quantity", "mechanics", "trade"]),
    ("mail", &["words", "quantity", "mechanics", "trade"]),
    (
        "app",
        &[
            "words",
            "quantity",
            "numeric",
            "mechanics",
            "evidence",
            "trade",
            "month",
            "danger",
            "book",
            "intake",
            "mail",
        ],
    ),
    ("show", &["words", "quantity", "mechanics", "trade", "month", "app"]),
    ("letters", &["words", "quantity", "mechanics", "trade", "app", "show"]),
    ("entry", &["words", "quantity", "mechanics", "trade", "app"]),
    ("error", &["app", "book", "entry", "letters", "mail", "quantity", "trade", "intake"]),
    (
        "counter",
        &[
            "words",
            "quantity",
            "mechanics",
            "evidence",
            "trade",
            "month",
            "book",
            "mail",
            "app",
            "show",
            "letters",
            "entry",
            "error",
        ],
    ),
    (
        "cli",
        &[
            "counter",
            "words",
            "quantity",
            "mechanics",
            "trade",
            "book",
            "intake",
            "mail",
            "app",
            "show",
            "letters",
            "entry",
            "error",
        ],
    ),
];

fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            sources(&path, found);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            found.push(path);
        }
    }
}

/// Modules of the package that a source text names by `crate::`.
fn used(text: &str) -> Vec<String> {
    text.lines()
        .map(|line| line.split("//").next().unwrap_or_default())
        .flat_map(|line| line.split("crate::").skip(1))
        .map(|rest| rest.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect::<String>())
        .filter(|name| !name.is_empty())
        .collect()
}

#[test]
fn no_layer_uses_one_above_it() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let allowed: BTreeMap<&str, &[&str]> = MAY_USE.into_iter().collect();
    let mut files = Vec::new();
    sources(&root, &mut files);
    assert!(files.len() > 40, "the sources were not found");
    let mut faults = Vec::new();
    for file in files {
        let inside = file.strip_prefix(&root).unwrap();
        let module = inside.iter().next().unwrap().to_string_lossy().trim_end_matches(".rs").to_owned();
        if module == "main" || module == "lib" {
            continue;
        }
        let may =
            allowed.get(module.as_str()).unwrap_or_else(|| panic!("{module} has no place among the layers"));
        for name in used(&std::fs::read_to_string(&file).unwrap()) {
            // The macro of fixed words is used by its bare name.
            if name != module && !may.contains(&name.as_str()) && name != "words" {
                faults.push(format!("{} uses {name}", inside.display()));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn sql_stands_in_the_book_alone() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("src");
    let mut files = Vec::new();
    sources(&root, &mut files);
    for file in files {
        let inside = file.strip_prefix(&root).unwrap().to_owned();
        if inside.starts_with("book") {
            continue;
        }
        let text = std::fs::read_to_string(&file).unwrap();
        for word in ["rusqlite", "SELECT ", "INSERT INTO", "PRAGMA "] {
            assert!(!text.contains(word), "{} holds {word:?}", inside.display());
        }
    }
}

/// The head of the library leads to every room, and to ten files that are there.
#[test]
fn the_map_of_the_library_names_every_room_and_ten_files() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let library = std::fs::read_to_string(root.join("src/lib.rs")).unwrap();
    let map: String = library.lines().filter(|line| line.starts_with("//!")).collect();
    for line in library.lines() {
        if let Some(room) = line.strip_prefix("pub mod ") {
            let room = room.trim_end_matches(';');
            assert!(map.contains(&format!("[`{room}`]")), "{room} is not on the map");
        }
    }
    let files: Vec<&str> = map.split('`').filter(|name| name.starts_with("src/")).collect();
    assert_eq!(files.len(), 10);
    for file in files {
        assert!(root.join(file).is_file(), "{file}");
    }
}
