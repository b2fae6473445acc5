//! Every table as it stands, for an export and for a book made from one.

use rusqlite::types::{ToSqlOutput, Value, ValueRef};
use serde::{Deserialize, Serialize};

use super::{BookError, Page};

/// A table of the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// Name.
    pub name: String,
    /// Columns, in their order.
    pub columns: Vec<Column>,
}

/// A column of a table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Column {
    /// Name.
    pub name: String,
    /// INTEGER, REAL or TEXT.
    pub kind: String,
    /// Place in the key, from 1; 0 where it is not part of it.
    pub key: u32,
}

/// One value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Cell {
    /// Nothing.
    Nothing,
    /// A whole number.
    Whole(i64),
    /// A number.
    Number(f64),
    /// A text.
    Text(String),
}

impl std::fmt::Display for Cell {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Nothing => Ok(()),
            Self::Whole(whole) => write!(f, "{whole}"),
            Self::Number(number) => write!(f, "{number:?}"),
            Self::Text(text) => f.write_str(text),
        }
    }
}

impl rusqlite::ToSql for Cell {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        Ok(match self {
            Self::Nothing => ToSqlOutput::Owned(Value::Null),
            Self::Whole(whole) => ToSqlOutput::Owned(Value::Integer(*whole)),
            Self::Number(number) => ToSqlOutput::Owned(Value::Real(*number)),
            Self::Text(text) => ToSqlOutput::Borrowed(ValueRef::Text(text.as_bytes())),
        })
    }
}

impl rusqlite::types::FromSql for Cell {
    fn column_result(value: ValueRef<'_>) -> rusqlite::types::FromSqlResult<Self> {
        Ok(match value {
            ValueRef::Null => Self::Nothing,
            ValueRef::Integer(whole) => Self::Whole(whole),
            ValueRef::Real(number) => Self::Number(number),
            ValueRef::Text(_) => Self::Text(value.as_str()?.to_owned()),
            ValueRef::Blob(_) => return Err(rusqlite::types::FromSqlError::InvalidType),
        })
    }
}

fn quoted(name: &str) -> String {
    format!("\"{}\"", name.replace('"', "\"\""))
}

impl Table {
    fn column_list(&self) -> String {
        self.columns.iter().map(|column| quoted(&column.name)).collect::<Vec<_>>().join(", ")
    }
}

impl Page<'_> {
    /// Every table of the book, by name.
    ///
    /// # Errors
    /// The database refuses.
    pub fn tables(&self) -> Result<Vec<Table>, BookError> {
        const NAMES: &str = "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite\\_%' ESCAPE '\\' ORDER BY name";
        const COLUMNS: &str = "SELECT name, type, pk FROM pragma_table_info(?1, 'main') ORDER BY cid";
        let mut statement = self.transaction.prepare_cached(NAMES)?;
        let names: Vec<String> = statement.query_map([], |row| row.get(0))?.collect::<Result<_, _>>()?;
        let mut statement = self.transaction.prepare_cached(COLUMNS)?;
        names
            .into_iter()
            .map(|name| {
                let columns = statement
                    .query_map([&name], |row| {
                        Ok(Column { name: row.get("name")?, kind: row.get("type")?, key: row.get("pk")? })
                    })?
                    .collect::<Result<_, _>>()?;
                Ok(Table { name, columns })
            })
            .collect()
    }

    /// Gives every row of a table, in the order of its key.
    ///
    /// # Errors
    /// The database refuses, or whatever `each` fails with.
    pub fn each_row<E: From<BookError>>(
        &self,
        table: &Table,
        mut each: impl FnMut(&[Cell]) -> Result<(), E>,
    ) -> Result<(), E> {
        let mut key: Vec<&Column> = table.columns.iter().filter(|column| column.key > 0).collect();
        key.sort_by_key(|column| column.key);
        let order = key.iter().map(|column| quoted(&column.name)).collect::<Vec<_>>().join(", ");
        let sql =
            format!("SELECT {} FROM main.{} ORDER BY {order}", table.column_list(), quoted(&table.name));
        let mut statement = self.transaction.prepare(&sql).map_err(BookError::from)?;
        let mut rows = statement.query([]).map_err(BookError::from)?;
        let mut cells = Vec::with_capacity(table.columns.len());
        while let Some(row) = rows.next().map_err(BookError::from)? {
            cells.clear();
            for index in 0..table.columns.len() {
                cells.push(row.get(index).map_err(BookError::from)?);
            }
            each(&cells)?;
        }
        Ok(())
    }

    /// Adds a row to a table just as it is.
    ///
    /// # Errors
    /// A value that the table does not take, or the database refuses.
    pub fn put_row(&self, table: &Table, cells: &[Cell]) -> Result<(), BookError> {
        let marks = vec!["?"; table.columns.len()].join(", ");
        let sql =
            format!("INSERT INTO main.{} ({}) VALUES ({marks})", quoted(&table.name), table.column_list());
        let mut statement = self.transaction.prepare_cached(&sql)?;
        statement.execute(rusqlite::params_from_iter(cells)).map_err(|error| {
            match error.sqlite_error_code() {
                Some(rusqlite::ErrorCode::ConstraintViolation | rusqlite::ErrorCode::TypeMismatch) => {
                    BookError::Value(format!("a row of {}: {error}", table.name))
                }
                _ => error.into(),
            }
        })?;
        Ok(())
    }
}
