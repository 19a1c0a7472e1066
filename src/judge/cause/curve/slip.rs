//! Slips of the pen in a curve: of one reading, which its neighbours or an earlier curve tell, or of a whole column.

use super::room::{Beside, SCATTER};
use super::seat;
use crate::derive::curve::{Curve, Point};
use crate::derive::kinds::excitation::Excited;
use crate::derive::workings::Workings;
use crate::document::{Part, Phrase, Quantity, say};
use crate::ground::quantity::Reading;
use crate::ground::span::Span;
use crate::judge::assess::Judging;
use crate::judge::cause::digits::{
    OF_COLUMNS, alternatives, exact, in_each_others_column, written,
};
use crate::judge::cause::evidence::{By, Evidence, Family, Item, Of};
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::{Hypothesis, Seat, price};
use crate::judge::cause::identity;
use crate::judge::finding::unit;
use crate::judge::rules::excitation as rules;
use crate::record::kinds::Test;
use std::cmp::Ordering;

/// Of fewer readings the neighbours tell nothing; of more nobody reads.
const READINGS: std::ops::RangeInclusive<usize> = 5..=80;
const OF_A_SLIP: f64 = price::OF_A_FREE_SIZE;
/// What a prefix of a whole column costs, in natural logarithms; where no core takes such a current it is fenced before.
/// A convention of this project.
const OF_A_UNIT: f64 = 2.0;
/// So many readings of a curve are looked at, those that lie furthest off.
const SUSPECTS: usize = 3;

/// ln of voltage and current, by the row of the reading.
#[derive(Clone, Copy)]
pub(super) struct Place {
    pub row: Span,
    pub x: f64,
    pub y: f64,
}

fn places(excited: &Excited, curve: &Curve) -> Vec<Place> {
    let row = |at: usize| excited.rows.get(at).copied();
    let place = |one: &Point| {
        let (x, y) = (libm::log(one.v.si), libm::log(one.i.si));
        Some(Place {
            row: row(one.at)?,
            x,
            y,
        })
    };
    curve.points().iter().filter_map(place).collect()
}

/// How far each current lies outside those of the readings of the next lower and the next higher voltage: it rises with
/// the voltage, whatever the iron. Of two readings that stand the wrong way round, the one is off that the next on both
/// sides contradict too; where they contradict neither, half of it is told of each.
fn outside(places: &[Place]) -> Vec<(Span, f64)> {
    let mut all = places.to_vec();
    all.sort_by(|one, other| one.x.total_cmp(&other.x));
    let mut off: Vec<(Span, f64)> = all.iter().map(|one| (one.row, 0.0)).collect();
    let y = |at: Option<usize>| at.and_then(|at| all.get(at)).map(|place| place.y);
    for (at, pair) in all.windows(2).enumerate() {
        let [one, next] = pair else { continue };
        let step = one.y - next.y;
        if step <= 0.0 {
            continue;
        }
        let low = y(at.checked_sub(1)).unwrap_or(f64::NEG_INFINITY);
        let high = y(at.checked_add(2)).unwrap_or(f64::INFINITY);
        let out = |y: f64| (low - y).max(y - high).max(0.0);
        let (of_one, of_next) = match out(one.y).total_cmp(&out(next.y)) {
            Ordering::Greater => (step, 0.0),
            Ordering::Less => (0.0, -step),
            Ordering::Equal => (0.5 * step, -0.5 * step),
        };
        for (at, by) in [(at, of_one), (at + 1, of_next)] {
            let worst = off.get_mut(at).filter(|(_, known)| by.abs() > known.abs());
            if let Some((_, known)) = worst {
                *known = by;
            }
        }
    }
    off
}

fn sound<'a>(j: &Judging<'a>) -> impl Iterator<Item = (&'a Excited, &'a Curve)> {
    let sound = j.derived.excitation.iter();
    let sound = sound.filter(|one| one.doubtful.is_none() && !one.with_burden);
    let both = sound.filter_map(|one| Some((one, one.curve.as_ref()?)));
    both.filter(|(_, curve)| READINGS.contains(&curve.points().len()))
}

/// Currents beside those of their neighbours, of the curves that step back anywhere.
pub(in crate::judge::cause) fn families(j: &Judging<'_>) -> Vec<Family> {
    let families = sound(j).map(|(excited, curve)| {
        let places = places(excited, curve);
        let items = outside(&places).into_iter().filter_map(|(row, away)| {
            let own = places.iter().find(|place| place.row == row)?;
            Some(Item {
                pair: excited.pair.ascending(),
                section: excited.test,
                at: vec![row],
                observed: libm::exp(own.y),
                expected: libm::exp(own.y - away),
                unit: if own.y < 0.0 {
                    unit::MILLIAMPERE
                } else {
                    unit::AMPERE
                },
                away,
                u: SCATTER,
                by: By::Readings,
            })
        });
        Family {
            of: Of::Exciting,
            items: items.collect(),
            shared: 0.0,
        }
    });
    families.filter(Family::is_off).collect()
}

/// A curve as it was written, with what it is held against.
struct Written<'a> {
    j: &'a Judging<'a>,
    excited: &'a Excited,
    places: Vec<Place>,
    family: Option<(usize, &'a Family)>,
    held: Option<(usize, &'a Held<'a>)>,
}

/// The cells of a row.
struct Cells<'a> {
    place: Place,
    volts: &'a Reading,
    amps: &'a Reading,
}

pub(super) fn all(j: &Judging<'_>, evidence: &Evidence<'_>) -> Vec<Hypothesis> {
    let curves = sound(j).filter_map(|(excited, curve)| {
        let mut families = evidence.families_of(Of::Exciting);
        let family = families.find(|(_, family)| {
            let first = family.items.first();
            first.is_some_and(|item| item.section == excited.test)
        });
        let mut held = evidence.curves.iter().enumerate();
        let held = held.find(|(_, held)| held.now.test == excited.test && held.is_off());
        let off = family.is_some_and(|(_, family)| family.is_off());
        (off || held.is_some()).then(|| Written {
            j,
            excited,
            places: places(excited, curve),
            family,
            held,
        })
    });
    curves.flat_map(|one| one.slips()).collect()
}

impl<'a> Written<'a> {
    fn slips(&self) -> Vec<Hypothesis> {
        let cells = self.cells();
        let mut all: Vec<Hypothesis> = self
            .suspects(&cells)
            .flat_map(|one| self.in_row(one))
            .collect();
        all.extend(self.columns(&cells));
        all.extend(self.units(&cells));
        all
    }

    fn cells(&self) -> Vec<Cells<'a>> {
        let mut tests = self.j.case.visit.of(Test::excitation);
        let body = tests.find(|(test, ..)| *test == self.excited.test);
        let rows = body.into_iter().flat_map(|(_, _, body)| &body.rows);
        let cells = rows.filter_map(|row| {
            let mut places = self.places.iter();
            Some(Cells {
                place: *places.find(|place| place.row == row.span)?,
                volts: exact(&row.voltage)?,
                amps: exact(&row.current)?,
            })
        });
        cells.collect()
    }

    /// The readings that lie furthest off.
    fn suspects<'c>(&self, cells: &'c [Cells<'a>]) -> impl Iterator<Item = &'c Cells<'a>> {
        let outside = outside(&self.places);
        let off = |one: &Cells<'_>| {
            let neighbours = outside.iter().find(|(row, _)| *row == one.place.row);
            let neighbours = neighbours.map_or(0.0, |(_, off)| off.abs());
            let held = self
                .held
                .map(|(_, held)| held.off(one.place.x, one.place.y));
            neighbours + held.unwrap_or(0.0)
        };
        let mut all: Vec<(f64, &Cells<'_>)> = cells.iter().map(|one| (off(one), one)).collect();
        all.sort_by(|one, other| other.0.total_cmp(&one.0));
        let worst = all.into_iter().filter(|(off, _)| *off > SCATTER);
        worst.take(SUSPECTS).map(|(_, one)| one)
    }

    fn in_row(&self, one: &Cells<'_>) -> Vec<Hypothesis> {
        let (volts, amps) = (one.volts, one.amps);
        let own = (volts.value.si, amps.value.si);
        let mut all = Vec::new();
        for (cell, is_volts) in [(volts, true), (amps, false)] {
            for meant in alternatives(cell) {
                let times = meant.times(cell);
                let put = match is_volts {
                    true => (own.0 * times, own.1),
                    false => (own.0, own.1 * times),
                };
                let put = one.place.put(own, put);
                if self.tells(one, &put, meant.is_digits) {
                    let observed = meant.told_by(cell, self.beside());
                    all.push(self.made(vec![cell.span], vec![put], observed, meant.cost));
                }
            }
        }
        let observed = say!(
            "voltage and current in each other's column in {}: {} and {} agree with {}",
            Part::Line(volts.span),
            written(volts, amps.value.number),
            written(amps, volts.value.number),
            self.beside()
        );
        let put = one.place.put(own, in_each_others_column(volts, amps));
        if self.tells(one, &put, false) {
            let at = vec![volts.span, amps.span];
            all.push(self.made(at, vec![put], observed, OF_COLUMNS));
        }
        all.into_iter().flatten().collect()
    }

    /// What a row that was put right agrees with.
    fn beside(&self) -> &'static str {
        match self.held {
            Some(_) => "the rows beside it and the curve that it is held against",
            None => "the rows beside it",
        }
    }

    /// Whether the rows beside one, and the earlier curve, say that it was put right.
    fn tells(&self, one: &Cells<'_>, put: &Place, is_digits: bool) -> bool {
        let held = self.held.map(|(_, held)| held);
        let beside = Beside::of(&self.places, &one.place);
        beside.tells(held, &one.place, put, is_digits)
    }

    /// Both columns exchanged in all rows.
    fn columns(&self, cells: &[Cells<'_>]) -> Option<Hypothesis> {
        let put = cells.iter().map(|one| {
            let own = (one.volts.value.si, one.amps.value.si);
            let put = in_each_others_column(one.volts, one.amps);
            one.place.put(own, put)
        });
        let observed = "voltage and current in each other's column in all rows: the other way round they agree";
        let at = self.excited.rows.first().copied();
        self.made(
            at.into_iter().collect(),
            put.collect(),
            observed.into(),
            OF_COLUMNS,
        )
    }

    /// A column in another unit than its heading says.
    fn units(&self, cells: &[Cells<'_>]) -> Vec<Hypothesis> {
        let of = |times: f64, is_volts: bool| {
            let put = cells.iter().map(|one| {
                let own = (one.volts.value.si, one.amps.value.si);
                let put = match is_volts {
                    true => (own.0 * times, own.1),
                    false => (own.0, own.1 * times),
                };
                one.place.put(own, put)
            });
            let what = if is_volts { "voltages" } else { "currents" };
            let observed = say!(
                "unit of all {}: {} times as much agrees",
                what,
                Quantity::new(times.to_string(), "")
            );
            let at = self.excited.rows.first().copied();
            self.made(at.into_iter().collect(), put.collect(), observed, OF_A_UNIT)
        };
        let all = [
            (1000.0, true),
            (0.001, true),
            (1000.0, false),
            (0.001, false),
        ];
        all.into_iter()
            .filter_map(|(times, is_volts)| of(times, is_volts))
            .collect()
    }

    /// The cause by which some readings are put where they belong.
    fn made(
        &self,
        at: Vec<Span>,
        put: Vec<Place>,
        observed: Phrase,
        cost: f64,
    ) -> Option<Hypothesis> {
        let mut places = self.places.clone();
        for place in &mut places {
            if let Some(right) = put.iter().find(|one| one.row == place.row) {
                *place = *right;
            }
        }
        if places
            .iter()
            .any(|place| !place.x.is_finite() || !place.y.is_finite())
        {
            return None;
        }
        let seat = match self.held {
            Some((_, held)) => seat(held),
            None => Seat {
                section: Some(self.excited.test),
                core: Some(self.excited.pair.core),
                pair: Some(self.excited.pair),
                at: Vec::new(),
            },
        };
        let mut made = Hypothesis::new(&rules::CURVE_SLIP, Seat { at, ..seat }, observed)
            .price(OF_A_SLIP + cost)
            .decide("the sheet that was written at the test, or this reading again");
        if let Some((at, family)) = self.family {
            let now = outside(&places);
            let shift = family.items.iter().map(|item| {
                let own = now.iter().find(|(row, _)| item.at.first() == Some(row));
                item.away - own.map_or(0.0, |(_, off)| *off)
            });
            made = made.shift(at, shift.collect());
        }
        match self.held {
            Some((at, held)) => Some(made.curve(at, self.left(held, &places)?)),
            // All rows at once go together with anything.
            None => (put.len() == 1).then_some(made),
        }
    }

    /// Half the misfit of the curve with these readings.
    fn left(&self, held: &Held<'_>, places: &[Place]) -> Option<f64> {
        // Beyond its ends anything fits.
        let within = places.iter().filter(|place| held.holds(place.x));
        if 2 * within.count() < places.len() {
            return None;
        }
        let mut w = Workings::default();
        let of_ln = |w: &mut Workings, x: f64, unit| w.constant("", unit, libm::exp(x), "");
        let points: Vec<_> = places
            .iter()
            .map(|place| (of_ln(&mut w, place.x, "V"), of_ln(&mut w, place.y, "A")))
            .collect();
        let curve = Curve::new(&points).0?;
        identity::fit(self.j, (&w, &curve), &held.by, held.pair())
    }
}

impl Place {
    /// The same reading with other voltage and current; what the winding drops goes with the current.
    fn put(self, own: (f64, f64), (volts, amps): (f64, f64)) -> Self {
        let emf = libm::exp(self.x);
        let drop = (own.0 - emf) * amps / own.1;
        let small = drop.abs() < 0.5 * volts;
        let x = if small { volts - drop } else { volts };
        Self {
            x: libm::log(x),
            y: libm::log(amps),
            ..self
        }
    }
}
