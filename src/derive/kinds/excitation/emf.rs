//! From the readings of a section to points of e.m.f. and current at the rated frequency.

use super::super::{Derived, resistance};
use crate::derive::case::Case;
use crate::derive::excitation::{at_rated_frequency, emf};
use crate::derive::input;
use crate::derive::workings::{Origin, Part, Value, Workings};
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::record::kinds::excitation::Excitation;
use crate::record::readings::Measure;
use crate::trade::Pair;

/// How the voltage of a curve came from the voltage read at the terminals.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum EmfBy {
    /// The voltage stands for the e.m.f. (IEC 61869-2:2012, 3.4.216, from memory): the drop is small.
    Voltage,
    /// The resistive drop was taken off with the angle read in every row.
    Angle,
    /// The resistive drop was taken off in quadrature, since no angle was read; the bound for a
    /// current in phase is in the uncertainty.
    Quadrature,
    /// The drop is not small, or the frequency not the rated one, and no winding resistance is known.
    DropLeftIn,
}

/// The readings of one section as points.
pub(super) struct Taken {
    /// E.m.f. in volt at the rated frequency and current in ampere.
    pub points: Vec<(Value, Value)>,
    /// The same e.m.f. and the peak current in ampere, where it was read.
    pub peaks: Vec<(Value, Value)>,
    pub rows: Vec<Span>,
    pub by: EmfBy,
    pub other_frequency: Option<f64>,
    pub highest: Option<Value>,
}

/// A drop above this share of the voltage is taken off also at the rated frequency. Own convention.
const SMALL_DROP: f64 = 0.01;

/// Frequencies nearer than this share are the same: sources of the mains wander that much.
const SAME_FREQUENCY: f64 = 0.01;

struct Row {
    v: Value,
    i: Value,
    peak: Option<Value>,
    lag: Option<Value>,
}

/// Enters the readings of a section.
pub(super) fn taken(
    case: &Case<'_>,
    w: &mut Workings,
    derived: &Derived,
    test: &Test,
    body: &Excitation,
    pair: Pair,
) -> Taken {
    let (read, rows) = entered(case, w, test, body);
    let highest = read
        .iter()
        .map(|row| row.v)
        .max_by(|a, b| a.si.total_cmp(&b.si));
    let r = as_tested(case, w, derived, pair);
    let frequency = frequencies(case, w, body);
    let small = |row: &Row| r.is_some_and(|r| row.i.si * r.si <= SMALL_DROP * row.v.si);
    let needed = frequency.is_some() || (r.is_some() && !read.iter().all(small));
    let (mut e, by) = match r {
        _ if !needed => (read.iter().map(|row| row.v).collect(), EmfBy::Voltage),
        Some(r) => corrected(w, &read, r, &test.identity)
            .unwrap_or_else(|| (read.iter().map(|row| row.v).collect(), EmfBy::DropLeftIn)),
        None => (
            read.iter().map(|row| row.v).collect::<Vec<_>>(),
            EmfBy::DropLeftIn,
        ),
    };
    if let Some((rated, f)) = frequency {
        // A plate frequency and a reading are both above zero here, so no point is lost.
        e = e
            .into_iter()
            .map(|e| at_rated_frequency(w, e, rated, f).unwrap_or(e))
            .collect();
    }
    let points = e
        .iter()
        .copied()
        .zip(read.iter().map(|row| row.i))
        .collect();
    let peaks = e
        .iter()
        .copied()
        .zip(&read)
        .filter_map(|(e, row)| Some((e, row.peak?)))
        .collect();
    Taken {
        points,
        peaks,
        rows,
        by,
        other_frequency: frequency.map(|(_, f)| f.si),
        highest,
    }
}

fn entered(
    case: &Case<'_>,
    w: &mut Workings,
    test: &Test,
    body: &Excitation,
) -> (Vec<Row>, Vec<Span>) {
    let (mut read, mut rows) = (Vec::new(), Vec::new());
    for (n, row) in body.rows.iter().enumerate() {
        let (Some(voltage), Some(current)) = (row.voltage.get(), row.current.get()) else {
            continue;
        };
        let at = n + 1;
        let v = input::reading(
            w,
            case,
            test,
            Measure::Voltage,
            format!("voltage, row {at}"),
            voltage,
        );
        let i = input::reading(
            w,
            case,
            test,
            Measure::Current,
            format!("exciting current, row {at}"),
            current,
        );
        let peak = row.peak.get().filter(|peak| peak.value.is_exact());
        let peak = peak.map(|peak| {
            input::reading(
                w,
                case,
                test,
                Measure::Current,
                format!("peak current, row {at}"),
                peak,
            )
        });
        let lag = row.angle.get().filter(|angle| angle.value.is_exact());
        let lag = lag.map(|angle| {
            input::reading(
                w,
                case,
                test,
                Measure::Angle,
                format!("angle, row {at}"),
                angle,
            )
        });
        read.push(Row { v, i, peak, lag });
        rows.push(row.span);
    }
    (read, rows)
}

/// The winding resistance as it was during the test: as measured cold, else at 75 °C.
fn as_tested(case: &Case<'_>, w: &mut Workings, derived: &Derived, pair: Pair) -> Option<Value> {
    let cold = derived
        .resistance
        .iter()
        .rev()
        .find(|winding| winding.pair.ascending() == pair && winding.doubtful.is_none());
    let known = cold
        .map(|winding| winding.cold)
        .or_else(|| resistance::at_75(case, w, derived, pair).map(|(r, _)| r));
    known.filter(|r| r.si > 0.0)
}

/// Rated frequency and that of the test, hertz, when they differ.
fn frequencies(case: &Case<'_>, w: &mut Workings, body: &Excitation) -> Option<(Value, Value)> {
    let rated = case
        .record
        .plate
        .frequency
        .get()
        .filter(|rated| rated.value.si > 0.0)?;
    let f = body.frequency.get().filter(|f| f.value.si > 0.0)?;
    if (f.value.si - rated.value.si).abs() <= SAME_FREQUENCY * rated.value.si {
        return None;
    }
    let rated = input::plate(w, "rated frequency", rated);
    // What is written is what the source was set to; its digits are not those of a reading.
    let f = w.reading(
        "frequency of the source, as set",
        "Hz",
        f.value.si,
        Origin::Given { span: f.span },
        &[],
    );
    Some((rated, f))
}

/// The e.m.f. of every row; `None` when one drop is as large as its voltage, so that `r` cannot be
/// the resistance of this winding.
fn corrected(
    w: &mut Workings,
    read: &[Row],
    r: Value,
    section: &str,
) -> Option<(Vec<Value>, EmfBy)> {
    let angles = read.iter().all(|row| row.lag.is_some());
    let mut found = Vec::with_capacity(read.len());
    for row in read {
        let emf = emf(w, row.v, row.i, r, row.lag.filter(|_| angles))?;
        if emf.exact.is_none() {
            // The angle changes slowly along a curve, so all rows are off to the same side.
            let angle = w.shared(format!(
                "angle of the exciting current, not read, {section}"
            ));
            w.add_part(
                emf.high,
                Part {
                    component: angle,
                    u: (emf.high.si - emf.low.si) / 3f64.sqrt(),
                },
            );
        }
        found.push(emf.exact.unwrap_or(emf.high));
    }
    Some((
        found,
        if angles {
            EmfBy::Angle
        } else {
            EmfBy::Quadrature
        },
    ))
}
