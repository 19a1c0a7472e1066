//! The same value in other places: what makes two findings the same, and where to look for them.

use crate::derive::workings::Value;
use crate::judge::assess::Assessment;
use crate::judge::finding::{Finding, Found, Grade};
use crate::record::Record;
use crate::record::core::Core;
use crate::trade::Purpose;

/// A CT that ought to give nearly the same values: same bay or same set, with a core of the same
/// name, ratio and class.
#[derive(Clone, Debug)]
pub struct Sister<'a> {
    pub id: String,
    /// Where it stands: "Skerrow 132 kV, H08, L2".
    pub place: String,
    pub record: &'a Record,
    pub assessment: &'a Assessment,
}

/// A finding of another visit of the same CT.
#[derive(Clone, Copy, Debug)]
pub struct Other<'a> {
    /// Index of the visit in the record.
    pub visit: usize,
    pub finding: &'a Finding,
}

/// What stands beside a finding.
#[derive(Clone, Debug, Default)]
pub struct Beside<'a> {
    /// From a visit whose purpose is `factory`.
    pub factory: Option<Other<'a>>,
    /// From the last earlier visit that has it and is not the maker's.
    pub last: Option<Other<'a>>,
    /// Median of the sisters, in the SI unit of the finding, and how many there are.
    pub sisters: Option<(f64, usize)>,
}

/// Whether two records are sisters by their places: same site and bay, or same set.
pub fn is_sister(a: &Record, b: &Record) -> bool {
    let (Some(one), Some(other)) = (a.place(), b.place()) else {
        return false;
    };
    let equal =
        |x: Option<&String>, y: Option<&String>| matches!((x, y), (Some(x), Some(y)) if x == y);
    let bay =
        equal(one.site.value(), other.site.value()) && equal(one.bay.value(), other.bay.value());
    bay || equal(one.set.value(), other.set.value())
}

/// Whether a sister's core may be compared: same name, ratios, terminals and class.
fn is_like(a: &Core, b: &Core) -> bool {
    let class = |core: &Core| core.class.value().map(crate::trade::Class::text);
    a.name == b.name
        && a.full_ratio() == b.full_ratio()
        && a.marks.len() == b.marks.len()
        && class(a) == class(b)
}

/// The core of `record` that is like core `core` of `of`.
pub fn like_core(of: &Record, core: usize, record: &Record) -> Option<usize> {
    let own = of.cores.get(core)?;
    record.cores.iter().position(|other| is_like(own, other))
}

/// Everything that stands beside a finding of visit `visit`.
pub fn beside<'a>(
    record: &Record,
    assessment: &'a Assessment,
    sisters: &[Sister<'_>],
    visit: usize,
    finding: &Finding,
) -> Beside<'a> {
    let earlier = |factory: bool| {
        (0..visit).rev().find_map(|index| {
            let maker = record.visits.get(index)?.purpose() == Purpose::Factory;
            let same = assessment
                .visits
                .get(index)?
                .findings
                .iter()
                .find(|other| finding.is_same(other) && number(other).is_some());
            same.filter(|_| maker == factory).map(|finding| Other {
                visit: index,
                finding,
            })
        })
    };
    Beside {
        factory: earlier(true),
        last: earlier(false),
        sisters: sister_median(record, sisters, finding),
    }
}

/// Median of the sisters' latest values of a finding, and how many there are. A CT that is sick
/// itself does not move a median of three or more as it would move a mean.
pub fn sister_median(
    record: &Record,
    sisters: &[Sister<'_>],
    finding: &Finding,
) -> Option<(f64, usize)> {
    let mut values: Vec<f64> = sisters
        .iter()
        .filter_map(|sister| sister_value(record, sister, finding))
        .collect();
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    let upper = *values.get(middle)?;
    let median = if values.len() % 2 == 1 {
        upper
    } else {
        0.5 * values.get(middle.checked_sub(1)?)? + 0.5 * upper
    };
    median.is_finite().then_some((median, values.len()))
}

fn sister_value(record: &Record, sister: &Sister<'_>, finding: &Finding) -> Option<f64> {
    let core = match finding.core {
        Some(core) => Some(like_core(record, core, sister.record)?),
        None => None,
    };
    let visits = sister
        .record
        .visits
        .iter()
        .zip(&sister.assessment.visits)
        .rev();
    let mut own = visits.filter(|(visit, _)| visit.purpose() != Purpose::Factory);
    own.find_map(|(_, assessed)| {
        let same = assessed
            .findings
            .iter()
            .find(|other| finding.is_same_on(core, other))?;
        number(same).map(|value| value.si)
    })
}

/// The number of a finding when it is known on both sides.
fn number(finding: &Finding) -> Option<Value> {
    match finding.found {
        Found::Known(value) if value.si.is_finite() => Some(value),
        _ => None,
    }
}

/// Findings of earlier visits that are for review or fail, and that no later visit has measured again, with
/// the index of their visit.
pub fn standing(assessment: &Assessment) -> Vec<(usize, &Finding)> {
    let last = assessment.visits.len().saturating_sub(1);
    let mut found = Vec::new();
    for (index, visit) in assessment.visits.iter().enumerate().take(last) {
        for finding in visit
            .findings
            .iter()
            .filter(|finding| finding.grade() >= Grade::Review)
        {
            let later = assessment.visits.iter().skip(index + 1);
            if !later
                .flat_map(|visit| &visit.findings)
                .any(|other| other.answers(finding))
            {
                found.push((index, finding));
            }
        }
    }
    found
}

/// The sisters of a record among others, in their order.
pub fn sisters<'a>(
    own: &Record,
    others: impl Iterator<Item = (&'a Record, &'a Assessment)>,
) -> Vec<Sister<'a>> {
    let close = others.filter(|(record, _)| !std::ptr::eq(*record, own) && is_sister(own, record));
    let sister = |(record, assessment): (&'a Record, &'a Assessment)| Sister {
        id: record.plate.id_text().to_owned(),
        place: record
            .place()
            .map(crate::record::place::Place::text)
            .unwrap_or_default(),
        record,
        assessment,
    };
    close.map(sister).collect()
}
