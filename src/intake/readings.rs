//! The readings of one test, as an instrument or a spreadsheet wrote them: a section of a record.

use super::Faults;
use super::address::{Address, Fault, Target};
use super::grid::{Grid, Line as Row, column_name};
use super::lines::{Columns, Draft, Lines};
use crate::ground::number;
use crate::record::schema::Section;

/// What the table is said to be.
#[derive(Clone, Debug)]
pub struct Asked<'a> {
    pub section: &'static Section,
    /// The pair that all rows are of.
    pub on: Option<&'a str>,
    /// The columns in their order, in place of a heading; `-` leaves one out.
    pub columns: Option<&'a [String]>,
    /// Lines of the section, as `voltmeter: mean`.
    pub keys: &'a [String],
}

/// A section made of a table, and what of the table is left out.
///
/// # Errors
/// Everything that is wrong with the table.
pub fn readings(grid: &Grid, asked: &Asked<'_>) -> Result<(Lines, Vec<String>), Faults> {
    let mut left = Vec::new();
    let of_section = |heading: &str| Address::of(heading, Some(asked.section));
    let (columns, rows) = match asked.columns {
        Some(given) => by_place(grid, given, of_section, &mut left)?,
        None => by_heading(grid, of_section, &mut left)?,
    };
    let (rows, none): (Vec<&Row>, Vec<&Row>) = rows.into_iter().partition(|row| {
        columns
            .named()
            .any(|(index, _)| !row.cell(index).is_empty())
    });
    left.extend(none.into_iter().map(not_read));
    if rows.is_empty() {
        return Err(vec![
            "the table has no readings below its heading".to_owned(),
        ]);
    }
    let faults = doubts(&columns, &rows);
    if !faults.is_empty() {
        return Err(faults);
    }
    let mut draft = Draft::default();
    let column = asked.section.columns.iter();
    let takes_pairs = column.clone().any(|column| column.word == "on");
    let names_pairs =
        columns.find(|target| matches!(target, Target::Cell(_, column) if column.word == "on"));
    let argument = match (asked.on, takes_pairs && names_pairs.is_some()) {
        (Some(_), true) => {
            return Err(vec![
                "the table names a pair in each row; leave --on out".to_owned(),
            ]);
        }
        (pair, _) => pair.unwrap_or_default(),
    };
    draft.open(asked.section.name, argument);
    for key in asked.keys {
        draft.field(key, None);
    }
    draft.fields(asked.section, &columns, &rows);
    draft.table(asked.section, None, &columns, &rows);
    Ok((draft.done()?, left))
}

/// What makes a row no reading: a gap before it, as before a summary, or words where a number belongs.
fn doubts(columns: &Columns, rows: &[&Row]) -> Faults {
    let mut faults = Vec::new();
    for (before, row) in rows.iter().zip(rows.iter().skip(1)) {
        if row.number > before.number + 1 + before.further {
            faults.push(format!(
                "row {}: rows are left empty before it, so that it may be no reading; take these rows out, or those behind them",
                row.number
            ));
        }
    }
    for row in rows {
        for (index, address) in columns.named() {
            let is_number = match address.target {
                Target::Cell(_, column) => column.kind.is_figure(),
                _ => false,
            };
            let text = match columns.text(row, index) {
                Ok(text) if is_number && !matches!(text.as_str(), "" | "-") => text,
                _ => continue,
            };
            if number::read(&text).is_err() {
                let column = column_name(index);
                faults.push(format!(
                    "row {}, column {column}: `{text}` is no number",
                    row.number
                ));
            }
        }
    }
    faults
}

type Found<'g> = Result<(Columns, Vec<&'g Row>), Faults>;

/// By the columns that were named: what stands above the first row of numbers is no reading.
fn by_place<'g>(
    grid: &'g Grid,
    given: &[String],
    address: impl Fn(&str) -> Result<Address, Fault>,
    left: &mut Vec<String>,
) -> Found<'g> {
    let of = |(at, word): (usize, &String)| match word.trim() {
        "-" => Ok(None),
        word => address(word)
            .map(Some)
            .map_err(|fault| format!("--columns, number {}: {}", at + 1, fault.told())),
    };
    let all: Result<Vec<Option<Address>>, String> = given.iter().enumerate().map(of).collect();
    let columns = Columns::given(all.map_err(|told| vec![told])?, grid.decimal_comma)?;
    let numbers: Vec<usize> = columns
        .named()
        .filter(|(_, address)| address.holds_numbers())
        .map(|(index, _)| index)
        .collect();
    let looks = |row: &&Row| {
        numbers
            .iter()
            .any(|index| begins_a_number(row.cell(*index)))
    };
    let first = grid
        .lines
        .iter()
        .position(|row| numbers.is_empty() || looks(&row));
    let (above, rows) = grid.lines.split_at(first.unwrap_or(grid.lines.len()));
    for row in above {
        let against = columns.named().find_map(|(index, own)| {
            let headed = address(row.cell(index)).ok()?;
            (headed.word() != own.word()).then(|| (index, headed.word(), own.word()))
        });
        if let Some((index, headed, own)) = against {
            let (row, column) = (row.number, column_name(index));
            return Err(vec![format!(
                "row {row}, column {column}: it is headed `{headed}`, and --columns says `{own}`"
            )]);
        }
    }
    left.extend(above.iter().map(not_read));
    let wider = rows.iter().find(|row| row.cells.len() > given.len());
    if let Some(row) = wider {
        return Err(vec![format!(
            "row {} has {} cells, and --columns names {}; `-` leaves a column out",
            row.number,
            row.cells.len(),
            given.len()
        )]);
    }
    Ok((columns, rows.iter().collect()))
}

/// By the first row in which a column of the section is named.
fn by_heading<'g>(
    grid: &'g Grid,
    address: impl Fn(&str) -> Result<Address, Fault>,
    left: &mut Vec<String>,
) -> Found<'g> {
    let is_column = |cell: &String| matches!(address(cell), Ok(address) if matches!(address.target, Target::Cell(..)));
    let is_head = |row: &&Row| row.cells.iter().any(is_column);
    let Some(head) = grid.lines.iter().find(is_head) else {
        let lacks_unit = |cell: &String| matches!(address(cell), Err(Fault::Unit(_)));
        let near = grid
            .lines
            .iter()
            .find(|row| row.cells.iter().any(lacks_unit));
        let tried = near.or(grid.lines.first()).into_iter().flat_map(|row| {
            let cells = row.cells.iter().enumerate();
            let cells = cells.filter(|(_, cell)| !cell.is_empty());
            cells.filter_map(|(index, cell)| {
                let told = address(cell).err()?.told();
                let (row, column) = (row.number, column_name(index));
                Some(format!("row {row}, column {column}: {told}"))
            })
        });
        let mut faults: Faults = tried.take(8).collect();
        faults.push(
            "no row is a heading with units, such as voltage/V; write one, or name the columns with --columns"
                .to_owned(),
        );
        return Err(faults);
    };
    left.extend(
        grid.lines
            .iter()
            .take_while(|row| row.number < head.number)
            .map(not_read),
    );
    let columns = Columns::of(head, grid, address, Some(left))?;
    let rows = grid.lines.iter().filter(|row| row.number > head.number);
    Ok((columns, rows.collect()))
}

fn not_read(row: &Row) -> String {
    let cells: Vec<&str> = row
        .cells
        .iter()
        .map(String::as_str)
        .filter(|cell| !cell.is_empty())
        .collect();
    format!("row {} is left out: {}", row.number, cells.join(", "))
}

fn begins_a_number(cell: &str) -> bool {
    let bare = cell.trim_start_matches(['<', '>', '+', '-', ' ']);
    bare.starts_with(|c: char| c.is_ascii_digit() || c == '.')
}
