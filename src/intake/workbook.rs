//! A workbook (Office Open XML), read and never written. What a cell shows is taken where its value alone would say
//! something else: a per cent, a day.

use super::grid::{Line, MOST_COLUMNS, MOST_ROWS};
use calamine::{DataRef, Reader as _, Style, Xlsx};
use std::collections::BTreeMap;
use std::io::Cursor;

/// Longest contents that are unpacked, in bytes: a small file may hold very long ones.
const LONGEST: u64 = 64 << 20;

/// The rows of one sheet.
pub fn lines(bytes: &[u8], wanted: Option<&str>) -> Result<Vec<Line>, String> {
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
    let name = chosen(&book.sheet_names(), wanted)?;
    let mut cells = book
        .worksheet_cells_reader(&name)
        .map_err(|error| no_book(&error))?;
    let styles = cells.styles().to_vec();
    let mut rows: BTreeMap<u32, Vec<String>> = BTreeMap::new();
    loop {
        let next = cells
            .next_cell_with_style_id()
            .map_err(|error| no_book(&error))?;
        let Some((cell, style)) = next else { break };
        let (row, column) = cell.get_position();
        let column = usize::try_from(column).unwrap_or(usize::MAX);
        let text = shown(cell.get_value(), styles.get(style));
        let place = || {
            format!(
                "row {}, column {}",
                row + 1,
                super::grid::column_name(column)
            )
        };
        let text = text.map_err(|fault| format!("{}: {fault}", place()))?;
        if text.is_empty() {
            continue;
        }
        if column >= MOST_COLUMNS {
            return Err(format!("this table has more than {MOST_COLUMNS} columns"));
        }
        let row = rows.entry(row).or_default();
        if row.len() <= column {
            row.resize(column + 1, String::new());
        }
        if let Some(own) = row.get_mut(column) {
            *own = text;
        }
        if rows.len() > MOST_ROWS {
            return Err(format!("this table has more than {MOST_ROWS} rows"));
        }
    }
    let line = |(row, cells): (u32, Vec<String>)| Line {
        number: usize::try_from(row).unwrap_or_default() + 1,
        cells,
    };
    Ok(rows.into_iter().map(line).collect())
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
        DataRef::Float(number) => match is_per_cent(style) {
            true => format!("{}%", hundredfold(*number)),
            false => number.to_string(),
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

fn is_per_cent(style: Option<&Style>) -> bool {
    let format = style.and_then(|style| style.number_format.as_ref());
    format.is_some_and(|format| format.format_code.contains('%'))
}

/// A hundred times a number, by the digits that it is written with.
fn hundredfold(number: f64) -> String {
    let exact = format!("{number}e2").parse().unwrap_or(number * 100.0);
    let exact: f64 = exact;
    exact.to_string()
}
