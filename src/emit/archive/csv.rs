//! CSV after RFC 4180, in UTF-8: a heading, one row a line, lines ended by CR and LF. Text that a spreadsheet would take
//! for a formula is told apart by an apostrophe before it; numbers stay numbers.

use super::Store;
use crate::archive::Entry;
use crate::archive::columns::{Cell, Row};
use crate::archive::long::Quantity;
use crate::archive::wide::CoreRow;
use crate::ground::stage::{Stage, beginning};
use csv::{Terminator, Writer, WriterBuilder};
use std::borrow::Cow;
use std::io;
use std::path::Path;

/// One table.
pub struct Sheet<W: io::Write>(Writer<W>);

impl<W: io::Write> Sheet<W> {
    /// Writes the heading.
    ///
    /// # Errors
    /// When it cannot be written.
    pub fn of<R: Row>(out: W) -> io::Result<Self> {
        let mut builder = WriterBuilder::new();
        let mut out = builder.terminator(Terminator::CRLF).from_writer(out);
        out.write_record(R::TABLE.columns.iter().map(|column| column.name))?;
        Ok(Self(out))
    }

    /// Writes rows.
    ///
    /// # Errors
    /// When they cannot be written.
    pub fn put<R: Row>(&mut self, rows: &[R]) -> io::Result<()> {
        for row in rows {
            let cells = row.cells();
            self.0.write_record(cells.iter().map(shown))?;
        }
        Ok(())
    }

    /// Writes what is left, and gives back what it was written to.
    ///
    /// # Errors
    /// When that cannot be written.
    pub fn end(self) -> io::Result<W> {
        self.0.into_inner().map_err(|error| error.into_error())
    }
}

fn shown(cell: &Cell<'_>) -> String {
    match cell {
        Cell::Text(text) => guarded(text.unwrap_or("")).into_owned(),
        Cell::Number(number) => number.map(decimal).unwrap_or_default(),
        Cell::Whole(whole) => whole.map(|whole| whole.to_string()).unwrap_or_default(),
        Cell::Flag(flag) => flag.map(|flag| flag.to_string()).unwrap_or_default(),
        Cell::Day(day) => day.map(|day| day.to_string()).unwrap_or_default(),
    }
}

/// The shortest decimal that is read back as the same number.
fn decimal(number: f64) -> String {
    match number == 0.0 || (1e-5..1e15).contains(&number.abs()) {
        true => number.to_string(),
        false => format!("{number:e}"),
    }
}

/// What begins a formula in a spreadsheet, or makes the next letter do so (common practice, no source).
const BEGIN: [char; 7] = ['=', '+', '-', '@', '\t', '\r', '\n'];

/// Text that no spreadsheet computes. Who reads it back takes one leading apostrophe away.
#[must_use]
pub fn guarded(text: &str) -> Cow<'_, str> {
    let begins = text.starts_with(BEGIN) || text.starts_with('\'');
    match begins && !is_number(text) {
        true => Cow::Owned(format!("'{text}")),
        false => Cow::Borrowed(text),
    }
}

/// Whether it is a decimal number and nothing else.
fn is_number(text: &str) -> bool {
    let plain =
        |byte: u8| byte.is_ascii_digit() || matches!(byte, b'.' | b'+' | b'-' | b'e' | b'E');
    text.bytes().all(plain) && text.parse::<f64>().is_ok()
}

/// Whether a file begins with the heading of a table that is called so, as it is written here.
pub(super) fn is_ours(path: &Path) -> io::Result<bool> {
    let table = path.file_stem().and_then(|name| name.to_str());
    let heading = match table {
        Some(name) if name == Quantity::TABLE.name => Sheet::of::<Quantity>(Vec::new()),
        Some(name) if name == CoreRow::TABLE.name => Sheet::of::<CoreRow>(Vec::new()),
        _ => return Ok(false),
    };
    let heading = heading?.end()?;
    Ok(beginning(path, heading.len() as u64)? == heading)
}

/// Both tables in a folder.
pub struct Sheets<'a> {
    stage: &'a Stage,
    quantities: Sheet<std::fs::File>,
    cores: Sheet<std::fs::File>,
}

impl<'a> Sheets<'a> {
    /// # Errors
    /// When they cannot be made.
    pub fn within(stage: &'a Stage) -> io::Result<Self> {
        let open = |name: &str| stage.create(Path::new(name));
        Ok(Self {
            quantities: Sheet::of::<Quantity>(open("quantities.csv")?)?,
            cores: Sheet::of::<CoreRow>(open("cores.csv")?)?,
            stage,
        })
    }
}

impl Store for Sheets<'_> {
    fn put(&mut self, entry: &Entry) -> io::Result<()> {
        self.quantities.put(&entry.quantities)?;
        self.cores.put(&entry.cores)
    }

    fn end(self: Box<Self>) -> io::Result<()> {
        for sheet in [self.quantities, self.cores] {
            self.stage.close(&sheet.end()?)?;
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::guarded;

    #[test]
    fn what_a_spreadsheet_would_compute_is_guarded_and_numbers_are_not() {
        for formula in [
            "=1+1", "+A1", "-A1", "@SUM(A1)", "\t=1", "\r=1", "\n=1", "'x", "-1-1", "+", "-", "=",
            "-inf",
        ] {
            assert_eq!(guarded(formula), format!("'{formula}"));
        }
        for plain in ["-0.12", "+5", "-1e-3", "1S1-1S2", "", " =1", ">200"] {
            assert_eq!(guarded(plain), plain);
        }
    }
}
