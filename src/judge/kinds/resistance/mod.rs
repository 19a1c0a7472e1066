//! Winding resistance against the plate, its readings among themselves, its sections against the whole.

use super::doubt::withheld;
use crate::derive::conductor;
use crate::derive::kinds::resistance::{Plated, Winding, Wires};
use crate::judge::assess::Judging;
use crate::judge::decision::Requirement;
use crate::judge::finding::{Finding, Found, Grade, Verdict, Weight, Whose, unit};
use crate::judge::say;
use crate::judge::verdict::plate_limit;
use crate::record::class::Class;
use crate::record::kinds::{Test, TestKind};
use crate::record::value::Pair;
use crate::standards;

mod sum;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>) {
    let derived = j.derived;
    for winding in &derived.resistance {
        let found: Vec<Finding> = [
            Some(value(j, winding)),
            deviation(j, winding),
            drift(winding),
        ]
        .into_iter()
        .flatten()
        .collect();
        j.findings.extend(found);
    }
    let sums = sum::judge(j);
    j.findings.extend(sums);
    let missing = without_value(j);
    j.findings.extend(missing);
}

fn value(j: &Judging<'_>, winding: &Winding) -> Finding {
    let (what, found) = match winding.at_75 {
        Some(at_75) => ("winding resistance at 75 °C", at_75),
        None => (
            "winding resistance as it was, not taken to 75 °C",
            winding.cold,
        ),
    };
    let made = Finding::new(
        "winding-resistance",
        TestKind::Resistance,
        Whose::Ct,
        what,
        Found::Known(found),
        unit::OHM,
    );
    let mut made = made.at(winding.test, winding.pair, winding.readings.clone());
    made.headline = heads(j, winding);
    made.remarks = remarks(j, winding);
    if let Some(limit) = winding
        .plate
        .filter(|plate| is_limit(j, winding.pair, plate))
    {
        let at_most = Requirement::at_most(limit.at_75.si);
        made = made.against(
            j.w,
            j.case.criteria,
            plate_limit(at_most, "resistance at 75 °C", limit.span),
        );
        if let Some(why) = no_verdict(winding) {
            made.verdict = Verdict::NotJudged(why.to_owned());
        }
    }
    if made.grade() >= Grade::Doubt {
        made = made.next("check clips and temperature, read again with four wires; then look for a bad joint in the terminal box");
    }
    withheld(made, winding.doubtful)
}

/// Whether what the plate says binds: the tap table does, the core's value in the classes that are
/// specified by it (IEC 61869-2: PX, PXR, TPX, TPY, TPZ, and PR where stated; from memory).
fn is_limit(j: &Judging<'_>, pair: Pair, plate: &Plated) -> bool {
    if plate.scaled {
        return false;
    }
    let class = j.case.core(pair).and_then(|core| core.class_of(pair));
    let by_class = matches!(
        class,
        Some(
            Class::Knee { .. }
                | Class::Transient(_)
                | Class::Protection {
                    low_remanence: true,
                    ..
                }
        )
    );
    plate.in_taps || by_class
}

/// What stands against a verdict.
fn no_verdict(winding: &Winding) -> Option<&'static str> {
    match (winding.wires, winding.at_75) {
        (Wires::Two, _) if winding.leads_unknown => {
            Some("the leads are in the reading and no self-check gives their resistance")
        }
        (Wires::Unstated, _) => Some("nobody wrote whether two or four wires were used"),
        (_, None) if winding.temperature.is_none() => {
            Some("the temperature of the winding is not written")
        }
        (_, None) => Some("the reading cannot be taken to 75 °C"),
        _ => None,
    }
}

/// The whole winding heads the matrix; where it was not read, the first pair of the core does.
fn heads(j: &Judging<'_>, winding: &Winding) -> bool {
    let full = j.case.full(winding.pair.core);
    let of_core = || {
        j.derived
            .resistance
            .iter()
            .filter(|other| other.pair.core == winding.pair.core)
    };
    let head = of_core()
        .rfind(|other| Some(other.pair) == full)
        .or_else(|| of_core().next());
    head.is_some_and(|head| (head.test, head.pair) == (winding.test, winding.pair))
}

fn remarks(j: &Judging<'_>, winding: &Winding) -> Vec<String> {
    let text = |value, unit| say::number(j.w, j.case.criteria, value, unit).text();
    let mut remarks = Vec::new();
    if let (Some(t), Some(_)) = (winding.temperature, winding.at_75) {
        let cold = text(winding.cold, unit::OHM);
        let at = say::rounded(t.si, 3);
        let core = j.case.core(winding.pair);
        if let Some(row) = core.and_then(|core| conductor::constant(&j.case, core)) {
            let (metal, k) = (row.metal.name(), row.k);
            remarks.push(format!("{cold} at {at} °C, {metal} {k} °C"));
        }
    }
    if winding.by_air {
        remarks.push("the air's temperature was taken for the winding's".to_owned());
    }
    if let Some(leads) = winding.leads {
        remarks.push(format!(
            "two wires; {} of leads subtracted",
            text(leads, unit::MILLIOHM)
        ));
    } else if winding.leads_unknown {
        let wires = if winding.wires == Wires::Two {
            "two wires"
        } else {
            "two or four wires is not written"
        };
        remarks.push(format!("{wires}; the leads may be in the value"));
    }
    remarks
}

/// How far from the plate, where the plate's value is no limit.
fn deviation(j: &Judging<'_>, winding: &Winding) -> Option<Finding> {
    let plate = winding
        .plate
        .filter(|plate| !is_limit(j, winding.pair, plate))?;
    let what = if plate.scaled {
        "resistance against the plate, scaled by turns"
    } else {
        "resistance against the plate"
    };
    let found = Found::Known(plate.deviation?);
    let made = Finding::new(
        "winding-resistance-plate",
        TestKind::Resistance,
        Whose::Ct,
        what,
        found,
        unit::PERCENT,
    );
    let mut made = made.at(winding.test, winding.pair, winding.readings.clone());
    made.points_at.push(plate.span);
    let at_75 = say::number(j.w, j.case.criteria, plate.at_75, unit::OHM).text();
    Some(withheld(
        made.remark(format!("plate: {at_75} at 75 °C; no limit of this class")),
        winding.doubtful,
    ))
}

/// Several readings of one pair: falling is settling, rising is heating.
fn drift(winding: &Winding) -> Option<Finding> {
    let (drift, scatter) = (winding.drift?, winding.scatter?);
    let stable = standards::threshold("resistance-stability")?;
    let steps: Vec<bool> = winding
        .each
        .iter()
        .zip(winding.each.iter().skip(1))
        .map(|(a, b)| b.si >= a.si)
        .collect();
    let least = stable.limit.max(winding.digit) * (1.0 + 1e-9);
    let rising = drift > least && steps.iter().all(|up| *up);
    let falling = drift < -least && steps.iter().all(|up| !up);
    let (word, weight) = match (rising, falling) {
        (true, _) => ("rising: the current heats the winding", Weight::Doubt),
        (_, true) => ("falling: the current settles", Weight::Information),
        _ if scatter > least => ("unsteady", Weight::Information),
        _ => ("steady", Weight::Information),
    };
    let count = winding.each.len();
    let what = format!(
        "{count} readings, {word}, spread {} %",
        say::rounded(scatter, 2)
    );
    let made = Finding::new(
        "winding-resistance-drift",
        TestKind::Resistance,
        Whose::Work,
        what,
        Found::Nothing,
        unit::PERCENT,
    );
    let mut made = made.at(winding.test, winding.pair, winding.readings.clone());
    made.verdict = Verdict::Observed(weight);
    made = made.remark(format!(
        "steady means within {} % ({}), or within the last digit",
        stable.limit, stable.cited.source
    ));
    if rising {
        made = made.next("read with less current, or quicker");
    }
    if falling {
        made = made.remark("the mean holds unsettled readings; the last one is the best");
    }
    Some(withheld(made, winding.doubtful))
}

/// Pairs that have rows but no usable reading.
fn without_value(j: &Judging<'_>) -> Vec<Finding> {
    let mut found: Vec<Finding> = Vec::new();
    for (index, _, body) in j.case.visit.of(Test::resistance) {
        for row in &body.rows {
            let Some(pair) = row.on.map(|on| on.value.ascending()) else {
                continue;
            };
            let known = j
                .derived
                .resistance
                .iter()
                .any(|winding| (winding.test, winding.pair) == (index, pair));
            let told = found
                .iter()
                .any(|finding| (finding.section, finding.pair) == (Some(index), Some(pair)));
            if known || told {
                continue;
            }
            let made = Finding::new(
                "winding-resistance",
                TestKind::Resistance,
                Whose::Ct,
                "winding resistance",
                Found::Nothing,
                unit::OHM,
            );
            let mut made = made.at(index, pair, vec![row.span]);
            made.verdict = Verdict::NotJudged("no usable reading of this pair".to_owned());
            found.push(made);
        }
    }
    found
}

#[cfg(test)]
mod tests;
