//! The secondary current in the fault that the duty states: information, never a verdict.

use super::{Figure, Kind, Unit, axis, line, mark};
use crate::chart::{Axes, Mark, Marks, Pen, Points, Range, Shape};
use crate::derive::kinds::Derived;
use crate::derive::kinds::duty::{Served, Wave};

impl Unit<'_> {
    /// For a core whose circuit states fault current, X/R and burden.
    pub(super) fn wave_chart(&self, derived: &Derived, core: usize) -> Option<Figure> {
        let mut duties = derived.duty.iter();
        let served = duties.find(|served| served.pair.core == core)?;
        let wave = served.wave.as_ref()?;
        let guess = match wave.beyond_readings {
            Some(_) => {
                " Beyond the last reading the curve is continued as a straight line, an assumption."
            }
            None => "",
        };
        let (pair, fault) = (self.core_pair(served.pair), self.fault(served));
        let title = format!("Simulated secondary current, {pair}{fault}");
        let description = format!(
            "Information, never a verdict: full offset, remanence {} %, loss current left out (rms readings taken as magnetising); {}.{guess}",
            wave.remanence,
            self.wave_text(wave)
        );
        let axes = Axes::Plain {
            x: axis("time / ms", Range::Tight, None),
            y: axis("current / A", Range::Holding(0.0), Some(0.0)),
        };
        let (mut own, primary) = (milliseconds(&wave.secondary), milliseconds(&wave.primary));
        let shown = wave
            .beyond_readings
            .map_or(f64::INFINITY, |time| time * 1e3);
        let within = own.partition_point(|(time, _)| *time <= shown);
        // The last point within the readings begins what is only continued.
        let continued = own.split_off(within.saturating_sub(1).min(own.len()));
        own.extend(continued.first());
        let ideal = "primary current over the rated ratio";
        let mut curves = vec![
            line("secondary current", Pen::Main, own, Marks::None),
            line(ideal, Pen::Second, primary, Marks::None),
        ];
        if within < wave.secondary.len() {
            let name = "beyond the last reading: continued, an assumption";
            curves.insert(1, line(name, Pen::Guess, continued, Marks::None));
        }
        let first = wave.first_error.filter(|_| !is_guessed(wave));
        let marks = [
            self.moment(wave, "error above 10 %", first),
            self.moment(wave, "flux beyond the last reading", wave.beyond_readings),
        ];
        let figure = Figure::new(Kind::Wave, title, description, axes, curves);
        Some(figure.marked(marks.into_iter().flatten().collect()))
    }

    /// A mark on the secondary current at a time in s.
    fn moment(&self, wave: &Wave, label: &str, time: Option<f64>) -> Option<Mark> {
        let (time, points) = (time?, &wave.secondary);
        let after = points.iter().find(|(at, _)| *at >= time);
        let (_, current) = after.or(points.last())?;
        let at = (time * 1e3, *current);
        Some(mark(label, self.ms(time), at, Shape::Diamond, Pen::Point))
    }

    fn wave_text(&self, wave: &Wave) -> String {
        match (wave.first_error, wave.beyond_readings) {
            (_, Some(beyond)) if is_guessed(wave) => format!(
                "no error above 10 % of the symmetrical peak until the flux leaves the readings after {}",
                self.ms(beyond)
            ),
            (Some(time), _) => format!(
                "the error first exceeds 10 % of the symmetrical peak after {}",
                self.ms(time)
            ),
            (None, _) => format!(
                "the error stays within 10 % of the symmetrical peak for {}",
                self.ms(wave.duration)
            ),
        }
    }

    fn ms(&self, seconds: f64) -> String {
        self.label(seconds * 1e3, "ms")
    }

    fn fault(&self, served: &Served) -> String {
        let Some(duty) = self.record.duties.get(served.duty) else {
            return String::new();
        };
        let current = duty.fault_current.value();
        let current = current.map(|fault| format!(", fault {}", self.label(fault.si / 1e3, "kA")));
        let ratio = duty.x_over_r.value().map(|x| format!(", X/R {x}"));
        [current, ratio].into_iter().flatten().collect()
    }
}

/// Whether the first error lies where the curve is only continued.
fn is_guessed(wave: &Wave) -> bool {
    wave.beyond_readings
        .is_some_and(|beyond| wave.first_error.is_none_or(|first| first > beyond))
}

/// Times in s become times in ms.
fn milliseconds(points: &[(f64, f64)]) -> Points {
    points
        .iter()
        .map(|(time, current)| (time * 1e3, *current))
        .collect()
}
