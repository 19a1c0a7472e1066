//! IEEE classes by current: the parallelogram of a metering class by its two inequalities, and the
//! ratio error of a relay class at rated current.

use super::class::{Lies, lies, rated, volt_amperes};
use super::current::{Limits, point};
use super::shown::{Promise, Row, Shown};
use super::{heads, shown};
use crate::derive::kinds::ratio::{Burdened, Point, Run, rated_burden};
use crate::derive::workings::Value;
use crate::document::{Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::condition::{self, Condition};
use crate::judge::decision::{Requirement, Word};
use crate::judge::finding::{Finding, Found, Verdict, unit};
use crate::judge::kinds::doubt::{held, withheld};
use crate::judge::rules::{self, Rule};
use crate::judge::verdict::cited_limit;
use crate::standards::{
    AIM, MeteringRow, ieee_burden, ieee_metering, ieee_relay, ieee_relay_at_rated,
};
use crate::trade::Burden;

/// A metering class: both inequalities at each current, with the burden named.
pub(super) fn metering(
    j: &mut Judging<'_>,
    run: &Run,
    name: &str,
    burden: Option<&str>,
    so_far: &mut Vec<Shown>,
) {
    let known = ieee_metering(name);
    let named = burden.map(str::to_owned).or_else(|| designation(j, run));
    let place = burden_place(j, run, named.as_deref());
    let class_burden = named.clone().map(Burdened::Designated);
    let class: Vec<Condition> = std::iter::once(Condition::Class(name.to_owned()))
        .chain(class_burden.map(Condition::Burden))
        .collect();
    let refuse = match (known, place) {
        (None, _) => Some("no limit is known for this class"),
        (Some(known), _) if !known.judged => {
            Some("the limits of this class are not certain enough to judge by")
        }
        (_, Lies::Rated) => None,
        (_, Lies::Unknown) => Some(
            "no verdict of the class: the burden of the test, or that of the class, is not known",
        ),
        (_, _) => Some("no verdict of the class: the class holds at its own burden only"),
    };
    let core = j.case.core(run.pair);
    let factor = core.and_then(|core| core.rating_factor.value().copied());
    let factor = factor.unwrap_or(1.0);
    let mut rows = Vec::new();
    for each in &run.points {
        let as_factors = Some("judged as correction factors");
        let raw = point(j, run, each, Limits::NONE, as_factors);
        j.findings.extend(raw);
        let row = known.and_then(|known| known.at(each.percent, factor));
        let limit = refuse.map_or_else(|| row.ok_or(NO_LIMIT_HERE), Err);
        let findings = inequalities(j, run, each, &class, limit);
        rows.extend(row.filter(|_| refuse.is_none()).map(|row| {
            Row {
                percent: listed(each.percent, row, factor),
                verdicts: findings
                    .iter()
                    .map(|finding| finding.verdict.clone())
                    .collect(),
                complete: each.tcf.is_some(),
            }
        }));
        j.findings.extend(findings);
    }
    let rows_known = known.map(|known| known.rows.as_slice()).unwrap_or_default();
    let mut wanted: Vec<f64> = rows_known.iter().map(|row| row.percent).collect();
    wanted.extend((factor > 1.0 && !wanted.is_empty()).then_some(100.0 * factor));
    let own = || named.as_deref().and_then(ieee_burden).map(|known| known.va);
    let end = rated(&j.case, run.pair).map(|rated| rated.va).or_else(own);
    let promise = Promise {
        class,
        wanted,
        ends: end.map(|va| (Lies::Rated, va)).into_iter().collect(),
    };
    shown::add(so_far, run, promise, place, rows);
}

/// Why a current has no verdict.
pub(super) const NO_LIMIT_HERE: &str = "the class has no limit at this current";

/// The listed current that a reading stands for, or itself when it lies between.
fn listed(percent: f64, row: &MeteringRow, factor: f64) -> f64 {
    let near = |to: &f64| (percent - to).abs() <= AIM * to;
    let ends = [row.percent, 100.0 * factor];
    ends.into_iter().find(near).unwrap_or(percent)
}

fn designation(j: &Judging<'_>, run: &Run) -> Option<String> {
    match rated_burden(&j.case, run.pair)?.0 {
        Burden::Designation(name) => Some(name.clone()),
        _ => None,
    }
}

fn burden_place(j: &Judging<'_>, run: &Run, named: Option<&str>) -> Lies {
    if let (Some(named), Burdened::Designated(used)) = (named, &run.burden) {
        return if named.eq_ignore_ascii_case(used) {
            Lies::Rated
        } else {
            Lies::Between
        };
    }
    let wanted = named
        .and_then(ieee_burden)
        .map(|known| known.va)
        .or_else(|| rated(&j.case, run.pair).map(|rated| rated.va));
    wanted.map_or(Lies::Unknown, |va| lies(volt_amperes(&run.burden), va, va))
}

/// Both inequalities at one current, or why they are not judged.
fn inequalities(
    j: &Judging<'_>,
    run: &Run,
    each: &Point,
    class: &[Condition],
    limit: Result<&MeteringRow, &'static str>,
) -> Vec<Finding> {
    let factors = [
        (&rules::RATIO_CORRECTION_FACTOR, each.rcf),
        (&rules::TRANSFORMER_CORRECTION_FACTOR, each.tcf),
    ];
    let finding = |(rule, value): (&'static Rule, Option<Value>)| {
        let is_needed = rule == &rules::TRANSFORMER_CORRECTION_FACTOR && limit.is_ok();
        let found = match value {
            Some(value) => Found::Known(value),
            None if is_needed => Found::Nothing,
            None => return None,
        };
        let mut finding = Finding::new(rule, found, unit::ONE)
            .at(run.test, run.pair, vec![each.row])
            .under(Condition::Percent(each.percent));
        finding.conditions.extend_from_slice(class);
        Some(match (limit, value) {
            (Ok(row), Some(_)) => {
                let both = Requirement::between(row.tcf_min, row.tcf_max);
                held(
                    j,
                    finding,
                    cited_limit(both, &row.cited).needs_u(),
                    run.doubtful,
                )
            }
            (Ok(_), None) => {
                finding.verdict =
                    Verdict::NotShown("the parallelogram needs ratio and phase".into());
                withheld(finding, run.doubtful)
            }
            (Err(why), _) => withheld(finding.remark(why), run.doubtful),
        })
    };
    factors.into_iter().filter_map(finding).collect()
}

/// A relay class: ratio error at rated current and its standard burden. With less burden it can only be
/// shown not to be met.
pub(super) fn relay(j: &mut Judging<'_>, run: &Run, volts: f64) {
    let standard = j.case.record.plate.standard.value();
    let limit = ieee_relay_at_rated(standard.and_then(|standard| standard.edition));
    let own = ieee_relay(volts).map(|class| class.burden.clone());
    let place = burden_place(j, run, own.as_deref());
    let burden = own.map_or_else(|| "its standard burden".into(), Phrase::from);
    for each in &run.points {
        let here = (each.percent - 100.0).abs() <= AIM * 100.0;
        let refuse = (!here).then_some("the class states a limit at rated current only");
        let ratio = limit.map(|limit| super::within(limit.limit, &limit.cited));
        let findings = point(j, run, each, Limits { ratio, phase: None }, refuse);
        let heads = here && heads(j, run.pair);
        for mut finding in findings {
            let is_ratio = finding.rule == &rules::RATIO_ERROR;
            finding.headline = heads && is_ratio;
            let judged = here && is_ratio && run.doubtful.is_none();
            if judged && place != Lies::Rated {
                lesser_burden(&mut finding, place, &burden, &run.burden);
            }
            j.findings.push(finding);
        }
    }
}

fn lesser_burden(finding: &mut Finding, place: Lies, burden: &Phrase, used: &Burdened) {
    let less = matches!(place, Lies::Below | Lies::Between | Lies::Least);
    finding.verdict = match &finding.verdict {
        Verdict::Word(Word::Fail) if less => Verdict::NotMet,
        _ => Verdict::NotShown(say!(
            "needs a reading at {}, this one is at {}",
            burden.clone(),
            condition::burden(used)
        )),
    };
}
