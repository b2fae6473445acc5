//! Imports: reading with progress, every bad row reported, all rows or none.

use std::collections::BTreeSet;
use std::path::PathBuf;

use chrono::NaiveDate;
use clap::Args;
use indicatif::{ProgressBar, ProgressStyle};

use super::files;
use super::outputs::Outputs;
use super::session::{Session, tell};
use crate::app;
use crate::app::imports::{ImportView, Imported, Rows};
use crate::app::sold::ImportHow;
use crate::book::{Author, Book};
use crate::error::{Kind, Problem};
use crate::intake::{
    ColumnMap, Import, IntakeError, REPORT_COLUMNS, RowError, SOLD_COLUMNS, Take, as_they_stood,
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

type Read<Row> = fn(
    &[u8],
    &ColumnMap,
    &Rules,
    NaiveDate,
    &mut dyn FnMut(u64),
    Take<'_, Row, Problem>,
) -> Result<Import, Problem>;
/// What takes the rows of a file, told whether it is a trial run; it is given the way through the file.
type Within<'a, Row> = dyn Fn(
        &mut Book,
        bool,
        &Author,
        &mut dyn FnMut(&mut dyn Rows<Row>) -> Result<(), Problem>,
    ) -> Result<Imported, Problem>
    + 'a;

/// What one kind of import does at each step.
struct Steps<'a, Row> {
    columns: &'static [&'static str],
    what: &'static str,
    read: Read<Row>,
    within: &'a Within<'a, Row>,
}

/// What is wrong with the rows of a file, in the order of its lines.
#[derive(Default)]
struct Faults {
    /// The first, each.
    told: Vec<String>,
    /// How many more, and the lines of the first and the last of them.
    more: usize,
    of_more: (u64, u64),
    /// Lines of all bad rows.
    lines: BTreeSet<u64>,
}

impl Faults {
    fn add(&mut self, line: u64, said: String) {
        self.lines.insert(line);
        if self.told.len() < MOST_TOLD {
            self.told.push(said);
            return;
        }
        self.of_more = (if self.more == 0 { line } else { self.of_more.0 }, line);
        self.more += 1;
    }

    /// The first faults, each; of the others how many there are, and in which lines.
    fn summed_up(self) -> Vec<String> {
        let (first, last) = self.of_more;
        let more =
            (self.more > 0).then(|| format!("and {} more, from line {first} to line {last}", self.more));
        self.told.into_iter().chain(more).collect()
    }
}

/// A good row, or every bad value of a bad one.
type Record<Row> = Result<Row, Vec<RowError>>;

/// So many records are handed over at once, and so many such heaps may lie between the two.
const HEAP: usize = 64;
const HEAPS: usize = 4;

/// Reads records on a thread of its own, while this one takes those that were read.
fn beside<Row: Send>(
    read: impl FnOnce(Take<'_, Row, Problem>) -> Result<Import, Problem> + Send,
    take: Take<'_, Row, Problem>,
) -> Result<Import, Problem> {
    let nobody = |what: &str| Problem::new(Kind::Fault, format!("the import ended: {what}"), "import again");
    std::thread::scope(|scope| {
        let (give, heaps) = std::sync::mpsc::sync_channel::<Vec<Record<Row>>>(HEAPS);
        let reader = scope.spawn(move || {
            let mut heap = Vec::with_capacity(HEAP);
            let import = read(&mut |record| {
                heap.push(record);
                if heap.len() < HEAP {
                    return Ok(());
                }
                let full = std::mem::replace(&mut heap, Vec::with_capacity(HEAP));
                give.send(full).map_err(|_| nobody("nobody takes the rows any more"))
            })?;
            give.send(heap).map_err(|_| nobody("nobody takes the rows any more"))?;
            Ok(import)
        });
        let taken = heaps.iter().flatten().try_for_each(take);
        // Whoever reads on hears that nothing is taken any more.
        drop(heaps);
        let import = reader.join().unwrap_or_else(|_| Err(nobody("the file could not be read")));
        taken.and(import)
    })
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
                within: &|book, dry_run, author, rows| {
                    app::sold::import(book, ImportHow { dry_run, bows_apart }, author, rows)
                },
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
                within: &|book, dry_run, author, rows| app::old_reports::import(book, dry_run, author, rows),
            },
        )
    }

    fn run<Row: Send>(self, session: &mut Session, steps: &Steps<'_, Row>) -> Result<(), Problem> {
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
        let bar = progress_bar(bytes.len() as u64, "importing");
        let (mut import, mut faults, mut saved) = (None, Faults::default(), None);
        let done = (steps.within)(&mut book, self.dry_run, &author, &mut |rows| {
            let mut take = |record: Record<Row>| {
                match record {
                    Ok(row) => {
                        let write = faults.lines.is_empty() || bad_file.is_some();
                        if let Some(fault) = rows.take(row, write)? {
                            faults.add(fault.line, fault.said);
                        }
                    }
                    Err(errors) => {
                        errors.iter().for_each(|error| faults.add(error.line, error.to_string()));
                    }
                }
                Ok(())
            };
            let read = steps.read;
            let records = |take: Take<'_, Row, Problem>| {
                read(&bytes, &columns, &rules, author.day, &mut |done| bar.set_position(done), take)
            };
            let read = beside(records, &mut take)?;
            let delimiter = read.delimiter;
            import = Some(read);
            match &bad_file {
                _ if faults.lines.is_empty() => {}
                None => return Err(bad_rows(&mut faults)),
                Some(output) => {
                    output.write(&as_they_stood(&bytes, delimiter, &faults.lines)?)?;
                    saved = Some(output);
                }
            }
            Ok(())
        });
        bar.finish_and_clear();
        if done.is_err()
            && let Some(output) = saved
        {
            output.take_back();
        }
        let Some(import) = import else { return done.map(|_| ()) };
        if !import.ignored_columns.is_empty() {
            session.warn(format!("columns nobody knows were ignored: {}", import.ignored_columns.join(", ")));
        }
        let done = done?;
        let bad = faults.lines.len();
        if let Some(output) = saved {
            for line in faults.summed_up() {
                tell(&line);
            }
            session.warn(format!("{bad} bad rows were saved to {}", output.named().display()));
        }
        let view = ImportView {
            rows: import.row_count,
            added: done.added,
            unchanged: done.unchanged,
            struck: done.struck,
            same_bow: done.same_bow,
            bow_kept_apart: done.bow_kept_apart,
            bad,
            below_floor: done.below_floor,
            strength_not_checked: done.strength_not_checked,
            ignored_columns: import.ignored_columns,
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

fn bad_rows(faults: &mut Faults) -> Problem {
    let rows = faults.lines.len();
    let mut hints = std::mem::take(faults).summed_up();
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
