//! A list of rating plates: a row for each core, or for each pair of terminals of one.

use super::Faults;
use super::address::Target;
use super::grid::Line as Row;
use super::lines::Draft;
use super::sheet::{OfUnit, Sheet};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::source::Source;
use crate::layout::even;
use crate::record::core_line::said;
use crate::record::schema::Section;
use crate::record::{FORMAT, core, duty, place, plate, read_alone};

/// A record made of a list.
#[derive(Clone, Debug)]
pub struct NewRecord {
    pub id: String,
    pub text: String,
}

/// A record of each unit.
///
/// # Errors
/// Everything that is wrong with the list; no record is made of a part of it.
pub fn new_records(sheet: &Sheet<'_>) -> Result<Vec<NewRecord>, Faults> {
    let (mut records, mut faults) = (Vec::new(), Vec::new());
    if sheet.has_tests() {
        let told =
            "a list of plates has no columns of a visit or a test; `import sheet` takes those";
        return Err(vec![told.to_owned()]);
    }
    for unit in sheet.units() {
        match record(sheet, unit) {
            Ok(text) => records.push(NewRecord {
                id: unit.id.clone(),
                text,
            }),
            Err(mut told) => faults.append(&mut told),
        }
    }
    match faults.is_empty() {
        true => Ok(records),
        false => Err(faults),
    }
}

fn record(sheet: &Sheet<'_>, unit: &OfUnit<'_>) -> Result<String, Faults> {
    let columns = sheet.columns();
    let mut lines = Draft::default();
    lines.push(&format!("format: {FORMAT}"), None);
    lines.open(plate::SCHEMA.name, "");
    let first = unit.rows.first().map(|row| row.number);
    lines.field(&format!("id: {}", unit.id), first);
    lines.fields(&plate::SCHEMA, columns, &unit.rows);
    for section in [&place::SCHEMA, &duty::SCHEMA] {
        if columns.has(|of| of.name == section.name) {
            let why = "begins on a day; write it into the record";
            lines.faults.push(format!("[{}] {why}", section.name));
        }
    }
    if columns.has(|of| of.name == core::SCHEMA.name) {
        cores(sheet, unit, &mut lines);
    }
    let lines = lines.done()?;
    let text = even(&lines.text);
    let (source, mut told) = Source::new(&unit.id, text.as_bytes());
    let (_, mut more) = read_alone(&source);
    told.append(&mut more);
    let faults = told_by_rows(&source, &told, &lines.of);
    match faults.is_empty() {
        true => Ok(text),
        false => Err(faults),
    }
}

fn cores(sheet: &Sheet<'_>, unit: &OfUnit<'_>, lines: &mut Draft) {
    let columns = sheet.columns();
    let Some(name) = columns.find(|of| matches!(of, Target::Core)) else {
        lines
            .faults
            .push("[core] needs a column `core`, the name of the core".to_owned());
        return;
    };
    let mut cores: Vec<(&str, Vec<&Row>)> = Vec::new();
    for row in &unit.rows {
        let own = row.cell(name);
        match cores.iter_mut().find(|(of, _)| *of == own) {
            Some((_, rows)) => rows.push(row),
            None => cores.push((own, vec![row])),
        }
    }
    let is_of_core = |row: &Row| {
        let own = |of: &Section| of.name == core::SCHEMA.name;
        let mut named = columns.named();
        named.any(|(index, address)| {
            address.section().is_some_and(own) && !row.cell(index).is_empty()
        })
    };
    for (name, rows) in cores {
        if name.is_empty() {
            // A row of the unit as a whole has nothing of a core.
            let of_core = rows.iter().filter(|row| is_of_core(row));
            let told = of_core.map(|row| format!("row {}: its `core` is empty", row.number));
            lines.faults.extend(told);
            continue;
        }
        // A ratio that no pair is named for would be no tap.
        let of_taps = columns.named().filter(|(_, address)| matches!(address.target, Target::Cell(of, _) if of.name == core::SCHEMA.name));
        let of_taps: Vec<usize> = of_taps.map(|(index, _)| index).collect();
        let tap = columns.find(|of| matches!(of, Target::Cell(_, column) if column.word == "tap"));
        let is_unnamed = |row: &&&Row| {
            let is_written = of_taps.iter().any(|index| !row.cell(*index).is_empty());
            is_written && tap.is_none_or(|tap| row.cell(tap).is_empty())
        };
        let told = rows.iter().filter(is_unnamed);
        let told = told.map(|row| format!("row {}: its `tap` is empty", row.number));
        lines.faults.extend(told);
        lines.open(core::SCHEMA.name, name);
        lines.fields(&core::SCHEMA, columns, &rows);
        lines.table(&core::SCHEMA, None, columns, &rows);
    }
}

/// Errors of a record by the rows that their lines came of.
pub(super) fn told_by_rows<'d>(
    source: &Source,
    told: impl IntoIterator<Item = &'d Diagnostic>,
    of: &[Option<usize>],
) -> Faults {
    let errors = told.into_iter().filter(|told| told.is_error());
    let named = errors.map(|told| {
        let line = source.line(told.span.start);
        let row = line.checked_sub(1).and_then(|at| *of.get(at)?);
        match row {
            Some(row) => format!("row {row}: {}", said(told)),
            None => format!("{}: {}", source.name, said(told)),
        }
    });
    named.collect()
}
