//! Burden of the connected circuit against what the core is rated for. The circuit's verdict.

use super::protection::on_tap;
use crate::derive::kinds::burden::Loop;
use crate::document::{Grade, Phrase, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::decision::Word;
use crate::judge::finding::{Against, Finding, Verdict, unit};
use crate::judge::rules::{burden as rules, duty};
use crate::judge::verdict::{not_judged, plate};
use crate::judge::words;
use crate::record::kinds::Test;
use crate::record::kinds::burden::Path;
use crate::standards;
use crate::trade::{Burden, Class, Pair};
use std::collections::BTreeSet;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for one in &j.derived.burden {
        let rated = rated(j, one.pair.ascending());
        // Below its range the upper end of it shows nothing.
        let found = below_range(j, one, rated.as_ref())
            .unwrap_or_else(|| against_rated(j, one, rated.as_ref()));
        out.push(found.withheld(one.doubtful));
    }
    without_value(j, out);
}

/// What a core is rated for.
struct Rated {
    /// In ohm instead of volt-amperes.
    in_ohm: bool,
    /// The limit, in that unit.
    against: Against,
    most: f64,
    /// Least burden that the plate names (`1-10 VA`).
    least: Option<f64>,
    /// How it follows from the plate, where it does not stand there.
    told: Option<Phrase>,
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
        against: Against::at_most(most, &plate("rated burden")).stated_at(written.span),
        most,
        least,
        told: None,
    };
    match &written.value {
        Burden::Power { va, .. } => Some(on_plate(false, va.si, None)),
        Burden::Range { least, va } => Some(on_plate(false, va.si, Some(*least))),
        Burden::Impedance { ohm, .. } => Some(on_plate(true, ohm.si, None)),
        Burden::Designation(name) => designated(j, pair, name),
        Burden::Connected | Burden::Shorted => None,
    }
}

/// What a core is rated for, ohm.
pub(in crate::judge) fn rated_ohm(j: &Judging<'_>, pair: Pair) -> Option<f64> {
    let rated = rated(j, pair)?;
    let amperes = j.case.rated_secondary(pair);
    match rated.in_ohm {
        true => Some(rated.most),
        false => amperes.map(|amperes| rated.most / (amperes * amperes)),
    }
}

fn of_class(j: &Judging<'_>, pair: Pair) -> Option<Rated> {
    if let Some(tap) = on_tap(j, pair) {
        return Some(Rated {
            in_ohm: false,
            against: Against::at_most(tap.va, &tap.cited),
            most: tap.va,
            least: None,
            told: Some(tap.told),
        });
    }
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
        against: Against::at_most(burden.va, &burden.cited),
        most: burden.va,
        least: None,
        told: None,
    })
}

/// At the reading, in the loop as the record names it.
fn placed(finding: Finding, one: &Loop) -> Finding {
    finding
        .at(one.test, one.pair, one.readings.clone())
        .under(one.path.map(Condition::Loop))
}

fn against_rated(j: &Judging<'_>, one: &Loop, rated: Option<&Rated>) -> Finding {
    let in_ohm = rated.is_some_and(|rated| rated.in_ohm);
    let (found, unit) = match one.va {
        Some(va) if !in_ohm => (va, unit::VOLT_AMPERE),
        _ => (one.z, unit::OHM),
    };
    let mut finding = placed(Finding::new(&rules::CIRCUIT_BURDEN, found, unit), one).headline();
    finding.remarks = remarks(j, one, in_ohm);
    let comparable = in_ohm || one.va.is_some();
    if let Some(next) = other_loop(one.path) {
        let needs = Verdict::NotShown("needs the loop from phase to neutral".into());
        return finding.verdict(needs).next(next);
    }
    match rated {
        Some(rated) if comparable => {
            finding.remarks.extend(rated.told.clone());
            let range = range(j, one, rated).map(|(_, _, range)| range);
            finding.against(j, range.unwrap_or_else(|| rated.against.clone()))
        }
        Some(_) => finding.verdict(not_judged(
            "the rated secondary current is not on the plate",
        )),
        None => finding.remark(no_rated(j, one.pair)),
    }
}

fn remarks(j: &Judging<'_>, one: &Loop, in_ohm: bool) -> Vec<Phrase> {
    let mut remarks = Vec::new();
    if let (Some(va), true) = (one.va, in_ohm) {
        let va = j.number(va, unit::VOLT_AMPERE);
        remarks.push(say!("{} at rated secondary current", va));
    } else if !in_ohm {
        remarks.push(say!("Z {}", j.number(one.z, unit::OHM)));
    }
    remarks.push(match (one.r, one.x, one.power_factor) {
        (Some(r), Some(x), Some(factor)) => say!(
            "R {}, X {}, power factor {}",
            j.number(r, unit::OHM),
            j.number(x, unit::OHM),
            words::quantity(factor.si, 3, unit::ONE)
        ),
        _ => "no angle read: resistance and reactance are not known".into(),
    });
    if one.path.is_none() {
        remarks.push("the loop is not stated; taken as phase-neutral".into());
    }
    if let Some(hertz) = one.other_frequency {
        let corrected = if one.scaled {
            "; the reactance is corrected to rated frequency"
        } else {
            " and not corrected to rated frequency: that needs the angle"
        };
        let hertz = words::quantity(hertz, 3, unit::HERTZ);
        remarks.push(say!("measured at {}{}", hertz, corrected));
    }
    remarks
}

/// What to do about a loop that a rated burden does not speak of.
fn other_loop(path: Option<Path>) -> Option<&'static str> {
    let other = path.filter(|path| !path.is_of_one_phase())?;
    Some(match other {
        Path::PhasePhase => "a phase-phase loop holds two loops in series; measure phase-neutral",
        _ => "the earth is not the neutral lead; measure phase-neutral",
    })
}

fn no_rated(j: &Judging<'_>, pair: Pair) -> &'static str {
    let Some(core) = j.case.core(pair) else {
        return "the plate gives no rated burden";
    };
    let by_class = matches!(
        core.class.value(),
        Some(
            Class::IeeeRelay { .. }
                | Class::IeeeMetering {
                    burden: Some(_),
                    ..
                }
        )
    );
    if by_class && core.is_full(pair) {
        "no standard burden is known for the class"
    } else if by_class || core.burden.get().is_some() {
        "the plate gives the burden of the full winding only"
    } else {
        "the plate gives no rated burden"
    }
}

/// A measuring class holds from a share of its rated burden on: its name, that least burden, and both ends.
fn range<'a>(j: &Judging<'a>, one: &Loop, rated: &Rated) -> Option<(&'a str, f64, Against)> {
    let core = j.case.core(one.pair)?;
    // A tap without a class of its own is loaded as the core's class is rated.
    let class = core.class_of(one.pair.ascending()).or(core.class.value());
    let Some(Class::Measuring { name, .. }) = class else {
        return None;
    };
    let class = standards::measuring(name).filter(|_| !rated.in_ohm)?;
    let (least, against) = match rated.least {
        Some(least) => {
            let against = Against::between(least, rated.most, &plate("range of the burden"));
            (least, against.stated_at(rated.against.span?))
        }
        None => {
            let least = rated.most * class.burden_min_pct / 100.0;
            let cited = &class.burden_cited;
            (least, Against::between(least, rated.most, cited))
        }
    };
    Some((name, least, against))
}

/// Below its range a class promises nothing.
fn below_range(j: &Judging<'_>, one: &Loop, rated: Option<&Rated>) -> Option<Finding> {
    let va = one.va?;
    let (name, least, against) = range(j, one, rated?)?;
    if va.si >= least || other_loop(one.path).is_some() {
        return None;
    }
    let rule = &rules::CIRCUIT_BURDEN_BELOW_RANGE;
    let mut finding = placed(Finding::new(rule, va, unit::VOLT_AMPERE), one).headline();
    finding.remarks = remarks(j, one, false);
    Some(
        finding
            .under(Condition::Class(name.to_owned()))
            .beyond(against),
    )
}

/// Above the rated burden the class promises nothing more; a circuit whose own requirement is met there
/// does not fail by it. Called when all doubts have travelled, so that what is met stands.
pub(in crate::judge) fn weigh(findings: &mut [Finding]) {
    super::duty::multiples(findings);
    let asks = [&duty::REQUIRED_FACTOR, &duty::REQUIRED_KNEE];
    let asked: Vec<(Option<usize>, bool)> = findings
        .iter()
        .filter(|finding| asks.contains(&finding.rule))
        .map(|finding| (finding.core, finding.grade() == Grade::Pass))
        .collect();
    for finding in findings.iter_mut() {
        let over = matches!(
            finding.verdict,
            Verdict::Word(Word::Fail | Word::ConditionalFail)
        );
        let mut own = asked
            .iter()
            .filter(|(core, _)| *core == finding.core)
            .peekable();
        if finding.rule == &rules::CIRCUIT_BURDEN
            && over
            && own.peek().is_some()
            && own.all(|(_, met)| *met)
        {
            finding.verdict = Verdict::Observed(Grade::Review);
            let why =
                "above its rated burden the class is no longer promised; the requirement is met";
            finding.remarks.insert(0, why.into());
        }
    }
}

/// Rows that give no loop.
fn without_value(j: &Judging<'_>, out: &mut Vec<Finding>) {
    let why = "voltage or current is not a usable reading";
    let known = j.derived.burden.iter();
    let known = known.filter_map(|one| Some((one.test, one.readings.first()?.start)));
    let known: BTreeSet<(usize, u32)> = known.collect();
    for (index, _, body) in j.case.visit.of(Test::burden) {
        for row in &body.rows {
            if row.voltage.is_missing() && row.current.is_missing() {
                continue;
            }
            let at = row.voltage.span();
            if at.is_some_and(|at| known.contains(&(index, at.start))) {
                continue;
            }
            out.extend(row.on.map(|on| {
                Finding::without(&rules::CIRCUIT_BURDEN, unit::OHM)
                    .at(index, on.value, vec![row.span])
                    .under(row.path.value().copied().map(Condition::Loop))
                    .verdict(not_judged(why))
            }));
        }
    }
}

#[cfg(test)]
mod tests;
