//! A whole record assessed: derived values, findings, workings.

use super::finding::Finding;
use super::rules::inspection::PLATE_VALUE;
use super::rules::self_check::SELF_CHECK;
use super::standing::Later;
use super::travel;
use crate::derive::Values;
use crate::derive::case::Case;
use crate::derive::kindred::Kindred;
use crate::derive::kinds::Derived;
use crate::derive::workings::Workings;
use crate::document::say;
use crate::ground::diagnostic::{Code, Diagnostic};
use crate::ground::span::Span;
use crate::record::Record;
use crate::record::alike::Make;
use crate::record::criteria::Criteria;
use crate::record::due::Due;
use crate::record::instruments::Instruments;
use crate::record::occasion;
use crate::record::visit::Visit;
use std::sync::Arc;

/// One visit, derived and judged.
#[derive(Clone, Debug)]
pub struct VisitAssessment {
    pub derived: Derived,
    pub findings: Vec<Finding>,
    /// Doubts that earlier visits left to it, oldest first.
    pub inherited: Vec<Finding>,
}

/// A record, derived and judged. All values are handles into `workings`.
#[derive(Debug)]
pub struct Assessment {
    pub workings: Workings,
    /// One entry per visit of the record, in its order.
    pub visits: Vec<VisitAssessment>,
    /// What the client asks for at a visit.
    pub due: Arc<Due>,
}

impl Assessment {
    /// Whether a reading was told as one that cannot be by a value of the plate that is the one that is wrong.
    #[must_use]
    pub fn explains(&self, told: &Diagnostic) -> bool {
        let findings = self.visits.iter().flat_map(|visit| &visit.findings);
        let mut named = findings.filter(|one| one.rule == &PLATE_VALUE);
        let by = |place: &Span| told.others.iter().any(|(span, _)| span == place);
        told.code == Code::ReadingImplausible && named.any(|one| one.points_at.iter().any(by))
    }
}

/// What the judges of the tests work with.
pub(super) struct Judging<'a> {
    pub case: Case<'a>,
    pub derived: &'a Derived,
    /// What earlier visits gave, oldest first.
    pub earlier: &'a [VisitAssessment],
    /// What the sisters show.
    pub sisters: &'a [&'a Kindred],
    /// What the main CTs show that feed this unit.
    pub mains: &'a [&'a Kindred],
    pub w: &'a mut Workings,
}

/// What other units show, as far as a record is judged by it.
#[derive(Clone, Copy, Debug, Default)]
pub struct Others<'a> {
    pub sisters: &'a [&'a Kindred],
    /// The main CTs that feed it, where it is an interposing CT.
    pub mains: &'a [&'a Kindred],
}

impl<'a> Judging<'a> {
    /// Earlier visits with what was found at each, oldest first; what was cured then is nothing to be held
    /// against.
    pub fn earlier_visits(
        &self,
    ) -> impl DoubleEndedIterator<Item = (&'a Visit, &'a VisitAssessment)> + use<'a> {
        let all = self.case.record.visits.iter().zip(self.earlier);
        all.filter(|(visit, _)| !visit.as_found())
    }
}

/// Whether a finding is of the tests of its part of the day.
fn is_of_part(record: &Record, visit: usize, finding: &Finding) -> bool {
    let Some(part) = record.visits.get(visit).filter(|part| part.as_found()) else {
        return true;
    };
    let test = match (finding.section, finding.points_at.first()) {
        (Some(section), _) => part.tests.get(section),
        (None, Some(at)) => part
            .tests
            .iter()
            .filter(|test| test.span.start <= at.start)
            .max_by_key(|test| test.span.start),
        (None, None) => None,
    };
    test.is_some_and(|test| part.is_own(test))
}

/// The findings about a record's derived values, beside other units.
pub fn findings(
    record: &Record,
    (instruments, criteria): (Option<&Instruments>, &Criteria),
    values: Values,
    others: Others<'_>,
) -> Assessment {
    let make = Make::of(&record.plate);
    let sisters = others.sisters.iter().copied();
    let sisters = sisters.filter(|one| make.apart(&one.make).is_none());
    let sisters: Vec<&Kindred> = sisters.collect();
    let sisters = sisters.as_slice();
    let mut workings = values.workings;
    let mut visits: Vec<VisitAssessment> = Vec::new();
    let mut doubts: Vec<(usize, Finding)> = Vec::new();
    let cases = Case::each(record, instruments, criteria);
    for (case, derived) in cases.zip(values.visits) {
        let mut judging = Judging {
            case,
            derived: &derived,
            earlier: &visits,
            sisters,
            mains: others.mains,
            w: &mut workings,
        };
        let mut findings = super::kinds::judge(&mut judging);
        super::cause::name(&judging, &mut findings);
        // What only serves the part that was found is told with what was left.
        findings.retain(|one| is_of_part(record, case.index, one));
        for finding in &mut findings {
            let test = finding.section.and_then(|at| case.visit.tests.get(at));
            let own = test.and_then(|test| test.instrument.value());
            let used = own.or(case.visit.instrument.value());
            finding.instrument = used.cloned();
            let earlier = finding.rests_on.and_then(|at| record.visits.get(at));
            let remark = earlier.map(|visit| say!("by the curve of {}", visit.name()));
            finding.remarks.extend(remark);
        }
        let later = Later {
            visits: &visits,
            derived: &derived,
            record,
            index: case.index,
            findings: &findings.iter().collect::<Vec<_>>(),
        };
        let together = occasion::up_to(record, case.index);
        doubts.retain(|(visit, doubt)| {
            // What an instrument was found to do is told of the work that it was used for.
            let of_work = doubt.rule != &SELF_CHECK || together.contains(visit);
            of_work && !later.answers(*visit, doubt)
        });
        travel::travel(&mut findings, &doubts);
        super::kinds::burden::weigh(&mut findings);
        let inherited = doubts.iter().map(|(_, doubt)| doubt);
        let inherited = inherited.filter(|one| travel::outlives_its_day(one));
        let inherited = inherited.cloned().collect();
        let own = findings.iter().filter(|one| travel::is_doubt(one));
        doubts.extend(own.map(|one| (case.index, one.clone())));
        let mut derived = derived;
        if case.visit.as_found() {
            let tests = &case.visit.tests;
            let own = |at: usize| tests.get(at).is_some_and(|test| case.visit.is_own(test));
            derived.insulation.retain(|one| own(one.test));
            derived.resistance.retain(|one| own(one.test));
            derived.excitation.retain(|one| own(one.test));
            derived.burden.retain(|one| own(one.test));
            derived.ratio.runs.retain(|one| own(one.test));
        }
        visits.push(VisitAssessment {
            derived,
            findings,
            inherited,
        });
    }
    Assessment {
        workings,
        visits,
        due: Arc::clone(&criteria.due),
    }
}
