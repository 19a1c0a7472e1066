//! A workbook (Office Open XML), read and never written. What a cell shows is taken where its value alone would say
//! something else: a per cent, a day.

use super::grid::{How, Line, MOST_CELLS, MOST_COLUMNS, Room, column_name, unguarded};
use calamine::{DataRef, Reader as _, Style, Xlsx, XlsxError};
use std::collections::{BTreeMap, BTreeSet};
use std::io::Cursor;

/// Longest contents that are unpacked, in bytes: a small file may hold very long ones.
const LONGEST: u64 = 64 << 20;

/// The rows of one sheet.
pub fn lines(bytes: &[u8], how: How<'_>) -> Result<Vec<Line>, String> {
    let no_book = |error: &dyn std::fmt::Display| format!("this workbook cannot be read: {error}");
    let archive = zip::ZipArchive::new(Cursor::new(bytes)).map_err(|error| no_book(&error))?;
    // As far as the workbook says so itself; a false word of it is an error of unpacking.
    match archive.decompressed_size() {
        Some(size) if size <= u128::from(LONGEST) => {}
        _ => {
            return Err(format!(
                "this workbook unpacks to more than {LONGEST} bytes, or does not say to how many"
            ));
        }
    }
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(|error| no_book(&error))?;
    let name = chosen(&book.sheet_names(), how.worksheet)?;
    let computed = computed(&mut book, &name).map_err(|error| no_book(&error))?;
    let mut cells = book
        .worksheet_cells_reader(&name)
        .map_err(|error| no_book(&error))?;
    let styles = cells.styles().to_vec();
    let mut rows: BTreeMap<u32, Vec<String>> = BTreeMap::new();
    let mut room = Room::default();
    loop {
        let next = cells
            .next_cell_with_style_id()
            .map_err(|error| no_book(&error))?;
        let Some((cell, style)) = next else { break };
        let (row, at) = cell.get_position();
        let column = usize::try_from(at).unwrap_or(usize::MAX);
        let text = match shown(cell.get_value(), styles.get(style)) {
            Ok(text) if text.is_empty() && computed.contains(&(row, at)) => Err(
                "this formula has no value yet; open the workbook where it is computed, and save it",
            ),
            // A number has no mark of its own: it takes the one that the texts beside it have.
            Ok(text) if how.decimal_comma && is_number(cell.get_value()) => {
                Ok(text.replace('.', ","))
            }
            text => text,
        };
        let place = || format!("row {}, column {}", row + 1, column_name(column));
        let text = text.map_err(|fault| format!("{}: {fault}", place()))?;
        if text.is_empty() {
            continue;
        }
        if column >= MOST_COLUMNS {
            return Err(format!("this table has more than {MOST_COLUMNS} columns"));
        }
        if !rows.contains_key(&row) {
            room.row(0)?;
        }
        let row = rows.entry(row).or_default();
        if row.len() <= column {
            room.cells(column + 1 - row.len())?;
            row.resize(column + 1, String::new());
        }
        if let Some(own) = row.get_mut(column) {
            *own = unguarded(&text).to_owned();
        }
    }
    let line = |(row, cells): (u32, Vec<String>)| Line {
        number: usize::try_from(row).unwrap_or_default() + 1,
        further: 0,
        cells,
    };
    Ok(rows.into_iter().map(line).collect())
}

fn is_number(value: &DataRef<'_>) -> bool {
    matches!(value, DataRef::Int(_) | DataRef::Float(_))
}

/// Where formulas stand.
fn computed(book: &mut Xlsx<Cursor<&[u8]>>, name: &str) -> Result<BTreeSet<(u32, u32)>, XlsxError> {
    let mut cells = book.worksheet_cells_reader(name)?;
    let mut computed = BTreeSet::new();
    while let Some(cell) = cells.next_formula()? {
        if !cell.get_value().is_empty() && computed.len() < MOST_CELLS {
            computed.insert(cell.get_position());
        }
    }
    Ok(computed)
}

fn chosen(names: &[String], wanted: Option<&str>) -> Result<String, String> {
    let all = || format!("`{}`", names.join("`, `"));
    match (wanted, names) {
        (Some(wanted), names) => match names.iter().find(|name| *name == wanted) {
            Some(name) => Ok(name.clone()),
            None => Err(format!(
                "this workbook has no sheet `{wanted}`; it has {}",
                all()
            )),
        },
        (None, [name]) => Ok(name.clone()),
        (None, []) => Err("this workbook has no sheet".to_owned()),
        (None, _) => Err(format!(
            "this workbook has several sheets; name one with --worksheet: {}",
            all()
        )),
    }
}

/// What a cell shows.
fn shown(value: &DataRef<'_>, style: Option<&Style>) -> Result<String, &'static str> {
    Ok(match value {
        DataRef::Empty => String::new(),
        DataRef::String(text) => text.trim().to_owned(),
        DataRef::SharedString(text) => text.trim().to_owned(),
        DataRef::Int(number) => number.to_string(),
        DataRef::Float(number) => match Shows::of(style) {
            Shows::Number => number.to_string(),
            Shows::PerCent => format!("{}%", hundredfold(*number)),
            Shows::More => {
                return Err("its format shows more than its number; write the number plainly");
            }
        },
        DataRef::Bool(is) => is.to_string(),
        DataRef::DateTime(time) if !time.is_duration() => {
            let (year, month, day, hour, minute, second, _) = time.to_ymd_hms_milli();
            match (hour, minute, second) {
                (0, 0, 0) => format!("{year:04}-{month:02}-{day:02}"),
                _ => return Err("this is a time of day; write it as text"),
            }
        }
        DataRef::DateTimeIso(text) => text.trim_end_matches("T00:00:00").to_owned(),
        DataRef::DateTime(_) | DataRef::DurationIso(_) => {
            return Err(
                "this is a time or a span of time; write a number with its unit in the heading",
            );
        }
        DataRef::Error(_) => return Err("this cell holds an error in place of a value"),
    })
}

/// What the format of a cell makes of its number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shows {
    Number,
    PerCent,
    /// Words beside it, or thousands of it.
    More,
}

impl Shows {
    fn of(style: Option<&Style>) -> Self {
        let format = style.and_then(|style| style.number_format.as_ref());
        let code = format.map_or("General", |format| format.format_code.as_str());
        // The first part is that of positive numbers.
        let code = code.split(';').next().unwrap_or_default();
        let (mut is_quoted, mut is_in_brackets) = (false, false);
        let (mut per_cent, mut words, mut last) = (false, false, ' ');
        let mut letters = code.chars();
        while let Some(letter) = letters.next() {
            match letter {
                '"' => is_quoted = !is_quoted,
                _ if is_quoted => words |= letter != ' ',
                '[' => is_in_brackets = true,
                ']' => is_in_brackets = false,
                _ if is_in_brackets => {}
                // The next letter stands for itself, as a blank of its width, or fills the cell.
                '\\' => {
                    words |= letters
                        .next()
                        .is_some_and(|shown| !matches!(shown, ' ' | '-' | '(' | ')'))
                }
                '_' | '*' => drop(letters.next()),
                '%' => per_cent = true,
                // Behind the last digit it takes the number by thousands.
                ',' => last = ',',
                '0' | '#' | '?' | '.' => last = letter,
                _ => {}
            }
        }
        match (words || last == ',', per_cent) {
            (true, _) => Self::More,
            (false, true) => Self::PerCent,
            (false, false) => Self::Number,
        }
    }
}

/// A hundred times a number, by the digits that it is written with.
fn hundredfold(number: f64) -> String {
    let exact = format!("{number}e2").parse().unwrap_or(number * 100.0);
    let exact: f64 = exact;
    exact.to_string()
}
