//! The excitation characteristic with its knees, limits, earlier curves and sisters.

use super::{Ctx, Figure, Kind, OF_EARLIER, OF_FACTORY, OF_SISTER, line, mark};
use crate::chart::{Axes, Curve, Limit, Mark, Marks, Pen, Points, Shape, Side};
use crate::compare::like_core;
use crate::derive::case::Case;
use crate::derive::curve::Curve as Characteristic;
use crate::derive::kinds::Derived;
use crate::derive::kinds::excitation::Excited;
use crate::derive::kinds::protection::{Accuracy, Check};
use crate::derive::knee::{Knee, KneeRule};
use crate::document::joined;
use crate::judge::VisitAssessment;
use crate::trade::{Class, Pair, Purpose};

/// Points of the drawn curve between two readings.
const BETWEEN: u32 = 12;
/// More curves than these cannot be told apart in one chart.
const MOST_OTHERS: usize = 6;

impl Ctx<'_> {
    /// One chart for each curve that was taken on the core.
    pub(super) fn excitation_charts(
        &self,
        case: &Case<'_>,
        derived: &Derived,
        core: usize,
    ) -> Vec<Figure> {
        let own = derived.excitation.iter().enumerate();
        own.filter(|(_, excited)| excited.pair.core == core)
            .filter_map(|(at, excited)| self.excitation_chart(case, derived, (at, excited)))
            .collect()
    }

    fn excitation_chart(
        &self,
        case: &Case<'_>,
        derived: &Derived,
        (at, excited): (usize, &Excited),
    ) -> Option<Figure> {
        let curve = excited.curve.as_ref()?;
        let readings = points(curve);
        let knees = self.knees(case, excited);
        let told = knees
            .iter()
            .map(|knee| Some(format!("{} at {}", knee.label, knee.value)));
        let told = match joined(told, "; ") {
            none if none.is_empty() => "no knee within the readings".to_owned(),
            told => told,
        };
        let description = format!(
            "{} readings from {} to {}; {told}.",
            readings.len(),
            self.label(curve.first().v.si, "V"),
            self.label(curve.last().v.si, "V")
        );
        let marks = Marks::At(Shape::Circle, readings);
        let own = line("readings, interpolated", Pen::Main, dense(curve), marks);
        let mut curves = vec![own];
        curves.extend(self.others(case.index, at, excited.pair));
        let (limits, mut marks) = self.limits(case, derived, excited);
        marks.extend(knees);
        let pair = self.core_pair(excited.pair);
        let title = format!("Excitation characteristic, {pair}");
        let (x, y) = ("exciting current / A", "voltage / V");
        let axes = Axes::EqualDecades { x, y };
        let figure = Figure::new(Kind::Excitation, title, description, axes, curves);
        Some(figure.limited(limits).marked(marks))
    }

    /// The knee of the plate's rule, and that of the 10 % rule, the lowest first: so the leaders of
    /// their labels fan out without crossing.
    fn knees(&self, case: &Case<'_>, excited: &Excited) -> Vec<Mark> {
        let deciding = case.core(excited.pair).map_or(KneeRule::Iec, |core| {
            KneeRule::of(case.record.plate.family(), core)
        });
        let shown = |rule: &KneeRule| *rule == deciding || *rule == KneeRule::Iec;
        let of_rule = |rule: KneeRule| {
            let Knee::At(point) = excited.knee(rule) else {
                return None;
            };
            let label = match rule {
                KneeRule::Iec => "knee, IEC 10/50",
                KneeRule::Tangent45 => "knee, 45°",
                KneeRule::Tangent30 => "knee, 30°",
            };
            let (volts, amperes) = (point.voltage.si, point.current.si);
            let value = format!("{}, {}", self.label(volts, "V"), self.label(amperes, "A"));
            Some(Mark {
                side: Side::LowerRight,
                ..mark(label, value, (amperes, volts), Shape::Diamond, Pen::Point)
            })
        };
        let shown = KneeRule::ALL.into_iter().filter(shown);
        let mut knees: Vec<Mark> = shown.filter_map(of_rule).collect();
        knees.sort_by(|a, b| a.at.1.total_cmp(&b.at.1));
        knees
    }

    /// What plate and circuit ask of the curve: a voltage, or a point to pass.
    fn limits(
        &self,
        case: &Case<'_>,
        derived: &Derived,
        excited: &Excited,
    ) -> (Vec<Limit>, Vec<Mark>) {
        let pair = excited.pair.ascending();
        let own = derived.protection.iter();
        let own = own.filter(|entry| entry.pair == pair && entry.scaled_from.is_none());
        let (mut limits, mut marks) = (Vec::new(), Vec::new());
        for (name, volts, current) in own.filter_map(|entry| self.asked(case, entry)) {
            match current {
                None => limits.push(Limit { name, at: volts }),
                Some(amperes) => {
                    let at = (amperes, volts);
                    marks.push(mark(name, String::new(), at, Shape::Target, Pen::Limit));
                }
            }
        }
        let served = self.in_service(pair.core) == Some(pair);
        let duty = case.record.duty_on(pair.core, case.visit.date.value);
        let duty = duty.filter(|_| served);
        if let Some(knee) = duty.and_then(|duty| duty.required_knee.value()) {
            let name = format!("knee the circuit asks: {}", self.label(knee.si, "V"));
            limits.push(Limit { name, at: knee.si });
        }
        (limits, marks)
    }

    /// The name of what a check asks, its voltage in V, and the current there in A if it asks one.
    fn asked(&self, case: &Case<'_>, entry: &Accuracy) -> Option<(String, f64, Option<f64>)> {
        let isr = case.rated_secondary(entry.pair)?;
        let volts = |v: f64| self.label(v, "V");
        let (name, emf, bound, current) = match &entry.check {
            Check::Knee(knee) => {
                let rated = knee.rated.si;
                return Some((format!("rated knee Ek {}", volts(rated)), rated, None));
            }
            Check::Exciting(exciting) => {
                let at = exciting.voltage.si;
                (format!("at {}", volts(at)), at, "at most", exciting.limit)
            }
            Check::Limit(limit) => {
                let Class::Protection { composite, .. } = limit.class else {
                    return None;
                };
                let (factor, emf) = (limit.factor.si, limit.emf.phasor.si);
                let most = f64::from(composite) / 100.0 * factor * isr;
                let name = format!("E at ALF {factor}: {},", volts(emf));
                (name, emf, "at most", most)
            }
            Check::Relay(relay) => {
                let emf = relay.emf.phasor.si;
                let name = format!("{}{}: {},", relay.letter, relay.volts, volts(emf));
                // A composite error of 10 % at 20 times rated current: twice the rated current.
                (name, emf, "at most", 2.0 * relay.isr.si)
            }
            Check::Security(security) => {
                let (rated, emf) = (security.rated.si, security.emf.phasor.si);
                let name = format!("E at FS {rated}: {},", volts(emf));
                (name, emf, "at least", 0.1 * rated * isr)
            }
            _ => return None,
        };
        let name = format!("{name} {bound} {}", self.label(current, "A"));
        Some((name, emf, Some(current)))
    }

    /// The maker's curve, earlier ones, then the sisters'. `at` is the curve's own index at its
    /// visit.
    fn others(&self, visit: usize, at: usize, pair: Pair) -> Vec<Curve> {
        let mut found = Vec::new();
        let mut other = |name: String, pen, curve: Option<&Characteristic>| {
            found.extend(curve.map(|curve| line(name, pen, points(curve), Marks::Along)));
        };
        let visits = self.record.visits.iter().zip(&self.assessment.visits);
        for (earlier, assessed) in visits.clone().take(visit) {
            let (pen, whose) = match earlier.purpose() {
                Purpose::Factory => (OF_FACTORY, "maker,"),
                _ => (OF_EARLIER, "visit"),
            };
            let name = format!("{whose} {}", earlier.name());
            other(name, pen, taken_on(assessed, pair));
        }
        if let Some((_, assessed)) = visits.clone().nth(visit) {
            let before = assessed.derived.excitation.iter().take(at);
            for excited in before.filter(|one| one.pair.ascending() == pair.ascending()) {
                let name = "earlier at this visit".to_owned();
                other(name, OF_EARLIER, excited.curve.as_ref());
            }
        }
        for sister in &self.subject.sisters {
            let Some(core) = like_core(self.record, pair.core, sister.record) else {
                continue;
            };
            let own = sister.record.visits.iter().zip(&sister.assessment.visits);
            let mut latest = own
                .rev()
                .filter(|(visit, _)| visit.purpose() != Purpose::Factory);
            let latest = latest.find_map(|(_, assessed)| taken_on(assessed, Pair { core, ..pair }));
            let place = sister.record.place();
            let phase = place.and_then(|place| place.phase.value());
            let name = format!("sister {}", phase.unwrap_or(&sister.id));
            other(name, OF_SISTER, latest);
        }
        found.truncate(MOST_OTHERS);
        found
    }
}

/// The curve that a visit took on a pair.
fn taken_on(assessed: &VisitAssessment, pair: Pair) -> Option<&Characteristic> {
    let fits = |excited: &&Excited| excited.pair.ascending() == pair.ascending();
    assessed
        .derived
        .excitation
        .iter()
        .find(fits)?
        .curve
        .as_ref()
}

/// The readings, current across and voltage up.
fn points(curve: &Characteristic) -> Points {
    curve
        .points()
        .iter()
        .map(|point| (point.i.si, point.v.si))
        .collect()
}

/// The interpolated curve, between its first and last reading only.
fn dense(curve: &Characteristic) -> Points {
    let volts: Vec<f64> = curve.points().iter().map(|point| point.v.si).collect();
    let mut all = Vec::new();
    for pair in volts.windows(2) {
        let [low, high] = pair else { continue };
        let step = libm::pow(high / low, 1.0 / f64::from(BETWEEN));
        let between = (0..BETWEEN).map(|n| low * libm::pow(step, f64::from(n)));
        all.extend(between.filter_map(|v| Some((curve.current_at(v)?, v))));
    }
    let last = curve.last();
    all.push((last.i.si, last.v.si));
    all
}
