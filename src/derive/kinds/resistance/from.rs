//! The resistance of a pair from elsewhere than its own reading: sections, the plate.

use super::{AS_TESTED, AWAY, BY_TURNS, Winding, constants, plate_at_75};
use crate::derive::component::Component;
use crate::derive::deriving::Deriving;
use crate::derive::sections::chain;
use crate::derive::workings::Value;
use crate::ground::quantity::Reading;
use crate::ground::span::Span;
use crate::standards::threshold;
use crate::trade::Pair;

/// Where a core's resistance at 75 °C comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    Measured,
    /// Measured, and the leads may be in it: nobody knows by how much it is too high.
    WithLeads,
    /// The plate's limit, since nothing was measured.
    Plate,
}

/// What the plate says of a pair.
#[derive(Clone, Copy, Debug)]
pub struct Plated {
    /// At 75 °C, ohm.
    pub at_75: Value,
    /// Where it stands.
    pub span: Span,
    /// Stated for another pair and scaled by turns.
    pub scaled: bool,
    /// Stated in the tap table, whose values are limits.
    pub in_taps: bool,
    /// Measured value over it, per cent.
    pub deviation: Option<Value>,
}

/// The plate's resistance of a pair, and how far the measured one is away.
pub(super) fn plated(d: &mut Deriving<'_>, pair: Pair, measured: Option<Value>) -> Option<Plated> {
    let mut found = plate(d, pair)?;
    found.deviation = measured.and_then(|measured| d.w.step(&AWAY, [measured, found.at_75]));
    Some(found)
}

fn plate(d: &mut Deriving<'_>, pair: Pair) -> Option<Plated> {
    let pair = pair.ascending();
    if let Some(found) = stated(d, pair) {
        return Some(found);
    }
    let mut others = d.full(pair.core).into_iter().chain(d.taps(pair.core));
    let (other, mut found) = others.find_map(|other| Some((other, stated(d, other)?)))?;
    let (n, m) = (d.turns_of(pair)?, d.turns_of(other)?);
    found.at_75 = d.w.step(&BY_TURNS, [found.at_75, n, m])?;
    found.scaled = true;
    Some(found)
}

/// What the plate states of exactly this pair: its row of the tap table (at 75 °C), or the core's
/// resistance for the full winding.
fn stated(d: &mut Deriving<'_>, pair: Pair) -> Option<Plated> {
    let core = d.core(pair)?;
    let name = format!("resistance of {} by the plate", d.record.pair_text(pair));
    let tap = core.tap(pair.from, pair.to);
    let (at_75, span, in_taps) = if let Some(own) = tap.and_then(|tap| tap.resistance.get()) {
        (d.w.plate(name, own), own.span, true)
    } else {
        let whole = core.resistance.get().filter(|_| core.is_full(pair))?;
        let at_75 = plate_at_75(d, core.metal(), name, whole)?;
        (at_75, whole.span, false)
    };
    Some(Plated {
        at_75,
        span,
        scaled: false,
        in_taps,
        deviation: None,
    })
}

impl Deriving<'_> {
    /// The resistance of a pair at 75 °C, ohm: measured at this visit or an earlier one of the occasion (directly, or as
    /// the sum of its sections), else the plate's value scaled by turns, said as such. A reading with its leads in it
    /// serves only when there is no better one.
    pub(in crate::derive) fn resistance_at_75(&mut self, pair: Pair) -> Option<(Value, From)> {
        let pair = pair.ascending();
        let derived = self.derived;
        let before = derived.before.iter().rev().map(|before| &before.resistance);
        let mut all = std::iter::once(&derived.resistance).chain(before);
        match all.find_map(|windings| self.measured_at_75(windings, pair)) {
            Some(found) => Some(found),
            None => plate(self, pair).map(|plated| (plated.at_75, From::Plate)),
        }
    }

    fn measured_at_75(&mut self, windings: &[Winding], pair: Pair) -> Option<(Value, From)> {
        let sound: Vec<&Winding> = windings
            .iter()
            .filter(|winding| winding.pair.core == pair.core && winding.doubtful.is_none())
            .collect();
        let mut clean = sound.clone();
        clean.retain(|winding| !winding.leads_unknown);
        let direct = |list: &[&Winding]| {
            let last = list.iter().rfind(|winding| winding.pair == pair);
            last.and_then(|winding| winding.at_75)
        };
        direct(&clean)
            .or_else(|| self.combined(sum(&clean, pair), pair, "sum of the sections"))
            .or_else(|| self.combined(difference(&clean, pair)?, pair, "longer pair less the rest"))
            .map(|value| (value, From::Measured))
            .or_else(|| Some((direct(&sound)?, From::WithLeads)))
    }

    /// The winding resistance as it was during a test: as measured cold, else that at 75 °C brought to the
    /// temperature of the winding or the air. A plate states the most that a winding may have: how far below it
    /// this one lies is not known.
    pub(in crate::derive) fn resistance_as_tested(&mut self, pair: Pair) -> Option<Value> {
        let mut windings = self.derived.resistance.iter().rev();
        let cold = windings.find(|winding| winding.pair == pair && winding.doubtful.is_none());
        let known = match cold {
            Some(winding) => winding.cold,
            None => {
                let (at_75, from) = self.resistance_at_75(pair)?;
                let now = self.brought_back(pair, at_75).unwrap_or(at_75);
                if let (From::Plate, Some(below)) = (from, threshold("resistance-below-plate")) {
                    let of = "winding resistance of the plate in place of a measured one";
                    let u = below.limit / 100.0 * now.si / 3f64.sqrt();
                    self.w.add_part(now, Component::Law { of }, u);
                }
                now
            }
        };
        (known.si > 0.0).then_some(known)
    }

    /// From 75 °C to the temperature of the visit, where that is written.
    fn brought_back(&mut self, pair: Pair, at_75: Value) -> Option<Value> {
        let visit = self.visit;
        let stated = visit.winding_temperature.get().or(visit.ambient.get())?;
        let reading = Reading::new(stated.value, stated.span);
        let (what, by) = (
            "temperature of the winding, or of the air",
            self.visit_temperature_by(),
        );
        let t = self.temperature_of(what, &reading, by);
        let (k, reference) = constants(self, self.core(pair)?.metal(), t)?;
        self.w.step(&AS_TESTED, [at_75, t, k, reference])
    }

    fn combined(
        &mut self,
        links: Vec<(Value, f64)>,
        pair: Pair,
        text: &'static str,
    ) -> Option<Value> {
        let value: f64 = links.iter().map(|(value, sign)| value.si * sign).sum();
        if links.is_empty() || value <= 0.0 {
            return None;
        }
        let name = self.record.pair_text(pair);
        let what = format!("winding resistance of {name} at 75 °C");
        let source = "sections of one winding are in series";
        self.w.many(what, "ohm", text, source, value, &links)
    }
}

fn sum(windings: &[&Winding], pair: Pair) -> Vec<(Value, f64)> {
    let known = windings
        .iter()
        .filter_map(|winding| Some((winding.pair, winding.at_75?)));
    chain(pair, known).into_iter().map(|r| (r, 1.0)).collect()
}

/// A longer pair less the measured rest at either side.
fn difference(windings: &[&Winding], pair: Pair) -> Option<Vec<(Value, f64)>> {
    let one = |from: u8, to: u8| {
        let ends = |winding: &&&Winding| (winding.pair.from, winding.pair.to) == (from, to);
        windings.iter().rfind(ends)?.at_75
    };
    let mut longer = windings
        .iter()
        .filter(|winding| winding.pair.from <= pair.from && winding.pair.to >= pair.to)
        .rev();
    longer.find_map(|whole| {
        let mut links = vec![(whole.at_75?, 1.0)];
        if whole.pair.from < pair.from {
            links.push((one(whole.pair.from, pair.from)?, -1.0));
        }
        if whole.pair.to > pair.to {
            links.push((one(pair.to, whole.pair.to)?, -1.0));
        }
        Some(links)
    })
}
