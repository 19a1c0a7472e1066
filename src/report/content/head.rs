//! Who and what: the head of the report, and what the reader of the record was told.

use super::Ctx;
use super::text::{NONE, text};
use crate::ground::span::Given;
use crate::report::markdown::escape_markdown;
use serde::Serialize;

/// Pairs of a name and a text.
#[derive(Debug, Serialize)]
pub(super) struct Head {
    pub unit: Vec<(String, String)>,
    pub work: Vec<(String, String)>,
}

impl Ctx<'_> {
    pub(super) fn head(&self) -> Head {
        let plate = &self.record.plate;
        let mut unit = Vec::new();
        let mut add = |name: &str, text: Option<String>| {
            unit.extend(text.map(|text| (name.to_owned(), text)))
        };
        let written = |given: &Given<String>| given.value().map(|text| escape_markdown(text));
        add("Identification", Some(escape_markdown(plate.id_text())));
        add("Maker", written(&plate.maker));
        add("Type", written(&plate.kind));
        add("Serial number", written(&plate.serial));
        add("Year", plate.year.value().map(|year| format!("{year}")));
        add(
            "Standard",
            plate
                .standard
                .value()
                .map(|standard| escape_markdown(&standard.text)),
        );
        add(
            "Highest voltage for equipment",
            plate.highest_voltage.value().map(|q| self.pen.quantity(q)),
        );
        add(
            "Rated frequency",
            plate.frequency.value().map(|q| self.pen.quantity(q)),
        );
        add(
            "Insulation",
            plate.insulation.value().map(ToString::to_string),
        );
        add(
            "Primary turns",
            plate.primary_turns.value().map(|turns| format!("{turns}")),
        );
        add(
            "Passes through the window",
            plate.passes.value().map(|passes| format!("{passes}")),
        );
        add("Primary", written(&plate.bushing));
        add(
            "Rated short-time current Ith",
            plate.ith.value().map(|q| self.pen.quantity(q)),
        );
        add(
            "Rated dynamic current Idyn",
            plate.idyn.value().map(|q| self.pen.quantity(q)),
        );
        add(
            "Basic impulse level",
            plate.bil.value().map(|q| self.pen.quantity(q)),
        );
        add("Part of unit", written(&plate.unit));
        Head {
            unit,
            work: self.work(),
        }
    }

    fn work(&self) -> Vec<(String, String)> {
        let mut work = Vec::new();
        let mut add = |name: &str, text: Option<String>| {
            work.extend(text.map(|text| (name.to_owned(), text)))
        };
        let option = |text: &Option<String>| text.as_ref().map(|text| escape_markdown(text));
        add("Report", option(&self.options.report_number));
        add("Revision", option(&self.options.revision));
        add("Issued", option(&self.options.issued));
        add("Client", option(&self.options.client));
        add("Tested for the client by", option(&self.options.contractor));
        add("Job", option(&self.options.job));
        let Some((_, visit)) = self.reported() else {
            add("Visit", Some("none in the record".to_owned()));
            return work;
        };
        let place = self.record.place_on(visit.date.value);
        add(
            "Place",
            place
                .map(|place| escape_markdown(&place.text()))
                .filter(|text| !text.is_empty()),
        );
        add(
            "Set",
            place
                .and_then(|place| place.set.value())
                .map(|set| escape_markdown(set)),
        );
        add(
            "P1 towards",
            place
                .and_then(|place| place.towards.value())
                .map(|towards| escape_markdown(towards)),
        );
        add("Tested on", Some(escape_markdown(&visit.name())));
        add("Purpose", Some(text(&visit.purpose)));
        add("Tested by", Some(text(&visit.tested_by)));
        add("Reviewed by", Some(text(&visit.reviewed_by)));
        add(
            "Witnessed by",
            visit.witnessed_by.value().map(|who| escape_markdown(who)),
        );
        add("Authorised by", Some(text(&visit.authorised_by)));
        let air = [
            self.pen.given(&visit.ambient),
            self.pen.given(&visit.humidity),
        ];
        add(
            "Air temperature, humidity",
            Some(air.join(", ")).filter(|_| air.iter().any(|part| part != NONE)),
        );
        add("Primary while testing", self.primary());
        work
    }

    fn primary(&self) -> Option<String> {
        let (_, visit) = self.reported()?;
        let ends = visit.primary_ends()?;
        Some(escape_markdown(self.source.slice(ends.span)))
    }

    /// What the reader of the record was told: errors, or warnings.
    pub(super) fn told(&self, errors: bool) -> Vec<String> {
        let chosen = self
            .subject
            .diagnostics
            .iter()
            .filter(|diagnostic| diagnostic.is_error() == errors);
        let line = |diagnostic: &crate::ground::diagnostic::Diagnostic| {
            let help = diagnostic
                .help
                .as_ref()
                .map(|help| format!(" ({})", escape_markdown(help)))
                .unwrap_or_default();
            format!(
                "Line {}: {}{help}",
                self.source.line(diagnostic.span.start),
                escape_markdown(&diagnostic.title)
            )
        };
        chosen.map(line).collect()
    }
}
