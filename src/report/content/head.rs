//! Who and what, in a few lines: the unit, who tested it when and under what, the report. Behind them what
//! could not be read.

use super::text::ratio;
use super::{Ctx, listed};
use crate::document::{Block, Grade, Text, joined};
use crate::ground::diagnostic::Diagnostic;
use crate::ground::quantity::Quantity;
use crate::ground::span::Given;
use crate::record::place::Place;
use crate::record::visit::Visit;
use crate::trade::PrimaryMarks;

fn written<T: ToString>(given: &Given<T>) -> Option<String> {
    given.value().map(ToString::to_string)
}

/// The words with one in front, where there are any.
fn named(name: &str, words: Option<String>) -> Option<String> {
    words.map(|words| format!("{name} {words}"))
}

impl Ctx<'_> {
    pub(super) fn head(&self) -> Vec<Block> {
        let visits = self.visits().filter(|visit| !visit.as_found());
        let said = visits.flat_map(|visit| [Some(self.tested(visit)), self.signed(visit)]);
        let mut lines: Vec<Text> = said.flatten().map(Text::from).collect();
        if lines.is_empty() {
            lines.push("No visit is on record.".into());
        }
        lines.push(self.unit().into());
        lines.extend(self.work().map(Text::from));
        vec![Block::Group(
            "head",
            lines.into_iter().map(Block::Note).collect(),
        )]
    }

    /// `Tested 2026-09-16, commissioning, by R. Anvik, reviewed by S. Hollen; 13.2 °C, 66 %`.
    fn tested(&self, visit: &Visit) -> String {
        let by = [
            Some(format!("Tested {}", visit.name())),
            written(&visit.purpose),
            named("by", written(&visit.tested_by)),
            named("reviewed by", written(&visit.reviewed_by)),
            named("witnessed by", written(&visit.witnessed_by)),
            named("authorised by", written(&visit.authorised_by)),
            named("crew", written(&visit.crew)),
        ];
        let air = [&visit.ambient, &visit.humidity].map(Given::value);
        let air = air.map(|of| of.map(|of| self.quantity(of)));
        let air = Some(joined(air, ", ")).filter(|air| !air.is_empty());
        let ends = visit.primary_ends();
        // The end that faces something goes by the mark that the visit itself uses.
        let terminals = ends.iter().flat_map(|ends| &ends.value);
        let mut marks = terminals.filter_map(|end| PrimaryMarks::of(&end.terminal));
        let marks = marks.next().map_or(PrimaryMarks::P, |(marks, _)| marks);
        let facing = format!("{} towards", marks.ends().0);
        let ends = ends.map(|ends| self.source.slice(ends.span).to_owned());
        let place = self.record.place_on(visit.date.value);
        let towards = place.and_then(|place| written(&place.towards));
        let position = place.and_then(|place| written(&place.position));
        let parts = [
            Some(joined(by, ", ")),
            named("air", air),
            named("weather", written(&visit.weather)),
            ends,
            named(&facing, towards),
            named("set", place.and_then(|place| written(&place.set))),
            named("fed by", place.and_then(|place| written(&place.fed_by))),
            named("position", position),
            Some(papers(visit)).filter(|papers| !papers.is_empty()),
        ];
        joined(parts, "; ")
    }

    /// What the plate says of the unit as a whole.
    fn unit(&self) -> String {
        let plate = &self.record.plate;
        let quantity = |of: &Given<Quantity>| of.value().map(|q| self.quantity(q));
        let passes = written(&plate.passes);
        let links = plate.links.iter();
        let links = links.map(|link| {
            let (position, stated) = &link.value;
            Some(format!("{position} {}", ratio(self.record, *stated)))
        });
        let links = Some(joined(links, ", ")).filter(|links| !links.is_empty());
        let parts = [
            Some(plate.id_text().to_owned()),
            written(&plate.maker),
            named("type", written(&plate.kind)),
            named("serial number", written(&plate.serial)),
            written(&plate.year),
            plate.standard.value().map(|of| of.text.clone()),
            named("Um", quantity(&plate.highest_voltage)),
            quantity(&plate.frequency),
            written(&plate.insulation),
            named("neutral", written(&plate.neutral)),
            named("primary turns", written(&plate.primary_turns)),
            named("primary links", links),
            named("passes through the window", passes),
            named("primary", written(&plate.bushing)),
            named("Ith", quantity(&plate.ith)),
            named("Idyn", quantity(&plate.idyn)),
            named("basic impulse level", quantity(&plate.bil)),
            named("part of", written(&plate.unit)),
        ];
        joined(parts, ", ")
    }

    /// Number, revision and day of issue, and for whom by whom.
    fn work(&self) -> Option<String> {
        let options = self.options;
        let [what, whose] = options.running();
        let parts = [Some(what), Some(whose), options.job.clone()];
        let said = parts.map(|part| part.filter(|part| !part.is_empty()));
        Some(joined(said, "; ")).filter(|said| !said.is_empty())
    }

    /// What could not be read.
    pub(super) fn diagnostics(&self) -> Vec<Block> {
        let undated = self.record.undated.iter().map(|span| {
            let line = self.written_at(*span);
            format!("The visit of {line} is not shown: its date could not be read. Its lines stand as written, and nothing of them is judged.").into()
        });
        let mut blocks = listed(2, "Not readable", undated.chain(self.told(true)).collect());
        if !blocks.is_empty() {
            let why = ": the record has lines that could not be used. What they touch is shown, not judged.";
            let said = Text::word(Grade::Fails, "not readable").plain(why);
            blocks.insert(1, Block::Paragraph(said));
        }
        blocks
    }

    /// What else the reader of the record was told.
    pub(super) fn remarks(&self) -> Vec<Block> {
        listed(2, "Remarks on the record", self.told(false).collect())
    }

    /// What is wrong with a line. How to mend it is for who keeps the record.
    fn told(&self, errors: bool) -> impl Iterator<Item = Text> {
        let chosen = self.subject.diagnostics.iter();
        let chosen = chosen.filter(move |diagnostic| diagnostic.is_error() == errors);
        chosen.map(|diagnostic: &Diagnostic| {
            let line = self.written_at(diagnostic.span);
            format!("{}; {line}", quoted(&diagnostic.title)).into()
        })
    }

    /// The visits that are reported.
    pub(super) fn visits(&self) -> impl DoubleEndedIterator<Item = &Visit> {
        let visits = self.subject.visits.iter();
        visits.filter_map(|index| self.record.visits.get(*index))
    }
}

/// Under which papers a visit was made: `permit 26-0417 until 2026-03-14 16:30; procedure TI 12 rev. C`.
fn papers(visit: &Visit) -> String {
    let permit = [
        written(&visit.permit),
        named("until", written(&visit.permit_until)),
        named("handed back", written(&visit.permit_returned)),
    ];
    let permit = Some(joined(permit, ", ")).filter(|permit| !permit.is_empty());
    let parts = [
        named("permit", permit),
        named("outage", written(&visit.outage)),
        named("procedure", written(&visit.procedure)),
    ];
    let deviations = visit.deviations.iter();
    let deviations = deviations.map(|text| named("otherwise", Some(text.value.clone())));
    let of_readings = [
        named("test leads", written(&visit.leads)),
        named("readings from", written(&visit.certificate)),
    ];
    joined(parts.into_iter().chain(deviations).chain(of_readings), "; ")
}

/// A message as a page has it: what a terminal puts between backticks stands in quotation marks.
fn quoted(title: &str) -> String {
    let mut marks = ['“', '”'].into_iter().cycle();
    let letter = |c: char| match c {
        '`' => marks.next().unwrap_or(c),
        c => c,
    };
    title.chars().map(letter).collect()
}

/// Where it stands, as a title begins: `Skerrow 132 kV · H07 · L1`.
pub(super) fn place(place: &Place) -> String {
    let spare = place.spare_for.value();
    let parts = [&place.site, &place.bay, &place.phase].map(|part| part.value().cloned());
    let spare = spare.map(|of| format!("spare for {of}"));
    joined(parts.into_iter().chain([spare]), " · ")
}
