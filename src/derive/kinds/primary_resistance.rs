//! Resistance of a primary that is a winding, and what an interposing CT is to the one that feeds it.

use super::resistance::{self, Read, Row, plate_at_75};
use crate::derive::deriving::Deriving;
use crate::derive::formula::{formulas, symbol};
use crate::derive::kinds::protection::burden::{connected, resistive};
use crate::derive::workings::Value;
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::record::kinds::primary_resistance::PrimaryResistance;
use crate::trade::{Metal, Pair};
use std::ops::Deref;

formulas! {
    static ON_FEEDER = "burden-on-feeding-ct",
        "burden that an interposing CT is to the CT that feeds it":
        "Rp + (Rs + Zb)/n^2" ("ohm") of [
            symbol("Rp", "ohm", "resistance of the primary winding at 75 °C"),
            symbol("Rs", "ohm", "resistance of the secondary winding at 75 °C"),
            symbol("Zb", "ohm", "burden of the secondary"),
            symbol("n", "", "rated ratio, primary over secondary current"),
        ], |[rp, rs, zb, n]| rp + (rs + zb) / (n * n),
        "impedances of an ideal transformer, seen from its primary; the exciting current is left out, and the magnitudes are added as numbers";
}

/// The resistance of the primary, in one position of its links.
#[derive(Clone, Debug)]
pub struct Primary {
    /// Position of the links, where it is written.
    pub links: Option<String>,
    pub read: Read,
    /// What the plate states, at 75 °C, and where.
    pub plate: Option<(Value, Span)>,
    /// What it is to the CT that feeds it, of one core.
    pub on_feeder: Option<OnFeeder>,
}

impl Deref for Primary {
    type Target = Read;

    fn deref(&self) -> &Read {
        &self.read
    }
}

/// What an interposing CT is to the one that feeds it.
#[derive(Clone, Copy, Debug)]
pub struct OnFeeder {
    pub pair: Pair,
    /// Ohm.
    pub burden: Value,
    /// The secondary's burden was measured; else it is the rated one.
    pub is_measured: bool,
}

/// Derives all of a visit.
pub(super) fn derive(d: &mut Deriving<'_>) -> Vec<Primary> {
    let mut found = Vec::new();
    for (index, test, body) in d.visit.of(Test::primary_resistance) {
        let mut positions: Vec<Option<&String>> = Vec::new();
        for row in &body.rows {
            let position = row.links.value();
            if !positions.contains(&position) {
                positions.push(position);
            }
        }
        let positions = positions.into_iter();
        found.extend(positions.filter_map(|at| primary(d, (index, test, body), at)));
    }
    found
}

fn primary(
    d: &mut Deriving<'_>,
    (index, test, body): (usize, &Test, &PrimaryResistance),
    links: Option<&String>,
) -> Option<Primary> {
    let rows = body.rows.iter();
    let rows = rows.filter(|row| row.links.value() == links);
    let rows: Vec<Row<'_>> = rows.map(Row::from).collect();
    // The plate does not say what a primary is made of; copper is usual.
    let of = ("the primary", Metal::Copper);
    let read = resistance::read(d, (index, test), &body.wires, &rows, of)?;
    let stated = d.record.plate.primary_resistance.get();
    let plate = stated.and_then(|stated| {
        let name = "resistance of the primary by the plate".to_owned();
        Some((plate_at_75(d, Metal::Copper, name, stated)?, stated.span))
    });
    let on_feeder = read.at_75.and_then(|rp| on_feeder(d, rp));
    Some(Primary {
        links: links.cloned(),
        read,
        plate,
        on_feeder,
    })
}

/// Of one core with several primary turns: with more cores each would add its own.
fn on_feeder(d: &mut Deriving<'_>, rp: Value) -> Option<OnFeeder> {
    let [core] = d.record.cores.as_slice() else {
        return None;
    };
    if d.primary_turns() <= 1.0 {
        return None;
    }
    let in_service = d.record.pair_in_service(0, d.visit);
    let pair = in_service.or(d.full(0))?.ascending();
    let measured = connected(d.w, d.derived, pair).map(|connected| connected.impedance);
    let is_measured = measured.is_some();
    let isr = d.isr(pair)?;
    let of_tap = core.tap(pair.from, pair.to).map(|tap| &tap.burden);
    let of_tap = of_tap.filter(|burden| !burden.is_missing());
    let burden = match measured {
        Some(measured) => measured,
        None => resistive(d.w, of_tap.unwrap_or(&core.burden), isr)?,
    };
    let (rs, _) = d.resistance_at_75(pair)?;
    let n = core.nominal_ratio(pair.from, pair.to)? * d.link_factor(core);
    let n = d.w.number("rated ratio", "", n, core.span);
    Some(OnFeeder {
        pair,
        burden: d.w.step(&ON_FEEDER, [rp, rs, burden.z, n])?,
        is_measured,
    })
}
