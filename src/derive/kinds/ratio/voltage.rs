//! Turns by voltage: the secondary is driven, the primary or a section is read.

use super::formulas::{
    EMF, OF_KNEE, SECONDARY_TURNS, SECTION, SHARE, TURNS, TURNS_ERROR, VOLTS_PER_TURN,
};
use super::{Correction, Measured, Sum, Turns, WhyUnread, exact, ratio_span, sums};
use crate::derive::case::Case;
use crate::derive::component::Component;
use crate::derive::deriving::{Deriving, SECOND};
use crate::derive::knee::Knee;
use crate::derive::label::Label;
use crate::derive::workings::Value;
use crate::ground::span::Span;
use crate::record::inputs::Fed;
use crate::record::kinds::Test;
use crate::record::kinds::ratio::{On, RatioRow, RatioTest};
use crate::record::readings::Measure;
use crate::standards::threshold;
use crate::trade::Pair;
use std::f64::consts::PI;

/// Whether a pair is so far off, per cent, that it may be another tap.
fn is_off(percent: f64) -> bool {
    threshold("ratio-other-tap").is_some_and(|row| percent.abs() > row.limit)
}

struct Row<'a> {
    driven: Pair,
    /// The section that was read; `None` for the primary.
    section: Option<Pair>,
    /// The input of a summation CT that was read.
    fed: Option<Fed>,
    applied: Value,
    read: Value,
    phase: Option<Value>,
    of: &'a RatioRow,
}

pub(super) fn derive(
    d: &mut Deriving<'_>,
    (index, test, body): (usize, &Test, &RatioTest),
    found: &mut Measured,
) {
    let mut rows: Vec<Row<'_>> = Vec::new();
    for (n, row) in (1..).zip(&body.rows) {
        match entered(d, test, row, n) {
            Ok(entered) => rows.extend(entered),
            Err(why) => {
                let pair = match row.on.map(|on| on.value) {
                    Some(On::Pair(pair)) => Some(pair.ascending()),
                    Some(On::Primary) | None => d.driven(test),
                };
                found.unread(index, pair, why, row);
            }
        }
    }
    let mut full: Vec<(Pair, Value)> = Vec::new();
    let at = (index, test);
    for row in rows.iter().filter(|row| row.section.is_none()) {
        let core = d.core(row.driven);
        if core.is_some_and(|core| core.input_factor(row.fed).is_none()) {
            found.unread(index, Some(row.driven), WhyUnread::Input, row.of);
            continue;
        }
        match direct(d, at, row) {
            Some(turns) if turns.fed.is_some() => found.input_turns.push(turns),
            Some(turns) => {
                full.push((row.driven, turns.ratio));
                found.turns.push(turns);
            }
            None => found.unread(index, Some(row.driven), WhyUnread::NoRatio, row.of),
        }
    }
    sections(d, at, &rows, &full, found);
}

fn entered<'a>(
    d: &mut Deriving<'_>,
    test: &Test,
    row: &'a RatioRow,
    n: usize,
) -> Result<Option<Row<'a>>, WhyUnread> {
    let (Some(applied), Some(read)) = (exact(&row.applied)?, exact(&row.induced)?) else {
        return Ok(None);
    };
    let (driven, section) = pairs(d, test, row)?;
    let off = 100.0 * (read.value.si / applied.value.si - 1.0);
    let is_one = |off: f64| threshold("ratio-read-itself").is_some_and(|row| off.abs() < row.limit);
    // Of 5/5 A the primary reads as the driven pair does.
    let of_one = rated_turns(d, (driven, None)).is_some_and(|turns| is_one(100.0 * (turns - 1.0)));
    if section == Some(driven) && is_one(off) && !of_one && row.input.is_none() {
        return Ok(None);
    }
    let second = (Measure::Voltage, SECOND);
    Ok(Some(Row {
        driven,
        section: section.filter(|section| *section != driven),
        fed: row.input,
        applied: d.read(test, second.0, Label::row("applied voltage", n), applied),
        read: d.read_on(test, second, Label::row("voltage read", n), read),
        phase: d.read_exact(test, Measure::Phase, Label::row("phase", n), &row.phase),
        of: row,
    }))
}

/// The driven pair and the section read. Without a pair in the head, `on` names the driven one.
fn pairs(d: &Deriving<'_>, test: &Test, row: &RatioRow) -> Result<(Pair, Option<Pair>), WhyUnread> {
    match (d.driven(test), row.on.map(|on| on.value)) {
        (Some(driven), Some(On::Pair(section))) if section.core == driven.core => {
            Ok((driven, Some(section.ascending())))
        }
        (Some(driven), Some(On::Primary)) => Ok((driven, None)),
        (None, Some(On::Pair(driven))) => Ok((driven.ascending(), None)),
        (None, Some(On::Primary)) => {
            let only = d.only_pair().ok_or(WhyUnread::Driven)?;
            Ok((only, None))
        }
        (Some(_), Some(On::Pair(_))) | (_, None) => Err(WhyUnread::Driven),
    }
}

fn direct(d: &mut Deriving<'_>, at: (usize, &Test), row: &Row<'_>) -> Option<Turns> {
    let raw = row.applied.si / row.read.si;
    let of = (row.driven, row.fed);
    let far = is_off(100.0 * (raw / rated_turns(d, of)? - 1.0));
    // A pair that is not what it is called has neither the curve nor the knee of that name.
    let corrected = if far {
        Err(Correction::FarOff)
    } else {
        emf(d, row)
    };
    let (emf, correction) = corrected.unwrap_or_else(|why| (row.applied, why));
    let ratio = d.w.step(&TURNS, [emf, row.read])?;
    let knee = if far { None } else { knee(d, row.driven) };
    let connected = connected(d, of);
    Some(Turns {
        per_turn: connected.and_then(|(primary, _)| d.w.step(&VOLTS_PER_TURN, [row.read, primary])),
        of_knee: knee.and_then(|knee| d.w.step(&OF_KNEE, [row.applied, knee])),
        phase: row.phase,
        ..turns(d, at, (of, row.of.span), ratio, correction)?
    })
}

/// Turns of the primary as connected, links and passes included, and whether that is one turn. Where inputs
/// differ by their turns, nobody says whose the plate's are.
fn connected(d: &mut Deriving<'_>, (pair, fed): (Pair, Option<Fed>)) -> Option<(Value, bool)> {
    if fed.is_some_and(|_| {
        d.core(pair)
            .is_none_or(|core| core.input_factor(fed) != Some(1.0))
    }) {
        return None;
    }
    let turns = d.primary_turns() * d.passes() / d.link_factor(d.core(pair)?);
    let span = d.record.plate.span;
    let what = "turns of the primary as connected";
    let value = d.w.number(what, "", turns, span);
    Some((value, (turns - 1.0).abs() < 1e-9))
}

/// What follows from a ratio, whichever way it was read.
fn turns(
    d: &mut Deriving<'_>,
    (test, of): (usize, &Test),
    ((pair, fed), row): ((Pair, Option<Fed>), Span),
    ratio: Value,
    correction: Correction,
) -> Option<Turns> {
    let by_currents = d.ratio_of(pair, fed).filter(|ratio| *ratio > 0.0)?;
    let by_turns = rated_turns(d, (pair, fed))?;
    let span = ratio_span(d.core(pair)?, pair);
    let what = "rated secondary turns per turn of the primary";
    let rated = d.w.number(what, "", by_turns, span);
    let error = d.w.step(&TURNS_ERROR, [rated, ratio])?;
    let against_currents = if (by_currents / by_turns - 1.0).abs() < 1e-12 {
        error
    } else {
        let what = "rated ratio of the currents as connected";
        let rated = d.w.number(what, "", by_currents, span);
        d.w.step(&TURNS_ERROR, [rated, ratio])?
    };
    let one = connected(d, (pair, fed)).filter(|(_, one)| *one);
    let off = is_off(error.si) && fed.is_none();
    Some(Turns {
        test,
        pair,
        fed,
        ratio,
        error,
        against_currents,
        correction,
        whole: one.and_then(|(primary, _)| d.w.step(&SECONDARY_TURNS, [ratio, primary])),
        per_turn: None,
        of_knee: None,
        fits: off.then(|| other_tap(d, pair, ratio.si)).flatten(),
        phase: None,
        readings: vec![row],
        doubtful: of.doubtful,
    })
}

/// Sections read beside the primary, or beside the driven pair alone.
fn sections(
    d: &mut Deriving<'_>,
    at: (usize, &Test),
    rows: &[Row<'_>],
    full: &[(Pair, Value)],
    found: &mut Measured,
) {
    let mut shares: Vec<(Pair, sums::Section)> = Vec::new();
    for row in rows {
        let Some(section) = row.section else { continue };
        let Some(share) = d.w.step(&SHARE, [row.read, row.applied]) else {
            continue;
        };
        let span = row.of.span;
        shares.push((row.driven, (section, share, span)));
        let whole = full.iter().find(|(pair, _)| *pair == row.driven);
        let ratio = whole.and_then(|(_, whole)| d.w.step(&SECTION, [share, *whole]));
        found.turns.extend(
            ratio.and_then(|ratio| {
                turns(d, at, ((section, None), span), ratio, Correction::NotNeeded)
            }),
        );
    }
    let Some((driven, _)) = shares.first().copied() else {
        return;
    };
    shares.retain(|(of, _)| *of == driven);
    let parts: Vec<sums::Section> = shares.into_iter().map(|(_, part)| part).collect();
    let one = d.w.constant("the whole", "", 1.0, "what was applied");
    let sum = sums::close(d.w, driven, &parts, one);
    found
        .sums
        .extend(sum.map(|(closure, sections, readings)| Sum {
            test: at.0,
            pair: driven,
            sections,
            closure,
            readings,
            doubtful: at.1.doubtful,
        }));
}

/// The e.m.f. of the driven pair: the voltage less the drop of the exciting current. Or why nothing was
/// taken off.
fn emf(d: &mut Deriving<'_>, row: &Row<'_>) -> Result<(Value, Correction), Correction> {
    let excited = d.derived.any_curve(row.driven).map(|(excited, _)| excited);
    let excited = excited.filter(|excited| excited.doubtful.is_none());
    let excited = excited.ok_or(Correction::NoCurve)?;
    let curve = excited.curve.as_ref().ok_or(Correction::NoCurve)?;
    let current = curve.current_value(d.w, row.applied);
    let current = current.ok_or(Correction::OutsideCurve)?;
    let r = d.resistance_as_tested(row.driven);
    let r = r.ok_or(Correction::NoResistance)?;
    let cosine = cosine(d, row, current.si * r.si);
    let emf = d.w.step(&EMF, [row.applied, current, r, cosine]);
    let emf = emf
        .filter(|emf| emf.si > 0.0)
        .ok_or(Correction::OutsideCurve)?;
    let made = Correction::Made {
        percent: 100.0 * (row.applied.si - emf.si) / row.applied.si,
        frequency: excited.other_frequency,
    };
    Ok((emf, made))
}

/// Cosine of the angle of the exciting current behind the e.m.f.: anywhere between 0 and 1,
/// narrowed by the phase as far as its uncertainty lets it. A phase of unknown uncertainty is taken as
/// read, and narrows nothing.
fn cosine(d: &mut Deriving<'_>, row: &Row<'_>, drop: f64) -> Value {
    let (mut best, mut low, mut high) = (0.5, 0.0, 1.0);
    if let Some(phase) = row.phase {
        // Half a turn off is reversed polarity, not a drop.
        let turned = phase.si - PI * libm::round(phase.si / PI);
        let known = d.w.uncertainty(phase);
        let cosine = |angle: f64| {
            let sine = row.applied.si * libm::sin(angle.clamp(-1.0, 1.0)) / drop;
            let sine = sine.clamp(0.0, 1.0);
            (1.0 - sine * sine).max(0.0).sqrt()
        };
        if known.known {
            let wide = 2.0 * known.u;
            (low, high) = (cosine(turned + wide), cosine(turned - wide));
            best = 0.5 * (low + high);
        } else {
            best = cosine(turned);
        }
    }
    let what = "cosine of the angle of the exciting current";
    let source = "between 0 and 1 for a current that lags by 0° to 90°, narrowed by the phase read";
    let value = d.w.constant(what, "", best, source);
    d.w.add_part(value, Component::RatioAngle, spread(best, low, high));
    value
}

/// Standard uncertainty of a value that may lie anywhere between two ends, wherever it was taken.
fn spread(best: f64, low: f64, high: f64) -> f64 {
    let (up, down) = (high - best, best - low);
    if up + down <= 0.0 {
        return 0.0;
    }
    ((up.powi(3) + down.powi(3)) / (3.0 * (up + down))).sqrt()
}

/// The knee of a pair by its curve, else the plate's.
fn knee(d: &mut Deriving<'_>, pair: Pair) -> Option<Value> {
    let excited = d.derived.any_curve(pair).map(|(excited, _)| excited);
    let excited = excited.filter(|excited| excited.doubtful.is_none());
    if let Some(Knee::At(point)) = excited.map(|excited| excited.iec) {
        return Some(point.voltage);
    }
    let plate = d.rated_knee(pair).filter(|knee| knee.value.si > 0.0)?;
    Some(d.w.plate("knee of the plate", plate))
}

/// Rated secondary turns per turn of the primary as connected, with the plate's turns and the turns
/// that the maker took off the full winding.
fn rated_turns(case: &Case<'_>, (pair, fed): (Pair, Option<Fed>)) -> Option<f64> {
    let core = case.core(pair)?;
    let nominal = core.nominal_ratio(pair.from, pair.to)?;
    let turns = case.turns(pair)?;
    let off = core.turns_compensation.value().copied();
    let off = off.filter(|_| core.is_full(pair) && core.turns.is_missing());
    let share = (turns - off.unwrap_or(0.0)) / (nominal * case.primary_turns());
    Some(case.ratio_of(pair, fed)? * share).filter(|ratio| ratio.is_finite() && *ratio > 0.0)
}

/// Plates of the trade have twenty pairs at most; more are not searched, to bound the work.
const MOST_PAIRS: usize = 64;

/// Another pair of the core whose rated ratio the reading fits, declared ones first.
fn other_tap(case: &Case<'_>, pair: Pair, ratio: f64) -> Option<Pair> {
    let last = case.core(pair)?.last_mark();
    let core = pair.core;
    let near = threshold("ratio-other-tap-fits")?.limit;
    let all = (0..last).flat_map(|from| (from + 1..=last).map(move |to| Pair { core, from, to }));
    let fits = |other: &Pair| {
        let off = |rated: f64| 100.0 * (ratio / rated - 1.0).abs();
        *other != pair && rated_turns(case, (*other, None)).is_some_and(|rated| off(rated) <= near)
    };
    case.taps(core).chain(all).take(MOST_PAIRS).find(fits)
}
