//! What is public and used by nothing but tests is dead, and the compiler cannot see it: tests use
//! the library as strangers would. It is looked for here by name.

use std::collections::BTreeMap;
use std::path::Path;

/// Names that only tests and benches use, and what for.
const FOR_TESTS: [(&str, &str); 3] = [
    ("in_memory", "a book without a file"),
    ("lessons", "the weights of mails are learned from them"),
    ("meanings", "the weights of mails are learned for them"),
];

const ITEMS: [&str; 7] = ["fn", "const", "static", "struct", "enum", "trait", "type"];

/// A source text without comments and without what is compiled for tests only.
fn program(text: &str) -> String {
    let mut kept = String::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        if line.trim() != "#[cfg(test)]" {
            kept.push_str(line.split("//").next().unwrap_or_default());
            kept.push('\n');
            continue;
        }
        let indent = line.len() - line.trim_start().len();
        for skipped in lines.by_ref() {
            let level = skipped.len() - skipped.trim_start().len();
            let ends = |end| skipped.trim_end().ends_with(end);
            if level == indent && (ends("}") || ends(";")) {
                break;
            }
        }
    }
    kept
}

fn words(text: &str) -> impl Iterator<Item = &str> {
    text.split(|c: char| !c.is_ascii_alphanumeric() && c != '_').filter(|word| !word.is_empty())
}

/// Public items of which no other place of the program speaks: file and name. What is said of a name
/// where it is handed on (`pub use`) is not counted.
fn unused(files: &[(String, String)]) -> Vec<(String, String)> {
    let mut spoken: BTreeMap<String, i64> = BTreeMap::new();
    let mut public = Vec::new();
    for (path, text) in files {
        let text = program(text);
        let mut before = ["", "", ""];
        let mut handed_on = false;
        for line in text.lines() {
            let begins = line.trim_start();
            handed_on |= begins.starts_with("pub use ") || begins.starts_with("pub(super) use ");
            for word in words(line).filter(|_| !handed_on) {
                let defines = ITEMS.contains(&before[2]) && word != "fn";
                *spoken.entry(word.to_owned()).or_default() += i64::from(!defines);
                let is_public = defines
                    && (before[1] == "pub" || before[1] == "super" || before[1] == "crate")
                    || defines && before[1] == "const" && matches!(before[0], "pub" | "super" | "crate");
                if is_public {
                    public.push((path.clone(), word.to_owned()));
                }
                before = [before[1], before[2], word];
            }
            handed_on &= !line.trim_end().ends_with(';');
        }
    }
    public.retain(|(_, name)| spoken.get(name).is_none_or(|times| *times <= 0));
    public
}

fn sources(folder: &Path, found: &mut Vec<(String, String)>) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.to_string_lossy().into_owned();
        if path.is_dir() && !name.ends_with("/tests") {
            sources(&path, found);
        } else if name.ends_with(".rs") && !name.ends_with("_tests.rs") {
            found.push((name, std::fs::read_to_string(&path).unwrap()));
        }
    }
}

#[test]
fn whatever_is_public_is_used_by_the_program() {
    let mut files = Vec::new();
    sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src"), &mut files);
    let dead: Vec<String> = unused(&files)
        .into_iter()
        .filter(|(_, name)| !FOR_TESTS.iter().any(|(known, _)| known == name))
        .map(|(path, name)| format!("{path}: {name}"))
        .collect();
    assert!(dead.is_empty(), "used nowhere:\n{}", dead.join("\n"));
}

#[test]
fn a_name_that_only_tests_speak_of_is_found() {
    let used = "pub fn used() {}\npub const fn idle() {}\npub(super) struct Idle;\nfn main() { used(); }\n";
    let speaks = "pub use crate::one::{\n    idle,\n    Idle,\n};\n// idle\n#[cfg(test)]\nmod tests {\n    fn t() { idle(); Idle; }\n}\n";
    let files = [("one".to_owned(), used.to_owned()), ("two".to_owned(), speaks.to_owned())];
    let names: Vec<String> = unused(&files).into_iter().map(|(_, name)| name).collect();
    assert_eq!(names, ["idle", "Idle"]);
    let called =
        [("one".to_owned(), used.to_owned()), ("two".to_owned(), "fn f() { idle(Idle) }".to_owned())];
    assert!(unused(&called).is_empty());
}
