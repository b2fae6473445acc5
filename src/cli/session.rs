//! One run of the program: which book, which day, which unit, and where answers go.
#![expect(
    clippy::disallowed_methods,
    reason = "environment, clock and terminal are read here and nowhere else"
)]

use std::io::{IsTerminal, Write};
use std::path::PathBuf;

use chrono::{Datelike, NaiveDate};
use serde::Serialize;

use crate::book::{Author, Book};
use crate::error::{Kind, Problem};
use crate::quantity::Unit;
use crate::show::Envelope;
use crate::show::page::TextPage;
use crate::show::sentences::Style;
use crate::trade::rules::Rules;

/// Years in which a workshop can be at work: before, a computer's clock was never set; after, no
/// day is taken by any door (see `quantity::parse_date`).
const YEARS: std::ops::RangeInclusive<i32> = 1970..=2200;

/// Widest text, characters.
const WIDEST: usize = 100;

/// One run of the program.
#[derive(Debug)]
pub(super) struct Session {
    book_argument: Option<PathBuf>,
    units: Option<Unit>,
    json: bool,
    warnings: Vec<String>,
}

impl Session {
    pub(super) fn new(book_argument: Option<PathBuf>, units: Option<Unit>, json: bool) -> Self {
        Self { book_argument, units, json, warnings: Vec::new() }
    }

    pub(super) const fn json(&self) -> bool {
        self.json
    }

    /// The day, from the environment or the clock.
    pub(super) fn today(&self) -> Result<NaiveDate, Problem> {
        match std::env::var("FISTMELE_TODAY") {
            Ok(text) if !text.trim().is_empty() => NaiveDate::parse_from_str(text.trim(), "%Y-%m-%d")
                .ok()
                .filter(|day| YEARS.contains(&day.year()))
                .ok_or_else(|| {
                    Problem::new(
                        Kind::BadValue,
                        format!(
                            "FISTMELE_TODAY is \"{}\", which is no day from {} to {}",
                            crate::words::shorten(&text),
                            YEARS.start(),
                            YEARS.end()
                        ),
                        "write it as YYYY-MM-DD, or take it out of the environment",
                    )
                }),
            _ => {
                let day = chrono::Local::now().date_naive();
                if YEARS.contains(&day.year()) {
                    return Ok(day);
                }
                Err(Problem::new(
                    Kind::BadValue,
                    format!("the clock of this computer says {day}"),
                    "set the clock, or give the day in FISTMELE_TODAY as YYYY-MM-DD",
                ))
            }
        }
    }

    /// The name that somebody gave the program as theirs.
    pub(super) fn who_said() -> Option<String> {
        std::env::var("FISTMELE_WHO").ok().filter(|value| !value.trim().is_empty())
    }

    /// Who is at the keyboard, for the history.
    pub(super) fn author(&self) -> Result<Author, Problem> {
        let login = |name: &&str| std::env::var(name).ok().filter(|value| !value.trim().is_empty());
        let who =
            Self::who_said().or_else(|| ["USER", "USERNAME", "LOGNAME"].iter().find_map(login)).map_or_else(
                || "unknown".to_owned(),
                |who| crate::words::harmless(&who).chars().take(80).collect(),
            );
        Ok(Author { who, day: self.today()? })
    }

    /// How long to wait for another program that holds the book: FISTMELE_PATIENCE, milliseconds.
    pub(super) fn patience() -> Result<std::time::Duration, Problem> {
        match std::env::var("FISTMELE_PATIENCE") {
            Ok(text) if !text.trim().is_empty() => text
                .trim()
                .parse()
                .ok()
                .filter(|wait| *wait <= 600_000)
                .map(std::time::Duration::from_millis)
                .ok_or_else(|| {
                    Problem::new(
                        Kind::BadValue,
                        format!("FISTMELE_PATIENCE is \"{}\"", crate::words::shorten(&text)),
                        "write it as milliseconds from 0 to 600000, or take it out of the environment",
                    )
                }),
            _ => Ok(crate::book::PATIENCE),
        }
    }

    /// A fault of the program may be one of the book: a damaged file shows itself anywhere. So
    /// the book is looked through before the program takes the blame.
    pub(super) fn explained(&self, problem: Problem) -> Problem {
        let problem = if crate::book::times_written() > 0 { problem.after_writing() } else { problem };
        let problem = self.blamed(problem);
        match self.book_path() {
            Ok(path) => problem.of_book(&path),
            Err(_) => problem,
        }
    }

    fn blamed(&self, problem: Problem) -> Problem {
        if problem.kind != Kind::Fault {
            return problem;
        }
        let looked = self
            .book_path()
            .and_then(|path| crate::app::verify::verify(&path, Self::patience()?).map_err(Problem::from));
        match looked {
            Ok(view) if !view.sound => {
                let first = view.faults.first().map(|fault| fault.what.clone()).unwrap_or_default();
                Problem {
                    kind: Kind::BadBook,
                    message: format!("the book is damaged: {first}"),
                    hints: vec![
                        "see all that is wrong with: fistmele verify".to_owned(),
                        "do not write to it any more; take the newest copy you have, and keep this file"
                            .to_owned(),
                    ],
                }
            }
            Err(found) if found.kind == Kind::BadBook => found,
            _ => problem,
        }
    }

    /// Where the book is: argument, environment, data folder.
    pub(super) fn book_path(&self) -> Result<PathBuf, Problem> {
        if let Some(path) = &self.book_argument {
            return Ok(path.clone());
        }
        if let Some(path) = std::env::var_os("FISTMELE_BOOK").filter(|path| !path.is_empty()) {
            return Ok(path.into());
        }
        super::place::data_folder().map(|folder| folder.join("book.db")).ok_or_else(|| {
            Problem::new(
                Kind::NoBook,
                "there is no home folder to keep a book in",
                "name the book with --book FILE",
            )
        })
    }

    /// The book named on the command line, if any.
    pub(super) fn named_book(&self) -> Option<PathBuf> {
        self.book_argument.clone()
    }

    /// A session like this one for longer work, and what was to be said so far.
    pub(super) fn apart(&mut self) -> (Self, Vec<String>) {
        let book_argument = self.book_argument.clone();
        (Self { book_argument, warnings: Vec::new(), ..*self }, std::mem::take(&mut self.warnings))
    }

    /// The unit asked for on the command line.
    pub(super) const fn own_unit(&self) -> Option<Unit> {
        self.units
    }

    /// Opens the book; with it comes the place of a copy, if it had to be brought up to date.
    pub(super) fn open_book(&self) -> Result<(Book, Option<PathBuf>), Problem> {
        Ok(Book::open_patiently(&self.book_path()?, self.today()?, Self::patience()?)?)
    }

    /// Opens the book and leaves it as old as it is.
    pub(super) fn book_as_it_is(&self) -> Result<Book, Problem> {
        Ok(Book::open_as_it_is(&self.book_path()?, Self::patience()?)?)
    }

    /// Opens the book.
    pub(super) fn book(&mut self) -> Result<Book, Problem> {
        let (book, copy) = self.open_book()?;
        if let Some(copy) = copy {
            self.warn(format!(
                "the book was brought up to date; a copy of the old one is at {}",
                copy.display()
            ));
        }
        if let Some(error) = book.unscrubbed() {
            let told = format!(
                "somebody was forgotten, and the file could still not be rewritten, so that traces may stand in it ({error}); it is tried again whenever the book is opened"
            );
            self.warn(told);
        }
        if book.other_names() > 0 {
            self.warn(format!(
                "the book {} has another name on its disk (a hard link): open it under one name only, or a command that is cut off is undone wrongly; a copy is made with: fistmele backup",
                self.book_path()?.display()
            ));
        }
        Ok(book)
    }

    /// Makes a new empty book.
    pub(super) fn init(&mut self) -> Result<(), Problem> {
        let path = self.book_path()?;
        // The program's own folder is made; a folder somebody names must be there, or it is a typing slip.
        if self.book_argument.is_none()
            && let Some(folder) = path.parent()
        {
            super::files::make_folder(folder)?;
        }
        Book::create(&path)?;
        #[derive(Serialize)]
        struct Made {
            book: String,
        }
        let shown = path.display().to_string();
        self.answer("init/1", &Made { book: shown.clone() }, |page, _| {
            page.line(crate::show::page::Meaning::Answer, format!("A new empty book is at {shown}"));
            page.line(
                crate::show::page::Meaning::Plain,
                "Next: fistmele setting set workshop.name \"...\", then fistmele sold add or fistmele sold import FILE.csv",
            );
        })
    }

    /// Unit of bare numbers and of what is shown.
    pub(super) fn unit(&self, rules: &Rules) -> Unit {
        self.units.unwrap_or(rules.units)
    }

    /// How numbers are shown.
    pub(super) fn style(&self, rules: &Rules) -> Style {
        Style { unit: self.unit(rules), currency: rules.currency.clone(), rounding: rules.rounding }
    }

    /// Something to know beside the answer.
    pub(super) fn warn(&mut self, text: impl Into<String>) {
        self.warnings.push(text.into());
    }

    /// True where somebody sits at the keyboard.
    pub(super) fn can_ask() -> bool {
        std::io::stdin().is_terminal() && std::io::stderr().is_terminal()
    }

    /// True where progress can be shown.
    pub(super) fn shows_progress() -> bool {
        std::io::stderr().is_terminal()
    }

    fn width() -> usize {
        std::env::var("COLUMNS").ok().and_then(|columns| columns.parse().ok()).unwrap_or(90).clamp(50, WIDEST)
    }

    /// Writes the answer: JSON or text on standard output, warnings on standard error.
    pub(super) fn answer<T: Serialize>(
        &mut self,
        schema: &str,
        data: &T,
        text: impl FnOnce(&mut TextPage, &mut Self),
    ) -> Result<(), Problem> {
        if self.json {
            let envelope = Envelope { schema, data, warnings: &self.warnings };
            let out = serde_json::to_string(&envelope)
                .map_err(|error| Problem::new(Kind::Fault, error.to_string(), "please report this"))?;
            let mut out = crate::words::harmless_json(&out);
            out.push('\n');
            return write_out(out.as_bytes());
        }
        let mut page = TextPage::new(Self::width());
        text(&mut page, self);
        self.tell_warnings();
        write_out(page.styled().as_bytes())
    }

    /// Writes a page to standard error, for somebody at the keyboard to look at before answering.
    pub(super) fn show(&mut self, text: impl FnOnce(&mut TextPage)) -> Result<(), Problem> {
        let mut page = TextPage::new(Self::width());
        text(&mut page);
        tell(page.styled().trim_end());
        Ok(())
    }

    /// Writes finished text to standard output.
    pub(super) fn plain(&mut self, text: &str) -> Result<(), Problem> {
        self.tell_warnings();
        write_out(text.as_bytes())
    }

    fn tell_warnings(&mut self) {
        for warning in std::mem::take(&mut self.warnings) {
            tell(&format!("note: {}", crate::words::harmless(&warning)));
        }
    }
}

/// Writes to standard output, without styles where it is no terminal. A closed pipe is success.
fn write_out(bytes: &[u8]) -> Result<(), Problem> {
    let mut out = anstream::AutoStream::auto(std::io::stdout().lock());
    match out.write_all(bytes).and_then(|()| out.flush()) {
        Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => Err(Problem::new(
            Kind::File,
            format!("standard output cannot be written: {error}"),
            "what was asked for was done; only the answer was lost",
        )),
        _ => Ok(()),
    }
}

/// A line on standard error; nobody can be told if that fails.
pub(super) fn tell(line: &str) {
    let mut err = anstream::AutoStream::auto(std::io::stderr().lock());
    let _ = writeln!(err, "{line}");
}

/// Shows a problem on standard error and gives the exit status.
pub(super) fn report_problem(problem: &Problem, json: bool) -> u8 {
    if json {
        #[derive(Serialize)]
        struct ErrorEnvelope<'a> {
            schema: &'static str,
            error: &'a Problem,
        }
        let envelope = ErrorEnvelope { schema: "error/1", error: problem };
        tell(&crate::words::harmless_json(&serde_json::to_string(&envelope).unwrap_or_default()));
    } else {
        tell(&format!("error: {}", crate::words::harmless(&problem.message)));
        for hint in &problem.hints {
            tell(&format!("  hint: {}", crate::words::harmless(hint)));
        }
    }
    problem.kind.status()
}
