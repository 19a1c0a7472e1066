//! Apache Parquet: for each table a folder, for each site a folder in it, a row group at a time.

use super::{Folders, Store};
use crate::archive::Entry;
use crate::archive::columns::{Cell, Kind, Row, Table};
use crate::ground::date::{Date, days};
use crate::ground::stage::Stage;
use parquet::basic::{Compression, LogicalType, Repetition, Type as Physical};
use parquet::data_type::{BoolType, ByteArray, ByteArrayType, DoubleType, Int32Type, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::reader::{FileReader as _, SerializedFileReader};
use parquet::file::writer::{SerializedColumnWriter, SerializedFileWriter};
use parquet::schema::types::Type;
use std::collections::BTreeMap;
use std::fs::File;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// What our files say that they were written by, before a version.
const WRITER: &str = concat!(env!("CARGO_PKG_NAME"), " ");

/// Whether a file is one that was written here: whole, and with our name as its writer's.
pub(super) fn is_ours(path: &Path) -> bool {
    let reader = SerializedFileReader::try_from(path).ok();
    reader.is_some_and(|reader| {
        let writer = reader.metadata().file_metadata().created_by();
        writer.is_some_and(|writer| writer.starts_with(WRITER))
    })
}

/// Rows that are held until they are written together.
const GROUP: usize = 32_768;

/// Both tables, parted by site.
pub struct Parted<'a> {
    stage: &'a Stage,
    folders: &'a Folders,
    /// How many files there are of each folder: a site whose records do not follow each other has several.
    parts: BTreeMap<String, usize>,
    open: Option<(Option<String>, [Part; 2])>,
}

impl<'a> Parted<'a> {
    #[must_use]
    pub fn within(stage: &'a Stage, folders: &'a Folders) -> Self {
        Self {
            stage,
            folders,
            parts: BTreeMap::new(),
            open: None,
        }
    }

    fn close(&mut self) -> io::Result<()> {
        if let Some((_, parts)) = self.open.take() {
            for part in parts {
                self.stage.close(&part.end()?)?;
            }
        }
        Ok(())
    }

    /// Opens the files of a site.
    fn turn_to(&mut self, site: Option<&str>) -> io::Result<()> {
        self.close()?;
        let name = self.folders.name(site).map_err(io::Error::other)?;
        let number = self.parts.entry(name.clone()).or_insert(0);
        *number += 1;
        let open = |table: &'static Table| -> io::Result<Part> {
            let folder = PathBuf::from(table.name).join(&name);
            self.stage.folder(&folder)?;
            let path = folder.join(format!("part-{number}.parquet"));
            Part::of(table, self.stage.create(Path::new(&path))?)
        };
        let [long, wide] = crate::archive::columns::tables();
        let parts = [open(long)?, open(wide)?];
        self.open = Some((site.map(str::to_owned), parts));
        Ok(())
    }
}

impl Store for Parted<'_> {
    fn put(&mut self, entry: &Entry) -> io::Result<()> {
        let site = entry.site.as_deref();
        let is_open = |(open, _): &(Option<String>, _)| open.as_deref() == site;
        if !self.open.as_ref().is_some_and(is_open) {
            self.turn_to(site)?;
        }
        if let Some((_, [long, wide])) = &mut self.open {
            long.put(&entry.quantities)?;
            wide.put(&entry.cores)?;
        }
        Ok(())
    }

    fn end(mut self: Box<Self>) -> io::Result<()> {
        if self.parts.is_empty() {
            // A job of no record has tables of no row.
            self.turn_to(None)?;
        }
        self.close()
    }
}

/// One file of one table.
struct Part {
    out: SerializedFileWriter<File>,
    columns: Vec<Held>,
    rows: usize,
}

/// What is held of a column: values, and for each row whether it has one.
struct Held {
    values: Values,
    levels: Vec<i16>,
}

enum Values {
    Text(Vec<ByteArray>),
    Number(Vec<f64>),
    Whole(Vec<i64>),
    Flag(Vec<bool>),
    Day(Vec<i32>),
}

impl Part {
    fn of(table: &'static Table, file: File) -> io::Result<Self> {
        let columns = table.columns.iter();
        let fields = columns.map(|column| {
            let (physical, logical) = types(column.kind);
            let field = Type::primitive_type_builder(column.name, physical)
                .with_repetition(Repetition::OPTIONAL)
                .with_logical_type(logical);
            field.build().map(Arc::new)
        });
        let fields = fields.collect::<Result<Vec<_>, _>>().map_err(other)?;
        let schema = Type::group_type_builder(table.name).with_fields(fields);
        let schema = Arc::new(schema.build().map_err(other)?);
        let properties = WriterProperties::builder()
            .set_compression(Compression::SNAPPY)
            .set_created_by(WRITER.to_owned() + env!("CARGO_PKG_VERSION"));
        let properties = Arc::new(properties.build());
        Ok(Self {
            out: SerializedFileWriter::new(file, schema, properties).map_err(other)?,
            columns: table
                .columns
                .iter()
                .map(|column| Held::of(column.kind))
                .collect(),
            rows: 0,
        })
    }

    fn put<R: Row>(&mut self, rows: &[R]) -> io::Result<()> {
        for row in rows {
            for (held, cell) in self.columns.iter_mut().zip(row.cells()) {
                held.add(cell);
            }
            self.rows += 1;
            if self.rows == GROUP {
                self.flush()?;
            }
        }
        Ok(())
    }

    fn flush(&mut self) -> io::Result<()> {
        let mut group = self.out.next_row_group().map_err(other)?;
        for held in &mut self.columns {
            if let Some(column) = group.next_column().map_err(other)? {
                held.write(column).map_err(other)?;
            }
        }
        group.close().map_err(other)?;
        self.rows = 0;
        Ok(())
    }

    fn end(mut self) -> io::Result<File> {
        if self.rows > 0 {
            self.flush()?;
        }
        self.out.into_inner().map_err(other)
    }
}

impl Held {
    fn of(kind: Kind) -> Self {
        Self {
            values: match kind {
                Kind::Text => Values::Text(Vec::new()),
                Kind::Number => Values::Number(Vec::new()),
                Kind::Whole => Values::Whole(Vec::new()),
                Kind::Flag => Values::Flag(Vec::new()),
                Kind::Day => Values::Day(Vec::new()),
            },
            levels: Vec::new(),
        }
    }

    fn add(&mut self, cell: Cell<'_>) {
        let is_some = match (&mut self.values, cell) {
            (Values::Text(all), Cell::Text(text)) => add(all, text.map(ByteArray::from)),
            (Values::Number(all), Cell::Number(number)) => add(all, number),
            (Values::Whole(all), Cell::Whole(whole)) => add(all, whole),
            (Values::Flag(all), Cell::Flag(flag)) => add(all, flag),
            (Values::Day(all), Cell::Day(day)) => add(all, day.map(since_1970)),
            // Rows and columns are of one declaration.
            _ => false,
        };
        self.levels.push(i16::from(is_some));
    }

    fn write(&mut self, mut column: SerializedColumnWriter<'_>) -> Result<(), ParquetError> {
        let levels = Some(self.levels.as_slice());
        match &mut self.values {
            Values::Text(all) => {
                column
                    .typed::<ByteArrayType>()
                    .write_batch(all, levels, None)?;
                all.clear();
            }
            Values::Number(all) => {
                column
                    .typed::<DoubleType>()
                    .write_batch(all, levels, None)?;
                all.clear();
            }
            Values::Whole(all) => {
                column.typed::<Int64Type>().write_batch(all, levels, None)?;
                all.clear();
            }
            Values::Flag(all) => {
                column.typed::<BoolType>().write_batch(all, levels, None)?;
                all.clear();
            }
            Values::Day(all) => {
                column.typed::<Int32Type>().write_batch(all, levels, None)?;
                all.clear();
            }
        }
        self.levels.clear();
        column.close()
    }
}

fn add<T>(all: &mut Vec<T>, value: Option<T>) -> bool {
    let is_some = value.is_some();
    all.extend(value);
    is_some
}

fn types(kind: Kind) -> (Physical, Option<LogicalType>) {
    match kind {
        Kind::Text => (Physical::BYTE_ARRAY, Some(LogicalType::String)),
        Kind::Number => (Physical::DOUBLE, None),
        Kind::Whole => (Physical::INT64, None),
        Kind::Flag => (Physical::BOOLEAN, None),
        Kind::Day => (Physical::INT32, Some(LogicalType::Date)),
    }
}

/// Days since the beginning of 1970, as Parquet counts them.
fn since_1970(day: Date) -> i32 {
    days(Date::constant(1970, 1, 1), day)
}

fn other(error: ParquetError) -> io::Error {
    match error {
        ParquetError::External(inner) => match inner.downcast::<io::Error>() {
            Ok(error) => *error,
            Err(inner) => io::Error::other(inner),
        },
        error => io::Error::other(error),
    }
}
