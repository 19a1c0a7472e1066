//! The sections of a winding are in series: their resistances add up to that of the whole.

use crate::derive::component::Component;
use crate::derive::kinds::resistance::{Winding, Wires};
use crate::derive::sections::farthest;
use crate::derive::workings::Value;
use crate::document::{Grade, Quantity, say};
use crate::judge::assess::Judging;
use crate::judge::finding::{Finding, unit};
use crate::judge::rules::resistance as rules;
use crate::judge::words::short;
use crate::standards::threshold;

/// One finding per test and core with the whole winding and all its sections, by four wires (each
/// two-wire reading holds the leads once more).
pub fn judge(j: &mut Judging<'_>, out: &mut Vec<Finding>) {
    for whole in &j.derived.resistance {
        let full = j.case.full(whole.pair.core) == Some(whole.pair);
        if full && whole.wires == Wires::Four {
            out.extend(one(j, whole));
        }
    }
}

fn one(j: &mut Judging<'_>, whole: &Winding) -> Option<Finding> {
    let windings = j.derived.resistance.iter();
    let of_test = windings.filter(|winding| winding.test == whole.test);
    let of_test: Vec<_> = of_test.map(|winding| (winding.pair, winding)).collect();
    let cold = |section: &&Winding| section.cold.si;
    let sections = farthest(whole.pair, &of_test, cold, whole.cold.si);
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
    let all = || std::iter::once(whole).chain(sections.iter().copied());
    let known = independent(j, deviation, all(), sum);
    let made = Finding::new(&rules::WINDING_RESISTANCE_SUM, deviation, unit::PERCENT)
        .at(whole.test, whole.pair, points_at);
    let u = j.expanded(deviation).filter(|_| known);
    Some(weighed(made, deviation.si.abs(), u).withheld(all().find_map(|one| one.doubtful)))
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

fn weighed(made: Finding, away: f64, u: Option<f64>) -> Finding {
    let (Some(u), Some(times), Some(kelvin)) = (
        u,
        threshold("resistance-sum-times").map(|row| row.limit),
        threshold("resistance-sum-kelvin").map(|row| row.limit),
    ) else {
        let why = "not weighed: the uncertainty of the readings is not known";
        return made.graded(Grade::Info).remark(why);
    };
    let allowed = say!("{} U", Quantity::new(short(times), ""));
    if away > times * u && away > kelvin {
        return made.graded(Grade::Fails).remark(say!("beyond {}", allowed));
    }
    let within = if away > times * u {
        let kelvin = Quantity::new(short(kelvin), "%");
        say!("{}, one kelvin between the readings", kelvin)
    } else {
        allowed
    };
    let made = made.graded(Grade::Info);
    made.remark(say!("the sections make up the winding (within {})", within))
}
