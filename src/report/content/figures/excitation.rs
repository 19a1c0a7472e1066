//! The excitation characteristic with its knees, limits, earlier curves and sisters.

use super::{Ctx, Drawing};
use crate::compare::like_core;
use crate::derive::case::Case;
use crate::derive::curve::Curve;
use crate::derive::kinds::excitation::{Excited, KneeRule};
use crate::derive::kinds::protection::{Accuracy, Check};
use crate::derive::knee::Knee;
use crate::judge::assess::VisitAssessment;
use crate::record::class::Class;
use crate::record::kinds::TestKind;
use crate::record::value::Pair;
use crate::record::visit::Purpose;
use crate::report::curves::{Excitation, Limit, LimitKind, Mark, Role, Series};

/// Points of the drawn curve between two readings.
const BETWEEN: u32 = 12;
/// More curves than these cannot be told apart in one chart.
const MOST_OTHERS: usize = 6;

impl Ctx<'_> {
    /// One chart for each curve that was taken on the core.
    pub(super) fn excitation_charts(
        &self,
        case: &Case<'_>,
        core: usize,
    ) -> Vec<(TestKind, Drawing)> {
        let Some(assessed) = self.assessment.visits.get(case.index) else {
            return Vec::new();
        };
        let own = assessed
            .derived
            .excitation
            .iter()
            .filter(|excited| excited.pair.core == core);
        own.filter_map(|excited| {
            Some((
                TestKind::Excitation,
                self.excitation_chart(case, assessed, excited)?,
            ))
        })
        .collect()
    }

    fn excitation_chart(
        &self,
        case: &Case<'_>,
        assessed: &VisitAssessment,
        excited: &Excited,
    ) -> Option<Drawing> {
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
        Some(Drawing::Excitation(Excitation {
            title: format!("Excitation characteristic, {name}"),
            description: format!(
                "{} readings from {} to {}; {told}.",
                readings.len(),
                self.label(curve.first().v.si, "V"),
                self.label(curve.last().v.si, "V")
            ),
            curve: dense(curve),
            readings,
            others: self.others(case.index, excited.pair),
            knees,
            limits: self.limits(case, assessed, excited),
        }))
    }

    /// The knee of the plate's rule, and that of the 10 % rule.
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
                x: point.current.si,
                y: point.voltage.si,
            })
        };
        KneeRule::ALL
            .into_iter()
            .filter(shown)
            .filter_map(mark)
            .collect()
    }

    fn limits(&self, case: &Case<'_>, assessed: &VisitAssessment, excited: &Excited) -> Vec<Limit> {
        let own =
            assessed.derived.protection.iter().filter(|entry| {
                entry.pair == excited.pair.ascending() && entry.scaled_from.is_none()
            });
        let mut limits: Vec<Limit> = own.filter_map(|entry| self.limit_of(case, entry)).collect();
        let duty = case
            .record
            .duty_on(excited.pair.core, case.visit.date.value);
        let served = self.in_service(excited.pair.core) == Some(excited.pair.ascending());
        if let Some(knee) = duty
            .filter(|_| served)
            .and_then(|duty| duty.required_knee.value())
        {
            limits.push(Limit {
                name: format!("knee the circuit asks: {}", self.label(knee.si, "V")),
                kind: LimitKind::Horizontal(knee.si),
            });
        }
        limits
    }

    fn limit_of(&self, case: &Case<'_>, entry: &Accuracy) -> Option<Limit> {
        let isr = case.rated_secondary(entry.pair)?;
        let (name, kind) = match &entry.check {
            Check::Knee(rated) => (
                format!("rated knee Ek {}", self.label(rated.rated.si, "V")),
                LimitKind::Horizontal(rated.rated.si),
            ),
            Check::Exciting(exciting) => {
                let (volt, most) = (exciting.voltage.si, exciting.limit);
                (
                    format!(
                        "at {} at most {}",
                        self.label(volt, "V"),
                        self.label(most, "A")
                    ),
                    LimitKind::Point(most, volt),
                )
            }
            Check::Limit(limit) => {
                let Class::Protection { composite, .. } = limit.class else {
                    return None;
                };
                let most = f64::from(composite) / 100.0 * limit.factor.si * isr;
                let emf = limit.emf.phasor.si;
                (
                    format!(
                        "E at ALF {}: {}, at most {}",
                        limit.factor.si,
                        self.label(emf, "V"),
                        self.label(most, "A")
                    ),
                    LimitKind::Point(most, emf),
                )
            }
            Check::Relay(relay) => {
                // A composite error of 10 % at 20 times rated current: twice the rated current.
                let (most, emf) = (2.0 * relay.isr.si, relay.emf.phasor.si);
                let text = format!(
                    "{}{}: {}, at most {}",
                    relay.letter,
                    relay.volts,
                    self.label(emf, "V"),
                    self.label(most, "A")
                );
                (text, LimitKind::Point(most, emf))
            }
            Check::Security(security) => {
                let (least, emf) = (0.1 * security.rated.si * isr, security.emf.phasor.si);
                let text = format!(
                    "E at FS {}: {}, at least {}",
                    security.rated.si,
                    self.label(emf, "V"),
                    self.label(least, "A")
                );
                (text, LimitKind::Point(least, emf))
            }
            _ => return None,
        };
        Some(Limit { name, kind })
    }

    /// The maker's curve, earlier ones, then the sisters'.
    fn others(&self, visit: usize, pair: Pair) -> Vec<Series> {
        let mut found = Vec::new();
        for index in 0..visit {
            let (Some(earlier), Some(assessed)) = (
                self.record.visits.get(index),
                self.assessment.visits.get(index),
            ) else {
                continue;
            };
            let factory = earlier.purpose() == Purpose::Factory;
            let (role, name) = if factory {
                (Role::Factory, format!("maker, {}", earlier.name()))
            } else {
                (Role::Earlier, format!("visit {}", earlier.name()))
            };
            found.extend(taken_on(assessed, pair).map(|curve| Series {
                name,
                points: points(curve),
                role,
            }));
        }
        for sister in &self.subject.sisters {
            let Some(core) = like_core(self.record, pair.core, sister.record) else {
                continue;
            };
            let own = sister
                .record
                .visits
                .iter()
                .zip(&sister.assessment.visits)
                .rev();
            let latest = own
                .filter(|(visit, _)| visit.purpose() != Purpose::Factory)
                .find_map(|(_, assessed)| taken_on(assessed, Pair { core, ..pair }));
            let phase = sister
                .record
                .place()
                .and_then(|place| place.phase.value())
                .cloned();
            let name = format!("sister {}", phase.unwrap_or_else(|| sister.id.clone()));
            found.extend(latest.map(|curve| Series {
                name,
                points: points(curve),
                role: Role::Sister,
            }));
        }
        found.truncate(MOST_OTHERS);
        found
    }
}

/// The curve that a visit took on a pair.
fn taken_on(assessed: &VisitAssessment, pair: Pair) -> Option<&Curve> {
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
fn points(curve: &Curve) -> Vec<(f64, f64)> {
    curve
        .points()
        .iter()
        .map(|point| (point.i.si, point.v.si))
        .collect()
}

/// The interpolated curve, between its first and last reading only.
fn dense(curve: &Curve) -> Vec<(f64, f64)> {
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
