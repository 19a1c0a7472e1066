//! Burden of the connected circuit against what the core is rated for. The circuit's verdict.

use super::doubt::withheld;
use crate::derive::kinds::burden::Loop;
use crate::document::{Grade, Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Against, Finding, Found, Unit, Verdict, unit};
use crate::judge::rules::{self, Rule};
use crate::judge::verdict::{cited_limit, plate_limit};
use crate::judge::words;
use crate::record::kinds::Test;
use crate::standards;
use crate::trade::{Burden, Class, Pair};

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    let derived = j.derived;
    for one in &derived.burden {
        let rated = rated(j, one.pair.ascending());
        let found: Vec<Finding> = std::iter::once(against_rated(j, one, rated.as_ref()))
            .chain(below_range(j, one, rated.as_ref()))
            .collect();
        j.findings.extend(found);
    }
    let missing = without_value(j);
    j.findings.extend(missing);
}

/// What a core is rated for.
struct Rated {
    /// In ohm instead of volt-amperes.
    in_ohm: bool,
    /// The limit, in that unit.
    against: Against,
    /// Least burden that the plate names (`1-10 VA`).
    least: Option<f64>,
}

impl Rated {
    fn most(&self) -> f64 {
        self.against.requirement.upper.unwrap_or(0.0)
    }
}

/// The rated burden of a pair: its own, else the core's for the full winding, else that of its
/// class (IEEE).
fn rated(j: &Judging<'_>, pair: Pair) -> Option<Rated> {
    let core = j.case.core(pair)?;
    let own = core
        .tap(pair.from, pair.to)
        .and_then(|tap| tap.burden.get());
    let written = own.or_else(|| core.burden.get().filter(|_| core.is_full(pair)));
    let Some(written) = written else {
        return of_class(j, pair);
    };
    let on_plate = |in_ohm: bool, most: f64, least: Option<f64>| Rated {
        in_ohm,
        against: plate_limit(Requirement::at_most(most), "rated burden", written.span),
        least,
    };
    match &written.value {
        Burden::Power { va, .. } => Some(on_plate(false, va.si, None)),
        Burden::Range { least, va } => Some(on_plate(false, va.si, Some(*least))),
        Burden::Impedance { ohm, .. } => Some(on_plate(true, ohm.si, None)),
        Burden::Designation(name) => designated(j, pair, name),
        Burden::Connected | Burden::Shorted => None,
    }
}

fn of_class(j: &Judging<'_>, pair: Pair) -> Option<Rated> {
    let core = j.case.core(pair)?;
    match core.class_of(pair)? {
        Class::IeeeMetering {
            burden: Some(name), ..
        } => designated(j, pair, name),
        Class::IeeeRelay { volts, .. } => {
            designated(j, pair, &standards::ieee_relay(*volts)?.burden)
        }
        _ => None,
    }
}

/// An IEEE standard burden at the core's rated secondary current.
fn designated(j: &Judging<'_>, pair: Pair, name: &str) -> Option<Rated> {
    let burden = standards::ieee_burden(name)?.at_secondary(j.case.rated_secondary(pair)?)?;
    Some(Rated {
        in_ohm: false,
        against: cited_limit(Requirement::at_most(burden.va), &burden.cited),
        least: None,
    })
}

fn finding(one: &Loop, rule: &'static Rule, found: Found, unit: Unit) -> Finding {
    Finding::new(rule, found, unit)
        .at(one.test, one.pair, one.readings.clone())
        .under(of_loop(&one.path))
}

/// The loop as the record names it, where it does.
fn of_loop(path: &str) -> Option<Condition> {
    (!path.is_empty()).then(|| Condition::Loop(path.to_owned()))
}

fn against_rated(j: &Judging<'_>, one: &Loop, rated: Option<&Rated>) -> Finding {
    let in_ohm = rated.is_some_and(|rated| rated.in_ohm);
    let (found, unit) = match one.va {
        Some(va) if !in_ohm => (va, unit::VOLT_AMPERE),
        _ => (one.z, unit::OHM),
    };
    let mut finding = finding(one, &rules::CIRCUIT_BURDEN, Found::Known(found), unit).headline();
    finding.remarks = remarks(j, one, in_ohm);
    let comparable = in_ohm || one.va.is_some();
    finding = match rated {
        _ if other_loop(&one.path) => finding
            .remark("no verdict: the rated burden is that of a phase-neutral loop")
            .next(other_loop_next(one)),
        Some(rated) if comparable => finding.against(j.w, j.case.criteria, rated.against.clone()),
        Some(_) => Finding {
            verdict: Verdict::NotJudged("the rated secondary current is not on the plate".into()),
            ..finding
        },
        None => finding.remark(no_rated(j, one.pair)),
    };
    withheld(finding, one.doubtful)
}

fn remarks(j: &Judging<'_>, one: &Loop, in_ohm: bool) -> Vec<Phrase> {
    let text = |value, unit| words::number(j.w, j.case.criteria, value, unit);
    let mut remarks = Vec::new();
    if let (Some(va), true) = (one.va, in_ohm) {
        let va = text(va, unit::VOLT_AMPERE);
        remarks.push(say!("{} at rated secondary current", va));
    } else if !in_ohm {
        remarks.push(say!("Z {}", text(one.z, unit::OHM)));
    }
    remarks.push(match (one.r, one.x, one.power_factor) {
        (Some(r), Some(x), Some(factor)) => say!(
            "R {}, X {}, power factor {}",
            text(r, unit::OHM),
            text(x, unit::OHM),
            words::quantity(factor.si, 3, unit::ONE)
        ),
        _ => "no angle read: resistance and reactance are not known".into(),
    });
    if one.path.is_empty() {
        remarks.push("the loop is not stated; taken as phase-neutral".into());
    }
    if let Some(hertz) = one.other_frequency {
        let hertz = words::quantity(hertz, 3, unit::HERTZ);
        remarks.push(if one.scaled {
            say!(
                "measured at {}; the reactance is corrected to rated frequency",
                hertz
            )
        } else {
            say!(
                "measured at {} and not corrected to rated frequency: that needs the angle",
                hertz
            )
        });
    }
    remarks
}

/// What to do about a loop of two phases.
const TWO_LOOPS: &str = "a phase-phase loop holds two loops in series; measure phase-neutral";

/// Whether the loop is written and is not phase-neutral.
fn other_loop(path: &str) -> bool {
    let path = path.to_lowercase();
    !path.is_empty() && !path.contains("neutral") && path != "single-phase"
}

fn other_loop_next(one: &Loop) -> &'static str {
    if one.path.to_lowercase().contains("phase-phase") {
        TWO_LOOPS
    } else {
        "measure the loop from phase to neutral"
    }
}

fn no_rated(j: &Judging<'_>, pair: Pair) -> &'static str {
    let on_core = j
        .case
        .core(pair)
        .is_some_and(|core| core.burden.get().is_some());
    if on_core {
        "the plate gives the burden of the full winding only"
    } else {
        "the plate gives no rated burden"
    }
}

/// A measuring class holds from a share of its rated burden on; below it nothing is promised.
fn below_range(j: &Judging<'_>, one: &Loop, rated: Option<&Rated>) -> Option<Finding> {
    let (rated, va) = (rated.filter(|rated| !rated.in_ohm)?, one.va?);
    let core = j.case.core(one.pair)?;
    // A tap without a class of its own is loaded as the core's class is rated.
    let Some(Class::Measuring { name, .. }) =
        core.class_of(one.pair.ascending()).or(core.class.value())
    else {
        return None;
    };
    let class = standards::measuring(name)?;
    let against = match rated.least {
        Some(least) => plate_limit(
            Requirement::at_least(least),
            "least burden of the class",
            rated.against.span?,
        ),
        None => {
            let lower = rated.most() * class.burden_min_pct / 100.0;
            cited_limit(Requirement::at_least(lower), &class.burden_cited)
        }
    };
    if va.si >= against.requirement.lower? || other_loop(&one.path) {
        return None;
    }
    let rule = &rules::CIRCUIT_BURDEN_BELOW_RANGE;
    let mut finding = finding(one, rule, Found::Known(va), unit::VOLT_AMPERE)
        .under(Condition::Class(name.clone()));
    finding.points_at.extend(against.span);
    finding.against = Some(against);
    finding.verdict = Verdict::Observed(Grade::Review);
    Some(withheld(finding, one.doubtful))
}

/// Rows that give no loop.
fn without_value(j: &Judging<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    for (index, _, body) in j.case.visit.of(Test::burden) {
        for row in &body.rows {
            let spans = [row.voltage.span(), row.current.span()];
            let known = j
                .derived
                .burden
                .iter()
                .any(|one| one.test == index && one.readings.first().copied() == spans[0]);
            let Some(pair) = row.on.map(|on| on.value).filter(|_| !known) else {
                continue;
            };
            let path = row.path.value().map_or("", String::as_str);
            let mut finding = Finding::new(&rules::CIRCUIT_BURDEN, Found::Nothing, unit::OHM)
                .at(index, pair, vec![row.span])
                .under(of_loop(path));
            finding.verdict =
                Verdict::NotJudged("voltage or current is not a usable reading".into());
            found.push(finding);
        }
    }
    found
}

#[cfg(test)]
mod tests;
