//! Every place that can hold something of a person, and what becomes of it when the person is
//! forgotten. Erasing walks this list, and so does its test; a new column of text that is not on it
//! fails a test.

/// Whose a row of a table is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Whose {
    /// The row is the person's own (`archer`).
    Archer,
    /// It names the archer (`archer_id`).
    OfArcher,
    /// It names a string (`string_id`).
    OfString,
    /// It names a report (`report_number`).
    OfReport,
    /// The workshop's own.
    Workshop,
}

/// What becomes of a value when the person is forgotten.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// It is taken out; its row stays.
    Emptied,
    /// The same, of a column that must have a text: an empty one stays.
    Blank,
    /// Its row is deleted.
    Deleted,
    /// It is JSON, of which these are taken out.
    Without(&'static [&'static str]),
    /// It stays, and why.
    Stays(&'static str),
}

/// A column that holds text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// Its table.
    pub table: &'static str,
    /// The column.
    pub column: &'static str,
    /// Whose its rows are.
    pub whose: Whose,
    /// What becomes of it.
    pub fate: Fate,
}

const fn place(table: &'static str, column: &'static str, whose: Whose, fate: Fate) -> Place {
    Place { table, column, whose, fate }
}

const OWN: Fate = Fate::Stays("the workshop's own word");
const WORD: Fate = Fate::Stays("a word of a fixed list, or of the program");
const DIGEST: Fate = Fate::Stays("random, or a keyed digest, to know the person again in an old file");

/// All of them but days, months and words of the fixed lists that the tables check.
pub const PLACES: &[Place] = &[
    place("archer", "name", Whose::Archer, Fate::Emptied),
    place("archer", "email", Whose::Archer, Fate::Emptied),
    place("former_address", "email", Whose::OfArcher, Fate::Deleted),
    place("letter_text", "body", Whose::OfReport, Fate::Deleted),
    // A question that is to be asked back quotes the mail it is about.
    place("open_question", "question", Whose::OfReport, Fate::Deleted),
    place("string", "order_ref", Whose::OfArcher, Fate::Emptied),
    place("string", "imported", Whose::OfArcher, Fate::Without(&["$.order_ref", "$.note"])),
    place("report", "imported", Whose::OfString, Fate::Without(&["$.note"])),
    // A sign of danger stays a sign; the words it was read in are the person's.
    place("sign", "words", Whose::OfReport, Fate::Blank),
    // Why something was struck may quote the archer.
    place("strike", "why", Whose::OfString, Fate::Emptied),
    place("strike", "what", Whose::OfString, WORD),
    place("symptom_again", "symptom", Whose::OfReport, WORD),
    // Neither keeps the order's reference or the archer's words of danger: older ones lost the
    // reference when they were brought up to date, and never had words but of a fixed list.
    place("verdict", "inputs", Whose::OfReport, Fate::Stays("figures and words of fixed lists")),
    place("verdict", "advice", Whose::OfReport, Fate::Stays("figures and words of the program")),
    place("decision", "who", Whose::OfReport, Fate::Stays("who of the workshop decided")),
    // The reason may speak of the person.
    place("decision", "why", Whose::OfReport, Fate::Blank),
    place("bow_told", "before", Whose::OfReport, Fate::Stays("figures and words of fixed lists")),
    place("bow_told", "told", Whose::OfReport, Fate::Stays("figures and words of fixed lists")),
    place("verdict", "program_version", Whose::OfReport, WORD),
    place("sent_letter", "kind", Whose::OfString, WORD),
    place("sent_letter", "sent_to", Whose::OfString, Fate::Deleted),
    place("sent_letter", "body", Whose::OfString, Fate::Deleted),
    place(
        "noted_mail",
        "mark",
        Whose::OfReport,
        Fate::Stays("tells no more than that a mail at hand was noted"),
    ),
    place("noted_mail", "thread", Whose::OfReport, Fate::Emptied),
    place("noted_mail", "subject", Whose::OfReport, Fate::Emptied),
    place("settlement", "proposed_cause", Whose::OfReport, WORD),
    place("string", "serial", Whose::OfArcher, OWN),
    place("string", "colours", Whose::OfArcher, OWN),
    place("string", "maker", Whose::OfArcher, OWN),
    place("string", "maker_initials", Whose::OfArcher, OWN),
    place("event", "who", Whose::Workshop, Fate::Stays("who of the workshop did it")),
    place("event", "what", Whose::Workshop, WORD),
    place("event", "fields", Whose::Workshop, Fate::Stays("names of fields and ids")),
    place("bench_test", "maker", Whose::Workshop, OWN),
    place("setting", "name", Whose::Workshop, WORD),
    place("setting", "value", Whose::Workshop, OWN),
    place("setting", "why", Whose::Workshop, OWN),
    place("spool", "name", Whose::Workshop, OWN),
    place("spool", "colour", Whose::Workshop, OWN),
    place("digest_key", "key", Whose::Workshop, DIGEST),
    place("forgotten", "digest", Whose::Workshop, DIGEST),
];

/// Where a person may stand beside the book, out of the reach of the tables: files that somebody made
/// and mails that somebody keeps. Of a mail the book keeps the new text alone, which is on the list
/// above; what the counter keeps in memory goes once it notices that somebody was forgotten. Copies
/// and exports carry digests: one in which somebody is erased by hand is no longer as it was made,
/// and `restore` refuses it.
pub const OUTSIDE: &[&str] = &[
    "backups and other copies of the book",
    "exports",
    "imported files",
    "printed cards and sheets",
    "letters and drafts that were saved",
    "mails in your own mail program",
];

impl Place {
    /// Which rows of the table are those of the archer `?1`; none of the workshop's own.
    fn rows(self) -> Option<&'static str> {
        match self.whose {
            Whose::Archer => Some("id = ?1"),
            Whose::OfArcher => Some("archer_id = ?1"),
            Whose::OfString => Some("string_id IN (SELECT id FROM main.string WHERE archer_id = ?1)"),
            Whose::OfReport => Some(
                "report_number IN (SELECT r.number FROM main.report r JOIN main.string s ON s.id = r.string_id WHERE s.archer_id = ?1)",
            ),
            Whose::Workshop => None,
        }
    }

    /// The statement that takes what is personal out, if anything is.
    pub(super) fn erasing(self) -> Option<String> {
        let Self { table, column, .. } = self;
        let rows = self.rows()?;
        match self.fate {
            Fate::Emptied => Some(format!("UPDATE main.{table} SET {column} = NULL WHERE {rows}")),
            Fate::Blank => Some(format!("UPDATE main.{table} SET {column} = '' WHERE {rows}")),
            Fate::Deleted => Some(format!("DELETE FROM main.{table} WHERE {rows}")),
            Fate::Without(keys) => {
                let list: String = keys.iter().map(|key| format!(", '{key}'")).collect();
                let any: Vec<String> =
                    keys.iter().map(|key| format!("json_type({column}, '{key}') IS NOT NULL")).collect();
                Some(format!(
                    "UPDATE main.{table} SET {column} = json_remove({column}{list}) WHERE {rows} AND ({})",
                    any.join(" OR ")
                ))
            }
            Fate::Stays(_) => None,
        }
    }
}
