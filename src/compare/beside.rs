//! The same value in other places: what makes two findings the same, and where to look for them.

use super::history::{History, history};
use crate::document::Grade;
use crate::ground::median::median;
use crate::judge::Assessment;
use crate::judge::finding::Finding;
use crate::record::Record;
use crate::record::alike::{self, Make, are_sisters};
use crate::record::criteria::Criteria;
use crate::record::place::Place;
use crate::trade::Purpose;

/// A CT that ought to give nearly the same values: same bay or same set.
#[derive(Clone, Debug)]
pub struct Sister<'a> {
    pub id: String,
    /// Where it stands: "Skerrow 132 kV, H08, L2".
    pub place: String,
    pub record: &'a Record,
    pub assessment: &'a Assessment,
    /// Why it is not held against the unit all the same.
    pub apart: Option<&'static str>,
}

/// What stands beside a finding.
#[derive(Clone, Debug, Default)]
pub struct Beside<'a> {
    pub history: History<'a>,
    /// Median of the sisters, in the SI unit of the finding, and how many there are.
    pub sisters: Option<(f64, usize)>,
}

/// The core of `record` that is like core `core` of `of`.
pub fn like_core(of: &Record, core: usize, record: &Record) -> Option<usize> {
    let own = of.cores.get(core)?;
    alike::like_core(own, &record.cores)
}

/// Everything that stands beside a finding of visit `visit`.
pub fn beside<'a>(
    record: &Record,
    assessment: &'a Assessment,
    criteria: &Criteria,
    sisters: &[Sister<'_>],
    visit: usize,
    finding: &Finding,
) -> Beside<'a> {
    Beside {
        history: history(record, assessment, criteria, visit, finding),
        sisters: sister_median(record, sisters, finding),
    }
}

/// Median of the sisters' latest values of a finding, and how many there are, without those that fail or
/// are in doubt themselves.
fn sister_median(
    record: &Record,
    sisters: &[Sister<'_>],
    finding: &Finding,
) -> Option<(f64, usize)> {
    // What fails itself, or is in doubt, is no measure for others.
    let values = sisters.iter();
    let values = values.filter_map(|sister| {
        let other = sister_finding(record, sister, finding)?;
        number(other).filter(|_| other.grade() <= Grade::Pass)
    });
    let mut values: Vec<f64> = values.collect();
    Some((median(&mut values)?, values.len()))
}

/// The latest of a sister's findings of the same value that has a number.
fn sister_finding<'a>(
    record: &Record,
    sister: &Sister<'a>,
    finding: &Finding,
) -> Option<&'a Finding> {
    let core = match finding.core {
        Some(core) => Some(like_core(record, core, sister.record)?),
        None => None,
    };
    let visits = sister.record.visits.iter().zip(&sister.assessment.visits);
    let own = visits.filter(|(visit, _)| visit.purpose() != Purpose::Factory);
    own.rev().find_map(|(_, assessed)| {
        let mut found = assessed.findings.iter();
        found.find(|other| finding.is_same_on(core, other) && number(other).is_some())
    })
}

/// The number of a finding when it is known on both sides.
fn number(finding: &Finding) -> Option<f64> {
    finding
        .known()
        .map(|value| value.si)
        .filter(|si| si.is_finite())
}

/// Another record as a sister of one, if it is one.
pub fn sister<'a>(
    own: &Record,
    record: &'a Record,
    assessment: &'a Assessment,
) -> Option<Sister<'a>> {
    let place = record.place()?;
    // Two records of one id are one unit, told twice.
    let id = |of: &Record| of.plate.id.value().cloned();
    if id(own).is_some() && id(own) == id(record) {
        return None;
    }
    let apart = || Make::of(&own.plate).apart(&Make::of(&record.plate));
    are_sisters(own.place()?, place).then(|| Sister {
        apart: apart(),
        id: record.plate.id_text().to_owned(),
        place: Place::text(place),
        record,
        assessment,
    })
}

/// The sisters of a record among others, in their order.
pub fn sisters<'a>(
    own: &Record,
    others: impl Iterator<Item = (&'a Record, &'a Assessment)>,
) -> Vec<Sister<'a>> {
    let others = others.filter(|(record, _)| !std::ptr::eq(*record, own));
    let sisters = others.filter_map(|(record, assessment)| sister(own, record, assessment));
    sisters.collect()
}
