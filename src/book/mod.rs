//! The book: one SQLite file. All SQL stands in this module; it decides nothing.
//!
//! Writes are immediate transactions that commit only when everything went well; reads see
//! one state. Values are worked out by the caller before a write begins.
#![expect(clippy::disallowed_types, reason = "the book is the one place that talks to the database")]

mod archers;
mod bench;
#[cfg(test)]
mod bounds_tests;
mod bow_told;
mod cases;
mod check;
mod copies;
mod decisions;
mod digest;
mod error;
mod file;
mod forget;
mod held;
mod history;
mod live;
mod logs;
mod month;
mod noted_mails;
mod old_reports;
mod personal;
mod questions_back;
mod reports;
mod rows;
mod schema;
mod second;
mod sent;
mod settings;
mod signs;
mod spools;
mod sql_types;
mod strength;
mod strikes;
mod strings;
mod tables;
mod unfinished;
mod update;

use std::path::{Path, PathBuf};
use std::time::Duration;

#[cfg(test)]
use rusqlite::trace::{TraceEvent, TraceEventCodes};
use rusqlite::{Connection, Transaction, TransactionBehavior};

pub use archers::{FormerAddress, StoredArcher};
pub use bench::BenchTest;
pub use bow_told::BowTold;
pub use cases::{Settlement, StoredRemake};
pub use check::{Examination, Fault, FaultKind, examine};
pub use copies::Copied;
pub use decisions::StoredDecision;
pub use error::BookError;
pub use file::is_a_book;
pub use forget::{Erased, ForgottenDigest};
pub use held::same_file;
pub use history::{HistoryLine, HistoryOf};
#[cfg(test)]
pub(crate) use live::leave_out_struck;
pub use logs::{LOGS, beside};
pub use month::{NewQuestion, QuietString, StoredAnswer, StoredQuestion};
pub use noted_mails::NotedMail;
pub use personal::{Fate, OUTSIDE, PLACES, Place, Whose};
pub use reports::{Listed, StoredReport, StoredVerdict};
pub use second::SecondReadings;
pub use sent::SentLetter;
pub use settings::SettingChange;
pub use spools::{Carrier, LotString, Spool, SpoolCount};
pub use strength::{Marked, ToWeigh};
pub use strikes::{Struck, Thing};
pub use strings::{Found, NewString, StoredString, Wanted};
pub use tables::{Cell, Column, Table};
pub use unfinished::{Unfinished, take_away_unfinished};

/// How long a command waits for another that is writing, unless it is told otherwise.
pub const PATIENCE: Duration = Duration::from_secs(10);

#[cfg(test)]
thread_local! {
    static SEEN: std::cell::Cell<Option<fn(&str)>> = const { std::cell::Cell::new(None) };
}

thread_local! {
    static WRITTEN: std::cell::Cell<u64> = const { std::cell::Cell::new(0) };
}

/// How often this thread has written something down for good, in whatever book: by it an error can
/// be told truly what became of the steps before it.
#[must_use]
pub fn times_written() -> u64 {
    WRITTEN.get()
}

#[cfg(test)]
fn tell(event: TraceEvent<'_>) {
    if let (TraceEvent::Stmt(_, sql), Some(seen)) = (event, SEEN.get()) {
        seen(sql);
    }
}

/// An open book.
#[derive(Debug)]
pub struct Book {
    expected: Option<Expected>,
    /// A copy that is looked into: nothing is written to it.
    only_read: bool,
    connection: Connection,
    path: Option<PathBuf>,
    /// Why the file could not be rewritten, where that is owed after somebody was erased.
    unscrubbed: Option<BookError>,
    /// After the connection, so that it goes after it.
    _held: held::Held,
}

/// One state of the book, to read from or, inside [`Book::write`], to write to.
#[derive(Debug)]
pub struct Page<'t> {
    transaction: Transaction<'t>,
}

/// Who does something, and on which day.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Author {
    /// Name of the person at the keyboard.
    pub who: String,
    /// The day.
    pub day: chrono::NaiveDate,
}

impl Book {
    /// A book in memory, for tests and examples.
    ///
    /// # Errors
    /// The database refuses.
    pub fn in_memory() -> Result<Self, BookError> {
        let mut connection = Connection::open_in_memory().map_err(BookError::from)?;
        file::migrate(&mut connection)?;
        Self::of(connection, None, held::Held::default())
    }

    /// Makes a new empty book.
    ///
    /// # Errors
    /// Something of that name is there already, or the place cannot be written.
    pub fn create(path: &Path) -> Result<Self, BookError> {
        let (held, mut connection) = file::create(path, PATIENCE)?;
        let _unfinished = Unfinished::note(path);
        if let Err(error) = file::migrate(&mut connection) {
            drop(connection);
            file::discard(path);
            return Err(error);
        }
        Self::of(connection, Some(path), held)
    }

    /// A book of the newest version whose file is open.
    fn of(connection: Connection, path: Option<&Path>, held: held::Held) -> Result<Self, BookError> {
        live::leave_out_struck(&connection)?;
        let path = path.map(Path::to_owned);
        Ok(Self { expected: None, only_read: false, connection, path, unscrubbed: None, _held: held })
    }

    /// Opens a book; an older one is copied beside itself and brought up to date.
    ///
    /// `day` names the copy. Returns where the copy is, if one was made.
    ///
    /// # Errors
    /// No book there, not a book, damaged, or made by a newer program.
    pub fn open(path: &Path, day: chrono::NaiveDate) -> Result<(Self, Option<PathBuf>), BookError> {
        Self::open_patiently(path, day, PATIENCE)
    }

    /// Opens a book as [`Book::open`] does, and says how long to wait for another program.
    ///
    /// # Errors
    /// No book there, not a book, damaged, or made by a newer program.
    pub fn open_patiently(
        path: &Path,
        day: chrono::NaiveDate,
        patience: Duration,
    ) -> Result<(Self, Option<PathBuf>), BookError> {
        let (held, mut connection) = file::open(path, patience)?;
        let copy = update::bring_up_to_date(&mut connection, path, day, patience)?;
        let mut book = Self::of(connection, Some(path), held)?;
        book.unscrubbed = book.finish_scrub().err();
        Ok((book, copy))
    }

    /// Opens a book and leaves it as old as it is: one of an older program is refused.
    ///
    /// # Errors
    /// No book there, not a book, damaged, or of another version than this program writes.
    pub fn open_as_it_is(path: &Path, patience: Duration) -> Result<Self, BookError> {
        let (held, connection) = file::open(path, patience)?;
        let version = file::version_of(&connection)?;
        if version != file::VERSION {
            return Err(BookError::Older { path: path.to_owned(), version, known: file::VERSION });
        }
        Self::of(connection, Some(path), held)
    }

    /// Opens a copy to look into it: whatever would be written to it is refused.
    ///
    /// # Errors
    /// No copy there, damaged, or of another version than this program writes.
    pub fn open_to_look(path: &Path, patience: Duration) -> Result<Self, BookError> {
        Ok(Self { only_read: true, ..Self::open_as_it_is(path, patience)? })
    }

    fn may_write(&self) -> Result<(), BookError> {
        if self.only_read { Err(BookError::OnlyACopy) } else { Ok(()) }
    }

    /// Has every statement told as it begins, so that a test can look at its plan.
    #[cfg(test)]
    pub(crate) fn watch(&mut self, seen: fn(&str)) {
        // The database takes a bare function: which one is meant is kept beside the thread.
        SEEN.set(Some(seen));
        self.connection.trace_v2(TraceEventCodes::SQLITE_TRACE_STMT, Some(tell));
    }

    /// Under how many names beside its own the file of the book is on its disk (hard links).
    #[must_use]
    pub fn other_names(&self) -> u64 {
        self.path.as_deref().map_or(0, file::other_names)
    }

    /// Why the file still could not be rewritten after somebody was erased, where that is so.
    #[must_use]
    pub const fn unscrubbed(&self) -> Option<&BookError> {
        self.unscrubbed.as_ref()
    }

    /// Where the book is, unless it is in memory.
    #[must_use]
    pub fn path(&self) -> Option<&Path> {
        self.path.as_deref()
    }

    /// Lets the next writing go through only if nothing was written down of a string or its bow
    /// since its history was at `line`, as [`Page::last_line`] gave it. It is looked at inside the writing
    /// itself, so that nobody comes in between.
    pub fn expect(&mut self, serial: &str, line: i64) {
        self.expected = Some(Expected { serial: serial.to_owned(), line });
    }

    /// Reads from one state of the book.
    ///
    /// # Errors
    /// Whatever `work` fails with.
    pub fn read<T, E: From<BookError>>(
        &mut self,
        work: impl FnOnce(&Page<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Deferred)
            .map_err(BookError::from)?;
        work(&Page { transaction })
    }

    /// Does what [`Book::write`] would do, and keeps nothing of it: a trial shows what comes of it.
    ///
    /// # Errors
    /// Whatever `work` fails with.
    pub fn rehearse<T, E: From<BookError>>(
        &mut self,
        work: impl FnOnce(&Page<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(BookError::from)?;
        // What goes out of scope without a commit is rolled back.
        work(&Page { transaction })
    }

    /// Writes in one immediate transaction; nothing is kept unless `work` succeeds.
    ///
    /// # Errors
    /// Whatever `work` fails with, or the commit.
    pub fn write<T, E: From<BookError>>(
        &mut self,
        work: impl FnOnce(&Page<'_>) -> Result<T, E>,
    ) -> Result<T, E> {
        self.may_write()?;
        let transaction = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(BookError::from)?;
        let page = Page { transaction };
        if let Some(Expected { serial, line }) = self.expected.take()
            && page.last_line(&serial)? != line
        {
            page.refuse_forgotten_since(&serial, line)?;
            return Err(BookError::OutOfDate(serial).into());
        }
        let done = work(&page)?;
        page.transaction.commit().map_err(BookError::from)?;
        WRITTEN.set(WRITTEN.get() + 1);
        Ok(done)
    }
}

/// How far the history of a string was when somebody looked at it.
#[derive(Debug)]
struct Expected {
    serial: String,
    line: i64,
}

/// What an event says happened, to what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Happened<'a> {
    /// In one word.
    pub what: &'a str,
    /// To which string (row).
    pub string: Option<i64>,
    /// To which report.
    pub report: Option<i64>,
    /// Names of the fields concerned, never personal values.
    pub fields: &'a str,
}

impl Page<'_> {
    /// How far the history of a string, its reports and its bow is: the row of its last line, 0
    /// without. A bow may be changed through any of its strings.
    ///
    /// # Errors
    /// The database refuses.
    pub fn last_line(&self, serial: &str) -> Result<i64, BookError> {
        const SQL: &str = "SELECT coalesce(max(id), 0) FROM main.event WHERE string_id IN (SELECT other.id FROM main.string own JOIN main.string other ON other.bow_id = own.bow_id WHERE own.serial = ?1) AND (what = 'bow' OR string_id = (SELECT id FROM main.string WHERE serial = ?1))";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([serial], |row| row.get(0))?)
    }

    /// Refuses where the archer of a string was forgotten since its history was at `line`.
    ///
    /// # Errors
    /// The archer was, or the database refuses.
    pub fn refuse_forgotten_since(&self, serial: &str, line: i64) -> Result<(), BookError> {
        const SQL: &str = "SELECT 1 FROM main.event WHERE string_id = (SELECT id FROM main.string WHERE serial = ?1) AND id > ?2 AND what = 'forget'";
        if self.transaction.prepare_cached(SQL)?.exists((serial, line))? {
            return Err(BookError::ForgottenSince(serial.to_owned()));
        }
        Ok(())
    }

    /// Adds a line to the history, in the same transaction as what it tells of and after it. A line
    /// about a reading belongs to the newest one, a line about a replacement to the newest one.
    ///
    /// # Errors
    /// The database refuses.
    pub fn log(&self, author: &Author, event: Happened<'_>) -> Result<(), BookError> {
        if event.report.is_none() {
            return self.log_each(author, event, &[event.string]);
        }
        // A verdict goes with the newest reading that counts, unless that is the first.
        const SQL: &str = "INSERT INTO main.event (day, who, what, string_id, report_number, fields, reading_id, made_id) VALUES (?1, ?2, ?3, ?4, ?5, ?6,
            CASE WHEN ?3 IN ('reading', 'fits') THEN (SELECT max(id) FROM main.reading WHERE report_number = ?5)
                WHEN ?3 = 'advice' THEN (SELECT CASE WHEN count(*) > 1 THEN max(id) END FROM reading WHERE report_number = ?5) END,
            CASE WHEN ?3 IN ('remake', 'sent', 'back') THEN (SELECT string_id FROM main.remake WHERE report_number = ?5 ORDER BY id DESC LIMIT 1) END)";
        self.transaction.prepare_cached(SQL)?.execute((
            author.day,
            &author.who,
            event.what,
            event.string,
            event.report,
            event.fields,
        ))?;
        Ok(())
    }

    /// Adds the same line to the history of each of some strings, whatever string it names.
    ///
    /// # Errors
    /// The database refuses.
    pub fn log_each(
        &self,
        author: &Author,
        event: Happened<'_>,
        strings: &[Option<i64>],
    ) -> Result<(), BookError> {
        rows::insert_all!(self, "event", strings, |string| {
            day: author.day,
            who: author.who,
            what: event.what,
            string_id: string,
            fields: event.fields,
        })?;
        Ok(())
    }

    /// Has the last line of the history go with the newest reading of its report, unless that is the
    /// first: it was said with it.
    ///
    /// # Errors
    /// The database refuses.
    pub fn said_with_reading(&self, report: i64) -> Result<(), BookError> {
        const SQL: &str = concat!(
            "UPDATE main.event SET reading_id = ",
            reports::with_reading!(),
            " WHERE id = (SELECT max(id) FROM main.event WHERE report_number = ?1)"
        );
        self.transaction.prepare_cached(SQL)?.execute([report])?;
        Ok(())
    }
}
