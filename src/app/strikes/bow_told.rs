//! What a struck report or reading told of the bow goes with it, and comes back with it.

use serde_json::{Map, Value};

use super::super::bow::set;
use super::super::error::AppError;
use super::named::Named;
use crate::book::{Author, BowTold, Page};
use crate::trade::records::BowProfile;

type Fields = Map<String, Value>;

fn fields(json: &str) -> Result<Fields, AppError> {
    serde_json::from_str(json).map_err(|error| AppError::Internal(error.to_string()))
}

/// Gives up what is no longer told of the bow of a thing, and takes up what is told again; `before` is
/// what was told until now. A field goes back to what was known before it was told, unless it was
/// changed since or somebody else told the same. Says which fields changed.
pub(super) fn follow(
    page: &Page<'_>,
    named: &Named,
    before: &[BowTold],
    author: &Author,
) -> Result<Vec<&'static str>, AppError> {
    let internal = |error: serde_json::Error| AppError::Internal(error.to_string());
    let now = page.told_of_bow(named.string.bow_id)?;
    let stands = |told: &[BowTold], row: &BowTold| told.iter().any(|other| other.id == row.id);
    let known = page.bow(named.string.bow_id)?;
    let Value::Object(mut bow) = serde_json::to_value(&known).map_err(internal)? else {
        return Ok(Vec::new());
    };
    let told_now = now.iter().map(|row| fields(&row.told)).collect::<Result<Vec<_>, _>>()?;
    for gone in before.iter().rev().filter(|row| !stands(&now, row)) {
        let was = fields(&gone.before)?;
        for (name, told) in fields(&gone.told)? {
            let told_again = told_now.iter().any(|other| other.get(&name) == Some(&told));
            if !told_again
                && bow.get(&name) == Some(&told)
                && let Some(was) = was.get(&name)
            {
                bow.insert(name, was.clone());
            }
        }
    }
    for back in now.iter().filter(|row| !stands(before, row)) {
        let was = fields(&back.before)?;
        for (name, told) in fields(&back.told)? {
            if bow.get(&name) == was.get(&name) {
                bow.insert(name, told);
            }
        }
    }
    let after: BowProfile = serde_json::from_value(Value::Object(bow)).map_err(internal)?;
    set(page, &named.string, &known, &after, author)
}
