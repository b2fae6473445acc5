//! Looking through a book: is the file sound, and does it hold what a book must.
//!
//! Every check runs for itself: what cannot be read is a fault, and the next check goes on.
#![expect(clippy::disallowed_types, reason = "the book is the one place that talks to the database")]

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::str::FromStr;
use std::time::Duration;

use rusqlite::Connection;

use super::rows::{self, Named};
use super::{BookError, file};
use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::trade::advice::Advice;
use crate::trade::records::Report;
use crate::trade::setting::{find_setting, is_kept_value};
use crate::trade::words::{
    Across, Cause, CostOf, Direction, Lay, LengthAt, Marker, OldMake, Outcome, Photo, Route, Stave, Symptom,
    Tips, Verdict,
};
use crate::words::{UnknownWord, shorten};

/// What kind of fault.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum FaultKind {
    /// The file itself is damaged.
    File,
    /// Its tables are not those of a book.
    Shape,
    /// A row names another that is not there.
    Missing,
    /// A value that cannot be read.
    Value,
    /// Rows that contradict each other.
    Contradiction,
}

/// Something that is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// What kind.
    pub kind: FaultKind,
    /// What, with ids and field names; no personal values.
    pub text: String,
}

/// A book looked through.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Examination {
    /// Version of the book.
    pub version: i64,
    /// Version this program writes.
    pub known_version: i64,
    /// Version of the database.
    pub database: String,
    /// Size of the file, bytes.
    pub bytes: i64,
    /// Rows of each table.
    pub counts: BTreeMap<String, i64>,
    /// What is wrong, the file first.
    pub faults: Vec<Fault>,
    /// Stored verdicts worded by another version of the program.
    pub other_versions: i64,
    /// True where others than the owner may read the file.
    pub open_to_others: bool,
}

/// Most faults told of one kind of check; a damaged file would fill the screen.
const MOST: usize = 10;

type Known = fn(&str) -> bool;

fn known<T: FromStr<Err = UnknownWord>>(text: &str) -> bool {
    text.parse::<T>().is_ok()
}

/// Columns with words of a fixed list.
const WORDS: [(&str, &str, Known); 25] = [
    ("bow", "kind", known::<BowKind>),
    ("bow", "tips", known::<Tips>),
    ("bow", "stave", known::<Stave>),
    ("spool", "yarn", known::<Yarn>),
    ("bench_test", "yarn", known::<Yarn>),
    ("string", "route", known::<Route>),
    ("string", "stated_at", known::<LengthAt>),
    ("string", "built_at", known::<LengthAt>),
    ("string", "built_across", known::<Across>),
    ("string", "old_yarn", known::<Yarn>),
    ("string", "old_make", known::<OldMake>),
    ("string", "old_measured", known::<Across>),
    ("string", "yarn", known::<Yarn>),
    ("string", "lay", known::<Lay>),
    ("report_symptom", "symptom", known::<Symptom>),
    ("reading", "length_at", known::<LengthAt>),
    ("reading", "marker", known::<Marker>),
    ("reading", "photo", known::<Photo>),
    ("verdict", "verdict", known::<Verdict>),
    ("verdict", "likely_cause", known::<Cause>),
    ("cost", "what", known::<CostOf>),
    ("settlement", "outcome", known::<Outcome>),
    ("settlement", "cause", known::<Cause>),
    ("settlement", "proposed_cause", known::<Cause>),
    ("report", "direction", known::<Direction>),
];

/// Looks through the book at a path. An unfinished change is undone first, as any command does;
/// otherwise nothing is written, and an older book is left as old as it is.
///
/// # Errors
/// There is no book, it is some other file, of a newer program, or held by another one.
pub fn examine(path: &Path, patience: Duration) -> Result<Examination, BookError> {
    let (_held, connection, shape) = match file::open_any(path, patience) {
        Ok(opened) => opened,
        Err(BookError::Damaged(text) | BookError::Value(text)) => {
            return Ok(Examination {
                version: 0,
                known_version: file::VERSION,
                database: rusqlite::version().to_owned(),
                bytes: 0,
                counts: BTreeMap::new(),
                other_versions: 0,
                faults: vec![Fault { kind: FaultKind::File, text }],
                open_to_others: false,
            });
        }
        Err(error) => return Err(error),
    };
    let mut look = Look { connection: &connection, faults: Vec::new() };
    for text in shape.iter().take(MOST) {
        look.fault(FaultKind::Shape, text.clone());
    }
    let version = look.number("PRAGMA user_version");
    let bytes = look.number("PRAGMA page_count") * look.number("PRAGMA page_size");
    // What is declared in strange tables is not worked out: it may take for ever.
    if shape.is_empty() {
        look.integrity()?;
        look.foreign_keys()?;
    }
    let tables = look.tables()?;
    let mut counts = BTreeMap::new();
    for table in &tables {
        if let Some(count) =
            look.one(&format!("the rows of {table}"), &format!("SELECT count(*) FROM \"{table}\""))?
        {
            counts.insert(table.clone(), count);
        }
    }
    let mut other_versions = 0;
    // An older book gets its missing tables at the next command; only then can they be checked.
    if version == file::VERSION && shape.is_empty() {
        look.dates()?;
        look.words()?;
        look.stored_json()?;
        other_versions = look.verdicts_of_other_versions()?;
        look.records()?;
        look.replacements()?;
        look.rules()?;
        look.strikes()?;
        look.settings()?;
    }
    let mut faults = look.faults;
    faults.sort_by_key(|fault| fault.kind);
    Ok(Examination {
        version,
        known_version: file::VERSION,
        database: rusqlite::version().to_owned(),
        bytes,
        counts,
        faults,
        other_versions,
        open_to_others: file::is_open_to_others(path),
    })
}

struct Look<'c> {
    connection: &'c Connection,
    faults: Vec<Fault>,
}

impl Look<'_> {
    fn fault(&mut self, kind: FaultKind, text: String) {
        self.faults.push(Fault { kind, text });
    }

    /// The value of a check that may fail on a damaged file; being held up is no fault.
    fn tried<T>(&mut self, about: &str, result: rusqlite::Result<T>) -> Result<Option<T>, BookError> {
        match result.map_err(BookError::from) {
            Ok(value) => Ok(Some(value)),
            Err(error @ (BookError::Busy | BookError::Unfinished)) => Err(error),
            Err(error) => {
                self.fault(FaultKind::File, format!("{about} cannot be read: {error}"));
                Ok(None)
            }
        }
    }

    fn number(&self, sql: &str) -> i64 {
        self.connection.query_row(sql, [], |row| row.get(0)).unwrap_or_default()
    }

    fn one(&mut self, about: &str, sql: &str) -> Result<Option<i64>, BookError> {
        let found = self.connection.query_row(sql, [], |row| row.get(0));
        self.tried(about, found)
    }

    /// First column of a query, as texts, at most [`MOST`] and how many more.
    fn texts(&mut self, about: &str, sql: &str) -> Result<Vec<String>, BookError> {
        let read = || -> rusqlite::Result<Vec<String>> {
            let mut statement = self.connection.prepare(sql)?;
            let mut rows = statement.query([])?;
            let (mut texts, mut more) = (Vec::new(), 0_u64);
            while let Some(row) = rows.next()? {
                if texts.len() < MOST {
                    texts.push(row.get::<_, String>(0)?);
                } else {
                    more += 1;
                }
            }
            if more > 0 {
                texts.push(format!("and {more} more"));
            }
            Ok(texts)
        };
        let texts = read();
        Ok(self.tried(about, texts)?.unwrap_or_default())
    }

    /// A query whose every row is a fault.
    fn none(&mut self, kind: FaultKind, what: &str, sql: &str) -> Result<(), BookError> {
        let found = self.texts(what, sql)?;
        if !found.is_empty() {
            self.fault(kind, format!("{what}: {}", shorten_list(&found)));
        }
        Ok(())
    }

    fn integrity(&mut self) -> Result<(), BookError> {
        for text in self.texts("the file", "PRAGMA integrity_check(11)")? {
            for line in text.lines().filter(|line| *line != "ok" && !line.starts_with("*** in database")) {
                self.fault(FaultKind::File, shorten(line));
            }
        }
        Ok(())
    }

    fn foreign_keys(&mut self) -> Result<(), BookError> {
        self.none(
            FaultKind::Missing,
            "rows that name others which are not there",
            "SELECT \"table\" || ' row ' || coalesce(rowid, '?') || ' names a missing ' || parent FROM pragma_foreign_key_check",
        )
    }

    fn tables(&mut self) -> Result<Vec<String>, BookError> {
        let read = || -> rusqlite::Result<Vec<String>> {
            let mut statement = self.connection.prepare(
                "SELECT name FROM sqlite_schema WHERE type = 'table' AND rootpage > 0 AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name",
            )?;
            statement.query_map([], |row| row.get(0))?.collect()
        };
        let names = read();
        let names: Vec<String> = self.tried("the list of tables", names)?.unwrap_or_default();
        // A name goes into a statement: none of ours holds a quote.
        Ok(names.into_iter().filter(|name| !name.contains('"')).collect())
    }

    /// Days that do not exist, such as 30 February: in every column that holds days.
    fn dates(&mut self) -> Result<(), BookError> {
        let columns = self.texts_all(
            "the list of columns",
            "SELECT t.name || ' ' || c.name FROM sqlite_schema t JOIN pragma_table_info(t.name) c WHERE t.type = 'table' AND (c.name LIKE '%\\_on' ESCAPE '\\' OR c.name = 'day') ORDER BY 1",
        )?;
        for (table, column) in columns.iter().filter_map(|both| both.split_once(' ')) {
            self.none(
                FaultKind::Value,
                &format!("no real day in {column} of {table}"),
                &format!("SELECT substr(\"{column}\", 1, 20) FROM \"{table}\" WHERE \"{column}\" IS NOT NULL AND date(\"{column}\") IS NOT \"{column}\""),
            )?;
        }
        // The greatest amount that any door takes; sums of such ones are still counted rightly.
        self.none(
            FaultKind::Value,
            "an amount beyond all measure",
            "SELECT 'a cost of R-' || report_number FROM cost WHERE cents > 100000000000 UNION ALL SELECT 'the price of ' || serial FROM string WHERE price_cents > 100000000000",
        )?;
        Ok(())
    }

    fn texts_all(&mut self, about: &str, sql: &str) -> Result<Vec<String>, BookError> {
        let read = || -> rusqlite::Result<Vec<String>> {
            let mut statement = self.connection.prepare(sql)?;
            statement.query_map([], |row| row.get(0))?.collect()
        };
        let texts = read();
        Ok(self.tried(about, texts)?.unwrap_or_default())
    }

    fn words(&mut self) -> Result<(), BookError> {
        for (table, column, is_known) in WORDS {
            let found = self.texts_all(
                &format!("{column} of {table}"),
                &format!("SELECT DISTINCT \"{column}\" FROM \"{table}\" WHERE \"{column}\" IS NOT NULL"),
            )?;
            for word in found.iter().filter(|word| !is_known(word)).take(MOST) {
                self.fault(
                    FaultKind::Value,
                    format!("unknown word \"{}\" in {column} of {table}", shorten(word)),
                );
            }
        }
        Ok(())
    }

    /// Reads a column of JSON row by row; `fits` says what is wrong with a text.
    fn json_column(
        &mut self,
        about: &str,
        sql: &str,
        fits: impl Fn(&str) -> Option<String>,
    ) -> Result<(), BookError> {
        let read = || -> rusqlite::Result<Vec<String>> {
            let mut statement = self.connection.prepare(sql)?;
            let mut rows = statement.query([])?;
            let mut bad = Vec::new();
            while let Some(row) = rows.next()? {
                let (id, text): (String, String) = (row.get(0)?, row.get(1)?);
                bad.extend(fits(&text).map(|why| format!("{about} of {}: {why}", shorten(&id))));
            }
            Ok(bad)
        };
        let bad = read();
        for text in self.tried(about, bad)?.unwrap_or_default().into_iter().take(MOST) {
            self.fault(FaultKind::Value, text);
        }
        Ok(())
    }

    fn stored_json(&mut self) -> Result<(), BookError> {
        fn of<T: serde::de::DeserializeOwned>(text: &str) -> Option<String> {
            // Where it stands is said, what stands there is not: it may be personal.
            serde_json::from_str::<T>(text)
                .err()
                .map(|error| format!("cannot be read (character {})", error.column()))
        }
        type Given = BTreeMap<String, String>;
        self.json_column(
            "imported",
            "SELECT serial, imported FROM string WHERE imported IS NOT NULL",
            of::<Given>,
        )?;
        self.json_column(
            "imported",
            "SELECT 'R-' || number, imported FROM report WHERE imported IS NOT NULL",
            of::<serde_json::Map<String, serde_json::Value>>,
        )?;
        // How a verdict is worded inside is the business of the version that wrote it.
        for (column, sql) in [
            ("inputs", "SELECT 'R-' || report_number, inputs FROM verdict"),
            ("advice", "SELECT 'R-' || report_number, advice FROM verdict"),
        ] {
            self.json_column(&format!("{column} of the verdict"), sql, |text| {
                of::<serde_json::Map<String, serde_json::Value>>(text)
            })?;
        }
        Ok(())
    }

    /// How many verdicts are worded as this program would not word them: another version wrote
    /// them. They count all the same, because what is asked of them stands in columns.
    fn verdicts_of_other_versions(&mut self) -> Result<i64, BookError> {
        fn is_ours(inputs: &str, advice: &str) -> bool {
            let reports = serde_json::from_str::<serde_json::Value>(inputs)
                .ok()
                .and_then(|mut inputs| inputs.get_mut("reports").map(serde_json::Value::take));
            reports.is_some_and(|reports| serde_json::from_value::<Vec<Report>>(reports).is_ok())
                && serde_json::from_str::<Advice>(advice).is_ok()
        }
        let count = || -> rusqlite::Result<i64> {
            let mut statement = self.connection.prepare("SELECT inputs, advice FROM verdict")?;
            let mut rows = statement.query([])?;
            let mut others = 0;
            while let Some(row) = rows.next()? {
                let (inputs, advice): (String, String) = (row.get(0)?, row.get(1)?);
                others += i64::from(!is_ours(&inputs, &advice));
            }
            Ok(others)
        };
        let count = count();
        Ok(self.tried("the verdicts", count)?.unwrap_or_default())
    }

    /// Reads every bow, string and reading the way commands do.
    fn records(&mut self) -> Result<(), BookError> {
        type Reader = fn(&rusqlite::Row<'_>) -> rusqlite::Result<()>;
        let all: [(&str, &str, Reader); 3] = [
            ("bow", "SELECT id AS named, b.* FROM bow b", |row| rows::bow(&mut Named::of(row)).map(drop)),
            (
                "string",
                "SELECT s.serial AS named, s.*, p.name AS spool, r.serial AS replaces FROM string s LEFT JOIN spool p ON p.id = s.spool_id LEFT JOIN string r ON r.id = s.replaces_id",
                |row| rows::string(&mut Named::of(row)).map(drop),
            ),
            ("reading", "SELECT id AS named, g.* FROM reading g", |row| {
                rows::measurements(&mut Named::of(row)).map(drop)
            }),
        ];
        for (what, sql, reader) in all {
            let read = || -> rusqlite::Result<Vec<String>> {
                let mut statement = self.connection.prepare(sql)?;
                let mut found = statement.query([])?;
                let mut bad = Vec::new();
                while let Some(row) = found.next()? {
                    if let Err(error) = reader(row)
                        && bad.len() < MOST
                    {
                        let named: super::Cell = row.get("named")?;
                        bad.push(format!("{what} {} cannot be read: {error}", shorten(&named.to_string())));
                    }
                }
                Ok(bad)
            };
            let bad = read();
            for text in self.tried(&format!("the {what}s"), bad)?.unwrap_or_default() {
                self.fault(FaultKind::Value, text);
            }
        }
        Ok(())
    }

    /// Chains of replacements that come back to where they began.
    fn replacements(&mut self) -> Result<(), BookError> {
        let read = || -> rusqlite::Result<BTreeMap<i64, (i64, String)>> {
            let mut statement = self
                .connection
                .prepare("SELECT id, replaces_id, serial FROM string WHERE replaces_id IS NOT NULL")?;
            statement.query_map([], |row| Ok((row.get(0)?, (row.get(1)?, row.get(2)?))))?.collect()
        };
        let pairs = read();
        let replaces = self.tried("the replacements", pairs)?.unwrap_or_default();
        let mut done = BTreeSet::new();
        let mut loops = Vec::new();
        for &start in replaces.keys() {
            let (mut at, mut way) = (start, BTreeSet::new());
            while !done.contains(&at) && way.insert(at) {
                match replaces.get(&at) {
                    Some((next, _)) => at = *next,
                    None => break,
                }
            }
            if !done.contains(&at) && replaces.contains_key(&at) && way.contains(&at) {
                loops.extend(replaces.get(&at).map(|(_, serial)| shorten(serial)));
            }
            done.extend(way);
        }
        if !loops.is_empty() {
            self.fault(
                FaultKind::Contradiction,
                format!("strings that replace themselves in the end: {}", shorten_list(&loops)),
            );
        }
        Ok(())
    }

    /// Reads the settings in force as commands do.
    fn settings(&mut self) -> Result<(), BookError> {
        let read = || -> rusqlite::Result<Vec<(String, String)>> {
            let mut statement = self.connection.prepare("SELECT name, value FROM setting ORDER BY id")?;
            statement.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?.collect()
        };
        let read = read();
        let settings = self.tried("the settings", read)?.unwrap_or_default();
        let mut bad = BTreeSet::new();
        for (name, value) in &settings {
            match find_setting(name) {
                Err(_) => bad.insert(format!("unknown setting \"{}\"", shorten(name))),
                Ok(setting) if !is_kept_value(&setting, value) => {
                    bad.insert(format!("the setting {} cannot be \"{}\"", setting.name, shorten(value)))
                }
                Ok(_) => false,
            };
        }
        for text in bad.into_iter().take(MOST) {
            self.fault(FaultKind::Value, text);
        }
        Ok(())
    }

    /// What must hold between rows.
    fn rules(&mut self) -> Result<(), BookError> {
        let checks = [
            (
                "reports without a first reading",
                "SELECT 'R-' || r.number FROM report r WHERE r.imported IS NULL AND NOT EXISTS (SELECT 1 FROM reading g WHERE g.report_number = r.number)",
            ),
            (
                "reports without the event of their coming in",
                "SELECT 'R-' || r.number FROM report r WHERE NOT EXISTS (SELECT 1 FROM event e WHERE e.report_number = r.number AND (e.what = 'report' OR r.imported IS NOT NULL))",
            ),
            (
                "remakes whose string does not replace the string of the report",
                "SELECT s.serial || ' for R-' || m.report_number FROM remake m JOIN string s ON s.id = m.string_id JOIN report r ON r.number = m.report_number WHERE s.replaces_id IS NOT r.string_id",
            ),
            (
                "reports that stand as settled without a settlement",
                "SELECT 'R-' || r.number FROM report r WHERE (SELECT e.what FROM event e WHERE e.report_number = r.number AND e.what IN ('settle', 'resume') ORDER BY e.id DESC LIMIT 1) = 'settle' AND NOT EXISTS (SELECT 1 FROM settlement t WHERE t.report_number = r.number)",
            ),
            (
                "settlements of reports that were never settled",
                "SELECT DISTINCT 'R-' || t.report_number FROM settlement t JOIN report r ON r.number = t.report_number WHERE r.imported IS NULL AND NOT EXISTS (SELECT 1 FROM event e WHERE e.report_number = t.report_number AND e.what = 'settle')",
            ),
            (
                "events of a report under another string than the report's",
                "SELECT 'R-' || e.report_number || ' in line ' || e.id FROM event e JOIN report r ON r.number = e.report_number JOIN string s ON s.id = e.string_id WHERE e.what = 'report' AND e.string_id <> r.string_id",
            ),
            (
                "verdicts whose columns say something else than they do",
                "SELECT 'R-' || report_number FROM verdict WHERE (json_extract(advice, '$.verdict') IN ('reassure', 'ask', 'adjust', 'mend', 'remake', 'refer', 'stop') AND json_extract(advice, '$.verdict') <> verdict)
                    OR (json_type(advice, '$.turns') IN ('integer', 'null') AND json_extract(advice, '$.turns') IS NOT turns)
                    OR (json_type(advice, '$.free') IN ('true', 'false') AND json_extract(advice, '$.free') IS NOT free)
                    OR (json_type(advice, '$.flip') IN ('true', 'false') AND json_extract(advice, '$.flip') <> flip)
                    OR (json_type(advice, '$.remake_length') IN ('real', 'null') AND abs(coalesce(json_extract(advice, '$.remake_length'), 0) - coalesce(remake_length_inch, 0)) > 1e-6)",
            ),
            (
                "letters about a report of another string",
                "SELECT 'R-' || l.report_number || ' of ' || l.sent_on FROM sent_letter l JOIN report r ON r.number = l.report_number WHERE l.string_id <> r.string_id",
            ),
            (
                "erased archers with a letter that went to them",
                "SELECT DISTINCT 'A-' || f.archer_id FROM forgotten f JOIN string s ON s.archer_id = f.archer_id JOIN sent_letter l ON l.string_id = s.id WHERE l.sent_on < f.forgotten_on",
            ),
            (
                "erased archers with a name or an address",
                "SELECT DISTINCT 'A-' || a.id FROM forgotten f JOIN archer a ON a.id = f.archer_id WHERE a.name IS NOT NULL OR a.email IS NOT NULL OR EXISTS (SELECT 1 FROM former_address m WHERE m.archer_id = a.id)",
            ),
        ];
        for (what, sql) in checks {
            self.none(FaultKind::Contradiction, what, sql)?;
        }
        Ok(())
    }
}

impl Look<'_> {
    /// What must hold of what was struck: each strike names a thing that is there and a line of the
    /// history that says so, and what was brought back had been struck.
    fn strikes(&mut self) -> Result<(), BookError> {
        let checks = [
            (
                "strikes that do not say what was struck",
                "SELECT 'strike ' || id FROM strike WHERE what NOT IN ('string', 'report', 'reading', 'letter')
                    OR (what <> 'string' AND report_number IS NULL) OR (what = 'string' AND report_number IS NOT NULL)
                    OR (what = 'reading') <> (reading_id IS NOT NULL) OR (what = 'letter') <> (letter_id IS NOT NULL)",
            ),
            (
                "strikes of a report of another string",
                "SELECT 'R-' || k.report_number FROM strike k JOIN report r ON r.number = k.report_number WHERE r.string_id <> k.string_id",
            ),
            (
                "strikes of a reading of another report",
                "SELECT 'R-' || k.report_number FROM strike k JOIN reading g ON g.id = k.reading_id WHERE g.report_number <> k.report_number",
            ),
            (
                "strikes of a letter that is none of the report's",
                "SELECT 'R-' || k.report_number FROM strike k JOIN event e ON e.id = k.letter_id WHERE e.what NOT IN ('letter', 'look-over') OR e.report_number IS NOT k.report_number",
            ),
            (
                "strikes that the history says nothing of",
                "SELECT 'strike ' || k.id FROM strike k JOIN event e ON e.id = k.event_id WHERE e.string_id IS NOT k.string_id
                    OR (k.undoes IS NULL AND e.what NOT IN ('strike', 'withdraw')) OR (k.undoes IS NOT NULL AND e.what <> 'unstrike')",
            ),
            (
                "things brought back that were not struck",
                "SELECT 'strike ' || k.id FROM strike k JOIN strike s ON s.id = k.undoes WHERE s.undoes IS NOT NULL OR s.id >= k.id OR s.what <> k.what
                    OR s.string_id <> k.string_id OR s.report_number IS NOT k.report_number OR s.reading_id IS NOT k.reading_id OR s.letter_id IS NOT k.letter_id",
            ),
            (
                "things struck twice",
                "SELECT what || ' of ' || coalesce('R-' || report_number, (SELECT serial FROM string s WHERE s.id = string_id)) FROM strike
                    WHERE undoes IS NULL AND id NOT IN (SELECT undoes FROM strike WHERE undoes IS NOT NULL)
                    GROUP BY what, string_id, report_number, reading_id, letter_id HAVING count(*) > 1",
            ),
            (
                "rows that came in with a reading of another report",
                "SELECT 'R-' || x.report_number FROM (
                        SELECT report_number, reading_id FROM event UNION ALL SELECT report_number, reading_id FROM letter_text
                        UNION ALL SELECT report_number, reading_id FROM report_symptom UNION ALL SELECT report_number, reading_id FROM symptom_again
                        UNION ALL SELECT report_number, reading_id FROM sign UNION ALL SELECT report_number, reading_id FROM open_question
                        UNION ALL SELECT d.report_number, r.reading_id FROM decision_reading r JOIN decision d ON d.id = r.decision_id
                    ) x JOIN reading g ON g.id = x.reading_id WHERE g.report_number IS NOT x.report_number",
            ),
        ];
        for (what, sql) in checks {
            self.none(FaultKind::Contradiction, what, sql)?;
        }
        Ok(())
    }
}

fn shorten_list(texts: &[String]) -> String {
    texts.iter().map(|text| shorten(text)).collect::<Vec<_>>().join(", ")
}
