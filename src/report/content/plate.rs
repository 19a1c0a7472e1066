//! The plate of every core and tap, what the circuit asks, and values of other origin.

use super::text::{self, NONE};
use super::{Ctx, listed};
use crate::document::{Block, Cell, Table, Text, joined};
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::core::{Core, Tap};
use crate::record::duty::Duty;
use crate::record::value::At;
use crate::record::visit::Visit;
use crate::trade::{Class, Pair};

const HEADS: &[&str] = &[
    "Core",
    "Terminals",
    "Ratio",
    "Class",
    "Burden",
    "Ek at least",
    "Exciting current at most",
    "Resistance at most",
    "Use",
];

impl Ctx<'_> {
    /// Every core and tap with all that its plate says; nothing where there is no core.
    pub(super) fn plate_table(&self) -> Option<Table> {
        let cores = self.record.cores.iter().enumerate();
        let rows: Vec<Vec<Cell>> = cores
            .flat_map(|(index, core)| self.core_rows(index, core))
            .collect();
        (!rows.is_empty()).then(|| Table::grid(HEADS, rows).without_empty_columns())
    }

    /// What stands behind limits and verdicts beyond the rows: what the circuit asks, plate values of
    /// other origin, notes.
    pub(super) fn plate(&self) -> Vec<Block> {
        let record = self.record;
        let notes = record
            .plate
            .notes
            .iter()
            .chain(record.cores.iter().flat_map(|core| &core.notes))
            .chain(record.duties.iter().flat_map(|duty| &duty.notes))
            .chain(record.places.iter().flat_map(|place| &place.notes));
        let notes = notes.map(|note| (&note.value).into()).collect();
        [
            ("What the circuit asks", self.duties()),
            ("Values that were not read from this plate", self.origins()),
            ("Notes on plate, place and duty", notes),
        ]
        .into_iter()
        .flat_map(|(heading, lines)| listed(2, heading, lines))
        .collect()
    }

    fn core_rows(&self, index: usize, core: &Core) -> Vec<Vec<Cell>> {
        let pair = |from, to| Pair {
            core: index,
            from,
            to,
        };
        if core.taps.is_empty() {
            return vec![self.row(core, None, pair(0, core.last_mark()))];
        }
        let taps = core.taps.iter();
        taps.map(|tap| self.row(core, Some(tap), pair(tap.from, tap.to)))
            .collect()
    }

    /// One tap; the core's own values stand for the full winding, and for a core without taps.
    fn row(&self, core: &Core, tap: Option<&Tap>, pair: Pair) -> Vec<Cell> {
        let full = tap.is_none() || core.is_full(pair);
        let of_tap = |of: fn(&Tap) -> &Given<Quantity>, cores: Option<String>| {
            let own = tap.and_then(|tap| of(tap).value());
            own.map(|quantity| self.quantity(quantity))
                .or(cores.filter(|_| full))
        };
        let served = match self.in_service(pair.core) {
            Some(service) if service == pair => ", in service",
            _ => "",
        };
        let class = match tap {
            Some(_) => core.class_of(pair),
            None => core.class.value(),
        };
        let ratio = tap.and_then(|tap| tap.ratio.value());
        let own = tap.and_then(|tap| tap.burden.value());
        let burden = own.or(core.burden.value().filter(|_| full));
        let exciting = core.exciting.iter();
        let exciting = joined(exciting.map(|at| Some(self.at(&at.value))), "; ");
        let exciting = Some(exciting).filter(|text| !text.is_empty());
        let cells = [
            Some(core.name.clone()),
            tap.map(|tap| format!("{}{served}", core.pair_text(tap.from, tap.to))),
            ratio.map(|ratio| text::ratio(self.record, *ratio)),
            class.map(Class::text),
            burden.map(|burden| self.burden(burden)),
            of_tap(|tap| &tap.knee, core.knee.value().map(|q| self.quantity(q))),
            of_tap(|tap| &tap.exciting, exciting),
            of_tap(
                |tap| &tap.resistance,
                core.resistance.value().map(|at| self.at(at)),
            ),
            core.service.value().map(ToString::to_string),
        ];
        cells
            .map(|text| text.unwrap_or_else(|| NONE.to_owned()).into())
            .into()
    }

    /// The pair of a core in service after the reported visits, lower terminal first.
    pub(super) fn in_service(&self, core: usize) -> Option<Pair> {
        let visits: Vec<&Visit> = self.visits().collect();
        self.record.pair_after(core, &visits).map(Pair::ascending)
    }

    /// The pair that a core's chapter is about: that in service, else the whole winding.
    pub(super) fn main_pair(&self, core: usize) -> Pair {
        let known = self.record.cores.get(core);
        self.in_service(core).unwrap_or(Pair {
            core,
            from: 0,
            to: known.map_or(0, Core::last_mark),
        })
    }

    fn duties(&self) -> Vec<Text> {
        let Some((_, visit)) = self.reported() else {
            return Vec::new();
        };
        let duties = (0..self.record.cores.len())
            .filter_map(|core| self.record.duty_on(core, visit.date.value));
        duties.map(|duty| self.duty(duty).into()).collect()
    }

    fn duty(&self, duty: &Duty) -> String {
        let core = self.core_name(duty.core);
        let quantity = |of: &Given<Quantity>| of.value().map(|q| self.quantity(q));
        let number = |of: &Given<f64>| of.value().map(|x| self.pen.mark(&x.to_string()));
        let burden = |of: &Given<_>| of.value().map(|burden| self.burden(burden));
        let asked = [
            ("fault current", quantity(&duty.fault_current)),
            ("X/R", number(&duty.x_over_r)),
            ("burden", burden(&duty.burden)),
            ("required knee", quantity(&duty.required_knee)),
            ("required factor", number(&duty.required_factor)),
            ("remanence", quantity(&duty.remanence)),
            ("lead length", quantity(&duty.lead_length)),
            ("lead section", quantity(&duty.lead_section)),
            ("lead resistance", quantity(&duty.lead_resistance)),
            ("relay burden", burden(&duty.relay_burden)),
            ("rule:", duty.rule.value().map(|rule| (*rule).to_string())),
            ("zone", duty.zone.value().cloned()),
        ];
        let said = asked.map(|(name, text)| Some(format!("{name} {}", text?)));
        format!("Core {core}: {}", joined(said, ", "))
    }

    fn origins(&self) -> Vec<Text> {
        let mut found = Vec::new();
        for (key, origin) in &self.record.plate.origins {
            found.push(format!("{key}: from {origin}").into());
        }
        for core in &self.record.cores {
            for (key, origin) in &core.origins {
                found.push(format!("core {}, {key}: from {origin}", core.name).into());
            }
            let like = core.like.value();
            found.extend(like.map(|unit| {
                let name = &core.name;
                format!("core {name}: plate as that of {unit}, read and confirmed").into()
            }));
        }
        found
    }

    /// `30 mA at 1000 V`.
    fn at(&self, at: &At) -> String {
        format!("{} at {}", self.quantity(&at.value), self.quantity(&at.at))
    }
}
