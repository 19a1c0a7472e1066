//! Errors by current against the class: IEC measuring and protection classes. IEEE stands beside.

use super::class::{
    Asked, Factor, Lies, Rated, asked, factor, lies, measuring_class, range, rated, stands_for,
    volt_amperes,
};
use super::ieee::NO_LIMIT_HERE;
use super::shown::{End, Promise, Row, Shown};
use super::{far_off, heads, ieee, is_far_off, of_input, shown};
use crate::derive::kinds::ratio::{Point, Run};
use crate::document::say;
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::ratio as rules;
use crate::judge::verdict::not_judged;
use crate::judge::words::brief;
use crate::record::kinds::TestKind;
use crate::standards::{AIM, BurdenKind, Cited, MeasuringClass, protection, transient};
use crate::trade::Class;

pub(super) fn judge(j: &Judging<'_>, out: &mut Vec<Finding>) {
    let mut so_far: Vec<Shown> = Vec::new();
    for run in &j.derived.ratio.runs {
        one(j, run, &mut so_far, out);
    }
    for run in &j.derived.ratio.input_runs {
        let why = "no verdict of the class: it holds for all inputs together";
        for each in &run.points {
            out.extend(point(j, run, each, Limits::default(), Some(why)));
        }
    }
    // What an earlier visit of the same occasion read at other burdens and currents counts for the class.
    for run in carried(j) {
        one(j, &run, &mut so_far, &mut Vec::new());
    }
    out.extend(shown::findings(so_far));
}

/// Points of earlier visits of the same occasion that this one did not take again, of the pairs that it
/// took; none of a pair whose readings were in doubt there.
fn carried(j: &Judging<'_>) -> Vec<Run> {
    let own = &j.derived.ratio.runs;
    let mut taken: Vec<&Run> = Vec::new();
    let is_known = |taken: &[&Run], run: &Run, percent: f64| {
        taken.iter().any(|other| {
            let same = other.pair == run.pair && other.burden == run.burden;
            let mut points = other.points.iter();
            let same = same && other.links == run.links;
            same && points.any(|point| (point.percent - percent).abs() < 1e-9)
        })
    };
    for run in own {
        taken.push(run);
    }
    let mut found = Vec::new();
    for before in j.derived.before.iter().rev() {
        let findings = j.earlier.get(before.visit).map(|visit| &visit.findings);
        let doubtful = |run: &Run| {
            let mut all = findings.into_iter().flatten();
            all.any(|one| {
                let of = one.rule.kind == TestKind::Ratio && one.pair == Some(run.pair);
                of && matches!(one.verdict, Verdict::NotJudged(_))
            })
        };
        for run in &before.runs {
            let mut kept = run.clone();
            kept.points
                .retain(|point| !is_known(&taken, run, point.percent));
            let again = own.iter().any(|one| one.pair == run.pair);
            if again && !kept.points.is_empty() && !doubtful(run) {
                found.push(kept);
            }
            taken.push(run);
        }
    }
    found
}

fn one(j: &Judging<'_>, run: &Run, so_far: &mut Vec<Shown>, out: &mut Vec<Finding>) {
    let Some(core) = j.case.core(run.pair) else {
        return;
    };
    let mut free = |why| {
        for each in &run.points {
            out.extend(point(j, run, each, Limits::default(), Some(why)));
        }
    };
    match core.class_of(run.pair) {
        Some(Class::Measuring { .. }) => measuring(j, run, so_far, out),
        Some(class @ (Class::Protection { .. } | Class::Transient(_))) => {
            at_rated(j, run, class, so_far, out)
        }
        Some(Class::IeeeMetering { name, burden }) => {
            ieee::metering(j, run, (name, burden.as_deref()), so_far, out)
        }
        Some(class @ Class::IeeeRelay { volts, .. }) => {
            ieee::relay(j, run, class, *volts, so_far, out)
        }
        Some(Class::Knee { .. }) => {
            free("the class limits the turns ratio, not the error at a current")
        }
        Some(Class::Other(_)) => free("no limit is known for this class"),
        None => free("the plate gives no class for this pair"),
    }
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
            .under(of_input(j, run.pair, run.fed))
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
            far_off(finding, 1.0 + error.si / 100.0, run.fed)
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
    let range = rated.as_ref().map(|rated| range(class, rated));
    let va = volt_amperes(&run.burden);
    let place = range.map_or(Lies::Unknown, |(least, most)| lies(va, least, most));
    let asked_at = |va: f64| asked(BurdenKind::Measuring, rated.as_ref()?, va);
    let here = range.and_then(|range| asked_at(stands_for(place, va, range)?));
    let factor = here.as_ref().map(|asked| factor(&run.burden, asked.factor));
    let refuse = match place {
        Lies::Below => Some("no verdict of the class: the burden is below its range"),
        Lies::Above => Some("no verdict of the class: the burden is above rated"),
        Lies::Unknown => {
            Some("no verdict of the class: the burden of the test, or the rated one, is not known")
        }
        Lies::Rated | Lies::Least | Lies::Between => None,
    };
    let span = rated.as_ref().map(|rated| rated.span);
    if refuse.is_some() {
        out.push(outside(j, run, place, (range, &class.burden_cited), span));
    }
    let wrong = here.filter(|_| refuse.is_none() && factor == Some(Factor::Wrong));
    let refuse = refuse.or(wrong.as_ref().map(|_| OTHER_FACTOR));
    out.extend(wrong.map(|asked| wrong_factor(j, run, &asked, span)));
    let rows = rows(j, run, (class, extended), refuse, out);
    let end = |place, va| End::of_va(place, va, asked_at(va).map(|asked| asked.factor));
    let promise = Promise {
        wanted: wanted(class, extended),
        ends: range.map_or(Vec::new(), |range| ends(range, end)),
        ..Promise::of(Condition::Class(class.name.clone()))
    };
    let place = if refuse.is_some() {
        Lies::Unknown
    } else {
        place
    };
    shown::add(
        so_far,
        run,
        promise,
        (place, factor != Some(Factor::Unstated)),
        rows,
    );
}

/// The findings of a measuring class at each point, and the rows that they make where it has limits.
fn rows(
    j: &Judging<'_>,
    run: &Run,
    (class, extended): (&MeasuringClass, Option<f64>),
    refuse: Option<&'static str>,
    out: &mut Vec<Finding>,
) -> Vec<Row> {
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
            let lacks = lacks(each, row.phase_minutes.is_some());
            rows.push(Row::of(percent, &findings, lacks));
        }
        out.extend(findings);
    }
    rows
}

/// Both ends of the burden; one where the whole range is one burden.
fn ends((least, most): (f64, f64), end: impl Fn(Lies, f64) -> End) -> Vec<End> {
    match lies(Some(least), least, most) {
        Lies::Rated => vec![end(Lies::Rated, most)],
        _ => vec![end(Lies::Rated, most), end(Lies::Least, least)],
    }
}

/// The currents of a full statement, per cent: those of the table, and the extended one instead of the
/// last (its limits hold from there on; from memory, IEC 61869-2:2012, 5.6.201.5).
fn wanted(class: &MeasuringClass, extended: Option<f64>) -> Vec<f64> {
    let mut wanted: Vec<f64> = class.rows.iter().map(|row| row.percent).collect();
    let last = wanted.last().copied();
    if let Some(end) = extended.filter(|end| last.is_some_and(|last| *end > last)) {
        wanted.pop();
        wanted.push(end);
    }
    wanted
}

/// What a point lacks of what the class limits.
fn lacks(each: &Point, limits_phase: bool) -> Option<&'static str> {
    if each.error.is_none() {
        Some("the ratio error")
    } else if limits_phase && each.phase.is_none() {
        Some("the phase displacement")
    } else {
        None
    }
}

/// Why a run at another power factor has no verdict.
const OTHER_FACTOR: &str = "no verdict of the class: the burden of the test has another power factor than the class asks for";

/// The burden of the run has another power factor than that of the class: a finding of its own.
fn wrong_factor(j: &Judging<'_>, run: &Run, asked: &Asked, span: Option<Span>) -> Finding {
    let row = run.points.iter().map(|point| point.row).take(1);
    let needs = say!("the class needs power factor {}", brief(asked.factor, ""));
    Finding::without(&rules::RATIO_BURDEN, unit::VOLT_AMPERE)
        .at(run.test, run.pair, row.chain(span).collect())
        .under(Condition::Burden(run.burden.clone()))
        .observed("another power factor than that of the class")
        .verdict(Verdict::NotShown(needs))
        .withheld(run.doubtful)
        .citing(j, &asked.cited)
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
    j: &Judging<'_>,
    run: &Run,
    place: Lies,
    (range, cited): (Option<(f64, f64)>, &Cited),
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
            finding.verdict(Verdict::NotShown(needs)).citing(j, cited)
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
fn at_rated(
    j: &Judging<'_>,
    run: &Run,
    class: &Class,
    so_far: &mut Vec<Shown>,
    out: &mut Vec<Finding>,
) {
    let rated = rated(&j.case, run.pair);
    let va = rated.as_ref().map(|rated| rated.va);
    let place = va.map_or(Lies::Unknown, |va| lies(volt_amperes(&run.burden), va, va));
    let here = rated.as_ref().and_then(|rated| asked_of(class, rated));
    let factor = here.as_ref().map(|asked| factor(&run.burden, asked.factor));
    // A burden in ohm is a resistance by these classes.
    let stated = factor != Some(Factor::Unstated) || matches!(class, Class::Transient(_));
    let wrong = place == Lies::Rated && factor == Some(Factor::Wrong);
    if let Some(asked) = here.as_ref().filter(|_| wrong) {
        let span = rated.as_ref().map(|rated| rated.span);
        out.push(wrong_factor(j, run, asked, span));
    }
    let mut rows = Vec::new();
    for each in &run.points {
        let here = is_at_rated(each);
        let refuse = match (here, place) {
            (false, _) => Some("the class states its limits at rated current only"),
            (true, Lies::Rated) => wrong.then_some(OTHER_FACTOR),
            (true, _) => Some("the class states its limits at rated burden only"),
        };
        let heads = here && heads(j, run.pair);
        let limits = rated_limits(class, each).unwrap_or_default();
        let lacks = lacks(each, limits.phase.is_some());
        let mut findings = point(j, run, each, limits, refuse);
        for finding in &mut findings {
            finding.headline |= heads;
        }
        if refuse.is_none() {
            rows.push(Row::of(100.0, &findings, lacks));
        }
        out.extend(findings);
    }
    let end = va.map(|va| End::of_va(Lies::Rated, va, here.map(|asked| asked.factor)));
    let promise = Promise {
        wanted: vec![100.0],
        ends: end.into_iter().collect(),
        heads: false,
        ..Promise::of(Condition::Class(class.text()))
    };
    let place = if wrong { Lies::Unknown } else { place };
    shown::add(so_far, run, promise, (place, stated), rows);
}

/// The power factor of the rated burden: a resistance by the classes for transient performance.
fn asked_of(class: &Class, rated: &Rated) -> Option<Asked> {
    match class {
        Class::Protection { low_remanence, .. } => {
            let kind = if *low_remanence {
                BurdenKind::Pr
            } else {
                BurdenKind::P
            };
            asked(kind, rated, rated.va)
        }
        Class::Transient(class) => Some(Asked {
            factor: 1.0,
            cited: transient(*class)?.cited.clone(),
        }),
        _ => None,
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
