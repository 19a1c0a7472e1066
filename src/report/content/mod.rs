//! What the report of a CT says, as finished strings for the templates.

mod asides;
mod cores;
mod figures;
mod head;
mod instruments;
mod plate;
mod readings;
mod text;
mod values;
mod verdicts;
mod workings;

use self::readings::{Sheet, Sheets};
use self::text::Pen;
use super::summary::Summary;
use super::{Options, Subject};
use crate::derive::workings::{StepId, Workings};
use crate::ground::source::Source;
use crate::judge::Assessment;
use crate::judge::finding::Finding;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::visit::Visit;
use serde::Serialize;
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
    pen: Pen,
    /// Starts the ids of the charts.
    slug: &'a str,
    /// Index of the visit that is reported: the last one.
    visit: Option<usize>,
    /// Numbers of the workings by the step they explain.
    traced: BTreeMap<StepId, String>,
}

/// The report of one CT, as `templates/ct.md` gets it.
#[derive(Debug, Serialize)]
pub(super) struct Content {
    title: String,
    id: String,
    head: head::Head,
    errors: Vec<String>,
    warnings: Vec<String>,
    verdicts: verdicts::Verdicts,
    plate: plate::PlateTable,
    unit: Vec<cores::TestPart>,
    cores: Vec<cores::CorePart>,
    not_done: Vec<asides::NotDone>,
    actions: Vec<asides::ActionRow>,
    notes: Vec<String>,
    readings: Vec<Sheet>,
    plate_sheets: Vec<Sheet>,
    earlier: Vec<cores::EarlierVisit>,
    instruments: Vec<instruments::InstrumentRow>,
    decision: Vec<String>,
    workings: Vec<workings::Working>,
    /// The appendix holds only what deserves a look.
    workings_in_part: bool,
    sha256: String,
    source_name: String,
}

/// Builds content and charts of a subject.
pub(super) fn of(
    subject: &Subject<'_>,
    options: &Options,
    slug: &str,
    summary: &Summary,
) -> (Content, BTreeMap<String, String>) {
    let mut ctx = Ctx {
        subject,
        source: subject.source,
        record: subject.record,
        assessment: subject.assessment,
        w: &subject.assessment.workings,
        criteria: subject.criteria,
        options,
        pen: Pen {
            comma: options.decimal_comma,
        },
        slug,
        visit: subject.record.visits.len().checked_sub(1),
        traced: BTreeMap::new(),
    };
    let workings = ctx.workings();
    let mut charts = BTreeMap::new();
    let ieee = ctx.record.plate.family() == crate::standards::Family::Ieee;
    let sheets = Sheets::new(ctx.source, ieee, ctx.pen);
    let content = Content {
        title: ctx.pen.say(&title(subject.record)),
        id: super::escape_markdown(subject.record.plate.id_text()),
        head: ctx.head(),
        errors: ctx.told(true),
        warnings: ctx.told(false),
        verdicts: ctx.verdicts(summary),
        plate: ctx.plate(),
        unit: ctx.unit_part(),
        cores: ctx.cores(&mut charts),
        not_done: ctx.not_done(),
        actions: ctx.actions(),
        notes: ctx.notes(),
        readings: ctx
            .visit
            .map(|visit| sheets.within(ctx.range(visit)))
            .unwrap_or_default(),
        plate_sheets: sheets.within(
            0..ctx
                .record
                .visits
                .first()
                .map_or(u32::MAX, |visit| visit.span.start),
        ),
        earlier: ctx.earlier(&sheets),
        instruments: ctx.instruments(),
        decision: ctx.decision(),
        workings,
        workings_in_part: options.workings == super::Worked::ToLookAt,
        sha256: ctx.source.sha256.clone(),
        // The name alone: where the file lies on this machine is nobody's business.
        source_name: super::escape_markdown(ctx.source.name.rsplit('/').next().unwrap_or("")),
    };
    (content, charts)
}

/// The title of a report.
pub(super) fn title(record: &Record) -> String {
    format!("Current transformer {}", record.plate.id_text())
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
        let start = self
            .record
            .visits
            .get(visit)
            .map_or(u32::MAX, |visit| visit.span.start);
        let end = self
            .record
            .visits
            .get(visit + 1)
            .map_or(u32::MAX, |visit| visit.span.start);
        start..end
    }
}
