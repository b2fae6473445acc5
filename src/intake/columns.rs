//! Which column of a file is which of ours.

use std::fmt;

use serde::Deserializer;
use serde::de::{IgnoredAny, MapAccess, Visitor};

use super::error::IntakeError;
use super::guard::read_csv_field_safe;
use super::records::{Record, Records};
use super::vocabulary::near;
use crate::quantity::parse_date;
use crate::words::shorten;

/// Delimiters a file may have.
const DELIMITERS: [u8; 3] = [b',', b';', b'\t'];

/// Most headers that a message lists.
const MOST_HEADERS_SHOWN: usize = 60;

/// Other people's headers for our columns: `{"our_name": "their header"}`.
///
/// The default is empty: every column is looked for under our own name.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ColumnMap(Vec<(&'static str, String)>);

impl ColumnMap {
    /// Reads a map from JSON; its names must be among `known`, without regard to case.
    ///
    /// # Errors
    /// What is no JSON object of texts, a name that is not known (with the near one), a name
    /// or a header used twice.
    pub fn from_json(json: &str, known: &[&'static str]) -> Result<Self, IntakeError> {
        let mut reader = serde_json::Deserializer::from_str(json.trim_start_matches('\u{feff}'));
        let syntax = |error: serde_json::Error| {
            // Out of place is anything but an object; the rest is a fault of the JSON itself.
            if error.is_data() {
                IntakeError::MapNotObject
            } else {
                IntakeError::MapSyntax(shorten(&error.to_string()))
            }
        };
        let entries = reader.deserialize_any(Entries).map_err(syntax)?;
        reader.end().map_err(syntax)?;
        let mut map = Self::default();
        for (written, header) in entries {
            let wanted = written.trim().to_lowercase();
            let Some(&our_name) = known.iter().find(|&&name| name == wanted) else {
                return Err(IntakeError::MapUnknownName {
                    name: shorten(&written),
                    near: near(&wanted, known.iter().copied()),
                    known: known.to_vec(),
                });
            };
            let header = header.map(|header| header.trim().to_owned()).filter(|header| !header.is_empty());
            let Some(header) = header else {
                return Err(IntakeError::MapNotText { our_name: our_name.to_owned() });
            };
            if map.header_of(our_name).is_some() {
                return Err(IntakeError::MapNameTwice { our_name: our_name.to_owned() });
            }
            if let Some((first, _)) = map.0.iter().find(|(_, other)| folded(other) == folded(&header)) {
                return Err(IntakeError::MapHeaderTwice {
                    header: shorten(&header),
                    first: (*first).to_owned(),
                    second: our_name.to_owned(),
                });
            }
            map.0.push((our_name, header));
        }
        Ok(map)
    }

    /// Their header for one of our columns, where it differs.
    fn header_of(&self, our_name: &str) -> Option<&str> {
        self.0.iter().find(|(name, _)| *name == our_name).map(|(_, header)| header.as_str())
    }
}

/// The entries of a JSON object in order, repeated names kept; what is no text is `None`.
struct Entries;

impl<'de> Visitor<'de> for Entries {
    type Value = Vec<(String, Option<String>)>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("an object of texts")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Self::Value, A::Error> {
        let mut entries = Vec::new();
        while let Some(name) = map.next_key::<String>()? {
            let value = map.next_value::<TextOrOther>()?;
            entries.push((name, value.text()));
        }
        Ok(entries)
    }
}

/// A JSON value of which only a text is of use.
#[derive(serde::Deserialize)]
#[serde(untagged)]
enum TextOrOther {
    Text(String),
    Other(IgnoredAny),
}

impl TextOrOther {
    fn text(self) -> Option<String> {
        match self {
            Self::Text(text) => Some(text),
            Self::Other(_) => None,
        }
    }
}

/// What two equal headers share: neither case nor blanks around them count.
fn folded(header: &str) -> String {
    header.trim().to_lowercase()
}

fn all_folded(record: &Record<'_>) -> Vec<String> {
    record.fields.iter().map(|field| folded(read_csv_field_safe(field))).collect()
}

/// The header of a file, understood.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Columns {
    /// Our names, in the order of `places`.
    known: &'static [&'static str],
    /// For each of our columns its place in a record.
    places: Vec<Option<usize>>,
    /// The headers as written, guards against formulas undone.
    pub(super) header: Vec<String>,
    /// Headers that are none of our columns.
    pub(super) ignored: Vec<String>,
}

/// What a file must have: one column of each of these groups.
pub(super) type Needed = &'static [&'static [&'static str]];

impl Columns {
    /// Place in a record of one of our columns, if the file has it.
    pub(super) fn place(&self, our_name: &str) -> Option<usize> {
        let index = self.known.iter().position(|&known| known == our_name)?;
        self.places.get(index).copied().flatten()
    }

    /// Our name of the column at a place of a record, or their header where it is none of ours.
    pub(super) fn name_at(&self, place: usize) -> String {
        match self.places.iter().position(|&own| own == Some(place)).and_then(|at| self.known.get(at)) {
            Some(&name) => name.to_owned(),
            None => shorten(self.header.get(place).map_or("", String::as_str)),
        }
    }
}

/// Reads the header of a text and finds its delimiter: the one under which most of our columns
/// are found, then the one that gives most columns.
pub(super) fn read_header<'a>(
    text: &'a str,
    map: &ColumnMap,
    known: &'static [&'static str],
    needed: Needed,
) -> Result<(Columns, Records<'a>, u8), IntakeError> {
    if text.trim_matches(|c: char| c.is_whitespace() || matches!(c, ',' | ';')).is_empty() {
        return Err(IntakeError::EmptyFile);
    }
    let mut best: Option<(usize, usize, u8, Records<'a>, Record<'a>)> = None;
    let mut fault = None;
    for delimiter in DELIMITERS {
        let mut records = Records::new(text, delimiter);
        match records.next_record() {
            Ok(Some(record)) => {
                let headers = all_folded(&record);
                let found =
                    our_columns(map, known).filter(|(_, ours)| headers.contains(&folded(ours))).count();
                let count = record.fields.len();
                if best.as_ref().is_none_or(|(most, columns, ..)| (found, count) > (*most, *columns)) {
                    best = Some((found, count, delimiter, records, record));
                }
            }
            Ok(None) => {}
            Err(error) => fault = fault.or(Some(error)),
        }
    }
    match (best, fault) {
        // A fault under the right delimiter can look like no columns under a wrong one.
        (None | Some((0, ..)), Some(error)) => Err(error),
        (None, None) => Err(IntakeError::EmptyFile),
        (Some((_, _, delimiter, records, record)), _) => {
            Ok((understand(&record, map, known, needed)?, records, delimiter))
        }
    }
}

/// Our columns with the header each is looked for under.
fn our_columns<'m>(
    map: &'m ColumnMap,
    known: &'static [&'static str],
) -> impl Iterator<Item = (&'static str, &'m str)> {
    known.iter().map(|&name| (name, map.header_of(name).unwrap_or(name)))
}

fn understand(
    record: &Record<'_>,
    map: &ColumnMap,
    known: &'static [&'static str],
    needed: Needed,
) -> Result<Columns, IntakeError> {
    let headers = all_folded(record);
    let mut places = Vec::with_capacity(known.len());
    for (our_name, header) in our_columns(map, known) {
        let is_mapped_elsewhere =
            map.header_of(our_name).is_none() && map.0.iter().any(|(_, theirs)| folded(theirs) == our_name);
        let wanted = folded(header);
        let mut found = headers
            .iter()
            .enumerate()
            .filter(|(_, own)| !is_mapped_elsewhere && **own == wanted)
            .map(|(place, _)| place);
        let first = found.next();
        if let (Some(first), Some(second)) = (first, found.next()) {
            return Err(IntakeError::DuplicateHeader {
                header: shorten(header),
                first: first + 1,
                second: second + 1,
            });
        }
        if first.is_none() && map.header_of(our_name).is_some() {
            return Err(IntakeError::MappedHeaderMissing {
                our_name: our_name.to_owned(),
                header: shorten(header),
                near: near(header, record.fields.iter().map(|own| own.trim())).map(shorten),
                found: shown_headers(record),
            });
        }
        places.push(first);
    }
    let columns = Columns {
        known,
        header: record.fields.iter().map(|field| read_csv_field_safe(field).to_owned()).collect(),
        ignored: ignored(record, &places),
        places,
    };
    let missing: Vec<String> = needed
        .iter()
        .filter(|group| group.iter().all(|name| columns.place(name).is_none()))
        .map(|group| missing_in_words(group, record))
        .collect();
    if missing.is_empty() {
        return Ok(columns);
    }
    if columns.places.iter().all(Option::is_none)
        && record.fields.iter().any(|field| parse_date(field).is_ok())
    {
        let first = shorten(record.fields.first().map_or("", |field| field.trim()));
        return Err(IntakeError::NoHeader { line: record.line, first });
    }
    Err(IntakeError::MissingColumns { missing, found: shown_headers(record) })
}

/// "symptom or direction", with the header that comes near, if any does.
fn missing_in_words(group: &[&str], record: &Record<'_>) -> String {
    let names = group.join(" or ");
    let close =
        group.iter().find_map(|name| near(name, record.fields.iter().map(|own| own.trim()))).map(shorten);
    match close {
        Some(near) => format!("{names} (perhaps \"{near}\")"),
        None => names,
    }
}

fn shown_headers(record: &Record<'_>) -> Vec<String> {
    let mut shown: Vec<String> =
        record.fields.iter().take(MOST_HEADERS_SHOWN).map(|field| shorten(field.trim())).collect();
    if record.fields.len() > MOST_HEADERS_SHOWN {
        shown.push("…".to_owned());
    }
    shown
}

/// Headers that none of our columns was found under; one without a name is told by its number.
fn ignored(record: &Record<'_>, places: &[Option<usize>]) -> Vec<String> {
    let mut is_ours = vec![false; record.fields.len()];
    for place in places.iter().flatten() {
        if let Some(own) = is_ours.get_mut(*place) {
            *own = true;
        }
    }
    record
        .fields
        .iter()
        .zip(is_ours)
        .enumerate()
        .filter(|(_, (_, is_ours))| !is_ours)
        .map(|(place, (field, _))| match field.trim() {
            "" => format!("column {} (without a name)", place + 1),
            name => shorten(name),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const KNOWN: &[&str] = &["serial", "sold_on", "brace_low", "note"];
    const NEEDED: Needed = &[&["serial"], &["sold_on", "note"]];

    fn map(json: &str) -> Result<ColumnMap, IntakeError> {
        ColumnMap::from_json(json, KNOWN)
    }

    fn header(text: &str, json: &str) -> Result<(Columns, u8), IntakeError> {
        read_header(text, &map(json).unwrap(), KNOWN, NEEDED)
            .map(|(columns, _, delimiter)| (columns, delimiter))
    }

    fn fault(text: &str, json: &str) -> String {
        header(text, json).unwrap_err().to_string()
    }

    #[test]
    fn a_map_is_an_object_of_our_names_and_their_headers() {
        assert_eq!(map("{}"), Ok(ColumnMap::default()));
        let read = map(r#"{"serial": " Nr ", "Sold_On": "Datum"}"#).unwrap();
        assert_eq!(read.header_of("serial"), Some("Nr"));
        assert_eq!(read.header_of("sold_on"), Some("Datum"));
        assert_eq!(read.header_of("note"), None);
    }

    #[test]
    fn a_map_that_cannot_be_meant_is_refused() {
        let refused = |json| map(json).unwrap_err().to_string();
        assert_eq!(
            refused(r#"{"brace_lo": "x"}"#),
            "the column map names the column \"brace_lo\", which is not known here (perhaps brace_low); \
             known are: serial, sold_on, brace_low, note"
        );
        for json in ["[]", "3", "\"serial\"", "null"] {
            assert_eq!(map(json), Err(IntakeError::MapNotObject), "{json}");
        }
        for json in ["", "{", "{} x", "{\"serial\"}"] {
            assert!(matches!(map(json), Err(IntakeError::MapSyntax(_))), "{json}");
        }
        for json in [r#"{"serial": 3}"#, r#"{"serial": null}"#, r#"{"serial": " "}"#, r#"{"serial": ["x"]}"#]
        {
            assert_eq!(map(json), Err(IntakeError::MapNotText { our_name: "serial".into() }), "{json}");
        }
        assert_eq!(
            refused(r#"{"serial": "Nr", "note": "nr "}"#),
            "the column map uses the header \"nr\" twice, for serial and for note"
        );
        assert_eq!(refused(r#"{"serial": "Nr", "SERIAL": "No"}"#), "the column map names serial twice");
    }

    #[test]
    fn headers_are_found_whatever_their_order_case_and_delimiter() {
        for (text, delimiter) in [
            (" SOLD_ON ,Serial,other\n", b','),
            ("Sold_On;serial;other", b';'),
            ("\nsold_on\tSERIAL\tother\r", b'\t'),
            ("sold_on;\"serial\";\"other, and, more, and, more\"", b';'),
            ("sold_on,serial,a;b;c;d;e", b','),
        ] {
            let (columns, found) = header(text, "{}").unwrap();
            assert_eq!(found, delimiter, "{text}");
            assert_eq!(columns.place("sold_on"), Some(0), "{text}");
            assert_eq!(columns.place("serial"), Some(1), "{text}");
            assert_eq!(columns.place("brace_low"), None);
            assert_eq!(columns.ignored.len(), 1);
        }
    }

    #[test]
    fn a_map_goes_before_our_own_names() {
        let (columns, _) = header("serial,Nr,sold_on,", r#"{"serial": "nr"}"#).unwrap();
        assert_eq!(columns.place("serial"), Some(1));
        assert_eq!(columns.ignored, ["serial", "column 4 (without a name)"]);
        assert_eq!((columns.name_at(1).as_str(), columns.name_at(0).as_str()), ("serial", "serial"));
        // Our own name given away to another column is not read twice.
        let (columns, _) = header("serial,note", r#"{"sold_on": "note"}"#).unwrap();
        assert_eq!((columns.place("sold_on"), columns.place("note")), (Some(1), None));
    }

    #[test]
    fn what_is_missing_and_what_is_there_is_named() {
        assert_eq!(
            fault("Serial;sold on;Preis", "{}"),
            "needed columns are missing: sold_on or note (perhaps \"sold on\"); the first line names: Serial, \
             sold on, Preis; if they are there under other names, give a column map such as \
             {\"sold_on\": \"their header\"}"
        );
        assert_eq!(
            fault("Nummer;sold_on", r#"{"serial": "Numer"}"#),
            "the column map takes serial from \"Numer\", which the first line does not name \
             (perhaps \"Nummer\"); it names: Nummer, sold_on"
        );
    }

    #[test]
    fn a_header_that_stands_twice_is_refused_where_it_matters() {
        assert_eq!(
            fault("serial,sold_on,x,x, Serial", "{}"),
            "line 1: the columns 1 and 5 both have the header \"serial\"; rename or remove one"
        );
        assert!(header("serial,sold_on,x,x", "{}").is_ok());
    }

    #[test]
    fn files_without_a_header_are_told_apart() {
        assert_eq!(fault("", "{}"), IntakeError::EmptyFile.to_string());
        assert_eq!(fault(" \r\n\n", "{}"), IntakeError::EmptyFile.to_string());
        assert_eq!(fault(";;\n,,", "{}"), IntakeError::EmptyFile.to_string());
        assert_eq!(
            fault("\nT-1,2026-03-02,62 1/2\n", "{}"),
            "line 2 does not name columns but holds values (\"T-1\"); \
             put a line with the column names above it"
        );
        assert_eq!(
            fault("serial;sold_on;\"x\nA;b;c", "{}"),
            IntakeError::OpenQuote { line: 1, column: 3 }.to_string()
        );
    }
}
