//! The records of a CSV text, one after the other, with the lines they start in.
//!
//! The splitting is done here and not by the `csv` crate because the errors need what that
//! does not tell: the line in which a quote opened, text behind a closing quote, and line
//! numbers in files whose lines end with a lone carriage return. On well-formed text both give
//! the same (tested).

use std::borrow::Cow;

use super::error::IntakeError;
use super::import::Place;

/// Most bytes of a single value; a longer one is most likely an open quote.
pub(super) const MAX_FIELD_BYTES: usize = 64 * 1024;

/// One record: borrowed from the text unless a doubled quote had to be undone.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct Record<'a> {
    /// Line in which it starts, counted from 1.
    pub(super) line: u64,
    /// Byte of the text at which it starts.
    pub(super) from: usize,
    /// Its values as written, without the quotes around them.
    pub(super) fields: Vec<Cow<'a, str>>,
    /// Place of the first value with text behind its closing quote.
    pub(super) torn: Option<usize>,
}

impl Record<'_> {
    /// Where it stands.
    pub(super) const fn place(&self) -> Place {
        Place { line: self.line, from: self.from }
    }

    /// Whether no value has anything in it, as in a blank line.
    pub(super) fn is_blank(&self) -> bool {
        self.fields.iter().all(|field| field.trim().is_empty())
    }
}

/// The text of a file: UTF-8 without a byte-order mark and without zero bytes.
pub(super) fn text_of(input: &[u8]) -> Result<&str, IntakeError> {
    // First, because a spreadsheet file or UTF-16 is better named than its first bad byte.
    if let Some(at) = input.iter().position(|&byte| byte == 0) {
        let (line, column) = place_at(input, at);
        return Err(IntakeError::ZeroByte { line, column });
    }
    let text = std::str::from_utf8(input).map_err(|error| {
        let byte = error.valid_up_to();
        let (line, column) = place_at(input, byte);
        IntakeError::NotUtf8 { line, column, byte }
    })?;
    Ok(text.strip_prefix('\u{feff}').unwrap_or(text))
}

/// Line, and character of that line, both counted from 1, of the byte at `at`.
fn place_at(input: &[u8], at: usize) -> (u64, u64) {
    let before = input.get(..at).unwrap_or(input);
    // A byte-order mark is no character of the text.
    let text_from = if before.starts_with(b"\xef\xbb\xbf") { 3 } else { 0 };
    let begins =
        before.iter().rposition(|byte| matches!(byte, b'\n' | b'\r')).map_or(text_from, |end| end + 1);
    // Bytes that go on with a character begin none.
    let characters = before.iter().skip(begins).filter(|byte| **byte & 0xc0 != 0x80).count();
    (1 + line_ends(before), 1 + characters as u64)
}

/// How many lines end in `bytes`, each with CRLF, LF or CR.
fn line_ends(bytes: &[u8]) -> u64 {
    let mut ends = 0;
    let mut previous = 0;
    for &byte in bytes {
        if byte == b'\r' || (byte == b'\n' && previous != b'\r') {
            ends += 1;
        }
        previous = byte;
    }
    ends
}

/// Reads one record after the other.
#[derive(Debug, Clone)]
pub(super) struct Records<'a> {
    text: &'a str,
    at: usize,
    line: u64,
    delimiter: u8,
}

impl<'a> Records<'a> {
    /// Starts at the beginning of `text`, whose values are parted by `delimiter`, an ASCII sign.
    pub(super) fn new(text: &'a str, delimiter: u8) -> Self {
        Self { text, at: 0, line: 1, delimiter }
    }

    /// Starts at a record that was read before.
    pub(super) fn from_place(text: &'a str, delimiter: u8, place: Place) -> Self {
        Self { text, at: place.from, line: place.line, delimiter }
    }

    /// Bytes of the text that have been read.
    pub(super) fn bytes_read(&self) -> usize {
        self.at
    }

    /// The next record that is not blank; `None` at the end.
    pub(super) fn next_record(&mut self) -> Result<Option<Record<'a>>, IntakeError> {
        while self.at < self.text.len() {
            let record = self.read_record()?;
            if !record.is_blank() {
                return Ok(Some(record));
            }
        }
        Ok(None)
    }

    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    fn read_record(&mut self) -> Result<Record<'a>, IntakeError> {
        let mut record = Record { line: self.line, from: self.at, ..Record::default() };
        loop {
            let column = record.fields.len() + 1;
            if self.peek() == Some(b'"') {
                let (field, is_torn) = self.read_quoted(column)?;
                if is_torn && record.torn.is_none() {
                    record.torn = Some(record.fields.len());
                }
                record.fields.push(field);
            } else {
                let field = self.read_plain(column)?;
                record.fields.push(Cow::Borrowed(field));
            }
            match self.peek() {
                Some(byte) if byte == self.delimiter => self.at += 1,
                end => {
                    self.at += usize::from(end.is_some());
                    if end == Some(b'\r') && self.peek() == Some(b'\n') {
                        self.at += 1;
                    }
                    self.line += 1;
                    return Ok(record);
                }
            }
        }
    }

    /// Everything up to the next delimiter or end of line.
    fn read_plain(&mut self, column: usize) -> Result<&'a str, IntakeError> {
        let rest = self.text.get(self.at..).unwrap_or_default();
        let delimiter = self.delimiter;
        let end = rest
            .bytes()
            .position(|byte| byte == delimiter || byte == b'\n' || byte == b'\r')
            .unwrap_or(rest.len());
        if end > MAX_FIELD_BYTES {
            return Err(IntakeError::FieldTooLong { line: self.line, column });
        }
        self.at += end;
        Ok(rest.get(..end).unwrap_or_default())
    }

    /// What stands between two quotes, and whether more than blanks follows the second.
    fn read_quoted(&mut self, column: usize) -> Result<(Cow<'a, str>, bool), IntakeError> {
        let opened_in = self.line;
        self.at += 1;
        let mut whole: Cow<'a, str> = Cow::Borrowed("");
        loop {
            let rest = self.text.get(self.at..).unwrap_or_default();
            let Some(end) = rest.find('"') else {
                return Err(IntakeError::OpenQuote { line: opened_in, column });
            };
            let part = rest.get(..end).unwrap_or_default();
            if whole.len() + part.len() > MAX_FIELD_BYTES {
                return Err(IntakeError::FieldTooLong { line: opened_in, column });
            }
            self.line += line_ends(part.as_bytes());
            self.at += end + 1;
            if whole.is_empty() {
                whole = Cow::Borrowed(part);
            } else {
                whole.to_mut().push_str(part);
            }
            if self.peek() != Some(b'"') {
                break;
            }
            whole.to_mut().push('"');
            self.at += 1;
        }
        let behind = self.read_plain(column)?;
        let is_torn = !behind.trim().is_empty();
        if is_torn {
            whole.to_mut().push_str(behind);
        }
        Ok((whole, is_torn))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn all(text: &str, delimiter: u8) -> Result<Vec<(u64, Vec<String>)>, IntakeError> {
        let mut records = Records::new(text, delimiter);
        let mut found = Vec::new();
        while let Some(record) = records.next_record()? {
            found.push((record.line, record.fields.into_iter().map(Cow::into_owned).collect()));
        }
        Ok(found)
    }

    fn lines(text: &str) -> Vec<u64> {
        all(text, b',').unwrap().into_iter().map(|(line, _)| line).collect()
    }

    #[test]
    fn every_kind_of_line_end_counts_as_one_line() {
        for end in ["\n", "\r\n", "\r"] {
            assert_eq!(lines(&["a,b", "", "c,\"d", "e\"", " , ", "f,g"].join(end)), [1, 3, 6], "{end:?}");
        }
        assert_eq!(lines("a\n\r\n\rb"), [1, 4]);
    }

    #[test]
    fn quotes_hold_delimiters_line_ends_and_doubled_quotes() {
        let read = all("\"a;b\";\"62 1/2\"\"\";62 1/2\";\"\"\nx;\"two\r\nlines\" ;\"\"\"\";y", b';').unwrap();
        assert_eq!(read[0].1, ["a;b", "62 1/2\"", "62 1/2\"", ""]);
        assert_eq!(read[1].1, ["x", "two\r\nlines", "\"", "y"]);
    }

    #[test]
    fn text_behind_a_closing_quote_is_noticed() {
        let mut records = Records::new("a,\"b\"c,\"d\" \n", b',');
        let record = records.next_record().unwrap().unwrap();
        assert_eq!(record.torn, Some(1));
        assert_eq!(record.fields, ["a", "bc", "d"]);
    }

    #[test]
    fn an_open_quote_names_the_line_where_it_opened() {
        assert_eq!(all("a\nb,\"c\nd\ne", b','), Err(IntakeError::OpenQuote { line: 2, column: 2 }));
        assert_eq!(all("a\n\"b\n\"\"\n", b','), Err(IntakeError::OpenQuote { line: 2, column: 1 }));
    }

    #[test]
    fn a_field_beyond_the_limit_is_refused() {
        let longest = "x".repeat(MAX_FIELD_BYTES);
        assert!(all(&format!("a\n{longest},\"{longest}\""), b',').is_ok());
        assert_eq!(
            all(&format!("a\n{longest}x"), b','),
            Err(IntakeError::FieldTooLong { line: 2, column: 1 })
        );
        assert_eq!(
            all(&format!("a\nb,\"\n{longest}\""), b','),
            Err(IntakeError::FieldTooLong { line: 2, column: 2 })
        );
    }

    #[test]
    fn a_file_that_is_no_utf_8_is_placed() {
        assert_eq!(text_of(b"\xef\xbb\xbfab"), Ok("ab"));
        assert_eq!(text_of(b"ab\r\nc\xfcd"), Err(IntakeError::NotUtf8 { line: 2, column: 2, byte: 5 }));
        assert_eq!(text_of(b"\xff\xfea\0"), Err(IntakeError::ZeroByte { line: 1, column: 4 }));
    }

    proptest! {
        #[test]
        fn well_formed_text_is_split_as_the_csv_crate_does(
            rows in prop::collection::vec(prop::collection::vec("[a-z\";,\t\r\n ]{0,6}", 3), 1..6),
            delimiter in prop::sample::select(vec![b',', b';', b'\t']),
        ) {
            let mut writer = csv::WriterBuilder::new().delimiter(delimiter).from_writer(Vec::new());
            for row in &rows {
                writer.write_record(row).unwrap();
            }
            let text = String::from_utf8(writer.into_inner().unwrap()).unwrap();
            let ours: Vec<Vec<String>> =
                all(&text, delimiter).unwrap().into_iter().map(|(_, fields)| fields).collect();
            let mut reader = csv::ReaderBuilder::new()
                .delimiter(delimiter).has_headers(false).flexible(true).from_reader(text.as_bytes());
            let theirs: Vec<Vec<String>> = reader
                .records()
                .map(|record| record.unwrap().iter().map(str::to_owned).collect::<Vec<_>>())
                .filter(|fields| !fields.iter().all(|field| field.trim().is_empty()))
                .collect();
            prop_assert_eq!(ours, theirs);
        }
    }
}
