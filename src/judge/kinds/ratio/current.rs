//! Errors by current against the class: IEC measuring and protection classes. IEEE stands beside.

use super::class::{Lies, burden_text, lies, measuring_class, rated, volt_amperes};
use super::shown::{Row, Shown};
use super::{finding, heads, held, ieee, in_doubt, plain, shown};
use crate::derive::kinds::ratio::{Point, Run};
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Against, Finding, Found, Verdict, Weight, Whose, unit};
use crate::judge::verdict::cited_limit;
use crate::record::class::Class;
use crate::record::kinds::TestKind;
use crate::standards::{AIM, Cited, protection, transient};

const CENTI: f64 = 0.01;
/// Further off than this, per cent, is no error of a class but of the connection.
const FAR_OFF: f64 = 5.0;

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
    shown::tell(j, &shown_so_far);
}

/// The limits of one point: ratio in per cent, phase in radian.
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
    refuse: Option<&str>,
) -> Vec<Finding> {
    let at = format!(
        "at {} % of rated current, {}",
        plain(point.percent),
        burden_text(&run.burden)
    );
    let phase_unit = if point.in_centiradians {
        unit::CENTIRADIAN
    } else {
        unit::MINUTE_OF_ARC
    };
    let ratio = point.error.map(|value| {
        (
            "ratio-error",
            "ratio error",
            value,
            unit::PERCENT,
            limits.ratio,
        )
    });
    let phase = point.phase.map(|value| {
        (
            "phase-displacement",
            "phase displacement",
            value,
            phase_unit,
            limits.phase,
        )
    });
    let told = [ratio, phase]
        .into_iter()
        .flatten()
        .map(|(rule, name, value, unit, limit)| {
            let mut told = finding(rule, format!("{name} {at}"), value, unit).at(
                run.test,
                run.pair,
                vec![point.row],
            );
            told = told.remark(if rule == "phase-displacement" {
                "positive when the secondary leads"
            } else if point.compared {
                "as read on the comparator"
            } else {
                "computed from two currents"
            });
            told = match (limit, refuse) {
                (_, Some(why)) => in_doubt(told.remark(why), run.doubtful),
                (Some(limit), None) => held(j, told, limit, run.doubtful),
                (None, None) => in_doubt(told, run.doubtful),
            };
            if rule == "ratio-error" {
                far_off(told, value.si)
            } else {
                told
            }
        });
    told.collect()
}

/// An error that no class knows: the connection is wrong, whatever the limit.
fn far_off(mut told: Finding, error: f64) -> Finding {
    if error.abs() <= FAR_OFF {
        return told;
    }
    if told.verdict == Verdict::NoLimit {
        told.verdict = Verdict::Observed(Weight::Doubt);
    }
    let factor = 1.0 + error / 100.0;
    let two = [2.0, 0.5]
        .iter()
        .any(|two| (factor / two - 1.0).abs() < 0.02);
    told.next(if two {
        "a factor of two: look at tap, primary links and passes, then measure again"
    } else {
        "check the connection, the pair and the plate's ratio, then measure again"
    })
}

fn free(j: &mut Judging<'_>, run: &Run, why: &str) {
    for each in &run.points {
        let told = point(
            j,
            run,
            each,
            Limits {
                ratio: None,
                phase: None,
            },
            Some(why),
        );
        j.findings.extend(told);
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
        let told = outside(run, place, range, &class.burden_cited, span);
        j.findings.push(told);
    }
    let mut rows = Vec::new();
    for each in &run.points {
        let limit = class.at(each.percent, extended);
        let limits = Limits {
            ratio: limit.map(|row| super::within(row.ratio_error, &row.cited).needs_u()),
            phase: limit.and_then(|row| {
                phase_limit(
                    each,
                    row.phase_minutes,
                    row.phase_crad,
                    row.phase_cited.as_ref(),
                )
            }),
        };
        let why = refuse.or_else(|| {
            limit
                .is_none()
                .then_some("the class has no limit at this current")
        });
        let phase_needed = limit.is_some_and(|row| row.phase_minutes.is_some());
        let told = point(j, run, each, limits, why);
        // Above the last listed current the extended rating holds: keep the current itself.
        let listed = limit.map(|row| {
            if each.percent > row.percent * (1.0 + AIM) {
                each.percent
            } else {
                row.percent
            }
        });
        rows.extend(listed.filter(|_| refuse.is_none()).map(|percent| Row {
            percent,
            verdicts: told.iter().map(|finding| finding.verdict.clone()).collect(),
            complete: each.error.is_some() && (each.phase.is_some() || !phase_needed),
        }));
        j.findings.extend(told);
    }
    let mut wanted: Vec<f64> = class.rows.iter().map(|row| row.percent).collect();
    wanted.extend(extended.filter(|end| class.rows.last().is_some_and(|row| *end > row.percent)));
    let ends = range
        .map(|(least, most)| vec![(Lies::Rated, most), (Lies::Least, least)])
        .unwrap_or_default();
    shown::add(
        so_far,
        run,
        format!("class {}", class.name),
        place,
        rows,
        wanted,
        ends,
    );
}

fn phase_limit(
    point: &Point,
    minutes: Option<f64>,
    crad: Option<f64>,
    cited: Option<&Cited>,
) -> Option<Against> {
    // The tabulated centiradians are rounded: a phase is judged in the unit it was written in.
    let limit = if point.in_centiradians {
        crad? * CENTI
    } else {
        minutes? / unit::MINUTE_OF_ARC.per_si
    };
    Some(super::within(limit, cited?).needs_u())
}

/// The burden of the run outside the range of the class: a finding of its own.
fn outside(
    run: &Run,
    place: Lies,
    range: Option<(f64, f64)>,
    cited: &Cited,
    span: Option<crate::ground::span::Span>,
) -> Finding {
    let text = burden_text(&run.burden);
    let what = match place {
        Lies::Below => format!("burden of the ratio test below the range of the class: {text}"),
        Lies::Above => format!("burden of the ratio test above rated burden: {text}"),
        _ => format!("burden of the ratio test: {text}"),
    };
    let mut told = Finding::new(
        "ratio-burden",
        TestKind::Ratio,
        Whose::Work,
        what,
        Found::Nothing,
        unit::VOLT_AMPERE,
    );
    told = told.at(
        run.test,
        run.pair,
        run.points.iter().map(|point| point.row).take(1).collect(),
    );
    told.points_at.extend(span);
    told.verdict = match range {
        Some((least, most)) => {
            told = told.remark(cited.line());
            Verdict::NotShown(format!(
                "the class needs {} to {} VA",
                plain(least),
                plain(most)
            ))
        }
        None => Verdict::NotJudged("the plate gives no rated burden".to_owned()),
    };
    in_doubt(told, run.doubtful)
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
        let told = point(j, run, each, rated_limits(class, each), refuse);
        let heads = here && heads(j, run.pair);
        j.findings.extend(
            told.into_iter()
                .map(|told| if heads { told.headline() } else { told }),
        );
    }
}

fn rated_limits(class: &Class, each: &Point) -> Limits {
    let minute = 1.0 / unit::MINUTE_OF_ARC.per_si;
    let none = Limits {
        ratio: None,
        phase: None,
    };
    match class {
        Class::Protection {
            composite,
            low_remanence,
            ..
        } => protection(*composite, *low_remanence).map_or(none, |row| {
            let phase = if each.in_centiradians {
                row.phase_crad.map(|x| x * CENTI)
            } else {
                row.phase_minutes.map(|x| x * minute)
            };
            Limits {
                ratio: Some(super::within(row.ratio_error, &row.cited)),
                phase: phase.map(|limit| super::within(limit, &row.cited)),
            }
        }),
        Class::Transient(class) => transient(*class).map_or(none, |row| {
            let (low, high) = row.phase_range();
            Limits {
                ratio: Some(super::within(row.ratio_error, &row.cited)),
                phase: Some(cited_limit(
                    Requirement::between(low * minute, high * minute),
                    &row.cited,
                )),
            }
        }),
        _ => none,
    }
}
