//! A sealed world for the real program: its own folder and book, a cleared environment, a fixed
//! day and width; and a small language to tell what happens in a workshop.

use std::ffi::OsStr;
use std::path::PathBuf;
use std::process::{Command, Stdio};

use serde::Deserialize;
use serde::de::DeserializeOwned;
use tempfile::TempDir;

use crate::answers::{AdviceData, Data, ErrorData, LetterData, ReportData, StringData};

/// The day on which a world begins.
pub(crate) const TODAY: &str = "2026-11-15";

/// What a run of the program gave.
#[must_use]
#[derive(Debug, Clone)]
pub(crate) struct Run {
    pub(crate) status: i32,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
    folder: String,
}

impl Run {
    /// Status, standard output and standard error in one text, the same in every world.
    pub(crate) fn text(&self) -> String {
        let mut text = format!("status {}\n", self.status);
        for (name, stream) in [("out", &self.stdout), ("err", &self.stderr)] {
            if !stream.is_empty() {
                text.push_str(&format!("--- {name} ---\n{stream}"));
                if !stream.ends_with('\n') {
                    text.push_str("(no line end)\n");
                }
            }
        }
        text.replace(&self.folder, "[world]")
    }

    /// The run, which must have been done.
    #[track_caller]
    pub(crate) fn done(self) -> Self {
        assert_eq!(self.status, 0, "{}", self.text());
        self
    }

    /// The run, which must have been refused with its reason and a way out, and without an answer.
    #[track_caller]
    pub(crate) fn refused(self) -> Self {
        self.failed(1)
    }

    /// The run, which must have failed with this status.
    #[track_caller]
    pub(crate) fn failed(self, status: i32) -> Self {
        assert_eq!(self.status, status, "{}", self.text());
        assert!(self.stdout.is_empty(), "an error leaves standard output empty: {}", self.text());
        assert!(!self.stderr.trim().is_empty(), "an error says what is wrong");
        assert!(!self.stderr.contains("panicked"), "{}", self.text());
        self
    }

    /// The run, which must say all of these on one of its streams.
    #[track_caller]
    pub(crate) fn says(self, words: &[&str]) -> Self {
        let all = format!("{}{}", self.stdout, self.stderr);
        for word in words {
            assert!(all.contains(word), "nothing says {word:?} in {}", self.text());
        }
        self
    }

    /// The run, which must say none of these.
    #[track_caller]
    pub(crate) fn never_says(self, words: &[&str]) -> Self {
        let all = format!("{}{}", self.stdout, self.stderr);
        for word in words {
            assert!(!all.contains(word), "{word:?} is said in {}", self.text());
        }
        self
    }
}

/// The envelope of every answer.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Envelope<T> {
    schema: String,
    data: T,
    warnings: Vec<String>,
}

/// The envelope of every error.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct ErrorEnvelope {
    schema: String,
    error: ErrorData,
}

/// A workshop of its own.
pub(crate) struct World {
    folder: TempDir,
    root: PathBuf,
    today: String,
    extra: Vec<(String, String)>,
}

impl World {
    /// A folder with nothing in it.
    pub(crate) fn bare() -> Self {
        let folder = tempfile::Builder::new().prefix("fistmele-").tempdir().unwrap();
        // A blank and a letter beyond ASCII: paths must survive both.
        let root = folder.path().join("die Werkstätte");
        std::fs::create_dir(&root).unwrap();
        Self { folder, root, today: TODAY.to_owned(), extra: Vec::new() }
    }

    /// A folder with a new empty book in it.
    pub(crate) fn new() -> Self {
        let world = Self::bare();
        let _ = world.run(["init"]).done();
        world
    }

    /// A path in the folder.
    pub(crate) fn path(&self, name: &str) -> PathBuf {
        self.root.join(name)
    }

    /// Where the book is.
    pub(crate) fn book(&self) -> PathBuf {
        self.path("book.db")
    }

    /// A path in the folder as an argument.
    pub(crate) fn arg(&self, name: &str) -> String {
        self.path(name).to_str().unwrap().to_owned()
    }

    /// Writes a file.
    pub(crate) fn write(&self, name: &str, content: impl AsRef<[u8]>) -> String {
        std::fs::write(self.path(name), content).unwrap();
        self.arg(name)
    }

    /// Names of all files and folders in the folder, sorted.
    pub(crate) fn files(&self) -> Vec<String> {
        let mut names: Vec<String> = std::fs::read_dir(&self.root)
            .unwrap()
            .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    /// Everything in the folder with its bytes: what a refused command must leave as it was.
    pub(crate) fn everything(&self) -> Vec<(String, Vec<u8>)> {
        self.files()
            .into_iter()
            .map(|name| {
                let path = self.path(&name);
                let bytes = if path.is_dir() { Vec::new() } else { std::fs::read(&path).unwrap() };
                (name, bytes)
            })
            .collect()
    }

    /// Another day begins.
    pub(crate) fn day(&mut self, today: &str) {
        today.clone_into(&mut self.today);
    }

    /// Sets a variable of the environment for the runs to come.
    pub(crate) fn set_variable(&mut self, name: &str, value: &str) {
        self.extra.push((name.to_owned(), value.to_owned()));
    }

    /// The program with a cleared environment.
    pub(crate) fn command(&self) -> Command {
        let mut command = Command::new(assert_cmd::cargo::cargo_bin!("fistmele"));
        command
            .current_dir(&self.root)
            .env_clear()
            .env("HOME", &self.root)
            .env("USER", "tester")
            .env("COLUMNS", "90")
            .env("NO_COLOR", "1")
            .env("FISTMELE_TODAY", &self.today)
            .env("FISTMELE_BOOK", self.book())
            .envs(self.extra.iter().map(|(name, value)| (name, value)))
            .stdin(Stdio::null());
        command
    }

    /// Runs the program.
    pub(crate) fn run<A: AsRef<OsStr>>(&self, arguments: impl IntoIterator<Item = A>) -> Run {
        self.finish(self.command().args(arguments))
    }

    /// Runs the program with arguments written in one line, split at blanks.
    pub(crate) fn line(&self, arguments: &str) -> Run {
        self.run(arguments.split_whitespace())
    }

    /// Runs a prepared command.
    pub(crate) fn finish(&self, command: &mut Command) -> Run {
        let output = command.output().unwrap();
        let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("the program writes UTF-8");
        Run {
            status: output.status.code().expect("the program was not killed"),
            stdout: text(output.stdout),
            stderr: text(output.stderr),
            folder: self.folder.path().join("die Werkstätte").to_str().unwrap().to_owned(),
        }
    }

    /// Runs the program with something on its standard input.
    pub(crate) fn with_input<'a>(&self, arguments: impl IntoIterator<Item = &'a str>, input: &[u8]) -> Run {
        let file = self.folder.path().join("input");
        std::fs::write(&file, input).unwrap();
        self.finish(self.command().args(arguments).stdin(std::fs::File::open(&file).unwrap()))
    }

    /// Answer as JSON, read back by a type that knows every key.
    #[track_caller]
    pub(crate) fn json<T: Data>(&self, arguments: &str) -> T {
        self.json_of(arguments.split_whitespace()).0
    }

    /// Answer as JSON with its warnings.
    #[track_caller]
    pub(crate) fn json_of<'a, T: Data>(
        &self,
        arguments: impl IntoIterator<Item = &'a str>,
    ) -> (T, Vec<String>) {
        let run = self.run(arguments.into_iter().chain(["--json"])).done();
        assert!(run.stderr.is_empty(), "with --json the warnings are in the envelope: {}", run.text());
        read_envelope(&run.stdout)
    }

    /// The error of a command that must fail, as JSON.
    #[track_caller]
    pub(crate) fn error<'a>(&self, arguments: impl IntoIterator<Item = &'a str>) -> ErrorData {
        let run = self.run(arguments.into_iter().chain(["--json"]));
        assert!(run.status != 0, "it should have failed: {}", run.text());
        let run = run.clone().failed(run.status);
        let envelope: ErrorEnvelope =
            serde_json::from_str(&run.stderr).unwrap_or_else(|fault| panic!("{fault}: {}", run.text()));
        assert_eq!(envelope.schema, "error/1");
        assert!(!envelope.error.hints.is_empty(), "every error names a way out: {}", run.text());
        let by_kind = match envelope.error.kind.as_str() {
            "command-line" => 2,
            "fault" => 3,
            _ => 1,
        };
        assert_eq!(run.status, by_kind, "{}", run.text());
        envelope.error
    }

    /// The error of a command written in one line.
    #[track_caller]
    pub(crate) fn error_of(&self, arguments: &str) -> ErrorData {
        self.error(arguments.split_whitespace())
    }

    /// Sells a string: serial, then options as on the command line.
    #[track_caller]
    pub(crate) fn sold(&self, serial: &str, options: &str) -> StringData {
        self.json(&format!("sold add --serial {serial} {options}"))
    }

    /// Sells the string that most stories are about: 16 strands of HMPE with 24 turns, 58 1/2 in,
    /// for a working recurve of 62 in whose maker gives 7 1/2 to 8 in.
    #[track_caller]
    pub(crate) fn sold_recurve(&self, serial: &str) -> StringData {
        self.sold(
            serial,
            "--archer Odalind --email odalind@example.org --kind recurve --marked 62 --brace-range 7-1/2..8 \
             --tips reinforced --route marked --stated 62 --offset 3-1/2 --yarn hmpe --strands 16 --turns 24 \
             --built 58-1/2 --pre-stretched --sold-on 2026-09-01 --delivered-on 2026-09-05 --initials BT",
        )
    }

    /// Sells a polyester string with 31 turns, 65 in, for a longbow of 68 in (6 1/4 to 6 3/4 in).
    #[track_caller]
    pub(crate) fn sold_longbow(&self, serial: &str) -> StringData {
        self.sold(
            serial,
            "--archer Hanno --email hanno@example.net --kind longbow --marked 68 --brace-range 6-1/4..6-3/4 \
             --route marked --stated 68 --yarn polyester --strands 14 --turns 31 --built 65 \
             --sold-on 2026-09-01 --delivered-on 2026-09-05 --maker Bo",
        )
    }

    /// Logs a report.
    #[track_caller]
    pub(crate) fn report(&self, serial: &str, options: &str) -> ReportData {
        self.json(&format!("report add {serial} {options}"))
    }

    /// Adds a reading.
    #[track_caller]
    pub(crate) fn reading(&self, report: &str, options: &str) -> ReportData {
        self.json(&format!("reading add {report} {options}"))
    }

    /// Works out the verdict.
    #[track_caller]
    pub(crate) fn advise(&self, report: &str) -> AdviceData {
        self.json(&format!("advise {report}"))
    }

    /// Writes the letter; the same text must come plain and as JSON.
    #[track_caller]
    pub(crate) fn letter(&self, report: &str) -> LetterData {
        let plain = self.run(["letter", report]).done();
        let data: LetterData = self.json(&format!("letter {report}"));
        assert_eq!(data.text, plain.stdout);
        check_letter(&data.text);
        data
    }

    /// The letter once a person has said that nothing is broken, cut or cracked and that there was
    /// no shot without an arrow; said at once with the letter, as whoever answers does.
    #[track_caller]
    pub(crate) fn released_letter(&self, report: &str) -> LetterData {
        let plain = self.run(["letter", report, "--no-danger"]).done();
        let data = self.letter(report);
        assert_eq!(data.text, plain.stdout);
        data
    }

    /// Where a report stands.
    #[track_caller]
    pub(crate) fn standing(&self, report: &str) -> String {
        self.json::<ReportData>(&format!("report show {report}")).standing
    }
}

/// Reads an answer back.
#[track_caller]
pub(crate) fn read_envelope<T: Data>(text: &str) -> (T, Vec<String>) {
    assert_eq!(text.lines().count(), 1, "one object on one line");
    let envelope: Envelope<T> = read(text);
    assert_eq!(envelope.schema, T::SCHEMA);
    assert!(
        text.starts_with(&format!("{{\"schema\":\"{}\",\"data\":", T::SCHEMA)),
        "the schema comes first, the data second"
    );
    (envelope.data, envelope.warnings)
}

#[track_caller]
fn read<T: DeserializeOwned>(text: &str) -> T {
    serde_json::from_str(text).unwrap_or_else(|fault| panic!("{fault}\n{text}"))
}

/// What no letter may hold, and what every letter has.
#[track_caller]
pub(crate) fn check_letter(text: &str) {
    for never in ["{{", "}}", "{%", "None", "none", "undefined", "NaN", "  ,", " .", " ,", "\t", "\u{fffd}"] {
        assert!(!text.contains(never), "the letter holds {never:?}:\n{text}");
    }
    let mut blank_lines = 0;
    for line in text.lines() {
        let body = line.trim_start();
        assert!(!body.contains("  "), "a double blank in {line:?} of\n{text}");
        assert_eq!(line, line.trim_end(), "a blank at the end of a line of\n{text}");
        assert!(line.chars().count() <= 74, "too wide: {line:?}");
        blank_lines = if line.is_empty() { blank_lines + 1 } else { 0 };
        assert!(blank_lines < 2, "two blank lines in\n{text}");
    }
    let first = text.lines().skip(1).find(|line| !line.is_empty()).and_then(|line| line.chars().next());
    assert!(
        first.is_some_and(|c| c.is_uppercase() || c.is_ascii_digit()),
        "a letter begins with a capital: {text}"
    );
    assert!(text.starts_with("Dear ") && text.ends_with('\n') && !text.ends_with("\n\n"), "{text}");
    assert!(text.contains("With kind regards"), "{text}");
    // Nobody has to know left from right to turn a string.
    let lower = text.to_lowercase();
    for word in ["clockwise", "left-hand", "right-hand", "to the left", "to the right"] {
        assert!(!lower.contains(word), "the letter says {word:?}:\n{text}");
    }
}

/// Compares a text with the snapshot file of that name.
macro_rules! snapshot {
    ($name:expr, $text:expr) => {
        insta::with_settings!({
            snapshot_path => concat!(env!("CARGO_MANIFEST_DIR"), "/tests/snapshots"),
            prepend_module_to_snapshot => false,
            omit_expression => true,
        }, {
            insta::assert_snapshot!($name, $text);
        })
    };
}
pub(crate) use snapshot;
