//! A curve against an earlier one of the same pair: the limits between the two.

use crate::derive::curve::Curve;
use crate::derive::kinds::excitation::Excited;
use crate::derive::kinds::excitation::against::{Against, Compared, compare};
use crate::document::{Grade, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::Word;
use crate::judge::finding::{self, Finding, Verdict, unit};
use crate::judge::rules::Rule;
use crate::judge::rules::excitation as rules;
use crate::judge::words::quantity;
use crate::record::visit::Visit;
use crate::standards::{Family, Threshold, threshold};
use crate::trade::Purpose;

pub(super) fn judge(j: &mut Judging<'_>, excited: &Excited, out: &mut Vec<Finding>) {
    let (Some(held), Some(most), Some(least)) = (
        of(j, excited).filter(|_| !excited.with_burden),
        threshold("ieee-excitation-current"),
        threshold("ieee-excitation-voltage"),
    ) else {
        return;
    };
    let name = Condition::Against(held.visit.name());
    let compared = compare(j.w, held.curve, held.earlier, held.knee);
    let below = below(j, excited, &compared, most, &name);
    let above = above(j, excited, &compared, least, name);
    out.extend(below.into_iter().chain(above));
}

/// A curve with the earlier one that it is held against.
pub(in crate::judge) struct Reference<'a> {
    pub visit: &'a Visit,
    pub curve: &'a Curve,
    pub earlier: &'a Curve,
    /// Volt, of the earlier curve.
    pub knee: f64,
}

/// The curve to compare with, if there is one.
pub(in crate::judge) fn of<'a>(j: &Judging<'a>, excited: &'a Excited) -> Option<Reference<'a>> {
    let curve = excited.curve.as_ref()?;
    let (visit, then) = oldest(j, excited)?;
    let earlier = then.curve.as_ref()?;
    let knee = then.knee_or_end(&j.case)?;
    Some(Reference {
        visit,
        curve,
        earlier,
        knee,
    })
}

/// The curve to compare with: the maker's if there is one, else the oldest.
fn oldest<'a>(j: &Judging<'a>, excited: &Excited) -> Option<(&'a Visit, &'a Excited)> {
    let visits = j.earlier_visits();
    let mut found: Option<(&'a Visit, &'a Excited)> = None;
    for (visit, assessed) in visits {
        let mut of_visit = assessed.derived.excitation.iter();
        let fits = |other: &&Excited| {
            let known = other.curve.is_some() && other.doubtful.is_none();
            let usable = known && !other.with_burden;
            usable && other.pair == excited.pair && same_frequency(other, excited)
        };
        let Some(last) = of_visit.rfind(fits) else {
            continue;
        };
        if visit.purpose() == Purpose::Factory {
            return Some((visit, last));
        }
        found = found.or(Some((visit, last)));
    }
    found
}

fn same_frequency(a: &Excited, b: &Excited) -> bool {
    let near = threshold("curve-frequency").map_or(0.0, |row| row.limit / 100.0);
    match (a.other_frequency, b.other_frequency) {
        (None, None) => true,
        (Some(a), Some(b)) => (a - b).abs() <= near * a.abs(),
        _ => false,
    }
}

fn at(excited: &Excited, one: &Against) -> Vec<Span> {
    excited.rows.get(one.at).copied().into_iter().collect()
}

/// A reading of the curve beside another curve. A tolerance that is exceeded asks for a look; it is no
/// limit of the transformer.
fn beside(
    j: &Judging<'_>,
    (rule, conditions): (&'static Rule, Vec<Condition>),
    limit: finding::Against,
    excited: &Excited,
    one: &Against,
) -> Finding {
    let mut finding = Finding::new(rule, one.ratio, unit::PERCENT)
        .at(excited.test, excited.pair, at(excited, one))
        .against(j, limit);
    finding.conditions = conditions;
    match finding.verdict {
        Verdict::Word(Word::Fail) => finding.graded(Grade::Review),
        _ => finding,
    }
    .withheld(excited.doubtful)
}

fn below(
    j: &Judging<'_>,
    excited: &Excited,
    compared: &Compared,
    row: &Threshold,
    name: &Condition,
) -> Option<Finding> {
    let all = &compared.below;
    let (low, high) = all.first().zip(all.last())?;
    let worst = all
        .iter()
        .max_by(|a, b| a.ratio.si.total_cmp(&b.ratio.si))?;
    let conditions = vec![name.clone(), Condition::Voltage(worst.v)];
    let rule = (&rules::CURVE_ABOVE_REFERENCE, conditions);
    let limit = finding::Against::at_most(row.limit, &j.after(Family::Ieee, &row.cited));
    let finding = beside(j, rule, limit, excited, worst);
    Some(finding.remark(say!(
        "{} at {}, {} at {} near the knee",
        quantity(low.ratio.si, 3, unit::PERCENT),
        quantity(low.v, 3, unit::VOLT),
        quantity(high.ratio.si, 3, unit::PERCENT),
        quantity(high.v, 3, unit::VOLT)
    )))
}

fn above(
    j: &Judging<'_>,
    excited: &Excited,
    compared: &Compared,
    row: &Threshold,
    name: Condition,
) -> Option<Finding> {
    let all = compared.above.iter();
    let worst = all.min_by(|a, b| a.ratio.si.total_cmp(&b.ratio.si))?;
    let rule = (&rules::CURVE_BELOW_REFERENCE, vec![name]);
    let limit = finding::Against::at_least(row.limit, &j.after(Family::Ieee, &row.cited));
    Some(beside(j, rule, limit, excited, worst))
}
