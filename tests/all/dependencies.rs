//! What the program is built from keeps to the policy in tests/checks/dependencies.json: licences, and
//! nothing twice without a reason; and docs/decisions.md says of each direct one what it is for.
//! It needs no network: what was built is on this computer already.

use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;

use serde_json::Value;

const ROOT: &str = env!("CARGO_MANIFEST_DIR");

fn policy() -> Value {
    let text = std::fs::read_to_string(format!("{ROOT}/tests/checks/dependencies.json")).unwrap();
    serde_json::from_str(&text).unwrap()
}

/// Names with versions and licences of all packages that are built here.
fn built() -> BTreeSet<(String, String, String)> {
    let output = Command::new(env!("CARGO"))
        .args(["tree", "--locked", "--offline", "--edges", "normal,build,dev", "--prefix", "none"])
        .args(["--format", "{p}|{l}", "--manifest-path"])
        .arg(format!("{ROOT}/Cargo.toml"))
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).unwrap();
    let built: BTreeSet<_> = text
        .lines()
        .filter_map(|line| line.trim_end_matches(" (*)").split_once('|'))
        .filter_map(|(package, licence)| {
            let mut words = package.split_whitespace();
            Some((words.next()?.to_owned(), words.next()?.to_owned(), licence.trim().to_owned()))
        })
        .collect();
    assert!(built.len() > 50, "only {} packages were seen", built.len());
    built
}

/// Whether an expression (SPDX, or the older one with a stroke) can be met by the licences taken.
fn is_taken(expression: &str, taken: &[&str]) -> bool {
    let plain = expression.replace(['(', ')'], "").replace('/', " OR ");
    // What must be met all together, each by one of its choices; none here nests them deeper.
    plain.split(" AND ").all(|all| all.split(" OR ").any(|one| taken.contains(&one.trim())))
}

#[test]
fn every_licence_is_one_that_is_taken() {
    let policy = policy();
    let taken: Vec<&str> =
        policy["licences"]["taken"].as_array().unwrap().iter().map(|word| word.as_str().unwrap()).collect();
    let refused: Vec<_> = built().into_iter().filter(|(_, _, licence)| !is_taken(licence, &taken)).collect();
    assert!(refused.is_empty(), "{refused:?}");
    for expression in ["MPL-2.0", "GPL-3.0 AND MIT", "", "AGPL-3.0 OR GPL-2.0"] {
        assert!(!is_taken(expression, &taken), "{expression}");
    }
    assert!(is_taken("GPL-3.0 OR (MIT AND ISC)", &taken));
}

#[test]
fn nothing_is_built_in_two_versions_without_a_reason() {
    let policy = policy();
    let mut versions: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (name, version, _) in built() {
        versions.entry(name).or_default().insert(version);
    }
    let twice: BTreeSet<&str> =
        versions.iter().filter(|(_, versions)| versions.len() > 1).map(|(name, _)| name.as_str()).collect();
    let named: BTreeSet<&str> = policy["twice"].as_object().unwrap().keys().map(String::as_str).collect();
    assert_eq!(twice, named, "left: built twice; right: named in the policy");
}

#[test]
fn of_every_direct_dependency_it_is_said_what_it_is_for() {
    let manifest = std::fs::read_to_string(format!("{ROOT}/Cargo.toml")).unwrap();
    let direct: BTreeSet<&str> = manifest
        .split_once("\n[dependencies]\n")
        .unwrap()
        .1
        .split_once("\n[lints")
        .unwrap()
        .0
        .lines()
        .filter_map(|line| line.split_once(" = ").map(|(name, _)| name))
        .collect();
    let decisions = std::fs::read_to_string(format!("{ROOT}/docs/decisions.md")).unwrap();
    let said: BTreeSet<&str> = decisions
        .split_once("\n## Dependencies\n")
        .unwrap()
        .1
        .lines()
        .filter_map(|line| line.strip_prefix("| `")?.split_once('`').map(|(name, _)| name))
        .collect();
    assert_eq!(direct, said, "left: Cargo.toml; right: docs/decisions.md");
}
