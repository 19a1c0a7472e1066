//! A record as lines, one for each value, so that two of them can be held against each other by any program that
//! compares lines.

use super::rows;
use super::value::bare;
use super::written::{State, sayings};
use crate::ground::number::Bound;
use crate::ground::quantity::Quantity;
use crate::ground::source::Source;
use crate::ground::span::Located;
use crate::ground::unit::Scale;
use crate::job::Compiled;
use crate::layout::spelt;
use crate::record::schema::Kind;
use crate::record::value::{At, Datum};

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
                Some(datum) => said(datum, &field.text.value, field.key.kind),
                None => bare(&field.text.value),
            };
            lines.push(format!("{} / {}: {text}", section.name, field.key.word));
        }
        for table in &body.tables {
            for (at, row) in table.rows.iter().enumerate() {
                let title = rows::title((source, plainly), table, row, at);
                let cells = row.cells.iter().zip(&table.columns);
                let cells = cells.filter_map(|(cell, column)| {
                    let (column, datum) = ((*column)?, cell.get()?);
                    let text = said(&datum.value, source.slice(datum.span), column.kind);
                    Some(format!("{} {text}", column.word))
                });
                let cells: Vec<String> = cells.collect();
                lines.push(format!("{} / {title}: {}", section.name, cells.join(", ")));
            }
        }
        let sayings = sayings(body).into_iter();
        lines.extend(sayings.map(|(text, _)| format!("{} / {text}", section.name)));
    }
    let unread = state.unread().into_iter();
    lines.extend(unread.map(|(text, _)| format!("by itself: {text}")));
    lines
}

/// A value, however its unit is written.
fn said(datum: &Datum, text: &str, kind: Kind) -> String {
    match datum {
        Datum::Quantity(one) => plain(one),
        Datum::At(At { value, at }) => format!("{} at {}", plain(value), plain(at)),
        Datum::Ratio(ratio) => format!("{}/{}", ratio.primary, ratio.secondary),
        _ => spelt(&bare(text), kind),
    }
}

/// The same of a cell that names its row.
fn plainly(source: &Source, datum: &Located<Datum>) -> String {
    said(&datum.value, source.slice(datum.span), Kind::Text)
}

/// A quantity in its coherent unit, with the digits that were written: `13.1 mA` is `0.0131 A`.
fn plain(one: &Quantity) -> String {
    let Scale::Decimal(_) = one.unit.scale else {
        return one.written();
    };
    // Digits behind the point that were read, whatever the prefix; before it where there are none.
    let places = -libm::round(libm::log10(one.resolution)) as i32;
    let number = match usize::try_from(places) {
        Ok(places) => format!("{:.places$}", one.si),
        // 145 kV stands for no more digits than it has.
        Err(_) => format!(
            "{:.0}e{}",
            one.si * libm::pow(10.0, f64::from(places)),
            -places
        ),
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
