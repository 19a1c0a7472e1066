//! Burden of the connected circuit against what the core is rated for. The circuit's verdict.

use super::doubt::withheld;
use crate::derive::kinds::burden::Loop;
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Against, Finding, Found, Grade, Unit, Verdict, Weight, Whose, unit};
use crate::judge::say;
use crate::judge::verdict::{cited_limit, plate_limit};
use crate::record::class::Class;
use crate::record::kinds::{Test, TestKind};
use crate::record::value::{Burden, Pair};
use crate::standards;

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

fn made(one: &Loop, rule: &'static str, what: &str, found: Found, unit: Unit) -> Finding {
    Finding::new(rule, TestKind::Burden, Whose::Circuit, what, found, unit).at(
        one.test,
        one.pair,
        one.readings.clone(),
    )
}

fn against_rated(j: &Judging<'_>, one: &Loop, rated: Option<&Rated>) -> Finding {
    let in_ohm = rated.is_some_and(|rated| rated.in_ohm);
    let (what, found, unit) = match one.va {
        Some(va) if !in_ohm => (
            "burden of the circuit at rated secondary current",
            va,
            unit::VOLT_AMPERE,
        ),
        _ => ("impedance of the circuit", one.z, unit::OHM),
    };
    let mut finding = made(one, "circuit-burden", what, Found::Known(found), unit).headline();
    finding.remarks = remarks(j, one, in_ohm);
    let comparable = in_ohm || one.va.is_some();
    match (rated, other_loop(&one.path)) {
        (_, true) => {
            finding = finding
                .remark("no verdict: the rated burden is that of a phase-neutral loop")
                .next(other_loop_next(one))
        }
        (Some(rated), false) if comparable => {
            finding = finding.against(j.w, j.case.criteria, rated.against.clone())
        }
        (Some(_), false) => {
            finding.verdict =
                Verdict::NotJudged("the rated secondary current is not on the plate".to_owned())
        }
        (None, false) => finding = finding.remark(no_rated(j, one.pair)),
    }
    if finding.grade() >= Grade::Doubt {
        finding = finding.next(
            "find what loads the circuit: lead section and length, loose terminals, relays in series; or ask for the factor at this burden",
        );
    }
    withheld(finding, one.doubtful)
}

fn remarks(j: &Judging<'_>, one: &Loop, in_ohm: bool) -> Vec<String> {
    let text = |value, unit| say::number(j.w, j.case.criteria, value, unit).text();
    let mut remarks = Vec::new();
    if let (Some(va), true) = (one.va, in_ohm) {
        remarks.push(format!(
            "{} at rated secondary current",
            text(va, unit::VOLT_AMPERE)
        ));
    } else if !in_ohm {
        remarks.push(format!("Z {}", text(one.z, unit::OHM)));
    }
    match (one.r, one.x, one.power_factor) {
        (Some(r), Some(x), Some(factor)) => {
            let (r, x) = (text(r, unit::OHM), text(x, unit::OHM));
            remarks.push(format!(
                "R {r}, X {x}, power factor {}",
                say::rounded(factor.si, 3)
            ));
        }
        _ => remarks.push("no angle read: resistance and reactance are not known".to_owned()),
    }
    if one.path.is_empty() {
        remarks.push("the loop is not written; taken as phase-neutral".to_owned());
    }
    if let Some(f) = one.other_frequency {
        let f = say::rounded(f, 3);
        remarks.push(if one.scaled {
            format!("measured at {f} Hz; the reactance is taken to rated frequency")
        } else {
            format!("measured at {f} Hz and not taken to rated frequency: that needs the angle")
        });
    }
    remarks
}

/// Whether the loop is written and is not phase-neutral.
fn other_loop(path: &str) -> bool {
    let path = path.to_lowercase();
    !path.is_empty() && !path.contains("neutral") && path != "single-phase"
}

fn other_loop_next(one: &Loop) -> &'static str {
    if one.path.to_lowercase().contains("phase-phase") {
        "a phase-phase loop holds two loops in series; measure phase-neutral"
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
    let (lower, against) = match rated.least {
        Some(least) => {
            let span = rated.against.span?;
            (
                least,
                plate_limit(
                    Requirement::at_least(least),
                    "least burden of the class",
                    span,
                ),
            )
        }
        None => {
            let lower = rated.most() * class.burden_min_pct / 100.0;
            (
                lower,
                cited_limit(Requirement::at_least(lower), &class.burden_cited),
            )
        }
    };
    if va.si >= lower || other_loop(&one.path) {
        return None;
    }
    let what = "burden of the circuit, below the range of the class";
    let mut finding = made(
        one,
        "circuit-burden-below-range",
        what,
        Found::Known(va),
        unit::VOLT_AMPERE,
    );
    finding.points_at.extend(against.span);
    finding.against = Some(against);
    finding.verdict = Verdict::Observed(Weight::Doubt);
    let finding = finding
        .remark(format!(
            "class {name} holds from {} VA to the rated burden; below it no accuracy is promised",
            say::rounded(lower, 3)
        ))
        .remark("the security factor rises as the burden falls")
        .next("add burden, or have the accuracy shown at this burden");
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
            let made = Finding::new(
                "circuit-burden",
                TestKind::Burden,
                Whose::Circuit,
                "burden of the circuit",
                Found::Nothing,
                unit::OHM,
            );
            let mut made = made.at(index, pair, vec![row.span]);
            made.verdict =
                Verdict::NotJudged("voltage or current is not a usable reading".to_owned());
            found.push(made);
        }
    }
    found
}

#[cfg(test)]
mod tests;
