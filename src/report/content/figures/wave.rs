//! The secondary current in the fault that the duty states: information, never a verdict.

use super::{Ctx, Drawing};
use crate::derive::case::Case;
use crate::derive::kinds::duty::Served;
use crate::report::curves::{Mark, Waveform};

impl Ctx<'_> {
    /// For a core whose circuit states fault current, X/R and burden.
    pub(super) fn wave_chart(&self, case: &Case<'_>, core: usize) -> Option<Drawing> {
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
                x,
                y: *y,
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
            " Beyond the last reading the curve is continued straight, a guess."
        } else {
            ""
        };
        Some(Drawing::Wave(Waveform {
            title: format!(
                "Simulated secondary current, {}{}",
                self.core_pair(served.pair),
                self.fault(case, served)
            ),
            description: format!(
                "Information, never a verdict: full offset, remanence {} %, loss current left out (rms readings taken as magnetising); {told}.{guess}",
                wave.remanence
            ),
            primary: wave.primary.clone(),
            secondary: wave.secondary.clone(),
            marks: first.into_iter().chain(beyond).collect(),
        }))
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
