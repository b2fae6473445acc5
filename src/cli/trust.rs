//! `backup`, `verify`, `export`, `restore`, `history`, `forget`.

use std::path::PathBuf;

use clap::Args;
use serde::Serialize;

use super::copies::Copies;
use super::outputs::Outputs;
use super::session::Session;
use super::{args, files, prompt};
use crate::app;
use crate::app::export::Contents;
use crate::app::forget::ForgetView;
use crate::book::Book;
use crate::error::{Kind, Problem};
use crate::show::page::Meaning;
use crate::show::trust;
use crate::trade::plausible::Whole;

#[derive(Debug, Args)]
#[command(
    after_help = "The copy is looked through before it takes its place, and only its owner may read it.
Example: fistmele backup /media/stick/book-2026-03-01.db"
)]
pub(super) struct Backup {
    /// Where the copy goes.
    file: PathBuf,
    /// Replace a file that is there, once the new copy is whole.
    #[arg(long)]
    replace: bool,
}

impl Backup {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        #[derive(Serialize)]
        struct BackupView {
            file: String,
            bytes: u64,
            book_version: i64,
        }
        let output = Outputs::of(session).copy(&self.file, self.replace)?;
        let book = session.book()?;
        let copied = book.copy_to(output.place(), self.replace).map_err(|error| match error {
            crate::book::BookError::Exists(path) if path == output.place() => Problem {
                kind: Kind::Refused,
                message: format!("{} is there already", path.display()),
                hints: vec![
                    "name another file, or give --replace to put the new copy in its place".to_owned(),
                ],
            },
            crate::book::BookError::Exists(path) => Problem::new(
                Kind::Refused,
                format!("{} lies beside that name and would be taken for the copy's own", path.display()),
                "name another file; nothing was written",
            ),
            other => other.into(),
        })?;
        let view = BackupView {
            file: self.file.display().to_string(),
            bytes: copied.bytes,
            book_version: copied.version,
        };
        session.answer("backup/1", &view, |page, _| {
            page.line(
                Meaning::Answer,
                format!("A copy of {} bytes, looked through and sound, is at {}", view.bytes, view.file),
            );
        })
    }
}

/// Looks through the book.
pub(super) fn verify(session: &mut Session) -> Result<(), Problem> {
    #[derive(Serialize)]
    struct Answer<'a> {
        #[serde(flatten)]
        view: &'a app::verify::VerifyView,
        leftovers: &'a [String],
    }
    let path = session.book_path()?;
    let view = app::verify::verify(&path, Session::patience()?)?;
    let leftovers = shown(&files::leftovers_beside(&path));
    session.answer("verify/1", &Answer { view: &view, leftovers: &leftovers }, |page, _| {
        trust::verify(page, &view, &leftovers);
    })?;
    if view.sound {
        return Ok(());
    }
    Err(Problem::new(
        Kind::BadBook,
        format!("the book has {} faults", view.faults.len()),
        "what to do stands with each of them",
    ))
}

#[derive(Debug, Args)]
#[command(
    after_help = "Each table comes as TABLE.csv for a spreadsheet and as TABLE.json, from which restore makes the same book.
Texts that a spreadsheet would take for a formula get a leading apostrophe in the CSV files.
Example: fistmele export book-2026"
)]
pub(super) struct Export {
    /// Folder; made where it is missing, else it must be empty.
    folder: PathBuf,
}

#[derive(Serialize)]
struct ExportView<'a> {
    folder: String,
    #[serde(flatten)]
    contents: &'a Contents,
}

impl Export {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        let folder = files::NewFolder::begin(&Outputs::of(session).folder(&self.folder)?)?;
        let contents = app::export::export(&mut book, &mut |name| folder.make(name))?;
        folder.finish()?;
        let view = ExportView { folder: self.folder.display().to_string(), contents: &contents };
        session.answer("export/1", &view, |page, _| {
            let rows: u64 = contents.tables.iter().map(|table| table.rows).sum();
            page.line(
                Meaning::Answer,
                format!("{} tables with {rows} rows are in {}", contents.tables.len(), view.folder),
            );
            page.paragraph(
                Meaning::Caution,
                "They hold names, addresses and mail texts: keep them as you keep the book.",
            );
        })
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Copies and exports carry digests: what was damaged or changed since they were made is refused.
The new book is looked through as verify does before it gets its name.
Examples:
  fistmele restore book-2026 --book again.db
  fistmele restore /media/stick/book-2026-03-01.db --book again.db"
)]
pub(super) struct Restore {
    /// Folder that export wrote, or copy that backup made.
    #[arg(value_name = "FOLDER_OR_COPY")]
    from: PathBuf,
}

impl Restore {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        #[derive(Serialize)]
        struct RestoreView {
            book: String,
            rows: i64,
        }
        let path = session.named_book().ok_or_else(|| {
            Problem::new(
                Kind::CommandLine,
                "the new book is not named",
                "add --book FILE, with a file that is not there yet",
            )
        })?;
        let rows = if self.from.is_dir() {
            app::export::restore(&path, &mut |name| files::open(&self.from.join(name)))?
        } else {
            Book::restore_copy(&self.from, &path)?
        };
        let view = RestoreView { book: path.display().to_string(), rows };
        session.answer("restore/1", &view, |page, _| {
            page.line(Meaning::Answer, format!("A book of {} rows is at {}", view.rows, view.book));
        })
    }
}

#[derive(Debug, Args)]
#[command(after_help = "Examples:
  fistmele history --last 20
  fistmele history --string S-7
  fistmele history --report R-3 --json")]
pub(super) struct History {
    /// Of this string and its reports.
    #[arg(long, value_name = "SERIAL", conflicts_with = "report")]
    string: Option<String>,
    /// Of this report.
    #[arg(long, value_name = "R")]
    report: Option<String>,
    /// How many lines, the newest.
    #[arg(long, value_name = "N", default_value = "200")]
    last: String,
}

impl History {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let most = args::count(Some(&self.last), "last", Whole { low: 1, high: 10_000_000 })?.unwrap_or(200);
        let mut book = session.book()?;
        let view = app::history::history(&mut book, self.string.as_deref(), self.report.as_deref(), most)?;
        let left = view.of - view.lines.len() as i64;
        if left > 0 {
            session.warn(format!("{left} older lines are left out; see them with --last {}", view.of));
        }
        session.answer("history/1", &view, |page, _| trust::history(page, &view))
    }
}

#[derive(Debug, Args)]
#[command(
    after_help = "Where several archers match, it asks; without a terminal it lists their ids and does nothing.
Examples:
  fistmele forget odalind@example.org
  fistmele forget A-12 --yes"
)]
pub(super) struct Forget {
    /// Name, e-mail address or id.
    archer: String,
    /// Do not ask whether it is meant.
    #[arg(long)]
    yes: bool,
}

impl Forget {
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let mut book = session.book()?;
        let author = session.author()?;
        let found = app::forget::candidates(&mut book, &self.archer)?;
        let lines = trust::candidates(&found);
        let ids: Vec<&str> = found.iter().map(|candidate| candidate.archer.id.as_str()).collect();
        let id = match ids.as_slice() {
            [only] => (*only).to_owned(),
            _ if Session::can_ask() => {
                for line in &lines {
                    super::session::tell(&crate::words::harmless(line));
                }
                prompt::ask("Which one", None, |answer| {
                    ids.iter()
                        .find(|id| id.eq_ignore_ascii_case(answer))
                        .map(|id| (*id).to_owned())
                        .ok_or_else(|| {
                            Problem::new(Kind::BadValue, "one of the ids is needed", ids.join(", "))
                        })
                })?
            }
            _ => {
                let mut hints = lines;
                hints.push("name one by its id; nothing was erased".to_owned());
                return Err(Problem {
                    kind: Kind::Refused,
                    message: format!(
                        "{} archers match \"{}\"",
                        ids.len(),
                        crate::words::shorten(&self.archer)
                    ),
                    hints,
                });
            }
        };
        if !self.yes && !agreed(&lines, &id)? {
            return Err(Problem::new(Kind::Refused, "nothing was erased", "answer yes, or give --yes"));
        }
        let (view, unpacked) = app::forget::forget(&mut book, &id, &author)?;
        let copies = Copies::of(&session.book_path()?, &app::rules(&mut book)?.copies_folder);
        drop(book);
        if !copies.can_be_reached() {
            session.warn("the folder of the daily copies is not there: they still hold the person; connect its disk and look there");
        }
        let still: Vec<PathBuf> = copies
            .forget(&id, &author)
            .into_iter()
            .map(|(path, problem)| {
                session.warn(format!(
                    "{} still holds the person: {}; delete it",
                    path.display(),
                    problem.message
                ));
                path
            })
            .collect();
        if let Some(error) = unpacked {
            session.warn(not_rewritten(&error, &id));
        }
        answer(session, &view, still)
    }
}

fn agreed(lines: &[String], id: &str) -> Result<bool, Problem> {
    if !Session::can_ask() {
        let mut hints: Vec<String> =
            lines.iter().filter(|line| line.starts_with(&format!("{id}:"))).cloned().collect();
        hints.push(format!("if that is who is meant: fistmele forget {id} --yes"));
        return Err(Problem {
            kind: Kind::Refused,
            message: format!("erasing {id} cannot be undone, and there is nobody to ask"),
            hints,
        });
    }
    for line in lines.iter().filter(|line| line.starts_with(&format!("{id}:"))) {
        super::session::tell(&crate::words::harmless(line));
    }
    prompt::ask("Erase this person? It cannot be undone (yes/no)", Some("no"), |answer| {
        args::yes_no(answer).map_err(|why| Problem::new(Kind::BadValue, why, "yes or no"))
    })
}

fn answer(session: &mut Session, view: &ForgetView, mut still: Vec<PathBuf>) -> Result<(), Problem> {
    #[derive(Serialize)]
    struct Answer<'a> {
        #[serde(flatten)]
        view: &'a ForgetView,
        copies: &'a [String],
        leftovers: &'a [String],
    }
    let book = session.book_path()?;
    still.extend(files::copies_beside(&book));
    let (copies, leftovers) = (shown(&still), shown(&files::leftovers_beside(&book)));
    session.answer("forget/1", &Answer { view, copies: &copies, leftovers: &leftovers }, |page, _| {
        trust::forget(page, view, &copies, &leftovers);
    })
}

fn shown(paths: &[PathBuf]) -> Vec<String> {
    paths.iter().map(|path| path.display().to_string()).collect()
}

/// What is told where a person is erased and the file could not be rewritten.
fn not_rewritten(error: &crate::book::BookError, id: &str) -> String {
    format!(
        "everything of {id} is taken out, but the file could not be rewritten, and traces may stand in it until it is ({error}); it is tried again whenever the book is opened, or with: fistmele forget {id} --yes"
    )
}
