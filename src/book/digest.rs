//! The digest that a copy of a book carries behind its last page.
//!
//! The database reads as many pages as the head of a file names, and nothing behind them, so a
//! copy with its digest opens as any book does. As soon as it is written to, the digest no longer
//! fits, which `restore` tells. It guards against damage and mistakes, not against intent: whoever
//! changes a copy on purpose can renew it.
#![expect(clippy::disallowed_types, reason = "the book makes and copies its own file")]

use std::fs::{File, OpenOptions};
use std::io::{Read, Seek, SeekFrom, Write};
use std::path::Path;

use hmac_sha256::Hash;

/// What stands before the digest.
const BEFORE: &str = "\nfistmele copy, sha256 of all before this line: ";
/// Bytes that it takes with the digest in hexadecimal and the end of the line.
const LENGTH: u64 = BEFORE.len() as u64 + 64 + 1;

/// Reads a file to its end and gives its digest; what is read is written on.
fn digest_of(mut from: impl Read, to: &mut impl Write) -> std::io::Result<String> {
    let mut hash = Hash::new();
    let mut part = vec![0_u8; 1 << 16];
    loop {
        let read = from.read(&mut part)?;
        let read = part.get(..read).unwrap_or_default();
        if read.is_empty() {
            return Ok(crate::words::hex(&hash.finalize()));
        }
        hash.update(read);
        to.write_all(read)?;
    }
}

/// The length of what a digest is about, and the digest that is there.
fn carried(file: &mut File) -> std::io::Result<Option<(u64, String)>> {
    let Some(length) = file.metadata()?.len().checked_sub(LENGTH) else { return Ok(None) };
    let mut text = Vec::new();
    file.seek(SeekFrom::Start(length))?;
    file.read_to_end(&mut text)?;
    file.seek(SeekFrom::Start(0))?;
    let digest = String::from_utf8(text)
        .ok()
        .and_then(|text| Some(text.strip_prefix(BEFORE)?.strip_suffix('\n')?.to_owned()));
    Ok(digest.map(|digest| (length, digest)))
}

/// Puts its digest behind a copy; one that it carries already is renewed.
pub(super) fn sign(copy: &Path) -> std::io::Result<()> {
    let mut file = OpenOptions::new().read(true).write(true).open(copy)?;
    let length = match carried(&mut file)? {
        Some((length, _)) => length,
        None => file.metadata()?.len(),
    };
    file.seek(SeekFrom::Start(0))?;
    let digest = digest_of((&mut file).take(length), &mut std::io::sink())?;
    file.seek(SeekFrom::Start(length))?;
    file.write_all(format!("{BEFORE}{digest}\n").as_bytes())?;
    file.sync_all()
}

/// What a copy's digest says of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Said {
    /// It is as it was made.
    Whole,
    /// It is not.
    Changed,
    /// There is none.
    Nothing,
}

/// Looks at a copy's digest and writes the copy on without it.
pub(super) fn read(copy: &Path, to: &mut impl Write) -> std::io::Result<Said> {
    let mut file = File::open(copy)?;
    let carried = carried(&mut file)?;
    let Some((length, digest)) = carried else { return Ok(Said::Nothing) };
    let found = digest_of(file.take(length), to)?;
    Ok(if found == digest { Said::Whole } else { Said::Changed })
}

#[cfg(test)]
#[expect(clippy::disallowed_methods, reason = "tests set up and read files of their own")]
mod tests {
    use super::*;

    #[test]
    fn a_digest_is_read_back_and_renewed_and_tells_every_change() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("copy");
        let said = |path: &Path| read(path, &mut std::io::sink()).unwrap();
        std::fs::write(&path, "a copy").unwrap();
        assert_eq!(said(&path), Said::Nothing);
        sign(&path).unwrap();
        sign(&path).unwrap();
        let whole = std::fs::read(&path).unwrap();
        assert_eq!(whole.len() as u64, 6 + LENGTH);
        let mut out = Vec::new();
        assert_eq!(read(&path, &mut out).unwrap(), Said::Whole);
        assert_eq!(out, b"a copy");
        for at in 0..whole.len() {
            let mut bytes = whole.clone();
            bytes[at] ^= 1;
            std::fs::write(&path, bytes).unwrap();
            assert_ne!(said(&path), Said::Whole, "byte {at}");
        }
        std::fs::write(&path, &whole[..whole.len() - 1]).unwrap();
        assert_eq!(said(&path), Said::Nothing);
    }
}
