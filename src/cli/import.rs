//! Imports: reading with progress, every bad row reported, all rows or none.

use std::collections::BTreeSet;
use std::path::PathBuf;

use chrono::NaiveDate;
use clap::Args;
use indicatif::{ProgressBar, ProgressStyle};

use super::files;
use super::outputs::Outputs;
use super::session::{Session, tell};
use crate::app::sold::{ImportHow, ImportView, Imported, WeakRow};
use crate::app::{self, AppError};
use crate::book::{Author, Book};
use crate::error::{Kind, Problem};
use crate::intake::{
    ColumnMap, Import, IntakeError, REPORT_COLUMNS, ReportRow, SOLD_COLUMNS, SoldRow, as_they_stood,
    read_reports, read_sold,
};
use crate::show::page::Meaning;
use crate::show::records;
use crate::trade::rules::Rules;

#[derive(Debug, Args)]
pub(super) struct ImportArgs {
    /// The file, or - for standard input.
    file: PathBuf,
    /// Which of their columns is which of ours: {"our_name": "their header"}.
    #[arg(long, value_name = "MAP.json")]
    columns: Option<PathBuf>,
    /// Read and check everything, write nothing.
    #[arg(long)]
    dry_run: bool,
    /// Write the good rows and save the bad ones to this file.
    #[arg(long, value_name = "FILE", conflicts_with = "dry_run")]
    skip_bad: Option<PathBuf>,
}

#[derive(Debug, Args)]
pub(super) struct SoldImportArgs {
    #[command(flatten)]
    import: ImportArgs,
    /// Keep strings of one archer apart that are for bows of the same kind and marked length; else they are taken to be for one bow, unless something else speaks against it.
    #[arg(long)]
    bows_apart: bool,
}

impl From<IntakeError> for Problem {
    fn from(error: IntakeError) -> Self {
        Self::new(
            Kind::BadValue,
            error.to_string(),
            "nothing was written; see docs/commands.md for the columns, and --columns to name theirs",
        )
    }
}

type Read<Row> =
    fn(&[u8], &ColumnMap, &Rules, NaiveDate, &mut dyn FnMut(u64)) -> Result<Import<Row>, IntakeError>;
/// Line and sentence of every row that does not go with the book.
type Faults<Row> = fn(&mut Book, &[Row]) -> Result<Vec<(u64, String)>, AppError>;
/// Writes the rows, or in a trial run counts what would be written: added, and there already.
type Write<'a, Row> =
    dyn Fn(&mut Book, &[Row], bool, &Author, &mut dyn FnMut(usize)) -> Result<Imported, AppError> + 'a;

/// What one kind of import does at each step.
struct Steps<'a, Row> {
    columns: &'static [&'static str],
    what: &'static str,
    read: Read<Row>,
    line_of: fn(&Row) -> u64,
    faults: Faults<Row>,
    write: &'a Write<'a, Row>,
    /// Rows that are strings below the floor of strength, and how many could not be checked.
    weak: fn(&[Row], &Rules) -> (Vec<WeakRow>, usize),
}

fn progress_bar(length: u64, what: &str) -> ProgressBar {
    if !Session::shows_progress() {
        return ProgressBar::hidden();
    }
    let style = ProgressStyle::with_template("{msg} {bar:30} {percent}%")
        .unwrap_or_else(|_| ProgressStyle::default_bar());
    ProgressBar::new(length).with_style(style).with_message(what.to_owned())
}

impl SoldImportArgs {
    /// `sold import`.
    pub(super) fn run(self, session: &mut Session) -> Result<(), Problem> {
        let bows_apart = self.bows_apart;
        self.import.run(
            session,
            &Steps {
                columns: SOLD_COLUMNS,
                what: "strings",
                read: read_sold,
                line_of: |row: &SoldRow| row.line,
                faults: |book, rows| {
                    let conflicts = app::sold::conflicts(book, rows)?;
                    Ok(conflicts.iter().map(|conflict| (conflict.line, conflict.to_string())).collect())
                },
                write: &|book, rows, dry_run, author, progress| {
                    app::sold::import(book, rows, ImportHow { dry_run, bows_apart }, author, progress)
                },
                weak: app::sold::weak_rows,
            },
        )
    }
}

impl ImportArgs {
    /// `report import`.
    pub(super) fn run_reports(self, session: &mut Session) -> Result<(), Problem> {
        self.run(
            session,
            &Steps {
                columns: REPORT_COLUMNS,
                what: "reports",
                read: read_reports,
                line_of: |row: &ReportRow| row.line,
                faults: |book, rows| {
                    let mismatches = app::old_reports::mismatches(book, rows)?;
                    Ok(mismatches
                        .iter()
                        .map(|fault| {
                            let text = format!(
                                "line {}, column {}: \"{}\" - expected {}",
                                fault.line,
                                fault.column,
                                crate::words::shorten(&fault.value),
                                fault.expected
                            );
                            (fault.line, text)
                        })
                        .collect())
                },
                write: &|book, rows, dry_run, author, _| {
                    let (added, unchanged) = app::old_reports::import(book, rows, dry_run, author)?;
                    Ok(Imported { added, unchanged, ..Imported::default() })
                },
                weak: |_, _| (Vec::new(), 0),
            },
        )
    }

    fn run<Row>(self, session: &mut Session, steps: &Steps<'_, Row>) -> Result<(), Problem> {
        let mut outputs = Outputs::of(session);
        for read in [Some(&self.file), self.columns.as_ref()].into_iter().flatten() {
            outputs.reads(read);
        }
        // Bad rows of an earlier import may not be mended yet: they are never replaced.
        let bad_file = self.skip_bad.as_ref().map(|path| outputs.file(path, false)).transpose()?;
        let mut book = session.book()?;
        let rules = app::rules(&mut book)?;
        let author = session.author()?;
        let columns = match &self.columns {
            Some(path) => ColumnMap::from_json(&files::read_text(path)?, steps.columns)?,
            None => ColumnMap::default(),
        };
        let bytes = files::read(&self.file)?;
        let bar = progress_bar(bytes.len() as u64, "reading");
        let read = (steps.read)(&bytes, &columns, &rules, author.day, &mut |done| bar.set_position(done));
        bar.finish_and_clear();
        let import = read?;
        let mut faults: Vec<(u64, String)> =
            import.errors.iter().map(|error| (error.line, error.to_string())).collect();
        faults.extend((steps.faults)(&mut book, &import.rows)?);
        faults.sort_by_key(|(line, _)| *line);
        if !import.ignored_columns.is_empty() {
            session.warn(format!("columns nobody knows were ignored: {}", import.ignored_columns.join(", ")));
        }
        let bad_lines: BTreeSet<u64> = faults.iter().map(|(line, _)| *line).collect();
        if !faults.is_empty() && self.skip_bad.is_none() {
            return Err(bad_rows(summed_up(&faults), bad_lines.len()));
        }
        let mut good = import.rows;
        good.retain(|row| !bad_lines.contains(&(steps.line_of)(row)));
        let saved = bad_file.as_ref().filter(|_| !faults.is_empty());
        if let Some(output) = saved {
            output.write(&as_they_stood(&bytes, import.delimiter, &bad_lines)?)?;
        }
        let bar = progress_bar(good.len() as u64, "writing");
        let done =
            (steps.write)(&mut book, &good, self.dry_run, &author, &mut |done| bar.set_position(done as u64));
        bar.finish_and_clear();
        if done.is_err()
            && let Some(output) = saved
        {
            output.take_back();
        }
        let Imported { added, unchanged, struck, same_bow, bow_kept_apart } = done?;
        if let Some(output) = saved {
            for line in summed_up(&faults) {
                tell(&line);
            }
            session.warn(format!("{} bad rows were saved to {}", bad_lines.len(), output.named().display()));
        }
        let (below_floor, strength_not_checked) = (steps.weak)(&good, &rules);
        let view = ImportView {
            rows: import.row_count,
            added,
            unchanged,
            struck,
            same_bow,
            bow_kept_apart,
            bad: bad_lines.len(),
            below_floor,
            strength_not_checked,
            ignored_columns: import.ignored_columns.clone(),
            dry_run: self.dry_run,
        };
        session.answer("import/1", &view, |page, _| {
            let verb = if view.dry_run { "would be added" } else { "added" };
            page.line(
                Meaning::Answer,
                format!(
                    "{} {} {verb}, {} in the book already, of {} rows",
                    view.added, steps.what, view.unchanged, view.rows
                ),
            );
            records::struck_of_import(page, &view);
            records::bows_of_import(page, &view);
            records::below_floor(page, &view);
        })
    }
}

/// Faults of which each is told; nobody reads more of them.
const MOST_TOLD: usize = 100;

/// The first faults, each; of the others how many there are, and in which lines.
fn summed_up(faults: &[(u64, String)]) -> Vec<String> {
    let mut told: Vec<String> = faults.iter().take(MOST_TOLD).map(|(_, fault)| fault.clone()).collect();
    let more = faults.get(MOST_TOLD..).unwrap_or_default();
    if let ([(first, _), ..], [.., (last, _)]) = (more, more) {
        told.push(format!("and {} more, from line {first} to line {last}", more.len()));
    }
    told
}

fn bad_rows(mut hints: Vec<String>, rows: usize) -> Problem {
    hints.push("mend them and import again, or write the good rows with --skip-bad FILE".to_owned());
    Problem {
        kind: Kind::BadValue,
        message: format!(
            "{} {} bad; nothing was written",
            rows,
            if rows == 1 { "row is" } else { "rows are" }
        ),
        hints,
    }
}
