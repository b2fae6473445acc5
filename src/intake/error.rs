//! What is said of a file or a row that cannot be taken.

use std::fmt;

use serde::Serialize;
use thiserror::Error;

use super::records::MAX_FIELD_BYTES;

/// One bad value of one row.
///
/// Displayed as `line 7, column brace_low: "abc" - expected …`. All of it is safe to print.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RowError {
    /// Line of the file, counted from 1, in which the row starts.
    pub line: u64,
    /// Our name of the column; empty where the row as a whole is at fault.
    pub column: String,
    /// The value as written, shortened and made harmless; empty where it is missing.
    pub value: String,
    /// What would have been taken, and where it helps why this was not.
    pub expected: String,
}

impl fmt::Display for RowError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "line {}", self.line)?;
        if !self.column.is_empty() {
            write!(f, ", column {}", self.column)?;
        }
        if self.value.is_empty() {
            f.write_str(": (empty)")?;
        } else {
            write!(f, ": \"{}\"", self.value)?;
        }
        write!(f, " - expected {}", self.expected)
    }
}

/// Why a whole file, or a column map, cannot be taken.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum IntakeError {
    /// There is nothing in the file, or only blanks.
    #[error("the file is empty; its first line must name the columns")]
    EmptyFile,
    /// The first line is a row of values, not of names.
    #[error(
        "line {line} does not name columns but holds values (\"{first}\"); \
         put a line with the column names above it"
    )]
    NoHeader {
        /// Line of the first record.
        line: u64,
        /// Its first value, shortened.
        first: String,
    },
    /// Columns without which no row can be read.
    #[error(
        "needed columns are missing: {}; the first line names: {}; \
         if they are there under other names, give a column map such as {{\"{}\": \"their header\"}}",
        missing.join(", "), found.join(", "), missing_name(missing)
    )]
    MissingColumns {
        /// Our names, each with the near header found, if any.
        missing: Vec<String>,
        /// The headers of the file, shortened.
        found: Vec<String>,
    },
    /// The column map names a header that the file does not have.
    #[error(
        "the column map takes {our_name} from \"{header}\", which the first line does not name{}; \
         it names: {}",
        near.as_ref().map(|near| format!(" (perhaps \"{near}\")")).unwrap_or_default(), found.join(", ")
    )]
    MappedHeaderMissing {
        /// Our name of the column.
        our_name: String,
        /// The header in the map.
        header: String,
        /// The nearest header of the file.
        near: Option<String>,
        /// The headers of the file, shortened.
        found: Vec<String>,
    },
    /// Two columns have the same header, so that it cannot be told which is meant.
    #[error(
        "line 1: the columns {first} and {second} both have the header \"{header}\"; rename or remove one"
    )]
    DuplicateHeader {
        /// The header, shortened.
        header: String,
        /// Number of the first such column, counted from 1.
        first: usize,
        /// Number of the second.
        second: usize,
    },
    /// The file is not UTF-8 text.
    #[error(
        "line {line}, character {column}: this is not UTF-8 text (byte {byte} of the file); save it as UTF-8"
    )]
    NotUtf8 {
        /// Line of the first bad byte, counted from 1.
        line: u64,
        /// Character of that line, counted from 1.
        column: u64,
        /// Bytes of the file before it.
        byte: usize,
    },
    /// There is a zero byte in the file, which no CSV text has.
    #[error(
        "line {line}, character {column}: this is a zero byte, so this is no CSV text in UTF-8 \
         (perhaps a spreadsheet file, or text in UTF-16); save it as CSV in UTF-8"
    )]
    ZeroByte {
        /// Line of the first one, counted from 1.
        line: u64,
        /// Character of that line, counted from 1.
        column: u64,
    },
    /// A quote that is never closed.
    #[error(
        "the quote that opens in line {line}, column {column}, is never closed; close it, or double a quote that is meant"
    )]
    OpenQuote {
        /// Line in which it opens, counted from 1.
        line: u64,
        /// Which value of that line it is, counted from 1.
        column: usize,
    },
    /// A single value beyond any measure.
    #[error(
        "the value that starts in line {line}, column {column}, is longer than {} KiB; perhaps a quote is not closed there",
        MAX_FIELD_BYTES / 1024
    )]
    FieldTooLong {
        /// Line in which the value starts, counted from 1.
        line: u64,
        /// Which value of that line it is, counted from 1.
        column: usize,
    },
    /// More rows than a workshop sells in its life.
    #[error("the file has more than {most} rows; split it")]
    TooManyRows {
        /// Most rows that are taken.
        most: u64,
    },
    /// The column map is no JSON.
    #[error("the column map is no JSON: {0}")]
    MapSyntax(String),
    /// The column map is JSON, but no object.
    #[error("the column map must be one object of texts, such as {{\"serial\": \"their header\"}}")]
    MapNotObject,
    /// A value of the column map is no header.
    #[error("the column map gives {our_name} no header: a text that is not empty is needed")]
    MapNotText {
        /// The name whose value it is, shortened.
        our_name: String,
    },
    /// A name of the column map is none of ours.
    #[error(
        "the column map names the column \"{name}\", which is not known here{}; known are: {}",
        near.map(|near| format!(" (perhaps {near})")).unwrap_or_default(), known.join(", ")
    )]
    MapUnknownName {
        /// The name, shortened.
        name: String,
        /// The nearest known name.
        near: Option<&'static str>,
        /// The known names.
        known: Vec<&'static str>,
    },
    /// A name stands twice in the column map.
    #[error("the column map names {our_name} twice")]
    MapNameTwice {
        /// The name.
        our_name: String,
    },
    /// Two of our columns are to be read from one header.
    #[error("the column map uses the header \"{header}\" twice, for {first} and for {second}")]
    MapHeaderTwice {
        /// The header, shortened.
        header: String,
        /// The name that used it first.
        first: String,
        /// The name that used it again.
        second: String,
    },
}

/// Our name in the first entry of a list of missing columns, without what may stand behind it.
fn missing_name(missing: &[String]) -> &str {
    missing.first().and_then(|entry| entry.split(' ').next()).unwrap_or("serial")
}
