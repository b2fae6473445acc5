//! The commands of the README's tour, run as they stand there.

use std::process::Command;

/// The shell blocks of the tour, in order.
fn tour() -> String {
    let readme = include_str!("../../README.md");
    let part = readme.split("<!-- tour -->").nth(1).unwrap().split("<!-- end of tour -->").next().unwrap();
    part.split("```sh\n").skip(1).map(|block| block.split("```").next().unwrap()).collect()
}

#[test]
fn the_tour_of_the_readme_runs() {
    let folder = tempfile::tempdir().unwrap();
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    let script = tour()
        .replace("tests/data/", &format!("{}/tests/data/", root.display()))
        .replace("fistmele ", &format!("\"{}\" ", env!("CARGO_BIN_EXE_fistmele")));
    let out = Command::new("sh")
        .args(["-e", "-c", &script])
        .current_dir(folder.path())
        .env("FISTMELE_TODAY", "2026-11-25")
        .env("HOME", folder.path())
        .output()
        .unwrap();
    let (text, errors) = (String::from_utf8_lossy(&out.stdout), String::from_utf8_lossy(&out.stderr));
    assert!(out.status.success(), "{text}\n{errors}");
    for said in [
        "300 strings would be added",
        "ADJUST: It can be put right on the bow.",
        "Dear Maelis Ostwick,",
        "R-1 is closed: put right on the bow, and the archer reads 7 11/16",
        "One second reading.",
    ] {
        assert!(text.contains(said), "{said:?} is missing in\n{text}\n{errors}");
    }
}

#[test]
fn the_readme_begins_with_the_job_and_two_commands() {
    let readme = include_str!("../../README.md");
    let before_second_head = readme.split("\n## ").next().unwrap();
    let commands: Vec<&str> = before_second_head.lines().filter(|line| line.starts_with("cargo ")).collect();
    assert_eq!(commands.len(), 2);
    assert!(commands[0].starts_with("cargo run --release -- demo"));
    assert!(commands[1].starts_with("cargo test --release"));
}
