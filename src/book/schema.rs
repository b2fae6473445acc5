//! The shape of a book, compared with what a book of its version has.
#![expect(clippy::disallowed_types, reason = "the book is the one place that talks to the database")]

use std::collections::BTreeMap;

use hmac_sha256::Hash;
use rusqlite::Connection;

use super::{BookError, file};

/// The beginning of the digest of the shape of each version, so that a sound book is known without
/// making one to compare it with. A version that is not listed is known all the same, more slowly;
/// the test below says what its line is.
const SHAPES: &[&str] = &[
    "2cdaf2c594078268",
    "c17a5fc76dc8a314",
    "b9797e0f588733d2",
    "dbc24cf56fcd0e63",
    "ce80809cb68be9b8",
    "bb9e2bb984be5b45",
    "3ac6ed0ce66ae20b",
    "68d00dd8a247bee2",
    "acf4c91569ed7f04",
    "746e5019482f5d94",
    "95abbe690eac91c4",
    "faa76c4edb47a6f3",
    "ace263430fc836ca",
    "9b5ca695f39e4c6a",
    "d40fd03a9c5bc971",
    "549e360098d041d0",
    "6765339e66cff15a",
    "982ee069b3c364ab",
    "141f6d5a1e8b65d1",
    "f13afadf41b90ac4",
    "26f79110a777d329",
    "c5c9d751728b669f",
    "2fd02beffdcf4b3d",
    "d33e2756e341ae58",
];

/// Kind and name of a part, and how it was declared.
type Parts = BTreeMap<(String, String), String>;

/// How a part is declared, without what another version of the database may write otherwise.
fn plain(sql: &str) -> String {
    sql.chars().filter(|c| !c.is_whitespace() && *c != '"').flat_map(char::to_lowercase).collect()
}

fn parts(connection: &Connection) -> rusqlite::Result<Parts> {
    // What the database makes for itself (the figures of ANALYZE, indexes of keys) is no part.
    let mut statement = connection.prepare(
        "SELECT type, name, coalesce(sql, '') FROM sqlite_schema WHERE NOT (type IN ('table', 'index') AND name LIKE 'sqlite\\_%' ESCAPE '\\')",
    )?;
    statement
        .query_map([], |row| Ok(((row.get(0)?, row.get(1)?), plain(&row.get::<_, String>(2)?))))?
        .collect()
}

fn shape_of(parts: &Parts) -> String {
    let mut hash = Hash::new();
    for ((kind, name), sql) in parts {
        hash.update(format!("{kind} {name} {sql}\n"));
    }
    crate::words::hex(&hash.finalize()).chars().take(16).collect()
}

/// The parts of a book of some version, from one that is made in memory.
fn expected(version: i64) -> Result<Parts, BookError> {
    let mut plain = Connection::open_in_memory()?;
    file::migrate_to(&mut plain, usize::try_from(version).unwrap_or_default())?;
    Ok(parts(&plain)?)
}

/// What is wrong with the shape of a book of some version: one sentence for each part.
///
/// # Errors
/// The list of its parts cannot be read.
pub(super) fn faults(connection: &Connection, version: i64) -> Result<Vec<String>, BookError> {
    let mut found = parts(connection)?;
    let place = usize::try_from(version - 1).ok();
    if place.and_then(|place| SHAPES.get(place)).is_some_and(|shape| *shape == shape_of(&found)) {
        return Ok(Vec::new());
    }
    let expected = expected(version)?;
    let (mut lacking, mut changed) = (Vec::new(), Vec::new());
    for (part, sql) in expected {
        let (kind, name) = &part;
        match found.remove(&part) {
            Some(there) if there == sql => (),
            Some(_) => {
                changed.push(format!("the {kind} {name} is not as a book of version {version} has it"))
            }
            None => lacking.push(format!("the {kind} {name} is missing")),
        }
    }
    // What was put there first: it says most of what happened.
    let strange = found.into_keys().map(|(kind, name)| {
        format!("the {kind} {} is no part of a book of version {version}", crate::words::shorten(&name))
    });
    Ok(strange.chain(lacking).chain(changed).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shape_of_every_version_is_listed() {
        let shapes: Vec<String> =
            (1..=file::VERSION).map(|version| shape_of(&expected(version).unwrap())).collect();
        assert_eq!(SHAPES, shapes, "these are the lines of SHAPES");
    }
}
