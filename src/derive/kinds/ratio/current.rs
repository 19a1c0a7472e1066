//! Errors by current: two currents compared, or a comparator's reading.

use super::formulas::{COMPARED, CURRENT_ERROR, PERCENT, RCF, TCF};
use super::{Measured, Point, Run, WhyUnread, burden, exact, ratio_span};
use crate::derive::component::Component;
use crate::derive::deriving::{Deriving, SECOND};
use crate::derive::label::Label;
use crate::derive::workings::{Origin, Value};
use crate::ground::quantity::Reading;
use crate::record::inputs::Fed;
use crate::record::kinds::Test;
use crate::record::kinds::ratio::{On, RatioRow, RatioTest};
use crate::record::readings::Measure;
use crate::standards::{Family, angle_constant};
use crate::trade::{Class, Pair};

pub(super) fn derive(
    d: &mut Deriving<'_>,
    (index, test, body): (usize, &Test, &RatioTest),
    found: &mut Measured,
) {
    let mut runs: Vec<Run> = Vec::new();
    for (n, row) in (1..).zip(&body.rows) {
        let pair = match row.on.map(|on| on.value) {
            Some(On::Pair(pair)) => Some(pair.ascending()),
            Some(On::Primary) | None => d.driven(test),
        };
        let Some(pair) = pair else {
            found.unread(index, None, WhyUnread::Driven, row);
            continue;
        };
        let fed = row.input;
        match point(d, test, row, (pair, fed), n) {
            Ok(None) => {}
            Ok(Some(point)) => match runs
                .iter_mut()
                .find(|run| (run.pair, run.fed) == (pair, fed))
            {
                Some(run) => run.points.push(point),
                None => runs.push(Run {
                    test: index,
                    pair,
                    fed,
                    burden: burden::of(d, body, pair),
                    links: d.links_of(index).cloned(),
                    points: vec![point],
                    doubtful: test.doubtful,
                }),
            },
            Err(why) => found.unread(index, Some(pair), why, row),
        }
    }
    for run in runs {
        // All inputs in series make up the whole.
        match run.fed {
            Some(Fed::One(_)) => found.input_runs.push(run),
            Some(Fed::All) | None => found.runs.push(run),
        }
    }
}

fn point(
    d: &mut Deriving<'_>,
    test: &Test,
    row: &RatioRow,
    (pair, fed): (Pair, Option<Fed>),
    n: usize,
) -> Result<Option<Point>, WhyUnread> {
    let (primary, secondary) = (exact(&row.primary)?, exact(&row.secondary)?);
    let (read, phase, rated) = (exact(&row.error)?, exact(&row.phase)?, exact(&row.rated)?);
    let is_read = secondary.is_some() || read.is_some() || phase.is_some();
    let core = d.core(pair);
    if is_read && core.is_some_and(|core| core.input_factor(fed).is_none()) {
        return Err(WhyUnread::Input);
    }
    let primary = primary.map(|reading| {
        let what = Label::row("primary current", n);
        d.read_on(test, (Measure::Current, SECOND), what, reading)
    });
    let percent = match (rated, primary) {
        (Some(rated), _) => rated.value.si,
        (None, Some(primary)) => percent(d, primary, (pair, fed)).ok_or(WhyUnread::NoRatio)?,
        (None, None) if read.is_none() && phase.is_none() && secondary.is_none() => {
            return Ok(None);
        }
        (None, None) => return Err(WhyUnread::NoPrimary),
    };
    let error = match (read, secondary, primary) {
        (Some(read), ..) => {
            let what = Label::row("ratio error", n);
            compared(d, test, Measure::RatioError, what, read)
        }
        (None, Some(secondary), Some(primary)) => {
            let what = Label::row("secondary current", n);
            let secondary = d.read(test, Measure::Current, what, secondary);
            Some(error(d, primary, secondary, (pair, fed)).ok_or(WhyUnread::NoRatio)?)
        }
        (None, Some(_), None) => return Err(WhyUnread::NoPrimary),
        (None, None, _) => None,
    };
    let in_centiradians = phase.is_some_and(|phase| phase.value.unit.canonical == "crad");
    let phase = phase.and_then(|phase| {
        let what = Label::row("phase displacement", n);
        compared(d, test, Measure::Phase, what, phase)
    });
    if error.is_none() && phase.is_none() {
        return Ok(None);
    }
    let class = d.core(pair).and_then(|core| core.class_of(pair));
    let ieee = d.record.plate.family() == Family::Ieee
        || matches!(class, Some(Class::IeeeMetering { .. }));
    let rcf = error.filter(|_| ieee);
    let rcf = rcf.and_then(|error| d.w.step(&RCF, [error]));
    let tcf = rcf.zip(phase).and_then(|(rcf, phase)| {
        let row = angle_constant()?;
        let what = "minutes of arc that change the factor by one";
        let minutes = d.w.cited(what, "", row.limit, &row.cited);
        d.w.step(&TCF, [rcf, phase, minutes])
    });
    Ok(Some(Point {
        percent,
        error,
        compared: read.is_some(),
        phase,
        in_centiradians,
        rcf,
        tcf,
        row: row.span,
    }))
}

fn percent(d: &mut Deriving<'_>, primary: Value, (pair, fed): (Pair, Option<Fed>)) -> Option<f64> {
    let span = ratio_span(d.core(pair)?, pair);
    let rated = d.rated_primary_of(pair, fed).filter(|rated| *rated > 0.0)?;
    let what = "rated primary current as connected";
    let rated = d.w.number(what, "A", rated, span);
    let percent = d.w.step(&PERCENT, [primary, rated])?;
    Some(percent.si)
}

fn error(
    d: &mut Deriving<'_>,
    primary: Value,
    secondary: Value,
    (pair, fed): (Pair, Option<Fed>),
) -> Option<Value> {
    let span = ratio_span(d.core(pair)?, pair);
    let ratio = d.ratio_of(pair, fed).filter(|ratio| *ratio > 0.0)?;
    let ratio = d.w.number("rated ratio as connected", "", ratio, span);
    d.w.step(&CURRENT_ERROR, [ratio, secondary, primary])
}

/// A comparator's reading, with the error of the standard when one is named. A standard without
/// data leaves the uncertainty unknown.
fn compared(
    d: &mut Deriving<'_>,
    test: &Test,
    measure: Measure,
    what: Label,
    reading: &Reading,
) -> Option<Value> {
    let shown = d.read(test, measure, what, reading);
    let (own, visit) = (&test.reference, &d.visit.reference);
    if own.get().or(visit.get()).is_none() {
        return Some(shown);
    }
    let span = own.span().or(visit.span()).unwrap_or(reading.span);
    let unit = reading.value.unit.dimension.si();
    let origin = Origin::Reading { span };
    let standard = d.w.enter("error of the standard", unit, 0.0, origin);
    let reference = d.reference(test);
    if let Some(reference) = reference {
        d.unserved(test, [own, visit], reference, measure);
    }
    if let Some(reference) = reference
        && let Some(function) = reference.accuracy(measure, test.kind.name(), 0.0)
    {
        let instrument = reference.id.clone();
        let error = Component::Standard {
            instrument,
            measure,
        };
        let u = function.standard(function.limit_of_error(0.0));
        d.w.add_part(standard, error, u);
    }
    d.w.step(&COMPARED, [shown, standard])
}
