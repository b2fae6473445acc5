//! Erasing a person from the file.

use chrono::NaiveDate;
use rusqlite::OptionalExtension;

use super::{Book, BookError, Page, StoredArcher, file, logs};
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
        const SQL: &str = "SELECT id, name, email FROM archer ORDER BY id";
        let mut statement = self.transaction.prepare_cached(SQL)?;
        let archers = statement
            .query_map([], |row| {
                Ok(StoredArcher {
                    id: row.get("id")?,
                    archer: Archer { name: row.get("name")?, email: row.get("email")? },
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
        const SQL: &str = "SELECT count(*) FROM string WHERE archer_id = ?1";
        Ok(self.transaction.prepare_cached(SQL)?.query_row([archer], |row| row.get(0))?)
    }

    /// Rows of the strings of an archer.
    ///
    /// # Errors
    /// The database refuses.
    pub fn string_rows_of_archer(&self, archer: i64) -> Result<Vec<i64>, BookError> {
        const SQL: &str = "SELECT id FROM string WHERE archer_id = ?1 ORDER BY id";
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

    /// Erases name, address, order references, texts and open questions of an archer; measurements stay.
    ///
    /// # Errors
    /// The database refuses.
    pub fn erase_archer(&self, archer: i64) -> Result<Erased, BookError> {
        const ARCHER: &str = "UPDATE archer SET name = NULL, email = NULL WHERE id = ?1";
        const TEXTS: &str = "DELETE FROM letter_text WHERE report_number IN (SELECT r.number FROM report r JOIN string s ON s.id = r.string_id WHERE s.archer_id = ?1)";
        // A question that is to be asked back quotes the mail it is about.
        const QUESTIONS: &str = "DELETE FROM open_question WHERE report_number IN (SELECT r.number FROM report r JOIN string s ON s.id = r.string_id WHERE s.archer_id = ?1)";
        // A sign of danger stays a sign; the words it was read in are the person's.
        const SIGNS: &str = "UPDATE sign SET words = '' WHERE report_number IN (SELECT r.number FROM report r JOIN string s ON s.id = r.string_id WHERE s.archer_id = ?1)";
        const STRINGS: &str = "UPDATE string SET order_ref = NULL, imported = json_remove(imported, '$.order_ref', '$.note') WHERE archer_id = ?1";
        const REPORTS: &str = "UPDATE report SET imported = json_remove(imported, '$.note') WHERE string_id IN (SELECT id FROM string WHERE archer_id = ?1)";
        let run = |sql: &str| -> Result<usize, BookError> {
            Ok(self.transaction.prepare_cached(sql)?.execute([archer])?)
        };
        let texts = run(TEXTS)?;
        run(QUESTIONS)?;
        run(SIGNS)?;
        let reports = run(REPORTS)?;
        let strings = run(STRINGS)?;
        run(ARCHER)?;
        Ok(Erased { strings, reports, texts })
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
    /// overwrites the journal, so that nothing that was deleted stays in either.
    ///
    /// The second value says why the rewriting failed, if it did; the work itself is done then,
    /// and deleted content was overwritten in place.
    ///
    /// # Errors
    /// Whatever `work` fails with, or the commit.
    pub fn write_and_scrub<T, E: From<BookError>>(
        &mut self,
        work: impl FnOnce(&Page<'_>) -> Result<T, E>,
    ) -> Result<(T, Option<BookError>), E> {
        self.may_write()?;
        // The journal stays under its name, so that it can be overwritten, and nobody else can
        // write until that is done.
        self.modes("EXCLUSIVE", "PERSIST")?;
        let done = self.write(work);
        let packed = if done.is_ok() { self.pack() } else { Ok(()) };
        let scrubbed = self.scrub_journal();
        let restored = self.modes("NORMAL", "DELETE").and_then(|()| {
            // The lock goes with the next read.
            self.read(|page| page.digest_key().map(drop))
        });
        Ok((done?, packed.and(scrubbed).and(restored).err()))
    }

    fn modes(&self, locking: &str, journal: &str) -> Result<(), BookError> {
        for (name, value) in [("locking_mode", locking), ("journal_mode", journal)] {
            self.connection.pragma_update_and_check(None, name, value, |_| Ok(()))?;
        }
        Ok(())
    }

    fn pack(&self) -> Result<(), BookError> {
        Ok(self.connection.execute_batch("VACUUM")?)
    }

    fn scrub_journal(&self) -> Result<(), BookError> {
        let Some(journal) = self.path.as_deref().map(|path| logs::beside(path, "-journal")) else {
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
