//! The program in a sealed world: own folder, cleared environment, fixed day.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// A folder with a book in it, and the program run on that book.
pub(crate) struct World {
    folder: tempfile::TempDir,
    pub(crate) book: PathBuf,
}

impl World {
    /// A folder without a book.
    pub(crate) fn empty() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let book = folder.path().join("book.db");
        Self { folder, book }
    }

    /// A folder with a new empty book.
    pub(crate) fn new() -> Self {
        let world = Self::empty();
        world.ok(&["init"]);
        world
    }

    /// A folder with a book of invented data.
    pub(crate) fn demo(strings: u32) -> Self {
        let world = Self::empty();
        world.ok(&["demo", "--strings", &strings.to_string()]);
        world
    }

    pub(crate) fn folder(&self) -> &Path {
        self.folder.path()
    }

    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub(crate) fn write(&self, name: &str, content: impl AsRef<[u8]>) -> PathBuf {
        let path = self.path(name);
        std::fs::write(&path, content).unwrap();
        path
    }

    /// The program on the book of this world.
    pub(crate) fn command(&self) -> Command {
        Self::command_on(&self.book)
    }

    /// The program on another book.
    pub(crate) fn command_on(book: &Path) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_fistmele"));
        command
            .env_clear()
            .env("FISTMELE_TODAY", "2026-03-01")
            .env("FISTMELE_WHO", "RK")
            .arg("--book")
            .arg(book);
        command.stdin(std::process::Stdio::null());
        command
    }

    pub(crate) fn run(&self, arguments: &[&str]) -> Output {
        self.command().args(arguments).output().unwrap()
    }

    /// Runs what must succeed, and gives its standard output.
    pub(crate) fn ok(&self, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        assert!(output.status.success(), "{arguments:?}: {}", text(&output.stderr));
        text(&output.stdout)
    }

    /// Runs what must be refused with a status, and gives its standard error.
    pub(crate) fn refused(&self, status: i32, arguments: &[&str]) -> String {
        let output = self.run(arguments);
        let said = text(&output.stderr);
        assert_eq!(output.status.code(), Some(status), "{arguments:?}: {said}");
        assert!(said.contains("error: ") && said.contains("hint: "), "{said}");
        said
    }

    /// Sells a string of 16 strands of HMPE with 24 turns for a recurve with reinforced tips, sized by a mark
    /// of 62 in; whose it is, and what else is told, comes with it.
    pub(crate) fn sell(&self, serial: &str, more: &[&str]) {
        let line = "sold add --kind recurve --tips reinforced --route marked --stated 62 --yarn hmpe --strands 16 --turns 24 --serial";
        let line: Vec<&str> = line.split(' ').chain([serial]).chain(more.iter().copied()).collect();
        self.ok(&line);
    }

    /// Adds a string of this serial.
    pub(crate) fn add_string(&self, serial: &str) {
        let whose = ["--archer", "Odalind Quarrie", "--email", "odalind@example.org"];
        self.sell(serial, &[&whose[..], &["--marked", "62", "--sold-on", "2026-01-05"]].concat());
    }

    /// Asserts that the book is sound by its own check and by the database's.
    pub(crate) fn assert_sound(&self) {
        assert!(self.ok(&["verify"]).contains("sound"));
    }

    /// How many rows a table has, by the program's own check.
    pub(crate) fn count(&self, table: &str) -> i64 {
        let answer: serde_json::Value = serde_json::from_str(&self.ok(&["verify", "--json"])).unwrap();
        answer["data"]["counts"][table].as_i64().unwrap()
    }
}

pub(crate) fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// An order export of some strings, all of one archer each.
pub(crate) fn orders(from: u32, count: u32) -> String {
    let mut text = String::from(
        "serial,sold_on,route,stated_measure,ordered_length,archer,email,order_ref,yarn,strands,turns,bow_kind\n",
    );
    for n in from..from + count {
        text.push_str(&format!(
            "W-{n},2026-01-{:02},marked,62,58,Archer {n},archer{n}@example.org,O-{n},hmpe,16,24,recurve\n",
            n % 28 + 1
        ));
    }
    text
}
