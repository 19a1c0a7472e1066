//! A table of cells, whatever it came in: text parted by commas, semicolons or tabs, or a workbook.

use super::workbook;

/// Most rows and columns of a table, more than a crew types.
pub(super) const MOST_ROWS: usize = 100_000;
pub(super) const MOST_COLUMNS: usize = 1_000;
/// Most cells, empty ones among them, and most bytes of a file.
pub(super) const MOST_CELLS: usize = 2_000_000;
const LONGEST: usize = 16 << 20;

/// How a table is read.
#[derive(Clone, Copy, Debug, Default)]
pub struct How<'a> {
    /// Which sheet of a workbook; needed where it has several.
    pub worksheet: Option<&'a str>,
    /// Whether numbers are written 1,5.
    pub decimal_comma: bool,
}

/// A row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Line {
    /// As the file counts it, from 1, and how many more lines of it the row takes.
    pub number: usize,
    pub further: usize,
    /// Without blanks around them.
    pub cells: Vec<String>,
}

/// Rows that hold something, in their order.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Grid {
    pub lines: Vec<Line>,
    /// Whether numbers are written 1,5.
    pub decimal_comma: bool,
}

impl Line {
    /// The cell of a column; empty where the row has none.
    pub fn cell(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", String::as_str)
    }
}

impl Grid {
    /// Reads a file.
    ///
    /// # Errors
    /// What it is, where it is no table of text.
    pub fn read(bytes: &[u8], how: How<'_>) -> Result<Self, String> {
        if bytes.len() > LONGEST {
            return Err(format!(
                "this file has more than {LONGEST} bytes, and no table needs so many"
            ));
        }
        let lines = if bytes.starts_with(b"PK\x03\x04") {
            workbook::lines(bytes, how)?
        } else if bytes.starts_with(b"\xd0\xcf\x11\xe0") {
            return Err("this is a workbook of the old form; save it as XLSX or CSV".to_owned());
        } else if how.worksheet.is_some() {
            return Err("this is no workbook and has no sheets".to_owned());
        } else {
            parted(bytes)?
        };
        let mut lines = lines;
        lines.retain(|line| line.cells.iter().any(|cell| !cell.is_empty()));
        match lines.is_empty() {
            true => Err("this table is empty".to_owned()),
            false => Ok(Self {
                lines,
                decimal_comma: how.decimal_comma,
            }),
        }
    }
}

/// What of a table's room is taken.
#[derive(Default)]
pub(super) struct Room {
    rows: usize,
    cells: usize,
}

impl Room {
    /// A further row with so many cells.
    pub(super) fn row(&mut self, cells: usize) -> Result<(), String> {
        self.rows += 1;
        self.cells(cells)?;
        match (self.rows > MOST_ROWS, cells > MOST_COLUMNS) {
            (true, _) => Err(format!("this table has more than {MOST_ROWS} rows")),
            (_, true) => Err(format!("this table has more than {MOST_COLUMNS} columns")),
            _ => Ok(()),
        }
    }

    /// Further cells.
    pub(super) fn cells(&mut self, cells: usize) -> Result<(), String> {
        self.cells += cells;
        match self.cells > MOST_CELLS {
            true => Err(format!("this table has more than {MOST_CELLS} cells")),
            false => Ok(()),
        }
    }
}

/// The name of a column as a sheet has it: A, B, …, Z, AA.
pub fn column_name(index: usize) -> String {
    let mut name = Vec::new();
    let mut rest = index;
    loop {
        name.push(char::from(
            b'A' + u8::try_from(rest % 26).unwrap_or_default(),
        ));
        match rest / 26 {
            0 => break,
            next => rest = next - 1,
        }
    }
    name.iter().rev().collect()
}

fn parted(bytes: &[u8]) -> Result<Vec<Line>, String> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    if bytes.contains(&0) {
        return Err("this is no text; save the table as CSV in UTF-8, or as XLSX".to_owned());
    }
    let text = std::str::from_utf8(bytes);
    let text = text.map_err(|_| "this text is not UTF-8; save the table as CSV in UTF-8")?;
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(mark(text))
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes());
    // Empty lines before a row count to it, and it is called by the line that it stands on.
    let (mut at, mut number) = (0, 1);
    let mut number_of = |row: &csv::StringRecord| {
        let begins = row.position().map_or(0, csv::Position::byte);
        let begins = usize::try_from(begins).unwrap_or_default();
        let rest = text.get(begins..).unwrap_or_default();
        let begins = begins + rest.len() - rest.trim_start_matches(['\n', '\r']).len();
        let passed = text.get(at..begins).unwrap_or_default();
        number += passed.matches('\n').count();
        at = begins;
        number
    };
    let mut room = Room::default();
    let line = |read: Result<csv::StringRecord, csv::Error>| {
        let read = read.map_err(|error| format!("this is no table: {error}"))?;
        room.row(read.len())?;
        Ok(Line {
            number: number_of(&read),
            further: read.iter().map(|cell| cell.matches('\n').count()).sum(),
            cells: read.iter().map(unguarded).collect(),
        })
    };
    reader.records().map(line).collect()
}

/// A text that a sheet would take for a formula has an apostrophe before it when this program writes it, and so has one
/// that begins with an apostrophe.
pub(super) fn unguarded(cell: &str) -> String {
    let own = cell.strip_prefix('\'');
    let own = own.filter(|own| own.starts_with(['=', '+', '-', '@', '\t', '\'']));
    own.unwrap_or(cell).to_owned()
}

/// What parts the cells: the first of tab and semicolon that most lines have, else the comma.
fn mark(text: &str) -> u8 {
    let lines = text.lines().filter(|line| !line.trim().is_empty());
    let lines: Vec<&str> = lines.take(1000).collect();
    let most = |mark: char| {
        let having = lines.iter().filter(|line| line.contains(mark));
        2 * having.count() > lines.len()
    };
    match (most('\t'), most(';')) {
        (true, _) => b'\t',
        (false, true) => b';',
        (false, false) => b',',
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn cells(text: &str) -> Vec<Vec<String>> {
        let grid = Grid::read(text.as_bytes(), How::default()).expect("a table");
        grid.lines.into_iter().map(|line| line.cells).collect()
    }

    #[test]
    fn cells_are_parted_by_what_most_lines_have() {
        for text in [
            "a,b\n1,2\n",
            "a;b\n1;2\n",
            "a\tb\n1\t2\n",
            "\u{feff}a,b\r\n1,2",
            "\n a , b \n\n1,2\n",
        ] {
            assert_eq!(cells(text), [["a", "b"], ["1", "2"]], "{text:?}");
        }
        assert_eq!(
            cells("U/V;I/A\n1,5;2,5\n"),
            [["U/V", "I/A"], ["1,5", "2,5"]]
        );
        assert_eq!(cells("made; by hand\na,b\n1,2\n")[2], ["1", "2"]);
        assert_eq!(cells("\"a,\nb\",'-1S\n"), [["a,\nb", "-1S"]]);
    }

    #[test]
    fn rows_are_counted_as_the_file_counts_them() {
        let grid = Grid::read(b"\na,b\n,\n\n1,2\n", How::default()).expect("a table");
        let numbers: Vec<usize> = grid.lines.iter().map(|line| line.number).collect();
        assert_eq!(numbers, [2, 5]);
    }

    #[test]
    fn what_is_no_table_is_told() {
        for (bytes, told) in [
            (b"".as_slice(), "empty"),
            (b"\n ,\n", "empty"),
            (b"a\0b", "no text"),
            (b"\xff\xfea\0", "no text"),
            (b"a,\xe4\n", "not UTF-8"),
            (b"\xd0\xcf\x11\xe0\xa1", "old form"),
            (b"PK\x03\x04 and more", "workbook"),
        ] {
            let fault = Grid::read(bytes, How::default()).expect_err("no table");
            assert!(fault.contains(told), "{fault}");
        }
        let large = vec![b' '; LONGEST + 1];
        assert!(Grid::read(&large, How::default()).is_err_and(|told| told.contains("bytes")));
        let cells = ",".repeat(MOST_COLUMNS - 1) + "x\n";
        let cells = cells.repeat(MOST_CELLS / MOST_COLUMNS + 1);
        assert!(
            Grid::read(cells.as_bytes(), How::default()).is_err_and(|told| told.contains("cells"))
        );
        let wide = ",".repeat(MOST_COLUMNS) + "x\n";
        assert!(Grid::read(wide.as_bytes(), How::default()).is_err());
        let long = "x\n".repeat(MOST_ROWS + 1);
        assert!(Grid::read(long.as_bytes(), How::default()).is_err());
    }

    #[test]
    fn columns_are_named_as_a_sheet_names_them() {
        let names = [0, 25, 26, 51, 52, 701, 702].map(column_name);
        assert_eq!(names, ["A", "Z", "AA", "AZ", "BA", "ZZ", "AAA"]);
    }
}
