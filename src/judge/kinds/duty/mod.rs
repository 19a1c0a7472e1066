//! The circuit's verdict: only against what the relay's own rule asks. What the fault level asks by
//! the generic rules is information, since healthy protections would fail it by the row.

use super::protection::{knee_verdict, needs_up_to, of_curve, resistance};
use crate::derive::kinds::duty::{LoadFrom, Needs, RequiredFactor, RequiredKnee, Served, Wave};
use crate::derive::kinds::security::AtConnected;
use crate::derive::outcome::Outcome;
use crate::derive::transient::Saturation;
use crate::derive::workings::Value;
use crate::document::{Grade, Phrase, Quantity, say};
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::Word;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::duty as rules;
use crate::judge::verdict::not_judged;
use crate::judge::words::{brief, quantity, rounded};
use crate::record::duty::{Duty, KneeBy};
use crate::standards::{Cited, Family, threshold};
use crate::trade::Burden;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for served in &j.derived.duty {
        let Some(duty) = j.case.record.duties.get(served.duty) else {
            continue;
        };
        let (knee, factor) = (served.knee.as_ref(), served.factor.as_ref());
        let (needs, wave) = (served.needs.as_ref(), served.wave.as_ref());
        let findings = [
            outgrown(j, served, duty).map(|stated| above_stated(served, duty, stated)),
            knee.map(|knee| required_knee(j, served, duty, knee)),
            factor.map(|factor| required_factor(j, served, duty, factor)),
            needs.map(|needs| emf(served, needs)),
            needs.and_then(|needs| offset(served, needs)),
            needs.and_then(|needs| saturation(served, needs)),
            wave.map(|wave| waveform(served, duty, wave)),
        ];
        for finding in findings.into_iter().flatten() {
            let other_frequency = served.other_frequency.is_some();
            let finding = of_curve(j, finding, served.scaled_from, other_frequency);
            out.push(finding.withheld(served.doubtful));
        }
    }
    for one in &j.derived.security {
        let finding = of_curve(j, security(one), one.scaled_from, one.other_frequency);
        out.push(finding.withheld(one.doubtful));
    }
}

/// The burden that the duty states, where the measured one exceeds it by more than its uncertainty and
/// the last digit of what is stated.
fn exceeded(j: &Judging<'_>, served: &Served, duty: &Duty) -> Option<Exceeded> {
    let load = served.load.as_ref()?;
    let (measured, stated) = (load.impedance.z, load.stated.filter(|z| z.si > 0.0)?);
    let digit = match duty.burden.value() {
        Some(Burden::Impedance { ohm, .. }) => ohm.resolution / 2.0,
        _ => 0.0,
    };
    let doubt = j.expanded(measured).unwrap_or(0.0) + digit;
    let times = measured.si / stated.si;
    let most = 1.0 + threshold("duty-burden-excess").map_or(0.0, |row| row.limit / 100.0);
    (measured.si > stated.si + doubt).then_some(Exceeded {
        stated,
        times,
        slight: times <= most,
    })
}

/// A measured burden above the one that the duty states.
struct Exceeded {
    stated: Value,
    /// How many times the stated burden it is: more than what was worked out for it can grow.
    times: f64,
    /// By so little that it is a design figure beside a reading.
    slight: bool,
}

/// Where what was worked out for the stated burden does not hold.
fn outgrown(j: &Judging<'_>, served: &Served, duty: &Duty) -> Option<Value> {
    let exceeded = exceeded(j, served, duty).filter(|exceeded| !exceeded.slight)?;
    Some(exceeded.stated)
}

/// For which burden a requirement was worked out.
fn worked_out(stated: Value) -> Phrase {
    let ohm = quantity(stated.si, 3, unit::OHM);
    say!("the requirement was worked out for {}", ohm)
}

fn above_stated(served: &Served, duty: &Duty, stated: Value) -> Finding {
    let measured = served.load.as_ref().map(|load| load.impedance.z);
    let measured = measured.map(Outcome::Known);
    let cited = Cited::stated("duty-burden".to_owned(), "duty, burden".to_owned());
    let against = Against::at_most(stated.si, &cited);
    let against = match duty.burden.span() {
        Some(at) => against.stated_at(at),
        None => against,
    };
    Finding::new(&rules::DUTY_BURDEN, measured, unit::OHM)
        .of(served.pair, Vec::new())
        .remark(worked_out(stated))
        .beyond(against)
}

/// The requirement with the rule that the duty names.
fn against(duty: &Duty, what: &str, least: f64, at: Span) -> Against {
    let rule = duty.rule.value().map(|rule| format!(", {rule}"));
    let source = format!("duty, {what}{}", rule.unwrap_or_default());
    let cited = Cited::stated(format!("duty-{}", what.replace(' ', "-")), source);
    Against::at_least(least, &cited).stated_at(at)
}

/// How many times the requirement a value is, where a verdict stands on it. Called when all doubts have
/// travelled: beside a verdict that was withheld the number would claim what the verdict does not.
pub(in crate::judge) fn multiples(findings: &mut [Finding]) {
    let asked = [&rules::REQUIRED_KNEE, &rules::REQUIRED_FACTOR];
    for finding in findings.iter_mut().filter(|one| asked.contains(&one.rule)) {
        finding.remarks.extend(multiple(finding));
    }
}

fn multiple(finding: &Finding) -> Option<Phrase> {
    let judged = matches!(finding.verdict, Verdict::Word(_) | Verdict::NotMet);
    let required = finding.against.as_ref()?.requirement.lower;
    let required = required.filter(|required| judged && *required > 0.0)?;
    let side = match finding.found? {
        Outcome::AtLeast(_) | Outcome::NotReached { .. } => "at least ",
        Outcome::AtMost(_) => "at most ",
        Outcome::Known(_) | Outcome::Lacking(_) => "",
    };
    let times = quantity(finding.value()?.si / required, 3, unit::ONE);
    Some(say!("{}{} times the requirement", side, times))
}

fn required_knee(j: &Judging<'_>, served: &Served, duty: &Duty, knee: &RequiredKnee) -> Finding {
    let least = knee.required.si;
    let against = against(duty, "required knee", least, knee.at);
    let verdict = knee_verdict(j, &knee.found, &against, least);
    let mut finding = Finding::new(&rules::REQUIRED_KNEE, knee.found.voltage(), unit::VOLT)
        .of(served.pair, knee.readings.clone())
        .headline();
    if let Some(rule) = duty.knee_rule.value() {
        finding = finding.remark(named(*rule));
    }
    if let Some(exceeded) = exceeded(j, served, duty) {
        // A knee is worked out for winding and burden together: it grows by less than the burden does.
        let grown = knee_verdict(
            j,
            &knee.found,
            &self::against(duty, "required knee", least * exceeded.times, knee.at),
            least * exceeded.times,
        );
        if !(exceeded.slight && grown == Verdict::Word(Word::Pass)) {
            let why = Verdict::NotJudged(worked_out(exceeded.stated));
            return finding.held(against, why);
        }
    }
    if is_ambiguous(j, duty, &verdict) {
        let why = "the duty does not say which knee it means";
        let next =
            "write `knee rule: 10/50`, `45 deg` or `30 deg` in [duty], as the relay's rule has it";
        return finding.next(next).held(against, not_judged(why));
    }
    finding.held(against, verdict)
}

fn named(rule: KneeBy) -> &'static str {
    match rule {
        KneeBy::Steps => "knee where 10 % more voltage takes 50 % more current, as the duty says",
        KneeBy::Tangent45 => "knee by the 45° tangent, as the duty says",
        KneeBy::Tangent30 => "knee by the 30° tangent, as the duty says",
    }
}

/// Whether only the lower of the knees misses a requirement that names no rule: the tangent of an IEEE
/// plate lies below the knee that many relays ask for.
fn is_ambiguous(j: &Judging<'_>, duty: &Duty, verdict: &Verdict) -> bool {
    let missed = matches!(
        verdict,
        Verdict::NotMet | Verdict::Word(Word::Fail | Word::ConditionalFail)
    );
    let ieee = j.case.record.plate.family() == Family::Ieee;
    missed && ieee && duty.knee_rule.is_missing()
}

fn required_factor(
    j: &Judging<'_>,
    served: &Served,
    duty: &Duty,
    factor: &RequiredFactor,
) -> Finding {
    let least = factor.required;
    let against = against(duty, "required factor", least, factor.at);
    let stated = outgrown(j, served, duty);
    let verdict = match &factor.found {
        _ if stated.is_some() => Verdict::NotJudged(stated.map(worked_out).unwrap_or_default()),
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
        .under(Condition::ErrorOf(100.0 * factor.eps))
        .headline();
    with_load(served, finding).held(against, verdict)
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
    let finding = Finding::new(&rules::DUTY_EMF, needs.symmetrical, unit::VOLT)
        .of(served.pair, vec![needs.at])
        .remark(say!("secondary current {}", secondary));
    with_load(served, finding)
}

fn offset(served: &Served, needs: &Needs) -> Option<Finding> {
    let finding = Finding::new(&rules::DUTY_EMF_OFFSET, needs.offset?, unit::VOLT)
        .of(served.pair, vec![needs.at])
        .remark("times 1 + X/R; no requirement unless the relay's rule makes it one");
    Some(finding)
}

/// What the plate states holds at rated burden; beside it, what the circuit makes of it.
fn security(one: &AtConnected) -> Finding {
    let factor = one.burden.power_factor.si;
    let ohm = Condition::Impedance(one.burden.z.si, one.burden.stated.then_some(factor));
    let (rct, from) = one.rct;
    Finding::new(&rules::SECURITY_CONNECTED, one.found, unit::ONE)
        .by_curve(one.at, one.pair, one.readings.clone())
        .under(ohm)
        .remark(say!(
            "FS{} of the plate holds at rated burden",
            brief(one.rated, "")
        ))
        .remark(say!("winding resistance {}", resistance(rct, from)))
}

fn saturation(served: &Served, needs: &Needs) -> Option<Finding> {
    let (rule, unit) = (&rules::TIME_TO_SATURATION, unit::MILLISECOND);
    let without = |why: &'static str| Finding::without(rule, unit).observed(why);
    let finding = match needs.saturation? {
        Saturation::After(time) => Finding::new(rule, time, unit).remark(
            "from the knee, for a resistive burden; inductance in the burden delays it (common practice, no source)",
        ),
        Saturation::AtOnce => {
            without("the remanence leaves nothing of the knee")
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
