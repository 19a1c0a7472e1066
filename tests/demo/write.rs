//! Numbers and tables as a careful hand would write them.

/// A number to `digits` significant digits, as a display shows it.
pub fn sig(value: f64, digits: i32) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    let decimals = |x: f64| (digits - 1 - libm::floor(libm::log10(x.abs())) as i32).max(0) as usize;
    let first = format!("{value:.*}", decimals(value));
    // Rounding may have carried into a new leading digit: 9.9996 is 10.00, not 10.000.
    match first.parse::<f64>() {
        Ok(rounded) if rounded != 0.0 => format!("{value:.*}", decimals(rounded)),
        _ => first,
    }
}

/// A table with blanks between its columns; decimal points stand under each other.
pub fn table(headings: &[&str], rows: &[Vec<String>]) -> String {
    apart(headings, rows, "  ")
}

/// A table with `|` between its columns.
pub fn piped(headings: &[&str], rows: &[Vec<String>]) -> String {
    apart(headings, rows, " | ")
}

fn apart(headings: &[&str], rows: &[Vec<String>], between: &str) -> String {
    let columns: Vec<Vec<String>> = headings
        .iter()
        .enumerate()
        .map(|(index, heading)| {
            let cells: Vec<&str> = rows.iter().map(|row| row[index].as_str()).collect();
            column(heading, &cells)
        })
        .collect();
    lines(&columns, between)
}

fn column(heading: &str, cells: &[&str]) -> Vec<String> {
    let whole = |cell: &str| cell.find('.').unwrap_or(cell.len());
    let numbers = heading.contains('/');
    let widest = cells.iter().map(|cell| whole(cell)).max().unwrap_or(0);
    let body = cells.iter().map(|cell| {
        let indent = if numbers { widest - whole(cell) } else { 0 };
        format!("{}{cell}", " ".repeat(indent))
    });
    padded(std::iter::once(heading.to_owned()).chain(body).collect())
}

fn padded(cells: Vec<String>) -> Vec<String> {
    let width = cells.iter().map(String::len).max().unwrap_or(0);
    cells
        .into_iter()
        .map(|cell| format!("{cell:width$}"))
        .collect()
}

fn lines(columns: &[Vec<String>], between: &str) -> String {
    let count = columns.first().map_or(0, Vec::len);
    (0..count)
        .map(|row| {
            let cells: Vec<&str> = columns.iter().map(|column| column[row].as_str()).collect();
            format!("{}\n", cells.join(between).trim_end())
        })
        .collect()
}
