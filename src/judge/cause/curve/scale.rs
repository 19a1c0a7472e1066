//! A voltmeter that shows something else than the r.m.s. of a sine, or a source of another frequency: the curve
//! moves along the axis of voltage.

use super::seat;
use crate::derive::kinds::excitation::shape::Shape;
use crate::document::say;
use crate::judge::assess::Judging;
use crate::judge::cause::held::Held;
use crate::judge::cause::hypothesis::Hypothesis;
use crate::judge::rules::excitation as rules;

pub(super) fn of_volts(j: &Judging<'_>, (at, held): (usize, &Held<'_>)) -> Vec<Hypothesis> {
    let crest = std::f64::consts::SQRT_2;
    let form = std::f64::consts::PI / (2.0 * crest);
    let meters = [
        (
            1.0 / form,
            "the voltage is shown as a plain mean, 0.90 of the r.m.s. value",
        ),
        (
            crest,
            "the voltage is shown as a peak, 1.41 times the r.m.s. value",
        ),
    ];
    let meters = meters.map(|(times, observed)| {
        Hypothesis::new(&rules::VOLTMETER_SCALE, seat(held), observed)
            .curve(at, held.fit(Shape::Volts(times)))
            .decide("one voltage of the mains, read on this voltmeter and on a second one")
    });
    let rated = j.case.record.plate.frequency.value().map(|rated| rated.si);
    let (times, name) = match rated {
        Some(rated) if rated < 55.0 => (60.0 / 50.0, "60 Hz"),
        _ => (50.0 / 60.0, "50 Hz"),
    };
    let observed = say!("the curve is that of a source of {}", name);
    let source = Hypothesis::new(&rules::SOURCE_FREQUENCY, seat(held), observed)
        .curve(at, held.fit(Shape::Volts(times)))
        .decide("the frequency of the source at the leads");
    meters.into_iter().chain([source]).collect()
}
