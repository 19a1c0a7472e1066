//! Turns by voltage: the secondary is driven, the primary or a section is read.

use super::formulas::{
    EMF, OF_KNEE, SECONDARY_TURNS, SECTION, SHARE, TURNS, TURNS_ERROR, VOLTS_PER_TURN,
};
use super::{
    Correction, Measured, Sum, Turns, Unread, WhyUnread, exact, primary_turns, ratio_span, sums,
};
use crate::derive::case::Case;
use crate::derive::input;
use crate::derive::kinds::{Derived, excitation, resistance};
use crate::derive::knee::Knee;
use crate::derive::workings::{Origin, Part, Value, Workings};
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::record::kinds::ratio::{On, RatioRow, RatioTest};
use crate::record::readings::Measure;
use crate::trade::Pair;

/// A pair further off than this, per cent, may be another tap; one that fits is this near.
const OFF: f64 = 2.0;
const FITS: f64 = 1.0;

/// A driven pair read at its own terminals shows what was applied, within this share.
const ITSELF: f64 = 0.05;

struct Row {
    driven: Pair,
    /// The section that was read; `None` for the primary.
    section: Option<Pair>,
    applied: Value,
    read: Value,
    phase: Option<Value>,
    span: Span,
}

/// What one section of the record shares between its rows.
struct Place<'a> {
    case: &'a Case<'a>,
    derived: &'a Derived,
    test: &'a Test,
    index: usize,
}

pub(super) fn derive(
    case: &Case<'_>,
    w: &mut Workings,
    derived: &Derived,
    index: usize,
    found: &mut Measured,
) {
    let Some(test) = case.visit.tests.get(index) else {
        return;
    };
    let Some(body) = test.ratio() else {
        return;
    };
    let place = Place {
        case,
        derived,
        test,
        index,
    };
    let rows = place.rows(w, body, found);
    let mut full: Vec<(Pair, Value)> = Vec::new();
    for row in rows.iter().filter(|row| row.section.is_none()) {
        match place.direct(w, row) {
            Some(turns) => {
                full.push((row.driven, turns.ratio));
                found.turns.push(turns);
            }
            None => found.unread.push(Unread {
                test: index,
                pair: Some(row.driven),
                why: WhyUnread::NoRatio,
                row: row.span,
            }),
        }
    }
    place.sections(w, &rows, &full, found);
}

impl Place<'_> {
    fn rows(&self, w: &mut Workings, body: &RatioTest, found: &mut Measured) -> Vec<Row> {
        let mut rows = Vec::new();
        for (n, row) in body.rows.iter().enumerate() {
            match self.row(w, row, n + 1) {
                Ok(Some(row)) => rows.push(row),
                Ok(None) => {}
                Err(why) => {
                    let pair = match row.on.map(|on| on.value) {
                        Some(On::Pair(pair)) => Some(pair.ascending()),
                        Some(On::Primary) | None => {
                            self.test.pair.map(|pair| pair.value.ascending())
                        }
                    };
                    found.unread.push(Unread {
                        test: self.index,
                        pair,
                        why,
                        row: row.span,
                    });
                }
            }
        }
        rows
    }

    fn row(&self, w: &mut Workings, row: &RatioRow, n: usize) -> Result<Option<Row>, WhyUnread> {
        let (applied, read) = (exact(&row.applied)?, exact(&row.induced)?);
        let (Some(applied), Some(read)) = (applied, read) else {
            return Ok(None);
        };
        let (driven, section) = self.pairs(row)?;
        let itself = (read.value.si / applied.value.si - 1.0).abs() < ITSELF;
        if section == Some(driven) && itself {
            return Ok(None);
        }
        let (case, test) = (self.case, self.test);
        let phase = exact(&row.phase).ok().flatten();
        Ok(Some(Row {
            driven,
            section: section.filter(|section| *section != driven),
            applied: input::reading(
                w,
                case,
                test,
                Measure::Voltage,
                format!("applied voltage, row {n}"),
                applied,
            ),
            read: input::reading_on(
                w,
                case,
                test,
                (Measure::Voltage, "second circuit"),
                format!("voltage read, row {n}"),
                read,
            ),
            phase: phase.map(|phase| {
                input::reading(
                    w,
                    case,
                    test,
                    Measure::Phase,
                    format!("phase, row {n}"),
                    phase,
                )
            }),
            span: row.span,
        }))
    }

    /// The driven pair and the section read. Without a pair in the head, `on` names the driven one.
    fn pairs(&self, row: &RatioRow) -> Result<(Pair, Option<Pair>), WhyUnread> {
        let head = self.test.pair.map(|pair| pair.value.ascending());
        let only = || match self.case.record.cores.as_slice() {
            [core] if core.marks.len() == 2 => Some(Pair {
                core: 0,
                from: 0,
                to: 1,
            }),
            _ => None,
        };
        match (head, row.on.map(|on| on.value)) {
            (Some(driven), Some(On::Pair(section))) if section.core == driven.core => {
                Ok((driven, Some(section.ascending())))
            }
            (Some(driven), Some(On::Primary)) => Ok((driven, None)),
            (None, Some(On::Pair(driven))) => Ok((driven.ascending(), None)),
            (None, Some(On::Primary)) => {
                only().map(|driven| (driven, None)).ok_or(WhyUnread::Driven)
            }
            (Some(_), Some(On::Pair(_))) | (_, None) => Err(WhyUnread::Driven),
        }
    }

    fn direct(&self, w: &mut Workings, row: &Row) -> Option<Turns> {
        let core = self.case.core(row.driven)?;
        let raw = row.applied.si / row.read.si;
        let far = 100.0 * (raw / rated_turns(self.case, row.driven)? - 1.0).abs() > OFF;
        // A pair that is not what it is called has neither the curve nor the knee of that name.
        let (emf, correction) = if far {
            (row.applied, Correction::FarOff)
        } else {
            self.emf(w, row)
        };
        let ratio = w.step(&TURNS, [emf, row.read])?;
        let mut turns = self.turns(w, row.driven, ratio, correction)?;
        let connected = primary_turns(self.case, core);
        let primary = input::plate_number(
            w,
            "turns of the primary as connected",
            "",
            connected,
            self.case.record.plate.span,
        );
        turns.per_turn = w.step(&VOLTS_PER_TURN, [row.read, primary]);
        let knee = if far { None } else { self.knee(w, row.driven) };
        turns.of_knee = knee.and_then(|knee| w.step(&OF_KNEE, [row.applied, knee]));
        turns.phase = row.phase;
        turns.readings = vec![row.span];
        Some(turns)
    }

    /// What follows from a ratio, whichever way it was read.
    fn turns(
        &self,
        w: &mut Workings,
        pair: Pair,
        ratio: Value,
        correction: Correction,
    ) -> Option<Turns> {
        let case = self.case;
        let core = case.core(pair)?;
        let by_currents = case.ratio(pair).filter(|ratio| *ratio > 0.0)?;
        let by_turns = rated_turns(case, pair)?;
        let span = ratio_span(core, pair);
        let rated = input::plate_number(
            w,
            "rated secondary turns per turn of the primary",
            "",
            by_turns,
            span,
        );
        let error = w.step(&TURNS_ERROR, [rated, ratio])?;
        let against_currents = if (by_currents / by_turns - 1.0).abs() < 1e-12 {
            error
        } else {
            let rated = input::plate_number(
                w,
                "rated ratio of the currents as connected",
                "",
                by_currents,
                span,
            );
            w.step(&TURNS_ERROR, [rated, ratio])?
        };
        let connected = primary_turns(case, core);
        let one = (connected - 1.0).abs() < 1e-9;
        let primary = input::plate_number(
            w,
            "turns of the primary as connected",
            "",
            connected,
            case.record.plate.span,
        );
        let whole = if one {
            w.step(&SECONDARY_TURNS, [ratio, primary])
        } else {
            None
        };
        Some(Turns {
            test: self.index,
            pair,
            ratio,
            error,
            against_currents,
            correction,
            whole,
            per_turn: None,
            of_knee: None,
            fits: if error.si.abs() > OFF {
                other_tap(case, pair, ratio.si)
            } else {
                None
            },
            phase: None,
            readings: Vec::new(),
            doubtful: self.test.doubtful,
        })
    }

    /// Sections read beside the primary, or beside the driven pair alone.
    fn sections(
        &self,
        w: &mut Workings,
        rows: &[Row],
        full: &[(Pair, Value)],
        found: &mut Measured,
    ) {
        let mut shares: Vec<(Pair, Pair, Value, Span)> = Vec::new();
        for row in rows {
            let Some(section) = row.section else { continue };
            let Some(share) = w.step(&SHARE, [row.read, row.applied]) else {
                continue;
            };
            shares.push((row.driven, section, share, row.span));
            let Some((_, whole)) = full.iter().find(|(pair, _)| *pair == row.driven) else {
                continue;
            };
            let ratio = w.step(&SECTION, [share, *whole]);
            if let Some(mut turns) =
                ratio.and_then(|ratio| self.turns(w, section, ratio, Correction::NotNeeded))
            {
                turns.readings = vec![row.span];
                found.turns.push(turns);
            }
        }
        let Some((driven, ..)) = shares.first().copied() else {
            return;
        };
        let parts: Vec<(Pair, Value, Span)> = shares
            .into_iter()
            .filter(|(of, ..)| *of == driven)
            .map(|(_, section, share, span)| (section, share, span))
            .collect();
        let one = input::constant(w, "the whole", "", 1.0, "what was applied");
        if let Some((closure, sections, readings)) = sums::close(w, driven, &parts, one) {
            found.sums.push(Sum {
                test: self.index,
                pair: driven,
                sections,
                closure,
                readings,
                doubtful: self.test.doubtful,
            });
        }
    }

    /// The e.m.f. of the driven pair: the voltage less the drop of the exciting current.
    fn emf(&self, w: &mut Workings, row: &Row) -> (Value, Correction) {
        let (case, derived) = (self.case, self.derived);
        let excited = excitation::for_pair(case, derived, row.driven)
            .filter(|excited| excited.doubtful.is_none());
        let Some((excited, curve)) =
            excited.and_then(|excited| Some((excited, excited.curve.as_ref()?)))
        else {
            return (row.applied, Correction::NoCurve);
        };
        let Some(current) = curve.current_value(w, row.applied) else {
            return (row.applied, Correction::OutsideCurve);
        };
        let cold = derived
            .resistance
            .iter()
            .rev()
            .find(|known| known.pair.ascending() == row.driven && known.doubtful.is_none());
        let r = cold
            .map(|known| known.cold)
            .or_else(|| resistance::at_75(case, w, derived, row.driven).map(|(r, _)| r));
        let Some(r) = r.filter(|r| r.si > 0.0) else {
            return (row.applied, Correction::NoResistance);
        };
        let cosine = self.cosine(w, row, current.si * r.si);
        match w.step(&EMF, [row.applied, current, r, cosine]) {
            Some(emf) if emf.si > 0.0 => {
                let percent = 100.0 * (row.applied.si - emf.si) / row.applied.si;
                (
                    emf,
                    Correction::Made {
                        percent,
                        frequency: excited.other_frequency,
                    },
                )
            }
            _ => (row.applied, Correction::OutsideCurve),
        }
    }

    /// Cosine of the angle of the exciting current behind the e.m.f.: anywhere between 0 and 1,
    /// narrowed by the phase as far as its uncertainty lets it.
    fn cosine(&self, w: &mut Workings, row: &Row, drop: f64) -> Value {
        let (mut low, mut high) = (0.0, 1.0);
        if let Some(phase) = row.phase {
            // Half a turn off is reversed polarity, not a drop.
            let turned =
                phase.si - std::f64::consts::PI * libm::round(phase.si / std::f64::consts::PI);
            let known = w.uncertainty(phase);
            let wide = if known.known {
                2.0 * known.u
            } else {
                std::f64::consts::PI
            };
            let sine = |angle: f64| {
                (row.applied.si * libm::sin(angle.clamp(-1.0, 1.0)) / drop).clamp(0.0, 1.0)
            };
            let cosine = |sine: f64| (1.0 - sine * sine).max(0.0).sqrt();
            (low, high) = (cosine(sine(turned + wide)), cosine(sine(turned - wide)));
        }
        let own = w.own("angle of the exciting current in the ratio test".to_owned());
        let part = Part {
            component: own,
            u: 0.5 * (high - low) / 3f64.sqrt(),
        };
        let source =
            "between 0 and 1 for a current that lags by 0° to 90°, narrowed by the phase read";
        w.reading(
            "cosine of the angle of the exciting current",
            "",
            0.5 * (low + high),
            Origin::Constant {
                source: source.into(),
            },
            &[part],
        )
    }

    /// The knee of a pair by its curve, else the plate's.
    fn knee(&self, w: &mut Workings, pair: Pair) -> Option<Value> {
        let excited = excitation::for_pair(self.case, self.derived, pair)
            .filter(|excited| excited.doubtful.is_none());
        if let Some(Knee::At(point)) = excited.map(|excited| excited.iec) {
            return Some(point.voltage);
        }
        let core = self.case.core(pair)?;
        let own = core.tap(pair.from, pair.to).and_then(|tap| tap.knee.get());
        let plate = own.or_else(|| core.knee.get().filter(|_| core.is_full(pair)))?;
        (plate.value.si > 0.0).then(|| input::plate(w, "knee of the plate", plate))
    }
}

/// Rated secondary turns per turn of the primary as connected, with the plate's turns and the turns
/// that the maker took off the full winding.
fn rated_turns(case: &Case<'_>, pair: Pair) -> Option<f64> {
    let core = case.core(pair)?;
    let nominal = core.nominal_ratio(pair.from, pair.to)?;
    let turns = case.turns(pair)?;
    let off = core
        .turns_compensation
        .value()
        .copied()
        .filter(|_| core.is_full(pair) && core.turns.is_missing());
    let share = (turns - off.unwrap_or(0.0)) / (nominal * case.primary_turns());
    Some(case.ratio(pair)? * share).filter(|ratio| ratio.is_finite() && *ratio > 0.0)
}

/// Plates of the trade have twenty pairs at most; more are not searched, to bound the work.
const MOST_PAIRS: usize = 64;

/// Another pair of the core whose rated ratio the reading fits, declared ones first.
fn other_tap(case: &Case<'_>, pair: Pair, ratio: f64) -> Option<Pair> {
    let core = case.core(pair)?;
    let last = core.last_mark();
    let all = (0..last).flat_map(|from| {
        (from + 1..=last).map(move |to| Pair {
            core: pair.core,
            from,
            to,
        })
    });
    let declared = core.taps.iter().map(|tap| Pair {
        core: pair.core,
        from: tap.from,
        to: tap.to,
    });
    let off =
        |other: &Pair| rated_turns(case, *other).map(|rated| 100.0 * (ratio / rated - 1.0).abs());
    let mut fitting = declared
        .chain(all)
        .take(MOST_PAIRS)
        .filter(|other| *other != pair && off(other).is_some_and(|off| off <= FITS));
    fitting.next()
}
