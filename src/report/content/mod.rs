//! What the report of a CT says: one list of blocks for each part that its template can name.

mod asides;
mod cores;
mod figures;
mod head;
mod history;
mod instruments;
mod papers;
mod plate;
mod readings;
mod stages;
mod table;
mod text;
mod values;
mod verdicts;
pub use verdicts::NO_CLEARANCE;
mod workings;

pub use asides::LATE;
pub use figures::{Overlay, overlaid};

use super::sources;
use super::{Options, Subject};
use crate::derive::workings::{StepId, Workings};
use crate::document::{Block, Filling, NumberStyle, Pictures, Text, joined};
use crate::ground::source::Source;
use crate::ground::span::Span;
use crate::judge::Assessment;
use crate::judge::finding::Finding;
use crate::judge::requirement::Claims;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::visit::Visit;
use std::cell::Cell;
use std::collections::BTreeMap;

/// Everything that the parts of a report look at.
pub(super) struct Ctx<'a> {
    subject: &'a Subject<'a>,
    source: &'a Source,
    record: &'a Record,
    assessment: &'a Assessment,
    w: &'a Workings,
    criteria: &'a Criteria,
    options: &'a Options,
    /// What its visits let it claim.
    claims: &'a Claims<'a>,
    pen: NumberStyle,
    /// Starts the keys of the charts, as all ids of the report.
    prefix: &'a str,
    /// Index of the visit that is reported: the last one.
    visit: Option<usize>,
    /// Numbers of the workings by the step they explain.
    traced: BTreeMap<StepId, String>,
    /// Notes are numbered once through the whole report.
    notes: Cell<usize>,
}

/// Builds the parts of a report; its pictures go beside them.
pub(super) fn of<'a>(
    subject: &'a Subject<'a>,
    options: &'a Options,
    prefix: &'a str,
    pictures: &mut Pictures,
) -> Filling {
    let mut ctx = Ctx {
        subject,
        source: subject.source,
        record: subject.record,
        assessment: subject.assessment,
        w: &subject.assessment.workings,
        criteria: subject.criteria,
        options,
        claims: &subject.claims,
        pen: NumberStyle {
            comma: options.decimal_comma,
        },
        prefix,
        visit: subject.visits.last().copied(),
        traced: BTreeMap::new(),
        notes: Cell::new(0),
    };
    let annexes = options.annexes;
    let annex = |wanted: bool, made: &dyn Fn() -> Vec<Block>| match wanted {
        true => made(),
        false => Vec::new(),
    };
    let workings = match annexes.workings {
        true => ctx.workings(),
        false => Vec::new(),
    };
    let parts = [
        ("verdict", ctx.verdict()),
        ("head", ctx.head()),
        ("diagnostics", ctx.diagnostics()),
        ("look", ctx.looks()),
        (
            "required",
            ctx.required().into_iter().chain(ctx.as_found()).collect(),
        ),
        ("unresolved", ctx.unresolved()),
        ("actions", ctx.actions()),
        ("not_done", ctx.not_done()),
        ("by_current", ctx.by_current()),
        ("curves", ctx.curves()),
        ("plate", ctx.plate()),
        ("instruments", ctx.instruments()),
        ("attachments", ctx.attachments()),
        ("remarks", ctx.remarks()),
        ("decision", ctx.decision()),
        ("end", ctx.end()),
        ("values", annex(annexes.values, &|| ctx.values_annex())),
        ("readings", annex(annexes.readings, &|| ctx.readings())),
        ("earlier", annex(annexes.earlier, &|| ctx.earlier())),
        ("workings", workings),
        ("sources", annex(annexes.sources, &|| ctx.sources())),
        ("end_mark", ctx.end_mark()),
    ];
    let mut filling = Filling::default();
    filling.text("title", &title(subject));
    filling.text("id", subject.record.plate.id_text());
    filling.text("sha256", &subject.source.sha256);
    for (name, blocks) in parts {
        filling.blocks(name, &blocks, pictures);
    }
    filling
}

/// The title of a report: where the unit stands, and its id.
pub(super) fn title(subject: &Subject<'_>) -> String {
    let record = subject.record;
    let last = subject.visits.last();
    let visit = last.and_then(|last| record.visits.get(*last));
    let place = match visit {
        Some(visit) => record.place_on(visit.date.value),
        None => record.place(),
    };
    let place = place.map(head::place).filter(|place| !place.is_empty());
    joined([place, Some(record.plate.id_text().to_owned())], " · ")
}

impl<'a> Ctx<'a> {
    /// The visit that is reported.
    fn reported(&self) -> Option<(usize, &'a Visit)> {
        let index = self.visit?;
        self.record.visits.get(index).map(|visit| (index, visit))
    }

    /// Findings of a visit.
    fn findings(&self, visit: usize) -> &'a [Finding] {
        self.assessment
            .visits
            .get(visit)
            .map_or(&[], |assessed| &assessed.findings)
    }

    /// The bytes of a visit and its tests.
    fn range(&self, visit: usize) -> std::ops::Range<u32> {
        self.start(visit)..self.start(visit + 1)
    }

    /// Where a visit begins; the end of the record behind the last.
    fn start(&self, visit: usize) -> u32 {
        self.record
            .visits
            .get(visit)
            .map_or(u32::MAX, |visit| visit.span.start)
    }

    /// `line 221 of h08-l1.ctr`: who reads a page has the record's file at best, and not its folder.
    fn written_at(&self, at: Span) -> String {
        let file = self.source.name.rsplit('/').next().unwrap_or("");
        format!("line {} of {file}", self.source.line(at.start))
    }

    /// The name of a core.
    fn core_name(&self, core: usize) -> &'a str {
        let core = self.record.cores.get(core);
        core.map_or("?", |core| core.name.as_str())
    }

    /// The next number for a note.
    fn next_note(&self) -> usize {
        self.notes.set(self.notes.get() + 1);
        self.notes.get()
    }

    /// What was written in the record, in the order of work, and the plate behind it.
    fn readings(&self) -> Vec<Block> {
        let mut blocks = Vec::new();
        if let Some(visit) = self.visit {
            let intro = "In the order of work, with the line of the record.";
            let written = self.written_within(self.range(visit), 3);
            blocks.extend(chapter("Readings as written", written));
            if !blocks.is_empty() {
                blocks.insert(1, Block::paragraph(intro));
            }
        }
        let plate = self.written_within(0..self.start(0), 3);
        blocks.extend(chapter("Plate as written", plate));
        blocks
    }

    /// Where the limits and formulas come from that were used, and of which files the report was made.
    fn sources(&self) -> Vec<Block> {
        let mut blocks = chapter(sources::TITLE, self.subject.sources.blocks());
        blocks.push(Block::chapter(sources::MADE_OF));
        blocks.push(Block::Table(sources::made_of(&self.subject.basis.parts)));
        blocks
    }

    /// What holds for the whole report: to what it relates, cautions, and what it leaves out.
    fn end(&self) -> Vec<Block> {
        let mut lines = vec![
            "The results relate only to the items tested, as they were on the day.".to_owned(),
            "Cautions: a secondary that carries, or may come to carry, primary current is never opened. A winding keeps its charge \
             after a test with direct voltage: discharge and earth it. A core is demagnetised after direct current. Local rules come first."
                .to_owned(),
        ];
        if let Some(mut said) = self.options.annexes.left_out() {
            let remembered = self.subject.sources.remembered();
            if !self.options.annexes.sources && remembered > 0 {
                let are = if remembered == 1 { "is" } else { "are" };
                said += &format!(
                    " {remembered} of the sources of limits and formulas {are} known from memory; the annex on them says which."
                );
            }
            lines.push(said);
        }
        let lines = lines.into_iter().map(|line| Block::Note(line.into()));
        vec![Block::Group("validity", lines.collect())]
    }

    /// The last line, behind whatever annexes there are.
    fn end_mark(&self) -> Vec<Block> {
        vec![Block::Note(
            format!("— end of the report on {} —", self.record.plate.id_text()).into(),
        )]
    }
}

/// A chapter with its blocks; nothing where there are none.
fn chapter(title: &str, blocks: Vec<Block>) -> Vec<Block> {
    if blocks.is_empty() {
        return blocks;
    }
    let mut all = vec![Block::chapter(title)];
    all.extend(blocks);
    all
}

/// A heading over a list; nothing where it is empty.
fn listed(level: u8, heading: &str, lines: Vec<Text>) -> Vec<Block> {
    under(Block::heading(level, heading), lines)
}

/// A block over a list; nothing where it is empty.
fn under(block: Block, lines: Vec<Text>) -> Vec<Block> {
    if lines.is_empty() {
        return Vec::new();
    }
    vec![block, Block::List(lines)]
}
