//! Why connected circuits are as they are.

mod earths;
mod families;
mod heading;
mod load;
mod slips;
mod table;
mod way;

pub(super) use families::families;

use super::evidence::{By, Evidence, Item, Of};
use super::hypothesis::{Hypothesis, Seat};
use crate::derive::kinds::burden::Loop;
use crate::ground::median::median;
use crate::judge::assess::Judging;

/// A circuit with what it shows.
struct Circuit<'a> {
    one: &'a Loop,
    /// ln of its resistance and of its reactance over what they should be.
    r: Option<f64>,
    x: Option<f64>,
    /// ln of its impedance over the most that it may be by the plate, or over what is usual; and which.
    over: Option<(f64, By)>,
}

impl Circuit<'_> {
    fn holds(&self, item: &Item) -> bool {
        item.at == self.one.readings
    }

    fn seat(&self) -> Seat {
        Seat {
            section: Some(self.one.test),
            core: Some(self.one.pair.core),
            pair: Some(self.one.pair),
            at: self.one.readings.clone(),
        }
    }

    /// A cause that moves its resistance and its reactance by so much, and its impedance as far as it was moved
    /// beyond its rating.
    fn moved(
        &self,
        made: Hypothesis,
        evidence: &Evidence<'_>,
        (r, x): (f64, f64),
        beyond: bool,
    ) -> Hypothesis {
        let own = |item: &Item, shift: f64| if self.holds(item) { shift } else { 0.0 };
        let made = made
            .moves(evidence, Of::Circuit, |item| own(item, r))
            .moves(evidence, Of::Reactance, |item| own(item, x));
        match beyond {
            true => made.moves(evidence, Of::Burden, |item| own(item, item.away)),
            false => made,
        }
    }

    /// What it costs a cause that both parts may be off by what they like.
    fn of_parts(&self) -> f64 {
        if self.x.is_some() {
            OF_A_SECOND_PART
        } else {
            0.0
        }
    }

    /// Whether what it should be is known from the circuits of others or of another day.
    fn is_known(&self) -> bool {
        self.r.is_some()
    }
}

/// All that is known to move circuits.
pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let mut all = Vec::new();
    let mut circuits = Vec::new();
    for one in &j.derived.burden {
        let of = |of: Of| {
            let families = evidence.families_of(of);
            let items = families.flat_map(|(_, family)| &family.items);
            items.filter(|item| item.at == one.readings)
        };
        let middle = |which: Of| {
            let mut away: Vec<f64> = of(which).map(|item| item.away).collect();
            median(&mut away)
        };
        let circuit = Circuit {
            one,
            r: middle(Of::Circuit),
            x: middle(Of::Reactance),
            over: of(Of::Burden)
                .next()
                .map(|item| (item.away, item.by.clone())),
        };
        if circuit.r.is_none() && circuit.over.is_none() {
            continue;
        }
        all.extend(way::open(evidence, &circuit));
        all.extend(way::shorted(evidence, &circuit));
        all.extend(way::two_phases(evidence, &circuit));
        all.extend(load::all(evidence, &circuit));
        all.extend(earths::on_the_circuit(j, evidence, &circuit));
        all.extend(slips::all(j, evidence, &circuit));
        circuits.push(circuit);
    }
    all.extend(heading::all(j, evidence, &circuits));
    all.extend(table::all(evidence, &circuits));
    all.extend(earths::by_insulation(j, evidence));
    all
}

/// The price of a second free number.
const OF_A_SECOND_PART: f64 = 1.0;

#[cfg(test)]
mod tests;
