//! The sections of a winding are in series: their resistances add up to that of the whole.

use super::withheld;
use crate::derive::component::Component;
use crate::derive::kinds::resistance::{Winding, Wires};
use crate::derive::sections::chain;
use crate::derive::workings::Value;
use crate::document::{Grade, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, Found, Verdict, unit};
use crate::judge::rules;
use crate::judge::verdict::expanded;
use crate::judge::words::short;

/// How many times its expanded uncertainty a deviation may reach before it is called a fault.
/// Own convention.
const BEYOND: f64 = 3.0;

/// A deviation up to this, per cent, is never a fault however fine the instrument: one kelvin between
/// two readings makes as much in copper (0.39 %). Own convention.
const KELVIN: f64 = 0.4;

/// One finding per test and core with the whole winding and all its sections, by four wires (each
/// two-wire reading holds the leads once more).
pub fn judge(j: &mut Judging<'_>) -> Vec<Finding> {
    let derived = j.derived;
    let full = |winding: &&Winding| {
        j.case.full(winding.pair.core) == Some(winding.pair) && winding.wires == Wires::Four
    };
    let wholes: Vec<&Winding> = derived.resistance.iter().filter(full).collect();
    wholes
        .into_iter()
        .filter_map(|whole| one(j, whole))
        .collect()
}

fn one(j: &mut Judging<'_>, whole: &Winding) -> Option<Finding> {
    let windings = j.derived.resistance.iter();
    let of_test = windings.filter(|winding| winding.test == whole.test);
    let sections = chain(whole.pair, of_test.map(|winding| (winding.pair, winding)));
    if sections.is_empty() {
        return None;
    }
    let sum: f64 = sections.iter().map(|section| section.cold.si).sum();
    let away = 100.0 * (whole.cold.si / sum - 1.0);
    if !(sum > 0.0 && away.is_finite()) {
        return None;
    }
    let mut links = vec![(whole.cold, 100.0 / sum)];
    links.extend(
        sections
            .iter()
            .map(|section| (section.cold, -100.0 * whole.cold.si / (sum * sum))),
    );
    let name = j.case.record.pair_text(whole.pair);
    let what = format!("deviation of {name} from the sum of its sections");
    let source = "sections of one winding are in series";
    let deviation =
        j.w.many(what, "%", "100*(R/sum(Ri) - 1)", source, away, &links)?;
    let readings = sections.iter().flat_map(|section| &section.readings);
    let points_at = whole.readings.iter().chain(readings).copied().collect();
    let found = Found::Known(deviation);
    let made = Finding::new(&rules::WINDING_RESISTANCE_SUM, found, unit::PERCENT);
    let all = std::iter::once(whole).chain(sections.iter().copied());
    let known = independent(j, deviation, all, sum);
    let made = weighed(j, made.at(whole.test, whole.pair, points_at), known);
    let doubtful = whole
        .doubtful
        .or_else(|| sections.iter().find_map(|section| section.doubtful));
    Some(withheld(made, doubtful))
}

/// Gives the deviation the uncertainty of readings without common errors: current and range change
/// between them, so no credit is taken for what they share. False when a reading states none.
fn independent<'a>(
    j: &mut Judging<'_>,
    deviation: Value,
    all: impl Iterator<Item = &'a Winding>,
    sum: f64,
) -> bool {
    let mut squares = 0.0;
    for winding in all {
        let own = j.w.uncertainty(winding.cold);
        if !own.known {
            return false;
        }
        squares += (100.0 * own.u / sum) * (100.0 * own.u / sum);
    }
    let shared = j.w.uncertainty(deviation).u;
    let rest = (squares - shared * shared).max(0.0).sqrt();
    j.w.add_part(deviation, Component::OtherSetting, rest);
    true
}

fn weighed(j: &Judging<'_>, mut made: Finding, known: bool) -> Finding {
    let value = made.found.value();
    let expanded =
        value.and_then(|value| Some((value.si.abs(), expanded(j.w, value, j.case.criteria)?)));
    let Some((away, u)) = expanded.filter(|_| known) else {
        made.verdict = Verdict::Observed(Grade::Info);
        return made.remark("not weighed: the uncertainty of the readings is not known");
    };
    if away > BEYOND * u && away > KELVIN {
        made.verdict = Verdict::Observed(Grade::Fails);
        return made.remark(say!("beyond {} U", Quantity::new(short(BEYOND), "")));
    }
    made.verdict = Verdict::Observed(Grade::Info);
    let within = if away > BEYOND * u {
        say!(
            "{}, one kelvin between the readings",
            Quantity::new(short(KELVIN), "%")
        )
    } else {
        say!("{} U", Quantity::new(short(BEYOND), ""))
    };
    made.remark(say!("the sections make up the winding (within {})", within))
}
