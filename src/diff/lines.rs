//! A record as lines, one for each value, so that two of them can be held against each other by any program that
//! compares lines.

use super::rows;
use super::value::bare;
use super::written::State;
use crate::ground::number::Bound;
use crate::ground::quantity::Quantity;
use crate::ground::unit::Scale;
use crate::job::Compiled;
use crate::record::value::Datum;

/// Everything that is written, whatever the prefixes of its units and however it is laid out.
pub fn lines(ct: &Compiled) -> Vec<String> {
    let state = State::of(ct);
    let source = &ct.source;
    let mut lines = Vec::new();
    for section in &state.sections {
        lines.push(format!("[{}]", section.name));
        let Some(body) = section.body else { continue };
        for field in &body.fields {
            let text = match field.value.value() {
                Some(Datum::Quantity(one)) => plain(one),
                _ => bare(&field.text.value),
            };
            lines.push(format!("{} / {}: {text}", section.name, field.key.word));
        }
        for table in &body.tables {
            for (at, row) in table.rows.iter().enumerate() {
                let title = rows::title(source, table, row, at);
                let cells = row.cells.iter().zip(&table.columns);
                let cells = cells.filter_map(|(cell, column)| {
                    let text = match cell.get() {
                        Some(datum) => match &datum.value {
                            Datum::Quantity(one) => plain(one),
                            _ => bare(source.slice(datum.span)),
                        },
                        None => bare(source.slice(cell.span()?)),
                    };
                    Some(format!("{} {text}", (*column)?.word))
                });
                let cells: Vec<String> = cells.collect();
                lines.push(format!("{} / {title}: {}", section.name, cells.join(", ")));
            }
        }
        let notes = body.notes.iter().map(|note| &note.value);
        lines.extend(notes.map(|note| format!("{} / note: {}", section.name, bare(note))));
        let undone = body.omissions.iter();
        lines.extend(undone.map(|one| {
            format!(
                "{} / not done {}: {}",
                section.name,
                bare(&one.scope.value),
                bare(&one.why)
            )
        }));
    }
    lines
}

/// A quantity in its coherent unit, with the digits that were written: `13.1 mA` is `0.0131 A`.
fn plain(one: &Quantity) -> String {
    let Scale::Decimal(shift) = one.unit.scale else {
        return one.written();
    };
    let number = match usize::try_from(i32::from(one.decimals) - shift) {
        Ok(places) => format!("{:.places$}", one.si),
        // 145 kV stands for no more digits than it has.
        Err(_) => format!("{:.*}e{shift}", usize::from(one.decimals), one.number),
    };
    let bound = match one.bound {
        Bound::Exact => "",
        Bound::MoreThan => ">",
        Bound::LessThan => "<",
    };
    let width = one
        .half_width
        .map_or(String::new(), |width| format!(" ± {width}"));
    format!("{bound}{number}{width} {}", one.unit.dimension.si())
}
