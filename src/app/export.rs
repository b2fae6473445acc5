//! Everything the book holds as CSV and JSON, and a book made from it again.

use std::io::{BufReader, BufWriter, Read, Write};
use std::path::{Path, PathBuf};

use hmac_sha256::Hash;
use serde::de::{SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize};

use super::error::AppError;
use crate::book::{Book, BookError, Cell, Page, Table};
use crate::intake::write_csv_field_safe;

/// Name of the file that says what an export holds.
pub const CONTENTS: &str = "book.json";
const SCHEMA: &str = "export/1";

/// What an export holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Contents {
    schema: String,
    /// SHA-256 of the text of this list with zeros in the place of its own digest.
    #[serde(default)]
    pub digest: String,
    /// Version of the book.
    pub book_version: i64,
    /// Tables and their rows.
    pub tables: Vec<TableContents>,
}

/// A table of an export.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct TableContents {
    /// Name.
    pub name: String,
    /// Rows.
    pub rows: u64,
    /// SHA-256 of the file with its rows.
    #[serde(default)]
    pub digest: String,
    /// Columns.
    pub columns: Vec<String>,
}

/// Makes a file of the export, by its name.
pub type Make<'a> = &'a mut dyn FnMut(&str) -> std::io::Result<Box<dyn Write>>;
/// Opens a file of the export, by its name.
pub type Open<'a> = &'a mut dyn FnMut(&str) -> std::io::Result<Box<dyn Read>>;

fn file<'n>(name: &'n str, action: &'static str) -> impl Fn(std::io::Error) -> AppError + 'n {
    move |source| AppError::File { path: PathBuf::from(name), action, source }
}

/// Writes every table as CSV and JSON, all of one state of the book.
///
/// # Errors
/// The book cannot be read, or a file not be written.
pub fn export(book: &mut Book, make: Make<'_>) -> Result<Contents, AppError> {
    book.read(|page| {
        let mut contents = Contents {
            schema: SCHEMA.to_owned(),
            digest: zeros(),
            book_version: Book::version(),
            tables: Vec::new(),
        };
        for table in page.tables()? {
            let (rows, digest) = export_table(page, &table, make)?;
            contents.tables.push(TableContents {
                rows,
                digest,
                columns: table.columns.iter().map(|column| column.name.clone()).collect(),
                name: table.name,
            });
        }
        let mut text =
            serde_json::to_string_pretty(&contents).map_err(|error| AppError::Internal(error.to_string()))?;
        text.push('\n');
        contents.digest = crate::words::digest(&text);
        let text = text.replacen(&zeros(), &contents.digest, 1);
        let failed = file(CONTENTS, "written");
        let mut out = make(CONTENTS).map_err(&failed)?;
        out.write_all(text.as_bytes()).and_then(|()| out.flush()).map_err(&failed)?;
        Ok(contents)
    })
}

/// What stands for a digest while it is worked out.
fn zeros() -> String {
    "0".repeat(64)
}

/// Takes the digest of what goes through it.
struct Digested<T> {
    inner: T,
    hash: Hash,
}

impl<T> Digested<T> {
    fn new(inner: T) -> Self {
        Self { inner, hash: Hash::new() }
    }

    fn digest(self) -> String {
        crate::words::hex(&self.hash.finalize())
    }
}

impl<T: Write> Write for Digested<T> {
    fn write(&mut self, bytes: &[u8]) -> std::io::Result<usize> {
        let written = self.inner.write(bytes)?;
        self.hash.update(bytes.get(..written).unwrap_or_default());
        Ok(written)
    }

    fn flush(&mut self) -> std::io::Result<()> {
        self.inner.flush()
    }
}

/// Rows of a table and the digest of the file that a book is made from again.
fn export_table(page: &Page<'_>, table: &Table, make: Make<'_>) -> Result<(u64, String), AppError> {
    let (csv_name, json_name) = (format!("{}.csv", table.name), format!("{}.json", table.name));
    let (csv_failed, json_failed) = (file(&csv_name, "written"), file(&json_name, "written"));
    let mut csv = make(&csv_name).map_err(&csv_failed)?;
    let mut json = BufWriter::new(Digested::new(make(&json_name).map_err(&json_failed)?));
    let names: Vec<&str> = table.columns.iter().map(|column| column.name.as_str()).collect();
    writeln!(csv, "{}", names.join(",")).map_err(&csv_failed)?;
    json.write_all(b"[").map_err(&json_failed)?;
    let mut rows = 0_u64;
    page.each_row(table, |cells| {
        let line = cells.iter().map(csv_field).collect::<Vec<_>>().join(",");
        writeln!(csv, "{line}").map_err(&csv_failed)?;
        let mut object = String::from(if rows == 0 { "\n{" } else { ",\n{" });
        for (index, (name, cell)) in names.iter().zip(cells).enumerate() {
            if index > 0 {
                object.push(',');
            }
            for part in [serde_json::to_string(name), Ok(":".to_owned()), serde_json::to_string(cell)] {
                object.push_str(&part.map_err(|error| AppError::Internal(error.to_string()))?);
            }
        }
        object.push('}');
        json.write_all(object.as_bytes()).map_err(&json_failed)?;
        rows += 1;
        Ok::<_, AppError>(())
    })?;
    json.write_all(b"\n]\n").and_then(|()| json.flush()).map_err(&json_failed)?;
    csv.flush().map_err(&csv_failed)?;
    let json = json.into_inner().map_err(|error| json_failed(error.into_error()))?;
    Ok((rows, json.digest()))
}

/// A value as a field of CSV: nothing is an empty field, an empty text a pair of quotes.
#[must_use]
pub fn csv_field(cell: &Cell) -> String {
    match cell {
        Cell::Text(text) => {
            let safe = write_csv_field_safe(text);
            if safe.is_empty() || safe.contains([',', ';', '"', '\n', '\r', '\t']) {
                format!("\"{}\"", safe.replace('"', "\"\""))
            } else {
                safe
            }
        }
        other => other.to_string(),
    }
}

/// Makes a new book from an export and gives how many rows it has. Nothing is left behind if it fails.
///
/// # Errors
/// A book of that name is there already, a file is missing or damaged, or the export is of a
/// newer program.
pub fn restore(path: &Path, open: Open<'_>) -> Result<i64, AppError> {
    let mut text = String::new();
    open(CONTENTS)
        .and_then(|file| file.take(1 << 24).read_to_string(&mut text))
        .map_err(file(CONTENTS, "read"))?;
    let contents: Contents = serde_json::from_str(&text)
        .ok()
        .filter(|contents: &Contents| contents.schema == SCHEMA && contents.book_version > 0)
        .ok_or_else(|| {
            AppError::refused(
                format!("{CONTENTS} is not that of an export"),
                "name the folder that fistmele export wrote",
            )
        })?;
    let signed = !contents.digest.is_empty()
        && crate::words::digest(&text.replacen(&contents.digest, &zeros(), 1)) == contents.digest;
    if !signed {
        return Err(changed(CONTENTS));
    }
    Book::create_filled(path, contents.book_version, |page| {
        let known = page.tables()?;
        for listed in &contents.tables {
            let table = known
                .iter()
                .find(|table| {
                    table.name == listed.name
                        && table.columns.iter().map(|column| &column.name).eq(&listed.columns)
                })
                .ok_or_else(|| bad(&listed.name, "is no table of a book of this version"))?;
            restore_table(page, table, listed, open)?;
        }
        match known.iter().find(|table| !contents.tables.iter().any(|listed| listed.name == table.name)) {
            Some(missing) => Err(bad(&missing.name, "is missing")),
            None => Ok(()),
        }
    })
}

fn changed(name: &str) -> AppError {
    AppError::Refused {
        message: format!("{name} is not as it was exported: its digest does not fit"),
        hints: vec![
            "no book was made; take another export or a copy".to_owned(),
            "if it was changed on purpose, see docs/reliability.md for how its digest is renewed".to_owned(),
        ],
    }
}

fn bad(table: &str, why: &str) -> AppError {
    AppError::refused(
        format!("the export cannot be used: {} {why}", crate::words::shorten(table)),
        "no book was made; export again, or take a backup",
    )
}

fn restore_table(
    page: &Page<'_>,
    table: &Table,
    listed: &TableContents,
    open: Open<'_>,
) -> Result<(), AppError> {
    let name = format!("{}.json", table.name);
    // Before any row is read, so that what is damaged is said to be that and nothing else.
    let mut whole = Digested::new(std::io::sink());
    std::io::copy(&mut open(&name).map_err(file(&name, "read"))?, &mut whole).map_err(file(&name, "read"))?;
    if whole.digest() != listed.digest {
        return Err(changed(&name));
    }
    let reader = BufReader::new(open(&name).map_err(file(&name, "read"))?);
    let mut rows = 0_u64;
    let mut failed = None;
    let mut put = |row: serde_json::Map<String, serde_json::Value>| -> Result<(), AppError> {
        if row.len() != table.columns.len() {
            return Err(bad(&name, &format!("has a row of {} columns", row.len())));
        }
        let cells: Vec<Cell> = table
            .columns
            .iter()
            .map(|column| {
                row.get(&column.name)
                    .and_then(cell)
                    .ok_or_else(|| bad(&name, &format!("has a row without a fit {}", column.name)))
            })
            .collect::<Result<_, _>>()?;
        page.put_row(table, &cells).map_err(|error| match error {
            BookError::Value(text) => bad(&name, &format!("holds {text}")),
            other => other.into(),
        })?;
        rows += 1;
        Ok(())
    };
    let mut json = serde_json::Deserializer::from_reader(reader);
    let read = json
        .deserialize_seq(Rows { put: &mut put, failed: &mut failed })
        .and_then(|()| json.end())
        .map_err(|error| bad(&name, &format!("cannot be read: line {}, {error}", error.line())));
    match failed {
        Some(error) => Err(error),
        None => read.and_then(|()| {
            if rows == listed.rows {
                Ok(())
            } else {
                Err(bad(&name, &format!("has {rows} rows, not {}", listed.rows)))
            }
        }),
    }
}

fn cell(value: &serde_json::Value) -> Option<Cell> {
    Some(match value {
        serde_json::Value::Null => Cell::Nothing,
        serde_json::Value::Number(number) => match number.as_i64() {
            Some(whole) => Cell::Whole(whole),
            None => Cell::Number(number.as_f64()?),
        },
        serde_json::Value::String(text) => Cell::Text(text.clone()),
        _ => return None,
    })
}

type Put<'p> = &'p mut dyn FnMut(serde_json::Map<String, serde_json::Value>) -> Result<(), AppError>;

/// Rows of a JSON array, handed on one by one.
struct Rows<'p> {
    put: Put<'p>,
    failed: &'p mut Option<AppError>,
}

impl<'de> Visitor<'de> for Rows<'_> {
    type Value = ();

    fn expecting(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        formatter.write_str("an array of rows")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<(), A::Error> {
        while let Some(row) = seq.next_element()? {
            if let Err(error) = (self.put)(row) {
                *self.failed = Some(error);
                return Err(serde::de::Error::custom("a row was refused"));
            }
        }
        Ok(())
    }
}
