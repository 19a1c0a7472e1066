//! The plate of every core and tap, what the circuit asks, and values of other origin.

use super::Ctx;
use super::text::{self, NONE};
use crate::ground::span::Given;
use crate::record::core::{Core, Tap};
use crate::record::duty::Duty;
use crate::record::value::{At, Pair};
use crate::report::markdown::escape_markdown;
use serde::Serialize;

#[derive(Debug, Serialize)]
pub(super) struct PlateTable {
    pub rows: Vec<PlateRow>,
    pub duties: Vec<String>,
    pub origins: Vec<String>,
    pub notes: Vec<String>,
}

/// One tap.
#[derive(Debug, Serialize)]
pub(super) struct PlateRow {
    pub core: String,
    pub pair: String,
    pub ratio: String,
    pub class: String,
    pub burden: String,
    pub knee: String,
    pub exciting: String,
    pub resistance: String,
    pub purpose: String,
}

impl Ctx<'_> {
    pub(super) fn plate(&self) -> PlateTable {
        let cores = self.record.cores.iter().enumerate();
        let rows = cores
            .flat_map(|(index, core)| self.core_rows(index, core))
            .collect();
        let plate_notes = self
            .record
            .plate
            .notes
            .iter()
            .chain(self.record.cores.iter().flat_map(|core| &core.notes));
        let duty_notes = self.record.duties.iter().flat_map(|duty| &duty.notes);
        let place_notes = self.record.places.iter().flat_map(|place| &place.notes);
        PlateTable {
            rows,
            duties: self.duties(),
            origins: self.origins(),
            notes: plate_notes
                .chain(duty_notes)
                .chain(place_notes)
                .map(|note| escape_markdown(&note.value))
                .collect(),
        }
    }

    fn core_rows(&self, index: usize, core: &Core) -> Vec<PlateRow> {
        let in_service = self.in_service(index);
        let mut rows: Vec<PlateRow> = core
            .taps
            .iter()
            .map(|tap| self.tap_row(index, core, tap, in_service))
            .collect();
        if rows.is_empty() {
            rows.push(PlateRow {
                core: escape_markdown(&core.name),
                pair: NONE.to_owned(),
                ratio: NONE.to_owned(),
                class: core
                    .class
                    .value()
                    .map_or_else(|| NONE.to_owned(), |class| escape_markdown(&class.text())),
                burden: core
                    .burden
                    .value()
                    .map_or_else(|| NONE.to_owned(), |burden| self.pen.burden(burden)),
                knee: self.pen.given(&core.knee),
                exciting: self.exciting(core),
                resistance: core
                    .resistance
                    .value()
                    .map_or_else(|| NONE.to_owned(), |at| self.pen.at(at)),
                purpose: serves(core),
            });
        }
        rows
    }

    /// The core's own values stand for the full winding.
    fn tap_row(&self, index: usize, core: &Core, tap: &Tap, in_service: Option<Pair>) -> PlateRow {
        let pair = Pair {
            core: index,
            from: tap.from,
            to: tap.to,
        };
        let full = core.is_full(pair);
        let served = if in_service == Some(pair) {
            ", in service"
        } else {
            ""
        };
        let quantity = |own: &Given<_>, cores: String| match (own.value(), full) {
            (Some(quantity), _) => self.pen.quantity(quantity),
            (None, true) => cores,
            (None, false) => NONE.to_owned(),
        };
        let resistance = |at: Option<&At>| at.map_or_else(|| NONE.to_owned(), |at| self.pen.at(at));
        let own = tap.burden.value().or(core.burden.value().filter(|_| full));
        PlateRow {
            core: escape_markdown(&core.name),
            pair: format!(
                "{}{served}",
                escape_markdown(&core.pair_text(tap.from, tap.to))
            ),
            ratio: tap
                .ratio
                .value()
                .map_or_else(|| NONE.to_owned(), |ratio| text::ratio(self.record, *ratio)),
            class: core
                .class_of(pair)
                .map_or_else(|| NONE.to_owned(), |class| escape_markdown(&class.text())),
            burden: own.map_or_else(|| NONE.to_owned(), |burden| self.pen.burden(burden)),
            knee: quantity(&tap.knee, self.pen.given(&core.knee)),
            exciting: quantity(&tap.exciting, self.exciting(core)),
            resistance: quantity(&tap.resistance, resistance(core.resistance.value())),
            purpose: serves(core),
        }
    }

    fn exciting(&self, core: &Core) -> String {
        let all: Vec<String> = core
            .exciting
            .iter()
            .map(|at| self.pen.at(&at.value))
            .collect();
        if all.is_empty() {
            NONE.to_owned()
        } else {
            all.join("; ")
        }
    }

    /// The pair of a core in service at the reported visit, lower terminal first.
    pub(super) fn in_service(&self, core: usize) -> Option<Pair> {
        let (_, visit) = self.reported()?;
        self.record
            .pair_in_service(core, visit)
            .map(Pair::ascending)
    }

    fn duties(&self) -> Vec<String> {
        let Some((_, visit)) = self.reported() else {
            return Vec::new();
        };
        let duties = (0..self.record.cores.len())
            .filter_map(|core| self.record.duty_on(core, visit.date.value));
        duties.map(|duty| self.duty(duty)).collect()
    }

    fn duty(&self, duty: &Duty) -> String {
        let core = self
            .record
            .cores
            .get(duty.core)
            .map_or("?", |core| core.name.as_str());
        let mut parts = Vec::new();
        let mut add = |name: &str, text: Option<String>| {
            parts.extend(text.map(|text| format!("{name} {text}")))
        };
        add(
            "fault current",
            duty.fault_current.value().map(|q| self.pen.quantity(q)),
        );
        add(
            "X/R",
            duty.x_over_r.value().map(|x| self.pen.say(&format!("{x}"))),
        );
        add(
            "burden",
            duty.burden.value().map(|burden| self.pen.burden(burden)),
        );
        add(
            "required knee",
            duty.required_knee.value().map(|q| self.pen.quantity(q)),
        );
        add(
            "required factor",
            duty.required_factor
                .value()
                .map(|factor| self.pen.say(&format!("{factor}"))),
        );
        add(
            "remanence",
            duty.remanence.value().map(|q| self.pen.quantity(q)),
        );
        add(
            "lead length",
            duty.lead_length.value().map(|q| self.pen.quantity(q)),
        );
        add(
            "lead section",
            duty.lead_section.value().map(|q| self.pen.quantity(q)),
        );
        add(
            "relay burden",
            duty.relay_burden
                .value()
                .map(|burden| self.pen.burden(burden)),
        );
        add("rule:", duty.rule.value().map(|rule| escape_markdown(rule)));
        format!("Core {}: {}", escape_markdown(core), parts.join(", "))
    }

    fn origins(&self) -> Vec<String> {
        let mut found = Vec::new();
        for (key, origin) in &self.record.plate.origins {
            found.push(format!("{key}: from {origin}"));
        }
        for core in &self.record.cores {
            for (key, origin) in &core.origins {
                found.push(format!(
                    "core {}, {key}: from {origin}",
                    escape_markdown(&core.name)
                ));
            }
            if let Some(unit) = core.like.value() {
                found.push(format!(
                    "core {}: plate as that of {}, read and confirmed",
                    escape_markdown(&core.name),
                    escape_markdown(unit)
                ));
            }
        }
        found
    }
}

fn serves(core: &Core) -> String {
    let service = core.service.value();
    service.map_or_else(|| NONE.to_owned(), ToString::to_string)
}
