//! The circuit's verdict: only against what the relay's own rule asks. What the fault level asks by
//! the generic rules is information, since healthy protections would fail it by the row.

use super::protection::{knee_verdict, needs_up_to, of_curve, resistance};
use crate::derive::kinds::duty::{LoadFrom, Needs, RequiredFactor, RequiredKnee, Served, Wave};
use crate::derive::transient::Saturation;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::duty as rules;
use crate::judge::verdict::not_judged;
use crate::judge::words::{brief, quantity, rounded};
use crate::record::duty::Duty;
use crate::standards::{Cited, threshold};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for served in &j.derived.duty {
        let Some(duty) = j.case.record.duties.get(served.duty) else {
            continue;
        };
        let (knee, factor) = (served.knee.as_ref(), served.factor.as_ref());
        let (needs, wave) = (served.needs.as_ref(), served.wave.as_ref());
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
            out.push(finding.withheld(served.doubtful));
        }
    }
}

/// The requirement with the rule that the duty names.
fn against(duty: &Duty, what: &str, least: f64, at: Span) -> Against {
    let rule = duty.rule.value().map(|rule| format!(", {rule}"));
    let source = format!("duty, {what}{}", rule.unwrap_or_default());
    let cited = Cited::stated(format!("duty-{}", what.replace(' ', "-")), source);
    Against::at_least(least, &cited).stated_at(at)
}

/// Puts requirement and verdict on a finding, and how many times the requirement the value is.
fn held(finding: Finding, against: Against, verdict: Verdict, required: f64) -> Finding {
    let mut finding = finding.headline();
    if let Some(value) = finding.value().filter(|_| required > 0.0) {
        let times = quantity(value.si / required, 3, unit::ONE);
        finding = finding.remark(say!("{} times the requirement", times));
    }
    finding.held(against, verdict)
}

fn required_knee(j: &Judging<'_>, served: &Served, duty: &Duty, knee: &RequiredKnee) -> Finding {
    let least = knee.required.si;
    let against = against(duty, "required knee", least, knee.at);
    let verdict = knee_verdict(j, &knee.found, &against, least);
    let finding = Finding::new(&rules::REQUIRED_KNEE, knee.found.voltage(), unit::VOLT)
        .of(served.pair, knee.readings.clone());
    held(finding, against, verdict, least)
}

fn required_factor(
    j: &Judging<'_>,
    served: &Served,
    duty: &Duty,
    factor: &RequiredFactor,
) -> Finding {
    let least = factor.required;
    let against = against(duty, "required factor", least, factor.at);
    let verdict = match &factor.found {
        Some(found) => {
            let beyond = factor.emf.map(needs_up_to);
            let beyond = beyond.unwrap_or(Verdict::NotShown(Phrase::default()));
            let before = Verdict::NotShown("needs lower readings".into());
            j.one_sided(found, &against, beyond, before)
        }
        None => not_judged("winding resistance or burden of the circuit is not known"),
    };
    let finding = Finding::new(&rules::REQUIRED_FACTOR, factor.found, unit::ONE)
        .of(served.pair, factor.readings.clone())
        .under(Condition::ErrorOf(100.0 * factor.eps));
    held(with_load(served, finding), against, verdict, least)
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
    let secondary = quantity(needs.secondary.si, 4, unit::AMPERE);
    let mut finding = Finding::new(&rules::DUTY_EMF, needs.symmetrical, unit::VOLT)
        .of(served.pair, vec![needs.at])
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
    let (rule, unit) = (&rules::TIME_TO_SATURATION, unit::MILLISECOND);
    let without = |why: &'static str| Finding::without(rule, unit).observed(why);
    let finding = match needs.saturation? {
        Saturation::After(time) => Finding::new(rule, time, unit).remark(
            "from the knee, in closed form for a resistive burden, without ripple; good to two digits at most",
        ),
        Saturation::AtOnce => {
            without("the symmetrical fault current alone needs more than the knee voltage")
        }
        Saturation::Never => without("full offset does not bring the core to its knee"),
        Saturation::Unknown => return None,
    };
    let finding = finding.of(served.pair, vec![needs.at]).graded(Grade::Info);
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
    let error = threshold("simulated-error").map_or(0.0, |row| row.limit);
    let ten = || brief(error, "%");
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
    let finding = Finding::observation(&rules::SIMULATED_CURRENT, told, Grade::Info)
        .of(served.pair, at)
        .remark(say!(
            "without loss current, which is {} of the exciting current below the knee (common practice, no source)",
            Quantity::new("30 to 70", "%")
        ))
        .remark(remanence(wave.remanence));
    if wave.beyond_readings.is_none() {
        return finding;
    }
    finding
        .remark("beyond the last reading the curve is continued as a straight line, an assumption")
}

#[cfg(test)]
mod tests;
