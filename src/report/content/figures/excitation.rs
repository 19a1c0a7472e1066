//! The excitation characteristic with its knees, limits, earlier curves and sisters.

use super::{Ctx, Figure, Kind, OF_EARLIER, OF_FACTORY, OF_SISTER};
use crate::chart::{Axes, Chart, Curve, Limit, Mark, Marks, Pen, Points, Shape, Side};
use crate::compare::like_core;
use crate::derive::case::Case;
use crate::derive::curve::Curve as Characteristic;
use crate::derive::kinds::excitation::Excited;
use crate::derive::kinds::protection::{Accuracy, Check};
use crate::derive::knee::{Knee, KneeRule};
use crate::judge::VisitAssessment;
use crate::trade::{Class, Pair, Purpose};

/// Points of the drawn curve between two readings.
const BETWEEN: u32 = 12;
/// More curves than these cannot be told apart in one chart.
const MOST_OTHERS: usize = 6;

impl Ctx<'_> {
    /// One chart for each curve that was taken on the core.
    pub(super) fn excitation_charts(&self, case: &Case<'_>, core: usize) -> Vec<Figure> {
        let Some(assessed) = self.assessment.visits.get(case.index) else {
            return Vec::new();
        };
        let own = assessed.derived.excitation.iter().enumerate();
        own.filter(|(_, excited)| excited.pair.core == core)
            .filter_map(|(at, excited)| self.excitation_chart(case, assessed, (at, excited)))
            .collect()
    }

    fn excitation_chart(
        &self,
        case: &Case<'_>,
        assessed: &VisitAssessment,
        (at, excited): (usize, &Excited),
    ) -> Option<Figure> {
        let curve = excited.curve.as_ref()?;
        let readings = points(curve);
        let name = self.core_pair(excited.pair);
        let knees = self.knees(case, excited);
        let told: Vec<String> = knees
            .iter()
            .map(|knee| format!("{} at {}", knee.label, knee.value))
            .collect();
        let told = if told.is_empty() {
            "no knee within the readings".to_owned()
        } else {
            told.join("; ")
        };
        let description = format!(
            "{} readings from {} to {}; {told}.",
            readings.len(),
            self.label(curve.first().v.si, "V"),
            self.label(curve.last().v.si, "V")
        );
        let mut curves = vec![Curve {
            name: "readings, interpolated".to_owned(),
            pen: Pen::Main,
            line: dense(curve),
            marks: Marks::At(Shape::Circle, readings),
        }];
        curves.extend(self.others(case.index, at, excited.pair));
        let (limits, mut marks) = self.limits(case, assessed, excited);
        marks.extend(knees);
        let chart = Chart {
            title: format!("Excitation characteristic, {name}"),
            description,
            axes: Axes::EqualDecades {
                x: "exciting current / A",
                y: "voltage / V",
            },
            curves,
            limits,
            marks,
            notes: Vec::new(),
        };
        Some(Figure::new(Kind::Excitation, chart))
    }

    /// The knee of the plate's rule, and that of the 10 % rule, the lowest first: so the leaders of
    /// their labels fan out without crossing.
    fn knees(&self, case: &Case<'_>, excited: &Excited) -> Vec<Mark> {
        let deciding = case.core(excited.pair).map_or(KneeRule::Iec, |core| {
            KneeRule::of(case.record.plate.family(), core)
        });
        let shown = |rule: &KneeRule| *rule == deciding || *rule == KneeRule::Iec;
        let mark = |rule: KneeRule| {
            let Knee::At(point) = excited.knee(rule) else {
                return None;
            };
            let label = match rule {
                KneeRule::Iec => "knee, IEC 10/50",
                KneeRule::Tangent45 => "knee, 45°",
                KneeRule::Tangent30 => "knee, 30°",
            };
            let value = format!(
                "{}, {}",
                self.label(point.voltage.si, "V"),
                self.label(point.current.si, "A")
            );
            Some(Mark {
                label: label.to_owned(),
                value,
                at: (point.current.si, point.voltage.si),
                shape: Shape::Diamond,
                pen: Pen::Point,
                side: Side::LowerRight,
                guides: false,
            })
        };
        let shown = KneeRule::ALL.into_iter().filter(shown);
        let mut knees: Vec<Mark> = shown.filter_map(mark).collect();
        knees.sort_by(|a, b| a.at.1.total_cmp(&b.at.1));
        knees
    }

    /// What plate and circuit ask of the curve: a voltage, or a point to pass.
    fn limits(
        &self,
        case: &Case<'_>,
        assessed: &VisitAssessment,
        excited: &Excited,
    ) -> (Vec<Limit>, Vec<Mark>) {
        let pair = excited.pair.ascending();
        let own = assessed.derived.protection.iter();
        let own = own.filter(|entry| entry.pair == pair && entry.scaled_from.is_none());
        let (mut limits, mut marks) = (Vec::new(), Vec::new());
        for asked in own.filter_map(|entry| self.asked(case, entry)) {
            match asked {
                Asked::Voltage(limit) => limits.push(limit),
                Asked::Point(mark) => marks.push(mark),
            }
        }
        let served = self.in_service(pair.core) == Some(pair);
        let duty = case.record.duty_on(pair.core, case.visit.date.value);
        let duty = duty.filter(|_| served);
        if let Some(knee) = duty.and_then(|duty| duty.required_knee.value()) {
            limits.push(Limit {
                name: format!("knee the circuit asks: {}", self.label(knee.si, "V")),
                at: knee.si,
            });
        }
        (limits, marks)
    }

    fn asked(&self, case: &Case<'_>, entry: &Accuracy) -> Option<Asked> {
        let isr = case.rated_secondary(entry.pair)?;
        let (volts, amperes) = (|v: f64| self.label(v, "V"), |i: f64| self.label(i, "A"));
        let (name, at) = match &entry.check {
            Check::Knee(knee) => {
                let (name, at) = (
                    format!("rated knee Ek {}", volts(knee.rated.si)),
                    knee.rated.si,
                );
                return Some(Asked::Voltage(Limit { name, at }));
            }
            Check::Exciting(exciting) => {
                let (volt, most) = (exciting.voltage.si, exciting.limit);
                let name = format!("at {} at most {}", volts(volt), amperes(most));
                (name, (most, volt))
            }
            Check::Limit(limit) => {
                let Class::Protection { composite, .. } = limit.class else {
                    return None;
                };
                let (factor, emf) = (limit.factor.si, limit.emf.phasor.si);
                let most = f64::from(composite) / 100.0 * factor * isr;
                let name = format!(
                    "E at ALF {factor}: {}, at most {}",
                    volts(emf),
                    amperes(most)
                );
                (name, (most, emf))
            }
            Check::Relay(relay) => {
                // A composite error of 10 % at 20 times rated current: twice the rated current.
                let (most, emf) = (2.0 * relay.isr.si, relay.emf.phasor.si);
                let class = format!("{}{}", relay.letter, relay.volts);
                (
                    format!("{class}: {}, at most {}", volts(emf), amperes(most)),
                    (most, emf),
                )
            }
            Check::Security(security) => {
                let (rated, emf) = (security.rated.si, security.emf.phasor.si);
                let least = 0.1 * rated * isr;
                let name = format!(
                    "E at FS {rated}: {}, at least {}",
                    volts(emf),
                    amperes(least)
                );
                (name, (least, emf))
            }
            _ => return None,
        };
        Some(Asked::Point(Mark {
            label: name,
            value: String::new(),
            at,
            shape: Shape::Target,
            pen: Pen::Limit,
            side: Side::Any,
            guides: false,
        }))
    }

    /// The maker's curve, earlier ones, then the sisters'. `at` is the curve's own index at its
    /// visit.
    fn others(&self, visit: usize, at: usize, pair: Pair) -> Vec<Curve> {
        let mut found = Vec::new();
        let visits = self.record.visits.iter().zip(&self.assessment.visits);
        for (earlier, assessed) in visits.clone().take(visit) {
            let (pen, whose) = match earlier.purpose() {
                Purpose::Factory => (OF_FACTORY, "maker,"),
                _ => (OF_EARLIER, "visit"),
            };
            let name = format!("{whose} {}", earlier.name());
            found.extend(taken_on(assessed, pair).map(|curve| other(name, pen, curve)));
        }
        if let Some((_, assessed)) = visits.clone().nth(visit) {
            let before = assessed.derived.excitation.iter().take(at);
            let alike = before.filter(|excited| excited.pair.ascending() == pair.ascending());
            let curves = alike.filter_map(|excited| excited.curve.as_ref());
            let name = || "earlier at this visit".to_owned();
            found.extend(curves.map(|curve| other(name(), OF_EARLIER, curve)));
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
            found.extend(latest.map(|curve| other(name, OF_SISTER, curve)));
        }
        found.truncate(MOST_OTHERS);
        found
    }
}

/// What is asked of a curve.
enum Asked {
    Voltage(Limit),
    Point(Mark),
}

fn other(name: String, pen: Pen, curve: &Characteristic) -> Curve {
    Curve {
        name,
        pen,
        line: points(curve),
        marks: Marks::Along,
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
