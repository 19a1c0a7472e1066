//! The excitation characteristic with its knee, what is asked of it, earlier curves and sisters. In
//! front stands the curve that the findings rest on.

use super::{Figure, Kind, OF_EARLIER, OF_FACTORY, OF_SISTER, Unit, asked, line, mark};
use crate::chart::{Axes, Band, Curve, Mark, Marks, Pen, Points, Shape, Side, common_decade};
use crate::compare::like_core;
use crate::derive::case::Case;
use crate::derive::curve::Curve as Characteristic;
use crate::derive::kinds::Derived;
use crate::derive::kinds::excitation::{CurveAt, Excited};
use crate::derive::knee::{Knee, KneePoint, KneeRule};
use crate::judge::VisitAssessment;
use crate::standards::Family;
use crate::trade::{Pair, Purpose};
use std::iter::successors;

/// Points of the drawn curve between two readings at most, and along the whole of it.
const BETWEEN: f64 = 12.0;
const ALONG: f64 = 160.0;
/// More curves than these cannot be told apart in one chart.
const MOST_OTHERS: usize = 5;
/// Places at which the band of the sisters is measured.
const ACROSS_BAND: u32 = 40;

/// How a family of standards draws the curve: the unit of its current, the titles of its axes.
#[derive(Clone, Copy)]
pub(super) struct Amperes {
    pub word: &'static str,
    per_si: f64,
    axes: (&'static str, &'static str),
}

impl Amperes {
    fn by(family: Family) -> Self {
        match family {
            Family::Ieee => Self {
                word: "A",
                per_si: 1.0,
                axes: ("exciting current / A r.m.s.", "exciting voltage / V r.m.s."),
            },
            Family::Iec | Family::Other => Self {
                word: "mA",
                per_si: 1e3,
                axes: ("exciting current / mA", "voltage / V"),
            },
        }
    }

    /// A current in ampere, in this unit.
    pub(super) fn of(self, si: f64) -> f64 {
        si * self.per_si
    }

    /// The readings, current across and voltage up.
    fn readings(self, curve: &Characteristic) -> Points {
        let points = curve.points().iter();
        points
            .map(|point| (self.of(point.i.si), point.v.si))
            .collect()
    }

    /// The interpolated curve, between its first and last reading only.
    pub(super) fn interpolated(self, curve: &Characteristic) -> Points {
        let volts: Vec<f64> = curve.points().iter().map(|point| point.v.si).collect();
        let (first, last) = (curve.first(), curve.last());
        let finest = libm::log(last.v.si / first.v.si) / ALONG;
        let mut all = Vec::new();
        for pair in volts.windows(2) {
            let [low, high] = pair else { continue };
            let steps = (libm::log(high / low) / finest).clamp(1.0, BETWEEN).ceil();
            let step = libm::pow(high / low, 1.0 / steps);
            let between = successors(Some(*low), |v| Some(v * step)).take(steps as usize);
            all.extend(between.filter_map(|v| Some((self.of(curve.current_at(v)?), v))));
        }
        all.push((self.of(last.i.si), last.v.si));
        all
    }

    /// Least and greatest current of several curves over the voltages that all of them have.
    fn envelope(self, curves: &[&Characteristic]) -> Option<(Points, Points)> {
        let low = curves.iter().map(|curve| curve.first().v.si);
        let high = curves.iter().map(|curve| curve.last().v.si);
        let (low, high) = (low.max_by(f64::total_cmp)?, high.min_by(f64::total_cmp)?);
        if low >= high {
            return None;
        }
        let step = libm::pow(high / low, 1.0 / f64::from(ACROSS_BAND));
        let volts = (0..=ACROSS_BAND).map(|n| (low * libm::pow(step, f64::from(n))).min(high));
        let pairs = volts.filter_map(|v| {
            let currents = curves.iter().filter_map(|curve| curve.current_at(v));
            let least = currents.clone().min_by(f64::total_cmp)?;
            let most = currents.max_by(f64::total_cmp)?;
            Some(((self.of(least), v), (self.of(most), v)))
        });
        Some(pairs.unzip())
    }
}

/// The curve of a chart: the one that the findings rest on, and its visit.
struct Front<'a> {
    excited: &'a Excited,
    curve: &'a Characteristic,
    visit: usize,
}

impl<'a> Unit<'a> {
    /// One chart for each pair of a core that has a curve to rest on.
    pub(super) fn excitation_charts(&self, case: &Case<'_>, core: usize) -> Vec<Figure> {
        let Some(derived) = self.derived(case.index) else {
            return Vec::new();
        };
        let mut pairs: Vec<Pair> = Vec::new();
        let own = derived.excitation.iter().map(|excited| excited.pair);
        let rested = rests_on(derived).map(|(pair, _)| pair);
        for pair in own.chain(rested).map(Pair::ascending) {
            if pair.core == core && !pairs.contains(&pair) {
                pairs.push(pair);
            }
        }
        let fronts = pairs.into_iter();
        let fronts = fronts.filter_map(|pair| self.front(case.index, pair));
        fronts
            .map(|front| self.excitation_chart(case, derived, &front))
            .collect()
    }

    fn derived(&self, visit: usize) -> Option<&'a Derived> {
        let assessed = self.assessment.visits.get(visit)?;
        Some(&assessed.derived)
    }

    /// The curve of a pair that a visit rests on: an earlier one where its findings say so, else its own.
    fn front(&self, visit: usize, pair: Pair) -> Option<Front<'a>> {
        let derived = self.derived(visit)?;
        let earlier = rests_on(derived).find(|(rested, _)| *rested == pair);
        let visit = earlier.map_or(visit, |(_, visit)| visit);
        let excited = taken_on(self.derived(visit)?, pair)?;
        let curve = excited.curve.as_ref()?;
        Some(Front {
            excited,
            curve,
            visit,
        })
    }

    fn excitation_chart(&self, case: &Case<'_>, derived: &Derived, front: &Front<'_>) -> Figure {
        let Front { excited, curve, .. } = *front;
        let amperes = self.amperes();
        let pair = excited.pair.ascending();
        let readings = amperes.readings(curve);
        let (knee, construction) = self.knee(excited).unzip();
        let told = match &knee {
            Some(knee) => format!("{} at {}", knee.label, knee.value),
            None => "no knee within the readings".to_owned(),
        };
        let (first, last) = (curve.first().v.si, curve.last().v.si);
        let description = format!(
            "{} readings from {} to {}; {told}.",
            readings.len(),
            self.label(first, "V"),
            self.label(last, "V")
        );
        let of_visit = self.visit_name(front.visit);
        let name = if front.visit == case.index {
            format!("readings of {of_visit}, interpolated")
        } else {
            format!("readings of {of_visit}, on which the findings rest")
        };
        let marks = Marks::At(Shape::Circle, readings);
        let mut curves = vec![line(name, Pen::Main, amperes.interpolated(curve), marks)];
        curves.extend(construction);
        curves.extend(self.earlier(case.index, front));
        let (sisters, band) = self.beside(pair);
        curves.extend(sisters);
        let asked = asked::of_pair(case, derived, pair);
        let (limits, mut marks) = self.limits(&asked, amperes);
        marks.extend(knee);
        let title = format!("Excitation characteristic, {}", self.core_pair(pair));
        let core = self.record.cores.get(pair.core);
        let axes = self.axes(core.map_or("", |core| &core.name));
        let figure = Figure::new(Kind::Excitation, title, description, axes, curves);
        figure
            .banded(band.into_iter().collect())
            .limited(limits)
            .marked(marks)
    }

    pub(super) fn amperes(&self) -> Amperes {
        Amperes::by(self.record.plate.family())
    }

    /// Axes that hold what any of the phases has on a core of this name, with decades as long as on the
    /// other cores: so that cores and phases compare by eye.
    pub(super) fn axes(&self, core: &str) -> Axes {
        let amperes = self.amperes();
        let names = self.record.cores.iter().map(|core| core.name.as_str());
        let extents = names.map(|name| (name, self.extent(name, amperes)));
        let extents: Vec<(&str, Points)> = extents.collect();
        let held = extents.iter().filter(|(_, points)| !points.is_empty());
        let decade = common_decade(held.map(|(_, points)| points.as_slice()));
        let own = extents.into_iter().find(|(name, _)| *name == core);
        let (x, y) = amperes.axes;
        Axes::EqualDecades {
            x,
            y,
            holding: own.map(|(_, points)| points).unwrap_or_default(),
            decade,
        }
    }

    /// Ends of the curves of a core, and what is asked of them, over the unit, its sisters, all visits.
    fn extent(&self, name: &str, amperes: Amperes) -> Points {
        let sisters = self.sisters.iter().map(|sister| Unit {
            record: sister.record,
            assessment: sister.assessment,
            ..*self
        });
        let mut all = Points::new();
        for unit in std::iter::once(*self).chain(sisters) {
            let mut cores = unit.record.cores.iter();
            let Some(core) = cores.position(|core| core.name == name) else {
                continue;
            };
            for (index, assessed) in unit.assessment.visits.iter().enumerate() {
                let derived = &assessed.derived;
                let own = derived.excitation.iter();
                let own = own.filter(|excited| excited.pair.core == core);
                let curves = own.clone().filter_map(|excited| excited.curve.as_ref());
                let ends = curves.flat_map(|curve| [curve.first(), curve.last()]);
                all.extend(ends.map(|end| (amperes.of(end.i.si), end.v.si)));
                let Some(case) = unit.case(index) else {
                    continue;
                };
                for excited in own {
                    let asked = asked::of_pair(&case, derived, excited.pair.ascending());
                    // A knee that is asked has no place on the level axis.
                    let at = asked.iter().map(|one| {
                        let current = one.bound.amperes().unwrap_or(f64::NAN);
                        (amperes.of(current), one.emf)
                    });
                    all.extend(at);
                }
            }
        }
        all
    }

    /// The knee by the plate's rule, and the lines by which that rule finds it.
    pub(super) fn knee(&self, excited: &Excited) -> Option<(Mark, Curve)> {
        let core = self.record.cores.get(excited.pair.core);
        let rule = core.map_or(KneeRule::Iec, |core| {
            KneeRule::of(self.record.plate.family(), core)
        });
        let (Knee::At(point), Some(curve)) = (excited.knee(rule), &excited.curve) else {
            return None;
        };
        let amperes = self.amperes();
        let (volts, current) = (point.voltage.si, amperes.of(point.current.si));
        let (label, name, lines) = match rule {
            KneeRule::Iec => (
                "knee, IEC 10/50",
                "10 % more voltage, 50 % more current",
                vec![
                    (current, volts),
                    (1.5 * current, volts),
                    (1.5 * current, 1.1 * volts),
                ],
            ),
            KneeRule::Tangent45 => (
                "knee, 45°",
                "tangent of 45°",
                tangent(&point, curve, amperes, 1.0),
            ),
            KneeRule::Tangent30 => {
                let slope = libm::tan(30f64.to_radians());
                let lines = tangent(&point, curve, amperes, slope);
                ("knee, 30°", "tangent of 30°", lines)
            }
        };
        let value = format!(
            "{}, {}",
            self.label(volts, "V"),
            self.label(current, amperes.word)
        );
        let at = (current, volts);
        let mark = Mark {
            side: Side::LowerRight,
            ..mark(label, value, at, Shape::Diamond, Pen::Point)
        };
        Some((mark, line(name, Pen::Point, lines, Marks::None)))
    }

    fn visit_name(&self, visit: usize) -> String {
        let visit = self.record.visits.get(visit);
        visit.map_or_else(|| "?".to_owned(), |visit| visit.name())
    }

    /// The maker's curve, those of earlier visits, and others of the visit.
    fn earlier(&self, visit: usize, front: &Front<'_>) -> Vec<Curve> {
        let pair = front.excited.pair.ascending();
        let amperes = self.amperes();
        let mut found: Vec<(bool, Curve)> = Vec::new();
        for (index, taken) in self.record.visits.iter().enumerate().take(visit + 1) {
            let maker = taken.purpose() == Purpose::Factory;
            let (pen, whose) = match maker {
                true => (OF_FACTORY, "maker,"),
                false => (OF_EARLIER, "visit"),
            };
            let Some(derived) = self.derived(index) else {
                continue;
            };
            for excited in on_pair(derived, pair) {
                let in_front = std::ptr::eq(excited, front.excited);
                let Some(curve) = excited.curve.as_ref().filter(|_| !in_front) else {
                    continue;
                };
                let name = match index == front.visit {
                    true => "another run of this visit".to_owned(),
                    false => format!("{whose} {}", taken.name()),
                };
                let readings = amperes.readings(curve);
                found.push((maker, line(name, pen, readings, Marks::Along)));
            }
        }
        // The maker's first, then the latest.
        found.reverse();
        found.sort_by_key(|(maker, _)| !maker);
        let curves = found.into_iter().map(|(_, curve)| curve);
        curves.take(MOST_OTHERS).collect()
    }

    /// The sisters' curves: one as a line, several as the band that they fill.
    fn beside(&self, pair: Pair) -> (Vec<Curve>, Option<Band>) {
        let amperes = self.amperes();
        let mut found: Vec<(String, &Characteristic)> = Vec::new();
        for sister in self.sisters {
            let Some(core) = like_core(self.record, pair.core, sister.record) else {
                continue;
            };
            let own = sister.record.visits.iter().zip(&sister.assessment.visits);
            let latest = own
                .rev()
                .filter(|(visit, _)| visit.purpose() != Purpose::Factory);
            let curve = |(_, assessed): (_, &'a VisitAssessment)| {
                let excited = taken_on(&assessed.derived, Pair { core, ..pair })?;
                excited.curve.as_ref()
            };
            let mut curves = latest.filter_map(curve);
            if let Some(curve) = curves.next() {
                let phase = sister.record.place().and_then(|place| place.phase.value());
                found.push((phase.unwrap_or(&sister.id).clone(), curve));
            }
        }
        let curves: Vec<&Characteristic> = found.iter().map(|(_, curve)| *curve).collect();
        let band = amperes.envelope(&curves).filter(|_| curves.len() > 1);
        if let Some((there, back)) = band {
            let name = format!("sisters, {}", curves.len());
            let pen = OF_SISTER;
            let band = Band {
                name,
                pen,
                there,
                back,
            };
            return (Vec::new(), Some(band));
        }
        let lines = found.into_iter().take(MOST_OTHERS).map(|(name, curve)| {
            let name = format!("sister {name}");
            line(name, OF_SISTER, amperes.interpolated(curve), Marks::None)
        });
        (lines.collect(), None)
    }
}

/// The pairs and earlier visits on whose curves a visit rests, in place of its own.
fn rests_on(derived: &Derived) -> impl Iterator<Item = (Pair, usize)> {
    let checks = derived.protection.iter();
    let checks = checks.map(|one| (one.scaled_from.unwrap_or(one.pair), one.at));
    let duties = derived.duty.iter();
    let duties = duties.map(|one| (one.scaled_from.unwrap_or(one.pair), one.at));
    checks.chain(duties).filter_map(|(pair, at)| match at {
        CurveAt::Visit(visit) => Some((pair.ascending(), visit)),
        CurveAt::Section(_) => None,
    })
}

/// The curves that a visit took on a pair.
fn on_pair(derived: &Derived, pair: Pair) -> impl Iterator<Item = &Excited> {
    let taken = derived.excitation.iter();
    taken.filter(move |excited| excited.pair.ascending() == pair && excited.curve.is_some())
}

/// The one of them that findings are made of.
pub(super) fn taken_on(derived: &Derived, pair: Pair) -> Option<&Excited> {
    let best = derived.curve_for(pair);
    let best = best.filter(|excited| excited.scaled_from.is_none());
    best.or_else(|| on_pair(derived, pair.ascending()).last())
}

/// A straight line through a knee on log-log axes, as far as the readings reach and not too far.
fn tangent(point: &KneePoint, curve: &Characteristic, amperes: Amperes, slope: f64) -> Points {
    /// Decades of current to either side.
    const REACH: f64 = 0.4;
    let (v, i) = (point.voltage.si, point.current.si);
    let at = |decades: f64| {
        let (volts, current) = (v * libm::exp10(slope * decades), i * libm::exp10(decades));
        (amperes.of(current), volts)
    };
    let up = |low: f64, high: f64| libm::log10(high / low);
    let (first, last) = (curve.first(), curve.last());
    let down = up(first.i.si, i).min(up(first.v.si, v) / slope).min(REACH);
    let rise = up(i, last.i.si).min(up(v, last.v.si) / slope).min(REACH);
    vec![at(-down.max(0.0)), at(rise.max(0.0))]
}
