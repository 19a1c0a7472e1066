//! A whole record assessed: derived values, findings, workings.

use super::finding::{Finding, Grade, Whose};
use crate::derive::case::Case;
use crate::derive::kinds::{Derived, visit as derive_visit};
use crate::derive::workings::Workings;
use crate::record::Record;
use crate::record::criteria::Criteria;
use crate::record::instruments::Instruments;

/// One visit, derived and judged.
#[derive(Clone, Debug)]
pub struct VisitAssessment {
    pub derived: Derived,
    pub findings: Vec<Finding>,
}

/// A record, derived and judged. All values are handles into `workings`.
#[derive(Debug)]
pub struct Assessment {
    pub workings: Workings,
    /// One entry per visit of the record, in its order.
    pub visits: Vec<VisitAssessment>,
}

/// What the judges of the tests work with.
pub struct Judging<'a> {
    pub case: Case<'a>,
    pub derived: &'a Derived,
    /// What earlier visits gave, oldest first.
    pub earlier: &'a [VisitAssessment],
    pub w: &'a mut Workings,
    pub findings: Vec<Finding>,
}

/// Derives and judges a record.
pub fn assess(
    record: &Record,
    instruments: Option<&Instruments>,
    criteria: &Criteria,
) -> Assessment {
    let mut workings = Workings::new();
    let mut visits: Vec<VisitAssessment> = Vec::new();
    for (index, visit) in record.visits.iter().enumerate() {
        let case = Case {
            record,
            visit,
            index,
            instruments,
            criteria,
        };
        let derived = derive_visit(&case, &mut workings);
        let mut judging = Judging {
            case,
            derived: &derived,
            earlier: &visits,
            w: &mut workings,
            findings: Vec::new(),
        };
        super::kinds::judge(&mut judging);
        let findings = judging.findings;
        visits.push(VisitAssessment { derived, findings });
    }
    Assessment { workings, visits }
}

impl Assessment {
    /// The worst grade among the findings of one owner in one visit.
    pub fn grade(&self, visit: usize, whose: Whose) -> Option<Grade> {
        let findings = self
            .visits
            .get(visit)?
            .findings
            .iter()
            .filter(|finding| finding.whose == whose);
        findings.map(Finding::grade).max()
    }

    /// Findings that are out of their limits, visit by visit.
    pub fn bad(&self) -> impl Iterator<Item = (usize, &Finding)> {
        let all =
            self.visits.iter().enumerate().flat_map(|(index, visit)| {
                visit.findings.iter().map(move |finding| (index, finding))
            });
        all.filter(|(_, finding)| finding.grade() == Grade::Bad)
    }
}
