//! The circuit's verdict: only against what the relay's own rule asks. What the fault level asks by
//! the generic rules is information, since healthy protections would fail it by the row.

use super::doubt::withheld;
use super::excitation::{not_judged, reason};
use super::protection::{knee_verdict, needs_up_to, of_curve, resistance};
use crate::derive::kinds::duty::{LoadFrom, Needs, RequiredFactor, RequiredKnee, Served, Wave};
use crate::derive::outcome::Outcome;
use crate::derive::transient::Saturation;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::{Requirement, Word};
use crate::judge::finding::{Against, Finding, Found, Unit, Verdict, unit};
use crate::judge::rules::{self, Rule};
use crate::judge::verdict::judge as hold;
use crate::judge::words::{quantity, rounded};
use crate::record::duty::Duty;
use crate::standards::{Cited, Provenance};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    let derived = j.derived;
    for served in &derived.duty {
        let Some(duty) = j.case.record.duties.get(served.duty) else {
            continue;
        };
        let knee = served.knee.as_ref();
        let factor = served.factor.as_ref();
        let needs = served.needs.as_ref();
        let wave = served.wave.as_ref();
        let findings = [
            knee.map(|knee| required_knee(j, served, duty, knee)),
            factor.map(|factor| required_factor(j, served, duty, factor)),
            needs.map(|needs| emf(served, needs)),
            needs.and_then(|needs| saturation(served, needs)),
            wave.map(|wave| waveform(served, duty, wave)),
        ];
        for finding in findings.into_iter().flatten() {
            let other_frequency = served.other_frequency.is_some();
            let finding = of_curve(j, finding, served.scaled_from, other_frequency);
            j.findings.push(withheld(finding, served.doubtful));
        }
    }
}

fn new(
    served: &Served,
    rule: &'static Rule,
    found: impl Into<Found>,
    unit: Unit,
    points_at: Vec<Span>,
) -> Finding {
    let mut finding = Finding::new(rule, found.into(), unit);
    finding.core = Some(served.pair.core);
    finding.pair = Some(served.pair);
    finding.points_at = points_at;
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

/// Puts requirement and verdict on a finding, and how many times the requirement the value is.
fn held(finding: Finding, against: Against, verdict: Verdict, required: f64) -> Finding {
    let mut finding = finding.headline();
    if let Some(value) = finding.found.value().filter(|_| required > 0.0) {
        let times = quantity(value.si / required, 3, unit::ONE);
        finding = finding.remark(say!("{} times the requirement", times));
    }
    finding.held(against, verdict)
}

fn required_knee(j: &Judging<'_>, served: &Served, duty: &Duty, knee: &RequiredKnee) -> Finding {
    let least = knee.required.si;
    let against = against(duty, "required knee", least, knee.at);
    let verdict = knee_verdict(j, &knee.found, &against, least);
    let (found, readings) = (knee.found.voltage(), knee.readings.clone());
    let finding = new(served, &rules::REQUIRED_KNEE, found, unit::VOLT, readings);
    held(finding, against, verdict, least)
}

fn required_factor(
    j: &Judging<'_>,
    served: &Served,
    duty: &Duty,
    factor: &RequiredFactor,
) -> Finding {
    let against = against(duty, "required factor", factor.required, factor.at);
    let verdict = factor_verdict(j, factor, &against);
    let found = factor.found.map_or(Found::Nothing, Found::from);
    let readings = factor.readings.clone();
    let finding = new(served, &rules::REQUIRED_FACTOR, found, unit::ONE, readings)
        .under(Condition::ErrorOf(100.0 * factor.eps));
    held(
        with_load(served, finding),
        against,
        verdict,
        factor.required,
    )
}

/// A factor past the readings can meet the requirement and never break it; one before them the other
/// way round.
fn factor_verdict(j: &Judging<'_>, factor: &RequiredFactor, against: &Against) -> Verdict {
    let word = |value| hold(j.w, j.case.criteria, value, against);
    let open = || {
        factor
            .emf
            .map_or_else(|| Verdict::NotShown(Phrase::default()), needs_up_to)
    };
    match factor.found {
        Some(Outcome::Known(value)) => word(value),
        Some(Outcome::AtLeast(value)) => match word(value) {
            pass @ Verdict::Word(Word::Pass) => pass,
            _ => open(),
        },
        Some(Outcome::AtMost(value)) if word(value) == Verdict::Word(Word::Fail) => Verdict::NotMet,
        Some(Outcome::AtMost(_)) => Verdict::NotShown("needs lower readings".into()),
        Some(Outcome::NotReached { .. }) => open(),
        Some(Outcome::Lacking(why)) => not_judged(reason(why)),
        None => not_judged("winding resistance or burden of the circuit is not known"),
    }
}

/// Winding resistance and burden that went in.
fn with_load(served: &Served, mut finding: Finding) -> Finding {
    if let Some((rct, from)) = served.rct {
        finding = finding.remark(say!("winding resistance {}", resistance(rct, from)));
    }
    let Some(load) = &served.load else {
        return finding;
    };
    let from = match load.from {
        LoadFrom::Duty => "stated by the duty",
        LoadFrom::Measured => "measured",
        LoadFrom::Leads => "computed from leads and relay",
    };
    let ohm = quantity(load.impedance.z.si, 4, unit::OHM);
    finding.remark(say!("burden {}, {}", ohm, from))
}

fn emf(served: &Served, needs: &Needs) -> Finding {
    let found = Found::Known(needs.symmetrical);
    let secondary = quantity(needs.secondary.si, 4, unit::AMPERE);
    let mut finding = new(served, &rules::DUTY_EMF, found, unit::VOLT, vec![needs.at])
        .remark(say!("secondary current {}", secondary));
    if let Some(offset) = needs.offset {
        finding = finding.remark(say!(
            "with full offset, times 1 + X/R: {}; no requirement unless the relay's rule makes it one",
            quantity(offset.si, 4, unit::VOLT)
        ));
    }
    with_load(served, finding)
}

fn saturation(served: &Served, needs: &Needs) -> Option<Finding> {
    let (found, observed) = match needs.saturation? {
        Saturation::After(time) => (Found::Known(time), ""),
        Saturation::AtOnce => (
            Found::Nothing,
            "the symmetrical fault current alone needs more than the knee voltage",
        ),
        Saturation::Never => (
            Found::Nothing,
            "full offset does not bring the core to its knee",
        ),
        Saturation::Unknown => return None,
    };
    let (rule, points_at) = (&rules::TIME_TO_SATURATION, vec![needs.at]);
    let mut finding = new(served, rule, found, unit::MILLISECOND, points_at).observed(observed);
    finding.verdict = Verdict::Observed(Grade::Info);
    if matches!(found, Found::Known(_)) {
        finding = finding.remark(
            "from the knee, in closed form for a resistive burden, without ripple; good to two digits at most",
        );
    }
    Some(finding.remark(remanence(needs.remanence)))
}

fn remanence(percent: f64) -> Phrase {
    if percent <= 0.0 {
        return "without remanence".into();
    }
    let flux = quantity(percent, 3, unit::PERCENT);
    say!("remanence {} as the duty states", flux)
}

fn waveform(served: &Served, duty: &Duty, wave: &Wave) -> Finding {
    let ms = |seconds: f64| Quantity::new(rounded(1e3 * seconds, 2), "ms");
    let ten = || Quantity::new("10", "%");
    let told = match (wave.first_error, wave.beyond_readings) {
        (error, Some(left)) if error.is_none_or(|error| error > left) => say!(
            "no {} error until the flux leaves the readings after {}",
            ten(),
            ms(left)
        ),
        (Some(error), _) => say!("{} error first after {}", ten(), ms(error)),
        (None, _) => say!("no {} error within {}", ten(), ms(wave.duration)),
    };
    let at = duty.fault_current.span().into_iter().collect();
    let rule = &rules::SIMULATED_CURRENT;
    let mut finding = new(served, rule, Found::Nothing, unit::ONE, at)
        .observed(told)
        .remark(say!(
            "without loss current, which is {} of the exciting current below the knee (common practice, no source)",
            Quantity::new("30 to 70", "%")
        ))
        .remark(remanence(wave.remanence));
    finding.verdict = Verdict::Observed(Grade::Info);
    if wave.beyond_readings.is_some() {
        return finding.remark(
            "beyond the last reading the curve is continued as a straight line, an assumption",
        );
    }
    finding
}

#[cfg(test)]
mod tests;
