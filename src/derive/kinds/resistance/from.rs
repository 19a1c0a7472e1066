//! The resistance of a pair from elsewhere than its own reading: sections, the plate.

use super::{Derived, Winding, to_75};
use crate::derive::case::Case;
use crate::derive::conductor;
use crate::derive::formula::formulas;
use crate::derive::formula::symbol;
use crate::derive::input;
use crate::derive::workings::{Value, Workings};
use crate::ground::span::Span;
use crate::trade::Pair;

formulas! {
    pub(super) static TURNS = "resistance-by-turns",
        "winding resistance at 75 °C by the plate and the turns":
        "R*n/m" ("ohm") of [
            symbol("R", "ohm", "resistance of the pair that the plate states"),
            symbol("n", "", "turns of this pair"),
            symbol("m", "", "turns of the pair that the plate states"),
        ], |[r, n, m]| r * n / m,
        "evenly spread turns of one wire; approximate for partial windings";

    pub(super) static AWAY = "resistance-deviation",
        "deviation of the winding resistance from the plate":
        "100*(R/p - 1)" ("%") of [
            symbol("R", "ohm", "winding resistance at 75 °C"),
            symbol("p", "ohm", "resistance by the plate at 75 °C"),
        ], |[r, p]| 100.0 * (r / p - 1.0), "relative deviation in per cent";
}

/// Where a core's resistance at 75 °C comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum From {
    Measured,
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
pub(super) fn plated(
    case: &Case<'_>,
    w: &mut Workings,
    pair: Pair,
    measured: Option<Value>,
) -> Option<Plated> {
    let mut found = plate(case, w, pair)?;
    found.deviation = measured.and_then(|measured| w.step(&AWAY, [measured, found.at_75]));
    Some(found)
}

fn plate(case: &Case<'_>, w: &mut Workings, pair: Pair) -> Option<Plated> {
    let pair = pair.ascending();
    if let Some(found) = stated(case, w, pair) {
        return Some(found);
    }
    let core = case.core(pair)?;
    let taps = core.taps.iter().map(|tap| Pair {
        core: pair.core,
        from: tap.from,
        to: tap.to,
    });
    let (other, of_other) = case
        .full(pair.core)
        .into_iter()
        .chain(taps)
        .find_map(|other| Some((other, stated(case, w, other)?)))?;
    let span = of_other.span;
    let n = case.turns(pair).filter(|n| *n > 0.0)?;
    let m = case.turns(other).filter(|m| *m > 0.0)?;
    let n = input::plate_number(
        w,
        format!("turns of {}", case.record.pair_text(pair)),
        "",
        n,
        core.span,
    );
    let m = input::plate_number(
        w,
        format!("turns of {}", case.record.pair_text(other)),
        "",
        m,
        core.span,
    );
    let at_75 = w.step(&TURNS, [of_other.at_75, n, m])?;
    Some(Plated {
        at_75,
        span,
        scaled: true,
        in_taps: of_other.in_taps,
        deviation: None,
    })
}

/// What the plate states of exactly this pair: its row of the tap table (at 75 °C), or the core's
/// resistance for the full winding.
fn stated(case: &Case<'_>, w: &mut Workings, pair: Pair) -> Option<Plated> {
    let core = case.core(pair)?;
    let name = format!("resistance of {} by the plate", case.record.pair_text(pair));
    if let Some(own) = core
        .tap(pair.from, pair.to)
        .and_then(|tap| tap.resistance.get())
    {
        let at_75 = input::plate(w, name, own);
        return Some(Plated {
            at_75,
            span: own.span,
            scaled: false,
            in_taps: true,
            deviation: None,
        });
    }
    let whole = core.resistance.get().filter(|_| core.is_full(pair))?;
    let r = input::plate_number(w, name, "ohm", whole.value.value.si, whole.span);
    let reference = conductor::reference()?.limit;
    let at_75 = if (whole.value.at.si - reference).abs() < 1e-9 {
        r
    } else {
        let t = input::plate_number(
            w,
            "temperature of the plate's resistance",
            "C",
            whole.value.at.si,
            whole.span,
        );
        to_75(case, w, pair, r, t)?
    };
    Some(Plated {
        at_75,
        span: whole.span,
        scaled: false,
        in_taps: false,
        deviation: None,
    })
}

/// The resistance of a pair at 75 °C, ohm: measured at this visit (directly, or as the sum of its
/// sections), else the plate's value scaled by turns, said as such. A reading with its leads in it
/// serves only when there is no better one.
pub fn at_75(
    case: &Case<'_>,
    w: &mut Workings,
    derived: &Derived,
    pair: Pair,
) -> Option<(Value, From)> {
    let pair = pair.ascending();
    let sound: Vec<&Winding> = derived
        .resistance
        .iter()
        .filter(|winding| winding.pair.core == pair.core && winding.doubtful.is_none())
        .collect();
    let clean: Vec<&Winding> = sound
        .iter()
        .copied()
        .filter(|winding| !winding.leads_unknown)
        .collect();
    let direct = |list: &[&Winding]| {
        list.iter()
            .rfind(|winding| winding.pair == pair)
            .and_then(|winding| winding.at_75)
    };
    let measured = direct(&clean)
        .or_else(|| sum(case, w, &clean, pair))
        .or_else(|| difference(case, w, &clean, pair))
        .or_else(|| direct(&sound));
    if let Some(value) = measured {
        return Some((value, From::Measured));
    }
    plate(case, w, pair).map(|plated| (plated.at_75, From::Plate))
}

/// The measured sections that make up a pair, in winding order and as fine as they were read;
/// empty when they leave a gap. The pair itself is not one of them.
#[must_use]
pub fn chain<'a>(windings: &[&'a Winding], pair: Pair) -> Vec<&'a Winding> {
    let inside = |winding: &&&Winding| {
        winding.pair.core == pair.core
            && winding.pair != pair
            && winding.pair.from >= pair.from
            && winding.pair.to <= pair.to
    };
    let mut sections: Vec<&Winding> = windings.iter().filter(inside).copied().collect();
    // From the end backwards every section knows the longest way on; a later reading replaces an earlier one.
    sections.sort_by_key(|winding| (std::cmp::Reverse(winding.pair.from), winding.test));
    let mut ways: std::collections::BTreeMap<u8, Vec<&Winding>> =
        std::collections::BTreeMap::from([(pair.to, Vec::new())]);
    for section in sections {
        let Some(rest) = ways.get(&section.pair.to) else {
            continue;
        };
        let longer = ways
            .get(&section.pair.from)
            .is_none_or(|known| rest.len() + 1 >= known.len());
        if longer {
            let way = std::iter::once(section)
                .chain(rest.iter().copied())
                .collect();
            ways.insert(section.pair.from, way);
        }
    }
    ways.remove(&pair.from).unwrap_or_default()
}

fn sum(case: &Case<'_>, w: &mut Workings, windings: &[&Winding], pair: Pair) -> Option<Value> {
    let with_value: Vec<&Winding> = windings
        .iter()
        .copied()
        .filter(|winding| winding.at_75.is_some())
        .collect();
    let links: Vec<(Value, f64)> = chain(&with_value, pair)
        .iter()
        .filter_map(|winding| Some((winding.at_75?, 1.0)))
        .collect();
    combined(case, w, &links, pair, "sum of the sections")
}

/// A longer pair less the measured rest at either side.
fn difference(
    case: &Case<'_>,
    w: &mut Workings,
    windings: &[&Winding],
    pair: Pair,
) -> Option<Value> {
    let one = |from: u8, to: u8| {
        windings
            .iter()
            .rfind(|winding| (winding.pair.from, winding.pair.to) == (from, to))?
            .at_75
    };
    let longer = windings
        .iter()
        .filter(|winding| winding.pair.from <= pair.from && winding.pair.to >= pair.to);
    let links = longer.rev().find_map(|whole| {
        let mut links = vec![(whole.at_75?, 1.0)];
        if whole.pair.from < pair.from {
            links.push((one(whole.pair.from, pair.from)?, -1.0));
        }
        if whole.pair.to > pair.to {
            links.push((one(pair.to, whole.pair.to)?, -1.0));
        }
        Some(links)
    })?;
    combined(case, w, &links, pair, "longer pair less the rest")
}

fn combined(
    case: &Case<'_>,
    w: &mut Workings,
    links: &[(Value, f64)],
    pair: Pair,
    text: &str,
) -> Option<Value> {
    let value: f64 = links.iter().map(|(value, sign)| value.si * sign).sum();
    let what = format!(
        "winding resistance of {} at 75 °C",
        case.record.pair_text(pair)
    );
    let usable = !links.is_empty() && value > 0.0;
    usable.then(|| {
        w.many(
            what,
            "ohm",
            text.to_owned(),
            "sections of one winding are in series",
            value,
            links,
        )
    })?
}
