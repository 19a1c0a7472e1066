//! A whole record assessed: derived values, findings, workings.

use super::finding::Finding;
use super::standing::is_answered;
use super::travel;
use crate::derive::Values;
use crate::derive::case::Case;
use crate::derive::kinds::Derived;
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
pub(super) struct Judging<'a> {
    pub case: Case<'a>,
    pub derived: &'a Derived,
    /// What earlier visits gave, oldest first.
    pub earlier: &'a [VisitAssessment],
    pub w: &'a mut Workings,
}

/// The findings about a record's derived values.
pub fn findings(
    record: &Record,
    instruments: Option<&Instruments>,
    criteria: &Criteria,
    values: Values,
) -> Assessment {
    let mut workings = values.workings;
    let mut visits: Vec<VisitAssessment> = Vec::new();
    let mut doubts: Vec<Finding> = Vec::new();
    let cases = Case::each(record, instruments, criteria);
    for (case, derived) in cases.zip(values.visits) {
        let mut findings = super::kinds::judge(&mut Judging {
            case,
            derived: &derived,
            earlier: &visits,
            w: &mut workings,
        });
        doubts.retain(|doubt| !is_answered(doubt, &findings));
        travel::travel(&mut findings, &doubts);
        super::kinds::burden::weigh(&mut findings);
        let own = findings.iter().filter(|one| travel::outlives_its_day(one));
        doubts.extend(own.cloned());
        visits.push(VisitAssessment { derived, findings });
    }
    Assessment { workings, visits }
}
