//! From the readings of a section to points of e.m.f. and current at the rated frequency.

use crate::derive::component::Component;
use crate::derive::deriving::Deriving;
use crate::derive::excitation::{AT_RATED_FREQUENCY, SINE_OF_CREST, emf};
use crate::derive::label::Label;
use crate::derive::outcome::Reason;
use crate::derive::workings::{Origin, Value, Workings};
use crate::ground::span::Span;
use crate::record::kinds::Test;
use crate::record::kinds::excitation::{Excitation, Voltmeter};
use crate::record::readings::Measure;
use crate::standards::threshold;
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
    /// As the r.m.s. value of a sine with the same crest, where the crest was read.
    pub highest: Option<Value>,
    /// Why the readings make no curve, whatever they are.
    pub no_curve: Option<Reason>,
}

struct Row {
    v: Value,
    i: Value,
    peak: Option<Value>,
    lag: Option<Value>,
}

/// Enters the readings of a section.
pub(super) fn taken(d: &mut Deriving<'_>, test: &Test, body: &Excitation, pair: Pair) -> Taken {
    let (read, rows) = entered(d, test, body);
    let voltages: Vec<Value> = read.iter().map(|row| row.v).collect();
    let highest = voltages
        .iter()
        .max_by(|a, b| a.si.total_cmp(&b.si))
        .copied();
    if body.voltmeter.value() == Some(&Voltmeter::Peak) {
        return Taken {
            points: Vec::new(),
            peaks: Vec::new(),
            rows,
            by: EmfBy::Voltage,
            other_frequency: frequencies(d, body).map(|(_, f)| f.si),
            highest: highest.and_then(|crest| d.w.step(&SINE_OF_CREST, [crest])),
            no_curve: Some(Reason::Crest),
        };
    }
    let r = d.resistance_as_tested(pair);
    let frequency = frequencies(d, body);
    // A drop that is not small is taken off also at the rated frequency.
    let share = threshold("excitation-small-drop").map_or(0.0, |row| row.limit / 100.0);
    let small = |row: &Row| r.is_some_and(|r| row.i.si * r.si <= share * row.v.si);
    let needed = frequency.is_some() || (r.is_some() && !read.iter().all(small));
    let (mut e, by) = if needed {
        r.and_then(|r| corrected(d.w, &read, r, &test.identity))
            .unwrap_or((voltages, EmfBy::DropLeftIn))
    } else {
        (voltages, EmfBy::Voltage)
    };
    if let Some((rated, f)) = frequency {
        // A plate frequency and a reading are both above zero here, so no point is lost.
        for e in &mut e {
            *e = d.w.step(&AT_RATED_FREQUENCY, [*e, rated, f]).unwrap_or(*e);
        }
    }
    let rated = || e.iter().copied().zip(&read);
    Taken {
        points: rated().map(|(e, row)| (e, row.i)).collect(),
        peaks: rated()
            .filter_map(|(e, row)| Some((e, row.peak?)))
            .collect(),
        rows,
        by,
        other_frequency: frequency.map(|(_, f)| f.si),
        highest,
        no_curve: None,
    }
}

fn entered(d: &mut Deriving<'_>, test: &Test, body: &Excitation) -> (Vec<Row>, Vec<Span>) {
    use Measure::{Angle, Current, Voltage};
    let (mut read, mut rows) = (Vec::new(), Vec::new());
    for (n, row) in (1..).zip(&body.rows) {
        let (Some(voltage), Some(current)) = (row.voltage.get(), row.current.get()) else {
            continue;
        };
        read.push(Row {
            v: d.read(test, Voltage, Label::row("voltage", n), voltage),
            i: d.read(test, Current, Label::row("exciting current", n), current),
            peak: d.read_exact(test, Current, Label::row("peak current", n), &row.peak),
            lag: d.read_exact(test, Angle, Label::row("angle", n), &row.angle),
        });
        rows.push(row.span);
    }
    (read, rows)
}

/// Rated frequency and that of the test, hertz, when they differ.
fn frequencies(d: &mut Deriving<'_>, body: &Excitation) -> Option<(Value, Value)> {
    let (f, rated) = d.other_frequency(&body.frequency)?;
    let rated = d.w.plate("rated frequency", rated);
    // What is written is what the source was set to; its digits are not those of a reading.
    let (what, origin) = (
        "frequency of the source, as set",
        Origin::Given { span: f.span },
    );
    Some((rated, d.w.enter(what, "Hz", f.value.si, origin)))
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
    let by = if angles {
        EmfBy::Angle
    } else {
        EmfBy::Quadrature
    };
    let mut found = Vec::with_capacity(read.len());
    for row in read {
        let emf = emf(w, row.v, row.i, r, row.lag.filter(|_| angles))?;
        if emf.exact.is_none() {
            // The angle changes slowly along a curve, so all rows are off to the same side.
            let section = section.to_owned();
            let u = (emf.high.si - emf.low.si) / 3f64.sqrt();
            w.add_part(emf.high, Component::UnreadAngle { section }, u);
        }
        found.push(emf.exact.unwrap_or(emf.high));
    }
    Some((found, by))
}
