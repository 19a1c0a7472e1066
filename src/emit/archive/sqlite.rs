//! One SQLite file with both tables, for who has only that.

use super::Store;
use crate::archive::Entry;
use crate::archive::columns::{Cell, Kind, Row, Table, tables};
use crate::ground::stage::{Stage, beginning};
use rusqlite::types::{ToSqlOutput, Value, ValueRef};
use rusqlite::{Connection, ToSql, params_from_iter};
use std::io;
use std::path::Path;

/// The file's name.
const NAME: &str = "archive.sqlite";

/// What tells our files from those of other programs: the "Application ID" of the SQLite file format, 1.2.
const MARK: i32 = i32::from_be_bytes(*b"kmrk");

/// Whether a file is one that was written here. Its header has 16 bytes that all such files have, and at 68 the
/// application's own four ("Database File Format", 1.2 and 1.3).
pub(super) fn is_ours(path: &Path) -> io::Result<bool> {
    let header = beginning(path, 72)?;
    Ok(header.starts_with(b"SQLite format 3\0") && header.get(68..) == Some(&MARK.to_be_bytes()))
}

/// An open file.
pub struct Base(Connection);

impl Base {
    /// # Errors
    /// When it cannot be made.
    pub fn within(stage: &Stage) -> io::Result<Self> {
        let base = Connection::open(stage.path().join(NAME)).map_err(io::Error::other)?;
        let begin = || {
            // It stands whole or not at all, the stage sees to that; its end is one transaction, and on the disk then.
            base.execute_batch("PRAGMA journal_mode = OFF;")?;
            base.pragma_update(None, "application_id", MARK)?;
            for table in tables() {
                base.execute_batch(&made(table))?;
            }
            base.execute_batch("BEGIN")
        };
        begin().map_err(io::Error::other)?;
        Ok(Self(base))
    }

    fn insert<R: Row>(&self, rows: &[R]) -> rusqlite::Result<()> {
        let table = R::TABLE;
        let places = vec!["?"; table.columns.len()].join(", ");
        let text = format!("INSERT INTO {} VALUES ({places})", table.name);
        let mut insert = self.0.prepare_cached(&text)?;
        for row in rows {
            insert.execute(params_from_iter(row.cells().into_iter().map(Bound)))?;
        }
        Ok(())
    }
}

/// The text that makes a table. Names of columns are our own words.
fn made(table: &Table) -> String {
    let columns = table.columns.iter().map(|column| {
        let kind = match column.kind {
            Kind::Text | Kind::Day => "TEXT",
            Kind::Number => "REAL",
            Kind::Whole | Kind::Flag => "INTEGER",
        };
        format!("\"{}\" {kind}", column.name)
    });
    let columns: Vec<String> = columns.collect();
    format!("CREATE TABLE {} ({});", table.name, columns.join(", "))
}

/// A cell as SQLite takes it: days as text, yes and no as 1 and 0.
struct Bound<'a>(Cell<'a>);

impl ToSql for Bound<'_> {
    fn to_sql(&self) -> rusqlite::Result<ToSqlOutput<'_>> {
        let owned = |value: Option<Value>| ToSqlOutput::Owned(value.unwrap_or(Value::Null));
        Ok(match self.0 {
            Cell::Text(Some(text)) => ToSqlOutput::Borrowed(ValueRef::Text(text.as_bytes())),
            Cell::Text(None) => owned(None),
            Cell::Number(number) => owned(number.map(Value::Real)),
            Cell::Whole(whole) => owned(whole.map(Value::Integer)),
            Cell::Flag(flag) => owned(flag.map(|flag| Value::Integer(flag.into()))),
            Cell::Day(day) => owned(day.map(|day| Value::Text(day.to_string()))),
        })
    }
}

impl Store for Base {
    fn put(&mut self, entry: &Entry) -> io::Result<()> {
        let put = || {
            self.insert(&entry.quantities)?;
            self.insert(&entry.cores)
        };
        put().map_err(io::Error::other)
    }

    fn end(self: Box<Self>) -> io::Result<()> {
        self.0.execute_batch("COMMIT").map_err(io::Error::other)?;
        let closed = self.0.close();
        closed.map_err(|(_, error)| io::Error::other(error))
    }
}
