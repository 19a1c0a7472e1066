//! Interposing CTs and the main CTs that feed them: each is given the records that its `fed by:` names.

use super::shared::Parsed;
use super::survey::{Found, Survey};
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::span::Span;
use crate::record::Record;
use crate::record::feeder::{Feeder, NoMain};
use crate::record::like::SharedPlates;
use std::collections::BTreeSet;
use std::sync::Arc;

/// Records of main CTs that are read for one unit at most.
const MOST_READ: usize = 32;

/// Gives a record those of the main CTs that feed it, and tells what is wrong with what it says of them.
pub(super) fn take(
    survey: &Survey<'_>,
    found: &Found,
    plates: &SharedPlates<'_>,
    (record, told): (&mut Record, &mut Vec<Diagnostic>),
) {
    let mut feeding = Feeding {
        survey,
        plates,
        left: MOST_READ,
    };
    let own = found.id.as_deref().into_iter().collect();
    feeding.feed(record, &own, told);
}

struct Feeding<'a> {
    survey: &'a Survey<'a>,
    plates: &'a SharedPlates<'a>,
    /// How many more records are read.
    left: usize,
}

impl Feeding<'_> {
    /// `fed` are the ids on the way to a record, itself among them.
    fn feed(&mut self, record: &mut Record, fed: &BTreeSet<&str>, told: &mut Vec<Diagnostic>) {
        let places = record.places.iter_mut();
        for feeder in places.filter_map(|place| place.feeder.as_mut()) {
            told.extend(self.one(feeder, fed));
        }
    }

    fn one(&mut self, feeder: &mut Feeder, fed: &BTreeSet<&str>) -> Option<Diagnostic> {
        let main = self.survey.ids.get(&feeder.id);
        let Some(main) = main.and_then(|at| self.survey.found.get(*at)) else {
            return Some(elsewhere(feeder));
        };
        let parsed = Parsed::of(self.survey.again(main));
        let (mut record, _) = parsed.record(self.plates);
        let source = &parsed.text.source;
        let at = |span: Span| format!("{}:{}", source.name, source.line(span.start));
        let left = self.left.checked_sub(1);
        self.left = left.unwrap_or_default();
        let id = feeder.id.clone();
        let mut on_the_way = fed.clone();
        let is_new = on_the_way.insert(&id);
        if is_new && left.is_some() {
            // What is wrong there is told there.
            self.feed(&mut record, &on_the_way, &mut Vec::new());
        }
        let mut beyond = record
            .places
            .iter()
            .filter_map(|place| place.feeder.as_ref());
        let back = match is_new && left.is_some() {
            true => beyond.find(|one| matches!(one.main, Err(NoMain::Circle))),
            false => beyond.next(),
        };
        if back.is_some() || !is_new || left.is_none() {
            feeder.main = Err(NoMain::Circle);
            let back = back.map_or(record.plate.span, |one| one.span);
            return Some(circle(feeder, &at(back)));
        }
        let record = Arc::new(record);
        feeder.take(Arc::clone(&record));
        matches!(feeder.main, Err(NoMain::NoCore)).then(|| {
            let first = record.cores.first();
            let first = first.map_or(record.plate.span, |core| core.span);
            no_core(feeder, &record, &at(first))
        })
    }
}

fn elsewhere(feeder: &Feeder) -> Diagnostic {
    let title = format!("no record of this job is of the main CT `{}`", feeder.id);
    Code::FeederElsewhere
        .at(feeder.span, title)
        .label("what is known of it is not known here")
        .help("put its record into the job, or correct the id; until then neither the overall ratio nor the burden on it is judged")
}

/// `at` is the record of the main CT as `file:line`.
fn no_core(feeder: &Feeder, record: &Record, at: &str) -> Diagnostic {
    let names: Vec<&str> = record.cores.iter().map(|core| core.name.as_str()).collect();
    let title = format!("{} has no core `{}`", feeder.id, feeder.core);
    Code::FeederCore
        .at(feeder.span, title)
        .label(format!("its cores are at {at}"))
        .help(format!("cores of that record: {}", names.join(", ")))
}

/// `at` is where the main CT says what feeds it, as `file:line`.
fn circle(feeder: &Feeder, at: &str) -> Diagnostic {
    let title = format!(
        "what feeds {} leads in a circle, or by way of more than {MOST_READ} CTs",
        feeder.id
    );
    Code::FeederCircle
        .at(feeder.span, title)
        .label(format!("fed itself at {at}"))
        .help("the main CT stands in the primary circuit and no CT feeds it: write `fed by` at the interposing CT alone")
}
