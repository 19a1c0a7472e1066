//! Errors by current against the class: IEC measuring and protection classes. IEEE stands beside.

use super::class::{Lies, lies, measuring_class, rated, volt_amperes};
use super::ieee::NO_LIMIT_HERE;
use super::shown::{Promise, Row, Shown};
use super::{far_off, heads, ieee, is_far_off, shown};
use crate::derive::kinds::ratio::{Point, Run};
use crate::document::say;
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::ratio as rules;
use crate::judge::verdict::not_judged;
use crate::judge::words::brief;
use crate::standards::{AIM, Cited, protection, transient};
use crate::trade::Class;

pub(super) fn judge(j: &Judging<'_>, out: &mut Vec<Finding>) {
    let mut so_far: Vec<Shown> = Vec::new();
    for run in &j.derived.ratio.runs {
        let Some(core) = j.case.core(run.pair) else {
            continue;
        };
        let mut free = |why| {
            for each in &run.points {
                out.extend(point(j, run, each, Limits::default(), Some(why)));
            }
        };
        match core.class_of(run.pair) {
            Some(Class::Measuring { .. }) => measuring(j, run, &mut so_far, out),
            Some(class @ (Class::Protection { .. } | Class::Transient(_))) => {
                at_rated(j, run, class, out)
            }
            Some(Class::IeeeMetering { name, burden }) => {
                ieee::metering(j, run, (name, burden.as_deref()), &mut so_far, out)
            }
            Some(Class::IeeeRelay { volts, .. }) => ieee::relay(j, run, *volts, out),
            Some(Class::Knee { .. }) => {
                free("the class limits the turns ratio, not the error at a current")
            }
            Some(Class::Other(_)) => free("no limit is known for this class"),
            None => free("the plate gives no class for this pair"),
        }
    }
    out.extend(so_far.into_iter().map(Shown::finding));
}

/// The limits of one point: ratio in per cent, phase in radian.
#[derive(Default)]
pub(super) struct Limits {
    pub ratio: Option<Against>,
    pub phase: Option<Against>,
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
    let placed = |finding: Finding, limit: Option<Against>, how| {
        let finding = finding
            .at(run.test, run.pair, vec![point.row])
            .under(Condition::Percent(point.percent))
            .under(Condition::Burden(run.burden.clone()))
            .remark(how);
        match (limit, refuse) {
            (_, Some(why)) => finding.remark(why),
            (Some(limit), None) => finding.against(j, limit),
            (None, None) => finding,
        }
        .withheld(run.doubtful)
    };
    let ratio = point.error.map(|error| {
        let finding = Finding::new(&rules::RATIO_ERROR, error, unit::PERCENT);
        let finding = placed(finding, limits.ratio, how);
        if is_far_off(error.si) {
            far_off(finding, 1.0 + error.si / 100.0)
        } else {
            finding
        }
    });
    let phase = point.phase.map(|phase| {
        let unit = if point.in_centiradians {
            unit::CENTIRADIAN
        } else {
            unit::MINUTE_OF_ARC
        };
        let finding = Finding::new(&rules::PHASE_DISPLACEMENT, phase, unit);
        placed(finding, limits.phase, "positive when the secondary leads")
    });
    ratio.into_iter().chain(phase).collect()
}

fn measuring(j: &Judging<'_>, run: &Run, so_far: &mut Vec<Shown>, out: &mut Vec<Finding>) {
    let Some((class, extended)) = measuring_class(&j.case, run.pair) else {
        return;
    };
    let rated = rated(&j.case, run.pair);
    let range = rated.as_ref().map(|rated| {
        let least = rated.va * class.burden_min_pct / 100.0;
        let most = rated.va * class.burden_max_pct / 100.0;
        (rated.least.unwrap_or(least), most)
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
        out.push(outside(run, place, range, &class.burden_cited, span));
    }
    let mut rows = Vec::new();
    for each in &run.points {
        let limit = class.at(each.percent, extended);
        let limits = Limits {
            ratio: limit.map(|row| Against::within(row.ratio_error, &row.cited).needs_u()),
            phase: limit.and_then(|row| {
                let cited = row.phase_cited.as_ref();
                phase_limit(each, row.phase_minutes, row.phase_crad, cited).map(Against::needs_u)
            }),
        };
        let why = refuse.or_else(|| limit.is_none().then_some(NO_LIMIT_HERE));
        let findings = point(j, run, each, limits, why);
        if let (Some(row), None) = (limit, refuse) {
            // Above the last listed current the extended rating holds: keep the current itself.
            let above = each.percent > row.percent * (1.0 + AIM);
            let percent = if above { each.percent } else { row.percent };
            let with_phase = each.phase.is_some() || row.phase_minutes.is_none();
            rows.push(Row::of(
                percent,
                &findings,
                each.error.is_some() && with_phase,
            ));
        }
        out.extend(findings);
    }
    let mut wanted: Vec<f64> = class.rows.iter().map(|row| row.percent).collect();
    wanted.extend(extended.filter(|end| class.rows.last().is_some_and(|row| *end > row.percent)));
    let ends = range.map(|(least, most)| vec![(Lies::Rated, most), (Lies::Least, least)]);
    let promise = Promise {
        class: vec![Condition::Class(class.name.clone())],
        wanted,
        ends: ends.unwrap_or_default(),
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
    Some(Against::within(limit, cited?))
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
    let finding = Finding::without(&rules::RATIO_BURDEN, unit::VOLT_AMPERE)
        .at(run.test, run.pair, row.chain(span).collect())
        .under(Condition::Burden(run.burden.clone()))
        .observed(observed);
    match range {
        Some((least, most)) => {
            let (least, most) = (brief(least, ""), brief(most, "VA"));
            let needs = say!("the class needs {} to {}", least, most);
            finding
                .remark(cited.line())
                .verdict(Verdict::NotShown(needs))
        }
        None => finding.verdict(not_judged("the plate gives no rated burden")),
    }
    .withheld(run.doubtful)
}

/// Whether a point was taken at rated current.
pub(super) fn is_at_rated(point: &Point) -> bool {
    (point.percent - 100.0).abs() <= AIM * 100.0
}

/// P, PR and TP classes: limits at rated current and rated burden only.
fn at_rated(j: &Judging<'_>, run: &Run, class: &Class, out: &mut Vec<Finding>) {
    let rated = rated(&j.case, run.pair).map(|rated| rated.va);
    let place = rated.map_or(Lies::Unknown, |va| lies(volt_amperes(&run.burden), va, va));
    for each in &run.points {
        let here = is_at_rated(each);
        let refuse = match (here, place) {
            (false, _) => Some("the class states its limits at rated current only"),
            (true, Lies::Rated) => None,
            (true, _) => Some("the class states its limits at rated burden only"),
        };
        let heads = here && heads(j, run.pair);
        let limits = rated_limits(class, each).unwrap_or_default();
        out.extend(
            point(j, run, each, limits, refuse)
                .into_iter()
                .map(|mut finding| {
                    finding.headline |= heads;
                    finding
                }),
        );
    }
}

fn rated_limits(class: &Class, each: &Point) -> Option<Limits> {
    match class {
        Class::Protection {
            composite,
            low_remanence,
            ..
        } => {
            let row = protection(*composite, *low_remanence)?;
            Some(Limits {
                ratio: Some(Against::within(row.ratio_error, &row.cited)),
                phase: phase_limit(each, row.phase_minutes, row.phase_crad, Some(&row.cited)),
            })
        }
        Class::Transient(class) => {
            let row = transient(*class)?;
            let (low, high) = row.phase_range();
            let minutes = unit::MINUTE_OF_ARC.per_si;
            let phase = Against::between(low / minutes, high / minutes, &row.cited);
            Some(Limits {
                ratio: Some(Against::within(row.ratio_error, &row.cited)),
                phase: Some(phase),
            })
        }
        _ => None,
    }
}
