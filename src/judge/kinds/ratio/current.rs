//! Errors by current against the class: IEC measuring and protection classes. IEEE stands beside.

use super::class::{Lies, lies, measuring_class, rated, volt_amperes};
use super::ieee::NO_LIMIT_HERE;
use super::shown::{Promise, Row, Shown};
use super::{FAR_OFF, advice, heads, ieee, shown, within};
use crate::derive::kinds::ratio::{Point, Run};
use crate::document::{Grade, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Against, Finding, Found, Verdict, unit};
use crate::judge::kinds::doubt::{held, withheld};
use crate::judge::rules;
use crate::judge::verdict::cited_limit;
use crate::judge::words::brief;
use crate::standards::{AIM, Cited, protection, transient};
use crate::trade::Class;

pub(super) fn judge(j: &mut Judging<'_>) {
    let derived = j.derived;
    let mut shown_so_far: Vec<Shown> = Vec::new();
    for run in &derived.ratio.runs {
        let Some(core) = j.case.core(run.pair) else {
            continue;
        };
        match core.class_of(run.pair) {
            Some(Class::Measuring { .. }) => measuring(j, run, &mut shown_so_far),
            Some(class @ (Class::Protection { .. } | Class::Transient(_))) => {
                at_rated(j, run, class)
            }
            Some(Class::IeeeMetering { name, burden }) => {
                ieee::metering(j, run, name, burden.as_deref(), &mut shown_so_far)
            }
            Some(Class::IeeeRelay { volts, .. }) => ieee::relay(j, run, *volts),
            Some(Class::Knee { .. }) => free(
                j,
                run,
                "the class limits the turns ratio, not the error at a current",
            ),
            Some(Class::Other(_)) => free(j, run, "no limit is known for this class"),
            None => free(j, run, "the plate gives no class for this pair"),
        }
    }
    shown::tell(j, shown_so_far);
}

/// The limits of one point: ratio in per cent, phase in radian.
pub(super) struct Limits {
    pub ratio: Option<Against>,
    pub phase: Option<Against>,
}

impl Limits {
    pub const NONE: Self = Self {
        ratio: None,
        phase: None,
    };
}

/// The findings of a point, ratio first. `refuse` says why no limit is applied.
pub(super) fn point(
    j: &Judging<'_>,
    run: &Run,
    point: &Point,
    limits: Limits,
    refuse: Option<&'static str>,
) -> Vec<Finding> {
    let how = if point.compared {
        "as read on the comparator"
    } else {
        "computed from two currents"
    };
    let finding = |rule, value, unit, limit: Option<Against>, how| {
        let finding = Finding::new(rule, Found::Known(value), unit)
            .at(run.test, run.pair, vec![point.row])
            .under(Condition::Percent(point.percent))
            .under(Condition::Burden(run.burden.clone()))
            .remark(how);
        match (limit, refuse) {
            (_, Some(why)) => withheld(finding.remark(why), run.doubtful),
            (Some(limit), None) => held(j, finding, limit, run.doubtful),
            (None, None) => withheld(finding, run.doubtful),
        }
    };
    let ratio = point.error.map(|error| {
        let rule = &rules::RATIO_ERROR;
        let finding = finding(rule, error, unit::PERCENT, limits.ratio, how);
        far_off(finding, error.si)
    });
    let phase = point.phase.map(|phase| {
        let unit = if point.in_centiradians {
            unit::CENTIRADIAN
        } else {
            unit::MINUTE_OF_ARC
        };
        let sign = "positive when the secondary leads";
        finding(&rules::PHASE_DISPLACEMENT, phase, unit, limits.phase, sign)
    });
    ratio.into_iter().chain(phase).collect()
}

/// An error that no class knows: the connection is wrong, whatever the limit.
fn far_off(mut finding: Finding, error: f64) -> Finding {
    if error.abs() <= FAR_OFF {
        return finding;
    }
    if finding.verdict == Verdict::NoLimit {
        finding.verdict = Verdict::Observed(Grade::Review);
    }
    finding.next(advice(1.0 + error / 100.0, 0.02))
}

fn free(j: &mut Judging<'_>, run: &Run, why: &'static str) {
    for each in &run.points {
        let findings = point(j, run, each, Limits::NONE, Some(why));
        j.findings.extend(findings);
    }
}

fn measuring(j: &mut Judging<'_>, run: &Run, so_far: &mut Vec<Shown>) {
    let Some((class, extended)) = measuring_class(&j.case, run.pair) else {
        return;
    };
    let rated = rated(&j.case, run.pair);
    let range = rated.as_ref().map(|rated| {
        let least = rated
            .least
            .unwrap_or(rated.va * class.burden_min_pct / 100.0);
        (least, rated.va * class.burden_max_pct / 100.0)
    });
    let place = range.map_or(Lies::Unknown, |(least, most)| {
        lies(volt_amperes(&run.burden), least, most)
    });
    let refuse = match place {
        Lies::Below => Some("no verdict of the class: the burden is below its range"),
        Lies::Above => Some("no verdict of the class: the burden is above rated"),
        Lies::Unknown => {
            Some("no verdict of the class: the burden of the test, or the rated one, is not known")
        }
        Lies::Rated | Lies::Least | Lies::Between => None,
    };
    if refuse.is_some() {
        let span = rated.as_ref().map(|rated| rated.span);
        j.findings
            .push(outside(run, place, range, &class.burden_cited, span));
    }
    let mut rows = Vec::new();
    for each in &run.points {
        let limit = class.at(each.percent, extended);
        let limits = Limits {
            ratio: limit.map(|row| within(row.ratio_error, &row.cited).needs_u()),
            phase: limit.and_then(|row| {
                phase_limit(
                    each,
                    row.phase_minutes,
                    row.phase_crad,
                    row.phase_cited.as_ref(),
                )
                .map(Against::needs_u)
            }),
        };
        let why = refuse.or_else(|| limit.is_none().then_some(NO_LIMIT_HERE));
        let phase_needed = limit.is_some_and(|row| row.phase_minutes.is_some());
        let findings = point(j, run, each, limits, why);
        // Above the last listed current the extended rating holds: keep the current itself.
        let listed = limit.map(|row| {
            if each.percent > row.percent * (1.0 + AIM) {
                each.percent
            } else {
                row.percent
            }
        });
        rows.extend(listed.filter(|_| refuse.is_none()).map(|percent| {
            Row {
                percent,
                verdicts: findings
                    .iter()
                    .map(|finding| finding.verdict.clone())
                    .collect(),
                complete: each.error.is_some() && (each.phase.is_some() || !phase_needed),
            }
        }));
        j.findings.extend(findings);
    }
    let mut wanted: Vec<f64> = class.rows.iter().map(|row| row.percent).collect();
    wanted.extend(extended.filter(|end| class.rows.last().is_some_and(|row| *end > row.percent)));
    let promise = Promise {
        class: vec![Condition::Class(class.name.clone())],
        wanted,
        ends: range
            .map(|(least, most)| vec![(Lies::Rated, most), (Lies::Least, least)])
            .unwrap_or_default(),
    };
    shown::add(so_far, run, promise, place, rows);
}

fn phase_limit(
    point: &Point,
    minutes: Option<f64>,
    crad: Option<f64>,
    cited: Option<&Cited>,
) -> Option<Against> {
    // The tabulated centiradians are rounded: a phase is judged in the unit it was written in.
    let limit = if point.in_centiradians {
        crad? / unit::CENTIRADIAN.per_si
    } else {
        minutes? / unit::MINUTE_OF_ARC.per_si
    };
    Some(within(limit, cited?))
}

/// The burden of the run outside the range of the class: a finding of its own.
fn outside(
    run: &Run,
    place: Lies,
    range: Option<(f64, f64)>,
    cited: &Cited,
    span: Option<Span>,
) -> Finding {
    let observed = match place {
        Lies::Below => "below the range of the class",
        Lies::Above => "above the rated burden",
        Lies::Rated | Lies::Least | Lies::Between | Lies::Unknown => "",
    };
    let row = run.points.iter().map(|point| point.row).take(1);
    let mut finding = Finding::new(&rules::RATIO_BURDEN, Found::Nothing, unit::VOLT_AMPERE)
        .at(run.test, run.pair, row.chain(span).collect())
        .under(Condition::Burden(run.burden.clone()))
        .observed(observed);
    finding.verdict = match range {
        Some((least, most)) => {
            finding = finding.remark(cited.line());
            let (least, most) = (brief(least, ""), brief(most, "VA"));
            Verdict::NotShown(say!("the class needs {} to {}", least, most))
        }
        None => Verdict::NotJudged("the plate gives no rated burden".into()),
    };
    withheld(finding, run.doubtful)
}

/// P, PR and TP classes: limits at rated current and rated burden only.
fn at_rated(j: &mut Judging<'_>, run: &Run, class: &Class) {
    let rated = rated(&j.case, run.pair).map(|rated| rated.va);
    let place = rated.map_or(Lies::Unknown, |va| lies(volt_amperes(&run.burden), va, va));
    for each in &run.points {
        let here = (each.percent - 100.0).abs() <= AIM * 100.0;
        let refuse = match (here, place) {
            (false, _) => Some("the class states its limits at rated current only"),
            (true, Lies::Rated) => None,
            (true, _) => Some("the class states its limits at rated burden only"),
        };
        let heads = here && heads(j, run.pair);
        let mut findings = point(j, run, each, rated_limits(class, each), refuse);
        for finding in &mut findings {
            finding.headline |= heads;
        }
        j.findings.extend(findings);
    }
}

fn rated_limits(class: &Class, each: &Point) -> Limits {
    match class {
        Class::Protection {
            composite,
            low_remanence,
            ..
        } => protection(*composite, *low_remanence).map_or(Limits::NONE, |row| {
            let cited = Some(&row.cited);
            Limits {
                ratio: Some(within(row.ratio_error, &row.cited)),
                phase: phase_limit(each, row.phase_minutes, row.phase_crad, cited),
            }
        }),
        Class::Transient(class) => transient(*class).map_or(Limits::NONE, |row| {
            let (low, high) = row.phase_range();
            let minute = 1.0 / unit::MINUTE_OF_ARC.per_si;
            let range = Requirement::between(low * minute, high * minute);
            Limits {
                ratio: Some(within(row.ratio_error, &row.cited)),
                phase: Some(cited_limit(range, &row.cited)),
            }
        }),
        _ => Limits::NONE,
    }
}
