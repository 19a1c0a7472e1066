//! Winding resistance against the plate, its readings among themselves, its sections against the whole.

use crate::derive::conductor;
use crate::derive::kinds::resistance::{Plated, Read, Settling, Winding, Wires};
use crate::document::{Grade, Phrase, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::condition::Condition;
use crate::judge::finding::{Against, Finding, unit};
use crate::judge::rules::resistance as rules;
use crate::judge::verdict::{not_judged, plate};
use crate::judge::words;
use crate::record::kinds::Test;
use crate::record::schema::FoundBy;
use crate::standards;
use crate::trade::{Class, Pair};

pub(super) mod beside;
mod sum;

/// Judges all of a visit.
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for winding in &j.derived.resistance {
        let value = value(j, winding);
        let at_rest = unsettled(winding).is_none();
        let history = at_rest.then(|| beside::of_last_visit(j, &value)).flatten();
        let phases = at_rest
            .then(|| beside::of_sisters(j, &value, winding))
            .flatten();
        let found = [
            Some(value),
            deviation(j, winding),
            history,
            phases,
            drift(j, winding),
        ];
        out.extend(
            found
                .into_iter()
                .flatten()
                .map(|finding| finding.withheld(winding.doubtful)),
        );
    }
    sum::judge(j, out);
    by_air(j, out);
    without_value(j, out);
}

fn placed(finding: Finding, winding: &Winding) -> Finding {
    finding.at(winding.test, winding.pair, winding.readings.clone())
}

fn value(j: &Judging<'_>, winding: &Winding) -> Finding {
    let found = winding.at_75.unwrap_or(winding.cold);
    let made = Finding::new(&rules::WINDING_RESISTANCE, found, unit::OHM);
    let mut made = match winding.at_75 {
        Some(_) => made.under(Condition::CorrectedTo(75.0)),
        None => made.remark("as it was, not corrected to 75 °C"),
    };
    made = placed(made, winding);
    made.headline = heads(j, winding);
    made.remarks.extend(remarks(j, winding));
    if let Some(why) = unsettled(winding) {
        return made.verdict(not_judged(why));
    }
    let binds = |plate: &Plated| is_limit(j, winding.pair, plate);
    let Some(limit) = winding.plate.filter(binds) else {
        return made;
    };
    let against = Against::at_most(limit.at_75.si, &plate("resistance at 75 °C"));
    let made = made.against(j, against.stated_at(limit.span));
    match no_verdict(winding) {
        Some(why) => made.verdict(not_judged(why)),
        None => made,
    }
}

/// Whether what the plate says binds: the tap table does, the core's value in the classes that are
/// specified by it.
pub(in crate::judge) fn is_limit(j: &Judging<'_>, pair: Pair, plate: &Plated) -> bool {
    let class = j.case.core(pair).and_then(|core| core.class_of(pair));
    let by_class = class.is_some_and(Class::limits_resistance);
    !plate.scaled && (plate.in_taps || by_class)
}

/// Why no reading of it tells its resistance.
pub(super) fn unsettled(winding: &Read) -> Option<&'static str> {
    match winding.settling {
        Settling::Falling => Some("the readings still fall: the current has not settled"),
        Settling::Rising => Some("the readings still rise: the current heats the winding"),
        Settling::Single | Settling::Steady | Settling::From(_) | Settling::Unsteady => None,
    }
}

/// What stands against a verdict.
pub(super) fn no_verdict(winding: &Read) -> Option<&'static str> {
    match (winding.wires, winding.at_75) {
        (Wires::Two, _) if winding.leads_unknown => {
            Some("the leads are in the reading and no self-check gives their resistance")
        }
        (Wires::Unstated, _) => Some("two or four wires: not stated"),
        (_, None) if winding.temperature.is_none() => {
            Some("the temperature of the winding is not stated")
        }
        (_, None) => Some("the reading cannot be corrected to 75 °C"),
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

pub(super) fn remarks(j: &Judging<'_>, winding: &Read) -> Vec<Phrase> {
    let mut remarks = Vec::new();
    if let (Some(t), Some(_)) = (winding.temperature, winding.at_75)
        && let Some(row) = conductor::constant(&j.case, winding.metal)
    {
        remarks.push(say!(
            "{} at {}, {} {}",
            j.number(winding.cold, unit::OHM),
            Quantity::new(words::rounded(t.si, 3), "°C"),
            row.metal.name(),
            Quantity::new(words::short(row.k), "°C")
        ));
    }
    remarks.extend(words::temperature_by(winding.temperature_by, "winding"));
    if let Some(leads) = winding.leads {
        let leads = j.number(leads, unit::MILLIOHM);
        remarks.push(say!("two wires; {} of leads subtracted", leads));
    } else if winding.leads_unknown {
        remarks.push(if winding.wires == Wires::Two {
            "two wires; the leads may be in the value".into()
        } else {
            "two or four wires: not stated; the leads may be in the value".into()
        });
    }
    remarks
}

/// How far from the plate, where the plate's value is no limit.
fn deviation(j: &Judging<'_>, winding: &Winding) -> Option<Finding> {
    let free = |plate: &Plated| !is_limit(j, winding.pair, plate);
    let plate = winding.plate.filter(free)?;
    let rule = &rules::WINDING_RESISTANCE_PLATE;
    let made = placed(Finding::new(rule, plate.deviation?, unit::PERCENT), winding);
    let mut made = made.under(plate.scaled.then_some(Condition::ScaledByTurns));
    made.points_at.push(plate.span);
    let at_75 = j.number(plate.at_75, unit::OHM);
    Some(made.remark(say!("plate: {} at 75 °C; no limit of this class", at_75)))
}

/// Several readings of one pair: what has come to rest is judged, what still falls or rises is read again.
fn drift(j: &Judging<'_>, winding: &Winding) -> Option<Finding> {
    let scatter = winding.scatter?;
    let stable = standards::threshold("resistance-stability")?;
    let count = |count: usize| Quantity::new(count.to_string(), "");
    let all = winding.each.len();
    let (word, grade): (Phrase, Grade) = match winding.settling {
        Settling::Single => return None,
        Settling::Steady => ("steady".into(), Grade::Info),
        Settling::From(first) => (
            say!("settled: the last {} are judged", count(all - first)),
            Grade::Info,
        ),
        Settling::Falling | Settling::Rising if is_alone(j, winding) => {
            let way = match winding.settling {
                Settling::Falling => "falling",
                _ => "rising",
            };
            let word = say!("{} in this pair alone: a clip that moves", way);
            (word, Grade::Review)
        }
        Settling::Falling => ("falling: the current has not settled".into(), Grade::Review),
        Settling::Rising => (
            "rising: the current heats the winding".into(),
            Grade::Review,
        ),
        Settling::Unsteady => ("unsteady".into(), Grade::Info),
    };
    let observed = say!(
        "{} readings, {}, spread {}",
        count(all),
        word,
        Quantity::new(words::rounded(scatter, 2), "%")
    );
    let made = Finding::observation(&rules::WINDING_RESISTANCE_DRIFT, observed, grade);
    let made = placed(made, winding).remark(say!(
        "steady means within {} ({}), within the last digit, or within what two readings of the instrument differ by",
        Quantity::new(words::short(stable.limit), "%"),
        words::cite(&stable.cited)
    ));
    let shown = winding
        .each
        .iter()
        .map(|one| j.number(*one, unit::OHM).into());
    let mut made = made.remark(say!(
        "read one after the other: {}",
        Phrase::join(shown, ", ")
    ));
    if !winding.settling.is_at_rest() && is_alone(j, winding) {
        made.next = Some(rules::LOOSE_CLIP.action.into());
    }
    Some(made)
}

/// Whether the other pairs of the core, read in the same way, stood still: a current heats all of a winding, and
/// one that has not settled has it least in a part of it.
fn is_alone(j: &Judging<'_>, winding: &Winding) -> bool {
    let (test, core) = (winding.test, winding.pair.core);
    let others = j.derived.resistance.iter().filter(|one| {
        (one.test, one.pair.core) == (test, core) && one.pair != winding.pair && one.each.len() > 1
    });
    let whole = j.case.full(core) == Some(winding.pair);
    let slow = whole && winding.settling == Settling::Falling;
    let count = others.clone().count();
    let mut still = others.map(|one| one.settling == Settling::Steady);
    count > 1 && !slow && still.all(|still| still)
}

/// Sections that say nothing of the winding's temperature.
fn by_air(j: &Judging<'_>, out: &mut Vec<Finding>) {
    for (index, _, _) in j.case.visit.of(Test::resistance) {
        let mut windings = j.derived.resistance.iter();
        let Some(first) =
            windings.find(|one| one.test == index && one.temperature_by == Some(FoundBy::Air))
        else {
            continue;
        };
        let rule = &rules::TEMPERATURE_UNWRITTEN;
        let made = Finding::observation(rule, "only that of the air was written", Grade::Open);
        let mut made = placed(made, first);
        (made.core, made.pair) = (None, None);
        made.points_at.truncate(1);
        out.push(made);
    }
}

/// Pairs that have rows but no usable reading, once each.
fn without_value(j: &Judging<'_>, out: &mut Vec<Finding>) {
    for (index, _, body) in j.case.visit.of(Test::resistance) {
        let mut told: Vec<Pair> = Vec::new();
        let known = j
            .derived
            .resistance
            .iter()
            .filter(|known| known.test == index);
        told.extend(known.map(|known| known.pair));
        for row in &body.rows {
            let Some(pair) = row.on.map(|on| on.value.ascending()) else {
                continue;
            };
            if told.contains(&pair) {
                continue;
            }
            told.push(pair);
            let made = Finding::without(&rules::WINDING_RESISTANCE, unit::OHM);
            let made = made.at(index, pair, vec![row.span]);
            out.push(made.verdict(not_judged("no usable reading of this pair")));
        }
    }
}

#[cfg(test)]
mod tests;
