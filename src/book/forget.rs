//! Erasing a person from the file.

use chrono::NaiveDate;
use rusqlite::{OptionalExtension, TransactionBehavior};

use super::personal::PLACES;
use super::{Book, BookError, Page, StoredArcher, file, live, logs};
use crate::trade::records::Archer;

/// What was erased.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Erased {
    /// Strings of the person that stay, without name and order reference.
    pub strings: usize,
    /// Reports of the person that stay, without texts.
    pub reports: usize,
    /// Texts erased.
    pub texts: usize,
    /// Letters erased that went out.
    pub letters: usize,
}

/// What remains of an erased person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ForgottenDigest {
    /// Keyed digest of name or address.
    pub digest: String,
    /// Row of the archer, empty now.
    pub archer_id: i64,
    /// Day.
    pub forgotten_on: NaiveDate,
}

impl Page<'_> {
    /// Every archer, for a search in the program.
    ///
    /// # Errors
    /// The database refuses.
    pub fn archers(&self) -> Result<Vec<StoredArcher>, BookError> {
        const SQL: &str = "SELECT id, name, email, unit FROM archer ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let archers = statement
            .query_map([], |row| {
                Ok(StoredArcher {
                    id: row.get("id")?,
                    archer: Archer { name: row.get("name")?, email: row.get("email")? },
                    unit: row.get("unit")?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(archers)
    }

    /// How many strings an archer has.
    ///
    /// # Errors
    /// The database refuses.
    pub fn strings_of_archer(&self, archer: i64) -> Result<u32, BookError> {
        const SQL: &str = "SELECT count(*) FROM main.string WHERE archer_id = ?1";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([archer], |row| row.get(0))?)
    }

    /// Rows of the strings of an archer.
    ///
    /// # Errors
    /// The database refuses.
    pub fn string_rows_of_archer(&self, archer: i64) -> Result<Vec<i64>, BookError> {
        const SQL: &str = "SELECT id FROM main.string WHERE archer_id = ?1 ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        Ok(statement.query_map([archer], |row| row.get(0))?.collect::<Result<_, _>>()?)
    }

    /// Which person was erased last; 0 if nobody ever was.
    ///
    /// # Errors
    /// The database refuses.
    pub fn last_forgotten(&self) -> Result<i64, BookError> {
        const SQL: &str = "SELECT coalesce(max(id), 0) FROM forgotten";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([], |row| row.get(0))?)
    }

    /// Takes everything personal of an archer out of the tables (see [`PLACES`]); measurements stay.
    ///
    /// # Errors
    /// The database refuses.
    pub fn erase_archer(&self, archer: i64) -> Result<Erased, BookError> {
        const REPORTS: &str = "SELECT count(*) FROM main.report WHERE string_id IN (SELECT id FROM main.string WHERE archer_id = ?1)";
        let (mut texts, mut letters) = (0, 0);
        for place in PLACES {
            if let Some(sql) = place.erasing() {
                let rows = self.transaction.prepare_cached(&sql)?.execute([archer])?;
                match place.table {
                    "letter_text" => texts += rows,
                    "sent_letter" => letters += rows,
                    _ => {}
                }
            }
        }
        let reports: u32 = self.transaction.prepare_cached(REPORTS)?.query_row([archer], |row| row.get(0))?;
        let strings = self.strings_of_archer(archer)? as usize;
        Ok(Erased { strings, reports: reports as usize, texts, letters })
    }

    /// Notes that the file has to be rewritten, or that it was.
    fn owe_scrub(&self, day: Option<NaiveDate>) -> Result<(), BookError> {
        const OWED: &str = "INSERT INTO owed_scrub (id, forgotten_on) VALUES (1, ?1) ON CONFLICT DO NOTHING";
        const DONE: &str = "DELETE FROM owed_scrub";
        match day {
            Some(day) => self.transaction.prepare_cached(OWED)?.execute([day])?,
            None => self.transaction.prepare_cached(DONE)?.execute([])?,
        };
        Ok(())
    }

    /// Whether the file has still to be rewritten after somebody was erased.
    ///
    /// # Errors
    /// The database refuses.
    pub fn owes_scrub(&self) -> Result<bool, BookError> {
        const SQL: &str = "SELECT 1 FROM owed_scrub";
        Ok(self.transaction.prepare_cached(SQL)?.exists([])?)
    }

    /// The key of the digests of this book; it is made at the first call.
    ///
    /// # Errors
    /// The database refuses.
    pub fn make_digest_key(&self) -> Result<String, BookError> {
        const SQL: &str =
            "INSERT INTO digest_key (id, key) VALUES (1, lower(hex(randomblob(32)))) ON CONFLICT DO NOTHING";
        self.transaction.prepare_cached(SQL)?.execute([])?;
        self.digest_key()?.ok_or_else(|| BookError::Value("the key of the digests is missing".to_owned()))
    }

    /// The key of the digests of this book, if anybody was ever erased from it.
    ///
    /// # Errors
    /// The database refuses.
    pub fn digest_key(&self) -> Result<Option<String>, BookError> {
        const SQL: &str = "SELECT key FROM digest_key WHERE id = 1";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([], |row| row.get(0)).optional()?)
    }

    /// Keeps a digest of an erased person.
    ///
    /// # Errors
    /// The database refuses.
    pub fn add_forgotten(&self, forgotten: &ForgottenDigest) -> Result<(), BookError> {
        const SQL: &str = "INSERT INTO forgotten (archer_id, forgotten_on, digest) VALUES (?1, ?2, ?3)";
        self.transaction.prepare_cached(SQL)?.execute((
            forgotten.archer_id,
            forgotten.forgotten_on,
            &forgotten.digest,
        ))?;
        Ok(())
    }

    /// Digests of all erased persons, oldest first.
    ///
    /// # Errors
    /// The database refuses.
    pub fn forgotten(&self) -> Result<Vec<ForgottenDigest>, BookError> {
        const SQL: &str = "SELECT archer_id, forgotten_on, digest FROM forgotten ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let forgotten = statement
            .query_map([], |row| {
                Ok(ForgottenDigest {
                    digest: row.get("digest")?,
                    archer_id: row.get("archer_id")?,
                    forgotten_on: row.get("forgotten_on")?,
                })
            })?
            .collect::<Result<_, _>>()?;
        Ok(forgotten)
    }

    /// Whether an archer was erased.
    ///
    /// # Errors
    /// The database refuses.
    pub fn is_forgotten(&self, archer: i64) -> Result<bool, BookError> {
        const SQL: &str = "SELECT 1 FROM forgotten WHERE archer_id = ?1";
        Ok(self.transaction.prepare_cached(SQL)?.exists([archer])?)
    }
}

impl Book {
    /// Writes as [`Book::write`] does, then rewrites the file without its free pages and
    /// overwrites the journal, so that nothing that was deleted stays in either. That this is owed
    /// is written down with the work itself: whoever opens the book next does it, if it fails here
    /// or is cut off.
    ///
    /// The second value says why the rewriting failed, if it did; the work itself is done then,
    /// and deleted content was overwritten in place.
    ///
    /// # Errors
    /// Whatever `work` fails with, or the commit.
    pub fn write_and_scrub<T, E: From<BookError>>(
        &mut self,
        day: NaiveDate,
        work: impl FnOnce(&Page<'_>) -> Result<T, E>,
    ) -> Result<(T, Option<BookError>), E> {
        self.may_write()?;
        // The journal stays under its name, so that it can be overwritten, and nobody else can
        // write until that is done.
        self.modes("EXCLUSIVE", "PERSIST")?;
        let done = self.write(|page| {
            page.owe_scrub(Some(day))?;
            work(page)
        });
        let scrubbed = if done.is_ok() { self.scrub() } else { Ok(()) };
        let restored = self.shared_again();
        Ok((done?, scrubbed.and(restored).err()))
    }

    /// Rewrites the file where that is still owed, unless another program is at work.
    ///
    /// # Errors
    /// It cannot be rewritten; it stays owed.
    pub(super) fn finish_scrub(&mut self) -> Result<(), BookError> {
        // What is wrong with the book shows itself to the command: here it would be told as if
        // somebody had been erased.
        if !self.read(|page| page.owes_scrub()).unwrap_or(false) {
            return Ok(());
        }
        let scrubbed = self.modes("EXCLUSIVE", "PERSIST").and_then(|()| self.scrub());
        let restored = self.shared_again();
        match scrubbed.and(restored) {
            // The next one does it.
            Err(BookError::Busy) => Ok(()),
            other => other,
        }
    }

    /// Rewrites the file and overwrites the journal; only then nothing is owed any more.
    fn scrub(&mut self) -> Result<(), BookError> {
        self.pack()?;
        self.scrub_journal()?;
        // Not by [`Book::write`]: it is no work of the command that happens to open the book.
        let transaction = self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let page = Page { transaction };
        page.owe_scrub(None)?;
        Ok(page.transaction.commit()?)
    }

    fn shared_again(&mut self) -> Result<(), BookError> {
        // Where a failed writing could not be undone, its journal is the only way back to a sound
        // book, and must not be taken for one that is finished: the next to open the book undoes it.
        self.read(|page| page.owes_scrub())?;
        self.modes("NORMAL", "DELETE")?;
        // The lock goes with the next read.
        self.read(|page| page.digest_key().map(drop))
    }

    fn modes(&self, locking: &str, journal: &str) -> Result<(), BookError> {
        for (name, value) in [("locking_mode", locking), ("journal_mode", journal)] {
            self.connection.pragma_update_and_check(None, name, value, |_| Ok(()))?;
        }
        Ok(())
    }

    fn pack(&self) -> Result<(), BookError> {
        // It makes every table and index anew by name.
        live::without_views(&self.connection, || Ok(self.connection.execute_batch("VACUUM")?))
    }

    fn scrub_journal(&self) -> Result<(), BookError> {
        let Some(journal) = self.path.as_deref().map(logs::journal_of) else {
            return Ok(());
        };
        let failed = |source| BookError::File { path: journal.clone(), action: "overwritten", source };
        match std::fs::OpenOptions::new().write(true).open(&journal) {
            Ok(opened) => file::overwrite(opened).map_err(failed),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(()),
            Err(error) => Err(failed(error)),
        }
    }
}
