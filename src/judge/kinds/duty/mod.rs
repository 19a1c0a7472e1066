//! The circuit's verdict: only against what the relay's own rule asks. What the fault level asks by
//! the generic rules is information, since healthy protections would fail it by the row.

use super::excitation::{DOUBTFUL, not_judged, reason};
use crate::derive::kinds::duty::{LoadFrom, Needs, RequiredFactor, RequiredKnee, Served, Wave};
use crate::derive::kinds::resistance::From;
use crate::derive::knee::Knee;
use crate::derive::outcome::Outcome;
use crate::derive::transient::Saturation;
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::decision::{Requirement, Word};
use crate::judge::finding::{Against, Finding, Found, Unit, Verdict, Weight, Whose, unit};
use crate::judge::say::rounded;
use crate::judge::verdict::judge as hold;
use crate::record::duty::Duty;
use crate::record::kinds::TestKind;
use crate::standards::{Cited, Provenance};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    let derived = j.derived;
    for served in &derived.duty {
        let Some(duty) = j.case.record.duties.get(served.duty) else {
            continue;
        };
        let knee = served
            .knee
            .as_ref()
            .map(|knee| required_knee(j, served, duty, knee));
        let factor = served
            .factor
            .as_ref()
            .map(|factor| required_factor(j, served, duty, factor));
        let emf = served.needs.as_ref().map(|needs| emf(served, needs));
        let saturation = served
            .needs
            .as_ref()
            .and_then(|needs| saturation(served, needs));
        let wave = served
            .wave
            .as_ref()
            .map(|wave| waveform(served, duty, wave));
        for finding in [knee, factor, emf, saturation, wave].into_iter().flatten() {
            let finding = beside(j, served, finding);
            j.findings.push(finding);
        }
    }
}

fn new(
    served: &Served,
    rule: &'static str,
    what: impl Into<String>,
    found: Found,
    unit: Unit,
    points_at: Vec<Span>,
) -> Finding {
    let mut finding = Finding::new(
        rule,
        TestKind::Excitation,
        Whose::Circuit,
        what,
        found,
        unit,
    );
    finding.core = Some(served.pair.core);
    finding.pair = Some(served.pair);
    finding.points_at = points_at;
    finding
}

fn beside(j: &Judging<'_>, served: &Served, mut finding: Finding) -> Finding {
    if let Some(from) = served.scaled_from {
        finding = finding.remark(format!(
            "scaled by turns from {}, approximate on partial windings",
            j.case.record.pair_text(from)
        ));
    }
    if served.other_frequency.is_some() {
        finding =
            finding.remark("from another frequency: currents are on the low side below saturation");
    }
    if served.doubtful.is_some() {
        finding.verdict = not_judged(DOUBTFUL);
    }
    finding
}

/// The requirement with the rule that the duty names.
fn against(duty: &Duty, what: &str, least: f64, at: Span) -> Against {
    let rule = duty
        .rule
        .value()
        .map(|rule| format!(", {rule}"))
        .unwrap_or_default();
    let cited = Cited {
        id: format!("duty-{}", what.replace(' ', "-")),
        source: format!("duty, {what}{rule}"),
        provenance: Provenance::Seen,
        note: None,
    };
    Against {
        requirement: Requirement::at_least(least),
        magnitude: false,
        cited,
        span: Some(at),
        needs_u: false,
    }
}

fn held(mut finding: Finding, against: Against, verdict: Verdict) -> Finding {
    if verdict != Verdict::Word(Word::Pass) && finding.next.is_none() {
        finding = finding
            .next("take it up with whoever set the relay: the requirement, the tap, the leads");
    }
    finding.points_at.extend(against.span);
    finding.against = Some(against);
    finding.verdict = verdict;
    finding.headline()
}

fn margin(found: f64, required: f64) -> Option<String> {
    (required > 0.0).then(|| format!("{} times the requirement", rounded(found / required, 3)))
}

fn required_knee(j: &Judging<'_>, served: &Served, duty: &Duty, knee: &RequiredKnee) -> Finding {
    let least = knee.required.si;
    let against = against(duty, "required knee", least, knee.at);
    let (found, verdict) = match knee.found {
        Knee::At(point) => (
            Found::Known(point.voltage),
            hold(j.w, j.case.criteria, point.voltage, &against),
        ),
        Knee::NotReached { beyond } => match hold(j.w, j.case.criteria, beyond, &against) {
            Verdict::Word(Word::Pass) => (Found::NotReached { beyond }, Verdict::Word(Word::Pass)),
            _ => (
                Found::NotReached { beyond },
                Verdict::NotShown(format!(
                    "needs readings up to {} V",
                    rounded(1.1 * least, 4)
                )),
            ),
        },
        Knee::Lacking(why) => (Found::Nothing, not_judged(reason(why))),
    };
    let mut finding = new(
        served,
        "required-knee",
        "knee for the relay's requirement, tap in service",
        found,
        unit::VOLT,
        knee.readings.clone(),
    );
    if let Some(text) = found.value().and_then(|value| margin(value.si, least)) {
        finding = finding.remark(text);
    }
    held(finding, against, verdict)
}

fn required_factor(
    j: &Judging<'_>,
    served: &Served,
    duty: &Duty,
    factor: &RequiredFactor,
) -> Finding {
    let against = against(duty, "required factor", factor.required, factor.at);
    let needs = || {
        Verdict::NotShown(factor.emf.map_or_else(String::new, |emf| {
            format!("needs readings up to {} V", rounded(emf, 4))
        }))
    };
    let word = |value| hold(j.w, j.case.criteria, value, &against);
    let (found, verdict) = match factor.found {
        Some(Outcome::Known(value)) => (Found::Known(value), word(value)),
        // At least so much: it can meet the requirement, and never break it.
        Some(Outcome::AtLeast(value)) => {
            let met = word(value) == Verdict::Word(Word::Pass);
            (
                Found::AtLeast(value),
                if met {
                    Verdict::Word(Word::Pass)
                } else {
                    needs()
                },
            )
        }
        Some(Outcome::AtMost(value)) => {
            let broken = word(value) == Verdict::Word(Word::Fail);
            (
                Found::AtMost(value),
                if broken {
                    Verdict::NotMet
                } else {
                    Verdict::NotShown("needs lower readings".to_owned())
                },
            )
        }
        Some(Outcome::NotReached { beyond }) => (Found::NotReached { beyond }, needs()),
        Some(Outcome::Lacking(why)) => (Found::Nothing, not_judged(reason(why))),
        None => (
            Found::Nothing,
            not_judged("winding resistance or burden of the circuit is not known"),
        ),
    };
    let percent = 100.0 * factor.eps;
    let what =
        format!("actual limit factor ({percent} %) for the relay's requirement, tap in service");
    let mut finding = new(
        served,
        "required-factor",
        what,
        found,
        unit::ONE,
        factor.readings.clone(),
    );
    if let Some(text) = found
        .value()
        .and_then(|value| margin(value.si, factor.required))
    {
        finding = finding.remark(text);
    }
    held(with_load(served, finding), against, verdict)
}

/// Winding resistance and burden that went in.
fn with_load(served: &Served, finding: Finding) -> Finding {
    let mut parts = Vec::new();
    if let Some((rct, from)) = served.rct {
        let from = if from == From::Measured {
            "measured"
        } else {
            "by the plate"
        };
        parts.push(format!(
            "winding {} ohm at 75 °C, {from}",
            rounded(rct.si, 4)
        ));
    }
    if let Some(load) = &served.load {
        let from = match load.from {
            LoadFrom::Duty => "stated by the duty",
            LoadFrom::Measured => "measured",
            LoadFrom::Leads => "computed from leads and relay",
        };
        parts.push(format!(
            "burden {} ohm, {from}",
            rounded(load.impedance.z.si, 4)
        ));
    }
    if parts.is_empty() {
        finding
    } else {
        finding.remark(parts.join("; "))
    }
}

fn emf(served: &Served, needs: &Needs) -> Finding {
    let what = "e.m.f. for the symmetrical fault current, tap in service";
    let mut finding = new(
        served,
        "duty-emf",
        what,
        Found::Known(needs.symmetrical),
        unit::VOLT,
        vec![needs.at],
    )
    .remark(format!(
        "secondary current {} A",
        rounded(needs.secondary.si, 4)
    ));
    if let Some(offset) = needs.offset {
        finding = finding.remark(format!(
            "with full offset, times 1 + X/R: {} V; no requirement unless the relay's rule makes it one",
            rounded(offset.si, 4)
        ));
    }
    with_load(served, finding)
}

fn saturation(served: &Served, needs: &Needs) -> Option<Finding> {
    let (what, found) = match needs.saturation? {
        Saturation::After(time) => (
            "time to saturation under full offset, from the knee",
            Found::Known(time),
        ),
        Saturation::AtOnce => (
            "the symmetrical fault current alone asks for more than the knee",
            Found::Nothing,
        ),
        Saturation::Never => (
            "full offset does not bring the core to its knee",
            Found::Nothing,
        ),
        Saturation::Unknown => return None,
    };
    let mut finding = new(
        served,
        "time-to-saturation",
        what,
        found,
        unit::MILLISECOND,
        vec![needs.at],
    );
    finding.verdict = Verdict::Observed(Weight::Information);
    if matches!(found, Found::Known(_)) {
        finding = finding.remark(
            "closed form for a resistive burden, without ripple; good to two digits at most",
        );
    }
    Some(finding.remark(remanence(needs.remanence)))
}

fn remanence(percent: f64) -> String {
    if percent > 0.0 {
        format!("remanence {} % as the duty states", rounded(percent, 3))
    } else {
        "without remanence".to_owned()
    }
}

fn waveform(served: &Served, duty: &Duty, wave: &Wave) -> Finding {
    let ms = |seconds: f64| rounded(1e3 * seconds, 2);
    let told = match (wave.first_error, wave.beyond_readings) {
        (error, Some(left)) if error.is_none_or(|error| error > left) => {
            format!(
                "no 10 % error until the flux leaves the readings after {} ms",
                ms(left)
            )
        }
        (Some(error), _) => format!("10 % error first after {} ms", ms(error)),
        (None, _) => format!("no 10 % error within {} ms", ms(wave.duration)),
    };
    let what = format!("simulated secondary current, fully offset: {told}");
    let at = duty.fault_current.span().into_iter().collect();
    let mut finding = new(served, "simulated-current", what, Found::Nothing, unit::ONE, at)
        .remark("without loss current, which is 30 to 70 % of the exciting current below the knee (common practice, no source)")
        .remark(remanence(wave.remanence));
    finding.verdict = Verdict::Observed(Weight::Information);
    if wave.beyond_readings.is_some() {
        finding.remark("past the last reading the curve goes on straight, a guess")
    } else {
        finding
    }
}

#[cfg(test)]
mod tests;
