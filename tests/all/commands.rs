//! The command reference is made from the parser, and what is written by hand beside it names
//! every word, column, key, letter and variable there is.
//!
//! `FISTMELE_WRITE_DOCS=1 cargo test --release the_command_reference` writes the reference anew.

use std::collections::BTreeSet;

use clap::{Arg, Command};
use fistmele::error::Kind;
use fistmele::intake::{REPORT_COLUMNS, SOLD_COLUMNS};
use fistmele::letters::LetterKind;
use fistmele::mechanics::bow::BowKind;
use fistmele::mechanics::twist::{TurnsKnown, Yarn};
use fistmele::trade::signs::{SignOf, SignStanding, StandsIn};
use fistmele::trade::terms::TermsOf;
use fistmele::trade::words::{
    Across, Ask, Cause, Lay, LengthAt, Marker, OldMake, Outcome, Photo, ReadBy, Route, Standing, Stave,
    Symptom, Tips, Verdict, WantSource,
};

use crate::answers::schemas;
use crate::world::World;

fn file(name: &str) -> std::path::PathBuf {
    std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("docs").join(name)
}

/// Commands in the order of the parser, each with its full name; those that only hold others too.
fn walk(command: &Command, name: &str, visit: &mut dyn FnMut(&Command, &str)) {
    visit(command, name);
    for sub in command.get_subcommands().filter(|sub| !sub.is_hide_set()) {
        walk(sub, &format!("{name} {}", sub.get_name()), visit);
    }
}

/// A value as it is shown in usage lines: `--brace <M>`, `[SERIAL]`.
fn spelled(arg: &Arg) -> String {
    let values: Vec<String> = arg
        .get_value_names()
        .map(|names| names.iter().map(|name| format!("<{name}>")).collect())
        .unwrap_or_default();
    let values = if arg.get_action().takes_values() { values.join(" ") } else { String::new() };
    let Some(long) = arg.get_long() else { return values };
    let aliases = arg.get_visible_aliases().unwrap_or_default();
    let names = std::iter::once(long).chain(aliases).map(|name| format!("--{name}")).collect::<Vec<_>>();
    format!("{} {values}", names.join(", ")).trim_end().to_owned()
}

/// One cell of a table.
fn cell(text: &str) -> String {
    text.replace('\n', " ").replace('|', "\\|")
}

fn explained(arg: &Arg) -> String {
    let mut text = arg.get_help().map(ToString::to_string).unwrap_or_default();
    let words: Vec<String> =
        arg.get_possible_values().iter().map(|value| format!("`{}`", value.get_name())).collect();
    if arg.get_action().takes_values() && !words.is_empty() {
        text.push_str(&format!(" One of {}.", words.join(", ")));
    }
    let defaults: Vec<String> =
        arg.get_default_values().iter().map(|value| value.to_string_lossy().into_owned()).collect();
    if arg.get_action().takes_values() && !defaults.is_empty() {
        text.push_str(&format!(" [default: {}]", defaults.join(" ")));
    }
    text
}

/// The section of one command.
fn section(command: &Command, name: &str) -> String {
    let mut out = format!("\n## `{name}`\n\n");
    let about = command.get_long_about().or(command.get_about());
    out.push_str(&about.map(ToString::to_string).unwrap_or_default());
    out.push('\n');
    let usage = command.clone().render_usage().to_string();
    out.push_str(&format!("\n```text\n{}\n```\n", usage.trim_start_matches("Usage: ").trim()));
    let args: Vec<&Arg> = command
        .get_arguments()
        .filter(|arg| !arg.is_hide_set() && !["help", "version"].contains(&arg.get_id().as_str()))
        // What every command takes is told once, at the head.
        .filter(|arg| !arg.is_global_set() || name == "fistmele")
        .collect();
    let mut headings: Vec<Option<&str>> = Vec::new();
    for arg in &args {
        if !headings.contains(&arg.get_help_heading()) {
            headings.push(arg.get_help_heading());
        }
    }
    for heading in headings {
        let title = heading.map_or_else(|| "option".to_owned(), |heading| format!("option: {heading}"));
        out.push_str(&format!("\n| {title} | what |\n|---|---|\n"));
        for arg in args.iter().filter(|arg| arg.get_help_heading() == heading) {
            out.push_str(&format!("| `{}` | {} |\n", cell(&spelled(arg)), cell(&explained(arg))));
        }
    }
    if let Some(after) = command.get_after_help() {
        out.push_str(&examples(&after.to_string()));
    }
    out
}

/// The text behind the options: sentences, and example lines as a block.
fn examples(after: &str) -> String {
    let (mut sentences, mut lines) = (String::new(), Vec::new());
    for line in after.lines() {
        let line = line.trim();
        let line = line.strip_prefix("Examples:").or(line.strip_prefix("Example:")).unwrap_or(line).trim();
        if line.starts_with("fistmele ") {
            lines.push(line);
        } else if !line.is_empty() {
            sentences.push_str(&format!("\n{line}\n"));
        }
    }
    if !lines.is_empty() {
        sentences.push_str(&format!("\n```sh\n{}\n```\n", lines.join("\n")));
    }
    sentences
}

fn reference() -> String {
    let mut command = fistmele::cli::command();
    command.build();
    let mut out = String::from(
        "# Commands\n\nThis file is made from the parser by a test; what it cannot know stands in \
         [commands-notes.md](commands-notes.md): fixed words, measurements, CSV columns, JSON keys, letter \
         templates, environment variables, exit statuses.\n",
    );
    walk(&command, "fistmele", &mut |command, name| out.push_str(&section(command, name)));
    out
}

#[test]
fn the_command_reference_is_that_of_the_parser() {
    let path = file("commands.md");
    let reference = reference();
    if std::env::var_os("FISTMELE_WRITE_DOCS").is_some() {
        std::fs::write(&path, &reference).unwrap();
    }
    let kept = std::fs::read_to_string(&path).unwrap();
    let differs = kept.lines().zip(reference.lines()).find(|(kept, now)| kept != now);
    assert!(
        kept == reference,
        "docs/commands.md is not that of the parser (first: {differs:?}); \
         write it anew with: FISTMELE_WRITE_DOCS=1 cargo test --release the_command_reference"
    );
}

#[test]
fn every_command_and_option_is_explained_with_an_example() {
    let mut command = fistmele::cli::command();
    command.build();
    walk(&command, "fistmele", &mut |command, name| {
        assert!(command.get_about().is_some(), "{name} is not explained");
        if command.has_subcommands() && name != "fistmele remake" {
            return;
        }
        // The steps of a remake are shown with the remake.
        let shown = command.get_after_help().map(ToString::to_string).unwrap_or_default();
        let words: Vec<&str> = name.split(' ').collect();
        assert!(words[1] == "remake" || shown.contains(name), "{name} has no example");
        for arg in command.get_arguments() {
            let help = arg.get_help().map(ToString::to_string).unwrap_or_default();
            assert!(!help.is_empty(), "{name} {} is not explained", arg.get_id());
        }
    });
}

#[test]
fn every_example_is_one_the_parser_takes() {
    let mut examples = Vec::new();
    let mut command = fistmele::cli::command();
    command.build();
    walk(&command, "fistmele", &mut |command, _| {
        let after = command.get_after_help().map(ToString::to_string).unwrap_or_default();
        examples
            .extend(after.lines().filter_map(|line| line.find("fistmele ").map(|at| line[at..].to_owned())));
    });
    assert!(examples.len() > 25, "{}", examples.len());
    for example in examples {
        let line = example.split(" > ").next().unwrap();
        let arguments = shell_words(line);
        let parsed = fistmele::cli::command().try_get_matches_from(&arguments);
        assert!(parsed.is_ok(), "{line}: {}", parsed.unwrap_err());
    }
}

/// Words as a shell would split them, double quotes only.
fn shell_words(line: &str) -> Vec<String> {
    let (mut words, mut word, mut quoted) = (Vec::new(), String::new(), false);
    for c in line.chars() {
        match c {
            '"' => quoted = !quoted,
            ' ' if !quoted => words.extend((!word.is_empty()).then(|| std::mem::take(&mut word))),
            c => word.push(c),
        }
    }
    words.extend((!word.is_empty()).then_some(word));
    words
}

#[test]
fn every_command_answers_help_and_has_its_manual_page() {
    let world = World::bare();
    let run = world.line("man pages").done();
    let mut command = fistmele::cli::command();
    command.build();
    let mut count = 0;
    walk(&command, "fistmele", &mut |_, name| {
        let help = world.run(name.split(' ').skip(1).chain(["--help"])).done();
        assert!(help.stderr.is_empty() && help.stdout.contains("Usage:"), "{name}");
        assert!(world.path(&format!("pages/{}.1", name.replace(' ', "-"))).exists(), "{name}");
        count += 1;
    });
    assert!(run.stdout.starts_with(&format!("{count} manual pages")), "{}", run.stdout);
    for shell in ["bash", "zsh", "fish", "powershell", "elvish"] {
        // Not every shell is told the words an option takes.
        let _ = world.line(&format!("completions {shell}")).done().says(&["turns-counted"]);
    }
}

/// What is written by hand.
fn notes() -> String {
    std::fs::read_to_string(file("commands-notes.md")).unwrap()
}

/// The part of the notes under a heading, up to the next of its rank or above.
#[track_caller]
fn under(heading: &str) -> String {
    let rank = heading.chars().take_while(|c| *c == '#').count();
    let notes = notes();
    let mut lines = notes.lines().skip_while(|line| *line != heading);
    assert!(lines.next().is_some(), "no heading {heading:?}");
    lines
        .take_while(|line| {
            let own = line.chars().take_while(|c| *c == '#').count();
            own == 0 || own > rank
        })
        .map(|line| format!("{line}\n"))
        .collect()
}

/// Words between back ticks.
fn ticked(text: &str) -> Vec<String> {
    text.split('`').skip(1).step_by(2).map(str::to_owned).collect()
}

/// First cells of the rows of all tables in a text, back ticks taken off; heads left out.
fn first_cells(text: &str) -> Vec<String> {
    let lines: Vec<&str> = text.lines().collect();
    let mut cells = Vec::new();
    for (at, line) in lines.iter().enumerate() {
        let head = lines.get(at + 1).is_some_and(|next| next.starts_with("|--"));
        if line.starts_with("| ") && !head {
            cells.push(line[2..].split(" |").next().unwrap().trim_matches('`').to_owned());
        }
    }
    cells
}

#[test]
fn the_notes_name_every_fixed_word() {
    macro_rules! list {
        ($type:ty) => {
            <$type>::ALL.iter().map(|word| word.as_str()).collect::<Vec<&str>>()
        };
    }
    let lists = [
        ("bow kind", list!(BowKind)),
        ("tips", list!(Tips)),
        ("stave", list!(Stave)),
        ("yarn", list!(Yarn)),
        ("lay", list!(Lay)),
        ("length measured", list!(LengthAt)),
        ("across the loops", list!(Across)),
        ("make of the old string", list!(OldMake)),
        ("sizing route", list!(Route)),
        ("symptom", list!(Symptom)),
        ("verdict", list!(Verdict)),
        ("where a report stands", list!(Standing)),
        ("cause", list!(Cause)),
        ("outcome", list!(Outcome)),
        ("source of a wanted range", list!(WantSource)),
        ("what is asked", list!(Ask)),
        ("kind of sign", list!(SignOf)),
        ("where a sign stands", list!(StandsIn)),
        ("standing of a sign", list!(SignStanding)),
        ("cause under the terms", list!(TermsOf)),
        ("read by", list!(ReadBy)),
        ("marker", list!(Marker)),
        ("photo", list!(Photo)),
        ("how turns are known", list!(TurnsKnown)),
        ("outcome of a sum", list!(fistmele::app::sums::Outcome)),
        ("unit", vec!["inch", "cm", "mm"]),
    ];
    let words = under("## Fixed words");
    assert_eq!(first_cells(&words), lists.iter().map(|(name, _)| *name).collect::<Vec<_>>());
    for (name, list) in lists {
        let row = words.lines().find(|line| line.starts_with(&format!("| {name} |"))).unwrap();
        assert_eq!(ticked(row), list, "{name}");
    }
}

#[test]
fn the_notes_name_every_schema_with_its_keys() {
    let json = under("## JSON");
    let headed: Vec<String> =
        json.lines().filter_map(|line| line.strip_prefix("### ")).flat_map(ticked).collect();
    let schemas = schemas();
    let known: Vec<&str> = schemas.iter().map(|(schema, _)| *schema).collect();
    for schema in &known {
        assert!(headed.contains(&(*schema).to_owned()), "{schema} has no heading");
    }
    for (schema, keys) in schemas {
        let heading =
            json.lines().find(|line| line.starts_with(&format!("### `{schema}`"))).unwrap().to_owned();
        let told = ticked(&under(&heading)).into_iter().collect::<BTreeSet<_>>();
        for key in keys {
            assert!(told.contains(key), "{schema} is told without {key}");
        }
    }
    // Every schema that the program speaks is among them.
    let source = |name: &str| {
        std::fs::read_to_string(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/cli").join(name))
            .unwrap()
    };
    for entry in std::fs::read_dir(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/cli")).unwrap()
    {
        let name = entry.unwrap().file_name().into_string().unwrap();
        for word in source(&name).split('"').filter(|word| word.ends_with("/1") && !word.contains(' ')) {
            assert!(headed.contains(&word.to_owned()), "{name} speaks {word}, which is not told");
        }
    }
}

#[test]
fn the_notes_name_every_csv_column() {
    assert_eq!(first_cells(&under("### `sold import`")), SOLD_COLUMNS);
    assert_eq!(first_cells(&under("### `report import`")), REPORT_COLUMNS);
}

#[test]
fn the_notes_name_every_letter_and_what_its_template_may_use() {
    let letters: Vec<&str> = LetterKind::ALL.iter().map(|kind| kind.as_str()).collect();
    assert_eq!(first_cells(&under("### Which letter")), letters);
    // A template that shows all it may use: the names stand at the beginning of a line.
    let world = World::new();
    world.sold_recurve("K-1");
    world.report("K-1", "--symptom brace-low --brace 6-7/8");
    std::fs::create_dir(world.path("letters")).unwrap();
    world.write("letters/adjust.txt", "{{ debug() }}");
    let shown = world.line("letter R-1 --no-danger").done().stdout;
    let names = first_cells(&under("### What a template may use"));
    assert!(names.len() > 20);
    for name in &names {
        assert!(
            shown.contains(&format!("\"{name}\":")) || shown.contains(&format!("{name}:")),
            "{name}: {shown}"
        );
    }
    let all: String = names.iter().map(|name| format!("{name} is {{{{ {name} }}}}\n")).collect();
    world.write("letters/adjust.txt", all);
    let _ = world.line("letter R-1").done();
    let source = std::fs::read_to_string(
        std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/letters/filling.rs"),
    )
    .unwrap();
    let filling = source.split("struct Filling {").nth(1).unwrap().split("\n}").next().unwrap();
    let fields: Vec<&str> = filling
        .lines()
        .filter(|line| !line.trim_start().starts_with("//"))
        .filter_map(|line| line.trim().trim_start_matches("pub(super) ").split_once(": "))
        .map(|(name, _)| name)
        .collect();
    assert_eq!(names, fields);
}

#[test]
fn the_notes_name_every_variable_of_the_environment() {
    let told = first_cells(&under("## Environment"));
    let session =
        std::fs::read_to_string(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("src/cli/session.rs"))
            .unwrap();
    for name in session
        .split('"')
        .filter(|word| word.len() > 3 && word.chars().all(|c| c.is_ascii_uppercase() || c == '_'))
    {
        assert!(told.iter().any(|cell| cell.contains(name)), "{name} is not told");
    }
    for name in ["NO_COLOR", "HOME"] {
        assert!(told.iter().any(|cell| cell.contains(name)), "{name} is not told");
    }
}

#[test]
fn the_notes_name_every_kind_of_error_with_its_status() {
    let kinds = [
        Kind::BadValue,
        Kind::NotFound,
        Kind::Refused,
        Kind::OutOfDate,
        Kind::NoBook,
        Kind::BadBook,
        Kind::NewerBook,
        Kind::File,
        Kind::CommandLine,
        Kind::Fault,
    ];
    let section = under("## Exit status");
    let told: Vec<(String, String)> = section
        .lines()
        .filter(|line| line.starts_with("| `"))
        .map(|line| {
            let mut cells =
                line.trim_matches('|').split('|').map(|cell| cell.trim().trim_matches('`').to_owned());
            (cells.next().unwrap(), cells.next().unwrap())
        })
        .collect();
    let known: Vec<(String, String)> = kinds
        .iter()
        .map(|kind| {
            let name = serde_json::to_value(kind).unwrap().as_str().unwrap().to_owned();
            (name, kind.status().to_string())
        })
        .collect();
    assert_eq!(told, known);
}
