//! How the program's own types stand in columns: a length as inches, turns as their number, a
//! fixed word as its spelling. Days are texts such as `2026-03-01` and money is whole cents, both
//! by the database's own means. A value that its type does not take is an error, never a guess.

use rusqlite::types::{FromSql, FromSqlError, FromSqlResult, ToSql, ToSqlOutput, ValueRef};

use crate::mechanics::bow::BowKind;
use crate::mechanics::twist::Yarn;
use crate::quantity::{Length, Turns, Unit};
use crate::trade::month::{DrawnBy, QuietAnswer};
use crate::trade::signs::{SignOf, SignStanding, StandsIn};
use crate::trade::standing::Step;
use crate::trade::terms::TermsOf;
use crate::trade::words::{
    Across, Ask, Cause, CostOf, Direction, Lay, LengthAt, Marker, OldMake, Outcome, Photo, ReadBy, Route,
    Stave, Symptom, Tips, Verdict,
};

macro_rules! stored_numbers {
    ($($name:ident),+ $(,)?) => {$(
        impl ToSql for $name {
            fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
                Ok(f64::from(*self).into())
            }
        }

        impl FromSql for $name {
            fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
                Self::try_from(f64::column_result(value)?).map_err(FromSqlError::other)
            }
        }
    )+};
}

macro_rules! stored_words {
    ($($name:ident),+ $(,)?) => {$(
        impl ToSql for $name {
            fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
                Ok(self.as_str().into())
            }
        }

        impl FromSql for $name {
            fn column_result(value: ValueRef<'_>) -> FromSqlResult<Self> {
                value.as_str()?.parse().map_err(FromSqlError::other)
            }
        }
    )+};
}

stored_numbers!(Length, Turns);

// A kind of words that is to be stored gets its name here: `words!` itself knows no database.
stored_words!(
    Across,
    Ask,
    BowKind,
    Cause,
    CostOf,
    Direction,
    DrawnBy,
    Lay,
    LengthAt,
    Marker,
    OldMake,
    Outcome,
    Photo,
    ReadBy,
    QuietAnswer,
    Route,
    SignOf,
    SignStanding,
    StandsIn,
    Stave,
    Step,
    Symptom,
    TermsOf,
    Tips,
    Unit,
    Verdict,
    Yarn,
);

#[cfg(test)]
mod tests {
    use super::*;
    use rusqlite::types::Value;

    fn stored(value: &impl ToSql) -> Value {
        match value.to_sql().unwrap() {
            ToSqlOutput::Borrowed(value) => value.try_into().unwrap(),
            ToSqlOutput::Owned(value) => value,
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn numbers_and_words_come_back_as_they_were_stored() {
        let length = Length::try_from_inches(7.0625).unwrap();
        assert_eq!(stored(&length), Value::Real(7.0625));
        assert_eq!(Length::column_result(ValueRef::Real(7.0625)), Ok(length));
        assert_eq!(Length::column_result(ValueRef::Integer(7)), Ok(Length::try_from_inches(7.0).unwrap()));
        assert_eq!(stored(&Turns::new(-4.0)), Value::Real(-4.0));
        for word in Symptom::ALL {
            assert_eq!(stored(word), Value::Text(word.as_str().to_owned()));
            assert_eq!(Symptom::column_result(ValueRef::Text(word.as_str().as_bytes())), Ok(*word));
        }
    }

    #[test]
    fn what_a_type_does_not_take_is_an_error_with_its_reason() {
        let error = |result: FromSqlResult<Symptom>| result.unwrap_err().to_string();
        assert!(Length::column_result(ValueRef::Real(1e6)).is_err());
        assert!(Length::column_result(ValueRef::Text(b"7")).is_err());
        assert!(Turns::column_result(ValueRef::Real(501.0)).is_err());
        assert!(error(Symptom::column_result(ValueRef::Text(b"twang"))).contains("\"twang\" is no symptom"));
        assert!(Symptom::column_result(ValueRef::Null).is_err());
    }
}
