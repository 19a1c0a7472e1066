//! The secondary current in the fault that the duty states: information, never a verdict.

use super::{Ctx, Figure, Kind};
use crate::chart::{Axes, Axis, Chart, Curve, Mark, Marks, Pen, Points, Range, Shape, Side};
use crate::derive::case::Case;
use crate::derive::kinds::duty::Served;

impl Ctx<'_> {
    /// For a core whose circuit states fault current, X/R and burden.
    pub(super) fn wave_chart(&self, case: &Case<'_>, core: usize) -> Option<Figure> {
        let derived = &self.assessment.visits.get(case.index)?.derived;
        let served = derived
            .duty
            .iter()
            .find(|served| served.pair.core == core)?;
        let wave = served.wave.as_ref()?;
        let mark = |label: &str, time: Option<f64>| {
            let x = time?;
            // The mark stands on the secondary current at that time.
            let (_, y) = wave
                .secondary
                .iter()
                .find(|(at, _)| *at >= x)
                .or(wave.secondary.last())?;
            Some(Mark {
                label: label.to_owned(),
                value: self.label(x * 1e3, "ms"),
                at: (x * 1e3, *y),
                shape: Shape::Diamond,
                pen: Pen::Point,
                side: Side::Any,
                guides: false,
            })
        };
        let guessed = wave
            .beyond_readings
            .is_some_and(|beyond| wave.first_error.is_none_or(|first| first > beyond));
        let first = mark("error above 10 %", wave.first_error.filter(|_| !guessed));
        let beyond = mark("flux beyond the last reading", wave.beyond_readings);
        let told = match (wave.first_error, wave.beyond_readings) {
            (_, Some(beyond)) if guessed => {
                format!(
                    "no error above 10 % of the symmetrical peak until the flux leaves the readings after {}",
                    self.label(beyond * 1e3, "ms")
                )
            }
            (Some(time), _) => format!(
                "the error first exceeds 10 % of the symmetrical peak after {}",
                self.label(time * 1e3, "ms")
            ),
            (None, _) => format!(
                "the error stays within 10 % of the symmetrical peak for {}",
                self.label(wave.duration * 1e3, "ms")
            ),
        };
        let guess = if wave.beyond_readings.is_some() {
            " Beyond the last reading the curve is continued as a straight line, an assumption."
        } else {
            ""
        };
        let curve = |name: &str, pen, points: &[(f64, f64)]| Curve {
            name: name.to_owned(),
            pen,
            line: milliseconds(points),
            marks: Marks::None,
        };
        let axis = |title, range, origin| Axis {
            title,
            range,
            origin,
        };
        let chart = Chart {
            title: format!(
                "Simulated secondary current, {}{}",
                self.core_pair(served.pair),
                self.fault(case, served)
            ),
            description: format!(
                "Information, never a verdict: full offset, remanence {} %, loss current left out (rms readings taken as magnetising); {told}.{guess}",
                wave.remanence
            ),
            axes: Axes::Plain {
                x: axis("time / ms", Range::Tight, None),
                y: axis("current / A", Range::Holding(0.0), Some(0.0)),
            },
            curves: vec![
                curve("secondary current", Pen::Main, &wave.secondary),
                curve(
                    "primary current divided by the rated ratio",
                    Pen::Second,
                    &wave.primary,
                ),
            ],
            limits: Vec::new(),
            marks: first.into_iter().chain(beyond).collect(),
            notes: Vec::new(),
        };
        Some(Figure::new(Kind::Wave, chart))
    }

    fn fault(&self, case: &Case<'_>, served: &Served) -> String {
        let Some(duty) = case.record.duties.get(served.duty) else {
            return String::new();
        };
        let current = duty
            .fault_current
            .value()
            .map(|fault| format!(", fault {}", self.label(fault.si / 1e3, "kA")));
        let ratio = duty.x_over_r.value().map(|x| format!(", X/R {x}"));
        [current, ratio].into_iter().flatten().collect()
    }
}

/// Times in s become times in ms.
fn milliseconds(points: &[(f64, f64)]) -> Points {
    points
        .iter()
        .map(|(time, current)| (time * 1e3, *current))
        .collect()
}
