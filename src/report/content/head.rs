//! Who and what: the head of the report, and what the reader of the record was told.

use super::text::{NONE, text};
use super::{Ctx, listed};
use crate::document::{Block, Grade, Table, Text};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::place::Place;

/// A name and what stands beside it, where it is known.
type Fact = (&'static str, Option<String>);

fn facts(all: impl IntoIterator<Item = Fact>) -> Block {
    let known = all
        .into_iter()
        .filter_map(|(name, text)| Some((name, text?)));
    Block::Table(Table::facts(known))
}

fn written<T: ToString>(given: &Given<T>) -> Option<String> {
    given.value().map(ToString::to_string)
}

impl Ctx<'_> {
    pub(super) fn head(&self) -> Vec<Block> {
        let plate = &self.record.plate;
        let quantity = |of: &Given<Quantity>| of.value().map(|q| self.quantity(q));
        let standard = plate.standard.value().map(|of| of.text.clone());
        let highest = quantity(&plate.highest_voltage);
        let unit = [
            ("Identification", Some(plate.id_text().to_owned())),
            ("Manufacturer", written(&plate.maker)),
            ("Type", written(&plate.kind)),
            ("Serial number", written(&plate.serial)),
            ("Year", written(&plate.year)),
            ("Standard", standard),
            ("Highest voltage for equipment", highest),
            ("Rated frequency", quantity(&plate.frequency)),
            ("Insulation", written(&plate.insulation)),
            ("Neutral of the system", written(&plate.neutral)),
            ("Primary turns", written(&plate.primary_turns)),
            ("Passes through the window", written(&plate.passes)),
            ("Primary", written(&plate.bushing)),
            ("Rated short-time current Ith", quantity(&plate.ith)),
            ("Rated dynamic current Idyn", quantity(&plate.idyn)),
            ("Basic impulse level", quantity(&plate.bil)),
            ("Part of unit", written(&plate.unit)),
        ];
        vec![self.work(), facts(unit)]
    }

    fn work(&self) -> Block {
        let options = self.options;
        let mut work: Vec<Fact> = vec![
            ("Report", options.report_number.clone()),
            ("Revision", options.revision.clone()),
            ("Issued", options.issued.clone()),
            ("Client", options.client.clone()),
            ("Tested for the client by", options.contractor.clone()),
            ("Job", options.job.clone()),
        ];
        let Some((_, visit)) = self.reported() else {
            work.push(("Visit", Some("none in the record".to_owned())));
            return facts(work);
        };
        let place = self.record.place_on(visit.date.value);
        let text_of = place.map(Place::text).filter(|text| !text.is_empty());
        let air = [&visit.ambient, &visit.humidity].map(Given::value);
        let air = air.iter().any(Option::is_some).then(|| {
            air.map(|of| of.map_or_else(|| NONE.to_owned(), |q| self.quantity(q)))
                .join(", ")
        });
        let ends = visit.primary_ends();
        let ends = ends.map(|ends| self.source.slice(ends.span).to_owned());
        work.extend([
            ("Place", text_of),
            ("Set", place.and_then(|place| written(&place.set))),
            (
                "P1 towards",
                place.and_then(|place| written(&place.towards)),
            ),
            ("Tested on", Some(visit.name())),
            ("Purpose", Some(text(&visit.purpose))),
            ("Tested by", Some(text(&visit.tested_by))),
            ("Reviewed by", Some(text(&visit.reviewed_by))),
            ("Witnessed by", written(&visit.witnessed_by)),
            ("Authorised by", Some(text(&visit.authorised_by))),
            ("Air temperature, humidity", air),
            ("Primary while testing", ends),
        ]);
        facts(work)
    }

    /// What could not be read, and what else the reader of the record was told.
    pub(super) fn diagnostics(&self) -> Vec<Block> {
        let told = |errors: bool| -> Vec<Text> {
            let chosen = self.subject.diagnostics.iter();
            chosen
                .filter(|diagnostic| diagnostic.is_error() == errors)
                .map(|diagnostic| self.told(diagnostic))
                .collect()
        };
        let undated = self.record.undated.iter().map(|span| {
            let line = self.source.line(span.start);
            format!("The visit of line {line} is not shown: its date could not be read. Its lines stand as written, and nothing of them is judged.").into()
        });
        let mut blocks = listed(2, "Not readable", undated.chain(told(true)).collect());
        if !blocks.is_empty() {
            let why = ": the record has lines that could not be used. What they touch is shown, not judged.";
            let said = Text::word(Grade::Fails, "not readable").plain(why);
            blocks.insert(1, Block::Paragraph(said));
        }
        blocks.extend(listed(2, "Remarks on the record", told(false)));
        blocks
    }

    fn told(&self, diagnostic: &Diagnostic) -> Text {
        let help = diagnostic.help.as_ref().map(|help| format!(" ({help})"));
        let line = self.source.line(diagnostic.span.start);
        let title = &diagnostic.title;
        format!("Line {line}: {title}{}", help.unwrap_or_default()).into()
    }
}
