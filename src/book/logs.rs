//! What the database keeps beside a book while it writes, and whether it can be this book's.
//!
//! A journal or a log of another file that lies beside a book would be played back into it at
//! the next opening. What ties a journal to its book: it holds the first page as it was before
//! the writing began, and with it the count of changes, which each writing raises by one
//! ("Database File Format", sections 1.3.4, 3 and 4; "File Locking And Concurrency", section 4).
//! A book is never kept in the mode that writes a log (`-wal`) beside it.
#![expect(clippy::disallowed_types, reason = "the book looks at its own file")]

use std::fs::File;
use std::io::{BufReader, Read, Seek, SeekFrom};
use std::path::{Path, PathBuf};

use super::error::BookError;

/// Ends of the names that the database uses beside a file.
pub const LOGS: [&str; 3] = ["-journal", "-wal", "-shm"];

/// A name beside a file.
#[must_use]
pub fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(end);
    PathBuf::from(name)
}

/// The journal of a book: beside the file itself, wherever a link to it is.
pub(super) fn journal_of(path: &Path) -> PathBuf {
    beside(&std::fs::canonicalize(path).unwrap_or_else(|_| path.to_owned()), "-journal")
}

/// A file that lies beside a name, and would be taken for what belongs to whatever gets the name.
pub(super) fn leftover(path: &Path) -> Option<PathBuf> {
    LOGS.iter().map(|end| beside(path, end)).find(|there| there.symlink_metadata().is_ok())
}

/// The first page of a file, or what there is of it, and what its head says.
#[derive(Debug, Clone, PartialEq, Eq)]
struct First {
    bytes: Vec<u8>,
    page_size: u32,
}

fn number_at(bytes: &[u8], at: usize) -> Option<u32> {
    bytes.get(at..at + 4)?.try_into().ok().map(u32::from_be_bytes)
}

impl First {
    fn of(path: &Path) -> std::io::Result<Option<Self>> {
        let mut bytes = Vec::new();
        File::open(path)?.take(65_536).read_to_end(&mut bytes)?;
        let page_size = match bytes.get(16..18) {
            Some([0, 1]) => 65_536,
            Some([high, low]) => u32::from(*high) << 8 | u32::from(*low),
            _ => return Ok(None),
        };
        bytes.truncate(page_size as usize);
        Ok(Some(Self { bytes, page_size }))
    }

    /// How often the file was written to.
    fn changes(&self) -> Option<u32> {
        number_at(&self.bytes, 24)
    }

    /// How many pages it has.
    fn pages(&self) -> Option<u32> {
        number_at(&self.bytes, 28)
    }

    /// How often its tables were changed; a file that is packed counts as well.
    fn shape(&self) -> Option<u32> {
        number_at(&self.bytes, 40)
    }

    /// Whether it is kept in the mode that writes a log beside it.
    fn has_log(&self) -> bool {
        self.bytes.get(18) == Some(&2)
    }

    /// Whether a journal may have been begun when the file was as it is, or a moment before.
    fn may_own(&self, journal: &Journaled) -> bool {
        if journal.page_size != self.page_size {
            return false;
        }
        let Some(before) = &journal.first else { return true };
        let (Some(now), Some(then)) = (self.changes(), before.changes()) else { return true };
        if now == then {
            // The first page was not written yet: it is the same to the last byte.
            self.bytes == before.bytes
        } else {
            // It was, and nothing but packing makes a book smaller.
            now == then.wrapping_add(1)
                && (self.shape() != before.shape() || self.pages() >= Some(journal.pages))
        }
    }
}

/// Refuses a journal or a log that cannot belong to the book it lies beside. The book itself must
/// not be open here.
pub(super) fn check(path: &Path) -> Result<(), BookError> {
    let file = |source| BookError::File { path: path.to_owned(), action: "opened", source };
    // The database follows links before it looks for what lies beside a file.
    let path = std::fs::canonicalize(path).map_err(file)?;
    if leftover(&path).is_none() {
        return Ok(());
    }
    loop {
        let Some(first) = First::of(&path).map_err(file)? else { return Ok(()) };
        let foreign = foreign_log(&path, &first).map_err(file)?;
        // Somebody who writes at this moment moves both on: then they are looked at again.
        if First::of(&path).map_err(file)? == Some(first) {
            return foreign.map_or(Ok(()), |log| Err(BookError::ForeignLog { book: path, log }));
        }
    }
}

fn opened(path: &Path) -> std::io::Result<Option<File>> {
    match File::open(path) {
        Ok(file) => Ok(Some(file)),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    }
}

/// The journal or log beside a book that cannot be its own.
fn foreign_log(path: &Path, first: &First) -> std::io::Result<Option<PathBuf>> {
    let log = beside(path, "-wal");
    if let Some(file) = opened(&log)? {
        let mut bytes = Vec::with_capacity(12);
        file.take(12).read_to_end(&mut bytes)?;
        let is_log = number_at(&bytes, 0).is_some_and(|magic| magic & !1 == 0x377F_0682);
        if !bytes.is_empty() && (!first.has_log() || is_log && number_at(&bytes, 8) != Some(first.page_size))
        {
            return Ok(Some(log));
        }
    }
    let journal = beside(path, "-journal");
    let Some(file) = opened(&journal)? else { return Ok(None) };
    let length = file.metadata()?.len();
    let Some(journaled) = journaled(BufReader::new(file), length)? else { return Ok(None) };
    Ok((!first.may_own(&journaled)).then_some(journal))
}

/// What a journal says of the book it belongs to.
struct Journaled {
    page_size: u32,
    /// How many pages the book had before the writing began.
    pages: u32,
    /// Its first page as it was then, if that is in the journal.
    first: Option<First>,
}

/// Reads a journal as far as it would be played back; `None` if it would not be.
fn journaled(mut journal: impl Read + Seek, length: u64) -> std::io::Result<Option<Journaled>> {
    const MAGIC: [u8; 8] = [0xD9, 0xD5, 0x05, 0xF9, 0x20, 0xA1, 0x63, 0xD7];
    let mut found: Option<Journaled> = None;
    let mut at = 0_u64;
    loop {
        let mut bytes = [0_u8; 28];
        if at + bytes.len() as u64 > length {
            return Ok(found);
        }
        journal.seek(SeekFrom::Start(at))?;
        journal.read_exact(&mut bytes)?;
        let field = |at| number_at(&bytes, at).unwrap_or_default();
        let (count, pages, sector, page_size) = (field(8), field(16), field(20), field(24));
        let fits = |size: u32, least: u32| size.is_power_of_two() && (least..=65_536).contains(&size);
        if bytes.get(..8) != Some(MAGIC.as_slice()) || !fits(sector, 32) || !fits(page_size, 512) {
            return Ok(found);
        }
        let (sector, record) = (u64::from(sector), u64::from(page_size) + 8);
        at += sector;
        let there = length.saturating_sub(at) / record;
        let count = if count == u32::MAX { there } else { u64::from(count).min(there) };
        let journaled = found.get_or_insert(Journaled { page_size, pages, first: None });
        for place in 0..count {
            let mut page = [0_u8; 4];
            journal.seek(SeekFrom::Start(at + place * record))?;
            journal.read_exact(&mut page)?;
            if page == [0, 0, 0, 1] {
                let mut bytes = vec![0_u8; page_size as usize];
                journal.read_exact(&mut bytes)?;
                journaled.first = Some(First { bytes, page_size });
                return Ok(found);
            }
        }
        at = (at + count * record).next_multiple_of(sector);
    }
}
